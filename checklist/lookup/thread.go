package lookup

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

func threadSheet() Sheet {
	return Sheet{
		Name: "thread", Title: "Thread",
		About: "Sizes, drills, holes, heads and spanner of a thread.",
		Long: "Sizes, drills, holes, heads and spanner of a thread, or of several: fettle thread 2 BA 1/4 x 40 ME.\n\n" +
			"Names: M4, M8x1, 2 BA, 1/4 x 40 ME, 1/4 x 26 brass, 1/4 BSF, 1/4 BSW, G 1/8, R 1/8, 1/4-20 UNC,\n" +
			"1/4 x 26 cycle, 1/8 NPT, Tr10x2, 1/2-10 Acme, M0.8, M2.6,\n" +
			"and any diameter and pitch in a named form: M5x0.6, 7/32 x 36 Whit; LH for left-hand.\n\n" +
			"Drills, taps and spanners of your own, listed in workshop.toml in the configuration folder, come first:\n" +
			"  drills   = [\"1.0 to 6.0 by 0.1\", \"No 1 to No 60\", \"letter F\", \"17/64\", 6.8]\n" +
			"  taps     = [\"M3\", \"2 BA\"]\n" +
			"  spanners = [\"7 mm\", \"0.445 in\", \"2 BA\"]",
		Words: "drill tap hole clearance head spanner",
		ask: func() []Field {
			return []Field{
				{Name: "thread", Ask: "Thread, such as M4, 2 BA or 1/4 x 40 ME", Brief: "Thread", Kind: ThreadName, Required: true, Leading: true},
				{Name: "engagement", Ask: "Thread engagement to aim at, per cent", Brief: "Engagement, per cent", Kind: Number},
				{Name: "into", Ask: "Or the metal, for the engagement usual in it", Brief: "Or metal it is in", Kind: Choice, Choices: MetalNames},
				{Name: "grade", Ask: "Screw made of, for its torque", Brief: "Screw made of", Kind: Choice, Choices: GradeNames},
			}
		},
		Examples: []string{"thread M4", "thread 2 BA", "thread 1/4 BSF --into gunmetal", "thread M4 --grade A2-70"},
		also:     []string{"thread 2 BA LH", "thread R 1/8", "thread M5"},
		Many:     true, Own: true,
		work: workThread,
	}
}

// threadLook is one look at a thread.
type threadLook struct {
	threads.Thread
	own        workshop.Tools
	engagement float64 // aimed at; 0 = the thread's own rule
	metal      fastening.Metal
}

func workThread(f *form, a *Answer) {
	engagement, grade := f.number("engagement"), read(f, "grade", fastening.ParseGrade)
	q := threadLook{own: f.own, engagement: engagement, metal: read(f, "into", fastening.ParseMetal)}
	var left bool
	q.Thread = read(f, "thread", func(s string) (t threads.Thread, err error) { t, left, err = threads.ParseHand(s); return t, err })
	switch {
	case f.err != nil:
		return
	case f.given("engagement") && !(engagement >= 1 && engagement <= 100):
		f.fail("engagement", errors.New("expected a percentage from 1 to 100, such as 65"))
		return
	case f.given("engagement") && !q.metal.IsZero():
		f.fail("engagement", errors.New("give the engagement or the metal, not both"))
		return
	}
	if !q.metal.IsZero() { // the middle of the metal's band
		q.engagement = math.Round(q.FromFullForm((q.metal.BandLow + q.metal.BandHigh) / 2))
	}
	a.Column, a.Rows = 8, make(Rows, 0, 64) // about fifty
	a.Title = heading(q.Thread)
	if left {
		a.Title = "Left-hand: another tap and die, and the figures of\n" + a.Title
	}
	a.from(q.Sources()...)
	a.add(data("designation", q.String()))
	if left {
		a.add(data("left_hand", true))
	}
	a.add(data("series", string(q.Series)), data("form", q.Form.Name()))
	q.sizes(a)
	q.drills(a)
	c := q.Clearance()
	holes := roundMM(c.Fine) + ", " + roundMM(c.Medium) + ", " + roundMM(c.Coarse)
	clear := holes + " fine to coarse"
	if len(clear) > 32 { // what one line holds beside its label
		clear = holes + " fine-coarse"
	}
	a.add(said("clear", clear), data("clearance", Rows{mm("fine_mm", c.Fine), mm("medium_mm", c.Medium), mm("coarse_mm", c.Coarse), data("source", c.Source)}))
	a.from(c.Source)
	q.heads(a, c.Medium)
	q.nuts(a)
	q.spanners(a)
	q.limits(a)
	if !grade.IsZero() {
		q.torque(f, a, grade)
	}
	a.add(data("confusable_with", func() any {
		with := []string{}
		for _, x := range q.Confusables() {
			with = append(with, x.With.String())
		}
		return with
	}))
}

