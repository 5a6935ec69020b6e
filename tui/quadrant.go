package tui

import (
	"math"
	"slices"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// swing is the reading that tells how far the lever of a step goes: the first
// in degrees of which it is said what is wanted. nil for none.
func swing(step *checklist.FilledStep) *checklist.FilledReading {
	i := slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool { return r.Unit == "°" && r.Nominal.Given })
	if i < 0 {
		return nil
	}
	return &step.Readings[i]
}

// quadrant draws the lever of a step between its stops, and in its place as
// read where it has been.
func (d *doc) quadrant(step *checklist.FilledStep, st job.StepState) bool {
	if !(step.Quadrant > 0 && step.Quadrant <= 180) || d.w < 24 {
		return false
	}
	read, k, found := quantity.Angle(0), paint.InkDone, ""
	if r := swing(step); r != nil {
		for _, v := range st.Readings[r.Name] {
			j, err := r.Judge(v.Value)
			if !v.Counts || err != nil {
				continue
			}
			read = quantity.Angle(j.Value)
			found = d.look.G.Done + " read " + read.String()
			if !j.OK {
				k, found = paint.InkWrong, d.look.G.Warn+" read "+read.String()+", outside its limits"
			}
		}
	}
	d.heading("Lever, shut to open")
	d.blank()
	d.lever(step.Quadrant, read, k)
	if found != "" {
		d.text(k, found)
	}
	d.text(paint.InkQuiet, "The angle is true; yours may stand another way round.")
	return true
}

// leverRows is the largest length of a drawn lever, in rows.
const leverRows = 10

// lever draws a lever from its pivot to the shut stop, the open stop at the
// angle of the swing, and the lever as read, in its own ink, where read is above
// nought. All angles are true.
func (d *doc) lever(full, read quantity.Angle, k paint.Ink) {
	const tag = 6 // columns for the word at each end
	half := full.Radians() / 2
	w := min(d.w, 48)
	long := min(leverRows, (float64(w)/2-tag)/cellAspect/max(math.Sin(half), 0.2))
	const way = 0.8 // the share of it at which its way is drawn
	top := long * max(way, math.Cos(half))
	if read > 0 {
		top = max(top, long*math.Cos(read.Radians()-half))
	}
	pic := paint.NewCanvas(w, int(math.Ceil(top))+1, d.look)
	pivotX, pivotY := float64(w)/2, float64(pic.H)-0.5
	// From shut at the left to open at the right, both as far from upright.
	at := func(a quantity.Angle, share float64) (x, y float64) {
		turn := a.Radians() - half
		return pivotX + share*long*cellAspect*math.Sin(turn), pivotY - share*long*math.Cos(turn)
	}
	dot := func(a quantity.Angle, share float64, k paint.Ink, s string) {
		x, y := at(a, share)
		pic.Put(pic.Bounds(), paint.Point{X: int(x), Y: int(y)}, k, s)
	}
	for a := quantity.Angle(0); a <= full; a += full / quantity.Angle(math.Ceil(long*full.Radians()*2)) {
		dot(a, way, paint.InkQuiet, d.look.G.Dots)
	}
	for share := 0.1; share <= 1; share += 0.2 / long {
		dot(full, share, paint.InkBrand, d.look.G.Dots)
	}
	bar := func(a quantity.Angle, k paint.Ink) {
		endX, endY := at(a, 1)
		dx, dy := (endX-pivotX)/cellAspect, endY-pivotY // in rows, both ways alike
		thick := 0.28
		pic.Solid(k, func(x, y float64) bool {
			px, py := (x-pivotX)/cellAspect, y-pivotY
			along := max(0, min(1, (px*dx+py*dy)/(long*long)))
			return math.Hypot(px-along*dx, py-along*dy) < thick+0.1*(1-along) || math.Hypot(px, py) < 0.5
		})
	}
	bar(0, paint.InkBrand)
	if read > 0 && read < 360 {
		bar(read, k)
	}
	word := func(a quantity.Angle, s string, k paint.Ink) {
		x, y := at(a, 1)
		col := int(x) + 2
		if a < full/2 {
			col = int(x) - 1 - paint.TextWidth(s)
		}
		pic.Put(pic.Bounds(), paint.Point{X: max(0, min(w-paint.TextWidth(s), col)), Y: max(0, min(pic.H-1, int(y)))}, k, s)
	}
	word(0, "shut", paint.InkStrong)
	word(full, "open", paint.InkStrong)
	middle := full / 2
	if read > 0 && (read-middle).Degrees() < 25 && (middle-read).Degrees() < 25 {
		middle = full / 4 // not over the lever as read
	}
	x, y := at(middle, way)
	text := " " + d.look.Clean(full.String()) + " "
	pic.Put(pic.Bounds(), paint.Point{X: int(x) - paint.TextWidth(text)/2, Y: int(y)}, paint.InkStrong, text)
	d.picture(pic)
}
