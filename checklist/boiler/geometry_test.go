package boiler

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Calculated by hand: 10 mm across flats.
func TestHexagonWorked(t *testing.T) {
	p, err := MillFlats(PolygonInput{Sides: 6, AcrossFlats: 10})
	require.NoError(t, err)
	requireDigits(t, "11.547", float64(p.Bar))
	requireDigits(t, "0.774", math.Ceil(float64(p.Cut)*1000)/1000) // 0.7735, printed as 0.774
	requireDigits(t, "10.77", float64(p.OverOneFlat))
	requireDigits(t, "11.2", float64(p.Chamfered))
	requireDigits(t, "5.774", float64(p.FlatWidth))
	require.Empty(t, p.Findings)
}

func TestFlatsFromABar(t *testing.T) {
	for _, row := range []struct {
		sides              int
		flats, corner, cut string // of a bar of 1 mm
	}{{6, "0.8660", "1.1547", "0.0670"}, {4, "0.7071", "1.4142", "0.1464"}, {8, "0.9239", "1.0824", "0.0381"}} {
		p, err := MillFlats(PolygonInput{Sides: row.sides, Bar: 1})
		require.NoError(t, err)
		requireDigits(t, row.flats, float64(p.AcrossFlats))
		requireDigits(t, row.corner, float64(p.AcrossCorners/p.AcrossFlats))
		requireDigits(t, row.cut, float64(p.Cut))
	}
	// A bar smaller than the corners leaves them round.
	p, err := MillFlats(PolygonInput{Sides: 6, AcrossFlats: 10, Bar: 11})
	require.NoError(t, err)
	require.Contains(t, rules(p.Findings), "round-corners")
	requireDigits(t, "0.5", float64(p.Cut))
	require.Less(t, float64(p.FlatWidth), 5.774)
	left, err := p.LeftToCut(10.6)
	require.NoError(t, err)
	requireDigits(t, "0.1", float64(left))
	left, err = p.LeftToCut(10.4)
	require.NoError(t, err)
	requireDigits(t, "-0.1", float64(left))
	for _, m := range []float64{9, 11.1, math.NaN()} {
		_, err = p.LeftToCut(quantity.Length(m))
		requireInputError(t, err, m)
	}
	for _, in := range []PolygonInput{{}, {Sides: 6}, {Sides: 5, Bar: 10}, {Sides: 2, Bar: 10}, {Sides: 600, Bar: 10},
		{Sides: 6, AcrossFlats: 10, Bar: 10}, {Sides: 6, AcrossFlats: -1}, {Sides: 6, Bar: quantity.Length(math.NaN())}} {
		_, err := MillFlats(in)
		requireInputError(t, err, in)
	}
}

// Calculated by hand for the usual three plates; the first is the worked line.
func TestDividingTable(t *testing.T) {
	for _, row := range []struct{ n, ratio, whole, holes, circle int }{
		{7, 40, 5, 15, 21},
		{3, 40, 13, 5, 15}, {4, 40, 10, 0, 0}, {5, 40, 8, 0, 0}, {6, 40, 6, 10, 15}, {8, 40, 5, 0, 0}, {9, 40, 4, 8, 18},
		{10, 40, 4, 0, 0}, {12, 40, 3, 5, 15}, {18, 40, 2, 4, 18},
		{3, 60, 20, 0, 0}, {4, 60, 15, 0, 0}, {5, 60, 12, 0, 0}, {6, 60, 10, 0, 0}, {7, 60, 8, 12, 21}, {8, 60, 7, 8, 16},
		{9, 60, 6, 10, 15}, {10, 60, 6, 0, 0}, {12, 60, 5, 0, 0}, {18, 60, 3, 5, 15},
		{3, 90, 30, 0, 0}, {4, 90, 22, 8, 16}, {5, 90, 18, 0, 0}, {6, 90, 15, 0, 0}, {7, 90, 12, 18, 21}, {8, 90, 11, 4, 16},
		{9, 90, 10, 0, 0}, {10, 90, 9, 0, 0}, {12, 90, 7, 8, 16}, {18, 90, 5, 0, 0},
		// Two opposite holes: half the ratio.
		{2, 40, 20, 0, 0}, {2, 60, 30, 0, 0}, {2, 90, 45, 0, 0}, {2, 72, 36, 0, 0},
	} {
		d, err := Divide(DividingInput{Divisions: row.n, Ratio: row.ratio})
		require.NoError(t, err)
		require.Equal(t, []int{row.whole, row.holes, row.circle}, []int{d.Whole, d.Holes, d.Circle}, row)
		if row.circle != 0 {
			require.Equal(t, row.holes+1, d.Sector)
			require.NotZero(t, d.Plate)
		}
	}
	d, err := Divide(DividingInput{Divisions: 7})
	require.NoError(t, err)
	require.Equal(t, 2, d.Plate)
	require.Equal(t, []int{49}, d.Others)
	require.Equal(t, []int{51, 25}, []int{d.Degrees, d.Minutes})
	requireDigits(t, "42.9", d.Seconds)
	// 127 x 2° 50' 4.724" is 360°, worked by hand; the angle is given though no circle does.
	d, err = Divide(DividingInput{Divisions: 127})
	require.Error(t, err)
	require.Equal(t, []int{2, 50}, []int{d.Degrees, d.Minutes})
	requireDigits(t, "4.724", d.Seconds)
	_, err = Divide(DividingInput{Divisions: 53})
	var not *NotDivisibleError
	require.True(t, errors.As(err, &not))
	require.Equal(t, 53, not.Multiple)
	require.ErrorContains(t, err, "cannot be had by simple indexing")
	d, err = Divide(DividingInput{Divisions: 53, Circles: []int{106, 53}})
	require.NoError(t, err)
	require.Equal(t, []int{0, 40, 53}, []int{d.Whole, d.Holes, d.Circle})
	require.Zero(t, d.Plate)
	for _, in := range []DividingInput{{}, {Divisions: 1}, {Divisions: -6}, {Divisions: 5000}, {Divisions: 6, Ratio: -40}, {Divisions: 6, Ratio: 4000}, {Divisions: 7, Circles: []int{0}}} {
		_, err := Divide(in)
		requireInputError(t, err, in)
	}
}

