package job

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const coverProcedure = `format = 2
id     = "cover"
title  = "Close the cover"

[settings.thread]
ask     = "Thread of the screws"
kind    = "thread"
default = "4 BA"

[[stage]]
title = "Work"

[[stage.step]]
id   = "safe"
kind = "inspect"
do   = "Gauge at zero."
hold = "owner"

[[stage.step]]
id      = "holes"
kind    = "inspect"
do      = "Turn a good screw into every hole."
call    = { procedure = "save-hole", set = { thread = "${thread}", hole = "${widest}", metal = "butter" }, ask = "Does a screw turn and turn?" }
reading = [{ name = "widest", ask = "Widest hole", kind = "length", unit = "mm" }]

[[stage.step]]
id    = "oil"
kind  = "make"
after = ["safe"]
do    = "Drill the oil hole."
call  = { procedure = "oil-hole" }

[[stage.step]]
id    = "close"
kind  = "tighten"
after = ["holes", "oil"]
do    = "Close it."
`

const holeProcedure = `format = 2
id     = "save-hole"
title  = "Save a hole"

[settings.thread]
ask  = "Thread"
kind = "thread"

[settings.metal]
ask     = "Metal"
kind    = "choice"
choices = ["gunmetal", "copper"]
default = "gunmetal"

[settings.hole]
ask     = "Hole"
kind    = "length"
default = "3 mm"

[[stage]]
title = "Work"

[[stage.step]]
id   = "look"
kind = "inspect"
do   = "Look at ${thread} in ${metal}, ${hole}."

[[stage.step]]
id   = "mend"
kind = "make"
do   = "Mend it."
hold = "inspector"

[[stage.step]]
id      = "drill"
kind    = "make"
do      = "Drill."
call    = { procedure = "oil-hole", ask = "it has to be drilled" }
`

const oilProcedure = `format = 2
id     = "oil-hole"
title  = "Drill a hole"

[[stage]]
title = "Work"

[[stage.step]]
id   = "drill"
kind = "make"
do   = "Drill it."

[[stage.step]]
id   = "again"
kind = "make"
do   = "And again."
call = { procedure = "oil-hole", ask = "it broke off" }
`

// cover is a job whose first step is done, so that its steps can call.
func (b *bench) cover() *Job {
	j, err := Start(memJob, tap(b.t, coverProcedure), map[string]string{"thread": "M4"}, "Bramble", b.env)
	require.NoError(b.t, err)
	must(j.Release("safe", "Ruth"))
	must(j.Tick("safe"))
	return j
}

func (b *bench) call(j *Job, step, source string, values map[string]string) *Job {
	b.t.Helper()
	child, s, err := j.Call(step, tap(b.t, source), values)
	require.NoError(b.t, err)
	require.Equal(b.t, Everywhere, s.Where)
	return child
}

// finish works a job of these tests to its end.
func finish(t testing.TB, j *Job) {
	t.Helper()
	for range 20 {
		state := j.State()
		if state.Next == "" {
			break
		}
		step := j.Filled().Step(state.Next)
		if step.Hold != "" {
			must(j.Release(step.ID, "Ruth"))
		}
		must(j.Tick(step.ID))
	}
	require.Empty(t, j.State().Next)
}

func TestCallPlan(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	must(j.Read("holes", "widest", "3.4"))
	plan, err := j.PlanCall("holes", tap(t, holeProcedure))
	require.NoError(t, err)
	require.Equal(t, map[string]string{"thread": "M4", "hole": "3.4 mm"}, plan.Values)
	require.Len(t, plan.Refused, 1)
	require.Contains(t, plan.Refused[0], "metal butter: ")
	require.Equal(t, "Does a screw turn and turn?", plan.Ask)

	var blocked *BlockedError
	var unknown *StepError
	for step, want := range map[string]string{"close": "it calls no other procedure", "safe": "it calls no other procedure", "oil": "it calls oil-hole, not save-hole"} {
		_, err = j.PlanCall(step, tap(t, holeProcedure))
		require.ErrorAs(t, err, &blocked, step)
		require.ErrorContains(t, err, want)
	}
	_, err = j.PlanCall("hole", tap(t, holeProcedure))
	require.ErrorAs(t, err, &unknown)

	// Nothing is called past a gate.
	must(j.UndoStep("safe"))
	_, err = j.PlanCall("holes", tap(t, holeProcedure))
	require.ErrorAs(t, err, &blocked)
	require.ErrorContains(t, err, "first do safe")
	_, _, err = j.Call("holes", tap(t, holeProcedure), map[string]string{"thread": "M4"})
	require.ErrorAs(t, err, &blocked)
	require.Empty(t, j.State().Called)

	// Settings that are missing or wrong start nothing.
	must(j.Tick("safe"))
	var settings *SettingsError
	for _, values := range []map[string]string{nil, {"thread": "M4", "metal": "butter"}, {"thread": "M4", "size": "3"}} {
		_, _, err = j.Call("holes", tap(t, holeProcedure), values)
		require.ErrorAs(t, err, &settings)
		require.Empty(t, j.State().Called)
	}
}

