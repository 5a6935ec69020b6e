package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
	"fettle/recipes"
	"fettle/tui/paint"
)

// stops is the walk through the program that the goldens and the size tests
// share: each stop leaves another screen showing.
func stops() []struct {
	name string
	do   func(b *bench)
} {
	type stop = struct {
		name string
		do   func(b *bench)
	}
	return []stop{
		{"home-new", func(b *bench) {}},
		{"who", func(b *bench) { b.keys("w") }},
		{"home-empty", func(b *bench) { b.keys(":Ana", "enter") }},
		{"settings", func(b *bench) { b.keys("enter") }},
		{"settings-value", func(b *bench) { b.keys("enter", ":Bramble", "enter", "enter", ":95") }},
		{"settings-read", func(b *bench) { b.keys(": psi") }},
		{"settings-choice", func(b *bench) { b.keys("esc", "down", "down", "down", "enter") }},
		{"settings-thread", func(b *bench) { b.keys("esc", "up", "enter") }},
		{"settings-full", func(b *bench) {
			b.keys("esc", "down", "down", "down", "enter", ":Tom", "enter")
		}},
		{"before", func(b *bench) { b.keys("s") }},
		{"step-warning", func(b *bench) { onwards(b, "To the steps") }},
		{"step-hold", func(b *bench) { done(b) }},
		{"release", func(b *bench) { onwards(b, "Release") }},
		{"step-figures", func(b *bench) { b.keys(":Tom", "enter"); done(b) }},
		{"reading", func(b *bench) { onwards(b, "Reading"); b.keys(":4.6") }},
		{"step-read", func(b *bench) { b.keys("enter", ":4.76", "enter", "down", "enter") }},
		{"sources", func(b *bench) { b.keys("f") }},
		{"note", func(b *bench) { b.keys("f", "n", ":Waisted under the nut, ask about a new one") }},
		{"skip", func(b *bench) { b.keys("enter", "x", "down") }},
		{"look-up", func(b *bench) { b.keys("esc", "t") }},
		{"look-up-list", func(b *bench) { b.keys(":1/4") }},
		{"look-up-thread", func(b *bench) { b.keys("ctrl+u", ":2ba") }},
		{"look-up-none", func(b *bench) { b.keys("ctrl+u", ":qqq") }},
		{"steps", func(b *bench) { b.keys("esc", "s") }},
		{"more", func(b *bench) { b.keys("esc", "m") }},
		{"help", func(b *bench) { b.keys("esc", "?") }},
		{"record", func(b *bench) { b.keys("esc", "i") }},
		{"sums", func(b *bench) { b.keys("esc", "c") }},
		{"sheet", func(b *bench) { b.keys("down", "down", "down", "enter", ":M4") }},
		{"sheet-result", func(b *bench) { b.keys("enter") }},
		{"find", func(b *bench) { b.keys("esc", "esc", "/", ":spindle") }},
		{"step-wait", func(b *bench) {
			b.keys("esc")
			done(b) // the spindle
			done(b) // the handle
			done(b) // seal: now it waits
		}},
		{"all-done", func(b *bench) {
			b.now = b.now.Add(25 * time.Hour)
			b.keys("ctrl+r")
			sayTime(b)
			onwards(b, "Reading")
			b.keys(":0", "enter")
			done(b)
		}},
		{"home-job", func(b *bench) { b.keys("enter") }},
	}
}

// ofFigures are the stops that show figures of the sums, whose values and
// sources have tests of their own; a golden here would only repeat them.
var ofFigures = map[string]bool{
	"settings-value": true, "settings-read": true, "settings-thread": true, "step-figures": true, "step-read": true,
	"sources": true, "look-up": true, "look-up-list": true, "look-up-thread": true, "look-up-none": true,
	"find": true, "sums": true, "sheet": true, "sheet-result": true,
}

// onwards presses the large button until it bears the word.
func onwards(b *bench, word string) {
	b.t.Helper()
	for range 9 {
		for _, a := range b.m.allActs() {
			if a.main && a.word == word {
				b.keys("enter")
				return
			}
		}
		b.keys("enter")
	}
	b.t.Fatalf("the large button never says %q\n%s", word, b.text())
}

