package workshop

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is written is read, and holds the families that were named.
func TestStarter(t *testing.T) {
	for _, f := range Families() {
		text, err := Starter([]string{f.Name})
		require.NoError(t, err)
		tools, err := Parse(text)
		require.NoError(t, err, text)
		require.Greater(t, len(tools.Taps), 1, f.Name)
		for _, tap := range tools.Taps {
			require.Equal(t, f.series, tap.Series)
		}
		require.True(t, tools.Drills.Own())
	}
	text, err := Starter([]string{"ba", "ME"})
	require.NoError(t, err)
	tools, err := Parse(text)
	require.NoError(t, err)
	require.NotEmpty(t, tools.Spanners)

	text, err = Starter(nil)
	require.NoError(t, err)
	tools, err = Parse(text)
	require.NoError(t, err)
	require.Empty(t, tools.Taps)

	_, err = Starter([]string{"BSQ"})
	require.ErrorContains(t, err, "there are metric, BA, ME")
}
