package checklist

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// WriteText writes the filled procedure for reading in a terminal, at most
// width cells wide (40 at least).
func (f *Filled) WriteText(w io.Writer, width int) error {
	p := &printer{width: max(width, 40)}
	p.filled(f)
	_, err := io.WriteString(w, p.b.String())
	return err
}

// printer writes plain text, wrapped.
type printer struct {
	b     strings.Builder
	width int
}

func (p *printer) filled(f *Filled) {
	p.wrap("", "", f.Title)
	p.b.WriteString(strings.Repeat("=", min(cells(f.Title), p.width)) + "\n")
	if f.About != "" {
		p.blank()
		p.wrap("", "", f.About)
	}
	p.settings(f.Values)
	p.preliminary(f.Preliminary)
	p.accepted(f.Accepted)
	for _, parts := range [...][]FilledPart{f.Fasteners, f.Seals, f.Tests} {
		for _, part := range parts {
			if part.Applies {
				p.part(part)
			}
		}
	}
	for _, stage := range f.Stages {
		p.blank()
		p.heading(stage.Title)
		if stage.About != "" {
			p.wrap("", "", stage.About)
		}
		for i := range stage.Steps {
			p.step(&stage.Steps[i])
		}
	}
	if len(f.LeftOut) > 0 {
		p.blank()
		p.heading("Left out")
		for _, l := range f.LeftOut {
			p.wrap("- ", "  ", l.Title+": "+l.Because)
		}
	}
	p.blank()
	p.text(check.Deference)
}

func (p *printer) blank() { p.b.WriteByte('\n') }

func (p *printer) heading(s string) {
	p.wrap("", "", s)
	p.b.WriteString(strings.Repeat("-", min(cells(s), p.width)) + "\n")
}

func (p *printer) settings(values []FilledSetting) {
	if len(values) == 0 {
		return
	}
	p.blank()
	p.heading("Settings")
	for _, v := range values {
		if v.NotAsked != "" && !v.Measured {
			continue
		}
		text := v.Canonical
		if strings.HasPrefix(text, blank) {
			text = blank // its question stands before it
		}
		if v.Measured {
			text += " (measured)"
		}
		p.wrap("- ", "  ", fmt.Sprintf("%s: %s [%s]", v.Ask, text, v.Name))
	}
}

func (p *printer) preliminary(pre Preliminary) {
	for _, list := range preliminaryLists(pre) {
		if len(list.lines) == 0 {
			continue
		}
		p.blank()
		p.heading(list.title)
		for _, line := range list.lines {
			p.wrap("- ", "  ", line)
		}
	}
}

// titledList is one list of the preliminary requirements.
type titledList struct {
	title string
	lines []string
}

func preliminaryLists(pre Preliminary) []titledList {
	return []titledList{
		{"Warnings", pre.Warnings}, {"Cautions", pre.Cautions},
		{"Before you start", pre.Conditions}, {"Persons", pre.Persons}, {"Equipment", pre.Equipment},
		{"Supplies", pre.Supplies}, {"Spares", pre.Spares}, {"Notes", pre.Notes},
	}
}

func (p *printer) accepted(list []Accepted) {
	if len(list) == 0 {
		return
	}
	p.blank()
	p.heading("Accepted by the author")
	for _, a := range list {
		p.wrap("- ", "  ", fmt.Sprintf("%s: %s [%s]. Accepted: %s", a.Where, a.Message, a.Rule, a.Because))
	}
}

func (p *printer) part(part FilledPart) {
	if len(part.Figures) == 0 {
		return
	}
	p.blank()
	p.heading(upperFirst(part.Label) + " (" + part.Kind + " " + part.Name + ")")
	for _, f := range part.Figures {
		p.wrap("- ", "  ", fmt.Sprintf("%s: %s", f.Label, f.Text))
	}
}

// titleSaysIt reports that the title, taken from the start of the instruction, is
// all of it: paper need not say it twice.
func (s *FilledStep) titleSaysIt() bool { return s.Title == strings.TrimSuffix(s.Do, ".") }

func (p *printer) step(s *FilledStep) {
	p.blank()
	p.wrap(fmt.Sprintf("%d. ", s.Number), "   ", fmt.Sprintf("%s [%s]", s.Title, s.Kind))
	for _, list := range [...]struct {
		word  string
		lines []string
	}{{"WARNING", s.Warnings}, {"CAUTION", s.Cautions}} {
		for _, line := range list.lines {
			p.wrap("   "+list.word+": ", "   ", line)
		}
	}
	if s.Hold != "" {
		p.wrap("   HOLD: ", "   ", "released by "+s.Hold)
	}
	if s.Closes != "" {
		p.wrap("   CLOSES: ", "   ", s.Closes+" (tally balanced)")
	}
	if s.Witness != "" {
		p.wrap("   WITNESS: ", "   ", s.Witness)
	}
	if s.Quadrant > 0 {
		p.wrap("   LEVER: ", "   ", s.Quadrant.String()+" from shut to open")
	}
	if !s.titleSaysIt() {
		p.wrap("   ", "   ", s.Do)
	}
	if s.Why != "" {
		p.wrap("   Why: ", "   ", s.Why)
	}
	if s.Call != nil {
		p.wrap("   CALL: ", "   ", s.Call.line())
		for _, set := range s.Call.Set {
			p.wrap("   . ", "     ", set.line())
		}
	}
	for _, r := range s.Readings {
		p.wrap("   ____ ", "        ", readingLine(r))
	}
	for _, f := range s.Figures {
		p.wrap("   . ", "     ", f.Label+": "+f.Text)
	}
	for _, line := range s.Notes {
		p.wrap("   Note: ", "   ", line)
	}
	for _, a := range s.Accepted {
		p.wrap("   Accepted: ", "   ", fmt.Sprintf("%s [%s]: %s", a.Message, a.Rule, a.Because))
	}
	if s.Wait > 0 {
		p.wrap("   Then wait ", "   ", quantity.SpanString(s.Wait))
	}
}

// readingLine is a reading with its unit and limits.
func readingLine(r FilledReading) string {
	text := r.Ask
	unit, _ := unitOf(r.Unit)
	switch {
	case len(r.Choices) > 0:
		text += " (" + strings.Join(r.Choices, ", ") + ")"
	case unit != nil && unit.words && unit.name == "yes-no":
		text += " (yes, no)"
	case unit != nil && !unit.words && unit.name != "count" && unit.name != "number":
		text += " in " + r.Unit
	}
	if limits := r.Limits(); limits != "" {
		text += ": " + limits
	} else if r.Nominal.Given {
		text += ": " + r.Nominal.Text
	}
	return text
}

// wrap writes a text between a first and a later indent.
func (p *printer) wrap(first, later, text string) {
	for _, paragraph := range strings.Split(text, "\n") {
		line := first
		used := cells(first)
		fresh := true
		for _, word := range strings.Fields(paragraph) {
			n := cells(word)
			if !fresh && used+1+n > p.width {
				p.b.WriteString(strings.TrimRight(line, " ") + "\n")
				line, used, fresh = later, cells(later), true
			}
			if !fresh {
				line += " "
				used++
			}
			line += word
			used += n
			fresh = false
		}
		p.b.WriteString(strings.TrimRight(line, " ") + "\n")
		first = later
	}
}

func cells(s string) int {
	n := 0
	for _, r := range s {
		n += source.CellWidth(r)
	}
	return n
}

func upperFirst(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}
