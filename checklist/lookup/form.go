package lookup

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"fettle/checklist/boiler"
	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/quantity"
)

// form reads the typed values; it keeps the first thing that is wrong, and
// every reading after that is empty.
type form struct {
	fields []Field
	values map[string]string
	own    workshop.Tools
	err    error
}

// text is what was typed for a field, or its default.
func (f *form) text(name string) string {
	for _, field := range f.fields {
		if field.Name == name {
			if v := strings.TrimSpace(f.values[name]); v != "" {
				return v
			}
			return field.Default
		}
	}
	f.fail(name, errors.New("the look-up does not ask this")) // a slip in a sheet, found by the first test that works it
	return ""
}

// given reports whether something was typed for a field, default or not.
func (f *form) given(name string) bool { return strings.TrimSpace(f.values[name]) != "" }

func (f *form) fail(name string, err error) {
	if f.err == nil && err != nil {
		f.err = &FieldError{Field: name, Err: err}
	}
}

// check takes the error of a sum, whose message names the figure itself.
func (f *form) check(err error) bool {
	f.fail("", err)
	return f.err == nil
}

// read reads one field with a parser; empty fields are zero.
func read[T any](f *form, name string, parse func(string) (T, error)) T {
	var zero T
	text := f.text(name)
	if text == "" || f.err != nil {
		return zero
	}
	v, err := parse(text)
	f.fail(name, err)
	if err != nil {
		return zero
	}
	return v
}

func (f *form) pressure(name string) quantity.Pressure {
	return read(f, name, quantity.ParsePressure)
}
func (f *form) temperature(name string) quantity.Temperature {
	return read(f, name, quantity.ParseTemperature)
}
func (f *form) length(name string) quantity.Length { return read(f, name, quantity.ParseLength) }
func (f *form) size(name string) quantity.Length   { return read(f, name, parseSize) }
func (f *form) angle(name string) quantity.Angle   { return read(f, name, quantity.ParseAngle) }
func (f *form) volume(name string) quantity.Volume { return read(f, name, quantity.ParseVolume) }
func (f *form) time(name string) time.Duration     { return read(f, name, quantity.ParseSpan) }
func (f *form) number(name string) float64         { return read(f, name, parseNumber) }
func (f *form) count(name string) int              { return read(f, name, parseCount) }
func (f *form) counts(name string) []int           { return read(f, name, parseCounts) }
func (f *form) yes(name string) bool               { return read(f, name, parseYes) }
func (f *form) thread(name string) threads.Thread  { return read(f, name, threads.Parse) }

// positive reads a number that is above nought where it is given.
func (f *form) positive(name string) float64 {
	v := f.number(name)
	if v <= 0 && f.given(name) {
		f.fail(name, fmt.Errorf("%s: expected a number above nought", shorten(f.text(name))))
	}
	return v
}

// Read says what is wrong with a text for the field's kind alone; nil where nothing
// is. Whether a word is one of the trade's is found out when the sheet is worked.
func (f Field) Read(text string) (err error) {
	switch f.Kind {
	case Pressure:
		_, err = quantity.ParsePressure(text)
	case Air:
		_, err = quantity.ParseAbsolutePressure(text)
	case Temperature:
		_, err = quantity.ParseTemperature(text)
	case Length, Altitude:
		_, err = quantity.ParseLength(text)
	case Size:
		_, err = parseSize(text)
	case Angle:
		_, err = quantity.ParseAngle(text)
	case Volume:
		_, err = quantity.ParseVolume(text)
	case Time:
		_, err = quantity.ParseSpan(text)
	case Number:
		_, err = parseNumber(text)
	case Count:
		_, err = parseCount(text)
	case Counts:
		_, err = parseCounts(text)
	case YesNo:
		_, err = parseYes(text)
	case ThreadName: // a hand is refused by what cannot do with it
		_, _, err = threads.ParseHand(text)
	case DrillName:
		_, err = threads.ParseDrill(text)
	case RingSizes:
		_, err = parseRing(text)
	case Threads:
		_, err = parseList(text, threads.Parse)
	case Drills:
		_, err = parseList(text, threads.ParseDrill)
	}
	return err
}

func parseSize(s string) (quantity.Length, error) {
	l, err := quantity.ParseLength(s)
	if err == nil && !(l > 0) {
		return 0, fmt.Errorf("%v: expected a length above nought", l)
	}
	return l, err
}

func parseNumber(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(strings.TrimRight(s, "%K ")), ",", "."), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is no number; expected a figure such as 2 or 1.5", shorten(s))
	}
	return v, nil
}

func parseCount(s string) (int, error) {
	n, err := strconv.Atoi(strings.TrimSpace(s))
	if err != nil {
		return 0, fmt.Errorf("%q is no whole number; expected one such as 6", shorten(s))
	}
	return n, nil
}

func parseCounts(s string) (list []int, err error) {
	for _, part := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || unicode.IsSpace(r) }) {
		n, err := parseCount(part)
		if err != nil {
			return nil, err
		}
		list = append(list, n)
	}
	return list, nil
}

func parseYes(s string) (bool, error) {
	switch strings.ToLower(s) {
	case "yes", "y", "true", "1":
		return true, nil
	case "no", "n", "false", "0":
		return false, nil
	}
	return false, fmt.Errorf("%q is neither yes nor no", shorten(s))
}

// parseList reads a list one by one: M5; M6, or M5, M6. A comma without a blank behind
// it may be that of a decimal.
func parseList[T any](s string, parse func(string) (T, error)) (list []T, err error) {
	for _, part := range strings.Split(strings.ReplaceAll(s, ", ", ";"), ";") {
		v, err := parse(strings.TrimSpace(part))
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	return list, nil
}

// site reads the fields of the place: altitude or air pressure, and where the
// sheet asks them the measured temperature, the data sheet's limit and oil.
func (f *form) site() boiler.Site {
	site := boiler.Site{Atmosphere: f.air()}
	for _, field := range f.fields {
		switch field.Name {
		case "measured":
			site.Measured = f.temperature("measured")
		case "sheet-limit":
			site.SheetLimit = f.temperature("sheet-limit")
		case "oil":
			site.Oil = f.yes("oil")
		}
	}
	return site
}

// air is the pressure of the air outside: typed, from the altitude, or standard.
func (f *form) air() quantity.AbsolutePressure {
	if f.given("altitude") {
		if f.given("air-pressure") {
			f.fail("altitude", errors.New("give the altitude or the air pressure, not both"))
			return 0
		}
		return read(f, "altitude", func(s string) (quantity.AbsolutePressure, error) {
			// A bare number is millimetres everywhere else, which no altitude is in.
			if !strings.ContainsFunc(s, unicode.IsLetter) {
				return 0, fmt.Errorf("%q has no unit; expected 500 m or 1600 ft", shorten(s))
			}
			l, err := quantity.ParseLength(s)
			if err != nil {
				return 0, err
			}
			return boiler.AtmosphereAt(l)
		})
	}
	if f.given("air-pressure") {
		return read(f, "air-pressure", quantity.ParseAbsolutePressure)
	}
	return quantity.StandardAtmosphere
}

func shorten(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
