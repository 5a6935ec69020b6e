package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettle/threads/quantity"
)

// property is what has to hold on a device after whatever was done, in the words of
// the hazard table; holds says what does not, "" where all does. Each is weaker than
// the program's own rule: it says when somebody can be hurt, not how it is to be kept
// from happening.
type property struct {
	name  string
	holds func(w *randomWorld, s *sight) string
}

// unsafeSteps are those of the procedure that no name and no reason passes.
var unsafeSteps = []string{"cold", "cured", "agree", "half", "full", "watch", "result"}

func properties() []property {
	return []property{
		{"a step that is done has its readings", readingsThere},
		{"no step is done at a reading that says stop", noStopDone},
		{"outside what ask allows somebody answered for that very value", askAnswered},
		{"a danger is decided about", dangerDecided},
		{"undone counts against done", undoneOpen},
		{"left out and done are settled", doneOrLeftOut},
		{"what was opened again is done again", reopenedDone},
		{"a hold is released by another, by its role", heldByAnother},
		{"a release rests on what stands", releaseStands},
		{"nothing is done over an open stop", stopsFirst},
		{"a hold is released after its own readings", releasedAfter},
		{"nothing is made or tested while two people differ", settledFirst},
		{"no figure of the sheet lies above what the code allows", withinProduct},
		{"a hold, a cure and a test are not left out", notLeftOut},
		{"a wait was begun", waitBegun},
		{"a cure had its time", cureOver},
		{"one test at a time, after the cure", testBegins},
		{"the code's figures stay while a test runs", figuresFrozen},
		{"a stage has its reading in this test", stagesRead},
		{"a test that passed reached its pressure, for its time", testHeld},
		{"a test is passed by the inspector, and a fail stays", passedByInspector},
		{"what was found in a test is decided", foundDecided},
		{"decisions that differ leave a finding open", decidedOnce},
		{"nobody allows their own concession", concessionByAnother},
		{"what a decision touches is done again", decisionOpens},
		{"answers that differ open what they change", answersSettled},
		{"nothing is closed in", nothingLeftInside},
		{"no blank is left on", blanksOff},
		{"no step is done without its parts", partsThere},
		{"no test passes beside another", oneTest},
		{"a called job is closed before its step", calledClosed},
		{"a job that is put away is finished", awayFinished},
		{"of two figures the severer counts", severerCounts},
	}
}

func readingsThere(w *randomWorld, s *sight) string {
	for _, step := range s.j.Filled().Steps() {
		for i := range step.Readings {
			if name := step.Readings[i].Name; s.done(step.ID) && len(s.of(s.set, KindMeasure, onStep(step.ID), reads(name))) == 0 {
				return step.ID + " has no " + name
			}
		}
	}
	return ""
}

func noStopDone(w *randomWorld, s *sight) string {
	if bad := s.of(s.set, KindMeasure, onStep("cold"), reads("zero"), says("no")); s.closed("cold") && len(bad) > 0 {
		for _, i := range s.reading(s.set, "cold", "zero") {
			if s.all[i].Value != "yes" {
				return "the gauge is not on zero by " + s.all[i].By
			}
		}
	}
	return ""
}

func askAnswered(w *randomWorld, s *sight) string {
	if !s.done("fall") {
		return ""
	}
	for _, i := range s.reading(s.set, "fall", "fall") {
		var v float64
		fmt.Sscan(s.all[i].Value, &v)
		if v < 0 {
			return "a fall below nought"
		}
		answered := slices.ContainsFunc(s.of(s.set, KindPass, onStep("fall"), reads("ask")), func(k int) bool {
			e := &s.all[k]
			return e.By != "" && e.Text != "" && slices.Contains(e.Seen, s.all[i].ID)
		})
		if v > 0.1 && !answered {
			return "nobody answered for " + s.all[i].Value
		}
	}
	return ""
}

