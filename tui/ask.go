package tui

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// inquiry is a few questions one after the other whose answers make one entry.
// Going back a question loses nothing; all of them close when the entry is saved.
type inquiry struct {
	m     *model
	name  string // stands in the head of every question
	first screen
}

func (m *model) inquire(name string) *inquiry { return &inquiry{m: m, name: name} }

// put shows the next question; set completes it before it is shown.
func (q *inquiry) put(ask string, set func(*entry), accept func(string) tea.Cmd) tea.Cmd {
	e := newEntry(q.m, q.name, ask, nil)
	e.accept = func(text string) tea.Cmd {
		// On the way back another answer replaces this one; typed words are not
		// mistaken for the choice the keys are on.
		e.fresh = len(e.choices) == 0 || slices.ContainsFunc(e.choices, func(c choice) bool { return c.text == text })
		return accept(text)
	}
	e.word = "Next"
	if set != nil {
		set(e)
	}
	e.start(e.field.text)
	if q.first == nil {
		q.first = e
	}
	q.m.push(e)
	return nil
}

// save makes the entry; the question shown keeps its answer where that fails.
func (q *inquiry) save(what string, do func(*job.Job) (job.Saved, error), then func() tea.Cmd) tea.Cmd {
	return q.m.save(what, do, func(err error) tea.Cmd {
		if err != nil {
			if e, ok := q.m.top().(*entry); ok {
				e.failed = notSaved(err)
			}
			return nil
		}
		q.m.drop(q.first)
		if then != nil {
			return then()
		}
		return nil
	})
}

// oneOf makes e take one of the choices and nothing else.
func oneOf(choices ...choice) func(*entry) {
	return func(e *entry) { e.only, e.choices = true, choices }
}

// pickOne is oneOf with nothing picked beforehand: an answer that safety hangs
// on is given, not confirmed.
func pickOne(choices ...choice) func(*entry) {
	return func(e *entry) { e.only, e.unset, e.choices = true, true, choices }
}

// mayBeEmpty judges an answer that may be left out.
func mayBeEmpty(left string, check func(string) error) func(string) verdict {
	return func(text string) verdict {
		if text == "" {
			return verdict{ink: paint.InkQuiet, text: left}
		}
		if check != nil {
			if err := check(text); err != nil {
				return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
			}
		}
		return verdict{}
	}
}

func lengthCheck(text string) error {
	_, err := quantity.ParseLength(text)
	return err
}

// named asks for the name of a person; those of the job so far can be picked.
func (q *inquiry) named(ask string, about []string, then func(name string) tea.Cmd) tea.Cmd {
	return q.put(ask, func(e *entry) {
		e.about, e.named = about, true
		for _, name := range q.m.names() {
			e.choices = append(e.choices, choice{text: name})
		}
		e.unset = len(e.choices) > 0
		e.judge = func(name string) verdict {
			switch {
			case name == "":
				return verdict{refused: true}
			case strings.EqualFold(name, q.m.person):
				return verdict{refused: true, ink: paint.InkWrong, text: "You work on this job; this is for somebody else."}
			}
			return verdict{}
		}
	}, then)
}

// names are the persons that stand in the job so far, whoever is working here
// left out: what is asked of them is asked of somebody else.
func (m *model) names() []string {
	var all []string
	add := func(marks []job.Mark) {
		for _, mk := range marks {
			if mk.By != "" && mk.By != m.person && !slices.Contains(all, mk.By) {
				all = append(all, mk.By)
			}
		}
	}
	for _, st := range m.work.state.Steps {
		for _, marks := range [][]job.Mark{st.Ticks, st.Skips, st.Releases, st.Witnesses} {
			add(marks)
		}
	}
	for _, run := range m.work.state.Test.Runs {
		add(run.Signed)
	}
	for _, name := range []string{"inspector", "witness"} {
		if v := m.work.state.Test.Value(name); v != "" {
			add([]job.Mark{{By: v}})
		}
	}
	slices.Sort(all)
	return all
}

// follower is a screen that shows more of the job than its state, and works it
// out anew when the job has changed.
type follower interface{ follow() tea.Cmd }

// follow asks the screen shown to work itself out anew.
func (m *model) follow() tea.Cmd {
	if f, ok := m.top().(follower); ok && m.work != nil && m.work.job != nil {
		return f.follow()
	}
	return nil
}

// keepPlace stays at the step shown when steps come in or go before it.
func (s *stepScreen) keepPlace(was *work) {
	if s.at < 0 || s.at >= len(was.steps) {
		return
	}
	if i := s.work().place(was.steps[s.at].ID); i >= 0 {
		s.at = i
	} else {
		s.goTo(s.work().place(s.work().state.Next))
	}
}

// stepAt goes from whatever lies over it to a step of the job.
func (m *model) stepAt(id string) tea.Cmd {
	for _, sc := range m.stack {
		if s, ok := sc.(*stepScreen); ok {
			for m.top() != screen(s) {
				m.stack = m.stack[:len(m.stack)-1]
			}
			s.goTo(m.work.place(id))
			return nil
		}
	}
	return nil
}

// circle is one or more fasteners of the procedure as it was written, however
// many of them have become others since: findings count by the marks on the cover.
type circle struct {
	name, label, thread string
	count               int
}

// circles are the fasteners of the job; with a step, only those it uses.
func (w *work) circles(step *checklist.FilledStep) []circle {
	splits := w.filled.Procedure.Splits()
	var all []circle
	for _, p := range w.filled.Fasteners {
		if !p.Applies || step != nil && !slices.Contains(step.Uses, p.Name) {
			continue
		}
		name := p.Name
		for _, s := range splits {
			if s.Part == p.Name {
				name = s.Fastener
			}
		}
		if !slices.ContainsFunc(all, func(c circle) bool { return c.name == name }) {
			all = append(all, w.circle(name))
		}
	}
	return all
}

func (w *work) circle(name string) circle {
	c := circle{name: name, label: name}
	for _, p := range w.filled.Fasteners {
		if p.Name != name {
			continue
		}
		c.label, c.thread, c.count = p.Label, partFigure(p, "thread").Text, int(partFigure(p, "count").Value)
	}
	for _, s := range w.filled.Procedure.Splits() {
		if s.Fastener == name {
			c.count += len(s.Numbers)
		}
	}
	return c
}

func partFigure(p checklist.FilledPart, key string) checklist.Figure {
	for _, f := range p.Figures {
		if f.Key == p.Name+"."+key {
			return f
		}
	}
	return checklist.Figure{}
}
