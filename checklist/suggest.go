package checklist

import "strings"

// nearest is the candidate that a person probably meant, or "". Letter case,
// spaces, hyphens and underscores do not count; beyond that a third of the
// letters may be wrong, but no more than three and never all of them. Of equally near
// candidates the first wins.
func nearest(word string, candidates []string) string {
	w := []rune(plain(word))
	if len(w) == 0 || len(w) > 60 {
		return ""
	}
	best, bestDistance := "", 4
	for _, c := range candidates {
		r := []rune(plain(c))
		limit := min(3, (max(len(w), len(r))+1)/3)
		if d := distance(w, r, limit+1); d <= limit && d < bestDistance {
			best, bestDistance = c, d
		}
	}
	return best
}

func plain(word string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '_':
			return -1
		}
		return r
	}, strings.ToLower(word))
}

// distance counts the letters to add, drop, change or swap with their
// neighbour to turn a into b (the restricted Damerau-Levenshtein distance). It
// stops counting at enough.
func distance(a, b []rune, enough int) int {
	if len(a)-len(b) >= enough || len(b)-len(a) >= enough {
		return enough
	}
	before, row := make([]int, len(b)+1), make([]int, len(b)+1)
	next := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range a {
		next[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			next[j+1] = min(row[j]+cost, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row, next = row, next, before
	}
	return min(row[len(b)], enough)
}

// didYouMean is the suggestion for a word that is nearly one of the
// candidates; without a near one it lists them where they are few.
func didYouMean(word string, candidates []string) string {
	if near := nearest(word, candidates); near != "" {
		return "did you mean `" + near + "`?"
	}
	if len(candidates) == 0 || len(candidates) > 16 {
		return ""
	}
	return "one of: " + strings.Join(candidates, ", ")
}
