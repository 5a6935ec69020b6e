//go:build unix

package terminal

import (
	"errors"
	"io"
	"os"
	"time"

	"golang.org/x/sys/unix"
)

// terminalInput is the keyboard. It differs from the file it wraps in three
// ways: a read never ends inside an escape sequence whose rest is under way, an
// enter key that was held while the line stood still counts once at most, and
// the end of input (a closed window, a dropped line) is told to ended,
// since bubbletea would stop reading and live on.
type terminalInput struct {
	*os.File
	ended func()
	last  byte // of the read before
}

func OpenInput(f *os.File, ended func()) io.Reader {
	return &terminalInput{File: f, ended: ended}
}

func (t *terminalInput) Read(p []byte) (int, error) {
	// Half of p stays free for the rest of a sequence.
	n, err := t.File.Read(p[:max(1, len(p)/2)])
	if err != nil || n == 0 {
		t.ended()
		return 0, io.EOF
	}
	for n < len(p) {
		wait := RestWait(p[:n])
		if wait == 0 || !t.ready(wait) {
			break
		}
		m, err := t.File.Read(p[n:])
		if err != nil || m == 0 {
			break // the next read meets the same end
		}
		n += m
	}
	rest, last := Held(p[:n], t.last)
	t.last = last
	return len(rest), nil
}

// ready waits for input for at most d.
func (t *terminalInput) ready(d time.Duration) bool {
	fds := []unix.PollFd{{Fd: int32(t.Fd()), Events: unix.POLLIN}}
	for {
		n, err := unix.Poll(fds, int(d.Milliseconds()))
		if errors.Is(err, unix.EINTR) {
			continue
		}
		return err == nil && n > 0 && fds[0].Revents&unix.POLLIN != 0
	}
}
