package tui

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/lookup"
	"fettle/threads"
	"fettle/tui/paint"
)

// findScreen is one box that searches everything: what can be done here, the
// steps and findings of the open job, jobs, procedures, threads and sums.
type findScreen struct {
	m     *model
	field field
	all   []hit // everything but threads, in the order it is listed
	hits  []hit
	loose bool // no hit holds all the words
	v     view
}

// hit is one thing that can be found.
type hit struct {
	kind string // what it is, for people
	text string
	tell string // what it is about, where that is short
	more string // searched as well, not shown
	body string // searched where nothing else holds the words
	do   func() tea.Cmd

	shown, held string // text, and text and more, as searchable makes them
}

// hitsListed is how many hits are listed at most.
const hitsListed = 60

func (m *model) find() tea.Cmd {
	s := &findScreen{m: m}
	for _, a := range m.allActs() {
		if a.word != "Find" && a.word != "Back" {
			s.add(hit{kind: "do", text: a.word, tell: a.key.Help().Desc, more: actWords(a.word), do: func() tea.Cmd { return m.run(a) }})
		}
	}
	s.addJob()
	if h, ok := m.stack[0].(*home); ok {
		for i, j := range h.jobs {
			if j.Err == nil {
				s.add(hit{kind: "job", text: j.Engine + ", " + j.Title, more: filepath.Base(j.Dir), do: func() tea.Cmd { return h.choose(i) }})
			}
		}
		for i, p := range h.shelf {
			if p.bad == nil {
				s.add(hit{kind: "procedure", text: p.title, tell: p.about, body: string(p.src), do: func() tea.Cmd { return h.choose(len(h.jobs) + i) }})
			}
		}
	}
	for _, x := range forms() {
		asks := ""
		for _, q := range x.Fields {
			asks += q.Ask + " "
		}
		s.add(hit{kind: "sum", text: x.Title, tell: x.About, more: x.Words, body: asks, do: func() tea.Cmd { m.push(newSheet(m, x)); return nil }})
	}
	s.search()
	m.push(s)
	return nil
}

func (s *findScreen) add(h hit) {
	h.shown = searchable(h.text)
	h.held = h.shown + searchable(h.tell) + searchable(h.more)
	s.all = append(s.all, h)
}

// addJob adds the steps and the findings of the open job.
func (s *findScreen) addJob() {
	for _, below := range s.m.stack {
		step, ok := below.(*stepScreen)
		if !ok {
			continue
		}
		goTo := func(i int) func() tea.Cmd {
			return func() tea.Cmd {
				for s.m.top() != screen(step) { // whatever lay over the steps closes
					s.m.stack = s.m.stack[:len(s.m.stack)-1]
				}
				step.goTo(i)
				return nil
			}
		}
		w := step.work()
		p := w.filled.Preliminary
		before := slices.Concat(p.Warnings, p.Cautions, p.Conditions, p.Persons, p.Equipment, p.Supplies, p.Spares, p.Notes)
		s.add(hit{kind: "step", text: "Before you start", body: strings.Join(before, " "), do: goTo(-1)})
		for i, x := range w.steps {
			s.add(hit{kind: "step", text: x.Title, more: strings.Join([]string{x.ID, x.Stage, x.Do, x.Why}, " "),
				body: strings.Join(slices.Concat(x.Warnings, x.Cautions, x.Notes), " "), do: goTo(i)})
		}
		for _, f := range w.state.Findings {
			s.add(hit{kind: "finding", text: fmt.Sprintf("%d. %s, %s", f.Order, findingWords(f.What).text, f.Text),
				tell: s.m.whereOf(&f), more: "finding", do: func() tea.Cmd { return s.m.showFinding(f.ID) }})
		}
	}
}

// search keeps what holds every word that is typed; what shows them stands
// before what only holds them, and where nothing does, what holds some.
func (s *findScreen) search() {
	s.hits, s.v, s.loose = nil, view{}, false
	thread, words := s.threads(s.field.text)
	all := len(words)
	var asked, rest []hit
	for _, h := range s.all {
		if all == 0 && len(thread) > 0 || holds(h.held, words) < all {
			continue // a thread and nothing else, or not this
		}
		of, ok := s.ofThread(h, thread)
		switch {
		case ok:
			asked = append(asked, of)
		case holds(h.shown, words) == all:
			s.hits = append(s.hits, h)
		default:
			rest = append(rest, h)
		}
	}
	// A procedure tells at length what it is about and holds many words.
	slices.SortStableFunc(rest, func(a, b hit) int {
		long := map[string]int{"procedure": 1}
		return long[a.kind] - long[b.kind]
	})
	s.hits = append(s.hits, rest...)
	if len(s.hits)+len(asked) == 0 && all > 0 {
		for _, h := range s.all {
			if h.body != "" && holds(h.held+searchable(h.body), words) == all {
				s.hits = append(s.hits, h)
			}
		}
	}
	s.loose = len(s.hits)+len(asked)+len(thread) == 0
	for n := all - 1; n > 0 && s.loose; n-- {
		for _, h := range s.all {
			if holds(h.held, words) == n {
				s.hits = append(s.hits, h)
			}
		}
	}
	s.hits = slices.Concat(asked, thread, s.hits)
	s.hits = s.hits[:min(len(s.hits), hitsListed)]
}

