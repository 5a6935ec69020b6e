package tui

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// holdText is the hold of a step: that it stands, who released it, and which release
// does not count any more.
func (s *stepScreen) holdText(d *doc, step *checklist.FilledStep, st job.StepState) {
	if step.Hold == "" {
		return
	}
	if len(st.Releases) == 0 {
		paras := []string{"Work stops here until the " + step.Hold + " releases it by name."}
		for _, v := range st.Void {
			paras = append(paras, fmt.Sprintf("%s released it, %s. That does not count any more: %s.", v.By, s.m.when(v.At), strings.Join(v.Changed, "; ")))
		}
		d.callout(paint.InkCaution, paint.InkBrand, "HOLD", paras)
	}
	for _, r := range st.Releases {
		d.indented(d.look.G.Done+" ", "  ", paint.InkDone, "hold released by "+r.By+", "+s.m.when(r.At))
	}
	d.blank()
}

// seenBy is what a release is a word about: what the step itself read, and how the
// steps stand that it follows.
func (s *stepScreen) seenBy(step *checklist.FilledStep) (lines []string) {
	w := s.work()
	read := func(of *checklist.FilledStep, lead string) {
		st := w.state.Steps[of.ID]
		for _, r := range of.Readings {
			if v := counting(st.Readings[r.Name]); v.Value != "" {
				lines = append(lines, lead+r.Ask+": "+v.String()+", "+s.readBy(v)+".")
			}
		}
	}
	read(step, "")
	for _, id := range step.Needs {
		i := w.place(id)
		if i < 0 {
			continue
		}
		lead := fmt.Sprintf("Step %d, ", w.steps[i].Number)
		st, from := w.state.Steps[id], len(lines)
		if read(w.steps[i], lead); len(lines) > from {
			continue
		}
		for _, t := range slices.Concat(st.Ticks, st.Skips) {
			_, _, word := statusSign(s.m.look, st)
			lines = append(lines, lead+w.steps[i].Title+": "+word+" by "+t.By+", "+s.m.when(t.At)+".")
		}
	}
	if missing := w.state.Test.Missing; len(missing) > 0 && w.agrees(step) {
		var labels []string
		for _, name := range missing {
			labels = append(labels, lineLabel(name))
		}
		lines = append(lines, "Not on the test sheet yet: "+strings.Join(labels, "; ")+". What is typed in there later voids this release.")
	}
	return lines
}

// agrees says whether a hold is among what is agreed on a pressure test: it, or a step
// before it, is about one.
func (w *work) agrees(hold *checklist.FilledStep) bool {
	about := func(step *checklist.FilledStep) bool {
		return slices.ContainsFunc(step.Uses, func(name string) bool { return part(w.filled.Tests, name) != nil })
	}
	return slices.ContainsFunc(w.steps[:hold.Number], about)
}

func (s *stepScreen) release(step *checklist.FilledStep) tea.Cmd {
	e := newEntry(s.m, "Hold", "Who releases this hold, as "+step.Hold+"?", nil)
	seen := s.seenBy(step)
	e.about = slices.Concat([]string{step.Title}, seen, []string{"Give the name of the person who has looked and says that work may go on."})
	e.word = "Release"
	workers := s.workers()
	works := func(name string) bool {
		return slices.ContainsFunc(workers, func(w string) bool { return strings.EqualFold(strings.TrimSpace(name), w) })
	}
	for _, name := range s.releasers() {
		if !works(name) { // nobody's own name lies ready to be pressed
			e.choices = append(e.choices, choice{text: name})
		}
	}
	e.unset = true
	e.judge = func(text string) verdict {
		switch {
		case text == "":
			return verdict{refused: true}
		case utf8.RuneCountInString(text) < 2:
			return verdict{refused: true, ink: paint.InkQuiet, text: "The whole name, as it is to stand in the record."}
		case works(text) && step.Hold == "inspector":
			return verdict{refused: true, ink: paint.InkWrong, text: text + " works on this job; the inspector releases this hold."}
		case works(text):
			return verdict{ink: paint.InkBrand, text: text + " works on this job; the record will say so."}
		}
		return verdict{}
	}
	e.start("")
	if len(seen) > 0 { // what is released is seen before the letters
		e.spell, e.pad = false, false
	}
	e.accept = func(name string) tea.Cmd {
		if works(name) {
			s.releaseOwn(step, name, e)
			return nil
		}
		return s.m.save("the hold is released",
			func(j *job.Job) (job.Saved, error) { return j.Release(step.ID, name) },
			func(err error) tea.Cmd {
				var own *job.SelfReleaseError
				switch {
				case err == nil:
					s.m.drop(e)
				case errors.As(err, &own): // the record knows more than this screen
					s.m.foot = note{}
					s.releaseOwn(step, name, e)
				default:
					e.failed = notSaved(err)
				}
				return nil
			})
	}
	s.m.push(e)
	return nil
}

// releaseOwn asks plainly before somebody releases a hold on their own work.
func (s *stepScreen) releaseOwn(step *checklist.FilledStep, name string, from *entry) {
	e := newEntry(s.m, "Hold", name+", you work on this job yourself. Are you its "+step.Hold+" as well?", nil)
	e.about = []string{step.Title, "A hold is there so that a second person looks. The record says that it was released by somebody who works here."}
	yes := "Yes, I am the " + step.Hold + ", and have looked"
	e.only, e.unset = true, true
	e.choices = []choice{{text: yes}, {text: "No, the " + step.Hold + " must come"}}
	e.start("")
	s.ask(e, "the hold is released",
		func(j *job.Job, _ string) (job.Saved, error) { return j.ReleaseMyself(step.ID, name) },
		func() { s.m.drop(from) })
	save := e.accept
	e.accept = func(answer string) tea.Cmd {
		if answer != yes {
			s.m.drop(e)
			s.m.say(paint.InkNote, "The hold stands.")
			return nil
		}
		return save(answer)
	}
}

// workers are the people who work on the job: who is at this device, and whose
// names stand in the record of it.
func (s *stepScreen) workers() []string {
	names := map[string]bool{s.m.person: true}
	for _, st := range s.work().state.Steps {
		for _, marks := range [][]job.Mark{st.Ticks, st.Skips} {
			for _, mk := range marks {
				names[mk.By] = true
			}
		}
		for _, n := range st.Notes {
			names[n.By] = true
		}
		for _, values := range st.Readings {
			for _, v := range values {
				names[v.By] = true
			}
		}
	}
	return sorted(names)
}

// releasers are the people who have released a hold of this job before.
func (s *stepScreen) releasers() []string {
	names := map[string]bool{}
	for _, st := range s.work().state.Steps {
		for _, mk := range st.Releases {
			names[mk.By] = true
		}
		for _, v := range st.Void {
			names[v.By] = true
		}
	}
	return sorted(names)
}

func sorted(names map[string]bool) []string {
	delete(names, "")
	return slices.Sorted(maps.Keys(names))
}
