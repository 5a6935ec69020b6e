package recipes_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func headerSets() []set {
	return []set{
		{"cone, BA studs, psi, cured, regulator after it", map[string]string{
			"pressure": "60 psi", "test_pressure": "70 psi", "regulator_place": "after the header", "joint": "cone",
			"stud_thread": "0 BA", "nut_flats": "0.413 in", "stud_count": "3", "stud_grade": "phosphor bronze", "stud_depth": "10 mm",
			"thread_seal": "anaerobic sealant", "shop": "12", "elements": "4",
			"union_thread": "5/16 x 32 ME", "union_flats": "7/16 in", "release": "owner",
		}},
		{"O-ring, ME studs, bar", map[string]string{
			"pressure": "5 bar", "test_pressure": "6 bar", "joint": "o-ring", "stud_thread": "1/4 x 40 ME", "nut_flats": "7/16 in", "stud_count": "4",
			"stud_depth": "10 mm", "stud_circle": "40 mm", "elements": "1", "union_thread": "M10x1", "union_flats": "14 mm",
		}},
		{"copper gasket, M4, graphite at the elements", map[string]string{
			"pressure": "80 psi", "test_pressure": "90 psi", "stud_thread": "M4", "nut_flats": "7 mm", "stud_count": "6", "stud_depth": "7 mm",
			"gasket_inner": "16 mm", "gasket_outer": "19.6 mm", "gasket_thick": "0.5 mm", "stud_circle": "30 mm",
			"element_joint": "graphite sheet",
		}},
	}
}

func TestHeaderOrderOfWork(t *testing.T) {
	p := read(t, "wet-header.toml")
	for _, s := range append(headerSets(), set{"defaults", map[string]string{"test_pressure": "120 psi"}}) {
		t.Run(s.name, func(t *testing.T) {
			f, found := p.Fill(s.values)
			require.Empty(t, found)
			require.Subset(t, before(f, "unions"), []string{"gauge-zero", "open-zero", "beyond-zero", "which", "release", "tubes", "runs"})
			require.Subset(t, before(f, "header-on"), []string{"bench-test", "decide", "dry-studs", "dry-header", "dry-elements", "tally-out"})
			require.Equal(t, []string{"pass-2"}, f.Step("pass-3").Needs)
			require.Subset(t, before(f, "first-steam"), []string{"low-water", "hydraulic", "blanks-off"})
			for _, id := range []string{"release", "decide", "tally-out"} {
				require.NotEmpty(t, f.Step(id).Hold, id)
			}
		})
	}
}

// A header that the regulator shuts off is only tested with the regulator open,
// and then the way to the cylinders is blanked first. What was believed at the
// desk gives way to what is found in the smokebox.
func TestHeaderIsInsideItsTest(t *testing.T) {
	p := read(t, "wet-header.toml")
	f, _ := p.Fill(nil)
	require.Contains(t, before(f, "low-water"), "blank-outlets")
	require.Nil(t, f.Step("shut-after"))

	f, found := p.FillMeasured(map[string]string{"test_pressure": "120 psi"}, map[string]string{"regulator_place": "after the header"})
	require.Empty(t, found)
	require.Nil(t, f.Step("blank-outlets"))
	require.Contains(t, before(f, "low-water"), "shut-after")
}

func TestHeaderJoints(t *testing.T) {
	p := read(t, "wet-header.toml")
	gasket, _ := p.Fill(nil)
	cone, _ := p.Fill(headerSets()[0].values)
	ring, _ := p.Fill(headerSets()[1].values)
	require.NotNil(t, gasket.Step("choose-gasket"))
	require.NotNil(t, cone.Step("choose-cone"))
	require.NotNil(t, ring.Step("choose-ring"))
	require.Nil(t, ring.Step("choose-gasket"))
	require.Nil(t, ring.Step("cold-round"), "an O-ring flange stands metal to metal")
	require.Contains(t, before(cone, "header-on"), "cure")
}

func TestHeaderSoaksAsLongAsAsked(t *testing.T) {
	f, found := read(t, "wet-header.toml").Fill(map[string]string{"test_pressure": "120 psi", "soak": "3 h"})
	require.Empty(t, found)
	require.Equal(t, 3*time.Hour, f.Step("soak").Wait)
	require.Contains(t, before(f, "unions"), "soak")
}
