package tui

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/disk"
	"fettle/checklist/job"
	"fettle/checklist/source"
	"fettle/checklist/workshop"
	"fettle/threads/check"
	"fettle/tui/paint"
)

// preview shows a procedure file as the fitter will see it, while somebody
// writes it: every step can be paged to, every setting has its default, and
// what is wrong with the file stands under the step. The file is read again as
// soon as it was saved; a version that cannot be read leaves the one before on
// the screen.
type preview struct {
	*stepScreen
	file    string
	seen    glance
	proc    *checklist.Procedure
	found   source.Diagnostics
	trouble string // why the file cannot be read at all
	old     bool   // what is shown is a version before
	under   view   // what is wrong with the file
}

// lookEvery is how often the file is looked at.
const lookEvery = 500 * time.Millisecond

// young is how long after a file was written it may be written again without
// its time or size telling so; until then it is read at every look.
const young = 2 * time.Second

func newPreview(m *model, file string) *preview {
	return &preview{
		stepScreen: &stepScreen{m: m, at: -1, v: view{free: true, bare: true}},
		file:       file, under: view{free: true, bare: true},
	}
}

// glance is what one look at the file saw.
type glance struct {
	at      time.Time
	size    int64
	src     []byte
	trouble string
	done    bool
}

// previewed is the answer of a look at the file.
type previewed struct {
	of      *preview
	same    bool
	glance  glance
	proc    *checklist.Procedure
	found   source.Diagnostics
	work    *work
	shop    workshop.Tools
	hasShop bool
}

// look reads the file, if it was saved since the last look.
func (p *preview) look() tea.Cmd {
	m, last, file := p.m, p.seen, p.file
	return m.keeper.later(func() tea.Msg {
		r := previewed{of: p, glance: glanceAt(file, last, m.opt.Env.Now())}
		if !last.done {
			// A preview goes on without the person's own tools.
			shop, err := workshop.Read(m.opt.Config)
			r.shop, r.hasShop = shop, err == nil
		}
		if last.done && r.glance.trouble == last.trouble && bytes.Equal(r.glance.src, last.src) {
			r.same = true
			return r
		}
		if r.glance.trouble != "" {
			return r
		}
		// Made anew each time: what is called may have been saved as well.
		library := checklist.NewLibrary(disk.Folder(filepath.Dir(file), longestProcedure), m.opt.Recipes)
		r.proc, r.found = checklist.Check(file, r.glance.src, library)
		if r.proc != nil {
			r.work = shownWork(r.proc, m.opt.Answers)
		}
		return r
	})
}

// glanceAt looks at the file; what was seen last is the answer where nothing shows
// that it was saved since.
func glanceAt(file string, last glance, now time.Time) glance {
	g := glance{done: true}
	in, err := disk.Opener{}.Open(file)
	if err == nil {
		defer in.Close()
		var info fs.FileInfo
		if info, err = in.Stat(); err == nil {
			g.at, g.size = info.ModTime(), info.Size()
			if last.done && last.trouble == "" && g.at.Equal(last.at) && g.size == last.size && now.Sub(g.at) > young {
				return last
			}
			g.src, err = disk.ReadAll(in, file, source.MaxFile)
		}
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		g.trouble = "There is no file " + file + " at the moment."
	case err != nil:
		g.trouble = "The file cannot be read: " + err.Error()
	}
	return g
}

// shownWork is a procedure with some answers, and its defaults for the rest, ready to
// be shown; nil where it has no step to show.
func shownWork(p *checklist.Procedure, answers map[string]string) *work {
	filled, _ := p.Fill(answers)
	w := &work{filled: filled, state: job.State{Steps: map[string]job.StepState{}}}
	for _, step := range filled.Steps() {
		shown := *step
		shown.Needs = nil // the step as it is when its turn has come
		w.steps = append(w.steps, &shown)
		w.state.Steps[step.ID] = job.StepState{Status: job.Todo}
	}
	w.state.Total = len(w.steps)
	if len(w.steps) == 0 {
		return nil
	}
	return w
}

type lookAgain struct{ of *preview }

func (l lookAgain) settle(*model) tea.Cmd { return l.of.look() }

func (r previewed) settle(m *model) tea.Cmd {
	p := r.of
	if r.hasShop {
		m.shop = r.shop
	}
	p.take(r)
	if m.opt.Still {
		return nil
	}
	return tea.Tick(lookEvery, func(time.Time) tea.Msg { return lookAgain{p} })
}

