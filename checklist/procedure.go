package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"slices"
)

// Format is the version of the procedure format that this package reads. The
// key `format` of a file is looked at before anything else in it.
const Format = 2

// Procedure is a procedure file as it was written: nothing in it is filled in
// or worked out yet, every `${...}` still stands in the texts. It comes from
// [Read] and is never changed afterwards, so it may be shared between
// goroutines.
//
// No string in it holds a control character, a bidirectional override or
// anything else that could reach a terminal as a command: [Read] reports such a
// character and puts U+FFFD in its place. The one exception is the line feed in
// the longer texts (About, Do, Why, warnings, cautions and notes).
type Procedure struct {
	Format int    // 0 where the file is written in a newer format than this program reads
	ID     string // lower-case words joined by hyphens; names the procedure in a job
	Title  string
	About  string

	Preliminary Preliminary
	Settings    []Setting  // in the order of the file, which is the order of asking
	Fasteners   []Fastener // in the order of the file
	Seals       []Seal     // in the order of the file
	Tests       []Test     // in the order of the file
	Figures     []WorkedOut
	Stages      []Stage // in the order of the file, which is the order of working
	Accept      []Accept

	// File is the name the text was read from, as given to [Read].
	File string
	// Source is the text itself, with the shared stages that it names copied into it.
	// A job freezes it.
	Source []byte

	doc     *source.Document
	recalls map[string]bool // readings that some text or limit names
	splits  []Split         // of [Procedure.Revise]
}

// Preliminary is what must be so, and lie ready, before the first step
// (the preliminary requirements of S1000D's procedural module).
type Preliminary struct {
	Conditions []string // the state the engine must be in
	Persons    []string // who must be there
	Equipment  []string // support equipment: tools, gauges, lamps
	Supplies   []string // used up: packing, sealant, cloths
	Spares     []string // parts that may be needed
	Warnings   []string // injury
	Cautions   []string // damage
	Notes      []string

	// when holds, by the key of a list, the conditions of its entries; lists
	// whose entries have none are not in it.
	when map[string][][]Condition

	at *source.Place
}

// preliminaryList is one list of the preliminary requirements, by its key.
type preliminaryList struct {
	key string
	to  *[]string
}

// lists are the lists of p, in the order of the format.
func (p *Preliminary) lists() []preliminaryList {
	return []preliminaryList{
		{"conditions", &p.Conditions}, {"persons", &p.Persons}, {"equipment", &p.Equipment}, {"supplies", &p.Supplies},
		{"spares", &p.Spares}, {"warnings", &p.Warnings}, {"cautions", &p.Cautions}, {"notes", &p.Notes},
	}
}

// Setting is one question the procedure asks before a job starts. Its answer
// stands wherever a text says ${name}.
type Setting struct {
	Name    string
	Ask     string      // the question as the fitter reads it
	Why     string      // help under the question; may be empty
	Kind    string      // one of [SettingKinds]
	Default string      // may hold ${other}; an answer in the same form a person would type
	Choices []string    // for kind "choice"
	Low     string      // smallest value that makes sense, in the same form as Default; may be empty
	High    string      // largest value that makes sense; may be empty
	When    []Condition // where it does not hold, nothing is asked and the default stands

	// HasDefault tells an empty default from no default: a setting without one
	// must be answered before a job starts. An empty one means not known: a key
	// that is made of it counts as not given.
	HasDefault bool

	at *source.Place
}

// Fastener is one thread of the job, or one circle of equal ones. Every field
// may hold ${setting}.
type Fastener struct {
	Name string
	// Label is what the fastener is called in headings; empty means its name.
	Label      string
	Thread     string
	Head       string // hex, socket, countersunk, cheese
	Length     string // of the screw under its head (over all for countersunk heads)
	Count      string
	Grade      string
	Into       string // the metal that is tapped
	Engagement string // height of thread the tapping drill leaves, in percent; empty for the rule
	Hole       string // wet, blind, dry; the entries of the list joined by spaces: "wet blind"
	Circle     string // diameter of the bolt circle
	Start      string // angle of the first of the circle, from the X axis, anticlockwise; empty for 0
	Lubricant  string
	Joint      string // the seal these fasteners clamp
	When       []Condition

	Cover       string // thickness of what the screw passes through
	Washer      string // thickness of washers under the head
	Depth       string // full thread in the hole, measured from the joint face
	Edge        string // centre of the hole to the nearest edge of the tapped part
	Spanner     string // across flats of what is turned, where no standard says it
	DrillOff    string // of a broken screw: how far its first drill is off the middle
	Utilisation string // share of proof stress to tighten to, 0.1 to 0.9

	Accept []Accept

	gone int    // how many of the circle are another part now
	like string // the circle this part was split from

	at *source.Place
}

