package job

import (
	"fmt"
	"math"
	"time"
)

// earliest is a time before which no entry can have been made: a clock that shows
// one has run down.
const earliest = 1767225600 // 2026-01-01T00:00:00Z

// Bounds of what a clock may do before it is doubted.
const (
	// clockSlack is how far the clocks of two devices may differ. Nothing is
	// shortened by it: a time counts as no earlier than the newest that its device
	// had seen.
	clockSlack = time.Hour
	// clockLeap is how far a clock may go ahead between two entries of one device
	// before a wait may not end by it unasked.
	clockLeap = 24 * time.Hour
)

// doubt is why the time of an entry is none to go by.
type doubt uint8

const (
	sure     doubt = iota
	tooEarly       // before the program was written, or unreadable
	wentBack       // before what its device had seen already
	leapt          // more than a day ahead, and nobody has said what time it is
)

// timeline says of every entry which time counts for it.
//
// A time is doubted where it lies before [earliest], or before the newest
// undoubted time its device had seen, or more than a day after it. A named person
// settles a leap once, by saying what time it is: an entry of the kind settle, or a
// begin with a `now`. Whatever that person's device had seen was made before: what
// shows a later time is doubted for good.
type timeline struct {
	counts []int64 // by place: the time, never before the newest its device had seen
	doubts []doubt
	seen   []int64 // by place: the newest undoubted time its device had seen, its own included
	newest int64   // of the whole job
	jumps  []Jump
	wall   Wall
}

// Jump is a clock that went back, or far ahead, between two entries of a device.
type Jump struct {
	Device   string
	By       string    // who made the entry after it
	From, To time.Time // To is zero where it cannot be read
	Back     bool
	Settled  Mark // who said what time it was, for a leap; zero for nobody

	wall Wall
}

// String is the jump in a sentence.
func (jump Jump) String() string {
	to := "a time that cannot be read"
	if !jump.To.IsZero() {
		to = jump.wall.Show(jump.To, Dated)
	}
	words := "went ahead"
	if jump.Back {
		words = "went back"
	}
	text := fmt.Sprintf("The clock of device %s (%s) %s from %s to %s", jump.Device, somebody(jump.By), words, jump.wall.Show(jump.From, Dated), to)
	switch {
	case jump.Settled.By != "":
		text += "; " + jump.Settled.By + " said what time it was"
	case !jump.Back:
		text += "; nobody said what time it was"
	}
	return text + "."
}

// hang shows the times by the clock on that wall.
func (t *timeline) hang(w Wall) {
	t.wall = w
	for i := range t.jumps {
		t.jumps[i].wall = w
	}
}

// timesOf works the timeline out; the entries stand in the job's order. Nothing was
// made before the job was started.
func timesOf(entries []folded, line *lineage, started time.Time) *timeline {
	n := len(entries)
	t := &timeline{counts: make([]int64, n), doubts: make([]doubt, n), seen: make([]int64, n)}
	latest := latestOf(entries, line)
	open := map[int32][]int{} // by chain: entries after a leap nobody has settled
	shown := map[int32]int64{}
	jumps := map[int]int{} // by place: the jump before that entry
	for i := range entries {
		e := &entries[i]
		floor := started.Unix()
		if floor < earliest || floor > latest[i] {
			floor = 0
		}
		if p := line.at[i].parent; p >= 0 {
			floor = max(floor, t.seen[p])
		}
		for _, id := range e.Met {
			if k, ok := line.by[id]; ok && k >= 0 && k < i {
				floor = max(floor, t.seen[k])
			}
		}
		at := e.unix()
		chain := line.at[i].chain
		says := e.saysTime() && e.live()
		switch {
		case at < earliest:
			t.doubts[i] = tooEarly
		case at > latest[i]+int64(clockSlack.Seconds()):
			t.doubts[i] = leapt // for good: somebody who had seen it said that it was earlier
		case at < floor-int64(clockSlack.Seconds()):
			t.doubts[i] = wentBack
		case says:
			for _, k := range open[chain] {
				t.doubts[k] = sure
				t.seen[k] = max(t.seen[k], t.counts[k])
				if jump, ok := jumps[k]; ok {
					t.jumps[jump].Settled = mark(e.record)
				}
			}
			delete(open, chain)
		case floor > 0 && at > floor+int64(clockLeap.Seconds()):
			t.doubts[i] = leapt
			open[chain] = append(open[chain], i)
		}
		if before, ok := shown[chain]; ok && chain >= 0 && (at < before-int64(clockSlack.Seconds()) || at > before+int64(clockLeap.Seconds())) {
			jumps[i] = len(t.jumps)
			jump := Jump{Device: e.Device(), By: e.By, From: time.Unix(before, 0), To: e.At(), Back: at < before}
			if says {
				jump.Settled = mark(e.record)
			}
			t.jumps = append(t.jumps, jump)
		}
		shown[chain] = at
		t.counts[i] = max(min(at, latest[i]), floor)
		t.seen[i] = floor
		if t.doubts[i] == sure {
			t.seen[i] = t.counts[i]
			t.newest = max(t.newest, at)
		}
	}
	return t
}

