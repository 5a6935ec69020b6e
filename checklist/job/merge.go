package job

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// maxPhoto is the largest photo that is copied or exported, maxPhotos how many.
const (
	maxPhoto  = 64 << 20
	maxPhotos = 5000
)

// Merged says what came in from another copy of the job.
type Merged struct {
	Called  int // called jobs that were not here; what they hold is counted with the rest
	Entries int // entries that were not here
	Lines   int // lines changed by hand that were not here
	Photos  int
	Notices []string
}

// Merge brings in from another copy of the same job whatever is not here: its
// entries go into a log of their own, its photos beside ours. The other folder
// is only read. Merging twice brings in nothing the second time.
func (j *Job) Merge(from string) (Merged, error) {
	files := j.env.files()
	other, err := readHeader(files, from)
	if err == nil && other.CalledBy != j.header.CalledBy {
		err = &FolderError{from, "this is a copy of the job that says another job called it: it was edited", nil}
	}
	if err != nil {
		return Merged{}, err
	}
	if other.Job != j.header.Job {
		return Merged{}, &FolderError{from, fmt.Sprintf("this is another job (%s on %s), not a copy of %s", other.Procedure, nameOf(other.Engine), Plain(j.dir)), nil}
	}
	theirs := newLogs(files, from, "")
	if _, err := theirs.refresh(); err != nil {
		return Merged{}, &FolderError{from, "the logs cannot be read: " + Plain(err.Error()), err}
	}
	result, err := j.mergeLogs(theirs)
	if err != nil {
		return result, err
	}
	result.Notices = append(fileNotices(theirs), result.Notices...)
	if source, err := readPlain(files, filepath.Join(from, procedureName), maxProcedure); err == nil && digest(source) != j.header.Digest {
		result.Notices = append(result.Notices, "The copy's "+procedureName+" was changed after the job started; ours is kept.")
	}
	if result.Photos, err = j.mergePhotos(from, &result); err != nil {
		return result, err
	}
	return result, j.mergeCalled(from, other.Job, &result)
}

func nameOf(engine string) string {
	if engine == "" {
		return "an engine without a name"
	}
	return engine
}

func (j *Job) mergeLogs(theirs *logs) (Merged, error) {
	w := j.writer
	w.mu.Lock()
	defer w.mu.Unlock()
	unlock, err := w.dev.lock()
	if errors.Is(err, ErrLocked) {
		return Merged{}, &NotSavedError{Reason: ErrLocked.Error(), Err: err}
	}
	if unlock != nil {
		defer unlock()
	}
	if _, err := w.logs.refresh(); err != nil {
		return Merged{}, &FolderError{j.dir, "the job folder " + reason(err), err}
	}
	var result Merged
	wanted := map[key]bool{}
	for _, rec := range theirs.all {
		ours := w.logs.byID[rec.ID]
		for ours != nil && ours.Sum != rec.Sum {
			ours = ours.next
		}
		if ours == nil || !ours.inFolder {
			wanted[rec.key()] = true
		}
	}
	marks := map[string]bool{}
	for _, line := range theirs.changed {
		if !w.logs.changedSeen[line.Sum] {
			marks[line.Sum] = true
		}
	}
	result.Entries, result.Lines = len(wanted), len(marks)
	if len(wanted)+len(marks) == 0 {
		return result, nil
	}
	lines, err := theirs.collect(wanted, marks)
	if err != nil {
		return Merged{}, err
	}
	name := w.id
	if name == "" {
		if said, err := w.dev.identify(); err == nil && said.Device != "" {
			name = said.Device
		} else {
			name = randomWord(4)
		}
	}
	target := filepath.Join(j.dir, "merged-"+name+"-"+randomWord(6)+".jsonl")
	w.synced = -1
	if _, err := appendLines(w.files, target, true, false, w.syncFolder, lines...); err != nil {
		return Merged{}, &NotSavedError{Reason: "the job folder " + Plain(j.dir) + " " + reason(err), Err: err}
	}
	if _, err := w.logs.refresh(); err != nil {
		return result, err
	}
	return result, j.look()
}

// collect fetches the bytes of entries, by their key, and of changed lines, by
// their mark. Every one that is found is taken off its list.
func (l *logs) collect(wanted map[key]bool, marks map[string]bool) ([][]byte, error) {
	var lines [][]byte
	for _, name := range sortedKeys(l.read) {
		f, err := l.files.Open(name)
		if err != nil {
			return nil, err
		}
		var unused maphash.Hash
		err = scan(f, l.read[name].size, &unused, func(raw []byte, _ int, _, _ bool) {
			line := trimLine(raw)
			before := len(lines)
			eachEntry(line, func(entry []byte) {
				if e, state := decode(entry); state == lineGood && wanted[e.key()] {
					delete(wanted, e.key())
					lines = append(lines, bytes.Clone(entry))
				}
			})
			if len(lines) > before || len(marks) == 0 {
				return
			}
			if e, state := decode(line); state == lineChanged && marks[e.Sum] {
				delete(marks, e.Sum)
				lines = append(lines, bytes.Clone(line))
			}
		})
		if err := errors.Join(err, f.Close()); err != nil {
			return nil, err
		}
	}
	return lines, nil
}

