package threads

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

// BA: BS 93 as printed in Machinery's Handbook, 31st edition, p. 2115.
func TestBABasicDimensions(t *testing.T) {
	for _, row := range reference(t, "ba_threads.csv") {
		th := parse(t, row["BA"]+" BA")
		printed(t, row["pitch_pub_mm"], mm(th.Pitch), th)
		printed(t, row["major_pub_mm"], mm(th.Major), th)
		printed(t, row["depth_pub_mm"], mm(th.FullDepth())/2, th)
		printed(t, row["effective_pub_mm"], mm(th.PitchDiameter()), th)
		printed(t, row["minor_pub_mm"], mm(th.MinorInternal()), th)
		if want := row["hex_AF_1.75D_in"]; want != "" && th.Major > 1.1 {
			// The table rounds 1.75 D to four places, the spanner to three.
			size, _, ok := th.Spanner()
			require.True(t, ok)
			require.InDelta(t, number(t, want), in(size), 0.00055, th)
			printed(t, row["hex_AF_memory_in"], in(size), th)
		}
		// Published tapping drills (International Brotherhood of Live Steamers,
		// British Fasteners) lie in the list of useful drills.
		for _, name := range []string{row["tapdrill_IBLS_no"], row["tapdrill_BF_no"]} {
			if name == "" {
				continue
			}
			d, err := ParseDrill("No " + name)
			require.NoError(t, err)
			got := th.Engagement(d.Diameter)
			if th.Size == "14" && name == "70" {
				continue // 0.711 mm, below the core of 0.72: a slip of that list
			}
			require.Greater(t, got, 50.0, "%s %s", th, d.Name)
			require.Less(t, got, 100.0, "%s %s", th, d.Name)
		}
	}
}

// The limits of BS 93 by hand from the formulas of Machinery's Handbook, 31st
// edition, p. 2115: 2 BA p 0.81, 12 BA p 0.28.
func TestBALimits(t *testing.T) {
	l, ok := parse(t, "2 BA").Limits()
	require.True(t, ok)
	printed(t, "4.675", mm(l.External.MajorMax)) // 4.7 - 0.025
	printed(t, "4.513", mm(l.External.MajorMin)) // - 0.162
	printed(t, "4.190", mm(l.External.PitchMax)) // 4.215 - 0.025
	printed(t, "4.084", mm(l.External.PitchMin)) // - (0.081 + 0.025)
	printed(t, "4.034", mm(l.Internal.MinorMax)) // 3.73 + 0.30375
	printed(t, "4.342", mm(l.Internal.PitchMax)) // 4.215 + 0.0972 + 0.03
	l, ok = parse(t, "12 BA").Limits()
	require.True(t, ok)
	printed(t, "1.300", mm(l.External.MajorMax)) // no allowance from 11 BA
	printed(t, "1.230", mm(l.External.MajorMin)) // 0.25 p
}

// Depth of the Whitworth form: Machinery's Handbook, 31st edition, p. 2087.
//
// The radius column, 0.137329 p, belongs to the drawing of the form.
func TestWhitworthForm(t *testing.T) {
	for _, row := range reference(t, "whitworth_form_by_tpi.csv") {
		th := parse(t, "1 x "+row["tpi"]+" Whit")
		printed(t, row["pitch_pub_in"], in(th.Pitch), row["tpi"])
		printed(t, row["pitch_mm"], mm(th.Pitch), row["tpi"])
		printed(t, row["depth_formula_in"], in(th.FullDepth())/2, row["tpi"])
		// The handbook's last digit is a millionth of an inch off the formula for
		// some pitches: it multiplies a rounded pitch.
		require.InDelta(t, number(t, row["depth_pub_in"]), in(th.FullDepth())/2, 1.1e-6, row["tpi"])
		if want := row["radius_pub_in"]; want != "" {
			require.InDelta(t, number(t, want), whitworthRadius*in(th.Pitch), 1.1e-6, row["tpi"])
		}
	}
}

