package tui

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
)

// atYesNo is a bench at a reading of yes and no, another of which follows.
func atYesNo(t *testing.T) *bench {
	t.Helper()
	b := atRing(t, 80, 24)
	b.keys("u", "enter") // the step before is open again
	b.m.top().(*stepScreen).goTo(0)
	b.m.settle()
	b.keys("r", "down", "enter")
	b.sees("Is it flat", "y or n answers at once.", "So far: yes")
	return b
}

func given(b *bench, name string) string {
	return counting(b.m.work.state.Steps["bare"].Readings[name]).Value
}

// One press of y or n answers a question of yes and no; held on, it answers no
// other question and does nothing on the step.
func TestYesAndNoByOnePress(t *testing.T) {
	b := atYesNo(t)
	b.keys("n")
	require.Equal(t, "no", given(b, "flat"))
	require.IsType(t, (*stepScreen)(nil), b.m.top())
	b.keys("r", "down", "enter", "y")
	require.Equal(t, "yes", given(b, "flat"))

	// Two such questions in a row.
	b = newRing(t)
	b.keys("r", ":0.05", "enter")
	b.sees("Is it flat")
	b.keys("y")
	b.sees("Does it leak")
	b.pace = 500 * time.Millisecond
	b.keys("y")
	b.pace = 33 * time.Millisecond
	for range 60 {
		b.keys("y")
	}
	b.sees("Does it leak")
	require.Empty(t, given(b, "leaks"), "a key held on answers nothing else")
	b.pace = 2 * time.Second
	b.keys("n")
	require.Equal(t, "no", given(b, "leaks"))
	b.pace = 33 * time.Millisecond
	for range 60 {
		b.keys("n")
	}
	require.IsType(t, (*stepScreen)(nil), b.m.top(), "no note is begun by it")
}

// newRing is that job at its first step, with nothing done.
func newRing(t *testing.T) *bench {
	t.Helper()
	b := atRing(t, 80, 24)
	b.keys("u", "enter") // the tick, then the readings
	for range 3 {
		b.keys("u", "enter")
	}
	b.m.top().(*stepScreen).goTo(0)
	b.m.settle()
	require.Equal(t, job.Blocked, b.m.work.state.Steps["turn"].Status)
	return b
}

// Letters in a question whose answers are picked go to an answer that begins so,
// or do nothing: they open no other screen.
func TestLettersInAChoiceOpenNothing(t *testing.T) {
	b := refit(t, 80, 24, "dry")
	b.keys("d")
	e := b.m.top()
	b.keys(":ctm?zw/")
	require.Same(t, e, b.m.top())
	require.Equal(t, "Wrong part", e.(*entry).now(), "the letters before begin other answers, or none")
	b.keys("w")
	require.Equal(t, "Worn part", e.(*entry).now(), "the next that begins so")
	b.keys("q")
	b.sees("No answer begins with q.")
	b.lacks("Sums c", "╰── t ───╯")
	b.keys("home", "enter")
	b.sees("which of the 6?")
	b.keys(":ct4", "enter")
	b.sees("How wide is the hole?")
	require.Equal(t, 3, b.m.stack[len(b.m.stack)-2].(*entry).v.cur)
	b.keys("f1")
	require.IsType(t, (*helpScreen)(nil), b.m.top())
}

// Empty takes away what stands in the line and stays with the question; enter
// keeps it so.
func TestEmptyStaysWithTheQuestion(t *testing.T) {
	b := started(t, 80, 24)
	form := newForm(b.m, b.m.work.filled.Procedure)
	b.m.push(form)
	form.edit(2)
	b.m.settle()
	e := b.m.top().(*entry)
	b.keys(":5 mm", "ctrl+k")
	require.Same(t, e, b.m.top())
	require.Empty(t, e.field.text)
	b.sees("Empty takes the default: 4.8 mm", "Leave empty")
	b.keys(":5.1 mm", "enter")
	require.Equal(t, "5.1 mm", form.values["spindle"])
	form.edit(2)
	b.keys("ctrl+k", "enter")
	require.NotContains(t, form.values, "spindle")
	require.Same(t, form, b.m.top())

	form.edit(3) // a thread, which is picked
	b.keys("ctrl+k")
	b.sees("Leave empty")
	b.keys("enter")
	require.Same(t, form, b.m.top())
}

