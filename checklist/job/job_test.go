package job

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

const tapProcedure = `format = 2
id     = "drain-tap"
title  = "Refit a drain tap"

[settings.bore]
ask     = "Bore of the tap"
kind    = "length"
default = "6 mm"

[[stage]]
title = "Work"

[[stage.step]]
id   = "cold"
kind = "inspect"
do   = "See that the boiler is cold and empty."

[[stage.step]]
id   = "measure"
kind = "measure"
do   = "Measure the bore."
reading = [{ name = "bore", ask = "Bore", kind = "length", unit = "mm", nominal = "${bore}", within = "±0.1", outside = "stop", sets = "bore" }]

[[stage.step]]
id    = "slacken"
kind  = "make"
do    = "Slacken the tap and turn a plug of ${bore}."
hold  = "inspector"

[[stage.step]]
id    = "seal"
kind  = "seal"
after = ["cold"]
do    = "Seal the thread."
wait  = "24 h"

[[stage.step]]
id    = "cure"
kind  = "wait"
after = ["slacken"]
do    = "Let it stand."
wait  = "90 min"

[[stage.step]]
id    = "test"
kind  = "test"
after = ["seal", "cure"]
do    = "Test with water."
`

// bench is a device at work on a job in memory.
type bench struct {
	t   testing.TB
	m   *memory
	now time.Time
	env Env
}

func newBench(t testing.TB) *bench {
	b := &bench{t: t, m: newMemory("/stick/club", "/home/ana"), now: fixedClock()}
	b.env = Env{Now: func() time.Time { return b.now }, StateDir: memState, Person: "Ana", FS: b.m}
	return b
}

func tap(t testing.TB, source string) *checklist.Procedure {
	proc, found := checklist.Read("tap.toml", []byte(source))
	require.False(t, found.HasStop(), "%v", found)
	return proc
}

func (b *bench) start() *Job {
	j, err := Start(memJob, tap(b.t, tapProcedure), nil, "Bramble", b.env)
	require.NoError(b.t, err)
	return j
}

// device is another device that has the same folder; its private state is its own.
func (b *bench) device(name string) Env {
	env := b.env
	env.Person, env.StateDir = name, "/home/"+strings.ToLower(name)
	return env
}

func (b *bench) open(env Env) *Job {
	j, err := Open(memJob, env)
	require.NoError(b.t, err)
	return j
}

func saved(t *testing.T, s Saved, err error) Saved {
	t.Helper()
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(s.String(), "Saved."), s.String())
	return s
}

