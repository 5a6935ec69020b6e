package trace_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/trace"
)

// Small circuits, cut out of the bundled one, in which the best plan of all can be
// worked out: dynamic programming over everything that can be seen in any order. Its
// sums are its own; it shares with the program the figures of the file, the rule by
// which a search ends, and the form of an answer. Nobody is unsure here.
type planned struct {
	c      trace.Circuit
	m      *trace.Model
	causes [][]int
	prior  []float64
	tests  []plannedTest
	best   []float64 // by state, NaN where not worked out yet
	chosen map[int]float64
	t      testing.TB
}

// plannedTest has the chance of a yes, and of a yes at the second look, by cause.
type plannedTest struct {
	name, place string // place: of a look, which may be looked at again
	yes, again  []float64
	cost, once  float64 // minutes with letting down; of another look
}

// What a planner pays for giving up, on both sides.
const givingUp = 240

// outcomes of one test in a state.
const (
	untried = iota
	sawNo
	sawYes
	againYes
	againNo
	outcomes
)

// cut takes so many paths of the bundled circuit, drawn by how often they are the
// cause, with the look and the making sure of their lines on paper, eight at most.
func cut(t testing.TB, paths int, seed uint64) *planned {
	all, r := boiler(t), rand.New(rand.NewPCG(seed, uint64(paths)))
	p := &planned{c: *all, chosen: map[int]float64{}, t: t}
	p.c.Paths, p.c.Tests = nil, nil
	var rest []trace.Path
	for _, x := range all.Paths {
		if x.Under == nil || slices.Contains(x.Under["dome"], "shut") {
			rest = append(rest, x)
		}
	}
	for len(p.c.Paths) < paths {
		sum := 0.0
		for _, x := range rest {
			sum += x.Often
		}
		at := r.Float64() * sum
		for i, x := range rest {
			if at -= x.Often; at < 0 {
				p.c.Paths, rest = append(p.c.Paths, x), slices.Delete(rest, i, i+1)
				break
			}
		}
	}
	var looks, sures []string
	for _, l := range onPaper() {
		mine := slices.ContainsFunc(p.c.Paths, func(x trace.Path) bool {
			return slices.Contains(l.names, x.Name) || l.names == nil && x.Kind == trace.Structure && slices.ContainsFunc(x.Shows, func(s trace.Share) bool {
				return s.Name == all.Tests[place(all, l.look)].Places[0]
			})
		})
		if l.look == "wait" {
			l.sure = "temperature"
		}
		if mine {
			looks, sures = append(looks, l.look), append(sures, l.sure)
		}
	}
	for _, name := range append(looks, sures...) {
		known := slices.ContainsFunc(p.c.Tests, func(x trace.Test) bool { return x.Name == name })
		if name != "" && !known && len(p.c.Tests) < 8 {
			x := all.Tests[place(all, name)]
			x.Unsure = 0
			p.c.Tests = append(p.c.Tests, x)
		}
	}
	m, err := trace.NewModel(&p.c, trace.Case{Build: "dome", Arrangement: "shut"})
	require.NoError(t, err)
	p.m = m
	p.work()
	return p
}

// work fills in the chances.
func (p *planned) work() {
	n, sum, pairs := len(p.c.Paths), 0.0, 0.0
	for a, x := range p.c.Paths {
		sum += x.Often
		for _, y := range p.c.Paths[a+1:] {
			pairs += x.Often * y.Often
		}
	}
	for a, x := range p.c.Paths {
		p.causes, p.prior = append(p.causes, []int{a}), append(p.prior, (1-p.c.Figures.TwoAtOnce)*x.Often/sum)
		for b := a + 1; b < n; b++ {
			p.causes, p.prior = append(p.causes, []int{a, b}), append(p.prior, p.c.Figures.TwoAtOnce*x.Often*p.c.Paths[b].Often/pairs)
		}
	}
	for _, x := range p.c.Tests {
		t := plannedTest{name: x.Name, cost: x.Minutes, once: x.Minutes}
		if x.Down {
			t.cost += p.c.Figures.LetDown + p.c.Figures.PumpUp
		}
		for _, cause := range p.causes {
			yes, again := p.chance(x, cause)
			t.yes, t.again = append(t.yes, yes), append(t.again, again)
		}
		if x.Means == trace.Look {
			t.place = x.Places[0]
		}
		p.tests = append(p.tests, t)
	}
	p.best = make([]float64, int(math.Pow(outcomes, float64(len(p.tests)))))
	for i := range p.best {
		p.best[i] = math.NaN()
	}
}

