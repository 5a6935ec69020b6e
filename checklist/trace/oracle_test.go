package trace_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/trace"
)

// ideal is a problem of the literature as a circuit: one cause at a time, and tests
// that never err. rows say under which causes a test answers yes.
func ideal(t testing.TB, often []float64, rows []string, minutes ...float64) *trace.Model {
	c := &trace.Circuit{ID: "ideal", Builds: []trace.Named{{Name: "any"}}, Arrangements: []trace.Named{{Name: "any"}}}
	for i, w := range often {
		c.Paths = append(c.Paths, trace.Path{Named: trace.Named{Name: fmt.Sprint("c", i), Called: "A cause"}, Kind: trace.Seen, Often: w})
	}
	for j, row := range rows {
		x := trace.Test{Name: fmt.Sprint("t", j+1), Means: trace.Says, Minutes: 1}
		if len(minutes) > 0 {
			x.Minutes = minutes[j]
		}
		for i, r := range row {
			if r == '1' {
				x.Says = append(x.Says, trace.Share{Name: fmt.Sprint("c", i), Chance: 1})
			}
		}
		c.Tests = append(c.Tests, x)
	}
	m, err := trace.NewModel(c, trace.Case{Build: "any", Arrangement: "any"})
	require.NoError(t, err)
	return m
}

// left is what a test leaves to be known, in bits, of the entropy there is.
func left(m *trace.Model, test string, entropy float64) float64 {
	return entropy - proposal(m.Search(trace.Now{}, nil), test, "").Bits
}

// cost is what it costs on average to tell every cause by the tests with the most bits
// a minute; first is the first of them.
func cost(m *trace.Model, often []float64, rows []string) (minutes float64, first string) {
	sum := 0.0
	for _, w := range often {
		sum += w
	}
	for i := range often {
		var answers []trace.Answer
		still := func() (n int) {
			for k := range often {
				if !slices.ContainsFunc(answers, func(a trace.Answer) bool {
					return (rows[number(a.Test)][k] == '1') != (a.Saw == trace.Yes)
				}) {
					n++
				}
			}
			return n
		}
		for still() > 1 {
			next := slices.MaxFunc(m.Search(trace.Now{}, answers).Next(), func(a, b trace.Proposal) int { return cmp.Compare(a.Bits/a.Minutes, b.Bits/b.Minutes) })
			if len(answers) == 0 {
				first = next.Test.Name
			}
			saw := trace.No
			if rows[number(next.Test.Name)][i] == '1' {
				saw = trace.Yes
			}
			answers = append(answers, trace.Answer{Test: next.Test.Name, Saw: saw})
			minutes += often[i] / sum * next.Minutes
		}
	}
	return minutes, first
}

// number is which of the rows a test stands for.
func number(test string) (n int) {
	fmt.Sscanf(test, "t%d", &n)
	return n - 1
}

// Problems of the literature on the next best test.
func TestOracles(t *testing.T) {
	// Three multipliers and two adders, one output wrong: candidates A1, M1, A2 with M2,
	// M2 with M3. Circuit and "X first": de Kleer and Williams 1987, from memory; the
	// entropies were worked out apart from this program, not checked against the paper.
	box := ideal(t, []float64{0.4950, 0.4950, 0.0050, 0.0050}, []string{"0100", "0011", "0001"})
	require.InDelta(t, 0.0809, left(box, "t1", 1.0808), 1e-4)
	require.InDelta(t, 1.0000, left(box, "t2", 1.0808), 1e-4)
	require.InDelta(t, 1.0354, left(box, "t3", 1.0808), 1e-4)
	require.Equal(t, "t1", box.Search(trace.Now{}, nil).Next()[0].Test.Name)

	// Four inverters in a row, wrong at the end: the middle first; with a first one that
	// fails oftener, behind the first. The idea is from the same paper, from memory.
	rows := []string{"1000", "1100", "1110"}
	even := ideal(t, []float64{1, 1, 1, 1}, rows)
	for i, want := range []float64{1.1887, 1.0000, 1.1887} {
		require.InDelta(t, want, left(even, fmt.Sprint("t", i+1), 2), 5e-5)
	}
	uneven := ideal(t, []float64{0.4583, 0.1806, 0.1806, 0.1806}, rows)
	for i, want := range []float64{0.8585, 0.9099, 1.1722} {
		require.InDelta(t, want, left(uneven, fmt.Sprint("t", i+1), 1.8536), 2e-4)
	}

	// Five faults and none, five tests (Pattipati and Alexandridis 1990, table from
	// memory): entropy 1.4549; the best order costs 2.18, the most bits first 2.86.
	priors := []float64{0.70, 0.01, 0.02, 0.10, 0.05, 0.12}
	table := []string{"000111", "010011", "001001", "001101", "010100"} // a row for each test, by fault s0 to s5
	minutes, first := cost(ideal(t, priors, table), priors, table)
	require.InDelta(t, 2.86, minutes, 5e-3)
	require.Equal(t, "t1", first)

	// Four objects and three tests: 8 in all, the first test at the root (Garey and
	// Johnson, MS15, as in the public repository CodingThrust/problem-reductions).
	equal, objects := []float64{1, 1, 1, 1}, []string{"1100", "1000", "0101"}
	minutes, first = cost(ideal(t, equal, objects), equal, objects)
	require.InDelta(t, 8.0/4, minutes, 1e-9)
	require.Equal(t, "t1", first)

	// Eight equal causes, three halving tests of 6 minutes, eight looks of 3: the most
	// bits a minute cost 13.125 on average, the best order 12.75. Made for this program.
	eight := slices.Repeat([]float64{1}, 8)
	looks := []string{"11110000", "11001100", "10101010"}
	times := []float64{6, 6, 6}
	for i := range 8 {
		look := []byte("00000000")
		look[i] = '1'
		looks, times = append(looks, string(look)), append(times, 3)
	}
	minutes, _ = cost(ideal(t, eight, looks, times...), eight, looks)
	require.InDelta(t, 13.125, minutes, 1e-9)
}
