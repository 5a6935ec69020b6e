package checklist

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

const leverFile = `format = 2
id = "lever"
title = "Lever"

[settings.swing]
ask = "Shut to open"
kind = "angle"
default = "90"

[[stage]]
title = "Work"

[[stage.step]]
id = "stops"
kind = "measure"
do = "Set the stops."
quadrant = "${swing}"

[[stage.step]]
id = "else"
kind = "record"
do = "Write it down."
`

// The swing of a lever follows the setting it is taken from, and is printed
// with its step and with no other.
func TestQuadrantFollowsItsSetting(t *testing.T) {
	p, ds := Read("lever.toml", []byte(leverFile))
	require.Empty(t, ds)
	for text, want := range map[string]quantity.Angle{"": 90, "62.5": 62.5, "180": 180, "0.5 rad": quantity.FromRadians(0.5)} {
		values := map[string]string{}
		if text != "" {
			values["swing"] = text
		}
		f, ds := p.Fill(values)
		require.Empty(t, ds, text)
		require.InDelta(t, float64(want), float64(f.Steps()[0].Quadrant), 1e-9, text)
		require.Zero(t, f.Steps()[1].Quadrant, text)
	}
	for _, text := range []string{"0", "180.1", "-90"} {
		f, ds := p.Fill(map[string]string{"swing": text})
		require.True(t, ds.HasStop(), text)
		require.Zero(t, f.Steps()[0].Quadrant, text)
	}
}
