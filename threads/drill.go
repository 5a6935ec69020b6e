package threads

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fettle/threads/quantity"
)

// DrillKind is how a drill is named.
type DrillKind string

// The kinds of drill.
const (
	MetricDrill   DrillKind = "metric"
	NumberDrill   DrillKind = "number"
	LetterDrill   DrillKind = "letter"
	FractionDrill DrillKind = "fraction"
	OwnDrill      DrillKind = "own" // under a name of the user's
)

// Drill is a twist drill by its name and its nominal diameter.
type Drill struct {
	Name     string // "3.3 mm", "No 30", "letter F", "1/4 in"
	Diameter quantity.Length
	Kind     DrillKind
}

// DrillSet is a rack of drills. The zero DrillSet is empty; make one with
// StockDrills or OwnDrills.
type DrillSet struct {
	stock bool
	own   []Drill // sorted by diameter
}

// StockDrills is what a supplier keeps: metric by 0.1 mm from 0.3 to 14 mm,
// by 0.25 mm to 32 mm and by 0.5 mm to 60 mm (steps of ISO 235, from memory), number 1 to 80,
// letter A to Z, and fractions by 1/64 in to 1 in (ASME B94.11M).
func StockDrills() DrillSet { return DrillSet{stock: true} }

// DrillSources names where the sizes of some drills come from.
func DrillSources(drills []Drill) (sources []string) {
	of := map[DrillKind]string{
		MetricDrill: "metric drills: steps of ISO 235 (from memory)", FractionDrill: "fractions of an inch: by 1/64 in, as they are named",
		NumberDrill: "number and letter drills: ASME B94.11M (checked against GNU units)", LetterDrill: "number and letter drills: ASME B94.11M (checked against GNU units)",
		OwnDrill: "your own list",
	}
	for _, d := range drills {
		if s := of[d.Kind]; !slices.Contains(sources, s) {
			sources = append(sources, s)
		}
	}
	return sources
}

// OwnDrills is a set of the user's own. Drills without a positive finite
// diameter are left out.
func OwnDrills(drills []Drill) DrillSet {
	own := make([]Drill, 0, len(drills))
	for _, d := range drills {
		if d.Diameter > 0 && !math.IsInf(float64(d.Diameter), 0) {
			own = append(own, d)
		}
	}
	sort.SliceStable(own, func(i, j int) bool { return own[i].Diameter < own[j].Diameter })
	return DrillSet{own: own}
}

// Own reports that the set was listed by the user and is not empty.
func (s DrillSet) Own() bool { return !s.stock && len(s.own) > 0 }

const (
	metricFineSteps   = 138 // 0.3 to 14.0 mm by 0.1
	metricCoarseSteps = 72  // 14.25 to 32 mm by 0.25
	metricLargeSteps  = 56  // 32.5 to 60 mm by 0.5
)

// ref is a drill of the set without its name, which costs time to make.
type ref struct {
	diameter quantity.Length
	kind     DrillKind
	n        int
}

// each calls f with every drill of the set, in no particular order.
func (s DrillSet) each(f func(ref)) {
	for i, d := range s.own {
		f(ref{d.Diameter, OwnDrill, i})
	}
	if !s.stock {
		return
	}
	for i := range metricFineSteps {
		f(ref{quantity.Length(float64(i+3) / 10), MetricDrill, 0})
	}
	for i := range metricCoarseSteps {
		f(ref{quantity.Length(14.25 + float64(i)/4), MetricDrill, 0})
	}
	for i := range metricLargeSteps {
		f(ref{quantity.Length(32.5 + float64(i)/2), MetricDrill, 0})
	}
	for n := 1; n <= 80; n++ {
		l, _ := quantity.NumberDrill(n)
		f(ref{l, NumberDrill, n})
	}
	for c := 'A'; c <= 'Z'; c++ {
		l, _ := quantity.LetterDrill(byte(c))
		f(ref{l, LetterDrill, int(c)})
	}
	for n := 1; n <= 64; n++ {
		f(ref{quantity.FromInches(float64(n) / 64), FractionDrill, n})
	}
}

// drill names a drill of the set.
func (s DrillSet) drill(r ref) Drill {
	switch r.kind {
	case OwnDrill:
		return s.own[r.n]
	case NumberDrill:
		return Drill{"No " + strconv.Itoa(r.n), r.diameter, NumberDrill}
	case LetterDrill:
		return Drill{"letter " + string(rune(r.n)), r.diameter, LetterDrill}
	case FractionDrill:
		return Drill{quantity.Fraction(r.n, 64) + " in", r.diameter, FractionDrill}
	}
	return metricDrill(r.diameter)
}

