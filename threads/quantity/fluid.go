package quantity

import (
	"math"
	"slices"
	"strings"
)

// StandardAtmosphere is the atmosphere that turns gauge into absolute pressure
// where no other is given: 1.01325 bar, exact (ISO 2533).
const StandardAtmosphere AbsolutePressure = 1.01325

// psiBar is one pound-force per square inch in bar.
const psiBar = psiMPa * 10

// Pressure is a GAUGE pressure in bar: nought is the atmosphere.
type Pressure float64

// Bar is the pressure in bar gauge.
func (p Pressure) Bar() float64 { return float64(p) }

// PSI is the pressure in psi gauge.
func (p Pressure) PSI() float64 { return float64(p) / psiBar }

// KPa is the pressure in kPa gauge.
func (p Pressure) KPa() float64 { return float64(p) * 100 }

// MPa is the pressure in MPa gauge, the unit of sums with forces and areas.
func (p Pressure) MPa() float64 { return float64(p) / 10 }

// Round rounds to a hundredth of a bar, finer than any test gauge is read.
func (p Pressure) Round() Pressure { return Pressure(roundTo(float64(p), 2)) }

// String prints bar gauge to at most two decimals: "6.21 bar".
func (p Pressure) String() string { return decimals(float64(p), 2) + " bar" }

// PSIString prints psi gauge to the nearest whole psi from 10 up, a tenth below.
func (p Pressure) PSIString() string {
	if math.Abs(p.PSI()) >= 10 {
		return decimals(p.PSI(), 0) + " psi"
	}
	return decimals(p.PSI(), 1) + " psi"
}

// psiNames are the spellings of pounds on the square inch. Of a pressure people say
// pounds alone.
const psiNames = "psi lbf/in2 lb/in2 lbs/in2 lb/sqin lbs/sqin lbf/sqin lb/sqinch lbs/sqinch lb/squareinch lbs/squareinch " +
	"lbpersqin lbspersqin lbpersquareinch lbspersquareinch poundspersquareinch poundpersquareinch lb lbs pound pounds"

// PressureScale is what the gauge in hand is divided in. Pressures that are set
// beside that gauge are shown in it first.
type PressureScale int

const (
	BarScale PressureScale = iota
	PSIScale
)

// ScaleOf is the scale in which a pressure was typed: psi where its unit is
// pounds on the square inch, bar for anything else.
func ScaleOf(typed string) PressureScale {
	body, _ := pressureMark(typed)
	if _, unit, problem := scanNumber(body); problem == "" && slices.Contains(strings.Fields(psiNames), foldUnit(unit)) {
		return PSIScale
	}
	return BarScale
}

// Of is the figure that the scale has for p, in the unit that Unit names.
func (s PressureScale) Of(p Pressure) float64 {
	if s == PSIScale {
		return p.PSI()
	}
	return p.Bar()
}

// Unit is "psi" or "bar".
func (s PressureScale) Unit() string {
	if s == PSIScale {
		return "psi"
	}
	return "bar"
}

// Show prints a gauge pressure as the scale has it: "189 psi (13.03 bar)", to a
// tenth of a psi at most, or "13.03 bar".
func (s PressureScale) Show(p Pressure) string {
	if s == PSIScale {
		return decimals(p.PSI(), 1) + " psi (" + p.String() + ")"
	}
	return p.String()
}

// Both is Show with the other unit in brackets on either scale: "13.03 bar (189 psi)".
func (s PressureScale) Both(p Pressure) string {
	if s == PSIScale {
		return s.Show(p)
	}
	return p.String() + " (" + p.PSIString() + ")"
}

var pressureUnits = []unit{
	{"bar bars", 1}, {"mbar", 0.001},
	{psiNames, psiBar},
	{"kpa", 0.01}, {"mpa n/mm2", 10}, {"pa", 1e-5},
	{"kgf/cm2 kg/cm2 kg/sqcm kgf/sqcm at", gravity / 10}, {"atm", 1.01325},
}

var pressureKind = kind{
	quantity: "pressure",
	expected: "90 psi, 6.2 bar, 620 kPa or 0.62 MPa (gauge)",
	units:    pressureUnits,
	needUnit: "it has no unit, and 90 psi and 90 bar differ fourteen-fold",
	signed:   true,
}

