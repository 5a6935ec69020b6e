package job

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist"
)

// SelfReleaseError says that a hold would be released by somebody who does the
// work on this job. Only whoever says so ([Job.ReleaseMyself]) may do that, and
// at an inspector's hold nobody may.
type SelfReleaseError struct {
	Step string
	Name string // who would release it
	Who  string // who the procedure wants: "owner"
}

func (e *SelfReleaseError) Error() string {
	return fmt.Sprintf("step %s: %s works on this job, and the %s releases this hold. If %s is the %s, say so",
		Plain(e.Step), e.Name, e.Who, e.Name, e.Who)
}

// Release lets a step at a hold point go on; by is the person who releases it.
// Before a pressure test, what other jobs on the engine have open is said in
// Saved.Said ([Job.Beside]).
// The error is a *SelfReleaseError where that person works on the job, and a
// *BlockedError where in that case the inspector must release it.
func (j *Job) Release(step, by string) (Saved, error) { return j.release(step, by, false) }

// ReleaseMyself releases a hold by somebody who works on the job, and is at the
// same time the person whom the procedure wants. The record marks it. An
// inspector is never the one who does the work.
func (j *Job) ReleaseMyself(step, by string) (Saved, error) { return j.release(step, by, true) }

func (j *Job) release(step, by string, myself bool) (Saved, error) {
	beside := j.besideJobs()
	saved, err := j.save(func() (Entry, error) {
		worker, f, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		by, err := j.signer(by)
		if err != nil {
			return Entry{}, fmt.Errorf("who releases the hold: %w", err)
		}
		j.freshCalled()
		state := j.State()
		s, g := state.Steps[step], j.gating(&state, j.view(), j.env.Now())
		first := s.comesFirst(j)
		if g.beforeClimb(f) && j.keeps(RuleBeside) {
			first = append(first, beside.Open...)
		}
		works := strings.EqualFold(by, worker) || j.worked(by)
		data := map[string]string{"worker": worker}
		switch {
		case g.hold(f) == "":
			return Entry{}, &BlockedError{step, []string{"it is no hold point"}}
		case len(s.Releases) > 0:
			return Entry{}, &BlockedError{step, []string{"it is released already: " + j.wall.names(s.Releases)}}
		case works && byInspector(f.Hold) && j.keeps(RuleReleaseNamed):
			return Entry{}, &BlockedError{step, []string{by + " is working on the job; the inspector releases this hold"}}
		case works && !myself && j.keeps(RuleReleaseNamed):
			return Entry{}, &SelfReleaseError{step, by, f.Hold}
		case len(first) > 0:
			return Entry{}, &BlockedError{step, first}
		case f.Kind == "decide" && g.restsOnTest(f) && len(state.Test.Missing) > 0 && j.keeps(RuleCodeTyped):
			return Entry{}, &BlockedError{step, []string{"on the test sheet is nothing yet for " + strings.Join(state.Test.Missing, ", ") + ": the release is a word about it"}}
		case works:
			data[selfKey] = "yes"
		}
		if other := g.otherRole(f, by); other != "" && j.keeps(RuleOneRole) {
			return Entry{}, &BlockedError{step, []string{other}}
		}
		return Entry{Kind: KindRelease, By: by, Step: step, Text: f.Hold, Data: data, Saw: saw(g.sight(f, g.recorded(f)))}, nil
	})
	if err == nil {
		saved.Said = warnBeside(saved.Said, slices.Concat(beside.Open, beside.Unknown))
	}
	return saved, err
}

// comesFirst is what still comes before a hold is released: the release is a word
// about what the steps before it showed, and about the readings of its own.
func (s *StepState) comesFirst(j *Job) []string {
	if !j.keeps(RuleReleaseAfter) {
		return nil
	}
	var first []string
	for _, g := range s.Gates {
		if g.Name == GateHold || g.Name == GateCalled || g.Soft || len(g.Passed) > 0 || s.settledBy(&g) {
			continue
		}
		first = append(first, g.Text)
	}
	first = append(first, s.Missing...)
	if len(first) > 0 {
		first[len(first)-1] += "; the release is a word about it"
	}
	return first
}

// beforeClimb says whether a hold stands before a pressure test that has not begun:
// then what other jobs on the engine have open has to be closed first.
func (g *gating) beforeClimb(step *checklist.FilledStep) bool {
	if run := g.state.Test.Last(); run != nil && run.Result == "" {
		return false
	}
	return g.restsOnTest(step) && !ofTheTest(g.seen.filled)[step.ID]
}

// restsOnTest says whether a step, or one before it, works on a pressure test.
func (g *gating) restsOnTest(step *checklist.FilledStep) bool {
	return g.usesTest(step) || slices.ContainsFunc(g.upstream(step), g.usesTest)
}

// worked says whether somebody does the work here, in a job that this one called
// or in one that it lies in: it is the same work, cut into parts. The writer's
// lock is held. What cannot be read says nothing of who worked there.
func (j *Job) worked(name string) bool {
	if len(j.above) == 0 {
		return j.workedInside(name)
	}
	outermost, err := Open(j.above[0].Dir, j.env)
	return j.workedInside(name) || err == nil && outermost.workedInside(name)
}

// byInspector says whether it is an inspector who releases a hold, however the
// procedure words it.
func byInspector(who string) bool { return strings.Contains(strings.ToLower(who), "inspector") }

// workedBefore says whether whoever released a hold did the work too: before that, or
// on a device that had not seen it, or in a job that this one called, whose entries
// have no order against it.
func (g *gating) workedBefore(rec *record) bool {
	f := g.seen.fold
	for i := range f.entries {
		if e := &f.entries[i]; e.works(rec.By) && !f.line.saw(i, f.place[rec]) {
			return true
		}
	}
	return slices.ContainsFunc(g.seen.called, func(c *calledJob) bool { return c.job != nil && c.job.workedInside(rec.By) })
}

// workedInside is worked for this job and those inside it.
func (j *Job) workedInside(name string) bool {
	if j.view().fold.worked(name) {
		return true
	}
	for _, c := range j.inside {
		if c.job != nil && c.job.workedInside(name) {
			return true
		}
	}
	return false
}

// selfKey marks a release by somebody who does the work.
const selfKey = "self"

// self says whether a hold was released by somebody who does the work.
func (e *Entry) self() bool { return e.Kind == KindRelease && e.Data[selfKey] != "" }

const selfWords = "does the work as well"
