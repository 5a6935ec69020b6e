package checklist

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettle/checklist/source"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

var fastenerFigures = [...]FigureKey{
	{"thread", "Thread", "its usual name"},
	{"count", "How many", ""},
	{"length", "Length", "of the screw"},
	{"tap_drill", "Tapping drill", "by its name"},
	{"tap_diameter", "Tapping drill diameter", ""},
	{"tap_percent", "Thread depth", "that the tapping drill leaves, in percent; the basis stands in the source"},
	{"clearance", "Clearance hole", "the medium fit; of a gland or union nut only where it is named"},
	{"clearance_fine", "Close clearance hole", ""},
	{"clearance_coarse", "Free clearance hole", ""},
	{"spanner", "Spanner", "across flats"},
	{"key", "Hexagon key", "for a socket"},
	{"head_diameter", "Head diameter", "over the corners of a hexagon"},
	{"head_height", "Head height", ""},
	{"countersink", "Countersink diameter", "at the surface, for a head that sits flush"},
	{"countersink_angle", "Countersink angle", ""},
	{"major", "Outside diameter", "of the thread"},
	{"pitch", "Pitch", ""},
	{"tpi", "Threads per inch", "only where the pitch is in inches"},
	{"circle", "Bolt circle", "diameter"},
	{"chord", "Hole to hole", "straight from one to the next"},
	{"angle", "Angle", "from one to the next"},
	{"coordinates", "Holes from the centre", "to the right and upwards, in mm, each by its number"},
	{"grade", "Grade", ""},
	{"into", "Tapped metal", ""},
	{"hole", "Hole", ""},
	{"lubricant", "On the thread", ""},
	{"cover", "Cover", "thickness of what the screw goes through"},
	{"depth", "Depth of thread", "in the hole"},
	{"engaged", "Thread in the metal", "what holds: the screw's reach, at most the depth of thread"},
	{"torque", "Torque", "for hands: 0.6 of yield; with `utilisation` that share"},
	{"torque_lbf_in", "Torque in lbf in", ""},
	{"first_pass", "First pass", "30 % of the torque"},
	{"second_pass", "Second pass", "60 % of the torque"},
	{"preload", "Preload", "what each screw presses with"},
	{"friction", "Friction", "in the thread, by what is on it"},
	{"limited_by", "Limited by", "yield, strip or tightening by hand"},
	{"order", "Order of tightening", "the fasteners numbered round the circle"},
	{"joint_load", "Load on the joint", "what all fasteners together have to press with"},
	{"per_bolt", "Load on each", "its share"},
	{"reserve", "Reserve", "preload of all over the load on the joint"},
	{"reserve_one_lost", "Reserve with one lost", ""},
	{"pilot", "First drill", "of a broken screw, left-handed; shown only where a text or `figures` names it"},
	{"core", "Last drill", "of a broken screw, the largest that spares the thread, by `drill_off`; likewise"},
	{"extractor_low", "Extractor's hole, least", "of a broken screw; likewise"},
	{"extractor_high", "Extractor's hole, most", "of a broken screw; likewise"},
	{"hold_turns", "Turns that hold", "by fingers, for the length of thread that a torque counts on; shown only where it is named"},
	{"off_centre", "Off the middle, most", "of the first drill, before the thread is given up; likewise"},
	{"edge_least", "Centre to edge, least", "a diameter of metal beside the thread; shown only where it is named"},
	{"web_least", "Centre to next hole, least", "a diameter of metal between two such threads; likewise"},
}

// shearedFigures are the figures of a broken screw. They are worked out and
// shown only where they are named: on every other step they would be in the way.
var shearedFigures = [...]string{"pilot", "core", "extractor_low", "extractor_high", "off_centre", "hold_turns"}

// fastenerInputs is what a fastener's keys say, understood.
type fastenerInputs struct {
	thread    threads.Thread
	hasThread bool
	head      threads.HeadKind
	length    quantity.Length
	hasLength bool
	count     int
	places    int // of the whole circle, with those that are another part now
	percent   float64
	circle    quantity.Length
	start     quantity.Angle
	spanner   quantity.Length
	nut       bool
}

