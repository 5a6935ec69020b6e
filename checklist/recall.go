package checklist

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/threads/check"
)

// ${name} of a reading is what was read under that name in an earlier step: travel
// before and after, blanks on and blanks off. While it has not been read, texts say
// so and limits made of it are none.

// notReadText stands for a reading that has not been taken.
const notReadText = "not read yet"

// spot is where something stands in the order of the file: the step, counted
// from 0 (-1 before the first), and the reading in it (-1 for its texts).
type spot struct{ step, reading int }

// recalled is a reading that can be recalled.
type recalled struct {
	reading *Reading
	at      spot
	unit    *readingUnit
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
				unit, _ := unitFor(r.Kind, r.Unit)
				x.recalls[r.Name] = &recalled{r, spot{n, k}, unit, 1}
				if r.Sets != "" {
					if x.setters == nil {
						x.setters = map[string][]*recalled{}
					}
					x.setters[r.Sets] = append(x.setters[r.Sets], x.recalls[r.Name])
				}
			}
			n++
		}
	}
	return x.recalls
}

// setBy are the readings that replace a setting.
func (x *filler) setBy(setting string) []*recalled {
	x.readingsByName()
	return x.setters[setting]
}

// kindOf is the kind of a reading or a worked-out figure.
func (x *filler) kindOf(name string) (kind string, choices []string, ok bool) {
	if w := x.worked[name]; w != nil {
		x.workOut(w)
		if w.wrong {
			return "", nil, true
		}
		kind, ok = w.amount.kindOf()
		return kind, nil, ok
	}
	r := x.readingsByName()[name]
	if r == nil {
		return "", nil, false
	}
	return r.reading.Kind, r.reading.Choices, true
}

// allNames are the names that ${...}, a condition and a sum may use.
func (x *filler) allNames() []string {
	names := x.p.settingNames()
	for _, f := range x.p.Figures {
		names = append(names, f.Name)
	}
	var readings []string
	for n := range x.readingsByName() {
		readings = append(readings, n)
	}
	slices.Sort(readings)
	return append(names, readings...)
}

// later says why a reading is never known where something stands; "" where it can be.
func (x *filler) later(r *recalled, inCondition bool) string {
	switch {
	case x.anywhere:
		return ""
	case r.at.step > x.at.step,
		r.at.step == x.at.step && x.at.reading >= 0 && r.at.reading >= x.at.reading,
		r.at.step == x.at.step && x.at.reading < 0 && inCondition:
		return fmt.Sprintf("the reading %s is taken later: here it is never known", r.reading.Name)
	}
	return ""
}

// needsRead notes that something hangs on a reading, so that a job hands it in.
func (x *filler) needsRead(name string) {
	if x.recalling == nil {
		x.recalling = map[string]bool{}
	}
	x.recalling[name] = true
}

// recall is what stands for ${name} of a reading or of a worked-out figure.
func (x *filler) recall(name string, report reporter) (value, bool) {
	if w := x.worked[name]; w != nil {
		return x.recallWorkedOut(w, report)
	}
	r := x.readingsByName()[name]
	switch {
	case r.times > 1:
		return report(check.Stop, source.RuleUnknownName, fmt.Sprintf("%d readings are called %s; nobody can say which is meant", r.times, source.Shown(name)), "names of their own for them")
	case x.later(r, false) != "":
		return report(check.Stop, source.RuleFigure, x.later(r, false), "name it in a later step")
	case r.unit == nil:
		return value{text: "[" + name + "?]"}, false // reported where it stands
	case r.reading.several() && r.reading.Takes == "":
		return report(check.Stop, source.RuleFigure, fmt.Sprintf("%s is read several times, and nothing says which figure counts", name), `takes = "smallest", or smallest(`+name+`) in [figures]`)
	}
	return x.recalled(name, r)
}

func (x *filler) recallWorkedOut(w *workedOut, report reporter) (value, bool) {
	x.workOut(w)
	if w.wrong {
		return value{text: "[" + w.of.Name + "?]"}, false
	}
	for _, name := range w.readings {
		x.needsRead(name)
		if late := x.later(x.readingsByName()[name], false); late != "" && !x.isSetBy(name) {
			return report(check.Stop, source.RuleFigure, fmt.Sprintf("%s hangs on a reading: %s", w.of.Name, late), "name it in a later step")
		}
	}
	f := w.figure(x)
	if !f.Known {
		return value{text: f.Text}, false
	}
	return value{raw: exact(f.Value) + w.unit.suffix, text: f.Text, number: w.amount.v}, true
}

// isSetBy reports whether a reading replaces a setting: what hangs on it is known
// before, from the answer.
func (x *filler) isSetBy(reading string) bool { return x.readingsByName()[reading].reading.Sets != "" }

