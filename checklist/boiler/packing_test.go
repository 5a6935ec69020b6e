package boiler

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Worked by hand from the published rules: section (bore - rod)/2, ring
// π·(rod + section), 25 to 35 % follower travel; 26 and 32 threads to the inch.
func TestPackGlandWorked(t *testing.T) {
	g := Gland{Spindle: 4.76, Box: 9.53, Depth: 9.6, NutPitch: 25.4 / 26}
	p, err := PackGland(g)
	require.NoError(t, err)
	requireDigits(t, "2.385", float64(p.Section))
	requireDigits(t, "22.45", float64(p.RingLength))
	require.Equal(t, 4, p.Rings)
	requireDigits(t, "9.54", float64(p.Stack))
	requireDigits(t, "99", float64(p.OrderLength))
	requireDigits(t, "2.4", float64(p.FollowerMin))
	requireDigits(t, "3.3", float64(p.FollowerMax))
	requireDigits(t, "2.4", p.TurnsMin)
	requireDigits(t, "3.4", p.TurnsMax)

	g.NutPitch = 25.4 / 32
	p, err = PackGland(g)
	require.NoError(t, err)
	requireDigits(t, "3.0", p.TurnsMin)
	requireDigits(t, "4.2", p.TurnsMax)
}

func TestPackGlandRings(t *testing.T) {
	for _, row := range []struct {
		depth  quantity.Length
		rings  int
		spacer quantity.Length
		rule   string
		worst  check.Severity
	}{
		{2.385, 1, 0, "few-rings", check.Warn},
		{7.1, 2, 0, "few-rings", check.Warn},
		{7.155, 3, 0, "follower-entry", check.Good}, // the stack fills the depth exactly
		{14.4, 6, 0, "follower-entry", check.Good},
		{19.08, 6, 4.77, "many-rings", check.Good},
	} {
		p, err := PackGland(Gland{Spindle: 4.76, Box: 9.53, Depth: row.depth})
		require.NoError(t, err)
		require.Equal(t, row.rings, p.Rings, row.depth)
		require.InDelta(t, float64(row.spacer), float64(p.Spacer), 1e-9)
		require.Equal(t, row.worst, check.Worst(p.Findings))
		require.Contains(t, rules(p.Findings), row.rule)
		require.Contains(t, rules(p.Findings), "captive-spindle")
		require.Zero(t, p.TurnsMin, "no pitch, no turns")
	}
}

func TestPackGlandThatCannotBe(t *testing.T) {
	nan := quantity.Length(math.NaN())
	for _, g := range []Gland{
		{},
		{Spindle: 4.76, Box: 4.76, Depth: 10},
		{Spindle: 9.53, Box: 4.76, Depth: 10},
		{Spindle: 4.76, Box: 9.53},
		{Spindle: 4.76, Box: 9.53, Depth: 2},
		{Spindle: 4.76, Box: 5, Depth: 10},
		{Spindle: -4.76, Box: 9.53, Depth: 10},
		{Spindle: nan, Box: 9.53, Depth: 10},
		{Spindle: 4.76, Box: nan, Depth: 10},
		{Spindle: 4.76, Box: 9.53, Depth: nan},
		{Spindle: 4.76, Box: 9.53, Depth: 10, NutPitch: -1},
		{Spindle: 4.76, Box: 9.53, Depth: 10, NutPitch: nan},
		{Spindle: 4.76, Box: 1e9, Depth: 10},
	} {
		_, err := PackGland(g)
		requireInputError(t, err, g)
	}
}

func TestPackGlandAlwaysFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := Gland{
			Spindle:  quantity.Length(rapid.Float64Range(1, 20).Draw(t, "spindle")),
			Depth:    quantity.Length(rapid.Float64Range(0.1, 60).Draw(t, "depth")),
			NutPitch: quantity.Length(rapid.Float64Range(0.3, 3).Draw(t, "pitch")),
		}
		g.Box = g.Spindle + quantity.Length(rapid.Float64Range(1.001, 12).Draw(t, "gap"))
		p, err := PackGland(g)
		if err != nil {
			require.Less(t, g.Depth, (g.Box-g.Spindle)/2)
			return
		}
		require.LessOrEqual(t, float64(p.Stack), float64(g.Depth)+float64(p.Section)*1e-3)
		require.LessOrEqual(t, p.Rings, 6)
		require.Less(t, p.FollowerMin, p.FollowerMax)
		require.InDelta(t, float64(p.FollowerMax), p.TurnsMax*float64(g.NutPitch), 1e-9)
		// A ring bent round the spindle runs on the mean of spindle and box.
		require.InEpsilon(t, math.Pi*float64(g.Spindle+g.Box)/2, float64(p.RingLength), 1e-12)
	})
}

// Pressure times area: 4.76 mm spindle at 7 and 14 bar.
func TestSpindleThrust(t *testing.T) {
	for _, row := range []struct {
		p quantity.Pressure
		n string
	}{{7, "12.5"}, {14, "24.9"}} {
		f, err := SpindleThrust(4.76, row.p)
		require.NoError(t, err)
		requireDigits(t, row.n, float64(f))
	}
	_, err := SpindleThrust(0, 7)
	requireInputError(t, err, 0)
	_, err = SpindleThrust(4.76, -1)
	requireInputError(t, err, -1)
}

func rules(findings []check.Result) []string {
	var names []string
	for _, f := range findings {
		names = append(names, f.Rule)
	}
	return names
}

// A thread whose core is no wider than the box is bored can be no gland nut,
// whether it screws in or over; a core smaller than the spindle is that of a
// screw beside it.
func TestNutHasToGoRoundTheBox(t *testing.T) {
	for core, asked := range map[quantity.Length]bool{0: false, 3.14: false, 8.508: true, 9.525: true, 9.53: false, 11.4: false} {
		p, err := PackGland(Gland{Spindle: 4.7625, Box: 9.525, Depth: 9.6, NutCore: core})
		require.NoError(t, err)
		found := slices.ContainsFunc(p.Findings, func(f check.Result) bool { return f.Rule == "nut-and-box" && f.Severity == check.Ask })
		require.Equal(t, asked, found, "core %v", core)
	}
}
