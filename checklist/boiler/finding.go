package boiler

import "fettle/threads/quantity"

// Severity is the weight of a finding, in one of four words.
type Severity string

const (
	Stop Severity = "stop" // must not go on
	Warn Severity = "warn" // may go on, and may be regretted
	Ask  Severity = "ask"  // the local code or the inspector decides
	Note Severity = "note" // worth knowing
)

func (s Severity) rank() int {
	switch s {
	case Stop:
		return 3
	case Warn:
		return 2
	case Ask:
		return 1
	}
	return 0
}

// Finding is one result of a check.
type Finding struct {
	// Rule names the rule in two or three words joined by hyphens; it stays the
	// same whatever the message says.
	Rule     string
	Severity Severity
	// Message is one or two plain sentences.
	Message string
	// Source says where the figure or the rule comes from.
	Source string
	// Danger is set where a person could be hurt. A danger that is there every
	// time, whatever was asked, is a Note all the same: it is shown as a warning
	// and changes no verdict.
	Danger bool

	// Compared is set where the finding sets a temperature limit against a
	// temperature: Limit then holds the limit, and Margin how many kelvin it
	// lies above (negative: below) the temperature.
	Compared bool
	Limit    quantity.Temperature
	Margin   float64
}

// Worst is the gravest severity among findings; Note where there are none.
func Worst(findings []Finding) Severity {
	worst := Note
	for _, f := range findings {
		if f.Severity.rank() > worst.rank() {
			worst = f.Severity
		}
	}
	return worst
}
