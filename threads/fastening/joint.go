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

// HoleKind is where a tapped hole leads.
type HoleKind string

// Kinds of hole; the empty HoleKind is one nobody has described.
const (
	WetHole   HoleKind = "wet"   // breaks through to water or steam, or stands in weeps
	BlindHole HoleKind = "blind" // ends in metal
	DryHole   HoleKind = "dry"   // through, and dry
)

// JointInput is a cover held down on a gasket by a ring of screws. The first
// block is needed; the rest may be nought and then takes the default named.
type JointInput struct {
	Bolts                int
	Thread               threads.Thread
	Grade                Grade
	Circle               quantity.Length // pitch circle diameter of the screws
	Bore                 quantity.Length // the opening under pressure
	Gasket               Gasket
	RingInner, RingOuter quantity.Length
	// Pressure is the highest the joint must hold, normally the test pressure
	// that the local code gives; never chosen here.
	Pressure quantity.Pressure
	Into     Metal
	Depth    quantity.Length

	// Utilisation above nought tightens to that share of yield by torque tool;
	// nought tightens by hand to 0.6 of it.
	Utilisation   float64
	Friction      float64
	HeadFriction  float64
	Lubricant     Lubricant
	Head          threads.HeadKind
	ClearanceHole quantity.Length
	Edge          quantity.Length // centre of a tapped hole to the nearest edge
	Hole          HoleKind
	Temperature   quantity.Temperature
	Start         quantity.Angle  // of the first screw from the X axis, anticlockwise
	Cover         quantity.Length // thickness of the cover
	CoverMetal    Metal
}

// JointResult is how a gasketed joint stands.
type JointResult struct {
	// Hydrostatic is the pressure's end force H, Operating Wm1 with the gasket
	// kept loaded, Seating Wm2 to seat it: ASME VIII-1 Appendix 2.
	Hydrostatic, Operating, Seating quantity.Force
	// Required is the larger of Operating and Seating; PerBolt a screw's share.
	Required, PerBolt quantity.Force
	// PreloadPerBolt and Torque are what each screw is tightened to.
	PreloadPerBolt quantity.Force
	Torque         quantity.Torque
	// Reserve is all screws' preload over Required; ReserveLow the same where
	// the friction is at the upper end of its range and the preload least;
	// ReserveOneLost that of the screws next to a lost one, under a stiff cover
	// with the load at its middle; nought with fewer than four screws, where the
	// cover tips.
	Reserve, ReserveLow, ReserveOneLost float64
	// FullFace is set where the gasket reaches past the screws. Appendix 2 does
	// not cover that: every load, reserve and stress above and below is nought.
	FullFace bool
	// SealDiameter is G and EffectiveWidth b of Appendix 2.
	SealDiameter, EffectiveWidth quantity.Length
	// GasketStress is the whole preload over the whole ring; SeatingPractice the
	// force the fitters' target asks for, and PracticeWidth the widest ring on
	// the same mean diameter that reaches it. Nought where no target is known.
	GasketStress    quantity.Stress
	SeatingPractice quantity.Force
	PracticeWidth   quantity.Length
	// Pitch is the chord between screws, Gap the one a lost screw leaves.
	Pitch, Gap quantity.Length
	Land       quantity.Length // from the ring's rim to the clearance holes
	// CoverThickness is the least for a flat cover of CoverMetal at Allowable stress,
	// nought where no metal is given: the larger of CoverPressure, with the pressure
	// on, and CoverSeating, without it and with all screws at PreloadPerBolt.
	CoverThickness, CoverPressure, CoverSeating quantity.Length
	Allowable                                   quantity.Stress
	Circle                                      Circle
	Order                                       []int
	Passes                                      []Pass
	Tightening                                  Tightening
	Verdict                                     check.Severity
	Findings                                    []check.Result
	Sources                                     []string
}

