package tui

import (
	"path/filepath"
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/threads"
)

// findScreen is one box that searches everything: what can be done here, the
// steps of the open job, jobs, procedures, threads and sums.
type findScreen struct {
	m     *model
	field field
	all   []hit // everything but threads, in the order it is listed
	hits  []hit
	v     view
}

// hit is one thing that can be found.
type hit struct {
	kind string // what it is, for people
	text string
	more string // searched as well, not shown
	do   func() tea.Cmd
}

// hitsListed is how many hits are listed at most.
const hitsListed = 60

func (m *model) find() tea.Cmd {
	s := &findScreen{m: m}
	for _, a := range m.allActs() {
		if a.word != "Find" && a.word != "Back" {
			s.all = append(s.all, hit{"do", a.word, a.key.Help().Desc, func() tea.Cmd { return m.run(a) }})
		}
	}
	s.addSteps()
	if h, ok := m.stack[0].(*home); ok {
		for i, j := range h.jobs {
			if j.Err == nil {
				s.all = append(s.all, hit{"job", j.Engine + ", " + j.Title, filepath.Base(j.Dir), func() tea.Cmd { return h.choose(i) }})
			}
		}
		for i, p := range h.shelf {
			if p.bad == nil {
				s.all = append(s.all, hit{"procedure", p.title, p.about, func() tea.Cmd { return h.choose(len(h.jobs) + i) }})
			}
		}
	}
	for _, x := range allSums(m) {
		s.all = append(s.all, hit{"sum", x.name, x.about, func() tea.Cmd { m.push(newSheet(m, x)); return nil }})
	}
	s.search()
	m.push(s)
	return nil
}

func (s *findScreen) addSteps() {
	for _, below := range s.m.stack {
		step, ok := below.(*stepScreen)
		if !ok {
			continue
		}
		for i, x := range step.work().steps {
			s.all = append(s.all, hit{"step", x.Title, strings.Join([]string{x.ID, x.Stage, x.Do, x.Why}, " "), func() tea.Cmd {
				for s.m.top() != screen(step) { // whatever lay over the steps closes
					s.m.stack = s.m.stack[:len(s.m.stack)-1]
				}
				step.goTo(i)
				return nil
			}})
		}
	}
}

// search keeps what holds every word that is typed; what shows them stands
// before what only holds them.
func (s *findScreen) search() {
	s.hits, s.v = nil, view{}
	words := strings.Fields(strings.ToLower(s.field.text))
	var rest []hit
	for _, h := range s.all {
		switch {
		case holdsAll(strings.ToLower(h.text), words):
			s.hits = append(s.hits, h)
		case holdsAll(strings.ToLower(h.text+" "+h.more), words):
			rest = append(rest, h)
		}
	}
	s.hits = append(s.threads(), append(s.hits, rest...)...)
	s.hits = s.hits[:min(len(s.hits), hitsListed)]
}

// threads are the threads that are typed: nothing without a figure names one.
func (s *findScreen) threads() (hits []hit) {
	if strings.IndexFunc(s.field.text, unicode.IsDigit) < 0 {
		return nil
	}
	for _, t := range threads.Search(s.field.text, 4) {
		name := t.String()
		hits = append(hits, hit{"thread", name, "", func() tea.Cmd {
			l := newLookup(s.m)
			l.field.set(name)
			l.search()
			s.m.push(l)
			return nil
		}})
	}
	return hits
}

func holdsAll(text string, words []string) bool {
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

func (s *findScreen) title() string { return "Find" }
func (s *findScreen) typing() bool  { return true }
func (s *findScreen) wheel(n int)   { s.v.scroll(n) }

func (s *findScreen) acts() []act {
	a := act{key: s.m.keys.Do, word: "Go", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}
	if len(s.hits) == 0 {
		a.off = "Nothing holds these words."
	}
	return []act{a}
}

func (s *findScreen) choose(i int) tea.Cmd {
	if i >= len(s.hits) {
		return nil
	}
	s.m.drop(s)
	return s.hits[i].do()
}

func (s *findScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	switch k.String() {
	case "up":
		s.v.move(-1, len(s.hits))
	case "down":
		s.v.move(1, len(s.hits))
	case "pgup":
		s.v.page(-1)
	case "pgdown":
		s.v.page(1)
	default:
		before := s.field.text
		if !s.field.key(k) {
			return nil, false
		}
		if s.field.text != before {
			s.search()
		}
	}
	return nil, true
}

func (s *findScreen) draw(f *frame) {
	body := f.typedLine(&s.field, "a step, a thread, a job, anything")
	d := newDoc(f.look, min(body.w, 84), f.touch)
	for i, h := range s.hits {
		d.item(h.text, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			room := d.w - textWidth(h.kind) - 2
			text := d.look.short(h.text, room)
			d.add(span{inkStrong, text}, span{inkQuiet, strings.Repeat(" ", max(2, d.w-textWidth(text)-textWidth(h.kind))) + h.kind})
		})
	}
	if len(s.hits) == 0 {
		d.blank()
		d.text(inkStrong, "Nothing holds these words.")
	}
	f.show(rect{body.x, body.y, d.w, body.h}, d, &s.v)
}

// typedLine draws a field where other screens have their rule, and gives the
// body that is left.
func (f *frame) typedLine(fd *field, hint string) (body rect) {
	body = f.body
	at := f.rule
	if at.empty() {
		at = rect{body.x, body.y, body.w, min(1, body.h)}
		body = body.cut(0, 1, 0, 0)
	}
	f.wipe(at)
	x := f.put(at, point{at.x, at.y}, inkBrand, f.look.g.here+" ")
	x = f.put(at, point{x, at.y}, inkField, fd.text[:fd.at])
	x = f.put(at, point{x, at.y}, inkBrand, f.look.cursor())
	x = f.put(at, point{x, at.y}, inkField, fd.text[fd.at:])
	if fd.text == "" {
		f.put(at, point{x + 1, at.y}, inkQuiet, hint)
	}
	return body
}
