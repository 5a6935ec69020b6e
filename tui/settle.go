package tui

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// What two people wrote apart, on the screen: both, who and when; and one answer
// that counts from then on.

// differsWord stands on a step that two people recorded differently.
const differsWord = "differs"

// differing are the differences on a step that hold it.
func (w *work) differing(step string) []job.Conflict {
	return slices.DeleteFunc(slices.Clone(w.state.Conflicts), func(c job.Conflict) bool { return !c.Holds || c.Step != step })
}

// settle asks which of two things counts, the first one that differs on the step.
func (s *stepScreen) settle(step *checklist.FilledStep) tea.Cmd {
	list := s.work().differing(step.ID)
	if len(list) == 0 { // an answer of the start, or the test sheet
		a, _ := s.m.toSettle()
		return s.m.run(a)
	}
	c := list[0]
	if i := slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool { return r.Name == c.Reading }); i >= 0 {
		return s.settleReading(step, i)
	}
	for _, f := range s.work().state.Findings {
		if f.Step == step.ID && f.Unsettled {
			return s.m.showFinding(f.ID)
		}
	}
	return s.settleTick(step, c)
}

// settleReading offers each value that somebody read, and to measure again.
func (s *stepScreen) settleReading(step *checklist.FilledStep, i int) tea.Cmd {
	const again = "Measure again"
	r := step.Readings[i]
	values := s.work().state.Steps[step.ID].Readings[r.Name]
	q := s.m.inquire("Settle")
	return q.put(r.Ask, func(e *entry) {
		var choices []choice
		for _, v := range values {
			about := s.readBy(v)
			if at := slices.IndexFunc(choices, func(c choice) bool { return c.text == v.String() }); at >= 0 {
				choices[at].about += "; " + about
				continue
			}
			choices = append(choices, choice{v.String(), about})
		}
		pickOne(append(choices, choice{again, "look once more, both of you"})...)(e)
		e.about = []string{"Two people read this differently. Which one counts?"}
		e.word = "Settle it"
	}, func(text string) tea.Cmd {
		at := slices.IndexFunc(values, func(v job.ReadingValue) bool { return v.String() == text })
		if at < 0 {
			s.m.drop(q.first)
			return s.read(step, i)
		}
		return q.save("settled: "+text, func(j *job.Job) (job.Saved, error) { return j.Settle(step.ID, r.Name, values[at].Value) }, nil)
	})
}

// readBy is who read a value, when, and what it says.
func (s *stepScreen) readBy(v job.ReadingValue) string {
	text := v.By + ", " + s.m.when(v.At)
	if g := v.Judgement; g.Severity != "" {
		text += ": " + strings.ToUpper(string(g.Severity)) + ", " + g.Text
	}
	return text
}

// settleTick asks whether a step is done, where one said so and another did not.
func (s *stepScreen) settleTick(step *checklist.FilledStep, c job.Conflict) tea.Cmd {
	st := s.work().state.Steps[step.ID]
	const done, open = "It is done", "It is open"
	q := s.m.inquire("Settle")
	return q.put("Is this step done?", func(e *entry) {
		var choices []choice
		if step.Hold == "" || len(st.Releases) > 0 { // a hold is released anew first
			choices = append(choices, choice{done, "and counts as done by you"})
		}
		pickOne(append(choices, choice{open, "it is done anew, or left out with a reason"})...)(e)
		e.about = []string{step.Title, sentence(c.Text)}
		e.word = "Settle it"
	}, func(text string) tea.Cmd {
		value := map[string]string{done: "done", open: "open"}[text]
		return q.save("settled: "+strings.ToLower(text), func(j *job.Job) (job.Saved, error) { return j.Settle(step.ID, "", value) }, nil)
	})
}

// differs writes what differs on a step and holds it.
func (s *stepScreen) differs(d *doc, step *checklist.FilledStep, st job.StepState) {
	var paras []string
	for _, c := range s.work().differing(step.ID) {
		i := slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool { return r.Name == c.Reading })
		if i < 0 {
			paras = append(paras, sentence(c.Text))
			continue
		}
		var said []string
		for _, v := range st.Readings[c.Reading] {
			text := v.String() + " by " + v.By + ", " + s.m.when(v.At)
			if v.Counts {
				text += " (counts)"
			}
			said = append(said, text)
		}
		paras = append(paras, step.Readings[i].Ask+": "+strings.Join(said, "; ")+".")
	}
	if len(paras) == 0 {
		return
	}
	d.callout(paint.InkWarning, paint.InkWrong, "DIFFERS", append(paras, "Work stops here until it is settled."))
	d.blank()
}

// toSettle leads to the first difference that holds and belongs to no step: an
// answer of the start, or a line of the test sheet; false for none.
func (m *model) toSettle() (act, bool) {
	for _, c := range m.work.state.Conflicts {
		switch {
		case !c.Holds:
		case m.work.place(c.Step) >= 0:
			return act{word: "Settle", do: func() tea.Cmd { return m.stepAt(c.Step) }}, true
		case m.work.onSheet(c):
			return act{word: "Settle", do: m.testSheet}, true
		default:
			return act{word: "Settle", do: m.answers}, true
		}
	}
	return act{}, false
}

// onSheet says whether a difference is one of a line of the test sheet.
func (w *work) onSheet(c job.Conflict) bool {
	return slices.ContainsFunc(w.state.Test.Values, func(v job.SheetValue) bool { return c.Step == "" && v.Differ && v.Name == c.Reading })
}