// isNut reports a fastener that is a nut itself and goes through no hole: one that
// a gland names as its `nut`, or that is known by its flats alone, as a union nut
// is.
func (x *filler) isNut(p *part, s *Fastener, in fastenerInputs) bool {
	if in.head != "" || s.Grade != "" || in.hasLength {
		return false
	}
	return in.spanner > 0 || slices.ContainsFunc(x.p.Seals, func(seal Seal) bool { return seal.Values["nut"] == p.name })
}

// likelyIn says whether a text names a setting that is a thread only probably.
func (x *filler) likelyIn(text string) bool {
	for name, a := range x.answers {
		if a.likely && strings.Contains(text, "${"+name+"}") {
			return true
		}
	}
	return false
}

func (x *filler) workFastener(p *part, s *Fastener) {
	var in fastenerInputs
	var state inputState
	in.thread, state = input(x, p, "thread", s.Thread, threads.Parse)
	in.hasThread = state == given
	p.likely = in.hasThread && x.likelyIn(s.Thread)
	in.head, _ = input(x, p, "head", s.Head, parseHead)
	in.length, state = input(x, p, "length", s.Length, positiveLength)
	in.hasLength = state == given
	in.count, _ = input(x, p, "count", s.Count, countFrom1)
	in.places, p.places = in.count, in.count
	in.count = max(0, in.count-s.gone)
	in.percent, _ = input(x, p, "engagement", s.Engagement, parsePercent)
	in.circle, _ = input(x, p, "circle", s.Circle, positiveLength)
	in.start, _ = input(x, p, "start", s.Start, quantity.ParseAngle)
	in.spanner, _ = input(x, p, "spanner", s.Spanner, positiveLength)

	in.nut = x.isNut(p, s, in)
	if in.hasThread {
		p.threadFigures(&in)
		off, _ := input(x, p, "drill_off", s.DrillOff, offMiddle)
		p.rare = func() { x.shearedScrew(p, s, in.thread, off) }
	}
	p.circleFigures(&in)
	x.checkJointName(p, s)
	x.screwFigures(p, s, &in)
	if s.like != "" {
		x.asTheOthers(p, s)
	}
}

// checkJointName reports a `joint` that names no seal.
func (x *filler) checkJointName(p *part, s *Fastener) {
	name, state := input(x, p, "joint", s.Joint, func(s string) (string, error) { return s, nil })
	if state != given {
		return
	}
	names := make([]string, len(x.p.Seals))
	for i, seal := range x.p.Seals {
		if names[i] = seal.Name; seal.Name == name {
			x.name(x.parts[name])
			return
		}
	}
	x.f.Value(check.Stop, source.RuleUnknownName, p.at.Field("joint"), fmt.Sprintf("there is no seal %s", source.Shown(name)), x.f.Suggest(name, names))
}

// threadFigures are the figures that follow from the thread and its head.
func (p *part) threadFigures(in *fastenerInputs) {
	t := in.thread
	p.add("thread", t.String(), strings.Join(t.Sources(), "; "))
	if in.count > 0 {
		p.number("count", strconv.Itoa(in.count), float64(in.count), "", "the procedure")
	} else {
		p.lacks("it has no `count`", "count")
	}
	if in.hasLength {
		p.length("length", in.length, "the procedure")
	} else {
		p.lacks("it has no `length`", "length")
	}
	if t.Tapped() {
		drill := t.TapDrill(threads.StockDrills(), in.percent)
		f := p.add("tap_drill", drillName(drill.Drill), drill.Source)
		f.Value, f.Unit = drill.Diameter.MM(), "mm"
		p.length("tap_diameter", drill.Diameter, drill.Source)
		p.number("tap_percent", strconv.Itoa(int(drill.EngagementPercent+0.5))+" %", drill.EngagementPercent, "%", t.EngagementBasis())
	} else {
		p.lacks(t.String()+" is external; its hole is Rc or Rp", "tap_drill", "tap_diameter", "tap_percent")
	}
	c := t.Clearance()
	for _, hole := range [...]struct {
		key string
		d   quantity.Length
	}{{"clearance", c.Medium}, {"clearance_fine", c.Fine}, {"clearance_coarse", c.Coarse}} {
		if in.nut {
			p.asideLength(hole.key, benchLength(hole.d), hole.d, c.Source)
		} else {
			p.length(hole.key, hole.d, c.Source)
		}
	}
	p.headFigures(in)
	p.length("major", t.Major, strings.Join(t.Sources(), "; "))
	// The rescue look-up judges hole and rim by the same measures.
	p.asideLength("edge_least", benchLength(1.5*t.Major), 1.5*t.Major, practice)
	p.asideLength("web_least", benchLength(2*t.Major), 2*t.Major, practice)
	p.length("pitch", t.Pitch, strings.Join(t.Sources(), "; "))
	if t.TPI > 0 {
		p.number("tpi", trimNumber(t.TPI), t.TPI, "", strings.Join(t.Sources(), "; "))
	} else {
		p.lacks("the pitch of "+t.String()+" is metric", "tpi")
	}
}

