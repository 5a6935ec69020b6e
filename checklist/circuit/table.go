package circuit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/threads/check"
)

// table is one decoded table being read. Every key that is asked for is known; done
// reports the others.
type table struct {
	r     *reader
	what  string // how messages call it: "the path glands"
	m     map[string]any
	at    *source.Place
	known []string
	lacks []lack
}

// lack is a key that must be there and is not.
type lack struct{ name, example string }

func (t *table) get(name string) (any, *source.Place) {
	t.known = append(t.known, name)
	v, ok := t.m[name]
	if !ok {
		return nil, nil
	}
	return v, t.at.Field(name)
}

func (t *table) has(name string) bool { _, ok := t.m[name]; return ok }

// done reports the keys that nobody asked for, and those that are missing. A key that
// is plainly a misspelt one of these is reported once.
func (t *table) done() {
	var meant []string
	for _, p := range t.at.Fields {
		if !slices.Contains(t.known, p.Name) {
			t.r.Key(check.Stop, source.RuleUnknownKey, p, fmt.Sprintf("%s has no key %s", t.what, source.Shown(p.Name)), t.r.Suggest(p.Name, t.known))
			meant = append(meant, source.Nearest(p.Name, t.known))
		}
	}
	for _, l := range t.lacks {
		if !slices.Contains(meant, l.name) {
			t.r.Value(check.Stop, source.RuleMissingKey, t.at, fmt.Sprintf("%s needs the key `%s`", t.what, l.name), l.example)
		}
	}
}

func (t *table) missing(name, example string) { t.lacks = append(t.lacks, lack{name, example}) }

func (t *table) wrong(p *source.Place, name, want string) {
	t.r.Value(check.Stop, source.RuleWrongType, p, fmt.Sprintf("`%s` takes %s", name, want), "")
}

// text reads a text that must be there; example says what to write where it is not.
func (t *table) text(name, example string) string {
	v, p := t.get(name)
	if v == nil {
		t.missing(name, example)
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.wrong(p, name, "a text in quotes")
		return ""
	}
	s = t.r.Clean(s, p, name, false, source.MaxLine)
	if strings.TrimSpace(s) == "" {
		t.r.Value(check.Stop, source.RuleEmpty, p, fmt.Sprintf("`%s` is empty", name), example)
	}
	return s
}

// word reads a text that must be one of the words, where it stands.
func (t *table) word(name string, words []string, needed bool) string {
	v, p := t.get(name)
	if v == nil {
		if needed {
			t.missing(name, "one of: "+strings.Join(words, ", "))
		}
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.wrong(p, name, "a text in quotes")
		return ""
	}
	s = t.r.Clean(s, p, name, false, source.MaxLine)
	if !slices.Contains(words, s) {
		t.r.Value(check.Stop, source.RuleUnknownWord, p, fmt.Sprintf("`%s` cannot be %s", name, source.Shown(s)), t.r.Suggest(s, words))
		return ""
	}
	return s
}

func (t *table) flag(name string) bool {
	v, p := t.get(name)
	if v == nil {
		return false
	}
	b, ok := v.(bool)
	if !ok {
		t.wrong(p, name, "true or false")
	}
	return b
}

// limits of a number: what it is, and the ends that it may reach.
type limits struct {
	low, high float64
	open      bool // the ends themselves are out of it
	what      string
}

var (
	aChance = limits{0, 1, false, "a chance: 0 to 1"}
	inside  = limits{0, 1, true, "a chance above 0 and below 1: nothing shows always, and what never shows is left out"}
	aShare  = limits{0, 1000, true, "parts of all cases: above 0 and below 1000"}
	aTime   = limits{0, 1440, false, "minutes: 0 to 1440"}
)

// number reads a number that must be there.
func (t *table) number(name string, l limits) float64 {
	v, p := t.get(name)
	if v == nil {
		t.missing(name, name+" = ..., "+l.what)
		return 0
	}
	return t.r.figure(v, p, name, l)
}

