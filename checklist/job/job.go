package job

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"fettle/checklist"
	"fettle/checklist/source"
	"fettle/threads/check"
)

// Env is what a job takes from outside.
type Env struct {
	// Now is the clock. It stamps entries and decides whether a wait is over.
	Now func() time.Time
	// StateDir is this device's private folder: its identity, who is working,
	// and its own copy of every entry. Never inside a job, never synced.
	StateDir string
	// Person is who is working. Empty means the name this device remembers.
	Person string
	// FS is where files are kept; nil means the real file system.
	FS FS

	here    *time.Location // the device's zone, where Now is by a workshop's clock already
	without Rule           // the one rule that a test of the hazard table takes out
}

func (env Env) files() FS {
	if env.FS != nil {
		return env.FS
	}
	return onDisk{}
}

// in is the environment for work in a folder that was named: below it, and below
// this device's own, no link is followed.
func (env Env) in(dir string) Env {
	env.FS = env.files().In(env.StateDir).In(outermost(dir))
	return env
}

// outermost is the folder of the job that a folder among called jobs lies in by
// its name: whoever names a called job names a place in that one, and what lies
// on the way there is as much from others as what it holds.
func outermost(dir string) string {
	for range maxCalledDepth {
		if filepath.Base(filepath.Dir(dir)) == calledName {
			dir = filepath.Dir(filepath.Dir(dir))
		}
	}
	return dir
}

// Job is an open job. Its methods may be called from several goroutines; those
// that only look never wait for the disk.
type Job struct {
	dir    string
	env    Env
	header *header
	wall   Wall
	proc   *checklist.Procedure
	edited []string // files that are not what the job started with
	words  map[string]stepWords

	above    []Outer  // the jobs around a called one
	outerIDs []string // their ids, as far as they were opened together

	// The called jobs inside this one; guarded by the writer's lock.
	inside        map[string]*calledJob // by folder
	unread        int                   // that were not read
	calledNotices []string

	writer *writer

	mu     sync.Mutex // guards what follows; never held while the disk works
	person string
	healed int
	seen   *view
}

// view is what was known after the last look at the disk. It is never changed.
type view struct {
	fold     *fold
	base     *checklist.Filled // as the procedure has it
	filled   *checklist.Filled // with what dispositions changed
	measured map[string]string
	settings map[string]string // as answered at the start, and put right since
	found    []Finding         // what readings and tests found by themselves
	unfit    []string          // what is wrong with the settings or the frozen procedure
	changed  *changes
	notices  []string // about the files
	unshared int
	called   []*calledJob

	calledNotices []string
	calledUnread  int

	lastCall string  // the job that was called since last, from this device; "" for none
	last     *folded // what Undo takes back; nil where there is nothing
	healed   int     // entries put back into the folder since the job was opened
}

// Open reads the job in dir. A folder that is no job, or whose job is newer
// than this program, is a *FolderError.
func Open(dir string, env Env) (*Job, error) { return open(dir, env, nil, newBudget()) }

