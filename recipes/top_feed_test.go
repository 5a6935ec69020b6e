package recipes_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func topFeedSets() []set {
	return []set{
		{"M3 screws, bar, one clack", map[string]string{
			"pressure": "5.5 bar", "test_pressure": "6 bar", "clacks": "1", "ball": "5 mm", "lift": "0.9 mm",
			"union_thread": "M8x1", "union_flats": "12 mm", "screw_thread": "M3", "screw_count": "8",
			"screw_head": "socket", "gasket_outer": "23.5 mm",
		}},
		{"6 BA, psi, cured, cold shop", map[string]string{
			"pressure": "60 psi", "test_pressure": "70 psi", "clacks": "2", "screw_thread": "6 BA", "screw_count": "10", "screw_length": "9 mm",
			"screw_head": "cheese", "gasket_inner": "18 mm", "gasket_outer": "20.8 mm", "screw_circle": "26 mm",
			"thread_seal": "anaerobic sealant", "shop": "8", "release": "inspector",
		}},
		{"5/32 x 40 in copper, blind", map[string]string{
			"pressure": "80 psi", "test_pressure": "95 psi", "screw_thread": "5/32 x 40 ME", "screw_count": "6", "screw_head": "hex",
			"screw_depth": "10 mm", "hole_kind": "dry blind", "bush_metal": "phosphor bronze", "screw_length": "12 mm",
			"gasket_outer": "24 mm", "union_thread": "1/4 x 40 ME", "ball": "3/16 in",
		}},
	}
}

func TestTopFeedOrderOfWork(t *testing.T) {
	p := read(t, "top-feed.toml")
	for _, s := range append(topFeedSets(), set{"defaults", map[string]string{"test_pressure": "120 psi"}}) {
		t.Run(s.name, func(t *testing.T) {
			f, found := p.Fill(s.values)
			require.Empty(t, found)
			require.Subset(t, before(f, "unions-off"), []string{"gauge-zero", "open-zero", "feeds", "release"})
			require.Subset(t, before(f, "scale"), []string{"cover", "inventory"}, "what fell in is looked for first")
			require.Subset(t, before(f, "fingers"), []string{"clack-test", "spray", "lock", "dry", "trial", "tally-out"})
			require.Equal(t, []string{"pass-2"}, f.Step("pass-3").Needs)
			require.Contains(t, before(f, "pipes"), "pass-3")
			for _, id := range []string{"release", "decide", "tally-out"} {
				require.NotEmpty(t, f.Step(id).Hold, id)
			}
		})
	}
}

// At 8 °C the cure takes longer than the 24 h of 20 °C: 24 * 2^1.2 = 55 h (a
// planning rule, common practice, no source).
func TestTopFeedCureFollowsTheShop(t *testing.T) {
	p := read(t, "top-feed.toml")
	f, found := p.Fill(topFeedSets()[1].values)
	require.Empty(t, found)
	require.InDelta(t, 55, f.Step("cure").Wait.Hours(), 1)
	require.Contains(t, before(f, "low-water"), "cure")
	require.Nil(t, f.Step("cold-round"))
	warmer, found := p.FillMeasured(topFeedSets()[1].values, map[string]string{"shop": "20"})
	require.Empty(t, found)
	require.InDelta(t, 24, warmer.Step("cure").Wait.Hours(), 0.5)
}

// The test pressure is the local code's: none is offered, and none below the
// working pressure is taken.
func TestTestPressureIsAskedFor(t *testing.T) {
	for _, name := range []string{"regulator.toml", "top-feed.toml", "wet-header.toml"} {
		p := read(t, name)
		_, found := p.Fill(map[string]string{"pressure": "90 psi"})
		require.True(t, found.HasStop(), "%s without a test pressure", name)
		_, found = p.Fill(map[string]string{"pressure": "90 psi", "test_pressure": "10 psi"})
		require.True(t, found.HasStop(), "%s tested below its working pressure", name)
		require.Contains(t, found[0].Message, "lower limit")
		_, found = p.Fill(map[string]string{"pressure": "90 psi", "test_pressure": "120 psi"})
		require.Empty(t, found, name)
	}
}

// Limits go with the size of the engine: a tenth of the torque, whatever it is,
// a fifth of the lift, and never less thread than the screw takes.
func TestTopFeedLimitsGoWithTheEngine(t *testing.T) {
	p := read(t, "top-feed.toml")
	for _, s := range append(topFeedSets(), set{"large", map[string]string{
		"pressure": "100 psi", "test_pressure": "200 psi", "screw_thread": "M6", "screw_count": "8", "screw_length": "25 mm", "flange_thick": "10 mm",
		"screw_depth": "18 mm", "screw_circle": "70 mm", "gasket_inner": "48 mm", "gasket_outer": "57 mm", "gasket_thick": "1 mm", "ball": "10 mm", "lift": "2 mm",
	}}) {
		f, found := p.Fill(s.values)
		require.Empty(t, found, s.name)
		torque := reading(t, f, "pass-3", "torque")
		require.InDelta(t, 0.9*torque.Nominal.Value, torque.Low.Value, 0.001, s.name)
		require.InDelta(t, 1.1*torque.Nominal.Value, torque.High.Value, 0.001, s.name)
		lift := reading(t, f, "lift-set", "lift_set")
		require.InDelta(t, 0.8*lift.Nominal.Value, lift.Low.Value, 0.001, s.name)
		depth := reading(t, f, "holes", "screw_depth")
		require.Greater(t, depth.Low.Value, 2.0, s.name)
		require.LessOrEqual(t, depth.Low.Value, depth.Nominal.Value, s.name)
	}
}
