package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads/check"
)

const (
	// toldWide is the widest line of an instruction: longer ones are read with
	// the head, not with the eyes.
	toldWide = 64
	// airyTall is the height from which an instruction is set with every second
	// line free, where all of the step is on the screen even so.
	airyTall = 26
)

func (s *stepScreen) draw(f *frame) {
	s.progress(f)
	if !f.side.empty() {
		s.list.bare, s.list.lift, s.list.fixed = s.at < 0, true, true
		s.list.cur = max(0, s.at)
		f.show(f.side, s.listDoc(f, f.side.w), &s.list)
		for y := range f.side.h {
			f.put(f.body, point{f.side.x + f.side.w + 1, f.side.y + y}, inkQuiet, f.look.g.thin.down)
		}
	}
	d := newDoc(f.look, min(f.main.w, 76), f.touch)
	step, st := s.step()
	if step == nil {
		r := f.main
		if f.side.empty() {
			r = f.body
		}
		d.w = min(r.w, 90)
		s.before(d)
		f.show(r, d, &s.v)
		s.whole = s.whole || s.v.off+s.v.tall >= len(d.lines)
		return
	}
	beside := !f.aside.empty() && (len(step.Figures) > 0 || s.hasDrawing())
	main := f.main
	if !f.aside.empty() && !beside {
		main.w = f.aside.x + f.aside.w - main.x
		d.w = min(main.w, 90)
	}
	s.stepText(d, step, st)
	drawn := false
	if beside {
		var fig *doc
		fig, drawn = s.asideDoc(f, step)
		f.show(f.aside, fig, &s.fv)
	} else if len(step.Figures) > 0 {
		s.figures(d, step, false)
	}
	s.marks(d, step, st)
	if !drawn && !f.aside.empty() {
		s.draws(d, &s.under, main.h)
	}
	if s.waits > 0 {
		s.timeLeft(d, st, main.h)
	}
	if extra := s.told - s.tells + 1; main.h >= airyTall && len(d.lines)+extra <= main.h {
		d.space(s.tells, s.told+1)
		s.told += extra
	}
	f.show(main, d, &s.v)
	s.whole = s.whole || s.v.off+s.v.tall >= s.told
}

// asideDoc is what stands beside the step: its figures, those of the
// instruction large where there is room for all, and under them its drawing.
// drawn tells whether that fits. While the step waits, the time left is the
// figure that counts, and none stands out beside it.
func (s *stepScreen) asideDoc(f *frame, step *checklist.FilledStep) (fig *doc, drawn bool) {
	set := func(large bool) {
		fig = newDoc(f.look, f.aside.w, f.touch)
		if len(step.Figures) > 0 {
			s.figures(fig, step, large)
		}
		drawn = s.draws(fig, &s.beside, f.aside.h)
	}
	large := s.waits == 0 && s.large(newDoc(f.look, f.aside.w, f.touch), step)
	set(large)
	if large && (len(fig.lines) > f.aside.h || !drawn && s.hasDrawing()) {
		set(false)
	}
	return fig, drawn
}

// timeLeft writes the time left on a wait large, under the line that tells it,
// where all of the step has room even so.
func (s *stepScreen) timeLeft(d *doc, st job.StepState, room int) {
	rows := d.look.bigValue(left(st.Due.Sub(s.m.opt.Env.Now())), d.w-4)
	if rows == nil || len(d.lines)+len(rows)+1 > room {
		return
	}
	added := [][]span{nil}
	for _, row := range rows {
		added = append(added, []span{{inkPlain, "  "}, {inkStrong, strings.TrimRight(row, " ")}})
	}
	d.lines = slices.Insert(d.lines, s.waits, added...)
	for i := range d.items {
		if d.items[i].from >= s.waits {
			d.items[i].from += len(added)
			d.items[i].to += len(added)
		}
	}
}

// before is the page of what must be so, and lie ready, before the first step.
func (s *stepScreen) before(d *doc) {
	p := s.work().filled.Preliminary
	s.dangers(d)
	d.text(inkBrand, "BEFORE YOU START")
	d.blank()
	d.callout(inkWarning, inkWrong, "WARNING", p.Warnings)
	if len(p.Warnings) > 0 {
		d.blank()
	}
	d.callout(inkCaution, inkBrand, "CAUTION", p.Cautions)
	for _, group := range []struct {
		title string
		lines []string
	}{
		{"Must be so", p.Conditions}, {"Must be there", p.Persons}, {"Tools", p.Equipment},
		{"To use up", p.Supplies}, {"Spares", p.Spares},
	} {
		if len(group.lines) == 0 {
			continue
		}
		d.heading(group.title)
		for _, l := range group.lines {
			d.indented("- ", "  ", inkPlain, l) // a circle would look like something to tick
		}
	}
	for _, n := range p.Notes {
		d.blank()
		d.callout(inkNote, inkQuiet, "NOTE", []string{n})
	}
	d.blank()
	d.text(inkQuiet, "The local boiler code and the boiler inspector decide; fettle only works things out.")
}

