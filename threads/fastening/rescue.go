package fastening

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// RescueInput is a damaged tapped hole. Thread, Hole, Into and Depth are
// needed; what is left out of the rest is not checked, and the options say so.
type RescueInput struct {
	Thread threads.Thread  // the thread the hole had
	Hole   quantity.Length // measured: the largest pin or drill shank that enters
	Into   Metal
	Depth  quantity.Length // depth the metal allows for full thread

	Kind HoleKind // where the hole leads
	// Damaged is how deep the damage goes from the face; nought takes the
	// usual engagement of the old screw.
	Damaged    quantity.Length
	Edge       quantity.Length // centre of the hole to the nearest edge of the metal
	Neighbour  quantity.Length // centre to centre of the next hole
	CoverHole  quantity.Length // the hole the screw now passes through
	GasketEdge quantity.Length // centre of the hole to the rim of the gasket or O-ring groove
	HeadRoom   quantity.Length // diameter free for a head
	Cover      quantity.Length // thickness of the cover, for a countersunk head
	Head       threads.HeadKind
	Holes      int   // holes of the same size in the ring; 0 or 1: it stands alone
	Grade      Grade // of the screw; A2-70 for the strength where unset

	// Families are the series that the job already uses besides the old thread's, and
	// Taps the taps at hand; with none listed any can be had.
	Families []threads.Series
	Taps     []threads.Thread
	Drills   threads.DrillSet // drills at hand; not the user's own: stock drills
}

// RescueKind is a family of repair.
type RescueKind string

// Families of repair, the least invasive first.
const (
	Chase    RescueKind = "chase"     // clean the thread that is there
	Longer   RescueKind = "longer"    // a longer screw into sound thread below
	NextSize RescueKind = "next-size" // drill and tap for a bigger thread
	Insert   RescueKind = "insert"    // a wire thread insert
	Bush     RescueKind = "bush"      // a solid threaded bush
)

func (k RescueKind) order() int {
	return slices.Index([]RescueKind{Chase, Longer, NextSize, Insert, Bush}, k)
}

// Option is one way to save the hole.
type Option struct {
	Kind RescueKind
	// Thread is that of the screw afterwards. Tapped says what is tapped in the
	// metal: the same, an insert's own tap, or the outside of a bush.
	Thread threads.Thread
	Tapped string
	// Drill is the tapping drill; AsItIs says that the hole is tapped as
	// measured, no smaller drill being possible. Diameter is the hole tapped.
	// DrillSource says why this drill.
	Drill       threads.Drill
	AsItIs      bool
	Diameter    quantity.Length
	DrillSource string
	// EngagementPercent is the height of the new thread at Diameter, and
	// MeasuredPercent on the hole as measured. CleanupPercent is the height that the
	// old thread has not grooved: all of it where Diameter clears the old thread, else
	// what lies beyond its root. All on the basis EngagementBasis of the tapped thread
	// names.
	EngagementPercent, MeasuredPercent, CleanupPercent float64
	// Engaged is the length of thread the screw has afterwards.
	Engaged quantity.Length
	// StripRatio is the strip force over that of the old thread when sound.
	StripRatio float64
	// TapAtHand and DrillAtHand are true where the user listed tools and has
	// these, or listed none.
	TapAtHand, DrillAtHand bool
	Verdict                check.Severity
	// Consequences are what the repair brings with it that must be done or checked,
	// the gravest first. They name no source.
	Consequences []check.Result

	// over is by how much the hole is wider than the widest for the thread.
	over        quantity.Length
	tappedMajor quantity.Length // of what is tapped in the metal
	cut         threads.Thread  // the same, where it is a thread of its own
}

// RescueResult ranks the ways to save a hole, the best first.
type RescueResult struct {
	Thread threads.Thread
	Hole   quantity.Length
	// HolePercent is how much of the old thread the measured hole leaves.
	HolePercent float64
	Options     []Option
	// Why says in a few words why the first option stands first; empty where
	// none can be recommended.
	Why      string
	Verdict  check.Severity // of the best option; Stop where nothing fits
	Findings []check.Result
	Basis    string // what the percentages are of
	Sources  []string
}

