package job

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"fettle/checklist/disk"
)

// budget is what may still be read of the jobs inside a job.
type budget struct {
	jobs  int
	bytes int64
}

func newBudget() *budget { return &budget{maxCalled, maxCalledLogs} }

// calledJob is one folder among the called jobs. It is replaced by a new one
// when anything in it changes, so what was worked out for it can be kept.
type calledJob struct {
	name    string
	looks   string // how its folder looked when it could not be opened
	job     *Job   // nil where it cannot be read
	problem string
	foreign bool // a job, but called by another

	mu   sync.Mutex // guards what follows
	at   time.Time
	last *Called
}

// calledFresh is how long a called job's standing is kept while nothing in its
// folder changes: only waits that end change it then.
const calledFresh = 20 * time.Second

// readCalled looks at the folders of the called jobs and says whether anything
// is different. The writer's lock is held.
func (j *Job) readCalled(b *budget) bool {
	found := map[string]*calledJob{}
	var notices []string
	different, more := false, 0
	for _, name := range j.calledFolders(&notices) {
		if j.depth() >= maxCalledDepth {
			more++
			continue
		}
		if b.jobs <= 0 {
			more++
			continue
		}
		b.jobs--
		before := j.inside[name]
		c := j.readOne(name, before, b)
		different = different || c != before
		found[name] = c
	}
	if more > 0 {
		notices = append(notices, fmt.Sprintf("%s not read: at most %d are, %d deep.", plural(more, "called job is", "called jobs are"), maxCalled, maxCalledDepth))
	}
	different = different || len(found) != len(j.inside) || more != j.unread || !slices.Equal(notices, j.calledNotices)
	j.inside, j.unread, j.calledNotices = found, more, notices
	return different
}

// calledFolders lists the folders that can be called jobs, by name, and says
// what else is there that looks like one.
func (j *Job) calledFolders(notices *[]string) []string {
	if !j.writer.logs.called {
		return nil
	}
	entries, err := j.env.files().ReadDir(filepath.Join(j.dir, calledName))
	var refused *disk.Refused
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case errors.As(err, &refused):
		*notices = append(*notices, "The called jobs are not read: "+said(err)+".")
		return nil
	case err != nil:
		*notices = append(*notices, "The called jobs cannot be listed: "+Plain(err.Error())+".")
		return slices.Sorted(maps.Keys(j.inside))
	}
	var names []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") || e.Type().IsRegular() {
			continue
		}
		if err := checkCalled(e); err != nil {
			*notices = append(*notices, Plain(calledName+"/"+e.Name())+" is not read: "+said(err)+".")
			continue
		}
		names = append(names, e.Name())
	}
	*notices = few(*notices)
	return names
}

// checkCalled says why something among the called jobs cannot be one.
func checkCalled(e fs.DirEntry) error {
	if err := disk.CheckFolder(e.Name(), e.Type()); err != nil {
		return err
	}
	if !validFolder(e.Name()) {
		return errors.New("it is not named as called jobs are")
	}
	return nil
}

// validFolder keeps the name of a called job's folder to what this program makes
// and what the copies of people and tools are called that stay harmless.
func validFolder(name string) bool {
	return len(name) <= 100 && strings.Trim(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") == ""
}

// readOne looks at one called job. The answer is the one before where nothing
// has changed.
func (j *Job) readOne(name string, before *calledJob, b *budget) *calledJob {
	dir := filepath.Join(j.dir, calledName, name)
	if before != nil && before.job != nil {
		changed, frozen, problem := before.job.rereadInside(b)
		if !frozen {
			return j.readOne(name, nil, b)
		}
		if !changed && problem == before.problem {
			return before
		}
		return &calledJob{name: name, job: before.job, problem: problem}
	}
	files := j.env.files()
	entries, err := files.ReadDir(dir)
	looks := ""
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			looks += fmt.Sprintf("%s %d %d\n", e.Name(), info.Size(), info.ModTime().UnixNano())
		}
	}
	if before != nil && err == nil && before.looks == looks {
		return before
	}
	c := &calledJob{name: name, looks: looks}
	h, err := readHeader(files, dir)
	switch {
	case errors.Is(err, ErrNoJob) && startable(files, dir) == nil:
		c.foreign = true // what a start left that was cut short, or has not arrived whole
		return c
	case err != nil:
		c.problem = calledProblem(dir, err)
		return c
	case h.CalledBy != j.header.Job:
		c.foreign, c.problem = true, "is no job that was called from here"
		return c
	case h.Job == j.header.Job || slices.Contains(j.outerIDs, h.Job):
		c.foreign, c.problem = true, "is a copy of the job that it lies in"
		return c
	}
	if c.job, err = open(dir, j.env, append(slices.Clone(j.outerIDs), j.header.Job), b); err != nil {
		c.job, c.problem = nil, calledProblem(dir, err)
		return c
	}
	c.problem = c.job.unreadLogs()
	return c
}

// calledProblem is an error about a called job without the folder, which stands
// before it anyway.
func calledProblem(dir string, err error) string {
	return strings.TrimPrefix(Plain(err.Error()), Plain(dir)+": ")
}

// rereadInside is reread for a job inside another. frozen says that the files
// that are written once are as they were; where not, it has to be opened afresh.
func (j *Job) rereadInside(b *budget) (changed, frozen bool, problem string) {
	j.writer.mu.Lock()
	defer j.writer.mu.Unlock()
	logs := j.writer.logs
	logs.limit = b.bytes
	before := logs.frozen
	changed, err := j.rereadLocked(b)
	if err != nil || logs.frozen != before {
		return changed, false, ""
	}
	b.bytes -= logs.bytes()
	return changed, true, j.unreadLogs()
}

// unreadLogs says that not all of a job's logs were read: what they hold could
// be anything.
func (j *Job) unreadLogs() string {
	if skipped := j.writer.logs.skipped; len(skipped) > 0 {
		return strings.TrimSuffix(skipped[0], ".")
	}
	return ""
}

// freshCalled looks at the called jobs once more before something is decided
// that hangs on them. The writer's lock is held.
func (j *Job) freshCalled() {
	if j.readCalled(newBudget()) {
		j.lookCalled()
	}
}

// calledList is what the view keeps of the called jobs.
func (j *Job) calledList() []*calledJob {
	list := make([]*calledJob, 0, len(j.inside))
	for _, name := range slices.Sorted(maps.Keys(j.inside)) {
		list = append(list, j.inside[name])
	}
	return list
}
