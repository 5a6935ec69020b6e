package threads

import (
	"math"

	"fettle/threads/quantity"
)

// UsualEngagement is the engagement aimed at where nobody asks for another, in
// percent of the basis EngagementBasis names.
const UsualEngagement = 75.0

// metricMargin is how many points of engagement a metric stock drill may lie
// off the target and still be preferred to a nearer number, letter or fraction
// drill. A drill cuts 0.03 to 0.1 mm over its size (common practice), which in
// these threads is worth more than five points, so the nearer one is no better.
const metricMargin = 5.0

// farMargin is how many points of engagement a drill may lie off the hole wanted
// before it is no drill for it: the hole is bored, or a drill bought.
const farMargin = 15.0

// TapDrill is a drill for the hole to be tapped.
type TapDrill struct {
	Drill             Drill
	Diameter          quantity.Length
	EngagementPercent float64
	Effect            string // what the hole is like to tap, in a few words
	Source            string // why this drill
	Recommended       bool   // the one TapDrill gives
}

// effect says what tapping such a hole is like. The bounds are common practice
// (60 to 80 % for general work), no source.
func effect(percent float64) string {
	switch {
	case percent > 100:
		return "too small: the tap will jam"
	case percent > 80:
		return "tight, break the chip often"
	case percent >= 65:
		return "usual"
	case percent >= 55:
		return "free"
	case percent >= 40:
		return "shallow: weak"
	}
	return "too large: do not use"
}

// taperEffect says the same of a parallel hole for a taper thread, by the share of
// full form half-way along the useful thread (common practice, no source).
func taperEffect(percent float64) string {
	switch {
	case percent > 110:
		return "tight, ream it taper first"
	case percent >= 90:
		return "usual"
	case percent >= 75:
		return "shallow, may leak"
	}
	return "too large: do not use"
}

func (t Thread) tapDrill(d Drill, source string) TapDrill {
	p := t.Engagement(d.Diameter)
	out := TapDrill{Drill: d, Diameter: d.Diameter, EngagementPercent: p, Effect: effect(p), Source: source}
	switch {
	case t.Taper() != 0:
		out.Effect = taperEffect(p)
	case t.Series == PipeRp:
		out.Effect = t.sealingEffect(d.Diameter)
	case t.Form.traversing():
		out.Effect = t.traversingEffect(d.Diameter)
	}
	return out
}

// traversingEffect says the same of the hole for a screw that moves something, by its
// limits: it keeps nearly the full form.
func (t Thread) traversingEffect(hole quantity.Length) string {
	limits, _ := t.Limits()
	switch {
	case hole < limits.Internal.MinorMin-1e-9:
		return "too small: the tap will jam"
	case hole <= limits.Internal.MinorMax+1e-9:
		return "usual"
	}
	return "shallow, wears soon"
}

// sealingEffect says the same of an Rp hole, by its limits (ISO 7-1).
func (t Thread) sealingEffect(hole quantity.Length) string {
	limits := t.sealingHoleLimits().Internal
	switch {
	case hole < limits.MinorMin:
		return "too small: the tap will jam"
	case hole <= limits.MinorMax:
		return "usual"
	case t.Engagement(hole) >= 75:
		return "shallow, may leak"
	}
	return "too large: do not use"
}

// Tapped reports that there are holes with this thread. An R thread is cut on
// the outside of a pipe or fitting only; its hole is called Rc or Rp.
func (t Thread) Tapped() bool { return t.Series != PipeR }

// TapDrill is the recommended drill.
//
// With target 0, an ISO metric thread gets the drill of ISO 2306, NPT that of a
// published chart, and every other thread the drill of the set nearest to
// UsualEngagement. A target in percent moves every thread to the nearest drill. Stock
// drills are metric as long as one lies within five points of the target. From a set of the user's
// own the nearest drill is taken, for ISO metric threads nearest to the
// standard's hole; where none of them is within fifteen points, the stock drill
// is given and the source says so. A target outside 1 to 100 counts as 0. Where
// no drill is near, as with an empty set, the hole itself is given, to be bored.
//
// With target 0 and limits known for the hole (see Limits), a drill within the
// limits of its minor diameter goes before any outside, for all but ISO metric
// threads, whose standard names the drill; a trapezoidal or Acme hole takes the drill
// nearest to the middle of them. Rp takes the first metric drill from
// its basic minor diameter up, and Rc the drill nearest to full form half-way
// along the useful thread. R has no hole (see Tapped): it gets the drill of the
// Rc hole it goes into.
func (t Thread) TapDrill(set DrillSet, target float64) TapDrill {
	usual := !(target >= 1 && target <= 100)
	if usual {
		target = UsualEngagement
	}
	best := t.pick(set, target, usual)
	best.Recommended = true
	return best
}

