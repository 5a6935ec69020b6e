package quantity

import (
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// ParseError says what was typed, what is wrong with it and what would do.
type ParseError struct {
	Quantity string // "length", "pressure", ...
	Input    string // what was typed, unchanged
	Problem  string // what is wrong with it
	Expected string // what can be read, by example
}

// Error is one plain sentence. The input is quoted, so that a control
// character in it cannot reach a terminal as itself.
func (e *ParseError) Error() string {
	var b strings.Builder
	if strings.TrimSpace(e.Input) == "" {
		b.WriteString(article(e.Quantity) + " is missing")
	} else {
		b.WriteString(strconv.Quote(clip(e.Input)) + " is not " + article(e.Quantity))
		if e.Problem != "" {
			b.WriteString(": " + e.Problem)
		}
	}
	if e.Expected != "" {
		b.WriteString("; write it like " + e.Expected)
	}
	return b.String()
}

func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// clip keeps an error readable when a whole paragraph was pasted.
func clip(s string) string {
	const limit = 40
	if utf8.RuneCountInString(s) <= limit {
		return s
	}
	return string([]rune(s)[:limit-3]) + "..."
}

// limit is the largest number any parser accepts, in the unit as typed. A
// larger one is a slip of the keyboard, not a measurement.
const limit = 1e9

var marks = strings.NewReplacer(
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ",
	"−", "-", "‐", "-", "‑", "-", "–", "-", "⁄", "/",
	"¼", " 1/4", "½", " 1/2", "¾", " 3/4",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
	"″", `"`, "”", `"`, "“", `"`, "''", `"`, "′", "'", "’", "'",
	"·", ".", "⋅", ".", "μ", "u", "µ", "u", "№", "no ",
	"²", "2", "³", "3", "º", "°",
)

// tidy brings typographic variants of the same sign to one, and runs of blanks
// to one blank.
func tidy(s string) string {
	if plain(s) {
		return s
	}
	return strings.Join(strings.Fields(marks.Replace(s)), " ")
}

// plain reports that tidy would leave s as it is.
func plain(s string) bool {
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c >= utf8.RuneSelf || c == '\'' || c < ' ' {
			return false
		}
		if c == ' ' && (i == 0 || i == len(s)-1 || s[i-1] == ' ') {
			return false
		}
	}
	return true
}

// number is a scanned figure. A vulgar fraction is remembered because in this
// trade it means inches.
type number struct {
	value    float64
	fraction bool
}

// scanNumber reads the figure at the start of s ("4.5", "4,5", "1/4", "1 1/4",
// "1-1/4", with a sign) and returns what follows it. A problem is a short
// phrase for ParseError.
func scanNumber(s string) (n number, rest, problem string) {
	sign := 1.0
	if s != "" && (s[0] == '-' || s[0] == '+') {
		if s[0] == '-' {
			sign = -1
		}
		s = strings.TrimLeft(s[1:], " ")
	}
	whole, rest, ok := scanDecimal(s)
	if !ok {
		return n, s, "no figure in it"
	}
	switch {
	case strings.HasPrefix(rest, "/"):
		if !digitsOnly(s[:len(s)-len(rest)]) {
			return n, rest, "a fraction needs whole numbers above and below the line"
		}
		n.value, rest, problem = scanBelow(whole, rest)
		n.fraction = true
	case len(rest) > 1 && (rest[0] == ' ' || rest[0] == '-') && startsFraction(rest[1:]):
		if !digitsOnly(s[:len(s)-len(rest)]) {
			return n, rest, "a decimal and a fraction together"
		}
		above, after, _ := scanDecimal(rest[1:])
		var part float64
		part, rest, problem = scanBelow(above, after)
		n.value, n.fraction = whole+part, true
	default:
		n.value = whole
	}
	if problem != "" {
		return n, rest, problem
	}
	if n.value > limit {
		return n, rest, "far too large"
	}
	n.value *= sign
	return n, rest, ""
}

// scanBelow reads "/4" and divides.
func scanBelow(above float64, s string) (v float64, rest, problem string) {
	text := s[1:]
	below, rest, ok := scanDecimal(text)
	switch {
	case !ok:
		return 0, s, "nothing below the line of the fraction"
	case !digitsOnly(text[:len(text)-len(rest)]):
		return 0, s, "a fraction needs whole numbers above and below the line"
	case below == 0:
		return 0, s, "a fraction with nought below the line"
	}
	return above / below, rest, ""
}

