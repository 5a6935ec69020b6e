package tui

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/disk"
	"fettle/checklist/job"
	"fettle/checklist/source"
	"fettle/tui/paint"
)

// A step can call another procedure, which becomes a job inside the job. It is
// opened as any job is; going back opens the calling job at the step again, so
// that how it stands is judged anew.

// called are the jobs that a step called; on the last step also those whose step
// is not in the job any more.
func (w *work) called(step *checklist.FilledStep) []job.Called {
	list := w.state.CalledBy(step.ID)
	if step.Number == len(w.steps) {
		for _, c := range w.state.Called {
			if w.place(c.Step) < 0 {
				list = append(list, c)
			}
		}
	}
	return list
}

// openCalled are those among them that are neither finished nor called off.
func (w *work) openCalled(step *checklist.FilledStep) []job.Called {
	return slices.DeleteFunc(w.called(step), func(c job.Called) bool { return !c.Open })
}

// uncalled says that the step always calls a procedure and has not called it.
func (w *work) uncalled(step *checklist.FilledStep) bool {
	return step.Call != nil && step.Call.Ask == "" &&
		!slices.ContainsFunc(w.called(step), func(c job.Called) bool { return len(c.Off) == 0 })
}

// mayCall says that a further job can be called at the step.
func (w *work) mayCall(step *checklist.FilledStep) bool {
	return step.Call != nil && (step.Call.Ask != "" || w.uncalled(step))
}

// callName is the title of a procedure that is called, where it is at hand; else
// its id.
func (m *model) callName(id string) string {
	if h, ok := m.stack[0].(*home); ok {
		for _, s := range h.shelf {
			if s.id == id && s.title != "" {
				return s.title
			}
		}
	}
	return id
}

// callAct is the act of a step that calls another procedure.
func (s *stepScreen) callAct(step *checklist.FilledStep) act {
	return act{key: s.m.keys.Call, word: "Call", do: func() tea.Cmd { return s.call(step) }}
}

// call shows what the step called, or begins the first call.
func (s *stepScreen) call(step *checklist.FilledStep) tea.Cmd {
	if len(s.work().called(step)) == 0 {
		return s.startCall(step)
	}
	s.m.push(&calledScreen{of: s, step: step.ID})
	return nil
}

// goOnCalled opens the one job that is open, or shows them where there are more.
func (s *stepScreen) goOnCalled(step *checklist.FilledStep) tea.Cmd {
	open := s.work().openCalled(step)
	if len(open) == 1 && open[0].Problem == "" {
		return s.m.openJob(open[0].Dir)
	}
	return s.call(step)
}

// calledText is what stands on the step about what it calls.
func (s *stepScreen) calledText(d *doc, step *checklist.FilledStep) {
	list := s.work().called(step)
	if step.Call == nil && len(list) == 0 {
		return
	}
	d.blank()
	for _, c := range list {
		d.item("called "+c.Name(), func() tea.Cmd { return s.m.openCalled(c) }, func(d *doc) { calledItem(d, c) })
	}
	if step.Call != nil && (s.work().mayCall(step) || s.work().job == nil) {
		d.item("start "+step.Call.Procedure, func() tea.Cmd { return s.startCall(step) }, func(d *doc) { s.startItem(d, step) })
	}
}

// calledItem is one called job in a list.
func calledItem(d *doc, c job.Called) {
	title := job.Plain(c.Title)
	if c.Title == "" {
		title = job.Plain(c.Name())
	}
	switch {
	case c.Problem != "":
		d.indented(title+": ", "  ", paint.InkWrong, "cannot be read: "+c.Problem)
	case len(c.Off) > 0:
		d.pair(title, paint.InkQuiet, "called off")
	case !c.Open:
		d.pair(title, paint.InkDone, d.look.G.Done+" done")
	default:
		d.pair("Go on: "+title, paint.InkBrand, fmt.Sprintf("%d of %d", c.Done, c.Total))
	}
}

// startItem is the line that begins a call.
func (s *stepScreen) startItem(d *doc, step *checklist.FilledStep) {
	d.indented("", "  ", paint.InkStrong, "Start: "+s.m.callName(step.Call.Procedure))
	if step.Call.Ask != "" {
		d.indented("  ", "  ", paint.InkQuiet, "if yes: "+step.Call.Ask)
		return
	}
	d.indented("  ", "  ", paint.InkQuiet, "comes before this step is done")
}

// openCalled opens a called job, or says why it cannot be.
func (m *model) openCalled(c job.Called) tea.Cmd {
	if c.Problem != "" {
		m.push(newPage(m, "This job cannot be opened", c.Dir, c.Problem))
		return nil
	}
	return m.openJob(c.Dir)
}

