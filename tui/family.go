package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/lookup"
	"fettle/threads"
	"fettle/tui/paint"
)

// family is a group of threads that is picked before the size.
type family struct {
	name, face string
	suffix     string // of the name of each, told once by the family
	sizes      []threads.Thread
}

// families are the families of threads in the order in which a model engineer
// meets them (common practice, no source).
func families() []family {
	known := threads.All()
	of := func(series ...threads.Series) []threads.Thread { return sizesOf(known, series) }
	return []family{
		{name: "BA", sizes: of(threads.BANumbered)},
		{name: "ME", suffix: " ME", sizes: of(threads.ME)},
		{name: "Metric coarse", face: "M coarse", sizes: of(threads.ISOCoarse)},
		{name: "26 TPI brass", face: "26 brass", suffix: " brass", sizes: of(threads.Brass)},
		{name: "BSP", sizes: of(threads.PipeG)},
		{name: "BSW", suffix: " BSW", sizes: of(threads.BSW)},
		{name: "BSF", suffix: " BSF", sizes: of(threads.BSF)},
		{name: "Metric fine", face: "M fine", sizes: of(threads.ISOFine)},
		{name: "BSP R Rc Rp", sizes: of(threads.PipeR, threads.PipeRc, threads.PipeRp)},
		{name: "UNC", suffix: " UNC", sizes: of(threads.UNC)},
		{name: "UNF", suffix: " UNF", sizes: of(threads.UNF)},
		{name: "UNEF", suffix: " UNEF", sizes: of(threads.UNEF)},
		{name: "Metric, other", face: "M other", sizes: of(threads.MetricOther)},
		{name: "Cycle", suffix: " cycle", sizes: of(threads.Cycle)},
		{name: "NPT", suffix: " NPT", sizes: of(threads.NPT)},
		{name: "Trapezoidal", face: "Tr", sizes: of(threads.Trapezoidal)},
		{name: "Acme", suffix: " Acme", sizes: of(threads.Acme)},
	}
}

// sizesOf are the sizes of some series by diameter; BA goes by its numbers.
func sizesOf(known []threads.Thread, series []threads.Series) (sizes []threads.Thread) {
	for _, t := range known {
		if slices.Contains(series, t.Series) {
			sizes = append(sizes, t)
		}
	}
	if !slices.Contains(series, threads.BANumbered) {
		slices.SortStableFunc(sizes, func(a, b threads.Thread) int {
			switch {
			case a.Major < b.Major:
				return -1
			case a.Major > b.Major:
				return 1
			}
			return 0
		})
	}
	return sizes
}

// place is where a thread stands among others; -1 where it does not.
func place(sizes []threads.Thread, t threads.Thread) int {
	name := t.String()
	return slices.IndexFunc(sizes, func(x threads.Thread) bool { return x.String() == name })
}

// usedShown is how many of the threads used already stand before the families.
const usedShown = 3

// threadsUsed are the threads of the open job's fasteners, and those that
// questions of sums were answered with, each once and the first few of them.
func (m *model) threadsUsed() (used []threads.Thread) {
	add := func(name string) {
		if t, err := threads.Parse(name); err == nil && place(used, t) < 0 {
			used = append(used, t)
		}
	}
	if m.work != nil && m.work.filled != nil {
		for _, p := range m.work.filled.Fasteners {
			if p.Applies {
				add(partFigure(p, "thread").Text)
			}
		}
	}
	for _, s := range forms() {
		for _, q := range s.Fields {
			if q.Kind == lookup.ThreadName {
				add(m.answered[s.Name][q.Name])
			}
		}
	}
	return used[:min(len(used), usedShown)]
}

// tile is the place of a family: the diameters it reaches over tell what it holds.
func (f family) tile() tile {
	t := tile{name: f.name, face: f.face}
	low, high := f.sizes[0].Major, f.sizes[0].Major
	for _, s := range f.sizes {
		low, high = min(low, s.Major), max(high, s.Major)
	}
	t.note = fmt.Sprintf("%.1f to %.0f mm", low.MM(), high.MM())
	t.brief = fmt.Sprintf("%.1f-%.0f mm", low.MM(), high.MM())
	return t
}

// drawFamilies draws what stands first: the threads used already, then the families.
func (l *lookupScreen) drawFamilies(f *frame, r paint.Rect) {
	var tiles []tile
	for _, t := range l.used {
		tiles = append(tiles, sizeTile(t, "", func() tea.Cmd { return l.take(t) }))
	}
	for i, fam := range l.fams {
		x := fam.tile()
		x.do = func() tea.Cmd { return l.open(i) }
		tiles = append(tiles, x)
	}
	f.tray(f.edgeToEdge(r), &l.tray, tiles, true)
}

// sizeTile is the place of a thread with what tells it apart at the bench: over
// the crests, and threads per inch or pitch. A suffix is left out where there
// is little room.
func sizeTile(t threads.Thread, suffix string, do func() tea.Cmd) tile {
	x := tile{name: t.String(), face: strings.TrimSuffix(t.String(), suffix), do: do}
	over := number(t.Major.MM())
	if t.TPI != 0 {
		x.note, x.brief = over+" mm, "+number(t.TPI)+" TPI", over+"  "+number(t.TPI)
	} else {
		x.note, x.brief = over+" mm, "+number(t.Pitch.MM())+" pitch", over+"  "+number(t.Pitch.MM())
	}
	return x
}

// edgeToEdge is r with its margins where a narrow screen has few cells for fingers.
func (f *frame) edgeToEdge(r paint.Rect) paint.Rect {
	if f.Touch && f.W < 60 {
		r.X, r.W = 0, f.W
	}
	return r
}

// drawHits draws the threads to pick from.
func (l *lookupScreen) drawHits(f *frame, r paint.Rect) {
	tiles := make([]tile, len(l.hits))
	inches, metric, suffix := false, false, ""
	if l.fam != nil {
		suffix = l.fam.suffix
	}
	for i, t := range l.hits {
		inches, metric = inches || t.TPI != 0, metric || t.TPI == 0
		tiles[i] = sizeTile(t, suffix, func() tea.Cmd {
			l.tray.cur = i
			return l.take(t)
		})
	}
	f.tray(f.edgeToEdge(r), &l.tray, tiles, true)
	if l.tray.notes { // they say it themselves
		return
	}
	what := "TPI"
	switch {
	case metric && inches:
		what = "TPI or pitch"
	case metric:
		what = "pitch"
	}
	f.Right(f.Rule, paint.InkQuiet, "mm over, then "+what)
}
