package checklist

import (
	"fettle/threads/check"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// gland is a small procedure with everything that filling in has to do.
const gland = `format = 2
id     = "gland"
title  = "Repack a gland"
about  = "For ${engine}."

[before]
conditions = ["Cold, no pressure"]
supplies   = ["${packing.order} of ${packing.section} yarn", "Rag"]

[settings.engine]
ask     = "Which engine"
kind    = "text"

[settings.rod]
ask     = "Spindle diameter"
kind    = "length"
default = "3/16 in"
low     = "1 mm"
high    = "${box}"

[settings.box]
ask     = "Bore of the box"
kind    = "length"
default = "3/8 in"

[settings.wanted]
ask     = "Spindle as drawn"
kind    = "length"
default = "${rod}"

[settings.sealing]
ask     = "Seal"
kind    = "choice"
choices = ["packing", "o-ring"]
default = "packing"

[fasteners.nut]
thread  = "1/2 x 26 brass"
spanner = "16 mm"

[seals.packing]
kind    = "packing"
spindle = "${rod}"
box     = "${box}"
depth   = "10 mm"
nut     = "nut"
when    = ["sealing = packing"]

[[stage]]
title = "Strip"

[[stage.step]]
id   = "zero"
kind = "inspect"
do   = "See that the gauge stands at zero. Then go on."
hold = "inspector"

[[stage.step]]
id      = "measure"
kind    = "measure"
do      = "Measure the ${rod} spindle."
reading = [{ name = "rod", ask = "Smallest diameter, ${rod} new", kind = "length", unit = "mm", nominal = "${rod}", minus = "0.05", plus = "0.02", sets = "rod" }]

[[stage]]
title = "Close"

[[stage.step]]
id   = "rings"
kind = "make"
parts = ["packing"]
do   = "Cut ${packing.rings} rings of ${packing.ring_length}."
when = ["sealing = packing"]

[[stage.step]]
id   = "dry"
kind = "dry-fit"
parts = ["packing"]
do   = "Try it."
when = ["sealing = packing"]

[[stage.step]]
id    = "pack"
kind  = "seal"
parts  = ["packing"]
after = ["dry", "zero"]
do    = "Pack it."
when  = ["sealing = packing"]
wait  = "1 h 30 min"

[[stage.step]]
id   = "ring"
kind = "seal"
do   = "Fit the ring."
when = ["sealing = o-ring"]
accept = [{ rule = "seal-without-dry-fit", because = "The ring goes on in its bag." }]

[[stage.step]]
id   = "nut"
kind = "tighten"
parts = ["nut"]
do   = "Nut on, $${not a setting}, ${wanted} spindle."

[[stage]]
title = "Never"
when  = ["sealing = tape"]

[[stage.step]]
id   = "tape"
kind = "record"
do   = "x"
`

func readGood(t testing.TB, src string) *Procedure {
	p, ds := Read("x.toml", []byte(src))
	require.NotNil(t, p)
	require.Empty(t, ds)
	return p
}

func readGland(t testing.TB) *Procedure {
	return readGood(t, strings.Replace(gland, `= tape"`, `= o-ring"`, 1))
}

func TestFill(t *testing.T) {
	p := readGland(t)
	f, ds := p.Fill(map[string]string{"engine": "Bramble"})
	require.Empty(t, ds)
	require.Equal(t, "For Bramble.", f.About)
	// (3/8 in - 3/16 in) / 2 and pi x (3/16 in + section); four rings and a
	// tenth for the cuts: the sums of published packing guides.
	require.Equal(t, []string{"100 mm of 2.38 mm yarn", "Rag"}, f.Preliminary.Supplies)
	require.Equal(t, "Cut 4 rings of 22.4 mm.", f.Step("rings").Do)
	require.Equal(t, "Nut on, ${not a setting}, 3/16 in spindle.", strings.Replace(f.Step("nut").Do, " (4.76 mm)", "", 1))
	require.Equal(t, []string{"Strip", "Close"}, []string{f.Stages[0].Title, f.Stages[1].Title})

	var ids []string
	for i, s := range f.Steps() {
		ids = append(ids, s.ID)
		require.Equal(t, i+1, s.Number)
		require.NotEmpty(t, s.Title)
	}
	require.Equal(t, []string{"zero", "measure", "rings", "dry", "pack", "nut"}, ids)
	require.Equal(t, []LeftOut{{"ring", "Fit the ring", "sealing is packing"}, {"tape", "x", "sealing is packing"}}, f.LeftOut)

	require.Equal(t, "See that the gauge stands at zero", f.Step("zero").Title)
	require.Equal(t, "inspector", f.Step("zero").Hold)
	require.Empty(t, f.Step("zero").Needs)
	require.Equal(t, []string{"zero"}, f.Step("measure").Needs, "the written order")
	require.Equal(t, []string{"dry", "zero"}, f.Step("pack").Needs)
	require.Equal(t, []string{"pack"}, f.Step("nut").Needs, "what does not apply stands in no way")
	require.Equal(t, 90*time.Minute, f.Step("pack").Wait)
	require.Nil(t, f.Step("ring"))
	require.Nil(t, f.Step("no such step"))

	var keys []string
	for _, figure := range f.Step("rings").Figures {
		keys = append(keys, figure.Key)
		require.NotEmpty(t, figure.Label)
		require.NotEmpty(t, figure.Source)
	}
	require.Equal(t, []string{"packing.section", "packing.ring_length", "packing.rings", "packing.order"}, keys[:4], "what is needed first stands first")
	require.Contains(t, keys, "packing.turns_max")
	require.Equal(t, "3/16 in", f.Value("rod"))
	require.Equal(t, "", f.Value("nothing"))
}

func TestFillChoosesTheOtherBranch(t *testing.T) {
	f, ds := readGland(t).Fill(map[string]string{"engine": "Bramble", "sealing": "o-ring"})
	require.Empty(t, ds)
	var ids []string
	for _, s := range f.Steps() {
		ids = append(ids, s.ID)
	}
	require.Equal(t, []string{"zero", "measure", "ring", "nut", "tape"}, ids)
	require.Equal(t, []string{"measure"}, f.Step("ring").Needs)
	require.Equal(t, []Accepted{{
		Rule: "seal-without-dry-fit", Message: "the step seals without anything having been fitted dry",
		Because: "The ring goes on in its bag.", Where: "step ring", Source: practice, Step: "ring",
	}}, f.Step("ring").Accepted, "what the author accepts is shown to the fitter")
	require.Equal(t, f.Accepted, f.Step("ring").Accepted)
}

func TestFillSaysWhatIsWrongWithAnswers(t *testing.T) {
	p := readGland(t)
	for _, c := range []struct {
		name    string
		values  map[string]string
		setting string
		message string
	}{
		{"nothing for what has no default", nil, "engine", "needs an answer: Which engine"},
		{"blanks are nothing", map[string]string{"engine": " \t"}, "engine", "needs an answer: Which engine"},
		{"no length", map[string]string{"engine": "B", "rod": "thick"}, "rod", `"thick" is not a length`},
		{"too small", map[string]string{"engine": "B", "rod": "0.5"}, "rod", "0.5 mm is less than the lower limit, 1 mm"},
		{"above a limit that is another setting", map[string]string{"engine": "B", "rod": "8 mm", "box": "7 mm"}, "rod", "8 mm is more than the upper limit, 7 mm"},
		{"no choice", map[string]string{"engine": "B", "sealing": "paking"}, "sealing", "did you mean `packing`?"},
		{"no setting", map[string]string{"engine": "B", "rood": "1"}, "rood", `the procedure has no setting "rood"`},
		{"a control character", map[string]string{"engine": "B\x1b[31m"}, "engine", "holds the character U+001B"},
		{"two lines", map[string]string{"engine": "B\nC"}, "engine", "holds the character U+000A"},
		{"far too long", map[string]string{"engine": strings.Repeat("B", 301)}, "engine", "301 characters"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, ds := p.Fill(c.values)
			require.NotNil(t, f)
			require.True(t, ds.HasStop())
			require.Equal(t, c.setting, ds[0].Setting)
			require.Contains(t, ds[0].Message, c.message)
			require.Zero(t, ds[0].Line, "an answer belongs to no line of the file")
		})
	}
	// Answers that are right one by one and wrong together.
	_, ds := p.Fill(map[string]string{"engine": "B", "rod": "9 mm", "box": "9.4 mm"})
	require.True(t, ds.HasStop())
	require.Contains(t, ds[0].Message, "packing section")
	require.Equal(t, "seals.packing", ds[0].Path)
}