// calledTitle is the head of a called job: the calling one in few words, then
// its own.
func (m *model) calledTitle() string {
	w := m.work
	above := w.job.Above()
	if len(above) == 0 {
		return w.filled.Title
	}
	lead := ""
	if len(above) > 1 {
		lead = m.look.G.Cut + " > "
	}
	const name, least, most = 8, 6, 30 // cells left to who works; of the calling job's title
	room := m.w - name - paint.TextWidth(lead+" > "+w.filled.Title)
	return lead + m.look.Short(above[len(above)-1].Title, max(least, min(most, room))) + " > " + w.filled.Title
}

// out goes back to the step of the calling job, or home where there is none.
func (s *stepScreen) out() tea.Cmd {
	m := s.m
	above := s.work().job.Above()
	if len(above) == 0 {
		return s.home()
	}
	to, env := above[len(above)-1], m.opt.Env
	env.Person = m.person
	return m.keeper.later(func() tea.Msg {
		then := func(w *work, err error) {
			if err != nil {
				m.say(paint.InkWrong, err.Error())
				return
			}
			m.open(w)
			if at := w.place(to.Step); at >= 0 {
				m.top().(*stepScreen).goTo(at)
			}
		}
		j, err := job.Open(to.Dir, env)
		if err != nil {
			return opened{err: err, then: then}
		}
		return opened{work: m.keeper.see(j), then: then}
	})
}

// outWord is on the button that leads back to the calling job.
const outWord = "Out"

// leave is the way out of a job.
func (s *stepScreen) leave() act {
	if j := s.work().job; j != nil && len(j.Above()) > 0 {
		return act{key: s.m.keys.Back, word: outWord, do: s.out}
	}
	return act{key: s.m.keys.Back, word: "Home", do: s.home}
}

// callReady is the answer of looking for a procedure that a step calls.
type callReady struct {
	of   *work
	step string
	id   string
	proc *checklist.Procedure
	bad  source.Diagnostics
	plan job.CallPlan
	err  error
}

// startCall looks for the procedure that a step calls and asks for its settings.
func (s *stepScreen) startCall(step *checklist.FilledStep) tea.Cmd {
	m, w := s.m, s.work()
	if w.job == nil {
		m.say(paint.InkNote, "A preview: nothing is started.")
		return nil
	}
	folders := []fs.FS{disk.Folder(filepath.Dir(outermost(w.job)), longestProcedure), m.opt.Recipes}
	if m.opt.Beside != "" {
		folders = append([]fs.FS{disk.Folder(m.opt.Beside, longestProcedure)}, folders...)
	}
	j, id := w.job, step.ID
	return m.keeper.later(func() tea.Msg {
		r := callReady{of: w, step: id}
		if r.id, r.err = j.Callable(id); r.err != nil {
			return r
		}
		r.proc, r.bad = checklist.NewLibrary(folders...).Procedure(r.id)
		if r.proc != nil && !r.bad.HasStop() {
			r.plan, r.err = j.PlanCall(id, r.proc)
		}
		return r
	})
}

// outermost is the folder of the job that all the others lie in.
func outermost(j *job.Job) string {
	if above := j.Above(); len(above) > 0 {
		return above[0].Dir
	}
	return j.Dir()
}

func (r callReady) settle(m *model) tea.Cmd {
	switch {
	case m.work == nil || m.work.job != r.of.job:
	case r.err != nil:
		m.say(paint.InkCaution, notSaved(r.err))
	case r.proc == nil:
		m.push(newPage(m, "The procedure is not here", "This step calls "+r.id+". It lies neither beside the job nor among the bundled procedures.",
			"Put its file into the folder of the jobs, or start it with: fettle job call "+r.step+" --procedure FILE"))
	case r.bad.HasStop():
		var lines []string
		for _, d := range r.bad {
			lines = append(lines, d.String())
		}
		m.push(newPage(m, "This procedure has mistakes", lines...))
	default:
		m.push(newCallForm(m, r))
	}
	return nil
}

// newCallForm asks for the settings of a called procedure; what the calling job
// knows stands there already.
func newCallForm(m *model, r callReady) *form {
	f := &form{m: m, proc: r.proc, values: r.plan.Values, engine: m.work.job.Engine(), call: &r}
	f.fill()
	// The keys begin at the first question that is still open.
	f.v.cur = len(f.warns) + 1 + max(0, slices.IndexFunc(f.asked, func(set checklist.Setting) bool { return f.wrong(set) != nil }))
	return f
}

// calledIntro says what the form of a called procedure begins with.
func (s *form) calledIntro(d *doc) {
	if s.call.plan.Ask != "" {
		d.text(paint.InkPlain, "Called if yes: "+s.call.plan.Ask)
	}
	for _, text := range s.call.plan.Refused {
		d.text(paint.InkBrand, d.look.G.Warn+" not taken over: "+text)
	}
}

