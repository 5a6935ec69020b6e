package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// Fill answers the settings with values (setting name to what was typed; a
// setting left out or left empty takes its default) and works out everything.
// The Filled is never nil; where something could not be worked out its text
// says so in square brackets, and the diagnostics hold a stop.
func (p *Procedure) Fill(values map[string]string) (*Filled, source.Diagnostics) {
	return p.FillMeasured(values, nil)
}

// FillMeasured is [Procedure.Fill] during a job: readings holds, by name, the
// latest reading of every setting that was measured ([FilledReading.Sets]) and
// of every name for which [Procedure.Recalls] is true. The reading of a setting
// replaces its value everywhere but in the limits of the reading that took it,
// so that no reading is judged against itself.
func (p *Procedure) FillMeasured(values, readings map[string]string) (*Filled, source.Diagnostics) {
	f := &source.Reporter{Doc: p.doc}
	filled := p.fill(f, values, readings, true)
	return filled, f.Sorted()
}

// FillBlank is [Procedure.Fill] for reading and for paper before everything is
// known: an answer that is missing is no stop, it and whatever hangs on it stands
// as a blank to write in. Steps that such an answer may leave out are shown. open
// names the settings that lack an answer, in their order.
func (p *Procedure) FillBlank(values map[string]string) (filled *Filled, open []string, found source.Diagnostics) {
	f := &source.Reporter{Doc: p.doc}
	x := p.filler(f, values, nil)
	x.blanks = true
	filled = x.all()
	for i := range filled.Values {
		if v := &filled.Values[i]; v.NotAsked == "" && !x.answers[v.Name].setting.HasDefault && x.answers[v.Name].state == unknown && x.answers[v.Name].raw == "" {
			open = append(open, v.Name)
		}
	}
	return filled, open, f.Sorted()
}

// gap is what stands in a text for what is not known.
func (x *filler) gap(name, why string) string {
	if x.blanks {
		return Blank + " (" + name + ")"
	}
	return "[" + name + " " + why + "]"
}

// Blank is room to write in.
const Blank = "____"

// CheckValue says what is wrong with a value typed for a setting, or nil. An
// empty value stands for the default. Limits that depend on other settings are
// taken with the defaults of those.
func (p *Procedure) CheckValue(setting, given string) error {
	return p.CheckAnswer(setting, given, nil)
}

// CheckAnswer is CheckValue with limits that depend on other settings taken with
// what was answered to those.
func (p *Procedure) CheckAnswer(setting, given string, values map[string]string) error {
	s := p.setting(setting)
	if s == nil {
		return fmt.Errorf("the procedure has no setting %s", source.Shown(setting))
	}
	if strings.TrimSpace(given) == "" {
		if s.HasDefault {
			return nil
		}
		return fmt.Errorf("an answer is needed: %s", s.Ask)
	}
	v, err := parseValue(s.Kind, given, s.Choices)
	if err != nil {
		return err
	}
	return p.without(setting, values).limits(s, v)
}

// without is a filler for looking at one question: what stands there now is not
// part of its own limits, and nothing is reported.
func (p *Procedure) without(setting string, values map[string]string) *filler {
	others := maps.Clone(values)
	delete(others, setting)
	return p.filler(&source.Reporter{Doc: p.doc, Muted: true}, others, nil)
}

// Bounds says in words for people between what the answer to a setting has to
// lie, with the other answers as they stand: "90 psi (6.21 bar)". A bound that is
// not there, or that hangs on an answer that is missing, is empty.
func (p *Procedure) Bounds(setting string, values map[string]string) (low, high string) {
	s := p.setting(setting)
	if s == nil {
		return "", ""
	}
	read := func(text, key string) string {
		raw, ok := p.without(setting, values).raw(text, s.at.Field(key), onlySettings)
		if v, err := parseValue(s.Kind, raw, nil); ok && err == nil && strings.TrimSpace(raw) != "" {
			return v.text
		}
		return ""
	}
	return read(s.Low, "low"), read(s.High, "high")
}

