package tui

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/job"
)

// stepScreen shows the open job one step at a time.
type stepScreen struct {
	m       *model
	at      int // place of the step in the job; -1 is what must be ready before
	v       view
	list    view // the list of steps at the side
	sources bool // show where the figures come from
	told    int  // number of the line after the instruction
	whole   bool // the instruction has been on the screen to its end
	drawn   steplist
	turned  map[string]int // screws counted as tight in this pass, by step
	small   sketch         // at the least width: whether there is a drawing
	beside  sketch
	under   sketch
	fv      view   // the figures beside the step
	with    []seen // who else is on the job
	withOf  *work  // what with was found in
}

// steplist is the list of all steps as last laid out; it is long and seldom changes.
type steplist struct {
	of    *work
	w     int
	touch bool
	doc   *doc
}

// newStep shows the open job at the step to work on next, or what must be
// ready where nothing has been done yet.
func newStep(m *model) *stepScreen {
	s := &stepScreen{m: m, at: -1, v: view{free: true, bare: true}}
	switch st := m.work.state; {
	case st.Next == "": // nothing is left to do: how it ended
		s.at = len(m.work.steps) - 1
	case st.Done+st.Skipped > 0:
		s.at = max(0, m.work.place(st.Next))
	}
	return s
}

func (s *stepScreen) work() *work { return s.m.work }

// step is the step shown and how it stands; nil on the page before the first.
func (s *stepScreen) step() (*checklist.FilledStep, job.StepState) {
	w := s.work()
	if s.at < 0 || s.at >= len(w.steps) {
		return nil, job.StepState{}
	}
	return w.steps[s.at], w.state.Steps[w.steps[s.at].ID]
}

func (s *stepScreen) title() string {
	w := s.work()
	if w.job == nil {
		return w.filled.Title
	}
	return w.job.Engine() + "  " + w.filled.Title
}
func (s *stepScreen) typing() bool { return false }
func (s *stepScreen) wheel(n int)  { s.v.scroll(n) }

// wheelAt scrolls the list at the side or the figures where the wheel turns over them.
func (s *stepScreen) wheelAt(p point, a areas, n int) bool {
	switch {
	case a.side.holds(p):
		s.list.scroll(n)
	case a.aside.holds(p) && s.fv.last > 0:
		s.fv.scroll(n)
	default:
		return false
	}
	return true
}

// goTo shows another step from its beginning.
func (s *stepScreen) goTo(i int) {
	s.at = max(-1, min(len(s.work().steps)-1, i))
	s.v = view{free: true, bare: true}
	s.told, s.whole, s.fv = 0, false, view{}
	s.list = view{}
	s.list.cur = max(0, s.at)
}

func (s *stepScreen) acts() []act {
	k := s.m.keys
	step, st := s.step()
	w := s.work()
	acts := []act{s.mainAct(step, st)}
	can := func(off bool, why string) string {
		if off {
			return why
		}
		return ""
	}
	acts = append(acts,
		act{key: k.Prev, word: "Before", off: can(s.at < 0, "This is the first page."),
			do: func() tea.Cmd { s.goTo(s.at - 1); return nil }},
		act{key: k.Lookup, word: "Thread", do: s.m.lookUp},
		act{key: k.Next, word: "After", off: can(s.at >= len(w.steps)-1, "This is the last step."),
			do: func() tea.Cmd { s.goTo(s.at + 1); return nil }},
		act{key: k.Steps, word: "Steps", do: func() tea.Cmd { s.m.push(newSteps(s)); return nil }},
	)
	if step != nil {
		acts = append(acts, act{key: k.Finding, word: "Finding", do: func() tea.Cmd { return s.find(step) }})
		acts = append(acts, act{key: k.Note, word: "Note", do: func() tea.Cmd { return s.note(step) }})
		if len(step.Readings) > 0 {
			acts = append(acts, act{key: k.Reading, word: "Reading", do: func() tea.Cmd { return s.readAny(step, st) }})
		}
		acts = append(acts, act{key: k.Skip, word: "Skip",
			off: can(st.Status == job.Done || st.Status == job.Skipped, "This step is "+string(st.Status)+" already."),
			do:  func() tea.Cmd { return s.skip(step) }})
	}
	if step != nil {
		acts = append(acts, s.drawingActs(step, st)...)
	}
	acts = append(acts, act{key: k.Undo, word: "Undo", do: s.undo})
	if w.state.Next != "" && w.place(w.state.Next) != s.at {
		acts = append(acts, act{key: k.Current, word: "Go on", do: func() tea.Cmd { s.goTo(w.place(w.state.Next)); return nil }})
	}
	acts = append(acts,
		act{key: k.Findings, word: "Findings", do: s.m.findings},
		act{key: k.Bring, word: "Bring", do: s.m.bring},
	)
	if step != nil {
		acts = append(acts, act{key: k.Gates, word: "Gates", do: func() tea.Cmd { return s.gates(step) }})
	}
	if w.tested() {
		acts = append(acts, act{key: k.Test, word: "Test", do: s.m.testSheet})
	}
	return append(acts,
		act{key: k.Sources, word: "Sources", do: func() tea.Cmd { s.sources = !s.sources; return nil }},
		act{key: k.Notices, word: "Record", do: s.notices},
		act{key: k.Refresh, word: "Reread", do: s.m.refresh},
		act{key: k.Who, word: "Who", do: func() tea.Cmd { s.m.askWho(); return nil }},
		act{key: k.Back, word: "Home", do: s.home},
	)
}

