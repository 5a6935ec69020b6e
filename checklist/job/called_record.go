package job

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"fettle/checklist/disk"
)

// What a job's paper, its list and its check have to say of the jobs it called.

// within is the folder of a called job as it lies in this one's.
func (j *Job) within(dir string) string {
	if short, err := filepath.Rel(j.dir, dir); err == nil {
		return Plain(filepath.ToSlash(short))
	}
	return Plain(dir)
}

// calledFrom says which job called this one, and at which step.
func (j *Job) calledFrom() string {
	if len(j.above) == 0 {
		return "another job, which is not around it here (step " + j.header.CalledAt + ")"
	}
	last := j.above[len(j.above)-1]
	return Plain(last.Title) + ", step " + Plain(last.Step)
}

// placeIn is the title of a step, of this job or of the called one in dir, with
// the title of that one behind it.
func (b *recorder) placeIn(id, dir string) string {
	if dir == "" {
		return b.place(id)
	}
	for _, in := range b.inner() {
		if in.j.dir == dir {
			return in.place(id) + in.of
		}
		if strings.HasPrefix(dir, in.j.dir+string(filepath.Separator)) {
			return in.placeIn(id, dir)
		}
	}
	return id + " (in " + b.j.within(dir) + ")"
}

// insideOf is the job that a called one is; nil where it cannot be read.
func insideOf(c *Called, seen *view) *Job {
	at := slices.IndexFunc(seen.called, func(inside *calledJob) bool { return inside.job != nil && inside.name == c.Name() })
	if at < 0 || c.Problem != "" {
		return nil
	}
	return seen.called[at].job
}

// inner are the recorders of the called jobs that can be read and were not called
// off; what they say of a step names their job behind it.
func (b *recorder) inner() []*recorder {
	var list []*recorder
	for i := range b.state.Called {
		c := &b.state.Called[i]
		if inside := insideOf(c, b.seen); inside != nil && len(c.Off) == 0 {
			list = append(list, &recorder{j: inside, state: inside.State(), seen: inside.view(), now: b.now, of: " (" + c.Title + ")"})
		}
	}
	return list
}

// called puts every called job on the paper, with those that they called.
func (b *recorder) called(list []Called) {
	for i := range list {
		c := &list[i]
		b.add("Called: " + firstOf(c.Title, c.Procedure, c.Name()))
		at := c.Step
		if step := b.seen.filled.Step(c.Step); step != nil {
			at = fmt.Sprintf("%d. %s", step.Number, step.Title)
		}
		result := fmt.Sprintf("done: %d of %d steps", c.Done, c.Total)
		switch {
		case c.Problem != "":
			result = "CANNOT BE READ: " + c.Problem
		case len(c.Off) > 0:
			result = "called off: " + b.marks(c.Off)
		case c.Open:
			result = "OPEN: " + strings.Join(c.Why, "; ")
		}
		rows := [][]string{
			{"Called at", firstOf(at, "not known")},
			{"Started", b.when(c.Started) + " by " + somebody(c.By)},
			{"Result", result},
		}
		if c.Problem == "" {
			rows = append(rows, []string{"Findings", fmt.Sprintf("%d recorded, %d decided", c.Findings, c.Decided)})
		}
		if c.Outside > 0 {
			rows = append(rows, []string{"Outside limits", plural(c.Outside, "step", "steps")})
		}
		if c.Open && c.Next != "" {
			rows = append(rows, []string{"Next step", c.Next})
		}
		if len(c.Short) > 0 {
			rows = append(rows, []string{"Short of", strings.Join(c.Short, "; ")})
		}
		rows = append(rows, []string{"Its own record", "folder " + b.j.within(c.Dir)})
		b.table(rows, "", "")
		b.called(c.Called)
	}
}

// calledNeeds is what the called jobs that are open want.
func (j *Job) calledNeeds(seen *view, state State) []Need {
	var list []Need
	for i := range state.Called {
		c := &state.Called[i]
		if !c.Open || c.Problem != "" {
			continue
		}
		inside := insideOf(c, seen)
		if inside == nil {
			continue
		}
		for _, n := range inside.Needs().Items {
			n.in, n.inKey = inside, n.Key
			n.Key, n.Step = c.Name()+"/"+n.Key, c.Step
			n.Why += " (" + c.Title + ")"
			list = append(list, n)
		}
	}
	return list
}

