package job

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// world is what three devices wrote, each seeing only part of the rest.
type world struct {
	lines   [][]byte
	entries []Entry
	device  []int          // of each entry
	known   []map[int]bool // by entry: what its device had seen of the others
}

// drawWorld lets three devices make entries. Every device knows its own and
// what it was shown; what an entry replaces is what its device saw standing.
func drawWorld(t *rapid.T) world {
	var w world
	known := [3]map[int]bool{{}, {}, {}}
	var seqs [3]int64
	for range rapid.IntRange(1, 30).Draw(t, "entries") {
		d := rapid.IntRange(0, 2).Draw(t, "device")
		if rapid.IntRange(0, 3).Draw(t, "show") == 0 { // everything another device knows
			for i := range known[rapid.IntRange(0, 2).Draw(t, "from")] {
				known[d][i] = true
			}
		}
		seqs[d]++
		e := Entry{V: 1, Seq: seqs[d], ID: fmt.Sprintf("dev%d-%d-aaaa", d, seqs[d]), By: fmt.Sprint("person ", d), Time: "2026-03-01T09:00:00Z"}
		var seen []int
		own := -1
		for i := range w.entries {
			if known[d][i] {
				seen = append(seen, i)
				e.N = max(e.N, w.entries[i].N)
				if w.device[i] == d {
					own = i
				}
			}
		}
		e.N++
		if own >= 0 {
			e.Prev = w.entries[own].Sum
		}
		for _, i := range seen { // all that is new, where the program names the newest only
			if w.device[i] != d && (own < 0 || !w.known[own][i]) {
				e.Met = append(e.Met, w.entries[i].ID)
			}
		}
		e.Step = rapid.SampledFrom([]string{"cold", "measure"}).Draw(t, "step")
		e.Kind = rapid.SampledFrom([]string{KindTick, KindSkip, KindMeasure, KindMeasure, KindRetract, KindNote}).Draw(t, "kind")
		switch {
		case e.Kind == KindRetract && len(seen) > 0:
			for range rapid.IntRange(1, 2).Draw(t, "targets") {
				e.Retracts = append(e.Retracts, w.entries[rapid.SampledFrom(seen).Draw(t, "target")].ID)
			}
		case e.Kind == KindMeasure:
			e.Reading, e.Value = "bore", fmt.Sprint(rapid.IntRange(1, 3).Draw(t, "value"))
			fallthrough
		case e.Kind == KindTick:
			part := world{entries: nil}
			for _, i := range seen {
				part.entries = append(part.entries, w.entries[i])
			}
			spec := specify(part.entries)
			for _, o := range part.entries {
				if spec.stands(o.ID) && o.target("") == e.target("") && (e.Kind == KindMeasure || o.Kind == KindSkip) {
					e.Replaces = append(e.Replaces, o.ID)
				}
			}
		}
		line, err := encode(e)
		require.NoError(t, err)
		e, _ = decode(line)
		w.known = append(w.known, maps.Clone(known[d]))
		known[d][len(w.entries)] = true
		w.lines, w.entries, w.device = append(w.lines, line), append(w.entries, e), append(w.device, d)
	}
	return w
}

// spec says what stands, straight from the words of the rules and without any
// care for speed. It is what the fold is checked against.
type spec struct {
	order []Entry
}

func specify(entries []Entry) spec {
	s := spec{slices.Clone(entries)}
	sort.SliceStable(s.order, func(i, j int) bool {
		a, b := s.order[i], s.order[j]
		if a.N != b.N {
			return a.N < b.N
		}
		return a.ID < b.ID // same n: another device; equal seqs of one device never share an n
	})
	return s
}

func (s spec) at(id string) int {
	return slices.IndexFunc(s.order, func(e Entry) bool { return e.ID == id })
}

// live: no later retract that is itself live names it.
func (s spec) live(i int) bool {
	for j := i + 1; j < len(s.order); j++ {
		if s.order[j].Kind == KindRetract && slices.Contains(s.order[j].Retracts, s.order[i].ID) && s.live(j) {
			return false
		}
	}
	return true
}