func (p *planned) chance(x trace.Test, cause []int) (yes, again float64) {
	f := p.c.Figures
	switch x.Means {
	case trace.Look:
		mistake := p.c.Places[slices.IndexFunc(p.c.Places, func(q trace.Place) bool { return q.Name == x.Places[0] })].Mistake
		dry := 1.0
		for _, i := range cause {
			for _, s := range p.c.Paths[i].Shows {
				if s.Name == x.Places[0] && x.Working {
					dry *= 1 - s.Chance*p.c.Paths[i].AtHalf
				} else if s.Name == x.Places[0] {
					dry *= 1 - s.Chance
				}
			}
		}
		yes = 1 - dry*(1-mistake)
		return yes, ((1-dry)*f.AgainWet + dry*mistake*f.AgainDry) / yes
	case trace.Holds:
		in := 0
		for _, i := range cause {
			if slices.Contains(x.Paths, p.c.Paths[i].Name) {
				in++
			}
		}
		switch in {
		case len(cause):
			return f.HoldsAll, 0
		case 0:
			return f.HoldsNone, 0
		}
		return f.HoldsOne, 0
	}
	var chances []float64
	for _, i := range cause {
		c := x.Otherwise
		for _, s := range x.Says {
			if s.Name == p.c.Paths[i].Name {
				c = s.Chance
			}
		}
		chances = append(chances, c)
	}
	require.True(p.t, x.Means == trace.Says && x.All && !x.Working, "%s: a test that this planner does not know", x.Name)
	return slices.Min(chances), 0
}

// over says whether a search ends with these weights: the structure at 0.50, a path or
// the group behind the dome at 0.95, or two to be mended that are both likelier than not.
func (p *planned) over(weights []float64) bool {
	sum, structure := 0.0, 0.0
	share := make([]float64, len(p.c.Paths))
	either := func(a, b int) (w float64) {
		for k, cause := range p.causes {
			if slices.Contains(cause, a) || slices.Contains(cause, b) {
				w += weights[k]
			}
		}
		return w
	}
	for k, w := range weights {
		sum += w
		hit := false
		for _, i := range p.causes[k] {
			share[i] += w
			hit = hit || p.c.Paths[i].Kind == trace.Structure
		}
		if hit {
			structure += w
		}
	}
	if structure >= 0.5*sum || slices.Max(share) >= 0.95*sum {
		return true
	}
	at := func(name string) int {
		return slices.IndexFunc(p.c.Paths, func(x trace.Path) bool { return x.Name == name })
	}
	if a, b := at("regulator"), at("steam-pipe"); a >= 0 && b >= 0 && either(a, b) >= 0.95*sum {
		return true
	}
	mends := func(i int) bool {
		return slices.ContainsFunc(p.c.Tests, func(x trace.Test) bool { return x.Repair && slices.Equal(x.Paths, []string{p.c.Paths[i].Name}) })
	}
	for a := range share {
		for b := a + 1; b < len(share); b++ {
			if share[a] >= sum/2 && share[b] >= sum/2 && mends(a) && mends(b) && either(a, b) >= 0.95*sum {
				return true
			}
		}
	}
	return false
}

// branch is what one question costs from here on: its minutes and what follows either
// answer.
func (p *planned) branch(minutes float64, weights, yes []float64, no func([]float64) float64, wet func([]float64) float64) float64 {
	a, b := make([]float64, len(weights)), make([]float64, len(weights))
	all, chance := 0.0, 0.0
	for k, w := range weights {
		a[k] = w * yes[k]
		b[k] = w - a[k]
		all += w
		chance += a[k]
	}
	cost := minutes
	if chance > 0 {
		cost += chance / all * wet(a)
	}
	if chance < all {
		cost += (1 - chance/all) * no(b)
	}
	return cost
}

