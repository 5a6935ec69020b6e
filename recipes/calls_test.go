package recipes_test

import (
	"maps"
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
			"grade": "cover_grade", "pressure": "pressure", "target": "test_pressure", "low_water": "low_water", "release": "release"},
		"top-feed": {"thread": "screw_thread", "old_thread": "screw_thread", "metal": "bush_metal", "hole_kind": "hole_kind", "depth": "screw_depth",
			"grade": "screw_grade", "pressure": "pressure", "target": "test_pressure", "low_water": "low_water", "release": "release"},
		"wet-header": {"thread": "stud_thread", "old_thread": "stud_thread", "metal": "bush_metal", "hole_kind": "stud_hole", "depth": "stud_depth",
			"grade": "stud_grade", "pressure": "pressure", "target": "test_pressure", "low_water": "low_water", "release": "release"},
		"valve-spindle-gland": {"pressure": "pressure", "low_water": "low_water", "release": "release"},
		"damaged-hole":        {"place": "place", "depth": "depth", "release": "release"},
		"sheared-fastener":    {"place": "place", "boundary": "in_what", "old_thread": "thread", "release": "release"},
	}
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			if step.Call == nil {
				continue
			}
			require.NotEmpty(t, step.Call.OnlyIf, "step %s: no refit always wants another", step.ID)
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
			require.NotEmpty(t, values["release"], "step %s: who may release is known", step.ID)
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
		"regulator":           {"slacken" + screw: true, "holes" + hole: true, "full-water" + test: true},
		"top-feed":            {"slacken" + screw: true, "holes" + hole: true, "full-water" + test: true},
		"wet-header":          {"nuts" + screw: true, "studs-out" + screw: true, "holes" + hole: true, "hydraulic" + test: true},
		"valve-spindle-gland": {"full-water" + test: true},
		"damaged-hole":        {"deepen" + drill: true, "drill" + drill: true},
		"sheared-fastener":    {"hole" + hole: true},
	}, made)
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
