package job

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/threads/quantity"
)

// GateName says what keeps a step from being done.
type GateName string

// The gates.
const (
	GateNeeds    GateName = "needs"    // steps that come first
	GateWait     GateName = "wait"     // a time that is not over
	GateHold     GateName = "hold"     // a named person releases it
	GateWitness  GateName = "witness"  // somebody is told, and may watch
	GateFindings GateName = "findings" // findings nobody has decided about
	GateShort    GateName = "short"    // a part that is not there
	GateTally    GateName = "tally"    // things still inside an opening
	GateBlanks   GateName = "blanks"   // blanks still fitted
	GateRule     GateName = "rule"     // a stop of the trade's rules
	GateTest     GateName = "test"     // the test has not passed
	GateCalled   GateName = "called"   // what the step calls is open
	GateDate     GateName = "date"     // a container past its last day
	GateThread   GateName = "thread"   // a thread that was identified and not tried
	GateRounds   GateName = "rounds"   // the passes below the whole torque
)

// Gate is one thing that keeps a step from being done.
type Gate struct {
	Name   GateName
	Text   string   // plain sentence
	Items  []string // what it is about: ids of steps, findings, openings ...
	Safety bool     // a stop of a safety rule, or a hold: no reason and no name passes it
	// Soft gates are shown and recorded, and keep nobody from going on: whoever
	// may watch at a witness point is told, and need not come.
	Soft   bool
	Passed []Mark // who let it pass, and why; empty while it stands
}

// unskippable says why a step cannot be left out; "" where it can.
func unskippable(filled *checklist.Filled, step *checklist.FilledStep) string {
	if step.Hold != "" {
		return "a hold point is not skipped: the " + step.Hold + " releases it, and then it is done"
	}
	if cures(filled, step) && (step.Kind == "wait" || step.Wait > 0) {
		return "a cure is waited for, it is not left out"
	}
	for _, r := range step.Readings {
		if r.Outside == checklist.Stop {
			return fmt.Sprintf("it asks whether it is safe to go on (%s): it is not left out", r.Name)
		}
	}
	return ""
}

// cures says whether the wait of a step is the cure of a sealant.
func cures(filled *checklist.Filled, step *checklist.FilledStep) bool {
	_, ok := sealantOf(filled, step)
	return ok
}

func sealantOf(filled *checklist.Filled, step *checklist.FilledStep) (checklist.FilledPart, bool) {
	at := []*checklist.FilledStep{step}
	if step.Kind == "wait" {
		for _, need := range step.Needs {
			if before := filled.Step(need); before != nil {
				at = append(at, before)
			}
		}
	}
	for _, s := range at {
		for _, name := range s.Uses {
			if p, ok := partOf(filled.Seals, name); ok && p.Kind == "sealant" {
				return p, true
			}
		}
	}
	return checklist.FilledPart{}, false
}

// gating works out the gates of all steps.
type gating struct {
	j      *Job
	state  *State
	seen   *view
	now    time.Time
	shop   []shopReading
	first  int // number of the first step that seals or tests with a test sheet
	step   map[string]*checklist.FilledStep
	watch  []string        // what the steps that watch the hold of a pressure test need
	climb  map[string]int  // the stages of a pressure test, counted from 1: see stages
	unsafe map[string]bool // answers of notSafe so far
	late   []string        // stops of the rules against what is done already
}

type shopReading struct {
	at time.Time
	c  float64
}

func (j *Job) gating(state *State, seen *view, now time.Time) *gating {
	g := &gating{j: j, state: state, seen: seen, now: now, step: map[string]*checklist.FilledStep{}, unsafe: map[string]bool{}}
	for _, rec := range seen.fold.judged[KindShop] {
		if t, err := quantity.ParseTemperature(rec.Value); err == nil && !rec.At().IsZero() {
			g.shop = append(g.shop, shopReading{rec.At(), t.C()})
		}
	}
	slices.SortStableFunc(g.shop, func(a, b shopReading) int { return a.at.Compare(b.at) })
	for _, step := range seen.filled.Steps() {
		g.step[step.ID] = step
		if g.first == 0 && (step.Kind == "seal" || step.Kind == "test" && g.usesTest(step)) {
			g.first = step.Number
		}
		if g.watches(step) {
			g.watch = append(g.watch, step.Needs...)
		}
	}
	g.climb = g.stages()
	if g.first == 0 && slices.ContainsFunc(seen.filled.Tests, func(p checklist.FilledPart) bool { return p.Applies }) {
		g.first = 1 // a procedure that is nothing but the test
	}
	return g
}

