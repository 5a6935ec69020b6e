package job

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fettle/checklist/disk"
)

// Summary is one line of a list of jobs.
type Summary struct {
	Dir         string
	Procedure   string // id
	Title       string
	Engine      string
	Started     time.Time
	Done, Total int // steps that need no more work, steps that apply
	Next        string
	Outside     int      // steps with a reading outside its limits
	Notices     []string // what is to be said about the record itself (see [State])
	// OpenFindings counts what was found and nobody has decided about.
	OpenFindings int
	Called       []Called // the jobs that it called; they lie inside it
	Closed       bool     // put away
	Differ       []string // what was written apart and waits to be settled
	Dangers      []string // what stands on the engine

	Err error // the job cannot be opened; only Dir is sure then
}

// Limits of a search for jobs, so that a list of a whole disk comes to an end.
const (
	listDepth   = 5
	listFolders = 20000
)

// List finds the jobs in root and below it, the last started first. Hidden
// folders, links and the insides of jobs are not searched; nor is anything
// more than five folders down. The error says that root cannot be read.
func List(root string, env Env) ([]Summary, error) {
	env = env.in(root)
	files := env.files()
	if _, err := files.ReadDir(root); err != nil {
		return nil, &FolderError{root, "the folder cannot be read: " + said(err), err}
	}
	var list []Summary
	left := listFolders
	var search func(dir string, depth int)
	search = func(dir string, depth int) {
		left--
		entries, err := files.ReadDir(dir)
		if err != nil || left < 0 {
			return
		}
		if slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == headerName }) {
			list = append(list, summarise(dir, env))
			return
		}
		if depth == listDepth {
			return
		}
		for _, e := range entries {
			if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
				search(filepath.Join(dir, e.Name()), depth+1)
			}
		}
	}
	search(root, 0)
	slices.SortStableFunc(list, func(a, b Summary) int { return b.Started.Compare(a.Started) })
	return list, nil
}

// ListHere is the jobs that lie directly in root, by name. The other folders in
// it are not listed: it may be a whole home.
func ListHere(root string, env Env) ([]Summary, error) {
	env = env.in(root)
	entries, err := env.files().ReadDir(root)
	var jobs []Summary
	for _, e := range entries {
		dir := filepath.Join(root, e.Name())
		if !e.IsDir() || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		f, err := env.files().Open(filepath.Join(dir, headerName))
		if err == nil {
			f.Close()
		}
		var refused *disk.Refused
		if err == nil || errors.As(err, &refused) {
			jobs = append(jobs, summarise(dir, env))
		}
	}
	return jobs, err
}

func summarise(dir string, env Env) Summary {
	j, err := Open(dir, env)
	if err != nil {
		return Summary{Dir: dir, Err: err}
	}
	state := j.State()
	started, _ := j.Started()
	open := 0
	for _, f := range state.Findings {
		if !f.Decided() {
			open++
		}
	}
	var differ, dangers []string
	for _, c := range state.Conflicts {
		if c.Holds {
			differ = append(differ, c.In(j.Filled()))
		}
	}
	for _, d := range state.Standing() {
		dangers = append(dangers, d.String())
	}
	return Summary{
		Closed: len(state.Closed) > 0, Differ: differ, Dangers: dangers,
		Dir: dir, Procedure: j.header.Procedure, Title: j.Filled().Title, Engine: j.Engine(), Started: started,
		Done: state.Done + state.Skipped, Total: state.Total, Next: state.Next,
		Outside: state.Outside, Notices: state.Notices,
		OpenFindings: open, Called: state.Called,
	}
}