func TestCalledJob(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	require.Empty(t, j.Above())
	require.False(t, j.IsCalled())
	require.Equal(t, Todo, j.State().Steps["holes"].Status)
	child := b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4", "metal": "copper"})
	require.Equal(t, filepath.Join(memJob, calledName), filepath.Dir(child.Dir()))
	require.True(t, strings.HasPrefix(filepath.Base(child.Dir()), "holes-"))
	require.Equal(t, "Bramble", child.Engine())
	require.Equal(t, "Ana", child.Person())
	require.Equal(t, []Outer{{memJob, "Close the cover", "holes"}}, child.Above())
	require.Contains(t, child.Filled().Step("look").Do, "M4 in copper")

	state := j.State()
	require.Len(t, state.Called, 1)
	c := state.Called[0]
	require.Equal(t, []any{"holes", child.Dir(), "save-hole", "Save a hole", 0, 3, true, "Ana", "Look at M4 in copper, 3 mm"},
		[]any{c.Step, c.Dir, c.Procedure, c.Title, c.Done, c.Total, c.Open, c.By, c.Next})
	require.Equal(t, "Save a hole, 0 of 3", c.Says())
	require.Equal(t, state.Called, state.CalledBy("holes"))
	require.Equal(t, Blocked, state.Steps["holes"].Status)
	must(j.Read("holes", "widest", "3.4"))
	var blocked *BlockedError
	_, err := j.Tick("holes")
	require.ErrorAs(t, err, &blocked)
	require.Equal(t, []string{"go on with Save a hole (0 of 3 steps)"}, blocked.Blocks)
	_, err = j.Skip("holes", "no time")
	require.ErrorContains(t, err, "Save a hole is open: finish it, or call it off")
	_, err = j.Pass("holes", GateCalled, "Ruth", "looks fine")
	require.ErrorContains(t, err, "no reason passes it")
	_, err = j.Pass("close", GateNeeds, "Ruth", "looks fine")
	require.ErrorContains(t, err, "no reason passes it", "the step before stands at an open job")

	// A hold inside is shown outside, with where it is.
	must(child.Tick("look"))
	_, err = j.Refresh()
	require.NoError(t, err)
	require.Equal(t, []Hold{{Step: "mend", Who: "inspector", In: child.Dir()}}, j.State().Holds)
	require.Equal(t, "Save a hole, 1 of 3", j.State().Called[0].Says())

	// A finding nobody decided keeps it open.
	finish(t, child)
	must(child.Find(NewFinding{What: OtherThing, Text: "scratch"}))
	_, err = j.Tick("holes")
	require.ErrorContains(t, err, "go on with Save a hole (finding 1 is open)", "a tick looks once more, without a refresh")
	must(child.Dispose("1", NewDisposition{Decision: AcceptIt, Text: "harmless"}))
	finish(t, child)
	s, err := j.Tick("holes")
	saved(t, s, err)
	c = j.State().Called[0]
	require.Equal(t, []any{false, 1, 1, "Save a hole, done"}, []any{c.Open, c.Findings, c.Decided, c.Says()})

	// Undone inside: the tick outside does not count until it is done again.
	must(child.UndoStep("mend"))
	_, err = j.Refresh()
	require.NoError(t, err)
	step := j.State().Steps["holes"]
	require.NotEqual(t, Done, step.Status)
	require.Contains(t, step.Blocks[0], "does not count: Save a hole is open")
	must(child.Tick("mend"))
	_, err = j.Refresh()
	require.NoError(t, err)
	require.Equal(t, Done, j.State().Steps["holes"].Status)
}

// A call without only_if has to be made; leaving the step out is the other way.
func TestCallThatIsAlwaysMade(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	_, err := j.Tick("oil")
	require.ErrorContains(t, err, "oil-hole comes first: start it, and finish it")
	_, err = j.Pass("oil", GateCalled, "Ruth", "never mind")
	require.ErrorContains(t, err, "no reason passes it")
	child := b.call(j, "oil", oilProcedure, nil)
	_, _, err = j.Call("oil", tap(t, oilProcedure), nil)
	require.ErrorContains(t, err, "oil-hole was started already")

	// Called off, it has not been made.
	_, err = child.CallOff(" ")
	require.ErrorContains(t, err, "reason")
	s, err := child.CallOff("wrong side")
	saved(t, s, err)
	require.Equal(t, "wrong side", child.State().Off[0].Text)
	_, err = child.CallOff("again")
	require.ErrorContains(t, err, "called off already")
	_, err = j.Tick("oil")
	require.ErrorContains(t, err, "oil-hole comes first")
	require.Equal(t, "Drill a hole, called off", j.State().Called[0].Says())
	s, err = j.Skip("oil", "is there already")
	saved(t, s, err)
	_, _, err = j.Call("oil", tap(t, oilProcedure), nil)
	require.ErrorContains(t, err, "it is left out")
	must(j.UndoStep("oil"))

	// The calling off is an entry like others: it can be taken back.
	s, err = child.Undo()
	saved(t, s, err)
	require.Empty(t, child.State().Off)
	finish(t, child)
	_, err = j.Refresh()
	require.NoError(t, err)
	s, err = j.Tick("oil")
	saved(t, s, err)
	_, _, err = j.Call("oil", tap(t, oilProcedure), nil)
	require.ErrorContains(t, err, "it is done")
}

