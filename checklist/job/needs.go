package job

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"fettle/checklist"
	"fettle/threads"
	"fettle/threads/quantity"
)

// Places where things on the next-visit list come from, when nobody said.
const (
	fromShop   = "shop"
	fromDrawer = "tool drawer"
)

// Need is one line of the next-visit list.
type Need struct {
	Number int    // its place on the list, from 1
	Key    string // its name, which stays the same
	What   string // "M5 x 16 mm screws, hex head, A2-70"
	Amount string // "3", "112 mm"
	Why    string // what it is for, and how the amount came about
	Step   string // that waits for it; "" for none
	From   string // shop, drawer, or person
	Got    []Mark // who ticked it off
	about  string // the entry it comes from
	in     *Job   // the called job that wants it; nil for this one
	inKey  string // its name on that one's list
	// Of an order of screws, what a shortage is matched with.
	thread threads.Thread
	label  string
	number int
}

// NeedList is what to bring to the next visit.
type NeedList struct {
	Items []Need // by From
}

// Open are the things that are still to be got.
func (l *NeedList) Open() []Need {
	return slices.DeleteFunc(slices.Clone(l.Items), func(n Need) bool { return len(n.Got) > 0 })
}

// Needs works out the next-visit list: what is reported missing, what changed
// holes want, and what the steps still to be done use up. Quantities: screws and
// nuts their number and two more or a tenth, O-rings two of each, packing the
// length of all rings and a tenth, gasket sheet twice, 10 mm wider
// than the ring (common practice, no source).
func (j *Job) Needs() NeedList {
	state, seen := j.State(), j.view()
	b := j.needs(&state, seen, j.env.Now())
	for i := range state.Short {
		s := &state.Short[i]
		amount := fmt.Sprint(max(1, s.Count))
		if s.Count <= 1 && counted(s.Text) > 0 {
			amount = "" // the words say it: "2 cover screws"
		}
		b.add(Need{Key: s.Key(), What: s.Text, Amount: amount, Why: "reported missing by " + s.By, Step: s.Step, From: s.Where, about: s.ID})
	}
	for k, change := range seen.changed.list {
		if slices.ContainsFunc(seen.changed.list[k+1:], func(later checklist.Change) bool { return later.Part == change.Part }) {
			continue // changed once more since
		}
		b.changed(change, seen.changed.entries[k], j.cutInCalled(seen, &state, k))
	}
	for _, f := range state.Findings {
		b.finding(&f)
	}
	b.parts()
	b.written()
	b.test()
	b.among()
	list := NeedList{Items: b.items}
	called := j.calledNeeds(seen, state)
	for i := range list.Items {
		if list.Items[i].From == "" {
			list.Items[i].From = fromShop
		}
	}
	list.Items = append(list.Items, called...)
	slices.SortStableFunc(list.Items, func(a, b Need) int { return strings.Compare(strings.ToLower(a.From), strings.ToLower(b.From)) })
	for i := range list.Items {
		list.Items[i].Number = i + 1
		if list.Items[i].in == nil {
			list.Items[i].Got = b.gotten(&list.Items[i])
		}
	}
	return list
}

// wanted are the parts that decisions want and nobody has got yet. Tools out of the
// drawer are not among them: they are in the hand that works with them.
func (g *gating) wanted() []Need {
	if g.asked || len(g.seen.changed.list) == 0 {
		return g.parts
	}
	g.asked = true
	b := g.j.needs(g.state, g.seen, g.now)
	for k, change := range g.seen.changed.list {
		if !slices.ContainsFunc(g.seen.changed.list[k+1:], func(later checklist.Change) bool { return later.Part == change.Part }) {
			b.changed(change, g.seen.changed.entries[k], false)
		}
	}
	for _, n := range b.items {
		if n.From != fromDrawer && len(b.gotten(&n)) == 0 {
			g.parts = append(g.parts, n)
		}
	}
	return g.parts
}

// where says what a finding is on, by the names that people read.
func (b *needs) where(f *Finding) string { return whereIn(b.filled, b.base, f) }

