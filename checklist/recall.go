package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"slices"
	"strings"
)

// ${reading.NAME} is what was read under that name in an earlier step: travel
// before and after, blanks on and blanks off. While it has not been read, texts
// say so and limits made of it are none.

// recallWord stands before the name of a reading in ${...}; no part may have it
// for a name.
const recallWord = "reading"

// notReadText stands for a reading that has not been taken.
const notReadText = "not read yet"

// spot is where something stands in the order of the file: the step, counted
// from 0 (-1 before the first), and the reading in it (-1 for its texts).
type spot struct{ step, reading int }

// recalled is a reading that can be recalled.
type recalled struct {
	at      spot
	unit    *readingUnit
	choices []string
	times   int // how many readings have the name
}

// readingsByName finds every reading of the file.
func (x *filler) readingsByName() map[string]*recalled {
	if x.recalls != nil {
		return x.recalls
	}
	x.recalls = map[string]*recalled{}
	n := 0
	for i := range x.p.Stages {
		for j := range x.p.Stages[i].Steps {
			for k := range x.p.Stages[i].Steps[j].Readings {
				r := &x.p.Stages[i].Steps[j].Readings[k]
				if have := x.recalls[r.Name]; have != nil {
					have.times++
					continue
				}
				unit, _ := unitOf(r.Unit)
				x.recalls[r.Name] = &recalled{spot{n, k}, unit, r.Choices, 1}
			}
			n++
		}
	}
	return x.recalls
}

// recall is what stands for ${reading.name}.
func (x *filler) recall(name string, report reporter) (value, bool) {
	all := x.readingsByName()
	r := all[name]
	switch {
	case r == nil:
		names := make([]string, 0, len(all))
		for n := range all {
			names = append(names, n)
		}
		slices.Sort(names)
		return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("no step has a reading %s", source.Shown(name)), x.f.Suggest(name, names))
	case r.times > 1:
		return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%d readings are called %s; nobody can say which is meant", r.times, source.Shown(name)), "names of their own for them")
	case r.at.step > x.at.step || r.at.step == x.at.step && x.at.reading >= 0 && r.at.reading >= x.at.reading:
		return report(check.Stop, source.RuleFigure, fmt.Sprintf("the reading %s is taken later: here it is never known", name), "name it in a later step")
	case r.unit == nil:
		return value{text: "[" + name + "?]"}, false // reported where it stands
	}
	if x.recalling == nil {
		x.recalling = map[string]bool{}
	}
	x.recalling[name] = true
	unread := value{text: notReadText}
	if x.blanks {
		unread.text = Blank
	}
	raw := strings.TrimSpace(x.readings[name])
	if raw == "" {
		return unread, false
	}
	if r.unit.words {
		word, err := r.unit.word(raw, r.choices)
		if err != nil {
			return unread, false // what another device wrote may be anything
		}
		return value{raw: word, text: word}, true
	}
	v, err := r.unit.read(raw)
	if err != nil {
		return unread, false
	}
	return value{raw: exact(v) + r.unit.suffix, text: r.unit.print(v), number: v}, true
}

// checkRecalled reports a limit that is made of a reading in another kind of
// unit. Nothing else would say so before the reading is taken.
func (x *filler) checkRecalled(text string, at *source.Place, unit *readingUnit) {
	if !strings.Contains(text, recallWord+".") {
		return
	}
	refs, _ := source.References(text)
	for _, ref := range refs {
		r := x.readingsByName()[ref.Figure]
		if ref.Name != recallWord || r == nil || r.unit == nil || r.unit.name == unit.name {
			continue
		}
		if r.unit.parse != nil && unit.parse != nil && r.unit.settingKind()[0] == unit.settingKind()[0] {
			continue
		}
		x.f.At(check.Stop, source.RuleWrongType, at, x.within(at, text, ref.Start, ref.End),
			fmt.Sprintf("the reading %s is in %s and cannot be compared with one in %s", ref.Figure, r.unit.name, unit.name), "")
	}
}

// Recalls says whether any text or limit of the procedure names the reading in
// ${reading.NAME}: what [Procedure.FillMeasured] has to be told of beside the
// readings that replace settings.
func (p *Procedure) Recalls(reading string) bool { return p.recalls[reading] }
