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
	var parts []string
	for _, row := range a.Rows {
		var b strings.Builder
		if a.Column > 0 {
			writeInColumn(&b, row, a.Column)
		} else {
			writeRows(&b, lookup.Rows{row}, 0)
		}
		if a.Column > 0 && strings.HasPrefix(b.String(), " ") && len(parts) > 0 {
			parts[len(parts)-1] += b.String() // goes on with the row above it
		} else if b.Len() > 0 {
			parts = append(parts, b.String())
		}
	}
	beside(w, parts)
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
		flow(w, 0, 2, strong(w, word+": "+f.Message))
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

// writeInColumn prints a row beside a column of labels. What fits is printed as it
// stands; a label of one sign stands right before its text.
func writeInColumn(w io.Writer, row lookup.Row, column int) {
	label, text := row.Label, row.Text
	switch {
	case label == "":
		return
	case len(label) == 1:
		label = fmt.Sprintf("%*s ", column-1, label)
	}
	if column+runewidth.StringWidth(text) > benchWidth {
		var b strings.Builder
		flow(&b, column, column, text)
		text = strings.TrimSpace(b.String())
	}
	fmt.Fprintf(w, "%-*s%s\n", column, label, text)
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
				flow(w, below, below+2, strong(w, string(f.Severity)+": "+f.Message))
			}
		}
	}
}
