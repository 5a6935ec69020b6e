package checklist

import (
	"fmt"
	"maps"
	"math"
	"strings"

	"fettle/checklist/source"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// reading works out the limits of a reading.
func (x *filler) reading(r *Reading) FilledReading {
	out := FilledReading{Name: r.Name, Ask: x.prose(r.Ask, r.at.Field("ask")), Unit: r.Unit, Outside: r.Outside}
	if out.Outside == "" {
		out.Outside = check.Warn
	}
	if r.Danger != "" {
		out.Danger, out.Outside = x.prose(r.Danger, r.at.Field("danger")), check.Stop
	}
	out.Choices = x.lines(r.Choices, r.at.Field("choices"))
	if s := x.p.setting(r.Name); s != nil {
		out.Sets = s.Name
		x.used[s.Name] = true
	}
	unit, ok := unitOf(r.Unit)
	if !ok {
		return out
	}
	out.Unit = unit.name
	if unit.words {
		x.checkRecalled(r.Nominal, r.at.Field("nominal"), unit)
		if raw, ok := x.raw(r.Nominal, r.at.Field("nominal"), beforeReadings); ok && raw != "" {
			text, err := unit.word(raw, out.Choices)
			if err != nil {
				x.f.Value(check.Stop, source.RuleValue, r.at.Field("nominal"), source.PlainError(err), "")
			}
			out.Nominal = Limit{Given: err == nil, Text: text}
		}
		for _, side := range [...]string{"low", "high"} {
			if at := r.at.Field(side); at != nil {
				x.f.Key(check.Stop, source.RuleUnknownKey, at, fmt.Sprintf("a reading of %s has no `%s`", unit.name, side), "")
			}
		}
		return out
	}
	x.bounds(r, unit, &out)
	if out.Sets != "" && strings.TrimSpace(x.readings[r.Name]) != "" && strings.Contains(r.Nominal+r.Low+r.High, "${") {
		x.unmeasured(r.Name).bounds(r, unit, &out)
	}
	if out.Low.Given && out.High.Given && out.Low.Value > out.High.Value+closeEnough(out.High.Value) {
		x.f.Value(check.Stop, source.RuleValue, r.at.Field("low"), fmt.Sprintf("the lower limit %s lies above the upper limit %s", out.Low.Text, out.High.Text), "")
	}
	if r.Nominal != "" {
		lost := x.signForgotten(r, "high", r.High, out.Nominal, out.High, false)
		x.signForgotten(r, "low", r.Low, out.Nominal, out.Low, lost)
	}
	return out
}

// smallShare is the share of what is wanted below which a lower limit is taken for
// an offset that lost its sign: who measures a spindle of 4.76 mm does not mean to
// let 0.05 mm pass. Whoever does mean it can write it with a sign.
const smallShare = 0.1

// signForgotten warns of a limit that makes no sense as the value it is read as,
// and would as an offset from what is wanted. Where the upper one lost its sign the
// lower one has lost its own, too, unless it has one.
func (x *filler) signForgotten(r *Reading, name, text string, nominal, limit Limit, other bool) bool {
	text = strings.TrimSpace(text)
	if !nominal.Given || !limit.Given || nominal.Value <= 0 || limit.Value <= 0 || strings.Contains(text, "${") || strings.ContainsAny(text[:1], "+-") {
		return false
	}
	wrong, sign := "", "-"
	switch v, wanted := limit.Value, nominal.Value; {
	case name == "low" && v > wanted+closeEnough(wanted):
		wrong = fmt.Sprintf("the lower limit %s lies above what is wanted, %s", limit.Text, nominal.Text)
	case name == "low" && (v < smallShare*wanted || other):
		wrong = fmt.Sprintf("the lower limit %s lets readings far below %s pass", limit.Text, nominal.Text)
	case name == "high" && v < wanted-closeEnough(wanted):
		wrong, sign = fmt.Sprintf("the upper limit %s lies below what is wanted, %s", limit.Text, nominal.Text), "+"
	default:
		return false
	}
	x.f.Value(check.Warn, ruleSign, r.at.Field(name), wrong,
		fmt.Sprintf("without a sign it is the value itself; for an offset from the nominal value: %s = %q", name, sign+text))
	return true
}

// bounds works out what is wanted and between what it may lie.
func (x *filler) bounds(r *Reading, unit *readingUnit, out *FilledReading) {
	out.Nominal = x.limit(r, "nominal", r.Nominal, unit, Limit{})
	out.Low = x.limit(r, "low", r.Low, unit, out.Nominal)
	out.High = x.limit(r, "high", r.High, unit, out.Nominal)
}

// unmeasured works out the same procedure as if one reading had not been taken:
// the figures its limits are made of may follow from what it measured, and it
// must not be judged against itself. What it would say has been said.
func (x *filler) unmeasured(reading string) *filler {
	readings := maps.Clone(x.readings)
	delete(readings, reading)
	y := x.p.filler(&source.Reporter{Doc: x.f.Doc, Muted: true}, x.values, readings)
	y.at = x.at
	y.openParts()
	return y
}

// plainSigns makes the minus signs and dashes of word processors plain: read as
// anything else, an offset of -0.05 becomes a limit of 0.05.
func plainSigns(text string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case '\u2212', '\u2010', '\u2011', '\u2012', '\u2013', '\ufe63', '\uff0d':
			return '-'
		case '\uff0b':
			return '+'
		}
		return r
	}, text)
}

