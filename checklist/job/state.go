package job

import (
	"fmt"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"time"

	"fettle/checklist"
)

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
	Outside       int    // steps with a reading outside its limits, done or not

	Waiting   []Wait // those of called jobs too
	Holds     []Hold // those of called jobs too
	Conflicts []Conflict

	Findings []Finding // in the job's order
	Short    []Short
	Tallies  []Tally // of every opening that something went into
	Blanks   []Blank
	Test     TestSheet
	Called   []Called // what its steps called, in their order
	Off      []Mark   // who called off this job, if that counts

	// Notices are plain sentences about the record itself: unfinished lines,
	// lines changed by hand, entries of newer versions, clocks that are off.
	Notices []string
	// Unshared counts entries that are saved on this device only.
	Unshared int
}

// StepState is how one step stands.
type StepState struct {
	Status    Status
	Blocks    []string // why it cannot be ticked now, in plain words; empty where it can
	Ticks     []Mark   // live ticks, oldest first; several people may have ticked
	Skips     []Mark   // live skips with their reasons
	Releases  []Mark   // live releases of its hold point
	Undone    []Mark   // what was taken back on this step and by whom, newest last
	Missing   []string // readings that a tick waits for, in plain words
	Outside   []string // readings outside their limits, in plain words; the last of each name counts
	KeepIn    string   // why it cannot be left out, whatever the reason; "" where it can
	Gates     []Gate   // all that stands, or was passed, before it
	Reopened  []Mark   // ticks and skips from before a part was changed: done again, they count
	Witnesses []Mark
	Readings  map[string][]ReadingValue
	Notes     []NoteValue
	Due       time.Time // when its wait is over; zero where it has none or the wait has not begun

	stopped string // why a tick on it does not count
}

// Mark is something a person put on a step.
type Mark struct {
	ID   string // id of the entry
	By   string
	At   time.Time // by the clock of the device it was made on; zero where unreadable
	Text string    // the reason of a skip, what was undone
	Self bool      // a release by somebody who does the work as well
}

// ReadingValue is one reading that nothing has replaced. Where there are
// several for one name, two people measured without seeing each other's value.
type ReadingValue struct {
	Mark
	Value     string // as it was typed
	Unit      string
	Latest    bool                // the last in the job's order: the one that figures are worked out from
	Judgement checklist.Judgement // against the limits as they are now; zero where the value is none of this unit
}

// String is the value with its unit.
func (v ReadingValue) String() string { return withUnit(v.Value, v.Unit) }

// NoteValue is one note.
type NoteValue struct {
	Mark
	Photos []string // names of files in the job's photos folder
}

// Wait is a step that has to wait.
type Wait struct {
	Step  string
	Until time.Time
	In    string // folder of the called job it belongs to; empty for this job
}

// Hold is a step that stands at a hold point now.
type Hold struct {
	Step string
	Who  string // who must release it
	In   string // folder of the called job it belongs to; empty for this job
}

// Conflict is something that two people recorded differently without seeing
// each other's entry. A new entry by anybody who sees both settles it.
type Conflict struct {
	Step    string
	Reading string // name of the reading, or "" where a step is both ticked and skipped
	Text    string // plain sentence
}

// State is how the job stands now. It looks at the clock, not at the disk.
func (j *Job) State() State {
	seen, now := j.view(), j.env.Now()
	steps := seen.filled.Steps()
	state := State{Steps: make(map[string]StepState, len(steps)), Total: len(steps), Unshared: seen.unshared}
	j.judge(&state, seen)
	j.judgeCalled(&state, seen, now)
	g := j.gating(&state, seen, now)
	for _, step := range steps {
		state.Steps[step.ID] = g.recorded(step)
	}
	for _, step := range steps {
		s := state.Steps[step.ID]
		if len(s.Outside) > 0 {
			state.Outside++
		}
		switch s.Status {
		case Done:
			state.Done++
			if stops := g.ruleAgainst(step); len(stops) > 0 {
				g.late = append(g.late, fmt.Sprintf("Step %s is done, and now a rule stands against it: %s", step.ID, strings.Join(stops, "; ")))
			}
			continue
		case Skipped:
			state.Skipped++
			continue
		}
		g.stand(&s, step)
		if s.Status == Waiting {
			state.Waiting = append(state.Waiting, Wait{Step: step.ID, Until: s.Due})
		}
		state.Steps[step.ID] = s
		if state.Next == "" || s.Status == Todo && state.Steps[state.Next].Status != Todo {
			state.Next = step.ID
		}
	}
	state.addCalled()
	j.judgeOff(&state, seen)
	state.Notices = slices.Concat(g.late, j.notices(seen, now), seen.notices, state.Notices)
	return state
}

