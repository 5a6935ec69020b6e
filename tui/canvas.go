package tui

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// point is a place on the screen, counted from the upper left cell.
type point struct{ x, y int }

// rect is a part of the screen. A rect without width or height holds nothing.
type rect struct{ x, y, w, h int }

func (r rect) empty() bool { return r.w <= 0 || r.h <= 0 }

func (r rect) holds(p point) bool {
	return p.x >= r.x && p.x < r.x+r.w && p.y >= r.y && p.y < r.y+r.h
}

// cut returns r without n columns or rows on each named edge, never negative.
func (r rect) cut(left, top, right, bottom int) rect {
	return rect{r.x + left, r.y + top, max(0, r.w-left-right), max(0, r.h-top-bottom)}
}

// cell is one character place: its text (one rune and the marks that combine
// with it), the ink it is drawn in. The right half of a wide rune has no text.
type cell struct {
	text string
	ink  ink
}

// canvas is the screen as a grid of cells. Everything is drawn onto it and it
// alone is turned into text, so that a view has exactly the height of the
// screen and is never wider, whatever was drawn.
type canvas struct {
	w, h  int
	cells []cell
	look  *look
}

func newCanvas(w, h int, l *look) *canvas {
	c := &canvas{w: max(0, w), h: max(0, h), look: l}
	c.cells = make([]cell, c.w*c.h)
	return c
}

func (c *canvas) bounds() rect { return rect{0, 0, c.w, c.h} }

// cellWidth is the number of cells a rune takes: 0, 1 or 2. Runes of ambiguous
// width count as one; where a terminal draws them two wide, the locale says so
// and the ASCII glyphs are used instead.
func cellWidth(r rune) int {
	if r < 0x7f {
		return 1
	}
	return narrowRunes.RuneWidth(r)
}

var narrowRunes = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

func textWidth(s string) int {
	w := 0
	for _, r := range s {
		w += cellWidth(r)
	}
	return w
}

// put draws s from p to the right and stops at the right edge of clip. It
// returns the column after the last cell drawn.
func (c *canvas) put(clip rect, p point, k ink, s string) int {
	s = c.look.clean(s)
	x := p.x
	right := min(clip.x+clip.w, c.w)
	if p.y < clip.y || p.y >= clip.y+clip.h || p.y < 0 || p.y >= c.h {
		return x
	}
	row := c.cells[p.y*c.w : (p.y+1)*c.w]
	last := -1
	for i, r := range s {
		w := cellWidth(r)
		size := len(string(r))
		if w == 0 {
			if last >= 0 {
				row[last].text += s[i : i+size]
			}
			continue
		}
		if x+w > right {
			break
		}
		if x < clip.x || x < 0 {
			x += w
			last = -1
			continue
		}
		row[x] = cell{s[i : i+size], k}
		last = x
		if w == 2 {
			row[x+1] = cell{"", k}
		}
		x += w
	}
	return x
}

// label draws s, shortened with the sign for "cut off" where it does not fit.
func (c *canvas) label(r rect, k ink, s string) {
	if r.empty() {
		return
	}
	c.put(r, point{r.x, r.y}, k, c.look.short(s, r.w))
}

// centre draws s in the middle of r.
func (c *canvas) centre(r rect, k ink, s string) {
	if r.empty() {
		return
	}
	s = c.look.short(s, r.w)
	c.put(r, point{r.x + (r.w-textWidth(s))/2, r.y + (r.h-1)/2}, k, s)
}

// right draws s against the right edge of r and returns the column it starts in.
func (c *canvas) right(r rect, k ink, s string) int {
	if r.empty() {
		return r.x
	}
	s = c.look.short(s, r.w)
	x := r.x + r.w - textWidth(s)
	c.put(r, point{x, r.y}, k, s)
	return x
}

// fill covers r with one character.
func (c *canvas) fill(r rect, k ink, s string) {
	for y := max(0, r.y); y < min(c.h, r.y+r.h); y++ {
		for x := max(0, r.x); x < min(c.w, r.x+r.w); x++ {
			c.cells[y*c.w+x] = cell{s, k}
		}
	}
}

// wipe empties r.
func (c *canvas) wipe(r rect) { c.fill(r, inkPlain, " ") }

