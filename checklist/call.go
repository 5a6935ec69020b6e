package checklist

import (
	"cmp"
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"slices"
	"strings"
)

// Call is another procedure that a step sends the fitter to. In a job it
// becomes a job of its own, started from the step.
type Call struct {
	Procedure string     // its id
	Set       []CallWith // its settings as this procedure knows them, in the order of the file
	// Ask is the question that yes calls it to. Where it is empty it is always called,
	// and the step is not done before it is; else as often as it is needed.
	Ask string

	at *source.Place
}

// CallWith is one setting of a called procedure.
type CallWith struct {
	Setting string
	Value   string // may hold ${...}, of the calling procedure

	at *source.Place
}

// FilledCall is a call with its values worked out.
type FilledCall struct {
	Procedure string
	Set       []FilledWith
	Ask       string // the question that yes calls it to; empty where it is always called
}

// FilledWith is one setting of a called procedure. Its value is in the form a
// person would type; empty where it is not known yet, so that it is asked.
type FilledWith struct{ Setting, Value string }

// Values are the settings that are known, as [Procedure.Fill] takes them.
func (c *FilledCall) Values() map[string]string {
	values := make(map[string]string, len(c.Set))
	for _, s := range c.Set {
		if s.Value != "" {
			values[s.Setting] = s.Value
		}
	}
	return values
}

// Names are the settings that the call gives, in the order of the file.
func (c *FilledCall) Names() []string {
	names := make([]string, len(c.Set))
	for i, s := range c.Set {
		names[i] = s.Setting
	}
	return names
}

// readCall reads the call of a step, nil where it has none.
func readCall(step *table) *Call {
	t, ok := step.sub("call", "call", "call")
	if !ok {
		return nil
	}
	defer t.done()
	c := &Call{at: t.at}
	c.Procedure = t.name("procedure")
	t.f.LowerID(c.Procedure, t.at.Field("procedure"), "procedure")
	if s, ok := t.sub("set", "", "set"); ok {
		if len(s.m) > source.MaxSettings {
			t.f.Value(check.Stop, source.RuleLimit, s.at, fmt.Sprintf("`set` has %d entries, at most %d are read", len(s.m), source.MaxSettings), "")
		}
		for _, at := range s.at.Fields[:min(len(s.at.Fields), source.MaxSettings)] {
			value, _ := s.scalar(at.Name)
			t.f.CheckName(at.Name, at, true)
			name, _ := source.Clean(at.Name, false)
			c.Set = append(c.Set, CallWith{name, value, at})
		}
	}
	c.Ask = t.filled("ask")
	return c
}

// call fills in the call of a step. A value that is not known yet is left open;
// a figure that cannot be worked out is reported, as in any text.
func (x *filler) call(c *Call) *FilledCall {
	if c == nil {
		return nil
	}
	out := &FilledCall{Procedure: c.Procedure, Ask: x.prose(c.Ask, c.at.Field("ask"))}
	for _, s := range c.Set {
		value, ok := x.raw(s.Value, s.at, everything)
		if !ok {
			value = ""
		}
		value, _ = source.Clean(strings.TrimSpace(value), false)
		out.Set = append(out.Set, FilledWith{s.Setting, value})
	}
	return out
}

// Check is [Read], and says as well what is wrong with the calls of the
// procedure as far as library tells, see [Procedure.CheckCalls].
func Check(file string, src []byte, library *Library) (*Procedure, source.Diagnostics) {
	p, found := Read(file, src)
	if p == nil || p.Format != Format {
		return p, found
	}
	if calls := p.CheckCalls(library); len(calls) > 0 {
		found = append(found, calls...)
		slices.SortStableFunc(found, func(a, b source.Diagnostic) int { return cmp.Compare(a.Offset(), b.Offset()) })
	}
	return p, found
}

// CheckCalls says what is wrong with the calls of a procedure, as far as the
// procedures that are at hand tell: ones that are not there (a warn, since they
// may be where the job will be), ones that have stops of their own, settings and
// values that they do not take with every setting of p at its default, and
// procedures that call each other in a circle.
func (p *Procedure) CheckCalls(library *Library) source.Diagnostics {
	f := &source.Reporter{Doc: p.doc}
	var filled *Filled // made only where something is called
	c := callWalk{p, f, library}
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			step := &p.Stages[i].Steps[j]
			if step.Call == nil || step.Call.Procedure == "" {
				continue
			}
			if filled == nil {
				filled = p.fill(&source.Reporter{Doc: p.doc, Muted: true}, nil, nil, false)
			}
			c.check(step, filled.Step(step.ID))
		}
	}
	return f.Sorted()
}

