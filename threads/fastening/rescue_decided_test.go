package fastening

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// decided is a damaged hole and what a fitter would do with it. All were decided by
// hand from the basic sizes, before the order of the program was looked at: common
// practice, no source.
type decided struct {
	in     RescueInput
	thread string // the old one
	metal  string
	taps   []string // in the drawer
	job    []string // other threads of the same job
	kind   RescueKind
	first  string // the thread of the screw afterwards
	why    string
}

func decisions() []decided {
	return []decided{
		{thread: "M4", metal: "gunmetal", in: RescueInput{Hole: 3.4, Depth: 8, Kind: DryHole}, kind: Chase, first: "M4",
			why: "two thirds of the thread are there: a tap through it is all it wants"},
		{thread: "M4", metal: "gunmetal", in: RescueInput{Hole: 3.9, Depth: 12, Damaged: 3, Kind: DryHole}, kind: Longer, first: "M4",
			why: "only the mouth is gone; nine millimetres of sound thread lie below, and nothing is cut"},
		{thread: "M4", metal: "gunmetal", in: RescueInput{Hole: 3.55, Depth: 8, Kind: WetHole}, kind: NextSize, first: "M5",
			why: "half a thread is not kept in a wet hole and nothing is sound below; M5 clears the old one"},
		{thread: "M4", metal: "gunmetal", in: RescueInput{Hole: 3.81, Depth: 8, Kind: WetHole, Edge: 7, CoverHole: 4.5}, kind: NextSize, first: "M5",
			why: "a metric job: the next size that has a screw and a tap in the shop is M5, not M4.5"},
		{thread: "M4", metal: "gunmetal", job: []string{"2 BA", "1/4 x 40 ME"}, in: RescueInput{Hole: 3.81, Depth: 8, Kind: WetHole}, kind: NextSize, first: "2 BA",
			why: "BA is in the job already: a 4 mm drill takes the old thread away whole and leaves 72 %"},
		{thread: "M4", metal: "gunmetal", job: []string{"2 BA", "1/4 x 40 ME"}, in: RescueInput{Hole: 4.05, Depth: 8, Kind: WetHole}, kind: NextSize, first: "3/16 x 40 ME",
			why: "2 BA is smaller, but its hole may be 4.034 at most; a 4.2 drill gives 3/16 x 40 a full thread"},
		{thread: "M4", metal: "gunmetal", in: RescueInput{Hole: 4.05, Depth: 6, Kind: WetHole}, kind: NextSize, first: "M5",
			why: "a metric job, stripped: M5 cuts clear of the old thread"},
		{thread: "M4", metal: "gunmetal", taps: []string{"2 BA", "0 BA", "4 BA"}, in: RescueInput{Hole: 4.05, Depth: 8, Kind: DryHole}, kind: NextSize, first: "2 BA",
			why: "the tap in the drawer is used; 67 % of thread is low and enough"},
		{thread: "M3", metal: "gunmetal", in: RescueInput{Hole: 2.7, Depth: 5, Kind: WetHole, Edge: 3.5}, kind: NextSize, first: "M3.5",
			why: "5 BA would leave 28 % of its thread whole and leak, M4 comes too near the edge; M3.5 keeps 64 %"},
		{thread: "M3", metal: "gunmetal", in: RescueInput{Hole: 3.05, Depth: 6, Kind: WetHole}, kind: NextSize, first: "M4",
			why: "for M3.5 the hole is too wide already; M4 gets a full thread from a 3.3 drill"},
		{thread: "M5", metal: "cast iron", in: RescueInput{Hole: 5.05, Depth: 12, Kind: BlindHole}, kind: NextSize, first: "M6",
			why: "the hole is M6's tapping size within five hundredths"},
		{thread: "6 BA", metal: "gunmetal", in: RescueInput{Hole: 2.65, Depth: 6.35, Kind: WetHole, Edge: 5, CoverHole: 3.2}, kind: NextSize, first: "4 BA",
			why: "5 BA leaves 56 % whole over the old spiral, and is an odd number that few have; 4 BA clears it"},
		{thread: "6 BA", metal: "gunmetal", in: RescueInput{Hole: 2.5, Depth: 6, Kind: DryHole}, kind: NextSize, first: "4 BA",
			why: "M3 would stand on the old grooves with 31 % whole; the next even number has screws and tap"},
		{thread: "8 BA", metal: "brass", in: RescueInput{Hole: 2.05, Depth: 5, Kind: WetHole}, kind: NextSize, first: "6 BA",
			why: "7 BA and M2.5 leave about half of their thread whole; 6 BA at 2.35 is clear of the old one"},
		{thread: "4 BA", metal: "gunmetal", in: RescueInput{Hole: 3.2, Depth: 7.2, Kind: WetHole}, kind: NextSize, first: "2 BA",
			why: "M4 and 5/32 x 40 leave less than half whole; 2 BA at 4.0 is clear and of the same family"},
		{thread: "4 BA", metal: "gunmetal", in: RescueInput{Hole: 3.65, Depth: 7.2, Kind: WetHole}, kind: NextSize, first: "2 BA",
			why: "stripped clean: the next even number, and no odd fine metric thread"},
		{thread: "2 BA", metal: "gunmetal", job: []string{"7/32 x 40 ME"}, in: RescueInput{Hole: 4.3, Depth: 8, Kind: WetHole, Edge: 7}, kind: NextSize, first: "7/32 x 40 ME",
			why: "M5 would leave 29 % whole and leak; 7/32 x 40 clears the old thread with the least metal, and the job has that family"},
		{thread: "2 BA", metal: "gunmetal", in: RescueInput{Hole: 4.3, Depth: 9, Kind: WetHole, Edge: 7}, kind: NextSize, first: "0 BA",
			why: "a job of BA alone: 0 BA clears the old thread, 7 mm to the edge are enough for it"},
		{thread: "2 BA", metal: "copper", taps: []string{"0 BA", "M6"}, in: RescueInput{Hole: 4.75, Depth: 6, Kind: DryHole}, kind: NextSize, first: "0 BA",
			why: "both taps are there and as large; the one of the job's own family"},
		{thread: "1/8 BSW", metal: "gunmetal", in: RescueInput{Hole: 2.9, Depth: 6, Kind: WetHole}, kind: NextSize, first: "5/32 x 40 ME",
			why: "the old thread is 1/8 x 40 as well: the next of that family, drilled 3.4, is clear of it"},
		{thread: "5/32 x 40 ME", metal: "gunmetal", in: RescueInput{Hole: 4.02, Depth: 7, Kind: WetHole}, kind: NextSize, first: "3/16 x 40 ME",
			why: "the next of the family, from a 4.2 drill"},
		{thread: "3/16 x 40 ME", metal: "gunmetal", in: RescueInput{Hole: 4.81, Depth: 8, Kind: WetHole}, kind: NextSize, first: "7/32 x 40 ME",
			why: "the next of the family, from a 5 mm drill"},
		{thread: "1/4 x 40 ME", metal: "gunmetal", in: RescueInput{Hole: 6.2, Depth: 8, Kind: WetHole}, kind: NextSize, first: "5/16 x 40 ME",
			why: "9/32 is in no drawer; 5/16 of the same pitch"},
		{thread: "1/4 x 26 brass", metal: "gunmetal", in: RescueInput{Hole: 6.2, Depth: 8, Kind: WetHole}, kind: NextSize, first: "5/16 x 26 brass",
			why: "a fitting's thread stays with 26 TPI"},
		{thread: "M6", metal: "boiler plate", in: RescueInput{Hole: 6.3, Depth: 3, Kind: WetHole}, kind: NextSize, first: "5/16 x 40 ME",
			why: "3 mm of plate hold two turns of M8 and nearly five of 40 TPI"},
		{thread: "M4", metal: "copper", in: RescueInput{Hole: 6, Depth: 3, Kind: WetHole}, kind: Bush, first: "M4",
			why: "so large a hole in thin copper: a bronze bush keeps the screw, a bigger screw would have no thread"},
	}
}

