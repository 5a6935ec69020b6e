package tui

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/quantity"
)

func TestReadWorkshop(t *testing.T) {
	dir := t.TempDir()
	w, err := workshop.Read(dir)
	require.NoError(t, err, "no file is no mistake")
	require.False(t, w.Drills.Own())
	_, err = workshop.Read("")
	require.NoError(t, err)

	write := func(s string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, workshop.FileName), []byte(s), 0o600))
	}
	write("drills = [\"3.3\", \"No 30\", \"1/4\"]\ntaps = [\"M4\", \"2 ba\"]\nspanners = [\"7\", \"1/4 in\"]\nphotos = \" ~/pics \"\n")
	w, err = workshop.Read(dir)
	require.NoError(t, err)
	require.True(t, w.Drills.Own())
	require.Len(t, w.Drills.All(), 3)
	m4, err := threads.Parse("M4")
	require.NoError(t, err)
	require.Equal(t, m4, w.Taps[0])
	require.Equal(t, "2 BA", w.Taps[1].String())
	require.Equal(t, []quantity.Length{7, 6.35}, w.Spanners)
	require.Equal(t, "~/pics", w.Photos)

	for src, part := range map[string]string{
		"drills = [\"3.3\"":               "line",
		"drils = [\"3.3\"]":               "drils",
		"photos = 3":                      "photos",
		"drills = [\"banana\"]":           "drills: ",
		"drills = \"3.3\"":                "drills",
		"taps = [\"M99x0\"]":              "taps: ",
		"spanners = [\"seven\"]":          "spanners: ",
		"spanners = [\"-7\"]":             "above nought",
		"spanners = [\"1/4 x 40 ME\"]":    "no spanner is known",
		"taps = []\ndrils = [3]":          "line 2: \"drils\"",
		"drills = [\"3 to 4\"]":           "needs its step",
		"drills = [\"4 to 3 by 0.1\"]":    "ends below",
		"drills = [\"3 to 4 by 0\"]":      "more than nought",
		"drills = [\"1 to 90 by 0.001\"]": "is the step right",
		"drills = [\"No 1 to letter F\"]": "run of gauges",
		"taps = [\"\\u001b[2J\"]":         "taps: ",
	} {
		write(src)
		_, err := workshop.Read(dir)
		require.ErrorContains(t, err, part, src)
		require.ErrorContains(t, err, workshop.FileName, src)
		require.NotContains(t, err.Error(), "\x1b")
	}

	write(string(make([]byte, workshop.Largest+1)))
	_, err = workshop.Read(dir)
	require.ErrorContains(t, err, "larger")
	require.NoError(t, os.Remove(filepath.Join(dir, workshop.FileName)))
	require.NoError(t, os.Mkdir(filepath.Join(dir, workshop.FileName), 0o700))
	_, err = workshop.Read(dir)
	require.ErrorContains(t, err, "not a file")
}

// Runs of drills, figures without quotes, a spanner named by its thread.
func TestWorkshopRuns(t *testing.T) {
	w, err := workshop.Parse("drills = [\"1.0 to 2.0 by 0.5\", \"No 58 to No 60\", \"letter A to letter C\", \"1/16 to 1/8 by 1/64\", 6.8]\n" +
		"taps = [\"1/4 BSF\"]\nspanners = [7, \"2 BA\"]")
	require.NoError(t, err)
	var names []string
	for _, d := range w.Drills.All() {
		names = append(names, d.Name)
	}
	require.Equal(t, []string{"1.0 mm", "No 60", "No 59", "No 58", "1.5 mm", "1/16 in", "5/64 in", "2.0 mm", "3/32 in", "7/64 in", "1/8 in",
		"letter A", "letter B", "letter C", "6.8 mm"}, names)
	brass, err := threads.Parse("1/4 brass")
	require.NoError(t, err)
	has, known := w.Tap(brass)
	require.True(t, has && known, "1/4 BSF is the same tap")
	size, ok := w.Spanner(7)
	require.True(t, ok)
	require.EqualValues(t, 7, size)
	_, ok = w.Spanner(6.5)
	require.False(t, ok, "too large, it would round the corners")
	require.True(t, w.Stock().Own())
	require.False(t, workshop.Tools{}.Stock().Own())
}

func FuzzWorkshop(f *testing.F) {
	f.Add("drills = [\"3.3\", \"No 30\"]\ntaps = [\"M4\"]\nspanners = [\"7\"]")
	f.Add("taps = [\"1/4 x 40 ME\"]\n[more]\nx = 1")
	f.Add("drills = [\"\\u0000\"]")
	f.Fuzz(func(t *testing.T, src string) {
		w, err := workshop.Parse(src)
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
