package tui

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

// walk goes through the whole program at one size: every screen, every kind of
// finding and every way to decide about it, the questions of the test sheet, the
// gates and the list to bring, every sum, the demo. see is called for every
// screen and every question when it shows for the first time.
func walk(t *testing.T, w, h int, see func(b *bench, name string)) {
	t.Helper()
	watched := func(b *bench, story string) *bench {
		type place struct {
			screen screen // held, so that no other one gets its address
			at     int
		}
		seen := map[place]bool{}
		busy := false
		b.watch = func() {
			if busy || b.m.w == 0 {
				return
			}
			top := b.m.top()
			name := fmt.Sprintf("%T", top)[len("*tui."):]
			key := place{screen: top}
			switch s := top.(type) {
			case *entry:
				name += " " + s.ask
			case *stepScreen:
				key.at = s.at
				name += fmt.Sprint(" ", s.at+1)
			default:
				name += " " + top.title()
			}
			if !seen[key] {
				seen[key], busy = true, true
				see(b, story+": "+name)
				busy = false
			}
		}
		b.watch()
		return b
	}

	b := watched(newBench(t, w, h), "first job")
	for _, s := range stops() {
		s.do(b)
	}

	b = watched(refit(t, w, h, "holes"), "findings")
	b.keys("d")
	kinds := len(b.m.top().(*entry).choices)
	require.Greater(t, kinds, 4)
	b.keys("esc")
	for i := range kinds {
		b.keys("d")
		b.downs(i)
		b.keys("enter")
		b.answerAll()
		ways := 1
		for way := 0; way < ways; way++ {
			s, ok := b.m.top().(*findingScreen)
			require.True(t, ok, "kind %d ends at %T\n%s", i, b.m.top(), b.text())
			ways = len(s.rows)
			s.v.cur = way
			b.keys("enter")
			b.answerAll()
			b.leave() // where nothing that is tried is an answer
			if s.finding().Disposition != nil {
				b.keys("u", "enter")
			}
		}
		b.keys("esc")
		require.IsType(t, (*stepScreen)(nil), b.m.top(), b.text())
	}
	b.keys("a", "esc", "p", "n")
	b.answerAll()
	b.keys("esc", "e", "n")
	b.answerAll()
	b.keys("v")
	b.answerAll()
	b.keys("s")
	b.answerAll()
	b.keys("esc", "i", "esc", "?", "esc", "m", "esc", "s", "esc", "u", "esc", "w")

	b = watched(underTest(t, w, h), "pressure test")
	onwards(b, "Test sheet")
	b.keys("enter", ":Ana", "enter", ":Ruth", "enter")
	for _, l := range job.SheetLines() {
		b.run(b.m.top().(*testScreen).line(l.Name, false))
		b.m.settle()
		b.watch()
		b.answerAll()
		b.leave()
	}
	b.keys("s")
	b.leave()
	b.keys("enter", "enter")
	reads(b, 0, "0.5 bar", "0.3")
	reads(b, 3*time.Minute, "9.31 bar", "3.6")
	reads(b, 5*time.Minute, "7.8 bar", "3.6")
	b.keys("g", "enter", "down", "enter")
	b.answerAll()
	b.keys("esc", "o", "down", "enter", "down", "enter")
	b.answerAll()
	b.keys("n")
	b.answerAll()

	b = watched(newBench(t, w, h, withDemo), "demo")
	b.answerAll()
	for range 3 {
		if _, ok := b.m.top().(*stepScreen); ok {
			break
		}
		b.keys("d")
		b.answerAll()
	}
	require.IsType(t, (*stepScreen)(nil), b.m.top(), b.text())
	b.m.top().(*stepScreen).goTo(-1)
	for range b.m.work.steps {
		b.keys("right")
	}
	b.keys("a", "enter", "esc", "esc", "p", "esc", "/", ":gland", "esc", "t", "esc", "c")
	for i := range len(b.m.top().(*sumsScreen).list) + 1 {
		b.m.top().(*sumsScreen).v.cur = i
		b.keys("enter")
		for range 4 {
			if _, ok := b.m.top().(*sumsScreen); ok {
				break
			}
			b.keys("esc")
		}
	}
}

func (b *bench) downs(n int) {
	for range n {
		b.keys("down")
	}
}

// answerAll answers the questions that show, with whatever each of them takes.
func (b *bench) answerAll() {
	b.t.Helper()
	for range 40 {
		e, ok := b.m.top().(*entry)
		if !ok || !b.answer(e) {
			return
		}
	}
	b.t.Fatalf("the questions never end\n%s", b.text())
}

