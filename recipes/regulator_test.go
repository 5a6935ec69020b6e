package recipes_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func regulatorSets() []set {
	return []set{
		{"rotary plug, BA screws, psi, cured threads", map[string]string{
			"pressure": "60 psi", "test_pressure": "70 psi", "regulator": "rotary plug", "swing": "60",
			"cover_thread": "4 BA", "cover_count": "8", "cover_head": "cheese", "cover_grade": "aluminium bronze",
			"cover_length": "1/2 in", "cover_thick": "4 mm", "cover_depth": "8 mm", "cover_circle": "1 3/4 in",
			"gasket_inner": "1 1/4 in", "gasket_outer": "36.5 mm", "gasket_thick": "0.5 mm",
			"thread_seal": "anaerobic sealant", "shop": "18",
		}},
		{"ball, ME screws, bar", map[string]string{
			"pressure": "5.5 bar", "test_pressure": "6 bar", "regulator": "ball with seat rings",
			"cover_thread": "3/16 x 40 ME", "cover_count": "8", "cover_grade": "phosphor bronze",
			"cover_length": "16 mm", "cover_thick": "6 mm", "cover_depth": "10 mm", "cover_circle": "60 mm",
			"gasket_inner": "44 mm", "gasket_outer": "47.5 mm", "passing": "0.6", "release": "inspector",
		}},
		{"disc on a small dome, M3", map[string]string{
			"pressure": "80 psi", "test_pressure": "95 psi", "cover_thread": "M3", "cover_count": "8", "cover_length": "10 mm", "cover_thick": "4 mm",
			"cover_depth": "6 mm", "cover_circle": "36 mm", "gasket_inner": "26 mm", "gasket_outer": "30 mm",
			"gasket_thick": "0.5 mm", "cover_head": "socket", "cover_grade": "aluminium bronze",
		}},
	}
}

func TestRegulatorOrderOfWork(t *testing.T) {
	p := read(t, "regulator.toml")
	for _, s := range append(regulatorSets(), set{"defaults", map[string]string{"test_pressure": "120 psi"}}) {
		t.Run(s.name, func(t *testing.T) {
			f, found := p.Fill(s.values)
			require.Empty(t, found)
			require.Subset(t, before(f, "slacken"), []string{"gauge-zero", "open-zero", "beyond-zero", "release", "handle", "guard"})
			require.Subset(t, before(f, "decide"), []string{"spindle", "pipe", "holes", "flat"})
			// The bench test and the stops come before anything is closed for good.
			require.Subset(t, before(f, "fingers"), []string{"bench-test", "dry", "stops", "tally-out"})
			require.Equal(t, []string{"pass-2"}, f.Step("pass-3").Needs)
			require.Equal(t, []string{"pass-1"}, f.Step("pass-2").Needs)
			require.Subset(t, before(f, "low-water"), []string{"pass-3", "gland", "handle-on"})
			for _, id := range []string{"release", "decide", "tally-out"} {
				require.NotEmpty(t, f.Step(id).Hold, id)
			}
		})
	}
}

// Open for the drain, shut for the marks, and shut when it is looked at inside.
func TestRegulatorIsLookedAtShut(t *testing.T) {
	f, _ := read(t, "regulator.toml").Fill(nil)
	require.Contains(t, f.Step("beyond-zero").Do, "Leave all open")
	require.Regexp(t, `Open to the stop.*Shut it again`, f.Step("handle").Do)
	require.Contains(t, before(f, "inside"), "handle")
	require.Contains(t, f.Step("inside").Do, "Regulator still shut")
}

// The three kinds differ where their sealing faces do, and nowhere else.
func TestRegulatorKinds(t *testing.T) {
	p := read(t, "regulator.toml")
	disc, _ := p.Fill(nil)
	plug, _ := p.Fill(regulatorSets()[0].values)
	ball, _ := p.Fill(regulatorSets()[1].values)
	for _, c := range []struct {
		id               string
		disc, plug, ball bool
	}{
		{"face", true, false, false}, {"lap", true, false, false},
		{"plug", false, true, false}, {"lap-plug", false, true, false},
		{"ball", false, false, true}, {"rings", false, false, true},
		{"contact", true, true, false}, {"bench-test", true, true, true},
	} {
		require.Equal(t, c.disc, disc.Step(c.id) != nil, "disc %s", c.id)
		require.Equal(t, c.plug, plug.Step(c.id) != nil, "plug %s", c.id)
		require.Equal(t, c.ball, ball.Step(c.id) != nil, "ball %s", c.id)
	}
}

// Threads that cure are waited for and never touched again.
func TestRegulatorWaitsForItsThreads(t *testing.T) {
	p := read(t, "regulator.toml")
	cured, _ := p.Fill(regulatorSets()[0].values)
	require.Greater(t, cured.Step("cure").Wait, 24*time.Hour, "18 °C is colder than the 20 °C of the container's time")
	require.Contains(t, before(cured, "low-water"), "cure")
	require.Nil(t, cured.Step("cold-round"))

	pasted, _ := p.Fill(nil)
	require.Nil(t, pasted.Step("cure"))
	require.NotNil(t, pasted.Step("cold-round"))
	aramid, found := p.Fill(map[string]string{"gasket_material": "aramid sheet", "pressure": "60 psi", "test_pressure": "70 psi"})
	require.Empty(t, found)
	require.Nil(t, aramid.Step("cold-round"), "aramid sheet is not tightened again")
}
