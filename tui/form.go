package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/boiler"
	"fettle/checklist/job"
	"fettle/checklist/lookup"
	"fettle/checklist/source"
	"fettle/threads/check"
	"fettle/tui/paint"
)

// form asks for the engine and the settings of a procedure before a job starts.
type form struct {
	m      *model
	proc   *checklist.Procedure
	engine string
	values map[string]string // only what was typed; the rest are defaults
	filled *checklist.Filled
	asked  []checklist.Setting // those whose `when` holds with these answers
	found  source.Diagnostics
	failed string // why the job could not be started
	busy   bool
	call   *callReady          // the step that calls the procedure; nil for a job of its own
	warns  []source.Diagnostic // what speaks against the answers; it stands first
	warned int                 // its lines
	read   int                 // how many lines of the form have been on the screen, from its first on
	v      view
}

func newForm(m *model, p *checklist.Procedure) *form {
	s := &form{m: m, proc: p, values: map[string]string{}}
	s.fill()
	return s
}

// fill works everything out again after an answer.
func (s *form) fill() {
	s.filled, s.found = s.proc.Fill(s.values)
	s.asked = nil
	for i, v := range s.filled.Values {
		if v.NotAsked == "" {
			s.asked = append(s.asked, s.proc.Settings[i])
		}
	}
	was := s.warns
	s.warns = nil
	for _, g := range s.found {
		if g.Severity != check.Note && g.Rule != source.RuleUnanswered { // that stands at the question itself
			s.warns = append(s.warns, g)
		}
	}
	s.v.cur += len(s.warns) - len(was) // the mark stays on its question
	if !slices.EqualFunc(was, s.warns, func(a, b source.Diagnostic) bool { return a.Message == b.Message }) {
		s.read = 0
	}
}

func (s *form) title() string { return s.proc.Title }
func (s *form) typing() bool  { return false }
func (s *form) wheel(n int)   { s.v.scroll(n) }

func (s *form) acts() []act {
	k := s.m.keys
	start := act{key: k.Start, word: "Start", main: true, off: s.missing(), do: s.start}
	if s.busy {
		start.off = "The job is being laid down."
	}
	if s.read < s.warned { // nobody starts over a warning that was not on the screen
		start.word, start.off = "Warnings", ""
		start.do = func() tea.Cmd {
			if s.v.free = true; s.v.off > s.read {
				s.v.off = 0
				return nil
			}
			s.v.page(1)
			return nil
		}
	}
	return []act{
		start,
		{key: k.Do, word: "Change", do: func() tea.Cmd { return s.edit(s.v.cur) }},
	}
}

func (s *form) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.m.moves(k, &s.v, s.rows())
}

// rows are what can be chosen: what speaks against the answers, the engine, the
// settings.
func (s *form) rows() int { return len(s.warns) + 1 + len(s.asked) }

// unanswered says which answer is missing, or none that can be taken; "" for none.
func (s *form) unanswered() string {
	for _, set := range s.asked {
		if err := s.wrong(set); err != nil {
			return set.Ask + ": " + err.Error()
		}
	}
	return ""
}

// missing says what still stands against a start; "" for nothing.
func (s *form) missing() string {
	if s.engine == "" {
		return "Which engine? Its name must stand here first."
	}
	if what := s.unanswered(); what != "" {
		return what
	}
	for _, d := range s.found {
		if d.Severity == check.Stop {
			return d.Message
		}
	}
	return ""
}

// value is what stands for a setting now: what was typed, or its default.
func (s *form) value(set checklist.Setting) string {
	if v, ok := s.values[set.Name]; ok {
		return v
	}
	if s.filled != nil {
		return s.filled.Value(set.Name)
	}
	return set.Default
}

func (s *form) wrong(set checklist.Setting) error {
	v := s.value(set)
	if v == "" && !set.HasDefault {
		return errors.New("this needs an answer")
	}
	return s.proc.CheckAnswer(set.Name, v, s.values)
}

