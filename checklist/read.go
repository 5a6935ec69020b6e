package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"slices"
	"strings"
)

// Read reads a procedure file and says everything that is wrong with it, with
// every setting at its default. file is only used to name the file in
// diagnostics. The procedure is nil only where the text cannot be read as TOML
// at all or breaks a limit of size or nesting; otherwise it holds whatever
// could be understood, and must not be worked with while the diagnostics hold a
// stop.
//
// At most 8 MiB, 300,000 keys and 12 levels of nesting are read; a name has at
// most 200 bytes, a text 4000 characters, a procedure 20,000 steps.
func Read(file string, src []byte) (*Procedure, source.Diagnostics) {
	file, _ = source.Clean(file, false)
	if broken := source.CheckLimits(src); broken != nil {
		rule := broken.Rule
		if rule == "" {
			rule = source.RuleLimit
		}
		// The text is not walked any further, only as far as the place.
		f := &source.Reporter{Doc: source.NewDocument(file, string(src[:min(len(src), source.MaxFile)]))}
		f.Doc.Located = true
		f.At(check.Stop, rule, nil, source.Span{Start: int32(broken.At), End: int32(min(broken.At+1, len(f.Doc.Src)))}, broken.Message, "")
		return nil, f.Sorted()
	}
	doc := source.NewDocument(file, string(src))
	f := &source.Reporter{Doc: doc}
	root, keys, err := source.Decode(doc.Src)
	if err != nil {
		doc.Located = true
		f.Syntax(err)
		return nil, f.Sorted()
	}
	doc.Root, doc.Located = source.Locate(doc.Src, root, keys)
	p := readProcedure(f, root)
	p.File, p.Source, p.doc = file, slices.Clone(src), doc
	if p.Format == Format {
		p.checkStructure(f)
		x := p.filler(f, nil, nil)
		x.first = true
		p.recalls = x.all().recalls
	}
	return p, f.Sorted()
}

func readProcedure(f *source.Reporter, root map[string]any) *Procedure {
	t := &table{f: f, kind: "procedure", what: "a procedure", m: root, at: f.Doc.Root}
	p := &Procedure{}
	if !t.format(p) {
		return p
	}
	p.ID = t.name("id")
	f.LowerID(p.ID, t.at.Field("id"), "id")
	p.Title = t.needed("title")
	p.About = t.text("about")
	p.Accept = readAccept(t)
	p.Preliminary = readPreliminary(t)
	t.named("settings", source.MaxSettings, func(name string, m map[string]any, at *source.Place) {
		p.Settings = append(p.Settings, readSetting(f, name, m, at))
	})
	t.named("fasteners", source.MaxParts, func(name string, m map[string]any, at *source.Place) {
		p.Fasteners = append(p.Fasteners, readFastener(f, name, m, at))
	})
	t.named("seals", source.MaxParts, func(name string, m map[string]any, at *source.Place) {
		p.Seals = append(p.Seals, readSeal(f, name, m, at))
	})
	t.named("tests", source.MaxParts, func(name string, m map[string]any, at *source.Place) {
		p.Tests = append(p.Tests, readTest(f, name, m, at))
	})
	t.named("figures", source.MaxParts, func(name string, m map[string]any, at *source.Place) {
		p.Figures = append(p.Figures, readWorkedOut(f, name, m, at))
	})
	if _, ok := root["stage"]; !ok && t.misspelt("stage") == nil {
		t.missing("stage")
	}
	steps := 0
	t.tables("stage", source.MaxSteps, func(m map[string]any, at *source.Place) {
		p.Stages = append(p.Stages, readStage(f, m, at, &steps))
	})
	if steps > source.MaxSteps {
		f.Value(check.Stop, source.RuleLimit, t.at.Field("stage"), fmt.Sprintf("the procedure has %d steps, at most %d are read", steps, source.MaxSteps), "")
	}
	t.done()
	return p
}

// format reads the version and says whether this program can read on. A file
// without one, or with one that is no number, is read as this format, so that its
// other mistakes are found too; in another format keys mean other things.
func (t *table) format(p *Procedure) bool {
	p.Format = Format
	v, at := t.get("format")
	written := fmt.Sprintf("format = %d", Format)
	switch n, isInt := v.(int64); {
	case v == nil:
		t.missing("format")
	case !isInt:
		t.wrong(at, "format", v, "a number: "+written)
	case n > Format:
		p.Format = 0
		t.f.Value(check.Stop, source.RuleFormat, at, fmt.Sprintf("the file is written in format %d; this program reads format %d", n, Format), "use a newer version of the program")
	case n > 0 && n < Format:
		p.Format = 0
		t.f.Value(check.Stop, source.RuleFormat, at, fmt.Sprintf("the file is written in format %d, which this program does not read any more: `fettle procedure show --format` describes format %d", n, Format), "")
	case n != Format:
		t.f.Value(check.Stop, source.RuleFormat, at, fmt.Sprintf("there is no format %d", n), written)
	}
	return p.Format == Format
}

