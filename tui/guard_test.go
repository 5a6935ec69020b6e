package tui

import (
	"fettle/tui/paint"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
)

// hold keeps enter down: a first press, half a second, then repeats.
func (b *bench) holdEnter(repeats int) {
	b.t.Helper()
	pace := b.pace
	b.keys("enter")
	b.pace = 500 * time.Millisecond
	b.keys("enter")
	b.pace = 33 * time.Millisecond
	for range repeats {
		b.keys("enter")
	}
	b.pace = pace
}

// A key that is held reads a step to its end and does one thing. It ticks no
// second step, answers no question and releases no hold.
func TestHeldKeyDoesOneThing(t *testing.T) {
	b := started(t, 80, 24)
	b.holdEnter(60)
	b.sees("0 of 6", "Cold and empty")
	b.holdEnter(60)
	b.sees("1 of 6", "HOLD", "Shown to the owner")
	require.IsType(t, (*stepScreen)(nil), b.m.top())
	b.holdEnter(60)
	b.sees("Who releases this hold")
	b.holdEnter(60)
	b.sees("Who releases this hold")
	require.Empty(t, b.m.work.state.Steps["release"].Releases)
}

func TestNoSafetyAnswerStandsThereFirst(t *testing.T) {
	b := atReadings(t, 80, 24)
	b.keys(":4.76", "enter", ":4.76", "enter")
	b.sees("No score that a nail feels")
	b.lacks("› yes", "› no")
	b.keys("enter", "enter")
	b.sees("No score that a nail feels", "Pick an answer")
	require.Empty(t, b.m.work.state.Steps["spindle"].Readings["clean"])
	b.keys("down")
	b.sees("› yes")
	b.keys("down", "enter")
	require.Equal(t, "no", counting(b.m.work.state.Steps["spindle"].Readings["clean"]).Value)
	// Asked again, the answer of before is told and still not given by pressing on.
	b.keys("r", "down", "down", "enter")
	b.sees("No score that a nail feels", "So far: no")
	b.keys("enter")
	b.sees("Pick an answer")
	b.keys("up")
	b.sees("› no")
}

func TestSkipNeedsAReason(t *testing.T) {
	b := atReadings(t, 80, 24)
	b.keys("esc", "x", "enter")
	b.sees("Why is step 3 left out?", "Pick an answer")
	b.keys(":late", "enter")
	b.sees("step 3 is skipped")
}

// atReadings is the test job at the first reading of its third step.
func atReadings(t *testing.T, w, h int) *bench {
	t.Helper()
	b := started(t, w, h)
	b.keys("enter")
	done(b)
	onwards(b, "Release")
	b.keys(":Tom", "enter")
	done(b)
	onwards(b, "Reading")
	b.sees("Smallest diameter")
	return b
}

func TestOwnHoldIsAskedPlainly(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	done(b)
	onwards(b, "Release")
	b.lacks("› Ana")
	b.keys("enter")
	b.keys(":T", "enter")
	b.sees("The whole name")
	b.keys("backspace", ":ana")
	b.sees("ana works on this job; the record will say so.")
	b.keys("enter")
	b.sees("you work on this job yourself", "Are you its owner as well?")
	b.keys("enter")
	b.sees("Pick an answer")
	b.keys("down", "down", "enter")
	b.sees("The hold stands", "Who releases this hold")
	b.keys("enter", "down", "enter")
	b.sees("hold released by ana")
	require.Equal(t, "ana", b.m.work.state.Steps["release"].Releases[0].By)
}