type needs struct {
	state        State
	filled, base *checklist.Filled
	now          time.Time
	items        []Need
	got          []*record
	keep         bool // what nobody got stays on the list, whatever was done without it
}

func (j *Job) needs(state *State, seen *view, now time.Time) needs {
	return needs{state: *state, filled: seen.filled, base: seen.base, now: now, got: seen.fold.judged[KindGot], keep: j.keeps(RuleGotByHand)}
}

// gotten says who ticked something off. It was got for the entry that wants it: screws
// for the thread before are none for the thread that was decided since.
func (b *needs) gotten(n *Need) (by []Mark) {
	for _, rec := range b.got {
		if rec.Value == n.Key && (rec.About == n.about || !b.keep) {
			by = append(by, mark(rec))
		}
	}
	return by
}

func (b *needs) add(n Need) {
	if !slices.ContainsFunc(b.items, func(o Need) bool { return o.Key == n.Key }) {
		b.items = append(b.items, n)
	}
}

// spare is a number with two more, or a tenth where that is more.
func spare(n int) int { return n + max(2, int(math.Ceil(float64(n)*0.1))) }

// cutInCalled tells whether the thread of change k was cut in a job that the step of
// its finding called: every step of that job that makes the thread is done. One
// such job stands for one hole, the first that was decided first.
func (j *Job) cutInCalled(seen *view, state *State, k int) bool {
	at := func(id string) string {
		for i := range state.Findings {
			if state.Findings[i].ID == id {
				return state.Findings[i].Step
			}
		}
		return ""
	}
	change, step := seen.changed.list[k], at(seen.changed.findings[k])
	want, err := threads.Parse(change.Thread)
	if err != nil || step == "" {
		return false
	}
	before := 0
	for i := range k {
		if t, err := threads.Parse(seen.changed.list[i].Thread); err == nil && t == want && at(seen.changed.findings[i]) == step {
			before++
		}
	}
	for _, c := range state.CalledBy(step) {
		if inside := insideOf(&c, seen); inside != nil && len(c.Off) == 0 && inside.cut(want) {
			before--
		}
	}
	return before < 0
}

// cut tells whether every step of a job that makes a thread is done.
func (j *Job) cut(want threads.Thread) bool {
	state, made := j.State(), false
	for _, step := range j.Filled().Steps() {
		makes := step.Kind == "make" && slices.ContainsFunc(step.Uses, func(name string) bool {
			part, ok := partOf(j.Filled().Fasteners, name)
			return ok && part.Applies && partThread(part) == want
		})
		if !makes {
			continue
		}
		if state.Steps[step.ID].Status != Done {
			return false
		}
		made = true
	}
	return made
}

// changed lists what a fastener that became another wants; cut says that its
// thread was cut already, in a called job.
func (b *needs) changed(c checklist.Change, entry string, cut bool) {
	part, ok := partOf(b.filled.Fasteners, c.Part)
	if !ok || c.Part == "" {
		return
	}
	figure := func(key string) string {
		f, _ := partFigure(part, key)
		return f.Text
	}
	t, err := threads.Parse(figure("thread"))
	if err != nil {
		return
	}
	first := ""
	for _, step := range c.Steps {
		if step.Kind == "make" && first == "" {
			first = step.ID
		}
	}
	why := part.Label + " becomes " + t.String()
	was, _ := partOf(b.base.Fasteners, c.Fastener)
	done := func(name string) bool {
		return slices.ContainsFunc(c.Steps, func(s checklist.Step) bool {
			return strings.HasPrefix(s.ID, strings.ReplaceAll(c.Part, "_", "-")+"-"+name) && b.state.Steps[s.ID].Status == Done
		})
	}
	old, _ := partFigure(was, "thread")
	if old.Text != t.String() && !cut && !done("tap") {
		diameter := t.TapDrill(threads.StockDrills(), 0).Diameter
		for _, step := range c.Steps {
			for _, r := range step.Readings {
				if r.Name == "drilled" {
					if l, err := quantity.ParseLength(r.Nominal); err == nil {
						diameter = l
					}
				}
			}
		}
		var drills []string
		for _, d := range threads.StockDrills().Near(diameter, 3) {
			drills = append(drills, d.Name)
		}
		b.add(Need{Key: "drill-" + c.Part, What: "Drills " + strings.Join(drills, ", "), Amount: "1 each", Why: fmt.Sprintf("%s: hole %s mm, and its neighbours", why, mm(diameter)), Step: first, From: fromDrawer, about: entry})
		b.add(Need{Key: "tap-" + c.Part, What: t.String() + " taps: taper, second, plug", Amount: "1 set", Why: why, Step: first, From: fromDrawer, about: entry})
	}
	if old.Text != t.String() && !done("cover-hole") {
		clear := t.Clearance()
		b.add(Need{Key: "clear-" + c.Part, What: fmt.Sprintf("Drill %s mm for the cover", mm(clear.Medium)), Amount: "1", Why: why, From: fromDrawer, about: entry})
	}
	// What a gate was passed without stays on the list: nothing leaves it unless
	// somebody got it.
	if b.firstUse(c.Part, false) != "" || b.keep && len(b.gotten(&Need{Key: "screw-" + c.Part, about: entry})) == 0 {
		if size := figure("spanner"); size != "" {
			b.add(Need{Key: "spanner-" + c.Part, What: "Spanner " + size, Amount: "1", Why: why, From: fromDrawer, about: entry})
		}
		b.screws(part, len(c.Numbers), why, entry)
	}
}

