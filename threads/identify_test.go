package threads

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

func tpi(n float64) quantity.Length { return quantity.Length(25.4 / n) }

func identified(list []Candidate) (out []string) {
	for _, c := range list {
		if c.Fits {
			out = append(out, c.Thread.String())
		}
	}
	return out
}

func TestIdentify(t *testing.T) {
	for name, c := range map[string]struct {
		m    Measurement
		want []string // the first ones
	}{
		"brass or BSF":         {Measurement{Major: 6.30, Pitch: tpi(26)}, []string{"1/4 x 26 brass", "1/4 BSF"}},
		"M6 or 0 BA":           {Measurement{Major: 5.92, Pitch: 1}, []string{"M6", "0 BA"}},
		"10 threads in 8 mm":   {Measurement{Major: 4.92, Count: 10, Over: 8}, []string{"M5"}},
		"2 BA, well counted":   {Measurement{Major: 4.62, Count: 30, Over: 24.3}, []string{"2 BA"}},
		"40 TPI":               {Measurement{Major: 6.27, Pitch: tpi(40)}, []string{"1/4 x 40 ME"}},
		"hole of 1/4 x 32":     {Measurement{Minor: 5.6, Pitch: tpi(32)}, []string{"1/4 x 32 ME"}},
		"worn M8":              {Measurement{Major: 7.7, Pitch: 1.25}, []string{"M8"}},
		"G 1/8":                {Measurement{Major: 9.68, Pitch: tpi(28)}, []string{"G 1/8", "R 1/8"}},
		"tapped hole by major": {Measurement{Major: 6.05, Pitch: 1, Internal: true}, []string{"M6", "0 BA"}},
	} {
		list, err := Identify(c.m)
		require.NoError(t, err, name)
		got := identified(list)
		require.GreaterOrEqual(t, len(got), len(c.want), "%s: %v", name, got)
		require.Equal(t, c.want, got[:len(c.want)], name)
		require.NotEmpty(t, Settle(c.m, list), name)
	}
}