// stepText is the step itself: how it stands, warnings and cautions, then what
// to do.
func (s *stepScreen) stepText(d *doc, step *checklist.FilledStep, st job.StepState) {
	l := d.look
	sign, k, word := statusSign(l, st)
	ready := st.Status == job.Blocked && shutBy(st, job.GateNeeds, job.GateRounds) == nil
	if ready && step.Hold != "" && len(st.Releases) == 0 {
		sign, k, word = l.g.held, inkBrand, "hold"
	}
	if ready && len(s.work().openCalled(step)) > 0 {
		sign, k, word = l.g.here, inkBrand, "its inner job is open"
	}
	if len(s.work().differing(step.ID)) > 0 {
		sign, k, word = l.g.warn, inkWrong, differsWord
	}
	if len(st.Outside) > 0 {
		word += ", " + l.g.warn + " outside limits"
	}
	lead := fmt.Sprintf("%s  %d of %d  ", strings.ToUpper(step.Stage), step.Number, len(s.work().steps))
	if textWidth(lead)+textWidth(word)+2 <= d.w {
		d.add(span{inkBrand, lead}, span{k, sign + " " + word})
	} else {
		d.text(inkBrand, strings.ToUpper(step.Stage))
		d.add(span{inkQuiet, fmt.Sprintf("%d of %d  ", step.Number, len(s.work().steps))}, span{k, sign + " " + word})
	}
	d.blank()
	s.stands(d, step, st)
	if len(step.Warnings) > 0 {
		d.callout(inkWarning, inkWrong, "WARNING", step.Warnings)
		d.blank()
	}
	if len(step.Cautions) > 0 {
		d.callout(inkCaution, inkBrand, "CAUTION", step.Cautions)
		d.blank()
	}
	s.holdText(d, step, st)
	if step.Witness != "" {
		d.callout(inkNote, inkQuiet, "WITNESS", []string{"The " + step.Witness + " is told and may watch."})
		d.blank()
	}
	s.stopText(d, step, st)
	if !strings.HasPrefix(step.Do, strings.TrimRight(step.Title, ". …")) {
		d.text(inkPlain, step.Title)
		d.add(span{inkBrand, strings.Repeat(l.g.heavy, min(d.w, textWidth(step.Title)))})
	}
	s.tells = len(d.lines)
	for _, line := range l.wrap(step.Do, min(d.w, toldWide)) {
		d.add(span{inkStrong, line})
	}
	s.told = len(d.lines)
	if blocks := s.otherBlocks(st); len(blocks) > 0 {
		d.blank()
		for _, b := range blocks {
			d.indented(l.g.held+" ", "  ", inkQuiet, b)
		}
	}
	s.ringText(d, step, st)
	s.calledText(d, step)
	s.waitText(d, step, st)
	if len(step.Readings) > 0 {
		d.blank()
	}
	for i, r := range step.Readings {
		d.item(r.Name, func() tea.Cmd { return s.read(step, i) }, func(d *doc) { s.reading(d, step, r, st.Readings[r.Name]) })
	}
	if step.Why != "" {
		d.blank()
		d.indented("Why: ", "  ", inkQuiet, step.Why)
	}
	for _, n := range step.Notes {
		d.blank()
		d.indented("Note: ", "  ", inkPlain, n)
	}
}

// stopText is what stops the work on the step: a reading that says so. What differs
// stands above already.
func (s *stepScreen) stopText(d *doc, step *checklist.FilledStep, st job.StepState) {
	for _, r := range step.Readings {
		differs := slices.ContainsFunc(s.work().differing(step.ID), func(c job.Conflict) bool { return c.Reading == r.Name })
		if v := counting(st.Readings[r.Name]); v.Judgement.Severity == check.Stop && !differs {
			until := "until a new reading says otherwise"
			if r.Danger != "" {
				until = "until it is decided and the inspector releases it"
			}
			d.callout(inkWarning, inkWrong, "STOP", []string{r.Ask + ": " + v.Judgement.Text + ". The work stops here " + until + "."})
			d.blank()
		}
	}
}
