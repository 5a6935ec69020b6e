package source

import (
	"cmp"
	"fettle/threads/check"
	"fmt"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"
)

// document is the text of a procedure with the places of its keys.
type Document struct {
	File    string
	Src     string
	lines   []int32 // offset of the start of every line
	Root    *Place
	Located bool // positions are known
}

func NewDocument(file, src string) *Document {
	d := &Document{File: file, Src: src, lines: make([]int32, 1, 64)}
	for i := 0; i < len(src); i++ {
		if src[i] == '\n' {
			d.lines = append(d.lines, int32(i+1))
		}
	}
	return d
}

// line is the number of the line, from 1, in which an offset lies.
func (d *Document) line(offset int) int {
	return sort.Search(len(d.lines), func(i int) bool { return int(d.lines[i]) > offset })
}

// place fills in lines and columns, from 1, of diagnostics that are sorted by
// offset. The column counts characters; a byte order mark is none. Every
// character is counted once, however many diagnostics stand in one long line.
func (d *Document) place(list Diagnostics) {
	at, column := 0, 1
	if strings.HasPrefix(d.Src, ByteOrderMark) {
		at = len(ByteOrderMark)
	}
	line := 1
	for i := range list {
		if !list[i].Located {
			continue
		}
		offset := max(list[i].Start, at)
		if n := d.line(offset); n != line {
			line, at, column = n, int(d.lines[n-1]), 1
		}
		column += utf8.RuneCountInString(d.Src[at:offset])
		at = offset
		list[i].Line, list[i].Column = line, column
	}
}

// findings collects what a check has to say about one document.
type Reporter struct {
	Doc  *Document
	List Diagnostics
	// setting is the setting whose given value is being looked at; what is said
	// about it belongs to the value and to no line of the file.
	Setting string
	// muted drops everything said: what is looked at has been, or will be,
	// reported where it stands.
	Muted bool
}

// maxFindings is where a check gives up: nobody reads more, and a hostile file
// could hold a mistake in every line.
const (
	MaxFindings = 1000
	maxKept     = 20 * MaxFindings // before sorting
)

// at says something about the stretch s of the document, or, where that is not
// known, about the place p by its path.
func (f *Reporter) At(severity check.Severity, rule string, p *Place, s Span, message, suggestion string) {
	if f.Muted {
		return
	}
	// Everything quoted from the file is clean already; this is the last fence.
	message, _ = Clean(message, false)
	suggestion, _ = Clean(suggestion, false)
	setting, _ := Clean(f.Setting, false)
	d := Diagnostic{
		File: f.Doc.File, Severity: severity, Rule: rule, Path: p.Path(), Setting: setting,
		Message: message, Suggestion: suggestion,
	}
	if f.Doc.Located && s.Known() && f.Setting == "" {
		d.Located, d.Src, d.Start, d.End = true, f.Doc.Src, int(s.Start), int(s.End)
	}
	if len(f.List) < maxKept {
		f.List = append(f.List, d)
	}
}

// suggest is didYouMean, until so much is wrong that looking for every word
// would take its time.
func (f *Reporter) Suggest(word string, candidates []string) string {
	if len(f.List) > 100 {
		return ""
	}
	return DidYouMean(word, candidates)
}

// source says where the rule behind the last thing said comes from.
func (f *Reporter) Source(source string) {
	if n := len(f.List); n > 0 && !f.Muted {
		f.List[n-1].Source, _ = Clean(source, false)
	}
}

// key says something about the name of a key, value about what it holds.
func (f *Reporter) Key(severity check.Severity, rule string, p *Place, message, suggestion string) {
	s := Span{}
	if p != nil {
		s = p.Key
	}
	f.At(severity, rule, p, s, message, suggestion)
}

func (f *Reporter) Value(severity check.Severity, rule string, p *Place, message, suggestion string) {
	s := Span{}
	if p != nil {
		if s = p.Value; !s.Known() {
			s = p.Key
		}
	}
	f.At(severity, rule, p, s, message, suggestion)
}

// offset orders diagnostics: the place in the text, -1 where it is not known.
func (d *Diagnostic) Offset() int {
	if d.Located {
		return d.Start
	}
	return -1
}

// sorted is everything found, in the order of the file; what has no place
// comes first. At one place the gravest comes first. Repetitions are said once.
func (f *Reporter) Sorted() Diagnostics {
	slices.SortStableFunc(f.List, func(a, b Diagnostic) int {
		return cmp.Or(cmp.Compare(a.Offset(), b.Offset()), cmp.Compare(b.Severity.Gravity(), a.Severity.Gravity()))
	})
	list := slices.CompactFunc(f.List, func(a, b Diagnostic) bool {
		return a.Offset() == b.Offset() && a.Rule == b.Rule && a.Message == b.Message && a.Path == b.Path
	})
	if len(list) > MaxFindings {
		worst := list.Worst()
		list = append(list[:MaxFindings:MaxFindings], Diagnostic{
			File: f.Doc.File, Severity: worst, Rule: RuleLimit,
			Message: "more than 1000 findings; the rest is not listed",
		})
	}
	f.Doc.place(list)
	return list
}

// AlsoAt says where the first of two stands, if that is known.
func (f *Reporter) AlsoAt(first *Place) string {
	if first == nil || !f.Doc.Located || !first.Value.Known() {
		return ""
	}
	line := f.Doc.line(int(first.Value.Start))
	return fmt.Sprintf("; the first is in line %d", line)
}