func TestGates(t *testing.T) {
	b := newBench(t)
	j := b.start()
	status := func(step string) Status { return j.State().Steps[step].Status }
	require.Equal(t, "cold", j.State().Next)
	require.Equal(t, 6, j.State().Total)
	require.Equal(t, []Status{Todo, Blocked, Blocked, Blocked}, []Status{status("cold"), status("measure"), status("slacken"), status("seal")})

	var blocked *BlockedError
	_, err := j.Tick("seal")
	require.ErrorAs(t, err, &blocked)
	require.Contains(t, err.Error(), "first do cold")
	s, err := j.Tick("cold")
	saved(t, s, err)
	require.Equal(t, Todo, status("seal"), "needs only what it says")

	// A reading outside limits that stop is kept, and stops the tick.
	_, err = j.Tick("measure")
	require.ErrorContains(t, err, "reading bore is missing")
	s, err = j.Read("measure", "bore", "6,4")
	saved(t, s, err)
	require.Equal(t, "6,4", s.Entry.Value, "as it was typed")
	_, err = j.Tick("measure")
	require.ErrorContains(t, err, "6.4 mm")
	s, err = j.Read("measure", "bore", "6.05")
	saved(t, s, err)
	require.Len(t, j.State().Steps["measure"].Readings["bore"], 1)
	require.Contains(t, j.Filled().Step("slacken").Do, "6.05 mm", "what was measured stands in later figures")
	require.Equal(t, "6 mm", j.Filled().Step("measure").Readings[0].Nominal.Text, "a reading is not judged against itself")
	s, err = j.Tick("measure")
	saved(t, s, err)

	// Hold point.
	require.Equal(t, []Hold{{Step: "slacken", Who: "inspector"}}, j.State().Holds)
	_, err = j.Skip("slacken", "no need")
	require.ErrorContains(t, err, "not left out")
	_, err = j.Release("slacken", "ana")
	require.ErrorContains(t, err, "inspector releases")
	_, err = j.Release("cold", "Ruth")
	require.ErrorContains(t, err, "no hold point")
	s, err = j.Release("slacken", "Ruth")
	saved(t, s, err)
	require.Equal(t, "Ruth", j.State().Steps["slacken"].Releases[0].By)
	s, err = j.Tick("slacken")
	saved(t, s, err)

	// A wait step counts from what it needs; a wait on a step holds up what needs it.
	s, err = j.Tick("seal")
	saved(t, s, err)
	require.Empty(t, j.State().Waiting)
	require.Contains(t, j.State().Steps["cure"].Blocks[0], "not begun")
	s, err = j.Begin("cure", NewBegin{})
	saved(t, s, err)
	require.Equal(t, []Wait{{Step: "cure", Until: b.now.Add(90 * time.Minute)}}, j.State().Waiting)
	b.now = b.now.Add(90*time.Minute - time.Second)
	_, err = j.Tick("cure")
	require.ErrorContains(t, err, "wait until Sun 1 Mar 2026 10:30")
	b.now = b.now.Add(time.Second)
	s, err = j.Tick("cure")
	saved(t, s, err)
	require.Equal(t, Waiting, status("test"))
	require.Equal(t, fixedClock().Add(24*time.Hour), j.State().Steps["test"].Due)
	b.now = fixedClock().Add(24 * time.Hour)
	s, err = j.Tick("test")
	saved(t, s, err)
	state := j.State()
	require.Equal(t, 6, state.Done)
	require.Empty(t, state.Next)
	require.Empty(t, state.Notices)
}

// Leaving out the step between does not shorten a wait, and a clock that ran
// down does not end one.
func TestWaitsHold(t *testing.T) {
	source := strings.Replace(tapProcedure, `after = ["seal", "cure"]`, `after = ["wipe"]`, 1)
	source += "\n[[stage.step]]\nid = \"wipe\"\nkind = \"clean\"\nafter = [\"seal\"]\ndo = \"Wipe off what came out.\"\n"
	b := newBench(t)
	j, err := Start(memJob, tap(t, source), nil, "Bramble", b.env)
	require.NoError(t, err)
	for _, step := range []string{"cold", "seal"} {
		s, err := j.Tick(step)
		saved(t, s, err)
	}
	require.Equal(t, Waiting, j.State().Steps["wipe"].Status)
	s, err := j.Skip("wipe", "nothing came out")
	saved(t, s, err)
	require.Equal(t, Waiting, j.State().Steps["test"].Status)
	require.Equal(t, fixedClock().Add(24*time.Hour), j.State().Steps["test"].Due)
	b.now = b.now.Add(24 * time.Hour)
	require.Equal(t, Todo, j.State().Steps["test"].Status)

	// The same with a clock that says 1970.
	b = newBench(t)
	j, err = Start(memJob, tap(t, strings.Replace(tapProcedure, `after = ["seal", "cure"]`, `after = ["seal"]`, 1)), nil, "Bramble", b.env)
	require.NoError(t, err)
	s, err = j.Tick("cold")
	saved(t, s, err)
	b.now = time.Unix(0, 0)
	s, err = j.Tick("seal")
	saved(t, s, err)
	b.now = fixedClock()
	require.Equal(t, Blocked, j.State().Steps["test"].Status)
	_, err = j.Tick("test")
	require.ErrorContains(t, err, "the clock was in doubt when Seal the thread was done")
	b.now = fixedClock().Add(3 * time.Hour)
	s, err = j.Begin("seal", NewBegin{At: fixedClock().Add(2 * time.Hour), Now: b.now})
	saved(t, s, err)
	require.Equal(t, Waiting, j.State().Steps["test"].Status)
	require.Equal(t, fixedClock().Add(26*time.Hour), j.State().Steps["test"].Due, "the whole cure runs from when it was put on")
}

