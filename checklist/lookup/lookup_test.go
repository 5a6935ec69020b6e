package lookup

import (
	"errors"
	"fettle/checklist/workshop"
	"fettle/threads/check"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	key  = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	unit = regexp.MustCompile(`_(mm|mm2|in|bar|mpa|c|k|ml|n|kn|nm|j|h|min|percent|deg|ml_per_bar|ml_per_min|bar_per_k|kg_per_m3|per_min)$`)
	// Bare figures: counts, factors, powers and what a code gives.
	bare = map[string]bool{
		"rings": true, "turns_least": true, "turns_most": true, "temperature_factor": true, "metal_factor": true,
		"gap_factor": true, "torque_factor": true, "friction": true, "friction_low": true, "friction_high": true, "head_friction": true,
		"utilisation": true, "utilisation_reached": true, "utilisation_high": true, "strip_ratio": true,
		"reserve": true, "reserve_low": true, "reserve_one_lost": true, "percent": true, "tpi": true, "taper": true, "tolerance_turns": true, "multiple": true, "strokes": true, "strokes_without_air": true, "exponent": true,
	}
)

func checkRows(t *testing.T, s Sheet, rows Rows) {
	t.Helper()
	seen := map[string]bool{}
	for _, r := range rows {
		require.False(t, r.Key == "" && r.Label == "", "%s: a row for nobody", s.Name)
		part, isPart := r.Value.(Rows)
		if r.Label != "" && !isPart || r.Key == "" {
			require.NotEmpty(t, r.Text, "%s: %s", s.Name, r.Label)
		}
		if isPart {
			checkRows(t, s, part)
		}
		if r.Key == "" {
			continue
		}
		require.Regexp(t, key, r.Key, s.Name)
		require.False(t, seen[r.Key], "%s answers %s twice", s.Name, r.Key)
		seen[r.Key] = true
		switch v := r.Value.(type) {
		case float64:
			require.True(t, unit.MatchString(r.Key) || bare[r.Key], "%s: %s names no unit", s.Name, r.Key)
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s: %s is %v", s.Name, r.Key, v)
		case []float64:
			require.Regexp(t, unit, r.Key)
		case []Rows:
			for _, x := range v {
				checkRows(t, s, x)
			}
		case string, int, bool, []int, []string, Rows, func() any, nil:
		default:
			t.Fatalf("%s: %s holds a %T", s.Name, r.Key, v)
		}
	}
}

func checkAnswer(t *testing.T, s Sheet, a Answer) {
	t.Helper()
	checkRows(t, s, a.Rows)
	for _, l := range a.Lists {
		require.False(t, l.Key == "" && l.Title == "", "%s: a list for nobody", s.Name)
		require.False(t, slices.ContainsFunc(a.Rows, func(r Row) bool { return l.Key != "" && r.Key == l.Key }), "%s answers %s twice", s.Name, l.Key)
		for _, item := range l.Items {
			if l.Title != "" {
				require.NotEmpty(t, item.Text, l.Title)
			}
			checkRows(t, s, item.Rows)
		}
	}
	require.NotEmpty(t, a.Sources, "%s: every figure says where it comes from", s.Name)
	deference := 0
	for _, f := range a.Findings {
		require.NotEmpty(t, f.Message)
		if f.Message == check.Deference {
			deference++
		} else if f.Severity != check.Note {
			require.NotEmpty(t, f.Source, "%s: %s", s.Name, f.Rule)
		}
	}
	require.Equal(t, s.Boundary, deference == 1, s.Name)
	_, err := a.MarshalJSON()
	require.NoError(t, err)
}

func TestEveryExampleWorks(t *testing.T) {
	names := map[string]bool{}
	for _, s := range Sheets() {
		require.False(t, names[s.Name])
		names[s.Name] = true
		require.NotEmpty(t, s.Title)
		require.NotEmpty(t, s.About)
		require.NotEmpty(t, s.Examples)
		found, ok := Find(s.Name)
		require.True(t, ok)
		require.Equal(t, s.Title, found.Title)
		for _, line := range s.Examples {
			if s.Or != "" && strings.HasSuffix(line, " --"+s.Or) {
				continue // an example of the other
			}
			a, err := s.Work(s.example(line), workshop.Tools{})
			require.NoError(t, err, line)
			checkAnswer(t, s, a)
		}
	}
	_, ok := Find("coffee")
	require.False(t, ok)
}

