package tui

import (
	"strings"
	"unicode"

	"fettle/checklist"
)

// figures are what was worked out for this step, and no others. Where large is
// set, those that the instruction names are written large.
func (s *stepScreen) figures(d *doc, step *checklist.FilledStep, large bool) {
	d.heading("Figures")
	big := false
	for _, g := range step.Figures {
		was := big
		if big = large && names(step.Do, g.Text) && d.bigPair(g.Label, g.Text); !big {
			if was {
				d.blank()
			}
			d.pair(g.Label, inkStrong, g.Text)
		}
		if s.sources && g.Source != "" {
			d.indented("  ", "  ", inkQuiet, g.Source)
		}
	}
	if !s.sources && len(step.Figures) > 0 {
		if big {
			d.blank()
		}
		d.text(inkQuiet, s.m.keys.Sources.Help().Key+" shows where they come from")
	}
}

// names tells whether a text has a figure in it, and not as part of a longer one.
func names(text, figure string) bool {
	word := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	for from := 0; figure != ""; {
		i := strings.Index(text[from:], figure)
		if i < 0 {
			return false
		}
		before, after := []rune(text[:from+i]), []rune(text[from+i+len(figure):])
		if (len(before) == 0 || !word(before[len(before)-1]) && before[len(before)-1] != '.') &&
			(len(after) == 0 || !word(after[0]) && !(after[0] == '.' && len(after) > 1 && unicode.IsDigit(after[1]))) {
			return true
		}
		from += i + len(figure)
	}
	return false
}

// large tells whether the step has a figure in its instruction, and all such
// that can be written large have room beside or under their names.
func (s *stepScreen) large(d *doc, step *checklist.FilledStep) bool {
	some := false
	for _, g := range step.Figures {
		if names(step.Do, g.Text) {
			if number, unit, ok := splitUnit(d.look.clean(g.Text)); ok {
				if d.look.bigText(number, d.w-textWidth(unit)) == nil {
					return false
				}
				some = true
			}
		}
	}
	return some
}

// splitUnit parts a value into what can be written large and the unit behind
// it; false for more than one number, and for words.
func splitUnit(value string) (number, unit string, ok bool) {
	if i := strings.IndexByte(value, ' '); i > 0 && !strings.ContainsAny(value[i:], "0123456789(") {
		number, unit = value[:i], value[i:]
	} else {
		number = value
	}
	return number, unit, strings.ContainsAny(number, "0123456789") && !strings.Contains(number, " ")
}

// bigPair adds a name and its value in large digits, its unit behind them; it
// tells whether that can be.
func (d *doc) bigPair(name, value string) bool {
	number, unit, ok := splitUnit(d.look.clean(value))
	if !ok {
		return false
	}
	rows := d.look.bigText(number, d.w-textWidth(unit))
	if rows == nil {
		return false
	}
	name = d.look.clean(name)
	wide := textWidth(rows[0]) - 1 // the last column parts it from a next digit
	gap := d.w - textWidth(name) - wide - textWidth(unit)
	d.blank()
	if gap < 3 {
		d.text(inkPlain, name)
	}
	for i, row := range rows {
		row = string([]rune(row)[:wide])
		lead := span{inkPlain, strings.Repeat(" ", max(0, d.w-wide-textWidth(unit)))}
		switch {
		case i < len(rows)-1:
			d.add(lead, span{inkStrong, row})
		case gap < 3:
			d.add(lead, span{inkStrong, row + unit})
		default:
			d.add(span{inkPlain, name}, span{inkQuiet, " " + strings.Repeat(d.look.g.dots, gap-2) + " "}, span{inkStrong, row + unit})
		}
	}
	return true
}
