package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/threads"
	"fettle/tui/paint"
)

// hitsShown is how many threads a look-up lists.
const hitsShown = 200

// lookupScreen finds a thread by its family and size or by typing its name, and
// shows the holes, heads and tools that go with it. It lies over any other
// screen and leaves it as it was. A question for a thread has one of its own.
type lookupScreen struct {
	m     *model
	of    *entry // the question it answers; nil for a look-up
	field field
	used  []threads.Thread // offered before the families
	fams  []family
	fam   *family // nil while the families are offered
	first *family // the one it began with; going back from it closes
	hits  []threads.Thread
	exact bool // what is typed names the first hit
	shown bool // narrow: the figures of one thread fill the screen
	all   bool // with every figure and its source
	// likely is set for an answer that was measured and not tried.
	likely bool
	tray   tray
	dv     view
}

func newLookup(m *model) *lookupScreen {
	l := &lookupScreen{m: m, used: m.threadsUsed(), fams: families()}
	l.search()
	return l
}

// newPicker is a look-up that answers a question. It begins at the thread that
// stands there, among the sizes of its family.
func newPicker(e *entry) *lookupScreen {
	l := newLookup(e.m)
	l.of = e
	name, likely := l.unmarked(e.field.text)
	if now, err := threads.Parse(name); err == nil {
		l.likely = likely
		l.goTo(now)
		l.first = l.fam
	}
	return l
}

// probable is what stands behind a thread that is only probable.
const probable = " probable"

// unmarked takes the mark of a thread that is only probable off what is typed.
func (l *lookupScreen) unmarked(text string) (name string, likely bool) {
	if l.of == nil || !l.of.likely {
		return text, false
	}
	for _, mark := range []string{"?", probable} {
		if name, ok := strings.CutSuffix(strings.TrimRight(text, " "), mark); ok {
			return name, true
		}
	}
	return text, false
}

// goTo puts the keys on a thread among the sizes of its family; one that is of
// none stands as if it had been typed.
func (l *lookupScreen) goTo(t threads.Thread) {
	for i := range l.fams {
		if at := place(l.fams[i].sizes, t); at >= 0 {
			l.fam = &l.fams[i]
			l.search()
			l.tray.cur = at
			return
		}
	}
	l.field.set(t.String())
	l.search()
}

// lookUpOf is a look-up of threads that something else has found.
func lookUpOf(m *model, name string, sizes []threads.Thread) *lookupScreen {
	l := newLookup(m)
	l.fams = append([]family{{name: name, sizes: sizes}}, l.fams...)
	l.fam = &l.fams[0]
	l.first = l.fam
	l.search()
	return l
}

func (m *model) lookUp() tea.Cmd {
	m.push(newLookup(m))
	return nil
}

// search finds the threads for what is typed so far, in the family that was
// picked where it has such.
func (l *lookupScreen) search() {
	l.shown, l.exact = false, false
	l.tray, l.dv = tray{}, view{}
	if l.field.text == "" {
		l.hits = nil
		if l.fam != nil {
			l.hits = l.fam.sizes
		}
		return
	}
	text, likely := l.unmarked(l.field.text)
	l.likely = l.likely || likely
	l.hits = threads.Search(text, hitsShown)
	_, err := threads.Parse(text)
	l.exact = err == nil
	if l.fam == nil || l.exact {
		return
	}
	var within []threads.Thread
	for _, t := range l.hits {
		if place(l.fam.sizes, t) >= 0 {
			within = append(within, t)
		}
	}
	if len(within) > 0 {
		l.hits = within
	}
}

func (l *lookupScreen) title() string { return "Look up a thread" }
func (l *lookupScreen) typing() bool  { return true }

// full reports whether the figures of one thread fill the screen.
func (l *lookupScreen) full() bool { return l.m.shape() == paint.Narrow && (l.shown || l.exact) }

func (l *lookupScreen) wheel(n int) {
	if l.full() || l.m.shape() > paint.Narrow && len(l.hits) > 0 {
		l.dv.scroll(n)
		return
	}
	l.tray.scroll(n)
}

// wheelAt scrolls what the wheel turns over where both parts are shown.
func (l *lookupScreen) wheelAt(p paint.Point, a paint.Areas, n int) bool {
	left, right := l.parts(a.Body)
	if l.full() || right.Empty() || len(l.hits) == 0 || !left.Holds(p) {
		return false
	}
	l.tray.scroll(n)
	return true
}

// now is the thread the keys are on.
func (l *lookupScreen) now() (threads.Thread, bool) {
	if l.families() && l.tray.cur < len(l.used) {
		return l.used[l.tray.cur], true
	}
	if l.tray.cur < len(l.hits) {
		return l.hits[l.tray.cur], true
	}
	return threads.Thread{}, false
}

