package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// overshootRule is the rule of a reading above the test pressure.
const overshootRule = "overshoot"

// testStops are what keeps a test from passing, by the sheet with its own figures.
func (j *Job) testStops(t *TestSheet, run *TestRun, blanks []Blank) []string {
	var list []string
	for _, f := range slices.Concat(t.Checks, run.Reading.Findings) {
		if f.Severity == check.Stop && (j.keeps(RuleSheetStop) && f.Rule != overshootRule || f.Rule == overshootRule && j.keeps(RuleAlarm)) {
			list = append(list, f.Message)
		}
	}
	if len(t.Missing) > 0 && j.keeps(RuleCodeTyped) {
		list = append(list, "Not typed in from the code: "+strings.ReplaceAll(strings.Join(t.Missing, ", "), "_", " ")+".")
	}
	list = append(list, j.notHeld(t, run)...)
	if text := run.doubted(); text != "" {
		list = append(list, text)
	}
	list = append(list, j.mistimed(run)...)
	if over := run.Reading.HoldFrom.Add(t.Plan.Hold); run.Result == "pass" && j.keeps(RuleHeld) && len(run.Points) > 0 && run.Judged.At.Before(over) {
		list = append(list, fmt.Sprintf("The result was given before the hold was over, at %s.", j.wall.Show(over, Evening)))
	}
	if run.Result == "pass" && run.Judged.By != "" && !j.somebody(run.Judged.By) {
		list = append(list, roleOnly(run.Judged.By)+".")
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
			if rule := map[bool]Rule{true: RuleBlanksOff, false: RuleStructure}[strings.HasPrefix(f.Rule, "blank")]; f.Severity == check.Stop && j.keeps(rule) {
				list = append(list, f.Message)
			}
		}
	}
	return list
}

// mistimed says which readings bear a time at which they cannot have been taken.
func (j *Job) mistimed(run *TestRun) (list []string) {
	if !j.keeps(RulePointTimes) {
		return nil
	}
	for _, p := range run.Points {
		if p.tooEarly(run) {
			list = append(list, fmt.Sprintf("The reading at %s lies before the test began.", j.wall.Show(p.At, Evening)))
		}
		if p.At.After(p.written) && !p.written.IsZero() {
			list = append(list, fmt.Sprintf("The reading at %s was written down before its time.", j.wall.Show(p.At, Evening)))
		}
	}
	return list
}

// notHeld says what the readings lack: the test pressure, and the time at it.
func (j *Job) notHeld(t *TestSheet, run *TestRun) []string {
	if text := t.notReached(run); text != "" && j.keeps(RuleReached) {
		return []string{text}
	}
	if t.Plan.Hold > 0 && run.Reading.Held < t.Plan.Hold && j.keeps(RuleHeld) {
		return []string{fmt.Sprintf("Readings cover %s of the hold, not %s.", spanOf(run.Reading.Held), quantity.SpanString(t.Plan.Hold))}
	}
	return nil
}

// doubted says that a reading bears a time that nobody may go by; "" where none does.
func (run *TestRun) doubted() string {
	at := slices.IndexFunc(run.Points, func(p TestPoint) bool { return p.doubted })
	if at < 0 {
		return ""
	}
	return fmt.Sprintf("The clock was in doubt when %s was read: say what time it is.", run.Points[at].text)
}

// notReached says that no reading shows the test pressure; "" where one does.
func (t *TestSheet) notReached(run *TestRun) string {
	switch {
	case len(run.Points) == 0:
		return "No reading was taken."
	case t.Target > 0 && !slices.ContainsFunc(run.Points, func(p TestPoint) bool { return p.reaches(t.Target) }):
		return fmt.Sprintf("The gauge reached %s, not %s.", t.In.Show(run.Reading.Highest), t.In.Show(t.Target))
	}
	return ""
}

// tooEarly says whether a reading bears a time before its test began; times are
// typed to the minute.
func (p *TestPoint) tooEarly(run *TestRun) bool {
	return !p.At.Equal(p.written) && p.At.Before(run.At.Truncate(time.Minute))
}

// climb counts the steps that pump a pressure test up, in the order of working:
// steps of the kind test that use the test and come before the one that watches its
// hold. Without such a step there are none. watch are the steps that those need.
func climb(filled *checklist.Filled, byID map[string]*checklist.FilledStep) (stages map[string]int, watch []string) {
	for _, step := range filled.Steps() {
		if step.Kind == "wait" && usesTest(filled, step) {
			watch = append(watch, step.Needs...)
		}
	}
	stages = map[string]int{}
	ahead := aheadOf(byID, watch)
	for _, step := range filled.Steps() {
		if ahead[step.ID] && step.Kind == "test" && usesTest(filled, step) {
			stages[step.ID] = len(stages) + 1
		}
	}
	return stages, watch
}

// usesTest says whether a step works on a pressure test of the procedure.
func usesTest(filled *checklist.Filled, step *checklist.FilledStep) bool {
	return slices.ContainsFunc(step.Uses, func(name string) bool {
		_, ok := partOf(filled.Tests, name)
		return ok
	})
}

// ofTheTest are the steps that belong to one pressure test and are done anew in the
// next: its stages, the watch over its hold, its end, and all that rest on those.
func ofTheTest(filled *checklist.Filled) map[string]bool {
	belongs := map[string]bool{}
	for _, step := range filled.Steps() {
		rests := slices.ContainsFunc(step.Needs, func(id string) bool { return belongs[id] })
		if rests || usesTest(filled, step) && (step.Kind == "test" || step.Kind == "wait") {
			belongs[step.ID] = true
		}
	}
	return belongs
}

