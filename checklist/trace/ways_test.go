package trace_test

import (
	"cmp"
	"maps"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"

	"fettle/checklist/trace"
)

// way searches one engine.
type way func(*engine) result

// byTrace is the program's way. Where it never gives up it goes on while any test is
// left.
func byTrace(t testing.TB, m *trace.Model, givesUp bool) way {
	return func(e *engine) result {
		var answers []trace.Answer
		for {
			s := m.Search(trace.Now{}, answers)
			assert.Empty(t, s.Aside)
			r, over := e.over(s, givesUp)
			if over {
				_, r.doubted = s.Doubt()
				r.steps = len(answers)
				return r
			}
			p := s.Next()[0]
			before := e.minutes
			answers = append(answers, e.do(p.Test.Name, p.Again, p.Places))
			assert.InDelta(t, e.minutes-before, p.Minutes, 1e-9, p.Test.Name)
		}
	}
}

// over says whether the program's rule ends a search.
func (e *engine) over(s *trace.Search, givesUp bool) (result, bool) {
	c := s.Conclusion()
	var names []string
	for _, p := range c.Paths {
		names = append(names, p.Name)
	}
	switch {
	case c.Ending == trace.Stop:
		return e.end(nil, true, ""), true
	case c.Ending == trace.Found:
		return e.end(names, false, ""), true
	case c.Ending == trace.NotFound && givesUp, len(s.Next()) == 0:
		return e.end(nil, false, s.Suspects()[0].Path.Name), true
	}
	return result{}, false
}

// line is a line of the fault tree on paper: where one looks, and how one makes sure.
type line struct {
	look, sure string
	names      []string // nil: the structure
}

// onPaper is the order of the fault tree as it is printed: no leak at all, the rig,
// what passes through, what is seen, the structure. Source: common practice.
func onPaper() []line {
	return []line{
		{"wait", "", []string{"settling"}},
		{"stop-valve", "", []string{"rig"}},
		{"plug-tissue", "seal-test-plugs", []string{"test-plugs"}},
		{"drain-cocks", "header-blank", []string{"regulator", "steam-pipe"}},
		{"header-tissue", "regulator-shut", []string{"header"}},
		{"blower-jets", "blower-cap", []string{"blower-valve", "blower-stay"}},
		{"left-feed", "", []string{"left-clack"}},
		{"right-feed", "", []string{"right-clack"}},
		{"overflow", "turret-caps", []string{"injector-valve"}},
		{"whistle", "turret-caps", []string{"whistle-valve"}},
		{"blowdown", "blowdown-plug", []string{"blowdown-valve"}},
		{"glass-drain", "glass-shut", []string{"glass-drain"}},
		{"glass-nuts", "glass-shut", []string{"glass-nuts"}},
		{"spindles", "nip-gland", []string{"glands"}},
		{"element-tissue", "regulator-shut", []string{"element-joints", "element"}},
		{"cover-seams", "tighten-covers", []string{"covers"}},
		{"screw-heads", "seal-screws", []string{"shell-screws"}},
		{"firebox-mirror", "", nil},
		{"smokebox-mirror", "", nil},
		{"shell", "", nil},
		{"washout-plugs", "seat-washout-plugs", []string{"washout-plugs"}},
	}
}

// lines are those of the paper that can be walked in this arrangement.
func (e *engine) lines() (list []line) {
	for _, l := range onPaper() {
		only := e.Tests[l.look].Only
		if len(only) > 0 && !slices.Contains(only, e.arrangement) {
			continue
		}
		if l.names == nil || slices.ContainsFunc(l.names, func(p string) bool { return e.often[p] > 0 }) {
			list = append(list, l)
		}
	}
	return list
}

// ask makes a test; cannot tell is tried once more and then taken for a no. A test
// made before is not made again.
func (e *engine) ask(made map[string]trace.Answer, name string) bool {
	if a, ok := made[name]; ok {
		return a.Saw == trace.Yes
	}
	a := e.do(name, "", nil)
	if a.Saw == trace.Unsure {
		a = e.do(name, "", nil)
	}
	made[name] = a
	return a.Saw == trace.Yes
}

