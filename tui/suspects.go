package tui

import (
	"fmt"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

// suspectScreen is the search for what makes the pressure fall: what looking
// for each path showed narrows it down.
type suspectScreen struct {
	of *testScreen
	v  view
}

func (s *suspectScreen) title() string { return "Why does it fall?" }
func (s *suspectScreen) typing() bool  { return false }
func (s *suspectScreen) wheel(n int)   { s.v.scroll(n) }
func (s *suspectScreen) list() []job.Suspect {
	if run := s.of.sheet().Last(); run != nil {
		return run.Suspects()
	}
	return nil
}
func (s *suspectScreen) acts() []act {
	k := s.of.m.keys
	return []act{
		{key: k.Do, word: "Looked", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }},
		{key: k.Undo, word: "Undo", do: s.of.m.undo},
	}
}
func (s *suspectScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, len(s.list()))
}

func (s *suspectScreen) choose(i int) tea.Cmd {
	list := s.list()
	if i >= len(list) {
		return nil
	}
	s.v.cur, s.v.free = i, false
	x := list[i]
	q := s.of.m.inquire("Search")
	const found, clear = "It is this", "It is not this"
	return q.put(x.ID+" "+x.Path, func(e *entry) {
		pickOne(choice{clear, "ruled out"}, choice{found, "seen or measured"})(e)
		e.about = []string{"Shows: " + x.Shows, "To be sure: " + x.Isolate}
	}, func(text string) tea.Cmd {
		return q.put("What was seen?", func(e *entry) {
			e.word = "Keep"
			e.about = []string{text + ": " + x.Path}
		}, func(words string) tea.Cmd {
			return q.save("looked for "+x.ID, func(j *job.Job) (job.Saved, error) { return j.Try(x.ID, text == found, words) }, nil)
		})
	})
}

func (s *suspectScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	list := s.list()
	left := 0
	for _, x := range list {
		if x.State == "" {
			left++
		}
	}
	d.text(paint.InkStrong, fmt.Sprintf("%d of %d left to look for, the easy ones first.", left, len(list)))
	group := ""
	for i, x := range list {
		name := x.State
		if name == "" {
			name = "to look for: " + string(x.Kind)
		}
		if name != group {
			group = name
			d.heading(name)
		}
		d.item(x.ID, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			switch x.State {
			case "found":
				d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, x.ID+" "+x.Path)
				d.indented("  ", "  ", paint.InkPlain, x.Text+" ("+x.By+")")
			case "":
				d.indented(d.look.G.Todo+" ", "  ", paint.InkStrong, x.ID+" "+x.Path)
				d.indented("  ", "  ", paint.InkQuiet, "shows: "+x.Shows)
			default:
				d.indented(d.look.G.Done+" ", "  ", paint.InkQuiet, x.ID+" "+x.Path)
				d.indented("  ", "  ", paint.InkQuiet, x.Text+" ("+x.By+")")
			}
		})
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}