func (d decided) input(t testing.TB) RescueInput {
	in := d.in
	in.Thread, in.Into = mustThread(t, d.thread), mustMetal(t, d.metal)
	for _, name := range d.taps {
		in.Taps = append(in.Taps, mustThread(t, name))
	}
	for _, name := range d.job {
		in.Families = append(in.Families, mustThread(t, name).Series)
	}
	return in
}

// The program does what was decided.
func TestRescueDoesWhatAFitterWouldDo(t *testing.T) {
	list := decisions()
	require.GreaterOrEqual(t, len(list), 20)
	for _, d := range list {
		r := mustRescue(t, d.input(t))
		require.NotEmpty(t, r.Options)
		first := r.Options[0]
		require.NotEqual(t, check.Stop, first.Verdict)
		require.Equal(t, string(d.kind)+" "+d.first, string(first.Kind)+" "+first.Thread.String(), "%s, hole %v: %s", d.thread, d.in.Hole, d.why)
	}
}

// What counts earlier outweighs everything that counts later.
func TestRescueOrderOfWhatCounts(t *testing.T) {
	worse := []standing{
		{stop: 1}, {leaks: 1}, {weak: 1}, {poor: 1}, {tools: 1}, {around: 1}, {kind: 1}, {metal: 1}, {kin: 1}, {drill: 1},
	}
	for i, a := range worse {
		var rest standing // the worst in all that counts later
		for _, b := range worse[i+1:] {
			rest.leaks, rest.weak, rest.poor, rest.around = max(rest.leaks, 9*b.leaks), max(rest.weak, 9*b.weak), max(rest.poor, 9*b.poor), max(rest.around, 9*b.around)
			rest.tools, rest.kind, rest.metal = max(rest.tools, 9*b.tools), max(rest.kind, 9*b.kind), max(rest.metal, 9*b.metal)
			rest.kin, rest.drill = max(rest.kin, 9*b.kin), max(rest.drill, 9*b.drill)
		}
		require.Positive(t, a.compare(rest), "%+v", a)
		require.Negative(t, rest.compare(a), "%+v", a)
	}
}

