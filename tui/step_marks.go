package tui

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
)

// marks are what was put on the step by hand.
func (s *stepScreen) marks(d *doc, step *checklist.FilledStep, st job.StepState) {
	for _, c := range s.work().state.Conflicts {
		if c.Step == step.ID {
			d.blank()
			k, then := inkQuiet, "The worse counts."
			if c.Holds {
				k, then = inkWrong, "The work waits until it is settled."
			}
			d.indented(d.look.g.warn+" ", "  ", k, "Differs: "+strings.TrimSuffix(c.Text, ".")+". "+then)
		}
	}
	for _, a := range step.Accepted {
		d.blank()
		d.text(inkQuiet, "A rule says: "+a.Message)
		d.text(inkQuiet, "The procedure answers: "+a.Because)
	}
	var lines [][2]string
	for _, t := range st.Ticks {
		lines = append(lines, [2]string{d.look.g.done + " done", t.By + ", " + s.m.when(t.At)})
	}
	if len(st.Ticks)+len(st.Skips) == 0 {
		for _, t := range st.Reopened {
			lines = append(lines, [2]string{d.look.g.todo + " open again", "done by " + t.By + ", " + s.m.when(t.At) + ", and opened again since"})
		}
	}
	for _, t := range st.Skips {
		lines = append(lines, [2]string{d.look.g.skipped + " skipped", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	for _, t := range st.Witnesses {
		lines = append(lines, [2]string{d.look.g.done + " witness", t.By + ", " + s.m.when(t.At)})
	}
	for _, g := range st.Gates {
		for _, t := range g.Passed {
			lines = append(lines, [2]string{d.look.g.done + " let pass", gateWords(g.Name) + ", by " + t.By + ": " + t.Text})
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
		d.indented(l[0]+": ", "  ", inkQuiet, l[1])
	}
}

// whatDiffers names what two people wrote down differently.
func (s *stepScreen) whatDiffers(c job.Conflict) string {
	w := s.work()
	at := w.place(c.Step)
	if at < 0 {
		return c.Reading
	}
	what := fmt.Sprintf("step %d", w.steps[at].Number)
	for _, r := range w.steps[at].Readings {
		if r.Name == c.Reading {
			what += ", " + r.Ask
		}
	}
	return what
}

// notices is the page of what is to be said about the record itself.
func (s *stepScreen) notices() tea.Cmd {
	w := s.work()
	paras := []string{"Kept in " + s.m.path(w.job.Dir())}
	if s.m.half != "" {
		paras = append(paras, "The last entry: "+s.m.half)
	}
	for _, c := range w.state.Conflicts {
		paras = append(paras, "Differs, "+s.whatDiffers(c)+": "+c.Text)
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
	p.more = []act{{key: s.m.keys.Print, word: "Print", do: func() tea.Cmd {
		return s.m.paper("The record on paper", "record.html", (*job.Job).Record)
	}}}
	s.m.push(p)
	return nil
}
