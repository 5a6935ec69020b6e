package checklist

import (
	"fmt"
	"io/fs"
	"runtime"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"fettle/checklist/source"
	"fettle/recipes"
)

// longProcedure is the bundled gland procedure with its steps written again
// and again, under new names, until there are n of them: real texts, readings,
// conditions and figures, in the mixture a person writes.
func longProcedure(t testing.TB, n int) []byte {
	src, err := fs.ReadFile(recipes.FS(), "gland.toml")
	require.NoError(t, err)
	head, rest, ok := strings.Cut(string(src), "[[stage]]")
	require.True(t, ok)
	var steps []string
	for _, part := range strings.Split("[[stage]]"+rest, "[[stage")[1:] {
		if strings.HasPrefix(part, ".step]]") {
			step, _, _ := strings.Cut("[[stage"+part, "\n# ----")
			steps = append(steps, step)
		}
	}
	require.Greater(t, len(steps), 18)
	var b strings.Builder
	b.WriteString(head)
	for i := range n {
		if i%25 == 0 {
			fmt.Fprintf(&b, "[[stage]]\ntitle = \"Stage %d\"\n\n", i/25+1)
		}
		var names []string
		for _, name := range []string{"travel", "in"} { // readings that are recalled
			names = append(names, fmt.Sprintf("name = %q", name), fmt.Sprintf("name = \"%s-%d\"", name, i/len(steps)),
				"${"+name+"}", fmt.Sprintf("${%s-%d}", name, i/len(steps)))
		}
		round := strings.NewReplacer(names...)
		for _, line := range strings.Split(strings.TrimRight(round.Replace(steps[i%len(steps)]), "\n"), "\n") {
			switch {
			case strings.HasPrefix(line, "id ") || strings.HasPrefix(line, "id="):
				line = fmt.Sprintf("id = \"step-%05d\"", i)
			case strings.HasPrefix(line, "after"):
				line = ""
			}
			b.WriteString(line + "\n")
		}
		b.WriteString("\n")
	}
	return []byte(b.String())
}

func TestLongProcedureIsRead(t *testing.T) {
	src := longProcedure(t, 10_000)
	require.Less(t, len(src), source.MaxFile)
	p, ds := Read("long.toml", src)
	require.NotNil(t, p)
	require.False(t, ds.HasStop(), "%v", ds)
	require.True(t, p.doc.Located)
	filled, _ := p.Fill(nil)
	require.Greater(t, len(filled.Steps()), 8000) // the rest does not apply
}

// BenchmarkCheck10000 and BenchmarkDecode10000 belong together: the first is to
// cost at most three times the second.
func BenchmarkCheck10000(b *testing.B) { benchmarkCheck(b, 10_000) }

// BenchmarkCheck500 is what a preview costs on every save.
func BenchmarkCheck500(b *testing.B) { benchmarkCheck(b, 500) }

func benchmarkCheck(b *testing.B, n int) {
	src := longProcedure(b, n)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		if p, ds := Read("long.toml", src); p == nil || ds.HasStop() {
			b.Fatal(ds)
		}
	}
}

func BenchmarkDecode10000(b *testing.B) {
	src := string(longProcedure(b, 10_000))
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	for b.Loop() {
		var v any
		if _, err := toml.Decode(src, &v); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHeld10000 reports what stays in memory of a file: the procedure with
// its source, places and diagnostics, and for comparison the decoded document
// alone. The first is to be at most five times the second.
func BenchmarkHeld10000(b *testing.B) {
	src := longProcedure(b, 10_000)
	for b.Loop() {
		b.ReportMetric(held(func() any {
			var v any
			_, err := toml.Decode(string(src), &v)
			require.NoError(b, err)
			return v
		}), "decoded-B")
		b.ReportMetric(held(func() any {
			p, ds := Read("long.toml", src)
			return []any{p, ds}
		}), "held-B")
	}
}

func held(make func() any) float64 {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	v := make()
	runtime.GC()
	runtime.ReadMemStats(&after)
	runtime.KeepAlive(v)
	return float64(after.HeapAlloc) - float64(before.HeapAlloc)
}

// BenchmarkHostile reads files that cost a careless reader the square of their
// size; the whole of each is to cost about four times its quarter.
func BenchmarkHostile(b *testing.B) {
	head := "format = 2\nid = \"x\"\ntitle = \"x\"\n"
	steps := func(n int, body func(int) string) string {
		var b strings.Builder
		b.WriteString(head + "[[stage]]\ntitle = \"x\"\n")
		for i := range n {
			fmt.Fprintf(&b, "[[stage.step]]\nid = \"s%d\"\nkind = \"seal\"\ndo = \"x\"\n%s", i, body(i))
		}
		return b.String()
	}
	for _, c := range []struct {
		name string
		make func(n int) string
	}{
		{"keys", func(n int) string { return head + manyKeys(n) }},
		{"keys on one line", func(n int) string {
			return head + "a = { " + strings.ReplaceAll(strings.TrimSpace(manyKeys(n)), "\n", ", ") + " }\n"
		}},
		{"settings", func(n int) string { return head + strings.ReplaceAll(manyKeys(n), "a", "settings.a") }},
		{"steps", func(n int) string { return steps(n/10, func(int) string { return "" }) }},
		{"needs that are not there", func(n int) string { return steps(n/10, func(int) string { return "after = [\"t\"]\n" }) }},
		{"needs of all", func(n int) string {
			return steps(n/10, func(i int) string { return fmt.Sprintf("after = [\"s%d\"]\n", (i+1)%(n/10)) })
		}},
		{"dollars", func(n int) string { return head + "about = \"" + strings.Repeat("${", n) + "\"\n" }},
		{"comments", func(n int) string { return head + strings.Repeat("#\n", n) }},
	} {
		for _, n := range []int{50_000, 200_000} {
			src := []byte(c.make(n))
			b.Run(fmt.Sprintf("%s/%d", c.name, n), func(b *testing.B) {
				b.SetBytes(int64(len(src)))
				for b.Loop() {
					if _, ds := Read("x.toml", src); len(ds) == 0 {
						b.Fatal("nothing found")
					}
				}
			})
		}
	}
}
