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

// The boiler of the worked examples: six litres, 125 mm barrel of 3 mm copper,
// 20 ml of air, tested at 14 bar.
func example() Shell {
	return Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Air: 20}
}

// Worked by hand from the bulk modulus of water, thin-shell theory and Boyle's law.
func TestFillWorked(t *testing.T) {
	f, err := Fill(example(), 14)
	require.NoError(t, err)
	requireDigits(t, "3.85", float64(f.PumpWater))
	requireDigits(t, "2.72", float64(f.PumpShell))
	// The hand calculation prints 18.7 from an atmosphere of 1.013 bar.
	requireDigits(t, "18.65", float64(f.PumpAir))
	requireDigits(t, "25.2", float64(f.Pump))
	requireDigits(t, "6.6", float64(f.WithoutAir))
	requireDigits(t, "0.078", float64(f.WithoutAir)/6/14) // ml per litre per bar
	requireDigits(t, "0.560", f.Stiffness)
	requireDigits(t, "0.47", f.StiffnessWithoutAir)
	// Energy: ½p²C of water and shell, Boyle's law for the air.
	requireDigits(t, "4.6", f.Energy)
	requireDigits(t, "5.5", f.EnergyAir)
	litre := example()
	litre.Air = 1000
	f, err = Fill(litre, 14)
	require.NoError(t, err)
	require.InDelta(t, 270, f.EnergyAir, 5)
}

func TestFillFindings(t *testing.T) {
	f, err := Fill(example(), 14)
	require.NoError(t, err)
	require.True(t, hasFinding(f.Findings, "air-left", check.Warn))
	require.True(t, warns(f.Findings, "stand-clear"))
	tight := example()
	tight.Air = 2
	f, err = Fill(tight, 14)
	require.NoError(t, err)
	require.NotContains(t, rules(f.Findings), "air-left")
	tight.Water = 10
	f, err = Fill(tight, 14)
	require.NoError(t, err)
	require.True(t, hasFinding(f.Findings, "cold-water", check.Warn))
	tight.Water = 45
	f, err = Fill(tight, 14)
	require.NoError(t, err)
	require.True(t, hasFinding(f.Findings, "hot-water", check.Stop))
	f, err = Fill(example(), 0)
	require.NoError(t, err)
	require.Zero(t, f.Pump)
}

func TestPumpStrokes(t *testing.T) {
	v, err := PumpStroke(9.5, 20)
	require.NoError(t, err)
	requireDigits(t, "1.42", float64(v))
	f, err := Fill(example(), 14)
	require.NoError(t, err)
	requireDigits(t, "18", float64(f.Pump/v))
	// The hand calculation divides the rounded 6.6 by 1.42 for 4.7.
	require.InDelta(t, 4.7, float64(f.WithoutAir/v), 0.1)
	for _, bad := range [][2]quantity.Length{{0, 20}, {9.5, 0}, {-1, 20}, {quantity.Length(math.NaN()), 20}, {9.5, 1e9}} {
		_, err := PumpStroke(bad[0], bad[1])
		requireInputError(t, err, bad)
	}
}