// A figure more makes no advice worse. Two options change places only where it adds a
// consequence to one of them; and unless what came first has become a stop, what comes
// first then has no leak path where the former had none, and holds no less by the
// classes of the strength. Only the hole in the cover can take a word back: whether a
// gasket is cut into hangs on it.
func TestOneFigureMoreMakesNoAdviceWorse(t *testing.T) {
	var usual []threads.Thread
	for _, t := range threads.All() {
		switch t.Series {
		case threads.ISOCoarse, threads.BANumbered, threads.ME, threads.BSF:
			if t.Major > 2 && t.Major < 9 {
				usual = append(usual, t)
			}
		}
	}
	moved := 0
	rapid.Check(t, func(t *rapid.T) {
		for range 4 {
			moved += oneFigureMore(t, rapid.SampledFrom(usual).Draw(t, "thread"))
		}
	})
	require.Positive(t, moved, "no figure moved anything")
}

// oneFigureMore draws a hole of that thread and works it out with and without one
// figure; it returns how many pairs changed places.
func oneFigureMore(t *rapid.T, th threads.Thread) (moved int) {
	in := RescueInput{
		Thread: th, Hole: th.MinorInternal() + (th.Major-th.MinorInternal())*quantity.Length(rapid.Float64Range(0, 1.15).Draw(t, "hole")),
		Into: rapid.SampledFrom(metals()).Draw(t, "metal"), Depth: th.Major * quantity.Length(rapid.Float64Range(0.4, 3).Draw(t, "depth")),
		Kind: rapid.SampledFrom([]HoleKind{"", WetHole, WetHole, BlindHole, DryHole}).Draw(t, "kind"),
		Head: rapid.SampledFrom([]threads.HeadKind{threads.HexHead, threads.CountersunkHead}).Draw(t, "head"),
	}
	figures := map[string]func(d quantity.Length){
		"edge":       func(d quantity.Length) { in.Edge = d * ratioIn(t, 0.9, 2) },
		"next hole":  func(d quantity.Length) { in.Neighbour = d * ratioIn(t, 1.7, 4) },
		"cover hole": func(d quantity.Length) { in.CoverHole = d * ratioIn(t, 1, 1.4) },
		"gasket":     func(d quantity.Length) { in.GasketEdge = d * ratioIn(t, 0.4, 1.2) },
		"head room":  func(d quantity.Length) { in.HeadRoom = d * ratioIn(t, 1.6, 3) },
		"cover":      func(d quantity.Length) { in.Cover = d * ratioIn(t, 0.2, 1) },
	}
	names := slices.Sorted(maps.Keys(figures))
	more := rapid.SampledFrom(names).Draw(t, "figure more")
	for _, f := range names {
		if f != more && rapid.Bool().Draw(t, f+" is known") {
			figures[f](th.Major)
		}
	}
	before, err := Rescue(in)
	if err != nil {
		return 0 // a figure that cannot be, such as an edge inside the hole
	}
	figures[more](th.Major)
	after, err := Rescue(in)
	if err != nil {
		return 0
	}
	if len(before.Options) != len(after.Options) {
		t.Fatalf("%d options, then %d", len(before.Options), len(after.Options))
	}
	place, was := map[string]int{}, map[string]Option{}
	for i, o := range before.Options {
		place[optionName(o)], was[optionName(o)] = i, o
	}
	changed := func(o Option) bool {
		old := was[optionName(o)]
		return saysMore(o, old) || more == "cover hole" && saysMore(old, o)
	}
	for i, a := range after.Options {
		for _, b := range after.Options[i+1:] {
			if place[optionName(a)] > place[optionName(b)] {
				moved++
				if !changed(a) && !changed(b) {
					t.Fatalf("%s went before %s for %s, which says nothing of either", optionName(a), optionName(b), more)
				}
			}
		}
	}
	first, now := before.Options[0], after.Options[0]
	stopped := slices.ContainsFunc(after.Options, func(o Option) bool { return o.Verdict == check.Stop && optionName(o) == optionName(first) })
	if !stopped && (now.leaks() && !first.leaks() || strengthClass(now) > strengthClass(first)) {
		t.Fatalf("with %s known %s comes first, before it was %s", more, optionName(now), optionName(first))
	}
	return moved
}

func ratioIn(t *rapid.T, least, most float64) quantity.Length {
	return quantity.Length(rapid.Float64Range(least, most).Draw(t, "diameters"))
}

func optionName(o Option) string { return string(o.Kind) + " " + o.Thread.String() + " " + o.Tapped }

// saysMore reports a consequence of a, notes left out, that b has not.
func saysMore(a, b Option) bool {
	return slices.ContainsFunc(a.Consequences, func(c check.Result) bool {
		return c.Severity != check.Note && !slices.ContainsFunc(b.Consequences, func(x check.Result) bool { return x.Rule == c.Rule && x.Severity == c.Severity })
	})
}

// strengthClass is 0 for a thread as strong as the sound one was, 1 down to three
// quarters of it, 2 below.
func strengthClass(o Option) int {
	switch {
	case o.StripRatio < 0.75:
		return 2
	case o.StripRatio < 0.95:
		return 1
	}
	return 0
}