// printed is a figure to the digits it was worked to by hand.
type printed string

// Worked by hand, as in the tests of package boiler, through the text of a form.
func TestFigures(t *testing.T) {
	for _, row := range []struct {
		line string
		want map[string]any
	}{
		{"steam 100 psi", map[string]any{"pressure_bar": printed("6.895"), "saturation_c": printed("169.9"), "design_c": printed("173.4")}},
		{"steam --temperature 150", map[string]any{"pressure_bar": printed("3.75")}},
		{"fill --volume '6 l' --diameter 125 --wall 3 --material copper --pressure '14 bar' --air '20 ml' --pump-bore 9.5 --pump-stroke 20 --pumped '25.2 ml'",
			map[string]any{"pump_ml": printed("25.2"), "stiffness_ml_per_bar": printed("0.560"), "without_air_ml": printed("6.6"), "strokes": printed("17.8"), "trapped_air_ml": printed("20.0")}},
		{"leak --volume '6 l' --diameter 125 --wall 3 --material copper --pressure '14 bar' --air '20 ml' --drop '0.5 bar' --over '10 min'",
			map[string]any{"leak_ml_per_min": printed("0.028"), "temperature_bar_per_k": printed("1.7"), "distinguishable": nil, "drops_per_min": printed("0.56")}},
		{"leak --volume '6 l' --diameter 125 --wall 3 --material copper --pressure '14 bar' --air '20 ml' --drop '0.5 bar' --over '10 min' --water 20 --warmed -0.3",
			map[string]any{"distinguishable": false}},
		{"leak --volume '6 l' --diameter 125 --wall 3 --material copper --pressure '14 bar' --air '20 ml' --drop '0.5 bar' --over '10 min' --water 20 --warmed 0",
			map[string]any{"distinguishable": true}},
		{"air --low '2 bar' --middle '7 bar' --high '14 bar' --first '6.543 ml' --second '4.465 ml' --volume '6 l'",
			map[string]any{"air_ml": printed("20.0"), "stiffness_ml_per_bar": printed("0.559")}},
		{"drip --drops 60 --pressure '14 bar'", map[string]any{"leak_ml_per_min": printed("3.0"), "hole_mm": printed("0.044")}},
		{"drip --caught '0.06 ml' --pressure '7 bar' --seat 10", map[string]any{"seat_rate": "D"}},
		{"drip --drops 12 --pressure '7 bar' --second-drops 24 --second-pressure '14 bar'", map[string]any{"exponent": printed("1.0"), "path": "narrow path"}},
		{"gauge '14 bar'", map[string]any{"scale_least_bar": printed("21.0"), "scale_most_bar": printed("56.0"), "scales_bar": []float64{25, 40}}},
		{"packing --spindle 4.76 --box 9.53 --depth 9.6 --nut '1/2 x 26 brass'",
			map[string]any{"section_mm": printed("2.385"), "ring_length_mm": printed("22.45"), "rings": 4, "order_length_mm": printed("98.8"), "turns_least": printed("2.4"), "turns_most": printed("3.4")}},
		{"packing --spindle 4.76 --box 9.53 --box-depth 12.6 --pitch 0.79375", map[string]any{"rings": 4, "turns_most": printed("4.2")}},
		{"oring --ring '44.17 x 1.78' --squeeze 25 --fill 75", map[string]any{"depth_mm": printed("1.335"), "width_mm": printed("2.49")}},
		{"oring --ring 031 --squeeze 24.1 --port 40", map[string]any{"groove_inside_mm": printed("42.5"), "groove_outside_mm": printed("47.7"), "land_mm": printed("1.3")}},
		{"oring --use sliding --ring 4.47x1.78 --squeeze 15 --spindle 4.76", map[string]any{"groove_outside_mm": printed("7.69"), "stretch_percent": printed("6.5")}},
		{"cure --temperature 8 --screw stainless --into gunmetal", map[string]any{"full_h": printed("110"), "planning_figure": true}},
		{"cure --temperature 8 --screw stainless --into gunmetal --sheet-time '30 h'", map[string]any{"full_h": printed("30.0"), "planned_h": printed("110"), "planning_figure": false}},
		{"hexagon 10", map[string]any{"bar_mm": printed("11.547"), "over_one_flat_mm": printed("10.77")}},
		{"hexagon 10 --over-one-flat 10.9", map[string]any{"left_to_cut_mm": printed("0.13")}},
		{"divide 7", map[string]any{"whole_turns": 5, "holes": 15, "circle": 21, "sector_holes": 16, "possible": true}},
		{"divide 53", map[string]any{"possible": false}},
		{"divide 127", map[string]any{"possible": false, "angle_deg": printed("2.8346")}},
		{"divide 53 --circles '49 53'", map[string]any{"holes": 40, "circle": 53}},
		{"circle --holes 6 --circle 52", map[string]any{"chord_mm": printed("26.0"), "across_mm": printed("52.0")}},
		{"circle --holes 5 --circle 52 --runout 0.12", map[string]any{"across_mm": printed("49.455"), "cross_hole_offset_mm": printed("0.06")}},
		{"quadrant --lever 60 --angle 30", map[string]any{"chord_mm": printed("31.1")}},
		{"quadrant --port 4 --port-radius 5 --lever 60", map[string]any{"angle_deg": printed("60.0"), "chord_mm": printed("60.0")}},
		{"quadrant 60 --angle 90", map[string]any{"chord_mm": printed("84.853"), "arc_mm": printed("94.248")}}, // 60·√2 and 60·π/2
		{"quadrant 60 --chord 60", map[string]any{"angle_deg": printed("60.0"), "arc_mm": printed("62.83")}},   // 60·π/3
		{"hexagon 2 BA", map[string]any{"head_of": "2 BA", "across_flats_mm": printed("8.23")}},                // 0.324 in, as spanners for it are marked
		{"hexagon M4 --bar 8", map[string]any{"across_flats_mm": printed("7.0"), "cut_mm": printed("0.5")}},    // ISO 4017
		{"hexagon 1/4", map[string]any{"across_flats_mm": printed("6.35")}},                                    // a length, and no thread
		{"quadrant --port 4 --port-radius 5", map[string]any{"angle_deg": printed("60.0")}},
		{"gasket --bore 40 --circle 52 --hole 4.5 --inside 40 --outside 47", map[string]any{"land_mm": printed("0.25"), "mean_diameter_mm": printed("43.5")}},
		{"target '6.9 bar' --multiple 2 --hold '30 min' --code club --edition 2018 --inspector Ruth --operator Ana",
			map[string]any{"product_bar": printed("13.8"), "target_bar": printed("13.8"), "alarm_bar": printed("14.49"), "hold_min": printed("30.0")}},
		{"seals '6.9 bar' --material 'PTFE packing'", map[string]any{"limit_c": printed("230.0"), "margin_k": printed("56.5"), "design_c": printed("173.5")}},
		{"seals '6.9 bar' --material anaerobic-high-temperature --sheet-limit 200", map[string]any{"margin_k": printed("26.5")}},
		{"metals '6.9 bar' --metal 60/40brass", map[string]any{"limit_c": printed("150.0"), "margin_k": printed("-23.5")}},
	} {
		s, ok := Find(strings.Fields(row.line)[0])
		require.True(t, ok)
		a, err := s.Work(s.example(row.line), workshop.Tools{})
		require.NoError(t, err, row.line)
		checkAnswer(t, s, a)
		inSchema(t, s, a)
		for name, want := range row.want {
			found := false
			for _, r := range a.Rows {
				if r.Key != name {
					continue
				}
				found = true
				if p, ok := want.(printed); ok {
					_, decimals, _ := strings.Cut(string(p), ".")
					places := len(decimals)
					require.Equal(t, string(p), strconv.FormatFloat(r.Value.(float64), 'f', places, 64), "%s: %s", row.line, name)
				} else {
					require.Equal(t, want, r.Value, "%s: %s", row.line, name)
				}
			}
			require.True(t, found, "%s does not answer %s", row.line, name)
		}
	}
}

