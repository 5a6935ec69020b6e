package paint

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// Point is a place on the screen, counted from the upper left cell.
type Point struct{ X, Y int }

// Rect is a part of the screen. A rect without width or height holds nothing.
type Rect struct{ X, Y, W, H int }

func (r Rect) Empty() bool { return r.W <= 0 || r.H <= 0 }

func (r Rect) Holds(p Point) bool {
	return p.X >= r.X && p.X < r.X+r.W && p.Y >= r.Y && p.Y < r.Y+r.H
}

// Cut returns r without n columns or rows on each named edge, never negative.
func (r Rect) Cut(left, top, right, bottom int) Rect {
	return Rect{r.X + left, r.Y + top, max(0, r.W-left-right), max(0, r.H-top-bottom)}
}

// cell is one character place: its text (one rune and the marks that combine
// with it), the ink it is drawn in. The right half of a wide rune has no text.
type cell struct {
	Text string
	Ink  Ink
}

// Canvas is the screen as a grid of cells. Everything is drawn onto it and it
// alone is turned into text, so that a view has exactly the height of the
// screen and is never wider, whatever was drawn.
type Canvas struct {
	W, H  int
	Cells []cell
	Look  *Look
}

func NewCanvas(w, h int, l *Look) *Canvas {
	c := &Canvas{W: max(0, w), H: max(0, h), Look: l}
	c.Cells = make([]cell, c.W*c.H)
	return c
}

func (c *Canvas) Bounds() Rect { return Rect{0, 0, c.W, c.H} }

// CellWidth is the number of cells a rune takes: 0, 1 or 2. Runes of ambiguous
// width count as one; where a terminal draws them two wide, the locale says so
// and the ASCII glyphs are used instead.
func CellWidth(r rune) int {
	if r < 0x7f {
		return 1
	}
	return narrowRunes.RuneWidth(r)
}

var narrowRunes = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

func TextWidth(s string) int {
	w := 0
	for _, r := range s {
		w += CellWidth(r)
	}
	return w
}

