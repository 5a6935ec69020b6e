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
	if !f.Side.Empty() {
		s.list.bare, s.list.lift, s.list.fixed = s.at < 0, true, true
		s.list.cur = max(0, s.at)
		f.show(f.Side, s.listDoc(f, f.Side.W), &s.list)
		for y := range f.Side.H {
			f.Put(f.Body, paint.Point{X: f.Side.X + f.Side.W + 1, Y: f.Side.Y + y}, paint.InkQuiet, f.Look.G.Thin.Down)
		}
	}
	d := newDoc(f.Look, min(f.Main.W, 76), f.Touch)
	step, st := s.step()
	if step == nil {
		r := f.Main
		if f.Side.Empty() {
			r = f.Body
		}
		d.w = min(r.W, 90)
		s.before(d)
		f.show(r, d, &s.v)
		s.whole = s.whole || s.v.off+s.v.tall >= len(d.lines)
		return
	}
	beside := !f.Aside.Empty() && (len(step.Figures) > 0 || s.hasDrawing())
	main := f.Main
	if !f.Aside.Empty() && !beside {
		main.W = f.Aside.X + f.Aside.W - main.X
		d.w = min(main.W, 90)
	}
	s.stepText(d, step, st)
	drawn := false
	if beside {
		var fig *doc
		fig, drawn = s.asideDoc(f, step)
		f.show(f.Aside, fig, &s.fv)
	} else if len(step.Figures) > 0 {
		s.figures(d, step, false)
	}
	s.marks(d, step, st)
	if !drawn && !f.Aside.Empty() {
		s.draws(d, &s.under, main.H)
	}
	if s.waits > 0 {
		s.timeLeft(d, st, main.H)
	}
	if extra := s.told - s.tells + 1; main.H >= airyTall && len(d.lines)+extra <= main.H {
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
		fig = newDoc(f.Look, f.Aside.W, f.Touch)
		if len(step.Figures) > 0 {
			s.figures(fig, step, large)
		}
		drawn = s.draws(fig, &s.beside, f.Aside.H)
	}
	large := s.waits == 0 && s.large(newDoc(f.Look, f.Aside.W, f.Touch), step)
	set(large)
	if large && (len(fig.lines) > f.Aside.H || !drawn && s.hasDrawing()) {
		set(false)
	}
	return fig, drawn
}

// timeLeft writes the time left on a wait large, under the line that tells it,
// where all of the step has room even so.
func (s *stepScreen) timeLeft(d *doc, st job.StepState, room int) {
	rows := d.look.BigValue(left(st.Due.Sub(s.m.opt.Env.Now())), d.w-4)
	if rows == nil || len(d.lines)+len(rows)+1 > room {
		return
	}
	added := [][]paint.Span{nil}
	for _, row := range rows {
		added = append(added, []paint.Span{{Ink: paint.InkPlain, Text: "  "}, {Ink: paint.InkStrong, Text: strings.TrimRight(row, " ")}})
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
	d.text(paint.InkBrand, "BEFORE YOU START")
	d.blank()
	d.callout(paint.InkWarning, paint.InkWrong, "WARNING", p.Warnings)
	if len(p.Warnings) > 0 {
		d.blank()
	}
	d.callout(paint.InkCaution, paint.InkBrand, "CAUTION", p.Cautions)
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
			d.indented("- ", "  ", paint.InkPlain, l) // a circle would look like something to tick
		}
	}
	for _, n := range p.Notes {
		d.blank()
		d.callout(paint.InkNote, paint.InkQuiet, "NOTE", []string{n})
	}
	d.blank()
	d.text(paint.InkQuiet, "The local boiler code and the boiler inspector decide; fettle only works things out.")
}

// stepText is the step itself: how it stands, warnings and cautions, then what
// to do.
func (s *stepScreen) stepText(d *doc, step *checklist.FilledStep, st job.StepState) {
	l := d.look
	sign, k, word := statusSign(l, st)
	ready := st.Status == job.Blocked && shutBy(st, job.GateNeeds, job.GateRounds) == nil
	if ready && step.Hold != "" && len(st.Releases) == 0 {
		sign, k, word = l.G.Held, paint.InkBrand, "hold"
	}
	if ready && len(s.work().openCalled(step)) > 0 {
		sign, k, word = l.G.Here, paint.InkBrand, "its inner job is open"
	}
	if len(s.work().differing(step.ID)) > 0 {
		sign, k, word = l.G.Warn, paint.InkWrong, differsWord
	}
	if len(st.Outside) > 0 {
		word += ", " + l.G.Warn + " outside limits"
	}
	lead := fmt.Sprintf("%s  %d of %d  ", strings.ToUpper(step.Stage), step.Number, len(s.work().steps))
	if paint.TextWidth(lead)+paint.TextWidth(word)+2 <= d.w {
		d.add(paint.Span{Ink: paint.InkBrand, Text: lead}, paint.Span{Ink: k, Text: sign + " " + word})
	} else {
		d.text(paint.InkBrand, strings.ToUpper(step.Stage))
		d.add(paint.Span{Ink: paint.InkQuiet, Text: fmt.Sprintf("%d of %d  ", step.Number, len(s.work().steps))}, paint.Span{Ink: k, Text: sign + " " + word})
	}
	d.blank()
	s.stands(d, step, st)
	if len(step.Warnings) > 0 {
		d.callout(paint.InkWarning, paint.InkWrong, "WARNING", step.Warnings)
		d.blank()
	}
	if len(step.Cautions) > 0 {
		d.callout(paint.InkCaution, paint.InkBrand, "CAUTION", step.Cautions)
		d.blank()
	}
	s.holdText(d, step, st)
	if step.Witness != "" {
		d.callout(paint.InkNote, paint.InkQuiet, "WITNESS", []string{"The " + step.Witness + " is told and may watch."})
		d.blank()
	}
	s.stopText(d, step, st)
	if !strings.HasPrefix(step.Do, strings.TrimRight(step.Title, ". …")) {
		d.text(paint.InkPlain, step.Title)
		d.add(paint.Span{Ink: paint.InkBrand, Text: strings.Repeat(l.G.Heavy, min(d.w, paint.TextWidth(step.Title)))})
	}
	s.tells = len(d.lines)
	for _, line := range l.Wrap(step.Do, min(d.w, toldWide)) {
		d.add(paint.Span{Ink: paint.InkStrong, Text: line})
	}
	s.told = len(d.lines)
	if blocks := s.otherBlocks(st); len(blocks) > 0 {
		d.blank()
		for _, b := range blocks {
			d.indented(l.G.Held+" ", "  ", paint.InkQuiet, b)
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
		d.indented("Why: ", "  ", paint.InkQuiet, step.Why)
	}
	for _, n := range step.Notes {
		d.blank()
		d.indented("Note: ", "  ", paint.InkPlain, n)
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
			d.callout(paint.InkWarning, paint.InkWrong, "STOP", []string{r.Ask + ": " + v.Judgement.Text + ". The work stops here " + until + "."})
			d.blank()
		}
	}
}
