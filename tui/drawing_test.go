package tui

import (
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/recipes"
	"fettle/tui/paint"
)

// atStep is a job of a bundled procedure, shown at one of its steps.
func atStep(t *testing.T, file, id string, w, h int) *bench {
	t.Helper()
	src, err := fs.ReadFile(recipes.FS(), file)
	require.NoError(t, err)
	p, found := checklist.NewLibrary(recipes.FS()).Read(file, src)
	require.False(t, found.HasStop())
	b := newBench(t, w, h)
	env := b.options().Env
	env.Person = "Ana"
	values := map[string]string{}
	for _, s := range p.Settings {
		if s.Name == "test_pressure" {
			values[s.Name] = "90 psi"
		}
	}
	j, err := job.Start(filepath.Join(b.dir, "jobs", "job"), p, values, "Bramble", env)
	require.NoError(t, err)
	b.m.person = "Ana"
	b.m.open(b.m.keeper.see(j))
	at := b.m.work.place(id)
	require.GreaterOrEqual(t, at, 0, id)
	b.m.top().(*stepScreen).goTo(at)
	b.size(w, h)
	return b
}

// kindUsing is the first step of that kind in a bundled procedure that uses the part.
func kindUsing(t *testing.T, file, kind, uses string) string {
	t.Helper()
	src, err := fs.ReadFile(recipes.FS(), file)
	require.NoError(t, err)
	p, _ := checklist.NewLibrary(recipes.FS()).Read(file, src)
	for _, stage := range p.Stages {
		for _, s := range stage.Steps {
			if s.Kind == kind && strings.Contains(" "+strings.Join(s.Uses, " ")+" ", " "+uses+" ") {
				return s.ID
			}
		}
	}
	t.Fatalf("%s has no step of kind %s that uses %s", file, kind, uses)
	return ""
}

func TestRingIsCountedRound(t *testing.T) {
	id := kindUsing(t, "regulator.toml", "tighten", "cover")
	b := atStep(t, "regulator.toml", id, 160, 45)
	b.sees("ORDER OF", "Now screw 1.", "0 of 8 in this pass")
	b.keys("-")
	b.sees("No screw of this pass is counted yet.")
	b.keys("+")
	b.sees("1● ›5 3 7 2 6 4 8", "next", "Now screw 5.", "1 of 8 in this pass") // the one opposite
	b.keys("-")
	b.sees("Now screw 1.")
	for range 8 {
		b.keys("+")
	}
	b.sees("● all 8 in this pass")
	b.keys("+")
	b.sees("All screws of this pass are counted.")

	// No room beside: on a page of its own, and what was counted is kept.
	b.size(40, 22)
	b.lacks("in this pass")
	b.keys(".")
	b.sees("all 8 in this pass")
	b.keys("-")
	b.sees("Now screw 8.")
	b.keys("esc", "right", "left", ".")
	b.sees("Now screw 8.")
}

func TestPackingRingIsDrawn(t *testing.T) {
	b := atStep(t, "gland.toml", kindUsing(t, "gland.toml", "make", "packing"), 160, 45)
	step, _ := b.m.top().(*stepScreen).step()
	length := ""
	for _, g := range step.Figures {
		if g.Key == "packing.ring_length" {
			length = g.Text
		}
	}
	require.NotEmpty(t, length)
	b.sees("CUT FLAT", "─ "+length+" ─", "the length on the middle line")
}

func TestScrewIsDrawnWhereItIsUsed(t *testing.T) {
	b := atStep(t, "regulator.toml", kindUsing(t, "regulator.toml", "measure", "cover"), 160, 60)
	b.keys(".")
	b.sees("IN SECTION", "█")
	ascii := atStep(t, "regulator.toml", kindUsing(t, "regulator.toml", "measure", "cover"), 160, 60)
	ascii.m.opt.ASCII = true
	ascii.m.look = paint.NewLook(paint.PlainRenderer(), true, paint.Calm)
	ascii.size(160, 60)
	ascii.lacks("IN SECTION")
}

