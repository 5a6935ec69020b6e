package job

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Other jobs on the same engine lie in the same folder. A pressure test reaches
// what they left open: a joint that still cures, a blank, a rag in an opening.

// maxBeside is how many jobs of a folder are looked at; more are said.
const maxBeside = 100

// Beside says what other jobs on the same engine, in the same folder, have open
// that a pressure test should not meet: a wait that runs, something left in an
// opening, a blank, a finding nobody has decided about. Empty where this job has
// no pressure test, or its last one has passed. Each is one plain sentence. It
// reads those jobs and writes nothing.
func (j *Job) Beside() []string {
	b := j.besideJobs()
	return slices.Concat(b.Open, b.Unknown)
}

// BesideJobs is what other jobs on the engine have open, and what of them is not known.
type BesideJobs struct{ Open, Unknown []string }

func (j *Job) besideJobs() (b BesideJobs) {
	state := j.State()
	if !j.tests() || state.Test.Last() != nil && state.Test.Last().Passed {
		return b
	}
	jobs, unknown := j.onEngine()
	b.Unknown = unknown
	for _, other := range jobs {
		if open := other.job.leftOpen(other.caller); len(open) > 0 {
			b.Open = append(b.Open, fmt.Sprintf("Another job on %s, %s (%s): %s.", Plain(other.job.Engine()), other.job.Filled().Title, Plain(filepath.Base(other.job.dir)), strings.Join(open, "; ")))
		}
	}
	return b
}

// neighbour is another job on the engine; caller says that this one lies in it.
type neighbour struct {
	job    *Job
	caller bool
}

// onEngine opens the other jobs on the engine that lie in the same folder, and says
// which cannot be looked at. It writes nothing.
func (j *Job) onEngine() (jobs []neighbour, unknown []string) {
	own, engine := j.dir, strings.TrimSpace(j.Engine())
	if len(j.above) > 0 {
		own = j.above[0].Dir
	}
	own, err := filepath.Abs(own)
	if err != nil || engine == "" {
		return nil, nil
	}
	files := j.env.files()
	entries, err := files.ReadDir(filepath.Dir(own))
	if err != nil {
		return nil, []string{"Other jobs beside this one cannot be looked at: " + reason(err) + "."}
	}
	looked := 0
	for _, e := range entries {
		dir := filepath.Join(filepath.Dir(own), e.Name())
		if !e.IsDir() || strings.HasPrefix(e.Name(), ".") || dir == own && !j.IsCalled() {
			continue
		}
		if looked++; looked > maxBeside {
			unknown = append(unknown, fmt.Sprintf("More than %d folders lie beside this job; not all were looked at.", maxBeside))
			break
		}
		_, err := readHeader(files, dir)
		if errors.Is(err, ErrNoJob) {
			continue
		}
		var other *Job
		if err == nil {
			other, err = Open(dir, j.env)
		}
		if err != nil {
			unknown = append(unknown, fmt.Sprintf("The job in %s cannot be read: what it has open is not known.", Plain(e.Name())))
			continue
		}
		if strings.EqualFold(strings.TrimSpace(other.Engine()), engine) {
			jobs = append(jobs, neighbour{other, dir == own})
		}
	}
	return jobs, unknown
}

// tests says whether a pressure test is part of the job.
func (j *Job) tests() bool {
	for _, t := range j.Filled().Tests {
		if t.Applies {
			return true
		}
	}
	return false
}

// leftOpen is what a job has open that a pressure test should not meet. Of the
// job that calls the test, what it called itself is left out.
func (j *Job) leftOpen(caller bool) []string {
	state, now := j.State(), j.env.Now()
	var open []string
	told := map[time.Time]bool{} // one wait may keep several steps shut
	waits := func(title string, until time.Time) {
		if told[until] {
			return
		}
		told[until] = true
		open = append(open, fmt.Sprintf("waits until %s (%s)", j.wall.Show(until, Moment), title))
	}
	// Whatever else keeps the step shut, the wait before it runs.
	for _, step := range j.Filled().Steps() {
		if due := state.Steps[step.ID].Due; due.After(now) {
			waits(step.Title, due)
		}
	}
	for _, w := range state.Waiting {
		if w.In != "" && !caller {
			waits(Plain(w.Step), w.Until)
		}
	}
	for i := range state.Tallies {
		if t := &state.Tallies[i]; t.Inside != 0 {
			open = append(open, t.String())
		}
	}
	for _, b := range state.Blanks {
		if b.Fitted && !b.Stays {
			open = append(open, fmt.Sprintf("blank %s on at %s", b.Tag, b.Where))
		}
	}
	findings := 0
	for i := range state.Findings {
		if !state.Findings[i].Decided() {
			findings++
		}
	}
	if findings > 0 {
		open = append(open, plural(findings, "finding is open", "findings are open"))
	}
	if !caller {
		open = append(open, calledOpen(state.Called)...)
	}
	return open
}

// calledOpen is what called jobs have found and not decided about.
func calledOpen(list []Called) []string {
	var open []string
	for i := range list {
		c := &list[i]
		if n := c.Findings - c.Decided; n > 0 && c.Open {
			open = append(open, plural(n, "finding is open", "findings are open")+" in "+c.Says())
		}
		open = append(open, calledOpen(c.Called)...)
	}
	return open
}

// warnBeside adds what other jobs have open to what is said of an entry.
func warnBeside(said string, beside []string) string {
	if len(beside) == 0 {
		return said
	}
	return strings.TrimSpace(said + " warn: " + strings.Join(beside, " "))
}