// families reports whether the families are offered.
func (l *lookupScreen) families() bool { return l.field.text == "" && l.fam == nil }

func (l *lookupScreen) acts() []act {
	k := l.m.keys
	t, ok := l.now()
	main := act{key: k.Do, word: "Back", main: true, do: l.m.back}
	deep := l.fam != l.first || l.shown
	if deep {
		main.word = "Close"
	}
	switch {
	case l.families() && !ok:
		main.word, main.do = "Sizes", func() tea.Cmd { return l.open(l.tray.cur - len(l.used)) }
	case l.of != nil && ok:
		main.word, main.do = "Use it", func() tea.Cmd { return l.take(t) }
		if name := "Use " + t.String(); paint.TextWidth(name) <= 14 { // what the large button holds on a narrow screen
			main.word = name
		}
	case l.of != nil:
		main.word, main.off = "Use", "Type or pick a thread first."
	case ok && (l.families() || l.m.shape() == paint.Narrow && !l.full()):
		main.word, main.do = "Show", func() tea.Cmd { return l.take(t) }
	}
	acts := []act{main}
	if deep {
		acts = append(acts, act{key: k.Back, word: "Back", do: l.up})
	}
	if l.fam != nil || l.field.text != "" {
		word := "Kinds"
		if l.field.text != "" {
			word = "Again"
		}
		acts = append(acts, act{key: key.NewBinding(key.WithKeys("ctrl+u"), key.WithHelp("ctrl+u", "begin again with the kinds of thread")), word: word, do: l.again})
	}
	if l.of != nil && l.of.likely {
		word := "Probable"
		if l.likely {
			word = "Certain"
		}
		acts = append(acts, act{key: key.NewBinding(key.WithKeys("ctrl+p"), key.WithHelp("ctrl+p", "measured, but not tried with a gauge or a known mate; or tried")),
			word: word, do: func() tea.Cmd { l.likely = !l.likely; return nil }})
	}
	if a, ok := l.m.sendAct(l, l.sendables); ok && l.of == nil {
		acts = append(acts, a)
	}
	if !ok || l.families() || l.m.shape() == paint.Narrow && !l.full() { // no figures are shown
		return acts
	}
	word := "All"
	if l.all {
		word = "Fewer"
	}
	return append(acts, act{key: key.NewBinding(key.WithKeys("ctrl+f"), key.WithHelp("ctrl+f", "every figure, with its source")),
		word: word, do: func() tea.Cmd { l.all = !l.all; return nil }})
}

// open offers the sizes of family i.
func (l *lookupScreen) open(i int) tea.Cmd {
	if i >= 0 && i < len(l.fams) {
		l.fam = &l.fams[i]
		l.search()
	}
	return nil
}

// take answers the question with a thread, or shows its figures.
func (l *lookupScreen) take(t threads.Thread) tea.Cmd {
	if l.of != nil {
		name := t.String()
		if l.likely {
			name += probable
		}
		l.of.field.set(name)
		l.of.fresh = true
		return l.of.keep()
	}
	if l.families() {
		l.goTo(t)
	}
	l.tray.free, l.dv, l.shown = false, view{}, true
	return nil
}

// again begins with the families.
func (l *lookupScreen) again() tea.Cmd {
	l.field.set("")
	l.fam, l.first = nil, nil
	l.search()
	return nil
}

// up goes from the figures back to the sizes, and from them to the families.
func (l *lookupScreen) up() tea.Cmd {
	if l.shown {
		l.shown = false
		return nil
	}
	from := l.fam
	l.again()
	for i := range l.fams {
		if &l.fams[i] == from {
			l.tray.cur = len(l.used) + i
		}
	}
	return nil
}

func (l *lookupScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	n := len(l.hits)
	if l.families() {
		n = len(l.used) + len(l.fams)
	}
	figures := l.full() || l.m.shape() > paint.Narrow && len(l.hits) > 0
	switch name := k.String(); {
	case figures && name == "pgup":
		l.dv.page(-1)
	case figures && name == "pgdown":
		l.dv.page(1)
	case l.full() && name == "up":
		l.dv.scroll(-1)
	case l.full() && name == "down":
		l.dv.scroll(1)
	case k.Type != tea.KeyRunes && k.Type != tea.KeySpace && n > 0 && l.tray.key(k, l.m.keys, n):
		l.dv = view{}
	default:
		before := l.field.text
		if !l.field.key(k) {
			return nil, false
		}
		if l.field.text != before {
			l.search()
		}
	}
	return nil, true
}

