package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/threads/quantity"
)

// Waits. A wait begins with an entry, now or earlier with a time, and ends when its
// time is over by a clock that nobody doubts. What a wait cures follows from the
// order of work: every sealant put on before it. A test waits for the whole cure of
// each of them, whatever the waits of the procedure say.

// Begun is when what a step waits for was put on.
type Begun struct {
	Mark
	From  time.Time // from then on the time counts; zero where that is in doubt
	Doubt string    // why it is
}

// begun is when the wait of a step began; nil where nobody said so. Of entries
// made apart the later beginning counts.
func (g *gating) begun(step *checklist.FilledStep) *Begun {
	var found *Begun
	for _, rec := range g.seen.fold.judged[KindBegin] {
		if rec.Step != step.ID || !g.seen.changed.answers(rec) {
			continue
		}
		b := &Begun{Mark: mark(rec)}
		at, known := g.seen.fold.times.at(g.seen.fold.place[rec])
		if said, err := time.Parse(time.RFC3339, rec.Data["at"]); err == nil {
			at = said
		}
		if g.j.keeps(RulePutOn) {
			at = later(at, g.couldBegin(step))
		}
		if b.From = at; !known && g.j.keeps(RuleClock) {
			b.From, b.Doubt = time.Time{}, "the clock was in doubt when this was begun: begin it again with the time it was put on and the time it is now"
		}
		if found == nil || b.Doubt != "" || found.Doubt == "" && b.From.After(found.From) {
			found = b
		}
	}
	return found
}

// couldBegin is the moment before which nothing can have been put on: what comes
// before the sealant, or before the wait where it cures nothing, was not done, or its
// own wait was not over.
func (g *gating) couldBegin(step *checklist.FilledStep) time.Time {
	from := []*checklist.FilledStep{}
	for _, before := range g.upstream(step) {
		if len(g.sealants(before)) > 0 && before.Kind == "seal" {
			from = append(from, before)
		}
	}
	if len(from) == 0 {
		from = append(from, step)
	}
	var at time.Time
	for _, s := range from {
		for _, need := range s.Needs {
			if before := g.step[need]; before != nil {
				at = later(at, g.doneAt(before))
			}
		}
	}
	if !g.j.keeps(RuleInTurn) || g.cures(step) { // one sealant cures through all its waits
		return at
	}
	for _, before := range g.doneBefore(step.Needs, map[string]bool{}) {
		w, _ := g.waitAfter(before)
		at = later(at, w.due)
	}
	return at
}

// waitAfter is the wait of a step that is no wait step, as it stands now; false where
// it has none.
func (g *gating) waitAfter(before *checklist.FilledStep) (w waitState, waits bool) {
	if before.Kind == "wait" || before.Wait <= 0 { // a wait step was waited for before it was ticked
		return w, false
	}
	start, known := g.doneSurely(before)
	if b := g.begun(before); b != nil {
		start, known = b.From, b.Doubt == ""
	}
	if !known && g.j.keeps(RuleClock) {
		w.doubt = fmt.Sprintf("the clock was in doubt when %s was done: begin it again with the time it was put on and the time it is now", before.Title)
		return w, true
	}
	w.say, w.due, w.over = g.over(before, start, before.Wait)
	return w, true
}

// waitState is how far a wait has come.
type waitState struct {
	say   string
	due   time.Time // when it ends or ended; zero where that is not known
	over  bool
	doubt string // why it cannot be reckoned; "" where it can
}

// afterNeeds is when what a step needs was done, as far as that was not done again
// after the tick of it: it was not done before.
func (g *gating) afterNeeds(step *checklist.FilledStep, tick *record) (at time.Time) {
	if !g.j.keeps(RulePutOn) {
		return at
	}
	f := g.seen.fold
	for _, need := range step.Needs {
		if f.steps[need] == nil {
			continue
		}
		for _, rec := range f.steps[need].ticks {
			if !f.line.saw(f.place[rec], f.place[tick]) {
				when, _ := f.times.at(f.place[rec])
				at = later(at, when)
			}
		}
	}
	return at
}

// doneAt is when a step was last ticked, by a time that is never before what its
// device had seen; zero where it was not.
func (g *gating) doneAt(step *checklist.FilledStep) time.Time {
	at, _ := g.doneSurely(step)
	return at
}

func (g *gating) doneSurely(step *checklist.FilledStep) (at time.Time, known bool) {
	known = true
	f := g.seen.fold
	if f.steps[step.ID] == nil {
		return at, true
	}
	for _, rec := range f.steps[step.ID].ticks {
		if !g.seen.changed.answers(rec) {
			continue
		}
		when, undoubted := f.times.at(f.place[rec])
		at, known = later(at, later(when, g.afterNeeds(step, rec))), known && undoubted
	}
	return at, known
}

