package tui

import (
	"fettle/tui/paint"
	"slices"
	"strings"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// verdict is what is to be said about a text that is being typed.
type verdict struct {
	refused bool // it cannot be accepted as it is
	ink     paint.Ink
	text    string
}

// choice is an answer that can be picked instead of typed.
type choice struct{ text, about string }

// narrowFrom is how many answers there are before typing narrows them.
const narrowFrom = 10

// entry asks for one answer: a value, some words, one of several choices, or a
// thread.
type entry struct {
	m       *model
	name    string   // stands in the head
	ask     string   // the question
	about   []string // what helps to answer it
	word    string   // on the button that accepts
	wanted  string   // the limits of a reading, in one line
	value   bool     // a measured value: only what can stand in one is taken
	units   []string // units the keypad offers
	several bool     // several figures, with ; between them
	choices []choice
	only    bool  // nothing but the choices is an answer
	unset   bool  // none of the choices is picked until a key or a finger picks one
	named   bool  // the answer is a name: its words begin with capitals
	thread  bool  // the answer is a thread, picked by family and size or typed
	likely  bool  // the thread may be marked as only probable
	open    bool  // it may be left without an answer, by a key and a button of its own
	more    []act // what can be done besides answering
	field   field
	judge   func(string) verdict
	accept  func(string) tea.Cmd
	// live, where it is set, is what comes out with this answer; it stands
	// above the question.
	live func(string) verdict

	picker  *lookupScreen // asks for the thread
	spell   bool          // fingers find the keypad first
	first   string        // what stood there when it was asked
	failed  string        // why the last try to keep it did not work
	fresh   bool          // the text was put there before: the first key replaces it
	picked  bool          // the keys have gone from what is typed to the choices
	emptied bool          // the line was emptied, to be kept so
	pad     bool          // the keypad is drawn
	sheet   int           // which of the keypad's sheets
	v       view
	tray    tray
	inTray  bool  // the choices are drawn as a tray
	caret   int   // the line of the doc that the cursor is in
	drawn   field // what was typed when last drawn
}

func newEntry(m *model, name, ask string, accept func(string) tea.Cmd) *entry {
	return &entry{m: m, name: name, ask: ask, word: "Keep", accept: accept}
}

// offer puts answers beside what can be typed, none of them picked.
func (e *entry) offer(words []string) {
	for _, w := range words {
		e.choices = append(e.choices, choice{text: w})
	}
	e.unset = len(e.choices) > 0
}

// words tells whether the answer is in the person's own words.
func (e *entry) words() bool { return !e.only && !e.value && !e.thread }

// same is the question without its numbers: what was answered at one step can
// be said again at another.
func (e *entry) same() string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return -1
		}
		return r
	}, e.ask)
}

func (e *entry) start(text string) {
	spell := e.words() && len(e.choices) == 0 // what was said before does not come before the letters
	if spell {
		e.offer(e.m.said[e.same()])
	}
	e.field.set(text)
	e.first, e.fresh = text, text != ""
	if e.value && e.field.only == nil {
		e.field.only = measured
	}
	if e.thread {
		e.picker = newPicker(e)
		return
	}
	for i, c := range e.choices {
		if c.text == text {
			e.v.cur = i
		}
	}
	e.spell = spell || e.value && len(e.choices) == 0
	if e.m.touch {
		e.fingers()
	}
}

// fingers gets the question ready for taps.
func (e *entry) fingers() { e.pad = e.spell }

// saidKept is how many answers to one question are offered again.
const saidKept = 6

// remember keeps an answer in a person's own words, the latest first, as long
// as the program runs.
func (m *model) remember(ask, text string) {
	if m.said == nil {
		m.said = map[string][]string{}
	}
	rest := slices.DeleteFunc(m.said[ask], func(s string) bool { return s == text })
	m.said[ask] = slices.Insert(rest, 0, text)[:min(saidKept, len(rest)+1)]
}

func (e *entry) title() string {
	if e.thread {
		return e.ask
	}
	return e.name
}

// typing holds also where answers are only picked: a letter goes to one of them,
// and does nothing else there.
func (e *entry) typing() bool { return !e.only || len(e.choices) > 0 }

// yesOrNo are the answers to a question of yes and no; false for any other.
func (e *entry) yesOrNo() (yes, no int, ok bool) {
	begins := func(i int, word string) bool {
		text := strings.ToLower(e.choices[i].text)
		return text == word || strings.HasPrefix(text, word+",")
	}
	if !e.only || len(e.choices) != 2 {
		return 0, 0, false
	}
	for i := range e.choices {
		if begins(i, "yes") && begins(1-i, "no") {
			return i, 1 - i, true
		}
	}
	return 0, 0, false
}

