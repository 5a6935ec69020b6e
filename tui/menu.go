package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// helpScreen lists what can be done on the screen below it, made from the acts
// themselves.
type helpScreen struct {
	m    *model
	list []act
	v    view
}

func newHelp(m *model, acts []act) *helpScreen { return &helpScreen{m: m, list: acts} }

func (s *helpScreen) title() string { return "What can be done here" }
func (s *helpScreen) typing() bool  { return false }
func (s *helpScreen) wheel(n int)   { s.v.scroll(n) }

func (s *helpScreen) acts() []act {
	return []act{{key: s.m.keys.Do, word: "Back", main: true, do: s.m.back}}
}

func (s *helpScreen) key(k tea.KeyMsg) (tea.Cmd, bool) { return nil, s.m.moves(k, &s.v, 0) }

func (s *helpScreen) draw(f *frame) {
	d := newDoc(f.look, f.body.w, f.touch)
	row := func(b key.Binding, text string) {
		h := b.Help()
		const lead = 9
		first := h.Key
		for textWidth(first) < lead {
			first += " "
		}
		for i, line := range f.look.wrap(text, max(1, d.w-lead)) {
			if i > 0 {
				first = "         "
			}
			d.add(span{inkKey, first}, span{inkPlain, line})
		}
	}
	for _, a := range s.list {
		text := a.key.Help().Desc
		if a.main {
			text = a.word + " (the large button)"
		}
		row(a.key, text)
	}
	k := s.m.keys
	d.heading("Everywhere")
	for _, b := range []key.Binding{k.Up, k.Down, k.PageUp, k.PageDown, k.More, k.Suspend, k.Stop} {
		row(b, b.Help().Desc)
	}
	d.blank()
	d.text(inkQuiet, "Every button can be tapped; the wheel or a swipe scrolls. With Shift held most terminals let you mark text.")
	f.show(f.body, d, &s.v)
}

// moves handles the keys that go up and down in a doc with so many items.
func (m *model) moves(k tea.KeyMsg, v *view, items int) bool {
	switch {
	case key.Matches(k, m.keys.Up):
		v.move(-1, items)
	case key.Matches(k, m.keys.Down):
		v.move(1, items)
	case key.Matches(k, m.keys.PageUp):
		v.page(-1)
	case key.Matches(k, m.keys.PageDown):
		v.page(1)
	case key.Matches(k, m.keys.Top):
		v.cur = 0
		v.scroll(-v.lines)
	case key.Matches(k, m.keys.Bottom):
		v.cur = max(0, items-1)
		v.scroll(v.lines)
	default:
		return false
	}
	return true
}

// moreScreen shows everything that can be done on the screen below it as
// buttons large enough for a finger.
type moreScreen struct {
	m    *model
	list []act
	v    view
}

func newMore(m *model, acts []act) *moreScreen {
	s := &moreScreen{m: m}
	for _, a := range acts {
		if !a.main {
			s.list = append(s.list, a)
		}
	}
	return s
}

func (s *moreScreen) title() string { return "More" }
func (s *moreScreen) typing() bool  { return false }
func (s *moreScreen) wheel(n int)   { s.v.scroll(n) }

func (s *moreScreen) acts() []act {
	return []act{{key: s.m.keys.Do, word: "Choose", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}}
}

func (s *moreScreen) choose(i int) tea.Cmd {
	s.m.drop(s)
	return s.m.run(s.list[i])
}

func (s *moreScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	for _, a := range s.list { // the keys go on working here
		if key.Matches(k, a.key) {
			s.m.drop(s)
			return s.m.run(a), true
		}
	}
	return nil, s.m.moves(k, &s.v, len(s.list))
}

func (s *moreScreen) draw(f *frame) {
	d := newDoc(f.look, f.body.w, f.touch)
	for i, a := range s.list {
		d.item(a.word, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			h := a.key.Help()
			ink := inkStrong
			if a.off != "" {
				ink = inkQuiet
			}
			d.add(span{ink, a.word}, span{inkKey, "  " + h.Key})
			text := h.Desc
			if a.off != "" {
				text = a.off
			}
			d.text(inkQuiet, text)
		})
	}
	f.show(f.body, d, &s.v)
}
