package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

const previewed3 = `format = 2
id     = "whistle"
title  = "Refit the whistle"

[before]
conditions = ["Boiler cold and drained"]

[settings.rod]
ask     = "Rod"
kind    = "length"
default = "3/16 in"

[[stage]]
title = "Strip"

[[stage.step]]
id   = "zero"
kind = "inspect"
do   = "See that the gauge shows nothing."

[[stage.step]]
id   = "rod"
kind = "measure"
do   = "Measure the rod of ${rod}."
reading = [{ name = "wear", ask = "Smallest diameter", kind = "length", unit = "mm", nominal = "${rod}", minus = "0.05", plus = "0.02" }]

[[stage.step]]
id   = "clean"
kind = "clean"
do   = "Clean the bell."
`

// viewer is a preview of a file in a folder of its own, without a terminal.
type viewer struct {
	*bench
	file string
}

func newViewer(t *testing.T, w, h int, text string) *viewer {
	t.Helper()
	file := filepath.Join(t.TempDir(), "whistle.toml")
	if text != "" {
		require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	}
	return &viewer{newBench(t, w, h, func(o *Options) { o.Preview, o.Home = file, "" }), file}
}

// save writes the file and lets the preview look.
func (v *viewer) save(text string) {
	v.t.Helper()
	require.NoError(v.t, os.WriteFile(v.file, []byte(text), 0o644))
	v.look()
}

func (v *viewer) look() { v.send(lookAgain{v.m.stack[0].(*preview)}) }

func TestPreviewPagesThroughTheFile(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		v := newViewer(t, size[0], size[1], previewed3)
		v.sees("Refit the whistle", "BEFORE YOU START", "Boiler cold and drained", "nothing to put right")
		v.keys("enter")
		v.sees("STRIP", "See that the gauge shows nothing.", "1 of 3")
		v.keys("right")
		v.sees("Measure the rod of 3/16 in (4.76 mm).", "Smallest diameter", "2 of 3")
		v.lacks("first step") // the step as it is when its turn has come
		for range 3 {         // the small screen has more to read
			if !strings.Contains(v.text(), "Clean the bell.") {
				v.keys("enter")
			}
		}
		v.sees("Clean the bell.", "3 of 3")
		v.keys("enter")
		v.sees("BEFORE YOU START")
		v.keys("s")
		v.sees("Clean the bell")
		v.keys("down", "down", "enter")
		v.sees("Clean the bell.", "3 of 3")
	}
}

func TestPreviewKeepsNothing(t *testing.T) {
	v := newViewer(t, 80, 24, previewed3)
	v.keys("right", "right", "r", ":4.5")
	v.sees("WARN")
	v.keys("enter")
	v.sees("nothing is kept", "Smallest diameter")
	entries, err := os.ReadDir(v.dir)
	require.NoError(t, err)
	require.Empty(t, entries, "a preview writes nothing")
	v.keys("q")
	require.True(t, v.quit)
}

func TestPreviewReadsAgainOnSave(t *testing.T) {
	v := newViewer(t, 80, 24, previewed3)
	v.keys("right", "right", "right")
	v.sees("Clean the bell.", "3 of 3")

	// A step before it comes in: the place stays with the step.
	v.save(strings.Replace(previewed3, "[[stage.step]]\nid   = \"rod\"", "[[stage.step]]\nid = \"new\"\nkind = \"inspect\"\ndo = \"Look.\"\n\n[[stage.step]]\nid   = \"rod\"", 1))
	v.sees("Clean the bell.", "4 of 4")
	v.save(strings.Replace(previewed3, "Clean the bell.", "Clean and polish the bell.", 1))
	v.sees("Clean and polish the bell.", "3 of 3")

	// It is called something else: what stands in its place is shown.
	v.save(strings.Replace(previewed3, `"clean"`+"\nkind", `"bell"`+"\nkind", 1))
	v.sees("Clean the bell.", "3 of 3")

	// It is gone: its neighbour is shown.
	v.save(previewed3[:strings.LastIndex(previewed3, "[[stage.step]]")])
	v.sees("Measure the rod", "2 of 2")
}

