package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/require"

	"fettle/checklist/lookup"
	"fettle/checklist/workshop"
	"fettle/threads"
)

// example runs one example of a sheet.
func example(t *testing.T, sheet lookup.Sheet, line string, more ...string) (code int, stdout, stderr string) {
	t.Helper()
	stdout, stderr, code = call(t, append(words(strings.TrimSpace(sheet.Group+" "+line)), more...)...)
	return code, stdout, stderr
}

// Every example of every look-up, as people read it at the bench and as JSON.
func TestExamplesAtTheBench(t *testing.T) {
	for _, sheet := range lookup.Sheets() {
		if sheet.Name == "sheared" {
			continue // asked by rescue --sheared
		}
		for _, line := range sheet.Examples {
			code, text, stderr := example(t, sheet, line)
			require.Contains(t, []int{exitFine, exitFound}, code, "%s: %s", line, stderr)
			require.Empty(t, stderr)
			for _, l := range strings.Split(text, "\n") {
				require.LessOrEqual(t, runewidth.StringWidth(l), benchWidth, "%s: %q", line, l)
				require.Equal(t, strings.TrimRight(l, " "), l, "%s: %q", line, l)
			}
			require.NotContains(t, text, "\x1b")

			again, out, _ := example(t, sheet, line, "--json")
			require.Equal(t, code, again)
			keys := answered(t, out).(map[string]any)
			for _, key := range []string{"verdict", "findings", "sources"} {
				require.Contains(t, keys, key, line)
			}
			require.NotContains(t, out, `\u003c`)
			require.Equal(t, code == exitFound, keys["verdict"] == "stop", line)
		}
	}
}

func TestFlagsAreTheSheetsFields(t *testing.T) {
	for _, sheet := range lookup.Sheets() {
		if sheet.Name == "sheared" {
			continue // asked by rescue --sheared
		}
		path := words(strings.TrimSpace(sheet.Group + " " + sheet.Name))
		cmd, _, err := rootCommand(Env{}, io.Discard, path).Find(path)
		require.NoError(t, err)
		require.Equal(t, sheet.Name, cmd.Name())
		for _, field := range sheet.Fields {
			names := []string{field.Name}
			if field.Flags {
				names = field.Choices()
			}
			for _, name := range names {
				require.NotNil(t, cmd.Flags().Lookup(name), "%s --%s", sheet.Name, name)
			}
		}
	}
}

// Whatever thread is asked for, the answer keeps to 40 columns and leaves room for
// the command and the prompt on a screen of 24 rows, and its JSON has the keys that
// programs rely on.
func TestThreadAnswersFitTheBench(t *testing.T) {
	all := threads.All()
	for _, name := range []string{"M5.3x0.6", "7/32 x 36 Whit", "1/4-24 UNS", "3.3 x 0.6 BA form"} {
		th, err := threads.Parse(name)
		require.NoError(t, err)
		all = append(all, th)
	}
	sheet, _ := lookup.Find("thread")
	for _, th := range all {
		answer, err := sheet.Work(map[string]string{"thread": th.String()}, workshop.Tools{})
		require.NoError(t, err)
		var out bytes.Buffer
		writeAnswer(&out, answer, false, false)
		text := strings.TrimSuffix(out.String(), "\n")
		lines := strings.Split(text, "\n")
		require.LessOrEqual(t, len(lines), 22, "%s:\n%s", th, text)
		for _, s := range lines {
			require.LessOrEqual(t, utf8.RuneCountInString(s), 40, "%s: %q", th, s)
			require.Equal(t, strings.TrimRight(s, " "), s, "%s: %q", th, s)
		}
		threadKeys(t, th, answer)
	}
}

func threadKeys(t *testing.T, th threads.Thread, answer lookup.Answer) {
	out, err := answer.MarshalJSON()
	require.NoError(t, err)
	var m map[string]any
	require.NoError(t, json.Unmarshal(out, &m))
	has := func(of any, keys ...string) {
		for _, key := range keys {
			require.Contains(t, of, key, th)
		}
	}
	has(m, "designation", "series", "form", "major_mm", "pitch_mm", "tpi", "pitch_diameter_mm", "minor_internal_mm", "minor_external_mm",
		"stress_area_mm2", "tap_drill", "tap_drills", "clearance", "heads", "spanner_mm", "sources")
	if th.Tapped() {
		has(m["tap_drill"], "drill", "diameter_mm", "engagement_percent", "source")
		require.NotEmpty(t, m["tap_drills"], th)
	} else {
		require.Nil(t, m["tap_drill"], th)
		require.Empty(t, m["tap_drills"], th)
	}
	has(m["clearance"], "fine_mm", "medium_mm", "coarse_mm", "source")
	require.NotEmpty(t, m["sources"], th)
	if _, ok := th.Limits(); !ok {
		require.NotContains(t, m, "limits")
		return
	}
	l := m["limits"].(map[string]any)
	if th.Series == threads.PipeRp { // a hole without a screw of its own
		require.Nil(t, l["external"])
	} else {
		has(l["external"], "pitch_diameter_min_mm")
	}
	if l["external"] != nil && th.Series == threads.MetricOther && th.Major < 1 { // a screw whose hole has none here
		require.Nil(t, l["internal"])
	} else {
		has(l["internal"], "minor_max_mm")
	}
}
