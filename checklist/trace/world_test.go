package trace_test

import (
	"fmt"
	"hash/fnv"
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"fettle/checklist/trace"
)

// A world of engines that leak, made from the circuit's file by code of its own: it
// shares no sum with the program, only the file and the form of an answer.
//
// What an engine shows is drawn once for good: a path that does not show at a place
// does not show there at the second look either, and a path that is tight at half
// pressure stays so. The program does not know this and takes tests as independent.
type world struct {
	Figures map[string]any
	Covers  map[string]struct{ Paths []string }
	Paths   map[string]struct {
		Kind   string
		Often  float64
		AtHalf float64 `toml:"at_half"`
		Under  map[string][]string
		Shows  map[string]float64
	}
	Places map[string]struct{ Mistake float64 }
	Tests  map[string]struct {
		Look                           string
		Walk, Late, Holds, Only        []string
		Says                           map[string]float64
		Half, Down                     bool
		Otherwise                      float64
		Two, At                        string
		Minutes, Each, Unsure          float64
		Forbidden, Wet, After, Dangers []string
	}

	build, arrangement string
	often              map[string]float64 // of the paths under pressure, as they are in this world
	noise              float64            // wrong answers are so much likelier than the file says
}

func newWorld(t testing.TB, src []byte, build, arrangement string) *world {
	w := &world{build: build, arrangement: arrangement, often: map[string]float64{}, noise: 1}
	_, err := toml.Decode(string(src), w)
	require.NoError(t, err)
	for name, p := range w.Paths {
		if p.Under == nil || slices.Contains(p.Under[build], arrangement) {
			w.often[name] = p.Often
		}
	}
	return w
}

func (w *world) figure(name string) float64 {
	if f, ok := w.Figures[name].(float64); ok {
		return f
	}
	return float64(w.Figures[name].(int64))
}

// blur makes a chance worse as an observation: what is likelier than not is missed so
// much oftener. noise 2 doubles every chance of a wrong answer.
func (w *world) blur(p float64) float64 {
	if p >= 0.5 {
		return math.Max(0.5, 1-w.noise*(1-p))
	}
	return p / w.noise
}

// wrongly is a chance that is all mistake.
func (w *world) wrongly(p float64) float64 { return math.Min(0.5, w.noise*p) }

// engine is one engine of the world and what was done to it.
type engine struct {
	*world
	seed    uint64
	causes  []string
	known   map[string]bool // by place: looked at in ten minutes
	tries   map[string]int
	minutes float64
}

func (w *world) engine(seed, n uint64) *engine {
	e := &engine{world: w, seed: seed*1_000_003 + n, known: map[string]bool{}, tries: map[string]int{}}
	e.causes = []string{e.draw("first", "")}
	if e.roll("two") < w.figure("two_at_once") {
		// Two as the product of their shares: both are drawn until they differ.
		for i := 0; ; i++ {
			a, b := e.draw(fmt.Sprint("a", i), ""), e.draw(fmt.Sprint("b", i), "")
			if a != b {
				e.causes = []string{a, b}
				break
			}
		}
	}
	return e
}

// roll is a number from 0 to 1 that belongs to this engine and to what it is for.
func (e *engine) roll(what string) float64 {
	h := fnv.New64a()
	fmt.Fprintf(h, "%d/%s", e.seed, what)
	x := h.Sum64()
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	x ^= x >> 31
	return float64(x>>11) / (1 << 53)
}

func (e *engine) draw(what, not string) string {
	names := slices.Sorted(maps.Keys(e.often))
	sum := 0.0
	for _, name := range names {
		sum += e.often[name]
	}
	at := e.roll(what) * sum
	for _, name := range names {
		if at -= e.often[name]; at < 0 {
			return name
		}
	}
	return names[len(names)-1]
}

func (e *engine) losesAtHalf(path string) bool { return e.roll("half/"+path) < e.Paths[path].AtHalf }

// wet says whether water stands at a place: within ten minutes at working or at test
// pressure, or after half an hour.
func (e *engine) wet(place string, at string) bool {
	for _, path := range e.causes {
		chance := e.Paths[path].Shows[place]
		if chance == 0 {
			continue
		}
		shows := e.roll("shows/"+path+"/"+place) < e.blur(chance)
		if at == "late" {
			shows = shows || e.roll("late/"+path+"/"+place) < e.figure("late")*chance
		}
		if at == "working" {
			shows = shows && e.losesAtHalf(path)
		}
		if shows {
			return true
		}
	}
	return false
}

// seen is what a person says of a place.
func (e *engine) seen(place, at string) bool {
	return e.wet(place, at) || e.roll("mistake/"+place+"/"+at) < e.wrongly(e.Places[place].Mistake)
}

func level(at string, late bool) string {
	switch {
	case late:
		return "late"
	case at == "working":
		return "working"
	}
	return "test"
}

