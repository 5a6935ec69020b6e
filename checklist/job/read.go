package job

import (
	"bufio"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"fettle/checklist/disk"
)

// Limits of a folder. A refit writes a few thousand entries of 200 bytes.
const (
	maxFile    = 128 << 20 // bytes of one log that are read
	maxTotal   = 512 << 20 // bytes of all logs that are read
	maxLogs    = 2000      // logs that are read
	maxChanged = 1000      // lines changed by hand that are kept to be shown
	newLogAt   = 32 << 20  // this device starts another log when its own is as long as this
)

// key is what makes two lines the same entry.
type key struct{ id, sum string }

func (e *Entry) key() key { return key{e.ID, e.Sum} }

// record is an entry of the union of all logs.
type record struct {
	Entry
	inTwin   bool
	inFolder bool
	inLog    bool    // in the folder, in a file that has a log's own name
	next     *record // another good line with the same id
}

// logs is the union of every log in a job's folder and of this device's own
// copy (the twin), kept up to date by refresh.
type logs struct {
	files FS
	dir   string // the job's folder
	twin  string // path of the twin; "" where this device has no private folder

	seed    maphash.Seed
	read    map[string]*logFile // by path
	byID    map[string]*record
	doubles map[string]bool // ids of several different good lines
	all     []*record       // in the order of arrival
	maxN    int64
	newest  map[string]*record // by device: its entry with the highest seq

	changed     []changedLine
	changedSeen map[string]bool // by mark
	changedMore int             // changed lines beyond maxChanged

	limit int64 // bytes of all logs that are read
	// called says that something has the name of the folder of the called jobs.
	called bool
	// frozen is how job.toml and procedure.toml looked, to tell when a called
	// job has to be opened afresh.
	frozen  string
	skipped []string // files that are not read, with the reason
	rebuilt int      // how often everything was read afresh, or a log was new
}

// origin is the sort of file that an entry was found in.
type origin int

const (
	fromCopy origin = iota // any other file in the folder
	fromLog                // a file in the folder that has a log's own name
	fromTwin               // this device's own copy
)

// logFile is what was read from one file.
type logFile struct {
	path     string
	from     origin
	size     int64
	modified time.Time

	hash     maphash.Hash // of the first consumed bytes
	consumed int64        // up to and with the last newline
	lines    int          // complete lines so far
	tail     lineState    // of what follows the last newline
	last     *record      // entry of the last line that was one; nil if it was changed by hand
	hasLast  bool

	unreadable, firstUnreadable int // complete lines that are no entry, and the first of them
}

// changedLine is a line that is an entry without a matching sum.
type changedLine struct {
	Entry        // what it says now; Sum is its mark
	file  string // name of the file
	line  int
}

