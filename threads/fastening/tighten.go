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

// Defaults of TightenInput where a field is left at nought.
const (
	// UsualUtilisation is the share of the yield strength that the combined
	// stress may reach: the 0.9 of the VDI 2230-1 tables. It wants a torque tool
	// and known friction.
	UsualUtilisation = 0.9
	// HandFraction is the share of the yield strength that the plain tension of
	// a small screw in a pressure joint is kept to when it is tightened by hand:
	// common practice, no source.
	HandFraction = 0.6
	// oilyFriction is that of a thread with the cutting oil still on it.
	oilyFriction = 0.12
	// UsualSpanner is the length at which the force on a spanner is given.
	UsualSpanner quantity.Length = 100
)

// TightenInput is a screw to be tightened. Thread and Grade are needed; every
// other field may be nought and then takes the default its comment names.
type TightenInput struct {
	Thread threads.Thread
	Grade  Grade
	Head   threads.HeadKind // hexagon

	// Friction is the coefficient in the thread, 0.03 to 0.6; with it left at
	// nought it comes from Lubricant, and with that unset too an anti-seize is
	// assumed and the result says so. HeadFriction is that under the head: the
	// same where it is nought.
	Friction     float64
	HeadFriction float64
	Lubricant    Lubricant

	Utilisation float64 // above 0 to 1; UsualUtilisation

	// Into and Depth are the tapped metal and the length of full thread the
	// screw has in it: both or neither. Hole is the diameter of the tapped hole as
	// measured (the recommended drill) and needs both: one too large for its
	// thread lowers the strip force, and one with too little thread left has
	// none. Edge the distance from its centre to the nearest
	// edge (thick metal).
	Into  Metal
	Depth quantity.Length
	Hole  quantity.Length
	Edge  quantity.Length

	ClearanceHole   quantity.Length // through the cover; the medium hole
	BearingDiameter quantity.Length // mean diameter under the head; from the head
	Spanner         quantity.Length // length of the spanner; UsualSpanner
	// Temperature is the service temperature that weakens screw and metal;
	// nought means cold.
	Temperature quantity.Temperature
}

// Limit is one thing that limits a preload.
type Limit struct {
	By      string // "yield" or "strip"
	Preload quantity.Force
	Torque  quantity.Torque
	Source  string
}

// What limits a preload.
const (
	ByYield = "yield"
	ByStrip = "strip"
)

// Tightening is how hard a screw may be tightened, and why.
type Tightening struct {
	Thread threads.Thread
	Grade  Grade
	Head   threads.HeadKind

	Preload      quantity.Force
	Torque       quantity.Torque
	Friction     Friction
	HeadFriction float64
	// TorqueFactor is K of the short form T = K·F·d.
	TorqueFactor float64
	// Utilisation is the share of yield asked for; Reached is the share the
	// combined stress has at Preload.
	Utilisation, Reached float64
	LimitedBy            string
	Limits               []Limit // the one that limits first

	// HandPreload and HandTorque are the gentler figures for a small pressure
	// joint tightened by hand: plain tension 0.6 of yield, and never above
	// Preload.
	HandPreload quantity.Force
	HandTorque  quantity.Torque
	// HandCapped says that the hand's figures are lower than that, so that the
	// screw stays within Utilisation if its thread is oily (friction 0.12) where
	// it was taken for dry.
	HandCapped bool

	// PreloadLow and PreloadHigh are what Torque really gives at the ends of the
	// friction's range, and ReachedHigh the share of yield at the upper one.
	PreloadLow, PreloadHigh quantity.Force
	ReachedHigh             float64

	// ShearsFrom is the torque from which a screw that binds in its hole may shear:
	// 0.8 of its minimum breaking torque. It limits nothing; Findings warn where
	// Torque is above it.
	ShearsFrom quantity.Torque

	BearingDiameter quantity.Length
	Strip           *Stripping // nil where no tapped metal is given
	Spanner         quantity.Length
	SpannerForce    quantity.Force // hand force at that length for Torque

	Findings []check.Result
	Sources  []string
}

