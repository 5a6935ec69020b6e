//go:build linux

package tui

import (
	"io/fs"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/recipes"
)

// What a step wants done is on the screen at once, on 40 columns and 20 rows,
// with its warnings, its cautions and its hold: nobody at the bench pages for
// it. Steps that stand at a stop or a gate say so below.
func TestStepsOfTheProceduresFitOneScreen(t *testing.T) {
	names, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	steps, rows := 0, 0
	for _, file := range names {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		proc, found := checklist.NewLibrary(recipes.FS()).Read(file, src)
		require.Empty(t, found)
		for _, values := range walks()[file] {
			b := newBench(t, 40, 20)
			dir := filepath.Join(b.dir, "jobs", "walk")
			_, err := job.Start(dir, proc, values, "Bramble", job.Env{Now: b.m.opt.Env.Now, StateDir: filepath.Join(b.dir, "state"), Person: "Ana"})
			require.NoError(t, err)
			b.begin(b.options(func(o *Options) { o.Open = dir }), 40, 20)
			for i, step := range b.m.work.steps {
				b.m.goOnTo(i)
				b.send(nil)
				s := b.m.stack[1].(*stepScreen)
				steps, rows = steps+1, rows+s.told
				t.Logf("%2d of %2d rows  %s %s", s.told, s.v.tall, file, step.ID)
				if !s.whole {
					t.Errorf("%s, step %s: %d rows, %d are seen", file, step.ID, s.told, s.v.tall)
				}
			}
		}
	}
	t.Logf("%d steps, %.1f rows each", steps, float64(rows)/float64(steps))
}
