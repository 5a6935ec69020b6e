package threads

import (
	"math"

	"fettle/threads/quantity"
)

// Clearance is the plain hole a screw passes through, in three fits.
type Clearance struct {
	Fine, Medium, Coarse quantity.Length // ISO 273: H12, H13, H14; ASME B18.2.8: close, normal, loose
	Source               string
}

// clearanceRow is a diameter with its three holes, in hundredths of a
// millimetre.
type clearanceRow struct{ d, fine, medium, coarse uint16 }

// ISO 273:1979, 1 to 24 mm.
var iso273 = [...]clearanceRow{
	{100, 110, 120, 130}, {120, 130, 140, 150}, {140, 150, 160, 180}, {160, 170, 180, 200}, {180, 200, 210, 220},
	{200, 220, 240, 260}, {250, 270, 290, 310}, {300, 320, 340, 360}, {350, 370, 390, 420}, {400, 430, 450, 480},
	{450, 480, 500, 530}, {500, 530, 550, 580}, {600, 640, 660, 700}, {700, 740, 760, 800}, {800, 840, 900, 1000},
	{1000, 1050, 1100, 1200}, {1200, 1300, 1350, 1450}, {1400, 1500, 1550, 1650}, {1600, 1700, 1750, 1850},
	{1800, 1900, 2000, 2100}, {2000, 2100, 2200, 2400}, {2200, 2300, 2400, 2600}, {2400, 2500, 2600, 2800},
}

// unifiedClearance is a row of ASME B18.2.8: a size, counted by number where n64
// is 0 and in 64ths of an inch where it is not, with the names of its drills.
type unifiedClearance struct {
	number, n64          int
	close, normal, loose string
}

// ASME B18.2.8, by the drills it names.
var asmeB1828 = [...]unifiedClearance{
	{0, 0, "#51", "#48", "3/32"},
	{1, 0, "#46", "#43", "#37"},
	{2, 0, "3/32", "#38", "#32"},
	{3, 0, "#36", "#32", "#30"},
	{4, 0, "#31", "#30", "#27"},
	{5, 0, "9/64", "5/32", "11/64"},
	{6, 0, "#23", "#18", "#13"},
	{8, 0, "#15", "#9", "#3"},
	{10, 0, "#5", "#2", "letter B"},
	{0, 16, "17/64", "9/32", "19/64"},
	{0, 20, "21/64", "11/32", "23/64"},
	{0, 24, "25/64", "13/32", "27/64"},
	{0, 28, "29/64", "15/32", "31/64"},
	{0, 32, "17/32", "9/16", "39/64"},
	{0, 40, "21/32", "11/16", "47/64"},
	{0, 48, "25/32", "13/16", "29/32"},
	{0, 56, "29/32", "15/16", "1 1/32"},
	{0, 64, "1 1/32", "1 3/32", "1 5/32"},
}

// Clearance gives the holes of ISO 273 for ISO metric sizes and those of ASME
// B18.2.8 for Unified sizes (not No 12 and 9/16 in, which it leaves out). Neither covers the other series, nor
// every metric size: there the rule is the allowance ISO 273 gives the nearest
// size it lists, added to the major diameter and rounded up to 0.1 mm.
func (t Thread) Clearance() Clearance {
	if t.Form == Unified {
		for _, r := range asmeB1828 {
			d := numberSize(r.number)
			if r.n64 != 0 {
				d = quantity.FromInches(float64(r.n64) / 64)
			}
			if isSize(float64(d), t.Major) {
				c, _ := quantity.ParseLength(r.close)
				n, _ := quantity.ParseLength(r.normal)
				l, _ := quantity.ParseLength(r.loose)
				return Clearance{c, n, l, "ASME B18.2.8"}
			}
		}
	}
	hundredths := float64(t.Major) * 100
	best := iso273[0]
	for _, r := range iso273 {
		if math.Abs(float64(r.d)-hundredths) < math.Abs(float64(best.d)-hundredths) {
			best = r
		}
	}
	if t.Form == ISO68 && math.Abs(float64(best.d)-hundredths) < 1e-6 {
		return Clearance{
			quantity.Length(best.fine) / 100, quantity.Length(best.medium) / 100, quantity.Length(best.coarse) / 100, "ISO 273",
		}
	}
	hole := func(listed uint16) quantity.Length {
		return quantity.Length(math.Ceil(float64(t.Major)*10+float64(listed-best.d)/10-1e-6) / 10)
	}
	return Clearance{
		hole(best.fine), hole(best.medium), hole(best.coarse),
		"rule: the allowance of ISO 273 for M" + trim(float64(best.d)/100) + " added (no standard for this size)",
	}
}
