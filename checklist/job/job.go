package job

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"fettle/checklist"
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
}

func (env Env) files() FS {
	if env.FS != nil {
		return env.FS
	}
	return disk{}
}

// Job is an open job. Its methods may be called from several goroutines; those
// that only look never wait for the disk.
type Job struct {
	dir    string
	env    Env
	header *header
	proc   *checklist.Procedure
	edited []string // files that are not what the job started with

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
	unfit    []string // what is wrong with the settings or the frozen procedure
	changed  *changes
	notices  []string // about the files
	unshared int
	last     *folded // what Undo takes back; nil where there is nothing
	healed   int     // entries put back into the folder since the job was opened
}

// Open reads the job in dir. A folder that is no job, or whose job is newer
// than this program, is a *FolderError.
func Open(dir string, env Env) (*Job, error) {
	files := env.files()
	h, err := readHeader(files, dir)
	if err != nil {
		return nil, err
	}
	source, err := readPlain(files, filepath.Join(dir, procedureName), maxProcedure)
	if err != nil {
		return nil, &FolderError{dir, procedureName + " cannot be read: " + Plain(err.Error()), err}
	}
	proc, found := checklist.Read(filepath.Join(dir, procedureName), source)
	if proc == nil {
		return nil, &FolderError{dir, procedureName + " is not valid: " + firstStop(found), nil}
	}
	person := env.Person
	if person == "" {
		// A job can be looked at where the private folder cannot be read.
		person, _ = Person(env)
	}
	dev := &device{files: files, dir: env.StateDir}
	logs := newLogs(files, dir, dev.twin(h.Job))
	var edited []string
	if h.edited {
		edited = append(edited, headerName)
	}
	if digest(source) != h.Digest {
		edited = append(edited, procedureName)
	}
	j := &Job{
		dir: dir, env: env, header: h, proc: proc, edited: edited,
		writer: newWriter(files, env.Now, dev, logs),
		person: person,
	}
	j.writer.mu.Lock()
	defer j.writer.mu.Unlock()
	if _, err := logs.refresh(); err != nil {
		return nil, &FolderError{dir, "the logs cannot be read: " + Plain(err.Error()), err}
	}
	if err := j.look(); err != nil {
		return nil, err
	}
	return j, nil
}

func firstStop(found checklist.Diagnostics) string {
	for _, d := range found {
		if d.Severity == checklist.Stop {
			return Plain(fmt.Sprintf("line %d: %s", d.Line, d.Message))
		}
	}
	return "it cannot be read"
}

// unfit words what keeps a job's own files from fitting each other: they were
// edited, or this version asks for more than the one that started the job. The
// job opens all the same, and figures that cannot be worked out say so.
func unfit(found checklist.Diagnostics) []string {
	var list []string
	for _, d := range found {
		if d.Severity != checklist.Stop {
			continue
		}
		where := procedureName
		switch {
		case d.Setting != "":
			where = headerName + ", setting " + d.Setting
		case d.Line > 0:
			where = fmt.Sprintf("%s line %d", procedureName, d.Line)
		}
		list = append(list, Plain(where+": "+d.Message)+".")
	}
	return list
}

// look works out everything from what the logs hold now. The writer's lock is held.
func (j *Job) look() error {
	f := foldLogs(j.writer.logs)
	measured := j.measured(f)
	j.mu.Lock()
	before, healed := j.seen, j.healed
	j.mu.Unlock()
	seen := &view{fold: f, measured: measured, notices: fileNotices(j.writer.logs), unshared: len(j.writer.missing()), healed: healed, last: j.lastEntry(f)}
	if before != nil && maps.Equal(before.measured, measured) {
		seen.base, seen.unfit = before.base, before.unfit
	} else {
		seen.base, seen.unfit = j.fill(measured)
	}
	seen.changed = decided(f, j.proc, seen.base)
	seen.filled = seen.base
	switch {
	case before != nil && seen.base == before.base && before.changed.same(seen.changed):
		seen.filled, seen.changed = before.filled, before.changed
	case len(seen.changed.list) > 0:
		seen.filled, _ = j.proc.Revise(seen.changed.list).FillMeasured(j.header.Settings, measured)
	}
	j.mu.Lock()
	j.seen = seen
	j.mu.Unlock()
	return nil
}

