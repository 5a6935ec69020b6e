package lookup

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// names are the words of a list, made when they are asked for.
func names[T ~string](list func() []T) func() []string {
	return func() []string {
		var out []string
		for _, v := range list() {
			out = append(out, string(v))
		}
		return out
	}
}

// these are words that stand here.
func these(words ...string) func() []string { return func() []string { return words } }

func placeFields() []Field {
	return append([]Field{
		{Name: "pressure", Ask: "Working pressure of the boiler", Brief: "Working pressure", Kind: Pressure, Required: true, Leading: true},
		{Name: "zone", Ask: "Part of the engine", Kind: Choice, Default: string(boiler.Saturated), Choices: names(boiler.Zones), Few: true},
		{Name: "measured", Ask: "Temperature measured there in service", Brief: "Temperature measured", Kind: Temperature},
	}, airFields()...)
}

func sealSheets() []Sheet {
	return []Sheet{
		{
			Group: "boiler", Name: "seals", Title: "Seals against heat",
			About: "What a sealing material stands in a part of the engine, or all materials side by side.",
			Words: "gasket packing ptfe graphite rubber nitrile silicone temperature sealant",
			Asked: []string{"design_c", "material"},
			Fields: append(placeFields(),
				Field{Name: "material", Ask: "Sealing material; empty for all", Brief: "Sealing material", Kind: Choice, Choices: names(boiler.SealMaterials)},
				Field{Name: "sheet-limit", Ask: "Limit on the material's data sheet", Brief: "Limit on its data sheet", Kind: Temperature},
				Field{Name: "oil", Ask: "Can cylinder oil reach it?", Kind: YesNo},
				Field{Name: "header", Ask: "Wet header: regulator before or after it", Brief: "Regulator, wet header", Kind: Choice, Choices: these("before", "after", "unknown"), Few: true},
			),
			Examples: []string{"seals 90 psi", "seals 90 psi --material 'PTFE packing'", "seals '6.2 bar' --zone superheated --material 'pure graphite' --measured 280"},
			Boundary: true,
			work:     workSeals,
		},
		{
			Group: "boiler", Name: "metals", Title: "Metals and solders against heat",
			About: "What pipes, fittings, solders and screws stand in a part of the engine.",
			Words: "solder melt temperature braze",
			Asked: []string{"design_c"},
			Fields: append(placeFields(),
				Field{Name: "metal", Ask: "Metal, solder or screw; empty for all", Brief: "Metal, solder or screw", Kind: Choice, Choices: names(boiler.Metals)},
			),
			Examples: []string{"metals 90 psi", "metals 90 psi --metal '60/40 brass'"},
			Boundary: true,
			work:     workMetals,
		},
		{
			Group: "boiler", Name: "packing", Title: "Gland packing",
			About: "Section, number and length of the rings of a valve-spindle gland, and how far the nut draws.",
			Words: "graphite yarn ring stuffing spindle",
			Asked: []string{"rings", "ring_length_mm"},
			Fields: []Field{
				{Name: "spindle", Ask: "Spindle diameter where the packing bears", Brief: "Spindle at the packing", Kind: Length, Required: true, Leading: true},
				{Name: "box", Ask: "Bore of the box", Kind: Length, Required: true},
				{Name: "depth", Ask: "Depth the packing may fill", Kind: Length},
				{Name: "box-depth", Ask: "Or the whole depth of the box", Brief: "Or depth of the box", Kind: Length},
				{Name: "nut", Ask: "Thread of the gland nut", Kind: ThreadName},
				{Name: "pitch", Ask: "Or its pitch", Kind: Length},
				{Name: "pressure", Ask: "Working pressure of the boiler", Brief: "Working pressure", Kind: Pressure},
				{Name: "material", Ask: "Packing", Kind: Choice, Choices: names(boiler.SealMaterials)},
				{Name: "zone", Ask: "Part of the engine", Kind: Choice, Default: string(boiler.Saturated), Choices: names(boiler.Zones), Few: true},
			},
			Examples: []string{"packing 3/16 --box 3/8 --depth 9.6 --nut '1/2 x 26 brass'", "packing 4.76 --box 9.53 --box-depth 13 --pressure '90 psi' --material 'PTFE packing'"},
			Boundary: true,
			work:     workPacking,
		},
		{
			Group: "boiler", Name: "oring", Title: "O-ring and groove",
			About: "The groove for a chosen ring, or the rings for a measured groove.",
			Words: "seal squeeze",
			Asked: []string{"depth_mm", "width_mm"},
			Fields: []Field{
				{Name: "use", Ask: "How it seals", Kind: Choice, Default: string(boiler.FaceSeal), Choices: names(boiler.RingUses), Few: true},
				{Name: "ring", Ask: "Ring: size number, or inside x section", Brief: "Ring: number or size", Kind: Text, Leading: true},
				{Name: "squeeze", Ask: "Squeeze wanted, %", Kind: Number},
				{Name: "fill", Ask: "Fill wanted, %", Kind: Number},
				{Name: "spindle", Ask: "Spindle the ring sits on", Kind: Length},
				{Name: "bore", Ask: "Or bore the ring seals in", Kind: Length},
				{Name: "port", Ask: "Opening inside a face groove", Brief: "Opening in the groove", Kind: Length},
				{Name: "inside", Ask: "Measured groove: inner diameter", Brief: "Groove: inner diameter", Kind: Length},
				{Name: "outside", Ask: "Measured groove: outer diameter", Brief: "Groove: outer diameter", Kind: Length},
				{Name: "depth", Ask: "Measured face groove: depth", Brief: "Face groove: depth", Kind: Length},
				{Name: "width", Ask: "Measured radial groove: width", Brief: "Radial groove: width", Kind: Length},
				{Name: "pressure-outside", Ask: "Is the pressure outside the ring?", Brief: "Pressure outside the ring?", Kind: YesNo},
			},
			Examples: []string{"oring AS568-031 --port 40", "oring 4.47x1.78 --use sliding --spindle 4.76", "oring --use radial --inside 12.5 --outside 16.5 --width 3.6"},
			Boundary: true,
			work:     workOring,
		},
		{
			Group: "boiler", Name: "gasket", Title: "Ring gasket",
			About: "The size of a ring gasket inside a circle of screws, and the metal left to their holes.",
			Words: "cut sheet joint",
			Asked: []string{"inside_mm", "outside_mm"},
			Fields: []Field{
				{Name: "bore", Ask: "Opening the gasket runs round", Brief: "Opening inside it", Kind: Length, Required: true, Leading: true},
				{Name: "circle", Ask: "Pitch circle of the screws", Kind: Length, Required: true},
				{Name: "hole", Ask: "Screw hole", Kind: Length, Required: true},
				{Name: "inside", Ask: "Inside of a given gasket", Kind: Length},
				{Name: "outside", Ask: "Outside of a given gasket", Kind: Length},
			},
			Examples: []string{"gasket 40 --circle 52 --hole 4.5", "gasket 40 --circle 52 --hole 5.5 --outside 47"},
			Boundary: true,
			work:     workGasket,
		},
		{
			Group: "boiler", Name: "cure", Title: "Cure of a sealant",
			About: "How long an anaerobic sealant wants. A planning figure: the container's data sheet overrides it.",
			Words: "set harden wait anaerobic adhesive time",
			Asked: []string{"full_h"},
			Fields: []Field{
				{Name: "temperature", Ask: "Lowest temperature of the joint", Brief: "Lowest temperature", Kind: Temperature, Required: true, Leading: true},
				{Name: "screw", Ask: "Metal of the screw or stud", Kind: Choice, Required: true, Choices: surfaceNames},
				{Name: "into", Ask: "Metal it goes into", Kind: Choice, Required: true, Choices: surfaceNames},
				{Name: "gap", Ask: "Widest gap, on the radius", Kind: Length, Default: "0.1"},
				{Name: "primer", Ask: "Primed?", Kind: YesNo},
				{Name: "sheet-time", Ask: "Full cure on the container's data sheet", Brief: "Full cure on data sheet", Kind: Time},
				{Name: "reference", Ask: "Full cure at 20 °C, copper on copper", Brief: "Full cure, copper, 20 °C", Kind: Time},
			},
			Examples: []string{"cure 8 --screw stainless --into gunmetal", "cure 15 --screw bronze --into gunmetal --sheet-time '24 h'"},
			Boundary: true,
			work:     workCure,
		},
	}
}

func surfaceNames() (list []string) {
	for _, s := range boiler.Surfaces() {
		list = append(list, s.Name)
	}
	return list
}

// conditions reads the place of a seal or metal and says what it has to stand.
func conditions(f *form, a *Answer) (boiler.Zone, quantity.Pressure, boiler.Site, bool) {
	p, zone, site := f.pressure("pressure"), read(f, "zone", boiler.ParseZone), f.site()
	if f.err != nil {
		return "", 0, boiler.Site{}, false
	}
	c, err := boiler.ConditionsIn(zone, p, site)
	if !f.check(err) {
		return "", 0, boiler.Site{}, false
	}
	a.add(
		wordRow("zone", "Zone", string(zone)),
		pressureRow("pressure", "Working pressure", p),
		pressureRow("design_pressure", "Safety valves blowing", c.DesignPressure),
		temperatureRow("design_saturation", "Steam there", c.Saturation),
		temperatureRow("design", "Checked against", c.Temperature),
		wordRow("medium", "In", string(c.Medium)),
	)
	a.from(c.Source)
	return zone, p, site, true
}

func workSeals(f *form, a *Answer) {
	material := read(f, "material", boiler.ParseSealMaterial)
	zone, p, site, ok := conditions(f, a)
	if !ok {
		return
	}
	if f.given("header") {
		switch f.text("header") {
		case "before":
			a.find(boiler.WetHeader(true, true))
		case "after":
			a.find(boiler.WetHeader(true, false))
		case "unknown":
			a.find(boiler.WetHeader(false, false))
		default:
			f.fail("header", errors.New("expected before, after or unknown"))
			return
		}
	}
	if material != "" {
		findings, err := boiler.CheckSeal(material, zone, p, site)
		if !f.check(err) {
			return
		}
		a.add(wordRow("material", "Material", string(material)))
		checked(a, findings)
		return
	}
	if site.SheetLimit != 0 {
		f.fail("sheet-limit", errors.New("name the material the data sheet belongs to"))
		return
	}
	var list []entry
	for _, m := range boiler.SealMaterials() {
		findings, err := boiler.CheckSeal(m, zone, p, site)
		if !f.check(err) {
			return
		}
		list = append(list, side(string(m), string(m.Class()), findings))
	}
	a.Lists = append(a.Lists, List{Key: "materials", Title: "Materials, best first", Items: ranked(list)})
	oneScale(a, list)
}

func workMetals(f *form, a *Answer) {
	metal := read(f, "metal", boiler.ParseMetal)
	zone, p, site, ok := conditions(f, a)
	if !ok {
		return
	}
	if metal != "" {
		findings, err := boiler.CheckMetal(metal, zone, p, site)
		if !f.check(err) {
			return
		}
		a.add(wordRow("metal", "Metal", string(metal)))
		checked(a, findings)
		return
	}
	var list []entry
	for _, m := range boiler.Metals() {
		findings, err := boiler.CheckMetal(m, zone, p, site)
		if !f.check(err) {
			return
		}
		list = append(list, side(string(m), string(m.Kind()), findings))
	}
	a.Lists = append(a.Lists, List{Key: "metals", Title: "Metals, best first", Items: ranked(list)})
	oneScale(a, list)
}

// checked shows the check of one material: its verdict, the figure to rely on,
// and every finding.
func checked(a *Answer, findings []check.Result) {
	a.find(findings...)
	for _, g := range findings {
		if g.Compared {
			a.add(
				temperatureRow("limit", "Limit", quantity.Temperature(g.Limit)),
				figureRow("margin_k", "Margin", g.Margin, 1, "K"),
			)
			break
		}
	}
	for _, g := range findings {
		a.from(g.Source)
	}
}

// ranked puts the materials of a table in order: what stands first, then by
// what is in hand; what has no figure comes after those of its word that do.
func ranked(list []entry) []Item {
	slices.SortStableFunc(list, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.verdict.Gravity(), b.verdict.Gravity()), cmp.Compare(b.margin, a.margin))
	})
	items := make([]Item, len(list))
	for i, e := range list {
		items[i] = e.item
	}
	return items
}

// oneScale is said under a table that has something over its limit.
func oneScale(a *Answer, list []entry) {
	if slices.ContainsFunc(list, func(e entry) bool { return e.raised }) {
		a.find(check.Result{Rule: "one-scale", Severity: check.Note, Source: calculated,
			Message: "Here whatever is over its limit is a stop. Where sources disagree, look at the material by itself: it says what is disputed."})
	}
}

// entry is one material among others.
type entry struct {
	item    Item
	verdict check.Severity
	margin  float64 // K; -Inf where there is no figure
	raised  bool    // a stop here, though not by itself
}

// side is one material among others. They stand on one scale: over the limit
// that is relied on is a stop for all of them, also where the check of that
// material alone only warns or asks because its sources disagree. Else 50 K too
// hot would look better than 5.
func side(name, kind string, findings []check.Result) entry {
	alone := check.Worst(findings)
	e := entry{verdict: alone, margin: math.Inf(-1)}
	limits := []float64{}
	source := findings[0].Source
	for _, g := range findings {
		if !g.Compared {
			continue
		}
		if len(limits) == 0 {
			e.margin, source = g.Margin, g.Source
		}
		limits = append(limits, float64(g.Limit))
	}
	if len(limits) > 0 && e.margin < 0 {
		e.verdict = check.Stop
	}
	e.raised = e.verdict != alone
	word := string(e.verdict)
	if e.verdict == check.Good {
		word = "stands"
	}
	e.item.Text = fmt.Sprintf("%s: %s", name, word)
	e.item.Rows = []Row{wordRow("name", "", name), wordRow("kind", "", kind), wordRow("verdict", "", string(e.verdict))}
	if len(limits) > 0 {
		if e.margin < 0 {
			e.item.Text += fmt.Sprintf(", %s K too hot", fixed(-e.margin, 1))
		} else {
			e.item.Text += fmt.Sprintf(", %s K in hand", fixed(e.margin, 1))
		}
		e.item.Rows = append(e.item.Rows, figureRow("margin_k", "", e.margin, 1, "K"))
	}
	why := ""
	for _, g := range findings {
		if !alone.Worse(g.Severity) && reason(g.Rule) != "" {
			why = reason(g.Rule)
			break
		}
	}
	contested := slices.ContainsFunc(findings, func(g check.Result) bool { return g.Rule == "seal-contested" })
	if why == "" && (contested || limitsDisagree(findings)) {
		why = reason("seal-contested")
	}
	if why != "" {
		e.item.Text += " (" + why + ")"
	}
	e.item.Rows = append(e.item.Rows, Row{Key: "source", Value: source},
		Row{Key: "limits_c", Value: limits}, yesRow("contested", "", contested))
	return e
}

// limitsDisagree reports that one source's limit is passed and another's is not.
func limitsDisagree(findings []check.Result) bool {
	passed, kept := false, false
	for _, g := range findings {
		if g.Compared {
			passed, kept = passed || g.Margin < 0, kept || g.Margin >= 0
		}
	}
	return passed && kept
}

// reason says in a few words why a rule speaks, where the margin does not show it.
func reason(rule string) string {
	switch rule {
	case "clack-passing":
		return "if a clack passes"
	case "seal-contested":
		return "sources disagree"
	case "seal-fibre":
		return "which fibre?"
	case "not-suitable":
		return "not for it at all"
	case "superheat-assumed":
		return "superheat not measured"
	case "seal-superheat":
		return "none in superheat"
	case "seal-oil":
		return "oil swells it"
	}
	return ""
}

func workPacking(f *form, a *Answer) {
	g := boiler.Gland{
		Spindle: f.length("spindle"), Box: f.length("box"), Depth: f.length("depth"), NutPitch: f.length("pitch"),
	}
	nut := f.thread("nut")
	pressure := f.pressure("pressure")
	material := read(f, "material", boiler.ParseSealMaterial)
	zone := read(f, "zone", boiler.ParseZone)
	whole := f.length("box-depth")
	switch {
	case f.err != nil:
		return
	case f.given("depth") == f.given("box-depth"):
		f.fail("depth", errors.New("give the depth the packing may fill or the whole depth of the box: one of them"))
		return
	case f.given("nut") && f.given("pitch"):
		f.fail("nut", errors.New("give the thread of the nut or its pitch, not both"))
		return
	case f.given("material") && !f.given("pressure"):
		f.fail("pressure", errors.New("the packing is checked against steam at the working pressure: give it"))
		return
	}
	if f.given("nut") {
		g.NutPitch, g.NutCore = nut.Lead(), nut.MinorExternal()
	}
	if f.given("box-depth") {
		if whole <= boiler.FollowerEntry {
			f.fail("box-depth", fmt.Errorf("%s leaves nothing for packing once the follower is in by %s", whole, boiler.FollowerEntry))
			return
		}
		g.Depth = whole - boiler.FollowerEntry
	}
	p, err := boiler.PackGland(g)
	if !f.check(err) {
		return
	}
	section := hundredths("section", "Section, square", p.Section)
	section.Text += fmt.Sprintf(" (%s in)", nearestFraction(p.Section))
	a.add(
		section,
		countRow("rings", "Rings", p.Rings),
		figureRow("ring_length_mm", "Each ring, butt cut", float64(p.RingLength), 1, "mm"),
		figureRow("order_length_mm", "To order", float64(p.OrderLength), 0, "mm"),
		hundredths("stack", "Rings stacked", p.Stack),
		hundredths("box_depth_least", "Box at least this deep", p.Stack+boiler.FollowerEntry),
		hundredths("follower_least", "Follower travel, least", p.FollowerMin),
		hundredths("follower_most", "Follower travel, most", p.FollowerMax),
	)
	if p.Spacer > 0 {
		a.add(hundredths("spacer", "Spacer at the bottom", p.Spacer))
	}
	if g.NutPitch > 0 {
		a.add(
			hundredths("nut_pitch", "Pitch of the nut", g.NutPitch),
			figureRow("turns_least", "Turns of the nut, least", p.TurnsMin, 1, ""),
			figureRow("turns_most", "Turns of the nut, most", p.TurnsMax, 1, ""),
		)
	}
	if pressure != 0 {
		thrust, err := boiler.SpindleThrust(g.Spindle, pressure)
		if !f.check(err) {
			return
		}
		a.add(Row{Key: "spindle_thrust_n", Label: "Pressure pushes the spindle out with", Value: float64(thrust), Text: thrust.String()})
	}
	a.find(p.Findings...)
	a.find(check.Result{Rule: "gland-cold", Severity: check.Note, Danger: true, Source: "common practice, no source",
		Message: "Slacken no gland before the boiler is cold and both the gauge and an open valve show no pressure. Stand out of line with the spindle."})
	a.from("published packing guides", "common practice, no source (tenth for the cuts)")
	if material != "" {
		findings, err := boiler.CheckSeal(material, zone, pressure, boiler.Site{})
		if !f.check(err) {
			return
		}
		a.add(wordRow("material", "Packing", string(material)))
		checked(a, findings)
	}
}

// nearestFraction names the nearest thirty-second of an inch, in which packing is sold.
func nearestFraction(l quantity.Length) string {
	const steps = 32
	n := int(l.Inches()*steps + 0.5)
	if n < 1 {
		n = 1
	}
	return "about " + quantity.Fraction(n, steps)
}

func workOring(f *form, a *Answer) {
	use := read(f, "use", boiler.ParseRingUse)
	outsidePressure := f.yes("pressure-outside")
	if f.err != nil {
		return
	}
	measured := []string{"inside", "outside", "depth", "width"}
	wanted := []string{"squeeze", "fill", "spindle", "bore", "port"}
	anyOf := func(list []string) string {
		for _, name := range list {
			if f.given(name) {
				return name
			}
		}
		return ""
	}
	if !f.given("ring") {
		if anyOf(measured) == "" {
			f.fail("ring", errors.New("give a ring to work out its groove, or --inside and --outside of a measured groove to find its ring"))
			return
		}
		if name := anyOf(wanted); name != "" {
			f.fail(name, errors.New("this belongs to a chosen ring; give --ring"))
			return
		}
		ringsForGroove(f, a, use, outsidePressure)
		return
	}
	if name := anyOf(measured); name != "" {
		f.fail(name, errors.New("this belongs to a measured groove; leave --ring out to find its ring"))
		return
	}
	in := boiler.GrooveInput{
		Ring: read(f, "ring", boiler.ParseRing), Use: use, Squeeze: f.number("squeeze"), Fill: f.number("fill"),
		PressureOutside: outsidePressure, Spindle: f.length("spindle"), Bore: f.length("bore"), Port: f.length("port"),
	}
	if f.err != nil {
		return
	}
	g, err := boiler.GrooveFor(in)
	if !f.check(err) {
		return
	}
	a.add(
		wordRow("ring", "Ring", in.Ring.Name),
		hundredths("ring_inside", "Inside diameter", in.Ring.Inside),
		hundredths("ring_section", "Section", in.Ring.Section),
		wordRow("use", "Use", string(use)),
		hundredths("depth", "Depth of the groove", g.Depth),
		hundredths("depth_least", "Depth, least", g.DepthMin),
		hundredths("depth_most", "Depth, most", g.DepthMax),
		hundredths("width", "Width of the groove", g.Width),
		hundredths("width_most", "Width, most", g.WidthMax),
		percentRow("squeeze", "Squeeze", g.SqueezePercent),
		percentRow("squeeze_least", "Squeeze for this use, least", g.SqueezeLowPercent),
		percentRow("squeeze_most", "Squeeze for this use, most", g.SqueezeHighPercent),
		percentRow("fill", "Fill", g.FillPercent),
		percentRow("fill_worst", "Fill, thickest ring", g.FillWorstPercent),
	)
	if in.Spindle != 0 || in.Bore != 0 {
		a.add(
			percentRow("stretch", "Stretch", g.StretchPercent),
			hundredths("section_installed", "Section left by the stretch", g.SectionInstalled),
		)
	}
	if g.Outside != 0 {
		a.add(
			hundredths("groove_inside", "Groove, inner diameter", g.Inside),
			hundredths("groove_outside", "Groove, outer diameter", g.Outside),
		)
	}
	if in.Port != 0 {
		a.add(hundredths("land", "Metal between opening and groove", g.Land))
	}
	a.add(hundredths("lead_in", "Lead-in chamfer, least", g.LeadIn))
	if len(g.Published) > 0 {
		list := List{Key: "published", Title: "In published tables"}
		for _, h := range g.Published {
			list.Items = append(list.Items, Item{
				Text: fmt.Sprintf("%s: depth %s, width %s, corner radius %s", h.Source, span(h.DepthMin, h.DepthMax), span(h.WidthMin, h.WidthMax), span(h.RadiusMin, h.RadiusMax)),
				Rows: []Row{
					hundredths("depth_least", "", h.DepthMin), hundredths("depth_most", "", h.DepthMax),
					hundredths("width_least", "", h.WidthMin), hundredths("width_most", "", h.WidthMax),
					hundredths("radius_least", "", h.RadiusMin), hundredths("radius_most", "", h.RadiusMax),
					{Key: "source", Value: h.Source},
				},
			})
		}
		a.Lists = append(a.Lists, list)
	}
	a.find(g.Findings...)
	a.from(in.Ring.Source, g.Source, "published O-ring groove guides")
}

func span(low, high quantity.Length) string {
	if low == high {
		return fixed(float64(low), 2)
	}
	return fixed(float64(low), 2) + " to " + fixed(float64(high), 2)
}

func ringsForGroove(f *form, a *Answer, use boiler.RingUse, outsidePressure bool) {
	g := boiler.MeasuredGroove{
		Use: use, Inside: f.length("inside"), Outside: f.length("outside"), Depth: f.length("depth"), Width: f.length("width"),
		PressureOutside: outsidePressure,
	}
	if f.err != nil {
		return
	}
	rings, err := boiler.RingsFor(g)
	if !f.check(err) {
		return
	}
	fits := rings[0].Verdict == check.Good
	a.add(wordRow("use", "Use", string(use)), yesRow("fits", "A standard ring fits", fits))
	list := List{Key: "rings", Title: "Rings, best first"}
	if !fits {
		list.Title = "Nearest rings"
		a.find(check.Result{Rule: "no-ring", Severity: check.Stop, Source: "published O-ring groove guides",
			Message: "No standard ring breaks none of the rules in this groove. The nearest are listed with what is wrong."})
	}
	for _, r := range rings {
		item := Item{
			Text: fmt.Sprintf("%s (%s x %s): squeeze %s %%, stretch %s %%, fill %s %%", r.Ring.Name,
				fixed(float64(r.Ring.Inside), 2), fixed(float64(r.Ring.Section), 2),
				fixed(r.SqueezePercent, 0), fixed(r.StretchPercent, 1), fixed(r.FillPercent, 0)),
			Rows: []Row{
				wordRow("ring", "", r.Ring.Name), hundredths("inside", "", r.Ring.Inside), hundredths("section", "", r.Ring.Section),
				percentRow("squeeze", "", r.SqueezePercent), percentRow("stretch", "", r.StretchPercent), percentRow("fill", "", r.FillPercent),
				wordRow("verdict", "", string(r.Verdict)),
			},
		}
		if !fits {
			for _, p := range r.Findings {
				item.Text += ". " + p.Message
			}
		}
		list.Items = append(list.Items, item)
		a.from(r.Ring.Source)
	}
	a.Lists = append(a.Lists, list)
	a.from("published O-ring groove guides")
}

func workGasket(f *form, a *Answer) {
	in := boiler.GasketInput{
		Bore: f.length("bore"), BoltCircle: f.length("circle"), Hole: f.length("hole"),
		Inside: f.length("inside"), Outside: f.length("outside"),
	}
	if f.err != nil {
		return
	}
	g, err := boiler.GasketSize(in)
	if !f.check(err) {
		return
	}
	a.add(
		hundredths("inside", "Inside", g.Inside),
		hundredths("outside", "Outside", g.Outside),
		hundredths("width", "Width of the ring", g.Width),
		hundredths("mean_diameter", "Mean diameter", g.Mean),
		Row{Key: "area_mm2", Label: "Area", Value: float64(g.Area), Text: g.Area.String()},
		hundredths("land", "Metal to the screw holes", g.Land),
	)
	a.find(g.Findings...)
	a.from(calculated, "common practice, no source (0.25 mm to the holes)")
}

func workCure(f *form, a *Answer) {
	in := boiler.CureInput{
		Temperature: f.temperature("temperature"),
		Surfaces:    [2]boiler.Surface{read(f, "screw", boiler.ParseSurface), read(f, "into", boiler.ParseSurface)},
		Gap:         f.length("gap"),
		Primer:      f.yes("primer"),
		Reference:   f.time("reference"),
		Sheet:       f.time("sheet-time"),
	}
	if f.err != nil {
		return
	}
	c, err := boiler.Cure(in)
	if !f.check(err) {
		return
	}
	a.add(hoursRow("full", "Full cure", c.Full))
	if c.Planning {
		a.add(
			hoursRow("low_pressure_earliest", fmt.Sprintf("Water at %s, earliest", boiler.LowPressure), c.LowEarliest),
			hoursRow("low_pressure_sure", fmt.Sprintf("Water at %s, safer", boiler.LowPressure), c.LowSure),
			figureRow("temperature_factor", "Times, for the temperature", c.TemperatureFactor, 2, ""),
			figureRow("metal_factor", "Times, for the metals", c.MetalFactor, 0, ""),
			figureRow("gap_factor", "Times, for the gap", c.GapFactor, 0, ""),
		)
	}
	a.add(yesRow("planning_figure", "Planning figure only", c.Planning))
	if in.Sheet > 0 {
		sheet := in.Sheet
		in.Sheet = 0
		if planned, err := boiler.Cure(in); err == nil && planned.Full > sheet {
			a.add(hoursRow("planned", "Planned here", planned.Full))
			a.find(check.Result{Rule: "sheet-short", Severity: check.Ask, Source: "common practice, no source",
				Message: fmt.Sprintf("Is the sheet's time for %s and for these metals? It usually means about 22 °C and metals that make it set. Where the sheet does not say, wait the longer of the two.", in.Temperature)})
		}
	}
	a.find(c.Findings...)
	a.from(c.Source)
}

// hoursRow prints short times as they are, long ones in hours, which the shop
// clock and the job's log both count in.
func hoursRow(key, label string, d time.Duration) Row {
	text := quantity.SpanString(d)
	if d >= 24*time.Hour {
		text = fixed(d.Hours(), 0) + " h (" + fixed(d.Hours()/24, 1) + " days)"
	}
	return Row{Key: key + "_h", Label: label, Value: d.Hours(), Text: text}
}