// replaced: a later entry names it that is live, or replaced by one that is.
func (s spec) replaced(i int) bool {
	for j := i + 1; j < len(s.order); j++ {
		if slices.Contains(s.order[j].Replaces, s.order[i].ID) && (s.live(j) || s.replaced(j)) {
			return true
		}
	}
	return false
}

func (s spec) stands(id string) bool {
	i := s.at(id)
	return s.live(i) && !s.replaced(i)
}

// spread puts the lines into files as sync tools and people might: every device
// has its log, some lines stand twice, copies hold a beginning, the order within
// a file is any.
func (w world) spread(t *rapid.T, m *memory) {
	logs := map[string][]byte{}
	order := rapid.Permutation(numbers(len(w.lines))).Draw(t, "order")
	for _, i := range order {
		name := fmt.Sprintf("log-dev%d-aaaaaa.jsonl", w.device[i])
		switch rapid.IntRange(0, 5).Draw(t, "where") {
		case 0:
			name = strings.Replace(name, ".jsonl", ".sync-conflict-20260301-TOM.jsonl", 1)
		case 1: // twice
			logs["copy.jsonl"] = append(append(logs["copy.jsonl"], w.lines[i]...), '\n')
		case 2:
			logs[name] = append(logs[name], "<<<<<<< junk\n\x00\r\n"...)
		case 3: // a torn copy, then the line
			logs[name] = append(logs[name], w.lines[i][:len(w.lines[i])/2]...)
		}
		logs[name] = append(append(logs[name], w.lines[i]...), '\n')
	}
	for name, data := range logs {
		if rapid.Bool().Draw(t, "unterminated") {
			data = bytes.TrimSuffix(data, []byte{'\n'})
		}
		m.tick++
		m.nodes[memJob+"/"+name] = &memNode{data: data, state: make([]byteState, len(data)), mtime: m.tick}
	}
}

func numbers(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// summary writes a fold down so that two can be compared.
func (f *fold) summary() string {
	var b strings.Builder
	for _, e := range f.entries {
		by := ""
		if !e.live() {
			by = e.retractedBy.ID
		}
		fmt.Fprintln(&b, e.ID, e.Sum, by, e.replaced)
	}
	for _, id := range sortedKeys(f.steps) {
		s := f.steps[id]
		fmt.Fprintln(&b, id, recIDs(s.ticks), recIDs(s.skips), recIDs(s.releases), recIDs(s.notes), len(s.undone), len(s.apart))
		for _, name := range sortedKeys(s.readings) {
			fmt.Fprintln(&b, name, recIDs(s.readings[name]))
		}
	}
	fmt.Fprintln(&b, f.waiting, f.newer, f.doubles, len(f.changed), len(f.edited), f.ahead)
	return b.String()
}

// allRules keeps every rule.
func allRules(Rule) bool { return true }

func recIDs(recs []*record) (list []string) {
	for _, rec := range recs {
		list = append(list, rec.ID)
	}
	return list
}

// The state is the same however the entries arrived, and it is the one that the
// rules ask for.
func TestFoldIsOneState(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawWorld(t)
		var first string
		for range 2 {
			m := newMemory(memJob)
			w.spread(t, m)
			l := newLogs(m, memJob, "")
			if rapid.Bool().Draw(t, "in pieces") {
				whole := map[string][]byte{}
				for name, node := range m.nodes {
					if !node.isDir {
						whole[name] = node.data
						node.data = node.data[:rapid.IntRange(0, len(node.data)).Draw(t, "first")]
					}
				}
				_, err := l.refresh()
				require.NoError(t, err)
				for name, data := range whole {
					m.nodes[name].data = data
					m.nodes[name].mtime += 1000
				}
			}
			_, err := l.refresh()
			require.NoError(t, err)
			f := foldLogs(l, time.Time{}, allRules)
			if first == "" {
				first = f.summary()
			}
			require.Equal(t, first, f.summary())

			s := specify(w.entries)
			require.Len(t, f.entries, len(w.entries))
			for i, e := range f.entries {
				require.Equal(t, s.order[i].ID, e.ID)
				require.Equal(t, s.live(i), e.live(), e.ID)
				if e.Kind != KindRetract {
					require.Equal(t, s.replaced(i), e.replaced, e.ID)
				}
			}
			w.checkLineage(t, f)
		}
	})
}

