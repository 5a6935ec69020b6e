package boiler

import (
	"fmt"
	"math"
	"time"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Intervals is the water bled or pumped between three gauge pressures on the
// same boiler.
type Intervals struct {
	Low, Middle, High quantity.Pressure
	LowToMiddle       quantity.Volume
	MiddleToHigh      quantity.Volume
	Atmosphere        quantity.AbsolutePressure // 0 stands for the standard atmosphere
	Boiler            quantity.Volume           // what the boiler holds; 0 where unknown
}

// AirFromIntervals finds the trapped air, as a volume at atmospheric pressure,
// and the stiffness of the boiler without it, in ml/bar, from the water that
// two intervals of pressure took: ΔV = C·Δp + air·(p0/(p0+a) - p0/(p0+b)), once
// for each, solved for both.
//
// Pressures must rise and lie in 0 to 60 bar, volumes be above zero. An answer
// that cannot be (stiffness or air below zero, more air than the boiler) is an
// *InputError: one of the readings is wrong, or something leaked meanwhile.
func AirFromIntervals(in Intervals) (air quantity.Volume, stiffness float64, err error) {
	atm := in.Atmosphere
	if atm == 0 {
		atm = quantity.StandardAtmosphere
	}
	if err := firstError(
		within("lowest pressure", in.Low, 0, testPressureMax, "bar"),
		within("middle pressure", in.Middle, 0, testPressureMax, "bar"),
		within("highest pressure", in.High, 0, testPressureMax, "bar"),
		positive("water between the lower two pressures", in.LowToMiddle, shellVolumeMax, "ml"),
		positive("water between the upper two pressures", in.MiddleToHigh, shellVolumeMax, "ml"),
		within("atmospheric pressure", atm, 0.5, 1.1, "bar abs"),
		within("volume of the boiler", in.Boiler, 0, shellVolumeMax, "ml"),
	); err != nil {
		return 0, 0, err
	}
	if in.Middle <= in.Low || in.High <= in.Middle {
		return 0, 0, &InputError{Field: "pressures", Problem: fmt.Sprintf("%s, %s and %s do not rise", in.Low, in.Middle, in.High), Expected: "three pressures, lowest first"}
	}
	p0 := float64(atm)
	shrink := func(a, b quantity.Pressure) float64 { return p0/(p0+float64(a)) - p0/(p0+float64(b)) }
	g1, g2 := shrink(in.Low, in.Middle), shrink(in.Middle, in.High)
	d1, d2 := float64(in.Middle-in.Low), float64(in.High-in.Middle)
	v1, v2 := float64(in.LowToMiddle), float64(in.MiddleToHigh)
	// The air shrinks most at low pressure, so that g1/d1 > g2/d2 and the two
	// equations never coincide.
	det := d1*g2 - d2*g1
	stiffness = (v1*g2 - v2*g1) / det
	found := (d1*v2 - d2*v1) / det
	// Nothing but rounding of the readings: a boiler without air.
	if found < 0 && found > -1e-9*(v1+v2) {
		found = 0
	}
	problem := ""
	switch {
	case stiffness <= 0:
		problem = "the boiler would have no give at all"
	case found < 0:
		problem = fmt.Sprintf("the trapped air would be %.3g ml", found)
	case in.Boiler > 0 && quantity.Volume(found) >= in.Boiler:
		problem = fmt.Sprintf("the trapped air, %s, would be more than the boiler, %s", quantity.Volume(found), in.Boiler)
	}
	if problem != "" {
		return 0, 0, &InputError{Field: "readings", Problem: problem, Expected: "more water per bar in the lower interval than in the upper one; look for a leak or a wrong reading"}
	}
	return quantity.Volume(found), stiffness, nil
}

// Decay is a fall of pressure with the boiler shut in.
type Decay struct {
	Drop quantity.Pressure // how much the gauge fell
	Over time.Duration
	// Warmed is how much the water warmed meanwhile, in kelvin; negative: it
	// cooled. WarmedKnown is set where it was measured at all.
	Warmed      float64
	WarmedKnown bool
	In          quantity.PressureScale // the scale the messages say pressures in
}

// Leak is what a decay says.
type Leak struct {
	Rate float64 // ml/min, with the change of temperature left out of account
	// RateCorrected is the rate with the change of temperature taken out; it is
	// Rate where none was measured.
	RateCorrected float64
	Stiffness     float64 // ml/bar at the starting pressure
	// TemperaturePerK is what one kelvin of warming does to the gauge, bar/K.
	TemperaturePerK float64
	// Explained is the drop that the change of temperature accounts for, at least
	// what a thermometer read to 0.1 K may hide.
	Explained quantity.Pressure
	// Distinguishable is set where the change of temperature is known and the drop
	// is more than Explained. Unknown is set where nobody measured it and the drop
	// is more than a thermometer hides: it may be a leak, or cooling.
	Distinguishable, Unknown bool
	DropsPerMinute           float64
	Hole                     quantity.Length // round hole with sharp edges that passes as much
	Findings                 []check.Result
}

// DropVolume is what a drop of water holds (common practice, no source).
const DropVolume quantity.Volume = 0.05

const (
	thermometerK     = 0.1  // K, to which a water temperature is read
	orificeDischarge = 0.62 // of a sharp-edged hole (from memory: fluid mechanics)
)

// LeakFromDecay turns a decay that began at the gauge pressure p into a leak
// rate: the water that the boiler gives out for that drop, over the time. It
// says what warming by one kelvin would do to the gauge, from the expansion of
// the water (IAPWS-IF97) less that of the shell, V·(β - 3α)/C, and whether the
// drop can be told from the change of temperature. A fall of temperature
// explains a drop only where warming raises the pressure, and the other way
// round: below about 8 °C water shrinks against a copper shell as it warms.
//
// Drop and time must be above zero, the drop no more than p; figures that
// cannot be are *InputErrors.
func LeakFromDecay(s Shell, p quantity.Pressure, d Decay) (Leak, error) {
	if err := firstError(
		positive("test pressure", p, testPressureMax, "bar"),
		positive("drop of pressure", d.Drop, testPressureMax, "bar"),
		within("change of water temperature", d.Warmed, -30, 30, "K"),
	); err != nil {
		return Leak{}, err
	}
	if d.Over <= 0 {
		return Leak{}, &InputError{Field: "time", Problem: fmt.Sprintf("%s is no time to have passed", d.Over), Expected: "the time from the first reading to the last, above zero"}
	}
	if d.Over > 31*24*time.Hour {
		return Leak{}, &InputError{Field: "time", Problem: quantity.SpanString(d.Over) + " is too long", Expected: "at most 31 days"}
	}
	if d.Drop > p {
		return Leak{}, &InputError{Field: "drop of pressure", Problem: fmt.Sprintf("%s is more than there was, %s", d.In.Show(d.Drop), d.In.Show(p)), Expected: "how much the gauge fell, not what it showed"}
	}
	before, err := Fill(s, p)
	if err != nil {
		return Leak{}, err
	}
	after, err := Fill(s, p-d.Drop)
	if err != nil {
		return Leak{}, err
	}
	warming, err := s.warming()
	if err != nil {
		return Leak{}, err
	}
	l := Leak{Stiffness: before.Stiffness}
	l.TemperaturePerK = warming / l.Stiffness
	minutes := d.Over.Minutes()
	lost := float64(before.Pump - after.Pump)
	l.Rate = lost / minutes
	l.RateCorrected = max((lost+warming*d.Warmed)/minutes, 0)
	least := math.Abs(l.TemperaturePerK) * thermometerK
	l.Explained = quantity.Pressure(max(-l.TemperaturePerK*d.Warmed, least))
	more := d.Drop >= l.Explained
	l.Distinguishable, l.Unknown = more && d.WarmedKnown, more && !d.WarmedKnown
	l.DropsPerMinute = l.Rate / float64(DropVolume)
	if l.Hole, err = HoleFor(l.Rate, p); err != nil {
		return Leak{}, err
	}
	l.Findings = l.findings(s, d)
	return l, nil
}

func (l Leak) findings(s Shell, d Decay) []check.Result {
	var list []check.Result
	switch {
	case l.Unknown:
		message := "The water's temperature was not logged: whether this drop is a leak is not known."
		if l.TemperaturePerK != 0 {
			message += fmt.Sprintf(" A change of %.1f K alone would explain it.", math.Abs(float64(d.Drop)/l.TemperaturePerK))
		}
		list = append(list, check.Result{Rule: "temperature-unknown", Severity: check.Ask, Source: "calculated", Message: message})
	case !l.Distinguishable && d.WarmedKnown:
		list = append(list, check.Result{Rule: "decay-temperature", Severity: check.Warn, Source: "calculated",
			Message: fmt.Sprintf("The change of temperature accounts for up to %s: the drop cannot be told from it. Wait, bring the pressure back, log again.", d.In.Show(l.Explained))})
	case !l.Distinguishable:
		list = append(list, check.Result{Rule: "decay-temperature", Severity: check.Warn, Source: "calculated",
			Message: fmt.Sprintf("A tenth of a kelvin, unseen on the thermometer, accounts for %s: the drop cannot be told from it. Log longer.", d.In.Show(l.Explained))})
	}
	if s.Air > 0 {
		list = append(list, check.Result{Rule: "air-hides-leaks", Severity: check.Warn, Source: "calculated",
			Message: "Trapped air slows the decay and hides a leak: vent it and test again."})
	}
	return append(list,
		check.Result{Rule: "decay-settling", Severity: check.Note, Source: commonPractice,
			Message: "The first minutes mislead: air dissolves, copper and gaskets settle. Wait ten minutes, bring the pressure back, log again."},
		check.Result{Rule: "stand-clear", Severity: check.Note, Danger: true, Source: "published guidance on pressure tests: deaths came from thrown-out test fittings",
			Message: "Look for the leak from the side, never in line with a plug or blank. Never pump above the code's test pressure to find it. Warming water raises the pressure: do not leave it shut in."},
	)
}

// HoleFor is the diameter of a round, sharp-edged hole that passes q ml/min of
// water at the gauge pressure p into the open, at a discharge coefficient of
// 0.62 (from memory: fluid mechanics). Real leaks are longer and narrower, and
// need a wider path: it is a lower bound. q must be 0 to 10000, p above 0 and
// at most 60 bar; otherwise it returns an *InputError.
func HoleFor(q float64, p quantity.Pressure) (quantity.Length, error) {
	if err := firstError(
		within("leak", q, 0, 10000, "ml/min"),
		positive("pressure", p, testPressureMax, "bar"),
	); err != nil {
		return 0, err
	}
	const (
		density = 998.2 // kg/m³, water at 20 °C
		pascal  = 1e5   // in a bar
		flow    = 1e-6 / 60
	)
	speed := math.Sqrt(2 * float64(p) * pascal / density)
	area := q * flow / (orificeDischarge * speed) // m²
	return quantity.Length(math.Sqrt(area*4/math.Pi) * 1000), nil
}

// WarmingRise is what the gauge of a boiler shut in at the pressure p climbs by
// as its water warms, in bar per kelvin at p; negative where it falls. Errors
// as Fill.
func WarmingRise(s Shell, p quantity.Pressure) (float64, error) {
	f, err := Fill(s, p)
	if err != nil {
		return 0, err
	}
	warming, err := s.warming()
	return warming / f.Stiffness, err
}

// warming is how many ml the water outgrows the shell by for a kelvin. The
// expansion of the water is that at atmospheric pressure, as water tables print
// it; at test pressures it is a hundredth or two more.
func (s Shell) warming() (float64, error) {
	water, err := LiquidWater(s.water(), quantity.StandardAtmosphere)
	return float64(s.Volume) * (water.Expansion - 3*s.Metal.Expansion), err
}

// LeakPath is the kind of path a leak takes, told from how it grows with pressure.
type LeakPath struct {
	Exponent float64
	Kind     string
	Meaning  string
}

// PathFromTwo tells the kind of leak from its rates at two pressures: the
// exponent n in Q ~ p^n is near 0.5 for a fixed hole, near 1 for a long narrow
// path, and above 1.5 where the joint opens under load. Rates and pressures
// must be above zero and the pressures differ by a tenth at least; otherwise
// it returns an *InputError. Source: calculated, fluid-mechanics theory.
func PathFromTwo(q1 float64, p1 quantity.Pressure, q2 float64, p2 quantity.Pressure) (LeakPath, error) {
	if err := firstError(
		positive("first leak", q1, 10000, "ml/min"),
		positive("second leak", q2, 10000, "ml/min"),
		positive("first pressure", p1, testPressureMax, "bar"),
		positive("second pressure", p2, testPressureMax, "bar"),
	); err != nil {
		return LeakPath{}, err
	}
	if math.Abs(math.Log(float64(p2/p1))) < math.Log(1.1) {
		return LeakPath{}, &InputError{Field: "second pressure", Problem: fmt.Sprintf("%s is too near to %s to tell anything", p2, p1), Expected: "pressures at least a tenth apart"}
	}
	n := math.Log(q2/q1) / math.Log(float64(p2/p1))
	path := LeakPath{Exponent: n}
	switch {
	case n < 0:
		path.Kind, path.Meaning = "closing", "It leaks less at more pressure: a seat or lip that the pressure shuts, or a wrong reading."
	case n < 0.75:
		path.Kind, path.Meaning = "hole", "A fixed opening, such as a scratch across a seat."
	case n <= 1.5:
		path.Kind, path.Meaning = "narrow path", "A long narrow path, such as a thread or packing."
	default:
		path.Kind, path.Meaning = "opening joint", "The joint opens under load: not tight enough, or the cover bends."
	}
	return path, nil
}

// SeatRate is a leak rate of ISO 5208 for closed valves, tested with liquid.
type SeatRate struct {
	Letter string
	PerDN  float64 // mm³/s for each mm of nominal size; 0: none to be seen
}

// SeatRates lists the liquid rates of ISO 5208:2015, tightest first. They are
// words to describe a passing seat with, not a requirement of any club.
func SeatRates() []SeatRate {
	return []SeatRate{{"A", 0}, {"AA", 0.006}, {"B", 0.01}, {"C", 0.03}, {"CC", 0.08}, {"D", 0.1}, {"E", 0.3}, {"EE", 0.39}, {"F", 1}, {"G", 2}}
}

// SeatRateOf is the tightest rate of ISO 5208:2015 that a leak of q ml/min
// through a seat of nominal size dn keeps; empty where it passes even rate G.
// q must be 0 to 10000, dn above 0 and at most 200 mm; otherwise it returns an
// *InputError.
func SeatRateOf(q float64, dn quantity.Length) (string, error) {
	if err := firstError(
		within("leak", q, 0, 10000, "ml/min"),
		positive("nominal size of the seat", dn, 200, "mm"),
	); err != nil {
		return "", err
	}
	perDN := q * 1000 / 60 / float64(dn) // ml/min to mm³/s for each mm
	for _, r := range SeatRates() {
		if perDN <= r.PerDN*(1+1e-9) {
			return r.Letter, nil
		}
	}
	return "", nil
}
