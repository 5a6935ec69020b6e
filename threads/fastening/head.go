package fastening

import (
	"fmt"
	"math"

	"fettle/threads"
	"fettle/threads/quantity"
)

// widthTolerance13 is IT13 and widthTolerance16 IT16 of ISO 286-1 in mm, for a
// width across flats s.
func widthTolerance13(s float64) float64 {
	switch {
	case s <= 3:
		return 0.14
	case s <= 6:
		return 0.18
	case s <= 10:
		return 0.22
	case s <= 18:
		return 0.27
	case s <= 30:
		return 0.33
	}
	return 0.62 // grade A hexagons above 32 mm go to h14
}

func widthTolerance16(s float64) float64 {
	switch {
	case s <= 3:
		return 0.60
	case s <= 6:
		return 0.75
	case s <= 10:
		return 0.90
	}
	return 1.10
}

// hexFace is the least diameter of the face under a hexagon head of nominal
// width s across flats: s_min − IT16 below 21 mm, 0.95·s_min from there up
// (ISO 4759-1, from memory; it gives every dw of ISO 4014 from M1.6 to M24).
func hexFace(s float64) float64 {
	least := s - widthTolerance13(s)
	if s < 21 {
		return least - widthTolerance16(s)
	}
	return 0.95 * least
}

// roundFace is the face under a round head over its largest diameter, left by
// the edge's chamfer. ISO 4762 (from memory) has 0.92 to 0.96.
const roundFace = 0.94

// usualBearing is the mean bearing diameter over the nominal diameter where no
// head is known, and that of a countersunk head: common practice.
const (
	usualBearing       = 1.35
	usualCountersunk   = 1.5
	usualConeSine      = math.Sqrt2 / 2
	usualClearanceHole = 1.1
)

// headNamed finds the first standard head of that kind on the thread.
func headNamed(t threads.Thread, kind threads.HeadKind) (threads.Head, bool) {
	for _, h := range t.Heads() {
		if h.Kind == kind {
			return h, true
		}
	}
	return threads.Head{}, false
}

// bearingUnder works out where a head of that kind bears, over a clearance hole
// of the given diameter (0: the medium hole of the thread). A mean diameter
// given by the user is taken as it is.
func bearingUnder(t threads.Thread, kind threads.HeadKind, hole, given quantity.Length) bearing {
	d := float64(t.Major)
	b := bearing{sine: 1}
	head, known := headNamed(t, kind)
	if kind == threads.CountersunkHead {
		b.sine = usualConeSine
		if known && head.CountersinkAngle > 0 {
			b.sine = math.Sin(head.CountersinkAngle.Radians() / 2)
		}
	}
	if given > 0 {
		b.mean, b.source = float64(given), "bearing diameter as given"
		return b
	}
	h := float64(hole)
	if h <= 0 {
		h = float64(t.Clearance().Medium)
	}
	if h <= 0 {
		h = usualClearanceHole * d
	}
	outer := 0.0
	switch {
	case !known:
	case kind == threads.HexHead:
		outer = hexFace(float64(head.AcrossFlats))
		b.source = fmt.Sprintf("%s: hexagon face %.2f mm (ISO 4759-1, from memory) over a %.2f mm hole", head.Standard, outer, h)
	case kind == threads.CountersunkHead:
		outer = float64(head.HeadDiameter)
		b.source = fmt.Sprintf("%s: cone %.2f mm over a %.2f mm hole", head.Standard, outer, h)
	default:
		outer = roundFace * float64(head.HeadDiameter)
		b.source = fmt.Sprintf("%s: round head face %.2f mm over a %.2f mm hole", head.Standard, outer, h)
	}
	if outer > h {
		b.mean = (outer + h) / 2
		return b
	}
	factor := usualBearing
	if kind == threads.CountersunkHead {
		factor = usualCountersunk
	}
	b.mean = factor * d
	b.source = fmt.Sprintf("no standard %s head is known for %s: bearing %g d, %s", kind, t, factor, commonPractice)
	return b
}
