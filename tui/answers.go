package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/check"
	"fettle/tui/paint"
)

// answersWord is on the buttons that lead to the answers of the start.
const answersWord = "Answers"

// answersScreen lists the answers of the start, so that a wrong one is put right.
type answersScreen struct {
	m *model
	v view
}

func (m *model) answers() tea.Cmd {
	m.push(&answersScreen{m: m})
	return nil
}

// asked are the settings whose question was asked.
func (s *answersScreen) asked() (list []checklist.FilledSetting) {
	return slices.DeleteFunc(slices.Clone(s.m.work.filled.Values), func(v checklist.FilledSetting) bool { return v.NotAsked != "" })
}

func (s *answersScreen) title() string { return "Answers of the start" }
func (s *answersScreen) typing() bool  { return false }
func (s *answersScreen) wheel(n int)   { s.v.scroll(n) }
func (s *answersScreen) acts() []act {
	k := s.m.keys
	return []act{
		{key: k.Do, word: "Put right", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }},
		{key: k.Undo, word: "Undo", do: s.m.undo},
	}
}

func (s *answersScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, len(s.asked())+1)
}

func (s *answersScreen) choose(i int) tea.Cmd {
	s.v.cur, s.v.free = i, false
	m, q := s.m, s.m.inquire("Put an answer right")
	if i == 0 {
		return q.put("Which engine is it?", func(e *entry) {
			e.named = true
			e.offer(m.engines())
			e.field.set(m.work.job.Engine())
		}, func(text string) tea.Cmd { return s.why(q, "engine", text) })
	}
	v := s.asked()[i-1]
	if v.Measured { // what was measured counts
		for _, sc := range m.stack {
			if step, ok := sc.(*stepScreen); ok {
				if a, ok := step.toReading(v.Name); ok {
					return a.do()
				}
			}
		}
	}
	proc := m.work.filled.Procedure
	set := proc.Settings[slices.IndexFunc(proc.Settings, func(set checklist.Setting) bool { return set.Name == v.Name })]
	return q.put(set.Ask, func(e *entry) {
		e.asks(proc, set, s.given())
		judge := e.judge
		e.judge = func(text string) verdict {
			v := judge(text)
			if against := s.against(proc, set.Name, text); !v.refused && against != "" {
				return verdict{refused: true, ink: paint.InkWrong, text: against}
			}
			return v
		}
		e.about = append(e.about, "So far: "+shownAnswer(v))
		e.unset = e.only
		e.field.set(v.Text)
	}, func(text string) tea.Cmd { return s.why(q, set.Name, text) })
}

// given are the answers that somebody gave, by name.
func (s *answersScreen) given() map[string]string {
	values := map[string]string{}
	for _, v := range s.asked() {
		if !v.Default {
			values[v.Name] = v.Text
		}
	}
	return values
}

// against says which other answer does not go with a new one; "" for none.
func (s *answersScreen) against(proc *checklist.Procedure, name, text string) string {
	values := s.given()
	if _, found := proc.Fill(values); found.HasStop() {
		return "" // the rest is at fault already
	}
	values[name] = text
	_, found := proc.Fill(values)
	for _, d := range found {
		if d.Severity != check.Stop {
			continue
		}
		other := func(set checklist.Setting) bool { // an answer that was given, or a default of the file
			return set.Name != name && (set.Name == d.Setting || strings.HasPrefix(d.Path, "settings."+set.Name+"."))
		}
		if i := slices.IndexFunc(proc.Settings, other); i >= 0 {
			return proc.Settings[i].Ask + ": " + d.Message + ". Put that right first."
		}
		return d.Message + "."
	}
	return ""
}

// why asks for the reason, and then says what the answer opens again.
func (s *answersScreen) why(q *inquiry, name, value string) tea.Cmd {
	var got job.Saved
	return q.put("Why is it put right?", func(e *entry) {
		e.word = "Put right"
		e.about = []string{value, "The reason stands in the record. Steps that change by it are opened again."}
		e.choices = []choice{{text: "The plate says so"}, {text: "Measured"}, {text: "Typed wrongly at the start"}}
		e.unset = true
	}, func(why string) tea.Cmd {
		return q.save("the answer is put right", func(j *job.Job) (saved job.Saved, err error) {
			got, err = j.Answer(name, value, why)
			return got, err
		}, func() tea.Cmd { return s.m.openedAgain(got, "") })
	})
}