// Usual says in words for people what an empty answer to a setting stands for,
// with the other answers as they stand; empty where that is not known.
func (p *Procedure) Usual(setting string, values map[string]string) string {
	s := p.setting(setting)
	if s == nil || !s.HasDefault {
		return ""
	}
	raw, ok := p.without(setting, values).raw(s.Default, s.at.Field("default"), onlySettings)
	if v, err := parseValue(s.Kind, raw, s.Choices); ok && err == nil && strings.TrimSpace(raw) != "" {
		return v.text
	}
	return ""
}

func (p *Procedure) settingNames() []string {
	names := make([]string, len(p.Settings))
	for i, s := range p.Settings {
		names[i] = s.Name
	}
	return names
}

func (p *Procedure) setting(name string) *Setting {
	for i := range p.Settings {
		if p.Settings[i].Name == name {
			return &p.Settings[i]
		}
	}
	return nil
}

// state of a setting being worked out.
type state int

const (
	untouched state = iota
	working
	known
	unknown // not answered, or already reported as wrong
)

// known reports whether an answer can be worked with.
func (a *answer) known() bool { return a.state == known }

type answer struct {
	value
	setting  *Setting
	state    state
	given    bool // by a person; the default otherwise
	notAsked string
	measured bool
}

// filler works out one procedure with one set of answers.
type filler struct {
	p         *Procedure
	f         *source.Reporter
	values    map[string]string
	readings  map[string]string
	answers   map[string]*answer // with readings
	before    map[string]*answer // without; only of settings that were measured
	parts     map[string]*part
	must      bool // every setting must be answered
	blanks    bool // what is not known is room to write in
	used      map[string]bool
	written   []*Step // the steps that apply, as written, in order
	ignoring  bool    // a step is looked at that does not apply
	at        spot    // where the text stands that is being filled in
	recalls   map[string]*recalled
	recalling map[string]bool        // readings that some text names
	asking    int                    // how deep in the question whether a setting is asked
	setters   map[string][]*recalled // the readings that replace a setting
	worked    map[string]*workedOut
	anywhere  bool // what is looked at stands at no step
	first     bool // the file is looked at, and not an answer to it
}

func (p *Procedure) filler(f *source.Reporter, values, readings map[string]string) *filler {
	x := &filler{
		p: p, f: f, values: values, readings: readings,
		answers: make(map[string]*answer, len(p.Settings)),
		before:  map[string]*answer{},
		used:    map[string]bool{},
		at:      spot{-1, -1},
	}
	for i := range p.Settings {
		s := &p.Settings[i]
		if x.answers[s.Name] == nil {
			x.answers[s.Name] = &answer{setting: s}
		}
	}
	return x
}

func (p *Procedure) fill(f *source.Reporter, values, readings map[string]string, must bool) *Filled {
	x := p.filler(f, values, readings)
	x.must = must
	return x.all()
}

// all works everything out.
func (x *filler) all() *Filled {
	p := x.p
	x.strangers(x.values, nil)
	if len(x.readings) > 0 {
		x.strangers(x.readings, x.readingsByName())
	}
	out := &Filled{Procedure: p, Title: p.Title}
	defer func() { out.recalls = x.recalling }()
	for i := range p.Settings {
		a := x.answer(p.Settings[i].Name)
		if a.setting != &p.Settings[i] {
			continue
		}
		out.Values = append(out.Values, FilledSetting{
			Name: a.setting.Name, Ask: a.setting.Ask, Kind: a.setting.Kind,
			Text: a.raw, Canonical: a.text, Default: !a.given && !a.measured, Measured: a.measured, NotAsked: a.notAsked, Probable: a.likely,
		})
	}
	x.openParts()
	if x.first {
		x.checkConditions()
	}
	out.About = x.prose(p.About, p.doc.Root.Field("about"))
	out.Preliminary = x.preliminary(p.Preliminary)
	x.stages(out)
	x.closeParts(out)
	x.closeWorkedOut(out)
	out.spreadAccepted()
	x.sequence(out)
	x.unusedSettings()
	x.unusedParts()
	return out
}

// unusedSettings reports settings whose answer changes nothing.
func (x *filler) unusedSettings() {
	if x.f.List.HasStop() {
		return // what cannot be read may use them
	}
	for i := range x.p.Settings {
		s := &x.p.Settings[i]
		if !x.used[s.Name] {
			x.f.Key(check.Warn, ruleUnusedSetting, s.at, fmt.Sprintf("nothing uses the setting %s", s.Name), "${"+s.Name+"} in a text, or take the setting out")
		}
	}
}

