package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

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
	LetDown    bool // said: pressure was let down on purpose before this reading

	text    string    // the pressure as it was typed
	second  string    // the same of the second gauge
	written time.Time // when the entry was made; At may be earlier
	doubted bool      // by a clock that nobody may go by
}

// reaches says whether the gauge showed the target: the target written with as
// many decimals, in the unit of the reading, is no more than what was read. A
// reading that is coarser than half a percent of the target does not count so.
func (p *TestPoint) reaches(target quantity.Pressure) bool {
	short := target - p.Pressure
	if short < gaugeStep {
		return true
	}
	read, digit, ok := p.asTyped()
	if !ok || short > target*readShare {
		return false
	}
	return math.Round(float64(target)/float64(p.Pressure)*read/digit) <= math.Round(read/digit)
}

// readShare is how coarse a reading may be, as a share of the pressure, before
// its last digit no longer counts as read (common practice, no source).
const readShare = 0.005

// asTyped is the number that was typed and the worth of its last digit, both in
// the unit in which it was read.
func (p *TestPoint) asTyped() (read, digit float64, ok bool) {
	number := strings.TrimRight(p.text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ./²")
	number = strings.ReplaceAll(strings.TrimSpace(number), ",", ".")
	read, err := strconv.ParseFloat(number, 64)
	if err != nil || read <= 0 {
		return 0, 0, false
	}
	decimals := 0
	if _, after, ok := strings.Cut(number, "."); ok {
		decimals = len(after)
	}
	return read, math.Pow10(-decimals), true
}

// unread is what a reading cannot show: half its last digit, and never more than
// readShare of it.
func (p *TestPoint) unread() quantity.Pressure {
	least := gaugeStep / 2
	read, digit, ok := p.asTyped()
	if !ok {
		return least
	}
	return max(least, min(p.Pressure*quantity.Pressure(digit/read)/2, p.Pressure*readShare))
}

// TestReading is what the points of a test say.
type TestReading struct {
	In        quantity.PressureScale // what pressures are shown in
	Highest   quantity.Pressure
	HoldFrom  time.Time         // from then on the pressure stood: see TestSheet.hold
	HoldAt    quantity.Pressure // what the gauge showed then
	Held      time.Duration
	Drop      quantity.Pressure // lost in the hold; 0 where it rose
	Pumped    quantity.Volume   // 0 where strokes or the pump are not known
	Stiffness float64           // ml/bar as measured; 0 where it is not known
	Air       quantity.Volume
	AirKnown  bool
	Leak      *boiler.Leak // nil where the boiler is not known, or nothing fell
	LeakRate  float64      // ml/min; from the measured stiffness where Leak is nil
	RateKnown bool
	Path      *boiler.LeakPath // how the leak grows with pressure; nil without falls at two pressures
	Findings  []check.Result

	fromIntervals bool // air and stiffness come from two stretches of pumping
}

// Gauges says what was read, each gauge in the unit it was read in.
func (p *TestPoint) Gauges() (first, second string) {
	if p.TwoGauges {
		second = quantity.ScaleOf(p.second).Show(p.Second)
	}
	return quantity.ScaleOf(p.text).Show(p.Pressure), second
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
		p.Second, p.TwoGauges, p.second = s, true, rec.Data["second"]
	}
	if n, err := strconv.ParseFloat(rec.Data["strokes"], 64); err == nil && n >= 0 && n < 1e6 {
		p.Strokes, p.Pumped = n, true
	}
	p.LetDown = rec.Data["let_down"] == "yes"
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
	r := TestReading{In: t.In}
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
	if f := t.overshoot(r.Highest); f != nil {
		r.Findings = append(r.Findings, *f)
	}
	from, end := t.hold(points, top)
	r.HoldFrom, r.HoldAt = points[from].At, points[from].Pressure
	r.Held = points[end].At.Sub(points[from].At)
	t.compare(&r, points)
	t.stiffness(&r, points[:min(top, from)+1])
	// What warming water pushed up and what was lost after it are two things: the
	// loss is reckoned from the highest that the hold saw.
	peak := from
	for i := from + 1; i <= end; i++ {
		if points[i].Pressure > points[peak].Pressure {
			peak = i
		}
	}
	if peak < end {
		from = peak
	}
	r.Drop = max(0, points[from].Pressure-points[end].Pressure)
	t.fall(&r, points[from], points[end])
	t.decay(&r, points[from], points[end])
	t.path(&r, points, end)
	return r
}

