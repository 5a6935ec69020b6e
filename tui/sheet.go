package tui

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/lookup"
	"fettle/threads"
	"fettle/tui/paint"
)

// worked is what comes out of the answers of a look-up as they stand.
type worked struct {
	lookup.Answer
	gaps  []lookup.Field   // needed and empty
	wrong map[string]error // what is wrong with an answer, by the name of its question
	err   error            // what is wrong with all of them together
}

// work works a look-up out with what was typed. A figure that is none is told at
// once, whatever else is still missing.
func (m *model) workOut(sum lookup.Sheet, text map[string]string) worked {
	w := worked{wrong: map[string]error{}}
	values := map[string]string{}
	for _, q := range sum.Fields {
		typed := strings.TrimSpace(text[q.Name])
		switch {
		case typed != "":
			values[q.Name] = typed
			if err := q.Read(typed); err != nil {
				w.wrong[q.Name] = err
			}
		case q.Required:
			w.gaps = append(w.gaps, q)
		}
	}
	if len(w.gaps) > 0 || len(w.wrong) > 0 {
		return w
	}
	w.Answer, w.err = sum.Work(values, m.shop)
	var field *lookup.FieldError
	if errors.As(w.err, &field) && values[field.Field] != "" { // beside the question it is about
		w.wrong[field.Field], w.err = field.Err, nil
	}
	return w
}

// words are the answers that a question offers; none where it takes others.
func words(q lookup.Field) []string {
	switch {
	case q.Kind == lookup.YesNo:
		return []string{"yes", "no"}
	case q.Choices != nil:
		return q.Choices()
	}
	return nil
}

// short is a question in few words.
func short(q lookup.Field) string {
	if q.Brief != "" {
		return q.Brief
	}
	return q.Ask
}

// sheet asks the questions of a sum and shows what comes out while they are
// being answered.
type sheet struct {
	m       *model
	sum     lookup.Sheet
	text    map[string]string
	field   field
	fresh   bool // the answer stood there before: the first key replaces it
	v, rv   view
	results bool // narrow: what comes out fills the screen
	sources bool
	found   []threads.Thread // what fits, as last drawn
}

func newSheet(m *model, s lookup.Sheet) *sheet {
	if m.answered == nil {
		m.answered = map[string]map[string]string{}
	}
	text := m.answered[s.Name]
	if text == nil { // the answers of before stand there again
		text = map[string]string{}
		for _, q := range s.Fields {
			text[q.Name] = q.Default
			if have := m.known(q); have != "" {
				text[q.Name] = have
			}
		}
		m.answered[s.Name] = text
	}
	sh := &sheet{m: m, sum: s, text: text}
	sh.turnTo(0)
	return sh
}

// known is what the open step says about a question: the thread it works on.
func (m *model) known(q lookup.Field) string {
	if m.work == nil || q.Kind != lookup.ThreadName {
		return ""
	}
	for _, s := range m.stack {
		step, ok := s.(*stepScreen)
		if !ok {
			continue
		}
		if now, _ := step.step(); now != nil {
			for _, g := range now.Figures {
				if strings.HasSuffix(g.Key, ".thread") {
					return g.Text
				}
			}
		}
	}
	return ""
}

func (s *sheet) title() string { return s.sum.Title }
func (s *sheet) typing() bool  { return true }
func (s *sheet) wheel(n int)   { s.out().scroll(n) }

// out is the window that scrolls: what comes out where it has a place of its own.
func (s *sheet) out() *view {
	if s.m.shape() > paint.Narrow || s.results {
		return &s.rv
	}
	return &s.v
}

// turnTo puts the keys on a question.
func (s *sheet) turnTo(i int) {
	s.v.cur, s.v.free = max(0, min(len(s.sum.Fields)-1, i)), false
	q := s.question()
	s.field.only = nil
	s.field.set(s.text[q.Name])
	s.fresh = s.field.text != ""
}

func (s *sheet) question() lookup.Field { return s.sum.Fields[s.v.cur] }

