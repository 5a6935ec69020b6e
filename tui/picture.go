package tui

import (
	"math"
	"strconv"

	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

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
			if bits != 0 {
				c.cells[y*c.w+x] = cell{quarters[bits], k}
			}
		}
	}
}

// picture adds the rows of a canvas to the doc.
func (d *doc) picture(c *canvas) {
	for y := range c.h {
		var line []span
		for _, it := range c.cells[y*c.w : (y+1)*c.w] {
			text := it.text
			if text == "" {
				text = " "
			}
			if n := len(line); n > 0 && line[n-1].ink == it.ink {
				line[n-1].text += text
				continue
			}
			line = append(line, span{it.ink, text})
		}
		d.add(line...)
	}
}

// drawnBolts is the largest circle that is drawn: the numbers of more would
// run into each other.
const drawnBolts = 24

// boltCircle draws a ring of screws seen from above. Each stands at its angle
// and bears the number of its turn in the order of tightening; done of them
// are marked as tightened.
func (d *doc) boltCircle(c fastening.Circle, order []int, done int) {
	n := len(c.Holes)
	if n == 0 || n > drawnBolts || d.w < 16 {
		return
	}
	turn := make([]int, n+1)
	for i, hole := range order {
		turn[hole] = i + 1
	}
	h := 11
	if n > 12 {
		h = 15
	}
	w := min(d.w, 2*h+6)
	pic := newCanvas(w, h, d.look)
	// A cell is about twice as high as it is wide.
	rx, ry := float64(w-5)/2, float64(h-1)/2
	place := func(angle, share float64) point {
		return point{int(math.Round(float64(w-1)/2 + share*rx*math.Cos(angle))), int(math.Round(ry - share*ry*math.Sin(angle)))}
	}
	const rim = 64 // points of the circle they stand on
	for i := range rim {
		pic.put(pic.bounds(), place(2*math.Pi*float64(i)/rim, 1), inkQuiet, d.look.g.later)
	}
	for _, hole := range c.Holes {
		at := place(hole.Angle.Radians(), 1)
		text := strconv.Itoa(turn[hole.Number])
		k := inkStrong
		if turn[hole.Number] <= done {
			text, k = text+d.look.g.done, inkDone
		}
		x := max(0, min(w-len(text), at.x-(textWidth(text)-1)/2))
		pic.put(pic.bounds(), point{x, at.y}, k, text)
	}
	pic.centre(rect{w/2 - 6, h / 2, 12, 1}, inkQuiet, "1 first")
	d.picture(pic)
}

// cellAspect is how much higher than wide a cell is, near enough on every
// terminal to call a drawing true to scale.
const cellAspect = 2.0

// screw draws a screw in section to scale, its countersunk head flush with the
// plate where it has one.
func (d *doc) screw(t threads.Thread, head *threads.Head) {
	major, minor, pitch := t.Major.MM(), t.MinorExternal().MM(), t.Pitch.MM()
	if !d.look.g.halves || !(pitch > 0) || !(minor > 0) || d.w < 24 {
		return
	}
	widest, headHigh := major, 0.0
	if head != nil {
		widest, headHigh = max(major, head.CountersinkDiameter.MM(), head.HeadDiameter.MM()), head.Height.MM()
	}
	long := headHigh + 6*pitch
	cols := float64(min(d.w, 56))
	perMM := min(cols/(widest*1.2), 15*cellAspect/long) // columns to the millimetre
	pic := newCanvas(int(math.Ceil(widest*1.2*perMM)), int(math.Ceil(long*perMM/cellAspect)), d.look)
	middle := float64(pic.w) / 2
	radius := func(y float64, side float64) float64 {
		if y < headHigh {
			return (widest - (widest-major)*y/headHigh) / 2
		}
		turn := (y - headHigh) / pitch
		if side < 0 {
			turn += 0.5 // half a turn on, at the other side
		}
		_, part := math.Modf(turn)
		return (minor + (major-minor)*math.Abs(2*part-1)) / 2
	}
	pic.solid(inkBrand, func(x, y float64) bool {
		off := (x - middle) / perMM
		return math.Abs(off) < radius(y*cellAspect/perMM, off)
	})
	d.picture(pic)
}

// profile draws three threads of the screw in the tapped hole, to scale: what
// the drill has left of the hole's thread is the metal above the screw.
func (d *doc) profile(t threads.Thread, hole quantity.Length) {
	pitch := t.Pitch.MM()
	depth := (t.Major - t.MinorExternal()).MM() / 2
	left := (t.Major - hole).MM() / 2
	if !d.look.g.halves || !(pitch > 0) || !(depth > 0) || d.w < 24 {
		return
	}
	const turns = 3
	perMM := float64(min(d.w, 42)) / (turns * pitch)
	rows := int(math.Ceil((depth*1.5)*perMM/cellAspect)) + 1
	pic := newCanvas(int(turns*pitch*perMM), rows, d.look)
	// Upwards: 0 is the root of the screw, depth its crest.
	height := func(x float64) float64 {
		_, part := math.Modf(x / perMM / pitch)
		slope := math.Tan((math.Pi - t.Form.Angle().Radians()) / 2) // of a flank
		flat := (pitch - 2*depth/slope) / 2                         // half of what is left for crest and root together
		from := math.Abs(2*part-1) * pitch / 2                      // from the middle of a root to that of a crest
		return max(0, min(depth, (from-flat/2)*slope))
	}
	up := func(y float64) float64 { return (float64(rows)-y)*cellAspect/perMM - depth*0.3 }
	pic.solid(inkQuiet, func(x, y float64) bool { return up(y) > max(height(x)+0.06*depth, depth-left) })
	pic.solid(inkBrand, func(x, y float64) bool { return up(y) < height(x) })
	d.picture(pic)
	d.add(span{inkBrand, "▄ screw  "}, span{inkQuiet, "▀ tapped metal"})
}
