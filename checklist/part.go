package checklist

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// part is a fastener, a seal or a pressure test while its figures are worked out.
type part struct {
	x       *filler
	name    string
	label   string
	kind    string // "fastener", or the kind of the seal
	at      *source.Place
	when    []Condition
	applies bool                   // its `when` holds
	places  int                    // of a fastener: how many there are, with those that are another part now
	scale   quantity.PressureScale // of a test: what its pressures are shown in first
	named   bool                   // something names it
	used    bool                   // something that applies names it

	accept    []Accept
	findings  []placedFinding
	figures   []Figure
	problems  map[string]string // figure key to why it cannot be worked out
	absent    map[string]bool   // figures that no source gives; their problem says what to do
	anaerobic bool              // cures without air, and needs time for it
	likely    bool              // its thread was identified and not tried
	silent    bool              // an input is not known, and that has been said
	work      func()            // works out the figures; nil once done
	rare      func()            // works out those of aside; nil once done
	aside     []Figure          // shown only where they are named
}

// A placedFinding is a finding of a rule with the key it is about.
type placedFinding struct {
	check.Result
	key string
}

// finding keeps what a rule found; whether it is reported depends on whether
// the part is used.
func (p *part) finding(f check.Result, key string) {
	p.findings = append(p.findings, placedFinding{f, key})
}

// FigureKey describes one figure that ${name.key} can show.
type FigureKey struct{ Key, Label, About string }

func (x *filler) openParts() {
	x.parts = make(map[string]*part, len(x.p.Fasteners)+len(x.p.Seals))
	for i := range x.p.Fasteners {
		s := &x.p.Fasteners[i]
		p := x.open(s.Name, s.Label, "fastener", s.at, s.When)
		p.accept = s.Accept
		p.work = func() { x.workFastener(p, s) }
	}
	for i := range x.p.Seals {
		s := &x.p.Seals[i]
		p := x.open(s.Name, s.Label, s.Kind, s.at, s.When)
		p.accept = s.Accept
		p.work = func() { x.workSeal(p, s) }
	}
	for i := range x.p.Tests {
		s := &x.p.Tests[i]
		p := x.open(s.Name, s.Label, "test", s.at, s.When)
		p.accept = s.Accept
		p.work = func() { x.workTest(p, s) }
	}
	x.anywhere = true
	x.listWorkedOut()
	for _, name := range x.partNames() {
		x.parts[name].applies = x.unmet(x.parts[name].when) == ""
	}
	// Every part is worked out, used or not: a mistake in it is a mistake.
	for i := range x.p.Fasteners {
		x.parts[x.p.Fasteners[i].Name].ready()
	}
	for i := range x.p.Seals {
		x.parts[x.p.Seals[i].Name].ready()
	}
	for i := range x.p.Tests {
		x.parts[x.p.Tests[i].Name].ready()
	}
	for i := range x.p.Figures {
		x.workOut(x.worked[x.p.Figures[i].Name])
	}
	x.anywhere = false
}

func (x *filler) open(name, label, kind string, at *source.Place, when []Condition) *part {
	if label == "" {
		label = strings.NewReplacer("_", " ", "-", " ").Replace(name)
	}
	p := &part{x: x, name: name, label: label, kind: kind, at: at, when: when, applies: true,
		problems: map[string]string{}, absent: map[string]bool{}}
	x.parts[name] = p
	return p
}

func (p *part) ready() {
	if work := p.work; work != nil {
		p.work = nil
		// A part that does not apply may lack what is not asked then.
		ignoring := p.x.ignoring
		p.x.ignoring = ignoring || !p.applies
		work()
		p.x.ignoring = ignoring
		order := figureNames(p.kind)
		slices.SortStableFunc(p.figures, func(a, b Figure) int {
			return slices.Index(order, a.Key[len(p.name)+1:]) - slices.Index(order, b.Key[len(p.name)+1:])
		})
	}
}

// refuse reports that the sums cannot be done with what the part says. Where the
// part does not apply nobody meant them to: a spindle that no default of the
// O-ring fits is no mistake under packing.
func (p *part) refuse(err error) { p.refuseAt(p.at, source.PlainError(err)) }

func (p *part) refuseAt(at *source.Place, message string) {
	p.silent = true
	if p.applies {
		p.x.f.Value(check.Stop, source.RuleValue, at, message, "")
	}
}

