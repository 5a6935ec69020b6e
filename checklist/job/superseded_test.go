package job

import (
	"bytes"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

func stepIDs(j *Job) (ids []string) {
	for _, s := range j.Filled().Steps() {
		ids = append(ids, s.ID)
	}
	return ids
}

// Two decisions about one hole: nobody drills for the thread that is not to be
// any more. What was ticked for it stays in the history, and counts again when
// the later decision is taken back.
func TestALaterDecisionMakesTheStepsOfTheEarlierIdle(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	first := []string{"screw-3-look", "screw-3-room", "screw-3-tap", "screw-3-gauge", "screw-3-cover-hole", "screw-3-mark"}
	require.Equal(t, first, j.State().Findings[0].Disposition.Steps)
	must(j.Read("cold", "zero", "yes"))
	must(j.Release("cold", "Olga"))
	must(j.Tick("cold"))
	must(j.Tick("off"))
	must(j.Read("holes", "bad", "1"))
	must(j.Tick("holes"))
	lookAndMeasure(j, "screw-3")
	must(j.Read("screw-3-tap", "drilled", "4.0"))
	must(j.Tick("screw-3-tap"))
	before := j.State()

	// It strips at the gauge.
	again := pulledOut("4.3")
	again.Step = "screw-3-gauge"
	must(j.Find(again))
	require.Subset(t, stepIDs(j), first, "found is not decided")
	decided := must(j.Dispose("2", NewDisposition{Decision: Repair, Text: "up again", Thread: "M5", Boiler: "no"}))
	state := j.State()
	for _, id := range first {
		require.NotContains(t, stepIDs(j), id)
		require.Contains(t, stepIDs(j), id+"-again")
	}
	require.Equal(t, before.Total, state.Total)
	d := state.Findings[0].Disposition
	require.Empty(t, d.Steps)
	require.Equal(t, 2, d.Later)
	require.Len(t, d.Idle, 6)
	require.Equal(t, "screw-3-tap", d.Idle[2].ID)
	require.Equal(t, "Ana", d.Idle[2].Ticks[0].By)
	require.Empty(t, d.Idle[3].Ticks)
	require.Zero(t, state.Findings[1].Disposition.Later)
	// They stand where those stood: behind the step at which the first was found.
	at := slices.Index(stepIDs(j), "holes")
	require.Equal(t, "screw-3-look-again", stepIDs(j)[at+1])
	require.Equal(t, Todo, state.Steps["screw-3-look-again"].Status)
	var page bytes.Buffer
	require.NoError(t, j.Record().WriteMarkdown(&page))
	require.Contains(t, page.String(), "No longer needed")
	require.Contains(t, page.String(), "had been done: Ana")

	// Taken back, the first stands again with its tick and its reading.
	must(j.UndoEntry(decided.Entry.ID))
	state = j.State()
	require.Equal(t, first, state.Findings[0].Disposition.Steps)
	require.Zero(t, state.Findings[0].Disposition.Later)
	require.Equal(t, Done, state.Steps["screw-3-tap"].Status)
	require.Equal(t, before.Steps["screw-3-tap"], state.Steps["screw-3-tap"])
}

// Of two decisions about one hole the one that was made later counts, whichever
// was found first.
func TestTheOrderOfDecisionsCounts(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	must(j.Find(pulledOut("4.3")))
	must(j.Dispose("2", NewDisposition{Decision: Repair, Text: "up", Thread: "M5", Boiler: "no"}))
	must(j.Dispose("1", NewDisposition{Decision: Replace, Text: "better metal", Grade: "A4-70", Boiler: "no"}))
	part, ok := partOf(j.Filled().Fasteners, "screw_3")
	require.True(t, ok)
	thread, _ := partFigure(part, "thread")
	require.Equal(t, "M5", thread.Text, "who asks for another grade keeps the thread")
	grade, _ := partFigure(part, "grade")
	require.Contains(t, grade.Text, "A4-70")
	require.Equal(t, 1, j.State().Findings[1].Disposition.Later)

	// And another length keeps both.
	must(j.Find(NewFinding{What: OtherThing, Text: "a thread short", Step: "holes", Fastener: "screw", Number: 3}))
	must(j.Dispose("3", NewDisposition{Decision: Replace, Text: "longer", Length: "14 mm", Boiler: "no"}))
	part, _ = partOf(j.Filled().Fasteners, "screw_3")
	for key, want := range map[string]string{"thread": "M5", "grade": "A4-70", "length": "14 mm"} {
		is, _ := partFigure(part, key)
		require.Contains(t, is.Text, want)
	}
}

// A thread of the new size that is cleaned once more was cut: what was asked for
// its size stays.
func TestCleaningTheNewThreadKeepsItsSteps(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	must(j.Find(pulledOut("4.05")))
	must(j.Dispose("2", NewDisposition{Decision: Rework, Text: "cleaned", Thread: "2 BA", Boiler: "no"}))
	require.Len(t, j.State().Findings[0].Disposition.Steps, 6)
	require.Equal(t, []string{"screw-3-tap-again", "screw-3-gauge-again"}, j.State().Findings[1].Disposition.Steps)
	must(j.Find(pulledOut("4.05")))
	must(j.Dispose("3", NewDisposition{Decision: Rework, Text: "cleaned", Thread: "2 BA", Boiler: "no"}))
	require.Equal(t, 3, j.State().Findings[1].Disposition.Later, "once is enough")
}

// Where the thread stays, the work on it stays, and so does the inspector's hold.
func TestAnotherGradeLeavesTheDrilling(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	d := upASize()
	d.Boiler = "" // nobody said: the inspector is asked
	must(j.Dispose("1", d))
	require.Equal(t, "screw-3-inspector", j.State().Findings[0].Disposition.Steps[2])
	must(j.Find(NewFinding{What: OtherThing, Text: "the bar was brass", Step: "holes", Fastener: "screw", Number: 3}))
	must(j.Dispose("2", NewDisposition{Decision: Replace, Text: "other bar", Grade: "A4-70"}))
	state := j.State()
	require.Equal(t, []string{"screw-3-look", "screw-3-inspector", "screw-3-tap", "screw-3-gauge"}, state.Findings[0].Disposition.Steps)
	require.Equal(t, Blocked, state.Steps["screw-3-tap"].Status)
	require.True(t, slices.ContainsFunc(j.Filled().Step("screw-3-tap").Needs, func(id string) bool { return id == "screw-3-inspector" }))
}

// Other holes and other work have nothing to do with it.
func TestADecisionElsewhereMakesNothingIdle(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	other := pulledOut("3.65")
	other.Number = 4
	must(j.Find(other))
	must(j.Dispose("2", upASize()))
	must(j.Find(NewFinding{What: Sheared, Text: "stub in the hole", Step: "holes", Fastener: "screw", Number: 5}))
	must(j.Dispose("3", NewDisposition{Decision: Rework, Text: "drilled out", Boiler: "no"}))
	hole := pulledOut("3.65")
	hole.Number = 5
	must(j.Find(hole))
	must(j.Dispose("4", upASize()))
	for _, f := range j.State().Findings {
		require.Zero(t, f.Disposition.Later, f.Order)
		require.NotEmpty(t, f.Disposition.Steps, f.Order)
	}
	// A concession that is given later leaves all as it is.
	must(j.Find(pulledOut("4.3")))
	must(j.Dispose("5", NewDisposition{Decision: Concession, Text: "as it is", Allowed: "Ruth"}))
	require.Len(t, j.State().Findings[0].Disposition.Steps, 6)
	require.Equal(t, checklist.Change{}, j.view().changed.now(&Finding{Fastener: "screw", Number: 1}))
}
