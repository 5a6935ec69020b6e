package job

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Jobs written by every version there ever was stay readable, and say the same.
// The folders under testdata/jobs are never changed; a new version adds one.
// The sums in them were checked by a program of another language when they were
// added.
func TestOldJobs(t *testing.T) {
	jobs, err := filepath.Glob(filepath.Join("..", "..", "testdata", "jobs", "v*"))
	require.NoError(t, err)
	require.NotEmpty(t, jobs)
	for _, old := range jobs {
		if filepath.Ext(old) != "" {
			continue
		}
		dir := filepath.Join(t.TempDir(), "job")
		require.NoError(t, os.CopyFS(dir, os.DirFS(old)))
		now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
		j, err := Open(dir, Env{Now: func() time.Time { return now }, StateDir: t.TempDir(), Person: "Tom"})
		require.NoError(t, err)
		got := strings.ReplaceAll(describe(j), dir, "DIR")
		want := old + ".txt"
		if os.Getenv("FETTLE_UPDATE") != "" {
			require.NoError(t, os.WriteFile(want, []byte(got), 0o644))
		}
		expected, err := os.ReadFile(want)
		require.NoError(t, err)
		require.Equal(t, string(expected), got, old)

		// And they can be gone on with, every old byte staying where it is.
		s, err := j.Note("cold", "years later")
		saved(t, s, err)
		files, err := os.ReadDir(old)
		require.NoError(t, err)
		for _, f := range files {
			before, err := os.ReadFile(filepath.Join(old, f.Name()))
			require.NoError(t, err)
			after, err := os.ReadFile(filepath.Join(dir, f.Name()))
			require.NoError(t, err)
			require.Equal(t, string(before), string(after), f.Name())
		}
	}
}

// describe writes down everything that a job says.
func describe(j *Job) string {
	var b strings.Builder
	state := j.State()
	started, by := j.Started()
	fmt.Fprintf(&b, "%s on %s, started %s by %s\n", j.Filled().Title, j.Engine(), started.Format(time.RFC3339), by)
	fmt.Fprintf(&b, "done %d, skipped %d, total %d, next %s\n", state.Done, state.Skipped, state.Total, state.Next)
	for _, step := range j.Filled().Steps() {
		s := state.Steps[step.ID]
		fmt.Fprintf(&b, "\n%s: %s\n", step.ID, s.Status)
		fmt.Fprintf(&b, "  do: %s\n", step.Do)
		for _, block := range s.Blocks {
			fmt.Fprintln(&b, "  blocked:", block)
		}
		fmt.Fprintf(&b, "  ticked: %s\n  skipped: %s\n  released: %s\n  undone: %s\n", j.wall.names(s.Ticks), j.wall.names(s.Skips), j.wall.names(s.Releases), j.wall.names(s.Undone))
		for _, name := range sortedKeys(s.Readings) {
			for _, v := range s.Readings[name] {
				fmt.Fprintf(&b, "  %s: %s by %s, %s\n", name, v, v.By, v.Judgement.Text)
			}
		}
		for _, n := range s.Notes {
			fmt.Fprintf(&b, "  note: %s (%s)\n", n.Text, n.By)
		}
	}
	fmt.Fprintln(&b)
	for _, c := range state.Conflicts {
		fmt.Fprintln(&b, "conflict:", c.Step, c.Reading, c.Text)
	}
	for _, n := range state.Notices {
		fmt.Fprintln(&b, "notice:", n)
	}
	fmt.Fprintln(&b)
	for _, e := range j.Log() {
		e.WriteText(&b)
	}
	return b.String()
}
