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
		acts = append(acts, act{key: k.Skip, word: "Skip",
			off: can(st.Status == job.Done || st.Status == job.Skipped, "This step is "+string(st.Status)+" already."),
			do:  func() tea.Cmd { return s.skip(step) }})
	}
	if step != nil {
		acts = append(acts, s.drawingActs(step, st)...)
	}
	acts = append(acts, act{key: k.Undo, word: "Undo", do: s.undo})
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
	a := act{key: s.m.keys.Do, main: true}
	w := s.work()
	switch {
	case step == nil && !s.whole:
		a.word, a.do = readOn, func() tea.Cmd { s.v.page(1); return nil }
	case step == nil:
		a.word, a.do = "To the steps", func() tea.Cmd { s.goTo(max(0, w.place(w.state.Next))); return nil }
	case st.Status == job.Done || st.Status == job.Skipped:
		switch next := w.place(w.state.Next); {
		case next >= 0:
			a.word, a.do = "Go on", func() tea.Cmd { s.goTo(next); return nil }
		default:
			a.word, a.do = "All done", s.home
			if leave := s.leave(); leave.word == outWord {
				a.word, a.do = leave.word, leave.do
			}
		}
	case s.needed(step) >= 0:
		at := s.first(step)
		a.word, a.do = fmt.Sprintf("Step %d first", w.steps[at].Number), func() tea.Cmd { s.goTo(at); return nil }
	case !s.whole:
		// Nobody ticks what has not been on the screen.
		a.word, a.do = readOn, func() tea.Cmd { s.v.page(1); return nil }
	case step.Hold != "" && len(st.Releases) == 0:
		a.word, a.do = "Release", func() tea.Cmd { return s.release(step) }
	case st.Status == job.Waiting:
		a.word, a.off = "Waits", "Waits until "+s.m.when(st.Due)+"."
	case len(w.openCalled(step)) > 0:
		a.word, a.do = "Go on inside", func() tea.Cmd { return s.goOnCalled(step) }
	case s.unread(step, st) >= 0:
		a.word, a.do = "Reading", func() tea.Cmd { return s.read(step, s.unread(step, st)) }
	case slices.ContainsFunc(shut(st), func(g job.Gate) bool { return g.Name == job.GateTest }):
		a.word, a.do = "Test sheet", s.m.testSheet
	case w.uncalled(step):
		a.word, a.do = "Start it", func() tea.Cmd { return s.startCall(step) }
	case len(shut(st)) > 0:
		a.word, a.do = "Gates", func() tea.Cmd { return s.gates(step) }
	default:
		a.word, a.do = doneWord, func() tea.Cmd { return s.finish(step, st) }
	}
	return a
}

// needed is the place of the first step that must come before this one and is
// not done; -1 for none.
func (s *stepScreen) needed(step *checklist.FilledStep) int {
	w := s.work()
	for _, id := range step.Needs {
		if st := w.state.Steps[id].Status; st != job.Done && st != job.Skipped {
			return w.place(id)
		}
	}
	return -1
}

// first is the place of the step that really stands in the way: the one that
// comes before all others that this one waits for, and can be worked on.
func (s *stepScreen) first(step *checklist.FilledStep) int {
	at := s.needed(step)
	for range s.work().steps { // no longer than the job, whatever waits for what
		next := s.needed(s.work().steps[at])
		if next < 0 {
			break
		}
		at = next
	}
	return at
}

// otherBlocks are the reasons why the step cannot be done yet, without those
// that stand on the screen in another form: its hold and its wait.
func (s *stepScreen) otherBlocks(step *checklist.FilledStep, st job.StepState) []string {
	w := s.work()
	var list []string
	for _, id := range step.Needs {
		if have := w.state.Steps[id].Status; have != job.Done && have != job.Skipped {
			if i := w.place(id); i >= 0 {
				list = append(list, fmt.Sprintf("step %d comes first: %s", w.steps[i].Number, w.steps[i].Title))
			}
		}
	}
	for _, b := range st.Blocks {
		if slices.ContainsFunc(st.Gates, func(g job.Gate) bool { return g.Name == job.GateCalled && g.Text == b }) {
			continue // what it called stands below, to be opened
		}
		if !strings.HasPrefix(b, "first do ") && !strings.HasPrefix(b, "hold point:") && !strings.HasPrefix(b, "wait until ") {
			list = append(list, b)
		}
	}
	return list
}

// unread is the first reading of the step that is still to be taken, or to be
// taken again since its value stops the work; -1 for none.
func (s *stepScreen) unread(step *checklist.FilledStep, st job.StepState) int {
	return slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool {
		values := st.Readings[r.Name]
		return len(values) == 0 || values[len(values)-1].Judgement.Severity == check.Stop
	})
}
