//go:build linux

package tui

import (
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/recipes"
)

// No question of a bundled procedure shows its source: what a bound or a default
// is made of is filled in with the answers as they stand.
func TestQuestionsAreFilledIn(t *testing.T) {
	names, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	asked, templates := 0, 0
	for _, file := range names {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		proc, found := checklist.NewLibrary(recipes.FS()).Read(file, src)
		require.Empty(t, found)
		b := newBench(t, 80, 24)
		for _, values := range append(walks()[file], nil) {
			s := newForm(b.m, proc)
			for k, v := range values {
				s.values[k] = v
			}
			s.fill()
			for i, set := range s.asked {
				s.edit(i + 1)
				e := b.m.stack[len(b.m.stack)-1].(*entry)
				said := strings.Join(append([]string{set.Ask, s.value(set), e.judge("").text}, e.about...), "\n")
				require.NotContains(t, said, "${", "%s: %s", file, set.Name)
				require.NotContains(t, said, "[", "%s: %s", file, set.Name)
				asked++
				if strings.Contains(set.Low+set.High+set.Default, "${") {
					templates++
				}
				b.m.drop(e)
			}
		}
	}
	require.Greater(t, asked, 100)
	require.Greater(t, templates, 5)
}

// The bound is that of the answer beside it, and it is what the answer is
// judged by.
func TestABoundFollowsTheAnswers(t *testing.T) {
	src, err := fs.ReadFile(recipes.FS(), "regulator.toml")
	require.NoError(t, err)
	proc, _ := checklist.NewLibrary(recipes.FS()).Read("regulator.toml", src)
	b := newBench(t, 80, 24)
	s := newForm(b.m, proc)
	said := func() *entry {
		s.fill()
		for i, set := range s.asked {
			if set.Name == "test_pressure" {
				s.edit(i + 1)
				e := b.m.stack[len(b.m.stack)-1].(*entry)
				b.m.drop(e)
				return e
			}
		}
		t.Fatal("the test pressure is not asked")
		return nil
	}
	require.Contains(t, said().about, "From 90 psi (6.21 bar) up.")
	s.values["pressure"] = "7 bar"
	e := said()
	require.Contains(t, e.about, "From 7 bar up.")
	require.True(t, e.judge("6.5 bar").refused)
	require.False(t, e.judge("10 bar").refused)
}

// What another job on the engine has open is on the screen when a pressure test
// is opened and when a hold of it is released.
func TestAPressureTestWarnsOfTheJobBeside(t *testing.T) {
	b := newBench(t, 80, 24)
	lay := func(dir, file string, values map[string]string) string {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		proc, found := checklist.NewLibrary(recipes.FS()).Read(file, src)
		require.Empty(t, found)
		dir = filepath.Join(b.dir, "jobs", dir)
		j, err := job.Start(dir, proc, values, "Bramble", job.Env{Now: b.m.opt.Env.Now, StateDir: filepath.Join(b.dir, "state"), Person: "Ana"})
		require.NoError(t, err)
		if file == "regulator.toml" {
			_, err = j.FitBlank("7", "on", "whistle")
			require.NoError(t, err)
		}
		return dir
	}
	lay("regulator", "regulator.toml", walks()["regulator.toml"][0])
	dir := lay("test", "hydraulic.toml", walks()["hydraulic.toml"][0])
	b.begin(b.options(func(o *Options) { o.Open = dir }), 80, 24)
	b.sees("WARN: Another job on Bramble")
	saved{what: "the hold is released", got: job.Saved{Where: job.Everywhere, Said: "warn: Another job on Bramble: blank 7"}, work: b.m.work}.settle(b.m)
	b.send(nil)
	b.sees("Saved. WARN: Another job on Bramble: blank 7")
}
