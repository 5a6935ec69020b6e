package tui

import (
	"fettle/tui/paint"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// target is a place on the screen that does something when it is pressed.
type target struct {
	at   paint.Rect
	name string
	do   func() tea.Cmd
}

// frame is one picture of the screen: what is drawn and where it can be pressed.
type frame struct {
	*paint.Canvas
	paint.Areas
	targets []target
	typing  bool // characters are text: the hints name other keys
}

func (f *frame) target(at paint.Rect, name string, do func() tea.Cmd) {
	if at.Empty() || do == nil {
		return
	}
	f.targets = append(f.targets, target{at, name, do})
}

// button draws one place of the bar and makes it a target.
func (f *frame) button(at paint.Rect, a act) {
	if at.Empty() {
		return
	}
	lines, words, keys, edge := f.Look.G.Thin, paint.InkPlain, paint.InkKey, paint.InkQuiet
	switch {
	case a.off != "": // no sides: it cannot be pressed now
		lines, words, keys = f.Look.G.Corner, paint.InkQuiet, paint.InkQuiet
	case a.main:
		lines, words, edge = f.Look.G.Thick, paint.InkMain, paint.InkBrand
	}
	hint := a.hint(f.typing)
	if a.early {
		hint = "too soon"
	}
	if at.H < paint.FingerTall {
		f.Label(at.Cut(0, 0, 1, 0), words, " "+a.word)
	} else {
		f.Frame(at, edge, lines)
		inner := at.Cut(1, 1, 1, 1)
		if words == paint.InkMain {
			f.Fill(inner, words, " ")
		}
		if n := paint.TextWidth(a.word); n > inner.W && n <= at.W {
			inner = at.Cut(0, 1, 0, 1) // the word is worth more than the sides
			f.Fill(inner, words, " ")
		}
		f.Centre(inner, words, a.word)
		switch w := paint.TextWidth(hint); {
		case hint == "":
		case w+4 <= at.W:
			f.Centre(paint.Rect{X: at.X + 1, Y: at.Y + at.H - 1, W: at.W - 2, H: 1}, keys, " "+hint+" ")
		case w+2 <= at.W:
			f.Centre(paint.Rect{X: at.X + 1, Y: at.Y + at.H - 1, W: at.W - 2, H: 1}, keys, hint)
		}
	}
	f.target(at, a.word, a.do)
}

// ruled writes what comes out of an answer in place of the rule, where it stays
// in sight, and on the first lines of r as well where the rule is too short. It
// returns what is left of r.
func (f *frame) ruled(v verdict, r paint.Rect) paint.Rect {
	f.Wipe(f.Rule)
	lines := f.Look.Wrap(v.text, f.Rule.W)
	more := min(len(lines)-1, r.H/6)
	if r.Y != f.Rule.Y+f.Rule.H { // there is air between them
		more = 0
	}
	for i := range more {
		f.Label(paint.Rect{X: f.Rule.X, Y: f.Rule.Y + i, W: f.Rule.W, H: 1}, v.ink, lines[i])
	}
	f.Label(paint.Rect{X: f.Rule.X, Y: f.Rule.Y + more, W: f.Rule.W, H: 1}, v.ink, strings.Join(lines[more:], " "))
	return r.Cut(0, more, 0, 0)
}

// doc is text laid out for one width, with the places in it that can be
// pressed. It is built from top to bottom and may be taller than the screen.
type doc struct {
	look  *paint.Look
	w     int
	touch bool
	lines [][]paint.Span
	items []item
}

// item is a run of lines of a doc that does something.
type item struct {
	from, to int // lines [from, to)
	name     string
	do       func() tea.Cmd
}

func newDoc(l *paint.Look, w int, touch bool) *doc { return &doc{look: l, w: max(1, w), touch: touch} }

func (d *doc) blank() {
	if len(d.lines) > 0 && len(d.lines[len(d.lines)-1]) > 0 {
		d.lines = append(d.lines, nil)
	}
}

func (d *doc) add(spans ...paint.Span) { d.lines = append(d.lines, spans) }

// text adds a paragraph.
func (d *doc) text(k paint.Ink, s string) { d.indented("", "", k, s) }

// indented adds a paragraph that begins with first and whose other lines stand
// behind rest.
func (d *doc) indented(first, rest string, k paint.Ink, s string) {
	words := strings.TrimLeft(first, " ")
	lead := first[:len(first)-len(words)]
	for i, line := range d.look.Wrap(words+s, max(1, d.w-max(paint.TextWidth(lead), paint.TextWidth(rest)))) {
		mark := rest
		if i == 0 {
			mark = lead
		}
		d.add(paint.Span{Ink: k, Text: mark}, paint.Span{Ink: k, Text: line})
	}
}

// callout adds a paragraph behind a bar, under a label that says what it is.
func (d *doc) callout(label paint.Ink, edge paint.Ink, name string, paras []string) {
	if len(paras) == 0 {
		return
	}
	bar := paint.Span{Ink: edge, Text: d.look.G.Bar + " "}
	d.add(bar, paint.Span{Ink: label, Text: " " + name + " "})
	for _, p := range paras {
		for _, line := range d.look.Wrap(p, max(1, d.w-2)) {
			d.add(bar, paint.Span{Ink: paint.InkStrong, Text: line})
		}
	}
}

// pair adds a name at the left and its value at the right, on two lines where
// one is too short.
func (d *doc) pair(name string, k paint.Ink, value string) {
	name, value = d.look.Clean(name), d.look.Clean(value)
	gap := d.w - paint.TextWidth(name) - paint.TextWidth(value)
	if gap >= 2 {
		lead := strings.Repeat(" ", gap)
		if gap > 4 {
			lead = " " + strings.Repeat(d.look.G.Dots, gap-2) + " "
		}
		d.add(paint.Span{Ink: paint.InkPlain, Text: name}, paint.Span{Ink: paint.InkQuiet, Text: lead}, paint.Span{Ink: k, Text: value})
		return
	}
	lines := d.look.Wrap(name, d.w)
	if last := lines[len(lines)-1]; len(lines) > 1 && d.w-paint.TextWidth(last)-paint.TextWidth(value) >= 2 {
		for _, line := range lines[:len(lines)-1] {
			d.add(paint.Span{Ink: paint.InkPlain, Text: line})
		}
		d.pair(last, k, value)
		return
	}
	d.text(paint.InkPlain, name)
	d.indented("  ", "  ", k, value)
}

// heading adds the title of a group.
func (d *doc) heading(s string) {
	d.blank()
	d.text(paint.InkBrand, strings.ToUpper(s))
}

// item adds whatever build adds and makes it something that can be pressed or
// chosen with the arrow keys; on a touch layout it is made a finger tall.
func (d *doc) item(name string, do func() tea.Cmd, build func(*doc)) {
	from := len(d.lines)
	inner := newDoc(d.look, d.w-2, d.touch)
	build(inner)
	for _, l := range inner.lines {
		d.lines = append(d.lines, append([]paint.Span{{Ink: paint.InkPlain, Text: "  "}}, l...))
	}
	for d.touch && len(d.lines)-from < paint.FingerTall {
		d.lines = append(d.lines, []paint.Span{{Ink: paint.InkPlain, Text: " "}})
	}
	d.items = append(d.items, item{from, len(d.lines), name, do})
}

// space puts a blank line before each of the lines [from, to).
func (d *doc) space(from, to int) {
	lines := make([][]paint.Span, 0, len(d.lines)+to-from)
	for i, l := range d.lines {
		if i >= from && i < to {
			lines = append(lines, nil)
		}
		lines = append(lines, l)
	}
	d.lines = lines
	moved := func(i int) int { return i + max(0, min(i, to)-from) }
	for i := range d.items {
		d.items[i].from, d.items[i].to = moved(d.items[i].from), moved(d.items[i].to)
	}
}

// view is the part of a doc that is on the screen, and the item that the keys
// are on.
type view struct {
	off  int  // first line shown
	cur  int  // item
	free bool // the window was scrolled away from the item
	bare bool // no item is marked: keys do not choose here
	lift bool // the words of the item marked stand out
	// tall is the height of the window and last the offset that shows the end,
	// both when last shown.
	tall, last int
	signs      bool // a row each goes to the signs for more
	items      []item
	fixed      bool // the item is a place on the way, and stays where it is
}

// move goes n items on, or n lines where the doc has no items.
func (v *view) move(n, items int) {
	if items == 0 {
		v.scroll(n)
		return
	}
	v.cur = max(0, min(items-1, v.cur+n))
	v.free = false
}

// scroll moves the window without moving the item.
func (v *view) scroll(n int) {
	if v.signs && n > 0 && v.off == 0 {
		n++ // leaving the top costs a row for the sign
	}
	v.off = max(0, min(v.last, v.off+n))
	if v.signs && v.off == 1 {
		v.off = 0
	}
	v.free = true
}

// follow brings the item that the keys are on into the window of fit lines,
// where that has left it: what the large button does is done to something that
// can be seen.
func (v *view) follow(fit int) {
	if v.bare || v.fixed || v.cur >= len(v.items) {
		return
	}
	if it := v.items[v.cur]; it.from >= v.off && it.from < v.off+fit {
		return
	}
	best := -1
	for i, it := range v.items {
		if it.from >= v.off && it.from < v.off+fit && (best < 0 || max(i-v.cur, v.cur-i) < max(best-v.cur, v.cur-best)) {
			best = i
		}
	}
	if best >= 0 {
		v.cur = best
	}
}

// page turns a page, and the keys go with it.
func (v *view) page(n int) {
	at := v.off
	v.scroll(n * max(1, v.tall-2))
	switch last := len(v.items) - 1; {
	case v.bare || v.fixed || last < 0:
	case n < 0 && at == 0:
		v.cur = 0
	case n > 0 && at == v.off:
		v.cur = last
	}
}

// window is how many lines of a doc of n lines fit into h rows from off on: a
// row each goes to the signs for more above and more below.
func window(n, h, off int) (fit int, above, below bool) {
	if n <= h || h < 3 {
		return h, false, false
	}
	fit = h
	if off > 0 {
		above = true
		fit--
	}
	if off+fit < n {
		below = true
		fit--
	}
	return fit, above, below
}

// reveal moves the window so that lines [from, to) of n are in it, as far as
// they fit into h rows.
func (v *view) reveal(from, to, n, h int) {
	for v.off > 0 && from < v.off {
		v.off--
		if v.off == 1 { // the sign would take the row that one line needs
			v.off = 0
		}
	}
	for v.off < from {
		fit, _, _ := window(n, h, v.off)
		if to <= v.off+fit {
			return
		}
		v.off++
		if v.off == 1 {
			v.off = 2
		}
	}
}

// show draws the part of d that fits into r. Where there is more above or
// below, a line says so.
func (f *frame) show(r paint.Rect, d *doc, v *view) {
	if r.Empty() {
		return
	}
	n := len(d.lines)
	if len(d.items) > 0 {
		v.cur = max(0, min(len(d.items)-1, v.cur))
		if it := d.items[v.cur]; !v.free && !v.bare {
			v.reveal(it.from, it.to, n, r.H)
			if v.cur == 0 && it.to <= r.H-1 { // nothing above the first item stays hidden
				v.off = 0
			}
		}
	}
	last := 0 // the offset that shows the end
	if n > r.H {
		last = n - r.H
		if r.H >= 3 {
			last++ // the sign for more above takes a row
		}
	}
	v.off = max(0, min(v.off, last))
	fit, above, below := window(n, r.H, v.off)
	v.tall, v.last, v.signs, v.items = fit, last, r.H >= 3, d.items
	if v.free {
		v.follow(fit)
	}
	body := r
	if above {
		f.more(paint.Rect{X: r.X, Y: r.Y, W: r.W, H: 1}, f.Look.G.Up, v, -1)
		body = body.Cut(0, 1, 0, 0)
	}
	body.H = fit
	for y := 0; y < fit && v.off+y < n; y++ {
		x := r.X
		lift := v.lift && !v.bare && v.cur < len(d.items) && d.items[v.cur].from <= v.off+y && v.off+y < d.items[v.cur].to
		for _, s := range d.lines[v.off+y] {
			if lift && (s.Ink == paint.InkPlain || s.Ink == paint.InkQuiet) {
				s.Ink = paint.InkStrong
			}
			x = f.Put(body, paint.Point{X: x, Y: body.Y + y}, s.Ink, s.Text)
		}
	}
	if below {
		f.more(paint.Rect{X: r.X, Y: r.Y + r.H - 1, W: r.W, H: 1}, f.Look.G.Down, v, 1)
	}
	for i, it := range d.items {
		top, bottom := max(it.from, v.off), min(it.to, v.off+fit)
		if top >= bottom {
			continue
		}
		at := paint.Rect{X: r.X, Y: body.Y + top - v.off, W: r.W, H: bottom - top}
		if i == v.cur && !v.bare {
			for y := range at.H {
				f.Put(at, paint.Point{X: at.X, Y: at.Y + y}, paint.InkBrand, f.Look.G.Bar)
			}
			f.Put(at, paint.Point{X: at.X, Y: at.Y}, paint.InkBrand, f.Look.G.Here)
		}
		f.target(at, it.name, it.do)
	}
}

// more is the line behind which the text goes on. The place for a finger
// reaches from its right end into the text, where lists have little to press.
func (f *frame) more(r paint.Rect, arrow string, v *view, dir int) {
	sign := arrow + " more " + arrow
	w := min(r.W, paint.TextWidth(sign)+4)
	f.Right(r.Cut(0, 0, min(2, r.W-w), 0), paint.InkBrand, sign)
	reach := paint.Rect{X: r.X + r.W - w, Y: r.Y, W: w, H: min(paint.FingerTall, v.tall+1)}
	if dir > 0 {
		reach.Y -= reach.H - 1
	}
	f.target(reach, "more", func() tea.Cmd { v.page(dir); return nil })
}