// What is pumped from 0 to b is what is pumped from 0 to a and from a to b, the
// parts sum to the whole, and the stiffness is its slope.
func TestPumpedVolumeSplitsAndSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Shell{
			Volume:   quantity.Volume(rapid.Float64Range(500, 50000).Draw(t, "volume")),
			Diameter: quantity.Length(rapid.Float64Range(60, 300).Draw(t, "diameter")),
			Wall:     quantity.Length(rapid.Float64Range(1, 6).Draw(t, "wall")),
			Metal:    rapid.SampledFrom(ShellMetals()).Draw(t, "metal"),
			Air:      quantity.Volume(rapid.Float64Range(0, 400).Draw(t, "air")),
			Water:    quantity.Temperature(rapid.Float64Range(5, 40).Draw(t, "water")),
		}
		b := quantity.Pressure(rapid.Float64Range(1, 30).Draw(t, "b"))
		a := b * quantity.Pressure(rapid.Float64Range(0.1, 0.9).Draw(t, "part"))
		atA, err := Fill(s, a)
		require.NoError(t, err)
		atB, err := Fill(s, b)
		require.NoError(t, err)
		require.Less(t, atA.Pump, atB.Pump)
		require.InDelta(t, float64(atB.Pump), float64(atB.PumpWater+atB.PumpShell+atB.PumpAir), 1e-9)
		require.InDelta(t, float64(atB.WithoutAir), float64(atB.PumpWater+atB.PumpShell), 1e-9)

		// Air and stiffness come back out of two intervals.
		low := a / 2
		atLow, err := Fill(s, low)
		require.NoError(t, err)
		air, stiffness, err := AirFromIntervals(Intervals{
			Low: low, Middle: a, High: b,
			LowToMiddle: atA.Pump - atLow.Pump, MiddleToHigh: atB.Pump - atA.Pump, Boiler: s.Volume,
		})
		require.NoError(t, err)
		require.InDelta(t, float64(s.Air), float64(air), 1e-5*float64(s.Volume))
		require.InEpsilon(t, atB.StiffnessWithoutAir, stiffness, 1e-4)

		// The slope of the volume is the stiffness.
		const step = 1e-4
		next, err := Fill(s, b+step)
		require.NoError(t, err)
		require.InEpsilon(t, atB.Stiffness, float64(next.Pump-atB.Pump)/step, 1e-4)

		// An air volume worked out from what was pumped is the air that was there.
		back, _, err := AirFromPumped(s, b, atB.Pump)
		require.NoError(t, err)
		require.InDelta(t, float64(s.Air), float64(back), 1e-6)
	})
}

// Worked by hand: 2 to 7 bar 6.543 ml, 7 to 14 bar 4.465 ml.
func TestAirFromIntervalsWorked(t *testing.T) {
	air, stiffness, err := AirFromIntervals(Intervals{Low: 2, Middle: 7, High: 14, LowToMiddle: 6.543, MiddleToHigh: 4.465})
	require.NoError(t, err)
	requireDigits(t, "20.0", float64(air))
	// The hand calculation prints 0.4695; the third decimals of its own two
	// volumes leave that much open.
	require.InDelta(t, 0.4695, stiffness, 0.0002)
}

func TestAirThatCannotBe(t *testing.T) {
	good := Intervals{Low: 2, Middle: 7, High: 14, LowToMiddle: 6.543, MiddleToHigh: 4.465}
	nan := math.NaN()
	for name, change := range map[string]func(*Intervals){
		"falling":          func(in *Intervals) { in.Middle = 1 },
		"equal":            func(in *Intervals) { in.High = 7 },
		"negative":         func(in *Intervals) { in.Low = -2 },
		"not a number":     func(in *Intervals) { in.High = quantity.Pressure(nan) },
		"no water":         func(in *Intervals) { in.LowToMiddle = 0 },
		"negative water":   func(in *Intervals) { in.MiddleToHigh = -1 },
		"leaking":          func(in *Intervals) { in.MiddleToHigh = 40 },
		"more than boiler": func(in *Intervals) { in.Boiler = 19 },
		"no give":          func(in *Intervals) { in.LowToMiddle = 60 },
		"thin air":         func(in *Intervals) { in.Atmosphere = 0.1 },
	} {
		in := good
		change(&in)
		_, _, err := AirFromIntervals(in)
		requireInputError(t, err, name)
	}
}

func TestAirFromPumped(t *testing.T) {
	air, findings, err := AirFromPumped(example(), 14, 25.2)
	require.NoError(t, err)
	requireDigits(t, "20", float64(air))
	require.True(t, hasFinding(findings, "air-left", check.Warn))
	air, findings, err = AirFromPumped(example(), 14, 7)
	require.NoError(t, err)
	require.Less(t, float64(air), 0.6)
	require.Empty(t, findings)
	air, findings, err = AirFromPumped(example(), 14, 3)
	require.NoError(t, err)
	require.Zero(t, air)
	require.True(t, hasFinding(findings, "pumped-less", check.Ask))
	for _, v := range []float64{-1, math.NaN(), 7000, 1e9} {
		_, _, err := AirFromPumped(example(), 14, quantity.Volume(v))
		requireInputError(t, err, v)
	}
	_, _, err = AirFromPumped(example(), 0, 3)
	requireInputError(t, err, 0)
}

