package tui

import (
	"math"
	"strconv"

	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// picture adds the rows of a canvas to the doc.
func (d *doc) picture(c *paint.Canvas) {
	for y := range c.H {
		var line []paint.Span
		for _, it := range c.Cells[y*c.W : (y+1)*c.W] {
			text := it.Text
			if text == "" {
				text = " "
			}
			if n := len(line); n > 0 && line[n-1].Ink == it.Ink {
				line[n-1].Text += text
				continue
			}
			line = append(line, paint.Span{Ink: it.Ink, Text: text})
		}
		d.add(line...)
	}
}

// drawnBolts is the largest circle that is drawn: the numbers of more would
// run into each other.
const drawnBolts = 24

// boltCircle draws a ring of screws seen from above. Each stands at its angle
// and bears its own number, as texts and findings count them: numbers of the
// turns beside them would send a spanner to the wrong screw. The first done in
// the order of tightening are marked as tight, the one after them as next.
func (d *doc) boltCircle(c fastening.Circle, order []int, done int) {
	n := len(c.Holes)
	if n == 0 || n > drawnBolts || d.w < 16 {
		return
	}
	tight := make([]bool, n+1)
	for _, hole := range order[:done] {
		tight[hole] = true
	}
	next, sign := 0, ""
	if done < len(order) {
		next, sign = order[done], "next"
	}
	if done == 0 {
		sign = "first"
	}
	h := 11
	if n > 12 {
		h = 15
	}
	w := min(d.w, 2*h+6)
	pic := paint.NewCanvas(w, h, d.look)
	// A cell is about twice as high as it is wide.
	rx, ry := float64(w-5)/2, float64(h-1)/2
	place := func(angle, share float64) paint.Point {
		return paint.Point{X: int(math.Round(float64(w-1)/2 + share*rx*math.Cos(angle))), Y: int(math.Round(ry - share*ry*math.Sin(angle)))}
	}
	const rim = 64 // points of the circle they stand on
	for i := range rim {
		pic.Put(pic.Bounds(), place(2*math.Pi*float64(i)/rim, 1), paint.InkQuiet, d.look.G.Later)
	}
	for _, hole := range c.Holes {
		at := place(hole.Angle.Radians(), 1)
		text := strconv.Itoa(hole.Number)
		k := paint.InkStrong
		switch {
		case tight[hole.Number]:
			text, k = text+d.look.G.Done, paint.InkDone
		case hole.Number == next:
			text, k = d.look.G.Here+text, paint.InkBrand
		}
		x := max(0, min(w-paint.TextWidth(text), at.X-(paint.TextWidth(text)-1)/2))
		pic.Put(pic.Bounds(), paint.Point{X: x, Y: at.Y}, k, text)
	}
	if next > 0 { // to be read from where the spanner is
		middle := paint.Rect{X: w/2 - 6, Y: h/2 - 2, W: 12, H: 1}
		if rows := d.look.BigText(strconv.Itoa(next), middle.W); rows != nil {
			pic.Centre(middle, paint.InkBrand, sign)
			for i, row := range rows {
				wide := paint.TextWidth(row) - 1
				pic.Put(pic.Bounds(), paint.Point{X: middle.X + (middle.W-wide)/2, Y: middle.Y + 1 + i}, paint.InkStrong, row)
			}
		} else {
			pic.Centre(paint.Rect{X: middle.X, Y: h / 2, W: middle.W, H: 1}, paint.InkBrand, sign+" "+strconv.Itoa(next))
		}
	}
	d.picture(pic)
}

// cellAspect is how much higher than wide a cell is, near enough on every
// terminal to call a drawing true to scale.
const cellAspect = 2.0

// radiusAt is how far an outline reaches from the axis at a place along it.
func radiusAt(outline []threads.Point, along float64) float64 {
	for i := 1; i < len(outline); i++ {
		a, b := outline[i-1], outline[i]
		if along >= a.Along.MM() && along <= b.Along.MM() && b.Along > a.Along {
			part := (along - a.Along.MM()) / (b.Along - a.Along).MM()
			return a.Radius.MM() + part*(b.Radius-a.Radius).MM()
		}
	}
	return 0
}

// screw draws a screw in section to scale, with its countersunk head where it
// has one.
func (d *doc) screw(t threads.Thread, head *threads.Head) {
	const turns = 3
	columns, rows := 36, 10.0
	shank := t.Section(turns+1, 24)
	if !d.look.G.Halves || len(shank) == 0 || !(t.Major > 0) || d.w < 24 {
		return
	}
	var top []threads.Point
	widest, high := t.Major.MM(), 0.0
	if head != nil {
		top = head.Section(t.Major, 0)
		widest, high = max(widest, head.HeadDiameter.MM()), head.Height.MM()
		columns, rows = 48, 14
	}
	pitch := t.Pitch.MM()
	long := high + turns*pitch
	perMM := min(float64(min(d.w, columns))/widest, rows*cellAspect/long) // columns to the millimetre
	pic := paint.NewCanvas(int(math.Ceil(widest*perMM)), int(math.Ceil(long*perMM/cellAspect)), d.look)
	middle := float64(pic.W) / 2
	metal := func(x, y, rim float64) bool {
		off, along := (x-middle)/perMM, y*cellAspect/perMM
		outline := shank
		if along < high {
			outline = top
			if along < rim/2 {
				return false
			}
		} else if along -= high; off < 0 {
			along += pitch / 2 // half a turn on, at the other side
		}
		return math.Abs(off) < radiusAt(outline, along)-rim
	}
	// Its edge and hatching, as a drawing has them: filled in it would be seen
	// before anything else on the screen.
	rim := 2 / perMM
	pic.Hatch(paint.InkQuiet, func(x, y float64) bool { return metal(x, y, rim) })
	pic.Solid(paint.InkBrand, func(x, y float64) bool { return metal(x, y, 0) && !metal(x, y, rim) })
	d.picture(pic)
}

// profile draws three threads of the screw in the tapped hole, to scale: what
// the drill has left of the hole's thread is the metal above the screw.
func (d *doc) profile(t threads.Thread, hole quantity.Length) {
	const turns = 3
	screw, bore := t.Section(turns, 48), t.HoleSection(hole, turns, 48)
	if !d.look.G.Halves || len(screw) == 0 || !(t.Pitch > 0) || d.w < 24 {
		return
	}
	crest, root := t.Major.MM()/2, t.MinorExternal().MM()/2
	depth := crest - root
	perMM := float64(min(d.w, 42)) / (turns * t.Pitch.MM())
	rows := int(math.Ceil(1.6*depth*perMM/cellAspect)) + 1
	pic := paint.NewCanvas(int(turns*t.Pitch.MM()*perMM), rows, d.look)
	radius := func(y float64) float64 { return root - 0.3*depth + (float64(rows)-y)*cellAspect/perMM }
	gap := 0.06 * depth // so that the two can be told apart without colour
	pic.Solid(paint.InkQuiet, func(x, y float64) bool { return radius(y) > radiusAt(bore, x/perMM)+gap })
	pic.Solid(paint.InkBrand, func(x, y float64) bool { return radius(y) < radiusAt(screw, x/perMM) })
	d.picture(pic)
	d.add(paint.Span{Ink: paint.InkBrand, Text: "▄ screw  "}, paint.Span{Ink: paint.InkQuiet, Text: "▀ tapped metal"})
}
