package lookup

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

func benchSheets() []Sheet {
	return []Sheet{
		{
			Group: "boiler", Name: "hexagon", Title: "Flats from round bar",
			About: "Hexagon, square or octagon from a round bar: the bar, the cut, and what a micrometer reads over the first flat.",
			Words: "hexagon square across corners",
			Asked: []string{"cut_mm", "over_one_flat_mm"},
			Fields: []Field{
				{Name: "flats", Ask: "Size across flats", Kind: Length, Leading: true},
				{Name: "thread", Ask: "Or the thread whose hexagon head it is", Brief: "Or hexagon head of", Kind: ThreadName, Leading: true},
				{Name: "bar", Ask: "Bar at hand", Kind: Length},
				{Name: "sides", Ask: "Number of flats: 6, 4 or 8", Kind: Count, Default: "6"},
				{Name: "over-one-flat", Ask: "Micrometer over the first flat", Brief: "Over the first flat", Kind: Length},
			},
			Examples: []string{"hexagon 10", "hexagon --bar 1/2", "hexagon 10 --bar 12 --over-one-flat 11.1", "hexagon 6 --sides 4", "hexagon 2 BA"},
			work:     workHexagon,
		},
		{
			Group: "boiler", Name: "divide", Title: "Dividing",
			About: "Turns and holes for a dividing head or rotary table.",
			Words: "index indexing holes plate head",
			Asked: []string{"whole_turns", "holes", "circle"},
			Fields: []Field{
				{Name: "divisions", Ask: "Divisions", Kind: Count, Required: true, Leading: true},
				{Name: "ratio", Ask: "Handle turns for one of the work: 40, 60, 72, 90", Brief: "Handle turns for one", Kind: Count, Default: "40"},
				{Name: "circles", Ask: "Hole circles at hand; empty for the usual plates", Brief: "Hole circles at hand", Kind: Counts},
			},
			Examples: []string{"divide 7", "divide 9 --ratio 60", "divide 53 --circles '53, 59'"},
			work:     workDivide,
		},
		{
			Group: "boiler", Name: "circle", Title: "Circle of holes",
			About: "Coordinates of a circle of holes from a datum, and the distances that prove it.",
			Words: "pcd bolt coordinates",
			Asked: []string{"chord_mm"},
			Fields: []Field{
				{Name: "circle", Ask: "Pitch circle diameter", Kind: Length, Required: true, Leading: true},
				{Name: "holes", Ask: "Holes", Kind: Count, Required: true},
				{Name: "start", Ask: "Angle of the first hole", Kind: Angle, Default: "0"},
				{Name: "x", Ask: "Centre from the datum, x", Kind: Length, Default: "0"},
				{Name: "y", Ask: "Centre from the datum, y", Kind: Length, Default: "0"},
				{Name: "runout", Ask: "Run-out of a pin through two opposite holes", Brief: "Run-out of a pin across", Kind: Length},
			},
			Examples: []string{"circle 52 --holes 6", "circle 26 --holes 4 --start 45 --x 20 --y 15"},
			also:     []string{"circle 52 --holes 5 --runout 0.12"},
			work:     workCircle,
		},
		{
			Group: "boiler", Name: "quadrant", Title: "Regulator quadrant",
			About: "The stops of a regulator lever, and the angle a disc valve needs.",
			Asked: []string{"angle_deg"},
			Fields: []Field{
				{Name: "lever", Ask: "Lever, from centre to where you measure", Brief: "Lever from its centre", Kind: Length, Leading: true},
				{Name: "angle", Ask: "Angle between the stops", Kind: Angle},
				{Name: "chord", Ask: "Or straight distance between the stops", Brief: "Or distance of the stops", Kind: Length},
				{Name: "port", Ask: "Disc valve: width of the port", Brief: "Width of the port", Kind: Length},
				{Name: "lap", Ask: "Disc valve: lap on each side when shut", Brief: "Lap on each side, shut", Kind: Length, Default: "1"},
				{Name: "port-radius", Ask: "Disc valve: radius of the port circle", Brief: "Radius of the port circle", Kind: Length},
			},
			Examples: []string{"quadrant 60 --angle 90", "quadrant 60 --chord 60", "quadrant 60 --port 4 --lap 1 --port-radius 5"},
			work:     workQuadrant,
		},
	}
}

