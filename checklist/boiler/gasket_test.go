package boiler

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Worked by hand: a ring 40/47 on a 52 mm circle. Screw holes of 4.5 (M4, ISO
// 273 medium) leave 0.25 mm, holes of 5.5 (M5) open into the gasket by as much.
func TestGasketLandWorked(t *testing.T) {
	in := GasketInput{Bore: 40, BoltCircle: 52, Hole: 4.5, Inside: 40, Outside: 47}
	g, err := GasketSize(in)
	require.NoError(t, err)
	requireDigits(t, "0.25", float64(g.Land))
	requireDigits(t, "3.5", float64(g.Width))
	requireDigits(t, "43.5", float64(g.Mean))
	requireDigits(t, "478", float64(g.Area))
	require.Equal(t, check.Good, check.Worst(g.Findings))

	in.Hole = 5.5
	g, err = GasketSize(in)
	require.NoError(t, err)
	requireDigits(t, "-0.25", float64(g.Land))
	require.True(t, hasFinding(g.Findings, "gasket-land", check.Stop))

	in.Hole, in.Outside = 4.5, 47.3
	g, err = GasketSize(in)
	require.NoError(t, err)
	require.True(t, hasFinding(g.Findings, "gasket-land", check.Warn))

	g, err = GasketSize(GasketInput{Bore: 40, BoltCircle: 52, Hole: 4.5})
	require.NoError(t, err)
	require.InDelta(t, 47, float64(g.Outside), 1e-9)
	require.InDelta(t, 40, float64(g.Inside), 1e-9)
	require.Equal(t, check.Good, check.Worst(g.Findings))

	g, err = GasketSize(GasketInput{Bore: 40, BoltCircle: 52, Hole: 4.5, Inside: 39})
	require.NoError(t, err)
	require.True(t, hasFinding(g.Findings, "gasket-overhang", check.Stop))

	g, err = GasketSize(GasketInput{Bore: 44.5, BoltCircle: 52, Hole: 4.5})
	require.NoError(t, err)
	require.True(t, hasFinding(g.Findings, "gasket-width", check.Warn))
}

func TestGasketThatCannotBe(t *testing.T) {
	nan := quantity.Length(math.NaN())
	for _, in := range []GasketInput{
		{},
		{Bore: 40, BoltCircle: 52},
		{Bore: 40, BoltCircle: 44, Hole: 4.5},
		{Bore: 47, BoltCircle: 52, Hole: 4.5},
		{Bore: 40, BoltCircle: 52, Hole: 4.5, Inside: 47, Outside: 45},
		{Bore: nan, BoltCircle: 52, Hole: 4.5},
		{Bore: 40, BoltCircle: nan, Hole: 4.5},
		{Bore: 40, BoltCircle: 52, Hole: 4.5, Outside: nan},
		{Bore: 40, BoltCircle: 52, Hole: 4.5, Outside: -3},
	} {
		_, err := GasketSize(in)
		requireInputError(t, err, in)
	}
}