// Put draws s from p to the right and stops at the right edge of clip. It
// returns the column after the last cell drawn.
func (c *Canvas) Put(clip Rect, p Point, k Ink, s string) int {
	s = c.Look.Clean(s)
	x := p.X
	right := min(clip.X+clip.W, c.W)
	if p.Y < clip.Y || p.Y >= clip.Y+clip.H || p.Y < 0 || p.Y >= c.H {
		return x
	}
	row := c.Cells[p.Y*c.W : (p.Y+1)*c.W]
	last := -1
	for i, r := range s {
		w := CellWidth(r)
		size := len(string(r))
		if w == 0 {
			if last >= 0 {
				row[last].Text += s[i : i+size]
			}
			continue
		}
		if x+w > right {
			break
		}
		if x < clip.X || x < 0 {
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

// Label draws s, shortened with the sign for "cut off" where it does not fit.
func (c *Canvas) Label(r Rect, k Ink, s string) {
	if r.Empty() {
		return
	}
	c.Put(r, Point{r.X, r.Y}, k, c.Look.Short(s, r.W))
}

// Centre draws s in the middle of r.
func (c *Canvas) Centre(r Rect, k Ink, s string) {
	if r.Empty() {
		return
	}
	s = c.Look.Short(s, r.W)
	c.Put(r, Point{r.X + (r.W-TextWidth(s))/2, r.Y + (r.H-1)/2}, k, s)
}

// Right draws s against the right edge of r and returns the column it starts in.
func (c *Canvas) Right(r Rect, k Ink, s string) int {
	if r.Empty() {
		return r.X
	}
	s = c.Look.Short(s, r.W)
	x := r.X + r.W - TextWidth(s)
	c.Put(r, Point{x, r.Y}, k, s)
	return x
}

// Fill covers r with one character.
func (c *Canvas) Fill(r Rect, k Ink, s string) {
	for y := max(0, r.Y); y < min(c.H, r.Y+r.H); y++ {
		for x := max(0, r.X); x < min(c.W, r.X+r.W); x++ {
			c.Cells[y*c.W+x] = cell{s, k}
		}
	}
}

// Wipe empties r.
func (c *Canvas) Wipe(r Rect) { c.Fill(r, InkPlain, " ") }

// Frame draws the border of r in the given lines.
func (c *Canvas) Frame(r Rect, k Ink, b border) {
	if r.W < 2 || r.H < 2 {
		return
	}
	side := strings.Repeat(b.Across, r.W-2)
	c.Put(r, Point{r.X, r.Y}, k, b.TopLeft+side+b.TopRight)
	c.Put(r, Point{r.X, r.Y + r.H - 1}, k, b.BottomLeft+side+b.BottomRight)
	for y := r.Y + 1; y < r.Y+r.H-1; y++ {
		c.Put(r, Point{r.X, y}, k, b.Down)
		c.Put(r, Point{r.X + r.W - 1, y}, k, b.Down)
	}
}

// String turns the grid into text: exactly h lines, none wider than w.
func (c *Canvas) String() string {
	var b strings.Builder
	b.Grow(c.W * c.H * 2)
	for y := range c.H {
		if y > 0 {
			b.WriteByte('\n')
		}
		c.line(&b, c.Cells[y*c.W:(y+1)*c.W])
	}
	return b.String()
}

func (c *Canvas) line(b *strings.Builder, row []cell) {
	end := len(row)
	for c.Look.pens[InkPlain].open == "" && end > 0 && (row[end-1].Text == "" || row[end-1].Text == " ") && row[end-1].Ink == InkPlain && !wideTail(row, end-1) {
		end--
	}
	now := InkPlain
	b.WriteString(c.Look.pens[now].open)
	for x := 0; x < end; x++ {
		it := row[x]
		if it.Text == "" && !wideTail(row, x) {
			it.Text = " "
		}
		if x+1 < end && cellWidthOf(it.Text) == 2 && row[x+1].Text != "" {
			it.Text = " " // the right half was drawn over
		}
		pens := &c.Look.pens
		if it.Ink != now && !(it.Text == " " && pens[it.Ink].unseen && pens[now].unseen) {
			change(b, pens[now].close, pens[it.Ink].open)
			now = it.Ink
		}
		b.WriteString(it.Text)
	}
	b.WriteString(c.Look.pens[now].close)
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
	return x > 0 && row[x].Text == "" && cellWidthOf(row[x-1].Text) == 2
}

func cellWidthOf(text string) int {
	for _, r := range text {
		return CellWidth(r)
	}
	return 0
}

// Solid draws a filled shape into c from quarter blocks: inside tells for a
// point, in cells from the upper left corner, whether it is metal.
func (c *Canvas) Solid(k Ink, inside func(x, y float64) bool) {
	// By quarter: upper left 1, upper right 2, lower left 4, lower right 8.
	quarters := [16]string{"", "▘", "▝", "▀", "▖", "▌", "▞", "▛", "▗", "▚", "▐", "▜", "▄", "▙", "▟", "█"}
	for y := range c.H {
		for x := range c.W {
			bits := 0
			for q := range 4 {
				if inside(float64(x)+0.25+0.5*float64(q%2), float64(y)+0.25+0.5*float64(q/2)) {
					bits |= 1 << q
				}
			}
			switch {
			case bits == 0:
			case c.Look.G.Halves:
				c.Cells[y*c.W+x] = cell{quarters[bits], k}
			default:
				c.Cells[y*c.W+x] = cell{"#", k}
			}
		}
	}
}

// Hatch draws the hatching of a section into c wherever a whole cell is inside.
func (c *Canvas) Hatch(k Ink, inside func(x, y float64) bool) {
	for y := range c.H {
		for x := range c.W {
			all := (x+y)%4 == 0
			for q := 0; all && q < 4; q++ {
				all = inside(float64(x+q%2), float64(y+q/2))
			}
			if all {
				c.Cells[y*c.W+x] = cell{c.Look.G.hatch, k}
			}
		}
	}
}