func workHexagon(f *form, a *Answer) {
	in := boiler.PolygonInput{Sides: f.count("sides"), AcrossFlats: f.length("flats"), Bar: f.length("bar")}
	over := f.length("over-one-flat")
	if f.given("thread") {
		in.AcrossFlats = f.headFlats(a)
	}
	if f.err != nil {
		return
	}
	p, err := boiler.MillFlats(in)
	if !f.check(err) {
		return
	}
	a.add(
		countRow("sides", "Flats", p.Sides),
		hundredths("across_flats", "Across flats", p.AcrossFlats),
		hundredths("across_corners", "Across sharp corners", p.AcrossCorners),
		hundredths("bar", "Bar", p.Bar),
		hundredths("cut", "Cut for each flat", p.Cut),
		hundredths("over_one_flat", "Over the first flat", p.OverOneFlat),
		hundredths("flat_width", "Width of a flat", p.FlatWidth),
	)
	if p.Chamfered != 0 {
		a.add(hundredths("chamfered_bar", "Bar for chamfered corners", p.Chamfered))
		a.from("common practice, no source (bar for chamfered corners)")
	}
	if f.given("over-one-flat") {
		left, err := p.LeftToCut(over)
		if !f.check(err) {
			return
		}
		a.add(hundredths("left_to_cut", "Left to cut", left))
		if left < 0 {
			a.find(check.Result{Rule: "cut-too-deep", Severity: check.Warn, Source: calculated,
				Message: fmt.Sprintf("The first flat is %s too deep: the figure will be off centre or undersize.", (-left).Round())})
		}
	}
	a.find(p.Findings...)
	a.from(calculated)
}

// headFlats is the size across the flats of a screw's hexagon head, as its
// spanner has it.
func (f *form) headFlats(a *Answer) quantity.Length {
	t := f.thread("thread")
	switch {
	case f.err != nil:
		return 0
	case f.given("flats"):
		f.fail("thread", errors.New("give the size across flats or the thread of the screw, not both"))
		return 0
	case f.text("sides") != "6":
		f.fail("sides", errors.New("the head of a screw has 6 flats: leave this out, or give the size across flats"))
		return 0
	}
	size, source, ok := t.Spanner()
	if !ok {
		f.fail("thread", fmt.Errorf("no hexagon head is known for %s: give the size across flats", t))
		return 0
	}
	a.add(wordRow("head_of", "Hexagon head of", t.String()))
	a.from(source)
	return size
}

func workDivide(f *form, a *Answer) {
	in := boiler.DividingInput{Divisions: f.count("divisions"), Ratio: f.count("ratio"), Circles: f.counts("circles")}
	if f.err != nil {
		return
	}
	if in.Ratio == 0 {
		f.fail("ratio", errors.New("0 turns move nothing; expected 40, 60, 72, 90 or what is marked on the head"))
		return
	}
	a.add(countRow("divisions", "Divisions", in.Divisions), countRow("ratio", "Ratio", in.Ratio))
	d, err := boiler.Divide(in)
	var not *boiler.NotDivisibleError
	if errors.As(err, &not) {
		a.add(yesRow("possible", "By simple indexing", false), dividedRow(d))
		a.find(check.Result{Rule: "not-divisible", Severity: check.Stop, Source: calculated, Message: upperFirst(not.Error()) + "."})
		a.from(calculated)
		return
	}
	if !f.check(err) {
		return
	}
	a.add(yesRow("possible", "By simple indexing", true), countRow("whole_turns", "Whole turns", d.Whole))
	if d.Circle != 0 {
		a.add(
			countRow("holes", "and holes", d.Holes),
			countRow("circle", "on a circle of", d.Circle),
			countRow("sector_holes", "Holes between the arms, both ends", d.Sector),
		)
		if d.Plate != 0 {
			a.add(countRow("plate", "Plate of the usual set", d.Plate))
		}
		if len(d.Others) > 0 {
			text := ""
			for i, c := range d.Others {
				if i > 0 {
					text += ", "
				}
				text += strconv.Itoa(c)
			}
			a.add(Row{Key: "other_circles", Label: "Other circles that do", Value: d.Others, Text: text})
		}
	}
	a.add(dividedRow(d))
	a.from("calculated", "plates from memory and common practice")
}

// dividedRow is the angle of one division as a degree scale with a vernier is set:
// a hundredth of a degree, 127 times over, would miss the start by half a degree.
func dividedRow(d boiler.Dividing) Row {
	return Row{Key: "angle_deg", Label: "Angle", Value: float64(d.Angle), Text: fmt.Sprintf("%d° %d' %s\"", d.Degrees, d.Minutes, fixed(d.Seconds, 1))}
}

