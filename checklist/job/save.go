package job

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"reflect"
	"slices"
	"sync"
	"syscall"
	"time"
)

// Where says how safe a new entry is.
type Where string

// The places. Everywhere alone is plain "saved".
const (
	Everywhere Where = "Saved"                          // on the disk twice: this device's copy and the job's folder
	DeviceOnly Where = "Saved on this device only"      // the folder did not take it; it is added by itself later
	FolderOnly Where = "Saved in the job's folder only" // this device's own copy could not be written
)

// Saved is the answer to an entry that was kept.
type Saved struct {
	Entry  Entry
	Where  Where
	Notice string // what is wrong and what happens next, with the folder; empty when all is well
	Said   string // plain sentence on what was done where the name of the action does not tell: what was undone

	folderErr error // why the job's folder did not take it
}

// String is what to show a person.
func (s Saved) String() string {
	if s.Said == "" {
		return s.Named("")
	}
	return s.Named("") + " " + s.Said
}

// Named says where the entry is and who made it, for a place where several
// people enter things in turn. What it did is in Said.
func (s Saved) Named(who string) string {
	text := string(s.Where)
	if who != "" {
		text += " by " + who
	}
	if s.Notice == "" {
		return text + "."
	}
	return text + " - " + s.Notice
}

func (s Saved) saying(text string) Saved {
	s.Said = text
	return s
}

// NotSavedError says that an entry is in neither place.
type NotSavedError struct {
	Reason string
	Err    error
}

func (e *NotSavedError) Error() string {
	return "NOT SAVED - " + e.Reason + ". Your text is still here."
}

func (e *NotSavedError) Unwrap() error { return e.Err }

// writer saves the entries of one device in one job.
type writer struct {
	files FS
	now   func() time.Time
	dev   *device
	logs  *logs

	mu     sync.Mutex // held while the disk works: one save or refresh at a time
	id     string     // of this device; "" until it is needed
	placed bool       // that this device saves here is known to it
	synced int        // what logs.rebuilt was when the folder's names were last put on the disk

	// alone are entries that this process put into the folder without the twin;
	// doubted those whose way into the folder failed half-way: the disk may show
	// them and still not have them.
	alone   map[key][]byte
	doubted map[key]bool
	failed  *attempt
	tried   time.Time // when adding to the folder last failed
}

// attempt is an entry that is in neither place. When the same is asked for
// again the same line is sent, so that it cannot count twice.
type attempt struct {
	asked Entry
	line  []byte
}

func newWriter(files FS, now func() time.Time, dev *device, l *logs) *writer {
	return &writer{
		files: files, now: now, dev: dev, logs: l,
		synced: -1, alone: map[key][]byte{}, doubted: map[key]bool{},
	}
}

// save adds one entry. ask makes it from what is known once the lock is held
// and everything has been read, and is told whether that brought anything new;
// it leaves the counters to save. after is called before the lock is given back.
func (w *writer) save(ask func(changed bool) (Entry, error), after func() error) (Saved, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	unlock, twinErr := w.dev.lock()
	if errors.Is(twinErr, ErrLocked) {
		return Saved{}, &NotSavedError{Reason: ErrLocked.Error(), Err: twinErr}
	}
	if unlock != nil {
		defer unlock() // the lock goes with the process anyway
	}
	changed, folderErr := w.logs.refresh()
	asked, err := ask(changed)
	if err != nil {
		return Saved{}, err
	}
	saved, err := w.keep(asked, twinErr, folderErr)
	return saved, errors.Join(err, after())
}

// keep puts an entry into both places, or finds out why not.
func (w *writer) keep(asked Entry, twinErr, folderErr error) (Saved, error) {
	if twinErr == nil {
		twinErr = w.identify()
	}
	if w.id == "" {
		w.id = randomWord(4) // no private folder: this process is a device of its own
	}
	line, err := w.line(asked)
	if err != nil {
		return Saved{}, err
	}
	entry, _ := decode(line)

	if twinErr == nil {
		twinErr = w.saveTwin(line)
	}
	fork := ""
	if folderErr == nil {
		fork, folderErr = w.saveFolder(entry, line, twinErr == nil)
	}
	w.failed = nil
	switch {
	case twinErr != nil && folderErr != nil:
		w.failed = &attempt{asked, line}
		return Saved{}, &NotSavedError{
			Reason: fmt.Sprintf("the job folder %s %s, and %s", w.logs.dir, reason(folderErr), w.dev.trouble(twinErr)),
			Err:    errors.Join(folderErr, twinErr),
		}
	case folderErr != nil:
		return Saved{Entry: entry, Where: DeviceOnly, Notice: fmt.Sprintf("the job folder %s %s. It will be added by itself.", w.logs.dir, reason(folderErr)), folderErr: folderErr}, nil
	case twinErr != nil:
		return Saved{Entry: entry, Where: FolderOnly, Notice: w.dev.trouble(twinErr) + "."}, nil
	}
	if !w.placed {
		w.placed = true
		w.dev.saved(w.logs.dir)
	}
	return Saved{Entry: entry, Where: Everywhere, Notice: fork}, nil
}

