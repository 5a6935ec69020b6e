package disk

import (
	"fmt"
	"io/fs"
	"path/filepath"
)

// Refused says that something is not opened for what it is.
type Refused struct {
	Name   string      // as it was asked for
	Mode   fs.FileMode // of what has that name
	Folder bool        // a folder was wanted, not a file
}

// Error says what has the name, why it is not opened, and what to try.
func (r *Refused) Error() string { return r.Name + " " + r.Says() }

// Says is the error without the name.
func (r *Refused) Says() string {
	wanted := "file"
	if r.Folder {
		wanted = "folder"
	}
	is := "is " + r.What()
	switch {
	case r.Mode&fs.ModeSymlink != 0:
		return is + ", which can lead anywhere; use the " + wanted + " itself"
	case r.Folder:
		return is + ", not a folder"
	case r.Mode.IsDir():
		return is + ", not a file; use a file in it"
	case r.Mode&fs.ModeNamedPipe != 0:
		return is + ", which may never end; copy what comes out of it into a file"
	case r.Mode&(fs.ModeDevice|fs.ModeCharDevice) != 0:
		return is + ", which may never end; use a file"
	}
	return is + ", not a plain file; use a file"
}

// What is what has the name, in a word or two: "a link", "a pipe".
func (r *Refused) What() string {
	switch m := r.Mode; {
	case m&fs.ModeSymlink != 0:
		return "a link"
	case m.IsDir():
		return "a folder"
	case m&fs.ModeNamedPipe != 0:
		return "a pipe"
	case m&fs.ModeSocket != 0:
		return "a socket"
	case m&(fs.ModeDevice|fs.ModeCharDevice) != 0:
		return "a device"
	case m.IsRegular():
		return "a file"
	}
	return "something of the system's own"
}

// CheckFile refuses what is no plain file.
func CheckFile(name string, mode fs.FileMode) error {
	if mode.IsRegular() {
		return nil
	}
	return &Refused{Name: name, Mode: mode}
}

// CheckFolder refuses what is no folder.
func CheckFolder(name string, mode fs.FileMode) error {
	if mode.IsDir() {
		return nil
	}
	return &Refused{Name: name, Mode: mode, Folder: true}
}

// TooLarge says that a file is larger than it may be.
type TooLarge struct {
	Name  string
	Limit int64 // bytes
}

func (e *TooLarge) Error() string {
	size := fmt.Sprintf("%d KiB", e.Limit>>10)
	if e.Limit >= 1<<20 {
		size = fmt.Sprintf("%d MiB", e.Limit>>20)
	}
	return filepath.Base(e.Name) + " is larger than " + size
}
