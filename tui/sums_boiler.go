package tui

import (
	"errors"
	"slices"
	"strings"

	"fettle/checklist/boiler"
	"fettle/checklist/boiler/lookup"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// boilerSums are the look-ups of the boiler and its seals. Their questions,
// answers and roundings are those of the command line.
func boilerSums() []sum {
	var all []sum
	for _, s := range lookup.Sheets() {
		all = append(all, boilerSum(s))
	}
	return all
}

func boilerSum(sheet lookup.Sheet) sum {
	s := sum{name: sheet.Title, about: sheet.About}
	for _, f := range sheet.Fields {
		q := question{name: f.Name, ask: f.Ask, brief: f.Brief, kind: boilerKind(f.Kind), usual: f.Default, choices: f.Choices, needed: f.Required}
		if f.Kind == lookup.YesNo {
			q.choices = []string{"yes", "no"}
		}
		if f.Name == "fault" {
			for _, x := range boiler.Faults() {
				q.listed = append(q.listed, choice{x.ID, x.Path})
			}
		}
		if slices.Contains([]string{"operator", "inspector", "witness"}, f.Name) {
			q.kind = "name"
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
		answer, err := sheet.Work(values)
		var field *lookup.FieldError
		switch {
		case errors.As(err, &field) && a.get(field.Field) != "":
			a.wrong[field.Field] = field.Err // beside the question it is about
			return "", nil
		case err != nil:
			return "", err
		}
		if sheet.Name == "circle" {
			a.drawCircle(d)
		}
		return d.boilerAnswer(a, sheet, answer), nil
	}
	return s
}

// drawCircle draws the circle of holes that is asked about, numbered in the
// order in which its screws are tightened.
func (a *answers) drawCircle(d *doc) {
	n, start := a.count("holes"), read(a, "start", quantity.ParseAngle)
	c, err := fastening.BoltCircle(n, a.length("circle"), start, 0, 0)
	if err != nil {
		return // the sheet itself says what is wrong
	}
	order := fastening.Order(n)
	d.text(inkBrand, "ORDER OF TIGHTENING")
	d.boltCircle(c, order, 0)
	d.text(inkPlain, orderText(order))
	d.blank()
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
	case lookup.Text:
		return "words"
	}
	return string(k)
}

// asked are the figures a look-up is opened for, by its name: the first is
// drawn large and all stand in the headline.
func asked(sheet string) []string {
	switch sheet {
	case "steam":
		return []string{"saturation_c", "pressure_bar"}
	case "seals":
		return []string{"design_c", "material"}
	case "metals":
		return []string{"design_c"}
	case "packing":
		return []string{"rings", "ring_length_mm"}
	case "oring":
		return []string{"depth_mm", "width_mm"}
	case "gasket":
		return []string{"inside_mm", "outside_mm"}
	case "cure":
		return []string{"full_h"}
	case "target":
		return []string{"product_bar"}
	case "gauge":
		return []string{"scale_ideal_bar"}
	case "fill":
		return []string{"pump_ml", "without_air_ml"}
	case "air":
		return []string{"air_ml"}
	case "leak", "drip":
		return []string{"leak_ml_per_min", "drops_per_min"}
	case "hexagon":
		return []string{"cut_mm", "over_one_flat_mm"}
	case "divide":
		return []string{"whole_turns", "holes", "circle"}
	case "circle":
		return []string{"chord_mm"}
	case "quadrant":
		return []string{"angle_deg"}
	}
	return nil
}

// boilerAnswer draws an answer, the figure it was asked for large, and gives
// the headline.
func (d *doc) boilerAnswer(a *answers, sheet lookup.Sheet, answer lookup.Answer) (headline string) {
	keys := asked(sheet.Name)
	var first []string
	for _, key := range keys {
		for _, r := range answer.Rows {
			if r.Key == key {
				first = append(first, r.Label+" "+r.Text)
			}
		}
	}
	for _, r := range answer.Rows {
		if len(keys) > 0 && r.Key == keys[0] {
			d.text(inkBrand, strings.ToUpper(r.Label))
			d.large(figureAndUnit(r.Text))
			d.blank()
		}
	}
	for _, r := range answer.Rows {
		if len(keys) == 0 || r.Key != keys[0] {
			d.pair(r.Label, inkPlain, r.Text)
		}
	}
	headline = strings.Join(first, ", ")
	for _, l := range answer.Lists {
		d.heading(l.Title)
		for _, it := range l.Items {
			d.text(inkPlain, it.Text)
		}
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
	if headline == "" && len(answer.Lists) > 0 && len(answer.Lists[0].Items) > 0 {
		headline = answer.Lists[0].Items[0].Text
	}
	return headline
}
