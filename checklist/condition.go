package checklist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/threads/check"
)

// Condition is one line of a `when`: NAME = VALUE, or another comparison. All
// lines of a when must hold.
type Condition struct {
	Name  string // of a setting, a reading or a worked-out figure; part.figure of a part
	Is    string // one of =, !=, <, <=, >, >=
	Value string // several are told apart by " or "

	at *source.Place
}

var conditionForm = regexp.MustCompile(`^\s*([A-Za-z0-9_-]+(?:\.[a-z_]+)?)\s*(!=|<=|>=|=|<|>)\s*(.*?)\s*$`)

// when reads the conditions of a table.
func (t *table) when() []Condition {
	list, given := t.list("when", false)
	at := t.at.Field("when")
	if _, listed := t.m["when"].([]any); given && listed && len(list) == 0 {
		t.f.Value(check.Stop, source.RuleEmpty, at, "`when` says nothing", "leave it out, or: "+whenExample)
	}
	var conditions []Condition
	for i, text := range list {
		m := conditionForm.FindStringSubmatch(text)
		if _, listed := t.m["when"].([]any); m == nil && !listed {
			continue // that it is no list has been said
		}
		if m == nil || m[3] == "" || strings.ContainsAny(m[3][:1], "=<>!") {
			suggestion := whenExample
			if plain := strings.NewReplacer("===", "=", "==", "=", "=>", ">=", "=<", "<=", "<>", "!=").Replace(text); plain != text {
				suggestion = source.Quote(plain)
			}
			t.f.Value(check.Stop, source.RuleExpression, at.Item(i), source.Shown(text)+" is no condition: NAME = VALUE, or one of !=, <, <=, >, >=", suggestion)
			continue
		}
		c := Condition{Name: m[1], Is: m[2], Value: m[3], at: at.Item(i)}
		if c.at == nil {
			c.at = at
		}
		conditions = append(conditions, c)
	}
	return conditions
}

const whenExample = `when = ["sealing = packing", "clearance > 0.08 mm"]`

// values are the values of a condition in words; only a choice that has one of them
// by that very name keeps its " or ".
func (c Condition) values(choices []string) []string {
	if slices.Contains(choices, c.Value) {
		return []string{c.Value}
	}
	return strings.Split(c.Value, " or ")
}

// looks is where a condition may look.
type looks int

const (
	looksAnywhere looks = iota
	looksAtSettings
)

// checkWhen says what is wrong with conditions that does not depend on answers.
func (x *filler) checkWhen(conditions []Condition, l looks) {
	for _, c := range conditions {
		name, figure, dotted := strings.Cut(c.Name, ".")
		kind, choices := "", []string(nil)
		switch {
		case dotted:
			p := x.parts[name]
			if p == nil || l == looksAtSettings {
				x.f.Value(check.Stop, source.RuleUnknownName, c.at, fmt.Sprintf("there is no figure %s to look at here", source.Shown(c.Name)), x.f.Suggest(name, x.partNames()))
				continue
			}
			x.name(p)
			if !slices.Contains(figureNames(p.kind), figure) {
				x.f.Value(check.Stop, source.RuleUnknownName, c.at, fmt.Sprintf("%s has no figure %s", source.Article(p.kind), source.Shown(figure)), x.f.Suggest(figure, figureNames(p.kind)))
			}
			continue // what kind it is shows when it is worked out
		case x.answers[name] != nil:
			s := x.answers[name].setting
			kind, choices = s.Kind, s.Choices
		case l == looksAtSettings:
			x.f.Value(check.Stop, source.RuleUnknownName, c.at, fmt.Sprintf("there is no setting %s", source.Shown(name)), x.f.Suggest(name, x.p.settingNames()))
			continue
		default:
			var ok bool
			if kind, choices, ok = x.kindOf(name); !ok {
				x.f.Value(check.Stop, source.RuleUnknownName, c.at, fmt.Sprintf("there is no setting, reading or figure %s", source.Shown(name)), x.f.Suggest(name, x.allNames()))
				continue
			}
		}
		x.checkComparison(c, kind, choices)
	}
}

