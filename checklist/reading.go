package checklist

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// reading works out the limits of a reading.
func (x *filler) reading(r *Reading) FilledReading {
	out := FilledReading{Name: r.Name, Ask: x.prose(r.Ask, r.at.Field("ask")), Kind: r.Kind, Unit: r.Unit, Sets: r.Sets, Takes: r.Takes, Outside: r.Outside}
	if out.Outside == "" {
		out.Outside = check.Warn
	}
	if r.Danger != "" {
		out.Danger, out.Outside = x.prose(r.Danger, r.at.Field("danger")), check.Stop
	}
	out.Choices = x.lines(r.Choices, r.at.Field("choices"))
	if s := x.p.setting(r.Sets); s != nil {
		x.used[s.Name] = true
	}
	unit, ok := unitFor(r.Kind, r.Unit)
	if !ok {
		return out
	}
	out.Unit = unit.name
	out.Times = x.times(r)
	if unit.words {
		x.checkRecalled(r.Nominal, r.at.Field("nominal"), unit)
		if raw, ok := x.raw(r.Nominal, r.at.Field("nominal"), beforeReadings); ok && raw != "" {
			text, err := unit.word(raw, out.Choices)
			if err != nil {
				x.f.Value(check.Stop, source.RuleValue, r.at.Field("nominal"), source.PlainError(err), "")
			}
			out.Nominal = Limit{Given: err == nil, Text: text}
		}
		for _, side := range [...]string{"low", "high", "within", "plus", "minus"} {
			if at := r.at.Field(side); at != nil {
				x.f.Key(check.Stop, source.RuleUnknownKey, at, fmt.Sprintf("a reading of %s has no `%s`", unit.name, side), "")
			}
		}
		return out
	}
	x.bounds(r, unit, &out)
	if out.Sets != "" && strings.TrimSpace(x.readings[r.Sets]+x.readings[r.Name]) != "" && strings.Contains(r.Nominal+r.Low+r.High+r.Within+r.Plus+r.Minus, "${") {
		x.unmeasured(r).bounds(r, unit, &out)
	}
	if out.Low.Given && out.High.Given && out.Low.Value > out.High.Value+closeEnough(out.High.Value) {
		at := r.at.Field("low")
		if at == nil {
			at = r.at.Field("high")
		}
		x.f.Value(check.Stop, source.RuleValue, at, fmt.Sprintf("the lower limit %s lies above the upper limit %s", out.Low.Text, out.High.Text), "")
	}
	lost := x.offsetMeant(r, "high", r.High, out.Nominal, out.High, false)
	x.offsetMeant(r, "low", r.Low, out.Nominal, out.Low, lost)
	return out
}

// mostTimes is how often one thing is read at most in one reading.
const mostTimes = 40

// takes are the ways to take one figure of several.
var takes = [...]string{"smallest", "largest", "mean"}

// Takes lists the ways to take one figure of a reading that is taken several times.
func Takes() []string { return takes[:] }

// several reports whether a reading is a row of figures.
func (r *Reading) several() bool { return r.Times != "" || r.Each != "" }

// times is how many figures a reading has: one, so many as it says, or one for
// every fastener of the circle that it names.
func (x *filler) times(r *Reading) int {
	if n, err := parseCount(r.Times); err == nil {
		return n
	}
	if r.Each == "" {
		return 1
	}
	p := x.parts[r.Each]
	if p == nil || p.kind != "fastener" {
		x.f.Value(check.Stop, source.RuleUnknownName, r.at.Field("each"), fmt.Sprintf("there is no fastener %s", source.Shown(r.Each)), x.f.Suggest(r.Each, x.fastenerNames()))
		return 1
	}
	x.name(p)
	p.ready()
	switch {
	case p.places >= 1 && p.places <= mostTimes:
		return p.places
	case p.silent || x.ignoring || !p.applies:
	case p.places > mostTimes:
		x.f.Value(check.Stop, source.RuleValue, r.at.Field("each"), fmt.Sprintf("%s is %d; a table has at most %d lines", r.Each, p.places, mostTimes), "")
	default:
		x.f.Value(check.Stop, source.RuleFigure, r.at.Field("each"), fmt.Sprintf("nothing says how many of %s there are: it has no `count`", r.Each), "")
	}
	return 1
}