// leave goes back from the questions that show.
func (b *bench) leave() {
	for range 9 {
		if _, ok := b.m.top().(*entry); !ok {
			return
		}
		b.keys("esc")
	}
}

func (b *bench) answer(e *entry) bool {
	b.t.Helper()
	gone := func() bool { return b.m.top() != screen(e) }
	b.keys("enter")
	if gone() {
		return true
	}
	if len(e.choices) > 0 {
		b.keys("down", "enter")
		if gone() {
			return true
		}
	}
	if e.only {
		return false
	}
	for _, text := range []string{"3.65", "gunmetal", "Ruth", "2", "7 bar", "M4", "10 ml", "20", "10 min", "yes", "copper"} {
		b.keys("ctrl+u", ":"+text, "enter")
		if gone() {
			return true
		}
	}
	return false
}

// cutSign stands for the sign of a cut text where the test looks for it: the
// usual one may stand in a text that is whole.
const cutSign = "¬"

// mayBeCut are screens where a text may end in the sign for "cut off" as they
// come up, and why that is right.
var mayBeCut = []struct{ screen, why string }{
	{"home fettle", "what a procedure is for; the next page says all of it"},
	{"sheet Pressure will not hold", "a cause and how it shows; all of it is among what comes out"},
}

// On no screen a text ends in the sign for "cut off" as it comes up, but for
// those that are shown whole elsewhere. What was said at the foot is shown whole
// by a key that stands beside it.
func TestNothingIsCutThatNeedNotBe(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}, {160, 45}} {
		screens := 0
		cuts := map[string]string{}
		walk(t, size.w, size.h, func(b *bench, name string) {
			screens++
			touch, cut := b.m.touch, b.m.look.G.Cut
			for _, b.m.touch = range []bool{false, true} {
				b.m.look.G.Cut = cutSign
				forget(b.m)
				b.m.settle()
				for _, line := range strings.Split(b.text(), "\n") {
					if strings.Contains(line, cutSign) && !strings.Contains(line, b.m.keys.Whole.Help().Key+" all") {
						cuts[line] = name
					}
				}
			}
			b.m.touch, b.m.look.G.Cut = touch, cut
			forget(b.m)
			b.m.settle()
		})
		require.Greater(t, screens, 250, "the walk has gone to few places")
		for line, name := range cuts {
			if !slices.ContainsFunc(mayBeCut, func(c struct{ screen, why string }) bool { return strings.HasSuffix(name, c.screen) }) {
				t.Errorf("%dx%d, %s: %s", size.w, size.h, name, line)
			}
		}
	}
}

// forget makes the list of steps be laid out anew.
func forget(m *model) {
	for _, s := range m.stack {
		if step, ok := s.(*stepScreen); ok {
			step.drawn = steplist{}
		}
	}
}

// Every screen and every question of the walk at some sizes, others for each; and
// every act there has a key of its own.
func TestEverySizeOfTheQuestions(t *testing.T) {
	n, p := 0, slowly(someSizes, manySizes, everyWidth)
	walk(t, 80, 24, func(b *bench, name string) {
		n++
		keys := map[string]string{}
		for _, a := range b.m.allActs() {
			require.NotEmpty(t, a.key.Help().Desc, name)
			for _, k := range a.key.Keys() {
				require.Empty(t, keys[k], "%s: key %q means %q and %q", name, k, keys[k], a.word)
				keys[k] = a.word
			}
		}
		b.atSizes(name, n, p)
	})
}

func TestWhatIsSaidAtTheFootCanBeReadWhole(t *testing.T) {
	said := "NOT SAVED: the disk that the folder of the job lies on is full, and the copy of this device could not be written either."
	for _, touch := range []bool{false, true} {
		b := started(t, 40, 20)
		b.m.touch = touch
		b.m.say(paint.InkWrong, said)
		b.m.settle()
		b.sees("NOT SAVED:", "f9 all")
		b.lacks("either")
		if touch {
			b.tap("Whole line")
		} else {
			b.keys("f9")
		}
		b.sees(said)
		b.keys("enter")
		b.sees("BEFORE YOU START")
	}
	b := started(t, 160, 45)
	b.m.say(paint.InkWrong, said)
	b.m.settle()
	b.sees(said)
	b.lacks("f9 all")
}
