package threads

import (
	"math"

	"fettle/threads/quantity"
)

// unifiedLimits are the limits of classes 2A and 2B by the formulas of ASME
// B1.1. The length of engagement is one diameter for UNC and UNF and nine
// pitches for the others.
func (t Thread) unifiedLimits() (Limits, bool) {
	d, p := t.Major.Inches(), 1/t.TPI
	engaged := d
	if t.Series == UNEF || t.Series == UNSpecial {
		engaged = 9 * p
	}
	tolerance := 0.0015*math.Cbrt(d) + 0.0015*math.Sqrt(engaged) + 0.015*math.Pow(p, 2.0/3)
	// The standard carries six places from step to step.
	tolerance = math.Round(tolerance*1e6) / 1e6
	allowance := tenth(0.3 * tolerance)
	if t.TPI == 11 && t.Series == UNC {
		allowance = 0.0016 // 5/8-11, as printed; the formula gives 0.00165
	}
	majorMax := tenth(d) - allowance
	pitchBasic := tenth(t.PitchDiameter().Inches())
	pitchMax := pitchBasic - allowance
	minorTolerance := 0.25*p - 0.4*p*p
	if d < 0.25 {
		minorTolerance = 0.05*math.Pow(p, 2.0/3) + 0.03*p/d - 0.002
		minorTolerance = min(minorTolerance, 0.394*p)
		minorTolerance = max(minorTolerance, 0.25*p-0.4*p*p)
	}
	// The hole's minor diameter is worked to four places and then, from No 6 up,
	// printed to three, halves upward.
	minorBasic := tenth(t.MinorInternal().Inches())
	minorTolerance = tenth(minorTolerance)
	round := tenth
	if d >= 0.138 {
		round = func(v float64) float64 { return math.Round(v*1e3+1e-6) / 1e3 }
	}
	in := func(v float64) quantity.Length { return quantity.FromInches(v) }
	return Limits{
		External: ExternalLimits{
			Class:    "2A",
			MajorMax: in(majorMax), MajorMin: in(majorMax - tenth(0.06*math.Pow(p, 2.0/3))),
			PitchMax: in(pitchMax), PitchMin: in(pitchMax - tenth(tolerance)),
			MinorMax: in(tenth(majorMax - screwDrop60*p)),
		},
		Internal: InternalLimits{
			Class:    "2B",
			MinorMin: in(round(minorBasic)), MinorMax: in(round(minorBasic + minorTolerance)),
			PitchMin: in(pitchBasic), PitchMax: in(pitchBasic + tenth(1.3*tolerance)),
		},
		Source: "ASME B1.1",
	}, true
}

// tenth rounds to a ten-thousandth of an inch, the last digit of ASME B1.1.
func tenth(in float64) float64 { return math.Round(in*1e4) / 1e4 }