// done reads the step to its end and ticks it.
func done(b *bench) {
	b.t.Helper()
	onwards(b, "Done")
}

func TestGoldenScreens(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}, {160, 45}} {
		t.Run(fmt.Sprintf("%dx%d", size.w, size.h), func(t *testing.T) {
			b := newBench(t, size.w, size.h)
			for _, s := range stops() {
				s.do(b)
				if !ofFigures[s.name] {
					b.golden(fmt.Sprintf("%dx%d-%s", size.w, size.h, s.name))
				}
			}
		})
	}
	t.Run("colour", func(t *testing.T) {
		b := newBench(t, 80, 24, coloured)
		for _, s := range stops() {
			s.do(b)
			switch s.name {
			case "home-job", "settings-full", "step-warning", "step-hold", "reading", "skip", "steps", "step-wait":
				b.golden("colour-80x24-" + s.name)
			}
		}
	})
	t.Run("ascii", func(t *testing.T) {
		b := newBench(t, 80, 24, asciiOnly)
		for _, s := range stops() {
			s.do(b)
			for _, r := range b.text() {
				require.True(t, r == '\n' || r >= 0x20 && r < 0x7f, "%s: %q\n%s", s.name, r, b.text())
			}
			switch s.name {
			case "home-job", "step-hold", "reading", "steps":
				b.golden("ascii-80x24-" + s.name)
			}
		}
	})
}

// Every stop at every size, with and without fingers: exact size, nothing
// wider, and whatever can be pressed is on the screen and large enough.
func TestEverySize(t *testing.T) {
	b := newBench(t, 80, 24)
	p := slowly(manySizes, everyWidth, everyPair)
	for i, s := range stops() {
		s.do(b)
		b.atSizes(s.name, i, p)
	}
	for i, s := range asides() {
		b := s.show(t)
		b.atSizes(s.name, i, p)
	}
}

// pace is how many of the sizes from 20 by 8 to 200 by 60 a test takes.
type pace int

const (
	someSizes  pace = iota // a few, others for every part
	manySizes              // every eleventh width and seventh height, others for every part
	everyWidth             // no width and no height is left out, but pairs of them
	everyPair              // all 9,593 pairs, each with and without fingers
)

// sizes calls do with the sizes of a pace; part shifts them.
func (p pace) sizes(part int, do func(w, h int)) {
	firstW, stepW, stepH := 20+part%11, 11, 7
	switch p {
	case someSizes:
		firstW, stepW, stepH = 20+part%41, 41, 19
	case everyWidth:
		firstW, stepW, stepH = 20, 1, 5
	case everyPair:
		firstW, stepW, stepH = 20, 1, 1
	}
	for w := firstW; w <= 200; w += stepW {
		firstH := 8
		if p != everyPair {
			firstH += (w + part) % stepH
		}
		for h := firstH; h <= 60; h += stepH {
			do(w, h)
		}
	}
}

// slowly is the pace that FETTLE_SLOW asks for.
func slowly(usual, one, all pace) pace {
	switch os.Getenv("FETTLE_SLOW") {
	case "":
		return usual
	case "all":
		return all
	}
	return one
}

// atSizes draws the screen shown at the sizes of a pace, with and without fingers
// by turns.
func (b *bench) atSizes(name string, part int, p pace) {
	b.t.Helper()
	was := *b.m
	p.sizes(part, func(w, h int) {
		b.m.w, b.m.h = w, h
		b.m.touch = (w+h)%4 < 2
		for range 2 {
			b.m.settle()
			checkSize(b.t, b.m)
			screen := paint.Rect{X: 0, Y: 0, W: w, H: h}
			for _, p := range b.m.shown.targets {
				if !inside(screen, p.at) {
					b.t.Fatalf("%s at %dx%d: %q at %+v is off the screen", name, w, h, p.name, p.at)
				}
				// What is scrolled half out of the window is as large as what shows of it.
				if b.m.touch && w >= 40 && h >= 14 && (p.at.W < paint.FingerWide || p.at.H < paint.FingerTall && !b.atEdge(p.at)) {
					b.t.Fatalf("%s at %dx%d: %q is only %dx%d", name, w, h, p.name, p.at.W, p.at.H)
				}
			}
			if p != everyPair {
				break
			}
			b.m.touch = !b.m.touch
		}
	})
	b.m.touch = was.touch
	b.size(was.w, was.h)
}