// dangerDecided: a no that nobody read anew keeps the step until it is decided about,
// and the inspector released that.
func dangerDecided(w *randomWorld, s *sight) string {
	if !s.done("held") {
		return ""
	}
	for _, i := range s.reading(s.set, "held", "held") {
		if s.all[i].Value == "yes" {
			continue
		}
		decided := slices.ContainsFunc(s.of(s.set, KindDispose), func(k int) bool {
			about, ok := s.byID[s.all[k].About]
			return ok && s.all[about].Step == "held"
		})
		if !decided {
			return "nothing holds the spindle, and nobody decided about it"
		}
		if !slices.ContainsFunc(s.of(s.set, KindRelease), func(k int) bool { return strings.HasPrefix(s.all[k].Step, "danger-") }) {
			return "nobody released what was decided"
		}
	}
	return ""
}

// undoneOpen: where a tick was taken back by somebody who had not seen another tick,
// and nobody who saw both has said more, the step is open.
func undoneOpen(w *randomWorld, s *sight) string {
	for _, step := range s.j.Filled().Steps() {
		if !s.done(step.ID) {
			continue
		}
		ticks := s.of(s.set, KindTick, onStep(step.ID))
		if len(ticks) == 0 {
			return step.ID + " is done and nobody ticked it"
		}
		for _, r := range s.of(s.set, KindRetract) {
			of := slices.ContainsFunc(s.all[r].Retracts, func(id string) bool {
				k, ok := s.byID[id]
				return ok && s.all[k].Kind == KindTick && s.all[k].Step == step.ID
			})
			if of && !slices.ContainsFunc(ticks, func(t int) bool { return !s.apart(t, r) }) {
				return step.ID + " was undone by somebody who had not seen that it was done again"
			}
		}
	}
	return ""
}

func doneOrLeftOut(w *randomWorld, s *sight) string {
	for id, step := range s.state.Steps {
		if step.Status != Done && step.Status != Skipped || slices.Contains(unsafeSteps, id) { // those nobody leaves out
			continue
		}
		said := map[string]bool{}
		for _, i := range s.tops(slices.Concat(s.of(s.set, KindTick, onStep(id)), s.of(s.set, KindSkip, onStep(id)))) {
			said[s.all[i].Kind] = said[s.all[i].Kind] || s.answers(i, id) && !slices.ContainsFunc(s.of(s.set, KindDispose), func(k int) bool { return !s.all[i].knew.has(k) })
		}
		if said[KindTick] && said[KindSkip] {
			return fmt.Sprintf("%s is %s, and two people said different things", id, step.Status)
		}
	}
	return ""
}

// answers says whether an entry knew all that opened its step again, and nothing of
// that was taken back since.
func (s *sight) answers(i int, step string) bool {
	return !slices.ContainsFunc(s.all[i].Seen, func(id string) bool { return !s.set.has(s.byID[id]) }) && !slices.ContainsFunc(s.reopenings(step), func(k int) bool { return !s.all[i].knew.has(k) })
}

// reopenings are the live entries that opened a step again.
func (s *sight) reopenings(step string) []int {
	opens := func(e *Entry) bool { return slices.Contains(e.Opens, step) }
	return append(s.of(s.set, KindReopen, opens), s.of(s.set, KindAnswer, opens)...)
}

func reopenedDone(w *randomWorld, s *sight) string {
	for _, step := range s.j.Filled().Steps() {
		if !s.done(step.ID) {
			continue
		}
		for _, k := range s.reopenings(step.ID) {
			if !slices.ContainsFunc(s.of(s.set, KindTick, onStep(step.ID)), func(t int) bool { return s.all[t].knew.has(k) }) {
				return step.ID + " was opened again and nobody did it again"
			}
		}
	}
	return ""
}

// works says whether somebody did work of the job before an entry, as far as was
// known.
func (s *sight) works(by string, before bits) bool {
	for i := range s.all {
		e := &s.all[i]
		if before.has(i) && e.By == by && slices.Contains([]string{KindTick, KindMeasure}, e.Kind) {
			return true
		}
	}
	return false
}

func heldByAnother(w *randomWorld, s *sight) string {
	for _, id := range []string{"cold", "agree"} {
		if !s.done(id) {
			continue
		}
		releases := s.of(s.set, KindRelease, onStep(id))
		if len(releases) == 0 {
			return id + " was released by nobody"
		}
		if id != "agree" {
			continue
		}
		inspector := s.sheet(s.set, "inspector")
		if !slices.ContainsFunc(releases, func(r int) bool {
			e := &s.all[r]
			return !s.works(e.By, e.knew) && (inspector[0] == "" || slices.Contains(inspector, e.By))
		}) {
			return id + " was released by nobody but those who do the work, or by none the sheet names"
		}
	}
	return ""
}

