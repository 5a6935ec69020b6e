package job

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const datedProcedure = `format = 2
id = "seal"
title = "A sealed thread"
[settings.use_by]
ask = "Last day of the sealant"
kind = "date"
default = ""
[fasteners.stud]
thread = "M4"
[seals.paste]
label = "Sealant"
kind = "sealant"
material = "anaerobic sealant"
zone = "cold feed"
pressure = "30 psi"
use_by = "${use_by}"
[[stage]]
title = "On"
[[stage.step]]
id = "container"
kind = "inspect"
do = "Read the container."
parts = ["paste"]
reading = [{ name = "use_by", ask = "Last day of the sealant", kind = "date", sets = "use_by" }]
[[stage.step]]
id = "dry"
kind = "dry-fit"
do = "Try it dry."
parts = ["paste", "stud"]
[[stage.step]]
id = "seal"
kind = "seal"
do = "Seal it."
parts = ["paste", "stud"]
`

// The day on the container is looked at when the step is done, not when it was
// read: a job lies for weeks.
func TestASealantPastItsDay(t *testing.T) {
	b := newBench(t)
	j, err := Start(memJob, tap(t, datedProcedure), nil, "Bramble", b.env)
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(j.Needs()), "see its date before you come")
	_, err = j.Read("container", "use_by", "soon")
	require.ErrorContains(t, err, "write it like 2026-08-31")
	must(j.Read("container", "use_by", b.now.AddDate(0, 0, 3).Format("2006-01-02")))
	must(j.Tick("container"))
	must(j.Tick("dry"))
	require.Equal(t, Todo, j.State().Steps["seal"].Status)
	require.Contains(t, fmt.Sprint(j.Needs()), "the one at hand is to be used by")

	b.now = b.now.AddDate(0, 0, 4)
	_, err = j.Tick("seal")
	require.ErrorContains(t, err, "Sealant was to be used by")
	require.Contains(t, fmt.Sprint(j.Needs()), "the one at hand was to be used by")
	must(j.Pass("seal", GateDate, "Ruth", "tried on a scrap: it cured"))
	require.Equal(t, Todo, j.State().Steps["seal"].Status)

	var page bytes.Buffer
	require.NoError(t, j.Record().WriteMarkdown(&page))
	require.Contains(t, page.String(), "to be used by "+b.now.AddDate(0, 0, -1).Format("2 Jan 2006"))
	require.Contains(t, page.String(), "tried on a scrap")

	// A new container; then it is that one's day that counts.
	must(j.Read("container", "use_by", "12/2030"))
	require.Equal(t, Todo, j.State().Steps["seal"].Status)
	b.now = time.Date(2031, 1, 1, 9, 0, 0, 0, time.UTC)
	_, err = j.Tick("seal")
	require.ErrorContains(t, err, "31 Dec 2030", "the old pass is not for this one")
}
