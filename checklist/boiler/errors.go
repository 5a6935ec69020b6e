package boiler

import (
	"fmt"
	"math"
	"strings"
)

// InputError says which figure cannot be worked with, and why.
type InputError struct {
	Field    string // what the figure is, in words: "working pressure"
	Problem  string // what is wrong with it: "-3 bar is below zero"
	Expected string // what would do: "a gauge pressure above zero"
}

func (e *InputError) Error() string {
	s := e.Field + ": " + e.Problem
	if e.Expected != "" {
		s += "; expected " + e.Expected
	}
	return s
}

// WordError says that a word is none of those that are known, or means several.
type WordError struct {
	Kind        string   // what was wanted: "zone"
	Input       string   // what was given
	Suggestions []string // the nearest known words, best first; empty where none is near
	Open        bool     // the word may mean any of the suggestions
	Known       []string // all known words
}

func (e *WordError) Error() string {
	if strings.TrimSpace(e.Input) == "" {
		return fmt.Sprintf("no %s given; known: %s", e.Kind, strings.Join(e.Known, "; "))
	}
	input := clip(e.Input)
	if e.Open {
		return fmt.Sprintf("%q is sold as several things: %s; say which it is", input, strings.Join(e.Suggestions, "; "))
	}
	if len(e.Suggestions) > 0 {
		return fmt.Sprintf("unknown %s %q; did you mean %s?", e.Kind, input, strings.Join(e.Suggestions, " or "))
	}
	return fmt.Sprintf("unknown %s %q; known: %s", e.Kind, input, strings.Join(e.Known, "; "))
}

// clip shortens what an error repeats of a wrong input.
func clip(s string) string {
	const mostShown = 40
	if r := []rune(s); len(r) > mostShown {
		return string(r[:mostShown]) + "..."
	}
	return s
}

// within checks that v is a number in [low, high]; the limits are part of the
// message, so they are chosen wide enough to catch slips only.
func within[T ~float64](field string, v, low, high T, unit string) error {
	x := float64(v)
	expected := fmt.Sprintf("%s to %s", withUnit(float64(low), unit), withUnit(float64(high), unit))
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return &InputError{Field: field, Problem: "is not a number", Expected: expected}
	case v < low:
		return &InputError{Field: field, Problem: withUnit(x, unit) + " is too small", Expected: expected}
	case v > high:
		return &InputError{Field: field, Problem: withUnit(x, unit) + " is too large", Expected: expected}
	}
	return nil
}

// positive checks that v is a number above zero and at most high.
func positive[T ~float64](field string, v, high T, unit string) error {
	x := float64(v)
	expected := "more than 0 and at most " + withUnit(float64(high), unit)
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return &InputError{Field: field, Problem: "is not a number", Expected: expected}
	case x == 0:
		return &InputError{Field: field, Problem: "is missing or zero", Expected: expected}
	case x < 0:
		return &InputError{Field: field, Problem: withUnit(x, unit) + " is below zero", Expected: expected}
	case v > high:
		return &InputError{Field: field, Problem: withUnit(x, unit) + " is too large", Expected: expected}
	}
	return nil
}

func withUnit(v float64, unit string) string {
	s := fmt.Sprintf("%.6g", v)
	if unit == "" {
		return s
	}
	return s + " " + unit
}

// firstError returns the first error that is not nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
