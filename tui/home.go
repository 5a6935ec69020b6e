package tui

import (
	"fmt"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist/job"
	"fettle/tui/paint"
)

// home is the first screen: the jobs under way, and the procedures to start.
type home struct {
	m      *model
	loaded bool
	jobs   []job.Summary
	shelf  []shelf
	err    error
	v      view
}

func newHome(m *model) *home { return &home{m: m} }

func (h *home) title() string { return "fettle" }
func (h *home) typing() bool  { return false }
func (h *home) wheel(n int)   { h.v.scroll(n) }

func (h *home) acts() []act {
	k := h.m.keys
	open := act{key: k.Do, word: "Open", main: true, do: func() tea.Cmd { return h.choose(h.v.cur) }}
	switch {
	case !h.loaded:
		open.off = "Still reading the folder."
	case len(h.jobs)+len(h.shelf) == 0:
		open.off = "There is nothing to open here."
	case h.v.cur >= len(h.jobs):
		open.word = "Start"
	}
	acts := []act{open}
	if h.demo() {
		acts = append(acts, act{key: k.Demo, word: "Demo", do: h.m.layDemo})
	}
	return append(acts, []act{
		{key: k.Who, word: "Who", do: func() tea.Cmd { h.m.askWho(nil); return nil }},
		{key: k.Refresh, word: "Reread", do: func() tea.Cmd { return h.m.reread() }},
		{key: k.Quit, word: "Leave", do: func() tea.Cmd { return tea.Quit }},
	}...)
}

// demo says whether the demo is offered: while there is no job to look at.
func (h *home) demo() bool {
	return h.loaded && h.err == nil && len(h.jobs) == 0 && len(h.m.opt.Demo) > 0
}

func (h *home) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, h.m.moves(k, &h.v, len(h.jobs)+len(h.shelf))
}

// choose opens a job or begins a procedure.
func (h *home) choose(i int) tea.Cmd {
	h.v.cur, h.v.free = i, false
	if i < len(h.jobs) {
		if err := h.jobs[i].Err; err != nil {
			h.m.push(newPage(h.m, "This job cannot be opened", h.jobs[i].Dir, err.Error()))
			return nil
		}
		return h.m.openJob(h.jobs[i].Dir)
	}
	i -= len(h.jobs)
	if i >= len(h.shelf) {
		return nil
	}
	s := h.shelf[i]
	proc, bad := s.read()
	if bad != nil {
		var lines []string
		for _, d := range bad {
			lines = append(lines, fmt.Sprintf("%s:%d: %s: %s", d.File, d.Line, d.Severity, d.Message))
		}
		h.m.push(newPage(h.m, "This procedure has mistakes", append([]string{s.name}, lines...)...))
		return nil
	}
	h.m.push(newForm(h.m, proc))
	return nil
}

func (h *home) draw(f *frame) {
	w := f.Body.W
	if f.Shape == paint.Wide {
		w = min(w, 110)
	}
	d := newDoc(f.Look, w, f.Touch)
	switch {
	case !h.loaded:
		d.blank()
		d.text(paint.InkQuiet, "Reading the folder "+h.m.path(h.m.opt.Jobs))
	case h.err != nil:
		d.callout(paint.InkWarning, paint.InkWrong, "THE JOBS CANNOT BE READ", []string{h.err.Error(),
			"Put that right and press " + h.m.keys.Refresh.Help().Key + ", or start fettle with --jobs and another folder."})
	}
	for i, j := range h.jobs {
		switch {
		case j.Closed && (i == 0 || !h.jobs[i-1].Closed):
			d.heading("Put away")
		case !j.Closed && i == 0:
			d.heading("Jobs under way")
		}
		d.item(filepath.Base(j.Dir), func() tea.Cmd { return h.choose(i) }, func(d *doc) { h.jobItem(d, j) })
	}
	if h.loaded && h.err == nil && len(h.jobs) == 0 {
		d.blank()
		d.text(paint.InkStrong, "No job is under way here yet.")
		d.text(paint.InkQuiet, "Choose a procedure and press the large button to start one.")
		if h.demo() {
			d.text(paint.InkBrand, "New here? Press d for a demo, a refit half-way through.")
		}
	}
	if len(h.shelf) > 0 {
		d.heading("Start a new job")
	}
	for i, s := range h.shelf {
		d.item(s.name, func() tea.Cmd { return h.choose(len(h.jobs) + i) }, func(d *doc) {
			if s.bad != nil {
				d.text(paint.InkStrong, s.name)
				d.text(paint.InkWrong, "has mistakes and cannot be started")
				return
			}
			if s.own {
				d.pair(s.title, paint.InkQuiet, "in this folder")
			} else {
				d.text(paint.InkStrong, s.title)
			}
			about := d.look.Wrap(s.about, d.w)
			if len(about) > 2 {
				second := d.look.Short(about[1], d.w-2)
				if !strings.HasSuffix(second, d.look.G.Cut) {
					second += " " + d.look.G.Cut
				}
				about = []string{about[0], second}
			}
			for _, line := range about {
				d.text(paint.InkQuiet, line)
			}
		})
	}
	d.blank()
	d.text(paint.InkQuiet, "Jobs are kept in "+h.m.path(h.m.opt.Jobs))
	f.show(paint.Rect{X: f.Body.X, Y: f.Body.Y, W: w, H: f.Body.H}, d, &h.v)
}

