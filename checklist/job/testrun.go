package job

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// TestRun is one test, from filling to its result.
type TestRun struct {
	Mark
	Step    string
	Points  []TestPoint // by time
	Trials  []Trial
	Result  string // "", "pass" or "fail"
	Judged  Mark   // who gave the result
	Signed  []Mark // Text is the role
	Stops   []string
	Passed  bool // the result is a pass and nothing stands against it
	Reading TestReading
	Open    string // what was open before it when it began, as said then
	Warned  string // what was said when its result was given

	// Plan and Target are the figures of the code with which it began.
	Plan   boiler.TestPlan
	Target quantity.Pressure

	rec      *record
	answers  []string
	figures  map[string]string // as they stood when it began
	sheet    *TestSheet        // with those figures
	outdated []string          // why it does not pass by the figures that stand now
}

// BeginTest opens a new test on the sheet.
//
// What is open of the steps before it is written on the record and said in
// Saved.Said, and so is what other jobs on the engine have open ([Job.Beside]); of
// the step of the test itself it is an error.
func (j *Job) BeginTest(why string) (Saved, error) {
	said, beside := "", j.besideJobs()
	saved, err := j.saveBy(func(by string) (Entry, error) {
		if why != "" {
			var err error
			if why, err = checkText("the reason", why); err != nil {
				return Entry{}, err
			}
		}
		state := j.State()
		if run := state.Test.Last(); run != nil && run.Result == "" {
			return Entry{}, &RefusedError{"test", []string{"the test begun " + j.wall.names([]Mark{run.Mark}) + " has no result yet"}}
		}
		for _, f := range state.Test.Checks {
			if f.Severity == check.Stop && j.keeps(RuleSheetStop) {
				return Entry{}, &RefusedError{"test", []string{f.Message}}
			}
		}
		if len(state.Test.Missing) > 0 && j.keeps(RuleCodeTyped) {
			return Entry{}, &RefusedError{"test", []string{"type in what the code says first: " + strings.Join(state.Test.Missing, ", ")}}
		}
		if left := j.againstBegin(&state, beside); len(left) > 0 {
			return Entry{}, &RefusedError{"test", left}
		}
		entry := Entry{Kind: KindRun, By: by, Text: why, Saw: j.codeFigures()}
		g := j.gating(&state, j.view(), j.env.Now())
		for _, step := range j.Filled().Steps() {
			if !g.sheet(step) {
				continue
			}
			s := state.Steps[step.ID]
			for _, gate := range s.Gates {
				if len(g.watch) == 0 && len(gate.Passed) == 0 && !gate.Soft && gate.Name != GateTest {
					return Entry{}, &BlockedError{step.ID, []string{gate.Text}}
				}
			}
			entry.Step = step.ID
		}
		if open, _ := g.beforeTest(); len(open) > 0 {
			said = "warn: still open before this test can pass: " + strings.Join(open, "; ") + "."
			entry.Data = map[string]string{"open": shortened(strings.Join(append(open, beside.Unknown...), "; "))}
		} else if len(beside.Unknown) > 0 {
			entry.Data = map[string]string{"open": shortened(strings.Join(beside.Unknown, "; "))}
		}
		return entry, nil
	})
	if err == nil {
		saved.Said = warnBeside(said, beside.Unknown)
	}
	return saved, err
}

// codeFigures are the figures of the code as they stand, for a test to keep.
func (j *Job) codeFigures() map[string]string {
	figures := map[string]string{}
	values := sheetValues(j.view())
	for _, line := range codeLines() {
		if v := values[line].Value; v != "" {
			figures[sheetKey+line] = v
		}
	}
	return figures
}

