//go:build linux

package tui

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"fettle/checklist/job"
)

// slowLine, set to a program, makes this test binary a slow line to it.
const slowLine = "FETTLE_TEST_SLOW_LINE"

const (
	lineDelay = 150 * time.Millisecond // one way, so 300 ms there and back
	lineRate  = 10_000                 // bytes a second towards the terminal
	lineGap   = 4 * time.Millisecond   // between two bytes from the keyboard
)

// asSlowLine runs bin on a terminal of its own and carries what goes to and fro
// over a line that is late, narrow and takes every byte by itself.
func asSlowLine(bin string) error {
	state, err := unix.IoctlGetTermios(0, unix.TCGETS)
	if err != nil {
		return err
	}
	raw := *state
	raw.Iflag &^= unix.ICRNL | unix.IXON
	raw.Lflag &^= unix.ECHO | unix.ICANON | unix.ISIG | unix.IEXTEN
	raw.Oflag &^= unix.OPOST
	if err := unix.IoctlSetTermios(0, unix.TCSETS, &raw); err != nil {
		return err
	}
	size, err := unix.IoctlGetWinsize(0, unix.TIOCGWINSZ)
	if err != nil {
		return err
	}
	master, slave, err := newTerminal(size)
	if err != nil {
		return err
	}
	cmd := exec.Command(bin)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		return err
	}
	slave.Close()
	go carry(master, os.Stdin, 1, lineGap)
	carry(os.Stdout, master, lineRate/100, 10*time.Millisecond)
	return cmd.Wait()
}

// carry brings what from gives to to, lineDelay later and in pieces.
func carry(to io.Writer, from io.Reader, piece int, gap time.Duration) {
	type late struct {
		b  []byte
		at time.Time
	}
	line := make(chan late, 1000)
	go func() {
		defer close(line)
		for {
			b := make([]byte, piece)
			n, err := from.Read(b)
			if err != nil {
				return
			}
			line <- late{b[:n], time.Now().Add(lineDelay)}
		}
	}()
	for l := range line {
		time.Sleep(time.Until(l.at))
		if _, err := to.Write(l.b); err != nil {
			return
		}
		time.Sleep(gap)
	}
}

// Everything by keys and taps over a line that is late, narrow and cuts every
// sequence between all of its bytes.
func TestOverASlowLine(t *testing.T) {
	x := newTmux(t)
	env := job.Env{Now: time.Now, StateDir: filepath.Join(x.dir, "state"), Person: "Ana"}
	dir := filepath.Join(x.dir, "jobs", "bramble")
	layRefit(t, dir, env)
	require.NoError(t, job.SetPerson(env, "Ana"))
	test, err := os.Executable()
	require.NoError(t, err)
	x.start(80, 24, fmt.Sprintf("%s=$(command -v fettle) exec %s", slowLine, test))
	x.sees("JOBS UNDER WAY")
	x.keys("Enter")
	x.sees("Finding")
	x.keys("n")
	x.sees("Note on step")
	x.write("waisted, café, 漢字")
	x.sees("› waisted, café, 漢字")
	x.keys("Left", "Left", "Left", "Left", "BSpace", "End")
	x.sees("waisted, caf, 漢字")
	x.tap("More") // a report cut between all of its bytes
	x.sees("What else can be done")
	x.keys("Escape")
	s := x.stands("the note again", func(s string) bool { return strings.Contains(s, "Keep") && strings.Contains(s, "waisted, caf, 漢字") })
	require.NotContains(t, s, "<0", "no report is typed")
	x.keys("Enter")
	x.sees("Saved")
	x.keys("d")
	x.sees("What is not as it should be?")
	x.tap("Sheared fastener")
	x.sees("What is it on?")
	x.keys("Escape")
	x.sees("What is not as it should be?")
	x.keys("Escape")
	x.sees("note: waisted")

	// A wheel flood and then a key: what was drawn meanwhile does not queue up.
	x.write(strings.Repeat("\x1b[<65;10;10M", 100))
	x.keys("s")
	x.sees("to do")
	x.keys("Escape")
	x.stands("the step", func(s string) bool { return large(s) != "" && large(s) != "Go there" })
	j, err := job.Open(dir, env)
	require.NoError(t, err)
	done := j.State().Done
	x.write(strings.Repeat("\r", 60)) // enter, held for as long as it takes
	x.write("~")
	x.stands("rest", func(s string) bool { return !saving(s) })
	j, err = job.Open(dir, env)
	require.NoError(t, err)
	require.LessOrEqual(t, j.State().Done, done+1, "a held key walked on")
	require.Equal(t, "waisted, caf, 漢字", j.State().Steps[j.State().Next].Notes[0].Text)
}

// A terminal that takes nothing at all: entries are made and saved all the same,
// and the program ends when it is told to.
func TestATerminalThatTakesNothing(t *testing.T) {
	dir := t.TempDir()
	env := job.Env{Now: time.Now, StateDir: filepath.Join(dir, "state"), Person: "Ana"}
	at := filepath.Join(dir, "jobs", "bramble")
	layRefit(t, at, env)
	require.NoError(t, job.SetPerson(env, "Ana"))
	master, slave, err := newTerminal(&unix.Winsize{Row: 45, Col: 160})
	require.NoError(t, err)
	defer master.Close()
	cmd := exec.Command(buildProgram(t), "job", "open", at)
	cmd.Dir = dir
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.Env = []string{"TERM=xterm-256color", "LANG=C.UTF-8", "HOME=" + dir, "FETTLE_STATE=" + env.StateDir}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, cmd.Start())
	slave.Close()
	var heard strings.Builder
	buf := make([]byte, 4096)
	for !strings.Contains(heard.String(), "Finding") {
		n, err := master.Read(buf)
		require.NoError(t, err)
		heard.Write(buf[:n])
	}
	// From here on nobody reads. Each note draws the whole screen several times.
	const notes = 8
	saved := func() int {
		j, err := job.Open(at, env)
		require.NoError(t, err)
		n := 0
		for _, st := range j.State().Steps {
			n += len(st.Notes)
		}
		return n
	}
	for i := range notes {
		_, err := fmt.Fprintf(master, "nnote %d", i)
		require.NoError(t, err)
		_, err = master.WriteString("\r")
		require.NoError(t, err)
		for end := time.Now().Add(patience); saved() <= i; time.Sleep(5 * time.Millisecond) {
			require.True(t, time.Now().Before(end), "note %d was never saved", i)
		}
	}
	began := time.Now()
	require.NoError(t, cmd.Process.Signal(syscall.SIGTERM))
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case <-ended:
		require.Less(t, time.Since(began), patience/2)
	case <-time.After(patience):
		require.NoError(t, cmd.Process.Kill())
		t.Fatal("it never ended")
	}
	require.Equal(t, notes, saved())
}
