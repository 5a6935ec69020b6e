package tui

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"fettle/checklist/lookup"
	"fettle/threads"
	"fettle/tui/paint"
)

// Every thread that is known is in one family, once, under a name of its own.
func TestFamiliesHoldEveryThread(t *testing.T) {
	seen := map[string]string{}
	for _, f := range families() {
		require.NotEmpty(t, f.sizes, f.name)
		for i, s := range f.sizes {
			require.Empty(t, seen[s.String()], "%s is in %s and %s", s, seen[s.String()], f.name)
			seen[s.String()] = f.name
			if i > 0 && f.name != "BA" {
				require.GreaterOrEqual(t, s.Major, f.sizes[i-1].Major, "%s stands after a larger one", s)
			}
		}
	}
	for _, s := range threads.All() {
		require.NotEmpty(t, seen[s.String()], "%s is in no family", s)
	}
	require.Len(t, seen, len(threads.All()))
}

// Trays of any size: nothing overlaps, everything is on some page, and a thing
// is only narrower than it needs where the tray is.
func TestTraysHoldEverything(t *testing.T) {
	needs := [][]int{{9}, slices.Repeat([]int{13}, 12), slices.Repeat([]int{8}, 49), {8, 23, 9, 16, 8, 8, 30, 21, 8, 8, 8, 12, 40, 8}, slices.Repeat([]int{60}, 5)}
	for w := 16; w <= 200; w += 3 {
		for rows := 1; rows <= 20; rows++ {
			for _, need := range needs {
				slots, pages, turn := pack(need, w, rows, paint.FingerWide, tileWidest)
				require.Len(t, slots, len(need))
				taken := map[slot]bool{}
				last := -1
				for i, s := range slots {
					at := fmt.Sprintf("%d of %v in %dx%d: %+v", i, need, w, rows, s)
					require.True(t, s.x >= 0 && s.w > 0 && s.x+s.w <= w && s.row >= 0 && s.row < rows && s.page < pages, at)
					order := (s.page*rows+s.row)*1000 + s.x
					require.Greater(t, order, last, at)
					last = order
					for x := s.x; x < s.x+s.w; x++ {
						cell := slot{s.page, s.row, x, 0}
						require.False(t, taken[cell], at)
						taken[cell] = true
						if pages > 1 {
							require.False(t, s.row == turn.row && x >= turn.x && x < turn.x+turn.w, at)
						}
					}
					if s.w < need[i] && (rows > 1 || pages == 1) {
						require.Greater(t, need[i], min(w, tileWidest), at)
					}
				}
				if pages > 1 && w >= 2*paint.FingerWide {
					require.GreaterOrEqual(t, turn.w, paint.FingerWide)
				}
			}
		}
	}
}

// A thread is picked by family and size wherever one is asked for, with two
// taps and a turn of the page now and then, at every size of screen.
func TestPickAThreadByTaps(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		b := newBench(t, size[0], size[1])
		b.keys("w", ":Ana", "enter", "c", "down", "down", "down", "enter")
		b.m.touch = true
		b.m.settle()
		for _, f := range families() {
			sizes := f.sizes
			if size[0] > 40 { // where there is more room, the first and the last
				sizes = []threads.Thread{sizes[0], sizes[len(sizes)-1]}
			}
			for _, want := range sizes {
				b.tap("thread")
				b.goTo(f.name)
				b.tap(f.name)
				b.goTo(want.String())
				b.tap(want.String())
				s := b.m.top().(*sheet)
				require.Equal(t, want.String(), s.text["thread"])
				s.turnTo(0)
				s.text["thread"] = "" // the next begins with the families
			}
		}
	}
}

// turnPage turns to the next page of a tray; "" where there is none.
func (b *bench) turnPage() string {
	b.t.Helper()
	for _, p := range b.m.shown.targets {
		if strings.HasPrefix(p.name, "More ") {
			b.tap(p.name)
			return p.name
		}
	}
	return ""
}

// goTo turns or scrolls on until a place is on the screen.
func (b *bench) goTo(name string) {
	b.t.Helper()
	for range 60 {
		if _, ok := b.place(name); ok {
			return
		}
		if b.turnPage() == "" {
			b.m.top().wheel(4)
			b.m.settle()
		}
	}
	b.t.Fatalf("nothing called %q to tap on\n%s", name, b.text())
}

