package paper

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

// Every rule is explained, with its reason; those of the file and of the order of work
// with a piece that shows it.
func TestExplain(t *testing.T) {
	shown := 0
	rules := append(checklist.Rules(), checklist.FileRules()...)
	for _, r := range rules {
		var b strings.Builder
		require.NoError(t, Explain(&b, r.ID, 60))
		words := strings.Join(strings.Fields(b.String()), " ")
		require.Contains(t, words, r.Looks)
		require.Contains(t, words, r.Reason)
		require.NotEmpty(t, r.Reason, r.ID)
		require.Equal(t, r.Acceptable, strings.Contains(words, "accept = [{ rule = \""+r.ID), r.ID)
		if example(r.ID) != "" {
			shown++
			require.Contains(t, b.String(), strings.Split(example(r.ID), "\n")[0])
		}
	}
	require.GreaterOrEqual(t, shown, 40)
	require.ErrorContains(t, Explain(&strings.Builder{}, "wet-stel", 60), "did you mean `wet-steel`?")
}
