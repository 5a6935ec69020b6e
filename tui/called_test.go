package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
)

const callingCover = `format = 2
id     = "cover"
title  = "Close the cover of the clack"

[settings.thread]
ask     = "Thread of the screws"
kind    = "thread"
default = "4 BA"

[[stage]]
title = "Holes"

[[stage.step]]
id      = "holes"
kind    = "inspect"
do      = "Turn a good screw into every hole."
call    = { procedure = "save-hole", set = { thread = "${thread}" }, ask = "Does a screw turn and turn?" }

[[stage.step]]
id   = "oil"
kind = "make"
do   = "Drill the oil hole."
call = { procedure = "oil-hole" }

[[stage.step]]
id   = "close"
kind = "tighten"
do   = "Close it."
`

const calledHole = `format = 2
id     = "save-hole"
title  = "Save a damaged hole"

[settings.thread]
ask  = "Thread as it was"
kind = "thread"

[settings.metal]
ask     = "Metal"
kind    = "choice"
choices = ["gunmetal", "copper"]

[[stage]]
title = "Measure"

[[stage.step]]
id   = "look"
kind = "inspect"
do   = "Look at ${thread} in ${metal}."

[[stage.step]]
id   = "mend"
kind = "make"
do   = "Mend it."
`

const calledOil = `format = 2
id     = "oil-hole"
title  = "Drill an oil hole"

[[stage]]
title = "Drill"

[[stage.step]]
id   = "drill"
kind = "make"
do   = "Drill it."
call = { procedure = "save-hole", set = { thread = "M4" }, ask = "Does it go wrong?" }
`

// covered is a bench with a job whose steps call others, at its first step.
func covered(t *testing.T, w, h int) *bench {
	t.Helper()
	b := newBench(t, w, h, func(o *Options) {
		o.Recipes = fstest.MapFS{
			"a-cover.toml": {Data: []byte(callingCover)}, "hole.toml": {Data: []byte(calledHole)}, "oil.toml": {Data: []byte(calledOil)},
		}
	})
	b.keys("w", ":Ana", "enter", "enter", "enter", ":Bramble", "enter", "s")
	b.sees("BEFORE YOU START")
	b.keys("end", "enter")
	b.sees("Turn a good screw into every hole.", "Start: Save a damaged hole", "if yes: Does a screw turn and turn?", "Done")
	return b
}

func TestCallByKeys(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		b := covered(t, size[0], size[1])
		outside := b.m.work.job.Dir()
		b.keys(">")
		b.sees("Save a damaged hole", "Called if yes: Does a screw turn and turn?", "4 BA", "this needs an answer")
		b.keys("s")
		b.sees("Metal: this needs an answer")
		b.keys("home")
		b.keys("enter") // the engine is not asked again
		b.lacks("Which engine is it? Name")
		b.keys("down", "down", "enter")
		b.sees("gunmetal", "copper")
		b.keys("down", "enter", "s")
		b.sees("> Save a damaged", "BEFORE YOU START")
		require.Equal(t, outside, b.m.work.job.Above()[0].Dir)
		b.keys("end", "enter")
		b.sees("Look at 4 BA in copper.")
		b.keys("enter")
		b.sees("Mend it.")

		// Out again: the step of the calling job, judged anew.
		b.keys("esc")
		b.sees("Turn a good screw into every hole.", "Go on: Save a damaged hole", "1 of 2", "Go on inside", "its inner job is open")
		require.Equal(t, outside, b.m.work.job.Dir())
		b.keys("enter")
		b.sees("Mend it.")
		b.keys("enter")
		b.sees("done", "Out")
		b.keys("enter")
		b.sees("Turn a good screw into every hole.", "Save a damaged hole", "done", "Start: Save a damaged hole")
		b.keys("enter")
		require.Equal(t, job.Done, b.m.work.state.Steps["holes"].Status)

		// One that is always called.
		b.sees("Drill the oil hole.", "Start: Drill an oil hole", "comes before this step is done", "Start it")
		b.keys("enter")
		b.sees("BEFORE THE JOB STARTS")
		b.lacks("needed")
		b.keys("s", "end", "enter")
		b.sees("Drill it.", "if yes: Does it go wrong?")
		// And one inside it.
		b.keys(">", "end", "enter")
		b.sees("gunmetal")
		b.keys("enter", "s")
		require.Len(t, b.m.work.job.Above(), 2)
		b.sees("> Save a damaged hole")
		b.keys("end", "enter", "esc")
		b.sees("Drill it.", "Go on: Save a damaged hole", "0 of 2")
		b.keys("esc")
		b.sees("Drill the oil hole.", "Go on: Drill an oil hole", "0 of 1")
		b.keys("esc")
		b.sees("JOBS UNDER WAY", "> Drill an oil hole, 0 of 1")
	}
}