// threads are the threads that are typed, and the words beside them: all that
// is typed may name them, or some words in a row ("drill for 4 ba"). Nothing
// without a figure names one.
func (s *findScreen) threads(typed string) (hits []hit, words []string) {
	typed = strings.TrimSpace(typed)
	if strings.IndexFunc(typed, unicode.IsDigit) < 0 {
		return nil, queryWords(typed)
	}
	add := func(t threads.Thread) {
		name := t.String()
		hits = append(hits, hit{kind: "thread", text: name, do: func() tea.Cmd {
			l := newLookup(s.m)
			l.field.set(name)
			l.search()
			s.m.push(l)
			return nil
		}})
	}
	for _, t := range threads.Search(typed, 4) {
		add(t)
	}
	if len(hits) > 0 {
		return hits, nil
	}
	parts := strings.Fields(typed)
	for n := min(4, len(parts)-1); n > 0; n-- { // the longest name first
		for at := 0; at+n <= len(parts); at++ {
			name := strings.Join(parts[at:at+n], " ")
			if strings.IndexFunc(name, unicode.IsDigit) < 0 {
				continue
			}
			if t, err := threads.Parse(name); err == nil {
				add(t)
				rest := queryWords(strings.Join(slices.Concat(parts[:at], parts[at+n:]), " "))
				return hits, slices.DeleteFunc(rest, saidByLookUp)
			}
		}
	}
	return nil, queryWords(typed)
}

// ofThread is a sum that asks for a thread, to be opened with the one typed.
func (s *findScreen) ofThread(h hit, thread []hit) (hit, bool) {
	if h.kind != "sum" || len(thread) != 1 {
		return h, false
	}
	for _, x := range forms() {
		at := slices.IndexFunc(x.Fields, func(q lookup.Field) bool { return q.Kind == lookup.ThreadName })
		if x.Title != h.text || at < 0 {
			continue
		}
		name := thread[0].text
		h.text += ", " + name
		h.do = func() tea.Cmd {
			sh := newSheet(s.m, x)
			sh.text[x.Fields[at].Name] = name
			sh.turnTo(at)
			s.m.push(sh)
			return nil
		}
		return h, true
	}
	return h, false
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
	d := newDoc(f.Look, min(body.W, 84), f.Touch)
	if s.loose && len(s.hits) > 0 {
		d.text(paint.InkQuiet, "Nothing holds all these words; these hold some:")
	}
	for i, h := range s.hits {
		d.item(h.text, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			room := d.w - paint.TextWidth(h.kind) - 2
			text, about := d.look.Short(h.text, room), d.look.Clean(h.tell)
			tell, below := "", d.look.Wrap(about, d.w)
			if paint.TextWidth(text)+paint.TextWidth(about)+2 <= room {
				tell, below = "  "+about, nil
			}
			d.add(paint.Span{Ink: paint.InkStrong, Text: text}, paint.Span{Ink: paint.InkQuiet, Text: tell + strings.Repeat(" ", max(2, d.w-paint.TextWidth(text)-paint.TextWidth(tell)-paint.TextWidth(h.kind))) + h.kind})
			if about != "" && len(below) <= 2 { // longer tales are told where the thing is opened
				for _, line := range below {
					d.add(paint.Span{Ink: paint.InkQuiet, Text: line})
				}
			}
		})
	}
	if len(s.hits) == 0 {
		d.blank()
		d.text(paint.InkStrong, "Nothing holds these words.")
		d.text(paint.InkQuiet, "One word is often enough. A thread is written like M4 or 2 BA.")
	}
	f.show(paint.Rect{X: body.X, Y: body.Y, W: d.w, H: body.H}, d, &s.v)
}

// typedLine draws a field where other screens have their rule, and gives the
// body that is left.
func (f *frame) typedLine(fd *field, hint string) (body paint.Rect) {
	body = f.Body
	at := f.Rule
	if at.Empty() {
		at = paint.Rect{X: body.X, Y: body.Y, W: body.W, H: min(1, body.H)}
		body = body.Cut(0, 1, 0, 0)
	}
	f.Wipe(at)
	x := f.Put(at, paint.Point{X: at.X, Y: at.Y}, paint.InkBrand, f.Look.G.Here+" ")
	x = f.Put(at, paint.Point{X: x, Y: at.Y}, paint.InkField, fd.text[:fd.at])
	x = f.Put(at, paint.Point{X: x, Y: at.Y}, paint.InkBrand, f.Look.Cursor())
	x = f.Put(at, paint.Point{X: x, Y: at.Y}, paint.InkField, fd.text[fd.at:])
	if fd.text == "" {
		f.Put(at, paint.Point{X: x + 1, Y: at.Y}, paint.InkQuiet, hint)
	}
	return body
}
