package job

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// codeLines are the lines of the test sheet that the local code decides, and the
// persons it names: they freeze when the test is agreed.
func codeLines() []string {
	return []string{"code", "edition", "working_pressure", "multiple", "target", "hold", "drop_allowed", "preliminary", "operator", "inspector", "witness"}
}

// SheetLine is one line of the test sheet.
type SheetLine struct {
	Name  string
	Label string
	check func(string) error
}

// Check says what is wrong with a value for the line; nil where nothing is.
func (l SheetLine) Check(value string) error { return l.check(value) }

// SheetLines lists the lines of the test sheet in their order. What the local
// code decides (multiple, hold time, persons) is typed in; nothing here has a
// value of its own.
func SheetLines() []SheetLine {
	text := func(string) error { return nil }
	person := func(s string) error { _, err := CheckPerson(s); return err }
	length := func(s string) error { return positive(quantity.ParseLength(s)) }
	pressure := func(s string) error { return positive(quantity.ParsePressure(s)) }
	return []SheetLine{
		{"boiler", "Boiler number", text}, {"reason", "Reason for the test", text},
		{"code", "Boiler code", text}, {"edition", "Edition", text},
		{"working_pressure", "Working pressure", pressure}, {"multiple", "Multiple, from the code", checkNumber},
		{"target", "Test pressure", pressure},
		{"hold", "Hold time, from the code", func(s string) error { _, err := quantity.ParseSpan(s); return err }},
		{"drop_allowed", "Fall allowed in the hold, from the code", checkDrop},
		{"preliminary", "Preliminary test", checkYesNo},
		{"operator", "Operator", person}, {"inspector", "Inspector", person}, {"witness", "Witness", person},
		{"gauge", "Test gauge number", text}, {"gauge_scale", "Test gauge, full scale", pressure},
		{"gauge_class", "Test gauge, class", checkNumber}, {"gauge_date", "Test gauge, calibrated", text},
		{"gauge2", "Second gauge number", text}, {"gauge2_scale", "Second gauge, full scale", pressure},
		{"gauge2_class", "Second gauge, class", checkNumber}, {"gauge2_date", "Second gauge, calibrated", text},
		{"volume", "Water in the boiler", func(s string) error { return positive(quantity.ParseVolume(s)) }},
		{"diameter", "Barrel diameter", length}, {"wall", "Barrel wall", length},
		{"metal", "Shell metal", func(s string) error { _, err := boiler.ParseShellMetal(s); return err }},
		{"pump_bore", "Pump bore", length}, {"pump_stroke", "Pump stroke", length},
		{"ambient", "Air temperature", func(s string) error { _, err := quantity.ParseTemperature(s); return err }},
		{"fittings", "Fittings on, fittings blanked", text}, {"safety_valves", "Safety valves removed", checkYesNo},
		{"plates_before", "Flat plates before", text}, {"plates_at", "Flat plates at pressure", text}, {"plates_after", "Flat plates after", text},
		{"certificate", "Certificate number", text}, {"next_due", "Next due", text},
	}
}

func positive[T ~float64](v T, err error) error {
	if err == nil && v <= 0 {
		err = errors.New("it has to be more than nought")
	}
	return err
}

func checkNumber(s string) error {
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(s), ",", "."), 64)
	if err != nil || !(v > 0 && v < 1000) {
		return fmt.Errorf("%q is no number above nought", Plain(s))
	}
	return nil
}

// checkDrop takes nought too: many a code allows no fall at all.
func checkDrop(s string) error {
	v, err := quantity.ParsePressure(s)
	if err == nil && (v < 0 || v > 60) {
		err = fmt.Errorf("%s is no fall of a test pressure; 0 bar where the code allows none", v)
	}
	return err
}

func checkYesNo(s string) error {
	if s != "yes" && s != "no" {
		return fmt.Errorf("yes or no, not %q", Plain(s))
	}
	return nil
}

// SheetValue is what stands on a line of the test sheet.
type SheetValue struct {
	Mark
	Name, Label, Value string
	FromProcedure      bool // answered when the job started
	Differ             bool // two people wrote different things; the latest counts
}

