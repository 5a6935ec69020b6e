package fastening

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// The order of the ways to save a hole. Everything that counts is a fixed property
// of an option or one of its consequences, so that two options change places only
// where something more that is known adds a consequence to one of them.

// standing is what an option is ordered by, what counts most first; less is better.
type standing struct {
	stop, leaks, weak, poor int // poor counts warnings about the thread itself
	tools, around, kind     int // around those about what is round the hole
	metal                   float64
	kin, drill              int
}

// What tools and screws a thread finds in the workshop.
const (
	tapAtHand = iota // the tap is listed, or none is needed
	ownFamily        // usual, and of a family that the job or the workshop has
	catalogue        // usual in this trade: every catalogue has tap and screws
	rare             // another standard's, an odd size, or a part to be made
	lacking          // a part to be made, with a tap that few have or that is not at hand
)

func (r rescue) standing(o Option) standing {
	flag := func(b bool) int {
		if b {
			return 1
		}
		return 0
	}
	s := standing{
		stop: flag(o.Verdict == check.Stop), leaks: flag(o.leaks()), tools: r.tools(o), kind: o.Kind.order(),
		metal: float64(o.tappedMajor), kin: flag(o.cut.Series != r.Thread.Series), drill: flag(!o.DrillAtHand),
	}
	switch {
	case o.StripRatio < weak:
		s.weak = 2
	case o.StripRatio < asSound:
		s.weak = 1
	}
	for _, c := range o.Consequences {
		switch {
		case c.Severity != check.Warn:
		case c.Rule == "height" || c.Rule == "length" || c.Rule == "few-threads":
			s.poor++
		case c.Rule != "leak-path" && c.Rule != "strength": // these are counted above
			s.around++
		}
	}
	if o.over > 0 {
		// A thread that the hole is too wide for counts as about a size larger:
		// common practice, no source.
		s.metal *= 1.15
	}
	return s
}

// compare orders two options: a stop last, then a leak path, then strength below
// that of the sound thread, then a thread to be warned of (low, short), then tools and
// families at hand, then warnings about what is round the hole, then what alters
// least: the kind of repair and the metal that goes. Of two as large the one of the
// old thread's series.
func (s standing) compare(t standing) int {
	return cmp.Or(
		cmp.Compare(s.stop, t.stop), cmp.Compare(s.leaks, t.leaks), cmp.Compare(s.weak, t.weak), cmp.Compare(s.poor, t.poor),
		cmp.Compare(s.tools, t.tools), cmp.Compare(s.around, t.around), cmp.Compare(s.kind, t.kind), cmp.Compare(s.metal, t.metal), cmp.Compare(s.kin, t.kin), cmp.Compare(s.drill, t.drill),
	)
}

// rank puts the options in order, the best first.
func (r rescue) rank(options []Option) {
	stand, order := make([]standing, len(options)), make([]int, len(options))
	for i, o := range options {
		stand[i], order[i] = r.standing(o), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return stand[a].compare(stand[b]) })
	sorted := make([]Option, len(options))
	for place, i := range order {
		sorted[place] = options[i]
	}
	copy(options, sorted)
}

// leaks reports a leak path in a hole that is wet, or may be.
func (o Option) leaks() bool {
	return slices.ContainsFunc(o.Consequences, func(c check.Result) bool {
		return c.Severity != check.Note && (c.Rule == "leak-path" || c.Rule == "insert-wet")
	})
}

// lean reports a thread that is warned of for too little height.
func (o Option) lean() bool {
	return slices.ContainsFunc(o.Consequences, func(c check.Result) bool { return c.Rule == "height" && !check.Warn.Worse(c.Severity) })
}

// tools says what the option finds in the workshop.
func (r rescue) tools(o Option) int {
	switch {
	case o.Kind == Chase, o.Kind == Longer:
		return tapAtHand
	case o.Kind == Insert:
		return rare
	case o.Kind == Bush && (!o.TapAtHand || len(r.Taps) == 0 && r.threadTools(o.cut) == rare):
		return lacking
	case o.Kind == Bush:
		return rare
	case len(r.Taps) > 0 && o.TapAtHand:
		return tapAtHand
	}
	return r.threadTools(o.cut)
}

// ownReach is how much larger than the hole a thread may be and still go first for
// being of a family that is there: the next size of every series is, the one after it
// is not. Common practice, no source.
const ownReach = 1.35

// threadTools says the same of a thread whose tap is not listed.
func (r rescue) threadTools(t threads.Thread) int {
	if !r.usual(t) {
		return rare
	}
	if r.ownFamily(t.Series) && t.Major <= ownReach*max(r.Thread.Major, r.Hole) {
		return ownFamily
	}
	if r.ownFamily(t.Series) {
		return catalogue
	}
	switch t.Series {
	case threads.ISOCoarse, threads.BANumbered, threads.ME:
		return catalogue
	case threads.Brass, threads.PipeG:
		return catalogue // offered for fittings only
	}
	return rare
}

