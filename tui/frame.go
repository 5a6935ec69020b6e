package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// target is a place on the screen that does something when it is pressed.
type target struct {
	at   rect
	name string
	do   func() tea.Cmd
}

// frame is one picture of the screen: what is drawn and where it can be pressed.
type frame struct {
	*canvas
	areas
	targets []target
	typing  bool // characters are text: the hints name other keys
}

func (f *frame) target(at rect, name string, do func() tea.Cmd) {
	if at.empty() || do == nil {
		return
	}
	f.targets = append(f.targets, target{at, name, do})
}

// button draws one place of the bar and makes it a target.
func (f *frame) button(at rect, a act) {
	if at.empty() {
		return
	}
	lines, words, keys, edge := f.look.g.thin, inkPlain, inkKey, inkQuiet
	switch {
	case a.off != "": // no sides: it cannot be pressed now
		lines, words, keys = f.look.g.corner, inkQuiet, inkQuiet
	case a.main:
		lines, words, edge = f.look.g.thick, inkMain, inkBrand
	}
	hint := a.hint(f.typing)
	if a.early {
		hint = "too soon"
	}
	if at.h < fingerTall {
		f.label(at.cut(0, 0, 1, 0), words, " "+a.word)
	} else {
		f.frame(at, edge, lines)
		inner := at.cut(1, 1, 1, 1)
		if words == inkMain {
			f.fill(inner, words, " ")
		}
		if n := textWidth(a.word); n > inner.w && n <= at.w {
			inner = at.cut(0, 1, 0, 1) // the word is worth more than the sides
			f.fill(inner, words, " ")
		}
		f.centre(inner, words, a.word)
		switch w := textWidth(hint); {
		case hint == "":
		case w+4 <= at.w:
			f.centre(rect{at.x + 1, at.y + at.h - 1, at.w - 2, 1}, keys, " "+hint+" ")
		case w+2 <= at.w:
			f.centre(rect{at.x + 1, at.y + at.h - 1, at.w - 2, 1}, keys, hint)
		}
	}
	f.target(at, a.word, a.do)
}

// ruled writes what comes out of an answer in place of the rule, where it stays
// in sight, and on the first lines of r as well where the rule is too short. It
// returns what is left of r.
func (f *frame) ruled(v verdict, r rect) rect {
	f.wipe(f.rule)
	lines := f.look.wrap(v.text, f.rule.w)
	more := min(len(lines)-1, r.h/6)
	if r.y != f.rule.y+f.rule.h { // there is air between them
		more = 0
	}
	for i := range more {
		f.label(rect{f.rule.x, f.rule.y + i, f.rule.w, 1}, v.ink, lines[i])
	}
	f.label(rect{f.rule.x, f.rule.y + more, f.rule.w, 1}, v.ink, strings.Join(lines[more:], " "))
	return r.cut(0, more, 0, 0)
}

// doc is text laid out for one width, with the places in it that can be
// pressed. It is built from top to bottom and may be taller than the screen.
type doc struct {
	look  *look
	w     int
	touch bool
	lines [][]span
	items []item
}

// item is a run of lines of a doc that does something.
type item struct {
	from, to int // lines [from, to)
	name     string
	do       func() tea.Cmd
}

func newDoc(l *look, w int, touch bool) *doc { return &doc{look: l, w: max(1, w), touch: touch} }

func (d *doc) blank() {
	if len(d.lines) > 0 && len(d.lines[len(d.lines)-1]) > 0 {
		d.lines = append(d.lines, nil)
	}
}

func (d *doc) add(spans ...span) { d.lines = append(d.lines, spans) }

// text adds a paragraph.
func (d *doc) text(k ink, s string) { d.indented("", "", k, s) }

// indented adds a paragraph that begins with first and whose other lines stand
// behind rest.
func (d *doc) indented(first, rest string, k ink, s string) {
	words := strings.TrimLeft(first, " ")
	lead := first[:len(first)-len(words)]
	for i, line := range d.look.wrap(words+s, max(1, d.w-max(textWidth(lead), textWidth(rest)))) {
		mark := rest
		if i == 0 {
			mark = lead
		}
		d.add(span{k, mark}, span{k, line})
	}
}

// callout adds a paragraph behind a bar, under a label that says what it is.
func (d *doc) callout(label ink, edge ink, name string, paras []string) {
	if len(paras) == 0 {
		return
	}
	bar := span{edge, d.look.g.bar + " "}
	d.add(bar, span{label, " " + name + " "})
	for _, p := range paras {
		for _, line := range d.look.wrap(p, max(1, d.w-2)) {
			d.add(bar, span{inkStrong, line})
		}
	}
}