// sheet says whether a step wants the pressure test of the test sheet passed:
// it tests, uses the test, and is none of its stages.
func (g *gating) sheet(step *checklist.FilledStep) bool {
	return step.Kind == "test" && g.usesTest(step) && g.climb[step.ID] == 0
}

// watches says whether a step watches the hold of a pressure test.
func (g *gating) watches(step *checklist.FilledStep) bool {
	return step.Kind == "wait" && g.usesTest(step)
}

// usesTest says whether a step works on a pressure test of the procedure.
func (g *gating) usesTest(step *checklist.FilledStep) bool {
	return slices.ContainsFunc(step.Uses, func(name string) bool {
		_, ok := partOf(g.seen.filled.Tests, name)
		return ok
	})
}

// done says whether a step need not be waited for.
func (g *gating) done(id string) bool {
	s, ok := g.state.Steps[id]
	return ok && (s.Status == Done || s.Status == Skipped)
}

// gates of one step that is neither done nor left out.
func (g *gating) gates(s *StepState, step *checklist.FilledStep) []Gate {
	var list []Gate
	add := func(name GateName, safety bool, text string, items ...string) {
		list = append(list, Gate{Name: name, Text: text, Items: items, Safety: safety})
	}
	var unmet []string
	var words []string
	rounds, passes := g.roundsLeft(step)
	for _, need := range step.Needs {
		if !g.done(need) && !slices.Contains(passes, need) {
			unmet = append(unmet, need)
			text := "first do " + need
			if before := g.step[need]; before != nil {
				text += " (" + before.Title + ")"
			}
			words = append(words, text)
		}
	}
	ready := len(unmet) == 0
	if !ready {
		// A cure begins with what is sealed: nobody passes that by.
		safety := step.Kind == "wait" && cures(g.seen.filled, step) || g.anyUnsafe(unmet)
		add(GateNeeds, safety, strings.Join(words, "; "), unmet...)
		ready = len(g.passes(step.ID, &list[0])) > 0
	}
	if rounds != "" {
		add(GateRounds, true, rounds, passes...)
		ready = false
	}
	if text, due, safety, ok := g.wait(step, ready); ok {
		s.Due = due
		add(GateWait, safety, text, "wait")
	}
	if step.Hold != "" && len(s.Releases) == 0 {
		if len(unmet) == 0 && rounds == "" {
			g.state.Holds = append(g.state.Holds, Hold{Step: step.ID, Who: step.Hold})
		}
		add(GateHold, true, "hold point: the "+step.Hold+" must release it", step.Hold)
	}
	if step.Witness != "" && len(s.Witnesses) == 0 {
		add(GateWitness, false, "witness point: tell the "+step.Witness, step.Witness)
		list[len(list)-1].Soft = true
	}
	g.ruleGate(step, add)
	g.stockGates(step, add)
	g.testGates(step, add)
	g.threadGates(step, add)
	g.dateGates(step, add)
	g.calledGates(step, add)
	for i := range list {
		list[i].Passed = g.passes(step.ID, &list[i])
	}
	return list
}

// passes are the entries that let a gate pass. A pass is good for what stood
// when it was given: what came later needs another.
func (g *gating) passes(step string, gate *Gate) []Mark {
	if gate.Safety {
		return nil
	}
	var by []Mark
	left := map[string]bool{}
	for _, item := range gate.Items {
		left[item] = true
	}
	for _, rec := range g.seen.fold.judged[KindPass] {
		if rec.Step != step || rec.Reading != string(gate.Name) || rec.By == "" || rec.Text == "" {
			continue
		}
		by = append(by, mark(rec))
		for _, item := range rec.Seen {
			delete(left, item)
		}
	}
	if len(left) > 0 {
		return nil
	}
	return by
}

