package job

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// longRefit is a job of n steps, half of them done, with a finding decided and
// a test sheet begun.
func longRefit(t testing.TB, n int) *Job {
	var b strings.Builder
	b.WriteString("format = 2\nid = \"long\"\ntitle = \"Long\"\n[fasteners.screw]\nthread = \"4 BA\"\ncount = \"6\"\ncircle = \"52 mm\"\n[[stage]]\ntitle = \"Work\"\n")
	for i := range n {
		fmt.Fprintf(&b, "[[stage.step]]\nid = \"s%d\"\nkind = \"%s\"\ndo = \"Do it.\"\nparts = [\"screw\"]\nreading = [{ name = \"r\", ask = \"R\", kind = \"length\", unit = \"mm\", nominal = \"5\", within = \"±1\" }]\n", i, []string{"measure", "make", "inspect"}[i%3])
	}
	m := newMemory("/stick/club", "/home/ana")
	env := Env{Now: fixedClock, StateDir: memState, Person: "Ana", FS: m}
	j, err := Start(memJob, tap(t, b.String()), nil, "Bramble", env)
	require.NoError(t, err)
	for i := range n / 2 {
		must(j.Read(fmt.Sprintf("s%d", i), "r", "5"))
		must(j.Tick(fmt.Sprintf("s%d", i)))
	}
	must(j.Find(NewFinding{What: OtherThing, Text: "scratch"}))
	must(j.Dispose("1", NewDisposition{Decision: Rework, Text: "polish"}))
	return j
}

// How a job of 500 steps stands is asked after every key: it has to be well
// under a millisecond. The baseline copies the readings and ticks once.
func BenchmarkLongState(b *testing.B) {
	j := longRefit(b, 500)
	b.Run("copying", func(b *testing.B) {
		for range b.N {
			f := j.view().fold
			steps := map[string]StepState{}
			for id, s := range f.steps {
				readings := map[string][]ReadingValue{}
				for name, list := range s.readings {
					for _, rec := range list {
						readings[name] = append(readings[name], ReadingValue{Mark: mark(rec), Value: rec.Value})
					}
				}
				steps[id] = StepState{Ticks: marks(s.ticks), Readings: readings}
			}
		}
	})
	b.Run("state", func(b *testing.B) {
		for range b.N {
			j.State()
		}
	})
}