// mainAct is what the large button does: whatever the step needs next.
func (s *stepScreen) mainAct(step *checklist.FilledStep, st job.StepState) act {
	a := act{key: s.m.keys.Do, main: true}
	w := s.work()
	switch {
	case step == nil && !s.whole:
		a.word, a.do = "Read on", func() tea.Cmd { s.v.page(1); return nil }
	case step == nil:
		a.word, a.do = "To the steps", func() tea.Cmd { s.goTo(max(0, w.place(w.state.Next))); return nil }
	case st.Status == job.Done || st.Status == job.Skipped:
		switch next := w.place(w.state.Next); {
		case next >= 0:
			a.word, a.do = "Go on", func() tea.Cmd { s.goTo(next); return nil }
		default:
			a.word, a.do = "All done", s.home
		}
	case s.needed(step) >= 0:
		at := s.needed(step)
		a.word, a.do = fmt.Sprintf("First step %d", w.steps[at].Number), func() tea.Cmd { s.goTo(at); return nil }
	case !s.whole:
		// Nobody ticks what has not been on the screen.
		a.word, a.do = "Read on", func() tea.Cmd { s.v.page(1); return nil }
	case step.Hold != "" && len(st.Releases) == 0:
		a.word, a.do = "Release", func() tea.Cmd { return s.release(step) }
	case st.Status == job.Waiting:
		a.word, a.off = "Waits", "Waits until "+s.m.when(st.Due)+"."
	case s.unread(step, st) >= 0:
		a.word, a.do = "Reading", func() tea.Cmd { return s.read(step, s.unread(step, st)) }
	case slices.ContainsFunc(shut(st), func(g job.Gate) bool { return g.Name == job.GateTest }):
		a.word, a.do = "Test sheet", s.m.testSheet
	case len(shut(st)) > 0:
		a.word, a.do = "Gates", func() tea.Cmd { return s.gates(step) }
	default:
		a.word, a.do = "Done", func() tea.Cmd { return s.finish(step, st) }
	}
	return a
}

// needed is the place of the first step that must come before this one and is
// not done; -1 for none.
func (s *stepScreen) needed(step *checklist.FilledStep) int {
	w := s.work()
	for _, id := range step.Needs {
		if st := w.state.Steps[id].Status; st != job.Done && st != job.Skipped {
			return w.place(id)
		}
	}
	return -1
}

// otherBlocks are the reasons why the step cannot be done yet, without those
// that stand on the screen in another form: its hold and its wait.
func (s *stepScreen) otherBlocks(step *checklist.FilledStep, st job.StepState) []string {
	w := s.work()
	var list []string
	for _, id := range step.Needs {
		if have := w.state.Steps[id].Status; have != job.Done && have != job.Skipped {
			if i := w.place(id); i >= 0 {
				list = append(list, fmt.Sprintf("first step %d, %s", w.steps[i].Number, w.steps[i].Title))
			}
		}
	}
	for _, b := range st.Blocks {
		if !strings.HasPrefix(b, "first do ") && !strings.HasPrefix(b, "hold point:") && !strings.HasPrefix(b, "wait until ") {
			list = append(list, b)
		}
	}
	return list
}

// unread is the first reading of the step that is still to be taken, or to be
// taken again since its value stops the work; -1 for none.
func (s *stepScreen) unread(step *checklist.FilledStep, st job.StepState) int {
	return slices.IndexFunc(step.Readings, func(r checklist.FilledReading) bool {
		values := st.Readings[r.Name]
		return len(values) == 0 || values[len(values)-1].Judgement.Severity == checklist.Stop
	})
}

func (s *stepScreen) home() tea.Cmd {
	s.m.work = nil
	s.m.stack = s.m.stack[:1]
	s.m.foot = note{}
	return s.m.reread()
}

// finish ticks a step. Where a reading lies outside its limits it asks first.
func (s *stepScreen) finish(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	out := st.Outside
	if len(out) == 0 {
		return s.tick(step)
	}
	e := newEntry(s.m, "Outside its limits", "Go on although "+out[0]+"?", nil)
	for _, more := range out[1:] {
		e.about = append(e.about, "And "+more+".")
	}
	e.about = append(e.about, "The record keeps the mark. A note can say why it is good enough; back returns to the step.")
	e.only, e.word = true, "Go on"
	e.start("")
	s.ask(e, fmt.Sprintf("step %d is done, outside its limits", step.Number),
		func(j *job.Job, _ string) (job.Saved, error) { return j.Tick(step.ID) },
		func() { s.goOn(step.ID) })
	return nil
}