// FromFullForm turns an engagement given in percent of the full depth of the
// screw's thread, as bands for a material are, into the basis used here: the
// same for Whitworth and BA, 0.9445 of it for 60° threads (1.2269·P against
// 1.299·P).
func (t Thread) FromFullForm(percent float64) float64 {
	if t.Form == ISO68 || t.Form == Unified {
		return percent * screwDrop60 / engagement60
	}
	return percent
}

func (t Thread) pick(set DrillSet, target float64, usual bool) TapDrill {
	hole, want := t.HoleFor(target), percentText(target)
	standard, listed := usual && (t.Form == ISO68 || t.Series == NPT), true
	anywhere := func(ref) bool { return true }
	inside, sealing := anywhere, usual && !standard && (t.Taper() != 0 || t.Series == PipeRp)
	limits, limited := t.Limits()
	limited = limited && usual && !standard
	switch {
	case standard:
	case usual && t.Taper() != 0:
		// Common practice, no source: a parallel drill that leaves full form half-way
		// along the useful thread, short of it nearer the mouth.
		hole, want = t.HoleFor(100), "full form half-way along (common practice)"
	case usual && t.Series == PipeRp:
		// An encyclopaedia's table of BSP drills follows this rule from 1/16 to 1 1/2.
		// Where no drill lies between there and the upper limit, one below will do.
		hole, want = t.MinorInternal(), "the basic minor diameter"
		lo, hi := hole, limits.Internal.MinorMax
		if len(StockDrills().Between(lo, hi)) == 0 {
			lo = limits.Internal.MinorMin
		}
		inside = between(lo, hi)
	case limited:
		if t.Form.traversing() {
			// Such a hole keeps nearly the full form: its limits begin there.
			hole, want = (limits.Internal.MinorMin+limits.Internal.MinorMax)/2, "the middle of the hole's limits"
		}
		inside = between(limits.Internal.MinorMin, limits.Internal.MinorMax)
	}
	var named Drill
	if standard {
		named, want, listed = t.listedDrill()
		hole = named.Diameter
	}
	near := func(d quantity.Length) bool {
		return math.Abs(t.Engagement(d)-t.Engagement(hole)) <= farMargin
	}
	after := ""
	if set.Own() {
		best, _ := set.nearest(hole, inside)
		if best.diameter == 0 || !near(best.diameter) {
			best, _ = set.nearest(hole, anywhere)
		}
		own := set.drill(best)
		switch {
		case standard && listed && math.Abs(float64(own.Diameter-hole)) < 0.005:
			return t.tapDrill(own, "your own, "+want)
		case near(own.Diameter):
			if standard {
				want = hole.String() + ", " + want
			}
			return t.tapDrill(own, "your own, nearest to "+want)
		}
		set, after = StockDrills(), "; none of your own is near"
	}
	if standard && listed {
		return t.tapDrill(named, want+after)
	}
	choose := func(where func(ref) bool, margin float64) (r ref, how string) {
		best, metric := set.nearest(hole, where)
		if !standard && metric.diameter != 0 && math.Abs(t.Engagement(metric.diameter)-t.Engagement(hole)) <= margin {
			return metric, "nearest metric to "
		}
		return best, "nearest to "
	}
	best, how := choose(anywhere, metricMargin)
	if best.diameter != 0 && !inside(best) || sealing {
		// The next best has moved away from the target as it is, so any metric one
		// that is near will do.
		if within, name := choose(inside, farMargin); within.diameter != 0 && (limited || near(within.diameter)) {
			if limited && !t.Form.traversing() {
				after = " within the hole's limits" + after
			}
			return t.tapDrill(set.drill(within), name+want+after)
		}
	}
	if best.diameter == 0 || !near(best.diameter) {
		return t.tapDrill(metricDrill(quantity.Length(math.Round(float64(hole)*100)/100)), "bore to size for "+want+after)
	}
	return t.tapDrill(set.drill(best), how+want+after)
}

// between accepts drills from lo to hi, both included.
func between(lo, hi quantity.Length) func(ref) bool {
	return func(r ref) bool { return r.diameter >= lo-1e-9 && r.diameter <= hi+1e-9 }
}

