package recipes_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

func glandSets() []set {
	return []set{
		{"metric valve, pressure in bar", map[string]string{
			"valve": "injector steam valve", "proof": "manifold drain", "pressure": "5.5 bar",
			"nut_thread": "M12x1", "nut_flats": "14 mm",
			"spindle": "4 mm", "box": "8 mm", "depth": "9 mm",
		}},
		{"32 TPI nut, pressure in psi, PTFE", map[string]string{
			"valve": "blowdown valve", "proof": "safety valve lifting pin", "pressure": "100 psi",
			"nut_thread": "3/8 x 32 ME", "nut_flats": "7/16 in",
			"spindle": "5/32 in", "box": "9/32 in", "depth": "6.4 mm", "packing_material": "PTFE packing",
			"release": "inspector",
		}},
		{"BA nut on a gauge cock", map[string]string{
			"valve": "upper gauge cock", "proof": "lower gauge cock", "pressure": "80 psi",
			"nut_thread": "0 BA", "nut_flats": "0.413 in",
			"spindle": "3/32 in", "box": "4 mm", "depth": "3.4 mm", "weep": "1",
		}},
		{"blowdown of a large engine, whose spindle no default O-ring goes round", map[string]string{
			"valve": "blowdown valve", "pressure": "100 psi", "spindle": "8 mm", "box": "16 mm", "depth": "18 mm",
			"nut_thread": "M24x1.5", "nut_flats": "30 mm",
		}},
		{"O-ring on the hand pump's valve", map[string]string{
			"valve": "hand pump valve", "zone": "cold feed", "sealing": "o-ring",
			"pressure": "3 bar", "ring_material": "EPDM, peroxide cured",
		}},
		{"O-ring in steam", map[string]string{
			"pressure": "5.5 bar", "sealing": "o-ring", "ring_material": "FFKM",
			"spindle": "6 mm", "box": "9.2 mm", "ring_section": "1.78 mm", "ring_inside": "5.8 mm", "ring_bore": "9.0 mm",
			"nut_thread": "M14x1", "nut_flats": "17 mm",
		}},
	}
}

// No spanner goes near the gland before the pressure is proved zero twice, on
// the branch too, and somebody has released it.
func TestGlandIsHeldUntilPressureIsProvedZero(t *testing.T) {
	p := read(t, "gland.toml")
	for _, s := range append(glandSets(), set{name: "defaults"}) {
		t.Run(s.name, func(t *testing.T) {
			f, found := p.Fill(s.values)
			require.Empty(t, found)
			steps := f.Steps()
			require.GreaterOrEqual(t, len(steps), 18)
			release := f.Step("release")
			require.NotEmpty(t, release.Hold)
			require.Subset(t, before(f, "release"), []string{"gauge-zero", "open-zero", "branch-zero", "captive"})
			loosened := false
			for _, step := range steps[release.Number:] {
				require.Contains(t, before(f, step.ID), "release", "step %s", step.ID)
				loosened = loosened || step.ID == "nut-off"
			}
			require.True(t, loosened)
		})
	}
}

// The worked example of the packing sum: ring length is the circumference in
// the middle of the packing, pi * (spindle + section), section half of what the
// box leaves; the turns are a quarter to 0.35 of the stack over the pitch
// (packing makers' fitting sheets). 3/16 in and 3/8 in: 2.38 mm, 22.4 mm; four
// rings in 10 mm; 2.4 to 3.4 turns of 26 TPI, 0.977 mm.
func TestPackingOfTheDefaultGland(t *testing.T) {
	f, found := read(t, "gland.toml").Fill(nil)
	require.Empty(t, found)
	figures := map[string]checklist.Figure{}
	for _, seal := range f.Seals {
		for _, figure := range seal.Figures {
			figures[figure.Key] = figure
		}
	}
	require.InDelta(t, 2.38, figures["packing.section"].Value, 0.005)
	require.InDelta(t, 22.44, figures["packing.ring_length"].Value, 0.005)
	require.InDelta(t, 4, figures["packing.rings"].Value, 0)
	require.InDelta(t, 2.44, figures["packing.turns_min"].Value, 0.005)
	require.InDelta(t, 3.41, figures["packing.turns_max"].Value, 0.005)
}

// What is measured at the bench goes before what was believed at the desk: a
// spindle worn by 0.2 mm wants thicker packing, and the steps after it say so.
func TestPackingFollowsTheMeasuredSpindle(t *testing.T) {
	p := read(t, "gland.toml")
	believed, _ := p.Fill(nil)
	measured, found := p.FillMeasured(nil, map[string]string{"spindle": "4.56", "box": "9.52", "depth": "10.5"})
	require.Empty(t, found)
	var measures []string
	for _, step := range believed.Steps() {
		for _, r := range step.Readings {
			if r.Sets != "" {
				measures = append(measures, r.Sets)
			}
		}
	}
	require.ElementsMatch(t, []string{"nut_flats", "spindle", "box", "depth"}, measures)
	require.Contains(t, believed.Step("cut").Do, "2.38 mm")
	require.Contains(t, measured.Step("cut").Do, "2.48 mm")
	require.Equal(t, believed.Step("spindle").Readings[0].Nominal, measured.Step("spindle").Readings[0].Nominal,
		"a reading is never judged against itself")
}

func TestGlandVariants(t *testing.T) {
	p := read(t, "gland.toml")
	packing, _ := p.Fill(nil)
	ring, _ := p.Fill(glandSets()[4].values)
	require.NotNil(t, packing.Step("first-ring"))
	require.Nil(t, packing.Step("fit-ring"))
	require.Nil(t, ring.Step("first-ring"))
	require.NotNil(t, ring.Step("fit-ring"))
	require.Nil(t, ring.Step("cold-nip"), "an O-ring is not nipped")
}
