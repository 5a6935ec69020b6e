package threads

import (
	"math"

	"fettle/threads/quantity"
)

// whitworthLimits are the limits of BS 84 for BSW and BSF, medium class, by its
// tolerance formulas in inches. With D the major diameter, L the length of
// engagement and p the pitch,
//
//	T = 0.002·∛D + 0.003·√L + 0.005·√p
//
// is the tolerance of the pitch (effective) diameter of screw and nut. The
// screw's major diameter gets T + 0.01·√p, its core T + 0.02·√p. The nut's minor
// diameter gets 0.2·p and 0.004 in from 26 TPI up, 0.005 in at 24 and 22 TPI,
// 0.007 in from 20 TPI down, in every class. (The free class of screws and the
// normal class of nuts take 3/2·T, the close class 2/3·T.)
//
// Machinery's Handbook, 27th edition, p. 1857, says that the basic sizes are the
// largest screw and the smallest nut, and gives the formulas; its table was read
// in a transcription (docs/WHITWORTH_SPEC.md of the public repository
// matthewmcneill/FusionThreadsGenerator, thread tables for a CAD program). A tap
// maker's chart shows the same 100, 150 and 66 2/3 % of T, and a published
// comparison with the tables of BS 84:2007 the same formula for the major
// diameter, equal to the tables but for single ten-thousandths. L is one
// diameter, from memory. Medium and free screws up to 3/4 in are made smaller
// still by an allowance for plating (a gauge maker's note on BS 84:2007): how
// much was not seen in print, so it is left out and the Source says so.
func (t Thread) whitworthLimits() Limits {
	d, p := t.Major.Inches(), 1/t.TPI
	tolerance := 0.002*math.Cbrt(d) + 0.003*math.Sqrt(d) + 0.005*math.Sqrt(p)
	hole := 0.2*p + 0.007
	switch {
	case t.TPI >= 26:
		hole = 0.2*p + 0.004
	case t.TPI >= 22:
		hole = 0.2*p + 0.005
	}
	// The standard prints four places.
	in := func(v float64) quantity.Length { return quantity.FromInches(v) }
	major, pitch, minor := tenth(d), tenth(t.PitchDiameter().Inches()), tenth(t.MinorInternal().Inches())
	source := "BS 84 medium class (tolerance formulas, as transcribed; free screws and normal nuts have 3/2 of the pitch tolerance, close ones 2/3)"
	if d <= 0.75 {
		source += "; a plated screw may be smaller"
	}
	return Limits{
		External: ExternalLimits{
			Class:    "medium",
			MajorMax: in(major), MajorMin: in(major - tenth(tolerance+0.01*math.Sqrt(p))),
			PitchMax: in(pitch), PitchMin: in(pitch - tenth(tolerance)),
			MinorMax: in(minor), MinorMin: in(minor - tenth(tolerance+0.02*math.Sqrt(p))),
		},
		Internal: InternalLimits{
			Class:    "nut",
			MinorMin: in(minor), MinorMax: in(minor + tenth(hole)),
			PitchMin: in(pitch), PitchMax: in(pitch + tenth(tolerance)),
		},
		Source: source,
	}
}
