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

// WriteMarkdown writes the filled procedure as Markdown (CommonMark, with the
// usual tables), to be printed or read on paper. Texts are escaped: nothing in
// them can become markup or HTML.
func WriteMarkdown(w io.Writer, f *checklist.Filled) error {
	m := &markdown{}
	m.filled(f)
	_, err := io.WriteString(w, m.b.String())
	return err
}

type markdown struct{ b strings.Builder }

// escaped makes a text stand for itself in Markdown.
func escaped(s string) string {
	var b strings.Builder
	for n, line := range strings.Split(s, "\n") {
		if n > 0 {
			b.WriteString("\\\n")
		}
		digits := len(line) - len(strings.TrimLeft(line, "0123456789"))
		for i, r := range line {
			switch {
			case strings.ContainsRune("\\`*_[]<>#|&~$", r),
				i == 0 && strings.ContainsRune("-+=", r),
				i > 0 && i == digits && (r == '.' || r == ')') && strings.HasPrefix(line[i+1:]+" ", " "): // "1. " begins a list
				b.WriteByte('\\')
			}
			b.WriteRune(r)
		}
	}
	return b.String()
}

func (m *markdown) f(format string, args ...any) {
	for i, a := range args {
		if s, ok := a.(string); ok {
			args[i] = escaped(s)
		}
	}
	fmt.Fprintf(&m.b, format, args...)
}

func (m *markdown) list(title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	m.f("\n## %s\n\n", title)
	for _, line := range lines {
		m.f("- %s\n", line)
	}
}

func (m *markdown) filled(f *checklist.Filled) {
	m.f("# %s\n", f.Title)
	if f.About != "" {
		m.f("\n%s\n", f.About)
	}
	if len(f.Values) > 0 {
		m.f("\n## Settings\n\n| Question | Answer |\n| --- | --- |\n")
		for _, v := range f.Values {
			if v.NotAsked != "" && !v.Measured {
				continue
			}
			m.f("| %s | %s |\n", v.Ask, v.Canonical)
		}
	}
	for _, l := range preliminaryLists(f.Preliminary) {
		m.list(l.title, l.lines)
	}
	if len(f.Accepted) > 0 {
		m.f("\n## Accepted by the author\n\n")
		for _, a := range f.Accepted {
			m.f("- %s: %s (%s). Accepted: %s\n", a.Where, a.Message, a.Rule, a.Because)
		}
	}
	for _, parts := range [...][]checklist.FilledPart{f.Fasteners, f.Seals, f.Tests} {
		for _, part := range parts {
			if part.Applies {
				m.part(part)
			}
		}
	}
	for _, stage := range f.Stages {
		m.f("\n## %s\n", stage.Title)
		if stage.About != "" {
			m.f("\n%s\n", stage.About)
		}
		for i := range stage.Steps {
			m.step(&stage.Steps[i])
		}
	}
	if len(f.LeftOut) > 0 {
		m.f("\n## Left out\n\n")
		for _, l := range f.LeftOut {
			m.f("- %s: %s\n", l.Title, l.Because)
		}
	}
	m.f("\n---\n\n%s\n", check.Deference)
}

func (m *markdown) part(part checklist.FilledPart) {
	if len(part.Figures) == 0 {
		return
	}
	m.f("\n## %s (%s)\n\n| Figure | | Source |\n| --- | --- | --- |\n", source.UpperFirst(part.Label), part.Kind)
	for _, f := range part.Figures {
		m.f("| %s | %s | %s |\n", f.Label, f.Text, f.Source)
	}
}

func (m *markdown) step(s *checklist.FilledStep) {
	m.f("\n### %d. %s\n\n", s.Number, s.Title)
	m.f("- [ ] %s", s.Kind)
	if s.Hold != "" {
		m.f("; **hold point**, released by %s", s.Hold)
	}
	if s.Witness != "" {
		m.f("; **witness point**: %s", s.Witness)
	}
	if s.Closes != "" {
		m.f("; closes %s, tally balanced", s.Closes)
	}
	if s.Quadrant > 0 {
		m.f("; lever %s from shut to open", s.Quadrant)
	}
	m.f("\n\n")
	for _, line := range s.Warnings {
		m.f("> **Warning:** %s\n\n", line)
	}
	for _, line := range s.Cautions {
		m.f("> **Caution:** %s\n\n", line)
	}
	if !titleSaysIt(s) {
		m.f("%s\n", s.Do)
	}
	if s.Why != "" {
		m.f("\n*Why:* %s\n", s.Why)
	}
	if s.Call != nil {
		m.f("\n**Call:** %s\n", callLine(s.Call))
		for i, set := range s.Call.Set {
			if i == 0 {
				m.f("\n")
			}
			m.f("- %s\n", setLine(set))
		}
	}
	if len(s.Readings) > 0 {
		m.f("\n| Reading | |\n| --- | --- |\n")
		for _, r := range s.Readings {
			m.f("| %s | %s |\n", readingLine(r), "          ")
		}
	}
	for i, f := range s.WorkedOut {
		if i == 0 {
			m.f("\n")
		}
		m.f("- %s\n", workedLine(f))
	}
	if len(s.Figures) > 0 {
		m.f("\n| Figure | |\n| --- | --- |\n")
		for _, f := range s.Figures {
			m.f("| %s | %s |\n", f.Label, f.Text)
		}
	}
	for _, line := range s.Notes {
		m.f("\n*Note:* %s\n", line)
	}
	for _, a := range s.Accepted {
		m.f("\n*Accepted:* %s (%s): %s\n", a.Message, a.Rule, a.Because)
	}
	if s.Wait > 0 {
		m.f("\nThen wait %s.\n", quantity.SpanString(s.Wait))
	}
}