// sealants are what a step puts on that has to cure: of a step that waits, what the
// steps before it put on.
func (g *gating) sealants(step *checklist.FilledStep) []checklist.FilledPart {
	var list []checklist.FilledPart
	add := func(s *checklist.FilledStep) {
		for _, name := range s.Uses {
			p, ok := partOf(g.seen.filled.Seals, name)
			if ok && p.Kind == "sealant" && p.Applies && !slices.ContainsFunc(list, func(o checklist.FilledPart) bool { return o.Name == p.Name }) {
				list = append(list, p)
			}
		}
	}
	add(step)
	if step.Kind != "wait" {
		return list
	}
	for _, need := range step.Needs {
		if before := g.step[need]; before != nil {
			add(before)
		}
	}
	if g.j.keeps(RuleCureOrder) {
		for _, before := range g.upstream(step) {
			if before.Kind == "seal" {
				add(before)
			}
		}
	}
	return list
}

// cures says whether the wait of a step is the cure of a sealant.
func (g *gating) cures(step *checklist.FilledStep) bool {
	return !g.watches(step) && len(g.sealants(step)) > 0 && g.j.keeps(RuleCureKept)
}

// wait is the time that has to pass before a step, where it is not over; begin is
// the step whose wait is to be begun for that.
func (g *gating) wait(step *checklist.FilledStep, ready bool) (text string, due time.Time, safety, ok bool, begin string) {
	if !g.j.keeps(RuleWait) {
		return "", due, false, false, ""
	}
	for _, before := range g.doneBefore(step.Needs, map[string]bool{}) {
		w, waits := g.waitAfter(before)
		switch {
		case !waits || w.over:
			continue
		case w.doubt != "":
			return w.doubt, due, true, true, before.ID
		}
		if text == "" || w.due.After(due) {
			text, due = w.say, w.due
		}
		safety, ok = safety || w.due.IsZero() || g.cures(before), true // what is not known is not passed by leave
	}
	if step.Kind != "wait" || step.Wait <= 0 || !ready || g.watches(step) {
		return text, due, safety, ok, ""
	}
	b := g.begun(step)
	switch {
	case text != "" && !g.cures(step) && g.j.keeps(RuleInTurn):
		return text, due, safety, ok, ""
	case b == nil && g.j.keeps(RuleBegun):
		return fmt.Sprintf("not begun: enter when it was put on, then wait %s", quantity.SpanString(step.Wait)), time.Time{}, g.cures(step), true, step.ID
	case b == nil:
		b = &Begun{From: later(g.startedAt(), g.couldBegin(step))}
	case b.Doubt != "":
		return b.Doubt, time.Time{}, true, true, step.ID
	}
	say, until, over := g.over(step, b.From, step.Wait)
	if over {
		return text, due, safety, ok, ""
	}
	if text == "" || until.After(due) || until.IsZero() {
		text, due = say, until
	}
	return text, due, safety || until.IsZero() || g.cures(step), true, ""
}

func (g *gating) startedAt() time.Time {
	at, _ := g.j.Started()
	return at
}

// over says whether a wait that began at start is over, and if not, until when it
// runs, or what keeps that from being known.
func (g *gating) over(step *checklist.FilledStep, start time.Time, wait time.Duration) (say string, until time.Time, over bool) {
	due, note := start.Add(wait), ""
	for _, p := range g.sealants(step) {
		at, why := g.cured(p, start, wait)
		if at.IsZero() {
			return why, at, false
		}
		if at.After(due) {
			due, note = at, why
		}
	}
	return g.until(due, note)
}

// until is the word for a wait that ends at due.
func (g *gating) until(due time.Time, note string) (say string, until time.Time, over bool) {
	past, why := g.seen.fold.times.reached(due, g.now)
	switch {
	case past, why == leapt && !g.j.keeps(RuleJump), (why == tooEarly || why == wentBack) && !g.j.keeps(RuleClock) && !g.now.Before(due):
		return "", due, true
	case why != sure:
		return g.seen.fold.times.clockDoubt(g.now), time.Time{}, false
	}
	due = g.j.wall.In(due)
	say = "wait until " + g.j.wall.Show(due, Moment)
	if note != "" {
		say += " (" + note + ")"
	}
	return say, due, false
}

