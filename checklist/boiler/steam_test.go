package boiler

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/threads/quantity"
)

// IAPWS R7-97(2012), tables 35 (psat) and 36 (Tsat), to every printed digit.
func TestSaturationReleaseTables(t *testing.T) {
	for _, row := range []struct{ kelvin, mpa string }{
		{"300", "0.353658941e-2"},
		{"500", "0.263889776e1"},
		{"600", "0.123443146e2"},
	} {
		p, err := SaturationPressure(quantity.Temperature(number(t, row.kelvin) - 273.15))
		require.NoError(t, err)
		requireDigits(t, row.mpa, float64(p)/10, row.kelvin)
	}
	for _, row := range []struct{ mpa, kelvin string }{
		{"0.1", "0.372755919e3"},
		{"1", "0.453035632e3"},
		{"10", "0.584149488e3"},
	} {
		s, err := SaturationTemperature(quantity.AbsolutePressure(10 * number(t, row.mpa)))
		require.NoError(t, err)
		requireDigits(t, row.kelvin, float64(s)+273.15, row.mpa)
	}
}

// IAPWS R7-97(2012), table 5: specific volume and enthalpy of region 1.
func TestLiquidWaterReleaseTable(t *testing.T) {
	for _, row := range []struct {
		kelvin, mpa       float64
		volume, enthalpy  string
		expansion, compre string // not in table 5; IAPWS AN3-07 prints the same points
	}{
		{300, 3, "0.100215168e-2", "0.115331273e3", "", ""},
		{300, 80, "0.971180894e-3", "0.184142828e3", "", ""},
		{500, 3, "0.120241800e-2", "0.975542239e3", "0.164118128e-2", "0.112892188e-2"},
	} {
		w, err := LiquidWater(quantity.Temperature(row.kelvin-273.15), quantity.AbsolutePressure(10*row.mpa))
		require.NoError(t, err)
		requireDigits(t, row.volume, 1/w.Density)
		requireDigits(t, row.enthalpy, w.Enthalpy)
		if row.expansion != "" {
			requireDigits(t, row.expansion, w.Expansion)
			requireDigits(t, row.compre, w.Compressibility*10) // 1/MPa
		}
	}
}

func TestSteamVerificationFile(t *testing.T) {
	for _, row := range readReference(t, "steam_iapws_verification.csv") {
		var kelvin, mpa float64
		for _, part := range strings.Split(row["at"], ";") {
			if v, ok := strings.CutPrefix(part, "T="); ok {
				kelvin = number(t, strings.TrimSuffix(v, " K"))
			} else if v, ok := strings.CutPrefix(part, "p="); ok {
				mpa = number(t, strings.TrimSuffix(v, " MPa"))
			}
		}
		at, p := quantity.Temperature(kelvin-273.15), quantity.AbsolutePressure(mpa*10)
		var got float64
		switch row["quantity"] {
		case "psat(T)":
			s, err := SaturationPressure(at)
			require.NoError(t, err)
			got = float64(s) / 10
		case "h region1":
			w, err := LiquidWater(at, p)
			require.NoError(t, err)
			got = w.Enthalpy
		case "v region1":
			w, err := LiquidWater(at, p)
			require.NoError(t, err)
			got = 1 / w.Density
		default:
			t.Fatalf("no check for %q", row["quantity"])
		}
		requireDigits(t, row["value"], got, row)
	}
}

// Boiler pressures computed by Debian's python3-iapws 1.5.3.
func TestSaturationPoints(t *testing.T) {
	for _, row := range readReference(t, "steam_saturation_points.csv") {
		p := quantity.AbsolutePressure(number(t, row["p_abs_MPa"]) * 10)
		s, err := SaturationTemperature(p)
		require.NoError(t, err)
		requireDigits(t, row["Tsat_C"], float64(s), row["point"])
		w, err := LiquidWater(s, p)
		require.NoError(t, err)
		requireDigits(t, row["h_liquid_kJkg"], w.Enthalpy, row["point"])
		require.InEpsilon(t, number(t, row["v_liquid_m3kg"]), 1/w.Density, 1e-7, row["point"])
	}
}

// Temperatures of saturated steam that steam tables print against the gauge
// (IAPWS-IF97 with 1.01325 bar of air, rounded to 0.1 °C).
func TestSaturationAtGauge(t *testing.T) {
	const psi = 0.0689475729
	for _, row := range []struct {
		gauge quantity.Pressure
		c     string
	}{
		{0, "100.0"}, {1, "120.4"}, {2, "133.7"}, {3, "143.7"}, {4, "151.9"}, {5, "158.9"}, {6, "165.0"},
		{7, "170.5"}, {8, "175.4"}, {10, "184.1"}, {14, "198.3"},
		{40 * psi, "141.5"}, {60 * psi, "153.0"}, {80 * psi, "162.2"}, {90 * psi, "166.2"}, {100 * psi, "169.9"},
		{110 * psi, "173.4"}, {120 * psi, "176.7"}, {125 * psi, "178.3"}, {150 * psi, "185.5"},
		{6.895, "169.9"},
	} {
		got, err := SaturationAtGauge(row.gauge, quantity.StandardAtmosphere)
		require.NoError(t, err)
		requireDigits(t, row.c, float64(got), row.gauge)
	}
}

