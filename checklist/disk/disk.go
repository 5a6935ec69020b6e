// Package disk opens the files and folders of jobs and procedures. They come
// from other people, so nothing but plain files and folders is opened: a link
// can lead out of a folder, a pipe or a device may never end. What is read is
// bounded.
//
// A path that a person names is theirs: links on the way to it are followed,
// since homes and sticks are often reached by one, and so is a link to the
// folder itself. A file that is named must be the file itself. Below a folder
// that was named no link is followed, wherever it stands.
//
// # Decisions
//
//   - Links. A path that a person names is theirs: links on the way to it, and to
//     a folder that is named, are followed, since homes and sticks lie behind
//     them; a file is the file itself. Below a named folder none is followed, for
//     reading or writing: not in photos/, in called/ at any depth, nor in twins/.
//     A called job counts as lying in the job around it, however it is named.
//     os.Root holds that against names that change meanwhile. One package, since
//     job, command line and screen all open files, and checklist imports no job.
//     Only workshop.toml may be a link: it is the user's own, and people keep such
//     files so.
package disk

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"
)

// patience is how long a file is waited for that says it is empty: the kernel
// has plain files that are endless and wait for what comes next.
const patience = 500 * time.Millisecond

// Opener opens files and folders. The zero Opener knows no folder: every name
// is as a person named it.
type Opener struct {
	roots []string // folders as they were named; of two the first counts for what lies in both
}

// In is the opener for a folder that a person named, besides those it knows:
// below it no link is followed. An empty dir names no folder.
func (o Opener) In(dir string) Opener {
	if dir == "" {
		return o
	}
	dir = filepath.Clean(dir)
	if slices.Contains(o.roots, dir) {
		return o
	}
	return Opener{append(slices.Clip(o.roots), dir)}
}

// root is the known folder that a name lies in; empty where there is none.
func (o Opener) root(name string) string {
	for _, root := range o.roots {
		if rel, err := filepath.Rel(root, name); err == nil && rel != "." && filepath.IsLocal(rel) {
			return root
		}
	}
	return ""
}

// Open opens a plain file for reading. Anything else is a [*Refused].
func (o Opener) Open(name string) (*os.File, error) {
	// Should a pipe take the name's place meanwhile, it is not waited for.
	f, err := o.open(name, os.O_RDONLY|syscall.O_NONBLOCK)
	if err != nil {
		return nil, err
	}
	if info, err := f.Stat(); err == nil && info.Size() == 0 {
		_ = f.SetReadDeadline(time.Now().Add(patience)) // no file of a disk takes one, and none needs it
	}
	return f, nil
}

