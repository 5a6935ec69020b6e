package tui

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
)

// apart makes entries on a second device, Tom's, that saw the job as it was before
// since, and brings them in.
func apart(t *testing.T, b *bench, since func(), do func(*job.Job)) {
	t.Helper()
	dir, copied := b.m.work.job.Dir(), filepath.Join(t.TempDir(), "job")
	require.NoError(t, os.CopyFS(copied, os.DirFS(dir)))
	since()
	tom, err := job.Open(copied, job.Env{Now: func() time.Time { return b.now }, StateDir: filepath.Join(t.TempDir(), "state"), Person: "Tom"})
	require.NoError(t, err)
	do(tom)
	require.NoError(t, filepath.WalkDir(copied, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(copied, path)
		if _, err := os.Stat(filepath.Join(dir, rel)); err == nil {
			return nil
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		return os.WriteFile(filepath.Join(dir, rel), data, 0o644)
	}))
	b.keys("ctrl+r")
}

// Ana sees the needle on zero and Tom, apart, does not: the worse counts, the release
// that had not seen it counts no more, and the large button settles it.
func TestADifferenceIsSettledWithTheLargeButton(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		b := refit(t, size[0], size[1], "cold")
		apart(t, b, func() { must(t)(b.m.work.job.Read("cold", "zero", "yes")) }, func(tom *job.Job) {
			_, err := tom.Read("cold", "zero", "no")
			require.NoError(t, err)
		})
		require.NotEmpty(t, b.m.work.state.Conflicts)
		require.NotEqual(t, job.Done, b.m.work.state.Steps["cold"].Status)
		onwards(b, "Settle")
		b.sees("Which counts from now on?", "yes", "no", "Measure again")
		b.keys("enter")
		b.sees("Pick an answer") // nothing is picked beforehand
		b.keys("down", "enter")
		require.Empty(t, b.m.work.state.Conflicts, b.text())
	}
}

func TestAWaitBeginsByHandAndEndsByASaidTime(t *testing.T) {
	b := refit(t, 40, 20, "cured", func(j *job.Job) {
		do := must(t)
		do(j.Tick("seal"))
		do(j.WitnessStep("tighten", "Olga", false))
		do(j.Tick("tighten"))
	})
	onwards(b, "Begin")
	b.sees("left", "begun Sun 1 Mar")
	require.NotNil(t, b.m.work.state.Steps["cured"].Begun)
	b.keys("b") // it was put on earlier than it was said
	b.sees("When was it put on?")
	b.keys(":soon", "enter")
	b.sees("a time as 19:05")
	b.keys("esc")
	b.now = b.now.Add(26 * time.Hour)
	b.keys("ctrl+r")
	onwards(b, "Say the time")
	b.keys(":"+b.now.Add(-3*time.Hour).Format("15:04"), "enter")
	b.sees("this device shows") // what was said and what it shows differ: not taken
	require.True(t, b.m.work.state.Steps["cured"].Status != job.Done)
	b.keys("ctrl+u", ":"+b.now.Format("15:04"), "enter")
	done(b)
	require.Equal(t, job.Done, b.m.work.state.Steps["cured"].Status)
}

func TestADoneStepIsOpenedAgainWithItsReason(t *testing.T) {
	b := refit(t, 80, 24, "seal", func(j *job.Job) { must(t)(j.Tick("seal")) })
	b.keys("E")
	b.sees("Why is it opened again?")
	b.keys("enter")
	require.IsType(t, (*entry)(nil), b.m.top(), "no reason, no entry")
	b.keys(":wrong bottle", "enter")
	require.NotEqual(t, job.Done, b.m.work.state.Steps["seal"].Status)
	b.sees("open again")
}

func TestAnAnswerIsPutRight(t *testing.T) {
	b := refit(t, 80, 24, "holes")
	b.keys("A")
	b.sees("Which answer was wrong?", "The engine")
	b.keys("down", "enter")
	b.keys("ctrl+u", ":Bramble II", "enter")
	b.sees("Why is it put right?")
	b.keys(":slip of the pen", "enter")
	require.Equal(t, "Bramble II", b.m.work.job.Engine())
}

// The way past a gate is the last button of its page, and where a rule stops there
// is none.
func TestTheWayPastIsNeverTheLargeButton(t *testing.T) {
	b := refit(t, 80, 24, "seal", func(j *job.Job) {
		do := must(t)
		do(j.Shortage("sealant, fresh", "seal", 1, "shop"))
		do(j.CountIn("dome", "rag", 1))
	})
	b.keys("e")
	s := b.m.top().(*gateScreen)
	b.m.View()
	for i := range s.rows {
		s.v.cur = i
		acts := s.acts()
		require.NotEqual(t, "Let it pass", acts[0].word)
		for j, a := range acts {
			if a.word == "Let it pass" {
				require.Equal(t, len(acts)-1, j)
			}
		}
	}
	for _, name := range []job.GateName{job.GateHold, job.GateTest, job.GateApart, job.GateDanger} {
		require.False(t, passable(job.Gate{Name: name}), name)
	}
	require.False(t, passable(job.Gate{Name: job.GateCure, Safety: true}))
	require.True(t, passable(job.Gate{Name: job.GateShort}))
}