// By arrow keys alone every family and every size is come to.
func TestPickAThreadByArrows(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}, {24, 9}} {
		for _, touch := range []bool{false, true} {
			b := newBench(t, size[0], size[1])
			b.keys("t")
			b.m.touch = touch
			b.m.settle()
			l := b.m.top().(*lookupScreen)
			for i, f := range families() {
				require.Equal(t, i, l.tray.cur)
				b.keys("enter")
				require.Equal(t, f.name, l.fam.name)
				for range 300 { // down goes through the rows and ends at the last
					if l.tray.cur == len(f.sizes)-1 {
						break
					}
					before := l.tray.cur
					b.keys("right")
					require.Equal(t, before+1, l.tray.cur)
					_, shown := b.place(f.sizes[l.tray.cur].String())
					require.True(t, shown, "%v: %s is not on the screen\n%s", size, f.sizes[l.tray.cur], b.text())
				}
				b.keys("home", "up")
				require.Equal(t, 0, l.tray.cur)
				for range 300 {
					before := l.tray.cur
					b.keys("down")
					if l.tray.cur == before {
						break
					}
				}
				require.Equal(t, len(f.sizes)-1, l.tray.cur, "%v touch %v %s: down comes to the end\n%s", size, touch, f.name, b.text())
				b.keys("end", "esc")
				require.Nil(t, l.fam)
				require.Equal(t, i, l.tray.cur, "back at the family")
				b.keys("right")
			}
		}
	}
}

// Typing narrows the sizes of the family that was picked, and finds others
// where it has none.
func TestTypingNarrowsAFamily(t *testing.T) {
	b := newBench(t, 80, 24)
	b.keys("t", "enter", ":2")
	l := b.m.top().(*lookupScreen)
	names := func() (all []string) {
		for _, h := range l.hits {
			all = append(all, h.String())
		}
		return all
	}
	require.Contains(t, names(), "2 BA")
	for _, n := range names() {
		require.Contains(t, n, "BA")
	}
	b.keys("ctrl+u", "enter", ":1/4 bs")
	require.Contains(t, names(), "1/4 BSF")
}

// What tells a size apart at the bench stands on its place: over the crests,
// and threads per inch or pitch.
func TestSizesSayWhatTellsThemApart(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}} {
		for _, touch := range []bool{false, true} {
			b := newBench(t, size[0], size[1])
			b.keys("t")
			b.m.touch = touch
			b.m.settle()
			b.tap("ME")
			b.sees("4.76", "40")
			b.keys("ctrl+u")
			b.tap("BA")
			b.sees("4.7", "0.81")
		}
	}
	b := newBench(t, 40, 20)
	b.keys("t")
	b.m.touch = true
	b.m.settle()
	b.tap("ME")
	b.sees("mm over, then TPI")
	b.keys("ctrl+u")
	b.tap("BA")
	b.sees("mm over, then pitch")
}

// asksAll is a procedure that asks for one of every kind.
const asksAll = `format = 2
id = "all"
title = "All kinds"

[settings.a]
ask = "A thread"
kind = "thread"
[settings.b]
ask = "A length"
kind = "length"
[settings.c]
ask = "A pressure"
kind = "pressure"
[settings.d]
ask = "A temperature"
kind = "temperature"
[settings.e]
ask = "A volume"
kind = "volume"
[settings.f]
ask = "A torque"
kind = "torque"
[settings.g]
ask = "An angle"
kind = "angle"
[settings.h]
ask = "A count"
kind = "count"
[settings.i]
ask = "A number"
kind = "number"
[settings.j]
ask = "A time"
kind = "time"
[settings.k]
ask = "A material"
kind = "material"
[settings.l]
ask = "A choice"
kind = "choice"
choices = ["one", "two"]
[settings.m]
ask = "Some words"
kind = "text"
[settings.n]
ask = "Yes or no"
kind = "yes-no"

[[stage]]
title = "Work"

[[stage.step]]
id = "s"
kind = "record"
do = "${a} ${b} ${c} ${d} ${e} ${f} ${g} ${h} ${i} ${j} ${k} ${l} ${m} ${n}"
`