// Looking, saving and refreshing at once, as the screen does.
func TestManyAtOnce(t *testing.T) {
	dir, env := realBench(t)
	j, err := Open(dir, env)
	require.NoError(t, err)
	other, err := Open(dir, env)
	require.NoError(t, err)
	var group sync.WaitGroup
	for i := range 4 {
		group.Add(3)
		go func() {
			defer group.Done()
			_, err := j.Note("cold", fmt.Sprint("note ", i))
			assert.NoError(t, err)
		}()
		go func() {
			defer group.Done()
			_, err := other.Note("cold", fmt.Sprint("other ", i))
			assert.NoError(t, err)
			_, err = j.Refresh()
			assert.NoError(t, err)
		}()
		go func() {
			defer group.Done()
			for range 50 {
				j.State()
				j.Log()
				j.Filled()
				j.Person()
			}
			assert.NoError(t, j.SetPerson("Tom"))
		}()
	}
	group.Wait()
	_, err = j.Refresh()
	require.NoError(t, err)
	require.Len(t, j.Log(), 9)
}

func TestWrongWork(t *testing.T) {
	b := newBench(t)
	j := b.start()
	var step *StepError
	_, err := j.Tick("nonsense")
	require.ErrorAs(t, err, &step)
	_, err = j.Read("cold", "bore", "6")
	require.ErrorContains(t, err, "asks for no reading")
	_, err = j.Read("measure", "bohr", "6")
	require.ErrorAs(t, err, &step)
	for _, value := range []string{"", "wide", "6 psi", "NaN", "inf", "6\n7", strings.Repeat("6", 300), "6\x1b[2J"} {
		_, err = j.Read("measure", "bore", value)
		require.Error(t, err, "%q", value)
	}
	_, err = j.Note("cold", " ")
	require.ErrorContains(t, err, "is empty")
	_, err = j.Note("", strings.Repeat("x", maxText+1))
	require.ErrorContains(t, err, "longer than")
	_, err = j.Note("", "\xff")
	require.ErrorContains(t, err, "not text")
	_, err = j.Skip("cold", "")
	require.ErrorContains(t, err, "is empty")
	_, err = j.UndoEntry("nobody-1-aaaa")
	require.ErrorContains(t, err, "no entry nobody-1-aaaa")
	_, err = j.Undo()
	require.ErrorIs(t, err, ErrNothingToUndo)
	for _, name := range []string{"", " ", "a\x1b[2J", strings.Repeat("x", 81), "\xff"} {
		require.Error(t, j.SetPerson(name), "%q", name)
	}
	require.Len(t, j.Log(), 1, "none of it was written")

	nobody := b.device("")
	nobody.StateDir = "/home/nobody"
	_, err = b.open(nobody).Tick("cold")
	require.ErrorIs(t, err, ErrNobody)
	_, err = Start("/stick/club/other", tap(t, tapProcedure), nil, "Bramble", nobody)
	require.ErrorIs(t, err, ErrNobody)
}

func TestUndo(t *testing.T) {
	b := newBench(t)
	j := b.start()
	tick, err := j.Tick("cold")
	saved(t, tick, err)
	first, err := j.Read("measure", "bore", "6.01")
	saved(t, first, err)
	second, err := j.Read("measure", "bore", "6.02")
	saved(t, second, err)
	value := func() string {
		values := j.State().Steps["measure"].Readings["bore"]
		if len(values) == 0 {
			return ""
		}
		require.Len(t, values, 1)
		return values[0].Value
	}
	require.Equal(t, "6.02", value())
	undo, err := j.Undo()
	saved(t, undo, err)
	require.Equal(t, "6.01", value(), "what it replaced comes back")
	require.Len(t, j.State().Steps["measure"].Undone, 1)

	// Undoing the undo restores; undoing that one takes it away again.
	again, err := j.UndoEntry(undo.Entry.ID)
	saved(t, again, err)
	require.Equal(t, "6.02", value())
	third, err := j.UndoEntry(again.Entry.ID)
	saved(t, third, err)
	require.Equal(t, "6.01", value())
	_, err = j.UndoEntry(second.Entry.ID)
	require.ErrorContains(t, err, "undone already")

	saved2, err := j.Undo()
	saved(t, saved2, err)
	require.Equal(t, "", value())
	saved2, err = j.Undo()
	saved(t, saved2, err)
	require.Equal(t, Todo, j.State().Steps["cold"].Status)
	_, err = j.Undo()
	require.ErrorIs(t, err, ErrNothingToUndo)
	_, err = j.UndoStep("cold")
	require.ErrorContains(t, err, "neither done nor left out")
}

