package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Opposite is the number of the hole straight across a circle of n holes,
// numbered round from 1. ok is false where none is opposite: n is odd or not 2
// to 1000, or there is no such hole.
func Opposite(n, hole int) (number int, ok bool) {
	if n < 2 || n > 1000 || n%2 != 0 || hole < 1 || hole > n {
		return 0, false
	}
	return (hole-1+n/2)%n + 1, true
}

// CrossHoleOffset is how far off the centre two opposite holes across a bar are,
// from the run-out that a pin through both shows when the bar is turned half
// round: half of it. The run-out must be 0 to 10 mm; otherwise it returns an
// *InputError.
func CrossHoleOffset(runout quantity.Length) (quantity.Length, error) {
	if err := within("run-out of the pin", runout, 0, 10, "mm"); err != nil {
		return 0, err
	}
	return runout / 2, nil
}

// StopChord is the straight distance between the shut and open stops of a
// lever: 2·L·sin(angle/2) at the length L where it is measured. The angle must
// be above 0 and at most 180°, the lever above 0 and at most 1000 mm;
// otherwise it returns an *InputError.
func StopChord(lever quantity.Length, angle quantity.Angle) (quantity.Length, error) {
	if err := firstError(
		positive("length of the lever", lever, 1000, "mm"),
		positive("angle between the stops", angle, 180, "°"),
	); err != nil {
		return 0, err
	}
	return 2 * lever * quantity.Length(math.Sin(angle.Radians()/2)), nil
}

// StopArc is the way round a curved slot from stop to stop, at the length of the
// lever where it is measured: lever times angle. It is of use for what StopChord
// and StopAngle take; no input is checked again.
func StopArc(lever quantity.Length, angle quantity.Angle) quantity.Length {
	return lever * quantity.Length(angle.Radians())
}

// StopAngle is the angle a lever swings between stops that are a chord apart:
// the inverse of StopChord. A chord longer than the lever's full sweep is an
// *InputError.
func StopAngle(lever, chord quantity.Length) (quantity.Angle, error) {
	if err := firstError(
		positive("length of the lever", lever, 1000, "mm"),
		positive("distance between the stops", chord, 2000, "mm"),
	); err != nil {
		return 0, err
	}
	if chord > 2*lever {
		return 0, &InputError{Field: "distance between the stops", Problem: fmt.Sprintf("%s is more than a lever of %s reaches", chord, lever), Expected: "at most twice the lever"}
	}
	return quantity.FromRadians(2 * math.Asin(float64(chord/(2*lever)))), nil
}

// DiscLap is the least lap by which a shut disc valve should cover its port on
// each side (common practice, no source).
const DiscLap quantity.Length = 1

// DiscAngle is the angle through which a disc regulator turns from shut, with
// the given lap, to fully open: 2·asin((port + lap)/(2·radius)), for ports of
// the given width on a circle of the given radius. Figures that cannot be, and
// ports too wide for their circle, are *InputErrors. A lap below DiscLap is
// worked out all the same: the finding warns.
func DiscAngle(port, lap, radius quantity.Length) (quantity.Angle, []check.Result, error) {
	if err := firstError(
		positive("width of the port", port, 100, "mm"),
		within("lap", lap, 0, 50, "mm"),
		positive("radius of the port circle", radius, 200, "mm"),
	); err != nil {
		return 0, nil, err
	}
	ratio := float64((port + lap) / (2 * radius))
	if ratio > 1 {
		return 0, nil, &InputError{Field: "width of the port", Problem: fmt.Sprintf("port and lap, %s, are more than the circle of radius %s allows", port+lap, radius), Expected: "at most twice the radius together"}
	}
	var findings []check.Result
	if lap < DiscLap {
		findings = append(findings, check.Result{Rule: "disc-lap", Severity: check.Warn, Source: commonPractice,
			Message: fmt.Sprintf("A lap of %s on each side is less than %s: wear opens the port.", lap, DiscLap)})
	}
	return quantity.FromRadians(2 * math.Asin(ratio)), findings, nil
}
