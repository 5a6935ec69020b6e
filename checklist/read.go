package checklist

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
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
func Read(file string, src []byte) (*Procedure, Diagnostics) {
	file, _ = clean(file, false)
	if broken := checkLimits(src); broken != nil {
		rule := broken.rule
		if rule == "" {
			rule = ruleLimit
		}
		// The text is not walked any further, only as far as the place.
		f := &findings{doc: newDocument(file, string(src[:min(len(src), MaxFile)]))}
		f.doc.located = true
		f.at(Stop, rule, nil, span{int32(broken.at), int32(min(broken.at+1, len(f.doc.src)))}, broken.message, "")
		return nil, f.sorted()
	}
	doc := newDocument(file, string(src))
	f := &findings{doc: doc}
	root, keys, err := decode(doc.src)
	if err != nil {
		doc.located = true
		f.syntax(err)
		return nil, f.sorted()
	}
	doc.root, doc.located = locate(doc.src, root, keys)
	p := readProcedure(f, root)
	p.File, p.Source, p.doc = file, slices.Clone(src), doc
	if p.Format == Format {
		p.checkStructure(f)
		p.recalls = p.fill(f, nil, nil, false).recalls
	}
	return p, f.sorted()
}

// decode parses TOML. The parser's own panics, which it has for texts that it
// believes impossible, become errors.
func decode(src string) (root map[string]any, keys []toml.Key, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the text confuses the TOML parser: %v", r)
		}
	}()
	var v any
	md, err := toml.Decode(src, &v)
	if err != nil {
		return nil, nil, err
	}
	root, ok := v.(map[string]any)
	if !ok {
		return nil, nil, errors.New("the file holds no table")
	}
	return root, md.Keys(), nil
}

// syntax reports an error of the parser. Its line and column are wrong for
// files with CRLF and at the end of a text, its offset is right; so both are
// worked out from the offset.
func (f *findings) syntax(err error) {
	var pe toml.ParseError
	if !errors.As(err, &pe) {
		message, _ := clean(err.Error(), false)
		f.at(Stop, ruleUnreadable, nil, span{}, strings.TrimPrefix(message, "toml: "), "")
		return
	}
	start := pe.Position.Start
	if strings.HasPrefix(f.doc.src, byteOrderMark) {
		start += len(byteOrderMark)
	}
	start = max(0, min(start, len(f.doc.src)))
	end := min(start+max(pe.Position.Len, 1), len(f.doc.src))
	// A place on a line end belongs to the line it ends.
	for start > 0 && start < len(f.doc.src) && (f.doc.src[start] == '\n' || f.doc.src[start] == '\r') && f.doc.src[start-1] != '\n' {
		start--
		end = start + 1
	}
	message, _ := clean(pe.Message, false)
	message, suggestion := plainSyntax(message)
	if strings.HasSuffix(message, "does not end") || strings.HasSuffix(message, "does not end on its line") {
		// The place to look at is where the text begins.
		if open := openText(f.doc.src, start); open >= 0 {
			start, end = open, max(end, start+1)
		}
	}
	if message == trailing || suggestion == quoteIt {
		if better := unquoted(f.doc.src, start); better != "" {
			suggestion = better
		}
	}
	if at, name := singleBrackets(f.doc.src, start); at >= 0 && message == inSingle {
		// The line complained of is right; the one before is not.
		start, end = at, at+len(name)+2
		message, suggestion = fmt.Sprintf("[%s] stands in single brackets, and more of them follow", name), fmt.Sprintf("[[%s]]", name)
	}
	f.at(Stop, ruleUnreadable, nil, span{int32(start), int32(max(end, start))}, message, suggestion)
}