// Thread height in percent at which a repair is listed, warned of and refused.
// They are percent of the full form for 55° and 47½° threads and of the basic
// nut profile 1.0825·P for 60° threads: common practice. On the 1.299·P basis
// used everywhere else the latter are 50, 51.7 and 37.5.
type heightLimits struct{ list, warn, stop float64 }

func heightsOf(f threads.Form) heightLimits {
	if f == threads.ISO68 || f == threads.Unified {
		return heightLimits{60 * nutBasis, 62 * nutBasis, 45 * nutBasis}
	}
	return heightLimits{60, 55, 40}
}

// wornOut is how many diameters a hole may measure before it can no longer be
// called a damaged hole of that thread.
const wornOut = 1.25

// nutBasis turns a percentage of the basic nut profile, 5/4·H = 1.0825·P, into
// one of 1.299·P.
const nutBasis = 1.0825 / 1.299

// Rescue ranks every way to save a damaged tapped hole.
//
// A bigger thread is listed when the measured hole leaves it enough height; its
// tapping drill is the usual one, or the hole as it is where that is larger. The
// two percentages tell how much of the new thread is there and how much the
// old one's grooves have left whole: where they run under a wet thread they
// leak. Nothing that fits is an answer too: Options may be empty.
//
// Errors: an input outside its range, or a hole smaller than the old screw's
// core, which cannot be that thread's.
func Rescue(in RescueInput) (RescueResult, error) {
	if err := in.check(); err != nil {
		return RescueResult{}, err
	}
	r := rescue{RescueInput: in, all: threads.All()}
	if err := r.screw(); err != nil {
		return RescueResult{}, err
	}
	r.families = r.ownFamilies()
	if r.Head == "" {
		r.Head = threads.HexHead
	}
	if !r.Drills.Own() {
		r.Drills = threads.StockDrills()
	}
	if r.Damaged == 0 {
		r.Damaged = min(r.Depth, quantity.Length(r.Into.Engagement)*r.Thread.Major)
	}
	r.original = r.strip(sound(in.Thread), r.usualHole(in.Thread), in.Depth)

	out := RescueResult{
		Thread: in.Thread, Hole: in.Hole, HolePercent: in.Thread.Engagement(in.Hole),
		Basis: in.Thread.EngagementBasis(),
		Sources: []string{
			"strip force: FED-STD-H28/2B areas; less for little height by a tap maker's and a course's figures; wall and bending factors VDI 2230-1, from memory",
			"height limits: " + commonPractice, "inserts: DIN 8140 listing and makers' notes", "metal: " + in.Into.Source,
		},
	}
	out.Options = append(out.Options, r.chase(), r.longer())
	out.Options = append(out.Options, r.nextSizes()...)
	out.Options = append(out.Options, r.insert()...)
	out.Options = append(out.Options, r.bushes()...)
	for i := range out.Options {
		o := &out.Options[i]
		o.judgeStrength()
		o.Consequences = check.GravestFirst(o.Consequences)
		o.Verdict = check.Worst(o.Consequences)
	}
	r.rank(out.Options)
	out.Findings, out.Verdict = r.findings(out.Options)
	out.Why = r.why(out.Options)
	return out, nil
}

