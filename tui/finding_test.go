package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
)

// layRefit starts the dome cover's job with its first steps done.
func layRefit(t testing.TB, dir string, env job.Env) *job.Job {
	t.Helper()
	src, err := os.ReadFile("../testdata/refit/dome-cover.toml")
	require.NoError(t, err)
	proc, found := checklist.Read("dome-cover.toml", src)
	require.False(t, found.HasStop())
	require.NoError(t, os.MkdirAll(filepath.Dir(dir), 0o755))
	j, err := job.Start(dir, proc, map[string]string{"code": "Club code", "edition": "2018", "multiple": "1.5", "hold_time": "10 min", "cure": "24 h"}, "Bramble", env)
	require.NoError(t, err)
	do := func(_ job.Saved, err error) { t.Helper(); require.NoError(t, err) }
	do(j.Read("cold", "zero", "yes"))
	do(j.Release("cold", "Olga"))
	do(j.Tick("cold"))
	do(j.Tick("off"))
	do(j.Read("holes", "bad", "1"))
	do(j.Tick("holes"))
	do(j.Tick("cut"))
	do(j.Read("dry", "rock", "0.02"))
	do(j.Tick("dry"))
	return j
}

// refit is a bench with that job open at one of its steps.
func refit(t *testing.T, w, h int, step string, more ...func(*job.Job)) *bench {
	t.Helper()
	b := newBench(t, w, h)
	o := b.options()
	o.Env.Person = "Ana"
	o.Open = filepath.Join(o.Jobs, "bramble")
	j := layRefit(t, o.Open, o.Env)
	for _, do := range more {
		do(j)
	}
	b.begin(o, w, h)
	at := b.m.work.place(step)
	require.GreaterOrEqual(t, at, 0)
	b.m.top().(*stepScreen).goTo(at)
	b.m.settle()
	return b
}

func pullOut(b *bench) {
	b.keys("d")
	b.sees("What is not as it should be?", "Damaged hole", "Sheared fastener")
	b.keys("enter") // damaged hole; the step has one fastener
	b.sees("which of the 6?")
	b.keys("down", "down", "enter")
	b.sees("How wide is the hole?")
	b.keys(":3.65", "enter")
	b.sees("Diameter free for a head", "The procedure does not say it") // nor does it ask what it knows
	b.keys("enter")
	b.sees("In your words", "no. 3, hole 3.65")
	b.keys(":pulled out by hand", "enter")
}

func TestDamagedHoleThroughToItsDisposition(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}, {160, 45}} {
		t.Run(fmt.Sprintf("%dx%d", size.w, size.h), func(t *testing.T) {
			b := refit(t, size.w, size.h, "holes")
			before := len(b.m.work.steps)
			b.keys("d")
			b.golden(fmt.Sprintf("%dx%d-finding-kind", size.w, size.h))
			b.keys("esc")
			pullOut(b)
			require.Len(t, b.m.work.state.Findings, 1)
			require.Equal(t, "3.65", b.m.work.state.Findings[0].Data["hole"])
			require.Equal(t, 3, b.m.work.state.Findings[0].Number)
			s := b.m.top().(*findingScreen)
			require.NotNil(t, s.advice)
			require.NotEmpty(t, s.advice.Result.Options)
			b.m.top().wheel(-100)
			b.m.settle()
			if size.w == 40 { // the rest would only repeat the sums
				b.golden("40x20-finding-advice")
			}
			up := -1
			for i, o := range s.advice.Result.Options {
				if o.Thread.String() == "2 BA" && o.Kind == "next-size" {
					up = i
				}
			}
			require.GreaterOrEqual(t, up, 0)
			for range up {
				b.keys("down")
			}
			b.keys("enter")
			b.sees("one of the boiler itself?")
			b.keys("down", "down", "enter") // a fitting
			b.sees("Up a size to 2 BA")
			b.keys("enter")
			b.sees("repair: Up a size to 2 BA")
			require.Equal(t, "2 BA", b.m.work.state.Findings[0].Disposition.Data["thread"])
			require.Equal(t, "no", b.m.work.state.Findings[0].Disposition.Data["boiler"])
			require.Greater(t, len(b.m.work.steps), before)
			b.golden(fmt.Sprintf("%dx%d-finding-decided", size.w, size.h))
			b.keys("esc")
			_, st := b.m.top().(*stepScreen).step()
			require.Equal(t, job.Done, st.Status, "the step shown is still the one of the finding")
			b.keys("s")
			b.golden(fmt.Sprintf("%dx%d-finding-steps", size.w, size.h))
			b.keys("esc", "a")
			b.sees("DECIDED", "Damaged hole", "repair: Up a size")
			b.keys("u", "enter") // takes all of it back
			b.sees("OPEN", "nobody has decided")
			require.Len(t, b.m.work.steps, before)
			b.keys("enter", "u", "enter")
			b.sees("This finding was taken back")
		})
	}
}

func TestFindingsCountOnTheFirstScreen(t *testing.T) {
	b := refit(t, 80, 24, "holes")
	pullOut(b)
	b.keys("esc", "esc")
	b.sees("1 finding is open")
}

func TestFindingByTaps(t *testing.T) {
	b := refit(t, 40, 20, "dry")
	b.m.touch = true
	b.m.settle()
	b.tap("More", "Finding")
	b.m.top().wheel(100)
	b.m.settle()
	b.tap("Leak")
	b.sees("What is it on?")
	b.tap("The step as a whole", "Drips")
	b.sees("LEAK", "Drips")
	require.Equal(t, job.Leaking, b.m.work.state.Findings[0].What)
	require.Empty(t, b.m.work.state.Findings[0].Fastener)
}

