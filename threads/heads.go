package threads

import (
	"fmt"
	"math"
	"strings"

	"fettle/threads/quantity"
)

// HeadKind is the shape of a screw's head.
type HeadKind string

// The kinds of head.
const (
	HexHead         HeadKind = "hex"
	SocketHead      HeadKind = "socket"
	CountersunkHead HeadKind = "countersunk"
	CheeseHead      HeadKind = "cheese"
)

// ParseHead reads the kind of a head; an error says which there are.
func ParseHead(s string) (HeadKind, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "hex", "hexagon":
		return HexHead, nil
	case "socket", "cap", "socket cap":
		return SocketHead, nil
	case "countersunk", "csk":
		return CountersunkHead, nil
	case "cheese", "slotted":
		return CheeseHead, nil
	}
	return "", fmt.Errorf("%q is no head known here; there are hex, socket, countersunk and cheese", s)
}

// Head is the head of a screw of one standard. A field that does not apply, or
// for which no source is at hand, is 0.
type Head struct {
	Kind     HeadKind
	Standard string
	// Old marks a withdrawn form still met in workshops.
	Old bool

	HeadDiameter quantity.Length // largest; over the corners of a hexagon
	Height       quantity.Length // of a countersunk head: down to where its cone meets the thread's diameter
	AcrossFlats  quantity.Length // of the spanner
	Key          quantity.Length // across flats of the hexagon key
	Inch         bool            // an inch screw: its key is marked in inches

	// CountersinkDiameter is the diameter of the cone at the surface when the
	// head sits flush: the head's theoretical diameter, its cone carried up to
	// a sharp edge.
	CountersinkDiameter quantity.Length
	CountersinkAngle    quantity.Angle
}

// KeyMark is the hexagon key as it is marked: "4 mm", "5/32 in"; empty where the
// head has no socket.
func (h Head) KeyMark() string {
	switch {
	case h.Key == 0:
		return ""
	case h.Inch:
		return h.Key.InchString()
	}
	return h.Key.String()
}

// hexRow is a row of ISO 4017: across flats, height.
type hexRow struct{ d, s, k float64 }

// ISO 4017:2014 (and ISO 4014), across flats of ISO 272.
var iso4017 = [...]hexRow{
	{1.6, 3.2, 1.1}, {2, 4, 1.4}, {2.5, 5, 1.7}, {3, 5.5, 2}, {3.5, 6, 2.4}, {4, 7, 2.8}, {5, 8, 3.5}, {6, 10, 4},
	{8, 13, 5.3}, {10, 16, 6.4}, {12, 18, 7.5}, {14, 21, 8.8}, {16, 24, 10}, {18, 27, 11.5}, {20, 30, 12.5},
	{22, 34, 14}, {24, 36, 15},
}

// din933 are the sizes whose hexagon was another before ISO 272, still on many
// shelves: across flats and height of DIN 933. M7 is in DIN only.
var din933 = [...]hexRow{{7, 11, 4.8}, {10, 17, 6.4}, {12, 19, 7.5}, {14, 22, 8.8}, {22, 32, 14}}

// socketRow is a row of ISO 4762: head diameter (plain), height, key.
type socketRow struct{ d, dk, k, s float64 }

// ISO 4762:2004.
var iso4762 = [...]socketRow{
	{1.6, 3, 1.6, 1.5}, {2, 3.8, 2, 1.5}, {2.5, 4.5, 2.5, 2}, {3, 5.5, 3, 2.5}, {4, 7, 4, 3}, {5, 8.5, 5, 4},
	{6, 10, 6, 5}, {8, 13, 8, 6}, {10, 16, 10, 8}, {12, 18, 12, 10}, {14, 21, 14, 12}, {16, 24, 16, 14},
	{20, 30, 20, 17}, {24, 36, 24, 19},
}

// countersunkRow is a row of ISO 2009 and ISO 7046, heads of ISO 7721:
// theoretical diameter, largest real diameter, height.
type countersunkRow struct{ d, sharp, dk, k float64 }

// ISO 7721-1 (slotted ISO 2009, cross-recessed ISO 7046). The real diameters
// agree with published reprints of ISO 7046.
var iso7721 = [...]countersunkRow{
	{1.6, 3.6, 3, 1}, {2, 4.4, 3.8, 1.2}, {2.5, 5.5, 4.7, 1.5}, {3, 6.3, 5.5, 1.65}, {3.5, 8.2, 7.3, 2.35},
	{4, 9.4, 8.4, 2.7}, {5, 10.4, 9.3, 2.7}, {6, 12.6, 11.3, 3.3}, {8, 17.3, 15.8, 4.65}, {10, 20, 18.3, 5},
}

// din963 is the older countersunk head of DIN 963 (slotted) and DIN 965
// (cross-recessed): largest diameter and height, from a published reprint.
var din963 = [...]struct{ d, dk, k float64 }{
	{1.6, 3, .96}, {2, 3.8, 1.2}, {2.5, 4.7, 1.5}, {3, 5.6, 1.65}, {3.5, 6.5, 1.93}, {4, 7.5, 2.2}, {5, 9.2, 2.5},
	{6, 11, 3}, {8, 14.5, 4}, {10, 18, 5},
}

// iso10642 is the hexagon-socket countersunk head: theoretical diameter and
// key. Its height is (theoretical diameter - d)/2, for the cone is 90°.
var iso10642 = [...]struct{ d, sharp, s float64 }{
	{3, 6.72, 2}, {4, 8.96, 2.5}, {5, 11.2, 3}, {6, 13.44, 4}, {8, 17.92, 5}, {10, 22.4, 6}, {12, 26.88, 8},
	{14, 30.8, 10}, {16, 33.6, 10}, {20, 40.32, 12},
}

