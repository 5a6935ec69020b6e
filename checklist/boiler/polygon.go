package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// PolygonInput asks how to mill a regular figure with flats from a round bar.
// Either AcrossFlats or Bar may be left at 0 and follows from the other.
type PolygonInput struct {
	Sides       int // an even number, 4 to 24
	AcrossFlats quantity.Length
	// Bar is the diameter of the bar; 0 stands for sharp corners.
	Bar quantity.Length
}

// Polygon is a figure with flats cut from a round bar.
type Polygon struct {
	Sides         int
	AcrossFlats   quantity.Length
	AcrossCorners quantity.Length // sharp corners of these flats
	Bar           quantity.Length
	Cut           quantity.Length // off the bar for each flat
	// OverOneFlat is what a micrometer reads over the first flat and the round
	// opposite.
	OverOneFlat quantity.Length
	FlatWidth   quantity.Length // along the edge of one flat
	// Chamfered is the usual bar for a figure whose corners are taken off; 0
	// except for a hexagon.
	Chamfered quantity.Length
	Findings  []check.Result
}

// MillFlats works out a regular figure with an even number of flats from a
// round bar: across flats = bar·cos(180°/n), cut (bar - flats)/2, over one flat
// (bar + flats)/2. A bar larger than the corners is cut deeper; a smaller one
// leaves round corners. Figures that cannot be are *InputErrors.
func MillFlats(in PolygonInput) (Polygon, error) {
	if in.Sides < 4 || in.Sides > 24 || in.Sides%2 != 0 {
		return Polygon{}, &InputError{Field: "number of flats", Problem: fmt.Sprintf("%d flats have no opposite pairs to measure", in.Sides), Expected: "an even number, 4 to 24"}
	}
	if err := firstError(
		within("size across flats", in.AcrossFlats, 0, 500, "mm"),
		within("bar", in.Bar, 0, 500, "mm"),
	); err != nil {
		return Polygon{}, err
	}
	if in.AcrossFlats == 0 && in.Bar == 0 {
		return Polygon{}, &InputError{Field: "size across flats and bar", Problem: "neither is given", Expected: "one of them"}
	}
	cos := quantity.Length(math.Cos(math.Pi / float64(in.Sides)))
	p := Polygon{Sides: in.Sides, AcrossFlats: in.AcrossFlats, Bar: in.Bar}
	if p.AcrossFlats == 0 {
		p.AcrossFlats = p.Bar * cos
	}
	p.AcrossCorners = p.AcrossFlats / cos
	if p.Bar == 0 {
		p.Bar = p.AcrossCorners
	}
	if p.Bar <= p.AcrossFlats {
		return Polygon{}, &InputError{Field: "bar", Problem: fmt.Sprintf("%s is not larger than %s across flats", p.Bar.Round(), p.AcrossFlats.Round()), Expected: "at least " + p.AcrossCorners.Round().String() + " for sharp corners"}
	}
	p.Cut = (p.Bar - p.AcrossFlats) / 2
	p.OverOneFlat = (p.Bar + p.AcrossFlats) / 2
	sharp := p.AcrossFlats * quantity.Length(math.Tan(math.Pi/float64(in.Sides)))
	p.FlatWidth = min(sharp, quantity.Length(math.Sqrt(float64(p.Bar*p.Bar-p.AcrossFlats*p.AcrossFlats))))
	if in.Sides == 6 {
		p.Chamfered = chamferedHexagon * p.AcrossFlats
	}
	const hair = 1e-9
	if p.Bar < p.AcrossCorners-hair {
		p.Findings = append(p.Findings, check.Result{Rule: "round-corners", Severity: check.Note, Source: "calculated",
			Message: fmt.Sprintf("Sharp corners would need a bar of %s: these stay round.", p.AcrossCorners.Round())})
	}
	return p, nil
}

// chamferedHexagon is the bar for a hexagon with chamfered corners, in sizes
// across flats (common practice, no source).
const chamferedHexagon = 1.12

// LeftToCut says what is left to cut when a micrometer reads m over the first
// flat: negative where too much is off. m must be between the size across flats
// and the bar; otherwise it returns an *InputError.
func (p Polygon) LeftToCut(m quantity.Length) (quantity.Length, error) {
	if err := within("reading over the first flat", m, p.AcrossFlats, p.Bar, "mm"); err != nil {
		return 0, err
	}
	return m - p.OverOneFlat, nil
}
