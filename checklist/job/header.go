package job

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
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
	"fettle/checklist/disk"
	"fettle/checklist/source"
	"fettle/threads/check"
)

// Names in a job's folder.
const (
	headerName    = "job.toml"
	procedureName = "procedure.toml"
	photosName    = "photos"
	gitName       = ".gitattributes"
)

// gitRules keep a version control tool that carries the folder from rewriting
// line ends, and let it join two logs of one name instead of stopping.
const gitRules = "*.jsonl -text merge=union\n*.toml -text\n"

// headerFormat is the version of job.toml. A folder of a higher one is refused:
// unlike a log, it cannot be understood in part.
const headerFormat = 1

const (
	maxHeader    = 1 << 20
	maxProcedure = source.MaxFile
)

// header is job.toml: what the job is and which engine it is about. It is
// written once.
type header struct {
	Format    int    `toml:"format"`
	Job       string `toml:"job"` // names the job on every device; copies of a folder share it
	Procedure string `toml:"procedure"`
	Title     string `toml:"title"`
	Engine    string `toml:"engine"`
	Started   string `toml:"started"` // RFC 3339
	By        string `toml:"by"`
	// Zone is the time zone of the workshop, by its name in the IANA data base; empty
	// where the device that started the job did not know it.
	Zone string `toml:"zone,omitempty"`
	// CalledBy is the id of the job that called this one, CalledAt its step; empty
	// where nobody called it.
	CalledBy string `toml:"called_by,omitempty"`
	CalledAt string `toml:"called_at,omitempty"`
	// Digest is the SHA-256 of procedure.toml, to tell when somebody edits it.
	Digest string `toml:"procedure_sha256"`
	// Sum is the SHA-256 of this file as it was first written, without this
	// line, to tell when somebody edits it or its end is cut off.
	Sum      string            `toml:"sum"`
	Settings map[string]string `toml:"settings"` // as they were typed; those not typed have their default

	edited bool
}

// FolderError says that a folder cannot be opened as a job, and why.
type FolderError struct {
	Dir     string
	Problem string
	Err     error
}

func (e *FolderError) Error() string { return Plain(e.Dir) + ": " + e.Problem }
func (e *FolderError) Unwrap() error { return e.Err }

// Reasons of a FolderError that callers tell apart.
var (
	ErrNoJob = errors.New("the folder is no job")
	// ErrNoFolder is a name that this device knows nothing of; a folder in which it
	// has saved something is ErrLost.
	ErrNoFolder = errors.New("there is no such folder")
	ErrLost     = errors.New("the folder of a job is gone")
	ErrNewer    = errors.New("the job was written by a newer version")
)

func readHeader(files FS, dir string) (*header, error) {
	refuse := func(err error, format string, args ...any) error {
		return &FolderError{dir, Plain(fmt.Sprintf(format, args...)), err}
	}
	data, err := readPlain(files, filepath.Join(dir, headerName), maxHeader)
	if errors.Is(err, fs.ErrNotExist) {
		if _, listErr := files.ReadDir(dir); errors.Is(listErr, fs.ErrNotExist) {
			return nil, refuse(ErrNoFolder, "there is no such folder")
		} else if listErr != nil {
			return nil, refuse(listErr, "the folder cannot be read: %v", listErr)
		}
		return nil, refuse(ErrNoJob, "the folder is no job: it holds no %s (\"fettle job start\" makes one)", headerName)
	}
	if err != nil {
		return nil, refuse(err, "%s", said(err))
	}
	// The format is looked at alone and first: a newer one may mean anything.
	var version struct {
		Format int `toml:"format"`
	}
	_, err = toml.Decode(string(data), &version)
	if err == nil && version.Format > headerFormat {
		return nil, refuse(ErrNewer, "the job was written by a newer version of fettle (%s has format %d, this version reads up to %d): use the newer one", headerName, version.Format, headerFormat)
	}
	var h header
	var meta toml.MetaData
	if err == nil {
		meta, err = toml.Decode(string(data), &h)
	}
	var place toml.ParseError
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, refuse(ErrNoJob, "%s is empty (a power cut while the folder was copied?): take it from another copy of this job", headerName)
	case errors.As(err, &place):
		return nil, refuse(err, "%s line %d: %s", headerName, place.Position.Line, place.Message)
	case err != nil:
		return nil, refuse(err, "%s: a key holds the wrong kind of value (text stands in quotes, numbers do not): it was edited; take it from another copy of this job", headerName)
	case h.Format < 1:
		return nil, refuse(ErrNoJob, "%s has no \"format = 1\"", headerName)
	case meta.Type("settings") != "Hash":
		// The decoder passes over a wrong type here, and the job would go on with
		// other figures than it began with.
		return nil, refuse(ErrNoJob, "%s has no table [settings]: it is cut off or was edited; take it from another copy of this job", headerName)
	case !validJob(h.Job):
		return nil, refuse(ErrNoJob, "%s: \"job\" names the job with 4 to 64 of a-z, 0-9 and hyphens", headerName)
	}
	if plain, err := h.encode(); err == nil {
		h.edited = h.Sum != digest(plain)
	}
	if h.CalledBy != "" && !validJob(h.CalledBy) {
		return nil, refuse(ErrNoJob, "%s: \"called_by\" names a job with 4 to 64 of a-z, 0-9 and hyphens", headerName)
	}
	for _, s := range []*string{&h.Procedure, &h.Title, &h.Engine, &h.Started, &h.By, &h.Zone, &h.CalledAt} {
		*s = Plain(*s)
	}
	return &h, nil
}

