package recipes_test

import (
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/recipes"
	"fettle/threads/check"
)

// A set is one engine that a bundled procedure must fit without a finding.
type set struct {
	name   string
	values map[string]string
}

// sets lists the engines each procedure is tried on, beside its defaults.
func sets() map[string][]set {
	return map[string][]set{
		"regulator.toml":             regulatorSets(),
		"top-feed.toml":              topFeedSets(),
		"wet-header.toml":            headerSets(),
		"workshop-damaged-hole.toml": damagedHoleSets(),
		"workshop-open-boiler.toml":  openBoilerSets(),
		"workshop-sheared.toml":      shearedSets(),
		"gland.toml":                 glandSets(),
		"hydraulic.toml":             hydraulicSets(),
	}
}

func files(t *testing.T) []string {
	t.Helper()
	names, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	return names
}

func read(t *testing.T, name string) *checklist.Procedure {
	t.Helper()
	src, err := fs.ReadFile(recipes.FS(), name)
	require.NoError(t, err)
	p, found := checklist.Check(name, src, checklist.NewLibrary(recipes.FS()))
	require.NotNil(t, p)
	require.Empty(t, found, "%s with its defaults", name)
	return p
}

// each calls do with every procedure filled in with its defaults (where every
// setting has one) and with each of its sets.
func each(t *testing.T, do func(t *testing.T, f *checklist.Filled)) {
	t.Helper()
	for _, name := range files(t) {
		p := read(t, name)
		all := sets()[name]
		require.GreaterOrEqual(t, len(all), 3, "%s wants three engines to be tried on", name)
		if !slices.ContainsFunc(p.Settings, func(s checklist.Setting) bool { return !s.HasDefault }) {
			all = append([]set{{name: "defaults"}}, all...)
		}
		for _, s := range all {
			t.Run(name+"/"+s.name, func(t *testing.T) {
				filled, found := p.Fill(s.values)
				require.Empty(t, found)
				do(t, filled)
			})
		}
	}
}

func TestNoFindingsOnAnyEngine(t *testing.T) {
	each(t, func(t *testing.T, f *checklist.Filled) {
		require.NotEmpty(t, f.Steps())
		for _, text := range texts(f) {
			require.NotContains(t, text, "${")
			require.NotContains(t, text, "[", "a figure that could not be worked out")
		}
	})
}

// Sets must differ from the defaults and from each other: three names for the
// same engine prove nothing.
func TestSetsAreDifferentEngines(t *testing.T) {
	for name, all := range sets() {
		for i, s := range all {
			require.NotEmpty(t, s.values, "%s %s", name, s.name)
			for _, other := range all[:i] {
				require.False(t, maps.Equal(s.values, other.values), "%s: %s is %s", name, s.name, other.name)
			}
		}
	}
}

// Every answer offered is one the sums understand. What the trade says against
// some of them (steel in a wet hole) is another matter.
func TestEveryChoiceIsUnderstood(t *testing.T) {
	for _, name := range files(t) {
		p := read(t, name)
		for _, s := range p.Settings {
			for _, choice := range s.Choices {
				values := maps.Clone(sets()[name][0].values)
				values[s.Name] = choice
				_, found := p.Fill(values)
				for _, d := range found {
					require.NotContains(t, []string{"value", "unknown-name", "unknown-word", "expression"}, d.Rule, "%s %s: %s", name, s.Name, d.Message)
				}
			}
		}
	}
}

// A title stands on one line of the narrowest screen. That the rest of a step fits it,
// the tests of the screen hold on the screen itself.
func TestTitlesFitASmallScreen(t *testing.T) {
	const columns = 38
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			require.LessOrEqual(t, len([]rune(step.Title)), columns, "title of %s", step.ID)
		}
	})
}

// withRecalled is f after the readings that later limits are made of.
func withRecalled(t *testing.T, f *checklist.Filled) *checklist.Filled {
	readings, values := map[string]string{}, map[string]string{}
	for _, step := range f.Steps() {
		for _, r := range step.Readings {
			if f.Procedure.Recalls(r.Name) {
				readings[r.Name] = "3"
			}
		}
	}
	for _, v := range f.Values {
		values[v.Name] = v.Text
	}
	after, found := f.Procedure.FillMeasured(values, readings)
	require.Empty(t, found)
	return after
}

