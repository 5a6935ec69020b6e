package checklist

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/width"

	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Files that would exhaust a careless reader are refused before the parser
// sees them, and quickly.
func TestBombsAreRefused(t *testing.T) {
	const n = 400_000
	for name, src := range map[string]string{
		"a large file":                     strings.Repeat("#", source.MaxFile+1),
		"nested lists":                     "a = " + strings.Repeat("[", n),
		"nested lists over lines":          "a = " + strings.Repeat("[\n", n),
		"nested lists between comments":    "a = " + strings.Repeat("[ # ]\n", n),
		"nested lists between texts":       "a = " + strings.Repeat(`[ "]", `, n),
		"nested lists between apostrophes": "a = " + strings.Repeat("[ ']', ", n),
		"nested tables":                    "a = " + strings.Repeat("{ a = ", n),
		"a list that closes elsewhere":     "a = [\"" + strings.Repeat("]", 20) + "\"" + strings.Repeat(", [", n),
		"parts of a key":                   strings.Repeat("a.", n) + "a = 1",
		"parts of a heading":               "[" + strings.Repeat("a.", n) + "a]",
		"a long key":                       strings.Repeat("a", n) + " = 1",
		"a long key in quotes":             `"` + strings.Repeat("a", n) + `" = 1`,
		"a long heading":                   "[" + strings.Repeat("a", n) + "]",
		"a long inner key":                 "a = { " + strings.Repeat("b", n) + " = 1 }",
		"many keys":                        manyKeys(source.MaxKeys + 1),
		"text with six quotes":             `a = """x""""""` + strings.Repeat("[", n),
		"escaped quotes":                   `a = """x\\""""""` + strings.Repeat("[", n),
	} {
		t.Run(name, func(t *testing.T) {
			p, ds := Read("x.toml", []byte(src))
			require.Nil(t, p)
			require.Len(t, ds, 1)
			require.Equal(t, check.Stop, ds[0].Severity)
			require.Contains(t, []string{source.RuleLimit, source.RuleUnreadable}, ds[0].Rule)
			var b bytes.Buffer
			require.NoError(t, ds.WriteText(&b))
			require.Less(t, b.Len(), 2000, "the report of a large file is small")
		})
	}
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "a%d=1\n", i)
	}
	return b.String()
}

// The limits refuse nothing that a person would write.
func TestLimitsLeaveRoom(t *testing.T) {
	for _, src := range []string{
		`a = "` + strings.Repeat("[{", 1000) + `"`,
		`a = '` + strings.Repeat("[{", 1000) + `'`,
		`a = """` + strings.Repeat("[\n", 1000) + `"""`,
		"# " + strings.Repeat("[[[", 1000),
		"a = [" + strings.Repeat("[1], ", 1000) + "]",
		"a = 3.14 # " + strings.Repeat(".", 100),
		strings.Repeat("[[stage]]\n", 1000),
		`a = """He said "no"""""`,
		"a = [\n  'x',\n  'y',\n]",
	} {
		require.Nil(t, source.CheckLimits([]byte(src)), "%.40q", src)
		_, _, err := source.Decode(src)
		require.NoError(t, err)
	}
}

// Control characters, turned letters and their like stand in every text of a
// file: none of them comes through, whatever is printed.
func TestNothingHarmfulComesThrough(t *testing.T) {
	bad := "\x1b]0;title\x07\x1b[2J\u009b31m\u202eback\u2066\u200b\ufeff\u2028\x7f\r"
	for _, text := range []string{bad, "${word}" + bad, bad + "${nobody}"} {
		src := strings.ReplaceAll(hostileTexts("@@"), "@@", escapedText(text))
		p, ds := Read("x\x1b[31m.toml", []byte(src))
		require.NotNil(t, p)
		require.True(t, ds.HasStop())
		filled, more := p.Fill(map[string]string{"word": text, text: text})
		var b bytes.Buffer
		require.NoError(t, ds.WriteText(&b))
		require.NoError(t, more.WriteText(&b))
		for _, d := range append(ds, more...) {
			fmt.Fprintln(&b, d.File, d.Message, d.Suggestion, d.Path, d.Source)
		}
		fmt.Fprintf(&b, "%s %s %v\n", p.Title, p.About, p.Preliminary.Warnings)
		for _, s := range filled.Steps() {
			fmt.Fprintln(&b, s.Title, s.Do, s.Why, s.Hold, s.Warnings, s.Readings)
			for _, r := range s.Readings {
				_, err := r.Judge(text)
				if err != nil {
					fmt.Fprintln(&b, err)
				}
			}
		}
		if err := p.CheckValue("word", text); err != nil {
			fmt.Fprintln(&b, err)
		}
		if err := p.CheckValue(text, text); err != nil {
			fmt.Fprintln(&b, err)
		}
		requireHarmless(t, b.String())
	}
}

