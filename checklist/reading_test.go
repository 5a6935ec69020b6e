package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestJudge(t *testing.T) {
	limit := func(v float64, text string) Limit { return Limit{true, v, text} }
	rod := FilledReading{Kind: "length", Unit: "mm", Low: limit(4.71, "4.71 mm"), High: limit(4.78, "4.78 mm"), Outside: check.Stop}
	for _, c := range []struct {
		r     FilledReading
		typed string
		ok    bool
		text  string
	}{
		{rod, "4.75", true, "4.75 mm"},
		{rod, "4,75", true, "4.75 mm"},
		{rod, " 4.75mm ", true, "4.75 mm"},
		{rod, "4.71", true, "4.71 mm"},
		{rod, "4.78", true, "4.78 mm"},
		{rod, "3/16 in", true, "4.763 mm"},
		{rod, "3/16", true, "4.763 mm"},
		{rod, "4.70", false, "4.7 mm is 0.01 mm under the lower limit 4.71 mm"},
		{rod, "4.8", false, "4.8 mm is 0.02 mm over the upper limit 4.78 mm"},
		{rod, "-1", false, "-1 mm is 5.71 mm under the lower limit 4.71 mm"},
		{FilledReading{Kind: "length", Unit: "in", High: limit(0.1875, "0.1875 in")}, "0.1870", true, "0.187 in"},
		{FilledReading{Kind: "length", Unit: "in", High: limit(0.1875, "0.1875 in")}, "4.7625 mm", true, "0.1875 in"},
		{FilledReading{Kind: "length", Unit: "thou", High: limit(2, "2 thou")}, "0.003 in", false, "3 thou is 1 thou over the upper limit 2 thou"},
		{FilledReading{Kind: "pressure", Unit: "bar", Low: limit(6, "6 bar")}, "90 psi", true, "90 psi (6.21 bar)"},
		{FilledReading{Kind: "pressure", Unit: "bar", Low: limit(6, "6 bar")}, "6.5", true, "6.5 bar"},
		{FilledReading{Kind: "pressure", Unit: "psi"}, "90", true, "90 psi"},
		{FilledReading{Kind: "temperature", Unit: "°C"}, "18.5", true, "18.5 °C"},
		{FilledReading{Kind: "temperature", Unit: "°C"}, "-3", true, "-3 °C"},
		{FilledReading{Kind: "turns", Unit: "turns", Low: limit(1, "1 turn")}, "1.25", true, "1.25 turns"},
		{FilledReading{Kind: "count", Unit: "rings", Low: limit(4, "4 rings"), Outside: check.Ask}, "3", false, "3 rings is 1 ring under the lower limit 4 rings"},
		{FilledReading{Kind: "count", Unit: "count"}, "6", true, "6"},
		{FilledReading{Kind: "time", Unit: "h"}, "90 min", true, "1.5 h"},
		{FilledReading{Kind: "percent", Unit: "%"}, "75%", true, "75 %"},
		{FilledReading{Kind: "yes-no", Unit: "yes-no", Nominal: Limit{true, 0, "yes"}}, "y", true, "yes"},
		{FilledReading{Kind: "yes-no", Unit: "yes-no", Nominal: Limit{true, 0, "yes"}}, "no", false, "no, and not yes"},
		{FilledReading{Kind: "choice", Unit: "choice", Choices: []string{"dry", "weeping"}, Nominal: Limit{true, 0, "dry"}}, "weeping", false, "weeping, and not dry"},
		{FilledReading{Kind: "text", Unit: "text", Nominal: Limit{true, 0, "clean"}}, "scored", true, "scored"},
		{FilledReading{Kind: "thread", Unit: "thread"}, "2ba", true, "2 BA"},
	} {
		j, err := c.r.Judge(c.typed)
		require.NoError(t, err, "%s %q", c.r.Unit, c.typed)
		require.Equal(t, c.ok, j.OK, "%s %q", c.r.Unit, c.typed)
		require.Equal(t, c.text, j.Text)
		if c.ok {
			require.Empty(t, j.Severity)
		} else {
			require.Equal(t, c.r.Outside, j.Severity)
		}
	}
	j, err := rod.Judge("5")
	require.NoError(t, err)
	require.Equal(t, check.Stop, j.Severity)
	require.InDelta(t, 5, j.Value, 1e-12)

	for _, c := range []struct {
		unit, typed string
	}{
		{"mm", ""}, {"mm", "thick"}, {"mm", "4.7.5"}, {"mm", "NaN"}, {"mm", "Inf"}, {"mm", "5 bar"}, {"mm", "1e3"}, {"mm", "4.75\x1b[2J"},
		{"count", "1.5"}, {"count", "-1"}, {"rings", "four"}, {"rings", "-1"}, {"drops", "0.5"}, {"turns", "one"}, {"bar", "90 abs"},
		{"yes-no", "perhaps"}, {"text", " "}, {"thread", "M44"}, {"choice", "x"}, {"furlong12", "1"}, {"", "1"},
	} {
		_, err := FilledReading{Unit: c.unit}.Judge(c.typed)
		require.Error(t, err, "%s %q", c.unit, c.typed)
	}
}

// A value on its limit is inside, whatever floating point makes of the sum.
func TestLimitsAreInside(t *testing.T) {
	p := readGood(t, `format = 2
id = "x"
title = "x"
[settings.rod]
ask = "?"
kind = "length"
default = "3/16 in"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "measure"
do = "x"
reading = [{ name = "d", ask = "d", kind = "length", unit = "mm", nominal = "${rod}", minus = "0.1", plus = "0.2" }]
`)
	f, _ := p.Fill(nil)
	r := f.Steps()[0].Readings[0]
	for typed, ok := range map[string]bool{"4.6625": true, "4.9625": true, "4.6624": false, "4.9626": false} {
		j, err := r.Judge(typed)
		require.NoError(t, err)
		require.Equal(t, ok, j.OK, typed)
	}
}

