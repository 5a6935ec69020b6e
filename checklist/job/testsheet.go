package job

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/checklist/boiler"
	"fettle/threads/quantity"
)

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
	length := func(s string) error { return positive(quantity.ParseLength(s)) }
	pressure := func(s string) error { return positive(quantity.ParsePressure(s)) }
	return []SheetLine{
		{"boiler", "Boiler number", text}, {"reason", "Reason for the test", text},
		{"code", "Boiler code", text}, {"edition", "Edition", text},
		{"working_pressure", "Working pressure", pressure}, {"multiple", "Multiple, from the code", checkNumber},
		{"target", "Test pressure", pressure},
		{"hold", "Hold time, from the code", func(s string) error { _, err := quantity.ParseSpan(s); return err }},
		{"preliminary", "Preliminary test", checkYesNo},
		{"operator", "Operator", text}, {"inspector", "Inspector", text}, {"witness", "Witness", text},
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

// TestSheet is the record of the hydraulic tests of a job.
type TestSheet struct {
	Values  []SheetValue // lines that are filled in, in the order of [SheetLines]
	Plan    boiler.TestPlan
	Target  quantity.Pressure // 0 until it is known or where it was refused
	Alarm   quantity.Pressure // above this: stop
	Checks  []checklist.Finding
	Missing []string // what the code decides and nobody has typed in
	Runs    []TestRun
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
	Warned  string // what was said when it was passed
	answers []string
}

// TestPoint is one reading of the gauge during a test.
type TestPoint struct {
	Mark
	Pressure   quantity.Pressure
	Water      quantity.Temperature
	WaterKnown bool
	Strokes    float64 // of the pump since the filling, all told
	Pumped     bool    // strokes are known
	Second     quantity.Pressure
	TwoGauges  bool // Second is known

	text    string    // the pressure as it was typed
	written time.Time // when the entry was made; At may be earlier
}

// reaches says whether the gauge showed the target: the target written with as
// many decimals, in the unit of the reading, is no more than what was read. A
// reading that is coarser than half a percent of the target does not count so.
func (p *TestPoint) reaches(target quantity.Pressure) bool {
	short := target - p.Pressure
	if short < gaugeStep {
		return true
	}
	number := strings.TrimRight(p.text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ./²")
	number = strings.ReplaceAll(strings.TrimSpace(number), ",", ".")
	read, err := strconv.ParseFloat(number, 64)
	if err != nil || read <= 0 || short > target*0.005 {
		return false
	}
	decimals := 0
	if _, after, ok := strings.Cut(number, "."); ok {
		decimals = len(after)
	}
	digit := math.Pow10(decimals)
	return math.Round(float64(target)/float64(p.Pressure)*read*digit) <= math.Round(read*digit)
}

// TestReading is what the points of a test say.
type TestReading struct {
	Highest   quantity.Pressure
	HoldFrom  time.Time // the highest pressure was reached, the pump stood
	Held      time.Duration
	Drop      quantity.Pressure
	Pumped    quantity.Volume // 0 where strokes or the pump are not known
	Stiffness float64         // ml/bar as measured; 0 where it is not known
	Air       quantity.Volume
	AirKnown  bool
	Leak      *boiler.Leak // nil where the boiler is not known, or nothing fell
	LeakRate  float64      // ml/min; from the measured stiffness where Leak is nil
	RateKnown bool
	Path      *boiler.LeakPath // how the leak grows with pressure; nil without falls at two pressures
	Findings  []checklist.Finding

	fromIntervals bool // air and stiffness come from two stretches of pumping
}

// Sheet writes a line of the test sheet. A test pressure above the product of
// working pressure and multiple is refused.
func (j *Job) Sheet(name, value string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
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
		values[name] = SheetValue{Name: name, Value: value}
		target, err := boiler.CheckTarget(planOf(values))
		if err == nil {
			for _, f := range target.Findings {
				if f.Rule == "target-too-high" || f.Severity == boiler.Stop && (name == "operator" || name == "inspector" || name == "witness" || name == "preliminary") {
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
			"working_pressure": test.Pressure, "multiple": test.Multiple, "target": test.Target, "hold": test.Hold,
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
	return plan
}

// testSheetOf works the test sheet out.
func testSheetOf(seen *view) TestSheet {
	var t TestSheet
	values := sheetValues(seen)
	for _, line := range SheetLines() {
		if v, ok := values[line.Name]; ok && line.check(v.Value) == nil {
			v.Label = line.Label
			t.Values = append(t.Values, v)
		}
	}
	t.Plan = planOf(values)
	for _, need := range [...]string{"code", "working_pressure", "multiple", "hold", "operator"} {
		if values[need].Value == "" {
			t.Missing = append(t.Missing, need)
		}
	}
	if values["inspector"].Value == "" && !t.Plan.Preliminary {
		t.Missing = append(t.Missing, "inspector")
	}
	if target, err := boiler.CheckTarget(t.Plan); err == nil {
		t.Target, t.Alarm = target.Target, target.Alarm
		t.Checks = boilerFindings(target.Findings)
	}
	t.gauges()
	runs := map[string]int{}
	for _, rec := range seen.fold.judged[KindRun] {
		runs[rec.ID] = len(t.Runs)
		t.Runs = append(t.Runs, TestRun{Mark: mark(rec), Step: rec.Step, Open: rec.Data["open"], answers: rec.Seen})
	}
	each := func(kind string, take func(run *TestRun, rec *record)) {
		for _, rec := range seen.fold.judged[kind] {
			if at, ok := runs[rec.About]; ok {
				take(&t.Runs[at], rec)
			}
		}
	}
	each(KindPoint, func(run *TestRun, rec *record) {
		if p, ok := pointOf(rec); ok {
			run.Points = append(run.Points, p)
		}
	})
	each(KindTrial, func(run *TestRun, rec *record) { run.Trials = append(run.Trials, trialOf(rec)) })
	each(KindResult, func(run *TestRun, rec *record) {
		// Two results that did not see each other: a fail is never outvoted.
		if run.Result == "" || run.Result == "pass" {
			run.Result, run.Judged, run.Warned = rec.Value, mark(rec), rec.Data["warn"]
		}
	})
	each(KindSign, func(run *TestRun, rec *record) {
		m := mark(rec)
		m.Text = rec.Value
		run.Signed = append(run.Signed, m)
	})
	blanks, findings := blanksOf(seen.fold), findingsOf(seen.fold)
	for i := range t.Runs {
		run := &t.Runs[i]
		slices.SortStableFunc(run.Points, func(a, b TestPoint) int { return a.At.Compare(b.At) })
		run.Reading = t.read(run.Points)
		run.Stops = append(t.stops(run, blanks), structureOpen(t.Runs[:i], findings)...)
		run.Passed = run.Result == "pass" && len(run.Stops) == 0 && (t.Plan.Preliminary || strings.EqualFold(run.Judged.By, t.Plan.Inspector))
	}
	return t
}

// gauges compares what the sheet says of the gauges with the test pressure.
func (t *TestSheet) gauges() {
	scale, err := quantity.ParsePressure(t.Value("gauge_scale"))
	if err != nil || t.Target == 0 {
		return
	}
	if want, err := boiler.TestGauge(t.Target); err == nil && (scale < want.Least || scale > want.Most) {
		severity := checklist.Warn
		if scale < t.Target {
			severity = checklist.Stop
		}
		t.Checks = append(t.Checks, checklist.Finding{Rule: "gauge-scale", Severity: severity,
			Message: fmt.Sprintf("The test gauge reads to %s; for %s it should end between %s and %s.", scale, t.Target, want.Least, want.Most),
			Source:  "long-standing ASME practice"})
	}
}

func boilerFindings(list []boiler.Finding) []checklist.Finding {
	var out []checklist.Finding
	for _, f := range list {
		out = append(out, checklist.Finding{Rule: f.Rule, Severity: checklist.Severity(f.Severity), Message: f.Message, Source: f.Source})
	}
	return out
}

func pointOf(rec *record) (TestPoint, bool) {
	p := TestPoint{Mark: mark(rec), text: rec.Value, written: rec.At()}
	if at, err := time.Parse(time.RFC3339, rec.Data["at"]); err == nil {
		p.At = at
	}
	var err error
	if p.Pressure, err = quantity.ParsePressure(rec.Value); err != nil || p.Pressure < 0 || p.Pressure > 200 {
		return p, false
	}
	if w, err := quantity.ParseTemperature(rec.Data["water"]); err == nil && w > -5 && w < 110 {
		p.Water, p.WaterKnown = w, true
	}
	if s, err := quantity.ParsePressure(rec.Data["second"]); err == nil && s >= 0 && s <= 200 {
		p.Second, p.TwoGauges = s, true
	}
	if n, err := strconv.ParseFloat(rec.Data["strokes"], 64); err == nil && n >= 0 && n < 1e6 {
		p.Strokes, p.Pumped = n, true
	}
	return p, true
}

// shell is the boiler as the sheet has it.
func (t *TestSheet) shell(water quantity.Temperature) (boiler.Shell, bool) {
	var s boiler.Shell
	var err [4]error
	s.Volume, err[0] = quantity.ParseVolume(t.Value("volume"))
	s.Diameter, err[1] = quantity.ParseLength(t.Value("diameter"))
	s.Wall, err[2] = quantity.ParseLength(t.Value("wall"))
	s.Metal, err[3] = boiler.ParseShellMetal(t.Value("metal"))
	s.Water = water
	return s, err == [4]error{}
}

// stroke is the water of one stroke of the pump; 0 where it is not known.
func (t *TestSheet) stroke() quantity.Volume {
	bore, err1 := quantity.ParseLength(t.Value("pump_bore"))
	stroke, err2 := quantity.ParseLength(t.Value("pump_stroke"))
	if err1 != nil || err2 != nil {
		return 0
	}
	v, err := boiler.PumpStroke(bore, stroke)
	if err != nil {
		return 0
	}
	return v
}

// read works out what the points of a test say.
func (t *TestSheet) read(points []TestPoint) TestReading {
	var r TestReading
	top := -1
	for i, p := range points {
		if top < 0 || p.Pressure > points[top].Pressure {
			top = i
		}
	}
	if top < 0 {
		return r
	}
	r.Highest = points[top].Pressure
	r.HoldFrom = points[top].At
	if f := overshoot(t.Target, r.Highest); f != nil {
		r.Findings = append(r.Findings, *f)
	}
	t.compare(&r, points)
	t.stiffness(&r, points[:top+1])
	end := top
	for i := top + 1; i < len(points); i++ {
		if t.Plan.Hold > 0 && points[end].At.Sub(points[top].At) >= t.Plan.Hold || points[i].Pressure < points[top].Pressure*letDown {
			break // the hold is over, or the pressure was let off: no loss
		}
		if points[i].Pumped && points[top].Pumped && points[i].Strokes > points[top].Strokes {
			break // topped up: what comes after is another hold
		}
		end = i
	}
	r.Held = points[end].At.Sub(points[top].At)
	r.Drop = points[top].Pressure - points[end].Pressure
	t.decay(&r, points[top], points[end])
	t.path(&r, points)
	return r
}

// letDown is the share of the highest pressure below which it is being let
// off (common practice, no source).
const letDown = 0.1

// leastFall is how long the pump has to stand for a fall to be compared with
// another (common practice, no source): the first minutes settle.
const leastFall = 3 * time.Minute

// path compares the falls at the lowest and the highest pressure at which the
// pump stood: a seat, a thread and a joint that opens grow differently.
func (t *TestSheet) path(r *TestReading, points []TestPoint) {
	type fall struct {
		at   quantity.Pressure
		rate float64
	}
	var falls []fall
	for from := 0; from < len(points); {
		to := from
		for to+1 < len(points) && points[to+1].Pumped && points[from].Pumped && points[to+1].Strokes == points[from].Strokes {
			to++
		}
		drop, over := points[from].Pressure-points[to].Pressure, points[to].At.Sub(points[from].At)
		if drop > gaugeStep && over >= leastFall {
			rate := drop.Bar() / over.Minutes() // the same stiffness for both, where the boiler is not known
			if shell, ok := t.shell(points[from].Water); ok {
				if r.AirKnown {
					shell.Air = r.Air
				}
				leak, err := boiler.LeakFromDecay(shell, points[from].Pressure, boiler.Decay{Drop: drop, Over: over})
				if err != nil {
					return
				}
				rate = leak.Rate
			}
			falls = append(falls, fall{points[from].Pressure, rate})
		}
		from = to + 1
	}
	if len(falls) < 2 {
		return
	}
	slices.SortStableFunc(falls, func(a, b fall) int { return cmp.Compare(a.at, b.at) })
	low, high := falls[0], falls[len(falls)-1]
	if path, err := boiler.PathFromTwo(low.rate, low.at, high.rate, high.at); err == nil {
		r.Path = &path
	}
}

// gaugeStep is how fine a pressure is written here; a reading that differs from
// the target by less is the target.
const gaugeStep quantity.Pressure = 0.01

// overshoot says what is wrong with a reading above the target; nil where it is
// not above it, or no target is known.
func overshoot(target, shown quantity.Pressure) *checklist.Finding {
	if target == 0 || shown < target+gaugeStep {
		return nil
	}
	f, err := boiler.CheckReading(target, shown)
	if err != nil || f.Severity == boiler.Note {
		return nil
	}
	return &boilerFindings([]boiler.Finding{f})[0]
}

// compare says where two gauges disagree by more than their classes allow.
func (t *TestSheet) compare(r *TestReading, points []TestPoint) {
	var g boiler.Gauges
	for i, name := range [...]string{"gauge", "gauge2"} {
		var err error
		if g.Scale[i], err = quantity.ParsePressure(t.Value(name + "_scale")); err != nil {
			return
		}
		if g.Class[i], err = strconv.ParseFloat(strings.ReplaceAll(t.Value(name+"_class"), ",", "."), 64); err != nil {
			return
		}
	}
	for _, p := range points {
		if !p.TwoGauges {
			continue
		}
		g.Shown = [2]quantity.Pressure{p.Pressure, p.Second}
		findings, err := boiler.CheckGauges(g)
		if err != nil {
			continue
		}
		for _, f := range findings {
			if f.Severity == boiler.Stop {
				r.Findings = append(r.Findings, boilerFindings([]boiler.Finding{f})...)
				return
			}
		}
	}
}

// stiffness compares the water pumped with the pressure it made.
func (t *TestSheet) stiffness(r *TestReading, up []TestPoint) {
	stroke := t.stroke()
	var pumped []TestPoint
	for _, p := range up {
		if p.Pumped && (len(pumped) == 0 || p.Pressure > pumped[len(pumped)-1].Pressure) {
			pumped = append(pumped, p)
		}
	}
	if stroke == 0 || len(pumped) == 0 {
		return
	}
	last := pumped[len(pumped)-1]
	r.Pumped = quantity.Volume(last.Strokes) * stroke
	if len(pumped) > 1 {
		before := pumped[len(pumped)-2]
		r.Stiffness = (last.Strokes - before.Strokes) * stroke.ML() / (last.Pressure - before.Pressure).Bar()
	}
	if n := len(pumped); n >= 3 {
		a, b, c := pumped[n-3], pumped[n-2], last
		air, stiff, err := boiler.AirFromIntervals(boiler.Intervals{
			Low: a.Pressure, Middle: b.Pressure, High: c.Pressure,
			LowToMiddle: quantity.Volume(b.Strokes-a.Strokes) * stroke, MiddleToHigh: quantity.Volume(c.Strokes-b.Strokes) * stroke,
		})
		if err == nil {
			r.Air, r.AirKnown, r.Stiffness, r.fromIntervals = air, true, stiff, true
		}
	}
	shell, ok := t.shell(last.Water)
	if !ok {
		return
	}
	air, findings, err := boiler.AirFromPumped(shell, last.Pressure, r.Pumped)
	if err != nil {
		return
	}
	if !r.AirKnown {
		r.Air, r.AirKnown = air, true
	}
	r.Findings = append(r.Findings, boilerFindings(findings)...)
}

// decay judges what the gauge lost while the pump stood.
func (t *TestSheet) decay(r *TestReading, from, to TestPoint) {
	minutes := r.Held.Minutes()
	if r.Drop <= 0 || minutes <= 0 {
		return
	}
	if shell, ok := t.shell(from.Water); ok {
		if r.AirKnown {
			shell.Air = r.Air
		}
		leak, err := boiler.LeakFromDecay(shell, from.Pressure, boiler.Decay{
			Drop: r.Drop, Over: r.Held, WarmedKnown: from.WaterKnown && to.WaterKnown, Warmed: (to.Water - from.Water).C(),
		})
		if err == nil {
			r.Leak, r.LeakRate, r.RateKnown = &leak, leak.Rate, true
			r.Findings = append(r.Findings, boilerFindings(leak.Findings)...)
			return
		}
	}
	if r.Stiffness > 0 {
		r.LeakRate, r.RateKnown = r.Stiffness*r.Drop.Bar()/minutes, true
	}
}

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

// spanOf is a span in words; nought is no time at all.
func spanOf(d time.Duration) string {
	if d <= 0 {
		return "0 min"
	}
	return quantity.SpanString(d)
}

// BeginTest opens a new test on the sheet.
//
// What is open of the steps before it is written on the record and said in
// Saved.Said; of the step of the test itself it is an error.
func (j *Job) BeginTest(why string) (Saved, error) {
	said := ""
	saved, err := j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
		if why != "" {
			if why, err = checkText("the reason", why); err != nil {
				return Entry{}, err
			}
		}
		state := j.State()
		if run := state.Test.Last(); run != nil && run.Result == "" {
			return Entry{}, &RefusedError{"test", []string{"the test begun " + names([]Mark{run.Mark}) + " has no result yet"}}
		}
		for _, f := range state.Test.Checks {
			if f.Severity == checklist.Stop {
				return Entry{}, &RefusedError{"test", []string{f.Message}}
			}
		}
		if len(state.Test.Missing) > 0 {
			return Entry{}, &RefusedError{"test", []string{"type in what the code says first: " + strings.Join(state.Test.Missing, ", ")}}
		}
		if left := structureOpen(state.Test.Runs, state.Findings); len(left) > 0 {
			return Entry{}, &RefusedError{"test", left}
		}
		entry := Entry{Kind: KindRun, By: by, Text: why}
		g := j.gating(&state, j.view(), j.env.Now())
		for _, step := range j.Filled().Steps() {
			if !g.sheet(step) {
				continue
			}
			s := state.Steps[step.ID]
			for _, gate := range s.Gates {
				if len(gate.Passed) == 0 && !gate.Soft && gate.Name != GateTest {
					return Entry{}, &BlockedError{step.ID, []string{gate.Text}}
				}
			}
			entry.Step = step.ID
		}
		if open, _ := g.beforeTest(); len(open) > 0 {
			said = "warn: still open before this test can pass: " + strings.Join(open, "; ") + "."
			entry.Data = map[string]string{"open": shortened(strings.Join(open, "; "))}
		}
		return entry, nil
	})
	if err == nil {
		saved.Said = said
	}
	return saved, err
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
}

// Point records a reading of the gauge. The finding says what to do when the
// pressure is above the test pressure; above the alarm it is a stop.
func (j *Job) Point(p NewPoint) (Saved, *checklist.Finding, error) {
	var judged *checklist.Finding
	said := ""
	saved, err := j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
		run, err := j.openRun()
		if err != nil {
			return Entry{}, err
		}
		pressure, err := quantity.ParsePressure(p.Pressure)
		if err != nil {
			return Entry{}, err
		}
		if pressure < 0 || pressure > 200 {
			return Entry{}, fmt.Errorf("%s is no test pressure; 0 to 200 bar", pressure)
		}
		if p.Water != "" {
			if w, err := quantity.ParseTemperature(p.Water); err != nil {
				return Entry{}, err
			} else if w <= 0 || w >= 100 {
				return Entry{}, fmt.Errorf("%s is no temperature of the water", w)
			}
		}
		if p.Strokes != "" {
			if n, err := strconv.ParseFloat(p.Strokes, 64); err != nil || !(n >= 0 && n < 1e6) {
				return Entry{}, fmt.Errorf("%q is no count of strokes; all strokes since the boiler was full", Plain(p.Strokes))
			}
		}
		if p.Second != "" {
			if s, err := quantity.ParsePressure(p.Second); err != nil {
				return Entry{}, fmt.Errorf("second gauge: %w", err)
			} else if s < 0 || s > 200 {
				return Entry{}, fmt.Errorf("second gauge: %s is no test pressure", s)
			}
		}
		answers := map[string]string{}
		for name, value := range map[string]string{"water": p.Water, "strokes": p.Strokes, "second": p.Second} {
			if value != "" {
				answers[name] = value
			}
		}
		if !p.At.IsZero() {
			if p.At.After(j.env.Now()) {
				return Entry{}, fmt.Errorf("%s has not come yet; it is %s", p.At.Format("15:04 on 2 Jan"), j.env.Now().Format("15:04 on 2 Jan"))
			}
			if p.At.Before(run.At.Truncate(time.Minute)) {
				return Entry{}, fmt.Errorf("%s lies before this test began, at %s", p.At.Format("15:04 on 2 Jan"), run.At.In(p.At.Location()).Format("15:04 on 2 Jan"))
			}
			answers["at"] = p.At.Format(time.RFC3339)
		}
		state := j.State()
		judged = overshoot(state.Test.Target, pressure)
		if pressure > state.Test.Plan.WorkingPressure+gaugeStep {
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
	said := ""
	saved, err := j.save(func() (Entry, error) {
		run, err := j.openRun()
		if err != nil {
			return Entry{}, err
		}
		if result != "pass" && result != "fail" {
			return Entry{}, fmt.Errorf("a test passes or fails: pass or fail, not %q", Plain(result))
		}
		if by, err = checkSigner(by); err != nil {
			return Entry{}, fmt.Errorf("who judges the test: %w", err)
		}
		if text != "" || result == "fail" {
			if text, err = checkText("what was seen", text); err != nil {
				return Entry{}, err
			}
		}
		state := j.State()
		plan := state.Test.Plan
		var warned []string
		if result == "pass" {
			if len(run.Stops) > 0 {
				return Entry{}, &RefusedError{"test", run.Stops}
			}
			if !plan.Preliminary && !strings.EqualFold(by, plan.Inspector) {
				return Entry{}, &RefusedError{"test", []string{"the inspector typed in is " + plan.Inspector + "; nobody else passes this test"}}
			}
			if over := run.Reading.HoldFrom.Add(plan.Hold); j.env.Now().Before(over) {
				return Entry{}, &RefusedError{"test", []string{"the hold is not over before " + over.Format("15:04 on 2 Jan")}}
			}
			open, marked := j.gating(&state, j.view(), j.env.Now()).beforeTest()
			if marked && len(open) > 0 {
				return Entry{}, &RefusedError{"test", open}
			}
			warned = open
			if run.Reading.Drop >= gaugeStep/2 {
				warned = append(warned, fmt.Sprintf("%s was lost in the hold: whether that is allowed, the code decides", run.Reading.Drop))
			}
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

// Sign puts a name on the last test.
func (j *Job) Sign(role, by string) (Saved, error) {
	return j.save(func() (Entry, error) {
		state := j.State()
		run := state.Test.Last()
		if run == nil || run.Result == "" {
			return Entry{}, &RefusedError{"test", []string{"there is no test with a result to sign"}}
		}
		by, err := checkSigner(by)
		if err != nil {
			return Entry{}, err
		}
		role = strings.ToLower(strings.TrimSpace(role))
		if !slices.Contains([]string{"operator", "witness", "inspector", "owner"}, role) {
			return Entry{}, fmt.Errorf("signed as operator, witness, inspector or owner, not %q", Plain(role))
		}
		plan := state.Test.Plan
		for as, name := range map[string]string{"operator": plan.Operator, "inspector": plan.Inspector, "witness": plan.Witness} {
			if as == role && name != "" && !strings.EqualFold(name, by) {
				return Entry{}, &RefusedError{"test", []string{fmt.Sprintf("the %s typed in is %s, not %s", as, name, by)}}
			}
		}
		return Entry{Kind: KindSign, By: by, Step: run.Step, About: run.ID, Value: role}, nil
	})
}

// Lines puts what the points say into plain sentences.
func (r *TestReading) Lines() []string {
	if r.Highest == 0 {
		return nil
	}
	list := []string{fmt.Sprintf("Highest %s; then %s lost in %s", r.Highest, r.Drop, spanOf(r.Held))}
	if r.Pumped > 0 {
		list = append(list, fmt.Sprintf("Pumped in: %.1f ml", r.Pumped.ML()))
	}
	if r.Stiffness > 0 {
		word := "Stiffness over the last stretch"
		if r.fromIntervals {
			word = "Stiffness without the air, by two stretches"
		}
		list = append(list, fmt.Sprintf("%s: %.3f ml/bar", word, r.Stiffness))
	}
	if r.AirKnown {
		list = append(list, fmt.Sprintf("Trapped air: about %.1f ml", r.Air.ML()))
	}
	if r.RateKnown {
		list = append(list, fmt.Sprintf("Leak, temperature left out of account: %.3f ml/min", r.LeakRate))
	}
	if r.Leak != nil {
		word := "cannot be told from the change of temperature"
		if r.Leak.Distinguishable {
			word = "is more than the change of temperature explains"
		}
		list = append(list, fmt.Sprintf("The water's warmth moves the gauge by %+.2f bar/K; the fall %s", r.Leak.TemperaturePerK, word))
	}
	if r.Path != nil {
		list = append(list, fmt.Sprintf("The leak grows with the pressure to the power %.1f: %s. %s", r.Path.Exponent, r.Path.Kind, r.Path.Meaning))
	}
	for _, f := range r.Findings {
		list = append(list, string(f.Severity)+": "+f.Message)
	}
	return list
}
