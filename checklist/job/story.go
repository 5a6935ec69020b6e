package job

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"fettle/checklist"
	"fettle/threads/quantity"
)

// Story is the history of a job told as data: who came when, on a device of
// their own, and what they entered. Playing it makes the job through the same
// calls as everybody's entries. It serves to show a job half-way through.
type Story struct {
	Procedure string            `toml:"procedure"` // file of the bundled procedure
	Engine    string            `toml:"engine"`
	Settings  map[string]string `toml:"settings"`
	Visits    []Visit           `toml:"visit"` // the earliest first
}

// Visit is what one person entered in one go.
type Visit struct {
	By    string `toml:"by"`
	Ago   string `toml:"ago"`   // first entry, so long before the story is played
	Every string `toml:"every"` // from one entry to the next
	// Apart says that this device has not got yet what others entered since its
	// own last visit.
	Apart   bool      `toml:"apart"`
	Entries []Telling `toml:"entries"`
}

// Telling is one thing a person did: each key that is there makes an entry, in
// the order of the fields.
type Telling struct {
	Step    string            `toml:"step"`    // or "finding 1": the first step its decision brought in
	Release string            `toml:"release"` // by whom
	Begin   bool              `toml:"begin"`   // the wait of the step
	Clock   bool              `toml:"clock"`   // what time it is was said
	Got     string            `toml:"got"`     // the key of a thing on the next-visit list
	Read    map[string]string `toml:"read"`    // readings by name
	Note    string            `toml:"note"`

	Find     string            `toml:"find"` // kind of a finding
	Text     string            `toml:"text"`
	Place    string            `toml:"place"`
	Fastener string            `toml:"fastener"`
	Number   int               `toml:"number"`
	Hole     string            `toml:"hole"`
	Figures  map[string]string `toml:"figures"` // edge, cover_hole, head_room, depth

	Decide int    `toml:"decide"` // number of a finding
	As     string `toml:"as"`
	Thread string `toml:"thread"`
	Length string `toml:"length"`
	Boiler string `toml:"boiler"`

	Short string `toml:"short"` // what is missing
	From  string `toml:"from"`
	Put   string `toml:"put"` // goes into an opening; a negative count: comes out
	Into  string `toml:"into"`
	Count int    `toml:"count"`
	Shop  string `toml:"shop"` // temperature

	Call map[string]string `toml:"call"` // the step calls its procedure, with these settings beside those it knows
	In   string            `toml:"in"`   // all else is told of the job that this step called

	Done bool `toml:"done"` // the step is ticked
}

// ReadStory reads a story. The error names the line, or the key that is none.
func ReadStory(src []byte) (*Story, error) {
	var s Story
	meta, err := toml.Decode(string(src), &s)
	if err != nil {
		return nil, fmt.Errorf("the story cannot be read: %w", err)
	}
	if more := meta.Undecoded(); len(more) > 0 {
		return nil, fmt.Errorf("the story has a key that means nothing: %s", more[0])
	}
	if len(s.Visits) == 0 {
		return nil, errors.New("the story has no visit")
	}
	return &s, nil
}

// Play lays the story down as the job in dir, which must not be there yet. It
// appears there complete or not at all. The times of the entries lie before
// env.Now(). backstage is an empty folder on the same disk that the caller
// throws away afterwards: with it go the private folders of the people in the
// story, so that whoever opens the job here is somebody else.
//
// library has the procedures that its steps call.
func (s *Story) Play(dir, backstage string, proc *checklist.Procedure, library *checklist.Library, env Env) error {
	files := env.files()
	if _, err := files.ReadDir(dir); !errors.Is(err, fs.ErrNotExist) {
		return &FolderError{dir, "there is something of this name already: open it, or name a new folder for the demo", fs.ErrExist}
	}
	p := player{story: s, proc: proc, library: library, now: env.Now(), dir: backstage, files: hasty{files}, logs: map[string]string{}}
	for i := range s.Visits {
		if err := p.visit(&s.Visits[i]); err != nil {
			return err
		}
	}
	if err := p.bring(p.people...); err != nil {
		return err
	}
	if err := files.Rename(p.folder(p.people[0]), dir); err != nil {
		return &FolderError{dir, "the folder " + reason(err), err}
	}
	return nil
}

