package source

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"fettle/threads/check"
)

// A text that is no TOML is read on behind each mistake of writing: the line is read as
// it was probably meant, or passed over. Every mistake is reported in its own place;
// what only follows from it is not (see [Reporter.echo]).

// Repair is a stretch of the text as it was written, and what to write there.
type Repair struct {
	From, To int
	Text     string
}

// mostRepairs is how many mistakes of writing are read past. It bounds the time too:
// the whole text is parsed once for each.
const (
	mostRepairs  = 60
	mostReparsed = 64 << 20 // bytes
)

// lost is a line that was passed over.
type lost struct {
	heading int // offset of the heading that it stands under; -1 for none
	text    string
}

// Recover reads the text of f.Doc, which the parser refuses with err. f.Doc is then the
// text as it was read. It answers false where nothing can be made of it.
func (f *Reporter) Recover(err error) (root map[string]any, keys []toml.Key, ok bool) {
	doc := f.Doc
	doc.Located = true
	var edits []Copied
	defer func() {
		if !ok {
			f.Doc = doc
		}
	}()
	for n := 0; err != nil; n++ {
		if !f.Syntax(err) || n == mostRepairs || n*len(doc.Src) > mostReparsed {
			return nil, nil, false
		}
		d := &f.List[len(f.List)-1]
		next, fits := f.repair(doc, d, edits)
		if !fits {
			return nil, nil, false
		}
		edits = next
		f.Doc = doc.With(edits)
		f.Doc.Located = true
		root, keys, err = Decode(f.Doc.Src)
	}
	return root, keys, true
}

// repair adds an edit that lets the parser past a mistake, and says in the diagnostic
// what was probably meant.
func (f *Reporter) repair(doc *Document, d *Diagnostic, edits []Copied) ([]Copied, bool) {
	if !d.Located {
		return nil, false
	}
	start, end := doc.lineAt(d.Start)
	line := doc.Src[start:end]
	at := slices.IndexFunc(edits, func(e Copied) bool { return e.From <= end && e.To >= start })
	put := func(r Repair) []Copied {
		c := Copied{From: r.From, To: r.To, Text: r.Text, At: Span{int32(d.Start), int32(d.End)}}
		next := append(slices.Clone(edits), c)
		slices.SortFunc(next, func(a, b Copied) int { return a.From - b.From })
		return next
	}
	if at >= 0 {
		// What was made of the line does not do: it is passed over. A line that is
		// passed over already is at fault for nothing.
		if edits[at].Text == "" && edits[at].From == start {
			return nil, false
		}
		edits = slices.Delete(slices.Clone(edits), at, at+1)
		f.pass(doc, start, line)
		return put(Repair{start, end, ""}), true
	}
	if strings.HasSuffix(d.Message, "stands twice") && strings.HasPrefix(strings.TrimSpace(line), "[") {
		// The whole table is passed over, or all its keys would stand twice.
		for end < len(doc.Src) {
			from, to := doc.lineAt(end + 1)
			if from <= end || strings.HasPrefix(strings.TrimSpace(doc.Src[from:to]), "[") {
				break
			}
			end = to
		}
		f.pass(doc, start, doc.Src[start:end])
		return put(Repair{start, end, ""}), true
	}
	if strings.Contains(d.Message, inBrackets) {
		r := Repair{start, end, strings.Replace(line, strings.TrimSpace(line), "["+strings.TrimSpace(line)+"]", 1)}
		d.Fix = &r
		return put(r), true
	}
	if r, message := unclosed(doc, d); r != nil {
		d.Message, d.Fix = message, r
		if d.Suggestion = "close it with " + strings.TrimSpace(r.Text); r.Text == "," {
			d.Suggestion = "[\"one\", \"two\"]"
		}
		return put(*r), true
	}
	if fix, found := mend(line); found {
		d.Message = fix.says
		if d.Suggestion = strings.TrimSpace(fix.line); d.Suggestion == "" {
			d.Suggestion = "leave the line out"
		}
		r := Repair{start, end, fix.line}
		if fix.certain {
			d.Fix = &r
		}
		return put(r), true
	}
	f.pass(doc, start, line)
	return put(Repair{start, end, ""}), true
}

// pass notes a line that is passed over.
func (f *Reporter) pass(doc *Document, start int, line string) {
	f.Lost = append(f.Lost, lost{doc.headingBefore(start), line})
}

// lineAt is the line that holds an offset, without its end.
func (d *Document) lineAt(offset int) (start, end int) {
	offset = max(0, min(offset, len(d.Src)))
	start = strings.LastIndexByte(d.Src[:offset], '\n') + 1
	if start == 0 && strings.HasPrefix(d.Src, ByteOrderMark) {
		start = len(ByteOrderMark)
	}
	end = len(d.Src)
	if i := strings.IndexByte(d.Src[start:], '\n'); i >= 0 {
		end = start + i
	}
	if end > start && d.Src[end-1] == '\r' {
		end--
	}
	return start, max(start, end)
}

