package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// ring is the circle of screws that a step tightens.
type ring struct {
	name   string
	circle fastening.Circle
	order  []int
}

// part finds a part with its figures by its name.
func part(parts []checklist.FilledPart, name string) *checklist.FilledPart {
	if i := slices.IndexFunc(parts, func(p checklist.FilledPart) bool { return p.Name == name }); i >= 0 {
		return &parts[i]
	}
	return nil
}

func ofPart(p *checklist.FilledPart, key string) (checklist.Figure, bool) {
	f := partFigure(*p, key)
	return f, f.Text != ""
}

// ringOf is the circle of screws that a step tightens; nil for none.
func ringOf(filled *checklist.Filled, step *checklist.FilledStep) *ring {
	if step == nil || step.Kind != "tighten" {
		return nil
	}
	for _, name := range step.Uses {
		p := part(filled.Fasteners, name)
		if p == nil {
			continue
		}
		order, ok := ofPart(p, "order")
		if !ok {
			continue
		}
		n := len(strings.Fields(order.Text))
		// Where the first stands is in the coordinates; the size of the circle
		// does not matter to a drawing.
		start, x, y := 0.0, 0.0, 0.0
		at, placed := ofPart(p, "coordinates")
		if n < 3 && !placed {
			continue // two unions or nuts somewhere on the engine are no ring
		}
		if placed {
			if got, _ := fmt.Sscanf(at.Text, "1: %f, %f", &x, &y); got == 2 {
				start = math.Atan2(y, x) * 180 / math.Pi
			}
		}
		c, err := fastening.BoltCircle(n, 100, quantity.Angle(start), 0, 0)
		if err != nil || n > drawnBolts {
			continue
		}
		return &ring{p.Label, c, fastening.Order(n)}
	}
	return nil
}

// tight is how many screws of the step's ring are tightened in this pass: all
// of them once the step is done, else as counted by hand since it was opened.
func (s *stepScreen) tight(r *ring, step *checklist.FilledStep, st job.StepState) int {
	if st.Status == job.Done {
		return len(r.order)
	}
	return min(s.turned[step.ID], len(r.order))
}

// oneMore counts a screw of the ring as tightened, or takes one back.
func (s *stepScreen) oneMore(n int) tea.Cmd {
	step, st := s.step()
	r := ringOf(s.work().filled, step)
	if r == nil || st.Status == job.Done {
		return nil
	}
	if s.turned == nil {
		s.turned = map[string]int{}
	}
	s.turned[step.ID] = max(0, min(len(r.order), s.turned[step.ID]+n))
	return nil
}

// ringText says in words how far the pass over the step's ring is, with and
// without its drawing.
func (s *stepScreen) ringText(d *doc, step *checklist.FilledStep, st job.StepState) {
	r := ringOf(s.work().filled, step)
	if r == nil || st.Status == job.Done || st.Status == job.Skipped {
		return
	}
	n, all := s.tight(r, step, st), len(r.order)
	d.blank()
	switch {
	case n == all:
		d.indented(d.look.G.Done+" ", "  ", paint.InkDone, fmt.Sprintf("All %d tight in this pass.", all))
	case n == 0:
		d.indented(d.look.G.Todo+" ", "  ", paint.InkPlain, fmt.Sprintf("None of %d counted yet. First: screw %d. %s counts one as tight.", all, r.order[0], s.m.keys.Tight.Help().Key))
	default:
		d.indented(d.look.G.Waiting+" ", "  ", paint.InkStrong, fmt.Sprintf("%d of %d tight. Next: screw %d.", n, all, r.order[n]))
	}
}

// half says how many screws of the step's ring are counted in this pass, and
// how many there are; false where all are, or nobody counts.
func (s *stepScreen) half(step *checklist.FilledStep, st job.StepState) (n, all, next int, ok bool) {
	r := ringOf(s.work().filled, step)
	if r == nil {
		return 0, 0, 0, false
	}
	n, all = s.tight(r, step, st), len(r.order)
	if n == 0 || n == all {
		return n, all, 0, false
	}
	return n, all, r.order[n], true
}

