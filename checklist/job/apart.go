package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fettle/checklist"
	"fettle/threads/check"
)

// What two people wrote apart, neither having seen the other's entry. While they
// differ in what they say about going on, the worse counts and what depends on it
// waits, until an entry that saw both settles it. Two figures with the same verdict
// hold nobody up: the one with the severer consequence counts.

// Conflict is something that two people recorded differently without seeing
// each other's entry. A new entry by anybody who sees both settles it.
type Conflict struct {
	Step    string
	Reading string // name of the reading, or of a line of the test sheet or an answer; "" where the step as a whole is meant
	Text    string // plain sentence, with both and who
	Holds   bool   // what depends on it waits until it is settled
}

// In is the difference in the words of its step, without what follows from it.
func (c *Conflict) In(filled *checklist.Filled) string {
	where := c.Reading
	if step := filled.Step(c.Step); step != nil {
		where = step.Title
		if r := readingOf(step, c.Reading); r != nil {
			where += ", " + firstOf(r.Ask, r.Name)
		}
	}
	if where == "" {
		return c.Text
	}
	return where + ": " + c.Text
}

// weight is how much a verdict says against going on.
func weight(s check.Severity) int {
	switch s {
	case check.Stop:
		return 3
	case check.Ask:
		return 2
	case check.Warn:
		return 1
	}
	return 0
}

// counting is which of the values of a reading counts, by its place: the one that
// says most against going on, of like ones the one nearest to a limit or past it,
// else the last in the job's order.
func counting(r *checklist.FilledReading, values []*record) int {
	last := len(values) - 1
	if r == nil {
		return last
	}
	best := last
	for i := last - 1; i >= 0; i-- {
		if severer(r, values[i], values[best]) {
			best = i
		}
	}
	return best
}

// severer says whether reading a has a severer consequence than b.
func severer(r *checklist.FilledReading, a, b *record) bool {
	x, errX := r.Judge(a.Value)
	y, errY := r.Judge(b.Value)
	switch {
	case errX != nil || errY != nil:
		return errX == nil
	case weight(x.Severity) != weight(y.Severity):
		return weight(x.Severity) > weight(y.Severity)
	}
	return room(r, x.Value) < room(r, y.Value)
}

// room is how far a value lies within its limits; below nought outside them. Where
// nothing bounds it, a colder figure leaves less room, and no other figure does.
func room(r *checklist.FilledReading, v float64) float64 {
	left := math.Inf(1)
	if r.Low.Given {
		left = min(left, v-r.Low.Value)
	}
	if r.High.Given {
		left = min(left, r.High.Value-v)
	}
	if math.IsInf(left, 1) {
		if r.Unit == "°C" {
			return v
		}
		return 0
	}
	return left
}

// apart says of the values of a reading in what they differ, and whether they
// differ in what they say about going on; text is empty where they agree.
func (g *gating) apart(r *checklist.FilledReading, values []ReadingValue, recs []*record) (text string, holds bool) {
	differ := false
	for i := range values {
		differ = differ || !sameValue(recs[0], recs[i])
		holds = holds || weight(values[i].Judgement.Severity) != weight(values[0].Judgement.Severity)
	}
	if !differ {
		return "", false
	}
	// Words that other figures follow from have no order: nobody goes on by chance.
	if r != nil && r.Sets != "" && r.InWords() {
		holds = true
	}
	said := make([]string, len(values))
	for i, v := range values {
		said[i] = v.String() + " by " + v.By
		if v.Counts {
			said[i] += " (counts)"
		}
	}
	return strings.Join(said, ", "), holds && g.j.keeps(RuleWorseReading)
}

