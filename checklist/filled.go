package checklist

import (
	"time"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Filled is a procedure with its settings answered: every ${...} worked out,
// every `when` decided. It is never changed after it was made.
type Filled struct {
	Procedure *Procedure

	Title, About string
	Preliminary  Preliminary

	Values    []FilledSetting // in the order of asking
	Fasteners []FilledPart    // every fastener with all its figures
	Seals     []FilledPart    // every seal with all its figures
	Tests     []FilledPart    // every pressure test with all its figures
	WorkedOut []FilledWorkedOut
	Stages    []FilledStage // only what applies
	LeftOut   []LeftOut     // steps that do not apply, with the reason
	Accepted  []Accepted    // rules the file answers with a reason; always shown to the fitter

	recalls map[string]bool // readings that some text or limit names
}

// FilledSetting is one setting with its value.
type FilledSetting struct {
	Name      string
	Ask       string
	Kind      string
	Text      string // as it was typed, or the default
	Canonical string // as the program writes it: "4.76 mm (3/16 in)"
	Default   bool   // nobody answered; the file's default stands
	Measured  bool   // a reading of that name replaced the answer
	Probable  bool   // a thread that was identified by measuring, and not tried with a gauge or a known mate
	NotAsked  string // why it is not asked ("sealing is packing"); empty where it is
}

// FilledPart is a fastener, a seal or a pressure test with its figures.
type FilledPart struct {
	Name    string
	Label   string
	Kind    string // "fastener", "test", or the kind of the seal
	Figures []Figure

	Probable bool           // a fastener whose thread comes from a setting that is only probable
	Applies  bool           // its `when` holds; where not, no rule was asked
	Findings []check.Result // what the trade's rules say to it, notes included
}

// Figure is one thing worked out, ready to be shown.
type Figure struct {
	Key    string // "packing.rings": what stands in ${...}
	Label  string // "Rings"
	Text   string // "4", "22.4 mm": rounded for the bench
	Source string // standard, table or formula it comes from

	// Value is the unrounded figure in Unit; both are zero for figures that are words.
	Value float64
	Unit  string
}

// FilledStage is a stage with the steps that apply.
type FilledStage struct {
	Title string
	About string
	Steps []FilledStep
}

// FilledStep is a step ready to be worked.
type FilledStep struct {
	ID     string
	Kind   string
	Stage  string // title of its stage
	Number int    // 1 for the first step that applies, counted through all stages
	Title  string // never empty
	Do     string
	Why    string

	// Needs are the steps that must be done first: as written, or the step
	// before where nothing is written. Steps that do not apply are replaced by
	// what they need themselves.
	Needs   []string
	Hold    string
	Witness string
	Wait    time.Duration
	Closes  string      // the opening it closes; empty for none
	Call    *FilledCall // the procedure it sends the fitter to; nil for none

	// Quadrant is the angle a lever of the step swings from shut to open, above
	// 0 and at most 180°; zero where the step has none.
	Quadrant quantity.Angle

	Readings []FilledReading
	Warnings []string
	Cautions []string
	Notes    []string
	Accepted []Accepted
	Uses     []string
	Figures  []Figure
	// WorkedOut are the figures of [figures] that a reading of the step completes.
	WorkedOut []FilledWorkedOut
	Rounds    []Round // of a step that tightens: how far it takes which fasteners
	Added     bool    // came in with a [Change]
}

// FilledReading is a reading with its limits worked out.
type FilledReading struct {
	Name    string
	Ask     string
	Kind    string // one of [Kinds]
	Unit    string // what a bare number is in; the kind itself where it has no unit
	Sets    string // the setting this reading replaces; empty for none
	Times   int    // how many figures it has, typed with ; between them; 1 for most
	Takes   string // which of several figures counts; one of [Takes]
	Choices []string
	Nominal Limit
	Low     Limit
	High    Limit
	Outside check.Severity
	Danger  string // what stands on the engine where the reading is outside; empty for nothing
}

// Limitless says that no answer lies outside: the procedure names nothing to be
// outside of, or it hangs on a reading that was not taken.
func (r FilledReading) Limitless() bool {
	if unit, ok := unitFor(r.Kind, r.Unit); ok && unit.words {
		return !r.Nominal.Given || unit.name == "text"
	}
	return !r.Low.Given && !r.High.Given
}

// Counts says whether the reading counts things: wet places, drops, blanks.
func (r FilledReading) Counts() bool {
	unit, ok := unitFor(r.Kind, r.Unit)
	return ok && !unit.words && (unit.whole || unit.parse == nil && unit.name == "drops/min")
}

// Limit is a limit or a nominal value. The zero value is none.
type Limit struct {
	Given bool
	Value float64 // in the unit of the reading
	Text  string  // with its unit
}

// LeftOut is a step that does not apply.
type LeftOut struct {
	ID, Title, Because string
}

// Accepted is a finding of a rule that the file answers.
type Accepted struct {
	Rule    string // id of the rule
	Message string // what the rule found
	Because string // what the author of the file says to it
	Where   string // "step seal", "fastener nut"
	Source  string // source of the rule
	Part    string // the fastener or seal, where it is about one
	Step    string // the id of the step, where it is about one
}

// Steps are the steps that apply, in order, through all stages.
func (f *Filled) Steps() []*FilledStep {
	var steps []*FilledStep
	for i := range f.Stages {
		for j := range f.Stages[i].Steps {
			steps = append(steps, &f.Stages[i].Steps[j])
		}
	}
	return steps
}

// Step is the step with that id, or nil where there is none or it does not apply.
func (f *Filled) Step(id string) *FilledStep {
	for _, step := range f.Steps() {
		if step.ID == id {
			return step
		}
	}
	return nil
}

// Value is the value of a setting as text; empty where there is no such setting.
func (f *Filled) Value(setting string) string {
	for _, v := range f.Values {
		if v.Name == setting {
			return v.Text
		}
	}
	return ""
}
