package paper

import (
	"fmt"
	"io"
	"strings"

	"fettle/checklist"
	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// WriteText writes the filled procedure for reading in a terminal, at most
// width cells wide (40 at least).
func WriteText(w io.Writer, f *checklist.Filled, width int) error {
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

func (p *printer) filled(f *checklist.Filled) {
	p.wrap("", "", f.Title)
	p.b.WriteString(strings.Repeat("=", min(source.Cells(f.Title), p.width)) + "\n")
	if f.About != "" {
		p.blank()
		p.wrap("", "", f.About)
	}
	p.settings(f.Values)
	p.preliminary(f.Preliminary)
	p.accepted(f.Accepted)
	for _, parts := range [...][]checklist.FilledPart{f.Fasteners, f.Seals, f.Tests} {
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
	p.b.WriteString(strings.Repeat("-", min(source.Cells(s), p.width)) + "\n")
}

func (p *printer) settings(values []checklist.FilledSetting) {
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
		if strings.HasPrefix(text, checklist.Blank) {
			text = checklist.Blank // its question stands before it
		}
		if v.Measured {
			text += " (measured)"
		}
		p.wrap("- ", "  ", fmt.Sprintf("%s: %s [%s]", v.Ask, text, v.Name))
	}
}

func (p *printer) preliminary(pre checklist.Preliminary) {
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

func preliminaryLists(pre checklist.Preliminary) []titledList {
	return []titledList{
		{"Warnings", pre.Warnings}, {"Cautions", pre.Cautions},
		{"Before you start", pre.Conditions}, {"Persons", pre.Persons}, {"Equipment", pre.Equipment},
		{"Supplies", pre.Supplies}, {"Spares", pre.Spares}, {"Notes", pre.Notes},
	}
}

func (p *printer) accepted(list []checklist.Accepted) {
	if len(list) == 0 {
		return
	}
	p.blank()
	p.heading("Accepted by the author")
	for _, a := range list {
		p.wrap("- ", "  ", fmt.Sprintf("%s: %s [%s]. Accepted: %s", a.Where, a.Message, a.Rule, a.Because))
	}
}

func (p *printer) part(part checklist.FilledPart) {
	if len(part.Figures) == 0 {
		return
	}
	p.blank()
	p.heading(source.UpperFirst(part.Label) + " (" + part.Kind + " " + part.Name + ")")
	for _, f := range part.Figures {
		p.wrap("- ", "  ", fmt.Sprintf("%s: %s", f.Label, f.Text))
	}
}

// titleSaysIt reports that the title, taken from the start of the instruction, is
// all of it: paper need not say it twice.
func titleSaysIt(s *checklist.FilledStep) bool { return s.Title == strings.TrimSuffix(s.Do, ".") }

func (p *printer) step(s *checklist.FilledStep) {
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
	if !titleSaysIt(s) {
		p.wrap("   ", "   ", s.Do)
	}
	if s.Why != "" {
		p.wrap("   Why: ", "   ", s.Why)
	}
	if s.Call != nil {
		p.wrap("   CALL: ", "   ", callLine(s.Call))
		for _, set := range s.Call.Set {
			p.wrap("   . ", "     ", setLine(set))
		}
	}
	for _, r := range s.Readings {
		p.wrap("   ____ ", "        ", readingLine(r))
	}
	for _, f := range s.WorkedOut {
		p.wrap("   = ", "     ", workedLine(f))
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
func readingLine(r checklist.FilledReading) string {
	text := r.Ask
	switch {
	case len(r.Choices) > 0:
		text += " (" + strings.Join(r.Choices, ", ") + ")"
	case r.Unit == "yes-no":
		text += " (yes, no)"
	case !r.InWords() && r.Unit != "count" && r.Unit != "number":
		text += " in " + r.Unit
	}
	if r.Times > 1 {
		text += fmt.Sprintf(", %d times", r.Times)
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
		used := source.Cells(first)
		fresh := true
		for _, word := range strings.Fields(paragraph) {
			n := source.Cells(word)
			if !fresh && used+1+n > p.width {
				p.b.WriteString(strings.TrimRight(line, " ") + "\n")
				line, used, fresh = later, source.Cells(later), true
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

// callLine says what is called, and when.
func callLine(c *checklist.FilledCall) string {
	if c.Ask == "" {
		return c.Procedure + ", a job of its own, before this step is done"
	}
	return c.Procedure + ", a job of its own, if yes: " + c.Ask
}

// setLine says what a called procedure is told.
func setLine(s checklist.FilledWith) string {
	if s.Value == "" {
		return s.Setting + ": asked when it is started"
	}
	return s.Setting + ": " + s.Value
}

// workedLine is a worked-out figure with its limits.
func workedLine(f checklist.FilledWorkedOut) string {
	text := f.Label + ": " + f.Text
	if limits := f.Limits(); limits != "" {
		text += " (" + limits + ")"
	}
	return text
}