// shearedScrew adds the figures of a broken screw of that thread.
func (x *filler) shearedScrew(p *part, s *Fastener, t threads.Thread, off quantity.Length) {
	var metal fastening.Metal // without one the drills are the same
	if raw, ok := x.quietly(s.Into); ok && s.Into != "" {
		metal, _ = fastening.ParseMetal(raw)
	}
	plan, err := fastening.Sheared(t, metal, threads.StockDrills(), off)
	if err != nil {
		p.lacks(source.PlainError(err), shearedFigures[:]...)
		return
	}
	x.holdTurns(p, t, metal)
	source := strings.Join(plan.Sources, "; ")
	add := func(key, text string, l quantity.Length) { p.asideLength(key, text, l, source) }
	add("pilot", drillName(plan.Pilot), plan.Pilot.Diameter)
	add("core", drillName(plan.Core), plan.Core.Diameter)
	add("off_centre", benchLength(plan.OffCentre), plan.OffCentre)
	if plan.ExtractorLow > 0 {
		add("extractor_low", benchTenth(plan.ExtractorLow), plan.ExtractorLow)
		add("extractor_high", benchTenth(plan.ExtractorHigh), plan.ExtractorHigh)
	} else {
		p.unknown("extractor_low", "the screw is too small for an extractor")
		p.unknown("extractor_high", "the screw is too small for an extractor")
	}
}

// fullThread is the length of thread in diameters that holds a screw where the tapped
// metal is not known: that of the softest of those that boilers are made of.
const fullThread = 1.5

// holdTurns is how many turns a screw has to go in by fingers for its torque to hold.
func (x *filler) holdTurns(p *part, t threads.Thread, metal fastening.Metal) {
	share, source := fullThread, "1.5 diameters of thread, as in bronze and copper (common practice, no source)"
	if !metal.IsZero() {
		share, source = metal.Engagement, metal.EngagementSource
	}
	turns := math.Ceil(share*float64(t.Major/t.Pitch) - 1e-9)
	p.aside = append(p.aside, Figure{Key: p.name + ".hold_turns", Label: figureLabel(p.kind, "hold_turns"), Text: fmt.Sprintf("%.0f", turns), Source: source, Value: turns, Unit: "turns"})
}

// drillName is a drill by its name, with its diameter where that is not its name.
func drillName(d threads.Drill) string {
	if d.Kind == threads.MetricDrill {
		return d.Name
	}
	return d.Name + " (" + benchLength(d.Diameter) + ")"
}

func (p *part) length(key string, l quantity.Length, source string) {
	p.number(key, benchLength(l), l.MM(), "mm", source)
}

// asideLength is a length that is shown only where it is named.
func (p *part) asideLength(key, text string, l quantity.Length, source string) {
	p.aside = append(p.aside, Figure{Key: p.name + "." + key, Label: figureLabel(p.kind, key), Text: text, Source: source, Value: l.MM(), Unit: "mm"})
}

