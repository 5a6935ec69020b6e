package checklist

import (
	"fettle/checklist/source"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// requireHarmless says that a text can be shown: nothing in it but letters and
// line feeds.
func requireHarmless(t testing.TB, text string) {
	for _, r := range text {
		if r != '\n' && source.UnsafeRune(r) {
			at := strings.IndexRune(text, r)
			require.Failf(t, "not harmless", "U+%04X in %q", r, text[max(0, at-60):min(len(text), at+60)])
		}
	}
}
