package lookup

import (
	"fmt"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
)

func rescueSheet() Sheet {
	return Sheet{
		Name: "rescue", Title: "Damaged hole",
		About: "Ways to save a damaged tapped hole, the best first.",
		Long: "Ranks every way to save a damaged tapped hole: clean it, a longer screw, the next\n" +
			"thread that fits, a wire insert, a bush. Each with its drill, how much thread the hole\n" +
			"leaves it, how much of that the old thread has not grooved, its strength beside the old\n" +
			"one's, and what must be checked afterwards. Measure with the largest pin that enters.\n" +
			"Own taps and drills come from --tap and --drill or from workshop.toml.\n\n" + check.Deference,
		Words: "stripped thread insert bush oversize rescue pulled",
		ask: func() []Field {
			return []Field{
				{Name: "thread", Ask: "Thread it had", Kind: ThreadName, Required: true, Leading: true},
				{Name: "hole", Ask: "Largest pin that enters", Kind: Size, Required: true},
				{Name: "into", Ask: "Metal it is in", Kind: Choice, Required: true, Choices: MetalNames},
				{Name: "depth", Ask: "Depth the metal allows for full thread", Brief: "Depth for full thread", Kind: Size, Required: true},
				holeField("The hole is"),
				{Name: "damaged", Ask: "How deep the damage goes (usual engagement)", Brief: "Depth of the damage", Kind: Size},
				{Name: "edge", Ask: "Centre to the nearest edge of the metal", Brief: "Centre to nearest edge", Kind: Size},
				{Name: "next", Ask: "Centre to centre of the next hole", Brief: "Centre to the next hole", Kind: Size},
				{Name: "cover-hole", Ask: "Hole the screw now passes through", Brief: "Hole in the cover", Kind: Size},
				{Name: "gasket-edge", Ask: "Centre to the rim of the gasket or its groove", Brief: "Centre to gasket's rim", Kind: Size},
				{Name: "head-room", Ask: "Diameter free for a head", Kind: Size},
				{Name: "cover", Ask: "Thickness of the cover (countersunk head)", Brief: "Thickness of the cover", Kind: Size},
				{Name: "head", Ask: "Kind of head", Kind: Choice, Choices: headKinds, Few: true},
				{Name: "holes", Ask: "Like holes in the ring", Kind: Count},
				{Name: "grade", Ask: "Screw made of", Kind: Choice, Choices: GradeNames},
				{Name: "tap", Ask: "Taps at hand, such as M5, M6", Brief: "Taps at hand", Kind: Threads},
				{Name: "drill", Ask: "Drills at hand, such as 4, No 20", Brief: "Drills at hand", Kind: Drills},
			}
		},
		Examples: []string{
			"rescue M4 --hole 3.81 --into gunmetal --depth 8 --wet --edge 7 --cover-hole 4.5",
			"rescue 2 BA --hole 4.75 --into copper --depth 6 --tap '0 BA' --tap M6", "rescue 4 BA --sheared",
		},
		Boundary: true, Own: true, Or: "sheared",
		work: workRescue,
	}
}

func workRescue(f *form, a *Answer) {
	in := fastening.RescueInput{
		Thread: f.thread("thread"), Hole: f.size("hole"), Into: read(f, "into", fastening.ParseMetal), Depth: f.size("depth"), Kind: f.hole(),
		Damaged: f.size("damaged"), Edge: f.size("edge"), Neighbour: f.size("next"), CoverHole: f.size("cover-hole"), GasketEdge: f.size("gasket-edge"),
		HeadRoom: f.size("head-room"), Cover: f.size("cover"), Holes: f.count("holes"), Head: read(f, "head", threads.ParseHead),
		Grade: read(f, "grade", fastening.ParseGrade), Taps: f.own.Taps, Drills: f.own.Drills,
	}
	if f.given("tap") {
		in.Taps = read(f, "tap", func(s string) ([]threads.Thread, error) { return parseList(s, threads.Parse) })
	}
	if f.given("drill") {
		in.Drills = threads.OwnDrills(read(f, "drill", func(s string) ([]threads.Drill, error) { return parseList(s, threads.ParseDrill) }))
	}
	if f.err != nil {
		return
	}
	r, err := fastening.Rescue(in)
	if !f.check(err) {
		return
	}
	a.Title = fmt.Sprintf("%s, hole %s", r.Thread, r.Hole)
	a.add(data("thread", r.Thread.String()), mm("hole_mm", r.Hole),
		Row{Key: "hole_percent", Label: "Of the old thread is left", Value: r.HolePercent, Text: Share(r.HolePercent)},
		wordRow("engagement_basis", "Per cent of thread", r.Basis), data("why_first", r.Why), data("advice", check.Deference))
	list := List{Key: "options", Title: "Ways to save it, best first", Shown: 6, Ranked: true}
	for i, o := range r.Options {
		item := way(o)
		if i == 0 && r.Why != "" {
			item.Rows = append(Rows{said("First because", r.Why)}, item.Rows...)
			a.Headline = fmt.Sprintf("best: %s, %s", o.Kind, o.Thread)
		}
		list.Items = append(list.Items, item)
	}
	a.list(list)
	a.Best = r.Verdict
	a.find(r.Findings...)
	a.from(r.Sources...)
}