// fill works out the figures with what was measured. A reading that leaves
// figures without an answer (a spindle wider than its box) is set aside and named,
// and they are worked out with the setting it would replace.
func (j *Job) fill(measured map[string]string) (*checklist.Filled, []string) {
	filled, found := j.proc.FillMeasured(j.header.Settings, measured)
	if !found.HasStop() || len(measured) == 0 {
		return filled, unfit(found)
	}
	if _, without := j.proc.FillMeasured(j.header.Settings, nil); without.HasStop() {
		return filled, unfit(found) // the file itself is at fault
	}
	use := map[string]string{}
	var aside []string
	for _, name := range sortedKeys(measured) {
		use[name] = measured[name]
		if _, found := j.proc.FillMeasured(j.header.Settings, use); found.HasStop() {
			delete(use, name)
			aside = append(aside, fmt.Sprintf("The reading %s %s does not go with the rest: figures are worked out without it. %s", Plain(name), Plain(measured[name]), strings.Join(unfit(found), " ")))
		}
	}
	filled, found = j.proc.FillMeasured(j.header.Settings, use)
	return filled, append(unfit(found), aside...)
}

// measured collects the readings that replace settings, of every such name the
// latest that is a valid value, and those that the procedure recalls. What
// another device wrote may be anything.
func (j *Job) measured(f *fold) map[string]string {
	names := map[string]bool{}
	for _, s := range j.proc.Settings {
		names[s.Name] = true
	}
	latest := map[string]*record{}
	for _, step := range f.steps {
		for name, values := range step.readings {
			last := values[len(values)-1]
			if (names[name] || j.proc.Recalls(name)) && (latest[name] == nil || compareRecords(latest[name], last) < 0) {
				latest[name] = last
			}
		}
	}
	measured := map[string]string{}
	for name, rec := range latest {
		if !names[name] {
			measured[name] = rec.Value
			continue
		}
		// A count of drops is measured in drops and set as a bare number.
		for _, value := range []string{withUnit(rec.Value, rec.Unit), rec.Value} {
			if j.proc.CheckValue(name, value) == nil {
				measured[name] = value
				break
			}
		}
	}
	return measured
}

// withUnit adds the unit of a reading to a value that was typed without one.
func withUnit(value, unit string) string {
	value = strings.TrimSpace(value)
	switch unit {
	case "", "count", "number", "thread", "yes-no", "choice", "text":
		return value
	}
	if strings.Trim(value, "+-0123456789.,") != "" {
		return value
	}
	return value + " " + unit
}

func (j *Job) view() *view {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.seen
}

// Dir is the job's folder.
func (j *Job) Dir() string { return j.dir }

// Engine is the engine the job is about.
func (j *Job) Engine() string { return j.header.Engine }

// Started is when the job was started, and by whom.
func (j *Job) Started() (time.Time, string) {
	at, _ := time.Parse(time.RFC3339, j.header.Started)
	return at, j.header.By
}

// Person is who is working; empty until somebody said so.
func (j *Job) Person() string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.person
}

// SetPerson changes who is working, here and for later jobs on this device.
func (j *Job) SetPerson(name string) error {
	name, err := checkName(name)
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
	changed, err := j.writer.logs.refresh()
	if err != nil {
		return false, &FolderError{j.dir, "the job folder " + reason(err), err}
	}
	if unshared := len(j.writer.missing()); !changed && unshared == j.view().unshared {
		return false, nil
	}
	return true, j.look()
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
		}
		return entry, err
	}, j.look)
}

// worker is who works now; an entry without a name is not made.
func (j *Job) worker() (string, error) {
	if name := j.Person(); name != "" {
		return checkName(name)
	}
	return "", ErrNobody
}

// StepError says that a step or a reading is not in this job.
type StepError struct {
	What, Name string
	Known      []string
}

func (e *StepError) Error() string {
	return fmt.Sprintf("there is no %s %q here (there are: %s)", e.What, Plain(e.Name), strings.Join(e.Known, ", "))
}

// BlockedError says why something cannot be done to a step now.
type BlockedError struct {
	Step   string
	Blocks []string
}

func (e *BlockedError) Error() string {
	return "step " + Plain(e.Step) + ": " + strings.Join(e.Blocks, "; ")
}