// headingBefore is where the heading begins under which an offset stands; -1 for none.
func (d *Document) headingBefore(offset int) int {
	for at := offset; at > 0; {
		start, end := d.lineAt(at - 1)
		if text := strings.TrimLeft(d.Src[start:end], " \t"); strings.HasPrefix(text, "[") && start < offset {
			return end - len(text)
		}
		at = start
	}
	return -1
}

// begins is a line with which something new begins: a heading or a key.
var begins = regexp.MustCompile(`^\s*(\[|[A-Za-z0-9_-]+\s*=)`)

// unclosed closes a list or a long text that runs into what comes behind it.
func unclosed(doc *Document, d *Diagnostic) (*Repair, string) {
	closer, message := "", d.Message
	switch {
	case strings.Contains(d.Message, `begins with """`):
		closer = `"""`
	case strings.Contains(d.Message, "begins with '''"):
		closer = "'''"
	case strings.HasPrefix(d.Message, "a list needs a comma"), d.Message == "the value is not understood":
		start, end := doc.lineAt(d.Start)
		open := openList(doc.Src, d.Start)
		if !begins.MatchString(doc.Src[start:end]) || open >= start {
			if d.Message == "the value is not understood" {
				return nil, ""
			}
			return missingComma(doc, d)
		}
		if open < 0 {
			return nil, ""
		}
		// The place to look at is where the list begins.
		at := lastWritten(doc, start)
		if at <= open {
			return nil, ""
		}
		d.Start, d.End = open, open+1
		return &Repair{at, at, "\n]"}, "a list does not end"
	default:
		return nil, ""
	}
	// A long text is closed before what looks like something new.
	_, last := doc.lineAt(d.Start)
	for at := last; at+1 < len(doc.Src); {
		start, end := doc.lineAt(at + 1)
		line := doc.Src[start:end]
		if start <= at || begins.MatchString(line) {
			break
		}
		if at = max(end, at+1); strings.TrimSpace(line) != "" {
			last = end
		}
	}
	d.End = max(d.End, d.Start+3)
	return &Repair{last, last, closer}, message
}

// missingComma puts a comma between two entries of a list.
func missingComma(doc *Document, d *Diagnostic) (*Repair, string) {
	start, _ := doc.lineAt(d.Start)
	at := d.Start
	if strings.TrimSpace(doc.Src[start:at]) == "" {
		at = lastWritten(doc, start)
	} else {
		at = start + len(strings.TrimRight(doc.Src[start:at], " \t"))
	}
	if at <= 0 || strings.IndexByte("\"']}", doc.Src[at-1]) < 0 || d.Start >= len(doc.Src) || strings.IndexByte("\"'[{", doc.Src[d.Start]) < 0 {
		return nil, ""
	}
	return &Repair{at, at, ","}, "a comma is missing between two entries of a list"
}

// lastWritten is the end of the last line before an offset that says something.
func lastWritten(doc *Document, before int) int {
	for at := before; at > 0; {
		start, end := doc.lineAt(at - 1)
		text, _, _ := strings.Cut(doc.Src[start:end], "#")
		if text = strings.TrimRight(text, " \t"); text != "" {
			return start + len(text)
		}
		if start == 0 {
			break
		}
		at = start
	}
	return -1
}

// openList is where the innermost list begins that is open at an offset; -1 for none.
func openList(src string, at int) int {
	bytes := []byte(src)
	var open []int
	for i := 0; i < at && i < len(bytes); i++ {
		switch bytes[i] {
		case '#':
			for i+1 < len(bytes) && bytes[i+1] != '\n' {
				i++
			}
		case '"', '\'':
			end, _ := quoted(bytes, i)
			i = max(i, end-1)
		case '[':
			open = append(open, i)
		case ']':
			if len(open) > 0 {
				open = open[:len(open)-1]
			}
		}
	}
	if len(open) == 0 {
		return -1
	}
	return open[len(open)-1]
}

// mended is a line as it was probably meant.
type mended struct {
	line    string
	says    string
	certain bool
}

// habit is a way of writing that comes from elsewhere.
type habit struct {
	says    string
	certain bool
	change  func(string) string // the line itself where it is none of this habit
}