// tapAt taps a place on the screen, whatever lies there by then.
func (b *bench) tapAt(p paint.Point) {
	b.t.Helper()
	b.send(tea.MouseMsg{X: p.X, Y: p.Y, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
}

// The large button of a question lies where that of its step lay.
func TestSecondPressOfADoubleTapIsIgnored(t *testing.T) {
	for _, gap := range []time.Duration{60 * time.Millisecond, 250 * time.Millisecond} {
		b := started(t, 80, 24)
		at, ok := b.place("To the steps")
		require.True(t, ok)
		button := paint.Point{X: at.X + 2, Y: at.Y + 1}
		twice := func() {
			b.pace = 2 * time.Second
			b.tapAt(button)
			b.pace = gap
			b.tapAt(button)
			b.tapAt(button)
		}
		twice()
		b.sees("0 of 6")
		twice()
		b.sees("1 of 6", "HOLD")
		require.IsType(t, (*stepScreen)(nil), b.m.top())
		twice()
		b.sees("Who releases this hold")
		b.keys(":Tom", "enter")
		b.pace = 2 * time.Second
		done(b)
		onwards(b, "Reading")
		b.keys("esc")
		twice()
		b.sees("Smallest diameter")
		b.pace = 2 * time.Second
		b.keys(":4.76")
		twice()
		b.sees("Largest diameter")
		b.pace = 2 * time.Second
		b.keys(":4.76")
		twice() // on to the question of yes and no
		b.sees("No score that a nail feels")
		b.lacks("Pick an answer")
	}
}

// Keys pressed while an entry is on its way to the disk are for what comes next:
// none is lost, and none ends up in the answer that is being saved.
func TestTypedAheadOfASave(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter", "n", ":first")
	press := func(k tea.KeyMsg) tea.Cmd {
		b.hand = b.hand.Add(b.pace)
		_, cmd := b.m.Update(k)
		return cmd
	}
	save := press(tea.KeyMsg{Type: tea.KeyEnter})
	require.True(t, b.m.saving)
	press(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("nsecond")}) // as a slow line hands it over
	again := press(tea.KeyMsg{Type: tea.KeyEnter})
	require.Nil(t, again)
	b.run(save)
	notes := b.m.work.state.Steps["cold"].Notes
	require.Len(t, notes, 2)
	require.Equal(t, "first", notes[0].Text)
	require.Equal(t, "second", notes[1].Text)
	require.IsType(t, (*stepScreen)(nil), b.m.top())

	// Enter that is held while it is saved answers nothing else.
	b.keys("n", ":third")
	b.pace = 30 * time.Millisecond
	save = press(tea.KeyMsg{Type: tea.KeyEnter})
	for range 40 {
		press(tea.KeyMsg{Type: tea.KeyEnter})
	}
	b.run(save)
	require.Empty(t, b.m.work.state.Steps["cold"].Ticks)
	require.Len(t, b.m.work.state.Steps["cold"].Notes, 3)
}

// What has not been drawn yet is answered by no finger and by no key held on;
// other keys are typed ahead.
func TestNothingUnseenIsAnswered(t *testing.T) {
	b := started(t, 80, 24)
	behind := false
	b.m.behind = func() bool { return behind }
	b.keys("enter")
	done(b)
	onwards(b, "Release")
	b.keys("esc")
	picture := b.m.View()
	behind = true
	b.keys("enter") // the question for the name, which the terminal does not show
	require.IsType(t, (*entry)(nil), b.m.top())
	require.Equal(t, picture, b.m.View())
	at, ok := b.place("Back")
	require.True(t, ok)
	b.tapAt(paint.Point{X: at.X + 1, Y: at.Y + 1})
	require.IsType(t, (*entry)(nil), b.m.top(), "a tap on the picture before")
	b.keys(":Tom")
	require.Equal(t, "Tom", b.m.top().(*entry).field.text)
	b.pace = 2 * time.Second
	b.keys("enter", "enter", "enter")
	require.Len(t, b.m.work.state.Steps["release"].Releases, 1)
	require.Empty(t, b.m.work.state.Steps["release"].Ticks, "enter pressed on")
	behind = false
	b.send(caughtUp{})
	require.NotEqual(t, picture, b.m.View())
	b.sees("Saved")
}

// A press that comes too soon says so where it was made, and takes no longer to
// be heard for having come: what a press answers is noted as it is drawn.
func TestPressThatIsTooSoonSaysSo(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	done(b)
	b.sees("HOLD")
	b.pace = 600 * time.Millisecond
	b.keys("enter")
	b.sees("too soon", "Too soon: press again.")
	require.IsType(t, (*stepScreen)(nil), b.m.top())
	b.pace = 200 * time.Millisecond // 800 ms after the step came
	b.keys("enter")
	b.sees("Who releases this hold")
	b.lacks("too soon")
}

// Taps once a second on one place read the first pages and come to the first
// step; the step is not ticked by the one that follows.
func TestTapsInARowTickNoStep(t *testing.T) {
	for name, again := range map[string]func(*bench, paint.Point){
		"taps":  (*bench).tapAt,
		"enter": func(b *bench, _ paint.Point) { b.keys("enter") },
	} {
		t.Run(name, func(t *testing.T) {
			b := started(t, 80, 24)
			at, ok := b.place("To the steps")
			require.True(t, ok)
			button := paint.Point{X: at.X + 2, Y: at.Y + 1}
			b.pace = time.Second
			again(b, button)
			require.Equal(t, doneWord, b.m.spot().word, "all of the step is on the screen")
			again(b, button)
			b.sees("0 of 6", "too soon")
			b.pace = reading
			again(b, button)
			b.sees("1 of 6")
		})
	}
}
