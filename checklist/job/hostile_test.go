package job

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// realBench is a job on the real disk.
func realBench(t *testing.T) (string, Env) {
	dir := filepath.Join(t.TempDir(), "job")
	env := Env{Now: fixedClock, StateDir: filepath.Join(t.TempDir(), "state"), Person: "Ana"}
	_, err := Start(dir, tap(t, tapProcedure), nil, "Bramble", env)
	require.NoError(t, err)
	return dir, env
}

// Nothing in a folder from somebody else is followed out of it, waited for, or
// read without end.
func TestHostileFolder(t *testing.T) {
	dir, env := realBench(t)
	secret := filepath.Join(t.TempDir(), "secret.jsonl")
	line, err := encode(Entry{V: 1, ID: "evil-1-aaaa", Seq: 1, N: 5, Kind: KindTick, Step: "cold", By: "Eve"})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(secret, append(line, '\n'), 0o644))
	link := func(target, name string) {
		if err := os.Symlink(target, filepath.Join(dir, name)); err != nil {
			t.Skip("no links here: ", err)
		}
	}
	link(secret, "log-evil-aaaaaa.jsonl")
	link("/dev/zero", "zero.jsonl")
	link(dir, "loop.jsonl")
	link("nowhere", "dangling.jsonl")
	link("/", "root.jsonl")
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder.jsonl"), 0o755))
	huge := filepath.Join(dir, "huge.jsonl")
	require.NoError(t, os.WriteFile(huge, nil, 0o644))
	require.NoError(t, os.Truncate(huge, maxFile+1))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "\x1b[2Jred.jsonl"), []byte("junk\n"), 0o644))

	j, err := Open(dir, env)
	require.NoError(t, err)
	require.Equal(t, Todo, j.State().Steps["cold"].Status)
	notices := strings.Join(j.State().Notices, "\n")
	for _, want := range []string{"more like this", `\x1b[2Jred.jsonl`} {
		require.Contains(t, notices, want, "few are told here")
	}
	require.NotContains(t, notices, "\x1b")
	v, err := j.Verify()
	require.NoError(t, err)
	require.False(t, v.Fine())
	notices = strings.Join(v.Skipped, "\n")
	for _, want := range []string{"Not read: log-evil-aaaaaa.jsonl is a link, which can lead anywhere; use the file itself.", "zero.jsonl is a link", "loop.jsonl is a link", "dangling.jsonl is a link", "huge.jsonl is larger than 128 MiB"} {
		require.Contains(t, notices, want)
	}
	s, err := j.Tick("cold")
	saved(t, s, err)
	data, err := os.ReadFile(secret)
	require.NoError(t, err)
	require.Equal(t, string(line)+"\n", string(data), "nothing is written through a link")
	list, err := List(filepath.Dir(dir), env)
	require.NoError(t, err)
	require.Len(t, list, 1)
}

// A link in the place of this device's own log is not written through either.
func TestOwnLogReplacedByALink(t *testing.T) {
	dir, env := realBench(t)
	logs, err := filepath.Glob(filepath.Join(dir, "log-*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 1)
	outside := filepath.Join(t.TempDir(), "outside")
	require.NoError(t, os.Rename(logs[0], outside))
	if err := os.Symlink(outside, logs[0]); err != nil {
		t.Skip("no links here: ", err)
	}
	before, err := os.ReadFile(outside)
	require.NoError(t, err)
	j, err := Open(dir, env)
	require.NoError(t, err)
	s, err := j.Tick("cold")
	saved(t, s, err)
	after, err := os.ReadFile(outside)
	require.NoError(t, err)
	require.Equal(t, before, after)
	logs, err = filepath.Glob(filepath.Join(dir, "log-*.jsonl"))
	require.NoError(t, err)
	require.Len(t, logs, 2)
}

func TestHostileHeader(t *testing.T) {
	dir, env := realBench(t)
	good, err := os.ReadFile(filepath.Join(dir, headerName))
	require.NoError(t, err)
	put := func(data []byte) error {
		require.NoError(t, os.WriteFile(filepath.Join(dir, headerName), data, 0o644))
		_, err := Open(dir, env)
		return err
	}
	var folder *FolderError
	for name, data := range map[string][]byte{
		"too large":       append(good, bytes.Repeat([]byte("#"), maxHeader)...),
		"a path as name":  bytes.Replace(good, []byte(`job = "job-`), []byte(`job = "../job-`), 1),
		"no name":         bytes.Replace(good, []byte(`job = "`), []byte(`jib = "`), 1),
		"no format":       bytes.Replace(good, []byte("format = 1"), nil, 1),
		"newer":           bytes.Replace(good, []byte("format = 1"), []byte("format = 2"), 1),
		"wrong type":      bytes.Replace(good, []byte("format = 1"), []byte(`format = "1"`), 1),
		"settings a list": append(bytes.Replace(good, []byte("[settings]"), nil, 1), "settings = [1]"...),
		"end cut off":     good[:bytes.Index(good, []byte("\n[settings]"))],
		"zeros":           make([]byte, len(good)),
		"cut":             good[:len(good)/2],
	} {
		require.ErrorAs(t, put(data), &folder, name)
		require.NotContains(t, folder.Error(), "\x00", name)
	}
	require.ErrorIs(t, put(bytes.Replace(good, []byte("format = 1"), []byte("format = 2\nnew = {}"), 1)), ErrNewer)
	evil := bytes.Replace(good, []byte(`engine = "Bramble"`), []byte(`engine = "\u001b[2JBramble"`), 1)
	require.NoError(t, put(evil))
	j, err := Open(dir, env)
	require.NoError(t, err)
	require.Equal(t, `\x1b[2JBramble`, j.Engine())
	require.Contains(t, j.State().Notices, "job.toml was changed after the job started.")
	require.NoError(t, put(append(good, "unknown = \"1\"\n"...)), "a setting that the procedure does not have is passed over")
	j, err = Open(dir, env)
	require.NoError(t, err)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), "job.toml, setting unknown")
	require.ErrorContains(t, put(append(good, "bore = 1\n"...)), "wrong kind of value")

	require.NoError(t, put(good))
	require.NoError(t, os.WriteFile(filepath.Join(dir, procedureName), []byte("not toml"), 0o644))
	require.ErrorAs(t, put(good), &folder)
	require.NoError(t, os.WriteFile(filepath.Join(dir, procedureName), []byte(strings.Replace(tapProcedure, "cold and empty", "cold", 1)), 0o644))
	require.NoError(t, put(good))
	j, err = Open(dir, env)
	require.NoError(t, err)
	require.Contains(t, j.State().Notices, "procedure.toml was changed after the job started.")
}

