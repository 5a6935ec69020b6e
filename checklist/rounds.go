package checklist

import (
	"fettle/threads/check"
	"fmt"
	"regexp"
	"slices"
)

// A Round is how far a step of kind tighten takes a fastener: to the first
// pass, to the second, or to the whole torque. It is told from the figures that
// the step's own text names.
type Round struct {
	Fastener            string
	First, Second, Full bool
}

var roundFigure = regexp.MustCompile(`\$\{([^${}. ]+)\.(first_pass|second_pass|torque|torque_lbf_in)\}`)

// roundsOf finds the rounds of a step, in the order in which its text names the
// fasteners.
func roundsOf(step *Step) (list []Round) {
	if step.Kind != "tighten" {
		return nil
	}
	for _, m := range roundFigure.FindAllStringSubmatch(step.Do, -1) {
		i := slices.IndexFunc(list, func(r Round) bool { return r.Fastener == m[1] })
		if i < 0 {
			i = len(list)
			list = append(list, Round{Fastener: m[1]})
		}
		switch m[2] {
		case "first_pass":
			list[i].First = true
		case "second_pass":
			list[i].Second = true
		default:
			list[i].Full = true
		}
	}
	return list
}

// leastRing is how many fasteners draw a part down together: fewer cannot tilt it
// the way that rounds are made for (common practice, no source).
const leastRing = 3

// judgeRounds asks whether screws that draw a part down together can come to
// their whole torque before they had the passes below it.
func (w *sequencer) judgeRounds(s *FilledStep, h history, report func(check.Severity, string, string, string, string)) {
	for _, r := range s.Rounds {
		p := w.x.parts[r.Fastener]
		if p == nil || p.kind != "fastener" || !r.Full {
			continue
		}
		n := w.number[r.Fastener]
		if (r.First || h.first.has(n)) && (r.Second || h.second.has(n)) {
			continue
		}
		if count, ok := p.find("count"); !ok || count.Value < leastRing {
			continue
		}
		if w.hasRounds(r.Fastener) {
			report(check.Stop, ruleFullAtOnce, "after", practice, fmt.Sprintf("%s can come to its whole torque before its first and second pass: those steps are not among what this one needs", r.Fastener))
			continue
		}
		report(check.Warn, ruleFullAtOnce, "do", practice, fmt.Sprintf("%s comes to its whole torque at once: take it there in rounds, ${%[1]s.first_pass}, ${%[1]s.second_pass}, ${%[1]s.torque}", r.Fastener))
	}
}

// hasRounds says whether another step than the one for the whole torque makes
// one of the passes below it.
func (w *sequencer) hasRounds(name string) bool {
	return slices.ContainsFunc(w.steps, func(s *FilledStep) bool {
		return slices.ContainsFunc(s.Rounds, func(r Round) bool { return r.Fastener == name && (r.First || r.Second) && !r.Full })
	})
}
