package job

import (
	"bytes"
	"fmt"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// ownLogs lists the logs in the job's folder.
func ownLogs(m *memory) []string {
	var names []string
	for name := range m.nodes {
		if filepath.Dir(name) == memJob && filepath.Ext(name) == ".jsonl" {
			names = append(names, filepath.Base(name))
		}
	}
	return names
}

func TestIdentity(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Tick("cold")
	saved(t, s, err)
	device := s.Entry.Device()
	require.True(t, validDevice(device))
	named := regexp.MustCompile(`\b` + device + `\b`) // four letters also stand in a random id
	logs := ownLogs(b.m)
	require.Len(t, logs, 1)
	require.Regexp(t, `^log-`+device+`-[a-z0-9]{6}\.jsonl$`, logs[0])
	for name, node := range b.m.nodes {
		if strings.HasPrefix(name, memJob+"/") {
			require.NotContains(t, name, "device")
			require.NotContains(t, name, "lock", "the lock is not in the folder")
			require.False(t, strings.HasSuffix(name, headerName) && named.Match(node.data), "the identity is not in the folder")
		}
	}

	// Another process of the same device goes on in the same log.
	s, err = b.open(b.env).Note("", "later")
	saved(t, s, err)
	require.Equal(t, device, s.Entry.Device())
	require.Equal(t, int64(3), s.Entry.Seq)
	require.Len(t, ownLogs(b.m), 1)

	// Another device has a log of its own, and sees this one's counter.
	s, err = b.open(b.device("Tom")).Note("", "from Tom")
	saved(t, s, err)
	require.NotEqual(t, device, s.Entry.Device())
	require.Equal(t, int64(1), s.Entry.Seq)
	require.Equal(t, int64(4), s.Entry.N, "one more than the highest seen")
	require.Len(t, ownLogs(b.m), 2)
}

func TestPersonIsRemembered(t *testing.T) {
	b := newBench(t)
	env := b.env
	env.Person = ""
	name, err := Person(env)
	require.NoError(t, err)
	require.Empty(t, name)
	require.NoError(t, SetPerson(env, "  Ana   B. "))
	require.NoError(t, SetPerson(env, "Tom"))
	name, err = Person(env)
	require.NoError(t, err)
	require.Equal(t, "Tom", name)
	j := b.start()
	require.Equal(t, "Ana", j.Person(), "what the caller says goes first")
	require.NoError(t, j.SetPerson("Ruth"))
	s, err := j.Note("", "hello")
	saved(t, s, err)
	require.Equal(t, "Ruth", s.Entry.By)
	require.Equal(t, "Ruth", b.open(env).Person())
}

// The same private state on two machines: each must leave the other's log alone
// as soon as it sees it.
func TestClonedDevice(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Tick("cold")
	saved(t, s, err)
	// The clone.
	for name, node := range b.m.nodes {
		if rest, ok := strings.CutPrefix(name, memState); ok {
			copied := *node
			b.m.nodes["/home/clone"+rest], b.m.onDisk["/home/clone"+rest] = &copied, &copied
		}
	}
	env := b.env
	env.StateDir, env.Person = "/home/clone", "Tom"
	clone := b.open(env)
	s, err = clone.Note("", "from the clone")
	saved(t, s, err)
	require.Len(t, ownLogs(b.m), 1, "nothing tells them apart yet")

	s, err = b.open(b.env).Note("", "from the first")
	require.NoError(t, err)
	require.Equal(t, Everywhere, s.Where)
	require.Contains(t, s.Notice, "was written by something else; this device goes on in")
	require.Len(t, ownLogs(b.m), 2)
	for range 3 {
		s, err = j.Note("", "more from the first")
		saved(t, s, err)
		s, err = clone.Note("", "more from the clone")
		saved(t, s, err)
	}
	require.Len(t, ownLogs(b.m), 2, "each has its own now")
	require.Len(t, j.Log(), 10-1)
	changed, err := j.Refresh()
	require.NoError(t, err)
	require.True(t, changed)
	require.Len(t, j.Log(), 10)
}

// A device whose copy of the job is lost takes a new name: entries that went
// with it may still come back from elsewhere.
func TestTwinLost(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Tick("cold")
	saved(t, s, err)
	delete(b.m.nodes, memState+"/twins/"+j.header.Job+".jsonl")
	again, err := b.open(b.env).Note("", "after")
	require.NoError(t, err)
	require.Equal(t, Everywhere, again.Where)
	require.NotEqual(t, s.Entry.Device(), again.Entry.Device())
	require.Len(t, ownLogs(b.m), 2)
	require.Len(t, b.open(b.env).Log(), 3)
	// The running window that still has the old name finds out as well.
	third, err := j.Note("", "third")
	require.NoError(t, err)
	require.Equal(t, again.Entry.Device(), third.Entry.Device())
}

// A log that went back to an older state gets its lines back.
func TestHeal(t *testing.T) {
	b := newBench(t)
	j := b.start()
	for i := range 5 {
		s, err := j.Note("cold", fmt.Sprint("note ", i))
		saved(t, s, err)
	}
	log := b.m.nodes[memJob+"/"+ownLogs(b.m)[0]]
	cut := bytes.Index(log.data, []byte("note 1"))
	cut += bytes.IndexByte(log.data[cut:], '\n') + 1
	log.data, log.state = log.data[:cut], log.state[:cut]
	log.mtime++
	require.Len(t, texts(t, b.m, memJob, ""), 3, "what another device sees")
	s, err := j.Tick("cold")
	saved(t, s, err)
	require.Len(t, texts(t, b.m, memJob, ""), 7, "title, five notes, the tick")
	require.Len(t, ownLogs(b.m), 1, "no new log for that")
	v, err := j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%+v", v)
}

// The same when a whole log disappears, and when verify is asked instead of a save.
func TestHealWholeLog(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Tick("cold")
	saved(t, s, err)
	delete(b.m.nodes, memJob+"/"+ownLogs(b.m)[0])
	changed, err := j.Refresh()
	require.NoError(t, err)
	require.True(t, changed)
	require.Equal(t, Done, j.State().Steps["cold"].Status, "this device still has it")
	require.Zero(t, j.State().Unshared, "and has put it back")
	require.Len(t, texts(t, b.m, memJob, ""), 2)

	delete(b.m.nodes, memJob+"/"+ownLogs(b.m)[0])
	v, err := b.open(b.env).Verify()
	require.NoError(t, err)
	require.Equal(t, 2, v.Healed)
	require.False(t, v.Fine())
	v, err = j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%+v", v)
}

func TestHandEdit(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Read("measure", "bore", "6.01")
	saved(t, s, err)
	name := ownLogs(b.m)[0]
	log := b.m.nodes[memJob+"/"+name]
	log.data = bytes.Replace(log.data, []byte(`"6.01"`), []byte(`"6.09"`), 1)
	log.mtime++
	// On another device: shown and not counted, until the original comes.
	tom := b.open(b.device("Tom"))
	require.Empty(t, tom.State().Steps["measure"].Readings)
	require.Contains(t, strings.Join(tom.State().Notices, "\n"), "does not count until it is accepted")
	require.Contains(t, strings.Join(tom.State().Notices, "\n"), "6.09 mm")

	// This device has the original: it counts, and the next save begins another log.
	_, err = j.Refresh()
	require.NoError(t, err)
	require.Equal(t, "6.01", j.State().Steps["measure"].Readings["bore"][0].Value)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), "the original counts")
	s, err = j.Tick("cold")
	require.NoError(t, err)
	require.Equal(t, Everywhere, s.Where)
	require.Len(t, ownLogs(b.m), 2)
	_, err = tom.Refresh()
	require.NoError(t, err)
	require.Equal(t, "6.01", tom.State().Steps["measure"].Readings["bore"][0].Value)
	v, err := tom.Verify()
	require.NoError(t, err)
	require.Len(t, v.Edits, 1)
	require.Empty(t, v.Gaps)
	_, err = tom.Accept(v.Files[0].Lines[1].Mark)
	require.Error(t, err)
}

