package paper

import (
	"fettle/checklist"
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
	q := source.Quote("<img src=x onerror=alert(1)> | `x` [a](b)")
	src := strings.ReplaceAll(printedFile, "TEXT", q)
	p, ds := checklist.Read("x.toml", []byte(src))
	require.NotNil(t, p)
	require.False(t, ds.HasStop(), "%v", ds)
	filled, _ := p.Fill(nil)
	var b strings.Builder
	require.NoError(t, WriteMarkdown(&b, filled))
	require.NotContains(t, strings.ReplaceAll(b.String(), `\<img`, ""), "<img")
	require.Greater(t, strings.Count(b.String(), "onerror"), 15)
	require.Equal(t, strings.Count(b.String(), "onerror"), strings.Count(b.String(), `\<img src=x onerror=alert(1)\>`))
}

// What is said of a step, of a question and of a call stands on both papers.
func TestBothPapersSayIt(t *testing.T) {
	p, ds := checklist.Read("x.toml", []byte(strings.ReplaceAll(printedFile, "TEXT", `"words"`)))
	require.False(t, ds.HasStop(), "%v", ds)
	filled, _, _ := p.FillBlank(nil)
	var text, page strings.Builder
	require.NoError(t, WriteText(&text, filled, 60))
	require.NoError(t, WriteMarkdown(&page, filled))
	for _, words := range []string{"LEVER: 90° from shut to open", "- Working pressure: ____ [pressure]",
		"   CALL: damaged-hole, a job of its own, if yes: words\n   . thread: 4 BA\n   . hole: asked when it is started\n"} {
		require.Contains(t, text.String(), words)
	}
	for _, words := range []string{"lever 90° from shut to open", "**Call:** damaged-hole, a job of its own, if yes: words\n\n- thread: 4 BA\n"} {
		require.Contains(t, page.String(), words)
	}
	require.NotContains(t, text.String()+page.String(), "Shaft", "a question that is not asked")
}

// printedFile has a text in every place that takes one.
const printedFile = `format = 2
id = "printed"
title = TEXT
about = TEXT

[before]
conditions = [TEXT]
supplies = [TEXT]
warnings = [TEXT]

[settings.word]
ask = TEXT
kind = "text"
default = TEXT

[settings.pick]
ask = TEXT
kind = "choice"
choices = ["a", "b"]
default = "a"

[settings.shaft]
ask = "Shaft"
kind = "length"
default = "1 in"
when = ["pick = b"]

[settings.pressure]
ask = "Working pressure"
kind = "pressure"

[settings.hole]
ask = "Hole"
kind = "length"
default = ""

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
quadrant = 90
warnings = [TEXT]
cautions = [TEXT]
notes = [TEXT, "${word} ${pick}"]
reading = [
  { name = "a", ask = TEXT, kind = "text", nominal = TEXT },
  { name = "b", ask = TEXT, kind = "choice", choices = [TEXT, "other"], nominal = TEXT },
]

[[stage.step]]
id = "two"
kind = "decide"
do = "${pressure}"
call = { procedure = "damaged-hole", set = { thread = "4 BA", hole = "${hole}" }, ask = TEXT }

[[stage.step]]
id = "three"
kind = "record"
do = "Ring"
when = ["pick = b"]
`
