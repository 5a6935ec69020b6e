package cli

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/charmbracelet/x/term"
	"github.com/mattn/go-runewidth"
)

// Widths of a page: what the bench's narrowest screen holds, which is also what a pipe
// gets, so that the same command prints the same; and what is read without losing the line.
const (
	benchWidth = 40
	pageWidth  = 72
	helpWidth  = 96 // flags stand beside what they mean
	pipedHelp  = 80
)

// page is where an answer is written: how wide it may be, and whether words may be bold.
type page struct {
	io.Writer
	columns int
	help    int  // how wide a page of help may be
	wide    bool // room for two benches side by side
	bold    bool
}

// pageOn is the page that out is: a terminal's width, or that of the bench.
func pageOn(out io.Writer, getenv func(string) string) page {
	f, ok := out.(*os.File)
	if !ok || !term.IsTerminal(f.Fd()) {
		return page{Writer: out, columns: benchWidth, help: pipedHelp}
	}
	p := page{Writer: out, columns: benchWidth, help: pipedHelp, bold: getenv("NO_COLOR") == "" && getenv("TERM") != "dumb"}
	if columns, _, err := term.GetSize(f.Fd()); err == nil && columns > 0 {
		p.columns, p.help, p.wide = max(20, min(columns, pageWidth)), max(20, min(columns, helpWidth)), columns >= 2*benchWidth+gap
	}
	return p
}

// columnsOf is how wide what is written to w may be.
func columnsOf(w io.Writer) int {
	if p, ok := w.(page); ok {
		return p.columns
	}
	return benchWidth
}

// gap is what stands between two columns of figures.
const gap = 2

// beside writes parts one below the other, or where the page is wide and they are many in
// two columns; a part stays whole.
func beside(w io.Writer, parts []string) {
	const few = 12 // lines that are read at a glance as they are
	lines := 0
	for _, part := range parts {
		lines += strings.Count(part, "\n")
	}
	p, ok := w.(page)
	if !ok || !p.wide || lines <= few {
		fmt.Fprint(w, strings.Join(parts, ""))
		return
	}
	var left, right []string
	for _, part := range parts {
		some := strings.Split(strings.TrimSuffix(part, "\n"), "\n")
		if len(left) < (lines+1)/2 {
			left = append(left, some...)
		} else {
			right = append(right, some...)
		}
	}
	for i, line := range left {
		if i < len(right) {
			line += strings.Repeat(" ", max(0, benchWidth+gap-runewidth.StringWidth(line))) + right[i]
		}
		fmt.Fprintln(w, line)
	}
}

// strong is a word of a check, bold where the page can show that.
func strong(w io.Writer, text string) string {
	word, rest, ok := strings.Cut(text, ": ")
	if p, is := w.(page); !ok || !is || !p.bold {
		return text
	}
	return "\x1b[1m" + word + ":\x1b[0m " + rest
}

// flow prints text within the width of the page, its first line set in by first
// blanks and the others by rest.
func flow(w io.Writer, first, rest int, text string) {
	flowIn(w, columnsOf(w), first, rest, text)
}

// flowIn is flow in so many columns.
func flowIn(w io.Writer, columns, first, rest int, text string) {
	line, width := strings.Repeat(" ", first), first
	empty := true
	for _, word := range strings.Fields(text) {
		n := runewidth.StringWidth(word)
		if !empty && width+1+n > columns {
			fmt.Fprintln(w, line)
			line, width, empty = strings.Repeat(" ", rest), rest, true
		}
		if !empty {
			line, width = line+" ", width+1
		}
		line, width, empty = line+word, width+n, false
	}
	if !empty {
		fmt.Fprintln(w, line)
	}
}