// latestOf is, by place, the latest time at which an entry can have been made: what
// somebody who had seen it said the time was.
func latestOf(entries []folded, line *lineage) []int64 {
	latest := make([]int64, len(entries))
	for i := range latest {
		latest[i] = math.MaxInt64 / 2
	}
	for i := len(entries) - 1; i >= 0; i-- {
		e := &entries[i]
		if at := e.unix(); at >= earliest && e.live() && e.saysTime() {
			latest[i] = min(latest[i], at)
		}
		if p := line.at[i].parent; p >= 0 {
			latest[p] = min(latest[p], latest[i])
		}
		for _, id := range e.Met {
			if k, ok := line.by[id]; ok && k >= 0 && k < i {
				latest[k] = min(latest[k], latest[i])
			}
		}
	}
	return latest
}

// unix is the time on an entry in seconds; 0 where it cannot be read.
func (e *Entry) unix() int64 {
	if at := e.At(); !at.IsZero() {
		return at.Unix()
	}
	return 0
}

// saysTime says whether an entry carries what time it was by another clock, and the
// device showed that.
func (e *Entry) saysTime() bool {
	said := ""
	switch {
	case !e.understood() || e.By == "":
	case e.Kind == KindSettle && e.Reading == settleClock:
		said = e.Value
	case e.Kind == KindBegin:
		said = e.Data["now"]
	}
	at, err := time.Parse(time.RFC3339, said)
	return err == nil && at.Sub(e.At()).Abs() <= nowSlack
}

// at is the time that counts for the entry at a place; false where nothing can begin
// by it. A clock that is ahead shortens nothing that begins by it: what ends is asked
// about, in reached.
func (t *timeline) at(place int) (time.Time, bool) {
	return time.Unix(t.counts[place], 0), t.doubts[place] == sure || t.doubts[place] == leapt
}

// doubted says whether nobody may go by a time of which such a doubt is known.
func (j *Job) doubted(why doubt) bool {
	return why == leapt && j.keeps(RuleJump) || (why == tooEarly || why == wentBack) && j.keeps(RuleClock)
}

// reached says whether a moment is surely past: by the clock that shows now, or
// by an entry whose time nobody doubts. why is the doubt where the clock alone says
// so and is not believed.
//
// A clock that has run down says nothing, so that what the entries show is all there
// is. One that is behind them says that it is wrong, or that they are: that ends no
// wait.
func (t *timeline) reached(due, now time.Time) (past bool, why doubt) {
	why = t.doubtOf(now)
	switch {
	case why != wentBack && t.newest >= due.Unix():
		return true, sure
	case why == leapt && now.Before(due):
		why = sure
	}
	return why == sure && !now.Before(due), why
}

// doubtOf is what is wrong with a clock that shows now.
func (t *timeline) doubtOf(now time.Time) doubt {
	switch at := now.Unix(); {
	case at < earliest:
		return tooEarly
	case t.newest > 0 && at < t.newest-int64(clockSlack.Seconds()):
		return wentBack
	case t.newest > 0 && at > t.newest+int64(clockLeap.Seconds()):
		return leapt
	}
	return sure
}

// Doubted is what is wrong with the clock of a device.
type Doubted struct {
	Text string // plain sentence; empty where nothing is
	Say  bool   // [Job.SettleClock] can settle it, where the clock is right; else it has to be set
}

func (t *timeline) doubted(now time.Time) Doubted {
	why := t.doubtOf(now)
	return Doubted{t.clockDoubt(now), why == leapt || why == wentBack}
}

// clockDoubt says in a sentence what is wrong with the clock of this device; ""
// where nothing is.
func (t *timeline) clockDoubt(now time.Time) string {
	shown, newest := t.wall.Show(now, Moment), t.wall.Show(time.Unix(t.newest, 0), Moment)
	switch t.doubtOf(now) {
	case tooEarly:
		return "the clock of this device shows " + shown + ": set it"
	case wentBack:
		return fmt.Sprintf("the clock of this device shows %s, and the job knows of %s: set it, or say what time it is where it is right", shown, newest)
	case leapt:
		return fmt.Sprintf("this device shows %s, and nobody has said what time it is since %s: say it", shown, newest)
	}
	return ""
}
