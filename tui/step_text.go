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
	d.text(inkBrand, "BEFORE YOU START")
	d.blank()
	warnings := append(dangerTexts(s.work().state), p.Warnings...)
	d.callout(inkWarning, inkWrong, "WARNING", warnings)
	if len(warnings) > 0 {
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

// dangers are what stands on the engine, where this step puts pressure on it.
func (s *stepScreen) dangers(step *checklist.FilledStep) []string {
	if step.Kind != "test" {
		return nil
	}
	return dangerTexts(s.work().state)
}

// dangerTexts say what stands on the engine.
func dangerTexts(state job.State) []string {
	var list []string
	for _, d := range state.Standing() {
		list = append(list, d.Text)
	}
	return list
}

// stepText is the step itself: how it stands, warnings and cautions, then what
// to do.
func (s *stepScreen) stepText(d *doc, step *checklist.FilledStep, st job.StepState) {
	l := d.look
	sign, k, word := l.statusSign(st)
	if st.Status == job.Blocked && step.Hold != "" && len(st.Releases) == 0 && s.needed(step) < 0 {
		sign, k, word = l.g.held, inkBrand, "hold"
	}
	if st.Status == job.Blocked && s.needed(step) < 0 && len(s.work().openCalled(step)) > 0 {
		sign, k, word = l.g.here, inkBrand, "its inner job is open"
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
	if len(step.Warnings) > 0 {
		d.callout(inkWarning, inkWrong, "WARNING", step.Warnings)
		d.blank()
	}
	if len(step.Cautions) > 0 {
		d.callout(inkCaution, inkBrand, "CAUTION", step.Cautions)
		d.blank()
	}
	if step.Hold != "" {
		if len(st.Releases) == 0 {
			d.callout(inkCaution, inkBrand, "HOLD", []string{"Work stops here until the " + step.Hold + " releases it by name."})
		} else {
			for _, r := range st.Releases {
				d.indented(l.g.done+" ", "  ", inkDone, "hold released by "+r.By+", "+s.m.when(r.At))
			}
		}
		for _, v := range st.Void {
			d.indented(l.g.held+" ", "  ", inkWrong, "released by "+v.By+", "+s.m.when(v.At)+", and not any more: "+strings.Join(v.Changed, " "))
		}
		d.blank()
	}
	if dangers := s.dangers(step); len(dangers) > 0 {
		d.callout(inkWarning, inkWrong, "WARNING", dangers)
		d.blank()
	}
	if step.Witness != "" {
		d.callout(inkNote, inkQuiet, "WITNESS", []string{"The " + step.Witness + " is told and may watch."})
		d.blank()
	}
	for _, r := range step.Readings {
		for _, v := range st.Readings[r.Name] {
			if v.Counts && v.Judgement.Severity == check.Stop {
				d.callout(inkWarning, inkWrong, "STOP", []string{r.Ask + ": " + v.Judgement.Text + ". The work stops here until a new reading says otherwise."})
				d.blank()
			}
		}
	}
	if !strings.HasPrefix(step.Do, strings.TrimRight(step.Title, ". …")) {
		d.text(inkPlain, step.Title)
		d.add(span{inkBrand, strings.Repeat(l.g.heavy, min(d.w, textWidth(step.Title)))})
	}
	s.tells, s.waits = len(d.lines), 0
	for _, line := range l.wrap(step.Do, min(d.w, toldWide)) {
		d.add(span{inkStrong, line})
	}
	s.told = len(d.lines)
	if blocks := s.otherBlocks(step, st); len(blocks) > 0 {
		d.blank()
		for _, b := range blocks {
			d.indented(l.g.held+" ", "  ", inkQuiet, b)
		}
	}
	s.ringText(d, step, st)
	s.calledText(d, step)
	if !st.Due.IsZero() && st.Status != job.Done {
		d.blank()
		d.text(inkBrand, fmt.Sprintf("%s waits until %s: %s left", l.g.waiting, s.m.when(st.Due), left(st.Due.Sub(s.m.opt.Env.Now()))))
		s.waits = len(d.lines)
	} else if step.Wait > 0 && step.Kind != "wait" && st.Status != job.Done {
		d.blank()
		d.text(inkQuiet, "After this step: wait "+left(step.Wait)+".")
	}
	if b := st.Begun; b != nil && st.Status != job.Done {
		switch {
		case b.Doubt != "":
			d.indented(l.g.warn+" ", "  ", inkWrong, "Begun by "+b.By+", but "+b.Doubt+".")
		default:
			d.indented(l.g.done+" ", "  ", inkQuiet, "begun "+s.m.when(b.From)+" by "+b.By)
		}
	}
	if len(step.Readings) > 0 {
		d.blank()
	}
	for i, r := range step.Readings {
		d.item(r.Name, func() tea.Cmd { return s.read(step, i) }, func(d *doc) { s.reading(d, r, st.Readings[r.Name]) })
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