// each is a list of one object for every entry, made where a program asks.
func each[T any](key string, list []T, row func(T) Rows) Row {
	return data(key, func() any {
		out := []Rows{}
		for _, x := range list {
			out = append(out, row(x))
		}
		return out
	})
}

// below is a line that goes on under the label before.
func below(text string) Row { return said(" ", text) }

// plainMM is a length in millimetres without its unit, to a hundredth where a
// figure of the form is not worth a micrometre.
func plainMM(v quantity.Length) string { return strings.TrimSuffix(v.String(), " mm") }

func roundMM(v quantity.Length) string {
	return plainMM(quantity.Length(math.Round(v.MM()*100) / 100))
}

// heading names the thread, its series and its form without saying a word twice.
func heading(t threads.Thread) string {
	name := t.String()
	switch {
	case t.Form == threads.BA:
		return name + ", " + t.Form.Angle().String()
	case t.Form == threads.ISO68, strings.Contains(name, string(t.Series)), t.Series == threads.Brass:
		name += ", "
	default:
		return name + ", " + string(t.Series) + ", " + t.Form.Angle().String()
	}
	if t.Form == threads.ISO68 {
		return name + string(t.Series) + ", " + t.Form.Angle().String()
	}
	return name + t.Form.Name()
}

// sizes are the thread's own figures.
func (q threadLook) sizes(a *Answer) {
	size := q.Major.String() + " x " + q.Pitch.String()
	var tpi any
	if q.TPI != 0 {
		tpi = q.TPI
		size = fmt.Sprintf("%s (%s) x %s TPI", q.Major, q.Major.InchString(), plainMM(quantity.Length(q.TPI)))
	}
	a.Title += "\n" + size
	a.add(said("pitch d", fmt.Sprintf("%s, core %s, hole %s", plainMM(q.PitchDiameter()), plainMM(q.MinorExternal()), plainMM(q.MinorInternal()))),
		mm("major_mm", q.Major), mm("pitch_mm", q.Pitch), data("tpi", tpi), mm("pitch_diameter_mm", q.PitchDiameter()),
		mm("minor_internal_mm", q.MinorInternal()), mm("minor_external_mm", q.MinorExternal()), data("stress_area_mm2", q.StressArea().MM2()),
		mm("lead_mm", q.Lead()), data("helix_deg", q.HelixAngle().Degrees()), data("engagement_basis", q.EngagementBasis()))
	g, ok := q.GaugePlane()
	if !ok {
		a.add(said("area", fmt.Sprintf("%s, helix %s", q.StressArea(), q.HelixAngle())))
		return
	}
	screw := "R"
	if q.Series == threads.NPT {
		screw = "the pipe"
	}
	a.add(said("taper", "1 in 16; sizes "+g.Place(q.Thread)),
		below(fmt.Sprintf("within %s, %s (%s on the diameter)", g.Tolerance, turnsText(g.Turns), g.Diameter)),
		below(fmt.Sprintf("%s has %s of useful thread or more", screw, g.Useful)),
		data("gauge_plane", Rows{data("taper", q.Taper()), mm("length_mm", g.Length), mm("tolerance_mm", g.Tolerance), data("tolerance_turns", g.Turns),
			mm("diameter_tolerance_mm", g.Diameter), mm("useful_length_mm", g.Useful), data("source", g.Source)}))
	a.from(g.Source)
}

