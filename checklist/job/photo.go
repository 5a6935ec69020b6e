package job

import (
	"bytes"
	"errors"
	"fmt"
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

// Limits of the photos of a job.
const (
	maxPhoto     = 20 << 20 // bytes of one
	maxPhotos    = 5000     // that are copied from another copy, or exported
	maxAtOnce    = 20       // that go with one entry
	maxPhotoStem = 41       // characters of its name without the ending
	maxExported  = 64 << 20 // bytes of what lies in photos and is exported, whatever it is
)

// photoName is what a photo in a job may be called: nothing that could be a
// path, an option or a page.
var photoName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,40}\.(jpg|png|gif|webp)$`)
})

// photoKind tells a picture by its first bytes, whatever its name says.
func photoKind(data []byte) (ext, mime string, ok bool) {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return "jpg", "image/jpeg", true
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return "png", "image/png", true
	case bytes.HasPrefix(data, []byte("GIF87a")), bytes.HasPrefix(data, []byte("GIF89a")):
		return "gif", "image/gif", true
	case len(data) > 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return "webp", "image/webp", true
	}
	return "", "", false
}

// readPhoto reads a picture that is to come into a job and says what kind it is.
func readPhoto(files FS, path string) (data []byte, ext string, err error) {
	data, err = readPlain(files, path, maxPhoto)
	name := Plain(filepath.Base(path))
	var large *disk.TooLarge
	var refused *disk.Refused
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENOTDIR), errors.Is(err, syscall.ENAMETOOLONG):
		return nil, "", fmt.Errorf("there is no photo %s", Plain(path))
	case errors.As(err, &large):
		return nil, "", fmt.Errorf("the photo %s is too large: at most %d MB; a smaller copy of it will do", name, maxPhoto>>20)
	case errors.As(err, &refused):
		return nil, "", fmt.Errorf("the photo %s", Plain(refused.Error()))
	case err != nil:
		return nil, "", fmt.Errorf("the photo cannot be read: %s", Plain(err.Error()))
	}
	ext, _, ok := photoKind(data)
	if !ok {
		return nil, "", fmt.Errorf("%s is no photo this program can show (JPEG, PNG, GIF or WebP)", name)
	}
	return data, ext, nil
}

// CheckPhoto says why the picture at path could not be copied into a job; nil
// where it can. It reads the file: call it off the drawing path.
func CheckPhoto(path string, env Env) error {
	_, _, err := readPhoto(env.files(), path)
	return err
}

// Picture is a file that looks like a photo by its name, for a person to pick.
type Picture struct {
	Path string
	Size int64 // bytes
	At   time.Time
}

// Pictures lists the pictures in the job's folder, in its photos and in the
// other folders named, the newest first and at most most of them. A folder that
// is missing holds none; one that cannot be read is told in the error, beside
// what the others hold.
func (j *Job) Pictures(most int, also ...string) ([]Picture, error) {
	files := j.env.files()
	var list []Picture
	var failed error
	for _, dir := range append([]string{filepath.Join(j.dir, photosName), j.dir}, also...) {
		entries, err := files.ReadDir(dir)
		if err != nil && !errors.Is(err, fs.ErrNotExist) && failed == nil {
			failed = fmt.Errorf("the folder %s cannot be read: %s", Plain(dir), said(err))
		}
		for _, e := range entries {
			if !e.Type().IsRegular() || !pictureName(e.Name()) {
				continue
			}
			if info, err := e.Info(); err == nil && info.Size() > 0 {
				list = append(list, Picture{filepath.Join(dir, e.Name()), info.Size(), info.ModTime()})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Picture) int { return b.At.Compare(a.At) })
	return list[:min(most, len(list))], failed
}

// pictureName tells whether a file's name ends as those of pictures that a
// record can show do.
func pictureName(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".jpg", ".jpeg", ".png", ".gif", ".webp":
		return true
	}
	return false
}

// keepPhotos copies pictures into the job and gives their names there.
func (j *Job) keepPhotos(paths []string) ([]string, error) {
	if len(paths) > maxAtOnce {
		return nil, fmt.Errorf("at most %d photos at once", maxAtOnce)
	}
	files := j.env.files()
	var names []string
	var all [][]byte
	for _, path := range paths {
		data, ext, err := readPhoto(files, path)
		if err != nil {
			return nil, err
		}
		// One that is a copy already keeps the name it has.
		mark := "-" + digest(data)[:8]
		names = append(names, photoStem(path, mark)+mark+"."+ext)
		all = append(all, data)
	}
	if len(names) == 0 {
		return nil, nil
	}
	dir := filepath.Join(j.dir, photosName)
	if err := files.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("the photo cannot be copied into the job: %s", said(err))
	}
	for i, name := range names {
		if kept, err := j.photo(name); err == nil && bytes.Equal(kept, all[i]) {
			continue // it is there already
		}
		if err := writeNew(files, filepath.Join(dir, name), all[i]); err != nil {
			return nil, fmt.Errorf("the photo cannot be copied into the job: %s", Plain(err.Error()))
		}
	}
	if err := files.SyncDir(dir); err != nil {
		return nil, fmt.Errorf("the photo is not safe on the disk: %s", Plain(err.Error()))
	}
	return names, nil
}

// photoStem is what a photo is called before mark, which tells it from others.
func photoStem(path, mark string) string {
	base := strings.ToLower(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	clean := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, base)
	clean = strings.Trim(strings.TrimSuffix(clean, mark), "-")
	if len(clean) > 24 {
		clean = strings.Trim(clean[:24], "-")
	}
	if clean == "" {
		clean = "photo"
	}
	return clean
}

// photo reads a photo of the job by its name.
func (j *Job) photo(name string) ([]byte, error) {
	data, err := readPhotoOf(j.env.files(), filepath.Join(j.dir, photosName, name))
	if err != nil {
		return nil, errors.New(said(err))
	}
	return data, nil
}

// readPhotoOf reads a photo that lies in a job: its name is one that a photo can
// have there, and says what it is.
func readPhotoOf(files FS, path string) ([]byte, error) {
	name := filepath.Base(path)
	if !photoName().MatchString(name) {
		return nil, errors.New("that is not the name of a photo in a job")
	}
	data, err := readPlain(files, path, maxPhoto)
	if err != nil {
		return nil, err
	}
	if ext, _, ok := photoKind(data); !ok || "."+ext != filepath.Ext(name) {
		return nil, errors.New("what it holds is not what its name says")
	}
	return data, nil
}