// A middle reading taken back does not bring the one before it back past a
// later one, whose author had seen both.
func TestUndoInTheMiddle(t *testing.T) {
	b := newBench(t)
	j := b.start()
	var entries []Saved
	for _, value := range []string{"6.01", "6.02", "6.03"} {
		s, err := j.Read("measure", "bore", value)
		entries = append(entries, saved(t, s, err))
	}
	s, err := j.UndoEntry(entries[1].Entry.ID)
	saved(t, s, err)
	values := j.State().Steps["measure"].Readings["bore"]
	require.Len(t, values, 1)
	require.Equal(t, "6.03", values[0].Value)
	s, err = j.UndoEntry(entries[2].Entry.ID)
	saved(t, s, err)
	require.Equal(t, "6.01", j.State().Steps["measure"].Readings["bore"][0].Value)
}

// Two devices on two copies of the folder; merging makes one state of them.
func TestTwoPeople(t *testing.T) {
	b := newBench(t)
	ana := b.start()
	s, err := ana.Tick("cold")
	saved(t, s, err)

	// Tom's copy.
	for name, node := range b.m.nodes {
		if rest, ok := strings.CutPrefix(name, memJob); ok {
			copied := *node
			b.m.nodes["/home/tom/job"+rest] = &copied
			b.m.onDisk["/home/tom/job"+rest] = &copied
		}
	}
	b.m.nodes["/home/tom"], b.m.onDisk["/home/tom"] = &memNode{isDir: true}, b.m.nodes["/home/tom"]
	b.m.onDisk["/home/tom"] = b.m.nodes["/home/tom"]
	env := b.device("Tom")
	tom, err := Open("/home/tom/job", env)
	require.NoError(t, err)

	for _, j := range []*Job{ana, tom} {
		_, err = j.Read("measure", "bore", map[*Job]string{ana: "6.01", tom: "6.02"}[j])
		require.NoError(t, err)
		s, err = j.Tick("measure")
		saved(t, s, err)
	}
	_, err = tom.Skip("seal", "will do it at home")
	require.NoError(t, err)
	_, err = ana.Tick("seal")
	require.NoError(t, err)

	for _, dir := range []struct {
		j    *Job
		from string
	}{{ana, "/home/tom/job"}, {tom, memJob}, {ana, "/home/tom/job"}} {
		_, err := dir.j.Merge(dir.from)
		require.NoError(t, err)
	}
	for _, j := range []*Job{ana, tom} {
		state := j.State()
		require.Len(t, state.Steps["measure"].Ticks, 2, "both names, no conflict")
		require.Len(t, state.Conflicts, 2)
		require.Equal(t, Conflict{"measure", "bore", state.Conflicts[0].Text, false}, state.Conflicts[0])
		require.Contains(t, state.Conflicts[0].Text, "6.01 mm by Ana")
		require.Contains(t, state.Conflicts[0].Text, "6.02 mm by Tom")
		require.Equal(t, "seal", state.Conflicts[1].Step)
		require.True(t, state.Conflicts[1].Holds, "done and left out: somebody has to say which")
		require.Equal(t, Blocked, state.Steps["seal"].Status)
	}

	// Undo takes back only what its author saw: one of two ticks leaves the step done.
	s, err = ana.UndoEntry(ana.State().Steps["measure"].Ticks[0].ID)
	saved(t, s, err)
	require.Equal(t, Done, ana.State().Steps["measure"].Status)
	require.Len(t, ana.State().Steps["measure"].Ticks, 1)
	require.Len(t, ana.State().Steps["measure"].Undone, 1)
	_, err = ana.Tick("measure")
	require.ErrorContains(t, err, "done already")
	s, err = ana.UndoStep("measure")
	saved(t, s, err)
	require.Equal(t, Todo, ana.State().Steps["measure"].Status)

	// Settled by an entry that has seen both.
	s, err = ana.Read("measure", "bore", "6.03")
	saved(t, s, err)
	s, err = ana.Tick("seal")
	saved(t, s, err)
	require.Empty(t, ana.State().Conflicts)
	_, err = tom.Merge(memJob)
	require.NoError(t, err)
	require.Empty(t, tom.State().Conflicts)
}

