package checklist

import (
	"math"
	"strconv"
	"strings"

	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// circleFigures are the figures of a bolt circle.
func (p *part) circleFigures(in *fastenerInputs) {
	if in.circle == 0 {
		p.lacks("it has no `circle`", "circle", "chord")
	} else {
		p.length("circle", in.circle, "the procedure")
	}
	if in.places < 2 {
		p.lacks("it has no `count` of two or more", "angle", "chord", "order")
		return
	}
	order := make([]string, 0, in.places)
	for _, i := range fastening.Order(in.places) {
		order = append(order, strconv.Itoa(i))
	}
	p.add("order", strings.Join(order, " "), "ASME PCC-1 (from memory) and its rule")
	n := float64(in.places)
	p.number("angle", quantity.Angle(360/n).String(), 360/n, "°", "calculated: 360° / count")
	if in.circle > 0 {
		chord := in.circle * quantity.Length(math.Sin(math.Pi/n))
		p.length("chord", chord, "calculated: circle × sin(180° / count)")
	}
}