// add adds a figure; they are put in the order of showing at the end.
func (p *part) add(key, text, source string) *Figure {
	p.figures = append(p.figures, Figure{Key: p.name + "." + key, Label: figureLabel(p.kind, key), Text: text, Source: source})
	return &p.figures[len(p.figures)-1]
}

// number adds a figure that is a number.
func (p *part) number(key, text string, v float64, unit, source string) {
	f := p.add(key, text, source)
	f.Value, f.Unit = v, unit
}

// lacks says why figures cannot be worked out.
func (p *part) lacks(why string, keys ...string) {
	for _, k := range keys {
		p.problems[k] = why
	}
}

// unknown says that no source gives a figure, and what to do instead.
func (p *part) unknown(key, instead string) {
	p.problems[key], p.absent[key] = instead, true
}

func (p *part) find(key string) (Figure, bool) {
	if rare := p.rare; rare != nil && slices.Contains(shearedFigures[:], key) {
		p.rare = nil
		rare()
	}
	for _, list := range [...][]Figure{p.figures, p.aside} {
		for _, f := range list {
			if f.Key == p.name+"."+key {
				return f, true
			}
		}
	}
	return Figure{}, false
}

// figure is what stands for ${part.figure}.
func (x *filler) figure(r source.Reference, report reporter) (value, bool) {
	p := x.parts[r.Name]
	if p == nil {
		if x.answers[r.Name] != nil {
			return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%s is a setting and has no figures", source.Shown(r.Name)), "${"+r.Name+"}")
		}
		if x.worked[r.Name] != nil || x.readingsByName()[r.Name] != nil {
			return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%s has no figures of its own", source.Shown(r.Name)), "${"+r.Name+"}")
		}
		if x.readingsByName()[r.Figure] != nil { // as it was written before
			return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("there is no fastener, seal or test %s", source.Shown(r.Name)), "what was read in an earlier step is ${"+r.Figure+"}")
		}
		return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("there is no fastener, seal or test %s", source.Shown(r.Name)), x.f.Suggest(r.Name, x.partNames()))
	}
	x.name(p)
	if p.kind == "" {
		return value{text: "[" + r.Name + "." + r.Figure + "]"}, false
	}
	if f, ok := p.find(r.Figure); ok {
		// What is worked out from a figure is worked out from what is shown, so
		// that a limit agrees with the figure beside it.
		raw, _, _ := strings.Cut(f.Text, " (")
		return value{raw: raw, text: f.Text, number: f.Value}, true
	}
	keys := figureNames(p.kind)
	if !slices.Contains(keys, r.Figure) {
		v, _ := report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%s has no figure %s", source.Article(p.kind), source.Shown(r.Figure)), x.f.Suggest(r.Figure, keys))
		return v, false
	}
	label := source.LowerFirst(figureLabel(p.kind, r.Figure))
	unknown := value{text: x.gap(label, "not known")}
	if p.silent || x.ignoring { // a variant that does not apply need not have it
		return unknown, false
	}
	why := p.problems[r.Figure]
	severity := check.Stop
	if p.absent[r.Figure] {
		severity = check.Warn
	}
	if why == "" {
		why = "nothing in the file says enough"
	}
	report(severity, source.RuleFigure, fmt.Sprintf("the %s of %s cannot be worked out: %s", label, p.name, why), "")
	return unknown, severity != check.Stop
}

// reporterAt reports about a whole value.
func (x *filler) reporterAt(at *source.Place) reporter {
	return func(severity check.Severity, rule, message, suggestion string) (value, bool) {
		x.f.Value(severity, rule, at, message, suggestion)
		return value{}, false
	}
}

type reporter func(severity check.Severity, rule, message, suggestion string) (value, bool)

func (x *filler) partNames() []string {
	var names []string
	for _, f := range x.p.Fasteners {
		names = append(names, f.Name)
	}
	for _, s := range x.p.Seals {
		names = append(names, s.Name)
	}
	for _, s := range x.p.Tests {
		names = append(names, s.Name)
	}
	return names
}

// FigureKeys lists the figures of a "fastener", of a "test" or of a kind of seal, in
// the order of showing; those that every seal has stand last.
func FigureKeys(kind string) []FigureKey {
	switch kind {
	case "fastener":
		return fastenerFigures[:]
	case "test":
		return testFigures[:]
	}
	return sealFigures(kind)
}

func figureNames(kind string) []string {
	keys := FigureKeys(kind)
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.Key
	}
	return names
}

func figureLabel(kind, key string) string {
	for _, k := range FigureKeys(kind) {
		if k.Key == key {
			return k.Label
		}
	}
	return key
}