// nearest is the drill nearest to a hole, and the nearest metric one; a zero
// diameter stands for none. Drills outside where do not count. Of two equally
// near the first of each counts.
func (s DrillSet) nearest(hole quantity.Length, where func(ref) bool) (best, metric ref) {
	off := func(r ref) float64 { return math.Abs(float64(r.diameter - hole)) }
	s.each(func(r ref) {
		if !where(r) {
			return
		}
		if best.diameter == 0 || off(r) < off(best)-1e-9 {
			best = r
		}
		if r.kind == MetricDrill && (metric.diameter == 0 || off(r) < off(metric)-1e-9) {
			metric = r
		}
	})
	return best, metric
}

func percentText(p float64) string { return trim(math.Round(p*10)/10) + " %" }

// isoDrill is a cell of ISO 2306 in hundredths of a millimetre.
type isoDrill struct{ d, p, drill int16 }

// ISO 2306:1972 drills a hole of about D - P with a drill of the preferred
// sizes of ISO/R 235. Where D - P is no such size its tables pick a neighbour:
//
//   - table 1, coarse, complete: these four rows are not D - P;
//   - table 2, fine: these are the rows where a source prints another drill. The
//     three with P = 1.25 are read from the standard; those of M6, M8 and M10
//     with P = 0.75 from a trainees' handbook (Institut fuer Berufliche
//     Entwicklung, thread cutting, appendix 1). For M7, M9 and M11 with P = 0.75
//     every source at hand prints D - P itself, so D - P stands.
//
// Package tables that print 5.25, 8.75, 10.75 or 12.75 for these compute D - P
// and say so; 8.8 lists for M14x1.25 and the like agree with the standard.
var isoDrills = [...]isoDrill{
	{450, 75, 370}, {800, 125, 680}, {900, 125, 780}, {1200, 175, 1020},
	{600, 75, 520}, {800, 75, 720}, {1000, 75, 920},
	{1000, 125, 880}, {1200, 125, 1080}, {1400, 125, 1280},
}

// listedDrill is the drill that a standard or a published chart names for the thread,
// and which; listed is false where it is a rule's.
func (t Thread) listedDrill() (drill Drill, source string, listed bool) {
	if t.Series == NPT {
		for _, s := range nptSizes {
			if s.size != t.Size || s.drill == "" {
				continue
			}
			if d, err := ParseDrill(s.drill); err == nil {
				return d, "published chart of NPT tapping drills", true
			}
		}
		return metricDrill(t.HoleFor(100)), "full form half-way along (common practice)", false
	}
	hole, listed := t.isoTapDrill()
	if !listed {
		return metricDrill(hole), "D - P, the rule of ISO 2306", false
	}
	return metricDrill(hole), "ISO 2306", true
}

// isoTapDrill is the drill of ISO 2306; listed is false for a diameter and pitch
// that ISO 261 does not have, where D - P is only the standard's rule.
func (t Thread) isoTapDrill() (drill quantity.Length, listed bool) {
	d, p := int16(math.Round(float64(t.Major)*100)), int16(math.Round(float64(t.Pitch)*100))
	for _, r := range isoDrills {
		if r.d == d && r.p == p {
			return quantity.Length(r.drill) / 100, true
		}
	}
	return (t.Major - t.Pitch).Round(), t.Series == ISOCoarse || t.Series == ISOFine
}

// TapDrills lists the useful drills of the set around the recommended one,
// smallest first: at most four on each side, from 50 to 95 % engagement (75 to
// 115 % for a taper thread, 75 % to the lower limit of the hole for Rp). The
// recommended one is always among them and marked.
func (t Thread) TapDrills(set DrillSet, target float64) []TapDrill {
	best := t.TapDrill(set, target)
	const side = 4
	lo, hi := t.HoleFor(95), t.HoleFor(50)
	switch { // those that seal in themselves are cut nearer to full form
	case t.Taper() != 0:
		lo, hi = t.HoleFor(115), t.HoleFor(75)
	case t.Series == PipeRp:
		lo, hi = t.sealingHoleLimits().Internal.MinorMin, t.HoleFor(75)
	}
	var below, above []TapDrill
	for _, d := range set.Between(lo, hi) {
		switch {
		case d.Name == best.Drill.Name || math.Abs(float64(d.Diameter-best.Diameter)) < 1e-9:
		case d.Diameter < best.Diameter:
			below = append(below, t.tapDrill(d, ""))
		default:
			above = append(above, t.tapDrill(d, ""))
		}
	}
	below = below[max(0, len(below)-side):]
	above = above[:min(side, len(above))]
	out := make([]TapDrill, 0, len(below)+1+len(above))
	out = append(out, below...)
	out = append(out, best)
	return append(out, above...)
}
