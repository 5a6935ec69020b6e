package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"
)

// bigJob writes a job of n entries by three devices: ticks, readings that
// replace each other now and then, notes. It returns the bytes of its logs.
func bigJob(b *testing.B, n int) (dir string, env Env, logs []byte) {
	dir = filepath.Join(b.TempDir(), "job")
	env = Env{Now: fixedClock, StateDir: filepath.Join(b.TempDir(), "state"), Person: "Ana"}
	proc := tap(b, tapProcedure)
	if _, err := Start(dir, proc, nil, "Bramble", env); err != nil {
		b.Fatal(err)
	}
	files := map[string]*bytes.Buffer{}
	prev, last := map[string]string{}, ""
	for i := range n {
		device := []string{"k7q2", "m3xd", "p9fw"}[i%3]
		e := Entry{
			V: 1, Seq: int64(i/3 + 1), N: int64(i + 2), Time: fixedClock().Add(time.Duration(i) * time.Minute).Format(time.RFC3339),
			By: []string{"Ana", "Tom", "Ruth"}[i%3], Step: fmt.Sprintf("stage-%d.step-%d", i%40, i%7), Prev: prev[device],
		}
		e.ID = fmt.Sprintf("%s-%d-%04x", device, e.Seq, i%65536)
		switch i % 4 {
		case 0:
			e.Kind = KindTick
		case 1, 2:
			e.Kind, e.Reading, e.Value, e.Unit = KindMeasure, "bore", fmt.Sprintf("%d.%02d", i%20, i%100), "mm"
			if last != "" && i%8 == 1 {
				e.Replaces = []string{last}
			}
			last = e.ID
		case 3:
			e.Kind, e.Text = KindNote, "the thread is clean, the seat has a ring at the outer edge"
		}
		line, err := encode(e)
		if err != nil {
			b.Fatal(err)
		}
		prev[device] = string(line[len(line)-2-sumDigits : len(line)-2])
		name := "log-" + device + "-aaaaaa.jsonl"
		if files[name] == nil {
			files[name] = &bytes.Buffer{}
		}
		files[name].Write(line)
		files[name].WriteByte('\n')
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data.Bytes(), 0o644); err != nil {
			b.Fatal(err)
		}
		logs = append(logs, data.Bytes()...)
	}
	return dir, env, logs
}

// Opening a job of 100,000 entries, against decoding and hashing the same bytes
// with the standard library in the same run.
func BenchmarkOpen(b *testing.B) {
	dir, env, logs := bigJob(b, 100_000)
	var bare, open time.Duration
	for b.Loop() {
		begun := time.Now()
		entries := make([]Entry, 0, 100_000)
		for line := range bytes.Lines(logs) {
			var e Entry
			if err := json.Unmarshal(line, &e); err != nil {
				b.Fatal(err)
			}
			sha256.Sum256(line)
			entries = append(entries, e)
		}
		bare += time.Since(begun)
		runtime.KeepAlive(entries)

		begun = time.Now()
		j, err := Open(dir, env)
		if err != nil {
			b.Fatal(err)
		}
		open += time.Since(begun)
		if n := len(j.Log()); n != 100_001 {
			b.Fatal(n)
		}
	}
	b.ReportMetric(float64(open)/float64(bare), "open/bare")
	b.ReportMetric(float64(open.Milliseconds())/float64(b.N), "ms/open")
}

// Saving one entry to a job of 1,000, against writing and syncing the same
// bytes to two open files in the same run.
func BenchmarkSave(b *testing.B) {
	dir, env, _ := bigJob(b, 1000)
	j, err := Open(dir, env)
	if err != nil {
		b.Fatal(err)
	}
	if _, err := j.Note("", "the first save makes the log"); err != nil {
		b.Fatal(err)
	}
	line, err := encode(j.Log()[500].Entry)
	if err != nil {
		b.Fatal(err)
	}
	var files [2]*os.File
	for i := range files {
		if files[i], err = os.OpenFile(filepath.Join(b.TempDir(), "bare"), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644); err != nil {
			b.Fatal(err)
		}
	}
	var bare, save time.Duration
	for b.Loop() {
		begun := time.Now()
		for _, f := range files {
			if _, err := f.Write(append(line, '\n')); err != nil {
				b.Fatal(err)
			}
			if err := f.Sync(); err != nil {
				b.Fatal(err)
			}
		}
		bare += time.Since(begun)
		begun = time.Now()
		if s, err := j.Note("cold", "the thread is clean"); err != nil || s.Where != Everywhere {
			b.Fatal(s, err)
		}
		save += time.Since(begun)
	}
	b.ReportMetric(float64(save)/float64(bare), "save/bare")
	b.ReportMetric(float64(save.Microseconds())/float64(b.N), "µs/save")
}

// Looking for new entries where there are none: what the screen does every few seconds.
func BenchmarkRefresh(b *testing.B) {
	dir, env, _ := bigJob(b, 10_000)
	j, err := Open(dir, env)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if changed, err := j.Refresh(); changed || err != nil {
			b.Fatal(changed, err)
		}
	}
}

// What the state costs the screen on a job of 10,000 entries.
func BenchmarkState(b *testing.B) {
	dir, env, _ := bigJob(b, 10_000)
	j, err := Open(dir, env)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		j.State()
	}
}

// Memory that an open job holds for each entry.
func BenchmarkMemory(b *testing.B) {
	const entries = 100_000
	dir, env, logs := bigJob(b, entries)
	size := len(logs)
	logs = nil
	var held uint64
	for b.Loop() {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		j, err := Open(dir, env)
		if err != nil {
			b.Fatal(err)
		}
		runtime.GC()
		runtime.ReadMemStats(&after)
		held = after.HeapAlloc - before.HeapAlloc
		runtime.KeepAlive(j)
	}
	runtime.KeepAlive(logs)
	b.ReportMetric(float64(held)/entries, "B/entry")
	b.ReportMetric(float64(size)/entries, "B/line")
}
