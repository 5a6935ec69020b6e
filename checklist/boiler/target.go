package boiler

import (
	"fmt"
	"strings"
	"time"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// TestPlan is a hydraulic test as the user takes it from the local code. The
// program chooses none of it.
type TestPlan struct {
	Code            string            // name of the code
	Edition         string            // its edition or year
	WorkingPressure quantity.Pressure // stamped on or certified for the boiler
	Multiple        float64           // of the working pressure, from the code
	Hold            time.Duration     // from the code
	// Target is the pressure to be pumped to; 0 stands for the product itself.
	Target quantity.Pressure
	// Operator, Inspector and Witness are the names of the persons.
	Operator, Inspector, Witness string
	// Preliminary is set for a test that certifies nothing.
	Preliminary bool
	// In is the scale the messages say pressures in.
	In quantity.PressureScale
}

// TestTarget is a test plan that was looked at.
type TestTarget struct {
	Product  quantity.Pressure // working pressure times the multiple: the most the code allows
	Target   quantity.Pressure // to be pumped to, never above; 0 where it was refused
	Alarm    quantity.Pressure // 5 % over the target; see [AlarmMeans]
	Findings []check.Result
}

// overshoot is where a needle that has passed the target, which it never should,
// is an alarm (common practice; ASME PG-99 has 6 %, from memory). It is no margin
// to use: above the target is above the target.
const overshoot = 1.05

// AlarmMeans says what the alarm is and whose, in the same words wherever it is shown.
const AlarmMeans = "5 % over the target, this program's mark and not the code's. It is no leave to pass the target: at the alarm something is wrong, come down, the test is over"

// AlarmSource is where its 5 % come from.
const AlarmSource = commonPractice + "; ASME PG-99 has 6 % (from memory)"

const codeDecides = "the local boiler code and the inspector"

// CheckTarget looks a test plan over. It refuses a target above the product of
// the typed working pressure and multiple, and a certifying test by the one
// who inspects it; it asks for whatever the code has to give and is missing.
// Pressures and a multiple that cannot be are *InputErrors.
func CheckTarget(plan TestPlan) (TestTarget, error) {
	if err := firstError(
		positive("working pressure", plan.WorkingPressure, workingPressureMax, "bar"),
		within("target pressure", plan.Target, 0, testPressureMax, "bar"),
		within("hold time", plan.Hold.Minutes(), 0, 24*60, "min"),
	); err != nil {
		return TestTarget{}, err
	}
	var t TestTarget
	add := func(rule string, s check.Severity, source, format string, args ...any) {
		t.Findings = append(t.Findings, check.Result{Rule: rule, Severity: s, Source: source, Message: fmt.Sprintf(format, args...)})
	}
	if plan.Multiple == 0 {
		add("multiple-missing", check.Stop, codeDecides, "The multiple of the working pressure is missing. Take it from the local code: this program does not choose it.")
	} else {
		// The bounds only catch slips of the finger, such as a pressure typed here;
		// the answer names no figure, because the code gives it.
		if !(plan.Multiple >= 1 && plan.Multiple <= 5) {
			return TestTarget{}, &InputError{Field: "multiple", Problem: "what was typed cannot be meant", Expected: "how many times the working pressure, as printed in the local code"}
		}
		t.Product = plan.WorkingPressure * quantity.Pressure(plan.Multiple)
		t.Target = plan.Target
		if t.Target == 0 {
			t.Target = t.Product
		}
		if t.Target > t.Product*(1+1e-9) {
			add("target-too-high", check.Stop, codeDecides, "Target %s is above %s times %g, which is %s: refused.",
				plan.In.Show(t.Target), plan.In.Show(plan.WorkingPressure), plan.Multiple, plan.In.Show(t.Product))
			t.Target = 0
		}
		t.Alarm = t.Target * overshoot
	}
	for _, missing := range []struct {
		given bool
		rule  string
		what  string
	}{
		{strings.TrimSpace(plan.Code) != "", "code-missing", "the name of the code"},
		{strings.TrimSpace(plan.Edition) != "", "edition-missing", "its edition"},
		{plan.Hold > 0, "hold-missing", "the hold time"},
		{plan.Preliminary || strings.TrimSpace(plan.Inspector) != "", "inspector-missing", "who inspects"},
	} {
		if !missing.given {
			add(missing.rule, check.Ask, codeDecides, "Still to be entered from the local code: %s.", missing.what)
		}
	}
	if same(plan.Operator, plan.Inspector) {
		if plan.Preliminary {
			add("own-inspector", check.Note, codeDecides, "A preliminary test by the owner certifies nothing.")
		} else {
			add("own-inspector", check.Stop, codeDecides, "%s would inspect a test of their own: nobody certifies their own work.", strings.TrimSpace(plan.Operator))
		}
	}
	if same(plan.Operator, plan.Witness) {
		add("own-witness", check.Ask, codeDecides, "The witness is the operator: does the code allow it?")
	}
	t.Findings = append(t.Findings, check.Result{Rule: "never-above", Severity: check.Note, Danger: true, Source: codeDecides,
		Message: "Never above the code's test pressure, and not to it again and again: repeated over-pressure may itself harm the boiler."})
	return t, nil
}

func same(a, b string) bool {
	a, b = strings.TrimSpace(a), strings.TrimSpace(b)
	return a != "" && strings.EqualFold(a, b)
}

// CheckReading judges what the gauge shows while pumping to a target: above it
// is a warning, above the alarm a stop. The finding is a note while all is well.
// Its message says pressures in the scale in. Pressures that cannot be are
// *InputErrors.
func CheckReading(target, shown quantity.Pressure, in quantity.PressureScale) (check.Result, error) {
	if err := firstError(
		positive("target pressure", target, testPressureMax, "bar"),
		within("gauge reading", shown, 0, 4*testPressureMax, "bar"),
	); err != nil {
		return check.Result{}, err
	}
	f := check.Result{Rule: "overshoot", Source: AlarmSource}
	over := (float64(shown/target) - 1) * 100
	switch {
	case shown > target*overshoot:
		f.Severity = check.Stop
		f.Message = fmt.Sprintf("%s is %.1f %% above the target of %s: above the alarm, something is wrong. Stop, let it down slowly, tell the inspector.", in.Show(shown), over, in.Show(target))
	case shown > target:
		f.Severity = check.Warn
		f.Message = fmt.Sprintf("%s is above the target of %s, which is never allowed. Let it down at once.", in.Show(shown), in.Show(target))
	default:
		f.Severity = check.Note
		f.Message = fmt.Sprintf("%s to go.", in.Show(target-shown))
	}
	return f, nil
}
