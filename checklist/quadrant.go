package checklist

import (
	"fmt"
	"strings"

	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// widestSwing is the largest angle between the stops of a lever.
const widestSwing quantity.Angle = 180

// quadrant reads the angle that a lever of the step swings; zero where there is
// none or it is not known.
func (x *filler) quadrant(step *Step) quantity.Angle {
	if step.Quadrant == "" {
		return 0
	}
	at := step.at.Field("quadrant")
	raw, ok := x.raw(step.Quadrant, at, onlySettings)
	if raw = strings.TrimSpace(raw); !ok || raw == "" {
		return 0
	}
	swing, err := quantity.ParseAngle(raw)
	if err == nil && !(swing > 0 && swing <= widestSwing) {
		err = fmt.Errorf("a lever does not swing %s; expected more than 0 and at most %s", swing, widestSwing)
	}
	if err != nil {
		x.f.Value(check.Stop, source.RuleValue, at, source.PlainError(err), "")
		return 0
	}
	return swing
}
