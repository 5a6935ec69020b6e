package tui

import (
	"slices"
	"strings"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// verdict is what is to be said about a text that is being typed.
type verdict struct {
	refused bool // it cannot be accepted as it is
	ink     ink
	text    string
}

// choice is an answer that can be picked instead of typed.
type choice struct{ text, about string }

// entry asks for one answer: a value, some words, or one of several choices.
type entry struct {
	m       *model
	name    string   // stands in the head
	ask     string   // the question
	about   []string // what helps to answer it
	word    string   // on the button that accepts
	wanted  string   // the limits of a reading, in one line
	value   bool     // a measured value: only what can stand in one is taken
	units   []string // units the keypad offers
	choices []choice
	only    bool  // nothing but the choices is an answer
	unset   bool  // none of the choices is picked until a key or a finger picks one
	more    []act // what can be done besides answering
	field   field
	judge   func(string) verdict
	accept  func(string) tea.Cmd

	failed string // why the last try to keep it did not work
	fresh  bool   // the text was put there before: the first key replaces it
	pad    bool   // the keypad is drawn
	group  string // letters to choose from after a press on their group
	v      view
	caret  int   // the line of the doc that the cursor is in
	drawn  field // what was typed when last drawn
}

func newEntry(m *model, name, ask string, accept func(string) tea.Cmd) *entry {
	return &entry{m: m, name: name, ask: ask, word: "Keep", accept: accept}
}

func (e *entry) start(text string) {
	e.field.set(text)
	e.fresh = text != ""
	if e.value {
		e.field.only = measured
	}
	for i, c := range e.choices {
		if c.text == text {
			e.v.cur = i
		}
	}
	e.pad = e.m.touch && len(e.choices) == 0 && !e.only
}

func (e *entry) title() string { return e.name }
func (e *entry) typing() bool  { return !e.only }
func (e *entry) wheel(n int)   { e.v.scroll(n) }

func (e *entry) verdict() verdict {
	if e.failed != "" {
		return verdict{ink: inkWrong, text: e.failed}
	}
	if e.judge != nil {
		return e.judge(strings.TrimSpace(e.field.text))
	}
	if strings.TrimSpace(e.field.text) == "" {
		return verdict{refused: true}
	}
	return verdict{}
}

func (e *entry) acts() []act {
	k := e.m.keys
	acts := []act{{key: k.Do, word: e.word, main: true, do: e.keep}}
	if !e.only {
		pad := act{key: key.NewBinding(key.WithKeys("f4"), key.WithHelp("f4", "letters and figures to tap, or not")), word: "Keypad",
			do: func() tea.Cmd { e.pad, e.group = !e.pad, ""; return nil }}
		switch {
		case e.pad && len(e.choices) > 0:
			pad.word = "Answers"
		case e.pad:
			pad.word = "No pad"
		}
		acts = append(acts, pad)
	}
	return append(acts, e.more...)
}

// keep accepts the answer: what was typed, or else the choice the keys are on.
func (e *entry) keep() tea.Cmd {
	text := strings.TrimSpace(e.field.text)
	if e.only && len(e.choices) == 0 { // a plain question: the large button is the answer
		return e.accept("")
	}
	if e.choosing() && (e.only || text == "" || e.fresh) {
		if e.unset {
			e.m.say(inkCaution, "Pick an answer: up and down, or tap it.")
			return nil
		}
		return e.pick(e.v.cur)
	}
	e.failed = ""
	if v := e.verdict(); v.refused {
		if v.text == "" {
			v.text = "Something must stand here first."
		}
		e.m.say(inkCaution, v.text)
		return nil
	}
	return e.accept(text)
}

func (e *entry) choosing() bool { return len(e.choices) > 0 && !e.pad }

func (e *entry) pick(i int) tea.Cmd {
	e.failed = ""
	e.v.cur = i
	e.field.set(e.choices[i].text)
	e.fresh = true
	return e.accept(e.choices[i].text)
}

func (e *entry) key(k tea.KeyMsg) (tea.Cmd, bool) {
	if !e.only {
		text := k.Type == tea.KeyRunes || k.Type == tea.KeySpace
		if e.fresh && (text || k.String() == "backspace") && !k.Alt {
			old := e.field
			e.field.set("")
			if !e.field.key(k) || (text && e.field.text == "") {
				e.field = old // refused: the old text stays
				e.refuse()
				return nil, true
			}
			e.fresh, e.failed = false, ""
			return nil, true
		}
		before := e.field
		if e.field.key(k) {
			if text && e.field.text == before.text {
				e.refuse()
			}
			e.fresh = e.fresh && e.field.text == before.text && k.String() != "left" && k.String() != "right"
			if e.field.text != before.text {
				e.failed = ""
			}
			return nil, true
		}
	}
	if e.choosing() {
		off := e.v.off
		moved := e.m.moves(k, &e.v, len(e.choices))
		if moved && e.unset && !e.v.free { // the first key picks the first answer, or the last
			e.unset = false
			if e.v.off = off; key.Matches(k, e.m.keys.Down) {
				e.v.cur = 0
			} else {
				e.v.cur = len(e.choices) - 1
			}
		}
		return nil, moved
	}
	return nil, false
}

func (e *entry) refuse() {
	if e.value {
		e.m.say(inkCaution, "Only figures, letters and . , / - stand in a value.")
	}
}

// tap puts s at the cursor, as if it had been typed.
func (e *entry) tap(s string) tea.Cmd {
	e.group = ""
	if e.fresh {
		e.field.set("")
		e.fresh = false
	}
	e.failed = ""
	e.field.insert(s)
	return nil
}

func (e *entry) rub() tea.Cmd {
	e.group, e.failed = "", ""
	if e.fresh {
		e.field.set("")
		e.fresh = false
	}
	e.field.erase()
	return nil
}

// unit puts the next of the units behind the figures.
func (e *entry) unit() tea.Cmd {
	figures := strings.TrimRightFunc(e.field.text, func(r rune) bool {
		return !unicode.IsDigit(r) && r != '.' && r != ','
	})
	have := strings.TrimSpace(e.field.text[len(figures):])
	at := slices.Index(e.units, have)
	e.field.set(figures + " " + e.units[(at+1)%len(e.units)])
	e.fresh, e.failed = false, ""
	return nil
}

func (e *entry) draw(f *frame) {
	r := f.body
	r.w = min(r.w, 104) // question and keypad stay together
	if e.pad {
		keys := e.padKeys(f.w)
		if e.value && r.w >= 2*36 { // beside the question
			w := max(5*fingerWide, min(60, r.w/2))
			e.drawPad(f, rect{r.x + r.w - w, r.y, w, r.h}, keys)
			r = r.cut(0, 0, w+3, 0)
		} else {
			if !f.rule.empty() && r.h < 4*fingerTall+6 { // the question takes the place of the rule
				f.wipe(f.rule)
				r = rect{r.x, f.rule.y, r.w, r.y + r.h - f.rule.y}
			}
			wide := r
			if f.w < 60 { // a phone: every cell is needed
				wide.x, wide.w = 0, f.w
			}
			cols := padCols(wide.w, len(keys))
			rows := (len(keys) + cols - 1) / cols
			tall := max(0, min(rows*fingerTall, r.h-3))
			e.drawPad(f, rect{wide.x, r.y + r.h - tall, wide.w, tall}, keys)
			r = r.cut(0, 0, 0, tall)
		}
	}
	d := newDoc(f.look, r.w, f.touch)
	tight := r.h <= 6
	if tight {
		d.add(span{inkStrong, f.look.short(e.ask, r.w)})
		if e.wanted != "" && r.h > 3 {
			d.add(span{inkQuiet, f.look.short(e.wanted, r.w)})
		}
	} else {
		d.blank()
		d.text(inkStrong, e.ask)
		for _, a := range e.about {
			d.text(inkQuiet, a)
		}
		d.blank()
	}
	if e.only && e.failed != "" {
		d.text(inkWrong, e.failed)
	}
	if !e.only {
		e.drawField(d, tight)
		if v := e.verdict(); v.text != "" {
			d.text(v.ink, v.text)
		}
		if !tight {
			d.blank()
		}
	}
	e.v.bare = e.unset || !e.only && !e.fresh && strings.TrimSpace(e.field.text) != ""
	if e.choosing() {
		for i, c := range e.choices {
			d.item(c.text, func() tea.Cmd { return e.pick(i) }, func(d *doc) {
				d.text(inkStrong, c.text)
				if c.about != "" {
					d.text(inkQuiet, c.about)
				}
			})
		}
	}
	if now := (field{text: e.field.text, at: e.field.at}); !e.only && (now.text != e.drawn.text || now.at != e.drawn.at) {
		e.drawn = now
		if len(d.lines) > r.h { // the end of a long text and its cursor stay in sight
			e.v.reveal(e.caret, e.caret+1, len(d.lines), r.h)
		}
	}
	f.show(r, d, &e.v)
}

// drawField draws what is typed: large where it is a figure and there is room.
func (e *entry) drawField(d *doc, tight bool) {
	text := e.field.text
	if e.value && !tight {
		figures, unit := text, ""
		if i := strings.IndexFunc(text, unicode.IsLetter); i > 0 {
			figures, unit = strings.TrimRight(text[:i], " "), text[i:]
		}
		if big := d.look.bigText(figures, d.w-textWidth(unit)-4); big != nil {
			for i, line := range big {
				if i == len(big)-1 {
					line += " " + unit
				}
				d.add(span{inkBrand, line})
			}
		}
	}
	const lead = "› "
	before, after := d.look.clean(text[:e.field.at]), d.look.clean(text[e.field.at:])
	typedInk := inkField
	if e.fresh {
		typedInk = inkQuiet
	}
	// Broken at spaces, but nothing is left out: a space is seen as it is typed.
	type drawn struct {
		r   rune
		pen ink
	}
	var all []drawn
	for _, part := range []struct {
		pen  ink
		text string
	}{{typedInk, before}, {inkBrand, d.look.cursor()}, {typedInk, after}} {
		for _, r := range part.text {
			all = append(all, drawn{r, part.pen})
		}
	}
	w := max(4, d.w-textWidth(lead))
	first := span{inkBrand, d.look.g.here + " "}
	for len(all) > 0 {
		fit, used, space := 0, 0, 0
		for fit < len(all) && used+cellWidth(all[fit].r) <= w {
			used += cellWidth(all[fit].r)
			fit++
			if all[fit-1].r == ' ' {
				space = fit
			}
		}
		if fit < len(all) && space > 0 {
			fit = space
		}
		line := []span{first}
		for _, c := range all[:fit] {
			line = append(line, span{c.pen, string(c.r)})
			if c.pen == inkBrand {
				e.caret = len(d.lines)
			}
		}
		d.add(line...)
		all, first = all[fit:], span{inkPlain, "  "}
	}
}

// padKey is one key of the drawn keypad.
type padKey struct {
	label string
	do    func() tea.Cmd
}

// padCols is how many keys stand in a row: all rows full where that is
// possible, and every key wide enough for a finger.
func padCols(w, keys int) int {
	most := max(1, min(w/fingerWide, 10))
	rows := (keys + most - 1) / most
	return (keys + rows - 1) / max(1, rows)
}

// drawPad draws the keys, all of one height, from the top of r.
func (e *entry) drawPad(f *frame, r rect, keys []padKey) {
	cols := padCols(r.w, len(keys))
	rows := (len(keys) + cols - 1) / cols
	tall := min(5, r.h/rows)
	if tall == 4 { // an odd height has a middle line for the label
		tall = 3
	}
	if tall > 0 {
		r.h = rows * tall
	}
	r.w = r.w / cols * cols
	for i, at := range grid(r, cols, rows) {
		if i >= len(keys) || keys[i].label == "" {
			continue
		}
		if at.h >= fingerTall {
			f.frame(at, inkQuiet, f.look.g.thin)
		}
		f.centre(at.cut(1, 0, 1, 0), inkStrong, keys[i].label)
		f.target(at, keys[i].label, keys[i].do)
	}
}

// padKeys are figures for a value; for words the letters, in groups where
// there is no room for 26 keys that a finger hits: one press opens the group,
// the next takes the letter.
func (e *entry) padKeys(w int) []padKey {
	typed := func(s string) padKey { return padKey{s, func() tea.Cmd { return e.tap(s) }} }
	rub := padKey{"Rub out", e.rub}
	if w < 60 {
		rub.label = "Rub"
	}
	space := padKey{"Space", func() tea.Cmd { return e.tap(" ") }}
	if e.value {
		var keys []padKey
		for _, s := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "0", "."} {
			keys = append(keys, typed(s))
		}
		// Fractions are of inches, below nought are degrees and differences.
		fractions := slices.Contains(e.units, "in")
		if fractions || len(e.units) == 0 {
			keys = append(keys, typed("/"))
		}
		if !fractions || len(e.units) == 0 {
			keys = append(keys, typed("-"))
		}
		keys = append(keys, space, rub)
		if len(e.units) > 0 {
			keys = append(keys, padKey{"Unit", e.unit})
		}
		return keys
	}
	letters := func(group string) (keys []padKey) {
		for _, r := range group {
			s := string(r)
			if at := strings.TrimRight(e.field.text[:e.field.at], " "); !e.fresh && at != "" && at == e.field.text[:e.field.at] {
				s = strings.ToLower(s)
			}
			keys = append(keys, typed(s))
		}
		return keys
	}
	if e.group != "" {
		return append(letters(e.group), padKey{"Other", func() tea.Cmd { e.group = ""; return nil }})
	}
	open := func(label, group string) padKey {
		return padKey{label, func() tea.Cmd { e.group = group; return nil }}
	}
	figures := open("0 to 9", "0123456789")
	if w >= 76 {
		return append(letters("ABCDEFGHIJKLMNOPQRSTUVWXYZ.-'"), figures, space, rub)
	}
	var keys []padKey
	for _, group := range []string{"ABC", "DEF", "GHI", "JKL", "MNO", "PQR", "STU", "VWX", "YZ.-'"} {
		keys = append(keys, open(group, group))
	}
	return append(keys, figures, space, rub)
}
