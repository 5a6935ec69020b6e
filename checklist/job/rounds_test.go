package job

import (
	"testing"

	"github.com/stretchr/testify/require"
)

const roundsProcedure = `format = 2
id = "ring"
title = "A ring of screws"
[fasteners.cover]
thread = "M4"
grade = "A2-70"
lubricant = "anti-seize"
count = 6
[[stage]]
title = "On"
[[stage.step]]
id = "fingers"
kind = "tighten"
do = "All ${cover.count} by fingers."
parts = ["cover"]
[[stage.step]]
id = "pass-1"
kind = "tighten"
do = "Each to ${cover.first_pass}."
parts = ["cover"]
[[stage.step]]
id = "pass-2"
kind = "tighten"
do = "Each to ${cover.second_pass}."
parts = ["cover"]
[[stage.step]]
id = "full"
kind = "tighten"
do = "Each to ${cover.torque}, then round."
parts = ["cover"]
[[stage.step]]
id = "cold-round"
kind = "tighten"
do = "Once round at ${cover.torque}, cold."
parts = ["cover"]
`

// The whole torque comes after its passes: left out or let pass, they are no
// less missing, and a tick that another program wrote does not count.
func TestNoWholeTorqueBeforeItsPasses(t *testing.T) {
	b := newBench(t)
	j, err := Start(memJob, tap(t, roundsProcedure), nil, "Bramble", b.env)
	require.NoError(t, err)
	must(j.Tick("fingers"))
	_, err = j.Tick("full")
	require.ErrorContains(t, err, "not to the whole torque before pass-1")
	require.ErrorContains(t, err, "and pass-2")
	_, err = j.Pass("full", GateRounds, "Ruth", "in a hurry")
	require.ErrorContains(t, err, "no reason passes it")

	must(j.Tick("pass-1"))
	must(j.Skip("pass-2", "it was late"))
	_, err = j.Tick("full")
	require.ErrorContains(t, err, "not to the whole torque before pass-2")
	_, err = j.writer.save(func(bool) (Entry, error) { return Entry{Kind: KindTick, By: "Eve", Step: "full"}, nil }, j.look)
	require.NoError(t, err)
	require.Equal(t, Blocked, j.State().Steps["full"].Status)
	require.Contains(t, j.State().Steps["full"].Blocks[0], "does not count")

	// What was left out may be done after all; then all is well.
	must(j.Tick("pass-2"))
	require.Equal(t, Done, j.State().Steps["full"].Status)
	must(j.Tick("cold-round"))

	// A pass that is taken back takes the torque with it.
	must(j.UndoStep("pass-1"))
	require.Equal(t, Blocked, j.State().Steps["full"].Status)
	require.Equal(t, Blocked, j.State().Steps["cold-round"].Status)
}
