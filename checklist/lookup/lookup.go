// Package lookup lays out every look-up once: what it asks, with its defaults, and
// what it answers, as data. Command, screen, JSON, manual page, help, completion and
// find are made from the sheets, so that a figure has one name, one rounding and one
// source wherever it is shown.
//
// # Decisions
//
//   - One sheet for command and screen. A field added to a sheet is a flag, a line of
//     the form, of the help and of the manual; a row added to its answer is a JSON
//     key, a line of the text and of the screen.
//   - Choices are made when they are asked for: the command line makes the sheets of
//     every command at each start, and the names of all materials cost more than a
//     look-up.
package lookup

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
)

// Kind is how the text of a field is read.
type Kind string

const (
	Pressure    Kind = "pressure" // gauge; needs a unit
	Air         Kind = "air pressure"
	Temperature Kind = "temperature"
	Length      Kind = "length"
	Size        Kind = "size"     // a length above nought
	Altitude    Kind = "altitude" // a length that needs a unit
	Angle       Kind = "angle"
	Volume      Kind = "volume"
	Time        Kind = "time" // needs a unit
	Number      Kind = "number"
	Count       Kind = "count" // a whole number
	Counts      Kind = "counts"
	Text        Kind = "text"
	Person      Kind = "person"
	Choice      Kind = "word"
	YesNo       Kind = "yes-no"
	ThreadName  Kind = "thread"
	DrillName   Kind = "drill"
	Threads     Kind = "threads" // a list
	Drills      Kind = "drills"
	RingSizes   Kind = "inner x outer"
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
	Choices func() []string     // of a Choice; nil for others
	Tell    func(string) string // what a choice means, where its word does not say it
	// Flags is set for a Choice whose words are flags of the command, and Switch for
	// the only ones that stand for a Choice: --wet and not --kind wet.
	Flags bool
	// Few is set where the choices are so few that the help lists them.
	Few bool
}

// Sheet is one look-up.
type Sheet struct {
	Group  string // the command it stands under; empty for one of its own
	Name   string // of the command
	Title  string
	About  string // what it answers, and for what, in a line or two
	Long   string // the same for the command's help; empty where About says it
	Words  string // what people also call what it answers
	Fields []Field
	// Asked are the figures it is opened for, by their keys: the first that the answer
	// has is drawn large and all stand in its headline.
	Asked []string
	// Examples are command lines without the program's name.
	Examples []string
	// Boundary is set where the answer is about what holds the pressure in: the
	// local code and the inspector have the last word, and the answer says so.
	Boundary bool
	// Many is set where the leading field may be given several times, each a question.
	Many bool
	// Own is set where the answer depends on the tools that the workshop has listed.
	Own bool
	// Or is another look-up that the command answers in place of this one where a flag
	// of its name is given.
	Or string

	also []string       // calls that no help shows, whose answers have keys that the examples lack
	ask  func() []Field // what Whole fills Fields in with
	work func(*form, *Answer)
}

// Whole is the sheet with its fields.
func (s Sheet) Whole() Sheet {
	if s.Fields == nil {
		s.Fields = s.ask()
	}
	return s
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
		if field.Read(text) == nil {
			return field.Name
		}
	}
	return first
}

// Field is the field of that name; nil where the sheet asks no such thing.
func (s Sheet) Field(name string) *Field {
	if i := slices.IndexFunc(s.Fields, func(f Field) bool { return f.Name == name }); i >= 0 {
		return &s.Fields[i]
	}
	return nil
}

// Rows are figures and words that stand together.
type Rows []Row

// Row is one figure or word of an answer.
type Row struct {
	Key   string // of the JSON member; ends in its unit. Empty: for people only
	Label string // for people. Empty: for programs only
	// Value is a float64, int, bool, string, a slice of one of them, Rows or []Rows, or a
	// func() any of one, for what only programs ask and takes time; nil: not known. Rows
	// with a label and no text are a part of the answer with a heading.
	Value any
	Text  string // Value as people read it, with its unit
}