// ownFamily reports a series that the job or the workshop has: that of the old
// thread under any of its names, of the job's other threads, of the taps listed.
func (r rescue) ownFamily(s threads.Series) bool {
	related := func(own threads.Series) bool {
		in := func(list ...threads.Series) bool { return slices.Contains(list, own) && slices.Contains(list, s) }
		return own == s || in(threads.BSW, threads.BSF) || in(threads.UNC, threads.UNF) || own == threads.ISOFine && s == threads.ISOCoarse
	}
	return slices.ContainsFunc(r.families, related)
}

// ownFamilies lists the series behind ownFamily.
func (r rescue) ownFamilies() []threads.Series {
	list := slices.Clone(r.Families)
	for _, t := range r.all {
		if t.Interchanges(r.Thread) {
			list = append(list, t.Series)
		}
	}
	for _, t := range r.Taps {
		list = append(list, t.Series)
	}
	return append(list, r.Thread.Series)
}

// usual reports a size that people have screws and taps of, within its series: the
// first choice of ISO 261 and M3.5, even BA numbers, inch sizes by sixteenths and
// the model engineers' 5/32 and 7/32, none of 60 TPI, and the number sizes that are stocked. Fine and
// extra fine pitches are only where they are used already. Common practice, no
// source.
func (r rescue) usual(t threads.Thread) bool {
	sixteenths := math.Abs(math.Mod(16*t.Major.Inches()+0.01, 1)) < 0.02
	switch t.Series {
	case threads.ISOCoarse:
		return firstChoice(t.Major)
	case threads.BANumbered:
		return slices.Contains([]string{"0", "2", "4", "6", "8", "10", "12", "14", "16"}, t.Size)
	case threads.ME:
		return t.TPI != 60 && (sixteenths || t.Size == "5/32" || t.Size == "7/32")
	case threads.BSW, threads.BSF, threads.Brass:
		return sixteenths
	case threads.UNC, threads.UNF:
		return !slices.Contains([]string{"1", "3", "5", "12"}, t.Size)
	case threads.PipeG:
		return slices.Contains([]string{"1/8", "1/4", "3/8", "1/2", "3/4", "1"}, t.Size)
	case threads.UNEF:
		return false
	}
	return true
}

// firstChoice reports a diameter of the first choice of ISO 261, or M3.5, which
// is of the second and usual.
func firstChoice(d quantity.Length) bool {
	return slices.ContainsFunc([]float64{1, 1.2, 1.6, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10, 12, 16, 20, 24}, func(v float64) bool {
		return math.Abs(v-float64(d)) < 1e-6
	})
}

// why tells why the first option is the first: what speaks for it, and what was
// passed over for it.
func (r rescue) why(options []Option) string {
	if len(options) == 0 || options[0].Verdict == check.Stop {
		return ""
	}
	first := options[0]
	if len(options) == 1 || options[1].Verdict == check.Stop {
		return "the only one that will do"
	}
	var why string
	switch tools := r.tools(first); {
	case first.Kind == Chase || first.Kind == Longer:
		why = "it alters least"
	case first.Kind != NextSize:
		why = "it keeps the old screw"
	case first.over > 0 || first.lean():
		why = "no other does better, though its thread is low"
	case tools == tapAtHand:
		why = "its tap is at hand"
	case tools == ownFamily:
		why = "the least metal of a family that is there already"
	default:
		why = "the least metal of what gives a full thread"
	}
	if o, ok := r.passedOver(options); ok {
		why += "; " + r.whyNot(first, o)
	}
	return why
}

// whyNot says why the first option goes before one that alters less, by the first
// thing in which they differ.
func (r rescue) whyNot(first, o Option) string {
	name := o.Thread.String()
	if o.Kind != NextSize {
		name = string(o.Kind)
	}
	s, t := r.standing(first), r.standing(o)
	switch {
	case t.leaks > s.leaks:
		return name + " leaves a leak path"
	case t.weak > s.weak:
		return fmt.Sprintf("%s holds only %.0f %%", name, 100*o.StripRatio)
	case t.poor > s.poor:
		return "the thread of " + name + " is low or short"
	case t.tools > s.tools && s.tools == tapAtHand:
		return "the tap of " + name + " is not at hand"
	case t.tools > s.tools && t.tools == rare:
		return name + " is smaller, but fewer workshops have its tap and screws"
	case t.tools > s.tools:
		return name + " is smaller, but of another family"
	case t.around > s.around:
		return name + " has more to be warned of round the hole"
	}
	return name + " is smaller, but the hole is too wide for it"
}

// passedOver is the best of those that alter less than the first, one that people
// have tools for before a rare one; ok is false where there is none that will do.
func (r rescue) passedOver(options []Option) (o Option, ok bool) {
	first := options[0]
	for _, rarely := range [...]bool{false, true} {
		for _, o := range options[1:] {
			less := o.Kind.order() < first.Kind.order() || o.Kind == first.Kind && o.tappedMajor < first.tappedMajor
			if less && o.Verdict != check.Stop && (rarely || r.tools(o) < rare) {
				return o, true
			}
		}
	}
	return Option{}, false
}
