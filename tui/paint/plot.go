package paint

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fettle/threads/quantity"
)

// Plotted is one point of a plot of pressure against time.
type Plotted struct {
	At    time.Time
	Shown float64 // in the unit of the scale
}

// PlotLead is the width of the figures at the left of a plot.
const PlotLead = 6

// PlotFoot is how many rows of a plot the time takes.
const PlotFoot = 2

// Plot draws pressure against time in w columns and h rows, from lo to hi on the scale in.
// A line marks the target where it lies within; 0 is no target. The last two
// rows are the time axis.
func (l *Look) Plot(w, h int, points []Plotted, lo, hi float64, target quantity.Pressure, in quantity.PressureScale) [][]Span {
	cols, rows := w-PlotLead-1, h-PlotFoot
	if cols < 8 || rows < 3 || len(points) == 0 || !(hi > lo) {
		return nil
	}
	cells := make([][]Span, rows)
	for y := range cells {
		cells[y] = make([]Span, cols)
		for x := range cells[y] {
			cells[y][x] = Span{InkPlain, " "}
		}
	}
	first, last := points[0].At, points[len(points)-1].At
	column := func(t time.Time) int {
		if !last.After(first) {
			return 0
		}
		return int(math.Round(t.Sub(first).Seconds() / last.Sub(first).Seconds() * float64(cols-1)))
	}
	row := func(v float64) int {
		share := max(0, min(1, (v-lo)/(hi-lo)))
		return rows - 1 - int(math.Round(share*float64(rows-1)))
	}
	aim, wanted := -1, in.Of(target)
	if wanted > lo && wanted <= hi {
		aim = row(wanted)
		for x := range cells[aim] {
			cells[aim][x] = Span{InkQuiet, l.G.Rule}
		}
	}
	for i := 1; i < len(points); i++ {
		x0, y0 := column(points[i-1].At), row(points[i-1].Shown)
		dx, dy := column(points[i].At)-x0, row(points[i].Shown)-y0
		n := max(dx, dy, -dy)
		for k := 1; k < n; k++ {
			x := x0 + int(math.Round(float64(dx*k)/float64(n)))
			y := y0 + int(math.Round(float64(dy*k)/float64(n)))
			cells[y][x] = Span{InkBrand, l.G.Dots}
		}
	}
	for _, p := range points {
		mark := Span{InkStrong, l.G.Done}
		if target > 0 && p.Shown >= wanted+in.Of(overTarget) {
			mark = Span{InkWrong, l.G.Warn}
		}
		cells[row(p.Shown)][column(p.At)] = mark
	}
	digits := 1
	if hi-lo < 2 {
		digits = 2
	}
	label := func(v float64) string { return fmt.Sprintf("%*.*f ", PlotLead-1, digits, v) }
	var lines [][]Span
	for y := range rows {
		lead := strings.Repeat(" ", PlotLead)
		switch {
		case y == aim:
			lead = label(wanted)
		case y == 0:
			lead = label(hi)
		case y == rows-1:
			lead = label(lo)
		}
		lines = append(lines, append([]Span{{InkQuiet, lead + l.G.Thin.Down}}, cells[y]...))
	}
	lines = append(lines, []Span{{InkQuiet, strings.Repeat(" ", PlotLead) + l.G.Thin.BottomLeft + strings.Repeat(l.G.Thin.Across, cols)}})
	from, to := first.Format("15:04"), last.Format("15:04")
	gap := max(1, cols-len(from)-len(to))
	unit := in.Unit()
	if last.After(first) {
		lines = append(lines, []Span{{InkQuiet, fmt.Sprintf("%*s  ", PlotLead-1, unit) + from + strings.Repeat(" ", gap) + to}})
	} else {
		lines = append(lines, []Span{{InkQuiet, fmt.Sprintf("%*s  ", PlotLead-1, unit) + from}})
	}
	return lines
}

// overTarget is by how much a reading has to lie above the target to be marked;
// gauges are written to a hundredth of a bar.
const overTarget quantity.Pressure = 0.01
