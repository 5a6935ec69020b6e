package job

import "time"

// Status says how a step stands.
type Status string

// The states of a step.
const (
	Todo    Status = "todo"    // can be worked on now
	Done    Status = "done"    // somebody ticked it
	Skipped Status = "skipped" // left out, with a reason
	Waiting Status = "waiting" // nothing to do until [StepState.Due]
	Blocked Status = "blocked" // [StepState.Blocks] says by what
)

// State is how a job stands: worked out afresh from its entries and the clock.
// All text in it is harmless on a terminal.
type State struct {
	Steps map[string]StepState // every step that applies, by id

	Next          string // id of the step to work on next; "" when nothing is left
	Done, Skipped int    // steps ticked, steps left out with a reason
	Total         int    // steps that apply

	Waiting   []Wait
	Holds     []Hold
	Conflicts []Conflict

	// Notices are plain sentences about the record itself: unfinished lines,
	// lines changed by hand, entries of newer versions, clocks that are off.
	Notices []string
	// Unshared counts entries that are saved on this device only.
	Unshared int
}

// StepState is how one step stands.
type StepState struct {
	Status   Status
	Blocks   []string // why it cannot be ticked now, in plain words; empty where it can
	Ticks    []Mark   // live ticks, oldest first; several people may have ticked
	Skips    []Mark   // live skips with their reasons
	Releases []Mark   // live releases of its hold point
	Undone   []Mark   // who undid what on this step, newest last
	Readings map[string][]ReadingValue
	Notes    []NoteValue
	Due      time.Time // when its wait is over; zero where it has none or the wait has not begun
}

// Mark is something a person put on a step.
type Mark struct {
	ID   string // id of the entry
	By   string
	At   time.Time // by the clock of the device it was made on; zero where unreadable
	Text string    // the reason of a skip, what was undone
}

// ReadingValue is one reading that nothing has replaced. Where there are
// several for one name, two people measured without seeing each other's value.
type ReadingValue struct {
	Mark
	Value  string // as it was typed
	Unit   string
	Latest bool // the last in the job's order: the one that figures are worked out from
}

// NoteValue is one note.
type NoteValue struct {
	Mark
}

// Wait is a step that has to wait.
type Wait struct {
	Step  string
	Until time.Time
}

// Hold is a step that stands at a hold point now.
type Hold struct {
	Step string
	Who  string // who must release it
}

// Conflict is something that two people recorded differently without seeing
// each other's entry. A new entry by anybody who sees both settles it.
type Conflict struct {
	Step    string
	Reading string // name of the reading, or "" where a step is both ticked and skipped
	Text    string // plain sentence
}