func TestWhatIsNotKnownIsShownAsSuch(t *testing.T) {
	p := readGland(t)
	f, ds := p.Fill(map[string]string{"rod": "thick"})
	require.True(t, ds.HasStop())
	require.Equal(t, "For [engine not answered].", f.About)
	require.Equal(t, "Measure the [rod?] spindle.", f.Step("measure").Do)
	require.Equal(t, "Cut [rings not known] rings of [cut each ring not known].", f.Step("rings").Do)
	require.False(t, f.Step("measure").Readings[0].Nominal.Given)
	require.False(t, f.Step("measure").Readings[0].Low.Given, "an offset from nothing is nothing")
}

// A measured value replaces the answer everywhere but in the limits of the
// reading that measured it, which would else judge it against itself.
func TestFillMeasured(t *testing.T) {
	p := readGland(t)
	f, ds := p.FillMeasured(map[string]string{"engine": "Bramble"}, map[string]string{"rod": "4.6"})
	require.Empty(t, ds)
	r := f.Step("measure").Readings[0]
	require.Equal(t, "rod", r.Sets)
	require.Equal(t, "4.76 mm", r.Nominal.Text)
	require.InDelta(t, 4.7625, r.Nominal.Value, 1e-9)
	j, err := r.Judge("4.6")
	require.NoError(t, err)
	require.False(t, j.OK)
	require.Equal(t, check.Warn, j.Severity)
	require.Equal(t, "4.6 mm is 0.113 mm under the lower limit 4.72 mm", j.Text)

	// pi x (4.6 + (9.525 - 4.6)/2)
	require.Equal(t, "Cut 4 rings of 22.2 mm.", f.Step("rings").Do)
	require.Equal(t, "4.6", f.Value("wanted"), "what comes from the setting follows")
	for _, v := range f.Values {
		require.Equal(t, v.Name == "rod", v.Measured, v.Name)
	}

	_, ds = p.FillMeasured(map[string]string{"engine": "Bramble"}, map[string]string{"rod": "0.4"})
	require.True(t, ds.HasStop(), "a measured value has to keep the limits of the setting")
	require.Equal(t, "rod", ds[0].Setting)
	_, ds = p.FillMeasured(map[string]string{"engine": "Bramble"}, map[string]string{"nothing": "1"})
	require.True(t, ds.HasStop())
}

