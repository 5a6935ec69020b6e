package check

import (
	"cmp"
	"slices"
)

// Deference is the sentence every result about pressure parts carries.
const Deference = "On a boiler the local code and the boiler inspector decide; this is advice to check against them."

// Result is what one rule says.
type Result struct {
	// Rule names the rule in two or three words joined by hyphens, such as
	// "wet-steel"; it stays the same whatever the message says.
	Rule     string   `json:"rule"`
	Severity Severity `json:"severity"`
	// Message is one or two plain sentences.
	Message string `json:"message"`
	// Source says where the figure or the rule comes from.
	Source string `json:"source"`
	// Danger is set where a person could be hurt. A danger that is there every
	// time, whatever was asked, is a Note all the same: it is shown as a warning
	// and changes no verdict.
	Danger bool `json:"-"`

	// Compared is set where a limit is set against a temperature: Limit is then
	// the limit in °C, and Margin how many kelvin it lies above (negative: below)
	// the temperature.
	Compared bool    `json:"-"`
	Limit    float64 `json:"-"`
	Margin   float64 `json:"-"`

	// Accepted is why the author of a procedure says that the rule does not apply
	// there; empty where nothing is said.
	Accepted string `json:"-"`
}

// Worst is the gravest word among results. Notes do not count: where there are
// only notes, or nothing, it is Good.
func Worst(results []Result) Severity {
	worst := Good
	for _, r := range results {
		if r.Severity != Note && r.Severity.Worse(worst) {
			worst = r.Severity
		}
	}
	return worst
}

// GravestFirst are the results with the gravest first, else in their order.
func GravestFirst(results []Result) []Result {
	return slices.SortedStableFunc(slices.Values(results), func(a, b Result) int {
		return cmp.Compare(b.Severity.Gravity(), a.Severity.Gravity())
	})
}