// step finds a step that applies.
func (j *Job) step(id string) (*checklist.FilledStep, error) {
	filled := j.Filled()
	if step := filled.Step(id); step != nil {
		return step, nil
	}
	for _, left := range filled.LeftOut {
		if left.ID == id {
			return nil, &BlockedError{id, []string{"it does not apply to this job: " + left.Because}}
		}
	}
	var known []string
	for _, step := range filled.Steps() {
		known = append(known, step.ID)
	}
	return nil, &StepError{"step", id, known}
}

// workOn is who works and the step that is worked on.
func (j *Job) workOn(id string) (by string, step *checklist.FilledStep, err error) {
	if by, err = j.worker(); err == nil {
		step, err = j.step(id)
	}
	return by, step, err
}

// Tick marks a step as done. A *BlockedError says why it cannot be done yet. A
// reading outside its limits that is no stop is said in Saved.Said, and the
// entry keeps it.
func (j *Job) Tick(step string) (Saved, error) {
	said := ""
	saved, err := j.save(func() (Entry, error) {
		by, _, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		state := j.State()
		s := state.Steps[step]
		if blocks := s.tickBlocks(); len(blocks) > 0 {
			return Entry{}, &BlockedError{step, blocks}
		}
		entry := Entry{Kind: KindTick, By: by, Step: step, Replaces: ids(s.Skips)}
		if len(s.Outside) > 0 {
			list := strings.Join(s.Outside, "; ")
			entry.Data = map[string]string{outsideKey: list}
			said = "Done although outside limits: " + list + "."
		}
		for _, c := range state.Conflicts {
			if c.Step == step && c.Reading != "" {
				said = strings.TrimSpace(said + " Two readings differ: " + c.Text + ".")
			}
		}
		return entry, nil
	})
	return saved.saying(said), err
}

// outsideKey holds what lay outside its limits when a step was ticked.
const outsideKey = "outside"

// tickBlocks says why a step cannot be ticked.
func (s *StepState) tickBlocks() []string {
	if len(s.Ticks) > 0 && len(s.Skips) == 0 {
		return []string{"it is done already: " + names(s.Ticks)}
	}
	if s.Status == Skipped {
		return s.Missing // a step that was left out may be done after all
	}
	return append(slices.Clone(s.Blocks), s.Missing...)
}

// Skip leaves a step out, with the reason. A hold point is released, not skipped.
func (j *Job) Skip(step, why string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, _, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		s := j.State().Steps[step]
		switch {
		case len(s.Ticks) > 0 && len(s.Skips) == 0:
			return Entry{}, &BlockedError{step, []string{"it is done already: " + names(s.Ticks) + ". Undo that first"}}
		case len(s.Skips) > 0 && len(s.Ticks) == 0:
			return Entry{}, &BlockedError{step, []string{"it is left out already: " + names(s.Skips)}}
		case s.KeepIn != "":
			return Entry{}, &BlockedError{step, []string{s.KeepIn}}
		}
		return Entry{Kind: KindSkip, By: by, Step: step, Text: why, Replaces: ids(s.Ticks)}, nil
	})
}

// SelfReleaseError says that a hold would be released by somebody who does the
// work on this job. Only whoever says so ([Job.ReleaseMyself]) may do that, and
// at an inspector's hold nobody may.
type SelfReleaseError struct {
	Step string
	Name string // who would release it
	Who  string // who the procedure wants: "owner"
}

func (e *SelfReleaseError) Error() string {
	return fmt.Sprintf("step %s: %s works on this job, and the %s releases this hold. If %s is the %s, say so",
		Plain(e.Step), e.Name, e.Who, e.Name, e.Who)
}

// Release lets a step at a hold point go on; by is the person who releases it.
// The error is a *SelfReleaseError where that person works on the job, and a
// *BlockedError where in that case the inspector must release it.
func (j *Job) Release(step, by string) (Saved, error) { return j.release(step, by, false) }

// ReleaseMyself releases a hold by somebody who works on the job, and is at the
// same time the person whom the procedure wants. The record marks it. An
// inspector is never the one who does the work.
func (j *Job) ReleaseMyself(step, by string) (Saved, error) { return j.release(step, by, true) }

