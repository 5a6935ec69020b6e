package checklist

import (
	"fmt"
	"strconv"
	"strings"

	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// circleFigures are the figures of a bolt circle.
func (p *part) circleFigures(in *fastenerInputs) {
	if in.circle == 0 {
		p.lacks("it has no `circle`", "circle", "chord", "coordinates")
	} else {
		p.length("circle", in.circle, "the procedure")
	}
	if in.places < 2 {
		p.lacks("it has no `count` of two or more", "angle", "chord", "order", "coordinates")
		return
	}
	if in.circle == 0 && in.places < leastRing {
		p.lacks("two of them without a `circle` are no ring", "angle", "order")
		return
	}
	order := make([]string, 0, in.places)
	for _, i := range fastening.Order(in.places) {
		order = append(order, strconv.Itoa(i))
	}
	p.add("order", strings.Join(order, " "), "ASME PCC-1 (from memory) and its rule")
	n := float64(in.places)
	p.number("angle", quantity.Angle(360/n).String(), 360/n, "°", "calculated: 360° / count")
	circle, err := fastening.BoltCircle(in.places, in.circle, in.start, 0, 0)
	if err != nil {
		return // there is no circle, and that has been said
	}
	p.length("chord", circle.Pitch(), "calculated: circle × sin(180° / count)")
	holes := make([]string, len(circle.Holes))
	for i, h := range circle.Holes {
		holes[i] = fmt.Sprintf("%d: %s, %s", h.Number, hundredths(h.X), hundredths(h.Y))
	}
	p.add("coordinates", strings.Join(holes, "; "), "calculated: circle / 2 × cos and sin of the angle")
}

// hundredths writes a coordinate with two decimals, so that columns of a table
// can be read across; nought has no sign.
func hundredths(l quantity.Length) string {
	text := strconv.FormatFloat(l.MM(), 'f', 2, 64)
	if text == "-0.00" {
		return "0.00"
	}
	return text
}
