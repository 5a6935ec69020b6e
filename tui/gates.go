package tui

import (
	"fmt"
	"slices"
	"strconv"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// gateScreen shows what keeps one step shut and who may let it pass, and the
// counts that shut it: things inside an opening, and blanks.
type gateScreen struct {
	of   *stepScreen
	step string
	rows []gateRow
	v    view
}

// gateRow is a line that can be chosen: what the large button does there, and what
// lets it pass.
type gateRow struct {
	remedy act
	pass   act // its off says why nobody passes it
}

func (s *stepScreen) gates(step *checklist.FilledStep) tea.Cmd {
	s.m.push(&gateScreen{of: s, step: step.ID})
	return nil
}

func (s *gateScreen) now() (*checklist.FilledStep, job.StepState) {
	w := s.of.work()
	if i := w.place(s.step); i >= 0 {
		return w.steps[i], w.state.Steps[s.step]
	}
	return nil, job.StepState{}
}

func (s *gateScreen) title() string {
	if step, _ := s.now(); step != nil {
		return fmt.Sprintf("Gates of step %d", step.Number)
	}
	return "Gates"
}
func (s *gateScreen) typing() bool { return false }
func (s *gateScreen) wheel(n int)  { s.v.scroll(n) }

func (s *gateScreen) acts() []act {
	k, m := s.of.m.keys, s.of.m
	main := act{word: "Back", do: m.back}
	pass := act{off: "There is no gate here to let pass."}
	if s.v.cur < len(s.rows) {
		main, pass = s.rows[s.v.cur].remedy, s.rows[s.v.cur].pass
	}
	main.key, main.main = k.Do, true
	pass.key, pass.word = k.Let, passWord
	return []act{
		main,
		{key: k.Add, word: "Count", do: func() tea.Cmd { return m.countIn("") }},
		{key: k.Blank, word: "Blank", do: func() tea.Cmd { return m.fitBlank() }},
		{key: k.Shop, word: "Shop", do: m.shopTemperature},
		{key: k.Findings, word: "Findings", do: m.findings},
		{key: k.Bring, word: "Bring", do: m.bring},
		{key: k.Undo, word: "Undo", do: m.undo},
		pass,
	}
}

// passWord is on the button that lets a gate pass; it stands last.
const passWord = "Let it pass"

func (s *gateScreen) choose(i int) tea.Cmd {
	if i < 0 || i >= len(s.rows) {
		return nil
	}
	s.v.cur, s.v.free = i, false
	return s.of.m.run(s.rows[i].remedy)
}

func (s *gateScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, len(s.rows))
}

// gateWords are what a gate is called on the screen.
func gateWords(n job.GateName) string {
	return map[job.GateName]string{
		job.GateNeeds: "Steps before", job.GateWait: "Wait", job.GateCure: "Cure", job.GateHold: "Hold point", job.GateWitness: "Witness point",
		job.GateFindings: "Open finding", job.GateShort: "Missing part", job.GateTally: "Things inside", job.GateBlanks: "Blank fitted",
		job.GateRule: "Stop of a rule", job.GateTest: "Pressure test", job.GateDate: "Date of a container", job.GateThread: "Probable thread",
		job.GateRounds: "Passes below the torque", job.GateCalled: "Called procedure", job.GateAsk: "Outside, and asked about",
		job.GateApart: "Two people differ", job.GateWords: "Instruction not whole", job.GateDanger: "Standing danger",
	}[n]
}

