package workshop

import (
	"fmt"
	"slices"
	"strings"

	"fettle/threads"
	"fettle/threads/quantity"
)

// Family is a set of taps as a workshop buys it.
type Family struct {
	Name   string
	series threads.Series
}

// Families are the sets that a starter file can be made of.
func Families() []Family {
	return []Family{
		{"metric", threads.ISOCoarse}, {"BA", threads.BANumbered}, {"ME", threads.ME}, {"brass", threads.Brass},
		{"BSW", threads.BSW}, {"BSF", threads.BSF}, {"BSP", threads.PipeG}, {"UNC", threads.UNC}, {"UNF", threads.UNF},
	}
}

// Bounds of what a bench set holds (common practice, no source); the user strikes out
// what is not in the drawer.
const (
	setFrom = quantity.Length(1.2)
	setTo   = quantity.Length(quantity.InchMM / 2)
)

// Starter is a file of that name for a workshop that owns these families, by their
// names in any case. The error names one that is not known.
func Starter(names []string) (string, error) {
	var taps, spanners []string
	for _, name := range names {
		i := slices.IndexFunc(Families(), func(f Family) bool { return strings.EqualFold(f.Name, name) })
		if i < 0 {
			var known []string
			for _, f := range Families() {
				known = append(known, f.Name)
			}
			return "", fmt.Errorf("%q is no family of taps known here; there are %s", name, strings.Join(known, ", "))
		}
		for _, t := range threads.All() {
			if t.Series != Families()[i].series || t.Major < setFrom || t.Major > setTo {
				continue
			}
			word := fmt.Sprintf("%q", t.String())
			taps = append(taps, word)
			if _, err := spannerEntry(t.String()); err == nil {
				spanners = append(spanners, word)
			}
		}
	}
	var b strings.Builder
	b.WriteString("# What this workshop owns. Strike out what is not in the drawer, add what is.\n" +
		"# A list that is left out says nothing: then any size may be advised.\n\n")
	list := func(name, about string, words []string) {
		b.WriteString("# " + about + "\n")
		if len(words) == 0 {
			fmt.Fprintf(&b, "# %s = []\n\n", name)
			return
		}
		fmt.Fprintf(&b, "%s = [\n", name)
		for words := range slices.Chunk(words, 6) {
			b.WriteString("    " + strings.Join(words, ", ") + ",\n")
		}
		b.WriteString("]\n\n")
	}
	list("drills", `Drills: one ("letter F", "17/64", 6.8), a run by equal steps, or a run of a gauge.`, []string{`"1.0 to 6.0 by 0.1"`, `"No 1 to No 60"`})
	list("taps", "Taps, by the names of their threads.", taps)
	list("spanners", `Spanners: a width across flats ("7 mm"), or the thread whose nut it fits.`, spanners)
	b.WriteString("# A folder that a camera drops its pictures into.\n# photos = \"~/Pictures/bench\"\n")
	return b.String(), nil
}
