package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
)

// Standing dangers. What a procedure marks as one stays with the engine: it stops
// its step until somebody decided about it and the inspector released that, stands
// at the top of every paper, and is told to every later job on the engine.

// dayForm is how an entry keeps the day a danger was found.
const dayForm = "2006-01-02"

// Danger is something that stands on the engine and can hurt somebody.
type Danger struct {
	Mark          // who found it; Text is what it is
	Step   string // of this job, where it was found here
	From   string // which job found it; "" for this one
	In     string // folder of the called job that found it; "" for none
	Solved []Mark // who said that it is no more, and why
}

// dangerFinding says whether a reading shows a danger.
func dangerFinding(r *checklist.FilledReading, value string) bool {
	if r == nil || r.Danger == "" {
		return false
	}
	judged, err := r.Judge(value)
	return err == nil && !judged.OK
}

// dangerOpen says what keeps a step at a danger; "" where nothing does: its cause is
// gone, or what was decided about it was released by the inspector.
func (g *gating) dangerOpen(step *checklist.FilledStep, s *StepState) string {
	if !g.j.keeps(RuleDanger) {
		return ""
	}
	for i := range step.Readings {
		r := &step.Readings[i]
		if !dangerFinding(r, counts(s.Readings[r.Name]).Value) {
			continue
		}
		f := g.findingAt(step.ID, r.Name)
		switch {
		case f == nil || !f.Decided():
			return r.Danger + " Decide about the finding first; then the inspector releases it"
		default:
			hold := g.step["danger-"+f.Name()]
			if hold == nil || g.recorded(hold).Status != Done {
				return r.Danger + " It is decided; the inspector has not released it"
			}
		}
	}
	return ""
}

// findingAt is the finding that a reading of a step made by itself.
func (g *gating) findingAt(step, reading string) *Finding {
	at := slices.IndexFunc(g.state.Findings, func(f Finding) bool { return f.Step == step && f.Reading == reading })
	if at < 0 {
		return nil
	}
	return &g.state.Findings[at]
}

// dangers are what stands on the engine, as far as this job knows.
func (j *Job) dangers(seen *view) []Danger {
	var list []Danger
	for _, step := range seen.filled.Steps() {
		s := seen.fold.steps[step.ID]
		for i := range step.Readings {
			r := &step.Readings[i]
			if s == nil || r.Danger == "" {
				continue
			}
			// Also one from before its step was opened again: it stands until it is
			// read otherwise.
			for _, rec := range s.readings[r.Name] {
				if dangerFinding(r, rec.Value) {
					m := mark(rec)
					m.Text = r.Danger
					list = append(list, Danger{Mark: m, Step: step.ID})
					break
				}
			}
		}
	}
	solved := map[string][]Mark{}
	for _, rec := range seen.fold.judged[KindSettle] {
		if rec.Reading == settleDanger && j.somebody(rec.By) && rec.Text != "" {
			solved[rec.About] = append(solved[rec.About], mark(rec))
		}
	}
	// An undo takes none of them away: somebody says by name that it is no more.
	for _, rec := range seen.fold.told {
		if !rec.live() && !j.keeps(RuleDangerStays) {
			continue
		}
		m := mark(rec.record)
		m.At = j.wall.In(m.At)
		if at, err := time.Parse(dayForm, rec.Data["found"]); err == nil {
			m.At = at
		}
		list = append(list, Danger{Mark: m, From: rec.Value, Solved: solved[rec.ID]})
	}
	return list
}

// found are the dangers that a job or one inside it found itself: what it was told
// stands with whoever told it.
func (s *State) found() []Danger {
	return slices.DeleteFunc(s.Standing(), func(d Danger) bool { return d.From != "" && d.In == "" })
}

// Standing are the dangers nobody has solved.
func (s *State) Standing() []Danger {
	return slices.DeleteFunc(slices.Clone(s.Dangers), func(d Danger) bool { return len(d.Solved) > 0 })
}

// Name is how a danger is called in commands.
func (d *Danger) Name() string { return entryName(d.ID) }

// String is the danger in a sentence, with who found it and where.
func (d *Danger) String() string {
	text := strings.TrimSuffix(d.Text, ".") + fmt.Sprintf(" (found by %s", somebody(d.By))
	if !d.At.IsZero() {
		text += ", " + d.At.Format(Day)
	}
	if d.From != "" {
		text += ", " + d.From
	}
	return text + ")."
}

// dangersToTell are what a new job on an engine is told of: what stands in the jobs
// beside it, and in the job that calls it. It reads those jobs and writes nothing.
func dangersToTell(jobs []*Job) []Entry {
	var list []Entry
	told := map[string]bool{}
	for _, other := range jobs {
		state := other.State()
		for _, d := range state.Standing() {
			if from := firstOf(d.From, other.Filled().Title); !told[d.Text] {
				told[d.Text] = true
				list = append(list, Entry{Kind: KindDanger, By: d.By, Text: d.Text, Value: from, Data: map[string]string{"found": d.At.Format(dayForm)}})
			}
		}
	}
	return list
}
