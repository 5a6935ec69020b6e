package cli

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
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

// answered are the answers in the JSON of a look-up, one for each question; a single
// one stands alone in the file.
func answered(t *testing.T, out string) any {
	t.Helper()
	var got struct {
		Format string
		Items  []any
	}
	require.True(t, strings.HasPrefix(out, "{\n  \"format\": \"fettle."), out)
	require.NoError(t, json.Unmarshal([]byte(out), &got), out)
	if len(got.Items) == 1 {
		return got.Items[0]
	}
	return got.Items
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
		Items []struct {
			Holes []struct {
				Number int
				Angle  float64 `json:"angle_deg"`
			}
		}
	}
	var joint, circle holes
	out, _, _ := call(t, append(jointArgs, "--json")...)
	require.NoError(t, json.Unmarshal([]byte(out), &joint), out)
	out, _, _ = call(t, "boiler", "circle", "52", "--holes", "6", "--json")
	require.NoError(t, json.Unmarshal([]byte(out), &circle), out)
	require.Equal(t, circle, joint)
	require.Zero(t, joint.Items[0].Holes[0].Angle)
	format, _, _ := call(t, "procedure", "schema")
	require.Contains(t, format, "0 is to the right, 90 on top, counted anticlockwise. Without it, 0.")
}

// Every answer keeps to the published schema, and the schema knows every key of it.
func TestLookUpJSONKeepsToItsSchema(t *testing.T) {
	src, err := os.ReadFile(lookUpLines)
	require.NoError(t, err)
	for line := range strings.Lines(string(src)) {
		line, ok := strings.CutPrefix(strings.TrimSpace(line), "$ ")
		if !ok {
			continue
		}
		out, _, _ := call(t, append(words(line), "--json")...)
		var got map[string]any
		require.NoError(t, json.Unmarshal([]byte(out), &got))
		name := strings.TrimSuffix(strings.TrimPrefix(got["format"].(string), "fettle."), "/1")
		text, _, code := call(t, "schema", name)
		require.Equal(t, exitFine, code)
		schema, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
		require.NoError(t, err)
		closed(schema)
		compiler := jsonschema.NewCompiler()
		require.NoError(t, compiler.AddResource("look-up.json", schema))
		compiled, err := compiler.Compile("look-up.json")
		require.NoError(t, err)
		assert.NoError(t, compiled.Validate(got), line)
	}
	_, errText, code := call(t, "schema", "coffee")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errText, "there are thread, identify")
}

// closed lets an object have no keys but those that the schema names.
func closed(schema any) {
	switch v := schema.(type) {
	case map[string]any:
		if _, ok := v["properties"]; ok {
			v["additionalProperties"] = false
		}
		for _, x := range v {
			closed(x)
		}
	case []any:
		for _, x := range v {
			closed(x)
		}
	}
}

// One thread that is none does not take the others away.
func TestAQuestionThatCannotBeAnswered(t *testing.T) {
	out, errText, code := call(t, "thread", "M4", "coffee", "2", "BA", "--json")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errText, "coffee")
	items := answered(t, out).([]any)
	require.Len(t, items, 3)
	require.Equal(t, "M4", items[0].(map[string]any)["designation"])
	require.Contains(t, items[1].(map[string]any)["error"], "coffee")
	require.Equal(t, "2 BA", items[2].(map[string]any)["designation"])
	out, errText, code = call(t, "thread", "M4", "coffee", "2", "BA")
	require.Equal(t, exitUsage, code)
	require.Contains(t, errText, "coffee")
	require.Regexp(t, "(?s)^M4, .*\n\n2 BA, ", out)
}
