package cli

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"fettle/threads"
)

// Whatever thread is asked for, the answer keeps to 40 columns and leaves room for
// the command and the prompt on a screen of 24 rows.
func TestThreadAnswersFitTheBench(t *testing.T) {
	all := threads.All()
	for _, name := range []string{"M5.3x0.6", "7/32 x 36 Whit", "1/4-24 UNS", "3.3 x 0.6 BA form"} {
		th, err := threads.Parse(name)
		require.NoError(t, err)
		all = append(all, th)
	}
	for _, th := range all {
		var out bytes.Buffer
		threadQuery{}.write(&out, th)
		text := strings.TrimSuffix(out.String(), "\n")
		lines := strings.Split(text, "\n")
		require.LessOrEqual(t, len(lines), 22, "%s:\n%s", th, text)
		for _, s := range lines {
			require.LessOrEqual(t, utf8.RuneCountInString(s), benchWidth, "%s: %q", th, s)
			require.Equal(t, strings.TrimRight(s, " "), s, "%s", th)
		}
	}
}

// The keys that scripts rely on are there for every thread, except limits, which
// are left out where no source gives them.
func TestThreadJSONKeys(t *testing.T) {
	for _, th := range threads.All() {
		v, err := threadQuery{}.json(th)
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, writeJSON(&out, v), th)
		var m map[string]any
		require.NoError(t, json.Unmarshal(out.Bytes(), &m))
		for _, key := range []string{
			"designation", "series", "form", "major_mm", "pitch_mm", "tpi", "pitch_diameter_mm", "minor_internal_mm", "minor_external_mm",
			"stress_area_mm2", "tap_drill", "tap_drills", "clearance", "heads", "spanner_mm", "sources",
		} {
			require.Contains(t, m, key, th)
		}
		if th.Tapped() {
			drill := m["tap_drill"].(map[string]any)
			for _, key := range []string{"drill", "diameter_mm", "engagement_percent", "source"} {
				require.Contains(t, drill, key, th)
			}
			require.NotEmpty(t, m["tap_drills"], th)
		} else {
			require.Nil(t, m["tap_drill"], th)
			require.Empty(t, m["tap_drills"], th)
		}
		for _, key := range []string{"fine_mm", "medium_mm", "coarse_mm", "source"} {
			require.Contains(t, m["clearance"], key, th)
		}
		require.NotEmpty(t, m["sources"], th)
		if _, ok := th.Limits(); ok {
			l := m["limits"].(map[string]any)
			if th.Series == threads.PipeRp { // a hole without a screw of its own
				require.Nil(t, l["external"])
			} else {
				require.Contains(t, l["external"], "pitch_diameter_min_mm")
			}
			if l["external"] != nil && th.Series == threads.MetricOther && th.Major < 1 { // a screw whose hole has none here
				require.Nil(t, l["internal"])
			} else {
				require.Contains(t, l["internal"], "minor_max_mm")
			}
		} else {
			require.NotContains(t, m, "limits")
		}
	}
}
