package checklist

import (
	"fmt"
	"math"

	"fettle/threads/quantity"
)

var ringFigures = [...]figureKey{
	{"section", "Ring thickness", "of the free ring"},
	{"inside", "Ring inside", "of the free ring"},
	{"spindle", "Spindle", "what the ring sits on"},
	{"box", "Bore", "what the ring seals in"},
	{"width", "Groove width", "along the spindle"},
	{"gap", "Room for the ring", "between spindle and bore"},
	{"stretch", "Stretch", "of the inside, in percent"},
	{"squeeze", "Squeeze", "of the thickness, in percent"},
	{"fill", "Fill", "of the groove, in percent"},
}

// workRing works out how an O-ring sits on a spindle in a bore.
func (x *filler) workRing(p *part, s *Seal) {
	var v [5]quantity.Length
	var states [5]inputState
	keys := [...]string{"section", "inside", "spindle", "box", "width"}
	for i, key := range keys {
		v[i], states[i] = input(x, p, key, s.Values[key], positiveLength)
		p.echoLength(key, v[i], states[i])
	}
	section, inside, spindle, box, width := v[0], v[1], v[2], v[3], v[4]
	need := func(figure string, inputs ...int) bool {
		for _, i := range inputs {
			if states[i] == notGiven {
				p.lacks("it has no `"+keys[i]+"`", figure)
			}
			if states[i] != given {
				return false
			}
		}
		return true
	}
	const source = "published O-ring groove guides"
	if need("gap", 2, 3) {
		if box <= spindle {
			x.f.value(Stop, ruleValue, p.at.field("box"), fmt.Sprintf("the bore, %s, is not larger than the spindle, %s", benchLength(box), benchLength(spindle)), "")
			p.silent = true
			return
		}
		p.length("gap", (box-spindle)/2, "calculated: (box - spindle) / 2")
	}
	if !need("stretch", 0, 1, 2) {
		need("squeeze", 0, 1, 2, 3)
		need("fill", 0, 1, 2, 3, 4)
		return
	}
	stretch := float64((spindle - inside) / inside * 100)
	p.number("stretch", rounded(stretch, 1)+" %", stretch, "%", "calculated: (spindle - inside) / inside")
	// A stretched ring loses half the stretch of its thickness.
	left := section * quantity.Length(1-max(stretch, 0)/200)
	if need("squeeze", 3) {
		gap := (box - spindle) / 2
		squeeze := float64((left - gap) / left * 100)
		p.number("squeeze", rounded(squeeze, 0)+" %", squeeze, "%", source)
		if need("fill", 4) {
			fill := math.Pi / 4 * float64(left*left/(gap*width)) * 100
			p.number("fill", rounded(fill, 0)+" %", fill, "%", source)
		}
	} else {
		need("fill", 3, 4)
	}
}
