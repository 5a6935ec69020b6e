package tui

import (
	"fettle/tui/paint"
	"slices"
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
)

// padKey is one key of the drawn keypad.
type padKey struct {
	label string
	do    func() tea.Cmd
}

// padCols is how many keys stand in a row: all rows full where that is
// possible, and every key wide enough for a finger.
func padCols(w, keys int) int {
	most := padMost(w)
	rows := (keys + most - 1) / most
	return (keys + rows - 1) / max(1, rows)
}

// padMost is how many keys fit into a row.
func padMost(w int) int { return max(1, min(w/paint.FingerWide, 10)) }

// drawPad draws the keys, all of one height, from the top of r.
func (e *entry) drawPad(f *frame, r paint.Rect, keys []padKey) {
	cols := padCols(r.W, len(keys))
	rows := (len(keys) + cols - 1) / cols
	tall := min(5, r.H/rows)
	if tall == 4 { // an odd height has a middle line for the label
		tall = 3
	}
	if tall > 0 {
		r.H = rows * tall
	}
	r.W = r.W / cols * cols
	for i, at := range paint.Grid(r, cols, rows) {
		if i >= len(keys) || keys[i].label == "" {
			continue
		}
		if at.H >= paint.FingerTall {
			f.Frame(at, paint.InkQuiet, f.Look.G.Thin)
		}
		f.Centre(at.Cut(1, 0, 1, 0), paint.InkStrong, keys[i].label)
		f.target(at, keys[i].label, keys[i].do)
	}
}

// padKeys are the keys for a pad w cells wide that may be so many rows of keys high.
func (e *entry) padKeys(w, rows int) []padKey {
	if e.value {
		return e.valueKeys(w)
	}
	return e.letterKeys(padMost(w) * max(1, rows))
}

func (e *entry) typedKey(s string) padKey { return padKey{s, func() tea.Cmd { return e.tap(s) }} }

func (e *entry) rubKey() padKey   { return padKey{"Rub", e.rub} }
func (e *entry) spaceKey() padKey { return padKey{"Space", func() tea.Cmd { return e.tap(" ") }} }

// valueKeys are figures and units, in as many rows as the figures need and one
// unit: what is left of them is for further units. Where there are still more,
// the last writes one after the other; where there are many, it brings them all.
func (e *entry) valueKeys(w int) []padKey {
	var keys []padKey
	unit := func(u string) padKey {
		return padKey{u, func() tea.Cmd { e.sheet = 0; return e.setUnit(u) }}
	}
	if e.sheet == unitSheet {
		for _, u := range e.units {
			keys = append(keys, unit(u))
		}
		return append(keys, padKey{"1 2 3", func() tea.Cmd { e.sheet = 0; return nil }})
	}
	for _, s := range []string{"1", "2", "3", "4", "5", "6", "7", "8", "9", "0", "."} {
		keys = append(keys, e.typedKey(s))
	}
	if e.several {
		keys = append(keys, e.typedKey(";"))
	} else if len(e.units) == 0 || slices.Contains(e.units, "in") { // fractions are of inches
		keys = append(keys, e.typedKey("/"))
	}
	// A sign stands first and a space does not: one key is enough for both.
	if e.fresh || strings.TrimSpace(e.field.text[:e.field.at]) == "" {
		keys = append(keys, e.typedKey("-"))
	} else {
		keys = append(keys, e.spaceKey())
	}
	keys = append(keys, e.rubKey())
	if len(e.units) == 0 {
		return keys
	}
	most := padMost(w)
	free := (len(keys)+1+most-1)/most*most - len(keys)
	own := e.units
	if len(own) > free {
		own = e.units[:free-1]
	}
	rest := e.units[len(own):]
	if len(rest) > turning {
		return append(keys, padKey{"Units", func() tea.Cmd { e.sheet = unitSheet; return nil }})
	}
	for _, u := range own {
		keys = append(keys, unit(u))
	}
	if len(rest) > 0 {
		keys = append(keys, unit(rest[(slices.Index(rest, e.unit())+1)%len(rest)]))
	}
	return keys
}

// figures is what is typed without the unit at its end.
func (e *entry) figures() string {
	return strings.TrimRightFunc(e.field.text, func(r rune) bool {
		return !unicode.IsDigit(r) && r != '.' && r != ','
	})
}

// unit is the unit behind the figures.
func (e *entry) unit() string { return strings.TrimSpace(e.field.text[len(e.figures()):]) }

// setUnit puts a unit behind the figures, in place of another.
func (e *entry) setUnit(u string) tea.Cmd {
	e.field.set(e.figures() + " " + u)
	e.fresh, e.failed = false, ""
	return nil
}

// The letters by how often they stand in the bundled procedures and the demo,
// but M before W and F, since names want it, and what else is written now and
// then. The 16 that fit beside the other keys on the smallest pad for a finger
// make up 91 of 100 letters there.
const (
	oftenFirst = "ETSANOIRHDLCUPGMWFKBYVZXJQ"
	signs      = ".,-'/()"
	figureKeys = "0123456789.,x/-+\""
)

// Sheets of a pad beside that of its letters or figures.
const (
	figureSheet = -1
	unitSheet   = -2
)

// turning is how many units one key writes one after the other at most.
const turning = 3

// letterKeys are letters and what goes with them, all on one sheet where there
// is room for so many keys; else the rare letters are on another, and the pad
// comes back from there after one. Figures have a sheet of their own, which
// stays: they come in numbers.
func (e *entry) letterKeys(room int) []padKey {
	end := []padKey{e.spaceKey(), e.rubKey()}
	sheet := func(word string, n int) padKey {
		return padKey{word, func() tea.Cmd { e.sheet = n; return nil }}
	}
	if e.sheet == figureSheet {
		return append(e.lettersOf(figureKeys[:min(len(figureKeys), max(10, room-3))]), append(end, sheet("ABC", 0))...)
	}
	figures := sheet("0 to 9", figureSheet)
	const few = ".-'"
	if room >= 26+len(few)+3 {
		return append(e.lettersOf(inOrder(oftenFirst)+few), append(end, figures)...)
	}
	each := max(1, room-4)
	var sheets []string
	for rest := oftenFirst + signs; rest != ""; {
		n := min(each, len(rest))
		sheets, rest = append(sheets, inOrder(rest[:n])), rest[n:]
	}
	at := e.sheet % len(sheets)
	word := "Other"
	if at == len(sheets)-1 {
		word = "ABC"
	}
	return append(e.lettersOf(sheets[at]), append(end, figures, sheet(word, (at+1)%len(sheets)))...)
}

// inOrder puts letters into the order of the alphabet, signs behind them.
func inOrder(s string) string {
	r := []rune(s)
	slices.SortStableFunc(r, func(a, b rune) int {
		switch la, lb := unicode.IsLetter(a), unicode.IsLetter(b); {
		case la && lb:
			return int(a - b)
		case la:
			return -1
		case lb:
			return 1
		}
		return 0
	})
	return string(r)
}

// lettersOf are the keys of some letters: large at the beginning, and in a name
// at the beginning of every word; small otherwise.
func (e *entry) lettersOf(letters string) (keys []padKey) {
	before := e.field.text[:e.field.at]
	words := strings.TrimRight(before, " ")
	capital := e.fresh || words == "" || e.named && words != before || strings.HasSuffix(words, ".") && words != before
	for _, r := range letters {
		s := string(r)
		if !capital {
			s = strings.ToLower(s)
		}
		keys = append(keys, padKey{s, func() tea.Cmd {
			if e.sheet > 0 {
				e.sheet = 0
			}
			return e.tap(s)
		}})
	}
	return keys
}
