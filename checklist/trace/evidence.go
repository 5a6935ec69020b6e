package trace

import (
	"fmt"
	"slices"
)

// Pressure is how high a boiler stands.
type Pressure string

const (
	Down      Pressure = "down"
	AtWorking Pressure = "working" // about half the test pressure
	AtTest    Pressure = "test"
)

// Saw is the answer to a test.
type Saw string

const (
	Yes    Saw = "yes"
	No     Saw = "no"
	Unsure Saw = "unsure" // cannot tell: changes nothing
)

// Answer is what one test showed. Of a walk, Saw is Unsure or empty and the wet places
// are listed; those not looked at too, the others were dry.
//
// "It holds" is Yes only where the log of the temperature tells the fall from the
// change of temperature; else it is Unsure.
type Answer struct {
	Test  string
	Saw   Saw
	Again string   // the place that was dried and looked at once more, after a yes
	Wet   []string // of a walk
	Not   []string // of a walk: places not looked at
	// Mended is a path that was repaired outside the search: Saw says whether the
	// boiler holds now. Test is empty then.
	Mended string
	// Pressure and Arrangement are those of the answer; where empty, those of the
	// test and of the case.
	Pressure    Pressure
	Arrangement string
}

// Aside is an answer that does not count, by its place in the list, and why.
type Aside struct {
	Answer int
	Why    string
}

// sight is what was seen at one place: at each moment, and once more when it was dried.
type sight struct {
	wet, dry           [moments]bool
	againWet, againDry bool
}

func (s *sight) anyWet() bool { return s.wet[atWorking] || s.wet[atTest] || s.wet[afterLong] }

// told says whether a look at this moment could show nothing new.
func (s *sight) told(moment int) bool {
	for k := moment; k < moments; k++ {
		if s.wet[k] || s.dry[k] {
			return true
		}
	}
	return s.anyWet()
}

// weights say how likely the sight is for each moment from which on water shows, and
// for never. What was seen wet and dry at one moment was looked at twice: it counts as
// dried and dry again.
func (s sight) weights(p *place, f *Figures) (w [moments + 1]float64) {
	last := -1
	for k := range moments {
		if s.wet[k] {
			last = k
			s.againDry = s.againDry || s.dry[k]
			s.dry[k] = false
		}
	}
	for from := range w {
		w[from] = 1
		for k := range moments {
			switch wet := from <= k; {
			case s.wet[k] && !wet:
				w[from] *= p.Mistake
			case s.dry[k] && wet:
				w[from] = 0
			case s.dry[k]:
				w[from] *= 1 - p.Mistake
			}
		}
		again := f.AgainDry
		if from <= last {
			again = f.AgainWet
		}
		if last >= 0 && s.againWet {
			w[from] *= again
		}
		if last >= 0 && s.againDry {
			w[from] *= 1 - again
		}
	}
	return w
}

// likely is how likely the sight is under a cause.
func (p *place) likely(w *[moments + 1]float64, cause int) float64 {
	return p.from[0][cause]*w[0] + p.from[1][cause]*w[1] + p.from[2][cause]*w[2] + p.from[3][cause]*w[3]
}

// plain is the answer to a test that looks at no place. The same answer twice is one.
type plain struct{ yes, no bool }

// evidence is all that the answers say, in no order.
type evidence struct {
	sights []sight     // by place
	plain  [2][]plain  // by pressure (test, working) and test
	mended [2][]plain  // by pressure and path
	tried  map[key]int // how often a test could not tell
	made   []bool      // by test: it was made, whatever it showed
}

// key names a test, or another look at a place.
type key struct{ test, again int }

func (m *Model) noEvidence() *evidence {
	e := &evidence{sights: make([]sight, len(m.places)), tried: map[key]int{}, made: make([]bool, len(m.tests))}
	for at := range e.plain {
		e.plain[at], e.mended[at] = make([]plain, len(m.tests)), make([]plain, len(m.paths))
	}
	return e
}