func (s *gateScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	s.rows = s.rows[:0]
	row := func(name string, r gateRow, build func(*doc)) {
		i := len(s.rows)
		s.rows = append(s.rows, r)
		d.item(name, func() tea.Cmd { return s.choose(i) }, build)
	}
	counted := func(word string, do func() tea.Cmd) gateRow {
		return gateRow{act{word: word, do: do}, act{off: "There is no gate here to let pass."}}
	}
	step, st := s.now()
	if step == nil {
		d.text(paint.InkStrong, "This step is not in the job any more.")
		f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
		return
	}
	d.text(paint.InkStrong, step.Title)
	if len(st.Gates) == 0 {
		d.text(paint.InkQuiet, "No gate stands before this step.")
	}
	for _, g := range st.Gates {
		row("gate "+string(g.Name), s.row(step, st, g), func(d *doc) {
			sign, k := d.look.G.Held+" ", paint.InkWrong
			switch {
			case len(g.Passed) > 0:
				sign, k = d.look.G.Done+" ", paint.InkDone
			case g.Soft:
				sign, k = d.look.G.Todo+" ", paint.InkBrand
			}
			d.indented(sign, "  ", k, gateWords(g.Name))
			d.indented("  ", "  ", paint.InkPlain, g.Text)
			for _, p := range g.Passed {
				d.indented("  ", "  ", paint.InkQuiet, "passed by "+p.By+": "+p.Text)
			}
			if len(g.Passed) == 0 {
				d.indented("  ", "  ", paint.InkQuiet, waysOn(g))
			}
		})
	}
	for _, w := range st.Witnesses {
		d.indented(d.look.G.Done+" ", "  ", paint.InkDone, "witnessed by "+w.By+", "+s.of.m.when(w.At))
	}
	if tallies := s.of.work().state.Tallies; len(tallies) > 0 {
		d.heading("Inside the openings")
		for _, t := range tallies {
			row("tally "+t.Opening, counted("Count it", func() tea.Cmd { return s.of.m.countIn(t.Opening) }), func(d *doc) {
				if t.Inside == 0 {
					d.indented(d.look.G.Done+" ", "  ", paint.InkDone, t.Opening+": balanced, nothing inside")
				} else {
					d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, t.String())
				}
			})
		}
	}
	if blanks := s.of.work().state.Blanks; len(blanks) > 0 {
		d.heading("Blanks")
		for _, b := range blanks {
			row("blank "+b.Tag, counted("Change", func() tea.Cmd { return s.of.m.changeBlank(b) }), func(d *doc) {
				switch {
				case b.Stays:
					d.indented(d.look.G.Done+" ", "  ", paint.InkPlain, b.Tag+" at "+b.Where+": stays on purpose ("+b.By+")")
				case b.Fitted:
					d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, b.Tag+" at "+b.Where+": FITTED ("+b.By+")")
				default:
					d.indented(d.look.G.Done+" ", "  ", paint.InkDone, b.Tag+" at "+b.Where+": off ("+b.By+")")
				}
			})
		}
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}

// waysOn says what opens a gate.
func waysOn(g job.Gate) string {
	switch {
	case g.Name == job.GateHold:
		return "Released by name; nobody passes it."
	case g.Name == job.GateTest:
		return "The test sheet opens it; nobody passes it."
	case g.Name == job.GateApart:
		return "Settle it: say which counts, or measure again. Nobody passes it."
	case g.Name == job.GateDanger:
		return "It is decided, and the inspector releases that. Nobody passes it."
	case g.Safety && g.Name == job.GateCalled:
		return "It is finished first, or called off."
	case g.Safety:
		return "This is a stop: no name and no reason passes it."
	case g.Name == job.GateWitness:
		return "Holds nobody up: record who was there, or was told."
	case g.Name == job.GateAsk:
		return "Read it again. As the last resort somebody answers for it, by name."
	}
	return "May be passed with a name and a reason, as the last resort."
}

// row is what can be done about a gate.
func (s *gateScreen) row(step *checklist.FilledStep, st job.StepState, g job.Gate) gateRow {
	r := gateRow{s.of.remedy(step, st, g), act{do: func() tea.Cmd { return s.pass(step, g) }}}
	switch {
	case len(g.Passed) > 0:
		r.pass.off = "It is passed already."
	case g.Safety, g.Soft, g.Name == job.GateHold, g.Name == job.GateTest:
		r.pass.off = waysOn(g)
	}
	return r
}

// pass lets a gate pass, by name and with a reason.
func (s *gateScreen) pass(step *checklist.FilledStep, g job.Gate) tea.Cmd {
	m := s.of.m
	q := m.inquire("Let it pass")
	about := []string{g.Text}
	return q.put("Who lets this pass?", func(e *entry) {
		e.about = append(about, "The name stands in the record.")
		for _, name := range append(m.names(), m.person) {
			e.choices = append(e.choices, choice{text: name})
		}
		e.unset = true
	}, func(by string) tea.Cmd {
		return q.put("Why may it pass?", func(e *entry) { e.about, e.word = about, "Let it pass" }, func(why string) tea.Cmd {
			return q.save("the gate is passed",
				func(j *job.Job) (job.Saved, error) { return j.Pass(step.ID, g.Name, by, why) }, nil)
		})
	})
}

// witness records that whoever may watch a step was there, or was told.
func (m *model) witness(step *checklist.FilledStep) tea.Cmd {
	q := m.inquire("Witness")
	const there, told = "Was there", "Was told, and let the work go on"
	return q.put("The "+step.Witness+": there, or told?", func(e *entry) {
		pickOne(choice{text: there}, choice{text: told})(e)
		e.about = []string{step.Title}
	}, func(how string) tea.Cmd {
		return q.named("What is the name of the "+step.Witness+"?", []string{step.Title}, func(name string) tea.Cmd {
			return q.save("the witness", func(j *job.Job) (job.Saved, error) { return j.WitnessStep(step.ID, name, how == told) }, nil)
		})
	})
}

