package quantity

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestParseLength(t *testing.T) {
	for in, want := range map[string]float64{
		"4.5": 4.5, "4.5mm": 4.5, "4.5 mm": 4.5, "4,5": 4.5, " 4.5 ": 4.5, ".5": 0.5, "4.5 MM": 4.5,
		"1/4": 6.35, "1/4 in": 6.35, `1/4"`: 6.35, "1 1/4 in": 31.75, "1-1/4": 31.75, "1 1/4": 31.75, "0.25in": 6.35, "¼": 6.35, "1¼": 31.75, `1½"`: 38.1, "1/4''": 6.35, "1/4″": 6.35,
		"1/4 mm": 0.25,
		"No 30":  3.2639, "no. 30": 3.2639, "#30": 3.2639, "№ 30": 3.2639, "letter F": 6.5278, "LETTER f": 6.5278,
		"10 swg": 3.2512, "10swg": 3.2512, "SWG 10": 3.2512, "No 10 S.W.G.": 3.2512, "16 s.w.g": 1.6256, "#20 swg": 0.9144, "2/0 swg": 8.8392, "0 swg": 8.2296, "7/0 SWG": 12.7, "1/0 swg": 8.2296,
		"5 thou": 0.127, "0.1 m": 100, "2 cm": 20, "30 um": 0.03, "30 µm": 0.03, "1 ft": 304.8,
		"-0.05": -0.05, "+0.02 mm": 0.02, "−0.05": -0.05, "0": 0,
	} {
		got, err := ParseLength(in)
		require.NoError(t, err, in)
		require.InDelta(t, want, got.MM(), 1e-9, in)
	}
	for _, in := range []string{
		"", " ", "abc", "mm", "4.5.6", "1/0", "1/", "/4", "1.5/4", "4.5 1/4", "4 psi", "No 0", "No 81", "No", "#", "letter", "letter FF", "letter 1",
		"swg", "51 swg", "8/0 swg", "0/0 swg", "-1 swg", "1.0 swg", "10.5 swg", "1 0 swg", "10 gauge", "10 awg", "1/4 swg", "999999999999 swg",
		"1e3", "nan", "inf", "1e999", "99999999999999999999999 mm", "1,234.5", "4.5 mm 3", "--4", "\x1b[31m", "1 1", "½½",
	} {
		_, err := ParseLength(in)
		var p *ParseError
		require.True(t, errors.As(err, &p), in)
		require.Equal(t, "length", p.Quantity)
		require.Equal(t, in, p.Input)
		require.NotContains(t, err.Error(), "\x1b")
	}
}

func TestLengthPrints(t *testing.T) {
	for want, l := range map[string]Length{
		"4.5 mm": 4.5, "0 mm": 0, "3.264 mm": 3.2639, "100 mm": 100, "-0.05 mm": -0.05, "0.001 mm": 0.0006, "? mm": Length(math.NaN()),
	} {
		require.Equal(t, want, l.String())
	}
	require.Equal(t, "0 mm", Length(-0.0001).String())
	for want, l := range map[string]Length{
		"1/4 in": 6.35, "1 1/4 in": 31.75, "0.1285 in": 3.2639, "2 in": 50.8, "-1/8 in": -3.175, "0 in": 0, "17/64 in": 6.746875,
	} {
		require.Equal(t, want, l.InchString())
	}
	require.InDelta(t, 5, Length(0.127).Thou(), 1e-9)
	require.Equal(t, "1/4", Fraction(16, 64))
	require.Equal(t, "3", Fraction(192, 64))
	require.Equal(t, "0", Fraction(0, 64))
}