// logName is the name of a log: device and six random characters. Copies that
// sync tools make of one on a conflict are called otherwise.
// It is compiled when first asked for: no look-up should pay for it.
var logName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(log|merged)-([a-z0-9]+)-[a-z0-9]{6}\.jsonl$`)
})

func newLogs(files FS, dir, twin string) *logs {
	l := &logs{files: files, dir: dir, twin: twin, seed: maphash.MakeSeed(), limit: maxTotal}
	l.reset()
	return l
}

func (l *logs) reset() {
	l.read = map[string]*logFile{}
	l.byID = map[string]*record{}
	l.doubles = map[string]bool{}
	l.all = nil
	l.maxN = 0
	l.newest = map[string]*record{}
	l.changed, l.changedSeen, l.changedMore = nil, map[string]bool{}, 0
}

// found is a log that a listing of the folder showed.
type found struct {
	path     string
	size     int64
	modified time.Time
}

// refresh reads what was added since the last time and says whether anything
// is different. An error means that the folder could not be listed; what was
// known of it stays known.
func (l *logs) refresh() (bool, error) {
	list, skipped, err := l.list()
	if err != nil {
		for _, f := range l.read {
			if f.path != l.twin {
				list = append(list, found{f.path, f.size, f.modified})
			}
		}
	}
	different := !slices.Equal(skipped, l.skipped)
	l.skipped = skipped
	present := make(map[string]bool, len(list))
	for _, f := range list {
		present[f.path] = true
	}
	fresh := len(l.read) == 0
	for path := range l.read {
		fresh = fresh || !present[path] // what only a log held that went away must go too
	}
	const passes = 3 // a folder that changes faster than it can be read is taken as it is
	for range passes {
		if fresh {
			if err != nil {
				return different, err // not without the folder
			}
			l.reset()
			l.rebuilt++
			different = true
		}
		fresh = false
		for _, f := range list {
			known := l.read[f.path]
			if known != nil && known.size == f.size && known.modified.Equal(f.modified) {
				continue
			}
			different = true
			if known == nil {
				l.rebuilt++
			}
			grown, readErr := l.readFile(f)
			if readErr != nil && !errors.Is(readErr, fs.ErrNotExist) { // gone since it was listed: the next refresh sees to it
				l.skipped = append(l.skipped, fmt.Sprintf("%s cannot be read: %s.", Plain(filepath.Base(f.path)), Plain(readErr.Error())))
			}
			if readErr == nil && !grown {
				fresh = true // not only longer: read everything afresh
				break
			}
		}
		if !fresh {
			break
		}
	}
	return different, err
}

// list finds the logs: every plain *.jsonl file, whoever named it, since the
// copies that sync tools make keep the extension.
func (l *logs) list() ([]found, []string, error) {
	var list []found
	var skipped []string
	var total int64
	tooMany := 0
	if l.twin != "" {
		f, err := l.files.Open(l.twin)
		if err == nil {
			info, statErr := f.Stat()
			if err = errors.Join(statErr, f.Close()); err == nil {
				list = append(list, found{l.twin, info.Size(), info.ModTime()})
			}
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, syscall.ENOTDIR) {
			skipped = append(skipped, "This device's own copy cannot be read: "+Plain(err.Error())+".")
		}
	}
	entries, err := l.files.ReadDir(l.dir)
	if err != nil {
		return list, skipped, err
	}
	l.called, l.frozen = false, ""
	for _, e := range entries {
		name := e.Name()
		l.called = l.called || name == calledName
		if name == headerName || name == procedureName {
			if info, err := e.Info(); err == nil {
				l.frozen += fmt.Sprintf("%s %v %d %d\n", name, info.Mode(), info.Size(), info.ModTime().UnixNano())
			}
		}
		if !strings.EqualFold(filepath.Ext(name), ".jsonl") || e.IsDir() {
			continue
		}
		info, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		switch {
		case err != nil:
			skipped = append(skipped, fmt.Sprintf("%s cannot be looked at: %s.", Plain(name), Plain(err.Error())))
		case !info.Mode().IsRegular():
			skipped = append(skipped, "Not read: "+said(disk.CheckFile(name, info.Mode()))+".")
		case info.Size() > maxFile:
			skipped = append(skipped, fmt.Sprintf("%s is larger than %d MiB and is not read.", Plain(name), maxFile>>20))
		case total+info.Size() > l.limit || len(list) >= maxLogs:
			tooMany++
		default:
			total += info.Size()
			list = append(list, found{filepath.Join(l.dir, name), info.Size(), info.ModTime()})
		}
	}
	if tooMany > 0 {
		skipped = append(skipped, plural(tooMany, "file is", "files are")+" not read: the folder holds more logs than a job can.")
	}
	return list, skipped, nil
}

// bytes is the size of the logs that were read.
func (l *logs) bytes() int64 {
	var total int64
	for path, f := range l.read {
		if path != l.twin {
			total += f.size
		}
	}
	return total
}

// readFile reads what is new in one file. It returns false where the file is
// not the one known before with something added.
func (l *logs) readFile(f found) (grown bool, err error) {
	file, err := l.files.Open(f.path)
	if err != nil {
		return false, err
	}
	defer file.Close()
	known := l.read[f.path]
	if known == nil {
		known = l.newFile(f.path)
	} else {
		if f.size < known.consumed || known.tail == lineChanged {
			return false, nil
		}
		var seen maphash.Hash
		seen.SetSeed(l.seed)
		if _, err := io.CopyN(&seen, file, known.consumed); err != nil || seen.Sum64() != known.hash.Sum64() {
			return false, nil
		}
	}
	known.size, known.modified = f.size, f.modified
	known.tail = lineBlank
	return true, scan(file, f.size-known.consumed, &known.hash, func(line []byte, raw int, ended, tooLong bool) {
		known.take(l, line, ended, tooLong)
		if ended {
			known.consumed += int64(raw)
		}
	})
}

// take files one line.
func (f *logFile) take(l *logs, line []byte, ended, tooLong bool) {
	number := f.lines + 1
	if ended {
		f.lines++
	}
	if tooLong {
		if ended {
			f.bad(number)
		} else {
			f.tail = lineUnreadable
		}
		return
	}
	line = trimLine(line)
	if rec := l.again(line); rec != nil {
		rec.mark(f.from)
		f.last, f.hasLast = rec, true
		if !ended {
			f.tail = lineGood
		}
		return
	}
	e, state := decode(line)
	if !ended {
		f.tail = state
	}
	switch state {
	case lineGood:
		f.last, f.hasLast = l.add(e, f.from), true
	case lineChanged, lineUnreadable:
		salvaged := false
		salvage(line, func(entry []byte) {
			if e, state := decode(entry); state == lineGood {
				f.last, f.hasLast = l.add(e, f.from), true
				salvaged = true
			}
		})
		switch {
		case state == lineChanged && !salvaged:
			f.last, f.hasLast = nil, true
			l.addChanged(e, f.path, number)
		case ended:
			f.bad(number)
		}
	}
}

func (f *logFile) bad(line int) {
	if f.unreadable == 0 {
		f.firstUnreadable = line
	}
	f.unreadable++
}

// again finds the record of a line that was read before, without decoding it:
// its id stands where this program writes it, and its sum matches.
func (l *logs) again(line []byte) *record {
	const head = `{"v":1,"id":"`
	if len(line) < len(head)+sumTail || string(line[:len(head)]) != head {
		return nil
	}
	id, _, ok := bytes.Cut(line[len(head):], []byte{'"'})
	if !ok {
		return nil
	}
	sum := line[len(line)-2-sumDigits : len(line)-2]
	for rec := l.byID[string(id)]; rec != nil; rec = rec.next {
		if rec.Sum == string(sum) && sumMatches(line) {
			return rec
		}
	}
	return nil
}