// asWalked is the order on paper as people walk it: look, where it is wet make sure,
// and believe that. After one round the walk begins with what was wet there.
func asWalked(round bool) way {
	return func(e *engine) result {
		made := map[string]trace.Answer{}
		lines := e.lines()
		if round {
			a := e.do("round", "", e.Tests["round"].Walk)
			for _, l := range lines {
				if place := e.Tests[l.look].Look; slices.Contains(e.Tests["round"].Walk, place) {
					saw := trace.No
					if slices.Contains(a.Wet, place) {
						saw = trace.Yes
					}
					made[l.look] = trace.Answer{Test: l.look, Saw: saw}
				}
			}
			slices.SortStableFunc(lines, func(a, b line) int {
				rank := map[trace.Saw]int{trace.Yes: 0, "": 1, trace.No: 2}
				return cmp.Compare(rank[made[a.look].Saw], rank[made[b.look].Saw])
			})
		}
		for _, l := range lines {
			if !e.ask(made, l.look) {
				continue
			}
			if l.names == nil {
				return e.end(nil, true, "")
			}
			if l.sure == "" || e.ask(made, l.sure) {
				return e.end(l.names, false, "")
			}
		}
		return e.end(nil, false, "")
	}
}

// inOrder is the order on paper, stopped by the program's own rule and with all that
// the program may use: look; where it is wet dry it, look again and make sure; then,
// from the top again, make sure of the rest; then whatever test is left, in the order
// of the file.
func inOrder(m *trace.Model, file *trace.Circuit) way {
	return func(e *engine) result {
		var answers []trace.Answer
		made := map[string]bool{}
		var s *trace.Search
		do := func(name, again string, places []string) (result, bool) {
			a := e.do(name, again, places)
			if a.Saw == trace.Unsure {
				a = e.do(name, again, places)
			}
			made[name+again] = true
			answers = append(answers, a)
			s = m.Search(trace.Now{}, answers)
			return e.over(s, false)
		}
		once := func(name, again string) (result, bool) {
			if name == "" || made[name+again] {
				return result{}, false
			}
			return do(name, again, nil)
		}
		for _, l := range e.lines() {
			if r, done := once(l.look, ""); done {
				return r
			}
			if answers[len(answers)-1].Saw != trace.Yes {
				continue
			}
			if place := e.Tests[l.look].Look; place != "" {
				if r, done := once(l.look, place); done {
					return r
				}
			}
			if r, done := once(l.sure, ""); done {
				return r
			}
		}
		for _, l := range e.lines() {
			if r, done := once(l.sure, ""); done {
				return r
			}
		}
		for len(s.Next()) > 0 {
			left := slices.Clone(s.Next())
			first := slices.MinFunc(left, func(a, b trace.Proposal) int {
				return cmp.Compare(place(file, a.Test.Name), place(file, b.Test.Name))
			})
			if r, done := do(first.Test.Name, first.Again, first.Places); done {
				return r
			}
		}
		return e.end(nil, false, s.Suspects()[0].Path.Name)
	}
}

// place is where a test stands in the file.
func place(file *trace.Circuit, name string) int {
	return slices.IndexFunc(file.Tests, func(t trace.Test) bool { return t.Name == name })
}

// search searches n engines, shared out among the processors.
func search(w *world, seed uint64, n int, by way) *tally {
	results := make([]result, n)
	var next atomic.Int64
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := next.Add(1) - 1; int(i) < n; i = next.Add(1) - 1 {
				results[i] = by(w.engine(seed, uint64(i)))
			}
		})
	}
	workers.Wait()
	t := &tally{}
	for _, r := range results {
		t.add(r)
	}
	return t
}

// against makes the paths that take a way longest three times more frequent, and the
// others three times less: frequencies that are wrong against this way.
func against(t testing.TB, w *world, by way, n int) *world {
	minutes, number := map[string]float64{}, map[string]float64{}
	for i := range n {
		e := w.engine(7, uint64(i))
		r := by(e)
		for _, path := range e.causes {
			minutes[path] += r.minutes
			number[path]++
		}
	}
	names := slices.Sorted(maps.Keys(w.often))
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(minutes[a]/max(1, number[a]), minutes[b]/max(1, number[b])) })
	other := newWorld(t, boilerFile(t), w.build, w.arrangement)
	other.noise = w.noise
	for i, name := range names {
		if i < len(names)/2 {
			other.often[name] /= 3
		} else {
			other.often[name] *= 3
		}
	}
	return other
}

// slow says whether all engines are played: many minutes, too long for every landing.
func slow() bool { return os.Getenv("FETTLE_SLOW") == "all" }
