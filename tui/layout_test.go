package tui

import (
	"fettle/tui/paint"
	"testing"

	"github.com/stretchr/testify/require"
)

// everySize calls do with every screen size that is to work, and a few beyond.
func everySize(do func(w, h int)) {
	for w := 1; w <= 200; w++ {
		for h := 1; h <= 60; h++ {
			if w < 20 && w%7 != 0 || h < 8 && h%3 != 0 {
				continue
			}
			do(w, h)
		}
	}
}

func inside(outer, inner paint.Rect) bool {
	return inner.Empty() || inner.X >= outer.X && inner.Y >= outer.Y &&
		inner.X+inner.W <= outer.X+outer.W && inner.Y+inner.H <= outer.Y+outer.H
}

func overlap(a, b paint.Rect) bool {
	return !a.Empty() && !b.Empty() && a.X < b.X+b.W && b.X < a.X+a.W && a.Y < b.Y+b.H && b.Y < a.Y+a.H
}

func TestLayoutFitsEverySize(t *testing.T) {
	everySize(func(w, h int) {
		a := paint.Layout(w, h, true)
		screen := paint.Rect{X: 0, Y: 0, W: w, H: h}
		parts := map[string]paint.Rect{"head": a.Head, "rule": a.Rule, "side": a.Side, "main": a.Main,
			"aside": a.Aside, "bar": a.Bar, "foot": a.Foot}
		for name, r := range parts {
			if !inside(screen, r) {
				t.Fatalf("%dx%d: %s %+v leaves the screen", w, h, name, r)
			}
			for other, o := range parts {
				if name < other && overlap(r, o) {
					t.Fatalf("%dx%d: %s %+v and %s %+v overlap", w, h, name, r, other, o)
				}
			}
		}
		for _, r := range []paint.Rect{a.Side, a.Main, a.Aside} {
			if !inside(a.Body, r) {
				t.Fatalf("%dx%d: %+v leaves the body %+v", w, h, r, a.Body)
			}
		}
		if w >= 40 && h >= 20 && (a.Main.W < 36 || a.Main.H < 13) {
			t.Fatalf("%dx%d: too little room for the text: %+v", w, h, a.Main)
		}
	})
}

func TestButtonsSuitFingers(t *testing.T) {
	everySize(func(w, h int) {
		a := paint.Layout(w, h, true)
		for _, n := range []int{0, 1, 3, 9, 20} {
			places, last := a.Buttons(n)
			if len(places) > n {
				t.Fatalf("%dx%d: %d places for %d buttons", w, h, len(places), n)
			}
			all := append(places, last)
			for i, r := range all {
				if !inside(a.Bar, r) {
					t.Fatalf("%dx%d: button %+v leaves the bar %+v", w, h, r, a.Bar)
				}
				if w >= 20 && h >= 14 && (r.W < paint.FingerWide || r.H < paint.FingerTall) {
					t.Fatalf("%dx%d: button %+v is too small for a finger", w, h, r)
				}
				for _, o := range all[i+1:] {
					if overlap(r, o) {
						t.Fatalf("%dx%d: buttons %+v and %+v overlap", w, h, r, o)
					}
				}
			}
			if w >= 40 && h >= 14 && n >= 3 && len(places) < 3 {
				t.Fatalf("%dx%d: only %d places beside the main button", w, h, len(places))
			}
		}
	})
}

func TestGridCoversItsRect(t *testing.T) {
	r := paint.Rect{X: 3, Y: 4, W: 38, H: 13}
	cells := paint.Grid(r, 4, 4)
	require.Len(t, cells, 16)
	area := 0
	for i, c := range cells {
		require.True(t, inside(r, c), "%+v", c)
		area += c.W * c.H
		for _, o := range cells[i+1:] {
			require.False(t, overlap(c, o), "%+v %+v", c, o)
		}
	}
	require.Equal(t, r.W*r.H, area)
	require.Empty(t, paint.Grid(paint.Rect{}, 3, 3))
	require.Empty(t, paint.Grid(r, 0, 3))
}
