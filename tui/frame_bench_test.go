//go:build linux

package tui

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
)

// longProcedure is a procedure of n steps, each with a caution and a reading.
func longProcedure(n int) []byte {
	var b strings.Builder
	b.WriteString("format = 2\nid = \"long\"\ntitle = \"A long procedure\"\nabout = \"Many steps.\"\n")
	for i := range n {
		if i%20 == 0 {
			fmt.Fprintf(&b, "\n[[stage]]\ntitle = \"Stage %d\"\n", i/20+1)
		}
		fmt.Fprintf(&b, "\n[[stage.step]]\nid = \"s%d\"\nkind = \"measure\"\ntitle = \"Measure number %d\"\n"+
			"do = \"Measure the spindle where the packing bears, in three places, and write the smallest down.\"\n"+
			"why = \"A spindle that has worn to a waist cannot be packed.\"\ncautions = [\"Wipe the anvils first.\"]\n"+
			"reading = [{ name = \"r%d\", ask = \"Smallest diameter\", kind = \"length\", unit = \"mm\", low = \"4\", high = \"5\" }]\n", i, i, i)
	}
	return []byte(b.String())
}

// A key press to a drawn frame on a job of 500 steps and many entries, at 160
// by 45: the step before and the step after, in turn. The processor's time, which
// other programs on the machine do not lengthen, is told beside the clock's.
func BenchmarkKeyToFrame(b *testing.B) {
	for _, entries := range []int{100, 10_000} {
		b.Run(fmt.Sprintf("entries=%d", entries), func(b *testing.B) {
			m := longJob(b, 500, entries)
			keys := []tea.Msg{tea.KeyMsg{Type: tea.KeyRight}, tea.KeyMsg{Type: tea.KeyLeft}}
			b.ReportAllocs()
			before := processor(b)
			for i := 0; b.Loop(); i++ {
				m.Update(keys[i%2])
				if len(m.View()) == 0 {
					b.Fatal("nothing drawn")
				}
			}
			b.ReportMetric(float64((processor(b)-before).Microseconds())/float64(b.N), "cpu-µs/op")
		})
	}
}

func longJob(tb testing.TB, steps, entries int) *model {
	tb.Helper()
	dir := tb.TempDir()
	now := time.Date(2026, 3, 1, 19, 0, 0, 0, time.UTC)
	env := job.Env{Now: func() time.Time { return now }, StateDir: filepath.Join(dir, "state"), Person: "Ana"}
	p, found := checklist.Read("long.toml", longProcedure(steps))
	if found.HasStop() {
		tb.Fatal(found)
	}
	j, err := job.Start(filepath.Join(dir, "jobs", "long"), p, nil, "Bramble", env)
	if err != nil {
		tb.Fatal(err)
	}
	for i := range entries {
		if _, err := j.Note(fmt.Sprintf("s%d", i%steps), "a note on the step"); err != nil {
			tb.Fatal(err)
		}
	}
	m := newModel(Options{Env: env, Still: true, Renderer: colourRenderer()})
	m.person = "Ana"
	m.open(m.keeper.see(j))
	m.Update(tea.WindowSizeMsg{Width: 160, Height: 45})
	m.Update(tea.KeyMsg{Type: tea.KeyEnter})
	return m
}
