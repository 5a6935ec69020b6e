package checklist

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/threads/check"
)

// A procedure is judged for every answer that a fitter may give, not for the defaults
// alone. Settings that meet (in a condition, in a part, in a step that uses both) form
// a group; of a group every combination is filled in while there are no more than
// mostCombinations of them, else every pair of answers. Groups do not touch each
// other, so that what is found for one is found whatever the others are.

// What a rule of the trade has against a part under some answers, and not under
// others, is no mistake of the file: the fitter is told at the answer, and the author
// as a note. It is one where a choice is stopped whatever else is answered.

// mostCombinations is how many combinations of one group are filled in.
const mostCombinations = 256

// Coverage says what was looked at.
type Coverage struct {
	Combinations int
	Pairs        []string // a setting of every group of which only pairs were looked at
}

// CheckAnswers says what is wrong with the procedure under other answers than the
// defaults, beyond what found says already. given are answers that stand.
func (p *Procedure) CheckAnswers(given map[string]string, found source.Diagnostics) (source.Diagnostics, Coverage) {
	a := &answerWalk{p: p, given: given, seen: map[string]bool{}, matched: map[*source.Place]bool{}, met: map[string]bool{}, stops: map[[2]string][]map[string]source.Diagnostic{}}
	for _, d := range found {
		a.seen[placeOf(d)] = true
	}
	f := &source.Reporter{Doc: p.doc}
	usual := a.fill(given)
	a.note(usual, nil, nil)
	a.usual = usual.f.List
	var cover Coverage
	groups := a.groups()
	for _, group := range groups {
		rows, all := combinations(group)
		cover.Combinations += len(rows)
		if !all {
			cover.Pairs = append(cover.Pairs, group[0].name)
		}
		for _, row := range rows {
			values := maps.Clone(given)
			if values == nil {
				values = map[string]string{}
			}
			if !all && len(row) == 1 {
				row = a.asked(row)
			}
			maps.Copy(values, row)
			a.note(a.fill(values), row, f)
		}
	}
	a.neverRight(f, groups)
	if len(given) == 0 { // else the rest may be for other answers
		a.unreachable(f)
		a.staleAccepts(f)
	}
	return f.Sorted(), cover
}

// answerWalk goes through the answers of one procedure.
type answerWalk struct {
	usual   source.Diagnostics // what the defaults show
	p       *Procedure
	given   map[string]string
	seen    map[string]bool // what has been said, by place, rule and sentence
	matched map[*source.Place]bool
	met     map[string]bool                              // steps that applied
	stops   map[[2]string][]map[string]source.Diagnostic // by setting and choice: of every combination what stops a part, by rule and place
}

// fill works the procedure out with some answers.
func (a *answerWalk) fill(values map[string]string) *filler {
	x := a.p.filler(&source.Reporter{Doc: a.p.doc}, values, nil)
	x.all()
	return x
}

// placeOf tells findings apart by what they say and where.
func placeOf(d source.Diagnostic) string {
	return fmt.Sprint(d.Rule, d.Start, d.Path, d.Setting, d.Severity, d.Message)
}

// mostAlike is how many findings of one rule at one place are said.
const mostAlike = 6

