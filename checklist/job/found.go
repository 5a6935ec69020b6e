package job

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist"
	"fettle/checklist/boiler"
)

// What makes a finding by itself: a wet place in a test, a fault found in one, a
// standing danger. Nobody has to think of writing it down, and nobody goes on by
// measuring again: only an undo of the entry itself takes it away, or a decision
// about it.

// foundOf are such findings, by the entry that made each. base knows the limits of
// the readings.
func (j *Job) foundOf(f *fold, base *checklist.Filled) []Finding {
	list := j.faultsOf(f)
	climbing := ofTheTest(base)
	steps, met := map[string]*checklist.FilledStep{}, map[string]bool{}
	for _, step := range base.Steps() {
		steps[step.ID] = step
	}
	for _, rec := range f.standing(KindMeasure) {
		step := steps[rec.Step]
		r := readingOf(step, rec.Reading)
		key := rec.Step + "." + rec.Reading
		if r == nil || met[key] {
			continue
		}
		judged, err := r.Judge(rec.Value)
		if err != nil || judged.OK {
			continue
		}
		finding := Finding{Mark: mark(rec), rec: rec, Step: rec.Step, Reading: rec.Reading}
		wet := r.Counts() && weight(judged.Severity) > 0 && (step.Kind == "test" || climbing[rec.Step])
		switch {
		case dangerFinding(r, rec.Value) && j.keeps(RuleDanger):
			finding.What, finding.Danger, finding.Text = OtherThing, r.Danger, r.Danger
		case wet && j.keeps(RuleWet):
			finding.What = Leaking
			finding.Text = firstOf(r.Ask, r.Name) + ": " + judged.Text
		default:
			continue
		}
		met[key] = true
		list = append(list, finding)
	}
	return list
}

// faultsOf are the faults that somebody found in a test.
func (j *Job) faultsOf(f *fold) []Finding {
	if !j.keeps(RuleFault) {
		return nil
	}
	var list []Finding
	met := map[string]*record{}
	for _, rec := range f.standing(KindTrial) {
		t := trialOf(rec)
		key := rec.About + " " + t.Fault.ID
		if !t.Shows || t.Fault.ID == "" || met[key] != nil && !f.foundAgain(met[key], rec) {
			continue
		}
		met[key] = rec
		m := mark(rec)
		m.Text = fmt.Sprintf("%s (%s): %s", t.Fault.Path, t.Fault.ID, rec.Text)
		list = append(list, Finding{
			Mark: m, rec: rec, What: Leaking, Step: rec.Step, Test: rec.About, Structure: t.Fault.Kind == boiler.Structure,
			Place: "found in a pressure test",
		})
	}
	return list
}

// foundAgain says whether a fault was found once more by somebody who knew what had
// been decided about it.
func (f *fold) foundAgain(first, again *record) bool {
	return slices.ContainsFunc(f.judged[KindDispose], func(d *record) bool {
		return d.About == first.ID && f.line.saw(f.find(again), f.find(d))
	})
}

// standing are the entries of a kind that nobody took back, in the job's order; those
// that later ones stand in the place of are among them.
func (f *fold) standing(kind string) []*record {
	list := slices.Concat(f.past[kind], f.judged[kind])
	if kind == KindMeasure {
		for _, id := range sortedKeys(f.steps) {
			for _, name := range sortedKeys(f.steps[id].readings) {
				list = append(list, f.steps[id].readings[name]...)
			}
		}
	}
	slices.SortStableFunc(list, compareRecords)
	return list
}

// Says is the finding in a sentence, with where.
func (f *Finding) Says() string {
	return strings.TrimSpace(fmt.Sprintf("finding %d: %s, %s. %s", f.Order, f.What, f.Where(), f.Text))
}

// Decided says whether something counts that was decided about it.
func (f *Finding) Decided() bool { return f.Disposition != nil && !f.Unsettled }