// splitTaken parts the figures of a reading that is taken several times.
func splitTaken(text string) []string {
	parts := strings.Split(text, ";")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

// takenOf is the figure that counts.
func takenOf(how string, list []float64) float64 {
	switch how {
	case "largest":
		return slices.Max(list)
	case "mean":
		sum := 0.0
		for _, v := range list {
			sum += v
		}
		return sum / float64(len(list))
	}
	return slices.Min(list)
}

// Taken is the one value, as a person would type it, that counts of what was typed
// for the reading: itself, or what takes says of several.
func (r FilledReading) Taken(text string) string {
	unit, ok := unitFor(r.Kind, r.Unit)
	if !ok || r.Times < 2 || r.Takes == "" {
		return text
	}
	var numbers []float64
	for _, part := range splitTaken(text) {
		v, err := unit.read(part)
		if err != nil {
			return text
		}
		numbers = append(numbers, v)
	}
	return exact(takenOf(r.Takes, numbers)) + unit.suffix
}

// smallShare is the share of what is wanted below which a lower limit is taken for
// an offset: who measures a spindle of 4.76 mm does not mean to let 0.05 mm pass.
const smallShare = 0.1

// offsetMeant warns of a limit that makes no sense as the value it is, and would as
// an offset from what is wanted. Where the upper one was meant so the lower one was,
// too. A limit with a sign is none where there is nothing below nought.
func (x *filler) offsetMeant(r *Reading, name, text string, nominal, limit Limit, other bool) bool {
	if text = strings.TrimSpace(text); text == "" {
		return false
	}
	offset := map[string]string{"low": "minus", "high": "plus"}[name]
	if !strings.Contains(text, "${") && (text[0] == '+' || text[0] == '-' && !belowNought(r.Kind)) {
		x.f.Value(check.Stop, source.RuleValue, r.at.Field(name), fmt.Sprintf("`%s` is a value, and %s has a sign", name, source.Shown(text)),
			fmt.Sprintf("an offset from the nominal value: %s = %q", offset, strings.TrimSpace(text[1:])))
		return false
	}
	if !nominal.Given || !limit.Given || nominal.Value <= 0 || limit.Value <= 0 || strings.Contains(text, "${") {
		return false
	}
	wrong := ""
	switch v, wanted := limit.Value, nominal.Value; {
	case name == "low" && v > wanted+closeEnough(wanted):
		wrong = fmt.Sprintf("the lower limit %s lies above what is wanted, %s", limit.Text, nominal.Text)
	case name == "low" && (v < smallShare*wanted || other):
		wrong = fmt.Sprintf("the lower limit %s lets readings far below %s pass", limit.Text, nominal.Text)
	case name == "high" && v < wanted-closeEnough(wanted):
		wrong = fmt.Sprintf("the upper limit %s lies below what is wanted, %s", limit.Text, nominal.Text)
	default:
		return false
	}
	x.f.Value(check.Warn, ruleSign, r.at.Field(name), wrong, fmt.Sprintf("`%s` is the value itself; for an offset from the nominal value: %s = %q", name, offset, text))
	return true
}

// belowNought reports whether there is less than nought of a kind.
func belowNought(kind string) bool {
	return kind == "temperature" || kind == "number" || kind == "percent" || kind == "angle"
}

// bounds works out what is wanted and between what it may lie.
func (x *filler) bounds(r *Reading, unit *readingUnit, out *FilledReading) {
	out.Nominal = x.limit(r, "nominal", r.Nominal, unit)
	out.Low = x.limit(r, "low", r.Low, unit)
	out.High = x.limit(r, "high", r.High, unit)
	for _, o := range [...]struct {
		key, text string
		to        *Limit
	}{{"minus", firstText(r.Minus, r.Within), &out.Low}, {"plus", firstText(r.Plus, r.Within), &out.High}} {
		key := o.key
		if r.Within != "" {
			key = "within"
		}
		if o.text != "" {
			*o.to = x.offset(r, key, o.key, o.text, unit, out.Nominal)
		}
	}
}

func firstText(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// unmeasured works out the same procedure as if one reading had not been taken:
// the figures its limits are made of may follow from what it measured, and it
// must not be judged against itself. What it would say has been said.
func (x *filler) unmeasured(r *Reading) *filler {
	readings := maps.Clone(x.readings)
	delete(readings, r.Sets)
	delete(readings, r.Name)
	y := x.p.filler(&source.Reporter{Doc: x.f.Doc, Muted: true}, x.values, readings)
	y.at = x.at
	y.openParts()
	return y
}

// limit reads what is wanted of a reading, or a limit that is a value.
func (x *filler) limit(r *Reading, name, text string, unit *readingUnit) Limit {
	if text == "" {
		return Limit{}
	}
	at := r.at.Field(name)
	x.checkRecalled(text, at, unit)
	raw, ok := x.raw(text, at, beforeReadings)
	raw = strings.TrimSpace(raw)
	if !ok || raw == "" {
		return Limit{}
	}
	v, err := unit.read(raw)
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		return Limit{}
	}
	switch {
	case unit.inPSI(raw):
		return Limit{Given: true, Value: v, Text: quantity.PSIScale.Show(quantity.Pressure(v))}
	case strings.Contains(text, "${"):
		// Worked out: the last figures are the conversion's, not the author's.
		return Limit{Given: true, Value: v, Text: unit.bench(v, name, 0)}
	}
	return Limit{Given: true, Value: v, Text: unit.print(v)}
}

// offset reads how far from what is wanted a reading may lie: in its unit, or in
// percent of what is wanted.
func (x *filler) offset(r *Reading, key, side, text string, unit *readingUnit, nominal Limit) Limit {
	at := r.at.Field(key)
	x.checkRecalled(text, at, unit)
	raw, ok := x.raw(text, at, beforeReadings)
	body := strings.TrimSpace(raw)
	if key == "within" {
		body = strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(body, "±"), "+/-"))
	}
	if !ok || body == "" || !nominal.Given {
		return Limit{} // what it is an offset from is not known
	}
	share, percent := strings.CutSuffix(body, "%")
	percent = percent && unit.name != "%"
	var v float64
	var err error
	if percent {
		if v, err = parseNumber(share); err == nil {
			v *= math.Abs(nominal.Value) / 100
		}
	} else {
		v, err = unit.read(body)
	}
	if err == nil && (strings.ContainsAny(body[:1], "+-") || v < 0) {
		err = fmt.Errorf("%s has a sign: `%s` says which way it goes", source.Shown(body), key)
	}
	if err != nil {
		if key != "within" || side == "minus" { // said once
			x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), key+` = "0.05"`)
		}
		return Limit{}
	}
	written := 0
	if !strings.Contains(text, "${") && !percent {
		written = decimals(body)
	}
	if side == "minus" {
		v = nominal.Value - v
		return Limit{Given: true, Value: v, Text: unit.bench(v, "low", written)}
	}
	v += nominal.Value
	return Limit{Given: true, Value: v, Text: unit.bench(v, "high", written)}
}