// Tighten works out preload and torque.
//
// The preload is the lesser of two: the one at which the combined stress while
// tightening is Utilisation of the yield strength (VDI 2230-1, section that
// yields right through); and 0.9 of the one-third-rule strip force of the tapped
// metal where Into and Depth are given (NASA RP-1228). The torque is VDI 2230 and
// ISO 16047's, written for any flank angle. A minimum breaking torque (ISO 898-7,
// ISO 3506-1, ISO 8839, else estimated) is no limit of assembly; see ShearsFrom.
//
// Errors: a field outside its range, or a grade not defined at the diameter.
func Tighten(in TightenInput) (Tightening, error) {
	in, err := in.filled()
	if err != nil {
		return Tightening{}, err
	}
	t := in.Thread
	friction, err := in.friction()
	if err != nil {
		return Tightening{}, err
	}
	strength, err := in.Grade.Strength(t.Major)
	if err != nil {
		return Tightening{}, err
	}
	warmScrew, warmMetal := 1.0, 1.0
	if in.Temperature != 0 {
		if warmScrew, err = in.Grade.Warm(in.Temperature); err != nil {
			return Tightening{}, err
		}
		if !in.Into.IsZero() {
			if warmMetal, err = in.Into.Warm(in.Temperature); err != nil {
				return Tightening{}, err
			}
		}
	}

	s := shankOf(t)
	b := bearingUnder(t, in.Head, in.ClearanceHole, in.BearingDiameter)
	headMu := in.HeadFriction
	if headMu == 0 {
		headMu = friction.Nominal
	}
	yield := warmScrew * float64(strength.Yield)
	slope := s.slope(friction.Nominal)
	arm := s.threadArm(friction.Nominal) + b.headArm(headMu)

	out := Tightening{
		Thread: t, Grade: in.Grade, Head: in.Head, Friction: friction, HeadFriction: headMu,
		TorqueFactor: arm / s.d, Utilisation: in.Utilisation,
		BearingDiameter: quantity.Length(b.mean), Spanner: in.Spanner,
		Sources: []string{
			"preload: VDI 2230-1 combined stress", "torque: VDI 2230-1, ISO 16047",
			"strength: " + in.Grade.Source, "friction: " + friction.Source, "head: " + b.source,
		},
	}
	limit := func(by string, preload float64, source string) {
		l := Limit{By: by, Preload: quantity.Force(preload), Torque: quantity.Torque(preload * arm / 1000), Source: source}
		i := len(out.Limits)
		for i > 0 && out.Limits[i-1].Preload > l.Preload {
			i--
		}
		out.Limits = append(out.Limits[:i], append([]Limit{l}, out.Limits[i:]...)...)
	}
	atYield := s.yieldPreload(yield, in.Utilisation, twistFactor, slope)
	limit(ByYield, atYield, "VDI 2230-1")
	breaking, breakingSource := leastBreakingTorque(in.Grade, strength, t)
	out.ShearsFrom = bindShare * breaking
	out.Sources = append(out.Sources, "breaking torque: "+breakingSource)
	if !in.Into.IsZero() {
		tauScrew, _ := in.Grade.Shear(t.Major)
		wide, basis := weakestOverlap(t, in.Hole)
		w := pull{
			overlap: wide, d: s.d, d2: s.d2, basis: basis,
			tauHole: warmMetal * float64(in.Into.Shear), tauScrew: warmScrew * float64(tauScrew),
			screwBreaks: warmScrew * float64(strength.Tensile) * s.as, preload: atYield,
			edge: float64(in.Edge), rule: in.Into.Engagement,
		}
		if in.Hole != 0 {
			w.lost = heightLost(t.Form, t.Engagement(in.Hole))
		}
		strip, err := w.over(in.Depth)
		if err != nil {
			return Tightening{}, err
		}
		out.Strip = &strip
		limit(ByStrip, float64(strip.PreloadCap), "NASA RP-1228, 0.9 of it: "+commonPractice)
		out.Sources = append(out.Sources, "tapped metal: "+in.Into.Source)
		out.Sources = append(out.Sources, strip.Sources...)
	}
	preload := float64(out.Limits[0].Preload)
	out.LimitedBy = out.Limits[0].By
	out.Preload = quantity.Force(preload)
	out.Torque = quantity.Torque(preload * arm / 1000)
	out.Reached = preload * s.stressRatio(twistFactor, slope) / (s.as * yield)
	out.SpannerForce = quantity.Force(preload * arm / float64(in.Spanner))

	hand := math.Min(preload, HandFraction*yield*s.as)
	// A thread that is called dry may be oily from the tap all the same.
	if friction.Nominal > oilyFriction {
		most := s.yieldPreload(yield, in.Utilisation, twistFactor, s.slope(oilyFriction))
		if out.Strip != nil {
			most = math.Min(most, float64(out.Strip.PreloadCap))
		}
		oily := most * (s.threadArm(oilyFriction) + b.headArm(oilyFriction*headMu/friction.Nominal)) / arm
		out.HandCapped = oily < hand
		hand = math.Min(hand, oily)
	}
	out.HandPreload = quantity.Force(hand)
	out.HandTorque = quantity.Torque(hand * arm / 1000)

	// The torque is set for the nominal friction; thread and head slip together.
	scale := headMu / friction.Nominal
	torque := preload * arm
	low := torque / (s.threadArm(friction.High) + b.headArm(friction.High*scale))
	high := torque / (s.threadArm(friction.Low) + b.headArm(friction.Low*scale))
	out.PreloadLow, out.PreloadHigh = quantity.Force(low), quantity.Force(high)
	out.ReachedHigh = high * s.stressRatio(twistFactor, s.slope(friction.Low)) / (s.as * yield)

	out.Findings = in.findings(out, breakingSource)
	return out, nil
}

