package threads

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

// Cycle threads by a transcription of BS 811: the sizes, and the depth H - P/3 that
// the round crests and roots leave.
func TestCycleThreads(t *testing.T) {
	for _, row := range reference(t, "cycle_bs811.csv") {
		th := parse(t, row["size"]+" x "+row["tpi"]+" cycle")
		require.Equal(t, Cycle, th.Series)
		printed(t, row["pitch_in"], in(th.Pitch)-1e-6, th) // 1/32 is printed 0.0312
		p := 1 / number(t, row["tpi"])
		size, err := quantity.ParseLength(row["size"] + " in")
		require.NoError(t, err)
		require.InDelta(t, mm(size), mm(th.Major), 1e-9, th)
		require.InDelta(t, in(th.Major)-(math.Sqrt(3)/2-1.0/3)*p, in(th.PitchDiameter()), 1e-5, th)
		require.InDelta(t, in(th.Major)-2*(math.Sqrt(3)/2-1.0/3)*p, in(th.MinorInternal()), 2e-5, th)
		_, ok := th.Limits()
		require.False(t, ok, "the limits of BS 811 were not read")
	}
}

// NPT by two published tables of ASME B1.20.1: pitch diameter at the gauge plane E1,
// lengths L1 and L2 in threads, drills of a chart; E0 at the end of the pipe lies L1/16
// below E1, and is D - (0.05·D + 1.1)·p.
func TestAmericanPipeThreads(t *testing.T) {
	for _, row := range reference(t, "npt.csv") {
		th := parse(t, row["size"]+" NPT")
		require.Equal(t, number(t, row["tpi"]), th.TPI, th)
		printed(t, row["e1_in"], in(th.PitchDiameter()), th)
		require.Equal(t, 1.0/16, th.Taper(), th)
		g, ok := th.GaugePlane()
		require.True(t, ok, th)
		printed(t, row["l1_threads"], float64(g.Length/th.Pitch), th)
		printed(t, row["l2_threads"], float64(g.Useful/th.Pitch), th)
		outside, p := number(t, row["outside_in"]), 1/th.TPI
		e0 := outside - (0.05*outside+1.1)*p
		require.InDelta(t, number(t, row["e0_in"]), e0, 0.6e-5, th)
		// A length printed to a hundredth of a thread is good to p/200/16.
		require.InDelta(t, e0, in(th.PitchDiameter())-in(g.Length)/16, 0.6e-5+p/200/16, th)
		if row["drill"] != "" {
			d, err := ParseDrill(row["drill"])
			require.NoError(t, err)
			require.Equal(t, d, th.TapDrill(StockDrills(), 0).Drill, th)
		}
	}
}

// Screws that move something, by published tables of limits: trapezoidal 7e to the
// micrometre, Acme 2G to a ten-thousandth of an inch.
func TestTraversingLimits(t *testing.T) {
	for _, row := range reference(t, "trapezoidal_7e.csv") {
		th := parse(t, row["designation"])
		l, ok := th.Limits()
		require.True(t, ok, th)
		e := l.External
		require.Equal(t, "7e", e.Class)
		printed(t, row["d_max"], mm(e.MajorMax), th)
		printed(t, row["d_min"], mm(e.MajorMin), th)
		printed(t, row["d2_max"], mm(e.PitchMax), th)
		printed(t, row["d2_min"], mm(e.PitchMin), th)
		printed(t, row["d3_max"], mm(e.MinorMax), th)
		printed(t, row["d3_min"], mm(e.MinorMin), th)
	}
	for _, row := range reference(t, "acme_2g.csv") {
		th := parse(t, row["designation"])
		l, ok := th.Limits()
		require.True(t, ok, th)
		e := l.External
		printed(t, row["major_max"], in(e.MajorMax), th)
		printed(t, row["major_min"], in(e.MajorMin), th)
		printed(t, row["pitch_max"], in(e.PitchMax), th)
		printed(t, row["pitch_min"], in(e.PitchMin), th)
		printed(t, row["minor_max"], in(e.MinorMax), th)
		printed(t, row["minor_min"], in(e.MinorMin), th)
	}
	// Every size has limits, and a nut goes on every screw.
	for _, th := range All() {
		if !th.Form.traversing() {
			continue
		}
		l, ok := th.Limits()
		require.True(t, ok, th)
		require.Greater(t, mm(l.Internal.PitchMin-l.External.PitchMax), 0.05, th)
		require.Greater(t, mm(l.Internal.MinorMin-l.External.MinorMax), 0.2, th)
		require.Less(t, l.Internal.MinorMax, l.External.PitchMin, th)
	}
}

// Metric sizes below M1 by a published table of 6g limits; no hole's were read.
func TestLimitsBelowM1(t *testing.T) {
	for _, row := range reference(t, "metric_below_m1.csv") {
		th := parse(t, row["designation"])
		l, ok := th.Limits()
		require.True(t, ok, th)
		printed(t, row["d_max"], mm(l.External.MajorMax), th)
		printed(t, row["d_min"], mm(l.External.MajorMin), th)
		printed(t, row["d2_max"], mm(l.External.PitchMax), th)
		printed(t, row["d2_min"], mm(l.External.PitchMin), th)
		printed(t, row["d3_max"], mm(l.External.MinorMax), th)
		printed(t, row["d3_min"], mm(l.External.MinorMin), th)
		require.Empty(t, l.Internal.Class, th)
	}
	// The tolerance of the pitch diameter of the hole, 6H, by a tap maker's list.
	for name, um := range map[string]float64{"M1.7": 85, "M2.3": 90, "M2.6": 95} {
		th := parse(t, name)
		require.Equal(t, MetricOther, th.Series)
		l, ok := th.Limits()
		require.True(t, ok, th)
		require.InDelta(t, um/1000, mm(l.Internal.PitchMax-l.Internal.PitchMin), 1e-9, th)
	}
}