// Worn screws and holes as they come out of old fittings, with callipers and gauges
// good to a few hundredths: the right thread comes first. Sizes are those of the
// standards less the wear named; where two threads cannot be told apart by such a
// measurement, both stand. By the author; no published list of this kind exists.
func TestIdentifyWornThreads(t *testing.T) {
	for _, c := range []struct {
		m    Measurement
		want []string // any of these
	}{
		{Measurement{Major: 3.55, Pitch: tpi(38)}, []string{"4 BA"}}, // a Whitworth gauge on 0.66 mm
		{Measurement{Major: 3.5, Count: 15, Over: 9.9}, []string{"4 BA"}},
		{Measurement{Major: 4.62, Pitch: tpi(31)}, []string{"2 BA"}},
		{Measurement{Major: 4.65, Pitch: 0.8}, []string{"2 BA"}}, // a metric gauge has no 0.81
		{Measurement{Major: 3.12, Pitch: 0.6}, []string{"5 BA"}}, // nor 0.59
		{Measurement{Major: 2.72, Pitch: tpi(48)}, []string{"6 BA"}},
		{Measurement{Major: 2.12, Pitch: tpi(59)}, []string{"8 BA"}},
		{Measurement{Major: 4.02, Pitch: tpi(35)}, []string{"3 BA"}},
		{Measurement{Major: 5.2, Pitch: 0.9}, []string{"1 BA"}},
		{Measurement{Major: 3.9, Pitch: 0.7}, []string{"M4"}},
		{Measurement{Major: 4.9, Pitch: 0.8}, []string{"M5"}},
		{Measurement{Major: 9.9, Pitch: 1}, []string{"M10x1"}},
		{Measurement{Major: 3.9, Pitch: tpi(40)}, []string{"5/32 x 40 ME"}},
		{Measurement{Major: 3.9, Pitch: tpi(32)}, []string{"5/32 BSW"}},
		{Measurement{Major: 4.76, Pitch: tpi(32)}, []string{"3/16 x 32 ME", "3/16 BSF"}}, // before 10-32 UNF
		{Measurement{Major: 4.8, Pitch: tpi(32)}, []string{"10-32 UNF"}},
		{Measurement{Major: 4.68, Pitch: tpi(40)}, []string{"3/16 x 40 ME"}},
		{Measurement{Major: 4.68, Pitch: tpi(24)}, []string{"3/16 BSW"}},
		{Measurement{Major: 5.48, Pitch: tpi(40)}, []string{"7/32 x 40 ME"}},
		{Measurement{Major: 6.25, Pitch: tpi(32)}, []string{"1/4 x 32 ME"}},
		{Measurement{Major: 6.25, Pitch: tpi(20)}, []string{"1/4 BSW"}},
		{Measurement{Major: 7.85, Pitch: tpi(22)}, []string{"5/16 BSF"}},
		{Measurement{Major: 12.6, Pitch: tpi(26)}, []string{"1/2 x 26 brass", "1/2 x 26 ME"}},
		{Measurement{Major: 9.6, Pitch: tpi(28)}, []string{"G 1/8"}},
		{Measurement{Major: 13, Pitch: tpi(19)}, []string{"G 1/4"}},
		{Measurement{Major: 3.45, Pitch: tpi(32)}, []string{"6-32 UNC"}},
		{Measurement{Minor: 4, Pitch: 0.81}, []string{"2 BA"}},
		{Measurement{Minor: 7.2, Pitch: tpi(32)}, []string{"5/16 x 32 ME"}},
		{Measurement{Minor: 2.55, Pitch: 0.5}, []string{"M3"}},
		{Measurement{Major: 4.63}, []string{"2 BA"}},
		{Measurement{Major: 3.55}, []string{"4 BA"}},
	} {
		list, err := Identify(c.m)
		require.NoError(t, err, "%+v", c.m)
		require.True(t, list[0].Fits, "%+v", c.m)
		require.Contains(t, c.want, list[0].Thread.String(), "%+v", c.m)
	}
}

// What a metric pitch gauge can show of a pitch: its nearest leaf.
func TestPitchGaugeLeaves(t *testing.T) {
	for _, c := range []struct {
		shown, pitch quantity.Length
		same         bool
	}{
		{0.6, 0.59, true}, {0.8, 0.81, true}, {0.8, tpi(32), true}, {0.5, 0.53, true}, {1, tpi(26), true}, {2.5, 2.5, true},
		{0.6, 0.66, false}, {0.79, 0.81, false}, {0.75, 0.81, false}, {0, 0.81, false},
	} {
		require.Equal(t, c.same, Measurement{Pitch: c.shown}.sameLeaf(c.pitch), "%+v", c)
	}
	require.False(t, Measurement{Pitch: 0.8, Count: 10, Over: 8}.sameLeaf(0.8))
}

// Every thread, measured at the middle of its own limits or a little worn, is
// among its candidates, and first but for threads as near.
func TestIdentifyFindsEveryThread(t *testing.T) {
	for _, th := range All() {
		m := Measurement{Major: th.Major - 0.05*th.Pitch, Pitch: th.Pitch}
		if th.Series == PipeRc || th.Series == PipeRp {
			m = Measurement{Minor: th.HoleFor(75), Pitch: th.Pitch}
		}
		list, err := Identify(m)
		require.NoError(t, err, th)
		require.Contains(t, identified(list), th.String())
		first := list[0]
		require.InDelta(t, 0, first.PitchDifference, 1.75, "%s gives %s", th, first.Thread)
	}
}

func TestIdentifyWithoutAPitchAsksForIt(t *testing.T) {
	m := Measurement{Major: 6.3}
	list, err := Identify(m)
	require.NoError(t, err)
	require.Greater(t, len(list), 4)
	require.False(t, list[0].HasPitch)
	require.Contains(t, Settle(m, list), "Measure the pitch")
}

