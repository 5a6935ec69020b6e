package recipes_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func openBoilerSets() []set {
	return []set{
		{"new 1/4 x 40 in a copper barrel", map[string]string{
			"place": "a clack bush", "thread": "1/4 x 40 ME", "percent": "65", "depth": "6 mm",
			"new_hole": "no hole yet", "metal": "copper",
		}},
		{"blind M5 in a steel ring", map[string]string{
			"place": "a dome ring hole", "thread": "M5", "percent": "75", "depth": "10 mm",
			"floor": "blind", "metal": "steel", "release": "owner",
		}},
		{"old hole to 1/4 BSF", map[string]string{
			"place": "a manhole cover", "thread": "1/4 BSF", "depth": "1/2 in", "metal": "cast iron",
		}},
	}
}

// Before the drill turns: zero proved, released, and the water space guarded.
// Before anything is closed: tools whole, tally balanced, flushed, looked at.
func TestOpenBoilerIsGuardedAndCleared(t *testing.T) {
	p := read(t, "workshop-open-boiler.toml")
	for _, s := range append(openBoilerSets(), set{name: "defaults"}) {
		t.Run(s.name, func(t *testing.T) {
			f, found := p.Fill(s.values)
			require.Empty(t, found)
			require.NotEmpty(t, f.Step("release").Hold)
			require.Subset(t, before(f, "drill"), []string{"bench", "zero", "below", "release", "drained", "covers", "pad", "tools", "guide"})
			require.Subset(t, before(f, "taper"), []string{"hole-size"})
			require.Subset(t, before(f, "gauge"), []string{"vacuum", "tools-back", "pad-out", "flush", "look"})
		})
	}
}

func TestOpenBoilerVariants(t *testing.T) {
	p := read(t, "workshop-open-boiler.toml")
	copper, _ := p.Fill(openBoilerSets()[0].values)
	require.Contains(t, before(copper, "vacuum"), "copper")
	require.Contains(t, before(copper, "drill"), "mark-new")
	require.Contains(t, before(copper, "taper"), "through")
	blind, _ := p.Fill(openBoilerSets()[1].values)
	require.Contains(t, before(blind, "taper"), "depth-now")
	require.Nil(t, blind.Step("through"))
	require.InDelta(t, 0.8, reading(t, blind, "depth-now", "blind_depth").Low.Value, 1e-9, "a pitch of M5 for the lead of the last tap")
	require.Nil(t, blind.Step("copper"))

	// The percentage asked for moves the drill: 1/4 x 40 at 65 % of the Whitworth
	// depth 0.640327 P: 6.35 - 2 * 0.65 * 0.640327 * 0.635 = 5.82 mm (BS 84 form).
	require.InDelta(t, 5.82, reading(t, copper, "hole-size", "drilled").Nominal.Value, 0.05)
}