// Shown is the value as people read it: a pressure that was typed in psi has its
// bar beside it, and a figure alone the unit it was read in.
func (v SheetValue) Shown() string {
	if _, err := strconv.ParseFloat(strings.ReplaceAll(v.Value, ",", "."), 64); err == nil {
		switch v.Name {
		case "diameter", "wall", "pump_bore", "pump_stroke":
			return v.Value + " mm"
		case "ambient":
			return v.Value + " °C"
		}
	}
	if p, err := quantity.ParsePressure(v.Value); err == nil && quantity.ScaleOf(v.Value) == quantity.PSIScale {
		return quantity.PSIScale.Show(p)
	}
	return v.Value
}

// TestSheet is the record of the hydraulic tests of a job.
type TestSheet struct {
	Values []SheetValue // lines that are filled in, in the order of [SheetLines]
	Plan   boiler.TestPlan
	Target quantity.Pressure // 0 until it is known or where it was refused
	Alarm  quantity.Pressure // see [boiler.AlarmMeans]
	// In is the scale pressures are shown in: that of the latest reading of the
	// gauge; before there is one, that in which the test pressure was typed, or
	// the working pressure where the product is the test pressure.
	In quantity.PressureScale
	// DropAllowed is the fall that the code allows in the hold; DropTyped says
	// whether it was typed in.
	DropAllowed quantity.Pressure
	DropTyped   bool
	Checks      []check.Result
	Missing     []string // what the code decides and nobody has typed in
	Runs        []TestRun
}

// Last is the latest test, or nil.
func (t *TestSheet) Last() *TestRun {
	if len(t.Runs) == 0 {
		return nil
	}
	return &t.Runs[len(t.Runs)-1]
}

// Value is what stands on a line.
func (t *TestSheet) Value(name string) string {
	for _, v := range t.Values {
		if v.Name == name {
			return v.Value
		}
	}
	return ""
}

// Sheet writes a line of the test sheet. A test pressure above the product of
// working pressure and multiple is refused, and so is another figure of the code
// while a test runs. Saved.Said names the holds whose release does not count any
// more by it.
func (j *Job) Sheet(name, value string) (Saved, error) {
	before := j.State()
	saved, err := j.sheet(name, value)
	if err != nil {
		return saved, err
	}
	after := j.State()
	var void []string
	for _, step := range j.Filled().Steps() {
		if len(before.Steps[step.ID].Releases) > 0 && len(after.Steps[step.ID].Releases) == 0 {
			void = append(void, step.ID)
		}
	}
	if len(void) > 0 {
		saved.Said = "To be released again, since it was agreed with another figure: " + strings.Join(void, ", ") + "."
	}
	return saved, nil
}

func (j *Job) sheet(name, value string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		lines := SheetLines()
		at := slices.IndexFunc(lines, func(l SheetLine) bool { return l.Name == name })
		if at < 0 {
			var known []string
			for _, l := range lines {
				known = append(known, l.Name)
			}
			return Entry{}, &StepError{"line of the test sheet", name, known}
		}
		value = strings.Join(strings.Fields(value), " ")
		if value == "" || len(value) > maxValue || Plain(value) != value {
			return Entry{}, fmt.Errorf("%s: one line of 1 to %d letters", name, maxValue)
		}
		if err := lines[at].check(value); err != nil {
			return Entry{}, fmt.Errorf("%s: %w", name, err)
		}
		seen := j.view()
		values := sheetValues(seen)
		if state := j.State(); slices.Contains(codeLines(), name) && j.keeps(RuleFrozen) {
			if run := state.Test.Last(); run != nil && run.Result == "" && !sameText(values[name].Value, value) {
				return Entry{}, &RefusedError{"test sheet", []string{"a test runs: what the code says stays as it is until the test has its result"}}
			}
		}
		values[name] = SheetValue{Name: name, Value: value}
		target, err := boiler.CheckTarget(planOf(values))
		if err == nil {
			for _, f := range target.Findings {
				if f.Rule == "target-too-high" && j.keeps(RuleProduct) || f.Severity == check.Stop && (name == "operator" || name == "inspector" || name == "witness" || name == "preliminary") {
					return Entry{}, &RefusedError{"test sheet", []string{f.Message}}
				}
			}
		} else if filledIn(values["working_pressure"], values["multiple"]) {
			return Entry{}, err
		}
		var replaces []string
		for _, rec := range seen.fold.judged[KindSheet] {
			if rec.Reading == name {
				replaces = append(replaces, rec.ID)
			}
		}
		return Entry{Kind: KindSheet, By: by, Reading: name, Value: value, Replaces: limited(replaces)}, nil
	})
}

