package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// HoldFall is what the gauge lost over the hold of a hydraulic test, and what
// the local code allows. The program chooses none of it.
type HoldFall struct {
	From quantity.Pressure // at the beginning of the hold, gauge
	Fell quantity.Pressure // less than 0: it rose
	// Unread is the fall that the gauge, as it was read, cannot show.
	Unread quantity.Pressure
	// Allowed is typed in from the local code; 0 is a figure too. AllowedKnown is
	// set where it was typed.
	Allowed      quantity.Pressure
	AllowedKnown bool
	// Warmed is how much the water warmed meanwhile, in kelvin (less than 0: it
	// cooled), and RisePerK what that does to the gauge, in bar/K, from
	// [WarmingRise]. TemperatureKnown is set where both are known.
	Warmed           float64
	RisePerK         float64
	TemperatureKnown bool
	In               quantity.PressureScale // the scale the messages say pressures in
}

// ofTemperature is the fall that the change of temperature accounts for.
func (h HoldFall) ofTemperature() quantity.Pressure {
	if !h.TemperatureKnown {
		return 0
	}
	return quantity.Pressure(-h.RisePerK * h.Warmed)
}

// CheckHoldFall sets the fall of pressure over a hold against what the code
// allows. More than that is a stop: this hold has failed. It is an ask where no
// figure was typed in, where the gauge lost more but cooling accounts for the
// rest, and where the gauge lost no more but warming should have raised it:
// whether the change of temperature counts, the code and the inspector decide. A
// change that a thermometer read to 0.1 K may hide is none. A fall that the
// gauge cannot show is none either.
//
// From must be above 0 and at most 60 bar; Fell no more than that; Allowed 0 to
// less than From; Warmed within 30 K. Otherwise it is an *InputError.
func CheckHoldFall(h HoldFall) ([]check.Result, error) {
	if err := firstError(
		positive("pressure at the beginning of the hold", h.From, testPressureMax, "bar"),
		within("fall in the hold", h.Fell, -testPressureMax, h.From, "bar"),
		within("fall that cannot be read", h.Unread, 0, h.From, "bar"),
		within("change of water temperature", h.Warmed, -30, 30, "K"),
		within("rise of pressure with temperature", h.RisePerK, -100, 100, "bar/K"),
	); err != nil {
		return nil, err
	}
	if a := float64(h.Allowed); math.IsNaN(a) || h.Allowed < 0 || h.Allowed >= h.From {
		return nil, &InputError{Field: "fall allowed in the hold", Problem: fmt.Sprintf("%s cannot be meant for a hold at %s", h.In.Show(h.Allowed), h.In.Show(h.From)), Expected: "how much the gauge may fall, as printed in the local code; 0 bar where it allows none"}
	}
	one := func(rule string, s check.Severity, format string, args ...any) ([]check.Result, error) {
		return []check.Result{{Rule: rule, Severity: s, Source: codeDecides, Message: fmt.Sprintf(format, args...)}}, nil
	}
	explained := h.ofTemperature()
	unseen := quantity.Pressure(0)
	if h.TemperatureKnown {
		unseen = quantity.Pressure(math.Abs(h.RisePerK) * thermometerK)
	}
	lost := h.Fell > h.Unread
	switch {
	case !h.AllowedKnown && lost:
		return one("fall-not-given", check.Ask, "%s was lost in the hold: whether that is allowed, the code decides. Its figure has not been typed in.", h.In.Show(h.Fell))
	case !h.AllowedKnown:
		return nil, nil
	case lost && h.Fell-h.Allowed > h.Unread && h.Fell-explained-h.Allowed > h.Unread:
		out := ""
		if h.TemperatureKnown && explained > 0 {
			out = fmt.Sprintf(", of which cooling by %.1f K accounts for %s", -h.Warmed, h.In.Show(explained))
			if h.Warmed > 0 {
				out = fmt.Sprintf(", of which warming by %.1f K accounts for %s", h.Warmed, h.In.Show(explained))
			}
		}
		return one("fall-too-much", check.Stop, "%s was lost in the hold%s. The code as typed in allows %s: this hold has failed.", h.In.Show(h.Fell), out, h.In.Show(h.Allowed))
	case lost && h.Fell-h.Allowed > h.Unread:
		return one("fall-by-temperature", check.Ask, "%s was lost in the hold and the code as typed in allows %s. A change of %+.1f K accounts for %s: whether that may be reckoned off, the inspector decides. Better hold again at an even temperature.", h.In.Show(h.Fell), h.In.Show(h.Allowed), h.Warmed, h.In.Show(explained))
	case h.Fell-explained-h.Allowed > h.Unread+unseen:
		return one("fall-hidden", check.Ask, "The change of %+.1f K should have raised the gauge by %s; it fell %s. A leak of more than the code allows may hide behind it: the inspector decides. Better hold again at an even temperature.", h.Warmed, h.In.Show(-explained), h.In.Show(max(h.Fell, 0)))
	case lost:
		return one("fall-allowed", check.Note, "%s was lost in the hold; the code as typed in allows %s.", h.In.Show(h.Fell), h.In.Show(h.Allowed))
	}
	return nil, nil
}