// BSW and BSF: BS 84 basic sizes (TR Fastenings, Threading Tables, a trade list
// of core diameters), and the drills of BS 1157 against the limits of the hole.
func TestWhitworthSeries(t *testing.T) {
	for file, name := range map[string]string{"bsw.csv": " BSW", "bsf.csv": " BSF"} {
		for _, row := range reference(t, file) {
			th := parse(t, row["size_in"]+name)
			require.Equal(t, number(t, row["tpi"]), th.TPI, th)
			printed(t, row["major_in"], in(th.Major), th)
			printed(t, row["effective_formula_in"], in(th.PitchDiameter()), th)
			printed(t, row["minor_formula_in"], in(th.MinorInternal()), th)
			// The charts subtract a depth rounded to four places, the minor
			// diameter twice that: up to 0.00015 in off the formula.
			for column, got := range map[string]float64{"effective_pub_in": in(th.PitchDiameter()), "minor_pub_in": in(th.MinorInternal())} {
				if want := row[column]; want != "" {
					require.InDelta(t, number(t, want), got, 0.00015, "%s %s", th, column)
				}
			}
			if want := row["minor_pub_TCB_in"]; want != "" {
				// That list rounds the four places of BS 84 once more.
				printed(t, want, math.Round(in(th.MinorInternal())*1e4)/1e4, th)
			}
			limits, ok := th.Limits()
			require.True(t, ok, th)
			hole := limits.Internal
			best := th.TapDrill(StockDrills(), 0)
			// The drills of BS 1157 (FCG and "Threading Tables") lie within the hole's
			// limits of BS 84, mostly a tenth below the upper one; where the stock has
			// the drill it is the recommended one.
			for _, column := range []string{"tapdrill_FCG_mm", "tapdrill_BS1157_FCG_mm", "tapdrill_TT_mm"} {
				if row[column] == "" {
					continue
				}
				d := quantity.Length(number(t, row[column]))
				require.Greater(t, d, hole.MinorMin, "%s %s", th, column)
				require.Less(t, d, hole.MinorMax, "%s %s", th, column)
				if column == "tapdrill_TT_mm" || th.String() == "1/8 BSW" {
					continue // inch drills turned into mm; 2.55 mm is no stock drill
				}
				require.InDelta(t, mm(d), mm(best.Diameter), 1e-9, th)
			}
			// The model engineers' table aims at 75 % and runs up to 0.11 mm over.
			if want := row["tapdrill_MS_mm"]; want != "" {
				require.Less(t, number(t, want), mm(hole.MinorMax)+0.11, th)
			}
		}
	}
}

// The limits of BS 84, medium class, by hand from its formulas (see
// limits_whitworth.go): 1/4 BSW has T = 0.002·0.62996 + 0.003·0.5 + 0.005·0.22361 =
// 0.003878 in. No printed row of the standard's own tables was at hand; its
// tapping drills are (TestWhitworthSeries).
func TestWhitworthLimits(t *testing.T) {
	l, ok := parse(t, "1/4 BSW").Limits()
	require.True(t, ok)
	e, i := l.External, l.Internal
	printed(t, "0.2500", in(e.MajorMax))
	printed(t, "0.2439", in(e.MajorMin)) // - (0.003878 + 0.002236) = 0.0061
	printed(t, "0.2180", in(e.PitchMax))
	printed(t, "0.2141", in(e.PitchMin)) // - 0.0039
	printed(t, "0.1860", in(e.MinorMax))
	printed(t, "0.1776", in(e.MinorMin)) // - (0.003878 + 0.004472) = 0.0084, of 0.00835
	printed(t, "0.1860", in(i.MinorMin))
	printed(t, "0.2030", in(i.MinorMax)) // + 0.010 + 0.007
	printed(t, "0.2219", in(i.PitchMax)) // + 0.0039
	require.Contains(t, l.Source, "plated")

	// 3/16 BSF, 32 TPI: T = 0.001145 + 0.001299 + 0.000884 = 0.003328; 24 TPI and
	// 1 in (T = 0.002 + 0.003 + 0.001768) for the other two rows of the nut.
	l, _ = parse(t, "3/16 BSF").Limits()
	printed(t, "0.1642", in(l.External.PitchMin)) // 0.1675 - 0.0033
	printed(t, "0.1578", in(l.Internal.MinorMax)) // 0.1475 + 0.00625 + 0.004, half up
	l, _ = parse(t, "3/16 BSW").Limits()
	printed(t, "0.1474", in(l.Internal.MinorMax)) // 0.1341 + 0.00833 + 0.005
	l, _ = parse(t, "1 BSW").Limits()
	printed(t, "0.9132", in(l.External.PitchMin)) // 0.9200 - 0.0068
	printed(t, "0.8719", in(l.Internal.MinorMax)) // 0.8399 + 0.025 + 0.007
	require.NotContains(t, l.Source, "plated")

	for _, name := range []string{"1/4 x 26 brass", "1/4 x 40 ME", "7/32 x 36 Whit"} {
		_, ok := parse(t, name).Limits()
		require.False(t, ok, name)
	}
}

