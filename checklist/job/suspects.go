package job

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/boiler"
)

// Trial is what looking for one fault showed.
type Trial struct {
	Mark
	Fault boiler.Fault
	Shows bool // it is this one; otherwise it was ruled out
}

func trialOf(rec *record) Trial {
	t := Trial{Mark: mark(rec), Shows: rec.Data["shows"] == "yes"}
	if f, err := boiler.FaultByID(rec.Value); err == nil {
		t.Fault = f
	}
	return t
}

// Suspect is a fault that may make the pressure fall.
type Suspect struct {
	boiler.Fault
	State string // "found", "ruled out" or "" while nobody looked
	By    string
	Text  string // what was seen
}

// Suspects lists what may make the pressure of a test fall: what was found
// first, then what is still to be looked for in the order of the search (no leak
// at all, the rig, through a valve, to be seen, structure), then what was ruled
// out. Where two people saw different things, what was found stays found.
func (r *TestRun) Suspects() []Suspect {
	order := []boiler.FaultKind{boiler.FalseLeak, boiler.Rig, boiler.LeakThrough, boiler.LeakVisible, boiler.Structure}
	rank := map[string]int{"found": 0, "": 1, "ruled out": 2}
	var list []Suspect
	for _, f := range boiler.Faults() {
		s := Suspect{Fault: f}
		for _, t := range r.Trials {
			if t.Fault.ID != f.ID {
				continue
			}
			if t.Shows || s.State != "found" {
				s.State, s.By, s.Text = "ruled out", t.By, t.Text
			}
			if t.Shows {
				s.State = "found"
			}
		}
		list = append(list, s)
	}
	slices.SortStableFunc(list, func(a, b Suspect) int {
		if a.State != b.State {
			return rank[a.State] - rank[b.State]
		}
		return slices.Index(order, a.Kind) - slices.Index(order, b.Kind)
	})
	return list
}

// Try records what looking for a fault showed.
func (j *Job) Try(fault string, shows bool, text string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		state := j.State()
		run := state.Test.Last()
		if run == nil {
			return Entry{}, &RefusedError{"test", []string{"no test has begun (\"fettle job test begin\")"}}
		}
		f, err := boiler.FaultByID(fault)
		if err != nil {
			return Entry{}, err
		}
		if text, err = checkText("what was seen", text); err != nil {
			return Entry{}, err
		}
		answer := map[bool]string{true: "yes", false: "no"}[shows]
		var replaces []string
		for _, t := range run.Trials {
			if t.Fault.ID == f.ID && strings.EqualFold(t.By, by) {
				replaces = append(replaces, t.ID)
			}
		}
		return Entry{Kind: KindTrial, By: by, Step: run.Step, About: run.ID, Value: f.ID, Text: text, Data: map[string]string{"shows": answer}, Replaces: limited(replaces)}, nil
	})
}

// String is a suspect in one line.
func (s Suspect) String() string {
	line := fmt.Sprintf("%s %s", s.ID, s.Path)
	if s.State != "" {
		line += fmt.Sprintf(" - %s by %s: %s", s.State, s.By, s.Text)
	}
	return line
}