func (j *Job) release(step, by string, myself bool) (Saved, error) {
	return j.save(func() (Entry, error) {
		worker, f, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		by, err := checkSigner(by)
		if err != nil {
			return Entry{}, fmt.Errorf("who releases the hold: %w", err)
		}
		s := j.State().Steps[step]
		works := strings.EqualFold(by, worker) || j.view().fold.worked(by)
		data := map[string]string{"worker": worker}
		switch {
		case f.Hold == "":
			return Entry{}, &BlockedError{step, []string{"it is no hold point"}}
		case len(s.Releases) > 0:
			return Entry{}, &BlockedError{step, []string{"it is released already: " + names(s.Releases)}}
		case works && f.Hold == "inspector":
			return Entry{}, &BlockedError{step, []string{by + " is working on the job; the inspector releases this hold"}}
		case works && !myself:
			return Entry{}, &SelfReleaseError{step, by, f.Hold}
		case works:
			data[selfKey] = "yes"
		}
		return Entry{Kind: KindRelease, By: by, Step: step, Text: f.Hold, Data: data}, nil
	})
}

// selfKey marks a release by somebody who does the work.
const selfKey = "self"

// self says whether a hold was released by somebody who does the work.
func (e *Entry) self() bool { return e.Kind == KindRelease && e.Data[selfKey] != "" }

const selfWords = "does the work as well"

// Read records a reading of a step. The value is stored as it was typed. The
// error says that it is no reading of its unit; whether it is within its limits
// is for [checklist.FilledReading.Judge], and an outside value is kept too.
func (j *Job) Read(step, reading, value string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, f, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		var r *checklist.FilledReading
		var known []string
		for i := range f.Readings {
			known = append(known, f.Readings[i].Name)
			if f.Readings[i].Name == reading {
				r = &f.Readings[i]
			}
		}
		if r == nil {
			if len(known) == 0 {
				return Entry{}, &BlockedError{step, []string{"it asks for no reading"}}
			}
			return Entry{}, &StepError{"reading", reading, known}
		}
		value = strings.TrimSpace(value)
		if len(value) > maxValue || Plain(value) != value {
			return Entry{}, fmt.Errorf("a reading is one line of at most %d characters", maxValue)
		}
		judged, err := r.Judge(value)
		if err != nil {
			return Entry{}, err
		}
		if judged.Value < 0 && neverBelowNought(r) {
			return Entry{}, fmt.Errorf("%s: %s is less than nought; measure again, and type it without a sign", r.Name, withUnit(value, r.Unit))
		}
		s := j.State().Steps[step]
		if s.Status == Blocked && len(s.Releases) == 0 && f.Hold != "" {
			return Entry{}, &BlockedError{step, s.Blocks}
		}
		var replaces []string
		for _, v := range s.Readings[reading] {
			replaces = append(replaces, v.ID)
		}
		return Entry{Kind: KindMeasure, By: by, Step: step, Reading: reading, Value: value, Unit: r.Unit, Replaces: limited(replaces)}, nil
	})
}

// neverBelowNought says whether a reading measures something that is there or
// not: all that is wanted of it is nought or more, and it is no temperature.
func neverBelowNought(r *checklist.FilledReading) bool {
	wanted := r.Nominal.Given && r.Nominal.Value > 0 || r.Low.Given && r.Low.Value >= 0
	return wanted && r.Unit != "°C"
}

// Note records a remark on a step, or on the job where step is empty.
func (j *Job) Note(step, text string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
		if step != "" {
			if _, err := j.step(step); err != nil {
				return Entry{}, err
			}
		}
		text, err := checkText("the note", text)
		if err != nil {
			return Entry{}, err
		}
		return Entry{Kind: KindNote, By: by, Step: step, Text: text}, nil
	})
}

// ErrNothingToUndo says that this device has no entry left to take back.
var ErrNothingToUndo = errors.New("nothing to undo: no entry made on this device still stands")

// Undo takes back the last entry made on this device that still stands, and
// says in Saved.Said which. Undoing again takes back the one before it.
func (j *Job) Undo() (Saved, error) {
	return j.undo(func() ([]*folded, error) {
		if e := j.view().last; e != nil {
			return []*folded{e}, nil
		}
		return nil, ErrNothingToUndo
	})
}

// LastEntry is what Undo would take back now, in words ("tick of cold by Ana"),
// and its step; both are empty where there is nothing.
func (j *Job) LastEntry() (what, step string) {
	if e := j.view().last; e != nil {
		return e.named(), e.Step
	}
	return "", ""
}