// recorded is what people put on a step.
func (g *gating) recorded(step *checklist.FilledStep) StepState {
	state, seen := g.state, g.seen
	s := StepState{Status: Todo, Readings: map[string][]ReadingValue{}}
	f := seen.fold.steps[step.ID]
	for _, rec := range seen.fold.judged[KindWitness] {
		if rec.Step == step.ID && seen.changed.answers(rec) {
			s.Witnesses = append(s.Witnesses, mark(rec))
		}
	}
	if f != nil {
		// What was recorded before a part changed says nothing about it now.
		now := func(all []*record) (list []*record) {
			for _, rec := range all {
				if seen.changed.answers(rec) {
					list = append(list, rec)
				} else if rec.Kind == KindTick || rec.Kind == KindSkip {
					s.Reopened = append(s.Reopened, mark(rec))
				}
			}
			return list
		}
		s.Ticks, s.Skips, s.Releases = marks(now(f.ticks)), marks(now(f.skips)), marks(now(f.releases))
		for _, note := range f.notes {
			s.Notes = append(s.Notes, NoteValue{mark(note), note.Photos})
		}
		for i := range f.undone {
			s.Undone = append(s.Undone, undoneMark(&f.undone[i]))
		}
		for _, name := range sortedKeys(f.readings) {
			readings := now(f.readings[name])
			if len(readings) == 0 {
				continue
			}
			s.Readings[name] = readingValues(step, name, readings)
			if text := disagreement(readings); text != "" {
				state.Conflicts = append(state.Conflicts, Conflict{step.ID, name, text})
			}
		}
	}
	s.KeepIn = unskippable(seen.filled, step)
	for _, r := range step.Readings {
		if text := outside(r, s.Readings[r.Name]); text != "" {
			s.Outside = append(s.Outside, text)
		}
		if block := missingReading(r, s.Readings[r.Name]); block != "" {
			s.Missing = append(s.Missing, block)
			if r.Outside == checklist.Stop {
				s.stopped = block
			}
		}
	}
	if step.Hold != "" && len(s.Releases) == 0 {
		s.stopped = "hold point: the " + step.Hold + " must release it"
	}
	if text, _ := g.testStop(step); text != "" {
		s.stopped = text
	}
	if text, _ := g.roundsLeft(step); text != "" { // the steps before it are worked out already
		s.stopped = text
	}
	if len(s.Ticks) > 0 && step.Kind == "wait" && cures(seen.filled, step) {
		// Whoever wrote the tick did not ask here first: a cure that still runs is
		// not over because a log says so.
		if text, _, safety, waits := g.wait(step, true); waits && safety {
			s.stopped = text
		}
	}
	left := s.stopped // what is to be called first can be left out with its step
	if stop, keepIn := g.calledStop(step); stop != "" {
		s.stopped = stop
		s.KeepIn = firstOf(s.KeepIn, keepIn)
	}
	if len(s.Ticks) > 0 && len(s.Skips) > 0 {
		state.Conflicts = append(state.Conflicts, Conflict{step.ID, "", fmt.Sprintf("done by %s, left out by %s", names(s.Ticks), names(s.Skips))})
	}
	switch {
	case len(s.Ticks) > 0 && s.stopped == "":
		s.Status = Done
	case len(s.Skips) > 0 && left == "" && s.KeepIn == "":
		s.Status = Skipped
	}
	return s
}