func TestConcessionNamesSomebodyElse(t *testing.T) {
	b := refit(t, 80, 24, "dry")
	b.keys("d", "end", "enter", ":the tapped boss", "enter", ":scratched", "enter")
	require.Equal(t, "the tapped boss", b.m.work.state.Findings[0].Place)
	b.keys("end", "enter", ":Ana", "enter")
	b.sees("Who allows it?", "this is for somebody else")
	require.Nil(t, b.m.work.state.Findings[0].Disposition)
	b.keys("ctrl+u", ":Ruth", "enter", ":shallow", "esc", ":Olga", "esc")
	require.Nil(t, b.m.work.state.Findings[0].Disposition)
	b.keys("enter", ":Ruth", "enter", ":shallow", "enter")
	b.sees("allowed by Ruth")
}

func TestAStopOfTheAdviceIsNotTaken(t *testing.T) {
	b := refit(t, 80, 24, "holes")
	pullOut(b)
	s := b.m.top().(*findingScreen)
	stop := -1
	for i, o := range s.advice.Result.Options {
		if o.Verdict == "stop" {
			stop = i
		}
	}
	require.GreaterOrEqual(t, stop, 0)
	s.choose(stop)
	b.m.settle()
	b.sees("must not be done")
	require.Same(t, s, b.m.top())
}

func TestBringList(t *testing.T) {
	b := refit(t, 80, 24, "dry")
	b.keys("p")
	s := b.m.top().(*bringScreen)
	require.NotEmpty(t, s.items)
	first := s.items[0].Key
	b.golden("80x24-bring")
	b.keys("enter")
	b.sees("got by Ana")
	require.Equal(t, first, s.items[0].Key)
	b.keys("enter")
	b.sees("ticked off already")
	b.keys("n", ":gauge glass", "enter", ":x")
	b.sees("whole number")
	b.keys("backspace", ":2", "enter", ":Tom", "enter")
	b.sees("TOM", "2 gauge glass", "reported missing by Ana")
	require.Equal(t, 2, b.m.work.state.Short[0].Count)
}

// A procedure that says nothing of the metal and the depth: both are asked for,
// and the advice is worked out from the answers.
func TestWhatTheAdviceNeedsIsAsked(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter", "d", "enter")
	b.sees("How wide is the hole?") // the only fastener, and one of it
	b.keys(":4.3", "enter")
	b.sees("The metal that is tapped")
	b.keys(":gunmetal", "enter")
	b.sees("How deep the metal takes full thread")
	b.keys("enter") // needed, and may be left out all the same
	for range 9 {
		if _, ok := b.m.top().(*findingScreen); ok {
			break
		}
		if len(b.m.top().(*entry).choices) > 0 {
			b.keys(":rocks")
		}
		b.keys("enter")
	}
	f := b.m.work.state.Findings
	require.Len(t, f, 1)
	require.Equal(t, "gunmetal", f[0].Data["into"])
	b.sees("To advise on it, measure or say:", "How deep the metal takes full thread")
	b.keys("u", "enter", "esc", "d", "enter", ":4.3", "enter", ":gunmetal", "enter", ":12", "enter")
	for range 9 {
		e, ok := b.m.top().(*entry)
		if !ok {
			break
		}
		if len(e.choices) > 0 {
			b.keys(":rocks")
		}
		b.keys("enter")
	}
	b.sees("WAYS TO SAVE THE HOLE", "of the old thread left")
	require.NotEmpty(t, b.m.top().(*findingScreen).advice.Result.Options)
}

// Steps that come in before the one shown do not push another under the eyes.
func TestTheStepShownStaysWhenStepsComeIn(t *testing.T) {
	b := refit(t, 80, 24, "dry")
	pullOut(b)
	s := b.m.top().(*findingScreen)
	for _, o := range s.advice.Result.Options {
		if o.Thread.String() == "2 BA" && o.Kind == "next-size" {
			b.run(s.take(s.finding(), o))
			break
		}
	}
	b.m.settle()
	b.keys("down", "down", "enter", "enter")
	b.sees("NEW STEPS")
	at := b.m.work.place("dry")
	require.Greater(t, at, 5)
	b.keys("esc")
	step, st := b.m.top().(*stepScreen).step()
	require.Equal(t, "dry", step.ID)
	require.Equal(t, job.Blocked, st.Status)
	b.keys("end")
	b.sees("open again:")
}

// A figure that was not at hand is added at the finding itself; nothing is taken
// back for it.
func TestAFigureIsAddedWhereTheAdviceLacksIt(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}} {
		b := refit(t, size.w, size.h, "holes")
		b.keys("d", "enter", "down", "down", "enter", "enter") // the hole is not measured yet
		b.keys(":pulled out by hand", "enter")
		s := b.m.top().(*findingScreen)
		require.NotEmpty(t, s.advice.Missing)
		b.run(s.choose(0))
		b.m.settle()
		b.sees("Its diameter, by the largest pin")
		b.keys(":wide", "enter")
		b.sees("largest pin")
		b.keys("ctrl+u", ":3.65", "enter")
		require.Equal(t, screen(s), b.m.top())
		require.Empty(t, s.advice.Missing)
		require.NotEmpty(t, s.advice.Result.Options)
		require.Len(t, b.m.work.state.Findings, 1)
		require.Equal(t, "3.65", b.m.work.state.Findings[0].Data["hole"])
	}
}