func TestAccept(t *testing.T) {
	b := newBench(t)
	j := b.start()
	put := func(name, line string) string {
		b.m.nodes[memJob+"/"+name] = &memNode{data: []byte(line), state: make([]byteState, len(line)), mtime: b.m.tick + 1}
		b.m.tick++
		_, err := j.Refresh()
		require.NoError(t, err)
		return rawMark([]byte(line))
	}
	mark := put("hand.jsonl", `{"v":1,"id":"hand-1-aaaa","n":2,"kind":"tick","step":"cold","by":"Ruth"}`)
	require.Equal(t, Todo, j.State().Steps["cold"].Status)
	s, err := j.Accept(mark)
	saved(t, s, err)
	require.Equal(t, "Ruth", j.State().Steps["cold"].Ticks[0].By)
	require.Empty(t, j.State().Notices)
	_, err = j.Accept(mark)
	require.Error(t, err, "nothing left to accept")
	undo, err := j.UndoEntry(s.Entry.ID)
	saved(t, undo, err)
	require.Equal(t, Todo, j.State().Steps["cold"].Status)
	undo, err = j.UndoEntry(undo.Entry.ID)
	saved(t, undo, err)
	require.Equal(t, Done, j.State().Steps["cold"].Status)

	// What takes back or accepts is never made by an editor.
	mark = put("undo.jsonl", `{"v":1,"id":"hand-2-aaaa","n":99,"kind":"retract","retracts":["hand-1-aaaa"]}`)
	_, err = j.Accept(mark)
	require.Error(t, err)
	require.Equal(t, Done, j.State().Steps["cold"].Status)
	mark = put("bare.jsonl", `{"note":"hello"}`)
	_, err = j.Accept(mark)
	require.Error(t, err)
}