// doneBefore lists the steps among needs that were done. In the place of one
// that was left out stands what it needs itself, so that leaving a step out
// does not shorten the wait of the one before it; a wait that was left out, with
// its reason, is over.
func (g *gating) doneBefore(needs []string, met map[string]bool) []*checklist.FilledStep {
	var list []*checklist.FilledStep
	for _, need := range needs {
		step := g.step[need]
		if step == nil || met[need] {
			continue
		}
		met[need] = true
		switch status := g.recorded(step).Status; {
		case status == Done:
			list = append(list, step)
		case status == Skipped && step.Kind != "wait":
			list = append(list, g.doneBefore(step.Needs, met)...)
		}
	}
	return list
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// leastCure is the shop temperature below which an anaerobic sealant does not
// cure (common practice, no source).
const leastCure = 5.0

// shopReading is how warm the shop was.
type shopReading struct {
	at time.Time
	c  float64
}

// cured is when the cure of a sealant that began at start is over. The shop's
// temperature counts: the lowest since then doubles the time for every 10 K
// that it lies below the planned one (common practice, no source), and below
// 5 °C nothing cures, so that the time begins again when it is warm enough.
// A shop that was warmer than planned shortens nothing.
func (g *gating) cured(part checklist.FilledPart, start time.Time, wait time.Duration) (time.Time, string) {
	planned, known := partFigure(part, "shop")
	if !known || !g.j.keeps(RuleCureCold) {
		return start.Add(wait), ""
	}
	low, cold := planned.Value, false
	from := start
	ends := func() time.Time {
		return from.Add(time.Duration(float64(wait) * math.Exp2(max(0, planned.Value-low)/10)))
	}
	for i, r := range g.shop {
		last := i+1 == len(g.shop) || g.shop[i+1].at.After(start)
		if r.at.After(g.now) || r.at.Before(start) && !last {
			continue
		}
		if !cold && r.at.After(ends()) {
			break // what has cured stays cured, however cold it gets
		}
		if r.c < leastCure {
			cold = true
			continue
		}
		if cold {
			cold, low = false, planned.Value
			from = later(r.at, start)
		}
		low = min(low, r.c)
	}
	if cold {
		return time.Time{}, fmt.Sprintf("the shop is below %.0f °C: the sealant does not cure. Warm it, and enter the temperature", leastCure)
	}
	if due := ends(); low < planned.Value || from.After(start) {
		return due, fmt.Sprintf("longer: the shop was at %s", quantity.Temperature(low))
	}
	return ends(), ""
}

// uncured says which sealants put on before a step have not cured; a test brings
// pressure on all of them. With an entry it is asked of the moment when that was made.
func (g *gating) uncured(step *checklist.FilledStep, made *record) (list []string, items []string) {
	if !g.j.keeps(RuleCureTest) {
		return nil, nil
	}
	before := g.upstream(step)
	for _, sealed := range before {
		if sealed.Kind != "seal" || g.recorded(sealed).Status != Done {
			continue
		}
		for _, p := range g.sealants(sealed) {
			cure, known := partFigure(p, "cure")
			if !known || cure.Unit != "h" {
				continue
			}
			start, doubt := g.cureFrom(sealed, before)
			if doubt != "" {
				list, items = append(list, p.Label+": "+doubt), append(items, p.Name)
				continue
			}
			due, note := g.cured(p, start, time.Duration(cure.Value*float64(time.Hour)))
			if due.IsZero() {
				list, items = append(list, p.Label+": "+note), append(items, p.Name)
			} else if say, _, over := g.until(due, note); made == nil && !over {
				list, items = append(list, fmt.Sprintf("%s has not cured, it takes %s: %s", p.Label, cure.Text, say)), append(items, p.Name)
			} else if made != nil && !g.madeBy(due, made) {
				list, items = append(list, fmt.Sprintf("%s takes %s, until %s", p.Label, cure.Text, g.j.wall.Show(due, Moment))), append(items, p.Name)
			}
		}
	}
	return list, items
}

// madeBy says whether an entry was surely made at a moment or after it.
func (g *gating) madeBy(due time.Time, made *record) bool {
	f := g.seen.fold
	at, _ := f.times.at(f.place[made])
	return !at.Before(due) && !g.j.doubted(f.times.doubts[f.place[made]])
}

// triedEarly says that a test without a sheet was ticked before what was sealed had
// cured; "" where one tick of it was not.
func (g *gating) triedEarly(step *checklist.FilledStep) (text string) {
	if step.Kind != "test" || g.usesTest(step) || g.seen.fold.steps[step.ID] == nil {
		return ""
	}
	for _, rec := range g.seen.fold.steps[step.ID].ticks {
		if !g.seen.changed.answers(rec) {
			continue
		}
		early, _ := g.uncured(step, rec)
		if len(early) == 0 {
			return ""
		}
		text = "it was done before a cure was over, so it has to be done again: " + early[0]
	}
	return text
}

// cureFrom is when the cure of what a step sealed began: with the first wait after
// it, else when it and what closed the joint after it was done.
func (g *gating) cureFrom(sealed *checklist.FilledStep, before []*checklist.FilledStep) (start time.Time, doubt string) {
	done, known := g.doneSurely(sealed)
	for _, s := range before {
		if !slices.Contains(g.upstream(s), sealed) {
			continue
		}
		if s.Kind == "tighten" {
			at, sure := g.doneSurely(s)
			done, known = later(done, at), known && sure
		}
		if s.Kind != "wait" || g.watches(s) {
			continue
		}
		if b := g.begun(s); b != nil && b.Doubt == "" && (start.IsZero() || b.From.Before(start)) {
			start = b.From
		}
	}
	if !start.IsZero() {
		return start, ""
	}
	if !known && g.j.keeps(RuleClock) {
		return done, "the clock was in doubt when it was put on: begin its wait with the time it was put on and the time it is now"
	}
	return done, ""
}

// NewBegin says when what a step waits for was put on.
type NewBegin struct {
	At  time.Time // zero: now
	Now time.Time // what time it is by another clock; needed where this device's is in doubt
}

// nowSlack is how far the time a person says may lie from what this device shows.
const nowSlack = 10 * time.Minute

// Begin begins the wait of a step, now or at an earlier time. Where the clock of
// this device is in doubt, what time it is has to be said as well, and the device
// has to show it. A *BlockedError says why nothing can begin.
func (j *Job) Begin(step string, n NewBegin) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		f, err := j.step(step)
		if err != nil {
			return Entry{}, err
		}
		state := j.State()
		s, g := state.Steps[step], j.gating(&state, j.view(), j.env.Now())
		switch {
		case f.Wait <= 0 || g.watches(f):
			return Entry{}, &BlockedError{step, []string{"there is no wait to begin here"}}
		case s.Status == Done && f.Kind == "wait":
			return Entry{}, &BlockedError{step, []string{"it is done already: " + j.wall.names(s.Ticks)}}
		case s.Begun != nil && n.At.IsZero() && s.Begun.Doubt == "":
			return Entry{}, &BlockedError{step, []string{"it was begun already by " + j.wall.names([]Mark{s.Begun.Mark}) + ". Give the time it was put on to put that right"}}
		}
		for _, gate := range s.Gates {
			own := gate.Name == GateWait && (s.ToBegin == step || s.Begun != nil || g.cures(f) || !j.keeps(RuleInTurn))
			if f.Kind == "wait" && !own && !gate.Soft && len(gate.Passed) == 0 {
				return Entry{}, &BlockedError{step, []string{gate.Text}}
			}
		}
		answers, err := j.beginTimes(n)
		if err != nil {
			return Entry{}, err
		}
		if earliest := g.couldBegin(f); !n.At.IsZero() && n.At.Before(earliest.Truncate(time.Minute)) && j.keeps(RulePutOn) {
			return Entry{}, &BlockedError{step, []string{fmt.Sprintf("at %s what comes before it was not done; that was at %s", j.wall.Show(n.At, Evening), j.wall.Show(earliest, Evening))}}
		}
		entry := Entry{Kind: KindBegin, By: by, Step: step, Data: answers}
		if s.Begun != nil {
			entry.Replaces = []string{s.Begun.ID}
		}
		return entry, nil
	})
}