// take shows what was read and keeps the place.
func (p *preview) take(r previewed) {
	p.seen = r.glance
	if r.same {
		return
	}
	p.trouble, p.found = r.glance.trouble, r.found
	p.under = view{free: true, bare: true}
	when := p.m.opt.Env.Now().Format("15:04:05")
	if r.work == nil {
		p.old = p.m.work != nil
		p.m.say(paint.InkWrong, when+" cannot be shown")
		return
	}
	before := p.m.work
	p.m.work, p.proc, p.old = r.work, r.proc, false
	if len(r.found) == 0 {
		p.m.say(paint.InkDone, when+" nothing to put right")
	} else {
		p.m.say(paint.InkCaution, when+" found: "+counted(r.found))
	}
	if before == nil || p.at < 0 {
		return
	}
	at := nearest(before.steps, p.at, r.work.steps)
	if before.steps[p.at].ID != r.work.steps[at].ID {
		p.goTo(at)
		return
	}
	p.at, p.whole = at, false
}

// nearest is where the step at of the old steps is among the new: by its id;
// else, where a new step stands in its place, that one; else the nearest of
// its neighbours that is still there.
func nearest(old []*checklist.FilledStep, at int, now []*checklist.FilledStep) int {
	find := func(steps []*checklist.FilledStep, id string) int {
		return slices.IndexFunc(steps, func(s *checklist.FilledStep) bool { return s.ID == id })
	}
	if i := find(now, old[at].ID); i >= 0 {
		return i
	}
	if at < len(now) && find(old, now[at].ID) < 0 {
		return at
	}
	for d := 1; d < len(old); d++ {
		for _, i := range [...]int{at - d, at + d} {
			if i < 0 || i >= len(old) {
				continue
			}
			if found := find(now, old[i].ID); found >= 0 {
				return found
			}
		}
	}
	return min(at, len(now)-1)
}

// counted says how many mistakes of which weight there are.
func counted(found source.Diagnostics) string {
	var words []string
	for _, severity := range []check.Severity{check.Stop, check.Warn, check.Ask, check.Note} {
		n := 0
		for _, d := range found {
			if d.Severity == severity {
				n++
			}
		}
		if n > 0 {
			words = append(words, fmt.Sprintf("%d %s", n, severity))
		}
	}
	return strings.Join(words, ", ")
}

func (p *preview) title() string {
	if p.m.work == nil {
		return "Preview of " + p.file
	}
	return p.stepScreen.title() + "  preview"
}

func (p *preview) acts() []act {
	k := p.m.keys
	leave := act{key: k.Quit, word: "Leave", do: func() tea.Cmd { return tea.Quit }}
	mistakes := act{key: k.Mistakes, word: "Mistakes", do: func() tea.Cmd { p.m.push(newMistakes(p)); return nil }}
	if len(p.found) == 0 {
		mistakes.off = "Nothing is wrong with the file."
	}
	w := p.m.work
	if w == nil {
		return []act{mistakes, leave}
	}
	last := p.at >= len(w.steps)-1
	move := act{key: k.Do, main: true, word: "Next", do: func() tea.Cmd { p.goTo(p.at + 1); return nil }}
	switch {
	case p.at >= 0 && !p.whole:
		move.word, move.do = "Read on", func() tea.Cmd { p.v.page(1); return nil }
	case last:
		move.word, move.do = "First page", func() tea.Cmd { p.goTo(-1); return nil }
	}
	before := act{key: k.Prev, word: "Before", do: func() tea.Cmd { p.goTo(p.at - 1); return nil }}
	if p.at < 0 {
		before.off = "This is the first page."
	}
	after := act{key: k.Next, word: "After", do: func() tea.Cmd { p.goTo(p.at + 1); return nil }}
	if last {
		after.off = "This is the last step."
	}
	acts := []act{move, before, after, mistakes,
		{key: k.Steps, word: "Steps", do: func() tea.Cmd { p.m.push(newSteps(p.stepScreen)); return nil }}}
	if step, st := p.step(); step != nil && len(step.Readings) > 0 {
		acts = append(acts, act{key: k.Reading, word: "Reading", do: func() tea.Cmd { return p.readAny(step, st) }})
	}
	return append(acts,
		act{key: k.Sources, word: "Sources", do: func() tea.Cmd { p.sources = !p.sources; return nil }},
		leave)
}

func (p *preview) key(k tea.KeyMsg) (tea.Cmd, bool) {
	if p.m.work == nil {
		return nil, p.m.moves(k, &p.under, 0)
	}
	return p.stepScreen.key(k)
}

func (p *preview) wheel(n int) {
	if p.m.work == nil {
		p.under.scroll(n)
		return
	}
	p.stepScreen.wheel(n)
}

