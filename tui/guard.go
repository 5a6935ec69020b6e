package tui

import (
	"fettle/tui/paint"
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
	// reading is how long a step, or its next page, has been on the screen before
	// the press that brought it, made again, may tick it.
	reading = 1500 * time.Millisecond
)

// spot is what a press would answer: the screen, the step it shows and what
// the large button says.
type spot struct {
	top  screen
	step int
	word string
}

// brings tells whether a press on s that led to now brought words to be read: a
// step, or more of it.
func (s spot) brings(now spot) bool {
	_, step := now.top.(*stepScreen)
	if !step {
		return false
	}
	return s.top == now.top && (s.step != now.step || s.word == readOn)
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
	brought time.Time // when words to be read last came
	early   bool      // the last press was made too soon, and counted for nothing

	key   string // the key pressed last, and when
	keyAt time.Time
	was   spot // what the last press that counted answered
	gave  bool // it was a key that gives an answer at once

	tap    paint.Point // where the last tap was, and when; no tap after a key
	tapAt  time.Time
	tapped bool
}

// look notes what stands on the screen after a message.
func (g *guard) look(now spot) {
	if now != g.shown {
		if g.shown.brings(now) {
			g.brought = g.now()
		}
		g.shown, g.changed = now, g.now()
	}
}

// unread tells whether a press now would tick what has only just come.
func (g *guard) unread(now time.Time) bool {
	since := now.Sub(g.brought)
	return g.shown.word == doneWord && since >= 0 && since < reading
}

// takes tells whether a key counts. Only the key of the large button is ever
// held back, and only in a job: everywhere else a repeat does no harm. A key that
// gives an answer at once is held back as well, also behind its question. unseen
// says that what it would answer has not been on the terminal yet: typing ahead
// counts all the same, pressing the same key on does not.
func (g *guard) takes(k tea.KeyMsg, main, gives, unseen bool) bool {
	name, now := k.String(), g.now()
	same, gap := name == g.key, now.Sub(g.keyAt)
	g.key, g.keyAt, g.tapped = name, now, false
	if same && (main || g.gave) {
		moved := g.shown != g.was
		since := now.Sub(g.changed)
		held := gap >= 0 && gap < repeating && moved
		// A key let go long ago is not the one held, but nobody has looked up yet.
		soon := since >= 0 && (since < bounce || since < settled && gap < settled)
		if unseen || held || soon || main && g.unread(now) {
			g.early = true
			return false
		}
	}
	g.was, g.gave, g.early = g.shown, gives, false
	return true
}

// takesTap tells whether a tap counts: not where another question has come
// under the finger since its last tap a moment ago, nor where main, the large
// button, would tick what that tap brought.
func (g *guard) takesTap(p paint.Point, main bool) bool {
	now := g.now()
	dx, dy := p.X-g.tap.X, p.Y-g.tap.Y
	near := g.tapped && max(dx, -dx) <= paint.FingerWide && max(dy, -dy) <= paint.FingerTall
	fresh := !g.changed.Before(g.tapAt) && now.Sub(g.changed) < bounce
	unread := main && g.unread(now)
	g.key, g.tap, g.tapped = "", p, true
	if near && (fresh || unread) {
		g.changed = now // a finger that goes on tapping has not looked up
		if unread {
			g.brought = now
		}
		g.early = true
		return false
	}
	g.tapAt, g.gave, g.early = now, false, false
	return true
}
