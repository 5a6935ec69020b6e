package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"slices"
	"strings"
)

// checkStructure looks for everything that does not depend on the answers:
// names that stand twice or nowhere, circles, limits that cannot be.
func (p *Procedure) checkStructure(f *source.Reporter) {
	p.checkSettings(f)
	p.checkNames(f)
	c := newOrder(p)
	p.checkAccepts(f)
	p.checkSteps(f, c)
	c.circles(f)
}

// checkAccepts reports answers to rules that there are not, or that cannot be
// answered.
func (p *Procedure) checkAccepts(f *source.Reporter) {
	var rules []string // made only where something is accepted
	check := func(list []Accept) {
		for _, a := range list {
			if a.Rule == "" {
				continue
			}
			if rules == nil {
				rules = acceptableRules()
			}
			at := a.at.Field("rule")
			known := slices.ContainsFunc(Rules(), func(r Rule) bool { return r.ID == a.Rule })
			switch {
			case slices.Contains(rules, a.Rule):
			case known:
				f.Value(check.Stop, source.RuleUnknownWord, at, fmt.Sprintf("the rule %s cannot be accepted", a.Rule), "")
			default:
				f.Value(check.Stop, source.RuleUnknownWord, at, fmt.Sprintf("there is no rule %s to accept", source.Shown(a.Rule)), f.Suggest(a.Rule, rules))
			}
		}
	}
	check(p.Accept)
	for i := range p.Figures {
		check(p.Figures[i].Accept)
	}
	for i := range p.Fasteners {
		check(p.Fasteners[i].Accept)
	}
	for i := range p.Seals {
		check(p.Seals[i].Accept)
	}
	for i := range p.Tests {
		check(p.Tests[i].Accept)
	}
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			check(p.Stages[i].Steps[j].Accept)
		}
	}
}

func (p *Procedure) checkSettings(f *source.Reporter) {
	for i := range p.Settings {
		s := &p.Settings[i]
		if s.Kind != "" && !numericKind(s.Kind) {
			for _, side := range [...]string{"low", "high"} {
				if at := s.at.Field(side); at != nil {
					f.Key(check.Stop, source.RuleUnknownKey, at, fmt.Sprintf("%s has no `%s`; limits are for numbers and measures", source.Article(s.Kind), side), "")
				}
			}
		}
	}
}

// checkNames reports what is called as something else that ${...}, a condition or a
// sum could mean. Steps are named by `after` alone and may be called as anything; a
// reading may be called as the setting that it replaces, which it then is.
func (p *Procedure) checkNames(f *source.Reporter) {
	type named struct {
		what string
		at   *source.Place
	}
	met := map[string]named{}
	meet := func(name, what string, at *source.Place) {
		other, twice := met[name]
		if twice && other.what != what {
			f.Key(check.Stop, source.RuleDuplicate, at, fmt.Sprintf("%s names %s and %s%s", source.Shown(name), other.what, what, f.AlsoAt(other.at)), "call one of them something else")
			return
		}
		met[name] = named{what, at}
	}
	for _, s := range p.Settings {
		meet(s.Name, "a setting", s.at)
	}
	for _, s := range p.Fasteners {
		meet(s.Name, "a fastener", s.at)
	}
	for _, s := range p.Seals {
		meet(s.Name, "a seal", s.at)
	}
	for _, s := range p.Tests {
		meet(s.Name, "a test", s.at)
	}
	for _, s := range p.Figures {
		meet(s.Name, "a figure", s.at)
	}
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			for _, r := range p.Stages[i].Steps[j].Readings {
				if r.Name != "" && p.setting(r.Name) == nil {
					meet(r.Name, "a reading", r.at.Field("name"))
				}
			}
		}
	}
}

