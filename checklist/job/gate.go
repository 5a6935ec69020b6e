package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/threads/check"
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
	GateCure     GateName = "cure"     // a sealant that has not cured
	GateAsk      GateName = "ask"      // a reading that somebody has to answer for
	GateApart    GateName = "apart"    // what was written apart and differs
	GateWords    GateName = "words"    // an instruction that is not whole
	GateDanger   GateName = "danger"   // what stands on the engine, and nobody decided about
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
func (g *gating) unskippable(step *checklist.FilledStep) string {
	if g.hold(step) != "" && g.j.keeps(RuleHoldKept) {
		return "a hold point is not left out: the " + step.Hold + " releases it, and then it is done"
	}
	if g.cures(step) && (step.Kind == "wait" || step.Wait > 0) {
		return "a cure is waited for, it is not left out"
	}
	if (g.sheet(step) || g.watches(step) || g.climb[step.ID] > 0) && g.j.keeps(RuleTestPassed) {
		return "a pressure test is passed or it fails, it is not left out"
	}
	for _, r := range step.Readings {
		if r.Outside == check.Stop && g.j.keeps(RuleReadingKept) {
			return fmt.Sprintf("it asks whether it is safe to go on (%s): it is not left out", r.Name)
		}
	}
	for _, f := range step.WorkedOut {
		if f.Outside == check.Stop && g.j.keeps(RuleReadingKept) {
			return fmt.Sprintf("it shows whether it is safe to go on (%s): it is not left out", f.Label)
		}
	}
	return ""
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
	differ []Conflict      // answers that were put right differently
	opened map[string]bool // steps that those open

	// What was worked out so far, by step.
	known  map[string]*StepState
	unmet  map[string][]string
	before map[string][]*checklist.FilledStep
	facts  map[string][]fact
	parts  []Need // that decisions want and nobody has got; see wanted
	asked  bool   // parts are worked out
}