// undoneApart puts what somebody undid the like of, without having seen it, among
// the conflicts; "" where nothing of it keeps the step open. An entry that stands and
// saw it settles it; one that did not, and says otherwise, stands against it.
func (g *gating) undoneApart(s *StepState, step string, list []contest, stands []*record) string {
	stop, f := "", g.seen.fold
	for _, c := range list {
		saw := func(rec *record) bool { return f.line.saw(f.place[rec], f.place[c.rec]) }
		switch release := c.rec.Kind == KindRelease; {
		case !g.j.keeps(RuleUndoneCounts), !release && len(stands) > 0 && !slices.ContainsFunc(stands, saw):
			s.restore(c.rec)
			continue
		case release && len(s.Releases) > 0 || !release && len(stands) > 0:
			continue
		}
		what := map[string]string{KindTick: "done", KindSkip: "left out", KindRelease: "released"}[c.rec.Kind]
		text := fmt.Sprintf("%s by %s, and undone by %s, who had not seen that: undone counts", what, c.rec.By, c.undo.By)
		g.state.Conflicts = append(g.state.Conflicts, Conflict{Step: step, Text: text, Holds: true})
		s.Apart = append(s.Apart, mark(c.rec))
		stop = text
	}
	return stop
}

// restore puts an entry among those that stand on a step.
func (s *StepState) restore(rec *record) {
	switch rec.Kind {
	case KindTick:
		s.Ticks = append(s.Ticks, mark(rec))
	case KindSkip:
		s.Skips = append(s.Skips, mark(rec))
	case KindRelease:
		s.Releases = append(s.Releases, mark(rec))
	}
}

// measured collects the readings that replace settings, of every such name the
// one that counts among the latest step's, and those that the procedure recalls.
// What another device wrote may be anything.
func (j *Job) measured(f *fold) map[string]string {
	several := false
	last := j.pick(f, func(_, _ string, values []*record) *record {
		several = several || slices.ContainsFunc(values, func(rec *record) bool { return !sameValue(values[0], rec) })
		return values[len(values)-1]
	})
	if !several || !j.keeps(RuleSevererCount) {
		return last
	}
	// The limits do not follow from the readings they judge (see checklist.Reading).
	limits, _ := j.fill(f, last)
	return j.pick(f, func(step, name string, values []*record) *record {
		r := readingOf(limits.Step(step), name)
		if r == nil {
			return values[len(values)-1] // of no step of this procedure
		}
		if at := counting(r, values); at != len(values)-1 || bounded(r) {
			return values[at]
		}
		return j.worstFill(f, last, name, values)
	})
}

func bounded(r *checklist.FilledReading) bool {
	return r.Low.Given || r.High.Given || r.Nominal.Given || r.Unit == "°C"
}

// mostTried is how many readings made apart are tried for their consequence: two
// people seldom make three, and a hostile log makes thousands.
const mostTried = 8

// worstFill is the reading with which the trade's rules find most against the
// parts; the last one where they find the same.
func (j *Job) worstFill(f *fold, with map[string]string, name string, values []*record) *record {
	worst, most := values[len(values)-1], -1
	for _, rec := range slices.Backward(values[max(0, len(values)-mostTried):]) {
		trial := map[string]string{}
		for k, v := range with {
			trial[k] = v
		}
		j.take(trial, name, rec)
		filled, _ := j.proc.FillMeasured(j.settings(f), trial)
		against := 0
		for _, parts := range [][]checklist.FilledPart{filled.Fasteners, filled.Seals, filled.Tests} {
			for _, p := range parts {
				for _, finding := range p.Findings {
					against += [...]int{0, 1, 100, 10_000}[weight(finding.Severity)]
				}
			}
		}
		if against > most {
			worst, most = rec, against
		}
	}
	return worst
}

