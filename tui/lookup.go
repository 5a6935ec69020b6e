package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/threads"
)

// hitsShown is how many threads a look-up lists.
const hitsShown = 200

// lookupScreen finds a thread by typing its name or by tapping its family and size,
// and shows the holes, heads and tools that go with it. It lies over any other
// screen and leaves it as it was. With pick set it answers a question instead.
type lookupScreen struct {
	m      *model
	field  field
	hits   []threads.Thread
	exact  bool // what is typed names the first hit
	shown  bool // narrow: the figures of one thread fill the screen
	all    bool // with every figure and its source
	v, dv  view
	family threads.Series // tapped family; "" for the choice of families
	page   int            // page of the grid of sizes
	pick   func(string) tea.Cmd
	ask    string
	judge  func(string) verdict
}

func newLookup(m *model) *lookupScreen {
	l := &lookupScreen{m: m}
	l.search()
	return l
}

// newPicker is a look-up that answers a question: the thread that is kept.
func newPicker(m *model, ask, now string, judge func(string) verdict, pick func(string) tea.Cmd) *lookupScreen {
	l := newLookup(m)
	l.ask, l.judge, l.pick = ask, judge, pick
	l.field.set(now)
	l.search()
	return l
}

func (m *model) lookUp() tea.Cmd {
	m.push(newLookup(m))
	return nil
}

// search finds the threads for what is typed so far.
func (l *lookupScreen) search() {
	l.shown = false
	l.v, l.dv = view{}, view{}
	l.hits = threads.Search(l.field.text, hitsShown)
	_, err := threads.Parse(l.field.text)
	l.exact = err == nil
}

func (l *lookupScreen) title() string {
	if l.pick != nil {
		return l.ask
	}
	return "Look up a thread"
}
func (l *lookupScreen) typing() bool { return true }
func (l *lookupScreen) wheel(n int) {
	if l.shown || l.exact || l.m.shape() > narrow {
		l.dv.scroll(n)
		return
	}
	l.v.scroll(n)
}

// now is the thread the keys are on.
func (l *lookupScreen) now() (threads.Thread, bool) {
	if l.v.cur < len(l.hits) {
		return l.hits[l.v.cur], true
	}
	return threads.Thread{}, false
}

func (l *lookupScreen) acts() []act {
	k := l.m.keys
	t, ok := l.now()
	main := act{key: k.Do, word: "Back", main: true, do: l.m.back}
	switch {
	case l.pick != nil && ok && l.field.text != "":
		main.word = "Use " + t.String()
		main.do = func() tea.Cmd { return l.use(t) }
	case l.pick != nil:
		main.word, main.off = "Use", "Type or tap a thread first."
	case l.m.shape() == narrow && !l.shown && !l.exact && ok && l.field.text != "":
		main.word = "Show"
		main.do = func() tea.Cmd { l.shown = true; return nil }
	}
	acts := []act{main}
	if l.family != "" || l.field.text != "" {
		acts = append(acts, act{key: key.NewBinding(key.WithKeys("ctrl+u"), key.WithHelp("ctrl+u", "begin again")),
			word: "Again", do: func() tea.Cmd { l.field.set(""); l.family, l.page = "", 0; l.search(); return nil }})
	}
	if a, ok := l.m.sendAct(l, l.sendables); ok && l.pick == nil {
		acts = append(acts, a)
	}
	word := "All"
	if l.all {
		word = "Fewer"
	}
	return append(acts, act{key: key.NewBinding(key.WithKeys("ctrl+f"), key.WithHelp("ctrl+f", "every figure, with its source")),
		word: word, do: func() tea.Cmd { l.all = !l.all; return nil }})
}

func (l *lookupScreen) use(t threads.Thread) tea.Cmd {
	name := t.String()
	if l.judge != nil {
		if v := l.judge(name); v.refused {
			l.m.say(inkCaution, v.text)
			return nil
		}
	}
	l.m.drop(l)
	return l.pick(name)
}