// Two windows and a device that share one folder see each other.
func TestRefresh(t *testing.T) {
	b := newBench(t)
	ana := b.start()
	tom := b.open(b.device("Tom"))
	changed, err := tom.Refresh()
	require.NoError(t, err)
	require.False(t, changed)
	s, err := ana.Tick("cold")
	saved(t, s, err)
	require.Equal(t, Todo, tom.State().Steps["cold"].Status)
	changed, err = tom.Refresh()
	require.NoError(t, err)
	require.True(t, changed)
	require.Equal(t, Done, tom.State().Steps["cold"].Status)
	// Without a look in between: what is there counts when the entry is made.
	second := b.open(b.env)
	s, err = tom.Read("measure", "bore", "6.01")
	saved(t, s, err)
	s, err = second.Read("measure", "bore", "6.02")
	saved(t, s, err)
	require.Len(t, second.State().Steps["measure"].Readings["bore"], 1, "it replaces what it had not shown yet")
}

func TestExport(t *testing.T) {
	b := newBench(t)
	j := b.start()
	s, err := j.Tick("cold")
	saved(t, s, err)
	b.m.nodes[memJob+"/photos/a.jpg"] = &memNode{data: []byte("jpeg"), state: make([]byteState, 4)}
	b.m.trap = func(_ int, what, name string) fault {
		if what == "write" && strings.HasPrefix(name, memJob) {
			return diskFull
		}
		return noFault
	}
	only, err := j.Note("cold", "the stick is full")
	require.NoError(t, err)
	require.Equal(t, DeviceOnly, only.Where)

	var out bytes.Buffer
	left, err := j.Export(&out)
	require.NoError(t, err)
	require.Empty(t, left)
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	dir := t.TempDir()
	for _, f := range archive.File {
		name := filepath.Join(dir, f.Name)
		require.NoError(t, os.MkdirAll(filepath.Dir(name), 0o755))
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(name, data, 0o644))
	}
	kept, err := Open(dir, Env{Now: b.env.Now, StateDir: t.TempDir(), Person: "Tom"})
	require.NoError(t, err)
	require.Equal(t, j.Log(), kept.Log(), "with the entry that only this device has")
	words, err := os.ReadFile(filepath.Join(dir, "log.txt"))
	require.NoError(t, err)
	require.Contains(t, string(words), "note: cold the stick is full")
	photo, err := os.ReadFile(filepath.Join(dir, "photos", "a.jpg"))
	require.NoError(t, err)
	require.Equal(t, "jpeg", string(photo))
}

