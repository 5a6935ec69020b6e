package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// proof has one of everything that can stop a job: a reading that stops, a hold with
// a reading of its own, a danger, a wait, a reading that asks, a step of kind test.
const proof = `format = 2
id     = "proof"
title  = "Prove the valve"

[settings.lift]
ask     = "Lift of the valve"
kind    = "length"
default = "1 mm"
low     = "${least}"

[settings.least]
ask     = "Least lift"
kind    = "length"
default = "0.5 mm"

[[stage]]
title = "Look"

[[stage.step]]
id      = "zero"
kind    = "inspect"
title   = "Needle"
do      = "Tap the gauge and read it."
reading = [{ name = "gauge", ask = "Needle on zero", kind = "yes-no", nominal = "yes", outside = "stop" }]

[[stage.step]]
id      = "held"
kind    = "inspect"
title   = "Gap of the cover"
do      = "Feel the gap."
after   = ["zero"]
hold    = "owner"
reading = [{ name = "gap", ask = "Gap under the cover", kind = "length", unit = "mm", low = "0", high = "0.3", outside = "stop" }]

[[stage.step]]
id    = "set"
kind  = "inspect"
title = "Set the lift"
after = ["held"]
do    = "Set the valve to lift ${lift}."

[[stage.step]]
id    = "oil"
kind  = "wait"
title = "Soak"
after = ["set"]
do    = "Oil on. Leave it alone."
wait  = "30 h"

[[stage.step]]
id      = "wet"
kind    = "inspect"
title   = "Warm it"
after   = ["oil"]
do      = "Read the shop's thermometer."
reading = [{ name = "shop", ask = "Warmth of the shop", kind = "temperature", low = "10", high = "30", outside = "ask" }]

[[stage.step]]
id      = "spindle"
kind    = "inspect"
title   = "Pull the spindle"
after   = ["wet"]
do      = "Pull the spindle."
reading = [{ name = "stopped", ask = "Does something stop it from inside", kind = "yes-no", nominal = "yes", danger = "Nothing holds the spindle from inside." }]

[[stage.step]]
id    = "steam"
kind  = "test"
title = "First steam"
after = ["spindle"]
do    = "Raise steam slowly."
`

// way is a bench worked in one way: by keys alone, or by taps alone.
type way struct {
	*bench
	taps bool
}

// eachWay runs a test by keys and by taps at the three sizes. more is done in the job
// before it is opened; it may move the clock.
func eachWay(t *testing.T, more func(b *bench, j *job.Job), do func(t *testing.T, w *way)) {
	t.Helper()
	eachWayOf(t, proof, more, do)
}

func eachWayOf(t *testing.T, text string, more func(b *bench, j *job.Job), do func(t *testing.T, w *way)) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		for _, taps := range []bool{false, true} {
			name := map[bool]string{false: "keys", true: "taps"}[taps]
			t.Run(fmt.Sprintf("%dx%d-%s", size[0], size[1], name), func(t *testing.T) {
				w := &way{proved(t, text, size[0], size[1], more), taps}
				w.m.touch = taps
				w.m.settle()
				do(t, w)
			})
		}
	}
}

// proved is a bench with the job of proof open.
func proved(t *testing.T, text string, wide, high int, more func(b *bench, j *job.Job)) *bench {
	t.Helper()
	b := newBench(t, wide, high)
	o := b.options(func(o *Options) { o.Recipes = fstest.MapFS{"proof.toml": {Data: []byte(text)}} })
	o.Env.Person, o.Open = "Ana", filepath.Join(o.Jobs, "bramble")
	proc, found := checklist.Read("proof.toml", []byte(text))
	require.False(t, found.HasStop(), "%v", found)
	require.NoError(t, os.MkdirAll(o.Jobs, 0o755))
	j, err := job.Start(o.Open, proc, nil, "Bramble", o.Env)
	require.NoError(t, err)
	if more != nil {
		more(b, j)
	}
	b.begin(o, wide, high)
	return b
}

// upTo works the job until a step is the next one; the steps before it are good.
func upTo(b *bench, j *job.Job, step string) {
	do := must(b.t)
	for _, s := range j.Filled().Steps() {
		if s.ID == step {
			return
		}
		switch s.ID {
		case "zero":
			do(j.Read(s.ID, "gauge", "yes"))
		case "held":
			do(j.Read(s.ID, "gap", "0.03"))
			do(j.Release(s.ID, "Olga"))
		case "oil":
			do(j.Begin(s.ID, job.NewBegin{}))
			b.now = b.now.Add(30 * time.Hour)
			do(j.SettleClock(b.now))
		case "wet":
			do(j.Read(s.ID, "shop", "18"))
		case "spindle":
			do(j.Read(s.ID, "stopped", "yes"))
		}
		do(j.Tick(s.ID))
	}
}

// other is another device with a copy of the open job, at which somebody works apart.
type other struct {
	*job.Job
	from, to string
}

func apart(b *bench, dir, who string) other {
	b.t.Helper()
	to := filepath.Join(b.t.TempDir(), "bramble")
	require.NoError(b.t, os.CopyFS(to, os.DirFS(dir)))
	j, err := job.Open(to, job.Env{Now: func() time.Time { return b.now }, StateDir: filepath.Join(b.t.TempDir(), "state"), Person: who})
	require.NoError(b.t, err)
	return other{j, to, dir}
}

