package paint

// A target on a touch layout is at least this large.
const (
	FingerWide = 8
	FingerTall = 3
)

// Shape is how much room a screen has across.
type Shape int

const (
	Narrow Shape = iota // one column: a phone, a split terminal
	medium              // the figures fit beside the text
	Wide                // the list of steps fits as well
)

// Areas is where everything goes on a screen of one size. Drawing and tapping
// both use it. Any of the rectangles may be empty.
type Areas struct {
	Shape Shape
	Touch bool
	Head  Rect // what is on the screen, one line
	Rule  Rect // how far the job is, one line
	Body  Rect // everything between the rule and the buttons
	Side  Rect // wide: the list of steps
	Main  Rect // the text
	Aside Rect // medium and wide: the figures
	Bar   Rect // the buttons
	Foot  Rect // what was saved, one line
}

// Layout divides a screen. It depends on nothing but its arguments.
func Layout(width, height int, touch bool) Areas {
	a := Areas{Touch: touch}
	switch {
	case width >= 110:
		a.Shape = Wide
	case width >= 76:
		a.Shape = medium
	}
	top, bottom := 0, height
	take := func(at *Rect, rows int, fromTop bool) {
		rows = min(rows, bottom-top)
		if fromTop {
			*at = Rect{0, top, width, rows}
			top += rows
			return
		}
		bottom -= rows
		*at = Rect{0, bottom, width, rows}
	}
	if height >= 5 {
		take(&a.Foot, 1, false)
	}
	switch {
	case height >= 14:
		take(&a.Bar, FingerTall, false)
	case height >= 3:
		take(&a.Bar, 1, false)
	}
	if height >= 4 {
		take(&a.Head, 1, true)
	}
	if height >= 8 {
		take(&a.Rule, 1, true)
	}
	margin := 0
	switch {
	case width >= 60:
		margin = 2
	case width >= 30:
		margin = 1
	}
	a.Body = Rect{0, top, width, bottom - top}.Cut(margin, 0, margin, 0)
	if height >= 22 { // a little air under the rule where there is room
		a.Body = a.Body.Cut(0, 1, 0, 0)
	}
	a.Head = a.Head.Cut(margin, 0, margin, 0)
	a.Rule = a.Rule.Cut(margin, 0, margin, 0)
	a.Foot = a.Foot.Cut(margin, 0, margin, 0)

	a.Main = a.Body
	if a.Shape == Wide {
		w := min(46, a.Body.W*3/10)
		a.Side = Rect{a.Body.X, a.Body.Y, w, a.Body.H}
		a.Main = a.Main.Cut(w+3, 0, 0, 0)
	}
	if a.Shape >= medium {
		w := min(44, a.Body.W*2/5)
		if a.Shape == Wide {
			w = min(44, a.Main.W*2/5)
		}
		a.Aside = Rect{a.Main.X + a.Main.W - w, a.Main.Y, w, a.Main.H}
		a.Main = a.Main.Cut(0, 0, w+3, 0)
	}
	return a
}

// Buttons divides the bar: up to n places from the left and the large one for
// the main action at the right. Places that would be too narrow for a finger
// are left out; the caller puts what found no place behind the first.
func (a Areas) Buttons(n int) (places []Rect, last Rect) {
	if a.Bar.Empty() {
		return nil, Rect{}
	}
	w := min(a.Bar.W, max(16, min(28, a.Bar.W/4)))
	if a.Bar.W < 3*FingerWide {
		w = max(FingerWide, a.Bar.W-FingerWide)
	}
	w = min(w, a.Bar.W)
	last = Rect{a.Bar.X + a.Bar.W - w, a.Bar.Y, w, a.Bar.H}
	room := a.Bar.W - w
	each := FingerWide
	switch a.Shape {
	case medium:
		each = FingerWide + 2
	case Wide: // air on both sides of the words
		each = FingerWide + 3
	}
	n = min(n, room/each)
	if n <= 0 {
		return nil, last
	}
	each = min(room/n, 13)
	for i := range n {
		places = append(places, Rect{a.Bar.X + i*each, a.Bar.Y, each, a.Bar.H})
	}
	return places, last
}

// Grid divides r into cols by rows places of equal size, row by row.
func Grid(r Rect, cols, rows int) []Rect {
	if r.Empty() || cols <= 0 || rows <= 0 {
		return nil
	}
	places := make([]Rect, 0, cols*rows)
	for y := range rows {
		top, next := r.H*y/rows, r.H*(y+1)/rows
		for x := range cols {
			left, right := r.W*x/cols, r.W*(x+1)/cols
			places = append(places, Rect{r.X + left, r.Y + top, right - left, next - top})
		}
	}
	return places
}