// note takes in what one combination of answers showed.
func (a *answerWalk) note(x *filler, row map[string]string, f *source.Reporter) {
	maps.Copy(a.matched, x.accepted)
	for _, step := range x.written {
		a.met[step.ID] = true
	}
	if f == nil {
		for _, d := range x.f.List {
			a.seen[placeOf(d)] = true
		}
		return
	}
	stops := map[string]source.Diagnostic{}
	for i, d := range x.f.List {
		if x.ofParts[i] && d.Severity == check.Stop && slices.Contains(ofMaterial[:], d.Rule) {
			stops[fmt.Sprint(d.Rule, d.Start, d.Path)] = d
		}
	}
	for name, answer := range row {
		if s := a.p.setting(name); (s.Kind == "choice" || s.Kind == "yes-no") && x.answer(name).notAsked == "" {
			a.stops[[2]string{name, answer}] = append(a.stops[[2]string{name, answer}], stops)
		}
	}
	for i, d := range x.f.List {
		if key := placeOf(d); a.seen[key] || d.Severity == check.Note {
			continue
		} else {
			a.seen[key] = true
		}
		n := 0
		for a.seen[fmt.Sprint(d.Rule, d.Start, d.Path, n)] {
			n++
		}
		if n == mostAlike {
			continue
		}
		a.seen[fmt.Sprint(d.Rule, d.Start, d.Path, n)] = true
		because := a.because(d, row)
		if x.ofParts[i] {
			because += " the fitter is told as " + source.Article(string(d.Severity))
			d.Severity = check.Note
		}
		d.Message = "when " + because + ": " + d.Message
		d.Setting = ""
		f.List = append(f.List, d)
	}
}

// because names those of the answers without which a finding is gone.
func (a *answerWalk) because(d source.Diagnostic, row map[string]string) string {
	if len(row) == 1 {
		for name, answer := range row {
			return name + " = " + answer
		}
	}
	key := placeOf(d)
	has := func(values map[string]string) bool {
		return slices.ContainsFunc(a.fill(values).f.List, func(other source.Diagnostic) bool { return placeOf(other) == key })
	}
	values := maps.Clone(a.given)
	if values == nil {
		values = map[string]string{}
	}
	maps.Copy(values, row)
	var words []string
	for i := range a.p.Settings {
		name := a.p.Settings[i].Name
		answer, changed := row[name]
		if !changed {
			continue
		}
		trial := maps.Clone(values)
		delete(trial, name)
		if has(trial) {
			values = trial
			continue
		}
		words = append(words, name+" = "+answer)
	}
	if len(words) == 0 { // every answer by itself can go, as long as another stays
		for _, name := range slices.Sorted(maps.Keys(row)) {
			words = append(words, name+" = "+row[name])
		}
	}
	return strings.Join(words, ", ")
}

// ofMaterial are the rules that go by what a thing is made of and where it lives: no
// size that a fitter may type makes such a choice right.
var ofMaterial = [...]string{"not-suitable", "seal-superheat", "seal-oil", "wet-steel", "wet-plated", "wet-aluminium", "temperature-limit", "pressure-limit", "metal-hot"}

// neverRight reports choices that such a rule stops whatever else is answered.
func (a *answerWalk) neverRight(f *source.Reporter, groups [][]variable) {
	for i := range a.p.Settings {
		s := &a.p.Settings[i]
		for _, answer := range append(slices.Clone(s.Choices), "yes", "no") {
			combinations := a.stops[[2]string{s.Name, answer}]
			if len(combinations) == 0 {
				continue
			}
			for _, key := range slices.Sorted(maps.Keys(combinations[0])) {
				always := !slices.ContainsFunc(combinations, func(stops map[string]source.Diagnostic) bool { _, has := stops[key]; return !has })
				d := combinations[0][key]
				if !always || a.byDefault(key) || !a.whateverElse(s, answer, key, groups) {
					continue
				}
				d.Message = fmt.Sprintf("when %s = %s, whatever else is answered: %s", s.Name, answer, d.Message)
				f.List = append(f.List, d)
			}
		}
	}
}

