package threads

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The outline meets the diameters of the standards: crest at the major, root at
// the minor diameter, half a pitch of metal at the pitch diameter.
func TestSectionMeetsTheDiameters(t *testing.T) {
	for _, th := range All() {
		const n = 400
		points := th.Section(1, n)
		require.Len(t, points, n+1)
		low, high, above := math.Inf(1), 0.0, 0
		for _, p := range points[:n] {
			r := mm(p.Radius)
			low, high = math.Min(low, r), math.Max(high, r)
			if r > mm(th.PitchDiameter())/2 {
				above++
			}
		}
		// BA and pipe depths are rounded by their standards, the form is not.
		slack := 0.003
		require.InDelta(t, mm(th.Major)/2, high, 1e-6, th)
		require.InDelta(t, mm(th.MinorExternal())/2, low, slack, th)
		require.InDelta(t, 0.5, float64(above)/n, 0.02, th)
	}
}

func TestHoleSectionStopsAtTheDrill(t *testing.T) {
	th := parse(t, "M4")
	for _, p := range th.HoleSection(3.3, 3, 50) {
		require.GreaterOrEqual(t, mm(p.Radius), 1.65)
		require.LessOrEqual(t, mm(p.Radius), 2.0)
	}
	require.Empty(t, th.Section(0, 10))
	require.Empty(t, th.Section(1, 0))
}

func TestHeadSection(t *testing.T) {
	h := head(t, parse(t, "M4"), "ISO 7046")
	got := h.Section(4, 10)
	require.Equal(t, []Point{{0, 0}, {0, 4.2}, {0.5, 4.2}, {2.7, 2}, {12.7, 2}}, got)
	c, err := h.Countersink(4.5)
	require.NoError(t, err)
	require.Len(t, c.Section(4.5, 5), 3)
	through := c.Section(4.5, 2)
	require.Len(t, through, 2)
	require.InDelta(t, 2.7, mm(through[1].Radius), 1e-9)
	require.Empty(t, Head{Kind: HexHead, HeadDiameter: 8}.Section(4, 10))
}
