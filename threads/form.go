package threads

import (
	"math"

	"fettle/threads/quantity"
)

// Form is the shape of a thread in section.
type Form int

// The forms of thread.
const (
	ISO68           Form = iota // 60°, ISO 68-1
	Unified                     // 60°, ASME B1.1; the ISO 68-1 profile in inches
	Whitworth                   // 55°, BS 84; ISO 228-1 and ISO 7-1 for pipes
	BA                          // 47½°, BS 93
	CycleForm                   // 60° with round crests and roots, BS 811
	PipeUS                      // 60°, ASME B1.20.1: NPT, cut short at crest and root
	TrapezoidalForm             // 30°, ISO 2901
	AcmeForm                    // 29°, ASME B1.5
)

// Ratios of the 60° profile to the pitch, ISO 68-1: H = √3/2·P, pitch diameter
// D - 3/4·H, minor diameter of the hole D - 5/4·H, of the screw D - 17/12·H.
const (
	height60       = 0.8660254037844386
	pitchDrop60    = 0.75 * height60
	minorDrop60    = 1.25 * height60
	screwDrop60    = 17.0 / 12 * height60
	engagement60   = 1.299    // Machinery's Handbook: 100 % is 0.6495·P a side
	depthWhitworth = 0.640327 // BS 84: depth of thread over pitch
	depthBA        = 0.6      // BS 93: depth of thread over pitch
	depthCycle     = 0.5327   // BS 811: depth of thread over pitch, H - p/3
	depthPipeUS    = 0.8      // ASME B1.20.1: depth of thread over pitch
	depthTraverse  = 0.5      // ISO 2901, ASME B1.5: depth of thread over pitch without clearance
)

// traversing reports the form of a screw that moves something, with clearance at
// crest and root.
// Moves reports a thread of a screw that moves something and clamps nothing:
// trapezoidal or Acme.
func (t Thread) Moves() bool { return t.Form.traversing() }

func (f Form) traversing() bool { return f == TrapezoidalForm || f == AcmeForm }

// Name is the form's name with its angle.
func (f Form) Name() string {
	switch f {
	case ISO68:
		return "ISO 60°"
	case Unified:
		return "Unified 60°"
	case Whitworth:
		return "Whitworth 55°"
	case BA:
		return "BA 47.5°"
	case CycleForm:
		return "cycle 60°"
	case PipeUS:
		return "American pipe 60°"
	case TrapezoidalForm:
		return "trapezoidal 30°"
	case AcmeForm:
		return "Acme 29°"
	}
	return "unknown"
}

// Angle is the included angle of the thread.
func (f Form) Angle() quantity.Angle {
	switch f {
	case ISO68, Unified, CycleForm, PipeUS:
		return 60
	case Whitworth:
		return 55
	case BA:
		return 47.5
	case TrapezoidalForm:
		return 30
	case AcmeForm:
		return 29
	}
	return 0
}

// TanHalfAngle is the tangent of half the included angle, which the formulas
// for shear area and torque use.
func (f Form) TanHalfAngle() float64 { return math.Tan(f.Angle().Radians() / 2) }

// Height is the height of the sharp triangle over the pitch.
func (f Form) Height() float64 { return 1 / (2 * f.TanHalfAngle()) }

// round2 rounds to two significant figures, as BS 93 rounds BA pitches and
// diameters (all of them lie between 0.1 and 10).
func round2(v float64) float64 {
	if v >= 1 {
		return math.Round(v*10) / 10
	}
	return math.Round(v*100) / 100
}
