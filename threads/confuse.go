package threads

import (
	"fmt"
	"math"
	"sort"

	"fettle/threads/quantity"
)

// Confusion is a pair of threads that are taken for one another.
type Confusion struct {
	With Thread
	// PitchDifference is how much coarser (+) or finer (-) the other's pitch is,
	// in percent of this one's.
	PitchDifference float64
	// What happens when a screw of either is put into a hole of the other.
	What string
	// Same is true where the two are cut alike and only the name differs.
	Same bool
}

// Bounds of what counts as easily confused: how far the major diameters and the
// pitches may differ. A larger difference in pitch is still a trap where the
// diameters are nearly one. Common practice, no source.
const (
	closeMajor = 0.42 // mm
	closePitch = 6.2  // percent; beyond it a screw binds within two turns
	nearMajor  = 0.25
	// longestTaper is more than two taper threads shrink to their ends together, in mm.
	longestTaper = 2
	nearPitch    = 30.0
	samePitch    = 0.25 // percent; a pitch gauge shows nothing
)

// Confusables lists the threads easily taken for this one, the most alike
// first; those of a series that a fitting seldom has come after others as alike.
func (t Thread) Confusables() []Confusion {
	var list []Confusion
	along := t.along()
	for _, o := range All() {
		if math.Abs(float64(o.Major-t.Major)) > closeMajor+longestTaper || o == t {
			continue
		}
		major := max(0, math.Abs(float64(o.Major-t.Major))-float64(along+o.along()))
		pitch := 100 * math.Abs(float64((o.Pitch-t.Pitch)/t.Pitch))
		if major <= closeMajor && pitch <= closePitch || major <= nearMajor && pitch <= nearPitch {
			list = append(list, Confuse(t, o))
		}
	}
	apart := func(c Confusion) float64 {
		a := math.Abs(c.PitchDifference)/closePitch + math.Abs(float64(c.With.Major-t.Major))/closeMajor
		if c.Same {
			a -= 1
		}
		if c.With.seldom() {
			a += 0.5
		}
		return a
	}
	sort.SliceStable(list, func(i, j int) bool { return apart(list[i]) < apart(list[j]) })
	return list
}

// along is how much smaller a taper thread is at its end than where its sizes are taken.
func (t Thread) along() quantity.Length {
	g, _ := t.GaugePlane()
	return g.Length * quantity.Length(t.Taper())
}

// Confuse says what happens when screws and holes of two threads are mixed.
//
// The number of turns until a screw binds is that after which the error in lead
// has used up the play between the flanks, taken as 0.12 of the pitch (common
// practice, no source). Depth is that of the smaller screw in a hole tapped at
// 75 %.
func Confuse(a, b Thread) Confusion {
	c := Confusion{With: b, PitchDifference: 100 * float64((b.Pitch-a.Pitch)/a.Pitch)}
	switch {
	case a.Interchanges(b):
		c.Same = true
		c.What = "the same thread under another name: they interchange"
		return c
	case a.Taper() != b.Taper():
		c.What = "one is taper: it goes a few turns, wedges, and can split a bush"
		return c
	}
	off := math.Abs(c.PitchDifference)
	small, large := a, b
	if small.Major > large.Major {
		small, large = b, a
	}
	loose := large.Major-small.Major > 0.05
	depth := 100 * float64((small.Major-large.HoleFor(UsualEngagement))/large.FullDepth())
	into := small.String() + " goes loose into " + large.String() + fmt.Sprintf(" (%.0f %% of the depth)", math.Max(0, depth))
	switch {
	case off > closePitch:
		c.What = "starts, then jams within " + turnsText(12/off) + ": cross-threads"
		return c
	case off <= samePitch && loose:
		c.What = into
	case off <= samePitch && a.Form == b.Form:
		c.What = "runs right in"
	case off <= samePitch:
		c.What = "runs right in, but the flanks do not bear: weak, leaks, wears"
	case loose:
		c.What = into + " and binds after about " + turnsText(12/off)
	default:
		c.What = "feels right, then binds after about " + turnsText(12/off)
	}
	if large.Major-small.Major > 0.12 {
		c.What += "; " + large.String() + " cannot enter " + small.String() + " without cutting it"
	}
	return c
}

func turnsText(n float64) string {
	switch {
	case n < 0.8:
		return "half a turn"
	case n < 1.5:
		return "one turn"
	}
	return fmt.Sprintf("%.0f turns", n)
}

// PitchText is the pitch as people gauge it: "26 TPI" or "0.8 mm".
func (t Thread) PitchText() string {
	if t.TPI != 0 {
		return trim(t.TPI) + " TPI"
	}
	return t.Pitch.String()
}