// open is Open for a job that lies in others: outer are their ids, and b is what
// may still be read.
func open(dir string, env Env, outer []string, b *budget) (*Job, error) {
	env = env.in(dir)
	files := env.files()
	h, err := readHeader(files, dir)
	if errors.Is(err, ErrNoFolder) && (&device{files: files, dir: env.StateDir}).knows(dir) {
		return nil, &FolderError{dir, "the folder is gone; this device has saved entries in it. Moved or renamed: name it where it is now. Lost: put an older copy or an unpacked export in its place and run \"fettle job verify\"; the entries made on this device come back", ErrLost}
	}
	if err != nil {
		return nil, err
	}
	source, err := readPlain(files, filepath.Join(dir, procedureName), maxProcedure)
	if err != nil {
		return nil, &FolderError{dir, said(err), err}
	}
	proc, found := checklist.Read(filepath.Join(dir, procedureName), source)
	if proc == nil || found.Unreadable() {
		return nil, &FolderError{dir, procedureName + " is not valid: " + firstStop(found), nil}
	}
	if env.here == nil {
		env.here = env.Now().Location()
	}
	wall, now := wallOf(h.Zone, h.Started, env.here), env.Now
	env.Now = func() time.Time { return wall.In(now()) }
	person := env.Person
	if person == "" {
		// A job can be looked at where the private folder cannot be read.
		person, _ = Person(env)
	}
	dev := &device{files: files, dir: env.StateDir}
	logs := newLogs(files, dir, dev.twin(h.Job))
	if len(outer) > 0 {
		logs.limit = b.bytes
	}
	var edited []string
	if h.edited {
		edited = append(edited, headerName)
	}
	if digest(source) != h.Digest {
		edited = append(edited, procedureName)
	}
	j := &Job{
		dir: dir, env: env, header: h, wall: wall, proc: proc, edited: edited, words: wordsOf(proc),
		writer: newWriter(files, env.Now, dev, logs),
		person: person,
		above:  outerJobs(files, dir, h), outerIDs: outer,
	}
	j.writer.mu.Lock()
	defer j.writer.mu.Unlock()
	if _, err := logs.refresh(); err != nil {
		return nil, &FolderError{dir, "the logs cannot be read: " + Plain(err.Error()), err}
	}
	if len(outer) > 0 {
		b.bytes -= logs.bytes()
	}
	j.readCalled(b)
	if err := j.look(); err != nil {
		return nil, err
	}
	return j, nil
}

func firstStop(found source.Diagnostics) string {
	for _, d := range found {
		if d.Severity == check.Stop {
			return Plain(fmt.Sprintf("line %d: %s", d.Line, d.Message))
		}
	}
	return "it cannot be read"
}

// look works out everything from what the logs hold now. The writer's lock is held.
func (j *Job) look() error {
	started, _ := j.Started()
	f := foldLogs(j.writer.logs, started, j.keeps)
	f.times.hang(j.wall)
	measured := j.measured(f)
	j.mu.Lock()
	before, healed := j.seen, j.healed
	j.mu.Unlock()
	seen := &view{fold: f, measured: measured, settings: j.settings(f), notices: fileNotices(j.writer.logs), unshared: len(j.writer.missing()), healed: healed}
	seen.last, seen.lastCall = j.lastEntry(f)
	j.seeCalled(seen)
	if before != nil && maps.Equal(before.measured, measured) && maps.Equal(before.settings, seen.settings) {
		seen.base, seen.unfit = before.base, before.unfit
	} else {
		seen.base, seen.unfit = j.fill(f, measured)
	}
	seen.found = j.foundOf(f, seen.base)
	seen.changed = j.decided(f, seen.base, seen.found)
	seen.filled = seen.base
	switch {
	case before != nil && seen.base == before.base && before.changed.same(seen.changed):
		seen.filled = before.filled // what the steps answer for may still be more: see changes.touch
	case len(seen.changed.list) > 0:
		seen.filled, _ = j.proc.Revise(seen.changed.list).FillMeasured(j.settings(f), measured)
	}
	j.mu.Lock()
	j.seen = seen
	j.mu.Unlock()
	return nil
}

// seeCalled puts the called jobs into a view. The writer's lock is held.
func (j *Job) seeCalled(seen *view) {
	seen.called, seen.calledNotices, seen.calledUnread = j.calledList(), j.calledNotices, j.unread
}

// lookCalled is look where nothing but a called job has changed.
func (j *Job) lookCalled() {
	seen := *j.view()
	j.seeCalled(&seen)
	j.mu.Lock()
	j.seen = &seen
	j.mu.Unlock()
}

func (j *Job) view() *view {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.seen
}

// Dir is the job's folder.
func (j *Job) Dir() string { return j.dir }

