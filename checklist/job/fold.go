package job

import (
	"cmp"
	"maps"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"
)

// fold is the state of a job as far as its entries alone decide it. It is the
// same for every order in which the entries arrived, and is never changed once
// it was made.
type fold struct {
	entries []folded // in the job's order
	keeps   func(Rule) bool

	steps   map[string]*stepFold // "" holds what belongs to no step
	judged  map[string][]*record // what stands of the job's judgement, by kind
	calls   []*record            // procedures that steps called, whatever became of the entries
	told    []*folded            // standing dangers of other jobs, likewise
	begun   []*record            // tests that began and stand
	tested  map[string]bool      // by id: tests of which a reading, a fault or a result stands
	waiting []string             // ids that undos name and nobody has yet
	newer   int                  // entries of newer versions
	doubles []string             // ids that two different good lines carry
	ahead   map[string]clock     // by device: its latest time
	line    *lineage
	times   *timeline
	place   map[*record]int      // of entries whose past or time is asked for
	past    map[string][]*record // entries that others stand in the place of, by kind
	changed []changedLine        // lines changed by hand that do not count
	edited  []changedLine        // the same, where the original is still there
}

// clock is the latest time a device wrote, and who did.
type clock struct {
	at time.Time
	by string
}

// folded is an entry and what later entries did to it.
type folded struct {
	*record
	retractedBy *record // a live entry that takes it back
	replaced    bool    // a live entry stands in its place
}

func (f *folded) live() bool { return f.retractedBy == nil }

type stepFold struct {
	ticks, skips, releases []*record
	apart                  []contest // ticks, skips and releases that somebody undid the like of without seeing them
	undone                 []folded
	readings               map[string][]*record // by name, those that nothing replaced
	notes                  []*record
}

// contest is an entry that stands, made apart from the undo of another like it.
type contest struct {
	rec  *record
	undo *record
}

// target is what a `replaces` can point at: an entry of the same sort on the
// same step. An entry cannot push aside what belongs elsewhere.
type target struct {
	sort, step, reading, id string
}

func (e *Entry) target(id string) target {
	switch e.Kind {
	case KindTick, KindSkip:
		return target{"tick", e.Step, "", id}
	case KindMeasure:
		return target{KindMeasure, e.Step, e.Reading, id}
	}
	return target{e.Kind, e.Step, e.Reading + " " + e.About, id}
}

// replaces says whether an entry can stand in the place of another. What was seen,
// found or judged is taken back by an undo, which everybody reads; nothing written
// since pushes it aside.
func (e *Entry) replaces() bool {
	switch e.Kind {
	case KindTick, KindSkip, KindMeasure, KindNote, KindDispose, KindTrial, KindSheet, KindAnswer, KindBegin:
		return true
	}
	return false
}

// foldLogs works out the state from all entries of a job that was started then, by the
// rules that are kept.
func foldLogs(l *logs, started time.Time, keeps func(Rule) bool) *fold {
	f := &fold{keeps: keeps, steps: map[string]*stepFold{}, judged: map[string][]*record{}, ahead: map[string]clock{}, place: map[*record]int{}, tested: map[string]bool{}, past: map[string][]*record{}}
	all := slices.Clone(l.all)
	slices.SortFunc(all, compareRecords)
	f.doubles = slices.Sorted(maps.Keys(l.doubles))
	all = f.accept(l, all)

	f.entries = make([]folded, len(all))
	for i, rec := range all {
		f.entries[i].record = rec
	}
	f.settle(l)
	f.line = lineOf(f.entries)
	f.times = timesOf(f.entries, f.line, started)
	undone := f.undone()
	for i := range f.entries {
		if e := &f.entries[i]; e.live() && slices.Contains([]string{KindPoint, KindTrial, KindResult}, e.Kind) {
			f.tested[e.About] = true
		}
	}
	for i := range f.entries {
		f.collect(i, undone)
	}
	return f
}

// accept sorts out the lines changed by hand, and adds those that a live entry
// accepts. Where the original is still there, it counts and the edit does not.
// Neither an undo nor an acceptance can be made by editing a file.
func (f *fold) accept(l *logs, all []*record) []*record {
	accepted := map[string]bool{}
	if len(l.changed) > 0 {
		retracted := map[string]bool{}
		for i := len(all) - 1; i >= 0; i-- {
			rec := all[i]
			if retracted[rec.ID] || !rec.understood() {
				continue
			}
			switch rec.Kind {
			case KindRetract:
				for _, id := range rec.Retracts {
					retracted[id] = true
				}
			case KindAccept:
				accepted[rec.Accepts] = true
			}
		}
	}
	added := false
	for _, line := range l.changed {
		switch {
		case line.ID != "" && l.byID[line.ID] != nil:
			f.edited = append(f.edited, line)
		case (accepted[line.Sum] || !f.keeps(RuleHandEdited)) && line.acceptable():
			all = append(all, &record{Entry: line.Entry, inFolder: true, inLog: true})
			added = true
		default:
			f.changed = append(f.changed, line)
		}
	}
	if added {
		slices.SortFunc(all, compareRecords)
	}
	byMark := func(a, b changedLine) int { return cmp.Compare(a.Sum, b.Sum) }
	slices.SortFunc(f.changed, byMark)
	slices.SortFunc(f.edited, byMark)
	return all
}

// acceptable says whether a changed line holds an entry that can count.
func (line *changedLine) acceptable() bool {
	return line.wellFormed() && line.understood() && line.Kind != KindRetract && line.Kind != KindAccept
}

