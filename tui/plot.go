package tui

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fettle/threads/quantity"
)

// plotted is one point of a plot of pressure against time.
type plotted struct {
	at    time.Time
	shown float64 // in the unit of the scale
}

// plotLead is the width of the figures at the left of a plot.
const plotLead = 6

// plotFoot is how many rows of a plot the time takes.
const plotFoot = 2

// plot draws pressure against time in w columns and h rows, from lo to hi on the scale in.
// A line marks the target where it lies within; 0 is no target. The last two
// rows are the time axis.
func (l *look) plot(w, h int, points []plotted, lo, hi float64, target quantity.Pressure, in quantity.PressureScale) [][]span {
	cols, rows := w-plotLead-1, h-plotFoot
	if cols < 8 || rows < 3 || len(points) == 0 || !(hi > lo) {
		return nil
	}
	cells := make([][]span, rows)
	for y := range cells {
		cells[y] = make([]span, cols)
		for x := range cells[y] {
			cells[y][x] = span{inkPlain, " "}
		}
	}
	first, last := points[0].at, points[len(points)-1].at
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
			cells[aim][x] = span{inkQuiet, l.g.rule}
		}
	}
	for i := 1; i < len(points); i++ {
		x0, y0 := column(points[i-1].at), row(points[i-1].shown)
		dx, dy := column(points[i].at)-x0, row(points[i].shown)-y0
		n := max(dx, dy, -dy)
		for k := 1; k < n; k++ {
			x := x0 + int(math.Round(float64(dx*k)/float64(n)))
			y := y0 + int(math.Round(float64(dy*k)/float64(n)))
			cells[y][x] = span{inkBrand, l.g.dots}
		}
	}
	for _, p := range points {
		mark := span{inkStrong, l.g.done}
		if target > 0 && p.shown >= wanted+in.Of(overTarget) {
			mark = span{inkWrong, l.g.warn}
		}
		cells[row(p.shown)][column(p.at)] = mark
	}
	digits := 1
	if hi-lo < 2 {
		digits = 2
	}
	label := func(v float64) string { return fmt.Sprintf("%*.*f ", plotLead-1, digits, v) }
	var lines [][]span
	for y := range rows {
		lead := strings.Repeat(" ", plotLead)
		switch {
		case y == aim:
			lead = label(wanted)
		case y == 0:
			lead = label(hi)
		case y == rows-1:
			lead = label(lo)
		}
		lines = append(lines, append([]span{{inkQuiet, lead + l.g.thin.down}}, cells[y]...))
	}
	lines = append(lines, []span{{inkQuiet, strings.Repeat(" ", plotLead) + l.g.thin.bottomLeft + strings.Repeat(l.g.thin.across, cols)}})
	from, to := first.Format("15:04"), last.Format("15:04")
	gap := max(1, cols-len(from)-len(to))
	unit := in.Unit()
	if last.After(first) {
		lines = append(lines, []span{{inkQuiet, fmt.Sprintf("%*s  ", plotLead-1, unit) + from + strings.Repeat(" ", gap) + to}})
	} else {
		lines = append(lines, []span{{inkQuiet, fmt.Sprintf("%*s  ", plotLead-1, unit) + from}})
	}
	return lines
}

// overTarget is by how much a reading has to lie above the target to be marked;
// gauges are written to a hundredth of a bar.
const overTarget quantity.Pressure = 0.01
