package trace

import (
	"fmt"
	"math"
	"time"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// dropVolume is one drop of water from a pipe or a seam. Source: common practice, no
// source; a drop is 0.03 to 0.07 ml.
const dropVolume = 0.05 // ml

// Drops compares the drops that were counted with what the gauge says is lost.
type Drops struct {
	check.Result                 // an ask where less than half is accounted for
	Seen         quantity.Volume // what the drops amount to in a minute
	Share        float64         // of the loss by the gauge
}

// CountDrops compares drops counted over a time with the loss a minute by the gauge:
// the stiffness of the full boiler times the fall of pressure in a minute. Less than
// half accounted for means that a second path is likely. drops is at least 0, over
// above 0 and at most a day, loss above 0.
func CountDrops(drops int, over time.Duration, loss quantity.Volume) (Drops, error) {
	switch l := float64(loss); {
	case drops < 0:
		return Drops{}, fmt.Errorf("%d drops: a count is 0 or more", drops)
	case over <= 0 || over > 24*time.Hour:
		return Drops{}, fmt.Errorf("counted over %v: it takes more than 0 and at most a day", over)
	case !(l > 0) || math.IsInf(l, 0):
		return Drops{}, fmt.Errorf("a loss of %v a minute: it must be above 0", loss)
	}
	d := Drops{
		Seen:   quantity.Volume(float64(drops) * dropVolume / over.Minutes()),
		Result: check.Result{Rule: "drops-against-fall", Severity: check.Good, Source: "0.05 ml a drop: common practice, no source"},
	}
	d.Share = float64(d.Seen) / float64(loss)
	if d.Share < 0.5 {
		d.Severity = check.Ask
		d.Message = fmt.Sprintf("What drips is %.0f %% of what the gauge loses. A second path loses water too, or the drops are not all seen.", 100*d.Share)
	} else {
		d.Message = "What drips accounts for the loss by the gauge, as far as drops can be counted."
	}
	return d, nil
}
