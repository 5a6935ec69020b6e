package boiler

import (
	"fmt"
	"math"
	"sort"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// GaugeRange is the full scale a test gauge should have.
type GaugeRange struct {
	Least, Ideal, Most quantity.Pressure
	// Stock are the scales of EN 837-1 inside the range, the one nearest to
	// Ideal first.
	Stock []quantity.Pressure
}

const (
	scaleLeast, scaleIdeal, scaleMost = 1.5, 2, 4 // times the test pressure; long-standing ASME practice
)

// gaugeScales are the full scales of EN 837-1 in bar.
var gaugeScales = [...]quantity.Pressure{0.6, 1, 1.6, 2.5, 4, 6, 10, 16, 25, 40, 60, 100, 160, 250}

// TestGauge is the scale of a gauge for a test pressure: between 1.5 and 4
// times it, about twice for preference (long-standing ASME practice). The
// pressure must be above 0 and at most 60 bar; otherwise it returns an
// *InputError.
func TestGauge(test quantity.Pressure) (GaugeRange, error) {
	if err := positive("test pressure", test, testPressureMax, "bar"); err != nil {
		return GaugeRange{}, err
	}
	r := GaugeRange{Least: scaleLeast * test, Ideal: scaleIdeal * test, Most: scaleMost * test}
	for _, s := range gaugeScales {
		if s >= r.Least*(1-1e-9) && s <= r.Most*(1+1e-9) {
			r.Stock = append(r.Stock, s)
		}
	}
	sort.SliceStable(r.Stock, func(a, b int) bool {
		return math.Abs(float64(r.Stock[a]-r.Ideal)) < math.Abs(float64(r.Stock[b]-r.Ideal))
	})
	return r, nil
}

// Gauges are two gauges read at the same moment.
type Gauges struct {
	Scale  [2]quantity.Pressure // full scale
	Class  [2]float64           // accuracy class: error in per cent of full scale
	Shown  [2]quantity.Pressure
	Target quantity.Pressure      // test pressure; 0 where the scales are not to be judged
	In     quantity.PressureScale // the scale the messages say pressures in
}

// CheckGauges compares two gauges: they must agree within the sum of their
// class errors, and each scale suit the test pressure. Figures that cannot be
// are *InputErrors.
func CheckGauges(g Gauges) ([]check.Result, error) {
	var allowed quantity.Pressure
	for i := range g.Scale {
		name := []string{"first", "second"}[i]
		if err := firstError(
			positive("full scale of the "+name+" gauge", g.Scale[i], 1000, "bar"),
			positive("class of the "+name+" gauge", g.Class[i], 5, "%"),
			within("reading of the "+name+" gauge", g.Shown[i], 0, g.Scale[i], "bar"),
		); err != nil {
			return nil, err
		}
		allowed += g.Scale[i] * quantity.Pressure(g.Class[i]/100)
	}
	if err := within("test pressure", g.Target, 0, testPressureMax, "bar"); err != nil {
		return nil, err
	}
	var list []check.Result
	apart := quantity.Pressure(math.Abs(float64(g.Shown[0] - g.Shown[1])))
	f := check.Result{Rule: "gauges-agree", Severity: check.Note, Source: "calculated from the accuracy classes of EN 837-1",
		Message: fmt.Sprintf("%s apart; %s is within their classes.", g.In.Show(apart), g.In.Show(allowed))}
	if apart > allowed*(1+1e-9) {
		f.Severity = check.Stop
		f.Message = fmt.Sprintf("%s apart, but their classes allow %s: one of them is wrong.", g.In.Show(apart), g.In.Show(allowed))
	}
	list = append(list, f)
	for i := range g.Scale {
		if g.Target > 0 && (g.Scale[i] < scaleLeast*g.Target*(1-1e-9) || g.Scale[i] > scaleMost*g.Target*(1+1e-9)) {
			list = append(list, check.Result{Rule: "gauge-scale", Severity: check.Warn, Source: "long-standing ASME practice",
				Message: fmt.Sprintf("A scale of %s does not suit a test at %s: %s to %s does.", g.In.Show(g.Scale[i]), g.In.Show(g.Target), g.In.Show(scaleLeast*g.Target), g.In.Show(scaleMost*g.Target))})
		}
		if g.Class[i] > 1 {
			list = append(list, check.Result{Rule: "gauge-class", Severity: check.Warn, Source: commonPractice,
				Message: fmt.Sprintf("Class %g is coarse for a test: 1.0 or better, on a dial of 100 mm or more.", g.Class[i])})
		}
	}
	return list, nil
}

// PumpStroke is the volume of one stroke of a hand pump. Bore and stroke must
// be above zero and at most 100 and 300 mm; otherwise it returns an *InputError.
func PumpStroke(bore, stroke quantity.Length) (quantity.Volume, error) {
	if err := firstError(
		positive("bore of the pump", bore, 100, "mm"),
		positive("stroke of the pump", stroke, 300, "mm"),
	); err != nil {
		return 0, err
	}
	return quantity.Volume(math.Pi / 4 * float64(bore*bore*stroke) / 1000), nil
}
