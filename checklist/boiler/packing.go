package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Gland is a valve-spindle gland as it is measured.
type Gland struct {
	Spindle quantity.Length // diameter where the packing bears
	Box     quantity.Length // bore of the stuffing box
	// Depth is how much of the box the packing may fill: from its bottom to the
	// nose of the follower when that has entered as far as it has to. The whole
	// box is FollowerEntry deeper.
	Depth quantity.Length
	// NutPitch is the lead of the gland nut's thread, or of the screws that draw
	// a flanged follower; 0 where it is not known: the turns are then left at 0.
	NutPitch quantity.Length
	// NutCore is the core diameter of the gland nut's external thread, or of the
	// box's where the nut goes over it; 0 where it is not known or where screws
	// draw a flanged follower.
	NutCore quantity.Length
}

// FollowerEntry is how far the follower has to be in the box before it is
// tightened, so that it cannot cock (published packing guides).
const FollowerEntry quantity.Length = 3

// Packing is what a gland takes.
type Packing struct {
	Section     quantity.Length // side of the square packing
	RingLength  quantity.Length // of one ring, butt cut, on the mean circumference
	Rings       int
	Stack       quantity.Length // height of the rings before they are nipped
	Spacer      quantity.Length // depth left over below more rings than are of use; 0 as a rule
	OrderLength quantity.Length // for all rings, with a tenth for the cuts
	// Follower travel from touching the rings to set.
	FollowerMin, FollowerMax quantity.Length
	// Turns of the nut for that travel; 0 without a pitch.
	TurnsMin, TurnsMax float64
	Findings           []check.Result
}

const (
	packingRule = "published packing guides"

	fewestRings = 3
	mostRings   = 6 // 4 to 6 in modern practice; more only adds friction

	// Part of the stack by which valve-stem packing is compressed.
	compressionMin = 0.25
	compressionMax = 0.35

	orderAllowance = 1.1 // common practice, no source
)

// PackGland works out the packing of a gland: section (box - spindle)/2, ring
// length π·(spindle + section), as many rings as the depth takes up to six,
// follower travel 25 to 35 % of the stack and the turns of the nut for it.
//
// Spindle and box must be above 0 and at most 100 mm, the box wider than the
// spindle by at least 1 mm (nothing thinner can be packed) and at most 40 mm,
// and the depth enough for one ring; otherwise it returns an *InputError.
// Source of the rules: published packing guides; the allowance for cuts is
// common practice.
func PackGland(g Gland) (Packing, error) {
	if err := firstError(
		positive("spindle diameter", g.Spindle, 100, "mm"),
		positive("bore of the box", g.Box, 100, "mm"),
		positive("depth for packing", g.Depth, 200, "mm"),
		within("pitch of the gland nut", g.NutPitch, 0, 10, "mm"),
		within("core of the gland nut's thread", g.NutCore, 0, 200, "mm"),
	); err != nil {
		return Packing{}, err
	}
	section := (g.Box - g.Spindle) / 2
	if section <= 0 {
		return Packing{}, &InputError{
			Field: "bore of the box", Problem: fmt.Sprintf("%s is not wider than the spindle, %s", g.Box, g.Spindle),
			Expected: "the bore the packing sits in, not that of the neck bush",
		}
	}
	if err := within("packing section (half of box less spindle)", section, 0.5, 20, "mm"); err != nil {
		return Packing{}, err
	}
	// The stack may fill the depth exactly: a thousandth of a ring is no room short.
	fit := int(math.Floor(float64(g.Depth/section) + 1e-3))
	if fit < 1 {
		return Packing{}, &InputError{
			Field: "depth for packing", Problem: fmt.Sprintf("%s does not take one ring of %s", g.Depth, section),
			Expected: fmt.Sprintf("at least %d rings, %s", fewestRings, fewestRings*section),
		}
	}
	p := Packing{
		Section:    section,
		RingLength: math.Pi * (g.Spindle + section),
		Rings:      min(fit, mostRings),
	}
	p.Stack = quantity.Length(p.Rings) * section
	p.OrderLength = quantity.Length(p.Rings) * p.RingLength * orderAllowance
	p.FollowerMin, p.FollowerMax = compressionMin*p.Stack, compressionMax*p.Stack
	if g.NutPitch > 0 {
		p.TurnsMin = float64(p.FollowerMin / g.NutPitch)
		p.TurnsMax = float64(p.FollowerMax / g.NutPitch)
	}
	if fit > mostRings {
		p.Spacer = g.Depth - p.Stack
	}
	p.Findings = p.findings(fit)
	if g.NutCore > g.Spindle && g.NutCore <= g.Box {
		p.Findings = append(p.Findings, check.Result{
			Rule: "nut-and-box", Severity: check.Ask, Source: "calculated: core of the thread and bore of the box",
			Message: fmt.Sprintf("Is that the thread of the nut? Its core, %s, is no more than the bore of the box, %s: a nut that screws in would fall through, a box that it screws over would have no wall. Measure both again.",
				g.NutCore.Round(), g.Box.Round()),
		})
	}
	return p, nil
}

func (p Packing) findings(fit int) []check.Result {
	var list []check.Result
	if fit < fewestRings {
		list = append(list, check.Result{
			Rule: "few-rings", Severity: check.Warn, Source: packingRule,
			Message: fmt.Sprintf("The box takes only %d of the %d rings a gland should have. Think of an O-ring, a deeper box or a follower with a shorter nose.", fit, fewestRings),
		})
	}
	if fit > mostRings {
		list = append(list, check.Result{
			Rule: "many-rings", Severity: check.Note, Source: packingRule,
			Message: fmt.Sprintf("The box would take %d rings; more than %d only add friction. Fill %s at the bottom with a bronze spacer.", fit, mostRings, p.Spacer.Round()),
		})
	}
	list = append(list,
		check.Result{
			Rule: "follower-entry", Severity: check.Note, Source: packingRule,
			Message: fmt.Sprintf("With all rings in, the follower must enter the box by %s before it is tightened; else leave a ring out.", FollowerEntry),
		},
		check.Result{
			Rule: "captive-spindle", Severity: check.Note, Danger: true, Source: commonPractice + "; inspectors judge it differently",
			Message: "Can slackening the gland let the spindle leave? A spindle that nothing holds inside can be blown out: then never touch the gland with any pressure on.",
		})
	return list
}

// SpindleThrust is the force with which a pressure pushes a spindle out of its
// gland: pressure times the area of the spindle. The diameter must lie above 0
// and at most at 100 mm, the pressure at 0 to 200 bar; otherwise it returns an
// *InputError.
func SpindleThrust(spindle quantity.Length, p quantity.Pressure) (quantity.Force, error) {
	if err := firstError(
		positive("spindle diameter", spindle, 100, "mm"),
		within("pressure", p, 0, 200, "bar"),
	); err != nil {
		return 0, err
	}
	const bar = 0.1 // N/mm²
	return quantity.Force(math.Pi / 4 * float64(spindle*spindle) * float64(p) * bar), nil
}
