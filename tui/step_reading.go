package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/check"
	"fettle/tui/paint"
)

// readAny opens the first reading that is missing, or lets one be chosen.
func (s *stepScreen) readAny(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	if i := s.unread(step, st); i >= 0 {
		return s.read(step, i)
	}
	if len(step.Readings) == 1 {
		return s.read(step, 0)
	}
	e := newEntry(s.m, "Reading", "Which reading is to be corrected?", nil)
	e.only = true
	for _, r := range step.Readings {
		e.choices = append(e.choices, choice{text: r.Ask, about: counting(st.Readings[r.Name]).Value})
	}
	e.accept = func(string) tea.Cmd {
		at := e.v.cur
		s.m.drop(e)
		return s.read(step, at)
	}
	e.start("")
	s.m.push(e)
	return nil
}

// read opens reading i of the step; after it is saved the next missing one
// follows by itself.
func (s *stepScreen) read(step *checklist.FilledStep, i int) tea.Cmd {
	r := step.Readings[i]
	e := newEntry(s.m, "Reading", r.Ask, nil)
	if wanted := wantedText(r); wanted != "" {
		e.about = append(e.about, wanted)
		e.wanted = wanted
	}
	e.judge = func(text string) verdict { return judged(r, text) }
	switch r.Unit {
	case "yes-no":
		e.only, e.choices = true, []choice{{text: "yes"}, {text: "no"}}
	case "choice":
		e.only = true
		for _, c := range r.Choices {
			e.choices = append(e.choices, choice{text: c})
		}
	case "text":
	case "photo":
		e.about = append(e.about, "The file of a picture: it is copied into the job.")
	case "date":
		e.value = true
		e.about = append(e.about, "A day as 2026-08-31, or 08/2026 for the end of that month.")
	case "thread":
		e.thread, e.likely = true, true
	default:
		e.value, e.units = true, readingUnits(r.Unit)
		if r.Times > 1 {
			e.several, e.units = true, nil
			e.field.only = func(c rune) bool { return c == ';' || measured(c) }
			e.about = append(e.about, fmt.Sprintf("%d figures, with ; between them, in order.", r.Times))
		}
		if r.InPSI() {
			e.units = readingUnits("psi")
			e.about = append(e.about, "Say the unit: psi or bar.")
			break
		}
		if !plainUnit(r.Unit) {
			e.about = append(e.about, "A figure alone is in "+r.Unit+".")
		}
	}
	_, st := s.step()
	e.start(counting(st.Readings[r.Name]).Value)
	// Where an answer stops the work nobody gives the other one by pressing on.
	if e.only && (r.Unit == "yes-no" || r.Outside == check.Stop) {
		if have := e.field.text; have != "" {
			e.about = append(e.about, "So far: "+have)
		}
		e.unset = true
	}
	s.ask(e, "the reading", func(j *job.Job, text string) (job.Saved, error) { return j.Read(step.ID, r.Name, text) },
		func() {
			now, st := s.step()
			if now == nil || now.ID != step.ID {
				return
			}
			for _, v := range st.Readings[r.Name] {
				if v.Counts && v.Judgement.Severity != "" {
					s.m.say(paint.InkWrong, strings.ToUpper(string(v.Judgement.Severity))+": "+v.Judgement.Text+" (saved)")
				}
				if v.Counts && v.Judgement.Severity == check.Stop {
					return // no further question hides it
				}
			}
			if next := s.unread(now, st); next > i {
				s.read(now, next)
			}
		})
	return nil
}

// judged is what is to be said about a reading while it is typed.
func judged(r checklist.FilledReading, text string) verdict {
	if text == "" {
		return verdict{refused: true}
	}
	if err := r.CheckUnit(text); err != nil {
		return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
	}
	j, err := r.Judge(text)
	switch {
	case err != nil:
		return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
	case j.OK:
		return verdict{ink: paint.InkDone, text: j.Text}
	}
	return verdict{ink: paint.InkWrong, text: strings.ToUpper(string(j.Severity)) + ": " + j.Text}
}

func readingUnits(unit string) []string {
	switch unit {
	case "mm":
		return []string{"mm", "in"}
	case "bar":
		return []string{"bar", "psi"}
	case "psi":
		return []string{"psi", "bar"}
	}
	return nil
}

// counting is the value of a reading as the job takes it; zero where there is none.
func counting(values []job.ReadingValue) job.ReadingValue {
	for _, v := range values {
		if v.Counts {
			return v
		}
	}
	return job.ReadingValue{}
}

// wantedText says what a reading should be, as a person would.
func wantedText(r checklist.FilledReading) string {
	limits := r.Limits()
	switch {
	case limits == "exactly "+r.Low.Text:
		return r.Low.Text + " wanted, no other"
	case !r.Nominal.Given || r.None():
		return limits
	case limits == "":
		return r.Nominal.Text + " wanted"
	}
	return r.Nominal.Text + " wanted, " + limits + " will do"
}

// plainUnit tells whether the unit of a reading goes without saying.
func plainUnit(unit string) bool {
	switch unit {
	case "count", "number", "turns", "%":
		return true
	}
	return false
}

func (s *stepScreen) reading(d *doc, step *checklist.FilledStep, r checklist.FilledReading, values []job.ReadingValue) {
	d.text(paint.InkPlain, r.Ask)
	if len(values) == 0 {
		d.add(paint.Span{Ink: paint.InkBrand, Text: d.look.G.Todo + " to be read"})
		if wanted := wantedText(r); wanted != "" {
			d.text(paint.InkQuiet, "  "+wanted)
		}
		return
	}
	for _, v := range values {
		k, sign, text := paint.InkDone, d.look.G.Done, v.String()
		if g := v.Judgement; g.Severity != "" {
			k, sign, text = paint.InkWrong, d.look.G.Warn, strings.ToUpper(string(g.Severity))+": "+g.Text
		}
		if len(values) > 1 {
			text += " by " + v.By + ", " + s.m.when(v.At)
			if v.Counts {
				text += " (counts)"
			}
		}
		d.indented(sign+" ", "  ", k, text)
	}
	if len(values) == 1 {
		d.text(paint.InkQuiet, "  "+values[0].By+", "+s.m.when(values[0].At))
	}
	differ := func(c job.Conflict) bool { return c.Step == step.ID && c.Reading == r.Name && !c.Holds }
	if slices.ContainsFunc(s.work().state.Conflicts, differ) {
		d.indented(d.look.G.Warn+" ", "  ", paint.InkQuiet, "These differ, and say the same about going on. Measure again, or go by the one that counts.")
	}
}