// hasty waits for no disk. A story that is lost with the power is told again.
type hasty struct{ FS }

func (h hasty) In(dir string) FS { return hasty{h.FS.In(dir)} }

func (hasty) SyncDir(string) error { return nil }

func (h hasty) Append(name string, create bool) (File, error) {
	f, err := h.FS.Append(name, create)
	if err != nil {
		return nil, err
	}
	return hastyFile{f}, nil
}

func (h hasty) Same(f File, name string) (bool, error) {
	if own, ok := f.(hastyFile); ok {
		f = own.File
	}
	return h.FS.Same(f, name)
}

type hastyFile struct{ File }

func (hastyFile) Sync() error { return nil }

// player plays a story behind the scenes: every person has a copy of the job
// and a private folder there.
type player struct {
	story  *Story
	proc   *checklist.Procedure
	now    time.Time
	dir    string
	files  FS
	people []string
	logs   map[string]string // whose device made a log

	library *checklist.Library // of what the steps call
}

func (p *player) folder(person string) string { return filepath.Join(p.dir, "job "+person) }

func (p *player) visit(v *Visit) error {
	ago, err := quantity.ParseSpan(v.Ago)
	if err != nil {
		return err
	}
	every, err := quantity.ParseSpan(v.Every)
	if err != nil {
		return err
	}
	clock := p.now.Add(-ago)
	env := Env{Now: func() time.Time { return clock }, Person: v.By, StateDir: filepath.Join(p.dir, "device of "+v.By), FS: p.files}
	j, err := p.opened(v, env)
	if err != nil {
		return err
	}
	for i := range v.Entries {
		clock = clock.Add(every)
		if clock.After(p.now) {
			return fmt.Errorf("%s, %s ago, entry %d: it lies in the future", v.By, v.Ago, i+1)
		}
		var disk *FolderError
		if err := p.tell(&v.Entries[i], j, env); errors.As(err, &disk) {
			return err // no fault of the story's
		} else if err != nil {
			return fmt.Errorf("%s, %s ago, entry %d: %w", v.By, v.Ago, i+1, err)
		}
	}
	return nil
}

// opened is the job on the device of whoever comes. The first starts it, others
// are given a copy.
func (p *player) opened(v *Visit, env Env) (*Job, error) {
	dir := p.folder(v.By)
	known := slices.Contains(p.people, v.By)
	if !known {
		p.people = append(p.people, v.By)
	}
	switch {
	case len(p.people) == 1 && !known:
		return Start(dir, p.proc, p.story.Settings, p.story.Engine, env)
	case !known:
		if err := p.files.MkdirAll(dir, 0o777); err != nil {
			return nil, err
		}
		for _, name := range []string{headerName, procedureName} {
			if err := p.copy(filepath.Join(p.folder(p.people[0]), name), dir); err != nil {
				return nil, err
			}
		}
	case v.Apart:
		return Open(dir, env)
	}
	if err := p.bring(v.By); err != nil {
		return nil, err
	}
	return Open(dir, env)
}

// tell makes the entries of one telling, in the job or in one that it called.
func (p *player) tell(t *Telling, j *Job, env Env) error {
	if t.Call != nil {
		id, err := j.Callable(t.Step)
		if err != nil {
			return err
		}
		proc, found := p.library.Procedure(id)
		if proc == nil || found.HasStop() {
			return fmt.Errorf("the procedure %s is not at hand", id)
		}
		plan, err := j.PlanCall(t.Step, proc)
		if err != nil {
			return err
		}
		maps.Copy(plan.Values, t.Call)
		if _, _, err = j.Call(t.Step, proc, plan.Values); err != nil {
			return err
		}
	}
	if t.In != "" {
		called := j.State().CalledBy(t.In)
		if len(called) == 0 {
			return fmt.Errorf("step %s called nothing", t.In)
		}
		inner, err := Open(called[len(called)-1].Dir, env)
		if err != nil {
			return err
		}
		return t.tell(inner)
	}
	return t.tell(j)
}

