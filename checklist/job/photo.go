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
)

// Limits of what a finding brings into a job.
const (
	maxFindingPhoto  = 20 << 20
	maxFindingPhotos = 20
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

// keepPhotos copies pictures into the job and gives their names there.
func (j *Job) keepPhotos(paths []string) ([]string, error) {
	if len(paths) > maxFindingPhotos {
		return nil, fmt.Errorf("at most %d photos at once", maxFindingPhotos)
	}
	files := j.env.files()
	var names []string
	var all [][]byte
	for _, path := range paths {
		data, err := readPlain(files, path, maxFindingPhoto)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, fmt.Errorf("there is no photo %s", Plain(path))
		case err != nil:
			return nil, fmt.Errorf("the photo cannot be read: %s", Plain(err.Error()))
		}
		ext, _, ok := photoKind(data)
		if !ok {
			return nil, fmt.Errorf("%s is no photo this program can show (JPEG, PNG, GIF or WebP)", Plain(filepath.Base(path)))
		}
		names = append(names, photoStem(path)+"-"+digest(data)[:8]+"."+ext)
		all = append(all, data)
	}
	if len(names) == 0 {
		return nil, nil
	}
	dir, err := j.photosDir(true)
	if err != nil {
		return nil, err
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

func photoStem(path string) string {
	base := strings.ToLower(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	clean := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, base)
	clean = strings.Trim(clean, "-")
	if len(clean) > 24 {
		clean = strings.Trim(clean[:24], "-")
	}
	if clean == "" {
		clean = "photo"
	}
	return clean
}

// photosDir is the folder of the photos. One that is a link, or anything but a
// folder, is not followed.
func (j *Job) photosDir(create bool) (string, error) {
	files := j.env.files()
	entries, err := files.ReadDir(j.dir)
	if err != nil {
		return "", err
	}
	dir := filepath.Join(j.dir, photosName)
	at := slices.IndexFunc(entries, func(e fs.DirEntry) bool { return e.Name() == photosName })
	switch {
	case at < 0 && create:
		return dir, files.MkdirAll(dir, 0o755)
	case at < 0:
		return "", fs.ErrNotExist
	case !entries[at].Type().IsDir():
		return "", fmt.Errorf("%s in the job's folder is no folder", photosName)
	}
	return dir, nil
}

// photo reads a photo of the job by its name.
func (j *Job) photo(name string) ([]byte, error) {
	if !photoName().MatchString(name) {
		return nil, errors.New("is not the name of a photo")
	}
	dir, err := j.photosDir(false)
	if err != nil {
		return nil, err
	}
	return readPlain(j.env.files(), filepath.Join(dir, name), maxFindingPhoto)
}