// add puts a good entry into the union; the key is its id together with its sum.
func (l *logs) add(e Entry, from origin) *record {
	first := l.byID[e.ID]
	for rec := first; rec != nil; rec = rec.next {
		if rec.Sum == e.Sum {
			rec.mark(from)
			return rec
		}
	}
	rec := &record{Entry: e, next: first}
	l.byID[e.ID] = rec
	if first != nil {
		l.doubles[e.ID] = true
	}
	l.all = append(l.all, rec)
	l.maxN = max(l.maxN, e.N)
	device := e.Device()
	if newest := l.newest[device]; newest == nil || e.Seq >= newest.Seq {
		l.newest[device] = rec
	}
	rec.mark(from)
	return rec
}

func (rec *record) mark(from origin) {
	switch from {
	case fromTwin:
		rec.inTwin = true
	case fromLog:
		rec.inFolder, rec.inLog = true, true
	case fromCopy:
		rec.inFolder = true
	}
}

func (l *logs) addChanged(e Entry, path string, line int) {
	if l.changedSeen[e.Sum] {
		return
	}
	if len(l.changed) == maxChanged {
		l.changedMore++
		return
	}
	l.changedSeen[e.Sum] = true
	l.changed = append(l.changed, changedLine{e, filepath.Base(path), line})
}

