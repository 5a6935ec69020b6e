package fastening

import (
	"cmp"
	"math"
	"slices"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// insertLengths are the lengths wire thread inserts are made in, in diameters:
// DIN 8140.
var insertLengths = [...]float64{1, 1.5, 2, 2.5, 3}

// insertTap is the special thread tapped for a wire insert: the screw's pitch,
// the diameter larger by the thread the coil fills, d + 1.299·P (DIN 8140).
func insertTap(t threads.Thread) tapped {
	major := t.Major + 1.299*t.Pitch
	return tapped{t.Form, major, t.Pitch, major - t.Major + t.PitchDiameter(), t.FullDepth()}
}

// insertDrill is the drill for it: the special thread's basic minor diameter,
// d + 0.2165·P, rounded up to 0.1 mm. A published DIN 8140 listing has 3.1 for
// M3, 4.2 for M4, 5.3 for M5 and 6.3 for M6; the rule gives a tenth more for M3
// and a tenth less for M5, inside the range that makers give.
func insertDrill(t threads.Thread) quantity.Length {
	return quantity.Length(math.Ceil(float64(t.Major+0.2165*t.Pitch)*10-1e-6) / 10)
}

// insert is a wire thread insert that keeps the old screw. Only ISO metric and
// Unified threads have a source for it.
func (r rescue) insert() []Option {
	t := r.Thread
	if t.Form != threads.ISO68 && t.Form != threads.Unified || t.Major < 2 {
		return nil
	}
	w := insertTap(t)
	d := t.Major
	o := Option{Kind: Insert, Thread: t, Tapped: t.String() + " insert tap", tappedMajor: w.major, TapAtHand: len(r.Taps) == 0}
	wanted := insertDrill(t)
	drill := r.Drills.Near(wanted, 1)[0]
	r.drillFor(&o, threads.TapDrill{Drill: drill, Diameter: drill.Diameter, Source: "nearest to " + wanted.String() + " of DIN 8140"})
	if r.Drills.Own() && math.Abs(float64(drill.Diameter-wanted)) > 0.105 {
		o.Drill, o.Diameter, o.AsItIs, o.DrillAtHand = threads.Drill{Name: wanted.String(), Diameter: wanted}, max(wanted, r.Hole), false, false
		o.DrillSource = "DIN 8140; none of your own is near"
	}
	o.EngagementPercent, o.MeasuredPercent, o.CleanupPercent = w.percent(o.Diameter), w.percent(r.Hole), w.percent(max(o.Diameter, t.Major))
	if o.EngagementPercent < heightsOf(t.Form).list {
		return nil
	}
	// A through hole must be a pitch deeper than the insert; a blind one too, for
	// the tang.
	for _, l := range insertLengths {
		if length := quantity.Length(l) * d; length+t.Pitch <= r.Depth+1e-9 && (o.Engaged == 0 || o.Engaged < quantity.Length(r.Into.Engagement)*d) {
			o.Engaged = length
		}
	}
	if o.Engaged == 0 {
		o.add("insert-length", check.Stop, "The shortest insert is %v and needs %v of metal", d, d+t.Pitch)
		return []Option{o}
	}
	o.StripRatio = r.ratio(w, o.Diameter, o.Engaged)
	r.judgeHeight(&o, w)
	r.judgePlace(&o)
	if r.Edge > 0 && r.Edge < 2*d {
		o.add("insert-edge", check.Warn, "Inserts want two diameters, %v, from centre to edge", 2*d)
	}
	switch r.Kind {
	case WetHole:
		o.add("insert-wet", check.Ask, "The coil is a leak path: sealant round it and under the head; many codes say nothing about inserts in pressure parts, so ask")
	case "":
		o.add("insert-wet", check.Ask, "If the hole is wet the coil is a leak path, and many codes say nothing about inserts: ask")
	}
	o.add("insert", check.Note, "Insert %s x %v long, a quarter to half a pitch below the face; break the tang off and count it out", t, o.Engaged)
	return []Option{o}
}

// Walls of a threaded bush: at least a fifth of the inner diameter and 1.5 mm,
// common practice.
const (
	bushWallShare                 = 0.2
	bushWallLeast quantity.Length = 1.5
	bushOptions                   = 3
)

// bushes are solid bushes, screwed in (and silver-brazed where that is allowed),
// that keep the old screw: the smallest fine outside threads with wall enough.
func (r rescue) bushes() []Option {
	t := r.Thread
	wall := max(bushWallLeast, bushWallShare*t.Major)
	var fits []Option
	for _, outer := range r.all {
		switch outer.Series {
		case threads.ME, threads.Brass, threads.ISOFine, threads.BSF, threads.UNF:
		default:
			continue
		}
		if outer.MinorExternal() < t.Major+2*wall || outer.Major > 3*t.Major+6 || sound(outer).percent(r.Hole) < heightsOf(outer.Form).list {
			continue
		}
		fits = append(fits, Option{Kind: Bush, Thread: t, Tapped: outer.String(), tappedMajor: outer.Major, cut: outer, Engaged: r.Depth, TapAtHand: r.tapAtHand(outer)})
	}
	// The smallest few, those with a usual tap or one at hand first.
	slices.SortStableFunc(fits, func(a, b Option) int {
		return cmp.Or(cmp.Compare(r.tools(a), r.tools(b)), cmp.Compare(a.tappedMajor, b.tappedMajor))
	})
	var out []Option
	for _, o := range fits {
		if len(out) == bushOptions {
			break
		}
		outer, w := o.cut, sound(o.cut)
		r.drillFor(&o, outer.TapDrill(r.Drills, 0))
		o.EngagementPercent, o.MeasuredPercent, o.CleanupPercent = w.percent(o.Diameter), w.percent(r.Hole), w.percent(max(o.Diameter, t.Major))
		if o.EngagementPercent < heightsOf(outer.Form).list {
			continue // the user's own drills are all too large for it
		}
		// Inside, the bush holds the screw as the sound metal did, if it is of no
		// weaker metal; outside, its own thread holds.
		o.StripRatio = math.Min(1, r.ratio(w, o.Diameter, r.Depth))
		r.judgeHeight(&o, w)
		r.judgePlace(&o)
		r.judgeLength(&o, r.Depth)
		o.add("bush", check.Note, "Bush of %s, %s outside, %s inside, wall %v; spot it flush and prick or pin it so that it cannot turn", r.bushMetal(), outer, t, BenchLength((outer.MinorExternal()-t.Major)/2))
		if r.Kind != DryHole {
			o.add("bush-brazing", check.Ask, "A brazed bush heats the brazing round it: a hold point for the inspector")
		}
		out = append(out, o)
	}
	return out
}

// bushMetal is what a bush is turned from: bronze in copper, which is too soft,
// else the metal of the part.
func (r rescue) bushMetal() string {
	if r.Into.Family == Copper {
		return "phosphor bronze"
	}
	return r.Into.Name
}
