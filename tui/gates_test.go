package tui

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

func must(t *testing.T) func(job.Saved, error) {
	return func(_ job.Saved, err error) { t.Helper(); require.NoError(t, err) }
}

func TestAShutGateSaysWhyAndIsPassedByName(t *testing.T) {
	b := refit(t, 80, 24, "seal", func(j *job.Job) {
		do := must(t)
		do(j.Shortage("sealant, fresh", "seal", 1, "shop"))
		do(j.CountIn("dome", "rag", 1))
		do(j.FitBlank("7", "on", "whistle bush"))
	})
	b.sees("missing: sealant, fresh")
	onwards(b, "To the list") // the remedy comes first
	b.sees("To bring next time")
	b.keys("esc", "e")
	b.sees("Missing part", "To the list", "May be passed with a name and a reason", "INSIDE THE OPENINGS", "1 rag", "7 at whistle bush: FITTED")
	b.golden("80x24-gates")
	b.keys("L")
	b.sees("Who lets this pass?")
	b.keys(":Ruth", "enter")
	b.sees("Why may it pass?")
	b.keys(":last tin is good", "enter")
	b.sees("passed by Ruth: last tin is good")
	b.keys("esc")
	b.sees("let pass: Missing part, by Ruth")
	b.keys("e")
	_, st := b.m.top().(*gateScreen).now()
	for _, g := range st.Gates {
		if g.Name == job.GateShort {
			require.Len(t, g.Passed, 1)
		}
	}
}

func TestCountsAndBlanks(t *testing.T) {
	b := refit(t, 40, 20, "seal")
	b.keys("e", "n", ":dome", "enter")
	b.sees("In or out?")
	b.keys("enter")
	b.sees("Pick an answer")
	b.keys("down", "enter", ":rag", "enter")
	b.keys(":2", "enter")
	b.sees("still in dome: 2 rag")
	b.tap("tally dome")
	b.keys("down", "down", "enter")
	b.sees("2 inside")
	b.keys("enter", ":2", "enter")
	b.sees("dome: balanced")
	b.keys("v", ":7", "enter", ":whistle", "enter")
	require.True(t, b.m.work.state.Blanks[0].Fitted)
	b.keys("end", "enter", "down", "enter")
	require.False(t, b.m.work.state.Blanks[0].Fitted)
	b.keys("s", ":12", "enter")
	b.sees("Saved 19:00: the shop's temperature")
}

func TestAStopIsNotPassed(t *testing.T) {
	b := refit(t, 80, 24, "cured", func(j *job.Job) { must(t)(j.Tick("seal")); must(t)(j.Tick("tighten")) })
	b.keys("e")
	b.sees("Wait", "no name and no reason passes it")
	b.keys("L")
	require.Equal(t, "This is a stop: no name and no reason passes it.", b.m.foot.text)
	require.IsType(t, &gateScreen{}, b.m.top())
}

func TestWitness(t *testing.T) {
	b := refit(t, 80, 24, "tighten", func(j *job.Job) { must(t)(j.Tick("seal")) })
	b.keys("e")
	b.sees("Witness point", "Holds nobody up")
	b.keys("enter", "down", "down", "enter", ":Ana", "enter")
	b.sees("this is for somebody else")
	b.keys("ctrl+u", ":Olga", "enter")
	b.sees("witnessed by Olga")
	b.keys("esc")
	b.sees("witness: Olga")
}

// underTest is the job at its pressure test, all before it done.
func underTest(t *testing.T, w, h int) *bench {
	b := refit(t, w, h, "water-test", func(j *job.Job) {
		do := must(t)
		do(j.Tick("seal"))
		do(j.WitnessStep("tighten", "Olga", false))
		do(j.Tick("tighten"))
	})
	b.m.top().(*stepScreen).goTo(b.m.work.place("cured"))
	b.m.settle()
	onwards(b, "Begin")
	b.now = b.now.Add(26 * time.Hour)
	b.keys("ctrl+r")
	sayTime(b)
	done(b)
	require.Equal(t, job.Done, b.m.work.state.Steps["cured"].Status)
	b.m.top().(*stepScreen).goTo(b.m.work.place("water-test"))
	b.m.settle()
	return b
}

// sayTime says what time it is by a watch, after longer than a day away.
func sayTime(b *bench) {
	b.t.Helper()
	onwards(b, "Say the time")
	b.keys(":"+b.now.Format("15.04"), "enter")
}

