package paper

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/threads"
)

// What is written to start from has no mistake, whatever the thread.
func TestStartersHaveNoMistakes(t *testing.T) {
	schema := schema(t)
	all := threads.All()
	for _, seal := range StarterSeals() {
		for i, thread := range all {
			if thread.Major < 2 || thread.Major > 20 || (i%23 != 0 && thread.String() != "M4") {
				continue
			}
			s := Starter{ID: "my-fitting", Title: `The "best" ${fitting} \ of all`, Seal: seal, Thread: thread.String()}
			src, err := WriteStarter(os.DirFS("../../recipes/starters"), s)
			if err != nil {
				require.Equal(t, "gasket", seal)
				require.True(t, thread.Taper() > 0 || thread.Moves(), "%v", err)
				continue
			}
			p, ds := checklist.Read("my-fitting.toml", []byte(src))
			require.NotNil(t, p)
			require.Empty(t, ds, "%s, %s", seal, thread)
			require.Equal(t, s.Title, p.Title)
			require.NoError(t, schema.Validate(asJSON(t, []byte(src))))
			filled, ds := p.Fill(nil)
			require.Empty(t, ds)
			require.Greater(t, len(filled.Steps()), 4)
			holds := 0
			for _, step := range filled.Steps() {
				if step.Hold != "" {
					holds++
					require.Empty(t, step.Readings, "what a release rests on is read before it")
				}
			}
			require.Positive(t, holds)
		}
	}
}
