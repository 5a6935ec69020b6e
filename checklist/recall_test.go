package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const travels = `format = 2
id = "x"
title = "x"

[[stage]]
title = "x"

[[stage.step]]
id = "before"
kind = "measure"
do = "Open it."
reading = [
    { name = "travel", ask = "Travel", kind = "length", unit = "mm" },
    { name = "blanks_on", ask = "Blanks fitted", kind = "count" },
    { name = "way", ask = "Which way", kind = "choice", choices = ["left", "right"] },
]

[[stage.step]]
id = "after"
kind = "measure"
do = "It was ${travel}, ${way}."
reading = [
    { name = "travel_after", ask = "Travel again, ${travel} before", kind = "length", unit = "mm", nominal = "${travel}", within = "±0.1" },
    { name = "thou", ask = "x", kind = "length", unit = "thou", low = "${travel}" },
    { name = "blanks_off", ask = "Blanks taken off", kind = "count", low = "${blanks_on}", high = "${blanks_on}", outside = "stop" },
    { name = "way_after", ask = "Which way", kind = "choice", choices = ["left", "right"], nominal = "${way}" },
]
`

func TestEarlierReadingsStandInTextsAndLimits(t *testing.T) {
	p := readGood(t, travels)
	for _, name := range []string{"travel", "blanks_on", "way"} {
		require.True(t, p.Recalls(name), name)
	}
	require.False(t, p.Recalls("travel_after"))

	f, ds := p.Fill(nil)
	require.Empty(t, ds)
	step := f.Step("after")
	require.Equal(t, "It was not read yet, not read yet.", step.Do)
	require.Equal(t, "Travel again, not read yet before", step.Readings[0].Ask)
	for _, r := range step.Readings {
		require.False(t, r.Nominal.Given || r.Low.Given || r.High.Given, r.Name)
	}
	j, err := step.Readings[2].Judge("7")
	require.NoError(t, err)
	require.True(t, j.OK, "nothing to compare with")

	f, ds = p.FillMeasured(nil, map[string]string{"travel": "1/4", "blanks_on": "5", "way": "left"})
	require.Empty(t, ds)
	step = f.Step("after")
	require.Equal(t, "It was 6.35 mm, left.", step.Do)
	require.Equal(t, "6.25 mm", step.Readings[0].Low.Text)
	require.Equal(t, "6.45 mm", step.Readings[0].High.Text)
	require.InDelta(t, 250, step.Readings[1].Low.Value, 1e-9, "in its own unit")
	require.Equal(t, "left", step.Readings[3].Nominal.Text)
	j, err = step.Readings[2].Judge("4")
	require.NoError(t, err)
	require.Equal(t, check.Stop, j.Severity)
	j, err = step.Readings[2].Judge("5")
	require.NoError(t, err)
	require.True(t, j.OK)

	// What another device wrote may be anything.
	f, ds = p.FillMeasured(nil, map[string]string{"travel": "a lot", "way": "up", "blanks_on": "\x1b"})
	require.Empty(t, ds)
	require.Equal(t, "It was not read yet, not read yet.", f.Step("after").Do)
	_, ds = p.FillMeasured(nil, map[string]string{"nothing": "1"})
	require.True(t, ds.HasStop())
}