func TestUnitNames(t *testing.T) {
	for _, c := range [][3]string{
		{"length", "mm", "mm"}, {"length", "", "mm"}, {"temperature", "C", "°C"}, {"torque", "Nm", "N·m"}, {"torque", "N.m", "N·m"}, {"angle", "deg", "°"},
		{"percent", "percent", "%"}, {"count", "rings", "rings"}, {"count", "nips", "nips"}, {"count", "", "count"}, {"number", "drops/min", "drops/min"},
		{"length", "bar", ""}, {"length", "mmm", ""}, {"pressure", "barr", ""}, {"count", "turn", ""}, {"count", "Rings", ""}, {"count", "x", ""},
		{"count", "two words", ""}, {"number", "psi2", ""}, {"yes-no", "rings", ""}, {"rings", "", ""},
	} {
		u, ok := unitFor(c[0], c[1])
		require.Equal(t, c[2] != "", ok, "%s in %s", c[0], c[1])
		if ok {
			require.Equal(t, c[2], u.name)
		}
	}
	for _, kind := range Kinds() {
		_, ok := unitFor(kind, "")
		require.True(t, ok, kind)
		for _, name := range Units(kind) {
			u, ok := unitFor(kind, name)
			require.True(t, ok)
			require.Equal(t, name, u.name)
		}
	}
}

// A limit may be a share of what is wanted: a tenth of 20 N·m is 2 N·m, of
// 0.5 N·m a twentieth of one. Percent of a reading in percent are points.
func TestLimitsInPercentOfNominal(t *testing.T) {
	of := func(reading string) (*Procedure, source.Diagnostics) {
		return Read("x.toml", []byte("format = 2\nid = \"x\"\ntitle = \"X\"\n[[stage]]\ntitle = \"S\"\n[[stage.step]]\nid = \"a\"\nkind = \"measure\"\ndo = \"Measure.\"\nreading = [{ name = \"r\", ask = \"R\", "+reading+" }]\n"))
	}
	for _, c := range [][3]string{
		{`kind = "torque", nominal = "20", within = "10 %"`, "18 N·m", "22 N·m"},
		{`kind = "torque", nominal = "0.5", within = "± 10 %"`, "0.45 N·m", "0.55 N·m"},
		{`kind = "torque", nominal = "0.5", within = "±10%"`, "0.45 N·m", "0.55 N·m"},
		{`kind = "length", nominal = "40", minus = "2.5 %", plus = "0,5 %"`, "39 mm", "40.2 mm"},
		{`kind = "length", nominal = "40", minus = "0.5", high = "40.2"`, "39.5 mm", "40.2 mm"},
		{`kind = "length", nominal = "40", within = 0.5`, "39.5 mm", "40.5 mm"},
		{`kind = "percent", nominal = "80", within = "±10"`, "70 %", "90 %"},
		{`kind = "percent", nominal = "80", within = "±10 %"`, "70 %", "90 %"},
		{`kind = "temperature", nominal = "2", low = "-5"`, "-5 °C", ""},
	} {
		p, found := of(c[0])
		require.Empty(t, found, c[0])
		f, found := p.Fill(nil)
		require.Empty(t, found)
		r := f.Step("a").Readings[0]
		require.Equal(t, c[1], r.Low.Text, c[0])
		require.Equal(t, c[2], r.High.Text, c[0])
	}
	for _, wrong := range []string{
		`nominal = "4", minus = "--10 %"`, `nominal = "4", minus = "-x %"`, `nominal = "4", minus = "%"`, `nominal = "4", minus = "-0.1"`, `nominal = "4", plus = "+0.1"`,
		`nominal = "4", low = "-0.1"`, `nominal = "4", high = "+0.1"`, `low = "+3"`, `within = "0.1"`, `plus = "0.1"`,
		`nominal = "4", within = "0.1", low = "3"`, `nominal = "4", within = "0.1", plus = "0.2"`, `nominal = "4", minus = "0.1", low = "3"`,
	} {
		_, found := of(`kind = "length", ` + wrong)
		require.True(t, found.HasStop(), wrong)
		require.Len(t, found, 1, wrong)
	}
}

func TestLimitsInWords(t *testing.T) {
	at := func(v float64, text string) Limit { return Limit{Given: true, Value: v, Text: text} }
	for want, r := range map[string]FilledReading{
		"":               {Nominal: at(4, "4")},
		"none allowed":   {Low: at(0, "0"), High: at(0, "0")},
		"exactly 4":      {Low: at(4, "4"), High: at(4, "4")},
		"0.8 to 1.3 mm":  {Low: at(0.8, "0.8 mm"), High: at(1.3, "1.3 mm")},
		"at least 6 mm":  {Low: at(6, "6 mm")},
		"at most 0.1 mm": {High: at(0.1, "0.1 mm")},
	} {
		require.Equal(t, want, r.Limits())
	}
	require.Empty(t, FilledReading{Kind: "turns", Unit: "turns", Low: at(0, "0 turns")}.Limits(), "there is nothing below nought")
	require.Equal(t, "at most 2 turns", FilledReading{Kind: "turns", Unit: "turns", Low: at(0, "0 turns"), High: at(2, "2 turns")}.Limits())
	require.Equal(t, "at least 0 °C", FilledReading{Kind: "temperature", Unit: "°C", Low: at(0, "0 °C")}.Limits())
	require.Equal(t, "6 mm to 1 in", FilledReading{Low: at(6, "6 mm"), High: at(25.4, "1 in")}.Limits())
}
