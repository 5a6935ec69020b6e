package tui

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"
	tea "github.com/charmbracelet/bubbletea"

	"fettle/checklist"
	"fettle/checklist/disk"
	"fettle/checklist/job"
	"fettle/checklist/source"
	"fettle/checklist/workshop"
	"fettle/tui/paint"
)

// keeper runs everything that touches the disk, one after the other and never
// in Update, and lets the program wait for what is under way when it ends.
type keeper struct {
	mu    sync.Mutex
	wg    sync.WaitGroup
	looks int // how often a job has been looked at; guarded by mu
}

// later makes a command of do. The count goes up at once, so that a program
// that ends right after still waits.
func (k *keeper) later(do func() tea.Msg) tea.Cmd {
	k.wg.Add(1)
	return func() tea.Msg {
		defer k.wg.Done()
		k.mu.Lock()
		defer k.mu.Unlock()
		return do()
	}
}

// work is the job that is open, with its state as last worked out.
type work struct {
	job    *job.Job // nil where a file is only shown
	look   int      // answers may overtake each other on their way; the later look counts
	filled *checklist.Filled
	steps  []*checklist.FilledStep
	state  job.State
	last   struct{ what, step string } // what an undo would take back
}

// see works out how a job stands. The lock is held.
func (k *keeper) see(j *job.Job) *work {
	k.looks++
	filled := j.Filled()
	w := &work{job: j, look: k.looks, filled: filled, steps: filled.Steps(), state: j.State()}
	w.last.what, w.last.step = j.LastEntry()
	return w
}

// place is the position of a step in w.steps, -1 where it does not apply.
func (w *work) place(id string) int {
	return slices.IndexFunc(w.steps, func(s *checklist.FilledStep) bool { return s.ID == id })
}

// spoken tells whether there is something to be said about the record itself.
func (w *work) spoken() bool { return len(w.state.Notices)+len(w.state.Conflicts) > 0 }

// spokenWord says in a word or two what that is about.
func (w *work) spokenWord() string {
	switch n := len(w.state.Conflicts); {
	case n == 1:
		return "1 differs"
	case n > 1:
		return fmt.Sprintf("%d differ", n)
	}
	if n := len(w.state.Notices); n > 1 {
		return fmt.Sprintf("%d notices", n)
	}
	return "notice"
}

// saved is the answer to an entry.
type saved struct {
	what string
	got  job.Saved
	err  error
	work *work
	then func(error) tea.Cmd
}

// save makes an entry in the open job. then is called in Update with how it went.
func (m *model) save(what string, do func(*job.Job) (job.Saved, error), then func(error) tea.Cmd) tea.Cmd {
	if m.work.job == nil {
		m.say(paint.InkNote, "A preview: nothing is kept.")
		if then == nil {
			return nil
		}
		return then(nil)
	}
	if m.saving {
		m.say(paint.InkCaution, "Still saving the entry before.")
		return nil
	}
	if m.person == "" {
		m.askWho(func() tea.Cmd { return m.save(what, do, then) })
		return nil
	}
	m.saving = true
	j := m.work.job
	return m.keeper.later(func() tea.Msg {
		got, err := do(j)
		return saved{what, got, err, m.keeper.see(j), then}
	})
}

func (s saved) settle(m *model) tea.Cmd {
	m.saving, m.kept = false, true
	m.half = s.got.Notice
	m.take(s.work)
	switch {
	case s.err != nil:
		m.say(paint.InkWrong, notSaved(s.err))
	case s.got.Where != job.Everywhere:
		m.say(paint.InkCaution, string(s.got.Where)+": "+s.what)
	default:
		m.say(paint.InkDone, fmt.Sprintf("Saved %s: %s", m.now().Format(job.Minute), s.what))
		if m.footCut() { // what was saved goes before when
			m.say(paint.InkDone, "Saved: "+s.what)
		}
		if warned, ok := strings.CutPrefix(s.got.Said, "warn: "); ok {
			m.say(paint.InkCaution, "Saved. WARN: "+warned)
		}
	}
	var next tea.Cmd
	if s.then != nil {
		next = s.then(s.err)
	}
	return tea.Batch(next, m.follow(), m.catchUp())
}

// notSaved says why an entry was not kept.
func notSaved(err error) string {
	var blocked *job.BlockedError
	var lost *job.NotSavedError
	switch {
	case errors.As(err, &blocked):
		return "Not now: " + strings.Join(blocked.Blocks, "; ") + "."
	case errors.As(err, &lost):
		return lost.Error()
	case errors.Is(err, job.ErrNothingToUndo):
		return "Nothing made on this device is left to undo."
	}
	return "Not saved: " + strings.TrimSuffix(err.Error(), ".") + "."
}