// inputState says what is known of one input of a part.
type inputState int

const (
	notGiven inputState = iota
	given
	notKnown // not answered, or wrong and reported
)

// input reads one key of a part. What is wrong with it is reported.
func input[T any](x *filler, p *part, key, text string, parse func(string) (T, error)) (T, inputState) {
	var zero T
	if text == "" {
		return zero, notGiven
	}
	at := p.at.Field(key)
	raw, ok := x.raw(text, at, onlySettings)
	if !ok {
		p.silent = true
		return zero, notKnown
	}
	if strings.TrimSpace(raw) == "" {
		return zero, notGiven
	}
	v, err := parse(strings.TrimSpace(raw))
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		p.silent = true
		return zero, notKnown
	}
	return v, given
}

// quietly fills in a text whose mistakes are reported elsewhere.
func (x *filler) quietly(text string) (string, bool) {
	muted := x.f.Muted
	x.f.Muted = true
	defer func() { x.f.Muted = muted }()
	return x.raw(text, nil, onlySettings)
}

// name notes that something names a part.
func (x *filler) name(p *part) {
	p.named = true
	p.used = p.used || !x.ignoring
}

// use puts the figures of a part on a step.
func (x *filler) use(name string, out *FilledStep) {
	if p := x.parts[name]; p != nil {
		x.name(p)
		if !p.applies {
			return // of another variant: its figures would only be read by mistake
		}
		figures := shownOnce(p.figures)
		if len(out.Figures) == 0 {
			out.Figures = slices.Clip(figures) // most steps use one part: theirs are the same
			return
		}
		out.Figures = append(out.Figures, figures...)
	}
}

// shownOnce leaves out the diameter of a tapping drill that is called by its
// diameter: it would say the same twice.
func shownOnce(figures []Figure) []Figure {
	drill := ""
	for i, f := range figures {
		switch _, key, _ := strings.Cut(f.Key, "."); {
		case key == "tap_drill":
			drill = f.Text
		case key == "tap_diameter":
			called, err := quantity.ParseLength(drill)
			if err == nil && strings.HasSuffix(drill, " mm") && called.Round() == quantity.Length(f.Value).Round() { // 4.0 mm is 4 mm
				return slices.Concat(figures[:i], figures[i+1:])
			}
		}
	}
	return figures
}

// chosen are the figures that a step asks to be shown. Where some of a circle
// are another part now, theirs stand behind those of the circle.
func (x *filler) chosen(step *Step) []Figure {
	list := make([]Figure, 0, len(step.Figures))
	for i, text := range step.Figures {
		at := step.at.Field("figures")
		if item := at.Item(i); item != nil {
			at = item
		}
		name, key, dotted := strings.Cut(strings.TrimSpace(text), ".")
		if !dotted {
			x.f.Value(check.Stop, source.RuleUnknownName, at, source.Shown(text)+" names no figure", "part.figure: packing.rings")
			continue
		}
		if slices.Contains(step.Figures[:i], text) {
			x.f.Value(check.Note, source.RuleDuplicate, at, source.Shown(text)+" stands twice", "")
		}
		_, ok := x.figure(source.Reference{Name: name, Figure: key}, x.reporterAt(at))
		if p := x.parts[name]; ok && p != nil && p.applies {
			if f, found := p.find(key); found {
				list = append(list, f)
			}
		}
		for _, s := range x.p.splits {
			if s.Fastener != name || !slices.Contains(step.Uses, s.Part) {
				continue
			}
			if f, found := x.parts[s.Part].find(key); found {
				list = append(list, f)
			}
		}
	}
	return list
}

// toldApart says of which part a figure is where several parts of a step have
// one of that name. Of a screw that differs from its circle only what differs
// is left.
func (x *filler) toldApart(figures []Figure) []Figure {
	partOf := func(f Figure) (string, string) {
		name, key, _ := strings.Cut(f.Key, ".")
		return name, key
	}
	texts := make(map[string]string, len(figures))
	owner := make(map[string]string, len(figures))
	for _, f := range figures {
		texts[f.Key] = f.Text
		name, _ := partOf(f)
		if other, ok := owner[f.Label]; ok && other != name {
			name = ""
		}
		owner[f.Label] = name
	}
	out := make([]Figure, 0, len(figures))
	for _, f := range figures {
		name, key := partOf(f)
		split := x.splitOf(name)
		if split != nil {
			if of, ok := texts[split.Fastener+"."+key]; ok && of == f.Text {
				continue
			}
		}
		switch {
		case split != nil:
			f.Label += ", no. " + numberList(split.Numbers)
		case owner[f.Label] == "" && !x.splitFrom(name, f.Label, figures):
			f.Label += ", " + x.parts[name].label
		}
		out = append(out, f)
	}
	return out
}

