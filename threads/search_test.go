package threads

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func names(list []Thread) (out []string) {
	for _, t := range list {
		out = append(out, t.String())
	}
	return out
}

func TestSearchWhileTyping(t *testing.T) {
	for typed, first := range map[string][]string{
		"M":       {"M1", "M2", "M3", "M4"},
		"m4":      {"M4", "M4.5", "M4x0.5"},
		"m8x":     {"M8x1", "M8x0.75"},
		"2b":      {"2 BA"},
		"2 ba":    {"2 BA"},
		"ba":      {"0 BA", "1 BA", "2 BA"},
		"ba 1":    {"1 BA", "10 BA"},
		"1/4x":    {"1/4 x 40 ME", "1/4 x 32 ME", "1/4 x 26 brass"},
		"1/4 4":   {"1/4 x 40 ME"},
		"1/4x26":  {"1/4 x 26 brass", "1/4 BSF"},
		"1/4 w":   {"1/4 BSW"},
		"whit":    nil,
		"g1":      {"G 1"},
		"g 1/8":   {"G 1/8"},
		"bsp 1/":  nil,
		"10-":     {"10-24 UNC", "10-32 UNF"},
		"#10":     {"10-24 UNC", "10-32 UNF"},
		"m5x0.6":  {"M5x0.6"},
		"1/4 bfs": {"1/4 BSF"},
	} {
		got := Search(typed, 8)
		require.NotEmpty(t, got, typed)
		require.LessOrEqual(t, len(got), 8)
		if first != nil {
			require.Equal(t, first, names(got)[:len(first)], "%q gives %v", typed, names(got))
		}
	}
	require.Len(t, Search("", 5), 5)
	require.Empty(t, Search("m4", 0))
	require.Empty(t, Search("zzzzzz", 5))
}

// Typing any designation letter by letter ends with that thread first.
func TestSearchFindsEveryThread(t *testing.T) {
	for _, th := range All() {
		name := th.String()
		require.Equal(t, th, Search(name, 3)[0], name)
		for i := 1; i <= len(name); i++ {
			require.NotEmpty(t, Search(name[:i], 5), name[:i])
		}
	}
}

func BenchmarkSearch(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Search("1/4", 10)
	}
}