// appended takes in what this process just wrote, without reading it again. It
// leaves to the next refresh what it is not sure of.
func (l *logs) appended(path string, done written) {
	f := l.read[path]
	if f == nil {
		if done.before != 0 {
			return
		}
		f = l.newFile(path)
	}
	if f.size != done.before || f.size != f.consumed {
		return
	}
	f.hash.Write(done.data)
	for line := range bytes.Lines(done.data) {
		f.take(l, line, true, false)
	}
	f.consumed += int64(len(done.data))
	f.size, f.modified = f.consumed, done.info.ModTime()
	if done.info.Size() != f.size {
		f.size = -1 // somebody else wrote as well
	}
}

func (l *logs) newFile(path string) *logFile {
	f := &logFile{path: path}
	switch {
	case path == l.twin:
		f.from = fromTwin
	case logName().MatchString(filepath.Base(path)):
		f.from = fromLog
	}
	f.hash.SetSeed(l.seed)
	l.read[path] = f
	return f
}

func (f *logFile) lastSeq() int64 {
	if f.last == nil {
		return 0
	}
	return f.last.Seq
}

// twinLines fetches lines of the twin, in the order asked for. One of them may
// be at hand.
func (l *logs) twinLines(wanted []*record, atHand key, line []byte) ([][]byte, error) {
	lines := make([][]byte, len(wanted))
	place := make(map[key]int, len(wanted))
	for i, rec := range wanted {
		if rec.key() == atHand {
			lines[i] = line
			continue
		}
		place[rec.key()] = i
	}
	if len(place) == 0 {
		return lines, nil
	}
	f, err := l.files.Open(l.twin)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	var hash maphash.Hash
	err = scan(f, info.Size(), &hash, func(line []byte, _ int, _, _ bool) {
		eachEntry(trimLine(line), func(entry []byte) {
			if rec := l.again(entry); rec != nil {
				if i, ok := place[rec.key()]; ok {
					lines[i] = bytes.Clone(entry)
				}
			}
		})
	})
	for _, i := range place {
		if err == nil && lines[i] == nil {
			err = errors.New("this device's own copy changed while it was read")
		}
	}
	return lines, err
}

// compareRecords is the order of a job: by Lamport counter, then device, seq
// and sum, so that every device puts the same entries in the same order.
func compareRecords(a, b *record) int {
	if a.N != b.N {
		return cmp.Compare(a.N, b.N)
	}
	return cmp.Or(strings.Compare(a.Device(), b.Device()), cmp.Compare(a.Seq, b.Seq), strings.Compare(a.Sum, b.Sum), strings.Compare(a.ID, b.ID))
}

// scan cuts what follows into lines and hashes what ends in a newline. raw is
// the length with the newline; of a line longer than maxLine only that is told.
// At most size bytes are read.
func scan(r io.Reader, size int64, hash *maphash.Hash, take func(line []byte, raw int, ended, tooLong bool)) error {
	buffer := min(size, maxLine) + 2
	lines := bufio.NewReaderSize(io.LimitReader(r, size), int(buffer))
	for {
		part, err := lines.ReadSlice('\n')
		raw, tooLong := len(part), err == bufio.ErrBufferFull
		if tooLong {
			before := *hash
			hash.Write(part)
			for err == bufio.ErrBufferFull {
				part, err = lines.ReadSlice('\n')
				hash.Write(part)
				raw += len(part)
			}
			if err != nil {
				*hash = before
			}
			part = nil
		} else if err == nil {
			hash.Write(part)
		}
		if err != nil && err != io.EOF {
			return err
		}
		if raw > 0 {
			take(part, raw, err == nil, tooLong)
		}
		if err == io.EOF {
			return nil
		}
	}
}
