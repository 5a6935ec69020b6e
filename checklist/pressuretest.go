package checklist

import (
	"fmt"
	"strings"

	"fettle/checklist/boiler"
	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

var testFigures = [...]FigureKey{
	{"product", "The most the code allows", "working pressure times the multiple, both as typed in from the code"},
	{"target", "Test pressure, never above", "at most the product"},
	{"quarter", "First stage", "a quarter of the test pressure"},
	{"half", "Second stage", "half of the test pressure"},
	{"alarm", "Alarm, not allowed", boiler.AlarmMeans},
	{"hold", "Hold", ""},
	{"drop_allowed", "Fall allowed in the hold", ""},
	{"pressure", "Working pressure", "gauge"},
	{"multiple", "Multiple", ""},
	{"code", "Code", "with its edition"},
	{"gauge_least", "Test gauge, smallest scale", "1.5 times the test pressure"},
	{"gauge_most", "Test gauge, largest scale", "4 times the test pressure"},
	{"gauge_scale", "Test gauge to take", "of the usual scales the one nearest to twice the test pressure"},
}

const stageSource = "stages of pumping up (common practice, no source)"

// workTest looks a pressure test over. What the code has to say is typed in;
// nothing is chosen here.
func (x *filler) workTest(p *part, s *Test) {
	var plan boiler.TestPlan
	var states [5]inputState
	// What the gauge in hand is divided in is what the test pressure was typed in.
	typed := func(s string) (quantity.Pressure, error) {
		plan.In = quantity.ScaleOf(s)
		return workingPressure(s)
	}
	plan.WorkingPressure, states[0] = input(x, p, "pressure", s.Pressure, typed)
	plan.Multiple, states[1] = input(x, p, "multiple", s.Multiple, parseNumber)
	plan.Target, states[2] = input(x, p, "target", s.Target, typed)
	plan.Hold, states[3] = input(x, p, "hold", s.Hold, parseWait)
	preliminary, state := input(x, p, "preliminary", s.Preliminary, parseYesNo)
	plan.Preliminary, states[4] = preliminary == "yes", state
	for _, word := range [...]struct {
		key, text string
		to        *string
	}{{"code", s.Code, &plan.Code}, {"edition", s.Edition, &plan.Edition}, {"operator", s.Operator, &plan.Operator},
		{"inspector", s.Inspector, &plan.Inspector}, {"witness", s.Witness, &plan.Witness}} {
		*word.to, state = input(x, p, word.key, word.text, func(s string) (string, error) { return s, nil })
		if state == notKnown {
			*word.to = x.gap(word.key, "not answered")
		}
	}
	drop, dropState := input(x, p, "drop_allowed", s.DropAllowed, allowedFall)
	var gaugeIn quantity.PressureScale
	gauge, gaugeState := input(x, p, "gauge", s.Gauge, func(s string) (quantity.Pressure, error) {
		gaugeIn = quantity.ScaleOf(s)
		return workingPressure(s)
	})
	for _, state := range states {
		if state == notKnown {
			return
		}
	}
	if states[0] == notGiven || states[1] == notGiven {
		return // the key is missing, and that has been said
	}
	out, err := boiler.CheckTarget(plan)
	if err != nil {
		p.refuse(err)
		return
	}
	p.scale = plan.In
	const product = "working pressure × multiple, as typed in from the local code"
	p.pressure("product", out.Product, product)
	if out.Target > 0 {
		p.pressure("target", out.Target, "as typed in from the local code")
		p.pressure("quarter", out.Target/4, stageSource)
		p.pressure("half", out.Target/2, stageSource)
		p.pressure("alarm", out.Alarm, boiler.AlarmSource)
		p.gaugeFigures(out.Target, gauge, gaugeIn, gaugeState)
	} else {
		p.silent = true
	}
	if plan.Hold > 0 {
		p.number("hold", quantity.SpanString(plan.Hold), plan.Hold.Minutes(), "min", "as typed in from the local code")
	} else {
		p.lacks("it has no `hold`", "hold")
	}
	if dropState == given {
		p.pressure("drop_allowed", drop, "as typed in from the local code")
		if out.Target > 0 && drop >= out.Target {
			x.f.Value(check.Stop, source.RuleValue, p.at.Field("drop_allowed"), fmt.Sprintf("%s is no fall of a test at %s", plan.In.Show(drop), plan.In.Show(out.Target)), "")
		}
	} else {
		p.lacks("it has no `drop_allowed`", "drop_allowed")
	}
	p.pressure("pressure", plan.WorkingPressure, "the procedure")
	p.number("multiple", trimNumber(plan.Multiple), plan.Multiple, "", "as typed in from the local code")
	if code := strings.TrimSpace(plan.Code + " " + plan.Edition); code != "" {
		p.add("code", code, "as typed in")
	} else {
		p.lacks("it has no `code`", "code")
	}
	for _, f := range out.Findings {
		p.boilerFindings([]check.Result{f}, testKey(f.Rule))
	}
}

// allowedFall reads a fall of pressure; nought is one too.
func allowedFall(s string) (quantity.Pressure, error) {
	v, err := quantity.ParsePressure(s)
	if err == nil && v < 0 {
		err = fmt.Errorf("%s is no fall that a code allows; 0 bar where it allows none", source.Shown(s))
	}
	return v, err
}

// testKey is the key that a finding about a test plan is about.
func testKey(rule string) string {
	switch rule {
	case "target-too-high":
		return "target"
	case "hold-missing":
		return "hold"
	case "code-missing", "edition-missing":
		return "code"
	case "inspector-missing", "own-inspector":
		return "inspector"
	case "own-witness":
		return "witness"
	}
	return "multiple"
}

func (p *part) pressure(key string, v quantity.Pressure, source string) {
	p.number(key, p.scale.Show(v), v.Bar(), "bar", source)
}

func (p *part) gaugeFigures(target, gauge quantity.Pressure, gaugeIn quantity.PressureScale, state inputState) {
	scale, err := boiler.TestGauge(target)
	if err != nil {
		p.lacks(source.PlainError(err), "gauge_least", "gauge_most", "gauge_scale")
		return
	}
	const source = "between 1.5 and 4 times the test pressure (long-standing ASME practice)"
	p.pressure("gauge_least", scale.Least, source)
	p.pressure("gauge_most", scale.Most, source)
	if len(scale.Stock) > 0 {
		p.number("gauge_scale", scale.Stock[0].String(), scale.Stock[0].Bar(), "bar", source+"; usual scales of EN 837-1")
	} else {
		p.lacks("no usual scale lies between them", "gauge_scale")
	}
	if state == given && (gauge < scale.Least || gauge > scale.Most) {
		p.finding(check.Result{Rule: ruleGaugeScale, Severity: check.Warn, Source: source,
			Message: fmt.Sprintf("a gauge to %s for a test at %s: its scale should end between %s and %s", gaugeIn.Show(gauge), p.scale.Show(target), p.scale.Show(scale.Least), p.scale.Show(scale.Most))}, "gauge")
	}
}