func (j *Job) gating(state *State, seen *view, now time.Time) *gating {
	g := &gating{j: j, state: state, seen: seen, now: now, step: map[string]*checklist.FilledStep{}, unsafe: map[string]bool{},
		known: map[string]*StepState{}, unmet: map[string][]string{}, before: map[string][]*checklist.FilledStep{}, facts: map[string][]fact{}}
	g.differ, g.opened = j.answersDiffer(seen.fold)
	for _, rec := range seen.fold.judged[KindShop] {
		if t, err := quantity.ParseTemperature(rec.Value); err == nil {
			at, _ := seen.fold.times.at(seen.fold.place[rec])
			g.shop = append(g.shop, shopReading{at, t.C()})
		}
	}
	slices.SortStableFunc(g.shop, func(a, b shopReading) int { return a.at.Compare(b.at) })
	for _, step := range seen.filled.Steps() {
		g.step[step.ID] = step
		if g.first == 0 && (step.Kind == "seal" || step.Kind == "test" && g.usesTest(step)) {
			g.first = step.Number
		}
	}
	g.climb, g.watch = climb(seen.filled, g.step)
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
func (g *gating) usesTest(step *checklist.FilledStep) bool { return usesTest(g.seen.filled, step) }

// done says whether a step need not be waited for.
func (g *gating) done(id string) bool {
	step := g.step[id]
	if step == nil {
		return false
	}
	s := g.recorded(step)
	return s.Status == Done || s.Status == Skipped
}

// unmetOf are the steps that still have to be done before a step: what it needs,
// and what those that are done need in their turn, but for what a gate of theirs let
// pass by name. So a step that is opened again far back shuts what rests on it.
func (g *gating) unmetOf(step *checklist.FilledStep) []string {
	if known, ok := g.unmet[step.ID]; ok {
		return known
	}
	g.unmet[step.ID] = nil // a circle of needs ends here
	var list []string
	add := func(id string) {
		if !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	for _, need := range step.Needs {
		if !g.done(need) {
			add(need)
			continue
		}
		if !g.j.keeps(RuleNeeds) {
			continue
		}
		left := g.unmetOf(g.step[need])
		if len(left) == 0 {
			continue
		}
		passed := g.passed(need, GateNeeds)
		for _, id := range left {
			if !passed[id] || g.notSafe(id) {
				add(id)
			}
		}
	}
	g.unmet[step.ID] = list
	return list
}

// passed are the items that a gate of a step was passed for.
func (g *gating) passed(step string, gate GateName) map[string]bool {
	items := map[string]bool{}
	for _, rec := range g.seen.fold.judged[KindPass] {
		if rec.Step == step && rec.Reading == string(gate) && g.j.somebody(rec.By) && rec.Text != "" {
			for _, item := range rec.Seen {
				items[item] = true
			}
		}
	}
	return items
}

// gates of one step that is neither done nor left out.
func (g *gating) gates(s *StepState, step *checklist.FilledStep) []Gate {
	var list []Gate
	add := func(rule Rule, name GateName, safety bool, text string, items ...string) {
		if !g.j.keeps(rule) {
			return
		}
		gate := Gate{Name: name, Text: text, Items: items, Safety: safety}
		gate.Passed = g.passes(step.ID, &gate)
		list = append(list, gate)
	}
	rounds, passes := g.roundsLeft(step)
	var unmet, words []string
	for _, id := range g.unmetOf(step) {
		if slices.Contains(passes, id) {
			continue
		}
		unmet = append(unmet, id)
		text := "first do " + id
		if before := g.step[id]; before != nil {
			text += " (" + before.Title + ")"
		}
		words = append(words, text)
	}
	ready := len(unmet) == 0
	if !ready {
		// A cure begins with what is sealed: nobody passes that by.
		safety := step.Kind == "wait" && g.cures(step) || g.anyUnsafe(unmet)
		add(RuleNeeds, GateNeeds, safety, strings.Join(words, "; "), unmet...)
		ready = len(list) == 0 || len(list[0].Passed) > 0
	}
	if rounds != "" {
		add(RuleRounds, GateRounds, true, rounds, passes...)
		ready = false
	}
	if text, due, safety, ok, begin := g.wait(step, ready); ok {
		s.Due, s.ToBegin = due, begin
		add(RuleWait, GateWait, safety, text, "wait")
	}
	if step.Kind == "test" {
		if cures, items := g.uncured(step, nil); len(cures) > 0 {
			add(RuleCureTest, GateCure, true, strings.Join(cures, "; "), items...)
		}
	}
	if who := g.hold(step); who != "" && len(s.Releases) == 0 {
		if len(unmet) == 0 && rounds == "" {
			g.state.Holds = append(g.state.Holds, Hold{Step: step.ID, Who: who})
		}
		add(RuleHoldReleased, GateHold, true, s.holdWords(who), who)
	}
	if step.Witness != "" && len(s.Witnesses) == 0 {
		list = append(list, Gate{Name: GateWitness, Text: "witness point: tell the " + step.Witness, Items: []string{step.Witness}, Soft: true})
	}
	for _, text := range s.differ {
		list = append(list, Gate{Name: GateApart, Text: "settle it: " + text, Items: []string{step.ID}, Safety: true})
	}
	if len(s.differ) == 0 {
		g.answerGates(step, add)
	}
	g.readingGates(s, step, add)
	g.ruleGate(step, add)
	g.stockGates(step, add)
	g.testGates(step, add)
	g.threadGates(step, add)
	g.dateGates(step, add)
	g.wordGates(step, add)
	g.calledGates(step, add)
	return list
}

// holdWords is the gate of a hold, with what became of an earlier release.
func (s *StepState) holdWords(who string) string {
	text := "hold point: the " + who + " must release it"
	for _, v := range s.Void {
		text += fmt.Sprintf(". The release by %s does not count any more: %s", v.By, strings.Join(v.Changed, "; "))
	}
	return text
}

// addGate takes in a gate that a rule shuts.
type addGate func(rule Rule, name GateName, safety bool, text string, items ...string)

// readingGates: what a reading asks is answered by somebody with a name, for the
// very value; a danger waits for what is decided about it.
func (g *gating) readingGates(s *StepState, step *checklist.FilledStep, add addGate) {
	for i := range step.Readings {
		r := &step.Readings[i]
		if text, items := g.asks(r, s.Readings[r.Name]); text != "" {
			add(RuleAskNamed, GateAsk, false, text, items...)
		}
	}
	if text, items := asksOfFigures(step); text != "" {
		add(RuleAskNamed, GateAsk, false, text, items...)
	}
	if text := g.dangerOpen(step, s); text != "" {
		add(RuleDanger, GateDanger, true, text, step.ID)
	}
}

// asksOfFigures says which worked-out figures leave it to a person to answer for
// them, each for the value it has; "" where none does.
func asksOfFigures(step *checklist.FilledStep) (text string, items []string) {
	for _, f := range step.WorkedOut {
		if f.Known && f.Judgement.Severity == check.Ask {
			text = f.Label + ": " + f.Judgement.Text
			items = append(items, f.Key+" "+f.Text)
		}
	}
	return text, items
}

// asks says what a reading leaves to a person to answer for, and for which
// entries; "" where nothing.
func (g *gating) asks(r *checklist.FilledReading, values []ReadingValue) (text string, items []string) {
	nothing := (r.Outside == check.Stop || r.Outside == check.Ask) && r.Limitless() && g.j.keeps(RuleNothingToAsk)
	for _, v := range values {
		switch {
		case nothing && v.Counts:
			text = fmt.Sprintf("%s: %s. The procedure says %s and does not say at what: somebody has to judge it", firstOf(r.Ask, r.Name), v.String(), r.Outside)
		case v.Judgement.Severity == check.Ask && (v.Counts || text == ""):
			text = firstOf(r.Ask, r.Name) + ": " + v.Judgement.Text
		case v.Judgement.Severity != check.Ask && !nothing:
			continue
		}
		items = append(items, v.ID)
	}
	return text, items
}

// asked says what of a step's readings nobody has answered for yet; "" where
// nothing is left.
func (g *gating) askedOf(s *StepState, step *checklist.FilledStep) string {
	if !g.j.keeps(RuleAskNamed) {
		return ""
	}
	for i := range step.Readings {
		text, items := g.asks(&step.Readings[i], s.Readings[step.Readings[i].Name])
		if text != "" && len(g.passes(step.ID, &Gate{Name: GateAsk, Items: items})) == 0 {
			return text
		}
	}
	if text, items := asksOfFigures(step); text != "" && len(g.passes(step.ID, &Gate{Name: GateAsk, Items: items})) == 0 {
		return text
	}
	return ""
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
		if rec.Step != step || rec.Reading != string(gate.Name) || !g.j.somebody(rec.By) || rec.Text == "" {
			continue
		}
		by = append(by, mark(rec))
		for _, item := range rec.Seen {
			delete(left, item)
		}
	}
	if len(left) > 0 && g.j.keeps(RulePassCovers) {
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
	if step == nil || g.done(id) || !g.j.keeps(RuleUnsafeNeeds) {
		return false
	}
	if known, ok := g.unsafe[id]; ok {
		return known
	}
	g.unsafe[id] = true // a circle of needs is never safe
	s := g.recorded(step)
	stands := s.stopped != "" || g.unskippable(step) != "" || g.hold(step) != "" && len(s.Releases) == 0 ||
		len(ruleStops(g.seen.filled, step)) > 0 || g.usesTest(step) && (step.Kind == "test" || step.Kind == "wait") || g.anyUnsafe(g.unmetOf(step))
	g.unsafe[id] = stands
	return stands
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
				if f.Severity == check.Stop && f.Accepted == "" {
					list = append(list, p.Label+": "+f.Message)
				}
			}
		}
	}
	return list
}