// gasketLoads is ASME VIII-1 Appendix 2: b0 = N/2; b = b0 up to 6 mm, else
// 2.5·√b0; G = mean diameter of the ring while b = b0, else its outside − 2b;
// H = π/4·G²·p; Wm1 = H + 2b·π·G·m·p; Wm2 = π·b·G·y. An O-ring seals at its
// outside and needs H only. Lengths in mm, p in MPa.
func gasketLoads(g Gasket, inner, outer, p float64) (seal, width, h, wm1, wm2 float64) {
	b0 := (outer - inner) / 4
	b := b0
	seal = (inner + outer) / 2
	if b0 > 6 {
		b = 2.5 * math.Sqrt(b0)
		seal = outer - 2*b
	}
	if g.SelfSealing {
		b, seal = 0, outer
	}
	h = math.Pi / 4 * seal * seal * p
	return seal, b, h, h + 2*b*math.Pi*seal*g.M*p, math.Pi * b * seal * float64(g.Seating)
}

// LeastLand is the least width of face that is left between a gasket, or the
// groove of a ring, and a screw hole: less lets the joint leak round the screw.
// Common practice, no source.
const LeastLand quantity.Length = 0.5

// pitchLimit is the widest spacing of screws under a thin cover, in diameters,
// and narrowestRing the narrowest ring worth cutting out of sheet: common
// practice, no source.
const (
	pitchLimit                    = 6
	narrowestRing quantity.Length = 1
)

// highestPressure is beyond any pressure the sums are meant for.
const highestPressure quantity.Pressure = 400

// Joint works out whether a ring of screws holds a cover on its gasket: the
// loads of ASME VIII-1 Appendix 2 against the preload of Tighten, at the
// pressure given. Errors: an input outside its range, or sizes that cannot be a
// joint; what is possible and bad comes back as findings.
func Joint(in JointInput) (JointResult, error) {
	if err := in.check(); err != nil {
		return JointResult{}, err
	}
	tight, err := Tighten(TightenInput{
		Thread: in.Thread, Grade: in.Grade, Head: in.Head, Friction: in.Friction, HeadFriction: in.HeadFriction, Lubricant: in.Lubricant,
		Utilisation: in.Utilisation, Into: in.Into, Depth: in.Depth, Edge: in.Edge,
		ClearanceHole: in.ClearanceHole, Temperature: in.Temperature,
	})
	if err != nil {
		return JointResult{}, err
	}
	circle, err := BoltCircle(in.Bolts, in.Circle, in.Start, 0, 0)
	if err != nil {
		return JointResult{}, err
	}
	hole := in.ClearanceHole
	if hole == 0 {
		hole = in.Thread.Clearance().Medium
	}
	inner, outer, p := float64(in.RingInner), float64(in.RingOuter), in.Pressure.MPa()
	seal, width, h, wm1, wm2 := gasketLoads(in.Gasket, inner, outer, p)

	preload, torque := tight.HandPreload, tight.HandTorque
	scatter := 0.0
	if tight.Preload > 0 {
		scatter = float64(tight.PreloadLow / tight.Preload)
	}
	if in.Utilisation > 0 {
		preload, torque = tight.Preload, tight.Torque
	}
	n := float64(in.Bolts)
	required := math.Max(wm1, wm2)
	total := n * float64(preload)
	area := math.Pi / 4 * (outer*outer - inner*inner)
	out := JointResult{
		Hydrostatic: quantity.Force(h), Operating: quantity.Force(wm1), Seating: quantity.Force(wm2),
		Required: quantity.Force(required), PerBolt: quantity.Force(required / n), PreloadPerBolt: preload, Torque: torque,
		Reserve: total / required, ReserveLow: total * scatter / required, ReserveOneLost: total / required / neighbourShare(in.Bolts),
		SealDiameter: quantity.Length(seal), EffectiveWidth: quantity.Length(width),
		Pitch: circle.Pitch(), Gap: circle.Chord(2), Land: (in.Circle - hole - in.RingOuter) / 2,
		Circle: circle, Order: Order(in.Bolts), Passes: Passes(in.Bolts, torque, in.Gasket.Creeps),
		Tightening: tight,
		Sources:    append([]string{"loads: ASME VIII-1 Appendix 2", "gasket: " + in.Gasket.Source, "tightening order: ASME PCC-1 and its rule (from memory)"}, tight.Sources...),
	}
	if !in.Gasket.SelfSealing {
		out.GasketStress = quantity.Stress(total / area)
	}
	if in.Gasket.PracticeLow > 0 {
		out.SeatingPractice = quantity.Force(area * float64(in.Gasket.PracticeLow))
		out.PracticeWidth = quantity.Length(total / float64(in.Gasket.PracticeLow) / (math.Pi * (inner + outer) / 2))
	}
	if !in.CoverMetal.IsZero() {
		out.Allowable = allowableStress(in.CoverMetal)
		out.CoverPressure = coverThickness(seal, p, wm1, float64(in.Circle), float64(out.Allowable))
		if !in.Gasket.SelfSealing { // over an O-ring the cover rests on metal, under its screws
			out.CoverSeating = coverThickness(seal, 0, math.Max(total, wm2), float64(in.Circle), float64(out.Allowable))
		}
		out.CoverThickness = max(out.CoverPressure, out.CoverSeating)
	}
	if in.RingOuter >= in.Circle+hole {
		out = out.fullFace()
	}
	out.Findings = in.findings(out, hole)
	out.Verdict = check.Worst(out.Findings)
	return out, nil
}