func TestOthersOnTheJobStandInTheHead(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("enter")
	b.lacks("with Tom")
	jobs, err := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
	require.NoError(t, err)
	tom, err := job.Open(jobs[0], job.Env{Now: func() time.Time { return b.now }, StateDir: filepath.Join(b.dir, "tom"), Person: "Tom"})
	require.NoError(t, err)
	_, err = tom.Note(b.m.work.steps[1].ID, "the spindle is at the lathe")
	require.NoError(t, err)
	b.keys("ctrl+r")
	b.sees("Ana, with Tom")
	b.keys("i")
	b.sees("Tom is on this job as well: step 2, Sun 1 Mar 19:00")
	b.keys("esc")
	b.now = b.now.Add(23 * time.Hour)
	b.keys("ctrl+r")
	b.sees("with Tom")
	b.now = b.now.Add(2 * time.Hour)
	b.keys("ctrl+r")
	b.lacks("with Tom")
}

func TestWheelOverTheListScrollsTheList(t *testing.T) {
	b := atStep(t, "regulator.toml", kindUsing(t, "regulator.toml", "tighten", "cover"), 160, 20)
	s := b.m.top().(*stepScreen)
	list, text := s.list.off, s.v.off
	at := b.m.shown.Side
	b.send(tea.MouseMsg{X: at.X + 2, Y: at.Y + 2, Action: tea.MouseActionPress, Button: tea.MouseButtonWheelUp})
	require.Less(t, s.list.off, list)
	require.Equal(t, text, s.v.off)
	list = s.list.off
	at = b.m.shown.Main
	b.send(tea.MouseMsg{X: at.X + 2, Y: at.Y + 2, Action: tea.MouseActionPress, Button: tea.MouseButtonWheelDown})
	require.Equal(t, list, s.list.off, "over the text it turns the text")
}

func TestFigureIsSentToNoteAndReading(t *testing.T) {
	b := started(t, 80, 24)
	b.keys("t", ":2ba", "f8") // the page before the first step takes no note
	b.lacks("Which figure?")
	b.keys("esc", "enter", "t", ":2ba")
	b.sees("Send")
	b.keys("f8")
	b.sees("Which figure?", "2 BA tapping drill")
	b.keys("down", "enter")
	b.sees("Note on step 1", "2 BA clearance 5.2 mm")
	b.keys("esc")

	// Into half a sentence, at the cursor.
	b.keys("n", ":try", "ctrl+t", ":2ba")
	b.keys("f8", "down", "enter")
	b.sees("try 2 BA clearance 5.2 mm")
	b.keys("enter")
	b.sees("note: try 2 BA clearance 5.2 mm")

	done(b)
	onwards(b, "Release")
	b.keys(":Tom", "enter")
	done(b)
	onwards(b, "Reading")
	// A reading takes the value alone, in place of what stood there.
	b.keys(":9", "ctrl+t", ":2ba", "f8", "down", "down", "down", "enter")
	e := b.m.top().(*entry)
	require.Equal(t, "4.7 mm", e.field.text)
	b.keys("esc")

	// A sum sends what came out of it.
	b.keys("c", "down", "down", "down", "enter")
	b.tap("Answer")
	b.keys(":M4", "enter", "f4", ":A2-7", "enter")
	b.keys("f8")
	_, note := b.m.top().(*entry)
	require.True(t, note, b.text())
}

func TestFiguresBesideTheStepScroll(t *testing.T) {
	b := atStep(t, "gland.toml", kindUsing(t, "gland.toml", "make", "packing"), 80, 12)
	b.keys("f") // with the sources there is more than fits
	s := b.m.top().(*stepScreen)
	step, _ := s.step()
	last := step.Figures[len(step.Figures)-1].Label
	b.lacks(last)
	for range 8 {
		b.keys("pgdown")
	}
	b.sees(last)
	for range 8 {
		b.keys("pgup")
	}
	b.sees("FIGURES", strings.ToUpper(step.Stage))
	at := b.m.shown.Aside
	for range 20 {
		b.send(tea.MouseMsg{X: at.X + 2, Y: at.Y + 2, Action: tea.MouseActionPress, Button: tea.MouseButtonWheelDown})
	}
	b.sees(last)
}
