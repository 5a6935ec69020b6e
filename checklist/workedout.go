package checklist

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/threads/check"
)

// WorkedOut is a figure that the procedure works out by itself from settings,
// readings, figures of its parts and other such figures.
type WorkedOut struct {
	Name    string
	Label   string
	Is      string // the sum: + - * / and smallest(), largest(), mean()
	Unit    string // what it is shown in; empty for the usual unit of what comes out
	Low     string // may hold ${setting}
	High    string
	Outside check.Severity // "warn" where not given
	When    []Condition
	Accept  []Accept

	at *source.Place
}

// FilledWorkedOut is such a figure with what comes out.
type FilledWorkedOut struct {
	Figure
	Low, High Limit
	Outside   check.Severity
	// Known says that everything it hangs on is known; where not, Text says so.
	Known bool
	// Judgement is what is to be said of it; only where Known.
	Judgement Judgement
	Step      string   // the id of the step whose reading completes it; empty for none
	Readings  []string // the readings that it hangs on
}

// workedOut is one while it is worked out.
type workedOut struct {
	of       *WorkedOut
	sum      *sum
	state    state
	readings []string // that it hangs on, in the order of the file
	last     spot     // of the last of them
	amount   amount
	ok       bool // known
	wrong    bool // reported
	unit     *readingUnit
	low      Limit
	high     Limit
}

// listWorkedOut makes the figures known by name; each is worked out when it is asked
// for, and all of them in the end.
func (x *filler) listWorkedOut() {
	x.worked = make(map[string]*workedOut, len(x.p.Figures))
	for i := range x.p.Figures {
		if f := &x.p.Figures[i]; x.worked[f.Name] == nil {
			x.worked[f.Name] = &workedOut{of: f, last: spot{-1, -1}}
		}
	}
}

// workOut works one figure out; a figure that comes round to itself is a mistake.
func (x *filler) workOut(w *workedOut) {
	at := w.of.at.Field("is")
	switch w.state {
	case working:
		if !w.wrong {
			w.wrong = true
			x.f.Value(check.Stop, source.RuleCircle, at, fmt.Sprintf("the figure %s comes round to itself", w.of.Name), "")
		}
		return
	case known:
		return
	}
	w.state = working
	anywhere := x.anywhere
	x.anywhere = true // where it is named is looked at there
	defer func() { w.state, x.anywhere = known, anywhere }()
	if w.of.Is == "" {
		w.wrong = true
		return // reported where it stands
	}
	parsed, err := parseSum(w.of.Is)
	if err == nil {
		w.sum = parsed
		w.amount, w.ok, err = x.reckon(parsed, w)
	}
	if err != nil {
		w.wrong, w.ok = true, false
		x.f.At(check.Stop, source.RuleExpression, at, x.within(at, w.of.Is, err.start, err.end), err.message, err.suggestion)
		return
	}
	if w.wrong {
		w.ok = false
		return
	}
	kind, isKind := w.amount.kindOf()
	if !isKind {
		w.wrong, w.ok = true, false
		x.f.Value(check.Stop, source.RuleWrongType, at, fmt.Sprintf("what comes out is %s, which is nothing that can be measured here", w.amount.dimension()), "")
		return
	}
	var fits bool
	if w.unit, fits = unitFor(kind, w.of.Unit); !fits {
		w.wrong, w.ok = true, false
		x.f.Value(check.Stop, source.RuleWrongType, w.of.at.Field("unit"), fmt.Sprintf("what comes out is %s, and %s is no unit of it", source.Article(kind), source.Shown(w.of.Unit)), x.f.Suggest(w.of.Unit, Units(kind)))
		return
	}
	w.low, w.high = x.fixedLimit(w, "low", w.of.Low), x.fixedLimit(w, "high", w.of.High)
	if w.low.Given && w.high.Given && w.low.Value > w.high.Value+closeEnough(w.high.Value) {
		x.f.Value(check.Stop, source.RuleValue, w.of.at.Field("low"), fmt.Sprintf("the lower limit %s lies above the upper limit %s", w.low.Text, w.high.Text), "")
	}
}