// A number that is read has something it is compared with, but for the few that
// only tell the next fitter how things were.
func TestReadingsHaveLimits(t *testing.T) {
	each(t, func(t *testing.T, f *checklist.Filled) {
		f = withRecalled(t, f)
		for _, step := range f.Steps() {
			for _, r := range step.Readings {
				if r.Unit == "text" || r.Unit == "choice" || r.Unit == "thread" || r.Unit == "yes-no" && r.Sets != "" {
					continue
				}
				require.True(t, r.Nominal.Given || r.Low.Given || r.High.Given, "reading %s of %s", r.Name, step.ID)
			}
		}
	})
}

// What is wanted is itself within the limits: anything else cannot be read.
func TestWantedValuesAreWithinTheirLimits(t *testing.T) {
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			for _, r := range step.Readings {
				if r.Nominal.Given {
					judged, err := r.Judge(r.Nominal.Text)
					require.NoError(t, err)
					require.True(t, judged.OK, "reading %s of %s: %s", r.Name, step.ID, judged.Text)
				}
			}
		}
	})
}

// What went in comes out again, by number: one more or one less is a stop. The
// count that came out is compared with the count that went in, in a later step.
func TestCountsComeBack(t *testing.T) {
	back := map[string]map[string]string{ // reading that counts out: reading that counted in
		"regulator.toml":             {"out": "in"},
		"top-feed.toml":              {"out": "in", "caps_off": "caps"},
		"wet-header.toml":            {"cards_out": "in", "plugs_out": "plugs_in", "blanks_removed": "blanks_on"},
		"gland.toml":                 {"out": "in"},
		"hydraulic.toml":             {"blanks_removed": "blanks_on"},
		"workshop-damaged-hole.toml": {"out": "in"},
		"workshop-open-boiler.toml":  {"pads_out": "pad_in", "plugs_off": "plugs_in", "tools_back": "tools_out"},
		"workshop-sheared.toml":      {"out": "in"},
	}
	for _, name := range files(t) {
		p := read(t, name)
		values := sets()[name][0].values
		if name == "wet-header.toml" {
			values = map[string]string{"test_pressure": "120 psi"} // blanks are fitted there
		}
		for out, in := range back[name] {
			f, found := p.FillMeasured(values, map[string]string{in: "5"})
			require.Empty(t, found)
			var at *checklist.FilledStep
			var r checklist.FilledReading
			for _, step := range f.Steps() {
				for _, x := range step.Readings {
					if x.Name == out {
						at, r = step, x
					}
				}
			}
			require.NotNil(t, at, "%s %s", name, out)
			for value, ok := range map[string]bool{"5": true, "4": false, "6": false} {
				judged, err := r.Judge(value)
				require.NoError(t, err)
				require.Equal(t, ok, judged.OK, "%s %s %s", name, out, value)
				if !ok {
					require.Equal(t, check.Stop, judged.Severity, "%s %s", name, out)
				}
			}
		}
	}
}

// The tally has to balance where an opening is closed: at the hold or the last
// look before it, and again where it is closed for good.
func TestOpeningsAreClosedByName(t *testing.T) {
	closed := map[string]map[string][]string{
		"regulator.toml":             {"regulator": {"tally-out", "fingers"}},
		"top-feed.toml":              {"barrel": {"tally-out", "fingers"}},
		"wet-header.toml":            {"header": {"tally-out", "header-on"}, "tubes": {"blanks-off"}},
		"gland.toml":                 {"gland": {"tally-out", "first-ring"}},
		"hydraulic.toml":             {"boiler": {"fill"}},
		"workshop-damaged-hole.toml": {"hole": {"clear"}},
		"workshop-open-boiler.toml":  {"hole": {"pad-out"}},
		"workshop-sheared.toml":      {"hole": {"guard-out"}},
	}
	for _, name := range files(t) {
		f, found := read(t, name).Fill(sets()[name][0].values)
		require.Empty(t, found)
		have := map[string][]string{}
		for _, step := range f.Steps() {
			if step.Closes != "" {
				have[step.Closes] = append(have[step.Closes], step.ID)
			}
		}
		require.Equal(t, closed[name], have, name)
		// Whoever puts the first thing in is told what the opening is called.
		for opening := range have {
			if opening == "boiler" {
				continue // filled with water; nothing is put in before
			}
			require.True(t, slices.ContainsFunc(f.Steps(), func(step *checklist.FilledStep) bool {
				return slices.ContainsFunc(step.Notes, func(n string) bool { return strings.Contains(n, "the opening "+opening) })
			}), "%s: no step says that the opening is called %s", name, opening)
		}
	}
}

