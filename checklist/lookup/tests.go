package lookup

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// shellFields ask for the boiler and the pressure it is under. pressureLeads makes
// that pressure the figure of the sheet.
func shellFields(pressureLeads bool) []Field {
	return append([]Field{
		{Name: "volume", Ask: "Water in the full boiler, such as 6 l", Brief: "Water in the full boiler", Kind: Volume, Required: true},
		{Name: "diameter", Ask: "Diameter of the barrel", Kind: Length, Required: true},
		{Name: "wall", Ask: "Thickness of the barrel", Kind: Length, Required: true},
		{Name: "material", Ask: "Metal of the boiler", Kind: Choice, Default: boiler.Copper().Name, Choices: shellMetals, Few: true},
		{Name: "pressure", Ask: "Test pressure, gauge", Kind: Pressure, Required: true, Leading: pressureLeads},
		{Name: "air", Ask: "Trapped air, at atmospheric pressure", Brief: "Trapped air, at 0 bar", Kind: Volume, Default: "0 ml"},
		{Name: "water", Ask: "Temperature of the water", Kind: Temperature, Default: "20"},
	}, airFields()...)
}

func shellMetals() (list []string) {
	for _, m := range boiler.ShellMetals() {
		list = append(list, m.Name)
	}
	return list
}

func faultNumbers() (list []string) {
	for _, x := range boiler.Faults() {
		list = append(list, x.ID)
	}
	return list
}

func faultPath(id string) string {
	x, _ := boiler.FaultByID(id)
	return x.Path
}

