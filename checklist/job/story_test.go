package job

import (
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

const storyProcedure = `
format = 2
id = "tap"
title = "Tap"

[[stage]]
title = "All"

[[stage.step]]
id = "cold"
kind = "inspect"
do = "Cold."

[[stage.step]]
id = "bore"
kind = "measure"
after = ["cold"]
do = "Measure."
reading = [{ name = "bore", ask = "Bore", kind = "length", unit = "mm", nominal = "6", within = "±0.1" }]

[[stage.step]]
id = "tapped"
kind = "make"
after = ["bore"]
do = "Tap it."
call = { procedure = "deburr", set = { place = "the tapped hole" }, ask = "the hole has a burr" }
`

const storyCalled = `
format = 2
id = "deburr"
title = "Deburr"

[settings.place]
ask = "Place"
kind = "text"

[settings.tool]
ask = "Tool"
kind = "text"

[[stage]]
title = "All"

[[stage.step]]
id = "burr"
kind = "make"
do = "Off with the burr of ${place}, with a ${tool}."
`

func play(t *testing.T, told string) (dir, backstage string, now time.Time, err error) {
	t.Helper()
	top := t.TempDir()
	dir, backstage = filepath.Join(top, "job"), filepath.Join(top, "back")
	now = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	proc, found := checklist.Read("tap.toml", []byte(storyProcedure))
	require.Empty(t, found)
	s, err := ReadStory([]byte(told))
	require.NoError(t, err)
	require.NoError(t, os.Mkdir(backstage, 0o755))
	return dir, backstage, now, s.Play(dir, backstage, proc, checklist.NewLibrary(fstest.MapFS{"deburr.toml": {Data: []byte(storyCalled)}}), Env{Now: func() time.Time { return now }})
}

// Somebody apart does not see what the others enter, and in the end all of it
// lies together, in one log for each device.
func TestStoryOfTwoPeople(t *testing.T) {
	dir, _, now, err := play(t, `
engine = "Bramble"
[[visit]]
by = "Ana"
ago = "2 h"
every = "10 min"
entries = [{ step = "cold", done = true }]
[[visit]]
by = "Tom"
ago = "90 min"
every = "1 min"
entries = [{ step = "bore", read = { bore = "6.02" } }]
[[visit]]
by = "Ana"
ago = "60 min"
every = "1 min"
apart = true
entries = [{ step = "bore", read = { bore = "6.05" }, note = "Oval" }]
[[visit]]
by = "Tom"
ago = "30 min"
every = "1 min"
apart = true
entries = [{ note = "Home" }]
`)
	require.NoError(t, err)
	j, err := Open(dir, Env{Now: func() time.Time { return now }, StateDir: t.TempDir()})
	require.NoError(t, err)
	state := j.State()
	require.Len(t, state.Conflicts, 1)
	require.Len(t, state.Steps["bore"].Readings["bore"], 2)
	require.Equal(t, now.Add(-110*time.Minute), state.Steps["cold"].Ticks[0].At.UTC())
	logs, err := filepath.Glob(filepath.Join(dir, "log-*"))
	require.NoError(t, err)
	require.Len(t, logs, 2)
	v, err := j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%+v", v)
}

// A story keeps to the rules of the job. One that does not is told nowhere.
func TestStoryThatCannotBeTold(t *testing.T) {
	for name, c := range map[string]struct{ entries, want string }{
		"before its time":   {`{ step = "bore", done = true }`, "first do cold"},
		"no such step":      {`{ step = "boil", done = true }`, `no step "boil"`},
		"no reading":        {`{ step = "cold", done = true }, { step = "bore", read = { bore = "wide" } }`, "wide"},
		"in the future":     {`{ note = "a" }, { note = "b" }, { note = "c" }, { note = "d" }`, "in the future"},
		"no such finding":   {`{ step = "finding 1", done = true }`, `no finding "1"`},
		"nothing came of":   {`{ find = "leak", text = "Wet" }, { step = "finding 1", done = true }`, "brought in no step"},
		"no tick of a hold": {`{ step = "cold", release = "Ruth" }`, "no hold point"},
	} {
		t.Run(name, func(t *testing.T) {
			dir, _, _, err := play(t, "engine = \"Bramble\"\n[[visit]]\nby = \"Ana\"\nago = \"30 min\"\nevery = \"10 min\"\nentries = ["+c.entries+"]\n")
			require.ErrorContains(t, err, c.want)
			require.NoDirExists(t, dir)
		})
	}
	for _, told := range []string{"", "visit = 3", "[[visit]]\nby = \"Ana\"\nwhen = \"now\"", "engine = "} {
		_, err := ReadStory([]byte(told))
		require.Error(t, err, told)
	}
}

// What a step called travels with the job it was called from, and what was done
// in it is done for whoever has the job.
func TestStoryOfACalledProcedure(t *testing.T) {
	dir, _, now, err := play(t, `
engine = "Bramble"
[[visit]]
by = "Ana"
ago = "2 h"
every = "10 min"
entries = [{ step = "cold", done = true }]
[[visit]]
by = "Tom"
ago = "90 min"
every = "5 min"
entries = [
  { step = "bore", read = { bore = "6" }, done = true },
  { step = "tapped", call = { tool = "scraper" } },
  { in = "tapped", step = "burr", note = "Sharp.", done = true },
]
[[visit]]
by = "Ana"
ago = "30 min"
every = "5 min"
entries = [{ step = "tapped", done = true }]
`)
	require.NoError(t, err)
	j, err := Open(dir, Env{Now: func() time.Time { return now }, StateDir: t.TempDir(), Person: "Eve"})
	require.NoError(t, err)
	called := j.State().CalledBy("tapped")
	require.Len(t, called, 1)
	require.False(t, called[0].Open)
	require.Equal(t, "Tom", called[0].By)
	require.Equal(t, Done, j.State().Steps["tapped"].Status)
	inner, err := Open(called[0].Dir, Env{Now: func() time.Time { return now }, StateDir: t.TempDir(), Person: "Eve"})
	require.NoError(t, err)
	require.Equal(t, "Off with the burr of the tapped hole, with a scraper.", inner.Filled().Step("burr").Do)

	_, _, _, err = play(t, "engine = \"Bramble\"\n[[visit]]\nby = \"Ana\"\nago = \"2 h\"\nevery = \"10 min\"\nentries = [{ in = \"tapped\", step = \"burr\", done = true }]\n")
	require.ErrorContains(t, err, "step tapped called nothing")
}