// releaseStands: at least one release of a hold saw what stands now.
func releaseStands(w *randomWorld, s *sight) string {
	for _, id := range []string{"cold", "agree"} {
		if !s.done(id) {
			continue
		}
		why := "no release"
		for _, r := range s.of(s.set, KindRelease, onStep(id)) {
			if why = s.changedSince(r, id); why == "" {
				break
			}
		}
		if why != "" {
			return id + ": " + why
		}
	}
	return ""
}

// changedSince says what is another than a release saw; "" where nothing is.
func (s *sight) changedSince(r int, id string) string {
	then := s.live(s.all[r].knew)
	for _, before := range append(s.before(id), id) {
		for _, reading := range s.j.Filled().Step(before).Readings {
			was, is := s.values(s.reading(then, before, reading.Name)), s.values(s.reading(s.set, before, reading.Name))
			if len(is) > 0 && !meet(was, is) {
				return fmt.Sprintf("%s was %v, is %v", reading.Name, was, is)
			}
		}
		if before != id && len(s.of(then, KindTick, onStep(before))) > 0 && len(s.of(s.set, KindTick, onStep(before)))+len(s.of(s.set, KindSkip, onStep(before))) == 0 {
			return before + " was done, and is not"
		}
	}
	if id != "agree" {
		return ""
	}
	for _, line := range []string{"target", "hold", "multiple", "inspector", "preliminary"} {
		if was, is := s.sheet(then, line), s.sheet(s.set, line); !meet(was, is) {
			return fmt.Sprintf("%s was %v, is %v", line, was, is)
		}
	}
	return ""
}

func meet(a, b []string) bool {
	return slices.ContainsFunc(a, func(v string) bool { return slices.Contains(b, v) })
}

// stopsFirst looks at what a person did through the program a moment ago.
func stopsFirst(w *randomWorld, s *sight) string {
	if !w.last.taken || w.last.raw || w.last.what != "tick" && w.last.what != "begin" && (w.last.what != "result" || w.last.value != "pass") {
		return ""
	}
	step := w.last.step
	if step == "" {
		step = "watch"
	}
	for _, before := range s.before(step) {
		if at := w.last.before.Steps[before]; slices.Contains(unsafeSteps, before) && at.Status != Done {
			return fmt.Sprintf("%s of %s while %s is %s", w.last.what, step, before, at.Status)
		}
	}
	return ""
}

// acted says whether the last act was one of these, done by a person through the
// program.
func (w *randomWorld) acted(what ...string) bool {
	return w.last.taken && !w.last.raw && slices.Contains(what, w.last.what)
}

func releasedAfter(w *randomWorld, s *sight) string {
	step := s.j.Filled().Step(w.last.step)
	if !w.acted("release") || step == nil {
		return ""
	}
	for _, r := range step.Readings {
		if len(w.last.before.Steps[step.ID].Readings[r.Name]) == 0 {
			return fmt.Sprintf("%s was released before %s was read", step.ID, r.Name)
		}
	}
	return ""
}

// settledFirst looks at answers and at the sheet: of what is written apart nobody can
// tell which is right.
func settledFirst(w *randomWorld, s *sight) string {
	differ := func(list []int) bool {
		values := s.values(list)
		slices.Sort(values)
		return len(values) > 0 && values[0] != values[len(values)-1]
	}
	if w.acted("tick") && slices.Contains([]string{"plug", "dry", "seal", "tighten"}, w.last.step) && differ(s.tops(s.of(s.set, KindAnswer, reads("bore")))) {
		return w.last.step + " is done while the bore is answered differently"
	}
	for _, line := range []string{"target", "hold", "inspector"} {
		if (w.acted("test") || w.acted("result") && w.last.value == "pass") && differ(s.tops(s.of(s.set, KindSheet, reads(line)))) {
			return line + " was written differently, and a test goes on"
		}
	}
	return ""
}