// usefulDrill checks that published tapping drills (BS 1157 and model
// engineers' tables) leave a thread this package would call useful, and that the
// drill recommended here is no further from 75 % than they are.
func usefulDrill(t *testing.T, th Thread, row map[string]string, columns ...string) {
	t.Helper()
	best := th.TapDrill(StockDrills(), 0)
	for _, c := range columns {
		if row[c] == "" {
			continue
		}
		got := th.Engagement(quantity.Length(number(t, row[c])))
		require.Greater(t, got, 50.0, "%s %s %s", th, c, row[c])
		require.Less(t, got, 101.0, "%s %s %s", th, c, row[c])
		require.LessOrEqual(t, math.Abs(best.EngagementPercent-UsualEngagement), math.Max(math.Abs(got-UsualEngagement), metricMargin)+1e-9,
			"%s: %s is further from 75 %% than the published %s", th, best.Drill.Name, row[c])
	}
}

// ME and 26 TPI brass: no standard; BS 84 form, sizes of the trade.
func TestModelEngineersThreads(t *testing.T) {
	for file, name := range map[string]string{"me_threads.csv": " ME", "bsb26.csv": " brass"} {
		for _, row := range reference(t, file) {
			th := parse(t, row["size_in"]+" x "+row["tpi"]+name)
			printed(t, row["major_in"], in(th.Major), th)
			printed(t, row["effective_in"], in(th.PitchDiameter()), th)
			printed(t, row["minor_in"], in(th.MinorInternal()), th)
			printed(t, row["major_mm"], mm(th.Major), th)
			printed(t, row["effective_mm"], mm(th.PitchDiameter()), th)
			printed(t, row["minor_mm"], mm(th.MinorInternal()), th)
			if want := row["minor_pub_DD_mm"]; want != "" && th.Size != "5/8" {
				// The encyclopaedia cuts off instead of rounding, and its 5/8 in
				// (14.369) is a slip of the pen for 14.624: 15.875 - 2 x 0.6255.
				require.InDelta(t, number(t, want), mm(th.MinorInternal()), 0.00101, th)
			}
			usefulDrill(t, th, row, "tapdrill_MS_mm")
		}
	}
}

