package job

import (
	"fmt"
	"path/filepath"
	"slices"
	"time"
)

// A step can call another procedure. It becomes a job of its own in a folder
// inside the calling job's, so that it travels with it:
//
//	<job>/called/<step>-<random>/job.toml, procedure.toml, log-*.jsonl, photos/
//
// Its job.toml names the calling job and the step. Two devices that both start
// one make two; both are shown. What is read of them is bounded, and what cannot
// be read is a notice and a shut gate, never an error of the calling job.

// calledName is the folder of the jobs that a job called.
const calledName = "called"

// Limits of the jobs inside a job.
const (
	maxCalled      = 100      // called jobs that are read, all levels together
	maxCalledDepth = 3        // levels below the outermost job
	maxCalledLogs  = 64 << 20 // bytes of their logs that are read, all together
)

// Called is a job that a step called, as its calling job sees it.
type Called struct {
	Step      string // that called it
	Job       string // its id; empty where it cannot be read
	Dir       string // its folder
	Procedure string // id
	Title     string
	Started   time.Time
	By        string // who started it

	Done, Total int // steps that need no more work, steps that apply
	Outside     int // steps with a reading outside its limits
	Findings    int // recorded
	Decided     int // findings somebody decided about
	Next        string

	// Open says that it is neither finished nor called off: then the step that
	// called it cannot be done. Why says what is left, in plain words.
	Open bool
	Why  []string
	Off  []Mark // who called it off, and why

	// Problem says why it cannot be read; it counts as open then.
	Problem string

	Holds   []Hold
	Waiting []Wait
	Short   []string // what it is short of
	Dangers []Danger // that it found, or a job inside it
	Called  []Called // what it called itself

	Notices []string
}

// Name is the name of its folder.
func (c *Called) Name() string { return filepath.Base(c.Dir) }

// Says is the called job in a few words: "Save a damaged hole, 3 of 14".
func (c *Called) Says() string {
	title := firstOf(c.Title, c.Procedure, Plain(c.Name()))
	switch {
	case c.Problem != "":
		return title + ", cannot be read"
	case len(c.Off) > 0:
		return title + ", called off"
	case !c.Open:
		return title + ", done"
	}
	return fmt.Sprintf("%s, %d of %d", title, c.Done, c.Total)
}

// CalledBy are the jobs that a step called, in the order of their start.
func (s State) CalledBy(step string) []Called {
	var list []Called
	for _, c := range s.Called {
		if c.Step == step {
			list = append(list, c)
		}
	}
	return list
}

// Outer is a job that a called job lies in.
type Outer struct{ Dir, Title, Step string }

// Above are the jobs that this one lies in, the outermost first, each with the
// step that called the next; none where it was not called, or where its folder
// was taken out of theirs.
func (j *Job) Above() []Outer { return slices.Clone(j.above) }

// IsCalled says whether another job called this one.
func (j *Job) IsCalled() bool { return j.header.CalledBy != "" }

// depth is how many jobs this one lies in.
func (j *Job) depth() int {
	if j.IsCalled() {
		return max(1, len(j.above))
	}
	return 0
}

// outerJobs reads the job.toml of the jobs around a called one. More than can be
// around one are not looked for.
func outerJobs(files FS, dir string, h *header) []Outer {
	var above []Outer
	for range maxCalledDepth + 1 {
		if h.CalledBy == "" {
			break
		}
		full, err := filepath.Abs(dir)
		if err != nil || filepath.Base(filepath.Dir(full)) != calledName {
			break
		}
		outer := filepath.Dir(filepath.Dir(full))
		if dir != full { // as it was named, where that can be kept
			if short := filepath.Dir(filepath.Dir(dir)); short != "." && short != dir {
				if same, err := filepath.Abs(short); err == nil && same == outer {
					outer = short
				}
			}
		}
		step := h.CalledAt
		next, err := readHeader(files, outer)
		if err != nil || next.Job != h.CalledBy {
			break
		}
		above = append(above, Outer{outer, next.Title, step})
		dir, h = outer, next
	}
	slices.Reverse(above)
	return above
}
