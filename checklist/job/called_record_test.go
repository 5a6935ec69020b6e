package job

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// recordOf is the paper of a job.
func recordOf(t *testing.T, j *Job) string {
	t.Helper()
	_, err := j.Refresh()
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, j.Record().WriteMarkdown(&page))
	return page.String()
}

// The inspector reads one record: holds of called jobs, and their readings outside
// limits, stand in it, whoever released them.
func TestTheOneRecordHoldsWhatCalledJobsPassed(t *testing.T) {
	b := newBench(t)
	j := b.cover()
	source := strings.Replace(holeProcedure, `hold = "inspector"`, `hold = "inspector"
reading = [{ name = "wall", ask = "Wall left", kind = "length", unit = "mm", low = "2" }, { name = "lip", ask = "Lip left", kind = "length", unit = "mm", low = "1" }]`, 1)
	one := b.call(j, "holes", source, map[string]string{"thread": "M4"})
	must(one.Tick("look"))
	require.Contains(t, recordOf(t, j), "| Mend it (Save a hole) | hold point, inspector | NOT RELEASED |")
	must(one.Read("mend", "wall", "1"))
	must(one.Read("mend", "lip", "1.5"))
	must(one.Release("mend", "Ruth"))
	must(one.Tick("mend"))
	two := b.call(one, "drill", strings.Replace(oilProcedure, `kind = "make"`, `kind = "make"
hold = "owner"`, 1), nil)
	page := recordOf(t, j)
	require.Contains(t, page, "| Mend it (Save a hole) | hold point, inspector | Ruth, ")
	require.Contains(t, page, "| Mend it (Save a hole) | Wall left | 1 mm |")
	require.NotContains(t, page, "Lip left", "what lies within its limits stands in its own record")
	require.Contains(t, page, "(Drill a hole) | hold point, owner | NOT RELEASED |", "two deep")
	must(two.CallOff("started by mistake"))
	require.NotContains(t, recordOf(t, j), "(Drill a hole) | hold point")
}

// cutProcedure cuts a thread and puts a screw in.
const cutProcedure = `format = 2
id     = "save-hole"
title  = "Save a hole"

[settings.thread]
ask  = "Thread"
kind = "thread"

[fasteners.new]
thread = "${thread}"
depth  = "8 mm"
into   = "gunmetal"
count  = "1"
length = "12 mm"
cover  = "4 mm"
grade  = "A2-70"

[[stage]]
title = "Work"

[[stage.step]]
id   = "drill"
kind = "make"
parts = ["new"]
do   = "Drill it."

[[stage.step]]
id   = "tap"
kind = "make"
parts = ["new"]
do   = "Tap it."
`

// Taps and drills for a thread that a called job has cut are not asked for again;
// one such job stands for one hole.
func TestNothingIsBroughtForAThreadThatIsCut(t *testing.T) {
	b := newBench(t)
	source, err := os.ReadFile("../../testdata/refit/dome-cover.toml")
	require.NoError(t, err)
	calls := strings.Replace(string(source), `title = "Try every hole"`, `title = "Try every hole"
call = { procedure = "save-hole", ask = "a hole does not hold" }`, 1)
	j, err := Start(memJob, tap(t, calls), map[string]string{"code": "Club code", "edition": "2018", "multiple": "1.5", "hold_time": "10 min"}, "Bramble", b.env)
	require.NoError(t, err)
	must(j.Read("cold", "zero", "yes"))
	must(j.Release("cold", "Olga"))
	must(j.Tick("cold"))
	must(j.Tick("off"))
	wants := func() int {
		_, err := j.Refresh()
		require.NoError(t, err)
		n := 0
		list := j.Needs()
		for _, need := range list.Open() {
			if need.What == "2 BA taps: taper, second, plug" {
				n++
			}
		}
		return n
	}
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	require.Equal(t, 1, wants())
	inside := b.call(j, "holes", cutProcedure, map[string]string{"thread": "2 BA"})
	must(inside.Tick("drill"))
	require.Equal(t, 1, wants(), "drilled is not tapped")
	must(inside.Tick("tap"))
	require.Equal(t, 0, wants())
	again := pulledOut("3.65")
	again.Number = 5
	must(j.Find(again))
	must(j.Dispose("2", upASize()))
	require.Equal(t, 1, wants(), "another hole is another job")
	other := b.call(j, "holes", cutProcedure, map[string]string{"thread": "M6"})
	finish(t, other)
	require.Equal(t, 1, wants(), "another thread")
}

// A figure that was typed alone has its unit on paper.
func TestUnitsOfTheSheetOnPaper(t *testing.T) {
	_, j := readyForTest(t)
	for line, value := range map[string]string{"diameter": "125", "wall": "3.0", "pump_bore": "9,5 mm", "ambient": "17", "working_pressure": "90 psi"} {
		must(j.Sheet(line, value))
	}
	page := recordOf(t, j)
	for _, want := range []string{"| Barrel diameter | 125 mm |", "| Barrel wall | 3.0 mm |", "| Pump bore | 9,5 mm |", "| Air temperature | 17 °C |"} {
		require.Contains(t, page, want)
	}
}
