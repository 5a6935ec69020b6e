package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The list and the record go to a file that is named before it is written and
// said after.
func TestOnPaper(t *testing.T) {
	b := refit(t, 80, 24, "dry")
	read := func(name string) string {
		t.Helper()
		text, err := os.ReadFile(filepath.Join(b.dir, name))
		require.NoError(t, err)
		return string(text)
	}
	b.keys("p", "p")
	b.sees("Write it where?", "~/jobs/bramble/to-bring.html")
	b.keys("enter")
	b.sees("Written", "~/jobs/bramble/to-bring.html", "Open it in a browser")
	require.Contains(t, read("jobs/bramble/to-bring.html"), "Bramble: to bring next time")
	b.keys("enter", "esc", "i", "p", "enter")
	b.sees("Written", "~/jobs/bramble/record.html")
	require.Contains(t, read("jobs/bramble/record.html"), "no certificate")

	// Another place, as plain text; and what cannot be.
	b.keys("enter", "p", ":~/paper.md", "enter")
	require.True(t, strings.HasPrefix(read("paper.md"), "# Bramble: "))
	b.keys("enter", "p")
	b.keys(":~/paper", "enter")
	b.sees("Write it where?", "ends in .html or .md")
	b.keys("ctrl+u", ":~/jobs/bramble/job.toml", "enter")
	b.sees("Write it where?", "ends in .html or .md")
	b.keys("ctrl+u", ":~/nowhere/paper.html", "enter")
	b.sees("Not written:", "the folder is missing")
	require.NoError(t, os.Mkdir(filepath.Join(b.dir, "folder.md"), 0o755))
	b.keys("ctrl+u", ":~/folder.md", "enter")
	b.sees("Not written:", "folder.md is a folder, not a", "file; use a file in it.")
}
