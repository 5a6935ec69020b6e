package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/threads"
	"fettle/tui/paint"
)

// sendable is a figure that was looked up.
type sendable struct{ name, value string }

// below is where a figure looked up on top can go: an answer that is being
// typed, else the note of the step.
func (m *model) below(top screen) (into *entry, step *stepScreen) {
	for i := len(m.stack) - 1; i >= 0; i-- {
		switch s := m.stack[i].(type) {
		case *entry:
			if !s.only && into == nil && screen(s) != top {
				into = s
			}
		case *stepScreen:
			return into, s
		case *sheet:
			if screen(s) != top { // the answer belongs to another sum
				return nil, nil
			}
		case *form:
			return nil, nil
		}
	}
	return nil, nil
}

// sendAct sends a looked-up figure to what lies below; false where nothing
// below takes one.
func (m *model) sendAct(top screen, figures func() []sendable) (act, bool) {
	into, step := m.below(top)
	if step == nil {
		return act{}, false
	}
	if now, _ := step.step(); into == nil && now == nil {
		return act{}, false
	}
	a := act{key: m.keys.Send, word: "Send"}
	a.do = func() tea.Cmd {
		list := figures()
		switch len(list) {
		case 0:
			m.say(paint.InkCaution, "There is no figure yet to send.")
			return nil
		case 1:
			return m.send(top, list[0])
		}
		e := newEntry(m, "Send a figure", "Which figure?", nil)
		e.only, e.word = true, "Send"
		for _, f := range list {
			e.choices = append(e.choices, choice{text: f.name + " " + f.value})
		}
		e.accept = func(string) tea.Cmd {
			at := e.v.cur
			m.drop(e)
			return m.send(top, list[at])
		}
		e.start("")
		m.push(e)
		return nil
	}
	return a, true
}

// send closes the look-up and puts the figure into the answer that is being
// typed, or into a note on the step.
func (m *model) send(top screen, f sendable) tea.Cmd {
	into, step := m.below(top)
	m.drop(top)
	if into == nil {
		now, _ := step.step()
		cmd := step.note(now)
		into, _ = m.top().(*entry)
		if into == nil {
			return cmd
		}
	}
	for m.top() != screen(into) { // whatever else lay over the question
		m.stack = m.stack[:len(m.stack)-1]
	}
	if into.value {
		into.field.set("")
		into.fresh = false
		into.field.insert(f.value)
		into.failed = ""
		return nil
	}
	text := f.name + " " + f.value
	if have := into.field.text[:into.field.at]; !into.fresh && have != "" && !strings.HasSuffix(have, " ") {
		text = " " + text
	}
	return into.tap(text)
}

// sendables are the figures of a thread that go into notes and readings.
func (l *lookupScreen) sendables() []sendable {
	t, ok := l.now()
	if !ok {
		return nil
	}
	name := t.String()
	length := func(l interface{ MM() float64 }) string { return mm(l.MM()) }
	c := t.Clearance()
	var list []sendable
	if t.Tapped() {
		drill := t.TapDrill(l.m.shop.Stock(), 0).Drill
		size := drill.Name
		if drill.Kind != threads.MetricDrill {
			size = length(drill.Diameter)
		}
		list = append(list, sendable{name + " tapping drill", size})
	}
	list = append(list, []sendable{
		{name + " clearance", length(c.Medium)},
		{name + " close clearance", length(c.Fine)},
		{name + " over the crests", length(t.Major)},
		{name + " pitch", length(t.Pitch)},
		{name + " bore at full depth", length(t.MinorInternal())},
		{name + " core", length(t.MinorExternal())},
	}...)
	if flats, _, ok := t.Spanner(); ok {
		list = append(list, sendable{name + " spanner", length(flats)})
	}
	return list
}

// sendables is what comes out of the sum in one line.
func (s *sheet) sendables() []sendable {
	w := s.m.workOut(s.sum, s.text)
	if len(w.gaps) > 0 || len(w.wrong) > 0 || w.err != nil {
		return nil
	}
	headline := s.sum.Headline(w.Answer)
	if headline == "" {
		return nil
	}
	return []sendable{{s.sum.Title + ":", headline}}
}
