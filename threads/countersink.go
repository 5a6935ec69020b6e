package threads

import (
	"errors"
	"fmt"
	"math"

	"fettle/threads/quantity"
)

// Countersink is the cone that lets a head sit flush.
type Countersink struct {
	Angle    quantity.Angle
	Diameter quantity.Length // at the surface
	// Depth is from the surface to where the cone meets the clearance hole.
	Depth quantity.Length
	// LeastPlate is the thinnest plate the cone does not break through: at that
	// thickness it ends in a sharp edge at the far face. It equals Depth; a
	// plate that thin holds on an edge, so thicker is better.
	LeastPlate quantity.Length
	// Edge is how far the rim of the head lies below the surface, because the
	// head's own rim is smaller than the sharp cone it is measured by.
	Edge quantity.Length
}

// Countersink works out the cone for a head over a clearance hole, so that the
// head is flush: its diameter is the head's theoretical (sharp) diameter, as in
// ISO 15065. The hole must be more than nought and smaller than that. An error
// says which; a head that is not countersunk is one.
func (h Head) Countersink(hole quantity.Length) (Countersink, error) {
	if h.Kind != CountersunkHead || h.CountersinkAngle <= 0 {
		return Countersink{}, errors.New("only a countersunk head sits in a countersink")
	}
	if !(hole > 0) || hole >= h.CountersinkDiameter {
		return Countersink{}, fmt.Errorf("the hole must be more than nought and less than the countersink, %s", h.CountersinkDiameter)
	}
	slope := quantity.Length(2 * math.Tan(h.CountersinkAngle.Radians()/2))
	depth := (h.CountersinkDiameter - hole) / slope
	return Countersink{
		Angle: h.CountersinkAngle, Diameter: h.CountersinkDiameter,
		Depth: depth, LeastPlate: depth,
		Edge: max(0, (h.CountersinkDiameter-h.HeadDiameter)/slope),
	}, nil
}

// LargestIn is the largest countersink that a plate takes with the given land of
// whole hole left below the cone, and at most Diameter. It is the hole itself
// where the plate is no thicker than the land.
func (c Countersink) LargestIn(plate, land, hole quantity.Length) quantity.Length {
	if !(plate > land) {
		return hole
	}
	return min(c.Diameter, hole+(plate-land)*quantity.Length(2*math.Tan(c.Angle.Radians()/2)))
}
