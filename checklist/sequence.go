package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"strings"
)

// The rules about the order of work. They look at the steps that apply, with
// the steps each one needs, and not at the written order: a job lets a step be
// done as soon as what it needs is done.

// history is what has surely been done when a step can be begun.
type history struct {
	anyDryFit bool
	dryFit    partSet // parts fitted dry
	sealed    partSet // sealants put on that have to cure
	cured     partSet // ... and had their wait
	glued     partSet // fasteners put in with a sealant that has cured since
	awaiting  partSet // fasteners put in with a sealant
	first     partSet // fasteners that had their first pass
	second    partSet // ... and their second
}

func (h *history) join(other *history) {
	h.anyDryFit = h.anyDryFit || other.anyDryFit
	h.dryFit.join(other.dryFit)
	h.sealed.join(other.sealed)
	h.cured.join(other.cured)
	h.glued.join(other.glued)
	h.awaiting.join(other.awaiting)
	h.first.join(other.first)
	h.second.join(other.second)
}

// partSet is a set of fasteners and seals, by number.
type partSet [(3*source.MaxParts + 63) / 64]uint64

// A job can split parts until there are more than the file may have; those
// beyond are no member of any set.
func (s *partSet) add(i int) {
	if i < 64*len(s) {
		s[i/64] |= 1 << (i % 64)
	}
}

func (s *partSet) has(i int) bool { return i < 64*len(s) && s[i/64]&(1<<(i%64)) != 0 }

func (s *partSet) join(other partSet) {
	for i := range s {
		s[i] |= other[i]
	}
}

// sequence asks the rules about the order of work.
func (x *filler) sequence(out *Filled) {
	steps := out.Steps()
	if len(steps) == 0 {
		return
	}
	w := &sequencer{x: x, out: out, byID: make(map[string]int, len(steps)), steps: steps}
	for i, s := range steps {
		if _, twice := w.byID[s.ID]; !twice {
			w.byID[s.ID] = i
		}
		w.holds = w.holds || s.Hold != ""
	}
	w.number = map[string]int{}
	for i, name := range x.partNames() {
		w.number[name] = i
	}
	w.procedure()
	w.walk()
	w.idleWaits()
}

type sequencer struct {
	x      *filler
	out    *Filled
	steps  []*FilledStep
	byID   map[string]int
	number map[string]int
	holds  bool // some step is a hold point
}

// procedure asks the rules about the procedure as a whole.
func (w *sequencer) procedure() {
	p := w.x.p
	at := p.Preliminary.at
	if at == nil {
		at = p.doc.Root.Field("title")
	}
	pressure := false
	gland := ""
	for i := range p.Seals {
		part := w.x.parts[p.Seals[i].Name]
		if !part.used || !part.applies {
			continue
		}
		pressure = true
		if part.kind == "packing" && gland == "" {
			gland = part.name
		}
	}
	if pressure && len(p.Preliminary.Conditions) == 0 {
		w.report(check.Result{Rule: ruleNoConditions, Severity: check.Warn, Source: "common practice, no source",
			Message: "the procedure opens a boiler fitting and names no conditions: cold, drained, shown to be at zero pressure"}, p.Accept, at, at, "the procedure", "")
	}
	if gland != "" && !w.holds {
		part := w.x.parts[gland]
		w.report(check.Result{Rule: ruleGlandHold, Severity: check.Warn, Source: "a spindle that is not captive leaves its gland under pressure (common practice, no source)",
			Message: "no step holds the work before the gland is slackened"}, part.accept, part.at, part.at, "seal "+gland, "")
	}
}

// report is filler.report that also notes what was accepted.
func (w *sequencer) report(f check.Result, accept []Accept, table, at *source.Place, where, step string) {
	if because := w.x.report(f, table, at, accept); because != "" {
		a := Accepted{Rule: f.Rule, Message: f.Message, Because: because, Where: where, Source: f.Source, Step: step}
		w.out.Accepted = append(w.out.Accepted, a)
		if i, ok := w.byID[step]; ok && step != "" {
			w.steps[i].Accepted = append(w.steps[i].Accepted, a)
		}
	}
}