// heal adds to the folder what is saved on this device only.
func (w *writer) heal() (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	unlock, err := w.dev.lock()
	if err != nil {
		return 0, err
	}
	defer unlock()
	if _, err := w.logs.refresh(); err != nil {
		return 0, err
	}
	missing := len(w.missing())
	if missing == 0 {
		return 0, nil
	}
	if err := w.identify(); err != nil {
		return 0, err
	}
	_, err = w.saveFolder(Entry{}, nil, true)
	return missing, err
}

// mayHeal says whether there is reason to try the folder again.
func (w *writer) mayHeal(pause time.Duration) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.tried.IsZero() || w.now().Sub(w.tried).Abs() >= pause
}

// identify finds out who this device is, and gives it a new name where it has
// none, or where its copy of this job is lost: the entries that went with it
// may come back from another device, and must not meet new ones of their name.
func (w *writer) identify() error {
	said, err := w.dev.identify()
	if err != nil {
		return err
	}
	w.id = said.Device
	if w.id != "" && !w.twinLost() {
		return nil
	}
	w.id = randomWord(4)
	return w.dev.append(identity{Device: w.id})
}

func (w *writer) twinLost() bool {
	rec := w.logs.newest[w.id]
	if rec == nil {
		return false
	}
	for _, rec := range w.logs.all {
		if rec.inTwin && rec.Device() == w.id {
			return false
		}
	}
	return w.alone[rec.key()] == nil
}

// line makes the bytes of an entry, or takes those of the attempt that failed.
func (w *writer) line(asked Entry) ([]byte, error) {
	if w.failed != nil && reflect.DeepEqual(w.failed.asked, asked) {
		return w.failed.line, nil
	}
	e := asked
	e.V = lineVersion
	e.N = min(w.logs.maxN+1, maxCounter)
	e.Seq = 1
	if last := w.logs.newest[w.id]; last != nil {
		e.Seq = min(last.Seq+1, maxCounter)
		e.Prev = last.Sum
	}
	e.ID = fmt.Sprintf("%s-%d-%s", w.id, e.Seq, randomWord(4))
	e.Time = w.now().Format(time.RFC3339)
	return encode(e)
}

// saveTwin puts a line into this device's own copy, after those that only the
// folder has.
func (w *writer) saveTwin(line []byte) error {
	lines := make([][]byte, 0, 1)
	for _, raw := range w.alone {
		lines = append(lines, raw)
	}
	lines = append(lines, line)
	path := w.logs.twin
	create := w.logs.read[path] == nil
	if create {
		w.dev.synced = false // until it has worked: a failed try may have made the file
	}
	done, err := appendLines(w.files, path, create, false, w.dev.sync, lines...)
	if err != nil {
		// The handle is finished, whatever it says from now on. Once more, from
		// the start, without trusting what the file shows.
		create = create && errors.Is(err, fs.ErrNotExist)
		if done, err = appendLines(w.files, path, create, true, w.dev.sync, lines...); err != nil {
			return err
		}
	}
	w.logs.appended(path, done)
	for _, line := range lines {
		e, _ := decode(line)
		w.logs.add(e, fromTwin)
	}
	clear(w.alone)
	return nil
}

// missing lists what this device has to add to the folder.
func (w *writer) missing() []*record {
	var missing []*record
	for _, rec := range w.logs.all {
		if rec.inTwin && (!rec.inFolder || w.doubted[rec.key()]) {
			missing = append(missing, rec)
		}
	}
	slices.SortFunc(missing, compareRecords)
	return missing
}

var errReplaced = errors.New("the log was replaced while it was written")

