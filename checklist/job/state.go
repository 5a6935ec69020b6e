package job

import (
	"fmt"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/threads/check"
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
	Closed   []Mark   // who put it away, if that counts
	Dangers  []Danger // what stands on the engine
	Jumps    []Jump   // of clocks
	Clock    Doubted  // what is wrong with the clock of this device

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
	Opened    []Mark   // who opened it again, and why; empty where a decision or a test did
	Witnesses []Mark
	Readings  map[string][]ReadingValue
	Notes     []NoteValue
	Due       time.Time // when its wait is over; zero where it has none or the wait has not begun
	Begun     *Begun    // when its wait began; nil where nobody said so
	ToBegin   string    // the step, this one or one before it, whose wait is to be begun or begun again; "" for none
	Void      []Void    // releases that do not count any more
	Apart     []Mark    // ticks, skips and releases that an undo made apart stands against

	stopped string   // why a tick on it does not count, nor its being left out
	unread  string   // why a tick on it does not count: a reading that is not there
	differ  []string // what was written apart on it and keeps it open
	byTick  []string // those of them that a tick by somebody who sees both settles
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
	Counts    bool                // the one that figures are worked out from: see Conflict
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

// State is how the job stands now. It looks at the clock, not at the disk.
func (j *Job) State() State {
	seen, now := j.view(), j.env.Now()
	steps := seen.filled.Steps()
	state := State{Steps: make(map[string]StepState, len(steps)), Total: len(steps), Unshared: seen.unshared}
	j.judge(&state, seen)
	j.judgeCalled(&state, seen, now)
	g := j.gating(&state, seen, now)
	state.Conflicts = append(state.Conflicts, g.differ...)
	for _, step := range steps {
		state.Steps[step.ID] = *g.recorded(step)
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
	state.Dangers = j.dangers(seen)
	state.addCalled()
	j.judgeOff(&state, seen)
	j.judgeClosed(&state, seen)
	state.Jumps = seen.fold.times.jumps
	state.Clock = seen.fold.times.doubted(now)
	state.Notices = slices.Concat(g.late, j.notices(seen, now), seen.notices, state.Notices)
	return state
}

// recorded is what people put on a step, and whether that makes it done.
func (g *gating) recorded(step *checklist.FilledStep) *StepState {
	if known, ok := g.known[step.ID]; ok {
		return known
	}
	s := &StepState{Status: Todo, Readings: map[string][]ReadingValue{}}
	g.known[step.ID] = s // whoever asks in a circle of needs finds it open
	for _, rec := range g.seen.fold.judged[KindWitness] {
		if rec.Step == step.ID && g.seen.changed.answers(rec) {
			s.Witnesses = append(s.Witnesses, mark(rec))
		}
	}
	s.Begun = g.begun(step)
	if f := g.seen.fold.steps[step.ID]; f != nil {
		g.marked(s, step, f)
	}
	if len(s.Ticks) > 0 && len(s.Skips) > 0 {
		text := fmt.Sprintf("done by %s, left out by %s", g.j.wall.names(s.Ticks), g.j.wall.names(s.Skips))
		holds := g.j.keeps(RuleTickOrSkip)
		g.state.Conflicts = append(g.state.Conflicts, Conflict{step.ID, "", text, holds})
		if holds {
			s.differ, s.byTick = append(s.differ, text), append(s.byTick, text)
		}
	}
	if g.opened[step.ID] {
		s.differ = append(s.differ, g.differ[0].Text)
	}
	s.KeepIn = g.unskippable(step)
	g.stops(s, step)
	left := s.stopped // what is to be called first can be left out with its step
	if stop, keepIn := g.calledStop(step); stop != "" {
		s.stopped = stop
		s.KeepIn = firstOf(s.KeepIn, keepIn)
	}
	switch {
	case len(s.Ticks) > 0 && s.stopped == "" && s.unread == "":
		s.Status = Done
	case len(s.Skips) > 0 && left == "" && s.KeepIn == "":
		s.Status = Skipped
	}
	return s
}

// marked puts the entries of a step into its state. What was recorded before a part
// changed, or before the step was opened again, says nothing about it now.
func (g *gating) marked(s *StepState, step *checklist.FilledStep, f *stepFold) {
	changed := g.seen.changed
	now := func(all []*record) (list []*record) {
		for _, rec := range all {
			if changed.answers(rec) {
				list = append(list, rec)
			} else if rec.Kind == KindTick || rec.Kind == KindSkip {
				s.Reopened = append(s.Reopened, mark(rec))
			}
		}
		return list
	}
	ticks, skips := now(f.ticks), now(f.skips)
	s.Ticks, s.Skips = marks(ticks), marks(skips)
	for _, rec := range slices.Concat(g.seen.fold.judged[KindReopen], g.seen.fold.judged[KindAnswer]) {
		if len(s.Reopened) > 0 && slices.Contains(changed.asked(step.ID), rec.ID) {
			s.Opened = append(s.Opened, mark(rec))
		}
	}
	for _, note := range f.notes {
		s.Notes = append(s.Notes, NoteValue{mark(note), note.Photos})
	}
	for i := range f.undone {
		s.Undone = append(s.Undone, undoneMark(&f.undone[i]))
	}
	for _, name := range sortedKeys(f.readings) {
		r := readingOf(step, name)
		readings := slices.DeleteFunc(slices.Clone(f.readings[name]), func(rec *record) bool {
			return !changed.answers(rec) && !(g.j.keeps(RuleStopUnseen) && against(r, rec.Value) && !g.openedAfter(rec))
		})
		if len(readings) == 0 {
			continue
		}
		s.Readings[name] = g.readingValues(r, readings)
		if text, holds := g.apart(r, s.Readings[name], readings); text != "" {
			g.state.Conflicts = append(g.state.Conflicts, Conflict{step.ID, name, text, holds})
			if holds {
				s.differ = append(s.differ, text)
			}
		}
	}
	// Last, since what a release saw of its own step stands above.
	for _, rec := range f.releases {
		switch {
		case !changed.answers(rec):
			s.Void = append(s.Void, Void{mark(rec), []string{"the step was opened again"}})
		default:
			if why := g.voided(step, s, rec); len(why) > 0 {
				s.Void = append(s.Void, Void{mark(rec), why})
			} else {
				m := mark(rec)
				m.Self = m.Self || g.j.keeps(RuleReleaseNamed) && g.workedBefore(rec)
				s.Releases = append(s.Releases, m)
			}
		}
	}
	if text := g.undoneApart(s, step.ID, f.apart, slices.Concat(ticks, skips)); text != "" {
		s.differ, s.byTick = append(s.differ, text), append(s.byTick, text)
	}
}

// against says whether a value speaks against going on.
func against(r *checklist.FilledReading, value string) bool {
	if r == nil {
		return false
	}
	judged, err := r.Judge(value)
	return err == nil && (weight(judged.Severity) > 0 || dangerFinding(r, value))
}

// openedAfter says whether somebody who had seen an entry opened its step again.
func (g *gating) openedAfter(rec *record) bool {
	f := g.seen.fold
	touch := g.seen.changed.asked(rec.Step)
	return slices.ContainsFunc(slices.Concat(f.standing(KindReopen), f.standing(KindAnswer), f.judged[KindDispose], f.begun), func(by *record) bool {
		return slices.Contains(touch, by.ID) && !slices.Contains(rec.Seen, by.ID) && f.line.saw(f.find(by), f.find(rec))
	})
}

// stops finds what keeps a tick on a step from counting, whoever made it.
func (g *gating) stops(s *StepState, step *checklist.FilledStep) {
	stop := func(rule Rule, text string) {
		if text != "" && g.j.keeps(rule) {
			s.stopped = text
		}
	}
	if len(s.differ) > 0 {
		s.stopped = "it has to be settled: " + s.differ[0]
	}
	for i := range step.Readings {
		r := &step.Readings[i]
		values := s.Readings[r.Name]
		if text := outside(r, values); text != "" {
			s.Outside = append(s.Outside, text)
		}
		block, rule := missingReading(r, values), RuleReadingStop
		if len(values) == 0 {
			rule = RuleReadingMiss
		}
		if block == "" || !g.j.keeps(rule) || len(values) > 0 && r.Danger != "" && g.j.keeps(RuleDanger) {
			continue // a danger has a gate of its own
		}
		s.Missing = append(s.Missing, block)
		if s.unread = block; r.Outside == check.Stop {
			s.stopped = block
		}
	}
	for _, f := range step.WorkedOut {
		if !f.Known || f.Judgement.OK {
			continue
		}
		text := f.Label + ": " + f.Judgement.Text
		s.Outside = append(s.Outside, text)
		if f.Judgement.Severity == check.Stop && g.j.keeps(RuleFigureStop) {
			s.Missing = append(s.Missing, text)
			stop(RuleFigureStop, text)
		}
	}
	stop(RuleDanger, g.dangerOpen(step, s))
	stop(RuleAskNamed, g.askedOf(s, step))
	if who := g.hold(step); who != "" && len(s.Releases) == 0 {
		stop(RuleHoldReleased, s.holdWords(who))
	}
	for _, b := range g.fitted(step) {
		stop(RuleBlanksOff, b.says())
	}
	if step.Kind == "test" {
		for _, text := range g.ruleAgainst(step) {
			stop(RuleTrade, text)
		}
	}
	stop(RuleCureTest, g.triedEarly(step))
	text, _ := g.testStop(step)
	stop(RuleTestPassed, text)
	text, _ = g.roundsLeft(step) // the steps before it are worked out already
	stop(RuleRounds, text)
	if len(s.Ticks) > 0 && step.Kind == "wait" && g.cures(step) {
		// Whoever wrote the tick did not ask here first: a cure that still runs is
		// not over because a log says so.
		if text, _, safety, waits, _ := g.wait(step, true); waits && safety {
			stop(RuleCureKept, text)
		}
	}
}

// stand decides whether a step that is neither done nor left out can be worked on.
func (g *gating) stand(s *StepState, step *checklist.FilledStep) {
	if len(s.Ticks) > 0 {
		s.Blocks = append(s.Blocks, "ticked by "+g.j.wall.names(s.Ticks)+", and does not count: "+firstOf(s.stopped, s.unread))
	}
	if len(s.Skips) > 0 && s.KeepIn != "" {
		s.Blocks = append(s.Blocks, "left out by "+g.j.wall.names(s.Skips)+", and does not count: "+s.KeepIn)
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

// counts is the value of a reading that counts; zero where there is none.
func counts(values []ReadingValue) ReadingValue {
	for _, v := range values {
		if v.Counts {
			return v
		}
	}
	return ReadingValue{}
}

// outside says that the value of a reading that counts lies outside its limits, or
// is not the answer that was wanted.
func outside(r *checklist.FilledReading, values []ReadingValue) string {
	judged := counts(values).Judgement
	if judged.OK || judged.Text == "" {
		return ""
	}
	return firstOf(r.Ask, r.Name) + ": " + judged.Text
}

// missingReading says why a reading keeps its step from being ticked.
func missingReading(r *checklist.FilledReading, values []ReadingValue) string {
	label := r.Ask
	if label == "" {
		label = r.Name
	}
	if len(values) == 0 {
		return fmt.Sprintf("reading %s is missing (%s)", r.Name, label)
	}
	if v := counts(values); v.Judgement.Severity == check.Stop {
		return fmt.Sprintf("reading %s: %s", r.Name, v.Judgement.Text)
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

// readingValues judges the values of a reading against its limits as they are now,
// and says which of them counts. What cannot be is no value.
func (g *gating) readingValues(r *checklist.FilledReading, recs []*record) []ReadingValue {
	at := len(recs) - 1
	if g.j.keeps(RuleSevererCount) || g.j.keeps(RuleWorseReading) {
		at = counting(r, recs)
	}
	list := make([]ReadingValue, len(recs))
	for i, rec := range recs {
		list[i] = ReadingValue{Mark: mark(rec), Value: rec.Value, Unit: rec.Unit, Counts: i == at}
		if r == nil {
			continue
		}
		if judged, err := r.Judge(rec.Value); err == nil {
			list[i].Judgement = judged
		}
		if err := r.CanBe(rec.Value); err != nil && g.j.keeps(RuleKindBounds) {
			list[i].Judgement = checklist.Judgement{Text: err.Error(), Severity: check.Stop}
		}
	}
	return list
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

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
