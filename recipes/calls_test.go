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
