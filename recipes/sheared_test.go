package recipes_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
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
