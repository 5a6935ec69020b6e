package job

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
)

// hazard is a row of testdata/hazards.toml.
type hazard struct {
	ID    string   `toml:"id"`
	What  string   `toml:"what"`  // who is hurt or what is spoilt, and how
	Where string   `toml:"where"` // the part of the job that was looked at
	Guide string   `toml:"guide"` // the guide word of IEC 61882 by which it was found
	Rule  Rule     `toml:"rule"`  // what stops it
	Tests []string `toml:"tests"` // scenarios, see scenarios; of another package, its tests
	Trial string   `toml:"trial"` // J1 to J32: a trial got past it
	// Elsewhere is the folder of what stops it, where that is no rule of rule.go. Its
	// tests are scenarios, which are played whole, or tests of that package, which are
	// only looked for.
	Elsewhere string `toml:"elsewhere"`
	Awaited   bool   `toml:"awaited"` // that package does not have the test yet
}

// guideWords are those of IEC 61882:2016, table 1 (from memory; the standard was
// not at hand).
var guideWords = []string{"no", "more", "less", "as well as", "part of", "reverse", "other than", "early", "late", "before", "after"}

// parts of a job that were gone through with each guide word.
var hazardPlaces = []string{"hold", "reading", "step", "gate", "wait", "cure", "clock", "sheet", "test", "finding", "danger", "called job", "copies", "log", "list", "answer", "screen", "folder", "procedure"}

func hazards(t testing.TB) []hazard {
	var table struct {
		Hazard []hazard `toml:"hazard"`
	}
	meta, err := toml.DecodeFile("../../testdata/hazards.toml", &table)
	require.NoError(t, err)
	require.Empty(t, meta.Undecoded(), "keys that no row has")
	return table.Hazard
}

// scenarios are all of them, by name.
func scenarios(t testing.TB) map[string]func(*scene) {
	all := map[string]func(*scene){}
	for _, group := range []map[string]func(*scene){holdScenarios, apartScenarios, stepScenarios, testScenarios, timeScenarios, calledScenarios} {
		for name, scenario := range group {
			require.NotContains(t, all, name, "two scenarios of one name")
			all[name] = scenario
		}
	}
	return all
}

// rules are those of rule.go.
func rules(t testing.TB) []Rule {
	source, err := os.ReadFile("rule.go")
	require.NoError(t, err)
	var list []Rule
	for _, m := range regexp.MustCompile(`(?m)^\tRule\w+ +Rule = "([^"]+)"`).FindAllSubmatch(source, -1) {
		list = append(list, Rule(m[1]))
	}
	require.Greater(t, len(list), 50, "rule.go is read as it is written")
	return list
}

// Every scenario is stopped by the judgement, and of every row one at least is not
// once its rule is taken out.
func TestHazards(t *testing.T) {
	all := scenarios(t)
	for name, scenario := range all {
		t.Run(name, func(t *testing.T) {
			result := try(t, "", scenario)
			require.Empty(t, result.broke, "the scenario does not work")
			require.Empty(t, result.danger, "somebody can be hurt")
		})
	}
	for _, row := range hazards(t) {
		if row.Elsewhere != "" {
			continue
		}
		t.Run(row.ID+" without "+string(row.Rule), func(t *testing.T) {
			held := false
			for _, name := range row.Tests {
				require.Contains(t, all, name)
				result := try(t, row.Rule, all[name])
				held = held || result.danger != "" && result.broke == ""
			}
			require.True(t, held, "nobody is hurt without the rule: the tests of the row do not hold it")
		})
	}
}

// The table says what it has to, of every rule and of every trial.
func TestHazardTable(t *testing.T) {
	all, known := scenarios(t), rules(t)
	met, used, ruled, trials := map[string]bool{}, map[string]bool{}, map[Rule]bool{}, map[string]bool{}
	elsewhere := 0
	for _, row := range hazards(t) {
		require.Regexp(t, `^[a-z]+(-[a-z]+)+$`, row.ID, "ids are words")
		require.False(t, met[row.ID], row.ID)
		met[row.ID] = true
		require.True(t, strings.HasSuffix(row.What, ".") && strings.Count(row.What, ". ") == 0, "%s: one sentence", row.ID)
		require.Contains(t, hazardPlaces, row.Where, row.ID)
		require.Contains(t, guideWords, row.Guide, row.ID)
		require.NotEmpty(t, row.Tests, row.ID)
		if row.Trial != "" {
			require.Regexp(t, `^J([1-9]|[12][0-9]|3[0-2])$`, row.Trial, row.ID)
			trials[row.Trial] = true
		}
		if row.Elsewhere == "" {
			require.Contains(t, known, row.Rule, row.ID)
			ruled[row.Rule] = true
		} else {
			elsewhere++
			require.Empty(t, row.Rule, row.ID)
		}
		for _, name := range row.Tests {
			if row.Elsewhere != "" && strings.HasPrefix(name, "Test") {
				require.Equal(t, !row.Awaited, slices.Contains(testsOf(t, row.Elsewhere), name), "%s: %s", row.ID, name)
				continue
			}
			require.Contains(t, all, name, row.ID)
			used[name] = true
		}
	}
	for name := range all {
		require.True(t, used[name], "%s stands in no row", name)
	}
	for _, rule := range known {
		require.True(t, ruled[rule], "%s stops nothing: it stands in no row", rule)
	}
	for i := range 32 {
		require.True(t, trials[fmt.Sprint("J", i+1)], "J%d", i+1)
	}
	require.LessOrEqual(t, elsewhere, 9, "what stops somebody is a rule, if it can be")
}

// testsOf are the names of the tests of a package.
func testsOf(t testing.TB, dir string) (names []string) {
	files, err := filepath.Glob(filepath.Join("..", "..", dir, "*_test.go"))
	require.NoError(t, err)
	require.NotEmpty(t, files, dir)
	for _, file := range files {
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`(?m)^func (Test\w+)\(`).FindAllSubmatch(source, -1) {
			names = append(names, string(m[1]))
		}
	}
	return names
}