// checkLineage compares who had seen what, and which ticks stand against an undo that
// was made apart, with what the devices were shown.
func (w world) checkLineage(t *rapid.T, f *fold) {
	at := map[string]int{}
	for i, e := range w.entries {
		at[e.ID] = i
	}
	saw := func(i, j int) bool { return w.known[at[f.entries[i].ID]][at[f.entries[j].ID]] }
	for i := range f.entries {
		for j := range f.entries {
			require.Equal(t, saw(i, j), f.line.saw(i, j), "%s had seen %s", f.entries[i].ID, f.entries[j].ID)
		}
	}
	for step, s := range f.steps {
		for i := range f.entries {
			e := &f.entries[i]
			if e.Step != step || e.Kind != KindTick && e.Kind != KindSkip || !e.live() || e.replaced {
				continue
			}
			apart := false
			for j := range f.entries {
				o := &f.entries[j]
				if o.live() || o.Step != step || o.Kind != KindTick && o.Kind != KindSkip {
					continue
				}
				for undo := range f.entries {
					u := &f.entries[undo]
					takes := u.Kind == KindRetract && u.live() && slices.Contains(u.Retracts, o.ID)
					apart = apart || takes && !saw(i, undo) && !saw(undo, i)
				}
			}
			require.Equal(t, apart, slices.ContainsFunc(s.apart, func(c contest) bool { return c.rec == e.record }), e.ID)
			require.Equal(t, !apart, slices.Contains(slices.Concat(s.ticks, s.skips), e.record), e.ID)
		}
	}
}

// An undo that arrives before what it undoes waits for it.
func TestUndoWaits(t *testing.T) {
	b := newBench(t)
	j := b.start()
	tick, err := encode(Entry{V: 1, ID: "tomx-1-aaaa", Seq: 1, N: 5, By: "Tom", Kind: KindTick, Step: "cold"})
	require.NoError(t, err)
	undo, err := encode(Entry{V: 1, ID: "tomx-2-aaaa", Seq: 2, N: 6, By: "Tom", Kind: KindRetract, Step: "cold", Retracts: []string{"tomx-1-aaaa"}})
	require.NoError(t, err)
	put := func(name string, line []byte) {
		b.m.tick++
		b.m.nodes[memJob+"/"+name] = &memNode{data: line, state: make([]byteState, len(line)), mtime: b.m.tick}
		_, err := j.Refresh()
		require.NoError(t, err)
	}
	put("b.jsonl", undo)
	require.Equal(t, []string{"Undo of tomx-1-aaaa waits for its entry."}, j.State().Notices[:1])
	put("a.jsonl", tick)
	require.Equal(t, Todo, j.State().Steps["cold"].Status)
	require.NotContains(t, strings.Join(j.State().Notices, " "), "waits")
}

