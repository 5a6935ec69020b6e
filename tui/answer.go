package tui

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/lookup"
	"fettle/threads/check"
	"fettle/tui/paint"
)

// entryKind is the kind of a question as the entry screens know it.
func entryKind(k lookup.Kind) string {
	switch k {
	case lookup.Time:
		return "span"
	case lookup.Air:
		return "air"
	case lookup.Size, lookup.DrillName:
		return "length"
	}
	return string(k)
}

// forms are the look-ups that are asked on a form: all but that of a thread by its
// name, which has a screen of its own.
func forms() []lookup.Sheet {
	return slices.DeleteFunc(lookup.Sheets(), func(s lookup.Sheet) bool { return s.Name == "thread" })
}

// answer draws what a look-up answers, the figure it was asked for large.
func (d *doc) answer(sheet lookup.Sheet, a lookup.Answer, all bool) {
	large := sheet.Large(a)
	if large >= 0 {
		r := a.Rows[large]
		d.text(paint.InkBrand, strings.ToUpper(r.Label))
		d.large(figureAndUnit(r.Text))
		d.blank()
	}
	if a.Ring != nil {
		d.boltCircle(a.Ring.Circle, a.Ring.Order, 0)
		d.blank()
	}
	for i, r := range a.Rows {
		if i != large {
			d.row("", r)
		}
	}
	for _, l := range a.Lists {
		d.list(l, all)
	}
	for _, g := range check.GravestFirst(a.Findings) {
		if g.Message == check.Deference {
			continue // stands at the end
		}
		word := string(g.Severity)
		if g.Danger { // said every time: a warning that changes no verdict
			word = "warning"
		}
		d.finding(word, g.Message, g.Source, all)
	}
	if sheet.Boundary {
		d.blank()
		d.text(paint.InkQuiet, check.Deference)
	}
	if all {
		d.heading("Sources")
		for _, s := range a.Sources {
			d.indented("- ", "  ", paint.InkQuiet, s)
		}
	}
}

// row draws a row that is for people; rows that stand together under their heading.
func (d *doc) row(indent string, r lookup.Row) {
	part, isPart := r.Value.(lookup.Rows)
	switch {
	case r.Label == "":
	case isPart && r.Text == "":
		d.heading(r.Label)
		for _, x := range part {
			d.row(indent, x)
		}
	default:
		d.pair(indent+r.Label, paint.InkPlain, r.Text)
	}
}

// list draws a list that is for people, its first entries or all of them.
func (d *doc) list(l lookup.List, all bool) {
	if l.Title == "" || len(l.Items) == 0 {
		return
	}
	d.heading(l.Title)
	for i, it := range l.Items {
		if l.Shown > 0 && i == l.Shown && !all {
			d.text(paint.InkQuiet, fmt.Sprintf("and %d more", len(l.Items)-i))
			return
		}
		switch {
		case l.Ranked:
			if i > 0 {
				d.blank()
			}
			d.indented(fmt.Sprintf("%d  ", i+1), "   ", paint.InkStrong, it.Text)
		case it.Name != "":
			d.pair(it.Name, paint.InkStrong, it.Text)
		default:
			d.text(paint.InkPlain, it.Text)
		}
		for _, r := range it.Rows {
			d.row("  ", r)
		}
		for _, g := range it.Findings {
			if all || i == 0 || g.Severity != check.Note {
				d.indented("  "+string(g.Severity)+": ", "    ", paint.InkPlain, g.Message)
			}
		}
	}
}

// figureAndUnit parts "3.3 mm" for a large figure; a name in words stays whole.
func figureAndUnit(s string) (figure, unit string) {
	i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.,/ +-", r) })
	if i <= 0 {
		return s, ""
	}
	return strings.TrimSpace(s[:i]), s[i:]
}

func (d *doc) finding(severity, message, source string, sources bool) {
	d.blank()
	label, edge := paint.InkNote, paint.InkQuiet
	switch severity {
	case "stop", "warning":
		label, edge = paint.InkWarning, paint.InkWrong
	case "warn":
		label, edge = paint.InkCaution, paint.InkBrand
	}
	paras := []string{message}
	d.callout(label, edge, strings.ToUpper(severity), paras)
	if sources && source != "" {
		d.indented("  ", "  ", paint.InkQuiet, source)
	}
}

// large draws a figure in big characters with its unit, or in strong text
// where they do not fit.
func (d *doc) large(figures, unit string) {
	big := d.look.BigText(figures, d.w-paint.TextWidth(unit)-2)
	if big == nil {
		d.text(paint.InkStrong, strings.TrimSpace(figures+" "+unit))
		return
	}
	for i, line := range big {
		if i == len(big)-1 {
			d.add(paint.Span{Ink: paint.InkBrand, Text: line}, paint.Span{Ink: paint.InkStrong, Text: " " + unit})
			continue
		}
		d.add(paint.Span{Ink: paint.InkBrand, Text: line})
	}
}
