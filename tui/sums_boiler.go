package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/lookup"
	"fettle/threads/check"
)

// boilerSums are the look-ups of the boiler and its seals. Their questions,
// answers and roundings are those of the command line.
func boilerSums(m *model) []sum {
	var all []sum
	for _, s := range lookup.Sheets() {
		all = append(all, boilerSum(m, s))
	}
	return all
}

func boilerSum(m *model, sheet lookup.Sheet) sum {
	s := sum{name: sheet.Title, about: sheet.About, words: sheet.Words}
	for _, f := range sheet.Fields {
		q := question{name: f.Name, ask: f.Ask, brief: f.Brief, kind: boilerKind(f.Kind), usual: f.Default, needed: f.Required}
		if f.Choices != nil {
			q.choices = f.Choices()
		}
		if f.Kind == lookup.YesNo {
			q.choices = []string{"yes", "no"}
		}
		if f.Tell != nil {
			for _, word := range q.choices {
				q.listed = append(q.listed, choice{word, f.Tell(word)})
			}
			q.choices = nil
		}
		s.asks = append(s.asks, q)
	}
	s.work = func(a *answers, d *doc) (string, error) {
		values := map[string]string{}
		for _, q := range s.asks {
			if v := a.get(q.name); v != "" {
				values[q.name] = v
			}
		}
		if !a.ready() {
			return "", nil
		}
		answer, err := sheet.Work(values, m.shop)
		var field *lookup.FieldError
		switch {
		case errors.As(err, &field) && a.get(field.Field) != "":
			a.wrong[field.Field] = field.Err // beside the question it is about
			return "", nil
		case err != nil:
			return "", err
		}
		return d.boilerAnswer(a, sheet, answer), nil
	}
	return s
}

// boilerKind is the kind of a question as the entry screens know it.
func boilerKind(k lookup.Kind) string {
	switch k {
	case lookup.Time:
		return "span"
	case lookup.ThreadName:
		return "thread"
	case lookup.Air:
		return "air"
	case lookup.Size, lookup.DrillName:
		return "length"
	case lookup.Text, lookup.Threads, lookup.Drills:
		return "words"
	case lookup.Person:
		return "name"
	}
	return string(k)
}

// boilerAnswer draws an answer, the figure it was asked for large, and gives
// the headline.
func (d *doc) boilerAnswer(a *answers, sheet lookup.Sheet, answer lookup.Answer) (headline string) {
	a.found = answer.Fits
	row := func(key string) int {
		return slices.IndexFunc(answer.Rows, func(r lookup.Row) bool { return r.Key == key && r.Label != "" })
	}
	var first []string
	large := -1
	for _, key := range sheet.Asked {
		if at := row(key); at >= 0 {
			r := answer.Rows[at]
			if large < 0 {
				large = at
				d.text(inkBrand, strings.ToUpper(r.Label))
				d.large(figureAndUnit(r.Text))
				d.blank()
			}
			first = append(first, r.Label+" "+r.Text)
		}
	}
	if answer.Ring != nil {
		d.text(inkBrand, "ORDER OF TIGHTENING")
		d.boltCircle(answer.Ring.Circle, answer.Ring.Order, 0)
		d.blank()
	}
	for i, r := range answer.Rows {
		if i != large {
			d.row("", r)
		}
	}
	for _, l := range answer.Lists {
		d.list(l, a.sources)
	}
	for _, g := range check.GravestFirst(answer.Findings) {
		if g.Message == check.Deference {
			continue // stands at the end
		}
		word := string(g.Severity)
		if g.Danger { // said every time: a warning that changes no verdict
			word = "warning"
		}
		d.finding(word, g.Message, g.Source, a.sources)
	}
	d.blank()
	if sheet.Boundary {
		d.text(inkQuiet, check.Deference)
	}
	if a.sources {
		d.sourceList(answer.Sources)
	}
	switch {
	case answer.Headline != "":
		return answer.Headline
	case len(first) > 0:
		return strings.Join(first, ", ")
	case len(answer.Lists) > 0 && len(answer.Lists[0].Items) > 0:
		return answer.Lists[0].Items[0].Text
	}
	return ""
}

// row draws a row that is for people; rows that stand together under their heading.
func (d *doc) row(indent string, r lookup.Row) {
	part, isPart := r.Value.(lookup.Rows)
	switch {
	case r.Label == "":
	case isPart:
		d.heading(r.Label)
		for _, x := range part {
			d.row(indent, x)
		}
	default:
		d.pair(indent+r.Label, inkPlain, r.Text)
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
			d.text(inkQuiet, fmt.Sprintf("and %d more", len(l.Items)-i))
			return
		}
		switch {
		case l.Ranked:
			if i > 0 {
				d.blank()
			}
			d.indented(fmt.Sprintf("%d  ", i+1), "   ", inkStrong, it.Text)
		case it.Name != "":
			d.pair(it.Name, inkStrong, it.Text)
		default:
			d.text(inkPlain, it.Text)
		}
		for _, r := range it.Rows {
			d.row("  ", r)
		}
		for _, g := range it.Findings {
			if all || i == 0 || g.Severity != check.Note {
				d.indented("  "+string(g.Severity)+": ", "    ", inkPlain, g.Message)
			}
		}
	}
}
