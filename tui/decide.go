package tui

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/checklist/lookup"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/tui/paint"
)

// findingScreen is one finding: what it is, the ways to save it, what was
// decided and what came of that.
type findingScreen struct {
	m        *model
	id       string
	advice   *job.Advice
	sheared  *fastening.ShearedPlan
	failed   string // why there is no advice
	deciding bool   // decide although something was decided
	rows     []func() tea.Cmd
	v        view
}

func (m *model) showFinding(id string) tea.Cmd {
	if id == "" { // a preview keeps nothing
		return nil
	}
	s := &findingScreen{m: m, id: id}
	m.push(s)
	return s.follow()
}

// finding is the finding as it stands; nil where it was taken back.
func (s *findingScreen) finding() *job.Finding {
	list := s.m.work.state.Findings
	if i := slices.IndexFunc(list, func(f job.Finding) bool { return f.ID == s.id }); i >= 0 {
		return &list[i]
	}
	return nil
}

// follow works the advice out, away from Update.
func (s *findingScreen) follow() tea.Cmd {
	f := s.finding()
	if f == nil || f.Fastener == "" || f.What != job.DamagedHole && f.What != job.Sheared {
		return nil
	}
	j, own, shop := s.m.work.job, *f, s.m.shop
	return s.m.keeper.later(func() tea.Msg {
		a := advised{to: s}
		if own.What == job.Sheared {
			plan, err := j.Sheared(&own)
			a.sheared, a.err = &plan, err
		} else {
			advice, err := j.Advise(&own, shop)
			a.advice, a.err = &advice, err
		}
		return a
	})
}

// moreOfHole asks for what the advice on a hole cannot do without, then for
// what it could not check otherwise; what the procedure says is not asked.
func (m *model) moreOfHole(q *inquiry, n *job.NewFinding, then func() tea.Cmd) tea.Cmd {
	j, from, shop := m.work.job, m.top(), m.shop
	about := job.Finding{What: n.What, Fastener: n.Fastener, Number: n.Number, Data: map[string]string{"hole": n.Hole}}
	n.Into, n.Depth, n.Edge, n.CoverHole, n.HeadRoom = "", "", "", "", ""
	into := map[string]*string{"into": &n.Into, "depth": &n.Depth, "edge": &n.Edge, "cover_hole": &n.CoverHole, "head_room": &n.HeadRoom}
	var ask func(gaps []string) tea.Cmd
	ask = func(gaps []string) tea.Cmd {
		if len(gaps) == 0 {
			return then()
		}
		key, what, _ := strings.Cut(gaps[0], ": ")
		to := into[key]
		if to == nil {
			return ask(gaps[1:])
		}
		return q.put(strings.ToUpper(what[:1])+what[1:], func(e *entry) {
			e.about = []string{"The procedure does not say it."}
			if key == "into" {
				for _, metal := range fastening.Metals() {
					e.choices = append(e.choices, choice{text: metal.String()})
				}
				e.unset = true // strength hangs on it: it is said, not confirmed
				return
			}
			e.value, e.units = true, unitsOf("length")
			left := "Empty: not known, and not checked. It can be added later."
			if key == "depth" {
				left = "Empty: no advice without it. It can be added later."
			}
			e.judge = mayBeEmpty(left, lengthCheck)
		}, func(text string) tea.Cmd {
			*to = text
			return ask(gaps[1:])
		})
	}
	return m.keeper.later(func() tea.Msg {
		a, _ := j.Advise(&about, shop)
		return gaps{from, slices.Concat(a.Missing, a.Unknown), ask}
	})
}

// gaps are what is not known of a hole.
type gaps struct {
	from screen // the question that was shown when they were looked for
	list []string
	ask  func([]string) tea.Cmd
}

func (g gaps) settle(m *model) tea.Cmd {
	if m.top() != g.from {
		return nil // gone back meanwhile
	}
	return g.ask(g.list)
}

// advised is the advice on a finding.
type advised struct {
	to      *findingScreen
	advice  *job.Advice
	sheared *fastening.ShearedPlan
	err     error
}

