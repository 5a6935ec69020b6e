package lookup

import (
	"fmt"
	"slices"
	"strings"

	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

func gasketNames() (words []string) {
	for _, g := range fastening.Gaskets() {
		words = append(words, g.Name)
	}
	return words
}

func jointSheet() Sheet {
	return Sheet{
		Name: "joint", Title: "Joint",
		About: "Whether a ring of screws holds a gasketed cover, and in what order to tighten it.",
		Long: "The loads of ASME VIII-1 Appendix 2 against what the screws give, at the pressure you\n" +
			"name: the test pressure of your local code, which this program never chooses.\n" +
			"Screws are taken as tightened by hand to 0.6 of yield; --utilisation for a torque tool.\n" +
			"Holes are numbered anticlockwise from the right, as in the steps of a job; --start turns hole 1.\n\n" + check.Deference,
		Words: "cover flange tighten order bolts gasket leak",
		Asked: []string{"reserve", "torque_nm"},
		ask: func() []Field {
			return slices.Concat([]Field{
				{Name: "bolts", Ask: "Number of screws", Kind: Count, Required: true},
				{Name: "thread", Ask: "Their thread", Kind: ThreadName, Required: true},
				{Name: "grade", Ask: "Screws made of", Kind: Choice, Required: true, Choices: GradeNames},
				{Name: "circle", Ask: "Diameter of the circle they stand on", Brief: "On a circle of", Kind: Size, Required: true},
				{Name: "bore", Ask: "Opening under pressure", Kind: Size, Required: true},
				{Name: "gasket", Ask: "Gasket", Kind: Choice, Required: true, Choices: gasketNames},
				{Name: "ring", Ask: "Gasket, inside x outside, such as 40 x 47", Brief: "Gasket, inside x outside", Kind: RingSizes, Required: true},
				{Name: "pressure", Ask: "Highest pressure it must hold", Brief: "Pressure it must hold", Kind: Pressure, Required: true},
			}, screwFields(
				Field{Name: "into", Ask: "Metal they are tapped into", Brief: "Tapped in", Kind: Choice, Required: true, Choices: MetalNames},
				Field{Name: "depth", Ask: "Length of full thread in it", Brief: "Full thread in it", Kind: Size, Required: true},
			), []Field{
				holeField("The holes are"),
				{Name: "start", Ask: "Angle of hole 1, anticlockwise from the right", Brief: "Angle of hole 1", Kind: Angle, Default: "0"},
				{Name: "cover", Ask: "Thickness of the cover", Kind: Size},
				{Name: "cover-metal", Ask: "Metal of the cover, for its least thickness", Brief: "Metal of the cover", Kind: Choice, Choices: MetalNames},
			})
		},
		Examples: []string{"joint --bolts 6 --thread M4 --grade A2-70 --circle 52 --bore 40 --gasket graphite --ring '40 x 47' --pressure '14 bar' --into gunmetal --depth 6"},
		Boundary: true,
		work:     workJoint,
	}
}

func workJoint(f *form, a *Answer) {
	screw, ring := f.screw(), read(f, "ring", parseRing)
	in := fastening.JointInput{
		Bolts: f.count("bolts"), Thread: f.thread("thread"), Grade: screw.Grade, Circle: f.size("circle"), Bore: f.size("bore"),
		Gasket: read(f, "gasket", fastening.ParseGasket), RingInner: ring[0], RingOuter: ring[1], Pressure: f.pressure("pressure"),
		Into: read(f, "into", fastening.ParseMetal), Depth: f.size("depth"), Utilisation: screw.Utilisation, Friction: screw.Friction,
		HeadFriction: screw.HeadFriction, Lubricant: screw.Lubricant, Head: screw.Head, ClearanceHole: screw.ClearanceHole, Edge: screw.Edge,
		Temperature: screw.Temperature, Hole: f.hole(), Start: f.angle("start"), Cover: f.size("cover"), CoverMetal: read(f, "cover-metal", fastening.ParseMetal),
	}
	if f.err != nil {
		return
	}
	r, err := fastening.Joint(in)
	if !f.check(err) {
		return
	}
	service, err := JointInService(in)
	if !f.check(err) {
		return
	}
	a.Title = fmt.Sprintf("%d x %s, %s; %s at %s", in.Bolts, in.Thread, in.Grade, in.Gasket, in.Pressure)
	a.find(service...)
	a.find(r.Findings...)
	a.add(said("Verdict", string(a.Verdict())))
	loads := jointLoads(r)
	if r.FullFace { // the sum does not cover it
		a.add(said("Reserve", "none: a full-face gasket is not this sum"))
		loads = loads.quiet()
		for i := range loads {
			loads[i].Value = nil
		}
	}
	a.add(loads...)
	a.add(jointRows(in, r)...)
	a.ring(r.Circle, in.Start)
	var passes []Rows
	tighten := List{Title: "Tighten"}
	for _, p := range r.Passes {
		text := p.Do
		if p.Torque > 0 {
			text = p.Torque.String() + ": " + text
		}
		tighten.Items = append(tighten.Items, Item{Name: p.Name, Text: text})
		passes = append(passes, Rows{data("name", p.Name), data("percent", p.Percent), data("torque_nm", p.Torque.NM()), data("order", p.Order), data("do", p.Do)})
	}
	a.list(tighten)
	var holes []Rows
	for _, h := range r.Circle.Holes {
		holes = append(holes, Rows{data("number", h.Number), mm("x_mm", h.X), mm("y_mm", h.Y), data("angle_deg", h.Angle.Degrees())})
	}
	a.add(data("passes", passes), data("holes", holes), data("advice", check.Deference))
	a.from(r.Sources...)
}

// jointLoads are the loads of Appendix 2 and what stands against them.
func jointLoads(r fastening.JointResult) Rows {
	force := func(key, label string, v quantity.Force) Row {
		return Row{Key: key + "_n", Label: label, Value: v.N(), Text: v.String()}
	}
	times := func(key, label string, v float64, after string) Row {
		return Row{Key: key, Label: label, Value: v, Text: fmt.Sprintf("%.2f", v) + after}
	}
	rows := Rows{
		times("reserve", "Reserve", r.Reserve, ""),
		times("reserve_low", fmt.Sprintf("Reserve at friction %.2g", r.Tightening.Friction.High), r.ReserveLow, ""),
		times("reserve_one_lost", "Reserve beside a lost screw", r.ReserveOneLost, " if the cover is stiff"),
		force("hydrostatic", "End force of the pressure", r.Hydrostatic), force("operating", "To hold", r.Operating), force("seating", "To seat", r.Seating),
		force("per_bolt", "Each screw needs", r.PerBolt),
	}
	if r.GasketStress > 0 {
		rows = append(rows, Row{Key: "gasket_stress_mpa", Label: "On the gasket", Value: r.GasketStress.MPa(), Text: r.GasketStress.String()})
	} else {
		rows = append(rows, data("gasket_stress_mpa", r.GasketStress.MPa()))
	}
	return append(rows, mm("seal_diameter_mm", r.SealDiameter), mm("effective_width_mm", r.EffectiveWidth), mm("land_mm", r.Land))
}

// jointRows are the figures that a gasket past the screws has too.
func jointRows(in fastening.JointInput, r fastening.JointResult) Rows {
	length := func(key, label string, l quantity.Length) Row {
		return Row{Key: key + "_mm", Label: label, Value: l.MM(), Text: fastening.BenchLength(l).String()}
	}
	pitch := length("pitch", "Between the screws", r.Pitch)
	pitch.Text += fmt.Sprintf(", %.1f diameters", float64(r.Pitch/in.Thread.Major))
	torque := "Torque by hand"
	if in.Utilisation > 0 {
		torque = "Torque by tool"
	}
	rows := Rows{
		{Key: "preload_per_bolt_n", Label: "Each screw is given", Value: r.PreloadPerBolt.N(), Text: r.PreloadPerBolt.String()},
		{Key: "torque_nm", Label: torque, Value: r.Torque.NM(), Text: r.Torque.String()},
		{Key: "friction", Label: "Friction", Value: r.Tightening.Friction.Nominal, Text: fmt.Sprintf("%.2g, %s", r.Tightening.Friction.Nominal, r.Tightening.Friction.Condition)},
		data("friction_assumed", r.Tightening.Friction.Assumed), data("limited_by", r.Tightening.LimitedBy),
		pitch, length("gap_one_lost", "Gap beside a lost screw", r.Gap),
		data("seating_practice_n", nil), some("practice_width_mm", r.PracticeWidth),
	}
	if r.SeatingPractice > 0 {
		rows[len(rows)-2] = Row{Key: "seating_practice_n", Label: "To seat, in practice", Value: r.SeatingPractice.N(), Text: r.SeatingPractice.String()}
	}
	if r.CoverThickness == 0 {
		return append(rows, data("cover_thickness_mm", nil), data("cover_pressure_mm", nil), data("cover_seating_mm", nil))
	}
	rows = append(rows, length("cover_thickness", "Cover at least", r.CoverThickness), length("cover_pressure", "of it for the pressure", r.CoverPressure))
	if r.CoverSeating == 0 {
		return append(rows, data("cover_seating_mm", nil))
	}
	return append(rows, length("cover_seating", "of it for its own screws", r.CoverSeating))
}

// parseRing reads "40 x 47": inside and outside of a ring. A unit after the second
// figure counts for a plain first one too.
func parseRing(s string) (ring [2]quantity.Length, err error) {
	parts := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == 'x' || r == '×' || r == '*' })
	if len(parts) != 2 {
		return ring, fmt.Errorf("a gasket ring of %q: expected its inside and outside, like \"40 x 47\"", shorten(s))
	}
	first, second := strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1])
	if i := strings.LastIndexAny(second, "0123456789"); i >= 0 && strings.Trim(first, "0123456789., /") == "" {
		first += second[i+1:]
	}
	if ring[0], err = quantity.ParseLength(first); err != nil {
		return ring, fmt.Errorf("inside of the gasket ring: %w", err)
	}
	if ring[1], err = quantity.ParseLength(second); err != nil {
		return ring, fmt.Errorf("outside of the gasket ring: %w", err)
	}
	return ring, nil
}
