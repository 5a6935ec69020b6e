package checklist

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/check"
)

// workedFile has a clearance of two readings, a table with one gap for each screw, and
// steps that fall away by what was read.
const workedFile = `format = 2
id = "x"
title = "x"

[settings.rod]
ask = "Spindle"
kind = "length"
default = "3/16 in"

[settings.sealing]
ask = "Seal"
kind = "choice"
choices = ["packing", "o-ring", "ptfe or graphite"]
default = "packing"

[fasteners.cover]
thread = "M4"
count = 4

[figures.clearance]
label = "Clearance of the spindle"
is = "bore_now - rod_now"
low = "0.02 mm"
high = "0.08 mm"
outside = "stop"

[figures.spread]
is = "largest(rim) - smallest(rim)"
unit = "thou"
high = "2 thou"

[figures.share]
is = "clearance / rod * 100 %"
[figures.travel]
is = "turns * cover.pitch"

[[stage]]
title = "x"

[[stage.step]]
id = "rod"
kind = "measure"
do = "Measure."
reading = [
  { name = "rod_now", ask = "Diameter", kind = "length", times = 3, takes = "smallest", sets = "rod", nominal = "${rod}", within = "±0.05" },
  { name = "turns", ask = "Turns", kind = "turns" },
]

[[stage.step]]
id = "bore"
kind = "measure"
do = "Measure."
reading = [
  { name = "bore_now", ask = "Bore", kind = "length", times = 2, takes = "largest" },
  { name = "slack", ask = "Slack by hand", kind = "yes-no", when = ["rod_now < 4.7 mm"] },
]

[[stage.step]]
id = "bush"
kind = "make"
do = "Bush it: ${clearance}, ${share} of ${rod}."
when = ["clearance > 0.08 mm"]

[[stage.step]]
id = "rim"
kind = "measure"
do = "Feel round the rim."
reading = [{ name = "rim", ask = "Gap", kind = "length", each = "cover", high = "0.1" }]
when = ["sealing = packing or ptfe or graphite", "cover.count >= 4"]
`

// TestWorkedOut works figures out by hand: 4.82 - 4.75 is 0.07, 0.04 mm is 1.575 thou
// (25.4 mm to the inch), five turns of the 0.7 mm pitch of M4 (ISO 261) are 3.5 mm.
func TestWorkedOut(t *testing.T) {
	p := readFine(t, workedFile)
	f, found := p.FillMeasured(nil, nil)
	require.Empty(t, found)
	require.Equal(t, "Bush it: not known, not known of 3/16 in (4.76 mm).", f.Step("bush").Do, "not known is not false")
	require.Len(t, f.Step("bore").Readings, 2)
	for _, name := range []string{"rod_now", "bore_now", "rim", "turns"} {
		require.True(t, p.Recalls(name), name)
	}
	require.Equal(t, "rod", p.Sets("rod_now"))
	require.Equal(t, "4.75 mm", p.Taken("rod_now", "4.77; 4.75 ;4.76"))

	read := map[string]string{"rod": "4.75 mm", "rod_now": "4.77; 4.75; 4.76", "bore_now": "4.82; 4.81", "turns": "5", "rim": "0.05; 0.07; 0.06; 0.09"}
	f, found = p.FillMeasured(nil, read)
	require.Empty(t, found)
	require.Nil(t, f.Step("bush"), "the clearance is within its limits")
	require.Equal(t, "clearance is 0.07 mm", f.LeftOut[0].Because)
	require.Len(t, f.Step("bore").Readings, 1, "4.75 is not under 4.7: the reading falls away")
	texts := map[string]string{}
	for _, w := range f.WorkedOut {
		require.True(t, w.Known, w.Key)
		texts[w.Key] = w.Text + " " + w.Step
	}
	require.Equal(t, map[string]string{"clearance": "0.07 mm bore", "spread": "1.575 thou rim", "share": "1.474 % bore", "travel": "3.5 mm rod"}, texts)

	read["bore_now"] = "4.86; 4.81"
	f, _ = p.FillMeasured(nil, read)
	require.Equal(t, "Bush it: 0.11 mm, 2.316 % of 4.75 mm.", f.Step("bush").Do)
	bore := f.Step("bore").WorkedOut[0]
	require.Equal(t, check.Stop, bore.Judgement.Severity)
	require.Equal(t, "0.11 mm is 0.03 mm over the upper limit 0.08 mm", bore.Judgement.Text)
	require.Equal(t, "0.02 to 0.08 mm", bore.Limits())

	// A step that falls away hands its figure on: no stop goes with it.
	f, _ = p.FillMeasured(map[string]string{"sealing": "o-ring"}, read)
	require.Nil(t, f.Step("rim"))
	require.Equal(t, "bush", f.WorkedOut[1].Step)
	f, _ = p.FillMeasured(map[string]string{"sealing": "ptfe or graphite"}, read)
	require.NotNil(t, f.Step("rim"))
}

