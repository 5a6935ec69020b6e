package job

import (
	"fmt"
	"strings"

	"fettle/checklist"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// Least distances round a tapped hole, as shares of the thread's diameter.
// Common practice, no source.
const (
	leastRim = 0.5 // rim of the hole to the edge of the metal
	leastWeb = 1.0 // metal left between two holes
)

// consequences are the steps that one changed fastener brings in: the work
// itself, and what has to be looked at because a bigger screw now stands where
// a smaller one stood. Every limit is worked out from the new thread and what
// the procedure says of the circle.
func consequences(k known, f *Finding, d *Disposition, t threads.Thread, c checklist.Change, advice Advice) []checklist.Step {
	b := consequence{known: k, finding: f, t: t, part: c.Part, id: strings.ReplaceAll(c.Part, "_", "-"), what: literal(k.whatOf(f))}
	was, err := threads.Parse(k.text("thread"))
	cuts := err != nil || was != t || f.What == DamagedHole
	// Look, measure, then cut: what is drilled away cannot be measured.
	if cuts {
		b.look(advice)
	}
	b.head(c)
	b.room()
	if d.Data["boiler"] != "no" {
		b.inspector(d)
	}
	if cuts {
		b.tap(advice, err == nil && was == t)
		b.gauge(advice)
	}
	b.cover()
	b.mark(advice)
	return b.steps
}

// look has the hole looked at before metal is cut.
func (b *consequence) look(advice Advice) {
	readings := []checklist.Reading{yes("sound", "Metal round the hole sound, no crack", check.Stop)}
	do := fmt.Sprintf("Look into %s with a lamp and a mirror. Is the metal round it sound? Where does the hole lead?", b.what)
	if advice.Input.Kind == fastening.WetHole {
		do += " It leads to water: look at the wall it goes through from inside, where that can be seen."
		readings = append(readings, yes("wall", "Wall sound where the hole goes through", check.Ask))
	}
	b.add("inspect", "look", "Look before metal is cut", do, "A crack or a thin wall is no place for a bigger hole.", readings...)
}

// chased are the steps where the old thread is cleaned and used again.
func chased(k known, f *Finding, d *Disposition, t threads.Thread, advice Advice) []checklist.Step {
	id := strings.ReplaceAll(f.Fastener, "_", "-")
	if f.Number > 0 {
		id += fmt.Sprintf("-%d", f.Number)
	}
	b := consequence{known: k, finding: f, t: t, part: f.Fastener, id: id, what: literal(k.whatOf(f))}
	b.tap(advice, true)
	b.gauge(advice)
	return b.steps
}

// whatOf is what the finding is on, in a sentence: "no. 3 of the cover screws".
func (k known) whatOf(f *Finding) string {
	if f.Number > 0 {
		return fmt.Sprintf("no. %d of the %s", f.Number, k.part.Label)
	}
	return "the " + k.part.Label
}

type consequence struct {
	known
	finding *Finding
	t       threads.Thread
	part    string
	id      string
	what    string
	headIs  threads.Head
	steps   []checklist.Step
}

func (b *consequence) add(kind, name, title, do, why string, readings ...checklist.Reading) *checklist.Step {
	b.steps = append(b.steps, checklist.Step{
		ID: b.id + "-" + name, Kind: kind, Title: title, Do: do, Why: why, Uses: []string{b.part}, Readings: readings,
	})
	return &b.steps[len(b.steps)-1]
}

func yes(name, ask string, outside check.Severity) checklist.Reading {
	return checklist.Reading{Name: name, Ask: ask, Kind: "yes-no", Nominal: "yes", Outside: outside}
}

func mm(l quantity.Length) string { return fmt.Sprintf("%.2f", l.MM()) }

// atLeast is a reading in mm with a lower limit.
func atLeast(name, ask string, low quantity.Length, outside check.Severity) checklist.Reading {
	return checklist.Reading{Name: name, Ask: ask, Kind: "length", Unit: "mm", Low: mm(low), Outside: outside}
}

func (b *consequence) inspector(d *Disposition) {
	whose := "The tapped part belongs to the boiler."
	if d.Data["boiler"] == "" {
		whose = "Nobody has said that the tapped part is a fitting and not the boiler."
	}
	step := b.add("decide", "inspector", "Hold: the inspector knows", fmt.Sprintf("Tell the inspector before metal is cut: %s becomes %s. %s", strings.Replace(b.what, "no. ", "number ", 1), b.t, whose),
		"Whether a bush or the shell may be altered, and what test it then wants, the local code and the inspector decide.")
	step.Hold = "inspector"
}

func (b *consequence) tap(advice Advice, same bool) {
	if same {
		b.add("make", "tap", "Clean the thread", fmt.Sprintf("Run a %s tap through %s, by hand, square. Rag below on a cord; vacuum, do not blow.", b.t, b.what),
			"Chips fall where nobody finds them.")
		return
	}
	drill := b.t.TapDrill(threads.StockDrills(), 0)
	diameter, name := drill.Diameter, drill.Drill.Name
	for _, o := range advice.Result.Options {
		if o.Kind == fastening.NextSize && o.Thread == b.t {
			diameter, name = o.Diameter, o.Drill.Name
			if o.AsItIs {
				name = "no drill, the hole is large enough as it is"
			}
			break
		}
	}
	size := mm(diameter) + " mm"
	if !strings.HasSuffix(name, " mm") {
		size += " (" + name + ")"
	}
	do := fmt.Sprintf("Drill %s to %s in a guide, then tap %s: taper, second, plug, square to the face.", b.what, size, b.t)
	step := b.add("make", "tap", fmt.Sprintf("Drill and tap %s", b.t), do,
		"Drilled by eye the hole wanders, and the cover no longer finds its screws.",
		checklist.Reading{Name: "drilled", Ask: "Hole as drilled", Kind: "length", Unit: "mm", Nominal: mm(diameter), Minus: "0.05", Plus: "0.10"})
	step.Cautions = []string{"Pad on a cord below the hole, grease on the flutes, vacuum and no compressed air: chips in the water space end in clacks and gauge passages."}
	step.Warnings = []string{"Eye protection; swarf is sharp and hot."}
}

func (b *consequence) gauge(advice Advice) {
	readings := []checklist.Reading{yes("goes", "Screw runs in six turns by hand, no rock", check.Stop)}
	if metal := advice.Input.Into; !metal.IsZero() {
		low := b.t.Major * quantity.Length(metal.Engagement)
		readings = append(readings, atLeast("full_thread", "Depth of full thread", low, check.Warn))
	}
	b.add("measure", "gauge", "Gauge the new thread", fmt.Sprintf("Try a sound %s screw in %s. Measure the depth of full thread.", b.t, b.what),
		"Short or shallow, it strips when the joint is tightened.", readings...)
}

// head finds the head that the part has from now on.
func (b *consequence) head(c checklist.Change) {
	kind := threads.HeadKind(c.Head)
	if kind == "" {
		kind = threads.HeadKind(b.setting("head"))
	}
	for _, h := range b.t.Heads() {
		if h.Kind == kind && !h.Old {
			b.headIs = h
			return
		}
	}
}

func (b *consequence) cover() {
	clear := b.t.Clearance()
	b.add("make", "cover-hole", "Open the hole in the cover", fmt.Sprintf("Open the cover's hole for %s to %s mm, for %s.", b.what, mm(clear.Medium), b.t),
		"The old hole is too small, and a screw that bears on its side holds nothing down.",
		checklist.Reading{Name: "cover_hole", Ask: "Hole in the cover", Kind: "length", Unit: "mm", Nominal: mm(clear.Medium), Minus: mm(clear.Medium - clear.Fine), Plus: mm(clear.Coarse - clear.Medium)})
}

// room asks for what is left round the hole and the head.
func (b *consequence) room() {
	clear := b.t.Clearance().Medium
	readings := []checklist.Reading{
		atLeast("rim", "New hole, as scribed, to the edge of the metal", b.t.Major*leastRim, check.Stop),
	}
	notes := b.land(&readings, clear)
	if chord := b.length("chord"); chord > 0 {
		readings = append(readings, atLeast("web", "Metal between the new hole, as scribed, and the next", b.t.Major*leastWeb, check.Warn))
		notes = append(notes, fmt.Sprintf("By the sum %s mm of metal are left to the next hole.", mm(chord-(b.t.Major+b.length("major"))/2)))
	}
	switch {
	case b.headIs.Kind == threads.CountersunkHead:
		readings = append(readings, atLeast("cover", "Thickness of the cover at the hole", b.headIs.Height, check.Stop))
		notes = append(notes, fmt.Sprintf("The countersink is %s mm wide at the face.", mm(b.headIs.CountersinkDiameter)))
	case b.headIs.HeadDiameter > 0:
		readings = append(readings, atLeast("head", "Diameter free for the head", b.headIs.HeadDiameter, check.Stop))
	}
	readings = append(readings, yes("spanner", "Spanner or key goes on and swings", check.Stop))
	step := b.add("measure", "room", "Room for the bigger screw", fmt.Sprintf("Scribe the new hole and its head round %s. Measure what they leave.", b.what),
		"A hole into the gasket leaks; a head that leans on a wall does not clamp; a thin edge splits.", readings...)
	step.Notes = notes
}

// land asks for the face that the opened hole leaves beside what seals. Where the
// gasket is known the sum is said beside it.
func (b *consequence) land(readings *[]checklist.Reading, clear quantity.Length) (notes []string) {
	least := fastening.LeastLand
	ask := "Face left between the scribed hole and what seals (gasket, ring groove, cone)"
	notes = []string{fmt.Sprintf("At least %s mm of face between hole and seal: common practice, no source.", mm(least))}
	if edge := b.gasketEdge(); edge > 0 {
		ask = "Face left between the scribed hole and the gasket"
		switch left := edge - clear/2; {
		case left < 0:
			notes = append(notes, fmt.Sprintf("By the sum the hole opens %s mm into the gasket: a narrower gasket or another thread.", mm(-left)))
		case left < least:
			notes = append(notes, fmt.Sprintf("By the sum only %s mm of land are left: a narrower gasket or another thread.", mm(left)))
		default:
			notes = append(notes, fmt.Sprintf("By the sum %s mm of land are left.", mm(left)))
		}
	}
	*readings = append(*readings, atLeast("land", ask, least, check.Warn), yes("unbroken", "Face unbroken between the hole and what seals", check.Stop))
	return notes
}

func (b *consequence) mark(advice Advice) {
	readings := []checklist.Reading{
		yes("clear", "Screw end clear of ports, tubes and passages", check.Stop),
		yes("tagged", "Odd screw marked beside its hole", check.Warn),
	}
	wet := "no"
	if advice.Input.Kind == fastening.WetHole {
		wet = "yes"
	}
	readings = append(readings, checklist.Reading{Name: "wet", Ask: "Hole now leads to water or steam", Kind: "yes-no", Nominal: wet, Outside: check.Warn})
	step := b.add("inspect", "mark", "Mark the odd screw", fmt.Sprintf("Punch a dot beside %s. Look down the hole with a light: where does the screw end, did it break through?", b.what),
		"The next one to open this has one odd screw in the hand and five that look like it.", readings...)
	step.Notes = []string{"A hole that leads to water now wants a screw that lives in water, and sealant: ask the rules again before it is closed."}
}