// anyUnsafe says whether one of the steps is not safe to pass by.
func (g *gating) anyUnsafe(ids []string) bool {
	return slices.ContainsFunc(ids, g.notSafe)
}

// notSafe says whether a step, or one that has to be done before it, stands at a
// hold or at a stop: then it cannot be passed by.
func (g *gating) notSafe(id string) bool {
	step := g.step[id]
	if step == nil || g.done(id) {
		return false
	}
	if known, ok := g.unsafe[id]; ok {
		return known
	}
	g.unsafe[id] = true // a circle of needs is never safe
	s := g.state.Steps[id]
	stands := s.stopped != "" || unskippable(g.seen.filled, step) != "" || step.Hold != "" && len(s.Releases) == 0 ||
		len(ruleStops(g.seen.filled, step)) > 0 || g.usesTest(step) && (step.Kind == "test" || step.Kind == "wait") || g.anyUnsafe(step.Needs)
	g.unsafe[id] = stands
	return stands
}

// wait is the time that has to pass before a step, where it is not over.
func (g *gating) wait(step *checklist.FilledStep, ready bool) (text string, due time.Time, safety, ok bool) {
	started, _ := g.j.Started()
	since := started // when the last thing before it was done
	note := ""
	for _, before := range g.doneBefore(step.Needs, map[string]bool{}) {
		waits := before.Kind != "wait" && before.Wait > 0 // a wait step was waited for before it was ticked
		if !waits && step.Kind != "wait" {
			continue
		}
		done := latest(g.state.Steps[before.ID].Ticks)
		if done.Before(started.Add(-clockDoubt)) {
			// A clock that ran down shows a time long past; a wait must not be over
			// because of it.
			return "the clock was wrong when " + before.ID + " was done: undo it and tick it again", due, true, true
		}
		since = later(since, done)
		if !waits {
			continue
		}
		at, say := g.cured(before, done, before.Wait)
		if at.IsZero() {
			return say, due, true, true
		}
		safety = safety || g.now.Before(at) && cures(g.seen.filled, before)
		if at.After(due) {
			due, note = at, say
		}
	}
	if step.Kind == "wait" && step.Wait > 0 && ready {
		at, say := g.cured(step, since, step.Wait)
		if at.IsZero() {
			return say, due, true, true
		}
		safety = safety || g.now.Before(at) && cures(g.seen.filled, step)
		if at.After(due) {
			due, note = at, say
		}
	}
	if !g.now.Before(due) {
		return "", due, false, false
	}
	text = "wait until " + due.In(g.now.Location()).Format("Mon 2 Jan 2006 15:04")
	if note != "" {
		text += " (" + note + ")"
	}
	return text, due, safety, true
}