// beginTimes checks what was said of times, against the clock.
func (j *Job) beginTimes(n NewBegin) (map[string]string, error) {
	now, answers := j.env.Now(), map[string]string{}
	why := j.view().fold.times.doubtOf(now)
	if (why == tooEarly || why == wentBack) && n.Now.IsZero() && j.keeps(RuleClock) {
		return nil, &RefusedError{"clock", []string{j.view().fold.times.clockDoubt(now) + ". Give the time it was put on and the time it is now, by a watch"}}
	}
	if !n.Now.IsZero() {
		if n.Now.Sub(now).Abs() > nowSlack {
			return nil, &RefusedError{"clock", []string{fmt.Sprintf("this device shows %s, and you say it is %s: set the device's clock first", j.wall.Show(now, Dated), j.wall.Show(n.Now, Dated))}}
		}
		if n.At.IsZero() {
			return nil, errors.New("give the time it was put on as well")
		}
		answers["now"] = n.Now.Format(time.RFC3339)
	}
	if !n.At.IsZero() {
		if n.At.After(now) {
			return nil, fmt.Errorf("%s has not come yet; it is %s", j.wall.Show(n.At, Evening), j.wall.Show(now, Evening))
		}
		answers["at"] = n.At.Format(time.RFC3339)
	}
	return answers, nil
}

// Shop records the temperature of the shop; cures are reckoned with it.
func (j *Job) Shop(temperature string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		t, err := quantity.ParseTemperature(temperature)
		if err != nil {
			return Entry{}, err
		}
		if t < -30 || t > 60 {
			return Entry{}, fmt.Errorf("%s is no temperature of a shop; -30 to 60 °C", t)
		}
		return Entry{Kind: KindShop, By: by, Value: strings.TrimSpace(temperature)}, nil
	})
}