func (p *part) headFigures(in *fastenerInputs) {
	var head threads.Head
	found := false
	for _, h := range in.thread.Heads() {
		if h.Kind == in.head && !h.Old {
			head, found = h, true
			break
		}
	}
	switch size, standard, ok := in.thread.Spanner(); {
	case in.spanner > 0:
		p.length("spanner", in.spanner, "the procedure")
		if in.spanner <= in.thread.Major {
			p.finding(check.Result{Rule: ruleFlats, Severity: check.Stop, Source: "calculated",
				Message: fmt.Sprintf("%s across the flats is no wider than the thread, %s: measure both again", in.spanner, in.thread.Major)}, "spanner")
		}
	case found && head.AcrossFlats > 0:
		p.length("spanner", head.AcrossFlats, head.Standard)
	case in.head != "" && in.head != threads.HexHead:
		p.lacks(source.Article(string(in.head))+" head takes no spanner", "spanner")
	case ok:
		p.length("spanner", size, standard)
	default:
		p.unknown("spanner", "no standard gives one for "+in.thread.String()+"; measure it and write it as `spanner`")
	}
	if !found {
		for _, key := range [...]string{"key", "head_diameter", "head_height", "countersink", "countersink_angle"} {
			if in.head == "" {
				p.lacks("it has no `head`", key)
			} else {
				p.unknown(key, fmt.Sprintf("no standard at hand gives %s head for %s; measure it", source.Article(string(in.head)), in.thread))
			}
		}
		return
	}
	for _, v := range [...]struct {
		key    string
		l      quantity.Length
		absent string
	}{
		{"key", head.Key, "the head has no socket"},
		{"head_diameter", head.HeadDiameter, "no source gives it"},
		{"head_height", head.Height, "no source gives it"},
		{"countersink", head.CountersinkDiameter, "the head is not countersunk"},
	} {
		switch {
		case v.l > 0 && v.key == "key" && head.Inch:
			p.number(v.key, head.KeyMark()+" ("+benchLength(v.l)+")", v.l.MM(), "mm", head.Standard)
		case v.l > 0:
			p.length(v.key, v.l, head.Standard)
		default:
			p.lacks(v.absent, v.key)
		}
	}
	if head.CountersinkAngle > 0 {
		p.number("countersink_angle", head.CountersinkAngle.String(), head.CountersinkAngle.Degrees(), "°", head.Standard)
	} else {
		p.lacks("the head is not countersunk", "countersink_angle")
	}
}

// countFrom1 reads a count of at least one.
func countFrom1(s string) (int, error) {
	n, err := parseCount(s)
	if err == nil && (n < 1 || n > 200) {
		err = fmt.Errorf("%s is not a count of fasteners; write a number from 1 to 200", source.Shown(s))
	}
	return n, err
}

// positiveLength reads a length above nought and up to ten metres.
func positiveLength(s string) (quantity.Length, error) {
	l, err := quantity.ParseLength(s)
	if err == nil && (l <= 0 || l > 10_000) {
		err = fmt.Errorf("%s is no size; it has to be more than 0 and at most 10 m", source.Shown(s))
	}
	return l, err
}

// offMiddle reads how far a drill is off the middle, from nought.
func offMiddle(s string) (quantity.Length, error) {
	l, err := quantity.ParseLength(s)
	if err == nil && (l < 0 || l > 100) {
		err = fmt.Errorf("no drill is %s off the middle; write 0 to 100 mm", source.Shown(s))
	}
	return l, err
}

// parsePercent reads a height of thread in percent, 30 to 100.
func parsePercent(s string) (float64, error) {
	v, err := parseShare(s)
	if err != nil {
		if _, isLength := quantity.ParseLength(s); isLength == nil {
			return 0, errors.New("`engagement` is the height of thread in percent; the length of thread in the hole is `depth`")
		}
		return 0, err
	}
	if v < 30 || v > 100 {
		return 0, fmt.Errorf("%s %% is no height of thread; write 30 to 100", trimNumber(v))
	}
	return v, nil
}

func parseHead(s string) (threads.HeadKind, error) {
	names := []string{string(threads.HexHead), string(threads.SocketHead), string(threads.CountersunkHead), string(threads.CheeseHead)}
	for _, name := range names {
		if strings.EqualFold(name, s) {
			return threads.HeadKind(name), nil
		}
	}
	return "", errors.New(source.Shown(s) + " is no kind of head; " + source.DidYouMean(s, names))
}
