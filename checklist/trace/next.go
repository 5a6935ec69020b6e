package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Proposal is a test that can be made now, with what it is worth.
type Proposal struct {
	Test    *Test
	Do      string   // what to do; of another look, that
	Again   string   // the place to dry and look at once more; "" for the test itself
	Places  []string // of a walk: the places not looked at yet
	Minutes float64  // from the present state: letting down and pumping up are in it
	Bits    float64  // information to be expected
	Ends    float64  // chance that its answer ends the search
	Before  []string // what comes first, one instruction each

	search *Search
	rows   []row
}

// row is one question of a proposal and the place it is about, -1 where it is about
// none.
type row struct {
	question
	place int
}

// Next lists the tests that can be made now, the one worth most for its minutes first.
// It is empty where nothing is left to try. What the state of the boiler forbids and
// what takes things apart is not in it.
func (s *Search) Next() []Proposal { return s.next }

// rate is what a proposal is worth for its minutes.
func (p *Proposal) rate() float64 { return (p.Bits + endBits*p.Ends) / max(p.Minutes, 0.1) }

func (s *Search) rank() []Proposal {
	m := s.model
	var list []Proposal
	add := func(t *test, again int, rows []row, minutes float64) {
		p := Proposal{Test: t.Test, Do: t.Do, Minutes: minutes, search: s, rows: rows}
		if again >= 0 {
			p.Again = m.places[again].Name
			p.Do = fmt.Sprintf("Dry it well and look once more: %s.", lower(m.places[again].Called))
		} else {
			p.Before = s.before(t)
		}
		if t.Means == Walk || t.Means == Late {
			for _, r := range rows {
				p.Places = append(p.Places, m.places[r.place].Name)
			}
		}
		p.weigh(t.Unsure)
		if p.Bits > 1e-9 {
			list = append(list, p)
		}
	}
	for i := range m.tests {
		t := &m.tests[i]
		if !t.used || t.Apart || !s.allowed(t) {
			continue
		}
		if rows := s.rows(t, i); len(rows) > 0 && s.evidence.tried[key{i, -1}] < 2 {
			add(t, -1, rows, s.minutes(t, len(rows)))
		}
		if t.Means == Look && len(t.places) == 1 {
			p := t.places[0]
			seen := &s.evidence.sights[p]
			if seen.anyWet() && !seen.againWet && !seen.againDry && s.evidence.tried[key{i, p}] < 2 {
				add(t, p, []row{{s.again(p), p}}, t.Minutes)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Proposal) int { return cmp.Compare(b.rate(), a.rate()) })
	return list
}

// allowed says whether the state of the boiler and what is known so far let a test be
// made.
func (s *Search) allowed(t *test) bool {
	for _, c := range t.Forbidden {
		if slices.Contains(s.now.Conditions, c) {
			return false
		}
	}
	for _, name := range t.After {
		if i, ok := s.model.testAt[name]; ok && !s.answered(i) {
			return false
		}
	}
	return len(t.Wet) == 0 || slices.ContainsFunc(t.Wet, func(name string) bool {
		p, ok := s.model.placeAt[name]
		return ok && s.evidence.sights[p].anyWet()
	})
}

// answered says whether a test was made, or has nothing more to tell.
func (s *Search) answered(i int) bool {
	return s.evidence.made[i] || len(s.rows(&s.model.tests[i], i)) == 0
}

// rows are the questions of a test that are still open.
func (s *Search) rows(t *test, i int) []row {
	if len(t.places) == 0 {
		at := index(t.Working)
		if s.evidence.plain[at][i] != (plain{}) || t.yes[at].yes == nil {
			return nil
		}
		return []row{{t.yes[at], -1}}
	}
	var rows []row
	at := moment(t, t.Working)
	for _, p := range t.places {
		if !s.evidence.sights[p].told(at) {
			q := s.model.places[p].first[at]
			if s.evidence.sights[p] != (sight{}) {
				q = s.looked(p, func(seen *sight) { seen.wet[at] = true })
			}
			rows = append(rows, row{q, p})
		}
	}
	return rows
}

// looked is whether a place now shows what more says, after what was seen there.
func (s *Search) looked(p int, more func(*sight)) question {
	place, f := &s.model.places[p], &s.model.circuit.Figures
	was := s.evidence.sights[p]
	then := was
	more(&then)
	before, after := was.weights(place, f), then.weights(place, f)
	yes := make([]float64, len(s.belief))
	for k := range yes {
		if all := place.likely(&before, k); all > 0 {
			yes[k] = math.Min(1, place.likely(&after, k)/all)
		}
	}
	return ask(yes)
}

func (s *Search) again(p int) question {
	return s.looked(p, func(seen *sight) { seen.againWet = true })
}

// minutes is what a test costs from the present state. Another look at a place that
// was dried is made as things stand.
func (s *Search) minutes(t *test, places int) float64 {
	f := &s.model.circuit.Figures
	minutes := t.Minutes + t.Each*float64(places)
	switch {
	case t.Down && s.now.Pressure != Down:
		minutes += f.LetDown + f.PumpUp
	case t.Down || s.now.Pressure == Down:
		minutes += f.PumpUp
	}
	return minutes
}

// before says what comes before a test, in the order of the work.
func (s *Search) before(t *test) []string {
	var list []string
	switch {
	case t.Down && s.now.Pressure != Down:
		list = append(list, "Let the pressure down to nothing and open the vent.")
	case !t.Down && s.now.Pressure == Down:
		list = append(list, "Fill with water, vent and pump up. Never use air.", "Stay at or below the code's figure.")
	case t.Working && (s.now.Pressure == AtTest || s.now.Pressure == ""):
		list = append(list, "Let the pressure down to working pressure.")
	case !t.Down && !t.Working && s.now.Pressure == AtWorking:
		list = append(list, "Bring the pressure back. Stay at or below the code's figure.")
	}
	if len(t.Blanks) > 0 {
		list = append(list, "Write every blank into the register with its tag.")
	}
	if t.Means == Holds || t.Means == Half {
		list = append(list, "Log the temperature of the water with the pressure.")
	}
	return list
}

// weigh works out what the answer is worth. "Cannot tell" tells nothing.
func (p *Proposal) weigh(unsure float64) {
	s := p.search
	bits := 0.0
	for _, r := range p.rows {
		for k, b := range s.belief {
			bits -= b * r.open[k]
		}
	}
	p.eachAnswer(func(weights []float64, chance float64) {
		bits -= chance * math.Log2(chance)
		if s.model.judge(weights, s.evidence).kind != Going {
			p.Ends += chance
		}
	})
	p.Bits = max(0, bits) * (1 - unsure)
	p.Ends *= 1 - unsure
	if s.verdict.kind != Going {
		p.Ends = 0
	}
}

// rare is the chance below which the answers of a walk are not told apart any further.
// It takes 1 % from the bits of a first round and 7 % from those of a late one
// (measured), and keeps their cost in bounds.
const rare = 1e-3

// eachAnswer goes through the answers to a proposal: the weights of the causes with
// each, and its chance.
func (p *Proposal) eachAnswer(each func(weights []float64, chance float64)) {
	n := len(p.search.belief)
	scratch := make([]float64, 2*n*len(p.rows))
	var down func(i int, weights []float64, chance float64)
	down = func(i int, weights []float64, chance float64) {
		if i == len(p.rows) || chance < rare && i > 0 {
			if chance > 0 {
				each(weights, chance)
			}
			return
		}
		yes, no := scratch[2*i*n:(2*i+1)*n], scratch[(2*i+1)*n:(2*i+2)*n]
		sum := 0.0
		for k, w := range weights {
			yes[k] = w * p.rows[i].yes[k]
			no[k] = w - yes[k]
			sum += yes[k]
		}
		down(i+1, yes, sum)
		down(i+1, no, chance-sum)
	}
	down(0, p.search.belief, 1)
}