// The cure that the container's sheet wants is waited for beside the planned
// one, whichever is longer; until the container is in the hand it is not known.
func TestSheetTimeIsWaitedForToo(t *testing.T) {
	for name, i := range map[string]int{"regulator.toml": 0, "top-feed.toml": 1, "wet-header.toml": 0} {
		p := read(t, name)
		values := sets()[name][i].values
		f, found := p.Fill(values)
		require.Empty(t, found)
		require.Zero(t, f.Step("cure-sheet").Wait, name)
		planned := f.Step("cure").Wait
		f, found = p.FillMeasured(values, map[string]string{"sheet_time": "96 h"})
		require.Empty(t, found)
		require.Equal(t, 96*time.Hour, f.Step("cure-sheet").Wait, name)
		require.Equal(t, planned, f.Step("cure").Wait, "the planned time stays: %s", name)
		require.Subset(t, before(f, "low-water"), []string{"cure", "cure-sheet"}, name)
		require.Equal(t, f.Step("cure").Needs, f.Step("cure-sheet").Needs, "both count from the same moment: %s", name)
	}
}

// Every joint is tried dry before anything goes on it that cannot come off.
func TestDryFitComesBeforeSealing(t *testing.T) {
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			if step.Kind != "seal" {
				continue
			}
			require.True(t, slices.ContainsFunc(before(f, step.ID), func(id string) bool {
				return f.Step(id).Kind == "dry-fit"
			}), "step %s seals, and no dry fit comes before it", step.ID)
		}
	})
}

// The beginner is told why wherever something is sealed, tightened, tested,
// decided or waited for.
func TestStepsThatMatterSayWhy(t *testing.T) {
	each(t, func(t *testing.T, f *checklist.Filled) {
		for _, step := range f.Steps() {
			switch step.Kind {
			case "seal", "tighten", "test", "decide", "wait", "dry-fit":
				require.NotEmpty(t, step.Why, "step %s", step.ID)
			}
		}
	})
}

// Beside each step stands where its claims come from, if only "practice": common
// practice, no source. Steps that only write things down claim nothing.
func TestEveryStepSaysWhereItComesFrom(t *testing.T) {
	comment := regexp.MustCompile(`(?m)^# *[^- ]`)
	stages := regexp.MustCompile(`(?m)^(# -+|\[\[stage\]\])$`)
	for _, name := range files(t) {
		src, err := fs.ReadFile(recipes.FS(), name)
		require.NoError(t, err)
		for _, step := range strings.Split(string(src), "[[stage.step]]")[1:] {
			if at := stages.FindStringIndex(step); at != nil {
				step = step[:at[0]]
			}
			if !strings.Contains(step, `kind = "record"`) {
				require.Regexp(t, comment, step, name)
			}
		}
	}
}

// How high, how long and before whom is the local code's to say.
func TestNoTestMultipleIsWritten(t *testing.T) {
	multiple := regexp.MustCompile(`(?i)(\b(1[.,½]\d*|2|two|twice|double|one and a half)\s*(×|x|times)?\s*(the )?working pressure)|(times (the )?working pressure)`)
	for _, name := range files(t) {
		src, err := fs.ReadFile(recipes.FS(), name)
		require.NoError(t, err)
		for i, line := range strings.Split(string(src), "\n") {
			if text, _, comment := strings.Cut(line, "#"); !comment || strings.TrimSpace(text) != "" {
				require.NotRegexp(t, multiple, line, "%s line %d", name, i+1)
			}
		}
	}
}

// before lists every step that must be done before the one with that id.
func before(f *checklist.Filled, id string) []string {
	seen := map[string]bool{}
	var walk func(string)
	walk = func(id string) {
		step := f.Step(id)
		if step == nil {
			return
		}
		for _, need := range step.Needs {
			if !seen[need] {
				seen[need] = true
				walk(need)
			}
		}
	}
	walk(id)
	return slices.Sorted(maps.Keys(seen))
}

// texts is everything a fitter can come to read.
func texts(f *checklist.Filled) []string {
	list := []string{f.Title, f.About}
	p := f.Preliminary
	for _, lines := range [][]string{p.Conditions, p.Persons, p.Equipment, p.Supplies, p.Spares, p.Warnings, p.Cautions, p.Notes} {
		list = append(list, lines...)
	}
	for _, step := range f.Steps() {
		list = append(list, step.Title, step.Do, step.Why, step.Hold, step.Witness)
		list = append(list, step.Warnings...)
		list = append(list, step.Cautions...)
		list = append(list, step.Notes...)
		for _, r := range step.Readings {
			list = append(list, r.Ask)
		}
	}
	return list
}