// strangers reports values for settings, or readings, that do not exist.
func (x *filler) strangers(values map[string]string, readings map[string]*recalled) {
	if len(values) == 0 {
		return
	}
	names := make([]string, 0, len(x.p.Settings))
	for _, s := range x.p.Settings {
		names = append(names, s.Name)
	}
	given := make([]string, 0, len(values))
	for name := range values {
		given = append(given, name)
	}
	slices.Sort(given)
	for _, name := range given {
		if x.answers[name] == nil && readings[name] == nil {
			x.f.Setting = name
			x.f.At(check.Stop, source.RuleUnknownName, nil, source.Span{}, fmt.Sprintf("the procedure has no setting %s", source.Shown(name)), x.f.Suggest(name, names))
			x.f.Setting = ""
		}
	}
}

// answer works out a setting; nil where there is none of that name.
func (x *filler) answer(name string) *answer {
	a := x.answers[name]
	if a == nil {
		return nil
	}
	switch a.state {
	case working:
		if at := a.setting.at.Field("when"); at != nil && x.asking > 0 {
			x.f.Value(check.Stop, source.RuleCircle, at, fmt.Sprintf("whether %s is asked depends on itself", name), "let it depend on settings that are always asked")
		} else {
			x.f.Value(check.Stop, source.RuleCircle, a.setting.at.Field("default"), fmt.Sprintf("the default of %s comes round to itself", name), "give one of the settings a default of its own")
		}
		a.state = unknown
	case untouched:
		a.state = working
		values := x.values[name]
		x.asking++
		a.notAsked = x.unmet(a.setting.When)
		x.asking--
		if a.notAsked != "" {
			values = "" // typed before another answer ruled the question out
		}
		if reading := strings.TrimSpace(x.readings[name]); reading != "" {
			before := &answer{setting: a.setting, state: working}
			x.before[name] = before
			x.work(before, values, false)
			x.work(a, reading, true)
		} else {
			x.work(a, values, false)
		}
	}
	return a
}

func (x *filler) work(a *answer, given string, measured bool) {
	s := a.setting
	raw := strings.TrimSpace(given)
	at := s.at.Field("default")
	if raw != "" {
		a.given, a.measured = !measured, measured
		x.f.Setting = s.Name
		defer func() { x.f.Setting = "" }()
	} else if s.HasDefault {
		var ok bool
		if raw, ok = x.raw(s.Default, at, onlySettings); !ok {
			a.state = unknown
			if x.blanks {
				a.text = x.gap(s.Name, "") // it hangs on one that is not answered
			}
			return
		}
	} else {
		a.state = unknown
		a.text = x.gap(s.Name, "not answered")
		if x.must && a.notAsked == "" && strings.TrimSpace(x.readings[s.Name]) == "" {
			x.f.Setting = s.Name
			x.f.At(check.Stop, source.RuleUnanswered, nil, source.Span{}, "needs an answer: "+s.Ask, answerForm(s))
			x.f.Setting = ""
		}
		return
	}
	if s.Kind == "choice" && len(s.Choices) == 0 {
		a.state, a.text = unknown, "["+s.Name+"?]" // reported where it stands
		return
	}
	v, err := parseValue(s.Kind, raw, s.Choices)
	if strings.TrimSpace(raw) == "" && optionalKind(s.Kind) {
		v, err = value{text: notKnownText}, nil
	} else if err == nil {
		err = x.limits(s, v)
	}
	if err != nil {
		a.state, a.value = unknown, value{raw: raw, text: "[" + s.Name + "?]"}
		if s.Kind != "" { // an unknown kind has been reported
			x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		}
		return
	}
	if a.state == working {
		a.value, a.state = v, known
	}
}

// notKnownText stands for the answer to a question that may stay open.
const notKnownText = "not known"

// optionalKind says whether the answer to a setting of that kind may stay open.
// A choice and a yes-no can have an answer of their own for that, and an empty
// text is an answer.
func optionalKind(kind string) bool {
	switch kind {
	case "", "choice", "yes-no", "text":
		return false
	}
	return true
}