// Item is one entry of a list: what people read, and its figures.
type Item struct {
	Name string // stands in a column before the texts; empty where there is none
	Text string
	// Rows are its figures. Those with a label stand below the text.
	Rows     Rows
	Findings []check.Result
}

// List is a list inside an answer, best or first entry first.
type List struct {
	Key   string // empty: for people only
	Title string // empty: for programs only
	Items []Item
	// Shown is how many people see before they ask for all; 0: all of them.
	Shown int
	// Ranked lists are numbered, and of all but the first the notes can wait.
	Ranked bool
}

// Ring is a circle of holes with the order in which their screws are tightened.
type Ring struct {
	Circle fastening.Circle
	Order  []int
}

// Answer is what a sheet works out.
type Answer struct {
	Title string // what was asked; a second line tells more of it
	// Column is how wide the labels' column is where an answer has to fit one screen:
	// a label that is blank goes on below the one before.
	Column   int
	Rows     Rows
	Lists    []List
	Findings []check.Result
	// Sources name where the figures come from, each once.
	Sources []string
	Ring    *Ring            // to be drawn; nil for none
	Fits    []threads.Thread // threads that fit what was measured
	// Best is the verdict of what is advised, where that has one of its own: it is what
	// programs read.
	Best     check.Severity
	Headline string // what comes out in a line, where Asked does not say it
}

// Verdict is the gravest severity among the findings and of what is advised; Good
// where nothing is amiss.
func (a Answer) Verdict() check.Severity {
	worst := check.Worst(a.Findings)
	if a.Best.Worse(worst) {
		return a.Best
	}
	return worst
}

// Large is the place of the row that the look-up is opened for; -1 for none.
func (s Sheet) Large(a Answer) int {
	for _, key := range s.Asked {
		if at := slices.IndexFunc(a.Rows, func(r Row) bool { return r.Key == key && r.Label != "" }); at >= 0 {
			return at
		}
	}
	return -1
}

// Headline is what comes out in one line; empty where no line holds it.
func (s Sheet) Headline(a Answer) string {
	var first []string
	for _, key := range s.Asked {
		for _, r := range a.Rows {
			if r.Key == key && r.Label != "" {
				first = append(first, r.Label+" "+r.Text)
			}
		}
	}
	switch {
	case a.Headline != "":
		return a.Headline
	case len(first) > 0:
		return strings.Join(first, ", ")
	case len(a.Lists) > 0 && len(a.Lists[0].Items) > 0:
		return a.Lists[0].Items[0].Text
	}
	return ""
}

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
	list := append(Screws(), Boiler()...)
	for i, s := range list {
		list[i] = s.Whole()
	}
	return list
}

// Screws are the look-ups of threads and what is fastened with them: each is a command
// of its own, and made at every start of the program: without its fields, until Whole.
func Screws() []Sheet {
	return []Sheet{threadSheet(), identifySheet(), drillSheet(), torqueSheet(), rescueSheet(), shearedSheet(), jointSheet()}
}

// Boiler are the look-ups of the boiler and its seals.
func Boiler() []Sheet { return slices.Concat(steamSheets(), sealSheets(), testSheets(), benchSheets()) }

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
// fields, and works it out with the workshop's own tools. A value that cannot be
// read, a missing one and a name that is no field give a *FieldError.
func (s Sheet) Work(values map[string]string, own workshop.Tools) (Answer, error) {
	for name := range values {
		if s.Field(name) == nil {
			return Answer{}, &FieldError{Field: name, Err: fmt.Errorf("the look-up %q does not ask this", s.Name)}
		}
	}
	f := &form{fields: s.Fields, values: values, own: own}
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
	if s.Boundary && !slices.ContainsFunc(a.Findings, func(r check.Result) bool { return r.Message == check.Deference }) {
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

// list adds a list for programs and people; key or title may be empty.
func (a *Answer) list(list List) { a.Lists = append(a.Lists, list) }

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
