package tui

import (
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
)

// Words of the large button that more hangs on than what it says.
const (
	readOn   = "Read on"
	doneWord = "Done"
)

func (s *stepScreen) acts() []act {
	k := s.m.keys
	step, st := s.step()
	w := s.work()
	acts := []act{s.mainAct(step, st)}
	can := func(off bool, why string) string {
		if off {
			return why
		}
		return ""
	}
	acts = append(acts,
		act{key: k.Prev, word: "Before", off: can(s.at < 0, "This is the first page."),
			do: func() tea.Cmd { s.goTo(s.at - 1); return nil }})
	leave := s.leave()
	if leave.word == outWord { // near at hand where a finger looks first
		acts = append(acts, leave)
	}
	if step != nil && mayBegin(step, st) {
		acts = append(acts, act{key: k.Earlier, word: "Earlier", do: func() tea.Cmd { return s.begin(step.ID, true) }})
	}
	if w.state.Next == "" && leave.word != outWord {
		acts = append(acts, s.putAway())
	}
	acts = append(acts,
		act{key: k.Lookup, word: "Thread", do: s.m.lookUp},
		act{key: k.Next, word: "After", off: can(s.at >= len(w.steps)-1, "This is the last step."),
			do: func() tea.Cmd { s.goTo(s.at + 1); return nil }},
		act{key: k.Steps, word: "Steps", do: func() tea.Cmd { s.m.push(newSteps(s)); return nil }},
	)
	if step != nil && (step.Call != nil || len(w.called(step)) > 0) {
		acts = append(acts, s.callAct(step))
	}
	if step != nil {
		acts = append(acts, act{key: k.Finding, word: "Finding", do: func() tea.Cmd { return s.find(step) }})
		acts = append(acts, act{key: k.Note, word: "Note", do: func() tea.Cmd { return s.note(step) }})
		if len(step.Readings) > 0 {
			acts = append(acts, act{key: k.Reading, word: "Reading", do: func() tea.Cmd { return s.readAny(step, st) }})
		}
		if st.Status == job.Done || st.Status == job.Skipped {
			acts = append(acts, act{key: k.Reopen, word: "Reopen", do: func() tea.Cmd { return s.reopen(step) }})
		} else {
			acts = append(acts, act{key: k.Skip, word: "Skip", do: func() tea.Cmd { return s.skip(step) }})
		}
	}
	if step != nil {
		acts = append(acts, s.drawingActs(step, st)...)
	}
	acts = append(acts, act{key: k.Undo, word: "Undo", do: s.m.undo})
	if w.state.Next != "" && w.place(w.state.Next) != s.at {
		acts = append(acts, act{key: k.Current, word: "Go on", do: func() tea.Cmd { s.goTo(w.place(w.state.Next)); return nil }})
	}
	acts = append(acts,
		act{key: k.Findings, word: "Findings", do: s.m.findings},
		act{key: k.Bring, word: "Bring", do: s.m.bring},
	)
	if step != nil {
		acts = append(acts, act{key: k.Gates, word: "Gates", do: func() tea.Cmd { return s.gates(step) }})
	}
	if w.tested() {
		acts = append(acts, act{key: k.Test, word: "Test", do: s.m.testSheet})
	}
	acts = append(acts,
		act{key: k.PutRight, word: answersWord, do: s.m.answers},
		act{key: k.Sources, word: "Sources", do: func() tea.Cmd { s.sources = !s.sources; return nil }},
		act{key: k.Notices, word: "Record", do: s.notices},
		act{key: k.Refresh, word: "Reread", do: s.m.refresh},
		act{key: k.Who, word: "Who", do: func() tea.Cmd { s.m.askWho(nil); return nil }},
	)
	if leave.word != outWord {
		acts = append(acts, leave)
	}
	return acts
}

// mainAct is what the large button does: whatever the step needs next.
func (s *stepScreen) mainAct(step *checklist.FilledStep, st job.StepState) act {
	a := s.needs(step, st)
	a.key, a.main = s.m.keys.Do, true
	return a
}

func (s *stepScreen) needs(step *checklist.FilledStep, st job.StepState) act {
	w := s.work()
	on := act{word: readOn, do: func() tea.Cmd { s.v.page(1); return nil }}
	if step == nil {
		if !s.whole {
			return on
		}
		return act{word: "To the steps", do: func() tea.Cmd { s.goTo(max(0, w.place(w.state.Next))); return nil }}
	}
	if st.Status == job.Done || st.Status == job.Skipped {
		switch next := w.place(w.state.Next); {
		case next >= 0:
			return act{word: "Go on", do: func() tea.Cmd { s.goTo(next); return nil }}
		case !s.whole && len(s.atEnd()) > 0: // what is open is read before it is all done
			return on
		}
		return s.allDone()
	}
	if g := shutBy(st, job.GateNeeds, job.GateRounds); g != nil {
		return s.remedy(step, st, *g)
	}
	if !s.whole { // nobody ticks what has not been on the screen
		return on
	}
	if a, ok := s.next(step, st); ok {
		return a
	}
	return act{word: doneWord, do: func() tea.Cmd { return s.finish(step, st) }}
}

// allDone is the end of a job: what is still open is gone to, else it is left.
func (s *stepScreen) allDone() act {
	w, m := s.work(), s.m
	if a, ok := m.toSettle(); ok {
		return a
	}
	if slices.ContainsFunc(w.state.Findings, func(f job.Finding) bool { return !f.Decided() }) {
		return s.toFinding(func(f *job.Finding) bool { return !f.Decided() })
	}
	for _, t := range w.state.Tallies {
		if t.Inside != 0 {
			return act{word: "Count it", do: func() tea.Cmd { return m.countIn(t.Opening) }}
		}
	}
	for _, b := range w.state.Blanks {
		if b.Fitted && !b.Stays {
			return act{word: "Blank", do: func() tea.Cmd { return m.changeBlank(b) }}
		}
	}
	for _, c := range w.state.Called {
		if c.Open {
			return act{word: "Go on inside", do: func() tea.Cmd { return m.openCalled(c) }}
		}
	}
	if leave := s.leave(); leave.word == outWord {
		return leave
	}
	return act{word: "All done", do: s.home}
}

// otherBlocks are the reasons why the step cannot be done yet, without those
// that stand on the screen in another form: its hold, its wait, what differs and
// what it called.
func (s *stepScreen) otherBlocks(st job.StepState) []string {
	w := s.work()
	var list []string
	for _, b := range st.Blocks {
		i := slices.IndexFunc(st.Gates, func(g job.Gate) bool { return g.Text == b })
		if i < 0 {
			list = append(list, b)
			continue
		}
		switch g := st.Gates[i]; {
		case g.Name == job.GateNeeds:
			for _, id := range g.Items {
				if i := w.place(id); i >= 0 {
					list = append(list, fmt.Sprintf("step %d comes first: %s", w.steps[i].Number, w.steps[i].Title))
				}
			}
		case g.Name == job.GateHold, g.Name == job.GateCalled, g.Name == job.GateApart, g.Name == job.GateWait && !st.Due.IsZero():
		default:
			list = append(list, b)
		}
	}
	return list
}
