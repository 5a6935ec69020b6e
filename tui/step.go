package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// stepScreen shows the open job one step at a time.
type stepScreen struct {
	m       *model
	at      int // place of the step in the job; -1 is what must be ready before
	v       view
	list    view // the list of steps at the side
	sources bool // show where the figures come from
	tells   int  // number of the first line of the instruction
	told    int  // number of the line after it
	waits   int  // number of the line after the one that tells of a wait; 0 for none
	whole   bool // the instruction has been on the screen to its end
	drawn   steplist
	turned  map[string]int // screws counted as tight in this pass, by step
	small   sketch         // at the least width: whether there is a drawing
	beside  sketch
	under   sketch
	fv      view   // the figures beside the step
	with    []seen // who else is on the job
	withOf  *work  // what with was found in
}

// newStep shows the open job at the step to work on next, or what must be
// ready where nothing has been done yet.
func newStep(m *model) *stepScreen {
	s := &stepScreen{m: m, at: -1, v: view{free: true, bare: true}}
	switch st := m.work.state; {
	case st.Next == "": // nothing is left to do: how it ended
		s.at = len(m.work.steps) - 1
	case st.Done+st.Skipped > 0:
		s.at = max(0, m.work.place(st.Next))
	}
	return s
}

func (s *stepScreen) work() *work { return s.m.work }

// step is the step shown and how it stands; nil on the page before the first.
func (s *stepScreen) step() (*checklist.FilledStep, job.StepState) {
	w := s.work()
	if s.at < 0 || s.at >= len(w.steps) {
		return nil, job.StepState{}
	}
	return w.steps[s.at], w.state.Steps[w.steps[s.at].ID]
}

func (s *stepScreen) title() string {
	w := s.work()
	if w.job == nil {
		return w.filled.Title
	}
	if w.job.IsCalled() {
		return s.m.calledTitle()
	}
	return w.job.Engine() + "  " + w.filled.Title
}

func (s *stepScreen) typing() bool { return false }
func (s *stepScreen) wheel(n int)  { s.v.scroll(n) }

// wheelAt scrolls the list at the side or the figures where the wheel turns over them.
func (s *stepScreen) wheelAt(p paint.Point, a paint.Areas, n int) bool {
	switch {
	case a.Side.Holds(p):
		s.list.scroll(n)
	case a.Aside.Holds(p) && s.fv.last > 0:
		s.fv.scroll(n)
	default:
		return false
	}
	return true
}

// goTo shows another step from its beginning.
func (s *stepScreen) goTo(i int) {
	s.at = max(-1, min(len(s.work().steps)-1, i))
	s.v = view{free: true, bare: true}
	s.told, s.whole, s.fv = 0, false, view{}
	s.list = view{}
	s.list.cur = max(0, s.at)
}

// key moves the text; past its end, the figures beside it.
func (s *stepScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	before := s.v.off
	if s.fv.off > 0 && key.Matches(k, s.m.keys.Up, s.m.keys.PageUp, s.m.keys.Top) {
		return nil, s.m.moves(k, &s.fv, 0)
	}
	known := s.m.moves(k, &s.v, 0)
	if s.v.off == before && s.fv.last > 0 && key.Matches(k, s.m.keys.Down, s.m.keys.PageDown, s.m.keys.Bottom) {
		return nil, s.m.moves(k, &s.fv, 0)
	}
	return nil, known
}
