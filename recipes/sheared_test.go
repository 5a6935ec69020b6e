package recipes_test

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/threads"
	"fettle/threads/fastening"
)

// Pilot about half the diameter, core drill 0.1 mm under the internal minor
// diameter, off centre 0.15 of the diameter: common practice, no source. Minor
// diameters 3.73 mm of 2 BA (BS 93) and 2.459 mm of M3 (ISO 68-1).
func shearedSets() []set {
	return []set{
		{"2 BA stud, flush, through to the boiler", map[string]string{
			"thread": "2 BA",
		}},
		{"M3 screw standing proud in a cover", map[string]string{
			"place": "a screw of the regulator cover", "thread": "M3", "stands": "proud",
			"in_what": "a part that comes off", "release": "owner", "floor": "blind",
			"soak": "2 h",
		}},
		{"5/16 x 32 stud, came out with two nuts", map[string]string{
			"thread": "5/16 x 32 ME", "stands": "proud", "came_out": "yes",
		}},
	}
}

func TestShearedFastenerGentleFirst(t *testing.T) {
	p := read(t, "workshop-sheared.toml")
	f, found := p.Fill(shearedSets()[1].values)
	require.Empty(t, found)
	require.Equal(t, 2*time.Hour, f.Step("soak").Wait)
	require.Subset(t, before(f, "pilot"), []string{"zero", "soak", "nuts", "warm", "release", "flat"})
	require.NotEmpty(t, f.Step("release").Hold)
	require.Nil(t, f.Step("guard"), "a blind hole loses nothing into the boiler")

	through, _ := p.Fill(shearedSets()[0].values)
	require.Contains(t, before(through, "flat"), "guard")
	require.Nil(t, through.Step("nuts"))

	// The drill that would cut the thread stops the work: 3.6 mm for 2 BA.
	core := reading(t, through, "core", "core_drill")
	for value, ok := range map[string]bool{"3.6": true, "3.7": false} {
		j, err := core.Judge(value)
		require.NoError(t, err)
		require.Equal(t, ok, j.OK, value)
	}
}

// Once the stub has come out nobody is sent to drill it.
func TestShearedFastenerThatCameOutIsNotDrilled(t *testing.T) {
	p := read(t, "workshop-sheared.toml")
	values := shearedSets()[1].values
	f, found := p.FillMeasured(values, map[string]string{"came_out": "yes"})
	require.Empty(t, found)
	require.Nil(t, f.Step("pilot"))
	require.Contains(t, before(f, "hole"), "warm")

	f, found = p.FillMeasured(values, map[string]string{"came_out": "no"})
	require.Empty(t, found)
	require.NotNil(t, f.Step("pilot"))
}

// A pilot that is off the middle leaves less for the last drill: as much as is off
// stays on the near side. 2 BA by hand: 3.73 over the crests (BS 93) less 0.1.
func TestShearedLastDrillFollowsThePilot(t *testing.T) {
	p := read(t, "workshop-sheared.toml")
	for _, off := range []string{"0", "0.2", "0.4"} {
		f, found := p.FillMeasured(shearedSets()[0].values, map[string]string{"off": off})
		require.Empty(t, found)
		e, err := strconv.ParseFloat(off, 64)
		require.NoError(t, err)
		most := reading(t, f, "core", "core_drill").High.Value
		require.LessOrEqual(t, most/2+e, (3.73-0.1)/2+0.005, "inside the crests with a twentieth to spare")
		require.Greater(t, most/2+e, 3.73/2-0.15, "and not needlessly small")
		centre := reading(t, f, "centre", "off")
		// As far off as is let pass, the pilot of 2.35 mm is itself inside.
		require.LessOrEqual(t, centre.High.Value+2.35/2, (3.73-0.1)/2+0.005)
	}
}

// Which extractors there are is one answer: from 4 BA and M4 up.
func TestShearedExtractorsBySize(t *testing.T) {
	f, _ := read(t, "workshop-sheared.toml").Fill(nil)
	require.Contains(t, f.Step("extract").Do, "Not below 4 BA or M4")
	for size, ok := range map[string]bool{"4 BA": true, "M4": true, "2 BA": true, "5 BA": false, "M3.5": false, "M3": false} {
		thread, err := threads.Parse(size)
		require.NoError(t, err)
		plan, err := fastening.Sheared(thread, fastening.Metal{}, threads.StockDrills(), 0)
		require.NoError(t, err)
		require.Equal(t, ok, plan.ExtractorHigh > 0, size)
	}
}

// Left-hand threads are turned away before anything is drilled.
func TestShearedIsForRightHandThreads(t *testing.T) {
	p := read(t, "workshop-sheared.toml")
	f, _ := p.Fill(nil)
	require.Contains(t, strings.Join(f.Preliminary.Conditions, " "), "A right-hand thread")
	require.Error(t, p.CheckValue("thread", "M4 LH"))
}

// A wrong core drill ruins the hole: the drills follow from the thread.
func TestShearedFastenerKnowsItsDrills(t *testing.T) {
	p := read(t, "workshop-sheared.toml")
	for i, want := range []string{"3.6 mm", "2.3 mm", "6.8 mm"} {
		values := map[string]string{}
		for name, v := range shearedSets()[i].values {
			values[name] = v
		}
		delete(values, "came_out") // the stub is still in
		f, found := p.Fill(values)
		require.Empty(t, found)
		require.Contains(t, f.Step("core").Do, "to "+want)
		require.Equal(t, want, reading(t, f, "core", "core_drill").High.Text)
	}
}
