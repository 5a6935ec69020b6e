package threads

import "fettle/threads/quantity"

// Spanner is a spanner that fits a nut or head of a thread.
type Spanner struct {
	Size   quantity.Length // across flats
	Mark   string          // what is stamped on it: "7 mm", "2 BA", "1/4 W, 5/16 BSF"
	Source string
	Old    bool // fits a form no longer made
}

// whitworthMarks are the openings of Whitworth-marked spanners in thousandths
// of an inch. Each fits the old large hexagon of the W size and the smaller one
// (BS 1083) of the BSF size. From 1/8 W to 1/2 W as published, the rest by BS
// 1083.
var whitworthMarks = [...]struct {
	flats uint16
	mark  string
	w64   uint8 // the BSW size whose old large hexagon it fits
}{
	{340, "1/8 W", 8}, {445, "3/16 W, 1/4 BSF", 12}, {525, "1/4 W, 5/16 BSF", 16}, {600, "5/16 W, 3/8 BSF", 20},
	{710, "3/8 W, 7/16 BSF", 24}, {820, "7/16 W, 1/2 BSF", 28}, {920, "1/2 W, 9/16 BSF", 32}, {1010, "9/16 W, 5/8 BSF", 36},
	{1200, "11/16 W, 3/4 BSF", 44}, {1300, "3/4 W, 7/8 BSF", 48}, {1480, "7/8 W, 1 BSF", 56},
}

func whitworthMark(flats uint16) string {
	for _, m := range whitworthMarks {
		if m.flats == flats {
			return m.mark
		}
	}
	return ""
}

// Spanner is the spanner for the usual nut or head, with its source; ok is
// false where no source gives one. See Spanners for the others met in
// workshops.
func (t Thread) Spanner() (size quantity.Length, source string, ok bool) {
	if s := t.Spanners(); len(s) > 0 {
		return s[0].Size, s[0].Source, true
	}
	return 0, "", false
}

// Spanners lists the spanners that nuts and heads of this thread need: the
// current one first, then those of old forms still about.
func (t Thread) Spanners() (list []Spanner) {
	switch t.Form {
	case ISO68, Unified:
		for _, h := range t.Heads() {
			if h.AcrossFlats == 0 {
				continue
			}
			s := Spanner{Size: h.AcrossFlats, Mark: h.AcrossFlats.String(), Source: h.Standard, Old: h.Old}
			if t.Form == Unified {
				s.Mark = h.AcrossFlats.InchString() + " AF"
			}
			list = append(list, s)
		}
		if t.Form == Unified { // whose nuts are not always as wide as the heads
			for _, n := range t.Nuts() {
				if n.Kind == FullNut && (len(list) == 0 || list[0].Size != n.AcrossFlats) {
					list = append(list, Spanner{Size: n.AcrossFlats, Mark: n.AcrossFlats.InchString() + " nut", Source: n.Standard})
				}
			}
		}
	case BA:
		if t.Series == BANumbered {
			return []Spanner{{Size: baFlats(t.Major), Mark: t.String(), Source: "BS 57 hexagon, 1.75 D (from memory; try it on the nut)"}}
		}
	case Whitworth:
		if r, ok := t.bs1083(); ok {
			list = append(list, Spanner{Size: thou(r.flats), Mark: whitworthMark(r.flats), Source: "BS 1083"})
		}
		if t.Series == BSF && t.Major == quantity.FromInches(3.0/16) {
			list = append(list, Spanner{Size: thou(338), Mark: "3/16 BSF, near 1/8 W", Source: "published spanner list"})
		}
		for _, m := range whitworthMarks {
			if t.Series == BSW && quantity.FromInches(float64(m.w64)/64) == t.Major {
				list = append(list, Spanner{Size: thou(m.flats), Mark: m.mark, Source: "large Whitworth hexagon, before BS 1083", Old: true})
			}
		}
	}
	return list
}