func (l *lookupScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	switch {
	case key.Matches(k, key.NewBinding(key.WithKeys("up"))):
		l.v.move(-1, len(l.hits))
	case key.Matches(k, key.NewBinding(key.WithKeys("down"))):
		l.v.move(1, len(l.hits))
	case key.Matches(k, key.NewBinding(key.WithKeys("pgup"))):
		l.wheel(-8)
	case key.Matches(k, key.NewBinding(key.WithKeys("pgdown"))):
		l.wheel(8)
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

func (l *lookupScreen) draw(f *frame) {
	hint := "M4   2 BA   1/4 x 40"
	if l.m.touch {
		hint = "type, or tap a family"
	}
	body := f.typedLine(&l.field, hint)
	switch {
	case l.m.touch && l.field.text == "":
		l.drawGrid(f, body)
		return
	case len(l.hits) == 0:
		d := newDoc(f.look, body.w, f.touch)
		d.blank()
		d.text(inkStrong, "No thread is called that.")
		if _, err := threads.Parse(l.field.text); err != nil {
			d.text(inkQuiet, err.Error())
		}
		f.show(body, d, &l.dv)
		return
	case l.field.text == "" && f.shape == narrow:
		d := newDoc(f.look, body.w, f.touch)
		d.blank()
		d.text(inkPlain, "Type a thread as you would write it:")
		for _, e := range []string{"M4", "2 BA", "1/4 x 40", "5/16 26", "1/4 BSF", "G 1/4"} {
			d.indented("  ", "  ", inkStrong, e)
		}
		d.blank()
		d.text(inkQuiet, "With taps: a family first, then a size. The first tap anywhere shows them.")
		f.show(body, d, &l.dv)
		return
	}
	if f.shape == narrow {
		if l.shown || l.exact {
			t, _ := l.now()
			d := newDoc(f.look, body.w, f.touch)
			l.figures(d, t)
			f.show(body, d, &l.dv)
			return
		}
		l.drawHits(f, body)
		return
	}
	w := min(40, body.w*2/5)
	l.drawHits(f, rect{body.x, body.y, w, body.h})
	right := body.cut(w+3, 0, 0, 0)
	right.w = min(right.w, 72)
	for y := range body.h {
		f.put(body, point{body.x + w + 1, body.y + y}, inkQuiet, f.look.g.thin.down)
	}
	if t, ok := l.now(); ok {
		d := newDoc(f.look, right.w, f.touch)
		l.figures(d, t)
		f.show(right, d, &l.dv)
	}
}

func (l *lookupScreen) drawHits(f *frame, r rect) {
	d := newDoc(f.look, r.w, f.touch)
	for i, t := range l.hits {
		name := t.String()
		d.item(name, func() tea.Cmd { l.v.cur, l.v.free, l.dv = i, false, view{}; l.shown = true; return nil }, func(d *doc) {
			drill := "no hole"
			if t.Tapped() {
				drill = "drill " + t.TapDrill(l.m.shop.Stock(), 0).Drill.Name
			}
			gap := d.w - textWidth(name) - textWidth(drill)
			if gap < 2 {
				d.text(inkStrong, name)
				return
			}
			d.add(span{inkStrong, name}, span{inkPlain, strings.Repeat(" ", gap)}, span{inkQuiet, drill})
		})
	}
	f.show(r, d, &l.v)
}

// figures are what is wanted at the bench, the drill first and large.
func (l *lookupScreen) figures(d *doc, t threads.Thread) {
	stock := l.m.shop.Stock()
	pitch := mm(t.Pitch.MM()) + " pitch"
	if t.TPI != 0 {
		pitch = number(t.TPI) + " TPI"
	}
	d.add(span{inkStrong, t.String()}, span{inkQuiet, "  " + mm(t.Major.MM()) + " over, " + pitch})
	if g, ok := t.GaugePlane(); ok {
		d.text(inkCaution, " taper 1 in 16; sizes "+g.Place(t)+" ")
	}
	drill := t.TapDrill(stock, 0)
	d.blank()
	d.text(inkBrand, "TAPPING DRILL")
	name := strings.TrimSuffix(drill.Drill.Name, " mm")
	tail := fmt.Sprintf("%.0f %%", drill.EngagementPercent)
	if !t.Tapped() {
		d.text(inkStrong, "none: it is external")
		d.text(inkPlain, "Its hole is Rc "+t.Size+" or Rp "+t.Size+".")
	} else if big := d.look.bigText(name, d.w-16); big != nil {
		for i, line := range big {
			d.add(span{inkBrand, line}, span{inkStrong, [bigTall]string{"", " mm", " " + tail}[i]})
		}
	} else {
		d.add(span{inkStrong, drill.Drill.Name}, span{inkPlain, "  " + tail})
	}
	d.blank()
	c := t.Clearance()
	d.pair("Clearance, medium", inkStrong, c.Medium.String())
	d.pair("close and free", inkPlain, c.Fine.String()+", "+c.Coarse.String())
	if has, known := l.m.shop.Tap(t); known && !has {
		d.text(inkCaution, " Its tap is not among yours. ")
	}
	if size, source, ok := t.Spanner(); ok {
		text := mm(size.MM())
		if own, have := l.m.shop.Spanner(size); have {
			text += ", yours " + own.String()
		}
		d.pair("Spanner", inkStrong, text)
		if l.all {
			d.indented("  ", "  ", inkQuiet, source)
		}
	}
	if l.all {
		for _, sp := range t.Spanners() {
			d.pair("  "+sp.Mark, inkPlain, mm(sp.Size.MM()))
		}
		for _, n := range t.Nuts() {
			d.pair(strings.ToUpper(string(n.Kind[:1]))+string(n.Kind[1:]), inkPlain, fmt.Sprintf("%s flats, %s thick", mm(n.AcrossFlats.MM()), mm(n.Thickness.MM())))
			d.indented("  ", "  ", inkQuiet, n.Standard)
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
			mark = d.look.g.here + " "
		}
		effect := o.Effect
		if d.w < 50 { // the word alone
			effect, _, _ = strings.Cut(effect, ",")
			effect, _, _ = strings.Cut(effect, ":")
		}
		d.pair(mark+o.Drill.Name, inkPlain, fmt.Sprintf("%.0f %%  %s", o.EngagementPercent, effect))
	}
	if d.look.g.halves {
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
	d.pair("Over the crests", inkPlain, t.Major.String())
	d.pair("Pitch", inkPlain, t.Pitch.String())
	d.pair("Core of the screw", inkPlain, t.MinorExternal().String())
	d.pair("Bore at full depth", inkPlain, t.MinorInternal().String())
	d.pair("Stress area", inkPlain, t.StressArea().String())
	if c := t.Confusables(); len(c) > 0 {
		d.heading("Not to be taken for")
		for _, x := range c {
			if !x.Same {
				d.indented(x.With.String()+": ", "  ", inkPlain, x.What)
			}
		}
	}
	d.blank()
	d.text(inkQuiet, "Drill: "+drill.Source+". "+t.EngagementBasis()+".")
	d.text(inkQuiet, "Clearance: "+c.Source+". Thread: "+strings.Join(t.Sources(), ", ")+".")
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
		parts = append(parts, "key "+mm(h.Key.MM()))
	}
	if h.CountersinkDiameter > 0 {
		parts = append(parts, fmt.Sprintf("countersink %s at %s", mm(h.CountersinkDiameter.MM()), h.CountersinkAngle))
	}
	d.pair(strings.ToUpper(string(h.Kind[:1]))+string(h.Kind[1:])+" head", inkPlain, strings.Join(parts, ", "))
	if l.all {
		d.indented("  ", "  ", inkQuiet, h.Standard)
	}
}

func mm(v float64) string { return number(v) + " mm" }

// number writes a figure with at most two decimals and no idle zeros.
func number(v float64) string {
	s := fmt.Sprintf("%.2f", v)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// drawGrid offers the families, then the sizes of one, as places for fingers.
func (l *lookupScreen) drawGrid(f *frame, r rect) {
	var all []act
	known := threads.All()
	wide := 12
	if l.family == "" {
		wide = 18
		for _, s := range threads.AllSeries() {
			if slices.ContainsFunc(known, func(t threads.Thread) bool { return t.Series == s }) {
				all = append(all, act{word: string(s), do: func() tea.Cmd { l.family, l.page = s, 0; return nil }})
			}
		}
	} else {
		for _, t := range known {
			if name := t.String(); t.Series == l.family {
				all = append(all, act{word: name, do: func() tea.Cmd { l.field.set(name); l.search(); return nil }})
			}
		}
	}
	f.tiles(r, all, &l.page, wide)
}
