package threads

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestParseHead(t *testing.T) {
	for s, want := range map[string]HeadKind{"hex": HexHead, "Hexagon": HexHead, "cap": SocketHead, " csk ": CountersunkHead, "slotted": CheeseHead} {
		got, err := ParseHead(s)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	_, err := ParseHead("square")
	require.ErrorContains(t, err, "hex, socket, countersunk and cheese")
}