// BSP: ISO 228-1 with its tolerances, ISO 7-1 with its gauge plane.
//
// The workbench's minor_FW column is 0.001 above ISO 228-1 for coarse pitches:
// it subtracts the unrounded depth. The standard's own figure is followed.
func TestPipeThreads(t *testing.T) {
	for _, row := range reference(t, "bsp_iso228_G.csv") {
		th := parse(t, row["size"])
		require.Equal(t, number(t, row["tpi"]), th.TPI)
		printed(t, row["pitch_mm"], mm(th.Pitch), th)
		printed(t, row["h_mm"], mm(th.FullDepth())/2, th)
		printed(t, row["major_mm"], mm(th.Major), th)
		printed(t, row["pitch_dia_mm"], mm(th.PitchDiameter()), th)
		printed(t, row["minor_mm"], mm(th.MinorInternal()), th)
		l, ok := th.Limits()
		require.True(t, ok)
		printed(t, row["TD2_int_mm"], mm(l.Internal.PitchMax-l.Internal.PitchMin), th)
		printed(t, row["Td2_classA_mm"], mm(l.External.PitchMax-l.External.PitchMin), th)
		printed(t, row["TD1_int_minor_mm"], mm(l.Internal.MinorMax-l.Internal.MinorMin), th)
		printed(t, row["Td_ext_major_mm"], mm(l.External.MajorMax-l.External.MajorMin), th)
	}
	for _, row := range reference(t, "bsp_iso7_R.csv") {
		th := parse(t, row["size"])
		require.Equal(t, PipeR, th.Series)
		require.Equal(t, 1.0/16, th.Taper())
		printed(t, row["major_gauge_plane_mm"], mm(th.Major), th)
		printed(t, row["pitch_dia_mm"], mm(th.PitchDiameter()), th)
		printed(t, row["minor_mm"], mm(th.MinorInternal()), th)
		g, ok := th.GaugePlane()
		require.True(t, ok)
		printed(t, row["gauge_length_pub_mm"], mm(g.Length), th)
		printed(t, row["gauge_length_memory_mm"], mm(g.Length), th)
		printed(t, row["useful_length_memory_mm"], mm(g.Useful), th)
		printed(t, row["gauge_tol_memory_mm"], mm(g.Tolerance), th)
	}
}

// ISO 7-1 as JIS B 0203:1999 prints it (a machine-element maker's public
// catalogue), with two useful lengths of DIN 2999-1 (a scan of its first page).
func TestTaperPipeTolerances(t *testing.T) {
	for _, row := range reference(t, "bsp_taper_jis_b0203.csv") {
		r, rc, rp := parse(t, "R "+row["size"]), parse(t, "Rc "+row["size"]), parse(t, "Rp "+row["size"])
		g, ok := r.GaugePlane()
		require.True(t, ok)
		printed(t, row["b_tol_R_mm"], mm(g.Tolerance), r)
		printed(t, row["f_beyond_gauge_mm"], mm(g.Useful-g.Length), r)
		printed(t, row["useful_DIN2999_mm"], mm(g.Useful), r)
		require.EqualValues(t, 1, g.Turns)
		// A sixteenth of the tolerance along the axis.
		require.InDelta(t, number(t, row["b_tol_R_mm"])/16, mm(g.Diameter), 0.0008, r)
		h, ok := rc.GaugePlane()
		require.True(t, ok)
		printed(t, row["c_tol_Rc_mm"], mm(h.Tolerance), rc)
		require.EqualValues(t, 1.25, h.Turns)
		printed(t, row["tol_Rp_diameters_mm"], mm(h.Diameter), rc)
		require.Equal(t, g.Useful, h.Useful)

		l, ok := rp.Limits()
		require.True(t, ok)
		for _, d := range [][3]quantity.Length{
			{l.Internal.MinorMin, rp.MinorInternal(), l.Internal.MinorMax}, {l.Internal.PitchMin, rp.PitchDiameter(), l.Internal.PitchMax},
		} {
			printed(t, row["tol_Rp_diameters_mm"], mm(d[1]-d[0]), rp)
			printed(t, row["tol_Rp_diameters_mm"], mm(d[2]-d[1]), rp)
		}
		require.Zero(t, l.External)
		drill := rp.TapDrill(StockDrills(), 0)
		require.GreaterOrEqual(t, drill.Diameter, l.Internal.MinorMin, rp)
		require.LessOrEqual(t, drill.Diameter, l.Internal.MinorMax, rp)
		for _, taper := range []Thread{r, rc} {
			_, ok := taper.Limits()
			require.False(t, ok, taper)
		}
	}
}