func (in RescueInput) check() error {
	t := in.Thread
	switch {
	case t == (threads.Thread{}) || !positive(float64(t.Major)):
		return errors.New("no thread is given: say what the hole was tapped")
	case t.Series == threads.PipeR:
		return fmt.Errorf("%s is an external taper: no hole is tapped with it; name the hole's own thread, Rc or Rp of that size", t)
	case t.Moves():
		return fmt.Errorf("%s is a thread for a screw that moves something: no repair of its nut is known here; make a new nut", t)
	case in.Into.IsZero():
		return errors.New("no metal is given: say what the hole is in, such as gunmetal")
	case !positive(float64(in.Hole)):
		return fmt.Errorf("a hole of %v mm: expected the diameter of the largest pin that enters", float64(in.Hole))
	case in.Hole < t.MinorExternal():
		return fmt.Errorf("a hole of %v is smaller than the core of %s, %v: the screw could not enter it; measure again or check the thread", in.Hole, t, BenchLength(t.MinorExternal()))
	case in.Hole > 500:
		return fmt.Errorf("a hole of %v: check the unit", in.Hole)
	case !positive(float64(in.Depth)):
		return fmt.Errorf("a depth of %v mm: expected how deep full thread can go", float64(in.Depth))
	case in.Depth > 50*t.Major:
		return fmt.Errorf("a depth of %v is more than fifty diameters of %s: check the unit", in.Depth, t)
	case in.Holes < 0 || in.Holes > MaxBolts:
		return fmt.Errorf("%d holes in the ring: expected 1 to %d", in.Holes, MaxBolts)
	}
	for _, l := range [...]struct {
		what string
		v    quantity.Length
	}{
		{"depth of damage", in.Damaged}, {"edge distance", in.Edge}, {"distance to the next hole", in.Neighbour}, {"cover hole", in.CoverHole},
		{"distance to the gasket", in.GasketEdge}, {"head room", in.HeadRoom}, {"cover thickness", in.Cover},
	} {
		if l.v != 0 && !positive(float64(l.v)) {
			return fmt.Errorf("a %s of %v mm: expected a length above nought", l.what, float64(l.v))
		}
	}
	switch {
	case in.Edge != 0 && in.Edge <= in.Hole/2:
		return fmt.Errorf("an edge %v from the centre lies inside a hole of %v", in.Edge, in.Hole)
	case in.Neighbour != 0 && in.Neighbour <= in.Hole:
		return fmt.Errorf("the next hole %v away would run into a hole of %v", in.Neighbour, in.Hole)
	case in.CoverHole != 0 && in.CoverHole < t.Major*0.9:
		return fmt.Errorf("a cover hole of %v does not pass %s", in.CoverHole, t)
	}
	switch in.Kind {
	case "", WetHole, BlindHole, DryHole:
		return nil
	}
	return fmt.Errorf("a hole is wet, blind or dry, not %q", string(in.Kind))
}

// rescue is an input with its defaults and the strength of the sound thread.
type rescue struct {
	RescueInput
	all      []threads.Thread // every thread of every series
	families []threads.Series // that the job or the workshop has
	tauScrew float64          // shear strength of the screw
	original float64
}

// screw settles the shear strength of the screw: that of its grade, or of A2-70
// where none is given, which seldom matters beside the softer hole.
func (r *rescue) screw() error {
	if r.Grade.IsZero() {
		usual, err := ParseGrade("A2-70")
		if err != nil {
			return err
		}
		tau, err := usual.Shear(6)
		r.tauScrew = float64(tau)
		return err
	}
	tau, err := r.Grade.Shear(r.Thread.Major)
	r.tauScrew = float64(tau)
	return err
}

// tapped is a thread cut in the metal: a thread, or an insert's own tap.
type tapped struct {
	form         threads.Form
	major, pitch quantity.Length
	pitchDia     quantity.Length
	fullDepth    quantity.Length
}

func sound(t threads.Thread) tapped {
	return tapped{t.Form, t.Major, t.Pitch, t.PitchDiameter(), t.FullDepth()}
}

func (w tapped) percent(hole quantity.Length) float64 {
	return 100 * float64((w.major-hole)/w.fullDepth)
}

// usualHole is the recommended tapping hole.
func (r rescue) usualHole(t threads.Thread) quantity.Length {
	return t.TapDrill(threads.StockDrills(), 0).Diameter
}

// strip is the force in N that pulls the thread out of its metal over length l:
// the basic sizes' geometric strip force, and less by heightStrength where the
// thread is not of full height. A wall too thin for the wall factor counts with its
// least value.
func (r rescue) strip(w tapped, hole, l quantity.Length) float64 {
	if hole >= w.major || l <= 0 {
		return 0
	}
	p := pull{
		overlap: Overlap{Pitch: w.pitch, FlankAngle: w.form.Angle(), Major: w.major, PitchInternal: w.pitchDia, PitchExternal: w.pitchDia, Minor: hole},
		d:       float64(w.major), d2: float64(w.pitchDia), tauHole: float64(r.Into.Shear), tauScrew: r.tauScrew,
		screwBreaks: math.Inf(1), rule: r.Into.Engagement,
	}
	if r.Edge > 0 {
		p.edge = math.Max(float64(r.Edge), 0.7*float64(w.major))
	}
	s, err := p.over(l)
	if err != nil {
		return 0
	}
	return float64(s.Geometric) * heightStrength(w.percent(hole))
}

