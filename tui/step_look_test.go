package tui

import (
	"fettle/tui/paint"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNamesAFigure(t *testing.T) {
	for _, c := range []struct {
		text, figure string
		want         bool
	}{
		{"Cut 4 rings.", "4", true},
		{"Cut 4.", "4", true},
		{"4", "4", true},
		{"Cut 14 rings", "4", false},
		{"Cut 4.5 mm", "4", false},
		{"Cut 2.4 mm", "4", false},
		{"M4, 0.7 mm pitch", "M4", true},
		{"M4x0.7", "M4", false},
		{"to 40 mm, then to 4 mm", "4 mm", true},
		{"22.4 mm long", "22.4 mm", true},
		{"122.4 mm long", "22.4 mm", false},
		{"Cut it", "", false},
		{"é4", "4", false},
	} {
		require.Equal(t, c.want, names(c.text, c.figure), "%q in %q", c.figure, c.text)
	}
}

func TestBigPair(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	d := newDoc(l, 28, false)
	require.True(t, d.bigPair("Rings", "4"))
	require.True(t, d.bigPair("Cut each one to this", "22.4 mm"))
	require.Equal(t, strings.Join([]string{
		"                         █ █",
		"                         ▀▀█",
		"Rings ··················   ▀",
		"",
		"Cut each one to this",
		"            ▀▀█ ▀▀█   █ █",
		"            █▀▀ █▀▀   ▀▀█",
		"            ▀▀▀ ▀▀▀ ▀   ▀ mm",
	}, "\n"), strings.TrimRight(d.String(), "\n "))
	for _, value := range []string{"16.5 mm (No 30)", "1 5 3 7", "by hand", "1234567890 mm"} {
		require.False(t, d.bigPair("Order", value), value)
	}
	require.False(t, newDoc(paint.NewLook(paint.PlainRenderer(), true, paint.Calm), 28, false).bigPair("Rings", "4"), "no blocks in ASCII")
}

// What the instruction names is large beside it where everything has room; all
// such figures, or none.
func TestFiguresOfTheInstructionAreLarge(t *testing.T) {
	id := kindUsing(t, "gland.toml", "make", "packing")
	b := atStep(t, "gland.toml", id, 160, 45)
	step, _ := b.m.top().(*stepScreen).step()
	large := 0
	for _, g := range step.Figures {
		rows := b.m.look.BigValue(g.Text, 40)
		if rows == nil || !names(step.Do, g.Text) {
			continue
		}
		large++
		for _, row := range rows {
			require.Contains(t, b.text(), strings.TrimRight(row, " "), g.Label)
		}
	}
	require.Positive(t, large)
	b.size(80, 24)
	b.lacks("█ █", "▀▀█")
	b.sees("Rings ··", "CUT FLAT")
}

// On a tall screen every second line of an instruction is free, and what can be
// pressed below it moves along.
func TestInstructionHasAirWhereThereIsRoom(t *testing.T) {
	b := atStep(t, "regulator.toml", "handle", 160, 45)
	s := b.m.top().(*stepScreen)
	step, _ := s.step()
	lines := b.m.look.Wrap(step.Do, min(b.m.shown.Main.W, toldWide))
	require.Greater(t, len(lines), 1)
	text := strings.Split(b.text(), "\n")
	at := func(part string) int {
		for y, l := range text {
			if strings.Contains(l, part) {
				return y
			}
		}
		t.Fatalf("%q is not on the screen\n%s", part, b.text())
		return 0
	}
	require.Equal(t, at(lines[0])+2, at(lines[1]))
	b.tap("swing_found")
	b.sees("90° wanted")

	b.size(160, 20)
	b.keys("esc")
	text = strings.Split(b.text(), "\n")
	require.Equal(t, at(lines[0])+1, at(lines[1]))
}

func TestSpaceMovesItems(t *testing.T) {
	d := newDoc(paint.NewLook(paint.PlainRenderer(), false, paint.Calm), 20, false)
	d.item("above", nil, func(d *doc) { d.text(paint.InkPlain, "a") })
	d.text(paint.InkPlain, "one")
	d.text(paint.InkPlain, "two")
	d.item("below", nil, func(d *doc) { d.text(paint.InkPlain, "b") })
	d.space(1, 3)
	require.Equal(t, "  a\n\none\n\ntwo\n  b", strings.TrimRight(d.String(), "\n"))
	require.Equal(t, item{0, 1, "above", nil}, d.items[0])
	require.Equal(t, item{5, 6, "below", nil}, d.items[1])
}

// What is shut for now has no sides; nothing on the screen is dashed.
func TestNothingIsDashed(t *testing.T) {
	for _, change := range []func(*Options){coloured, asciiOnly} {
		b := newBench(t, 160, 45, change)
		for _, s := range stops() {
			s.do(b)
			require.NotContains(t, b.text(), "╌")
			require.NotContains(t, b.text(), "╎")
		}
	}
}
