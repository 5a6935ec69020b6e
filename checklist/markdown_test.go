package checklist

import (
	"fettle/checklist/source"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMarkdownTextsStandForThemselves(t *testing.T) {
	for text, want := range map[string]string{
		"valve-spindle":               "valve-spindle",
		"<script>x</script>":          `\<script\>x\</script\>`,
		"a *b* _c_ [d](e) `f` | g":    "a \\*b\\* \\_c\\_ \\[d\\](e) \\`f\\` \\| g",
		"- no list":                   `\- no list`,
		"1. no list":                  `1\. no list`,
		"1.5 mm":                      "1.5 mm",
		"two\n# lines":                "two\\\n\\# lines",
		"&amp; stays":                 `\&amp; stays`,
		"![picture](https://x.y/z.p)": `!\[picture\](https://x.y/z.p)`,
	} {
		require.Equal(t, want, escaped(text))
	}
}

func TestMarkdownOfHostileTexts(t *testing.T) {
	src := hostileTexts("<img src=x onerror=alert(1)> | `x` [a](b)")
	p, ds := Read("x.toml", []byte(src))
	require.NotNil(t, p)
	require.False(t, ds.HasStop(), "%v", ds)
	filled, _ := p.Fill(nil)
	var b strings.Builder
	require.NoError(t, filled.WriteMarkdown(&b))
	require.NotContains(t, strings.ReplaceAll(b.String(), `\<img`, ""), "<img")
	require.Equal(t, strings.Count(b.String(), "onerror"), strings.Count(b.String(), `\<img src=x onerror=alert(1)\>`))
}

// hostileTexts is a procedure with the same text in every place that takes one.
func hostileTexts(text string) string {
	q := source.Quote(text)
	return strings.ReplaceAll(`format = 1
id = "hostile"
title = TEXT
about = TEXT

[preliminary]
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
uses = ["nut"]
hold = TEXT
witness = TEXT
warning = [TEXT]
caution = [TEXT]
note = [TEXT, "${word} ${pick}"]
reading = [
  { name = "a", ask = TEXT, unit = "text", nominal = TEXT },
  { name = "b", ask = TEXT, unit = "choice", choices = [TEXT, "other"], nominal = TEXT },
]
`, "TEXT", q)
}