// ratio is the strip force of a new thread over the sound old one's. Where the
// old thread's grooves stay below the new one they have taken about half of the
// metal between the hole and their root, so the mean of both is counted.
func (r rescue) ratio(w tapped, hole, l quantity.Length) float64 {
	if r.original <= 0 {
		return 0
	}
	f := r.strip(w, hole, l)
	if hole < r.Thread.Major && w.major > r.Thread.Major {
		f = (f + r.strip(w, r.Thread.Major, l)) / 2
	}
	return f / r.original
}

func (r rescue) tapAtHand(t threads.Thread) bool {
	if len(r.Taps) == 0 {
		return true
	}
	return slices.ContainsFunc(r.Taps, func(o threads.Thread) bool { return sameThread(o, t) })
}

// sameThread reports two names of one thread.
func sameThread(a, b threads.Thread) bool {
	return a.Form == b.Form && a.Taper() == b.Taper() && math.Abs(float64(a.Major-b.Major)) < 0.002 && math.Abs(float64(a.Pitch-b.Pitch)) < 0.0005
}

// drillFor picks the drill for a hole wanted: the wanted one, or where the hole
// is larger already, none.
func (r rescue) drillFor(o *Option, wanted threads.TapDrill) {
	o.Drill, o.Diameter, o.DrillSource, o.DrillAtHand = wanted.Drill, wanted.Diameter, wanted.Source, true
	if r.Drills.Own() {
		o.DrillAtHand = len(r.Drills.Between(wanted.Diameter-0.005, wanted.Diameter+0.005)) > 0
	}
	if r.Hole >= wanted.Diameter {
		o.AsItIs, o.Diameter, o.DrillAtHand = true, r.Hole, true
		o.Drill = threads.Drill{Name: "none, tap it as it is", Diameter: r.Hole}
		o.DrillSource = "as measured"
	}
}

// nextSizes lists every bigger thread the hole has height for.
func (r rescue) nextSizes() []Option {
	out := make([]Option, 0, 64)
	largest := 1.5*max(r.Thread.Major, r.Hole) + 1
	for _, t := range r.all {
		if t.Major <= r.Thread.Major+0.02 || t.Major > largest || !r.suits(t.Series) {
			continue
		}
		// One thread under two names is one option.
		if i := slices.IndexFunc(out, func(o Option) bool { return sameThread(o.Thread, t) }); i >= 0 {
			out[i].add("same-thread", check.Note, "The same thread as %s", t)
			continue
		}
		w := sound(t)
		limits := heightsOf(t.Form)
		if w.percent(r.Hole) < limits.list {
			continue
		}
		o := Option{Kind: NextSize, Thread: t, Tapped: t.String(), tappedMajor: t.Major, cut: t, Engaged: r.Depth, TapAtHand: r.tapAtHand(t)}
		r.drillFor(&o, t.TapDrill(r.Drills, 0))
		o.EngagementPercent, o.MeasuredPercent = w.percent(o.Diameter), w.percent(r.Hole)
		o.CleanupPercent = w.percent(max(o.Diameter, r.Thread.Major))
		o.StripRatio = r.ratio(w, o.Diameter, r.Depth)
		if o.EngagementPercent < limits.list {
			continue // the user's own drills are all too large for it
		}
		r.judgeHeight(&o, w)
		r.judgeWidth(&o)
		r.judgeGrooves(&o, w)
		r.judgePlace(&o)
		r.judgeScrew(&o)
		out = append(out, o)
	}
	return out
}

// madeInserts says where the figures of wire inserts are that no source at hand gives:
// a maker's list of contents names BA, BSW, BSF and BSP; its tables were not read.
func madeInserts(s threads.Series) string {
	switch s {
	case threads.BANumbered, threads.BSW, threads.BSF, threads.PipeG:
		return "they are made, and their drill and tap are in the maker's list"
	}
	return "no source is at hand; a supplier may make them"
}

