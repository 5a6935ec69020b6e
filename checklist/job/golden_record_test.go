package job

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The refit of this version, with an entry of every kind of judgement, says the
// same on paper for ever. Its test entries are the ones a device would have made
// that had seen the cure end.
func TestOldRecord(t *testing.T) {
	old := filepath.Join("..", "..", "testdata", "jobs", "refit-v1")
	dir := filepath.Join(t.TempDir(), "job")
	require.NoError(t, os.CopyFS(dir, os.DirFS(old)))
	now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	j, err := Open(dir, Env{Now: func() time.Time { return now }, StateDir: t.TempDir(), Person: "Olga"})
	require.NoError(t, err)
	kinds := map[string]bool{}
	for _, e := range j.Log() {
		kinds[e.Kind] = true
	}
	for _, kind := range []string{KindFinding, KindDispose, KindShort, KindGot, KindPass, KindWitness, KindShop, KindTally, KindBlank,
		KindSheet, KindRun, KindPoint, KindTrial, KindResult, KindSign} {
		require.True(t, kinds[kind], kind)
	}
	state := j.State()
	require.Equal(t, "2 BA", state.Findings[0].Disposition.Data["thread"])
	require.Nil(t, state.Findings[1].Disposition)
	require.Len(t, state.Steps["dry"].Reopened, 1)
	require.Equal(t, Blocked, state.Steps["screw-3-tap"].Status, "the first hold was released without saying what was seen")
	require.Equal(t, 1, state.Tallies[0].Inside)
	require.False(t, state.Blanks[0].Fitted)
	require.True(t, state.Blanks[1].Fitted)
	require.False(t, state.Short[0].Open())
	require.True(t, state.Short[1].Open())
	run := state.Test.Last()
	require.Equal(t, "fail", run.Result)
	require.Len(t, run.Points, 3)
	require.Equal(t, "F14", run.Suspects()[0].ID)
	require.Equal(t, "Ruth", run.Signed[0].By)
	var page bytes.Buffer
	require.NoError(t, j.Record().WriteHTML(&page))
	require.Contains(t, page.String(), "data:image/png;base64,")
}