// whateverElse tries an answer with every other answer of its group, and with those
// that its question hangs on.
func (a *answerWalk) whateverElse(s *Setting, answer, key string, groups [][]variable) bool {
	asked := func(values map[string]string) (*filler, bool) {
		x := a.fill(values)
		return x, x.answer(s.Name).notAsked == ""
	}
	base := maps.Clone(a.given)
	if base == nil {
		base = map[string]string{}
	}
	base[s.Name] = answer
	tried := 0
	for _, group := range groups {
		if !slices.ContainsFunc(group, func(v variable) bool { return v.name == s.Name }) {
			continue
		}
		for _, other := range group {
			for _, value := range append([]string{""}, other.values...) {
				values := maps.Clone(base)
				if values[other.name] = value; other.name == s.Name {
					values = base
				}
				for _, c := range s.When { // what it hangs on, as a condition says it
					if c.Is == "=" && c.Name != other.name {
						values[c.Name] = c.values(nil)[0]
					}
				}
				x, ok := asked(values)
				if !ok {
					continue
				}
				tried++
				if !slices.ContainsFunc(x.f.List, func(d source.Diagnostic) bool {
					return d.Severity == check.Stop && fmt.Sprint(d.Rule, d.Start, d.Path) == key
				}) {
					return false
				}
			}
		}
	}
	return tried > 0
}

// byDefault reports whether the defaults alone have something of that rule at that place.
func (a *answerWalk) byDefault(key string) bool {
	return slices.ContainsFunc(a.usual, func(d source.Diagnostic) bool { return fmt.Sprint(d.Rule, d.Start, d.Path) == key })
}

// variable is a setting with the answers that are tried.
type variable struct {
	name   string
	values []string // the default, or what stands in its place, is not among them
}

// meeting joins what meets: settings, parts, figures and steps, each by a name.
type meeting map[string]string

func (m meeting) find(n string) string {
	up, ok := m[n]
	if !ok || up == n {
		m[n] = n
		return n
	}
	m[n] = m.find(up)
	return m[n]
}

func (m meeting) meet(a, b string) { m[m.find(b)] = m.find(a) }

// naming joins a node with all that some texts name.
func (m meeting) naming(node string, texts ...string) {
	for _, text := range texts {
		refs, _ := source.References(text)
		for _, r := range refs {
			m.meet(node, r.Name)
		}
	}
}

// asking joins a node with all that conditions look at.
func (m meeting) asking(node string, when []Condition) {
	for _, c := range when {
		name, _, _ := strings.Cut(c.Name, ".")
		m.meet(node, name)
	}
}

// orderOfWork is the node of the rules that look at all steps; no name holds a blank.
const orderOfWork = " order of work"

// groups are the settings that have several answers, those that meet together.
func (a *answerWalk) groups() [][]variable {
	p, m := a.p, meeting{}
	for i := range p.Settings {
		s := &p.Settings[i]
		m.naming(s.Name, s.Default, s.Low, s.High)
		m.asking(s.Name, s.When)
	}
	m.parts(p)
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			m.step(fmt.Sprint(" step ", i, " ", j), &p.Stages[i], &p.Stages[i].Steps[j])
		}
	}
	for _, l := range p.Preliminary.lists() {
		for k, text := range *l.to {
			node := fmt.Sprint(" ", l.key, " ", k)
			m.naming(node, text)
			if when := p.Preliminary.when[l.key]; when != nil {
				m.asking(node, when[k])
			}
		}
	}
	byRoot := map[string][]variable{}
	var roots []string
	for i := range p.Settings {
		v := a.variable(&p.Settings[i])
		if len(v.values) == 0 || p.setting(v.name) != &p.Settings[i] {
			continue
		}
		root := m.find(v.name)
		if byRoot[root] == nil {
			roots = append(roots, root)
		}
		byRoot[root] = append(byRoot[root], v)
	}
	groups := make([][]variable, 0, len(roots))
	for _, root := range roots {
		groups = append(groups, byRoot[root])
	}
	return groups
}

