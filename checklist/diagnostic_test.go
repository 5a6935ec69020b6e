package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The caret stands under the right cells, whatever letters come before.
func TestExcerpt(t *testing.T) {
	for _, c := range []struct {
		name, src, at string
		line, carets  string
	}{
		{"plain", "ab = 12\n", "12", "ab = 12", "     ^^"},
		{"a tab after one letter", "a\t= 12\n", "12", "a   = 12", "      ^^"},
		{"tabs in front", "\t\ta = 12\n", "a", "        a = 12", "        ^"},
		{"a tab in the place", "a = \"x\ty\"\n", "\"x\ty\"", "a = \"x  y\"", "    ^^^^^^"},
		{"wide letters", "a = \"直径\" # b\n", "b", "a = \"直径\" # b", "             ^"},
		{"in wide letters", "a = \"直径\"\n", "径", "a = \"直径\"", "       ^^"},
		{"joined letters", "a = \"e\u0301\" # b\n", "b", "a = \"e\u0301\" # b", "          ^"},
		{"CRLF", "a = 1\r\nbc = 2\r\n", "bc", "bc = 2", "^^"},
		{"to the end of a CRLF line", "a = xyz\r\n", "xyz\r\n", "a = xyz", "    ^^^"},
		{"over several lines", "a = [\n1,\n]\n", "[\n1,\n]", "a = [", "    ^"},
		{"a byte order mark", "\ufeffab = 1\n", "ab", "ab = 1", "^^"},
		{"an escape character", "a = \"\x1b[2J\" # b\n", "b", "a = \"\ufffd[2J\" # b", "             ^"},
		{"without a line end", "a = 1", "1", "a = 1", "    ^"},
		{"bytes that are no letters", "a = \"\xff\xfe\" # b", "b", "a = \"\ufffd\ufffd\" # b", "           ^"},
	} {
		t.Run(c.name, func(t *testing.T) {
			start := strings.Index(c.src, c.at)
			d := source.Diagnostic{Located: true, Src: c.src, Start: start, End: start + len(c.at)}
			line, before, marks := d.Excerpt()
			require.Equal(t, c.line, line)
			require.Equal(t, c.carets, strings.Repeat(" ", before)+strings.Repeat("^", marks))
		})
	}
	long := strings.Repeat("直", 5_000_000) + "here" + strings.Repeat("x", 5_000_000)
	start := strings.Index(long, "here")
	line, before, marks := source.Diagnostic{Located: true, Src: long, Start: start, End: start + 4}.Excerpt()
	require.LessOrEqual(t, source.Cells(line), source.ExcerptCells)
	require.Equal(t, 4, marks)
	require.Equal(t, "here", strings.TrimSpace(string([]rune(line)[len([]rune(line[:strings.Index(line, "here")])):][:4])))
	require.Equal(t, source.Cells(line[:strings.Index(line, "here")]), before)
}

func TestLinesAndColumns(t *testing.T) {
	src := "\ufeffformat = 1\r\nid = \"直径\" # x\r\n\r\ttitle"
	f := &source.Reporter{Doc: source.NewDocument("x", src)}
	f.Doc.Located = true
	for _, at := range []string{"title", "x", "id", "format"} {
		i := int32(strings.Index(src, at))
		f.At(check.Stop, "r", nil, source.Span{Start: i, End: i + 1}, at, "")
	}
	var got []string
	for _, d := range f.Sorted() {
		got = append(got, strings.TrimSuffix(d.String(), " [r]"))
	}
	require.Equal(t, []string{"x:1:1: stop: format", "x:2:1: stop: id", "x:2:13: stop: x", "x:3:3: stop: title"}, got)
}

func TestWorst(t *testing.T) {
	require.Equal(t, check.Severity(""), source.Diagnostics(nil).Worst())
	ds := source.Diagnostics{{Severity: check.Note}, {Severity: check.Ask}, {Severity: check.Warn}}
	require.Equal(t, check.Warn, ds.Worst())
	require.False(t, ds.HasStop())
	require.True(t, append(ds, source.Diagnostic{Severity: check.Stop}).HasStop())
}