// limits compares a value with the limits of its setting.
func (x *filler) limits(s *Setting, v value) error {
	if s.Low == "" && s.High == "" {
		return nil
	}
	if !numericKind(s.Kind) {
		return nil // reported by the structure check
	}
	low, bounded := value{}, false
	var outside error
	for _, side := range [...]struct {
		name, text string
		outside    func(limit float64) bool
		words      string
	}{
		{"low", s.Low, func(limit float64) bool { return v.number < limit-closeEnough(limit) }, "less than"},
		{"high", s.High, func(limit float64) bool { return v.number > limit+closeEnough(limit) }, "more than"},
	} {
		if side.text == "" {
			continue
		}
		setting := x.f.Setting
		x.f.Setting = ""
		raw, ok := x.raw(side.text, s.at.Field(side.name), onlySettings)
		var limit value
		ok = ok && strings.TrimSpace(raw) != "" // a limit that is not known is none
		if ok {
			var err error
			if limit, err = parseValue(s.Kind, raw, nil); err != nil {
				x.f.Value(check.Stop, source.RuleValue, s.at.Field(side.name), source.PlainError(err), "")
				ok = false
			}
		}
		if ok && side.name == "low" {
			low, bounded = limit, true
		} else if ok && bounded && low.number > limit.number+closeEnough(limit.number) {
			x.f.Value(check.Stop, source.RuleValue, s.at.Field("low"), fmt.Sprintf("the lower limit %s lies above the upper limit %s: no answer can be right", low.text, limit.text), "")
			outside = nil
			ok = false
		}
		x.f.Setting = setting
		if ok && outside == nil && side.outside(limit.number) {
			outside = fmt.Errorf("%s is %s the %s limit, %s", v.text, side.words, map[string]string{"low": "lower", "high": "upper"}[side.name], limit.text)
		}
	}
	return outside
}

// closeEnough is how far two numbers may be apart and still be the same: far
// below any reading, far above what floating point leaves behind.
func closeEnough(v float64) float64 { return 1e-9 * max(1, v, -v) }

// scope is what a ${...} may name.
type scope int

const (
	everything scope = iota
	onlySettings
	beforeReadings // settings as they were before they were measured
)

// prose fills in a text that is read by people.
func (x *filler) prose(text string, at *source.Place) string {
	if !strings.Contains(text, "${") {
		return text
	}
	filled, _ := x.expand(text, at, everything, true)
	return filled
}

// raw fills in a text that something is worked out from. The second answer is
// false where anything in it is not known.
func (x *filler) raw(text string, at *source.Place, s scope) (string, bool) {
	if !strings.Contains(text, "${") {
		return text, true
	}
	return x.expand(text, at, s, false)
}

func (x *filler) expand(text string, at *source.Place, s scope, prose bool) (string, bool) {
	refs, wrong := source.References(text)
	setting := x.f.Setting
	x.f.Setting = ""
	for _, e := range wrong {
		x.f.At(check.Stop, source.RuleExpression, at, x.within(at, text, e.Start, e.End), e.Message, e.Suggestion)
	}
	x.f.Setting = setting
	ok := len(wrong) == 0
	filled, fits := source.FillIn(text, refs, func(r source.Reference) string {
		v, good := x.lookUp(r, text, at, s)
		ok = ok && good
		if prose {
			return v.text
		}
		return v.raw
	})
	if !fits {
		x.f.Value(check.Stop, source.RuleLimit, at, fmt.Sprintf("filled in, the text is longer than %d bytes", source.MaxExpanded), "")
		return "[too long]", false
	}
	return filled, ok
}

func (x *filler) within(at *source.Place, text string, start, end int) source.Span {
	if at == nil {
		return source.Span{}
	}
	return source.Within(x.f.Doc.Src, at.Value, text, start, end)
}