// decimals counts the digits behind the point of a number as it is written; 0
// for anything else.
func decimals(text string) int {
	number, _, _ := strings.Cut(strings.TrimSpace(text), " ")
	_, digits, _ := strings.Cut(strings.Replace(number, ",", ".", 1), ".")
	n := 0
	for n < len(digits) && digits[n] >= '0' && digits[n] <= '9' {
		n++
	}
	return min(n, 4)
}

// word reads an answer in words.
func (u *readingUnit) word(text string, choices []string) (string, error) {
	kind := u.kind
	if kind == "thread" {
		text, _ = likelyThread(text)
	}
	v, err := parseValue(kind, text, choices)
	if err == nil && kind == "text" && v.raw == "" {
		return "", fmt.Errorf("a reading is missing")
	}
	return v.text, err
}

// Judgement is what is to be said about a reading that was typed.
type Judgement struct {
	OK       bool
	Text     string         // one sentence: the value, and its limits where it is outside
	Severity check.Severity // "" where OK
	Value    float64        // in the unit of the reading; zero for words
}

// InWords reports whether the reading is an answer in words, no number.
func (r FilledReading) InWords() bool {
	unit, ok := unitFor(r.Kind, r.Unit)
	return ok && unit.words
}

// None says that nothing but nought is within the limits: no leak, no play.
func (r FilledReading) None() bool {
	return r.Low.Given && r.High.Given && r.Low.Value == 0 && r.High.Value == 0
}

