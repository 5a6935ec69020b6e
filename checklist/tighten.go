package checklist

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fettle/checklist/boiler"
	"fettle/checklist/source"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// screwFigures are what a fastener's metal, hole and grade add to its figures.
func (x *filler) screwFigures(p *part, s *Fastener, in *fastenerInputs) {
	grade, hasGrade := input(x, p, "grade", s.Grade, fastening.ParseGrade)
	into, hasInto := input(x, p, "into", s.Into, fastening.ParseMetal)
	lubricant, hasLubricant := input(x, p, "lubricant", s.Lubricant, fastening.ParseLubricant)
	hole, hasHole := input(x, p, "hole", s.Hole, parseHole)
	edge, hasEdge := input(x, p, "edge", s.Edge, positiveLength)
	share, hasShare := input(x, p, "utilisation", s.Utilisation, parseUtilisation)
	p.echo("grade", grade.String(), hasGrade)
	p.echo("into", into.String(), hasInto)
	p.echo("lubricant", lubricant.String(), hasLubricant)
	p.echo("hole", hole.String(), hasHole)

	engaged, hasEngaged := x.engaged(p, s, in, hole)
	if !in.hasThread || hasGrade == notKnown || hasInto == notKnown || hasLubricant == notKnown || hasHole == notKnown ||
		hasEdge == notKnown || hasShare == notKnown || hasEngaged == notKnown {
		return
	}
	p.shallowThread(in, hole, s)
	if hasGrade == notGiven {
		p.lacks("it has no `grade`", torqueKeys[:]...)
		p.lacks("it has no `grade`", jointKeys[:]...)
		x.circleRoom(p, s, in)
		return
	}
	temperature := x.jointTemperature(s)
	wet := fastening.CheckWet(fastening.WetInput{Grade: grade, Into: into, Wet: hole.wet, Lubricant: lubricant, Temperature: temperature})
	hot := slices.ContainsFunc(wet, func(f check.Result) bool { return f.Rule == "metal-hot" })
	tighten := fastening.TightenInput{
		Thread: in.thread, Grade: grade, Head: in.head, Lubricant: lubricant, Edge: edge, Utilisation: share,
	}
	if hasInto == given && hasEngaged == given {
		tighten.Into, tighten.Depth = into, engaged
		tighten.Hole = in.thread.TapDrill(threads.StockDrills(), in.percent).Diameter
	}
	if !hot {
		tighten.Temperature = temperature
	}
	out, err := fastening.Tighten(tighten)
	if err != nil {
		p.wetFindings(wet)
		p.refuse(err)
		return
	}
	p.torqueFigures(out, share > 0)
	if x.jointFigures(p, s, in, &tighten, hole) {
		return // the joint's findings hold those of its screws
	}
	p.wetFindings(wet)
	// Without a share asked for the torque is the gentler one for hands.
	findings := out.Findings
	if share == 0 {
		findings = out.HandFindings()
	}
	for _, f := range findings {
		if f.Rule != "galling" {
			p.fasteningFinding(f)
		}
	}
	x.circleRoom(p, s, in)
}

func (p *part) wetFindings(list []check.Result) {
	for _, f := range list {
		p.fasteningFinding(f)
	}
}

var torqueKeys = [...]string{"torque", "torque_lbf_in", "first_pass", "second_pass", "preload", "friction", "limited_by"}

func (p *part) torqueFigures(out fastening.Tightening, full bool) {
	torque, preload := out.HandTorque, out.HandPreload
	source := "VDI 2230-1 and ISO 16047, at 0.6 of yield: for small pressure joints tightened by hand (common practice, no source)"
	limited := "hand"
	if full {
		torque, preload = out.Torque, out.Preload
		source = fmt.Sprintf("VDI 2230-1 and ISO 16047, combined stress %s of yield", trimNumber(out.Utilisation))
	}
	if full || preload >= out.Preload {
		limited = out.LimitedBy
	}
	p.number("torque", benchTorque(torque), torque.NM(), "N·m", source)
	p.number("torque_lbf_in", figures2(torque.LbfIn())+" lbf in", torque.LbfIn(), "lbf in", source)
	p.number("first_pass", benchTorque(torque*0.3), torque.NM()*0.3, "N·m", "30 % of the torque (common practice, no source)")
	p.number("second_pass", benchTorque(torque*0.6), torque.NM()*0.6, "N·m", "60 % of the torque (common practice, no source)")
	p.number("preload", preload.String(), preload.N(), "N", source)
	friction := trimNumber(out.Friction.Nominal)
	if out.Friction.Assumed {
		friction += " (assumed)"
	}
	p.number("friction", friction, out.Friction.Nominal, "", out.Friction.Condition+"; "+out.Friction.Source)
	if limited == "hand" {
		p.add("limited_by", "tightening by hand", source)
	} else {
		p.add("limited_by", limited, source)
	}
}

