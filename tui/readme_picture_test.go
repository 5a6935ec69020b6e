package tui

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"fettle/tui/paint"
)

// TestPictureOfTheReadme draws a step as the screen shows it, cell for cell, and holds
// the picture in README against it. FETTLE_UPDATE=1 draws it anew; look at it then.
func TestPictureOfTheReadme(t *testing.T) {
	if testing.Short() {
		t.Skip("lays down the demo")
	}
	b := newBench(t, 80, 24, withDemo)
	b.m.renderer = colourRenderer()
	b.m.look = paint.NewLook(b.m.renderer, false, paint.Calm)
	b.keys("d") // lays down the demo and opens it where its work stands
	got := svgOf(b.m.View(), 80, 24)
	file := filepath.Join("..", "testdata", "step.svg")
	if os.Getenv("FETTLE_UPDATE") != "" {
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)

	readme, err := os.ReadFile(filepath.Join("..", "README.md"))
	require.NoError(t, err)
	require.Contains(t, string(readme), "](testdata/step.svg)")
}

// svgOf draws a screen: a box for each run of cells with a ground of its own, and a
// text for each run of one ink.
func svgOf(screen string, columns, rows int) string {
	const w, h, pale, dark = 9, 19, "#e4e4e4", "#16181a"
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-label="A step on the bench screen">`+"\n", columns*w, rows*h)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n"+`<g font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="15" xml:space="preserve">`+"\n", dark)
	for y, line := range strings.Split(screen, "\n") {
		fg, bg, bold, swap := "", "", false, false
		x := 0
		parser, state := ansi.NewParser(), byte(0)
		for len(line) > 0 {
			seq, width, n, next := ansi.DecodeSequence(line, state, parser)
			state, line = next, line[n:]
			if width == 0 {
				fg, bg, bold, swap = pen(seq, fg, bg, bold, swap)
				continue
			}
			run := seq
			for len(line) > 0 { // what follows in the same ink
				more, wide, n, next := ansi.DecodeSequence(line, state, parser)
				if wide == 0 {
					break
				}
				run, width, state, line = run+more, width+wide, next, line[n:]
			}
			ink, ground := fg, bg
			if ink == "" {
				ink = pale
			}
			if swap {
				ink, ground = ground, ink
				if ink == "" {
					ink = dark
				}
			}
			if ground != "" {
				fmt.Fprintf(&b, `<rect x="%d" y="%d" width="%d" height="%d" fill="%s"/>`+"\n", x*w, y*h, width*w, h, ground)
			}
			if strings.TrimSpace(run) != "" {
				weight := ""
				if bold {
					weight = ` font-weight="bold"`
				}
				fmt.Fprintf(&b, `<text x="%d" y="%d" textLength="%d" fill="%s"%s>%s</text>`+"\n", x*w, y*h+14, width*w, ink, weight, html.EscapeString(run))
			}
			x += width
		}
	}
	b.WriteString("</g>\n</svg>\n")
	return b.String()
}

// pen is the ink after a sequence that selects one (ECMA-48, SGR).
func pen(seq, fg, bg string, bold, swap bool) (string, string, bool, bool) {
	if !strings.HasPrefix(seq, "\x1b[") || !strings.HasSuffix(seq, "m") {
		return fg, bg, bold, swap
	}
	codes := strings.Split(seq[2:len(seq)-1], ";")
	colour := func(i int) string {
		var rgb [3]int
		for k := range rgb {
			rgb[k], _ = strconv.Atoi(codes[i+k])
		}
		return fmt.Sprintf("#%02x%02x%02x", rgb[0], rgb[1], rgb[2])
	}
	for i := 0; i < len(codes); i++ {
		switch codes[i] {
		case "", "0":
			fg, bg, bold, swap = "", "", false, false
		case "1":
			bold = true
		case "7":
			swap = true
		case "38", "48":
			if i+4 < len(codes) && codes[i+1] == "2" {
				if codes[i] == "38" {
					fg = colour(i + 2)
				} else {
					bg = colour(i + 2)
				}
				i += 4
			}
		}
	}
	return fg, bg, bold, swap
}