// ParsePressure reads a gauge pressure. A unit is needed, because 90 psi and
// 90 bar differ fourteen-fold; the endings of psig and barg are read. A
// pressure marked absolute is refused, as is one below a perfect vacuum
// (-1.01325 bar gauge). The error is a *ParseError.
func ParsePressure(s string) (Pressure, error) {
	body, mark := pressureMark(s)
	if mark == markAbsolute {
		return 0, pressureKind.fail(s, "it is marked absolute, and every pressure here is the gauge reading; take the atmosphere off (1.013 bar or 14.7 psi)")
	}
	v, err := pressureKind.parse(body)
	if err != nil {
		return 0, pressureKind.reword(err, s)
	}
	if v < -float64(StandardAtmosphere) {
		return 0, pressureKind.fail(s, "it is below a perfect vacuum")
	}
	return Pressure(v), nil
}

// reword puts what was really typed back into an error of parse.
func (k kind) reword(err error, input string) error {
	if e, ok := err.(*ParseError); ok {
		return k.fail(input, e.Problem)
	}
	return err
}

type mark int

const (
	markNone mark = iota
	markGauge
	markAbsolute
)

// pressureMark takes "g", "gauge", "a", "abs" and "absolute" off the unit.
func pressureMark(s string) (body string, m mark) {
	low := strings.ToLower(tidy(s))
	for _, end := range [...]struct {
		text string
		keep int // letters of text that belong to the unit
		mark mark
	}{
		{"absolute", 0, markAbsolute}, {"abs", 0, markAbsolute}, {"abs.", 0, markAbsolute}, {"(abs)", 0, markAbsolute},
		{"(a)", 0, markAbsolute}, {" a", 0, markAbsolute},
		{"gauge", 0, markGauge}, {"(gauge)", 0, markGauge}, {"(g)", 0, markGauge}, {" g", 0, markGauge},
		{"psia", 3, markAbsolute}, {"bara", 3, markAbsolute}, {"kpaa", 3, markAbsolute}, {"mpaa", 3, markAbsolute},
		{"psig", 3, markGauge}, {"barg", 3, markGauge}, {"kpag", 3, markGauge}, {"mpag", 3, markGauge},
	} {
		if body, ok := strings.CutSuffix(low, end.text); ok {
			return strings.TrimRight(body+end.text[:end.keep], " "), end.mark
		}
	}
	return low, markNone
}

// AbsolutePressure is a pressure above vacuum, in bar.
type AbsolutePressure float64

// Bar is the pressure in bar absolute.
func (p AbsolutePressure) Bar() float64 { return float64(p) }

// MPa is the pressure in MPa absolute, the unit of the steam formulation.
func (p AbsolutePressure) MPa() float64 { return float64(p) / 10 }

// Round rounds to a thousandth of a bar, about the daily change of a barometer.
func (p AbsolutePressure) Round() AbsolutePressure { return AbsolutePressure(roundTo(float64(p), 3)) }

// String prints bar absolute to at most three decimals: "1.013 bar abs".
func (p AbsolutePressure) String() string { return decimals(float64(p), 3) + " bar abs" }

var absoluteKind = kind{
	quantity: "absolute pressure",
	expected: "1.013 bar abs, 14.7 psia or 1013 mbar",
	units:    pressureUnits,
	needUnit: "it has no unit",
}

// ParseAbsolutePressure reads a pressure above vacuum, such as a barometer's. A
// unit is needed; "abs" after it is read; a pressure marked gauge is refused.
// The error is a *ParseError.
func ParseAbsolutePressure(s string) (AbsolutePressure, error) {
	body, mark := pressureMark(s)
	if mark == markGauge {
		return 0, absoluteKind.fail(s, "it is marked gauge")
	}
	v, err := absoluteKind.parse(body)
	if err != nil {
		return 0, absoluteKind.reword(err, s)
	}
	return AbsolutePressure(v), nil
}

// Temperature is a temperature in degrees Celsius.
type Temperature float64

const absoluteZero = -273.15

