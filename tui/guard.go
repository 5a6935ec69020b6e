package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

const (
	// bounce is how long after the screen has changed a second press on the
	// same spot is taken for the tail of the first.
	bounce = 300 * time.Millisecond
	// settled is how long after a job's screen has changed the key that changed
	// it counts for nothing. A key that is held begins to repeat after about
	// half a second.
	settled = 700 * time.Millisecond
	// repeating is the longest time between two repeats of a held key, with
	// some room for a slow line.
	repeating = 200 * time.Millisecond
)

// spot is what a press would answer: the screen, the step it shows and what
// the large button says.
type spot struct {
	top  screen
	step int
	word string
}

func (m *model) spot() spot {
	s := spot{top: m.top()}
	if step, ok := s.top.(*stepScreen); ok {
		s.step = step.at
	}
	for _, a := range s.top.acts() {
		if a.main {
			s.word = a.word
			break
		}
	}
	return s
}

// guard keeps one press, however long or shaky, from answering more than the
// one question that was on the screen when it was made.
type guard struct {
	now     func() time.Time
	shown   spot
	changed time.Time // when what a press would answer last changed

	key   string // the key pressed last, and when
	keyAt time.Time
	was   spot // what the last press that counted answered

	tap    point // where the last tap was, and when; no tap after a key
	tapAt  time.Time
	tapped bool
}

// look notes what stands on the screen after a message.
func (g *guard) look(now spot) {
	if now != g.shown {
		g.shown, g.changed = now, g.now()
	}
}

// takes tells whether a key counts. Only the key of the large button is ever
// held back, and only in a job: everywhere else a repeat does no harm. unseen
// says that what it would answer has not been on the terminal yet: typing ahead
// counts all the same, pressing the same key on does not.
func (g *guard) takes(k tea.KeyMsg, main, unseen bool) bool {
	name, now := k.String(), g.now()
	same, gap := name == g.key, now.Sub(g.keyAt)
	g.key, g.keyAt, g.tapped = name, now, false
	if main && same {
		held := gap >= 0 && gap < repeating && g.shown != g.was
		since := now.Sub(g.changed)
		if unseen || held || since >= 0 && since < settled {
			return false
		}
	}
	g.was = g.shown
	return true
}

// takesTap tells whether a tap counts: not where another question has come
// under the finger since its last tap a moment ago.
func (g *guard) takesTap(p point) bool {
	now := g.now()
	dx, dy := p.x-g.tap.x, p.y-g.tap.y
	near := g.tapped && max(dx, -dx) <= fingerWide && max(dy, -dy) <= fingerTall
	fresh := !g.changed.Before(g.tapAt) && now.Sub(g.changed) < bounce
	g.key, g.tap, g.tapped = "", p, true
	if near && fresh {
		g.changed = now // a finger that goes on tapping has not looked up
		return false
	}
	g.tapAt = now
	return true
}