func tapDrill(d threads.TapDrill) Rows {
	rows := Rows{data("drill", d.Drill.Name), mm("diameter_mm", d.Diameter), data("engagement_percent", d.EngagementPercent), data("effect", d.Effect)}
	if d.Recommended {
		rows = append(rows, data("recommended", true))
	}
	if d.Source != "" {
		rows = append(rows, data("source", d.Source))
	}
	return rows
}

// drills are the tapping drills: two on each side of the best are enough at the bench,
// programs get more.
func (q threadLook) drills(a *Answer) {
	if !q.Tapped() { // cut on the outside only
		a.add(said("tap", "none: external; its hole is Rc "+q.Size+" or Rp "+q.Size), data("tap_drill", nil), data("tap_drills", []Rows{}))
		return
	}
	set := q.own.Stock()
	best := q.TapDrill(set, q.engagement)
	a.add(said("tap", best.Drill.Name+", "+best.Source), data("tap_drill", func() any { return tapDrill(best) }))
	a.from(best.Source)
	if !q.metal.IsZero() {
		a.add(below(fmt.Sprintf("in %s aim at %.0f %%", q.metal.Name, q.engagement)))
	}
	basis, _, _ := strings.Cut(q.EngagementBasis(), " (")
	a.add(below(basis))
	list := q.TapDrills(set, q.engagement)
	at := max(0, slices.IndexFunc(list, func(d threads.TapDrill) bool { return d.Recommended }))
	for _, d := range list[max(0, at-2):min(len(list), at+3)] {
		word, _, _ := strings.Cut(d.Effect, ",")
		row := below(fmt.Sprintf("%-9s%3.0f %%  %s", d.Drill.Name, d.EngagementPercent, word))
		if d.Recommended {
			row.Label = ">"
		}
		a.add(row)
	}
	a.add(each("tap_drills", list, tapDrill))
	if has, known := q.own.Tap(q.Thread); known {
		text := "the tap is not in your list"
		if has {
			text = "the tap is in your list"
		}
		a.add(below(text), data("own_tap", has))
	}
}

func turnsText(turns float64) string {
	if turns == 1 {
		return "one turn"
	}
	return plainMM(quantity.Length(turns)) + " turns"
}

// heads are the heads of screws; hole is the one they stand over.
func (q threadLook) heads(a *Answer, hole quantity.Length) {
	var rows, last []string
	list := q.Heads()
	for _, h := range list {
		a.from(h.Standard)
		switch {
		case h.Old && h.Kind != threads.CountersunkHead:
			// Its spanner is listed.
		case h.Old:
			last = append(last, "old csk "+roundMM(h.HeadDiameter))
		case h.Kind == threads.CheeseHead:
			word := "cheese "
			if strings.HasSuffix(h.Standard, "fillister") {
				word = "fillister "
			}
			last = append(last, word+roundMM(h.HeadDiameter)+" x "+roundMM(h.Height))
		case h.Kind == threads.HexHead:
			text := "hex " + roundMM(h.AcrossFlats) + " AF"
			if h.Height > 0 {
				text += ", " + roundMM(h.Height) + " high"
			}
			rows = append(rows, text)
		case h.Kind == threads.SocketHead:
			rows = append(rows, fmt.Sprintf("socket %s x %s, key %s", roundMM(h.HeadDiameter), roundMM(h.Height), keyText(h)))
		case h.Kind == threads.CountersunkHead:
			rows = append(rows, countersunkText(h, hole))
		}
	}
	if len(last) > 0 {
		rows = append(rows, strings.Join(last, "; "))
	}
	label := "head"
	for _, row := range rows {
		a.add(said(label, row))
		label = " "
	}
	a.add(each("heads", list, func(h threads.Head) Rows { return headRows(h, hole) }))
}

