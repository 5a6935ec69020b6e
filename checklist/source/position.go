package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// The TOML parser tells no position for any key, and the ones in its errors
// about repeated tables belong to the last repetition. So the text is walked a
// second time by the small scanner below, which knows nothing of values and
// only notes where each key and value stands. Its sequence of keys must be the
// parser's own; where the two differ in anything all positions are dropped, and
// a diagnostic names the path instead. A wrong line is worse than none.

// span is a stretch of the source, in bytes; end 0 means not known.
type Span struct{ Start, End int32 }

func (s Span) Known() bool { return s.End > 0 }

// place is one key of the document: what it is called, where its name and its
// value stand, and what lies under it.
type Place struct {
	parent *Place
	Name   string // of a key; empty for an item of an array
	index  int32  // of an item of an array, from 0
	Key    Span
	Value  Span
	Fields []*Place // of a table, in the order of the file
	Items  []*Place // of an array
	byName map[string]*Place
}

// A table of few keys is searched, a larger one gets a map.
const searchedFields = 16

func (p *Place) Field(name string) *Place {
	if p == nil {
		return nil
	}
	if p.byName != nil {
		return p.byName[name]
	}
	for _, f := range p.Fields {
		if f.Name == name {
			return f
		}
	}
	return nil
}

func (p *Place) Item(i int) *Place {
	if p == nil || i < 0 || i >= len(p.Items) {
		return nil
	}
	return p.Items[i]
}

func (p *Place) add(child *Place) {
	child.parent = p
	p.Fields = append(p.Fields, child)
	if p.byName != nil {
		p.byName[child.Name] = child
	} else if len(p.Fields) > searchedFields {
		p.byName = make(map[string]*Place, 2*len(p.Fields))
		for _, f := range p.Fields {
			p.byName[f.Name] = f
		}
	}
}

// path is how the place is called in words: settings.rod.default,
// stage[2].step[4].needs. Items count from 1, as people do.
func (p *Place) Path() string {
	if p == nil || p.parent == nil {
		return ""
	}
	outer := p.parent.Path()
	if p.Name == "" && p.parent.isArray() {
		return fmt.Sprintf("%s[%d]", outer, p.index+1)
	}
	name, _ := Clean(toml.Key{p.Name}.String(), false)
	if outer == "" {
		return name
	}
	return outer + "." + name
}

func (p *Place) isArray() bool { return len(p.Items) > 0 }

// locate builds the places of a document that the parser has accepted. keys is
// the parser's own list of keys. The second answer says whether positions are
// known; without them the places still carry names and order.
func Locate(src string, root map[string]any, keys []toml.Key) (*Place, bool) {
	s := scanner{src: src, keys: keys, root: &Place{}}
	if s.document() && s.next == len(keys) && same(s.root, root) {
		return s.root, true
	}
	return placesOf(root, keys), false
}

// same says whether the places have the same shape as the decoded document.
func same(p *Place, value any) bool {
	switch v := value.(type) {
	case map[string]any:
		if len(p.Fields) != len(v) {
			return false
		}
		for _, f := range p.Fields {
			inner, ok := v[f.Name]
			if !ok || !same(f, inner) {
				return false
			}
		}
		return true
	case []map[string]any:
		if len(p.Items) != len(v) {
			return false
		}
		for i, item := range p.Items {
			if !same(item, v[i]) {
				return false
			}
		}
		return true
	case []any:
		if len(p.Items) != len(v) {
			return false
		}
		for i, item := range p.Items {
			if !same(item, v[i]) {
				return false
			}
		}
		return true
	}
	return len(p.Fields) == 0 && len(p.Items) == 0
}

// placesOf builds places without positions from the decoded document, with the
// keys of tables in the order in which the parser met them first.
func placesOf(root map[string]any, keys []toml.Key) *Place {
	order := make(map[string]int, len(keys))
	for i, key := range keys {
		for n := 1; n <= len(key); n++ {
			name := key[:n].String()
			if _, met := order[name]; !met {
				order[name] = i
			}
		}
	}
	top := &Place{}
	fillPlaces(top, root, nil, order)
	return top
}

func fillPlaces(p *Place, value any, path toml.Key, order map[string]int) {
	switch v := value.(type) {
	case map[string]any:
		for _, name := range keysInOrder(v, path, order) {
			child := &Place{Name: name}
			p.add(child)
			fillPlaces(child, v[name], append(path[:len(path):len(path)], name), order)
		}
	case []map[string]any:
		for i := range v {
			child := &Place{parent: p, index: int32(i)}
			p.Items = append(p.Items, child)
			fillPlaces(child, v[i], path, order)
		}
	case []any:
		for i := range v {
			child := &Place{parent: p, index: int32(i)}
			p.Items = append(p.Items, child)
			fillPlaces(child, v[i], path, order)
		}
	}
}

