package trace

import (
	"fmt"
	"math"
	"slices"
)

// Case is which boiler is asked about, and how it is arranged for the test.
type Case struct {
	Build, Arrangement string
	// Before multiplies how often a path is the cause, from what the engine's book
	// knows: a joint that failed before is suspected sooner. 0.1 to 10; a path that
	// is not named has 1.
	Before map[string]float64
}

// moments of a place: from when on water shows there.
const (
	atWorking = iota // within ten minutes at working pressure
	atTest           // within ten minutes at test pressure
	afterLong        // after half an hour
	moments
)

// Model is a circuit made ready for one case. It is never changed after it is made.
type Model struct {
	circuit *Circuit
	kase    Case
	paths   []int          // of the circuit, those with pressure on them
	pathAt  map[string]int // name to index into paths
	causes  []cause
	prior   []float64
	covers  [][]int // paths of each cover, where there are two or more
	places  []place
	placeAt map[string]int
	tests   []test
	testAt  map[string]int
}

// cause is one path alone (b is -1) or two at once.
type cause struct {
	a, b      int
	structure bool
}

// place holds, for every cause, the chance of each moment from which on water shows,
// and after them the chance of never.
type place struct {
	*Place
	from  [moments + 1][]float64
	first [moments]question // is it wet, where nobody looked yet
}

// test is a test that can be made in this case. yes is its chance of a yes for every
// cause, at test and at working pressure; a test that looks at places has none.
type test struct {
	*Test
	places []int
	yes    [2]question
	used   bool // it tells something in this case
}

// question is one that is answered with yes or no: the chance of a yes under every
// cause, and the bits that the cause leaves open.
type question struct{ yes, open []float64 }

func ask(yes []float64) question {
	q := question{yes, make([]float64, len(yes))}
	for k, p := range yes {
		q.open[k] = entropy(p)
	}
	return q
}

// NewModel makes the circuit ready for a case. Its error names what the circuit does
// not have: a build, an arrangement, a path in Before, or any path with pressure on it.
func NewModel(c *Circuit, k Case) (*Model, error) {
	if !named(c.Builds, k.Build) {
		return nil, fmt.Errorf("the circuit %q has no build %q", c.ID, k.Build)
	}
	if !named(c.Arrangements, k.Arrangement) {
		return nil, fmt.Errorf("the circuit %q has no arrangement %q", c.ID, k.Arrangement)
	}
	m := &Model{circuit: c, kase: k, pathAt: map[string]int{}, placeAt: map[string]int{}, testAt: map[string]int{}}
	known := map[string]bool{}
	for i := range c.Paths {
		p := &c.Paths[i]
		known[p.Name] = true
		if p.under(k.Build, k.Arrangement) && p.Often > 0 {
			m.pathAt[p.Name] = len(m.paths)
			m.paths = append(m.paths, i)
		}
	}
	for name, factor := range k.Before {
		if !known[name] {
			return nil, fmt.Errorf("the circuit %q has no path %q", c.ID, name)
		}
		if !(factor >= 0.1 && factor <= 10) {
			return nil, fmt.Errorf("how much sooner %q is suspected is %v, it must be from 0.1 to 10", name, factor)
		}
	}
	if len(m.paths) == 0 {
		return nil, fmt.Errorf("no path of the circuit %q has pressure on it with this build and arrangement", c.ID)
	}
	m.addCauses()
	m.addPlaces()
	m.addTests()
	return m, nil
}

func named(list []Named, name string) bool {
	return slices.ContainsFunc(list, func(n Named) bool { return n.Name == name })
}

func (m *Model) path(i int) *Path { return &m.circuit.Paths[m.paths[i]] }

// addCauses lists every path and every two of them. Two at once are shared out as the
// product of the two.
func (m *Model) addCauses() {
	n := len(m.paths)
	often, sum := make([]float64, n), 0.0
	for i := range n {
		often[i] = m.path(i).Often
		if factor, ok := m.kase.Before[m.path(i).Name]; ok {
			often[i] *= factor
		}
		sum += often[i]
	}
	two, pairs := m.circuit.Figures.TwoAtOnce, 0.0
	if n == 1 {
		two = 0
	}
	for a := range n {
		for b := a + 1; b < n; b++ {
			pairs += often[a] * often[b]
		}
	}
	for a := range n {
		m.causes = append(m.causes, cause{a, -1, m.path(a).Kind == Structure})
		m.prior = append(m.prior, (1-two)*often[a]/sum)
	}
	for a := range n {
		for b := a + 1; b < n && two > 0; b++ {
			m.causes = append(m.causes, cause{a, b, m.path(a).Kind == Structure || m.path(b).Kind == Structure})
			m.prior = append(m.prior, two*often[a]*often[b]/pairs)
		}
	}
	for _, cover := range m.circuit.Covers {
		var live []int
		for _, name := range cover.Paths {
			if i, ok := m.pathAt[name]; ok {
				live = append(live, i)
			}
		}
		if len(live) > 1 {
			m.covers = append(m.covers, live)
		}
	}
}

// of multiplies a chance over the paths of a cause.
func (c cause) of(chance func(path int) float64) float64 {
	if c.b < 0 {
		return chance(c.a)
	}
	return chance(c.a) * chance(c.b)
}