// stand decides whether a step that is neither done nor left out can be worked on.
func (g *gating) stand(s *StepState, step *checklist.FilledStep) {
	if len(s.Ticks) > 0 {
		s.Blocks = append(s.Blocks, "ticked by "+names(s.Ticks)+", and does not count: "+s.stopped)
	}
	if len(s.Skips) > 0 && s.KeepIn != "" {
		s.Blocks = append(s.Blocks, "left out by "+names(s.Skips)+", and does not count: "+s.KeepIn)
	}
	s.Gates = g.gates(s, step)
	waits := false
	for _, gate := range s.Gates {
		if len(gate.Passed) > 0 || gate.Soft {
			continue
		}
		s.Blocks = append(s.Blocks, gate.Text)
		if gate.Name == GateWait && !s.Due.IsZero() {
			waits = true
		}
	}
	switch {
	case waits && len(s.Blocks) == 1:
		s.Status = Waiting
	case len(s.Blocks) > 0:
		s.Status = Blocked
	}
}

// outside says that the last of a reading's values lies outside its limits, or
// is not the answer that was wanted.
func outside(r checklist.FilledReading, values []ReadingValue) string {
	if len(values) == 0 {
		return ""
	}
	judged := values[len(values)-1].Judgement
	if judged.OK || judged.Text == "" {
		return ""
	}
	return firstOf(r.Ask, r.Name) + ": " + judged.Text
}

// missingReading says why a reading keeps its step from being ticked.
func missingReading(r checklist.FilledReading, values []ReadingValue) string {
	label := r.Ask
	if label == "" {
		label = r.Name
	}
	if len(values) == 0 {
		return fmt.Sprintf("reading %s is missing (%s)", r.Name, label)
	}
	last := values[len(values)-1]
	if last.Judgement.Severity == checklist.Stop {
		return fmt.Sprintf("reading %s: %s", r.Name, last.Judgement.Text)
	}
	return ""
}

func mark(rec *record) Mark {
	return Mark{ID: rec.ID, By: rec.By, At: rec.At(), Text: rec.Text, Self: rec.self()}
}

func marks(recs []*record) []Mark {
	list := make([]Mark, len(recs))
	for i, rec := range recs {
		list[i] = mark(rec)
	}
	return list
}

func undoneMark(e *folded) Mark {
	m := mark(e.retractedBy)
	what := e.Kind
	if e.Kind == KindMeasure {
		what = "reading " + e.Reading + " " + e.Value
	}
	m.Text = what + " by " + e.By
	return m
}

func readingValues(step *checklist.FilledStep, name string, values []*record) []ReadingValue {
	list := make([]ReadingValue, len(values))
	for i, rec := range values {
		list[i] = ReadingValue{Mark: mark(rec), Value: rec.Value, Unit: rec.Unit, Latest: i == len(values)-1}
		for _, r := range step.Readings {
			if r.Name != name {
				continue
			}
			if judged, err := r.Judge(rec.Value); err == nil {
				list[i].Judgement = judged
			}
		}
	}
	return list
}

// disagreement describes readings of one name that differ; "" where they agree.
func disagreement(values []*record) string {
	differ := false
	said := make([]string, len(values))
	for i, rec := range values {
		differ = differ || !sameValue(values[0], rec)
		said[i] = withUnit(rec.Value, rec.Unit) + " by " + rec.By
	}
	if !differ {
		return ""
	}
	return strings.Join(said, ", ") + " (counts: last in the job's order)"
}