// keysInOrder are the keys of a table in the order in which the parser met them.
func keysInOrder(m map[string]any, path toml.Key, order map[string]int) []string {
	names := make([]string, 0, len(m))
	at := make(map[string]int, len(m))
	for name := range m {
		names = append(names, name)
		at[name] = order[append(path[:len(path):len(path)], name).String()]
	}
	slices.SortFunc(names, func(a, b string) int {
		return cmp.Or(cmp.Compare(at[a], at[b]), strings.Compare(a, b))
	})
	return names
}

// scanner walks TOML text that a parser has accepted. It gives up (false) at
// anything it does not expect.
type scanner struct {
	src  string
	at   int
	keys []toml.Key // the parser's
	next int        // how many of them have been met
	root *Place

	names []string // the key under way: table, then key, then inner key
	slab  []Place  // places are made many at a time
}

func (s *scanner) place(name string, key Span) *Place {
	if len(s.slab) == 0 {
		s.slab = make([]Place, 256)
	}
	p := &s.slab[0]
	s.slab = s.slab[1:]
	p.Name, p.Key = name, key
	return p
}

// met notes that the key in names stands here, and says whether the parser met
// the same key at this turn.
func (s *scanner) met() bool {
	if s.next >= len(s.keys) {
		return false
	}
	key := s.keys[s.next]
	s.next++
	if len(key) != len(s.names) {
		return false
	}
	for i := range key {
		if key[i] != s.names[i] {
			return false
		}
	}
	return true
}

func (s *scanner) document() bool {
	if strings.HasPrefix(s.src, ByteOrderMark) {
		s.at = len(ByteOrderMark)
	}
	table := s.root
	var path []string // of the table under way
	for {
		s.blank(true)
		switch {
		case s.at >= len(s.src):
			return true
		case s.src[s.at] == '[':
			var ok bool
			if table, path, ok = s.header(path[:0]); !ok {
				return false
			}
		default:
			s.names = append(s.names[:0], path...)
			if !s.pair(table) {
				return false
			}
		}
		s.blank(false)
		if s.at < len(s.src) && s.src[s.at] != '\n' && s.src[s.at] != '\r' {
			return false
		}
	}
}

const ByteOrderMark = "\uFEFF"

// blank passes over spaces and comments, and over line ends too where lines is true.
func (s *scanner) blank(lines bool) {
	for s.at < len(s.src) {
		switch c := s.src[s.at]; {
		case c == ' ' || c == '\t':
			s.at++
		case (c == '\n' || c == '\r') && lines:
			s.at++
		case c == '#':
			for s.at < len(s.src) && s.src[s.at] != '\n' {
				s.at++
			}
		default:
			return
		}
	}
}

// header reads [a.b] or [[a.b]] and answers the table it opens and its path.
func (s *scanner) header(path []string) (*Place, []string, bool) {
	start := s.at
	s.at++
	array := s.at < len(s.src) && s.src[s.at] == '['
	if array {
		s.at++
	}
	table := s.root
	var last *Place
	for {
		s.blank(false)
		name, at, ok := s.name()
		if !ok {
			return nil, nil, false
		}
		path = append(path, name)
		s.blank(false)
		child := table.Field(name)
		if child == nil {
			child = s.place(name, at)
			table.add(child)
		}
		if s.at < len(s.src) && s.src[s.at] == '.' {
			s.at++
			if n := len(child.Items); n > 0 {
				child = child.Items[n-1]
			}
			table = child
			continue
		}
		if !child.Key.Known() {
			child.Key = at
		}
		last = child
		if array {
			item := s.place("", at)
			item.parent, item.index = child, int32(len(child.Items))
			child.Items = append(child.Items, item)
			last = item
		}
		break
	}
	for range 2 {
		if s.at >= len(s.src) || s.src[s.at] != ']' {
			return nil, nil, false
		}
		s.at++
		if !array {
			break
		}
	}
	if last.Value = (Span{int32(start), int32(s.at)}); array && !last.parent.Value.Known() {
		last.parent.Value = last.Value
	}
	s.names = append(s.names[:0], path...)
	return last, path, s.met()
}

// pair reads key = value into table; names holds the path of the table and is
// left as it was found.
func (s *scanner) pair(table *Place) bool {
	depth := len(s.names)
	var child *Place
	for {
		s.blank(false)
		name, at, ok := s.name()
		if !ok {
			return false
		}
		s.names = append(s.names, name)
		child = table.Field(name)
		if child == nil {
			child = s.place(name, at)
			table.add(child)
		}
		s.blank(false)
		if s.at >= len(s.src) {
			return false
		}
		if s.src[s.at] == '.' {
			s.at++
			table = child
			continue
		}
		if s.src[s.at] != '=' || child.Value.Known() {
			return false
		}
		s.at++
		break
	}
	// A dotted key is one key to the parser: table and full name.
	ok := s.met()
	s.blank(false)
	ok = ok && s.value(child)
	s.names = s.names[:depth]
	return ok
}

