package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/check"
)

// What keeps a step shut has a remedy, and the large button is that remedy: never
// the way past.

// remedy is what opens a gate of a step, in a word, and how; do is nil where there
// is nothing to do but wait, or where the trade's rules stop it.
func (s *stepScreen) remedy(step *checklist.FilledStep, st job.StepState, g job.Gate) (word string, do func() tea.Cmd) {
	w, m := s.work(), s.m
	switch g.Name {
	case job.GateNeeds, job.GateRounds:
		if at := w.place(firstItem(g)); at >= 0 {
			return fmt.Sprintf("Step %d first", w.steps[at].Number), func() tea.Cmd { m.stepAt(w.steps[at].ID); return nil }
		}
	case job.GateWait:
		return s.waitRemedy(step, st)
	case job.GateHold:
		return "Release", func() tea.Cmd { return s.release(step) }
	case job.GateApart:
		return "Settle", func() tea.Cmd { return s.settle(step, st) }
	case job.GateFindings, job.GateDanger:
		return "Findings", m.findings
	case job.GateShort:
		return "Missing", m.bring
	case job.GateTally:
		return "Count", func() tea.Cmd { return m.countIn(firstItem(g)) }
	case job.GateBlanks:
		if at := slices.IndexFunc(w.state.Blanks, func(b job.Blank) bool { return b.Tag == firstItem(g) }); at >= 0 {
			return "Blank off", func() tea.Cmd { return m.changeBlank(w.state.Blanks[at]) }
		}
	case job.GateTest:
		return "Test sheet", m.testSheet
	case job.GateAsk:
		return "Read again", func() tea.Cmd { return s.readAgain(step, st) }
	case job.GateThread, job.GateDate:
		if len(step.Readings) > 0 {
			return "Reading", func() tea.Cmd { return s.readAny(step, st) }
		}
	case job.GateCalled:
		if w.uncalled(step) {
			return "Start it", func() tea.Cmd { return s.startCall(step) }
		}
		return "Go on inside", func() tea.Cmd { return s.call(step) }
	case job.GateWitness:
		return "Witness", func() tea.Cmd { return m.witness(step) }
	}
	return "", nil
}

func firstItem(g job.Gate) string {
	if len(g.Items) == 0 {
		return ""
	}
	return g.Items[0]
}

// waitRemedy begins a wait, or asks for the times where a clock is in doubt.
func (s *stepScreen) waitRemedy(step *checklist.FilledStep, st job.StepState) (word string, do func() tea.Cmd) {
	switch {
	case st.Begun != nil && st.Begun.Doubt != "":
		return "Give times", func() tea.Cmd { return s.beganEarlier(step, true) }
	case step.Kind == "wait" && st.Begun == nil:
		return "Begin", func() tea.Cmd { return s.begin(step) }
	case st.Due.IsZero():
		return "Say the time", s.m.sayTime
	}
	return "", nil
}

// begin begins the wait of a step now.
func (s *stepScreen) begin(step *checklist.FilledStep) tea.Cmd {
	return s.m.save("the wait has begun", func(j *job.Job) (job.Saved, error) { return j.Begin(step.ID, job.NewBegin{}) },
		func(err error) tea.Cmd {
			var clock *job.RefusedError
			if errors.As(err, &clock) {
				return s.beganEarlier(step, true)
			}
			return nil
		})
}

// beganEarlier asks when what a step waits for was put on, and where the clock is in
// doubt what time it is by a watch.
func (s *stepScreen) beganEarlier(step *checklist.FilledStep, doubt bool) tea.Cmd {
	q := s.m.inquire("Begin")
	var n job.NewBegin
	save := func() tea.Cmd {
		return q.save("the wait has begun", func(j *job.Job) (job.Saved, error) { return j.Begin(step.ID, n) }, nil)
	}
	return q.put("When was it put on?", func(e *entry) {
		e.about = []string{step.Title, "A time of today as 19:05, or with its day as 2026-03-01 19:05."}
		s.m.momentField(e)
	}, func(text string) tea.Cmd {
		n.At, _ = s.m.moment(text)
		if !doubt {
			return save()
		}
		return q.put("What time is it now, by a watch?", func(e *entry) {
			e.about = []string{"The clock of this device was or is wrong. Set it first. Both times stand in the record."}
			s.m.momentField(e)
		}, func(text string) tea.Cmd { n.Now, _ = s.m.moment(text); return save() })
	})
}