// Whole + Holes/Circle is exactly Ratio/Divisions, and so many moves bring the
// work round once.
func TestDividingIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := DividingInput{
			Divisions: rapid.IntRange(2, 1000).Draw(t, "divisions"),
			Ratio:     rapid.SampledFrom([]int{40, 60, 72, 90, 5}).Draw(t, "ratio"),
		}
		if rapid.Bool().Draw(t, "own plates") {
			in.Circles = rapid.SliceOfN(rapid.IntRange(1, 200), 1, 12).Draw(t, "circles")
		}
		want := big.NewRat(int64(in.Ratio), int64(in.Divisions))
		d, err := Divide(in)
		if err != nil {
			var not *NotDivisibleError
			require.True(t, errors.As(err, &not))
			circles := in.Circles
			if circles == nil {
				circles = UsualCircles()
			}
			for _, c := range circles {
				whole := new(big.Rat).Mul(want, big.NewRat(int64(c), 1))
				require.False(t, whole.IsInt(), "%d would have done", c)
			}
			return
		}
		got := big.NewRat(int64(d.Whole), 1)
		if d.Circle != 0 {
			require.Less(t, d.Holes, d.Circle)
			got.Add(got, big.NewRat(int64(d.Holes), int64(d.Circle)))
			for _, c := range d.Others {
				require.Greater(t, c, d.Circle)
				require.True(t, new(big.Rat).Mul(want, big.NewRat(int64(c), 1)).IsInt())
			}
		}
		require.Zero(t, want.Cmp(got))
		require.InDelta(t, float64(d.Angle), float64(d.Degrees)+float64(d.Minutes)/60+d.Seconds/3600, 1e-9)
	})
}

func TestOpposite(t *testing.T) {
	for hole, want := range map[int]int{1: 4, 2: 5, 3: 6, 4: 1, 6: 3} {
		got, ok := Opposite(6, hole)
		require.True(t, ok)
		require.Equal(t, want, got)
	}
	for _, bad := range [][2]int{{5, 1}, {6, 0}, {6, 7}, {0, 0}, {-2, 1}, {1002, 1}} {
		_, ok := Opposite(bad[0], bad[1])
		require.False(t, ok, bad)
	}
}

func TestCrossHoleOffset(t *testing.T) {
	off, err := CrossHoleOffset(0.12)
	require.NoError(t, err)
	requireDigits(t, "0.06", float64(off))
	_, err = CrossHoleOffset(-1)
	requireInputError(t, err, -1)
}

// Calculated by hand: a lever of 60 mm.
func TestStops(t *testing.T) {
	for angle, chord := range map[quantity.Angle]string{30: "31.1", 60: "60.0", 90: "84.9"} {
		got, err := StopChord(60, angle)
		require.NoError(t, err)
		requireDigits(t, chord, float64(got))
	}
	rapid.Check(t, func(t *rapid.T) {
		lever := quantity.Length(rapid.Float64Range(1, 1000).Draw(t, "lever"))
		angle := quantity.Angle(rapid.Float64Range(0.01, 179.9).Draw(t, "angle"))
		chord, err := StopChord(lever, angle)
		require.NoError(t, err)
		back, err := StopAngle(lever, chord)
		require.NoError(t, err)
		require.InDelta(t, float64(angle), float64(back), 1e-6)
	})
	for _, bad := range [][2]float64{{0, 30}, {60, 0}, {60, 181}, {-1, 30}, {math.NaN(), 30}, {60, math.NaN()}} {
		_, err := StopChord(quantity.Length(bad[0]), quantity.Angle(bad[1]))
		requireInputError(t, err, bad)
	}
	for _, bad := range [][2]float64{{60, 121}, {0, 1}, {60, math.NaN()}} {
		_, err := StopAngle(quantity.Length(bad[0]), quantity.Length(bad[1]))
		requireInputError(t, err, bad)
	}
}

func TestDiscAngle(t *testing.T) {
	// 2·asin((4 + 1)/(2·5)) = 60°.
	angle, findings, err := DiscAngle(4, 1, 5)
	require.NoError(t, err)
	requireDigits(t, "60.00", float64(angle))
	require.Empty(t, findings)
	_, findings, err = DiscAngle(4, 0.5, 5)
	require.NoError(t, err)
	require.True(t, hasFinding(findings, "disc-lap", check.Warn))
	for _, bad := range [][3]float64{{0, 1, 5}, {4, -1, 5}, {4, 1, 0}, {20, 1, 5}, {math.NaN(), 1, 5}} {
		_, _, err := DiscAngle(quantity.Length(bad[0]), quantity.Length(bad[1]), quantity.Length(bad[2]))
		requireInputError(t, err, bad)
	}
}
