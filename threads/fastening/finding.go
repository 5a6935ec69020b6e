package fastening

import (
	"math"

	"fettle/threads/quantity"
)

// Deference is the sentence every result about pressure parts carries.
const Deference = "On a boiler the local code and the boiler inspector decide; this is advice to check against them."

// Severity is how much a finding matters.
type Severity string

// The four words a finding carries, gravest first, and the word of a verdict
// that found nothing to object to.
const (
	Stop Severity = "stop" // must not go on
	Warn Severity = "warn" // may go on, with a reason to think again
	Ask  Severity = "ask"  // the local code or the inspector decides
	Note Severity = "note" // worth knowing
	Good Severity = "good" // a verdict only: nothing to object to
)

// rank orders severities, gravest first.
func (s Severity) rank() int {
	switch s {
	case Stop:
		return 0
	case Warn:
		return 1
	case Ask:
		return 2
	case Note:
		return 3
	}
	return 4
}

// Worse reports that s matters more than t.
func (s Severity) Worse(t Severity) bool { return s.rank() < t.rank() }

// Finding is one result of a check.
type Finding struct {
	Rule     string   `json:"rule"` // short fixed name of the rule, such as "wet-steel"
	Severity Severity `json:"severity"`
	Message  string   `json:"message"`
	Source   string   `json:"source"`
}

// Verdict is the gravest severity among the findings. Notes do not count: a
// result with only notes is Good.
func Verdict(findings []Finding) Severity {
	v := Good
	for _, f := range findings {
		if f.Severity != Note && f.Severity.Worse(v) {
			v = f.Severity
		}
	}
	return v
}

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
