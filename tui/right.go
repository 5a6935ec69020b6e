package tui

import (
	"errors"
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// What is put right afterwards: an entry taken back, a done step opened again, a
// danger that is no more, a finished job put away.

// undo says what would be taken back and asks: the last entry on the step shown,
// whoever made it; where nothing stands there, the last one made on this device.
func (s *stepScreen) undo() tea.Cmd {
	if step, _ := s.step(); step != nil {
		if what, id := s.work().job.LastOn(step.ID); id != "" {
			return s.takeBack(what, step.ID, "It is the last entry on this step that still stands. The record keeps both.",
				func(j *job.Job) (job.Saved, error) { return j.UndoEntry(id) })
		}
	}
	return s.undoLast()
}

// undoLast takes back the last entry made on this device, on whatever step.
func (s *stepScreen) undoLast() tea.Cmd {
	what, id := s.work().last.what, s.work().last.step
	if what == "" {
		s.m.say(paint.InkCaution, notSaved(job.ErrNothingToUndo))
		return nil
	}
	return s.takeBack(what, id, "It is the last entry made on this device that still stands. The record keeps both.",
		func(j *job.Job) (job.Saved, error) {
			if now, _ := j.LastEntry(); now != what {
				return job.Saved{}, errors.New("another entry has come in between; look again")
			}
			return j.Undo()
		})
}

// takeBack asks before an entry is taken back; then it shows the step of it.
func (s *stepScreen) takeBack(what, id, which string, do func(*job.Job) (job.Saved, error)) tea.Cmd {
	e := newEntry(s.m, "Undo", "Take this back: "+what+"?", nil)
	at := s.work().place(id)
	if at >= 0 {
		e.about = append(e.about, fmt.Sprintf("Step %d, %s", s.work().steps[at].Number, s.work().steps[at].Title))
	}
	e.about = append(e.about, which)
	e.only, e.word = true, "Take back"
	e.start("")
	s.ask(e, "taken back: "+what, func(j *job.Job, _ string) (job.Saved, error) { return do(j) }, func() {
		if at >= 0 && s.m.top() == screen(s) {
			s.goTo(at)
		}
	})
	return nil
}

// undo takes back an entry from wherever it is asked for: on a step, that step's last
// one; on what lies over it, the last one made on this device.
func (m *model) undo() tea.Cmd {
	for _, sc := range m.stack {
		s, ok := sc.(*stepScreen)
		switch {
		case !ok:
		case m.top() == sc:
			return s.undo()
		default:
			return s.undoLast()
		}
	}
	m.say(paint.InkNote, "Nothing is open here that could be undone.")
	return nil
}

// reopen opens a done step again, with a reason, and then says what else it opens.
func (s *stepScreen) reopen(step *checklist.FilledStep) tea.Cmd {
	var got job.Saved
	q := s.m.inquire("Open again")
	return q.put(fmt.Sprintf("Why is step %d opened again?", step.Number), func(e *entry) {
		e.word = "Reopen"
		e.about = []string{step.Title, "What rests on it and works on the same parts is opened with it. Holds that rest on it are released anew."}
		e.choices = []choice{{text: "It was apart again"}, {text: "It is not as it was recorded"}, {text: "It was ticked by mistake"}}
		e.unset = true
	}, func(why string) tea.Cmd {
		return q.save(fmt.Sprintf("step %d is open again", step.Number), func(j *job.Job) (saved job.Saved, err error) {
			got, err = j.Reopen(step.ID, why)
			return got, err
		}, func() tea.Cmd { return s.m.openedAgain(got, step.ID) })
	})
}

// putAway puts a finished job behind the others on the first page, or brings it back.
func (s *stepScreen) putAway() act {
	m, state := s.m, &s.work().state
	if len(state.Closed) > 0 {
		id := state.Closed[0].ID
		return act{key: m.keys.PutAway, word: "Bring back", do: func() tea.Cmd {
			return m.save("the job is brought back", func(j *job.Job) (job.Saved, error) { return j.UndoEntry(id) }, nil)
		}}
	}
	return act{key: m.keys.PutAway, word: "Put away", do: func() tea.Cmd {
		q := m.inquire("Put away")
		return q.put("Is there anything to remark?", func(e *entry) {
			e.word = "Put away"
			e.about = []string{"The finished job stands behind the others on the first page. Work that is open again brings it back."}
			e.judge = mayBeEmpty("Empty: nothing to remark.", nil)
		}, func(text string) tea.Cmd {
			return q.save("the job is put away", func(j *job.Job) (job.Saved, error) { return j.Close(text) }, s.home)
		})
	}}
}

// dangerGone records that a danger on the engine stands no more. One that was found
// in this job, or in one that it called, ends where it was found.
func (m *model) dangerGone(d job.Danger) tea.Cmd {
	switch {
	case d.In != "":
		return m.openJob(d.In)
	case d.From == "":
		return m.stepAt(d.Step)
	}
	q := m.inquire("Danger")
	return q.put("Who says that it is gone?", func(e *entry) {
		e.about, e.named = []string{d.Text, "The name stands in the record."}, true
		e.offer(m.people())
	}, func(by string) tea.Cmd {
		return q.put("How was it found that it is gone?", func(e *entry) { e.about, e.word = []string{d.Text}, "Record it" }, func(why string) tea.Cmd {
			return q.save("the danger is gone", func(j *job.Job) (job.Saved, error) { return j.SettleDanger(d.ID, by, why) }, nil)
		})
	})
}
