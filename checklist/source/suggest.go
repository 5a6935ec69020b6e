package source

import (
	"strings"
	"unicode/utf8"

	"fettle/threads/check"
)

// nearest is the candidate that a person probably meant, or "". Letter case,
// spaces, hyphens and underscores do not count; beyond that a third of the
// letters may be wrong, but no more than three and never all of them. Of equally near
// candidates the first wins.
func Nearest(word string, candidates []string) string {
	w := Plain(word)
	if w == "" || len(w) > 60 {
		return ""
	}
	best, bestDistance := "", 4
	for _, c := range candidates {
		r := Plain(c)
		limit := min(3, (max(utf8.RuneCountInString(w), utf8.RuneCountInString(r))+1)/3)
		if d := check.Slips(w, r, limit+1); d <= limit && d < bestDistance {
			best, bestDistance = c, d
		}
	}
	return best
}

func Plain(word string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '_':
			return -1
		}
		return r
	}, strings.ToLower(word))
}

// didYouMean is the suggestion for a word that is nearly one of the
// candidates; without a near one it lists them where they are few.
func DidYouMean(word string, candidates []string) string {
	if near := Nearest(word, candidates); near != "" {
		return "did you mean `" + near + "`?"
	}
	if len(candidates) == 0 || len(candidates) > 16 {
		return ""
	}
	return "one of: " + strings.Join(candidates, ", ")
}