func (b *needs) screws(part checklist.FilledPart, n int, why, entry string) {
	words := []string{}
	for _, key := range []string{"thread", "length", "grade"} {
		if f, ok := partFigure(part, key); ok {
			if key == "length" {
				words[len(words)-1] += " x " + f.Text
				continue
			}
			words = append(words, f.Text)
		}
	}
	if len(words) == 0 {
		return
	}
	if part.Probable {
		alike := b.alike(part)
		thread, _ := partFigure(part, "thread")
		why += ": thread only probable, may be " + alike
		b.add(Need{Key: "gauge-" + part.Name, What: "Gauge or known mate of " + thread.Text + " and of " + alike, Amount: "1 each",
			Why: part.Label + ": settle the thread before anything is ordered", Step: b.firstUse(part.Name, true), From: fromDrawer})
	}
	what := "Screws "
	if label := strings.ToLower(part.Label); strings.Contains(label, "nut") || strings.Contains(label, "union") {
		what = "Nuts "
	}
	b.add(Need{
		Key: "screw-" + part.Name, What: what + strings.Join(words, ", "), Amount: fmt.Sprint(spare(n)),
		Why: fmt.Sprintf("%s: %d and spares", why, n), Step: b.firstUse(part.Name, false), about: entry,
		thread: partThread(part), label: part.Label, number: spare(n),
	})
}

// partThread is the thread of a part; the zero Thread where none can be read.
func partThread(part checklist.FilledPart) threads.Thread {
	figure, _ := partFigure(part, "thread")
	t, err := threads.Parse(figure.Text)
	if err != nil {
		return threads.Thread{}
	}
	return t
}

// among says of screws that are reported missing, and are part of an order that is
// on the list as well, that they are one and the same: two lines that each name
// a number read like a sum. An order is never smaller than what is missing of it.
func (b *needs) among() {
	missing := map[int]int{} // by order
	for i := range b.items {
		item := &b.items[i]
		short := slices.IndexFunc(b.state.Short, func(s Short) bool { return s.Key() == item.Key })
		if short < 0 || !b.state.Short[short].Open() {
			continue
		}
		if order := b.orderOf(item.What); order >= 0 {
			missing[order] += max(1, b.state.Short[short].Count, counted(item.What))
			item.Why += "; counted in the order of " + b.items[order].What + ", do not order them twice"
		}
	}
	for order, n := range missing {
		item := &b.items[order]
		item.Amount = fmt.Sprint(max(item.number, n))
		item.Why += fmt.Sprintf("; the %d reported missing are in this number", n)
	}
}

