package checklist

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// A readingUnit is a unit a reading can be in.
type readingUnit struct {
	name   string
	others []string // also understood in a file
	words  bool     // an answer in words, not a number
	whole  bool
	// parse reads a text with a unit into this unit; nil where nothing but a
	// bare number is understood.
	parse  func(string) (float64, error)
	suffix string // after a number
}

var readingUnits = [...]readingUnit{
	{name: "mm", suffix: " mm", parse: lengthIn(1)},
	{name: "in", others: []string{"inch"}, suffix: " in", parse: lengthIn(quantity.InchMM)},
	{name: "thou", suffix: " thou", parse: lengthIn(quantity.InchMM / 1000)},
	{name: "bar", suffix: " bar", parse: pressureIn(func(p quantity.Pressure) float64 { return p.Bar() })},
	{name: "psi", suffix: " psi", parse: pressureIn(func(p quantity.Pressure) float64 { return p.PSI() })},
	{name: "kPa", suffix: " kPa", parse: pressureIn(func(p quantity.Pressure) float64 { return p.KPa() })},
	{name: "°C", others: []string{"C", "degC"}, suffix: " °C", parse: func(s string) (float64, error) {
		t, err := quantity.ParseTemperature(s)
		return t.C(), err
	}},
	{name: "N·m", others: []string{"Nm", "N.m"}, suffix: " N·m", parse: func(s string) (float64, error) {
		t, err := quantity.ParseTorque(s)
		return t.NM(), err
	}},
	{name: "lbf in", suffix: " lbf in", parse: func(s string) (float64, error) {
		t, err := quantity.ParseTorque(s)
		return t.LbfIn(), err
	}},
	{name: "N", suffix: " N", parse: func(s string) (float64, error) {
		t, err := quantity.ParseForce(s)
		return t.N(), err
	}},
	{name: "ml", suffix: " ml", parse: func(s string) (float64, error) {
		v, err := quantity.ParseVolume(s)
		return v.ML(), err
	}},
	{name: "l", others: []string{"litre"}, suffix: " l", parse: func(s string) (float64, error) {
		v, err := quantity.ParseVolume(s)
		return v.Litres(), err
	}},
	{name: "°", others: []string{"deg", "degrees"}, suffix: "°", parse: func(s string) (float64, error) {
		a, err := quantity.ParseAngle(s)
		return a.Degrees(), err
	}},
	{name: "s", suffix: " s", parse: spanIn(1)},
	{name: "min", suffix: " min", parse: spanIn(60)},
	{name: "h", suffix: " h", parse: spanIn(3600)},
	{name: "count", whole: true},
	{name: "number"},
	{name: "turns", suffix: " turns"},
	{name: "strokes", whole: true, suffix: " strokes"},
	{name: "drops", whole: true, suffix: " drops"},
	{name: "drops/min", suffix: " drops/min"},
	{name: "ml/min", suffix: " ml/min"},
	{name: "bar/min", suffix: " bar/min"},
	{name: "%", others: []string{"percent"}, suffix: " %"},
	{name: "g", suffix: " g"},
	{name: "date", words: true},
	{name: "thread", words: true},
	{name: "yes-no", words: true},
	{name: "choice", words: true},
	{name: "text", words: true},
}

// ReadingUnits lists the units a reading may have.
func ReadingUnits() []string {
	names := make([]string, len(readingUnits))
	for i, u := range readingUnits {
		names[i] = u.name
	}
	return names
}

// unitOf finds a unit by its name. A word that is none, and not nearly one,
// counts things called by that word: "rings", "nips".
func unitOf(name string) (*readingUnit, bool) {
	for i := range readingUnits {
		if readingUnits[i].name == name || slices.Contains(readingUnits[i].others, name) {
			return &readingUnits[i], true
		}
	}
	if !isNoun(name) {
		return nil, false
	}
	for i := range readingUnits {
		if nearWord(name, readingUnits[i].name) || slices.ContainsFunc(readingUnits[i].others, func(other string) bool { return nearWord(name, other) }) {
			return nil, false
		}
	}
	return &readingUnit{name: name, suffix: " " + name}, true
}

// nearWord says whether two words differ in a letter at most.
func nearWord(a, b string) bool {
	// Few units are as long as a noun; bytes are no fewer than letters.
	if len(a) > len(b)+4 {
		return false
	}
	return check.Slips(source.Plain(a), source.Plain(b), 2) < 2
}

