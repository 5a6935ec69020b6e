package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

func (s *stepScreen) home() tea.Cmd {
	s.m.work = nil
	s.m.stack = s.m.stack[:1]
	s.m.foot = note{}
	return s.m.reread()
}

// finish ticks a step. Where a pass is counted to less than its end, or a
// reading lies outside its limits, it asks first.
func (s *stepScreen) finish(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	if n, all, next, ok := s.half(step, st); ok {
		e := newEntry(s.m, "Not all counted", fmt.Sprintf("Only %d of %d screws are counted as tight. Is the pass done?", n, all), nil)
		e.about = []string{fmt.Sprintf("Next in the order is screw %d. Back returns to the step.", next)}
		e.only, e.word = true, "All are tight"
		e.accept = func(string) tea.Cmd {
			s.m.drop(e)
			return s.outside(step, st)
		}
		e.start("")
		s.m.push(e)
		return nil
	}
	return s.outside(step, st)
}

// outside ticks a step; where a reading lies outside its limits it asks first.
func (s *stepScreen) outside(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	out := st.Outside
	if len(out) == 0 {
		return s.tick(step, st)
	}
	e := newEntry(s.m, "Outside its limits", "Go on although "+out[0]+"?", nil)
	for _, more := range out[1:] {
		e.about = append(e.about, "And "+more+".")
	}
	e.about = append(e.about, "The record keeps the mark. A note can say why it is good enough; back returns to the step.")
	e.only, e.word = true, "Go on"
	e.more = []act{{key: s.m.keys.Note, word: "Note", do: func() tea.Cmd { return s.note(step) }}}
	e.start("")
	s.ask(e, fmt.Sprintf("step %d is done, outside limits", step.Number),
		func(j *job.Job, _ string) (job.Saved, error) { return j.Tick(step.ID) },
		func() { s.goOn(step.ID) })
	return nil
}

func (s *stepScreen) tick(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	what := "step " + fmt.Sprint(step.Number) + " is done"
	if r := ringOf(s.work().filled, step); r != nil && s.tight(r, step, st) == 0 {
		what += ", its screws not counted here"
	}
	return s.m.save(what,
		func(j *job.Job) (job.Saved, error) { return j.Tick(step.ID) },
		func(err error) tea.Cmd {
			if err == nil {
				s.goOn(step.ID)
			}
			return nil
		})
}

// goOn shows the step to work on next, if the step that was just saved is
// still the one shown.
func (s *stepScreen) goOn(from string) {
	w := s.work()
	if step, _ := s.step(); step == nil || step.ID != from || w.state.Next == "" {
		return
	}
	s.goTo(w.place(w.state.Next))
}

// ask opens a question whose answer is saved; it closes when the answer is on
// the disk, and keeps the text where it is not.
func (s *stepScreen) ask(e *entry, what string, save func(*job.Job, string) (job.Saved, error), then func()) {
	e.accept = func(text string) tea.Cmd {
		return s.m.save(what, func(j *job.Job) (job.Saved, error) { return save(j, text) },
			func(err error) tea.Cmd {
				if err != nil {
					e.failed = notSaved(err)
					return nil
				}
				s.m.drop(e)
				if then != nil {
					then()
				}
				return nil
			})
	}
	s.m.push(e)
}

func (s *stepScreen) note(step *checklist.FilledStep) tea.Cmd {
	e := newEntry(s.m, "Note", "Note on step "+fmt.Sprint(step.Number), nil)
	e.about = []string{step.Title}
	e.start("")
	with := s.m.offerPhotos(e)
	s.ask(e, "the note", func(j *job.Job, text string) (job.Saved, error) { return j.Note(step.ID, text, with.n.Photos...) }, nil)
	return nil
}

func (s *stepScreen) skip(step *checklist.FilledStep) tea.Cmd {
	if _, st := s.step(); st.KeepIn != "" {
		s.m.say(paint.InkCaution, strings.ToUpper(st.KeepIn[:1])+st.KeepIn[1:]+".")
		return nil
	}
	e := newEntry(s.m, "Skip", "Why is step "+fmt.Sprint(step.Number)+" left out?", nil)
	e.about = []string{step.Title, "The reason stands in the record. Type your own, or choose one."}
	e.word = "Skip it"
	e.choices = []choice{
		{text: "Not fitted on this engine"},
		{text: "Done before this job"},
		{text: "Put off to another visit"},
	}
	e.unset = true
	e.start("")
	s.ask(e, "step "+fmt.Sprint(step.Number)+" is skipped",
		func(j *job.Job, text string) (job.Saved, error) { return j.Skip(step.ID, text) },
		func() { s.goOn(step.ID) })
	return nil
}
