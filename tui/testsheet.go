package tui

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/boiler"
	"fettle/checklist/job"
	"fettle/threads/check"
	"fettle/threads/quantity"
	"fettle/tui/paint"
)

// testScreen is the sheet of the pressure test with water: what the code says,
// readings as they come, what they say, and the result.
type testScreen struct {
	m *model
	v view
}

func (m *model) testSheet() tea.Cmd {
	m.push(&testScreen{m: m, v: view{free: true, bare: true}})
	return nil
}

// tested says whether the job has a pressure test, or lines of its sheet.
func (w *work) tested() bool {
	applies := func(p checklist.FilledPart) bool { return p.Applies }
	return slices.ContainsFunc(w.filled.Tests, applies) || len(w.state.Test.Runs) > 0
}

func (s *testScreen) sheet() *job.TestSheet { return &s.m.work.state.Test }

// under is the test under way; nil where none is.
func (s *testScreen) under() *job.TestRun {
	if run := s.sheet().Last(); run != nil && run.Result == "" {
		return run
	}
	return nil
}

func (s *testScreen) title() string { return "Pressure test with water" }
func (s *testScreen) typing() bool  { return false }
func (s *testScreen) wheel(n int)   { s.v.scroll(n) }
func (s *testScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, 0)
}

func (s *testScreen) acts() []act {
	k, t := s.m.keys, s.sheet()
	last, open := t.Last(), s.under()
	begin := act{key: k.Begin, word: "Begin", do: s.begin}
	reading := act{key: k.Reading, word: "Reading", do: s.reading}
	sign := act{key: k.Sign, word: "Sign", do: s.sign}
	lines := act{key: k.Lines, word: "Sheet", do: func() tea.Cmd { s.m.push(&sheetLines{of: s}); return nil }}
	result := act{key: k.Result, word: "Result", do: s.result}
	search := act{key: k.Search, word: "Search", do: func() tea.Cmd { s.m.push(&suspectScreen{of: s}); return nil }}
	const none = "No test is under way. Begin one first."
	if open == nil {
		reading.off, result.off = none, none
	} else {
		begin.off = "A test is under way; it has to have its result first."
	}
	if last == nil {
		search.off = none
	}
	if last == nil || last.Result == "" {
		sign.off = "A test is signed when it has its result."
	}
	large := func(a *act) act {
		a.bare = true // the large button does the same
		b := *a
		b.key, b.main, b.bare = k.Do, true, false
		return b
	}
	var main act
	switch {
	case len(t.Missing) > 0:
		main = act{key: k.Do, word: "Fill in", main: true, do: func() tea.Cmd { return s.line(t.Missing[0], true) }}
	case open != nil:
		main = large(&reading)
	case last != nil && last.Passed:
		main = large(&sign)
	default:
		main = large(&begin)
	}
	return []act{main, lines, reading, search, result, begin, sign,
		{key: k.Findings, word: "Findings", do: s.m.findings},
		{key: k.Undo, word: "Undo", do: s.m.undo}}
}

// testWarnings stand over every test: common practice, and said each time.
func testWarnings() []string {
	return []string{
		"Cold water only, all air out: air under pressure bursts, water only leaks.",
		"Stand clear of plugs, blanks, glasses and the pump's hose. Tighten nothing under pressure.",
	}
}

func (s *testScreen) draw(f *frame) {
	t := s.sheet()
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	short := f.Body.H < 16 && len(t.Runs) > 0
	if short { // the gauge stays in sight; all the words follow it
		d.callout(paint.InkWarning, paint.InkWrong, "WARNING", []string{"Cold water only. Stand clear."})
	} else {
		d.callout(paint.InkWarning, paint.InkWrong, "WARNING", testWarnings())
	}
	for i := len(t.Runs) - 1; i >= 0; i-- {
		run := &t.Runs[i]
		tall := 9
		switch {
		case f.Body.H > 30:
			tall = 14
		case short:
			tall = 7
		}
		if i < len(t.Runs)-1 {
			tall = 0 // tests before the last are told in words
		}
		s.run(d, i+1, run, tall)
	}
	if short {
		d.blank()
		d.callout(paint.InkWarning, paint.InkWrong, "WARNING", testWarnings())
	}
	d.heading("The sheet")
	for _, v := range t.Values {
		d.pair(v.Label, paint.InkStrong, v.Shown())
		if v.Differ {
			d.indented("  "+f.Look.G.Warn+" ", "    ", paint.InkWrong, "two people wrote different things; the latest counts")
		}
	}
	if t.Target > 0 {
		d.pair("Target, never above", paint.InkStrong, t.In.Show(t.Target))
		d.pair("Alarm, not allowed", paint.InkWrong, t.In.Show(t.Alarm))
		d.text(paint.InkQuiet, "The alarm is "+boiler.AlarmMeans+".")
	}
	if len(t.Missing) > 0 {
		var labels []string
		for _, name := range t.Missing {
			labels = append(labels, lineLabel(name))
		}
		d.indented(f.Look.G.Todo+" ", "  ", paint.InkWrong, "Still to type in from the code: "+strings.Join(labels, "; "))
	}
	for _, c := range t.Checks {
		d.finding(string(c.Severity), c.Message, c.Source, false)
	}
	d.blank()
	d.text(paint.InkQuiet, "The local boiler code and the boiler inspector decide; this sheet is no certificate.")
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}

