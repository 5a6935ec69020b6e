package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// GasketInput asks for the size of a flat ring gasket inside a circle of screws.
type GasketInput struct {
	Bore       quantity.Length // the opening the gasket runs round
	BoltCircle quantity.Length // pitch circle diameter of the screws
	Hole       quantity.Length // screw hole in the flange or cover, the larger of the two
	// Inside and Outside are the diameters of a gasket that exists or is
	// intended; 0 stands for the largest ring that fits.
	Inside, Outside quantity.Length
}

// Gasket is a flat ring gasket.
type Gasket struct {
	Inside, Outside quantity.Length
	Width           quantity.Length // of the ring, one side
	Mean            quantity.Length // mean diameter
	Area            quantity.Area   // pressed between the faces
	// Land is the metal between the gasket and the edge of a screw hole;
	// negative where the hole opens into the gasket.
	Land     quantity.Length
	Findings []check.Result
}

// gasketLand is the metal left between a gasket and the edge of a screw hole.
const gasketLand quantity.Length = 0.25

// narrowRing is the width below which a ring gasket gives trouble.
const narrowRing quantity.Length = 1.5

// GasketSize works out a ring gasket that neither hangs over the opening nor
// reaches the screw holes, or checks one that is given. Land is
// (bolt circle - hole)/2 - outside/2. Sizes that cannot be are *InputErrors.
// The land of 0.25 mm that is left for a gasket of its own choosing is common
// practice, no source.
func GasketSize(in GasketInput) (Gasket, error) {
	if err := firstError(
		positive("bore", in.Bore, 500, "mm"),
		positive("bolt circle", in.BoltCircle, 1000, "mm"),
		positive("screw hole", in.Hole, 50, "mm"),
		within("inside of the gasket", in.Inside, 0, 500, "mm"),
		within("outside of the gasket", in.Outside, 0, 1000, "mm"),
	); err != nil {
		return Gasket{}, err
	}
	limit := in.BoltCircle - in.Hole // diameter that touches the screw holes
	if limit <= in.Bore {
		return Gasket{}, &InputError{Field: "bolt circle", Problem: fmt.Sprintf("holes of %s on %s open into the bore of %s", in.Hole, in.BoltCircle, in.Bore),
			Expected: "a bolt circle larger than the bore and a hole together"}
	}
	g := Gasket{Inside: in.Inside, Outside: in.Outside}
	if g.Inside == 0 {
		g.Inside = in.Bore // it ends at the edge of the opening
	}
	if g.Outside == 0 {
		g.Outside = limit - 2*gasketLand
	}
	if g.Outside <= g.Inside {
		return Gasket{}, &InputError{Field: "gasket", Problem: fmt.Sprintf("outside %s is not larger than inside %s", g.Outside.Round(), g.Inside.Round()),
			Expected: "smaller screw holes, a larger bolt circle, or a narrower opening"}
	}
	g.Width = (g.Outside - g.Inside) / 2
	g.Mean = (g.Outside + g.Inside) / 2
	g.Area = quantity.Area(math.Pi / 4 * float64(g.Outside*g.Outside-g.Inside*g.Inside))
	g.Land = (limit - g.Outside) / 2
	add := func(rule string, s check.Severity, format string, args ...any) {
		g.Findings = append(g.Findings, check.Result{Rule: rule, Severity: s, Source: commonPractice, Message: fmt.Sprintf(format, args...)})
	}
	const hair = 1e-9
	switch {
	case g.Land < -hair:
		add("gasket-land", check.Stop, "The screw holes open into the gasket by %s.", (-g.Land).Round())
	case g.Land < gasketLand-hair:
		add("gasket-land", check.Warn, "Only %s of metal between the gasket and the screw holes.", g.Land.Round())
	}
	if g.Inside < in.Bore-hair {
		add("gasket-overhang", check.Stop, "The gasket hangs %s over the opening: it can break off into it.", ((in.Bore - g.Inside) / 2).Round())
	}
	if g.Width < narrowRing {
		add("gasket-width", check.Warn, "A ring %s wide is hard to cut and to seat: think of an O-ring.", g.Width.Round())
	}
	return g, nil
}
