package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/checklist/boiler"
	"fettle/threads/quantity"
)

// stops are what keeps a test from passing.
func (t *TestSheet) stops(run *TestRun, blanks []Blank) []string {
	var list []string
	for _, f := range slices.Concat(t.Checks, run.Reading.Findings) {
		if f.Severity == checklist.Stop {
			list = append(list, f.Message)
		}
	}
	if len(t.Missing) > 0 {
		list = append(list, "Not typed in from the code: "+strings.ReplaceAll(strings.Join(t.Missing, ", "), "_", " ")+".")
	}
	switch {
	case len(run.Points) == 0:
		list = append(list, "No reading was taken.")
	case t.Target > 0 && !slices.ContainsFunc(run.Points, func(p TestPoint) bool { return p.reaches(t.Target) }):
		list = append(list, fmt.Sprintf("The gauge reached %s, not %s.", run.Reading.Highest, t.Target))
	case t.Plan.Hold > 0 && run.Reading.Held < t.Plan.Hold:
		list = append(list, fmt.Sprintf("Readings cover %s of the hold, not %s.", spanOf(run.Reading.Held), quantity.SpanString(t.Plan.Hold)))
	}
	for _, p := range run.Points {
		if p.tooEarly(run) {
			list = append(list, fmt.Sprintf("The reading at %s lies before the test began.", p.At.Format("15:04 on 2 Jan")))
		}
		if p.At.After(p.written) && !p.written.IsZero() {
			list = append(list, fmt.Sprintf("The reading at %s was written down before its time.", p.At.Format("15:04 on 2 Jan")))
		}
	}
	if over := run.Reading.HoldFrom.Add(t.Plan.Hold); run.Result == "pass" && len(run.Points) > 0 && run.Judged.At.Before(over) {
		list = append(list, fmt.Sprintf("The result was given before the hold was over, at %s.", over.Format("15:04 on 2 Jan")))
	}
	var faults []string
	for _, trial := range run.Trials {
		if trial.Shows {
			faults = append(faults, trial.Fault.ID)
		}
	}
	var register []boiler.Blank
	for _, b := range blanks {
		register = append(register, boiler.Blank{Tag: b.Tag, Where: b.Where, Removed: !b.Fitted, Intended: b.Stays})
	}
	if closing, err := boiler.CheckClosing(faults, register); err == nil {
		for _, f := range closing {
			if f.Severity == boiler.Stop {
				list = append(list, f.Message)
			}
		}
	}
	return list
}

// tooEarly says whether a reading bears a time before its test began; times are
// typed to the minute.
func (p *TestPoint) tooEarly(run *TestRun) bool {
	return !p.At.Equal(p.written) && p.At.Before(run.At.Truncate(time.Minute))
}

// structureOpen says which leaks of the structure, found in earlier tests,
// nobody has decided about: a finding made since that test began, and something
// done about it or a concession.
func structureOpen(before []TestRun, findings []Finding) []string {
	var list []string
	for i := range before {
		run := &before[i]
		decided := slices.ContainsFunc(findings, func(f Finding) bool {
			return !f.At.Before(run.At) && f.Disposition != nil && f.Disposition.Decision != AcceptIt
		})
		if decided {
			continue
		}
		for _, s := range run.Suspects() {
			if s.Kind == boiler.Structure && s.State == "found" {
				list = append(list, fmt.Sprintf("Test %d found %s (%s): record it as a finding and decide what is done about it.", i+1, s.ID, s.Path))
			}
		}
	}
	return list
}

// beforeTest says what is open of the steps that come before the pressure test:
// what the step of the test waits for, or every step before the one that
// watches the hold. Where the procedure marks neither, it is what is open of
// all of it, and marked is false.
func (g *gating) beforeTest() (open []string, marked bool) {
	var watch []string
	for _, step := range g.seen.filled.Steps() {
		if g.sheet(step) {
			marked = true
			for _, gate := range g.state.Steps[step.ID].Gates {
				if len(gate.Passed) == 0 && !gate.Soft && gate.Name != GateTest {
					open = append(open, step.ID+": "+gate.Text)
				}
			}
		}
		if step.Kind == "wait" && g.usesTest(step) {
			watch = append(watch, step.Needs...)
		}
	}
	if len(watch) == 0 {
		if marked {
			return open, true
		}
		for _, step := range g.seen.filled.Steps() {
			watch = append(watch, step.ID)
		}
	} else {
		marked = true
	}
	ahead := map[string]bool{}
	for len(watch) > 0 {
		id := watch[0]
		watch = watch[1:]
		if step := g.step[id]; step != nil && !ahead[id] {
			ahead[id] = true
			watch = append(watch, step.Needs...)
		}
	}
	var undone, holds []string
	for _, step := range g.seen.filled.Steps() {
		if !ahead[step.ID] || g.done(step.ID) {
			continue
		}
		undone = append(undone, step.ID)
		if step.Hold != "" && len(g.state.Steps[step.ID].Releases) == 0 {
			holds = append(holds, step.ID)
		}
	}
	if len(undone) > 0 {
		what := "before the hold"
		if !marked {
			what = "of the job"
		}
		open = append(open, fmt.Sprintf("%d of %d steps %s are not done: %s", len(undone), len(ahead), what, fewOf(undone)))
	}
	if len(holds) > 0 {
		open = append(open, "hold points not released: "+fewOf(holds))
	}
	return open, marked
}

// fewOf lists the first few names and says how many more there are.
func fewOf(list []string) string {
	const few = 6
	if len(list) <= few {
		return strings.Join(list, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(list[:few], ", "), len(list)-few)
}
