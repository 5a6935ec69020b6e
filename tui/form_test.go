package tui

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

const asking = `format = 2
id = "seal"
title = "Seal it"

[settings.sealing]
ask = "What seals it"
kind = "choice"
choices = ["packing", "o-ring"]
default = "packing"

[settings.ring]
ask = "Thickness of the ring"
kind = "length"
when = ["sealing = o-ring"]

[settings.sheet]
ask = "Time on the container"
kind = "time"
default = ""

[[stage]]
title = "Work"

[[stage.step]]
id = "a"
kind = "record"
do = "Time: ${sheet}."

[[stage.step]]
id = "b"
kind = "record"
do = "Ring ${ring}."
when = ["sealing = o-ring"]
`

func TestFormAsksOnlyWhatApplies(t *testing.T) {
	b := newBench(t, 80, 24, func(o *Options) {
		o.Recipes = fstest.MapFS{"seal.toml": {Data: []byte(asking)}}
	})
	b.keys("w", ":Ana", "enter", "enter")
	b.keys("enter", ":Bramble", "enter")
	b.sees("What seals it", "Time on the container", "not known")
	b.lacks("Thickness of the ring")
	f := b.m.top().(*form)
	require.Empty(t, f.missing(), "a question that is not asked keeps nothing from starting")

	b.keys("enter", "down", "enter") // the other seal
	b.sees("Thickness of the ring", "this needs an answer")
	b.keys("s")
	b.lacks("BEFORE YOU START")
	b.keys("enter", ":2 mm", "enter")
	require.Empty(t, f.missing())

	// The place follows the questions that are left.
	b.keys("up", "up", "enter", "up", "enter")
	b.lacks("Thickness of the ring")
	b.keys("enter")
	b.sees("Time on the container", "Empty leaves it open: not known")
	b.keys("esc", "s")
	b.sees("BEFORE YOU START")
	b.keys("enter")
	b.sees("Time: not known.", "1 of 1")
}
