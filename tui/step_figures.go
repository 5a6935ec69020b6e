package tui

import (
	"strings"
	"unicode"

	"fettle/checklist"
	"fettle/tui/paint"
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
			d.pair(g.Label, paint.InkStrong, g.Text)
		}
		if s.sources && g.Source != "" {
			d.indented("  ", "  ", paint.InkQuiet, g.Source)
		}
	}
	if !s.sources && len(step.Figures) > 0 {
		if big {
			d.blank()
		}
		d.text(paint.InkQuiet, s.m.keys.Sources.Help().Key+" shows where they come from")
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
// that have digits can be written large, with room beside or under their names:
// one of them small beside a large one would be overlooked.
func (s *stepScreen) large(d *doc, step *checklist.FilledStep) bool {
	some := false
	for _, g := range step.Figures {
		value := d.look.Clean(g.Text)
		if names(step.Do, g.Text) && strings.ContainsAny(value, "0123456789") {
			if d.look.BigValue(value, d.w) == nil && !wordy(value) {
				return false
			}
			some = some || !wordy(value)
		}
	}
	return some
}

// wordy tells whether a value is text with a figure in it, as a name is: no one
// misses it among large digits.
func wordy(value string) bool {
	return len(paint.Measures(value)) == 0
}

// bigPair adds a name and its value in large digits, its unit behind them; it
// tells whether that can be.
func (d *doc) bigPair(name, value string) bool {
	rows := d.look.BigValue(d.look.Clean(value), d.w)
	if rows == nil {
		return false
	}
	name = d.look.Clean(name)
	wide := paint.TextWidth(rows[0])
	gap := d.w - paint.TextWidth(name) - wide
	d.blank()
	if gap < 3 {
		d.text(paint.InkPlain, name)
	}
	for i, row := range rows {
		if i == len(rows)-1 && gap >= 3 {
			d.add(paint.Span{Ink: paint.InkPlain, Text: name}, paint.Span{Ink: paint.InkQuiet, Text: " " + strings.Repeat(d.look.G.Dots, gap-2) + " "}, paint.Span{Ink: paint.InkStrong, Text: row})
			continue
		}
		d.add(paint.Span{Ink: paint.InkPlain, Text: strings.Repeat(" ", max(0, d.w-wide))}, paint.Span{Ink: paint.InkStrong, Text: strings.TrimRight(row, " ")})
	}
	return true
}
