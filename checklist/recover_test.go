package checklist

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/checklist/source"
)

// Junk between good lines loses nothing that is said of the good ones.
func TestJunkLosesNoDiagnostics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var b strings.Builder
		b.WriteString("format = 2\nid = \"x\"\ntitle = \"x\"\n[[stage]]\ntitle = \"x\"\n")
		steps := rapid.IntRange(1, 6).Draw(t, "steps")
		junk := func() {
			if rapid.IntRange(0, 2).Draw(t, "any") == 0 {
				b.WriteString(rapid.StringMatching(`[?!%&()|<>;,.+*/0-9"' =:-]{1,12}`).Draw(t, "junk") + "\n")
			}
		}
		for i := range steps {
			b.WriteString("[[stage.step]]\n")
			for _, line := range []string{fmt.Sprintf("id = \"s%d\"", i), fmt.Sprintf("kind = \"wrong%d\"", i), "do = \"x\""} {
				junk()
				b.WriteString(line + "\n")
			}
			junk()
		}
		p, found := Read("x.toml", []byte(b.String()))
		if p == nil {
			t.Fatalf("nothing is made of it\n%s", b.String())
		}
		text := fmt.Sprint(found)
		for i := range steps {
			if !strings.Contains(text, fmt.Sprintf("\"wrong%d\" is no kind of a step", i)) {
				t.Fatalf("step %d is lost\n%s\n%s", i, b.String(), text)
			}
		}
		for _, d := range found {
			if d.Line > strings.Count(b.String(), "\n")+1 {
				t.Fatalf("%s lies outside", d)
			}
		}
	})
}

// What is certain is put in, and is then no mistake any more; what is not certain
// stays, and no mistake comes in.
func TestFixesAreRight(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(brokenDir, "*.toml"))
	require.NoError(t, err)
	fixed := 0
	for _, file := range files {
		src, err := os.ReadFile(file)
		require.NoError(t, err)
		_, before := Read("x.toml", src)
		text, n := before.Fixed(string(src))
		if n == 0 {
			require.Equal(t, string(src), text)
			continue
		}
		fixed++
		_, after := Read("x.toml", []byte(text))
		_, more := after.Fixed(text)
		require.Zero(t, more, "%s: once is enough", file)
		count := func(ds source.Diagnostics) (n int) {
			for _, d := range ds {
				if d.Rule == source.RuleUnreadable {
					n++
				}
			}
			return n
		}
		require.LessOrEqual(t, count(after), count(before), file)
		for _, d := range before {
			for _, left := range after {
				require.False(t, d.Fix != nil && left.Message == d.Message && left.Line == d.Line, "%s: %s is still there", file, d)
			}
		}
	}
	require.Greater(t, fixed, 15)
}