func (s *sheet) acts() []act {
	k := s.m.keys
	bind := func(keys, help string) key.Binding {
		return key.NewBinding(key.WithKeys(keys), key.WithHelp(keys, help))
	}
	main := act{key: k.Do, word: "Next", main: true, do: func() tea.Cmd { s.turnTo((s.v.cur + 1) % len(s.sum.Fields)); return nil }}
	switch {
	case s.m.shape() > paint.Narrow:
	case s.results:
		main.word, main.do = "Questions", func() tea.Cmd { s.results = false; return nil }
	case s.complete():
		main.word, main.do = "Result", func() tea.Cmd { s.results, s.rv = true, view{}; return nil }
	}
	acts := []act{main}
	acts = append(acts, act{key: bind("f4", "answer with choices or keypad"), word: "Answer", do: s.open})
	if len(s.found) > 0 {
		acts = append(acts, act{key: bind("f9", "look up what fits"), word: "Fits", do: func() tea.Cmd {
			s.m.push(lookUpOf(s.m, "What fits", s.found))
			return nil
		}})
	}
	if a, ok := s.m.sendAct(s, s.sendables); ok {
		acts = append(acts, a)
	}
	sources := "Source"
	if s.sources {
		sources = "Fewer"
	}
	return append(acts,
		act{key: bind("ctrl+f", "where the figures come from"), word: sources, do: func() tea.Cmd { s.sources = !s.sources; return nil }},
		act{key: bind("ctrl+n", "empty every answer"), word: "Afresh", do: func() tea.Cmd {
			for _, q := range s.sum.Fields {
				s.text[q.Name] = q.Default
			}
			s.turnTo(0)
			return nil
		}})
}

// complete tells whether every needed question has an answer.
func (s *sheet) complete() bool { return len(s.m.workOut(s.sum, s.text).gaps) == 0 }

// open asks the question the keys are on on a screen of its own: choices to
// tap, or a keypad.
func (s *sheet) open() tea.Cmd {
	q := s.question()
	ask := q.Ask
	if paint.TextWidth(ask)+2 > s.m.w {
		ask = short(q)
	}
	e := newEntry(s.m, s.sum.Title, ask, nil)
	e.accept = func(text string) tea.Cmd {
		s.m.drop(e)
		return s.answer(text)
	}
	e.judge = func(text string) verdict {
		if err := s.complaint(q, text); err != nil {
			return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
		}
		return verdict{}
	}
	e.live = func(text string) verdict { return s.headline(q, text) }
	for _, word := range words(q) {
		c := choice{text: word}
		if q.Tell != nil {
			c.about = q.Tell(word)
		}
		e.choices = append(e.choices, c)
	}
	e.only = len(e.choices) > 0
	e.open = !q.Required
	switch {
	case e.only:
	case q.Kind == lookup.ThreadName:
		e.thread = true
	case q.Kind == lookup.Person:
		e.named = true
		e.offer(s.m.people())
	case q.Kind == lookup.Counts, q.Kind == lookup.RingSizes, q.Kind == lookup.Drills:
		e.sheet = figureSheet
	case q.Kind != lookup.Text && q.Kind != lookup.Threads:
		e.value, e.units = true, unitsOf(entryKind(q.Kind))
	}
	e.start(s.text[q.Name])
	s.m.push(e)
	return nil
}

func (s *sheet) answer(text string) tea.Cmd {
	s.text[s.question().Name] = text
	s.turnTo(s.v.cur + 1)
	return nil
}

// complaint is what is wrong with one answer, all others left out.
func (s *sheet) complaint(q lookup.Field, text string) error {
	return s.with(q, text).wrong[q.Name]
}