var (
	afterColon   = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+)\s*:\s*(.*)$`)
	afterSigns   = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+)\s*(?:==|:=|=>|->)\s*(.*)$`)
	withoutSign  = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+)\s+(["'\[{].*)$`)
	wordsAlone   = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+)\s+([A-Za-z0-9][^="'\[\]{}]*)$`)
	roundValue   = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+\s*=\s*)\((.*)\)(\s*(?:#.*)?)$`)
	bracedTexts  = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+\s*=\s*)\{(\s*["'][^=]*)\}(\s*(?:#.*)?)$`)
	bareValue    = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+\s*=\s*)([^"'\[{#\s][^"'\[\]{}#]*?)(\s*(?:#.*)?)$`)
	openHeading  = regexp.MustCompile(`^(\s*)(\[{1,2})([^\[\]#]+)\]?\s*$`)
	endsInComma  = regexp.MustCompile(`^(\s*[A-Za-z0-9_-]+\s*=\s*.*["'\]}0-9a-z])\s*[,;]\s*$`)
	emptyValue   = regexp.MustCompile(`^\s*[A-Za-z0-9_-]+\s*=\s*$`)
	withBackward = regexp.MustCompile(`"([^"']*\\[^"']*)"`)
)

// habits are tried in this order.
var habits = [...]habit{
	{"a fence of backquotes comes from another kind of text", true, func(s string) string {
		if strings.HasPrefix(strings.TrimSpace(s), "```") {
			return ""
		}
		return s
	}},
	{"two versions of the file were put together here, and nobody chose", false, func(s string) string {
		for _, mark := range [...]string{"<<<<<<<", "=======", ">>>>>>>"} {
			if strings.HasPrefix(s, mark) {
				return ""
			}
		}
		return s
	}},
	{"a remark begins with #", true, remark},
	{"the quotes are those of a word processor", true, func(s string) string {
		return strings.NewReplacer("\u201c", `"`, "\u201d", `"`, "\u201e", `"`, "\u00ab", `"`, "\u00bb", `"`, "\u2018", "'", "\u2019", "'", "\u201a", "'").Replace(s)
	}},
	{"a blank is one that does not break", true, func(s string) string {
		return strings.NewReplacer("\u00a0", " ", "\u2007", " ", "\u202f", " ", "\u2009", " ").Replace(s)
	}},
	{"`=` stands between a key and its value", true, func(s string) string {
		return withoutSign.ReplaceAllString(afterColon.ReplaceAllString(afterSigns.ReplaceAllString(s, "$1 = $2"), "$1 = $2"), "$1 = $2")
	}},
	{"a list stands between [ and ]", true, func(s string) string {
		return bracedTexts.ReplaceAllString(roundValue.ReplaceAllString(s, "${1}[$2]$3"), "${1}[$2]$3")
	}},
	{"a value is the last thing on its line", true, func(s string) string { return endsInComma.ReplaceAllString(s, "$1") }},
	{"the heading is not closed", true, func(s string) string {
		m := openHeading.FindStringSubmatch(s)
		if m == nil {
			return s
		}
		return m[1] + m[2] + m[3] + strings.Repeat("]", len(m[2]))
	}},
	{"a text stands between quotes", true, func(s string) string {
		m := bareValue.FindStringSubmatch(s)
		if m == nil {
			return s
		}
		return m[1] + Quote(m[2]) + m[3]
	}},
	{"a backslash stands before a character that it does not go with", true, func(s string) string { return withBackward.ReplaceAllString(s, "'$1'") }},
	{"a text in quotes does not end", false, func(s string) string { return closed(s, `"`) }},
	{"a text in quotes does not end", false, func(s string) string { return closed(s, `'`) }},
	{"a bracket is not closed", false, func(s string) string { return brackets(s) }},
	{"`=` and quotes are missing", false, func(s string) string {
		m := wordsAlone.FindStringSubmatch(s)
		if m == nil {
			return s
		}
		return m[1] + " = " + Quote(strings.TrimSpace(m[2]))
	}},
	{"a value is missing", false, func(s string) string {
		if emptyValue.MatchString(s) {
			return ""
		}
		return s
	}},
}

// remark writes a remark of another kind of text with #.
func remark(s string) string {
	trimmed := strings.TrimLeft(s, " \t")
	for _, begin := range [...]string{"//", "--", ";", "/*", "%"} {
		if rest, ok := strings.CutPrefix(trimmed, begin); ok {
			return s[:len(s)-len(trimmed)] + "#" + rest
		}
	}
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '"', '\'':
			end, _ := quoted([]byte(s), i)
			i = max(i, end-1)
		case '#':
			return s
		case '/':
			if strings.HasPrefix(s[i:], "//") {
				return s[:i] + "#" + s[i+2:]
			}
		}
	}
	return s
}

// closed adds a quote before what ends a list or a table, or at the end of the line.
func closed(s, quote string) string {
	if strings.Count(s, quote)%2 == 0 {
		return s
	}
	body := strings.TrimRight(s, " \t,]}")
	return body + quote + s[len(body):]
}

// brackets closes what is open at the end of a line.
func brackets(s string) string {
	var open []byte
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '"', '\'':
			end, _ := quoted([]byte(s), i)
			i = max(i, end-1)
		case '#':
			i = len(s)
		case '[':
			open = append(open, ']')
		case '{':
			open = append(open, '}')
		case ']', '}':
			if len(open) == 0 || open[len(open)-1] != s[i] {
				return s
			}
			open = open[:len(open)-1]
		}
	}
	if len(open) == 0 || strings.Contains(s, "#") {
		return s
	}
	slices.Reverse(open)
	return strings.TrimRight(s, " \t") + " " + string(open)
}

// longestMended is how long a line may be that somebody guesses at.
const longestMended = 2000

// mend looks for the fewest habits that make a line one of TOML.
func mend(line string) (mended, bool) {
	if len(line) > longestMended {
		return mended{}, false
	}
	var tries = []mended{{line: line, certain: true}}
	met := map[string]bool{line: true}
	for range 3 {
		var next []mended
		for _, m := range tries {
			for _, h := range habits {
				made := mended{h.change(m.line), m.says, m.certain && h.certain}
				if met[made.line] {
					continue
				}
				met[made.line] = true
				if made.says == "" {
					made.says = h.says
				} else if !strings.Contains(made.says, h.says) {
					made.says += ", and " + h.says
				}
				if CheckLimits([]byte(made.line)) == nil {
					if _, _, err := Decode(made.line); err == nil {
						return made, true
					}
				}
				next = append(next, made)
			}
		}
		tries = next
	}
	return mended{}, false
}

// echo reports whether a diagnostic only follows from a line that was passed over: a
// key that may have stood in it, a name that it may have given.
func (f *Reporter) echo(d *Diagnostic) bool {
	for _, l := range f.Lost {
		switch d.Rule {
		case RuleMissingKey, RuleEmpty:
			if d.Located && d.Start == l.heading || !d.Located && l.heading < 0 {
				return true
			}
		case RuleUnknownName:
			if _, rest, ok := strings.Cut(d.Message, `"`); ok {
				if name, _, ok := strings.Cut(rest, `"`); ok && name != "" && strings.Contains(l.text, name) {
					return true
				}
			}
		}
	}
	return false
}

// Fixed is a text with the repairs that are certain put in, and how many there are.
func (ds Diagnostics) Fixed(src string) (string, int) {
	var list []*Repair
	for i := range ds {
		if r := ds[i].Fix; r != nil && !slices.ContainsFunc(list, func(o *Repair) bool { return r.From < o.To && o.From < r.To || *o == *r }) {
			list = append(list, r)
		}
	}
	slices.SortFunc(list, func(a, b *Repair) int { return b.From - a.From })
	for _, r := range list {
		src = src[:r.From] + r.Text + src[r.To:]
	}
	return src, len(list)
}

// Certain gives the diagnostic said last a repair that is certain: what stands at a
// place is replaced.
func (f *Reporter) Certain(s Span, text string) {
	if f.Muted || len(f.List) == 0 || !f.Doc.Located || !s.Known() {
		return
	}
	for d := f.Doc; d.original != nil; d = d.original {
		for _, c := range d.copied {
			if _, at := d.shown(s); at == c.At {
				return // it stands in a text that was put in
			}
		}
	}
	_, at := f.Doc.shown(s)
	f.List[len(f.List)-1].Fix = &Repair{int(at.Start), int(at.End), text}
}

// Second tells where the other place of the diagnostic said last is.
func (f *Reporter) Second(p *Place, message string) {
	if f.Muted || len(f.List) == 0 || p == nil || !f.Doc.Located || !p.Key.Known() {
		return
	}
	doc, at := f.Doc.shown(p.Key)
	list := Diagnostics{{File: f.Doc.File, Severity: check.Note, Message: message, Located: true, Src: doc.Src, Start: int(at.Start), End: int(at.End)}}
	doc.place(list)
	f.List[len(f.List)-1].Related = list
}

// EndPlace is the line and the column behind the end of a diagnostic, from 1; zeros
// where its place is not known.
func (d *Diagnostic) EndPlace() (line, column int) {
	if !d.Located {
		return 0, 0
	}
	list := Diagnostics{{Located: true, Src: d.Src, Start: d.End, End: d.End}}
	NewDocument(d.File, d.Src).place(list)
	return list[0].Line, list[0].Column
}

func (r Repair) String() string { return fmt.Sprintf("%d to %d: %q", r.From, r.To, r.Text) }
