package recipes_test

import (
	"maps"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/recipes"
)

// Where one procedure sends the fitter to another it tells what it knows, on
// every engine it is tried on: the other one takes it, with its own settings at
// their defaults, and finds nothing wrong.
func TestCallsSayWhatIsKnown(t *testing.T) {
	library := checklist.NewLibrary(recipes.FS())
	made := map[string]map[string]bool{}
	// What the called procedure asks for, and what it is called here.
	handed := map[string]map[string]string{
		"regulator": {"thread": "cover_thread", "old_thread": "cover_thread", "metal": "flange_metal", "hole_kind": "hole_kind", "depth": "cover_depth",
			"grade": "cover_grade", "pressure": "pressure", "target": "test_pressure", "low_water": "low_water"},
		"top-feed": {"thread": "screw_thread", "old_thread": "screw_thread", "metal": "bush_metal", "hole_kind": "hole_kind", "depth": "screw_depth",
			"grade": "screw_grade", "pressure": "pressure", "target": "test_pressure", "low_water": "low_water"},
		"wet-header": {"thread": "stud_thread", "old_thread": "stud_thread", "metal": "bush_metal", "hole_kind": "stud_hole", "depth": "stud_depth",
			"grade": "stud_grade", "pressure": "pressure", "target": "test_pressure", "low_water": "low_water"},
		"valve-spindle-gland": {"pressure": "pressure", "low_water": "low_water"},
		"damaged-hole":        {"place": "place", "depth": "depth"},
		"sheared-fastener":    {"place": "place", "boundary": "in_what", "old_thread": "thread"},
	}
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			if step.Call == nil {
				continue
			}
			require.NotEmpty(t, step.Call.Ask, "step %s: no refit always wants another", step.ID)
			called, found := library.Procedure(step.Call.Procedure)
			require.NotNil(t, called, step.ID)
			require.Empty(t, found)
			values := map[string]string{}
			if step.Call.Procedure == "hydraulic-test" { // what only the local code says
				maps.Copy(values, map[string]string{"code": "invented code", "edition": "1st", "certifier": "Ruth", "multiple": "5",
					"target": "9 bar", "hold_time": "10 min", "drop_allowed": "0 bar"})
			}
			for name, value := range step.Call.Values() {
				require.NoError(t, called.CheckValue(name, value), "%s: %s", step.ID, name)
				values[name] = value
			}
			// Who releases metal that is cut, or a test, is asked anew, beginning
			// with the inspector: who releases the refit decides nothing there.
			require.NotContains(t, values, "release", step.ID)
			inside, _ := called.Fill(values)
			require.Equal(t, "inspector", answer(inside, "release"), step.ID)
			for name, from := range handed[f.Procedure.ID] {
				if have, ok := step.Call.Values()[name]; ok {
					require.Equal(t, answer(f, from), have, "%s hands on %s", step.ID, name)
				}
			}
			_, found = called.Fill(values)
			require.Empty(t, found, "%s calls %s with %v", step.ID, step.Call.Procedure, values)
			if made[f.Procedure.ID] == nil {
				made[f.Procedure.ID] = map[string]bool{}
			}
			made[f.Procedure.ID][step.ID+" "+step.Call.Procedure] = true
		}
	})
	test, hole, screw, drill := " hydraulic-test", " damaged-hole", " sheared-fastener", " drill-over-open-boiler"
	require.Equal(t, map[string]map[string]bool{
		"regulator":           {"broken" + screw: true, "holes" + hole: true, "full-water" + test: true},
		"top-feed":            {"broken" + screw: true, "holes" + hole: true, "full-water" + test: true},
		"wet-header":          {"studs-out" + screw: true, "holes" + hole: true, "hydraulic" + test: true},
		"valve-spindle-gland": {"full-water" + test: true},
		"damaged-hole":        {"deepen" + drill: true, "drill" + drill: true},
		"sheared-fastener":    {"hole" + hole: true},
	}, made)
}

// A stub is called about when what held it down is off: the other procedure
// begins with it standing alone, and the step that takes the cover off must not
// wait for it. No hole is tried, and nothing closed, before it is out.
func TestBrokenScrewsAreCalledWhenTheyStandAlone(t *testing.T) {
	off := map[string]string{"regulator": "lift", "top-feed": "lift-off", "wet-header": "header-off"}
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			if step.Call == nil || step.Call.Procedure != "sheared-fastener" {
				continue
			}
			require.Contains(t, before(f, step.ID), off[f.Procedure.ID], step.ID)
			require.Contains(t, before(f, "holes"), step.ID)
			require.Contains(t, before(f, "decide"), step.ID)
		}
	})
}

// One road for one hole: the step and the called procedure say which.
func TestOneRoadForOneHole(t *testing.T) {
	each(t, func(t *testing.T, f *checklist.Filled) {
		if f.Procedure.ID == "damaged-hole" {
			require.Contains(t, strings.Join(f.Preliminary.Conditions, " "), "this is not begun for the same hole")
		}
		for _, step := range f.Steps() {
			if step.Call != nil && step.Call.Procedure == "damaged-hole" && f.Procedure.ID != "sheared-fastener" {
				require.Contains(t, strings.Join(step.Notes, " "), "One road for one hole", step.ID)
			}
		}
	})
}

// answer is what a setting was answered, as it is handed on.
func answer(f *checklist.Filled, name string) string {
	for _, v := range f.Values {
		if v.Name == name {
			if v.Text == "not known" {
				return ""
			}
			return v.Text
		}
	}
	return ""
}

func TestAHoleThatIsDeepenedKeepsItsThread(t *testing.T) {
	p := read(t, "workshop-damaged-hole.toml")
	values := maps.Clone(damagedHoleSets()[1].values)
	values["new_thread"] = "M4" // thought of before, and not cut
	deeper, _ := p.Fill(values)
	require.Equal(t, "M3", deeper.Step("deepen").Call.Values()["thread"])
	bigger, found := p.Fill(damagedHoleSets()[3].values)
	require.Empty(t, found)
	require.Equal(t, "0 BA", bigger.Step("drill").Call.Values()["thread"])
}
