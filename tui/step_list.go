package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/threads/check"
)

// steplist is the list of all steps as last laid out; it is long and seldom changes.
type steplist struct {
	of    *work
	w     int
	touch bool
	doc   *doc
}

// statusSign is the glyph, the ink and the word for how a step stands.
func statusSign(l *look, st job.StepState) (string, ink, string) {
	switch st.Status {
	case job.Done:
		return l.g.done, inkDone, "done"
	case job.Skipped:
		return l.g.skipped, inkQuiet, "skipped"
	case job.Waiting:
		return l.g.waiting, inkBrand, "waits"
	case job.Blocked:
		return l.g.later, inkQuiet, "not yet"
	}
	for _, values := range st.Readings {
		if slices.ContainsFunc(values, func(v job.ReadingValue) bool { return v.Counts && v.Judgement.Severity == check.Stop }) {
			return l.g.warn, inkWrong, "stops"
		}
	}
	return l.g.todo, inkPlain, "to do"
}

// progress draws how far the job is, as a rule graduated in steps.
func (s *stepScreen) progress(f *frame) {
	w := s.work()
	r := f.rule
	if r.empty() || len(w.steps) == 0 {
		return
	}
	count := fmt.Sprintf(" %d of %d", w.state.Done+w.state.Skipped, w.state.Total)
	f.wipe(r)
	f.right(r, inkPlain, count)
	r = r.cut(0, 0, textWidth(count), 0)
	if s.m.work.spoken() {
		sign := fmt.Sprintf(" %s %s: %s", f.look.g.warn, w.spokenWord(), s.m.keys.Notices.Help().Key)
		f.right(r, inkWrong, sign)
		n := textWidth(sign)
		if n <= r.w {
			f.target(rect{r.x + r.w - n, r.y - 1, n, 3}, "record", s.notices)
		}
		r = r.cut(0, 0, n, 0)
	}
	n := len(w.steps)
	for x := range r.w {
		i := x * n / r.w
		st := w.state.Steps[w.steps[i].ID].Status
		glyph, k := f.look.g.rule, inkQuiet
		if st == job.Done || st == job.Skipped {
			glyph, k = f.look.g.heavy, inkBrand
		}
		if i == s.at && (x == 0 || (x-1)*n/r.w != i) {
			glyph, k = f.look.g.place, inkStrong
		}
		f.put(r, point{r.x + x, r.y}, k, glyph)
	}
}

// listDoc is the list of all steps.
func (s *stepScreen) listDoc(f *frame, width int) *doc {
	w := s.work()
	if have := s.drawn; have.of == w && have.w == width && have.touch == f.touch {
		return have.doc
	}
	d := newDoc(f.look, width, f.touch)
	stage := ""
	for i, step := range w.steps {
		if step.Stage != stage {
			stage = step.Stage
			d.blank()
			d.text(inkQuiet, strings.ToUpper(stage))
		}
		st := w.state.Steps[step.ID]
		sign, k, word := statusSign(f.look, st)
		d.item(step.ID, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			tail := ""
			switch st.Status {
			case job.Todo, job.Blocked:
			case job.Done:
				if len(st.Ticks) > 0 {
					tail = st.Ticks[len(st.Ticks)-1].By
				}
			default:
				tail = word
			}
			if st.Status == job.Todo || st.Status == job.Blocked {
				switch {
				case step.Added:
					tail = "new"
				case len(st.Reopened) > 0:
					tail = "again"
				}
			}
			if step.Hold != "" && len(st.Releases) == 0 && st.Status != job.Done && st.Status != job.Skipped {
				sign, k, tail = f.look.g.held, inkBrand, "hold"
			}
			if len(st.Outside) > 0 {
				sign, k, tail = f.look.g.warn, inkWrong, "outside"
			}
			if len(w.differing(step.ID)) > 0 {
				sign, k, tail = f.look.g.warn, inkWrong, differsWord
			}
			number := fmt.Sprintf("%2d ", step.Number)
			lead := textWidth(number) + 2
			room := max(1, d.w-lead-textWidth(tail)-1)
			ink := inkPlain
			switch st.Status {
			case job.Done, job.Skipped, job.Blocked: // nothing to do about it now
				ink = inkQuiet
			}
			for i, line := range f.look.wrap(step.Title, room) {
				if i > 0 {
					d.add(span{ink, strings.Repeat(" ", lead) + line})
					continue
				}
				d.add(span{inkQuiet, number}, span{k, sign + " "}, span{ink, line + strings.Repeat(" ", max(0, room-textWidth(line)+1))}, span{inkQuiet, tail})
			}
		})
	}
	s.drawn = steplist{w, width, f.touch, d}
	return d
}

// choose shows step i and closes the list of steps where it lies over this screen.
func (s *stepScreen) choose(i int) tea.Cmd {
	if list, ok := s.m.top().(*stepsScreen); ok {
		s.m.drop(list)
	}
	s.goTo(i)
	return nil
}

// stepsScreen is the list of all steps where there is no room for it beside the step.
type stepsScreen struct {
	of *stepScreen
	v  view
}

func newSteps(of *stepScreen) *stepsScreen {
	s := &stepsScreen{of: of}
	s.v.cur, s.v.lift = max(0, of.at), true
	return s
}

func (s *stepsScreen) title() string { return s.of.title() }
func (s *stepsScreen) typing() bool  { return false }
func (s *stepsScreen) wheel(n int)   { s.v.scroll(n) }

func (s *stepsScreen) acts() []act {
	return []act{{key: s.of.m.keys.Do, word: "Show", main: true, do: func() tea.Cmd { return s.of.choose(s.v.cur) }}}
}

func (s *stepsScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, len(s.of.work().steps))
}

func (s *stepsScreen) draw(f *frame) {
	s.of.progress(f)
	d := s.of.listDoc(f, f.body.w)
	f.show(f.body, d, &s.v)
}