// inSchema wants every key of an answer in the schema of its look-up.
func inSchema(t *testing.T, s Sheet, a Answer) {
	t.Helper()
	schema, err := s.Schema()
	require.NoError(t, err)
	items := schema["properties"].(map[string]any)["items"].(map[string]any)["items"].(map[string]any)
	properties := items["anyOf"].([]any)[0].(map[string]any)["properties"].(map[string]any)
	for _, r := range a.Rows {
		if r.Key != "" {
			assert.Contains(t, properties, r.Key, s.Name)
		}
	}
	for _, l := range a.Lists {
		if l.Key != "" {
			assert.Contains(t, properties, l.Key, s.Name)
		}
	}
}

func TestCircleFromADatum(t *testing.T) {
	s, _ := Find("circle")
	a, err := s.Work(map[string]string{"holes": "6", "circle": "52", "x": "100", "y": "50"}, workshop.Tools{})
	require.NoError(t, err)
	second := a.Lists[0].Items[1].Rows
	require.Equal(t, 2, second[0].Value)
	require.InDelta(t, 113.000, second[2].Value, 5e-4)
	require.InDelta(t, 72.517, second[3].Value, 5e-4)
	require.Equal(t, 5, second[4].Value)
}

func TestVerdicts(t *testing.T) {
	for line, want := range map[string]check.Severity{
		"seals '6.9 bar' --material nbr":                                   check.Stop,
		"seals '6.9 bar' --material 'ptfe packing'":                        check.Good,
		"seals '6.9 bar' --material FKM":                                   check.Warn,
		"seals '6.9 bar'":                                                  check.Good, // a table is no check
		"seals '6.9 bar' --material EPDM-peroxide --sheet-limit 200 --oil": check.Stop,
		"seals '6.9 bar' --header unknown":                                 check.Ask,
		"seals '6.9 bar' --header before":                                  check.Warn,
		"seals '6.9 bar' --header after":                                   check.Good,
		"metals '6.9 bar' --metal solder":                                  check.Stop,
		"metals '6.9 bar'":                                                 check.Good,
		"target '6.9 bar' --multiple 2 --target '13.9 bar'":                check.Stop,
		"target '6.9 bar'":                                                 check.Stop,
		"gasket --bore 40 --circle 52 --hole 5.5 --outside 47":             check.Stop,
		"oring --use sliding --inside 4.76 --outside 6 --width 2.4":        check.Stop,
		"oring --inside 42.8 --outside 47.73 --depth 1.335":                check.Good,
		"divide 53":                       check.Stop,
		"hexagon 10 --over-one-flat 10.5": check.Warn,
		"gauge '14 bar' --scale '25 bar' --shown '14 bar' --second-scale '25 bar' --second-shown '13 bar'": check.Stop,
		"air --low '2 bar' --middle '7 bar' --high '14 bar' --first '44.46 ml' --second '15.29 ml'":        check.Warn,
	} {
		s, _ := Find(strings.Fields(line)[0])
		a, err := s.Work(s.example(line), workshop.Tools{})
		require.NoError(t, err, line)
		require.Equal(t, want, a.Verdict(), line)
	}
}

