package fastening

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"unicode"

	"fettle/threads/check"
)

// UnknownError says that a name is none of those known, and what comes near; or that it
// means several.
type UnknownError struct {
	Kind        string   // "grade", "metal", "lubricant", "gasket"
	Input       string   // what was typed
	Suggestions []string // names that come near, nearest first
	Open        bool     // the word is sold as any of the suggestions
	Known       []string // every canonical name
}

func (e *UnknownError) Error() string {
	var what string
	if strings.TrimSpace(e.Input) == "" {
		what = fmt.Sprintf("no %s is named", e.Kind)
	} else {
		what = fmt.Sprintf("%q is no %s known here", clip(e.Input), e.Kind)
	}
	if e.Open {
		return fmt.Sprintf("%q is used for several things: %s; say which it is", clip(e.Input), strings.Join(e.Suggestions, "; "))
	}
	if len(e.Suggestions) > 0 {
		return what + "; did you mean " + strings.Join(e.Suggestions, ", or ") + "?"
	}
	return what + "; known are " + strings.Join(e.Known, "; ")
}

// clip keeps an error readable when a whole paragraph was pasted.
func clip(s string) string {
	const limit = 40
	if r := []rune(s); len(r) > limit {
		return string(r[:limit-3]) + "..."
	}
	return s
}

// maxName is the longest name looked at; anything longer is no name.
const maxName = 80

// fold brings the ways people write one name to one: case, blanks, hyphens and
// stops do not matter, except a stop between digits ("8.8"), and a comma
// between digits is a stop.
func fold(s string) string {
	if len(s) > maxName {
		return ""
	}
	r := []rune(strings.ToLower(s))
	var b strings.Builder
	for i, c := range r {
		switch {
		case unicode.IsLetter(c) || unicode.IsDigit(c):
			b.WriteRune(c)
		case (c == '.' || c == ',') && i > 0 && i+1 < len(r) && unicode.IsDigit(r[i-1]) && unicode.IsDigit(r[i+1]):
			b.WriteByte('.')
		}
	}
	return b.String()
}

// find looks a name up in a table, the one way for every table: names gives
// the canonical name and the aliases of an entry. key is the folded name that
// matched. noise lists words that may stand before or after the name.
func find[T any](kind, input string, table []T, names func(T) (string, []string), noise ...string) (entry T, key string, err error) {
	index := make([][]string, len(table))
	canonical := make([]string, len(table))
	for i, e := range table {
		name, aliases := names(e)
		canonical[i] = name
		index[i] = append(index[i], fold(name))
		for _, a := range aliases {
			index[i] = append(index[i], fold(a))
		}
	}
	keys := []string{fold(input)}
	for _, n := range noise {
		if cut := strings.TrimSuffix(strings.TrimPrefix(keys[0], n), n); cut != keys[0] {
			keys = append(keys, cut)
		}
	}
	for _, key := range keys {
		for i := range index {
			if key != "" && slices.Contains(index[i], key) {
				return table[i], key, nil
			}
		}
	}
	for _, key := range keys {
		if means := openWord(kind, key); means != nil {
			return entry, "", &UnknownError{Kind: kind, Input: input, Open: true, Suggestions: means, Known: canonical}
		}
	}
	return entry, "", &UnknownError{Kind: kind, Input: input, Suggestions: suggest(input, canonical, index), Known: canonical}
}

// openWord is what a folded word may mean where the trade uses it for things that
// differ in friction, load or strength; nil where it does not. None is guessed.
func openWord(kind, key string) []string {
	switch kind + " " + key {
	case "lubricant paste":
		return []string{"anti-seize", "jointing paste"}
	case "lubricant lubricated", "lubricant lubed", "lubricant lubricant":
		return []string{"anti-seize", "grease", "oil"}
	case "gasket rubber", "gasket elastomer":
		return []string{"soft elastomer", "hard elastomer", "elastomer with cotton", "O-ring"}
	case "gasket fibre", "gasket fiber", "gasket jointing":
		return []string{"vegetable fibre", "compressed sheet, 1.5 mm"}
	case "gasket copperandfibre", "gasket copperasbestos":
		return []string{"corrugated copper, filled", "jacketed copper"}
	case "metal castbronze", "metal bronze":
		return []string{"gunmetal", "cast phosphor bronze", "phosphor bronze", "aluminium bronze"}
	}
	return nil
}

// suggest lists the canonical names nearest to input, at most four: those
// within one slip in three letters, those that contain it or are contained in
// it, and those with a word that comes as near.
func suggest(input string, canonical []string, index [][]string) []string {
	key := fold(input)
	if key == "" {
		return nil
	}
	type near struct {
		name string
		slip int
	}
	var found []near
	for i, names := range index {
		best := -1
		for _, n := range names {
			d := check.Slips(key, n, len(n)+1)
			if len(key) >= 3 && len(n) >= 3 && (strings.Contains(n, key) || strings.Contains(key, n)) {
				d = min(d, 1)
			}
			if d <= max(1, len(n)/3) && (best < 0 || d < best) {
				best = d
			}
		}
		for _, word := range strings.Fields(canonical[i]) {
			word = fold(word)
			if d := check.Slips(key, word, len(word)+1); best < 0 && len(word) > 3 && d <= len(word)/3 {
				best = d + 1
			}
		}
		if best >= 0 {
			found = append(found, near{canonical[i], best})
		}
	}
	sort.SliceStable(found, func(a, b int) bool { return found[a].slip < found[b].slip })
	var out []string
	for _, f := range found {
		if len(out) < 4 {
			out = append(out, f.name)
		}
	}
	return out
}