// sub opens a table that stands under a key.
func (t *table) sub(name, kind, what string) (*table, bool) {
	v, at := t.get(name)
	if v == nil {
		return nil, false
	}
	m, ok := v.(map[string]any)
	if !ok {
		want := "a table: [" + name + "]"
		if k, ok := describe(t.kind, name); ok && k.Example != "" {
			want = "a table: " + k.Example
		}
		t.wrong(at, name, v, want)
		return nil, false
	}
	return &table{f: t.f, kind: kind, what: what, m: m, at: at}, true
}

func readPreliminary(t *table) Preliminary {
	s, ok := t.sub("before", "before", "[before]")
	if !ok {
		return Preliminary{}
	}
	defer s.done()
	p := Preliminary{at: s.at}
	for _, l := range p.lists() {
		var when [][]Condition
		*l.to, when = s.entries(l.key)
		if when != nil {
			if p.when == nil {
				p.when = map[string][][]Condition{}
			}
			p.when[l.key] = when
		}
	}
	return p
}

func readSetting(f *source.Reporter, name string, m map[string]any, at *source.Place) Setting {
	t := &table{f: f, kind: "setting", what: "the setting " + name, m: m, at: at}
	defer t.done()
	s := Setting{Name: name, at: at}
	s.Ask = t.needed("ask")
	s.Why = t.text("why")
	s.Kind = t.word("kind", Kinds(), true)
	if s.Kind == "photo" {
		t.f.Value(check.Stop, source.RuleUnknownWord, at.Field("kind"), "a photo is taken in a step; no setting can ask for one", "")
		s.Kind = ""
	}
	s.Default, s.HasDefault = t.scalar("default")
	s.Low = t.opt("low")
	s.High = t.opt("high")
	s.Choices = t.lines("choices", false)
	s.When = t.when()
	t.choices(s.Kind, s.Choices)
	return s
}

// choices checks the list of choices of a setting or a reading.
func (t *table) choices(kind string, choices []string) {
	at := t.at.Field("choices")
	switch {
	case kind == "choice" && len(choices) == 0:
		t.f.Value(check.Stop, source.RuleMissingKey, t.at, t.what+" has nothing to choose from", `choices = ["...", "..."]`)
	case kind != "" && kind != "choice" && len(choices) > 0:
		t.f.Key(check.Stop, source.RuleUnknownKey, at, fmt.Sprintf("`choices` stands with a choice only; this is %s", source.Article(kind)), "")
	}
	for i, c := range choices {
		if slices.Contains(choices[:i], c) {
			t.f.Value(check.Stop, source.RuleDuplicate, at.Item(i), fmt.Sprintf("the choice %s stands twice", source.Shown(c)), "")
		}
	}
}

func readFastener(f *source.Reporter, name string, m map[string]any, at *source.Place) Fastener {
	t := &table{f: f, kind: "fastener", what: "the fastener " + name, m: m, at: at}
	defer t.done()
	return Fastener{
		Name: name, at: at,
		Label:       t.line("label"),
		Thread:      t.requiredScalar("thread"),
		Head:        t.opt("head"),
		Length:      t.opt("length"),
		Count:       t.opt("count"),
		Grade:       t.opt("grade"),
		Into:        t.opt("into"),
		Engagement:  t.opt("engagement"),
		Hole:        t.joined("hole", " "),
		Circle:      t.opt("circle"),
		Start:       t.opt("start"),
		Lubricant:   t.opt("lubricant"),
		Joint:       t.opt("joint"),
		Cover:       t.opt("cover"),
		Washer:      t.opt("washer"),
		Depth:       t.opt("depth"),
		Edge:        t.opt("edge"),
		Spanner:     t.opt("spanner"),
		Utilisation: t.opt("utilisation"),
		DrillOff:    t.opt("drill_off"),
		When:        t.when(),
		Accept:      readAccept(t),
	}
}

