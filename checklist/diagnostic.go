package checklist

// Severity is one of the four words that every result of a check carries.
type Severity string

// The four words.
const (
	Stop Severity = "stop" // must not go on
	Warn Severity = "warn" // may go on, and somebody will be sorry
	Ask  Severity = "ask"  // the local code or the inspector decides
	Note Severity = "note" // worth knowing
)

// Diagnostic is one thing a check has to say, and where.
type Diagnostic struct {
	File string
	// Line and Column count from 1, the column in characters. Both are 0 where
	// the place is not known: no place is better than a wrong one.
	Line, Column int
	Severity     Severity
	Rule         string // id of the rule, see [Rules]
	Message      string // one sentence, without a final full stop
	Suggestion   string // what to write instead; may be empty

	source     []byte
	start, end int // byte offsets in source; start < 0 where unknown
}

// Diagnostics is everything a check found, in the order of the file.
type Diagnostics []Diagnostic

// HasStop says whether anything in it must be put right before work goes on.
func (ds Diagnostics) HasStop() bool { return ds.Worst() == Stop }

// Worst is the gravest word in it, or "" where nothing was found.
func (ds Diagnostics) Worst() Severity {
	worst := Severity("")
	for _, d := range ds {
		if d.Severity.rank() > worst.rank() {
			worst = d.Severity
		}
	}
	return worst
}

func (s Severity) rank() int {
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