func startsFraction(s string) bool {
	_, rest, ok := scanDecimal(s)
	return ok && digitsOnly(s[:len(s)-len(rest)]) && strings.HasPrefix(rest, "/")
}

// scanDecimal reads digits with at most one point or comma. Exponents and
// digit grouping are not read: at the bench they are typing mistakes.
func scanDecimal(s string) (v float64, rest string, ok bool) {
	i, digits, mark := 0, 0, -1
	for ; i < len(s); i++ {
		c := s[i]
		if c >= '0' && c <= '9' {
			digits++
			continue
		}
		if (c == '.' || c == ',') && mark < 0 && i+1 < len(s) && s[i+1] >= '0' && s[i+1] <= '9' {
			mark = i
			continue
		}
		break
	}
	if digits == 0 {
		return 0, s, false
	}
	text := s[:i]
	if mark >= 0 && text[mark] == ',' {
		text = text[:mark] + "." + text[mark+1:]
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		v = math.Inf(1) // hundreds of digits; refused as too large
	}
	return v, s[i:], true
}

func digitsOnly(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// unit is one spelling of a unit and how many base units it is worth.
type unit struct {
	names  string // lower case, separated by blanks; no name holds a blank
	factor float64
}

// kind is what a parser needs to know about its quantity.
type kind struct {
	quantity string
	expected string
	units    []unit
	bare     float64 // factor of a figure without a unit; 0 = a unit is needed
	needUnit string  // why a unit is needed, where bare is 0
	signed   bool
}

func (k kind) fail(input, problem string) error {
	return &ParseError{Quantity: k.quantity, Input: input, Problem: problem, Expected: k.expected}
}

// parse reads a figure and a unit into the quantity's base unit.
func (k kind) parse(input string) (float64, error) {
	s := tidy(input)
	if s == "" {
		return 0, k.fail(input, "nothing typed")
	}
	n, rest, problem := scanNumber(s)
	if problem != "" {
		return 0, k.fail(input, problem)
	}
	if n.value < 0 && !k.signed {
		return 0, k.fail(input, "it is below zero")
	}
	name := foldUnit(rest)
	if name == "" {
		if k.bare == 0 {
			return 0, k.fail(input, k.needUnit)
		}
		return n.value * k.bare, nil
	}
	f, ok := k.factor(name)
	if !ok {
		return 0, k.fail(input, strconv.Quote(clip(strings.TrimSpace(rest)))+" is not a unit of it")
	}
	return n.value * f, nil
}

// factor looks a folded unit name up.
func (k kind) factor(name string) (float64, bool) {
	for _, u := range k.units {
		for list := u.names; list != ""; {
			var one string
			one, list, _ = strings.Cut(list, " ")
			if one == name {
				return u.factor, true
			}
		}
	}
	return 0, false
}

// foldUnit brings "N·m", "N m", "N.m" and "nm" to one spelling.
func foldUnit(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	s = strings.ToLower(s)
	if strings.ContainsAny(s, " .*-") {
		s = strings.NewReplacer(" ", "", ".", "", "*", "", "-", "").Replace(s)
	}
	return s
}

// decimals prints v with at most n decimals and no idle zeros.
func decimals(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	s := strconv.FormatFloat(roundTo(v, n), 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// roundTo rounds half away from zero at n decimals. The nudge of a few parts
// in 10^15 lets a decimal tie that binary cannot hold, such as 0.1025, round
// the way it reads on paper.
func roundTo(v float64, n int) float64 {
	p := math.Pow10(n)
	scaled := v * p
	if math.IsInf(scaled, 0) {
		return v
	}
	return math.Round(scaled*(1+4e-16)) / p
}

// significant rounds v to n significant figures.
func significant(v float64, n int) float64 {
	return roundTo(v, places(v, n))
}

// places is the number of decimals that shows v with n significant figures,
// never less than zero: digits before the point are kept.
func places(v float64, n int) int {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	d := n - 1 - int(math.Floor(math.Log10(math.Abs(v))))
	return max(0, min(d, 9))
}
