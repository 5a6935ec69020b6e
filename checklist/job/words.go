package job

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist"
	"fettle/checklist/source"
)

// What a step says can be wrong although its file is not: it names a part that this
// job does not have, or a name lost its ${} and stands in the text as it is. Nobody
// works by such a text without asking.

// stepWords are the names in the instruction of a step.
type stepWords struct {
	parts []string // ${part.figure}
	lost  []string // {name}, $part.figure
}

// wordsOf finds the names in every step of a procedure; steps without any are left
// out.
func wordsOf(proc *checklist.Procedure) map[string]stepWords {
	known, parts := map[string]bool{}, map[string]bool{}
	for _, s := range proc.Settings {
		known[s.Name] = true
	}
	for _, f := range proc.Figures {
		known[f.Name] = true
	}
	for _, p := range proc.Fasteners {
		parts[p.Name] = true
	}
	for _, p := range proc.Seals {
		parts[p.Name] = true
	}
	for _, p := range proc.Tests {
		parts[p.Name] = true
	}
	words := map[string]stepWords{}
	for _, stage := range proc.Stages {
		for _, step := range stage.Steps {
			var w stepWords
			text := step.Title + "\n" + step.Do
			refs, _ := source.References(text)
			for _, r := range refs {
				if parts[r.Name] && !slices.Contains(w.parts, r.Name) {
					w.parts = append(w.parts, r.Name)
				}
			}
			for _, at := range source.LostNames(text, func(name, figure string) bool { return known[name] && figure == "" || parts[name] && figure != "" }) {
				w.lost = append(w.lost, strings.TrimSuffix(text[at.Start:at.End], "}"))
			}
			if len(w.parts)+len(w.lost) > 0 {
				words[step.ID] = w
			}
		}
	}
	return words
}

// wordGates shut a step whose instruction is not to be worked by as it stands.
func (g *gating) wordGates(step *checklist.FilledStep, add addGate) {
	words, ok := g.j.words[step.ID]
	if !ok || step.Added {
		return
	}
	for _, name := range words.parts {
		for _, parts := range [][]checklist.FilledPart{g.seen.filled.Fasteners, g.seen.filled.Seals, g.seen.filled.Tests} {
			if p, ok := partOf(parts, name); ok && !p.Applies {
				add(RuleAbsent, GateWords, false, fmt.Sprintf("ask: it names %s, which this job does not have. Ask whoever wrote it what is meant", p.Label), name)
			}
		}
	}
	for _, lost := range words.lost {
		add(RuleLostName, GateWords, false, fmt.Sprintf("ask: it says %s, which lost what stands for a figure. Ask whoever wrote it what is meant", lost), lost)
	}
}