// Worked by hand: half a bar lost in ten minutes.
func TestLeakWorked(t *testing.T) {
	l, err := LeakFromDecay(example(), 14, Decay{Drop: 0.5, Over: 10 * time.Minute})
	require.NoError(t, err)
	requireDigits(t, "0.560", l.Stiffness)
	requireDigits(t, "0.028", l.Rate)
	requireDigits(t, "1.8", 1/l.DropsPerMinute) // minutes for a drop
	// Nobody logged the water: neither yes nor no.
	require.False(t, l.Distinguishable)
	require.True(t, l.Unknown)
	require.Equal(t, l.Rate, l.RateCorrected)
	require.True(t, hasFinding(l.Findings, "temperature-unknown", check.Ask))

	// Conversely a drop a second, 3 ml/min, is 5.4 bar/min and passes a hole of 0.044 mm.
	requireDigits(t, "5.4", 3/l.Stiffness)
	hole, err := HoleFor(3, 14)
	require.NoError(t, err)
	requireDigits(t, "0.044", float64(hole))

	// 100 ml of air hides it: C = 0.92, decay 40 % slower.
	airy := example()
	airy.Air = 100
	f, err := Fill(airy, 14)
	require.NoError(t, err)
	requireDigits(t, "0.92", f.Stiffness)
	requireDigits(t, "0.4", 1-l.Stiffness/f.Stiffness)
}

// Worked by hand from handbook expansions of water and copper.
func TestTemperatureDuringAHold(t *testing.T) {
	for water, printed := range map[quantity.Temperature]string{5: "-0.4", 10: "0.4", 15: "1.1", 20: "1.7", 30: "2.7"} {
		s := example()
		s.Water = water
		got, err := WarmingRise(s, 14)
		require.NoError(t, err)
		requireDigits(t, printed, got, water)
	}

	for _, row := range []struct {
		warmed          float64
		water           quantity.Temperature
		distinguishable bool
	}{
		{-0.3, 20, false}, // a fall of 0.3 K explains half a bar
		{-0.2, 20, true},
		{0, 20, true},
		{0.3, 20, true}, // warming raises the pressure: it explains no drop
		{1.6, 5, false}, // but near freezing the copper outgrows the water
		{-1.6, 5, true},
	} {
		s := example()
		s.Water = row.water
		l, err := LeakFromDecay(s, 14, Decay{Drop: 0.5, Over: 10 * time.Minute, Warmed: row.warmed, WarmedKnown: true})
		require.NoError(t, err)
		require.Equal(t, row.distinguishable, l.Distinguishable, row)
		require.False(t, l.Unknown, row)
		require.Equal(t, !row.distinguishable, hasFinding(l.Findings, "decay-temperature", check.Warn), row)
		if row.distinguishable && row.warmed != 0 {
			require.NotEqual(t, l.Rate, l.RateCorrected, row)
		}
	}
	// Less than a tenth of a kelvin hides a drop smaller than itself.
	l, err := LeakFromDecay(example(), 14, Decay{Drop: 0.1, Over: 10 * time.Minute})
	require.NoError(t, err)
	require.False(t, l.Distinguishable)
	require.False(t, l.Unknown)
}

// The corrected rate is the leak that was put in, whatever the temperature did.
func TestLeakCorrection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := example()
		s.Water = quantity.Temperature(rapid.Float64Range(4, 35).Draw(t, "water"))
		drop := rapid.Float64Range(0.05, 3).Draw(t, "drop")
		warmed := rapid.Float64Range(-2, 2).Draw(t, "warmed")
		minutes := rapid.IntRange(1, 120).Draw(t, "minutes")
		l, err := LeakFromDecay(s, 14, Decay{Drop: quantity.Pressure(drop), Over: time.Duration(minutes) * time.Minute, Warmed: warmed, WarmedKnown: true})
		require.NoError(t, err)
		want := l.Rate + l.TemperaturePerK*l.Stiffness*warmed/float64(minutes)
		require.InDelta(t, max(want, 0), l.RateCorrected, 1e-9)
		require.GreaterOrEqual(t, float64(l.Explained), math.Abs(l.TemperaturePerK)*0.1-1e-12)
	})
}

