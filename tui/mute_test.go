//go:build linux

package tui

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

var program struct {
	once sync.Once
	dir  string
	err  error
}

// buildProgram builds the real program once for all tests that need it: what
// is initialised before what can only be seen there.
func buildProgram(t testing.TB) string {
	t.Helper()
	program.once.Do(func() {
		if program.dir, program.err = os.MkdirTemp("", "fettle-test-"); program.err != nil {
			return
		}
		cmd := exec.Command("go", "build", "-o", filepath.Join(program.dir, "fettle"), "fettle")
		var out []byte
		if out, program.err = cmd.CombinedOutput(); program.err != nil {
			program.err = &os.PathError{Op: string(out), Path: "fettle", Err: program.err}
		}
	})
	require.NoError(t, program.err)
	return filepath.Join(program.dir, "fettle")
}

func TestMain(m *testing.M) {
	if dir := os.Getenv(benchOnly); dir != "" {
		if err := asBench(dir); err != nil {
			println(err.Error())
			os.Exit(1)
		}
		os.Exit(0)
	}
	if bin := os.Getenv(slowLine); bin != "" {
		if err := asSlowLine(bin); err != nil {
			println(err.Error())
			os.Exit(1)
		}
		os.Exit(0)
	}
	// What a contributor has set for the own work is not what the tests are about.
	for _, name := range []string{"FETTLE_STATE", "FETTLE_JOBS", "FETTLE_CONFIG", "NO_COLOR", "TZ", "XDG_STATE_HOME", "XDG_CONFIG_HOME"} {
		os.Unsetenv(name)
	}
	code := m.Run()
	if program.dir != "" {
		os.RemoveAll(program.dir)
	}
	os.Exit(code)
}

// openTerminal makes a terminal on which nobody ever answers.
func openTerminal(t testing.TB) (master, slave *os.File) {
	t.Helper()
	master, slave, err := newTerminal(&unix.Winsize{Row: 24, Col: 80})
	require.NoError(t, err)
	t.Cleanup(func() { slave.Close(); master.Close() })
	return master, slave
}

// newTerminal makes a terminal of one size: what a person has before them, and
// what a program sees of it.
func newTerminal(size *unix.Winsize) (master, slave *os.File, err error) {
	if master, err = os.OpenFile("/dev/ptmx", os.O_RDWR, 0); err != nil {
		return nil, nil, err
	}
	fd := int(master.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		return nil, nil, err
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		return nil, nil, err
	}
	if slave, err = os.OpenFile("/dev/pts/"+strconv.Itoa(n), os.O_RDWR|syscall.O_NOCTTY, 0); err != nil {
		return nil, nil, err
	}
	return master, slave, unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, size)
}

// TestMuteTerminal guards the start-up query: on a terminal that does not
// answer, no command may wait for an answer or write escape codes.
func TestMuteTerminal(t *testing.T) {
	bin := buildProgram(t)
	for _, args := range [][]string{{"--help"}, {"thread", "M4"}, {"thread", "M4", "--json"}, {"nonsense"}} {
		piped := time.Now()
		out, _ := exec.Command(bin, args...).CombinedOutput()
		baseline := time.Since(piped)

		master, slave := openTerminal(t)
		cmd := exec.Command(bin, args...)
		cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
		cmd.Env = append(os.Environ(), "TERM=xterm-256color")
		cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
		began := time.Now()
		require.NoError(t, cmd.Start())
		slave.Close()
		var heard bytes.Buffer
		done := make(chan struct{})
		go func() { io.Copy(&heard, master); close(done) }() //nolint:errcheck // ends with EIO
		err := cmd.Wait()
		took := time.Since(began)
		<-done
		var exit *exec.ExitError
		if err != nil {
			require.ErrorAs(t, err, &exit)
		}
		// The query waits five seconds; half of that on top of ten baselines
		// leaves room for any busy machine.
		require.Less(t, took, 10*baseline+2500*time.Millisecond, "%v waited on a mute terminal", args)
		require.NotContains(t, heard.String(), "\x1b", "%v wrote escape codes", args)
		require.Equal(t, string(out), string(bytes.ReplaceAll(heard.Bytes(), []byte("\r\n"), []byte("\n"))), "%v", args)
	}
}

// TestNoScreen: without a terminal, or on one that knows only lines, the
// screen is refused with a plain message and the code for a wrong call.
func TestNoScreen(t *testing.T) {
	bin := buildProgram(t)
	refused := func(err error, out []byte) {
		t.Helper()
		var exit *exec.ExitError
		require.ErrorAs(t, err, &exit, "%s", out)
		require.Equal(t, 2, exit.ExitCode())
		require.Contains(t, string(out), "the bench screen needs")
		require.Contains(t, string(out), "fettle job status")
		require.NotContains(t, string(out), "\x1b")
	}
	out, err := exec.Command(bin).CombinedOutput()
	refused(err, out)
	for _, term := range []string{"dumb", ""} {
		master, slave := openTerminal(t)
		cmd := exec.Command(bin)
		cmd.Stdin, cmd.Stdout = slave, slave
		var messages bytes.Buffer
		cmd.Stderr = &messages
		cmd.Env = []string{"TERM=" + term, "HOME=" + t.TempDir()}
		err := cmd.Run()
		refused(err, messages.Bytes())
		slave.Close()
		heard, _ := io.ReadAll(master)
		require.Empty(t, heard, "TERM=%q", term)
	}
}

// TestInputEnds: a terminal whose input ends is left cleanly.
func TestInputEnds(t *testing.T) {
	bin := buildProgram(t)
	master, slave := openTerminal(t)
	cmd := exec.Command(bin)
	cmd.Dir = t.TempDir()
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.Env = []string{"TERM=xterm-256color", "LANG=C.UTF-8", "HOME=" + cmd.Dir, "FETTLE_STATE=" + cmd.Dir}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	require.NoError(t, cmd.Start())
	slave.Close()
	var heard bytes.Buffer
	buf := make([]byte, 4096)
	for !bytes.Contains(heard.Bytes(), []byte("START A NEW JOB")) {
		n, err := master.Read(buf)
		require.NoError(t, err, "%s", heard.String())
		heard.Write(buf[:n])
	}
	// Without a controlling terminal no signal comes: only the end of input.
	master.Close()
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	select {
	case err := <-ended:
		require.NoError(t, err)
	case <-time.After(10 * time.Second):
		cmd.Process.Kill()
		t.Fatal("the program lives on without a terminal")
	}
}
