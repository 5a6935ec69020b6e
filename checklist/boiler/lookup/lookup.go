// Package lookup lays out the look-ups of package boiler: what each one asks,
// with its defaults, and what it answers, as data. The command line and the
// screen draw the same sheets, so that a figure has one name, one rounding and
// one source wherever it is shown.
//
// # Decisions
//
//   - One sheet for command and screen. checklist/boiler/lookup lists the fields
//     and works out the answer of every boiler look-up; flags, forms, JSON keys,
//     labels and roundings all come from there.
package lookup

import (
	"fmt"
	"slices"
	"strings"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Kind is how the text of a field is read.
type Kind string

const (
	Pressure    Kind = "pressure" // gauge; needs a unit
	Air         Kind = "air pressure"
	Temperature Kind = "temperature"
	Length      Kind = "length"
	Altitude    Kind = "altitude" // a length that needs a unit
	Angle       Kind = "angle"
	Volume      Kind = "volume"
	Time        Kind = "time" // needs a unit
	Number      Kind = "number"
	Count       Kind = "count" // a whole number
	Counts      Kind = "counts"
	Text        Kind = "text"
	Choice      Kind = "choice"
	YesNo       Kind = "yes-no"
	ThreadName  Kind = "thread"
)

// Field is one thing a sheet asks.
type Field struct {
	Name    string // of the flag, and in the values given to Work
	Ask     string // the question, short enough for a form
	Brief   string // the same in 26 characters, for a narrow form; empty where Ask is as short
	Kind    Kind
	Default string // what Work takes where nothing was typed
	// Required fields have no default and must be typed.
	Required bool
	// Leading is set for the field that the command line also takes as its argument;
	// see Sheet.Argument where there are several.
	Leading bool
	Choices []string // of a Choice
}

// Sheet is one look-up.
type Sheet struct {
	Name   string // of the command
	Title  string
	About  string // what it answers, and for what
	Fields []Field
	// Examples are command lines without the program's name.
	Examples []string
	// Boundary is set where the answer is about what holds the pressure in: the
	// local code and the inspector have the last word, and the answer says so.
	Boundary bool

	work func(*form, *Answer)
}

// Argument is the field that a bare argument of the command is for: the first
// leading one that can read it, or the first of all, whose error then says what was
// expected. It is empty for a sheet that has no main figure.
func (s Sheet) Argument(text string) string {
	first := ""
	for _, field := range s.Fields {
		if !field.Leading {
			continue
		}
		if first == "" {
			first = field.Name
		}
		if field.reads(text) {
			return field.Name
		}
	}
	return first
}

// reads reports whether a text is one of the field's kind. Only kinds that stand
// beside another leading field are told apart.
func (f Field) reads(text string) bool {
	var err error
	switch f.Kind {
	case Length:
		_, err = quantity.ParseLength(text)
	case ThreadName:
		_, err = threads.Parse(text)
	default:
		return false
	}
	return err == nil
}

// Row is one figure or word of an answer.
type Row struct {
	Key   string // of the JSON member; ends in its unit
	Label string // for people
	Value any    // float64, int, bool, string or a slice of one of them; nil: not known
	Text  string // Value as people read it, with its unit
}

// Item is one entry of a list: what people read, and its figures.
type Item struct {
	Text string
	Rows []Row
}

// List is a list inside an answer, best or first entry first.
type List struct {
	Key   string
	Title string
	Items []Item
}

// Answer is what a sheet works out.
type Answer struct {
	Rows     []Row
	Lists    []List
	Findings []check.Result
	// Sources name where the figures come from, each once.
	Sources []string
}

// Verdict is the gravest severity among the findings; Good where nothing is amiss.
func (a Answer) Verdict() check.Severity { return check.Worst(a.Findings) }

// FieldError says which field cannot be worked with.
type FieldError struct {
	Field string // name of the field; empty where no single one is to blame
	Err   error
}

func (e *FieldError) Error() string {
	if e.Field == "" {
		return e.Err.Error()
	}
	return e.Field + ": " + e.Err.Error()
}

func (e *FieldError) Unwrap() error { return e.Err }

// Sheets lists the look-ups, in the order they are shown in.
func Sheets() []Sheet {
	return slices.Concat(steamSheets(), sealSheets(), testSheets(), benchSheets())
}

// Find is the sheet of that name; ok is false where there is none.
func Find(name string) (sheet Sheet, ok bool) {
	for _, s := range Sheets() {
		if s.Name == name {
			return s, true
		}
	}
	return Sheet{}, false
}

// Work fills the sheet in with the values that were typed, by the names of its
// fields, and works it out. A value that cannot be read, a missing one and a
// name that is no field give a *FieldError.
func (s Sheet) Work(values map[string]string) (Answer, error) {
	for name := range values {
		if !slices.ContainsFunc(s.Fields, func(f Field) bool { return f.Name == name }) {
			return Answer{}, &FieldError{Field: name, Err: fmt.Errorf("the look-up %q does not ask this", s.Name)}
		}
	}
	f := &form{fields: s.Fields, values: values}
	for _, field := range s.Fields {
		if field.Required && !f.given(field.Name) {
			return Answer{}, &FieldError{Field: field.Name, Err: fmt.Errorf("missing: %s", lowerFirst(field.Ask))}
		}
	}
	var a Answer
	s.work(f, &a)
	if f.err != nil {
		return Answer{}, f.err
	}
	if s.Boundary {
		a.find(check.Result{Rule: "local-code", Severity: check.Note, Source: "the local boiler code", Message: check.Deference})
	}
	return a, nil
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func (a *Answer) add(rows ...Row) { a.Rows = append(a.Rows, rows...) }

// from adds a source that is not yet named.
func (a *Answer) from(sources ...string) {
	for _, s := range sources {
		if s != "" && !slices.Contains(a.Sources, s) {
			a.Sources = append(a.Sources, s)
		}
	}
}

func (a *Answer) find(findings ...check.Result) { a.Findings = append(a.Findings, findings...) }

const calculated = "calculated"
