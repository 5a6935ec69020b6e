package workshop

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"

	"fettle/threads"
	"fettle/threads/quantity"
)

// Tools is what the user has listed of the tools in the drawer. Nothing
// listed means that nothing is known, not that nothing is there.
type Tools struct {
	Drills   threads.DrillSet // own drills; empty where none are listed
	Taps     []threads.Thread
	Spanners []quantity.Length
	Photos   string // folder that pictures for findings are dropped into; empty for none
}

// FileName is the name of the file in the user's configuration folder. Every
// list may be left out:
//
//	drills   = ["1.0 to 6.0 by 0.1", "No 1 to No 60", "letter F", "17/64", 6.8]
//	taps     = ["M4", "2 BA", "1/4 x 40 ME"]
//	spanners = ["7 mm", "0.445 in", "2 BA"]
//	photos   = "~/Pictures/bench"
//
// "A to B by STEP" is a set of drills by equal steps, "No A to No B" and
// "letter A to letter B" are runs of the gauges. A spanner is a width across
// flats, or the thread whose nut it fits.
const FileName = "workshop.toml"

// Largest is the largest file read; a drawer is not that big.
const Largest = 256 << 10

// mostDrills is the most drills that can be listed; more is a slip in a step.
const mostDrills = 2000

// Read reads the user's tools from the configuration folder dir. A
// missing file is an empty workshop. The error names the file, the list and the
// entry that cannot be read.
func Read(dir string) (Tools, error) {
	if dir == "" {
		return Tools{}, nil
	}
	file := filepath.Join(dir, FileName)
	info, err := os.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Tools{}, nil
	case err != nil:
		return Tools{}, err
	case !info.Mode().IsRegular():
		return Tools{}, fmt.Errorf("%s is not a file", file)
	case info.Size() > Largest:
		return Tools{}, fmt.Errorf("%s is larger than %d kB", file, Largest>>10)
	}
	src, err := os.ReadFile(file)
	if err != nil {
		return Tools{}, err
	}
	w, err := Parse(string(src))
	if err != nil {
		return Tools{}, fmt.Errorf("%s: %w", file, err)
	}
	return w, nil
}

func Parse(src string) (w Tools, err error) {
	var lists struct {
		Drills, Taps, Spanners []any
		Photos                 string
	}
	meta, err := toml.Decode(src, &lists)
	if err != nil {
		return Tools{}, err
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		key := unknown[0].String()
		return Tools{}, fmt.Errorf("line %d: %q is not known here; there are drills, taps, spanners and photos", lineOf(src, unknown[0][0]), key)
	}
	fail := func(list, entry string, problem error) error {
		return fmt.Errorf("line %d: %s: %w", lineOf(src, entry), list, problem)
	}
	w.Photos = strings.TrimSpace(lists.Photos)
	var drills []threads.Drill
	for _, entry := range entries(lists.Drills) {
		more, err := drillEntry(entry)
		if err == nil && len(drills)+len(more) > mostDrills {
			err = fmt.Errorf("more than %d drills; is the step right?", mostDrills)
		}
		if err != nil {
			return Tools{}, fail("drills", entry, err)
		}
		drills = append(drills, more...)
	}
	if len(drills) > 0 {
		w.Drills = threads.OwnDrills(drills)
	}
	for _, entry := range entries(lists.Taps) {
		t, err := threads.Parse(entry)
		if err != nil {
			return Tools{}, fail("taps", entry, err)
		}
		w.Taps = append(w.Taps, t)
	}
	for _, entry := range entries(lists.Spanners) {
		l, err := spannerEntry(entry)
		if err != nil {
			return Tools{}, fail("spanners", entry, err)
		}
		w.Spanners = append(w.Spanners, l)
	}
	return w, nil
}

// entries turns a list, in which numbers may stand without quotes, into texts.
func entries(list []any) (texts []string) {
	for _, e := range list {
		texts = append(texts, strings.TrimSpace(fmt.Sprint(e)))
	}
	return texts
}

// lineOf is the number of the first line that holds text, for pointing at it.
func lineOf(src, text string) int {
	before, _, _ := strings.Cut(src, text)
	return 1 + strings.Count(before, "\n")
}

// drillEntry reads one drill or one run of drills.
func drillEntry(entry string) ([]threads.Drill, error) {
	from, rest, isRun := strings.Cut(entry, " to ")
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
	case float64((last.Diameter-first.Diameter)/step) > mostDrills:
		return nil, fmt.Errorf("more than %d drills; is the step right?", mostDrills)
	}
	var run []threads.Drill
	for i := 0; ; i++ {
		l := first.Diameter + quantity.Length(i)*step
		if l > last.Diameter+step/1000 {
			return run, nil
		}
		name := l.String()
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

// gaugeRun lists the drills of one gauge from one to the other.
func gaugeRun(a, b threads.Drill) (run []threads.Drill) {
	for _, d := range threads.StockDrills().Between(min(a.Diameter, b.Diameter), max(a.Diameter, b.Diameter)) {
		if d.Kind == a.Kind {
			run = append(run, d)
		}
	}
	return run
}

// spannerEntry reads a width across flats, or the thread whose nut it fits.
func spannerEntry(entry string) (quantity.Length, error) {
	l, err := quantity.ParseLength(entry)
	if err == nil {
		if l <= 0 || l > 200 {
			return 0, fmt.Errorf("a spanner of %v: expected a size above nought and up to 200 mm", l)
		}
		return l, nil
	}
	t, unknown := threads.Parse(entry)
	if unknown != nil {
		return 0, err
	}
	size, _, ok := t.Spanner()
	if !ok {
		return 0, fmt.Errorf("no spanner is known for %s; give its width across flats", t)
	}
	return size, nil
}

// Tap reports whether the workshop lists a tap that cuts t; known is false where
// it lists no taps at all.
func (w Tools) Tap(t threads.Thread) (has, known bool) {
	for _, own := range w.Taps {
		if own.Interchanges(t) {
			return true, true
		}
	}
	return false, len(w.Taps) > 0
}

// Spanner is the smallest of the workshop's spanners that fits flats of this
// size: no smaller, and at most 2 % larger, so that it does not round the corners.
func (w Tools) Spanner(flats quantity.Length) (size quantity.Length, ok bool) {
	for _, s := range w.Spanners {
		if s >= flats-0.02 && s <= flats*1.02 && (!ok || s < size) {
			size, ok = s, true
		}
	}
	return size, ok
}

// Stock is the workshop's own drills, or what a supplier keeps where it lists
// none.
func (w Tools) Stock() threads.DrillSet {
	if w.Drills.Own() {
		return w.Drills
	}
	return threads.StockDrills()
}
