package check

// Severity is one of the four words that every result of a check carries.
type Severity string

// The four words.
const (
	Stop Severity = "stop" // must not go on
	Warn Severity = "warn" // may go on, and somebody will be sorry
	Ask  Severity = "ask"  // the local code or the inspector decides
	Note Severity = "note" // worth knowing
)

func (s Severity) Gravity() int {
	switch s {
	case Stop:
		return 4
	case Warn:
		return 3
	case Ask:
		return 2
	case Note:
		return 1
	}
	return 0
}
