package checklist

import (
	"fmt"
	"slices"
	"strings"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Change is what was decided about a job after its procedure was frozen: some
// fasteners of a circle became others, and steps came in. [Procedure.Revise]
// works it in; the file itself stays as it is.
type Change struct {
	// Fastener is the circle that is split; empty where only steps come in.
	Fastener string
	Numbers  []int  // which of the circle, counted from 1
	Part     string // name of the part that stands for them from now on

	// What differs from the rest of the circle; empty where nothing does. They
	// are answers as a person types them.
	Thread, Length, Head, Grade, Cover, Depth, Hole string

	// Steps come in. The first needs what the step it is put behind (or before)
	// needs, each other the one before it.
	Steps []Step
	// After is the step behind which they are put; where it is empty or not
	// there, they stand before the first of Before, or at the end.
	After string
	// Hold is a step that has to be done before the first of Steps, beside what
	// that one needs anyway; empty for none.
	Hold string
	// Before are steps that may not begin until the last of Steps is done.
	Before []string
}

// Split is a circle of fasteners of which some are others now.
type Split struct {
	Fastener string
	Numbers  []int
	Part     string
}

// Splits lists the circles that were split, in the order of the changes.
func (p *Procedure) Splits() []Split { return slices.Clone(p.splits) }

// Revise is the procedure with changes worked in, in their order; p itself is
// not changed. A change to a fastener that is not there brings in its steps
// only. A fastener of the circle that is changed twice is what the later change
// says.
func (p *Procedure) Revise(changes []Change) *Procedure {
	if len(changes) == 0 {
		return p
	}
	out := *p
	out.splits = slices.Clone(p.splits)
	out.Fasteners = slices.Clone(p.Fasteners)
	out.Stages = slices.Clone(p.Stages)
	for i := range out.Stages {
		out.Stages[i].Steps = slices.Clone(p.Stages[i].Steps)
	}
	for _, c := range changes {
		out.split(c)
		out.insert(c)
	}
	return &out
}

func (p *Procedure) split(c Change) {
	if c.Part == "" || len(c.Numbers) == 0 {
		return
	}
	i := slices.IndexFunc(p.Fasteners, func(f Fastener) bool { return f.Name == c.Fastener })
	if i < 0 {
		return
	}
	p.unsplit(c)
	group := &p.Fasteners[i]
	group.gone += len(c.Numbers)
	one := *group
	one.Name, one.like, one.gone = c.Part, group.Name, 0
	one.Label = strings.TrimSpace(fmt.Sprintf("%s, no. %s", labelOf(group), numberList(c.Numbers)))
	one.Count = fmt.Sprint(len(c.Numbers))
	for _, set := range [...]struct {
		to *string
		is string
	}{
		{&one.Thread, c.Thread}, {&one.Length, c.Length}, {&one.Head, c.Head}, {&one.Grade, c.Grade},
		{&one.Cover, c.Cover}, {&one.Depth, c.Depth}, {&one.Hole, c.Hole},
	} {
		if set.is != "" {
			*set.to = set.is
		}
	}
	if c.Thread != "" {
		one.Engagement, one.Spanner = "", "" // said about the old thread
	}
	p.Fasteners = append(p.Fasteners, one)
	p.splits = append(p.splits, Split{c.Fastener, slices.Clone(c.Numbers), c.Part})
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			step := &p.Stages[i].Steps[j]
			if !slices.Contains(step.Uses, c.Fastener) || slices.Contains(step.Uses, c.Part) {
				continue
			}
			step.Uses = append(slices.Clone(step.Uses), c.Part)
			step.Notes = append(slices.Clone(step.Notes), fmt.Sprintf("No. %s of %s is another now: ${%s.thread}. Where its figures differ they stand beside the others.", numberList(c.Numbers), labelOf(group), c.Part))
		}
	}
}

// unsplit takes numbers that change once more out of the part they were.
func (p *Procedure) unsplit(c Change) {
	for i := range p.splits {
		s := &p.splits[i]
		if s.Fastener != c.Fastener {
			continue
		}
		left := slices.DeleteFunc(slices.Clone(s.Numbers), func(n int) bool { return slices.Contains(c.Numbers, n) })
		if taken := len(s.Numbers) - len(left); taken > 0 {
			p.Fasteners[slices.IndexFunc(p.Fasteners, func(f Fastener) bool { return f.Name == c.Fastener })].gone -= taken
			s.Numbers = left
			if at := slices.IndexFunc(p.Fasteners, func(f Fastener) bool { return f.Name == s.Part }); at >= 0 && len(left) > 0 {
				p.Fasteners[at].Count = fmt.Sprint(len(left))
			} else if at >= 0 {
				p.dropPart(at)
			}
		}
	}
	p.splits = slices.DeleteFunc(p.splits, func(s Split) bool { return len(s.Numbers) == 0 })
}

