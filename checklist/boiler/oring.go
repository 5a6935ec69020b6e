package boiler

import (
	"fmt"
	"math"
	"sort"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// RingUse is how an O-ring seals.
type RingUse string

const (
	FaceSeal    RingUse = "face"    // squeezed along its axis between two flat faces
	RadialSeal  RingUse = "radial"  // squeezed between a bore and a spigot that stand still
	SlidingSeal RingUse = "sliding" // on a rod or spindle that moves to and fro
	TurningSeal RingUse = "turning" // on a spindle that turns
)

// RingUses lists the uses.
func RingUses() []RingUse { return []RingUse{FaceSeal, RadialSeal, SlidingSeal, TurningSeal} }

// ParseRingUse reads the name of a use; its error is a *WordError.
func ParseRingUse(s string) (RingUse, error) {
	return parseWord("use of an O-ring", s, []word[RingUse]{
		{FaceSeal, string(FaceSeal), []string{"axial", "flange", "cover"}},
		{RadialSeal, string(RadialSeal), []string{"static", "radial static", "plug", "spigot"}},
		{SlidingSeal, string(SlidingSeal), []string{"reciprocating", "dynamic", "rod", "spindle"}},
		{TurningSeal, string(TurningSeal), []string{"rotary", "rotating"}},
	})
}

// band is a range of percentages with the figure to aim at.
type band struct{ low, aim, high float64 }

// squeezeFor is the same for one section: the tables go beyond the guides where a
// section is thin or thick, and a groove as a table has it is no fault. The figure to
// aim at is that of the table.
func (u RingUse) squeezeFor(section quantity.Length) (band, bool) {
	b, ok := u.squeeze()
	for _, h := range Housings(section, u) {
		b.low = min(b.low, percent(h.Section-h.DepthMax, h.Section))
		b.high = max(b.high, percent(h.Section-h.DepthMin, h.Section))
	}
	if h, tabled := housingFor(section, u); ok && tabled {
		b.aim = percent(section-h.DepthMin, section)
		b.low, b.high = min(b.low, b.aim), max(b.high, b.aim)
	}
	b.low, b.high = math.Floor(b.low+1e-9), math.Ceil(b.high-1e-9) // whole per cent, outwards
	return b, ok
}

// squeeze is how much of the section a groove takes away (published groove guides).
func (u RingUse) squeeze() (band, bool) {
	switch u {
	case FaceSeal:
		return band{20, 25, 30}, true
	case RadialSeal:
		return band{18, 22, 25}, true
	case SlidingSeal:
		return band{10, 15, 20}, true
	case TurningSeal:
		return band{0, 5, 10}, true
	}
	return band{}, false
}

const (
	ringGuide = "published O-ring groove guides"

	fillAim, fillLow, fillHigh, fillLocked                 = 75, 60, 85, 90
	stretchHigh                                            = 5
	stretchSmallHigh                                       = 8  // for small rings; common practice, no source
	smallRing                              quantity.Length = 10 // inside diameter up to which a ring counts as small
)

// GrooveInput asks for the groove of a chosen ring.
type GrooveInput struct {
	Ring Ring
	Use  RingUse
	// Squeeze and Fill are percentages to aim at; 0 stands for the depth and for the
	// width of the published table, or what lies between its rows.
	Squeeze, Fill float64
	// PressureOutside is set where the pressure acts from outside the ring. A
	// face groove then takes the ring on its inner wall instead of its outer one.
	PressureOutside bool
	// Spindle is the rod the ring sits on, with the groove in the bore round it;
	// Bore is the bore the ring seals against, with the groove in the spigot. At
	// most one of them, and neither for a face seal.
	Spindle, Bore quantity.Length
	// Port is the hole a face groove runs round; 0 where there is none.
	Port quantity.Length
}

// Groove is the groove for a ring.
type Groove struct {
	Depth, DepthMin, DepthMax             quantity.Length // radial, or axial for a face seal
	Width, WidthMax                       quantity.Length
	SqueezePercent, FillPercent           float64
	FillWorstPercent                      float64         // the thickest ring of its tolerance in the least groove
	StretchPercent                        float64         // of the inside diameter; negative: the ring is loose
	SectionInstalled                      quantity.Length // section left by the stretch
	Inside, Outside                       quantity.Length // diameters of the groove; 0 where they were not asked for
	Land                                  quantity.Length // metal between a port and the face groove; 0 without a port
	LeadIn                                quantity.Length // least length of the lead-in chamfer, 15 to 20°
	SqueezeLowPercent, SqueezeHighPercent float64         // published range for the use
	Published                             []Housing       // rows of groove tables for this section
	Source                                string          // where depth and width come from
	Findings                              []check.Result
}

// GrooveFor works out the groove of a chosen ring.
//
// Depth and width are those of the published table for the section, or lie between
// its rows where it has no row; for a turning spindle, which no table has, the depth
// is the section less the squeeze. A squeeze asked for makes the depth the section
// (less half of the stretch) less the squeeze, a fill asked for makes the width so that
// the ring fills that part of the groove. A face groove with pressure inside has the
// ring's outside diameter, so that the pressure finds it resting on the outer wall.
// Squeeze must be 0 to 40 %, fill 50 to 95 %; figures that cannot be are *InputErrors,
// an unknown use is a *WordError. Source: published groove tables and guides.
func GrooveFor(in GrooveInput) (Groove, error) {
	ring, err := checkRing(in.Ring)
	if err != nil {
		return Groove{}, err
	}
	use, ok := in.Use.squeezeFor(ring.Section)
	if !ok {
		return Groove{}, unknownUse(in.Use)
	}
	squeeze, fill := in.Squeeze, in.Fill
	leastFill := 0.0
	if fill != 0 {
		leastFill = 50
	}
	if err := firstError(
		within("squeeze", squeeze, 0, 40, "%"),
		within("fill", fill, leastFill, 95, "%"),
		within("spindle diameter", in.Spindle, 0, 500, "mm"),
		within("bore", in.Bore, 0, 500, "mm"),
		within("port", in.Port, 0, 500, "mm"),
	); err != nil {
		return Groove{}, err
	}
	if in.Use == FaceSeal && (in.Spindle != 0 || in.Bore != 0) {
		return Groove{}, &InputError{Field: "use of the O-ring", Problem: "a face seal sits on no spindle and in no bore", Expected: "one of radial, sliding and turning, or neither spindle nor bore"}
	}
	if in.Spindle != 0 && in.Bore != 0 {
		return Groove{}, &InputError{Field: "spindle and bore", Problem: "both are given", Expected: "the one that has no groove; the other diameter is the answer"}
	}
	if in.Use != FaceSeal && in.Port != 0 {
		return Groove{}, &InputError{Field: "port", Problem: "only a face groove runs round a port", Expected: "a face seal, or no port"}
	}

	g := Groove{SqueezeLowPercent: use.low, SqueezeHighPercent: use.high, SectionInstalled: ring.Section}
	housing, tabled := housingFor(ring.Section, in.Use)
	if !tabled && squeeze == 0 {
		squeeze = use.aim
	}
	if err := g.depthFor(in, ring, squeeze, housing); err != nil {
		return Groove{}, err
	}
	if g.StretchPercent > 100 || g.SectionInstalled <= 0 {
		return Groove{}, &InputError{Field: "O-ring", Problem: fmt.Sprintf("%s would be stretched by %.0f %%", ring.Name, g.StretchPercent), Expected: "a ring near the diameter it sits on"}
	}
	g.DepthMin, g.DepthMax = g.Depth, g.Depth+housing.DepthMax-housing.DepthMin
	if squeeze != 0 {
		g.DepthMin = g.SectionInstalled * quantity.Length(1-use.high/100)
		g.DepthMax = g.SectionInstalled * quantity.Length(1-use.low/100)
	}
	g.Width, g.WidthMax = housing.WidthMin, housing.WidthMax
	if fill != 0 {
		g.Width = cordArea(g.SectionInstalled) / g.Depth / quantity.Length(fill/100)
		g.WidthMax = g.Width + housing.WidthMax - housing.WidthMin
	}
	g.Source = housing.Source
	if squeeze != 0 && fill != 0 {
		g.Source = ringGuide
	}
	g.SqueezePercent = percent(g.SectionInstalled-g.Depth, g.SectionInstalled)
	g.FillPercent = percent(cordArea(g.SectionInstalled), g.Depth*g.Width)
	g.FillWorstPercent = percent(cordArea(g.SectionInstalled+sectionTolerance(ring.Section)), g.Depth*g.Width)
	g.LeadIn = 2 * (g.SectionInstalled - g.Depth)
	if in.Use == FaceSeal {
		if err := g.onFace(in, ring); err != nil {
			return Groove{}, err
		}
	}
	g.Published = Housings(ring.Section, in.Use)
	g.Findings = ringFindings(in.Use, ring, g.SqueezePercent, g.FillPercent, g.StretchPercent)
	// A table's own groove is taken as the trade has it, up to 91 % in thin sections.
	if asked := in.Squeeze != 0 || in.Fill != 0; asked && g.FillWorstPercent > fillLocked && g.FillPercent <= fillLocked {
		g.Findings = append(g.Findings, check.Result{Rule: "fill", Severity: check.Warn, Source: ringGuide + "; " + sectionSource,
			Message: fmt.Sprintf("The thickest ring of its tolerance fills %.0f %%: above %d %% it locks solid when it swells. A groove as the tables have it is wider.", g.FillWorstPercent, fillLocked)})
	}
	g.Findings = append(g.Findings, fittingNotes(in.Use)...)
	return g, nil
}

// onFace places the groove of a face seal round its port.
func (g *Groove) onFace(in GrooveInput, ring Ring) error {
	if in.PressureOutside {
		g.Inside = ring.Inside
		g.Outside = g.Inside + 2*g.Width
	} else {
		g.Outside = ring.Outside()
		g.Inside = g.Outside - 2*g.Width
	}
	if g.Inside <= 0 {
		return &InputError{Field: "O-ring", Problem: ring.Name + " leaves no metal in the middle of a face groove", Expected: "a larger ring"}
	}
	if g.Inside <= in.Port {
		return &InputError{Field: "port", Problem: fmt.Sprintf("%s runs into the groove, which begins at %s", in.Port, g.Inside.Round()), Expected: "a larger ring or a smaller port"}
	}
	if in.Port != 0 {
		g.Land = (g.Inside - in.Port) / 2
	}
	return nil
}

// depthFor works out depth, stretch and diameters: the table's depth, or with a
// squeeze asked for the section that the stretch leaves less the squeeze.
func (g *Groove) depthFor(in GrooveInput, ring Ring, squeeze float64, housing Housing) error {
	left := quantity.Length(1 - squeeze/100)
	depth := func() quantity.Length {
		if squeeze == 0 {
			return housing.DepthMin
		}
		return g.SectionInstalled * left
	}
	switch {
	case in.Spindle != 0:
		g.StretchPercent = float64((in.Spindle - ring.Inside) / ring.Inside * 100)
		g.SectionInstalled = stretched(ring.Section, g.StretchPercent)
		g.Depth = depth()
		g.Inside, g.Outside = in.Spindle, in.Spindle+2*g.Depth
	case in.Bore != 0:
		if ring.Section >= ring.Inside {
			return &InputError{Field: "O-ring", Problem: ring.Name + " is too small to sit in a groove of a spigot", Expected: "a ring whose hole is wider than its cord"}
		}
		g.Depth = housing.DepthMin
		if squeeze != 0 {
			// The deeper the groove, the less the ring is stretched over its bottom,
			// and the thicker it stays: one linear equation for the stretch.
			k := ring.Section * left
			stretch := (in.Bore - 2*k - ring.Inside) / (ring.Inside - k)
			g.Depth = k * (1 - max(stretch, 0)/2)
		}
		g.Outside, g.Inside = in.Bore, in.Bore-2*g.Depth
		if g.Inside <= 0 || g.Depth <= 0 {
			return &InputError{Field: "bore", Problem: fmt.Sprintf("%s leaves no spigot inside a ring of %s section", in.Bore, ring.Section), Expected: "a bore near the ring's outside diameter, " + ring.Outside().Round().String()}
		}
		g.StretchPercent = float64((g.Inside - ring.Inside) / ring.Inside * 100)
		g.SectionInstalled = stretched(ring.Section, g.StretchPercent)
	default:
		g.Depth = depth()
	}
	return nil
}

// cordArea is the area of a cord in section, in mm².
func cordArea(section quantity.Length) quantity.Length {
	return quantity.Length(math.Pi/4) * section * section
}

// sectionSource says where sectionTolerance comes from.
const sectionSource = "tolerance of the section from memory: ISO 3601-1"

// sectionTolerance is how much thicker than its nominal section a ring may be.
func sectionTolerance(section quantity.Length) quantity.Length {
	for _, t := range [...][2]quantity.Length{{2.25, 0.08}, {3.15, 0.09}, {4.5, 0.10}, {6.3, 0.13}, {8.4, 0.15}} {
		if section <= t[0] {
			return t[1]
		}
	}
	return 0.18
}

func unknownUse(u RingUse) error {
	var known []string
	for _, k := range RingUses() {
		known = append(known, string(k))
	}
	return &WordError{Kind: "use of an O-ring", Input: string(u), Known: known}
}

// stretched is the section of a ring whose inside diameter is stretched: it
// loses half the percentage. A loose ring keeps its section.
func stretched(section quantity.Length, stretchPercent float64) quantity.Length {
	return section * quantity.Length(1-max(stretchPercent, 0)/200)
}

func percent(part, whole quantity.Length) float64 { return float64(part / whole * 100) }

func ringFindings(use RingUse, ring Ring, squeeze, fill, stretch float64) []check.Result {
	var list []check.Result
	add := func(rule string, s check.Severity, format string, args ...any) {
		list = append(list, check.Result{Rule: rule, Severity: s, Source: ringGuide, Message: fmt.Sprintf(format, args...)})
	}
	limits, _ := use.squeezeFor(ring.Section)
	const hair = 1e-9 // a figure worked out from the limit itself is inside it
	switch {
	case squeeze <= 0 && use != TurningSeal:
		add("squeeze", check.Stop, "The groove does not squeeze the ring at all.")
	case squeeze < limits.low-hair:
		add("squeeze", check.Warn, "Squeeze %.0f %% is below %.0f to %.0f %% for a %s seal: it may weep.", squeeze, limits.low, limits.high, use)
	case squeeze > limits.high+hair:
		add("squeeze", check.Warn, "Squeeze %.0f %% is above %.0f to %.0f %% for a %s seal: hard to assemble, and the ring takes a set.", squeeze, limits.low, limits.high, use)
	}
	switch {
	case fill >= 100:
		add("fill", check.Stop, "The ring is bigger than the groove (fill %.0f %%): it cannot close.", fill)
	case fill > fillLocked:
		add("fill", check.Stop, "Fill %.0f %%: above %d %% the ring locks solid and bursts the joint open when it swells or warms.", fill, fillLocked)
	case fill > fillHigh:
		add("fill", check.Warn, "Fill %.0f %% is above %d to %d %%.", fill, fillLow, fillHigh)
	case fill < fillLow-hair:
		add("fill", check.Warn, "Fill %.0f %% is below %d to %d %%: the ring can roll.", fill, fillLow, fillHigh)
	case fill > fillAim+hair:
		add("fill", check.Note, "Rubber swells in steam: a fill of %d %% or less leaves room.", fillAim)
	}
	most := float64(stretchHigh)
	if ring.Inside <= smallRing {
		most = stretchSmallHigh
	}
	switch {
	case stretch > most+hair:
		add("stretch", check.Warn, "Stretch %.1f %% is above %.0f %%: the ring thins and ages.", stretch, most)
	case stretch > stretchHigh+hair:
		add("stretch", check.Note, "Stretch %.1f %%: up to %d %% is usual, up to %d %% passes for small rings (%s).", stretch, stretchHigh, stretchSmallHigh, commonPractice)
	case stretch < -hair && use != FaceSeal:
		add("stretch", check.Warn, "The ring is loose by %.1f %%: take a smaller one.", -stretch)
	}
	return list
}

// fittingNotes are what fitting any O-ring asks for.
func fittingNotes(use RingUse) []check.Result {
	finish := "0.8 µm (32 µin) for liquids, 0.4 µm for gas"
	if use == SlidingSeal || use == TurningSeal {
		finish = "0.2 to 0.4 µm"
	}
	return []check.Result{
		{Rule: "ring-finish", Severity: check.Note, Source: ringGuide, Message: "Finish where the ring seals: " + finish + "."},
		{Rule: "ring-fitting", Severity: check.Note, Source: ringGuide, Message: "Lead-in chamfer 15 to 20°; never over bare threads: slip a sleeve of paper or tape over them. The metal faces meet; no heavy clamping."},
	}
}

// MeasuredGroove is a groove as it is found.
type MeasuredGroove struct {
	Use RingUse
	// Inside and Outside are the diameters the ring lies between: groove bottom
	// (or spindle) and bore, or inner and outer wall of a face groove.
	Inside, Outside quantity.Length
	// Depth of a face groove; 0 for the others, whose depth follows from the
	// diameters.
	Depth quantity.Length
	// Width of a radial groove, along the axis; 0 for a face groove, whose width
	// follows from the diameters.
	Width           quantity.Length
	PressureOutside bool // as in GrooveInput
}

// FittedRing is a ring that may go into a measured groove.
type FittedRing struct {
	Ring           Ring
	SqueezePercent float64
	StretchPercent float64 // on the wall or spindle the ring rests on; negative: loose, or pressed together in a face groove
	FillPercent    float64
	Verdict        check.Severity // Good: it fits
	Findings       []check.Result
	score          float64
}

// RingsFor lists the standard rings that may go into a measured groove, the
// best first: those that break no rule, or, where there are none, the three
// nearest with what is wrong with each. Impossible grooves are *InputErrors,
// an unknown use is a *WordError.
func RingsFor(g MeasuredGroove) ([]FittedRing, error) {
	if _, ok := g.Use.squeeze(); !ok {
		return nil, unknownUse(g.Use)
	}
	if err := firstError(
		positive("inner diameter of the groove", g.Inside, 500, "mm"),
		positive("outer diameter of the groove", g.Outside, 500, "mm"),
	); err != nil {
		return nil, err
	}
	gap := (g.Outside - g.Inside) / 2
	if gap <= 0 {
		return nil, &InputError{Field: "outer diameter of the groove", Problem: fmt.Sprintf("%s is not larger than the inner one, %s", g.Outside, g.Inside), Expected: "the larger diameter"}
	}
	depth, width := gap, g.Width
	if g.Use == FaceSeal {
		depth, width = g.Depth, gap
		if g.Width != 0 {
			return nil, &InputError{Field: "width of the groove", Problem: "a face groove's width follows from its two diameters", Expected: "the depth instead"}
		}
	} else if g.Depth != 0 {
		return nil, &InputError{Field: "depth of the groove", Problem: "a radial groove's depth follows from its two diameters", Expected: "the width instead"}
	}
	if err := firstError(
		positive("depth of the groove", depth, 15, "mm"),
		positive("width of the groove", width, 30, "mm"),
	); err != nil {
		return nil, err
	}

	var fitted []FittedRing
	for _, ring := range Rings() {
		f := FittedRing{Ring: ring}
		section := ring.Section
		switch {
		case g.Use == FaceSeal && !g.PressureOutside:
			// The ring rests on the outer wall; a ring a little larger is pressed
			// together, a smaller one is blown out against the wall.
			f.StretchPercent = percent(g.Outside-ring.Outside(), ring.Outside())
		default:
			f.StretchPercent = percent(g.Inside-ring.Inside, ring.Inside)
			section = stretched(section, f.StretchPercent)
		}
		if section <= 0 {
			continue
		}
		f.SqueezePercent = percent(section-depth, section)
		f.FillPercent = percent(cordArea(section), depth*width)
		f.Findings = ringFindings(g.Use, ring, f.SqueezePercent, f.FillPercent, f.StretchPercent)
		if g.Use == FaceSeal && f.StretchPercent < -facePressed {
			f.Findings = append(f.Findings, check.Result{Rule: "stretch", Severity: check.Warn, Source: commonPractice,
				Message: fmt.Sprintf("The ring is %.1f %% too large for the groove and will buckle.", -f.StretchPercent)})
		}
		f.Verdict = check.Worst(f.Findings)
		limits, _ := g.Use.squeezeFor(ring.Section)
		half := (limits.high - limits.low) / 2
		aim := float64(fillAim)
		if h, ok := housingFor(ring.Section, g.Use); ok {
			aim = percent(cordArea(ring.Section), h.DepthMin*h.WidthMin)
		}
		f.score = math.Abs(f.SqueezePercent-limits.aim)/half + math.Abs(f.FillPercent-aim)/fillLow +
			math.Abs(f.StretchPercent-stretchAim(g.Use))/stretchHigh
		fitted = append(fitted, f)
	}
	sort.SliceStable(fitted, func(a, b int) bool {
		// Rings that fit come first; among the others the nearest, whatever it breaks.
		if fits := fitted[a].Verdict == check.Good; fits != (fitted[b].Verdict == check.Good) {
			return fits
		}
		return fitted[a].score < fitted[b].score
	})
	n := 0
	for n < len(fitted) && fitted[n].Verdict == check.Good {
		n++
	}
	if n == 0 {
		n = min(3, len(fitted))
	}
	return fitted[:n], nil
}

// facePressed is by how many per cent of its diameter a ring may be too large
// for a face groove (common practice, no source).
const facePressed = 3

// stretchAim is the stretch a ring sits best with.
func stretchAim(use RingUse) float64 {
	if use == FaceSeal {
		return 0
	}
	return 2
}
