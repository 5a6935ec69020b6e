package tui

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The word of a role is nobody's name: it would stand beside every entry.
func TestNobodyIsCalledByARole(t *testing.T) {
	b := newBench(t, 80, 24)
	b.keys("w", ":the owner", "enter")
	require.Contains(t, b.text(), "is a role and says nobody's name")
	require.Empty(t, b.m.person)
	b.keys("ctrl+u", ":Ana", "enter")
	require.Equal(t, "Ana", b.m.person)
}
