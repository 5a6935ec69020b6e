package tui

import (
	"fettle/tui/paint"
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// tile is one thing to choose from a tray. Where a tray is too narrow for the
// name, its face stands for it, and brief for the note; both may be empty.
type tile struct {
	name, face  string
	note, brief string // what tells it from the others
	do          func() tea.Cmd
}

func (t tile) shortName() string {
	if t.face != "" {
		return t.face
	}
	return t.name
}

func (t tile) shortNote() string {
	if t.brief != "" {
		return t.brief
	}
	return t.note
}

// tray is a choice from things of a few words each, in as few columns as show
// all of them at once, and over pages where no number of columns does.
type tray struct {
	cur  int  // the thing the keys are on
	none bool // none is picked yet
	page int
	free bool // the page was turned without the keys: it need not hold cur
	// As last drawn.
	slots []slot
	pages int
	notes bool // the notes are whole
}

// slot is where a thing of a tray lies: the columns are those of the screen,
// counted from the left of the tray.
type slot struct{ page, row, x, w int }

// A tile is not drawn wider than this.
const (
	tileWidest = 26 // for fingers
	rowWidest  = 46
)

// pack lays things that need so many cells each into a tray of w cells and so
// many rows: slots in the fewest columns that hold all, or that take the
// fewest pages and the first of them the fullest. Where there are pages, the end of the last row of each is left
// free for turn, the place that turns it. No column is narrower than least.
func pack(need []int, w, rows, least, widest int) (slots []slot, pages int, turn slot) {
	w, rows = max(1, w), max(1, rows)
	for cols := 1; cols == 1 || w/cols >= least; cols++ {
		try, n, at := packInto(need, min(w, cols*widest), cols, rows, false)
		if n > 1 {
			try, n, at = packInto(need, min(w, cols*widest), cols, rows, true)
		}
		if slots == nil || n < pages || n == pages && (onFirst(try) > onFirst(slots) || turn.w == 0) {
			slots, pages, turn = try, n, at
		}
		if pages <= 1 {
			break
		}
	}
	return slots, pages, turn
}

// onFirst is how many things the first page holds.
func onFirst(slots []slot) (n int) {
	for _, s := range slots {
		if s.page == 0 {
			n++
		}
	}
	return n
}

// packInto lays things row by row into so many columns; what needs more than a
// column takes the next ones as well.
func packInto(need []int, w, cols, rows int, paged bool) (slots []slot, pages int, turn slot) {
	edge := func(col int) int { return w * col / cols }
	end := cols // of the last row
	if paged && (rows > 1 || cols > 1) {
		end = cols - 1
		turn = slot{0, rows - 1, edge(end), w - edge(end)}
	}
	page, row, col := 0, 0, 0
	next := func() {
		col = 0
		if row++; row == rows {
			row, page = 0, page+1
		}
	}
	for _, n := range need {
		for {
			last := cols
			if row == rows-1 {
				last = end
			}
			span := 1
			for col+span < last && edge(col+span)-edge(col) < n {
				span++
			}
			fits := edge(col+span)-edge(col) >= n
			if col >= last || !fits && (col > 0 || last < cols && rows > 1) {
				next()
				continue
			}
			slots = append(slots, slot{page, row, edge(col), edge(col+span) - edge(col)})
			col += span
			break
		}
	}
	return slots, page + 1, turn
}

// tray draws the part of t that fits into r. Even trays give every thing the
// same room, so that they stand in columns.
func (f *frame) tray(r paint.Rect, t *tray, tiles []tile, even bool) {
	t.slots, t.pages, t.notes = nil, 1, true
	if r.Empty() || len(tiles) == 0 {
		return
	}
	t.cur = max(0, min(len(tiles)-1, t.cur))
	tall, edges, widest := 1, 4, rowWidest // a mark before the name, and air behind it
	if f.Touch && r.H >= paint.FingerTall {
		tall, edges, widest = paint.FingerTall, 2, tileWidest
	}
	need := make([]int, len(tiles))
	most := 0
	for i, x := range tiles {
		name, note := paint.TextWidth(f.Look.Clean(x.shortName())), paint.TextWidth(f.Look.Clean(x.shortNote()))
		need[i] = max(name, note) + edges
		if tall == 1 && note > 0 {
			need[i] = name + 2 + note + edges
		}
		most = max(most, need[i])
	}
	least := paint.FingerWide
	if even {
		least = max(least, most)
		for i := range need {
			need[i] = most
		}
	}
	var turn slot
	t.slots, t.pages, turn = pack(need, r.W, r.H/tall, least, widest)
	if !t.free {
		t.page = t.slots[t.cur].page
	}
	t.page = max(0, min(t.pages-1, t.page))

	whole := true // the names
	for i, x := range tiles {
		whole = whole && paint.TextWidth(f.Look.Clean(x.name))+edges+t.beside(f, x.shortNote(), tall) <= t.slots[i].w
	}
	names := tile.shortName
	if whole {
		names = func(x tile) string { return x.name }
	}
	for i, x := range tiles {
		room := t.slots[i].w - edges
		if tall == 1 {
			room -= paint.TextWidth(f.Look.Clean(names(x))) + 2
		}
		t.notes = t.notes && paint.TextWidth(f.Look.Clean(x.note)) <= room
	}
	for i, x := range tiles {
		s := t.slots[i]
		if s.page != t.page {
			continue
		}
		note := x.shortNote()
		if t.notes {
			note = x.note
		}
		at := paint.Rect{X: r.X + s.x, Y: r.Y + s.row*tall, W: s.w, H: tall}
		f.tile(at, names(x), note, i == t.cur && !t.none)
		f.target(at, x.name, x.do)
	}
	if t.pages > 1 && turn.w > 0 {
		f.turnPage(paint.Rect{X: r.X + turn.x, Y: r.Y + turn.row*tall, W: turn.w, H: tall}, t)
	}
}

// beside is the room a note takes from its name's row.
func (t *tray) beside(f *frame, note string, tall int) int {
	if tall > 1 || note == "" {
		return 0
	}
	return paint.TextWidth(f.Look.Clean(note)) + 2
}

// tile draws one thing: framed where it is made for a finger, its note in the
// lower edge; in a row of its own otherwise.
func (f *frame) tile(at paint.Rect, name, note string, here bool) {
	if at.H == 1 {
		mark, k := "  ", paint.InkStrong
		if here {
			mark, k = f.Look.G.Here+" ", paint.InkBrand
		}
		in := at.Cut(0, 0, 2, 0)
		x := f.Put(in, paint.Point{X: at.X, Y: at.Y}, paint.InkBrand, mark)
		name = f.Look.Short(name, in.X+in.W-x)
		x = f.Put(in, paint.Point{X: x, Y: at.Y}, k, name)
		if note = f.Look.Clean(note); note == "" {
			return
		}
		gap := in.X + in.W - x - paint.TextWidth(note)
		if gap > 4 {
			f.Put(in, paint.Point{X: x + 1, Y: at.Y}, paint.InkQuiet, strings.Repeat(f.Look.G.Dots, gap-2))
		}
		f.Right(paint.Rect{X: x, Y: at.Y, W: in.X + in.W - x, H: 1}, paint.InkPlain, note)
		return
	}
	lines, edge := f.Look.G.Thin, paint.InkQuiet
	if here {
		lines, edge = f.Look.G.Thick, paint.InkBrand
	}
	f.Frame(at, edge, lines)
	f.Centre(at.Cut(1, 1, 1, 1), paint.InkStrong, name)
	low := paint.Rect{X: at.X + 1, Y: at.Y + at.H - 1, W: at.W - 2, H: 1}
	switch w := paint.TextWidth(f.Look.Clean(note)); {
	case note == "":
	case w+2 <= low.W:
		f.Centre(low, paint.InkPlain, " "+note+" ")
	default:
		f.Centre(low, paint.InkPlain, note)
	}
}

// turnPage is the place that turns to the next page, and after the last to the
// first.
func (f *frame) turnPage(at paint.Rect, t *tray) {
	count := fmt.Sprintf("%d/%d", t.page+1, t.pages)
	face := "More " + count
	if paint.TextWidth(face)+2 > at.W {
		face = count + " " + f.Look.G.Down
	}
	if at.H == 1 {
		f.Label(at.Cut(2, 0, 0, 0), paint.InkBrand, face)
	} else {
		f.Frame(at, paint.InkBrand, f.Look.G.Thin)
		f.Centre(at.Cut(1, 1, 1, 1), paint.InkBrand, face)
	}
	f.target(at, "More "+count, func() tea.Cmd { t.turn(1); return nil })
}

// turn goes n pages on, round from the last to the first.
func (t *tray) turn(n int) {
	pages := max(1, t.pages)
	t.page, t.free = ((t.page+n)%pages+pages)%pages, true
}

// scroll turns the page as a wheel does: one page, and not past the ends.
func (t *tray) scroll(n int) {
	if to := t.page + max(-1, min(1, n)); to >= 0 && to < t.pages {
		t.page, t.free = to, true
	}
}

// key moves to another of n things; false means that k is no key for that.
func (t *tray) key(k tea.KeyMsg, keys keyMap, n int) bool {
	was := t.none
	to := t.cur
	switch {
	case key.Matches(k, keys.Prev):
		to--
	case key.Matches(k, keys.Next):
		to++
	case key.Matches(k, keys.Up):
		to = t.above(-1)
	case key.Matches(k, keys.Down):
		to = t.above(1)
	case key.Matches(k, keys.PageUp):
		to = t.onPage(-1)
	case key.Matches(k, keys.PageDown):
		to = t.onPage(1)
	case key.Matches(k, keys.Top):
		to = 0
	case key.Matches(k, keys.Bottom):
		to = n - 1
	default:
		return false
	}
	if was { // the first key picks the first thing, or the last
		if to > t.cur {
			to = 0
		} else {
			to = n - 1
		}
	}
	t.cur, t.none, t.free = max(0, min(n-1, to)), false, false
	return true
}

// above is the thing a row below (1) or above (-1) the one the keys are on,
// the one most nearly under it; the next where there is no such row.
func (t *tray) above(dir int) int {
	if t.cur >= len(t.slots) {
		return t.cur + dir
	}
	from := t.slots[t.cur]
	best, row := -1, -1
	for i := t.cur + dir; i >= 0 && i < len(t.slots); i += dir {
		s := t.slots[i]
		at := s.page*1000 + s.row
		if s.page == from.page && s.row == from.row {
			continue
		}
		if best >= 0 && at != row {
			break
		}
		off := func(s slot) int { d := 2*s.x + s.w - 2*from.x - from.w; return max(d, -d) }
		if best < 0 || off(s) < off(t.slots[best]) {
			best, row = i, at
		}
	}
	if best < 0 {
		return t.cur + dir
	}
	return best
}

// onPage is the first thing of the page before (-1) or after (1) the one the
// keys are on.
func (t *tray) onPage(dir int) int {
	if t.cur >= len(t.slots) {
		return t.cur
	}
	want := t.slots[t.cur].page + dir
	if t.free {
		want = t.page + dir
	}
	want = max(0, min(t.pages-1, want))
	for i, s := range t.slots {
		if s.page == want {
			return i
		}
	}
	return t.cur
}
