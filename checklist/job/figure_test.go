package job

import (
	"bytes"
	"fettle/checklist/paper"
	"fettle/checklist/workshop"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What was not known of a hole when it was found is added to the finding, and the
// advice follows; taken back, it lacks it again.
func TestAFigureIsAddedToAFinding(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(NewFinding{What: DamagedHole, Text: "pulled out", Step: "holes", Fastener: "screw", Number: 3}))
	lacks := func() bool {
		f, err := j.Finding("1")
		require.NoError(t, err)
		a, err := j.Advise(f, workshop.Tools{})
		require.NoError(t, err)
		require.Equal(t, len(a.Missing) == 0, len(a.Result.Options) > 0)
		return strings.Contains(strings.Join(a.Missing, " "), "largest pin")
	}
	require.True(t, lacks())
	must(j.AddFigure("1", "hole", "3.65 mm"))
	require.False(t, lacks())
	must(j.AddFigure("1", "hole", "3.7 mm")) // measured again
	f, err := j.Finding("1")
	require.NoError(t, err)
	require.Equal(t, "3.7 mm", f.Data["hole"])
	require.Equal(t, "Ana", f.Added["hole"].By)
	var page bytes.Buffer
	require.NoError(t, j.Record().WriteMarkdown(&page))
	require.Contains(t, page.String(), "hole 3.7 mm (added by Ana")
	must(j.Undo())
	f, _ = j.Finding("1")
	require.Equal(t, "3.65 mm", f.Data["hole"])
	must(j.Undo())
	require.True(t, lacks())
}

func TestAFigureThatCannotBeAdded(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(NewFinding{What: DamagedHole, Text: "pulled out", Step: "holes", Fastener: "screw", Number: 3}))
	must(j.Find(NewFinding{What: OtherThing, Text: "paint gone", Step: "holes"}))
	for _, c := range [][4]string{
		{"1", "hole", "wide", "hole"}, {"1", "hole", "-2 mm", "no size"}, {"1", "into", "cheese", "into"}, {"1", "depth", "", "depth"},
		{"1", "what", "leak", "means something else"}, {"1", "", "3", "name of a reading"}, {"2", "depth", "8 mm", "on no fastener"}, {"7", "depth", "8 mm", "finding"},
		{"1", "rock", "a\nb\x1b", "one line"},
	} {
		_, err := j.AddFigure(c[0], c[1], c[2])
		require.ErrorContains(t, err, c[3], c)
	}
	must(j.AddFigure("2", "bare metal", "30 mm"))
	f, err := j.Finding("2")
	require.NoError(t, err)
	require.Equal(t, "30 mm", f.Data["bare metal"])
}

// What was decided is worked out with the figure again.
func TestAFigureAfterTheDecision(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(NewFinding{What: DamagedHole, Text: "pulled out", Step: "holes", Fastener: "screw", Number: 3, Hole: "3.65 mm"}))
	must(j.Dispose("1", NewDisposition{Decision: Repair, Text: "up a size", Thread: "2 BA", Boiler: "no"}))
	shown := func() string {
		var text strings.Builder
		require.NoError(t, paper.WriteText(&text, j.Filled(), 200))
		return text.String()
	}
	before := shown()
	must(j.AddFigure("1", "hole", "4.05 mm"))
	require.NotEqual(t, before, shown(), "the hole is as wide as it is tapped: nothing to drill")
	must(j.Undo())
	require.Equal(t, before, shown())
}

func TestWhatUndoNamesOfAFigure(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(NewFinding{What: DamagedHole, Text: "pulled out", Step: "holes", Fastener: "screw", Number: 3}))
	must(j.AddFigure("1", "cover_hole", "4.5 mm"))
	what, _ := j.LastEntry()
	require.Equal(t, "figure cover hole of a finding: 4.5 mm by Ana", what)
}