// pick collects a reading for every setting that one replaces, and for every name
// that is recalled.
func (j *Job) pick(f *fold, choose func(step, name string, values []*record) *record) map[string]string {
	picked := map[string]*record{}
	names := map[string]string{}
	for _, id := range sortedKeys(f.steps) {
		for name, values := range f.steps[id].readings {
			sets := j.proc.Sets(name)
			if sets == "" && !j.proc.Recalls(name) {
				continue
			}
			rec := choose(id, name, values)
			for _, to := range []string{sets, name} {
				if to != "" && (picked[to] == nil || compareRecords(picked[to], rec) < 0) {
					picked[to], names[to] = rec, name
				}
			}
		}
	}
	measured := map[string]string{}
	for to, rec := range picked {
		if j.proc.Sets(names[to]) != to {
			measured[to] = rec.Value
		} else {
			j.take(measured, names[to], rec)
		}
	}
	for name := range measured { // of those that replace a setting only what is recalled is named twice
		if sets := j.proc.Sets(name); sets != "" && sets != name && !j.proc.Recalls(name) {
			delete(measured, name)
		}
	}
	return measured
}

// take puts a reading in the place of the setting that it replaces.
func (j *Job) take(measured map[string]string, name string, rec *record) {
	sets := j.proc.Sets(name)
	if sets == "" {
		measured[name] = rec.Value
		return
	}
	value := j.proc.Taken(name, rec.Value)
	// A count of drops is measured in drops and set as a bare number.
	for _, value := range []string{withUnit(value, rec.Unit), value} {
		if j.proc.CheckValue(sets, value) == nil {
			measured[sets] = value
			return
		}
	}
}

// readingOf is the reading of a step by its name; nil where there is none.
func readingOf(step *checklist.FilledStep, name string) *checklist.FilledReading {
	if step == nil {
		return nil
	}
	for i := range step.Readings {
		if step.Readings[i].Name == name {
			return &step.Readings[i]
		}
	}
	return nil
}

// answersApart are the answers that were put right differently by two people who
// did not see each other's; by name.
func (f *fold) answersApart() map[string][]*record {
	by := map[string][]*record{}
	for _, rec := range f.judged[KindAnswer] {
		by[rec.Reading] = append(by[rec.Reading], rec)
	}
	for name, recs := range by {
		if !slices.ContainsFunc(recs, func(rec *record) bool { return normal(rec.Value) != normal(recs[0].Value) }) {
			delete(by, name)
		}
	}
	return by
}

// answersDiffer says which answers differ, and which steps they open. Nobody can tell
// which is right, so nothing is made, closed or tested before it is settled.
func (j *Job) answersDiffer(f *fold) (differ []Conflict, opens map[string]bool) {
	by := f.answersApart()
	opens = map[string]bool{}
	for _, name := range sortedKeys(by) {
		var said []string
		for _, rec := range by[name] {
			said = append(said, rec.Value+" by "+rec.By)
			for _, id := range rec.Opens {
				opens[id] = j.keeps(RuleAnswerOnce)
			}
		}
		text := fmt.Sprintf("the answer to %s was put right differently: %s", strings.ReplaceAll(name, "_", " "), strings.Join(said, ", "))
		differ = append(differ, Conflict{Reading: name, Text: text, Holds: j.keeps(RuleAnswerOnce)})
	}
	return differ, opens
}

// answerGates keep what an answer changes from being worked before two people agree
// on it, and all that makes, closes or tests.
func (g *gating) answerGates(step *checklist.FilledStep, add addGate) {
	for _, c := range g.differ {
		switch step.Kind {
		case "make", "dry-fit", "seal", "tighten", "test":
			add(RuleAnswerOnce, GateApart, true, "settle it: "+c.Text, step.ID)
		}
	}
}

// headsOf are those of some entries about one thing that no later one of them had
// seen: where there is more than one, they were made apart.
func (f *fold) headsOf(recs []*record) []*record {
	var heads []*record
	for i, rec := range recs {
		seen := false
		for _, later := range recs[i+1:] {
			seen = seen || f.line.saw(f.place[later], f.place[rec])
		}
		if !seen {
			heads = append(heads, rec)
		}
	}
	slices.SortStableFunc(heads, func(a, b *record) int { return cmp.Compare(f.place[a], f.place[b]) })
	return heads
}
