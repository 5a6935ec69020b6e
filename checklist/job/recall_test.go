package job

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What was read in one step is the limit in a later one; a correction counts,
// and so does taking it back.
func TestAnEarlierReadingIsALimit(t *testing.T) {
	b := newBench(t)
	proc := tap(t, `format = 2
id     = "blanks"
title  = "Blanks"

[[stage]]
title = "Work"

[[stage.step]]
id   = "on"
kind = "record"
do   = "Fit blanks."
reading = [{ name = "blanks_on", ask = "Blanks fitted", kind = "count" }]

[[stage.step]]
id   = "off"
kind = "record"
do   = "Take off ${blanks_on} blanks."
reading = [{ name = "blanks_off", ask = "Blanks taken off", kind = "count", low = "${blanks_on}", high = "${blanks_on}", outside = "stop" }]
`)
	j, err := Start(memJob, proc, nil, "Bramble", b.env)
	require.NoError(t, err)
	require.Equal(t, "Take off not read yet blanks.", j.Filled().Step("off").Do)

	s, err := j.Read("on", "blanks_on", "4")
	saved(t, s, err)
	require.Equal(t, "Take off 4 blanks.", j.Filled().Step("off").Do)
	s, err = j.Tick("on")
	saved(t, s, err)
	s, err = j.Read("off", "blanks_off", "3")
	saved(t, s, err)
	_, err = j.Tick("off")
	require.Error(t, err, "one is still on")
	require.True(t, strings.Contains(err.Error(), "3") && strings.Contains(err.Error(), "4"), err.Error())

	s, err = j.Read("on", "blanks_on", "3") // miscounted
	saved(t, s, err)
	require.Equal(t, "Take off 3 blanks.", j.Filled().Step("off").Do)
	s, err = j.Undo()
	saved(t, s, err)
	require.Equal(t, "Take off 4 blanks.", j.Filled().Step("off").Do)

	again := b.open(b.env)
	require.Equal(t, "Take off 4 blanks.", again.Filled().Step("off").Do)
	s, err = again.Read("off", "blanks_off", "4")
	saved(t, s, err)
	s, err = again.Tick("off")
	saved(t, s, err)
}
