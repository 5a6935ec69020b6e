package quantity

import (
	"math"
	"strconv"
	"strings"
)

// InchMM is the inch in millimetres, exact since 1959 (BS 350; the
// international yard and pound agreement).
const InchMM = 25.4

// Length is a length in millimetres. It may be negative where it is a
// difference or an offset; a sum that needs a size checks for itself.
type Length float64

// FromInches makes a Length of a figure in inches.
func FromInches(in float64) Length { return Length(in * InchMM) }

// MM is the length in millimetres.
func (l Length) MM() float64 { return float64(l) }

// Inches is the length in inches.
func (l Length) Inches() float64 { return float64(l) / InchMM }

// Thou is the length in thousandths of an inch.
func (l Length) Thou() float64 { return l.Inches() * 1000 }

// Round rounds to a micrometre, the finest step of a workshop micrometer.
func (l Length) Round() Length { return Length(roundTo(float64(l), 3)) }

// String prints millimetres to at most three decimals: "4.5 mm".
func (l Length) String() string { return decimals(float64(l), 3) + " mm" }

// InchString prints inches: a fraction where the length is a whole number of
// 64ths to within 0.0005 in ("1/4 in", "1 1/4 in"), else four decimals ("0.1285 in").
func (l Length) InchString() string {
	in := l.Inches()
	n := math.Round(math.Abs(in) * 64)
	if n == 0 || n > 64*1000 || math.Abs(math.Abs(in)*64-n) > 0.0005*64 {
		return decimals(in, 4) + " in"
	}
	sign := ""
	if in < 0 {
		sign = "-"
	}
	return sign + Fraction(int(n), 64) + " in"
}

// Fraction prints n/d in lowest terms with the whole part in front:
// "1/4", "1 1/4", "2". d must be more than zero and n not less.
func Fraction(n, d int) string {
	a, b := n, d
	for b != 0 {
		a, b = b, a%b
	}
	if a > 1 {
		n, d = n/a, d/a
	}
	whole, n := n/d, n%d
	switch {
	case n == 0:
		return strconv.Itoa(whole)
	case whole == 0:
		return strconv.Itoa(n) + "/" + strconv.Itoa(d)
	}
	return strconv.Itoa(whole) + " " + strconv.Itoa(n) + "/" + strconv.Itoa(d)
}

var lengthKind = kind{
	quantity: "length",
	expected: `4.5 (mm), 1/4 (inch), 0.25 in, No 30 or letter F`,
	units: []unit{
		{"mm millimetre millimetres millimeter millimeters", 1},
		{`in inch inches " ins`, InchMM},
		{"thou mil mils", InchMM / 1000},
		{"cm", 10}, {"m metre metres meter meters", 1000},
		{"um micron microns micrometre micrometres", 0.001},
		{"ft foot feet '", 12 * InchMM},
	},
	bare:   1,
	signed: true,
}

// ParseLength reads a length.
//
// A decimal without a unit is millimetres ("4.5", "4,5"); a vulgar fraction
// without a unit is inches ("1/4", "1 1/4"), because in this trade nobody
// writes a fraction of a millimetre. Units: mm, cm, m, um, in, inch, ", thou,
// ft. The name of a number or letter drill is its diameter ("No 30", "#30",
// "letter F"), and a wire gauge its thickness ("10 swg"). A sign is read, so that
// offsets can be written. The error is a *ParseError.
func ParseLength(s string) (Length, error) {
	t := tidy(s)
	l, problem, isGauge := parseWireGauge(t)
	if !isGauge {
		l, problem, isGauge = parseGauge(t)
	}
	if isGauge {
		if problem != "" {
			return 0, lengthKind.fail(s, problem)
		}
		return l, nil
	}
	if n, rest, problem := scanNumber(t); problem == "" && n.fraction && rest == "" {
		return FromInches(n.value), nil
	}
	v, err := lengthKind.parse(s)
	return Length(v), err
}

// parseGauge reads the name of a number or letter drill.
func parseGauge(s string) (l Length, problem string, isGauge bool) {
	low := strings.ToLower(s)
	for _, p := range [...]string{"#", "number", "no.", "no", "nr.", "nr"} {
		after, ok := strings.CutPrefix(low, p)
		if !ok {
			continue
		}
		after = strings.TrimSpace(after)
		if !digitsOnly(after) {
			return 0, "a number drill is No 1 to No 80", true
		}
		n, err := strconv.Atoi(after)
		if err != nil {
			n = 0
		}
		if l, ok := NumberDrill(n); ok {
			return l, "", true
		}
		return 0, "number drills go from No 1 to No 80", true
	}
	if after, ok := strings.CutPrefix(low, "letter"); ok {
		after = strings.TrimSpace(after)
		if len(after) == 1 {
			if l, ok := LetterDrill(after[0]); ok {
				return l, "", true
			}
		}
		return 0, "letter drills go from A to Z", true
	}
	return 0, "", false
}