// run draws one test.
func (s *testScreen) run(d *doc, number int, run *job.TestRun, tall int) {
	t := s.sheet()
	d.heading(fmt.Sprintf("Test %d, begun %s by %s", number, s.m.when(run.At), run.By))
	if n := len(run.Points); n > 0 {
		p := run.Points[n-1]
		state, _ := p.Gauges()
		state += " at " + s.m.clockTime(p.At)
		if t.Target > 0 {
			state += ", to be " + t.In.Show(t.Target)
		}
		d.text(paint.InkStrong, state)
		if tall > 0 {
			s.plots(d, run, tall)
		}
	} else {
		d.text(paint.InkQuiet, "No reading yet.")
	}
	for _, line := range run.Reading.Lines() {
		k := paint.InkPlain
		if strings.HasPrefix(line, "stop: ") || strings.HasPrefix(line, "warn: ") {
			k = paint.InkWrong
		}
		d.text(k, line)
	}
	for _, x := range run.Trials {
		sign, k, word := d.look.G.Skipped, paint.InkQuiet, "ruled out"
		if x.Shows {
			sign, k, word = d.look.G.Warn, paint.InkWrong, "found"
		}
		d.indented(sign+" ", "  ", k, fmt.Sprintf("%s %s: %s, %s (%s)", x.Fault.ID, x.Fault.Path, word, x.Text, x.By))
	}
	switch {
	case run.Result == "":
		for _, x := range run.Stops {
			d.indented(d.look.G.Todo+" ", "  ", paint.InkQuiet, "not yet: "+x)
		}
	case run.Result == "pass" && !run.Passed:
		d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, "the pass by "+run.Judged.By+" does not count: "+strings.Join(run.Stops, " "))
	case run.Passed:
		d.indented(d.look.G.Done+" ", "  ", paint.InkDone, "passed, by "+run.Judged.By+" "+run.Judged.Text)
	default:
		d.indented(d.look.G.Held+" ", "  ", paint.InkWrong, "failed, by "+run.Judged.By+": "+run.Judged.Text)
	}
	for _, x := range run.Signed {
		d.indented(d.look.G.Done+" ", "  ", paint.InkPlain, "signed as "+x.Text+": "+x.By+", "+s.m.when(x.At))
	}
	if tall > 0 && len(run.Points) > 0 {
		d.heading("Readings")
		for _, p := range run.Points {
			first, second := p.Gauges()
			words := []string{first}
			if p.WaterKnown {
				words = append(words, "water "+p.Water.String())
			}
			if p.Pumped {
				words = append(words, fmt.Sprintf("%g strokes", p.Strokes))
			}
			if p.LetDown {
				words = append(words, "let down")
			}
			if second != "" {
				words = append(words, "second gauge "+second)
			}
			d.indented(s.m.clockTime(p.At)+"  ", "       ", paint.InkPlain, strings.Join(words, ", "))
		}
	}
}