// A unit typed behind a figure that stands there goes to the figure; anything else
// replaces it.
func TestUnitIsTypedBehindTheFigureThatStands(t *testing.T) {
	b := atRing(t, 80, 24)
	e := newEntry(b.m, "Gauge", "What does the gauge show?", nil)
	e.value, e.units = true, []string{"bar", "psi"}
	for keys, want := range map[string]string{": psi": "45 psi", ":psi": "45psi", ":9": "9"} {
		e.start("45")
		b.m.push(e)
		b.m.settle()
		b.keys(keys)
		require.Equal(t, want, e.field.text)
		b.m.drop(e)
	}
}

// What a reading should be is said as a person would; nothing where nothing is.
func TestWhatIsWantedIsSaidPlainly(t *testing.T) {
	at := func(v float64, text string) checklist.Limit {
		return checklist.Limit{Given: true, Value: v, Text: text}
	}
	for _, c := range []struct {
		r    checklist.FilledReading
		want string
	}{
		{checklist.FilledReading{Unit: "count", Nominal: at(8, "8"), Low: at(8, "8"), High: at(8, "8")}, "8 wanted, no other"},
		{checklist.FilledReading{Unit: "count", Nominal: at(0, "0"), Low: at(0, "0"), High: at(0, "0")}, "none allowed"},
		{checklist.FilledReading{Unit: "mm", Nominal: at(4.8, "4.8 mm"), Low: at(4.75, "4.75 mm"), High: at(4.82, "4.82 mm")}, "4.8 mm wanted, 4.75 to 4.82 mm will do"},
		{checklist.FilledReading{Unit: "yes-no", Nominal: checklist.Limit{Given: true, Text: "yes"}}, "yes wanted"},
		{checklist.FilledReading{Unit: "%", Low: at(0, "0 %")}, ""},
		{checklist.FilledReading{Unit: "mm", High: at(0.1, "0.1 mm")}, "at most 0.1 mm"},
	} {
		require.Equal(t, c.want, wantedText(c.r))
	}
	b := refit(t, 80, 24, "holes")
	b.keys("r")
	b.lacks("A figure alone is in count")
}

// An undo names a finding in the words it was written in, and no inner names.
func TestUndoNamesAFindingPlainly(t *testing.T) {
	b := refit(t, 40, 20, "dry")
	pullOut(b)
	b.keys("esc", "u")
	b.sees(`Take this back: finding: "pulled out by hand" by Ana?`)
	b.lacks("(fastener", "(what")
}

// Where no picture lies near, where to put them is said before any letters.
func TestNoPadOverWhereToPutPictures(t *testing.T) {
	b := refit(t, 40, 20, "dry")
	b.m.touch = true
	b.keys("d", "home", "enter", "enter", "enter")
	b.keys("ctrl+p")
	b.sees("Which picture?", "Pictures put into")
}

// One figure of the instruction is not written large beside another that cannot be.
func TestAFigureIsNotLargeBesideASmallOne(t *testing.T) {
	b := atRing(t, 160, 45)
	s := b.m.top().(*stepScreen)
	step := &checklist.FilledStep{}
	step.Do = "Leave it 31 h 40 min at 16 °C."
	step.Figures = []checklist.Figure{{Label: "Cure", Text: "31 h 40 min"}, {Label: "Shop", Text: "16 °C"}}
	require.True(t, s.large(newDoc(b.m.look, 40, false), step), "both have room")
	require.False(t, s.large(newDoc(b.m.look, 20, false), step), "the time has none")
}
