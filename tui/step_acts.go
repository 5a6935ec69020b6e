package tui

import (
	"fmt"
	"slices"

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
	if step != nil && step.Wait > 0 && st.Status != job.Done {
		acts = append(acts, act{key: k.Earlier, word: "Put on earlier", do: func() tea.Cmd { return s.beganEarlier(step, st.Begun != nil && st.Begun.Doubt != "") }})
	}
	if step != nil && (st.Status == job.Done || st.Status == job.Skipped) {
		acts = append(acts, act{key: k.Reopen, word: "Open again", do: func() tea.Cmd { return s.reopen(step) }})
	}
	if w.job != nil {
		acts = append(acts, act{key: k.PutRight, word: "Answers", do: s.putRight})
		if w.state.Next == "" && len(w.state.Closed) == 0 {
			acts = append(acts, act{key: k.PutAway, word: "Put away", do: s.putAway})
		}
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
			a.word, a.do = "All done", s.ended
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
	case len(w.openCalled(step)) > 0:
		a.word, a.do = "Go on inside", func() tea.Cmd { return s.goOnCalled(step) }
	case slices.ContainsFunc(shut(st), func(g job.Gate) bool { return g.Name == job.GateApart }):
		a.word, a.do = "Settle", func() tea.Cmd { return s.settle(step, st) }
	case st.Status == job.Waiting:
		a.word, a.off = "Waits", "Waits until "+s.m.when(st.Due)+"."
	case s.unread(step, st) >= 0 && !s.waitsFirst(st):
		// Readings come before the release that is a word about them.
		a.word, a.do = "Reading", func() tea.Cmd { return s.read(step, s.unread(step, st)) }
	case len(shut(st)) > 0:
		a.word, a.do = s.remedyOf(step, st)
	default:
		a.word, a.do = doneWord, func() tea.Cmd { return s.finish(step, st) }
	}
	return a
}

// remedyOf is what the large button does about the first gate that has a remedy; a
// hold comes last, since its release is a word about the others.
func (s *stepScreen) remedyOf(step *checklist.FilledStep, st job.StepState) (string, func() tea.Cmd) {
	for _, last := range []bool{false, true} {
		for _, g := range shut(st) {
			if (g.Name == job.GateHold) != last {
				continue
			}
			if word, do := s.remedy(step, st, g); do != nil {
				return word, do
			}
			return "Gates", func() tea.Cmd { return s.gates(step) }
		}
	}
	return "Gates", func() tea.Cmd { return s.gates(step) }
}

// waitsFirst says whether a wait has to begin before anything of the step is read.
func (s *stepScreen) waitsFirst(st job.StepState) bool {
	return slices.ContainsFunc(shut(st), func(g job.Gate) bool { return g.Name == job.GateWait })
}

// needed is the place of the first step that must come before this one and is
// not done, however far back; -1 for none.
func (s *stepScreen) needed(step *checklist.FilledStep) int {
	w := s.work()
	for _, g := range shut(w.state.Steps[step.ID]) {
		if g.Name == job.GateNeeds {
			return w.place(firstItem(g))
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
	elsewhere := func(g job.Gate) bool {
		switch g.Name {
		case job.GateCalled, job.GateHold, job.GateApart: // they stand on the step in a form of their own
			return true
		case job.GateWait:
			return !st.Due.IsZero()
		}
		return false
	}
	for _, g := range shut(st) {
		if g.Name != job.GateNeeds {
			if !elsewhere(g) {
				list = append(list, g.Text)
			}
			continue
		}
		for _, id := range g.Items {
			if i := w.place(id); i >= 0 {
				list = append(list, fmt.Sprintf("step %d comes first: %s", w.steps[i].Number, w.steps[i].Title))
			}
		}
	}
	return list
}

// unread is the first reading of the step that is still to be taken, or to be
// taken again since its value stops the work; -1 for none.
func (s *stepScreen) unread(step *checklist.FilledStep, st job.StepState) int {
	return slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool {
		values := st.Readings[r.Name]
		return len(values) == 0 || r.Danger == "" && slices.ContainsFunc(values, func(v job.ReadingValue) bool { return v.Counts && v.Judgement.Severity == check.Stop })
	})
}
