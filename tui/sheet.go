package tui

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// sum is one thing that can be worked out at the bench: what it asks, and what
// comes out of the answers.
type sum struct {
	name  string
	about string
	asks  []question
	// work draws what comes out into the doc and answers with it in one line.
	// It asks for every figure through the answers, which note what is wrong.
	work func(a *answers, d *doc) (headline string, err error)
}

// question is one figure or word a sum needs.
type question struct {
	name    string
	ask     string
	brief   string // the same where a row has too little room; empty where ask is short
	kind    string // length, altitude, pressure, air, temperature, volume, angle, count, number, span, thread, counts, name, or a kind of word
	usual   string // the answer that stands there at first
	choices []string
	listed  []choice // answers with what each means, offered on a screen of their own
	needed  bool
}

// short is the question in few words.
func (q question) short() string {
	if q.brief != "" {
		return q.brief
	}
	return q.ask
}

// answers are what was typed, read as what it means. The first answer that
// cannot be read is kept as the error of the question.
type answers struct {
	asks  []question
	text  map[string]string
	wrong map[string]error
	gaps  []question       // needed and empty
	found []threads.Thread // what fits, for a look-up
	// sources asks for where the figures come from.
	sources bool
}

func newAnswers(asks []question, text map[string]string) *answers {
	a := &answers{asks: asks, text: text, wrong: map[string]error{}}
	for _, q := range asks {
		if q.needed && a.get(q.name) == "" {
			a.gaps = append(a.gaps, q)
		}
		a.check(q)
	}
	return a
}

// check reads an answer for its kind alone, so that a figure that is none is
// told at once, whatever else is still missing.
func (a *answers) check(q question) {
	switch q.kind {
	case "length", "altitude":
		read(a, q.name, quantity.ParseLength)
	case "pressure":
		a.pressure(q.name)
	case "air":
		read(a, q.name, quantity.ParseAbsolutePressure)
	case "temperature":
		a.temperature(q.name)
	case "volume":
		read(a, q.name, quantity.ParseVolume)
	case "angle":
		read(a, q.name, quantity.ParseAngle)
	case "span":
		read(a, q.name, quantity.ParseSpan)
	case "number":
		a.number(q.name)
	case "count":
		a.count(q.name)
	case "thread":
		a.thread(q.name)
	}
}

func (a *answers) get(name string) string { return strings.TrimSpace(a.text[name]) }

func (a *answers) bad() bool { return len(a.wrong) > 0 }

// ready reports whether every answer that is needed is there and can be read.
func (a *answers) ready() bool { return len(a.gaps) == 0 && !a.bad() }

// read reads one answer; the zero value stands for an empty one.
func read[T any](a *answers, name string, parse func(string) (T, error)) (v T) {
	text := a.get(name)
	if text == "" {
		return v
	}
	v, err := parse(text)
	if err != nil && a.wrong[name] == nil {
		a.wrong[name] = err
	}
	return v
}

// length is a size: above nought.
func (a *answers) length(name string) quantity.Length {
	return read(a, name, func(s string) (quantity.Length, error) {
		l, err := quantity.ParseLength(s)
		if err == nil && !(l > 0) {
			err = errors.New("a length above nought is expected")
		}
		return l, err
	})
}

func (a *answers) pressure(name string) quantity.Pressure {
	return read(a, name, quantity.ParsePressure)
}

func (a *answers) temperature(name string) quantity.Temperature {
	return read(a, name, quantity.ParseTemperature)
}

func (a *answers) thread(name string) threads.Thread { return read(a, name, threads.Parse) }

func (a *answers) count(name string) int {
	return read(a, name, func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < 0 || n > 100000 {
			return 0, errors.New("a whole number is expected, such as 6")
		}
		return n, nil
	})
}