// One answer of every kind by taps alone on the smallest screen for fingers,
// among them the ones that need most: a mixed fraction with its unit, below
// nought, hours and minutes, words with figures.
func TestEveryKindByTaps(t *testing.T) {
	b := newBench(t, 40, 20, func(o *Options) {
		o.Recipes = fstest.MapFS{"all.toml": {Data: []byte(asksAll)}}
	})
	b.keys("w", ":Ana", "enter")
	b.m.touch = true
	b.m.settle()
	b.tap("all.toml")
	for _, c := range []struct {
		name string
		taps []string
		want string
	}{
		{"engine", []string{"Other", "B", "r", "a", "m", "Other", "b", "l", "e", "Keep"}, "Bramble"},
		{"a", []string{"M coarse", "M4"}, "M4"},
		{"b", []string{"1", "Space", "1", "/", "4", "mm", "in", "Keep"}, "1 1/4 in"},
		{"c", []string{"-", "0", ".", "5", "psi", "bar", "Keep"}, "-0.5 bar"},
		{"d", []string{"-", "5", "°C", "Keep"}, "-5 °C"},
		{"e", []string{"6", ".", "2", "ml", "l", "Keep"}, "6.2 l"},
		{"f", []string{"1", "4", "N·m", "lbf in", "Keep"}, "14 lbf in"},
		{"g", []string{"-", "4", "7", ".", "5", "Keep"}, "-47.5"},
		{"h", []string{"1", "2", "Keep"}, "12"},
		{"i", []string{"-", "0", ".", "1", "2", "Keep"}, "-0.12"},
		{"j", []string{"1", "h", "Space", "3", "0", "min", "Keep"}, "1 h 30 min"},
		{"k", []string{"PTFE packing"}, "PTFE packing"},
		{"l", []string{"two"}, "two"},
		{"m", []string{"T", "a", "g", "Space", "0 to 9", "4", "-", "2", "ABC", "Rub", "Keep"}, "Tag 4-"},
		{"n", []string{"no"}, "no"},
	} {
		f := b.m.top().(*form)
		b.goTo(c.name)
		b.tap(c.name)
		for i, tap := range c.taps {
			if c.name == "a" && i == 0 {
				tap = "Metric coarse"
			}
			b.goTo(tap)
			b.tap(tap)
		}
		require.Same(t, f, b.m.top(), "%s\n%s", c.name, b.text())
		got := f.engine
		if c.name != "engine" {
			got = f.values[c.name]
		}
		require.Equal(t, c.want, got, c.name)
	}
	b.tap("Start")
	b.sees("BEFORE YOU START")
}

// Every question of every sum takes an answer by taps alone at 40 by 20.
func TestEverySumByTaps(t *testing.T) {
	keys := map[string][]string{
		"length": {"1", "2", ".", "5"}, "altitude": {"5", "0", "0", "m"}, "pressure": {"9", "0", "psi"}, "air": {"9", "5", "0", "mbar"},
		"temperature": {"1", "8", "°C"}, "volume": {"2", "0", "ml"}, "angle": {"4", "5"}, "count": {"6"}, "number": {"1", ".", "5"},
		"span": {"1", "0", "min"}, "counts": {"1", "5", ",", "Space", "2", "0"}, "person": {"R", "u", "t", "h"}, "text": {"0 to 9", "0", "0", "8"},
		"threads": {"M", "0 to 9", "5"}, "drills": {"4"}, "inner x outer": {"4", "0", "x", "4", "7"},
	}
	for n, sum := range forms() {
		b := newBench(t, 40, 20)
		b.keys("w", ":Ana", "enter", "c")
		for range n + 1 {
			b.keys("down")
		}
		b.keys("enter")
		b.m.touch = true
		b.m.settle()
		s := b.m.top().(*sheet)
		require.Equal(t, sum.Title, s.sum.Title)
		for i, q := range sum.Fields {
			for _, other := range sum.Fields {
				s.text[other.Name] = other.Default
			}
			if q.Name == "sheet-limit" { // belongs to a material
				s.text["material"] = "FKM"
			}
			s.turnTo(i)
			b.m.settle()
			b.tap(q.Name)
			want := ""
			switch {
			case len(words(q)) > 0:
				list := words(q)
				want = list[len(list)-1]
				b.goTo(want)
				b.tap(want)
			case q.Kind == lookup.ThreadName:
				want = "2 BA"
				if _, ok := b.place(want); !ok {
					b.tap("BA")
				}
				b.tap(want)
			default:
				taps := keys[entryKind(q.Kind)]
				require.NotEmpty(t, taps, "%s: %s is of kind %q", sum.Title, q.Ask, q.Kind)
				e := b.m.top().(*entry)
				if !e.pad {
					b.tap("Keypad")
				}
				b.tap(taps...)
				want = e.field.text
				b.tap("Keep")
			}
			require.Same(t, s, b.m.top(), "%s: %s\n%s", sum.Title, q.Ask, b.text())
			require.Equal(t, want, s.text[q.Name], "%s: %s", sum.Title, q.Ask)
			require.NoError(t, q.Read(want), "%s: %s", sum.Title, q.Ask)
			if !q.Required { // and it can be left open again
				s.turnTo(i)
				b.m.settle()
				b.tap(q.Name, "Empty", "Leave empty")
				require.Empty(t, s.text[q.Name], "%s: %s", sum.Title, q.Ask)
			}
		}
	}
}