// CanBe says why a value is none that such a reading can have: there is no gap,
// no diameter and no count below nought. Nil where it can be; what is no value of
// its unit at all is left to [FilledReading.Judge].
func (r FilledReading) CanBe(text string) error {
	unit, ok := unitFor(r.Kind, r.Unit)
	if !ok || unit.words || unit.kind == "temperature" || unit.name == "number" || unit.kind == "percent" {
		return nil
	}
	if r.Low.Given && r.Low.Value < 0 {
		return nil // the procedure expects it
	}
	for _, one := range r.figures(text) {
		if v, err := unit.read(one); err == nil && (v < 0 || math.Signbit(v)) {
			return fmt.Errorf("%s is less than nought; measure again, and type it without a sign", source.Shown(strings.TrimSpace(one)))
		}
	}
	return nil
}

// Limits says in words between what the reading has to lie: "0.8 to 1.3 mm",
// "at least 6 mm", "exactly 4", "none allowed"; empty where nothing bounds it. A
// lower limit of nought bounds nothing where there is no less.
func (r FilledReading) Limits() string {
	if r.None() {
		return "none allowed"
	}
	return between(r.Low, r.High, r.Unit == "°C")
}

// Limits is what [FilledReading.Limits] is of a reading.
func (f FilledWorkedOut) Limits() string { return between(f.Low, f.High, true) }

func between(lowest, highest Limit, belowNought bool) string {
	low := lowest.Given && (lowest.Value != 0 || belowNought)
	switch {
	case lowest.Given && highest.Given && lowest.Text == highest.Text:
		return "exactly " + lowest.Text
	case low && highest.Given:
		number, unit, _ := strings.Cut(lowest.Text, " ")
		if _, same, _ := strings.Cut(highest.Text, " "); same == unit {
			return number + " to " + highest.Text
		}
		return lowest.Text + " to " + highest.Text
	case low:
		return "at least " + lowest.Text
	case highest.Given:
		return "at most " + highest.Text
	}
	return ""
}

// InPSI says whether the limits of a reading in bar were typed in psi, and are
// shown so: the gauge in hand is one in psi.
func (r FilledReading) InPSI() bool {
	unit, ok := unitFor(r.Kind, r.Unit)
	return ok && (unit.inPSI(r.Low.Text) || unit.inPSI(r.High.Text) || unit.inPSI(r.Nominal.Text))
}

// CheckUnit refuses a figure without a unit where it could be meant in two: in
// psi as the limits are shown, or in bar as the reading is kept. Nought is
// nought in both.
func (r FilledReading) CheckUnit(text string) error {
	if one := r.figures(text); len(one) > 1 {
		for _, text := range one {
			r.Times = 1
			if err := r.CheckUnit(text); err != nil {
				return err
			}
		}
		return nil
	}
	if v, err := parseNumber(strings.TrimSpace(text)); err != nil || v == 0 || !r.InPSI() {
		return nil
	}
	return fmt.Errorf("%s has no unit, and may be psi or bar; write %s psi, or %s bar", source.Shown(strings.TrimSpace(text)), strings.TrimSpace(text), strings.TrimSpace(text))
}