func readSeal(f *source.Reporter, name string, m map[string]any, at *source.Place) Seal {
	t := &table{f: f, kind: "seal", what: "the seal " + name, m: m, at: at}
	defer t.done()
	s := Seal{
		Name: name, at: at,
		Label:    t.line("label"),
		Kind:     t.word("kind", sealKinds[:], true),
		Material: t.opt("material"),
		Zone:     t.opt("zone"),
		Pressure: t.opt("pressure"),
		Test:     t.opt("test"),
		Values:   map[string]string{},
	}
	for _, k := range Keys("seal") {
		if len(k.Kinds) == 0 {
			continue
		}
		var v string
		var given bool
		if k.Form == FormLines {
			v, given = t.joined(k.Name, ", "), m[k.Name] != nil
		} else {
			v, given = t.scalar(k.Name)
		}
		if !given {
			continue
		}
		if s.Kind != "" && !slices.Contains(k.Kinds, s.Kind) {
			f.Key(check.Stop, source.RuleUnknownKey, at.Field(k.Name), fmt.Sprintf("%s has no key `%s`; it belongs to: %s", source.Article(s.Kind), k.Name, strings.Join(k.Kinds, ", ")), "")
			continue
		}
		s.Values[k.Name] = v
	}
	s.When = t.when()
	s.Accept = readAccept(t)
	return s
}

func readTest(f *source.Reporter, name string, m map[string]any, at *source.Place) Test {
	t := &table{f: f, kind: "test", what: "the test " + name, m: m, at: at}
	defer t.done()
	return Test{
		Name: name, at: at,
		Label:       t.line("label"),
		Code:        t.opt("code"),
		Edition:     t.opt("edition"),
		Pressure:    t.requiredScalar("pressure"),
		Multiple:    t.requiredScalar("multiple"),
		Target:      t.opt("target"),
		Hold:        t.opt("hold"),
		DropAllowed: t.opt("drop_allowed"),
		Operator:    t.opt("operator"),
		Inspector:   t.opt("inspector"),
		Witness:     t.opt("witness"),
		Preliminary: t.opt("preliminary"),
		Gauge:       t.opt("gauge"),
		When:        t.when(),
		Accept:      readAccept(t),
	}
}

func readAccept(t *table) []Accept {
	var list []Accept
	t.tables("accept", source.MaxList, func(m map[string]any, at *source.Place) {
		a := &table{f: t.f, kind: "accept", what: "accept", m: m, at: at}
		defer a.done()
		list = append(list, Accept{Rule: a.name("rule"), Because: a.neededText("because"), at: at})
	})
	return list
}

func readStage(f *source.Reporter, m map[string]any, at *source.Place, steps *int) Stage {
	t := &table{f: f, kind: "stage", what: "a stage", m: m, at: at}
	defer t.done()
	s := Stage{at: at, Title: t.needed("title"), About: t.text("about"), When: t.when()}
	if _, ok := m["step"]; !ok && t.misspelt("step") == nil {
		t.missing("step")
	}
	t.tables("step", source.MaxSteps+1, func(m map[string]any, at *source.Place) {
		if *steps++; *steps <= source.MaxSteps {
			s.Steps = append(s.Steps, readStep(f, m, at))
		}
	})
	return s
}

func readStep(f *source.Reporter, m map[string]any, at *source.Place) Step {
	t := &table{f: f, kind: "step", what: "a step", m: m, at: at}
	defer t.done()
	s := Step{at: at}
	s.ID = t.name("id")
	if s.ID != "" {
		t.what = "the step " + s.ID
	}
	s.Kind = t.word("kind", stepKinds[:], true)
	s.Title = t.line("title")
	s.Do = t.neededText("do")
	s.Why = t.text("why")
	s.Needs, s.HasNeeds = t.list("after", false)
	s.Uses = t.lines("parts", false)
	s.Figures, s.HasFigures = t.list("figures", false)
	s.When = t.when()
	s.Hold = t.filled("hold")
	s.Witness = t.filled("witness")
	s.Wait = t.opt("wait")
	t.notEmpty("wait", s.Wait)
	s.Quadrant = t.opt("quadrant")
	s.Closes = t.line("closes")
	s.Call = readCall(t)
	t.tables("reading", source.MaxList, func(m map[string]any, at *source.Place) {
		s.Readings = append(s.Readings, readReading(f, m, at))
	})
	s.Warnings = t.lines("warnings", true)
	s.Cautions = t.lines("cautions", true)
	s.Notes = t.lines("notes", true)
	s.Accept = readAccept(t)
	return s
}