// A gauge is trusted to 1.75 %, a long count further.
func TestPitchErrorAllowed(t *testing.T) {
	list, err := Identify(Measurement{Major: 5.95, Pitch: 1.014})
	require.NoError(t, err)
	require.Contains(t, identified(list), "M6")
	for _, m := range []Measurement{{Major: 5.95, Pitch: 1.02}, {Major: 5.95, Count: 50, Over: 51}} {
		list, err = Identify(m)
		require.NoError(t, err)
		require.NotContains(t, identified(list), "M6", "%+v", m)
	}
}

func TestSettle(t *testing.T) {
	for name, c := range map[string]struct {
		m    Measurement
		want string
	}{
		"same metal":   {Measurement{Major: 7.12, Pitch: tpi(26), Error: 0.01, Wear: 0.01}, "the names mean the same thread. Try a known 9/32"},
		"55 or 60":     {Measurement{Major: 6.28, Pitch: tpi(26)}, "This cannot tell 1/4 x 26 brass from 1/4 x 26 cycle. Hold an angle gauge"},
		"diameter":     {Measurement{Major: 4.63}, "This cannot tell 2 BA from"},
		"form":         {Measurement{Major: 5.95, Pitch: 1, Error: 0.01, Wear: 0.05}, "angle gauge"},
		"count longer": {Measurement{Major: 7.9, Pitch: 0.99}, "Count the threads over"},
	} {
		list, err := Identify(c.m)
		require.NoError(t, err, name)
		require.Contains(t, Settle(c.m, list), c.want, "%s: %v", name, identified(list))
	}
	m := Measurement{Major: 200, Pitch: 3.3}
	list, err := Identify(m)
	require.NoError(t, err)
	require.Len(t, list, 3)
	require.False(t, list[0].Fits)
	require.Contains(t, Settle(m, list), "Nothing fits")
	require.Empty(t, Settle(m, nil))
}

// What turns up on a bench and is no thread of a fitting: held here with what it is met
// in, or named as a stranger.
func TestIdentifyKnowsOtherTrades(t *testing.T) {
	for name, c := range map[string]struct {
		m    Measurement
		want string // held here; what it is met in follows the colon
	}{
		"cycle":      {Measurement{Major: 6.28, Pitch: tpi(26)}, "1/4 x 26 cycle: bicycles and motor-cycles"},
		"cycle axle": {Measurement{Major: 9.45, Pitch: tpi(26)}, "3/8 x 26 cycle: bicycles and motor-cycles"},
		"bracket":    {Measurement{Major: 34.7, Pitch: tpi(24)}, "1.37 x 24 cycle: bicycles and motor-cycles"},
		"lamp brass": {Measurement{Major: 9.45, Pitch: tpi(26)}, "3/8 x 26 brass: gas and lamp fittings of brass as well"},
		"gauge":      {Measurement{Major: 10.2, Pitch: tpi(27)}, "1/8-27 NPT: American pipes and gauges; NPTF, which seals dry on its crests, has the same sizes"},
		"gauge end":  {Measurement{Major: 13.4, Pitch: tpi(18)}, "1/4-18 NPT: American pipes and gauges; NPTF, which seals dry on its crests, has the same sizes"},
		"model":      {Measurement{Major: 3.13, Pitch: tpi(60)}, "1/8 x 60 ME: small model work"},
		"camera":     {Measurement{Major: 6.3, Pitch: tpi(20)}, "1/4-20 UNC: camera stands as well (ISO 1222)"},
		"watch":      {Measurement{Major: 0.79, Pitch: 0.2}, "M0.8: watches"},
		"clock":      {Measurement{Major: 2.58, Pitch: 0.45}, "M2.6: cameras, clocks and instruments"},
	} {
		list, err := Identify(c.m)
		require.NoError(t, err, name)
		var met []string
		for _, x := range list {
			require.True(t, x.Fits, name)
			met = append(met, x.Thread.String()+": "+x.Thread.MetIn())
		}
		require.Contains(t, met, c.want, name)
	}
	strangers := func(m Measurement) (names []string) {
		for _, s := range Strangers(m) {
			require.NotEmpty(t, s.Source)
			names = append(names, s.Name)
		}
		return names
	}
	require.Equal(t, []string{"lamp pipe 1/8 x 27 parallel"}, strangers(Measurement{Major: 10.02, Count: 27, Over: 25.4}))
	require.Equal(t, []string{"tyre valve, 7.75 mm x 32 TPI"}, strangers(Measurement{Major: 7.7, Pitch: tpi(32)}))
	require.Empty(t, strangers(Measurement{Major: 7.7}), "a diameter alone names no stranger")
	require.Empty(t, strangers(Measurement{Major: 7.4, Pitch: tpi(32)}))
	require.Empty(t, strangers(Measurement{Major: 7.7, Pitch: tpi(28)}))
	require.Empty(t, strangers(Measurement{Major: -7.7, Pitch: tpi(32)}))
	// A taper thread is confused with one that is as large somewhere along it.
	var with []string
	for _, c := range parse(t, "1/8 NPT").Confusables() {
		with = append(with, c.With.String())
	}
	require.Contains(t, with, "G 1/8")
}