// validJob keeps a name that comes from a folder from being a path.
func validJob(name string) bool {
	return len(name) >= 4 && len(name) <= 64 && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// encode writes the file without its sum.
func (h header) encode() ([]byte, error) {
	h.Sum = ""
	return h.write()
}

func (h header) write() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# What this job is. Written once when it started; the work is in the logs beside it.\n")
	enc := toml.NewEncoder(&b)
	enc.Indent = ""
	err := enc.Encode(&h)
	return b.Bytes(), err
}

func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// SettingsError says what is wrong with the settings of a new job.
type SettingsError struct {
	Diagnostics source.Diagnostics
	// Setting is the one whose value alone is at fault; "" where that cannot be told.
	Setting string
}

// culprit finds the one value without which all would be well: the sums that
// stumble over it do not know where it came from.
func culprit(proc *checklist.Procedure, values map[string]string) string {
	found := ""
	for _, name := range sortedKeys(values) {
		others := maps.Clone(values)
		delete(others, name)
		if _, list := proc.Fill(others); !list.HasStop() {
			if found != "" {
				return ""
			}
			found = name
		}
	}
	return found
}

func (e *SettingsError) Error() string {
	lines := make([]string, 0, len(e.Diagnostics))
	for _, d := range e.Diagnostics {
		if d.Severity != check.Stop {
			continue
		}
		line := d.Message
		if name := firstOf(d.Setting, e.Setting); name != "" {
			line = name + ": " + line
		}
		if d.Suggestion != "" {
			line += " (" + d.Suggestion + ")"
		}
		if line = Plain(line); !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}

// ErrNobody says that nobody said yet who is working.
var ErrNobody = errors.New("nobody has said who is working")

// Start lays down a new job in dir and opens it. The folder may exist only if
// it is empty, or holds what a start left that was cut short. Wrong or missing
// settings are a *SettingsError. The job is on the disk when Start returns.
func Start(dir string, proc *checklist.Procedure, values map[string]string, engine string, env Env) (*Job, error) {
	return start(dir, proc, values, engine, env, "", "")
}

// start is Start for a job that the step of another one may have called.
func start(dir string, proc *checklist.Procedure, values map[string]string, engine string, env Env, calledBy, calledAt string) (*Job, error) {
	env = env.in(dir)
	files := env.files()
	engine = strings.Join(strings.Fields(engine), " ")
	if Plain(engine) != engine || len(engine) > maxValue {
		return nil, fmt.Errorf("the engine's name holds letters only, at most %d", maxValue)
	}
	person, err := whoWorks(env)
	if err != nil {
		return nil, err
	}
	filled, found := proc.Fill(values)
	if found.HasStop() || filled == nil {
		return nil, &SettingsError{found, culprit(proc, values)}
	}
	if err := disk.Portable(filepath.Base(dir)); err != nil {
		return nil, &FolderError{dir, err.Error() + ": give the job another one", err}
	}
	if err := startable(files, dir); err != nil {
		return nil, err
	}
	now := env.Now()
	h := &header{
		Format:    headerFormat,
		Job:       "job-" + randomWord(12),
		Procedure: proc.ID,
		Title:     filled.Title,
		Engine:    engine,
		Started:   now.Format(time.RFC3339),
		By:        person,
		Zone:      zoneName(now),
		CalledBy:  calledBy,
		CalledAt:  calledAt,
		Digest:    digest(proc.Source),
		Settings:  map[string]string{},
	}
	for name, value := range values {
		if value != "" {
			h.Settings[name] = value
		}
	}
	if strings.TrimSpace(engine) == "" {
		return nil, ErrNoEngine
	}
	plain, err := h.encode()
	if err != nil {
		return nil, err
	}
	h.Sum = digest(plain)
	data, err := h.write()
	if err != nil {
		return nil, err
	}
	if err := layDown(files, dir, proc.Source, data); err != nil {
		return nil, &FolderError{dir, "the job could not be started: the folder " + reason(err) + " (" + Plain(err.Error()) + ")", err}
	}
	j, err := Open(dir, env)
	if err != nil {
		return nil, err
	}
	if _, err = j.save(func() (Entry, error) {
		return Entry{Kind: KindStart, By: person, Text: filled.Title}, nil
	}); err != nil {
		return j, err
	}
	return j, j.tellDangers()
}

// tellDangers writes into a new job what stands on its engine, so that it does not
// hang on a folder elsewhere.
func (j *Job) tellDangers() error {
	if !j.keeps(RuleDangerTold) {
		return nil
	}
	neighbours, _ := j.onEngine()
	var jobs []*Job
	for _, n := range neighbours {
		jobs = append(jobs, n.job)
	}
	for _, entry := range dangersToTell(jobs) {
		if _, err := j.save(func() (Entry, error) { return entry, nil }); err != nil {
			return err
		}
	}
	return nil
}

// startable refuses a folder that holds anything but the remains of a start
// that was cut short before the job was there.
func startable(files FS, dir string) error {
	entries, err := files.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return &FolderError{dir, "the folder cannot be read: " + Plain(err.Error()), err}
	}
	for _, e := range entries {
		name := e.Name()
		if name == headerName {
			return &FolderError{dir, "there is a job in this folder already: open it, or name another folder", fs.ErrExist}
		}
		if name != procedureName && name != photosName && name != gitName && !strings.Contains(name, newSuffix) {
			return &FolderError{dir, "the folder is not empty: name a new or an empty one for the job", fs.ErrExist}
		}
	}
	return nil
}