// plots draws the whole test, and the hold once more by itself where something
// fell: a small fall does not show against the whole height.
func (s *testScreen) plots(d *doc, run *job.TestRun, tall int) {
	t := s.sheet()
	var all, hold []paint.Plotted
	for _, p := range run.Points {
		x := paint.Plotted{At: s.m.wall().In(p.At), Shown: t.In.Of(p.Pressure)}
		all = append(all, x)
		if !p.At.Before(run.Reading.HoldFrom) {
			hold = append(hold, x)
		}
	}
	w := min(d.w, 72)
	high := max(t.In.Of(t.Alarm), t.In.Of(run.Reading.Highest))
	if rows := float64(tall - paint.PlotFoot); rows > 2 { // what lies above the test pressure has a row above it
		high = max(high, t.In.Of(t.Target)*(rows-1)/(rows-1.6))
	}
	d.lines = append(d.lines, d.look.Plot(w, tall, all, 0, high, t.Target, t.In)...)
	low := high
	for _, p := range hold {
		low = min(low, p.Shown)
	}
	highest := t.In.Of(run.Reading.Highest)
	if fall := highest - low; len(hold) > 2 && fall > 0 && fall < high/4 {
		d.text(paint.InkQuiet, "The hold by itself:")
		lo, hi := math.Floor(low*10)/10, math.Ceil(highest*10)/10
		if hi > lo {
			d.lines = append(d.lines, d.look.Plot(w, tall, hold, lo, hi, t.Target, t.In)...)
		}
	}
}

// clockTime is the hour and minute.
func (m *model) clockTime(t time.Time) string {
	return m.wall().Show(t, job.Minute)
}

func lineLabel(name string) string {
	for _, l := range job.SheetLines() {
		if l.Name == name {
			return l.Label
		}
	}
	return name
}

// line asks for one line of the sheet; with on, for the next missing one after it.
func (s *testScreen) line(name string, on bool) tea.Cmd {
	i := slices.IndexFunc(job.SheetLines(), func(l job.SheetLine) bool { return l.Name == name })
	if i < 0 {
		return nil
	}
	l := job.SheetLines()[i]
	q := s.m.inquire("Test sheet")
	return q.put(l.Label, func(e *entry) {
		e.word = "Keep"
		e.judge = func(text string) verdict {
			if text == "" {
				return verdict{refused: true}
			}
			if err := l.Check(text); err != nil {
				return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
			}
			return verdict{}
		}
		switch name {
		case "preliminary", "safety_valves":
			pickOne(choice{text: "yes"}, choice{text: "no"})(e)
		case "working_pressure", "target", "drop_allowed", "gauge_scale", "gauge2_scale":
			e.value, e.units = true, unitsOf("pressure")
		case "hold":
			e.value, e.units = true, unitsOf("time")
		case "multiple", "gauge_class", "gauge2_class":
			e.value = true
		case "volume":
			e.value, e.units = true, unitsOf("volume")
		case "diameter", "wall", "pump_bore", "pump_stroke":
			e.value, e.units = true, unitsOf("length")
		case "ambient":
			e.value, e.units = true, unitsOf("temperature")
		}
		if slices.Contains(s.sheet().Missing, name) {
			e.about = append(e.about, "Your local code says it; nothing stands here by itself.")
		}
		e.field.set(s.sheet().Value(name))
	}, func(text string) tea.Cmd {
		return q.save(l.Label, func(j *job.Job) (job.Saved, error) { return j.Sheet(name, text) }, func() tea.Cmd {
			if rest := s.sheet().Missing; on && len(rest) > 0 {
				return s.line(rest[0], true)
			}
			return nil
		})
	})
}

func (s *testScreen) begin() tea.Cmd {
	q := s.m.inquire("Begin a test")
	return q.put("Why is it tested?", func(e *entry) {
		e.word = "Begin"
		e.about = testWarnings()
		e.choices = []choice{{text: "After the work"}, {text: "Again, after a repair"}, {text: "Periodic test"}}
	}, func(why string) tea.Cmd {
		return q.save("the test has begun", func(j *job.Job) (job.Saved, error) { return j.BeginTest(why) }, nil)
	})
}