// Lines without end, and junk by the million, cost time and no more.
func TestGiantLines(t *testing.T) {
	dir, env := realBench(t)
	j, err := Open(dir, env)
	require.NoError(t, err)
	s, err := j.Tick("cold")
	saved(t, s, err)
	line, err := encode(Entry{V: 1, ID: "tomx-1-aaaa", Seq: 1, N: 5, Kind: KindNote, By: "Tom", Text: "between giants"})
	require.NoError(t, err)
	giant := bytes.Repeat([]byte("x"), 5<<20)
	nested := bytes.Repeat([]byte("["), 1<<20-10)
	data := bytes.Join([][]byte{giant, line, nested, giant}, []byte{'\n'})
	require.NoError(t, os.WriteFile(filepath.Join(dir, "giant.jsonl"), data, 0o644))
	j, err = Open(dir, env)
	require.NoError(t, err)
	require.Len(t, j.Log(), 3)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), "2 unreadable lines in giant.jsonl, the first is line 1")

	lines := 300_000
	if slow() {
		lines = 5_000_000
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "junk.jsonl"), bytes.Repeat([]byte("{\"junk\":1}x\n"), lines), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "hand.jsonl"), bytes.Repeat([]byte("{\"kind\":\"note\"}\n"), lines), 0o644))
	var many bytes.Buffer
	for i := range lines / 10 {
		fmt.Fprintf(&many, "{\"kind\":\"note\",\"text\":\"%d\"}\n", i)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "many.jsonl"), many.Bytes(), 0o644))
	j, err = Open(dir, env)
	require.NoError(t, err)
	many = bytes.Buffer{}
	runtime.GC()
	runtime.ReadMemStats(&after)
	require.Less(t, int64(after.HeapAlloc)-int64(before.HeapAlloc), int64(8<<20), "junk is not kept")
	require.Len(t, j.Log(), 3)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), fmt.Sprintf("%d unreadable lines in junk.jsonl", lines))
	require.Less(t, len(j.State().Notices), 100, "nor told one by one")
	runtime.KeepAlive(j)
}

func TestTooManyLogs(t *testing.T) {
	m := newMemory(memJob)
	for i := range maxLogs + 5 {
		m.nodes[fmt.Sprintf("%s/%04d.jsonl", memJob, i)] = &memNode{}
	}
	l := newLogs(m, memJob, "")
	_, err := l.refresh()
	require.NoError(t, err)
	require.Len(t, l.read, maxLogs)
	require.Len(t, l.skipped, 1)
	require.Contains(t, l.skipped[0], "5 files are not read")
}