// gives tells whether k answers the question by itself.
func (e *entry) gives(k tea.KeyMsg) bool {
	_, _, ok := e.yesOrNo()
	return ok && !k.Alt && (k.String() == "y" || k.String() == "n")
}
func (e *entry) wheel(n int) {
	switch {
	case e.thread:
		e.picker.wheel(n)
	case e.inTray && e.choosing():
		e.tray.scroll(n)
	default:
		e.v.scroll(n)
	}
}

// narrows tells whether typing narrows the only answers there are.
func (e *entry) narrows() bool { return e.only && len(e.choices) >= narrowFrom }

// offered are the choices that go with what is typed: those that begin with
// it, then those that hold it.
func (e *entry) offered() []int {
	text := strings.ToLower(strings.TrimSpace(e.field.text))
	if e.fresh || e.only && !e.narrows() {
		text = ""
	}
	var begin, within []int
	for i, c := range e.choices {
		switch low := strings.ToLower(c.text + " " + c.about); {
		case strings.HasPrefix(low, text):
			begin = append(begin, i)
		case strings.Contains(low, text):
			within = append(within, i)
		}
	}
	return append(begin, within...)
}

// now is the answer as it stands: the choice the keys are on, or what is typed.
func (e *entry) now() string {
	if list := e.offered(); e.only && !e.unset && e.v.cur < len(list) {
		return e.choices[list[e.v.cur]].text
	}
	return strings.TrimSpace(e.field.text)
}

// narrowed follows a change of what is typed.
func (e *entry) narrowed() {
	e.picked, e.emptied, e.v.cur, e.v.free, e.tray.free = false, false, 0, false, false
	if e.narrows() {
		e.unset = false // what is typed picks
	}
}