func (s *stepScreen) tick(step *checklist.FilledStep) tea.Cmd {
	return s.m.save("step "+fmt.Sprint(step.Number)+" is done",
		func(j *job.Job) (job.Saved, error) { return j.Tick(step.ID) },
		func(err error) tea.Cmd {
			if err == nil {
				s.goOn(step.ID)
			}
			return nil
		})
}

// goOn shows the step to work on next, if the step that was just saved is
// still the one shown.
func (s *stepScreen) goOn(from string) {
	w := s.work()
	if step, _ := s.step(); step == nil || step.ID != from || w.state.Next == "" {
		return
	}
	s.goTo(w.place(w.state.Next))
}

// undo says what would be taken back and asks; then it shows the step of it.
func (s *stepScreen) undo() tea.Cmd {
	what, id := s.work().last.what, s.work().last.step
	if what == "" {
		s.m.say(inkCaution, notSaved(job.ErrNothingToUndo))
		return nil
	}
	e := newEntry(s.m, "Undo", "Take this back: "+what+"?", nil)
	at := s.work().place(id)
	if at >= 0 {
		e.about = append(e.about, fmt.Sprintf("Step %d, %s", s.work().steps[at].Number, s.work().steps[at].Title))
	}
	e.about = append(e.about, "It is the last entry made on this device that still stands. The record keeps both.")
	e.only, e.word = true, "Take back"
	e.start("")
	s.ask(e, "taken back: "+what, func(j *job.Job, _ string) (job.Saved, error) {
		if now, _ := j.LastEntry(); now != what {
			return job.Saved{}, errors.New("another entry has come in between; look again")
		}
		return j.Undo()
	}, func() {
		if at >= 0 && s.m.top() == screen(s) {
			s.goTo(at)
		}
	})
	return nil
}

// ask opens a question whose answer is saved; it closes when the answer is on
// the disk, and keeps the text where it is not.
func (s *stepScreen) ask(e *entry, what string, save func(*job.Job, string) (job.Saved, error), then func()) {
	e.accept = func(text string) tea.Cmd {
		return s.m.save(what, func(j *job.Job) (job.Saved, error) { return save(j, text) },
			func(err error) tea.Cmd {
				if err != nil {
					e.failed = notSaved(err)
					return nil
				}
				s.m.drop(e)
				if then != nil {
					then()
				}
				return nil
			})
	}
	s.m.push(e)
}

func (s *stepScreen) note(step *checklist.FilledStep) tea.Cmd {
	e := newEntry(s.m, "Note", "Note on step "+fmt.Sprint(step.Number), nil)
	e.about = []string{step.Title}
	e.start("")
	s.ask(e, "the note", func(j *job.Job, text string) (job.Saved, error) { return j.Note(step.ID, text) }, nil)
	return nil
}

func (s *stepScreen) skip(step *checklist.FilledStep) tea.Cmd {
	if _, st := s.step(); st.KeepIn != "" {
		s.m.say(inkCaution, strings.ToUpper(st.KeepIn[:1])+st.KeepIn[1:]+".")
		return nil
	}
	e := newEntry(s.m, "Skip", "Why is step "+fmt.Sprint(step.Number)+" left out?", nil)
	e.about = []string{step.Title, "The reason stands in the record. Type your own, or choose one."}
	e.word = "Skip it"
	e.choices = []choice{
		{text: "Not fitted on this engine"},
		{text: "Done before this job"},
		{text: "Put off to another visit"},
	}
	e.unset = true
	e.start("")
	s.ask(e, "step "+fmt.Sprint(step.Number)+" is skipped",
		func(j *job.Job, text string) (job.Saved, error) { return j.Skip(step.ID, text) },
		func() { s.goOn(step.ID) })
	return nil
}

func (s *stepScreen) release(step *checklist.FilledStep) tea.Cmd {
	e := newEntry(s.m, "Hold", "Who releases this hold, as "+step.Hold+"?", nil)
	e.about = []string{step.Title, "Give the name of the person who has looked and says that work may go on."}
	e.word = "Release"
	workers := s.workers()
	works := func(name string) bool {
		return slices.ContainsFunc(workers, func(w string) bool { return strings.EqualFold(strings.TrimSpace(name), w) })
	}
	for _, name := range s.releasers() {
		if !works(name) { // nobody's own name lies ready to be pressed
			e.choices = append(e.choices, choice{text: name})
		}
	}
	e.unset = true
	e.judge = func(text string) verdict {
		switch {
		case text == "":
			return verdict{refused: true}
		case utf8.RuneCountInString(text) < 2:
			return verdict{refused: true, ink: inkQuiet, text: "The whole name, as it is to stand in the record."}
		case works(text) && step.Hold == "inspector":
			return verdict{refused: true, ink: inkWrong, text: text + " works on this job; the inspector releases this hold."}
		case works(text):
			return verdict{ink: inkBrand, text: text + " works on this job; the record will say so."}
		}
		return verdict{}
	}
	e.start("")
	e.accept = func(name string) tea.Cmd {
		if works(name) {
			s.releaseOwn(step, name, e)
			return nil
		}
		return s.m.save("the hold is released",
			func(j *job.Job) (job.Saved, error) { return j.Release(step.ID, name) },
			func(err error) tea.Cmd {
				var own *job.SelfReleaseError
				switch {
				case err == nil:
					s.m.drop(e)
				case errors.As(err, &own): // the record knows more than this screen
					s.m.foot = note{}
					s.releaseOwn(step, name, e)
				default:
					e.failed = notSaved(err)
				}
				return nil
			})
	}
	s.m.push(e)
	return nil
}