// asides are screens that the walk of the stops does not come to.
func asides() []struct {
	name string
	show func(t *testing.T) *bench
} {
	at := func(file, kind, uses string, keys ...string) func(t *testing.T) *bench {
		return func(t *testing.T) *bench {
			b := atStep(t, file, kindUsing(t, file, kind, uses), 80, 24)
			b.keys(keys...)
			return b
		}
	}
	found := func(keys ...string) func(t *testing.T) *bench {
		return func(t *testing.T) *bench {
			b := refit(t, 80, 24, "holes")
			pullOut(b)
			b.keys(keys...)
			return b
		}
	}
	return []struct {
		name string
		show func(t *testing.T) *bench
	}{
		{"ring beside", at("regulator.toml", "tighten", "cover", "+")},
		{"ring", at("regulator.toml", "tighten", "cover", ".", "+")},
		{"packing ring", at("gland.toml", "make", "packing", ".")},
		{"screw", at("regulator.toml", "measure", "cover", ".")},
		{"figure to send", at("gland.toml", "make", "packing", "t", ":2ba", "f8")},
		{"figure sent", at("gland.toml", "make", "packing", "t", ":2ba", "f8", "enter")},
		{"finding", found()},
		{"findings", found("esc", "a")},
		{"figure of a finding", found("esc", "d", "down", "down", "down", "down", "down", "enter", "down", "enter", "ctrl+g")},
		{"photo of a finding", found("esc", "d", "down", "down", "down", "down", "down", "enter", "down", "enter", "ctrl+p")},
		{"to bring", found("esc", "p")},
		{"on paper", found("esc", "p", "p")},
		{"the record", found("esc", "i")},
		{"gates", found("esc", "e")},
		{"test sheet", found("esc", "v")},
	}
}

func TestPlacesSuitFingers(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {60, 30}, {80, 24}, {160, 45}} {
		b := newBench(t, size.w, size.h)
		for _, s := range stops() {
			s.do(b)
			b.m.touch = true
			b.m.settle()
			for i, p := range b.m.shown.targets {
				// What is scrolled half out of the window is as large as what shows of it.
				if p.at.W < paint.FingerWide || p.at.H < paint.FingerTall && !b.atEdge(p.at) {
					t.Errorf("%s at %dx%d: %q is only %dx%d", s.name, size.w, size.h, p.name, p.at.W, p.at.H)
				}
				for _, o := range b.m.shown.targets[i+1:] {
					if overlap(p.at, o.at) && p.name != "more" {
						t.Errorf("%s at %dx%d: %q and %q overlap", s.name, size.w, size.h, p.name, o.name)
					}
				}
			}
			b.m.touch = false
			b.m.settle()
		}
	}
}

// atEdge reports whether r touches the upper or lower end of the body, where
// scrolled text is cut off.
func (b *bench) atEdge(r paint.Rect) bool {
	body := b.m.shown.Body
	return r.Y <= body.Y+1 || r.Y+r.H >= body.Y+body.H-1
}

