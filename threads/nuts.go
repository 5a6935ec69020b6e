package threads

import "fettle/threads/quantity"

// NutKind is the height of a nut.
type NutKind string

// The kinds of nut.
const (
	FullNut NutKind = "nut"
	ThinNut NutKind = "thin nut"
)

// Nut is a hexagon nut of one standard.
type Nut struct {
	Kind        NutKind
	Standard    string
	Old         bool
	AcrossFlats quantity.Length
	// AcrossCorners is the largest width over the corners.
	AcrossCorners quantity.Length
	Thickness     quantity.Length // largest; nominal for ASME hex and jam nuts
}

type nutRow struct{ d, s, m float64 }

// ISO 4032:2012, style 1.
var iso4032 = [...]nutRow{
	{1.6, 3.2, 1.3}, {2, 4, 1.6}, {2.5, 5, 2}, {3, 5.5, 2.4}, {3.5, 6, 2.8}, {4, 7, 3.2}, {5, 8, 4.7}, {6, 10, 5.2},
	{8, 13, 6.8}, {10, 16, 8.4}, {12, 18, 10.8}, {14, 21, 12.8}, {16, 24, 14.8}, {18, 27, 15.8}, {20, 30, 18},
	{22, 34, 19.4}, {24, 36, 21.5},
}

// ISO 4035:2012, thin, chamfered.
var iso4035 = [...]nutRow{
	{1.6, 3.2, 1}, {2, 4, 1.2}, {2.5, 5, 1.6}, {3, 5.5, 1.8}, {3.5, 6, 2}, {4, 7, 2.2}, {5, 8, 2.7}, {6, 10, 3.2},
	{8, 13, 4}, {10, 16, 5}, {12, 18, 6}, {16, 24, 8}, {20, 30, 10}, {24, 36, 12},
}

// DIN 934, the older nut, thinner from M5 up and with the older hexagon.
var din934 = [...]nutRow{
	{5, 8, 4}, {6, 10, 5}, {7, 11, 5.5}, {8, 13, 6.5}, {10, 17, 8}, {12, 19, 10}, {14, 22, 11}, {16, 24, 13},
	{18, 27, 15}, {20, 30, 16}, {22, 32, 18}, {24, 36, 19},
}

// Nuts lists the nuts that standards give for the thread, current forms first.
// It is empty where no source is at hand (BA nut thicknesses among them).
func (t Thread) Nuts() (nuts []Nut) {
	if r, ok := t.bs1083(); ok {
		af := thou(r.flats)
		return []Nut{
			{Kind: FullNut, Standard: "BS 1083", AcrossFlats: af, AcrossCorners: corners(af), Thickness: thou(r.nut)},
			{Kind: ThinNut, Standard: "BS 1083 (thin nut: reprints differ)", AcrossFlats: af, AcrossCorners: corners(af), Thickness: thou(r.locknut)},
		}
	}
	switch t.Form {
	case Unified:
		return t.inchNuts()
	case ISO68:
	default:
		return nil
	}
	add := func(rows []nutRow, kind NutKind, standard string, old bool) {
		for _, r := range rows {
			if isSize(r.d, t.Major) {
				s := quantity.Length(r.s)
				nuts = append(nuts, Nut{kind, standard, old, s, corners(s), quantity.Length(r.m)})
			}
		}
	}
	add(iso4032[:], FullNut, "ISO 4032", false)
	add(iso4035[:], ThinNut, "ISO 4035", false)
	add(din934[:], FullNut, "DIN 934", true)
	return nuts
}

// Washer is a plain washer of one standard.
type Washer struct {
	Standard         string
	Bore             quantity.Length // smallest
	Outside          quantity.Length // largest
	Thickness        quantity.Length // nominal
	LargestThickness quantity.Length
}

// ISO 7089:2000, normal series: bore, outside, thickness, largest thickness.
var iso7089 = [...]struct{ d, bore, outside, h, hMax float64 }{
	{1.6, 1.7, 4, .3, .35}, {2, 2.2, 5, .3, .35}, {2.5, 2.7, 6, .5, .55}, {3, 3.2, 7, .5, .55}, {4, 4.3, 9, .8, .9},
	{5, 5.3, 10, 1, 1.1}, {6, 6.4, 12, 1.6, 1.8}, {8, 8.4, 16, 1.6, 1.8}, {10, 10.5, 20, 2, 2.2}, {12, 13, 24, 2.5, 2.7},
	{16, 17, 30, 3, 3.3}, {20, 21, 37, 3, 3.3}, {24, 25, 44, 4, 4.3},
}

// Washer is the plain washer for the thread; ok is false where no standard at
// hand has one.
func (t Thread) Washer() (w Washer, ok bool) {
	if t.Form != ISO68 {
		return Washer{}, false
	}
	for _, r := range iso7089 {
		if isSize(r.d, t.Major) {
			return Washer{"ISO 7089", quantity.Length(r.bore), quantity.Length(r.outside), quantity.Length(r.h), quantity.Length(r.hMax)}, true
		}
	}
	return Washer{}, false
}
