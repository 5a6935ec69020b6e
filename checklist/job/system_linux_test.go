package job

import (
	"bufio"
	"bytes"
	"flag"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// These tests make the real disk, the real kernel and real processes misbehave.
// The test program runs itself again as a writer that adds notes to a job and
// says after each what it was promised.

func TestMain(m *testing.M) {
	if dir := os.Getenv("FETTLE_TEST_WRITER"); dir != "" {
		writerMain(dir)
		os.Exit(0)
	}
	if slow() {
		// The command line, which is read later, still goes first.
		if err := flag.Set("rapid.checks", "5000"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

func writerMain(dir string) {
	count, _ := strconv.Atoi(os.Getenv("FETTLE_TEST_COUNT"))
	until, _ := time.ParseDuration(os.Getenv("FETTLE_TEST_TIME"))
	name := os.Getenv("FETTLE_TEST_NAME")
	j, err := Open(dir, Env{Now: time.Now, StateDir: os.Getenv("FETTLE_STATE"), Person: name})
	if err != nil {
		fmt.Println("cannot open:", err)
		os.Exit(3)
	}
	begun := time.Now()
	for i := 0; i < count || time.Since(begun) < until; i++ {
		text := fmt.Sprintf("%s-%d-%s", name, i, randomWord(6))
		s, err := j.Note("cold", text)
		if err != nil {
			fmt.Printf("lost\t%s\t%v\n", text, err)
			continue
		}
		fmt.Printf("kept\t%s\t%s\n", text, s)
	}
}

// site is a job on the real disk and a device working on it.
type site struct {
	t          *testing.T
	dir, state string
	promised   map[string]bool
}

func newSite(t *testing.T, root string) *site {
	s := &site{t: t, dir: filepath.Join(root, "job"), state: filepath.Join(t.TempDir(), "state"), promised: map[string]bool{}}
	_, err := Start(s.dir, tap(t, tapProcedure), nil, "Bramble", s.env("Ana"))
	require.NoError(t, err)
	return s
}

func (s *site) env(person string) Env {
	return Env{Now: time.Now, StateDir: s.state, Person: person}
}

// command runs the writer, under a tool where one is given.
func (s *site) command(state, name string, count int, tool ...string) *exec.Cmd {
	args := append(tool, os.Args[0])
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Env = append(os.Environ(), "FETTLE_TEST_WRITER="+s.dir, "FETTLE_STATE="+state, "FETTLE_TEST_NAME="+name, "FETTLE_TEST_COUNT="+strconv.Itoa(count), "GOMAXPROCS=1")
	return cmd
}

// write runs the writer to whatever end it comes to, remembers what it was
// promised and returns what it said.
func (s *site) write(count int, tool ...string) string {
	out, _ := s.command(s.state, "Ana", count, tool...).Output()
	s.remember(out)
	return string(out)
}

func (s *site) remember(out []byte) {
	lines := bufio.NewScanner(bytes.NewReader(out))
	for lines.Scan() {
		part := strings.Split(lines.Text(), "\t")
		if len(part) == 3 && part[0] == "kept" {
			s.promised[part[1]] = true
		}
	}
}

// check makes one more entry by each device and then looks for everything that
// was ever promised, in the folder alone.
func (s *site) check(states ...string) {
	s.t.Helper()
	for i, state := range append(states, s.state) {
		out, err := s.command(state, fmt.Sprint("last", i), 1).Output()
		require.NoError(s.t, err, string(out))
		require.Contains(s.t, string(out), "\tSaved", string(out))
		s.remember(out)
	}
	j, err := Open(s.dir, Env{Now: time.Now, StateDir: filepath.Join(s.t.TempDir(), "nobody")})
	require.NoError(s.t, err)
	found := map[string]bool{}
	for _, e := range j.Log() {
		found[e.Text] = true
	}
	for text := range s.promised {
		if !found[text] {
			s.t.Fatalf("%s was promised and is gone", text)
		}
	}
}

func (s *site) log() string {
	logs, err := filepath.Glob(filepath.Join(s.dir, "log-*.jsonl"))
	require.NoError(s.t, err)
	require.NotEmpty(s.t, logs)
	return logs[0]
}

func (s *site) twin() string {
	twins, err := filepath.Glob(filepath.Join(s.state, "twins", "*.jsonl"))
	require.NoError(s.t, err)
	require.NotEmpty(s.t, twins)
	return twins[0]
}

// tools skips a test where a tool is missing; where everything must run it fails.
func tools(t *testing.T, names ...string) {
	for _, name := range names {
		if _, err := exec.LookPath(name); err != nil {
			skip(t, "no "+name)
		}
	}
}

func skip(t *testing.T, why string) {
	if os.Getenv("CI") != "" {
		t.Fatal(why)
	}
	t.Skip(why)
}

func onlySlow(t *testing.T) {
	if !slow() {
		t.Skip("set FETTLE_SLOW=1")
	}
}

func run(t *testing.T, name string, args ...string) {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, "%s %v: %s", name, args, out)
}

// mount mounts and takes away again; without the right to it the test is skipped.
func mount(t *testing.T, args ...string) string {
	t.Helper()
	dir := t.TempDir()
	if out, err := exec.Command("mount", append(args, dir)...).CombinedOutput(); err != nil {
		skip(t, "cannot mount: "+string(out))
	}
	t.Cleanup(func() { _ = exec.Command("umount", dir).Run() })
	return dir
}

// Killed at any of its calls to the kernel, a writer loses nothing that it said
// was saved.
func TestKilledAtEveryCall(t *testing.T) {
	onlySlow(t)
	tools(t, "strace")
	s := newSite(t, t.TempDir())
	s.write(1)
	for _, call := range []string{"write", "fsync", "openat", "flock", "fstat", "newfstatat", "close", "pread64", "read", "getdents64"} {
		killed := 0
		for when := 1; when < 60; when++ {
			out := s.write(2, "strace", "-f", "-qq", "-o", "/dev/null", "-P", s.log(), "-P", s.twin(), "-P", s.dir, "-P", s.state,
				"-e", "trace="+call, "-e", fmt.Sprintf("inject=%s:signal=KILL:when=%d", call, when))
			if strings.Count(out, "\n") == 2 {
				break
			}
			killed++
		}
		t.Logf("%s: killed %d times", call, killed)
	}
	s.check()
}

// An error at each call is either said or healed, and nothing promised is lost.
func TestErrorAtEveryCall(t *testing.T) {
	onlySlow(t)
	tools(t, "strace")
	s := newSite(t, t.TempDir())
	s.write(1)
	said := map[string]int{}
	for _, inject := range []string{"write:error=ENOSPC", "write:error=EIO", "fsync:error=EIO", "fsync:error=EINVAL", "openat:error=EROFS", "openat:error=EACCES", "openat:error=EMFILE", "pread64:error=EIO", "fstat:error=EIO", "getdents64:error=EIO", "close:error=EIO", "flock:error=ENOLCK"} {
		call, _, _ := strings.Cut(inject, ":")
		for _, path := range []string{s.log(), s.twin(), s.dir, s.state} {
			for when := 1; when <= 3; when++ {
				out := s.write(2, "strace", "-f", "-qq", "-o", "/dev/null", "-P", path, "-e", "trace="+call, "-e", fmt.Sprintf("inject=%s:when=%d", inject, when))
				for line := range strings.Lines(out) {
					part := strings.Split(strings.TrimSpace(line), "\t")
					said[part[len(part)-1]]++
				}
			}
		}
	}
	s.check()
	for text, n := range said {
		t.Logf("%4d %s", n, strings.ReplaceAll(text, s.dir, "DIR"))
	}
	require.Greater(t, len(said), 3, "the errors were met")
}

// Both syncs and that of the folder come before the word.
func TestOrderOfSyncs(t *testing.T) {
	tools(t, "strace")
	s := newSite(t, t.TempDir())
	trace := filepath.Join(t.TempDir(), "trace")
	s.write(1, "strace", "-f", "-y", "-o", trace, "-e", "trace=write,fsync")
	data, err := os.ReadFile(trace)
	if err != nil || !bytes.Contains(data, []byte("fsync(")) {
		skip(t, "strace cannot trace here")
	}
	at := func(pattern string) int {
		loc := regexp.MustCompile(pattern).FindIndex(data)
		require.NotNil(t, loc, "%s in %s", pattern, data)
		return loc[0]
	}
	word := at(`write\(1.*kept`)
	real := func(path string) string {
		resolved, err := filepath.EvalSymlinks(path)
		require.NoError(t, err)
		return regexp.QuoteMeta(resolved)
	}
	for _, path := range []string{s.twin(), s.log(), s.dir, filepath.Dir(s.dir), filepath.Dir(s.twin()), s.state} {
		require.Less(t, at(`fsync\(\d+<`+real(path)+`>`), word, path)
	}
	require.Less(t, at(`fsync\(\d+<`+real(s.twin())+`>`), at(`fsync\(\d+<`+real(s.log())+`>`), "the twin first")
}

// A write cut at every byte by the limit of a file's size.
func TestTornAtEveryByte(t *testing.T) {
	onlySlow(t)
	tools(t, "prlimit")
	s := newSite(t, t.TempDir())
	s.write(1)
	info, err := os.Stat(s.log())
	require.NoError(t, err)
	torn := 0
	for extra := int64(0); extra < 260; extra++ {
		if extra > 0 {
			// Every torn line makes the log longer than its twin or the twin
			// longer than the log: both are cut in turn.
			info, err = os.Stat(map[bool]string{true: s.log(), false: s.twin()}[extra%2 == 0])
			require.NoError(t, err)
		}
		out := s.write(1, "prlimit", fmt.Sprintf("--fsize=%d", info.Size()+extra))
		if !strings.Contains(out, "\tSaved.") {
			torn++
		}
	}
	require.Greater(t, torn, 100)
	s.check()
}

func TestFullDisk(t *testing.T) {
	onlySlow(t)
	s := newSite(t, mount(t, "-t", "tmpfs", "-o", "size=20k", "tmpfs"))
	out := s.write(120)
	require.Contains(t, out, "Saved on this device only - the job folder "+s.dir+" is full. It will be added by itself.")
	require.NotContains(t, out, "lost")
	run(t, "mount", "-o", "remount,size=1m", filepath.Dir(s.dir))
	s.check()

	// The private folder full as well: not saved, and said so.
	s = newSite(t, mount(t, "-t", "tmpfs", "-o", "size=20k", "tmpfs"))
	s.state = filepath.Join(filepath.Dir(s.dir), "state")
	out = s.write(120)
	require.Contains(t, out, "NOT SAVED - the job folder")
	require.Contains(t, out, "Your text is still here.")
	run(t, "mount", "-o", "remount,size=1m", filepath.Dir(s.dir))
	s.check()
}

func TestReadOnlyFolder(t *testing.T) {
	tools(t, "mount", "chattr", "setpriv")
	only := regexp.MustCompile(`Saved on this device only - the job folder .* is read-only\. It will be added by itself\.`)
	dir := mount(t, "-t", "tmpfs", "-o", "size=1m", "tmpfs")
	s := newSite(t, dir)
	run(t, "mount", "-o", "remount,ro", dir)
	require.Regexp(t, only, s.write(2))
	_, err := Start(filepath.Join(dir, "other"), tap(t, tapProcedure), nil, "Bramble", s.env("Ana"))
	require.ErrorContains(t, err, "read-only")
	run(t, "mount", "-o", "remount,rw", dir)
	s.check()

	// One file that may not be touched.
	s = newSite(t, t.TempDir())
	if out, err := exec.Command("chattr", "+i", s.log()).CombinedOutput(); err != nil {
		skip(t, "chattr does not work here: "+string(out))
	}
	out := s.write(1)
	run(t, "chattr", "-i", s.log())
	require.Regexp(t, only, out)
	s.check()

	// Append-only is all that is needed.
	run(t, "chattr", "+a", s.log())
	out = s.write(2)
	require.Equal(t, 2, strings.Count(out, "\tSaved.\n"), out)
	require.Error(t, os.Truncate(s.log(), 0))
	run(t, "chattr", "-a", s.log())
	s.check()

	// Somebody else's folder.
	s = newSite(t, t.TempDir())
	for dir := s.dir; dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	other := filepath.Join(t.TempDir(), "state")
	require.NoError(t, os.MkdirAll(other, 0o777))
	require.NoError(t, os.Chmod(other, 0o777))
	for dir := filepath.Dir(other); dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	tester := filepath.Join(t.TempDir(), "writer")
	data, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(tester, data, 0o755))
	for dir := filepath.Dir(tester); dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	cmd := s.command(other, "Tom", 1)
	cmd.Path, cmd.Args[0] = tester, tester
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	got, err := cmd.CombinedOutput()
	require.NoError(t, err, string(got))
	require.Regexp(t, only, string(got))
}

// The power goes: what the kernel had not put on the disk is not there.
func TestPowerCutOfAFileSystem(t *testing.T) {
	onlySlow(t)
	tools(t, "mkfs.ext4", "xfs_io", "mount")
	image := filepath.Join(t.TempDir(), "disk.img")
	require.NoError(t, os.WriteFile(image, nil, 0o644))
	require.NoError(t, os.Truncate(image, 64<<20))
	run(t, "mkfs.ext4", "-qF", image)
	dir := mount(t, "-o", "loop", image)
	// Both the job and the private state are on the disk that loses power.
	s := newSite(t, dir)
	s.state = filepath.Join(dir, "home", "state")
	s.write(5)
	require.Len(t, s.promised, 5)
	run(t, "xfs_io", "-x", "-c", "shutdown", dir)
	run(t, "umount", dir)
	run(t, "mount", "-o", "loop", image, dir)
	s.check()
}

// The real program, killed at any moment.
func TestProgramKilled(t *testing.T) {
	onlySlow(t)
	tools(t, "go")
	program := filepath.Join(t.TempDir(), "fettle")
	run(t, "go", "build", "-o", program, "fettle")
	s := newSite(t, t.TempDir())
	rng := rand.New(rand.NewSource(time.Now().UnixNano()))
	acknowledged := 0
	// The window of a kill follows the machine, so that a busy one is killed in the
	// middle of its work too, and half of the rounds are cut short on any.
	window := 14 * time.Millisecond
	for i := range 400 {
		text := fmt.Sprintf("round %d", i)
		cmd := exec.Command(program, "job", "note", "cold", text, "--job", s.dir, "--by", "Ana")
		cmd.Env = append(os.Environ(), "FETTLE_STATE="+s.state)
		var out bytes.Buffer
		cmd.Stdout = &out
		require.NoError(t, cmd.Start())
		kill := time.AfterFunc(time.Duration(rng.Int63n(int64(window))), func() { _ = cmd.Process.Kill() })
		_ = cmd.Wait()
		kill.Stop()
		if out.String() == "Saved by Ana.\n" {
			s.promised[text] = true
			acknowledged++
			window -= window / 20
		} else {
			window += window / 20
		}
	}
	t.Logf("400 rounds, %d acknowledged", acknowledged)
	require.Greater(t, acknowledged, 20)
	require.Less(t, acknowledged, 400)
	s.check()
}

// A pipe in the folder is not waited for.
func TestPipeInTheFolder(t *testing.T) {
	s := newSite(t, t.TempDir())
	require.NoError(t, syscall.Mkfifo(filepath.Join(s.dir, "pipe.jsonl"), 0o644))
	j, err := Open(s.dir, s.env("Ana"))
	require.NoError(t, err)
	require.Contains(t, strings.Join(j.State().Notices, "\n"), "Not read: pipe.jsonl is a pipe, which may never end")
	require.NoError(t, os.Remove(filepath.Join(s.dir, procedureName)))
	require.NoError(t, syscall.Mkfifo(filepath.Join(s.dir, procedureName), 0o644))
	_, err = Open(s.dir, s.env("Ana"))
	require.ErrorContains(t, err, "procedure.toml is a pipe, which may never end; copy what comes out of it into a file")
}

// Two devices and a second window of one of them, all on one folder.
func TestTwoProcesses(t *testing.T) {
	how := time.Second
	if slow() {
		how = time.Minute
	}
	s := newSite(t, t.TempDir())
	tom := filepath.Join(t.TempDir(), "tom")
	var mu sync.Mutex
	var group sync.WaitGroup
	for name, state := range map[string]string{"Ana": s.state, "Ana2": s.state, "Tom": tom} {
		group.Add(1)
		go func() {
			defer group.Done()
			cmd := s.command(state, name, 0)
			cmd.Env = append(cmd.Env, "FETTLE_TEST_TIME="+how.String())
			out, err := cmd.Output()
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Errorf("%s: %v %s", name, err, out)
			}
			s.remember(out)
		}()
	}
	group.Wait()
	t.Logf("%d entries", len(s.promised))
	require.NotEmpty(t, s.promised)
	s.check(tom)
	j, err := Open(s.dir, s.env("Ana"))
	require.NoError(t, err)
	v, err := j.Verify()
	require.NoError(t, err)
	require.True(t, v.Fine(), "%v %v %v", v.Gaps, v.Doubles, v.Skipped)
}

// Version control as the carrier: clones that are merged, with and without the
// advice to join logs line by line, and with line ends rewritten.
func TestGitMerges(t *testing.T) {
	tools(t, "git")
	carriers := []string{"", "*.jsonl -text merge=union\n", "* text=auto eol=crlf\n"}
	if !slow() {
		carriers = carriers[:1]
	}
	for _, attributes := range carriers {
		root := t.TempDir()
		git := func(dir string, args ...string) error {
			cmd := exec.Command("git", append([]string{"-c", "user.name=x", "-c", "user.email=x@example.org", "-c", "init.defaultBranch=main"}, args...)...)
			cmd.Dir = dir
			cmd.Env = append(os.Environ(), "GIT_CONFIG_NOSYSTEM=1", "HOME="+root)
			out, err := cmd.CombinedOutput()
			if err != nil {
				return fmt.Errorf("git %v: %w: %s", args, err, out)
			}
			return nil
		}
		s := newSite(t, root)
		require.NoError(t, os.WriteFile(filepath.Join(s.dir, ".gitattributes"), []byte(attributes), 0o644))
		require.NoError(t, git(s.dir, "init", "-q"))
		require.NoError(t, git(s.dir, "add", "-A"))
		require.NoError(t, git(s.dir, "commit", "-qm", "start"))
		require.NoError(t, git(root, "clone", "-q", s.dir, "tom"))
		// Tom's device, and a clone of Ana's that has the same name.
		tom := &site{t: t, dir: filepath.Join(root, "tom"), state: filepath.Join(root, "tomstate"), promised: s.promised}
		twin := filepath.Join(root, "cloned")
		require.NoError(t, os.CopyFS(twin, os.DirFS(s.state)))
		require.NoError(t, git(root, "clone", "-q", s.dir, "second"))
		second := &site{t: t, dir: filepath.Join(root, "second"), state: twin, promised: s.promised}
		for range 3 {
			for _, at := range []*site{s, tom, second} {
				require.Equal(t, 2, strings.Count(at.write(2), "kept"))
				require.NoError(t, git(at.dir, "add", "-A"))
				require.NoError(t, git(at.dir, "commit", "-qm", "work"))
			}
			for _, from := range []*site{tom, second} {
				if err := git(s.dir, "pull", "-q", "--no-rebase", "--no-edit", from.dir, "HEAD"); err != nil {
					// A conflict: everything is left in the files, markers and all.
					require.NoError(t, git(s.dir, "add", "-A"), "%v", err)
					require.NoError(t, git(s.dir, "commit", "-qm", "conflict left as it is"))
				}
			}
			for _, at := range []*site{tom, second} {
				require.NoError(t, git(at.dir, "pull", "-q", "--ff-only", s.dir, "HEAD"))
			}
		}
		// The worst a carrier does: one's own log is thrown back.
		require.NoError(t, git(s.dir, "checkout", "-q", "HEAD~3", "--", "."))
		s.check(tom.state, twin)
	}
}