// A reading of a choice decides which steps follow.
// A limit that is made of a figure stays where it was, although the reading that
// it is the limit of changes the figure.
func TestLimitsOfFiguresStayWhereTheyWere(t *testing.T) {
	src := `format = 2
id = "x"
title = "x"
[settings.thread]
ask = "Thread"
kind = "thread"
default = "M4"
[settings.depth]
ask = "Depth"
kind = "length"
default = "8 mm"
[fasteners.f]
thread = "${thread}"
length = "14 mm"
cover = "5 mm"
depth = "${depth}"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "measure"
do = "Engaged ${f.engaged}."
reading = [{ name = "depth", ask = "Depth", kind = "length", unit = "mm", low = "${f.engaged}", sets = "depth" }]
`
	p := readFine(t, src)
	f, found := p.FillMeasured(nil, map[string]string{"depth": "6.5"})
	require.Empty(t, found)
	require.Equal(t, "Engaged 6.5 mm.", f.Step("a").Do, "what it measured counts everywhere else")
	require.Equal(t, "8 mm", f.Step("a").Readings[0].Low.Text)
}

// A setting that only another reading brings up is answered by its own reading.
func TestSettingIsAnsweredByItsReading(t *testing.T) {
	src := `format = 2
id = "x"
title = "x"
[settings.cure]
ask = "Cure"
kind = "choice"
choices = ["open", "cut"]
default = "open"
[settings.thread]
when = ["cure = cut"]
ask = "Thread"
kind = "thread"
[fasteners.f]
thread = "${thread}"
when = ["cure = cut"]
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "decide"
do = "Decide."
reading = [{ name = "thread", ask = "Thread", kind = "thread", sets = "thread" }, { name = "cure", ask = "Cure", kind = "choice", choices = ["cut"], sets = "cure" }]
[[stage.step]]
id = "b"
kind = "make"
after = ["a"]
when = ["cure = cut"]
parts = ["f"]
do = "Drill ${f.tap_drill}."
`
	p := readFine(t, src)
	_, found := p.FillMeasured(nil, map[string]string{"cure": "cut"})
	require.True(t, found.HasStop(), "cut, and nobody knows what")
	f, found := p.FillMeasured(nil, map[string]string{"cure": "cut", "thread": "M4"})
	require.Empty(t, found)
	require.Equal(t, "Drill 3.3 mm.", f.Step("b").Do)
}