// way is one way to save a hole.
func way(o fastening.Option) Item {
	item := Item{Text: fmt.Sprintf("%s: %s, %s", o.Kind, o.Verdict, o.Thread), Findings: o.Consequences}
	if o.Tapped != o.Thread.String() {
		item.Rows = append(item.Rows, said("Tap", o.Tapped))
	}
	drill := o.Drill.Name
	if !o.AsItIs {
		drill += " (" + o.DrillSource + ")"
	}
	consequences := []string{}
	for _, c := range o.Consequences {
		consequences = append(consequences, string(c.Severity)+": "+c.Message)
	}
	item.Rows = append(item.Rows, said("Drill", drill),
		said("Thread", fmt.Sprintf("%s, clear of the old %s", Share(o.EngagementPercent), Share(o.CleanupPercent))),
		data("kind", string(o.Kind)), data("thread", o.Thread.String()), data("tapped", o.Tapped),
		data("tap_drill", Rows{data("drill", o.Drill.Name), mm("diameter_mm", o.Diameter), data("as_it_is", o.AsItIs), data("at_hand", o.DrillAtHand), data("source", o.DrillSource)}),
		data("engagement_percent", o.EngagementPercent), data("measured_percent", o.MeasuredPercent), data("cleanup_percent", o.CleanupPercent),
		mm("engaged_mm", o.Engaged), Row{Key: "strip_ratio", Label: "Strength", Value: o.StripRatio, Text: fmt.Sprintf("%.2f of the sound thread", o.StripRatio)},
		data("tap_at_hand", o.TapAtHand), data("verdict", string(o.Verdict)), data("consequences", consequences))
	switch {
	case !o.TapAtHand && !o.DrillAtHand:
		item.Rows = append(item.Rows, said("Not at hand", "the tap and the drill"))
	case !o.TapAtHand:
		item.Rows = append(item.Rows, said("Not at hand", "the tap"))
	case !o.DrillAtHand:
		item.Rows = append(item.Rows, said("Not at hand", "the drill"))
	}
	return item
}

// Share writes a percentage; all of it where there is more than enough.
func Share(p float64) string {
	switch {
	case p >= 100:
		return "all"
	case p <= 0:
		return "none"
	}
	return fmt.Sprintf("%.0f %%", p)
}

func shearedSheet() Sheet {
	return Sheet{
		Group: "rescue", Name: "sheared", Title: "Sheared screw",
		About: "How to get a broken screw out, the gentlest way first.",
		Words: "broken stud bolt extract remove snapped",
		Asked: []string{"pilot"},
		ask: func() []Field {
			return []Field{
				{Name: "thread", Ask: "Its thread", Kind: ThreadName, Required: true, Leading: true},
				{Name: "into", Ask: "Metal it is in", Kind: Choice, Choices: MetalNames},
			}
		},
		Examples: []string{"sheared 4 BA"},
		Boundary: true, Own: true,
		work: workSheared,
	}
}

func workSheared(f *form, a *Answer) {
	t, metal := f.thread("thread"), read(f, "into", fastening.ParseMetal)
	if f.err != nil {
		return
	}
	p, err := fastening.Sheared(t, metal, f.own.Drills, 0)
	if !f.check(err) {
		return
	}
	drill := func(key, label string, d threads.Drill) Row {
		return Row{Key: key, Label: label, Value: Rows{data("drill", d.Name), mm("diameter_mm", d.Diameter)}, Text: d.Name}
	}
	a.Title = "Sheared " + p.Thread.String()
	a.add(data("thread", p.Thread.String()), drill("pilot", "Pilot drill", p.Pilot), drill("core", "Last drill that spares the thread", p.Core),
		some("extractor_low_mm", p.ExtractorLow), some("extractor_high_mm", p.ExtractorHigh),
		Row{Key: "off_centre_mm", Label: "Pilot off centre by at most", Value: p.OffCentre.MM(), Text: fastening.BenchLength(p.OffCentre).String()},
		data("advice", check.Deference))
	if p.ExtractorHigh > 0 {
		a.add(said("Hole for an extractor", fastening.BenchLength(p.ExtractorLow).String()+" to "+fastening.BenchLength(p.ExtractorHigh).String()))
	}
	list := List{Key: "steps", Title: "In this order", Ranked: true}
	for _, s := range p.Steps {
		item := Item{Text: s.Do, Rows: Rows{data("do", s.Do)}}
		if s.Drill != "" {
			item.Text += ": " + s.Drill
			item.Rows = append(item.Rows, data("drill", s.Drill))
		}
		if s.Caution != "" {
			item.Rows = append(item.Rows, Row{Key: "caution", Label: "Caution", Value: s.Caution, Text: s.Caution})
		}
		list.Items = append(list.Items, item)
	}
	a.list(list)
	a.from(p.Sources...)
}
