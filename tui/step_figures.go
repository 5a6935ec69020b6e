package tui

import (
	"fettle/checklist"
)

// figures are what was worked out for this step, and no others.
func (s *stepScreen) figures(d *doc, step *checklist.FilledStep) {
	d.heading("Figures")
	for _, g := range step.Figures {
		d.pair(g.Label, inkStrong, g.Text)
		if s.sources && g.Source != "" {
			d.indented("  ", "  ", inkQuiet, g.Source)
		}
	}
	if !s.sources && len(step.Figures) > 0 {
		d.text(inkQuiet, s.m.keys.Sources.Help().Key+" shows where they come from")
	}
}
