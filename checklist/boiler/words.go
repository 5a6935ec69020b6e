package boiler

import (
	"sort"
	"strings"

	"fettle/threads/check"
)

// fold brings a typed word to one shape, small letters and figures only, so
// that "Graphited-Yarn " finds "graphited yarn" and "60/40brass" "60/40 brass".
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r > 127 {
			return r
		}
		return -1
	}, strings.ToLower(s))
}

// word is one entry of a closed vocabulary: its name and other ways to say it.
type word[T any] struct {
	value T
	name  string
	also  []string
}

// openWord is a set of words that may mean any of the entries named: they are
// refused, with those.
type openWord struct {
	words []string
	means []string
}

// parseWord finds the entry that s names, or returns a *WordError.
func parseWord[T any](kind, s string, words []word[T], open ...openWord) (T, error) {
	want := fold(s)
	known := make([]string, len(words))
	for i, w := range words {
		known[i] = w.name
		if fold(w.name) == want {
			return w.value, nil
		}
		for _, a := range w.also {
			if fold(a) == want {
				return w.value, nil
			}
		}
	}
	var zero T
	for _, o := range open {
		for _, w := range o.words {
			if fold(w) == want {
				return zero, &WordError{Kind: kind, Input: s, Open: true, Suggestions: o.means, Known: known}
			}
		}
	}
	return zero, &WordError{Kind: kind, Input: s, Suggestions: nearest(want, words), Known: known}
}

// nearest lists at most three names that want may have been meant for: those
// that hold it as a whole, then those a few slips of the finger away.
func nearest[T any](want string, words []word[T]) []string {
	const mostLetters = 40 // nobody meant a word of the vocabulary by more than this
	if want == "" || len(want) > mostLetters {
		return nil
	}
	type candidate struct {
		name  string
		slips int
	}
	var found []candidate
	for _, w := range words {
		best := -1
		for _, a := range append([]string{w.name}, w.also...) {
			a = fold(a)
			d := check.Slips(want, a, len(want)+1)
			if strings.Contains(a, want) || len(a) > 2 && strings.Contains(want, a) {
				d = 0
			} else if d > len(want)/3 {
				continue
			}
			if best < 0 || d < best {
				best = d
			}
		}
		if best >= 0 {
			found = append(found, candidate{w.name, best})
		}
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].slips < found[b].slips })
	var names []string
	for _, c := range found[:min(len(found), 3)] {
		names = append(names, c.name)
	}
	return names
}
