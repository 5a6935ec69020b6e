package trace

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Meaning is what one answer to a proposal would make of the suspects.
type Meaning struct {
	Answer string  // "yes", "no"; of a walk the wet place, "" where all are dry
	Chance float64 // of this answer
	Ends   Ending  // what the search would come to
	Text   string
}

// Meanings says what either answer would mean: of a walk, each place wet by itself
// and all of them dry.
func (p *Proposal) Meanings() []Meaning {
	var list []Meaning
	walk := p.Test.Means == Walk || p.Test.Means == Late
	for i := range p.rows {
		weights := p.with(func(j int) bool { return i == j })
		answer, said := "yes", "Yes"
		if walk {
			answer = p.Places[i]
			said = p.search.model.places[p.rows[i].place].Called + " wet"
		}
		list = append(list, p.meaning(answer, said, weights))
	}
	answer, said := "no", "No"
	if walk {
		answer, said = "", "All dry"
	}
	return append(list, p.meaning(answer, said, p.with(func(int) bool { return false })))
}

// with are the weights of the causes where the rows have these answers.
func (p *Proposal) with(yes func(row int) bool) []float64 {
	weights := slices.Clone(p.search.belief)
	for i, r := range p.rows {
		for k := range weights {
			if yes(i) {
				weights[k] *= r.yes[k]
			} else {
				weights[k] *= 1 - r.yes[k]
			}
		}
	}
	return weights
}

func (p *Proposal) meaning(answer, said string, weights []float64) Meaning {
	m, chance := p.search.model, 0.0
	for _, w := range weights {
		chance += w
	}
	result := Meaning{Answer: answer, Chance: chance, Ends: m.judge(weights, p.search.evidence).kind}
	if chance == 0 {
		result.Text = said + ": not to be expected."
		return result
	}
	shares := m.shares(weights)
	first := slices.Index(shares, slices.Max(shares))
	result.Text = fmt.Sprintf("%s: %s, %s.", said, lower(m.path(first).Called), odds(shares[first]))
	switch result.Ends {
	case Stop:
		result.Text = said + ": stop, the structure is suspected. The inspector decides."
	case Found:
		result.Text = strings.TrimSuffix(result.Text, ".") + ". That would be the end of the search."
	}
	return result
}

// Why says in two sentences why the test comes now: what it costs, and the suspects
// that a yes would raise most, or that an all dry would clear most.
func (p *Proposal) Why() string {
	m, walk := p.search.model, len(p.rows) > 1
	change, was := m.shares(p.with(func(int) bool { return !walk })), m.shares(p.search.belief)
	order := make([]int, len(change))
	for i := range change {
		order[i] = i
		if change[i] -= was[i]; walk {
			change[i] = -change[i]
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(change[b], change[a]) })
	var about []string
	for _, i := range order[:min(3, len(order))] {
		if change[i] > 0.01 {
			about = append(about, lower(m.path(i).Called))
		}
	}
	if len(about) == 0 {
		about = []string{"several suspects at once"}
	}
	return fmt.Sprintf("It tells most for its %.0f minutes. It is about: %s.", max(1, p.Minutes), strings.Join(about, "; "))
}
