package quantity

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