func TestNewerVersions(t *testing.T) {
	b := newBench(t)
	j := b.start()
	body := `{"v":2,"id":"new1-1-aaaa","seq":1,"n":9,"time":"2026-03-01T09:00:00Z","by":"Ruth","kind":"scan","cloud":[1,2]`
	kind := `{"v":1,"id":"new1-2-aaaa","seq":2,"n":10,"by":"Ruth","kind":"blueprint","text":"x"`
	data := body + sumKey + bodySum([]byte(body)) + "\"}\n" + kind + sumKey + bodySum([]byte(kind)) + "\"}\n"
	b.m.nodes[memJob+"/log-new1-aaaaaa.jsonl"] = &memNode{data: []byte(data), state: make([]byteState, len(data)), mtime: 99}
	_, err := j.Refresh()
	require.NoError(t, err)
	require.Equal(t, []string{"2 entries were made by a newer version: kept, not understood here."}, j.State().Notices)
	s, err := j.Tick("cold")
	saved(t, s, err)
	require.Equal(t, int64(11), s.Entry.N)
	require.True(t, j.Log()[1].Newer)
	v, err := j.Verify()
	require.NoError(t, err)
	require.Equal(t, 2, v.Files[0].Count(Newer)+v.Files[1].Count(Newer))
}

