package threads

import (
	"fettle/threads/check"
	"strings"
)

// suggest lists up to five names close to what was typed: threads of the same
// figures first, then those within two slips of the keyboard.
func suggest(input string) []string {
	if len(input) > longestName {
		return nil
	}
	typed := squeeze(input)
	if typed == "" {
		return nil
	}
	type scored struct {
		name  string
		score int
	}
	var best []scored
	for _, t := range All() {
		name := t.String()
		score := check.Slips(typed, squeeze(name), 3)
		if score > 2 || score >= len(typed) {
			continue
		}
		best = append(best, scored{name, score})
	}
	// A stable selection: fewest slips first, then the order of All.
	var out []string
	for want := 0; want <= 2 && len(out) < 5; want++ {
		for _, b := range best {
			if b.score == want && len(out) < 5 {
				out = append(out, b.name)
			}
		}
	}
	return out
}

// squeeze drops everything that people write differently: case, blanks, signs.
func squeeze(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(nameMarks.Replace(strings.ToLower(s))) {
		if r >= 'a' && r <= 'z' && r != 'x' || r >= '0' && r <= '9' || r == '/' || r == '.' {
			b.WriteRune(r)
		}
	}
	return b.String()
}