// What was begun is finished: metal that was cut stays cut.
func TestCallOffAfterWork(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	child := b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})
	_, err := j.CallOff("x")
	require.ErrorContains(t, err, "no other job called it")
	must(child.CallOff("wrong hole"))
	_, err = j.Refresh()
	require.NoError(t, err)
	require.False(t, j.State().Called[0].Open)
	// Work that is done elsewhere takes the calling off away.
	other, err := Open(child.Dir(), b.device("Tom"))
	require.NoError(t, err)
	must(other.Tick("look"))
	_, err = j.Refresh()
	require.NoError(t, err)
	require.True(t, j.State().Called[0].Open)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), "(wrong hole), and that does not count: 1 step of it was done.")
	require.Empty(t, other.State().Off)
	for _, do := range []func(j *Job){
		func(j *Job) { must(j.Tick("look")) },
		func(j *Job) { must(j.CountIn("dome", "rag", 1)) },
		func(j *Job) { must(j.Find(NewFinding{What: OtherThing, Text: "scratch"})) },
		func(j *Job) { must(j.FitBlank("1", "on", "dome")) },
	} {
		c := b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})
		do(c)
		_, err := c.CallOff("wrong hole")
		require.ErrorContains(t, err, "so it is finished, not called off")
	}
}

// Two devices start one each: both are there, both count.
func TestTwoDevicesCall(t *testing.T) {
	b := newBench(t)
	ana := b.cover()
	tom := b.open(b.device("Tom"))
	one := b.call(ana, "oil", oilProcedure, nil)
	// Tom's window has not looked since.
	tomEnv := b.device("Tom")
	two, err := start(filepath.Join(memJob, calledName, "oil-zzzzzz"), tap(t, oilProcedure), nil, "Bramble", tomEnv, tom.header.Job, "oil")
	require.NoError(t, err)
	_, err = ana.Refresh()
	require.NoError(t, err)
	require.Len(t, ana.State().CalledBy("oil"), 2)
	finish(t, one)
	_, err = ana.Tick("oil")
	require.ErrorContains(t, err, "go on with Drill a hole")
	must(two.CallOff("Ana has one"))
	s, err := ana.Tick("oil")
	saved(t, s, err)

	// A tick from a device that had not seen the second one waits for it.
	must(ana.UndoStep("oil"))
	must(two.Undo())
	_, err = tom.Refresh()
	require.NoError(t, err)
	require.Len(t, tom.State().Called, 2)
	j := b.open(b.device("Eve"))
	entry := Entry{Kind: KindTick, By: "Eve", Step: "oil"}
	must(j.save(func() (Entry, error) { return entry, nil }))
	step := j.State().Steps["oil"]
	require.NotEqual(t, Done, step.Status)
	require.Contains(t, step.Blocks[0], "does not count: Drill a hole is open")
	finish(t, two)
	_, err = j.Refresh()
	require.NoError(t, err)
	require.Equal(t, Done, j.State().Steps["oil"].Status)

	// A skip made elsewhere against an open one does not count either.
	must(two.UndoStep("again"))
	must(j.UndoStep("oil"))
	must(j.save(func() (Entry, error) { return Entry{Kind: KindSkip, By: "Eve", Step: "oil", Text: "no"}, nil }))
	_, err = j.Refresh()
	require.NoError(t, err)
	step = j.State().Steps["oil"]
	require.NotEqual(t, Skipped, step.Status)
	require.Contains(t, strings.Join(step.Blocks, "\n"), "does not count: Drill a hole is open: finish it")
}

// Jobs inside jobs, as deep as they go.
func TestNestedCalls(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	all := []*Job{j, b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})}
	must(all[1].Tick("look"))
	must(all[1].Release("mend", "Ruth"))
	must(all[1].Tick("mend"))
	all = append(all, b.call(all[1], "drill", oilProcedure, nil))
	must(all[2].Tick("drill"))
	all = append(all, b.call(all[2], "again", oilProcedure, nil))
	must(all[3].Tick("drill"))
	require.Len(t, all[3].Above(), 3)
	require.Equal(t, "drill", all[3].Above()[1].Step)
	_, _, err := all[3].Call("again", tap(t, oilProcedure), nil)
	require.ErrorContains(t, err, "at most 3 deep")

	_, err = j.Refresh()
	require.NoError(t, err)
	state := j.State()
	require.Len(t, state.Called, 1)
	require.Equal(t, all[3].Dir(), state.Called[0].Called[0].Called[0].Dir)
	must(all[3].Tick("again"))
	must(all[2].Tick("again"))
	must(all[1].Tick("drill"))
	must(j.Read("holes", "widest", "3"))
	s, err := j.Tick("holes")
	saved(t, s, err)

	// Deep inside a step is undone: every tick above it waits.
	must(all[3].UndoStep("again"))
	_, err = j.Refresh()
	require.NoError(t, err)
	require.NotEqual(t, Done, j.State().Steps["holes"].Status)
	require.Equal(t, Blocked, j.State().Steps["close"].Status)

	// A folder that somebody put deeper than they go is not read.
	deep := filepath.Join(all[3].Dir(), calledName, "again-xxxxxx")
	_, err = start(deep, tap(t, oilProcedure), nil, "Bramble", b.env, all[3].header.Job, "again")
	require.NoError(t, err)
	deepest, err := Open(all[3].Dir(), b.env)
	require.NoError(t, err)
	require.Contains(t, strings.Join(deepest.State().Notices, "\n"), "1 called job is not read")
	_, err = deepest.Tick("again")
	require.ErrorContains(t, err, "called jobs that are not read")
}

