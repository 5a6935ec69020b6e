package tui

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// Waits on the screen: begun by the large button, or earlier with a time; and the
// clock, which somebody answers for where it is in doubt.

// waitRemedy is what a wait needs: to be begun, to be waited for, or a clock that
// can be believed.
func (s *stepScreen) waitRemedy(st job.StepState) act {
	clock := s.work().state.Clock
	switch {
	case st.ToBegin != "":
		return act{word: "Begin", do: func() tea.Cmd { return s.begin(st.ToBegin, false) }}
	case !st.Due.IsZero():
		return act{word: "Waits", off: "Waits until " + s.m.when(st.Due) + "."}
	case clock.Text != "":
		return s.clockAct()
	}
	return act{word: "Shop", do: s.m.shopTemperature}
}

// clockAct has somebody say what time it is, or says that the clock is to be set.
func (s *stepScreen) clockAct() act {
	if !s.work().state.Clock.Say {
		return act{word: "Set the clock", do: s.setClock}
	}
	return act{word: "Say the time", do: func() tea.Cmd {
		q := s.m.inquire("Time")
		return s.sayNow(q, func(now time.Time) tea.Cmd {
			return q.save("what time it is", func(j *job.Job) (job.Saved, error) { return j.SettleClock(now) }, nil)
		})
	}}
}

// cureRemedy is what a cure that a test waits for needs.
func (s *stepScreen) cureRemedy(g job.Gate) act {
	if s.work().state.Clock.Text != "" {
		return s.clockAct()
	}
	for _, step := range s.work().steps {
		if st := s.work().state.Steps[step.ID]; st.ToBegin != "" {
			return act{word: "Begin", do: func() tea.Cmd { return s.begin(st.ToBegin, false) }}
		}
	}
	return act{word: "Waits", off: strings.ToUpper(g.Text[:1]) + g.Text[1:] + "."}
}

// mayBegin says whether it can be said of a step when something was put on: of a wait
// that is to begin or has, of another step with a wait once it is done.
func mayBegin(step *checklist.FilledStep, st job.StepState) bool {
	if step.Kind == "wait" {
		return st.Status != job.Done && (st.ToBegin == step.ID || st.Begun != nil)
	}
	return step.Wait > 0 && st.Status == job.Done
}

// begin begins the wait of a step: now, or earlier by a time that is asked for. Where
// a clock was or is in doubt, the time it is now is asked for as well.
func (s *stepScreen) begin(id string, earlier bool) tea.Cmd {
	w := s.work()
	step, st := w.steps[w.place(id)], w.state.Steps[id]
	clock := w.state.Clock
	if clock.Text != "" && !clock.Say { // nothing can be begun by it
		return s.setClock()
	}
	anew := st.Begun != nil || step.Kind != "wait" // the time it has so far is none to go by, or is put right
	begin := func(n job.NewBegin) func(*job.Job) (job.Saved, error) {
		return func(j *job.Job) (job.Saved, error) { return j.Begin(id, n) }
	}
	const what = "the wait has begun"
	q := s.m.inquire("Begin the wait")
	if !earlier && !anew {
		if clock.Text == "" {
			return s.m.save(what, begin(job.NewBegin{}), nil)
		}
		return s.sayNow(q, func(now time.Time) tea.Cmd {
			return q.save(what, begin(job.NewBegin{At: s.m.now(), Now: now}), nil)
		})
	}
	doubt := clock.Text != "" || st.Begun != nil && st.Begun.Doubt != "" || step.Kind != "wait" && !earlier
	return q.put("When was it put on?", s.putOn(step), func(text string) tea.Cmd {
		at, err := momentOf(text, s.m.now())
		if err != nil {
			return nil // judged while it was typed
		}
		if !doubt {
			return q.save(what, begin(job.NewBegin{At: at}), nil)
		}
		return s.sayNow(q, func(now time.Time) tea.Cmd { return q.save(what, begin(job.NewBegin{At: at, Now: now}), nil) })
	})
}

// putOn completes the question when something was put on: when the steps before it
// were done is offered, and some round times ago.
func (s *stepScreen) putOn(step *checklist.FilledStep) func(*entry) {
	w, now := s.work(), s.m.now()
	return func(e *entry) {
		e.value, e.word, e.unset = true, "Begin", true
		e.field.only = inMoment
		e.about = []string{step.Title, "The hour and minute by a watch, as 18:40 or 1840. A day before: 2026-03-01 18:40."}
		offer := func(at time.Time, about string) {
			text := momentText(at, now)
			if !slices.ContainsFunc(e.choices, func(c choice) bool { return c.text == text }) {
				e.choices = append(e.choices, choice{text, about})
			}
		}
		for _, id := range append([]string{step.ID}, step.Needs...) {
			for _, t := range w.state.Steps[id].Ticks {
				if i := w.place(id); i >= 0 && !t.At.IsZero() && !t.At.After(now) {
					offer(t.At, fmt.Sprintf("when step %d was done", w.steps[i].Number))
				}
			}
		}
		for _, ago := range []time.Duration{10 * time.Minute, 30 * time.Minute, time.Hour} {
			offer(now.Add(-ago), left(ago)+" ago")
		}
		e.judge = func(text string) verdict {
			if text == "" {
				return verdict{refused: true}
			}
			at, err := momentOf(text, now)
			if err != nil {
				return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
			}
			return verdict{ink: paint.InkDone, text: s.m.when(at) + ", " + left(now.Sub(at)) + " ago"}
		}
	}
}