// suits says whether a hole of the old thread's sort may be re-tapped in a
// series. Screw holes do not become pipe threads, nor sealing pipe threads
// anything but pipe threads.
func (r rescue) suits(s threads.Series) bool {
	fitting := func(s threads.Series) bool {
		return s == threads.PipeG || s == threads.ME || s == threads.Brass
	}
	old := r.Thread.Series
	switch {
	case sealsOnFlanks(old):
		return s == old
	case sealsOnFlanks(s):
		return false
	case s == threads.PipeG || s == threads.Brass:
		return fitting(old)
	case s == threads.Cycle || s == threads.MetricOther:
		return s == old
	case s == threads.Trapezoidal || s == threads.Acme:
		return false
	}
	return true
}

func (r rescue) chase() Option {
	t := r.Thread
	w := sound(t)
	o := Option{
		Kind: Chase, Thread: t, Tapped: t.String(), tappedMajor: t.Major, cut: t, Drill: threads.Drill{Name: "none, tap it as it is", Diameter: r.Hole},
		AsItIs: true, Diameter: r.Hole, DrillSource: "as measured", DrillAtHand: true, TapAtHand: r.tapAtHand(t), Engaged: r.Depth,
		EngagementPercent: w.percent(r.Hole), MeasuredPercent: w.percent(r.Hole), CleanupPercent: w.percent(r.Hole),
		StripRatio: r.ratio(w, r.Hole, r.Depth),
	}
	if r.Hole >= t.Major {
		o.add("no-thread", check.Stop, "Nothing of %s is left to clean", t)
		return o
	}
	r.judgeHeight(&o, w)
	r.judgeLength(&o, r.Depth)
	o.add("chase", check.Note, "Run a plug tap through by hand, vacuum or wash the chips out and never blow, and prove it with the real screw: six turns by hand without rock")
	return o
}

// longer is a longer screw into thread that the damage has not reached.
func (r rescue) longer() Option {
	t := r.Thread
	left := r.Depth - r.Damaged
	hole := r.usualHole(t)
	w := sound(t)
	o := Option{
		Kind: Longer, Thread: t, Tapped: t.String(), tappedMajor: t.Major, cut: t, Drill: threads.Drill{Name: "none, or deepen with " + hole.String(), Diameter: hole},
		Diameter: hole, DrillSource: "the thread's own", DrillAtHand: true, TapAtHand: r.tapAtHand(t), Engaged: max(0, left),
		EngagementPercent: w.percent(hole), MeasuredPercent: w.percent(r.Hole), CleanupPercent: w.percent(hole),
	}
	if r.Hole > wornOut*t.Major {
		o.add("hole-large", check.Stop, "The hole is so much larger than %s that there is none of it below either", t)
		return o
	}
	if left <= 0 {
		o.add("no-depth", check.Stop, "The damage reaches as deep as thread can go: nothing sound below")
		return o
	}
	// The old screw had the usual engagement, or more if the damage is deeper.
	usual := quantity.Length(r.Into.Engagement) * t.Major
	if before := r.strip(w, hole, max(r.Damaged, min(r.Depth, usual))); before > 0 {
		o.StripRatio = r.strip(w, hole, left) / before
	}
	r.judgeLength(&o, left)
	o.add("screw-length", check.Note, "A screw %v longer: it must not bottom; leave one pitch, and check that its end blocks no passage and touches no tube or stay", BenchLength(r.Damaged))
	if r.Kind == BlindHole {
		o.add("break-through", check.Note, "Deepening a blind hole may break through to water: then it is wet, and the rules for wet screws apply")
	}
	return o
}

func (o *Option) add(rule string, sev check.Severity, format string, args ...any) {
	if o.Consequences == nil {
		o.Consequences = make([]check.Result, 0, 16) // most options have a dozen
	}
	if len(args) > 0 {
		format = fmt.Sprintf(format, args...)
	}
	o.Consequences = append(o.Consequences, check.Result{Rule: rule, Severity: sev, Message: format})
}

