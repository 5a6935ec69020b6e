package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/require"

	"fettle/checklist/lookup"
)

// runBoiler runs one example of a sheet.
func runBoiler(t *testing.T, line string, more ...string) (code int, stdout, stderr string) {
	t.Helper()
	args := []string{"boiler"}
	for _, word := range regexp.MustCompile(`'[^']*'|\S+`).FindAllString(line, -1) {
		args = append(args, strings.Trim(word, "'"))
	}
	var out, err bytes.Buffer
	code = Run(append(args, more...), Env{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &err, Getenv: func(string) string { return "" }})
	return code, out.String(), err.String()
}

// Every example of every look-up, as people read it at the bench and as JSON.
func TestBoilerExamplesAtTheBench(t *testing.T) {
	for _, sheet := range lookup.Sheets() {
		for _, line := range sheet.Examples {
			code, text, stderr := runBoiler(t, line)
			require.Contains(t, []int{exitFine, exitFound}, code, "%s: %s", line, stderr)
			require.Empty(t, stderr)
			for _, l := range strings.Split(text, "\n") {
				require.LessOrEqual(t, runewidth.StringWidth(l), benchWidth, "%s: %q", line, l)
				require.Equal(t, strings.TrimRight(l, " "), l, "%s: %q", line, l)
			}
			require.NotContains(t, text, "\x1b")

			again, out, _ := runBoiler(t, line, "--json")
			require.Equal(t, code, again)
			var keys map[string]any
			require.NoError(t, json.Unmarshal([]byte(out), &keys), out)
			for _, key := range []string{"verdict", "findings", "sources"} {
				require.Contains(t, keys, key, line)
			}
			require.NotContains(t, out, `\u003c`)
			require.Equal(t, code == exitFound, keys["verdict"] == "stop", line)
		}
	}
}

func TestBoilerFlagsAreTheSheetsFields(t *testing.T) {
	root := rootCommand(Env{}, io.Discard, []string{"boiler"})
	for _, sheet := range lookup.Sheets() {
		cmd, _, err := root.Find([]string{"boiler", sheet.Name})
		require.NoError(t, err)
		require.Equal(t, sheet.Name, cmd.Name())
		for _, field := range sheet.Fields {
			require.NotNil(t, cmd.Flags().Lookup(field.Name), "%s --%s", sheet.Name, field.Name)
		}
	}
}
