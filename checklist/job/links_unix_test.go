//go:build unix

package job

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/disk"
)

// soon fails the test where do does not come back: what is refused is refused at
// once, and what waits for a pipe waits for ever. Longer than is promised, for
// machines that are busy.
func soon(t *testing.T, do func()) {
	t.Helper()
	done := make(chan struct{})
	go func() { defer close(done); do() }()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("it still waits")
	}
}

// strange puts something that is neither a plain file nor a folder in the place
// of path, whose contents are moved to a folder outside. what is it in a word.
type strange struct {
	name, what string
	put        func(t *testing.T, path, moved string)
}

func strangers() []strange {
	link := func(to func(path, moved string) string) func(*testing.T, string, string) {
		return func(t *testing.T, path, moved string) { require.NoError(t, os.Symlink(to(path, moved), path)) }
	}
	return []strange{
		{"a link to what was there", "a link", link(func(_, moved string) string { return moved })},
		{"a link to itself", "a link", link(func(path, _ string) string { return filepath.Base(path) })},
		{"a link to the folder above", "a link", link(func(string, string) string { return ".." })},
		{"a link to nothing", "a link", link(func(string, string) string { return "nowhere" })},
		{"a link to a device", "a link", link(func(string, string) string { return "/dev/zero" })},
		{"a pipe", "a pipe", func(t *testing.T, path, _ string) { require.NoError(t, syscall.Mkfifo(path, 0o644)) }},
		{"a socket", "a socket", func(t *testing.T, path, _ string) {
			short, err := os.MkdirTemp("", "s") // its path has to be short
			require.NoError(t, err)
			l, err := net.Listen("unix", filepath.Join(short, "s"))
			require.NoError(t, err)
			t.Cleanup(func() { _ = l.Close(); _ = os.RemoveAll(short) })
			require.NoError(t, os.Rename(filepath.Join(short, "s"), path))
		}},
	}
}

// nest is a job with a called job in a called job on the real disk. Every log and
// every photo holds a word that stands nowhere else.
type nest struct {
	dir, bare string // the job, and a copy that was made before there was anything in it
	oil       string // folder of the called job, below dir
	again     string // and of the one that it called
}

func pngOf(word string) string { return "\x89PNG\r\n\x1a\n" + word }

func newNest(t *testing.T) nest {
	root := t.TempDir()
	n := nest{dir: filepath.Join(root, "job"), bare: filepath.Join(root, "bare")}
	env := Env{Now: fixedClock, StateDir: filepath.Join(root, "state"), Person: "Ana"}
	j, err := Start(n.dir, tap(t, coverProcedure), map[string]string{"thread": "M4"}, "Bramble", env)
	require.NoError(t, err)
	must(j.Release("safe", "Ruth"))
	must(j.Tick("safe"))
	require.NoError(t, os.CopyFS(n.bare, os.DirFS(n.dir)))
	word := func(j *Job, word string) {
		photo := filepath.Join(root, "p.png")
		require.NoError(t, os.WriteFile(photo, []byte(pngOf("photo "+word)), 0o644))
		must(j.Note("", "note "+word, photo))
	}
	word(j, "top")
	oil, _, err := j.Call("oil", tap(t, oilProcedure), nil)
	require.NoError(t, err)
	word(oil, "oil")
	must(oil.Tick("drill"))
	again, _, err := oil.Call("again", tap(t, oilProcedure), nil)
	require.NoError(t, err)
	word(again, "again")
	n.oil, err = filepath.Rel(n.dir, oil.Dir())
	require.NoError(t, err)
	n.again, err = filepath.Rel(n.dir, again.Dir())
	require.NoError(t, err)
	return n
}

// words are all that the job holds; behind those of a called job lie its own and
// those of what it called.
var nestWords = []string{"note top", "photo top", "note oil", "photo oil", "note again", "photo again"}

// one finds the file of a job that a pattern means.
func one(t *testing.T, dir, pattern string) string {
	found, err := filepath.Glob(filepath.Join(dir, pattern))
	require.NoError(t, err)
	require.NotEmpty(t, found, pattern)
	rel, err := filepath.Rel(dir, found[0])
	require.NoError(t, err)
	return rel
}