func (p *preview) draw(f *frame) {
	whole := f.Areas
	d := newDoc(f.Look, whole.Body.W, f.Touch)
	p.mistakes(d)
	if p.m.work == nil {
		if !p.seen.done {
			d.text(paint.InkQuiet, "Reading "+p.file)
		}
		f.show(whole.Body, d, &p.under)
		return
	}
	rows := 0
	if len(d.lines) > 0 && whole.Body.H >= 8 {
		rows = min(len(d.lines), max(3, whole.Body.H/3)) + 1
	}
	for _, r := range []*paint.Rect{&f.Areas.Body, &f.Areas.Main, &f.Areas.Side, &f.Areas.Aside} {
		if !r.Empty() {
			*r = r.Cut(0, 0, 0, rows)
		}
	}
	p.m.work.state.Done = p.at + 1 // the head counts pages here
	p.stepScreen.draw(f)
	f.Areas = whole
	if rows > 0 {
		at := whole.Body.Cut(0, whole.Body.H-rows, 0, 0)
		f.Label(paint.Rect{X: at.X, Y: at.Y, W: at.W, H: 1}, paint.InkQuiet, strings.Repeat(f.Look.G.Rule, at.W))
		f.show(at.Cut(0, 1, 0, 0), d, &p.under)
	}
}

// mistakes writes everything that is wrong with the file, in its order.
func (p *preview) mistakes(d *doc) {
	if p.trouble != "" {
		d.text(paint.InkWrong, d.look.G.Warn+" "+p.trouble)
	}
	if p.old {
		d.text(paint.InkWrong, "The steps shown are those of the version before.")
	}
	for _, g := range p.found {
		p.mistake(d, g)
	}
}

func (p *preview) mistake(d *doc, g source.Diagnostic) {
	k := paint.InkQuiet
	switch g.Severity {
	case check.Stop:
		k = paint.InkWrong
	case check.Warn:
		k = paint.InkBrand
	}
	where := g.Path
	if g.Line > 0 {
		where = fmt.Sprintf("%d:%d", g.Line, g.Column)
	}
	if where != "" {
		where += ": "
	}
	d.indented("", "  ", k, where+string(g.Severity)+": "+g.Message)
	if g.Suggestion != "" {
		d.indented("  ", "  ", paint.InkQuiet, g.Suggestion)
	}
}

// mistakesScreen is the list of what is wrong, on a page of its own; each leads
// to its step.
type mistakesScreen struct {
	of *preview
	v  view
}

func newMistakes(of *preview) *mistakesScreen { return &mistakesScreen{of: of} }

func (s *mistakesScreen) title() string { return "Mistakes in " + s.of.file }
func (s *mistakesScreen) typing() bool  { return false }
func (s *mistakesScreen) wheel(n int)   { s.v.scroll(n) }
func (s *mistakesScreen) acts() []act {
	return []act{{key: s.of.m.keys.Do, word: "Show", main: true, do: func() tea.Cmd { return s.choose(s.v.cur) }}}
}
func (s *mistakesScreen) key(k tea.KeyMsg) (tea.Cmd, bool) {
	return nil, s.of.m.moves(k, &s.v, len(s.of.found))
}

// choose shows the step that mistake i is in.
func (s *mistakesScreen) choose(i int) tea.Cmd {
	p := s.of
	if i >= len(p.found) || p.m.work == nil {
		return nil
	}
	at := p.placeOf(p.found[i])
	if at < 0 {
		p.m.say(paint.InkNote, "This one is in no step that is shown.")
		return nil
	}
	p.m.drop(s)
	p.goTo(at)
	return nil
}

// placeOf is the place of the step that a mistake is in; -1 for none.
func (p *preview) placeOf(d source.Diagnostic) int {
	var stage, step int
	if n, _ := fmt.Sscanf(d.Path, "stage[%d].step[%d]", &stage, &step); n != 2 || p.proc == nil ||
		stage < 1 || stage > len(p.proc.Stages) || step < 1 || step > len(p.proc.Stages[stage-1].Steps) {
		return -1
	}
	return p.work().place(p.proc.Stages[stage-1].Steps[step-1].ID)
}

func (s *mistakesScreen) draw(f *frame) {
	d := newDoc(f.Look, min(f.Body.W, 90), f.Touch)
	if len(s.of.found) == 0 {
		d.text(paint.InkQuiet, "Nothing is wrong with the file.")
	}
	for i, g := range s.of.found {
		d.item(fmt.Sprint("mistake ", i+1), func() tea.Cmd { return s.choose(i) }, func(d *doc) { s.of.mistake(d, g) })
	}
	f.show(f.Body, d, &s.v)
}
