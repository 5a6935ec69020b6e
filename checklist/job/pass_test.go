package job

import (
	"fettle/checklist/paper"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

func lastTest(j *Job) *TestRun {
	sheet := j.State().Test
	return sheet.Last()
}

// A hold takes its time: no reading is later than now or earlier than its
// test, and no pass comes before the hold is over, by readings and by the clock.
func TestAHoldTakesItsTime(t *testing.T) {
	b, j := readyForTest(t)
	begun := b.now
	point := func(bar string, at time.Time) error {
		_, _, err := j.Point(NewPoint{Pressure: bar, At: at})
		return err
	}
	require.NoError(t, point("9.31 bar", time.Time{}))
	require.ErrorContains(t, point("9.31 bar", begun.Add(time.Minute)), "has not come yet")
	require.ErrorContains(t, point("9.31 bar", begun.Add(10*time.Minute)), "has not come yet")
	require.ErrorContains(t, point("5 bar", begun.Add(-26*time.Minute)), "before this test began")
	_, err := j.Result("pass", "Ruth", "ok")
	require.ErrorContains(t, err, "Readings cover 0 min")

	// Another program may write what this one refuses: it does not pass either.
	run := lastTest(j).ID
	raw := func(e Entry) {
		e.By, e.About = "Eve", run
		_, err := j.writer.save(func(bool) (Entry, error) { return e, nil }, j.look)
		require.NoError(t, err)
	}
	raw(Entry{Kind: KindPoint, Value: "9.31 bar", Data: map[string]string{"at": begun.Add(10 * time.Minute).Format(time.RFC3339)}})
	_, err = j.Result("pass", "Ruth", "ok")
	require.ErrorContains(t, err, "written down before its time")
	raw(Entry{Kind: KindResult, Value: "pass"})
	last := lastTest(j)
	require.False(t, last.Passed)
	require.Contains(t, last.Stops[len(last.Stops)-1], "before the hold was over")
}

// A clock put back does not shorten a hold.
func TestTheClockShortensNoHold(t *testing.T) {
	b, j := readyForTest(t)
	for range 2 {
		_, _, err := j.Point(NewPoint{Pressure: "9.31 bar"})
		require.NoError(t, err)
		b.now = b.now.Add(10 * time.Minute)
	}
	b.now = b.now.Add(-15 * time.Minute)
	_, err := j.Result("pass", "Ruth", "ok")
	require.ErrorContains(t, err, "the hold is not over before")
	b.now = b.now.Add(15 * time.Minute)
	must(j.Result("pass", "Ruth", "ok"))
	require.True(t, lastTest(j).Passed)
}

// What was lost in the hold is said at the pass and stays on the record. What
// is let off afterwards is not lost.
func TestWhatTheHoldLost(t *testing.T) {
	b, j := readyForTest(t)
	for _, bar := range []string{"9.31 bar", "9.3 bar", "4 bar", "0 bar"} {
		_, _, err := j.Point(NewPoint{Pressure: bar})
		require.NoError(t, err)
		b.now = b.now.Add(10 * time.Minute)
	}
	reading := lastTest(j).Reading
	require.InDelta(t, 0.01, reading.Drop.Bar(), 1e-9)
	require.Equal(t, 10*time.Minute, reading.Held)
	saved := must(j.Result("pass", "Ruth", "ok"))
	require.Contains(t, saved.Said, "0.01 bar was lost in the hold")
	require.Contains(t, lastTest(j).Warned, "0.01 bar was lost in the hold")

	_, j = readyForTest(t)
	for _, bar := range []string{"9.31 bar", "0 bar"} {
		_, _, err := j.Point(NewPoint{Pressure: bar})
		require.NoError(t, err)
	}
	require.Zero(t, lastTest(j).Reading.Drop, "let off, not lost")
	_, err := j.Result("pass", "Ruth", "ok")
	require.ErrorContains(t, err, "Readings cover 0 min")
}

// A reading counts as the target when the target, written as finely, is no more.
func TestReachedAsReadOffTheGauge(t *testing.T) {
	for text, want := range map[string]bool{"12.4 bar": true, "12,4 bar": true, "180 psi": true, "12.41 bar": true, "12.40 bar": false, "12.39 bar": false, "12.3 bar": false, "12 bar": false, "179 psi": false, "13 bar": true} {
		p, ok := pointOf(&record{Entry: Entry{Kind: KindPoint, Value: text}})
		require.True(t, ok)
		target, err := quantity.ParsePressure("180 psi")
		require.NoError(t, err)
		require.Equal(t, want, p.reaches(target), text)
	}
}

func hydraulicJob(b *bench) *Job {
	source, err := os.ReadFile("../../recipes/hydraulic.toml")
	require.NoError(b.t, err)
	j, err := Start(memJob, tap(b.t, string(source)), map[string]string{
		"code": "invented code", "edition": "1st", "certifier": "Ruth", "pressure": "90 psi",
		"multiple": "2", "target": "180 psi", "hold_time": "20 min", "drop_allowed": "0 bar",
	}, "Bramble", b.env)
	require.NoError(b.t, err)
	must(j.Sheet("operator", "Ana"))
	must(j.Sheet("inspector", "Ruth"))
	return j
}

// A boiler whose steps before the test are not done does not pass it.
func TestAPassLooksAtTheStepsBeforeIt(t *testing.T) {
	b := newBench(t)
	j := hydraulicJob(b)
	begun := must(j.BeginTest("due"))
	require.Contains(t, begun.Said, "papers")
	require.Contains(t, begun.Said, "hold points not released: open-points, agree, structure")
	require.Contains(t, lastTest(j).Open, "structure")
	var last Saved
	for range 2 {
		var err error
		last, _, err = j.Point(NewPoint{Pressure: "180 psi"})
		require.NoError(t, err)
		b.now = b.now.Add(20 * time.Minute)
	}
	require.Contains(t, last.Said, "above the working pressure")
	_, err := j.Result("pass", "Ruth", "ok")
	require.ErrorContains(t, err, "steps before the hold are not done")
	require.ErrorContains(t, err, "structure")
	must(j.Result("fail", "Ruth", "stopped"))
}

// A leak of the structure in an earlier test is not forgotten in the next.
func TestAStructuralLeakIsDecidedAbout(t *testing.T) {
	b := newBench(t)
	j := hydraulicJob(b)
	must(j.BeginTest("due"))
	must(j.Try("F16", true, "drips on the grate"))
	must(j.Result("fail", "Ruth", "weeps"))
	b.now = b.now.Add(time.Hour)
	_, err := j.BeginTest("again")
	require.ErrorContains(t, err, "(F16): drips on the grate")
	require.True(t, j.State().Findings[0].Structure)
	_, err = j.Dispose("1", NewDisposition{Decision: AcceptIt, Text: "fine"})
	require.ErrorContains(t, err, "is not left as it is", "accepting is no repair")
	must(j.Dispose("1", NewDisposition{Decision: Rework, Text: "tubes expanded again"}))
	must(j.BeginTest("again"))
	require.NotContains(t, strings.Join(lastTest(j).Stops, " "), "F16")
}

// A stripped hole is not fine as it is: it is saved, or somebody allows it.
func TestAStrippedHoleIsNotAccepted(t *testing.T) {
	accept := NewDisposition{Decision: AcceptIt, Text: "fine as it is"}
	for _, c := range []struct{ hole, wrong string }{{"3.7", "no longer holds"}, {"", "not known"}, {"2.95", ""}} {
		b := newBench(t)
		j := b.refit(nil)
		n := pulledOut(c.hole)
		finding := must(j.Find(n)).Entry.ID
		_, err := j.Dispose(finding, accept)
		if c.wrong == "" {
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, c.wrong)
		must(j.Dispose(finding, NewDisposition{Decision: Concession, Text: "until winter", Allowed: "Ruth"}))
	}
}

// Two readings that differ are named when the step is ticked, and what is less
// than nothing is no reading.
func TestReadingsThatDifferAreSaidAtTheTick(t *testing.T) {
	b := newBench(t)
	j := b.start()
	must(j.Tick("cold"))
	_, err := j.Read("measure", "bore", "-4")
	require.ErrorContains(t, err, "less than nought")
	must(j.Read("measure", "bore", "6.02"))
	require.NoError(t, readApart(b, j))
	saved := must(j.Tick("measure"))
	require.Contains(t, saved.Said, "6.02 mm by Ana")
	require.Contains(t, saved.Said, "by Tom")
	require.NotContains(t, saved.Said, "latest")
}

// readApart enters another bore at the same place in the job as the last one.
func readApart(b *bench, j *Job) error {
	_, err := j.writer.save(func(bool) (Entry, error) {
		return Entry{Kind: KindMeasure, By: "Tom", Step: "measure", Reading: "bore", Value: "6.05", Unit: "mm"}, nil
	}, j.look)
	return err
}

// A bigger thread is not drilled before the hold at which it is decided.
func TestMetalIsCutAfterTheHoldOverIt(t *testing.T) {
	source, err := os.ReadFile("../../recipes/top-feed.toml")
	require.NoError(t, err)
	b := newBench(t)
	j, err := Start(memJob, tap(t, string(source)), map[string]string{"pressure": "90 psi", "test_pressure": "100 psi"}, "Bramble", b.env)
	require.NoError(t, err)
	finding := must(j.Find(NewFinding{What: DamagedHole, Text: "stripped", Step: "holes", Fastener: "screws", Number: 3, Hole: "3.7", Depth: "8 mm"})).Entry.ID
	must(j.Dispose(finding, NewDisposition{Decision: Repair, Text: "up a size", Thread: "2 BA", Boiler: "no"}))
	found := false
	for _, step := range j.Filled().Steps() {
		if step.ID == "screws-3-look" {
			found = true
			require.Contains(t, step.Needs, "decide")
		}
	}
	require.True(t, found)
}

// What is bought is called what it is, and a fastener shows the name that a
// finding on it wants.
func TestFastenersBearTheirNames(t *testing.T) {
	source, err := os.ReadFile("../../recipes/top-feed.toml")
	require.NoError(t, err)
	b := newBench(t)
	j, err := Start(memJob, tap(t, string(source)), map[string]string{"pressure": "90 psi", "test_pressure": "100 psi"}, "Bramble", b.env)
	require.NoError(t, err)
	nuts := false
	for _, need := range j.Needs().Items {
		nuts = nuts || strings.HasPrefix(need.What, "Nuts 5/16 x 32 ME")
		require.NotContains(t, need.What, "Screws 5/16 x 32 ME")
	}
	require.True(t, nuts)
	var shown strings.Builder
	require.NoError(t, paper.WriteText(&shown, j.Filled(), 200))
	require.Contains(t, shown.String(), "fastener screws)")
}

// walkTo ticks every step before the one named, as it comes: holds released,
// readings within their limits, the clock past every wait.
func walkTo(b *bench, j *Job, id string) {
	b.t.Helper()
	for _, step := range j.Filled().Steps() {
		if step.ID == id {
			return
		}
		if j.State().Steps[step.ID].Status == Done {
			continue
		}
		if step.Kind == "wait" && step.Wait > 0 && !usesTest(j.Filled(), step) {
			must(j.Begin(step.ID, NewBegin{}))
			b.now = b.now.Add(step.Wait)
			must(j.SettleClock(b.now))
		}
		for _, r := range step.Readings {
			value := "0"
			switch {
			case r.Nominal.Given:
				value, _, _ = strings.Cut(r.Nominal.Text, " (")
			case r.Low.Given && r.Low.Value > 0:
				value, _, _ = strings.Cut(r.Low.Text, " (")
			case r.Unit == "text":
				value = "G-17"
			}
			must(j.Read(step.ID, r.Name, value))
		}
		if step.Hold != "" {
			must(j.Release(step.ID, "Ruth"))
		}
		_, err := j.Tick(step.ID)
		require.NoError(b.t, err, step.ID)
	}
}

// The stages of a hydraulic test are ticked by its sheet: each has its reading,
// the last one reaches the test pressure, the hold is covered, the end has passed.
func TestTheSheetTicksTheStages(t *testing.T) {
	b := newBench(t)
	j := hydraulicJob(b)
	blocked := func(id, why string) {
		t.Helper()
		_, err := j.Tick(id)
		require.ErrorContains(t, err, why, id)
	}
	point := func(text string) {
		t.Helper()
		_, _, err := j.Point(NewPoint{Pressure: text})
		require.NoError(t, err)
	}
	walkTo(b, j, "quarter")
	blocked("quarter", "no test is on the sheet yet")
	require.Equal(t, "quarter", j.State().Next)
	require.NotContains(t, must(j.BeginTest("due")).Said, "result", "what comes after the hold does not stand before it")
	blocked("quarter", "no reading of this stage, at 45 psi (3.1 bar), is on the test sheet")
	point("7 psi") // the first look round is no stage
	blocked("quarter", "no reading of this stage, at 45 psi (3.1 bar)")
	point("44 psi")
	must(j.Tick("quarter"))
	point("50 psi")
	blocked("half", "no reading of this stage, at 90 psi (6.21 bar)")
	point("90 psi")
	walkTo(b, j, "working")
	must(j.Read("working", "wet_working", "0")) // half of twice the working pressure: one reading is both
	must(j.Tick("working"))
	walkTo(b, j, "test-pressure")
	point("170 psi")
	blocked("test-pressure", "The gauge reached")
	point("180 psi")
	must(j.Tick("test-pressure"))
	b.now = b.now.Add(20 * time.Minute)
	blocked("hold-time", "Readings cover 0 min")
	point("180 psi")
	must(j.Tick("hold-time"))
	_, err := j.Result("pass", "Ruth", "ok")
	require.ErrorContains(t, err, "result: first do blanks-off")
	walkTo(b, j, "result")
	must(j.Read("result", "certificate", "17"))
	blocked("result", "the last test has not passed")
	must(j.Result("pass", "Ruth", "ok"))
	must(j.Tick("result"))
	state := j.State()
	require.Equal(t, state.Total, state.Done)
}

// Stages at pressures of their own want readings of their own.
func TestEachStageWantsItsOwnReading(t *testing.T) {
	b := newBench(t)
	source, err := os.ReadFile("../../recipes/hydraulic.toml")
	require.NoError(t, err)
	j, err := Start(memJob, tap(t, string(source)), map[string]string{
		"code": "invented code", "edition": "1st", "certifier": "Ruth", "operator": "Ana",
		"multiple": "1.5", "target": "135 psi", "hold_time": "20 min", "drop_allowed": "0 bar",
	}, "Bramble", b.env)
	require.NoError(t, err)
	walkTo(b, j, "quarter")
	must(j.BeginTest("due"))
	for _, text := range []string{"34 psi", "68 psi"} {
		_, _, err := j.Point(NewPoint{Pressure: text})
		require.NoError(t, err)
	}
	walkTo(b, j, "working")
	must(j.Read("working", "wet_working", "0"))
	_, err = j.Tick("working")
	require.ErrorContains(t, err, "no reading of this stage, at 90 psi (6.21 bar)")
	_, _, err = j.Point(NewPoint{Pressure: "90 psi"})
	require.NoError(t, err)
	must(j.Tick("working"))
}

// Above the alarm no stage is ticked; a test that failed takes its stages back,
// and the next one climbs again.
func TestAFailedTestIsClimbedAgain(t *testing.T) {
	b := newBench(t)
	j := hydraulicJob(b)
	walkTo(b, j, "quarter")
	must(j.BeginTest("due"))
	for _, text := range []string{"45 psi", "90 psi"} {
		_, _, err := j.Point(NewPoint{Pressure: text})
		require.NoError(t, err)
	}
	must(j.Tick("quarter"))
	_, _, err := j.Point(NewPoint{Pressure: "192 psi"})
	require.NoError(t, err)
	_, err = j.Tick("half")
	require.ErrorContains(t, err, "above the alarm")
	require.NotEqual(t, Done, j.State().Steps["quarter"].Status)
	must(j.Result("fail", "Ruth", "pumped over"))
	_, err = j.Tick("half")
	require.Error(t, err)
	require.NotEqual(t, Done, j.State().Steps["quarter"].Status)
	must(j.BeginTest("again"))
	require.NotEqual(t, Done, j.State().Steps["quarter"].Status)
	_, _, err = j.Point(NewPoint{Pressure: "45 psi"})
	require.NoError(t, err)
	require.NotEqual(t, Done, j.State().Steps["quarter"].Status, "its tick is of the test before")
	must(j.Tick("quarter"))
	require.Equal(t, Done, j.State().Steps["quarter"].Status)
}