// drawing draws what helps with the step shown; false where nothing does.
func (s *stepScreen) drawing(d *doc) bool {
	step, st := s.step()
	if step == nil {
		return false
	}
	filled := s.work().filled
	if r := ringOf(filled, step); r != nil {
		s.drawRing(d, r, step, st)
		return true
	}
	if d.quadrant(step, st) {
		return true
	}
	for _, name := range step.Uses {
		if p := part(filled.Seals, name); p != nil && p.Kind == "packing" && d.packingRing(p) {
			return true
		}
	}
	for _, name := range step.Uses {
		if p := part(filled.Fasteners, name); p != nil && d.fastener(p) {
			return true
		}
	}
	return false
}

func (s *stepScreen) drawRing(d *doc, r *ring, step *checklist.FilledStep, st job.StepState) {
	done := s.tight(r, step, st)
	d.heading("Order of " + r.name)
	if done == len(r.order) {
		d.text(paint.InkDone, fmt.Sprintf("%s all %d in this pass", d.look.G.Done, done))
		d.boltCircle(r.circle, r.order, done)
		return
	}
	d.text(paint.InkStrong, fmt.Sprintf("Now screw %d. Counted anticlockwise.", r.order[done]))
	d.boltCircle(r.circle, r.order, done)
	words := make([]string, len(r.order))
	for i, n := range r.order {
		words[i] = fmt.Sprint(n)
		switch {
		case i < done:
			words[i] += d.look.G.Done
		case i == done:
			words[i] = d.look.G.Here + words[i]
		}
	}
	d.text(paint.InkPlain, strings.Join(words, " "))
	d.text(paint.InkQuiet, fmt.Sprintf("%d of %d in this pass. %s counts one more, %s takes one back.",
		done, len(r.order), s.m.keys.Tight.Help().Key, s.m.keys.Slack.Help().Key))
}

// packingRing draws one ring of packing laid out flat, to be cut.
func (d *doc) packingRing(p *checklist.FilledPart) bool {
	length, ok := ofPart(p, "ring_length")
	section, have := ofPart(p, "section")
	if !ok || !have || !(length.Value > 0) || !(section.Value > 0) || d.w < 24 {
		return false
	}
	l := d.look.G
	side := " " + section.Text
	w := min(d.w-paint.TextWidth(side)-1, 56)
	// To scale as far as a row is the least height.
	rows := max(1, min(5, int(math.Round(section.Value*float64(w)/length.Value/cellAspect))))
	d.heading("One ring of " + p.Label + ", cut flat")
	d.add(paint.Span{Ink: paint.InkBrand, Text: l.Square.TopLeft + strings.Repeat(l.Square.Across, w-2) + l.Square.TopRight})
	for i := range rows {
		tail := ""
		if i == rows/2 {
			tail = side
		}
		d.add(paint.Span{Ink: paint.InkBrand, Text: l.Square.Down}, paint.Span{Ink: paint.InkQuiet, Text: strings.Repeat(l.Dots, w-2)}, paint.Span{Ink: paint.InkBrand, Text: l.Square.Down}, paint.Span{Ink: paint.InkStrong, Text: tail})
	}
	d.add(paint.Span{Ink: paint.InkBrand, Text: l.Square.BottomLeft + strings.Repeat(l.Square.Across, w-2) + l.Square.BottomRight})
	text := " " + length.Text + " "
	left := max(1, (w-paint.TextWidth(text))/2)
	d.add(paint.Span{Ink: paint.InkQuiet, Text: l.Left + strings.Repeat(l.Rule, left-1)}, paint.Span{Ink: paint.InkStrong, Text: text},
		paint.Span{Ink: paint.InkQuiet, Text: strings.Repeat(l.Rule, max(0, w-left-paint.TextWidth(text)-1)) + l.Right})
	if rings, ok := ofPart(p, "rings"); ok {
		d.text(paint.InkPlain, rings.Text+" of them, the length on the middle line.")
	}
	return true
}

// fastener draws the screw of a part in section, with its countersunk head
// where it has one.
func (d *doc) fastener(p *checklist.FilledPart) bool {
	name, ok := ofPart(p, "thread")
	if !ok {
		return false
	}
	t, err := threads.Parse(name.Text)
	if err != nil || !d.look.G.Halves || d.w < 24 {
		return false
	}
	var head *threads.Head
	if _, sunk := ofPart(p, "countersink"); sunk {
		high, _ := ofPart(p, "head_height")
		for _, h := range t.Heads() {
			if h.Kind == threads.CountersunkHead && (head == nil || math.Abs(h.Height.MM()-high.Value) < 0.01) {
				head = &h
			}
		}
	}
	d.heading(t.String() + ", in section")
	before := len(d.lines)
	d.screw(t, head)
	return len(d.lines) > before
}

