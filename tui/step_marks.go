package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// stands is what stands above everything else on a step: dangers of the engine before
// a test, what differs, and at the end of the job what is still open.
func (s *stepScreen) stands(d *doc, step *checklist.FilledStep, st job.StepState) {
	if step.Kind == "test" {
		s.dangers(d)
	}
	s.differs(d, step, st)
	if s.work().state.Next == "" {
		if open := s.atEnd(); len(open) > 0 {
			d.callout(paint.InkCaution, paint.InkWrong, "EVERY STEP IS DONE, BUT", open)
			d.blank()
		}
	}
}

// dangers are what stands on the engine and can hurt somebody.
func (s *stepScreen) dangers(d *doc) {
	state := s.work().state
	var paras []string
	for _, x := range state.Standing() {
		paras = append(paras, x.String())
	}
	if len(paras) > 0 {
		d.callout(paint.InkWarning, paint.InkWrong, "WARNING", paras)
		d.blank()
	}
}

// atEnd is what whoever ends the job has to know: what is open, differs, is dangerous
// or lies outside its limits.
func (s *stepScreen) atEnd() []string {
	w := s.work()
	var list []string
	for _, text := range w.state.Unsettled() {
		list = append(list, sentence(strings.TrimSuffix(text, ".")))
	}
	for _, step := range w.steps {
		for _, text := range w.state.Steps[step.ID].Outside {
			list = append(list, fmt.Sprintf("Outside its limits at step %d: %s.", step.Number, text))
		}
	}
	for _, c := range w.state.Conflicts {
		if !c.Holds {
			list = append(list, "Differs: "+c.In(w.filled)+".")
		}
	}
	return list
}

// marks are what was put on the step by hand.
func (s *stepScreen) marks(d *doc, step *checklist.FilledStep, st job.StepState) {
	for _, a := range step.Accepted {
		d.blank()
		d.text(paint.InkQuiet, "A rule says: "+a.Message)
		d.text(paint.InkQuiet, "The procedure answers: "+a.Because)
	}
	var lines [][2]string
	for _, t := range st.Ticks {
		lines = append(lines, [2]string{d.look.G.Done + " done", t.By + ", " + s.m.when(t.At)})
	}
	if len(st.Ticks)+len(st.Skips) == 0 {
		for _, t := range st.Opened {
			lines = append(lines, [2]string{d.look.G.Todo + " open again", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
		}
		for _, t := range st.Reopened {
			lines = append(lines, [2]string{d.look.G.Todo + " open again", "done by " + t.By + ", " + s.m.when(t.At) + "; do it again"})
		}
	}
	for _, t := range st.Skips {
		lines = append(lines, [2]string{d.look.G.Skipped + " skipped", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	for _, t := range st.Witnesses {
		lines = append(lines, [2]string{d.look.G.Done + " witness", t.By + ", " + s.m.when(t.At)})
	}
	for _, g := range st.Gates {
		for _, t := range g.Passed {
			lines = append(lines, [2]string{d.look.G.Done + " let pass", gateWords(g.Name) + ", by " + t.By + ": " + t.Text})
		}
	}
	for _, t := range st.Notes {
		text := t.Text
		for _, photo := range t.Photos {
			text += " [photo " + photo + "]"
		}
		lines = append(lines, [2]string{"note", text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	for _, t := range st.Undone {
		lines = append(lines, [2]string{"undone", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	if len(lines) > 0 {
		d.blank()
	}
	for _, l := range lines {
		d.indented(l[0]+": ", "  ", paint.InkQuiet, l[1])
	}
}

// notices is the page of what is to be said about the record itself.
func (s *stepScreen) notices() tea.Cmd {
	w := s.work()
	paras := []string{"Kept in " + s.m.path(w.job.Dir())}
	if s.m.half != "" {
		paras = append(paras, "The last entry: "+s.m.half)
	}
	for _, c := range w.state.Conflicts {
		text := "Differs: " + c.In(w.filled) + "."
		if c.Holds {
			text += " What depends on it waits until it is settled."
		}
		paras = append(paras, text)
	}
	for _, o := range w.others(s.m.person, s.m.opt.Env.Now()) {
		paras = append(paras, fmt.Sprintf("%s is on this job as well: step %d, %s", o.name, o.step, s.m.when(o.at)))
	}
	paras = append(paras, w.state.Notices...)
	if len(paras) == 1 {
		paras = append(paras, "Nothing else is to be said about the record.")
	}
	for _, a := range w.filled.Accepted {
		paras = append(paras, "A rule says: "+strings.TrimSuffix(a.Message, ".")+". The procedure answers: "+a.Because)
	}
	p := newPage(s.m, "The record", paras...)
	if a, ok := s.m.toSettle(); ok {
		a.key = s.m.keys.Steps
		p.more = append(p.more, a)
	}
	p.more = append(p.more, act{key: s.m.keys.Print, word: "Print", do: func() tea.Cmd {
		return s.m.paper("The record on paper", "record.html", (*job.Job).Record)
	}})
	s.m.push(p)
	return nil
}