// judgeHeight judges the height of the thread to be cut.
func (r rescue) judgeHeight(o *Option, w tapped) {
	limits := heightsOf(w.form)
	band := threads.Thread{Form: w.form}.FromFullForm(r.Into.BandLow)
	switch p := o.EngagementPercent; {
	case p < limits.stop && r.Kind != DryHole:
		o.add("height", check.Stop, "Only %.0f %% of thread: too little for a pressure joint", p)
	case p < limits.warn:
		o.add("height", check.Warn, "Only %.0f %% of thread; %.0f %% is the least to aim at", p, limits.warn)
	case p < band && o.Kind == Chase && (r.Kind == WetHole || r.Kind == ""):
		// Nothing but this thread keeps the water in: not to be called good unseen.
		o.add("height", check.Ask, "%.0f %% of thread, below the usual %.0f %% in %s: may it stay where it is wet? The test shows whether it weeps", p, band, r.Into)
	case p < band:
		o.add("height", check.Note, "%.0f %% of thread, below the usual %.0f %% in %s", p, band, r.Into)
	}
}

// judgeWidth says where the hole is already wider than the widest that the new
// thread may be tapped in: it can be cut, and is lower than any thread to the
// standard.
func (r rescue) judgeWidth(o *Option) {
	limits, ok := o.Thread.Limits()
	if !ok || limits.Internal.MinorMax == 0 || o.Diameter <= limits.Internal.MinorMax {
		return
	}
	o.over = o.Diameter - limits.Internal.MinorMax
	o.add("hole-wide", check.Note, "The hole is wider than %v, the widest for %s: its thread is lower than the standard's lowest", BenchLength(limits.Internal.MinorMax), o.Thread)
}

// wholeForm is the share of the full form, in percent and alike for every form of
// thread, that must lie whole beyond the old thread's grooves where it is wet: common
// practice, no source.
const wholeForm = 60.0

// judgeGrooves judges what the old thread leaves under a new one.
func (r rescue) judgeGrooves(o *Option, w tapped) {
	if o.Diameter >= r.Thread.Major {
		return
	}
	o.add("drill-out", check.Note, "The old grooves stay under the new thread; a bruised old thread must be drilled out first or the tap cuts a hash. A drill of %v clears them and leaves %.0f %%", BenchLength(r.Thread.Major), o.CleanupPercent)
	least := threads.Thread{Form: w.form}.FromFullForm(wholeForm)
	if o.CleanupPercent >= least {
		return
	}
	switch r.Kind {
	case WetHole:
		o.add("leak-path", check.Warn, "Leak path: the old thread's spiral runs under the new one, of which %.0f %% is whole; %.0f %% is the least", o.CleanupPercent, least)
	case "":
		o.add("leak-path", check.Ask, "If the hole is wet: the old thread's spiral is a leak path under the new one, of which %.0f %% is whole; %.0f %% is the least", o.CleanupPercent, least)
	default:
		o.add("leak-path", check.Note, "Of the new thread %.0f %% is whole; the old spiral runs under it", o.CleanupPercent)
	}
}

// asSound is the strength over the sound thread's from which a thread counts as
// just as strong: the usual run of holes, 60 to 72 % of height, makes a twentieth.
const asSound = 0.95

// weak is the strength over the sound thread's below which a repair is warned of:
// common practice, for a joint is seldom sized closer than that.
const weak = 0.75

// judgeStrength says where a repair holds less than the sound thread did.
func (o *Option) judgeStrength() {
	switch r := o.StripRatio; {
	case r <= 0 || r >= asSound:
	case r < weak:
		o.add("strength", check.Warn, "It holds %.0f %% of what the sound thread held: tighten it no harder than that share", 100*r)
	default:
		o.add("strength", check.Note, "It holds %.0f %% of what the sound thread held", 100*r)
	}
}

// judgeLength judges the length of thread engaged. A thread that holds as much
// as the sound old one did is only noted for being short: fittings never had the
// length that a screw wants. A bigger screw with less than half of it is warned of
// all the same.
func (r rescue) judgeLength(o *Option, l quantity.Length) {
	d := o.Thread.Major
	least := quantity.Length(r.Into.Engagement) * d
	n := float64(l / o.Thread.Pitch)
	short, veryShort := check.Warn, check.Stop
	if o.StripRatio >= asSound {
		short, veryShort = check.Note, check.Note
		if o.Kind == NextSize {
			veryShort = check.Warn // so big a screw in so thin a metal: a bush keeps the old one
		}
	}
	switch {
	case l < least/2:
		o.add("length", veryShort, "%v of thread in %s is less than half the usual %v", BenchLength(l), r.Into, BenchLength(least))
	case l < least:
		o.add("length", short, "%v of thread in %s; the usual least is %v", BenchLength(l), r.Into, BenchLength(least))
	}
	if n < 4 {
		o.add("few-threads", check.Warn, "Only %.1f threads are engaged; 4 to 5 full ones are the least", n)
	}
}