// The step that called one does not apply any more: the last step waits for it.
func TestCalledJobOfAStepThatIsLeftOut(t *testing.T) {
	b := newBench(t)
	source := strings.Replace(coverProcedure, "[[stage]]", `[settings.kind]
ask     = "Kind"
kind    = "choice"
choices = ["a", "b"]
default = "a"

[[stage]]`, 1)
	source = strings.Replace(source, `id    = "oil"`, "id    = \"oil\"\nwhen = [\"kind = a\"]\nreading = [{ name = \"kind\", ask = \"Kind\", kind = \"choice\", choices = [\"a\", \"b\"], sets = \"kind\" }]", 1)
	j, err := Start(memJob, tap(t, source), nil, "Bramble", b.env)
	require.NoError(t, err)
	must(j.Release("safe", "Ruth"))
	must(j.Tick("safe"))
	child := b.call(j, "oil", oilProcedure, nil)
	must(j.Read("oil", "kind", "b"))
	require.Nil(t, j.Filled().Step("oil"))
	must(j.Read("holes", "widest", "3"))
	must(j.Tick("holes"))
	_, err = j.Tick("close")
	require.ErrorContains(t, err, "go on with Drill a hole")
	must(child.CallOff("not needed"))
	s, err := j.Tick("close")
	saved(t, s, err)
}