func readProcedure(f *findings, root map[string]any) *Procedure {
	t := &table{f: f, kind: "procedure", what: "a procedure", m: root, at: f.doc.root}
	p := &Procedure{}
	if !t.format(p) {
		return p
	}
	p.ID = t.name("id")
	f.lowerID(p.ID, t.at.field("id"), "id")
	p.Title = t.needed("title")
	p.About = t.text("about")
	p.Preliminary = readPreliminary(t)
	t.named("settings", maxSettings, func(name string, m map[string]any, at *place) {
		p.Settings = append(p.Settings, readSetting(f, name, m, at))
	})
	t.named("fasteners", maxParts, func(name string, m map[string]any, at *place) {
		p.Fasteners = append(p.Fasteners, readFastener(f, name, m, at))
	})
	t.named("seals", maxParts, func(name string, m map[string]any, at *place) {
		p.Seals = append(p.Seals, readSeal(f, name, m, at))
	})
	t.named("tests", maxParts, func(name string, m map[string]any, at *place) {
		p.Tests = append(p.Tests, readTest(f, name, m, at))
	})
	if _, ok := root["stage"]; !ok && t.misspelt("stage") == nil {
		t.missing("stage")
	}
	steps := 0
	t.tables("stage", maxSteps, func(m map[string]any, at *place) {
		p.Stages = append(p.Stages, readStage(f, m, at, &steps))
	})
	if steps > maxSteps {
		f.value(Stop, ruleLimit, t.at.field("stage"), fmt.Sprintf("the procedure has %d steps, at most %d are read", steps, maxSteps), "")
	}
	t.done()
	return p
}

// format reads the version and says whether this program can read on. A file
// without one, or with a wrong one, is read as format 1, so that its other
// mistakes are found too; a newer one is not, since its keys mean other things.
func (t *table) format(p *Procedure) bool {
	p.Format = Format
	v, at := t.get("format")
	switch n, isInt := v.(int64); {
	case v == nil:
		t.missing("format")
	case !isInt:
		t.wrong(at, "format", v, "a number: format = 1")
	case n > Format:
		p.Format = 0
		t.f.value(Stop, ruleFormat, at, fmt.Sprintf("the file is written in format %d; this program reads format %d", n, Format), "use a newer version of the program")
	case n != Format:
		t.f.value(Stop, ruleFormat, at, fmt.Sprintf("there is no format %d", n), "format = 1")
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
		t.wrong(at, name, v, "a table: ["+name+"]")
		return nil, false
	}
	return &table{f: t.f, kind: kind, what: what, m: m, at: at}, true
}

func readPreliminary(t *table) Preliminary {
	s, ok := t.sub("preliminary", "preliminary", "[preliminary]")
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
	p.Accept = readAccept(s)
	return p
}

func readSetting(f *findings, name string, m map[string]any, at *place) Setting {
	t := &table{f: f, kind: "setting", what: "the setting " + name, m: m, at: at}
	defer t.done()
	s := Setting{Name: name, at: at}
	s.Ask = t.needed("ask")
	s.Why = t.text("why")
	s.Kind = t.word("kind", settingKinds[:], true)
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
	at := t.at.field("choices")
	switch {
	case kind == "choice" && len(choices) == 0:
		t.f.value(Stop, ruleMissingKey, t.at, t.what+" has nothing to choose from", `choices = ["...", "..."]`)
	case kind != "" && kind != "choice" && len(choices) > 0:
		t.f.key(Stop, ruleUnknownKey, at, fmt.Sprintf("`choices` stands with a choice only; this is %s", article(kind)), "")
	}
	for i, c := range choices {
		if slices.Contains(choices[:i], c) {
			t.f.value(Stop, ruleDuplicate, at.item(i), fmt.Sprintf("the choice %s stands twice", shown(c)), "")
		}
	}
}