// places are where something can lie in a job, each with the words that are
// behind it.
func (n nest) places(t *testing.T) map[string][]string {
	oil, again := nestWords[2:], nestWords[4:]
	return map[string][]string{
		headerName:                             nestWords,
		procedureName:                          nestWords,
		one(t, n.dir, "log-*.jsonl"):           {"note top"},
		photosName:                             {"photo top"},
		one(t, n.dir, "photos/*.png"):          {"photo top"},
		calledName:                             oil,
		n.oil:                                  oil,
		filepath.Join(n.oil, headerName):       oil,
		filepath.Join(n.oil, procedureName):    oil,
		one(t, n.dir, n.oil+"/log-*.jsonl"):    {"note oil"},
		filepath.Join(n.oil, photosName):       {"photo oil"},
		one(t, n.dir, n.oil+"/photos/*.png"):   {"photo oil"},
		filepath.Join(n.oil, calledName):       again,
		n.again:                                again,
		one(t, n.dir, n.again+"/log-*.jsonl"):  {"note again"},
		filepath.Join(n.again, photosName):     {"photo again"},
		one(t, n.dir, n.again+"/photos/*.png"): {"photo again"},
	}
}

// tree is everything in a folder: names, kinds and contents. Links in it are not
// followed and pipes not opened.
func tree(t *testing.T, dir string) string {
	var b strings.Builder
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(dir, path)
		fmt.Fprintf(&b, "%s %v\n", rel, d.Type())
		if d.Type().IsRegular() {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			b.Write(data)
		}
		return nil
	}))
	return b.String()
}

// exported is what an export holds, and what it says it left out.
func exported(t *testing.T, j *Job) (held, left string) {
	var out bytes.Buffer
	list, err := j.Export(&out)
	require.NoError(t, err)
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	var b strings.Builder
	for _, f := range archive.File {
		r, err := f.Open()
		require.NoError(t, err)
		data, err := io.ReadAll(r)
		require.NoError(t, err)
		b.Write(data)
	}
	return b.String(), strings.Join(list, "\n")
}

// onThePage is what a job's record shows: its text, and its pictures as they are.
func onThePage(t *testing.T, j *Job) string {
	var page bytes.Buffer
	require.NoError(t, j.Record().WriteHTML(&page))
	text := page.String()
	for part := range strings.SplitSeq(text, ";base64,") {
		code, _, _ := strings.Cut(part, `"`)
		if data, err := base64.StdEncoding.DecodeString(code); err == nil {
			text += string(data)
		}
	}
	return text
}

// passedBy is everything that a check says it did not read, also in called jobs.
func passedBy(v *Verification) string {
	said := strings.Join(v.Skipped, "\n")
	for _, c := range v.Called {
		said += "\n" + c.Problem
		if c.Verification != nil {
			said += "\n" + passedBy(c.Verification)
		}
	}
	return said
}

// holds says which of the words stand in a text.
func holds(text string) (found []string) {
	for _, word := range nestWords {
		if strings.Contains(text, word) {
			found = append(found, word)
		}
	}
	return found
}

func without(gone []string) (left []string) {
	for _, word := range nestWords {
		if !strings.Contains("\n"+strings.Join(gone, "\n")+"\n", "\n"+word+"\n") {
			left = append(left, word)
		}
	}
	return left
}

// As it should be: everything is exported, brought in and shown. What the test
// below misses would be seen.
func TestNestIsWhole(t *testing.T) {
	n := newNest(t)
	tom := Env{Now: fixedClock, StateDir: t.TempDir(), Person: "Tom"}
	j, err := Open(n.dir, tom)
	require.NoError(t, err)
	held, left := exported(t, j)
	require.Equal(t, nestWords, holds(held))
	require.Empty(t, left)
	require.Equal(t, []string{"note top", "photo top"}, holds(onThePage(t, j)))
	v, err := j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%+v", v)
	bare, err := Open(n.bare, tom)
	require.NoError(t, err)
	require.Empty(t, holds(tree(t, n.bare)))
	merged, err := bare.Merge(n.dir)
	require.NoError(t, err)
	require.Empty(t, merged.Notices)
	require.Equal(t, 2, merged.Called)
	require.Equal(t, 3, merged.Photos)
	require.Equal(t, nestWords, holds(tree(t, n.bare)))
}