func TestFillMeasuredChoice(t *testing.T) {
	p := readGland(t)
	f, ds := p.FillMeasured(map[string]string{"engine": "B"}, map[string]string{"sealing": "o-ring"})
	require.Empty(t, ds)
	require.Nil(t, f.Step("pack"))
	require.NotNil(t, f.Step("ring"))
}

func TestFillTakesAnswersLiterally(t *testing.T) {
	f, ds := readGland(t).Fill(map[string]string{"engine": "${rod} $${x} ${"})
	require.Empty(t, ds)
	require.Equal(t, "For ${rod} $${x} ${.", f.About)
}

func TestProcedureIsNotChangedByFilling(t *testing.T) {
	p := readGland(t)
	before := p.Stages[1].Steps[0].Do
	f, _ := p.Fill(map[string]string{"engine": "B"})
	f.Stages[1].Steps[0].Do = "changed"
	f.Preliminary.Conditions = nil
	require.Equal(t, before, p.Stages[1].Steps[0].Do)
	require.Len(t, p.Preliminary.Conditions, 1)
	again, _ := p.Fill(map[string]string{"engine": "B"})
	require.Equal(t, "Cut 4 rings of 22.4 mm.", again.Step("rings").Do)
}

func TestCheckValue(t *testing.T) {
	p := readGland(t)
	for value, want := range map[string]string{
		"":       "",
		"5 mm":   "",
		"3/16":   "",
		"1 mm":   "",
		"3/8 in": "",
		"0.5 mm": "0.5 mm is less than the lower limit, 1 mm",
		"10 mm":  "10 mm is more than the upper limit, 3/8 in (9.53 mm)",
		"5 bar":  `"5 bar" is not a length`,
	} {
		err := p.CheckValue("rod", value)
		if want == "" {
			require.NoError(t, err, value)
		} else {
			require.ErrorContains(t, err, want)
		}
	}
	require.ErrorContains(t, p.CheckValue("engine", ""), "an answer is needed")
	require.ErrorContains(t, p.CheckValue("nothing", "1"), `no setting "nothing"`)
}

// What people type, by kind, and what the fitter then reads.
func TestValues(t *testing.T) {
	for _, c := range []struct{ kind, typed, text string }{
		{"length", "3/16", "3/16 in (4.76 mm)"},
		{"length", "3/16 in", "3/16 in (4.76 mm)"},
		{"length", "4.76", "4.76 mm"},
		{"length", "4,76 mm", "4,76 mm"},
		{"length", "No 30", "No 30 (3.26 mm)"},
		{"length", "3/8", "3/8 in (9.53 mm)"},
		{"pressure", "90 psi", "90 psi (6.21 bar)"},
		{"pressure", "6.2 bar", "6.2 bar"},
		{"temperature", "170", "170 °C"},
		{"temperature", "340 F", "340 F (171.1 °C)"},
		{"volume", "6 l", "6 l (6000 ml)"},
		{"torque", "1.6", "1.6 N·m"},
		{"angle", "90", "90°"},
		{"count", " 6 ", "6"},
		{"number", "1,5", "1.5"},
		{"time", "90 min", "1 h 30 min"},
		{"thread", "2ba", "2 BA"},
		{"material", "ptfe ring", "PTFE packing"},
		{"material", "gunmetal", "gunmetal"},
		{"yes-no", "Y", "yes"},
		{"text", "", ""},
	} {
		v, err := parseValue(c.kind, c.typed, nil)
		require.NoError(t, err, "%s %q", c.kind, c.typed)
		require.Equal(t, c.text, v.text, "%s %q", c.kind, c.typed)
	}
	for _, c := range [][2]string{
		{"length", "NaN"}, {"length", "inf"}, {"length", "1e400"}, {"pressure", "90"}, {"pressure", "5 bar abs"}, {"temperature", "-400"},
		{"count", "1.5"}, {"count", "-1"}, {"count", "99999999"}, {"number", "one"}, {"number", "1e5"}, {"number", "NaN"}, {"time", "24"},
		{"thread", "M44"}, {"thread", "1/4 26"}, {"material", "unobtainium"}, {"yes-no", "perhaps"}, {"angle", ""}, {"choice", "x"},
	} {
		_, err := parseValue(c[0], c[1], nil)
		require.Error(t, err, "%s %q", c[0], c[1])
	}
}

