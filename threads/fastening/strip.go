package fastening

import (
	"fmt"
	"math"

	"fettle/threads"
	"fettle/threads/quantity"
)

// Overlap holds the four diameters that decide how much metal two mating
// threads share, with the pitch and the flank angle. For the weakest pair that
// the limits allow, Major is the smallest screw, PitchInternal the largest hole
// thread, Minor the largest hole and PitchExternal the smallest screw thread;
// for a measured pair they are what was measured.
type Overlap struct {
	Pitch         quantity.Length
	FlankAngle    quantity.Angle // included: 60, 55 or 47.5 degrees
	Major         quantity.Length
	PitchInternal quantity.Length
	Minor         quantity.Length // diameter of the hole
	PitchExternal quantity.Length
}

// ShearAreas gives the two areas that must shear before threads engaged over
// length l strip: internal is the metal of the hole torn off at the screw's
// crests, external the metal of the screw torn off at the edge of the hole.
//
//	internal = π·L·dmin/P·[P/2 + tan(α/2)·(dmin − D2max)]
//	external = π·L·D1max/P·[P/2 + tan(α/2)·(d2min − D1max)]
//
// Source: FED-STD-H28/2B, ASME B1.1 appendix; 0.57735 there is tan(α/2) of 60°.
// Diameters must be above nought. Threads that do not overlap give nought.
func (o Overlap) ShearAreas(l quantity.Length) (internal, external quantity.Area, err error) {
	for _, v := range [...]quantity.Length{o.Pitch, o.Major, o.PitchInternal, o.Minor, o.PitchExternal, l} {
		if !positive(float64(v)) {
			return 0, 0, fmt.Errorf("shear areas need pitch, diameters and engagement above nought, got %v mm", float64(v))
		}
	}
	if !(o.FlankAngle > 0 && o.FlankAngle < 180) {
		return 0, 0, fmt.Errorf("a flank angle of %v° is no screw thread", float64(o.FlankAngle))
	}
	if o.Minor >= o.Major {
		return 0, 0, nil
	}
	p, tan := float64(o.Pitch), math.Tan(o.FlankAngle.Radians()/2)
	turns := float64(l) / p
	in := math.Pi * float64(o.Major) * turns * (p/2 + tan*float64(o.Major-o.PitchInternal))
	ex := math.Pi * float64(o.Minor) * turns * (p/2 + tan*float64(o.PitchExternal-o.Minor))
	return quantity.Area(math.Max(in, 0)), quantity.Area(math.Max(ex, 0)), nil
}

// OneThirdStrip is the cautious pull-out force of length l of thread with pitch
// diameter d2, where the weaker of the two metals has shear strength tau:
// F = π·d2·τ·L/3.
// Source: NASA RP-1228 (1990); perfectly mated threads would give a half, the
// third is an allowance for mismatch.
func OneThirdStrip(d2, l quantity.Length, tau quantity.Stress) quantity.Force {
	return quantity.Force(math.Pi * float64(d2) * float64(tau) * float64(l) / 3)
}

// preloadShareOfStrip is how much of the one-third strip force a preload may
// use: common practice, no source.
const preloadShareOfStrip = 0.9

// wallFactor is how much a thin wall weakens the thread in it, by s/d, the
// width of the boss (twice the distance from the hole's centre to the nearest
// edge) over the thread's diameter: C1 = 3.8·(s/d) − (s/d)² − 2.61 from 1.4 to
// 1.9, 1 above. Below 1.4 nothing is known: ok is false.
// Source: VDI 2230-1, stripping model, from memory.
func wallFactor(ratio float64) (c1 float64, ok bool) {
	switch {
	case ratio >= 1.9:
		return 1, true
	case ratio >= 1.4-1e-12:
		return 3.8*ratio - ratio*ratio - 2.61, true
	}
	return 0, false
}

// bendFactor is how much the bending open of the weaker thread costs: C3 =
// 0.728 + 1.769·R − 2.896·R² + 1.296·R³ for 0.4 < R < 1 and 0.897 above, where R
// is the strip force of the hole's thread over that of the screw's. Never taken
// above 1. Source: VDI 2230-1, stripping model, from memory.
func bendFactor(r float64) float64 {
	switch {
	case r >= 1:
		return 0.897
	case r <= 0.4:
		return 1
	}
	return math.Min(1, 0.728+1.769*r-2.896*r*r+1.296*r*r*r)
}