// releaseOwn asks plainly before somebody releases a hold on their own work.
func (s *stepScreen) releaseOwn(step *checklist.FilledStep, name string, from *entry) {
	e := newEntry(s.m, "Hold", name+", you work on this job yourself. Are you its "+step.Hold+" as well?", nil)
	e.about = []string{step.Title, "A hold is there so that a second person looks. The record says that it was released by somebody who works here."}
	yes := "Yes, I am the " + step.Hold + ", and have looked"
	e.only, e.unset = true, true
	e.choices = []choice{{text: yes}, {text: "No, the " + step.Hold + " must come"}}
	e.start("")
	s.ask(e, "the hold is released",
		func(j *job.Job, _ string) (job.Saved, error) { return j.ReleaseMyself(step.ID, name) },
		func() { s.m.drop(from) })
	save := e.accept
	e.accept = func(answer string) tea.Cmd {
		if answer != yes {
			s.m.drop(e)
			s.m.say(inkNote, "The hold stands.")
			return nil
		}
		return save(answer)
	}
}

// workers are the people who work on the job: who is at this device, and whose
// names stand in the record of it.
func (s *stepScreen) workers() []string {
	names := map[string]bool{s.m.person: true}
	for _, st := range s.work().state.Steps {
		for _, marks := range [][]job.Mark{st.Ticks, st.Skips} {
			for _, mk := range marks {
				names[mk.By] = true
			}
		}
		for _, n := range st.Notes {
			names[n.By] = true
		}
		for _, values := range st.Readings {
			for _, v := range values {
				names[v.By] = true
			}
		}
	}
	return sorted(names)
}

// releasers are the people who have released a hold of this job before.
func (s *stepScreen) releasers() []string {
	names := map[string]bool{}
	for _, st := range s.work().state.Steps {
		for _, mk := range st.Releases {
			names[mk.By] = true
		}
	}
	return sorted(names)
}

func sorted(names map[string]bool) []string {
	delete(names, "")
	return slices.Sorted(maps.Keys(names))
}

// readAny opens the first reading that is missing, or lets one be chosen.
func (s *stepScreen) readAny(step *checklist.FilledStep, st job.StepState) tea.Cmd {
	if i := s.unread(step, st); i >= 0 {
		return s.read(step, i)
	}
	if len(step.Readings) == 1 {
		return s.read(step, 0)
	}
	e := newEntry(s.m, "Reading", "Which reading is to be corrected?", nil)
	e.only = true
	for _, r := range step.Readings {
		e.choices = append(e.choices, choice{text: r.Ask, about: latest(st.Readings[r.Name])})
	}
	e.accept = func(string) tea.Cmd {
		at := e.v.cur
		s.m.drop(e)
		return s.read(step, at)
	}
	e.start("")
	s.m.push(e)
	return nil
}

// read opens reading i of the step; after it is saved the next missing one
// follows by itself.
func (s *stepScreen) read(step *checklist.FilledStep, i int) tea.Cmd {
	r := step.Readings[i]
	e := newEntry(s.m, "Reading", r.Ask, nil)
	if wanted := wantedText(r); wanted != "" {
		e.about = append(e.about, wanted)
		e.wanted = wanted
	}
	e.judge = func(text string) verdict { return judged(r, text) }
	switch r.Unit {
	case "yes-no":
		e.only, e.choices = true, []choice{{text: "yes"}, {text: "no"}}
	case "choice":
		e.only = true
		for _, c := range r.Choices {
			e.choices = append(e.choices, choice{text: c})
		}
	case "text":
	default:
		e.value, e.units = true, readingUnits(r.Unit)
		e.about = append(e.about, "A figure alone is in "+r.Unit+".")
	}
	_, st := s.step()
	e.start(latest(st.Readings[r.Name]))
	// Where an answer stops the work nobody gives the other one by pressing on.
	if e.only && (r.Unit == "yes-no" || r.Outside == checklist.Stop) {
		if have := e.field.text; have != "" {
			e.about = append(e.about, "So far: "+have)
		}
		e.unset = true
	}
	s.ask(e, "the reading", func(j *job.Job, text string) (job.Saved, error) { return j.Read(step.ID, r.Name, text) },
		func() {
			now, st := s.step()
			if now == nil || now.ID != step.ID {
				return
			}
			for _, v := range st.Readings[r.Name] {
				if v.Latest && v.Judgement.Severity != "" {
					s.m.say(inkWrong, strings.ToUpper(string(v.Judgement.Severity))+": "+v.Judgement.Text+" (saved)")
				}
				if v.Latest && v.Judgement.Severity == checklist.Stop {
					return // no further question hides it
				}
			}
			if next := s.unread(now, st); next > i {
				s.read(now, next)
			}
		})
	return nil
}

