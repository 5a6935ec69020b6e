package job

import (
	"errors"
	"io"
	"io/fs"
	"path/filepath"
	"sort"
	"syscall"
	"time"

	"fettle/checklist/disk"
)

// memory is a file system that can lose power. It keeps apart what a program
// sees and what is on the disk:
//
//   - bytes that were written and not synced may be gone, cut at any byte, or
//     read back as zeros;
//   - a failed sync loses what it was to put on the disk: the program goes on
//     seeing it, and the next sync succeeds without it (as ext4, XFS and Btrfs do);
//   - names are on the disk only once their folder was synced.
//
// Every call that changes something is counted; trap says what happens at a
// call, and after the power is cut nothing works any more.
type memory struct {
	nodes   map[string]*memNode // what a program sees
	onDisk  map[string]*memNode // names that survive
	calls   int
	trap    func(call int, what, name string) fault
	dead    bool
	kept    int // bytes of the write that the power cut interrupted
	mutant  mutant
	created bool // a file was made since this process began
	tick    int64
}

// fault is what happens at one call.
type fault int

const (
	noFault  fault = iota
	powerCut       // the call does not happen, nor any after it
	diskFull       // a write stops half-way
	failed         // the call fails; a sync loses its bytes
)

// mutant takes one rule out of the program, from below where that is possible.
type mutant int

const (
	faithful         mutant = iota
	noFolderSync            // folders are never synced
	folderSyncAtNew         // folders are synced only by the process that made the file
	retrySync               // a failed sync is tried again on the same handle
	noHeal                  // every entry is taken to be in the folder (see work)
	noBeginningAnew         // a newline in front of a line is left out
	trustAfterRename        // a replaced file is not noticed
)

type memNode struct {
	isDir bool
	data  []byte
	state []byteState
	mtime int64
}

type byteState byte

const (
	dirty byteState = iota
	safe
	lost // seen by the program, not on the disk, and no sync will put it there
)

func newMemory(folders ...string) *memory {
	m := &memory{nodes: map[string]*memNode{}, onDisk: map[string]*memNode{}}
	m.nodes["/"] = &memNode{isDir: true}
	for _, dir := range folders {
		for ; dir != "/"; dir = filepath.Dir(dir) {
			if m.nodes[dir] == nil {
				m.nodes[dir] = &memNode{isDir: true}
			}
		}
	}
	for name, node := range m.nodes {
		m.onDisk[name] = node
	}
	return m
}

var errPower = errors.New("the power is off")

// at counts a call and says what happens at it.
func (m *memory) at(what, name string) fault {
	if m.dead {
		return powerCut
	}
	m.calls++
	if m.trap == nil {
		return noFault
	}
	f := m.trap(m.calls, what, name)
	if f == powerCut {
		m.dead = true
	}
	return f
}

// rest is how the disk's own caches end up when the power goes.
type rest struct {
	data  dataRest
	names int // 0 none of those not synced, 1 all, 2 and on: only one of them
}

type dataRest int

const (
	gone  dataRest = iota // what was not synced is not there
	whole                 // all of it is
	half                  // the first half is
	zeros                 // its length is there, its bytes are not
)

// pending lists the names that are not on the disk as the program sees them.
func (m *memory) pending() []string {
	var list []string
	for name, node := range m.nodes {
		if m.onDisk[name] != node {
			list = append(list, name)
		}
	}
	for name := range m.onDisk {
		if m.nodes[name] == nil {
			list = append(list, name)
		}
	}
	sort.Strings(list)
	return list
}

// after is the disk as the next start of the machine finds it.
func (m *memory) after(r rest) *memory {
	names := map[string]*memNode{}
	for name, node := range m.onDisk {
		names[name] = node
	}
	for i, name := range m.pending() {
		if r.names == 1 || r.names == i+2 {
			if m.nodes[name] == nil {
				delete(names, name)
			} else {
				names[name] = m.nodes[name]
			}
		}
	}
	next := &memory{nodes: map[string]*memNode{}, onDisk: map[string]*memNode{}, tick: m.tick + 1}
	for name, node := range names {
		reachable := true
		for dir := filepath.Dir(name); dir != "/"; dir = filepath.Dir(dir) {
			reachable = reachable && names[dir] != nil && names[dir].isDir
		}
		if reachable {
			next.nodes[name] = node.after(r.data)
			next.onDisk[name] = next.nodes[name]
		}
	}
	return next
}

