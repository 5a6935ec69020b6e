package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"

	"fettle/checklist/lookup"
	"fettle/threads/check"
)

// writeAnswer prints an answer for people, on lines that the bench's narrowest screen
// holds. All prints every entry of long lists.
func writeAnswer(w io.Writer, a lookup.Answer, all, sources bool) {
	for line := range strings.Lines(a.Title) {
		flow(w, 0, 2, line)
	}
	if a.Column > 0 {
		writeColumn(w, a)
	} else {
		writeRows(w, a.Rows, 0)
	}
	above := a.Title != "" || slices.ContainsFunc(a.Rows, func(r lookup.Row) bool { return r.Label != "" })
	for _, list := range a.Lists {
		if list.Title == "" || len(list.Items) == 0 {
			continue
		}
		if above {
			fmt.Fprintln(w)
		}
		above = true
		writeList(w, list, all)
	}
	if len(a.Findings) > 0 {
		fmt.Fprintln(w)
	}
	for _, f := range check.GravestFirst(a.Findings) {
		word := string(f.Severity)
		if f.Danger && f.Severity == check.Note {
			word = "WARNING"
		}
		flow(w, 0, 2, word+": "+f.Message)
	}
	if sources && len(a.Sources) > 0 {
		fmt.Fprintln(w)
		flow(w, 0, 2, "From: "+strings.Join(a.Sources, "; "))
	}
}

// writeRows prints the rows that are for people.
func writeRows(w io.Writer, rows lookup.Rows, indent int) {
	for _, row := range rows {
		line := strings.Repeat(" ", indent) + row.Label + ": " + row.Text
		part, isPart := row.Value.(lookup.Rows)
		switch {
		case row.Label == "":
		case isPart && row.Text == "":
			flow(w, indent, indent+2, row.Label+":")
			writeRows(w, part, indent+2)
		case runewidth.StringWidth(line) <= benchWidth:
			fmt.Fprintln(w, line)
		case runewidth.StringWidth(row.Text) <= benchWidth-indent-2: // a figure stays with its unit
			flow(w, indent, indent+2, row.Label+":")
			flow(w, indent+2, indent+4, row.Text)
		default:
			flow(w, indent, indent+2, row.Label+": "+row.Text)
		}
	}
}

// writeColumn prints the rows beside a column of labels. What fits is printed as it
// stands; a label of one sign stands right before its text.
func writeColumn(w io.Writer, a lookup.Answer) {
	for _, row := range a.Rows {
		label := row.Label
		switch {
		case label == "":
			continue
		case len(label) == 1:
			label = fmt.Sprintf("%*s ", a.Column-1, label)
		}
		text := row.Text
		if a.Column+runewidth.StringWidth(text) > benchWidth {
			var b strings.Builder
			flow(&b, a.Column, a.Column, text)
			text = strings.TrimSpace(b.String())
		}
		fmt.Fprintf(w, "%-*s%s\n", a.Column, label, text)
	}
}

func writeList(w io.Writer, list lookup.List, all bool) {
	flow(w, 0, 2, list.Title)
	column := 0
	for _, item := range list.Items {
		column = max(column, runewidth.StringWidth(item.Name)+1)
	}
	for i, item := range list.Items {
		if list.Shown > 0 && i == list.Shown && !all {
			fmt.Fprintf(w, "and %d more with --all\n", len(list.Items)-i)
			break
		}
		const below = 3 // what goes with an entry stands under it
		switch {
		case list.Ranked:
			if i > 0 {
				fmt.Fprintln(w)
			}
			flow(w, 0, below, fmt.Sprintf("%d. %s", i+1, item.Text))
		case item.Name != "":
			var b strings.Builder
			flow(&b, column, 2, item.Text)
			fmt.Fprintf(w, "%s%s%s", item.Name, strings.Repeat(" ", column-runewidth.StringWidth(item.Name)), strings.TrimLeft(b.String(), " "))
		default:
			flow(w, 0, 2, "- "+item.Text)
		}
		writeRows(w, item.Rows, below)
		for _, f := range item.Findings {
			if all || i == 0 || f.Severity != check.Note {
				flow(w, below, below+2, string(f.Severity)+": "+f.Message)
			}
		}
	}
}

// benchWidth is the number of columns that text for the bench keeps to.
const benchWidth = 40

// flow prints text within the bench width, its first line set in by first
// blanks and the others by rest.
func flow(w io.Writer, first, rest int, text string) {
	line, width := strings.Repeat(" ", first), first
	empty := true
	for _, word := range strings.Fields(text) {
		n := runewidth.StringWidth(word)
		if !empty && width+1+n > benchWidth {
			fmt.Fprintln(w, line)
			line, width, empty = strings.Repeat(" ", rest), rest, true
		}
		if !empty {
			line, width = line+" ", width+1
		}
		line, width, empty = line+word, width+n, false
	}
	if !empty {
		fmt.Fprintln(w, line)
	}
}
