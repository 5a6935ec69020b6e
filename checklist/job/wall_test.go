package job

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestWall(t *testing.T) {
	tokyo, err := time.LoadLocation("Asia/Tokyo")
	require.NoError(t, err)
	summer := time.Date(2026, 7, 1, 18, 30, 0, 0, time.UTC)
	winter := time.Date(2026, 12, 1, 18, 30, 0, 0, time.UTC)

	london := wallOf("Europe/London", "", tokyo)
	require.Equal(t, "1 Jul 2026 19:30 UTC+01:00", london.Show(summer, Dated))
	require.Equal(t, "1 Dec 2026 18:30 UTC+00:00", london.Show(winter, Dated))
	// On a device that shows the same, nothing is added, by whatever name it keeps its zone.
	lisbon, err := time.LoadLocation("Europe/Lisbon")
	require.NoError(t, err)
	require.Equal(t, "1 Jul 2026 19:30", wallOf("Europe/London", "", lisbon).Show(summer, Dated))

	// Where the zone is not known, or none is named, it is that of the start; else the device's own.
	for _, name := range []string{"", "Local", "Nowhere/Else", "../etc/passwd", "/etc/localtime"} {
		require.Equal(t, "2 Jul 2026 03:30", wallOf(name, "", tokyo).Show(summer, Dated), name)
		require.Equal(t, "1 Jul 2026 20:30 UTC+02:00", wallOf(name, "2026-07-01T12:00:00+02:00", tokyo).Show(summer, Dated), name)
	}
	require.True(t, london.In(time.Time{}).IsZero())

	require.Equal(t, "Asia/Tokyo", zoneName(summer.In(tokyo)))
	require.Empty(t, zoneName(summer.In(time.FixedZone("", 3600))))
	require.Empty(t, zoneName(summer.In(time.FixedZone("CET", 14400)))) // a name, and not of that offset
}

// A job inside another shows its times as that one does: the device's zone goes with it.
func TestWallOfACalledJob(t *testing.T) {
	tokyo, err := time.LoadLocation("Asia/Tokyo")
	require.NoError(t, err)
	b := newBench(t)
	b.env.Now = func() time.Time { return time.Date(2026, 7, 1, 18, 30, 0, 0, time.UTC).In(tokyo) }
	env := b.env
	outer := wallOf("Europe/London", "", tokyo)
	env.here = tokyo
	now := env.Now
	env.Now = func() time.Time { return outer.In(now()) } // as the outer job hands it on
	j, err := Start(memJob, tap(t, tapProcedure), nil, "Bramble", env)
	require.NoError(t, err)
	require.Equal(t, "1 Jul 2026 19:30 UTC+01:00", j.Wall().Show(j.Now(), Dated))
}