// againstBegin says what keeps a test from beginning: a leak of the structure that
// nobody decided about, a sealant that has not cured, here or in another job on the
// engine, and what else those have open.
func (j *Job) againstBegin(state *State, beside BesideJobs) []string {
	var list []string
	for i := range state.Findings {
		if f := &state.Findings[i]; f.Structure && !f.Decided() && j.keeps(RuleStructure) {
			list = append(list, upperFirst(f.Says()))
		}
	}
	g := j.gating(state, j.view(), j.env.Now())
	for _, step := range j.Filled().Steps() {
		if step.Kind == "test" && g.usesTest(step) {
			cures, _ := g.uncured(step, nil)
			for _, text := range cures {
				if !slices.Contains(list, text) {
					list = append(list, text)
				}
			}
		}
	}
	if j.keeps(RuleBeside) {
		list = append(list, beside.Open...)
	}
	return list
}

// shortened keeps a text of the program within what an entry may carry.
func shortened(text string) string {
	text = Plain(text)
	if len(text) <= maxValue {
		return text
	}
	return strings.ToValidUTF8(text[:maxValue-4], "") + " ..."
}

// openRun is the test that is under way.
func (j *Job) openRun() (*TestRun, error) {
	state := j.State()
	run := state.Test.Last()
	switch {
	case run == nil:
		return nil, &RefusedError{"test", []string{"no test has begun (\"fettle job test begin\")"}}
	case run.Result != "":
		return nil, &RefusedError{"test", []string{"the last test has its result (" + run.Result + "): begin another"}}
	}
	return run, nil
}

// NewPoint is a reading of the gauge, as it was typed.
type NewPoint struct {
	Pressure, Second, Water, Strokes string    // Second is what the second gauge shows
	At                               time.Time // zero: now
	// LetDown says that pressure was let down on purpose before this reading:
	// then it is no loss, and the hold is over.
	LetDown bool
}

// CheckGauge says what is wrong with the reading of a test gauge; nil where
// nothing is. A unit is needed.
func CheckGauge(text string) error {
	p, err := quantity.ParsePressure(text)
	if err == nil && (p < 0 || p > 200) {
		err = fmt.Errorf("%s is no test pressure; 0 to 200 bar", p)
	}
	return err
}

// CheckWater says what is wrong with the temperature of the water in a test; nil
// where nothing is.
func CheckWater(text string) error {
	w, err := quantity.ParseTemperature(text)
	if err == nil && (w <= 0 || w >= 100) {
		err = fmt.Errorf("%s is no temperature of the water", w)
	}
	return err
}

// CheckStrokes says what is wrong with a count of the pump's strokes; nil where
// nothing is.
func CheckStrokes(text string) error {
	if n, err := strconv.ParseFloat(text, 64); err != nil || !(n >= 0 && n < 1e6) {
		return fmt.Errorf("%q is no count of strokes; all strokes since the boiler was full", Plain(text))
	}
	return nil
}

// Point records a reading of the gauge. The finding says what to do when the
// pressure is above the test pressure; above the alarm it is a stop.
func (j *Job) Point(p NewPoint) (Saved, *check.Result, error) {
	var judged *check.Result
	said := ""
	saved, err := j.saveBy(func(by string) (Entry, error) {
		run, err := j.openRun()
		if err != nil {
			return Entry{}, err
		}
		if err := CheckGauge(p.Pressure); err != nil {
			return Entry{}, err
		}
		pressure, err := quantity.ParsePressure(p.Pressure)
		if err != nil {
			return Entry{}, err
		}
		for _, extra := range [...]struct {
			what, text string
			check      func(string) error
		}{{"water", p.Water, CheckWater}, {"strokes", p.Strokes, CheckStrokes}, {"second gauge", p.Second, CheckGauge}} {
			if extra.text == "" {
				continue
			}
			if err := extra.check(extra.text); err != nil {
				return Entry{}, fmt.Errorf("%s: %w", extra.what, err)
			}
		}
		answers := map[string]string{}
		for name, value := range map[string]string{"water": p.Water, "strokes": p.Strokes, "second": p.Second} {
			if value != "" {
				answers[name] = value
			}
		}
		if p.LetDown {
			answers["let_down"] = "yes"
		}
		if !p.At.IsZero() {
			if p.At.After(j.env.Now()) {
				return Entry{}, fmt.Errorf("%s has not come yet; it is %s", j.wall.Show(p.At, Evening), j.wall.Show(j.env.Now(), Evening))
			}
			if p.At.Before(run.At.Truncate(time.Minute)) {
				return Entry{}, fmt.Errorf("%s lies before this test began, at %s", j.wall.Show(p.At, Evening), j.wall.Show(run.At, Evening))
			}
			answers["at"] = p.At.Format(time.RFC3339)
		}
		state := j.State()
		judged = run.sheet.overshoot(pressure)
		if pressure > run.Plan.WorkingPressure+gaugeStep {
			if open, _ := j.gating(&state, j.view(), j.env.Now()).beforeTest(); len(open) > 0 {
				said = "warn: above the working pressure, and open before it: " + strings.Join(open, "; ") + "."
				answers["open"] = shortened(strings.Join(open, "; "))
			}
		}
		return Entry{Kind: KindPoint, By: by, Step: run.Step, About: run.ID, Value: strings.TrimSpace(p.Pressure), Data: answers}, nil
	})
	if err == nil {
		saved.Said = said
	}
	return saved, judged, err
}

