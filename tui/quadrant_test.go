package tui

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// leverAngle is the angle from shut at which the cells of one ink lie, seen from
// the pivot, which is at the foot of the shut lever in the middle, and how many
// rows they reach from it.
func leverAngle(d *doc, full quantity.Angle, k paint.Ink) (degrees, reach float64) {
	pivotX, pivotY := float64(min(d.w, 48))/2, float64(len(d.lines))-0.5
	var sumX, sumY float64
	for y, line := range d.lines {
		x := 0
		for _, s := range line {
			for _, r := range s.Text {
				if s.Ink == k && r != ' ' {
					dx, dy := (float64(x)+0.5-pivotX)/cellAspect, pivotY-float64(y)-0.5
					sumX, sumY = sumX+dx, sumY+dy
					reach = max(reach, math.Hypot(dx, dy))
				}
				x += paint.CellWidth(r)
			}
		}
	}
	return math.Atan2(sumX, sumY)*180/math.Pi + float64(full)/2, reach
}

// The drawn angle is the true one, on a cell twice as high as wide, also where
// the lever was read short of its stop.
func TestLeverIsDrawnToAngle(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		l := paint.NewLook(paint.PlainRenderer(), ascii, paint.Calm)
		for _, w := range []int{24, 30, 38, 76} {
			for _, full := range []quantity.Angle{30, 60, 90, 120, 180} {
				for _, share := range []quantity.Angle{0.5, 0.8, 1} {
					d := newDoc(l, w, false)
					d.lever(full, full*share, paint.InkDone)
					got, reach := leverAngle(d, full, paint.InkDone)
					require.InDelta(t, float64(full*share), got, 6, "%s of %s, %d wide, ascii %v\n%s", full*share, full, w, ascii, d)
					shut := newDoc(l, w, false)
					shut.lever(full, 0, paint.InkDone)
					_, long := leverAngle(shut, full, paint.InkBrand)
					require.InDelta(t, long, reach, 1, "%s of %s, %d wide, ascii %v\n%s", full*share, full, w, ascii, d)
					text := d.String()
					require.Contains(t, text, "shut")
					require.Contains(t, text, "open")
					require.Contains(t, text, l.Clean(full.String()))
				}
			}
		}
	}
}

// The step of the quadrant shows the lever; what was read is drawn and judged,
// and a step without a lever shows none.
func TestStepDrawsItsQuadrant(t *testing.T) {
	for _, size := range []struct{ w, h int }{{80, 24}, {160, 45}} {
		b := atStep(t, "regulator.toml", "handle", size.w, size.h)
		b.sees("LEVER, SHUT TO OPEN", "90°", "shut", "open")
		b.lacks("read 88°")
		b.m.top().(*stepScreen).goTo(b.m.work.place("guard"))
		b.m.settle()
		b.lacks("LEVER")
	}
	b := atStep(t, "regulator.toml", "handle", 40, 20)
	b.keys(".")
	b.sees("LEVER, SHUT TO OPEN", "90°", "yours may stand")

	for text, want := range map[string]string{"88": "read 88°", "70": "read 70°, outside its limits"} {
		b := atStep(t, "regulator.toml", "handle", 80, 24)
		before := strings.Count(b.text(), "▟")
		b.keys("r", ":"+text, "enter")
		b.sees(want)
		require.Greater(t, strings.Count(b.text(), "▟"), before, "%s\n%s", text, b.text())
	}
}