// bring carries the others' logs into the folders of some people, as a stick or
// a sync tool does. Whatever device made a log, its own folder has the newest.
func (p *player) bring(to ...string) error {
	for _, person := range to {
		for _, other := range p.people {
			if other == person {
				continue
			}
			if err := p.bringCalled(other, person); err != nil {
				return err
			}
			entries, err := p.files.ReadDir(p.folder(other))
			if err != nil {
				return err
			}
			for _, e := range entries {
				if !strings.HasPrefix(e.Name(), "log-") || p.logs[e.Name()] == person {
					continue
				}
				if p.logs[e.Name()] == "" {
					p.logs[e.Name()] = other // a log is seen first in the folder it was made in
				}
				if p.logs[e.Name()] != other {
					continue
				}
				if err := p.copy(filepath.Join(p.folder(other), e.Name()), p.folder(person)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// bringCalled carries the jobs that one person's steps called into another's
// folder. Whoever called a job works on it in a story.
func (p *player) bringCalled(from, to string) error {
	entries, err := p.files.ReadDir(filepath.Join(p.folder(from), calledName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		name := filepath.Join(calledName, e.Name())
		if p.logs[name] == "" {
			p.logs[name] = from
		}
		if p.logs[name] != from {
			continue
		}
		inside, err := p.files.ReadDir(filepath.Join(p.folder(from), name))
		if err != nil {
			return err
		}
		if err := p.files.MkdirAll(filepath.Join(p.folder(to), name), 0o777); err != nil {
			return err
		}
		for _, file := range inside {
			if !file.Type().IsRegular() {
				continue
			}
			if err := p.copy(filepath.Join(p.folder(from), name, file.Name()), filepath.Join(p.folder(to), name)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (p *player) copy(name, to string) error {
	data, err := readPlain(p.files, name, maxFile)
	if err != nil {
		return err
	}
	return replaceFile(p.files, filepath.Join(to, filepath.Base(name)), data)
}

// tell makes the entries of one telling in one job.
func (t *Telling) tell(j *Job) (err error) {
	if name, ok := strings.CutPrefix(t.Step, "finding "); ok {
		f, err := j.Finding(name)
		if err != nil {
			return err
		}
		if f.Disposition == nil || len(f.Disposition.Steps) == 0 {
			return fmt.Errorf("finding %s brought in no step", name)
		}
		t.Step = f.Disposition.Steps[0]
	}
	enter := func(wanted bool, entry func() (Saved, error)) {
		if !wanted || err != nil {
			return
		}
		var saved Saved
		if saved, err = entry(); err == nil && saved.Where != Everywhere {
			err = errors.New(saved.String())
			if saved.folderErr != nil {
				err = &FolderError{j.dir, "the folder " + reason(saved.folderErr), saved.folderErr}
			}
		}
	}
	enter(t.Clock, func() (Saved, error) { return j.SettleClock(j.env.Now()) })
	for _, name := range sortedKeys(t.Read) {
		enter(true, func() (Saved, error) { return j.Read(t.Step, name, t.Read[name]) })
	}
	enter(t.Note != "", func() (Saved, error) { return j.Note(t.Step, t.Note) })
	enter(t.Find != "", func() (Saved, error) {
		return j.Find(NewFinding{
			What: FindingKind(t.Find), Text: t.Text, Step: t.Step, Fastener: t.Fastener, Number: t.Number, Place: t.Place,
			Hole: t.Hole, Edge: t.Figures["edge"], CoverHole: t.Figures["cover_hole"], HeadRoom: t.Figures["head_room"], Depth: t.Figures["depth"],
		})
	})
	enter(t.Decide > 0, func() (Saved, error) {
		return j.Dispose(fmt.Sprint(t.Decide), NewDisposition{
			Decision: Decision(t.As), Text: t.Text, Thread: t.Thread, Length: t.Length, Boiler: t.Boiler,
		})
	})
	enter(t.Short != "", func() (Saved, error) { return j.Shortage(t.Short, t.Step, t.Count, t.From) })
	enter(t.Put != "", func() (Saved, error) { return j.CountIn(t.Into, t.Put, t.Count) })
	enter(t.Got != "", func() (Saved, error) { return j.Got(t.Got) })
	enter(t.Shop != "", func() (Saved, error) { return j.Shop(t.Shop) })
	enter(t.Begin, func() (Saved, error) { return j.Begin(t.Step, NewBegin{}) })
	enter(t.Release != "", func() (Saved, error) { return j.Release(t.Step, t.Release) })
	enter(t.Done, func() (Saved, error) { return j.Tick(t.Step) })
	return err
}