// filled checks the input and puts the defaults in.
func (in TightenInput) filled() (TightenInput, error) {
	switch {
	case in.Thread == (threads.Thread{}) || !positive(float64(in.Thread.Major)) || !positive(float64(in.Thread.Pitch)):
		return in, errors.New("no thread is given")
	case sealsOnFlanks(in.Thread.Series):
		return in, fmt.Errorf("%s seals on its flanks and has no preload to work out", in.Thread)
	case in.Thread.Moves():
		return in, fmt.Errorf("%s is a thread for a screw that moves something: it clamps nothing and has no preload to work out", in.Thread)
	case in.Grade.IsZero():
		return in, errors.New("no grade is given: say what the screw is made of, such as A2-70 or phosphor bronze")
	case in.Into.IsZero() != (in.Depth == 0):
		return in, errors.New("the tapped metal and the depth of thread in it go together: give both or neither")
	case in.Hole != 0 && in.Into.IsZero():
		return in, errors.New("the diameter of the tapped hole counts only with the metal and the depth of thread in it: give all three")
	case !in.Into.IsZero() && !positive(float64(in.Depth)):
		return in, fmt.Errorf("a depth of thread of %v mm: expected a length above nought", float64(in.Depth))
	case in.Depth > 20*in.Thread.Major:
		return in, fmt.Errorf("a depth of thread of %v is more than twenty diameters of %s: check the unit", in.Depth, in.Thread)
	}
	for _, l := range [...]struct {
		what string
		v    *quantity.Length
	}{{"hole", &in.Hole}, {"edge distance", &in.Edge}, {"clearance hole", &in.ClearanceHole}, {"bearing diameter", &in.BearingDiameter}, {"spanner length", &in.Spanner}} {
		if *l.v != 0 && !positive(float64(*l.v)) {
			return in, fmt.Errorf("a %s of %v mm: expected a length above nought", l.what, float64(*l.v))
		}
	}
	if in.Hole != 0 && (in.Hole >= in.Thread.Major || in.Hole < in.Thread.Major/2) {
		return in, fmt.Errorf("a hole of %v in %s: expected less than its major diameter %v and more than half of it", in.Hole, in.Thread, in.Thread.Major)
	}
	if in.Edge != 0 && in.Edge <= in.Thread.Major/2 {
		return in, fmt.Errorf("an edge %v from the centre of %s: the thread itself is cut open there", in.Edge, in.Thread)
	}
	if in.ClearanceHole != 0 && in.ClearanceHole < in.Thread.Major {
		return in, fmt.Errorf("a clearance hole of %v is smaller than %s", in.ClearanceHole, in.Thread)
	}
	if in.BearingDiameter != 0 && (in.BearingDiameter < in.Thread.Major || in.BearingDiameter > 10*in.Thread.Major) {
		return in, fmt.Errorf("a bearing diameter of %v under the head of %s: expected 1 to 10 diameters", in.BearingDiameter, in.Thread)
	}
	if in.Utilisation == 0 {
		in.Utilisation = UsualUtilisation
	}
	if !(in.Utilisation > 0 && in.Utilisation <= 1) {
		return in, fmt.Errorf("a utilisation of %g: expected a share of the yield strength above 0 and up to 1, usually %g", in.Utilisation, UsualUtilisation)
	}
	if in.Spanner == 0 {
		in.Spanner = UsualSpanner
	}
	if in.Head == "" {
		in.Head = threads.HexHead
	}
	if t := float64(in.Temperature); !real(t) {
		return in, errors.New("that is no temperature")
	}
	return in, nil
}

