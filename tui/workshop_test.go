package tui

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads"
	"fettle/threads/quantity"
)

func TestReadWorkshop(t *testing.T) {
	dir := t.TempDir()
	w, err := ReadWorkshop(dir)
	require.NoError(t, err, "no file is no mistake")
	require.False(t, w.Drills.Own())
	_, err = ReadWorkshop("")
	require.NoError(t, err)

	write := func(s string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, WorkshopFile), []byte(s), 0o600))
	}
	write("drills = [\"3.3\", \"No 30\", \"1/4\"]\ntaps = [\"M4\", \"2 ba\"]\nspanners = [\"7\", \"1/4 in\"]\n")
	w, err = ReadWorkshop(dir)
	require.NoError(t, err)
	require.True(t, w.Drills.Own())
	require.Len(t, w.Drills.All(), 3)
	m4, err := threads.Parse("M4")
	require.NoError(t, err)
	require.Equal(t, m4, w.Taps[0])
	require.Equal(t, "2 BA", w.Taps[1].String())
	require.Equal(t, []quantity.Length{7, 6.35}, w.Spanners)

	for src, part := range map[string]string{
		"drills = [\"3.3\"":       "line",
		"drils = [\"3.3\"]":       "drils",
		"drills = [\"banana\"]":   "drills: ",
		"drills = \"3.3\"":        "drills",
		"taps = [\"M99x0\"]":      "taps: ",
		"spanners = [\"seven\"]":  "spanners: ",
		"spanners = [\"-7\"]":     "above nought",
		"taps = [\"\\u001b[2J\"]": "taps: ",
	} {
		write(src)
		_, err := ReadWorkshop(dir)
		require.ErrorContains(t, err, part, src)
		require.ErrorContains(t, err, WorkshopFile, src)
		require.NotContains(t, err.Error(), "\x1b")
	}

	write(string(make([]byte, largestWorkshop+1)))
	_, err = ReadWorkshop(dir)
	require.ErrorContains(t, err, "larger")
	require.NoError(t, os.Remove(filepath.Join(dir, WorkshopFile)))
	require.NoError(t, os.Mkdir(filepath.Join(dir, WorkshopFile), 0o700))
	_, err = ReadWorkshop(dir)
	require.ErrorContains(t, err, "not a file")
}

func FuzzWorkshop(f *testing.F) {
	f.Add("drills = [\"3.3\", \"No 30\"]\ntaps = [\"M4\"]\nspanners = [\"7\"]")
	f.Add("taps = [\"1/4 x 40 ME\"]\n[more]\nx = 1")
	f.Add("drills = [\"\\u0000\"]")
	f.Fuzz(func(t *testing.T, src string) {
		w, err := parseWorkshop(src)
		if err != nil {
			return
		}
		for _, s := range w.Spanners {
			if !(s > 0) {
				t.Fatalf("spanner %v from %q", s, src)
			}
		}
	})
}