// A bare figure is for the field the sheet is called for, also where a thread may
// stand in place of a length.
func TestBareFigures(t *testing.T) {
	for name, want := range map[string][][2]string{
		"fill": {{"180 psi", "pressure"}}, "leak": {{"0.5 bar", "drop"}}, "drip": {{"60", "drops"}}, "quadrant": {{"60", "lever"}},
		"circle": {{"52", "circle"}}, "packing": {{"3/16", "spindle"}}, "oring": {{"AS568-031", "ring"}}, "gasket": {{"40", "bore"}},
		"cure": {{"8", "temperature"}}, "air": {{"2 bar", ""}},
		"hexagon": {{"10", "flats"}, {"1/4", "flats"}, {"2 BA", "thread"}, {"M4", "thread"}, {"1/4 x 40 ME", "thread"}, {"a tenner", "flats"}},
	} {
		s, ok := Find(name)
		require.True(t, ok)
		for _, w := range want {
			require.Equal(t, w[1], s.Argument(w[0]), "%s %s", name, w[0])
		}
	}
}

// What is marked out with a rule is read to a tenth.
func TestQuadrantIsMarkedOutWithARule(t *testing.T) {
	s, _ := Find("quadrant")
	a, err := s.Work(map[string]string{"lever": "60", "angle": "90"}, workshop.Tools{})
	require.NoError(t, err)
	texts := map[string]string{}
	for _, r := range a.Rows {
		texts[r.Key] = r.Text
	}
	require.Equal(t, map[string]string{"angle_deg": "90°", "lever_mm": "60 mm", "chord_mm": "84.9 mm", "arc_mm": "94.2 mm"}, texts)
}

