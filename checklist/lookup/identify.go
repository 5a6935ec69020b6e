package lookup

import (
	"errors"
	"fmt"
	"slices"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

func identifySheet() Sheet {
	return Sheet{
		Name: "identify", Title: "Unknown thread",
		About: "Which threads fit what was measured.",
		Long: "Which threads fit what was measured, the pairs that are easily confused, and the one further measurement\n" +
			"that settles it. Measure a screw over its crests (--major), a hole across its bore (--minor), and the pitch by\n" +
			"a gauge (--pitch, --tpi) or by counting threads over a length.\n\n" +
			"Order a tap only after a known screw has gone in 6 turns by finger.",
		Words: "identify which measure screw pitch tpi",
		ask: func() []Field {
			return []Field{
				{Name: "major", Ask: "Diameter over the crests of a screw", Brief: "Over the crests of a screw", Kind: Size},
				{Name: "minor", Ask: "Or bore of a threaded hole", Brief: "Or bore of a hole", Kind: Size},
				{Name: "pitch", Ask: "Pitch", Kind: Size},
				{Name: "tpi", Ask: "Or threads per inch", Kind: Number},
				{Name: "count", Ask: "Or threads counted", Kind: Count},
				{Name: "over", Ask: "Length they were counted over", Brief: "over a length of", Kind: Size},
				{Name: "internal", Ask: "A hole, measured to the bottom of its thread?", Brief: "Hole, to thread's bottom?", Kind: YesNo},
				{Name: "wear", Ask: "Wear allowed for (0.15 mm)", Brief: "Wear allowed for", Kind: Size},
				{Name: "error", Ask: "Measuring error allowed for (0.03 mm)", Brief: "Measuring error", Kind: Size},
			}
		},
		Examples: []string{"identify --major 6.3 --tpi 26", "identify --minor 4.1", "identify --major 4.65 --count 20 --over 16.2"},
		also:     []string{"identify --major 200 --pitch 3.3", "identify --major 10.05 --tpi 27"},
		work:     workIdentify,
	}
}

func workIdentify(f *form, a *Answer) {
	m := threads.Measurement{
		Major: f.size("major"), Minor: f.size("minor"), Pitch: f.size("pitch"), Count: f.count("count"), Over: f.size("over"),
		Wear: f.size("wear"), Error: f.size("error"), Internal: f.yes("internal"),
	}
	tpi := f.number("tpi")
	switch {
	case f.err != nil:
		return
	case f.given("count") && m.Count < 1:
		f.fail("count", errors.New("expected the number of threads counted, 1 or more"))
		return
	case f.given("tpi") && m.Pitch != 0:
		f.fail("tpi", errors.New("give the pitch or the threads per inch, not both"))
		return
	case f.given("tpi") && !(tpi >= 1 && tpi <= 400):
		f.fail("tpi", errors.New("expected 1 to 400 threads per inch"))
		return
	case f.given("tpi"):
		m.Pitch = quantity.Length(quantity.InchMM / tpi)
	}
	found, err := threads.Identify(m)
	if !f.check(err) {
		return
	}
	fit := found[0].Fits
	by := " (diameter)"
	if found[0].HasPitch {
		by = " (diameter, pitch)"
	}
	list := List{Key: "candidates", Title: "Fits; measured less by" + by, Shown: 6}
	if fit {
		a.Headline = "most likely " + found[0].Thread.String()
	} else {
		a.list(list.of(nil))
		list.Key, list.Title, a.Headline = "nearest", "Nothing fits. Nearest; measured less by"+by, "nothing fits"
	}
	for i, c := range found {
		same := i > 0 && c.Thread.Interchanges(found[i-1].Thread)
		list.Items = append(list.Items, candidate(c, same))
		a.Fits = append(a.Fits, c.Thread)
	}
	a.list(list)
	if fit {
		a.list(notToMix(found[0].Thread))
	}
	met := List{Title: "Also used for"}
	for _, c := range found[:min(len(found), list.Shown)] {
		if use := c.Thread.MetIn(); c.Fits && use != "" {
			met.Items = append(met.Items, Item{Text: fmt.Sprintf("%s: %s", c.Thread, use)})
		}
	}
	a.list(met)
	others := List{Key: "strangers", Title: "It fits threads not held here as well"}
	for _, s := range threads.Strangers(m) {
		others.Items = append(others.Items, Item{
			Text: fmt.Sprintf("%s (%s)", s.Name, s.What),
			Rows: Rows{data("name", s.Name), data("met_in", s.What), data("source", s.Source)},
		})
	}
	a.list(others)
	settle := threads.Settle(m, found)
	a.add(data("settle", settle))
	a.find(check.Result{Rule: "settle", Severity: check.Note, Source: calculated, Message: settle},
		check.Result{Rule: "try-first", Severity: check.Note, Source: "common practice, no source",
			Message: "Order a tap only after a known screw has gone in six turns by finger."})
	a.from(threads.IdentifySources(m, found)...)
}

// of is the list for programs only, with other entries.
func (l List) of(items []Item) List { return List{Key: l.Key, Items: items} }

// candidate is a thread that may be the one measured; same says that it and the one
// before go together.
func candidate(c threads.Candidate, same bool) Item {
	item := Item{Name: c.Thread.String(), Text: fmt.Sprintf("%+.2f mm", c.MajorDifference.MM())}
	var pitch any
	if c.HasPitch {
		pitch = c.PitchDifference
		item.Text += fmt.Sprintf(" %+.1f %%", c.PitchDifference+0)
	}
	if same {
		item.Text += ", the same"
	}
	item.Rows = Rows{data("designation", c.Thread.String()), data("series", string(c.Thread.Series)),
		mm("major_difference_mm", c.MajorDifference), data("pitch_difference_percent", pitch)}
	if use := c.Thread.MetIn(); use != "" {
		item.Rows = append(item.Rows, data("met_in", use))
	}
	with, mixed := []string{}, []Rows{}
	for _, x := range c.Thread.Confusables() {
		with = append(with, x.With.String())
		mixed = append(mixed, Rows{data("with", x.With.String()), data("what", x.What)})
	}
	item.Rows = append(item.Rows, data("confusable_with", with), data("when_mixed", mixed))
	return item
}

// notToMix are the threads easily taken for t, one of those that go together.
func notToMix(t threads.Thread) List {
	list := List{Title: "Do not mix with", Shown: 2}
	var told []threads.Thread
	for _, x := range t.Confusables() {
		if !x.Same && !slices.ContainsFunc(told, x.With.Interchanges) {
			told = append(told, x.With)
			list.Items = append(list.Items, Item{Text: fmt.Sprintf("%s: %s", x.With, x.What)})
		}
	}
	return list
}