func readFastener(f *findings, name string, m map[string]any, at *place) Fastener {
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
		Hole:        t.opt("hole"),
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

func readSeal(f *findings, name string, m map[string]any, at *place) Seal {
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
	for _, k := range tableKeys("seal") {
		if len(k.kinds) == 0 {
			continue
		}
		v, given := t.scalar(k.name)
		if !given {
			continue
		}
		if s.Kind != "" && !slices.Contains(k.kinds, s.Kind) {
			f.key(Stop, ruleUnknownKey, at.field(k.name), fmt.Sprintf("%s has no key `%s`; it belongs to: %s", article(s.Kind), k.name, strings.Join(k.kinds, ", ")), "")
			continue
		}
		s.Values[k.name] = v
	}
	s.When = t.when()
	s.Accept = readAccept(t)
	return s
}

func readTest(f *findings, name string, m map[string]any, at *place) Test {
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
	t.tables("accept", maxList, func(m map[string]any, at *place) {
		a := &table{f: t.f, kind: "accept", what: "accept", m: m, at: at}
		defer a.done()
		list = append(list, Accept{Rule: a.name("rule"), Because: a.neededText("because"), at: at})
	})
	return list
}

func readStage(f *findings, m map[string]any, at *place, steps *int) Stage {
	t := &table{f: f, kind: "stage", what: "a stage", m: m, at: at}
	defer t.done()
	s := Stage{at: at, Title: t.needed("title"), About: t.text("about"), When: t.when()}
	if _, ok := m["step"]; !ok && t.misspelt("step") == nil {
		t.missing("step")
	}
	t.tables("step", maxSteps+1, func(m map[string]any, at *place) {
		if *steps++; *steps <= maxSteps {
			s.Steps = append(s.Steps, readStep(f, m, at))
		}
	})
	return s
}

func readStep(f *findings, m map[string]any, at *place) Step {
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
	s.Needs, s.HasNeeds = t.list("needs", false)
	s.Uses = t.lines("uses", false)
	s.Figures, s.HasFigures = t.list("figures", false)
	s.When = t.when()
	s.Hold = t.line("hold")
	s.Witness = t.line("witness")
	s.Wait = t.opt("wait")
	s.Quadrant = t.opt("quadrant")
	s.Closes = t.line("closes")
	s.Call = readCall(t)
	t.tables("reading", maxList, func(m map[string]any, at *place) {
		s.Readings = append(s.Readings, readReading(f, m, at))
	})
	s.Warnings = t.lines("warning", true)
	s.Cautions = t.lines("caution", true)
	s.Notes = t.lines("note", true)
	s.Accept = readAccept(t)
	return s
}

func readReading(f *findings, m map[string]any, at *place) Reading {
	t := &table{f: f, kind: "reading", what: "a reading", m: m, at: at}
	defer t.done()
	r := Reading{at: at}
	r.Name = t.name("name")
	if r.Name != "" {
		t.what = "the reading " + r.Name
	}
	r.Ask = t.needed("ask")
	r.Unit = t.unit()
	r.Nominal = t.opt("nominal")
	r.Low = t.opt("low")
	r.High = t.opt("high")
	r.Choices = t.lines("choices", false)
	r.Outside = Severity(t.word("outside", severityWords[:], false))
	r.Danger = t.line("danger")
	t.choices(r.Unit, r.Choices)
	return r
}

var severityWords = [...]string{string(Stop), string(Warn), string(Ask), string(Note)}

// unit reads the unit of a reading and answers its usual spelling.
func (t *table) unit() string {
	v, at := t.get("unit")
	s, isText := v.(string)
	if v == nil {
		t.missing("unit")
		return ""
	} else if !isText {
		t.wrong(at, "unit", v, "a text in quotes")
		return ""
	}
	s = t.f.clean(s, at, "unit", false, maxLine)
	u, ok := unitOf(s)
	if !ok {
		t.f.value(Stop, ruleUnknownWord, at, fmt.Sprintf("%s is no unit of a reading", shown(s)), t.f.suggest(s, ReadingUnits()))
		return ""
	}
	return u.name
}

// when reads { setting = "value", other = ["one", "two"] }.
func (t *table) when() []Condition {
	s, ok := t.sub("when", "", "when")
	if !ok {
		return nil
	}
	conditions := make([]Condition, 0, len(s.m))
	for _, at := range s.at.fields {
		name, _ := clean(at.name, false)
		c := Condition{Setting: name, at: at}
		if list, isList := s.m[at.name].([]any); isList && len(list) == 0 {
			t.f.value(Stop, ruleEmpty, at, "`when` has no value to look for", "")
		} else if isList {
			c.Values = s.lines(at.name, false)
		} else {
			c.Values = []string{s.opt(at.name)}
		}
		conditions = append(conditions, c)
	}
	return conditions
}
