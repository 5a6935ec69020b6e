package quantity

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What was typed first is shown first; bar stands beside psi everywhere.
func TestPressureScale(t *testing.T) {
	for _, c := range []struct{ typed, show, both string }{
		{"90 psi", "90 psi (6.21 bar)", "90 psi (6.21 bar)"},
		{"90psig", "90 psi (6.21 bar)", "90 psi (6.21 bar)"},
		{"90 PSI gauge", "90 psi (6.21 bar)", "90 psi (6.21 bar)"},
		{"90 lbf/in2", "90 psi (6.21 bar)", "90 psi (6.21 bar)"},
		{"22.5 psi", "22.5 psi (1.55 bar)", "22.5 psi (1.55 bar)"},
		{"0 psi", "0 psi (0 bar)", "0 psi (0 bar)"},
		{"6.2 bar", "6.2 bar", "6.2 bar (90 psi)"},
		{"620 kPa", "6.2 bar", "6.2 bar (90 psi)"},
		{"6.2 barg", "6.2 bar", "6.2 bar (90 psi)"},
	} {
		p, err := ParsePressure(c.typed)
		require.NoError(t, err)
		require.Equal(t, c.show, ScaleOf(c.typed).Show(p), c.typed)
		require.Equal(t, c.both, ScaleOf(c.typed).Both(p), c.typed)
	}
	for _, typed := range []string{"", "psi", "ninety psi", "\x00", "90"} {
		require.Equal(t, BarScale, ScaleOf(typed), typed)
	}
	require.InDelta(t, 90, PSIScale.Of(90*psiBar), 1e-9)
	require.Equal(t, "psi", PSIScale.Unit())
	require.Equal(t, "bar", BarScale.Unit())
}
