package tui

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/tui/paint"
)

// The drawings beside a step, alone, so that no procedure's wording is in the
// golden files.
func TestDrawings(t *testing.T) {
	for name, l := range map[string]*paint.Look{
		"plain": paint.NewLook(paint.PlainRenderer(), false, paint.Calm), "ascii": paint.NewLook(paint.PlainRenderer(), true, paint.Calm),
		"colour": paint.NewLook(colourRenderer(), false, paint.Calm),
	} {
		d := newDoc(l, 40, false)
		for _, c := range []struct{ n, done int }{{6, 2}, {5, 0}, {12, 12}} {
			circle, err := fastening.BoltCircle(c.n, 40, 30, 0, 0)
			require.NoError(t, err)
			d.heading(fmt.Sprintf("%d screws, %d tight", c.n, c.done))
			d.boltCircle(circle, fastening.Order(c.n), c.done)
		}
		p := checklist.FilledPart{Name: "p", Label: "packing", Kind: "packing", Figures: []checklist.Figure{
			{Key: "p.section", Text: "3 mm", Value: 3, Unit: "mm"}, {Key: "p.ring_length", Text: "24.5 mm", Value: 24.5, Unit: "mm"},
			{Key: "p.rings", Text: "4", Value: 4},
		}}
		require.True(t, d.packingRing(&p))
		m4, err := threads.Parse("M4")
		require.NoError(t, err)
		s := checklist.FilledPart{Name: "s", Kind: "fastener", Figures: []checklist.Figure{
			{Key: "s.thread", Text: m4.String()}, {Key: "s.countersink", Text: "9 mm"},
		}}
		require.Equal(t, l.G.Halves, d.fastener(&s), "no section from ASCII characters")
		c := paint.NewCanvas(40, len(d.lines), l)
		f := &frame{Canvas: c}
		f.show(c.Bounds(), d, &view{bare: true})
		compareGolden(t, "drawings-"+name, c.String()+"\n")
	}
}
