package checklist

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// readFine reads a procedure that has to be without a stop.
func readFine(t *testing.T, src string) *Procedure {
	t.Helper()
	p, ds := Read("x.toml", []byte(strings.Replace(src, `= tape"`, `= o-ring"`, 1)))
	require.False(t, ds.HasStop(), "%v", ds)
	return p
}

func TestAStepShowsTheFiguresItAsksFor(t *testing.T) {
	src := strings.Replace(gland, "parts = [\"packing\"]\ndo   = \"Cut", "parts = [\"packing\"]\nfigures = [\"packing.ring_length\", \"nut.spanner\", \"packing.rings\"]\ndo   = \"Cut", 1)
	require.NotEqual(t, gland, src)
	f, _ := readFine(t, src).Fill(map[string]string{"engine": "Bramble"})
	var keys []string
	for _, figure := range f.Step("rings").Figures {
		keys = append(keys, figure.Key)
		require.NotEmpty(t, figure.Source)
	}
	require.Equal(t, []string{"packing.ring_length", "nut.spanner", "packing.rings"}, keys)
	require.Greater(t, len(f.Step("dry").Figures), 8, "without it all are shown")

	none := strings.Replace(gland, "parts = [\"packing\"]\ndo   = \"Cut", "parts = [\"packing\"]\nfigures = []\ndo   = \"Cut", 1)
	f, _ = readFine(t, none).Fill(map[string]string{"engine": "Bramble"})
	require.Empty(t, f.Step("rings").Figures)
}

// Where one of a circle is another screw now, its figures stand beside those
// that the step asks for.
func TestChosenFiguresFollowASplit(t *testing.T) {
	p := domeCover(t)
	p.Stages[0].Steps[0].Uses = []string{"screw"}
	p.Stages[0].Steps[0].Figures, p.Stages[0].Steps[0].HasFigures = []string{"screw.tap_drill"}, true
	f, _ := p.Revise([]Change{{Fastener: "screw", Numbers: []int{3}, Part: "screw_3", Thread: "2 BA"}}).Fill(nil)
	step := f.Stages[0].Steps[0]
	require.Len(t, step.Figures, 2)
	require.Equal(t, "screw.tap_drill", step.Figures[0].Key)
	require.Equal(t, "screw_3.tap_drill", step.Figures[1].Key)
}

// A figure that a step names but this variant has not got is no mistake while
// the step does not apply.
func TestAStepLeftOutNeedsNoFigures(t *testing.T) {
	src := strings.Replace(gland, "do   = \"Fit the ring.\"", "parts = [\"nut\"]\ndo = \"Turn ${nut.torque}.\"\nfigures = [\"nut.torque\"]", 1)
	p := readFine(t, src)
	_, ds := p.Fill(map[string]string{"engine": "Bramble"})
	require.False(t, ds.HasStop(), "%v", ds)
	_, ds = p.Fill(map[string]string{"engine": "Bramble", "sealing": "o-ring"})
	require.True(t, ds.HasStop())
	require.Contains(t, ds[0].Message, "torque of nut cannot be worked out")

	// Its names are looked at all the same.
	_, ds = Read("x.toml", []byte(strings.Replace(src, "${nut.torque}", "${nut.torqe}", 1)))
	require.True(t, ds.HasStop())
}