func (p *Procedure) checkSteps(f *source.Reporter, c *order) {
	var parts []string
	for _, part := range p.Fasteners {
		parts = append(parts, part.Name)
	}
	for _, part := range p.Seals {
		parts = append(parts, part.Name)
	}
	for _, part := range p.Tests {
		parts = append(parts, part.Name)
	}
	for i := range p.Stages {
		stage := &p.Stages[i]
		if stage.at.Field("step") != nil && len(stage.Steps) == 0 && len(stage.at.Field("step").Items) == 0 {
			f.Value(check.Stop, source.RuleEmpty, stage.at.Field("step"), "the stage has no steps", "")
		}
		for j := range stage.Steps {
			step := &stage.Steps[j]
			if first := c.byID[step.ID]; step.ID != "" && first != step {
				f.Value(check.Stop, source.RuleDuplicate, step.at.Field("id"), fmt.Sprintf("the step %s stands twice%s", source.Shown(step.ID), f.AlsoAt(first.at.Field("id"))), "")
			}
			for k, need := range step.Needs {
				at := step.at.Field("after").Item(k)
				if at == nil {
					at = step.at.Field("after")
				}
				switch {
				case need == step.ID:
					f.Value(check.Stop, source.RuleCircle, at, "the step comes after itself", "")
				case c.byID[need] == nil:
					f.Value(check.Stop, source.RuleUnknownName, at, fmt.Sprintf("there is no step %s", source.Shown(need)), f.Suggest(need, c.ids))
				case slices.Contains(step.Needs[:k], need):
					f.Value(check.Note, source.RuleDuplicate, at, fmt.Sprintf("%s stands twice", source.Shown(need)), "")
				}
			}
			for k, use := range step.Uses {
				at := step.at.Field("parts").Item(k)
				if at == nil {
					at = step.at.Field("parts")
				}
				if !slices.Contains(parts, use) {
					f.Value(check.Stop, source.RuleUnknownName, at, fmt.Sprintf("there is no fastener, seal or test %s", source.Shown(use)), f.Suggest(use, parts))
				} else if slices.Contains(step.Uses[:k], use) {
					f.Value(check.Note, source.RuleDuplicate, at, fmt.Sprintf("%s stands twice", source.Shown(use)), "")
				}
			}
			for k := range step.Readings {
				r := &step.Readings[k]
				if r.Name == "" {
					continue
				}
				for _, other := range step.Readings[:k] {
					if other.Name == r.Name {
						f.Value(check.Stop, source.RuleDuplicate, r.at.Field("name"), fmt.Sprintf("the reading %s stands twice in this step", source.Shown(r.Name)), "")
						break
					}
				}
				p.checkReadingSetting(f, r)
			}
		}
	}
}

// checkReadingSetting looks whether a reading can replace the setting it names.
func (p *Procedure) checkReadingSetting(f *source.Reporter, r *Reading) {
	if r.Sets == "" {
		if s := p.setting(r.Name); s != nil {
			f.Value(check.Stop, source.RuleDuplicate, r.at.Field("name"), fmt.Sprintf("the reading is called as the setting %s and does not replace it%s", s.Name, f.AlsoAt(s.at)), "sets = \""+s.Name+"\", or another name")
		}
		return
	}
	s := p.setting(r.Sets)
	if s == nil {
		f.Value(check.Stop, source.RuleUnknownName, r.at.Field("sets"), fmt.Sprintf("there is no setting %s", source.Shown(r.Sets)), f.Suggest(r.Sets, p.settingNames()))
		return
	}
	if r.Kind == "" || s.Kind == "" {
		return
	}
	if r.several() && r.Takes == "" {
		f.Value(check.Stop, source.RuleMissingKey, r.at.Field("sets"), "the reading is taken several times, and nothing says which figure replaces the setting", `takes = "smallest"`)
	}
	if r.Kind != s.Kind && !(numericKind(r.Kind) && bareNumber(r.Kind) && bareNumber(s.Kind)) {
		f.Value(check.Stop, source.RuleWrongType, r.at.Field("kind"), fmt.Sprintf("the reading replaces the setting %s, which is %s; %s cannot", s.Name, source.Article(s.Kind), source.Article(r.Kind)), "kind = \""+s.Kind+"\"")
		return
	}
	for i, c := range r.Choices {
		if r.Kind == "choice" && !strings.Contains(c, "${") && !slices.Contains(s.Choices, c) {
			f.Value(check.Stop, source.RuleUnknownWord, r.at.Field("choices").Item(i), fmt.Sprintf("the reading replaces the setting %s, which has no choice %s", s.Name, source.Shown(c)), f.Suggest(c, s.Choices))
		}
	}
}

// bareNumber reports whether answers of a kind are numbers without a unit.
func bareNumber(kind string) bool { return kind == "count" || kind == "number" }

