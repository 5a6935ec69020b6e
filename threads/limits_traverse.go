package threads

import (
	"math"

	"fettle/threads/quantity"
)

// traverseTolerances are the tolerances of ISO 2903 in micrometres by pitch and by
// diameter up to a bound: of the screw's major diameter and the hole's minor one (grade
// 4), the deviation e of the screw, the screw's pitch diameter in grade 7 and its core.
// A published table of 7e limits, Tr8 to Tr18, holds all of the screw's; the core's is
// five quarters of the pitch diameter's and e, rounded as printed there. The hole's are
// from memory: 1.32 times the screw's, to a preferred number.
var traverseTolerances = [...]struct{ pitch, upTo, major, minor, e, screw, core, hole float64 }{
	{1.5, 11.2, 150, 190, 67, 170, 279, 224},
	{2, 11.2, 180, 236, 71, 190, 309, 250},
	{3, 11.2, 236, 315, 85, 212, 350, 280},
	{2, 22.4, 180, 236, 71, 200, 321, 265},
	{3, 22.4, 236, 315, 85, 224, 365, 300},
	{4, 22.4, 300, 375, 95, 265, 426, 355},
}

// trapezoidalLimits are those of ISO 2903 for 7e and 7H.
func (t Thread) trapezoidalLimits() (Limits, bool) {
	for _, r := range traverseTolerances {
		if math.Abs(r.pitch-t.Pitch.MM()) > 1e-9 || t.Major.MM() > r.upTo {
			continue
		}
		um := func(v float64) quantity.Length { return quantity.Length(v / 1000) }
		d2, d3 := t.PitchDiameter(), t.MinorExternal()
		return Limits{
			External: ExternalLimits{
				Class: "7e", MajorMax: micron(t.Major), MajorMin: micron(t.Major - um(r.major)),
				PitchMax: micron(d2 - um(r.e)), PitchMin: micron(d2 - um(r.e+r.screw)),
				MinorMax: micron(d3), MinorMin: micron(d3 - um(r.core)),
			},
			Internal: InternalLimits{
				Class: "7H", MinorMin: micron(t.MinorInternal()), MinorMax: micron(t.MinorInternal() + um(r.minor)),
				PitchMin: micron(d2), PitchMax: micron(d2 + um(r.hole)),
			},
			Source: "ISO 2903 (screw: a published table of 7e; hole: from memory)",
		}, true
	}
	return Limits{}, false
}

// acmeLimits are those of ASME B1.5 for class 2G by its formulas in inches: the screw's
// pitch diameter lies 0.008·√D below the basic one, and its tolerance is 0.006·√D +
// 0.030·√p; the major diameter gets 0.05·p and 0.005 at least, the screw's core half as
// much again as the pitch diameter (from memory; a published table of screws, 3/8 to
// 1 in, follows them). The hole's minor diameter gets 0.05·p and 0.005 at least, from
// memory.
func (t Thread) acmeLimits() Limits {
	d, p := t.Major.Inches(), 1/t.TPI
	tolerance := 0.006*math.Sqrt(d) + 0.030*math.Sqrt(p)
	basic := tenth(d - 0.5*p)
	pitchMax := basic - tenth(0.008*math.Sqrt(d)) // each rounded, as the table has it
	crest := math.Max(0.05*p, 0.005)
	core := tenth(t.MinorExternal().Inches())
	in := func(v float64) quantity.Length { return quantity.FromInches(v) }
	return Limits{
		External: ExternalLimits{
			Class: "2G", MajorMax: in(tenth(d)), MajorMin: in(tenth(d - crest)),
			PitchMax: in(pitchMax), PitchMin: in(tenth(pitchMax - tolerance)),
			MinorMax: in(core), MinorMin: in(tenth(core - 1.5*tolerance)),
		},
		Internal: InternalLimits{
			Class: "2G", MinorMin: in(tenth(d - p)), MinorMax: in(tenth(d - p + crest)),
			PitchMin: in(basic), PitchMax: in(tenth(basic + tolerance)),
		},
		Source: "ASME B1.5 class 2G (formulas; screw checked against a published table, hole from memory)",
	}
}