func (n *memNode) after(r dataRest) *memNode {
	out := &memNode{isDir: n.isDir, mtime: n.mtime}
	firstDirty := len(n.data)
	for i, s := range n.state {
		if s == dirty {
			firstDirty = i
			break
		}
	}
	limit := len(n.data)
	switch r {
	case gone:
		limit = firstDirty
	case half:
		limit = firstDirty + (len(n.data)-firstDirty)/2
	}
	out.data = make([]byte, limit)
	end := 0 // a lost tail has no length either
	for i := range limit {
		switch {
		case n.state[i] == safe, n.state[i] == dirty && r != zeros:
			out.data[i] = n.data[i]
			end = i + 1
		case n.state[i] == dirty:
			end = i + 1
		}
	}
	out.data = out.data[:end]
	out.state = make([]byteState, end)
	for i := range out.state {
		out.state[i] = safe
	}
	return out
}

// In changes nothing: no link can be made here.
func (m *memory) In(string) FS { return m }

func (m *memory) ReadDir(dir string) ([]fs.DirEntry, error) {
	if m.dead {
		return nil, errPower
	}
	if n := m.nodes[dir]; n == nil || !n.isDir {
		return nil, &fs.PathError{Op: "open", Path: dir, Err: fs.ErrNotExist}
	}
	var list []fs.DirEntry
	for name, node := range m.nodes {
		if name != "/" && filepath.Dir(name) == dir {
			list = append(list, fs.FileInfoToDirEntry(node.info(name)))
		}
	}
	sort.Slice(list, func(i, j int) bool { return list[i].Name() < list[j].Name() })
	return list, nil
}

