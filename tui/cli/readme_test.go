package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestReadmeExamples runs every console example of README.md, in order, in one
// empty folder, and compares what it prints. FETTLE_UPDATE=1 rewrites the
// printed part; look at the difference before committing it.
func TestReadmeExamples(t *testing.T) {
	readme, err := filepath.Abs(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	update := os.Getenv("FETTLE_UPDATE") != ""

	here := t.TempDir()
	t.Chdir(here)
	private := t.TempDir()
	now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	ran := 0
	var rewritten strings.Builder
	lines := strings.SplitAfter(string(text), "\n")
	for i := 0; i < len(lines); i++ {
		rewritten.WriteString(lines[i])
		if strings.TrimSpace(lines[i]) != "```console" {
			continue
		}
		for i++; i < len(lines) && strings.TrimSpace(lines[i]) != "```"; {
			command, isFettle := strings.CutPrefix(lines[i], "$ fettle ")
			require.True(t, isFettle, "README line %d: a console example starts with \"$ fettle\"", i+1)
			rewritten.WriteString(lines[i])
			line := i + 1
			want := ""
			for i++; i < len(lines) && !strings.HasPrefix(lines[i], "$ ") && strings.TrimSpace(lines[i]) != "```"; i++ {
				want += lines[i]
			}
			var out bytes.Buffer
			Run(splitWords(command), Env{
				Stdin: strings.NewReader(""), Stdout: &out, Stderr: &out,
				Getenv:    func(string) string { return "" },
				Now:       func() time.Time { now = now.Add(time.Minute); return now },
				ConfigDir: filepath.Join(private, "config"),
				StateDir:  filepath.Join(private, "state"),
			})
			ran++
			printed := strings.ReplaceAll(out.String(), here, "/home/ana")
			rewritten.WriteString(printed)
			if !update {
				require.Equal(t, want, printed, "README line %d: $ fettle %s", line, command)
			}
		}
		rewritten.WriteString(lines[i])
	}
	require.NotZero(t, ran, "README.md has no console example")
	if update {
		require.NoError(t, os.WriteFile(readme, []byte(rewritten.String()), 0o644))
	}
}

// splitWords splits a command line as a shell does, double quotes only.
func splitWords(line string) []string {
	var words []string
	var word strings.Builder
	quoted, open := false, false
	for _, r := range strings.TrimSpace(line) {
		switch {
		case r == '"':
			quoted, open = !quoted, true
		case r == ' ' && !quoted:
			if open {
				words = append(words, word.String())
				word.Reset()
			}
			open = false
		default:
			word.WriteRune(r)
			open = true
		}
	}
	if open {
		words = append(words, word.String())
	}
	return words
}