// A material's limit as the gauge pressure at which steam reaches it
// (IAPWS-IF97, 1.01325 bar of air).
func TestSteamReaches(t *testing.T) {
	for _, row := range []struct {
		c    quantity.Temperature
		barg string
	}{
		{120, "0.97"}, {125, "1.31"}, {130, "1.69"}, {150, "3.75"}, {160, "5.17"}, {175, "7.91"},
		{183, "9.72"}, {200, "14.5"}, {208, "17.3"}, {260, "45.9"},
	} {
		p, err := SteamReaches(row.c, quantity.StandardAtmosphere)
		require.NoError(t, err)
		requireDigits(t, row.barg, float64(p), row.c)
	}
	// 99.9743 °C is what IF97 gives for the standard atmosphere, so that 100 °C
	// stands a thousandth of a bar above it.
	p, err := SteamReaches(100, quantity.StandardAtmosphere)
	require.NoError(t, err)
	require.InDelta(t, 0, float64(p), 0.001)
}

// ISO 2533, table of the standard atmosphere against geopotential altitude.
func TestAtmosphereAt(t *testing.T) {
	for _, row := range []struct {
		m   float64
		hPa string
	}{{0, "1013.25"}, {500, "954.61"}, {1000, "898.75"}, {2000, "794.95"}, {3000, "701.09"}} {
		p, err := AtmosphereAt(quantity.Length(row.m * 1000))
		require.NoError(t, err)
		requireDigits(t, row.hPa, float64(p)*1000, row.m)
	}
	high, err := AtmosphereAt(500e3)
	require.NoError(t, err)
	there, err := SaturationAtGauge(5.5, high)
	require.NoError(t, err)
	here, err := SaturationAtGauge(5.5, quantity.StandardAtmosphere)
	require.NoError(t, err)
	requireDigits(t, "-0.4", float64(there-here))
}

func TestSaturationIsMonotoneAndItsOwnInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := quantity.AbsolutePressure(rapid.Float64Range(0.0062, 220).Draw(t, "bar abs"))
		s, err := SaturationTemperature(p)
		require.NoError(t, err)
		back, err := SaturationPressure(s)
		require.NoError(t, err)
		require.InEpsilon(t, float64(p), float64(back), 1e-8)

		more := p * quantity.AbsolutePressure(1+rapid.Float64Range(1e-6, 0.5).Draw(t, "step"))
		if more > 220.64 {
			return
		}
		hotter, err := SaturationTemperature(more)
		require.NoError(t, err)
		require.Greater(t, hotter, s)
	})
}

func TestPressuresThatCannotBe(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, v := range []float64{nan, inf, -inf, -1, 0, 0.006, 221, 1e300} {
		_, err := SaturationTemperature(quantity.AbsolutePressure(v))
		requireInputError(t, err, v)
	}
	for _, v := range []float64{nan, inf, -inf, -0.1, 374, 1e300} {
		_, err := SaturationPressure(quantity.Temperature(v))
		requireInputError(t, err, v)
	}
	for _, v := range []float64{nan, inf, -1.1, 1e6} {
		_, err := SaturationAtGauge(quantity.Pressure(v), quantity.StandardAtmosphere)
		requireInputError(t, err, v)
	}
	for _, v := range []float64{nan, inf, 0, -1, 0.2, 1.3} {
		_, err := SaturationAtGauge(5, quantity.AbsolutePressure(v))
		requireInputError(t, err, v)
	}
	for _, v := range []float64{nan, inf, -1e6, 9e6} {
		_, err := AtmosphereAt(quantity.Length(v))
		requireInputError(t, err, v)
	}
	for _, w := range []struct {
		t quantity.Temperature
		p quantity.AbsolutePressure
	}{{-1, 1}, {351, 300}, {20, 0.001}, {20, 1001}, {150, 1}, {20, quantity.AbsolutePressure(nan)}, {quantity.Temperature(nan), 1}} {
		_, err := LiquidWater(w.t, w.p)
		requireInputError(t, err, w)
	}
}

func requireInputError(t *testing.T, err error, given any) {
	t.Helper()
	var input *InputError
	require.True(t, errors.As(err, &input), "%v gave %v", given, err)
	require.NotEmpty(t, input.Field)
	require.NotEmpty(t, input.Problem)
	require.NotContains(t, fmt.Sprint(err), "NaN", "said in words")
}

// Cubic expansion and compressibility of water at the bench, against
// handbook figures (from memory: water tables at 1 atm).
func TestWaterAtTheBench(t *testing.T) {
	for _, row := range []struct {
		c    quantity.Temperature
		beta string
	}{{5, "0.16"}, {10, "0.88"}, {15, "1.51"}, {20, "2.07"}, {25, "2.57"}, {30, "3.03"}} {
		w, err := LiquidWater(row.c, quantity.StandardAtmosphere)
		require.NoError(t, err)
		requireDigits(t, row.beta, w.Expansion*1e4, row.c)
	}
	// Bulk modulus in GPa; waterModulus is that of 20 °C.
	for c, gpa := range map[quantity.Temperature]string{5: "2.03", 20: "2.182", 30: "2.24"} {
		w, err := LiquidWater(c, quantity.StandardAtmosphere)
		require.NoError(t, err)
		requireDigits(t, gpa, 1/w.Compressibility/1e4, c)
	}
	require.InEpsilon(t, 2.182e4, waterModulus, 0.001)
}