// photos lists the plain files in a folder's photos, by name.
func photos(files FS, dir string) ([]string, error) {
	entries, err := files.ReadDir(filepath.Join(dir, photosName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if e.Type().IsRegular() && len(names) < maxPhotos {
			names = append(names, e.Name())
		}
	}
	return names, nil
}

// mergePhotos copies photos that are not here. One of the same name with other
// contents gets a name of its own; none is replaced.
func (j *Job) mergePhotos(from string, result *Merged) (int, error) {
	files := j.env.files()
	names, err := photos(files, from)
	if err != nil || len(names) == 0 {
		return 0, err
	}
	own := filepath.Join(j.dir, photosName)
	if err := files.MkdirAll(own, 0o755); err != nil {
		return 0, err
	}
	copied := 0
	for _, name := range names {
		data, err := readPlain(files, filepath.Join(from, photosName, name), maxPhoto)
		if err != nil {
			result.Notices = append(result.Notices, "Photo not copied: "+Plain(err.Error())+".")
			continue
		}
		for _, target := range []string{name, otherName(name, data)} {
			have, err := readPlain(files, filepath.Join(own, target), maxPhoto)
			if err == nil && bytes.Equal(have, data) {
				break
			}
			if !errors.Is(err, fs.ErrNotExist) {
				continue
			}
			if err := writeNew(files, filepath.Join(own, target), data); err != nil {
				return copied, err
			}
			copied++
			break
		}
	}
	return copied, files.SyncDir(own)
}

func otherName(name string, data []byte) string {
	sum := sha256.Sum256(data)
	ext := path.Ext(name)
	return strings.TrimSuffix(name, ext) + "-" + hex.EncodeToString(sum[:4]) + ext
}

// Export writes the whole job as one zip file: everything in its folder, what
// so far is on this device only, and the log in words. Unpacked, it is a job.
func (j *Job) Export(out io.Writer) error {
	archive := zip.NewWriter(out)
	if err := j.exportTo(archive, ""); err != nil {
		return err
	}
	return archive.Close()
}

// exportTo writes the job, and those it called, under a folder of the archive.
func (j *Job) exportTo(archive *zip.Writer, under string) error {
	w := j.writer
	w.mu.Lock()
	defer w.mu.Unlock()
	if _, err := w.logs.refresh(); err != nil {
		return &FolderError{j.dir, "the job folder " + reason(err), err}
	}
	if err := j.look(); err != nil {
		return err
	}
	for _, name := range []string{headerName, procedureName} {
		if err := j.pack(archive, under, name, maxProcedure); err != nil {
			return err
		}
	}
	for _, name := range sortedKeys(w.logs.read) {
		if name == w.logs.twin {
			continue
		}
		if err := j.pack(archive, under, filepath.Base(name), maxFile); err != nil {
			return err
		}
	}
	if missing := w.missing(); len(missing) > 0 {
		lines, err := w.logs.twinLines(missing, key{}, nil)
		if err != nil {
			return err
		}
		if err := j.store(archive, under+"merged-export-"+randomWord(6)+".jsonl", append(bytes.Join(lines, []byte{'\n'}), '\n')); err != nil {
			return err
		}
	}
	names, err := photos(j.env.files(), j.dir)
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := j.pack(archive, under, path.Join(photosName, name), maxPhoto); err != nil {
			return err
		}
	}
	var words strings.Builder
	for _, e := range j.Log() {
		e.WriteText(&words)
	}
	if err := j.store(archive, under+"log.txt", []byte(words.String())); err != nil {
		return err
	}
	for _, c := range j.view().called {
		if c.job == nil {
			continue // State says that it cannot be read
		}
		if err := c.job.exportTo(archive, under+path.Join(calledName, c.name)+"/"); err != nil {
			return err
		}
	}
	return nil
}

func (j *Job) pack(archive *zip.Writer, under, name string, limit int64) error {
	data, err := readPlain(j.env.files(), filepath.Join(j.dir, filepath.FromSlash(name)), limit)
	if err != nil {
		return &FolderError{j.dir, Plain(err.Error()), err}
	}
	return j.store(archive, under+name, data)
}

func (j *Job) store(archive *zip.Writer, name string, data []byte) error {
	f, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: j.env.Now().Truncate(time.Second)})
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return err
}