// Append opens a plain file for reading and for writing at its end. With create
// it makes a new file and fails if there is anything of that name.
func (o Opener) Append(name string, create bool) (*os.File, error) {
	if !create {
		return o.open(name, os.O_RDWR|os.O_APPEND)
	}
	in, rel, err := o.way(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	f, err := in.OpenFile(rel, os.O_RDWR|os.O_APPEND|os.O_CREATE|os.O_EXCL, 0o644)
	return f, named(err, name)
}

// open looks before it opens, since opening a pipe would wait for ever, and
// looks again afterwards, since a name can change its meaning in between.
func (o Opener) open(name string, flag int) (*os.File, error) {
	in, rel, err := o.way(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	before, err := in.Lstat(rel)
	if err != nil {
		return nil, named(err, name)
	}
	if err := CheckFile(name, before.Mode()); err != nil {
		return nil, err
	}
	f, err := in.OpenFile(rel, flag, 0)
	if err != nil {
		return nil, named(err, name)
	}
	after, err := f.Stat()
	if err != nil || !os.SameFile(before, after) {
		f.Close()
		return nil, fmt.Errorf("%s was replaced while it was opened", name)
	}
	return f, nil
}

// ReadDir lists a folder by name. Anything else is a [*Refused].
func (o Opener) ReadDir(dir string) ([]fs.DirEntry, error) {
	f, err := o.openFolder(dir)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	list, err := f.ReadDir(-1)
	slices.SortFunc(list, func(a, b fs.DirEntry) int { return cmp.Compare(a.Name(), b.Name()) })
	return list, named(err, dir)
}

// SyncDir puts the names in a folder on the disk.
func (o Opener) SyncDir(dir string) error {
	f, err := o.openFolder(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

func (o Opener) openFolder(dir string) (*os.File, error) {
	in, rel, err := o.way(dir)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	look := in.Lstat
	if _, own := in.(system); own {
		look = os.Stat
	}
	info, err := look(rel)
	if err != nil {
		return nil, named(err, dir)
	}
	if err := CheckFolder(dir, info.Mode()); err != nil {
		return nil, err
	}
	f, err := in.OpenFile(rel, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	return f, named(err, dir)
}

// Lstat looks at what has a name, and at a link itself.
func (o Opener) Lstat(name string) (fs.FileInfo, error) {
	in, rel, err := o.way(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	info, err := in.Lstat(rel)
	return info, named(err, name)
}

// MkdirAll makes a folder and those above it.
func (o Opener) MkdirAll(dir string, perm fs.FileMode) error {
	root := o.root(dir)
	if root == "" {
		return os.MkdirAll(dir, perm)
	}
	if err := os.MkdirAll(root, perm); err != nil {
		return err
	}
	in, rel, err := o.way(dir)
	if err != nil {
		return err
	}
	defer in.Close()
	if info, err := in.Lstat(rel); err == nil {
		return CheckFolder(dir, info.Mode())
	}
	return named(in.MkdirAll(rel, perm), dir)
}

// Rename gives a finished file its name, replacing what had it.
func (o Opener) Rename(from, to string) error {
	if root := o.root(from); root == "" || root != o.root(to) {
		return os.Rename(from, to)
	}
	in, relTo, err := o.way(to)
	if err != nil {
		return err
	}
	in.Close()
	in, relFrom, err := o.way(from)
	if err != nil {
		return err
	}
	defer in.Close()
	return in.Rename(relFrom, relTo)
}

// way finds where a name is to be looked up. Below a known folder every folder
// on the way must be one; that it cannot lead out of it meanwhile is the
// system's part (see [os.Root]).
func (o Opener) way(name string) (in folder, rel string, err error) {
	dir := o.root(name)
	if dir == "" {
		return system{}, name, nil
	}
	// A folder is looked at first: opening a pipe would wait for ever.
	info, err := os.Stat(dir)
	if err != nil {
		return nil, "", err
	}
	if err := CheckFolder(dir, info.Mode()); err != nil {
		return nil, "", err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, "", err
	}
	rel, err = filepath.Rel(dir, name)
	for i := 0; i < len(rel) && err == nil; i++ {
		if !os.IsPathSeparator(rel[i]) {
			continue
		}
		info, err = root.Lstat(rel[:i])
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return root, rel, nil // nothing can be there yet
		case err != nil:
			err = named(err, filepath.Join(dir, rel[:i]))
		default:
			err = CheckFolder(filepath.Join(dir, rel[:i]), info.Mode())
		}
	}
	if err != nil {
		root.Close()
		return nil, "", err
	}
	return root, rel, nil
}

// folder is where names are looked up: an [os.Root] or the whole system.
type folder interface {
	Lstat(name string) (fs.FileInfo, error)
	OpenFile(name string, flag int, perm fs.FileMode) (*os.File, error)
	MkdirAll(name string, perm fs.FileMode) error
	Rename(from, to string) error
	Close() error
}

// system looks names up as they stand.
type system struct{}

func (system) Lstat(name string) (fs.FileInfo, error) { return os.Lstat(name) }
func (system) OpenFile(name string, flag int, perm fs.FileMode) (*os.File, error) {
	return os.OpenFile(name, flag, perm)
}
func (system) MkdirAll(name string, perm fs.FileMode) error { return os.MkdirAll(name, perm) }
func (system) Rename(from, to string) error                 { return os.Rename(from, to) }
func (system) Close() error                                 { return nil }

// named puts the whole name in the place of the part that was looked up.
func named(err error, name string) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return &fs.PathError{Op: strings.TrimSuffix(path.Op, "at"), Path: name, Err: path.Err}
	}
	return err
}

// ReadFile reads the plain file of that name, at most limit bytes.
func ReadFile(name string, limit int64) ([]byte, error) { return Opener{}.ReadFile(name, limit) }

// ReadFile reads a plain file whole; a larger one than limit is a [*TooLarge].
func (o Opener) ReadFile(name string, limit int64) ([]byte, error) {
	f, err := o.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return ReadAll(f, name, limit)
}

// ReadAll reads an open file whole; a larger one than limit is a [*TooLarge].
func ReadAll(f io.Reader, name string, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	switch {
	case errors.Is(err, os.ErrDeadlineExceeded):
		return nil, fmt.Errorf("%s has no end: copy what is wanted of it into a file", name)
	case err != nil:
		return nil, err
	case int64(len(data)) > limit:
		return nil, &TooLarge{name, limit}
	}
	return data, nil
}

// Folder is what lies in a folder that a person named, for a library of
// procedures: plain files of at most limit bytes, and folders.
func Folder(dir string, limit int64) fs.FS { return shelf{Opener{}.In(dir), dir, limit} }

type shelf struct {
	in    Opener
	dir   string
	limit int64
}

func (s shelf) path(op, name string) (string, error) {
	if !fs.ValidPath(name) {
		return "", &fs.PathError{Op: op, Path: name, Err: fs.ErrInvalid}
	}
	return filepath.Join(s.dir, filepath.FromSlash(name)), nil
}

func (s shelf) Open(name string) (fs.File, error) {
	path, err := s.path("open", name)
	if err != nil {
		return nil, err
	}
	f, err := s.in.Open(path)
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (s shelf) ReadDir(name string) ([]fs.DirEntry, error) {
	path, err := s.path("open", name)
	if err != nil {
		return nil, err
	}
	return s.in.ReadDir(path)
}

func (s shelf) ReadFile(name string) ([]byte, error) {
	path, err := s.path("open", name)
	if err != nil {
		return nil, err
	}
	return s.in.ReadFile(path, s.limit)
}

func (s shelf) Stat(name string) (fs.FileInfo, error) {
	path, err := s.path("stat", name)
	if err != nil {
		return nil, err
	}
	return s.in.Lstat(path)
}