// pair adds a name at the left and its value at the right, on two lines where
// one is too short.
func (d *doc) pair(name string, k ink, value string) {
	name, value = d.look.clean(name), d.look.clean(value)
	gap := d.w - textWidth(name) - textWidth(value)
	if gap >= 2 {
		lead := strings.Repeat(" ", gap)
		if gap > 4 {
			lead = " " + strings.Repeat(d.look.g.dots, gap-2) + " "
		}
		d.add(span{inkPlain, name}, span{inkQuiet, lead}, span{k, value})
		return
	}
	lines := d.look.wrap(name, d.w)
	if last := lines[len(lines)-1]; len(lines) > 1 && d.w-textWidth(last)-textWidth(value) >= 2 {
		for _, line := range lines[:len(lines)-1] {
			d.add(span{inkPlain, line})
		}
		d.pair(last, k, value)
		return
	}
	d.text(inkPlain, name)
	d.indented("  ", "  ", k, value)
}

// heading adds the title of a group.
func (d *doc) heading(s string) {
	d.blank()
	d.text(inkBrand, strings.ToUpper(s))
}

// item adds whatever build adds and makes it something that can be pressed or
// chosen with the arrow keys; on a touch layout it is made a finger tall.
func (d *doc) item(name string, do func() tea.Cmd, build func(*doc)) {
	from := len(d.lines)
	inner := newDoc(d.look, d.w-2, d.touch)
	build(inner)
	for _, l := range inner.lines {
		d.lines = append(d.lines, append([]span{{inkPlain, "  "}}, l...))
	}
	for d.touch && len(d.lines)-from < fingerTall {
		d.lines = append(d.lines, []span{{inkPlain, " "}})
	}
	d.items = append(d.items, item{from, len(d.lines), name, do})
}

// space puts a blank line before each of the lines [from, to).
func (d *doc) space(from, to int) {
	lines := make([][]span, 0, len(d.lines)+to-from)
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
func (f *frame) show(r rect, d *doc, v *view) {
	if r.empty() {
		return
	}
	n := len(d.lines)
	if len(d.items) > 0 {
		v.cur = max(0, min(len(d.items)-1, v.cur))
		if it := d.items[v.cur]; !v.free && !v.bare {
			v.reveal(it.from, it.to, n, r.h)
			if v.cur == 0 && it.to <= r.h-1 { // nothing above the first item stays hidden
				v.off = 0
			}
		}
	}
	last := 0 // the offset that shows the end
	if n > r.h {
		last = n - r.h
		if r.h >= 3 {
			last++ // the sign for more above takes a row
		}
	}
	v.off = max(0, min(v.off, last))
	fit, above, below := window(n, r.h, v.off)
	v.tall, v.last, v.signs, v.items = fit, last, r.h >= 3, d.items
	if v.free {
		v.follow(fit)
	}
	body := r
	if above {
		f.more(rect{r.x, r.y, r.w, 1}, f.look.g.up, v, -1)
		body = body.cut(0, 1, 0, 0)
	}
	body.h = fit
	for y := 0; y < fit && v.off+y < n; y++ {
		x := r.x
		lift := v.lift && !v.bare && v.cur < len(d.items) && d.items[v.cur].from <= v.off+y && v.off+y < d.items[v.cur].to
		for _, s := range d.lines[v.off+y] {
			if lift && (s.ink == inkPlain || s.ink == inkQuiet) {
				s.ink = inkStrong
			}
			x = f.put(body, point{x, body.y + y}, s.ink, s.text)
		}
	}
	if below {
		f.more(rect{r.x, r.y + r.h - 1, r.w, 1}, f.look.g.down, v, 1)
	}
	for i, it := range d.items {
		top, bottom := max(it.from, v.off), min(it.to, v.off+fit)
		if top >= bottom {
			continue
		}
		at := rect{r.x, body.y + top - v.off, r.w, bottom - top}
		if i == v.cur && !v.bare {
			for y := range at.h {
				f.put(at, point{at.x, at.y + y}, inkBrand, f.look.g.bar)
			}
			f.put(at, point{at.x, at.y}, inkBrand, f.look.g.here)
		}
		f.target(at, it.name, it.do)
	}
}

// more is the line behind which the text goes on. The place for a finger
// reaches from its right end into the text, where lists have little to press.
func (f *frame) more(r rect, arrow string, v *view, dir int) {
	sign := arrow + " more " + arrow
	w := min(r.w, textWidth(sign)+4)
	f.right(r.cut(0, 0, min(2, r.w-w), 0), inkBrand, sign)
	reach := rect{r.x + r.w - w, r.y, w, min(fingerTall, v.tall+1)}
	if dir > 0 {
		reach.y -= reach.h - 1
	}
	f.target(reach, "more", func() tea.Cmd { v.page(dir); return nil })
}
