package threads

import (
	"math"
	"strconv"

	"fettle/threads/quantity"
)

// Series is a family of threads: a standard's list of diameters and pitches.
type Series string

// The series of threads.
const (
	ISOCoarse   Series = "ISO metric coarse"              // ISO 261
	ISOFine     Series = "ISO metric fine"                // ISO 261, constant pitches included
	ISOSpecial  Series = "ISO metric special"             // any other diameter and pitch in the ISO form
	BANumbered  Series = "BA"                             // BS 93
	BASpecial   Series = "BA form special"                // any other diameter and pitch in the BA form
	ME          Series = "ME"                             // model engineers' 32 and 40 TPI; Whitworth form, no standard
	Brass       Series = "26 TPI brass"                   // 26 TPI at every size; Whitworth form
	BSW         Series = "BSW"                            // BS 84
	BSF         Series = "BSF"                            // BS 84
	WhitSpecial Series = "Whitworth special"              // any other diameter and pitch in the Whitworth form
	PipeG       Series = "BSP parallel"                   // ISO 228-1
	PipeR       Series = "BSP taper external"             // ISO 7-1, R
	PipeRc      Series = "BSP taper internal"             // ISO 7-1, Rc
	PipeRp      Series = "BSP parallel internal, sealing" // ISO 7-1, Rp
	UNC         Series = "UNC"                            // ASME B1.1
	UNF         Series = "UNF"                            // ASME B1.1
	UNEF        Series = "UNEF"                           // ASME B1.1
	UNSpecial   Series = "Unified special"                // any other diameter and pitch in the Unified form
	MetricOther Series = "metric outside ISO 261"         // below M1 and old sizes; see metricOtherSizes
	Cycle       Series = "cycle"                          // BS 811
	NPT         Series = "NPT"                            // ASME B1.20.1, taper; screw and hole
	Trapezoidal Series = "trapezoidal"                    // ISO 2904
	Acme        Series = "Acme"                           // ASME B1.5, general purpose
)

// AllSeries lists the series in the order people meet them, specials last.
func AllSeries() []Series {
	return []Series{
		ISOCoarse, ISOFine, BANumbered, ME, Brass, BSW, BSF,
		PipeG, PipeR, PipeRc, PipeRp, UNC, UNF, UNEF,
		MetricOther, Cycle, NPT, Trapezoidal, Acme,
		ISOSpecial, WhitSpecial, UNSpecial, BASpecial,
	}
}

// Thread is one thread. Threads are values: two are the same thread exactly
// when == says so. Make one with Parse or All; the zero Thread is none.
type Thread struct {
	Series Series
	Form   Form
	Size   string          // as the series counts: "4" (M4), "2" (2 BA), "1/4", "#10"
	Major  quantity.Length // basic major diameter; at the gauge plane for taper pipe threads
	Pitch  quantity.Length
	TPI    float64 // threads per inch; 0 where the pitch is metric

	// depth is the depth of thread on one side where the standard rounds it
	// (BS 93, ISO 228-1); 0 where it follows from the form.
	depth quantity.Length
}

// String is the canonical designation, which Parse reads back to the same
// thread: "M4", "M8x1", "2 BA", "1/4 x 40 ME", "1/4 x 26 brass", "1/4 BSF",
// "G 1/4", "1/4-20 UNC".
func (t Thread) String() string {
	switch t.Series {
	case ISOCoarse, MetricOther:
		return "M" + t.Size
	case Cycle:
		return t.Size + " x " + trim(t.TPI) + " cycle"
	case NPT, Acme:
		return t.Size + "-" + trim(t.TPI) + " " + string(t.Series)
	case Trapezoidal:
		return "Tr" + t.Size + "x" + trim(t.Pitch.MM())
	case ISOFine, ISOSpecial:
		return "M" + t.Size + "x" + trim(t.Pitch.MM())
	case BANumbered:
		return t.Size + " BA"
	case BASpecial:
		return t.Size + " x " + trim(t.Pitch.MM()) + " BA form"
	case ME:
		return t.Size + " x " + trim(t.TPI) + " ME"
	case Brass:
		return t.Size + " x 26 brass"
	case BSW:
		return t.Size + " BSW"
	case BSF:
		return t.Size + " BSF"
	case WhitSpecial:
		return t.Size + " x " + trim(t.TPI) + " Whit"
	case PipeG:
		return "G " + t.Size
	case PipeR:
		return "R " + t.Size
	case PipeRc:
		return "Rc " + t.Size
	case PipeRp:
		return "Rp " + t.Size
	case UNC, UNF, UNEF:
		return t.Size + "-" + trim(t.TPI) + " " + string(t.Series)
	case UNSpecial:
		return t.Size + "-" + trim(t.TPI) + " UNS"
	}
	return ""
}