// echo shows what a key says, in its usual form.
func (p *part) echo(key, text string, state inputState) {
	switch state {
	case given:
		p.add(key, text, "the procedure")
	case notGiven:
		p.lacks("it has no `"+key+"`", key)
	}
}

func (p *part) fasteningFinding(f check.Result) {
	key := "grade"
	switch f.Rule {
	case "engagement-short", "few-threads", "strip-limits", "strips-first":
		key = "depth"
	case "thread-height":
		key = "engagement"
	case "thin-wall":
		key = "edge"
	case "galling", "friction-assumed":
		key = "lubricant"
	case "hole-unknown":
		key = "hole"
	case "reserve", "one-lost", "seating-practice", "gasket-crushed", "ring-in-bore", "full-face":
		key = "joint"
	case "pitch-wide", "heads-clash", "web-thin", "holes-cut-ring", "narrow-land":
		key = "circle"
	case "deference":
		return // said once for the whole program
	}
	if key == "depth" && p.at.Field(key) == nil {
		key = "length"
	}
	p.finding(f, key)
}

// engaged is how much full thread the screw has in the metal: what its length
// leaves after cover, washer and gasket, and no more than the depth of thread.
func (x *filler) engaged(p *part, s *Fastener, in *fastenerInputs, hole holeKind) (quantity.Length, inputState) {
	cover, hasCover := input(x, p, "cover", s.Cover, positiveLength)
	washer, hasWasher := input(x, p, "washer", s.Washer, positiveLength)
	depth, hasDepth := input(x, p, "depth", s.Depth, positiveLength)
	gasket, hasGasket := x.gasketThickness(s)
	if hasCover == notKnown || hasWasher == notKnown || hasDepth == notKnown || hasGasket == notKnown || s.Length != "" && !in.hasLength {
		return 0, notKnown
	}
	p.echoLength("cover", cover, hasCover)
	p.echoLength("depth", depth, hasDepth)
	if !in.hasLength || hasCover != given || !in.hasThread {
		if hasDepth == given {
			p.number("engaged", benchTenth(depth), depth.MM(), "mm", "the depth of thread in the hole")
			return depth, given
		}
		p.lacks("it needs `length` and `cover`, or `depth`", "engaged")
		return 0, notGiven
	}
	reach := in.length - cover - washer - gasket
	engaged, source := reach, "calculated: length - cover - washer - gasket"
	if hasDepth == given && depth < reach {
		engaged, source = depth, "the depth of thread in the hole"
	}
	switch {
	case reach <= 0:
		p.finding(check.Result{Rule: ruleScrewShort, Severity: check.Stop, Source: "calculated",
			Message: fmt.Sprintf("the screw of %s does not reach through %s of cover, washer and gasket", benchLength(in.length), benchLength(in.length-reach))}, "length")
		p.lacks("the screw is too short", "engaged")
		return 0, notGiven
	case hole.blind && hasDepth == given && reach > depth-in.thread.Pitch:
		p.finding(check.Result{Rule: ruleScrewBottoms, Severity: check.Stop, Source: "least room: one pitch under the screw (common practice, no source)",
			Message: fmt.Sprintf("the screw bottoms: %s of it enter a hole with %s of thread; it may enter by %s", benchLength(reach), benchLength(depth), benchLength(max(0, depth-in.thread.Pitch)))}, "length")
	case hole.blind && hasDepth == notGiven:
		p.finding(check.Result{Rule: ruleBlindDepth, Severity: check.Ask, Source: "common practice, no source",
			Message: "the hole is blind and its depth of thread is not given: does the screw bottom?"}, "hole")
	}
	p.number("engaged", benchTenth(engaged), engaged.MM(), "mm", source)
	return engaged, given
}

func (p *part) echoLength(key string, l quantity.Length, state inputState) {
	if state == given {
		p.length(key, l, "the procedure")
	} else if state == notGiven {
		p.lacks("it has no `"+key+"`", key)
	}
}

// shallowThread judges the height of thread that the tapping drill leaves.
// 55° and 47½° threads count on their full form, where less than 55 % is weak
// and less than 40 % no thread for pressure; 60° threads count on 1.299 P,
// where the same metal reads 52 and 37.5 %.
func (p *part) shallowThread(in *fastenerInputs, hole holeKind, s *Fastener) {
	weak, useless := 55.0, 40.0
	if in.thread.Form == threads.ISO68 || in.thread.Form == threads.Unified {
		weak, useless = 52, 37.5
	}
	percent := in.thread.TapDrill(threads.StockDrills(), in.percent).EngagementPercent
	f := check.Result{Rule: ruleShallowThread, Source: "common practice, no source",
		Message: fmt.Sprintf("the drill leaves %s %% of thread height; less than %s %% is weak", rounded(percent, 0), trimNumber(weak))}
	switch {
	case percent < useless && (hole.wet || s.Joint != ""):
		f.Severity = check.Stop
	case percent < weak:
		f.Severity = check.Warn
	default:
		return
	}
	p.finding(f, "engagement")
}