// What lies in the folder of the called jobs cannot lead out of it, cannot stop
// the job from being opened, and cannot be taken for finished.
func TestHostileCalledJobs(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	env := Env{Now: fixedClock, StateDir: filepath.Join(t.TempDir(), "state"), Person: "Ana"}
	j, err := Start(dir, tap(t, coverProcedure), nil, "Bramble", env)
	require.NoError(t, err)
	must(j.Release("safe", "Ruth"))
	must(j.Tick("safe"))
	child, _, err := j.Call("holes", tap(t, holeProcedure), map[string]string{"thread": "M4"})
	require.NoError(t, err)
	finish(t, child)
	must(j.Read("holes", "widest", "3"))
	must(j.Tick("holes"))
	name := filepath.Base(child.Dir())
	called := filepath.Join(dir, calledName)
	good, err := os.ReadFile(filepath.Join(child.Dir(), headerName))
	require.NoError(t, err)
	write := func(path string, data []byte) {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, data, 0o644))
	}
	look := func() (State, string) {
		_, err := j.Refresh()
		require.NoError(t, err)
		fresh, err := Open(dir, env)
		require.NoError(t, err)
		notices := strings.Join(fresh.State().Notices, "\n")
		if strings.Contains(notices, "copies of one") {
			return fresh.State(), notices // what was healed is said once
		}
		require.Equal(t, notices, strings.Join(j.State().Notices, "\n"), "an open window sees what a new one does")
		require.NotContains(t, notices, "\x1b")
		return fresh.State(), notices
	}
	state, notices := look()
	require.Empty(t, notices)
	require.Equal(t, Done, state.Steps["holes"].Status)

	t.Run("job.toml", func(t *testing.T) {
		defer write(filepath.Join(child.Dir(), headerName), good)
		for what, data := range map[string][]byte{
			"empty": nil, "cut": good[:len(good)/2], "zeros": make([]byte, len(good)), "end cut off": good[:bytes.Index(good, []byte("\n[settings]"))],
			"newer": bytes.Replace(good, []byte("format = 1"), []byte("format = 2"), 1), "huge": append(bytes.Clone(good), bytes.Repeat([]byte("#"), maxHeader)...),
		} {
			write(filepath.Join(child.Dir(), headerName), data)
			state, notices := look()
			require.Contains(t, notices, "called/"+name+" cannot be read: ", what)
			require.NotContains(t, notices, dir, "the folder is not said twice")
			require.NotEqual(t, Done, state.Steps["holes"].Status, what)
			require.Len(t, state.CalledBy("holes"), 1, "the log tells whose it is")
			require.Equal(t, "Save a hole, cannot be read", state.Called[0].Says())
		}
		// It was called from elsewhere: this job's own is not here then.
		write(filepath.Join(child.Dir(), headerName), bytes.Replace(good, []byte(j.header.Job), []byte("job-other"), 1))
		state, notices := look()
		require.Contains(t, notices, "called/"+name+" is no job that was called from here")
		require.NotEqual(t, Done, state.Steps["holes"].Status)
		require.Contains(t, state.Called[0].Problem, "is not here")
		// Another step written over it: the log of this job knows better.
		write(filepath.Join(child.Dir(), headerName), bytes.Replace(good, []byte(`called_at = "holes"`), []byte(`called_at = "safe"`), 1))
		state, notices = look()
		require.Contains(t, notices, "job.toml was changed")
		require.Len(t, state.CalledBy("holes"), 1)
	})
	t.Run("gone", func(t *testing.T) {
		away := filepath.Join(t.TempDir(), "away")
		require.NoError(t, os.Rename(child.Dir(), away))
		defer func() { require.NoError(t, os.Rename(away, child.Dir())) }()
		state, _ := look()
		require.NotEqual(t, Done, state.Steps["holes"].Status)
		require.Contains(t, state.Called[0].Problem, "its folder is not here")
		// A person who knows better says so by name, and it stands in the record.
		must(j.Pass("holes", GateCalled, "Ruth", "its folder was lost; I saw the hole"))
		state, _ = look()
		require.Equal(t, Done, state.Steps["holes"].Status)
		must(j.Undo())
		// A link in its place is not followed.
		if err := os.Symlink(away, child.Dir()); err != nil {
			t.Skip("no links here: ", err)
		}
		state, notices := look()
		require.Contains(t, notices, "called/"+name+" is not read: "+name+" is a link, which can lead anywhere; use the folder itself.")
		require.NotEqual(t, Done, state.Steps["holes"].Status)
		require.NoError(t, os.Remove(child.Dir()))
	})
	t.Run("logs", func(t *testing.T) {
		huge := filepath.Join(child.Dir(), "huge.jsonl")
		write(huge, nil)
		require.NoError(t, os.Truncate(huge, maxCalledLogs+1))
		state, notices := look()
		require.Contains(t, notices, "called/"+name+" cannot be read: 1 file is not read")
		require.NotEqual(t, Done, state.Steps["holes"].Status)
		require.NoError(t, os.Remove(huge))
		if os.Symlink("/dev/zero", huge) == nil {
			state, _ = look()
			require.NotEqual(t, Done, state.Steps["holes"].Status)
			require.NoError(t, os.Remove(huge))
		}
		state, notices = look()
		require.Empty(t, notices)
		require.Equal(t, Done, state.Steps["holes"].Status)
	})
	t.Run("what is no job of ours", func(t *testing.T) {
		write(filepath.Join(called, "left-over", procedureName), []byte("x"))
		write(filepath.Join(called, ".stfolder", "x"), nil)
		write(filepath.Join(called, "notes.txt"), nil)
		state, notices := look()
		require.Empty(t, notices, "a start that was cut short is none")
		require.Len(t, state.Called, 1)
		write(filepath.Join(called, "\x1b[2J red", headerName), good)
		write(filepath.Join(called, "lost", "log-aaaa-bbbbbb.jsonl"), nil)
		state, notices = look()
		require.Contains(t, notices, `called/\x1b[2J red is not read: it is not named as called jobs are.`)
		require.Contains(t, notices, "called/lost cannot be read")
		require.Equal(t, Done, state.Steps["holes"].Status)
		require.Contains(t, strings.Join(state.Steps["close"].Blocks, "\n"), "nobody can say whether called/lost is done")
		require.NoError(t, os.RemoveAll(filepath.Join(called, "lost")))
		require.NoError(t, os.RemoveAll(filepath.Join(called, "\x1b[2J red")))
		// The job itself, and a copy of the called one.
		h := *j.header
		h.CalledBy, h.CalledAt = h.Job, "holes"
		own, err := h.write()
		require.NoError(t, err)
		write(filepath.Join(called, "own", headerName), own)
		write(filepath.Join(called, "own", procedureName), []byte(coverProcedure))
		write(filepath.Join(called, "copy", headerName), good)
		write(filepath.Join(called, "copy", procedureName), []byte(holeProcedure))
		state, notices = look()
		require.Contains(t, notices, "called/own is a copy of the job that it lies in")
		require.Contains(t, notices, "are copies of one called job")
		require.Len(t, state.CalledBy("holes"), 2)
		require.NoError(t, os.RemoveAll(filepath.Join(called, "own")))
		require.NoError(t, os.RemoveAll(filepath.Join(called, "copy")))
	})
	t.Run("many", func(t *testing.T) {
		for i := range maxCalled + 20 {
			write(filepath.Join(called, fmt.Sprintf("z%03d", i), "log-aaaa-bbbbbb.jsonl"), nil)
		}
		state, notices := look()
		require.Contains(t, notices, "called jobs are not read: at most 100 are")
		require.Contains(t, strings.Join(state.Steps["close"].Blocks, "\n"), "there are called jobs that are not read")
		for i := range maxCalled + 20 {
			require.NoError(t, os.RemoveAll(filepath.Join(called, fmt.Sprintf("z%03d", i))))
		}
	})
	t.Run("a link for all", func(t *testing.T) {
		away := filepath.Join(t.TempDir(), "away")
		require.NoError(t, os.Rename(called, away))
		if err := os.Symlink(away, called); err != nil {
			t.Skip("no links here: ", err)
		}
		state, notices := look()
		require.Contains(t, notices, "The called jobs are not read: called is a link, which can lead anywhere; use the folder itself.")
		require.NotEqual(t, Done, state.Steps["holes"].Status)
	})
}

