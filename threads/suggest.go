package threads

import "strings"

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
		score := slips(typed, squeeze(name))
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

// slips is the number of letters to change, add, drop or swap to get from a to
// b (optimal string alignment). Above two it stops counting exactly.
func slips(a, b string) int {
	if d := len(a) - len(b); d > 2 || d < -2 {
		return 3
	}
	var rows [3][longestName + 1]int
	prev2, prev, cur := &rows[0], &rows[1], &rows[2]
	for j := 0; j <= len(b); j++ {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			v := min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				v = min(v, prev2[j-2]+1)
			}
			cur[j] = v
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(b)]
}