// dropPart takes a part away that no fastener is any more.
func (p *Procedure) dropPart(at int) {
	name := p.Fasteners[at].Name
	p.Fasteners = slices.Delete(p.Fasteners, at, at+1)
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			step := &p.Stages[i].Steps[j]
			if slices.Contains(step.Uses, name) {
				step.Uses = slices.DeleteFunc(slices.Clone(step.Uses), func(s string) bool { return s == name })
				step.Notes = slices.DeleteFunc(slices.Clone(step.Notes), func(s string) bool { return strings.Contains(s, "${"+name+".") })
			}
		}
	}
}

func (p *Procedure) insert(c Change) {
	if len(c.Steps) == 0 {
		return
	}
	steps := slices.Clone(c.Steps)
	stage, at := p.placeFor(c)
	if stage < 0 {
		return
	}
	for i := range steps {
		steps[i].added, steps[i].HasNeeds, steps[i].Needs = true, true, nil
		if i > 0 {
			steps[i].Needs = []string{steps[i-1].ID}
		} else {
			steps[i].Needs = p.needsOf(p.neighbour(c))
			if c.Hold != "" && !slices.Contains(steps[i].Needs, c.Hold) {
				steps[i].Needs = append(steps[i].Needs, c.Hold)
			}
		}
	}
	last := steps[len(steps)-1].ID
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			if step := &p.Stages[i].Steps[j]; slices.Contains(c.Before, step.ID) {
				step.also = append(slices.Clone(step.also), last)
			}
		}
	}
	p.Stages[stage].Steps = slices.Insert(p.Stages[stage].Steps, at, steps...)
}

// neighbour is the step whose needs the first step of a change shares.
func (p *Procedure) neighbour(c Change) string {
	first := ""
	for _, stage := range p.Stages {
		for _, step := range stage.Steps {
			if step.ID == c.After {
				return step.ID
			}
			if first == "" && slices.Contains(c.Before, step.ID) {
				first = step.ID
			}
		}
	}
	return first
}

// needsOf is what a step of the file needs: what it says, or the step before it.
func (p *Procedure) needsOf(id string) []string {
	before := ""
	for _, stage := range p.Stages {
		for _, step := range stage.Steps {
			switch {
			case step.ID == id && (step.HasNeeds || before == ""):
				return slices.Clone(step.Needs)
			case step.ID == id:
				return []string{before}
			case !step.added:
				before = step.ID
			}
		}
	}
	return nil
}

// placeFor is the stage and the place in it where the steps of a change stand.
func (p *Procedure) placeFor(c Change) (stage, at int) {
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			if p.Stages[i].Steps[j].ID != c.After || c.After == "" {
				continue
			}
			for j++; j < len(p.Stages[i].Steps) && p.Stages[i].Steps[j].added; j++ {
			}
			return i, j
		}
	}
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			if slices.Contains(c.Before, p.Stages[i].Steps[j].ID) {
				return i, j
			}
		}
	}
	stage = len(p.Stages) - 1
	if stage < 0 {
		return -1, 0
	}
	return stage, len(p.Stages[stage].Steps)
}

func labelOf(f *Fastener) string {
	if f.Label != "" {
		return f.Label
	}
	return strings.NewReplacer("_", " ", "-", " ").Replace(f.Name)
}

func numberList(numbers []int) string {
	words := make([]string, len(numbers))
	for i, n := range numbers {
		words[i] = fmt.Sprint(n)
	}
	return strings.Join(words, ", ")
}

// asTheOthers keeps a fastener that differs from its circle from being
// tightened harder than they are: the cover would be drawn down on one side.
func (x *filler) asTheOthers(p *part, s *Fastener) {
	group := x.parts[s.like]
	if group == nil {
		return
	}
	group.ready()
	own, ok := p.find("torque")
	theirs, has := group.find("torque")
	if ok && has && own.Value < theirs.Value {
		p.finding(check.Result{Rule: ruleOddScrew, Severity: check.Warn, Source: practice,
			Message: fmt.Sprintf("it stands less than the others of its circle: tighten all of them to its %s", own.Text)}, "thread")
	}
	if !ok || !has || own.Value <= theirs.Value {
		return
	}
	for i := range p.figures {
		f := &p.figures[i]
		for _, key := range [...]string{"torque", "torque_lbf_in", "first_pass", "second_pass"} {
			if with, found := group.find(key); found && f.Key == p.name+"."+key {
				f.Text, f.Value = with.Text, with.Value
				f.Source = fmt.Sprintf("as the others of its circle; alone it would take %s (the smallest torque of the circle counts for all: common practice, no source)", own.Text)
			}
		}
		if f.Key == p.name+".preload" && own.Value > 0 {
			share := theirs.Value / own.Value
			f.Value *= share
			f.Text = quantity.Force(f.Value).String()
			f.Source = "calculated: in proportion to the torque of its circle"
		}
		if f.Key == p.name+".limited_by" {
			f.Text = "the torque of the others"
		}
	}
}