// isNoun says whether a word can name things that are counted: three to twenty
// lower-case letters.
func isNoun(s string) bool {
	n := 0
	for _, r := range s {
		if !unicode.IsLower(r) {
			return false
		}
		n++
	}
	return n >= 3 && n <= 20
}

func lengthIn(mm float64) func(string) (float64, error) {
	return func(s string) (float64, error) {
		l, err := quantity.ParseLength(s)
		return l.MM() / mm, err
	}
}

func pressureIn(unit func(quantity.Pressure) float64) func(string) (float64, error) {
	return func(s string) (float64, error) {
		p, err := quantity.ParsePressure(s)
		return unit(p), err
	}
}

func spanIn(seconds float64) func(string) (float64, error) {
	return func(s string) (float64, error) {
		d, err := quantity.ParseSpan(s)
		return d.Seconds() / seconds, err
	}
}

// read reads a number in this unit: a bare decimal is in the unit itself, and
// whatever else its quantity understands is converted.
func (u *readingUnit) read(text string) (float64, error) {
	text, refused := source.Clean(strings.TrimSpace(text), false)
	if text == "" {
		return 0, errors.New("a reading is missing")
	}
	if refused >= 0 {
		return 0, fmt.Errorf("the reading holds the character U+%04X; leave it out", refused)
	}
	bare := text
	if u.suffix != "" {
		bare = strings.TrimSpace(strings.TrimSuffix(text, strings.TrimSpace(u.suffix)))
	}
	v, err := parseNumber(bare)
	switch {
	case err == nil:
	case u.parse != nil:
		if v, err = u.parse(text); err != nil {
			return 0, err
		}
	default:
		return 0, fmt.Errorf("%s is not a number of %s; write it like 3", source.Shown(text), u.name)
	}
	if u.whole && v != math.Trunc(v) {
		return 0, fmt.Errorf("%s is not a whole number", source.Shown(text))
	}
	if (u.whole || u.parse == nil) && v < 0 && u.name != "number" {
		return 0, fmt.Errorf("%s is below zero", source.Shown(text))
	}
	return v, nil
}

// inPSI says whether a text gives a pressure in psi for a reading in bar: it is
// then shown in psi first, as everything that is read on such a gauge.
func (u *readingUnit) inPSI(text string) bool {
	text, _, _ = strings.Cut(text, " (") // as [quantity.PressureScale.Show] has it
	return u.name == "bar" && quantity.ScaleOf(text) == quantity.PSIScale
}

// print writes a number with its unit, to a thousandth; inches to a
// ten-thousandth.
func (u *readingUnit) print(v float64) string {
	places := 3
	if u.name == "in" {
		places = 4
	}
	number, suffix := rounded(v, places), u.suffix
	if number == "1" && u.parse == nil {
		suffix = strings.TrimSuffix(suffix, "s") // 1 turn
	}
	return number + suffix
}

// bench writes a limit that was worked out, rounded for the bench: lengths in
// millimetres to a hundredth, which is what a micrometer reads, or to as many
// places as the author wrote. A lower limit is rounded up and an upper one
// down, so that what reads as inside is inside.
func (u *readingUnit) bench(v float64, side string, written int) string {
	if u.name != "mm" || written > 2 {
		return u.print(v)
	}
	const places = 100
	switch side {
	case "low":
		v = math.Ceil(v*places-1e-6) / places
	case "high":
		v = math.Floor(v*places+1e-6) / places
	}
	return rounded(v, 2) + u.suffix
}

// settingKind lists the kinds of setting that a reading in this unit can replace.
func (u *readingUnit) settingKind() []string {
	switch u.name {
	case "mm", "in", "thou":
		return []string{"length"}
	case "bar", "psi", "kPa":
		return []string{"pressure"}
	case "°C":
		return []string{"temperature"}
	case "N·m", "lbf in":
		return []string{"torque"}
	case "ml", "l":
		return []string{"volume"}
	case "°":
		return []string{"angle"}
	case "s", "min", "h":
		return []string{"time"}
	case "count", "strokes", "drops":
		return []string{"count", "number"}
	case "date", "thread", "yes-no", "choice":
		return []string{u.name}
	case "text":
		return []string{"text", "material"}
	}
	return []string{"number"}
}