// value is what the best of all plans costs from a state on. digit is the place of each
// test in the number of the state.
func (p *planned) value(state int, weights []float64) float64 {
	if !math.IsNaN(p.best[state]) {
		return p.best[state]
	}
	best := float64(givingUp)
	if p.over(weights) {
		best = 0
	}
	digit := 1
	for i := range p.tests {
		t := &p.tests[i]
		go1 := func(to int) func([]float64) float64 {
			return func(w []float64) float64 { return p.value(state+(to-state/digit%outcomes)*digit, w) }
		}
		switch is := state / digit % outcomes; {
		case best == 0:
		case is == untried && t.cost < best:
			best = min(best, p.branch(t.cost, weights, t.yes, go1(sawNo), go1(sawYes)))
		case is == sawYes && t.place != "" && t.once < best:
			best = min(best, p.branch(t.once, weights, t.again, go1(againNo), go1(againYes)))
		}
		digit *= outcomes
	}
	p.best[state] = best
	return best
}

// program is what the program's order costs from a state on.
func (p *planned) program(state int, weights []float64, answers []trace.Answer) float64 {
	if v, ok := p.chosen[state]; ok {
		return v
	}
	s := p.m.Search(trace.Now{}, answers)
	ending := s.Conclusion().Ending
	over := p.over(weights)
	// What is doubted is not named: so rare that the plans leave it out, on both sides.
	_, doubted := s.Doubt()
	require.True(p.t, doubted || over == (ending == trace.Stop || ending == trace.Found), "the program and the planner end at different places: %v", answers)
	cost := float64(givingUp)
	if over {
		cost = 0
	} else if next := s.Next(); len(next) > 0 {
		first := next[0]
		i := slices.IndexFunc(p.tests, func(t plannedTest) bool { return t.name == first.Test.Name })
		digit := int(math.Pow(outcomes, float64(i)))
		t := &p.tests[i]
		then := func(to int, saw trace.Saw) func([]float64) float64 {
			return func(w []float64) float64 {
				return p.program(state+(to-state/digit%outcomes)*digit, w, append(slices.Clip(answers), trace.Answer{Test: t.name, Again: first.Again, Saw: saw}))
			}
		}
		if first.Again != "" {
			cost = min(cost, p.branch(t.once, weights, t.again, then(againNo, trace.No), then(againYes, trace.Yes)))
		} else {
			cost = min(cost, p.branch(t.cost, weights, t.yes, then(sawNo, trace.No), then(sawYes, trace.Yes)))
		}
	}
	p.chosen[state] = cost
	return cost
}

// The order of the program against the best order there is: of the mean minutes at
// most 1.15, and no circuit above 1.6.
func TestAgainstTheBestPlan(t *testing.T) {
	sizes, each := []int{4, 5, 6}, 4
	if slow() {
		sizes, each = []int{4, 5, 6, 7, 8}, 8
	}
	mine, best, worst, number := 0.0, 0.0, 0.0, 0
	for _, paths := range sizes {
		for seed := range each {
			p := cut(t, paths, uint64(seed+1))
			b := p.value(0, p.prior)
			if b == 0 {
				continue
			}
			m := p.program(0, p.prior, nil)
			require.GreaterOrEqual(t, m, b-1e-9, "nothing is better than the best")
			t.Logf("%d paths, %d tests: best %.1f, program %.1f minutes, %.3f", paths, len(p.tests), b, m, m/b)
			mine, best, worst, number = mine+m, best+b, max(worst, m/b), number+1
		}
	}
	t.Logf("%d circuits: ratio of the means %.3f, worst %.3f", number, mine/best, worst)
	require.LessOrEqual(t, mine/best, 1.15)
	require.LessOrEqual(t, worst, 1.6)
}