// Wherever the power goes while a called job is started, there is a whole one
// afterwards or none, and the calling job opens.
func TestPowerLossWhileCalling(t *testing.T) {
	entire, none := 0, 0
	for cut := 1; ; cut++ {
		b := newBench(t)
		j := b.cover()
		first := b.m.calls
		b.m.trap = func(call int, _, _ string) fault {
			if call-first >= cut {
				return powerCut
			}
			return noFault
		}
		_, _, err := j.Call("oil", tap(t, oilProcedure), nil)
		for _, r := range []rest{{gone, 0}, {whole, 1}, {half, 1}, {zeros, 0}} {
			disk := b.m.after(r)
			env := b.env
			env.FS = disk
			again, openErr := Open(memJob, env)
			require.NoError(t, openErr)
			switch list := again.State().Called; len(list) {
			case 0:
				none++
				require.Error(t, err, "what was reported started is there")
			case 1:
				entire++
				require.Empty(t, list[0].Problem, "cut at %d", cut)
				require.Equal(t, 2, list[0].Total)
			default:
				require.Fail(t, "one at most")
			}
			// It can be started again, or gone on with.
			if len(again.State().Called) == 0 {
				_, _, err := again.Call("oil", tap(t, oilProcedure), nil)
				require.NoError(t, err)
			}
		}
		if err == nil {
			break
		}
	}
	require.Greater(t, none, 10)
	require.Greater(t, entire, 2)
}

// copyTree copies a folder as a person does with a stick.
func (m *memory) copyTree(from, to string) int {
	n := 0
	for name, node := range m.nodes {
		if name == from || strings.HasPrefix(name, from+"/") {
			twin := *node
			twin.data = bytes.Clone(node.data)
			m.nodes[to+strings.TrimPrefix(name, from)] = &twin
			n++
		}
	}
	m.nodes[filepath.Dir(to)] = &memNode{isDir: true}
	return n
}

func TestMergeBringsCalledJobs(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	one := b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})
	// Tom's copy, made before the second one and before Ana went on.
	copied := b.m.copyTree(memJob, "/stick/tom/job")
	require.Greater(t, copied, 4)
	tomEnv := b.device("Tom")
	tom, err := Open("/stick/tom/job", tomEnv)
	require.NoError(t, err)
	require.Len(t, tom.State().Called, 1)
	tomsOne, err := Open(tom.State().Called[0].Dir, tomEnv)
	require.NoError(t, err)
	must(tomsOne.Tick("look"))
	tomsTwo, _, err := tom.Call("oil", tap(t, oilProcedure), nil)
	require.NoError(t, err)
	must(tomsTwo.Tick("drill"))
	tomsThree, _, err := tomsTwo.Call("again", tap(t, oilProcedure), nil)
	require.NoError(t, err)
	must(tomsThree.Tick("drill"))

	merged, err := j.Merge("/stick/tom/job")
	require.NoError(t, err)
	require.Equal(t, 2, merged.Called)
	require.Empty(t, merged.Notices)
	// The call, Tom's tick, and the start, tick and call of the second, the start
	// and tick of the third.
	require.Equal(t, 7, merged.Entries)
	state := j.State()
	require.Len(t, state.Called, 2)
	require.Equal(t, "Save a hole, 1 of 3", state.Called[0].Says())
	require.Equal(t, "Drill a hole, 1 of 2", state.Called[1].Says())
	require.Len(t, state.Called[1].Called, 1)
	require.Equal(t, one.header.Job, state.Called[0].Job)

	merged, err = j.Merge("/stick/tom/job")
	require.NoError(t, err)
	require.Equal(t, Merged{}, merged, "nothing the second time")

	v, err := j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%v", v)
	require.Len(t, v.Called, 2)
	require.Len(t, v.Called[1].Called, 1)
}

func TestExportHoldsCalledJobs(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	one := b.call(j, "oil", oilProcedure, nil)
	must(one.Tick("drill"))
	b.call(one, "again", oilProcedure, nil)
	_, err := j.Refresh()
	require.NoError(t, err)
	var out bytes.Buffer
	left, err := j.Export(&out)
	require.NoError(t, err)
	require.Empty(t, left)
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	dir := t.TempDir()
	for _, f := range archive.File {
		r, err := f.Open()
		require.NoError(t, err)
		var data bytes.Buffer
		_, err = data.ReadFrom(r)
		require.NoError(t, err)
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, data.Bytes(), 0o644))
	}
	unpacked, err := Open(dir, Env{Now: fixedClock, StateDir: t.TempDir(), Person: "Tom"})
	require.NoError(t, err)
	require.Empty(t, unpacked.State().Notices)
	require.Equal(t, "Drill a hole, 1 of 2", unpacked.State().Called[0].Says())
	require.Len(t, unpacked.State().Called[0].Called, 1)
}

func TestRecordAndListOfCalledJobs(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	one := b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})
	must(one.Tick("look"))
	must(one.Shortage("M4 tap", "drill", 1, "Tom"))
	two := b.call(j, "oil", oilProcedure, nil)
	finish(t, two)
	_, err := j.Refresh()
	require.NoError(t, err)
	var text bytes.Buffer
	require.NoError(t, j.Record().WriteMarkdown(&text))
	for _, want := range []string{
		"## Called: Save a hole", "OPEN: 1 of 3 steps", "| Short of | M4 tap |", "folder called/holes-", "## Called: Drill a hole", "done: 2 of 2 steps",
		"Mend it (Save a hole) stands at a hold: the inspector releases it.", "0 recorded, 0 decided",
	} {
		require.Contains(t, text.String(), want)
	}
	text.Reset()
	require.NoError(t, one.Record().WriteMarkdown(&text))
	require.Contains(t, text.String(), "| Called by | Close the cover, step holes |")

	needs := j.Needs()
	require.Len(t, needs.Open(), 1)
	require.Equal(t, []string{"M4 tap", "Tom", "holes"}, []string{needs.Items[0].What, needs.Items[0].From, needs.Items[0].Step})
	require.Contains(t, needs.Items[0].Why, "(Save a hole)")
	s, err := j.Got("1")
	saved(t, s, err)
	_, err = one.Refresh()
	require.NoError(t, err)
	ones := one.Needs()
	require.Empty(t, ones.Open(), "ticked off where it is wanted")
	_, err = j.Refresh()
	require.NoError(t, err)
	all := j.Needs()
	require.Empty(t, all.Open())
	_, err = j.Got("M4 tap")
	require.ErrorContains(t, err, "it is there already")

	list, err := List("/stick/club", b.env)
	require.NoError(t, err)
	require.Len(t, list, 1, "called jobs are under theirs, not beside it")
	require.Len(t, list[0].Called, 2)
}

