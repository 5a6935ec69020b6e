package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// table is one decoded table being read: each get takes a key, and done says
// what was left over.
type table struct {
	f    *source.Reporter
	kind string // description of its keys, see Keys
	what string // how messages call it: "a step", "the setting rod"
	m    map[string]any
	at   *source.Place
	used int
}

func (t *table) get(name string) (any, *source.Place) {
	v, ok := t.m[name]
	if !ok {
		return nil, nil
	}
	t.used++
	return v, t.at.Field(name)
}

// meant is get for tables, also where the key is misspelt so little that it is plain
// which was meant: done reports the key, and what stands under it is read all the
// same, or every name in it would be reported as unknown wherever it is used.
func (t *table) meant(name string) (any, *source.Place) {
	if v, p := t.get(name); v != nil {
		return v, p
	}
	if p := t.misspelt(name); p != nil {
		return t.m[p.Name], p
	}
	return nil, nil
}

// misspelt is the key that stands in the place of the table of that name; nil
// where there is none.
func (t *table) misspelt(name string) *source.Place {
	for _, p := range t.at.Fields {
		switch t.m[p.Name].(type) {
		case map[string]any, []map[string]any:
			if known := t.known(); !slices.Contains(known, p.Name) && len(t.f.List) <= 100 && source.Nearest(p.Name, known) == name {
				return p
			}
		}
	}
	return nil
}

// known are the keys that such a table has.
func (t *table) known() (names []string) {
	for _, k := range Keys(t.kind) {
		names = append(names, k.Name)
	}
	return names
}

// done reports the keys that nobody asked for.
func (t *table) done() {
	if t.used == len(t.m) {
		return
	}
	known := t.known()
	for _, p := range t.at.Fields {
		if !slices.Contains(known, p.Name) {
			t.f.Key(check.Stop, source.RuleUnknownKey, p, fmt.Sprintf("%s has no key %s", t.what, source.Shown(p.Name)), t.f.Suggest(p.Name, known))
		}
	}
}

// missing reports a key that must be there.
func (t *table) missing(name string) {
	k, _ := describe(t.kind, name)
	suggestion := k.Example
	if suggestion == "" && len(k.Words) > 0 {
		suggestion = t.f.Suggest("", k.Words)
	} else if suggestion == "" {
		suggestion = "add: " + name + " = ..."
	}
	t.f.Value(check.Stop, source.RuleMissingKey, t.at, fmt.Sprintf("%s needs the key `%s`: %s", t.what, name, source.LowerFirst(strings.TrimSuffix(k.About, "."))), suggestion)
}

func (t *table) wrong(p *source.Place, name string, v any, want string) {
	t.f.Value(check.Stop, source.RuleWrongType, p, fmt.Sprintf("`%s` is %s; it takes %s", name, typeName(v), want), "")
}

// text reads a text of several lines.
func (t *table) text(name string) string { return t.string(name, true, source.MaxText) }

// line reads a text of one line.
func (t *table) line(name string) string { return t.string(name, false, source.MaxLine) }

func (t *table) string(name string, lines bool, most int) string {
	v, p := t.get(name)
	if v == nil {
		return ""
	}
	s, ok := v.(string)
	if !ok {
		t.wrong(p, name, v, "a text in quotes")
		return ""
	}
	return t.f.Clean(s, p, name, lines, most)
}

// needed reads a text of one line that must be there and not be empty.
func (t *table) needed(name string) string {
	if _, ok := t.m[name]; !ok {
		t.missing(name)
		return ""
	}
	s := t.line(name)
	t.notEmpty(name, s)
	return s
}

// neededText is needed for a text of several lines.
func (t *table) neededText(name string) string {
	if _, ok := t.m[name]; !ok {
		t.missing(name)
		return ""
	}
	s := t.text(name)
	t.notEmpty(name, s)
	return s
}

func (t *table) notEmpty(name, s string) {
	if _, isText := t.m[name].(string); isText && strings.TrimSpace(s) == "" {
		t.f.Value(check.Stop, source.RuleEmpty, t.at.Field(name), fmt.Sprintf("`%s` is empty", name), "")
	}
}

