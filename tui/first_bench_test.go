//go:build linux

package tui

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"fettle/checklist/job"
)

// onTerminal is a program started on a terminal of its own.
type onTerminal struct {
	cmd    *exec.Cmd
	master *os.File
	heard  bytes.Buffer
}

func startOnTerminal(b *testing.B, bin, dir string) *onTerminal {
	b.Helper()
	master, slave := openTerminal(b)
	cmd := exec.Command(bin)
	cmd.Dir = dir
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.Env = []string{"TERM=xterm-256color", "LANG=C.UTF-8", "HOME=" + dir, "FETTLE_STATE=" + dir, "FETTLE_CONFIG=" + dir}
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	slave.Close()
	return &onTerminal{cmd: cmd, master: master}
}

// until reads what the program draws until the text has come.
func (o *onTerminal) until(b *testing.B, text string) {
	b.Helper()
	buf := make([]byte, 8192)
	for !bytes.Contains(o.heard.Bytes(), []byte(text)) {
		n, err := o.master.Read(buf)
		if err != nil {
			b.Fatal(err, o.heard.String())
		}
		o.heard.Write(buf[:n])
	}
}

// end stops the program and tells the processor time it has used.
func (o *onTerminal) end() time.Duration {
	_ = o.cmd.Process.Kill()
	_ = o.cmd.Wait()
	o.master.Close()
	return o.cmd.ProcessState.UserTime() + o.cmd.ProcessState.SystemTime()
}

// twoPrograms are the least program of the same library and ours, and a folder
// in which ours knows who is working.
func twoPrograms(b *testing.B) (bare, ours, dir string) {
	b.Helper()
	dir = b.TempDir()
	bare = filepath.Join(dir, "bare")
	if out, err := exec.Command("go", "build", "-o", bare, "./testdata/bare").CombinedOutput(); err != nil {
		b.Fatalf("%s: %v", out, err)
	}
	if err := job.SetPerson(job.Env{Now: time.Now, StateDir: dir}, "Ana"); err != nil {
		b.Fatal(err)
	}
	return bare, buildProgram(b), dir
}

func median(all []time.Duration) float64 {
	slices.Sort(all)
	return float64(all[len(all)/2].Microseconds()) / 1000
}

// From the start of the process to the first picture on the terminal, and to
// the first that lists the bundled procedures, beside the least program of the
// same library. The three take turns, so that all see the same machine; what
// is told are medians.
func BenchmarkFirstFrame(b *testing.B) {
	bare, ours, dir := twoPrograms(b)
	runs := []struct{ name, bin, text string }{
		{"bare", bare, "fettle"}, {"first", ours, "fettle"}, {"list", ours, "START A NEW JOB"},
	}
	took, cost := make([][]time.Duration, len(runs)), make([][]time.Duration, len(runs))
	for b.Loop() {
		for i, r := range runs {
			from := time.Now()
			p := startOnTerminal(b, r.bin, dir)
			p.until(b, r.text)
			took[i] = append(took[i], time.Since(from))
			cost[i] = append(cost[i], p.end())
		}
	}
	for i, r := range runs {
		b.ReportMetric(median(took[i]), r.name+"-ms")
		b.ReportMetric(median(cost[i]), r.name+"-cpu-ms")
	}
	b.ReportMetric(median(took[1])/median(took[0]), "first/bare")
	b.ReportMetric(median(took[2])/median(took[0]), "list/bare")
}

// Memory resident two seconds after the first picture, when nothing is being
// done, beside the least program of the same library.
func BenchmarkAtRest(b *testing.B) {
	bare, ours, dir := twoPrograms(b)
	for _, r := range []struct{ name, bin, text string }{{"bare", bare, "fettle"}, {"fettle", ours, "START A NEW JOB"}} {
		b.Run(r.name, func(b *testing.B) {
			var kB float64
			for b.Loop() {
				p := startOnTerminal(b, r.bin, dir)
				p.until(b, r.text)
				time.Sleep(2 * time.Second)
				status, err := os.ReadFile("/proc/" + strconv.Itoa(p.cmd.Process.Pid) + "/status")
				if err != nil {
					b.Fatal(err)
				}
				_, rest, _ := strings.Cut(string(status), "VmRSS:")
				if kB, err = strconv.ParseFloat(strings.Fields(rest)[0], 64); err != nil {
					b.Fatal(err)
				}
				p.end()
			}
			b.ReportMetric(kB/1024, "resident-MB")
		})
	}
}