func testSheets() []Sheet {
	return []Sheet{
		{
			Group: "boiler", Name: "target", Title: "Test pressure",
			About: "Working pressure times the multiple that you type in from the local code. The program chooses neither multiple nor hold time nor persons.",
			Words: "hydraulic boiler",
			Asked: []string{"product_bar"},
			Fields: []Field{
				{Name: "pressure", Ask: "Working pressure of the boiler", Brief: "Working pressure", Kind: Pressure, Required: true, Leading: true},
				{Name: "multiple", Ask: "Multiple, from the local code", Brief: "Multiple of the code", Kind: Number},
				{Name: "hold", Ask: "Hold time, from the local code", Brief: "Hold time of the code", Kind: Time},
				{Name: "code", Ask: "Name of the code", Kind: Text},
				{Name: "edition", Ask: "Its edition", Kind: Text},
				{Name: "target", Ask: "Pressure you mean to pump to", Brief: "Pressure to pump to", Kind: Pressure},
				{Name: "operator", Ask: "Who pumps", Kind: Person},
				{Name: "inspector", Ask: "Who inspects", Kind: Person},
				{Name: "witness", Ask: "Who witnesses", Kind: Person},
				{Name: "preliminary", Ask: "Preliminary, certifying nothing?", Brief: "Preliminary only?", Kind: YesNo},
			},
			Examples: []string{"target 90 psi"}, // no figure of a code, not even as an example
			Boundary: true,
			also:     []string{"target '6 bar' --multiple 1 --hold '30 min' --code a --edition b --operator c --inspector d --witness e"},
			work:     workTarget,
		},
		{
			Group: "boiler", Name: "gauge", Title: "Test gauge",
			About: "The scale a gauge should have for a test pressure, and whether two gauges agree.",
			Asked: []string{"scale_ideal_bar"},
			Fields: []Field{
				{Name: "pressure", Ask: "Test pressure", Kind: Pressure, Required: true, Leading: true},
				{Name: "scale", Ask: "First gauge: full scale", Kind: Pressure},
				{Name: "class", Ask: "First gauge: accuracy class", Brief: "First gauge: class", Kind: Number, Default: "1"},
				{Name: "shown", Ask: "First gauge shows", Kind: Pressure},
				{Name: "second-scale", Ask: "Second gauge: full scale", Kind: Pressure},
				{Name: "second-class", Ask: "Second gauge: accuracy class", Brief: "Second gauge: class", Kind: Number, Default: "1"},
				{Name: "second-shown", Ask: "Second gauge shows", Kind: Pressure},
			},
			Examples: []string{"gauge '14 bar'", "gauge '14 bar' --scale '25 bar' --shown '14 bar' --second-scale '25 bar' --second-shown '13.8 bar'"},
			Boundary: true,
			work:     workGauge,
		},
		{
			Group: "boiler", Name: "fill", Title: "Water to pump",
			About: "What has to be pumped into a filled boiler to reach a pressure, and what trapped air adds.",
			Asked: []string{"pump_ml", "without_air_ml"},
			Fields: append(shellFields(true),
				Field{Name: "pump-bore", Ask: "Bore of the hand pump", Kind: Length},
				Field{Name: "pump-stroke", Ask: "Stroke of the hand pump", Kind: Length},
				Field{Name: "pumped", Ask: "Water it really took", Kind: Volume},
			),
			Examples: []string{"fill 14 bar --volume '6 l' --diameter 125 --wall 3 --material copper --air '20 ml'"},
			Boundary: true,
			also:     []string{"fill 14 bar --volume '6 l' --diameter 125 --wall 3 --pump-bore 9.5 --pump-stroke 20 --pumped '25 ml'"},
			work:     workFill,
		},
		{
			Group: "boiler", Name: "air", Title: "Trapped air",
			About: "The air left in a boiler, from the water that two steps of pressure took (pumped in or bled off).",
			Asked: []string{"air_ml"},
			Fields: append([]Field{
				{Name: "low", Ask: "Lowest pressure", Kind: Pressure, Required: true},
				{Name: "middle", Ask: "Middle pressure", Kind: Pressure, Required: true},
				{Name: "high", Ask: "Highest pressure", Kind: Pressure, Required: true},
				{Name: "first", Ask: "Water from lowest to middle", Brief: "Water, low to middle", Kind: Volume, Required: true},
				{Name: "second", Ask: "Water from middle to highest", Brief: "Water, middle to high", Kind: Volume, Required: true},
				{Name: "volume", Ask: "Water in the full boiler", Kind: Volume},
			}, airFields()...),
			Examples: []string{"air --low '2 bar' --middle '7 bar' --high '14 bar' --first '6.543 ml' --second '4.465 ml'"},
			Boundary: true,
			work:     workAir,
		},
		{
			Group: "boiler", Name: "leak", Title: "Leak from falling pressure",
			About: "What a fall of pressure with the boiler shut in says: the leak, and whether the water's temperature explains it.",
			Words: "loss drop",
			Asked: []string{"leak_ml_per_min", "drops_per_min"},
			Fields: append(shellFields(false),
				Field{Name: "drop", Ask: "How much the gauge fell", Kind: Pressure, Required: true, Leading: true},
				Field{Name: "over", Ask: "In what time", Kind: Time, Required: true},
				Field{Name: "warmed", Ask: "Water warmed by, K; -0.3 if it cooled", Brief: "Water warmed by, K", Kind: Number},
			),
			Examples: []string{"leak 0.5 bar --volume '6 l' --diameter 125 --wall 3 --material copper --pressure '14 bar' --air '20 ml' --over '10 min' --water 20 --warmed -0.3"},
			Boundary: true,
			work:     workLeak,
		},
		{
			Group: "boiler", Name: "drip", Title: "Drops",
			About: "What counted drops mean: the leak, the hole, the class of a seat, and the kind of path from a second count.",
			Words: "leak drip weep",
			Asked: []string{"leak_ml_per_min", "drops_per_min"},
			Fields: []Field{
				{Name: "drops", Ask: "Drops counted", Kind: Number, Leading: true},
				{Name: "over", Ask: "In what time", Kind: Time, Default: "1 min"},
				{Name: "caught", Ask: "Or water caught in that time", Brief: "Or water in that time", Kind: Volume},
				{Name: "pressure", Ask: "At what pressure", Kind: Pressure, Required: true},
				{Name: "seat", Ask: "Nominal size of the seat", Kind: Length},
				{Name: "second-drops", Ask: "Second count", Kind: Number},
				{Name: "second-caught", Ask: "Or water caught the second time", Brief: "Or water, second time", Kind: Volume},
				{Name: "second-pressure", Ask: "At what pressure", Kind: Pressure},
			},
			Examples: []string{"drip 60 --pressure '14 bar'", "drip 12 --pressure '7 bar' --second-drops 30 --second-pressure '14 bar' --seat 10"},
			Boundary: true,
			work:     workDrip,
		},
		{
			Group: "boiler", Name: "faults", Title: "Pressure will not hold",
			About: "The paths by which a boiler under test loses pressure: how each shows, and how to be sure.",
			Words: "leak fault falls drops",
			Fields: []Field{
				{Name: "fault", Ask: "Number of one path, F1 to F18", Brief: "Path, F1 to F18", Kind: Choice, Choices: faultNumbers, Tell: faultPath, Leading: true},
			},
			Examples: []string{"faults", "faults F6"},
			Boundary: true,
			work:     workFaults,
		},
	}
}