// arrives carries what the other device wrote into the open job.
func (o other) arrives(t *testing.T) {
	t.Helper()
	logs, err := filepath.Glob(filepath.Join(o.from, "log-*.jsonl"))
	require.NoError(t, err)
	for _, name := range logs {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		to := filepath.Join(o.to, filepath.Base(name))
		if have, err := os.ReadFile(to); err == nil && len(have) >= len(text) {
			continue // this device's own, or what it has already
		}
		require.NoError(t, os.WriteFile(to, text, 0o644))
	}
}

// at shows a step of the open job, read to its end.
func (w *way) at(step string) {
	w.t.Helper()
	s := w.m.stack[1].(*stepScreen)
	s.goTo(w.m.work.place(step))
	w.m.settle()
	w.seenAll()
}

// seenAll pages to the end of the step shown.
func (w *way) seenAll() {
	for range 9 {
		if w.word() != readOn {
			return
		}
		w.do(readOn)
	}
}

// word is on the large button.
func (w *way) word() string {
	for _, a := range w.m.allActs() {
		if a.main {
			return a.word
		}
	}
	return ""
}

// do presses the large button, which has to bear the word.
func (w *way) do(word string) {
	w.t.Helper()
	require.Equal(w.t, word, w.word(), "\n%s", w.text())
	if w.taps {
		w.tap(word)
		return
	}
	for _, a := range w.m.allActs() {
		if a.main {
			w.keys(a.hint(w.m.top().typing()))
		}
	}
}

// act does something else that can be done: by its key, or by its button, which may
// lie behind More.
func (w *way) act(word string) {
	w.t.Helper()
	for _, a := range w.m.allActs() {
		if a.word != word || a.main {
			continue
		}
		if !w.taps {
			w.keys(a.hint(w.m.top().typing()))
			return
		}
		if _, ok := w.place(word); !ok {
			w.tap("More")
			for range 6 {
				if _, ok := w.place(word); ok {
					break
				}
				w.m.top().wheel(1)
				w.m.settle()
			}
		}
		w.tap(word)
		return
	}
	w.t.Fatalf("nothing called %q can be done\n%s", word, w.text())
}

// pick takes one of the answers that are offered.
func (w *way) pick(text string) {
	w.t.Helper()
	e := w.m.top().(*entry)
	if w.taps {
		for range 9 {
			if at, ok := w.place(text); ok && !w.cut(at) {
				break
			}
			e.wheel(3)
			w.m.settle()
		}
		w.tap(text)
		return
	}
	for range len(e.choices) {
		w.keys("up")
	}
	for range len(e.choices) {
		if list := e.offered(); e.choices[list[e.v.cur]].text == text {
			break
		}
		w.keys("down")
	}
	w.keys("enter")
}

// choose takes a line of a list, by its name.
func (w *way) choose(name string) {
	w.t.Helper()
	if w.taps {
		for range 20 {
			if at, ok := w.place(name); ok && !w.cut(at) {
				break
			}
			w.m.top().wheel(2)
			w.m.settle()
		}
		w.tap(name)
		return
	}
	for range 30 {
		w.keys("up") // home shows the top, whatever line the keys are on
	}
	for range 30 {
		if at, ok := w.place(name); ok && strings.HasPrefix(strings.TrimSpace(strings.Split(w.text(), "\n")[at.Y]), w.m.look.G.Here) {
			break
		}
		w.keys("down")
	}
	w.keys("enter")
}

// cut says whether a place is scrolled half out of the window.
func (w *way) cut(at paint.Rect) bool { return at.H < paint.FingerTall }

// spell writes an answer in words or figures, and keeps it.
func (w *way) spell(text string) {
	w.t.Helper()
	e := w.m.top().(*entry)
	if !w.taps {
		w.keys("ctrl+u", ":"+text, "enter")
		return
	}
	if !e.pad {
		w.act("Keypad")
	}
	for _, r := range text {
		if _, ok := w.place(string(r)); !ok {
			w.tap("Other")
		}
		w.tap(string(r))
	}
	w.do(e.word)
}

// paged is all of what stands on the screen, page after page, each of its columns by
// itself.
func (w *way) paged() string {
	var all []string
	w.m.top().wheel(-1000)
	for range 30 {
		w.m.settle()
		text := w.column(paint.Rect{X: 0, Y: 0, W: w.m.w, H: w.m.h})
		if _, ok := w.m.top().(*stepScreen); ok {
			main := w.m.shown.Main
			text += " | " + w.column(w.m.shown.Side) + " | " + w.column(main) + " | " + w.column(paint.Rect{X: main.X, Y: main.Y, W: w.m.w, H: main.H})
		}
		if len(all) > 0 && all[len(all)-1] == text {
			break
		}
		all = append(all, text)
		w.m.top().wheel(3)
	}
	w.m.top().wheel(-1000)
	w.m.settle()
	return strings.Join(all, " | ")
}

// column is the text within r, in one line.
func (w *way) column(r paint.Rect) string {
	var words []string
	for y, line := range strings.Split(w.text(), "\n") {
		if cells := []rune(line); y >= r.Y && y < r.Y+r.H && r.X < len(cells) {
			words = append(words, strings.Fields(strings.ReplaceAll(string(cells[r.X:min(len(cells), r.X+r.W)]), w.m.look.G.Bar, " "))...)
		}
	}
	return strings.Join(words, " ")
}

// tells is said somewhere on the screen, which may have to be scrolled.
func (w *way) tells(texts ...string) {
	w.t.Helper()
	all := w.paged()
	for _, text := range texts {
		require.Contains(w.t, all, text)
	}
}