// recalled is what was read, and of several the one that counts.
func (x *filler) recalled(name string, r *recalled) (value, bool) {
	x.needsRead(name)
	unread := value{text: notReadText}
	if x.blanks {
		unread.text = Blank
	}
	list, ok := x.allTaken(name, r)
	if !ok {
		return unread, false
	}
	v := list[0]
	if len(list) > 1 {
		numbers := make([]float64, len(list))
		for i := range list {
			numbers[i], _ = r.unit.read(list[i].raw)
		}
		taken := takenOf(r.reading.Takes, numbers)
		v = value{raw: exact(taken) + r.unit.suffix, text: r.unit.print(taken)}
		if base, err := parseValue(r.reading.Kind, v.raw, nil); err == nil {
			v.number = base.number
		}
	}
	return v, true
}

// allTaken is everything that was read under a name.
func (x *filler) allTaken(name string, r *recalled) ([]value, bool) {
	x.needsRead(name)
	raw := strings.TrimSpace(x.readings[name])
	if raw == "" || r.unit == nil {
		return []value{{}}, false
	}
	parts := []string{raw}
	if r.reading.several() {
		parts = splitTaken(raw)
	}
	list := make([]value, len(parts))
	for i, part := range parts {
		if r.unit.words {
			word, err := r.unit.word(part, x.lines(r.reading.Choices, nil))
			if err != nil {
				return []value{{}}, false // what another device wrote may be anything
			}
			list[i] = value{raw: word, text: word}
			continue
		}
		v, err := r.unit.read(part)
		if err != nil {
			return []value{{}}, false
		}
		list[i] = value{raw: exact(v) + r.unit.suffix, text: r.unit.print(v), number: v}
		if base, err := parseValue(r.unit.kind, list[i].raw, nil); err == nil {
			list[i].number = base.number
		}
	}
	return list, true
}

// taken is what a condition looks at: a reading or a worked-out figure.
func (x *filler) taken(name string, at *source.Place) (value, string, bool) {
	var late string
	if w := x.worked[name]; w != nil {
		x.workOut(w)
		for _, r := range w.readings {
			x.needsRead(r)
			if late == "" && !x.isSetBy(r) {
				late = x.later(x.readingsByName()[r], true)
			}
		}
		if late != "" {
			x.f.Value(check.Stop, source.RuleFigure, at, late, "look at it in a later step")
		}
		if w.wrong || !w.ok {
			return value{}, "", false
		}
		kind, _ := w.amount.kindOf()
		return value{text: w.figure(x).Text, number: w.amount.v}, kind, true
	}
	r := x.readingsByName()[name]
	switch {
	case r == nil:
		return value{}, "", false // reported by checkWhen
	case r.times > 1:
		late = fmt.Sprintf("%d readings are called %s; nobody can say which is meant", r.times, source.Shown(name))
	case r.reading.several() && r.reading.Takes == "":
		late = fmt.Sprintf("%s is read several times, and nothing says which figure counts", name)
	default:
		late = x.later(r, true)
	}
	if late != "" {
		x.f.Value(check.Stop, source.RuleFigure, at, late, "")
		return value{}, "", false
	}
	v, ok := x.recalled(name, r)
	return v, r.reading.Kind, ok
}

// checkRecalled reports a limit that is made of a reading or a figure of another
// kind. Nothing else would say so before the reading is taken.
func (x *filler) checkRecalled(text string, at *source.Place, unit *readingUnit) {
	if !strings.Contains(text, "${") {
		return
	}
	refs, _ := source.References(text)
	for _, ref := range refs {
		if ref.Figure != "" || x.answers[ref.Name] != nil {
			continue
		}
		kind, _, ok := x.kindOf(ref.Name)
		if !ok || kind == "" || kind == unit.kind || !numericKind(unit.kind) && kind == unit.kind {
			continue
		}
		if r := x.readingsByName()[ref.Name]; r != nil && r.unit != nil && r.unit.parse == nil && unit.parse == nil && !r.unit.words && !unit.words {
			continue // both are bare numbers
		}
		x.f.At(check.Stop, source.RuleWrongType, at, x.within(at, text, ref.Start, ref.End),
			fmt.Sprintf("%s is %s and cannot be compared with %s", ref.Name, source.Article(kind), source.Article(unit.kind)), "")
	}
}

// Recalls reports whether any text, limit, condition or sum of the procedure names
// the reading: what [Procedure.FillMeasured] has to be told of beside the readings
// that replace settings.
func (p *Procedure) Recalls(reading string) bool { return p.recalls[reading] }

// Sets is the setting that readings of that name replace; empty for none.
func (p *Procedure) Sets(reading string) string {
	if r := p.reading(reading); r != nil {
		return r.Sets
	}
	return ""
}

// Taken is the one figure that counts of what was typed for a reading.
func (p *Procedure) Taken(reading, typed string) string {
	r := p.reading(reading)
	if r == nil || !r.several() {
		return typed
	}
	return FilledReading{Kind: r.Kind, Unit: r.Unit, Takes: r.Takes, Times: len(splitTaken(typed))}.Taken(typed)
}

// reading is the first reading of that name, nil where there is none.
func (p *Procedure) reading(name string) *Reading {
	for i := range p.Stages {
		for j := range p.Stages[i].Steps {
			for k := range p.Stages[i].Steps[j].Readings {
				if r := &p.Stages[i].Steps[j].Readings[k]; r.Name == name {
					return r
				}
			}
		}
	}
	return nil
}
