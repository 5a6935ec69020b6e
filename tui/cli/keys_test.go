package cli

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// paths lists the keys of a JSON value with the way to them: "heads[].kind".
func paths(v any, at string, into map[string]any) {
	switch v := v.(type) {
	case map[string]any:
		for key, value := range v {
			next := strings.TrimPrefix(at+"."+key, ".")
			into[next] = value
			paths(value, next, into)
		}
	case []any:
		for _, item := range v {
			paths(item, at+"[]", into)
		}
	}
}

// The keys of every look-up that scripts rely on: never renamed, never dropped.
// More may come beside them.
func TestKeysOfTheLookUps(t *testing.T) {
	for _, c := range []struct {
		lines []string // their keys together
		keys  string
	}{
		{[]string{"thread M4", "thread 2_BA", "thread 1/4_BSF"}, `designation series form major_mm pitch_mm tpi pitch_diameter_mm minor_internal_mm minor_external_mm stress_area_mm2
			tap_drill tap_drill.drill tap_drill.diameter_mm tap_drill.engagement_percent tap_drill.source tap_drills tap_drills[].drill tap_drills[].diameter_mm tap_drills[].engagement_percent
			clearance.fine_mm clearance.medium_mm clearance.coarse_mm clearance.source
			heads[].kind heads[].standard heads[].head_diameter_mm heads[].height_mm heads[].across_flats_mm heads[].key_mm heads[].countersink_diameter_mm heads[].angle_deg
			spanner_mm limits.external.class limits.external.major_max_mm limits.external.major_min_mm limits.external.pitch_diameter_max_mm limits.external.pitch_diameter_min_mm
			limits.internal.class limits.internal.minor_min_mm limits.internal.minor_max_mm limits.internal.pitch_diameter_min_mm limits.internal.pitch_diameter_max_mm sources`},
		{[]string{"identify --major 6.3 --tpi 26"}, `candidates candidates[].designation candidates[].series candidates[].major_difference_mm candidates[].pitch_difference_percent candidates[].confusable_with`},
		{[]string{"torque M4 --grade A2-70 --into gunmetal --depth 6"}, `preload_kn torque_nm friction utilisation limited_by strip_kn sources`},
		{[]string{"rescue M4 --hole 3.81 --into gunmetal --depth 8"}, `options options[].kind options[].thread options[].tap_drill.drill options[].tap_drill.diameter_mm options[].engagement_percent
			options[].cleanup_percent options[].strip_ratio options[].verdict options[].consequences`},
		{[]string{"joint --bolts 6 --thread M4 --grade A2-70 --circle 52 --bore 40 --gasket graphite --ring 40_x_47 --pressure 14_bar --into gunmetal --depth 6"},
			`hydrostatic_n operating_n seating_n per_bolt_n preload_per_bolt_n reserve verdict order findings`},
		{[]string{"boiler steam 90_psi"}, `saturation_c pressure_bar`},
		{[]string{"boiler fill --volume 6_l --diameter 125 --wall 3 --material copper --pressure 14_bar --air 20_ml"}, `pump_ml stiffness_ml_per_bar without_air_ml`},
		{[]string{"boiler leak --volume 6_l --diameter 125 --wall 3 --material copper --pressure 14_bar --drop 0.5_bar --over 10_min"}, `leak_ml_per_min temperature_bar_per_k distinguishable`},
		{[]string{"procedure check ../../testdata/procedures/broken/145-tighten-late.toml"}, `findings findings[].file findings[].line findings[].column findings[].severity findings[].message findings[].suggestion`},
		{[]string{"job status --job JOB"}, `procedure engine steps_total steps_done open_findings waiting holds short conflicts next_step notices`},
	} {
		all := map[string]any{}
		for _, line := range c.lines {
			env, out, errs := testEnv(t)
			dir := t.TempDir() + "/job"
			require.Equal(t, exitFine, Run([]string{"job", "demo", "--job", dir}, env))
			out.Reset()
			var args []string
			for _, word := range strings.Fields(line) {
				args = append(args, strings.ReplaceAll(strings.ReplaceAll(word, "_", " "), "JOB", dir))
			}
			code := Run(append(args, "--json"), env)
			require.Contains(t, []int{exitFine, exitFound}, code, "%s: %s", line, errs)
			var v any
			require.NoError(t, json.Unmarshal(out.Bytes(), &v), line)
			if items, ok := v.(map[string]any)["items"].([]any); ok { // a look-up
				for _, item := range items {
					paths(item, "", all)
				}
				continue
			}
			paths(v, "", all)
		}
		for _, key := range strings.Fields(c.keys) {
			require.Contains(t, all, key, "%s", c.lines)
		}
		for key, value := range all {
			name := key[strings.LastIndexAny(key, ".]")+1:]
			require.Regexp(t, `^[a-z][a-z0-9]*(_[a-z0-9]+)*$`, name, "%s: %s", c.lines, key)
			if _, number := value.(float64); number {
				require.True(t, hasUnit(name), "%s: %s is a number and does not end in its unit", c.lines, key)
			}
		}
	}
}

// bare are numbers that have no unit: counts, ratios, places in a list.
var bare = []string{
	"tpi", "friction", "head_friction", "utilisation", "reserve", "strip_ratio", "bolts", "line", "column", "number", "torque_factor",
	"friction_low", "friction_high", "utilisation_reached", "utilisation_high", "reserve_low", "reserve_one_lost", "percent",
	"steps_total", "steps_done", "steps_skipped", "open_findings", "count",
}

func hasUnit(key string) bool {
	if slices.Contains(bare, key) {
		return true
	}
	for _, unit := range strings.Fields("mm mm2 mm3 nm kn n mpa c k bar ml percent deg j per_bar per_min per_k per_hour turns strokes bar_abs kg_per_m3 lbf_in") {
		if strings.HasSuffix(key, "_"+unit) {
			return true
		}
	}
	return false
}
