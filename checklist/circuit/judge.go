package circuit

import (
	"fmt"
	"slices"
	"strings"

	"fettle/checklist/source"
	"fettle/checklist/trace"
	"fettle/threads/check"
)

// Rules of circuits. All of them stop: a circuit that breaks one misleads whoever
// follows it, or puts somebody in danger.
const (
	RuleUnseen    = "unseen"        // a path that no test can find, a place that no test looks at
	RuleNoEffect  = "no-effect"     // a test whose answer tells nothing
	RuleBlank     = "blank"         // something is blanked or undone under pressure
	RuleStructure = "no-makeshift"  // the structure is shut off or mended by a test
	RuleWorking   = "from-afar"     // half pressure at full pressure
	RuleNowhere   = "never-pressed" // a build in which nothing is under test
)

// resolve reports names that are not declared, and two that are called the same.
func (r *reader) resolve() {
	for _, ref := range r.refs {
		var known []string
		for _, n := range r.places[ref.kind] {
			known = append(known, n.name)
		}
		if !slices.Contains(known, ref.name) {
			r.Key(check.Stop, source.RuleUnknownName, ref.at, fmt.Sprintf("there is no %s %s", ref.kind, source.Shown(ref.name)), r.Suggest(ref.name, known))
		}
	}
	for _, kind := range []string{"build", "arrangement", "condition", "cover", "path", "place"} {
		first := map[string]string{}
		for _, n := range r.places[kind] {
			p := n.at.Field("called")
			text := strings.ToLower(r.textAt(p))
			if other, twice := first[text]; twice && text != "" {
				r.Value(check.Stop, source.RuleDuplicate, p, fmt.Sprintf("the %s %s is called like %s", kind, n.name, other), "give each its own words")
			}
			first[text] = n.name
		}
	}
}

// textAt is what stands at a place, without its quotes.
func (r *reader) textAt(p *source.Place) string {
	if p == nil || !r.Doc.Located || !p.Value.Known() {
		return ""
	}
	return strings.Trim(r.Doc.Src[p.Value.Start:p.Value.End], `"'`)
}

// judge looks at the circuit as a whole. Where a name is not declared, what hangs on
// it is not judged: that has been reported.
func (r *reader) judge(c *trace.Circuit) {
	whole := !r.List.HasStop()
	r.circles(c)
	r.safety(c)
	if whole {
		r.seen(c)
		r.effects(c)
	}
}

// circles reports tests that wait for each other.
func (r *reader) circles(c *trace.Circuit) {
	after := map[string][]string{}
	for i := range c.Tests {
		after[c.Tests[i].Name] = c.Tests[i].After
	}
	done := map[string]bool{}
	var path []string
	var walk func(name string)
	walk = func(name string) {
		if i := slices.Index(path, name); i >= 0 {
			round := append(slices.Clone(path[i:]), name)
			r.Value(check.Stop, source.RuleCircle, r.at("test", path[i]).Field("after"), "these tests wait for each other: "+strings.Join(round, ", "), "leave one `after` out")
			return
		}
		if done[name] {
			return
		}
		path = append(path, name)
		for _, next := range after[name] {
			walk(next)
		}
		path = path[:len(path)-1]
		done[name] = true
	}
	for i := range c.Tests {
		walk(c.Tests[i].Name)
	}
}

// safety reports what would put somebody in danger.
func (r *reader) safety(c *trace.Circuit) {
	structure := map[string]bool{}
	for i := range c.Paths {
		structure[c.Paths[i].Name] = c.Paths[i].Kind == trace.Structure
	}
	for i := range c.Tests {
		t := &c.Tests[i]
		at := r.at("test", t.Name)
		if len(t.Blanks) > 0 && !t.Down {
			r.Value(check.Stop, RuleBlank, at.Field("blanks"), fmt.Sprintf("the test %s blanks something under pressure", t.Name), "down = true: the pressure is let down before anything is blanked")
		}
		if t.Apart && !t.Down {
			r.Value(check.Stop, RuleBlank, at.Field("apart"), fmt.Sprintf("the test %s takes something apart under pressure", t.Name), "down = true")
		}
		for j, name := range t.Paths {
			if structure[name] {
				r.Value(check.Stop, RuleStructure, at.Field("holds").Item(j), fmt.Sprintf("%s is structure: it is not shut off, sealed or mended to see whether it holds", source.Shown(name)), "leave it out; the inspector decides")
			}
		}
		if t.Repair && t.Means != trace.Holds && t.Means != "" {
			r.Value(check.Stop, source.RuleValue, at.Field("repair"), fmt.Sprintf("the test %s mends something, so its question is whether the boiler holds now", t.Name), "holds = [\"...\"]")
		}
		if t.Means == trace.Half && !t.Working {
			r.Value(check.Stop, RuleWorking, at.Field("half"), fmt.Sprintf("the test %s asks about half pressure at test pressure", t.Name), `at = "working"`)
		}
	}
}

// seen reports paths that no test can find and places that no test looks at.
func (r *reader) seen(c *trace.Circuit) {
	looked, told, shown := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for i := range c.Tests {
		t := &c.Tests[i]
		for _, place := range t.Places {
			looked[place] = true
		}
		for _, path := range t.Paths {
			told[path] = true
		}
		for _, s := range t.Says {
			told[s.Name] = told[s.Name] || s.Chance != t.Otherwise
		}
	}
	for i := range c.Paths {
		p := &c.Paths[i]
		found := told[p.Name]
		for _, s := range p.Shows {
			shown[s.Name] = true
			found = found || looked[s.Name]
		}
		if !found {
			r.Key(check.Stop, RuleUnseen, r.at("path", p.Name), fmt.Sprintf("nothing shows the path %s: no test looks where its water comes out, shuts it off or asks about it", p.Name), `add the place: shows = { some-place = 0.8 }`)
		}
	}
	for i := range c.Places {
		name := c.Places[i].Name
		switch {
		case !shown[name]:
			r.Key(check.Stop, RuleUnseen, r.at("place", name), fmt.Sprintf("no path shows water at the place %s", name), "leave it out, or add it to the `shows` of a path")
		case !looked[name]:
			r.Key(check.Stop, RuleUnseen, r.at("place", name), fmt.Sprintf("no test looks at the place %s", name), fmt.Sprintf(`look = "%s"`, name))
		}
	}
}

// effects reports tests whose answer says nothing about any path in any case, and
// cases in which nothing is under test.
func (r *reader) effects(c *trace.Circuit) {
	tells := make([]bool, len(c.Tests))
	for _, build := range c.Builds {
		for _, arrangement := range c.Arrangements {
			m, err := trace.NewModel(c, trace.Case{Build: build.Name, Arrangement: arrangement.Name})
			if err != nil {
				r.Key(check.Stop, RuleNowhere, r.at("build", build.Name), fmt.Sprintf("with the build %s and the arrangement %s no path has pressure on it", build.Name, arrangement.Name), "")
				continue
			}
			for i := range c.Tests {
				tells[i] = tells[i] || m.Tells(c.Tests[i].Name)
			}
		}
	}
	for i, tells := range tells {
		if !tells {
			name := c.Tests[i].Name
			r.Key(check.Stop, RuleNoEffect, r.at("test", name), fmt.Sprintf("the test %s tells nothing: its answer is as likely for one path as for another", name), "")
		}
	}
}