func (a advised) settle(*model) tea.Cmd {
	a.to.failed = ""
	if a.to.advice, a.to.sheared = a.advice, a.sheared; a.err != nil {
		a.to.failed, a.to.advice, a.to.sheared = a.err.Error(), nil, nil
	}
	return nil
}

func (s *findingScreen) title() string {
	if f := s.finding(); f != nil {
		return fmt.Sprintf("Finding %d", f.Order)
	}
	return "Finding"
}
func (s *findingScreen) typing() bool { return false }
func (s *findingScreen) wheel(n int)  { s.v.scroll(n) }

func (s *findingScreen) open() bool {
	f := s.finding()
	return f != nil && (!f.Decided() || s.deciding)
}

func (s *findingScreen) acts() []act {
	k := s.m.keys
	f := s.finding()
	if f == nil {
		return []act{{key: k.Do, word: "Back", main: true, do: s.m.back}}
	}
	main := act{key: k.Do, word: "Choose", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}
	acts := []act{main}
	switch {
	case !s.open() && len(f.Disposition.Steps)+len(f.Disposition.Reopened) > 0:
		acts[0].word = "Show step"
	case !s.open():
		acts[0] = act{key: k.Do, word: "Back", main: true, do: s.m.back}
	}
	if f.Decided() && !s.deciding {
		acts = append(acts, act{key: k.Decide, word: "Redecide", do: func() tea.Cmd { s.deciding, s.v = true, view{}; return nil }})
	}
	if f.What == job.MissingPart {
		acts = append(acts, act{key: k.Bring, word: "Bring", do: func() tea.Cmd { return s.m.lack(f.Step, f.Text) }})
	} else {
		acts = append(acts, act{key: k.Bring, word: "Bring", do: s.m.bring})
	}
	return append(acts, act{key: k.Undo, word: "Undo", do: s.m.undo})
}

func (s *findingScreen) choose(i int) tea.Cmd {
	if i < 0 || i >= len(s.rows) {
		return nil
	}
	s.v.cur, s.v.free = i, false
	return s.rows[i]()
}

func (s *findingScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, len(s.rows))
}