func withinProduct(w *randomWorld, s *sight) string {
	if !w.acted("sheet") || w.last.step != "target" {
		return ""
	}
	var multiple float64
	fmt.Sscan(slices.Max(s.sheet(s.set, "multiple")), &multiple)
	if target := bar(w.last.value); target > 6*multiple+0.001 {
		return fmt.Sprintf("%g bar is more than 6 bar times %g", target, multiple)
	}
	return ""
}

func notLeftOut(w *randomWorld, s *sight) string {
	for _, id := range unsafeSteps {
		if s.state.Steps[id].Status == Skipped {
			return id + " is left out"
		}
	}
	return ""
}

func waitBegun(w *randomWorld, s *sight) string {
	if s.done("cured") && len(s.of(s.set, KindBegin, onStep("cured"))) == 0 {
		return "nobody said when it was put on"
	}
	return ""
}

// What the sealant wants by its sheet, at the shop's planned temperature, and what the
// procedure waits for before it goes on without pressure.
const (
	cureTime = 24 * time.Hour
	waitTime = 6 * time.Hour
)

// sealedAt is the true time before which nothing can have been put on: the step
// before the sealant was done. Where it was done more than once, or undone, the first
// counts.
func (s *sight) sealedAt() (at time.Time, known bool) {
	for _, i := range s.of(s.known[s.world.where], KindTick, onStep("dry")) {
		if s.answers(i, "dry") && (!known || s.all[i].at.Before(at)) {
			at, known = s.all[i].at, true
		}
	}
	return at, known
}

func cureOver(w *randomWorld, s *sight) string {
	at, known := s.sealedAt()
	if s.done("cured") && known && s.now.Before(at.Add(waitTime)) {
		return fmt.Sprintf("it was put on after %s, and now it is %s", at.Format("2 15:04"), s.now.Format("2 15:04"))
	}
	if run := s.state.Test.Last(); s.done("result") && known && run != nil {
		if begun := s.all[s.byID[run.ID]].at; begun.Before(at.Add(cureTime)) {
			return fmt.Sprintf("it was put on after %s and tested at %s", at.Format("2 15:04"), begun.Format("2 15:04"))
		}
	}
	return ""
}

func testBegins(w *randomWorld, s *sight) string {
	if w.last.what != "test" || !w.last.taken {
		return ""
	}
	if run := w.last.before.Test.Last(); run != nil && run.Result == "" {
		return "two tests at once"
	}
	if at, known := s.sealedAt(); known && s.closed("seal") && s.now.Before(at.Add(cureTime)) {
		return "pressure on a sealant that has not cured"
	}
	return ""
}

func figuresFrozen(w *randomWorld, s *sight) string {
	run := w.last.before.Test.Last()
	if w.last.what != "sheet" || !w.last.taken || run == nil || run.Result != "" || w.last.step == "boiler" {
		return ""
	}
	if was := w.last.before.Test.Value(w.last.step); was != w.last.value {
		return fmt.Sprintf("%s was %q and is %q while a test runs", w.last.step, was, w.last.value)
	}
	return ""
}

func bar(text string) float64 {
	p, err := quantity.ParsePressure(text)
	if err != nil {
		return 0
	}
	return p.Bar()
}

func stagesRead(w *randomWorld, s *sight) string {
	run := s.state.Test.Last()
	if run == nil {
		for _, id := range []string{"half", "full", "watch", "result"} {
			if s.done(id) {
				return id + " is done without a test"
			}
		}
		return ""
	}
	if run.Passed {
		return ""
	}
	highest, begun := 0.0, s.all[s.byID[run.ID]]
	for _, i := range s.of(s.set, KindPoint, about(run.ID)) {
		highest = max(highest, bar(s.all[i].Value))
	}
	// A test under way goes by the figures it began with; to pass it has to go by
	// those that stand.
	target, hold := min(bar(s.lowest(s.set, "target")), bar(s.lowest(begun.knew, "target"))), min(s.shortest(s.set, "hold"), s.shortest(begun.knew, "hold"))
	switch {
	case s.done("half") && highest == 0:
		return "half the pressure was read by nobody"
	case s.done("full") && highest < target-0.06:
		return "the whole pressure was not reached"
	case s.done("watch") && s.now.Sub(begun.at) < hold-time.Minute:
		return "nobody watched it so long"
	case s.done("result"):
		return "the test has not passed"
	}
	return ""
}

