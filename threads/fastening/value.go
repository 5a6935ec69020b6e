package fastening

import (
	"math"

	"fettle/threads/quantity"
)

// Sources used in many places.
const (
	commonPractice = "common practice, no source"
	calculated     = "calculated"
)

// real reports that v is a number that can be worked with.
func real(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// positive reports that v is a number above nought.
func positive(v float64) bool { return real(v) && v > 0 }

// BenchLength rounds a length that was worked out to a hundredth of a millimetre, what a
// workshop works to.
func BenchLength(l quantity.Length) quantity.Length {
	return quantity.Length(math.Round(float64(l)*100) / 100)
}