func (s *findingScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	s.rows = s.rows[:0]
	row := func(name string, do func() tea.Cmd, build func(*doc)) {
		s.rows = append(s.rows, do)
		d.item(name, do, build)
	}
	x := s.finding()
	if x == nil {
		d.blank()
		d.text(paint.InkStrong, "This finding was taken back.")
		f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
		return
	}
	d.text(paint.InkBrand, strings.ToUpper(findingWords(x.What).text))
	d.text(paint.InkStrong, x.Text)
	if where := s.m.whereOf(x); where != "" {
		d.text(paint.InkPlain, where)
	}
	d.text(paint.InkQuiet, x.By+", "+s.m.when(x.At))
	for _, name := range sortedNames(x.Data) {
		d.pair(strings.ReplaceAll(name, "_", " "), paint.InkPlain, x.Data[name])
	}
	for _, p := range x.Photos {
		d.pair("photo", paint.InkQuiet, p)
	}
	if x.Disposition != nil {
		s.decided(d, x, row)
	}
	if s.open() {
		s.ways(d, x, row)
		d.heading("Decide")
		for _, w := range decisionWords {
			row(string(w.decision), func() tea.Cmd { return s.decide(x, w.decision, "", "", w.usual) }, func(d *doc) {
				d.text(paint.InkStrong, w.word)
				d.text(paint.InkQuiet, w.about)
			})
		}
		d.blank()
		if other := x.OtherRoad(s.m.work.filled); other != "" {
			d.text(paint.InkStrong, fmt.Sprintf("One road for one hole: decide it here, or start %s from its step. Not both.", other))
		}
		d.text(paint.InkQuiet, "On a boiler the local code and the inspector decide.")
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}

// decisionWords are the decisions with what they mean.
var decisionWords = [...]struct {
	decision           job.Decision
	word, about, usual string
}{
	{job.AcceptIt, "Accept", "as it is, within its limits", "Within its limits"},
	{job.Rework, "Rework", "made right by doing it again", "Done again"},
	{job.Repair, "Repair", "made fit for use, though not as it was", ""},
	{job.Replace, "Replace", "another part in its place", "New part"},
	{job.Concession, "Concession", "left as it is outside its limits, allowed by a named person", ""},
}

// decided shows what was decided and what came of it.
func (s *findingScreen) decided(d *doc, x *job.Finding, row func(string, func() tea.Cmd, func(*doc))) {
	w := s.m.work
	sign, k := d.look.G.Done+" ", paint.InkDone
	if d.heading("Decided"); x.Unsettled {
		d.callout(paint.InkWarning, paint.InkWrong, "DIFFERS", []string{"Two people decided differently. It counts as open. Decide again."})
		sign, k = d.look.G.Warn+" ", paint.InkWrong
	}
	d.indented(sign, "  ", k, decidedText(x.Disposition))
	for _, key := range []string{"thread", "length", "head", "grade"} {
		if v := x.Disposition.Data[key]; v != "" {
			d.pair("  new "+key, paint.InkStrong, v)
		}
	}
	for _, o := range x.Others {
		d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, "decided otherwise by somebody else: "+decidedText(&o))
	}
	for _, group := range []struct {
		name  string
		steps []string
	}{{"New steps", x.Disposition.Steps}, {"Open again", x.Disposition.Reopened}} {
		shown := false
		for _, id := range group.steps {
			i := w.place(id)
			if i < 0 {
				continue
			}
			if !shown {
				d.heading(group.name)
				shown = true
			}
			row(id, func() tea.Cmd { return s.m.stepAt(id) }, func(d *doc) {
				sign, k, word := statusSign(d.look, w.state.Steps[id])
				d.add(paint.Span{Ink: k, Text: sign + " "}, paint.Span{Ink: paint.InkPlain, Text: d.look.Short(fmt.Sprintf("%d %s", w.steps[i].Number, w.steps[i].Title), max(1, d.w-2-paint.TextWidth(word)-2))}, paint.Span{Ink: paint.InkQuiet, Text: "  " + word})
			})
		}
	}
	if other := x.OtherRoad(w.filled); other != "" && len(x.Disposition.Steps) > 0 {
		d.text(paint.InkStrong, fmt.Sprintf("The new steps do it: start no job %s for this hole as well.", other))
	}
	if later := x.Disposition.Later; later > 0 {
		d.heading("No longer needed")
		d.text(paint.InkQuiet, fmt.Sprintf("Finding %d was decided later, about the same place.", later))
		for _, step := range x.Disposition.Idle {
			word := ""
			if len(step.Ticks) > 0 {
				word = ", was done"
			}
			d.indented("- ", "  ", paint.InkQuiet, step.Title+word)
		}
	}
	if len(x.Disposition.Steps)+len(x.Disposition.Reopened)+len(x.Disposition.Idle) == 0 {
		d.text(paint.InkQuiet, "No step came in and none is open again.")
	}
}