// clockDoubt is how far before the start of the job a tick may lie: clocks of
// two devices differ, and nobody works on a job a day before it began.
const clockDoubt = 24 * time.Hour

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
		switch status := g.state.Steps[need].Status; {
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

// cured is when a wait that began at start is over. For a sealant the shop's
// temperature counts: the lowest since then doubles the time for every 10 K
// that it lies below the planned one (common practice, no source), and below
// 5 °C nothing cures, so that the time begins again when it is warm enough.
// A shop that was warmer than planned shortens nothing.
func (g *gating) cured(step *checklist.FilledStep, start time.Time, wait time.Duration) (time.Time, string) {
	part, ok := sealantOf(g.seen.filled, step)
	planned, known := partFigure(part, "shop")
	if !ok || !known {
		return start.Add(wait), ""
	}
	low, cold := planned.Value, false
	from := start
	for i, r := range g.shop {
		last := i+1 == len(g.shop) || g.shop[i+1].at.After(start)
		if r.at.After(g.now) || r.at.Before(start) && !last {
			continue
		}
		if r.c < leastCure {
			cold = true
			continue
		}
		if cold {
			cold, low = false, planned.Value
			from = r.at
			if from.Before(start) {
				from = start
			}
		}
		low = min(low, r.c)
	}
	if cold {
		return time.Time{}, fmt.Sprintf("the shop is below %.0f °C: the sealant does not cure. Warm it, and enter the temperature", leastCure)
	}
	due := from.Add(time.Duration(float64(wait) * math.Exp2(max(0, planned.Value-low)/10)))
	if low < planned.Value || from.After(start) {
		return due, fmt.Sprintf("longer: the shop was at %s", quantity.Temperature(low))
	}
	return due, ""
}

// ruleStops are the stops of the trade's rules against the parts of a step.
func ruleStops(filled *checklist.Filled, step *checklist.FilledStep) []string {
	var list []string
	for _, name := range step.Uses {
		for _, parts := range [][]checklist.FilledPart{filled.Fasteners, filled.Seals, filled.Tests} {
			p, ok := partOf(parts, name)
			if !ok {
				continue
			}
			for _, f := range p.Findings {
				if f.Severity == checklist.Stop && f.Accepted == "" {
					list = append(list, p.Label+": "+f.Message)
				}
			}
		}
	}
	return list
}

func (g *gating) ruleGate(step *checklist.FilledStep, add func(GateName, bool, string, ...string)) {
	for _, text := range g.ruleAgainst(step) {
		add(GateRule, true, "stop: "+text, step.ID)
	}
}

// ruleAgainst are the stops against a step that puts parts in or makes them; to
// measure or to look is always allowed.
func (g *gating) ruleAgainst(step *checklist.FilledStep) []string {
	switch step.Kind {
	case "seal", "tighten", "test", "dry-fit", "make":
		return ruleStops(g.seen.filled, step)
	}
	return nil
}

// threadGates: metal is cut and parts go in only with a thread that a gauge or a
// known mate has confirmed: pairs that are nearly one go together for a few turns
// and then bite. Whether to go on all the same, a named person decides.
func (g *gating) threadGates(step *checklist.FilledStep, add func(GateName, bool, string, ...string)) {
	switch step.Kind {
	case "make", "dry-fit", "seal", "tighten":
	default:
		return
	}
	for _, name := range step.Uses {
		part, ok := partOf(g.seen.filled.Fasteners, name)
		if !ok || !part.Applies || !part.Probable {
			continue
		}
		thread, _ := partFigure(part, "thread")
		add(GateThread, false, fmt.Sprintf("ask: %s is only probable for %s: try a gauge or a known mate, six turns by fingers, and enter the thread again", thread.Text, part.Label), name+" "+thread.Text)
	}
}

// dateGates: a sealant past its last day may stay wet (common practice, no
// source). It stands on the record that it was used all the same, and who let it.
func (g *gating) dateGates(step *checklist.FilledStep, add func(GateName, bool, string, ...string)) {
	if step.Kind != "seal" {
		return
	}
	for _, name := range step.Uses {
		part, ok := partOf(g.seen.filled.Seals, name)
		if !ok || !part.Applies {
			continue
		}
		if day, known := partFigure(part, "use_by"); known && day.PastDay(g.now) {
			add(GateDate, false, fmt.Sprintf("%s was to be used by %s: past that it may not cure. Take another container, or ask who may allow this one", part.Label, day.Text), name+" "+day.Text)
		}
	}
}

// roundsLeft says which passes have to be made before a step takes screws to
// their whole torque: a part that is drawn down at once is drawn down askew, and
// no reason makes that good (common practice, no source).
func (g *gating) roundsLeft(step *checklist.FilledStep) (text string, items []string) {
	var words []string
	for _, r := range step.Rounds {
		if !r.Full {
			continue
		}
		for _, before := range g.seen.filled.Steps() {
			if before.Number >= step.Number || slices.Contains(items, before.ID) || g.state.Steps[before.ID].Status == Done {
				continue
			}
			if slices.ContainsFunc(before.Rounds, func(b checklist.Round) bool {
				return b.Fastener == r.Fastener && (b.First || b.Second) && !b.Full
			}) {
				items = append(items, before.ID)
				words = append(words, before.ID+" ("+before.Title+")")
			}
		}
	}
	if len(items) == 0 {
		return "", nil
	}
	return "not to the whole torque before " + strings.Join(words, " and "), items
}

// stockGates: parts that are not there, things inside an opening, open findings.
func (g *gating) stockGates(step *checklist.FilledStep, add func(GateName, bool, string, ...string)) {
	for _, s := range g.state.Short {
		if s.Step == step.ID && s.Open() {
			add(GateShort, false, "missing: "+s.Text, s.ID)
		}
	}
	for _, t := range g.state.Tallies {
		if t.Inside != 0 && g.closes(step, t.Opening) {
			add(GateTally, false, t.String(), t.Opening)
		}
	}
	if step.Kind == "test" && g.first > 0 && step.Number >= g.first {
		for _, f := range g.state.Findings {
			if f.Disposition == nil {
				add(GateFindings, false, fmt.Sprintf("finding %d is open: %s %s", f.Order, f.What, f.Where()), f.ID)
			}
		}
	}
}

// closes says whether an opening is closed by a step: the one that says so, and
// the last of the job. Where no step says so of any opening, sealing and testing
// close them all.
func (g *gating) closes(step *checklist.FilledStep, opening string) bool {
	if step.Number == g.state.Total {
		return true
	}
	named := false
	for _, other := range g.step {
		named = named || strings.EqualFold(other.Closes, opening)
	}
	if named {
		return strings.EqualFold(step.Closes, opening)
	}
	return step.Kind == "seal" || step.Kind == "test" && g.first > 0 && step.Number >= g.first
}

// testGates: the test has to have passed, and the last step wants every blank
// off.
func (g *gating) testGates(step *checklist.FilledStep, add func(GateName, bool, string, ...string)) {
	if text, item := g.testStop(step); text != "" {
		add(GateTest, true, text, item)
	}
	if step.Number == g.state.Total {
		for _, b := range g.state.Blanks {
			if b.Fitted && !b.Stays {
				add(GateBlanks, true, fmt.Sprintf("blank %s at %s is still fitted", b.Tag, b.Where), b.Tag)
			}
		}
	}
}

// Pass lets a step through a gate, with a reason and the name of who allows it.
// A hold point, a cure, a blank left in and a stop of the trade's rules are not
// passed: the error is a *BlockedError.
func (j *Job) Pass(step string, gate GateName, by, why string) (Saved, error) {
	return j.save(func() (Entry, error) {
		if _, err := j.step(step); err != nil {
			return Entry{}, err
		}
		by, err := checkSigner(by)
		if err != nil {
			return Entry{}, fmt.Errorf("who lets it pass: %w", err)
		}
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		s := j.State().Steps[step]
		var items, known []string
		for _, g := range s.Gates {
			if len(g.Passed) > 0 {
				continue
			}
			known = append(known, string(g.Name))
			if g.Name != gate {
				continue
			}
			if g.Safety {
				return Entry{}, &BlockedError{step, []string{g.Text + ". This is a stop: no reason passes it"}}
			}
			items = append(items, g.Items...)
		}
		if len(items) == 0 {
			if len(known) == 0 {
				return Entry{}, &BlockedError{step, []string{"no gate is shut here"}}
			}
			return Entry{}, &StepError{"shut gate", string(gate), known}
		}
		return Entry{Kind: KindPass, By: by, Step: step, Reading: string(gate), Text: why, Seen: limited(items), Data: map[string]string{"worker": j.Person()}}, nil
	})
}

// WitnessStep records that the witness of a step was there, or was told and let
// the work go on.
func (j *Job) WitnessStep(step, by string, told bool) (Saved, error) {
	return j.save(func() (Entry, error) {
		f, err := j.step(step)
		if err != nil {
			return Entry{}, err
		}
		by, err := checkSigner(by)
		if err != nil {
			return Entry{}, fmt.Errorf("the witness: %w", err)
		}
		if f.Witness == "" {
			return Entry{}, &BlockedError{step, []string{"it is no witness point"}}
		}
		if strings.EqualFold(by, j.Person()) {
			return Entry{}, &BlockedError{step, []string{by + " is working on the job; the witness is somebody else"}}
		}
		how := "present"
		if told {
			how = "told"
		}
		return Entry{Kind: KindWitness, By: by, Step: step, Value: how, Text: f.Witness}, nil
	})
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