// reading takes one reading of the gauge: pressure, strokes, warmth of the water.
func (s *testScreen) reading() tea.Cmd {
	q := s.m.inquire("Reading of the test")
	t := s.sheet()
	var n job.NewPoint
	save := func() tea.Cmd {
		var judged *check.Result
		return q.save("the reading", func(j *job.Job) (saved job.Saved, err error) {
			saved, judged, err = j.Point(n)
			return saved, err
		}, func() tea.Cmd {
			s.v = view{free: true, bare: true}
			if judged != nil {
				s.m.say(paint.InkWrong, strings.ToUpper(string(judged.Severity))+": "+judged.Message)
			}
			return nil
		})
	}
	second := func() tea.Cmd {
		if t.Value("gauge2") == "" && t.Value("gauge2_scale") == "" {
			return save()
		}
		return s.gauge(q, "What does the second gauge show?", func(e *entry) {
			e.word = "Keep"
			e.judge = mayBeEmpty("Empty: not read.", gaugeCheck)
		}, func(text string) tea.Cmd { n.Second = text; return save() })
	}
	water := func() tea.Cmd {
		return q.put("How warm is the water?", func(e *entry) {
			e.value, e.units, e.word = true, unitsOf("temperature"), "Keep"
			e.about = []string{"A figure alone is in °C. Warmth moves the gauge as a leak does."}
			e.judge = mayBeEmpty("Empty: not measured.", job.CheckWater)
		}, func(text string) tea.Cmd { n.Water = text; return second() })
	}
	strokes := func() tea.Cmd {
		return q.put("Strokes of the pump, all told", func(e *entry) {
			e.value = true
			e.about = []string{"Counted from the moment the boiler was full."}
			if run := s.under(); run != nil {
				for _, p := range run.Points {
					if p.Pumped {
						e.field.set(fmt.Sprintf("%g", p.Strokes))
					}
				}
			}
			e.judge = mayBeEmpty("Empty: not counted.", job.CheckStrokes)
		}, func(text string) tea.Cmd { n.Strokes = text; return water() })
	}
	return s.gauge(q, "What does the gauge show?", func(e *entry) {
		if t.Target > 0 {
			e.about = []string{"Pump to " + t.In.Show(t.Target) + " and never above. Alarm, not allowed: " + t.In.Show(t.Alarm) + "."}
		}
		e.about = append(e.about, "Say the unit: bar or psi. The time is taken when it is kept.")
		e.judge = func(text string) verdict {
			if text == "" {
				return verdict{refused: true}
			}
			return mayBeEmpty("", gaugeCheck)(text)
		}
	}, func(text string) tea.Cmd {
		n.Pressure, n.LetDown = text, false
		before, ask := t.LargeFall(text)
		if !ask {
			return strokes()
		}
		const fell, let = "It fell by itself", "Let down on purpose"
		return q.put(fmt.Sprintf("From %s to %s: was it let down?", before, text), func(e *entry) {
			pickOne(choice{fell, "counts as lost"}, choice{let, "no loss; a hold that was not full has ended"})(e)
		}, func(answer string) tea.Cmd {
			n.LetDown = answer == let
			return strokes()
		})
	})
}

// gaugeCheck takes a figure alone as well: its unit is asked for next.
func gaugeCheck(text string) error {
	if figureAlone(text) {
		text += " bar"
	}
	return job.CheckGauge(text)
}

func figureAlone(text string) bool {
	_, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	return err == nil
}

// gauge asks what a gauge shows. The unit of a figure alone is a question of its
// own: the one that was read in before stands first there and takes one key, but
// nothing is taken for granted.
func (s *testScreen) gauge(q *inquiry, ask string, set func(*entry), then func(string) tea.Cmd) tea.Cmd {
	units := []string{"bar", "psi"}
	if s.sheet().In == quantity.PSIScale {
		slices.Reverse(units)
	}
	return q.put(ask, func(e *entry) {
		e.value, e.units = true, units
		set(e)
	}, func(text string) tea.Cmd {
		if text == "" || !figureAlone(text) {
			return then(text)
		}
		return q.put(text+" "+units[0]+", or "+units[1]+"?", func(e *entry) {
			e.about = []string{"90 psi and 90 bar differ fourteen-fold."}
			e.only = true
			e.unset = !slices.ContainsFunc(s.sheet().Runs, func(r job.TestRun) bool { return len(r.Points) > 0 })
			for _, u := range units {
				e.choices = append(e.choices, choice{text: text + " " + u})
			}
		}, then)
	})
}

// result closes the test.
func (s *testScreen) result() tea.Cmd {
	q := s.m.inquire("Result")
	if s.under() == nil {
		return nil
	}
	const pass, fail = "Pass", "Fail"
	return q.put("What is the result?", func(e *entry) {
		pickOne(choice{fail, "with what was seen"}, choice{pass, "what stands against it is shown first"})(e)
		e.about = []string{"The inspector judges a test that certifies."}
	}, func(text string) tea.Cmd {
		judge := func() tea.Cmd { return s.judge(q, text, pass) }
		if text == pass {
			return s.against(judge)
		}
		return judge()
	})
}

// against looks for all that stands against a pass, away from Update, and shows it;
// then follows where there is nothing.
func (s *testScreen) against(then func() tea.Cmd) tea.Cmd {
	j, from := s.m.work.job, s.m.top()
	return s.m.keeper.later(func() tea.Msg { return againstPass{from, j.AgainstPass(), then} })
}