// startCalled lays down the called job and opens it.
func (s *form) startCalled() tea.Cmd {
	m, r, j, values := s.m, s.call, s.call.of.job, s.values
	then := s.started
	return m.keeper.later(func() tea.Msg {
		child, _, err := j.Call(r.step, r.proc, values)
		if child == nil {
			return opened{err: err, then: then}
		}
		// The called job is there, whatever the log of the calling one says.
		return opened{work: m.keeper.see(child), then: then}
	})
}

// calledScreen lists what a step called.
type calledScreen struct {
	of   *stepScreen
	step string
	v    view
}

// now is the step, with what it called.
func (s *calledScreen) now() (*checklist.FilledStep, []job.Called) {
	w := s.of.work()
	if i := w.place(s.step); i >= 0 {
		return w.steps[i], w.called(w.steps[i])
	}
	return nil, nil
}

func (s *calledScreen) title() string {
	if step, _ := s.now(); step != nil {
		return fmt.Sprintf("Called at step %d", step.Number)
	}
	return "Called"
}
func (s *calledScreen) typing() bool { return false }
func (s *calledScreen) wheel(n int)  { s.v.scroll(n) }

// rows are how many lines can be chosen.
func (s *calledScreen) rows() int {
	step, list := s.now()
	if step != nil && s.of.work().mayCall(step) {
		return len(list) + 1
	}
	return len(list)
}

func (s *calledScreen) acts() []act {
	k, m := s.of.m.keys, s.of.m
	step, list := s.now()
	if step == nil || s.rows() == 0 {
		return []act{{key: k.Do, word: "Back", main: true, do: m.back}}
	}
	main := act{key: k.Do, word: "Open", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}
	off := act{key: k.CallOff, word: "Call off", off: "Choose one that was called."}
	if s.v.cur >= len(list) {
		main.word = "Start"
	} else {
		off.off = ""
		off.do = func() tea.Cmd { return s.callOff(list[s.v.cur]) }
	}
	return []act{main, off}
}

func (s *calledScreen) choose(i int) tea.Cmd {
	step, list := s.now()
	s.v.cur, s.v.free = i, false
	switch {
	case step == nil:
		return nil
	case i < len(list):
		return s.of.m.openCalled(list[i])
	}
	return s.of.startCall(step)
}

// callOff takes back a start that was a mistake.
func (s *calledScreen) callOff(c job.Called) tea.Cmd {
	m := s.of.m
	if c.Problem != "" {
		m.say(paint.InkCaution, "It cannot be read, so it cannot be called off.")
		return nil
	}
	env := m.opt.Env
	env.Person = m.person
	q := m.inquire("Call off")
	return q.put("Why was it started by mistake?", func(e *entry) {
		e.about = []string{c.Says(), "Once a step of it is done it is finished, not called off."}
		e.word = "Call off"
	}, func(why string) tea.Cmd {
		return q.save("called off: "+c.Title, func(j *job.Job) (job.Saved, error) {
			child, err := job.Open(c.Dir, env)
			if err != nil {
				return job.Saved{}, err
			}
			got, err := child.CallOff(why)
			if err == nil {
				_, err = j.Refresh()
			}
			return got, err
		}, nil)
	})
}

func (s *calledScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, s.rows())
}

func (s *calledScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	step, list := s.now()
	at := paint.Rect{X: f.Body.X, Y: f.Body.Y, W: d.w, H: f.Body.H}
	if step == nil {
		d.text(paint.InkStrong, "This step is not in the job any more.")
		f.show(at, d, &s.v)
		return
	}
	d.text(paint.InkStrong, step.Title)
	d.blank()
	for i, c := range list {
		d.item("called "+c.Name(), func() tea.Cmd { return s.choose(i) }, func(d *doc) {
			calledItem(d, c)
			d.indented("  ", "  ", paint.InkQuiet, "started by "+c.By+", "+s.of.m.when(c.Started))
			switch {
			case c.Problem != "":
			case len(c.Off) > 0:
				d.indented("  ", "  ", paint.InkQuiet, c.Off[0].By+": "+c.Off[0].Text)
			case c.Open:
				d.indented("  ", "  ", paint.InkPlain, "left: "+strings.Join(c.Why, "; "))
			}
			for _, h := range c.Holds {
				d.indented("  ", "  ", paint.InkBrand, d.look.G.Held+" hold: the "+h.Who+" releases "+h.Step)
			}
		})
	}
	if s.of.work().mayCall(step) {
		d.item("start "+step.Call.Procedure, func() tea.Cmd { return s.choose(len(list)) }, func(d *doc) { s.of.startItem(d, step) })
	}
	f.show(at, d, &s.v)
}
