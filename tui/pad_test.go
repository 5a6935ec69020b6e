package tui

import (
	"fettle/tui/paint"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"
)

func TestKeypadLeavesLimitsAndJudgementInSight(t *testing.T) {
	b := atReadings(t, 40, 20)
	b.keys("f4", ":4.6")
	b.sees("Smallest diameter", "4.75 to 4.82 mm", "WARN: 4.6 mm is", "Rub")
	b.keys("f4")
	b.lacks("Rub")
	b.sees("WARN: 4.6 mm is")
}

func TestEndOfALongNoteStaysInSight(t *testing.T) {
	b := atReadings(t, 40, 20)
	b.keys("esc", "n", "f4", ":"+strings.Repeat("word after word ", 12)+"at its end")
	b.sees("at its end▏")
	b.keys("home")
	b.sees("› ▏word")
}

// All keys of a pad are equally tall, and words are spelled with one tap a
// letter where there is room.
func TestPadsSuitTheirScreens(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		b := atReadings(t, size[0], size[1])
		for _, what := range []string{"r", "n"} {
			b.keys("esc", what, "f4")
			tall, wide := 0, 0
			for _, p := range b.m.shown.targets {
				if b.m.shown.Bar.Holds(paint.Point{X: p.at.X, Y: p.at.Y}) || p.name == "more" {
					continue
				}
				if tall == 0 {
					tall, wide = p.at.H, p.at.W
				}
				require.Equal(t, wide, p.at.W, "%v %s", size, p.name)
				require.Equal(t, tall, p.at.H, "%v %s", size, p.name)
				require.GreaterOrEqual(t, p.at.W, paint.FingerWide)
			}
			require.GreaterOrEqual(t, tall, paint.FingerTall)
			require.Equal(t, 1, tall%2, "the label stands in the middle")
		}
		_, single := b.place("Q")
		require.Equal(t, size[0] >= 80, single)
	}
}

func TestStartWithoutANameAsksForIt(t *testing.T) {
	b := newBench(t, 40, 20)
	b.keys("enter", "enter", ":Bramble", "enter")
	for range 5 {
		b.keys("down")
	}
	b.keys("enter", ":Tom", "enter", "s")
	b.sees("Your name", "goes on with")
	b.keys(":Ana", "enter")
	b.sees("BEFORE YOU START", "Bramble")
}

// The name is asked for by the first entry that needs it, which then is made.
func TestFirstEntryAsksWhoAndGoesOn(t *testing.T) {
	b := newBench(t, 80, 24, withDemo)
	b.keys("d", "n", ":Needle sticks", "enter")
	b.sees("Your name", "goes on with")
	b.keys(":Zoe", "enter")
	b.sees("Saved")
	b.lacks("Your name")
	b.sees("Zoe, with")
	b.keys("end")
	b.sees("Needle sticks")
}

// Keys that a slow line hands over in one piece are all taken, also where the
// first of them opens a field for the rest.
func TestKeysThatArriveTogether(t *testing.T) {
	b := newBench(t, 80, 24)
	b.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("t2ba")})
	b.sees("2 BA", "4.7 mm")
}

func TestPathsBreakBetweenFolders(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	require.Equal(t, []string{"~/engines/bramble/", "jobs/regulator"}, l.Wrap("~/engines/bramble/jobs/regulator", 20))
}
