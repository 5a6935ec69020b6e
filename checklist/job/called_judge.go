package job

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
)

// standing is how a called job stands now.
func (c *calledJob) standing(dir string, now time.Time) Called {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.last != nil && now.Sub(c.at).Abs() < calledFresh {
		return *c.last
	}
	out := Called{Dir: filepath.Join(dir, calledName, c.name), Problem: c.problem, Open: true}
	if c.job != nil {
		c.job.standing(&out)
	} else {
		// The name begins with the step; which it is stands in job.toml.
		out.Step = ""
	}
	if c.problem != "" {
		out.Why = []string{c.problem}
	}
	c.at, c.last = now, &out
	return out
}

// forgetCalled works out afresh how the called jobs stand, where one of them was
// written to through this job.
func (j *Job) forgetCalled() {
	for _, c := range j.view().called {
		c.mu.Lock()
		c.last = nil
		c.mu.Unlock()
	}
}

// standing fills in what a calling job has to know of this one.
func (j *Job) standing(out *Called) {
	state := j.State()
	h := j.header
	out.Step, out.Job, out.Procedure, out.Title, out.By = Plain(h.CalledAt), h.Job, h.Procedure, j.Filled().Title, h.By
	out.Started, _ = j.Started()
	out.Done, out.Total, out.Outside = state.Done+state.Skipped, state.Total, state.Outside
	out.Findings = len(state.Findings)
	for _, f := range state.Findings {
		if f.Decided() {
			out.Decided++
		}
	}
	out.Holds, out.Waiting, out.Off, out.Called, out.Dangers = state.Holds, state.Waiting, state.Off, state.Called, state.found()
	for i := range state.Short {
		if s := &state.Short[i]; s.Open() {
			out.Short = append(out.Short, s.Text)
		}
	}
	if step := j.Filled().Step(state.Next); step != nil {
		out.Next = step.Title
	}
	out.Notices = state.Notices
	if len(out.Off) == 0 {
		out.Why = state.left()
	}
	out.Open = len(out.Why) > 0
}

// left says what keeps a job from being finished; nothing where it is.
func (s *State) left() []string {
	var left []string
	if done := s.Done + s.Skipped; done < s.Total || s.Total == 0 {
		left = append(left, fmt.Sprintf("%d of %d steps", done, s.Total))
	}
	for _, f := range s.Findings {
		if !f.Decided() {
			left = append(left, fmt.Sprintf("finding %d is open", f.Order))
		}
	}
	return append(left, s.inside()...)
}

// inside says what is still in an opening, fitted or called.
func (s *State) inside() []string {
	var list []string
	for _, t := range s.Tallies {
		if t.Inside != 0 {
			list = append(list, t.String())
		}
	}
	for _, b := range s.Blanks {
		if b.Fitted && !b.Stays {
			list = append(list, b.says())
		}
	}
	for i := range s.Called {
		if c := &s.Called[i]; c.Open {
			list = append(list, c.Says())
		}
	}
	return list
}

// judgeCalled puts the called jobs into the state.
func (j *Job) judgeCalled(state *State, seen *view, now time.Time) {
	state.Notices = append(state.Notices, seen.calledNotices...)
	here := map[string]string{} // id to folder
	at := map[string]string{}   // id to the step that its calling job named
	for _, rec := range seen.fold.calls {
		at[rec.Value] = rec.Step
	}
	for _, c := range seen.called {
		if c.foreign {
			if c.problem != "" {
				state.Notices = append(state.Notices, fmt.Sprintf("%s/%s %s; it is not looked at.", calledName, c.name, c.problem))
			}
			continue
		}
		called := c.standing(j.dir, now)
		if step := at[called.Job]; step != "" && called.Job != "" {
			called.Step = step
		}
		if called.Job == "" {
			// Which step it belongs to can be told by what this job's log says.
			for _, rec := range seen.fold.calls {
				if rec.Data["folder"] == c.name {
					called.Step, called.Job, called.Title, called.Procedure = rec.Step, rec.Value, rec.Text, rec.Data["procedure"]
				}
			}
		}
		if other := here[called.Job]; other != "" && called.Job != "" {
			state.Notices = append(state.Notices, fmt.Sprintf("%s/%s and %s/%s are copies of one called job: merge one into the other, then take the other away.", calledName, other, calledName, c.name))
		}
		here[called.Job] = c.name
		if called.Problem != "" {
			state.Notices = append(state.Notices, fmt.Sprintf("%s/%s cannot be read: %s.", calledName, c.name, called.Problem))
		}
		for _, n := range called.Notices {
			state.Notices = append(state.Notices, calledName+"/"+c.name+": "+n)
		}
		state.Called = append(state.Called, called)
	}
	for _, rec := range seen.fold.calls {
		if here[rec.Value] != "" {
			continue
		}
		here[rec.Value] = "-"
		folder := rec.Data["folder"]
		if !validFolder(folder) {
			folder = "-"
		}
		state.Called = append(state.Called, Called{
			Step: rec.Step, Job: rec.Value, Dir: filepath.Join(j.dir, calledName, folder), Procedure: rec.Data["procedure"], Title: rec.Text,
			By: rec.By, Started: rec.At(), Open: true, Problem: "its folder is not here: it has not arrived, or it was taken away",
			Why: []string{"its folder is not here"},
		})
	}
	number := map[string]int{}
	for _, step := range seen.filled.Steps() {
		number[step.ID] = step.Number
	}
	slices.SortStableFunc(state.Called, func(a, b Called) int {
		if n := number[a.Step] - number[b.Step]; n != 0 {
			return n
		}
		return a.Started.Compare(b.Started)
	})
}

