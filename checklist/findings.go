package checklist

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
type document struct {
	file    string
	src     string
	lines   []int32 // offset of the start of every line
	root    *place
	located bool // positions are known
}

func newDocument(file, src string) *document {
	d := &document{file: file, src: src, lines: make([]int32, 1, 64)}
	for i := 0; i < len(src); i++ {
		if src[i] == '\n' {
			d.lines = append(d.lines, int32(i+1))
		}
	}
	return d
}

// line is the number of the line, from 1, in which an offset lies.
func (d *document) line(offset int) int {
	return sort.Search(len(d.lines), func(i int) bool { return int(d.lines[i]) > offset })
}

// place fills in lines and columns, from 1, of diagnostics that are sorted by
// offset. The column counts characters; a byte order mark is none. Every
// character is counted once, however many diagnostics stand in one long line.
func (d *document) place(list Diagnostics) {
	at, column := 0, 1
	if strings.HasPrefix(d.src, byteOrderMark) {
		at = len(byteOrderMark)
	}
	line := 1
	for i := range list {
		if !list[i].located {
			continue
		}
		offset := max(list[i].start, at)
		if n := d.line(offset); n != line {
			line, at, column = n, int(d.lines[n-1]), 1
		}
		column += utf8.RuneCountInString(d.src[at:offset])
		at = offset
		list[i].Line, list[i].Column = line, column
	}
}

// findings collects what a check has to say about one document.
type findings struct {
	doc  *document
	list Diagnostics
	// setting is the setting whose given value is being looked at; what is said
	// about it belongs to the value and to no line of the file.
	setting string
	// muted drops everything said: what is looked at has been, or will be,
	// reported where it stands.
	muted bool
}

// maxFindings is where a check gives up: nobody reads more, and a hostile file
// could hold a mistake in every line.
const (
	maxFindings = 1000
	maxKept     = 20 * maxFindings // before sorting
)

// at says something about the stretch s of the document, or, where that is not
// known, about the place p by its path.
func (f *findings) at(severity check.Severity, rule string, p *place, s span, message, suggestion string) {
	if f.muted {
		return
	}
	// Everything quoted from the file is clean already; this is the last fence.
	message, _ = clean(message, false)
	suggestion, _ = clean(suggestion, false)
	setting, _ := clean(f.setting, false)
	d := Diagnostic{
		File: f.doc.file, Severity: severity, Rule: rule, Path: p.path(), Setting: setting,
		Message: message, Suggestion: suggestion,
	}
	if f.doc.located && s.known() && f.setting == "" {
		d.located, d.src, d.start, d.end = true, f.doc.src, int(s.start), int(s.end)
	}
	if len(f.list) < maxKept {
		f.list = append(f.list, d)
	}
}

// suggest is didYouMean, until so much is wrong that looking for every word
// would take its time.
func (f *findings) suggest(word string, candidates []string) string {
	if len(f.list) > 100 {
		return ""
	}
	return didYouMean(word, candidates)
}

// source says where the rule behind the last thing said comes from.
func (f *findings) source(source string) {
	if n := len(f.list); n > 0 && !f.muted {
		f.list[n-1].Source, _ = clean(source, false)
	}
}

// key says something about the name of a key, value about what it holds.
func (f *findings) key(severity check.Severity, rule string, p *place, message, suggestion string) {
	s := span{}
	if p != nil {
		s = p.key
	}
	f.at(severity, rule, p, s, message, suggestion)
}

func (f *findings) value(severity check.Severity, rule string, p *place, message, suggestion string) {
	s := span{}
	if p != nil {
		if s = p.value; !s.known() {
			s = p.key
		}
	}
	f.at(severity, rule, p, s, message, suggestion)
}

// offset orders diagnostics: the place in the text, -1 where it is not known.
func (d *Diagnostic) offset() int {
	if d.located {
		return d.start
	}
	return -1
}

// sorted is everything found, in the order of the file; what has no place
// comes first. At one place the gravest comes first. Repetitions are said once.
func (f *findings) sorted() Diagnostics {
	slices.SortStableFunc(f.list, func(a, b Diagnostic) int {
		return cmp.Or(cmp.Compare(a.offset(), b.offset()), cmp.Compare(b.Severity.Gravity(), a.Severity.Gravity()))
	})
	list := slices.CompactFunc(f.list, func(a, b Diagnostic) bool {
		return a.offset() == b.offset() && a.Rule == b.Rule && a.Message == b.Message && a.Path == b.Path
	})
	if len(list) > maxFindings {
		worst := list.Worst()
		list = append(list[:maxFindings:maxFindings], Diagnostic{
			File: f.doc.file, Severity: worst, Rule: ruleLimit,
			Message: "more than 1000 findings; the rest is not listed",
		})
	}
	f.doc.place(list)
	return list
}

// also says where the first of two stands, if that is known.
func (f *findings) also(first *place) string {
	if first == nil || !f.doc.located || !first.value.known() {
		return ""
	}
	line := f.doc.line(int(first.value.start))
	return fmt.Sprintf("; the first is in line %d", line)
}
