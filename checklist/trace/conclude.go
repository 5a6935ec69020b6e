package trace

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fettle/threads/check"
)

// Conclusion is how a search stands: a stop for the structure, an ask where nothing was
// found or the structure is not ruled out, a note where a path was found, good while
// the search goes on.
type Conclusion struct {
	check.Result
	Ending Ending
	Then   []string // what to do now, one thing each
	// Paths are what was found: one, two to be mended both, or a group behind one
	// cover. Of a search that did not find it, the likeliest.
	Paths  []*Path
	Chance float64 // that one of them loses
	Second float64 // that something else loses too, where one of them does
	Cover  string  // what hides the group
	Apart  []*Test // the tests that would tell a group apart; they come last of all
}

// judged is where every conclusion comes from.
const judged = "chances of the circuit's file and what was answered; common practice, no source"

// Conclusion says how the search stands. The user may always go on with [Search.Next].
func (s *Search) Conclusion() Conclusion {
	m := s.model
	c := Conclusion{Ending: s.verdict.kind, Result: check.Result{Severity: check.Good, Source: judged}}
	paths := s.verdict.paths
	doubt, doubted := s.Doubt()
	if doubted && c.Ending == Found { // nothing is named on answers that do not go together
		c.Ending, c.Result, paths = Going, doubt.Result, nil
	}
	switch {
	case c.Ending == Stop:
		return s.stop()
	case c.Ending == Going && s.worthIt():
		return c
	case c.Ending == Going:
		c.Ending = NotFound
		paths = []int{m.pathAt[s.likeliest().Path.Name]}
	}
	for _, i := range paths {
		c.Paths = append(c.Paths, m.path(i))
	}
	c.Chance = m.either(s.belief, paths)
	c.Second = s.beside(paths)
	if c.Ending != NotFound {
		s.found(&c, paths)
		return c
	}
	c.Rule, c.Severity = "leak-not-found", check.Ask
	c.Message = fmt.Sprintf("Not found without taking things apart. Likeliest: %s, %s.", lower(c.Paths[0].Called), odds(c.Chance))
	c.Then = []string{
		"Leave it at pressure with somebody beside it and look again later.",
		"Or mend the likeliest and test again.",
		"Or ask the boiler inspector.",
	}
	if doubted {
		c.Then = append([]string{doubt.Message}, c.Then...)
	}
	return c
}

// likeliest is the first suspect that was not mended already; where all were, the first.
func (s *Search) likeliest() Suspect {
	suspects := s.Suspects()
	if i := slices.IndexFunc(suspects, func(x Suspect) bool { return !x.Mended }); i >= 0 {
		return suspects[i]
	}
	return suspects[0]
}

// worthIt says whether any test tells enough for its minutes.
func (s *Search) worthIt() bool {
	return slices.ContainsFunc(s.next, func(p Proposal) bool { return p.Bits >= leastBits*p.Minutes })
}

func (s *Search) stop() Conclusion {
	c := Conclusion{Ending: Stop, Result: check.Result{Rule: "structure-suspected", Severity: check.Stop, Source: judged, Danger: true}}
	for _, x := range s.Suspects() {
		if x.Path.Kind == Structure {
			c.Paths = append(c.Paths, x.Path)
		}
	}
	c.Chance = s.model.structure(s.belief)
	c.Message = fmt.Sprintf("Stop. The boiler itself may leak: %s, %s.", lower(c.Paths[0].Called), odds(c.Chance))
	c.Then = []string{
		"Let the pressure down.",
		"Call the boiler inspector. Nobody else decides on a repair.",
		"Use no sealing compound.",
	}
	return c
}

func (s *Search) found(c *Conclusion, paths []int) {
	m := s.model
	c.Rule, c.Severity = "leak-found", check.Note
	names := make([]string, len(c.Paths))
	for i, p := range c.Paths {
		names[i] = lower(p.Called)
	}
	group := slices.ContainsFunc(m.covers, func(cover []int) bool { return slices.Equal(cover, paths) })
	switch {
	case group:
		c.hidden(m)
		c.Message = fmt.Sprintf("Found: %s, %s. They look the same from outside: %s comes off before one can be told from the other.", strings.Join(names, " or "), odds(c.Chance), lower(c.Cover))
	case len(paths) == 2:
		c.Message = fmt.Sprintf("Found: %s, %s. Mend both.", strings.Join(names, " and "), odds(c.Chance))
	case c.Paths[0].Kind == None:
		c.Rule = "no-leak"
		c.Message = fmt.Sprintf("No leak was found: %s, %s.", lower(c.Paths[0].Called), odds(c.Chance))
		c.Then = append(c.Then, "Begin the hold again and log the temperature with the pressure.")
	default:
		c.Message = fmt.Sprintf("Found: %s, %s.", names[0], odds(c.Chance))
	}
	if c.Second >= 0.05 {
		c.Message += fmt.Sprintf(" Something else may lose water too, %s.", odds(c.Second))
	}
	if structure := m.structure(s.belief); structure > excluded {
		c.Severity = check.Ask
		c.Message += fmt.Sprintf(" The boiler itself is not ruled out, %s.", odds(structure))
		c.Then = append(c.Then, "Look at seams, stays and tube ends before the repair.")
	}
	if c.Rule == "leak-found" {
		c.Then = append(c.Then, "Test again after the repair.")
	}
}

// hidden says what hides a group, and which tests would tell it apart.
func (c *Conclusion) hidden(m *Model) {
	for _, cover := range m.circuit.Covers {
		if slices.Contains(cover.Paths, c.Paths[0].Name) {
			c.Cover = cover.Called
		}
	}
	for i := range m.tests {
		if t := &m.tests[i]; t.Apart && slices.ContainsFunc(t.Says, func(x Share) bool {
			return slices.ContainsFunc(c.Paths, func(p *Path) bool { return p.Name == x.Name })
		}) {
			c.Apart = append(c.Apart, t.Test)
		}
	}
}

// beside is the chance that something else loses too, where one of the paths does.
func (s *Search) beside(paths []int) float64 {
	with, other := 0.0, 0.0
	for k, b := range s.belief {
		c := s.model.causes[k]
		a := slices.Contains(paths, c.a)
		switch {
		case !a && (c.b < 0 || !slices.Contains(paths, c.b)):
			continue
		case c.b >= 0 && (!a || !slices.Contains(paths, c.b)):
			other += b
		}
		with += b
	}
	if with == 0 {
		return 0
	}
	return other / with
}

// odds says a chance in words that a fitter weighs: tenths in the middle, hundredths
// at the ends.
func odds(p float64) string {
	switch {
	case p >= 0.995:
		return "more than 99 in 100"
	case p < 0.005:
		return "less than 1 in 100"
	case p >= 0.9 || p < 0.1:
		return fmt.Sprintf("%.0f in 100", 100*p)
	}
	return fmt.Sprintf("%.0f in 10", math.Round(10*p))
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
