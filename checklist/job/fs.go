package job

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"time"

	"github.com/gofrs/flock"

	"fettle/checklist/disk"
)

// FS is how this package reaches files: a handful of methods, so that tests can
// stand a file system in memory in its place that loses power between any two
// of them. Names are paths of the system. What is neither a plain file nor a
// folder is refused with a [*disk.Refused]: a link, a pipe, a device.
type FS interface {
	// In is the same files, with one more folder that was named: below it no
	// link is followed.
	In(dir string) FS
	// ReadDir lists a folder by name.
	ReadDir(dir string) ([]fs.DirEntry, error)
	// Open opens a plain file for reading.
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

// ErrLocked says that the lock file could not be had in time.
var ErrLocked = errors.New("another window on this device is saving")

// onDisk is the file system of the machine.
type onDisk struct{ disk.Opener }

func (d onDisk) In(dir string) FS { return onDisk{d.Opener.In(dir)} }

func (d onDisk) Open(name string) (File, error) { return asFile(d.Opener.Open(name)) }

func (d onDisk) Append(name string, create bool) (File, error) {
	return asFile(d.Opener.Append(name, create))
}

// asFile keeps no file from becoming a File that is not nil.
func asFile(f *os.File, err error) (File, error) {
	if err != nil {
		return nil, err
	}
	return f, nil
}

func (d onDisk) Same(f File, name string) (bool, error) {
	open, err := f.Stat()
	if err != nil {
		return false, err
	}
	named, err := d.Lstat(name)
	if err != nil {
		return false, err
	}
	return os.SameFile(open, named), nil
}

func (d onDisk) SyncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil // a folder cannot be opened for this there
	}
	return d.Opener.SyncDir(dir)
}

func (d onDisk) Lock(name string, wait time.Duration) (func() error, error) {
	if info, err := d.Lstat(name); err == nil {
		if err := disk.CheckFile(name, info.Mode()); err != nil {
			return nil, err
		}
	}
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
	var refused *disk.Refused
	switch {
	case errors.As(err, &refused):
		return "holds " + Plain(filepath.Base(refused.Name)) + ", which is " + refused.What()
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

// said is an error about something in a folder that is known already, without
// the path to it.
func said(err error) string {
	var refused *disk.Refused
	var path *fs.PathError
	switch {
	case errors.As(err, &refused):
		return Plain(filepath.Base(refused.Name) + " " + refused.Says())
	case errors.As(err, &path):
		return Plain(filepath.Base(path.Path) + ": " + path.Err.Error())
	}
	return Plain(err.Error())
}

// readPlain reads a small file whole and refuses a larger one.
func readPlain(files FS, name string, limit int64) ([]byte, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return disk.ReadAll(f, name, limit)
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
