package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/check"
)

// What a step needs next: the large button of its page and that of its list of
// gates say it and do it. It is the remedy always, never the way past a gate.

// shut are the gates of a step that stand.
func shut(st job.StepState) []job.Gate {
	return slices.DeleteFunc(slices.Clone(st.Gates), func(g job.Gate) bool { return len(g.Passed) > 0 || g.Soft })
}

// shutBy is the gate that stands of the first of the names that has one; nil for none.
func shutBy(st job.StepState, names ...job.GateName) *job.Gate {
	standing := shut(st)
	for _, name := range names {
		if i := slices.IndexFunc(standing, func(g job.Gate) bool { return g.Name == name }); i >= 0 {
			return &standing[i]
		}
	}
	return nil
}

// next is the remedy that the step needs first; false where nothing stands in the
// way. What differs and what cannot be hurried come first, then what readings leave
// open, then the rest. The hold comes after all that its release is a word about;
// what a step calls is started after it.
func (s *stepScreen) next(step *checklist.FilledStep, st job.StepState) (act, bool) {
	if g := shutBy(st, job.GateApart, job.GateWait, job.GateCure); g != nil {
		return s.remedy(step, st, *g), true
	}
	if len(s.work().openCalled(step)) > 0 {
		return s.calledRemedy(step), true
	}
	if i := s.unread(step, st); i >= 0 {
		return s.readAct(step, st, i), true
	}
	g := shutBy(st, job.GateDanger, job.GateAsk, job.GateTest)
	for _, other := range shut(st) {
		if g == nil && other.Name != job.GateHold && other.Name != job.GateCalled {
			g = &other
		}
	}
	if g == nil {
		g = shutBy(st, job.GateHold, job.GateCalled)
	}
	if g == nil {
		return act{}, false
	}
	return s.remedy(step, st, *g), true
}

// readAct takes a reading, or takes it again.
func (s *stepScreen) readAct(step *checklist.FilledStep, st job.StepState, i int) act {
	word := "Reading"
	if len(st.Readings[step.Readings[i].Name]) > 0 {
		word = "Read again"
	}
	return act{word: word, do: func() tea.Cmd { return s.read(step, i) }}
}

// remedy is what opens a gate of a step.
func (s *stepScreen) remedy(step *checklist.FilledStep, st job.StepState, g job.Gate) act {
	m, w := s.m, s.work()
	about := ""
	if len(g.Items) > 0 {
		about = g.Items[0]
	}
	switch g.Name {
	case job.GateNeeds, job.GateRounds:
		if at := s.first(g); at >= 0 {
			return s.toStep(at, "Step %d first")
		}
	case job.GateWait:
		return s.waitRemedy(st)
	case job.GateCure:
		return s.cureRemedy(g)
	case job.GateHold:
		return s.holdRemedy(step, st)
	case job.GateWitness:
		return act{word: "Witness", do: func() tea.Cmd { return m.witness(step) }}
	case job.GateApart:
		return act{word: "Settle", do: func() tea.Cmd { return s.settle(step) }}
	case job.GateDanger:
		return s.dangerRemedy(step)
	case job.GateFindings:
		return s.toFinding(func(f *job.Finding) bool { return f.ID == about })
	case job.GateAsk:
		if i := readingWith(step, st, g.Items); i >= 0 {
			return s.readAct(step, st, i)
		}
	case job.GateShort:
		return act{word: "To the list", do: m.bring}
	case job.GateTally:
		return act{word: "Count it", do: func() tea.Cmd { return m.countIn(about) }}
	case job.GateBlanks:
		if i := slices.IndexFunc(w.state.Blanks, func(b job.Blank) bool { return b.Tag == about }); i >= 0 {
			return act{word: "Blank", do: func() tea.Cmd { return m.changeBlank(w.state.Blanks[i]) }}
		}
	case job.GateTest:
		return act{word: "Test sheet", do: m.testSheet}
	case job.GateCalled:
		return s.calledRemedy(step)
	case job.GateThread, job.GateDate:
		return s.sourceRemedy(step, g)
	}
	return act{word: answersWord, do: m.answers}
}

// toStep leads to a step, in words that take its number.
func (s *stepScreen) toStep(at int, words string) act {
	step := s.work().steps[at]
	return act{word: fmt.Sprintf(words, step.Number), do: func() tea.Cmd { return s.m.stepAt(step.ID) }}
}