// saveFolder puts a line into this device's log in the job's folder, together
// with every entry of this device that the folder lacks; line may be nil, and
// inTwin says whether the twin has it. It says when it had to begin another log.
func (w *writer) saveFolder(e Entry, line []byte, inTwin bool) (fork string, err error) {
	const tries = 3
	for try := range tries {
		if try > 0 {
			if _, err := w.logs.refresh(); err != nil {
				return "", err
			}
		}
		path, create, forked := w.pick()
		if create {
			w.synced = -1 // until it has worked: a failed try may have made the file
		}
		missing := w.missing()
		lines, readErr := w.logs.twinLines(missing, e.key(), line)
		if readErr != nil {
			return "", readErr
		}
		if !inTwin {
			lines = append(lines, line)
		}
		done, appendErr := appendLines(w.files, path, create, try > 0, w.syncFolder, lines...)
		if err = appendErr; err == nil {
			w.logs.appended(path, done)
			for _, rec := range missing {
				delete(w.doubted, rec.key())
				rec.mark(fromLog)
			}
			if !inTwin {
				w.logs.add(e, fromLog)
				w.alone[e.key()] = line
			}
			if forked != "" {
				fork = fmt.Sprintf("%s was written by something else; this device goes on in %s.", forked, filepath.Base(path))
			}
			w.tried = time.Time{}
			return fork, nil
		}
		for _, rec := range missing {
			w.doubted[rec.key()] = true
		}
		if errors.Is(err, syscall.ENOSPC) || errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
			break // a second try would only leave a second torn line
		}
	}
	w.tried = w.now()
	return "", err
}

// pick chooses this device's log: one that ends in an entry of this device.
// Where another device with the same name, or an editor, wrote the end of it,
// this device never adds to it again and begins another; its name is told.
func (w *writer) pick() (path string, create bool, forked string) {
	var best *logFile
	for _, f := range w.logs.read {
		name := logName().FindStringSubmatch(filepath.Base(f.path))
		if f.path == w.logs.twin || name == nil || name[1] != "log" || name[2] != w.id || f.size >= newLogAt {
			continue
		}
		if f.hasLast && (f.last == nil || !f.last.inTwin && w.alone[f.last.key()] == nil) {
			forked = filepath.Base(f.path)
			continue
		}
		if best == nil || f.lastSeq() > best.lastSeq() || f.lastSeq() == best.lastSeq() && f.path < best.path {
			best = f
		}
	}
	if best != nil {
		return best.path, false, ""
	}
	return filepath.Join(w.logs.dir, "log-"+w.id+"-"+randomWord(6)+".jsonl"), true, forked
}

// syncFolder puts the names in the job's folder, and its own, on the disk:
// whenever a log is new or was replaced, and the first time in each process,
// since that a file was there before does not say that its name is.
func (w *writer) syncFolder() error {
	if w.synced == w.logs.rebuilt {
		return nil
	}
	if err := w.files.SyncDir(w.logs.dir); err != nil {
		return err
	}
	if err := syncParents(w.files, w.logs.dir); err != nil {
		return err
	}
	w.synced = w.logs.rebuilt
	return nil
}

// written is what appendLines did.
type written struct {
	before int64 // length of the file until then
	data   []byte
	info   fs.FileInfo // of the file afterwards
}

// appendLines adds lines to the end of a file in one write and returns once
// they are on the disk: file synced, names put there by settle, the name still
// that of the open file, and what was written read back.
//
// An error at any point means that nothing is known: the handle is closed and
// nothing further is asked of it. afresh begins a new line whatever the file
// shows.
func appendLines(files FS, path string, create, afresh bool, settle func() error, lines ...[]byte) (done written, err error) {
	f, err := files.Append(path, create)
	if err != nil {
		return done, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	info, err := f.Stat()
	if err != nil {
		return done, err
	}
	done.before = info.Size()
	last := []byte{'\n'}
	if done.before > 0 {
		if _, err := f.ReadAt(last, done.before-1); err != nil {
			return done, err
		}
	}
	if afresh || last[0] != '\n' {
		done.data = append(done.data, '\n')
	}
	for _, line := range lines {
		done.data = append(append(done.data, line...), '\n')
	}
	n, err := f.Write(done.data)
	if err != nil {
		return done, err
	}
	if n < len(done.data) {
		return done, io.ErrShortWrite
	}
	if err := f.Sync(); err != nil {
		return done, err
	}
	if err := settle(); err != nil {
		return done, err
	}
	// With the handle still open, since a closed file's number may be used again.
	same, err := files.Same(f, path)
	if err != nil {
		return done, err
	}
	if !same {
		return done, errReplaced
	}
	back := make([]byte, len(done.data))
	if _, err := f.ReadAt(back, done.before); err != nil {
		return done, err
	}
	if !bytes.Equal(back, done.data) {
		return done, errors.New("what was written reads back otherwise")
	}
	done.info, err = f.Stat()
	return done, err
}