// addPlaces works out when water shows where. A place where no path with pressure on
// it shows is left out: water there tells nothing.
func (m *Model) addPlaces() {
	for i := range m.circuit.Places {
		p := place{Place: &m.circuit.Places[i]}
		shows := make([]float64, len(m.paths))
		any := false
		for j := range m.paths {
			for _, s := range m.path(j).Shows {
				if s.Name == p.Name {
					shows[j], any = s.Chance, true
				}
			}
		}
		if !any {
			continue
		}
		for k := range p.from {
			p.from[k] = make([]float64, len(m.causes))
		}
		for k, c := range m.causes {
			working := c.of(func(j int) float64 { return 1 - shows[j]*m.path(j).AtHalf })
			test := c.of(func(j int) float64 { return 1 - shows[j] })
			long := c.of(func(j int) float64 { return (1 - shows[j]) * (1 - m.circuit.Figures.Late*shows[j]) })
			p.from[atWorking][k], p.from[atTest][k], p.from[afterLong][k], p.from[moments][k] = 1-working, working-test, test-long, long
		}
		for at := range p.first {
			seen := sight{}
			seen.wet[at] = true
			w := seen.weights(&p, &m.circuit.Figures)
			yes := make([]float64, len(m.causes))
			for k := range yes {
				yes[k] = p.likely(&w, k)
			}
			p.first[at] = ask(yes)
		}
		m.placeAt[p.Name] = len(m.places)
		m.places = append(m.places, p)
	}
}

func (m *Model) addTests() {
	for i := range m.circuit.Tests {
		t := test{Test: &m.circuit.Tests[i]}
		if len(t.Only) > 0 && !slices.Contains(t.Only, m.kase.Arrangement) {
			continue
		}
		for _, name := range t.Places {
			if p, ok := m.placeAt[name]; ok {
				t.places = append(t.places, p)
			}
		}
		t.used = len(t.places) > 0
		if chance := m.chance(t.Test); chance != nil {
			t.used = true
			for at := range t.yes {
				t.yes[at] = ask(m.row(func(c cause) float64 { return chance(c, at == 1) }))
			}
		}
		m.testAt[t.Name] = len(m.tests)
		m.tests = append(m.tests, t)
	}
}

// row asks a chance of every cause. Neither yes nor no is ever quite impossible.
func (m *Model) row(chance func(cause) float64) []float64 {
	const surely = 1e-6
	row := make([]float64, len(m.causes))
	for k, c := range m.causes {
		row[k] = math.Max(surely, math.Min(1-surely, chance(c)))
	}
	return row
}

// chance is how likely a yes is under a cause; nil where the test looks at places, or
// can tell nothing in this case.
func (m *Model) chance(t *Test) func(c cause, working bool) float64 {
	switch t.Means {
	case Holds:
		shut := m.marked(t.Paths)
		if !slices.Contains(shut, true) {
			return nil
		}
		return func(c cause, working bool) float64 { return m.holds(shut, c, working) }
	case Says:
		return m.says(t)
	case Half:
		none := make([]bool, len(m.paths))
		return func(c cause, _ bool) float64 { return m.holds(none, c, true) }
	}
	return nil
}

// tight is the chance that a path does not lose at working pressure.
func (m *Model) tight(path int) float64 { return 1 - m.path(path).AtHalf }

func (m *Model) marked(names []string) []bool {
	marks := make([]bool, len(m.paths))
	for _, name := range names {
		if i, ok := m.pathAt[name]; ok {
			marks[i] = true
		}
	}
	return marks
}

// holds is the chance that the gauge holds while some paths are shut off or mended. At
// working pressure what is not shut off may be tight by itself.
func (m *Model) holds(shut []bool, c cause, working bool) float64 {
	f := &m.circuit.Figures
	of, inside := 1, 0
	if c.b >= 0 {
		of = 2
	}
	for _, path := range [...]int{c.a, c.b} {
		if path >= 0 && shut[path] {
			inside++
		}
	}
	chance := f.HoldsNone
	switch inside {
	case of:
		return f.HoldsAll
	case 1:
		chance = f.HoldsOne
	}
	if !working {
		return chance
	}
	tight := c.of(func(path int) float64 {
		if shut[path] {
			return 1
		}
		return m.tight(path)
	})
	return chance + math.Max(0, f.HoldsAll-chance)*tight
}

func (m *Model) says(t *Test) func(c cause, working bool) float64 {
	chances, any := make([]float64, len(m.paths)), false
	for i := range chances {
		chances[i] = t.Otherwise
	}
	for _, s := range t.Says {
		if i, ok := m.pathAt[s.Name]; ok {
			chances[i], any = s.Chance, true
		}
	}
	if !any {
		return nil
	}
	return func(c cause, working bool) float64 {
		one := func(path int) float64 {
			if working {
				return t.Otherwise + (chances[path]-t.Otherwise)*m.path(path).AtHalf
			}
			return chances[path]
		}
		switch {
		case c.b < 0:
			return one(c.a)
		case t.All:
			return math.Min(one(c.a), one(c.b))
		}
		return math.Max(one(c.a), one(c.b))
	}
}

// Tells says whether an answer to the test makes any cause likelier than another.
func (m *Model) Tells(name string) bool {
	i, ok := m.testAt[name]
	if !ok {
		return false
	}
	t := &m.tests[i]
	if len(t.places) > 0 {
		return true // a path with pressure on it shows there, and not every cause has it
	}
	for at := range t.yes {
		for _, p := range t.yes[at].yes {
			if p != t.yes[at].yes[0] {
				return true
			}
		}
	}
	return false
}