// taps is how many taps a text takes on the pad for words.
func taps(t *testing.T, w, h int, text string, named bool) (n int) {
	b := newBench(t, w, h)
	b.keys("w")
	b.m.touch = true
	e := b.m.top().(*entry)
	e.named, e.pad = named, true
	b.m.settle()
	for _, r := range text {
		label := string(r)
		switch {
		case r == ' ':
			label = "Space"
		case unicode.IsDigit(r):
			if _, ok := b.place(label); !ok {
				b.tap("0 to 9")
				n++
			}
		}
		if _, ok := b.place("ABC"); ok && !unicode.IsDigit(r) && e.sheet == figureSheet {
			b.tap("ABC")
			n++
		}
		for range 9 {
			if _, ok := b.place(label); ok {
				break
			}
			b.tap("Other")
			n++
		}
		b.tap(label)
		n++
	}
	require.Equal(t, text, e.field.text)
	return n
}

// A letter costs a tap, and a rare one two where not all find room.
func TestSpellingTakesFewTaps(t *testing.T) {
	for _, c := range []struct {
		text  string
		named bool
		phone int
	}{
		{"Ana", true, 3},
		{"Tom", true, 3},
		{"Ruth", true, 4},
		{"Bramble", true, 9},
		{"Waisted under the nut, ask about a new one", false, 47},
		{"Tag 4 lost", false, 12},
	} {
		got := taps(t, 40, 20, c.text, c.named)
		require.Equal(t, c.phone, got, c.text)
		t.Logf("%q: %d taps at 40 by 20, %d letters; by groups of three it was %d", c.text, got, len(c.text), 2*len(c.text))
		if strings.IndexFunc(c.text, func(r rune) bool { return unicode.IsDigit(r) || r == ',' }) < 0 {
			require.Equal(t, len(c.text), taps(t, 80, 24, c.text, c.named), c.text)
		}
	}
}

// Names of the job are offered before the letters; what was written before
// stands beside them.
func TestKnownAnswersAreOffered(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter", "n", ":Wheel lost", "enter", "n")
	b.sees("Wheel lost")
	e := b.m.top().(*entry)
	b.m.touch = true
	e.fingers()
	b.m.settle()
	b.sees("Space")
	b.tap("Wheel lost")
	b.sees("note: Wheel lost")
	b.keys("n", ":whe")
	b.sees("Wheel lost")
	b.keys(":x")
	b.lacks("Wheel lost")
	b.keys("backspace", "down", "enter")
	require.Len(t, b.m.work.state.Steps[b.m.work.steps[0].ID].Notes, 3)
}

// pickScreens are the screens on which answers are picked, spelled and keyed in.
func pickScreens() []struct {
	name string
	keys []string
} {
	torque := []string{"w", ":Ana", "enter", "c", "down", "down", "down", "enter"}
	with := func(keys ...string) []string { return append(slices.Clone(torque), keys...) }
	return []struct {
		name string
		keys []string
	}{
		{"families", []string{"t"}},
		{"sizes", []string{"t", "enter"}},
		{"sizes-typed", []string{"t", "enter", ":2"}},
		{"sizes-figures", []string{"t", "enter", "right", "enter"}},
		{"question-families", with("f4")},
		{"question-sizes", with(":2ba", "f4")},
		{"grades", with("down", "f4")},
		{"grades-typed", with("down", "f4", ":bronze")},
		{"metals", with("down", "down", "down", "down", "f4")},
		{"sheet", with(":M4")},
		{"letters", []string{"w", ":A"}},
		{"number", with("down", "down", "down", "down", "down", "f4", ":6")},
		{"temperature", with("up", "down", "down", "down", "down", "down", "down", "down", "down", "f4")},
	}
}