func trim(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// halfDepth is the depth of thread on one side of the basic profile of a thread
// that is no ISO or Unified one, to the standard's rounding.
func (t Thread) halfDepth() quantity.Length {
	switch {
	case t.depth != 0:
		return t.depth
	case t.Form == BA:
		return depthBA * t.Pitch
	case t.Form == CycleForm:
		return depthCycle * t.Pitch
	case t.Form == PipeUS:
		return depthPipeUS * t.Pitch
	case t.Form.traversing():
		return depthTraverse * t.Pitch
	}
	return depthWhitworth * t.Pitch
}

// crestClearance is the room at crest and root of a traversing thread: ISO 2901's
// a_c, from memory except for 2 mm; 0.010 in, 0.005 in above ten threads per inch, for
// Acme (ASME B1.5, from memory; the published limits follow it).
func (t Thread) crestClearance() quantity.Length {
	switch {
	case t.Form == TrapezoidalForm && t.Pitch < 2:
		return 0.15
	case t.Form == TrapezoidalForm && t.Pitch < 6:
		return 0.25
	case t.Form == TrapezoidalForm:
		return 0.5
	case t.Form == AcmeForm && t.TPI > 10:
		return quantity.FromInches(0.005)
	case t.Form == AcmeForm:
		return quantity.FromInches(0.010)
	}
	return 0
}

// miniature reports a size below M1, whose thread is cut less deep in the hole and
// is rounder in the screw (ISO 1501, from memory; a published table has its cores).
func (t Thread) miniature() bool { return t.Series == MetricOther && t.Major < 1 }

// seldom reports the series that a fitting seldom has, and that are taken for others.
func (t Thread) seldom() bool {
	switch t.Series {
	case MetricOther, Cycle, NPT, Trapezoidal, Acme:
		return true
	}
	return false
}

// PitchDiameter is the basic pitch (effective) diameter: ISO 724, ASME B1.1,
// BS 84, BS 93, ISO 228-1, and those of the form otherwise.
func (t Thread) PitchDiameter() quantity.Length {
	if t.Form == ISO68 || t.Form == Unified {
		return t.Major - pitchDrop60*t.Pitch
	}
	return t.Major - t.halfDepth()
}

// MinorInternal is the basic minor diameter of the hole: ISO 724, ASME B1.1,
// BS 84, BS 93, ISO 228-1, and those of the form otherwise.
func (t Thread) MinorInternal() quantity.Length {
	if t.miniature() {
		return t.Major - 0.96*t.Pitch
	}
	if t.Form == ISO68 || t.Form == Unified {
		return t.Major - minorDrop60*t.Pitch
	}
	return t.Major - 2*t.halfDepth()
}

// MinorExternal is the basic minor diameter of the screw: d3 = d - 17/12·H with
// a rounded root for 60° threads (ISO 68-1, ISO 898-1); twice the clearance at the
// crest below the hole's for traversing threads; for the others the same as the hole's.
func (t Thread) MinorExternal() quantity.Length {
	if t.miniature() {
		return t.Major - 1.2*t.Pitch
	}
	if t.Form == ISO68 || t.Form == Unified {
		return t.Major - screwDrop60*t.Pitch
	}
	return t.MinorInternal() - 2*t.crestClearance()
}

// FullDepth is the depth that counts as 100 % engagement, taken across both
// sides: a hole of Major - FullDepth has a full thread. See EngagementBasis.
func (t Thread) FullDepth() quantity.Length {
	if t.Form == ISO68 || t.Form == Unified {
		return engagement60 * t.Pitch
	}
	return 2 * t.halfDepth()
}

// EngagementBasis says what 100 % engagement means for this thread. Charts
// differ: the same hole reads 92 % on the basic depth of the ISO nut and 77 %
// on the basis used here.
func (t Thread) EngagementBasis() string {
	switch {
	case t.Form == ISO68 || t.Form == Unified:
		return "100 % = 1.299 P across (0.6495 P a side; Machinery's Handbook)"
	case t.Form == BA:
		return "100 % = full form, 1.2 P (BS 93)"
	case t.Form == CycleForm:
		return "100 % = full form, 1.0654 P (BS 811)"
	case t.Form == PipeUS:
		return "100 % = full form, 1.6 P (ASME B1.20.1), half-way along the useful thread"
	case t.Form.traversing():
		return "100 % = full form, P across"
	case t.Taper() != 0:
		return "100 % = full form, 1.2807 P (BS 84), half-way along the useful thread"
	}
	return "100 % = full form, 1.2807 P (BS 84)"
}

// engaged is the major diameter that engagement is counted from: half-way along
// the useful thread where the thread is taper, for a hole is drilled parallel.
func (t Thread) engaged() quantity.Length {
	if g, ok := t.GaugePlane(); ok {
		return t.Major - quantity.Length(t.Taper())*g.Useful/2
	}
	return t.Major
}

// Engagement is the depth of thread, in percent, that a hole of this diameter
// leaves: 100 % is FullDepth, 0 % a hole as large as the screw. It is negative
// for a larger hole and above 100 for one smaller than full depth. See
// EngagementBasis.
func (t Thread) Engagement(hole quantity.Length) float64 {
	return 100 * float64((t.engaged()-hole)/t.FullDepth())
}

// HoleFor is the hole that leaves the given engagement in percent; the inverse
// of Engagement.
func (t Thread) HoleFor(percent float64) quantity.Length {
	return t.engaged() - quantity.Length(percent/100)*t.FullDepth()
}

// StressArea is the area that carries tension: for ISO threads
// π/4·((d2+d3)/2)² (ISO 898-1), for Unified π/4·(d - 0.974279·P)² (ASME B1.1),
// for Whitworth and BA the mean of pitch and minor diameter in the same way
// (common practice; BS 84 and BS 93 give none).
func (t Thread) StressArea() quantity.Area {
	mean := (t.PitchDiameter() + t.MinorExternal()) / 2
	if t.Form == Unified {
		mean = t.Major - 0.974279*t.Pitch
	}
	return quantity.Area(math.Pi / 4 * float64(mean*mean))
}

// Lead is the advance in one turn: the pitch, for every thread here has one start.
func (t Thread) Lead() quantity.Length { return t.Pitch }

// HelixAngle is the lead angle at the pitch diameter.
func (t Thread) HelixAngle() quantity.Angle {
	return quantity.FromRadians(math.Atan(float64(t.Pitch) / (math.Pi * float64(t.PitchDiameter()))))
}

// Taper is the growth of diameter per unit of length: 1/16 for R and Rc
// (ISO 7-1) and NPT (ASME B1.20.1), 0 for the rest.
func (t Thread) Taper() float64 {
	if t.Series == PipeR || t.Series == PipeRc || t.Series == NPT {
		return 1.0 / 16
	}
	return 0
}

// Sources names the standards behind the thread's own figures.
func (t Thread) Sources() []string {
	switch t.Series {
	case ISOCoarse, ISOFine:
		return []string{"ISO 68-1", "ISO 261", "ISO 724"}
	case ISOSpecial:
		return []string{"ISO 68-1"}
	case BANumbered:
		return []string{"BS 93"}
	case BASpecial:
		return []string{"BS 93 (form only)"}
	case BSW, BSF:
		return []string{"BS 84"}
	case ME:
		return []string{"BS 84 (form)", "trade sizes, no standard", "drills aim at 75 %; lists of clubs go one 0.1 mm smaller, to 80 to 90 %"}
	case Brass:
		return []string{"BS 84 (form)", "trade sizes, no standard"}
	case MetricOther:
		if t.miniature() {
			return []string{"ISO 1501 (form from memory)", "sizes and limits: a published table of small metric threads"}
		}
		return []string{"ISO 68-1 (form)", "size: a tap maker's list; JIS and older DIN, not ISO 261"}
	case Cycle:
		return []string{"BS 811 (as transcribed)"}
	case NPT:
		return []string{"ASME B1.20.1 (two published tables)"}
	case Trapezoidal:
		return []string{"ISO 2901 (formulas)", "ISO 2904 (sizes, from memory)"}
	case Acme:
		return []string{"ASME B1.5 (formulas from memory, checked against a published table)"}
	case WhitSpecial:
		return []string{"BS 84 (form only)"}
	case PipeG:
		return []string{"ISO 228-1"}
	case PipeR, PipeRc, PipeRp:
		return []string{"ISO 7-1"}
	case UNC, UNF, UNEF:
		return []string{"ASME B1.1"}
	case UNSpecial:
		return []string{"ASME B1.1 (form only)"}
	}
	return nil
}
