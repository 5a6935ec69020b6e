package job

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"hash/maphash"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fettle/checklist/disk"
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
	files := j.env.files().In(outermost(from))
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
	source, err := readPlain(files, filepath.Join(from, procedureName), maxProcedure)
	switch {
	case err != nil:
		result.Notices = append(result.Notices, "The copy's "+procedureName+" cannot be read; ours is kept: "+said(err)+".")
	case digest(source) != j.header.Digest:
		result.Notices = append(result.Notices, "The copy's "+procedureName+" was changed after the job started; ours is kept.")
	}
	left, err := j.mergePhotos(files, from, &result)
	result.Notices = append(result.Notices, few(left)...)
	if err != nil {
		return result, err
	}
	return result, j.mergeCalled(files, from, other.Job, &result)
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

// photos lists the plain files in the photos of a job's folder, by name. left
// says what else is there and is left out.
func photos(files FS, dir string) (names, left []string, err error) {
	entries, err := files.ReadDir(filepath.Join(dir, photosName))
	var refused *disk.Refused
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil, nil
	case errors.As(err, &refused):
		return nil, []string{passedOver(photosName, err)}, nil
	case err != nil:
		return nil, nil, err
	}
	for _, e := range entries {
		name := path.Join(photosName, e.Name())
		if err := disk.CheckFile(name, e.Type()); err != nil {
			left = append(left, passedOver(name, err))
		} else if names = append(names, e.Name()); len(names) > maxPhotos {
			return names[:maxPhotos], append(left, fmt.Sprintf("%s holds more than %d files; the others are left out.", photosName, maxPhotos)), nil
		}
	}
	return names, left, nil
}

// passedOver says that something in a job's folder is not taken, and why.
func passedOver(name string, err error) string {
	return Plain(name) + " is passed over: " + said(err) + "."
}

// few are the first of a list of sentences, and how many more there are.
func few(list []string) []string {
	const most = 5
	if more := len(list) - most; more > 0 {
		return append(slices.Clone(list[:most]), plural(more, "more like this", "more like these")+".")
	}
	return list
}

// mergePhotos copies photos that are not here, and nothing that is no photo. One
// of the same name with other contents gets a name of its own; none is replaced.
// left says what was left out.
func (j *Job) mergePhotos(files FS, from string, result *Merged) (left []string, err error) {
	names, left, err := photos(files, from)
	if err != nil || len(names) == 0 {
		return left, err
	}
	own := filepath.Join(j.dir, photosName)
	err = files.MkdirAll(own, 0o755)
	var refused *disk.Refused
	if errors.As(err, &refused) {
		return append(left, "No photo is brought in: "+said(err)+", in this job's own folder."), nil
	}
	if err != nil {
		return left, err
	}
	for _, name := range names {
		data, err := readPhotoOf(files, filepath.Join(from, photosName, name))
		if err != nil {
			left = append(left, passedOver(photosName+"/"+name, err))
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
				return left, err
			}
			result.Photos++
			break
		}
	}
	return left, files.SyncDir(own)
}

// otherName is a photo's name with a mark of what it holds.
func otherName(name string, data []byte) string {
	mark := "-" + digest(data)[:8]
	ext := path.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	return stem[:min(len(stem), maxPhotoStem-len(mark))] + mark + ext
}

// Export writes the whole job as one zip file: everything in its folder, what
// so far is on this device only, and the log in words. Unpacked, it is a job.
// left says in plain sentences what was left out, and why.
func (j *Job) Export(out io.Writer) (left []string, err error) {
	archive := zip.NewWriter(out)
	if left, err = j.exportTo(archive, ""); err != nil {
		return left, err
	}
	return left, archive.Close()
}

// exportTo writes the job, and those it called, under a folder of the archive.
func (j *Job) exportTo(archive *zip.Writer, under string) (left []string, err error) {
	w := j.writer
	w.mu.Lock()
	defer w.mu.Unlock()
	if _, err := j.rereadLocked(newBudget()); err != nil {
		return nil, err
	}
	for _, name := range []string{headerName, procedureName} {
		if err := j.pack(archive, under, name, maxProcedure); err != nil {
			return nil, err
		}
	}
	left = few(w.logs.skipped)
	for _, name := range sortedKeys(w.logs.read) {
		if name == w.logs.twin {
			continue
		}
		if err := j.pack(archive, under, filepath.Base(name), maxFile); err != nil {
			return nil, err
		}
	}
	if missing := w.missing(); len(missing) > 0 {
		lines, err := w.logs.twinLines(missing, key{}, nil)
		if err != nil {
			return nil, err
		}
		if err := j.store(archive, under+"merged-export-"+randomWord(6)+".jsonl", append(bytes.Join(lines, []byte{'\n'}), '\n')); err != nil {
			return nil, err
		}
	}
	without, err := j.exportPhotos(archive, under)
	left = append(left, few(without)...)
	if err != nil {
		return nil, err
	}
	var words strings.Builder
	for _, e := range j.Log() {
		e.WriteText(&words)
	}
	if err := j.store(archive, under+"log.txt", []byte(words.String())); err != nil {
		return nil, err
	}
	left = append(left, j.calledNotices...)
	for _, c := range j.view().called {
		name := path.Join(calledName, c.name)
		switch {
		case c.foreign && c.problem != "":
			left = append(left, name+" is left out: it "+c.problem+".")
		case c.job == nil && c.problem != "":
			left = append(left, name+" is left out: "+c.problem+".")
		}
		if c.job == nil {
			continue
		}
		inside, err := c.job.exportTo(archive, under+name+"/")
		if err != nil {
			return nil, err
		}
		for _, n := range inside {
			left = append(left, name+": "+n)
		}
	}
	return left, nil
}

// exportPhotos packs what lies in the photos of the job. left says what does not
// go along.
func (j *Job) exportPhotos(archive *zip.Writer, under string) (left []string, err error) {
	names, left, err := photos(j.env.files(), j.dir)
	if err != nil {
		return left, err
	}
	for _, name := range names {
		name = path.Join(photosName, name)
		err := j.pack(archive, under, name, maxExported)
		var refused *disk.Refused
		var large *disk.TooLarge
		switch {
		case errors.As(err, &refused):
			left = append(left, passedOver(name, refused))
		case errors.As(err, &large):
			left = append(left, passedOver(name, large))
		case err != nil:
			return left, err
		}
	}
	return left, nil
}

func (j *Job) pack(archive *zip.Writer, under, name string, limit int64) error {
	data, err := readPlain(j.env.files(), filepath.Join(j.dir, filepath.FromSlash(name)), limit)
	if err != nil {
		return &FolderError{j.dir, said(err), err}
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
