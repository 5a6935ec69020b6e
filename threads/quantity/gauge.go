package quantity

import (
	"strconv"
	"strings"
)

// The number and letter drills of ASME B94.11M in ten-thousandths of an inch.
// They follow no formula: the table is the standard. (The same figures stand in
// the "drillgauge" and "drillA".."drillZ" entries of GNU units 2.22, read live
// by a test.)

var numberDrills = [80]int16{
	2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, // 1 to 10
	1910, 1890, 1850, 1820, 1800, 1770, 1730, 1695, 1660, 1610, // 11 to 20
	1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, // 21 to 30
	1200, 1160, 1130, 1110, 1100, 1065, 1040, 1015, 995, 980, // 31 to 40
	960, 935, 890, 860, 820, 810, 785, 760, 730, 700, // 41 to 50
	670, 635, 595, 550, 520, 465, 430, 420, 410, 400, // 51 to 60
	390, 380, 370, 360, 350, 330, 320, 310, 292, 280, // 61 to 70
	260, 250, 240, 225, 210, 200, 180, 160, 145, 135, // 71 to 80
}

var letterDrills = [26]int16{
	2340, 2380, 2420, 2460, 2500, 2570, 2610, 2660, 2720, 2770, 2810, 2900, 2950, // A to M
	3020, 3160, 3230, 3320, 3390, 3480, 3580, 3680, 3770, 3860, 3970, 4040, 4130, // N to Z
}

// NumberDrill is the diameter of number drill n, 1 to 80; ok is false outside.
func NumberDrill(n int) (l Length, ok bool) {
	if n < 1 || n > len(numberDrills) {
		return 0, false
	}
	return FromInches(float64(numberDrills[n-1]) / 10000), true
}

// LetterDrill is the diameter of letter drill c, A to Z in either case; ok is
// false for any other byte.
func LetterDrill(c byte) (l Length, ok bool) {
	if c >= 'a' && c <= 'z' {
		c -= 'a' - 'A'
	}
	if c < 'A' || c > 'Z' {
		return 0, false
	}
	return FromInches(float64(letterDrills[c-'A']) / 10000), true
}

// wireGauges is the Imperial standard wire gauge (SWG) from 7/0 to 50 in
// ten-thousandths of an inch, which sheet and tube walls go by. It follows no formula
// (BS 3737, from memory; "brwiregauge" of GNU units 2.22, read live by a test).
var wireGauges = [57]int16{
	5000, 4640, 4320, 4000, 3720, 3480, 3240, // 7/0 to 2/0, 0
	3000, 2760, 2520, 2320, 2120, 1920, 1760, 1600, 1440, 1280, // 1 to 10
	1160, 1040, 920, 800, 720, 640, 560, 480, 400, 360, // 11 to 20
	320, 280, 240, 220, 200, 180, 164, 148, 136, 124, // 21 to 30
	116, 108, 100, 92, 84, 76, 68, 60, 52, 48, // 31 to 40
	44, 40, 36, 32, 28, 24, 20, 16, 12, 10, // 41 to 50
}

// WireGauge is the thickness of SWG n, 0 to 50, or of -n+1 noughts below that: 7/0 is
// -6. ok is false outside.
func WireGauge(n int) (l Length, ok bool) {
	if n < -6 || n > 50 {
		return 0, false
	}
	return FromInches(float64(wireGauges[n+6]) / 10000), true
}

// parseWireGauge reads "10 swg", "swg 10", "No 10 s.w.g." or "2/0 SWG".
func parseWireGauge(s string) (l Length, problem string, isGauge bool) {
	if !strings.ContainsAny(s, "gG") {
		return 0, "", false
	}
	low := strings.TrimSuffix(strings.Replace(strings.ToLower(s), "s.w.g", "swg", 1), ".")
	figure, isGauge := strings.CutSuffix(low, "swg")
	if !isGauge {
		figure, isGauge = strings.CutPrefix(low, "swg")
	}
	if !isGauge {
		for _, other := range [...]string{"awg", "bwg", "gauge", "gage"} {
			if rest, ok := strings.CutSuffix(low, other); ok && digitsOnly(strings.TrimSpace(rest)) {
				return 0, "gauges differ; the British one is written swg, and no other is read", true
			}
		}
		return 0, "", false
	}
	for _, p := range [...]string{"no.", "no", "#"} {
		figure = strings.TrimPrefix(figure, p)
	}
	if n, ok := gaugeNumber(strings.TrimSpace(figure)); ok {
		if l, ok = WireGauge(n); ok {
			return l, "", true
		}
	}
	return 0, "wire gauges go from 7/0 swg to 50 swg, by whole numbers", true
}

// gaugeNumber reads 10, or 7/0 as -6.
func gaugeNumber(figure string) (n int, ok bool) {
	figure, noughts := strings.CutSuffix(figure, "/0")
	if !digitsOnly(figure) || len(figure) > 2 {
		return 0, false
	}
	n, err := strconv.Atoi(figure)
	if noughts {
		return 1 - n, err == nil && n > 0
	}
	return n, err == nil
}
