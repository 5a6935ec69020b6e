package threads

import "testing"

// BenchmarkLookUp is one thread as the bench screen asks for it: its name read,
// its drills, holes, heads, spanners and limits.
func BenchmarkLookUp(b *testing.B) {
	for _, name := range []string{"M4", "2 BA", "1/4 x 40 ME", "1/4-20 UNC"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				t, err := Parse(name)
				if err != nil {
					b.Fatal(err)
				}
				set := StockDrills()
				t.TapDrill(set, 0)
				t.TapDrills(set, 0)
				t.Clearance()
				t.Heads()
				t.Spanners()
				t.Limits()
			}
		})
	}
}

// BenchmarkParse is the name alone.
func BenchmarkParse(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("1/4 x 40 ME"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkIdentify weighs every series.
func BenchmarkIdentify(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Identify(Measurement{Major: 6.3, Pitch: 0.977}); err != nil {
			b.Fatal(err)
		}
	}
}
