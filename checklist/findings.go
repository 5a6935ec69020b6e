package checklist

import (
	"cmp"
	"slices"
	"sort"
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

// position turns an offset into a line and a column, both from 1. The column
// counts characters; a byte order mark is none.
func (d *document) position(offset int) (line, column int) {
	line = sort.Search(len(d.lines), func(i int) bool { return int(d.lines[i]) > offset })
	start := int(d.lines[line-1])
	if start == 0 && len(d.src) >= len(byteOrderMark) && d.src[:len(byteOrderMark)] == byteOrderMark {
		start = min(len(byteOrderMark), offset)
	}
	return line, utf8.RuneCountInString(d.src[start:offset]) + 1
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
const maxFindings = 1000

// at says something about the stretch s of the document, or, where that is not
// known, about the place p by its path.
func (f *findings) at(severity Severity, rule string, p *place, s span, message, suggestion string) {
	if f.muted {
		return
	}
	// Everything quoted from the file is clean already; this is the last fence.
	message, _ = clean(message, false)
	suggestion, _ = clean(suggestion, false)
	d := Diagnostic{
		File: f.doc.file, Severity: severity, Rule: rule, Path: p.path(), Setting: f.setting,
		Message: message, Suggestion: suggestion,
	}
	if f.doc.located && s.known() && f.setting == "" {
		d.Line, d.Column = f.doc.position(int(s.start))
		d.src, d.start, d.end = f.doc.src, int(s.start), int(s.end)
	}
	f.list = append(f.list, d)
}

// source says where the rule behind the last thing said comes from.
func (f *findings) source(source string) {
	if n := len(f.list); n > 0 && !f.muted {
		f.list[n-1].Source, _ = clean(source, false)
	}
}

// key says something about the name of a key, value about what it holds.
func (f *findings) key(severity Severity, rule string, p *place, message, suggestion string) {
	s := span{}
	if p != nil {
		s = p.key
	}
	f.at(severity, rule, p, s, message, suggestion)
}

func (f *findings) value(severity Severity, rule string, p *place, message, suggestion string) {
	s := span{}
	if p != nil {
		if s = p.value; !s.known() {
			s = p.key
		}
	}
	f.at(severity, rule, p, s, message, suggestion)
}

// sorted is everything found, in the order of the file; what has no place
// comes first, gravest first. Repetitions are said once.
func (f *findings) sorted() Diagnostics {
	slices.SortStableFunc(f.list, func(a, b Diagnostic) int {
		return cmp.Or(
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column),
			cmp.Compare(b.Severity.rank(), a.Severity.rank()),
		)
	})
	list := slices.CompactFunc(f.list, func(a, b Diagnostic) bool {
		return a.Line == b.Line && a.Column == b.Column && a.Rule == b.Rule && a.Message == b.Message && a.Path == b.Path
	})
	if len(list) > maxFindings {
		list = append(list[:maxFindings:maxFindings], Diagnostic{
			File: f.doc.file, Severity: list.Worst(), Rule: "limit",
			Message: "more than 1000 findings; the rest is not listed",
		})
	}
	return list
}