// layDown writes a job's folder. job.toml comes last: a folder without it is no
// job, so a start that is cut short leaves nothing half made.
func layDown(files FS, dir string, procedure, header []byte) error {
	if err := files.MkdirAll(filepath.Join(dir, photosName), 0o755); err != nil {
		return err
	}
	if err := writeNew(files, filepath.Join(dir, procedureName), procedure); err != nil {
		return err
	}
	if err := writeNew(files, filepath.Join(dir, gitName), []byte(gitRules)); err != nil {
		return err
	}
	if err := files.SyncDir(dir); err != nil {
		return err
	}
	if err := writeNew(files, filepath.Join(dir, headerName), header); err != nil {
		return err
	}
	if err := files.SyncDir(dir); err != nil {
		return err
	}
	return syncParents(files, dir)
}

// ErrNoEngine says that a job was started without the name of its engine: months
// later nobody knows which of two it was.
var ErrNoEngine = errors.New("the engine's name is needed")

// whoWorks is the person of the environment or the one this device remembers.
func whoWorks(env Env) (string, error) {
	if env.Person != "" {
		return CheckPerson(env.Person)
	}
	name, err := Person(env)
	if err != nil && !errors.Is(err, errNoStateDir) {
		return "", err
	}
	if name == "" {
		return "", ErrNobody
	}
	return name, nil
}