// Conversions: the exact definitions of ISO 80000 and BS 350 (pound 0.45359237 kg,
// inch 25.4 mm, standard gravity 9.80665 m/s²), worked to figures printed in
// conversion tables.
func TestConversions(t *testing.T) {
	p, err := ParsePressure("90 psi")
	require.NoError(t, err)
	require.InDelta(t, 6.205281, p.Bar(), 1e-6)
	require.InDelta(t, 90, p.PSI(), 1e-9)
	require.InDelta(t, 0.6205281, p.MPa(), 1e-7)
	require.InDelta(t, 620.5281, p.KPa(), 1e-4)
	require.Equal(t, "6.21 bar", p.String())
	require.Equal(t, "90 psi", p.PSIString())
	q, err := ParseTorque("10 lbf in")
	require.NoError(t, err)
	require.InDelta(t, 1.129848, q.NM(), 1e-6)
	require.InDelta(t, 10, q.LbfIn(), 1e-9)
	require.InDelta(t, 10.0/12, q.LbfFt(), 1e-9)
	f, err := ParseForce("1 lbf")
	require.NoError(t, err)
	require.InDelta(t, 4.448222, f.N(), 1e-6)
	s, err := ParseStress("1 ksi")
	require.NoError(t, err)
	require.InDelta(t, 6.894757, s.MPa(), 1e-6)
	s, err = ParseStress("1 tonf/in²")
	require.NoError(t, err)
	require.InDelta(t, 15.44426, s.MPa(), 1e-5)
	v, err := ParseVolume("1 gal")
	require.NoError(t, err)
	require.InDelta(t, 4546.09, v.ML(), 1e-9)
	for in, ml := range map[string]float64{"1.3 UK gal": 5909.917, "1.3 gal (UK)": 5909.917, "1.3 imperial gallons": 5909.917, "1.3 US gal": 4921.0353, "1 gallon US": 3785.411784, "2 US pints": 946.352946} {
		v, err = ParseVolume(in)
		require.NoError(t, err, in)
		require.InDelta(t, ml, v.ML(), 1e-3, in)
	}
	c, err := ParseTemperature("212 F")
	require.NoError(t, err)
	require.InDelta(t, 100, c.C(), 1e-9)
	require.InDelta(t, 373.15, c.K(), 1e-9)
	require.InDelta(t, 212, c.F(), 1e-9)
}

func TestParsePressure(t *testing.T) {
	for in, want := range map[string]float64{
		"6.2 bar": 6.2, "6.2bar": 6.2, "6,2 bar": 6.2, "620 kPa": 6.2, "0.62 MPa": 6.2, "6.2 barg": 6.2, "6.2 bar g": 6.2, "6.2 bar (g)": 6.2, "6.2 bar gauge": 6.2,
		"90 psig": 6.205281, "90 psi gauge": 6.205281, "0 bar": 0, "-0.5 bar": -0.5, "1/2 bar": 0.5,
		"90 lb": 6.205281, "90 lbs": 6.205281, "90 lb/sq in": 6.205281, "90 lbs/sq. in.": 6.205281, "90 lb/in²": 6.205281, "90 lb per sq in": 6.205281,
		"90 pounds per square inch": 6.205281, "90 p.s.i.": 6.205281, "90 lbf/sq in": 6.205281, "7 kg/sq cm": 6.864655,
	} {
		got, err := ParsePressure(in)
		require.NoError(t, err, in)
		require.InDelta(t, want, got.Bar(), 1e-6, in)
	}
	for in, part := range map[string]string{
		"90": "fourteen-fold", "7.2 bar abs": "absolute", "7.2 bara": "absolute", "100 psia": "absolute", "7 bar absolute": "absolute", "7 bar (a)": "absolute", "7 bar a": "absolute",
		"": "missing", "-2 bar": "vacuum", "90 mm": "not a unit", "psi": "no figure", "nan bar": "no figure", "2e9 bar": "unit", "9999999999 bar": "far too large",
	} {
		_, err := ParsePressure(in)
		require.ErrorContains(t, err, part, in)
	}
	a, err := ParseAbsolutePressure("1013.25 mbar")
	require.NoError(t, err)
	require.InDelta(t, 1.01325, a.Bar(), 1e-9)
	require.Equal(t, "1.013 bar abs", a.String())
	a, err = ParseAbsolutePressure("14.7 psia")
	require.NoError(t, err)
	require.InDelta(t, 1.01353, a.Bar(), 1e-5)
	for _, in := range []string{"6 barg", "-1 bar", "1.013", ""} {
		_, err := ParseAbsolutePressure(in)
		require.Error(t, err, in)
	}
}