// lowest is the least value of a line of the sheet that stands.
func (s *sight) lowest(set bits, line string) string {
	return slices.MinFunc(s.sheet(set, line), func(a, b string) int { return int(100 * (bar(a) - bar(b))) })
}

// shortest is the least time on a line of the sheet that stands.
func (s *sight) shortest(set bits, line string) (least time.Duration) {
	for _, v := range s.sheet(set, line) {
		var minutes int
		fmt.Sscan(v, &minutes)
		if span := time.Duration(minutes) * time.Minute; least == 0 || span < least {
			least = span
		}
	}
	return least
}

func testHeld(w *randomWorld, s *sight) string {
	run := s.state.Test.Last()
	if !s.done("result") || run == nil {
		return ""
	}
	highest, target := 0.0, bar(s.lowest(s.set, "target"))
	for _, i := range s.of(s.set, KindPoint, about(run.ID)) {
		highest = max(highest, bar(s.all[i].Value))
	}
	switch held := s.all[s.byID[run.Judged.ID]].at.Sub(s.all[s.byID[run.ID]].at); {
	case highest < target-0.06:
		return fmt.Sprintf("it reached %g of %g bar", highest, target)
	case highest > target*1.05+0.06:
		return fmt.Sprintf("it went to %g bar, above the alarm", highest)
	case held < s.shortest(s.set, "hold")-time.Minute:
		return fmt.Sprintf("it took %s", held)
	}
	for _, i := range s.of(s.set, KindPoint, about(run.ID)) {
		said, err := time.Parse(time.RFC3339, s.all[i].Data["at"])
		if err == nil && said.After(s.all[i].at.Add(time.Minute)) {
			return "a reading was written before its time"
		}
	}
	return ""
}

func passedByInspector(w *randomWorld, s *sight) string {
	run := s.state.Test.Last()
	if !s.done("result") || run == nil {
		return ""
	}
	passes, fails := s.of(s.set, KindResult, about(run.ID), says("pass")), s.of(s.set, KindResult, about(run.ID), says("fail"))
	inspector := s.sheet(s.set, "inspector")
	switch {
	case len(fails) > 0:
		return "it failed by " + s.all[fails[0]].By
	case !slices.ContainsFunc(passes, func(i int) bool { return slices.Contains(inspector, s.all[i].By) }) && s.sheet(s.set, "preliminary")[0] != "yes":
		return fmt.Sprintf("nobody of %v passed it", inspector)
	}
	return ""
}

func foundDecided(w *randomWorld, s *sight) string {
	run := s.state.Test.Last()
	if !s.done("result") || run == nil {
		return ""
	}
	for _, i := range s.tops(s.of(s.set, KindTrial, about(run.ID), func(e *Entry) bool { return e.Data["shows"] == "yes" })) {
		decided := slices.ContainsFunc(s.of(s.set, KindDispose), func(k int) bool {
			first, ok := s.byID[s.all[k].About]
			return ok && s.all[first].Kind == KindTrial && s.all[first].Value == s.all[i].Value && !s.all[i].knew.has(k)
		})
		if !decided {
			return s.all[i].Value + " was found, and nobody has decided about it since"
		}
	}
	return ""
}

func decidedOnce(w *randomWorld, s *sight) string {
	for _, f := range s.state.Findings {
		if !f.Decided() {
			continue
		}
		values := s.values(s.tops(s.of(s.set, KindDispose, about(f.ID), func(e *Entry) bool { return e.Value != string(Concession) || !ownConcession(e) })))
		if slices.Sort(values); len(values) > 0 && values[0] != values[len(values)-1] {
			return fmt.Sprintf("it counts as decided by %v", values)
		}
	}
	return ""
}

// ownConcession says whether nobody else allowed a concession.
func ownConcession(e *Entry) bool {
	return e.Data["allowed"] == "" || strings.EqualFold(e.Data["allowed"], e.By)
}

func concessionByAnother(w *randomWorld, s *sight) string {
	for _, f := range s.state.Findings {
		if !f.Decided() || f.Disposition.Decision != Concession {
			continue
		}
		if e := &s.all[s.byID[f.Disposition.ID]].Entry; ownConcession(e) {
			return "allowed by " + e.By + " for themselves"
		}
	}
	return ""
}