func (s *sheet) key(k tea.KeyMsg) (tea.Cmd, bool) {
	switch {
	case s.results && key.Matches(k, s.m.keys.Down):
		s.rv.scroll(1)
	case s.results && key.Matches(k, s.m.keys.Up):
		s.rv.scroll(-1)
	case k.String() == "up", k.String() == "shift+tab":
		s.turnTo(s.v.cur - 1)
	case k.String() == "down", k.String() == "tab":
		s.turnTo(s.v.cur + 1)
	case k.String() == "pgup":
		s.out().page(-1)
	case k.String() == "pgdown":
		s.out().page(1)
	default:
		return nil, s.typed(k)
	}
	return nil, true
}

// typed takes a key for the answer the keys are on. Where only certain words
// answer, a letter goes to the next word that begins with it.
func (s *sheet) typed(k tea.KeyMsg) bool {
	s.results = false
	q := s.question()
	if choices := words(q); len(choices) > 0 && q.Tell == nil {
		at := slices.Index(choices, s.text[q.Name])
		switch k.String() {
		case "left":
			s.text[q.Name] = choices[(max(at, 0)+len(choices)-1)%len(choices)]
		case "right":
			s.text[q.Name] = choices[(at+1)%len(choices)]
		case "backspace", "delete":
			s.text[q.Name] = ""
		default:
			if k.Type != tea.KeyRunes || len(k.Runes) == 0 {
				return false
			}
			for i := range choices {
				c := choices[(at+1+i+len(choices))%len(choices)]
				if strings.HasPrefix(strings.ToLower(c), strings.ToLower(string(k.Runes))) {
					s.text[q.Name] = c
					break
				}
			}
		}
		return true
	}
	if s.fresh && (k.Type == tea.KeyRunes || k.Type == tea.KeySpace || k.String() == "backspace") {
		s.field.set("")
	}
	if !s.field.key(k) {
		return false
	}
	s.fresh = false
	s.text[q.Name] = s.field.text
	return true
}

func (s *sheet) draw(f *frame) {
	w := s.m.workOut(s.sum, s.text)
	outW := f.Body.W
	left := f.Body
	if f.Shape > paint.Narrow {
		left.W = min(f.Body.W*9/20, 60)
		outW = min(f.Body.W-left.W-3, 72)
	}
	out := newDoc(f.Look, outW, f.Touch)
	s.found = w.Fits
	switch {
	case len(w.gaps) > 0:
		out.text(paint.InkQuiet, s.sum.About)
		out.blank()
		out.text(paint.InkBrand, "Still needed")
		for _, g := range w.gaps {
			out.indented(f.Look.G.Todo+" ", "  ", paint.InkPlain, g.Ask)
		}
	case len(w.wrong) > 0:
		for _, q := range s.sum.Fields {
			if e := w.wrong[q.Name]; e != nil {
				out.text(paint.InkPlain, q.Ask)
				out.indented(f.Look.G.Warn+" ", "  ", paint.InkWrong, e.Error())
				out.blank()
			}
		}
	case w.err != nil:
		out.text(paint.InkQuiet, s.sum.About)
		out.blank()
		out.callout(paint.InkWarning, paint.InkWrong, "CANNOT BE WORKED OUT", []string{w.err.Error()})
	default:
		out.answer(s.sum, w.Answer, s.sources)
	}

	asks := newDoc(f.Look, left.W, f.Touch)
	for i, q := range s.sum.Fields {
		asks.item(q.Name, func() tea.Cmd { s.turnTo(i); return s.open() }, func(d *doc) { s.drawQuestion(d, q, i == s.v.cur, w.wrong[q.Name]) })
	}
	if f.Shape > paint.Narrow {
		f.show(left, asks, &s.v)
		for y := range f.Body.H {
			f.Put(f.Body, paint.Point{X: left.X + left.W + 1, Y: f.Body.Y + y}, paint.InkQuiet, f.Look.G.Thin.Down)
		}
		f.show(paint.Rect{X: left.X + left.W + 3, Y: f.Body.Y, W: outW, H: f.Body.H}, out, &s.rv)
		return
	}
	body := f.Body
	if !f.Rule.Empty() { // what comes out stands in sight while the questions are answered
		body = f.ruled(w.headline(s.sum), body)
	}
	if s.results {
		f.show(body, out, &s.rv)
		return
	}
	f.show(body, asks, &s.v)
}

