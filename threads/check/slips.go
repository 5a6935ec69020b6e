package check

// Slips is the number of letters to change, add, drop or swap with their
// neighbour to get from a to b (optimal string alignment). It stops counting at
// enough, which is what it returns for words further apart. Every suggestion
// for a word that is nearly right is measured with it.
func Slips(a, b string, enough int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) >= enough || len(y)-len(x) >= enough {
		return enough
	}
	before, row, next := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		next[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			next[j+1] = min(row[j]+cost, row[j+1]+1, next[j]+1)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row, next = row, next, before
	}
	return min(row[len(y)], enough)
}
