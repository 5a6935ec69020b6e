package fastening

import (
	"errors"
	"fmt"
	"math"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// ShearedPlan is how to get a broken screw or stud out of its hole.
type ShearedPlan struct {
	Thread threads.Thread
	// Pilot is the first drill, left-handed where there is one; Core the largest
	// that spares the thread.
	Pilot, Core threads.Drill
	// ExtractorLow and ExtractorHigh are the hole an extractor wants; both
	// nought where the screw is too small for one.
	ExtractorLow, ExtractorHigh quantity.Length
	// OffCentre is how far off the middle the pilot may be before the thread is
	// given up: there the pilot alone comes as near the thread as the last drill
	// does from the middle.
	OffCentre quantity.Length
	Steps     []ShearedStep // in order of attack, the gentlest first
	Sources   []string
}

// ShearedStep is one step of the attack.
type ShearedStep struct {
	Do      string
	Drill   string // the drill of the step, where it has one
	Caution string
}

// smallestExtractor is the smallest screw that an extractor is put into, 4 BA;
// in a smaller one it breaks before the screw turns: common practice.
const smallestExtractor quantity.Length = 3.6

// offCentreShare of the diameter is the most that a pilot may be off the middle:
// common practice. It is for pilots of half the diameter, and in threads that are
// deep for their size such a pilot would be in the crests by then.
const offCentreShare = 0.15

// Sheared plans the removal of a sheared fastener of thread t from metal m
// (which may be unset) with the given drills. off is how far the pilot turned out
// to be off the middle, 0 before it is drilled. The shares are common practice:
// pilot half the diameter, extractor 0.5 to 0.6 of it, last drill the internal
// minor diameter less 0.1 mm, and less twice off, so that its side comes no nearer
// to the thread. It is never smaller than the pilot, which is in already.
func Sheared(t threads.Thread, m Metal, drills threads.DrillSet, off quantity.Length) (ShearedPlan, error) {
	if t == (threads.Thread{}) || !positive(float64(t.Major)) {
		return ShearedPlan{}, errors.New("no thread is given: say what sheared off")
	}
	if !(off >= 0) || math.IsInf(float64(off), 0) {
		return ShearedPlan{}, fmt.Errorf("a pilot cannot be %v off the middle; write 0 or more", off)
	}
	if !drills.Own() {
		drills = threads.StockDrills()
	}
	p := ShearedPlan{
		Thread:  t,
		Sources: []string{"drill sizes: calculated from the thread, shares " + commonPractice, "left-hand drills and extractors: bench accounts"},
	}
	most := t.MinorInternal() - 0.1
	if below := drills.Between(0.05, most); len(below) > 0 {
		p.Core = metricFirst(below)
	} else {
		p.Core = threads.Drill{Name: BenchLength(most).String(), Diameter: BenchLength(most)}
	}
	if near := drills.Near(t.Major/2, 1); len(near) > 0 && near[0].Diameter < p.Core.Diameter {
		p.Pilot = near[0]
	} else {
		p.Pilot = p.Core
	}
	p.OffCentre = downToTwentieth(min(offCentreShare*t.Major, (p.Core.Diameter-p.Pilot.Diameter)/2))
	if off > 0 {
		if below := drills.Between(p.Pilot.Diameter, most-2*off); len(below) > 0 {
			p.Core = metricFirst(below)
		} else {
			p.Core = p.Pilot
		}
	}
	step := func(do, drill, caution string) { p.Steps = append(p.Steps, ShearedStep{do, drill, caution}) }
	step("Soak with penetrating fluid, a day if you have it; tap the stub, warm and cool it gently", "",
		"No heat near a soft seal or above a joint's limit, and no flame on a brazed bush unless the inspector knows")
	step("A stub that stands: two locked nuts, a stud box, or flats filed for a spanner; a slot and a driver on a small one", "", "")
	step("Flush: true the end flat with an end mill or burr in a guide bush, and centre it; or clamp a drill bush located from the flange's hole", "",
		"More than "+BenchLength(p.OffCentre).String()+" off centre: go for a bigger thread or a bush, do not pull the hole over")
	step("Drill a pilot with a left-hand drill; it often winds the stub out", p.Pilot.Name,
		"Off the middle all the same: every drill from here on smaller by twice as much as it is off")
	if t.Major > smallestExtractor-1e-9 {
		p.ExtractorLow, p.ExtractorHigh = 0.5*t.Major, 0.6*t.Major
		step("Open to the extractor's hole; prefer a straight-fluted one", BenchLength(p.ExtractorLow).String()+" to "+BenchLength(p.ExtractorHigh).String(),
			"A taper-spiral extractor spreads the remnant and locks it; one that breaks inside is too hard to drill")
	} else {
		step("No extractor at this size: it breaks before the screw turns", "", "")
	}
	step("Step up to the core drill and no further, then pick the helix out with a scriber and run a tap in", p.Core.Name,
		"A larger drill takes the thread with it")
	if m.IsZero() || m.Family.CopperAlloy() {
		step("A broken tap or extractor of steel in copper or bronze: warm alum solution eats the steel in hours to days and spares copper alloys; else spark erosion", "",
			"Never where steel parts of the boiler would lie in it")
	} else {
		step("A broken tap or extractor: spark erosion", "", "Alum eats a steel or iron part as well")
	}
	step("Keep chips out of the water space and count what goes in; measure the hole and rescue the thread if it is damaged", "", check.Deference)
	return p, nil
}

// downToTwentieth is a length down to the next 0.05 mm, which is about as fine as
// the wall of a stub can be measured.
func downToTwentieth(l quantity.Length) quantity.Length {
	return quantity.Length(math.Floor(float64(l)*20+1e-6) / 20)
}

// metricFirst takes the largest of the drills, and of those within 0.02 mm of it
// a metric one.
func metricFirst(drills []threads.Drill) threads.Drill {
	best := drills[len(drills)-1]
	for i := len(drills) - 1; i >= 0 && best.Diameter-drills[i].Diameter < 0.02; i-- {
		if drills[i].Kind == threads.MetricDrill {
			return drills[i]
		}
	}
	return best
}