func (g *gating) ruleGate(step *checklist.FilledStep, add addGate) {
	for _, text := range g.ruleAgainst(step) {
		add(RuleTrade, GateRule, true, "stop: "+text, step.ID)
	}
}

// ruleAgainst are the stops against a step that puts parts in or makes them; to
// measure or to look is always allowed.
func (g *gating) ruleAgainst(step *checklist.FilledStep) []string {
	if !g.j.keeps(RuleTrade) {
		return nil
	}
	switch step.Kind {
	case "seal", "tighten", "test", "dry-fit", "make":
		return ruleStops(g.seen.filled, step)
	}
	return nil
}

// threadGates: metal is cut and parts go in only with a thread that a gauge or a
// known mate has confirmed: pairs that are nearly one go together for a few turns
// and then bite. Whether to go on all the same, a named person decides.
func (g *gating) threadGates(step *checklist.FilledStep, add addGate) {
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
		add(RuleThread, GateThread, false, fmt.Sprintf("ask: %s is only probable for %s: try a gauge or a known mate, six turns by fingers, and enter the thread again", thread.Text, part.Label), name+" "+thread.Text)
	}
}

// dateGates: a sealant past its last day may stay wet (common practice, no
// source). It stands on the record that it was used all the same, and who let it.
func (g *gating) dateGates(step *checklist.FilledStep, add addGate) {
	if step.Kind != "seal" {
		return
	}
	for _, name := range step.Uses {
		part, ok := partOf(g.seen.filled.Seals, name)
		if !ok || !part.Applies {
			continue
		}
		if day, known := partFigure(part, "use_by"); known && day.PastDay(later(g.now, time.Unix(g.seen.fold.times.newest, 0).In(g.now.Location()))) {
			add(RuleUseBy, GateDate, false, fmt.Sprintf("%s was to be used by %s: past that it may not cure. Take another container, or ask who may allow this one", part.Label, day.Text), name+" "+day.Text)
		}
	}
}