// An entry cannot push aside what belongs to another step, or to another sort.
func TestReplacesOnlyItsOwn(t *testing.T) {
	m := newMemory(memJob)
	var data []byte
	for i, e := range []Entry{
		{ID: "a-1-a", N: 1, Kind: KindTick, Step: "cold"},
		{ID: "a-2-a", N: 2, Kind: KindMeasure, Step: "measure", Reading: "bore", Value: "1"},
		{ID: "a-3-a", N: 3, Kind: KindNote, Step: "cold", Replaces: []string{"a-1-a"}},
		{ID: "a-4-a", N: 4, Kind: KindMeasure, Step: "cold", Reading: "bore", Value: "2", Replaces: []string{"a-1-a", "a-2-a"}},
		{ID: "a-5-a", N: 5, Kind: KindMeasure, Step: "measure", Reading: "other", Value: "3", Replaces: []string{"a-2-a", "a-5-a"}},
		{ID: "a-6-a", N: 2, Kind: KindRetract, Retracts: []string{"a-4-a"}}, // ordered before its target
	} {
		e.V, e.Seq = 1, int64(i+1)
		line, err := encode(e)
		require.NoError(t, err)
		data = append(append(data, line...), '\n')
	}
	m.nodes[memJob+"/log-a-aaaaaa.jsonl"] = &memNode{data: data, state: make([]byteState, len(data))}
	l := newLogs(m, memJob, "")
	_, err := l.refresh()
	require.NoError(t, err)
	f := foldLogs(l, time.Time{}, allRules)
	require.Len(t, f.steps["cold"].ticks, 1)
	require.Len(t, f.steps["measure"].readings["bore"], 1)
	require.Len(t, f.steps["measure"].readings["other"], 1)
	require.Len(t, f.steps["cold"].readings["bore"], 1)
}

// Two different good lines of one name both count and are both shown.
func TestDoubles(t *testing.T) {
	b := newBench(t)
	j := b.start()
	for i, text := range []string{"one", "two"} {
		line, err := encode(Entry{V: 1, ID: "tomx-1-aaaa", Seq: 1, N: 5, By: "Tom", Kind: KindNote, Text: text})
		require.NoError(t, err)
		b.m.nodes[fmt.Sprintf("%s/%d.jsonl", memJob, i)] = &memNode{data: line, state: make([]byteState, len(line)), mtime: 1}
	}
	_, err := j.Refresh()
	require.NoError(t, err)
	require.Len(t, j.Log(), 3)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), "Two different entries are called tomx-1-aaaa; both count.")
}

func TestSameValue(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{{"12.5", "12.50", true}, {"12,5", "12.5", true}, {" 12.5", "12.5 ", true}, {"Yes", "yes", true}, {"12.5", "12.6", false}, {"1/4 in", "1/4  in", true}, {"nan", "nan", true}} {
		require.Equal(t, c.want, sameValue(&record{Entry: Entry{Value: c.a}}, &record{Entry: Entry{Value: c.b}}), "%v", c)
	}
	require.False(t, sameValue(&record{Entry: Entry{Value: "1", Unit: "mm"}}, &record{Entry: Entry{Value: "1", Unit: "in"}}))
}

// A disk that gives back something else than was written is not believed.
func TestReadBack(t *testing.T) {
	b := newBench(t)
	j := b.start()
	b.m.trap = func(_ int, what, name string) fault {
		if what == "sync" && strings.HasPrefix(name, memJob) {
			data := b.m.nodes[name].data
			data[len(data)-10] ^= 1
		}
		return noFault
	}
	s, err := j.Tick("cold")
	require.NoError(t, err)
	require.Equal(t, DeviceOnly, s.Where)
	b.m.trap = nil
	s, err = j.Note("", "later")
	require.NoError(t, err)
	require.Equal(t, Everywhere, s.Where)
	require.Equal(t, Done, b.open(b.device("Tom")).State().Steps["cold"].Status)
}

// A line that somebody is still writing by hand is read again when it is longer.
func TestChangedTailIsReadAgain(t *testing.T) {
	b := newBench(t)
	j := b.start()
	put := func(line string) {
		b.m.tick++
		b.m.nodes[memJob+"/hand.jsonl"] = &memNode{data: []byte(line), state: make([]byteState, len(line)), mtime: b.m.tick}
		_, err := j.Refresh()
		require.NoError(t, err)
	}
	put(`{"kind":"note"}`)
	require.Len(t, j.State().Notices, 1)
	put("{\"kind\":\"note\"}  x\n")
	require.Len(t, j.State().Notices, 1, "%v", j.State().Notices)
	require.Contains(t, j.State().Notices[0], "unreadable")
}
