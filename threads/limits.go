package threads

import (
	"math"

	"fettle/threads/quantity"
)

// Limits are the limits of size of a screw and of a tapped hole in the classes
// usual for the series. A field is 0 where the source gives none.
type Limits struct {
	External ExternalLimits
	Internal InternalLimits
	Source   string
}

// ExternalLimits are the limits of a screw.
type ExternalLimits struct {
	Class              string
	MajorMax, MajorMin quantity.Length
	PitchMax, PitchMin quantity.Length
	// MinorMax is the largest core (Unified), MinorMin the smallest (ISO 965-2).
	MinorMax, MinorMin quantity.Length
}

// InternalLimits are the limits of a tapped hole.
type InternalLimits struct {
	Class              string
	MinorMin, MinorMax quantity.Length
	PitchMin, PitchMax quantity.Length
}

// Limits are the limits of size, where a source for them is at hand; ok is
// false where none is (ME, 26 TPI brass and special Whitworth threads have no
// standard at all; cycle threads have one whose limits were not read).
func (t Thread) Limits() (limits Limits, ok bool) {
	switch t.Form {
	case ISO68:
		return t.isoLimits()
	case Unified:
		return t.unifiedLimits()
	case BA:
		return t.baLimits()
	case TrapezoidalForm:
		return t.trapezoidalLimits()
	case AcmeForm:
		return t.acmeLimits(), true
	}
	if t.Series == BSW || t.Series == BSF {
		return t.whitworthLimits(), true
	}
	return t.pipeLimits()
}

// micron rounds to a micrometre, the last digit of ISO 965-2 and ISO 228-1.
func micron(l quantity.Length) quantity.Length {
	return quantity.Length(math.Round(float64(l)*1000) / 1000)
}