// scalar reads a text of one line; a number, true or false stands for the text
// a person would write: 4, yes, no.
func (t *table) scalar(name string) (string, bool) {
	v, p := t.get(name)
	switch v := v.(type) {
	case nil:
		return "", false
	case string:
		return source.PlainValue(t.f.Clean(v, p, name, false, source.MaxLine)), true
	case int64:
		return strconv.FormatInt(v, 10), true
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.f.Value(check.Stop, source.RuleWrongType, p, fmt.Sprintf("`%s` is no number", name), "")
			return "", false
		}
		return strconv.FormatFloat(v, 'f', -1, 64), true
	case bool:
		if v {
			return "yes", true
		}
		return "no", true
	}
	t.wrong(p, name, v, "a text in quotes or a number")
	return "", false
}

// opt is scalar where an empty text says the same as none.
func (t *table) opt(name string) string {
	s, _ := t.scalar(name)
	return s
}

// requiredScalar is scalar for a key that must be there.
func (t *table) requiredScalar(name string) string {
	s, _ := t.scalar(name)
	if _, ok := t.m[name]; !ok {
		t.missing(name)
	} else if s == "" {
		t.notEmpty(name, s)
	}
	return s
}

// word reads a text that must be one of a list of words.
func (t *table) word(name string, words []string, needed bool) string {
	if _, ok := t.m[name]; !ok {
		if needed {
			t.missing(name)
		}
		return ""
	}
	s := t.line(name)
	if _, isText := t.m[name].(string); !isText {
		return ""
	}
	if slices.Contains(words, s) {
		return s
	}
	t.f.Value(check.Stop, source.RuleUnknownWord, t.at.Field(name), fmt.Sprintf("%s is no %s of %s", source.Shown(s), name, source.Article(t.kind)), t.f.Suggest(s, words))
	return ""
}

// name reads an identifier that must be there.
func (t *table) name(name string) string {
	s := t.needed(name)
	if s != "" {
		t.f.CheckName(s, t.at.Field(name), false)
	}
	return s
}

// lines reads a list of texts.
func (t *table) lines(name string, lines bool) []string {
	list, _ := t.list(name, lines)
	return list
}

// list is lines; the second answer tells an empty list from no list.
func (t *table) list(name string, lines bool) ([]string, bool) {
	v, p := t.get(name)
	most := source.MaxLine
	if lines {
		most = source.MaxText
	}
	switch v := v.(type) {
	case nil:
		return nil, false
	case []any:
		if len(v) > source.MaxList {
			t.f.Value(check.Stop, source.RuleLimit, p, fmt.Sprintf("`%s` has %d entries, at most %d are read", name, len(v), source.MaxList), "")
			v = v[:source.MaxList]
		}
		list := make([]string, 0, len(v))
		for i, entry := range v {
			s, ok := entry.(string)
			if !ok {
				t.wrong(p.Item(i), name, entry, "texts in quotes")
				continue
			}
			if s = t.f.Clean(s, p.Item(i), name, lines, most); !lines {
				s = source.PlainValue(s)
			}
			if strings.TrimSpace(s) == "" {
				t.f.Value(check.Stop, source.RuleEmpty, p.Item(i), fmt.Sprintf("an entry of `%s` is empty", name), "")
			}
			list = append(list, s)
		}
		return list, true
	}
	if text, isText := v.(string); isText {
		t.f.Value(check.Stop, source.RuleWrongType, p, fmt.Sprintf("`%s` is a text; it takes a list", name), "["+source.Quote(text)+"]")
		return []string{t.f.Clean(text, p, name, lines, most)}, true
	}
	t.wrong(p, name, v, "a list of texts: [\"...\", \"...\"]")
	return nil, true
}

// joined is a list of words as one text. An entry that a setting fills in may be
// several of them.
func (t *table) joined(name, with string) string {
	list := t.lines(name, false)
	for i, word := range list {
		if words := strings.FieldsFunc(word, func(r rune) bool { return r == ',' || r == '/' || with == " " && r == ' ' }); len(words) > 1 && !strings.Contains(word, "${") {
			for j := range words {
				words[j] = source.Quote(strings.TrimSpace(words[j]))
			}
			t.f.Value(check.Stop, source.RuleWrongType, t.at.Field(name).Item(i), source.Shown(word)+" is several words; each is an entry of its own", "["+strings.Join(words, ", ")+"]")
		}
	}
	return strings.Join(list, with)
}