func (h *home) jobItem(d *doc, j job.Summary) {
	if j.Err != nil {
		d.text(paint.InkStrong, filepath.Base(j.Dir))
		d.text(paint.InkWrong, "cannot be opened: "+j.Err.Error())
		return
	}
	count := fmt.Sprintf("%d of %d", j.Done, j.Total)
	name := d.look.Short(j.Engine, max(1, d.w-paint.TextWidth(count)-16))
	room := d.w - paint.TextWidth(name) - paint.TextWidth(count) - 4
	bar := min(24, room)
	pad := strings.Repeat(" ", max(2, d.w-paint.TextWidth(name)-max(0, bar)-1-paint.TextWidth(count)))
	spans := []paint.Span{{Ink: paint.InkStrong, Text: name}, {Ink: paint.InkPlain, Text: pad}}
	if bar >= 6 {
		full := 0
		if j.Total > 0 {
			full = bar * j.Done / j.Total
		}
		spans = append(spans, paint.Span{Ink: paint.InkBrand, Text: strings.Repeat(d.look.G.Heavy, full)},
			paint.Span{Ink: paint.InkQuiet, Text: strings.Repeat(d.look.G.Rule, bar-full)})
	}
	d.add(append(spans, paint.Span{Ink: paint.InkPlain, Text: " " + count})...)
	d.text(paint.InkPlain, j.Title)
	for _, text := range j.Dangers {
		d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, "WARNING: "+text)
	}
	for _, text := range j.Differ {
		d.indented(d.look.G.Warn+" ", "  ", paint.InkWrong, "to be settled: "+text)
	}
	switch j.OpenFindings {
	case 0:
	case 1:
		d.text(paint.InkBrand, d.look.G.Warn+" 1 finding is open")
	default:
		d.text(paint.InkBrand, fmt.Sprintf("%s %d findings are open", d.look.G.Warn, j.OpenFindings))
	}
	for i := range j.Called {
		if c := &j.Called[i]; c.Open {
			d.text(paint.InkBrand, "> "+c.Says())
		}
	}
	switch {
	case j.Closed:
		d.text(paint.InkQuiet, "put away")
	case j.Done >= j.Total:
		d.text(paint.InkDone, "every step is done")
	}
	if j.Outside > 0 {
		d.text(paint.InkWrong, fmt.Sprintf("%s outside limits at %d of its steps", d.look.G.Warn, j.Outside))
	}
	if len(j.Notices) > 0 {
		d.text(paint.InkWrong, d.look.G.Warn+" the record has something to say: open it, then i")
	}
}

// reread looks at the folder of the jobs again.
func (m *model) reread() tea.Cmd {
	o := m.opt
	return m.keeper.later(func() tea.Msg {
		jobs, err := listJobs(o)
		return reread{jobs, err}
	})
}

type reread struct {
	jobs []job.Summary
	err  error
}

func (r reread) settle(m *model) tea.Cmd {
	if h, ok := m.stack[0].(*home); ok {
		h.jobs, h.err = r.jobs, r.err
	}
	return nil
}

// askWho asks for the name of the person at this device. then is what was to be
// done before it turned out that nobody had said it; nil for nothing.
func (m *model) askWho(then func() tea.Cmd) {
	e := newEntry(m, "Who is working", "Your name", func(name string) tea.Cmd { return m.setWho(name, then) })
	e.about = []string{"It stands beside every entry made on this device. It is asked once; w on the first screen changes it."}
	if then != nil {
		e.about = append(e.about, "Then fettle goes on with what you were doing.")
	}
	e.named = true
	e.judge = func(name string) verdict {
		if name == "" {
			return verdict{refused: true}
		}
		if _, err := job.CheckPerson(name); err != nil {
			return verdict{refused: true, ink: paint.InkWrong, text: err.Error()}
		}
		return verdict{}
	}
	e.offer(m.people())
	e.start(m.person)
	m.push(e)
}

func (m *model) setWho(name string, then func() tea.Cmd) tea.Cmd {
	env, j := m.opt.Env, (*job.Job)(nil)
	if m.work != nil {
		j = m.work.job
	}
	return m.keeper.later(func() tea.Msg {
		if j != nil {
			return whoSet{name, j.SetPerson(name), then}
		}
		return whoSet{name, job.SetPerson(env, name), then}
	})
}

type whoSet struct {
	name string
	err  error
	then func() tea.Cmd
}

func (w whoSet) settle(m *model) tea.Cmd {
	// The name works from now on even where it could not be remembered.
	m.person = w.name
	m.opt.Env.Person = w.name
	if e, ok := m.top().(*entry); ok {
		m.drop(e)
	}
	if w.err != nil {
		m.say(paint.InkCaution, "The name holds until fettle ends: this device's own folder "+job.Trouble(w.err)+".")
	}
	if w.then != nil {
		return w.then()
	}
	return nil
}

// path writes a folder the way people read it, from their home folder on.
func (m *model) path(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return dir
	}
	if rel, err := filepath.Rel(m.opt.Home, abs); m.opt.Home != "" && err == nil && filepath.IsLocal(rel) {
		return filepath.Join("~", rel)
	}
	return abs
}

// page is text to read and go back from.
type page struct {
	m     *model
	name  string
	paras []string
	more  []act // what can be done besides going back
	v     view
}

func newPage(m *model, name string, paras ...string) *page {
	return &page{m: m, name: name, paras: paras}
}

func (p *page) title() string { return p.name }
func (p *page) typing() bool  { return false }
func (p *page) wheel(n int)   { p.v.scroll(n) }
func (p *page) acts() []act {
	return append([]act{{key: p.m.keys.Do, word: "Back", main: true, do: p.m.back}}, p.more...)
}
func (p *page) key(k tea.KeyMsg) (tea.Cmd, bool) { return nil, p.m.moves(k, &p.v, 0) }
func (p *page) draw(f *frame) {
	d := newDoc(f.Look, f.Body.W, f.Touch)
	for _, para := range p.paras {
		d.blank()
		d.text(paint.InkPlain, para)
	}
	f.show(f.Body, d, &p.v)
}