// sayNow asks what time it is: of the day that this device shows, or its clock is
// wrong. It is said, not confirmed: a cure hangs on it.
func (s *stepScreen) sayNow(q *inquiry, then func(now time.Time) tea.Cmd) tea.Cmd {
	shown := s.m.now()
	return q.put("What time is it, by a watch?", func(e *entry) {
		e.value, e.word = true, "Say it"
		e.field.only = inMoment
		if text := s.work().state.Clock.Text; text != "" {
			e.about = []string{sentence(text)}
		}
		e.about = append(e.about, "It must be "+shown.Format("Monday 2 January 2006")+" as well. If it is another day, set the clock.")
		e.more = []act{{key: s.m.keys.SetClock, word: "Set it", do: func() tea.Cmd { s.m.drop(q.first); return s.setClock() }}}
		e.judge = func(text string) verdict {
			if text == "" {
				return verdict{refused: true}
			}
			at, err := nowOf(text, shown)
			if err != nil {
				return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
			}
			return verdict{ink: paint.InkQuiet, text: at.Format("15:04 on Monday 2 January 2006")}
		}
	}, func(text string) tea.Cmd {
		now, err := nowOf(text, shown)
		if err != nil {
			return nil // judged while it was typed
		}
		return then(now)
	})
}

// setClock is the page of a clock that is wrong.
func (s *stepScreen) setClock() tea.Cmd {
	m := s.m
	paras := []string{"This device shows " + m.now().Format("15:04 on Monday 2 January 2006") + "."}
	if clock := m.work.state.Clock; clock.Text != "" && !clock.Say {
		paras = []string{sentence(clock.Text)}
	}
	p := newPage(m, "The clock of this device", append(paras, "Set the clock of this device. Then press Reread.", "No name and no reason shortens a cure.")...)
	p.more = []act{{key: m.keys.Refresh, word: "Reread", do: func() tea.Cmd { m.drop(p); return m.refresh() }}}
	m.push(p)
	return nil
}

// sentence makes a plain sentence of a clause.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:] + "."
}

// momentText writes a moment as [momentOf] reads it: without its day where the hour
// alone says it.
func momentText(at, now time.Time) string {
	at = at.In(now.Location())
	if now.Sub(at) < 24*time.Hour {
		return at.Format("15:04")
	}
	return at.Format("2006-01-02 15:04")
}

// hourOnly takes 18:40, 18.40, 1840 and 18 40.
var hourOnly = regexp.MustCompile(`^(\d{1,2})[:. ]?(\d{2})$`)

// momentOf reads a moment that is past: an hour and minute, which is the last time
// the clock stood there, or a day with it.
func momentOf(text string, now time.Time) (time.Time, error) {
	text = strings.TrimSpace(text)
	if day, hour, ok := strings.Cut(text, " "); ok && strings.Count(day, "-") == 2 {
		m := hourOnly.FindStringSubmatch(hour)
		if m == nil {
			return time.Time{}, errMoment
		}
		at, err := time.ParseInLocation("2006-1-2 15:04", day+" "+fmt.Sprintf("%02s:%s", m[1], m[2]), now.Location())
		switch {
		case err != nil:
			return at, errMoment
		case at.After(now):
			return at, fmt.Errorf("%s has not come yet", at.Format(job.Week))
		}
		return at, nil
	}
	m := hourOnly.FindStringSubmatch(text)
	if m == nil {
		return time.Time{}, errMoment
	}
	clock, err := time.Parse("15:04", fmt.Sprintf("%02s:%s", m[1], m[2]))
	if err != nil {
		return time.Time{}, errMoment
	}
	at := time.Date(now.Year(), now.Month(), now.Day(), clock.Hour(), clock.Minute(), 0, 0, now.Location())
	if at.After(now) {
		at = time.Date(now.Year(), now.Month(), now.Day()-1, clock.Hour(), clock.Minute(), 0, 0, now.Location())
	}
	return at, nil
}

// inMoment tells which runes can stand in a moment.
func inMoment(r rune) bool { return unicode.IsDigit(r) || strings.ContainsRune(":.- ", r) }

// nowOf reads what a watch shows: the hour and minute that is nearest to what this
// device shows.
func nowOf(text string, shown time.Time) (time.Time, error) {
	at, err := momentOf(text, shown)
	if next := at.AddDate(0, 0, 1); err == nil && next.Sub(shown) < shown.Sub(at) {
		at = next
	}
	return at, err
}

var errMoment = errors.New("an hour and minute as 18:40, or with the day as 2026-03-01 18:40")

// waitText is what stands on a step about its wait.
func (s *stepScreen) waitText(d *doc, step *checklist.FilledStep, st job.StepState) {
	s.waits = 0
	if b := st.Begun; b != nil {
		d.blank()
		text := "begun by " + b.By + ", " + s.m.when(b.At)
		if !b.From.IsZero() && !b.From.Equal(b.At) {
			text = "put on " + s.m.when(b.From) + ", entered by " + b.By
		}
		d.indented(d.look.G.Waiting+" ", "  ", paint.InkQuiet, text)
	}
	switch {
	case st.Status == job.Done || st.Status == job.Skipped:
	case !st.Due.IsZero():
		if st.Begun == nil {
			d.blank()
		}
		d.text(paint.InkBrand, fmt.Sprintf("%s waits until %s: %s left", d.look.G.Waiting, s.m.when(st.Due), left(st.Due.Sub(s.m.now()))))
		s.waits = len(d.lines)
	case step.Wait > 0 && step.Kind != "wait":
		d.blank()
		d.text(paint.InkQuiet, "After this step: wait "+left(step.Wait)+".")
	case step.Wait > 0 && st.Begun != nil && shutBy(st, job.GateWait) == nil:
		d.text(paint.InkDone, d.look.G.Done+" its time is over: "+left(step.Wait))
	}
}
