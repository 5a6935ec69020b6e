//go:build linux

package tui

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// From the start of the process to the first picture on the terminal, beside
// the least program of the same library: run with -benchtime 50x and compare
// the two lines.
func BenchmarkFirstFrame(b *testing.B) {
	bare := filepath.Join(b.TempDir(), "bare")
	if out, err := exec.Command("go", "build", "-o", bare, "./testdata/bare").CombinedOutput(); err != nil {
		b.Fatalf("%s: %v", out, err)
	}
	for _, c := range []struct{ name, bin string }{{"bare", bare}, {"fettle", buildProgram(b)}} {
		b.Run(c.name, func(b *testing.B) {
			dir := b.TempDir()
			for b.Loop() {
				master, slave := openTerminal(b)
				cmd := exec.Command(c.bin)
				cmd.Dir = dir
				cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
				cmd.Env = []string{"TERM=xterm-256color", "LANG=C.UTF-8", "HOME=" + dir, "FETTLE_STATE=" + dir}
				cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
				if err := cmd.Start(); err != nil {
					b.Fatal(err)
				}
				slave.Close()
				var heard bytes.Buffer
				buf := make([]byte, 8192)
				// The first screen is home, or the question who is working.
				for !bytes.Contains(heard.Bytes(), []byte("fettle")) && !bytes.Contains(heard.Bytes(), []byte("Your name")) {
					n, err := master.Read(buf)
					if err != nil {
						b.Fatal(err, heard.String())
					}
					heard.Write(buf[:n])
				}
				b.StopTimer()
				_ = cmd.Process.Kill()
				_ = cmd.Wait()
				master.Close()
				b.StartTimer()
			}
		})
	}
}