// headline is what comes out of the answers in one line, or why nothing does.
func (w worked) headline(sum lookup.Sheet) verdict {
	switch {
	case len(w.gaps) > 0:
		return verdict{ink: paint.InkQuiet, text: "still needed: " + short(w.gaps[0])}
	case len(w.wrong) > 0:
		return verdict{ink: paint.InkQuiet, text: "an answer cannot be read"}
	case w.err != nil:
		return verdict{ink: paint.InkQuiet, text: w.err.Error()}
	}
	return verdict{ink: paint.InkBrand, text: sum.Headline(w.Answer)}
}

// headline is what would come out with another answer to one question.
func (s *sheet) headline(q lookup.Field, text string) verdict { return s.with(q, text).headline(s.sum) }

// with are the answers with another one to one question.
func (s *sheet) with(q lookup.Field, text string) worked {
	all := maps.Clone(s.text)
	all[q.Name] = text
	return s.m.workOut(s.sum, all)
}

func (s *sheet) drawQuestion(d *doc, q lookup.Field, here bool, wrong error) {
	text := s.text[q.Name]
	k := paint.InkStrong
	choosing := q.Tell == nil && (q.Choices != nil || q.Kind == lookup.YesNo)
	switch {
	case here && !choosing && !s.fresh:
		text = s.field.text[:s.field.at] + d.look.Cursor() + s.field.text[s.field.at:]
		k = paint.InkBrand
	case here && choosing:
		if text == "" {
			text = "-"
		}
		text = d.look.G.Left + " " + text + " " + d.look.G.Right
		k = paint.InkBrand
	case text == "" && q.Required:
		text = "needed"
		k = paint.InkWrong
	case text == "":
		text = "-"
		k = paint.InkQuiet
	}
	ask := q.Ask
	if paint.TextWidth(d.look.Clean(ask))+paint.TextWidth(d.look.Clean(text))+2 > d.w {
		ask = short(q)
	}
	d.pair(ask, k, text)
	if wrong != nil {
		d.text(paint.InkWrong, d.look.G.Warn+" "+wrong.Error())
	}
}

// sumsScreen lists what can be looked up and worked out.
type sumsScreen struct {
	m    *model
	list []lookup.Sheet
	v    view
}

func (m *model) sums() tea.Cmd {
	m.push(&sumsScreen{m: m, list: forms()})
	return nil
}

func (s *sumsScreen) title() string { return "Look up and work out" }
func (s *sumsScreen) typing() bool  { return false }
func (s *sumsScreen) wheel(n int)   { s.v.scroll(n) }
func (s *sumsScreen) acts() []act {
	return []act{{key: s.m.keys.Do, word: "Open", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}}
}
func (s *sumsScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, len(s.list)+1)
}

func (s *sumsScreen) choose(i int) tea.Cmd {
	s.v.cur = i
	if i == 0 {
		return s.m.lookUp()
	}
	s.m.push(newSheet(s.m, s.list[i-1]))
	return nil
}

func (s *sumsScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 110), f.Touch)
	row := func(i int, name, about string) {
		d.item(name, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			if f.Shape == paint.Narrow {
				d.text(paint.InkStrong, name)
				if f.Touch {
					d.text(paint.InkQuiet, about)
				}
				return
			}
			const column = 33
			for i, line := range d.look.Wrap(about, d.w-column) {
				if i > 0 {
					name = ""
				}
				d.add(paint.Span{Ink: paint.InkStrong, Text: d.look.Short(name, column-1) + strings.Repeat(" ", max(1, column-paint.TextWidth(name)))}, paint.Span{Ink: paint.InkQuiet, Text: line})
			}
		})
	}
	row(0, "Thread", "drill, holes, heads of a named thread")
	for i, x := range s.list {
		row(i+1, x.Title, x.About)
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}