func (in TightenInput) friction() (Friction, error) {
	if in.HeadFriction != 0 {
		if _, err := FrictionOf(in.HeadFriction); err != nil {
			return Friction{}, fmt.Errorf("under the head: %w", err)
		}
	}
	switch {
	case in.Friction != 0:
		return FrictionOf(in.Friction)
	case !in.Lubricant.IsZero():
		return in.Lubricant.On(in.Grade), nil
	}
	return AssumedFriction(in.Grade), nil
}

// sealsOnFlanks reports a pipe thread of ISO 7-1 or NPT, which is tightened until it
// seals.
func sealsOnFlanks(s threads.Series) bool {
	return s == threads.PipeR || s == threads.PipeRc || s == threads.PipeRp || s == threads.NPT
}

// shankOf takes from a thread what the tightening sums need.
func shankOf(t threads.Thread) shank {
	return shank{
		d: float64(t.Major), p: float64(t.Lead()), d2: float64(t.PitchDiameter()),
		as: float64(t.StressArea()), cosine: math.Cos(t.Form.Angle().Radians() / 2),
	}
}

// weakestOverlap is the pair of screw and hole with the least metal in common
// that the thread's limits allow, or the basic sizes where it has no limits. A
// hole measured or given replaces the limit of the minor diameter.
func weakestOverlap(t threads.Thread, hole quantity.Length) (Overlap, string) {
	o := Overlap{
		Pitch: t.Pitch, FlankAngle: t.Form.Angle(),
		Major: t.Major, PitchInternal: t.PitchDiameter(), PitchExternal: t.PitchDiameter(), Minor: hole,
	}
	basis := "basic sizes: no limits are published for this thread, and a worn one holds less"
	if l, ok := t.Limits(); ok && l.External.MajorMin > 0 && l.External.PitchMin > 0 && l.Internal.PitchMax > 0 && l.Internal.MinorMax > 0 {
		o.Major, o.PitchExternal, o.PitchInternal = l.External.MajorMin, l.External.PitchMin, l.Internal.PitchMax
		basis = "worst limits of " + l.External.Class + " and " + l.Internal.Class + ", " + l.Source
		if hole == 0 {
			o.Minor = l.Internal.MinorMax
		}
	} else if hole == 0 {
		o.Minor = t.TapDrill(threads.StockDrills(), 0).Diameter
	}
	return o, basis
}

func (in TightenInput) findings(out Tightening, breakingSource string) []check.Result {
	var fs []check.Result
	add := func(rule string, sev check.Severity, source, format string, args ...any) {
		fs = append(fs, check.Result{Rule: rule, Severity: sev, Message: fmt.Sprintf(format, args...), Source: source})
	}
	t, f := in.Thread, out.Friction
	if f.Assumed {
		sealed := contactText(in.Grade)
		add("friction-assumed", check.Ask, commonPractice, "What is on the thread? Friction %.2g is assumed (anti-seize); %s", f.Nominal, sealed)
	}
	if in.Grade.Assumption != "" {
		add("grade-assumed", check.Note, in.Grade.Source, "%s: %s", in.Grade.Name, in.Grade.Assumption)
	}
	if in.Into.Assumption != "" {
		add("metal-assumed", check.Note, in.Into.Source, "%s: %s", in.Into.Name, in.Into.Assumption)
	}
	if in.Grade.BelowRange(t.Major) {
		add("grade-range", check.Note, in.Grade.Source, "%s starts above %v; its smallest size's strength is taken", in.Grade.Standard, t.Major)
	}
	if out.ReachedHigh > 1 {
		add("spread-yield", check.Warn, "VDI 2230-1", "If the friction is really %.2g this torque loads the screw to %.0f %% of yield. Use it only with a torque tool and known friction; by hand use %v", f.Low, 100*out.ReachedHigh, out.HandTorque)
	}
	if out.HandCapped {
		add("maybe-oily", check.Note, commonPractice, "If the thread is oily after all, at friction %.2g, a torque for friction %.2g overloads it: by hand no more than %v", oilyFriction, f.Nominal, out.HandTorque)
	}
	if out.Torque > out.ShearsFrom {
		add("breaking-torque", check.Warn, breakingSource, "If the screw binds in its hole it may shear from %v, 0.8 of its least breaking torque: stop there", out.ShearsFrom)
	}
	if out.Torque > 0 && out.Torque < 1 {
		add("small-torque", check.Note, commonPractice, "Below 1 N·m use a torque screwdriver; a quarter-inch wrench is poor under a fifth of its range")
	}
	if in.Head == threads.CheeseHead {
		add("slotted", check.Note, commonPractice, "A slotted head slips out of the driver at about half this torque: tighten by feel")
	}
	if s := out.Strip; s != nil {
		fs = append(fs, in.stripFindings(out, *s)...)
	}
	if !in.Lubricant.IsZero() {
		fs = append(fs, checkGalling(in.Grade.Family, in.Into, in.Lubricant)...)
	}
	add("deference", check.Note, "", "%s", check.Deference)
	return fs
}