// C is the temperature in degrees Celsius.
func (t Temperature) C() float64 { return float64(t) }

// K is the temperature in kelvins.
func (t Temperature) K() float64 { return float64(t) - absoluteZero }

// F is the temperature in degrees Fahrenheit.
func (t Temperature) F() float64 { return float64(t)*9/5 + 32 }

// Round rounds to a tenth of a degree, as steam tables print saturation.
func (t Temperature) Round() Temperature { return Temperature(roundTo(float64(t), 1)) }

// String prints degrees Celsius to at most one decimal: "166.2 °C".
func (t Temperature) String() string { return decimals(float64(t), 1) + " °C" }

var temperatureKind = kind{
	quantity: "temperature",
	expected: "170 (°C), 338 F or 443 K",
	signed:   true,
}

// ParseTemperature reads a temperature; a figure without a unit is degrees
// Celsius. F and K are read. Below absolute zero is refused. The error is a
// *ParseError.
func ParseTemperature(s string) (Temperature, error) {
	t := tidy(s)
	if t == "" {
		return 0, temperatureKind.fail(s, "nothing typed")
	}
	n, rest, problem := scanNumber(t)
	if problem != "" {
		return 0, temperatureKind.fail(s, problem)
	}
	c := n.value
	switch strings.NewReplacer("°", "", "deg", "", "rees", "", "ree", "").Replace(foldUnit(rest)) {
	case "", "c", "celsius", "centigrade":
	case "f", "fahrenheit":
		c = (n.value - 32) * 5 / 9
	case "k", "kelvin", "kelvins":
		c = n.value + absoluteZero
	default:
		return 0, temperatureKind.fail(s, "its unit is not C, F or K")
	}
	if c < absoluteZero {
		return 0, temperatureKind.fail(s, "it is below absolute zero (-273.15 °C)")
	}
	return Temperature(c), nil
}

// Volume is a volume in millilitres (cm³), never negative.
type Volume float64

// ML is the volume in millilitres.
func (v Volume) ML() float64 { return float64(v) }

// Litres is the volume in litres.
func (v Volume) Litres() float64 { return float64(v) / 1000 }

// Round rounds to three significant figures, never coarser than a millilitre,
// below 10 litres, and to a tenth of a litre above.
func (v Volume) Round() Volume {
	if math.Abs(float64(v)) >= 10e3 {
		return Volume(roundTo(v.Litres(), 1) * 1000)
	}
	return Volume(significant(float64(v), 3))
}

// String prints the rounded volume: "25.2 ml"; from 10 litres up in litres.
func (v Volume) String() string {
	if math.Abs(float64(v)) >= 10e3 {
		return decimals(v.Litres(), 1) + " l"
	}
	return decimals(significant(float64(v), 3), 9) + " ml"
}

var volumeKind = kind{
	quantity: "volume",
	expected: "6 l, 250 ml, 1.3 gal or 370 cu in",
	units: []unit{
		{"ml cc cm3 cm^3 millilitre millilitres", 1}, {"cl", 10},
		{"l litre litres liter liters dm3", 1000}, {"mm3 mm^3", 0.001}, {"m3", 1e6},
		{"in3 in^3 cuin", InchMM * InchMM * InchMM / 1000},
		{"pt pint pints ukpt ukpint ukpints imppint imppints imperialpint imperialpints", 568.26125},
		{"gal gallon gallons ukgal ukgallon ukgallons galuk gal(uk) gallonuk gallonsuk impgal impgallon impgallons imperialgallon imperialgallons", 4546.09},
		{"usgal usgallon usgallons galus gal(us) gallonus gallonsus", 3785.411784}, {"uspt uspint uspints", 473.176473},
	},
	needUnit: "it has no unit, and may be millilitres (ml) or litres (l)",
}

// ParseVolume reads a volume. A unit is needed, because a boiler is spoken of in
// litres and what is pumped into it in millilitres, a thousand-fold. Pints and
// gallons are imperial ("us gal" and "us pint" are the American ones). The error is a *ParseError.
func ParseVolume(s string) (Volume, error) {
	v, err := volumeKind.parse(s)
	return Volume(v), err
}