func (a *answers) number(name string) float64 {
	return read(a, name, func(s string) (float64, error) {
		v, err := strconv.ParseFloat(strings.ReplaceAll(s, ",", "."), 64)
		if err != nil || v != v || v > 1e9 || v < -1e9 {
			return 0, errors.New("a number is expected, such as 0.12")
		}
		return v, nil
	})
}

// sheet asks the questions of a sum and shows what comes out while they are
// being answered.
type sheet struct {
	m       *model
	sum     sum
	text    map[string]string
	field   field
	fresh   bool // the answer stood there before: the first key replaces it
	v, rv   view
	results bool // narrow: what comes out fills the screen
	sources bool
	found   []threads.Thread // what fits, as last drawn
}

func newSheet(m *model, s sum) *sheet {
	if m.answered == nil {
		m.answered = map[string]map[string]string{}
	}
	text := m.answered[s.name]
	if text == nil { // the answers of before stand there again
		text = map[string]string{}
		for _, q := range s.asks {
			text[q.name] = q.usual
			if have := m.known(q); have != "" {
				text[q.name] = have
			}
		}
		m.answered[s.name] = text
	}
	sh := &sheet{m: m, sum: s, text: text}
	sh.turnTo(0)
	return sh
}

// known is what the open step says about a question: the thread it works on.
func (m *model) known(q question) string {
	if m.work == nil || q.kind != "thread" {
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

func (s *sheet) title() string { return s.sum.name }
func (s *sheet) typing() bool  { return true }
func (s *sheet) wheel(n int)   { s.out().scroll(n) }

// out is the window that scrolls: what comes out where it has a place of its own.
func (s *sheet) out() *view {
	if s.m.shape() > narrow || s.results {
		return &s.rv
	}
	return &s.v
}

// turnTo puts the keys on a question.
func (s *sheet) turnTo(i int) {
	s.v.cur, s.v.free = max(0, min(len(s.sum.asks)-1, i)), false
	q := s.question()
	s.field.only = nil
	s.field.set(s.text[q.name])
	s.fresh = s.field.text != ""
}

func (s *sheet) question() question { return s.sum.asks[s.v.cur] }

func (s *sheet) acts() []act {
	k := s.m.keys
	bind := func(keys, help string) key.Binding {
		return key.NewBinding(key.WithKeys(keys), key.WithHelp(keys, help))
	}
	main := act{key: k.Do, word: "Next", main: true, do: func() tea.Cmd { s.turnTo((s.v.cur + 1) % len(s.sum.asks)); return nil }}
	switch {
	case s.m.shape() > narrow:
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
			for _, q := range s.sum.asks {
				s.text[q.name] = q.usual
			}
			s.turnTo(0)
			return nil
		}})
}

// complete tells whether every needed question has an answer.
func (s *sheet) complete() bool { return len(newAnswers(s.sum.asks, s.text).gaps) == 0 }

// open asks the question the keys are on on a screen of its own: choices to
// tap, or a keypad.
func (s *sheet) open() tea.Cmd {
	q := s.question()
	e := newEntry(s.m, s.sum.name, q.ask, nil)
	e.accept = func(text string) tea.Cmd {
		s.m.drop(e)
		return s.answer(text)
	}
	e.judge = func(text string) verdict {
		if err := s.complaint(q, text); err != nil {
			return verdict{refused: true, ink: inkWrong, text: err.Error()}
		}
		return verdict{}
	}
	e.live = func(text string) verdict { return s.headline(q, text) }
	e.choices = slices.Clone(q.listed)
	for _, c := range q.choices {
		e.choices = append(e.choices, choice{text: c})
	}
	e.only = len(e.choices) > 0
	e.open = !q.needed
	switch {
	case e.only:
	case q.kind == "thread":
		e.thread = true
	case q.kind == "name":
		e.named = true
		e.offer(s.m.people())
	case q.kind == "counts":
		e.sheet = figureSheet
	case q.kind != "words":
		e.value, e.units = true, unitsOf(q.kind)
	}
	e.start(s.text[q.name])
	s.m.push(e)
	return nil
}

