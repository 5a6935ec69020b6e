package tui

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/recipes"
	"fettle/threads/check"
)

func withDemo(o *Options) { o.Recipes, o.Demo = recipes.FS(), recipes.Demo() }

// The demo is a job like any other: what a newcomer is to see is in it, and the
// record holds together.
func TestDemoIsAJobUnderWay(t *testing.T) {
	now := time.Date(2026, 3, 1, 19, 0, 0, 0, time.UTC)
	top := t.TempDir()
	dir := filepath.Join(top, "jobs", DemoName)
	env := job.Env{Now: func() time.Time { return now }, StateDir: filepath.Join(top, "state"), Person: "Zoe"}
	require.NoError(t, LayDemo(dir, recipes.Demo(), recipes.FS(), env))

	left, err := os.ReadDir(filepath.Dir(dir))
	require.NoError(t, err)
	require.Len(t, left, 1, "nothing is left lying beside it")
	logs, err := filepath.Glob(filepath.Join(dir, "log-*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 2, "two devices")

	j, err := job.Open(dir, env)
	require.NoError(t, err)
	require.Equal(t, "Bramble", j.Engine())
	require.Empty(t, open(j.Filled()), "no rule speaks against the demo's engine")
	state := j.State()
	require.Empty(t, state.Notices)
	require.Zero(t, state.Unshared)
	require.Greater(t, state.Done, state.Total/2)
	require.Less(t, state.Done, state.Total-5, "there is work left")

	// The reading of the shop that counts is 16 °C: from 24 h at 20 °C the time
	// doubles for every 10 K less (common practice, no source). The last pass was
	// half an hour into the visit 18 h ago.
	require.Equal(t, "cure", state.Waiting[0].Step)
	cure := time.Duration(24 * math.Exp2(0.4) * float64(time.Hour))
	require.WithinDuration(t, now.Add(cure-17*time.Hour-30*time.Minute), state.Waiting[0].Until, 10*time.Minute)

	require.Len(t, state.Findings, 3)
	require.Equal(t, job.Replace, state.Findings[0].Disposition.Decision)
	require.Equal(t, "2 BA", state.Findings[1].Disposition.Data["thread"])
	require.Nil(t, state.Findings[2].Disposition, "one is open")
	require.Len(t, state.Short, 1)
	require.True(t, state.Short[0].Open())
	needs := j.Needs()
	require.NotEmpty(t, needs.Open())
	require.Len(t, state.Conflicts, 1)
	require.Contains(t, state.Conflicts[0].Text, "18 °C by Ana, 16 °C by Tom")
	for _, tally := range state.Tallies {
		require.Zero(t, tally.Inside, tally.String())
	}

	devices := map[string]string{}
	for _, e := range j.Log() {
		require.False(t, e.At.After(now), "%s lies in the future", e.ID)
		if e.Kind != job.KindRelease { // Ruth releases at the device of whoever works
			devices[e.By] = e.Device()
		} else {
			require.Equal(t, "Ruth", e.By)
		}
	}
	require.Len(t, devices, 2)
	require.NotEqual(t, devices["Ana"], devices["Tom"])

	v, err := j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%+v", v)

	// Whoever looks at it is a third one: nothing of Ana's can be undone by a slip.
	_, err = j.Undo()
	require.ErrorIs(t, err, job.ErrNothingToUndo)
	_, err = j.Tick("cure")
	var blocked *job.BlockedError
	require.ErrorAs(t, err, &blocked)
	// With a new nut and another day it can be finished.
	now = now.Add(36 * time.Hour)
	_, err = j.SettleClock(now)
	require.NoError(t, err)
	_, err = j.Got("Union nut, 5/16 x 32 ME: the right one is cracked")
	require.NoError(t, err)
	_, err = j.Tick("cure")
	require.NoError(t, err)

	require.Error(t, LayDemo(dir, recipes.Demo(), recipes.FS(), env), "it is laid down once")
}

// open are the findings of the rules that nobody has answered.
func open(f *checklist.Filled) []string {
	var list []string
	for _, parts := range [][]checklist.FilledPart{f.Fasteners, f.Seals} {
		for _, p := range parts {
			for _, found := range p.Findings {
				if p.Applies && found.Accepted == "" && found.Severity != check.Note {
					list = append(list, p.Name+": "+found.Message)
				}
			}
		}
	}
	return list
}

// Nobody is in it but the invented three.
func TestDemoHoldsOnlyItsOwnPeople(t *testing.T) {
	story, err := job.ReadStory(recipes.Demo())
	require.NoError(t, err)
	names := regexp.MustCompile(`(?m)^by = "(\w+)"|release = "(\w+)"`)
	for _, m := range names.FindAllStringSubmatch(string(recipes.Demo()), -1) {
		if name := m[1] + m[2]; name != "inspector" {
			require.True(t, slices.Contains([]string{"Ana", "Tom", "Ruth"}, name), name)
		}
	}
	require.Equal(t, "Bramble", story.Engine)
}

func TestDemoFromTheFirstScreen(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}} {
		b := newBench(t, size[0], size[1], withDemo)
		require.Contains(t, b.text(), "Press d", "before anything is asked")
		b.keys("d")
		require.Contains(t, b.text(), "Pipes last")
		require.Contains(t, b.text(), "missing: Union nut")
		b.keys("esc")
		require.Contains(t, b.text(), "Bramble")
		require.NotContains(t, b.text(), "Press d", "with a job there, the demo is not offered")
		for _, a := range b.m.allActs() {
			require.NotEqual(t, "Demo", a.word)
		}
	}
}

func TestDemoThatCannotBeLaidDown(t *testing.T) {
	b := newBench(t, 80, 24, withDemo)
	require.NoError(t, os.WriteFile(filepath.Join(b.dir, "jobs"), nil, 0o600), "a file where the folder should be")
	b.keys("d")
	b.sees("There is no demo", "cannot be laid down there: it is no folder")
}