// Seal is one thing that keeps steam or water in. Every field may hold ${setting}.
type Seal struct {
	Name     string
	Label    string
	Kind     string // gasket, o-ring, packing, sealant, tape, cone
	Material string
	Zone     string // cold feed, saturated, superheated, smokebox, cab
	Pressure string // working pressure of the boiler, gauge
	Test     string // test pressure the joint has to hold, gauge

	Values map[string]string // the figures of its kind, by key: spindle, box, inner ...
	When   []Condition

	Accept []Accept

	at *source.Place
}

// Test is a pressure test as the local code has it. The program chooses no
// multiple, no time and no person; it refuses a target above what was typed in.
// Every field may hold ${setting}.
type Test struct {
	Name        string
	Label       string
	Code        string // name of the code
	Edition     string
	Pressure    string // working pressure, gauge
	Multiple    string // of the working pressure
	Target      string // test pressure, gauge; empty for the product of the two
	Hold        string // how long
	DropAllowed string // fall of pressure that the code allows over that time
	Operator    string
	Inspector   string
	Witness     string
	Preliminary string // yes for a test that certifies nothing
	Gauge       string // full scale of the test gauge

	When   []Condition
	Accept []Accept

	at *source.Place
}

// Accept says why one of the trade's rules does not apply at one place. It is
// shown to the fitter together with the finding it answers.
type Accept struct {
	Rule    string
	Because string

	at *source.Place
}

// Stage is a group of steps under one heading.
type Stage struct {
	Title string
	About string
	When  []Condition
	Steps []Step

	at *source.Place
}

// Step is one thing to do.
type Step struct {
	ID    string
	Kind  string // one of [StepKinds]
	Title string // a few words for lists; empty means the start of Do
	Do    string
	Why   string

	// Needs are the ids of steps that come first, the key `after`. HasNeeds tells
	// `after = []` (nothing comes first) from no after at all (the step before does).
	Needs    []string
	HasNeeds bool

	Uses []string // the parts it deals with, the key `parts`
	// Figures are those to show, in that order ("packing.rings"). HasFigures
	// tells `figures = []` (none) from no figures at all (all of Uses).
	Figures    []string
	HasFigures bool

	When    []Condition
	Hold    string // who must release the step before work goes on
	Witness string // who is told and may watch
	Wait    string // time that must pass after the step, such as "24 h"
	Closes  string // the opening it closes
	Call    *Call  // the procedure it sends the fitter to; nil for none
	// Quadrant is the angle a lever of the step swings, from shut to open.
	Quadrant string

	Readings []Reading
	Warnings []string
	Cautions []string
	Notes    []string
	Accept   []Accept

	at    *source.Place
	added bool     // came in with a [Change]; the default order passes it by
	also  []string // further needs, of a [Change]
}

// Reading is something measured or observed in a step.
//
// A reading that sets a setting replaces that setting's value as soon as it is
// taken: texts and figures after it follow what was measured. Its own limits stay
// with the value from before, so that a reading is never judged against itself. See
// [Procedure.FillMeasured].
type Reading struct {
	Name    string
	Ask     string
	Kind    string // one of [Kinds]
	Unit    string // what a bare number is in; a noun for what is counted; empty for the usual one
	Nominal string // what is wanted; may hold ${...}
	Within  string // how far either way from Nominal: "0.05 mm", "10 %"
	Plus    string // how far above Nominal
	Minus   string // how far below Nominal
	Low     string // the smallest value that is right
	High    string
	Choices []string // for kind "choice"
	Sets    string   // the setting that it replaces
	// Times is how often it is taken, Each the fastener for every one of which it is
	// taken; one of the two at most. Takes is which of the figures counts where one is
	// asked for: one of [Takes].
	Times, Each, Takes string

	Outside check.Severity // what a reading outside its limits is; "warn" where not given
	// Danger is what stands on this engine from now on where the reading lies
	// outside its limits: it stops the step, and every later job is told.
	Danger string
	When   []Condition

	at *source.Place
}

var (
	stepKinds = [...]string{"strip", "measure", "inspect", "decide", "make", "clean", "dry-fit", "seal", "tighten",
		"wait", "test", "record"}
	sealKinds = [...]string{"gasket", "o-ring", "packing", "sealant", "tape", "cone"}
)

// StepKinds lists the kinds a step may have.
func StepKinds() []string { return slices.Clone(stepKinds[:]) }

// SealKinds lists the kinds a seal may have.
func SealKinds() []string { return slices.Clone(sealKinds[:]) }
