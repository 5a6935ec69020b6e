package job

import (
	"fmt"
	"path/filepath"
	"strings"

	"fettle/checklist"
)

// callable says why a step cannot call its procedure now.
func (j *Job) callable(id string) (*checklist.FilledStep, error) {
	_, step, err := j.workOn(id)
	if err != nil {
		return nil, err
	}
	refuse := func(format string, args ...any) (*checklist.FilledStep, error) {
		return nil, &BlockedError{id, []string{fmt.Sprintf(format, args...)}}
	}
	state := j.State()
	s := state.Steps[id]
	switch {
	case step.Call == nil:
		return refuse("it calls no other procedure")
	case j.depth() >= maxCalledDepth:
		return refuse("jobs are called at most %d deep: start %s as a job of its own", maxCalledDepth, step.Call.Procedure)
	case len(state.Called) >= maxCalled:
		return refuse("a job calls at most %d others", maxCalled)
	case len(s.Ticks) > 0 && s.Status == Done:
		return refuse("it is done: %s. Undo that first", j.wall.names(s.Ticks))
	case s.Status == Skipped:
		return refuse("it is left out: %s. Undo that first", j.wall.names(s.Skips))
	}
	var blocks []string
	for _, g := range s.Gates {
		if g.Name != GateCalled && !g.Soft && len(g.Passed) == 0 {
			blocks = append(blocks, g.Text)
		}
	}
	if len(blocks) > 0 {
		return nil, &BlockedError{id, blocks}
	}
	if step.Call.Ask == "" {
		for _, c := range state.CalledBy(id) {
			if len(c.Off) == 0 {
				return refuse("%s was started already: %s", step.Call.Procedure, Plain(c.Dir))
			}
		}
	}
	return step, nil
}

// CallPlan is what a call starts with.
type CallPlan struct {
	Procedure string            // id
	Ask       string            // the question that yes calls it to; empty for always
	Values    map[string]string // settings that the calling job knows
	// Refused are settings that the calling procedure gives and the called one
	// does not take, in plain words; they are asked for instead.
	Refused []string
}

// Callable is the id of the procedure that a step calls. A *BlockedError says
// why it cannot be called now.
func (j *Job) Callable(step string) (string, error) {
	s, err := j.callable(step)
	if err != nil {
		return "", err
	}
	return s.Call.Procedure, nil
}

// PlanCall works out what the call of a step would start with, from the settings
// and readings as they are now. A *BlockedError says why nothing can be called.
func (j *Job) PlanCall(id string, proc *checklist.Procedure) (CallPlan, error) {
	step, err := j.callable(id)
	if err != nil {
		return CallPlan{}, err
	}
	if proc.ID != step.Call.Procedure {
		return CallPlan{}, &BlockedError{id, []string{fmt.Sprintf("it calls %s, not %s", step.Call.Procedure, proc.ID)}}
	}
	plan := CallPlan{Procedure: proc.ID, Ask: step.Call.Ask, Values: step.Call.Values()}
	for _, name := range sortedKeys(plan.Values) {
		if err := proc.CheckValue(name, plan.Values[name]); err != nil {
			plan.Refused = append(plan.Refused, Plain(fmt.Sprintf("%s %s: %s", name, plan.Values[name], err.Error())))
			delete(plan.Values, name)
		}
	}
	return plan, nil
}

// Call starts the procedure that a step calls, as a job inside this one, with
// the engine and the person of this one. values are its settings, see
// [Job.PlanCall]. The called job is on the disk when Call returns, even with an
// error that says that this job's own log could not take it: then Saved is
// empty.
func (j *Job) Call(id string, proc *checklist.Procedure, values map[string]string) (*Job, Saved, error) {
	if _, err := j.reread(); err != nil {
		return nil, Saved{}, err
	}
	if _, err := j.PlanCall(id, proc); err != nil {
		return nil, Saved{}, err
	}
	name := id + "-" + randomWord(6)
	env := j.env
	env.Person = j.Person()
	child, err := start(filepath.Join(j.dir, calledName, name), proc, values, j.Engine(), env, j.header.Job, id)
	if err != nil {
		return nil, Saved{}, err
	}
	saved, err := j.save(func() (Entry, error) {
		by, err := j.worker()
		return Entry{
			Kind: KindCall, By: by, Step: id, Value: child.header.Job, Text: child.Filled().Title,
			Data: map[string]string{"procedure": proc.ID, "folder": name},
		}, err
	})
	if err != nil {
		return child, saved, err
	}
	_, err = j.reread()
	return child, saved, err
}

// CallOff takes back the start of a called job, with the reason. Once something
// was done on it, it is finished instead: metal that was cut stays cut.
func (j *Job) CallOff(why string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		if !j.IsCalled() {
			return Entry{}, &RefusedError{j.Filled().Title, []string{"no other job called it: only a called job is called off"}}
		}
		state := j.State()
		if len(state.Off) > 0 {
			return Entry{}, &RefusedError{j.Filled().Title, []string{"it is called off already: " + j.wall.names(state.Off)}}
		}
		if begun := state.begun(); len(begun) > 0 && j.keeps(RuleCallOff) {
			return Entry{}, &RefusedError{j.Filled().Title, append(begun, "so it is finished, not called off: undo what is wrong, or leave steps out with a reason")}
		}
		return Entry{Kind: KindOff, By: by, Text: why}, nil
	})
}

// begun says what was done on a job that keeps it from being called off.
func (s *State) begun() []string {
	ticked := 0
	for _, step := range s.Steps {
		if len(step.Ticks) > 0 || len(step.Reopened) > 0 {
			ticked++
		}
	}
	var list []string
	if ticked > 0 {
		list = append(list, plural(ticked, "step of it was done", "steps of it were done"))
	}
	for _, f := range s.Findings {
		if !f.Decided() {
			list = append(list, fmt.Sprintf("finding %d is open", f.Order))
		}
	}
	return append(list, s.inside()...)
}

// judgeOff decides whether a job counts as called off.
func (j *Job) judgeOff(state *State, seen *view) {
	var off []Mark
	for _, rec := range seen.fold.judged[KindOff] {
		off = append(off, mark(rec))
	}
	switch begun := state.begun(); {
	case len(off) == 0 || !j.IsCalled():
	case len(begun) > 0 && j.keeps(RuleCallOff):
		state.Notices = append(state.Notices, fmt.Sprintf("Called off by %s, and that does not count: %s.", j.wall.names(off), strings.Join(begun, "; ")))
	default:
		state.Off = off
	}
}