func TestParseOthers(t *testing.T) {
	ok := func(got float64, err error) float64 {
		t.Helper()
		require.NoError(t, err)
		return got
	}
	a, err := ParseAngle("47.5°")
	require.InDelta(t, 47.5, ok(float64(a), err), 1e-9)
	a, err = ParseAngle("90 deg")
	require.InDelta(t, 90, ok(float64(a), err), 1e-9)
	require.Equal(t, "47.5°", Angle(47.5).String())
	require.InDelta(t, math.Pi/2, Angle(90).Radians(), 1e-12)
	require.InDelta(t, 90, FromRadians(math.Pi/2).Degrees(), 1e-12)
	ar, err := ParseArea("2.5 cm²")
	require.InDelta(t, 250, ok(float64(ar), err), 1e-9)
	require.Equal(t, "8.78 mm²", Area(8.7787).String())
	require.Equal(t, "303 mm²", Area(303.399).String())
	f, err := ParseForce("2.4 kN")
	require.InDelta(t, 2400, ok(float64(f), err), 1e-9)
	require.Equal(t, "2371 N", Force(2371.2).String())
	require.Equal(t, "12.4 kN", Force(12380).String())
	for in, want := range map[string]float64{"1.6": 1.6, "1.6 Nm": 1.6, "1.6 N.m": 1.6, "1.6 N·m": 1.6, "1.6 N m": 1.6, "160 N cm": 1.6, "16 kgf cm": 1.5690640} {
		q, err := ParseTorque(in)
		require.InDelta(t, want, ok(float64(q), err), 1e-6, in)
	}
	require.Equal(t, "1.61 N·m", Torque(1.6149).String())
	require.Equal(t, "0.053 N·m", Torque(0.053).String())
	require.Equal(t, "29.2 N·m", Torque(29.21).String())
	s, err := ParseStress("450 N/mm²")
	require.InDelta(t, 450, ok(float64(s), err), 1e-9)
	require.Equal(t, "450 MPa", Stress(450.2).String())
	for _, bare := range []string{"6", "0", "1/2", "6000"} {
		_, err := ParseVolume(bare)
		require.ErrorContains(t, err, "it has no unit, and may be millilitres (ml) or litres (l)", bare)
	}
	v, err := ParseVolume("6 l")
	require.InDelta(t, 6000, ok(float64(v), err), 1e-9)
	require.Equal(t, "25.2 ml", Volume(25.21).String())
	require.Equal(t, "12 l", Volume(12000).String())
	for in, want := range map[string]float64{"170": 170, "170 C": 170, "170°C": 170, "170 °C": 170, "170 degrees": 170, "443.15 K": 170, "-5": -5} {
		c, err := ParseTemperature(in)
		require.InDelta(t, want, ok(float64(c), err), 1e-9, in)
	}
	require.Equal(t, "166.2 °C", Temperature(166.21).String())

	for _, err := range []error{
		second(ParseForce("-1")), second(ParseTorque("-1")), second(ParseVolume("-1")), second(ParseStress("-1")), second(ParseArea("-1")),
		second(ParseTemperature("-300")), second(ParseTemperature("-1 K")), second(ParseTemperature("100 bar")), second(ParseTemperature("")),
		second(ParseAngle("90 mm")), second(ParseForce("")), second(ParseTorque("10 Nmm mm")),
	} {
		var p *ParseError
		require.True(t, errors.As(err, &p))
	}
}

func second[T any](_ T, err error) error { return err }

func TestParseSpan(t *testing.T) {
	for in, want := range map[string]time.Duration{
		"24 h": 24 * time.Hour, "90 min": 90 * time.Minute, "2 days": 48 * time.Hour, "1 h 30 min": 90 * time.Minute, "1h30m": 90 * time.Minute,
		"1.5 h": 90 * time.Minute, "1 day, 2 h": 26 * time.Hour, "1 day and 2 hours": 26 * time.Hour, "30 s": 30 * time.Second, "1 week": 168 * time.Hour, "0 h": 0, "1/2 h": 30 * time.Minute,
	} {
		got, err := ParseSpan(in)
		require.NoError(t, err, in)
		require.Equal(t, want, got, in)
		again, err := ParseSpan(SpanString(got))
		require.NoError(t, err, SpanString(got))
		require.Equal(t, got, again)
	}
	for in, part := range map[string]string{
		"24": "minutes, hours or days", "": "missing", "h": "no figure", "24 hr x": "no figure", "3 fortnights": "not a unit", "-1 h": "below zero", "400000 days": "ten years", "1 h 30": "no unit",
	} {
		_, err := ParseSpan(in)
		require.ErrorContains(t, err, part, in)
	}
	require.Equal(t, "1 h 30 min", SpanString(90*time.Minute))
	require.Equal(t, "2 days", SpanString(48*time.Hour))
	require.Equal(t, "26 h", SpanString(26*time.Hour))
	require.Equal(t, "1 day", SpanString(24*time.Hour))
	require.Equal(t, "0 s", SpanString(0))
	require.Equal(t, "-5 min", SpanString(-5*time.Minute))
}