// What comes in among the photos is photos: named as those of a job are, and what
// the name says.
func TestMergeTakesNothingButPhotos(t *testing.T) {
	b := newBench(t)
	j := b.start()
	b.m.copyTree(memJob, "/other")
	file := func(name, data string) {
		b.m.nodes["/other/photos/"+name] = &memNode{data: []byte(data), state: make([]byteState, len(data))}
	}
	const jpeg, png = "\xff\xd8\xff", "\x89PNG\r\n\x1a\n"
	long := strings.Repeat("a", maxPhotoStem)
	file("good.jpg", jpeg+"1")
	file("good-2.png", png)
	file("good-3.gif", "GIF89a")
	file(long+".png", png)
	for _, name := range []string{"id_ed25519", ".netrc", "Upper.jpg", "page.html", "-rf.jpg", "a b.jpg", "job.toml", "log-aaaa-bbbbbb.jsonl", "x\x1b[2J.jpg", long + "a.jpg", "good.jpeg"} {
		file(name, jpeg)
	}
	file("key.png", "-----BEGIN KEY-----")
	file("page.gif", "<html>")
	file("other.png", jpeg)
	file("empty.jpg", "")
	file("large.jpg", jpeg+strings.Repeat("x", maxPhoto))
	merged, err := j.Merge("/other")
	require.NoError(t, err)
	require.Equal(t, 4, merged.Photos)
	names, left, err := photos(b.m, memJob)
	require.NoError(t, err)
	require.Empty(t, left)
	require.Equal(t, []string{long + ".png", "good-2.png", "good-3.gif", "good.jpg"}, names)
	require.Len(t, merged.Notices, 6, "few are said one by one")
	require.Equal(t, "photos/-rf.jpg is passed over: that is not the name of a photo in a job.", merged.Notices[0])
	require.Equal(t, "11 more like these.", merged.Notices[5])
	require.NotContains(t, strings.Join(merged.Notices, ""), "\x1b")
	for name, why := range map[string]string{"key.png": "what it holds is not what its name says", "other.png": "what it holds is not", "large.jpg": "large.jpg is larger than 20 MiB"} {
		_, err := readPhotoOf(b.m, "/other/photos/"+name)
		require.ErrorContains(t, err, why)
	}

	// The same name with other contents gets one that a photo can have, however
	// long it is.
	file(long+".png", png+"another")
	merged, err = j.Merge("/other")
	require.NoError(t, err)
	require.Equal(t, 1, merged.Photos)
	other := otherName(long+".png", []byte(png+"another"))
	require.Len(t, other, maxPhotoStem+len(".png"))
	data, err := j.photo(other)
	require.NoError(t, err)
	require.Equal(t, png+"another", string(data))
}

// What is too large for the file does not keep the rest from being exported.
func TestExportLeavesOutWhatIsTooLarge(t *testing.T) {
	b := newBench(t)
	j := b.start()
	b.m.nodes[memJob+"/photos/film.mp4"] = &memNode{data: make([]byte, maxExported+1)}
	b.m.nodes[memJob+"/photos/a.jpg"] = &memNode{data: []byte("jpeg")}
	var out bytes.Buffer
	left, err := j.Export(&out)
	require.NoError(t, err)
	require.Equal(t, []string{"photos/film.mp4 is passed over: film.mp4 is larger than 64 MiB."}, left)
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	_, err = archive.Open("photos/a.jpg")
	require.NoError(t, err)
	_, err = archive.Open("photos/film.mp4")
	require.Error(t, err)
}

// Photos come along with a merge; a name that is taken is not taken over.
func TestMergePhotos(t *testing.T) {
	b := newBench(t)
	j := b.start()
	file := func(name, data string) {
		data = "\xff\xd8\xff" + data
		b.m.nodes[name] = &memNode{data: []byte(data), state: make([]byteState, len(data))}
	}
	b.m.nodes["/other"] = &memNode{isDir: true}
	b.m.nodes["/other/photos"] = &memNode{isDir: true}
	for _, name := range []string{headerName, procedureName} {
		b.m.nodes["/other/"+name] = b.m.nodes[memJob+"/"+name]
	}
	file(memJob+"/photos/same.jpg", "one")
	file(memJob+"/photos/taken.jpg", "two")
	file("/other/photos/same.jpg", "one")
	file("/other/photos/taken.jpg", "three")
	file("/other/photos/new.jpg", "four")
	merged, err := j.Merge("/other")
	require.NoError(t, err)
	require.Equal(t, 2, merged.Photos)
	require.Equal(t, "\xff\xd8\xfftwo", string(b.m.nodes[memJob+"/photos/taken.jpg"].data))
	names, _, err := photos(b.m, memJob)
	require.NoError(t, err)
	require.Len(t, names, 4)
	merged, err = j.Merge("/other")
	require.NoError(t, err)
	require.Zero(t, merged.Photos)
}
