package threads

import (
	"errors"
	"math"
	"testing"

	"fettle/threads/quantity"
)

// Whatever is typed: no panic; an error of a known type without control
// characters; a thread whose name reads back to the same thread, with sane
// figures.
func FuzzParse(f *testing.F) {
	for _, t := range All() {
		f.Add(t.String())
	}
	for _, s := range []string{
		"", "m4x0.7", "1/4 26", "1/4", "#10-32 UNF-2A", "7/32 x 36 whit", "3.3x0.6 ba", "M4x20", "no. 6 unc", "½ bsf", "1 1/4 bsp", "M1e9", "1/0", "G1/8 A",
		"0.2 x 40 Whit", "0.01x400 whit", "M300x0.1", "x", "-", "M4 LH", "NPT 1/8", "١/٤", "1/4-20 UNS", "0.5 in x 20 uns", "11/64 x 40 whit",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		th, err := Parse(s)
		if same, left, handErr := ParseHand(s); !left && (handErr == nil) != (err == nil) || err == nil && same != th {
			t.Fatalf("%q: %v, %v with its hand: %v, %v", s, th, err, same, handErr)
		}
		if err != nil {
			var u *UnknownError
			var a *AmbiguousError
			if !errors.As(err, &u) && !errors.As(err, &a) {
				t.Fatalf("%q: %T", s, err)
			}
			if a != nil && len(a.Candidates) < 2 {
				t.Fatalf("%q: ambiguous between %v", s, a.Candidates)
			}
			for _, r := range err.Error() {
				if r < ' ' || r == 0x7f {
					t.Fatalf("%q: a control character in %q", s, err)
				}
			}
			return
		}
		again, err := Parse(th.String())
		if err != nil || again != th {
			t.Fatalf("%q is %q, which reads back as %v, %v", s, th, again, err)
		}
		for _, v := range []float64{
			float64(th.Major), float64(th.Pitch), float64(th.PitchDiameter()), float64(th.MinorInternal()), float64(th.MinorExternal()),
			float64(th.StressArea()), float64(th.HelixAngle()), float64(th.TapDrill(StockDrills(), 0).Diameter), float64(th.Clearance().Fine),
		} {
			if !(v > 0) || math.IsInf(v, 0) {
				t.Fatalf("%q: figure %v", s, v)
			}
		}
		th.TapDrills(StockDrills(), 50)
		th.Heads()
		th.Spanners()
		th.Limits()
		th.Confusables()
		th.Section(2, 8)
	})
}

func FuzzSearch(f *testing.F) {
	for _, s := range []string{"", "m", "1/4", "ba 2", "1/4x2", "#10", "½", "zz", "g 1 1"} {
		f.Add(s, 5)
	}
	f.Fuzz(func(t *testing.T, s string, n int) {
		if n > 1000 {
			return
		}
		if got := Search(s, n); len(got) > max(n, 0) {
			t.Fatalf("%d of %d", len(got), n)
		}
	})
}

func FuzzParseDrill(f *testing.F) {
	for _, s := range []string{"", "3.3", "1/4", "No 30", "F", "letter F", "17/64 in", "1e9", "-3", "1/0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDrill(s)
		if err != nil {
			return
		}
		if !(d.Diameter > 0 && d.Diameter <= 100) {
			t.Fatalf("%q is %v", s, d)
		}
		again, err := ParseDrill(d.Name)
		if err != nil || math.Abs(float64(again.Diameter-d.Diameter)) > 0.0006 {
			t.Fatalf("%q is %q, which reads back as %v, %v", s, d.Name, again, err)
		}
	})
}

func FuzzIdentify(f *testing.F) {
	f.Add(6.3, 0.0, 0.977, 0, 0.0)
	f.Add(0.0, 5.1, 0.0, 10, 8.0)
	f.Fuzz(func(t *testing.T, major, minor, pitch float64, count int, over float64) {
		m := Measurement{Major: quantity.Length(major), Minor: quantity.Length(minor), Pitch: quantity.Length(pitch), Count: count, Over: quantity.Length(over)}
		list, err := Identify(m)
		if err == nil && len(list) == 0 {
			t.Fatalf("%+v: neither candidates nor an error", m)
		}
		Settle(m, list)
	})
}