// soundEdge is how many diameters the rim is from the centre at the least where the
// metal round the thread holds as a thick one does: VDI 2230's wall factor is 1 from a
// boss of 1.9 diameters (from memory). It leaves 0.45 of the diameter beside the
// thread, which common practice (half of it at least) has too.
const soundEdge = 0.95

// judgePlace judges the hole in the metal round it.
func (r rescue) judgePlace(o *Option) {
	d := o.tappedMajor
	switch {
	case r.Edge == 0:
		o.add("edge", check.Note, "Edge: the centre needs %v of metal to the rim, %v at the least", BenchLength(1.5*d), BenchLength(soundEdge*d))
	case r.Edge < soundEdge*d:
		o.add("edge", check.Stop, "Edge: only %v is left from the thread to the rim; %v is the least", BenchLength(r.Edge-d/2), BenchLength((soundEdge-0.5)*d))
	case r.Edge < 1.5*d:
		o.add("edge", check.Note, "Edge: %v is left from the thread to the rim, less than a diameter; the thread holds all the same", BenchLength(r.Edge-d/2))
	}
	switch web := r.Neighbour - (d+r.Thread.Major)/2; {
	case r.Neighbour == 0:
		o.add("web", check.Note, "Next hole: %v of metal between the threads is the least to aim at", BenchLength(d))
	case web < d/2:
		o.add("web", check.Stop, "Next hole: only %v of metal is left between the threads", BenchLength(web))
	case web < d:
		o.add("web", check.Warn, "Next hole: %v of metal is left between the threads, less than a diameter", BenchLength(web))
	}
	if r.Kind == BlindHole {
		lead := 2.5 * o.Thread.Pitch
		o.add("break-through", check.Note, "Blind: drill %v for %v of full thread; if the drill or the tap's lead breaks through, the hole is wet and the rules for wet screws apply", BenchLength(r.Depth+o.Thread.Pitch+lead), BenchLength(r.Depth))
	}
	if r.Kind == WetHole {
		o.add("inspector", check.Ask, "Tell the inspector before a bush or the shell is altered; it may count as a repair with its own test")
		o.add("chips", check.Note, "Guard the water space: pad on a cord, greased flutes, vacuum, count the pad out again")
	}
}

// judgeScrew judges what a bigger screw does to its surroundings.
func (r rescue) judgeScrew(o *Option) {
	t := o.Thread
	clearance := t.Clearance()
	hole := clearance.Medium
	switch {
	case r.CoverHole == 0:
		o.add("cover-hole", check.Note, "Cover: its hole becomes %v (%s)", hole, clearance.Source)
	case r.CoverHole >= clearance.Fine:
		hole = r.CoverHole
		o.add("cover-hole", check.Note, "Cover: the screw passes its %v hole as it is", r.CoverHole)
	default:
		o.add("cover-hole", check.Note, "Cover: open its hole from %v to %v", r.CoverHole, hole)
	}
	switch land := r.GasketEdge - hole/2; {
	case hole == r.CoverHole:
	case r.GasketEdge == 0:
		o.add("land", check.Note, "Gasket: check that the %v hole stays clear of the gasket or O-ring groove", hole)
	case land < 0:
		o.add("land", check.Stop, "Gasket: the %v hole opens %v into the gasket or its groove", hole, BenchLength(-land))
	case land < LeastLand:
		o.add("land", check.Warn, "Gasket: only %v is left beside the %v hole", BenchLength(land), hole)
	}
	r.judgeHead(o)
	r.judgeLength(o, r.Depth)
	if r.Holes > 1 {
		o.add("odd-one", check.Note, "Odd one: change all %d, or mark this one with a punch dot and in the record", r.Holes)
		o.add("torque", check.Note, "Torque: the smallest screw of the ring sets it for all")
	} else {
		o.add("odd-one", check.Note, "Odd one: where the rest of the ring stays as it is, mark this one and tighten all to the smallest screw's torque")
	}
	tools := "taper and plug taps " + t.String()
	if !o.AsItIs {
		tools = "drill " + o.Drill.Name + ", " + tools
	}
	if size, _, ok := t.Spanner(); ok {
		tools += ", spanner " + BenchLength(size).String()
	}
	o.add("tools", check.Note, "Tools: %s", tools)
}