func filledIn(values ...SheetValue) bool {
	return !slices.ContainsFunc(values, func(v SheetValue) bool { return v.Value == "" })
}

// sheetValues are the lines that are filled in; what the procedure was answered
// stands where nobody wrote anything else.
func sheetValues(seen *view) map[string]SheetValue {
	values := map[string]SheetValue{}
	for _, test := range seen.filled.Procedure.Tests {
		if part, ok := partOf(seen.filled.Tests, test.Name); !ok || !part.Applies {
			continue
		}
		for line, text := range map[string]string{
			"working_pressure": test.Pressure, "multiple": test.Multiple, "target": test.Target, "hold": test.Hold, "drop_allowed": test.DropAllowed,
			"code": test.Code, "edition": test.Edition, "preliminary": test.Preliminary,
			"operator": test.Operator, "inspector": test.Inspector, "witness": test.Witness, "gauge_scale": test.Gauge,
		} {
			if text = withSettings(seen.filled, text); text != "" {
				values[line] = SheetValue{Name: line, Value: text, FromProcedure: true}
			}
		}
	}
	for _, rec := range seen.fold.judged[KindSheet] {
		before, twice := values[rec.Reading]
		values[rec.Reading] = SheetValue{Mark: mark(rec), Name: rec.Reading, Value: rec.Value, Differ: twice && !before.FromProcedure && before.Value != rec.Value}
	}
	return values
}

func planOf(values map[string]SheetValue) boiler.TestPlan {
	get := func(name string) string { return values[name].Value }
	plan := boiler.TestPlan{
		Code: get("code"), Edition: get("edition"), Operator: get("operator"), Inspector: get("inspector"), Witness: get("witness"),
		Preliminary: get("preliminary") == "yes",
	}
	plan.WorkingPressure, _ = quantity.ParsePressure(get("working_pressure"))
	plan.Multiple, _ = strconv.ParseFloat(strings.ReplaceAll(get("multiple"), ",", "."), 64)
	plan.Target, _ = quantity.ParsePressure(get("target"))
	plan.Hold, _ = quantity.ParseSpan(get("hold"))
	plan.In = quantity.ScaleOf(cmp.Or(get("target"), get("working_pressure")))
	return plan
}

// testSheetOf works the test sheet out.
func (j *Job) testSheetOf(seen *view, findings []Finding) TestSheet {
	var t TestSheet
	values := sheetValues(seen)
	for _, line := range SheetLines() {
		if v, ok := values[line.Name]; ok && line.check(v.Value) == nil {
			v.Label = line.Label
			t.Values = append(t.Values, v)
		}
	}
	t.Plan = planOf(values)
	for _, rec := range seen.fold.judged[KindPoint] {
		if p, ok := pointOf(rec); ok {
			t.Plan.In = quantity.ScaleOf(p.text)
		}
	}
	t.In = t.Plan.In
	t.figures(values)
	for _, v := range t.Values {
		if v.Differ && slices.Contains(codeLines(), v.Name) && j.keeps(RuleSheetOnce) {
			t.Checks = append(t.Checks, check.Result{Rule: "sheet-differs", Severity: check.Stop, Source: "the local boiler code and the inspector",
				Message: fmt.Sprintf("%s was written differently by two people: enter it once more.", v.Label)})
		}
	}
	t.gauges()
	t.Runs = j.runsOf(seen)
	blanks, found := j.blanksOf(seen.fold), j.openFindings(findings)
	for i := range t.Runs {
		j.judgeRun(&t, &t.Runs[i], values, blanks)
		t.Runs[i].Stops = append(t.Runs[i].Stops, found...)
	}
	for i := range t.Runs {
		run := &t.Runs[i]
		for k := range t.Runs {
			if other := &t.Runs[k]; k != i && other.Result == "" && j.keeps(RuleOneTest) {
				run.Stops = append(run.Stops, fmt.Sprintf("Another test, begun by %s, has no result.", j.wall.names([]Mark{other.Mark})))
			}
		}
		run.Passed = run.Result == "pass" && len(run.Stops) == 0 && (!j.keeps(RuleInspector) || run.judgedBy(run.sheet) == "")
	}
	return t
}