// parts joins parts and figures with what they are made of.
func (m meeting) parts(p *Procedure) {
	for i := range p.Fasteners {
		s := &p.Fasteners[i]
		m.naming(s.Name, s.Thread, s.Head, s.Length, s.Count, s.Grade, s.Into, s.Engagement, s.Hole, s.Circle, s.Start, s.Lubricant, s.Joint, s.Cover, s.Washer, s.Depth, s.Edge, s.Spanner, s.DrillOff, s.Utilisation)
		m.asking(s.Name, s.When)
		if s.Joint != "" {
			m.meet(s.Name, s.Joint)
		}
	}
	for i := range p.Seals {
		s := &p.Seals[i]
		m.naming(s.Name, s.Material, s.Zone, s.Pressure, s.Test)
		for _, v := range s.Values {
			m.naming(s.Name, v)
		}
		m.asking(s.Name, s.When)
		if nut := s.Values["nut"]; nut != "" {
			m.meet(s.Name, nut)
		}
	}
	for i := range p.Tests {
		s := &p.Tests[i]
		m.naming(s.Name, s.Code, s.Edition, s.Pressure, s.Multiple, s.Target, s.Hold, s.DropAllowed, s.Operator, s.Inspector, s.Witness, s.Preliminary, s.Gauge)
		m.asking(s.Name, s.When)
	}
	for i := range p.Figures {
		s := &p.Figures[i]
		m.naming(s.Name, s.Low, s.High)
		m.asking(s.Name, s.When)
		if parsed, err := parseSum(s.Is); err == nil {
			parsed.names(func(name string) { m.meet(s.Name, name) })
		}
	}
}

// step joins a step with what it deals with and names; steps that conditions leave out,
// and those that the rules about the order of work look at, meet each other.
func (m meeting) step(node string, stage *Stage, step *Step) {
	m.asking(node, stage.When)
	m.asking(node, step.When)
	switch {
	case len(stage.When)+len(step.When) > 0, step.Wait != "",
		step.Kind == "seal", step.Kind == "dry-fit", step.Kind == "test", step.Kind == "tighten":
		m.meet(node, orderOfWork)
	}
	for _, part := range step.Uses {
		m.meet(node, part)
	}
	m.naming(node, step.Title, step.Do, step.Why, step.Hold, step.Witness, step.Quadrant, step.Wait)
	m.naming(node, slices.Concat(step.Warnings, step.Cautions, step.Notes)...)
	for _, r := range step.Readings {
		m.naming(node, r.Ask, r.Nominal, r.Within, r.Plus, r.Minus, r.Low, r.High, r.Danger)
		m.asking(node, r.When)
		if r.Each != "" {
			m.meet(node, r.Each)
		}
	}
	if step.Call != nil {
		for _, s := range step.Call.Set {
			m.naming(node, s.Value)
		}
	}
}

// names are the names that a sum is made of.
func (s *sum) names(each func(string)) {
	if s.op == "name" {
		name, _, _ := strings.Cut(s.name, ".")
		each(name)
	}
	for _, arg := range s.args {
		arg.names(each)
	}
}

// variable is a setting with the answers beside its default: every choice, yes and no,
// the ends of its limits, and both sides of what conditions compare it with.
func (a *answerWalk) variable(s *Setting) variable {
	v := variable{name: s.Name}
	if _, stands := a.given[s.Name]; stands {
		return v
	}
	usual := a.p.filler(&source.Reporter{Doc: a.p.doc, Muted: true}, a.given, nil).answer(s.Name)
	try := func(text string) {
		if text != "" && text != usual.raw && !slices.Contains(v.values, text) && a.p.CheckAnswer(s.Name, text, a.given) == nil {
			v.values = append(v.values, text)
		}
	}
	switch {
	case s.Kind == "choice":
		for _, c := range s.Choices {
			try(c)
		}
	case s.Kind == "yes-no":
		try("yes")
		try("no")
	case numericKind(s.Kind):
		x := a.p.filler(&source.Reporter{Doc: a.p.doc, Muted: true}, a.given, nil)
		for _, key := range [...]string{"low", "high"} {
			text := map[string]string{"low": s.Low, "high": s.High}[key]
			if raw, ok := x.raw(text, s.at.Field(key), onlySettings); ok {
				try(strings.TrimSpace(raw))
			}
		}
		a.p.eachCondition(func(c Condition) {
			if c.Name != s.Name {
				return
			}
			if at, err := parseValue(s.Kind, c.Value, nil); err == nil {
				try(c.Value)
				unit, _ := unitFor(s.Kind, "")
				suffix := unit.suffix
				switch s.Kind {
				case "pressure":
					suffix = " bar"
				case "time":
					suffix = " s"
				}
				step := max(1e-3*max(at.number, -at.number), 1e-3)
				if s.Kind == "count" {
					step = 1
				}
				try(rounded(at.number-step, 6) + suffix)
				try(rounded(at.number+step, 6) + suffix)
			}
		})
	}
	return v
}