// Every act has a key and a place: either its own button or one behind More.
func TestEveryActHasKeyAndPlace(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}, {160, 45}} {
		b := newBench(t, size.w, size.h)
		for _, s := range stops() {
			s.do(b)
			seen := map[string]bool{}
			for _, p := range b.m.shown.targets {
				seen[p.name] = true
			}
			acts := b.m.allActs()
			if seen["More"] {
				b.m.more()
				b.m.settle()
				for range 4 {
					for _, p := range b.m.shown.targets {
						seen[p.name] = true
					}
					b.m.top().wheel(1)
					b.m.settle()
				}
				b.m.back()
				b.m.settle()
			}
			keys := map[string]string{}
			for _, a := range acts {
				if !a.bare && !seen[a.word] {
					t.Errorf("%s at %dx%d: nothing to tap for %q", s.name, size.w, size.h, a.word)
				}
				require.NotEmpty(t, a.key.Keys(), "%s: %q has no key", s.name, a.word)
				require.NotEmpty(t, a.key.Help().Desc, "%s: %q has no help", s.name, a.word)
				require.NotEmpty(t, a.hint(b.m.top().typing()), "%s: %q has no key that works while typing", s.name, a.word)
				for _, k := range a.key.Keys() {
					if other, taken := keys[k]; taken {
						t.Errorf("%s: key %q means %q and %q", s.name, k, other, a.word)
					}
					keys[k] = a.word
				}
			}
		}
	}
}

// A taper thread says so before anybody scrolls, and an external one names no
// tapping drill; a spanner is not given to a micrometre.
func TestLookUpSaysTaperAtOnce(t *testing.T) {
	for name, wants := range map[string][]string{
		"rc 1/8": {"taper 1 in 16; sizes at the face", "TAPPING DRILL"},
		"r 1/8":  {"taper 1 in 16; sizes 4 mm from the end", "none: it is external", "Its hole is Rc 1/8 or Rp 1/8."},
	} {
		b := started(t, 40, 20)
		b.keys("enter", "ctrl+t", ":"+name)
		b.sees(wants...)
	}
	b := started(t, 80, 24)
	b.keys("enter", "ctrl+t", ":4ba")
	b.sees("6.3 mm")
	require.NotContains(t, b.text(), "6.299")
}

func TestLookUpComesBackToTheSamePlace(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	done(b)
	b.keys("n", ":half a sentence")
	before := b.text()
	b.keys("ctrl+t", ":2ba")
	b.sees("TAPPING DRILL", "2 BA")
	b.keys("esc")
	require.Equal(t, before, b.text())
}

func TestNothingShownAsSavedIsLost(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	done(b)
	b.sees("Saved 19:00: step 1 is done")
	b.keys("n", ":the tag is tied", "enter")
	b.sees("Saved 19:00: the note")
	b.again() // as after kill -9: nothing was said to the old one
	b.sees("Bramble", "1 of 6")
	b.keys("enter")
	b.sees("Shown to the owner", "note: the tag is tied")
}

func TestFailedSaveKeepsTheText(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	// Neither the job's folder nor this device's own takes anything.
	require.NoError(t, os.RemoveAll(filepath.Join(b.dir, "state")))
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "state"), nil, 0o600))
	jobs, err := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
	require.NoError(t, err)
	require.Len(t, jobs, 1)
	require.NoError(t, os.Rename(jobs[0], jobs[0]+"-away"))
	b.keys("n", ":worth keeping", "enter")
	b.sees("NOT SAVED", "worth keeping")
	b.lacks("Saved 19:00")
	require.NoError(t, os.Rename(jobs[0]+"-away", jobs[0]))
	require.NoError(t, os.Remove(filepath.Join(b.dir, "state")))
	b.keys("enter")
	b.lacks("NOT SAVED")
	b.sees("Saved 19:00: the note", "note: worth keeping")
}

func TestFolderGoneSaysSo(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	jobs, _ := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
	require.NoError(t, os.Rename(jobs[0], jobs[0]+"-away"))
	done(b)
	b.sees("on this device only")
}

// An entry that is not in both places is never plainly saved.
func TestOnePlaceOnlySaysSo(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	require.NoError(t, os.RemoveAll(filepath.Join(b.dir, "state")))
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "state"), nil, 0o600))
	b.keys("n", ":half", "enter")
	b.sees("Saved in the job's folder only: the note")
	b.lacks("Saved 19:00")
	b.keys("i")
	b.sees("The last entry: this device's own folder", "is no folder")
	require.NoError(t, os.Remove(filepath.Join(b.dir, "state")))
	b.keys("esc", "n", ":whole", "enter")
	b.sees("Saved 19:00: the note")
	b.keys("i")
	b.lacks("The last entry")
}

