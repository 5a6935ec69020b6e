package trace_test

import (
	"io/fs"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/circuit"
	"fettle/checklist/trace"
	"fettle/recipes"
)

// The bundled circuit, which was written down before anything was worked out from it.
func boilerFile(t testing.TB) []byte {
	src, err := fs.ReadFile(recipes.Circuits(), "boiler.toml")
	require.NoError(t, err)
	return src
}

func boiler(t testing.TB) *trace.Circuit {
	c, ds := circuit.Read("boiler.toml", boilerFile(t))
	require.Empty(t, ds)
	return c
}

func model(t testing.TB, build, arrangement string) *trace.Model {
	m, err := trace.NewModel(boiler(t), trace.Case{Build: build, Arrangement: arrangement})
	require.NoError(t, err)
	return m
}

func belief(s *trace.Search, path string) float64 {
	for _, x := range s.Suspects() {
		if x.Path.Name == path {
			return x.Belief
		}
	}
	return 0
}

// The figures are those of a reference program that was written apart from this one,
// fed with the same judgement of the trade; in print to four digits.
func TestWorkedExamples(t *testing.T) {
	m := model(t, "dome", "shut")
	search := func(answers ...trace.Answer) *trace.Search { return m.Search(trace.Now{}, answers) }
	round := trace.Answer{Test: "round", Saw: trace.No, Wet: []string{"spindles"}}
	again := trace.Answer{Test: "spindles", Again: "spindles", Saw: trace.Yes}
	nip := trace.Answer{Test: "nip-gland", Saw: trace.Yes}
	still := trace.Answer{Test: "nip-gland", Saw: trace.No}
	require.InDelta(t, 0.7872, belief(search(round), "glands"), 5e-5)
	require.InDelta(t, 0.9346, belief(search(round, again), "glands"), 5e-5)
	require.InDelta(t, 0.9966, belief(search(round, again, nip), "glands"), 5e-5)
	require.InDelta(t, 0.7293, belief(search(round, again, still), "glands"), 5e-5)

	wait := trace.Answer{Test: "wait", Saw: trace.Yes}
	temperature := trace.Answer{Test: "temperature", Saw: trace.Yes}
	require.InDelta(t, 0.6485, belief(search(wait), "settling"), 5e-5)
	require.InDelta(t, 0.9515, belief(search(wait, temperature), "settling"), 5e-5)

	dry := trace.Answer{Test: "round", Saw: trace.No}
	drains := trace.Answer{Test: "drain-cocks", Saw: trace.Yes}
	drip := trace.Answer{Test: "drain-cocks", Again: "drain-cocks", Saw: trace.Yes}
	s := search(dry, drains, drip)
	require.InDelta(t, 0.7465, belief(s, "regulator"), 5e-5)
	require.InDelta(t, 0.2186, belief(s, "steam-pipe"), 5e-5)
	require.InDelta(t, 0.9577, s.Conclusion().Chance, 5e-5)
	require.Len(t, s.Conclusion().Paths, 2)

	// Bits a minute of the blowdown against what the reference program found for it.
	require.InDelta(t, 0.1155, proposal(search(), "blowdown", "").Bits/1.5, 5e-5)
	// A walk of twelve places is worth it although its first crumbs are cheaper.
	require.Equal(t, "round", search().Next()[0].Test.Name)
}
