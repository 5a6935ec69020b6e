package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"

	"fettle/threads"
	"fettle/threads/quantity"
)

// workshop is what this workshop has, as listed in workshop.toml in the user's
// configuration folder. Advice prefers it. Every key may be left out:
//
//	drills   = ["1.0 to 6.0 by 0.1", "No 1 to No 60", "letter F", "17/64", 6.8]
//	taps     = ["M3", "M4", "2 BA", "1/4 x 40 ME"]
//	spanners = ["5.5", "7 mm", "0.445 in", "2 BA"]
//
// A drill is named as for "fettle drill"; "A to B by STEP" is a set by equal
// steps, "No A to No B" and "letter A to letter B" are runs of the gauges. A
// spanner is a width across flats, or the name of the thread whose nut it fits.
type workshop struct {
	drills   []threads.Drill
	taps     []threads.Thread
	spanners []quantity.Length
}

// largestWorkshop is the most of one kind that can be listed; more is a slip in
// a step.
const largestWorkshop = 2000

// workshopFile is where the list is kept.
func workshopFile(env Env) string { return filepath.Join(env.ConfigDir, "workshop.toml") }

// loadWorkshop reads workshop.toml. Without one the workshop is empty. A file
// that cannot be read or holds a mistake is an error with its place.
func loadWorkshop(env Env) (workshop, error) {
	if env.ConfigDir == "" {
		return workshop{}, nil
	}
	file := workshopFile(env)
	src, err := os.ReadFile(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return workshop{}, nil
	case err != nil:
		return workshop{}, unreadable(fmt.Errorf("the workshop's list cannot be read: %w", err))
	}
	w, err := readWorkshop(file, src)
	if err != nil {
		return workshop{}, unreadable(err)
	}
	return w, nil
}

func readWorkshop(file string, src []byte) (w workshop, err error) {
	var raw struct {
		Drills   []any
		Taps     []any
		Spanners []any
	}
	meta, err := toml.Decode(string(src), &raw)
	if err != nil {
		var p toml.ParseError
		if errors.As(err, &p) {
			return w, fmt.Errorf("%s:%d:%d: %s", file, p.Position.Line, p.Position.Col, p.Message)
		}
		return w, fmt.Errorf("%s: %w", file, err)
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		key := unknown[0].String()
		return w, fmt.Errorf("%s:%d: there is no key %q; the keys are drills, taps and spanners, each a list", file, lineOf(src, key), key)
	}
	fail := func(key string, entry any, problem error) error {
		return fmt.Errorf("%s:%d: %s: %w", file, lineOf(src, entryText(entry)), key, problem)
	}
	for _, entry := range raw.Drills {
		list, err := drillEntry(entry)
		if err != nil {
			return w, fail("drills", entry, err)
		}
		w.drills = append(w.drills, list...)
		if len(w.drills) > largestWorkshop {
			return w, fail("drills", entry, fmt.Errorf("more than %d drills; is the step right?", largestWorkshop))
		}
	}
	for _, entry := range raw.Taps {
		t, err := threads.Parse(entryText(entry))
		if err != nil {
			return w, fail("taps", entry, err)
		}
		w.taps = append(w.taps, t)
	}
	for _, entry := range raw.Spanners {
		size, err := spannerEntry(entry)
		if err != nil {
			return w, fail("spanners", entry, err)
		}
		w.spanners = append(w.spanners, size)
	}
	sort.Slice(w.spanners, func(i, j int) bool { return w.spanners[i] < w.spanners[j] })
	return w, nil
}

// lineOf is the number of the first line that holds text, for pointing at it.
func lineOf(src []byte, text string) int {
	before, _, _ := strings.Cut(string(src), text)
	return 1 + strings.Count(before, "\n")
}

// entryText turns an entry, which may be a number without quotes, into text.
func entryText(entry any) string { return strings.TrimSpace(fmt.Sprint(entry)) }