// filled is line for a key that may be left out but not left empty.
func (t *table) filled(name string) string {
	s := t.line(name)
	t.notEmpty(name, s)
	return s
}

// entries reads a list of texts, each alone or as { text = "...", when = [...] }.
// The second answer holds their conditions, nil where no entry has any.
func (t *table) entries(name string) ([]string, [][]Condition) {
	v, p := t.get(name)
	var items []any
	switch v := v.(type) {
	case nil:
		return nil, nil
	case []any:
		items = v
	case []map[string]any:
		for _, m := range v {
			items = append(items, m)
		}
	default:
		list, _ := t.list(name, true) // which says what is wrong
		t.used--
		return list, nil
	}
	if len(items) > source.MaxList {
		t.f.Value(check.Stop, source.RuleLimit, p, fmt.Sprintf("`%s` has %d entries, at most %d are read", name, len(items), source.MaxList), "")
		items = items[:source.MaxList]
	}
	list := make([]string, 0, len(items))
	var when [][]Condition
	for i, entry := range items {
		switch entry := entry.(type) {
		case string:
			s := t.f.Clean(entry, p.Item(i), name, true, source.MaxText)
			if strings.TrimSpace(s) == "" {
				t.f.Value(check.Stop, source.RuleEmpty, p.Item(i), fmt.Sprintf("an entry of `%s` is empty", name), "")
			}
			list = append(list, s)
		case map[string]any:
			e := &table{f: t.f, kind: "entry", what: "an entry of " + name, m: entry, at: p.Item(i)}
			list = append(list, e.neededText("text"))
			if when == nil {
				when = make([][]Condition, len(items))
			}
			when[len(list)-1] = e.when()
			e.done()
		default:
			t.wrong(p.Item(i), name, entry, "texts in quotes, or { text = \"...\", when = [\"...\"] }")
		}
	}
	return list, when
}

// tables reads an array of tables.
func (t *table) tables(name string, most int, each func(map[string]any, *source.Place)) {
	v, p := t.meant(name)
	switch v := v.(type) {
	case nil:
	case []map[string]any:
		for i, m := range v[:min(len(v), most)] {
			each(m, p.Item(i))
		}
		t.tooMany(name, p, len(v), most)
	case []any:
		for i, entry := range v[:min(len(v), most)] {
			if m, ok := entry.(map[string]any); ok {
				each(m, p.Item(i))
			} else {
				t.wrong(p.Item(i), name, entry, "tables: { ... }")
			}
		}
		t.tooMany(name, p, len(v), most)
	default:
		t.wrong(p, name, v, "a list of tables: [{ ... }], or [["+name+"]]")
	}
}

func (t *table) tooMany(name string, p *source.Place, n, most int) {
	if n > most {
		t.f.Value(check.Stop, source.RuleLimit, p, fmt.Sprintf("`%s` stands %d times, at most %d are read", name, n, most), "")
	}
}

// named reads a table of named tables, in the order of the file.
func (t *table) named(name string, most int, each func(string, map[string]any, *source.Place)) {
	v, p := t.meant(name)
	if v == nil {
		return
	}
	m, ok := v.(map[string]any)
	if !ok {
		t.wrong(p, name, v, fmt.Sprintf("tables with names: [%s.some-name]", name))
		return
	}
	if len(m) > most {
		t.f.Value(check.Stop, source.RuleLimit, p, fmt.Sprintf("`%s` has %d entries, at most %d are read", name, len(m), most), "")
	}
	for i, child := range p.Fields {
		if i == most {
			return
		}
		inner, ok := m[child.Name].(map[string]any)
		if !ok {
			t.f.Value(check.Stop, source.RuleWrongType, child, fmt.Sprintf("%s is %s; it takes a table", source.Shown(child.Name), typeName(m[child.Name])),
				fmt.Sprintf("[%s.%s]", name, child.Name))
			continue
		}
		t.f.CheckName(child.Name, child, true)
		name, _ := source.Clean(child.Name, false)
		each(name, inner, child)
	}
}

func typeName(v any) string {
	switch v.(type) {
	case string:
		return "a text"
	case int64, float64:
		return "a number"
	case bool:
		return "true or false without quotes"
	case time.Time:
		return "a date"
	case map[string]any:
		return "a table"
	case []any, []map[string]any:
		return "a list"
	}
	return "something else"
}