// ways are the ways to save a hole, the best first, or to get a broken screw out.
func (s *findingScreen) ways(d *doc, x *job.Finding, row func(string, func() tea.Cmd, func(*doc))) {
	if s.failed != "" {
		d.blank()
		d.text(paint.InkWrong, "No advice: "+s.failed)
	}
	if s.sheared != nil {
		d.heading("Getting it out, the gentlest first")
		for i, step := range s.sheared.Steps {
			text := step.Do
			if step.Drill != "" {
				text += " Drill " + step.Drill + "."
			}
			d.indented(fmt.Sprintf("%d. ", i+1), "   ", paint.InkPlain, text)
			if step.Caution != "" {
				d.callout(paint.InkCaution, paint.InkBrand, "CAUTION", []string{step.Caution})
			}
		}
	}
	a := s.advice
	if a == nil {
		return
	}
	d.heading("Ways to save the hole")
	lacking := func(what string) {
		key, words, known := strings.Cut(what, ": ")
		if !known {
			d.indented(d.look.G.Todo+" ", "  ", paint.InkPlain, what)
			return
		}
		row("figure "+key, func() tea.Cmd { return s.figure(x, key, words) }, func(d *doc) {
			d.indented(d.look.G.Todo+" ", "  ", paint.InkStrong, strings.ToUpper(words[:1])+words[1:])
		})
	}
	if len(a.Missing) > 0 {
		d.text(paint.InkStrong, "To advise on it, measure or say:")
		for _, m := range a.Missing {
			lacking(m)
		}
		return
	}
	left := "none"
	if a.Result.HolePercent > 0 {
		left = fmt.Sprintf("%.0f %%", a.Result.HolePercent)
	}
	d.text(paint.InkPlain, fmt.Sprintf("Hole %s, was %s: %s of the old thread left.", a.Input.Hole, a.Input.Thread, left))
	for _, o := range a.Result.Options {
		row(string(o.Kind)+" "+o.Thread.String(), func() tea.Cmd { return s.take(x, o) }, func(d *doc) { optionText(d, o) })
	}
	if len(a.Unknown) > 0 {
		d.blank()
		d.text(paint.InkQuiet, "Not checked, since it is not known:")
		for _, u := range a.Unknown {
			lacking(u)
		}
	}
}

// figure adds a figure to the finding; the advice follows it.
func (s *findingScreen) figure(x *job.Finding, key, ask string) tea.Cmd {
	q := s.m.inquire("Finding")
	return q.put(strings.ToUpper(ask[:1])+ask[1:], func(e *entry) {
		e.word = "Keep"
		if key == "into" {
			e.offer(lookup.MetalNames())
			return
		}
		e.value, e.units = true, unitsOf("length")
		e.judge = func(text string) verdict {
			if text == "" {
				return verdict{refused: true}
			}
			return mayBeEmpty("", lengthCheck)(text)
		}
		e.field.set(x.Data[key])
	}, func(text string) tea.Cmd {
		return q.save(strings.ReplaceAll(key, "_", " ")+" of the finding", func(j *job.Job) (job.Saved, error) { return j.AddFigure(x.ID, key, text) }, nil)
	})
}

func rescueWord(o fastening.Option) string {
	switch o.Kind {
	case fastening.Chase:
		return "Chase the thread, " + o.Thread.String()
	case fastening.Longer:
		return "A longer screw, " + o.Thread.String()
	case fastening.NextSize:
		return "Up a size to " + o.Thread.String()
	case fastening.Insert:
		return "Wire insert for " + o.Thread.String()
	case fastening.Bush:
		return "Threaded bush for " + o.Thread.String()
	}
	return strings.ReplaceAll(string(o.Kind), "-", " ") + " " + o.Thread.String()
}

func optionText(d *doc, o fastening.Option) {
	d.text(paint.InkStrong, rescueWord(o))
	sign, k := d.look.G.Done+" ", paint.InkDone
	switch o.Verdict {
	case check.Stop:
		sign, k = d.look.G.Held+" ", paint.InkWrong
	case check.Warn:
		sign, k = d.look.G.Warn+" ", paint.InkBrand
	}
	verdict := "can be done"
	if o.Verdict != "" {
		verdict = string(o.Verdict)
	}
	switch {
	case o.AsItIs:
		verdict += fmt.Sprintf("; tap the hole as it is, %.0f %%", o.EngagementPercent)
	case o.Drill.Name != "":
		verdict += fmt.Sprintf("; drill %s, %.0f %%", o.Drill.Name, o.EngagementPercent)
	}
	if o.StripRatio > 0 {
		verdict += fmt.Sprintf("; %.2f of the old strength", o.StripRatio)
	}
	d.indented(sign, "  ", k, verdict)
	for _, q := range o.Consequences {
		if q.Severity != check.Note {
			d.indented("  "+string(q.Severity)+": ", "    ", paint.InkPlain, q.Message)
		}
	}
}