// Result closes the test: pass or fail, by the person who judges it. A pass is
// refused while anything stands against it, and a certifying test is judged by
// the inspector who was typed in.
//
// A pass is refused too while steps before the test are open, and until the
// hold is over by the readings and by the clock. Where the procedure does not
// mark which steps come before the test, what is open of it is said in
// Saved.Said and stays on the record.
func (j *Job) Result(result, by, text string) (Saved, error) {
	said, beside := "", j.besideJobs()
	saved, err := j.save(func() (Entry, error) {
		run, err := j.openRun()
		if err != nil {
			return Entry{}, err
		}
		if result != "pass" && result != "fail" {
			return Entry{}, fmt.Errorf("a test passes or fails: pass or fail, not %q", Plain(result))
		}
		if by, err = j.signer(by); err != nil {
			return Entry{}, fmt.Errorf("who judges the test: %w", err)
		}
		if text != "" || result == "fail" {
			if text, err = checkText("what was seen", text); err != nil {
				return Entry{}, err
			}
		}
		state := j.State()
		plan := run.Plan
		var warned []string
		if result == "pass" {
			against, open := j.againstPass(&state, run, beside)
			if !plan.Preliminary && !strings.EqualFold(by, plan.Inspector) && j.keeps(RuleInspector) {
				against = append(against, "the inspector typed in is "+plan.Inspector+"; nobody else passes this test")
			}
			if len(against) > 0 {
				return Entry{}, &RefusedError{"test", against}
			}
			warned = slices.Concat(open, j.notWhole(&state.Test, run))
			for _, f := range run.Reading.Findings {
				if strings.HasPrefix(f.Rule, "fall-") && f.Severity == check.Ask {
					warned = append(warned, strings.TrimSuffix(f.Message, "."))
				}
			}
		}
		if !plan.Preliminary && plan.Inspector != "" && !strings.EqualFold(by, plan.Inspector) {
			warned = append(warned, "judged by "+by+", not by the inspector on the sheet, "+plan.Inspector)
		}
		entry := Entry{Kind: KindResult, By: by, Step: run.Step, About: run.ID, Value: result, Text: text}
		if len(warned) > 0 {
			said = "warn: " + strings.Join(warned, "; ") + "."
			entry.Data = map[string]string{"warn": shortened(strings.Join(warned, "; "))}
		}
		return entry, nil
	})
	if err == nil {
		saved.Said = said
	}
	return saved, err
}

// AgainstPass lists all that stands against a pass of the test under way: what its
// readings and the sheet lack, findings, steps before it, what other jobs on the
// engine have open. Nobody has to be asked who judges it before that is empty. It
// reads the jobs beside this one.
func (j *Job) AgainstPass() []string {
	beside := j.besideJobs()
	run, err := j.openRun()
	if err != nil {
		return []string{err.Error()}
	}
	state := j.State()
	against, _ := j.againstPass(&state, run, beside)
	return against
}