// lookUp is what stands for one ${...}.
func (x *filler) lookUp(r source.Reference, text string, at *source.Place, s scope) (value, bool) {
	report := func(severity check.Severity, rule, message, suggestion string) (value, bool) {
		setting := x.f.Setting
		x.f.Setting = ""
		x.f.At(severity, rule, at, x.within(at, text, r.Start, r.End), message, suggestion)
		x.f.Setting = setting
		return value{text: "[" + r.Name + "?]"}, false
	}
	if r.Figure != "" {
		if s == onlySettings {
			return report(check.Stop, source.RuleUnknownName, "a figure cannot stand here; only settings can", "")
		}
		return x.figure(r, report)
	}
	a := x.answer(r.Name)
	if a == nil {
		if p := x.parts[r.Name]; p != nil {
			return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%s has several figures; say which", source.Shown(r.Name)), "one of: "+strings.Join(figureNames(p.kind), ", "))
		}
		if x.worked[r.Name] != nil || x.readingsByName()[r.Name] != nil {
			if s == onlySettings {
				return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%s is read or worked out during the work; only settings can stand here", r.Name), "a reading replaces a setting with `sets`")
			}
			return x.recall(r.Name, report)
		}
		names := x.allNames()
		if s == onlySettings {
			names = x.p.settingNames()
		}
		x.used[source.Nearest(r.Name, names)] = true // it was meant
		what := "setting, reading or figure"
		if s == onlySettings {
			what = "setting"
		}
		return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("there is no %s %s", what, source.Shown(r.Name)), x.f.Suggest(r.Name, names))
	}
	x.used[r.Name] = true
	if before := x.before[r.Name]; before != nil && s == beforeReadings {
		a = before
	}
	if a.state == unknown && a.notAsked != "" && !a.setting.HasDefault && !x.ignoring {
		return report(check.Stop, source.RuleUnanswered, fmt.Sprintf("%s is not asked here, since %s, and has no default", r.Name, a.notAsked), "a `default` for it, or the same `when` here")
	}
	if a.state != known {
		if a.text == "" {
			return value{text: "[" + r.Name + "?]"}, false
		}
		return a.value, false
	}
	return a.value, true
}

func (x *filler) lines(list []string, at *source.Place) []string {
	var out []string
	for i, text := range list {
		if strings.Contains(text, "${") {
			if out == nil {
				out = slices.Clone(list)
			}
			p := at.Item(i)
			if p == nil {
				p = at
			}
			out[i] = x.prose(text, p)
		}
	}
	if out == nil {
		return list
	}
	return out
}

func (x *filler) preliminary(in Preliminary) Preliminary {
	out := in
	for _, l := range out.lists() {
		at := in.at.Field(l.key)
		if when := in.when[l.key]; when != nil {
			*l.to = x.entries(*l.to, when, at)
		} else {
			*l.to = x.lines(*l.to, at)
		}
	}
	return out
}

// entries fills in a list and leaves out what does not apply.
func (x *filler) entries(list []string, when [][]Condition, at *source.Place) []string {
	out := make([]string, 0, len(list))
	for i, text := range list {
		p := at.Item(i)
		if p == nil {
			p = at // a single entry
		}
		if inner := p.Field("text"); inner != nil {
			p = inner
		}
		applies := x.unmet(when[i]) == ""
		x.ignoring = !applies
		text = x.prose(text, p)
		x.ignoring = false
		if applies {
			out = append(out, text)
		}
	}
	return out
}

func (x *filler) stages(out *Filled) {
	number := 0
	previous := ""
	replaced := map[string][]string{} // what stands for a step that does not apply
	var pending []*FilledStep
	for i := range x.p.Stages {
		stage := &x.p.Stages[i]
		filled := FilledStage{Title: x.prose(stage.Title, stage.at.Field("title")), About: x.prose(stage.About, stage.at.Field("about"))}
		x.at.step++ // what the first step cannot look at the stage cannot
		stageBecause := x.unmet(stage.When)
		x.at.step--
		filled.Steps = make([]FilledStep, 0, len(stage.Steps))
		for j := range stage.Steps {
			step := &stage.Steps[j]
			x.at.step++
			because := stageBecause
			if stepBecause := x.unmet(step.When); because == "" {
				because = stepBecause
			}
			needs := step.Needs
			if !step.HasNeeds && previous != "" {
				needs = []string{previous}
			}
			needs = slices.Concat(needs, step.also)
			if because != "" {
				out.LeftOut = append(out.LeftOut, LeftOut{step.ID, x.ignored(step), because})
				replaced[step.ID] = needs
				continue
			}
			number++
			filled.Steps = append(filled.Steps, x.step(step, filled.Title, number))
			filled.Steps[len(filled.Steps)-1].Needs = needs
			x.written = append(x.written, step)
			if !step.added {
				previous = step.ID
			}
		}
		if len(filled.Steps) > 0 {
			out.Stages = append(out.Stages, filled)
		}
	}
	if len(replaced) == 0 {
		return
	}
	pending = out.Steps()
	for _, step := range pending {
		step.Needs = standIn(step.Needs, replaced)
	}
}

