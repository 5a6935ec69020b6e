package job

import (
	"slices"
	"time"
)

// ledger is the test's own account of a random world: what was written, at what true
// time, and what its author's device knew by then. The properties are judged by it and
// not by what the program makes of order, clocks and who had seen what.
type ledger struct {
	all   []noted
	byID  map[string]int
	known [2]bits
}

type noted struct {
	Entry
	at   time.Time // the true time
	knew bits      // what its device knew before it
}

// bits is a set of places in the ledger.
type bits []uint64

func (b bits) has(i int) bool { return i>>6 < len(b) && b[i>>6]>>(i&63)&1 == 1 }

func (b *bits) add(i int) {
	for i>>6 >= len(*b) {
		*b = append(*b, 0)
	}
	(*b)[i>>6] |= 1 << (i & 63)
}

func (l *ledger) clone() *ledger {
	twin := &ledger{all: slices.Clone(l.all), byID: map[string]int{}}
	for id, i := range l.byID {
		twin.byID[id] = i
	}
	for d := range l.known {
		twin.known[d] = slices.Clone(l.known[d])
	}
	return twin
}

// enter takes up what a device has.
func (l *ledger) enter(j *Job, now time.Time, device int) {
	have, knew := bits{}, slices.Clone(l.known[device])
	entries := j.view().fold.entries
	for k := range entries {
		e := &entries[k]
		i, met := l.byID[e.ID]
		if !met {
			i = len(l.all)
			l.byID[e.ID] = i
			l.all = append(l.all, noted{Entry: e.Entry, at: now, knew: slices.Clone(knew)})
			knew.add(i)
		}
		have.add(i)
	}
	l.known[device] = have
}

// live are the entries of a set that nobody in it took back. An undo that was undone
// takes nothing back.
func (l *ledger) live(set bits) bits {
	live := slices.Clone(set)
	for i := len(l.all) - 1; i >= 0; i-- {
		if e := &l.all[i]; e.Kind == KindRetract && live.has(i) {
			for _, id := range e.Retracts {
				if k, ok := l.byID[id]; ok && k < i && live.has(k) {
					live[k>>6] &^= 1 << (k & 63)
				}
			}
		}
	}
	return live
}

// sight is what one device shows after an act, beside what the ledger knows.
type sight struct {
	*ledger
	world *randomWorld
	j     *Job
	state State
	set   bits // live on this device
	now   time.Time
}

func (w *randomWorld) look(device int) *sight {
	j := w.devices[device]
	return &sight{ledger: w.ledger, world: w, j: j, state: j.State(), set: w.ledger.live(w.ledger.known[device]), now: w.now}
}

// of lists the places of live entries of a kind that satisfy all of some conditions.
func (l *ledger) of(set bits, kind string, conditions ...func(*Entry) bool) (list []int) {
	for i := range l.all {
		e := &l.all[i]
		if e.Kind == kind && set.has(i) && !slices.ContainsFunc(conditions, func(holds func(*Entry) bool) bool { return !holds(&e.Entry) }) {
			list = append(list, i)
		}
	}
	return list
}

// tops are those of some entries that none of the others knew.
func (l *ledger) tops(list []int) (tops []int) {
	for _, i := range list {
		if !slices.ContainsFunc(list, func(k int) bool { return l.all[k].knew.has(i) }) {
			tops = append(tops, i)
		}
	}
	return tops
}

// values are what some entries say.
func (l *ledger) values(list []int) (values []string) {
	for _, i := range list {
		values = append(values, l.all[i].Value)
	}
	return values
}

// apart says whether neither of two entries knew the other.
func (l *ledger) apart(i, k int) bool {
	return i != k && !l.all[i].knew.has(k) && !l.all[k].knew.has(i)
}

func onStep(id string) func(*Entry) bool { return func(e *Entry) bool { return e.Step == id } }

func reads(name string) func(*Entry) bool { return func(e *Entry) bool { return e.Reading == name } }

func says(value string) func(*Entry) bool { return func(e *Entry) bool { return e.Value == value } }

func about(id string) func(*Entry) bool { return func(e *Entry) bool { return e.About == id } }

// done says whether a step counts as done here.
func (s *sight) done(step string) bool { return s.state.Steps[step].Status == Done }

// closed says whether a step counts as done or left out here.
func (s *sight) closed(step string) bool {
	return s.done(step) || s.state.Steps[step].Status == Skipped
}

// sheet are the values of a line of the test sheet that nobody has put others in the
// place of, as far as a set knows; by the procedure where nobody wrote any.
func (s *sight) sheet(set bits, line string) []string {
	values := s.values(s.tops(s.of(set, KindSheet, reads(line))))
	if len(values) == 0 {
		values = []string{map[string]string{"target": "9 bar", "hold": "10 min", "multiple": "1.5", "working_pressure": "6 bar", "code": "Club code", "edition": "2018"}[line]}
	}
	return values
}

// reading are the values of a reading that nobody has read anew.
func (s *sight) reading(set bits, step, name string) []int {
	return s.tops(s.of(set, KindMeasure, onStep(step), reads(name)))
}

// before are the steps in front of one: in this procedure each comes after the one
// before it.
func (s *sight) before(step string) (list []string) {
	for _, f := range s.j.Filled().Steps() {
		if f.ID == step {
			return list
		}
		list = append(list, f.ID)
	}
	return list
}