// judged is what is to be said about a reading while it is typed.
func judged(r checklist.FilledReading, text string) verdict {
	if text == "" {
		return verdict{refused: true}
	}
	j, err := r.Judge(text)
	switch {
	case err != nil:
		return verdict{refused: true, ink: inkWrong, text: err.Error()}
	case j.OK:
		return verdict{ink: inkDone, text: j.Text}
	}
	return verdict{ink: inkWrong, text: strings.ToUpper(string(j.Severity)) + ": " + j.Text}
}

func readingUnits(unit string) []string {
	switch unit {
	case "mm":
		return []string{"mm", "in"}
	case "bar":
		return []string{"bar", "psi"}
	case "psi":
		return []string{"psi", "bar"}
	}
	return nil
}

// latest is the value of a reading as the job takes it; "" where there is none.
func latest(values []job.ReadingValue) string {
	for _, v := range values {
		if v.Latest {
			return v.Value
		}
	}
	if len(values) > 0 {
		return values[len(values)-1].Value
	}
	return ""
}

// wantedText says what a reading should be.
func wantedText(r checklist.FilledReading) string {
	var parts []string
	if r.Nominal.Given {
		parts = append(parts, "wanted "+r.Nominal.Text)
	}
	switch {
	case r.None():
		parts = append(parts, "none")
	case r.Low.Given && r.High.Given:
		parts = append(parts, r.Low.Text+" to "+r.High.Text)
	case r.Low.Given:
		parts = append(parts, "at least "+r.Low.Text)
	case r.High.Given:
		parts = append(parts, "at most "+r.High.Text)
	}
	return strings.Join(parts, ", ")
}

// when writes a time the way people say it, by the clock of this device.
func (m *model) when(t time.Time) string {
	if t.IsZero() {
		return "at an unknown time"
	}
	return t.In(m.opt.Env.Now().Location()).Format("Mon 2 Jan 15:04")
}

// left writes how long there is to wait.
func left(d time.Duration) string {
	d = max(0, d).Round(time.Minute)
	h, m := int(d.Hours()), int(d.Minutes())%60
	switch {
	case h >= 48:
		return fmt.Sprintf("%d days %d h", h/24, h%24)
	case h > 0 && m == 0:
		return fmt.Sprintf("%d h", h)
	case h > 0:
		return fmt.Sprintf("%d h %d min", h, m)
	}
	return fmt.Sprintf("%d min", m)
}

// statusSign is the glyph, the ink and the word for how a step stands.
func (l *look) statusSign(st job.StepState) (string, ink, string) {
	switch st.Status {
	case job.Done:
		return l.g.done, inkDone, "done"
	case job.Skipped:
		return l.g.skipped, inkQuiet, "skipped"
	case job.Waiting:
		return l.g.waiting, inkBrand, "waits"
	case job.Blocked:
		return l.g.later, inkQuiet, "not yet"
	}
	return l.g.todo, inkPlain, "to do"
}

// progress draws how far the job is, as a rule graduated in steps.
func (s *stepScreen) progress(f *frame) {
	w := s.work()
	r := f.rule
	if r.empty() || len(w.steps) == 0 {
		return
	}
	count := fmt.Sprintf(" %d of %d", w.state.Done+w.state.Skipped, w.state.Total)
	f.wipe(r)
	f.right(r, inkPlain, count)
	r = r.cut(0, 0, textWidth(count), 0)
	if s.m.work.spoken() {
		sign := fmt.Sprintf(" %s record: %s", f.look.g.warn, s.m.keys.Notices.Help().Key)
		f.right(r, inkWrong, sign)
		r = r.cut(0, 0, textWidth(sign), 0)
	}
	n := len(w.steps)
	for x := range r.w {
		i := x * n / r.w
		st := w.state.Steps[w.steps[i].ID].Status
		glyph, k := f.look.g.rule, inkQuiet
		if st == job.Done || st == job.Skipped {
			glyph, k = f.look.g.heavy, inkBrand
		}
		if i == s.at && (x == 0 || (x-1)*n/r.w != i) {
			glyph, k = f.look.g.place, inkStrong
		}
		f.put(r, point{r.x + x, r.y}, k, glyph)
	}
}