// eachCondition goes through every condition of the procedure.
func (p *Procedure) eachCondition(each func(Condition)) {
	all := func(list []Condition) {
		for _, c := range list {
			each(c)
		}
	}
	for i := range p.Settings {
		all(p.Settings[i].When)
	}
	for i := range p.Fasteners {
		all(p.Fasteners[i].When)
	}
	for i := range p.Seals {
		all(p.Seals[i].When)
	}
	for i := range p.Tests {
		all(p.Tests[i].When)
	}
	for i := range p.Figures {
		all(p.Figures[i].When)
	}
	for _, l := range p.Preliminary.lists() {
		for _, list := range p.Preliminary.when[l.key] {
			all(list)
		}
	}
	for i := range p.Stages {
		all(p.Stages[i].When)
		for j := range p.Stages[i].Steps {
			all(p.Stages[i].Steps[j].When)
			for k := range p.Stages[i].Steps[j].Readings {
				all(p.Stages[i].Steps[j].Readings[k].When)
			}
		}
	}
}

// asked adds to a row the answers that the questions of it hang on, as a condition says
// them: what is not asked shows nothing.
func (a *answerWalk) asked(row map[string]string) map[string]string {
	for range a.p.Settings {
		grown := false
		for name := range row {
			for _, c := range a.p.setting(name).When {
				if s := a.p.setting(c.Name); s != nil && c.Is == "=" && row[c.Name] == "" {
					if answer := c.values(s.Choices)[0]; answer != s.Default {
						row[c.Name], grown = answer, true
					}
				}
			}
		}
		if !grown {
			break
		}
	}
	return row
}

// combinations are the answers of a group to be filled in, without the one of all
// defaults; all says whether it is every combination.
func combinations(group []variable) (rows []map[string]string, all bool) {
	n := 1
	for _, v := range group {
		if n *= len(v.values) + 1; n > mostCombinations {
			return pairs(group), false
		}
	}
	for i := 1; i < n; i++ {
		row := map[string]string{}
		left := i
		for _, v := range group {
			if at := left % (len(v.values) + 1); at > 0 {
				row[v.name] = v.values[at-1]
			}
			left /= len(v.values) + 1
		}
		rows = append(rows, row)
	}
	slices.SortStableFunc(rows, func(a, b map[string]string) int { return cmp.Compare(len(a), len(b)) }) // the fewest changes first
	return rows, true
}