// Several figures of one reading are judged one by one.
func TestSeveralFigures(t *testing.T) {
	p := readFine(t, workedFile)
	f, _ := p.Fill(nil)
	rim := f.Step("rim").Readings[0]
	require.Equal(t, 4, rim.Times, "one for every screw")
	j, err := rim.Judge("0.05; 0,07 ;0.06;0.1")
	require.NoError(t, err)
	require.True(t, j.OK)
	require.Equal(t, "0.05 mm; 0.07 mm; 0.06 mm; 0.1 mm", j.Text)
	j, err = rim.Judge("0.05; 0.17; 0.06; 0.1")
	require.NoError(t, err)
	require.False(t, j.OK)
	require.Equal(t, "0.17 mm is 0.07 mm over the upper limit 0.1 mm", j.Text)
	for _, wrong := range []string{"", "0.05", "0.05; 0.07; 0.06", "0.05; 0.07; 0.06; thin", "1;2;3;4;5"} {
		_, err := rim.Judge(wrong)
		require.Error(t, err, wrong)
	}
	require.Error(t, rim.CanBe("0.05; -0.07; 0.06; 0.1"))
	rod := f.Step("rod").Readings[0]
	j, err = rod.Judge("4.75; 4.74; 4.76")
	require.NoError(t, err)
	require.InDelta(t, 4.74, j.Value, 1e-9, "the smallest counts")
	require.Equal(t, "4.77 mm", FilledReading{Kind: "length", Unit: "mm", Times: 3, Takes: "largest"}.Taken("4.75; 4.77; 4.7"))
	require.Equal(t, "4.74 mm", FilledReading{Kind: "length", Unit: "mm", Times: 3, Takes: "mean"}.Taken("4.75; 4.77; 4.7"))
}

// A condition compares as a person would: what is equal on the bench is equal.
func TestConditions(t *testing.T) {
	for condition, applies := range map[string]bool{
		"rod = 4.7625 mm": true, "rod = 3/16": true, "rod != 3/16 in": false, "rod < 4.7625 mm": false, "rod <= 4.7625 mm": true, "rod > 3/16": false, "rod >= 3/16": true,
		"rod > 4.7 mm": true, "sealing = packing": true, "sealing != packing": false, "sealing = o-ring or packing": true, "sealing != o-ring or ptfe or graphite": true,
		"sealing = ptfe or graphite": false, "cover.count = 4": true, "cover.thread = M4": true, "cover.pitch < 0.7 mm": false, "rod ≥ 4 mm": true, "rod > −5 mm": true,
	} {
		p := readFine(t, strings.Replace(workedFile, `when = ["clearance > 0.08 mm"]`, fmt.Sprintf("when = [%q]", condition), 1))
		f, found := p.Fill(nil)
		require.Empty(t, found)
		require.Equal(t, applies, f.Step("bush") != nil, condition)
	}
}

// Sums are reckoned with their units; what comes out is what a calculator shows.
func TestSums(t *testing.T) {
	for is, want := range map[string]string{
		"1 in + 0.4 mm": "25.8 mm", "2 * 3 - 4": "2", "2 - 3 - 4": "-5", "(2 + 3) * 4": "20", "10 mm / 4 mm": "2.5", "-(2 mm) + 5 mm": "3 mm",
		"smallest(3 mm, 1 in, 2 mm)": "2 mm", "mean(1 mm, 2 mm, 6 mm)": "3 mm", "100 psi - 6 bar": "0.895 bar", "10 % * 50 mm": "5 mm", "10 bar * 2 mm / 5 mm": "4 bar",
		"90 min + 0.5 h": "7200 s", "2 turns + 1 turns": "3 turns", "25 % + 25 %": "50 %", "12 / 0": "not known", "largest(2, 3) / 2": "1.5",
	} {
		p, found := Read("x.toml", []byte(strings.Replace(workedFile, "[[stage]]", "[figures.sum]\nis = \""+is+"\"\n\n[[stage]]", 1)))
		require.False(t, found.HasStop(), "%s: %v", is, found)
		f, _ := p.Fill(nil)
		require.Equal(t, want, f.WorkedOut[4].Text, is)
	}
}

// FuzzSum looks for a sum that panics, or an error that lies outside its text.
func FuzzSum(f *testing.F) {
	for _, s := range []string{"a - b", "(", "1 mm * 2", "mean(a, b", "-", "1/0", "${a}", "smallest()", "°", "9e9", "((((((((((((((((((((((1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := parseSum(text)
		require.Equal(t, err != nil, s == nil)
		if err != nil {
			require.True(t, err.start >= 0 && err.start <= err.end && err.end <= len(text), "%q: %+v", text, err)
			require.NotEmpty(t, err.message)
		}
	})
}