// runsOf are the tests, each with what was entered in it.
func (j *Job) runsOf(seen *view) []TestRun {
	var list []TestRun
	runs := map[string]int{}
	for _, rec := range seen.fold.begun {
		runs[rec.ID] = len(list)
		list = append(list, TestRun{Mark: mark(rec), Step: rec.Step, Open: rec.Data["open"], rec: rec, answers: seen.changed.parts(rec.Seen), figures: rec.Saw})
	}
	each := func(kind string, take func(run *TestRun, rec *record)) {
		for _, rec := range seen.fold.judged[kind] {
			if at, ok := runs[rec.About]; ok {
				take(&list[at], rec)
			}
		}
	}
	each(KindPoint, func(run *TestRun, rec *record) {
		if p, ok := pointOf(rec); ok {
			p.doubted = j.doubted(seen.fold.times.doubts[seen.fold.place[rec]])
			run.Points = append(run.Points, p)
		}
	})
	each(KindTrial, func(run *TestRun, rec *record) { run.Trials = append(run.Trials, trialOf(rec)) })
	each(KindResult, func(run *TestRun, rec *record) {
		// Two results that did not see each other: a fail is never outvoted.
		if run.Result == "" || run.Result == "pass" || !j.keeps(RuleFailStays) {
			run.Result, run.Judged, run.Warned = rec.Value, mark(rec), rec.Data["warn"]
		}
	})
	each(KindSign, func(run *TestRun, rec *record) {
		m := mark(rec)
		m.Text = rec.Value
		run.Signed = append(run.Signed, m)
	})
	for i := range list {
		slices.SortStableFunc(list[i].Points, func(a, b TestPoint) int { return a.At.Compare(b.At) })
	}
	return list
}

// judgeRun works out what a test showed, by the figures with which it began, and what
// stands against it.
func (j *Job) judgeRun(t *TestSheet, run *TestRun, values map[string]SheetValue, blanks []Blank) {
	own := t.of(run, j.keeps(RuleOwnCopy))
	run.Plan, run.Target, run.sheet = own.Plan, own.Target, own
	run.Reading = own.read(run.Points)
	run.Stops = j.testStops(own, run, blanks)
	changed := changedSince(run, values)
	switch {
	case run.Result == "" && j.keeps(RuleFrozen):
		run.Stops = append(run.Stops, changed...)
	case run.Result == "pass" && len(changed) > 0 && j.keeps(RuleTestFigures):
		run.outdated = j.outdated(t, *run, changed, blanks)
	}
}

// judgedBy says that a result was given by somebody who may not by the figures of a
// sheet; "" where nothing is wrong with that.
func (run *TestRun) judgedBy(t *TestSheet) string {
	if t.Plan.Preliminary || strings.EqualFold(run.Judged.By, t.Plan.Inspector) {
		return ""
	}
	return fmt.Sprintf("It was judged by %s; the inspector is %s.", run.Judged.By, firstOf(t.Plan.Inspector, "nobody yet"))
}

