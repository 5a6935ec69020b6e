// Package circuit reads the file in which a circuit of loss is written down (TOML),
// and says everything that is wrong with it at once, with its place.
package circuit

import (
	"bytes"
	"fmt"
	"slices"

	"fettle/checklist/source"
	"fettle/checklist/trace"
	"fettle/threads/check"
)

// Format is the version of the files that this program reads.
const Format = 1

// What a circuit may be at most: twice what a boiler has.
const (
	maxNames  = 20 // builds, arrangements, conditions, covers
	maxPaths  = 60
	maxPlaces = 60
	maxTests  = 120
)

// Is says whether a text is meant for a circuit, also one that is broken: a heading of
// it names a path, a place or an arrangement, which no procedure has.
func Is(src []byte) bool {
	for line := range bytes.Lines(src) {
		for _, heading := range [...]string{"[paths.", "[places.", "[arrangements."} {
			if bytes.HasPrefix(bytes.TrimLeft(line, " \t"), []byte(heading)) {
				return true
			}
		}
	}
	return false
}

// reader collects what one file says.
type reader struct {
	*source.Reporter
	places map[string][]named // of each kind, what is declared
	refs   []reference
}

type named struct {
	name string
	at   *source.Place
}

// reference is a name that stands somewhere for one that is declared elsewhere.
type reference struct {
	kind string
	named
}

func (r *reader) refer(kind, name string, at *source.Place) {
	r.refs = append(r.refs, reference{kind, named{name, at}})
}

// at is where a name was declared.
func (r *reader) at(kind, name string) *source.Place {
	for _, n := range r.places[kind] {
		if n.name == name {
			return n.at
		}
	}
	return nil
}

// Read reads a circuit and says everything that is wrong with it. file only names the
// file in diagnostics. The circuit is nil where the text is no TOML, or of a newer
// format; it must not be worked with while the diagnostics hold a stop.
func Read(file string, src []byte) (*trace.Circuit, source.Diagnostics) {
	f, root := source.Open(file, src)
	if root == nil {
		return nil, f.Sorted()
	}
	r := &reader{Reporter: f, places: map[string][]named{}}
	t := &table{r: r, what: "a circuit", m: root, at: f.Doc.Root}
	if !r.format(t) {
		return nil, f.Sorted() // its keys mean other things
	}
	c := r.circuit(t)
	r.resolve()
	r.judge(c)
	return c, f.Sorted()
}

func (r *reader) format(t *table) bool {
	v, p := t.get("format")
	switch n, isInt := v.(int64); {
	case v == nil:
		t.missing("format", "format = 1")
	case !isInt:
		t.wrong(p, "format", "a number: format = 1")
	case n > Format:
		r.Value(check.Stop, source.RuleFormat, p, fmt.Sprintf("the circuit is written in format %d; this program reads format %d", n, Format), "use a newer version of the program")
		return false
	case n != Format:
		r.Value(check.Stop, source.RuleFormat, p, fmt.Sprintf("there is no format %d", n), "format = 1")
	}
	return true
}

func (r *reader) circuit(t *table) *trace.Circuit {
	c := &trace.Circuit{ID: t.text("id", `id = "boiler"`), Title: t.text("title", `title = "..."`)}
	if c.ID != "" {
		r.CheckName(c.ID, t.at.Field("id"), false)
	}
	if f, ok := t.inner("figures", "[figures]"); ok {
		c.Figures = figures(f)
		f.done()
	} else if !t.has("figures") {
		t.missing("figures", "[figures]")
	}
	names := func(kind string, to *[]trace.Named) {
		t.each(kind, maxNames, func(name string, t *table) { *to = append(*to, called(name, t)) })
	}
	names("build", &c.Builds)
	names("arrangement", &c.Arrangements)
	names("condition", &c.Conditions)
	t.each("cover", maxNames, func(name string, t *table) {
		c.Covers = append(c.Covers, trace.Cover{Named: called(name, t), Paths: t.names("paths", "path")})
	})
	t.each("path", maxPaths, func(name string, t *table) { c.Paths = append(c.Paths, path(name, t)) })
	t.each("place", maxPlaces, func(name string, t *table) {
		c.Places = append(c.Places, trace.Place{Named: called(name, t), Mistake: t.number("mistake", inside), Source: from(t)})
	})
	t.each("test", maxTests, func(name string, t *table) { c.Tests = append(c.Tests, test(name, t)) })
	for _, kind := range []string{"build", "arrangement", "path", "place", "test"} {
		if !t.has(kind + "s") {
			t.missing(kind+"s", "["+kind+"s.some-name]")
		}
	}
	t.done()
	return c
}

func called(name string, t *table) trace.Named {
	return trace.Named{Name: name, Called: t.text("called", `called = "..."`)}
}

// from reads where the figures of a table come from.
func from(t *table) string {
	return t.text("source", `source = "common practice", or where the figures come from`)
}

