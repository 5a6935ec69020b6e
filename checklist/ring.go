package checklist

import (
	"fmt"
	"math"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

var ringFigures = [...]FigureKey{
	{"section", "Ring thickness", "of the free ring"},
	{"inside", "Ring inside", "of the free ring"},
	{"stretch", "Stretch", "of the inside, in percent"},
	{"squeeze", "Squeeze", "of the thickness, in percent"},
	{"fill", "Fill", "of the groove, in percent"},
	{"groove_depth", "Groove depth to make", "for the middle of the published squeeze"},
	{"groove_width", "Groove width to make", "for a fill of 75 %"},
	{"bore", "Bore to make", "round a ring on a spindle"},
	{"lead_in", "Lead-in chamfer", "least length, at 15 to 20°"},
	{"spindle", "Spindle", "what the ring sits on"},
	{"box", "Bore", "what the ring seals in"},
	{"gap", "Room for the ring", "between spindle and bore"},
	{"width", "Groove width", "as it is, along the spindle"},
}

// ringInputs are the sizes of an O-ring and of the place it goes.
type ringInputs struct {
	section, inside, spindle, box, width quantity.Length
	states                               map[string]inputState
}

func (in *ringInputs) has(keys ...string) bool {
	for _, key := range keys {
		if in.states[key] != given {
			return false
		}
	}
	return true
}

// workRing works out the groove for an O-ring, and how the ring sits on a
// spindle in a bore.
func (x *filler) workRing(p *part, s *Seal) {
	in := ringInputs{states: map[string]inputState{}}
	for _, v := range [...]struct {
		key string
		to  *quantity.Length
	}{{"section", &in.section}, {"inside", &in.inside}, {"spindle", &in.spindle}, {"box", &in.box}, {"width", &in.width}} {
		var state inputState
		*v.to, state = input(x, p, v.key, s.Values[v.key], positiveLength)
		in.states[v.key] = state
		p.echoLength(v.key, *v.to, state)
	}
	use, useState := input(x, p, "use", s.Values["use"], boiler.ParseRingUse)
	if useState == notGiven {
		use = boiler.FaceSeal
		if s.Values["spindle"] != "" {
			use = boiler.SlidingSeal
		}
	}
	made := [...]string{"stretch", "squeeze", "fill", "groove_depth", "groove_width", "bore", "lead_in"}
	for _, key := range [...]string{"section", "inside"} {
		if in.states[key] == notGiven {
			p.lacks("it has no `"+key+"`", made[:]...)
		}
	}
	if in.has("spindle", "box") {
		if in.box <= in.spindle {
			p.refuseAt(p.at.Field("box"), fmt.Sprintf("the bore, %s, is not larger than the spindle, %s", benchLength(in.box), benchLength(in.spindle)))
			return
		}
		p.length("gap", (in.box-in.spindle)/2, "calculated: (box - spindle) / 2")
	} else {
		p.lacks("it needs `spindle` and `box`", "gap", "squeeze", "fill")
	}
	if !in.has("section", "inside") || useState == notKnown || in.states["spindle"] == notKnown {
		return
	}
	ring := boiler.Ring{Inside: in.inside, Section: in.section}
	groove, err := boiler.GrooveFor(boiler.GrooveInput{Ring: ring, Use: use, Spindle: in.spindle})
	if err != nil {
		p.refuse(err)
		return
	}
	const guides = "published O-ring groove guides"
	p.length("groove_depth", groove.Depth, guides)
	p.length("groove_width", groove.Width, guides)
	p.length("lead_in", groove.LeadIn, guides)
	if in.spindle == 0 {
		p.lacks("it has no `spindle`", "stretch", "bore")
		return
	}
	p.length("bore", groove.Outside, guides)
	p.number("stretch", rounded(groove.StretchPercent, 1)+" %", groove.StretchPercent, "%", "calculated: (spindle - inside) / inside")
	if in.box > 0 {
		x.ringInBore(p, &in, use, &groove)
	}
	for _, f := range groove.Findings {
		// What is said about the groove to make is right by its making.
		if f.Rule == "stretch" || f.Severity == check.Note {
			p.boilerFindings([]check.Result{f}, "inside")
		}
	}
}

// ringInBore judges the ring in the bore that is there.
func (x *filler) ringInBore(p *part, in *ringInputs, use boiler.RingUse, groove *boiler.Groove) {
	const guides = "published O-ring groove guides"
	gap := (in.box - in.spindle) / 2
	left := groove.SectionInstalled
	squeeze := float64((left - gap) / left * 100)
	p.number("squeeze", rounded(squeeze, 0)+" %", squeeze, "%", guides)
	low, high := groove.SqueezeLowPercent, groove.SqueezeHighPercent
	f := check.Result{Rule: ruleSqueeze, Source: guides, Severity: check.Warn,
		Message: fmt.Sprintf("squeeze %s %%, where %s to %s %% belong to a %s seal", rounded(squeeze, 0), trimNumber(low), trimNumber(high), use)}
	switch {
	case squeeze <= 0 && use != boiler.TurningSeal:
		f.Severity, f.Message = check.Stop, "the bore does not squeeze the ring at all"
		p.finding(f, "box")
	case squeeze < low-1e-9 || squeeze > high+1e-9:
		p.finding(f, "box")
	}
	if in.states["width"] != given {
		p.lacks("it has no `width`", "fill")
		return
	}
	fill := math.Pi / 4 * float64(left*left/(gap*in.width)) * 100
	p.number("fill", rounded(fill, 0)+" %", fill, "%", guides)
	f = check.Result{Rule: ruleFill, Source: guides, Severity: check.Warn,
		Message: fmt.Sprintf("the ring fills %s %% of its groove, where 60 to 85 %% belong", rounded(fill, 0))}
	switch {
	case fill > 90:
		f.Severity = check.Stop
		f.Message = fmt.Sprintf("the ring fills %s %% of its groove: above 90 %% it locks solid", rounded(fill, 0))
		p.finding(f, "width")
	case fill > 85 || fill < 60:
		p.finding(f, "width")
	}
}