// standIn replaces steps that do not apply by what they need themselves.
func standIn(needs []string, replaced map[string][]string) []string {
	touched := false
	for _, id := range needs {
		_, gone := replaced[id]
		touched = touched || gone
	}
	if !touched {
		return needs
	}
	var out []string
	met := map[string]bool{}
	queue := slices.Clone(needs)
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		if met[id] {
			continue
		}
		met[id] = true
		if others, gone := replaced[id]; gone {
			queue = append(queue, others...)
		} else {
			out = append(out, id)
		}
	}
	return out
}

// ignored looks at the texts of a step that does not apply, so that their
// mistakes are found and their settings count as used. It answers its title.
func (x *filler) ignored(step *Step) string {
	x.ignoring = true
	defer func() { x.ignoring = false }()
	return x.step(step, "", 0).Title
}

func (x *filler) title(step *Step) string {
	if step.Title != "" {
		return x.prose(step.Title, step.at.Field("title"))
	}
	return heading(x.prose(step.Do, step.at.Field("do")))
}

// heading is the start of a text, up to the end of its first sentence or 48
// characters.
func heading(text string) string {
	text, _, _ = strings.Cut(text, "\n")
	for i, r := range text {
		if (r == '.' || r == ';' || r == ':') && (i+1 == len(text) || text[i+1] == ' ') {
			text = text[:i]
			break
		}
	}
	r := []rune(text)
	if len(r) <= 48 {
		return text
	}
	cut := string(r[:46])
	if space := strings.LastIndexByte(cut, ' '); space > 20 {
		cut = cut[:space]
	}
	return strings.TrimRight(cut, " ,") + "..."
}

func (x *filler) step(step *Step, stage string, number int) FilledStep {
	out := FilledStep{
		ID: step.ID, Kind: step.Kind, Stage: stage, Number: number,
		Title:    x.title(step),
		Do:       x.prose(step.Do, step.at.Field("do")),
		Why:      x.prose(step.Why, step.at.Field("why")),
		Hold:     x.holder(step),
		Witness:  x.prose(step.Witness, step.at.Field("witness")),
		Wait:     x.wait(step),
		Closes:   step.Closes,
		Call:     x.call(step.Call),
		Quadrant: x.quadrant(step),
		Warnings: x.lines(step.Warnings, step.at.Field("warnings")),
		Cautions: x.lines(step.Cautions, step.at.Field("cautions")),
		Notes:    x.lines(step.Notes, step.at.Field("notes")),
		Uses:     step.Uses,
		Rounds:   roundsOf(step),
		Added:    step.added,
	}
	for i := range step.Readings {
		x.at.reading = i
		r := &step.Readings[i]
		if x.unmet(r.When) != "" && !x.ignoring {
			x.ignoring = true
			x.reading(r)
			x.ignoring = false
			continue
		}
		out.Readings = append(out.Readings, x.reading(r))
	}
	x.at.reading = -1
	for _, name := range step.Uses {
		x.use(name, &out)
	}
	if step.HasFigures {
		out.Figures = x.chosen(step)
	}
	if len(step.Uses) > 1 {
		out.Figures = x.toldApart(out.Figures)
	}
	return out
}

// Unnamed stands for whoever releases a hold of which the procedure, or an answer
// that was left open, names nobody: it holds all the same.
const Unnamed = "person your code names"

// holder is who releases the hold of a step; empty where it is no hold.
func (x *filler) holder(step *Step) string {
	at := step.at.Field("hold")
	who := strings.TrimSpace(x.prose(step.Hold, at))
	if who == "" && (at != nil || step.Hold != "") {
		return Unnamed
	}
	return who
}

func (x *filler) wait(step *Step) time.Duration {
	if step.Wait == "" {
		return 0
	}
	at := step.at.Field("wait")
	raw, ok := x.raw(step.Wait, at, everything)
	if !ok || strings.TrimSpace(raw) == "" {
		return 0
	}
	d, err := parseWait(raw)
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		return 0
	}
	return d
}