func reads(b *bench, after time.Duration, pressure, strokes string) {
	b.now = b.now.Add(after)
	b.keys("r", ":"+pressure, "enter", "ctrl+u", ":"+strokes, "enter", ":17", "enter")
}

func TestPressureTestFailsIsSearchedAndJudged(t *testing.T) {
	for _, size := range []struct{ w, h int }{{40, 20}, {80, 24}, {160, 45}} {
		t.Run(fmt.Sprintf("%dx%d", size.w, size.h), func(t *testing.T) {
			b := underTest(t, size.w, size.h)
			onwards(b, "Test sheet")
			b.sees("Cold water only")
			b.keys("enter") // what the code says and nobody typed in: the operator first
			b.sees("Operator", "Your local code says it")
			b.keys(":Ana", "enter")
			b.sees("Inspector")
			b.keys(":Ana", "enter")
			b.sees("nobody certifies their own work.") // the operator is no inspector
			b.keys("ctrl+u", ":Ruth", "enter")
			require.Empty(t, b.m.work.state.Test.Missing)
			for name, value := range map[string]string{"volume": "6 l", "diameter": "125 mm", "wall": "3 mm", "metal": "copper", "pump_bore": "9.5 mm", "pump_stroke": "20 mm"} {
				b.run(b.m.top().(*testScreen).line(name, false))
				b.m.settle()
				b.keys(":"+value, "enter")
				require.Equal(t, value, b.m.work.state.Test.Value(name))
			}
			b.keys("enter")
			b.sees("Why is it tested?")
			b.keys("enter")
			b.sees("TEST 1", "No reading yet")
			reads(b, 0, "0.5 bar", "0.3")
			reads(b, 3*time.Minute, "4.6 bar", "2")
			reads(b, 3*time.Minute, "9.31 bar", "3.6")
			b.keys("o", "down", "down", "enter")
			b.sees("What stands against a pass", "Readings cover 0 min of the hold", "The hold is not over before", "It can fail at any time.")
			b.keys("enter")
			b.sees("What is the result?", "Fail")
			b.keys("esc")
			for _, pressure := range []string{"7.8 bar", "6.5 bar"} {
				b.now = b.now.Add(5 * time.Minute)
				b.keys("r", ":"+pressure, "enter")
				b.sees("was it let down?")
				b.keys("down", "enter", "enter", ":17", "enter") // it fell by itself; the strokes stay
			}
			run := b.m.work.state.Test.Last()
			require.Len(t, run.Points, 5)
			b.golden(fmt.Sprintf("%dx%d-test", size.w, size.h))
			b.keys("g")
			b.sees("18 of 18 left")
			b.keys("enter", "down", "enter", ":water at 17.0 before and after", "enter")
			b.sees("17 of 18 left")
			b.keys("enter", "down", "down", "enter", ":hose is wet", "enter")
			b.sees("16 of 18 left", "FOUND", "hose is wet (Ana)")
			b.golden(fmt.Sprintf("%dx%d-suspects", size.w, size.h))
			b.keys("esc", "o", "down", "enter", "down", "enter", ":hose leaks", "enter")
			require.Equal(t, "fail", b.m.work.state.Test.Last().Result)
			b.keys("n", "enter", "down", "enter")
			require.Len(t, b.m.work.state.Test.Last().Signed, 1)
		})
	}
}

func TestAPressureTooHighIsSaidAtOnce(t *testing.T) {
	b := underTest(t, 80, 24)
	onwards(b, "Test sheet")
	b.keys("enter", ":Ana", "enter", ":Ruth", "enter", "enter", "enter")
	reads(b, 0, "10.5 bar", "4")
	b.sees("STOP:")
	b.keys("u", "enter")
	require.Empty(t, b.m.work.state.Test.Last().Points)
}

