package checklist

import (
	"errors"
	"fettle/checklist/source"
	"strings"
	"time"
)

// dateForms are the ways in which a day is written; those without a day mean the
// last of their month, as on a container.
var dateForms = [...]struct {
	form  string
	month bool
}{
	{"2006-01-02", false}, {"2.1.2006", false}, {"2 Jan 2006", false}, {"2 January 2006", false},
	{"2006-01", true}, {"01/2006", true}, {"1/2006", true}, {"Jan 2006", true}, {"January 2006", true},
}

// parseDate reads a day: 2026-08-31, 31 Aug 2026, 31.08.2026, or a month as containers show
// it, 08/2026, which lasts to its end. 3/4/2026 is two days, and is refused. The
// years are 1990 to 2100.
func parseDate(s string) (time.Time, error) {
	text := strings.Join(strings.Fields(s), " ")
	for _, f := range dateForms {
		day, err := time.Parse(f.form, text)
		if err != nil {
			continue
		}
		if f.month {
			day = day.AddDate(0, 1, -1)
		}
		if day.Year() < 1990 || day.Year() > 2100 {
			break
		}
		return day, nil
	}
	return time.Time{}, errors.New(source.Shown(s) + " is not a day; write it like 2026-08-31, 31 Aug 2026, 31.08.2026, or 08/2026 for the end of that month")
}

// dateText is a day as it is shown.
func dateText(day time.Time) string { return day.Format("2 Jan 2006") }

// dayNumber counts days from 1 January 1970.
func dayNumber(day time.Time) float64 {
	return float64(time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60))
}

// PastDay says whether a figure that is a day lies before the day of now, by the
// calendar of now's place.
func (f Figure) PastDay(now time.Time) bool { return f.Unit == dayUnit && f.Value < dayNumber(now) }

// dayUnit is the unit of a figure that is a day, counted from 1 January 1970.
const dayUnit = "day"
