package tui

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/tui/paint"
)

// findingWords are the kinds of finding as they are offered, each with what it means.
func findingWords(k job.FindingKind) choice {
	switch k {
	case job.DamagedHole:
		return choice{"Damaged hole", "thread pulled out, crossed, worn"}
	case job.Sheared:
		return choice{"Sheared fastener", "a screw or stud broken off"}
	case job.WrongPart:
		return choice{"Wrong part", "not what belongs there"}
	case job.WornPart:
		return choice{"Worn part", "past its limits"}
	case job.NoFit:
		return choice{"Does not fit", "parts will not go together"}
	case job.Leaking:
		return choice{"Leak", "seen, heard or measured"}
	case job.MissingPart:
		return choice{"Missing part", "not there when it is wanted"}
	}
	return choice{"Something else", "not as it should be"}
}

// oftenFound are words that are often right for a kind; others are typed.
func oftenFound(k job.FindingKind) []string {
	switch k {
	case job.DamagedHole:
		return []string{"Thread pulled out", "Cross-threaded", "Thread worn, screw rocks"}
	case job.Sheared:
		return []string{"Broken off at the face", "Broken off below the face", "Broken off, some stands out"}
	case job.WrongPart:
		return []string{"Wrong thread", "Wrong length", "Wrong material"}
	case job.WornPart:
		return []string{"Scored", "Worn past its limit", "Corroded"}
	case job.NoFit:
		return []string{"Too tight", "Too loose", "Holes do not line up"}
	case job.Leaking:
		return []string{"Weeps at the joint", "Drips", "Passes when shut"}
	case job.MissingPart:
		return []string{"Was not there when taken apart", "Lost"}
	}
	return nil
}

// find takes a finding in at a step: what, where, how large, in words.
func (s *stepScreen) find(step *checklist.FilledStep) tea.Cmd {
	m := s.m
	n := job.NewFinding{Step: step.ID}
	q := m.inquire("Finding")
	kinds := job.FindingKinds()
	more := &evidence{m: m, q: q, n: &n, said: func() string { return s.wherefound(n) }}
	words := func() tea.Cmd {
		return q.put("What was found? In your words.", func(e *entry) {
			e.word = "Record it"
			more.offer(e)
			for _, w := range oftenFound(n.What) {
				e.choices = append(e.choices, choice{text: w})
			}
		}, func(text string) tea.Cmd {
			n.Text = text
			made := n // what is saved does not change while it is
			made.Photos, made.Readings = slices.Clone(n.Photos), maps.Clone(n.Readings)
			var id string
			return q.save("the finding",
				func(j *job.Job) (job.Saved, error) {
					got, err := j.Find(made)
					id = got.Entry.ID
					return got, err
				},
				func() tea.Cmd { return m.showFinding(id) })
		})
	}
	hole := func() tea.Cmd {
		if n.What != job.DamagedHole {
			return words()
		}
		return q.put("How wide is the hole?", func(e *entry) {
			e.value, e.units = true, unitsOf("length")
			e.about = []string{"Diameter of the largest pin or drill shank that enters. A figure alone is in mm."}
			e.judge = mayBeEmpty("Empty: it is measured later, and advice waits for it.", lengthCheck)
		}, func(text string) tea.Cmd {
			n.Hole = text
			if text == "" || m.work.job == nil {
				return words()
			}
			return m.moreOfHole(q, &n, words)
		})
	}
	which := func() tea.Cmd {
		c := m.work.circle(n.Fastener)
		n.Number = 0
		if c.count < 2 {
			return hole()
		}
		var numbers []choice
		for i := range c.count {
			numbers = append(numbers, choice{text: fmt.Sprint(i + 1)})
		}
		return q.put(fmt.Sprintf("%s: which of the %d?", c.label, c.count), func(e *entry) {
			oneOf(numbers...)(e)
			e.about = []string{"Counted as they are marked, from 1."}
		}, func(string) tea.Cmd {
			n.Number = m.top().(*entry).v.cur + 1
			return hole()
		})
	}
	place := func() tea.Cmd {
		n.Fastener, n.Place = "", ""
		on := m.work.circles(step)
		if len(on) == 0 && (n.What == job.DamagedHole || n.What == job.Sheared) {
			on = m.work.circles(nil) // the step uses none: any of the job
		}
		var offered []choice
		for _, c := range on {
			offered = append(offered, choice{c.label, c.thread})
		}
		only := n.What == job.DamagedHole
		if only && len(on) == 0 {
			m.say(paint.InkCaution, "This procedure names no fastener a hole could belong to. Record it as something else.")
			return nil
		}
		if only && len(on) == 1 {
			n.Fastener = on[0].name
			return which()
		}
		if !only {
			offered = append(offered, choice{"The step as a whole", step.Title})
		}
		return q.put("What is it on?", func(e *entry) {
			e.choices, e.only = offered, only
			if !only {
				e.about = []string{"Type a place in your own words, or choose."}
			}
		}, func(text string) tea.Cmd {
			n.Fastener, n.Place = "", ""
			i := slices.IndexFunc(offered, func(c choice) bool { return c.text == text })
			switch {
			case i >= 0 && i < len(on):
				n.Fastener = on[i].name
				return which()
			case i < 0:
				n.Place = text
			}
			n.Number = 0
			return hole()
		})
	}
	return q.put("What is not as it should be?", func(e *entry) {
		e.about = []string{step.Title}
		e.only = true
		for _, k := range kinds {
			e.choices = append(e.choices, findingWords(k))
		}
	}, func(text string) tea.Cmd {
		i := slices.IndexFunc(kinds, func(k job.FindingKind) bool { return findingWords(k).text == text })
		n.What = kinds[max(0, i)]
		n.Hole = ""
		return place()
	})
}