// Each question of a reading is judged on its own page, the figure stays, and the
// unit of a figure alone is confirmed by one key once a reading stands.
func TestEachQuestionOfAReadingIsJudgedByItself(t *testing.T) {
	b := underTest(t, 80, 24)
	onwards(b, "Test sheet")
	b.keys("enter", ":Ana", "enter", ":Ruth", "enter", "enter", "enter")
	b.keys("r", ":900", "enter")
	b.sees("What does the gauge show?", "no test pressure") // in either unit too much
	b.keys("ctrl+u", ":45", "enter")
	b.sees("45 bar", "45 psi", "fourteen-fold")
	b.keys("enter") // nothing is picked beforehand while nothing was read
	b.sees("Pick an answer")
	b.keys("esc")
	b.sees("What does the gauge show?", "45")
	b.keys("enter")
	k := 0
	for b.m.top().(*entry).choices[k].text != "45 psi" {
		k++
	}
	for range k + 1 {
		b.keys("down")
	}
	b.keys("enter")
	b.sees("Strokes of the pump")
	b.keys("ctrl+u", ":many", "enter")
	b.sees("Strokes of the pump", "no count of strokes")
	b.keys("ctrl+u", ":3", "enter", ":170", "enter")
	b.sees("How warm is the water?", "no temperature of the water")
	b.keys("ctrl+u", ":17", "enter")
	points := b.m.work.state.Test.Last().Points
	require.Len(t, points, 1)
	require.InDelta(t, 3.103, points[0].Pressure.Bar(), 0.001)
	b.keys("r", ":90", "enter")
	b.sees("90 psi, or bar?")
	b.keys("enter", "enter", "enter") // as before; strokes as before; water not measured
	points = b.m.work.state.Test.Last().Points
	require.Len(t, points, 2)
	require.InDelta(t, 6.205, points[1].Pressure.Bar(), 0.001)
}

// Let down on purpose, a large fall is no loss.
func TestALargeFallIsAskedAbout(t *testing.T) {
	b := underTest(t, 80, 24)
	onwards(b, "Test sheet")
	b.keys("enter", ":Ana", "enter", ":Ruth", "enter", "enter", "enter")
	reads(b, 0, "9.6 bar", "4")
	reads(b, time.Minute, "9.31 bar", "4") // as told: nothing to ask
	b.now = b.now.Add(time.Minute)
	b.keys("r", ":6 bar", "enter")
	b.sees("From 9.31 bar to 6 bar: was it let down?")
	b.keys("down", "down", "enter", "enter", "enter")
	r := b.m.work.state.Test.Last().Reading
	require.Zero(t, r.Drop)
	require.Equal(t, time.Duration(0), r.Held)
}

// Who judges a test that certifies is the inspector on the sheet; anybody else is
// asked about, and stands in the record as such.
func TestWhoJudgesATest(t *testing.T) {
	b := underTest(t, 80, 24)
	onwards(b, "Test sheet")
	b.keys("enter", ":Ana", "enter", ":Ruth", "enter", "enter", "enter")
	reads(b, 0, "9.31 bar", "4")
	b.keys("o", "down", "enter", ":let down after it", "enter")
	b.sees("The inspector on the sheet is Ruth", "not the inspector, and the record says so")
	b.keys("down", "down", "enter", ":hose leaks", "enter")
	run := b.m.work.state.Test.Last()
	require.Equal(t, "fail", run.Result)
	require.Contains(t, run.Warned, "not by the inspector on the sheet, Ruth")
	b.keys("u", "enter")
	reads(b, 20*time.Minute, "9.31 bar", "4")
	b.keys("o", "down", "enter", ":Olga", "enter", "down", "enter", ":hose leaks", "enter")
	require.Equal(t, "Ruth", b.m.work.state.Test.Last().Judged.By)
	require.Empty(t, b.m.work.state.Test.Last().Warned)
}

// A straight line from corner to corner: what is drawn is where the figures are.
func TestPlotIsWhereTheFiguresAre(t *testing.T) {
	l := paint.NewLook(paint.PlainRenderer(), false, paint.Calm)
	at := time.Date(2026, 3, 1, 18, 0, 0, 0, time.UTC)
	lines := l.Plot(paint.PlotLead+1+11, 2+6, []paint.Plotted{{At: at, Shown: 0}, {At: at.Add(5 * time.Minute), Shown: 5}, {At: at.Add(10 * time.Minute), Shown: 10}}, 0, 10, 8, quantity.BarScale)
	var got []string
	for _, line := range lines {
		text := ""
		for _, s := range line {
			text += s.Text
		}
		got = append(got, text)
	}
	require.Equal(t, []string{
		" 10.0 │         ·!", // above the target
		"  8.0 │───────··──",
		"      │     ●·    ",
		"      │   ··      ",
		"      │ ··        ",
		"  0.0 │●          ",
		"      ╰───────────",
		"  bar  18:00 18:10",
	}, got)
	require.Nil(t, l.Plot(12, 8, []paint.Plotted{{At: at, Shown: 1}}, 0, 10, 0, quantity.BarScale), "too narrow to mean anything")
	require.Nil(t, l.Plot(60, 8, nil, 0, 10, 0, quantity.BarScale))
	require.Nil(t, l.Plot(60, 8, []paint.Plotted{{At: at, Shown: 0}}, 0, 0, 0, quantity.BarScale))
}