// take makes w the state shown, unless another job has been opened meanwhile.
func (m *model) take(w *work) {
	if m.work != nil && w != nil && m.work.job == w.job && w.look > m.work.look {
		was := m.work
		m.work = w
		for _, sc := range m.stack {
			if s, ok := sc.(*stepScreen); ok {
				s.keepPlace(was)
			}
		}
	}
}

// refreshed is the answer of looking at the folder.
type refreshed struct {
	work *work
	err  error
}

// refresh reads what other devices have added to the open job, or the list of
// jobs where none is open.
func (m *model) refresh() tea.Cmd {
	if m.saving {
		return nil
	}
	if m.work == nil || m.work.job == nil {
		return nil
	}
	j := m.work.job
	return m.keeper.later(func() tea.Msg {
		_, err := j.Refresh()
		return refreshed{m.keeper.see(j), err}
	})
}

func (r refreshed) settle(m *model) tea.Cmd {
	m.take(r.work)
	if r.err != nil && !m.kept {
		m.say(paint.InkCaution, "Cannot look at the job's folder: "+r.err.Error())
	}
	return m.follow()
}

// shelf is one procedure that can be started. The list needs no more than the
// head of the file; all of it is read when it is chosen.
type shelf struct {
	name         string
	id           string // empty where the head does not say it
	title, about string
	src          []byte
	own          bool               // not a bundled one
	bad          source.Diagnostics // why it cannot be started, as far as it was read
	folders      []fs.FS            // of the stages that it shares
}

// read reads the whole procedure. Without a mistake that stops it, bad is empty.
func (s shelf) read() (p *checklist.Procedure, bad source.Diagnostics) {
	p, found := checklist.NewLibrary(s.folders...).Read(s.name, s.src)
	if p == nil || found.HasStop() {
		return nil, found
	}
	return p, nil
}

// glance reads title and about from the lines before the first table, where
// they must stand. It fails where a line of a long text looks like a table.
func (s *shelf) glance() bool {
	head := s.src
	if i := bytes.Index(head, []byte("\n[")); i >= 0 {
		head = head[:i+1]
	}
	var top struct{ ID, Title, About string }
	if _, err := toml.Decode(string(head), &top); err != nil || top.Title == "" {
		return false
	}
	s.id, s.title, s.about = top.ID, top.Title, top.About
	return true
}

// begun is the answer of the first look at the disk.
type begun struct {
	person string
	jobs   []job.Summary
	shelf  []shelf
	err    error // the folder of the jobs cannot be read
	opened *work
	beside []string // see [opened]
	failed error    // the job that was to be opened cannot be
	shop   workshop.Tools
	noShop error // the person's own tools cannot be read
}

// begin reads who is working, the jobs and the procedures, and opens the job
// named on the command line.
func (m *model) begin() tea.Cmd {
	o := m.opt
	return m.keeper.later(func() tea.Msg {
		var b begun
		// A device that cannot say who works asks again; nothing is lost by that.
		b.person, _ = job.Person(o.Env)
		b.shelf = readShelf(o.Recipes, false, nil)
		if o.Beside != "" {
			b.shelf = append(b.shelf, readShelf(disk.Folder(o.Beside, longestProcedure), true, o.Recipes)...)
		}
		b.shop, b.noShop = workshop.Read(o.Config)
		b.jobs, b.err = listJobs(o)
		if o.Open != "" {
			var j *job.Job
			if o.Env.Person == "" {
				o.Env.Person = b.person // the one that is shown
			}
			if j, b.failed = job.Open(o.Open, o.Env); b.failed == nil {
				b.opened, b.beside = m.keeper.see(j), j.Beside()
			}
		}
		return b
	})
}

// listJobs reads the jobs in the folder of the jobs, then those that lie
// beside it; those that are put away stand last. A folder of the jobs that is not
// there yet holds none.
func listJobs(o Options) ([]job.Summary, error) {
	jobs, err := jobsIn(o)
	slices.SortStableFunc(jobs, func(a, b job.Summary) int {
		switch {
		case a.Closed == b.Closed:
			return 0
		case a.Closed:
			return 1
		}
		return -1
	})
	return jobs, err
}

