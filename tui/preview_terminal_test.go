//go:build linux

package tui

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A file is edited while its preview stands on a real terminal: written in
// place, put in place of the old one as many editors do, broken, and taken away.
func TestPreviewOnARealTerminal(t *testing.T) {
	x := newTmux(t)
	file := filepath.Join(x.dir, "whistle.toml")
	require.NoError(t, os.WriteFile(file, []byte(previewed3), 0o644))
	x.start(80, 24, "fettle procedure preview whistle.toml; echo left=$?; read wait")
	x.sees("BEFORE YOU START")
	x.keys("Right", "Right", "Right")
	x.sees("Clean the bell.")

	change := func(old, new string) {
		text := strings.Replace(previewed3, old, new, 1)
		require.NotEqual(t, previewed3, text)
		next := filepath.Join(x.dir, "next")
		require.NoError(t, os.WriteFile(next, []byte(text), 0o644))
		require.NoError(t, os.Rename(next, file))
	}
	change("Clean the bell.", "Clean the bell and its valve.")
	s := x.sees("Clean the bell and its valve.")
	require.Contains(t, s, "3 of 3")

	change(`kind = "clean"`, `kind = "clan"`)
	s = x.sees("29:8: stop:")
	require.Contains(t, s, "Clean the bell.")

	require.NoError(t, os.WriteFile(file, []byte("title = \""), 0o644))
	s = x.sees("1:9: stop:")
	require.Contains(t, s, "Clean the bell.")
	require.Contains(t, s, "those of the version before")

	require.NoError(t, os.Remove(file))
	x.sees("There is no file whistle.toml")
	require.NoError(t, os.WriteFile(file, []byte(previewed3), 0o644))
	x.until("the file as it was", func(s string) bool {
		return strings.Contains(s, "nothing to put right") && strings.Contains(s, "3 of 3") && !strings.Contains(s, "There is no file")
	})
	x.tap("Before")
	x.sees("Measure the rod of 3/16 in (4.76 mm).")
	x.keys("q")
	x.sees("left=0")
}