// limit reads one limit. With a sign and a nominal value it is an offset.
func (x *filler) limit(r *Reading, name, text string, unit *readingUnit, nominal Limit) Limit {
	if text == "" {
		return Limit{}
	}
	at := r.at.Field(name)
	x.checkRecalled(text, at, unit)
	raw, ok := x.raw(text, at, beforeReadings)
	raw = strings.TrimSpace(plainSigns(raw))
	if !ok || raw == "" {
		return Limit{}
	}
	offset := name != "nominal" && r.Nominal != "" && !strings.HasPrefix(text, "${"+recallWord+".") && strings.ContainsAny(raw[:1], "+-")
	sign := 1.0
	body := raw
	if offset {
		if !nominal.Given {
			return Limit{} // what it is an offset from is not known
		}
		if raw[0] == '-' {
			sign = -1
		}
		body = strings.TrimSpace(raw[1:])
	}
	share, percent := "", false
	if offset && unit.name != "%" {
		share, percent = strings.CutSuffix(body, "%")
	}
	var v float64
	var err error
	if percent {
		if v, err = parseNumber(strings.TrimSpace(share)); err == nil && v < 0 {
			err = fmt.Errorf("%s has two signs", source.Shown(raw))
		} else if err == nil {
			v *= math.Abs(nominal.Value) / 100
		}
	} else {
		v, err = unit.read(body)
	}
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		return Limit{}
	}
	if offset {
		v = nominal.Value + sign*v
	}
	if !offset && unit.inPSI(body) {
		return Limit{Given: true, Value: v, Text: quantity.PSIScale.Show(quantity.Pressure(v))}
	}
	if offset || strings.Contains(text, "${") {
		// Worked out: the last figures are the conversion's, not the author's.
		written := 0
		if !strings.Contains(text, "${") && !percent {
			written = decimals(body)
		}
		return Limit{Given: true, Value: v, Text: unit.bench(v, name, written)}
	}
	return Limit{Given: true, Value: v, Text: unit.print(v)}
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
	kind := u.name
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
	unit, ok := unitOf(r.Unit)
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
	unit, ok := unitOf(r.Unit)
	if !ok || unit.words || unit.name == "°C" || unit.name == "number" || unit.name == "%" {
		return nil
	}
	v, err := unit.read(text)
	if err != nil {
		return nil
	}
	if r.Low.Given && r.Low.Value < 0 {
		return nil // the procedure expects it
	}
	if v < 0 || math.Signbit(v) {
		return fmt.Errorf("%s is less than nought; measure again, and type it without a sign", source.Shown(strings.TrimSpace(text)))
	}
	return nil
}

// Limits says in words between what the reading has to lie: "0.8 to 1.3 mm",
// "at least 6 mm", "exactly 4", "none allowed"; empty where nothing bounds it. A
// lower limit of nought bounds nothing where there is no less.
func (r FilledReading) Limits() string {
	low := r.Low.Given && (r.Low.Value != 0 || r.Unit == "°C")
	switch {
	case r.None():
		return "none allowed"
	case r.Low.Given && r.High.Given && r.Low.Text == r.High.Text:
		return "exactly " + r.Low.Text
	case low && r.High.Given:
		number, unit, _ := strings.Cut(r.Low.Text, " ")
		if _, same, _ := strings.Cut(r.High.Text, " "); same == unit {
			return number + " to " + r.High.Text
		}
		return r.Low.Text + " to " + r.High.Text
	case low:
		return "at least " + r.Low.Text
	case r.High.Given:
		return "at most " + r.High.Text
	}
	return ""
}

// InPSI says whether the limits of a reading in bar were typed in psi, and are
// shown so: the gauge in hand is one in psi.
func (r FilledReading) InPSI() bool {
	unit, ok := unitOf(r.Unit)
	return ok && (unit.inPSI(r.Low.Text) || unit.inPSI(r.High.Text) || unit.inPSI(r.Nominal.Text))
}

// CheckUnit refuses a figure without a unit where it could be meant in two: in
// psi as the limits are shown, or in bar as the reading is kept. Nought is
// nought in both.
func (r FilledReading) CheckUnit(text string) error {
	if v, err := parseNumber(strings.TrimSpace(text)); err != nil || v == 0 || !r.InPSI() {
		return nil
	}
	return fmt.Errorf("%s has no unit, and may be psi or bar; write %s psi, or %s bar", source.Shown(strings.TrimSpace(text)), strings.TrimSpace(text), strings.TrimSpace(text))
}

// Judge compares a typed reading with its limits. A bare number is in the unit
// of the reading; anything else its quantity understands is converted ("3/16
// in" for a reading in mm). A value on a limit is inside. The error says that
// the text is no reading of this unit at all.
func (r FilledReading) Judge(text string) (Judgement, error) {
	unit, ok := unitOf(r.Unit)
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
	v, err := unit.read(text)
	if err != nil {
		return Judgement{}, err
	}
	say := unit.print
	if unit.inPSI(text) || r.InPSI() {
		say = func(v float64) string { return quantity.PSIScale.Show(quantity.Pressure(v)) }
	}
	j := Judgement{OK: true, Text: say(v), Value: v}
	switch {
	case r.Low.Given && v < r.Low.Value-closeEnough(r.Low.Value):
		j.OK, j.Severity = false, r.Outside
		j.Text = fmt.Sprintf("%s is %s under the lower limit %s", j.Text, say(r.Low.Value-v), r.Low.Text)
	case r.High.Given && v > r.High.Value+closeEnough(r.High.Value):
		j.OK, j.Severity = false, r.Outside
		j.Text = fmt.Sprintf("%s is %s over the upper limit %s", j.Text, say(v-r.High.Value), r.High.Text)
	}
	return j, nil
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
