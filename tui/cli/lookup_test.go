package cli

import (
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/stretchr/testify/require"

	"fettle/checklist/lookup"
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
