package cli

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The JSON of the look-ups is a contract: programs read it by its keys. What each of
// these lines answers is kept in testdata/lookups.golden, the line first and then its
// JSON in one line, and compared key by key; the order of keys is free.
const lookUpLines = "testdata/lookups.golden"

// words takes a line apart as a shell does, for plain words and 'quoted ones'.
func words(line string) (list []string) {
	for _, word := range regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1) {
		list = append(list, strings.Trim(word, "'"))
	}
	return list
}

func TestLookUpJSONStays(t *testing.T) {
	src, err := os.ReadFile(lookUpLines)
	require.NoError(t, err)
	update := os.Getenv("FETTLE_UPDATE") != ""
	var kept strings.Builder
	lines := bufio.NewScanner(strings.NewReader(string(src)))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		line, ok := strings.CutPrefix(lines.Text(), "$ ")
		if !ok {
			continue
		}
		out, errText, _ := call(t, append(words(line), "--json")...)
		require.Empty(t, errText, line)
		got := answered(t, out)
		text, err := json.Marshal(got)
		require.NoError(t, err)
		fmt.Fprintf(&kept, "$ %s\n%s\n", line, text)
		if update {
			continue
		}
		require.True(t, lines.Scan(), line)
		var want any
		require.NoError(t, json.Unmarshal(lines.Bytes(), &want), line)
		sameKeys(t, line, want, got)
	}
	if update {
		require.NoError(t, os.WriteFile(lookUpLines, []byte(kept.String()), 0o666))
	}
}

// answered is what a look-up answered: one answer, or a list of several.
func answered(t *testing.T, out string) any {
	t.Helper()
	var got any
	require.NoError(t, json.Unmarshal([]byte(out), &got), out)
	return got
}

// sameKeys compares two answers key by key and names the way to what differs.
func sameKeys(t *testing.T, at string, want, got any) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		require.True(t, ok, "%s: %v is no object", at, got)
		for key := range g {
			require.Contains(t, w, key, "%s: a key that was not there", at)
		}
		for key, v := range w {
			require.Contains(t, g, key, "%s: a key is gone", at)
			sameKeys(t, at+" ."+key, v, g[key])
		}
	case []any:
		g, ok := got.([]any)
		require.True(t, ok, "%s: %v is no list", at, got)
		require.Len(t, g, len(w), at)
		for i := range w {
			sameKeys(t, fmt.Sprintf("%s[%d]", at, i), w[i], g[i])
		}
	default:
		require.Equal(t, want, got, at)
	}
}

// Hole 1 stands at the same place in a joint, in a circle of holes and, as a procedure
// without a "start" says, in a job.
func TestHoleOneStandsInOnePlace(t *testing.T) {
	type holes struct {
		Holes []struct {
			Number int
			Angle  float64 `json:"angle_deg"`
		}
	}
	var joint, circle holes
	out, _, _ := call(t, append(jointArgs, "--json")...)
	require.NoError(t, json.Unmarshal([]byte(out), &joint), out)
	out, _, _ = call(t, "boiler", "circle", "52", "--holes", "6", "--json")
	require.NoError(t, json.Unmarshal([]byte(out), &circle), out)
	require.Equal(t, circle, joint)
	require.Zero(t, joint.Holes[0].Angle)
	format, _, _ := call(t, "procedure", "schema")
	require.Contains(t, format, "0 is to the right, 90 on top, counted anticlockwise. Without it, 0.")
}
