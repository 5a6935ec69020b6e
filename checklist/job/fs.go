package job

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"time"

	"github.com/gofrs/flock"
)

// FS is how this package reaches files: a handful of methods, so that tests can
// stand a file system in memory in its place that loses power between any two
// of them. Names are paths of the system.
type FS interface {
	// ReadDir lists a folder by name.
	ReadDir(dir string) ([]fs.DirEntry, error)
	// Open opens a plain file for reading. Anything else (a link, a pipe, a
	// folder) is refused with [ErrNotPlain].
	Open(name string) (File, error)
	// Append opens a plain file for reading and for writing at its end. With
	// create it makes a new file and fails if there is one.
	Append(name string, create bool) (File, error)
	// Same says whether name still is the open file.
	Same(f File, name string) (bool, error)
	// MkdirAll makes a folder and those above it.
	MkdirAll(dir string, perm fs.FileMode) error
	// Rename gives a finished file its name, replacing what had it.
	Rename(from, to string) error
	// SyncDir puts the names in a folder on the disk.
	SyncDir(dir string) error
	// Lock takes the lock file, waiting at most wait for another process.
	Lock(name string, wait time.Duration) (unlock func() error, err error)
}

// File is an open file.
type File interface {
	io.Reader
	io.ReaderAt
	io.Writer
	Sync() error
	Close() error
	Stat() (fs.FileInfo, error)
}

// Errors of a file system.
var (
	ErrNotPlain = errors.New("is not a plain file")
	ErrLocked   = errors.New("another window on this device is saving")
)

// disk is the real file system.
type disk struct{}

func (disk) ReadDir(dir string) ([]fs.DirEntry, error) { return os.ReadDir(dir) }

func (disk) Open(name string) (File, error) { return openPlain(name, os.O_RDONLY) }

func (disk) Append(name string, create bool) (File, error) {
	if create {
		return os.OpenFile(name, os.O_APPEND|os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o644)
	}
	return openPlain(name, os.O_APPEND|os.O_RDWR)
}

// openPlain looks before it opens, since opening a pipe would wait for ever,
// and looks again afterwards, since a name can change its meaning in between.
func openPlain(name string, flag int) (File, error) {
	before, err := os.Lstat(name)
	if err != nil {
		return nil, err
	}
	if !before.Mode().IsRegular() {
		return nil, fmt.Errorf("%s %w", name, ErrNotPlain)
	}
	f, err := os.OpenFile(name, flag, 0)
	if err != nil {
		return nil, err
	}
	after, err := f.Stat()
	if err != nil || !os.SameFile(before, after) {
		f.Close()
		return nil, fmt.Errorf("%s was replaced while it was opened", name)
	}
	return f, nil
}

func (disk) Same(f File, name string) (bool, error) {
	open, err := f.Stat()
	if err != nil {
		return false, err
	}
	named, err := os.Lstat(name)
	if err != nil {
		return false, err
	}
	return os.SameFile(open, named), nil
}

func (disk) MkdirAll(dir string, perm fs.FileMode) error { return os.MkdirAll(dir, perm) }

func (disk) Rename(from, to string) error { return os.Rename(from, to) }

func (disk) SyncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil // a folder cannot be opened for this there
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = d.Sync()
	return errors.Join(err, d.Close())
}

func (disk) Lock(name string, wait time.Duration) (func() error, error) {
	lock := flock.New(name)
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	ok, err := lock.TryLockContext(ctx, 10*time.Millisecond)
	if errors.Is(err, context.DeadlineExceeded) || (err == nil && !ok) {
		return nil, ErrLocked
	}
	if err != nil {
		return nil, err
	}
	return lock.Unlock, nil
}

// Trouble says in two or three words what an error of a disk or a folder means
// to a person: "is full", "is read-only", "is missing".
func Trouble(err error) string { return reason(err) }

// reason says in two or three words what a failing disk means to a person.
func reason(err error) string {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return "is full"
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return "is read-only"
	case errors.Is(err, fs.ErrNotExist):
		return "is missing"
	case errors.Is(err, syscall.ENOTDIR):
		return "is no folder"
	default:
		return "does not confirm what is written"
	}
}

// readPlain reads a small file whole and refuses a larger one.
func readPlain(files FS, name string, limit int64) ([]byte, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(data)) > limit {
		return nil, &tooLarge{filepath.Base(name), limit}
	}
	return data, nil
}

// tooLarge says that a file is larger than it may be.
type tooLarge struct {
	name  string
	limit int64
}

func (e *tooLarge) Error() string {
	return fmt.Sprintf("%s is larger than %d KiB", e.name, e.limit>>10)
}

// newSuffix and six letters end the name of a file that is not finished.
const newSuffix = ".new-"

// writeNew puts a new file on the disk in one step: a reader sees all of it or
// none. Its folder still has to be synced.
func writeNew(files FS, name string, data []byte) error {
	temp := name + newSuffix + randomWord(6)
	f, err := files.Append(temp, true)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	return files.Rename(temp, name)
}