// figures are the figures of what was typed: one, or several with ; between.
func (r FilledReading) figures(text string) []string {
	if r.Times > 1 {
		return splitTaken(text)
	}
	return []string{text}
}

// Judge compares a typed reading with its limits. A bare number is in the unit
// of the reading; anything else its quantity understands is converted ("3/16
// in" for a reading in mm). A value on a limit is inside. Of several figures, typed
// with ; between, every one has to lie inside. The error says that the text is no
// reading of this unit at all.
func (r FilledReading) Judge(text string) (Judgement, error) {
	unit, ok := unitFor(r.Kind, r.Unit)
	if !ok {
		return Judgement{}, fmt.Errorf("the unit %s of this reading is not known", source.Shown(r.Unit))
	}
	if unit.words {
		word, err := unit.word(text, r.Choices)
		if err != nil {
			return Judgement{}, err
		}
		if r.Nominal.Given && unit.name != "text" && word != r.Nominal.Text {
			return Judgement{Text: fmt.Sprintf("%s, and not %s", word, r.Nominal.Text), Severity: r.Outside}, nil
		}
		if _, likely := likelyThread(text); likely && unit.name == "thread" {
			word += ", only probable"
		}
		return Judgement{OK: true, Text: word}, nil
	}
	parts := r.figures(text)
	if len(parts) != max(r.Times, 1) {
		return Judgement{}, fmt.Errorf("%d figures are wanted, with ; between them, and not %d", r.Times, len(parts))
	}
	var worst Judgement
	var said []string
	for i, part := range parts {
		v, err := unit.read(part)
		if err != nil {
			return Judgement{}, err
		}
		say := unit.print
		if unit.inPSI(part) || r.InPSI() {
			say = func(v float64) string { return quantity.PSIScale.Show(quantity.Pressure(v)) }
		}
		j := judge(v, say(v), r.Low, r.High, r.Outside, say)
		if said = append(said, say(v)); i == 0 || worst.OK && !j.OK {
			worst = j
		}
	}
	if len(parts) == 1 {
		return worst, nil
	}
	if worst.OK {
		worst.Text = strings.Join(said, "; ")
	}
	if v, err := unit.read(r.Taken(text)); err == nil && worst.OK {
		worst.Value = v
	}
	return worst, nil
}

// judge compares a figure with its limits. One that lies on a limit is inside.
func judge(v float64, text string, low, high Limit, outside check.Severity, say func(float64) string) Judgement {
	j := Judgement{OK: true, Text: text, Value: v}
	switch {
	case low.Given && v < low.Value-closeEnough(low.Value):
		j.OK, j.Severity = false, outside
		j.Text = fmt.Sprintf("%s is %s under the lower limit %s", j.Text, say(low.Value-v), low.Text)
	case high.Given && v > high.Value+closeEnough(high.Value):
		j.OK, j.Severity = false, outside
		j.Text = fmt.Sprintf("%s is %s over the upper limit %s", j.Text, say(v-high.Value), high.Text)
	}
	return j
}

// likelyThread takes the mark off a thread that was identified by measuring and
// not tried with a gauge or a known mate: "2 BA?", "2 BA probable".
func likelyThread(raw string) (name string, likely bool) {
	name = strings.TrimSpace(raw)
	for _, mark := range [...]string{"?", "probable", "(probable)"} {
		if cut, ok := strings.CutSuffix(name, mark); ok && strings.TrimSpace(cut) != "" {
			return strings.TrimRight(cut, " ,"), true
		}
	}
	return name, false
}

// threadName is the usual name of a thread.
func threadName(raw string) (string, error) {
	t, err := threads.Parse(raw)
	if err != nil {
		return "", err
	}
	return t.String(), nil
}
