package checklist

import (
	"math"
	"strconv"

	"fettle/threads/quantity"
)

// Bench rounding: how a figure is printed for somebody with a tool in hand.
// Figure.Value keeps the unrounded number. A half is rounded up, also where
// floating point has left it a hair below: 3/8 in is 9.53 mm.

func rounded(v float64, places int) string {
	scale := math.Pow(10, float64(places))
	return strconv.FormatFloat(math.Floor(v*scale+0.5+1e-9)/scale, 'f', -1, 64)
}

// exact is a number with all its figures.
func exact(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// benchLength prints a length to a hundredth of a millimetre, what a workshop
// micrometer reads.
func benchLength(l quantity.Length) string { return rounded(l.MM(), 2) + " mm" }

// benchTenth prints a length to a tenth of a millimetre, what a rule or a depth
// gauge on something soft reads.
func benchTenth(l quantity.Length) string { return rounded(l.MM(), 1) + " mm" }

// benchOrder prints a length to buy, up to the next ten millimetres.
func benchOrder(l quantity.Length) string {
	return strconv.Itoa(int(math.Ceil(l.MM()/10-1e-9))*10) + " mm"
}

// benchTemperature prints a whole degree: no limit of a seal is known better.
func benchTemperature(t quantity.Temperature) string { return rounded(t.C(), 0) + " °C" }

// benchTorque prints a torque to two figures, no finer than a hand feels, and a
// small one in inch-pounds as well: small wrenches are marked in them.
func benchTorque(t quantity.Torque) string {
	text := figures2(t.NM()) + " N·m"
	if t.NM() < 1 {
		text += " (" + figures2(t.LbfIn()) + " lbf in)"
	}
	return text
}

// figures2 prints two figures, more where they stand before the point.
func figures2(v float64) string {
	switch {
	case v >= 10:
		return rounded(v, 0)
	case v >= 1:
		return rounded(v, 1)
	case v >= 0.1:
		return rounded(v, 2)
	}
	return rounded(v, 3)
}

// benchTurns prints turns of a nut to a tenth; a spanner is not read finer.
func benchTurns(turns float64) string { return rounded(turns, 1) }