// fullFace leaves out what Appendix 2's sum of a ring inside the screws cannot
// say of a gasket under them.
func (r JointResult) fullFace() JointResult {
	return JointResult{
		FullFace: true, PreloadPerBolt: r.PreloadPerBolt, Torque: r.Torque, Pitch: r.Pitch, Gap: r.Gap,
		Circle: r.Circle, Order: r.Order, Passes: r.Passes, Tightening: r.Tightening, Sources: r.Sources,
	}
}

// neighbourShare is how many times its even share a screw next to a lost one
// carries of a ring of n: (n − 2 + 2·cos(2π/n))/(n − 3), from the balance of
// forces and moments of a stiff cover on equally springy screws with the load in
// the middle. Fewer than four screws do not balance with one gone: infinite.
func neighbourShare(n int) float64 {
	if n < 4 {
		return math.Inf(1)
	}
	return (float64(n) - 2 + 2*math.Cos(2*math.Pi/float64(n))) / float64(n-3)
}

// allowableStress is the design stress of a cover: the smaller of Rm/3.5 and
// Rp0.2/1.5. Source: ASME II-D basis (from memory); the local code may ask less.
func allowableStress(m Metal) quantity.Stress {
	s := m.Tensile / 3.5
	if m.Yield > 0 {
		s = min(s, m.Yield/1.5)
	}
	return s
}

// coverThickness is a flat bolted cover's least thickness in mm, ASME VIII-1
// UG-34: t = G·√(0.3·p/S + 1.9·W·hG/(S·G³)), hG = (C − G)/2. It is worked out twice:
// with the pressure and the load that holds it (Wm1), and for seating the gasket with
// no pressure. For that the code takes the mean of the load required and the load that
// the bolts can give, and lets the whole of the latter be taken (Appendix 2, 2-5(e);
// the same two cases in Section I, PG-31.3.2, as a public course explains it). The
// screws here are tightened to far more than is required, so W is all their preload.
func coverThickness(seal, p, load, circle, stress float64) quantity.Length {
	arm := math.Max(0, (circle-seal)/2)
	return quantity.Length(seal * math.Sqrt(0.3*p/stress+1.9*load*arm/(stress*seal*seal*seal)))
}