// Everything a person can type may be wrong; the field that is wrong is named.
func TestMistakes(t *testing.T) {
	shell := "--volume '6 l' --diameter 125 --wall 3 "
	for line, want := range map[string][2]string{ // field, part of the message
		"steam":                              {"", "one of them"},
		"steam 90":                           {"pressure", "no unit"},
		"steam '90 psi abs'":                 {"pressure", "absolute"},
		"steam '90 psi' --temperature 100":   {"", "one of them"},
		"steam '9000 bar'":                   {"", "too large"},
		"steam '-2 bar'":                     {"pressure", "vacuum"},
		"steam '90 psi' --altitude 500":      {"altitude", "no unit"},
		"steam '90 psi' --altitude '9000 m'": {"altitude", "too large"},
		"steam '90 psi' --altitude '500 m' --air-pressure '950 mbar'": {"altitude", "not both"},
		"steam --temperature 500":                                     {"", "too large"},
		"seals":                                                       {"pressure", "missing"},
		"seals '90 bar'":                                              {"", "too large"},
		"seals '-1 bar'":                                              {"", "below zero"},
		"seals '6 bar' --zone tender":                                 {"zone", "unknown zone"},
		"seals '6 bar' --material EPDM":                               {"material", "several things: EPDM, sulphur cured; EPDM, peroxide cured"},
		"seals '6 bar' --sheet-limit 200":                             {"sheet-limit", "name the material"},
		"seals '6 bar' --material 'ptfe packing' --sheet-limit 5000":             {"", "too large"},
		"seals '6 bar' --header sideways":                                        {"header", "before, after"},
		"seals '6 bar' --measured hot":                                           {"measured", "hot"},
		"metals '6 bar' --metal brass":                                           {"metal", "several things: brass, 70 % copper or more"},
		"packing --box 9.53 --depth 10":                                          {"spindle", "missing"},
		"packing --spindle 4.76 --box 9.53":                                      {"depth", "one of them"},
		"quadrant 60":                                                            {"angle", "missing"},
		"hexagon 2 BA --flats 8":                                                 {"thread", "not both"},
		"hexagon 2 BA --sides 4":                                                 {"sides", "6 flats"},
		"hexagon 1/4 x 40 ME":                                                    {"thread", "no hexagon head"},
		"hexagon --thread lots":                                                  {"thread", ""},
		"packing --spindle 4.76 --box 9.53 --depth 10 --box-depth 13":            {"depth", "one of them"},
		"packing --spindle 4.76 --box 9.53 --box-depth 3":                        {"box-depth", "leaves nothing"},
		"packing --spindle 9.53 --box 4.76 --depth 10":                           {"", "not wider"},
		"packing --spindle 4.76 --box 9.53 --depth 10 --nut M":                   {"nut", ""},
		"packing --spindle 4.76 --box 9.53 --depth 10 --nut M4 --pitch 1":        {"nut", "not both"},
		"packing --spindle 4.76 --box 9.53 --depth 10 --material 'ptfe packing'": {"pressure", "give it"},
		"oring":                                                                               {"ring", "give a ring"},
		"oring --ring nonsense":                                                               {"ring", "no ring"},
		"oring --ring 008 --inside 4":                                                         {"inside", "measured groove"},
		"oring --inside 4 --outside 8 --fill 75":                                              {"fill", "chosen ring"},
		"oring --ring 008 --squeeze lots":                                                     {"squeeze", "no number"},
		"oring --ring 008 --squeeze NaN":                                                      {"squeeze", "no number"},
		"oring --ring 008 --use upside":                                                       {"use", "unknown use"},
		"gasket --bore 40 --circle 44 --hole 4.5":                                             {"", "open into the bore"},
		"cure --temperature 2 --screw brass --into brass":                                     {"", "outside the planning"},
		"cure --temperature 20 --screw brass --into brass --gap 1":                            {"", "too wide"},
		"cure --temperature 20 --screw A2 --into chrome":                                      {"", "neither makes"},
		"cure --temperature 20 --screw wood --into chrome":                                    {"screw", "unknown metal"},
		"cure --temperature 20 --screw brass --into brass --sheet-time 24":                    {"sheet-time", "unit"},
		"target '6.9 bar' --multiple 90":                                                      {"", "cannot be meant"},
		"target '6.9 bar' --multiple 0":                                                       {"multiple", "local code"},
		"target '6.9 bar' --multiple two":                                                     {"multiple", "no number"},
		"gauge '14 bar' --scale '25 bar'":                                                     {"", "both"},
		"gauge '500 bar'":                                                                     {"", "too large"},
		"fill --volume '6 l' --diameter 125 --wall 3":                                         {"pressure", "missing"},
		"fill " + shell + "--pressure '14 bar' --air '7 l'":                                   {"", "more than the whole boiler"},
		"fill " + shell + "--pressure '14 bar' --material wood":                               {"material", "unknown"},
		"fill " + shell + "--pressure '14 bar' --pump-bore 9":                                 {"pump-bore", "both"},
		"fill " + shell + "--pressure '14 bar' --pumped '90 l'":                               {"", "more trapped air"},
		"fill " + shell + "--pressure '140 bar'":                                              {"", "too large"},
		"leak " + shell + "--pressure '14 bar' --drop '15 bar' --over '10 min'":               {"", "more than there was"},
		"leak " + shell + "--pressure '14 bar' --drop '-1 bar' --over '10 min'":               {"", "below zero"},
		"leak " + shell + "--pressure '14 bar' --drop '0.5 bar' --over '-10 min'":             {"over", "below zero"},
		"leak " + shell + "--pressure '14 bar' --drop '0.5 bar' --over 10":                    {"over", "unit"},
		"leak " + shell + "--pressure '14 bar' --drop '0.5 bar' --over '10 min' --warmed hot": {"warmed", "no number"},
		"air --low '7 bar' --middle '2 bar' --high '14 bar' --first '6 ml' --second '4 ml'":   {"", "do not rise"},
		"air --low '2 bar' --middle '7 bar' --high '14 bar' --first '6 ml' --second '40 ml'":  {"", "leak or a wrong reading"},
		"drip --pressure '14 bar'":                                                            {"drops", "one of them"},
		"drip --pressure '14 bar' --drops -5":                                                 {"drops", "below zero"},
		"drip --pressure '14 bar' --drops 5 --over '0 s'":                                     {"over", "above zero"},
		"drip --pressure '14 bar' --drops 5 --second-pressure '14 bar' --second-drops 6":      {"", "too near"},
		"drip --pressure '14 bar' --drops 5 --second-pressure '7 bar'":                        {"second-drops", "one of them"},
		"faults F99":                    {"fault", "unknown fault"},
		"hexagon":                       {"", "neither is given"},
		"hexagon 10 --sides 5":          {"", "even number"},
		"hexagon 10 --sides six":        {"sides", "whole number"},
		"hexagon 10 --bar 9":            {"", "not larger"},
		"hexagon 10 --over-one-flat 12": {"", "too large"},
		"divide":                        {"divisions", "missing"},
		"divide 1":                      {"", "too small"},
		"fill --volume 6 --diameter 125 --wall 3 --pressure '14 bar'": {"volume", "millilitres (ml) or litres (l)"},
		"divide 7 --ratio 0":                        {"ratio", "move nothing"},
		"divide 7 --circles '15, many'":             {"circles", "whole number"},
		"circle --holes 0 --circle 52":              {"", "0 bolts"},
		"circle --holes 6 --circle -5":              {"", ""},
		"quadrant":                                  {"", "give the lever"},
		"quadrant --lever 60 --chord 130":           {"", "more than a lever"},
		"quadrant --lever 60 --angle 30 --chord 60": {"chord", "not both"},
		"quadrant --angle 30 --port 4":              {"port", "leave angle"},
		"quadrant --angle 30":                       {"", "lever"},
	} {
		s, ok := Find(strings.Fields(line)[0])
		require.True(t, ok, line)
		_, err := s.Work(s.example(line), workshop.Tools{})
		var field *FieldError
		require.True(t, errors.As(err, &field), "%s: %v", line, err)
		require.Equal(t, want[0], field.Field, "%s: %v", line, err)
		require.ErrorContains(t, err, want[1], line)
	}
	s, _ := Find("divide")
	_, err := s.Work(map[string]string{"divisions": "6", "colour": "red"}, workshop.Tools{})
	require.ErrorContains(t, err, "does not ask this")
}

