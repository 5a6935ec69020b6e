package job

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettle/checklist"
)

// What a release saw. A release is a word about what stood before it: how the
// steps before it were, what they and the hold's own step read, and where a
// pressure test is among them, the figures of the code. It counts while all of that
// stands. The same value entered again changes nothing, and a note never does.

// fact is one thing that a release saw.
type fact struct{ key, value string }

// sheetKey begins the keys of the code's figures; no step's name holds a blank.
const sheetKey = "test sheet "

// upstream are the steps that come before a step, however far back, without order.
func (g *gating) upstream(step *checklist.FilledStep) []*checklist.FilledStep {
	if known, ok := g.before[step.ID]; ok {
		return known
	}
	var list []*checklist.FilledStep
	met := map[string]bool{step.ID: true}
	queue := slices.Clone(step.Needs)
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		s := g.step[id]
		if s == nil || met[id] {
			continue
		}
		met[id] = true
		list = append(list, s)
		queue = append(queue, s.Needs...)
	}
	g.before[step.ID] = list
	return list
}

// shown are the facts of one step: how it stands and what was read.
func (g *gating) shown(step *checklist.FilledStep) []fact {
	if known, ok := g.facts[step.ID]; ok {
		return known
	}
	s := g.recorded(step)
	how := "open"
	switch s.Status {
	case Done:
		how = "done"
		for _, id := range g.seen.changed.asked(step.ID) {
			how += " " + id
		}
	case Skipped:
		how = "left out"
	}
	list := append([]fact{{step.ID, how}}, readingFacts(step.ID, s)...)
	g.facts[step.ID] = list
	return list
}

// readingFacts are what a step read, each value that counts.
func readingFacts(id string, s *StepState) []fact {
	var list []fact
	for _, name := range sortedKeys(s.Readings) {
		for _, v := range s.Readings[name] {
			if v.Counts {
				list = append(list, fact{id + "." + name, v.String()})
			}
		}
	}
	return list
}

// sight is what a release of a step's hold sees now.
func (g *gating) sight(step *checklist.FilledStep, own *StepState) []fact {
	list := readingFacts(step.ID, own)
	tests := g.usesTest(step)
	for _, before := range g.upstream(step) {
		list = append(list, g.shown(before)...)
		tests = tests || g.usesTest(before)
	}
	if tests && g.j.keeps(RuleReleaseFigures) {
		values := sheetValues(g.seen)
		for _, line := range codeLines() {
			if v := values[line].Value; v != "" {
				list = append(list, fact{sheetKey + line, v})
			}
		}
	}
	return list
}

// saw turns facts into what a release keeps.
func saw(facts []fact) map[string]string {
	if len(facts) == 0 {
		return nil
	}
	m := make(map[string]string, len(facts))
	for _, f := range facts {
		m[f.key] = f.value
	}
	return m
}

// Void is a release that does not count any more, and why.
type Void struct {
	Mark
	Changed []string // plain sentences
}

// voided says what has changed since a release saw it; nothing where it stands.
func (g *gating) voided(step *checklist.FilledStep, own *StepState, rec *record) []string {
	var changed []string
	if g.j.keeps(RuleOneRole) {
		if other := g.otherRole(step, rec.By); other != "" {
			changed = append(changed, other)
		}
	}
	if rec.By != "" && !g.j.somebody(rec.By) {
		changed = append(changed, roleOnly(rec.By))
	}
	if byInspector(step.Hold) && g.j.keeps(RuleReleaseNamed) && g.workedBefore(rec) {
		changed = append(changed, rec.By+" does the work, and the inspector never does")
	}
	if !g.j.keeps(RuleReleaseStands) {
		return changed
	}
	met := 0
	if facts := g.sight(step, own); len(rec.Saw) == 0 && len(facts) > 0 {
		return append(changed, "it does not say what was seen")
	}
	for _, f := range g.sight(step, own) {
		was, ok := rec.Saw[f.key]
		if ok {
			met++
		}
		if !sameText(was, f.value) {
			changed = append(changed, g.changedWords(f.key, was, f.value))
		}
	}
	if met == len(rec.Saw) {
		return changed
	}
	now := saw(g.sight(step, own))
	for _, key := range sortedKeys(rec.Saw) {
		if _, ok := now[key]; !ok {
			changed = append(changed, g.changedWords(key, rec.Saw[key], ""))
		}
	}
	return changed
}

// sameText says whether two values say the same thing: 12.5 mm and 12.50 mm do.
func sameText(a, b string) bool {
	a, b = normal(a), normal(b)
	if a == b {
		return true
	}
	x, unitX, _ := strings.Cut(a, " ")
	y, unitY, _ := strings.Cut(b, " ")
	fx, errX := strconv.ParseFloat(x, 64)
	fy, errY := strconv.ParseFloat(y, 64)
	return errX == nil && errY == nil && fx == fy && unitX == unitY
}

// changedWords says in a sentence what a release saw and what stands now.
func (g *gating) changedWords(key, was, is string) string {
	name := key
	if line, ok := strings.CutPrefix(key, sheetKey); ok {
		name = strings.ReplaceAll(line, "_", " ")
	} else if id, reading, _ := strings.Cut(key, "."); g.step[id] != nil {
		step := g.step[id]
		name = step.Title
		if r := readingOf(step, reading); r != nil {
			name += ", " + firstOf(r.Ask, r.Name)
		} else if strings.HasPrefix(was, "done") && strings.HasPrefix(is, "done") {
			return name + " was opened and done again"
		} else {
			was, _, _ = strings.Cut(was, " ")
			is, _, _ = strings.Cut(is, " ")
		}
	}
	return fmt.Sprintf("%s was %s, is %s", name, firstOf(was, "not known"), firstOf(is, "not known"))
}

// otherRole says that a release by somebody is none of the person whom the test
// sheet names for that role; "" where the sheet has no say.
func (g *gating) otherRole(step *checklist.FilledStep, by string) string {
	if !g.restsOnTest(step) {
		return ""
	}
	values := sheetValues(g.seen)
	for _, role := range [...]string{"inspector", "operator", "witness"} {
		if name := values[role].Value; g.hold(step) == role && name != "" && !strings.EqualFold(name, by) {
			return fmt.Sprintf("the test sheet names %s as %s, not %s", name, role, by)
		}
	}
	return ""
}

// hold is who releases the hold of a step; "" where it is none.
func (g *gating) hold(step *checklist.FilledStep) string {
	if step.Hold == checklist.Unnamed && !g.j.keeps(RuleHoldNobody) {
		return ""
	}
	return step.Hold
}
