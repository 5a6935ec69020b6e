package trace

import "slices"

// Sum is for tests: it is what the beliefs in all causes come to.
func (s *Search) Sum() (sum float64) {
	for _, b := range s.belief {
		sum += b
	}
	return sum
}

// Chance is how likely an answer to a proposal is under a path, or, where path is "",
// under everything that is believed now.
func (s *Search) Chance(p *Proposal, saw Saw, path string) float64 {
	chance, all := 0.0, 0.0
	for k, b := range s.belief {
		c := s.model.causes[k]
		names := []string{s.model.path(c.a).Name}
		if c.b >= 0 {
			names = append(names, s.model.path(c.b).Name)
		}
		if path != "" && !slices.Contains(names, path) {
			continue
		}
		yes := p.rows[0].yes[k]
		if saw == No {
			yes = 1 - yes
		}
		chance += b * yes
		all += b
	}
	return chance / all
}