// shows brings the bench to a screen, with the pad for fingers where one belongs.
func (b *bench) shows(keys []string, touch bool) {
	b.keys(keys...)
	b.m.touch = touch
	if e, ok := b.m.top().(*entry); ok && touch {
		e.fingers()
	}
	b.m.settle()
}

// Exact size everywhere, and all that can be pressed is on the screen.
func TestPickScreensAtManySizes(t *testing.T) {
	for i, s := range pickScreens() {
		for _, touch := range []bool{false, true} {
			b := newBench(t, 80, 24)
			b.shows(s.keys, touch)
			for w := 20 + i; w <= 200; w += 9 {
				for h := 8 + i%4; h <= 60; h += 5 {
					b.m.w, b.m.h = w, h
					b.m.settle()
					checkSize(t, b.m)
					for _, p := range b.m.shown.targets {
						require.True(t, inside(paint.Rect{X: 0, Y: 0, W: w, H: h}, p.at), "%s at %dx%d: %q at %+v", s.name, w, h, p.name, p.at)
					}
				}
			}
		}
	}
}

// Every place suits a finger and overlaps no other, and what is drawn as a tile
// is cut nowhere.
func TestPickScreensSuitFingers(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {60, 30}, {80, 24}, {160, 45}} {
		for _, s := range pickScreens() {
			b := newBench(t, size[0], size[1])
			b.shows(s.keys, true)
			for i, p := range b.m.shown.targets {
				at := fmt.Sprintf("%s at %v: %q %+v\n%s", s.name, size, p.name, p.at, b.text())
				require.GreaterOrEqual(t, p.at.W, paint.FingerWide, at)
				require.True(t, p.at.H >= paint.FingerTall || b.atEdge(p.at), at)
				for _, o := range b.m.shown.targets[i+1:] {
					require.False(t, overlap(p.at, o.at) && p.name != "more", "%s\nand %q", at, o.name)
				}
			}
			require.NotContains(t, b.text(), b.m.look.G.Cut, "%s at %v: something is cut", s.name, size)
		}
	}
}

// Every act on them has a key and a place of its own, while typing too.
func TestPickScreensHaveKeysAndPlaces(t *testing.T) {
	for _, touch := range []bool{false, true} {
		for _, s := range pickScreens() {
			b := newBench(t, 40, 20)
			b.shows(s.keys, touch)
			seen := map[string]bool{}
			note := func() {
				for _, p := range b.m.shown.targets {
					seen[p.name] = true
				}
			}
			acts, typing := b.m.allActs(), b.m.top().typing()
			note()
			if seen["More"] {
				b.m.more()
				for range 4 {
					b.m.settle()
					note()
					b.m.top().wheel(1)
				}
			}
			keys := map[string]string{}
			for _, a := range acts {
				require.True(t, a.bare || seen[a.word], "%s: nothing to tap for %q", s.name, a.word)
				require.NotEmpty(t, a.hint(typing), "%s: %q has no key that works while typing", s.name, a.word)
				for _, k := range a.key.Keys() {
					require.Empty(t, keys[k], "%s: %q means %q as well", s.name, k, a.word)
					keys[k] = a.word
				}
			}
		}
	}
}

func TestGoldenPickScreens(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		for _, s := range pickScreens() {
			switch s.name {
			case "families", "sizes", "grades", "metals", "letters", "temperature":
				for _, touch := range []bool{false, true} {
					if size[0] > 40 && (touch && size[0] == 160 || s.name == "sizes") { // figures of a thread beside it have tests of their own
						continue
					}
					b := newBench(t, size[0], size[1])
					b.shows(s.keys, touch)
					name := fmt.Sprintf("%dx%d-pick-%s", size[0], size[1], s.name)
					if touch {
						name += "-touch"
					}
					b.golden(name)
				}
			}
		}
	}
	for _, s := range pickScreens() {
		b := newBench(t, 40, 20, asciiOnly)
		b.shows(s.keys, true)
		for _, r := range b.text() {
			require.True(t, r == '\n' || r >= 0x20 && r < 0x7f, "%s: %q\n%s", s.name, r, b.text())
		}
		switch s.name {
		case "sizes", "temperature":
			b.golden("ascii-40x20-pick-" + s.name)
			b = newBench(t, 40, 20, coloured)
			b.shows(s.keys, true)
			b.golden("colour-40x20-pick-" + s.name)
			b.m.toggleSunlight()
			b.m.settle()
			b.golden("sunlight-40x20-pick-" + s.name)
		}
	}
}