func decisionOpens(w *randomWorld, s *sight) string {
	for _, f := range s.state.Findings {
		if !f.Decided() || f.Disposition.Decision != Replace || f.Fastener != "screw" {
			continue
		}
		k := s.byID[f.Disposition.ID]
		for _, id := range []string{"dry", "tighten"} {
			if s.done(id) && !slices.ContainsFunc(s.of(s.set, KindTick, onStep(id)), func(t int) bool { return s.all[t].knew.has(k) || s.all[t].at.After(s.all[k].at) }) {
				return id + " is done with other screws"
			}
		}
	}
	return ""
}

func answersSettled(w *randomWorld, s *sight) string {
	values := s.values(s.tops(s.of(s.set, KindAnswer, reads("bore"))))
	if slices.Sort(values); len(values) == 0 || values[0] == values[len(values)-1] || !s.done("plug") {
		return ""
	}
	// One that was given after the bore was measured changes nothing of the plug.
	opens := !slices.ContainsFunc(s.tops(s.of(s.set, KindAnswer, reads("bore"))), func(i int) bool { return !slices.Contains(s.all[i].Opens, "plug") })
	if opens {
		return fmt.Sprintf("the plug is turned by %v", values)
	}
	return ""
}

func nothingLeftInside(w *randomWorld, s *sight) string {
	if w.last.what != "tick" || !w.last.taken || w.last.raw || w.last.step != "tighten" && w.last.step != "close" {
		return ""
	}
	inside := 0
	for _, i := range s.of(s.set, KindTally) {
		var n int
		fmt.Sscan(s.all[i].Value, &n)
		inside += n
	}
	passed := s.of(s.set, KindPass, onStep(w.last.step), reads("tally"))
	if inside != 0 && len(passed) == 0 {
		return fmt.Sprintf("%d inside", inside)
	}
	return ""
}

func blanksOff(w *randomWorld, s *sight) string {
	if !s.done("close") {
		return ""
	}
	for _, i := range s.tops(s.of(s.set, KindBlank)) {
		if s.all[i].Value == "on" {
			return "a blank is on"
		}
	}
	return ""
}

func partsThere(w *randomWorld, s *sight) string {
	if !w.acted("tick") {
		return ""
	}
	for _, short := range w.last.before.Short {
		if short.Step == w.last.step && short.Open() && len(s.of(s.set, KindPass, onStep(w.last.step), reads("short"))) == 0 {
			return short.Text + " is missing at " + short.Step
		}
	}
	return ""
}

func oneTest(w *randomWorld, s *sight) string {
	if !s.done("result") {
		return ""
	}
	for _, i := range s.of(s.set, KindRun) {
		if len(s.of(s.set, KindResult, about(s.all[i].ID))) == 0 {
			return "a test by " + s.all[i].By + " has no result"
		}
	}
	return ""
}

func calledClosed(w *randomWorld, s *sight) string {
	for _, c := range s.state.CalledBy("holes") {
		if !s.closed("holes") || len(c.Off) > 0 {
			continue
		}
		child, err := Open(c.Dir, s.j.env)
		if err != nil {
			return err.Error()
		}
		state := child.State()
		for id, step := range state.Steps {
			if step.Status != Done && step.Status != Skipped {
				return id + " of the called job is open"
			}
		}
	}
	return ""
}

func awayFinished(w *randomWorld, s *sight) string {
	if len(s.state.Closed) > 0 && s.state.Done+s.state.Skipped < s.state.Total {
		return "steps are open"
	}
	return ""
}

// severerCounts: of figures that nobody has read anew the one nearest to a limit, or
// furthest past it, counts. The bore of the seat has 5 and 9 mm.
func severerCounts(w *randomWorld, s *sight) string {
	room := func(v float64) float64 { return min(v-5, 9-v) }
	counted, least, several := 0.0, 0.0, 0
	for _, v := range s.state.Steps["wall"].Readings["bore_now"] {
		var x float64
		fmt.Sscan(v.Value, &x)
		if several == 0 || room(x) < least {
			least = room(x)
		}
		if several++; v.Counts {
			counted = room(x)
		}
	}
	if several > 1 && counted > least {
		return fmt.Sprintf("%g counts with %g left", counted, least)
	}
	return ""
}