// Unified: ASME B1.1 as tabulated in freecad-common and, for No 12, a public
// tooling chart.
//
// For 1/4-20 the package prints a class 1B pitch diameter (0.2248); the formula
// gives 0.2224, as it does for every finer size the same package prints.
func TestUnifiedLimits(t *testing.T) {
	decided := map[string]string{"1/4-20 UNC int2B_pitch_max": "0.2224"}
	for _, row := range reference(t, "unified_unc_unf.csv") {
		th := parse(t, row["designation"]+" "+row["series"])
		printed(t, row["major_in"], in(th.Major), th)
		printed(t, row["pitch_dia_basic_in"], in(th.PitchDiameter()), th)
		printed(t, row["minor_int_basic_in"], in(th.MinorInternal()), th)
		printed(t, row["At_formula_in2"], th.StressArea().SquareInches(), th)
		l, ok := th.Limits()
		require.True(t, ok)
		for column, got := range map[string]quantity.Length{
			"ext2A_major_max": l.External.MajorMax, "ext2A_major_min": l.External.MajorMin,
			"ext2A_pitch_max": l.External.PitchMax, "ext2A_pitch_min": l.External.PitchMin,
			"ext2A_minor_max": l.External.MinorMax,
			"int2B_minor_min": l.Internal.MinorMin, "int2B_minor_max": l.Internal.MinorMax,
			"int2B_pitch_min": l.Internal.PitchMin, "int2B_pitch_max": l.Internal.PitchMax,
		} {
			want := row[column]
			if d, ok := decided[th.String()+" "+column]; ok {
				want = d
			}
			printed(t, want, in(got), "%s %s: %s against %.4f", th, column, want, in(got))
		}
		for _, c := range []string{"tapdrill_soft_CQ", "tapdrill_hard_CQ"} {
			name := row[c]
			if len(name) == 1 {
				name = "letter " + name
			}
			d, err := ParseDrill(name)
			require.NoError(t, err)
			require.Greater(t, th.Engagement(d.Diameter), 40.0, "%s %s", th, name)
			require.Less(t, th.Engagement(d.Diameter), 90.0, "%s %s", th, name)
		}
	}
}

// UNEF, whose engagement is nine pitches: 1-20 UNEF 2B, ASME B1.1 from memory.
func TestUnifiedExtraFineLimits(t *testing.T) {
	l, ok := parse(t, "1-20 UNEF").Limits()
	require.True(t, ok)
	printed(t, "0.9675", in(l.Internal.PitchMin))
	printed(t, "0.9734", in(l.Internal.PitchMax))
}

// Whitworth hexagons: BS 1083:1965 in Machinery's Handbook.
func TestWhitworthHexagons(t *testing.T) {
	for _, row := range reference(t, "hex_bs1083_whitworth.csv") {
		series := "BSW"
		if row["BSW_tpi"] == "" {
			series = "BSF"
		}
		th := parse(t, row["size_in"]+" "+series)
		size, _, ok := th.Spanner()
		require.True(t, ok, th)
		printed(t, row["AF_max_in"], in(size), th)
		if row["head_max_in"] == "" {
			continue
		}
		require.Equal(t, th.Heads()[0], parse(t, row["size_in"]+" BSF").Heads()[0], "BSW and BSF share hexagons")
		h := th.Heads()[0]
		printed(t, row["head_max_in"], in(h.Height), th)
		// Over the corners the table prints two places of 1.1547 x flats.
		require.InDelta(t, number(t, row["AC_max_in"]), in(h.HeadDiameter), 0.006, th)
		nuts := th.Nuts()
		printed(t, row["nut_max_in"], in(nuts[0].Thickness), th)
		printed(t, row["locknut_max_in"], in(nuts[1].Thickness), th)
	}
}

// The spanner marks published for Whitworth hexagons.
func TestWhitworthSpannerMarks(t *testing.T) {
	for name, want := range map[string]string{
		"1/4 BSF": "0.445 3/16 W, 1/4 BSF", "5/16 BSF": "0.525 1/4 W, 5/16 BSF", "3/8 BSF": "0.600 5/16 W, 3/8 BSF",
		"7/16 BSF": "0.710 3/8 W, 7/16 BSF", "1/2 BSF": "0.820 7/16 W, 1/2 BSF", "1/4 BSW": "0.445 3/16 W, 1/4 BSF",
	} {
		size, mark, _ := strings.Cut(want, " ")
		s := parse(t, name).Spanners()
		printed(t, size, in(s[0].Size), name)
		require.Equal(t, mark, s[0].Mark, name)
	}
	old := parse(t, "1/4 BSW").Spanners()[1]
	require.True(t, old.Old)
	printed(t, "0.525", in(old.Size))
}