// The shares are common practice: pilot half the diameter, extractor half to
// six tenths; the last drill is the internal core less a tenth.
func TestFiguresOfABrokenScrew(t *testing.T) {
	src := `format = 2
id = "x"
title = "x"
[fasteners.stud]
thread = "M6"
into = "gunmetal"
[fasteners.small]
thread = "8 BA"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "make"
parts = ["stud", "small"]
figures = ["stud.pilot", "stud.core", "stud.extractor_low", "stud.extractor_high", "stud.off_centre"]
do = "Drill ${stud.pilot}, at most ${stud.core}."
[[stage.step]]
id = "b"
kind = "make"
parts = ["stud"]
do = "x"
`
	f, _ := readFine(t, src).Fill(nil)
	var texts []string
	for _, figure := range f.Step("a").Figures {
		texts = append(texts, figure.Text)
	}
	require.Equal(t, []string{"3.0 mm", "4.8 mm", "3 mm", "3.6 mm", "0.9 mm"}, texts)
	require.Equal(t, "Drill 3.0 mm, at most 4.8 mm.", f.Step("a").Do)
	for _, figure := range f.Step("b").Figures {
		require.NotContains(t, figure.Key, "pilot", "shown only where it is named")
	}
	_, ds := Read("x.toml", []byte(strings.Replace(src, `do = "x"`, `do = "${small.extractor_low}"`, 1)))
	require.Len(t, ds, 1, "%v", ds)
	require.Equal(t, check.Warn, ds[0].Severity)
	require.Contains(t, ds[len(ds)-1].Message, "too small for an extractor")
}

// The last drill follows what the first turned out to be off; the limit of that
// does not. M4 by hand: 3.242 of the crests less 0.1, less twice 0.2, is 2.74.
func TestLastDrillFollowsTheFirst(t *testing.T) {
	src := `format = 2
id = "x"
title = "x"
[settings.off]
ask = "Off the middle"
kind = "length"
default = "0"
[fasteners.stub]
thread = "M4"
drill_off = "${off}"
[[stage]]
title = "x"
[[stage.step]]
id = "centre"
kind = "measure"
do = "Rim ${stub.edge_least}, next hole ${stub.web_least}."
reading = [{ name = "off", ask = "Off", kind = "length", unit = "mm", low = "0", high = "${stub.off_centre}", sets = "off" }]
[[stage.step]]
id = "core"
kind = "make"
do = "Drill ${stub.core}."
reading = [{ name = "drill", ask = "Largest", kind = "length", unit = "mm", high = "${stub.core}" }]
`
	p := readFine(t, src)
	for off, want := range map[string]string{"": "3.1 mm", "0.2": "2.7 mm", "0.9": "2.0 mm"} {
		f, found := p.FillMeasured(nil, map[string]string{"off": off})
		require.Empty(t, found)
		require.Equal(t, "Drill "+want+".", f.Step("core").Do)
		require.Equal(t, strings.Replace(want, ".0", "", 1), f.Step("core").Readings[0].High.Text)
		require.Equal(t, "0.55 mm", f.Step("centre").Readings[0].High.Text, "off %s", off)
		require.Equal(t, "Rim 6 mm, next hole 8 mm.", f.Step("centre").Do)
	}
	for _, wrong := range []string{"-0.1", "200", "butter"} {
		_, found := Read("x.toml", []byte(strings.Replace(src, `"${off}"`, `"`+wrong+`"`, 1)))
		require.True(t, found.HasStop(), wrong)
	}
}

// A gland nut and a union nut go through no hole: their clearance holes stand only
// where a text names them. A screw, a stud and a nut on a stud do.
func TestNutsHaveNoClearanceHole(t *testing.T) {
	src := `format = 2
id = "x"
title = "x"
[fasteners.gland]
thread = "1/2 x 26 brass"
[fasteners.union]
thread = "5/16 x 32 ME"
spanner = "7/16 in"
[fasteners.stud]
thread = "2 BA"
grade = "phosphor bronze"
spanner = "8.2 mm"
[fasteners.screw]
thread = "M4"
head = "hex"
spanner = "8 mm"
[fasteners.plain]
thread = "M4"
[seals.packing]
kind = "packing"
spindle = "3/16 in"
box = "3/8 in"
depth = "10 mm"
nut = "gland"
pressure = "100 psi"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "make"
parts = ["gland", "union", "stud", "screw", "plain", "packing"]
do = "Bore the cap ${gland.clearance}."
`
	f, _ := readFine(t, src).Fill(nil)
	require.Equal(t, "Bore the cap 14.2 mm.", f.Step("a").Do, "ISO 273 for M12 leaves 1.5 mm: 12.7 + 1.5")
	for name, want := range map[string]int{"gland": 0, "union": 0, "stud": 3, "screw": 3, "plain": 3} {
		got := 0
		for _, part := range f.Fasteners {
			for _, figure := range part.Figures {
				if part.Name == name && strings.Contains(figure.Key, "clearance") {
					got++
				}
			}
		}
		require.Equal(t, want, got, name)
	}
}