// fixedLimit is a limit of a figure, in its unit.
func (x *filler) fixedLimit(w *workedOut, key, text string) Limit {
	at := w.of.at.Field(key)
	raw, ok := x.raw(text, at, everything)
	if raw = strings.TrimSpace(raw); !ok || raw == "" {
		return Limit{}
	}
	v, err := w.unit.read(raw)
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		return Limit{}
	}
	return Limit{Given: true, Value: v, Text: w.unit.print(v)}
}

// out is the value of a figure in its unit.
func (w *workedOut) out() float64 {
	v, err := w.unit.read(w.amount.raw())
	if err != nil {
		return w.amount.v // a number: it has no unit to be turned into
	}
	return v
}

// figure is a worked-out figure as it is shown.
func (w *workedOut) figure(x *filler) FilledWorkedOut {
	label := w.of.Label
	if label == "" {
		label = source.UpperFirst(strings.NewReplacer("_", " ", "-", " ").Replace(w.of.Name))
	}
	f := FilledWorkedOut{Figure: Figure{Key: w.of.Name, Label: label, Source: "calculated: " + w.of.Is}, Low: w.low, High: w.high, Outside: w.of.Outside, Known: w.ok, Readings: w.readings}
	if f.Outside == "" {
		f.Outside = check.Warn
	}
	if !w.ok {
		f.Text = notKnownText
		if x.blanks {
			f.Text = Blank
		}
		return f
	}
	f.Value, f.Unit, f.Text = w.out(), w.unit.name, w.unit.print(w.out())
	f.Judgement = judge(f.Value, f.Text, f.Low, f.High, f.Outside, w.unit.print)
	return f
}

// closeWorkedOut lists the figures, each with the step at which it is known, and
// reports those that the answers alone put outside.
func (x *filler) closeWorkedOut(out *Filled) {
	for i := range x.p.Figures {
		w := x.worked[x.p.Figures[i].Name]
		if w.of != &x.p.Figures[i] || x.unmet(w.of.When) != "" {
			continue
		}
		f := w.figure(x)
		if s := x.shownAt(out, w.last.step); s != nil {
			f.Step = s.ID
			s.WorkedOut = append(s.WorkedOut, f)
		}
		if f.Known && !f.Judgement.OK && len(w.readings) == 0 {
			if because := x.report(check.Result{Rule: ruleFigureOutside, Severity: f.Outside, Message: f.Label + ": " + f.Judgement.Text}, w.of.at, w.of.at.Field("is"), w.of.Accept); because != "" {
				out.Accepted = append(out.Accepted, Accepted{Rule: ruleFigureOutside, Message: f.Judgement.Text, Because: because, Where: "figure " + w.of.Name})
			}
		}
		out.WorkedOut = append(out.WorkedOut, f)
	}
}

// shownAt is the step that a figure stands at: that of its last reading, or the first
// one behind it that applies, so that no figure outside its limits falls away with a
// step.
func (x *filler) shownAt(out *Filled, n int) *FilledStep {
	if n < 0 {
		return nil
	}
	var last *FilledStep
	at := 0
	for i := range x.p.Stages {
		for j := range x.p.Stages[i].Steps {
			if s := out.Step(x.p.Stages[i].Steps[j].ID); s != nil {
				if last = s; at >= n {
					return s
				}
			}
			at++
		}
	}
	return last
}

// hangsOn notes that a figure is made of a reading.
func (w *workedOut) hangsOn(name string, at spot) {
	if !slices.Contains(w.readings, name) {
		w.readings = append(w.readings, name)
	}
	if at.step > w.last.step || at.step == w.last.step && at.reading > w.last.reading {
		w.last = at
	}
}
