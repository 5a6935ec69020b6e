package tui

import (
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

func inside(outer, inner rect) bool {
	return inner.empty() || inner.x >= outer.x && inner.y >= outer.y &&
		inner.x+inner.w <= outer.x+outer.w && inner.y+inner.h <= outer.y+outer.h
}

func overlap(a, b rect) bool {
	return !a.empty() && !b.empty() && a.x < b.x+b.w && b.x < a.x+a.w && a.y < b.y+b.h && b.y < a.y+a.h
}

func TestLayoutFitsEverySize(t *testing.T) {
	everySize(func(w, h int) {
		a := layout(w, h, true)
		screen := rect{0, 0, w, h}
		parts := map[string]rect{"head": a.head, "rule": a.rule, "side": a.side, "main": a.main,
			"aside": a.aside, "bar": a.bar, "foot": a.foot}
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
		for _, r := range []rect{a.side, a.main, a.aside} {
			if !inside(a.body, r) {
				t.Fatalf("%dx%d: %+v leaves the body %+v", w, h, r, a.body)
			}
		}
		if w >= 40 && h >= 20 && (a.main.w < 36 || a.main.h < 13) {
			t.Fatalf("%dx%d: too little room for the text: %+v", w, h, a.main)
		}
	})
}

func TestButtonsSuitFingers(t *testing.T) {
	everySize(func(w, h int) {
		a := layout(w, h, true)
		for _, n := range []int{0, 1, 3, 9, 20} {
			places, last := a.buttons(n)
			if len(places) > n {
				t.Fatalf("%dx%d: %d places for %d buttons", w, h, len(places), n)
			}
			all := append(places, last)
			for i, r := range all {
				if !inside(a.bar, r) {
					t.Fatalf("%dx%d: button %+v leaves the bar %+v", w, h, r, a.bar)
				}
				if w >= 20 && h >= 14 && (r.w < fingerWide || r.h < fingerTall) {
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
	r := rect{3, 4, 38, 13}
	cells := grid(r, 4, 4)
	require.Len(t, cells, 16)
	area := 0
	for i, c := range cells {
		require.True(t, inside(r, c), "%+v", c)
		area += c.w * c.h
		for _, o := range cells[i+1:] {
			require.False(t, overlap(c, o), "%+v %+v", c, o)
		}
	}
	require.Equal(t, r.w*r.h, area)
	require.Empty(t, grid(rect{}, 3, 3))
	require.Empty(t, grid(r, 0, 3))
}
