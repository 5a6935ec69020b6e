package quantity

import (
	"math"
	"strconv"
	"strings"
	"time"
)

const maxSpan = 10 * 366 * 24 * time.Hour

var spanKind = kind{
	quantity: "length of time",
	expected: "24 h, 90 min, 2 days or 1 h 30 min",
	units: []unit{
		{"s sec secs second seconds", float64(time.Second)},
		{"m min mins minute minutes", float64(time.Minute)},
		{"h hr hrs hour hours", float64(time.Hour)},
		{"d day days", 24 * float64(time.Hour)},
		{"w wk wks week weeks", 7 * 24 * float64(time.Hour)},
	},
}

// ParseSpan reads a length of time: one or more figures, each with a unit
// (s, min, h, days, weeks): "24 h", "1 h 30 min", "2 days". A figure without a
// unit is an error, because minutes and hours are both usual; so is anything
// below zero or above ten years. The error is a *ParseError.
func ParseSpan(s string) (time.Duration, error) {
	rest := tidy(s)
	if rest == "" {
		return 0, spanKind.fail(s, "nothing typed")
	}
	total := 0.0
	for rest != "" {
		n, after, problem := scanNumber(rest)
		if problem != "" {
			return 0, spanKind.fail(s, problem)
		}
		if n.value < 0 {
			return 0, spanKind.fail(s, "it is below zero")
		}
		after = strings.TrimLeft(after, " ")
		i := strings.IndexFunc(after, func(r rune) bool { return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && r != '.' })
		if i < 0 {
			i = len(after)
		}
		name := foldUnit(after[:i])
		if name == "" {
			return 0, spanKind.fail(s, "it has no unit: minutes, hours or days?")
		}
		f, ok := spanKind.factor(name)
		if !ok {
			return 0, spanKind.fail(s, strconv.Quote(clip(after[:i]))+" is not a unit of time")
		}
		total += n.value * f
		rest = strings.TrimLeft(after[i:], " ,")
		rest = strings.TrimPrefix(rest, "and ")
	}
	if total > float64(maxSpan) {
		return 0, spanKind.fail(s, "it is longer than ten years")
	}
	return time.Duration(math.Round(total)), nil
}

// SpanString prints a length of time the way ParseSpan reads it, in days,
// hours and minutes, with seconds only below an hour: "1 h 30 min", "2 days".
func SpanString(d time.Duration) string {
	if d < 0 {
		return "-" + SpanString(-d)
	}
	if d < time.Hour {
		d = d.Round(time.Second)
	} else {
		d = d.Round(time.Minute)
	}
	if d == 0 {
		return "0 s"
	}
	var parts []string
	take := func(unit time.Duration, one, many string) {
		n := int64(d / unit)
		d %= unit
		switch {
		case n == 1:
			parts = append(parts, "1 "+one)
		case n > 1:
			parts = append(parts, strconv.FormatInt(n, 10)+" "+many)
		}
	}
	if d >= 48*time.Hour || d%(24*time.Hour) == 0 {
		take(24*time.Hour, "day", "days")
	}
	take(time.Hour, "h", "h")
	take(time.Minute, "min", "min")
	take(time.Second, "s", "s")
	return strings.Join(parts, " ")
}