// counted is the number that a text begins with, as "2 cover screws" does and "2 BA
// screws" does not; 0 where there is none.
func counted(text string) int {
	words := strings.Fields(text)
	if len(words) < 2 {
		return 0
	}
	n, err := strconv.Atoi(words[0])
	if err != nil || n < 1 || n > maxCounted || strings.ContainsFunc(words[1][:1], func(r rune) bool { return !unicode.IsLetter(r) }) {
		return 0
	}
	if _, err := threads.Parse(words[0] + " " + words[1]); err == nil || strings.EqualFold(words[1], "x") {
		return 0
	}
	return n
}

// maxCounted is how many of a thing can be reported missing at a time.
const maxCounted = 10_000

// orderOf is the one order of screws that the words of a shortage are about; -1
// where there is none, or it cannot be told which.
func (b *needs) orderOf(text string) int {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' })
	things := []string{"screw", "screws", "stud", "studs", "bolt", "bolts", "nut", "nuts", "setscrew", "setscrews"}
	other := []string{"tap", "taps", "die", "drill", "drills", "spanner", "key", "gauge", "extractor", "washer", "washers", "for"}
	among := func(list []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	if !among(things) || among(other) {
		return -1 // a tap, a washer for the screws
	}
	var alike, called []int
	for k, item := range b.items {
		if item.number == 0 || !namesThread(words, item.thread) {
			continue
		}
		alike = append(alike, k)
		if namesAll(words, item.label) {
			called = append(called, k)
		}
	}
	if len(alike) > 1 {
		alike = called
	}
	if len(alike) != 1 {
		return -1
	}
	return alike[0]
}

// namesThread reports whether the thread stands among the words: "m4", "2 ba", or
// "m4x14" with the length behind it.
func namesThread(words []string, want threads.Thread) bool {
	const longest = 4 // words of a thread's name, such as 1/4 x 40 ME
	for i := range words {
		for n := 1; n <= longest && i+n <= len(words); n++ {
			name := strings.Join(words[i:i+n], " ")
			if t, err := threads.Parse(name); err == nil && t == want {
				return true
			}
			if size, _, ok := strings.Cut(name, "x"); ok {
				if t, err := threads.Parse(size); err == nil && t == want {
					return true
				}
			}
		}
	}
	return false
}

// namesAll reports whether all words of a label are among the words, in the
// singular or the plural.
func namesAll(words []string, label string) bool {
	for _, w := range strings.Fields(strings.ToLower(label)) {
		one := strings.TrimSuffix(w, "s")
		if !slices.Contains(words, one) && !slices.Contains(words, one+"s") {
			return false
		}
	}
	return true
}

// alike names the threads that the thread of a part is most easily taken for.
func (b *needs) alike(part checklist.FilledPart) string {
	const few = 2
	figure, _ := partFigure(part, "thread")
	t, err := threads.Parse(figure.Text)
	if err != nil {
		return "another"
	}
	var list []string
	for _, c := range t.Confusables() {
		if !c.Same && len(list) < few {
			list = append(list, c.With.String())
		}
	}
	if len(list) == 0 {
		return "another"
	}
	return strings.Join(list, " or ")
}

// firstUse is the first step still to be done that puts the part in, or makes it.
func (b *needs) firstUse(part string, made bool) string {
	for _, step := range b.filled.Steps() {
		s := b.state.Steps[step.ID]
		if s.Status == Done || s.Status == Skipped || !slices.Contains(step.Uses, part) {
			continue
		}
		switch step.Kind {
		case "seal", "tighten", "dry-fit":
			return step.ID
		case "make":
			if made {
				return step.ID
			}
		}
	}
	return ""
}

// finding lists whom to ask about a finding nobody has decided.
func (b *needs) finding(f *Finding) {
	if f.Disposition == nil && f.What == DamagedHole && f.Data["hole"] == "" {
		b.add(Need{Key: "pins", What: "Pin gauges, or drill shanks, to measure the hole", Amount: "1 set", Why: b.where(f), Step: f.Step, From: fromDrawer, about: f.ID})
	}
	switch {
	case f.Disposition == nil:
		b.add(Need{Key: "decide-" + f.Name(), What: fmt.Sprintf("Decide about finding %d: %s, %s", f.Order, f.What, b.where(f)), Amount: "", Why: "it is open", From: "inspector or owner", about: f.ID})
	case f.Disposition.Decision == Replace && f.Fastener == "":
		b.add(Need{Key: "part-" + f.Name(), What: f.Disposition.Text, Amount: "1", Why: fmt.Sprintf("finding %d: %s", f.Order, f.What), about: f.ID})
	}
}

// test lists what a water test wants, while one is still to come.
func (b *needs) test() {
	for _, step := range b.filled.Steps() {
		s := b.state.Steps[step.ID]
		if step.Kind != "test" || s.Status == Done || s.Status == Skipped || !slices.ContainsFunc(step.Uses, func(name string) bool {
			_, ok := partOf(b.filled.Tests, name)
			return ok
		}) {
			continue
		}
		b.add(Need{Key: "rig", What: "Test pump, hose, adaptors, sealing washers, gauge with its paper", Amount: "1 set", Why: step.Title, Step: step.ID, From: fromDrawer})
		b.add(Need{Key: "blanks", What: "Blanks and plugs with numbered tags", Amount: "1 for every outlet", Why: step.Title, Step: step.ID, From: fromDrawer})
	}
}

// parts lists what the steps still to be done use up.
func (b *needs) parts() {
	for _, part := range b.filled.Fasteners {
		if part.Applies && b.firstUse(part.Name, false) != "" {
			count, ok := partFigure(part, "count")
			if ok && count.Value > 0 {
				b.screws(part, int(count.Value), part.Label, "")
			}
		}
	}
	for _, part := range b.filled.Seals {
		step := b.firstUse(part.Name, true)
		if !part.Applies || step == "" {
			continue
		}
		figure := func(key string) checklist.Figure {
			f, _ := partFigure(part, key)
			return f
		}
		material := figure("material").Text
		if material == "" {
			material = part.Kind
		}
		need := Need{Key: "seal-" + part.Name, Step: step, Why: part.Label}
		switch part.Kind {
		case "packing":
			if figure("order").Text == "" {
				continue
			}
			need.What = fmt.Sprintf("%s, %s square", material, figure("section").Text)
			need.Amount = figure("order").Text
			need.Why += ": all rings, and a tenth for the cuts"
		case "o-ring":
			need.What, need.Amount = "O-ring "+firstOf(figure("ring").Text, figure("size").Text, material), "2"
			need.Why += ": one and a spare"
		case "gasket":
			outer := figure("outer")
			if outer.Value <= 0 {
				continue
			}
			side := math.Ceil(outer.Value) + 10
			need.What, need.Amount = fmt.Sprintf("%s, %g x %g mm", material, side, side), "2"
			need.Why += ": 10 mm wider than the ring, twice"
		case "sealant", "tape":
			need.What, need.Amount = material, "1"
			switch day := figure("use_by"); {
			case day.Text == "":
				need.Why += ": see its date before you come"
			case day.PastDay(b.now):
				need.Why += ": the one at hand was to be used by " + day.Text
			default:
				need.Why += ": the one at hand is to be used by " + day.Text
			}
		default:
			continue
		}
		b.add(need)
	}
}

// listMark is how a step says what belongs on the next-visit list; the words up
// to the end of its sentence are what to bring.
const listMark = "Put on the list: "

// written lists what the steps themselves say to order, from the moment that
// such a step can be done: before, it may still come to nothing.
func (b *needs) written() {
	for _, step := range b.filled.Steps() {
		status := b.state.Steps[step.ID].Status
		_, what, ok := strings.Cut(step.Do, listMark)
		if !ok || status != Todo && status != Done {
			continue
		}
		what, _, _ = strings.Cut(what, ". ")
		b.add(Need{Key: "step-" + step.ID, What: strings.TrimSuffix(what, "."), Why: fmt.Sprintf("step %d, %s, says so", step.Number, step.Title)})
	}
}

func firstOf(words ...string) string {
	for _, w := range words {
		if w != "" {
			return w
		}
	}
	return ""
}