func headRows(h threads.Head, hole quantity.Length) Rows {
	rows := Rows{data("kind", string(h.Kind)), data("standard", h.Standard)}
	known := func(key string, v float64) {
		if v != 0 {
			rows = append(rows, data(key, v))
		}
	}
	if h.Old {
		rows = append(rows, data("old", true))
	}
	known("head_diameter_mm", h.HeadDiameter.MM())
	known("height_mm", h.Height.MM())
	known("across_flats_mm", h.AcrossFlats.MM())
	known("key_mm", h.Key.MM())
	known("countersink_diameter_mm", h.CountersinkDiameter.MM())
	known("angle_deg", float64(h.CountersinkAngle))
	if sink, err := h.Countersink(hole); err == nil {
		known("countersink_depth_mm", sink.Depth.MM())
		known("least_plate_mm", sink.LeastPlate.MM())
	}
	return rows
}

// countersunkText is a countersunk head with the sink it needs over a hole. An angle
// other than 90° stands beside it, for the sink has to have the head's.
func countersunkText(h threads.Head, hole quantity.Length) string {
	text := "csk " + roundMM(h.HeadDiameter)
	if h.Key > 0 {
		text = "csk key " + keyText(h)
	}
	sink, err := h.Countersink(hole)
	if err != nil {
		return text
	}
	size := fmt.Sprintf("sink %s x %s", roundMM(sink.Diameter), roundMM(sink.Depth))
	switch angle := h.CountersinkAngle.String(); {
	case h.CountersinkAngle == 90:
		return text + " (" + size + ")"
	case h.Key > 0:
		return "key " + keyText(h) + ", " + angle + " " + size
	default:
		return "csk " + angle + " " + roundMM(h.HeadDiameter) + ", " + size
	}
}

// keyText is a hexagon key as it is marked; millimetres and vulgar fractions of an
// inch do without their unit.
func keyText(h threads.Head) string {
	text := strings.TrimSuffix(h.KeyMark(), " mm")
	if strings.Contains(text, "/") {
		return strings.TrimSuffix(text, " in")
	}
	return text
}

func (q threadLook) nuts(a *Answer) {
	var parts []string
	list := q.Nuts()
	for _, n := range list {
		a.from(n.Standard)
		switch {
		case n.Old:
		case n.Kind == threads.ThinNut:
			parts = append(parts, "thin "+roundMM(n.Thickness))
		default:
			parts = append(parts, roundMM(n.Thickness))
		}
	}
	a.add(each("nuts", list, func(n threads.Nut) Rows {
		row := Rows{data("kind", string(n.Kind)), data("standard", n.Standard), mm("across_flats_mm", n.AcrossFlats), mm("across_corners_mm", n.AcrossCorners), mm("thickness_mm", n.Thickness)}
		if n.Old {
			row = append(row, data("old", true))
		}
		return row
	}))
	if washer, ok := q.Washer(); ok {
		a.add(data("washer", Rows{data("standard", washer.Standard), mm("bore_mm", washer.Bore), mm("outside_mm", washer.Outside), mm("thickness_mm", washer.Thickness)}))
		a.from(washer.Standard)
		parts = append(parts, fmt.Sprintf("washer %s x %s", roundMM(washer.Outside), roundMM(washer.Thickness)))
	}
	if len(parts) > 0 {
		a.add(said("nut", strings.Join(parts, ", ")))
	}
}