// edit opens row i: what speaks against the answers, the engine, then the settings.
func (s *form) edit(i int) tea.Cmd {
	s.v.cur, s.v.free = i, false
	if i < len(s.warns) {
		g := s.warns[i]
		s.m.push(newPage(s.m, strings.ToUpper(string(g.Severity)), slices.DeleteFunc([]string{g.Message + ".", g.Suggestion, g.Source}, func(text string) bool { return text == "" })...))
		return nil
	}
	i -= len(s.warns)
	if i == 0 && s.call != nil {
		s.m.say(paint.InkNote, "The engine is that of the job that calls this.")
		return nil
	}
	if i == 0 {
		e := newEntry(s.m, "Engine", "Which engine is it?", nil)
		e.about = []string{"Name or number, as the owner calls it."}
		e.named = true
		e.offer(s.m.engines())
		e.accept = func(text string) tea.Cmd {
			s.engine = text
			return s.next(e)
		}
		e.start(s.engine)
		s.m.push(e)
		return nil
	}
	set := s.asked[i-1]
	e := newEntry(s.m, s.proc.Title, set.Ask, nil)
	e.asks(s.proc, set, s.values)
	judge := e.judge
	e.judge = func(text string) verdict {
		if text != "" || !set.HasDefault {
			return judge(text)
		}
		usual := s.proc.Usual(set.Name, s.values)
		if usual == "" {
			return verdict{ink: paint.InkQuiet, text: "Empty leaves it open: not known"}
		}
		return verdict{ink: paint.InkQuiet, text: "Empty takes the default: " + usual}
	}
	e.open = set.HasDefault && set.Kind != "yes-no" && set.Kind != "choice"
	e.accept = func(text string) tea.Cmd {
		if text == "" {
			delete(s.values, set.Name)
		} else {
			s.values[set.Name] = text
		}
		s.fill()
		return s.next(e)
	}
	e.start(s.value(set))
	s.m.push(e)
	return nil
}

// next closes the question and goes on to the one after.
func (s *form) next(from screen) tea.Cmd {
	s.m.drop(from)
	s.failed = ""
	s.v.move(1, s.rows())
	return nil
}

// bounds says under a question between what its answer lies.
func bounds(low, high string) string {
	switch {
	case low != "" && high != "":
		return "From " + low + " to " + high + "."
	case low != "":
		return "From " + low + " up."
	case high != "":
		return "Up to " + high + "."
	}
	return ""
}

// engines are those that jobs here are about.
func (m *model) engines() (all []string) {
	if h, ok := m.stack[0].(*home); ok {
		for _, j := range h.jobs {
			if j.Engine != "" && !slices.Contains(all, j.Engine) {
				all = append(all, j.Engine)
			}
		}
	}
	return all
}

// materials are what a question for a material takes: what seals are made of,
// metals, grades of screws. Other ways to write them can be typed.
func materials() (all []string) {
	for _, m := range boiler.SealMaterials() {
		all = append(all, string(m))
	}
	all = append(all, lookup.MetalNames()...)
	for _, g := range lookup.GradeNames() {
		if !slices.Contains(all, g) {
			all = append(all, g)
		}
	}
	return all
}

// unitsOf are the units the keypad offers for a kind, the usual ones first.
func unitsOf(kind string) []string {
	switch kind {
	case "length":
		return []string{"mm", "in"}
	case "pressure":
		return []string{"psi", "bar", "kPa"}
	case "temperature":
		return []string{"°C", "F"}
	case "volume":
		return []string{"ml", "l"}
	case "torque":
		return []string{"N·m", "lbf in"}
	case "time", "span":
		return []string{"h", "min", "days"}
	case "altitude":
		return []string{"m", "ft"}
	case "air":
		return []string{"mbar", "bar", "psi"}
	}
	return nil
}

func (s *form) start() tea.Cmd {
	if s.m.person == "" { // asked on the spot; the answers stay
		s.m.askWho(s.start)
		return nil
	}
	s.busy, s.failed = true, ""
	if s.call != nil {
		return s.startCalled()
	}
	return s.m.startJob(s.proc, s.values, s.engine, s.started)
}

