package tui

import (
	"fettle/tui/paint"
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// helpScreen lists what can be done on the screen below it, made from the acts
// themselves.
type helpScreen struct {
	m    *model
	list []act
	over bool // the screen below is being typed into
	v    view
}

func newHelp(m *model, acts []act, typing bool) *helpScreen {
	return &helpScreen{m: m, list: acts, over: typing}
}

func (s *helpScreen) title() string { return "What can be done here" }
func (s *helpScreen) typing() bool  { return false }
func (s *helpScreen) wheel(n int)   { s.v.scroll(n) }

func (s *helpScreen) acts() []act {
	return []act{{key: s.m.keys.Do, word: "Back", main: true, do: s.m.back}}
}

func (s *helpScreen) key(k tea.KeyMsg) (tea.Cmd, bool) { return nil, s.m.moves(k, &s.v, 0) }

func (s *helpScreen) draw(f *frame) {
	d := newDoc(f.Look, f.Body.W, f.Touch)
	row := func(name, text string) {
		const lead = 9
		first := name
		for paint.TextWidth(first) < lead {
			first += " "
		}
		for i, line := range f.Look.Wrap(text, max(1, d.w-lead)) {
			if i > 0 {
				first = "         "
			}
			d.add(paint.Span{Ink: paint.InkKey, Text: first}, paint.Span{Ink: paint.InkPlain, Text: line})
		}
	}
	for _, a := range s.list {
		text := a.key.Help().Desc
		if a.main {
			text = a.word + " (the large button)"
		}
		row(a.hint(s.over), text)
	}
	k := s.m.keys
	d.heading("Everywhere")
	for _, b := range []key.Binding{k.Up, k.Down, k.PageUp, k.PageDown, k.TakeBack, k.Stop} {
		row(b.Help().Key, b.Help().Desc)
	}
	d.blank()
	d.text(paint.InkQuiet, "Every button can be tapped; the wheel or a swipe scrolls. With Shift held most terminals let you mark text.")
	f.show(f.Body, d, &s.v)
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
		v.scroll(-v.last)
	case key.Matches(k, m.keys.Bottom):
		v.cur = max(0, items-1)
		v.scroll(v.last)
	default:
		return false
	}
	return true
}

// moreScreen shows what else can be done on the screen below it as buttons large
// enough for a finger.
type moreScreen struct {
	m    *model
	all  []act // what can be done there
	list []act // of it, what has no button there
	page int
}

func newMore(m *model, all, list []act) *moreScreen {
	if len(list) == 0 { // nothing is hidden: everything once more, and larger
		_, list = split(all)
	}
	return &moreScreen{m: m, all: all, list: list}
}

func (s *moreScreen) title() string { return "What else can be done" }
func (s *moreScreen) typing() bool  { return false }
func (s *moreScreen) wheel(n int)   { s.page += max(-1, min(1, n)) }

func (s *moreScreen) acts() []act {
	return []act{{key: s.m.keys.Do, word: "Back", main: true, do: s.m.back}}
}

func (s *moreScreen) choose(a act) tea.Cmd {
	s.m.drop(s)
	return s.m.run(a)
}

func (s *moreScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	for _, a := range s.all { // the keys go on working here
		if !a.main && !a.bare && key.Matches(k, a.key) {
			return s.choose(a), true
		}
	}
	return nil, false
}

func (s *moreScreen) draw(f *frame) {
	all := make([]act, len(s.list))
	for i, a := range s.list {
		all[i] = a
		all[i].do = func() tea.Cmd { return s.choose(a) }
	}
	f.tiles(f.Body, all, &s.page, paint.FingerWide+2)
}

// tiles draws acts as buttons of one size, at least so wide, over as many
// pages as they need; the last button turns the page.
func (f *frame) tiles(r paint.Rect, all []act, page *int, wide int) {
	tall := min(paint.FingerTall, r.H)
	if r.Empty() || tall == 0 {
		return
	}
	cols, rows := max(1, r.W/wide), max(1, r.H/tall)
	if f.Shape > paint.Narrow { // wider buttons rather than ragged ones
		cols = max(1, min(cols, r.W/(wide+4)))
	}
	if per := cols*rows - 1; len(all) > per+1 && per > 0 {
		pages := (len(all) + per - 1) / per
		*page = (*page%pages + pages) % pages
		from := *page * per
		turn := act{word: fmt.Sprintf("More %d/%d", *page+1, pages), do: func() tea.Cmd { *page++; return nil }}
		all = append(slices.Clone(all[from:min(len(all), from+per)]), turn)
	}
	for i, at := range paint.Grid(paint.Rect{X: r.X, Y: r.Y, W: r.W, H: rows * tall}, cols, rows) {
		if i < len(all) {
			f.button(at, all[i])
		}
	}
}