// pairs are so many rows that every two answers of two settings stand together in one
// of them, and every answer with all the defaults in one.
func pairs(group []variable) (rows []map[string]string) {
	for _, v := range group {
		for _, value := range v.values {
			rows = append(rows, map[string]string{v.name: value})
		}
	}
	type pair struct{ a, x, b, y int }
	left := map[pair]bool{}
	var order []pair
	for a := range group {
		for b := a + 1; b < len(group); b++ {
			for x := range group[a].values {
				for y := range group[b].values {
					p := pair{a, x, b, y}
					left[p] = true
					order = append(order, p)
				}
			}
		}
	}
	for _, first := range order {
		if !left[first] {
			continue
		}
		chosen := map[int]int{first.a: first.x, first.b: first.y}
		for c := range group {
			if _, done := chosen[c]; done {
				continue
			}
			best, most := -1, 0
			for z := range group[c].values {
				covers := 0
				for other, w := range chosen {
					p := pair{other, w, c, z}
					if other > c {
						p = pair{c, z, other, w}
					}
					if left[p] {
						covers++
					}
				}
				if covers > most {
					best, most = z, covers
				}
			}
			if best >= 0 {
				chosen[c] = best
			}
		}
		row := map[string]string{}
		for a, x := range chosen {
			row[group[a].name] = group[a].values[x]
			for b, y := range chosen {
				if a < b {
					delete(left, pair{a, x, b, y})
				}
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// unreachable reports steps that no answers reach.
func (a *answerWalk) unreachable(f *source.Reporter) {
	for i := range a.p.Stages {
		stage := &a.p.Stages[i]
		for j := range stage.Steps {
			step := &stage.Steps[j]
			when := slices.Concat(stage.When, step.When)
			if len(when) == 0 || a.met[step.ID] || a.reaches(when) {
				continue
			}
			at := step.at.Field("when")
			if at == nil {
				at = stage.at.Field("when")
			}
			a.report(f, check.Result{Rule: ruleUnreachable, Severity: check.Warn, Message: fmt.Sprintf("no answers reach the step %s: what is asked of it never holds together", step.ID)}, at, step.Accept)
		}
	}
}

// reaches tries every combination of the settings that conditions look at.
func (a *answerWalk) reaches(when []Condition) bool {
	var group []variable
	n := 1
	for i := range a.p.Settings {
		s := &a.p.Settings[i]
		if !slices.ContainsFunc(when, func(c Condition) bool { return c.Name == s.Name }) {
			continue
		}
		v := a.variable(s)
		if n *= len(v.values) + 1; n > 16*mostCombinations {
			return true // nobody knows
		}
		group = append(group, v)
	}
	for i := range n {
		values := maps.Clone(a.given)
		if values == nil {
			values = map[string]string{}
		}
		left := i
		for _, v := range group {
			if at := left % (len(v.values) + 1); at > 0 {
				values[v.name] = v.values[at-1]
			}
			left /= len(v.values) + 1
		}
		x := a.p.filler(&source.Reporter{Doc: a.p.doc, Muted: true}, values, nil)
		x.openParts()
		if x.anywhere = true; x.unmet(when) == "" {
			return true
		}
	}
	return false
}

// staleAccepts reports answers to rules that have nothing against what they stand on.
func (a *answerWalk) staleAccepts(f *source.Reporter) {
	a.p.eachAccept(func(accept Accept) {
		if accept.Rule != "" && acceptable(accept.Rule) && !a.matched[accept.at] {
			a.report(f, check.Result{Rule: ruleStaleAccept, Severity: check.Warn, Message: fmt.Sprintf("the rule %s has nothing against this, under any answers", accept.Rule)}, accept.at.Field("rule"), nil)
		}
	})
}

func (a *answerWalk) report(f *source.Reporter, r check.Result, at *source.Place, accept []Accept) {
	for _, x := range accept {
		if x.Rule == r.Rule && x.Because != "" {
			a.matched[x.at] = true
			return
		}
	}
	f.Value(r.Severity, r.Rule, at, r.Message, "")
}

// CheckAll is [Check] for every answer that a fitter may give; given are answers that
// stand.
func CheckAll(file string, src []byte, library *Library, given map[string]string) (*Procedure, source.Diagnostics, Coverage) {
	p, found := Check(file, src, library)
	if p == nil || p.Format != Format || found.HasMistake() {
		return p, found, Coverage{} // what cannot be read has no answers
	}
	if len(given) > 0 {
		_, answered := p.Fill(given)
		found = append(found, slices.DeleteFunc(answered, func(d source.Diagnostic) bool {
			return d.Rule == source.RuleUnanswered || slices.ContainsFunc(found, func(other source.Diagnostic) bool { return placeOf(d) == placeOf(other) })
		})...)
	}
	more, cover := p.CheckAnswers(given, found)
	found = append(found, more...)
	slices.SortStableFunc(found, func(a, b source.Diagnostic) int { return cmp.Compare(a.Offset(), b.Offset()) })
	return p, found, cover
}