// aheadOf is the steps with these names and all that come before them.
func aheadOf(byID map[string]*checklist.FilledStep, names []string) map[string]bool {
	ahead := map[string]bool{}
	for names = slices.Clone(names); len(names) > 0; {
		id := names[0]
		names = names[1:]
		if step := byID[id]; step != nil && !ahead[id] {
			ahead[id] = true
			names = append(names, step.Needs...)
		}
	}
	return ahead
}

// testStop says what the test sheet has against a step that uses the test.
//
// A stage of the climb wants a test under way, nothing above the alarm, and its
// reading on the sheet; the last one wants the test pressure reached. The step
// that watches the hold wants the hold covered by readings. Any other step of the
// kind test wants the test passed. A test that failed takes its stages back: the
// next one climbs again.
func (g *gating) testStop(step *checklist.FilledStep) (text, item string) {
	stage, watches := g.climb[step.ID], g.watches(step)
	if stage == 0 && !watches && !g.sheet(step) {
		return "", ""
	}
	run := g.state.Test.Last()
	if run == nil {
		return "no test is on the sheet yet", step.ID
	}
	t := run.sheet
	switch {
	case run.Passed && g.sheet(step) && g.j.keeps(RuleTestParts) && !slices.Equal(run.answers, g.seen.changed.parts(g.seen.changed.touch[step.ID])):
		return "parts were changed since the last test: test again", run.ID
	case run.Passed && g.sheet(step) && len(run.outdated) > 0:
		return "the last test was run with other figures: test again. " + strings.Join(run.outdated, " "), run.ID
	case run.Passed:
		if early, _ := g.uncured(step, run.rec); len(early) > 0 && g.sheet(step) {
			return "the last test began before a cure was over: test again. " + early[0], run.ID
		}
		return "", ""
	case run.Result != "" || stage == 0 && !watches:
		return "the last test has not passed", run.ID
	}
	if over := t.overshoot(run.Reading.Highest); over != nil && over.Severity == check.Stop && g.j.keeps(RuleAlarm) {
		return "above the alarm: let it down, and give the result", run.ID
	}
	if watches {
		if text := run.doubted(); text != "" {
			return text, run.ID
		}
		return strings.Join(append(g.j.mistimed(run), g.j.notHeld(t, run)...), " "), run.ID
	}
	switch {
	case stage == len(g.climb) && g.j.keeps(RuleReached):
		return t.notReached(run), run.ID
	case stage == len(g.climb) || !g.j.keeps(RuleStage):
		return "", ""
	}
	return g.unreadStage(run, step), run.ID
}

// stageAt is the pressure of a stage: the first of the figures that its step
// shows which is a pressure of the test; 0 where it shows none.
func (g *gating) stageAt(step *checklist.FilledStep) quantity.Pressure {
	for _, f := range step.Figures {
		test, key, _ := strings.Cut(f.Key, ".")
		if _, ok := partOf(g.seen.filled.Tests, test); ok && slices.Contains([]string{"quarter", "half", "pressure", "target"}, key) {
			return quantity.Pressure(f.Value)
		}
	}
	return 0
}

// unreadStage says which reading a stage lacks; "" where it has it. A reading
// belongs to the stage whose pressure it is nearest to, and to nothing where no
// pressure at all is nearer: two stages at one pressure share theirs. Where the
// steps do not say at what pressure their stages are, readings are counted.
func (g *gating) unreadStage(run *TestRun, step *checklist.FilledStep) string {
	levels := []quantity.Pressure{0, run.Target}
	for id := range g.climb {
		if g.climb[id] == len(g.climb) {
			continue // at the test pressure, whatever its step shows
		}
		at := g.stageAt(g.step[id])
		if at == 0 {
			if have, stage := len(run.Points), g.climb[step.ID]; have < stage {
				return fmt.Sprintf("each stage wants its reading on the test sheet: %d of %d are there", have, stage)
			}
			return ""
		}
		levels = append(levels, at)
	}
	at := g.stageAt(step)
	for i := range run.Points {
		shown := run.Points[i].Pressure
		if !slices.ContainsFunc(levels, func(l quantity.Pressure) bool { return apart(shown, l)+gaugeStep < apart(shown, at) }) {
			return ""
		}
	}
	return fmt.Sprintf("no reading of this stage, at %s, is on the test sheet", g.state.Test.In.Show(at))
}

func apart(a, b quantity.Pressure) quantity.Pressure { return max(a-b, b-a) }

// beforeTest says what is open of the steps that come before the pressure test:
// every step before the one that watches the hold, or what the step of the test
// waits for. Where the procedure marks neither, it is what is open of all of it,
// and marked is false.
func (g *gating) beforeTest() (open []string, marked bool) {
	watch := g.watch
	if marked = len(watch) > 0; !marked {
		if open, marked = g.beforeSheet(); marked {
			return open, true
		}
		for _, step := range g.seen.filled.Steps() {
			watch = append(watch, step.ID)
		}
	}
	ahead := aheadOf(g.step, watch)
	var undone, holds []string
	for _, step := range g.seen.filled.Steps() {
		if !ahead[step.ID] || g.done(step.ID) {
			continue
		}
		undone = append(undone, step.ID)
		if g.hold(step) != "" && len(g.recorded(step).Releases) == 0 {
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

// beforeSheet says what is open before the steps that want the test passed;
// marked is false where there are none.
func (g *gating) beforeSheet() (open []string, marked bool) {
	for _, step := range g.seen.filled.Steps() {
		if !g.sheet(step) {
			continue
		}
		marked = true
		for _, gate := range g.gates(g.recorded(step), step) {
			if len(gate.Passed) == 0 && !gate.Soft && gate.Name != GateTest {
				open = append(open, step.ID+": "+gate.Text)
			}
		}
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