// lastEntry is the last of this device's entries that can be taken back. The
// writer's lock is held.
func (j *Job) lastEntry(f *fold) *folded {
	for i := len(f.entries) - 1; i >= 0; i-- {
		e := &f.entries[i]
		if e.live() && e.undoable() && (e.inTwin || j.writer.alone[e.key()] != nil) {
			return e
		}
	}
	return nil
}

func (e *Entry) undoable() bool {
	switch e.Kind {
	case KindTick, KindSkip, KindRelease, KindMeasure, KindNote, KindAccept:
		return e.understood()
	}
	return e.understood() && judged(e.Kind)
}

// UndoEntry takes back the entry with that id, whoever made it; taking back an
// undo restores what it undid.
func (j *Job) UndoEntry(id string) (Saved, error) {
	return j.undo(func() ([]*folded, error) {
		entries := j.view().fold.entries
		for i := range entries {
			e := &entries[i]
			if e.ID != id {
				continue
			}
			if !e.undoable() && e.Kind != KindRetract {
				return nil, fmt.Errorf("entry %s cannot be undone", Plain(id))
			}
			if !e.live() {
				return nil, fmt.Errorf("entry %s was undone already by %s (%s); undo that to have it back", Plain(id), e.retractedBy.By, e.retractedBy.ID)
			}
			return []*folded{e}, nil
		}
		return nil, fmt.Errorf("there is no entry %s in this job (\"fettle job log\" shows their names)", Plain(id))
	})
}

// UndoStep takes back every tick and skip of a step that can be seen here.
func (j *Job) UndoStep(step string) (Saved, error) {
	return j.undo(func() ([]*folded, error) {
		if _, err := j.step(step); err != nil {
			return nil, err
		}
		s := j.State().Steps[step]
		marks := ids(append(slices.Clone(s.Ticks), s.Skips...))
		if len(marks) == 0 {
			return nil, &BlockedError{step, []string{"it is neither done nor left out"}}
		}
		return j.entriesOf(marks), nil
	})
}

func (j *Job) entriesOf(ids []string) (list []*folded) {
	entries := j.view().fold.entries
	for i := range entries {
		if slices.Contains(ids, entries[i].ID) {
			list = append(list, &entries[i])
		}
	}
	return list
}

// undo takes back the entries that find names.
func (j *Job) undo(find func() ([]*folded, error)) (Saved, error) {
	said := ""
	saved, err := j.save(func() (Entry, error) {
		by, err := j.worker()
		if err != nil {
			return Entry{}, err
		}
		list, err := find()
		if err != nil {
			return Entry{}, err
		}
		what := list[0]
		targets := make([]string, len(list))
		words := make([]string, len(list))
		for i, e := range list {
			targets[i], words[i] = e.ID, e.named()
		}
		said = "Undone: "
		if what.Kind == KindRetract {
			said = "Brought back: "
			words = nil
			for _, e := range j.entriesOf(what.Retracts) {
				words = append(words, e.named())
			}
		}
		said += strings.Join(words, "; ") + "."
		return Entry{Kind: KindRetract, By: by, Step: what.Step, Reading: what.Reading, Text: what.Kind, Retracts: limited(targets)}, nil
	})
	return saved.saying(said), err
}

// checkText trims what a person wrote and says what is wrong with it.
func checkText(what, text string) (string, error) {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return "", fmt.Errorf("%s is empty", what)
	case len(text) > maxText:
		return "", fmt.Errorf("%s is longer than %d KiB", what, maxText>>10)
	case !utf8.ValidString(text):
		return "", fmt.Errorf("%s is not text (UTF-8)", what)
	}
	return text, nil
}

func ids(marks []Mark) []string {
	var list []string
	for _, m := range marks {
		list = append(list, m.ID)
	}
	return limited(list)
}

// limited keeps a list of ids within what a line may hold. What falls off the
// end stays visible and can be settled by another entry.
func limited(list []string) []string { return list[:min(len(list), maxTargets)] }

func names(marks []Mark) string {
	list := make([]string, len(marks))
	for i, m := range marks {
		list[i] = m.By
		if !m.At.IsZero() {
			list[i] += m.At.Format(", 2 Jan 2006 15:04")
		}
		if m.Text != "" {
			list[i] += " (" + m.Text + ")"
		}
		if m.Self {
			list[i] += ", " + selfWords
		}
	}
	return strings.Join(list, " and ")
}