func TestHeading(t *testing.T) {
	for text, want := range map[string]string{
		"Do it. Then rest.":  "Do it",
		"Do it":              "Do it",
		"At 4.5 mm, stop.":   "At 4.5 mm, stop",
		"First line\nsecond": "First line",
		"Wash it: brush, rag and a great deal of patience":                   "Wash it",
		"A sentence that goes on and on and on without any end to it at all": "A sentence that goes on and on and on without...",
		"": "",
	} {
		require.Equal(t, want, heading(text))
	}
}

// No rule looks at a part whose `when` does not hold, nor at one that only
// steps name which do not apply.
func TestRulesLookAtWhatApplies(t *testing.T) {
	const src = `format = 2
id = "x"
title = "x"
[before]
conditions = ["Cold"]
[settings.seal]
ask = "?"
kind = "choice"
choices = ["glue", "ring", "none"]
default = "none"
[seals.glue]
kind = "sealant"
material = "anaerobic"
zone = "saturated"
pressure = "7 bar"
when = ["seal = glue"]
[seals.ring]
kind = "o-ring"
material = "nitrile"
zone = "saturated"
pressure = "7 bar"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "record"
do = "x"
parts = ["glue"]
[[stage.step]]
id = "b"
kind = "record"
do = "x"
parts = ["ring"]
when = ["seal = ring"]
`
	p := readGood(t, src)
	for choice, rule := range map[string]string{"none": "", "glue": "temperature-limit", "ring": "not-suitable"} {
		f, ds := p.Fill(map[string]string{"seal": choice})
		if rule == "" {
			require.Empty(t, ds)
		} else {
			require.Len(t, ds, 1)
			require.Equal(t, rule, ds[0].Rule)
			require.Equal(t, check.Stop, ds[0].Severity)
		}
		require.Equal(t, choice == "glue", f.Seals[0].Applies)
		require.NotEmpty(t, f.Seals[0].Figures, "figures are there all the same")
	}
}

// A step that serves two variants shows the figures of the one that was chosen.
func TestFiguresOfTheOtherVariantAreNotShown(t *testing.T) {
	p, ds := Read("t.toml", []byte(`format = 2
id = "t"
title = "T"
[before]
conditions = ["Cold, no pressure"]
[settings.seat]
ask = "How does it seal"
kind = "choice"
choices = ["cone", "washer"]
default = "cone"
[seals.nipple]
kind = "cone"
zone = "saturated"
pressure = "90 psi"
when = ["seat = cone"]
[seals.washer]
kind = "gasket"
material = "graphite sheet"
inner = "4"
outer = "7"
zone = "saturated"
pressure = "90 psi"
when = ["seat = washer"]
[[stage]]
title = "Close"
[[stage.step]]
id = "dry"
kind = "dry-fit"
do = "Try it."
parts = ["nipple", "washer"]
[[stage.step]]
id = "close"
kind = "seal"
do = "Close it."
parts = ["nipple", "washer"]
figures = ["washer.outer", "nipple.temperature"]
`))
	require.False(t, ds.HasStop(), "%v", ds)
	for seat, want := range map[string]string{"cone": "nipple.", "washer": "washer."} {
		filled, ds := p.Fill(map[string]string{"seat": seat})
		require.False(t, ds.HasStop(), "%v", ds)
		for _, step := range filled.Steps() {
			require.NotEmpty(t, step.Figures, step.ID)
			for _, f := range step.Figures {
				require.True(t, strings.HasPrefix(f.Key, want), "%s: %s on %s", seat, f.Key, step.ID)
			}
		}
		require.Len(t, filled.Step("close").Figures, 1)
	}
}