// Whatever stands in the place of a file or a folder of a job, nothing behind it
// is read or written, nothing waits for it, and it is said.
func TestStrangeThingsInEveryPlace(t *testing.T) {
	whole := newNest(t)
	places := whole.places(t)
	for i, place := range sortedKeys(places) {
		behind := places[place]
		for k, s := range strangers() {
			if leading := k == 0 || s.what == "a pipe"; !leading && (i+k)%5 != 0 && !slow() {
				continue // in turn; all of them in every place take their time
			}
			t.Run(strings.ReplaceAll(place, string(filepath.Separator), " ")+" is "+s.name, func(t *testing.T) {
				root := t.TempDir()
				n := nest{dir: filepath.Join(root, "job"), bare: filepath.Join(root, "bare")}
				require.NoError(t, os.CopyFS(n.dir, os.DirFS(whole.dir)))
				require.NoError(t, os.CopyFS(n.bare, os.DirFS(whole.bare)))
				env := func(name string) Env {
					return Env{Now: fixedClock, StateDir: filepath.Join(root, "device of "+name), Person: name}
				}
				open, err := Open(n.dir, env("Tom"))
				require.NoError(t, err)

				outside := t.TempDir()
				moved := filepath.Join(outside, filepath.Base(place))
				require.NoError(t, os.Rename(filepath.Join(n.dir, place), moved))
				before := tree(t, outside)
				s.put(t, filepath.Join(n.dir, place), moved)
				said := filepath.Base(place) + " is " + s.what
				soon(t, func() { behindNothing(t, n, open, env, behind, said, whole.dir) })
				require.Equal(t, before, tree(t, outside), "nothing is written there")
			})
		}
	}
}

// behindNothing does with the job whatever can be done, in a window that was open
// before and in a new one.
func behindNothing(t *testing.T, n nest, open *Job, env func(string) Env, behind []string, said, whole string) {
	list, err := List(filepath.Dir(n.dir), env("Olga"))
	require.NoError(t, err)
	require.Len(t, list, 2)

	// From elsewhere: what is brought in is what is not behind it.
	bare, err := Open(n.bare, env("Olga"))
	require.NoError(t, err)
	merged, err := bare.Merge(n.dir)
	inside := holds(tree(t, n.bare))
	if len(behind) == len(nestWords) && err != nil { // job.toml itself
		require.ErrorContains(t, err, said)
		require.Empty(t, inside)
	} else {
		require.NoError(t, err)
		require.Contains(t, strings.Join(merged.Notices, "\n"), said)
		if len(behind) < len(nestWords) { // a copy's procedure.toml is not brought in at all
			require.Equal(t, without(behind), inside)
		}
	}

	_, _ = open.Refresh()
	fresh, err := Open(n.dir, env("Olga"))
	if len(behind) == len(nestWords) {
		require.ErrorContains(t, err, said)
		_, err = open.Export(io.Discard)
		require.ErrorContains(t, err, said)
		return
	}
	require.NoError(t, err)
	photo := filepath.Join(filepath.Dir(n.dir), "new.png")
	require.NoError(t, os.WriteFile(photo, []byte(pngOf("new")), 0o644))
	for _, j := range []*Job{fresh, open} {
		held, left := exported(t, j)
		require.Equal(t, without(behind), holds(held))
		require.Contains(t, left, said)
		require.Subset(t, without(behind), holds(onThePage(t, j)))
		v, err := j.Verify()
		require.NoError(t, err)
		require.False(t, v.Fine())
		require.Contains(t, passedBy(v), said)
		_, _ = j.Pictures(30)
	}
	for _, j := range []*Job{fresh, open} {
		// To write is tried everywhere: here, in what was called, and a new call.
		_, _ = j.Note("", "one more", photo)
		for _, c := range j.State().Called {
			if child, err := Open(c.Dir, env("Olga")); err == nil {
				_, _ = child.Note("", "one more", photo)
			}
		}
		_, _, _ = j.Call("holes", tap(t, holeProcedure), map[string]string{"thread": "M4"})
		_, err = j.Merge(whole)
		require.NoError(t, err)
	}
}