func (s *stepScreen) draw(f *frame) {
	s.progress(f)
	if !f.side.empty() {
		s.list.bare = s.at < 0
		s.list.cur = max(0, s.at)
		f.show(f.side, s.listDoc(f, f.side.w), &s.list)
		for y := range f.side.h {
			f.put(f.body, point{f.side.x + f.side.w + 1, f.side.y + y}, inkQuiet, f.look.g.thin.down)
		}
	}
	d := newDoc(f.look, min(f.main.w, 76), f.touch)
	step, st := s.step()
	if step == nil {
		r := f.main
		if f.side.empty() {
			r = f.body
		}
		d.w = min(r.w, 90)
		s.before(d)
		f.show(r, d, &s.v)
		s.whole = s.whole || s.v.off+s.v.tall >= len(d.lines)
		return
	}
	beside := !f.aside.empty() && (len(step.Figures) > 0 || s.hasDrawing())
	main := f.main
	if !f.aside.empty() && !beside {
		main.w = f.aside.x + f.aside.w - main.x
		d.w = min(main.w, 90)
	}
	s.stepText(d, step, st)
	drawn := false
	if beside {
		fig := newDoc(f.look, f.aside.w, f.touch)
		if len(step.Figures) > 0 {
			s.figures(fig, step)
		}
		drawn = s.draws(fig, &s.beside, f.aside.h)
		f.show(f.aside, fig, &s.fv)
	} else if len(step.Figures) > 0 {
		s.figures(d, step)
	}
	s.marks(d, step, st)
	if !drawn && !f.aside.empty() {
		s.draws(d, &s.under, main.h)
	}
	f.show(main, d, &s.v)
	s.whole = s.whole || s.v.off+s.v.tall >= s.told
}

// before is the page of what must be so, and lie ready, before the first step.
func (s *stepScreen) before(d *doc) {
	p := s.work().filled.Preliminary
	d.text(inkBrand, "BEFORE YOU START")
	d.blank()
	d.callout(inkWarning, inkWrong, "WARNING", p.Warnings)
	if len(p.Warnings) > 0 {
		d.blank()
	}
	d.callout(inkCaution, inkBrand, "CAUTION", p.Cautions)
	for _, group := range []struct {
		title string
		lines []string
	}{
		{"Must be so", p.Conditions}, {"Must be there", p.Persons}, {"Tools", p.Equipment},
		{"To use up", p.Supplies}, {"Spares", p.Spares},
	} {
		if len(group.lines) == 0 {
			continue
		}
		d.heading(group.title)
		for _, l := range group.lines {
			d.indented(d.look.g.todo+" ", "  ", inkPlain, l)
		}
	}
	for _, n := range p.Notes {
		d.blank()
		d.callout(inkNote, inkQuiet, "NOTE", []string{n})
	}
	d.blank()
	d.text(inkQuiet, "The local boiler code and the boiler inspector decide; fettle only works things out.")
}

// stepText is the step itself: how it stands, warnings and cautions, then what
// to do.
func (s *stepScreen) stepText(d *doc, step *checklist.FilledStep, st job.StepState) {
	l := d.look
	sign, k, word := l.statusSign(st)
	if st.Status == job.Blocked && step.Hold != "" && len(st.Releases) == 0 && s.needed(step) < 0 {
		sign, k, word = l.g.held, inkBrand, "hold"
	}
	if len(st.Outside) > 0 {
		word += ", " + l.g.warn + " outside limits"
	}
	lead := fmt.Sprintf("%s  %d of %d  ", strings.ToUpper(step.Stage), step.Number, len(s.work().steps))
	if textWidth(lead)+textWidth(word)+2 <= d.w {
		d.add(span{inkBrand, lead}, span{k, sign + " " + word})
	} else {
		d.text(inkBrand, strings.ToUpper(step.Stage))
		d.add(span{inkQuiet, fmt.Sprintf("%d of %d  ", step.Number, len(s.work().steps))}, span{k, sign + " " + word})
	}
	d.blank()
	if len(step.Warnings) > 0 {
		d.callout(inkWarning, inkWrong, "WARNING", step.Warnings)
		d.blank()
	}
	if len(step.Cautions) > 0 {
		d.callout(inkCaution, inkBrand, "CAUTION", step.Cautions)
		d.blank()
	}
	if step.Hold != "" {
		if len(st.Releases) == 0 {
			d.callout(inkCaution, inkBrand, "HOLD", []string{"Work stops here until the " + step.Hold + " releases it by name."})
		} else {
			for _, r := range st.Releases {
				d.indented(l.g.done+" ", "  ", inkDone, "hold released by "+r.By+", "+s.m.when(r.At))
			}
		}
		d.blank()
	}
	if step.Witness != "" {
		d.callout(inkNote, inkQuiet, "WITNESS", []string{"The " + step.Witness + " is told and may watch."})
		d.blank()
	}
	for _, r := range step.Readings {
		for _, v := range st.Readings[r.Name] {
			if v.Latest && v.Judgement.Severity == checklist.Stop {
				d.callout(inkWarning, inkWrong, "STOP", []string{r.Ask + ": " + v.Judgement.Text + ". The work stops here until a new reading says otherwise."})
				d.blank()
			}
		}
	}
	if !strings.HasPrefix(step.Do, strings.TrimRight(step.Title, ". …")) {
		for _, line := range l.wrap(step.Title, d.w) {
			d.add(span{inkStrong, line})
		}
		d.add(span{inkBrand, strings.Repeat(l.g.heavy, min(d.w, textWidth(step.Title)))})
	}
	d.text(inkStrong, step.Do)
	s.told = len(d.lines)
	if blocks := s.otherBlocks(step, st); len(blocks) > 0 {
		d.blank()
		for _, b := range blocks {
			d.indented(l.g.held+" ", "  ", inkQuiet, b)
		}
	}
	if !st.Due.IsZero() && st.Status != job.Done {
		d.blank()
		d.text(inkBrand, fmt.Sprintf("%s waits until %s: %s left", l.g.waiting, s.m.when(st.Due), left(st.Due.Sub(s.m.opt.Env.Now()))))
	} else if step.Wait > 0 && st.Status != job.Done {
		d.blank()
		d.text(inkQuiet, "After this step: wait "+left(step.Wait)+".")
	}
	if len(step.Readings) > 0 {
		d.blank()
	}
	for i, r := range step.Readings {
		d.item(r.Name, func() tea.Cmd { return s.read(step, i) }, func(d *doc) { s.reading(d, r, st.Readings[r.Name]) })
	}
	if step.Why != "" {
		d.blank()
		d.indented("Why: ", "  ", inkQuiet, step.Why)
	}
	for _, n := range step.Notes {
		d.blank()
		d.indented("Note: ", "  ", inkPlain, n)
	}
}

