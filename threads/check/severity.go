package check

// Severity is one of the four words that every result of a check carries; a verdict
// with nothing amiss has a fifth.
type Severity string

// The words, gravest first.
const (
	Stop Severity = "stop" // must not go on
	Warn Severity = "warn" // may go on, and somebody will be sorry
	Ask  Severity = "ask"  // the local code or the inspector decides
	Note Severity = "note" // worth knowing
	Good Severity = "good" // of a verdict only: nothing to object to
)

// Gravity orders the words: 4 for stop, 0 for good and for what is none of them.
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

// Worse reports whether s matters more than t.
func (s Severity) Worse(t Severity) bool { return s.Gravity() > t.Gravity() }