// Entries that are on one device only reach the called job's folder with a
// refresh of the calling one.
func TestCalledJobHeals(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	one := b.call(j, "oil", oilProcedure, nil)
	b.m.trap = func(_ int, what, name string) fault {
		if strings.Contains(name, calledName) {
			return failed
		}
		return noFault
	}
	s, err := one.Tick("drill")
	require.NoError(t, err)
	require.Equal(t, DeviceOnly, s.Where)
	b.m.trap = nil
	b.now = b.now.Add(2 * time.Minute)
	_, err = j.Refresh()
	require.NoError(t, err)
	tom := b.open(b.device("Tom"))
	require.Equal(t, 1, tom.State().Called[0].Done)
}

// listing counts how often folders are listed.
type listing struct {
	FS
	names []string
}

func (l *listing) In(string) FS { return l }

func (l *listing) ReadDir(dir string) ([]fs.DirEntry, error) {
	l.names = append(l.names, dir)
	return l.FS.ReadDir(dir)
}

// A job without called ones costs nothing more to look at.
func TestNoCalledJobsNoReads(t *testing.T) {
	b := newBench(t)
	l := &listing{FS: b.m}
	b.env.FS = l
	j := b.cover()
	l.names = nil
	_, err := j.Refresh()
	require.NoError(t, err)
	require.Equal(t, []string{memJob}, l.names)
	l.names = nil
	j = b.open(b.env)
	require.Equal(t, []string{memJob}, l.names)
	b.call(j, "oil", oilProcedure, nil)
	l.names = nil
	_, err = j.Refresh()
	require.NoError(t, err)
	require.Len(t, l.names, 3, "the job, the folder of the called ones, the called one")
}

// Undo does not reach past the start of a called job to what was done before.
func TestUndoAfterACall(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	child := b.call(j, "oil", oilProcedure, nil)
	_, err := j.Undo()
	require.ErrorContains(t, err, "Drill a hole: it was the last thing started here: call it off")
	require.Equal(t, Done, j.State().Steps["safe"].Status)
	must(child.CallOff("wrong side"))
	_, err = j.Refresh()
	require.NoError(t, err)
	s, err := j.Undo()
	saved(t, s, err)
	require.NotEqual(t, Done, j.State().Steps["safe"].Status)
}

// Whatever two people do on the job and on those it calls, and whatever they
// write without asking: a step that counts as done or left out has nothing open.
func TestNoSequenceLeavesACalledJobOpen(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b := newBench(t)
		b.cover()
		people := []Env{b.env, b.device("Tom")}
		dirs := []string{memJob}
		for range rapid.IntRange(1, 25).Draw(r, "acts") {
			env := people[rapid.IntRange(0, 1).Draw(r, "who")]
			j, err := Open(rapid.SampledFrom(dirs).Draw(r, "job"), env)
			require.NoError(r, err)
			var steps []string
			for _, step := range j.Filled().Steps() {
				steps = append(steps, step.ID)
			}
			step := rapid.SampledFrom(steps).Draw(r, "step")
			switch rapid.IntRange(0, 9).Draw(r, "act") {
			case 0:
				source := oilProcedure
				if id, _ := j.Callable(step); id == "save-hole" {
					source = holeProcedure
				}
				if child, _, err := j.Call(step, tap(t, source), map[string]string{"thread": "M4"}); err == nil && len(dirs) < 6 {
					dirs = append(dirs, child.Dir())
				} else if source == oilProcedure {
					_, _, _ = j.Call(step, tap(t, source), nil)
				}
			case 1, 2:
				_, _ = j.Tick(step)
			case 3:
				_, _ = j.Skip(step, "no")
			case 4:
				_, _ = j.CallOff("mistake")
			case 5:
				_, _ = j.UndoStep(step)
			case 6:
				_, _ = j.Release(step, "Ruth")
			case 7: // not asked for
				_, _ = j.save(func() (Entry, error) {
					return Entry{Kind: rapid.SampledFrom([]string{KindTick, KindSkip}).Draw(r, "kind"), By: "Eve", Step: step, Text: "x"}, nil
				})
			case 8:
				_, _ = j.save(func() (Entry, error) {
					return Entry{Kind: rapid.SampledFrom([]string{KindOff, KindPass, KindCall}).Draw(r, "kind"), By: "Eve", Step: step, Text: "x", Value: j.header.Job, Reading: string(GateCalled), Seen: steps}, nil
				})
			case 9:
				_, _ = j.Undo()
			}
			for _, dir := range dirs {
				now, err := Open(dir, b.env)
				require.NoError(r, err)
				state := now.State()
				for id, s := range state.Steps {
					if s.Status != Done && s.Status != Skipped {
						continue
					}
					closed := 0
					for _, c := range state.CalledBy(id) {
						require.True(r, !c.Open || c.Problem != "", "%s is %s and %s is open", id, s.Status, c.Says())
						if len(c.Off) == 0 && !c.Open {
							closed++
						}
					}
					if step := now.Filled().Step(id); s.Status == Done && step.Call != nil && step.Call.Ask == "" {
						require.NotZero(r, closed, "%s is done without its call", id)
					}
				}
			}
		}
	})
}