func (m *memory) Open(name string) (File, error) {
	if m.dead {
		return nil, errPower
	}
	n := m.nodes[name]
	if n == nil {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	if n.isDir {
		return nil, disk.CheckFile(name, fs.ModeDir)
	}
	return &memFile{m: m, node: n, name: name}, nil
}

func (m *memory) Append(name string, create bool) (File, error) {
	if !create {
		return m.Open(name)
	}
	switch m.at("create", name) {
	case powerCut:
		return nil, errPower
	case diskFull, failed:
		return nil, &fs.PathError{Op: "create", Path: name, Err: syscall.ENOSPC}
	}
	if m.nodes[name] != nil {
		return nil, &fs.PathError{Op: "create", Path: name, Err: fs.ErrExist}
	}
	if dir := m.nodes[filepath.Dir(name)]; dir == nil || !dir.isDir {
		return nil, &fs.PathError{Op: "create", Path: name, Err: fs.ErrNotExist}
	}
	m.tick++
	m.nodes[name] = &memNode{mtime: m.tick}
	m.created = true
	return &memFile{m: m, node: m.nodes[name], name: name}, nil
}

func (m *memory) Same(f File, name string) (bool, error) {
	if m.dead {
		return false, errPower
	}
	if m.mutant == trustAfterRename {
		return true, nil
	}
	return f.(*memFile).node == m.nodes[name], nil
}

func (m *memory) MkdirAll(dir string, _ fs.FileMode) error {
	if dir != "/" {
		if err := m.MkdirAll(filepath.Dir(dir), 0); err != nil {
			return err
		}
	}
	if m.dead {
		return errPower
	}
	if n := m.nodes[dir]; n != nil {
		if !n.isDir {
			return &fs.PathError{Op: "mkdir", Path: dir, Err: syscall.ENOTDIR}
		}
		return nil
	}
	switch m.at("mkdir", dir) {
	case powerCut:
		return errPower
	case diskFull, failed:
		return &fs.PathError{Op: "mkdir", Path: dir, Err: syscall.ENOSPC}
	}
	m.nodes[dir] = &memNode{isDir: true}
	m.created = true
	return nil
}

func (m *memory) Rename(from, to string) error {
	switch m.at("rename", to) {
	case powerCut:
		return errPower
	case diskFull, failed:
		return &fs.PathError{Op: "rename", Path: to, Err: syscall.ENOSPC}
	}
	m.nodes[to] = m.nodes[from]
	delete(m.nodes, from)
	return nil
}

func (m *memory) SyncDir(dir string) error {
	switch m.at("syncdir", dir) {
	case powerCut:
		return errPower
	case diskFull, failed:
		return &fs.PathError{Op: "sync", Path: dir, Err: syscall.EIO}
	}
	if m.mutant == noFolderSync || m.mutant == folderSyncAtNew && !m.created {
		return nil
	}
	if n := m.nodes[dir]; n == nil || !n.isDir {
		return &fs.PathError{Op: "sync", Path: dir, Err: fs.ErrNotExist}
	}
	for _, name := range m.pending() {
		if filepath.Dir(name) != dir {
			continue
		}
		if m.nodes[name] == nil {
			delete(m.onDisk, name)
		} else {
			m.onDisk[name] = m.nodes[name]
		}
	}
	return nil
}

func (m *memory) Lock(string, time.Duration) (func() error, error) {
	if m.dead {
		return nil, errPower
	}
	return func() error { return nil }, nil
}

type memFile struct {
	m    *memory
	node *memNode
	name string
	at   int
}

func (f *memFile) Read(p []byte) (int, error) {
	n, err := f.ReadAt(p, int64(f.at))
	f.at += n
	if n > 0 {
		err = nil
	}
	return n, err
}

func (f *memFile) ReadAt(p []byte, at int64) (int, error) {
	if f.m.dead {
		return 0, errPower
	}
	if at >= int64(len(f.node.data)) {
		return 0, io.EOF
	}
	n := copy(p, f.node.data[at:])
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}

func (f *memFile) Write(p []byte) (int, error) {
	if f.m.mutant == noBeginningAnew && p[0] == '\n' {
		p = p[1:]
	}
	n, err := len(p), error(nil)
	switch f.m.at("write", f.name) {
	case powerCut:
		n, err = min(f.m.kept, len(p)), errPower
	case diskFull:
		n, err = len(p)/2, syscall.ENOSPC
	case failed:
		n, err = 0, syscall.EIO
	}
	f.node.data = append(f.node.data, p[:n]...)
	f.node.state = append(f.node.state, make([]byteState, n)...)
	f.m.tick++
	f.node.mtime = f.m.tick
	return n, err
}

func (f *memFile) Sync() error {
	err := f.sync()
	if err != nil && f.m.mutant == retrySync {
		err = f.sync()
	}
	return err
}

func (f *memFile) sync() error {
	to := safe
	var err error
	switch f.m.at("sync", f.name) {
	case powerCut:
		return errPower
	case diskFull, failed:
		to, err = lost, syscall.EIO
	}
	for i, s := range f.node.state {
		if s == dirty {
			f.node.state[i] = to
		}
	}
	return err
}

func (f *memFile) Close() error { return nil }

func (f *memFile) Stat() (fs.FileInfo, error) {
	if f.m.dead {
		return nil, errPower
	}
	return f.node.info(f.name), nil
}

func (n *memNode) info(name string) fs.FileInfo { return memInfo{filepath.Base(name), *n} }

type memInfo struct {
	name string
	node memNode
}

func (i memInfo) Name() string       { return i.name }
func (i memInfo) Size() int64        { return int64(len(i.node.data)) }
func (i memInfo) ModTime() time.Time { return time.Unix(0, i.node.mtime) }
func (i memInfo) IsDir() bool        { return i.node.isDir }
func (i memInfo) Sys() any           { return nil }
func (i memInfo) Mode() fs.FileMode {
	if i.node.isDir {
		return fs.ModeDir | 0o755
	}
	return 0o644
}