// Each message says where, what and what next.
func TestMessages(t *testing.T) {
	fail := func(what, where string) func(int, string, string) fault {
		return func(_ int, w, name string) fault {
			if w == what && strings.HasPrefix(name, where) {
				return failed
			}
			return noFault
		}
	}
	note := func(b *bench, j *Job) (Saved, error) { return j.Note("", "a note") }
	t.Run("folder", func(t *testing.T) {
		for err, want := range map[error]string{
			syscall.ENOSPC:   "Saved on this device only - the job folder /stick/club/job is full. It will be added by itself.",
			syscall.EROFS:    "Saved on this device only - the job folder /stick/club/job is read-only. It will be added by itself.",
			fs.ErrPermission: "Saved on this device only - the job folder /stick/club/job is read-only. It will be added by itself.",
			fs.ErrNotExist:   "Saved on this device only - the job folder /stick/club/job is missing. It will be added by itself.",
			syscall.EINVAL:   "Saved on this device only - the job folder /stick/club/job does not confirm what is written. It will be added by itself.",
		} {
			require.Equal(t, want, Saved{Where: DeviceOnly, Notice: fmt.Sprintf("the job folder %s %s. It will be added by itself.", memJob, reason(err))}.String())
		}
		b := newBench(t)
		j := b.start()
		b.m.trap = fail("write", memJob)
		s, err := note(b, j)
		require.NoError(t, err)
		require.Equal(t, "Saved on this device only - the job folder /stick/club/job does not confirm what is written. It will be added by itself.", s.String())
		state := j.State()
		require.Equal(t, 1, state.Unshared)
		require.Equal(t, []string{"1 entry is saved on this device only; the next entry, or \"fettle job verify\", adds it to /stick/club/job."}, state.Notices)

		// By itself: not at every look, but within a minute of one.
		b.m.trap = nil
		_, err = j.Refresh()
		require.NoError(t, err)
		require.Equal(t, 1, j.State().Unshared, "a full disk is not written to every other second")
		b.now = b.now.Add(time.Minute)
		changed, err := j.Refresh()
		require.NoError(t, err)
		require.True(t, changed)
		require.Zero(t, j.State().Unshared)
		require.Equal(t, []string{"1 entry was on this device only; now in /stick/club/job too."}, j.State().Notices)
		require.True(t, texts(t, b.m, memJob, "")["a note"])
	})
	t.Run("folder gone", func(t *testing.T) {
		b := newBench(t)
		j := b.start()
		gone := map[string]*memNode{}
		for name, node := range b.m.nodes {
			if strings.HasPrefix(name, "/stick/club/job") {
				gone[name] = node
				delete(b.m.nodes, name)
			}
		}
		for i := range 3 {
			s, err := note(b, j)
			require.NoError(t, err)
			require.Equal(t, "Saved on this device only - the job folder /stick/club/job is missing. It will be added by itself.", s.String())
			require.Equal(t, int64(i+2), s.Entry.Seq)
		}
		_, err := j.Refresh()
		require.ErrorContains(t, err, "is missing")
		require.Equal(t, 3, j.State().Unshared)
		for name, node := range gone {
			b.m.nodes[name] = node
		}
		s, err := j.Tick("cold")
		saved(t, s, err)
		require.Zero(t, j.State().Unshared)
		require.Len(t, b.open(b.device("Tom")).Log(), 5)
	})
	t.Run("twin", func(t *testing.T) {
		b := newBench(t)
		j := b.start()
		b.m.trap = fail("sync", memState)
		s, err := note(b, j)
		require.NoError(t, err)
		require.Equal(t, "Saved in the job's folder only - this device's own folder /home/ana/.local/state/fettle does not confirm what is written.", s.String())
		s, err = note(b, j)
		require.NoError(t, err)
		require.Equal(t, FolderOnly, s.Where)
		require.Len(t, ownLogs(b.m), 1, "its own entries are no reason to begin another log")
		b.m.trap = nil
		s, err = j.Tick("cold")
		saved(t, s, err)
		require.Len(t, ownLogs(b.m), 1)
		require.Len(t, texts(t, b.m, "/home", memState+"/twins/"+j.header.Job+".jsonl"), 3, "the twin has caught up")
	})
	t.Run("both, and again", func(t *testing.T) {
		b := newBench(t)
		j := b.start()
		b.m.trap = func(_ int, what, _ string) fault {
			if what == "sync" {
				return failed
			}
			return noFault
		}
		var not *NotSavedError
		_, err := note(b, j)
		require.ErrorAs(t, err, &not)
		require.Equal(t, "NOT SAVED - the job folder /stick/club/job does not confirm what is written, and this device's own folder /home/ana/.local/state/fettle does not confirm what is written. Your text is still here.", err.Error())
		_, err = note(b, j)
		require.ErrorAs(t, err, &not)
		b.m.trap = nil
		s, err := note(b, j)
		saved(t, s, err)
		notes := 0
		for _, e := range b.open(b.env).Log() {
			if e.Kind == KindNote {
				notes++
			}
		}
		require.Equal(t, 1, notes, "the same text sent again is the same entry")
		s, err = note(b, j)
		saved(t, s, err)
		require.Len(t, b.open(b.env).Log(), 3, "written on purpose twice is two")
	})
	t.Run("clock", func(t *testing.T) {
		b := newBench(t)
		j := b.start()
		env := b.device("Tom")
		env.Now = func() time.Time { return b.now.AddDate(1, 2, 0) }
		s, err := b.open(env).Tick("cold")
		saved(t, s, err)
		s, err = j.Note("", "after Tom's")
		saved(t, s, err)
		_, err = j.Refresh()
		require.NoError(t, err)
		require.Regexp(t, `^The clock of device [a-z0-9]{4} \(Tom\) is 14 months ahead; order is not affected\.$`, j.State().Notices[0])
		require.Equal(t, "after Tom's", j.Log()[2].Text)
	})
	t.Run("unfinished", func(t *testing.T) {
		b := newBench(t)
		j := b.start()
		s, err := j.Tick("cold")
		saved(t, s, err)
		log := b.m.nodes[memJob+"/"+ownLogs(b.m)[0]]
		log.data = append(log.data, `{"v":1,"id":"`...)
		log.state = make([]byteState, len(log.data))
		log.mtime++
		_, err = j.Refresh()
		require.NoError(t, err)
		require.Equal(t, []string{"1 unfinished line in " + ownLogs(b.m)[0] + " (power loss?). Nothing that was reported saved is affected."}, j.State().Notices)
		s, err = j.Note("", "goes on")
		saved(t, s, err)
		require.Len(t, ownLogs(b.m), 1)
		require.True(t, bytes.HasSuffix(log.data, []byte("}\n")))
		require.Len(t, b.open(b.device("Tom")).Log(), 3)
	})
	t.Run("another window", func(t *testing.T) {
		b := newBench(t)
		j := b.start()
		j.writer.files = lockedFS{b.m}
		j.writer.dev.files = lockedFS{b.m}
		_, err := note(b, j)
		require.EqualError(t, err, "NOT SAVED - another window on this device is saving. Your text is still here.")
	})
}

