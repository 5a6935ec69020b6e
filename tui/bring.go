package tui

import (
	"fmt"
	"strconv"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

// bringScreen is the next-visit list: what to bring, by where it comes from.
type bringScreen struct {
	m      *model
	loaded bool
	items  []job.Need
	v      view
}

func (m *model) bring() tea.Cmd {
	s := &bringScreen{m: m}
	m.push(s)
	return s.follow()
}

// follow works the list out, away from Update.
func (s *bringScreen) follow() tea.Cmd {
	j := s.m.work.job
	if j == nil {
		s.loaded = true
		return nil
	}
	return s.m.keeper.later(func() tea.Msg { return brought{s, j.Needs().Items} })
}

type brought struct {
	to    *bringScreen
	items []job.Need
}

func (b brought) settle(*model) tea.Cmd {
	b.to.items, b.to.loaded = b.items, true
	return nil
}

func (s *bringScreen) title() string { return "To bring next time" }
func (s *bringScreen) typing() bool  { return false }
func (s *bringScreen) wheel(n int)   { s.v.scroll(n) }

func (s *bringScreen) acts() []act {
	k := s.m.keys
	tick := act{key: k.Do, word: "Got it", main: true, do: func() tea.Cmd { return s.got(s.v.cur) }}
	if len(s.items) == 0 {
		tick.off = "There is nothing on the list."
	}
	return []act{
		tick,
		{key: k.Add, word: "Missing", do: func() tea.Cmd { return s.m.lack("", "") }},
		{key: k.Print, word: "Print", do: func() tea.Cmd {
			return s.m.paper("The list on paper", "to-bring.html", (*job.Job).BringSheet)
		}},
		{key: k.Undo, word: "Undo", do: s.m.undo},
	}
}

func (s *bringScreen) got(i int) tea.Cmd {
	if i >= len(s.items) {
		return nil
	}
	s.v.cur, s.v.free = i, false
	n := s.items[i]
	if len(n.Got) > 0 {
		s.m.say(paint.InkNote, "It is ticked off already. u takes the last entry back.")
		return nil
	}
	return s.m.save("got "+n.What, func(j *job.Job) (job.Saved, error) { return j.Got(n.Key) }, nil)
}

func (s *bringScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, len(s.items))
}

func (s *bringScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	if len(s.items) == 0 {
		d.blank()
		if s.loaded {
			d.text(paint.InkStrong, "Nothing to bring.")
		} else {
			d.text(paint.InkQuiet, "Working the list out")
		}
	}
	from := ""
	for i, n := range s.items {
		if n.From != from {
			from = n.From
			d.heading(from)
		}
		d.item(n.What, func() tea.Cmd { return s.got(i) }, func(d *doc) {
			sign, k, words := d.look.G.Todo+" ", paint.InkStrong, n.What
			if n.Amount != "" {
				words = n.Amount + "  " + words
			}
			if len(n.Got) > 0 {
				sign, k = d.look.G.Done+" ", paint.InkQuiet
			}
			d.indented(sign, "  ", k, words)
			why := n.Why
			if j := s.m.work.place(n.Step); j >= 0 {
				why += fmt.Sprintf("; for step %d", s.m.work.steps[j].Number)
			}
			if len(n.Got) > 0 {
				why = "got by " + n.Got[len(n.Got)-1].By
			}
			d.indented("  ", "  ", paint.InkQuiet, why)
		})
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}

// lack takes in that something is missing; step may be empty.
func (m *model) lack(step, what string) tea.Cmd {
	q := m.inquire("Missing")
	count := 0
	return q.put("What is missing?", func(e *entry) {
		e.about = []string{"A part, a tool or a supply."}
		if i := m.work.place(step); i >= 0 {
			e.about = append(e.about, fmt.Sprintf("Step %d waits for it: %s", m.work.steps[i].Number, m.work.steps[i].Title))
		}
		e.field.set(what)
	}, func(text string) tea.Cmd {
		what := text
		return q.put("How many?", func(e *entry) {
			e.value = true
			e.field.set("1")
			e.judge = mayBeEmpty("Empty: nobody counted.", func(s string) error {
				if n, err := strconv.Atoi(s); err != nil || n < 1 || n > 10000 {
					return fmt.Errorf("a whole number from 1 to 10000, not %q", s)
				}
				return nil
			})
		}, func(text string) tea.Cmd {
			count, _ = strconv.Atoi(text)
			return q.put("Where does it come from?", func(e *entry) {
				e.word = "Put on list"
				e.about = []string{"A shop, a drawer, a person: the list is grouped by it."}
				e.choices = []choice{{text: "shop"}, {text: "tool drawer"}, {text: "Ask the owner"}}
			}, func(where string) tea.Cmd {
				return q.save("missing: "+what,
					func(j *job.Job) (job.Saved, error) { return j.Shortage(what, step, count, where) }, nil)
			})
		})
	})
}