// wherefound repeats what was answered so far.
func (s *stepScreen) wherefound(n job.NewFinding) string {
	words := []string{findingWords(n.What).text}
	if n.Fastener != "" {
		words = append(words, s.work().circle(n.Fastener).label)
		if n.Number > 0 {
			words[len(words)-1] += fmt.Sprintf(" no. %d", n.Number)
		}
	}
	if n.Place != "" {
		words = append(words, n.Place)
	}
	if n.Hole != "" {
		words = append(words, "hole "+n.Hole)
	}
	return strings.Join(words, ", ") + "."
}

// findingsScreen lists the findings of the job, those that are open first.
type findingsScreen struct {
	m *model
	v view
}

func (m *model) findings() tea.Cmd {
	m.push(&findingsScreen{m: m})
	return nil
}

func (s *findingsScreen) title() string { return "Findings" }
func (s *findingsScreen) typing() bool  { return false }
func (s *findingsScreen) wheel(n int)   { s.v.scroll(n) }
func (s *findingsScreen) list() []job.Finding {
	all := slices.Clone(s.m.work.state.Findings)
	slices.SortStableFunc(all, func(a, b job.Finding) int {
		open := func(f job.Finding) int {
			if !f.Decided() {
				return 0
			}
			return 1
		}
		return open(a) - open(b)
	})
	return all
}

func (s *findingsScreen) acts() []act {
	open := act{key: s.m.keys.Do, word: "Open", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}
	if len(s.list())+len(s.m.work.state.Standing()) == 0 {
		open.off = "Nothing was found yet. A step has the button Finding."
	}
	return []act{open, {key: s.m.keys.Undo, word: "Undo", do: s.m.undo}}
}

func (s *findingsScreen) choose(i int) tea.Cmd {
	list, dangers := s.list(), s.m.work.state.Standing()
	s.v.cur, s.v.free = i, false
	switch {
	case i < len(dangers):
		return s.m.dangerGone(dangers[i])
	case i-len(dangers) < len(list):
		return s.m.showFinding(list[i-len(dangers)].ID)
	}
	return nil
}

func (s *findingsScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, len(s.m.work.state.Findings)+len(s.m.work.state.Standing()))
}

func (s *findingsScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	list, dangers := s.list(), s.m.work.state.Standing()
	for i, x := range dangers {
		if i == 0 {
			d.heading("Danger on the engine")
		}
		d.item("danger "+x.ID, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			d.indented(f.Look.G.Warn+" ", "  ", paint.InkWrong, x.Text)
			from := "found here"
			if x.From != "" {
				from = "found in " + x.From
			}
			d.indented("  ", "  ", paint.InkQuiet, from+" by "+x.By+", "+s.m.when(x.At))
		})
	}
	if len(list)+len(dangers) == 0 {
		d.blank()
		d.text(paint.InkStrong, "Nothing was found yet.")
		d.text(paint.InkQuiet, "When something is not as it should be, the button Finding on its step takes it in.")
	}
	group := ""
	for i, x := range list {
		name := "Open"
		if x.Decided() {
			name = "Decided"
		}
		if name != group {
			group = name
			d.heading(name)
		}
		d.item(fmt.Sprintf("finding %d", x.Order), func() tea.Cmd { return s.choose(len(dangers) + i) }, func(d *doc) {
			d.indented(fmt.Sprintf("%d. ", x.Order), "   ", paint.InkStrong, findingWords(x.What).text+", "+s.m.whereOf(&x))
			d.indented("   ", "   ", paint.InkPlain, x.Text)
			switch {
			case x.Unsettled:
				d.indented("   "+f.Look.G.Warn+" ", "     ", paint.InkWrong, "open: two people decided differently")
			case x.Disposition == nil:
				d.indented("   "+f.Look.G.Todo+" ", "     ", paint.InkBrand, "open: nobody has decided")
			default:
				d.indented("   "+f.Look.G.Done+" ", "     ", paint.InkDone, decidedText(x.Disposition))
			}
		})
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}, d, &s.v)
}

func decidedText(d *job.Disposition) string {
	text := string(d.Decision) + ": " + d.Text + " (" + d.By + ")"
	if d.Allowed != "" {
		text += ", allowed by " + d.Allowed
	}
	return text
}

// whereOf says what a finding is on, by the names people see.
func (m *model) whereOf(f *job.Finding) string {
	var words []string
	if f.Fastener != "" {
		label := m.work.circle(f.Fastener).label
		if f.Number > 0 {
			label += fmt.Sprintf(" no. %d", f.Number)
		}
		words = append(words, label)
	}
	if f.Place != "" {
		words = append(words, f.Place)
	}
	if i := m.work.place(f.Step); i >= 0 {
		words = append(words, fmt.Sprintf("step %d", m.work.steps[i].Number))
	}
	return strings.Join(words, ", ")
}
