package checklist

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/checklist/source"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// A value is an answer to a setting that has been understood.
type value struct {
	raw    string  // as typed, blanks around it gone: what other keys are worked out from
	text   string  // for reading: "3/16 in (4.76 mm)"
	number float64 // in the base unit of its kind; only where numeric
	likely bool    // a thread that was identified and not tried
}

// numericKind says whether answers of that kind can be compared.
func numericKind(kind string) bool {
	switch kind {
	case "length", "pressure", "temperature", "volume", "torque", "force", "angle", "count", "turns", "percent", "number", "time":
		return true
	}
	return false
}

// parseValue reads an answer of some kind. The error is one plain sentence.
func parseValue(kind, raw string, choices []string) (value, error) {
	raw, refused := source.Clean(strings.TrimSpace(raw), false)
	if kind != "text" {
		raw = strings.TrimSpace(source.PlainValue(raw))
	}
	if refused >= 0 {
		return value{}, fmt.Errorf("the answer holds the character U+%04X; leave it out", refused)
	}
	if n := len([]rune(raw)); n > source.MaxLine {
		return value{}, fmt.Errorf("the answer has %d characters; at most %d fit", n, source.MaxLine)
	}
	if raw == "" && kind != "text" {
		return value{}, errors.New("an answer is missing")
	}
	v := value{raw: raw, text: raw}
	var err error
	switch kind {
	case "length":
		var l quantity.Length
		l, err = quantity.ParseLength(raw)
		v.number, v.text = l.MM(), beside(raw, benchLength(l), "mm")
		if err == nil && isFraction(raw) {
			v.text = raw + " in (" + benchLength(l) + ")"
		}
	case "pressure":
		var p quantity.Pressure
		p, err = quantity.ParsePressure(raw)
		v.number, v.text = p.Bar(), beside(raw, p.String(), "bar")
	case "temperature":
		var t quantity.Temperature
		t, err = quantity.ParseTemperature(raw)
		v.number, v.text = t.C(), beside(raw, t.String(), "°C", "C")
	case "volume":
		var x quantity.Volume
		x, err = quantity.ParseVolume(raw)
		v.number, v.text = x.ML(), beside(raw, x.String(), "ml")
	case "torque":
		var x quantity.Torque
		x, err = quantity.ParseTorque(raw)
		v.number, v.text = x.NM(), beside(raw, x.String(), "N·m", "Nm")
	case "angle":
		var x quantity.Angle
		x, err = quantity.ParseAngle(raw)
		v.number, v.text = x.Degrees(), beside(raw, x.String(), "°")
	case "count":
		var n int
		n, err = parseCount(raw)
		v.number, v.text = float64(n), strconv.Itoa(n)
	case "number":
		v.number, err = parseNumber(raw)
		v.text = trimNumber(v.number)
	case "force":
		var x quantity.Force
		x, err = quantity.ParseForce(raw)
		v.number, v.text = x.N(), beside(raw, x.String(), "N")
	case "turns", "percent":
		u, _ := unitFor(kind, "")
		v.number, err = u.read(raw)
		v.text = u.print(v.number)
	case "time":
		d, spanErr := quantity.ParseSpan(raw)
		err = spanErr
		v.number, v.text = d.Seconds(), quantity.SpanString(d)
	case "date":
		var day time.Time
		if day, err = parseDate(raw); err == nil {
			v.text = dateText(day)
		}
	case "thread":
		v.raw, v.likely = likelyThread(raw)
		v.text, err = threadName(v.raw)
	case "material":
		v.text, err = materialName(raw)
	case "grade":
		var grade fastening.Grade
		grade, err = fastening.ParseGrade(raw)
		v.text = grade.String()
	case "choice":
		if !slices.Contains(choices, raw) {
			err = errors.New(source.Shown(raw) + " is none of the choices; " + source.DidYouMean(raw, choices))
		}
	case "yes-no":
		v.raw, err = parseYesNo(raw)
		v.text = v.raw
	}
	if err != nil {
		return value{}, err
	}
	return v, nil
}

// answerForm says how an answer to the setting is written. Where the answer may be
// a code's (a pressure, a time, a multiple) no figure stands in it, not even as
// an example.
func answerForm(s *Setting) string {
	switch s.Kind {
	case "length":
		return `such as "4.5", "3/16" or "3/16 in"`
	case "pressure":
		return `a figure with its unit, "... psi" or "... bar"`
	case "time":
		return `a figure with its unit, "... min" or "... h"`
	case "volume":
		return `a figure with its unit, "... ml" or "... l"`
	case "torque":
		return `such as "2.5 N·m"`
	case "temperature":
		return `such as "15" or "15 °C"`
	case "angle":
		return `in degrees, such as "90"`
	case "count":
		return `a whole number, such as "6"`
	case "number", "turns", "percent":
		return "a figure"
	case "force":
		return `such as "40 N"`
	case "date":
		return `such as "2027-03-31"`
	case "thread":
		return `such as "M4" or "2 BA"`
	case "material":
		return `such as "gunmetal"`
	case "grade":
		return `such as "A2-70"`
	case "choice":
		quoted := make([]string, len(s.Choices))
		for i, c := range s.Choices {
			quoted[i] = strconv.Quote(c)
		}
		return "one of " + strings.Join(quoted, ", ")
	case "yes-no":
		return "yes or no"
	}
	return "in words"
}

// beside is what was typed, with the figure in the usual unit after it where
// something else was typed.
func beside(raw, figure string, units ...string) string {
	low := strings.ToLower(raw)
	for _, u := range units {
		if strings.HasSuffix(low, strings.ToLower(u)) {
			return raw
		}
	}
	if _, err := parseNumber(raw); err == nil {
		return figure
	}
	return raw + " (" + figure + ")"
}

// isFraction says whether a length was typed as a bare vulgar fraction.
func isFraction(raw string) bool {
	return strings.Contains(raw, "/") && strings.Trim(raw, "0123456789/ -") == ""
}

// parseNumber reads a plain decimal; a comma counts as a point.
func parseNumber(s string) (float64, error) {
	s = strings.Replace(strings.TrimSpace(s), ",", ".", 1)
	plain := strings.TrimLeft(s, "+-")
	if plain == "" || strings.Trim(plain, "0123456789.") != "" {
		return 0, fmt.Errorf("%s is not a number; write it like 1.5", source.Shown(s))
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(v) > 1e9 {
		return 0, fmt.Errorf("%s is not a number; write it like 1.5", source.Shown(s))
	}
	return v, nil
}

// parseCount reads a whole number, from 0 to a million.
func parseCount(s string) (int, error) {
	n, err := strconv.Atoi(strings.TrimPrefix(strings.TrimSpace(s), "+"))
	if err != nil || n < 0 || n > 1_000_000 {
		return 0, fmt.Errorf("%s is not a count; write a whole number like 6", source.Shown(s))
	}
	return n, nil
}

// parseYesNo reads yes or no and answers one of the two words.
func parseYesNo(s string) (string, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "yes", "y", "true":
		return "yes", nil
	case "no", "n", "false":
		return "no", nil
	}
	return "", fmt.Errorf("%s is neither yes nor no", source.Shown(s))
}

// trimNumber prints a number to at most three decimals.
func trimNumber(v float64) string { return rounded(v, 3) }

// parseShare reads "75", "75 %" or "75%" and answers 75.
func parseShare(s string) (float64, error) {
	return parseNumber(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), "%")))
}
