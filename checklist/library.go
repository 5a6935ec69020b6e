package checklist

import (
	"bytes"
	"fettle/checklist/source"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// Library is where the procedures are found that steps call: folders that are
// looked through one after the other, the first that has an id decides. It keeps
// what it has read and is not for several goroutines at a time. A nil Library
// is an empty one.
type Library struct {
	folders []fs.FS
	ids     []map[string]string // per folder: the file of an id; nil until it is asked for
	read    map[string]shelved
}

type shelved struct {
	procedure   *Procedure
	diagnostics source.Diagnostics
}

// What is looked at of a folder. A person may point the program at any folder.
const (
	maxShelf     = 1000    // files
	maxShelfFile = 1 << 20 // bytes of a file
	maxShelfHead = 1 << 16 // bytes in which the id has to stand
)

// NewLibrary is the library of these folders, each with its .toml files at its
// root; a nil folder holds nothing.
func NewLibrary(folders ...fs.FS) *Library {
	l := &Library{read: map[string]shelved{}}
	for _, folder := range folders {
		if folder != nil {
			l.folders = append(l.folders, folder)
		}
	}
	l.ids = make([]map[string]string, len(l.folders))
	return l
}

// Procedure reads the procedure with an id; nil where no folder has one that can
// be read. A file that is called as the id comes before others of its folder.
func (l *Library) Procedure(id string) (*Procedure, source.Diagnostics) {
	if l == nil || !source.PlainName(id) || len(id) > 60 {
		return nil, nil
	}
	if s, ok := l.read[id]; ok {
		return s.procedure, s.diagnostics
	}
	var s shelved
	for i, folder := range l.folders {
		file := id + ".toml"
		if headID(folder, file) != id {
			if file = l.index(i)[id]; file == "" {
				continue
			}
		}
		src, err := fs.ReadFile(folder, file)
		if err != nil {
			continue
		}
		if s.procedure, s.diagnostics = Read(file, src); s.procedure != nil && s.procedure.ID == id {
			break
		}
		s = shelved{}
	}
	l.read[id] = s
	return s.procedure, s.diagnostics
}

// IDs lists the ids of all procedures that can be found, sorted.
func (l *Library) IDs() []string {
	if l == nil {
		return nil
	}
	var ids []string
	for i := range l.folders {
		for id := range l.index(i) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// index is the file of every id of a folder; of two files with one id the first
// by name.
func (l *Library) index(i int) map[string]string {
	if l.ids[i] != nil {
		return l.ids[i]
	}
	l.ids[i] = map[string]string{}
	files, _ := fs.Glob(l.folders[i], "*.toml")
	for _, file := range files[:min(len(files), maxShelf)] {
		id := headID(l.folders[i], file)
		if _, met := l.ids[i][id]; id != "" && !met {
			l.ids[i][id] = file
		}
	}
	return l.ids[i]
}

// headID is the id of a procedure file, from what stands before its first
// table; empty where there is none.
func headID(folder fs.FS, file string) string {
	info, err := fs.Stat(folder, file)
	if err != nil || !info.Mode().IsRegular() || info.Size() > maxShelfFile {
		return ""
	}
	in, err := folder.Open(file)
	if err != nil {
		return ""
	}
	defer in.Close()
	head, err := io.ReadAll(io.LimitReader(in, maxShelfHead))
	if err != nil {
		return ""
	}
	head = bytes.TrimPrefix(head, []byte(source.ByteOrderMark))
	if i := bytes.Index(head, []byte("\n[")); i >= 0 {
		head = head[:i+1]
	}
	if source.CheckLimits(head) != nil {
		return ""
	}
	root, _, err := source.Decode(string(head))
	if err != nil {
		return ""
	}
	id, _ := root["id"].(string)
	if !source.PlainName(id) || id != strings.ToLower(id) {
		return ""
	}
	return id
}