type callWalk struct {
	p       *Procedure
	f       *source.Reporter
	library *Library
}

func (c *callWalk) check(step *Step, filled *FilledStep) {
	call := step.Call
	at := call.at.Field("procedure")
	called, found := c.procedure(call.Procedure)
	switch {
	case called == nil:
		c.f.Value(check.Warn, source.RuleUnknownName, at, fmt.Sprintf("no procedure %s is at hand, neither beside this file nor bundled", source.Shown(call.Procedure)), c.f.Suggest(call.Procedure, c.others()))
		return
	case found.HasStop():
		c.f.Value(check.Stop, source.RuleUnknownName, at, fmt.Sprintf("the procedure %s (%s) has mistakes of its own", source.Shown(call.Procedure), called.File), "fettle procedure check "+called.File)
		return
	}
	c.circles(call, at)
	names := make([]string, len(called.Settings))
	for i, s := range called.Settings {
		names[i] = s.Name
	}
	for i, s := range call.Set {
		setting := called.setting(s.Setting)
		if setting == nil {
			c.f.Key(check.Stop, source.RuleUnknownName, s.at, fmt.Sprintf("the procedure %s has no setting %s", source.Shown(call.Procedure), source.Shown(s.Setting)), c.f.Suggest(s.Setting, names))
			continue
		}
		value := s.Value
		if strings.Contains(value, "${") {
			value = "" // of a step that does not apply here
			if filled != nil && filled.Call != nil {
				value = filled.Call.Set[i].Value
			}
		}
		if value == "" {
			continue
		}
		if err := called.CheckValue(s.Setting, value); err != nil {
			c.f.Value(check.Stop, source.RuleValue, s.at, fmt.Sprintf("the procedure %s does not take %s for %s: %s", source.Shown(call.Procedure), source.Shown(value), s.Setting, source.PlainError(err)), "")
		}
	}
}

// others are the ids of the procedures that can be called.
func (c *callWalk) others() []string {
	return slices.DeleteFunc(c.library.IDs(), func(id string) bool { return id == c.p.ID })
}

// procedure is the called procedure, or the one that is looked at itself.
func (c *callWalk) procedure(id string) (*Procedure, source.Diagnostics) {
	if id == c.p.ID {
		return c.p, nil
	}
	return c.library.Procedure(id)
}

// circles reports a way from the called procedure back to the one that is
// looked at, first one on which every call is always made.
func (c *callWalk) circles(call *Call, at *source.Place) {
	if way := c.back(call, true); way != nil {
		c.f.Value(check.Stop, source.RuleCircle, at, "these procedures always call each other, so none can be finished: "+calls(way), "an `ask` on one of the calls, or take one of them away")
	} else if way := c.back(call, false); way != nil {
		c.f.Value(check.Warn, source.RuleCircle, at, "these procedures call each other in a circle: "+calls(way), "take one of the calls away; a job inside a job goes a few deep only")
	}
}

// calls writes a circle of ids: a calls b calls a.
func calls(way []string) string {
	if len(way) > 9 {
		way = append(append(way[:4:4], "..."), way[len(way)-4:]...)
	}
	return strings.Join(way, " calls ")
}

// back is the shortest way from the procedure that is looked at by one of its
// calls back to it, nil where there is none. With always only calls without a
// question are followed.
func (c *callWalk) back(call *Call, always bool) []string {
	if always && call.Ask != "" {
		return nil
	}
	from := map[string]string{call.Procedure: c.p.ID}
	for queue := []string{call.Procedure}; len(queue) > 0; queue = queue[1:] {
		id := queue[0]
		if id == c.p.ID {
			way := []string{id}
			for at := from[id]; at != id; at = from[at] {
				way = append(way, at)
			}
			way = append(way, id)
			slices.Reverse(way)
			return way
		}
		called, _ := c.library.Procedure(id)
		if called == nil {
			continue
		}
		for i := range called.Stages {
			for j := range called.Stages[i].Steps {
				next := called.Stages[i].Steps[j].Call
				if next == nil || always && next.Ask != "" {
					continue
				}
				if _, met := from[next.Procedure]; !met {
					from[next.Procedure] = id
					queue = append(queue, next.Procedure)
				}
			}
		}
	}
	return nil
}