func (r rescue) judgeHead(o *Option) {
	t := o.Thread
	head, ok := headNamed(t, r.Head)
	if !ok {
		if r.HeadRoom > 0 {
			o.add("head", check.Note, "Head: no standard %s head is known for %s; turn one of at most %v", r.Head, t, r.HeadRoom)
		} else {
			o.add("head", check.Note, "Head: no standard %s head is known for %s", r.Head, t)
		}
		return
	}
	size := head.HeadDiameter
	switch {
	case r.HeadRoom == 0:
		o.add("head", check.Note, "Head: %s, %v over; check its room and the spanner's", r.Head, BenchLength(size))
	case size > r.HeadRoom:
		for _, h := range t.Heads() {
			if !h.Old && h.HeadDiameter > 0 && h.HeadDiameter <= r.HeadRoom && h.Kind != threads.CountersunkHead {
				o.add("head", check.Warn, "Head: the %s head is %v over and has %v; a %s head of %v fits", r.Head, BenchLength(size), r.HeadRoom, h.Kind, BenchLength(h.HeadDiameter))
				return
			}
		}
		o.add("head", check.Stop, "Head: the %s head is %v over and has only %v", r.Head, BenchLength(size), r.HeadRoom)
	case size > r.HeadRoom-1 && r.Head == threads.HexHead:
		o.add("head", check.Warn, "Head: %v over in %v: no room for a socket spanner", BenchLength(size), r.HeadRoom)
	}
	if r.Head == threads.CountersunkHead && r.Cover > 0 && head.Height > r.Cover {
		o.add("countersink", check.Warn, "Countersink: the head is %v high and the cover %v: its edge feathers", BenchLength(head.Height), r.Cover)
	}
}

// findings are about the hole as a whole, and the verdict is the best option's.
func (r rescue) findings(options []Option) ([]check.Result, check.Severity) {
	var fs []check.Result
	add := func(rule string, sev check.Severity, source, format string, args ...any) {
		fs = append(fs, check.Result{Rule: rule, Severity: sev, Message: fmt.Sprintf(format, args...), Source: source})
	}
	verdict := check.Stop
	if len(options) > 0 {
		verdict = options[0].Verdict
	}
	if verdict == check.Stop {
		elsewhere := "plug it and cut it again in the plug, or make the part anew"
		if r.Holes > 1 {
			elsewhere = "plug the hole and drill elsewhere, turn the ring of holes by half a pitch, or make the part anew"
		}
		add("nothing-fits", check.Stop, commonPractice, "Nothing fits: %s", elsewhere)
	}
	if r.Kind == "" {
		add("hole-unknown", check.Ask, commonPractice, "Does the hole break through to water or steam? It decides leak paths and what the screw may be made of")
	}
	if r.Hole > wornOut*r.Thread.Major {
		add("hole-large", check.Note, calculated, "The hole is %.0f %% larger than %s: is that the thread it had?", 100*float64(r.Hole/r.Thread.Major-1), r.Thread)
	}
	if !r.Grade.IsZero() {
		fs = append(fs, CheckWet(WetInput{Grade: r.Grade, Into: r.Into, Wet: r.Kind == WetHole})...)
	}
	if r.Into.Assumption != "" {
		add("metal-assumed", check.Note, r.Into.Source, "%s: %s", r.Into.Name, r.Into.Assumption)
	}
	if r.Thread.Form != threads.ISO68 && r.Thread.Form != threads.Unified {
		add("insert-unsourced", check.Note, "", "Wire inserts for %s are not worked out here: %s", r.Thread, madeInserts(r.Thread.Series))
	}
	add("measure", check.Note, commonPractice, "Measure with a pin or the drill shank that just enters; a drill cuts 0.03 to 0.1 mm over its size")
	add("deference", check.Note, "", "%s", check.Deference)
	return fs, verdict
}
