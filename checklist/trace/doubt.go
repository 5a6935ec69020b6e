package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fettle/threads/check"
)

// strange is how much less likely than expected a record is under every cause before
// it is doubted: one in a thousand, from leak searches simulated as the circuit says.
const strange = 1e-3

// Doubt says that answers do not go together: something was read wrongly.
type Doubt struct {
	check.Result          // a warn
	Again        []string // what to look at again: names of places and tests, the strangest first
}

// Doubt compares the record with what its causes would lead one to expect. The second
// answer is false where the record goes together.
func (s *Search) Doubt() (Doubt, bool) {
	list := s.items()
	surprise := 0.0
	for k, b := range s.belief {
		if b < 1e-4 {
			continue
		}
		for _, it := range list {
			surprise += b * it.odd[k]
		}
	}
	if len(list) < 2 || surprise >= math.Log(strange) {
		return Doubt{}, false
	}
	// How likely each answer is, the others taken as they are.
	chance := make([]float64, len(list))
	order := make([]int, len(list))
	for i, it := range list {
		without := 0.0
		for k, b := range s.belief {
			without += b / max(it.likely[k], 1e-12)
		}
		chance[i], order[i] = 1/without, i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(chance[a], chance[b]) })
	d := Doubt{Result: check.Result{Rule: "answers-disagree", Severity: check.Warn, Source: judged}}
	var called string
	for _, i := range order[:2] {
		if len(d.Again) > 0 && chance[i] > 0.1 {
			break
		}
		d.Again = append(d.Again, list[i].name)
		if called != "" {
			called += "; "
		}
		called += list[i].called
	}
	d.Message = fmt.Sprintf("These answers do not go together. Something was read wrongly. Look again at: %s.", called)
	return d, true
}

// item is what was seen at one place, or one other answer: how likely it is under
// every cause, and how much less likely than such an answer usually is (a logarithm).
type item struct {
	name, called string
	likely, odd  []float64
}

func (s *Search) items() []item {
	m := s.model
	var list []item
	for p := range s.evidence.sights {
		if s.evidence.sights[p] != (sight{}) {
			list = append(list, m.sightItem(p, s.evidence.sights[p]))
		}
	}
	m.eachPlain(s.evidence, func(yes []float64, p plain, test int, mended string) {
		it := item{name: mended, likely: make([]float64, len(yes)), odd: make([]float64, len(yes))}
		if test >= 0 {
			it.name, it.called = m.tests[test].Name, m.tests[test].Ask
		} else {
			it.called = "the repair of " + mended
		}
		for k := range yes {
			it.likely[k] = p.likely(yes[k])
			it.odd[k] = math.Log(max(it.likely[k], 1e-12)) + entropy(yes[k])*math.Ln2
		}
		list = append(list, it)
	})
	return list
}

// sightItem takes what was seen at a place apart into one look after the other, so
// that each is compared with what was to be expected after those before it.
func (m *Model) sightItem(p int, seen sight) item {
	place, f := &m.places[p], &m.circuit.Figures
	it := item{name: place.Name, called: lower(place.Called), likely: make([]float64, len(m.causes)), odd: make([]float64, len(m.causes))}
	var now sight
	look := func(wet func(*sight), was func(*sight)) {
		yes, then := now, now
		wet(&yes)
		was(&then)
		before, ifWet, after := now.weights(place, f), yes.weights(place, f), then.weights(place, f)
		for k := range it.odd {
			all := max(place.likely(&before, k), 1e-12)
			it.odd[k] += math.Log(max(place.likely(&after, k)/all, 1e-12)) + entropy(place.likely(&ifWet, k)/all)*math.Ln2
		}
		now = then
	}
	for k := range moments {
		wet := func(s *sight) { s.wet[k] = true }
		switch {
		case seen.wet[k]:
			look(wet, wet)
		case seen.dry[k]:
			look(wet, func(s *sight) { s.dry[k] = true })
		}
		if seen.wet[k] && seen.dry[k] {
			seen.againDry = true
		}
	}
	if again := func(s *sight) { s.againWet = true }; seen.anyWet() {
		if seen.againWet {
			look(again, again)
		}
		if seen.againDry {
			look(again, func(s *sight) { s.againDry = true })
		}
	}
	w := seen.weights(place, f)
	for k := range it.likely {
		it.likely[k] = place.likely(&w, k)
	}
	return it
}
