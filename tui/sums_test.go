package tui

import (
	"fettle/checklist/lookup"
	"fettle/threads/check"
	"fettle/tui/paint"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// answered works a sum out and gives what it shows, in one line. Where its figures
// come from is asked for too, and must be said.
func answered(t *testing.T, s lookup.Sheet, text map[string]string) (headline, shown string) {
	t.Helper()
	all := usual(s)
	for k, v := range text {
		require.Contains(t, all, k, "%s has no such question", s.Title)
		all[k] = v
	}
	w := newModel(Options{}).workOut(s, all)
	require.NoError(t, w.err, s.Title)
	require.Empty(t, w.gaps, s.Title)
	require.Empty(t, w.wrong, s.Title)
	d := newDoc(paint.NewLook(paint.PlainRenderer(), true, paint.Calm), 60, false)
	d.answer(s, w.Answer, true)
	shown = strings.Join(strings.Fields(d.String()), " ")
	require.Contains(t, shown, "SOURCES - ", "%s does not say where its figures come from", s.Title)
	return s.Headline(w.Answer), shown
}

// usual are the answers that stand there at first.
func usual(s lookup.Sheet) map[string]string {
	all := map[string]string{}
	for _, q := range s.Fields {
		all[q.Name] = q.Default
	}
	return all
}

// String is the text of the doc.
func (d *doc) String() string {
	var b strings.Builder
	for _, line := range d.lines {
		for _, s := range line {
			b.WriteString(s.Text)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// Every sum with answers whose results are known from elsewhere. The figures
// have their checks in the packages that work them out; here it is seen that
// each answer reaches its place.
func TestSums(t *testing.T) {
	sums := map[string]lookup.Sheet{}
	for _, s := range forms() {
		sums[s.Title] = s
	}
	boilerAt := map[string]string{"volume": "6 l", "diameter": "125", "wall": "3", "pressure": "14 bar"}
	with := func(extra map[string]string) map[string]string {
		all := map[string]string{}
		for k, v := range boilerAt {
			all[k] = v
		}
		for k, v := range extra {
			all[k] = v
		}
		return all
	}
	for name, c := range map[string]struct {
		text map[string]string
		want []string
	}{
		"Unknown thread":                  {map[string]string{"major": "6.3", "tpi": "26"}, []string{"1/4 x 26 brass"}},
		"Drill":                           {map[string]string{"size": "3.3"}, []string{"3.3 mm"}},
		"Torque":                          {map[string]string{"thread": "M4", "grade": "A2-70", "into": "gunmetal", "depth": "6", "lubricant": "anti-seize"}, []string{"TORQUE BY HAND", "N-m", "Fails first", "Preload"}},
		"Damaged hole":                    {map[string]string{"thread": "M4", "hole": "3.6", "into": "gunmetal", "depth": "8"}, []string{"M5", "Drill", "Strength"}},
		"Sheared screw":                   {map[string]string{"thread": "4 BA", "into": "gunmetal"}, []string{"PILOT DRILL", "IN THIS ORDER"}},
		"Joint":                           {map[string]string{"bolts": "6", "thread": "M4", "grade": "A2-70", "circle": "52", "bore": "40", "gasket": "graphite sheet", "ring": "40 x 47", "pressure": "14 bar", "into": "gunmetal", "depth": "6"}, []string{"1 - 4 - 2 - 5 - 3 - 6", "686 N", "Is 14 bar the test pressure", "if the cover is stiff"}},
		"Steam temperature":               {map[string]string{"pressure": "6.895 bar"}, []string{"169.9"}},
		"Seals against heat":              {map[string]string{"pressure": "90 psi", "material": "nitrile rubber"}, []string{"STOP"}},
		"Metals and solders against heat": {map[string]string{"pressure": "90 psi"}, []string{"solder"}},
		"Gland packing":                   {map[string]string{"spindle": "4.76", "box": "9.53", "depth": "9.6", "nut": "1/2 x 26 brass"}, []string{"22.4 mm", "2.4"}},
		"O-ring and groove":               {map[string]string{"ring": "4.47 x 1.78", "use": "radial", "spindle": "4.5"}, []string{"queeze"}},
		"Ring gasket":                     {map[string]string{"bore": "40", "circle": "52", "hole": "4.5"}, []string{"mm"}},
		"Cure of a sealant":               {map[string]string{"temperature": "8", "screw": "stainless steel", "into": "gunmetal"}, []string{"110"}},
		"Test pressure":                   {map[string]string{"pressure": "6 bar", "multiple": "1.5"}, []string{"9 bar"}},
		"Test gauge":                      {map[string]string{"pressure": "14 bar"}, []string{"28 bar"}},
		"Water to pump":                   {with(map[string]string{"air": "20 ml"}), []string{"25.2 ml", "0.56"}},
		"Trapped air":                     {map[string]string{"low": "0 bar", "middle": "2 bar", "high": "8 bar", "first": "15 ml", "second": "8 ml"}, []string{"ml"}},
		"Leak from falling pressure":      {with(map[string]string{"drop": "0.5 bar", "over": "10 min", "air": "20 ml"}), []string{"0.028"}},
		"Drops":                           {map[string]string{"drops": "20", "pressure": "14 bar"}, []string{"ml/min"}},
		"Pressure will not hold":          {nil, []string{"F1", "F18"}},
		"Flats from round bar":            {map[string]string{"flats": "10"}, []string{"0.77 mm", "11.55"}},
		"Dividing":                        {map[string]string{"divisions": "7"}, []string{"5", "15", "21"}},
		"Circle of holes":                 {map[string]string{"holes": "6", "circle": "52"}, []string{"1 - 4 - 2 - 5 - 3 - 6", "22.5"}},
		"Regulator quadrant":              {map[string]string{"port": "3", "port-radius": "6"}, []string{"38.9"}},
	} {
		s, ok := sums[name]
		require.True(t, ok, name)
		delete(sums, name)
		headline, shown := answered(t, s, c.text)
		require.NotEmpty(t, headline, name)
		for _, want := range c.want {
			require.Contains(t, shown+" "+paint.NewLook(paint.PlainRenderer(), true, paint.Calm).Clean(headline), want, name)
		}
	}
	require.Empty(t, sums, "sums without a case")
}

// Who decides is said once, at the end, by every sum about what holds pressure.
func TestSumsSayOnceWhoDecides(t *testing.T) {
	for name, text := range map[string]map[string]string{
		"Torque":        {"thread": "M4", "grade": "A2-70", "into": "gunmetal", "depth": "6", "lubricant": "anti-seize"},
		"Damaged hole":  {"thread": "M4", "hole": "3.6", "into": "gunmetal", "depth": "8"},
		"Joint":         {"bolts": "6", "thread": "M4", "grade": "A2-70", "circle": "52", "bore": "40", "gasket": "graphite sheet", "ring": "40 x 47", "pressure": "14 bar", "into": "gunmetal", "depth": "6"},
		"Test gauge":    {"pressure": "14 bar"},
		"Test pressure": {"pressure": "6 bar", "multiple": "1.5"},
	} {
		for _, s := range forms() {
			if s.Title == name {
				_, shown := answered(t, s, text)
				require.Equal(t, 1, strings.Count(shown, check.Deference), "%s: %s", name, shown)
			}
		}
	}
}

// Whatever is typed, a sum answers or says what is wrong.
func TestSumsTakeAnything(t *testing.T) {
	m := newModel(Options{})
	for _, s := range forms() {
		for _, v := range []string{"", "0", "-1", "nan", "inf", "1e300", "qqq", "4.5", "1/0", "14 bar", "-3 bar", "M4", "6", "100000", "30 min", "-1 h",
			"9999999 mm", "\x1b[2J", "4,5", "1/2 x 26 brass", "yes", "AS568-008"} {
			text := map[string]string{}
			for _, q := range s.Fields {
				text[q.Name] = v
			}
			shows := func(text map[string]string) func() {
				return func() {
					newDoc(paint.NewLook(paint.PlainRenderer(), false, paint.Calm), 40, false).answer(s, m.workOut(s, text).Answer, true)
				}
			}
			require.NotPanics(t, shows(text), "%s with %q", s.Title, v)
			for i, q := range s.Fields { // one strange answer among usual ones
				text := usual(s)
				text[q.Name] = v
				require.NotPanics(t, shows(text), "%s, answer %d %q", s.Title, i, v)
			}
		}
	}
}

func TestSheetWorksWhileTyped(t *testing.T) {
	b := newBench(t, 100, 30)
	b.keys("w", ":Ana", "enter", "c", "down", "down", "down", "enter")
	b.sees("Torque", "Still needed", "Thread")
	b.keys(":M4", "down", "f4", ":A2-7", "enter", "up", "up")
	b.sees("TORQUE", "N·m", "by hand")
	b.keys(":M")
	b.sees("it has no size") // "M" alone names no thread
	b.keys(":5", "down", "right", "right")
	b.sees("TORQUE")
	b.keys("ctrl+f")
	b.sees("VDI 2230-1")
	b.keys("esc", "enter")
	b.sees("M5") // the answers are still there
}

func TestSheetByTaps(t *testing.T) {
	b := newBench(t, 40, 20)
	b.keys("w", ":Ana", "enter")
	b.tap("More")
	b.tap("Sums")
	b.keys("down", "down", "down", "down", "down", "down", "down", "down")
	b.tap("Steam temperature")
	b.tap("pressure")
	b.tap("8", "0", "psi", "Keep")
	b.sees("80 psi", "162")
}

func TestStepHandsItsThreadToTheSums(t *testing.T) {
	b := started(t, 100, 30)
	b.keys("enter")
	done(b)
	onwards(b, "Release")
	b.keys(":Tom", "enter")
	done(b)
	b.keys("c", "down", "down", "down", "enter", "down", "f4", ":A2-7", "enter")
	b.sees("Thread", "2 BA", "TORQUE")
	b.keys("esc", "esc")
	b.sees("Measure the spindle where")
}
