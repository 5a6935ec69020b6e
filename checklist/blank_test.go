package checklist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A procedure can be read and printed before anything is known: what is missing
// is room to write in, all of it is named at once, and what is wrong stays wrong.
func TestFillBlank(t *testing.T) {
	const src = `format = 2
id = "x"
title = "x"
[settings.pressure]
ask = "Working pressure"
kind = "pressure"
[settings.multiple]
ask = "Multiple"
kind = "number"
[settings.shown]
ask = "Shown"
kind = "pressure"
default = "${pressure}"
[settings.rod]
ask = "Rod"
kind = "length"
default = "5 mm"
[tests.t]
pressure = "${pressure}"
multiple = "${multiple}"
[[stage]]
title = "x"
[[stage.step]]
id = "a"
kind = "test"
do = "Rod ${rod}, ${pressure} and ${shown}: to ${t.target}."
parts = ["t"]
`
	p, found := Read("x.toml", []byte(src))
	require.False(t, found.HasStop(), found)
	f, open, found := p.FillBlank(nil)
	require.False(t, found.HasStop(), found)
	require.Equal(t, []string{"pressure", "multiple"}, open)
	require.Equal(t, "Rod 5 mm, ____ (pressure) and ____ (shown): to ____ (test pressure, never above).", f.Step("a").Do)

	f, open, found = p.FillBlank(map[string]string{"pressure": "90 psi", "multiple": "2"})
	require.False(t, found.HasStop(), found)
	require.Empty(t, open)
	whole, _ := p.Fill(map[string]string{"pressure": "90 psi", "multiple": "2"})
	require.Equal(t, whole.Step("a").Do, f.Step("a").Do)
	require.Contains(t, f.Step("a").Do, "to 180 psi (12.41 bar)")

	_, open, found = p.FillBlank(map[string]string{"multiple": "two"})
	require.True(t, found.HasStop())
	require.Equal(t, []string{"pressure"}, open)
	// What an empty answer stands for is said filled in, or not at all.
	require.Empty(t, p.Usual("shown", nil))
	require.Equal(t, "90 psi (6.21 bar)", p.Usual("shown", map[string]string{"pressure": "90 psi"}))
	require.Equal(t, "5 mm", p.Usual("rod", nil))
	require.Empty(t, p.Usual("pressure", nil))
	require.Empty(t, p.Usual("nothing", nil))
	// To start a job every answer is needed, as before.
	_, found = p.Fill(nil)
	require.Len(t, found, 2)
}