// againstPass is AgainstPass; open is what is open where the procedure does not mark
// which steps come before the test: that is said and stands on the record.
func (j *Job) againstPass(state *State, run *TestRun, beside BesideJobs) (against, open []string) {
	against = slices.Clone(run.Stops)
	now := j.env.Now()
	if over := run.Reading.HoldFrom.Add(run.Plan.Hold); now.Before(over) && j.keeps(RuleHeld) && len(run.Points) > 0 {
		against = append(against, "the hold is not over before "+j.wall.Show(over, Evening))
	}
	g := j.gating(state, j.view(), now)
	open, marked := g.beforeTest()
	if len(g.watch) > 0 {
		after, _ := g.beforeSheet()
		open = append(open, after...)
	}
	if marked && j.keeps(RuleBefore) {
		against, open = append(against, open...), nil
	}
	if j.keeps(RuleOneRole) {
		against = append(against, g.rolesDiffer()...)
	}
	if j.keeps(RuleBeside) {
		against = append(against, beside.Open...)
	}
	return against, open
}

// rolesDiffer says which role more than one person bore when they released the holds
// that a test rests on.
func (g *gating) rolesDiffer() []string {
	by := map[string][]string{}
	for _, step := range g.seen.filled.Steps() {
		if !g.restsOnTest(step) {
			continue
		}
		for _, m := range g.recorded(step).Releases {
			if role := g.hold(step); !slices.ContainsFunc(by[role], func(name string) bool { return strings.EqualFold(name, m.By) }) {
				by[role] = append(by[role], m.By)
			}
		}
	}
	var list []string
	for _, role := range sortedKeys(by) {
		if len(by[role]) > 1 {
			list = append(list, fmt.Sprintf("the holds of the %s were released by %s: on one test a role is one person", role, strings.Join(by[role], " and ")))
		}
	}
	return list
}

// notWhole says what the paper of a test lacks, or what on it does not agree.
func (j *Job) notWhole(t *TestSheet, run *TestRun) []string {
	var list []string
	if !j.keeps(RuleWhole) {
		return nil
	}
	for _, need := range [...]string{"boiler", "gauge", "gauge_date"} {
		if t.Value(need) == "" {
			for _, line := range SheetLines() {
				if line.Name == need {
					list = append(list, strings.ToLower(line.Label)+" is not on the sheet")
				}
			}
		}
	}
	for i := 1; i < len(run.Points); i++ {
		a, b := &run.Points[i-1], &run.Points[i]
		if a.WaterKnown && b.WaterKnown && a.At.Truncate(time.Minute).Equal(b.At.Truncate(time.Minute)) && (a.Water-b.Water).C() != 0 {
			list = append(list, fmt.Sprintf("two temperatures of the water at %s: %s and %s", j.wall.Show(a.At, Minute), a.Water, b.Water))
		}
	}
	return list
}

// Sign puts a name on the last test.
func (j *Job) Sign(role, by string) (Saved, error) {
	return j.save(func() (Entry, error) {
		state := j.State()
		run := state.Test.Last()
		if run == nil || run.Result == "" {
			return Entry{}, &RefusedError{"test", []string{"there is no test with a result to sign"}}
		}
		by, err := j.signer(by)
		if err != nil {
			return Entry{}, err
		}
		role = strings.ToLower(strings.TrimSpace(role))
		if !slices.Contains(signRoles(), role) {
			return Entry{}, fmt.Errorf("signed as operator, witness, inspector or owner, not %q", Plain(role))
		}
		plan := run.Plan
		for as, name := range map[string]string{"operator": plan.Operator, "inspector": plan.Inspector, "witness": plan.Witness} {
			if as == role && name != "" && !strings.EqualFold(name, by) {
				return Entry{}, &RefusedError{"test", []string{fmt.Sprintf("the %s typed in is %s, not %s", as, name, by)}}
			}
		}
		return Entry{Kind: KindSign, By: by, Step: run.Step, About: run.ID, Value: role}, nil
	})
}
