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

	"fettle/checklist"
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
	if j.writer.logs.calledLink {
		*notices = append(*notices, calledName+" is no folder (a link?) and is not read.")
	}
	if !j.writer.logs.called {
		return nil
	}
	entries, err := j.env.files().ReadDir(filepath.Join(j.dir, calledName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		*notices = append(*notices, "The called jobs cannot be listed: "+Plain(err.Error())+".")
		return slices.Sorted(maps.Keys(j.inside))
	}
	var names []string
	for _, e := range entries {
		name := e.Name()
		switch {
		case strings.HasPrefix(name, "."), e.Type().IsRegular():
		case !e.IsDir():
			*notices = append(*notices, Plain(calledName+"/"+name)+" is no folder (a link?) and is not read.")
		case !validFolder(name):
			*notices = append(*notices, Plain(calledName+"/"+name)+" is not named as called jobs are and is not read.")
		default:
			names = append(names, name)
		}
	}
	if len(*notices) > 5 {
		*notices = append((*notices)[:5:5], plural(len(*notices)-5, "more like this", "more like these")+".")
	}
	return names
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

// standing is how a called job stands now.
func (c *calledJob) standing(dir string, now time.Time) Called {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.last != nil && now.Sub(c.at).Abs() < calledFresh {
		return *c.last
	}
	out := Called{Dir: filepath.Join(dir, calledName, c.name), Problem: c.problem, Open: true}
	if c.job != nil {
		c.job.standing(&out)
	} else {
		// The name begins with the step; which it is stands in job.toml.
		out.Step = ""
	}
	if c.problem != "" {
		out.Why = []string{c.problem}
	}
	c.at, c.last = now, &out
	return out
}

// forgetCalled works out afresh how the called jobs stand, where one of them was
// written to through this job.
func (j *Job) forgetCalled() {
	for _, c := range j.view().called {
		c.mu.Lock()
		c.last = nil
		c.mu.Unlock()
	}
}

// standing fills in what a calling job has to know of this one.
func (j *Job) standing(out *Called) {
	state := j.State()
	h := j.header
	out.Step, out.Job, out.Procedure, out.Title, out.By = Plain(h.CalledAt), h.Job, h.Procedure, j.Filled().Title, h.By
	out.Started, _ = j.Started()
	out.Done, out.Total, out.Outside = state.Done+state.Skipped, state.Total, state.Outside
	out.Findings = len(state.Findings)
	for _, f := range state.Findings {
		if f.Disposition != nil {
			out.Decided++
		}
	}
	out.Holds, out.Waiting, out.Off, out.Called = state.Holds, state.Waiting, state.Off, state.Called
	for i := range state.Short {
		if s := &state.Short[i]; s.Open() {
			out.Short = append(out.Short, s.Text)
		}
	}
	if step := j.Filled().Step(state.Next); step != nil {
		out.Next = step.Title
	}
	out.Notices = state.Notices
	if len(out.Off) == 0 {
		out.Why = state.left()
	}
	out.Open = len(out.Why) > 0
}

// left says what keeps a job from being finished; nothing where it is.
func (s *State) left() []string {
	var left []string
	if done := s.Done + s.Skipped; done < s.Total || s.Total == 0 {
		left = append(left, fmt.Sprintf("%d of %d steps", done, s.Total))
	}
	for _, f := range s.Findings {
		if f.Disposition == nil {
			left = append(left, fmt.Sprintf("finding %d is open", f.Order))
		}
	}
	return append(left, s.inside()...)
}

// inside says what is still in an opening, fitted or called.
func (s *State) inside() []string {
	var list []string
	for _, t := range s.Tallies {
		if t.Inside != 0 {
			list = append(list, t.String())
		}
	}
	for _, b := range s.Blanks {
		if b.Fitted && !b.Stays {
			list = append(list, fmt.Sprintf("blank %s at %s is still fitted", b.Tag, b.Where))
		}
	}
	for i := range s.Called {
		if c := &s.Called[i]; c.Open {
			list = append(list, c.Says())
		}
	}
	return list
}

// judgeCalled puts the called jobs into the state.
func (j *Job) judgeCalled(state *State, seen *view, now time.Time) {
	state.Notices = append(state.Notices, seen.calledNotices...)
	here := map[string]string{} // id to folder
	at := map[string]string{}   // id to the step that its calling job named
	for _, rec := range seen.fold.calls {
		at[rec.Value] = rec.Step
	}
	for _, c := range seen.called {
		if c.foreign {
			if c.problem != "" {
				state.Notices = append(state.Notices, fmt.Sprintf("%s/%s %s; it is not looked at.", calledName, c.name, c.problem))
			}
			continue
		}
		called := c.standing(j.dir, now)
		if step := at[called.Job]; step != "" && called.Job != "" {
			called.Step = step
		}
		if called.Job == "" {
			// Which step it belongs to can be told by what this job's log says.
			for _, rec := range seen.fold.calls {
				if rec.Data["folder"] == c.name {
					called.Step, called.Job, called.Title, called.Procedure = rec.Step, rec.Value, rec.Text, rec.Data["procedure"]
				}
			}
		}
		if other := here[called.Job]; other != "" && called.Job != "" {
			state.Notices = append(state.Notices, fmt.Sprintf("%s/%s and %s/%s are copies of one called job: merge one into the other, then take the other away.", calledName, other, calledName, c.name))
		}
		here[called.Job] = c.name
		if called.Problem != "" {
			state.Notices = append(state.Notices, fmt.Sprintf("%s/%s cannot be read: %s.", calledName, c.name, called.Problem))
		}
		for _, n := range called.Notices {
			state.Notices = append(state.Notices, calledName+"/"+c.name+": "+n)
		}
		state.Called = append(state.Called, called)
	}
	for _, rec := range seen.fold.calls {
		if here[rec.Value] != "" {
			continue
		}
		here[rec.Value] = "-"
		folder := rec.Data["folder"]
		if !validFolder(folder) {
			folder = "-"
		}
		state.Called = append(state.Called, Called{
			Step: rec.Step, Job: rec.Value, Dir: filepath.Join(j.dir, calledName, folder), Procedure: rec.Data["procedure"], Title: rec.Text,
			By: rec.By, Started: rec.At(), Open: true, Problem: "its folder is not here: it has not arrived, or it was taken away",
			Why: []string{"its folder is not here"},
		})
	}
	number := map[string]int{}
	for _, step := range seen.filled.Steps() {
		number[step.ID] = step.Number
	}
	slices.SortStableFunc(state.Called, func(a, b Called) int {
		if n := number[a.Step] - number[b.Step]; n != 0 {
			return n
		}
		return a.Started.Compare(b.Started)
	})
}

// addCalled adds what the called jobs wait for to what this one does.
func (s *State) addCalled() {
	for _, c := range s.Called {
		for _, h := range c.Holds {
			h.In = firstOf(h.In, c.Dir)
			s.Holds = append(s.Holds, h)
		}
		for _, w := range c.Waiting {
			w.In = firstOf(w.In, c.Dir)
			s.Waiting = append(s.Waiting, w)
		}
	}
}

// calledAt are the called jobs that a step has to see closed: its own, and on
// the last step those of steps that do not apply any more.
func (g *gating) calledAt(step *checklist.FilledStep) []Called {
	list := g.state.CalledBy(step.ID)
	if step.Number == g.state.Total {
		for _, c := range g.state.Called {
			if g.step[c.Step] == nil {
				list = append(list, c)
			}
		}
	}
	return list
}

// calledGates: a called job that is open keeps its step from being done, and so
// does a call that is always made and was not.
func (g *gating) calledGates(step *checklist.FilledStep, add func(GateName, bool, string, ...string)) {
	for _, c := range g.calledAt(step) {
		switch {
		case c.Problem != "":
			add(GateCalled, false, fmt.Sprintf("nobody can say whether %s is done: %s", firstOf(c.Title, calledName+"/"+Plain(c.Name())), c.Problem), c.Name())
		case c.Open:
			add(GateCalled, true, fmt.Sprintf("go on with %s (%s)", c.Title, strings.Join(c.Why, "; ")), c.Name())
		}
	}
	if g.unread(step) {
		add(GateCalled, true, "there are called jobs that are not read", step.ID)
	}
	if id := g.uncalled(step); id != "" {
		add(GateCalled, true, id+" comes first: start it, and finish it", id)
	}
}

func (g *gating) unread(step *checklist.FilledStep) bool {
	return g.seen.calledUnread > 0 && step.Number == g.state.Total
}

// uncalled is the procedure that a step always calls and that was not called.
func (g *gating) uncalled(step *checklist.FilledStep) string {
	if step.Call == nil || step.Call.OnlyIf != "" {
		return ""
	}
	for _, c := range g.state.CalledBy(step.ID) {
		if len(c.Off) == 0 {
			return ""
		}
	}
	return step.Call.Procedure
}

// calledStop says why a step cannot count as done, whoever ticked it: what it
// called is open. It may be left out only where nothing is.
func (g *gating) calledStop(step *checklist.FilledStep) (stop, keepIn string) {
	for _, c := range g.calledAt(step) {
		switch {
		case c.Problem != "":
			gate := Gate{Name: GateCalled, Items: []string{c.Name()}}
			if len(g.passes(step.ID, &gate)) == 0 {
				stop = fmt.Sprintf("%s cannot be read", firstOf(c.Title, calledName+"/"+Plain(c.Name())))
				keepIn = stop
			}
		case c.Open:
			stop = c.Title + " is open"
			keepIn = c.Title + " is open: finish it, or call it off"
		}
	}
	if g.unread(step) {
		stop = "there are called jobs that are not read"
		keepIn = stop
	}
	if id := g.uncalled(step); id != "" && stop == "" {
		stop = id + " was not done"
	}
	return stop, keepIn
}

// callable says why a step cannot call its procedure now.
func (j *Job) callable(id string) (*checklist.FilledStep, error) {
	_, step, err := j.workOn(id)
	if err != nil {
		return nil, err
	}
	refuse := func(format string, args ...any) (*checklist.FilledStep, error) {
		return nil, &BlockedError{id, []string{fmt.Sprintf(format, args...)}}
	}
	state := j.State()
	s := state.Steps[id]
	switch {
	case step.Call == nil:
		return refuse("it calls no other procedure")
	case j.depth() >= maxCalledDepth:
		return refuse("jobs are called at most %d deep: start %s as a job of its own", maxCalledDepth, step.Call.Procedure)
	case len(state.Called) >= maxCalled:
		return refuse("a job calls at most %d others", maxCalled)
	case len(s.Ticks) > 0 && s.Status == Done:
		return refuse("it is done: %s. Undo that first", names(s.Ticks))
	case s.Status == Skipped:
		return refuse("it is left out: %s. Undo that first", names(s.Skips))
	}
	var blocks []string
	for _, g := range s.Gates {
		if g.Name != GateCalled && !g.Soft && len(g.Passed) == 0 {
			blocks = append(blocks, g.Text)
		}
	}
	if len(blocks) > 0 {
		return nil, &BlockedError{id, blocks}
	}
	if step.Call.OnlyIf == "" {
		for _, c := range state.CalledBy(id) {
			if len(c.Off) == 0 {
				return refuse("%s was started already: %s", step.Call.Procedure, Plain(c.Dir))
			}
		}
	}
	return step, nil
}

// CallPlan is what a call starts with.
type CallPlan struct {
	Procedure string            // id
	OnlyIf    string            // when it is called; empty for always
	Values    map[string]string // settings that the calling job knows
	// Refused are settings that the calling procedure gives and the called one
	// does not take, in plain words; they are asked for instead.
	Refused []string
}

// Callable is the id of the procedure that a step calls. A *BlockedError says
// why it cannot be called now.
func (j *Job) Callable(step string) (string, error) {
	s, err := j.callable(step)
	if err != nil {
		return "", err
	}
	return s.Call.Procedure, nil
}

// PlanCall works out what the call of a step would start with, from the settings
// and readings as they are now. A *BlockedError says why nothing can be called.
func (j *Job) PlanCall(id string, proc *checklist.Procedure) (CallPlan, error) {
	step, err := j.callable(id)
	if err != nil {
		return CallPlan{}, err
	}
	if proc.ID != step.Call.Procedure {
		return CallPlan{}, &BlockedError{id, []string{fmt.Sprintf("it calls %s, not %s", step.Call.Procedure, proc.ID)}}
	}
	plan := CallPlan{Procedure: proc.ID, OnlyIf: step.Call.OnlyIf, Values: step.Call.Values()}
	for _, name := range sortedKeys(plan.Values) {
		if err := proc.CheckValue(name, plan.Values[name]); err != nil {
			plan.Refused = append(plan.Refused, Plain(fmt.Sprintf("%s %s: %s", name, plan.Values[name], err.Error())))
			delete(plan.Values, name)
		}
	}
	return plan, nil
}

// Call starts the procedure that a step calls, as a job inside this one, with
// the engine and the person of this one. values are its settings, see
// [Job.PlanCall]. The called job is on the disk when Call returns, even with an
// error that says that this job's own log could not take it: then Saved is
// empty.
func (j *Job) Call(id string, proc *checklist.Procedure, values map[string]string) (*Job, Saved, error) {
	if _, err := j.reread(); err != nil {
		return nil, Saved{}, err
	}
	if _, err := j.PlanCall(id, proc); err != nil {
		return nil, Saved{}, err
	}
	name := id + "-" + randomWord(6)
	env := j.env
	env.Person = j.Person()
	child, err := start(filepath.Join(j.dir, calledName, name), proc, values, j.Engine(), env, j.header.Job, id)
	if err != nil {
		return nil, Saved{}, err
	}
	saved, err := j.save(func() (Entry, error) {
		by, err := j.worker()
		return Entry{
			Kind: KindCall, By: by, Step: id, Value: child.header.Job, Text: child.Filled().Title,
			Data: map[string]string{"procedure": proc.ID, "folder": name},
		}, err
	})
	if err != nil {
		return child, saved, err
	}
	_, err = j.reread()
	return child, saved, err
}

// CallOff takes back the start of a called job, with the reason. Once something
// was done on it, it is finished instead: metal that was cut stays cut.
func (j *Job) CallOff(why string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
		if why, err = checkText("the reason", why); err != nil {
			return Entry{}, err
		}
		if !j.IsCalled() {
			return Entry{}, &RefusedError{j.Filled().Title, []string{"no other job called it: only a called job is called off"}}
		}
		state := j.State()
		if len(state.Off) > 0 {
			return Entry{}, &RefusedError{j.Filled().Title, []string{"it is called off already: " + names(state.Off)}}
		}
		if begun := state.begun(); len(begun) > 0 {
			return Entry{}, &RefusedError{j.Filled().Title, append(begun, "so it is finished, not called off: undo what is wrong, or leave steps out with a reason")}
		}
		return Entry{Kind: KindOff, By: by, Text: why}, nil
	})
}

// begun says what was done on a job that keeps it from being called off.
func (s *State) begun() []string {
	ticked := 0
	for _, step := range s.Steps {
		if len(step.Ticks) > 0 || len(step.Reopened) > 0 {
			ticked++
		}
	}
	var list []string
	if ticked > 0 {
		list = append(list, plural(ticked, "step of it was done", "steps of it were done"))
	}
	for _, f := range s.Findings {
		if f.Disposition == nil {
			list = append(list, fmt.Sprintf("finding %d is open", f.Order))
		}
	}
	return append(list, s.inside()...)
}

// judgeOff decides whether a job counts as called off.
func (j *Job) judgeOff(state *State, seen *view) {
	var off []Mark
	for _, rec := range seen.fold.judged[KindOff] {
		off = append(off, mark(rec))
	}
	switch begun := state.begun(); {
	case len(off) == 0 || !j.IsCalled():
	case len(begun) > 0:
		state.Notices = append(state.Notices, fmt.Sprintf("Called off by %s, and that does not count: %s.", names(off), strings.Join(begun, "; ")))
	default:
		state.Off = off
	}
}