func TestListIsBounded(t *testing.T) {
	root := t.TempDir()
	deep := root
	for range listDepth + 3 {
		deep = filepath.Join(deep, "d")
	}
	env := Env{Now: fixedClock, StateDir: filepath.Join(t.TempDir(), "state"), Person: "Ana"}
	for i, dir := range []string{filepath.Join(root, "b"), filepath.Join(root, "a"), filepath.Join(root, ".hidden", "c"), deep} {
		env.Now = func() time.Time { return fixedClock().Add(time.Duration(i) * time.Hour) }
		_, err := Start(dir, tap(t, tapProcedure), nil, "Bramble", env)
		require.NoError(t, err)
	}
	require.NoError(t, os.MkdirAll(filepath.Join(root, "bad"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(root, "bad", headerName), []byte("format = 9"), 0o644))
	_ = os.Symlink(root, filepath.Join(root, "loop"))
	list, err := List(root, env)
	require.NoError(t, err)
	require.Len(t, list, 3)
	require.Equal(t, []string{"a", "b", "bad"}, []string{filepath.Base(list[0].Dir), filepath.Base(list[1].Dir), filepath.Base(list[2].Dir)})
	require.True(t, errors.Is(list[2].Err, ErrNewer))
	_, err = List(filepath.Join(root, "nowhere"), env)
	require.Error(t, err)
}

func TestStartRefuses(t *testing.T) {
	dir, env := realBench(t)
	proc := tap(t, tapProcedure)
	var folder *FolderError
	_, err := Start(dir, proc, nil, "Bramble", env)
	require.ErrorAs(t, err, &folder)
	require.ErrorContains(t, err, "a job in this folder already")
	full := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(full, "mine.txt"), nil, 0o644))
	_, err = Start(full, proc, nil, "Bramble", env)
	require.ErrorContains(t, err, "not empty")
	_, err = Start(filepath.Join(full, "mine.txt"), proc, nil, "Bramble", env)
	require.ErrorAs(t, err, &folder)
	_, err = Start(filepath.Join(full, "mine.txt", "x"), proc, nil, "Bramble", env)
	require.ErrorAs(t, err, &folder)
	var settings *SettingsError
	_, err = Start(filepath.Join(full, "x"), proc, map[string]string{"bore": "wide", "boer": "6"}, "Bramble", env)
	require.ErrorAs(t, err, &settings)
	require.ErrorContains(t, err, "bore: ")
	require.ErrorContains(t, err, "boer")
	require.NoDirExists(t, filepath.Join(full, "x"))
	_, err = Start(filepath.Join(full, "x"), proc, nil, "\x1b[2J", env)
	require.Error(t, err)

	// What a start left that was cut short is gone over.
	half := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(half, procedureName+newSuffix+"abcdef"), []byte("x"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(half, procedureName), []byte("x"), 0o644))
	require.NoError(t, os.Mkdir(filepath.Join(half, photosName), 0o755))
	j, err := Start(half, proc, nil, "Bramble", env)
	require.NoError(t, err)
	require.Empty(t, j.State().Notices)
}

// Without a private folder a process is a device of its own, and says so.
func TestNoPrivateFolder(t *testing.T) {
	dir, env := realBench(t)
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	for state, want := range map[string]string{
		"":                        "Saved in the job's folder only - there is no folder for this device's own copy (set FETTLE_STATE).",
		filepath.Join(file, "st"): "Saved in the job's folder only - this device's own folder " + filepath.Join(file, "st") + " is no folder.",
	} {
		env.StateDir = state
		j, err := Open(dir, env)
		require.NoError(t, err)
		before, err := os.ReadDir(dir)
		require.NoError(t, err)
		for range 3 {
			s, err := j.Note("", "a note")
			require.NoError(t, err)
			require.Equal(t, want, s.String())
		}
		s, err := j.Undo()
		require.NoError(t, err)
		require.Equal(t, FolderOnly, s.Where)
		after, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, after, len(before)+1, "one log for the process")
		_, err = j.Refresh()
		require.NoError(t, err)
		v, err := j.Verify()
		require.NoError(t, err)
		require.True(t, v.Fine(), "%+v", v)
	}
	require.Error(t, SetPerson(env, "Ana"))
}

// A job that was started is there after a power cut at any later call; before
// that there is no job, or a whole one.
func TestStartCutShort(t *testing.T) {
	proc := tap(t, tapProcedure)
	for cutAt := 1; ; cutAt++ {
		m := newMemory("/stick/club", "/home/ana")
		m.trap = func(call int, _, _ string) fault {
			if call == cutAt {
				return powerCut
			}
			return noFault
		}
		env := Env{Now: fixedClock, StateDir: memState, Person: "Ana", FS: m}
		_, err := Start(memJob, proc, nil, "Bramble", env)
		for _, r := range rests(m) {
			after := m.after(r)
			env.FS = after
			j, openErr := Open(memJob, env)
			if err == nil {
				require.NoError(t, openErr, "cut at %d", cutAt)
			}
			if openErr == nil {
				require.Equal(t, "cold", j.State().Next)
				require.Equal(t, proc.Source, j.Filled().Procedure.Source)
				continue
			}
			_, err := Start(memJob, proc, nil, "Bramble", env)
			require.NoError(t, err, "cut at %d, %v: %v", cutAt, r, openErr)
		}
		if !m.dead {
			return
		}
	}
}