func TestLeaksThatCannotBe(t *testing.T) {
	nan := math.NaN()
	good := Decay{Drop: 0.5, Over: 10 * time.Minute}
	for name, try := range map[string]struct {
		s Shell
		p float64
		d Decay
	}{
		"time backwards": {example(), 14, Decay{Drop: 0.5, Over: -time.Minute}},
		"no time":        {example(), 14, Decay{Drop: 0.5}},
		"an age":         {example(), 14, Decay{Drop: 0.5, Over: 10000 * time.Hour}},
		"negative drop":  {example(), 14, Decay{Drop: -0.5, Over: time.Minute}},
		"no drop":        {example(), 14, Decay{Over: time.Minute}},
		"drop too large": {example(), 14, Decay{Drop: 15, Over: time.Minute}},
		"drop NaN":       {example(), 14, Decay{Drop: quantity.Pressure(nan), Over: time.Minute}},
		"warmed NaN":     {example(), 14, Decay{Drop: 0.5, Over: time.Minute, Warmed: nan}},
		"warmed absurd":  {example(), 14, Decay{Drop: 0.5, Over: time.Minute, Warmed: 80}},
		"pressure":       {example(), 61, good},
		"no pressure":    {example(), 0, good},
		"negative":       {example(), -1, good},
		"pressure NaN":   {example(), nan, good},
		"all air":        {Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Air: 6000}, 14, good},
		"more air":       {Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Air: 7000}, 14, good},
		"negative air":   {Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Air: -1}, 14, good},
		"no volume":      {Shell{Diameter: 125, Wall: 3, Metal: Copper()}, 14, good},
		"thick":          {Shell{Volume: 6000, Diameter: 125, Wall: 40, Metal: Copper()}, 14, good},
		"thick small":    {Shell{Volume: 6000, Diameter: 60, Wall: 15, Metal: Copper()}, 14, good},
		"ice":            {Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Water: -3}, 14, good},
		"steam":          {Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Water: 120}, 14, good},
		"moon":           {Shell{Volume: 6000, Diameter: 125, Wall: 3, Metal: Copper(), Atmosphere: 0.01}, 14, good},
	} {
		_, err := LeakFromDecay(try.s, quantity.Pressure(try.p), try.d)
		requireInputError(t, err, name)
	}
	var word *WordError
	_, err := Fill(Shell{Volume: 6000, Diameter: 125, Wall: 3}, 14)
	require.ErrorAs(t, err, &word)
	_, err = ParseShellMetal("wood")
	require.ErrorAs(t, err, &word)
	_, err = WarmingRise(example(), 99)
	requireInputError(t, err, 99)
	for _, v := range []float64{-1, nan, 1e9} {
		_, err := HoleFor(v, 14)
		requireInputError(t, err, v)
		_, err = HoleFor(1, quantity.Pressure(v))
		requireInputError(t, err, v)
	}
}

func TestPathFromTwo(t *testing.T) {
	for _, row := range []struct {
		q2   float64
		n    string
		kind string
	}{
		{math.Sqrt2, "0.5", "hole"}, {2, "1.0", "narrow path"}, {4, "2.0", "opening joint"}, {0.5, "-1.0", "closing"},
	} {
		p, err := PathFromTwo(1, 7, row.q2, 14)
		require.NoError(t, err)
		requireDigits(t, row.n, p.Exponent)
		require.Equal(t, row.kind, p.Kind)
		require.NotEmpty(t, p.Meaning)
	}
	for _, bad := range [][4]float64{{0, 7, 1, 14}, {1, 7, -1, 14}, {1, 7, 1, 7.1}, {1, 0, 1, 14}, {1, 7, math.NaN(), 14}, {1, 7, 1, math.Inf(1)}} {
		_, err := PathFromTwo(bad[0], quantity.Pressure(bad[1]), bad[2], quantity.Pressure(bad[3]))
		requireInputError(t, err, bad)
	}
}

// ISO 5208:2015, liquid rates, worked for DN 10: D 0.06, F 0.6, G 1.2 ml/min.
func TestSeatRates(t *testing.T) {
	for q, letter := range map[float64]string{0: "A", 0.06: "D", 0.0601: "E", 0.6: "F", 1.2: "G", 1.21: ""} {
		got, err := SeatRateOf(q, 10)
		require.NoError(t, err)
		require.Equal(t, letter, got, q)
	}
	_, err := SeatRateOf(-1, 10)
	requireInputError(t, err, -1)
	_, err = SeatRateOf(1, 0)
	requireInputError(t, err, 0)
}
