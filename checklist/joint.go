package checklist

import (
	"fmt"

	"fettle/checklist/source"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

var jointKeys = [...]string{"joint_load", "per_bolt", "reserve", "reserve_one_lost"}

// jointFigures works out whether the fasteners hold the joint they clamp, at
// the test pressure of its seal, or at the working pressure where none is
// given. It answers false where the file does not say enough for that.
func (x *filler) jointFigures(p *part, s *Fastener, in *fastenerInputs, tighten *fastening.TightenInput, hole holeKind) bool {
	lacks := func(why string) bool {
		p.lacks(why, jointKeys[:]...)
		return false
	}
	seal, q := x.jointSeal(s)
	switch {
	case seal == nil:
		return lacks("it has no `joint`")
	case in.places < 2 || in.circle == 0:
		return lacks("it needs `count` and `circle`")
	case tighten.Into.IsZero():
		return lacks("it needs `into`, and `depth` or `length` and `cover`")
	}
	q.ready()
	joint := fastening.JointInput{
		Bolts: in.places, Thread: in.thread, Grade: tighten.Grade, Circle: in.circle, Start: in.start,
		Into: tighten.Into, Depth: tighten.Depth, Utilisation: tighten.Utilisation, Lubricant: tighten.Lubricant,
		Head: in.head, Edge: tighten.Edge, Temperature: tighten.Temperature, Hole: fastening.DryHole,
	}
	switch {
	case hole.wet:
		joint.Hole = fastening.WetHole
	case hole.blind:
		joint.Hole = fastening.BlindHole
	case s.Hole == "":
		joint.Hole = ""
	}
	if cover, ok := p.find("cover"); ok {
		joint.Cover = quantity.Length(cover.Value)
	}
	at := "test"
	if f, ok := q.find("test"); ok {
		joint.Pressure = quantity.Pressure(f.Value)
	} else if f, ok := q.find("pressure"); ok {
		joint.Pressure, at = quantity.Pressure(f.Value), "working"
	} else {
		return lacks("the seal " + seal.Name + " has no `test` and no `pressure`")
	}
	if why := q.ring(seal, &joint); why != "" {
		return lacks(why)
	}
	out, err := fastening.Joint(joint)
	if err != nil {
		p.refuseAt(p.at.Field("joint"), source.PlainError(err))
		return true
	}
	for _, f := range out.Findings {
		p.fasteningFinding(f)
	}
	if out.FullFace {
		lacks("a gasket that reaches past the screws is not this sum")
		return true
	}
	source := fmt.Sprintf("ASME VIII-1 Appendix 2, at %s pressure, %s", at, joint.Pressure)
	p.number("joint_load", out.Required.String(), out.Required.N(), "N", source)
	p.number("per_bolt", out.PerBolt.String(), out.PerBolt.N(), "N", source)
	p.number("reserve", rounded(out.Reserve, 1), out.Reserve, "", source)
	p.number("reserve_one_lost", rounded(out.ReserveOneLost, 1), out.ReserveOneLost, "", source)
	return true
}

// ring takes the sizes and the stuff of a seal into a joint. It answers what
// is missing.
func (q *part) ring(seal *Seal, joint *fastening.JointInput) string {
	size := func(key string, to *quantity.Length) bool {
		f, ok := q.find(key)
		*to = quantity.Length(f.Value)
		return ok
	}
	switch seal.Kind {
	case "gasket":
		if !size("inner", &joint.RingInner) || !size("outer", &joint.RingOuter) {
			return "the seal " + seal.Name + " needs `inner` and `outer`"
		}
		material, ok := q.find("material")
		if !ok {
			return "the seal " + seal.Name + " has no `material`"
		}
		gasket, err := fastening.ParseGasket(material.Text)
		if err != nil {
			return "no factors are known for a gasket of " + material.Text
		}
		joint.Gasket = gasket
	case "o-ring":
		var section quantity.Length
		if !size("inside", &joint.RingInner) || !size("section", &section) {
			return "the seal " + seal.Name + " needs `inside` and `section`"
		}
		joint.RingOuter = joint.RingInner + 2*section
		joint.Gasket, _ = fastening.ParseGasket("O-ring")
	default:
		return source.Article(seal.Kind) + " is not clamped by a ring of screws"
	}
	if !size("bore", &joint.Bore) {
		joint.Bore = joint.RingInner
	}
	return ""
}
