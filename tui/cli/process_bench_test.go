package cli

import (
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// BenchmarkLookUpProcess measures `fettle thread M4` as a whole process
// (user + system time) against a program that links the same libraries and
// prints one line, and against units converting one drill number. The two
// programs take turns, so that a drifting machine slows both; the ratios are
// medians over the pairs. Goals: at most 1.25 of the baseline, below 1 of units.
func BenchmarkLookUpProcess(b *testing.B) {
	dir := b.TempDir()
	fettle, baseline := filepath.Join(dir, "fettle"), filepath.Join(dir, "baseline")
	build(b, fettle, "fettle")
	build(b, baseline, "./testdata/baseline")

	look := []string{fettle, "thread", "M4"}
	b.Run("baseline", func(b *testing.B) { pair(b, look, []string{baseline}) })
	b.Run("units", func(b *testing.B) {
		units, err := exec.LookPath("units")
		if err != nil {
			b.Skip("units is not installed")
		}
		pair(b, look, []string{units, "-t", "drillgauge(43)", "in"})
	})
}

// pair runs ours and theirs in turn and reports the median ratio of their
// processor time.
func pair(b *testing.B, ours, theirs []string) {
	b.Helper()
	const warm = 3
	var ratios []float64
	var mine, other []float64
	for i := 0; i < max(b.N, 15)+warm; i++ {
		a, c := processTime(b, ours), processTime(b, theirs)
		if i < warm {
			continue
		}
		ratios = append(ratios, float64(a)/float64(c))
		mine = append(mine, a.Seconds()*1e3)
		other = append(other, c.Seconds()*1e3)
	}
	b.ReportMetric(median(ratios), "ratio")
	b.ReportMetric(median(mine), "ours-ms")
	b.ReportMetric(median(other), "theirs-ms")
}

func processTime(b *testing.B, argv []string) time.Duration {
	b.Helper()
	cmd := exec.Command(argv[0], argv[1:]...)
	out, err := cmd.CombinedOutput()
	require.NoError(b, err, "%s: %s", argv, out)
	return cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	return sorted[len(sorted)/2]
}

func build(b *testing.B, out, pkg string) {
	b.Helper()
	text, err := exec.Command("go", "build", "-o", out, pkg).CombinedOutput()
	require.NoError(b, err, "%s", text)
}