func workTarget(f *form, a *Answer) {
	plan := boiler.TestPlan{
		WorkingPressure: f.pressure("pressure"), Multiple: f.number("multiple"), Hold: f.time("hold"),
		Code: f.text("code"), Edition: f.text("edition"), Target: f.pressure("target"),
		Operator: f.text("operator"), Inspector: f.text("inspector"), Witness: f.text("witness"),
		Preliminary: f.yes("preliminary"), In: f.scale(),
	}
	if f.err != nil {
		return
	}
	if f.given("multiple") && plan.Multiple == 0 {
		f.fail("multiple", errors.New("0 is no multiple; take it from the local code"))
		return
	}
	t, err := boiler.CheckTarget(plan)
	if !f.check(err) {
		return
	}
	a.add(f.shown("pressure", "Working pressure", plan.WorkingPressure))
	if plan.Multiple != 0 {
		a.add(
			Row{Key: "multiple", Label: "Multiple, as typed", Value: plan.Multiple, Text: fmt.Sprintf("%g", plan.Multiple)},
			f.shown("product", "The most the code allows", t.Product),
		)
	}
	if t.Target != 0 {
		a.add(
			f.shown("target", "Target, never above", t.Target),
			f.shown("alarm", "Alarm, not allowed", t.Alarm),
		)
		a.find(check.Result{Rule: "alarm", Severity: check.Note, Source: boiler.AlarmSource,
			Message: "Above the target: let it down at once. The alarm is " + boiler.AlarmMeans + "."})
	}
	for _, given := range []struct{ key, label, text string }{
		{"code", "Code", plan.Code}, {"edition", "Edition", plan.Edition}, {"operator", "Pumps", plan.Operator},
		{"inspector", "Inspects", plan.Inspector}, {"witness", "Witnesses", plan.Witness},
	} {
		if given.text != "" {
			a.add(wordRow(given.key, given.label, printable(given.text)))
		}
	}
	if plan.Hold > 0 {
		a.add(Row{Key: "hold_min", Label: "Hold, as typed", Value: plan.Hold.Minutes(), Text: quantity.SpanString(plan.Hold)})
	}
	for i := range t.Findings {
		t.Findings[i].Message = printable(t.Findings[i].Message)
	}
	a.find(t.Findings...)
	a.from("the local boiler code, as typed in")
}

// printable drops control characters from what was typed before it is shown.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 {
			return -1
		}
		return r
	}, s)
}

func workGauge(f *form, a *Answer) {
	test := f.pressure("pressure")
	g := boiler.Gauges{
		Scale:  [2]quantity.Pressure{f.pressure("scale"), f.pressure("second-scale")},
		Class:  [2]float64{f.number("class"), f.number("second-class")},
		Shown:  [2]quantity.Pressure{f.pressure("shown"), f.pressure("second-shown")},
		Target: test, In: f.scale(),
	}
	if f.err != nil {
		return
	}
	r, err := boiler.TestGauge(test)
	if !f.check(err) {
		return
	}
	var stock []float64
	var texts []string
	for _, s := range r.Stock {
		stock = append(stock, float64(s))
		texts = append(texts, "0 to "+s.String()) // that is how EN 837-1 has them
	}
	a.add(
		f.shown("pressure", "Test pressure", test),
		f.shown("scale_least", "Full scale, least", r.Least),
		f.shown("scale_ideal", "Full scale, about", r.Ideal),
		f.shown("scale_most", "Full scale, most", r.Most),
		Row{Key: "scales_bar", Label: "Standard scales, best first", Value: stock, Text: strings.Join(texts, ", ")},
	)
	a.from("long-standing ASME practice (1.5 to 4 times, about twice)", "EN 837-1")
	asked := 0
	compared := []string{"scale", "shown", "second-scale", "second-shown"}
	for _, name := range compared {
		if f.given(name) {
			asked++
		}
	}
	switch asked {
	case 0:
	case len(compared):
		findings, err := boiler.CheckGauges(g)
		if !f.check(err) {
			return
		}
		a.find(findings...)
	default:
		f.fail("", errors.New("to compare two gauges give the full scale and the reading of both"))
	}
}

// shell reads the boiler and the pressure.
func (f *form) shell() (boiler.Shell, quantity.Pressure) {
	return boiler.Shell{
		Volume: f.volume("volume"), Diameter: f.length("diameter"), Wall: f.length("wall"),
		Metal: read(f, "material", boiler.ParseShellMetal), Air: f.volume("air"),
		Water: f.temperature("water"), Atmosphere: f.air(),
	}, f.pressure("pressure")
}

const shellSources = "from memory: handbook (bulk modulus of water, stiffness and expansion of the shell, thin-shell theory)"

