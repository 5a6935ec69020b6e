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
	lines, words, edge := f.look.g.thin, inkPlain, inkQuiet
	switch {
	case a.off != "":
		lines, words = f.look.g.broken, inkQuiet
	case a.main:
		lines, words, edge = f.look.g.thick, inkMain, inkBrand
	}
	hint := a.key.Help().Key
	if at.h < fingerTall {
		f.label(at.cut(0, 0, 1, 0), words, " "+a.word)
	} else {
		f.frame(at, edge, lines)
		inner := at.cut(1, 1, 1, 1)
		if words == inkMain {
			f.fill(inner, words, " ")
		}
		f.centre(inner, words, a.word)
		if hint != "" && textWidth(hint)+4 <= at.w {
			f.centre(rect{at.x + 1, at.y + at.h - 1, at.w - 2, 1}, inkKey, " "+hint+" ")
		}
	}
	f.target(at, a.word, a.do)
}

// span is a piece of a line in one ink.
type span struct {
	ink  ink
	text string
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

// indented adds a paragraph whose first line follows first and whose other
// lines follow rest.
func (d *doc) indented(first, rest string, k ink, s string) {
	lead := max(textWidth(first), textWidth(rest))
	for i, line := range d.look.wrap(s, max(1, d.w-lead)) {
		mark := rest
		if i == 0 {
			mark = first
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
		d.add(span{inkPlain, name + " "}, span{inkQuiet, strings.Repeat(d.look.g.dots, gap-2)}, span{k, " " + value})
		return
	}
	d.text(inkPlain, name)
	for _, line := range d.look.wrap(value, max(1, d.w-2)) {
		d.add(span{k, strings.Repeat(" ", max(0, d.w-textWidth(line))) + line})
	}
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

// view is the part of a doc that is on the screen, and the item that the keys
// are on.
type view struct {
	off  int // first line shown
	cur  int // item
	free bool
	// tall and lines are the height of the window and of the doc when last shown.
	tall, lines int
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
	v.off = max(0, min(v.lines-v.tall, v.off+n))
	v.free = true
}

func (v *view) page(n int) { v.scroll(n * max(1, v.tall-2)) }

// show draws the part of d that fits into r. Where there is more above or
// below, the right edge says so.
func (f *frame) show(r rect, d *doc, v *view) {
	if r.empty() {
		return
	}
	v.tall, v.lines = r.h, len(d.lines)
	if len(d.items) > 0 {
		v.cur = max(0, min(len(d.items)-1, v.cur))
		if it := d.items[v.cur]; !v.free {
			if it.to > v.off+r.h {
				v.off = it.to - r.h
			}
			if it.from < v.off {
				v.off = it.from
			}
			if v.cur == 0 && it.to <= r.h { // nothing above the first item stays hidden
				v.off = 0
			}
		}
	}
	v.off = max(0, min(v.off, len(d.lines)-r.h))
	for y := 0; y < r.h && v.off+y < len(d.lines); y++ {
		x := r.x
		for _, s := range d.lines[v.off+y] {
			x = f.put(r, point{x, r.y + y}, s.ink, s.text)
		}
	}
	for i, it := range d.items {
		top, bottom := max(it.from, v.off), min(it.to, v.off+r.h)
		if top >= bottom {
			continue
		}
		at := rect{r.x, r.y + top - v.off, r.w, bottom - top}
		if i == v.cur {
			for y := range at.h {
				f.put(at, point{at.x, at.y + y}, inkBrand, f.look.g.bar)
			}
			f.put(at, point{at.x, at.y}, inkBrand, f.look.g.here)
		}
		f.target(at, it.name, it.do)
	}
	if v.off > 0 {
		f.more(rect{r.x, r.y, r.w, 1}, f.look.g.up, v, -1)
	}
	if v.off+r.h < len(d.lines) {
		f.more(rect{r.x, r.y + r.h - 1, r.w, 1}, f.look.g.down, v, 1)
	}
}

// more marks an edge behind which the text goes on.
func (f *frame) more(r rect, arrow string, v *view, dir int) {
	sign := " " + arrow + " more "
	w := textWidth(sign)
	at := rect{r.x + max(0, r.w-w), r.y, min(w, r.w), 1}
	f.wipe(at)
	f.label(at, inkBrand, sign)
	// The place for a finger reaches from the sign into the text.
	tall := min(fingerTall, v.tall)
	reach := rect{at.x, at.y, at.w, tall}
	if dir > 0 {
		reach.y -= tall - 1
	}
	f.targets = append([]target{{reach, "more", func() tea.Cmd { v.page(dir); return nil }}}, f.targets...)
}