type lockedFS struct{ *memory }

func (lockedFS) Lock(string, time.Duration) (func() error, error) { return nil, ErrLocked }

// A whole record whose newline alone is missing counts; the next entry gets the
// next number.
func TestCompleteWithoutNewline(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Tick("cold")
	saved(t, s, err)
	for _, name := range []string{memJob + "/" + ownLogs(b.m)[0], memState + "/twins/" + j.header.Job + ".jsonl"} {
		node := b.m.nodes[name]
		node.data, node.state = node.data[:len(node.data)-1], node.state[:len(node.data)-1]
		node.mtime++
	}
	again := b.open(b.env)
	require.Equal(t, Done, again.State().Steps["cold"].Status)
	require.Empty(t, again.State().Notices)
	next, err := again.Note("", "next")
	saved(t, next, err)
	require.Equal(t, s.Entry.Seq+1, next.Entry.Seq)
	require.Equal(t, s.Entry.Sum, next.Entry.Prev)
	v, err := again.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%+v", v)
	require.Len(t, again.Log(), 3)
}

func TestGaps(t *testing.T) {
	b := newBench(t)
	j := b.start()
	for i := range 6 {
		s, err := j.Note("", fmt.Sprint(i))
		saved(t, s, err)
	}
	log := b.m.nodes[memJob+"/"+ownLogs(b.m)[0]]
	lines := bytes.SplitAfter(log.data, []byte{'\n'})
	log.data = bytes.Join([][]byte{lines[0], lines[2], lines[5], lines[6]}, nil)
	log.state = make([]byteState, len(log.data))
	v, err := b.open(b.device("Tom")).Verify()
	require.NoError(t, err)
	device := j.Log()[0].Device()
	require.Equal(t, []string{"entry 2 of device " + device + " is not here", "entries 4 to 5 of device " + device + " are not here"}, v.Gaps)
	require.False(t, v.Fine())
}