// escapedText writes a text for a TOML basic string, with escapes for all that
// may not stand in one.
func escapedText(text string) string {
	var b strings.Builder
	for _, r := range text {
		if source.UnsafeRune(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

func TestManyFindingsAreCutShort(t *testing.T) {
	src := "format = 2\nid = \"x\"\ntitle = \"x\"\n" + manyKeys(5000) + "[[stage]]\ntitle = \"x\"\n[[stage.step]]\nid = \"a\"\nkind = \"record\"\ndo = \"x\"\n"
	p, ds := Read("x.toml", []byte(src))
	require.NotNil(t, p)
	require.Len(t, ds, source.MaxFindings+1)
	require.Equal(t, "more than 1000 findings; the rest is not listed", ds[source.MaxFindings].Message)
	require.True(t, ds.HasStop())
}

func TestUnsafeRunes(t *testing.T) {
	for _, r := range "aZ09 äß中ก é½°·µ√→☐\u200d\u00a0\u0301" {
		require.False(t, source.UnsafeRune(r), "%U", r)
	}
	for _, r := range "\x00\a\b\t\n\v\f\r\x1b\x7f\u0080\u009b\u009f\u061c\u200b\u200e\u200f\u2028\u2029\u202a\u202e\u2066\u2069\ufeff\ufffe\U000e0001" {
		require.True(t, source.UnsafeRune(r), "%U", r)
	}
	text, refused := source.Clean("a\tb\r\nc\x1bd", true)
	require.Equal(t, "a b\nc\ufffdd", text)
	require.Equal(t, '\x1b', refused)
	text, refused = source.Clean("a\nb", false)
	require.Equal(t, "a\ufffdb", text)
	require.Equal(t, '\n', refused)
}

// Widths against golang.org/x/text/width, which is made from the Unicode data.
// Combining marks are none of its business.
func TestCellWidth(t *testing.T) {
	for r := rune(0x20); r < 0x30000; r++ {
		if !unicode.IsPrint(r) || source.CellWidth(r) == 0 {
			continue
		}
		kind := width.LookupRune(r).Kind()
		wide := kind == width.EastAsianWide || kind == width.EastAsianFullwidth
		if r >= 0x2e80 && r <= 0xffe6 || r >= 0x20000 {
			require.Equal(t, wide, source.CellWidth(r) == 2, "%U", r)
		} else if !wide {
			require.Equal(t, 1, source.CellWidth(r), "%U", r)
		}
	}
	require.Equal(t, 0, source.CellWidth('\u0301'))
	require.Equal(t, 2, source.CellWidth('径'))
}

func TestNearest(t *testing.T) {
	kinds := Kinds()
	for word, want := range map[string]string{
		"lenght": "length", "Length": "length", "presure": "pressure", "yesno": "yes-no", "yes_no": "yes-no", "choise": "choice",
		"txt": "text", "thraed": "thread", "tiem": "time", "zzzz": "", "": "", "l": "", strings.Repeat("length", 20): "",
	} {
		require.Equal(t, want, source.Nearest(word, kinds), word)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(gland))
	f.Add([]byte(travels))
	f.Add([]byte(optional))
	f.Add([]byte(hostileTexts("x")))
	f.Add([]byte("format = 2\nid = \"a\"\ntitle = \"b\"\n[[stage]]\ntitle = \"c\"\n[[stage.step]]\nid = \"d\"\nkind = \"record\"\ndo = \"${e.f}\"\n"))
	starters, err := filepath.Glob("../recipes/starters/*.toml")
	require.NoError(f, err)
	for _, file := range starters {
		src, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(src)
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		p, ds := Read("x.toml", src)
		require.Equal(t, p == nil, p == nil && ds.HasStop())
		var b bytes.Buffer
		require.NoError(t, ds.WriteText(&b))
		for _, d := range ds {
			requirePlaceInside(t, src, d)
		}
		if p != nil {
			filled, _ := p.FillMeasured(map[string]string{"rod": string(src)}, map[string]string{"rod": "4.6", "travel": "2", "way": "left"})
			for _, s := range filled.Steps() {
				fmt.Fprintln(&b, s.Title, s.Do, s.Why, s.Hold, s.Warnings, s.Readings, s.Figures)
			}
		}
		requireHarmless(t, b.String())
	})
}

func FuzzReferences(f *testing.F) {
	for _, s := range []string{"${a}", "${a.b}", "$${a}", "${", "${a", "${${a}}", "a${b}c${d.e}", "${ a }", "${a\n}", "$$${a}", "${}", "${.}"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		refs, wrong := source.References(text)
		at := 0
		for _, r := range refs {
			require.GreaterOrEqual(t, r.Start, at)
			require.True(t, strings.HasPrefix(text[r.Start:r.End], "${") && strings.HasSuffix(text[r.Start:r.End], "}"))
			require.Contains(t, text[r.Start:r.End], r.Name)
			at = r.End
		}
		for _, e := range wrong {
			require.True(t, e.Start >= 0 && e.Start < e.End && e.End <= len(text))
		}
		filled, fits := source.FillIn(text, refs, func(r source.Reference) string { return "<" + r.Name + ">" })
		if fits && len(wrong) == 0 {
			require.Equal(t, strings.Count(text, "${")-len(refs), strings.Count(filled, "${"), "only escaped ones stay")
		}
	})
}

func FuzzValues(f *testing.F) {
	for _, kind := range Kinds() {
		f.Add(kind, "3/16 in")
		f.Add(kind, "2 BA")
		f.Add(kind, "-1e9 bar")
	}
	f.Fuzz(func(t *testing.T, kind, typed string) {
		if v, err := parseValue(kind, typed, []string{"a"}); err != nil {
			require.NotEmpty(t, err.Error())
		} else {
			requireHarmless(t, v.text)
			require.False(t, v.number != v.number, "no NaN")
		}
		r := FilledReading{Kind: kind, Low: Limit{true, 0, "0"}}
		if j, err := r.Judge(typed); err == nil {
			requireHarmless(t, j.Text)
			require.False(t, j.Value != j.Value)
		} else {
			requireHarmless(t, source.PlainError(err))
		}
		_, _ = quantity.ParseSpan(typed)
	})
}