// Stripping is what happens when a screw is pulled out of tapped metal.
type Stripping struct {
	Engagement quantity.Length
	// Geometric is the force at which the weaker of the two threads shears off
	// (FED-STD-H28/2B area, wall and bending factors of VDI 2230 from memory).
	// It judges what the joint takes in the end.
	Geometric quantity.Force
	// OneThird is the cautious force of NASA RP-1228; PreloadCap is 0.9 of it,
	// the most a tightening may load the thread with.
	OneThird, PreloadCap quantity.Force
	// ScrewBreaks is the force at which the screw's own core breaks.
	ScrewBreaks quantity.Force
	// FailsFirst is "tapped thread", "screw thread" or "screw".
	FailsFirst string
	// EngagementForBreak is the length of thread at which the screw breaks
	// before a thread strips, nought where no length reaches it (the wall is too
	// thin). EngagementForPreload is that at which PreloadCap is the preload
	// asked for. EngagementRule is the workshop's least length.
	EngagementForBreak, EngagementForPreload, EngagementRule quantity.Length
	InternalArea, ExternalArea                               quantity.Area
	WallFactor, BendFactor                                   float64
	Basis                                                    string // which diameters the areas come from
	Sources                                                  []string
}

// pull is what stripping works on, in plain numbers.
type pull struct {
	overlap              Overlap
	d, d2                float64 // nominal and pitch diameter
	tauHole, tauScrew    float64
	screwBreaks, preload float64
	edge                 float64 // centre of the hole to the nearest edge; 0: thick
	rule                 float64 // least engagement in diameters
	lost                 float64 // share of OneThird that too little height of thread takes
	basis                string
}

// heightStrength is the strip strength of a tapped thread of little height over
// that of one of 72 % or more, by its height in percent (of 1.299·P for 60°
// threads, of the full form for the others). The areas of FED-STD-H28 alone do
// not tell: the hole's thread shears at the screw's crests, whatever the hole.
//
// From 60 to 72 % strength grows by a twentieth (a tap maker's note, in mild
// steel), and 50 % of height holds three quarters of the load (workshop tests as a
// machine-shop course quotes them, 50 to 65 % for 75 to 100 %). Between these
// figures, and from 50 % down to nothing, straight lines: calculated.
func heightStrength(percent float64) float64 {
	last := [2]float64{0, 0}
	for _, p := range [...][2]float64{{50, 0.75}, {60, 1 / 1.05}, {72, 1}} {
		if percent <= p[0] {
			return math.Max(0, last[1]+(percent-last[0])/(p[0]-last[0])*(p[1]-last[1]))
		}
		last = p
	}
	return 1
}

// heightLost is the share of the one-third strip force that a hole too large for
// its thread takes away, by the height of thread left in percent: see
// heightStrength, and all of it below the height that is refused (common practice).
func heightLost(f threads.Form, percent float64) float64 {
	if percent < heightsOf(f).stop {
		return 1
	}
	return 1 - heightStrength(percent)
}

func (w pull) over(l quantity.Length) (Stripping, error) {
	in, ex, err := w.overlap.ShearAreas(l)
	if err != nil {
		return Stripping{}, err
	}
	s := Stripping{
		Engagement: l, InternalArea: in, ExternalArea: ex, WallFactor: 1, BendFactor: 1,
		ScrewBreaks: quantity.Force(w.screwBreaks), EngagementRule: quantity.Length(w.rule * w.d), Basis: w.basis,
		Sources: []string{"FED-STD-H28/2B shear areas", "NASA RP-1228 one-third rule", "VDI 2230-1 wall and bending factors, from memory"},
	}
	if w.edge > 0 {
		s.WallFactor, _ = wallFactor(2 * w.edge / w.d)
	}
	hole, screw := w.tauHole*float64(in), w.tauScrew*float64(ex)
	if screw > 0 {
		s.BendFactor = bendFactor(hole / screw)
	}
	hole *= s.WallFactor * s.BendFactor
	// The screw's thread bends as well; VDI 2230's least factor is taken for it.
	screw *= 0.897
	weakest := math.Min(hole, screw)
	s.Geometric = quantity.Force(weakest)
	s.FailsFirst = "tapped thread"
	if screw < hole {
		s.FailsFirst = "screw thread"
	}
	if w.screwBreaks < weakest {
		s.FailsFirst = "screw"
	}
	tau := math.Min(w.tauHole*s.WallFactor, w.tauScrew)
	s.OneThird = OneThirdStrip(quantity.Length(w.d2), l, quantity.Stress(tau)) * quantity.Force(1-w.lost)
	s.PreloadCap = preloadShareOfStrip * s.OneThird
	// Every force here grows in proportion to the length.
	if weakest > 0 {
		s.EngagementForBreak = quantity.Length(w.screwBreaks / weakest * float64(l))
	}
	if s.PreloadCap > 0 && w.preload > 0 {
		s.EngagementForPreload = quantity.Length(w.preload / float64(s.PreloadCap) * float64(l))
	}
	return s, nil
}