func TestIdentifyRefusesNonsense(t *testing.T) {
	nan, inf := quantity.Length(math.NaN()), quantity.Length(math.Inf(1))
	for _, m := range []Measurement{
		{}, {Pitch: 1}, {Major: -6}, {Major: nan}, {Major: inf}, {Major: 6, Pitch: -1}, {Major: 6, Pitch: nan}, {Major: 6, Pitch: 5},
		{Major: 1e6}, {Major: 6, Minor: 7}, {Major: 6, Count: 5}, {Major: 6, Over: 5}, {Major: 6, Count: -1, Over: 5},
		{Major: 6, Count: 5, Over: 5, Pitch: 1}, {Major: 6, Count: 2000, Over: 5}, {Major: 6, Wear: -1}, {Major: 6, Error: inf}, {Major: 6, Pitch: 0.01},
	} {
		_, err := Identify(m)
		require.Error(t, err, "%+v", m)
	}
}

// The pairs that are confused and what happens: common practice and the lead
// arithmetic 12 / difference in percent.
func TestConfusions(t *testing.T) {
	for _, c := range []struct{ a, b, what string }{
		{"1/4 brass", "1/4 BSF", "interchange"},
		{"1/8 x 40 ME", "1/8 BSW", "interchange"},
		{"3/16 x 32 ME", "3/16 BSF", "interchange"},
		{"0 BA", "M6", "flanks do not bear"},
		{"1/4 BSW", "1/4-20 UNC", "flanks do not bear"},
		{"M5", "10-32 UNF", "15 turns"},
		{"M5", "2 BA", "M5 cannot enter 2 BA"},
		{"2 BA", "3/16 x 32 ME", "6 turns"},
		{"M6", "1/4 brass", "5 turns"},
		{"M8x1", "5/16 brass", "5 turns"},
		{"M4", "3 BA", "3 turns"},
		{"M2.2", "8 BA", "3 turns"},
		{"M6x0.75", "1/4 x 32 ME", "2 turns"},
		{"M8x0.75", "5/16 x 32 ME", "2 turns"},
		{"3/8 brass", "G 1/8", "jams within 2 turns"},
		{"1/4 x 32 ME", "1/4 x 40 ME", "jams"},
		{"G 1/8", "R 1/8", "taper"},
	} {
		a, b := parse(t, c.a), parse(t, c.b)
		require.Contains(t, Confuse(a, b).What, c.what, "%s with %s", a, b)
		for _, pair := range [][2]Thread{{a, b}, {b, a}} {
			found := false
			for _, x := range pair[0].Confusables() {
				found = found || x.With == pair[1]
			}
			require.True(t, found, "%s does not warn of %s", pair[0], pair[1])
		}
	}
}