// A wait inside a called job ends by the clock alone.
func TestCalledJobWaits(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	source := strings.Replace(oilProcedure, `do   = "Drill it."`, "do   = \"Drill it.\"\nwait = \"1 h\"", 1)
	child := b.call(j, "oil", source, nil)
	must(child.Tick("drill"))
	_, err := j.Refresh()
	require.NoError(t, err)
	require.Equal(t, []Wait{{Step: "again", Until: b.now.Add(time.Hour), In: child.Dir()}}, j.State().Waiting)
	b.now = b.now.Add(2 * time.Hour)
	require.Empty(t, j.State().Waiting)
}

// A job that another device called a moment ago keeps the step from being left
// out, although this window has not looked since.
func TestSkipLooksOnceMore(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	_, err := j.Refresh()
	require.NoError(t, err)
	_, err = start(filepath.Join(memJob, calledName, "oil-zzzzzz"), tap(t, oilProcedure), nil, "Bramble", b.device("Tom"), j.header.Job, "oil")
	require.NoError(t, err)
	_, err = j.Skip("oil", "is there already")
	require.ErrorContains(t, err, "Drill a hole is open")
}

// A folder that somebody put among the called jobs of a copy is not brought in.
func TestMergeTakesOnlyWhatWasCalled(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	b.m.copyTree(memJob, "/stick/tom/job")
	tom := b.device("Tom")
	_, err := start("/stick/tom/job/called/other-aaaaaa", tap(t, oilProcedure), nil, "Bramble", tom, "job-other", "oil")
	require.NoError(t, err)
	_, err = start("/stick/tom/job/called/own", tap(t, oilProcedure), nil, "Bramble", tom, "", "")
	require.NoError(t, err)
	merged, err := j.Merge("/stick/tom/job")
	require.NoError(t, err)
	require.Zero(t, merged.Called)
	require.Len(t, merged.Notices, 2)
	require.Contains(t, merged.Notices[0], "called/other-aaaaaa is not brought in: it is no job that was called from there.")
	require.Empty(t, j.State().Called)
}

// What a finished job was short of is not on the list any more.
func TestFinishedCalledJobNeedsNothing(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	child := b.call(j, "oil", oilProcedure, nil)
	must(child.Shortage("drill", "", 1, "Tom"))
	_, err := j.Refresh()
	require.NoError(t, err)
	list := j.Needs()
	require.Len(t, list.Items, 1)
	finish(t, child)
	_, err = j.Refresh()
	require.NoError(t, err)
	list = j.Needs()
	require.Empty(t, list.Items)
}

// Nobody who works on the job releases an inspector's hold: the jobs inside it
// and those around it are the same work.
func TestReleaseAcrossCalledJobs(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	as := func(dir, name string) *Job {
		env := b.env
		env.Person = name
		opened, err := Open(dir, env)
		require.NoError(t, err)
		return opened
	}
	must(as(memJob, "Joe").Read("holes", "widest", "3.4"))
	holes := b.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})
	oil := b.call(j, "oil", oilProcedure, nil)
	must(as(oil.dir, "Tom").Tick("drill"))
	must(holes.Tick("look"))

	for _, name := range []string{"Joe", "joe", "Tom", "Ana"} { // around it, beside it, and here
		_, err := holes.Release("mend", name)
		var blocked *BlockedError
		require.ErrorAs(t, err, &blocked, name)
		require.ErrorContains(t, err, "is working on the job", name)
		_, err = holes.ReleaseMyself("mend", name)
		require.ErrorAs(t, err, &blocked, name)
	}
	must(holes.Release("mend", "Ruth"))

	// And the other way: who works inside does not release what lies around it.
	const outside = `format = 2
id = "outside"
title = "x"
[[stage]]
title = "x"
[[stage.step]]
id = "oil"
kind = "make"
do = "Drill."
call = { procedure = "oil-hole" }
[[stage.step]]
id = "look"
kind = "inspect"
after = []
do = "Look."
hold = "inspector"
`
	other := newBench(t)
	top, err := Start(memJob, tap(t, outside), nil, "Bramble", other.env)
	require.NoError(t, err)
	env := other.env
	env.Person = "Tom"
	inner, err := Open(other.call(top, "oil", oilProcedure, nil).dir, env)
	require.NoError(t, err)
	must(inner.Tick("drill"))
	_, err = top.Release("look", "Tom")
	require.ErrorContains(t, err, "Tom is working on the job")
	must(top.Release("look", "Ruth"))
}
