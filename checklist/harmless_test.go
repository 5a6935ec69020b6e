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

// hostileTexts is a procedure with the same text in every place that takes one.
func hostileTexts(text string) string {
	q := source.Quote(text)
	return strings.ReplaceAll(`format = 2
id = "hostile"
title = TEXT
about = TEXT

[before]
conditions = [TEXT]
persons = [TEXT]
equipment = [TEXT]
supplies = [TEXT]
spares = [TEXT]
warnings = [TEXT]
cautions = [TEXT]
notes = [TEXT]

[settings.word]
ask = TEXT
why = TEXT
kind = "text"
default = TEXT

[settings.pick]
ask = TEXT
kind = "choice"
choices = [TEXT]
default = TEXT

[fasteners.nut]
label = TEXT
thread = "M4"

[[stage]]
title = TEXT
about = TEXT

[[stage.step]]
id = "one"
kind = "record"
title = TEXT
do = TEXT
why = TEXT
parts = ["nut"]
hold = TEXT
witness = TEXT
warnings = [TEXT]
cautions = [TEXT]
notes = [TEXT, "${word} ${pick}"]
reading = [
  { name = "a", ask = TEXT, kind = "text", nominal = TEXT },
  { name = "b", ask = TEXT, kind = "choice", choices = [TEXT, "other"], nominal = TEXT },
]
`, "TEXT", q)
}