func TestCallByTaps(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		b := covered(t, size[0], size[1])
		b.tap("start save-hole")
		if _, ok := b.place("metal"); !ok {
			b.tap("more")
		}
		b.tap("metal", "copper")
		b.tap("Start")
		b.sees("BEFORE YOU START")
		b.keys("end")
		b.tap("To the steps")
		b.tap("Out")
		b.sees("Go on: Save a damaged hole")
		name := b.m.work.state.Called[0].Name()
		if _, ok := b.place("called " + name); ok {
			b.tap("called " + name)
		} else {
			b.tap("Go on inside")
		}
		b.sees("> Save a damaged hole", "BEFORE YOU START")
		b.tap("To the steps")
		b.sees("Look at 4 BA in copper.")
	}
}

// Several at one step, and one that was started by mistake.
func TestCalledList(t *testing.T) {
	b := covered(t, 40, 20)
	for range 2 {
		b.keys(">")
		if _, ok := b.m.top().(*calledScreen); ok {
			b.keys("end")
			b.sees("Start: Save a damaged hole")
			b.keys("down", "down", "enter")
		}
		b.keys("down", "enter", "enter", "s", "end", "esc")
		b.sees("Go on inside")
	}
	b.keys("enter") // more than one: which?
	b.sees("Called at step 1", "started by Ana", "left: 0 of 2 steps")
	b.keys("home", "x")
	b.sees("Why was it started by mistake?")
	b.keys(":the next hole", "enter")
	b.sees("called off", "Ana: the next hole")
	b.keys("x", ":once more", "enter")
	b.sees("called off already")
	b.keys("esc", "esc")
	require.Len(t, b.m.work.openCalled(b.m.work.steps[0]), 1)
	b.keys("e")
	b.sees("Called procedure", "It is finished first")
	b.keys("enter") // the one that is open
	b.sees("BEFORE YOU START")
	b.keys("enter")
	b.sees("Look at 4 BA in gunmetal.")
}

// What cannot be read is said, and opens nothing.
func TestCalledJobThatCannotBeRead(t *testing.T) {
	b := covered(t, 80, 24)
	b.keys(">", "down", "enter", "enter", "s", "end", "esc")
	require.NoError(t, os.Truncate(filepath.Join(b.m.work.state.Called[0].Dir, "job.toml"), 40))
	b.keys("ctrl+r")
	b.sees("cannot be read")
	b.keys("enter")
	b.sees("Called at step 1")
	b.keys("enter")
	b.sees("This job cannot be opened")
	b.keys("enter", "x")
	b.sees("cannot be called off")
	b.keys("esc", "e")
	b.sees("May be passed with a name and a reason, as the last resort.")
	b.keys("L")
	b.sees("Who lets this pass?")
}

// A procedure that is not at hand, or has mistakes, starts nothing.
func TestCalledProcedureThatIsNotHere(t *testing.T) {
	for text, want := range map[string]string{"": "The procedure is not here", strings.Replace(calledHole, "kind  = ", "kid = ", 1): "save-hole"} {
		b := newBench(t, 80, 24, func(o *Options) {
			o.Recipes = fstest.MapFS{"a-cover.toml": {Data: []byte(callingCover)}}
			if text != "" {
				o.Recipes.(fstest.MapFS)["hole.toml"] = &fstest.MapFile{Data: []byte(strings.Replace(calledHole, "kind = \"make\"", "kind = \"mak\"", 1))}
				want = "This procedure has mistakes"
			}
		})
		b.keys("w", ":Ana", "enter", "enter", "enter", ":Bramble", "enter", "s", "end", "enter", ">")
		b.sees(want)
		require.Empty(t, b.m.work.state.Called)
	}
}

// A preview shows what would be called and starts nothing.
func TestPreviewOfACall(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "cover.toml")
	require.NoError(t, os.WriteFile(file, []byte(callingCover), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "hole.toml"), []byte(calledHole), 0o644))
	b := newBench(t, 80, 24, func(o *Options) { o.Preview = file })
	b.keys("right")
	b.sees("Start: save-hole", "if yes: Does a screw turn and turn?")
	b.tap("start save-hole")
	b.sees("A preview: nothing is started.")
}

// What a step called comes before its own reading, which tells how that ended.
func TestWhatWasCalledComesBeforeTheReading(t *testing.T) {
	b := newBench(t, 80, 24, func(o *Options) {
		o.Recipes = fstest.MapFS{
			"a-cover.toml": {Data: []byte(strings.Replace(callingCover, `do      = "Turn a good screw into every hole."`,
				`do      = "Turn a good screw into every hole."`+"\n"+`reading = [{ name = "bad", ask = "Bad holes left", kind = "count", high = "0" }]`, 1))},
			"hole.toml": {Data: []byte(calledHole)},
		}
	})
	b.keys("w", ":Ana", "enter", "enter", "enter", ":Bramble", "enter", "s", "end", "enter")
	b.sees("Bad holes left", "Reading")
	b.keys(">", "down", "enter", "enter", "s", "end", "esc")
	require.Len(t, b.m.work.openCalled(b.m.work.steps[0]), 1)
	require.Equal(t, "Go on inside", b.m.spot().word)
}
