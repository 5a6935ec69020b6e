package job

import (
	"errors"
	"time"

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

// FS is how this package reaches files.
type FS interface{}

// Job is an open job. Its methods may be called from several goroutines; those
// that only look never wait for the disk.
type Job struct{}

// Where says how safe a new entry is.
type Where string

// The two places.
const (
	Everywhere Where = "saved"                     // on the disk twice: this device's copy and the job's folder
	DeviceOnly Where = "saved on this device only" // the folder did not take it; it is added by itself later
)

// Saved is the answer to an entry that was kept.
type Saved struct {
	Entry  Entry
	Where  Where
	Notice string // what a person must know beyond Where, with the folder; may be empty
}

// Summary is one line of a list of jobs.
type Summary struct {
	Dir         string
	Procedure   string // id
	Title       string
	Engine      string
	Started     time.Time
	Done, Total int // steps that need no more work, steps that apply
	Next        string
	Err         error // the job cannot be opened; only Dir is sure then
}

// Entry is one line of a log.
type Entry struct{}

var errUnfinished = errors.New("jobs are not built yet")

// Start lays down a new job in dir and opens it. The folder may exist only if
// it is empty. The settings are checked; a missing or wrong one is a *SettingsError.
func Start(dir string, proc *checklist.Procedure, values map[string]string, engine string, env Env) (*Job, error) {
	return nil, errUnfinished
}

// Open reads the job in dir.
func Open(dir string, env Env) (*Job, error) { return nil, errUnfinished }

// List finds the jobs in root and below it, newest first.
func List(root string, env Env) ([]Summary, error) { return nil, errUnfinished }

// Person is the name this device remembers as who is working; "" before the first time.
func Person(env Env) (string, error) { return "", errUnfinished }

// SetPerson makes this device remember who is working from now on.
func SetPerson(env Env, name string) error { return errUnfinished }

// Dir is the job's folder.
func (j *Job) Dir() string { return "" }

// Engine is the engine the job is about.
func (j *Job) Engine() string { return "" }

// Started is when the job was started, and by whom.
func (j *Job) Started() (time.Time, string) { return time.Time{}, "" }

// Person is who is working; empty until somebody said so.
func (j *Job) Person() string { return "" }

// SetPerson changes who is working, here and for later jobs on this device.
func (j *Job) SetPerson(name string) error { return errUnfinished }

// Filled is the procedure with the job's settings and the readings taken so far.
func (j *Job) Filled() *checklist.Filled { return nil }

// State is how the job stands now.
func (j *Job) State() State { return State{} }

// Refresh looks for entries that other devices or windows added, and says
// whether anything changed. It also adds to the folder what so far is saved on
// this device only. It reads the disk: call it off the drawing path.
func (j *Job) Refresh() (bool, error) { return false, errUnfinished }

// Tick marks a step as done. A *BlockedError says why it cannot be done yet.
func (j *Job) Tick(step string) (Saved, error) { return Saved{}, errUnfinished }

// Skip leaves a step out, with the reason.
func (j *Job) Skip(step, reason string) (Saved, error) { return Saved{}, errUnfinished }

// Release lets a step at a hold point go on; by is the person who releases it.
func (j *Job) Release(step, by string) (Saved, error) { return Saved{}, errUnfinished }

// Read records a reading of a step. The value is stored as it was typed.
func (j *Job) Read(step, reading, value string) (Saved, error) { return Saved{}, errUnfinished }

// Note records a remark on a step, or on the job where step is empty.
func (j *Job) Note(step, text string) (Saved, error) { return Saved{}, errUnfinished }

// Undo takes back the last entry made on this device that still stands.
func (j *Job) Undo() (Saved, error) { return Saved{}, errUnfinished }

// UndoEntry takes back the entry with that id, whoever made it; taking back an
// undo restores what it undid.
func (j *Job) UndoEntry(id string) (Saved, error) { return Saved{}, errUnfinished }

// BlockedError says why a step cannot be ticked now.
type BlockedError struct {
	Step   string
	Blocks []string
}

func (e *BlockedError) Error() string { return "" }

// SettingsError says what is wrong with the settings of a new job.
type SettingsError struct {
	Diagnostics checklist.Diagnostics
}

func (e *SettingsError) Error() string { return "" }