// splitOf is how the part of that name came out of a circle; nil where it did not.
func (x *filler) splitOf(name string) *Split {
	for i := range x.p.splits {
		if x.p.splits[i].Part == name {
			return &x.p.splits[i]
		}
	}
	return nil
}

// splitFrom says whether all other figures of that label are of screws that
// came out of the circle of that name: then the circle needs no telling apart.
func (x *filler) splitFrom(name, label string, figures []Figure) bool {
	for _, f := range figures {
		other, _, _ := strings.Cut(f.Key, ".")
		if f.Label != label || other == name {
			continue
		}
		if s := x.splitOf(other); s == nil || s.Fastener != name {
			return false
		}
	}
	return true
}

// closeParts lists all parts with their figures, and reports what the trade's
// rules have against those that are used.
func (x *filler) closeParts(out *Filled) {
	for i := range x.p.Fasteners {
		out.Fasteners = append(out.Fasteners, x.closePart(out, x.parts[x.p.Fasteners[i].Name]))
	}
	for i := range x.p.Seals {
		out.Seals = append(out.Seals, x.closePart(out, x.parts[x.p.Seals[i].Name]))
	}
	for i := range x.p.Tests {
		out.Tests = append(out.Tests, x.closePart(out, x.parts[x.p.Tests[i].Name]))
	}
}

// spreadAccepted puts what the file accepts of a part on every step that uses it.
func (f *Filled) spreadAccepted() {
	if len(f.Accepted) == 0 {
		return
	}
	for _, step := range f.Steps() {
		for _, a := range f.Accepted {
			if slices.Contains(step.Uses, a.Part) {
				step.Accepted = append(step.Accepted, a)
			}
		}
	}
}

// unusedParts reports fasteners, seals and tests that nothing names.
func (x *filler) unusedParts() {
	if x.f.List.HasStop() {
		return // what cannot be read may name them
	}
	for _, name := range x.partNames() {
		if p := x.parts[name]; !p.named {
			x.report(check.Result{Rule: ruleUnusedPart, Severity: check.Warn, Message: fmt.Sprintf("no step and no text uses %s", p.name)}, p.at, p.at, p.accept)
		}
	}
}

func (x *filler) closePart(out *Filled, p *part) FilledPart {
	filled := FilledPart{Name: p.name, Label: p.label, Kind: p.kind, Figures: p.figures, Applies: p.applies, Probable: p.likely}
	if !p.applies || !p.used {
		return filled
	}
	for _, f := range p.findings {
		at := p.at.Field(f.key)
		if because := x.report(f.Result, p.at, at, p.accept); because != "" {
			kind := "seal"
			if p.kind == "fastener" || p.kind == "test" {
				kind = p.kind
			}
			out.Accepted = append(out.Accepted, Accepted{Rule: f.Rule, Message: f.Message, Because: because, Where: kind + " " + p.name, Source: f.Source, Part: p.name})
			f.Accepted = because
		}
		filled.Findings = append(filled.Findings, f.Result)
	}
	return filled
}

// report says what a rule found, at a key or, where that is not in the file, at
// the name of its table; unless the file accepts the rule there, which answers
// why. Notes are no mistakes of the file and are not reported.
func (x *filler) report(f check.Result, table, at *source.Place, accept []Accept) (because string) {
	for _, a := range accept {
		if a.Rule == f.Rule && a.Because != "" && f.Severity != check.Note && acceptable(f.Rule) {
			return a.Because
		}
	}
	if f.Severity == check.Note {
		return ""
	}
	message := clause(f.Message)
	if at != nil && at != table {
		x.f.Value(f.Severity, f.Rule, at, message, "")
	} else {
		x.f.Key(f.Severity, f.Rule, table, message, "")
	}
	x.f.Source(f.Source)
	return ""
}

// clause makes a sentence stand behind a colon: no capital but in a name, no
// full stop.
func clause(s string) string {
	s = strings.TrimSuffix(s, ".")
	if r := []rune(s); len(r) > 1 && unicode.IsUpper(r[0]) && (unicode.IsLower(r[1]) || r[1] == ' ') {
		r[0] = unicode.ToLower(r[0])
		return string(r)
	}
	return s
}