// HandFindings are the findings that apply where the screw is tightened by hand:
// those of the full preload, which it stays below, are left out.
func (t Tightening) HandFindings() []check.Result {
	return slices.DeleteFunc(slices.Clone(t.Findings), func(f check.Result) bool {
		switch f.Rule {
		case "spread-yield", "strip-limits", "spread-strip":
			return true
		case "breaking-torque":
			return t.HandTorque <= t.ShearsFrom
		}
		return false
	})
}

func contactText(g Grade) string {
	sealant, _ := ParseLubricant("sealant")
	dry, _ := ParseLubricant("dry")
	return fmt.Sprintf("a sealant gives about %.2g, dry about %.2g, and the torque changes with it", sealant.On(g).Nominal, dry.On(g).Nominal)
}

func (in TightenInput) stripFindings(out Tightening, s Stripping) []check.Result {
	var fs []check.Result
	add := func(rule string, sev check.Severity, source, format string, args ...any) {
		fs = append(fs, check.Result{Rule: rule, Severity: sev, Message: fmt.Sprintf(format, args...), Source: source})
	}
	if in.Edge > 0 {
		if _, ok := wallFactor(2 * float64(in.Edge/in.Thread.Major)); !ok {
			add("thin-wall", check.Stop, "VDI 2230-1, from memory", "The edge is %v from the centre, less than 0.7 diameters: the wall is too thin for any figure", in.Edge)
			return fs
		}
	}
	if in.Hole > 0 {
		limits, p := heightsOf(in.Thread.Form), in.Thread.Engagement(in.Hole)
		switch band := in.Thread.FromFullForm(in.Into.BandLow); {
		case s.PreloadCap == 0 || p < limits.stop:
			add("thread-height", check.Stop, commonPractice, "A hole of %v leaves %.0f %% of thread, less than the %.0f %% that can be relied on: no torque; save the hole first", in.Hole, math.Max(0, p), limits.stop)
			return fs
		case p < band:
			add("thread-height", check.Warn, commonPractice, "A hole of %v leaves %.0f %% of thread, below the usual %.0f %% in %s", in.Hole, p, band, in.Into)
		}
	}
	if in.Depth < s.EngagementRule {
		add("engagement-short", check.Warn, in.Into.EngagementSource, "%v of thread in %s; the usual least is %v (%g diameters)", in.Depth, in.Into, BenchLength(s.EngagementRule), in.Into.Engagement)
	}
	if n := float64(in.Depth / in.Thread.Pitch); n < 4 {
		add("few-threads", check.Warn, commonPractice, "Only %.1f threads are engaged; 4 to 5 full ones are the least", n)
	}
	if out.LimitedBy == ByStrip {
		add("strip-limits", check.Note, "NASA RP-1228", "The thread in %s limits the preload, not the screw; the full preload needs %v of thread", in.Into, BenchLength(s.EngagementForPreload))
	}
	if s.FailsFirst != "screw" {
		add("strips-first", check.Note, "FED-STD-H28/2B", "Overloaded, the %s strips before the screw breaks", s.FailsFirst)
	}
	if out.PreloadHigh > s.OneThird {
		sev := check.Note
		if out.PreloadHigh > preloadShareOfStrip*s.Geometric {
			sev = check.Warn
		}
		add("spread-strip", sev, "NASA RP-1228", "If the friction is really %.2g the preload is %v, above the cautious strip force %v of the thread in %s", out.Friction.Low, out.PreloadHigh, s.OneThird, in.Into)
	}
	return fs
}
