package checklist

import (
	"bytes"
	"fettle/checklist/source"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const brokenDir = "../testdata/procedures/broken"

// Every file of the folder gives exactly the report beside it. The reports are
// written anew with FETTLE_UPDATE=1, and read by a person before they are kept.
func TestBrokenProcedures(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(brokenDir, "*.toml"))
	require.NoError(t, err)
	require.Greater(t, len(files), 60)
	reports, err := filepath.Glob(filepath.Join(brokenDir, "*.txt"))
	require.NoError(t, err)
	if os.Getenv("FETTLE_UPDATE") == "" {
		require.Len(t, reports, len(files), "a report for every file")
	}
	met := map[string]bool{}
	for _, file := range files {
		name := filepath.Base(file)
		t.Run(name, func(t *testing.T) {
			src, err := os.ReadFile(file)
			require.NoError(t, err)
			p, ds := Read(name, src)
			require.NotEmpty(t, ds)
			var report bytes.Buffer
			require.NoError(t, ds.WriteText(&report))
			requireHarmless(t, report.String())

			golden := strings.TrimSuffix(file, ".toml") + ".txt"
			if os.Getenv("FETTLE_UPDATE") != "" {
				require.NoError(t, os.WriteFile(golden, report.Bytes(), 0o666))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), report.String())

			for _, d := range ds {
				met[d.Rule] = true
				requirePlaceInside(t, src, d)
			}
			if p != nil { // filling in a broken procedure must not panic either
				_, _ = p.Fill(nil)
			}
		})
	}
	for _, rule := range fileRules() {
		require.True(t, met[rule], "no broken file for the rule %s", rule)
	}
	for _, rule := range ownRules() {
		require.True(t, met[rule], "no broken file for the rule %s", rule)
	}
}

// requirePlaceInside says that line and column lie in the file, and that the
// stretch begins there.
func requirePlaceInside(t *testing.T, src []byte, d source.Diagnostic) {
	if d.Line == 0 {
		require.Zero(t, d.Column)
		return
	}
	lines := strings.Split(string(src), "\n")
	require.LessOrEqual(t, d.Line, len(lines))
	line := strings.TrimPrefix(lines[d.Line-1], source.ByteOrderMark)
	require.LessOrEqual(t, d.Column, len([]rune(line))+1, d.String())
	require.LessOrEqual(t, d.End, len(src))
}

func fileRules() []string {
	return []string{
		source.RuleUnreadable, source.RuleLimit, source.RuleFormat, source.RuleUnknownKey, source.RuleMissingKey, source.RuleWrongType, source.RuleEmpty, source.RuleCharacter, source.RuleName,
		source.RuleDuplicate, source.RuleUnknownWord, source.RuleUnknownName, source.RuleExpression, source.RuleValue, source.RuleFigure, source.RuleCircle, source.RuleUnanswered,
	}
}

func ownRules() []string {
	return []string{
		ruleIdleWait, ruleUnusedSetting, ruleUnusedPart, ruleNoConditions, ruleGlandHold, ruleDryFitFirst, ruleNoDryFit,
		ruleTestBeforeCure, ruleTightenCured, ruleNoTime, ruleScrewShort, ruleScrewBottoms, ruleBlindDepth,
		ruleShallowThread, ruleHeadsClash, ruleSqueeze, ruleFill, ruleGaugeScale,
	}
}