// started opens the job that was laid down, or says why none was.
func (s *form) started(w *work, err error) {
	s.busy = false
	s.v.off, s.v.free = 0, true // what went wrong stands at the top
	var bad *job.SettingsError
	switch {
	case err == nil:
		s.m.open(w)
		s.m.say(paint.InkDone, "Saved: the job is laid down.")
	case errors.As(err, &bad):
		s.failed = bad.Error()
	default:
		s.failed = "The job could not be laid down: " + err.Error()
	}
	if s.failed != "" { // it stands at the top
		s.v.off, s.v.free = 0, true
	}
}

func (s *form) draw(f *frame) {
	w := f.Body.W
	if f.Shape == paint.Wide {
		w = min(w, 84)
	}
	d := newDoc(f.Look, w, f.Touch)
	if s.failed != "" {
		d.callout(paint.InkWarning, paint.InkWrong, "NOT STARTED", []string{s.failed})
		d.blank()
	}
	for i, g := range s.warns {
		d.item(fmt.Sprintf("%s %d", g.Severity, i+1), func() tea.Cmd { return s.edit(i) }, func(d *doc) {
			label, _ := severityInks(g.Severity)
			d.add(paint.Span{Ink: label, Text: " " + strings.ToUpper(string(g.Severity)) + " "})
			d.text(paint.InkStrong, g.Message)
			if g.Suggestion != "" {
				d.text(paint.InkPlain, g.Suggestion)
			}
		})
	}
	if s.warned = len(d.lines); s.warned > 0 {
		d.blank()
	}
	d.text(paint.InkQuiet, s.proc.About)
	d.heading("Before the job starts")
	if s.call != nil {
		s.calledIntro(d)
	}
	d.text(paint.InkQuiet, "The usual answers stand here already; change what differs on this engine.")
	d.item("engine", func() tea.Cmd { return s.edit(len(s.warns)) }, func(d *doc) {
		if s.engine != "" {
			d.pair("Which engine is it?", paint.InkStrong, s.engine+" "+f.Look.G.Done)
			return
		}
		d.text(paint.InkPlain, "Which engine is it?")
		d.text(paint.InkWrong, f.Look.G.Warn+" needed: press enter, or tap here")
	})
	for i, set := range s.asked {
		d.item(set.Name, func() tea.Cmd { return s.edit(len(s.warns) + 1 + i) }, func(d *doc) { s.setting(d, set) })
	}
	headed := false
	for _, g := range s.found {
		if g.Severity != check.Note {
			continue
		}
		if !headed {
			d.heading("What the answers lead to")
			headed = true
		}
		label, edge := severityInks(g.Severity)
		d.callout(label, edge, strings.ToUpper(string(g.Severity)), []string{g.Message, g.Suggestion})
	}
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: w, H: f.Body.H}, d, &s.v)
	if s.v.off <= s.read {
		s.read = max(s.read, s.v.off+s.v.tall)
	}
}

func (s *form) setting(d *doc, set checklist.Setting) {
	shown := s.value(set)
	err := s.wrong(set)
	if s.filled != nil && err == nil {
		for _, have := range s.filled.Values {
			if have.Name == set.Name && have.Canonical != "" {
				shown = have.Canonical
			}
		}
	}
	k := paint.InkPlain
	if _, typed := s.values[set.Name]; typed {
		k = paint.InkStrong
		shown += " " + d.look.G.Done
	}
	d.pair(set.Ask, k, shown)
	if err != nil {
		d.text(paint.InkWrong, d.look.G.Warn+" "+err.Error())
	}
}

// severityInks are the label and the bar of one of the four words.
func severityInks(s check.Severity) (label, edge paint.Ink) {
	switch s {
	case check.Stop:
		return paint.InkWarning, paint.InkWrong
	case check.Warn:
		return paint.InkCaution, paint.InkBrand
	}
	return paint.InkNote, paint.InkQuiet
}