// openedAgain is the page of the steps that an entry opened again, without the one
// it is about.
func (m *model) openedAgain(got job.Saved, about string) tea.Cmd {
	var lines []string
	for _, id := range got.Entry.Opens {
		if i := m.work.place(id); i >= 0 && id != about {
			lines = append(lines, fmt.Sprintf("Step %d, %s", m.work.steps[i].Number, m.work.steps[i].Title))
		}
	}
	if len(lines) == 0 {
		m.say(paint.InkDone, m.foot.text+". It opens nothing else again.")
		return nil
	}
	lines = append(lines, "They are done again. Holds that rest on them are released anew. An undo takes it back.")
	m.push(newPage(m, "Open again", lines...))
	return nil
}

func shownAnswer(v checklist.FilledSetting) string {
	switch {
	case v.Canonical != "":
		return v.Canonical
	case v.Text != "":
		return v.Text
	}
	return "not answered"
}

func (s *answersScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	if by := s.differ(); len(by) > 0 {
		d.callout(paint.InkWarning, paint.InkWrong, "DIFFERS", by)
		d.blank()
	}
	d.text(paint.InkQuiet, "A wrong answer is put right here, with a reason. What it changes is done again.")
	d.blank()
	d.item("engine", func() tea.Cmd { return s.choose(0) }, func(d *doc) { d.pair("Which engine is it?", paint.InkStrong, s.m.work.job.Engine()) })
	for i, v := range s.asked() {
		d.item(v.Name, func() tea.Cmd { return s.choose(i + 1) }, func(d *doc) {
			k := paint.InkPlain
			if !v.Default {
				k = paint.InkStrong
			}
			d.pair(v.Ask, k, shownAnswer(v))
			if v.Measured {
				d.text(paint.InkQuiet, "measured; it is read again at its step")
			}
		})
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}

// differ are the answers that two people put right differently.
func (s *answersScreen) differ() (list []string) {
	for _, c := range s.m.work.state.Conflicts {
		if c.Holds && c.Step == "" && !s.m.work.onSheet(c) {
			list = append(list, sentence(c.Text))
		}
	}
	return list
}

// asks completes the question of a setting: what helps to answer it, what it takes,
// and how the program reads it. values are the answers given so far.
func (e *entry) asks(proc *checklist.Procedure, set checklist.Setting, values map[string]string) {
	if set.Why != "" {
		e.about = append(e.about, set.Why)
	}
	if limits := bounds(proc.Bounds(set.Name, values)); limits != "" {
		e.about = append(e.about, limits)
	}
	e.judge = func(text string) verdict {
		if text == "" {
			return verdict{refused: true, ink: paint.InkCaution, text: "This needs an answer."}
		}
		if err := proc.CheckAnswer(set.Name, text, values); err != nil {
			return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
		}
		return verdict{ink: paint.InkDone, text: readsAs(proc, set.Name, text, values)}
	}
	switch set.Kind {
	case "thread":
		e.thread, e.likely = true, true
	case "material":
		e.offer(materials())
	case "choice":
		e.only = true
		for _, c := range set.Choices {
			e.choices = append(e.choices, choice{text: c})
		}
	case "yes-no":
		e.only = true
		e.choices = []choice{{text: "yes"}, {text: "no"}}
	case "length", "pressure", "temperature", "volume", "torque", "angle", "count", "number", "time":
		e.value = true
		e.units = unitsOf(set.Kind)
	}
}

// readsAs is how the program reads an answer: "4.76 mm (3/16 in)".
func readsAs(proc *checklist.Procedure, name, text string, given map[string]string) string {
	values := map[string]string{}
	for k, v := range given {
		values[k] = v
	}
	values[name] = text
	filled, _ := proc.Fill(values)
	if filled == nil {
		return ""
	}
	for _, v := range filled.Values {
		if v.Name == name && v.Canonical != "" && v.Canonical != text {
			return "reads as " + v.Canonical
		}
	}
	return ""
}