// value reads one value into p.
func (s *scanner) value(p *Place) bool {
	start := s.at
	if s.at >= len(s.src) {
		return false
	}
	ok := true
	switch s.src[s.at] {
	case '[':
		s.at++
		ok = s.array(p)
	case '{':
		s.at++
		ok = s.table(p)
	case '"', '\'':
		s.at = stringEnd(s.src, s.at)
		ok = s.at >= 0
	default:
		// A number, a date or a word ends where a value can end; a date may
		// hold one space, before its time.
		for s.at < len(s.src) && !strings.ContainsRune(",]}#\r\n", rune(s.src[s.at])) {
			s.at++
		}
		end := s.at
		for end > start && (s.src[end-1] == ' ' || s.src[end-1] == '\t') {
			end--
		}
		ok = end > start
		p.Value = Span{int32(start), int32(end)}
		return ok
	}
	if !ok {
		return false
	}
	p.Value = Span{int32(start), int32(s.at)}
	return true
}

func (s *scanner) array(p *Place) bool {
	for {
		s.blank(true)
		if s.at >= len(s.src) {
			return false
		}
		if s.src[s.at] == ']' {
			s.at++
			return true
		}
		item := s.place("", Span{})
		item.parent, item.index = p, int32(len(p.Items))
		p.Items = append(p.Items, item)
		if !s.value(item) {
			return false
		}
		item.Key = item.Value
		s.blank(true)
		if s.at < len(s.src) && s.src[s.at] == ',' {
			s.at++
		} else if s.at >= len(s.src) || s.src[s.at] != ']' {
			return false
		}
	}
}

func (s *scanner) table(p *Place) bool {
	for {
		s.blank(true)
		if s.at >= len(s.src) {
			return false
		}
		if s.src[s.at] == '}' {
			s.at++
			return true
		}
		if !s.pair(p) {
			return false
		}
		s.blank(true)
		if s.at < len(s.src) && s.src[s.at] == ',' {
			s.at++
		} else if s.at >= len(s.src) || s.src[s.at] != '}' {
			return false
		}
	}
}

// name reads one part of a key.
func (s *scanner) name() (string, Span, bool) {
	start := s.at
	if s.at >= len(s.src) {
		return "", Span{}, false
	}
	if c := s.src[s.at]; c == '"' || c == '\'' {
		end := stringEnd(s.src, s.at)
		if end < 0 {
			return "", Span{}, false
		}
		s.at = end
		text := s.src[start+1 : end-1]
		if c == '"' && strings.Contains(text, `\`) {
			var ok bool
			if text, ok = unescape(text); !ok {
				return "", Span{}, false
			}
		}
		return text, Span{int32(start), int32(end)}, true
	}
	for s.at < len(s.src) && isBareKeyByte(s.src[s.at]) {
		s.at++
	}
	return s.src[start:s.at], Span{int32(start), int32(s.at)}, s.at > start
}

func isBareKeyByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_' || c == '-'
}

// stringEnd is the offset after the string that starts at src[at], in any of
// TOML's four forms, or -1 where it does not end.
func stringEnd(src string, at int) int {
	quote := src[at]
	if triple := strings.Repeat(string(quote), 3); strings.HasPrefix(src[at:], triple) {
		for i := at + 3; i < len(src); i++ {
			switch {
			case src[i] == '\\' && quote == '"':
				i++
			case strings.HasPrefix(src[i:], triple):
				// One or two more quotes belong to the string itself.
				end := i + 3
				for n := 0; n < 2 && end < len(src) && src[end] == quote; n++ {
					end++
				}
				return end
			}
		}
		return -1
	}
	for i := at + 1; i < len(src); i++ {
		switch src[i] {
		case '\n':
			return -1
		case '\\':
			if quote == '"' {
				i++
			}
		case quote:
			return i + 1
		}
	}
	return -1
}

// unescape undoes the escapes of a basic string. It answers false for an
// escape that TOML does not know.
func unescape(text string) (string, bool) {
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size, ok := unescapeRune(text[i:])
		if !ok {
			return "", false
		}
		b.WriteRune(r)
		i += size
	}
	return b.String(), true
}

// unescapeRune reads one character or escape at the start of text.
func unescapeRune(text string) (r rune, size int, ok bool) {
	if text[0] != '\\' {
		r, size = utf8.DecodeRuneInString(text)
		return r, size, true
	}
	if len(text) < 2 {
		return 0, 0, false
	}
	digits := 0
	switch text[1] {
	case 'b':
		return '\b', 2, true
	case 't':
		return '\t', 2, true
	case 'n':
		return '\n', 2, true
	case 'f':
		return '\f', 2, true
	case 'r':
		return '\r', 2, true
	case 'e':
		return '\x1b', 2, true
	case '"', '\\':
		return rune(text[1]), 2, true
	case 'x':
		digits = 2
	case 'u':
		digits = 4
	case 'U':
		digits = 8
	default:
		return 0, 0, false
	}
	if len(text) < 2+digits {
		return 0, 0, false
	}
	for _, c := range []byte(text[2 : 2+digits]) {
		switch {
		case c >= '0' && c <= '9':
			r = r<<4 | rune(c-'0')
		case c|0x20 >= 'a' && c|0x20 <= 'f':
			r = r<<4 | rune(c|0x20-'a'+10)
		default:
			return 0, 0, false
		}
	}
	return r, 2 + digits, true
}
