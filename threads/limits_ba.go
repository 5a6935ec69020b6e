package threads

import "fettle/threads/quantity"

// baLimits are the limits of BS 93 by its tolerance formulas (Machinery's
// Handbook, 31st edition, p. 2115; BS 93:2008 annex B): bolts of the normal
// class, which have an allowance of 0.025 mm up to 10 BA, and nuts. The standard
// gives no tolerance for the nut's major diameter.
func (t Thread) baLimits() (Limits, bool) {
	if t.Series != BANumbered {
		return Limits{}, false
	}
	p := t.Pitch
	allowance, major := quantity.Length(0.025), 0.20*p
	if t.Major < 1.6 { // 11 to 16 BA
		allowance, major = 0, 0.25*p
	}
	d, d2, d1 := t.Major, t.PitchDiameter(), t.MinorInternal()
	return Limits{
		External: ExternalLimits{
			Class:    "normal",
			MajorMax: micron(d - allowance), MajorMin: micron(d - allowance - major),
			PitchMax: micron(d2 - allowance), PitchMin: micron(d2 - allowance - (0.10*p + 0.025)),
			MinorMax: micron(d1 - allowance), MinorMin: micron(d1 - allowance - (0.20*p + 0.05)),
		},
		Internal: InternalLimits{
			Class:    "nut",
			MinorMin: micron(d1), MinorMax: micron(d1 + 0.375*p),
			PitchMin: micron(d2), PitchMax: micron(d2 + 0.12*p + 0.03),
		},
		Source: "BS 93 (tolerance formulas)",
	}, true
}