// numberOr reads a number that may be left out.
func (t *table) numberOr(name string, l limits) float64 {
	if !t.has(name) {
		t.known = append(t.known, name)
		return 0
	}
	return t.number(name, l)
}

func (r *reader) figure(v any, p *source.Place, name string, l limits) float64 {
	var n float64
	switch v := v.(type) {
	case int64:
		n = float64(v)
	case float64:
		n = v
	default:
		r.Value(check.Stop, source.RuleWrongType, p, fmt.Sprintf("`%s` takes a number without quotes", name), "")
		return 0
	}
	if math.IsNaN(n) || n < l.low || n > l.high || l.open && (n == l.low || n == l.high) {
		r.Value(check.Stop, source.RuleValue, p, fmt.Sprintf("`%s` is %v; it takes %s", name, n, l.what), "")
		return l.low
	}
	return n
}

// lines reads a list of texts.
func (t *table) lines(name string) []string {
	list, _ := t.list(name)
	return list
}

func (t *table) list(name string) (list []string, places []*source.Place) {
	v, p := t.get(name)
	if v == nil {
		return nil, nil
	}
	items, ok := v.([]any)
	if !ok {
		t.wrong(p, name, "a list of texts: [\"...\", \"...\"]")
		return nil, nil
	}
	if len(items) == 0 {
		t.r.Value(check.Stop, source.RuleEmpty, p, fmt.Sprintf("`%s` lists nothing", name), "leave the key out")
	}
	if len(items) > source.MaxList {
		t.r.Value(check.Stop, source.RuleLimit, p, fmt.Sprintf("`%s` has %d entries, at most %d are read", name, len(items), source.MaxList), "")
		items = items[:source.MaxList]
	}
	for i, item := range items {
		s, ok := item.(string)
		if !ok {
			t.wrong(p.Item(i), name, "texts in quotes")
			continue
		}
		s = t.r.Clean(s, p.Item(i), name, false, source.MaxLine)
		if strings.TrimSpace(s) == "" {
			t.r.Value(check.Stop, source.RuleEmpty, p.Item(i), fmt.Sprintf("an entry of `%s` is empty", name), "")
			continue
		}
		if slices.Contains(list, s) {
			t.r.Value(check.Stop, source.RuleDuplicate, p.Item(i), fmt.Sprintf("%s stands twice in `%s`", source.Shown(s), name), "")
			continue
		}
		list, places = append(list, s), append(places, p.Item(i))
	}
	return list, places
}

// names reads a list of names of one kind.
func (t *table) names(name string, kind string) []string {
	list, places := t.list(name)
	for i, s := range list {
		t.r.refer(kind, s, places[i])
	}
	return list
}

// inner opens a table under a key.
func (t *table) inner(name, what string) (*table, bool) {
	v, p := t.get(name)
	if v == nil {
		return nil, false
	}
	m, ok := v.(map[string]any)
	if !ok {
		t.wrong(p, name, "a table: "+name+" = { ... }")
		return nil, false
	}
	return &table{r: t.r, what: what, m: m, at: p}, true
}

// each reads a table of named tables, in the order of the file.
func (t *table) each(kind string, most int, read func(name string, t *table)) {
	all, ok := t.inner(kind+"s", "")
	if !ok {
		return
	}
	if len(all.at.Fields) > most {
		t.r.Value(check.Stop, source.RuleLimit, all.at, fmt.Sprintf("`%ss` has %d entries, at most %d are read", kind, len(all.at.Fields), most), "")
	}
	for _, p := range all.at.Fields[:min(most, len(all.at.Fields))] {
		name, _ := source.Clean(p.Name, false)
		t.r.CheckName(name, p, true)
		t.r.places[kind] = append(t.r.places[kind], named{name, p})
		m, ok := all.m[p.Name].(map[string]any)
		if !ok {
			t.r.Value(check.Stop, source.RuleWrongType, p, fmt.Sprintf("%s takes a table", source.Shown(name)), fmt.Sprintf("[%ss.%s]", kind, name))
			continue
		}
		inner := &table{r: t.r, what: "the " + kind + " " + name, m: m, at: p}
		read(name, inner)
		inner.done()
	}
}
