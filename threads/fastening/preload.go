package fastening

import "math"

// The screw as a drawn bar that is pulled and twisted at once. All figures here
// are plain numbers in mm, N, N·mm and MPa; Tighten dresses them in quantities.

// shank is what the tightening sums need to know of a screw thread.
type shank struct {
	d      float64 // nominal (major) diameter
	p      float64 // lead: the advance in one turn
	d2     float64 // pitch diameter
	as     float64 // stress area
	cosine float64 // cosine of half the flank angle
}

// d0 is the diameter of the stress area.
func (s shank) d0() float64 { return math.Sqrt(4 * s.as / math.Pi) }

// slope is the tangent of lead angle and friction angle together, tan(φ + ρ')
// with tan φ = P/(π·d2) and tan ρ' = μ/cos(α/2). VDI 2230's formula for the bench
// adds the two tangents; its tables are worked from the tangent of the sum.
func (s shank) slope(mu float64) float64 {
	lead, friction := s.p/(math.Pi*s.d2), mu/s.cosine
	return (lead + friction) / (1 - lead*friction)
}

// twistFactor is VDI 2230's 3/2 (2001 and later): the twisting stress of a
// section that yields right through. The 1986 edition's elastic section has 2.
const twistFactor = 1.5

// stressRatio is the combined (von Mises) stress over the tensile stress while
// a screw is turned home with the given slope of its thread, VDI 2230-1
// (5.5/1): √(1 + 3·[k·(d2/d0)·slope]²).
func (s shank) stressRatio(k, slope float64) float64 {
	t := k * s.d2 / s.d0() * slope
	return math.Sqrt(1 + 3*t*t)
}

// yieldPreload is the preload in N at which the combined stress is the given
// share of the yield strength, VDI 2230-1: F = ν·Rp·A0/ratio.
func (s shank) yieldPreload(yield, share, k, slope float64) float64 {
	return share * yield * s.as / s.stressRatio(k, slope)
}

// threadArm and headArm are the moment arms in mm that the thread and the head lay
// on a preload: T = F·(thread + head). VDI 2230-1, ISO 16047, written for any flank
// angle: thread = d2/2·tan(φ + ρ'), which both standards also write as
// P/(2π) + d2·μG/(2·cos(α/2)), 1 to 2 % less; head = ½·Dkm·μK, over a cone of half
// angle β ½·Dkm·μK/sin β.
func (s shank) threadArm(mu float64) float64 { return s.d2 / 2 * s.slope(mu) }

func (b bearing) headArm(mu float64) float64 { return b.mean / 2 * mu / b.sine }

// bearing is where a head rests: the mean diameter of the face and the sine of
// half its cone angle (1 for a flat face).
type bearing struct {
	mean   float64
	sine   float64
	source string
}
