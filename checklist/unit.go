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
	kind   string
	others []string // also understood in a file
	words  bool     // an answer in words, not a number
	whole  bool
	// parse reads a text with a unit into this unit; nil where nothing but a
	// bare number is understood.
	parse  func(string) (float64, error)
	suffix string // after a number
}

var readingUnits = [...]readingUnit{
	{name: "mm", kind: "length", suffix: " mm", parse: lengthIn(1)},
	{name: "in", kind: "length", others: []string{"inch"}, suffix: " in", parse: lengthIn(quantity.InchMM)},
	{name: "thou", kind: "length", suffix: " thou", parse: lengthIn(quantity.InchMM / 1000)},
	{name: "bar", kind: "pressure", suffix: " bar", parse: pressureIn(func(p quantity.Pressure) float64 { return p.Bar() })},
	{name: "psi", kind: "pressure", suffix: " psi", parse: pressureIn(func(p quantity.Pressure) float64 { return p.PSI() })},
	{name: "kPa", kind: "pressure", suffix: " kPa", parse: pressureIn(func(p quantity.Pressure) float64 { return p.KPa() })},
	{name: "°C", kind: "temperature", others: []string{"C", "degC"}, suffix: " °C", parse: func(s string) (float64, error) {
		t, err := quantity.ParseTemperature(s)
		return t.C(), err
	}},
	{name: "N·m", kind: "torque", others: []string{"Nm", "N.m"}, suffix: " N·m", parse: func(s string) (float64, error) {
		t, err := quantity.ParseTorque(s)
		return t.NM(), err
	}},
	{name: "lbf in", kind: "torque", suffix: " lbf in", parse: func(s string) (float64, error) {
		t, err := quantity.ParseTorque(s)
		return t.LbfIn(), err
	}},
	{name: "N", kind: "force", suffix: " N", parse: func(s string) (float64, error) {
		t, err := quantity.ParseForce(s)
		return t.N(), err
	}},
	{name: "ml", kind: "volume", suffix: " ml", parse: func(s string) (float64, error) {
		v, err := quantity.ParseVolume(s)
		return v.ML(), err
	}},
	{name: "l", kind: "volume", others: []string{"litre"}, suffix: " l", parse: func(s string) (float64, error) {
		v, err := quantity.ParseVolume(s)
		return v.Litres(), err
	}},
	{name: "°", kind: "angle", others: []string{"deg", "degrees"}, suffix: "°", parse: func(s string) (float64, error) {
		a, err := quantity.ParseAngle(s)
		return a.Degrees(), err
	}},
	{name: "s", kind: "time", suffix: " s", parse: spanIn(1)},
	{name: "min", kind: "time", suffix: " min", parse: spanIn(60)},
	{name: "h", kind: "time", suffix: " h", parse: spanIn(3600)},
	{name: "count", kind: "count", whole: true},
	{name: "number", kind: "number"},
	{name: "turns", kind: "turns", suffix: " turns"},
	{name: "%", kind: "percent", others: []string{"percent"}, suffix: " %"},
	{name: "date", kind: "date", words: true},
	{name: "thread", kind: "thread", words: true},
	{name: "material", kind: "material", words: true},
	{name: "grade", kind: "grade", words: true},
	{name: "yes-no", kind: "yes-no", words: true},
	{name: "choice", kind: "choice", words: true},
	{name: "text", kind: "text", words: true},
	{name: "photo", kind: "photo", words: true},
}

// kinds are what an answer or a reading can be, in the order of the reference, with
// how one is written.
var kinds = [...][2]string{
	{"thread", "M4, 2 BA, 1/4 x 40 ME, 1/4 BSF, G 1/4; 2 BA? where it is only probable"},
	{"length", "4.5 (mm), 1/4 (inch), 0.25 in, No 30, letter F"},
	{"pressure", "gauge, with its unit: 90 psi, 6.2 bar"},
	{"temperature", "170 (°C), 340 F"},
	{"time", "24 h, 90 min, 2 days"},
	{"count", "a whole number"},
	{"turns", "2.5"},
	{"angle", "90 (degrees)"},
	{"volume", "250 (ml), 6 l"},
	{"torque", "1.6 (N·m), 14 lbf in"},
	{"force", "40 (N), 9 lbf"},
	{"percent", "75"},
	{"number", "1.5"},
	{"material", "the name of a metal, or of what a seal is made of"},
	{"grade", "the grade of a screw: A2-70, phosphor bronze"},
	{"choice", "one of `choices`"},
	{"yes-no", "yes or no"},
	{"date", "2026-08-31, 31 Aug 2026, 31.08.2026, or 08/2026 for the end of that month"},
	{"text", "anything, on one line"},
	{"photo", "a picture that goes into the job; of a reading only"},
}

// Kinds lists what a setting asks for and a reading takes.
func Kinds() []string {
	names := make([]string, len(kinds))
	for i, k := range kinds {
		names[i] = k[0]
	}
	return names
}

// Writes is how an answer of a kind is written.
func Writes(kind string) string {
	for _, k := range kinds {
		if k[0] == kind {
			return k[1]
		}
	}
	return ""
}

// Units lists the units in which a kind can be read, the usual one first. What is
// counted, and a number, take any noun beside them.
func Units(kind string) []string {
	var names []string
	for _, u := range readingUnits {
		if u.kind == kind && u.suffix != "" {
			names = append(names, u.name)
		}
	}
	return names
}

// unitFor finds the unit of a kind; without a name the usual one. A count and a
// number take nouns: rings, drops/min.
func unitFor(kind, name string) (*readingUnit, bool) {
	for i := range readingUnits {
		u := &readingUnits[i]
		if u.kind == kind && (name == "" || name == u.name || slices.Contains(u.others, name)) {
			return u, true
		}
	}
	if (kind != "count" && kind != "number") || !isNoun(name) {
		return nil, false
	}
	for i := range readingUnits { // milimetre is no noun for what is counted
		if readingUnits[i].kind != "text" && nearWord(name, readingUnits[i].name) || slices.ContainsFunc(readingUnits[i].others, func(other string) bool { return nearWord(name, other) }) {
			return nil, false
		}
	}
	return &readingUnit{name: name, kind: kind, suffix: " " + name, whole: kind == "count"}, true
}

// nearWord reports whether two words differ in a letter at most.
func nearWord(a, b string) bool {
	// Few units are as long as a noun; bytes are no fewer than letters.
	if len(a) > len(b)+4 {
		return false
	}
	return check.Slips(source.Plain(a), source.Plain(b), 2) < 2
}

// isNoun reports whether a word can name things that are counted: three to twenty
// lower-case letters, or two such words with a stroke between them.
func isNoun(s string) bool {
	n := 0
	for _, r := range s {
		if !unicode.IsLower(r) && r != '/' {
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
	text, refused := source.Clean(strings.TrimSpace(source.PlainValue(text)), false)
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
	if (u.whole || u.parse == nil) && v < 0 && (u.kind != "number" || u.suffix != "") {
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