// sketch is a drawing as last laid out: a section to scale takes longer than
// the rest of a frame.
type sketch struct {
	of     *work
	look   *paint.Look
	at, w  int
	turned int
	doc    *doc
	some   bool
}

// sketched is the drawing for the step shown, w wide; nil for none.
func (s *stepScreen) sketched(have *sketch, w int) *doc {
	now := sketch{of: s.work(), look: s.m.look, at: s.at, w: w}
	if step, _ := s.step(); step != nil {
		now.turned = s.turned[step.ID]
	}
	if old := *have; old.of != now.of || old.look != now.look || old.at != now.at || old.w != w || old.turned != now.turned {
		now.doc = newDoc(s.m.look, w, false)
		now.some = s.drawing(now.doc)
		*have = now
	}
	if !have.some {
		return nil
	}
	return have.doc
}

// hasDrawing tells whether something can be drawn for the step shown.
func (s *stepScreen) hasDrawing() bool { return s.sketched(&s.small, 24) != nil }

// draws adds the drawing to what stands above it where all of it fits under
// that, and tells whether it did.
func (s *stepScreen) draws(under *doc, have *sketch, room int) bool {
	if pic := s.sketched(have, under.w); pic != nil && len(under.lines)+1+len(pic.lines) <= room {
		under.blank()
		under.lines = append(under.lines, pic.lines...)
		return true
	}
	return false
}

// drawingScreen is the drawing of a step on a page of its own.
type drawingScreen struct {
	of  *stepScreen
	v   view
	pic sketch
}

func (p *drawingScreen) title() string {
	if step, _ := p.of.step(); step != nil {
		return fmt.Sprintf("Step %d, %s", step.Number, step.Title)
	}
	return p.of.title()
}
func (p *drawingScreen) typing() bool { return false }
func (p *drawingScreen) wheel(n int)  { p.v.scroll(n) }

func (p *drawingScreen) acts() []act {
	k := p.of.m.keys
	step, st := p.of.step()
	back := act{key: k.Do, word: "Back", main: true, do: p.of.m.back}
	r := ringOf(p.of.work().filled, step)
	if r == nil || st.Status == job.Done {
		return []act{back}
	}
	return append([]act{back}, p.of.ringActs(r, step, st)...)
}

func (p *drawingScreen) key(k tea.KeyMsg) (tea.Cmd, bool) { return nil, p.of.m.moves(k, &p.v, 0) }

func (p *drawingScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 76), f.Touch)
	if pic := p.of.sketched(&p.pic, d.w); pic != nil {
		d.lines = pic.lines
	} else {
		d.text(paint.InkQuiet, "There is nothing to draw for this step now.")
	}
	f.show(f.Body, d, &p.v)
}

// ringActs count the screws of a ring.
func (s *stepScreen) ringActs(r *ring, step *checklist.FilledStep, st job.StepState) []act {
	k, done := s.m.keys, s.tight(r, step, st)
	one := act{key: k.Tight, word: "Tight", do: func() tea.Cmd { return s.oneMore(1) }}
	if done == len(r.order) {
		one.off = "All screws of this pass are counted."
	}
	less := act{key: k.Slack, word: "Less", do: func() tea.Cmd { return s.oneMore(-1) }}
	if done == 0 {
		less.off = "No screw of this pass is counted yet."
	}
	return []act{one, less}
}

// drawingActs are what can be done with the drawing of the step shown.
func (s *stepScreen) drawingActs(step *checklist.FilledStep, st job.StepState) (acts []act) {
	if !s.hasDrawing() {
		return nil
	}
	acts = append(acts, act{key: s.m.keys.Drawing, word: "Drawing", do: func() tea.Cmd { s.m.push(&drawingScreen{of: s}); return nil }})
	if r := ringOf(s.work().filled, step); r != nil && st.Status != job.Done {
		acts = append(acts, s.ringActs(r, step, st)...)
	}
	return acts
}