// Engine is the engine the job is about.
func (j *Job) Engine() string {
	taken := slices.ContainsFunc(j.proc.Settings, func(s checklist.Setting) bool { return s.Name == engineAnswer })
	if recs := j.view().fold.judged[KindAnswer]; !taken {
		for _, rec := range slices.Backward(recs) {
			if rec.Reading == engineAnswer {
				return rec.Value
			}
		}
	}
	return j.header.Engine
}

// Started is when the job was started, and by whom.
func (j *Job) Started() (time.Time, string) {
	at, _ := time.Parse(time.RFC3339, j.header.Started)
	return j.wall.In(at), j.header.By
}

// Person is who is working; empty until somebody said so.
func (j *Job) Person() string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.person
}

// SetPerson changes who is working, here and for later jobs on this device.
func (j *Job) SetPerson(name string) error {
	name, err := CheckPerson(name)
	if err != nil {
		return err
	}
	j.mu.Lock()
	j.person = name
	j.mu.Unlock()
	return SetPerson(j.env, name)
}

// Filled is the procedure with the job's settings and the readings taken so far.
func (j *Job) Filled() *checklist.Filled { return j.view().filled }

// healAgain is how long Refresh waits before it tries a folder again that did
// not take what is saved on this device only.
const healAgain = time.Minute

// Refresh looks for entries that other devices or windows added, and says
// whether anything changed. It also adds to the folder what so far is saved on
// this device only. It reads the disk: call it off the drawing path.
func (j *Job) Refresh() (bool, error) {
	changed, err := j.reread()
	if err == nil && j.healCalled() {
		changed, err = true, nil
		_, err = j.reread()
	}
	if err != nil || j.view().unshared == 0 || !j.writer.mayHeal(healAgain) {
		return changed, err
	}
	healed, err := j.writer.heal()
	if err != nil {
		return changed, nil // State still says that it is on this device only
	}
	j.mu.Lock()
	j.healed += healed
	j.mu.Unlock()
	_, err = j.reread()
	return true, err
}

func (j *Job) reread() (bool, error) {
	j.writer.mu.Lock()
	defer j.writer.mu.Unlock()
	return j.rereadLocked(newBudget())
}

// rereadLocked is reread with the writer's lock held.
func (j *Job) rereadLocked(b *budget) (bool, error) {
	changed, err := j.writer.logs.refresh()
	if err != nil {
		return false, &FolderError{j.dir, "the job folder " + reason(err), err}
	}
	called := j.readCalled(b)
	if unshared := len(j.writer.missing()); changed || unshared != j.view().unshared {
		return true, j.look()
	}
	if called {
		j.lookCalled()
	}
	return called, nil
}

// healCalled adds to the folders of called jobs what so far is saved on this
// device only, and says whether it had to.
func (j *Job) healCalled() bool {
	healed := false
	for _, c := range j.view().called {
		if c.job != nil && c.job.view().unshared > 0 {
			changed, err := c.job.Refresh()
			healed = healed || changed && err == nil
		}
	}
	if healed {
		j.forgetCalled()
	}
	return healed
}

// saveBy is save for an entry that the person at work makes.
func (j *Job) saveBy(ask func(by string) (Entry, error)) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
		return ask(by)
	})
}

// save adds an entry and works out the state again.
func (j *Job) save(ask func() (Entry, error)) (Saved, error) {
	return j.writer.save(func(changed bool) (Entry, error) {
		// The lock is held and everything is read: what ask sees is what stands.
		if changed {
			if err := j.look(); err != nil {
				return Entry{}, err
			}
		}
		entry, err := ask()
		if err == nil {
			j.answerFor(&entry)
			entry.Met = j.view().fold.unmet(j.ownEntry)
		}
		return entry, err
	}, j.look)
}

// ownEntry says whether this device made an entry. The writer's lock is held.
func (j *Job) ownEntry(rec *record) bool {
	return rec.inTwin || j.writer.alone[rec.key()] != nil
}

// worker is who works now; an entry without a name is not made.
func (j *Job) worker() (string, error) {
	if name := j.Person(); name != "" {
		return CheckPerson(name)
	}
	return "", ErrNobody
}