func (e *entry) verdict() verdict {
	if e.failed != "" {
		return verdict{ink: paint.InkWrong, text: e.failed}
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
	var acts []act
	main := act{key: k.Do, word: e.word, main: true, do: e.keep}
	blank := e.emptied && !e.picked && (!e.thread || e.picker.families())
	if blank {
		main.word, main.do = "Leave empty", func() tea.Cmd { return e.accept("") }
	}
	switch {
	case e.thread && blank:
		acts = append([]act{main}, e.picker.acts()[1:]...)
	case e.thread:
		acts = e.picker.acts()
	default:
		acts = []act{main}
	}
	if (!e.only || e.narrows()) && !e.thread {
		pad := act{key: key.NewBinding(key.WithKeys("f4"), key.WithHelp("f4", "letters and figures to tap, or not")), word: "Keypad",
			do: func() tea.Cmd { e.pad, e.sheet = !e.pad, 0; return nil }}
		switch {
		case e.pad && len(e.choices) > 0:
			pad.word = "List"
		case e.pad:
			pad.word = "No pad"
		}
		acts = append(acts, pad)
	}
	if e.open {
		acts = append(acts, act{key: key.NewBinding(key.WithKeys("ctrl+k"), key.WithHelp("ctrl+k", "empty the line; kept so, it is left without an answer")), word: "Empty",
			do: e.empty})
	}
	return append(acts, e.more...)
}

// empty takes away what stands there, and the choice the keys are on. The
// question stays.
func (e *entry) empty() tea.Cmd {
	e.field.set("")
	e.fresh, e.failed = false, ""
	e.narrowed()
	e.emptied = true
	if e.thread {
		return e.picker.again()
	}
	return nil
}

// keep accepts the answer: what was typed, or else the choice the keys are on.
func (e *entry) keep() tea.Cmd {
	text := strings.TrimSpace(e.field.text)
	if e.only && len(e.choices) == 0 { // a plain question: the large button is the answer
		return e.accept("")
	}
	stands := e.unset && e.fresh && text != "" && !e.only // what was put there before, and no choice in its place
	if e.only || e.choosing() && (text == "" || e.fresh || e.picked) && !stands {
		list := e.offered()
		switch {
		case e.unset:
			e.m.say(paint.InkCaution, "Pick an answer: by arrows, or tap it.")
			return nil
		case len(list) == 0:
			e.m.say(paint.InkCaution, "No answer holds these letters.")
			return nil
		}
		return e.pick(list[max(0, min(len(list)-1, e.v.cur))])
	}
	e.failed = ""
	if v := e.verdict(); v.refused {
		if v.text == "" {
			v.text = "Something must stand here first."
		}
		if paint.TextWidth(v.text)+2 > e.m.w && !(e.pad && e.words()) { // it stands below the answer in full
			v.text = "It cannot be kept as it is."
		}
		e.m.say(paint.InkCaution, v.text)
		return nil
	}
	if e.words() && text != "" {
		e.m.remember(e.same(), text)
	}
	return e.accept(text)
}

func (e *entry) choosing() bool { return len(e.choices) > 0 && !e.pad }

// pick answers with choice i.
func (e *entry) pick(i int) tea.Cmd {
	e.failed, e.picked = "", false
	e.field.set(e.choices[i].text)
	e.fresh, e.v.cur = true, i
	return e.accept(e.choices[i].text)
}

// takeBack puts back what stood there before anything was typed.
func (e *entry) takeBack() {
	if e.thread || e.field.text == e.first {
		e.m.say(paint.InkQuiet, "Nothing was typed here. Back leaves the question.")
		return
	}
	e.field.set(e.first)
	e.fresh, e.failed = e.first != "", ""
	e.narrowed()
}

func (e *entry) key(k tea.KeyMsg) (tea.Cmd, bool) {
	if e.thread {
		e.emptied = false
		return e.picker.key(k)
	}
	text := k.Type == tea.KeyRunes || k.Type == tea.KeySpace
	if e.only && !e.narrows() {
		return e.pointTo(k)
	}
	if e.choosing() && !text && e.move(k) {
		return nil, true
	}
	if e.fresh && len(e.units) > 0 && e.bareFigure() && (k.Type == tea.KeySpace || text && unicode.IsLetter(k.Runes[0])) && !k.Alt && !k.Paste {
		e.fresh = false // a unit for the figure that stands there
	}
	if e.fresh && (text || k.String() == "backspace") && !k.Alt {
		old := e.field
		e.field.set("")
		if !e.field.key(k) || (text && e.field.text == "") {
			e.field = old // refused: the old text stays
			e.refuse()
			return nil, true
		}
		e.fresh, e.failed = false, ""
		e.narrowed()
		return nil, true
	}
	before := e.field
	if !e.field.key(k) {
		return nil, false
	}
	if text && e.field.text == before.text {
		e.refuse()
	}
	e.fresh = e.fresh && e.field.text == before.text && k.String() != "left" && k.String() != "right"
	if e.field.text != before.text {
		e.failed = ""
		e.narrowed()
	}
	return nil, true
}

// pointTo takes a key where answers are only picked: a letter or a figure goes
// to the next answer that begins with it, y and n answer yes and no.
func (e *entry) pointTo(k tea.KeyMsg) (tea.Cmd, bool) {
	if len(e.choices) == 0 {
		return nil, false
	}
	if k.Paste {
		e.m.say(paint.InkQuiet, "Nothing to paste into here.")
		return nil, true
	}
	if yes, no, ok := e.yesOrNo(); ok && e.gives(k) {
		if k.String() == "y" {
			return e.pick(yes), true
		}
		return e.pick(no), true
	}
	letter := ""
	if k.Type == tea.KeyRunes && !k.Alt {
		letter = strings.ToLower(string(k.Runes))
	}
	from := e.v.cur
	if e.unset {
		from = -1
	}
	for n := range e.choices {
		i := (from + 1 + n) % len(e.choices)
		if letter != "" && strings.HasPrefix(strings.ToLower(e.choices[i].text), letter) {
			e.v.cur, e.v.free, e.unset, e.picked = i, false, false, true
			e.tray.free = false
			return nil, true
		}
	}
	if e.move(k) {
		return nil, true
	}
	if letter != "" {
		e.m.say(paint.InkQuiet, "No answer begins with "+letter+".")
	}
	return nil, letter != ""
}

// bareFigure tells whether a figure stands there without a unit.
func (e *entry) bareFigure() bool {
	text := strings.TrimSpace(e.field.text)
	return text != "" && unicode.IsDigit(rune(text[len(text)-1]))
}

// move takes a key that goes among the choices.
func (e *entry) move(k tea.KeyMsg) bool {
	n := len(e.offered())
	written := !e.only && !e.fresh && !e.picked && strings.TrimSpace(e.field.text) != ""
	switch k.String() {
	case "left", "right", "home", "end", "tab", "shift+tab": // the field's where there is one, and no columns
		if written || !e.only && !e.inTray {
			return false
		}
	}
	if n == 0 {
		return false
	}
	if e.inTray {
		e.tray.cur = e.v.cur
		if !e.tray.key(k, e.m.keys, n) {
			return false
		}
		e.v.cur, e.unset, e.picked = e.tray.cur, false, true
		return true
	}
	off := e.v.off
	if !e.m.moves(k, &e.v, n) {
		return false
	}
	if (e.unset || written) && !e.v.free { // the first key picks the first answer, or the last
		e.unset = false
		if e.v.off = off; key.Matches(k, e.m.keys.Down) {
			e.v.cur = 0
		} else {
			e.v.cur = n - 1
		}
	}
	e.picked = e.picked || !e.v.free
	return true
}

func (e *entry) refuse() {
	if e.value {
		e.m.say(paint.InkCaution, "Only figures, letters and . , : / - stand in a value.")
	}
}

// tap puts s at the cursor, as if it had been typed.
func (e *entry) tap(s string) tea.Cmd {
	if e.fresh {
		e.field.set("")
		e.fresh = false
	}
	e.picked, e.failed = false, ""
	e.field.insert(s)
	e.narrowed()
	return nil
}

func (e *entry) rub() tea.Cmd {
	e.failed = ""
	if e.fresh {
		e.field.set("")
		e.fresh = false
	}
	e.field.erase()
	e.narrowed()
	return nil
}

func (e *entry) draw(f *frame) {
	if e.thread {
		e.picker.draw(f)
		return
	}
	r := f.Body
	if e.live != nil && !f.Rule.Empty() { // what comes out stands in sight while the answer changes
		if v := e.live(e.now()); e.pad { // which needs every row
			f.ruled(v, paint.Rect{})
		} else {
			r = f.ruled(v, r)
		}
	}
	r.W = min(r.W, 104) // question and keypad stay together
	if e.pad {
		r = e.placePad(f, r)
	}
	d := newDoc(f.Look, r.W, f.Touch)
	tight := r.H <= 6
	close := tight || f.Touch && e.narrows() && r.H < 8*paint.FingerTall || e.pad && len(e.choices) > 0 // every row is wanted for the choices
	if tight {
		d.add(paint.Span{Ink: paint.InkStrong, Text: f.Look.Short(e.ask, r.W)})
		if e.wanted != "" && r.H > 3 {
			d.add(paint.Span{Ink: paint.InkQuiet, Text: f.Look.Short(e.wanted, r.W)})
		}
	} else {
		d.text(paint.InkStrong, e.ask)
		for _, a := range e.about {
			d.text(paint.InkQuiet, a)
		}
		if _, _, ok := e.yesOrNo(); ok && !f.Touch {
			d.text(paint.InkQuiet, "y or n answers at once.")
		}
		if !close {
			d.blank()
		}
	}
	if e.only && e.failed != "" {
		d.text(paint.InkWrong, e.failed)
	}
	if !e.only || e.narrows() {
		e.drawField(d, tight)
		if v := e.verdict(); v.text != "" && !e.only {
			d.text(v.ink, v.text)
		}
		if !close {
			d.blank()
		}
	}
	bare := e.unset || e.emptied && !e.picked || !e.only && !e.fresh && !e.picked && strings.TrimSpace(e.field.text) != ""
	e.v.bare, e.inTray = bare, false
	list := e.offered()
	if e.choosing() || e.pad && len(e.choices) > 0 {
		if e.inTray = e.trayed(f, d, r, list); e.inTray {
			e.drawTray(f, d, r, list, bare)
			return
		}
	}
	if e.choosing() {
		for _, i := range list {
			c := e.choices[i]
			d.item(c.text, func() tea.Cmd { return e.pick(i) }, func(d *doc) {
				d.text(paint.InkStrong, c.text)
				if c.about != "" {
					d.text(paint.InkQuiet, c.about)
				}
			})
		}
		if len(list) == 0 && e.only {
			d.text(paint.InkQuiet, "No answer holds these letters.")
		}
	}
	if now := (field{text: e.field.text, at: e.field.at}); !e.only && (now.text != e.drawn.text || now.at != e.drawn.at) {
		e.drawn = now
		if len(d.lines) > r.H { // the end of a long text and its cursor stay in sight
			e.v.reveal(e.caret, e.caret+1, len(d.lines), r.H)
		}
	}
	f.show(r, d, &e.v)
}

// placePad draws the keypad beside the question or below it, and gives what is
// left of r.
func (e *entry) placePad(f *frame, r paint.Rect) paint.Rect {
	if e.value && r.W >= 2*36 { // beside the question
		w := max(5*paint.FingerWide, min(60, r.W/2))
		e.drawPad(f, paint.Rect{X: r.X + r.W - w, Y: r.Y, W: w, H: r.H}, e.padKeys(w, r.H/paint.FingerTall))
		return r.Cut(0, 0, w+3, 0)
	}
	if !f.Rule.Empty() && e.live == nil && r.H < 4*paint.FingerTall+6 { // the question takes the place of the rule
		f.Wipe(f.Rule)
		r = paint.Rect{X: r.X, Y: f.Rule.Y, W: r.W, H: r.Y + r.H - f.Rule.Y}
	}
	wide := r
	if f.W < 60 { // a phone: every cell is needed
		wide.X, wide.W = 0, f.W
	}
	left := 3 // for the question, the answer and what is to be said about it
	if !e.value {
		left = 2
	}
	keys := e.padKeys(wide.W, (r.H-left)/paint.FingerTall)
	cols := padCols(wide.W, len(keys))
	rows := (len(keys) + cols - 1) / cols
	tall := max(0, min(rows*paint.FingerTall, r.H-left))
	e.drawPad(f, paint.Rect{X: wide.X, Y: r.Y + r.H - tall, W: wide.W, H: tall}, keys)
	return r.Cut(0, 0, 0, tall)
}

// trayed tells whether the choices make a tray: more than the rest of r shows
// below what stands above them, and each of a few words. Beside a pad there is
// room for nothing else.
func (e *entry) trayed(f *frame, d *doc, r paint.Rect, list []int) bool {
	each := 1
	if f.Touch {
		each = paint.FingerTall
	}
	left := r.H - len(d.lines)
	if left < each || len(list) == 0 {
		return false
	}
	for _, i := range list {
		if e.choices[i].about != "" || paint.TextWidth(e.choices[i].text)+4 > r.W {
			return false
		}
	}
	return e.pad || len(list)*each > left
}

func (e *entry) drawTray(f *frame, d *doc, r paint.Rect, list []int, bare bool) {
	tiles := make([]tile, len(list))
	for n, i := range list {
		tiles[n] = tile{name: e.choices[i].text, do: func() tea.Cmd { return e.pick(i) }}
	}
	top := len(d.lines)
	f.show(paint.Rect{X: r.X, Y: r.Y, W: r.W, H: top}, d, &view{})
	low := r.Cut(0, top, 0, 0)
	if f.Touch && f.W < 60 {
		low.X, low.W = 0, f.W
	}
	e.tray.cur, e.tray.none = e.v.cur, bare
	f.tray(low, &e.tray, tiles, false)
}

// drawField draws what is typed: large where it is a figure and there is room.
func (e *entry) drawField(d *doc, tight bool) {
	text := e.field.text
	if e.narrows() && (e.fresh || text == "") {
		d.add(paint.Span{Ink: paint.InkBrand, Text: d.look.G.Here + " "}, paint.Span{Ink: paint.InkQuiet, Text: "letters typed narrow the list"})
		return
	}
	if e.value && !tight {
		figures, unit := text, ""
		if i := strings.IndexFunc(text, unicode.IsLetter); i > 0 {
			figures, unit = strings.TrimRight(text[:i], " "), text[i:]
		}
		if big := d.look.BigText(figures, d.w-paint.TextWidth(unit)-4); big != nil {
			for i, line := range big {
				if i == len(big)-1 {
					line += " " + unit
				}
				d.add(paint.Span{Ink: paint.InkBrand, Text: line})
			}
		}
	}
	const lead = "› "
	before, after := d.look.Clean(text[:e.field.at]), d.look.Clean(text[e.field.at:])
	typedInk := paint.InkField
	if e.fresh {
		typedInk = paint.InkQuiet
	}
	// Broken at spaces, but nothing is left out: a space is seen as it is typed.
	type drawn struct {
		r   rune
		pen paint.Ink
	}
	var all []drawn
	for _, part := range []struct {
		pen  paint.Ink
		text string
	}{{typedInk, before}, {paint.InkBrand, d.look.Cursor()}, {typedInk, after}} {
		for _, r := range part.text {
			all = append(all, drawn{r, part.pen})
		}
	}
	w := max(4, d.w-paint.TextWidth(lead))
	first := paint.Span{Ink: paint.InkBrand, Text: d.look.G.Here + " "}
	for len(all) > 0 {
		fit, used, space := 0, 0, 0
		for fit < len(all) && used+paint.CellWidth(all[fit].r) <= w {
			used += paint.CellWidth(all[fit].r)
			fit++
			if all[fit-1].r == ' ' {
				space = fit
			}
		}
		if fit < len(all) && space > 0 {
			fit = space
		}
		line := []paint.Span{first}
		for _, c := range all[:fit] {
			line = append(line, paint.Span{Ink: c.pen, Text: string(c.r)})
			if c.pen == paint.InkBrand {
				e.caret = len(d.lines)
			}
		}
		d.add(line...)
		all, first = all[fit:], paint.Span{Ink: paint.InkPlain, Text: "  "}
	}
}
