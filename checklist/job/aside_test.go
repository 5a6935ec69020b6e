package job

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

func (b *bench) gland() *Job {
	source, err := os.ReadFile("../../recipes/gland.toml")
	require.NoError(b.t, err)
	p, found := checklist.NewLibrary(os.DirFS("../../recipes")).Read("gland.toml", source)
	require.Empty(b.t, found)
	j, err := Start(memJob, p, nil, "Bramble", b.env)
	require.NoError(b.t, err)
	return j
}

// A reading that cannot be leaves the figures as they were, and is named.
func TestAReadingThatDoesNotGoWithTheRest(t *testing.T) {
	b := newBench(t)
	j := b.gland()
	before := ""
	for _, step := range j.Filled().Steps() {
		before += step.Do
	}
	require.NotContains(t, before, "not known]")
	_, use := j.fill(j.view().fold, map[string]string{"spindle": "50 mm"})
	require.Len(t, use, 1)
	require.Contains(t, use[0], "The reading spindle 50 mm does not go with the rest")
	filled, use := j.fill(j.view().fold, map[string]string{"spindle": "50 mm", "box": "9.6 mm"})
	require.Len(t, use, 1)
	require.Contains(t, use[0], "spindle")
	for _, step := range filled.Steps() {
		require.NotContains(t, step.Do, "not known]", step.ID)
	}
}

// What a step says to put on the list is on it once the step can be done.
func TestAStepPutsOnTheList(t *testing.T) {
	b := newBench(t)
	source := `format = 2
id = "list"
title = "List"
[[stage]]
title = "Work"
[[stage.step]]
id = "look"
kind = "inspect"
do = "Look."
[[stage.step]]
id = "order"
kind = "record"
do = "Put on the list: 100.5 mm of yarn, 2.4 mm square. A spindle if it is near its limit."
`
	j, err := Start(memJob, tap(t, source), nil, "Bramble", b.env)
	require.NoError(t, err)
	list := j.Needs()
	require.Empty(t, list.Items)
	s, err := j.Tick("look")
	saved(t, s, err)
	for range 2 {
		list = j.Needs()
		require.Len(t, list.Items, 1)
		require.Equal(t, "100.5 mm of yarn, 2.4 mm square", list.Items[0].What)
		if j.State().Steps["order"].Status == Todo {
			s, err = j.Tick("order")
			saved(t, s, err)
		}
	}
	s, err = j.Got("1")
	saved(t, s, err)
	list = j.Needs()
	require.Empty(t, list.Open())
	require.False(t, strings.Contains(list.Items[0].What, "spindle"))
}