// checkComparison says whether a kind can be compared in that way with that value.
func (x *filler) checkComparison(c Condition, kind string, choices []string) {
	if kind == "" {
		return // reported where it stands
	}
	if numericKind(kind) {
		if _, err := parseValue(kind, c.Value, nil); err != nil {
			x.f.Value(check.Stop, source.RuleValue, c.at, fmt.Sprintf("%s is %s: %s", c.Name, source.Article(kind), source.PlainError(err)), "")
		}
		return
	}
	if c.Is != "=" && c.Is != "!=" {
		x.f.Value(check.Stop, source.RuleWrongType, c.at, fmt.Sprintf("%s is %s, and is neither more nor less than another; = and != suit it", c.Name, source.Article(kind)), "")
		return
	}
	for _, v := range c.values(choices) {
		switch kind {
		case "choice":
			if !slices.Contains(choices, v) && len(choices) > 0 && !slices.ContainsFunc(choices, func(c string) bool { return strings.Contains(c, "${") }) {
				x.f.Value(check.Stop, source.RuleUnknownWord, c.at, fmt.Sprintf("%s is never %s", c.Name, source.Shown(v)), x.f.Suggest(v, choices))
			}
		case "yes-no":
			if v != "yes" && v != "no" {
				x.f.Value(check.Stop, source.RuleUnknownWord, c.at, fmt.Sprintf("%s is yes or no, never %s", c.Name, source.Shown(v)), "")
			}
		case "text":
		case "photo":
			x.f.Value(check.Stop, source.RuleWrongType, c.at, fmt.Sprintf("%s is a photo, which nothing can be said about", c.Name), "")
		default:
			if _, err := parseValue(kind, v, choices); err != nil {
				x.f.Value(check.Stop, source.RuleValue, c.at, fmt.Sprintf("%s is %s: %s", c.Name, source.Article(kind), source.PlainError(err)), "")
			}
		}
	}
}

// unmet is why conditions do not hold, or "". What is not known yet is not false.
func (x *filler) unmet(conditions []Condition) string {
	because := ""
	for _, c := range conditions {
		v, kind, known := x.look(c)
		if !known || because != "" {
			continue
		}
		if !holds(c, v, kind) {
			because = fmt.Sprintf("%s is %s", c.Name, v.text)
		}
	}
	return because
}

// look is what a condition looks at.
func (x *filler) look(c Condition) (v value, kind string, known bool) {
	name, figure, dotted := strings.Cut(c.Name, ".")
	if dotted {
		p := x.parts[name]
		if p == nil {
			return value{}, "", false
		}
		p.ready()
		f, ok := p.find(figure)
		raw, _, _ := strings.Cut(f.Text, " (")
		if kind = kindOfUnit(f.Unit); kind == "number" {
			if _, err := parseNumber(raw); err != nil {
				kind = "text"
			}
		}
		return value{raw: raw, text: f.Text, number: f.Value}, kind, ok
	}
	if a := x.answer(name); a != nil {
		x.used[name] = true
		return a.value, a.setting.Kind, a.known()
	}
	if x.asking > 0 {
		return value{}, "", false // a question hangs on settings alone; reported by checkWhen
	}
	return x.taken(name, c.at)
}

// holds compares what is known with the value of a condition.
func holds(c Condition, v value, kind string) bool {
	if !numericKind(kind) {
		same := slices.ContainsFunc(c.values([]string{v.raw}), func(want string) bool {
			if want == v.raw || want == v.text {
				return true
			}
			w, err := parseValue(kind, want, nil)
			return err == nil && kind != "choice" && kind != "text" && w.text == v.text
		})
		return same == (c.Is == "=")
	}
	want, err := parseValue(kind, c.Value, nil)
	if err != nil {
		return true // reported where it stands
	}
	d := v.number - want.number
	near := closeEnough(want.number)
	switch c.Is {
	case "=":
		return d <= near && d >= -near
	case "!=":
		return d > near || d < -near
	case "<":
		return d < -near
	case "<=":
		return d <= near
	case ">":
		return d > near
	}
	return d >= -near
}

// kindOfUnit is the kind of a figure by its unit; "text" for words.
func kindOfUnit(unit string) string {
	for _, u := range readingUnits {
		if u.name == unit && u.suffix != "" {
			return u.kind
		}
	}
	if unit == "" {
		return "number"
	}
	return "text"
}