// parts divides the body: the list, and beside it the figures where there is room.
func (l *lookupScreen) parts(body paint.Rect) (list, figures paint.Rect) {
	if l.m.shape() == paint.Narrow {
		return body, paint.Rect{}
	}
	w := min(40, body.W*2/5)
	list = paint.Rect{X: body.X, Y: body.Y, W: w, H: body.H}
	figures = body.Cut(w+3, 0, 0, 0)
	figures.W = min(figures.W, 72)
	return list, figures
}

func (l *lookupScreen) draw(f *frame) {
	hint := "type, or pick a family"
	switch {
	case l.fam != nil:
		hint = l.fam.name
	case !l.m.touch && f.W >= 60:
		hint = "type M4, 2 BA, 1/4 x 40, or pick a family"
	}
	body := f.typedLine(&l.field, hint)
	if l.of != nil {
		body = l.question(f, body)
	}
	if l.families() {
		l.drawFamilies(f, body)
		return
	}
	if len(l.hits) == 0 {
		d := newDoc(f.Look, body.W, f.Touch)
		d.blank()
		d.text(paint.InkStrong, "No thread is called that.")
		if _, err := threads.Parse(l.field.text); err != nil {
			d.text(paint.InkQuiet, err.Error())
		}
		f.show(body, d, &l.dv)
		return
	}
	list, right := l.parts(body)
	switch {
	case l.full():
		right = body
	default:
		l.drawHits(f, list)
	}
	if right.Empty() {
		return
	}
	if right != body {
		for y := range body.H {
			f.Put(body, paint.Point{X: right.X - 2, Y: body.Y + y}, paint.InkQuiet, f.Look.G.Thin.Down)
		}
	}
	t, _ := l.now()
	d := newDoc(f.Look, right.W, f.Touch)
	l.figures(d, t)
	f.show(right, d, &l.dv)
}

// question draws what is to be said about the question itself, and gives the
// body that is left.
func (l *lookupScreen) question(f *frame, body paint.Rect) paint.Rect {
	d := newDoc(f.Look, body.W, f.Touch)
	if room := f.Head.W; f.Look.Short(l.of.ask, room/2) != l.of.ask { // the head has no room for it
		d.text(paint.InkStrong, l.of.ask)
	}
	if l.likely {
		d.text(paint.InkCaution, " only probable: not tried with a gauge or a known mate ")
	}
	if l.of.failed != "" {
		d.text(paint.InkWrong, l.of.failed)
	}
	if !f.Touch && body.H > 2*len(l.of.about)+12 {
		for _, a := range l.of.about {
			d.text(paint.InkQuiet, a)
		}
	}
	rows := min(len(d.lines), body.H/3)
	f.show(paint.Rect{X: body.X, Y: body.Y, W: body.W, H: rows}, d, &view{})
	return body.Cut(0, rows, 0, 0)
}

