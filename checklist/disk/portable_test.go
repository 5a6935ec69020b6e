package disk

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The names are those of the published list; case and what follows a point do not count.
func TestPortableNames(t *testing.T) {
	for _, name := range []string{"CON", "con", "Prn", "aux.job", "nul.tar.gz", "COM1", "lpt9", "COM²", "con ", "dome.", "dome ", "a:b", "a?b", `a"b`, "a*", "a|b", "a<b"} {
		require.Error(t, Portable(name), name)
	}
	for _, name := range []string{"bramble", "console", "com", "com0", "com10", "COMX", "lp1", "aux-dome", "Bramble, dome", ".", "..", "été", "con-rod"} {
		require.NoError(t, Portable(name), name)
	}
}