// sayTime asks what time it is, where this device was away for longer than a day.
func (m *model) sayTime() tea.Cmd {
	q := m.inquire("The time")
	return q.put("What time is it, by a watch?", func(e *entry) {
		e.about = []string{"This device shows " + m.opt.Env.Now().Format("Mon 2 Jan 2006 15:04") + ". A wait may end by that only when somebody has said so."}
		e.word = "Keep"
		m.momentField(e)
	}, func(text string) tea.Cmd {
		at, _ := m.moment(text)
		return q.save("the time", func(j *job.Job) (job.Saved, error) { return j.SettleClock(at) }, nil)
	})
}

// momentField makes an entry take a time of day, or a day and a time.
func (m *model) momentField(e *entry) {
	e.value = true
	e.judge = func(text string) verdict {
		if text == "" {
			return verdict{refused: true}
		}
		at, err := m.moment(text)
		if err != nil {
			return verdict{refused: true, ink: inkWrong, text: err.Error()}
		}
		return verdict{ink: inkQuiet, text: m.when(at)}
	}
}

// moment reads a time of today, or of a named day.
func (m *model) moment(text string) (time.Time, error) {
	now := m.opt.Env.Now()
	text = strings.Join(strings.Fields(strings.ReplaceAll(text, ".", ":")), " ")
	if at, err := time.ParseInLocation("2006-01-02 15:04", text, now.Location()); err == nil {
		return at, nil
	}
	at, err := time.ParseInLocation("15:04", text, now.Location())
	if err != nil && len(text) == 4 { // the keys for figures have no colon
		at, err = time.ParseInLocation("1504", text, now.Location())
	}
	if err != nil {
		return at, errors.New("a time as 19:05, or 2026-03-01 19:05")
	}
	return time.Date(now.Year(), now.Month(), now.Day(), at.Hour(), at.Minute(), 0, 0, now.Location()), nil
}

// settle ends a difference on a step: one of the answers counts from now on, or it
// is measured again.
func (s *stepScreen) settle(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	q := s.m.inquire("Settle")
	for i, r := range step.Readings {
		values := st.Readings[r.Name]
		if len(values) < 2 || !s.differs(step.ID, r.Name) {
			continue
		}
		const again = "Measure again"
		var choices []choice
		for _, v := range values {
			if !slices.ContainsFunc(choices, func(c choice) bool { return c.text == v.String() }) {
				choices = append(choices, choice{v.String(), v.By + ", " + s.m.when(v.At)})
			}
		}
		choices = append(choices, choice{text: again})
		return q.put("Which counts from now on?", func(e *entry) {
			pickOne(choices...)(e)
			e.about = []string{step.Title, r.Ask, "Neither had seen the other's entry."}
		}, func(text string) tea.Cmd {
			if text == again {
				s.m.drop(q.first)
				return s.read(step, i)
			}
			return q.save("settled: "+text, func(j *job.Job) (job.Saved, error) { return j.Settle(step.ID, r.Name, text) }, nil)
		})
	}
	if len(st.Apart)+len(st.Ticks)+len(st.Skips) > 0 && s.differs(step.ID, "") {
		const done, open = "It is done", "It is still to be done"
		return q.put("Is this step done?", func(e *entry) {
			pickOne(choice{text: done}, choice{text: open})(e)
			e.about = []string{step.Title}
			for _, c := range s.work().state.Conflicts {
				if c.Step == step.ID && c.Reading == "" {
					e.about = append(e.about, c.Text)
				}
			}
		}, func(text string) tea.Cmd {
			word := map[string]string{done: "done", open: "open"}[text]
			return q.save("settled", func(j *job.Job) (job.Saved, error) { return j.Settle(step.ID, "", word) }, nil)
		})
	}
	return s.m.findings() // decided twice, or an answer put right twice: a new one settles it
}

// differs says whether somebody has to settle something of a step.
func (s *stepScreen) differs(step, reading string) bool {
	return slices.ContainsFunc(s.work().state.Conflicts, func(c job.Conflict) bool {
		return c.Holds && c.Step == step && c.Reading == reading
	})
}

// differsAt says whether anything of a step waits to be settled.
func (s *stepScreen) differsAt(step string) bool {
	return slices.ContainsFunc(s.work().state.Conflicts, func(c job.Conflict) bool { return c.Holds && c.Step == step })
}

