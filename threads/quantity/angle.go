package quantity

import "math"

// Angle is an angle in degrees.
type Angle float64

// Degrees is the angle in degrees.
func (a Angle) Degrees() float64 { return float64(a) }

// Radians is the angle in radians.
func (a Angle) Radians() float64 { return float64(a) * math.Pi / 180 }

// FromRadians makes an Angle of a figure in radians.
func FromRadians(r float64) Angle { return Angle(r * 180 / math.Pi) }

// Round rounds to a hundredth of a degree, about half a minute of arc.
func (a Angle) Round() Angle { return Angle(roundTo(float64(a), 2)) }

// String prints degrees to at most two decimals: "47.5°".
func (a Angle) String() string { return decimals(float64(a), 2) + "°" }

var angleKind = kind{
	quantity: "angle",
	expected: "90 (degrees), 47.5°, 30 min or 1.57 rad",
	units: []unit{
		{"° deg degs degree degrees", 1},
		{"rad radian radians", 180 / math.Pi},
		{"min arcmin '", 1.0 / 60},
	},
	bare:   1,
	signed: true,
}

// ParseAngle reads an angle; a figure without a unit is degrees. The error is a *ParseError.
func ParseAngle(s string) (Angle, error) {
	v, err := angleKind.parse(s)
	return Angle(v), err
}
