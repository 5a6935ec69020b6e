//go:build linux

package tui

import (
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"fettle/checklist/job"
)

// quiet is how long nothing has to come until a picture counts as drawn.
const quiet = 150 * time.Millisecond

// press types keys and counts the bytes that come back.
func (o *onTerminal) press(b *testing.B, keys string) int {
	b.Helper()
	if _, err := o.master.WriteString(keys); err != nil {
		b.Fatal(err)
	}
	return o.drained(b)
}

// drained reads until nothing comes any more.
func (o *onTerminal) drained(b *testing.B) (n int) {
	b.Helper()
	buf := make([]byte, 65536)
	for {
		fds := []unix.PollFd{{Fd: int32(o.master.Fd()), Events: unix.POLLIN}}
		if ready, err := unix.Poll(fds, int(quiet.Milliseconds())); err != nil || ready == 0 {
			return n
		}
		got, err := o.master.Read(buf)
		if err != nil {
			b.Fatal(err)
		}
		n += got
	}
}

// What a key costs on a slow line: the bytes that the program sends until the
// picture stands, at two sizes, in the refit of the dome cover.
func BenchmarkBytesPerKey(b *testing.B) {
	for _, size := range []struct {
		name string
		w, h uint16
	}{{"80x24", 80, 24}, {"160x45", 160, 45}} {
		b.Run(size.name, func(b *testing.B) {
			bytes := map[string]int{}
			for b.Loop() {
				dir := b.TempDir()
				env := job.Env{Now: time.Now, StateDir: dir}
				if err := job.SetPerson(env, "Ana"); err != nil {
					b.Fatal(err)
				}
				layRefit(b, filepath.Join(dir, "jobs", "bramble"), env)
				o := startOnTerminal(b, buildProgram(b), dir)
				if err := unix.IoctlSetWinsize(int(o.master.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: size.h, Col: size.w}); err != nil {
					b.Fatal(err)
				}
				o.until(b, "JOBS UNDER WAY")
				o.drained(b)
				for _, k := range []struct{ name, keys string }{
					{"open", "\r"}, {"next-step", "\x1b[C"}, {"step-back", "\x1b[D"}, {"note", "n"}, {"letter", "w"}, {"again", "a"},
					{"save", "\r"}, {"look-up", "t"}, {"look-up-2", "2"}, {"look-up-ba", "ba"}, {"back", "\x1b"},
					{"list", "s"}, {"down", "j"}, {"list-back", "\x1b"}, {"finding", "d"}, {"choice-down", "\x1b[B"}, {"finding-back", "\x1b"},
				} {
					bytes[k.name] = o.press(b, k.keys)
				}
				bytes["idle-6s"] = 0
				time.Sleep(6 * time.Second)
				bytes["idle-6s"] = o.drained(b)
				o.end()
			}
			for name, n := range bytes {
				b.ReportMetric(float64(n), name)
			}
		})
	}
}