// readAgain opens the reading that says stop or asks.
func (s *stepScreen) readAgain(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	for i, r := range step.Readings {
		for _, v := range st.Readings[r.Name] {
			if v.Judgement.Severity == check.Stop || v.Judgement.Severity == check.Ask {
				return s.read(step, i)
			}
		}
	}
	return s.readAny(step, st)
}

// reopen opens a done step again, with the reason.
func (s *stepScreen) reopen(step *checklist.FilledStep) tea.Cmd {
	q := s.m.inquire("Open again")
	return q.put("Why is it opened again?", func(e *entry) {
		e.about = []string{step.Title, "What works on the same parts and rests on it is opened with it. Holds that rest on it are released anew."}
		e.word = "Open again"
		e.judge = func(text string) verdict { return verdict{refused: text == ""} }
	}, func(why string) tea.Cmd {
		return q.save("open again", func(j *job.Job) (job.Saved, error) { return j.Reopen(step.ID, why) }, nil)
	})
}

// putRight puts an answer of the start right.
func (s *stepScreen) putRight() tea.Cmd {
	q := s.m.inquire("Answer")
	w := s.work()
	const engine = "The engine"
	return q.put("Which answer was wrong?", func(e *entry) {
		choices := []choice{{engine, w.job.Engine()}}
		for _, v := range w.filled.Values {
			if v.NotAsked == "" || v.Measured {
				choices = append(choices, choice{v.Ask, firstText(v.Canonical, v.Text)})
			}
		}
		pickOne(choices...)(e)
		e.about = []string{"Steps that the right answer changes are opened again."}
	}, func(ask string) tea.Cmd {
		name, set := "engine", checklist.Setting{Ask: engine, Kind: "text"}
		for _, v := range w.filled.Values {
			if v.Ask == ask {
				name = v.Name
			}
		}
		for _, have := range w.filled.Procedure.Settings {
			if have.Name == name {
				set = have
			}
		}
		return q.put(ask, func(e *entry) {
			settingEntry(e, set)
			e.judge = func(text string) verdict {
				if text == "" {
					return verdict{refused: true}
				}
				if name != "engine" {
					if err := w.filled.Procedure.CheckValue(name, text); err != nil {
						return verdict{refused: true, ink: inkWrong, text: err.Error()}
					}
				}
				return verdict{}
			}
		}, func(value string) tea.Cmd {
			return q.put("Why is it put right?", func(e *entry) {
				e.word = "Keep"
				e.judge = func(text string) verdict { return verdict{refused: text == ""} }
			}, func(why string) tea.Cmd {
				return q.save("the answer is put right", func(j *job.Job) (job.Saved, error) { return j.Answer(name, value, why) }, nil)
			})
		})
	})
}

func firstText(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// putAway puts a finished job away.
func (s *stepScreen) putAway() tea.Cmd {
	return s.m.save("the job is put away", func(j *job.Job) (job.Saved, error) { return j.Close("") }, nil)
}

// ended is the page at the end of a job: what is open although every step is done,
// or that nothing is.
func (s *stepScreen) ended() tea.Cmd {
	w := s.work()
	paras := w.state.Unsettled()
	for _, step := range w.steps {
		for _, text := range w.state.Steps[step.ID].Outside {
			paras = append(paras, fmt.Sprintf("Outside limits, step %d, %s: %s", step.Number, step.Title, text))
		}
	}
	if len(paras) == 0 {
		return s.home()
	}
	p := newPage(s.m, "All done, and this is open", paras...)
	p.more = []act{
		{key: s.m.keys.Findings, word: "Findings", do: s.m.findings},
		{key: s.m.keys.Current, word: "Home", do: s.home},
	}
	s.m.push(p)
	return nil
}

// dangerGone records that a danger on the engine stands no more. One that was found
// in this job ends where it was found: with a new reading.
func (m *model) dangerGone(d job.Danger) tea.Cmd {
	if d.From == "" {
		m.stepAt(d.Step)
		return nil
	}
	q := m.inquire("Danger")
	return q.named("Who says that it is gone?", []string{d.Text, "The name stands in the record."}, func(by string) tea.Cmd {
		return q.put("How was it found that it is gone?", func(e *entry) {
			e.about, e.word = []string{d.Text}, "Keep"
			e.judge = func(text string) verdict { return verdict{refused: text == ""} }
		}, func(why string) tea.Cmd {
			return q.save("the danger is gone", func(j *job.Job) (job.Saved, error) { return j.SettleDanger(d.ID, by, why) }, nil)
		})
	})
}