func (in JointInput) check() error {
	if in.Bolts < 2 || in.Bolts > MaxBolts {
		return fmt.Errorf("%d screws: expected 2 to %d", in.Bolts, MaxBolts)
	}
	if in.Gasket.IsZero() {
		return errors.New("no gasket is given: say what seals the joint, such as graphite sheet or O-ring")
	}
	if in.Into.IsZero() {
		return errors.New("no tapped metal is given: say what the screws go into, such as gunmetal")
	}
	for _, l := range [...]struct {
		what string
		v    quantity.Length
	}{{"bolt circle", in.Circle}, {"bore", in.Bore}, {"inside of the gasket ring", in.RingInner}, {"outside of the gasket ring", in.RingOuter}} {
		if !positive(float64(l.v)) || l.v > 2000 {
			return fmt.Errorf("a %s of %v mm: expected above nought and up to 2000 mm", l.what, float64(l.v))
		}
	}
	if in.Cover < 0 || !real(float64(in.Cover)) {
		return fmt.Errorf("a cover %v mm thick: expected a thickness above nought", float64(in.Cover))
	}
	switch {
	case !positive(float64(in.Pressure)):
		return fmt.Errorf("a pressure of %v bar: expected a gauge pressure above nought, the highest the joint must hold", float64(in.Pressure))
	case in.Pressure > highestPressure:
		return fmt.Errorf("a pressure of %v is no model boiler's: check the unit", in.Pressure)
	case in.RingOuter <= in.RingInner:
		return fmt.Errorf("a gasket ring %v inside and %v outside: the outside must be the larger", in.RingInner, in.RingOuter)
	case in.Circle <= in.Bore+in.Thread.Major:
		return fmt.Errorf("a bolt circle of %v round a bore of %v: %s cuts into the bore", in.Circle, in.Bore, in.Thread)
	}
	return nil
}

func (in JointInput) findings(out JointResult, hole quantity.Length) []check.Result {
	var fs []check.Result
	add := func(rule string, sev check.Severity, source, format string, args ...any) {
		fs = append(fs, check.Result{Rule: rule, Severity: sev, Message: fmt.Sprintf(format, args...), Source: source})
	}
	const appendix2 = "ASME VIII-1 Appendix 2"
	d := in.Thread.Major
	switch {
	case out.FullFace:
		add("full-face", check.Stop, appendix2, "The gasket reaches past the screws: a full-face joint. Its load is not this sum, Appendix 2 does not cover it, and no reserve can be given. Use a ring inside the screws, of at most %v", BenchLength(in.Circle-hole-2*LeastLand))
	case out.Reserve < 1:
		add("reserve", check.Stop, appendix2, "The screws hold %.0f %% of what the joint needs at %v", 100*out.Reserve, in.Pressure)
	case out.ReserveLow < 1:
		add("reserve", check.Warn, appendix2, "Enough only if the friction is as assumed: at %.2g the preload is too small", out.Tightening.Friction.High)
	}
	switch gap := float64(out.Gap / d); {
	case out.FullFace || out.Reserve < 1:
	case in.Bolts < 4:
		add("one-lost", check.Warn, calculated, "With one screw lost the other %d cannot keep the cover level: it tips open", in.Bolts-1)
	case out.ReserveOneLost < 1:
		add("one-lost", check.Warn, calculated, "With one screw lost the rest do not hold the joint: its neighbours carry %.2f times their share", neighbourShare(in.Bolts))
	case gap > pitchLimit:
		add("one-lost", check.Note, calculated, "With one screw lost: a stiff cover is assumed, its neighbours carry %.2f times their share. The gap of %v, %.0f diameters, may open all the same: replace the screw before any pressure", neighbourShare(in.Bolts), BenchLength(out.Gap), gap)
	}
	// The ring on its face.
	switch {
	case in.RingInner < in.Bore:
		add("ring-in-bore", check.Warn, calculated, "The gasket reaches %v into the bore", BenchLength((in.Bore-in.RingInner)/2))
	}
	switch {
	case out.FullFace:
	case out.Land < 0:
		add("holes-cut-ring", check.Stop, calculated, "The screw holes cut %v into the gasket ring", BenchLength(-out.Land))
	case out.Land < LeastLand:
		add("narrow-land", check.Warn, commonPractice, "Only %v is left between gasket and screw holes", BenchLength(out.Land))
	}
	// Spacing.
	if out.Pitch > pitchLimit*d {
		add("pitch-wide", check.Warn, commonPractice, "The screws are %v apart, %.1f diameters; above %d a thin cover lifts between them: a stiff cover or more screws", BenchLength(out.Pitch), float64(out.Pitch/d), pitchLimit)
	}
	kind := in.Head
	if kind == "" {
		kind = threads.HexHead
	}
	if head, ok := headNamed(in.Thread, kind); ok {
		switch {
		case out.Pitch < head.HeadDiameter:
			add("heads-clash", check.Stop, head.Standard, "The heads are %v over and the screws only %v apart", head.HeadDiameter, BenchLength(out.Pitch))
		case out.Pitch < head.HeadDiameter+1:
			add("heads-clash", check.Warn, head.Standard, "The heads nearly touch: no room for a spanner")
		}
	}
	if out.Pitch < 2*d {
		add("web-thin", check.Warn, commonPractice, "Less than one diameter of metal is left between the tapped holes")
	}
	// Both seating figures.
	if p := in.Gasket.PracticeLow; p > 0 && out.GasketStress < p && !out.FullFace {
		advice := fmt.Sprintf("A ring %v wide would reach it, or an O-ring", BenchLength(out.PracticeWidth))
		if out.PracticeWidth < narrowestRing {
			advice = "No ring wide enough to cut would reach it: more or larger screws, or an O-ring"
		}
		add("seating-practice", check.Warn, in.Gasket.Source, "The code's seating force is %v, but fitters aim at %v over the whole ring, %v; here it is %v. %s", out.Seating, p, out.SeatingPractice, out.GasketStress, advice)
	}
	if p := in.Gasket.PracticeHigh; p > 0 && out.GasketStress > p {
		add("gasket-crushed", check.Warn, in.Gasket.Source, "%v on the ring is above the %v it is used at", out.GasketStress, p)
	}
	if f, thin := in.coverThin(out); thin {
		fs = append(fs, f)
	}
	// The screws where they are.
	switch in.Hole {
	case "":
		add("hole-unknown", check.Ask, commonPractice, "Do the screw holes break through to water or steam? It decides what the screws may be made of")
	default:
		fs = append(fs, CheckWet(WetInput{Grade: in.Grade, Into: in.Into, Wet: in.Hole == WetHole, Lubricant: in.Lubricant, Temperature: in.Temperature})...)
	}
	return append(fs, in.tighteningFindings(out, fs)...)
}

