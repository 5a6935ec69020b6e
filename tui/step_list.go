package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/threads/check"
	"fettle/tui/paint"
)

// steplist is the list of all steps as last laid out; it is long and seldom changes.
type steplist struct {
	of    *work
	w     int
	touch bool
	doc   *doc
}

// statusSign is the glyph, the ink and the word for how a step stands.
func statusSign(l *paint.Look, st job.StepState) (string, paint.Ink, string) {
	switch st.Status {
	case job.Done:
		return l.G.Done, paint.InkDone, "done"
	case job.Skipped:
		return l.G.Skipped, paint.InkQuiet, "skipped"
	case job.Waiting:
		return l.G.Waiting, paint.InkBrand, "waits"
	case job.Blocked:
		return l.G.Later, paint.InkQuiet, "not yet"
	}
	for _, values := range st.Readings {
		if slices.ContainsFunc(values, func(v job.ReadingValue) bool { return v.Counts && v.Judgement.Severity == check.Stop }) {
			return l.G.Warn, paint.InkWrong, "stops"
		}
	}
	return l.G.Todo, paint.InkPlain, "to do"
}

// progress draws how far the job is, as a rule graduated in steps.
func (s *stepScreen) progress(f *frame) {
	w := s.work()
	r := f.Rule
	if r.Empty() || len(w.steps) == 0 {
		return
	}
	count := fmt.Sprintf(" %d of %d", w.state.Done+w.state.Skipped, w.state.Total)
	f.Wipe(r)
	f.Right(r, paint.InkPlain, count)
	r = r.Cut(0, 0, paint.TextWidth(count), 0)
	if s.m.work.spoken() {
		sign := fmt.Sprintf(" %s %s: %s", f.Look.G.Warn, w.spokenWord(), s.m.keys.Notices.Help().Key)
		f.Right(r, paint.InkWrong, sign)
		n := paint.TextWidth(sign)
		if n <= r.W {
			f.target(paint.Rect{X: r.X + r.W - n, Y: r.Y - 1, W: n, H: 3}, "record", s.notices)
		}
		r = r.Cut(0, 0, n, 0)
	}
	n := len(w.steps)
	for x := range r.W {
		i := x * n / r.W
		st := w.state.Steps[w.steps[i].ID].Status
		glyph, k := f.Look.G.Rule, paint.InkQuiet
		if st == job.Done || st == job.Skipped {
			glyph, k = f.Look.G.Heavy, paint.InkBrand
		}
		if i == s.at && (x == 0 || (x-1)*n/r.W != i) {
			glyph, k = f.Look.G.Place, paint.InkStrong
		}
		f.Put(r, paint.Point{X: r.X + x, Y: r.Y}, k, glyph)
	}
}

// listDoc is the list of all steps.
func (s *stepScreen) listDoc(f *frame, width int) *doc {
	w := s.work()
	if have := s.drawn; have.of == w && have.w == width && have.touch == f.Touch {
		return have.doc
	}
	d := newDoc(f.Look, width, f.Touch)
	stage := ""
	for i, step := range w.steps {
		if step.Stage != stage {
			stage = step.Stage
			d.blank()
			d.text(paint.InkQuiet, strings.ToUpper(stage))
		}
		st := w.state.Steps[step.ID]
		sign, k, word := statusSign(f.Look, st)
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
				sign, k, tail = f.Look.G.Held, paint.InkBrand, "hold"
			}
			if len(st.Outside) > 0 {
				sign, k, tail = f.Look.G.Warn, paint.InkWrong, "outside"
			}
			if len(w.differing(step.ID)) > 0 {
				sign, k, tail = f.Look.G.Warn, paint.InkWrong, differsWord
			}
			number := fmt.Sprintf("%2d ", step.Number)
			lead := paint.TextWidth(number) + 2
			room := max(1, d.w-lead-paint.TextWidth(tail)-1)
			ink := paint.InkPlain
			switch st.Status {
			case job.Done, job.Skipped, job.Blocked: // nothing to do about it now
				ink = paint.InkQuiet
			}
			for i, line := range f.Look.Wrap(step.Title, room) {
				if i > 0 {
					d.add(paint.Span{Ink: ink, Text: strings.Repeat(" ", lead) + line})
					continue
				}
				d.add(paint.Span{Ink: paint.InkQuiet, Text: number}, paint.Span{Ink: k, Text: sign + " "}, paint.Span{Ink: ink, Text: line + strings.Repeat(" ", max(0, room-paint.TextWidth(line)+1))}, paint.Span{Ink: paint.InkQuiet, Text: tail})
			}
		})
	}
	s.drawn = steplist{w, width, f.Touch, d}
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
	d := s.of.listDoc(f, f.Body.W)
	f.show(f.Body, d, &s.v)
}
