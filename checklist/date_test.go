package checklist

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDates(t *testing.T) {
	for text, want := range map[string]string{
		"2026-08-31": "31 Aug 2026", "31 Aug 2026": "31 Aug 2026", " 1  January 2027 ": "1 Jan 2027",
		"08/2026": "31 Aug 2026", "2/2028": "29 Feb 2028", "2026-02": "28 Feb 2026", "Dec 2026": "31 Dec 2026",
	} {
		day, err := parseDate(text)
		require.NoError(t, err, text)
		require.Equal(t, want, dateText(day), text)
	}
	for _, wrong := range []string{"", "3/4/2026", "31 Feb 2026", "2026-13", "soon", "1812-01-01", "9999-01-01", "26-08-31", "\x1b[2J", "2026"} {
		_, err := parseDate(wrong)
		require.ErrorContains(t, err, "write it like 2026-08-31", wrong)
		require.NotContains(t, err.Error(), "\x1b")
	}
}

// A container is good to the end of its last day, by the calendar of the place.
func TestPastDay(t *testing.T) {
	day, err := parseDate("2026-08-31")
	require.NoError(t, err)
	f := Figure{Value: dayNumber(day), Unit: dayUnit}
	east := time.FixedZone("", 10*3600)
	require.False(t, f.PastDay(time.Date(2026, 8, 31, 23, 59, 0, 0, east)))
	require.True(t, f.PastDay(time.Date(2026, 9, 1, 0, 0, 0, 0, east)))
	require.False(t, f.PastDay(time.Time{}))
	require.False(t, Figure{Value: 5, Unit: "mm"}.PastDay(time.Now()))
}

func FuzzDate(f *testing.F) {
	for _, s := range []string{"2026-08-31", "08/2026", "31 Aug 2026", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		day, err := parseDate(s)
		if err != nil {
			requireHarmless(t, err.Error())
			return
		}
		again, err := parseDate(dateText(day))
		require.NoError(t, err)
		require.Equal(t, day, again)
	})
}
