package threads

import (
	"math"

	"fettle/threads/quantity"
)

// r40 is one decade of the R 40 series of preferred numbers (ISO 3), to which
// ISO 965-1 rounds its tolerances.
var r40 = [...]float64{
	1, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3,
	3.15, 3.35, 3.55, 3.75, 4, 4.25, 4.5, 4.75, 5, 5.3, 5.6, 6, 6.3, 6.7, 7.1, 7.5, 8, 8.5, 9, 9.5, 10,
}

// preferred rounds a tolerance in micrometres to the nearest R 40 number.
func preferred(um float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(um)))
	best := r40[0]
	for _, r := range r40 {
		if math.Abs(r*decade-um) < math.Abs(best*decade-um) {
			best = r
		}
	}
	return math.Round(best*decade*100) / 100
}

// diameterRange is the geometric mean of the range of ISO 965-1 table 1 that
// holds a nominal diameter; its tolerances are computed with this mean.
func diameterRange(d float64) (mean float64, ok bool) {
	bounds := [...]float64{0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180, 355}
	for i := 1; i < len(bounds); i++ {
		if d > bounds[i-1] && d <= bounds[i] {
			return math.Sqrt(bounds[i-1] * bounds[i]), true
		}
	}
	return 0, false
}

// isoDeviation is the fundamental deviation es of position g in micrometres,
// ISO 965-1: 15 + 11·P, except where its table departs from the formula.
func isoDeviation(p float64) float64 {
	switch p {
	case 0.7, 0.75:
		return 22
	case 1.25:
		return 28
	case 2:
		return 38
	case 2.5:
		return 42
	}
	return math.Round(15 + 11*p)
}

// isoLimits are the limits of ISO 965-2: 6g and 6H, and 6h and 5H up to M1.4.
// They are built from the formulas of ISO 965-1 with its rounding to R 40.
func (t Thread) isoLimits() (Limits, bool) {
	d, p := t.Major.MM(), t.Pitch.MM()
	mean, ok := diameterRange(d)
	if !ok || p < 0.2 || p > 8 {
		return Limits{}, false
	}
	pitch6 := 90 * math.Pow(p, 0.4) * math.Pow(mean, 0.1)
	major6 := 180*math.Pow(p, 2.0/3) - 3.15/math.Sqrt(p)
	minor6 := 433*p - 190*math.Pow(p, 1.22)
	if p >= 1 {
		minor6 = 230 * math.Pow(p, 0.7)
	}
	es, externalClass, internalClass := isoDeviation(p), "6g", "6H"
	minorFactor, holeFactor := 1.0, 1.32
	if d <= 1.4 {
		es, externalClass, internalClass = 0, "6h", "5H"
		minorFactor, holeFactor = 0.8, 1.06
	}
	um := func(v float64) quantity.Length { return quantity.Length(v / 1000) }
	majorMax := t.Major - um(es)
	pitchMax := t.PitchDiameter() - um(es)
	pitchMin := pitchMax - um(preferred(pitch6))
	return Limits{
		External: ExternalLimits{
			Class:    externalClass,
			MajorMax: micron(majorMax), MajorMin: micron(majorMax - um(preferred(major6))),
			PitchMax: micron(pitchMax), PitchMin: micron(pitchMin),
			// The root is at least as round as 0.125 P, so the core is at least this.
			MinorMin: micron(pitchMin - (height60-2*0.125)*t.Pitch),
		},
		Internal: InternalLimits{
			Class:    internalClass,
			MinorMin: micron(t.MinorInternal()), MinorMax: micron(t.MinorInternal() + um(preferred(minor6*minorFactor))),
			PitchMin: micron(t.PitchDiameter()), PitchMax: micron(t.PitchDiameter() + um(preferred(pitch6*holeFactor))),
		},
		Source: "ISO 965-1, ISO 965-2",
	}, true
}