// hold gives the first and the last reading of the hold, by their places; top is
// that of the highest reading.
//
// It begins with the first reading at the test pressure. Where that was gone
// past, it begins anew with the first reading that stands at the test pressure
// again: to let down what is too much is no loss. It ends when its time is full,
// when more is pumped, and when the pressure is let down, as somebody says or as
// the gauge shows; what is read after that is no loss either. Where the test
// pressure is not known or was not reached, the highest reading takes its place.
func (t *TestSheet) hold(points []TestPoint, top int) (from, end int) {
	from = -1
	off := false // let down from too much, and not yet back at the test pressure
	for i := range points {
		p := &points[i]
		if from < 0 {
			if i == top || t.stands(p) {
				from, end = i, i
			}
			continue
		}
		first := &points[from]
		switch {
		case t.Plan.Hold > 0 && points[end].At.Sub(first.At) >= t.Plan.Hold:
			return from, end
		case t.above(first) && t.stands(p) && !t.above(p), // it never stood at the test pressure before
			p.Pumped && first.Pumped && p.Strokes > first.Strokes && p.Pressure > first.Pressure,
			t.lets(&points[i-1], p) && t.stands(p):
			from, end, off = i, i, false
		case t.above(first) && t.lets(&points[i-1], p):
			off = true
		case off:
		case !t.above(first) && p.Pumped && first.Pumped && p.Strokes > first.Strokes, // topped up: what comes after is another hold
			t.lets(&points[i-1], p), p.Pressure < first.Pressure*letDown:
			return from, end
		default:
			end = i
		}
	}
	return from, end
}

// stands tells whether a reading shows the test pressure, or more.
func (t *TestSheet) stands(p *TestPoint) bool { return t.Target > 0 && p.reaches(t.Target) }

// lets tells whether pressure was let down between two readings: somebody said
// so, or it came back from above the test pressure to it.
func (t *TestSheet) lets(before, after *TestPoint) bool {
	return after.LetDown || t.above(before) && !t.above(after) && t.stands(after)
}

// LargeFall tells whether a reading of the gauge that is about to be recorded lies
// so far below the last that only a person can say whether pressure was let down,
// and gives the last as it was read: while the hold is on, more than a twentieth
// lower (common practice, no source), or lower than too much and not down to the
// test pressure.
func (t *TestSheet) LargeFall(text string) (last string, ask bool) {
	run := t.Last()
	now := TestPoint{text: text}
	var err error
	if now.Pressure, err = quantity.ParsePressure(text); err != nil || run == nil || run.Result != "" || len(run.Points) == 0 {
		return "", false
	}
	before := &run.Points[len(run.Points)-1]
	held := t.Plan.Hold > 0 && run.Reading.Held >= t.Plan.Hold
	if held || t.notReached(run) != "" || now.Pressure >= before.Pressure || t.above(before) && t.stands(&now) && !t.above(&now) {
		return "", false
	}
	last, _ = before.Gauges()
	return last, t.above(before) || now.Pressure < before.Pressure*(1-largeFall)
}

// largeFall is a share of the reading before: see LargeFall.
const largeFall = 0.05

// above tells whether a reading lies above the test pressure.
func (t *TestSheet) above(p *TestPoint) bool { return t.Target > 0 && p.Pressure >= t.Target+gaugeStep }

// letDown is the share of the pressure of the hold below which it is being let
// off (common practice, no source).
const letDown = 0.1

// leastFall is how long the pump has to stand for a fall to be compared with
// another (common practice, no source): the first minutes settle.
const leastFall = 3 * time.Minute