func workFill(f *form, a *Answer) {
	s, p := f.shell()
	bore, stroke := f.length("pump-bore"), f.length("pump-stroke")
	pumped := f.volume("pumped")
	if f.err != nil {
		return
	}
	fill, err := boiler.Fill(s, p)
	if !f.check(err) {
		return
	}
	a.add(
		f.shown("pressure", "Test pressure", p),
		volumeRow("pump", "Pump in", fill.Pump),
		volumeRow("water", "Of it for the water", fill.PumpWater),
		volumeRow("shell", "Of it for the shell", fill.PumpShell),
		volumeRow("air", "Of it for the air", fill.PumpAir),
		volumeRow("without_air", "Without any air", fill.WithoutAir),
		figureRow("stiffness_ml_per_bar", "Give at that pressure", fill.Stiffness, 3, "ml/bar"),
		figureRow("stiffness_without_air_ml_per_bar", "Give without air", fill.StiffnessWithoutAir, 3, "ml/bar"),
		figureRow("energy_j", "Energy in water and shell", fill.Energy, 1, "J"),
		figureRow("energy_air_j", "Energy in the air", fill.EnergyAir, 1, "J"),
	)
	if f.given("pump-bore") != f.given("pump-stroke") {
		f.fail("pump-bore", errors.New("a pump stroke needs both bore and stroke of the pump"))
		return
	}
	if f.given("pump-bore") {
		v, err := boiler.PumpStroke(bore, stroke)
		if !f.check(err) {
			return
		}
		a.add(
			volumeRow("stroke", "One stroke of the pump", v),
			figureRow("strokes", "Strokes", float64(fill.Pump/v), 1, ""),
			figureRow("strokes_without_air", "Strokes without air", float64(fill.WithoutAir/v), 1, ""),
		)
	}
	a.find(fill.Findings...)
	if f.given("pumped") {
		air, findings, err := boiler.AirFromPumped(s, p, pumped)
		if !f.check(err) {
			return
		}
		a.add(volumeRow("pumped", "It took", pumped), volumeRow("trapped_air", "Trapped air, from that", air))
		a.find(findings...)
	}
	a.from(calculated, shellSources)
}

func workAir(f *form, a *Answer) {
	in := boiler.Intervals{
		Low: f.pressure("low"), Middle: f.pressure("middle"), High: f.pressure("high"),
		LowToMiddle: f.volume("first"), MiddleToHigh: f.volume("second"),
		Boiler: f.volume("volume"), Atmosphere: f.air(),
	}
	if f.err != nil {
		return
	}
	air, stiffness, err := boiler.AirFromIntervals(in)
	if !f.check(err) {
		return
	}
	p0 := float64(in.Atmosphere)
	at := stiffness + float64(air)*p0/((p0+float64(in.High))*(p0+float64(in.High)))
	a.add(
		volumeRow("air", "Trapped air", air),
		figureRow("stiffness_without_air_ml_per_bar", "Give without it", stiffness, 4, "ml/bar"),
		figureRow("stiffness_ml_per_bar", "Give at the highest pressure", at, 3, "ml/bar"),
	)
	if float64(air)*p0/(p0+float64(in.High)) > stiffness*float64(in.High) {
		a.find(check.Result{Rule: "air-left", Severity: check.Warn, Danger: true, Source: calculated,
			Message: "The air gives more than boiler and water together. Let the pressure down, vent the highest point, fill again: compressed air throws fittings and hides leaks."})
	}
	a.from("calculated: Boyle's law over both steps")
}

func workLeak(f *form, a *Answer) {
	s, p := f.shell()
	d := boiler.Decay{Drop: f.pressure("drop"), Over: f.time("over"), Warmed: f.number("warmed"), WarmedKnown: f.given("warmed"), In: f.scale()}
	if f.err != nil {
		return
	}
	l, err := boiler.LeakFromDecay(s, p, d)
	if !f.check(err) {
		return
	}
	told := yesRow("distinguishable", "Can be told from temperature", l.Distinguishable)
	if l.Unknown { // no answer at all; the finding says why
		told.Value, told.Text = nil, "not known"
	}
	a.add(
		smallRow("leak_ml_per_min", "Leak", l.Rate, "ml/min"),
		dropsRow(l.Rate),
		smallRow("corrected_leak_ml_per_min", "Leak, temperature taken out", l.RateCorrected, "ml/min"),
		figureRow("temperature_bar_per_k", "Warming by 1 K moves the gauge by", l.TemperaturePerK, 2, "bar"),
		f.shown("explained", "Temperature may account for", l.Explained),
		told,
		figureRow("stiffness_ml_per_bar", "Give at that pressure", l.Stiffness, 3, "ml/bar"),
		figureRow("hole_mm", "A round hole of", float64(l.Hole), 3, "mm"),
	)
	a.find(l.Findings...)
	a.from(calculated, shellSources, "IAPWS R7-97(2012) region 1 (expansion of water)", "from memory: fluid mechanics (hole)")
}