func TestBenchLimits(t *testing.T) {
	src := func(nominal, low, high string) string {
		return `format = 2
id = "x"
title = "x"
[settings.rod]
ask = "x"
kind = "length"
default = "3/16 in"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "measure"
do = "x ${rod}"
reading = [{ name = "r", ask = "x", kind = "length", unit = "mm", nominal = "` + nominal + `", ` + limits(low, high) + ` }]
`
	}
	for _, c := range [][6]string{
		// 3/16 in is 4.7625 mm. Rounded inwards: what reads as inside is inside.
		{"${rod}", "-0.05", "+0.02", "4.76 mm", "4.72 mm", "4.78 mm"},
		{"${rod}", "-0.005", "+0.005", "4.76 mm", "4.758 mm", "4.768 mm"},
		{"4.7625", "4.7125", "4.7825", "4.763 mm", "4.713 mm", "4.783 mm"}, // as the author wrote it
		{"5", "-0.1", "+0.1", "5 mm", "4.9 mm", "5.1 mm"},
	} {
		f, _ := readFine(t, src(c[0], c[1], c[2])).Fill(nil)
		r := f.Step("a").Readings[0]
		require.Equal(t, c[3:], []string{r.Nominal.Text, r.Low.Text, r.High.Text}, "%v", c)
	}
}

func TestBenchTorque(t *testing.T) {
	for _, c := range []struct {
		nm   float64
		want string
	}{
		{0.476, "0.48 N·m (4.2 lbf in)"}, {0.0476, "0.048 N·m (0.42 lbf in)"}, {1.61, "1.6 N·m"}, {3.44, "3.4 N·m"}, {12.4, "12 N·m"}, {104, "104 N·m"},
	} {
		require.Equal(t, c.want, benchTorque(quantity.Torque(c.nm)))
	}
}

func TestMaterialsOfEveryKind(t *testing.T) {
	for raw, want := range map[string]string{
		"gunmetal": "gunmetal", "copper, annealed": "copper, annealed", "PTFE tape": "PTFE tape", "A2-70": "A2-70", "phosphor bronze": "phosphor bronze",
	} {
		v, err := parseValue("material", raw, nil)
		require.NoError(t, err, raw)
		require.Contains(t, v.text, want)
	}
	_, err := parseValue("material", "cheese", nil)
	require.Error(t, err)
}

// A drill called by its diameter is shown once, also where its name has a
// nought more than the diameter: 4.0 mm is 4 mm.
func TestTappingDrillIsShownOnce(t *testing.T) {
	for thread, want := range map[string]int{"M4": 1, "2 BA": 1, "1/4 x 40 ME": 1} {
		src := "format = 2\nid = \"x\"\ntitle = \"x\"\n[fasteners.x]\nthread = \"" + thread + "\"\n[[stage]]\ntitle = \"x\"\n[[stage.step]]\nid = \"a\"\nkind = \"make\"\ndo = \"Drill ${x.tap_diameter}.\"\nparts = [\"x\"]\n"
		f, _ := readFine(t, src).Fill(nil)
		count := 0
		for _, figure := range f.Step("a").Figures {
			if strings.HasPrefix(figure.Label, "Tapping drill") {
				count++
			}
		}
		require.Equal(t, want, count, thread)
		require.Contains(t, f.Step("a").Do, " mm", "the text may name either")
	}
}

// limits writes limits with a sign as offsets, and others as values.
func limits(low, high string) string {
	if !strings.HasPrefix(low, "-") {
		return fmt.Sprintf("low = %q, high = %q", low, high)
	}
	return fmt.Sprintf("minus = %q, plus = %q", low[1:], high[1:])
}
