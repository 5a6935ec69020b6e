//go:build linux

package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
)

// From a step into what it calls and out again on a real terminal; killed
// inside, both jobs are there with all that was shown as saved.
func TestCalledJobOnARealTerminal(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) { callOnATerminal(t, size[0], size[1]) })
	}
}

func callOnATerminal(t *testing.T, w, h int) {
	x := newTmux(t)
	for name, text := range map[string]string{"hole.toml": calledHole, "oil.toml": calledOil} {
		require.NoError(t, os.WriteFile(filepath.Join(x.dir, name), []byte(text), 0o644))
	}
	dir := filepath.Join(x.dir, "jobs", "bramble")
	env := job.Env{Now: time.Now, StateDir: filepath.Join(x.dir, "state"), Person: "Ana"}
	proc, found := checklist.Read("cover.toml", []byte(callingCover))
	require.False(t, found.HasStop())
	_, err := job.Start(dir, proc, nil, "Bramble", env)
	require.NoError(t, err)
	x.start(w, h, plainly)
	x.named()
	x.keys("Enter")
	x.sees("BEFORE YOU START")
	x.keys("F12", "Enter") // F12 is no key here: it parts two presses
	x.sees("Start: Save a damaged hole")
	x.tap("Start: Save a damaged hole")
	x.sees("this needs an answer")
	x.keys("F12", "Enter") // the first question that is open
	x.sees("gunmetal")
	x.keys("F12", "Enter")
	x.stands("the answer", func(s string) bool { return strings.Contains(s, "gunmetal ●") })
	x.keys("s")
	x.sees("> Save a damaged hole")
	x.keys("F12", "Enter")
	x.sees("Look at 4 BA in gunmetal.")
	x.keys("F12", "Enter")
	x.sees("Mend it.")
	x.tap("Out")
	x.sees("Go on: Save a damaged hole")
	x.sees("1 of 2")
	x.keys("F12", "Enter")
	x.sees("Mend it.")
	x.keys("F12", "Enter")
	x.stands("done", func(s string) bool { return strings.Contains(s, "2 of 2") && !saving(s) })

	require.NoError(t, syscall.Kill(x.pid(), syscall.SIGKILL))
	x.gone()
	j, err := job.Open(dir, env)
	require.NoError(t, err)
	called := j.State().CalledBy("holes")
	require.Len(t, called, 1)
	require.Equal(t, "Save a damaged hole, done", called[0].Says())
}