func (s *stepScreen) reading(d *doc, r checklist.FilledReading, values []job.ReadingValue) {
	d.text(inkPlain, r.Ask)
	if len(values) == 0 {
		d.add(span{inkBrand, d.look.g.todo + " to be read"})
		if wanted := wantedText(r); wanted != "" {
			d.text(inkQuiet, "  "+wanted)
		}
		return
	}
	for _, v := range values {
		k, sign, text := inkDone, d.look.g.done, v.String()
		if g := v.Judgement; g.Severity != "" {
			k, sign, text = inkWrong, d.look.g.warn, strings.ToUpper(string(g.Severity))+": "+g.Text
		}
		if len(values) > 1 {
			text += " by " + v.By
			if v.Latest {
				text += " (counts)"
			}
		}
		d.indented(sign+" ", "  ", k, text)
	}
	if len(values) == 1 {
		d.text(inkQuiet, "  "+values[0].By+", "+s.m.when(values[0].At))
	}
}

// figures are what was worked out for this step, and no others.
func (s *stepScreen) figures(d *doc, step *checklist.FilledStep) {
	d.heading("Figures")
	for _, g := range step.Figures {
		d.pair(g.Label, inkStrong, g.Text)
		if s.sources && g.Source != "" {
			d.indented("  ", "  ", inkQuiet, g.Source)
		}
	}
	if !s.sources && len(step.Figures) > 0 {
		d.text(inkQuiet, s.m.keys.Sources.Help().Key+" shows where they come from")
	}
}