func TestJobsThatCannotBeReadSayWhatToDo(t *testing.T) {
	b := newBench(t, 80, 24)
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "jobs"), nil, 0o600))
	b.again()
	b.sees("THE JOBS CANNOT BE READ", "press ctrl+r", "--jobs", "START A NEW JOB")
	require.NoError(t, os.Remove(filepath.Join(b.dir, "jobs")))
	b.keys("ctrl+r")
	b.lacks("CANNOT BE READ")
	b.sees("No job is under way here yet.")
}

func TestSettingIsJudgedWhileTyped(t *testing.T) {
	b := newBench(t, 80, 24)
	b.keys("w", ":Ana", "enter", "enter", "down", "enter", ":90")
	b.sees("unit")
	b.keys("enter")
	b.sees("Working pressure") // a wrong value is not taken
	b.keys(": bar")
	b.lacks("reads as")
	b.keys("backspace", "backspace", "backspace", "backspace", "backspace", ":5 psi", "enter")
	b.sees("95 psi")
	b.keys("s") // without an engine nothing starts
	b.sees("Which engine?")
}

func TestReadingOutsideItsLimitsIsKeptAndSaid(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	done(b)
	onwards(b, "Release")
	b.keys(":Tom", "enter")
	done(b)
	onwards(b, "Reading")
	b.keys(":4.6")
	b.sees("WARN: 4.6 mm is")
	b.keys("enter")
	b.sees("Largest diameter") // the next reading by itself
	b.keys("esc")
	b.sees("! WARN: 4.6 mm is")
}

func TestUndoSaysWhatItTakesBackAndAsks(t *testing.T) {
	b := atReadings(t, 80, 24)
	b.keys("esc", "u")
	b.sees("Take this back: tick of", "Step 2, Shown to the owner")
	b.keys("esc")
	b.sees("2 of 6")
	b.keys("u", "enter")
	b.sees("1 of 6", "MAKE SAFE 2 of 6", "taken back: tick of")
	b.keys("u", "enter", "u", "enter")
	b.sees("0 of 6", "1 of 6")
	b.keys("u")
	b.sees("Nothing made on this device is left to undo.")
}

func TestTypedReportsAreNoText(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("n")
	f := newTestFilter()
	for _, msg := range pass(f, torn("\x1b[<0;30;10M", 3, 6)...) {
		b.send(msg)
	}
	b.lacks("<0", "30;10")
}

func TestFiguresStandBesideTheStep(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 30}, {80, 24}, {160, 45}} {
		b := started(t, size.w, size.h)
		b.keys("enter")
		done(b)
		onwards(b, "Release")
		b.keys(":Tom", "enter")
		b.lacks("FIGURES") // this step uses nothing
		done(b)
		b.keys("pgdown", "pgdown")
		b.sees("FIGURES", "2 BA", "4.0 mm")
		b.lacks("BS 93")
		b.keys("f", "end")
		b.sees("BS 93")
	}
}

func TestOwnProceduresAreOffered(t *testing.T) {
	own := t.TempDir()
	src, err := os.ReadFile(filepath.Join("testdata", "procedures", "cock.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(own, "mine.toml"), src, 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(own, "broken.toml"), append(src, "\n[[stage]]\ntitel = \"x\"\n"...), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(own, "other.toml"), []byte("name = \"no procedure\"\n"), 0o600))
	b := newBench(t, 80, 40, func(o *Options) { o.Beside = own })
	b.keys("w", ":Ana", "enter")
	b.sees("in this folder", "broken.toml has mistakes")
	b.lacks("other.toml")
	b.keys("down", "enter")
	b.sees("This procedure has mistakes", "titel")
}

func TestOpenNamedJob(t *testing.T) {
	b := started(t, 80, 24)
	jobs, _ := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
	o := b.options(func(o *Options) { o.Open = jobs[0] })
	b.begin(o, 80, 24)
	b.sees("Bramble", "BEFORE YOU START")
	o.Open = b.dir
	b.begin(o, 80, 24)
	b.sees("START A NEW JOB")
	require.NotEmpty(t, b.m.foot.text)
}

