//go:build linux

package tui

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
)

// A damaged hole through to its disposition on a real terminal; killed after
// it, everything that was shown as saved is there again.
func TestDamagedHoleOnARealTerminal(t *testing.T) {
	x := newTmux(t)
	dir := filepath.Join(x.dir, "jobs", "bramble")
	env := job.Env{Now: time.Now, StateDir: filepath.Join(x.dir, "state"), Person: "Ana"}
	layRefit(t, dir, env)
	x.start(80, 24, plainly)
	x.named()
	x.keys("Enter")
	x.sees("Finding")
	x.tap("Finding")
	x.sees("What is not as it should be?")
	x.tap("Damaged hole")
	x.sees("which of the 6?")
	x.tapKey("3")
	x.sees("How wide is the hole?")
	x.write("3.65")
	x.sees("› 3.65")
	x.keys("Enter")
	x.sees("Diameter free for a head")
	x.keys("End", "Enter")
	x.sees("What was found?")
	x.write("pulled out by hand")
	x.sees("› pulled out by hand")
	x.keys("Enter")
	x.sees("WAYS TO SAVE THE HOLE")
	for range 20 {
		s := x.screen()
		if strings.Contains(s, "› Up a size to 2 BA") {
			break
		}
		x.keys("Down")
		x.changed(s)
	}
	x.keys("Down", "Up", "Enter") // enter at once would count for its repeat
	x.sees("one of the boiler itself?")
	x.keys("Down", "Down")
	x.sees("› No, of a fitting")
	x.keys("Enter")
	x.sees("It stands in the record")
	x.keys("End", "Enter") // the same key at once would count for its repeat
	x.sees("NEW STEPS")
	require.Contains(t, x.screen(), "Look before metal is cut")

	require.NoError(t, syscall.Kill(x.pid(), syscall.SIGKILL))
	x.gone()
	j, err := job.Open(dir, env)
	require.NoError(t, err)
	f := j.State().Findings
	require.Len(t, f, 1)
	require.Equal(t, 3, f[0].Number)
	require.Equal(t, "2 BA", f[0].Disposition.Data["thread"])
}