// gather sorts the answers into what they are about.
func (m *Model) gather(answers []Answer) (*evidence, []Aside) {
	e := m.noEvidence()
	var aside []Aside
	for i, a := range answers {
		if why := m.take(e, a); why != "" {
			aside = append(aside, Aside{i, why})
		}
	}
	return e, aside
}

// take adds one answer to the evidence, or says why it cannot count.
func (m *Model) take(e *evidence, a Answer) string {
	if a.Arrangement != "" && a.Arrangement != m.kase.Arrangement {
		return "it was made in another arrangement of the test: that is another question"
	}
	working := a.Pressure == AtWorking
	switch a.Pressure {
	case "", AtWorking, AtTest:
	default:
		return fmt.Sprintf("%q is no pressure at which a test is made: working, test", a.Pressure)
	}
	switch a.Saw {
	case Yes, No, Unsure, "":
	default:
		return fmt.Sprintf("%q is no answer: yes, no, unsure", a.Saw)
	}
	if a.Mended != "" {
		path, ok := m.pathAt[a.Mended]
		if !ok {
			return fmt.Sprintf("no path %q has pressure on it here", a.Mended)
		}
		return e.mended[index(working)][path].add(a.Saw)
	}
	i, ok := m.testAt[a.Test]
	if !ok {
		return fmt.Sprintf("there is no test %q in this arrangement", a.Test)
	}
	t := &m.tests[i]
	if a.Pressure == "" {
		working = t.Working
	}
	if a.Again != "" {
		return m.takeAgain(e, t, i, a)
	}
	if a.Saw == Unsure {
		e.tried[key{i, -1}]++
		return ""
	}
	why := ""
	switch {
	case t.Means == Look && len(t.places) == 0:
		why = "nothing that has pressure on it here shows there"
	case t.Means == Look:
		why = e.sights[t.places[0]].add(a.Saw, moment(t, working))
	case t.Means == Walk, t.Means == Late:
		why = m.takeWalk(e, t, a, moment(t, working))
	default:
		why = e.plain[index(working)][i].add(a.Saw)
	}
	e.made[i] = e.made[i] || why == ""
	return why
}

func (m *Model) takeAgain(e *evidence, t *test, i int, a Answer) string {
	p, ok := m.placeAt[a.Again]
	if !ok || !slices.Contains(t.Places, a.Again) {
		return fmt.Sprintf("the test %q does not look at %q", a.Test, a.Again)
	}
	switch a.Saw {
	case Unsure:
		e.tried[key{i, p}]++
	case Yes:
		e.sights[p].againWet = true
	case No:
		e.sights[p].againDry = true
	default:
		return "it has no answer"
	}
	return ""
}

func (m *Model) takeWalk(e *evidence, t *test, a Answer, at int) string {
	for _, name := range slices.Concat(a.Wet, a.Not) {
		if !slices.Contains(t.Places, name) {
			return fmt.Sprintf("the test %q does not look at %q", a.Test, name)
		}
	}
	if a.Saw == Yes && len(a.Wet) == 0 {
		return "it does not say which places are wet"
	}
	for _, p := range t.places {
		saw := No
		if slices.Contains(a.Wet, m.places[p].Name) {
			saw = Yes
		} else if slices.Contains(a.Not, m.places[p].Name) {
			continue
		}
		e.sights[p].add(saw, at)
	}
	return ""
}

// moment is from when on water shows that such a look sees.
func moment(t *test, working bool) int {
	switch {
	case t.Means == Late:
		return afterLong
	case working:
		return atWorking
	}
	return atTest
}

func index(working bool) int {
	if working {
		return 1
	}
	return 0
}

func (s *sight) add(saw Saw, at int) string {
	switch saw {
	case Yes:
		s.wet[at] = true
	case No:
		s.dry[at] = true
	default:
		return "it has no answer"
	}
	return ""
}

func (p *plain) add(saw Saw) string {
	switch saw {
	case Yes:
		p.yes = true
	case No:
		p.no = true
	case "":
		return "it has no answer"
	}
	return ""
}
