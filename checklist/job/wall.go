package job

import "time"

// Layouts of a time that is shown; [Wall.Show] adds the offset where it is needed.
const (
	Minute  = "15:04"
	Evening = "15:04 on 2 Jan"
	Day     = "2 Jan 2006"
	Dated   = "2 Jan 2006 15:04"
	Week    = "Mon 2 Jan 15:04"
	Moment  = "Mon 2 Jan 2006 15:04"
)

// Wall is the clock on the workshop's wall. A job keeps the time zone it was started
// in, so that a paper and two devices show one time for one signature.
type Wall struct {
	zone *time.Location // the workshop's
	here *time.Location // that of the device which shows it
}

// Here is the wall of no job: this device's own clock.
func Here(zone *time.Location) Wall { return Wall{zone, zone} }

// wallOf is the wall of a job whose header names that zone. Where it names none, or one
// that this device does not know, the clock stays as it was when the job was started.
func wallOf(zone, started string, here *time.Location) Wall {
	if zone != "" && zone != unnamed {
		if at, err := time.LoadLocation(zone); err == nil {
			return Wall{at, here}
		}
	}
	if at, err := time.Parse(time.RFC3339, started); err == nil {
		_, offset := at.Zone()
		return Wall{time.FixedZone("", offset), here}
	}
	return Here(here)
}

// In is t by the workshop's clock.
func (w Wall) In(t time.Time) time.Time {
	if w.zone == nil || t.IsZero() {
		return t
	}
	return t.In(w.zone)
}

// Show writes t by the workshop's clock, with its offset from UTC where this device
// shows another time.
func (w Wall) Show(t time.Time, layout string) string {
	t = w.In(t)
	if w.here != nil {
		_, there := t.Zone()
		if _, here := t.In(w.here).Zone(); there != here {
			layout += " UTC-07:00"
		}
	}
	return t.Format(layout)
}

// unnamed is what Go calls the zone of a device whose name it did not find.
const unnamed = "Local"

// zoneName is how the zone of a clock is written into a header; "" for one without a
// name that another device knows.
func zoneName(now time.Time) string {
	name := now.Location().String()
	if name == "" || name == unnamed {
		return ""
	}
	at, err := time.LoadLocation(name)
	if err != nil {
		return ""
	}
	_, known := now.In(at).Zone()
	if _, shown := now.Zone(); known != shown {
		return ""
	}
	return name
}

// Wall is the clock by which this job's times are shown.
func (j *Job) Wall() Wall { return j.wall }

// Now is what the workshop's clock shows.
func (j *Job) Now() time.Time { return j.env.Now() }