// Whatever is typed, a sheet answers with figures or with a reason.
func FuzzWork(f *testing.F) {
	sheets := Sheets()
	for i, s := range sheets {
		for _, line := range s.Examples {
			f.Add(i, strings.Join(regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1), "\x1f"))
		}
	}
	f.Fuzz(func(t *testing.T, i int, line string) {
		s := sheets[((i%len(sheets))+len(sheets))%len(sheets)]
		values := map[string]string{}
		words := strings.Split(line, "\x1f")
		for j := 0; j < len(words); j++ {
			if name, ok := strings.CutPrefix(words[j], "--"); ok && j+1 < len(words) {
				values[name] = strings.Trim(words[j+1], "'")
				j++
			} else if name := s.Argument(strings.Trim(words[j], "'")); name != "" {
				values[name] = strings.Trim(words[j], "'")
			}
		}
		a, err := s.Work(values, workshop.Tools{})
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		checkAnswer(t, s, a)
	})
}

// Forms show the defaults; a sheet takes them from its fields and nowhere else.
func TestDefaultsAreReadable(t *testing.T) {
	for _, s := range Sheets() {
		for _, f := range s.Fields {
			require.NotEmpty(t, f.Ask)
			require.LessOrEqual(t, len([]rune(f.Ask)), 50, f.Ask)
			require.Regexp(t, `^[a-z]+(-[a-z]+)*$`, f.Name)
			if f.Required {
				require.Empty(t, f.Default)
			}
			if f.Kind == Choice {
				require.NotEmpty(t, f.Choices())
				if f.Default != "" {
					require.Contains(t, f.Choices(), f.Default)
				}
			}
		}
	}
}

// Every question has a short form for a narrow row, and no two of a sheet's
// read alike.
func TestQuestionsHaveAShortForm(t *testing.T) {
	for _, s := range Sheets() {
		seen := map[string]int{}
		for _, f := range s.Fields {
			short := f.Brief
			if short == "" {
				short = f.Ask
			}
			require.LessOrEqual(t, len([]rune(short)), 26, "%s: %q", s.Name, short)
			seen[short]++
		}
		for short, n := range seen {
			if s.Name != "drip" { // pressures of the first and the second count
				require.Equal(t, 1, n, "%s: %q", s.Name, short)
			}
		}
	}
}