func TestPreviewShowsMistakes(t *testing.T) {
	v := newViewer(t, 80, 24, previewed3)
	v.keys("right", "right")
	broken := strings.Replace(previewed3, "kind = \"clean\"", "kind = \"cleen\"\naftr = []", 1)
	v.save(broken)
	v.sees("2 of 3", "29:8: stop:", "did you mean `clean`?", "30:1: stop:", "did you mean `after`?", "2 stop")
	text := v.text()
	require.Less(t, strings.Index(text, "29:8"), strings.Index(text, "30:1"), "in the order of the file")

	v.keys("i")
	v.sees("Mistakes in", "30:1: stop")
	v.keys("down", "enter")
	v.sees("Clean the bell.", "3 of 3")

	v.save(previewed3)
	v.sees("Clean the bell.", "nothing to put right")
	v.lacks("stop:")
}

func TestPreviewSurvivesABrokenSave(t *testing.T) {
	v := newViewer(t, 80, 24, previewed3)
	v.keys("right", "right", "right")
	for _, text := range []string{"", previewed3[:200], "do = \"", "\x00\xff", "format = 2\n"} {
		v.save(text)
		v.sees("Clean the bell.", "3 of 3", "The steps shown are those of the version before.", "stop:")
		v.keys("left")
		v.sees("Measure the rod")
		v.keys("right")
	}
	v.save(previewed3)
	v.sees("Clean the bell.", "3 of 3", "nothing to put right")

	require.NoError(t, os.Remove(v.file))
	v.look()
	v.sees("There is no file", "Clean the bell.")
	v.save(previewed3)
	v.sees("3 of 3", "nothing to put right")
	v.lacks("There is no file")
}

func TestPreviewOfWhatCannotBeShown(t *testing.T) {
	v := newViewer(t, 60, 20, "")
	v.sees("There is no file")
	v.keys("enter", "right", "left", "i", "s", "esc", "pgdown")
	v.save("title = ")
	v.sees("1:8: stop: a value is missing")
	v.save(previewed3)
	v.sees("BEFORE YOU START")

	folder := newBench(t, 60, 20, func(o *Options) { o.Preview = t.TempDir() })
	folder.sees("is a folder, not a file")
}

// What comes from a file never reaches the terminal as itself.
func TestPreviewOfAHostileFile(t *testing.T) {
	v := newViewer(t, 80, 24, strings.ReplaceAll(previewed3, "Clean the bell.", `\u001b]0;x\u0007\u202eCl`))
	v.keys("right", "right", "right")
	v.sees("stop:")
	require.NotContains(t, v.m.View(), "\x1b]")
	require.NotContains(t, v.m.View(), "\u202e")
}

func TestPreviewLooksOnlyWhenSaved(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a.toml")
	require.NoError(t, os.WriteFile(file, []byte("one"), 0o644))
	info, err := os.Stat(file)
	require.NoError(t, err)
	first := glanceAt(file, glance{}, info.ModTime())
	require.Equal(t, "one", string(first.src))

	// Written again within the same tick of the clock, to the same size.
	require.NoError(t, os.WriteFile(file, []byte("two"), 0o644))
	require.NoError(t, os.Chtimes(file, info.ModTime(), info.ModTime()))
	require.Equal(t, "two", string(glanceAt(file, first, info.ModTime().Add(time.Second)).src))
	require.Equal(t, "one", string(glanceAt(file, first, info.ModTime().Add(time.Minute)).src), "an old file is not read over and over")
	require.NoError(t, os.Chtimes(file, info.ModTime(), info.ModTime().Add(time.Second)))
	require.Equal(t, "two", string(glanceAt(file, first, info.ModTime().Add(time.Minute)).src))
}

func TestNearest(t *testing.T) {
	steps := func(ids string) []*checklist.FilledStep {
		var list []*checklist.FilledStep
		for _, id := range strings.Split(ids, "") {
			list = append(list, &checklist.FilledStep{ID: id})
		}
		return list
	}
	for _, c := range []struct {
		old  string
		at   int
		now  string
		want int
	}{
		{"abc", 1, "abc", 1},
		{"abc", 1, "xabc", 2},
		{"abc", 1, "axc", 1},
		{"abc", 1, "ac", 0},
		{"abc", 0, "bc", 0},
		{"abc", 2, "x", 0},
		{"abcde", 3, "xyz", 2},
	} {
		require.Equal(t, c.want, nearest(steps(c.old), c.at, steps(c.now)), "%v", c)
	}
}
