package cli

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"fettle/threads/check"
	"fettle/threads/fastening"
)

// call runs one command line in an empty environment.
func call(t testing.TB, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	var out, err bytes.Buffer
	code = Run(args, Env{
		Stdin: strings.NewReader(""), Stdout: &out, Stderr: &err, Getenv: func(string) string { return "" },
		Now: time.Now, ConfigDir: t.TempDir(), StateDir: t.TempDir(),
	})
	return out.String(), err.String(), code
}

var jointArgs = []string{
	"joint", "--bolts", "6", "--thread", "M4", "--grade", "A2-70", "--circle", "52", "--bore", "40", "--gasket", "graphite",
	"--ring", "40 x 47", "--pressure", "14 bar", "--into", "gunmetal", "--depth", "6", "--cover", "5", "--cover-metal", "brass",
}

// Text for the bench fits a phone: 40 columns.
func TestFasteningTextFitsFortyColumns(t *testing.T) {
	calls := [][]string{
		jointArgs,
		append(append([]string{}, jointArgs...), "--wet", "--grade", "8.8", "--head", "countersunk", "--sources"),
		{"rescue", "M4", "--hole", "3.81", "--into", "gunmetal", "--depth", "8", "--wet", "--all", "--sources"},
		{"rescue", "2 BA", "--hole", "4.46", "--into", "copper", "--depth", "6", "--edge", "5", "--next", "9", "--cover-hole", "5", "--gasket-edge", "2", "--head-room", "8", "--tap", "M6", "--all"},
		{"rescue", "1/4 x 40 ME", "--sheared"},
	}
	for _, g := range fastening.Grades() {
		calls = append(calls, []string{"torque", "M14", "--grade", g.Name, "--into", "cast phosphor bronze", "--depth", "11.1", "--head", "countersunk", "--sources"})
	}
	for _, args := range calls {
		out, errText, _ := call(t, args...)
		require.Empty(t, errText, "%v", args)
		for _, line := range strings.Split(out, "\n") {
			require.LessOrEqual(t, utf8.RuneCountInString(line), 40, "%v: %q", args, line)
		}
		require.Contains(t, strings.Join(strings.Fields(out), " "), check.Deference)
	}
}

// The keys other programs rely on.
func TestFasteningJSONKeys(t *testing.T) {
	keys := func(list ...string) []string { return list }
	for _, c := range []struct {
		args []string
		keys []string
	}{
		{[]string{"torque", "M4", "--grade", "A2-70", "--json"}, keys("preload_kn", "torque_nm", "friction", "utilisation", "limited_by", "strip_kn", "sources")},
		{[]string{"rescue", "M4", "--hole", "3.81", "--into", "gunmetal", "--depth", "8", "--json"}, keys("options")},
		{append(append([]string{}, jointArgs...), "--json"), keys("hydrostatic_n", "operating_n", "seating_n", "per_bolt_n", "preload_per_bolt_n", "reserve", "verdict", "order", "findings")},
	} {
		out, _, _ := call(t, c.args...)
		got := answered(t, out).(map[string]any)
		for _, k := range c.keys {
			require.Contains(t, got, k, "%v", c.args)
		}
		require.Equal(t, check.Deference, got["advice"])
		if c.args[0] != "rescue" {
			continue
		}
		for _, o := range got["options"].([]any) {
			option := o.(map[string]any)
			for _, k := range keys("kind", "thread", "tap_drill", "engagement_percent", "cleanup_percent", "strip_ratio", "verdict", "consequences") {
				require.Contains(t, option, k)
			}
			require.Contains(t, []any{"chase", "longer", "next-size", "insert", "bush"}, option["kind"])
			require.Contains(t, []any{"stop", "warn", "ask", "note", "good"}, option["verdict"])
			drill := option["tap_drill"].(map[string]any)
			require.Contains(t, drill, "drill")
			require.Contains(t, drill, "diameter_mm")
		}
	}
}

func TestFlow(t *testing.T) {
	var b strings.Builder
	flow(&b, 2, 4, strings.Repeat("nine char ", 9))
	for _, line := range strings.Split(strings.TrimSpace(b.String()), "\n") {
		require.LessOrEqual(t, len(line), benchWidth)
	}
	require.True(t, strings.HasPrefix(b.String(), "  nine"))
	require.Contains(t, b.String(), "\n    ")
	b.Reset()
	flow(&b, 0, 0, "   ")
	require.Empty(t, b.String())
}