// countIn keeps the tally of what goes into an opening and comes out again.
func (m *model) countIn(opening string) tea.Cmd {
	q := m.inquire("Count")
	const in, out = "Went in", "Came out"
	what := func() tea.Cmd {
		return q.put("In or out?", func(e *entry) {
			pickOne(choice{text: in}, choice{text: out})(e)
			e.about = []string{opening}
		}, func(way string) tea.Cmd {
			return q.put("What "+map[string]string{in: "went in", out: "came out"}[way]+"?", func(e *entry) {
				e.about = []string{"One word is best: rag, ball, spanner."}
				for _, t := range m.work.state.Tallies {
					for _, thing := range sortedCounts(t.Things) {
						if t.Opening == opening && t.Things[thing] != 0 {
							e.choices = append(e.choices, choice{thing, fmt.Sprintf("%d inside", t.Things[thing])})
						}
					}
				}
			}, func(thing string) tea.Cmd {
				return q.put("How many?", func(e *entry) {
					e.value, e.word = true, "Keep"
					e.field.set("1")
					e.judge = func(text string) verdict {
						if n, err := strconv.Atoi(text); err != nil || n < 1 || n > 1000 {
							return verdict{refused: true, ink: paint.InkWrong, text: "A whole number from 1 to 1000."}
						}
						return verdict{}
					}
				}, func(text string) tea.Cmd {
					n, _ := strconv.Atoi(text)
					if way == out {
						n = -n
					}
					return q.save("the count of "+opening,
						func(j *job.Job) (job.Saved, error) { return j.CountIn(opening, thing, n) }, nil)
				})
			})
		})
	}
	if opening != "" {
		return what()
	}
	return q.put("Which opening?", func(e *entry) {
		e.about = []string{"Everything that goes in is counted, and has to come out before it is closed."}
		var names []string
		for _, t := range m.work.state.Tallies {
			names = append(names, t.Opening)
		}
		for _, step := range m.work.steps {
			if step.Closes != "" && !slices.Contains(names, step.Closes) {
				names = append(names, step.Closes)
			}
		}
		for _, n := range names {
			e.choices = append(e.choices, choice{text: n})
		}
	}, func(text string) tea.Cmd { opening = text; return what() })
}

// fitBlank records a blank that is put on.
func (m *model) fitBlank() tea.Cmd {
	q := m.inquire("Blank")
	return q.put("The number on its tag", func(e *entry) {
		e.about = []string{"Every blank has a numbered tag and is taken off again before the job is closed."}
	}, func(tag string) tea.Cmd {
		return q.put("Where is it?", func(e *entry) { e.word = "Keep" }, func(where string) tea.Cmd {
			return q.save("blank "+tag+" is on", func(j *job.Job) (job.Saved, error) { return j.FitBlank(tag, "on", where) }, nil)
		})
	})
}

// changeBlank records that a blank came off, stays, or is on again.
func (m *model) changeBlank(b job.Blank) tea.Cmd {
	q := m.inquire("Blank")
	words := []choice{{"It is on again", ""}}
	if b.Fitted {
		words = []choice{{"It is off", ""}, {"It stays, on purpose", "and the record says so"}}
	}
	return q.put("Blank "+b.Tag+" at "+b.Where, pickOne(words...), func(text string) tea.Cmd {
		what := map[string]string{"It is off": "off", "It stays, on purpose": "stays", "It is on again": "on"}[text]
		return q.save("blank "+b.Tag+" "+what, func(j *job.Job) (job.Saved, error) { return j.FitBlank(b.Tag, what, b.Where) }, nil)
	})
}

// shopTemperature records how warm the shop is; cures are reckoned with it.
func (m *model) shopTemperature() tea.Cmd {
	q := m.inquire("Shop")
	return q.put("How warm is the shop?", func(e *entry) {
		e.value, e.units, e.word = true, unitsOf("temperature"), "Keep"
		e.about = []string{"A figure alone is in °C. The cure is reckoned with it."}
	}, func(text string) tea.Cmd {
		return q.save("the shop's temperature", func(j *job.Job) (job.Saved, error) { return j.Shop(text) }, nil)
	})
}

func sortedCounts(m map[string]int) []string {
	var names []string
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