// drillEntry reads one drill or one run of drills.
func drillEntry(entry any) ([]threads.Drill, error) {
	from, rest, isRun := strings.Cut(entryText(entry), " to ")
	if !isRun {
		d, err := threads.ParseDrill(from)
		return []threads.Drill{d}, err
	}
	to, by, stepped := strings.Cut(rest, " by ")
	first, err := threads.ParseDrill(from)
	if err != nil {
		return nil, err
	}
	last, err := threads.ParseDrill(to)
	if err != nil {
		return nil, err
	}
	if first.Kind == threads.NumberDrill || first.Kind == threads.LetterDrill {
		if last.Kind != first.Kind || stepped {
			return nil, errors.New("a run of gauges is written like No 1 to No 60 or letter A to letter Z")
		}
		return gaugeRun(first, last), nil
	}
	if !stepped {
		return nil, errors.New("a run of sizes needs its step, like 1.0 to 6.0 by 0.1")
	}
	step, err := quantity.ParseLength(by)
	switch {
	case err != nil:
		return nil, err
	case step <= 0:
		return nil, errors.New("the step must be more than nought")
	case last.Diameter < first.Diameter:
		return nil, errors.New("the run ends below where it starts")
	case float64((last.Diameter-first.Diameter)/step) > largestWorkshop:
		return nil, fmt.Errorf("more than %d drills; is the step right?", largestWorkshop)
	}
	var run []threads.Drill
	for i := 0; ; i++ {
		l := first.Diameter + quantity.Length(i)*step
		if l > last.Diameter+step/1000 {
			return run, nil
		}
		name := fmt.Sprintf("%.3f", l.MM())
		if first.Kind == threads.FractionDrill {
			name = l.InchString()
		}
		d, err := threads.ParseDrill(name)
		if err != nil {
			return nil, err
		}
		run = append(run, d)
	}
}

// gaugeRun lists the stock drills of one gauge between two of its drills.
func gaugeRun(a, b threads.Drill) (run []threads.Drill) {
	lo, hi := min(a.Diameter, b.Diameter), max(a.Diameter, b.Diameter)
	for _, d := range threads.StockDrills().Between(lo, hi) {
		if d.Kind == a.Kind {
			run = append(run, d)
		}
	}
	return run
}

// spannerEntry reads a width across flats, or the thread whose nut it fits.
func spannerEntry(entry any) (quantity.Length, error) {
	text := entryText(entry)
	l, err := quantity.ParseLength(text)
	if err == nil {
		if l <= 0 || l > 200 {
			return 0, errors.New("a spanner is 1 to 200 mm across flats")
		}
		return l, nil
	}
	t, nameErr := threads.Parse(text)
	if nameErr != nil {
		return 0, err
	}
	size, _, ok := t.Spanner()
	if !ok {
		return 0, fmt.Errorf("no spanner is known for %s; give its width across flats", t)
	}
	return size, nil
}

// set is the workshop's drills, or the stock drills where it lists none.
func (w workshop) set() threads.DrillSet {
	if len(w.drills) == 0 {
		return threads.StockDrills()
	}
	return threads.OwnDrills(w.drills)
}

// hasTap reports whether the workshop lists a tap cut like t; known is false
// where it lists no taps at all.
func (w workshop) hasTap(t threads.Thread) (has, known bool) {
	for _, own := range w.taps {
		if own.Interchanges(t) {
			return true, true
		}
	}
	return false, len(w.taps) > 0
}

// spannerFor is the workshop's spanner that fits flats of this size: no smaller,
// and at most 2 % larger, so that it does not round the corners.
func (w workshop) spannerFor(flats quantity.Length) (size quantity.Length, ok bool) {
	for _, s := range w.spanners {
		if s >= flats-0.02 && s <= flats*1.02 {
			return s, true
		}
	}
	return 0, false
}

func near(a, b, by quantity.Length) bool { return a-b <= by && b-a <= by }