// figures are what is wanted at the bench, the drill first and large.
func (l *lookupScreen) figures(d *doc, t threads.Thread) {
	stock := l.m.shop.Stock()
	pitch := mm(t.Pitch.MM()) + " pitch"
	if t.TPI != 0 {
		pitch = number(t.TPI) + " TPI"
	}
	d.add(paint.Span{Ink: paint.InkStrong, Text: t.String()}, paint.Span{Ink: paint.InkQuiet, Text: "  " + mm(t.Major.MM()) + " over, " + pitch})
	if g, ok := t.GaugePlane(); ok {
		d.text(paint.InkCaution, " taper 1 in 16; sizes "+g.Place(t)+" ")
	}
	drill := t.TapDrill(stock, 0)
	d.blank()
	d.text(paint.InkBrand, "TAPPING DRILL")
	name := strings.TrimSuffix(drill.Drill.Name, " mm")
	tail := fmt.Sprintf("%.0f %%", drill.EngagementPercent)
	if !t.Tapped() {
		d.text(paint.InkStrong, "none: it is external")
		d.text(paint.InkPlain, "Its hole is Rc "+t.Size+" or Rp "+t.Size+".")
	} else if big := d.look.BigText(name, d.w-16); big != nil {
		for i, line := range big {
			d.add(paint.Span{Ink: paint.InkBrand, Text: line}, paint.Span{Ink: paint.InkStrong, Text: [paint.BigTall]string{"", " mm", " " + tail}[i]})
		}
	} else {
		d.add(paint.Span{Ink: paint.InkStrong, Text: drill.Drill.Name}, paint.Span{Ink: paint.InkPlain, Text: "  " + tail})
	}
	d.blank()
	c := t.Clearance()
	d.pair("Clearance, medium", paint.InkStrong, c.Medium.String())
	d.pair("close and free", paint.InkPlain, c.Fine.String()+", "+c.Coarse.String())
	if has, known := l.m.shop.Tap(t); known && !has {
		d.text(paint.InkCaution, " Its tap is not among yours. ")
	}
	if size, source, ok := t.Spanner(); ok {
		text := mm(size.MM())
		if own, have := l.m.shop.Spanner(size); have {
			text += ", yours " + own.String()
		}
		d.pair("Spanner", paint.InkStrong, text)
		if l.all {
			d.indented("  ", "  ", paint.InkQuiet, source)
		}
	}
	if l.all {
		for _, sp := range t.Spanners() {
			d.pair("  "+sp.Mark, paint.InkPlain, mm(sp.Size.MM()))
		}
		for _, n := range t.Nuts() {
			d.pair(strings.ToUpper(string(n.Kind[:1]))+string(n.Kind[1:]), paint.InkPlain, fmt.Sprintf("%s flats, %s thick", mm(n.AcrossFlats.MM()), mm(n.Thickness.MM())))
			d.indented("  ", "  ", paint.InkQuiet, n.Standard)
		}
	}
	for _, h := range t.Heads() {
		if h.Old && !l.all {
			continue
		}
		l.head(d, h)
	}
	var others []threads.TapDrill
	if t.Tapped() {
		d.heading("Other drills")
		others = t.TapDrills(stock, 0)
	}
	for _, o := range others {
		mark := "  "
		if o.Recommended {
			mark = d.look.G.Here + " "
		}
		effect := o.Effect
		if d.w < 50 { // the word alone
			effect, _, _ = strings.Cut(effect, ",")
			effect, _, _ = strings.Cut(effect, ":")
		}
		d.pair(mark+o.Drill.Name, paint.InkPlain, fmt.Sprintf("%.0f %%  %s", o.EngagementPercent, effect))
	}
	if d.look.G.Halves {
		d.heading("In section, to scale")
		var head *threads.Head
		for _, h := range t.Heads() {
			if h.Kind == threads.CountersunkHead && !h.Old {
				head = &h
				break
			}
		}
		d.screw(t, head)
		d.blank()
		d.profile(t, drill.Diameter)
	}
	d.heading("Thread")
	d.pair("Over the crests", paint.InkPlain, t.Major.String())
	d.pair("Pitch", paint.InkPlain, t.Pitch.String())
	d.pair("Core of the screw", paint.InkPlain, t.MinorExternal().String())
	d.pair("Bore at full depth", paint.InkPlain, t.MinorInternal().String())
	d.pair("Stress area", paint.InkPlain, t.StressArea().String())
	if c := t.Confusables(); len(c) > 0 {
		d.heading("Not to be taken for")
		for _, x := range c {
			if !x.Same {
				d.indented(x.With.String()+": ", "  ", paint.InkPlain, x.What)
			}
		}
	}
	d.blank()
	d.text(paint.InkQuiet, "Drill: "+drill.Source+". "+t.EngagementBasis()+".")
	d.text(paint.InkQuiet, "Clearance: "+c.Source+". Thread: "+strings.Join(t.Sources(), ", ")+".")
	if g, ok := t.GaugePlane(); ok && l.all {
		d.text(paint.InkQuiet, "Taper: "+g.Source+".")
	}
}

func (l *lookupScreen) head(d *doc, h threads.Head) {
	var parts []string
	if h.HeadDiameter > 0 && h.Kind != threads.HexHead {
		parts = append(parts, mm(h.HeadDiameter.MM())+" across")
	}
	if h.AcrossFlats > 0 {
		parts = append(parts, mm(h.AcrossFlats.MM())+" flats")
	}
	if h.Height > 0 {
		parts = append(parts, mm(h.Height.MM())+" high")
	}
	if h.Key > 0 {
		parts = append(parts, "key "+h.KeyMark())
	}
	if h.CountersinkDiameter > 0 {
		parts = append(parts, fmt.Sprintf("countersink %s at %s", mm(h.CountersinkDiameter.MM()), h.CountersinkAngle))
	}
	d.pair(strings.ToUpper(string(h.Kind[:1]))+string(h.Kind[1:])+" head", paint.InkPlain, strings.Join(parts, ", "))
	if l.all {
		d.indented("  ", "  ", paint.InkQuiet, h.Standard)
	}
}

func mm(v float64) string { return number(v) + " mm" }

// number writes a figure with at most two decimals and no idle zeros.
func number(v float64) string {
	s := fmt.Sprintf("%.2f", v)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