// verifyCalled goes through the called jobs.
func (j *Job) verifyCalled() []CalledVerification {
	var list []CalledVerification
	state := j.State()
	for i := range state.Called {
		c := &state.Called[i]
		out := CalledVerification{Dir: c.Dir, Title: firstOf(c.Title, c.Procedure, c.Name()), Problem: c.Problem}
		for _, inside := range j.view().called {
			if inside.job == nil || inside.name != c.Name() {
				continue
			}
			v, err := inside.job.Verify()
			if err != nil {
				out.Problem = calledProblem(c.Dir, err)
			}
			out.Verification = v
		}
		if out.Verification == nil && out.Problem == "" {
			out.Problem = "it cannot be opened"
		}
		list = append(list, out)
	}
	return list
}

// mergeCalled brings in what another copy of the job holds in its called jobs,
// and those of them that are not here.
func (j *Job) mergeCalled(files FS, from, fromJob string, result *Merged) error {
	entries, err := files.ReadDir(filepath.Join(from, calledName))
	var refused *disk.Refused
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case errors.As(err, &refused):
		result.Notices = append(result.Notices, "No called job is brought in: "+said(err)+".")
		return nil
	case err != nil:
		return &FolderError{from, "the called jobs cannot be listed: " + Plain(err.Error()), err}
	}
	ours := map[string]*Job{}
	for _, c := range j.view().called {
		if c.job != nil {
			ours[c.job.header.Job] = c.job
		}
	}
	say := func(name, problem string) {
		result.Notices = append(result.Notices, calledName+"/"+Plain(name)+" is not brought in: "+problem+".")
	}
	for _, e := range entries {
		dir := filepath.Join(from, calledName, e.Name())
		if strings.HasPrefix(e.Name(), ".") || e.Type().IsRegular() {
			continue
		}
		if err := checkCalled(e); err != nil {
			say(e.Name(), said(err))
			continue
		}
		h, err := readHeader(files, dir)
		switch {
		case err != nil:
			say(e.Name(), strings.TrimSuffix(calledProblem(dir, err), "."))
			continue
		case h.CalledBy != fromJob:
			say(e.Name(), "it is no job that was called from there")
			continue
		}
		child := ours[h.Job]
		if child == nil {
			if len(ours) >= maxCalled || j.depth() >= maxCalledDepth {
				say(e.Name(), fmt.Sprintf("a job has at most %d called ones, %d deep", maxCalled, maxCalledDepth))
				continue
			}
			if child, err = j.takeIn(files, dir, e.Name(), h); err != nil {
				say(e.Name(), strings.TrimSuffix(said(err), "."))
				continue
			}
			ours[h.Job] = child
			result.Called++
		}
		more, err := child.Merge(dir)
		if err != nil {
			var folder *FolderError
			if !errors.As(err, &folder) {
				return err
			}
			say(e.Name(), strings.TrimSuffix(calledProblem(dir, err), "."))
			continue
		}
		result.Entries += more.Entries
		result.Lines += more.Lines
		result.Photos += more.Photos
		result.Called += more.Called
		for _, n := range more.Notices {
			result.Notices = append(result.Notices, calledName+"/"+Plain(e.Name())+": "+n)
		}
	}
	_, err = j.reread()
	return err
}

// takeIn lays down a called job that only another copy has. Its entries follow
// by a merge, which can be made again if it is cut short.
func (j *Job) takeIn(files FS, from, name string, h *header) (*Job, error) {
	source, err := readPlain(files, filepath.Join(from, procedureName), maxProcedure)
	if err != nil {
		return nil, err
	}
	head, err := readPlain(files, filepath.Join(from, headerName), maxHeader)
	if err != nil {
		return nil, err
	}
	dir := filepath.Join(j.dir, calledName, name)
	if startable(files, dir) != nil { // another called job has the name
		step, _, _ := strings.Cut(h.CalledAt, " ")
		if !validFolder(step) || len(step) > 60 {
			step = "called"
		}
		dir = filepath.Join(j.dir, calledName, step+"-"+randomWord(6))
	}
	if err := layDown(files, dir, source, head); err != nil {
		return nil, err
	}
	return open(dir, j.env, append(slices.Clone(j.outerIDs), j.header.Job), newBudget())
}
