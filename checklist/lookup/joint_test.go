package lookup

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

func TestParseRing(t *testing.T) {
	for s, want := range map[string][2]quantity.Length{
		"40 x 47": {40, 47}, "40x47": {40, 47}, "40×47 mm": {40, 47}, "40 * 47": {40, 47}, "1.5 x 2 in": {38.1, 50.8},
		"1 1/2 x 2 in": {38.1, 50.8}, "1/2 in x 20": {12.7, 20}, "40 mm x 2 in": {40, 50.8}, "1.5 X 2\"": {38.1, 50.8},
	} {
		ring, err := parseRing(s)
		require.NoError(t, err, s)
		require.InDelta(t, float64(want[0]), float64(ring[0]), 1e-9, s)
		require.InDelta(t, float64(want[1]), float64(ring[1]), 1e-9, s)
	}
	for _, s := range []string{"", "40", "x", "40 x", "40 x 47 x 50", "a x b", "40 by 47", "NaN x Inf"} {
		_, err := parseRing(s)
		require.Error(t, err, s)
	}
}

func FuzzParseRing(f *testing.F) {
	for _, s := range []string{"40 x 47", "1.5 x 2 in", "", "x", "1/2×3/4", "40x", "\x00x\x00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if ring, err := parseRing(s); err == nil && (ring[0] != ring[0] || ring[1] != ring[1]) {
			t.Fatalf("%q is no ring", s)
		}
	})
}