// ISO 1207:2011, cheese head: diameter, height.
var iso1207 = [...]struct{ d, dk, k float64 }{
	{1.6, 3, 1.1}, {2, 3.8, 1.4}, {2.5, 4.5, 1.8}, {3, 5.5, 2}, {3.5, 6, 2.4}, {4, 7, 2.6}, {5, 8.5, 3.3}, {6, 10, 3.9},
	{8, 13, 5}, {10, 16, 6},
}

// bs1083Row is a row of BS 1083:1965 in thousandths of an inch, by 64ths of
// the nominal size: largest across flats, head, nut and locknut.
type bs1083Row struct{ n64, flats, head, nut, locknut uint16 }

// BS 1083:1965, 1/4 to 1 in, largest sizes. Reprints differ on the locknut;
// Machinery's Handbook is followed.
var bs1083 = [...]bs1083Row{
	{16, 445, 176, 200, 185}, {20, 525, 218, 250, 210}, {24, 600, 260, 312, 260}, {28, 710, 302, 375, 275},
	{32, 820, 343, 437, 300}, {36, 920, 375, 500, 333}, {40, 1010, 417, 562, 375}, {48, 1200, 500, 687, 458},
	{56, 1300, 583, 750, 500}, {64, 1480, 666, 875, 583},
}

func isSize(d float64, l quantity.Length) bool { return math.Abs(d-float64(l)) < 1e-6 }

func thou(v uint16) quantity.Length { return quantity.FromInches(float64(v) / 1000) }

// corners is the width over the corners of a hexagon of these flats.
func corners(flats quantity.Length) quantity.Length {
	return quantity.Length(math.Round(float64(flats)*2/math.Sqrt(3)*100) / 100)
}

// Heads lists the heads that standards give a screw of this thread, those of
// ISO first and old forms last. It is empty where no source is at hand.
func (t Thread) Heads() []Head {
	switch t.Form {
	case ISO68:
		return metricHeads(t.Major)
	case Unified:
		return t.inchHeads()
	case BA:
		if t.Series != BANumbered {
			return nil
		}
		af := baFlats(t.Major)
		return []Head{{Kind: HexHead, Standard: "BS 57 hexagon, 1.75 D (from memory)", HeadDiameter: corners(af), AcrossFlats: af}}
	case Whitworth:
		if r, ok := t.bs1083(); ok {
			af := thou(r.flats)
			return []Head{{Kind: HexHead, Standard: "BS 1083", HeadDiameter: corners(af), Height: thou(r.head), AcrossFlats: af}}
		}
	}
	return nil
}

func (t Thread) bs1083() (bs1083Row, bool) {
	if t.Series == BSW || t.Series == BSF {
		for _, r := range bs1083 {
			if quantity.FromInches(float64(r.n64)/64) == t.Major {
				return r, true
			}
		}
	}
	return bs1083Row{}, false
}

// baFlats is the BA hexagon: 1.75 D in thousandths of an inch.
func baFlats(d quantity.Length) quantity.Length {
	return quantity.FromInches(math.Round(1.75*d.Inches()*1000) / 1000)
}

func metricHeads(d quantity.Length) (heads []Head) {
	for _, r := range iso4017 {
		if isSize(r.d, d) {
			s := quantity.Length(r.s)
			heads = append(heads, Head{Kind: HexHead, Standard: "ISO 4017", HeadDiameter: corners(s), Height: quantity.Length(r.k), AcrossFlats: s})
		}
	}
	for _, r := range iso4762 {
		if isSize(r.d, d) {
			heads = append(heads, Head{Kind: SocketHead, Standard: "ISO 4762", HeadDiameter: quantity.Length(r.dk), Height: quantity.Length(r.k), Key: quantity.Length(r.s)})
		}
	}
	for _, r := range iso7721 {
		if isSize(r.d, d) {
			heads = append(heads, Head{
				Kind: CountersunkHead, Standard: "ISO 2009, ISO 7046", HeadDiameter: quantity.Length(r.dk), Height: quantity.Length(r.k),
				CountersinkDiameter: quantity.Length(r.sharp), CountersinkAngle: 90,
			})
		}
	}
	for _, r := range iso10642 {
		if isSize(r.d, d) {
			heads = append(heads, Head{
				Kind: CountersunkHead, Standard: "ISO 10642", HeadDiameter: quantity.Length(r.sharp), Height: quantity.Length(math.Round((r.sharp-r.d)*500) / 1000),
				Key: quantity.Length(r.s), CountersinkDiameter: quantity.Length(r.sharp), CountersinkAngle: 90,
			})
		}
	}
	for _, r := range iso1207 {
		if isSize(r.d, d) {
			heads = append(heads, Head{Kind: CheeseHead, Standard: "ISO 1207", HeadDiameter: quantity.Length(r.dk), Height: quantity.Length(r.k)})
		}
	}
	for _, r := range din933 {
		if isSize(r.d, d) {
			s := quantity.Length(r.s)
			heads = append(heads, Head{Kind: HexHead, Standard: "DIN 933", Old: true, HeadDiameter: corners(s), Height: quantity.Length(r.k), AcrossFlats: s})
		}
	}
	for _, r := range din963 {
		if isSize(r.d, d) {
			// The old cone is the same 90°; its sharp diameter follows from the height.
			heads = append(heads, Head{
				Kind: CountersunkHead, Standard: "DIN 963, DIN 965", Old: true, HeadDiameter: quantity.Length(r.dk), Height: quantity.Length(r.k),
				CountersinkDiameter: quantity.Length(math.Round((r.d+2*r.k)*100) / 100), CountersinkAngle: 90,
			})
		}
	}
	return heads
}