// frame draws the border of r in the given lines.
func (c *canvas) frame(r rect, k ink, b border) {
	if r.w < 2 || r.h < 2 {
		return
	}
	side := strings.Repeat(b.across, r.w-2)
	c.put(r, point{r.x, r.y}, k, b.topLeft+side+b.topRight)
	c.put(r, point{r.x, r.y + r.h - 1}, k, b.bottomLeft+side+b.bottomRight)
	for y := r.y + 1; y < r.y+r.h-1; y++ {
		c.put(r, point{r.x, y}, k, b.down)
		c.put(r, point{r.x + r.w - 1, y}, k, b.down)
	}
}

// String turns the grid into text: exactly h lines, none wider than w.
func (c *canvas) String() string {
	var b strings.Builder
	b.Grow(c.w * c.h * 2)
	for y := range c.h {
		if y > 0 {
			b.WriteByte('\n')
		}
		c.line(&b, c.cells[y*c.w:(y+1)*c.w])
	}
	return b.String()
}

func (c *canvas) line(b *strings.Builder, row []cell) {
	end := len(row)
	for c.look.pens[inkPlain].open == "" && end > 0 && (row[end-1].text == "" || row[end-1].text == " ") && row[end-1].ink == inkPlain && !wideTail(row, end-1) {
		end--
	}
	now := inkPlain
	b.WriteString(c.look.pens[now].open)
	for x := 0; x < end; x++ {
		it := row[x]
		if it.text == "" && !wideTail(row, x) {
			it.text = " "
		}
		if x+1 < end && cellWidthOf(it.text) == 2 && row[x+1].text != "" {
			it.text = " " // the right half was drawn over
		}
		pens := &c.look.pens
		if it.ink != now && !(it.text == " " && pens[it.ink].unseen && pens[now].unseen) {
			change(b, pens[now].close, pens[it.ink].open)
			now = it.ink
		}
		b.WriteString(it.text)
	}
	b.WriteString(c.look.pens[now].close)
}

// change switches from one pen to the next, in one sequence where there would be
// two: over a slow line half of a picture is pens.
func change(b *strings.Builder, closing, opening string) {
	const off = "\x1b[0m"
	if rest, ok := strings.CutPrefix(opening, "\x1b["); ok && closing == off {
		b.WriteString("\x1b[0;")
		b.WriteString(rest)
		return
	}
	b.WriteString(closing)
	b.WriteString(opening)
}

// wideTail reports whether row[x] is the right half of a wide rune.
func wideTail(row []cell, x int) bool {
	return x > 0 && row[x].text == "" && cellWidthOf(row[x-1].text) == 2
}

func cellWidthOf(text string) int {
	for _, r := range text {
		return cellWidth(r)
	}
	return 0
}

// solid draws a filled shape into c from quarter blocks: inside tells for a
// point, in cells from the upper left corner, whether it is metal.
func (c *canvas) solid(k ink, inside func(x, y float64) bool) {
	// By quarter: upper left 1, upper right 2, lower left 4, lower right 8.
	quarters := [16]string{"", "▘", "▝", "▀", "▖", "▌", "▞", "▛", "▗", "▚", "▐", "▜", "▄", "▙", "▟", "█"}
	for y := range c.h {
		for x := range c.w {
			bits := 0
			for q := range 4 {
				if inside(float64(x)+0.25+0.5*float64(q%2), float64(y)+0.25+0.5*float64(q/2)) {
					bits |= 1 << q
				}
			}
			switch {
			case bits == 0:
			case c.look.g.halves:
				c.cells[y*c.w+x] = cell{quarters[bits], k}
			default:
				c.cells[y*c.w+x] = cell{"#", k}
			}
		}
	}
}

// hatch draws the hatching of a section into c wherever a whole cell is inside.
func (c *canvas) hatch(k ink, inside func(x, y float64) bool) {
	for y := range c.h {
		for x := range c.w {
			all := (x+y)%4 == 0
			for q := 0; all && q < 4; q++ {
				all = inside(float64(x+q%2), float64(y+q/2))
			}
			if all {
				c.cells[y*c.w+x] = cell{c.look.g.hatch, k}
			}
		}
	}
}