// outdated says why a test that passed by the figures with which it began does not
// pass by those that stand now.
func (j *Job) outdated(t *TestSheet, run TestRun, changed []string, blanks []Blank) []string {
	run.Reading = t.read(run.Points)
	against := j.testStops(t, &run, blanks)
	if run.Plan.Preliminary && !t.Plan.Preliminary {
		against = append(against, "It was a preliminary test.")
	}
	if by := run.judgedBy(t); by != "" {
		against = append(against, by)
	}
	if len(against) == 0 {
		return nil
	}
	return slices.Concat(changed, against)
}

// figures works out the test pressure and the fall that is allowed from the plan.
// It says what of it the code decides and nobody has typed in.
func (t *TestSheet) figures(values map[string]SheetValue) {
	t.Target, t.Alarm, t.Checks, t.Missing, t.DropAllowed, t.DropTyped = 0, 0, nil, nil, 0, false
	for _, need := range [...]string{"code", "working_pressure", "multiple", "hold", "operator"} {
		if values[need].Value == "" {
			t.Missing = append(t.Missing, need)
		}
	}
	if values["inspector"].Value == "" && !t.Plan.Preliminary {
		t.Missing = append(t.Missing, "inspector")
	}
	drop := values["drop_allowed"].Value
	if target, err := boiler.CheckTarget(t.Plan); err == nil {
		t.Target, t.Alarm = target.Target, target.Alarm
		t.Checks = target.Findings
	}
	if checkDrop(drop) == nil {
		t.DropAllowed, _ = quantity.ParsePressure(drop)
		t.DropTyped = true
	}
}

// of is the sheet with the figures that a test began with.
func (t *TestSheet) of(run *TestRun, own bool) *TestSheet {
	sheet := *t
	if len(run.figures) == 0 || !own {
		return &sheet
	}
	values := map[string]SheetValue{}
	for _, v := range t.Values {
		values[v.Name] = v
	}
	for _, line := range codeLines() {
		v := values[line]
		v.Name, v.Value = line, run.figures[sheetKey+line]
		values[line] = v
	}
	sheet.Plan = planOf(values)
	sheet.Plan.In = t.Plan.In
	sheet.figures(values)
	sheet.Checks = append(sheet.Checks, slices.DeleteFunc(slices.Clone(t.Checks), func(f check.Result) bool { return f.Rule != "gauge-scale" && f.Rule != "sheet-differs" })...)
	return &sheet
}

// changedSince says which figures of the code are others than those with which a
// test began.
func changedSince(run *TestRun, values map[string]SheetValue) []string {
	var list []string
	for _, line := range codeLines() {
		if was, is := run.figures[sheetKey+line], values[line].Value; len(run.figures) > 0 && !sameText(was, is) {
			list = append(list, fmt.Sprintf("%s was %s when the test began and is %s now.", upperFirst(strings.ReplaceAll(line, "_", " ")), firstOf(was, "open"), firstOf(is, "open")))
		}
	}
	return list
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// openFindings says which findings that tests and readings made nobody has decided
// about: a pass waits for them. Others shut a gate that a named person may pass.
func (j *Job) openFindings(findings []Finding) []string {
	var list []string
	for i := range findings {
		if f := &findings[i]; (f.rec.Kind != KindFinding || f.rec.About != "") && !f.Decided() && j.keeps(RuleFindings) {
			list = append(list, upperFirst(f.Says()))
		}
	}
	return list
}

// gauges compares what the sheet says of the gauges with the test pressure.
func (t *TestSheet) gauges() {
	scale, err := quantity.ParsePressure(t.Value("gauge_scale"))
	if err != nil || t.Target == 0 {
		return
	}
	if want, err := boiler.TestGauge(t.Target); err == nil && (scale < want.Least || scale > want.Most) {
		severity := check.Warn
		if scale < t.Target {
			severity = check.Stop
		}
		t.Checks = append(t.Checks, check.Result{Rule: "gauge-scale", Severity: severity,
			Message: fmt.Sprintf("The test gauge reads to %s; for %s it should end between %s and %s.", t.In.Show(scale), t.In.Show(t.Target), t.In.Show(want.Least), t.In.Show(want.Most)),
			Source:  "long-standing ASME practice"})
	}
}