// dropsRow counts drops a minute, or says how long one takes.
func dropsRow(rate float64) Row {
	drops := rate / boiler.DropVolume.ML()
	text := fixed(drops, 1) + " a minute"
	if drops > 0 && drops < 1 {
		text = "one in " + fixed(1/drops, 1) + " min"
	}
	return Row{Key: "drops_per_min", Label: "Drops", Value: drops, Text: text}
}

func workDrip(f *form, a *Answer) {
	over := f.time("over")
	p, p2 := f.pressure("pressure"), f.pressure("second-pressure")
	seat := f.length("seat")
	q := f.rate("drops", "caught", over)
	if f.err != nil {
		return
	}
	hole, err := boiler.HoleFor(q, p)
	if !f.check(err) {
		return
	}
	a.add(
		smallRow("leak_ml_per_min", "Leak", q, "ml/min"),
		dropsRow(q),
		figureRow("hole_mm", "A round hole of", float64(hole), 3, "mm"),
	)
	a.from("drop of 0.05 ml: common practice, no source", "from memory: fluid mechanics (hole)")
	if f.given("seat") {
		letter, err := boiler.SeatRateOf(q, seat)
		if !f.check(err) {
			return
		}
		if letter == "" {
			letter = "beyond G"
		}
		a.add(wordRow("seat_rate", "Rate of ISO 5208", letter))
		a.from("ISO 5208:2015, liquid")
		a.find(check.Result{Rule: "seat-words", Severity: check.Note, Source: "ISO 5208:2015",
			Message: "A word for how much a seat passes, not a requirement: the code and the inspector say what is accepted."})
	}
	if f.given("second-pressure") {
		q2 := f.rate("second-drops", "second-caught", over)
		if f.err != nil {
			return
		}
		path, err := boiler.PathFromTwo(q, p, q2, p2)
		if !f.check(err) {
			return
		}
		a.add(
			figureRow("exponent", "Grows with the pressure to the power", path.Exponent, 2, ""),
			wordRow("path", "Kind of path", path.Kind),
		)
		a.find(check.Result{Rule: "leak-path", Severity: check.Note, Source: "calculated, fluid-mechanics theory", Message: path.Meaning})
	}
	a.find(check.Result{Rule: "stand-clear", Severity: check.Note, Danger: true, Source: "published guidance on pressure tests",
		Message: "Count from the side, never in line with a plug, blank or spindle."})
}

// rate is the leak in ml/min from counted drops or from water caught.
func (f *form) rate(drops, caught string, over time.Duration) float64 {
	n, v := f.number(drops), f.volume(caught)
	switch {
	case f.err != nil:
	case f.given(drops) == f.given(caught):
		f.fail(drops, errors.New("give the drops counted or the water caught: one of them"))
	case n < 0:
		f.fail(drops, errors.New("a count cannot be below zero"))
	case over <= 0:
		f.fail("over", errors.New("the time must be above zero"))
	case f.given(drops):
		return n * boiler.DropVolume.ML() / over.Minutes()
	default:
		return v.ML() / over.Minutes()
	}
	return 0
}

func workFaults(f *form, a *Answer) {
	faults := boiler.Faults()
	if f.given("fault") {
		one := read(f, "fault", boiler.FaultByID)
		if f.err != nil {
			return
		}
		faults = []boiler.Fault{one}
	}
	list := List{Key: "faults", Title: "Rule out in this order"}
	for _, x := range faults {
		list.Items = append(list.Items, Item{
			Text: fmt.Sprintf("%s %s (%s). Shows: %s. To be sure: %s.", x.ID, x.Path, x.Kind, x.Shows, x.Isolate),
			Rows: []Row{
				wordRow("id", "", x.ID), wordRow("path", "", x.Path), wordRow("kind", "", string(x.Kind)),
				wordRow("shows", "", x.Shows), wordRow("isolate", "", x.Isolate),
			},
		})
	}
	a.Lists = append(a.Lists, list)
	a.find(check.Result{Rule: "structural-leak", Severity: check.Note, Source: "the local boiler code and the inspector",
		Message: "A leak of the structure (F16, F17) ends the test as failed. No sealing compound is a remedy; the inspector decides. Every blank carries a numbered tag until it is out again."})
	a.from("common practice, no source")
}