func latest(marks []Mark) time.Time {
	var at time.Time
	for _, m := range marks {
		at = later(at, m.At)
	}
	return at
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// clockSlack is how far a clock may be ahead before it is worth a word.
const clockSlack = time.Hour

// notices are about the entries as a whole.
func (j *Job) notices(seen *view, now time.Time) []string {
	var list []string
	f := seen.fold
	if seen.unshared > 0 {
		list = append(list, fmt.Sprintf("%s saved on this device only; the next entry, or \"fettle job verify\", adds %s to %s.",
			plural(seen.unshared, "entry is", "entries are"), map[bool]string{true: "it", false: "them"}[seen.unshared == 1], Plain(j.dir)))
	}
	if seen.healed > 0 {
		list = append(list, fmt.Sprintf("%s on this device only; now in %s too.", plural(seen.healed, "entry was", "entries were"), Plain(j.dir)))
	}
	for _, name := range j.edited {
		list = append(list, name+" was changed after the job started.")
	}
	if f.newer > 0 {
		list = append(list, plural(f.newer, "entry was", "entries were")+" made by a newer version: kept, not understood here.")
	}
	list = append(list, some(seen.unfit, func(s string) string { return s })...)
	list = append(list, some(f.waiting, func(id string) string { return "Undo of " + id + " waits for its entry." })...)
	list = append(list, some(f.doubles, func(id string) string { return "Two different entries are called " + id + "; both count." })...)
	var ahead []string
	for _, device := range sortedKeys(f.ahead) {
		if f.ahead[device].at.Sub(now) > clockSlack {
			ahead = append(ahead, device)
		}
	}
	list = append(list, some(ahead, func(device string) string {
		return fmt.Sprintf("The clock of device %s (%s) is %s ahead; order is not affected.", device, f.ahead[device].by, roughly(f.ahead[device].at.Sub(now)))
	})...)
	list = append(list, some(f.edited, func(line changedLine) string {
		return fmt.Sprintf("%s line %d: entry %s was changed outside the program; the original counts.", Plain(line.file), line.line, line.ID)
	})...)
	return append(list, some(f.changed, func(line changedLine) string {
		return fmt.Sprintf("%s line %d was changed outside the program and does not count until it is accepted (%s): %s by %s", Plain(line.file), line.line, line.Sum, line.says(), somebody(line.By))
	})...)
}

// some words the first few of a list that may be as long as somebody else likes.
func some[T any](list []T, word func(T) string) []string {
	const few = 5
	var words []string
	for _, item := range list[:min(len(list), few)] {
		words = append(words, word(item))
	}
	if more := len(list) - few; more > 0 {
		words = append(words, plural(more, "more like this", "more like these")+" (\"fettle job verify\" shows all).")
	}
	return words
}

// fileNotices are about the files: what could not be read, and what came from copies.
func fileNotices(l *logs) []string {
	var unfinished, unreadable []string
	for _, path := range sortedKeys(l.read) {
		file, name := l.read[path], Plain(filepath.Base(path))
		if path == l.twin {
			name = "this device's own copy"
		}
		if file.tail == lineUnreadable {
			unfinished = append(unfinished, "1 unfinished line in "+name+" (power loss?). Nothing that was reported saved is affected.")
		}
		if file.unreadable > 0 {
			unreadable = append(unreadable, fmt.Sprintf("%s in %s, the first is line %d. Kept; the lines around count.", plural(file.unreadable, "unreadable line", "unreadable lines"), name, file.firstUnreadable))
		}
	}
	asIs := func(s string) string { return s }
	list := append(some(unfinished, asIs), some(unreadable, asIs)...)
	copies := 0
	for _, rec := range l.all {
		if rec.inFolder && !rec.inLog && !rec.inTwin {
			copies++
		}
	}
	if copies > 0 {
		list = append(list, plural(copies, "entry", "entries")+" read from a conflict copy; nothing lost.")
	}
	list = append(list, some(numberGaps(l), func(s string) string {
		return strings.ToUpper(s[:1]) + s[1:] + ": a sync that is not through, or a log that was lost."
	})...)
	if l.changedMore > 0 {
		list = append(list, plural(l.changedMore, "more changed line is", "more changed lines are")+" not shown.")
	}
	return append(list, some(l.skipped, asIs)...)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// roughly words a span the way one speaks of a clock that is off.
func roughly(d time.Duration) string {
	const day = 24 * time.Hour
	switch {
	case d >= 60*day:
		return plural(int(d/(30*day)), "month", "months")
	case d >= 2*day:
		return plural(int(d/day), "day", "days")
	}
	return plural(int(d/time.Hour), "hour", "hours")
}
