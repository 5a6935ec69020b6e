package recipes_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

// The multiples and times are invented, and unlike those of any code, so that
// nobody takes them for advice.
func hydraulicSets() []set {
	return []set{
		{"pressure in psi, regulator shut", map[string]string{
			"code": "invented code A", "edition": "1st", "certifier": "Ruth", "pressure": "90 psi",
			"multiple": "1.11", "target": "99 psi", "hold_time": "7 min", "drop_allowed": "2 psi",
			"gauge_scale": "300 psi",
		}},
		{"pressure in bar, header inside the test", map[string]string{
			"code": "invented code B", "edition": "3rd", "certifier": "Ruth", "operator": "Ana", "watcher": "Tom", "pressure": "5.5 bar",
			"multiple": "1.2", "target": "6.6 bar", "hold_time": "11 min", "drop_allowed": "0 bar",
			"gauge_scale": "16 bar", "regulator": "open, outlets blanked", "reason": "due",
		}},
		{"the owner's own preliminary test", map[string]string{
			"code": "invented code C", "edition": "2020", "certifier": "nobody yet", "pressure": "6 bar",
			"multiple": "1.3", "target": "7.8 bar", "hold_time": "1 h", "drop_allowed": "0.3 bar",
			"gauge_scale": "25 bar", "preliminary": "yes", "release": "owner",
		}},
	}
}

// Nothing but the answers typed from the local code says how high, how long and
// before whom: without them no job starts.
func TestHydraulicTestAsksTheLocalCode(t *testing.T) {
	p := read(t, "hydraulic.toml")
	for _, s := range p.Settings {
		switch s.Name {
		case "code", "edition", "certifier", "multiple", "target", "hold_time", "drop_allowed":
			require.False(t, s.HasDefault, s.Name)
			values := map[string]string{}
			for k, v := range hydraulicSets()[0].values {
				values[k] = v
			}
			delete(values, s.Name)
			_, found := p.Fill(values)
			require.True(t, found.HasStop(), "%s left out", s.Name)
		}
	}
}

func TestHydraulicTestHoldsAndWaits(t *testing.T) {
	p := read(t, "hydraulic.toml")
	f, found := p.Fill(hydraulicSets()[0].values)
	require.Empty(t, found)

	require.Equal(t, 7*time.Minute, f.Step("hold-time").Wait)
	up := before(f, "test-pressure")
	require.Subset(t, up, []string{"open-points", "agree", "place", "zero", "blanks", "gauges", "air", "working", "structure"})
	for _, id := range []string{"open-points", "agree", "structure", "blanks-off"} {
		require.NotEmpty(t, f.Step(id).Hold, id)
	}
	require.Contains(t, before(f, "close-look"), "hold-time")
	require.Contains(t, before(f, "blanks-off"), "release-pressure", "no plug is touched under pressure")

	// The sheet ticks the stages, in their order, the hold and the result.
	sheet := map[string]string{}
	for _, step := range f.Steps() {
		if slices.Contains(step.Uses, "boiler") && step.Kind != "record" {
			sheet[step.ID] = step.Kind
		}
	}
	require.Equal(t, map[string]string{
		"quarter": "test", "half": "test", "working": "test", "test-pressure": "test", "hold-time": "wait", "result": "test",
	}, sheet)
	require.Subset(t, before(f, "hold-time"), []string{"quarter", "half", "working", "test-pressure"})
	require.Contains(t, before(f, "result"), "hold-time")
	require.Equal(t, f.Steps()[len(f.Steps())-1].ID, "result")

	// 99 psi is 6.83 bar: a quarter 1.71, a half 3.41, the alarm 5 % over it 7.17.
	require.Contains(t, f.Step("quarter").Do, "Pump to 24.8 psi (1.71 bar)")
	require.Contains(t, f.Step("half").Do, "To 49.5 psi (3.41 bar)")
	require.Contains(t, f.Step("test-pressure").Do, "to 99 psi (6.83 bar), never above")
	require.Contains(t, f.Step("test-pressure").Do, "never above: at 104 psi (7.17 bar) it has failed")
}

// Every answer the code gives stands in a limit or a text.
func TestHydraulicTestJudgesTheFallByTheCode(t *testing.T) {
	f, found := read(t, "hydraulic.toml").Fill(hydraulicSets()[2].values)
	require.Empty(t, found)
	after := reading(t, f, "after-hold", "fall")
	for value, ok := range map[string]bool{"0": true, "0.3": true, "0.31": false, "4 psi": true, "5 psi": false} {
		j, err := after.Judge(value)
		require.NoError(t, err)
		require.Equal(t, ok, j.OK, value)
	}
}

// With the regulator shut the header is outside the test; with it open the
// steam pipes are blanked first.
func TestHydraulicTestVariants(t *testing.T) {
	p := read(t, "hydraulic.toml")
	shut, _ := p.Fill(hydraulicSets()[0].values)
	open, _ := p.Fill(hydraulicSets()[1].values)
	require.NotNil(t, shut.Step("shut-steam"))
	require.Nil(t, shut.Step("blank-steam"))
	require.Contains(t, before(open, "fill"), "blank-steam")
	require.Nil(t, open.Step("shut-steam"))
}

func reading(t *testing.T, f *checklist.Filled, step, name string) checklist.FilledReading {
	t.Helper()
	require.NotNil(t, f.Step(step), step)
	for _, r := range f.Step(step).Readings {
		if r.Name == name {
			return r
		}
	}
	require.Fail(t, "no such reading", "%s of %s", name, step)
	return checklist.FilledReading{}
}

// A target above working pressure times the multiple is refused, whatever was
// typed: 90 psi times 1.11 is 99.9 psi.
func TestHydraulicTestRefusesMoreThanTheProduct(t *testing.T) {
	p := read(t, "hydraulic.toml")
	values := hydraulicSets()[0].values
	values["target"] = "101 psi"
	_, found := p.Fill(values)
	require.True(t, found.HasStop())
}