// toFinding leads to a finding.
func (s *stepScreen) toFinding(is func(*job.Finding) bool) act {
	list := s.work().state.Findings
	for i := range list {
		if f := &list[i]; is(f) {
			return act{word: fmt.Sprintf("Finding %d", f.Order), do: func() tea.Cmd { return s.m.showFinding(f.ID) }}
		}
	}
	return act{word: "Findings", do: s.m.findings}
}

// first is the place of the step that really stands in the way of a gate: the one
// that comes before all others that it waits for, and can be worked on.
func (s *stepScreen) first(g job.Gate) int {
	w, at := s.work(), -1
	for range w.steps { // no longer than the job, whatever waits for what
		next := w.place(g.Items[0])
		if next < 0 {
			return at
		}
		at = next
		before := shutBy(w.state.Steps[w.steps[at].ID], job.GateNeeds, job.GateRounds)
		if before == nil {
			return at
		}
		g = *before
	}
	return at
}

// holdRemedy is the release, once all that it is a word about is there.
func (s *stepScreen) holdRemedy(step *checklist.FilledStep, st job.StepState) act {
	if i := s.unread(step, st); i >= 0 {
		return s.readAct(step, st, i)
	}
	a := act{word: "Release", do: func() tea.Cmd { return s.release(step) }}
	for _, g := range shut(st) {
		if g.Name != job.GateHold && g.Name != job.GateCalled {
			a.off = "Not yet: " + g.Text + "."
		}
	}
	return a
}

// dangerRemedy leads to the finding that the danger made; once that is decided, to
// the hold at which the inspector releases it.
func (s *stepScreen) dangerRemedy(step *checklist.FilledStep) act {
	for i := range s.work().state.Findings {
		f := &s.work().state.Findings[i]
		if f.Step != step.ID || f.Danger == "" || !f.Decided() {
			continue
		}
		for _, id := range f.Disposition.Steps {
			if at := s.work().place(id); at >= 0 && s.work().state.Steps[id].Status != job.Done {
				return s.toStep(at, "Step %d first")
			}
		}
	}
	return s.toFinding(func(f *job.Finding) bool { return f.Step == step.ID && f.Danger != "" })
}

// calledRemedy goes on with what the step called, or starts it.
func (s *stepScreen) calledRemedy(step *checklist.FilledStep) act {
	switch w := s.work(); {
	case len(w.openCalled(step)) > 0:
		return act{word: "Go on inside", do: func() tea.Cmd { return s.goOnCalled(step) }}
	case w.uncalled(step):
		return act{word: "Start it", do: func() tea.Cmd { return s.startCall(step) }}
	}
	return act{word: "Reread", do: s.m.refresh}
}

// sourceRemedy leads to where the answer stands that a gate doubts: the reading that
// gave it, else the answers of the start.
func (s *stepScreen) sourceRemedy(step *checklist.FilledStep, g job.Gate) act {
	w := s.work()
	for _, v := range w.filled.Values {
		doubted := g.Name == job.GateThread && v.Probable || g.Name == job.GateDate && v.Kind == "date"
		if !doubted || !slices.ContainsFunc(g.Items, func(item string) bool {
			return strings.HasSuffix(item, " "+v.Canonical) || strings.HasSuffix(item, " "+strings.TrimSuffix(v.Text, "?"))
		}) {
			continue
		}
		if a, ok := s.toReading(v.Name); ok {
			return a
		}
	}
	return act{word: answersWord, do: s.m.answers}
}

// toReading opens the reading that gave a setting its answer.
func (s *stepScreen) toReading(setting string) (act, bool) {
	for _, step := range slices.Backward(s.work().steps) {
		st := s.work().state.Steps[step.ID]
		for i, r := range step.Readings {
			if r.Sets == setting && len(st.Readings[r.Name]) > 0 {
				return act{word: "Read again", do: func() tea.Cmd {
					s.m.stepAt(step.ID)
					return s.read(step, i)
				}}, true
			}
		}
	}
	return act{}, false
}

// readingWith is the place of the reading that one of the entries made; -1 for none.
func readingWith(step *checklist.FilledStep, st job.StepState, ids []string) int {
	return slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool {
		return slices.ContainsFunc(st.Readings[r.Name], func(v job.ReadingValue) bool { return slices.Contains(ids, v.ID) })
	})
}

// unread is the first reading of the step that is still to be taken, or to be
// taken again since the value that counts stops the work; -1 for none. A danger is
// not measured away: it is decided about.
func (s *stepScreen) unread(step *checklist.FilledStep, st job.StepState) int {
	return slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool {
		values := st.Readings[r.Name]
		return len(values) == 0 || r.Danger == "" && counting(values).Judgement.Severity == check.Stop
	})
}