// addCalled adds what the called jobs wait for to what this one does.
func (s *State) addCalled() {
	for _, c := range s.Called {
		for _, h := range c.Holds {
			h.In = firstOf(h.In, c.Dir)
			s.Holds = append(s.Holds, h)
		}
		for _, w := range c.Waiting {
			w.In = firstOf(w.In, c.Dir)
			s.Waiting = append(s.Waiting, w)
		}
		for _, d := range c.Dangers {
			d.In, d.From = firstOf(d.In, c.Dir), firstOf(d.From, c.Title)
			s.Dangers = append(s.Dangers, d)
		}
	}
}

// calledAt are the called jobs that a step has to see closed: its own, and on
// the last step those of steps that do not apply any more.
func (g *gating) calledAt(step *checklist.FilledStep) []Called {
	list := g.state.CalledBy(step.ID)
	if step.Number == g.state.Total {
		for _, c := range g.state.Called {
			if g.step[c.Step] == nil {
				list = append(list, c)
			}
		}
	}
	return list
}

// calledGates: a called job that is open keeps its step from being done, and so
// does a call that is always made and was not.
func (g *gating) calledGates(step *checklist.FilledStep, add addGate) {
	for _, c := range g.calledAt(step) {
		switch {
		case c.Problem != "":
			add(RuleCalledOpen, GateCalled, false, fmt.Sprintf("nobody can say whether %s is done: %s", firstOf(c.Title, calledName+"/"+Plain(c.Name())), c.Problem), c.Name())
		case c.Open:
			add(RuleCalledOpen, GateCalled, true, fmt.Sprintf("go on with %s (%s)", c.Title, strings.Join(c.Why, "; ")), c.Name())
		}
	}
	if g.unread(step) {
		add(RuleCalledOpen, GateCalled, true, "there are called jobs that are not read", step.ID)
	}
	if id := g.uncalled(step); id != "" {
		add(RuleCallFirst, GateCalled, true, id+" comes first: start it, and finish it", id)
	}
}

func (g *gating) unread(step *checklist.FilledStep) bool {
	return g.seen.calledUnread > 0 && step.Number == g.state.Total
}

// uncalled is the procedure that a step always calls and that was not called.
func (g *gating) uncalled(step *checklist.FilledStep) string {
	if step.Call == nil || step.Call.Ask != "" {
		return ""
	}
	for _, c := range g.state.CalledBy(step.ID) {
		if len(c.Off) == 0 {
			return ""
		}
	}
	return step.Call.Procedure
}

// calledStop says why a step cannot count as done, whoever ticked it: what it
// called is open. It may be left out only where nothing is.
func (g *gating) calledStop(step *checklist.FilledStep) (stop, keepIn string) {
	for _, c := range g.calledAt(step) {
		switch {
		case !g.j.keeps(RuleCalledOpen):
		case c.Problem != "":
			gate := Gate{Name: GateCalled, Items: []string{c.Name()}}
			if len(g.passes(step.ID, &gate)) == 0 {
				stop = fmt.Sprintf("%s cannot be read", firstOf(c.Title, calledName+"/"+Plain(c.Name())))
				keepIn = stop
			}
		case c.Open:
			stop = c.Title + " is open"
			keepIn = c.Title + " is open: finish it, or call it off"
		}
	}
	if g.unread(step) && g.j.keeps(RuleCalledOpen) {
		stop = "there are called jobs that are not read"
		keepIn = stop
	}
	if id := g.uncalled(step); id != "" && stop == "" && g.j.keeps(RuleCallFirst) {
		stop = id + " was not done"
	}
	return stop, keepIn
}
