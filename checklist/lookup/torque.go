package lookup

import (
	"errors"
	"fmt"
	"slices"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// screwFields ask for a screw: what torque and joint share. What is asked of the metal
// stands among them, before what is seldom known.
func screwFields(metal ...Field) []Field {
	return slices.Concat([]Field{
		{Name: "lubricant", Ask: "What is on the thread", Kind: Choice, Choices: lubricantNames, Few: true},
		{Name: "head", Ask: "Kind of head", Kind: Choice, Default: string(threads.HexHead), Choices: headKinds, Few: true},
	}, metal, []Field{
		{Name: "friction", Ask: "Coefficient of friction, where known", Brief: "Friction, where known", Kind: Number},
		{Name: "temperature", Ask: "Temperature in service", Kind: Temperature},
		{Name: "head-friction", Ask: "Friction under the head, where it differs", Brief: "Friction under the head", Kind: Number},
		{Name: "utilisation", Ask: "Share of the yield strength, such as 0.9", Brief: "Share of yield strength", Kind: Number},
		{Name: "clearance", Ask: "Hole in the cover (the medium one)", Brief: "Hole in the cover", Kind: Size},
		{Name: "edge", Ask: "Centre of the hole to the nearest edge", Brief: "Centre to nearest edge", Kind: Size},
	})
}

// screw reads what screwFields ask for.
func (f *form) screw() fastening.TightenInput {
	in := fastening.TightenInput{
		Grade: read(f, "grade", fastening.ParseGrade), Lubricant: read(f, "lubricant", fastening.ParseLubricant), Friction: f.positive("friction"),
		HeadFriction: f.positive("head-friction"), Utilisation: f.positive("utilisation"), Head: read(f, "head", threads.ParseHead),
		Temperature: f.temperature("temperature"), ClearanceHole: f.size("clearance"), Edge: f.size("edge"),
	}
	if f.given("friction") && f.given("lubricant") {
		f.fail("friction", errors.New("the lubricant says the same thing: give one"))
	}
	return in
}

// GradeNames are what screws are made of.
func GradeNames() (words []string) {
	for _, g := range fastening.Grades() {
		words = append(words, g.Name)
	}
	return words
}

// MetalNames are what holes are tapped into.
func MetalNames() (words []string) {
	for _, m := range fastening.Metals() {
		words = append(words, m.Name)
	}
	return words
}

func lubricantNames() (words []string) {
	for _, l := range fastening.Lubricants() {
		words = append(words, l.Name)
	}
	return words
}

func headKinds() []string {
	return []string{string(threads.HexHead), string(threads.SocketHead), string(threads.CountersunkHead), string(threads.CheeseHead)}
}

// holeField asks where a tapped hole leads.
func holeField(ask string) Field {
	return Field{Name: "leads", Ask: ask, Kind: Choice, Flags: true,
		Choices: these(string(fastening.WetHole), string(fastening.BlindHole), string(fastening.DryHole)),
		Tell: func(word string) string {
			switch fastening.HoleKind(word) {
			case fastening.WetHole:
				return "the hole breaks through to water or steam, or stands in weeps"
			case fastening.BlindHole:
				return "the hole ends in metal"
			}
			return "the hole goes through and is dry"
		}}
}

func (f *form) hole() fastening.HoleKind {
	return read(f, "leads", func(s string) (fastening.HoleKind, error) { return fastening.HoleKind(s), nil })
}

func torqueSheet() Sheet {
	return Sheet{
		Name: "torque", Title: "Torque",
		About: "How hard a screw may be tightened, and what limits it.",
		Long: "Preload and torque of a screw: VDI 2230 combined stress, held below what the\n" +
			"tapped metal takes (with --into and --depth). Where a screw that binds could shear,\n" +
			"a warning says from which torque.\n" +
			"Friction is shown, never silent; without --friction or --lubricant an anti-seize is assumed.\n\n" + check.Deference,
		Words: "tight tighten tightening nip spanner wrench screw bolt stud nut newton pound",
		Asked: []string{"hand_torque_nm", "torque_nm"},
		ask: func() []Field {
			return slices.Concat([]Field{
				{Name: "thread", Ask: "Thread", Kind: ThreadName, Required: true, Leading: true},
				{Name: "grade", Ask: "Screw made of", Kind: Choice, Required: true, Choices: GradeNames},
			}, screwFields(
				Field{Name: "into", Ask: "Metal it is tapped into", Brief: "Tapped in", Kind: Choice, Choices: MetalNames},
				Field{Name: "depth", Ask: "Length of full thread in it", Brief: "Full thread in it", Kind: Size},
				Field{Name: "spanner", Ask: "Length of the spanner", Kind: Size, Default: "100 mm"},
			), []Field{
				{Name: "hole", Ask: "Measured tapped hole (the usual drill)", Brief: "Measured tapped hole", Kind: Size},
				{Name: "bearing", Ask: "Mean diameter under the head", Brief: "Mean diameter under head", Kind: Size},
			})
		},
		Examples: []string{"torque M4 --grade A2-70 --lubricant sealant", "torque 2 BA --grade 'phosphor bronze' --friction 0.12 --into gunmetal --depth 7"},
		Boundary: true,
		work:     workTorque,
	}
}

func workTorque(f *form, a *Answer) {
	in := f.screw()
	in.Thread, in.Into, in.Depth = f.thread("thread"), read(f, "into", fastening.ParseMetal), f.size("depth")
	in.Hole, in.BearingDiameter, in.Spanner = f.size("hole"), f.size("bearing"), f.size("spanner")
	if f.err != nil {
		return
	}
	r, err := fastening.Tighten(in)
	if !f.check(err) {
		return
	}
	a.Title = fmt.Sprintf("%s, %s, %s head", r.Thread, r.Grade, r.Head)
	if in.Temperature != 0 {
		a.Title += fmt.Sprintf(", for service at %s", in.Temperature)
	}
	a.add(data("thread", r.Thread.String()), data("grade", r.Grade.String()), data("head", string(r.Head)))
	rows := tightened(r)
	if r.Torque <= 0 {
		a.add(said("Torque", "none: see the stop below"))
		rows = rows.quiet()
	}
	a.add(rows...)
	a.add(
		data("friction_low", r.Friction.Low), data("friction_high", r.Friction.High), data("friction_condition", r.Friction.Condition),
		data("friction_assumed", r.Friction.Assumed), data("head_friction", r.HeadFriction), data("utilisation", r.Utilisation),
		data("utilisation_reached", r.Reached), data("utilisation_high", r.ReachedHigh),
		data("torque_factor", r.TorqueFactor), mm("bearing_diameter_mm", r.BearingDiameter), mm("spanner_mm", r.Spanner), data("shears_from_nm", r.ShearsFrom.NM()),
	)
	var limits []Rows
	for _, l := range r.Limits {
		limits = append(limits, Rows{data("by", l.By), data("preload_kn", l.Preload.KN()), data("torque_nm", l.Torque.NM()), data("source", l.Source)})
	}
	a.add(data("limits", limits), data("strip_kn", nil))
	if s := r.Strip; s != nil {
		a.Rows[len(a.Rows)-1].Value = s.OneThird.KN()
		a.add(stripRow(fmt.Sprintf("In %s, %s of thread", in.Into, s.Engagement), s))
	}
	a.add(data("advice", check.Deference))
	a.find(r.Findings...)
	a.from(r.Sources...)
}

// tightened are the figures of a screw that may be tightened. The gentler one comes
// first: it is the one that is safe without a torque tool.
func tightened(r fastening.Tightening) Rows {
	tool := "With a torque tool, at most"
	if r.ReachedHigh > 1 {
		tool = "Only by tool, at a known friction"
	}
	force := func(key, label string, v quantity.Force) Row {
		return Row{Key: key + "_kn", Label: label, Value: v.KN(), Text: v.String()}
	}
	return Rows{
		torqueRow("hand_torque", "Torque by hand", r.HandTorque),
		force("hand_preload", "Preload by hand", r.HandPreload),
		torqueRow("torque", tool, r.Torque),
		data("torque_lbf_in", r.Torque.LbfIn()),
		{Key: "spanner_force_n", Label: fmt.Sprintf("at %s of spanner", r.Spanner), Value: r.SpannerForce.N(), Text: fmt.Sprintf("%.3g N", r.SpannerForce.N())},
		force("preload", "Preload", r.Preload),
		{Key: "limited_by", Label: "Limited by", Value: r.LimitedBy, Text: fmt.Sprintf("%s, at %.0f %% of yield", r.LimitedBy, 100*r.Reached)},
		{Key: "friction", Label: "Friction", Value: r.Friction.Nominal, Text: fmt.Sprintf("%.2g, %s", r.Friction.Nominal, r.Friction.Condition)},
		force("preload_high", fmt.Sprintf("Preload at friction %.2g", r.Friction.Low), r.PreloadHigh),
		force("preload_low", fmt.Sprintf("Preload at friction %.2g", r.Friction.High), r.PreloadLow),
	}
}

// torqueRow is a torque by both units that wrenches are marked in.
func torqueRow(key, label string, t quantity.Torque) Row {
	return Row{Key: key + "_nm", Label: label, Value: t.NM(), Text: fmt.Sprintf("%s (%.3g lbf·in)", t, t.LbfIn())}
}

// stripRow is what the thread in the tapped metal bears.
func stripRow(label string, s *fastening.Stripping) Row {
	part := Rows{
		{Key: "one_third_kn", Label: "Cautious strip force", Value: s.OneThird.KN(), Text: s.OneThird.String()},
		data("preload_cap_kn", s.PreloadCap.KN()),
		{Key: "geometric_kn", Label: "Geometric strip force", Value: s.Geometric.KN(), Text: s.Geometric.String()},
		{Key: "screw_breaks_kn", Label: "Screw breaks at", Value: s.ScrewBreaks.KN(), Text: s.ScrewBreaks.String()},
		wordRow("fails_first", "Fails first", s.FailsFirst),
		data("internal_area_mm2", s.InternalArea.MM2()), data("external_area_mm2", s.ExternalArea.MM2()),
		mm("engagement_for_break_mm", s.EngagementForBreak), mm("engagement_for_preload_mm", s.EngagementForPreload),
		{Key: "engagement_rule_mm", Label: "Usual least", Value: s.EngagementRule.MM(), Text: fastening.BenchLength(s.EngagementRule).String()},
		data("basis", s.Basis),
	}
	if s.EngagementForPreload > 0 {
		part = append(part, said("Full preload needs", fastening.BenchLength(s.EngagementForPreload).String()))
	}
	return Row{Key: "strip", Label: label, Value: part}
}
