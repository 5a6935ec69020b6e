package boiler

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

func pair(t *testing.T, a, b string) [2]Surface {
	t.Helper()
	x, err := ParseSurface(a)
	require.NoError(t, err)
	y, err := ParseSurface(b)
	require.NoError(t, err)
	return [2]Surface{x, y}
}

// Worked by hand from the planning rule: 24 h·2^1.2·2 = 110 h.
func TestCureWorked(t *testing.T) {
	in := CureInput{Temperature: 8, Surfaces: pair(t, "gunmetal", "stainless"), Gap: 0.10}
	c, err := Cure(in)
	require.NoError(t, err)
	requireDigits(t, "110", c.Full.Hours())
	require.True(t, c.Planning)
	require.Contains(t, c.Source, "planning")
	require.True(t, hasFinding(c.Findings, "cure-planning", check.Ask))

	in.Primer = true
	c, err = Cure(in)
	require.NoError(t, err)
	requireDigits(t, "55", c.Full.Hours())

	in.Temperature, in.Primer = 20, false
	c, err = Cure(in)
	require.NoError(t, err)
	require.Equal(t, 48*time.Hour, c.Full)
	require.Equal(t, 2*time.Hour, c.LowEarliest)
	require.Equal(t, 6*time.Hour, c.LowSure)
}

func TestCureFactors(t *testing.T) {
	for _, row := range []struct {
		in   CureInput
		full time.Duration
	}{
		{CureInput{Temperature: 20, Surfaces: pair(t, "brass", "copper"), Gap: 0.1}, 24 * time.Hour},
		{CureInput{Temperature: 20, Surfaces: pair(t, "brass", "copper")}, 24 * time.Hour},
		{CureInput{Temperature: 20, Surfaces: pair(t, "brass", "copper"), Gap: 0.11}, 48 * time.Hour},
		{CureInput{Temperature: 20, Surfaces: pair(t, "brass", "copper"), Gap: 0.25}, 48 * time.Hour},
		{CureInput{Temperature: 10, Surfaces: pair(t, "brass", "zinc"), Gap: 0.25}, 192 * time.Hour},
		{CureInput{Temperature: 30, Surfaces: pair(t, "cast iron", "steel")}, 12 * time.Hour},
		{CureInput{Temperature: 20, Surfaces: pair(t, "A2", "chrome"), Primer: true}, 24 * time.Hour},
		{CureInput{Temperature: 20, Surfaces: pair(t, "brass", "copper"), Reference: 12 * time.Hour}, 12 * time.Hour},
		// The sheet's word is final, at any temperature it was read for.
		{CureInput{Temperature: 3, Surfaces: pair(t, "brass", "A2"), Sheet: 72 * time.Hour}, 72 * time.Hour},
	} {
		c, err := Cure(row.in)
		require.NoError(t, err)
		require.Equal(t, row.full, c.Full, row.in)
		require.Equal(t, row.in.Sheet == 0, c.Planning)
		require.Equal(t, row.in.Sheet == 0, hasFinding(c.Findings, "cure-planning", check.Ask))
		require.Contains(t, rules(c.Findings), "cure-before-pressure")
	}
}

func TestCureRefuses(t *testing.T) {
	good := pair(t, "brass", "copper")
	nan := math.NaN()
	for _, in := range []CureInput{
		{Temperature: 4.9, Surfaces: good},
		{Temperature: 41, Surfaces: good},
		{Temperature: quantity.Temperature(nan), Surfaces: good},
		{Temperature: 20, Surfaces: good, Gap: 0.26},
		{Temperature: 20, Surfaces: good, Gap: 0.26, Sheet: time.Hour},
		{Temperature: 20, Surfaces: good, Gap: -0.1},
		{Temperature: 20, Surfaces: good, Gap: quantity.Length(nan)},
		{Temperature: 20, Surfaces: pair(t, "stainless", "zinc")},
		{Temperature: 20, Surfaces: pair(t, "stainless", "zinc"), Sheet: time.Hour},
		{Temperature: 20, Surfaces: good, Reference: -time.Hour},
		{Temperature: 20, Surfaces: good, Sheet: -time.Hour},
		{Temperature: 20, Surfaces: good, Sheet: 100000 * time.Hour},
	} {
		_, err := Cure(in)
		requireInputError(t, err, in)
	}
	var word *WordError
	_, err := Cure(CureInput{Temperature: 20})
	require.ErrorAs(t, err, &word)
	_, err = ParseSurface("wood")
	require.ErrorAs(t, err, &word)
	_, err = ParseSurface("stainles")
	require.ErrorContains(t, err, "stainless")
	for _, s := range Surfaces() {
		require.NotEmpty(t, s.Name)
	}
}

// Colder, wider or more passive never cures sooner.
func TestCureIsMonotone(t *testing.T) {
	good, mixed := pair(t, "brass", "copper"), pair(t, "brass", "A2")
	rapid.Check(t, func(t *rapid.T) {
		warm := rapid.Float64Range(6, 40).Draw(t, "warm")
		cold := rapid.Float64Range(5, warm).Draw(t, "cold")
		wide := rapid.Float64Range(0, 0.25).Draw(t, "wide")
		narrow := rapid.Float64Range(0, wide).Draw(t, "narrow")
		a, err := Cure(CureInput{Temperature: quantity.Temperature(warm), Surfaces: good, Gap: quantity.Length(narrow)})
		require.NoError(t, err)
		b, err := Cure(CureInput{Temperature: quantity.Temperature(cold), Surfaces: mixed, Gap: quantity.Length(wide)})
		require.NoError(t, err)
		require.Greater(t, b.Full, a.Full)
		require.LessOrEqual(t, a.LowEarliest, a.LowSure)
		require.Less(t, a.LowSure, a.Full)
	})
}
