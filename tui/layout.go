package tui

// A target on a touch layout is at least this large.
const (
	fingerWide = 8
	fingerTall = 3
)

// shape is how much room a screen has across.
type shape int

const (
	narrow shape = iota // one column: a phone, a split terminal
	medium              // the figures fit beside the text
	wide                // the list of steps fits as well
)

// areas is where everything goes on a screen of one size. Drawing and tapping
// both use it. Any of the rectangles may be empty.
type areas struct {
	shape shape
	touch bool
	head  rect // what is on the screen, one line
	rule  rect // how far the job is, one line
	body  rect // everything between the rule and the buttons
	side  rect // wide: the list of steps
	main  rect // the text
	aside rect // medium and wide: the figures
	bar   rect // the buttons
	foot  rect // what was saved, one line
}

// layout divides a screen. It depends on nothing but its arguments.
func layout(width, height int, touch bool) areas {
	a := areas{touch: touch}
	switch {
	case width >= 110:
		a.shape = wide
	case width >= 76:
		a.shape = medium
	}
	top, bottom := 0, height
	take := func(at *rect, rows int, fromTop bool) {
		rows = min(rows, bottom-top)
		if fromTop {
			*at = rect{0, top, width, rows}
			top += rows
			return
		}
		bottom -= rows
		*at = rect{0, bottom, width, rows}
	}
	if height >= 5 {
		take(&a.foot, 1, false)
	}
	switch {
	case height >= 14:
		take(&a.bar, fingerTall, false)
	case height >= 3:
		take(&a.bar, 1, false)
	}
	if height >= 4 {
		take(&a.head, 1, true)
	}
	if height >= 8 {
		take(&a.rule, 1, true)
	}
	margin := 0
	switch {
	case width >= 60:
		margin = 2
	case width >= 30:
		margin = 1
	}
	a.body = rect{0, top, width, bottom - top}.cut(margin, 0, margin, 0)
	if height >= 22 { // a little air under the rule where there is room
		a.body = a.body.cut(0, 1, 0, 0)
	}
	a.head = a.head.cut(margin, 0, margin, 0)
	a.rule = a.rule.cut(margin, 0, margin, 0)
	a.foot = a.foot.cut(margin, 0, margin, 0)

	a.main = a.body
	if a.shape == wide {
		w := min(46, a.body.w*3/10)
		a.side = rect{a.body.x, a.body.y, w, a.body.h}
		a.main = a.main.cut(w+3, 0, 0, 0)
	}
	if a.shape >= medium {
		w := min(44, a.body.w*2/5)
		if a.shape == wide {
			w = min(44, a.main.w*2/5)
		}
		a.aside = rect{a.main.x + a.main.w - w, a.main.y, w, a.main.h}
		a.main = a.main.cut(0, 0, w+3, 0)
	}
	return a
}

// buttons divides the bar: up to n places from the left and the large one for
// the main action at the right. Places that would be too narrow for a finger
// are left out; the caller puts what found no place behind the first.
func (a areas) buttons(n int) (places []rect, last rect) {
	if a.bar.empty() {
		return nil, rect{}
	}
	w := min(a.bar.w, max(16, min(28, a.bar.w/4)))
	if a.bar.w < 3*fingerWide {
		w = max(fingerWide, a.bar.w-fingerWide)
	}
	w = min(w, a.bar.w)
	last = rect{a.bar.x + a.bar.w - w, a.bar.y, w, a.bar.h}
	room := a.bar.w - w
	each := fingerWide
	switch a.shape {
	case medium:
		each = fingerWide + 2
	case wide: // air on both sides of the words
		each = fingerWide + 3
	}
	n = min(n, room/each)
	if n <= 0 {
		return nil, last
	}
	each = min(room/n, 13)
	for i := range n {
		places = append(places, rect{a.bar.x + i*each, a.bar.y, each, a.bar.h})
	}
	return places, last
}

// grid divides r into cols by rows places of equal size, row by row.
func grid(r rect, cols, rows int) []rect {
	if r.empty() || cols <= 0 || rows <= 0 {
		return nil
	}
	places := make([]rect, 0, cols*rows)
	for y := range rows {
		top, next := r.h*y/rows, r.h*(y+1)/rows
		for x := range cols {
			left, right := r.w*x/cols, r.w*(x+1)/cols
			places = append(places, rect{r.x + left, r.y + top, right - left, next - top})
		}
	}
	return places
}
