package paper

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/source"
)

// Every broken file: its first line says whether a general schema validator sees
// the mistake too. Whatever was understood of it can be printed, and does no harm.
func TestBrokenProceduresOnPaper(t *testing.T) {
	files, err := filepath.Glob("../../testdata/procedures/broken/*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	schema := schema(t)
	for _, file := range files {
		name := filepath.Base(file)
		src, err := os.ReadFile(file)
		require.NoError(t, err)
		p, _ := checklist.Read(name, src)
		if p == nil || name == "051-default-nan.toml" { // JSON has no NaN
			continue
		}
		first, _, _ := bytes.Cut(src, []byte("\n"))
		err = schema.Validate(asJSON(t, src))
		if bytes.Contains(first, []byte("A schema sees it.")) {
			require.Error(t, err, name)
		} else {
			require.NoError(t, err, name)
		}
		filled, _ := p.Fill(nil)
		requireHarmless(t, both(t, filled))
	}
}

// both is a filled procedure as text and as Markdown.
func both(t testing.TB, f *checklist.Filled) string {
	var b strings.Builder
	require.NoError(t, WriteText(&b, f, 40))
	require.NoError(t, WriteMarkdown(&b, f))
	return b.String()
}

// requireHarmless says that a text can be shown: nothing in it but letters and
// line feeds.
func requireHarmless(t testing.TB, text string) {
	for _, r := range text {
		require.True(t, r == '\n' || !source.UnsafeRune(r), "U+%04X in the text", r)
	}
}