// take turns one of the ways into a decision.
func (s *findingScreen) take(x *job.Finding, o fastening.Option) tea.Cmd {
	switch {
	case o.Verdict == check.Stop:
		s.m.say(paint.InkWrong, "This must not be done; the list says why.")
		return nil
	case o.Kind == fastening.Chase:
		return s.decide(x, job.Rework, "thread", o.Thread.String(), rescueWord(o))
	case o.Kind == fastening.NextSize:
		return s.decide(x, job.Repair, "thread", o.Thread.String(), rescueWord(o))
	case o.Kind == fastening.Longer:
		return s.decide(x, job.Repair, "length", "", rescueWord(o))
	}
	return s.decide(x, job.Repair, "", "", rescueWord(o)+", tapped "+o.Tapped)
}

// decide asks what a decision needs and makes it. key is what of the fastener
// changes, value what it becomes where that is known already.
func (s *findingScreen) decide(x *job.Finding, dec job.Decision, key, value, usual string) tea.Cmd {
	m := s.m
	q := m.inquire("Decide")
	n := job.NewDisposition{Decision: dec}
	about := []string{findingWords(x.What).text + ", " + m.whereOf(x)}
	words := func() tea.Cmd {
		return q.put("What is to be done? It stands in the record.", func(e *entry) {
			e.about, e.word = about, "Decide"
			if dec == job.AcceptIt || dec == job.Concession {
				e.ask = "Why may it stay as it is? It stands in the record."
			}
			e.field.set(usual)
		}, func(text string) tea.Cmd {
			n.Text = text
			return q.save(string(dec)+", finding "+fmt.Sprint(x.Order),
				func(j *job.Job) (job.Saved, error) { return j.Dispose(x.ID, n) },
				func() tea.Cmd { s.deciding, s.v = false, view{}; return nil })
		})
	}
	boiler := func() tea.Cmd {
		if n.Thread == "" {
			return words()
		}
		const yes, no, unsure = "Yes, of the boiler", "No, of a fitting", "Not known"
		return q.put("Is the tapped part one of the boiler itself?", func(e *entry) {
			pickOne(choice{yes, "bush, shell or tubeplate: the inspector is asked first"}, choice{no, "a flange or a body that comes off"}, choice{unsure, "counts as yes"})(e)
			e.about = about
		}, func(text string) tea.Cmd {
			n.Boiler = map[string]string{yes: "yes", no: "no"}[text]
			return words()
		})
	}
	change := func(key string) tea.Cmd {
		set := func(text string) {
			n.Thread, n.Length, n.Head, n.Grade = "", "", "", ""
			switch key {
			case "thread":
				n.Thread = text
			case "length":
				n.Length = text
			case "head":
				n.Head = text
			case "grade":
				n.Grade = text
			}
		}
		if value != "" {
			set(value)
			return boiler()
		}
		return q.put("The new "+key+" of this one fastener", func(e *entry) {
			e.about = about
			switch key {
			case "thread":
				e.thread = true
			case "length":
				e.value, e.units = true, unitsOf("length")
			case "head":
				e.only = true
				for _, h := range []string{"hex", "socket", "countersunk", "cheese"} {
					e.choices = append(e.choices, choice{text: h})
				}
			case "grade":
				for _, g := range fastening.Grades() {
					e.choices = append(e.choices, choice{text: g.String()})
				}
			}
		}, func(text string) tea.Cmd { set(text); return boiler() })
	}
	switch {
	case dec == job.Concession:
		return q.named("Who allows it?", append(about, "A concession is allowed by somebody who does not work on the job."), func(name string) tea.Cmd {
			n.Allowed = name
			return words()
		})
	case key != "":
		return change(key)
	case dec == job.Replace && x.Fastener != "":
		return q.put("What goes into its place?", func(e *entry) {
			oneOf(choice{"The same as before", ""}, choice{"Another length", ""}, choice{"Another grade", ""}, choice{"Another head", ""}, choice{"Another thread", ""})(e)
			e.about = about
		}, func(text string) tea.Cmd {
			n.Thread, n.Length, n.Head, n.Grade = "", "", "", ""
			if what, ok := strings.CutPrefix(text, "Another "); ok {
				return change(what)
			}
			return words()
		})
	}
	return words()
}

func sortedNames(m map[string]string) []string {
	var names []string
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