// jointSeal finds the seal that `joint` names, with its part.
func (x *filler) jointSeal(s *Fastener) (*Seal, *part) {
	if s.Joint == "" {
		return nil, nil
	}
	raw, ok := x.quietly(s.Joint)
	if !ok {
		return nil, nil
	}
	for i := range x.p.Seals {
		if x.p.Seals[i].Name == strings.TrimSpace(raw) {
			return &x.p.Seals[i], x.parts[x.p.Seals[i].Name]
		}
	}
	return nil, nil
}

// gasketThickness is how much of a screw's length the gasket of its joint takes.
func (x *filler) gasketThickness(s *Fastener) (quantity.Length, inputState) {
	seal, p := x.jointSeal(s)
	if seal == nil || seal.Values["thickness"] == "" {
		return 0, notGiven
	}
	p.ready()
	if f, ok := p.find("thickness"); ok {
		return quantity.Length(f.Value), given
	}
	return 0, notKnown
}

// jointTemperature is how hot the seal of the joint gets; 0 where not known.
func (x *filler) jointTemperature(s *Fastener) quantity.Temperature {
	seal, p := x.jointSeal(s)
	if seal == nil {
		return 0
	}
	p.ready()
	if f, ok := p.find("temperature"); ok {
		return quantity.Temperature(f.Value)
	}
	return 0
}

// holeKind is what a tapped hole is like.
type holeKind struct{ wet, blind bool }

func (h holeKind) String() string {
	words := "dry"
	if h.wet {
		words = "wet"
	}
	if h.blind {
		words += ", blind"
	}
	return words
}

// parseHole reads "wet", "dry", "blind" or two of them.
func parseHole(s string) (holeKind, error) {
	var h holeKind
	dry, through := false, false
	for _, word := range strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == ',' }) {
		switch word {
		case "wet":
			h.wet = true
		case "blind":
			h.blind = true
		case "dry":
			dry = true
		case "through":
			through = true
		case "and":
		default:
			return h, errors.New(source.Shown(word) + " is no kind of hole; " + source.DidYouMean(word, []string{"wet", "dry", "blind"}))
		}
	}
	if through && !h.wet && !dry {
		return h, errors.New(`"through" does not say where the hole leads; wet (to water or steam) or dry`)
	}
	if h.wet && dry {
		return h, errors.New("a hole is wet or dry, not both")
	}
	return h, nil
}

// parseUtilisation reads a share of the yield stress: "0.6", "60 %".
func parseUtilisation(s string) (float64, error) {
	v, err := parseShare(s)
	if err != nil {
		return 0, err
	}
	if strings.Contains(s, "%") {
		v /= 100
	}
	if v < 0.1 || v > 0.9 {
		return 0, fmt.Errorf("%s is no share of the yield stress to tighten to; write 0.1 to 0.9", source.Shown(s))
	}
	return v, nil
}

// circleRoom judges whether heads and gasket have room on the bolt circle.
func (x *filler) circleRoom(p *part, s *Fastener, in *fastenerInputs) {
	if in.circle == 0 || !in.hasThread {
		return
	}
	if in.places >= 2 {
		chord := in.circle * quantity.Length(math.Sin(math.Pi/float64(in.places)))
		if head, ok := p.find("head_diameter"); ok && quantity.Length(head.Value) > chord {
			p.finding(check.Result{Rule: ruleHeadsClash, Severity: check.Stop, Source: "calculated: circle × sin(180° / count)",
				Message: fmt.Sprintf("the heads of %s are wider than the %s from one to the next", head.Text, benchLength(chord))}, "circle")
		}
	}
	seal, q := x.jointSeal(s)
	if seal == nil || seal.Kind != "gasket" {
		return
	}
	q.ready()
	inner, ok1 := q.find("inner")
	outer, ok2 := q.find("outer")
	bore, ok3 := q.find("bore")
	hole := in.thread.Clearance().Medium
	if !ok1 || !ok2 {
		return
	}
	if !ok3 {
		bore = inner
	}
	if quantity.Length(outer.Value) >= in.circle+hole {
		return // a full-face gasket, with the screws through it
	}
	size, err := boiler.GasketSize(boiler.GasketInput{
		Bore: quantity.Length(bore.Value), BoltCircle: in.circle, Hole: hole,
		Inside: quantity.Length(inner.Value), Outside: quantity.Length(outer.Value),
	})
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, p.at.Field("circle"), source.PlainError(err), "")
		return
	}
	p.boilerFindings(size.Findings, "circle")
}
