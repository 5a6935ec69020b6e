package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/recipes"
)

// onMark is the line that the keys are on.
func onMark(b *bench) string {
	b.t.Helper()
	for _, line := range strings.Split(b.text(), "\n") {
		if strings.HasPrefix(strings.TrimLeft(line, " "), "› ") {
			return strings.TrimSpace(line)
		}
	}
	b.t.Fatalf("no line is marked\n%s", b.text())
	return ""
}

// Whatever turns a list over, what the large button would open is on the screen:
// the mark goes with the page, and one up or down is one from there.
func TestMarkGoesWithThePage(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}} {
		b := started(t, size.w, size.h)
		src, err := os.ReadFile(filepath.Join("..", "recipes", "regulator.toml"))
		require.NoError(t, err)
		proc, _ := checklist.NewLibrary(recipes.FS()).Read("regulator.toml", src)
		form := newForm(b.m, proc)
		form.engine = "Bramble"
		for name, turn := range map[string][2]func(){
			"keys":  {func() { b.keys("pgdown") }, func() { b.keys("pgup") }},
			"sign":  {func() { b.tapMore(true) }, func() { b.tapMore(false) }},
			"wheel": {func() { b.wheel(tea.MouseButtonWheelDown) }, func() { b.wheel(tea.MouseButtonWheelUp) }},
		} {
			form.v = view{}
			b.m.push(form)
			b.m.settle()
			first := onMark(b)
			for range 6 {
				turn[0]()
				onMark(b)
			}
			require.NotZero(t, form.v.off, name)
			low := form.v.cur
			require.Greater(t, low, 1, name)
			b.keys("up")
			require.Equal(t, low-1, form.v.cur, "%s: one up from where the mark is seen", name)
			onMark(b)
			for range 6 {
				turn[1]()
				onMark(b)
			}
			if name == "keys" {
				require.Equal(t, first, onMark(b), name)
				for range 6 {
					b.keys("pgdown")
				}
				require.Equal(t, len(form.asked), form.v.cur, "the last page ends on the last question")
			}
			b.m.drop(form)
			b.touchOff()
		}
	}
}

func (b *bench) wheel(button tea.MouseButton) {
	b.t.Helper()
	b.send(tea.MouseMsg{X: 5, Y: 6, Action: tea.MouseActionPress, Button: button})
}

func (b *bench) touchOff() { b.m.touch = false }

// tapMore taps the sign for more below, or above; nothing where there is none.
func (b *bench) tapMore(below bool) {
	b.t.Helper()
	for _, t := range b.m.shown.targets {
		if t.name == "more" && (t.at.Y > b.m.h/2) == below {
			b.send(tea.MouseMsg{X: t.at.X + t.at.W/2, Y: t.at.Y + t.at.H/2, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
			return
		}
	}
}
