package trace

import (
	"cmp"
	"math"
	"slices"
)

// Thresholds of the conclusions. Source: common practice for a decision of this
// weight, no source; what they cost and save was worked out by simulation.
const (
	surely     = 0.95  // a path is named
	structural = 0.50  // the structure is suspected enough to stop
	excluded   = 0.015 // the structure is suspected so little that nothing more is said of it
	leastBits  = 0.004 // bits a minute below which no test is worth its time
	endBits    = 2.0   // bits that the chance of ending the search counts for
)

// Now is the state of the boiler when the next test is chosen.
type Now struct {
	Pressure   Pressure // empty: at test pressure
	Conditions []string // of the circuit, those that hold
}

// Search is what the answers so far make of the suspects. It is never changed.
type Search struct {
	Aside []Aside // answers that do not count

	model    *Model
	now      Now
	evidence *evidence
	belief   []float64 // by cause, sums to one
	verdict  verdict
	next     []Proposal
}

// Search weighs the answers, in whatever order they stand.
func (m *Model) Search(now Now, answers []Answer) *Search {
	s := &Search{model: m, now: now}
	s.evidence, s.Aside = m.gather(answers)
	s.belief = m.weigh(s.evidence)
	s.verdict = m.judge(s.belief, s.evidence)
	s.next = s.rank()
	return s
}

// weigh is the belief in every cause.
func (m *Model) weigh(e *evidence) []float64 {
	belief := slices.Clone(m.prior)
	for p := range e.sights {
		if e.sights[p] == (sight{}) {
			continue
		}
		w := e.sights[p].weights(&m.places[p], &m.circuit.Figures)
		for k := range belief {
			belief[k] *= m.places[p].likely(&w, k)
		}
		normalise(belief) // so that a long record does not run out of digits
	}
	m.eachPlain(e, func(yes []float64, p plain, _ int, _ string) {
		for k := range belief {
			belief[k] *= p.likely(yes[k])
		}
		normalise(belief)
	})
	return belief
}

// likely is how likely the answers are where yes has this chance.
func (p plain) likely(yes float64) float64 {
	switch {
	case p.yes && p.no:
		return yes * (1 - yes)
	case p.yes:
		return yes
	case p.no:
		return 1 - yes
	}
	return 1
}

// eachPlain goes through the answers that look at no place, with the chance of a yes
// under every cause, and the test, or the path that was mended.
func (m *Model) eachPlain(e *evidence, each func(yes []float64, p plain, test int, mended string)) {
	for at := range e.plain {
		for i, p := range e.plain[at] {
			if p != (plain{}) && m.tests[i].yes[at].yes != nil {
				each(m.tests[i].yes[at].yes, p, i, "")
			}
		}
		for path, p := range e.mended[at] {
			if p == (plain{}) {
				continue
			}
			if p.yes { // mended once more, and now it holds
				p.no = false
			}
			name := m.path(path).Name
			shut := m.marked([]string{name})
			each(m.row(func(c cause) float64 { return m.holds(shut, c, at == 1) }), p, -1, name)
		}
	}
}

// normalise makes the sum one. Where nothing is left, nothing can be told any more:
// every cause is as likely as any other.
func normalise(belief []float64) {
	sum := 0.0
	for _, b := range belief {
		sum += b
	}
	for k := range belief {
		if sum > 0 {
			belief[k] /= sum
		} else {
			belief[k] = 1 / float64(len(belief))
		}
	}
}

// verdict is what a belief amounts to.
type verdict struct {
	kind  Ending
	paths []int
}

// Ending says how a search stands.
type Ending string

const (
	Going    Ending = "going"     // the next test is worth its time
	Stop     Ending = "structure" // the structure is suspected: stop, the inspector
	Found    Ending = "found"     // a path, two to be mended, or a group is named
	NotFound Ending = "not-found" // no test without taking apart is worth its time
)