func figures(t *table) trace.Figures {
	f := trace.Figures{
		TwoAtOnce: t.number("two_at_once", aChance),
		AgainWet:  t.number("again_wet", inside), AgainDry: t.number("again_dry", inside),
		Late:     t.number("late", aChance),
		HoldsAll: t.number("holds_all", inside), HoldsOne: t.number("holds_one", inside), HoldsNone: t.number("holds_none", inside),
		LetDown: t.number("let_down", aTime), PumpUp: t.number("pump_up", aTime),
		Source: from(t),
	}
	for _, less := range [...]struct {
		low, high         string
		lowFigure, figure float64
	}{{"again_dry", "again_wet", f.AgainDry, f.AgainWet}, {"holds_one", "holds_all", f.HoldsOne, f.HoldsAll}, {"holds_none", "holds_all", f.HoldsNone, f.HoldsAll}} {
		if t.has(less.low) && t.has(less.high) && less.lowFigure > 0 && less.figure > 0 && less.lowFigure >= less.figure {
			t.r.Value(check.Stop, source.RuleValue, t.at.Field(less.low), fmt.Sprintf("`%s` must be less than `%s`", less.low, less.high), "")
		}
	}
	return f
}

func path(name string, t *table) trace.Path {
	p := trace.Path{
		Named:  called(name, t),
		Kind:   trace.Kind(t.word("kind", trace.Kinds(), true)),
		Often:  t.number("often", aShare),
		AtHalf: t.number("at_half", aChance),
		Shows:  shares(t, "shows", "place", inside),
		Source: from(t),
	}
	u, ok := t.inner("under", t.what)
	if !ok {
		return p
	}
	p.Under = map[string][]string{}
	for _, at := range u.at.Fields {
		t.r.refer("build", at.Name, at)
		p.Under[at.Name] = u.names(at.Name, "arrangement")
	}
	if len(p.Under) == 0 {
		t.r.Value(check.Stop, source.RuleEmpty, u.at, fmt.Sprintf("%s has pressure on it nowhere", t.what), "leave the key out where it always has")
	}
	return p
}

// shares reads { name = chance, other = chance }.
func shares(t *table, key, kind string, l limits) (list []trace.Share) {
	s, ok := t.inner(key, t.what)
	if !ok {
		return nil
	}
	for _, p := range s.at.Fields {
		name, _ := source.Clean(p.Name, false)
		t.r.refer(kind, name, p)
		list = append(list, trace.Share{Name: name, Chance: t.r.figure(s.m[p.Name], p, name, l)})
	}
	return list
}

// meanings are the keys of which a test has one.
var meanings = [...]trace.Means{trace.Look, trace.Walk, trace.Late, trace.Holds, trace.Says, trace.Half}

func test(name string, t *table) trace.Test {
	x := trace.Test{
		Name:   name,
		Do:     t.text("do", `do = "..."`),
		Ask:    t.text("ask", `ask = "...?"`),
		Source: from(t),
	}
	x.Minutes, x.Unsure = t.number("minutes", aTime), t.number("unsure", aChance)
	x.Working = t.word("at", []string{"working", "test"}, false) == "working"
	x.Down, x.Apart, x.Repair = t.flag("down"), t.flag("apart"), t.flag("repair")
	x.Open, x.Blanks, x.Needs, x.Dangers = t.lines("open"), t.lines("blanks"), t.lines("needs"), t.lines("dangers")
	x.Only = t.names("only", "arrangement")
	x.Forbidden = t.names("forbidden", "condition")
	x.After = t.names("after", "test")
	x.Wet = t.names("wet", "place")
	readMeaning(&x, t)
	return x
}

// readMeaning reads what the answer of a test is about: exactly one of the meanings,
// and the keys that go with it.
func readMeaning(x *trace.Test, t *table) {
	for _, m := range meanings {
		if !t.has(string(m)) {
			t.known = append(t.known, string(m))
			continue
		}
		if x.Means != "" {
			t.r.Key(check.Stop, source.RuleDuplicate, t.at.Field(string(m)), fmt.Sprintf("%s says `%s` and `%s`; its answer means one of them", t.what, x.Means, m), "make two tests of it")
			t.known = append(t.known, string(m))
			continue
		}
		x.Means = m
		switch m {
		case trace.Look:
			if place := t.text("look", ""); place != "" {
				x.Places = []string{place}
				t.r.refer("place", place, t.at.Field("look"))
			}
		case trace.Walk, trace.Late:
			x.Places = t.names(string(m), "place")
		case trace.Holds:
			x.Paths = t.names("holds", "path")
		case trace.Says:
			x.Says = shares(t, "says", "path", aChance)
		case trace.Half:
			t.flag("half")
		}
	}
	if x.Means == "" {
		t.missing("look", "or one of: walk, late, holds, says, half")
	}
	goesWith := func(key string, with ...trace.Means) bool {
		if t.has(key) && x.Means != "" && !slices.Contains(with, x.Means) {
			t.r.Key(check.Stop, source.RuleUnknownKey, t.at.Field(key), fmt.Sprintf("`%s` does not go with `%s`", key, x.Means), "")
		}
		return slices.Contains(with, x.Means)
	}
	if goesWith("otherwise", trace.Says) {
		x.Otherwise = t.number("otherwise", aChance)
		x.All = t.word("two", []string{"all", "any"}, true) == "all"
	}
	if goesWith("each", trace.Walk, trace.Late) {
		x.Each = t.numberOr("each", aTime)
	}
	goesWith("two", trace.Says)
	t.known = append(t.known, "otherwise", "two", "each")
}