// metricDrill names a drill in millimetres with at least one decimal, as drills
// are marked: "4.0 mm", "3.25 mm".
func metricDrill(d quantity.Length) Drill {
	name := trim(d.Round().MM())
	if !strings.Contains(name, ".") {
		name += ".0"
	}
	return Drill{name + " mm", d, MetricDrill}
}

// named sorts refs smallest first and names them. Drills of one diameter keep
// the order metric, number, letter, fraction.
func (s DrillSet) named(refs []ref) []Drill {
	sort.SliceStable(refs, func(i, j int) bool { return refs[i].diameter < refs[j].diameter })
	out := make([]Drill, len(refs))
	for i, r := range refs {
		out[i] = s.drill(r)
	}
	return out
}

// All lists the drills of the set, smallest first.
func (s DrillSet) All() []Drill {
	var refs []ref
	s.each(func(r ref) { refs = append(refs, r) })
	return s.named(refs)
}

// Between lists the drills from lo to hi, both included, smallest first.
func (s DrillSet) Between(lo, hi quantity.Length) []Drill {
	var refs []ref
	s.each(func(r ref) {
		if r.diameter >= lo && r.diameter <= hi {
			refs = append(refs, r)
		}
	})
	return s.named(refs)
}

// Near lists the n drills nearest to l, smallest first. Of two drills equally
// near, the metric one counts as nearer, then number, letter, fraction.
func (s DrillSet) Near(l quantity.Length, n int) []Drill {
	if n <= 0 || math.IsNaN(float64(l)) {
		return nil
	}
	best := make([]ref, 0, n+1)
	distance := func(r ref) float64 { return math.Abs(float64(r.diameter - l)) }
	s.each(func(r ref) {
		i := len(best)
		for i > 0 && distance(best[i-1]) > distance(r)+1e-9 {
			i--
		}
		if i >= n {
			return
		}
		best = append(best, ref{})
		copy(best[i+1:], best[i:])
		best[i] = r
		if len(best) > n {
			best = best[:n]
		}
	})
	return s.named(best)
}

// ParseDrill reads the name of a drill: "3.3", "3.3 mm", "No 30", "#30",
// "letter F", "F", "1/4", "17/64 in". Any positive length up to 100 mm names a
// drill, whether or not it is a stock size.
func ParseDrill(s string) (Drill, error) {
	text := strings.TrimSpace(s)
	if len(text) == 1 {
		if l, ok := quantity.LetterDrill(text[0]); ok {
			return Drill{"letter " + strings.ToUpper(text), l, LetterDrill}, nil
		}
	}
	fail := func(problem string) (Drill, error) {
		return Drill{}, &quantity.ParseError{Quantity: "drill", Input: s, Problem: problem, Expected: "3.3, 1/4, No 30 or letter F"}
	}
	l, err := quantity.ParseLength(text)
	if err != nil {
		if e, ok := err.(*quantity.ParseError); ok {
			return fail(e.Problem)
		}
		return Drill{}, err
	}
	switch {
	case l <= 0:
		return fail("it must be more than nought")
	case l > 100:
		return fail("it is above 100 mm")
	}
	return nameDrill(text, l), nil
}

// nameDrill gives a length the name of the drill it was written as.
func nameDrill(text string, l quantity.Length) Drill {
	low := strings.ToLower(text)
	switch {
	case strings.HasPrefix(low, "letter"):
		return Drill{"letter " + strings.ToUpper(strings.TrimSpace(low[len("letter"):])), l, LetterDrill}
	case strings.HasPrefix(low, "#"), strings.HasPrefix(low, "n"):
		for n := 1; n <= 80; n++ {
			if d, _ := quantity.NumberDrill(n); d == l {
				return Drill{"No " + strconv.Itoa(n), l, NumberDrill}
			}
		}
	}
	if n := math.Round(l.Inches() * 64); strings.ContainsAny(low, `/i"`) && n <= 64*4 && math.Abs(l.Inches()*64-n) < 1e-9 {
		return Drill{quantity.Fraction(int(n), 64) + " in", l, FractionDrill}
	}
	return metricDrill(l)
}
