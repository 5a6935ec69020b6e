package tui

import (
	"fettle/tui/paint"
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"
)

// colourRenderer writes true colours whatever the terminal of the test.
func colourRenderer() *lipgloss.Renderer {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetColorProfile(termenv.TrueColor)
	return r
}

func TestCanvasKeepsItsSize(t *testing.T) {
	for _, text := range []string{
		"plain", "two wide 漢字漢字漢字 runes", "combining e\u0301 marks", "\x1b[31mcolour\x1b[0m\x07", "tab\there",
		"right \u202eto left", strings.Repeat("long ", 40), "bad \xff\xfe bytes", "👍🏽 hand", "",
	} {
		for w := 1; w <= 30; w++ {
			for _, x := range []int{-3, 0, 1, w - 1, w + 2} {
				c := paint.NewCanvas(w, 3, paint.NewLook(colourRenderer(), false, paint.Calm))
				c.Put(c.Bounds(), paint.Point{X: x, Y: 1}, paint.InkWarning, text)
				c.Put(c.Bounds(), paint.Point{X: w / 2, Y: 1}, paint.InkPlain, "|")
				out := c.String()
				lines := strings.Split(out, "\n")
				require.Len(t, lines, 3)
				for _, l := range lines {
					require.LessOrEqual(t, ansi.StringWidth(l), w, "%q at %d in %d", text, x, w)
				}
				bare := ansi.Strip(out)
				require.NotContains(t, bare, "\x1b")
				require.NotContains(t, bare, "\u202e")
				require.NotContains(t, bare, "\x07")
			}
		}
	}
}

func TestCanvasClipsToItsRect(t *testing.T) {
	c := paint.NewCanvas(10, 2, paint.NewLook(paint.PlainRenderer(), false, paint.Calm))
	c.Fill(c.Bounds(), paint.InkPlain, ".")
	c.Put(paint.Rect{X: 2, Y: 0, W: 4, H: 1}, paint.Point{X: 2, Y: 0}, paint.InkPlain, "abcdefgh")
	c.Put(paint.Rect{X: 2, Y: 0, W: 4, H: 1}, paint.Point{X: 2, Y: 1}, paint.InkPlain, "never")
	require.Equal(t, "..abcd....\n..........", c.String())
}

func TestPlainInksWriteNoCodes(t *testing.T) {
	c := paint.NewCanvas(8, 1, paint.NewLook(paint.PlainRenderer(), true, paint.Calm))
	c.Put(c.Bounds(), paint.Point{X: 0, Y: 0}, paint.InkMain, "Done")
	require.Equal(t, "Done", c.String())
}

func TestASCIISpellsEverythingOut(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), true, paint.Calm)
	for in, want := range map[string]string{
		"4.5 mm ± 0.1": "4.5 mm +/- 0.1",
		"82 °C":        "82 deg C",
		"M8×1":         "M8x1",
		"½ in – ok":    "1/2 in - ok",
		"José":         "Jos?",
		"a\x1b[2Jb":    "a[2Jb",
	} {
		require.Equal(t, want, l.Clean(in), in)
	}
}

func TestWrapKeepsEveryWordAndTheWidth(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	text := "Measure the spindle in three places where the packing bears, supercalifragilistic 漢字漢字漢字"
	for w := 1; w <= 60; w++ {
		lines := l.Wrap(text, w)
		for _, line := range lines {
			require.LessOrEqual(t, paint.TextWidth(line), w)
		}
		if w > 1 { // a wide rune does not fit into one cell and is shown as ?
			require.Equal(t, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
		}
	}
	require.Equal(t, []string{"one", "", "two"}, l.Wrap("one\n\ntwo", 10))
	require.Empty(t, l.Wrap("text", 0))
}

func TestShortMarksTheCut(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	require.Equal(t, "Measure", l.Short("Measure", 7))
	require.Equal(t, "Measu…", l.Short("Measure", 6))
	require.Equal(t, "", l.Short("Measure", 0))
}

func TestBigFigures(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	require.Equal(t, []string{
		"▀▀█   ▀▀█ ",
		" ▀█    ▀█ ",
		"▀▀▀ ▀ ▀▀▀ ",
	}, l.BigText("3.3", 20))
	require.Nil(t, l.BigText("3.3", 5), "too narrow")
	require.Nil(t, l.BigText("No 30", 40), "no letters")
	require.Nil(t, paint.NewLook(paint.PlainRenderer(), true, paint.Calm).BigText("3.3", 40), "no blocks in ASCII")
}

func TestDocWindowShowsEveryLine(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	for n := 1; n <= 30; n++ {
		for h := 1; h <= 12; h++ {
			d := newDoc(l, 20, false)
			for i := range n {
				d.add(paint.Span{Ink: paint.InkPlain, Text: "line " + string(rune('a'+i%26)) + string(rune('0'+i/26))})
			}
			seen := map[string]bool{}
			var v view
			for range n + 2 {
				f := &frame{Canvas: paint.NewCanvas(20, h, l)}
				f.show(f.Bounds(), d, &v)
				out := f.String()
				for _, line := range strings.Split(out, "\n") {
					seen[line] = true
				}
				if h >= 3 && n > h {
					require.Contains(t, out, "more", "%d lines in %d rows at %d", n, h, v.off)
				}
				v.scroll(1)
			}
			for i := range n {
				require.True(t, seen[d.lines[i][0].Text], "line %d of %d never seen in %d rows", i, n, h)
			}
		}
	}
}

func TestDocShowsTheChosenItemWhole(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	for h := 5; h <= 20; h++ {
		d := newDoc(l, 20, true)
		d.heading("Top")
		for i := range 12 {
			d.item(string(rune('a'+i)), nil, func(d *doc) { d.text(paint.InkPlain, "item "+string(rune('a'+i))) })
		}
		var v view
		for range 3 {
			for _, dir := range []int{1, -1} {
				for range 13 {
					f := &frame{Canvas: paint.NewCanvas(20, h, l)}
					f.show(f.Bounds(), d, &v)
					require.Contains(t, f.String(), "› item "+string(rune('a'+v.cur)), "%d rows", h)
					v.move(dir, 12)
				}
			}
		}
	}
}