// marks are what was put on the step by hand.
func (s *stepScreen) marks(d *doc, step *checklist.FilledStep, st job.StepState) {
	for _, c := range s.work().state.Conflicts {
		if c.Step == step.ID {
			d.blank()
			d.text(inkWrong, d.look.g.warn+" Two people recorded this differently: "+c.Text+". A new entry settles it.")
		}
	}
	for _, a := range step.Accepted {
		d.blank()
		d.text(inkQuiet, "A rule says: "+a.Message)
		d.text(inkQuiet, "The procedure answers: "+a.Because)
	}
	var lines [][2]string
	for _, t := range st.Ticks {
		lines = append(lines, [2]string{d.look.g.done + " done", t.By + ", " + s.m.when(t.At)})
	}
	if len(st.Ticks)+len(st.Skips) == 0 {
		for _, t := range st.Reopened {
			lines = append(lines, [2]string{d.look.g.todo + " open again", "done by " + t.By + ", " + s.m.when(t.At) + ", before a part was changed"})
		}
	}
	for _, t := range st.Skips {
		lines = append(lines, [2]string{d.look.g.skipped + " skipped", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	for _, t := range st.Witnesses {
		lines = append(lines, [2]string{d.look.g.done + " witness", t.By + ", " + s.m.when(t.At)})
	}
	for _, g := range st.Gates {
		for _, t := range g.Passed {
			lines = append(lines, [2]string{d.look.g.done + " let pass", gateWords(g.Name) + ", by " + t.By + ": " + t.Text})
		}
	}
	for _, t := range st.Notes {
		lines = append(lines, [2]string{"note", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	for _, t := range st.Undone {
		lines = append(lines, [2]string{"undone", t.Text + " (" + t.By + ", " + s.m.when(t.At) + ")"})
	}
	if len(lines) > 0 {
		d.blank()
	}
	for _, l := range lines {
		d.indented(l[0]+": ", "  ", inkQuiet, l[1])
	}
}

// notices is the page of what is to be said about the record itself.
func (s *stepScreen) notices() tea.Cmd {
	w := s.work()
	paras := []string{"Kept in " + s.m.path(w.job.Dir())}
	for _, c := range w.state.Conflicts {
		paras = append(paras, "Differs: "+c.Text)
	}
	for _, o := range w.others(s.m.person, s.m.opt.Env.Now()) {
		paras = append(paras, fmt.Sprintf("%s is on this job as well: step %d, %s", o.name, o.step, s.m.when(o.at)))
	}
	paras = append(paras, w.state.Notices...)
	if len(paras) == 1 {
		paras = append(paras, "Nothing else is to be said about the record.")
	}
	for _, a := range w.filled.Accepted {
		paras = append(paras, "A rule says: "+strings.TrimSuffix(a.Message, ".")+". The procedure answers: "+a.Because)
	}
	s.m.push(newPage(s.m, "The record", paras...))
	return nil
}

// listDoc is the list of all steps.
func (s *stepScreen) listDoc(f *frame, width int) *doc {
	w := s.work()
	if have := s.drawn; have.of == w && have.w == width && have.touch == f.touch {
		return have.doc
	}
	d := newDoc(f.look, width, f.touch)
	stage := ""
	for i, step := range w.steps {
		if step.Stage != stage {
			stage = step.Stage
			d.heading(stage)
		}
		st := w.state.Steps[step.ID]
		sign, k, word := f.look.statusSign(st)
		d.item(step.ID, func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			tail := ""
			switch st.Status {
			case job.Todo, job.Blocked:
			case job.Done:
				if len(st.Ticks) > 0 {
					tail = st.Ticks[len(st.Ticks)-1].By
				}
			default:
				tail = word
			}
			if st.Status == job.Todo || st.Status == job.Blocked {
				switch {
				case step.Added:
					tail = "new"
				case len(st.Reopened) > 0:
					tail = "again"
				}
			}
			if step.Hold != "" && len(st.Releases) == 0 && st.Status != job.Done && st.Status != job.Skipped {
				sign, k, tail = f.look.g.held, inkBrand, "hold"
			}
			if len(st.Outside) > 0 {
				sign, k, tail = f.look.g.warn, inkWrong, "outside"
			}
			number := fmt.Sprintf("%2d ", step.Number)
			room := d.w - textWidth(number) - 2 - textWidth(tail) - 1
			title := f.look.short(step.Title, room)
			ink := inkPlain
			if st.Status == job.Done || st.Status == job.Skipped {
				ink = inkQuiet
			}
			d.add(span{inkQuiet, number}, span{k, sign + " "}, span{ink, title + strings.Repeat(" ", max(0, room-textWidth(title)+1))}, span{inkQuiet, tail})
		})
	}
	s.drawn = steplist{w, width, f.touch, d}
	return d
}

// choose shows step i and closes the list of steps where it lies over this screen.
func (s *stepScreen) choose(i int) tea.Cmd {
	if list, ok := s.m.top().(*stepsScreen); ok {
		s.m.drop(list)
	}
	s.goTo(i)
	return nil
}

// key moves the text; past its end, the figures beside it.
func (s *stepScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	before := s.v.off
	if s.fv.off > 0 && key.Matches(k, s.m.keys.Up, s.m.keys.PageUp, s.m.keys.Top) {
		return nil, s.m.moves(k, &s.fv, 0)
	}
	known := s.m.moves(k, &s.v, 0)
	if s.v.off == before && s.fv.last > 0 && key.Matches(k, s.m.keys.Down, s.m.keys.PageDown, s.m.keys.Bottom) {
		return nil, s.m.moves(k, &s.fv, 0)
	}
	return nil, known
}

// stepsScreen is the list of all steps where there is no room for it beside the step.
type stepsScreen struct {
	of *stepScreen
	v  view
}

func newSteps(of *stepScreen) *stepsScreen {
	s := &stepsScreen{of: of}
	s.v.cur = max(0, of.at)
	return s
}

func (s *stepsScreen) title() string { return s.of.title() }
func (s *stepsScreen) typing() bool  { return false }
func (s *stepsScreen) wheel(n int)   { s.v.scroll(n) }
func (s *stepsScreen) acts() []act {
	return []act{{key: s.of.m.keys.Do, word: "Show", main: true, do: func() tea.Cmd { return s.of.choose(s.v.cur) }}}
}
func (s *stepsScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, len(s.of.work().steps))
}
func (s *stepsScreen) draw(f *frame) {
	s.of.progress(f)
	d := s.of.listDoc(f, f.body.w)
	f.show(f.body, d, &s.v)
}