// The thing the keys are on is told from the others by its frame or a mark,
// not by colour alone.
func TestPickedIsSeenWithoutColour(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		for _, touch := range []bool{false, true} {
			b := newBench(t, 40, 20, func(o *Options) { o.ASCII = ascii })
			b.shows([]string{"t", "enter"}, touch)
			first := b.text()
			b.keys("right")
			require.NotEqual(t, first, b.text())
		}
	}
}

// A thread that was measured and not tried is marked so by a tap, a key or in
// writing, and stands so when the question is opened again.
func TestProbableThread(t *testing.T) {
	b := newBench(t, 40, 20, func(o *Options) {
		o.Recipes = fstest.MapFS{"all.toml": {Data: []byte(asksAll)}}
	})
	b.keys("w", ":Ana", "enter")
	b.m.touch = true
	b.m.settle()
	b.tap("all.toml", "a", "Probable")
	b.sees("only probable")
	b.tap("BA", "2 BA")
	f := b.m.top().(*form)
	require.Equal(t, "2 BA probable", f.values["a"])
	b.tap("a")
	b.sees("only probable")
	b.tap("Certain", "3 BA")
	require.Equal(t, "3 BA", f.values["a"])
	b.tap("a")
	b.keys(":4ba?", "enter")
	require.Equal(t, "4 BA probable", f.values["a"])
}

// What was identified is looked up with one more press.
func TestWhatFitsIsLookedUp(t *testing.T) {
	b := newBench(t, 80, 24)
	b.keys("w", ":Ana", "enter", "c", "down", "enter", ":4.7", "down", "down", ":0.81")
	b.sees("2 BA")
	b.tap("Fits")
	b.sees("What fits", "2 BA", "TAPPING DRILL")
	l := b.m.top().(*lookupScreen)
	require.Equal(t, "2 BA", l.hits[0].String())
	b.keys("esc")
	b.sees("Unknown thread")
}

// A decision that takes another thread picks it by family and size.
func TestThreadOfADecisionIsPicked(t *testing.T) {
	b := refit(t, 40, 20, "holes")
	b.m.touch = true
	q := b.m.inquire("Decision")
	got := ""
	q.put("The new thread of this one fastener", func(e *entry) { e.thread = true }, func(text string) tea.Cmd { got = text; return nil })
	b.m.settle()
	b.sees("The new thread of this one fastener")
	b.tap("BSF")
	b.goTo("1/4 BSF")
	b.tap("1/4 BSF")
	require.Equal(t, "1/4 BSF", got)
}

// Down and up go a row on, to what lies under the place the keys are on; at the
// end of the rows the next is the last.
func TestArrowsGoByRows(t *testing.T) {
	b := newBench(t, 40, 20)
	b.shows([]string{"t", "enter"}, true) // three columns of BA
	l := b.m.top().(*lookupScreen)
	at := func(want string) {
		t.Helper()
		now, ok := l.now()
		require.True(t, ok)
		require.Equal(t, want, now.String())
	}
	at("0 BA")
	b.keys("down")
	at("3 BA")
	b.keys("right", "right", "down")
	at("8 BA")
	b.keys("up", "up")
	at("2 BA")
	b.keys("end", "pgup")
	at("0 BA")
	b.keys("pgdown")
	at("11 BA")
	b.keys("up")
	at("9 BA")
}

// What is typed finds an answer by its beginning first, then by any part of it.
func TestTypingNarrowsAnswers(t *testing.T) {
	b := newBench(t, 40, 20)
	b.shows([]string{"w", ":Ana", "enter", "c", "down", "down", "down", "enter", "down", "f4", ":bron"}, false)
	e := b.m.top().(*entry)
	var names []string
	for _, i := range e.offered() {
		names = append(names, e.choices[i].text)
	}
	require.Equal(t, []string{"phosphor bronze", "phosphor bronze, hard", "silicon bronze", "aluminium bronze"}, names)
	b.keys("ctrl+u", ":brass")
	list := e.offered()
	require.Equal(t, "brass", e.choices[list[0]].text)
	require.Equal(t, "DZR brass", e.choices[list[1]].text)
	b.keys("down", "enter")
	require.Equal(t, "DZR brass", b.m.top().(*sheet).text["grade"])
	b.keys("up", "f4", ":zzz", "enter") // turned on to the next question meanwhile
	b.sees("No answer holds these letters.")
	require.Equal(t, "DZR brass", b.m.answered["torque"]["grade"])
}
