package tui

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

const ringed = `format = 2
id     = "ringed"
title  = "Close the cover"

[fasteners.nut]
label  = "Nuts"
thread = "M4"
count  = "6"
circle = "50 mm"

[[stage]]
title = "Close"

[[stage.step]]
id    = "bare"
kind  = "inspect"
do    = "Look at it."
reading = [{ name = "gap", ask = "Gap", kind = "length", unit = "mm", high = "0.1" },
  { name = "flat", ask = "Is it flat", kind = "yes-no", nominal = "yes" },
  { name = "leaks", ask = "Does it leak", kind = "yes-no", nominal = "no" }]

[[stage.step]]
id    = "turn"
kind  = "tighten"
do    = "Tighten the nuts."
parts  = ["nut"]
after = ["bare"]

[[stage.step]]
id    = "wait"
kind  = "wait"
do    = "Let it stand for 31 h 40 min."
wait  = "31 h 40 min"
after = ["turn"]

[[stage.step]]
id    = "fill"
kind  = "test"
do    = "Fill it."
after = ["wait"]
`

// atRing is a bench with a job of that procedure at the step that tightens.
func atRing(t *testing.T, w, h int, change ...func(*Options)) *bench {
	t.Helper()
	b := newBench(t, w, h, append(change, func(o *Options) {
		o.Recipes = fstest.MapFS{"ringed.toml": {Data: []byte(ringed)}}
	})...)
	b.keys("w", ":Ana", "enter", "enter", "enter", ":Bramble", "enter", "s")
	b.sees("BEFORE YOU START")
	b.keys("end", "enter", "r", ":0.05", "enter", "y", "n")
	done(b)
	b.sees("Tighten the nuts.")
	return b
}

// A pass is counted in words on the step itself, whatever there is room to draw.
func TestPassIsToldOnTheStep(t *testing.T) {
	for name, change := range map[string]func(*Options){"colour": coloured, "ascii": asciiOnly} {
		for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
			b := atRing(t, size[0], size[1], change)
			b.sees("None of 6 counted yet. First: screw 1.")
			b.keys("+", "+")
			order := ringOf(b.m.work.filled, b.m.work.steps[1]).order
			require.Equal(t, []int{1, 4}, order[:2], name)
			b.sees("2 of 6 tight. Next: screw")
			b.keys("-")
			b.sees("1 of 6 tight. Next: screw 4.")
			b.keys("+", "+", "+", "+", "+")
			b.sees("All 6 tight in this pass.")
			onwards(b, doneWord)
			require.Equal(t, job.Done, b.m.work.state.Steps["turn"].Status, "nothing is asked")
		}
	}
}

// Done with some of them counted asks once; with none it is not counted here,
// which is said.
func TestDoneWithLessThanAllCountedAsks(t *testing.T) {
	b := atRing(t, 80, 24)
	b.keys("+", "+", "+")
	done(b)
	b.sees("Only 3 of 6 screws are counted as tight. Is the pass done?", "Next in the order is screw", "All are tight")
	require.NotEqual(t, job.Done, b.m.work.state.Steps["turn"].Status)
	b.keys("esc")
	b.sees("3 of 6 tight")
	done(b)
	b.keys("enter")
	require.Equal(t, job.Done, b.m.work.state.Steps["turn"].Status)

	b = atRing(t, 80, 24)
	done(b)
	require.Equal(t, job.Done, b.m.work.state.Steps["turn"].Status)
	b.sees("step 2 is done, its screws not counted here")
}

// The large button leads at once to the step that stands in the way of all others.
func TestLargeButtonLeadsToTheFirstStepInTheWay(t *testing.T) {
	b := atRing(t, 80, 24)
	b.keys("right", "right")
	b.sees("Fill it.", "step 3 comes first", "Step 2 first")
	b.keys("enter")
	b.sees("Tighten the nuts.")
}

// While a step waits, the time left stands out, where there is room for it.
func TestTimeLeftIsLarge(t *testing.T) {
	b := atRing(t, 80, 24)
	done(b)
	onwards(b, "Begin")
	b.sees("31 h 40 min left")
	rows := b.m.look.BigValue("31 h 40 min", 40)
	require.Len(t, rows, paint.BigTall)
	for _, row := range rows {
		require.Contains(t, b.text(), strings.TrimRight(row, " "))
	}
	b.size(80, 14)
	require.NotContains(t, b.text(), rows[0])
	require.Nil(t, b.m.look.BigValue("16 °C in the shop 3", 60))
}

// A note can be put beside a reading outside its limits from the page that asks.
func TestNoteFromThePageOutsideLimits(t *testing.T) {
	b := atRing(t, 80, 24)
	b.keys("u", "enter", "r", "down", "enter", "enter")
	b.keys("esc")
	b.keys("left")
	b.m.top().(*stepScreen).goTo(0)
	b.m.settle()
	b.keys("r", "enter", ":0.2", "enter")
	done(b)
	b.sees("Go on although", "Note")
	b.keys("n", ":filed flat", "enter")
	b.sees("Go on although")
	b.keys("enter")
	require.Equal(t, job.Done, b.m.work.state.Steps["bare"].Status)
	require.Equal(t, "filed flat", b.m.work.state.Steps["bare"].Notes[0].Text)
}