// do makes a test, or dries a place and looks at it once more, and counts the minutes.
// places are those of a walk that are looked at.
func (e *engine) do(name, again string, places []string) trace.Answer {
	t, ok := e.Tests[name]
	if !ok {
		panic("no test " + name)
	}
	a := trace.Answer{Test: name, Again: again, Saw: trace.No}
	e.minutes += t.Minutes + t.Each*float64(len(places))
	if t.Down && again == "" {
		e.minutes += e.figure("let_down") + e.figure("pump_up")
	}
	e.tries[name+again]++
	if e.roll(fmt.Sprint("unsure/", name, again, e.tries[name+again])) < math.Min(1, e.noise*t.Unsure) {
		a.Saw = trace.Unsure
		return a
	}
	yes := false
	at := level(t.At, len(t.Late) > 0)
	switch {
	case again != "":
		chance := e.wrongly(e.figure("again_dry"))
		if e.wet(again, at) {
			chance = e.blur(e.figure("again_wet"))
		}
		yes = e.roll("again/"+again) < chance
	case t.Look != "":
		yes = e.seen(t.Look, at)
	case len(places) > 0:
		for _, p := range slices.Concat(t.Walk, t.Late) {
			if !slices.Contains(places, p) {
				a.Not = append(a.Not, p)
			} else if e.seen(p, at) {
				a.Wet = append(a.Wet, p)
			}
		}
	case len(t.Holds) > 0:
		yes = e.roll("holds/"+name) < e.holds(t.Holds)
	case t.Half:
		chance := e.blur(e.figure("holds_all"))
		if slices.ContainsFunc(e.causes, e.losesAtHalf) {
			chance = e.wrongly(e.figure("holds_none"))
		}
		yes = e.roll("halfholds") < chance
	default:
		yes = e.roll("says/"+name) < e.says(t.Says, t.Otherwise, t.Two, t.At)
	}
	if yes {
		a.Saw = trace.Yes
	}
	return a
}

func (e *engine) holds(shut []string) float64 {
	in := 0
	for _, path := range e.causes {
		if slices.Contains(shut, path) {
			in++
		}
	}
	switch in {
	case len(e.causes):
		return e.blur(e.figure("holds_all"))
	case 0:
		return e.wrongly(e.figure("holds_none"))
	}
	return e.wrongly(e.figure("holds_one"))
}

func (e *engine) says(says map[string]float64, otherwise float64, two, at string) float64 {
	var chances []float64
	for _, path := range e.causes {
		p, ok := says[path]
		if !ok || at == "working" && !e.losesAtHalf(path) {
			p = otherwise
		}
		if p < 0.5 && ok == false {
			p = e.wrongly(p)
		} else if ok {
			p = e.blur(p)
		}
		chances = append(chances, p)
	}
	if two == "all" {
		return slices.Min(chances)
	}
	return slices.Max(chances)
}

// result is how one search ended.
type result struct {
	minutes                    float64
	wrong, missed, alarm, quit bool
	guessed                    bool // gave up, and its best guess was right
	half                       bool // named two to be mended, of which one did not leak
	doubted                    bool
	steps                      int
}

// end judges what was named: paths, the structure, or nothing (given up; guess is
// the best guess then).
func (e *engine) end(named []string, structure bool, guess string) result {
	r := result{minutes: e.minutes}
	leaks := slices.ContainsFunc(e.causes, func(p string) bool { return e.Paths[p].Kind == "structure" })
	right := slices.ContainsFunc(named, func(p string) bool { return slices.Contains(e.causes, p) })
	switch {
	case structure:
		r.alarm = !leaks
	case len(named) > 0:
		r.wrong = !right
		r.missed = !right && leaks
		r.half = right && len(named) == 2 && !slices.Contains(e.causes, named[0])
	default:
		r.quit, r.guessed = true, slices.Contains(e.causes, guess)
		r.minutes += quitMinutes
	}
	return r
}

// What a search that was given up costs: somebody else, another evening.
const quitMinutes = 60

// table sums up many searches.
type tally struct {
	all                                                        []float64
	wrong, missed, alarm, quit, guessed, half, doubted, number int
	steps                                                      int
}

func (t *tally) add(r result) {
	t.all = append(t.all, r.minutes)
	t.number++
	t.steps += r.steps
	for _, c := range []struct {
		is bool
		to *int
	}{{r.wrong, &t.wrong}, {r.missed, &t.missed}, {r.alarm, &t.alarm}, {r.quit, &t.quit}, {r.guessed, &t.guessed}, {r.half, &t.half}, {r.doubted, &t.doubted}} {
		if c.is {
			*c.to++
		}
	}
}

func (t *tally) mean() float64 {
	sum := 0.0
	for _, m := range t.all {
		sum += m
	}
	return sum / float64(len(t.all))
}

func (t *tally) quantile(q float64) float64 {
	sorted := slices.Sorted(slices.Values(t.all))
	return sorted[int(q*float64(len(sorted)-1))]
}

func (t *tally) share(n int) float64 { return 100 * float64(n) / float64(t.number) }

func (t *tally) String() string {
	return fmt.Sprintf("%6d engines: mean %6.1f median %6.1f 95%% %6.1f min, wrong %5.2f missed %4.2f alarm %4.2f given up %5.2f (guess right %5.2f) one of two %4.2f doubted %4.2f %%, %4.1f steps",
		t.number, t.mean(), t.quantile(0.5), t.quantile(0.95), t.share(t.wrong), t.share(t.missed), t.share(t.alarm), t.share(t.quit), t.share(t.guessed), t.share(t.half), t.share(t.doubted), float64(t.steps)/float64(t.number))
}
