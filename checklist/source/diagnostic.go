package source

import (
	"fettle/threads/check"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// Diagnostic is one thing a check has to say, and where.
type Diagnostic struct {
	File string
	// Line and Column count from 1, the column in characters. Both are 0 where
	// the place is not known: no place is better than a wrong one.
	Line, Column int
	Severity     check.Severity
	Rule         string // id of the rule, see [Rules]
	Message      string // one sentence, without a final full stop
	Suggestion   string // what to write instead; may be empty
	Source       string // where the rule comes from; empty for rules about the file

	// Path names the key in the file: settings.rod.default, stage[2].step[4].needs.
	Path string
	// Setting is the setting whose given value this is about; such a diagnostic
	// belongs to no line of the file.
	Setting string

	// Fix is what to write where, in the text as it is, where that is certain; nil for
	// nothing.
	Fix *Repair
	// Related is a second place that it is about; empty for none.
	Related Diagnostics

	Located    bool // the place is known: bytes of src
	Src        string
	Start, End int
}

// Diagnostics is everything a check found, in the order of the file.
type Diagnostics []Diagnostic

// HasStop says whether anything in it must be put right before work goes on.
func (ds Diagnostics) HasStop() bool { return ds.Worst() == check.Stop }

// Unreadable reports whether something in the text was no TOML, so that it was read
// past or passed over.
func (ds Diagnostics) Unreadable() bool {
	return slices.ContainsFunc(ds, func(d Diagnostic) bool { return d.Rule == RuleUnreadable })
}

// HasMistake says whether anything in it is a [Diagnostic.Mistake].
func (ds Diagnostics) HasMistake() bool { return slices.ContainsFunc(ds, Diagnostic.Mistake) }

// Mistake says that the file, or an answer to it, does not say what it means, so that
// figures have no value. A stop of the trade's rules is none: its figures are right,
// and what they stand for is wrong.
func (d Diagnostic) Mistake() bool { return d.Severity == check.Stop && ofTheFile(d.Rule) }

// Worst is the gravest word in it, or "" where nothing was found.
func (ds Diagnostics) Worst() check.Severity {
	worst := check.Severity("")
	for _, d := range ds {
		if d.Severity.Gravity() > worst.Gravity() {
			worst = d.Severity
		}
	}
	return worst
}

// WriteText writes every diagnostic for a person and for an editor:
//
//	gland.toml:12:1: stop: a step has no key "nedes" [unknown-key]
//	    nedes = ["zero"]
//	    ^^^^^
//	    did you mean `needs`?
//
// Without a known place the path of the key stands in the place of line and
// column. Nothing it writes can be taken for a command by a terminal.
func (ds Diagnostics) WriteText(w io.Writer) error {
	var b strings.Builder
	for _, d := range ds {
		b.Reset()
		d.write(&b)
		if _, err := io.WriteString(w, b.String()); err != nil {
			return err
		}
	}
	return nil
}

// Unanswered are the settings, in the order of the file, that have no default and
// were given no answer.
func (ds Diagnostics) Unanswered() (names []string) {
	for _, d := range ds {
		if d.Rule == RuleUnanswered {
			names = append(names, d.Setting)
		}
	}
	return names
}

// String is the first line of what WriteText writes.
func (d Diagnostic) String() string {
	var b strings.Builder
	d.head(&b)
	return b.String()
}

func (d Diagnostic) head(b *strings.Builder) {
	if d.File != "" {
		b.WriteString(d.File + ":")
	}
	if d.Line > 0 {
		fmt.Fprintf(b, "%d:%d:", d.Line, d.Column)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	b.WriteString(string(d.Severity) + ": ")
	switch {
	case d.Setting != "":
		fmt.Fprintf(b, "%s: ", d.Setting)
	case d.Line == 0 && d.Path != "":
		fmt.Fprintf(b, "%s: ", d.Path)
	}
	b.WriteString(d.Message)
	if d.Rule != "" {
		fmt.Fprintf(b, " [%s]", d.Rule)
	}
}

const indent = "    "

func (d Diagnostic) write(b *strings.Builder) {
	d.head(b)
	b.WriteByte('\n')
	if line, before, marks := d.Excerpt(); marks > 0 {
		b.WriteString(indent + line + "\n")
		b.WriteString(indent + strings.Repeat(" ", before) + strings.Repeat("^", marks) + "\n")
	}
	if d.Suggestion != "" {
		b.WriteString(indent + d.Suggestion + "\n")
	}
	if d.Source != "" {
		b.WriteString(indent + "source: " + d.Source + "\n")
	}
}

// Widest excerpt of a source line, in cells.
const ExcerptCells = 100

// excerpt is the source line, how many cells stand before the place, and how
// many the place takes. Tabs are drawn as far as the next multiple of four,
// wide letters take two cells, what a terminal would obey is drawn as U+FFFD.
// Of a long line the part around the place is drawn.
func (d Diagnostic) Excerpt() (line string, before, marks int) {
	if !d.Located {
		return "", 0, 0
	}
	// Of a line without end only what can be drawn is looked at.
	const most = 8 * ExcerptCells
	low, high := max(0, d.Start-most), min(len(d.Src), d.Start+most)
	first := low + strings.LastIndexByte(d.Src[low:d.Start], '\n') + 1
	last := high
	if i := strings.IndexByte(d.Src[d.Start:high], '\n'); i >= 0 {
		last = d.Start + i
	}
	for first < d.Start && !utf8.RuneStart(d.Src[first]) {
		first++
	}
	for last < len(d.Src) && last > d.Start && !utf8.RuneStart(d.Src[last]) {
		last--
	}
	text := strings.TrimSuffix(d.Src[first:last], "\r")
	start, end := d.Start-first, min(d.End-first, len(text))
	if first == 0 && strings.HasPrefix(text, ByteOrderMark) {
		text = text[len(ByteOrderMark):]
		start, end = max(0, start-len(ByteOrderMark)), max(0, end-len(ByteOrderMark))
	}
	var cells []string // one drawn character each
	var widths []int
	from, to := -1, -1
	column := 0
	for i, r := range text {
		if i >= start && from < 0 {
			from = len(cells)
		}
		if i >= end && to < 0 {
			to = len(cells)
		}
		drawn, width := string(r), CellWidth(r)
		switch {
		case r == '\t':
			width = 4 - column%4
			drawn = strings.Repeat(" ", width)
		case UnsafeRune(r):
			drawn, width = "\uFFFD", 1
		}
		cells, widths = append(cells, drawn), append(widths, width)
		column += width
	}
	if from < 0 {
		from = len(cells)
	}
	if to < 0 {
		to = len(cells)
	}
	cells, widths, from, to = around(cells, widths, from, to)
	for i, width := range widths {
		if i < from {
			before += width
		} else if i < to {
			marks += width
		}
	}
	return strings.TrimRight(strings.Join(cells, ""), " "), before, max(marks, 1)
}

// around cuts a long line down to the part that holds the place.
func around(cells []string, widths []int, from, to int) ([]string, []int, int, int) {
	total := 0
	for _, w := range widths {
		total += w
	}
	if total <= ExcerptCells {
		return cells, widths, from, to
	}
	first, used := from, 0
	for first > 0 && used+widths[first-1] <= ExcerptCells/3 {
		first--
		used += widths[first]
	}
	last := from
	for last < len(cells) && used+widths[last] <= ExcerptCells-6 {
		used += widths[last]
		last++
	}
	to = min(to, last)
	cut := last < len(cells)
	cells, widths = slices.Clone(cells[first:last]), slices.Clone(widths[first:last])
	from, to = from-first, to-first
	if first > 0 {
		cells, widths = append([]string{"..."}, cells...), append([]int{3}, widths...)
		from, to = from+1, to+1
	}
	if cut {
		cells, widths = append(cells, "..."), append(widths, 3)
	}
	return cells, widths, from, to
}