func (s *sheet) answer(text string) tea.Cmd {
	s.text[s.question().name] = text
	s.turnTo(s.v.cur + 1)
	return nil
}

// complaint is what is wrong with one answer, all others left out.
func (s *sheet) complaint(q question, text string) error {
	a := s.with(q, text)
	_, _ = s.sum.work(a, newDoc(s.m.look, 40, false)) // only the reading of the answer matters
	return a.wrong[q.name]
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
	if len(q.choices) > 0 {
		at := slices.Index(q.choices, s.text[q.name])
		switch k.String() {
		case "left":
			s.text[q.name] = q.choices[(max(at, 0)+len(q.choices)-1)%len(q.choices)]
		case "right":
			s.text[q.name] = q.choices[(at+1)%len(q.choices)]
		case "backspace", "delete":
			s.text[q.name] = ""
		default:
			if k.Type != tea.KeyRunes || len(k.Runes) == 0 {
				return false
			}
			for i := range q.choices {
				c := q.choices[(at+1+i+len(q.choices))%len(q.choices)]
				if strings.HasPrefix(strings.ToLower(c), strings.ToLower(string(k.Runes))) {
					s.text[q.name] = c
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
	s.text[q.name] = s.field.text
	return true
}

func (s *sheet) draw(f *frame) {
	a := newAnswers(s.sum.asks, s.text)
	a.sources = s.sources
	outW := f.body.w
	left := f.body
	if f.shape > narrow {
		left.w = min(f.body.w*9/20, 60)
		outW = min(f.body.w-left.w-3, 72)
	}
	out := newDoc(f.look, outW, f.touch)
	headline, err := s.sum.work(a, out)
	s.found = a.found
	switch {
	case len(a.gaps) > 0:
		out = newDoc(f.look, outW, f.touch)
		out.text(inkQuiet, s.sum.about)
		out.blank()
		out.text(inkBrand, "Still needed")
		for _, g := range a.gaps {
			out.indented(f.look.g.todo+" ", "  ", inkPlain, g.ask)
		}
	case a.bad():
		out = newDoc(f.look, outW, f.touch)
		for _, q := range s.sum.asks {
			if e := a.wrong[q.name]; e != nil {
				out.text(inkPlain, q.ask)
				out.indented(f.look.g.warn+" ", "  ", inkWrong, e.Error())
				out.blank()
			}
		}
	case err != nil:
		out = newDoc(f.look, outW, f.touch)
		out.callout(inkWarning, inkWrong, "CANNOT BE WORKED OUT", []string{err.Error()})
	}

	asks := newDoc(f.look, left.w, f.touch)
	for i, q := range s.sum.asks {
		asks.item(q.name, func() tea.Cmd { s.turnTo(i); return s.open() }, func(d *doc) { s.drawQuestion(d, q, i == s.v.cur, a) })
	}
	if f.shape > narrow {
		f.show(left, asks, &s.v)
		for y := range f.body.h {
			f.put(f.body, point{left.x + left.w + 1, f.body.y + y}, inkQuiet, f.look.g.thin.down)
		}
		f.show(rect{left.x + left.w + 3, f.body.y, outW, f.body.h}, out, &s.rv)
		return
	}
	body := f.body
	if !f.rule.empty() { // what comes out stands in sight while the questions are answered
		body = f.ruled(a.headline(headline, err), body)
	}
	if s.results {
		f.show(body, out, &s.rv)
		return
	}
	f.show(body, asks, &s.v)
}

// headline is what comes out of the answers in one line, or why nothing does.
func (a *answers) headline(text string, err error) verdict {
	switch {
	case len(a.gaps) > 0:
		return verdict{ink: inkQuiet, text: "still needed: " + a.gaps[0].short()}
	case a.bad():
		return verdict{ink: inkQuiet, text: "an answer cannot be read"}
	case err != nil:
		return verdict{ink: inkQuiet, text: err.Error()}
	}
	return verdict{ink: inkBrand, text: text}
}

// headline is what would come out with another answer to one question.
func (s *sheet) headline(q question, text string) verdict {
	a := s.with(q, text)
	return a.headline(s.sum.work(a, newDoc(s.m.look, 40, false)))
}

// with are the answers with another one to one question.
func (s *sheet) with(q question, text string) *answers {
	all := maps.Clone(s.text)
	all[q.name] = text
	return newAnswers(s.sum.asks, all)
}

func (s *sheet) drawQuestion(d *doc, q question, here bool, a *answers) {
	text := s.text[q.name]
	k := inkStrong
	switch {
	case here && len(q.choices) == 0 && !s.fresh:
		text = s.field.text[:s.field.at] + d.look.cursor() + s.field.text[s.field.at:]
		k = inkBrand
	case here && len(q.choices) > 0:
		if text == "" {
			text = "-"
		}
		text = d.look.g.left + " " + text + " " + d.look.g.right
		k = inkBrand
	case text == "" && q.needed:
		text = "needed"
		k = inkWrong
	case text == "":
		text = "-"
		k = inkQuiet
	}
	ask := q.ask
	if textWidth(d.look.clean(ask))+textWidth(d.look.clean(text))+2 > d.w {
		ask = q.short()
	}
	d.pair(ask, k, text)
	if err := a.wrong[q.name]; err != nil {
		d.text(inkWrong, d.look.g.warn+" "+err.Error())
	}
}

// sumsScreen lists what can be looked up and worked out.
type sumsScreen struct {
	m    *model
	list []sum
	v    view
}

func (m *model) sums() tea.Cmd {
	m.push(&sumsScreen{m: m, list: allSums(m)})
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
	d := newDoc(f.look, min(f.body.w, 110), f.touch)
	row := func(i int, name, about string) {
		d.item(name, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			if f.shape == narrow {
				d.text(inkStrong, name)
				if f.touch {
					d.text(inkQuiet, about)
				}
				return
			}
			const column = 33
			for i, line := range d.look.wrap(about, d.w-column) {
				if i > 0 {
					name = ""
				}
				d.add(span{inkStrong, d.look.short(name, column-1) + strings.Repeat(" ", max(1, column-textWidth(name)))}, span{inkQuiet, line})
			}
		})
	}
	row(0, "Thread", "drill, holes, heads of a named thread")
	for i, x := range s.list {
		row(i+1, x.name, x.about)
	}
	f.show(rect{f.body.x, f.body.y, d.w, f.body.h}, d, &s.v)
}

// findings draws results of checks, the gravest first, each under its word.
func (d *doc) findings(list []check.Result, sources bool) {
	for _, g := range check.GravestFirst(list) {
		if g.Message != check.Deference { // stands at the end of every sum
			d.finding(string(g.Severity), g.Message, g.Source, sources)
		}
	}
}

func (d *doc) finding(severity, message, source string, sources bool) {
	d.blank()
	label, edge := inkNote, inkQuiet
	switch severity {
	case "stop", "warning":
		label, edge = inkWarning, inkWrong
	case "warn":
		label, edge = inkCaution, inkBrand
	}
	paras := []string{message}
	d.callout(label, edge, strings.ToUpper(severity), paras)
	if sources && source != "" {
		d.indented("  ", "  ", inkQuiet, source)
	}
}

// large draws a figure in big characters with its unit, or in strong text
// where they do not fit.
func (d *doc) large(figures, unit string) {
	big := d.look.bigText(figures, d.w-textWidth(unit)-2)
	if big == nil {
		d.text(inkStrong, strings.TrimSpace(figures+" "+unit))
		return
	}
	for i, line := range big {
		if i == len(big)-1 {
			d.add(span{inkBrand, line}, span{inkStrong, " " + unit})
			continue
		}
		d.add(span{inkBrand, line})
	}
}

func sig(v float64, digits int) string { return fmt.Sprintf("%.*g", digits, v) }