// roundsLeft says which passes have to be made before a step takes screws to
// their whole torque: a part that is drawn down at once is drawn down askew, and
// no reason makes that good (common practice, no source).
func (g *gating) roundsLeft(step *checklist.FilledStep) (text string, items []string) {
	var words []string
	if !g.j.keeps(RuleRounds) {
		return "", nil
	}
	for _, r := range step.Rounds {
		if !r.Full {
			continue
		}
		for _, before := range g.seen.filled.Steps() {
			if before.Number >= step.Number || slices.Contains(items, before.ID) || g.recorded(before).Status == Done {
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
func (g *gating) stockGates(step *checklist.FilledStep, add addGate) {
	for _, s := range g.state.Short {
		if s.Step == step.ID && s.Open() {
			add(RuleMissing, GateShort, false, "missing: "+s.Text, s.ID)
		}
	}
	for _, n := range g.wanted() {
		if n.Step == step.ID {
			add(RuleMissing, GateShort, false, "to be got: "+strings.TrimSpace(n.Amount+" "+n.What), n.Key)
		}
	}
	for _, t := range g.state.Tallies {
		if t.Inside != 0 && g.closes(step, t.Opening) {
			add(RuleTally, GateTally, false, t.String(), t.Opening)
		}
	}
	if step.Kind == "test" && g.first > 0 && step.Number >= g.first {
		for _, f := range g.state.Findings {
			if !f.Decided() {
				add(RuleFindings, GateFindings, false, fmt.Sprintf("finding %d is open: %s %s", f.Order, f.What, f.Where()), f.ID)
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

// fitted are the blanks that a step has to see taken off: the last of the job, all of
// them.
func (g *gating) fitted(step *checklist.FilledStep) (list []Blank) {
	for _, b := range g.state.Blanks {
		if step.Number == g.state.Total && b.Fitted && !b.Stays {
			list = append(list, b)
		}
	}
	return list
}

// testGates: the test has to have passed, and the last step wants every blank
// off.
func (g *gating) testGates(step *checklist.FilledStep, add addGate) {
	if text, item := g.testStop(step); text != "" {
		add(RuleTestPassed, GateTest, true, text, item)
	}
	for _, b := range g.fitted(step) {
		add(RuleBlanksOff, GateBlanks, true, b.says(), b.Tag)
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
		by, err := j.signer(by)
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
		by, err := j.signer(by)
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
