package job

import (
	"strings"
	"time"

	"fettle/checklist"
	"fettle/threads/check"
)

// progress does the next sensible thing, as somebody does who works by the book.
func (w *randomWorld) progress(j *Job) {
	state := j.State()
	id := state.Next
	if id == "" {
		w.done("nothing left", "", "", "", nil)
		return
	}
	if doubt := j.view().fold.times.doubtOf(j.env.Now()); doubt != sure && w.rng.IntN(2) == 0 {
		w.right(j)
		_, err := j.SettleClock(w.now)
		w.done("say", "", j.Person(), "", err)
		return
	}
	step, s := j.Filled().Step(id), state.Steps[id]
	for _, c := range state.Conflicts {
		if c.Step == id && c.Holds && c.Reading != "" {
			value := good(readingOf(step, c.Reading))
			_, err := j.Read(id, c.Reading, value)
			w.done("read", id, j.Person(), c.Reading+" "+value, err)
			return
		}
	}
	for i := range step.Readings {
		if r := &step.Readings[i]; len(s.Readings[r.Name]) == 0 || counts(s.Readings[r.Name]).Judgement.Severity == check.Stop && r.Danger == "" {
			_, err := j.Read(id, r.Name, good(r))
			w.done("read", id, j.Person(), r.Name+" "+good(r), err)
			return
		}
	}
	if w.remedy(j, id, &s) {
		return
	}
	if missing := state.Test.Missing; id == "agree" && len(missing) > 0 {
		name := map[string]string{"operator": "Ana", "inspector": "Ruth"}[missing[0]]
		_, err := j.Sheet(missing[0], name)
		w.done("sheet", missing[0], j.Person(), name, err)
		return
	}
	if step.Hold != "" && len(s.Releases) == 0 {
		_, err := j.Release(id, "Ruth")
		w.done("release", id, "Ruth", "", err)
		if err == nil {
			return
		}
	}
	_, err := j.Tick(id)
	w.done("tick", id, j.Person(), "", err)
	if err != nil {
		w.last.value = err.Error()
	}
}

// remedy does something about the first gate that stands before a step.
func (w *randomWorld) remedy(j *Job, id string, s *StepState) bool {
	for _, gate := range s.Gates {
		if len(gate.Passed) > 0 || gate.Soft {
			continue
		}
		var err error
		switch gate.Name {
		case GateWait:
			if s.Begun == nil {
				err = w.begin(j, id)
				w.done("begin", id, j.Person(), "", err)
				return true
			}
			w.pass(time.Duration(7+17*w.rng.IntN(2)) * time.Hour)
			w.done("hours", "", "", "", nil)
			return true
		case GateCure:
			w.pass(24 * time.Hour)
			w.done("day", "", "", "", nil)
			return true
		case GateTest:
			w.climb(j, id)
			return true
		case GateAsk:
			_, err = j.Pass(id, GateAsk, "Ruth", "the shop cooled")
			w.done("pass", id, "Ruth", "ask", err)
			return true
		case GateFindings, GateDanger:
			for _, f := range j.State().Findings {
				if !f.Decided() {
					_, err = j.Dispose(f.Name(), NewDisposition{Decision: Rework, Text: "made good"})
					w.done("dispose", f.Step, j.Person(), "rework", err)
					return true
				}
			}
		case GateTally:
			_, err = j.CountIn("dome", "rag", -1)
			w.done("tally", "", j.Person(), "", err)
			return true
		case GateBlanks:
			_, err = j.FitBlank("1", "off", "")
			w.done("blank", "", j.Person(), "off", err)
			return true
		case GateShort:
			for _, need := range j.Needs().Items {
				if len(need.Got) == 0 && strings.Contains(gate.Text, need.What) {
					_, err = j.Got(need.Key)
					w.done("got", "", j.Person(), need.Key, err)
					return true
				}
			}
		case GateCalled:
			w.inside(j)
			return true
		case GateApart:
			_, err = j.Settle(id, "", "open")
			w.done("settle", id, j.Person(), "open", err)
			return err == nil
		}
	}
	return false
}

// climb does the next thing of a pressure test.
func (w *randomWorld) climb(j *Job, id string) {
	state := j.State()
	run := state.Test.Last()
	var err error
	switch {
	case run == nil || run.Result != "":
		_, err = j.BeginTest("")
		w.done("test", "", j.Person(), "", err)
		if err != nil {
			w.last.value = err.Error()
		}
	case id == "half":
		_, _, err = j.Point(NewPoint{Pressure: "4.5 bar"})
		w.done("point", "", j.Person(), "4.5 bar", err)
	case id == "full":
		_, _, err = j.Point(NewPoint{Pressure: "9 bar"})
		w.done("point", "", j.Person(), "9 bar", err)
	case id == "watch":
		w.pass(10 * time.Minute)
		_, _, err = j.Point(NewPoint{Pressure: "9 bar"})
		w.done("point", "", j.Person(), "9 bar", err)
	default:
		_, err = j.Result("pass", "Ruth", "dry")
		w.done("result", "", "Ruth", "pass", err)
		if err != nil { // it is not to be had: a test that fails is climbed again
			_, err = j.Result("fail", "Ruth", err.Error())
			w.done("result", "", "Ruth", "fail", err)
		}
	}
}

// good is a value within the limits of a reading.
func good(r *checklist.FilledReading) string {
	switch {
	case r.Name == "bore_now":
		return "6"
	case r.Nominal.Given:
		value, _, _ := strings.Cut(r.Nominal.Text, " (")
		return value
	case r.Low.Given && r.Low.Value > 0:
		value, _, _ := strings.Cut(r.Low.Text, " (")
		return value
	case r.Unit == "text":
		return "G 4"
	}
	return "0"
}