// judge says whether a belief ends the search. The weights need not sum to one.
func (m *Model) judge(weights []float64, e *evidence) verdict {
	var share [64]float64
	shares := share[:]
	if len(m.paths) > len(shares) {
		shares = make([]float64, len(m.paths))
	}
	sum, structure := 0.0, 0.0
	for k, w := range weights {
		c := &m.causes[k]
		sum += w
		shares[c.a] += w
		if c.b >= 0 {
			shares[c.b] += w
		}
		if c.structure {
			structure += w
		}
	}
	if structure >= structural*sum {
		return verdict{kind: Stop}
	}
	first, second := -1, -1
	for i := range m.paths {
		switch {
		case e.isMended(i):
		case first < 0 || shares[i] > shares[first]:
			first, second = i, first
		case second < 0 || shares[i] > shares[second]:
			second = i
		}
	}
	if first < 0 {
		return verdict{kind: Going}
	}
	if shares[first] >= surely*sum {
		return verdict{Found, []int{first}}
	}
	for _, cover := range m.covers {
		most := 0.0 // either of them has no more than both together
		for _, i := range cover {
			most += shares[i]
		}
		if most >= surely*sum && m.either(weights, cover) >= surely*sum {
			return verdict{Found, cover}
		}
	}
	// Two that both look wet are both mended, where that takes nothing apart.
	if second >= 0 && shares[second] >= sum/2 && m.mendable(first) && m.mendable(second) {
		if two := []int{first, second}; m.either(weights, two) >= surely*sum {
			return verdict{Found, two}
		}
	}
	return verdict{kind: Going}
}

// structure is the weight of the causes in which the boiler itself loses.
func (m *Model) structure(weights []float64) (sum float64) {
	for k, w := range weights {
		if m.causes[k].structure {
			sum += w
		}
	}
	return sum
}

func (e *evidence) isMended(path int) bool {
	return e.mended[0][path] != (plain{}) && !e.mended[0][path].yes || e.mended[1][path] != (plain{}) && !e.mended[1][path].yes
}

// either is the weight of the causes that have one of the paths.
func (m *Model) either(weights []float64, paths []int) float64 {
	sum := 0.0
	for k, w := range weights {
		if slices.Contains(paths, m.causes[k].a) || slices.Contains(paths, m.causes[k].b) {
			sum += w
		}
	}
	return sum
}

// mendable says whether a test mends the path and nothing else.
func (m *Model) mendable(path int) bool {
	for i := range m.tests {
		if t := &m.tests[i]; t.Repair && len(t.Paths) == 1 && t.Paths[0] == m.path(path).Name {
			return true
		}
	}
	return false
}

// Suspect is a path and how likely it loses water.
type Suspect struct {
	Path   *Path
	Belief float64  // chance that it loses, alone or with a second
	Cover  string   // of the group that looks the same from outside; "" for none
	Group  []string // the paths of that group, this one among them
	Mended bool     // it was repaired, and the boiler still lost water
}

// Suspects are the paths with pressure on them, the likeliest first.
func (s *Search) Suspects() []Suspect {
	m := s.model
	list := make([]Suspect, len(m.paths))
	for i := range list {
		list[i] = Suspect{Path: m.path(i), Mended: s.evidence.isMended(i)}
		for _, cover := range m.circuit.Covers {
			if slices.Contains(cover.Paths, m.path(i).Name) {
				list[i].Cover, list[i].Group = cover.Called, m.live(cover.Paths)
			}
		}
	}
	for i, share := range m.shares(s.belief) {
		list[i].Belief = share
	}
	slices.SortStableFunc(list, func(a, b Suspect) int { return cmp.Compare(b.Belief, a.Belief) })
	return list
}

// shares is how likely each path loses, alone or with a second.
func (m *Model) shares(weights []float64) []float64 {
	shares, sum := make([]float64, len(m.paths)), 0.0
	for k, w := range weights {
		c := m.causes[k]
		sum += w
		shares[c.a] += w
		if c.b >= 0 {
			shares[c.b] += w
		}
	}
	for i := range shares {
		shares[i] /= max(sum, 1e-300)
	}
	return shares
}

// live are those of the names that have pressure on them.
func (m *Model) live(names []string) (live []string) {
	for _, name := range names {
		if _, ok := m.pathAt[name]; ok {
			live = append(live, name)
		}
	}
	return live
}

// entropy is that of a yes of this chance, in bits.
func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}