func upperFirst(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

func workCircle(f *form, a *Answer) {
	n, diameter := f.count("holes"), f.length("circle")
	start, x, y, runout := f.angle("start"), f.length("x"), f.length("y"), f.length("runout")
	if f.err != nil {
		return
	}
	c, err := fastening.BoltCircle(n, diameter, start, x, y)
	if !f.check(err) {
		return
	}
	a.add(lengthRow("circle", "Pitch circle", c.Diameter))
	if n > 1 {
		a.add(
			hundredths("chord", "Between neighbours", c.Pitch()),
			hundredths("across", "Longest distance across", c.Chord(n/2)),
		)
	}
	if f.given("runout") {
		off, err := boiler.CrossHoleOffset(runout)
		if !f.check(err) {
			return
		}
		a.add(lengthRow("cross_hole_offset", "Cross holes off centre by", off))
	}
	list := List{Key: "holes", Title: "Holes (x, y)"}
	for _, h := range c.Holes {
		item := Item{
			Text: fmt.Sprintf("%d: %s, %s", h.Number, fixed(float64(h.X), 3), fixed(float64(h.Y), 3)),
			Rows: []Row{countRow("number", "", h.Number), angleRow("angle", "", h.Angle), lengthRow("x", "", h.X), lengthRow("y", "", h.Y)},
		}
		if opposite, ok := boiler.Opposite(n, h.Number); ok {
			item.Rows = append(item.Rows, countRow("opposite", "", opposite))
			item.Text += fmt.Sprintf(" (opposite %d)", opposite)
		}
		list.Items = append(list.Items, item)
	}
	a.Lists = append(a.Lists, list)
	a.ring(c, start)
	if n > 2 {
		a.find(check.Result{Rule: "prove-circle", Severity: check.Note, Source: "common practice, no source",
			Message: "Prove it: measure three distances between neighbours and one across. Drill the first hole, tap it, screw in, then the opposite one, then the rest. A mark or one odd-spaced hole keeps the cover from going on wrong."})
	}
	a.from(calculated)
}

func workQuadrant(f *form, a *Answer) {
	lever, angle, chord := f.length("lever"), f.angle("angle"), f.length("chord")
	port, lap, radius := f.length("port"), f.length("lap"), f.length("port-radius")
	if f.err != nil {
		return
	}
	stops := f.given("angle") || f.given("chord")
	disc := f.given("port") || f.given("port-radius")
	switch {
	case !stops && !disc && f.given("lever"):
		f.fail("angle", errors.New("missing: how far the lever swings. Give the angle, or as the chord the distance between its stops, or the port of a disc valve"))
		return
	case !stops && !disc:
		f.fail("", errors.New("give the lever with the angle or the distance between its stops, or the port and the radius of a disc valve"))
		return
	case f.given("angle") && f.given("chord"):
		f.fail("chord", errors.New("give the angle or the distance between the stops, not both"))
		return
	case f.given("chord") && disc || f.given("angle") && disc:
		f.fail("port", errors.New("a disc valve gives the angle itself: leave angle and distance out"))
		return
	}
	a.from(calculated)
	if disc {
		swing, findings, err := boiler.DiscAngle(port, lap, radius)
		if !f.check(err) {
			return
		}
		a.add(lengthRow("lap", "Lap on each side", lap))
		a.find(findings...)
		a.from("common practice, no source (lap)")
		angle = swing
		if !f.given("lever") {
			a.add(angleRow("angle", "From shut to fully open", angle))
			return
		}
	}
	var err error
	if f.given("chord") {
		angle, err = boiler.StopAngle(lever, chord)
	} else {
		chord, err = boiler.StopChord(lever, angle)
	}
	if !f.check(err) {
		return
	}
	a.add(
		angleRow("angle", "From shut to fully open", angle),
		lengthRow("lever", "Lever", lever),
		tenths("chord", "Straight between the stops", chord),
		tenths("arc", "Round the slot between them", boiler.StopArc(lever, angle)),
	)
	a.find(check.Result{Rule: "stops-last", Severity: check.Note, Danger: true, Source: "common practice, no source",
		Message: "Set the stops only when the lap is checked, and mark shut before stripping: a lost mark makes shut into open."})
}

// ring is the circle to be drawn, and says in words how its holes are numbered and in
// which order their screws are tightened.
func (a *Answer) ring(c fastening.Circle, start quantity.Angle) {
	a.Ring = &Ring{c, fastening.Order(len(c.Holes))}
	from := fmt.Sprintf("%s above the right", start)
	switch start {
	case 0:
		from = "the right"
	case 90:
		from = "the top"
	}
	var order []string
	for _, n := range a.Ring.Order {
		order = append(order, strconv.Itoa(n))
	}
	a.add(said("Holes are numbered", "anticlockwise from "+from),
		Row{Key: "order", Label: "Order of tightening", Value: a.Ring.Order, Text: strings.Join(order, " - ")})
}
