package job

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

const probableProcedure = `format = 2
id = "cover"
title = "A cover"
[settings.cover_thread]
ask = "Thread of the cover screws"
kind = "thread"
default = "M4"
[fasteners.cover]
thread = "${cover_thread}"
grade = "A2-70"
lubricant = "anti-seize"
length = "12 mm"
count = 2
[[stage]]
title = "On"
[[stage.step]]
id = "wash"
kind = "measure"
do = "Read the thread: ${cover.thread}."
parts = ["cover"]
reading = [{ name = "cover_thread", ask = "Thread of the cover screws", kind = "thread", sets = "cover_thread" }]
[[stage.step]]
id = "dry"
kind = "dry-fit"
do = "Cover on, ${cover.count} screws by hand."
parts = ["cover"]
[[stage.step]]
id = "other"
kind = "inspect"
do = "Look at ${cover.thread}."
parts = ["cover"]
after = []
`

// A thread that was measured and not tried is asked about before parts of it are
// ordered or go in: both candidates stand on the list, and a gauge or a known
// mate settles it.
func TestAProbableThreadIsSettledFirst(t *testing.T) {
	for _, mark := range []string{"4 BA?", "4 BA ?", "4 BA probable", "4 BA (probable)"} {
		b := newBench(t)
		j, err := Start(memJob, tap(t, probableProcedure), nil, "Bramble", b.env)
		require.NoError(t, err)
		must(j.Read("wash", "cover_thread", mark))
		must(j.Tick("wash"))
		s := j.State().Steps["wash"]
		require.Equal(t, mark, s.Readings["cover_thread"][0].Value, "kept as it was typed")
		require.Equal(t, "4 BA, only probable", s.Readings["cover_thread"][0].Judgement.Text)
		require.Equal(t, "Read the thread: 4 BA.", j.Filled().Step("wash").Do, "the figures are those of the thread")

		_, err = j.Tick("dry")
		require.ErrorContains(t, err, "ask: 4 BA is only probable for cover")
		require.Equal(t, Todo, j.State().Steps["other"].Status, "to look is always allowed")
		list := fmt.Sprint(j.Needs())
		require.Contains(t, list, "Gauge or known mate of 4 BA and of ")
		require.Contains(t, list, "thread only probable, may be ")

		must(j.Read("wash", "cover_thread", "4 BA"))
		require.NotContains(t, fmt.Sprint(j.Needs()), "probable")
		must(j.Tick("dry"))
	}
}

// A named person may let it go on; another thread wants another answer.
func TestAProbableThreadIsLetPassByName(t *testing.T) {
	b := newBench(t)
	j, err := Start(memJob, tap(t, probableProcedure), map[string]string{"cover_thread": "4 BA?"}, "Bramble", b.env)
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(j.Filled().Fasteners[0].Figures), "4 BA")
	must(j.Read("wash", "cover_thread", "4 BA?"))
	must(j.Tick("wash"))
	must(j.Pass("dry", GateThread, "Ruth", "the old screws are kept"))
	require.Equal(t, Todo, j.State().Steps["dry"].Status)
	must(j.Read("wash", "cover_thread", "M3.5?"))
	_, err = j.Tick("dry")
	require.ErrorContains(t, err, "M3.5 is only probable")

	_, err = j.Read("wash", "cover_thread", "?")
	require.Error(t, err)
	_, err = j.Read("wash", "cover_thread", "probable")
	require.Error(t, err)
}