// Whatever happens to the folder between saves, nothing that was promised is
// lost to the devices that made it: logs go back, disappear, are copied aside,
// get lines from a clone, refuse writes for a while.
func TestFolderMishaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := newMemory(memJob, "/home/ana")
		open := func(state string) *writer {
			dev := &device{files: m, dir: state}
			w := newWriter(m, fixedClock, dev, newLogs(m, memJob, dev.twin(memName)))
			_, err := w.logs.refresh()
			require.NoError(t, err)
			return w
		}
		states := []string{"/home/ana", "/home/tom", "/home/clone"}
		writers := map[string]*writer{}
		var kept []promise
		older := map[string][]byte{}
		for i := range rapid.IntRange(1, 25).Draw(t, "steps") {
			state := rapid.SampledFrom(states).Draw(t, "device")
			var logs []string
			for _, name := range sortedKeys(m.nodes) {
				if filepath.Dir(name) == memJob && !m.nodes[name].isDir {
					logs = append(logs, name)
				}
			}
			pick := func() (string, *memNode) {
				if len(logs) == 0 {
					return "", nil
				}
				name := rapid.SampledFrom(logs).Draw(t, "log")
				return name, m.nodes[name]
			}
			set := func(node *memNode, data []byte) {
				node.data, node.state = data, make([]byteState, len(data))
				m.tick++
				node.mtime = m.tick
			}
			switch rapid.SampledFrom([]string{"save", "save", "save", "restart", "back", "gone", "aside", "torn", "junk", "refuse", "clone"}).Draw(t, "what") {
			case "save":
				if writers[state] == nil {
					writers[state] = open(state)
				}
				kept = append(kept, work(writers[state], i*10, 1)...)
			case "restart":
				delete(writers, state)
			case "back":
				if name, node := pick(); node != nil {
					if old, ok := older[name]; ok {
						set(node, old)
					} else {
						older[name] = bytes.Clone(node.data)
					}
				}
			case "gone":
				if name, _ := pick(); name != "" {
					delete(m.nodes, name)
				}
			case "aside":
				if name, node := pick(); node != nil {
					copied := &memNode{}
					set(copied, bytes.Clone(node.data))
					m.nodes[strings.TrimSuffix(name, ".jsonl")+".sync-conflict-1.jsonl"] = copied
				}
			case "torn":
				if _, node := pick(); node != nil {
					set(node, node.data[:rapid.IntRange(0, len(node.data)).Draw(t, "bytes")])
				}
			case "junk":
				if _, node := pick(); node != nil {
					set(node, append(bytes.Clone(node.data), rapid.SampledFrom([]string{"junk\n", "{}\n", "\x00\x00", "{\"v\":1,"}).Draw(t, "junk")...))
				}
			case "refuse":
				until := m.calls + rapid.IntRange(1, 8).Draw(t, "calls")
				m.trap = func(call int, _, name string) fault {
					if call <= until && strings.HasPrefix(name, memJob) {
						return failed
					}
					return noFault
				}
			case "clone":
				if writers["/home/clone"] == nil && m.nodes["/home/ana/device.jsonl"] != nil && m.nodes["/home/clone"] == nil {
					for name, node := range m.nodes {
						if rest, ok := strings.CutPrefix(name, "/home/ana"); ok {
							copied := *node
							copied.data, copied.state = bytes.Clone(node.data), slices.Clone(node.state)
							m.nodes["/home/clone"+rest] = &copied
						}
					}
				}
			}
		}
		m.trap = nil
		for _, state := range states {
			kept = append(kept, work(open(state), 9000, 1)...)
		}
		l := newLogs(m, memJob, "")
		_, err := l.refresh()
		require.NoError(t, err)
		found := map[string]bool{}
		for _, rec := range l.all {
			found[rec.Text] = true
		}
		for _, p := range kept {
			if !found[p.text] {
				t.Fatalf("%s was promised (%s) and is not in the folder", p.text, p.where)
			}
		}
	})
}
