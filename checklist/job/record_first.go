package job

import (
	"fmt"
	"slices"
	"strings"
)

// What whoever signs has to see before anything else: it stands on the record's
// first page, above the figures.

// firstOfAll puts on paper what stands against relying on the rest: dangers, what is
// open or differs, releases that do not count, what went on by a name, clocks, and
// devices that this one does not know.
func (b *recorder) firstOfAll() { b.table(b.firstRows(), "First of all", "") }

func (b *recorder) firstRows() (rows [][]string) {
	add := func(what string, list []string) {
		for i, text := range list {
			if i > 0 {
				what = ""
			}
			rows = append(rows, []string{what, text + b.of})
		}
	}
	var dangers []string
	for _, d := range b.state.Standing() {
		if d.In != "" {
			continue // it stands among those of its job, below
		}
		dangers = append(dangers, d.String())
	}
	add("STANDING DANGER", dangers)
	add("NOT SETTLED", b.differences())
	add("RELEASE THAT DOES NOT COUNT", b.voidReleases())
	var open []string
	for i := range b.state.Findings {
		if f := &b.state.Findings[i]; !f.Decided() {
			open = append(open, fmt.Sprintf("finding %d: %s, %s: %s", f.Order, f.What, b.where(f), f.Text))
		}
	}
	add("Open finding", open)
	add("Went on by name", b.passedByName())
	if run := b.state.Test.Last(); run != nil && run.Passed {
		add("Test not whole", b.j.notWhole(&b.state.Test, run))
	}
	var jumps []string
	for _, jump := range b.state.Jumps {
		if jump.Back {
			jumps = append(jumps, jump.String())
		}
	}
	add("Clock", jumps)
	var strangers []string
	for _, s := range b.j.strangers(b.seen.fold) {
		strangers = append(strangers, s.String())
	}
	add("Device not met before", strangers)
	for _, in := range b.inner() {
		rows = append(rows, in.firstRows()...)
	}
	return rows
}

// differences are what two people wrote apart and nobody has settled, in the words
// of the steps.
func (b *recorder) differences() []string {
	var list []string
	for _, c := range b.state.Conflicts {
		text := c.In(b.seen.filled)
		if c.Holds {
			text += ". What depends on it waits"
		}
		list = append(list, text+".")
	}
	return list
}

func (b *recorder) voidReleases() []string {
	var list []string
	for _, step := range b.seen.filled.Steps() {
		s := b.state.Steps[step.ID]
		if len(s.Releases) > 0 {
			continue
		}
		for _, v := range s.Void {
			list = append(list, fmt.Sprintf("%s, released by %s, %s: %s.", step.Title, v.By, b.when(v.At), strings.Join(v.Changed, "; ")))
		}
	}
	return list
}

// passedByName are the gates that were passed, each with who and why.
func (b *recorder) passedByName() []string {
	var list []string
	for _, rec := range b.seen.fold.judged[KindPass] {
		list = append(list, fmt.Sprintf("%s (%s): %s, %s", b.place(rec.Step), rec.Reading, rec.By, rec.Text))
	}
	return list
}

// Stranger is a device whose entries this one had not seen when it last wrote, with
// what it wrote. A sum is no signature: whoever has the folder can add to it.
type Stranger struct {
	Device string
	By     []string
	Wrote  int      // entries
	Says   []string // the first few of them
}

// String is the stranger in a sentence.
func (s Stranger) String() string {
	return fmt.Sprintf("%s (%s): %s: %s", s.Device, strings.Join(s.By, ", "), plural(s.Wrote, "entry", "entries"), strings.Join(s.Says, "; "))
}

// strangers are the devices that this one has never met: nothing of theirs had
// reached it when it last wrote. A device that has written nothing here met nobody
// yet, and says nothing of it.
func (j *Job) strangers(f *fold) []Stranger {
	last := -1
	for i := range f.entries {
		if f.entries[i].inTwin {
			last = i
		}
	}
	if last < 0 || !j.keeps(RuleStrangers) {
		return nil
	}
	met, by := map[string]bool{f.entries[last].Device(): true}, map[string]*Stranger{}
	for i := range f.entries {
		if f.entries[i].inTwin || f.line.saw(last, i) {
			met[f.entries[i].Device()] = true
		}
	}
	var order []string
	const few = 5
	for i := range f.entries {
		e := &f.entries[i]
		device := e.Device()
		if met[device] {
			continue
		}
		s := by[device]
		if s == nil {
			s = &Stranger{Device: device}
			by[device], order = s, append(order, device)
		}
		s.Wrote++
		if !slices.Contains(s.By, somebody(e.By)) && len(s.By) < few {
			s.By = append(s.By, somebody(e.By))
		}
		if len(s.Says) < few {
			s.Says = append(s.Says, e.says())
		}
	}
	var list []Stranger
	for _, device := range order {
		list = append(list, *by[device])
	}
	return list
}