// coverThin is the warning of a cover that is thinner than UG-34 wants.
func (in JointInput) coverThin(out JointResult) (f check.Result, thin bool) {
	if out.CoverThickness <= 0 || in.Cover <= 0 || in.Cover >= out.CoverThickness {
		return f, false
	}
	stress := out.Allowable * quantity.Stress((out.CoverThickness/in.Cover)*(out.CoverThickness/in.Cover))
	cause := fmt.Sprintf("the pressure bends it to %v", stress)
	if out.CoverSeating > out.CoverPressure {
		cause = fmt.Sprintf("its screws at %v each bend it to %v", out.PreloadPerBolt, stress)
	}
	return check.Result{Rule: "cover-thin", Severity: check.Warn, Message: fmt.Sprintf("A flat cover of %s wants %v, not %v: %s, and %v is allowed", in.CoverMetal, BenchLength(out.CoverThickness), in.Cover, cause, out.Allowable),
		Source: "ASME VIII-1 UG-34 and Appendix 2; allowable stress from memory"}, true
}

// tighteningFindings are those of the screws' tightening that are not said already.
func (in JointInput) tighteningFindings(out JointResult, said []check.Result) (fs []check.Result) {
	tightening := out.Tightening.Findings
	if in.Utilisation == 0 {
		tightening = out.Tightening.HandFindings()
	}
	for _, f := range tightening {
		if !slices.ContainsFunc(said, func(o check.Result) bool { return o.Rule == f.Rule }) {
			fs = append(fs, f)
		}
	}
	return fs
}
