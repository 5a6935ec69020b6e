package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

func TestReadingOutsideIsMarkedEverywhereAndAskedAbout(t *testing.T) {
	b := atReadings(t, 80, 24)
	b.keys(":4.6", "enter", ":4.76", "enter", "down", "enter")
	b.sees("! outside limits")
	onwards(b, "Done")
	b.sees("Go on although Smallest diameter: 4.6 mm is")
	b.keys("esc")
	b.sees("2 of 6")
	onwards(b, "Done")
	b.keys("enter")
	b.sees("3 of 6", "outside limits")
	b.keys("left")
	b.sees("done, ! outside limits")
	b.keys("s")
	b.sees("! Measure the spindle")
	b.keys("esc", "esc")
	b.sees("! outside limits at 1 of its steps")
}

func TestAnswerThatStopsIsShownAsSuch(t *testing.T) {
	b := started(t, 80, 24)
	b.m.goOnTo(5)
	b.keys("r", ":3", "enter")
	b.sees("STOP")
	require.Equal(t, paint.InkWrong, b.m.foot.ink)
	b.lacks("Saved 19:00")
}

func TestStepThatStaysIsNotAskedAReason(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	done(b)
	b.keys("x")
	b.sees("A hold point is not left out: the owner releases it")
	b.lacks("Why is step")
	b.m.goOnTo(5)
	b.keys("x")
	b.sees("it is not left out")
	b.lacks("Why is step")
}

// goOnTo shows a step of the open job.
func (m *model) goOnTo(i int) { m.stack[1].(*stepScreen).goTo(i) }

func TestPageBeforeTheFirstStepIsReadToItsEnd(t *testing.T) {
	b := started(t, 40, 20)
	b.keys("esc", "enter") // opened anew, nothing of it is read yet
	b.sees("BEFORE YOU START", "Read on")
	b.lacks("things out.")
	for range 9 {
		if strings.Contains(b.text(), "things out.") {
			break
		}
		b.lacks("To the steps")
		b.keys("enter")
	}
	b.sees("things out.", "To the steps")
}

func TestRecordWithNoticesShowsASign(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	b.lacks(": i")
	logs, err := filepath.Glob(filepath.Join(b.dir, "jobs", "*", "*.jsonl"))
	require.NoError(t, err)
	if len(logs) == 0 {
		logs, _ = filepath.Glob(filepath.Join(b.dir, "jobs", "*", "*", "*"))
	}
	require.NotEmpty(t, logs)
	f, err := os.OpenFile(logs[0], os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = f.WriteString("nonsense\n{\"half")
	require.NoError(t, err)
	require.NoError(t, f.Close())
	b.keys("ctrl+r")
	b.sees("! 2 notices: i")
	b.keys("esc")
	b.sees("! the record has something to say")
	for n, want := range []string{"notice", "1 differs", "2 differ"} {
		w := work{state: job.State{Notices: []string{"x"}, Conflicts: make([]job.Conflict, n)}}
		require.Equal(t, want, w.spokenWord())
	}
}
