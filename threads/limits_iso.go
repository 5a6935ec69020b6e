package threads

import (
	"math"

	"fettle/threads/quantity"
)

// The tolerances of ISO metric threads follow the formulas of ISO 965-1,
// rounded to the R 40 series. In a few cells the tables printed in the standard
// depart from that; those cells stand here as printed. The limits agree with
// the tables of ISO 965-2 to the last digit.

// r40 is one decade of the R 40 series of preferred numbers (ISO 3).
var r40 = [...]float64{
	1, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2, 2.12, 2.24, 2.36, 2.5, 2.65, 2.8, 3,
	3.15, 3.35, 3.55, 3.75, 4, 4.25, 4.5, 4.75, 5, 5.3, 5.6, 6, 6.3, 6.7, 7.1, 7.5, 8, 8.5, 9, 9.5, 10,
}

// preferred rounds a tolerance in micrometres to the nearest R 40 number and
// that to a whole micrometre, halves to even (42.5 is printed 42, 47.5 is 48).
func preferred(um float64) float64 {
	decade := math.Pow(10, math.Floor(math.Log10(um)))
	best := r40[0]
	for _, r := range r40 {
		if math.Abs(r*decade-um) < math.Abs(best*decade-um) {
			best = r
		}
	}
	return math.RoundToEven(math.Round(best*decade*100) / 100)
}

// diameterBounds are the ends of the diameter ranges of ISO 965-1.
var diameterBounds = [...]float64{0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180, 355}

// diameterRange finds the range that holds a nominal diameter. Pitch-diameter
// tolerances are computed with the geometric mean of its ends.
func diameterRange(d float64) (upper, mean float64, ok bool) {
	for i := 1; i < len(diameterBounds); i++ {
		if d > diameterBounds[i-1] && d <= diameterBounds[i] {
			return diameterBounds[i], math.Sqrt(diameterBounds[i-1] * diameterBounds[i]), true
		}
	}
	return 0, 0, false
}