func jobsIn(o Options) ([]job.Summary, error) {
	jobs, err := job.List(o.Jobs, o.Env)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if o.Beside == "" {
		return jobs, err
	}
	more, _ := job.ListHere(o.Beside, o.Env)
	return append(jobs, more...), err
}

// longestProcedure is the most that is read of a file beside the jobs; no
// procedure comes near it.
const longestProcedure = 1 << 20

// readShelf lists the procedures in a folder. The bundled ones are known to be
// whole, so a glance is enough. A person's own are read to their end, so that
// the list says which have mistakes; of these only files that mean to be
// procedures are taken. Those come with the bundled ones, whose stages they may share.
func readShelf(from fs.FS, own bool, bundled fs.FS) []shelf {
	if from == nil {
		return nil
	}
	names, _ := fs.Glob(from, "*.toml")
	var all []shelf
	for _, name := range names {
		src, err := fs.ReadFile(from, name)
		if err != nil {
			continue
		}
		s := shelf{name: name, title: name, src: src, own: own, folders: []fs.FS{from, bundled}}
		if !own && s.glance() {
			all = append(all, s)
			continue
		}
		p, found := checklist.NewLibrary(s.folders...).Read(name, src)
		if own && (p == nil || p.Format == 0 || len(p.Stages) == 0) {
			continue
		}
		if p == nil || found.HasStop() {
			s.bad = found
		} else {
			s.id, s.title, s.about = p.ID, p.Title, p.About
		}
		all = append(all, s)
	}
	return all
}

func (b begun) settle(m *model) tea.Cmd {
	m.person = b.person
	if m.opt.Env.Person != "" {
		m.person = m.opt.Env.Person
	}
	m.shop = b.shop
	if b.noShop != nil {
		m.say(paint.InkCaution, "Your own tools cannot be read: "+b.noShop.Error())
	}
	if h, ok := m.stack[0].(*home); ok {
		h.jobs, h.shelf, h.err, h.loaded = b.jobs, b.shelf, b.err, true
	}
	switch {
	case b.failed != nil:
		m.say(paint.InkWrong, b.failed.Error())
	case b.opened != nil:
		m.open(b.opened)
		m.warnBeside(b.beside)
	}
	return nil
}

// warnBeside says what other jobs on the engine have open before a pressure test.
func (m *model) warnBeside(open []string) {
	if len(open) > 0 {
		m.say(paint.InkCaution, "WARN: "+strings.Join(open, " "))
	}
}

// open shows a job at the step to work on next.
func (m *model) open(w *work) {
	m.work = w
	m.stack = m.stack[:1]
	m.push(newStep(m))
}

// opened is the answer of opening or starting a job.
type opened struct {
	work *work
	err  error
	then func(*work, error)
	// beside is what other jobs on the engine have open before a pressure test.
	beside []string
}

func (m *model) openJob(dir string) tea.Cmd {
	env := m.opt.Env
	env.Person = m.person
	return m.keeper.later(func() tea.Msg {
		j, err := job.Open(dir, env)
		if err != nil {
			return opened{err: err}
		}
		return opened{work: m.keeper.see(j), beside: j.Beside()}
	})
}

func (o opened) settle(m *model) tea.Cmd {
	switch {
	case o.then != nil:
		o.then(o.work, o.err)
	case o.err != nil:
		m.say(paint.InkWrong, o.err.Error())
	default:
		m.open(o.work)
	}
	if o.err == nil {
		m.warnBeside(o.beside)
	}
	return nil
}

// startJob lays down a job in a new folder under the folder of the jobs.
func (m *model) startJob(p *checklist.Procedure, values map[string]string, engine string, then func(*work, error)) tea.Cmd {
	env, root := m.opt.Env, m.opt.Jobs
	env.Person = m.person
	return m.keeper.later(func() tea.Msg {
		dir := filepath.Join(root, folderName(engine, p.ID))
		j, err := job.Start(dir, p, values, engine, env)
		for n := 2; err != nil && errors.Is(err, fs.ErrExist) && n < 100; n++ {
			j, err = job.Start(dir+"-"+strconv.Itoa(n), p, values, engine, env)
		}
		if err != nil {
			return opened{err: err, then: then}
		}
		return opened{work: m.keeper.see(j), then: then, beside: j.Beside()}
	})
}

// folderName makes the name of a job's folder from plain letters and digits
// alone, so that every system can carry it.
func folderName(engine, procedure string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(engine) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() >= 24 {
			break
		}
	}
	name := strings.Trim(b.String(), "-")
	if name == "" {
		name = "engine"
	}
	return name + "-" + procedure
}