// againstPass is what stands against a pass.
type againstPass struct {
	from screen // the question that was shown when it was looked for
	list []string
	then func() tea.Cmd
}

func (a againstPass) settle(m *model) tea.Cmd {
	if m.top() != a.from { // gone back meanwhile
		return nil
	}
	if len(a.list) == 0 {
		return a.then()
	}
	lines := []string{"This test cannot pass now. It can fail at any time."}
	for _, text := range a.list {
		lines = append(lines, m.look.G.Held+" "+sentence(strings.TrimSuffix(text, ".")))
	}
	m.push(newPage(m, "What stands against a pass", lines...))
	return nil
}

// judge asks who judges the test, then what was seen.
func (s *testScreen) judge(q *inquiry, text, pass string) tea.Cmd {
	plan := s.sheet().Plan
	return q.put("Who judges the test?", func(e *entry) {
		if text == pass && !plan.Preliminary {
			pickOne(choice{plan.Inspector, "the inspector on the sheet"})(e)
			e.about = []string{"Only the inspector who was typed in passes a test that certifies."}
			return
		}
		names := append([]string{plan.Inspector}, s.m.names()...)
		for i, n := range names {
			if n != "" && !slices.Contains(names[:i], n) {
				e.choices = append(e.choices, choice{text: n})
			}
		}
		e.named, e.unset = true, len(e.choices) > 0
	}, func(by string) tea.Cmd {
		seen := func(by string) tea.Cmd { return s.seen(q, text, by) }
		if plan.Preliminary || plan.Inspector == "" || strings.EqualFold(by, plan.Inspector) {
			return seen(by)
		}
		return q.put("The inspector on the sheet is "+plan.Inspector+". Judged by whom?", func(e *entry) {
			pickOne(choice{plan.Inspector, "the inspector"}, choice{by, "not the inspector, and the record says so"})(e)
		}, seen)
	})
}

// seen is the last question of a result.
func (s *testScreen) seen(q *inquiry, word, by string) tea.Cmd {
	result := strings.ToLower(word)
	return q.put("What was seen?", func(e *entry) {
		e.word = word
		if result == "pass" {
			e.judge = mayBeEmpty("Empty: nothing to add.", nil)
		}
	}, func(words string) tea.Cmd {
		return q.save("the result: "+result, func(j *job.Job) (job.Saved, error) { return j.Result(result, by, words) }, nil)
	})
}

// sign puts a name on the last test.
func (s *testScreen) sign() tea.Cmd {
	q := s.m.inquire("Sign")
	roles := []string{"inspector", "witness", "operator", "owner"}
	return q.put("Signed as what?", func(e *entry) {
		e.only = true
		for _, r := range roles {
			e.choices = append(e.choices, choice{r, s.sheet().Value(r)})
		}
	}, func(role string) tea.Cmd {
		return q.put("Name of the "+role, func(e *entry) {
			e.word = "Sign"
			if name := s.sheet().Value(role); name != "" {
				e.choices, e.unset = []choice{{text: name}}, true
			}
		}, func(name string) tea.Cmd {
			return q.save("signed as "+role, func(j *job.Job) (job.Saved, error) { return j.Sign(role, name) }, nil)
		})
	})
}

// sheetLines lists the lines of the sheet to be filled in.
type sheetLines struct {
	of *testScreen
	v  view
}

func (s *sheetLines) title() string { return "Lines of the test sheet" }
func (s *sheetLines) typing() bool  { return false }
func (s *sheetLines) wheel(n int)   { s.v.scroll(n) }
func (s *sheetLines) acts() []act {
	k := s.of.m.keys
	return []act{
		{key: k.Do, word: "Change", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }},
		{key: k.Undo, word: "Undo", do: s.of.m.undo},
	}
}
func (s *sheetLines) choose(i int) tea.Cmd {
	s.v.cur, s.v.free = i, false
	return s.of.line(job.SheetLines()[i].Name, false)
}
func (s *sheetLines) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, len(job.SheetLines()))
}
func (s *sheetLines) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	t := s.of.sheet()
	for i, l := range job.SheetLines() {
		d.item(l.Name, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			switch v := t.Value(l.Name); {
			case v != "":
				d.pair(l.Label, paint.InkStrong, job.SheetValue{Name: l.Name, Value: v}.Shown())
			case slices.Contains(t.Missing, l.Name):
				d.pair(l.Label, paint.InkWrong, "needed")
			default:
				d.pair(l.Label, paint.InkQuiet, "-")
			}
		})
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}
