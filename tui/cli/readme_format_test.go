package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

// The procedure in README.md is one that works: nothing is found in it, with
// its defaults and with its other choice.
func TestReadmeProcedure(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	ran := 0
	for _, block := range strings.Split(string(text), "```toml\n")[1:] {
		src, _, closed := strings.Cut(block, "```")
		require.True(t, closed)
		if !strings.HasPrefix(src, "format = 2\n") {
			continue
		}
		ran++
		p, found := checklist.Read("README.md", []byte(src))
		require.Empty(t, found)
		for _, sealing := range []string{"packing", "o-ring"} {
			filled, found := p.Fill(map[string]string{"sealing": sealing})
			require.Empty(t, found)
			for _, step := range filled.Steps() {
				require.NotContains(t, step.Do, "[", "every figure is known")
				require.NotContains(t, step.Do, "${")
				require.True(t, step.Hold == "" || len(step.Readings) == 0, "what a release rests on is read before it")
			}
		}
	}
	require.Equal(t, 1, ran, "one whole procedure stands in README.md")
}