// Printing and reading back gives the rounded figure again.
func TestPrintReadsBack(t *testing.T) {
	for _, v := range []float64{0, 0.001, 0.35, 1, 3.2639, 12.3456, 250.5, 9999.4, 123456} {
		l, err := ParseLength(Length(v).String())
		require.NoError(t, err)
		require.InDelta(t, Length(v).Round().MM(), l.MM(), 1e-9)
		f, err := ParseForce(Force(v).String())
		require.NoError(t, err)
		require.InDelta(t, Force(v).Round().N(), f.N(), 1e-6)
		q, err := ParseTorque(Torque(v).String())
		require.NoError(t, err)
		require.InDelta(t, Torque(v).Round().NM(), q.NM(), 1e-9)
		p, err := ParsePressure(Pressure(v).String())
		require.NoError(t, err)
		require.InDelta(t, Pressure(v).Round().Bar(), p.Bar(), 1e-9)
		a, err := ParseAbsolutePressure(AbsolutePressure(v).String())
		require.NoError(t, err)
		require.InDelta(t, AbsolutePressure(v).Round().Bar(), a.Bar(), 1e-9)
		c, err := ParseTemperature(Temperature(v).String())
		require.NoError(t, err)
		require.InDelta(t, Temperature(v).Round().C(), c.C(), 1e-9)
		m, err := ParseVolume(Volume(v).String())
		require.NoError(t, err)
		require.InDelta(t, Volume(v).Round().ML(), m.ML(), 1e-6)
		s, err := ParseStress(Stress(v).String())
		require.NoError(t, err)
		require.InDelta(t, Stress(v).Round().MPa(), s.MPa(), 1e-9)
		ar, err := ParseArea(Area(v).String())
		require.NoError(t, err)
		require.InDelta(t, Area(v).Round().MM2(), ar.MM2(), 1e-9)
		an, err := ParseAngle(Angle(v).String())
		require.NoError(t, err)
		require.InDelta(t, Angle(v).Round().Degrees(), an.Degrees(), 1e-9)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"4.5", "1/4", "1 1/4 in", "No 30", "letter F", "10 swg", "7/0 swg", "90 psi", "90 lb", "6.2 bar abs", "170 °C", "1 h 30 min", "¼", "-0.05", "1e400", "", "½½", "0.1 m/cm", "4,5", "#", "°"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		check := func(v float64, err error) {
			if err != nil {
				var p *ParseError
				if !errors.As(err, &p) || p.Input != s {
					t.Fatalf("%q: %v", s, err)
				}
				for _, r := range err.Error() {
					if r < ' ' || r == 0x7f {
						t.Fatalf("%q: a control character in %q", s, err)
					}
				}
				return
			}
			if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e16 {
				t.Fatalf("%q gives %v", s, v)
			}
		}
		l, err := ParseLength(s)
		check(float64(l), err)
		if err == nil {
			again, err := ParseLength(l.String())
			if err != nil && l.MM() < limit || err == nil && math.Abs(float64(again-l.Round())) > 1e-6*math.Abs(float64(l)) {
				t.Fatalf("%q gives %v, read back %v, %v", s, l, again, err)
			}
			_ = l.InchString()
		}
		p, err := ParsePressure(s)
		check(float64(p), err)
		a, err := ParseAbsolutePressure(s)
		check(float64(a), err)
		c, err := ParseTemperature(s)
		check(float64(c), err)
		fo, err := ParseForce(s)
		check(float64(fo), err)
		q, err := ParseTorque(s)
		check(float64(q), err)
		v, err := ParseVolume(s)
		check(float64(v), err)
		st, err := ParseStress(s)
		check(float64(st), err)
		ar, err := ParseArea(s)
		check(float64(ar), err)
		an, err := ParseAngle(s)
		check(float64(an), err)
		d, err := ParseSpan(s)
		check(float64(d)/1e9, err)
		if err == nil && d < 0 {
			t.Fatalf("%q gives %v", s, d)
		}
	})
}