func readReading(f *source.Reporter, m map[string]any, at *source.Place) Reading {
	t := &table{f: f, kind: "reading", what: "a reading", m: m, at: at}
	defer t.done()
	r := Reading{at: at}
	r.Name = t.name("name")
	if r.Name != "" {
		t.what = "the reading " + r.Name
	}
	r.Ask = t.needed("ask")
	r.Kind = t.word("kind", Kinds(), true)
	r.Unit = t.unit(r.Kind)
	r.Nominal = t.opt("nominal")
	r.Within, r.Plus, r.Minus = t.opt("within"), t.opt("plus"), t.opt("minus")
	r.Low = t.opt("low")
	r.High = t.opt("high")
	r.Choices = t.lines("choices", false)
	r.Sets = t.opt("sets")
	r.Times, r.Each = t.opt("times"), t.opt("each")
	r.Takes = t.word("takes", Takes(), false)
	r.Outside = check.Severity(t.word("outside", severityWords[:], false))
	r.Danger = t.line("danger")
	r.When = t.when()
	t.choices(r.Kind, r.Choices)
	t.offsets(&r)
	t.repeats(&r)
	return r
}

var severityWords = [...]string{string(check.Stop), string(check.Warn), string(check.Ask), string(check.Note)}

// unit reads the unit of a reading and answers its usual spelling. A pressure and a
// time have none that goes without saying.
func (t *table) unit(kind string) string {
	name, at := t.opt("unit"), t.at.Field("unit")
	if kind == "" {
		return name // nothing can be said
	}
	u, ok := unitFor(kind, name)
	switch {
	case !ok && len(Units(kind)) == 0 && kind != "count" && kind != "number":
		t.f.Key(check.Stop, source.RuleUnknownKey, at, source.Article(kind)+" has no unit", "")
	case !ok:
		t.f.Value(check.Stop, source.RuleUnknownWord, at, fmt.Sprintf("%s is no unit of %s", source.Shown(name), source.Article(kind)), t.f.Suggest(name, Units(kind)))
		return ""
	case name == "" && (kind == "pressure" || kind == "time"):
		t.missing("unit")
	case name != "":
		return u.name
	}
	return ""
}

// offsets looks whether the limits of a reading are said once, and from something.
func (t *table) offsets(r *Reading) {
	if r.Nominal == "" {
		for _, key := range [...]string{"within", "plus", "minus"} {
			if at := t.at.Field(key); at != nil {
				t.f.Key(check.Stop, source.RuleMissingKey, at, fmt.Sprintf("`%s` is an offset from `nominal`, and there is none", key), "`low` and `high` are values")
			}
		}
	}
	for _, two := range [...][2]string{{"within", "plus"}, {"within", "minus"}, {"within", "low"}, {"within", "high"}, {"plus", "high"}, {"minus", "low"}} {
		if at := t.at.Field(two[1]); at != nil && t.at.Field(two[0]) != nil {
			t.f.Key(check.Stop, source.RuleDuplicate, at, fmt.Sprintf("`%s` and `%s` say the same limit twice", two[0], two[1]), "keep one of them")
		}
	}
}

// repeats looks whether a reading that is taken several times can be.
func (t *table) repeats(r *Reading) {
	if at := t.at.Field("each"); at != nil && r.Times != "" {
		t.f.Key(check.Stop, source.RuleDuplicate, at, "`times` and `each` both say how often it is read", "keep one of them")
	}
	if at := t.at.Field("takes"); at != nil && !r.several() {
		t.f.Key(check.Stop, source.RuleMissingKey, at, "`takes` is about a reading that is taken several times", "times = 3")
	}
	if n, err := parseCount(r.Times); r.Times != "" && (err != nil || n < 2 || n > mostTimes) {
		t.f.Value(check.Stop, source.RuleValue, t.at.Field("times"), fmt.Sprintf("%s is not how often one reads; write 2 to %d", source.Shown(r.Times), mostTimes), "")
		r.Times = ""
	}
	if r.several() && r.Kind != "" && !numericKind(r.Kind) {
		at := t.at.Field("times")
		if at == nil {
			at = t.at.Field("each")
		}
		t.f.Key(check.Stop, source.RuleWrongType, at, fmt.Sprintf("%s is read once; measures and numbers can be read several times", source.Article(r.Kind)), "")
	}
}

func readWorkedOut(f *source.Reporter, name string, m map[string]any, at *source.Place) WorkedOut {
	t := &table{f: f, kind: "figure", what: "the figure " + name, m: m, at: at}
	defer t.done()
	return WorkedOut{
		Name: name, at: at,
		Label:   t.line("label"),
		Is:      t.needed("is"),
		Unit:    t.line("unit"),
		Low:     t.opt("low"),
		High:    t.opt("high"),
		Outside: check.Severity(t.word("outside", severityWords[:], false)),
		When:    t.when(),
		Accept:  readAccept(t),
	}
}