// settle works out, from the newest entry to the oldest, what was taken back
// and what was replaced. Looking only back makes circles impossible.
//
// What a taken-back entry replaced comes back, unless a later entry that still
// stands replaced the taken-back entry itself: then its author had already seen
// past both.
func (f *fold) settle(l *logs) {
	retracted := map[string]*record{}
	covered := map[target]bool{}
	for i := len(f.entries) - 1; i >= 0; i-- {
		e := &f.entries[i]
		e.retractedBy = retracted[e.ID]
		if !e.understood() {
			continue
		}
		if len(covered) > 0 {
			e.replaced = covered[e.target(e.ID)]
		}
		if e.Kind == KindRetract {
			if e.live() {
				for _, id := range e.Retracts {
					if retracted[id] == nil {
						retracted[id] = e.record
					}
				}
			}
			continue
		}
		if (e.live() || e.replaced) && (e.replaces() || !f.keeps(RuleReplaced)) {
			for _, id := range e.Replaces {
				covered[e.target(id)] = true
			}
		}
	}
	known := map[string]bool{}
	if len(retracted) > 0 {
		for i := range f.entries {
			known[f.entries[i].ID] = true
		}
	}
	for id := range retracted {
		if !known[id] {
			f.waiting = append(f.waiting, id)
		}
	}
	sort.Strings(f.waiting)
}

// unmet are the ids of the newest entries of others that a device had not seen when
// it made its last.
func (f *fold) unmet(own func(*record) bool) []string {
	last := -1
	for i := range f.entries {
		if own(f.entries[i].record) {
			last = i
		}
	}
	var list []string
	for _, i := range f.line.heads(last) {
		if !own(f.entries[i].record) {
			list = append(list, f.entries[i].ID)
		}
	}
	return limited(list)
}

// undone are the places of the undos of ticks, skips, releases and passes, by what
// they took back: its sort and step.
func (f *fold) undone() map[target][]int {
	by := map[string][]int{} // by id: the places of the undos that stand
	for i := range f.entries {
		if e := &f.entries[i]; e.Kind == KindRetract && e.live() && e.understood() {
			for _, id := range e.Retracts {
				by[id] = append(by[id], i)
			}
		}
	}
	undone := map[target][]int{}
	if len(by) == 0 {
		return undone
	}
	for i := range f.entries {
		e := &f.entries[i]
		switch e.Kind {
		case KindTick, KindSkip, KindRelease:
			if !e.live() {
				undone[e.target("")] = append(undone[e.target("")], by[e.ID]...)
			}
		}
	}
	return undone
}

// find is the place of an entry.
func (f *fold) find(rec *record) int {
	i, _ := slices.BinarySearchFunc(f.entries, rec, func(e folded, rec *record) int { return compareRecords(e.record, rec) })
	return i
}

// contested is the undo of a like entry that was made apart from entry i; nil
// where there is none.
func (f *fold) contested(i int, undone map[target][]int) *record {
	for _, at := range undone[f.entries[i].target("")] {
		if !f.line.saw(i, at) && !f.line.saw(at, i) {
			return f.entries[at].record
		}
	}
	return nil
}

// collect adds the entry at a place to the state.
func (f *fold) collect(i int, undone map[target][]int) {
	e := &f.entries[i]
	if at := e.At(); !at.IsZero() {
		if device := e.Device(); at.After(f.ahead[device].at) {
			f.ahead[device] = clock{at, e.By}
		}
	}
	if !e.understood() {
		f.newer++
		return
	}
	if e.Kind == KindRetract || e.Kind == KindAccept || e.Kind == KindStart {
		return
	}
	if e.Kind == KindCall {
		f.calls = append(f.calls, e.record)
		return
	}
	if e.Kind == KindRun {
		f.place[e.record] = i
		if e.live() || f.tested[e.ID] && f.keeps(RuleRunStays) {
			f.begun = append(f.begun, e.record)
		}
		return
	}
	if e.Kind == KindDanger {
		f.told = append(f.told, e)
		return
	}
	if judged(e.Kind) {
		switch {
		case e.live() && !e.replaced:
			f.judged[e.Kind] = append(f.judged[e.Kind], e.record)
			f.place[e.record] = i
		case e.live():
			f.past[e.Kind] = append(f.past[e.Kind], e.record)
		}
		return
	}
	step := f.steps[e.Step]
	if step == nil {
		step = &stepFold{}
		f.steps[e.Step] = step
	}
	if !e.live() {
		step.undone = append(step.undone, *e)
		return
	}
	if e.replaced {
		f.past[e.Kind] = append(f.past[e.Kind], e.record)
		return
	}
	if e.Kind == KindTick || e.Kind == KindSkip || e.Kind == KindRelease {
		f.place[e.record] = i
	}
	if undo := f.contested(i, undone); undo != nil {
		step.apart = append(step.apart, contest{e.record, undo})
		return
	}
	switch e.Kind {
	case KindTick:
		step.ticks = append(step.ticks, e.record)
	case KindSkip:
		step.skips = append(step.skips, e.record)
	case KindRelease:
		step.releases = append(step.releases, e.record)
	case KindNote:
		step.notes = append(step.notes, e.record)
	case KindMeasure:
		if step.readings == nil {
			step.readings = map[string][]*record{}
		}
		step.readings[e.Reading] = append(step.readings[e.Reading], e.record)
	}
}

// sameValue says whether two readings say the same thing: 12.5, 12.50 and 12,5 do.
func sameValue(a, b *record) bool {
	if a.Unit != b.Unit {
		return false
	}
	x, y := normal(a.Value), normal(b.Value)
	if x == y {
		return true
	}
	fx, errX := strconv.ParseFloat(x, 64)
	fy, errY := strconv.ParseFloat(y, 64)
	return errX == nil && errY == nil && fx == fy
}

func normal(value string) string {
	return strings.ToLower(strings.ReplaceAll(strings.Join(strings.Fields(value), " "), ",", "."))
}
