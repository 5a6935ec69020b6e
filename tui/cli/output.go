package cli

import (
	"encoding/json"
	"io"
	"math"
	"strings"
)

// writeJSON prints v indented, with a final newline and without escaping <, > and &.
func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// figure rounds a number for JSON to a millionth of its unit, so that 3.3 is
// printed as 3.3 and not as its nearest binary fraction; nothing in the trade
// is measured finer. A nought has no sign: adding it turns -0 into 0.
func figure(v float64) float64 {
	return math.Round(v*1e6)/1e6 + 0
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }
