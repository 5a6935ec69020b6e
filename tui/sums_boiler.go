package tui

import (
	"fmt"
	"slices"

	"fettle/checklist/boiler"
	"fettle/threads/quantity"
)

// boilerSums are the sums of the boiler and its seals.
func boilerSums() []sum {
	return []sum{
		steamSum(), sealSum(), grooveSum(), ringSum(), packingSum(), gasketSum(), cureSum(),
		fillSum(), airSum(), leakSum(), gaugeSum(), targetSum(), faultSum(),
		flatsSum(), divideSum(), discSum(),
	}
}

func texts[T ~string](list []T) []string {
	words := make([]string, len(list))
	for i, v := range list {
		words[i] = string(v)
	}
	return words
}

func (d *doc) boilerFindings(list []boiler.Finding, sources bool) {
	rank := func(s boiler.Severity) int {
		return slices.Index([]boiler.Severity{boiler.Stop, boiler.Warn, boiler.Ask, boiler.Note}, s)
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b boiler.Finding) int { return rank(a.Severity) - rank(b.Severity) })
	for _, g := range list {
		d.finding(string(g.Severity), g.Message, g.Source, sources)
	}
}

// ready reports whether every answer that is needed is there and can be read.
func (a *answers) ready() bool { return len(a.gaps) == 0 && !a.bad() }

// atmosphere is the air at an altitude; the standard one where none is given.
func (a *answers) atmosphere(name string) quantity.AbsolutePressure {
	return read(a, name, func(s string) (quantity.AbsolutePressure, error) {
		l, err := quantity.ParseLength(s)
		if err != nil {
			return 0, err
		}
		return boiler.AtmosphereAt(l)
	})
}

func steamSum() sum {
	return sum{
		name: "Steam", about: "how hot steam and boiler water are at a gauge pressure",
		asks: []question{{name: "pressure", ask: "Gauge pressure", kind: "pressure", usual: "90 psi", needed: true},
			{name: "altitude", ask: "Altitude of the track", kind: "length"}},
		work: func(a *answers, d *doc) (string, error) {
			p, atm := a.pressure("pressure"), a.atmosphere("altitude")
			if !a.ready() {
				return "", nil
			}
			if atm == 0 {
				atm = quantity.StandardAtmosphere
			}
			at := func(g quantity.Pressure) (quantity.Temperature, error) {
				abs, err := boiler.Absolute(g, atm)
				if err != nil {
					return 0, err
				}
				return boiler.SaturationTemperature(abs)
			}
			t, err := at(p)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "SATURATED STEAM")
			d.large(fmt.Sprintf("%.1f", float64(t)), "°C")
			d.blank()
			if over, err := at(p * 1.1); err == nil {
				d.pair("when the safety valves lift, a tenth above", inkStrong, fmt.Sprintf("%.1f °C", float64(over)))
			}
			d.pair("Pressure", inkPlain, fmt.Sprintf("%s, %.0f psi", p, p.PSI()))
			d.ending(a, []string{"IAPWS R7-97(2012), region 4"})
			return fmt.Sprintf("%.1f °C", float64(t)), nil
		},
	}
}

func sealSum() sum {
	return sum{
		name: "Seal", about: "whether a sealing material lives in a place",
		asks: []question{
			{name: "material", ask: "Material", kind: "seal", choices: texts(boiler.SealMaterials()), needed: true},
			{name: "zone", ask: "What it meets", kind: "zone", choices: texts(boiler.Zones()), usual: string(boiler.Saturated), needed: true},
			{name: "pressure", ask: "Working pressure, gauge", kind: "pressure", usual: "90 psi", needed: true},
			{name: "measured", ask: "Temperature measured there", kind: "temperature"},
			{name: "sheet", ask: "Limit on the container", kind: "temperature"},
		},
		work: func(a *answers, d *doc) (string, error) {
			m, zone, p := read(a, "material", boiler.ParseSealMaterial), read(a, "zone", boiler.ParseZone), a.pressure("pressure")
			site := boiler.Site{Measured: a.temperature("measured"), SheetLimit: a.temperature("sheet")}
			if !a.ready() {
				return "", nil
			}
			c, err := boiler.ConditionsIn(zone, p, site)
			if err != nil {
				return "", err
			}
			found, err := boiler.CheckSeal(m, zone, p, site)
			if err != nil {
				return "", err
			}
			worst := boiler.Worst(found)
			word := map[boiler.Severity]string{boiler.Stop: "NO", boiler.Warn: "WITH CARE", boiler.Ask: "ASK", boiler.Note: "YES"}[worst]
			d.add(span{inkBrand, string(m) + " here? "}, span{inkStrong, word})
			d.blank()
			d.pair("It meets", inkStrong, fmt.Sprintf("%s at %s", c.Medium, c.Temperature))
			if s := m.Contested(); s != "" {
				d.text(inkQuiet, "Disputed: "+s)
			}
			d.boilerFindings(found, a.sources)
			for _, r := range m.Remarks() {
				d.blank()
				d.text(inkPlain, r)
			}
			d.ending(a, []string{c.Source})
			return fmt.Sprintf("%s: %s at %s", word, c.Medium, c.Temperature), nil
		},
	}
}

func grooveSum() sum {
	return sum{
		name: "O-ring groove", about: "the groove for a ring you have",
		asks: []question{
			{name: "ring", ask: "Ring: number, or inside x section", kind: "ring", needed: true},
			{name: "use", ask: "How it seals", kind: "use", choices: texts(boiler.RingUses()), usual: string(boiler.RadialSeal), needed: true},
			{name: "spindle", ask: "Spindle it sits on", kind: "length"},
			{name: "bore", ask: "or bore it seals against", kind: "length"},
			{name: "port", ask: "Port a face groove runs round", kind: "length"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.GrooveInput{Ring: read(a, "ring", boiler.ParseRing), Use: read(a, "use", boiler.ParseRingUse),
				Spindle: a.length("spindle"), Bore: a.length("bore"), Port: a.length("port")}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.GrooveFor(in)
			if err != nil {
				return "", err
			}
			d.add(span{inkStrong, in.Ring.Name}, span{inkQuiet, fmt.Sprintf("  %s inside, %s section", in.Ring.Inside, in.Ring.Section)})
			d.blank()
			d.text(inkBrand, "DEPTH x WIDTH")
			d.text(inkStrong, fmt.Sprintf("%.2f x %.2f mm", r.Depth.MM(), r.Width.MM()))
			d.blank()
			d.pair("Depth between", inkPlain, fmt.Sprintf("%.2f and %.2f mm", r.DepthMin.MM(), r.DepthMax.MM()))
			d.pair("Squeeze", inkPlain, fmt.Sprintf("%.0f %% (usual %.0f to %.0f)", r.SqueezePercent, r.SqueezeLowPercent, r.SqueezeHighPercent))
			d.pair("Stretch", inkPlain, fmt.Sprintf("%.1f %%", r.StretchPercent))
			d.pair("Groove filled", inkPlain, fmt.Sprintf("%.0f %%", r.FillPercent))
			if r.Inside > 0 {
				d.pair("Groove inside", inkPlain, fmt.Sprintf("%.2f mm", r.Inside.MM()))
			}
			if r.Outside > 0 {
				d.pair("Groove outside", inkPlain, fmt.Sprintf("%.2f mm", r.Outside.MM()))
			}
			d.pair("Lead-in, at least", inkPlain, fmt.Sprintf("%.1f mm", r.LeadIn.MM()))
			for _, h := range r.Published {
				d.pair("Published depth", inkPlain, fmt.Sprintf("%.2f to %.2f mm", h.DepthMin.MM(), h.DepthMax.MM()))
				if a.sources {
					d.indented("  ", "  ", inkQuiet, h.Source)
				}
			}
			d.boilerFindings(r.Findings, a.sources)
			d.ending(a, []string{in.Ring.Source})
			return fmt.Sprintf("%.2f deep, %.2f wide", r.Depth.MM(), r.Width.MM()), nil
		},
	}
}

func ringSum() sum {
	return sum{
		name: "O-ring for a groove", about: "the standard rings that suit a measured groove",
		asks: []question{
			{name: "use", ask: "How it seals", kind: "use", choices: texts(boiler.RingUses()), usual: string(boiler.RadialSeal), needed: true},
			{name: "inside", ask: "Inside: groove bottom or spindle", kind: "length", needed: true},
			{name: "outside", ask: "Outside: bore or outer wall", kind: "length", needed: true},
			{name: "width", ask: "Width of the groove", kind: "length"},
			{name: "depth", ask: "Depth of a face groove", kind: "length"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.MeasuredGroove{Use: read(a, "use", boiler.ParseRingUse), Inside: a.length("inside"), Outside: a.length("outside"),
				Width: a.length("width"), Depth: a.length("depth")}
			if !a.ready() {
				return "", nil
			}
			list, err := boiler.RingsFor(in)
			if err != nil {
				return "", err
			}
			for _, r := range list {
				d.blank()
				d.add(span{inkStrong, r.Ring.Name}, span{inkPlain, "  " + string(r.Verdict)})
				d.pair("  inside x section", inkPlain, fmt.Sprintf("%.2f x %.2f mm", r.Ring.Inside.MM(), r.Ring.Section.MM()))
				d.pair("  squeeze, stretch, fill", inkPlain, fmt.Sprintf("%.0f %%, %.1f %%, %.0f %%", r.SqueezePercent, r.StretchPercent, r.FillPercent))
				for _, g := range r.Findings {
					d.indented("  "+string(g.Severity)+": ", "    ", inkPlain, g.Message)
				}
			}
			if len(list) == 0 {
				return "no standard ring", nil
			}
			d.ending(a, []string{list[0].Ring.Source})
			return "best: " + list[0].Ring.Name, nil
		},
	}
}

func packingSum() sum {
	return sum{
		name: "Packing", about: "section, rings and nut turns for a gland",
		asks: []question{
			{name: "spindle", ask: "Spindle where it bears", kind: "length", needed: true},
			{name: "box", ask: "Bore of the box", kind: "length", needed: true},
			{name: "depth", ask: "Depth for packing", kind: "length", needed: true},
			{name: "thread", ask: "Thread of the gland nut", kind: "thread"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.Gland{Spindle: a.length("spindle"), Box: a.length("box"), Depth: a.length("depth"), NutPitch: a.thread("thread").Pitch}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.PackGland(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "RINGS")
			d.large(fmt.Sprint(r.Rings), fmt.Sprintf("of %.2f mm square", r.Section.MM()))
			d.blank()
			d.pair("Cut each ring to", inkStrong, fmt.Sprintf("%.1f mm", r.RingLength.MM()))
			d.pair("Order", inkPlain, fmt.Sprintf("%.0f mm", r.OrderLength.MM()))
			d.pair("Follower goes in by", inkPlain, fmt.Sprintf("%.1f to %.1f mm", r.FollowerMin.MM(), r.FollowerMax.MM()))
			if r.TurnsMax > 0 {
				d.pair("Turns of the nut", inkStrong, fmt.Sprintf("%.1f to %.1f", r.TurnsMin, r.TurnsMax))
			}
			d.boilerFindings(r.Findings, a.sources)
			d.ending(a, []string{"published packing guides; the allowance for cuts is common practice"})
			return fmt.Sprintf("%d rings of %.1f mm", r.Rings, r.RingLength.MM()), nil
		},
	}
}

func gasketSum() sum {
	return sum{
		name: "Gasket", about: "the size of a ring gasket inside its screws",
		asks: []question{
			{name: "bore", ask: "Opening it runs round", kind: "length", needed: true},
			{name: "circle", ask: "Screws on a circle of", kind: "length", needed: true},
			{name: "hole", ask: "Screw hole", kind: "length", needed: true},
			{name: "inside", ask: "Inside, of one you have", kind: "length"},
			{name: "outside", ask: "Outside, of one you have", kind: "length"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.GasketInput{Bore: a.length("bore"), BoltCircle: a.length("circle"), Hole: a.length("hole"), Inside: a.length("inside"), Outside: a.length("outside")}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.GasketSize(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "INSIDE x OUTSIDE")
			d.text(inkStrong, fmt.Sprintf("%.2f x %.2f mm", r.Inside.MM(), r.Outside.MM()))
			d.blank()
			d.pair("Width of the ring", inkPlain, fmt.Sprintf("%.2f mm", r.Width.MM()))
			d.pair("Metal to the screw holes", inkPlain, fmt.Sprintf("%.2f mm", r.Land.MM()))
			d.pair("Area pressed", inkPlain, r.Area.String())
			d.boilerFindings(r.Findings, a.sources)
			d.ending(a, nil)
			return fmt.Sprintf("%.2f x %.2f mm", r.Inside.MM(), r.Outside.MM()), nil
		},
	}
}

func cureSum() sum {
	var surfaces []string
	for _, s := range boiler.Surfaces() {
		surfaces = append(surfaces, s.Name)
	}
	return sum{
		name: "Cure", about: "how long an anaerobic sealant wants",
		asks: []question{
			{name: "temperature", ask: "Lowest temperature until then", kind: "temperature", usual: "15", needed: true},
			{name: "first", ask: "One surface", kind: "surface", choices: surfaces, usual: surfaces[0], needed: true},
			{name: "second", ask: "The other", kind: "surface", choices: surfaces, usual: surfaces[0], needed: true},
			{name: "gap", ask: "Widest gap, on the radius", kind: "length", usual: "0.05"},
			{name: "primer", ask: "Primed", kind: "yes-no", choices: []string{"yes", "no"}, usual: "no"},
			{name: "sheet", ask: "Full cure on the container", kind: "span"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.CureInput{Temperature: a.temperature("temperature"),
				Surfaces: [2]boiler.Surface{read(a, "first", boiler.ParseSurface), read(a, "second", boiler.ParseSurface)},
				Gap:      a.length("gap"), Primer: a.get("primer") == "yes", Sheet: a.span("sheet")}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.Cure(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "FULL CURE")
			d.large(fmt.Sprintf("%.0f", r.Full.Hours()), "h")
			if r.Planning {
				d.text(inkQuiet, "A planning figure: what the container says comes first.")
			}
			d.blank()
			if r.LowEarliest > 0 {
				d.pair("Water at no more than "+boiler.LowPressure.String(), inkPlain,
					quantity.SpanString(r.LowEarliest)+" at the earliest, "+quantity.SpanString(r.LowSure)+" to be sure")
			}
			d.boilerFindings(r.Findings, a.sources)
			d.ending(a, []string{r.Source})
			return "full cure " + quantity.SpanString(r.Full), nil
		},
	}
}

// shellAsks are the questions about the boiler that the sums of its hydraulic
// test share.
func shellAsks() []question {
	return []question{
		{name: "volume", ask: "Water when full", kind: "volume", needed: true},
		{name: "diameter", ask: "Mean diameter of the barrel", kind: "length", needed: true},
		{name: "wall", ask: "Thickness of the barrel", kind: "length", needed: true},
		{name: "metal", ask: "Boiler made of", kind: "metal", choices: shellMetals(), usual: boiler.Copper().Name, needed: true},
	}
}

func shellMetals() (words []string) {
	for _, m := range boiler.ShellMetals() {
		words = append(words, m.Name)
	}
	return words
}

func (a *answers) shell() boiler.Shell {
	return boiler.Shell{Volume: a.volume("volume"), Diameter: a.length("diameter"), Wall: a.length("wall"),
		Metal: read(a, "metal", boiler.ParseShellMetal), Air: a.volume("air"), Water: a.temperature("water")}
}

func fillSum() sum {
	return sum{
		name: "Pump up", about: "the water it takes to reach a pressure",
		asks: append(shellAsks(),
			question{name: "pressure", ask: "Pressure to reach", kind: "pressure", needed: true},
			question{name: "air", ask: "Air left in it", kind: "volume", usual: "0 ml"},
			question{name: "pumped", ask: "Water it really took", kind: "volume"}),
		work: func(a *answers, d *doc) (string, error) {
			s, p, pumped := a.shell(), a.pressure("pressure"), a.volume("pumped")
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.Fill(s, p)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "TO PUMP IN")
			d.large(fmt.Sprintf("%.0f", r.Pump.ML()), "ml")
			d.blank()
			d.pair("without any air", inkStrong, r.WithoutAir.String())
			d.pair("each bar more", inkPlain, fmt.Sprintf("%.2f ml", r.Stiffness))
			d.pair("Energy in water and shell", inkPlain, fmt.Sprintf("%.0f J", r.Energy))
			d.pair("Energy in the air", inkPlain, fmt.Sprintf("%.0f J", r.EnergyAir))
			d.boilerFindings(r.Findings, a.sources)
			if pumped > 0 {
				air, found, err := boiler.AirFromPumped(s, p, pumped)
				if err != nil {
					return "", err
				}
				d.heading("From the water it took")
				d.pair("Air left in it, about", inkStrong, air.String())
				d.boilerFindings(found, a.sources)
			}
			d.ending(a, []string{"Boyle's law; thin closed cylinder; bulk modulus of water 2.18 GPa"})
			return "pump in " + r.Pump.String(), nil
		},
	}
}

func airSum() sum {
	return sum{
		name: "Trapped air", about: "from the water that two steps of pressure took",
		asks: []question{
			{name: "low", ask: "First pressure", kind: "pressure", usual: "0 bar", needed: true},
			{name: "middle", ask: "Second pressure", kind: "pressure", needed: true},
			{name: "high", ask: "Third pressure", kind: "pressure", needed: true},
			{name: "first", ask: "Water from first to second", kind: "volume", needed: true},
			{name: "second", ask: "Water from second to third", kind: "volume", needed: true},
			{name: "volume", ask: "Water when full", kind: "volume"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.Intervals{Low: a.pressure("low"), Middle: a.pressure("middle"), High: a.pressure("high"),
				LowToMiddle: a.volume("first"), MiddleToHigh: a.volume("second"), Boiler: a.volume("volume")}
			if !a.ready() {
				return "", nil
			}
			air, stiffness, err := boiler.AirFromIntervals(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "TRAPPED AIR")
			d.large(fmt.Sprintf("%.0f", air.ML()), "ml")
			d.blank()
			d.pair("Each bar without air", inkPlain, fmt.Sprintf("%.2f ml", stiffness))
			d.ending(a, []string{"Boyle's law, solved for both steps"})
			return "air " + air.String(), nil
		},
	}
}

func leakSum() sum {
	return sum{
		name: "Leak", about: "what a falling gauge means, and whether the temperature explains it",
		asks: append(shellAsks(),
			question{name: "pressure", ask: "Pressure at the start", kind: "pressure", needed: true},
			question{name: "drop", ask: "Fell by", kind: "pressure", needed: true},
			question{name: "over", ask: "Within", kind: "span", usual: "10 min", needed: true},
			question{name: "warmed", ask: "Water warmed by, in kelvin", kind: "number"},
			question{name: "water", ask: "Water at", kind: "temperature", usual: "20"},
			question{name: "air", ask: "Air left in it", kind: "volume"}),
		work: func(a *answers, d *doc) (string, error) {
			s, p := a.shell(), a.pressure("pressure")
			fall := boiler.Decay{Drop: a.pressure("drop"), Over: a.span("over"), Warmed: a.number("warmed"), WarmedKnown: a.get("warmed") != ""}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.LeakFromDecay(s, p, fall)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "LEAK")
			d.large(sig(r.RateCorrected, 2), "ml/min")
			d.blank()
			if r.Distinguishable {
				d.text(inkStrong, "More than the change of temperature explains.")
			} else {
				d.text(inkStrong, "The change of temperature may explain all of it.")
			}
			d.pair("Drops a minute", inkPlain, fmt.Sprintf("%.0f", r.DropsPerMinute))
			d.pair("One kelvin moves the gauge by", inkPlain, fmt.Sprintf("%.2f bar", r.TemperaturePerK))
			d.pair("Explained by temperature", inkPlain, r.Explained.String())
			d.pair("Each bar", inkPlain, fmt.Sprintf("%.2f ml", r.Stiffness))
			d.pair("A hole of about", inkPlain, fmt.Sprintf("%.3f mm", r.Hole.MM()))
			d.boilerFindings(r.Findings, a.sources)
			d.ending(a, []string{"IAPWS-IF97 expansion of water less that of the shell"})
			return sig(r.RateCorrected, 2) + " ml/min", nil
		},
	}
}

func gaugeSum() sum {
	return sum{
		name: "Test gauge", about: "the scale a gauge should have",
		asks: []question{{name: "pressure", ask: "Test pressure, from your code", kind: "pressure", needed: true}},
		work: func(a *answers, d *doc) (string, error) {
			p := a.pressure("pressure")
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.TestGauge(p)
			if err != nil {
				return "", err
			}
			d.pair("Full scale between", inkStrong, fmt.Sprintf("%s and %s", r.Least, r.Most))
			d.pair("about", inkStrong, r.Ideal.String())
			for _, s := range r.Stock {
				d.pair("Stock scale", inkPlain, s.String())
			}
			d.ending(a, []string{"long-standing ASME practice; scales of EN 837-1"})
			return "about " + r.Ideal.String(), nil
		},
	}
}

func targetSum() sum {
	return sum{
		name: "Test pressure", about: "working pressure times the multiple your code gives",
		asks: []question{
			{name: "working", ask: "Working pressure", kind: "pressure", needed: true},
			{name: "multiple", ask: "Multiple, from your code", kind: "number", needed: true},
			{name: "code", ask: "Code", kind: "words"},
			{name: "edition", ask: "Its edition", kind: "words"},
			{name: "hold", ask: "Hold, from your code", kind: "span"},
			{name: "target", ask: "Pressure you mean to pump to", kind: "pressure"},
		},
		work: func(a *answers, d *doc) (string, error) {
			plan := boiler.TestPlan{WorkingPressure: a.pressure("working"), Multiple: a.number("multiple"), Code: a.get("code"),
				Edition: a.get("edition"), Hold: a.span("hold"), Target: a.pressure("target"), Preliminary: true}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.CheckTarget(plan)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "PRODUCT")
			figures, unit := figureAndUnit(r.Product.String())
			d.large(figures, unit)
			d.blank()
			if r.Target > 0 {
				d.pair("To be pumped to", inkStrong, r.Target.String())
				d.pair("Stop at once at", inkStrong, r.Alarm.String())
			} else {
				d.text(inkWrong, "This pressure is refused.")
			}
			d.boilerFindings(r.Findings, a.sources)
			d.ending(a, []string{"your local code"})
			return r.Product.String(), nil
		},
	}
}

func faultSum() sum {
	var ids []string
	for _, x := range boiler.Faults() {
		ids = append(ids, x.ID)
	}
	return sum{
		name: "Lost pressure", about: "the ways a boiler under test loses pressure, and how to be sure of each",
		asks: []question{{name: "fault", ask: "Only this one", kind: "fault", choices: ids}},
		work: func(a *answers, d *doc) (string, error) {
			list := boiler.Faults()
			if one := read(a, "fault", boiler.FaultByID); one.ID != "" {
				list = []boiler.Fault{one}
			}
			if !a.ready() {
				return "", nil
			}
			slices.SortStableFunc(list, func(x, y boiler.Fault) int { return faultRank(x.Kind) - faultRank(y.Kind) })
			kind := boiler.FaultKind("")
			for _, x := range list {
				if x.Kind != kind {
					kind = x.Kind
					d.heading(string(kind))
				}
				d.text(inkStrong, x.ID+"  "+x.Path)
				d.indented("  ", "  ", inkPlain, x.Shows)
				d.indented("  To be sure: ", "  ", inkQuiet, x.Isolate)
			}
			d.ending(a, []string{"common practice, no source"})
			return fmt.Sprintf("%d ways, the harmless ones first", len(list)), nil
		},
	}
}

// faultRank is the order in which the paths of lost pressure are ruled out.
func faultRank(k boiler.FaultKind) int {
	return slices.Index([]boiler.FaultKind{boiler.FalseLeak, boiler.Rig, boiler.LeakThrough, boiler.LeakVisible, boiler.Structure}, k)
}

func flatsSum() sum {
	return sum{
		name: "Flats", about: "a hexagon, square or other figure from round bar",
		asks: []question{
			{name: "sides", ask: "Sides", kind: "count", usual: "6", needed: true},
			{name: "flats", ask: "Across flats", kind: "length"},
			{name: "bar", ask: "Bar", kind: "length"},
			{name: "measured", ask: "Micrometer over the first flat", kind: "length"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.PolygonInput{Sides: a.count("sides"), AcrossFlats: a.length("flats"), Bar: a.length("bar")}
			m := a.length("measured")
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.MillFlats(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "CUT FOR EACH FLAT")
			d.large(fmt.Sprintf("%.2f", r.Cut.MM()), "mm")
			d.blank()
			d.pair("Across flats", inkPlain, fmt.Sprintf("%.2f mm", r.AcrossFlats.MM()))
			d.pair("Across corners", inkPlain, fmt.Sprintf("%.2f mm", r.AcrossCorners.MM()))
			d.pair("Bar", inkPlain, fmt.Sprintf("%.2f mm", r.Bar.MM()))
			d.pair("Over the first flat", inkStrong, fmt.Sprintf("%.2f mm", r.OverOneFlat.MM()))
			d.pair("Width of a flat", inkPlain, fmt.Sprintf("%.2f mm", r.FlatWidth.MM()))
			if m > 0 {
				left, err := r.LeftToCut(m)
				if err != nil {
					return "", err
				}
				d.pair("Left to cut", inkStrong, fmt.Sprintf("%.2f mm", left.MM()))
			}
			d.boilerFindings(r.Findings, a.sources)
			return fmt.Sprintf("cut %.2f mm", r.Cut.MM()), nil
		},
	}
}

func divideSum() sum {
	return sum{
		name: "Dividing", about: "turns and holes of a dividing head or rotary table",
		asks: []question{
			{name: "divisions", ask: "Divisions", kind: "count", usual: "6", needed: true},
			{name: "ratio", ask: "Turns of the handle for one of the work", kind: "count", usual: "40", needed: true},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := boiler.DividingInput{Divisions: a.count("divisions"), Ratio: a.count("ratio")}
			if !a.ready() {
				return "", nil
			}
			r, err := boiler.Divide(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "FOR EACH DIVISION")
			text := fmt.Sprintf("%d turns", r.Whole)
			if r.Circle > 0 {
				text += fmt.Sprintf(" and %d holes of %d", r.Holes, r.Circle)
			}
			d.text(inkStrong, text)
			d.blank()
			if r.Circle > 0 {
				d.pair("Holes between the arms, ends counted", inkPlain, fmt.Sprint(r.Sector))
			}
			if r.Plate > 0 {
				d.pair("Plate", inkPlain, fmt.Sprint(r.Plate))
			}
			d.pair("Angle", inkPlain, fmt.Sprintf("%d° %d' %.0f\"", r.Degrees, r.Minutes, r.Seconds))
			if len(r.Others) > 0 {
				d.pair("Other circles", inkPlain, fmt.Sprint(r.Others))
			}
			return text, nil
		},
	}
}

func discSum() sum {
	return sum{
		name: "Regulator disc", about: "the angle from shut to open",
		asks: []question{
			{name: "port", ask: "Width of the ports", kind: "length", needed: true},
			{name: "lap", ask: "Lap on each side", kind: "length", usual: boiler.DiscLap.String(), needed: true},
			{name: "radius", ask: "Radius of the ports' circle", kind: "length", needed: true},
		},
		work: func(a *answers, d *doc) (string, error) {
			port, lap, radius := a.length("port"), a.length("lap"), a.length("radius")
			if !a.ready() {
				return "", nil
			}
			angle, found, err := boiler.DiscAngle(port, lap, radius)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "SHUT TO OPEN")
			d.large(fmt.Sprintf("%.1f", angle.Degrees()), "°")
			d.boilerFindings(found, a.sources)
			return angle.String(), nil
		},
	}
}