// walk goes through the steps, each after all that it needs. Steps in a circle
// are left out; the circle is reported elsewhere.
func (w *sequencer) walk() {
	waiting := make([]int, len(w.steps))
	after := make([][]int32, len(w.steps))
	for i, s := range w.steps {
		for _, need := range s.Needs {
			if j, ok := w.byID[need]; ok && j != i {
				waiting[i]++
				after[j] = append(after[j], int32(i))
			}
		}
	}
	before := make([]history, len(w.steps))
	var queue []int
	for i := range w.steps {
		if waiting[i] == 0 {
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		w.judge(i, before[i])
		done := before[i]
		w.do(i, &done)
		for _, j := range after[i] {
			before[j].join(&done)
			if waiting[j]--; waiting[j] == 0 {
				queue = append(queue, int(j))
			}
		}
	}
}

// idleWaits reports every wait that no other step comes after.
func (w *sequencer) idleWaits() {
	waited := make([]bool, len(w.steps))
	for i, s := range w.steps {
		for _, need := range s.Needs {
			if j, ok := w.byID[need]; ok && j != i {
				waited[j] = true
			}
		}
	}
	for i, s := range w.steps {
		if s.Wait == 0 || waited[i] {
			continue
		}
		raw := w.x.written[i]
		w.report(check.Result{Rule: ruleIdleWait, Severity: check.Warn, Source: practice,
			Message: "no step waits for this one, so nothing keeps work from going on at once: name it in the `after` of a step that must come later"},
			raw.Accept, raw.at, raw.at.Field("wait"), "step "+s.ID, s.ID)
	}
}

// uses are the parts a step uses, by number, with the part.
func (w *sequencer) uses(s *FilledStep, each func(int, *part)) {
	for _, name := range s.Uses {
		if p := w.x.parts[name]; p != nil {
			each(w.number[name], p)
		}
	}
}

// do adds to the history what a step does.
func (w *sequencer) do(i int, h *history) {
	s := w.steps[i]
	if s.Kind == "dry-fit" {
		h.anyDryFit = true
		w.uses(s, func(n int, _ *part) { h.dryFit.add(n) })
	}
	if s.Kind == "seal" {
		curing := false
		w.uses(s, func(n int, p *part) {
			if p.cures() {
				h.sealed.add(n)
				curing = true
			}
		})
		if curing {
			w.uses(s, func(n int, p *part) {
				if p.kind == "fastener" {
					h.awaiting.add(n)
				}
			})
		}
	}
	for _, r := range s.Rounds {
		n, ok := w.number[r.Fastener]
		if ok && r.First {
			h.first.add(n)
		}
		if ok && r.Second {
			h.second.add(n)
		}
	}
	if s.Wait > 0 {
		h.cured.join(h.sealed)
		h.glued.join(h.awaiting)
	}
}

// judge asks the rules about one step.
func (w *sequencer) judge(i int, h history) {
	s := w.steps[i]
	raw := w.x.written[i]
	report := func(severity check.Severity, rule, key, source, message string) {
		at := raw.at.Field(key)
		if at == nil {
			at = raw.at.Field("kind")
		}
		w.report(check.Result{Rule: rule, Severity: severity, Message: message, Source: source}, raw.Accept, raw.at, at, "step "+s.ID, s.ID)
	}
	switch s.Kind {
	case "seal":
		w.judgeDryFit(s, h, report)
	case "test":
		var fresh []string
		for n, name := range w.x.partNames() {
			if h.sealed.has(n) && !h.cured.has(n) {
				fresh = append(fresh, name)
			}
		}
		if len(fresh) > 0 {
			report(check.Stop, ruleTestBeforeCure, "after", "makers' cure times; common practice",
				"the test can begin before "+strings.Join(fresh, " and ")+" has had time to cure: no step with a `wait` lies between")
		}
	case "tighten":
		w.judgeRounds(s, h, report)
		w.uses(s, func(n int, p *part) {
			if p.kind == "fastener" && h.glued.has(n) {
				report(check.Stop, ruleTightenCured, "parts", "common practice, no source",
					fmt.Sprintf("%s is tightened after its sealant has cured: turning it breaks the seal", p.name))
			}
		})
	case "wait":
		if s.Wait == 0 && raw.Wait == "" {
			report(check.Stop, ruleNoTime, "kind", "", "a step that waits needs a `wait`: how long")
		}
	}
}

func (w *sequencer) judgeDryFit(s *FilledStep, h history, report func(check.Severity, string, string, string, string)) {
	const source = "common practice, no source"
	seals := 0
	w.uses(s, func(n int, p *part) {
		if p.kind == "fastener" {
			return
		}
		seals++
		if h.dryFit.has(n) {
			return
		}
		if w.fitsDry(p.name) {
			report(check.Stop, ruleDryFitFirst, "after", source, fmt.Sprintf("%s can be sealed before its dry fit: the dry fit is not among what the step needs", p.name))
		} else if !h.anyDryFit {
			report(check.Warn, ruleNoDryFit, "kind", source, fmt.Sprintf("%s is sealed without having been fitted dry", p.name))
		}
	})
	if seals == 0 && !h.anyDryFit {
		report(check.Warn, ruleNoDryFit, "kind", source, "the step seals without anything having been fitted dry")
	}
}

// fitsDry says whether any step fits a part dry.
func (w *sequencer) fitsDry(name string) bool {
	for _, s := range w.steps {
		if s.Kind != "dry-fit" {
			continue
		}
		for _, use := range s.Uses {
			if use == name {
				return true
			}
		}
	}
	return false
}

// cures says whether a seal is liquid at first and needs time.
func (p *part) cures() bool { return p.kind == "sealant" && p.anaerobic }