// path compares the falls at the lowest and the highest pressure at which the
// pump stood: a seat, a thread and a joint that opens grow differently. What was
// let down, and the way down after the hold, which ends with reading end, is no
// fall.
func (t *TestSheet) path(r *TestReading, points []TestPoint, end int) {
	type fall struct {
		at   quantity.Pressure
		rate float64
	}
	var falls []fall
	for from := 0; from < len(points); {
		to := from
		for to+1 < len(points) && points[to+1].Pumped && points[from].Pumped && points[to+1].Strokes == points[from].Strokes &&
			to != end && !t.lets(&points[to], &points[to+1]) {
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
func (t *TestSheet) overshoot(shown quantity.Pressure) *check.Result {
	if t.Target == 0 || shown < t.Target+gaugeStep {
		return nil
	}
	f, err := boiler.CheckReading(t.Target, shown, t.In)
	if err != nil || f.Severity == check.Note {
		return nil
	}
	return &f
}

// compare says where two gauges disagree by more than their classes allow.
func (t *TestSheet) compare(r *TestReading, points []TestPoint) {
	g := boiler.Gauges{In: t.In}
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
			if f.Severity == check.Stop {
				r.Findings = append(r.Findings, f)
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
	r.Findings = append(r.Findings, findings...)
}

// decay judges what the gauge lost while the pump stood.
func (t *TestSheet) decay(r *TestReading, from, to TestPoint) {
	over := to.At.Sub(from.At)
	minutes := over.Minutes()
	if r.Drop <= 0 || minutes <= 0 {
		return
	}
	if shell, ok := t.shell(from.Water); ok {
		if r.AirKnown {
			shell.Air = r.Air
		}
		leak, err := boiler.LeakFromDecay(shell, from.Pressure, boiler.Decay{
			Drop: r.Drop, Over: over, WarmedKnown: from.WaterKnown && to.WaterKnown, Warmed: (to.Water - from.Water).C(), In: t.In,
		})
		if err == nil {
			r.Leak, r.LeakRate, r.RateKnown = &leak, leak.Rate, true
			r.Findings = append(r.Findings, leak.Findings...)
			return
		}
	}
	if r.Stiffness > 0 {
		r.LeakRate, r.RateKnown = r.Stiffness*r.Drop.Bar()/minutes, true
	}
}

// leastAir is how much air in ml is worth a figure: less is not told from strokes
// that are counted and a gauge that is read.
const leastAir = 0.05

// spanOf is a span in words; nought is no time at all.
func spanOf(d time.Duration) string {
	if d <= 0 {
		return "0 min"
	}
	return quantity.SpanString(d)
}

// fall sets what was lost in the hold against what the code allows.
func (t *TestSheet) fall(r *TestReading, from, to TestPoint) {
	if r.Held <= 0 {
		return
	}
	h := boiler.HoldFall{
		From: from.Pressure, Fell: from.Pressure - to.Pressure, Unread: max(from.unread(), to.unread()),
		Allowed: t.DropAllowed, AllowedKnown: t.DropTyped, In: t.In,
	}
	if !t.DropTyped {
		h.Unread = gaugeStep / 2 // whatever can be shown is asked about
	}
	if shell, ok := t.shell(from.Water); ok && from.WaterKnown && to.WaterKnown {
		if r.AirKnown {
			shell.Air = r.Air
		}
		if rise, err := boiler.WarmingRise(shell, from.Pressure); err == nil {
			h.RisePerK, h.Warmed, h.TemperatureKnown = rise, (to.Water - from.Water).C(), true
		}
	}
	found, err := boiler.CheckHoldFall(h)
	if err != nil && t.DropTyped {
		found = []check.Result{{Rule: "fall-too-much", Severity: check.Stop, Message: err.Error(), Source: "the local boiler code and the inspector"}}
	}
	r.Findings = append(r.Findings, found...)
}

// Lines puts what the points say into plain sentences.
func (r *TestReading) Lines() []string {
	if r.Highest == 0 {
		return nil
	}
	stood := ""
	if r.HoldAt != r.Highest {
		stood = "; the hold began at " + r.In.Show(r.HoldAt)
	}
	list := []string{fmt.Sprintf("Highest %s%s; then %s lost in %s", r.In.Show(r.Highest), stood, r.In.Show(r.Drop), spanOf(r.Held))}
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
		if r.Air.ML() < leastAir {
			list = append(list, "Trapped air: none seen")
		} else {
			list = append(list, fmt.Sprintf("Trapped air: about %.1f ml", r.Air.ML()))
		}
	}
	if r.RateKnown {
		list = append(list, fmt.Sprintf("Leak, temperature left out of account: %.3f ml/min", r.LeakRate))
	}
	if r.Leak != nil {
		word := "cannot be told from the change of temperature"
		if r.Leak.Unknown {
			word = "may be a leak or cooling: the water's temperature was not logged"
		}
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