func (q threadLook) spanners(a *Answer) {
	var parts []string
	list := q.Spanners()
	for i, s := range list {
		text := s.Mark
		if !strings.Contains(text, "mm") && (i == 0 || !strings.HasSuffix(text, " nut")) {
			text += " (" + roundMM(s.Size) + ")"
		}
		if s.Old {
			text = "old " + text
		}
		if own, ok := q.own.Spanner(s.Size); ok {
			text += ", yours " + own.String()
		}
		parts = append(parts, text)
	}
	if len(parts) > 0 {
		a.add(said("spanner", strings.Join(parts, "; ")))
	}
	size, source, _ := q.Spanner()
	a.add(some("spanner_mm", size), each("spanners", list, func(s threads.Spanner) Rows {
		row := Rows{mm("size_mm", s.Size), data("mark", s.Mark), data("source", s.Source)}
		if s.Old {
			row = append(row, data("old", true))
		}
		if _, own := q.own.Spanner(s.Size); own {
			row = append(row, data("own", true))
		}
		return row
	}))
	a.from(source)
}

// limitText is a pair of limits of a crest diameter and of the pitch diameter.
func limitText(low, high, pitchLow, pitchHigh quantity.Length) string {
	crest, pitch := plainMM(low)+"-"+plainMM(high), plainMM(pitchLow)+"-"+plainMM(pitchHigh)
	if text := crest + ", pitch " + pitch; len(text) <= 32 { // what one line holds beside its label
		return text
	}
	return crest + ", pd " + pitch
}

func (q threadLook) limits(a *Answer) {
	limits, ok := q.Limits()
	if !ok {
		return
	}
	e, i := limits.External, limits.Internal
	screw, hole := e.Class, i.Class
	if screw == "" || screw[0] > '9' { // a class that is a word says nothing alone
		screw, hole = "screw", "hole"
	}
	external, internal := data("external", nil), data("internal", nil)
	if e.Class != "" { // an Rp hole has no screw of its own
		a.add(said(screw, limitText(e.MajorMin, e.MajorMax, e.PitchMin, e.PitchMax)))
		rows := Rows{data("class", e.Class), mm("major_max_mm", e.MajorMax), mm("major_min_mm", e.MajorMin), mm("pitch_diameter_max_mm", e.PitchMax), mm("pitch_diameter_min_mm", e.PitchMin)}
		if e.MinorMax != 0 {
			rows = append(rows, mm("minor_max_mm", e.MinorMax))
		}
		if e.MinorMin != 0 {
			rows = append(rows, mm("minor_min_mm", e.MinorMin))
		}
		external.Value = rows
	}
	if i.MinorMax > 0 { // nor has a screw below M1 a hole with limits
		a.add(said(hole, limitText(i.MinorMin, i.MinorMax, i.PitchMin, i.PitchMax)))
		internal.Value = Rows{data("class", i.Class), mm("minor_min_mm", i.MinorMin), mm("minor_max_mm", i.MinorMax), mm("pitch_diameter_min_mm", i.PitchMin), mm("pitch_diameter_max_mm", i.PitchMax)}
	}
	a.add(data("limits", Rows{external, internal, data("source", limits.Source)}))
	a.from(limits.Source)
}

// torque is what a screw of a grade is tightened to.
func (q threadLook) torque(f *form, a *Answer, grade fastening.Grade) {
	r, err := fastening.Tighten(fastening.TightenInput{Thread: q.Thread, Grade: grade})
	if !f.check(err) {
		return
	}
	// The gentler figure first: it is what a hand may do, and the other one shears a
	// small screw where the friction is less than thought.
	if r.HandTorque > 0 && r.HandTorque < r.Torque {
		a.add(said("torque", fmt.Sprintf("%s by hand, %s", r.HandTorque, grade)), below(fmt.Sprintf("%s only by torque tool", r.Torque)),
			below(fmt.Sprintf("both at friction %.2f, as anti-seize gives", r.Friction.Nominal)))
	} else {
		a.add(said("torque", fmt.Sprintf("%s %s at friction %.2f", r.Torque, grade, r.Friction.Nominal)))
	}
	a.add(data("torque", Rows{data("grade", grade.String()), data("hand_torque_nm", r.HandTorque.NM()), data("torque_nm", r.Torque.NM()),
		data("preload_kn", r.Preload.KN()), data("friction", r.Friction.Nominal)}))
	a.from(r.Sources...)
}
