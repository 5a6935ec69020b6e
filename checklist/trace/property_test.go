package trace_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/checklist/trace"
)

// models are one for every build and arrangement.
func models(t testing.TB) (list []*trace.Model) {
	for _, build := range []string{"dome", "smokebox", "saturated"} {
		for _, arrangement := range []string{"shut", "open"} {
			list = append(list, model(t, build, arrangement))
		}
	}
	return list
}

// drawAnswers makes answers to any tests, in any pressure, some of them twice and some
// that contradict each other.
func drawAnswers(t *rapid.T, c *trace.Circuit, most int) (list []trace.Answer) {
	for range rapid.IntRange(0, most).Draw(t, "answers") {
		if rapid.IntRange(0, 9).Draw(t, "mended") == 0 {
			path := rapid.SampledFrom(c.Paths).Draw(t, "path")
			list = append(list, trace.Answer{Mended: path.Name, Saw: rapid.SampledFrom([]trace.Saw{trace.Yes, trace.No, trace.Unsure}).Draw(t, "holds")})
			continue
		}
		x := rapid.SampledFrom(c.Tests).Draw(t, "test")
		a := trace.Answer{Test: x.Name, Saw: rapid.SampledFrom([]trace.Saw{trace.Yes, trace.No, trace.Unsure}).Draw(t, "saw"), Pressure: rapid.SampledFrom([]trace.Pressure{"", trace.AtWorking, trace.AtTest}).Draw(t, "pressure")}
		switch {
		case len(x.Places) > 1:
			a.Saw = trace.No
			for _, p := range x.Places {
				switch rapid.IntRange(0, 5).Draw(t, "place") {
				case 0:
					a.Wet, a.Saw = append(a.Wet, p), trace.Yes
				case 1:
					a.Not = append(a.Not, p)
				}
			}
		case x.Means == trace.Look && rapid.IntRange(0, 3).Draw(t, "again") == 0:
			a.Again = x.Places[0]
		}
		list = append(list, a)
	}
	return list
}

func beliefs(s *trace.Search) map[string]float64 {
	all := map[string]float64{}
	for _, x := range s.Suspects() {
		all[x.Path.Name] = x.Belief
	}
	return all
}

// Whatever is answered, beliefs are chances; their sum is one and what two causes at
// once add to it; the order of the answers does not matter; an answer given twice is
// no new evidence.
func TestBeliefs(t *testing.T) {
	c, all := boiler(t), models(t)
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(all).Draw(t, "model")
		answers := drawAnswers(t, c, 8)
		s := m.Search(trace.Now{}, answers)
		require.InDelta(t, 1, s.Sum(), 1e-9)
		is := beliefs(s)
		sum := 0.0
		for path, b := range is {
			require.True(t, b >= 0 && b <= 1+1e-9, path)
			sum += b
		}
		require.True(t, sum > 1-1e-9 && sum < 2+1e-9, sum)
		twice := append(slices.Clone(answers), answers...)
		for _, other := range [][]trace.Answer{rapid.Permutation(answers).Draw(t, "order"), twice} {
			then := beliefs(m.Search(trace.Now{}, other))
			for path, b := range is {
				require.InDelta(t, b, then[path], 1e-9, path)
			}
		}
	})
}

// An answer that is likelier under a path than under what is believed now never lowers
// that path. (That more water where a path shows never lowers it would be false: it may
// raise another path more.)
func TestLikelierNeverLowers(t *testing.T) {
	c, all := boiler(t), models(t)
	higher := 0
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(all).Draw(t, "model")
		answers := drawAnswers(t, c, 5)
		before := m.Search(trace.Now{}, answers)
		next := before.Next()
		if len(next) == 0 {
			return
		}
		p := next[rapid.IntRange(0, len(next)-1).Draw(t, "test")]
		if len(p.Places) > 0 {
			return
		}
		saw := rapid.SampledFrom([]trace.Saw{trace.Yes, trace.No}).Draw(t, "saw")
		after := m.Search(trace.Now{}, append(slices.Clone(answers), trace.Answer{Test: p.Test.Name, Again: p.Again, Saw: saw}))
		was, is := beliefs(before), beliefs(after)
		for path := range was {
			under, now := before.Chance(&p, saw, path), before.Chance(&p, saw, "")
			if under >= now {
				higher++
				require.GreaterOrEqual(t, is[path], was[path]-1e-9, "%s: %v under it, %v now", path, under, now)
			} else {
				require.LessOrEqual(t, is[path], was[path]+1e-9, path)
			}
		}
	})
	require.Greater(t, higher, 100)
}

// What the state of the boiler forbids is never proposed, nor what takes things apart,
// nor what was told already; and every proposal can be made as it stands.
func TestProposalsAreSafe(t *testing.T) {
	c, all := boiler(t), models(t)
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(all).Draw(t, "model")
		answers := drawAnswers(t, c, 6)
		now := trace.Now{Pressure: rapid.SampledFrom([]trace.Pressure{"", trace.Down, trace.AtWorking, trace.AtTest}).Draw(t, "pressure")}
		for _, condition := range c.Conditions {
			if rapid.Bool().Draw(t, condition.Name) {
				now.Conditions = append(now.Conditions, condition.Name)
			}
		}
		s := m.Search(now, answers)
		seen := map[string]bool{}
		for i, p := range s.Next() {
			require.False(t, p.Test.Apart, p.Test.Name)
			for _, forbidden := range p.Test.Forbidden {
				require.NotContains(t, now.Conditions, forbidden, p.Test.Name)
			}
			require.False(t, seen[p.Test.Name+p.Again], "twice: %s", p.Test.Name)
			seen[p.Test.Name+p.Again] = true
			if p.Test.Down && p.Again == "" && now.Pressure != trace.Down {
				require.Equal(t, "Let the pressure down to nothing and open the vent.", p.Before[0])
			}
			require.True(t, p.Minutes >= 0 && p.Bits > 0 && p.Bits < 12 && p.Ends >= 0 && p.Ends <= 1+1e-9, "%+v", p)
			sum := 0.0
			if len(p.Places) == 0 && i < 4 {
				for _, x := range p.Meanings() {
					sum += x.Chance
				}
				require.InDelta(t, 1, sum, 1e-9)
				require.NotEmpty(t, p.Why())
			}
		}
		conclusion := s.Conclusion()
		if conclusion.Ending == trace.Stop {
			require.Contains(t, conclusion.Then, "Use no sealing compound.")
		}
		if doubt, found := s.Doubt(); found {
			require.NotEmpty(t, doubt.Again)
		}
		require.False(t, math.IsNaN(conclusion.Chance))
	})
}