// A job, or the copy of one, may be reached by a link: people have their homes
// and sticks behind one.
func TestJobReachedByALink(t *testing.T) {
	n := newNest(t)
	links := t.TempDir()
	job, bare := filepath.Join(links, "job"), filepath.Join(links, "bare")
	require.NoError(t, os.Symlink(n.dir, job))
	require.NoError(t, os.Symlink(filepath.Dir(n.bare), filepath.Join(links, "home")))
	require.NoError(t, os.Symlink(n.bare, bare))
	env := Env{Now: fixedClock, StateDir: filepath.Join(links, "home", "device of Tom"), Person: "Tom"}
	j, err := Open(filepath.Join(links, "home", "bare"), env)
	require.NoError(t, err)
	merged, err := j.Merge(job)
	require.NoError(t, err)
	require.Empty(t, merged.Notices)
	require.Equal(t, nestWords, holds(tree(t, n.bare)))
	j, err = Open(bare, env)
	require.NoError(t, err)
	saved(t, must(j.Note("", "through it")), nil)
	away := filepath.Join(t.TempDir(), "away")
	// But what lies among called jobs lies in the job around it, however it is named.
	require.NoError(t, os.Rename(filepath.Join(n.dir, calledName), away))
	require.NoError(t, os.Symlink(away, filepath.Join(n.dir, calledName)))
	var refused *disk.Refused
	_, err = Open(filepath.Join(n.dir, n.oil), env)
	require.ErrorAs(t, err, &refused)
	oil, err := Open(filepath.Join(n.bare, n.oil), env)
	require.NoError(t, err)
	_, err = oil.Merge(filepath.Join(n.dir, n.oil))
	require.ErrorAs(t, err, &refused)
	// A list finds what lies in its folder and no link in it.
	list, err := List(filepath.Join(links, "home"), env)
	require.NoError(t, err)
	require.Len(t, list, 2)
	list, err = List(links, env)
	require.NoError(t, err)
	require.Empty(t, list)
	list, err = ListHere(links, env)
	require.NoError(t, err)
	require.Empty(t, list)
}

// Nor is anything followed or waited for in this device's own folder.
func TestStrangeThingsInTheDevicesFolder(t *testing.T) {
	for place, quiet := range map[string]bool{"twins": false, "twin": false, "device.jsonl": true, "device.lock": true} {
		for _, s := range strangers() {
			t.Run(place+" is "+s.name, func(t *testing.T) {
				root := t.TempDir()
				env := Env{Now: fixedClock, StateDir: filepath.Join(root, "state"), Person: "Ana"}
				dir := filepath.Join(root, "job")
				j, err := Start(dir, tap(t, tapProcedure), nil, "Bramble", env)
				require.NoError(t, err)
				path := filepath.Join(env.StateDir, place)
				if place == "twin" {
					path = filepath.Join(env.StateDir, "twins", j.header.Job+".jsonl")
				}
				outside := filepath.Join(root, "outside")
				require.NoError(t, os.Mkdir(outside, 0o755))
				moved := filepath.Join(outside, filepath.Base(path))
				require.NoError(t, os.Rename(path, moved))
				before := tree(t, outside)
				s.put(t, path, moved)
				soon(t, func() {
					fresh, err := Open(dir, env)
					require.NoError(t, err)
					for _, j := range []*Job{j, fresh} {
						s, err := j.Note("", "one more")
						require.NoError(t, err)
						if !quiet {
							require.Equal(t, FolderOnly, s.Where, s.String())
						}
					}
					_, _ = Person(env)
					_ = SetPerson(env, "Tom")
				})
				require.Equal(t, before, tree(t, outside))
			})
		}
	}
}

// A picture that is to go with an entry is the file itself.
func TestStrangePhotos(t *testing.T) {
	dir, env := realBench(t)
	j, err := Open(dir, env)
	require.NoError(t, err)
	for _, s := range strangers() {
		root := t.TempDir()
		moved, path := filepath.Join(root, "moved.png"), filepath.Join(root, "p.png")
		require.NoError(t, os.WriteFile(moved, []byte(pngOf("secret")), 0o644))
		s.put(t, path, moved)
		soon(t, func() {
			_, err := j.Note("", "one more", path)
			require.ErrorContains(t, err, "the photo "+path+" is "+s.what+",", s.name)
			require.ErrorContains(t, CheckPhoto(path, env), "p.png is "+s.what)
			_, _ = j.Pictures(30, root, path)
		})
	}
	require.NotContains(t, tree(t, dir), "secret")
}

// A name of a job is given to no pipe, and none is waited for on the way.
func TestStrangeFolders(t *testing.T) {
	dir, env := realBench(t)
	j, err := Open(dir, env)
	require.NoError(t, err)
	for _, s := range strangers() {
		path := filepath.Join(t.TempDir(), "folder")
		s.put(t, path, filepath.Join(dir, headerName))
		soon(t, func() {
			_, err := Open(path, env)
			require.Error(t, err, s.name)
			_, err = Start(path, tap(t, tapProcedure), nil, "Bramble", env)
			require.Error(t, err, s.name)
			_, err = j.Merge(path)
			require.Error(t, err, s.name)
			if s.name != "a link to the folder above" {
				_, err = List(path, env)
				require.Error(t, err, s.name)
				_, err = ListHere(path, env)
				require.Error(t, err, s.name)
				require.Error(t, WriteFile(filepath.Join(path, "x.md"), nil, env), s.name)
			}
			require.Error(t, WriteFile(path, nil, env), s.name)
		})
	}
}