// checkConditions looks at every when, before any answer decides it.
func (x *filler) checkConditions() {
	p := x.p
	for i := range p.Settings {
		x.checkWhen(p.Settings[i].When, looksAtSettings)
	}
	for i := range p.Fasteners {
		x.checkWhen(p.Fasteners[i].When, looksAnywhere)
	}
	for i := range p.Seals {
		x.checkWhen(p.Seals[i].When, looksAnywhere)
	}
	for i := range p.Tests {
		x.checkWhen(p.Tests[i].When, looksAnywhere)
	}
	for i := range p.Figures {
		x.checkWhen(p.Figures[i].When, looksAnywhere)
	}
	for _, l := range p.Preliminary.lists() {
		for _, conditions := range p.Preliminary.when[l.key] {
			x.checkWhen(conditions, looksAtSettings)
		}
	}
	for i := range p.Stages {
		stage := &p.Stages[i]
		x.checkWhen(stage.When, looksAnywhere)
		for j := range stage.Steps {
			x.checkWhen(stage.Steps[j].When, looksAnywhere)
			for k := range stage.Steps[j].Readings {
				x.checkWhen(stage.Steps[j].Readings[k].When, looksAnywhere)
			}
		}
	}
}

// order is the graph of what comes before what.
type order struct {
	p     *Procedure
	steps []*Step
	ids   []string
	byID  map[string]*Step
	index map[string]int
}

func newOrder(p *Procedure) *order {
	n := 0
	for i := range p.Stages {
		n += len(p.Stages[i].Steps)
	}
	c := &order{
		p: p, byID: make(map[string]*Step, n), index: make(map[string]int, n),
		steps: make([]*Step, 0, n), ids: make([]string, 0, n),
	}
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			step := &p.Stages[i].Steps[j]
			if c.byID[step.ID] == nil {
				c.byID[step.ID] = step
				c.index[step.ID] = len(c.steps)
				if step.ID != "" {
					c.ids = append(c.ids, step.ID)
				}
			}
			c.steps = append(c.steps, step)
		}
	}
	return c
}

// needs are the indexes of the steps that step i waits for directly.
func (c *order) needs(i int, each func(int)) {
	step := c.steps[i]
	if !step.HasNeeds {
		if i > 0 {
			each(i - 1)
		}
		return
	}
	for _, id := range step.Needs {
		if j, ok := c.index[id]; ok && j != i {
			each(j)
		}
	}
}

// circles reports every circle of steps once, at the `after` that closes it.
func (c *order) circles(f *source.Reporter) {
	const (
		unseen = iota
		open
		done
	)
	seen := make([]byte, len(c.steps))
	type frame struct {
		step  int
		needs []int
	}
	var stack []frame
	push := func(i int) {
		seen[i] = open
		var needs []int
		c.needs(i, func(j int) { needs = append(needs, j) })
		stack = append(stack, frame{i, needs})
	}
	for i := range c.steps {
		if seen[i] != unseen {
			continue
		}
		push(i)
		for len(stack) > 0 {
			top := &stack[len(stack)-1]
			if len(top.needs) == 0 {
				seen[top.step] = done
				stack = stack[:len(stack)-1]
				continue
			}
			next := top.needs[0]
			top.needs = top.needs[1:]
			switch seen[next] {
			case unseen:
				push(next)
			case open:
				var names []string
				for k := len(stack) - 1; k >= 0; k-- {
					names = append(names, c.steps[stack[k].step].ID)
					if stack[k].step == next {
						break
					}
				}
				slices.Reverse(names)
				step := c.steps[top.step]
				f.Value(check.Stop, source.RuleCircle, c.needPlace(step, c.steps[next].ID), "these steps wait for each other: "+chain(names), "take one of them out of an `after`")
			}
		}
	}
}

// chain writes a circle of names: a, b, c, a.
func chain(names []string) string {
	names = append(names, names[0])
	if len(names) > 9 {
		names = append(append(names[:4:4], "..."), names[len(names)-4:]...)
	}
	return strings.Join(names, " comes after ")
}

func (c *order) needPlace(step *Step, id string) *source.Place {
	at := step.at.Field("after")
	for i, need := range step.Needs {
		if need == id && at.Item(i) != nil {
			return at.Item(i)
		}
	}
	if at == nil {
		return step.at
	}
	return at
}
