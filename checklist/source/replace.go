package source

import (
	"fmt"
	"slices"
	"strings"
)

// Replace writes other values into a TOML text, each by the path of its key as
// [Place.Path] gives it, and leaves everything else as it is: comments, order,
// blanks. A value is TOML as it stands in a file. The error names a path that the
// text does not have.
func Replace(src string, root *Place, values map[string]string) (string, error) {
	type edit struct {
		span Span
		text string
	}
	var edits []edit
	var walk func(p *Place)
	walk = func(p *Place) {
		if text, wanted := values[p.Path()]; wanted && p.Value.Known() {
			edits = append(edits, edit{p.Value, text})
		}
		for _, inner := range slices.Concat(p.Fields, p.Items) {
			walk(inner)
		}
	}
	walk(root)
	if len(edits) != len(values) {
		return "", fmt.Errorf("%d of %d keys are there", len(edits), len(values))
	}
	slices.SortFunc(edits, func(a, b edit) int { return int(b.span.Start - a.span.Start) })
	for _, e := range edits {
		src = src[:e.span.Start] + e.text + src[e.span.End:]
	}
	return src, nil
}

// Quote writes a text as a TOML basic string.
func Quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
