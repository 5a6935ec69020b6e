package cli

import (
	"encoding/json"
	"io"
	"strings"
)

// writeJSON prints v indented, with a final newline and without escaping <, > and &.
func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

func lowerFirst(s string) string { return strings.ToLower(s[:1]) + s[1:] }