func TestDamagedJobIsListedWithItsReason(t *testing.T) {
	b := started(t, 80, 24)
	jobs, _ := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
	require.NoError(t, os.WriteFile(filepath.Join(jobs[0], "job.toml"), []byte("format = 99\n"), 0o600))
	b.again()
	b.sees("cannot be opened")
	b.keys("enter")
	b.sees("This job cannot be opened")
}

func TestPersonIsAskedOncePerDevice(t *testing.T) {
	b := newBench(t, 80, 24)
	b.sees("No job is under way")
	b.keys("w", ":Ana", "enter")
	b.again()
	require.Equal(t, "Ana", b.m.person)
	name, err := job.Person(job.Env{Now: time.Now, StateDir: filepath.Join(b.dir, "state")})
	require.NoError(t, err)
	require.Equal(t, "Ana", name)
}

// Somebody else says their name on this device, in a command or another screen:
// a screen that is open goes on under the name it shows, in the job that is open
// and in those opened after.
func TestAnOpenScreenKeepsItsPerson(t *testing.T) {
	b := started(t, 80, 24)
	b.again() // the name comes from what the device remembers
	b.keys("enter", "right")
	other := job.Env{Now: time.Now, StateDir: filepath.Join(b.dir, "state")}
	says := func(name string) { t.Helper(); require.NoError(t, job.SetPerson(other, name)) }
	by := func() (names []string) {
		for _, n := range b.m.work.state.Steps["cold"].Notes {
			names = append(names, n.By)
		}
		return names
	}
	says("Tom")
	b.keys("n", ":first", "enter", "ctrl+r", "n", ":second", "enter")
	require.Equal(t, []string{"Ana", "Ana"}, by())
	b.keys("esc", "enter") // home, and the job again
	require.IsType(t, (*stepScreen)(nil), b.m.top())
	b.keys("right", "n", ":third", "enter")
	require.Equal(t, []string{"Ana", "Ana", "Ana"}, by())
	b.sees("Ana")

	// The name page is the one way to change it, and holds for this screen alone.
	b.keys("w", ":Ruth", "enter")
	says("Olga")
	b.keys("n", ":fourth", "enter")
	require.Equal(t, []string{"Ana", "Ana", "Ana", "Ruth"}, by())

	// A screen that begins takes the name remembered last, also for a job that it
	// opens at once.
	jobs, err := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
	require.NoError(t, err)
	b.begin(b.options(func(o *Options) { o.Open = jobs[0] }), 80, 24)
	says("Tom")
	b.keys("right", "n", ":fifth", "enter")
	require.Equal(t, []string{"Ana", "Ana", "Ana", "Ruth", "Olga"}, by())
}

// In bright light every cell has its ground painted, to the last column.
func TestSunlightPaintsTheWholeScreen(t *testing.T) {
	b := newBench(t, 80, 24, coloured)
	b.keys("w", ":Ana", "enter", "y")
	for _, line := range strings.Split(b.m.View(), "\n") {
		require.Equal(t, 80, ansi.StringWidth(line))
		require.True(t, strings.HasPrefix(line, "\x1b["), "%q", line)
	}
	b.keys("y")
	require.Less(t, ansi.StringWidth(strings.Split(b.m.View(), "\n")[2]), 80)
}

func TestWhatTheTerminalCanDraw(t *testing.T) {
	env := func(pairs ...string) func(string) string {
		return func(name string) string {
			for i := 0; i < len(pairs); i += 2 {
				if pairs[i] == name {
					return pairs[i+1]
				}
			}
			return ""
		}
	}
	for _, c := range []struct {
		env  func(string) string
		want bool
	}{
		{env("LANG", "en_GB.UTF-8"), false},
		{env("LANG", "C.utf8"), false},
		{env("LANG", "en_GB.UTF-8", "LC_ALL", "C"), true},
		{env("LANG", "en_GB.ISO-8859-1"), true},
		{env(), true},
		{env("LC_CTYPE", "ja_JP.UTF-8", "LANG", "en_GB.UTF-8"), true}, // draws lines two cells wide
	} {
		require.Equal(t, c.want, OnlyASCII(c.env))
	}
}

func TestFindGoesAnywhere(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	b.keys("/", ":seal stud")
	b.sees("Seal the studs step")
	b.keys("enter")
	b.sees("CLOSE 5 of 6", "Leave them alone")
	b.keys("/", ":2 ba", "enter")
	b.sees("Look up a thread", "TAPPING DRILL")
	b.keys("esc", "/", ":steam temp", "enter")
	b.sees("Steam temperature")
	b.keys("esc", "/", ":write a note", "enter")
	b.sees("Note on step 5")
	b.keys("esc", "/", ":qqqq")
	b.sees("Nothing holds these words.", "A thread is written like M4")
	b.keys("enter")
	b.sees("Find")
}

// What a fitter would type, and what has to come first.
func TestFindAnswersAsAsked(t *testing.T) {
	b := refit(t, 80, 24, "dry")
	pullOut(b)
	b.keys("esc")
	b.m.stack[0].(*home).shelf = readShelf(recipes.FS(), false, nil)
	for query, first := range map[string]string{
		"2ba":             "thread 2 BA",
		"drill for 4ba":   "thread 4 BA",
		"4 ba clearance":  "thread 4 BA",
		"spanner 2ba":     "thread 2 BA",
		"1/4 bsp":         "thread G 1/4",
		"m5 torque":       "sum Torque, M5",
		"how tight is m5": "sum Torque, M5",
		"torque":          "sum Torque",
		"tapping drill":   "do Thread",
		"o ring":          "sum O-ring and groove",
		"oring":           "sum O-ring and groove",
		"steam temp":      "sum Steam temperature",
		"broken stud":     "procedure Get a broken screw or stud out",
		"stripped thread": "sum Damaged hole",
		"gasket":          "step Cut the gasket",
		"asbestos":        "procedure Repack a valve-spindle gland",
		"damaged hole":    "finding 1. Damaged hole, pulled out by hand",
		"pulled out":      "finding 1. Damaged hole, pulled out by hand",
		"who":             "do Who",
		"undo":            "do Undo",
		"mistake":         "do Undo",
		"copy":            "do Mouse",
		"print":           "do Bring",
		"photo":           "do Finding",
		"quit":            "do Home",
		"bright":          "do Sunlight",
		"what next":       "do After",
		"before start":    "step Before you start",
	} {
		b.keys("/", ":"+query)
		s := b.m.top().(*findScreen)
		require.NotEmpty(t, s.hits, query)
		require.Equal(t, first, s.hits[0].kind+" "+s.hits[0].text, query)
		require.False(t, s.loose, query)
		b.keys("esc")
	}
	b.keys("/", ":m5 torque", "enter")
	sh := b.m.top().(*sheet)
	require.Equal(t, "Torque", sh.sum.Title)
	require.Equal(t, "M5", sh.text["thread"])
	b.keys("esc", "/", ":pulled out", "enter")
	b.sees("Finding 1", "WAYS TO SAVE THE HOLE")
	b.keys("esc", "/", ":purple gasket")
	b.sees("Nothing holds all these words; these hold some:", "Cut the gasket")
}

func TestJobThatCannotBeLaidDownKeepsTheAnswers(t *testing.T) {
	b := newBench(t, 80, 24)
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "jobs"), nil, 0o600)) // a file where the folder should be
	b.keys("w", ":Ana", "enter", "enter", "enter", ":Bramble", "enter")
	for range 5 {
		b.keys("down")
	}
	b.keys("enter", ":Tom", "enter", "s")
	b.sees("NOT STARTED", "jobs")
	b.keys("home")
	b.sees("Bramble")
	require.NoError(t, os.Remove(filepath.Join(b.dir, "jobs")))
	b.keys("s")
	b.sees("BEFORE YOU START")
}