const optional = `format = 2
id = "x"
title = "x"

[before]
conditions = ["Cold, no pressure"]
supplies = ["Rag", { text = "Ring for ${ring} shaft", when = ["sealing = o-ring"] }, { text = "Yarn", when = ["sealing = packing or tape"] }]
notes = [{ text = "Only with tape", when = ["sealing = tape"] }]

[settings.sealing]
ask = "Seal"
kind = "choice"
choices = ["packing", "o-ring", "tape"]
default = "packing"

[settings.ring]
ask = "Shaft"
kind = "length"
default = "3/16 in"
when = ["sealing = o-ring"]

[settings.batch]
ask = "Batch"
kind = "text"
when = ["sealing = o-ring"]

[settings.sheet]
ask = "Full cure by the container"
kind = "time"
default = ""
low = "1 h"

[settings.again]
ask = "The same again"
kind = "time"
default = "${sheet}"

[seals.thread]
kind = "sealant"
material = "anaerobic sealant"
metals = ["gunmetal"]
gap = "0.1 mm"
shop = "18"
sheet_time = "${sheet}"
zone = "cold feed"
pressure = "90 psi"

[[stage]]
title = "x"

[[stage.step]]
id = "dry"
kind = "dry-fit"
parts = ["thread"]
do = "Cure ${thread.cure}; container: ${again}."
wait = "${sheet}"

[[stage.step]]
id = "ring"
kind = "record"
do = "Batch ${batch}."
when = ["sealing = o-ring"]
`

func TestSettingsThatAreNotAsked(t *testing.T) {
	p, ds := Read("x.toml", []byte(optional))
	require.False(t, ds.HasStop(), "%v", ds)
	f, ds := p.Fill(map[string]string{"ring": "1 in", "batch": "7"}) // typed before the choice was changed
	require.False(t, ds.HasStop(), "%v", ds)
	require.Equal(t, "sealing is packing", f.Values[1].NotAsked)
	require.Equal(t, "3/16 in", f.Values[1].Text)
	require.True(t, f.Values[1].Default)
	require.Empty(t, f.Values[0].NotAsked)
	require.Equal(t, []string{"Rag", "Yarn"}, f.Preliminary.Supplies)
	require.Empty(t, f.Preliminary.Notes)

	f, ds = p.Fill(map[string]string{"sealing": "o-ring", "ring": "1 in", "batch": "7"})
	require.False(t, ds.HasStop(), "%v", ds)
	require.Empty(t, f.Values[1].NotAsked)
	require.Equal(t, []string{"Rag", "Ring for 1 in (25.4 mm) shaft"}, f.Preliminary.Supplies)
	require.Equal(t, "Batch 7.", f.Step("ring").Do)

	// One that is asked and has no default has to be answered.
	_, ds = p.Fill(map[string]string{"sealing": "o-ring"})
	require.True(t, ds.HasStop())
	require.Equal(t, source.RuleUnanswered, ds[0].Rule)

	// What has no value because it was not asked must not be needed.
	_, ds = Read("x.toml", []byte(optional+"\n[[stage.step]]\nid = \"b\"\nkind = \"record\"\ndo = \"Batch ${batch}.\"\n"))
	require.True(t, ds.HasStop())
	require.Contains(t, ds[len(ds)-1].Message, "batch is not asked here, since sealing is packing, and has no default")
}

func TestAnswersThatMayStayOpen(t *testing.T) {
	p, ds := Read("x.toml", []byte(optional))
	require.False(t, ds.HasStop(), "%v", ds)
	f, ds := p.Fill(nil)
	require.False(t, ds.HasStop(), "%v", ds)
	require.Equal(t, "not known", f.Values[3].Canonical)
	require.Empty(t, f.Values[3].Text)
	require.Contains(t, f.Step("dry").Do, "container: not known.")
	require.NotContains(t, f.Step("dry").Do, "[")
	require.Zero(t, f.Step("dry").Wait)
	require.NoError(t, p.CheckValue("sheet", ""))
	require.Error(t, p.CheckValue("sheet", "30 min"))

	f, ds = p.Fill(map[string]string{"sheet": "12 h"})
	require.False(t, ds.HasStop(), "%v", ds)
	require.Contains(t, f.Step("dry").Do, "Cure 12 h; container: 12 h.")
	require.Equal(t, 12.0, f.Step("dry").Wait.Hours())

	_, ds = Read("x.toml", []byte(strings.Replace(optional, "default = \"packing\"", "default = \"\"", 1)))
	require.True(t, ds.HasStop(), "a choice has answers of its own")
}