// isoDeviation is the fundamental deviation es of position g in micrometres:
// 15 + 11·P, or what table 1 of ISO 965-1 prints where it departs from that.
func isoDeviation(p float64) float64 {
	switch p {
	case 0.5:
		return 20
	case 0.6:
		return 21
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

// isoPitchTolerance is Td2 of grade 6 in micrometres, 90·P^0.4·d^0.1; upper
// names the diameter range.
func isoPitchTolerance(upper, mean, p float64) float64 {
	if upper == 5.6 && p == 0.5 {
		return 75 // printed; the formula gives 80
	}
	return preferred(90 * math.Pow(p, 0.4) * math.Pow(mean, 0.1))
}

// isoHolePitchTolerance is TD2 in micrometres: the screw's grade 6 times 0.85,
// 1.06 or 1.32 for grades 4, 5 and 6.
func isoHolePitchTolerance(upper, mean, p float64, grade int) float64 {
	if grade == 6 {
		switch [2]float64{upper, p} {
		case [2]float64{2.8, 0.45}:
			return 95 // printed; the formula gives 90
		case [2]float64{5.6, 0.5}:
			return 100 // 106
		case [2]float64{5.6, 0.75}:
			return 118 // 125
		case [2]float64{11.2, 1.5}, [2]float64{22.4, 1.25}:
			return 180 // 170
		case [2]float64{22.4, 1.5}:
			return 190 // 180
		}
	}
	factor := map[int]float64{4: 0.85, 5: 1.06, 6: 1.32}[grade]
	return preferred(factor * 90 * math.Pow(p, 0.4) * math.Pow(mean, 0.1))
}

// isoHoleMinorTolerance is TD1 in micrometres: 433·P - 190·P^1.22 below 1 mm
// pitch and 230·P^0.7 above for grade 6, times 0.63 and 0.8 for grades 4 and 5.
func isoHoleMinorTolerance(p float64, grade int) float64 {
	switch {
	case grade == 5 && p == 0.25:
		return 56 // printed; the formula gives 60
	case grade == 6 && p == 0.5:
		return 140 // 132
	case grade == 6 && p == 1:
		return 236 // 224
	case grade == 6 && p == 2.5:
		return 450 // 425
	}
	t := 433*p - 190*math.Pow(p, 1.22)
	if p >= 1 {
		t = 230 * math.Pow(p, 0.7)
	}
	factor := map[int]float64{4: 0.63, 5: 0.8, 6: 1}[grade]
	return preferred(t * factor)
}

// miniatureLimits are those of screws below M1, class 6g of a published table of
// small metric threads, in micrometres: deviation nought, tolerances of major, pitch
// and core diameter. No limits of holes were read.
func (t Thread) miniatureLimits() (Limits, bool) {
	for _, r := range [...]struct{ d, major, pitch, core float64 }{
		{0.6, 24, 20, 32}, {0.7, 27, 22, 36}, {0.8, 30, 24, 40}, {0.9, 33, 26, 44},
	} {
		if math.Abs(r.d-t.Major.MM()) > 1e-9 {
			continue
		}
		um := func(v float64) quantity.Length { return quantity.Length(v / 1000) }
		d2, d3 := micron(t.PitchDiameter()), micron(t.MinorExternal())
		return Limits{
			External: ExternalLimits{
				Class: "6g", MajorMax: t.Major, MajorMin: micron(t.Major - um(r.major)),
				PitchMax: d2, PitchMin: micron(d2 - um(r.pitch)), MinorMax: d3, MinorMin: micron(d3 - um(r.core)),
			},
			Source: "a published table of small metric threads",
		}, true
	}
	return Limits{}, false
}

// isoLimits are the limits of the classes ISO 965-2 picks for general use: 6g
// and 6H, from M1.4 down 6h and 5H. Where ISO 965-1 has no grade 6 or 5 for so
// fine a pitch (0.25 and 0.2 mm), the hole takes the coarsest grade there is.
func (t Thread) isoLimits() (Limits, bool) {
	d, p := t.Major.MM(), t.Pitch.MM()
	if t.miniature() {
		return t.miniatureLimits()
	}
	upper, mean, ok := diameterRange(d)
	if !ok || p < 0.2 || p > 8 {
		return Limits{}, false
	}
	es, external := isoDeviation(p), "6g"
	if d <= 1.4 {
		es, external = 0, "6h"
	}
	grade, internal := 6, "6H"
	switch {
	case p < 0.25:
		grade, internal = 4, "4H"
	case p < 0.35 || d <= 1.4:
		grade, internal = 5, "5H"
	}
	major := 180*math.Pow(p, 2.0/3) - 3.15/math.Sqrt(p)
	um := func(v float64) quantity.Length { return quantity.Length(v / 1000) }
	majorMax := t.Major - um(es)
	pitchMax := t.PitchDiameter() - um(es)
	pitchMin := pitchMax - um(isoPitchTolerance(upper, mean, p))
	source := "ISO 965-1, ISO 965-2"
	if t.Series == ISOSpecial || t.Series == MetricOther {
		source = "ISO 965-1 (its formulas; no ISO series lists this thread)"
	}
	return Limits{
		External: ExternalLimits{
			Class:    external,
			MajorMax: micron(majorMax), MajorMin: micron(majorMax - um(preferred(major))),
			PitchMax: micron(pitchMax), PitchMin: micron(pitchMin),
			// The root is at least as round as 0.125·P, so the core is at least this.
			MinorMin: micron(pitchMin - (height60-2*0.125)*t.Pitch),
		},
		Internal: InternalLimits{
			Class:    internal,
			MinorMin: micron(t.MinorInternal()), MinorMax: micron(t.MinorInternal() + um(isoHoleMinorTolerance(p, grade))),
			PitchMin: micron(t.PitchDiameter()), PitchMax: micron(t.PitchDiameter() + um(isoHolePitchTolerance(upper, mean, p, grade))),
		},
		Source: source,
	}, true
}
