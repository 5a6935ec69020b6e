//go:build unix

package tui

import (
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/job"
)

// soon fails the test where do does not come back: what waits for a pipe waits
// for ever. Longer than is promised, for machines that are busy.
func soon(t *testing.T, do func()) {
	t.Helper()
	done := make(chan struct{})
	go func() { defer close(done); do() }()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Fatal("the screen still waits")
	}
}

// special puts something that is no plain file in the place of name, and says
// what the screen says of it. text is what a link leads to.
func special(t *testing.T, text string) map[string]func(name string) {
	t.Helper()
	away := filepath.Join(t.TempDir(), "away.toml")
	require.NoError(t, os.WriteFile(away, []byte(text), 0o644))
	link := func(to string) func(string) { return func(name string) { require.NoError(t, os.Symlink(to, name)) } }
	return map[string]func(string){
		"is a link, which can":    link(away),
		"is a link, which":        link("/dev/zero"),
		"is a link":               func(name string) { link(filepath.Base(name))(name) },
		"is a folder, not a file": func(name string) { require.NoError(t, os.Mkdir(name, 0o755)) },
		"is a pipe, which may":    func(name string) { require.NoError(t, syscall.Mkfifo(name, 0o644)) },
		"is a socket, not a": func(name string) {
			short, err := os.MkdirTemp("", "s") // its path has to be short
			require.NoError(t, err)
			l, err := net.Listen("unix", filepath.Join(short, "s"))
			require.NoError(t, err)
			t.Cleanup(func() { _ = l.Close(); _ = os.RemoveAll(short) })
			require.NoError(t, os.Rename(filepath.Join(short, "s"), name))
		},
	}
}

// Among the procedures in a folder only plain files are offered, and the first
// page waits for nothing else.
func TestShelfOffersPlainFilesOnly(t *testing.T) {
	own := t.TempDir()
	src, err := os.ReadFile(filepath.Join("testdata", "procedures", "cock.toml"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(own, "mine.toml"), src, 0o600))
	n := 0
	for _, put := range special(t, string(src)) {
		n++
		put(filepath.Join(own, string(rune('a'+n))+".toml"))
	}
	huge := filepath.Join(own, "huge.toml")
	require.NoError(t, os.WriteFile(huge, src, 0o600))
	require.NoError(t, os.Truncate(huge, 1<<40))
	// A job beside them is found; one behind a link is not.
	started, away := filepath.Join(own, "bramble"), filepath.Join(t.TempDir(), "away")
	soon(t, func() {
		b := newBench(t, 80, 60, func(o *Options) { o.Beside = own })
		p, _ := shelf{name: "mine.toml", src: src}.read()
		env := b.m.opt.Env
		env.Person = "Ana"
		for _, dir := range []string{started, away} {
			_, err := job.Start(dir, p, map[string]string{"who": "Olga"}, "Bramble", env)
			require.NoError(t, err)
		}
		require.NoError(t, os.Symlink(away, filepath.Join(own, "linked")))
		require.NoError(t, syscall.Mkfifo(filepath.Join(own, "pipe"), 0o644))
		b.keys("ctrl+r")
		h := b.m.top().(*home)
		require.Len(t, h.jobs, 1)
		require.Equal(t, started, h.jobs[0].Dir)
		mine := 0
		for _, s := range h.shelf {
			if s.own {
				mine++
				require.Equal(t, "mine.toml", s.name)
			}
		}
		require.Equal(t, 1, mine)
		b.sees("in this folder")
	})
}

// A preview says what took the file's place, keeps what it showed, and goes on
// when the file is back.
func TestPreviewOfWhatIsNoFile(t *testing.T) {
	for says, put := range special(t, previewed3) {
		t.Run(says, func(t *testing.T) {
			soon(t, func() {
				v := newViewer(t, 200, 24, previewed3)
				v.sees("BEFORE YOU START")
				require.NoError(t, os.Remove(v.file))
				put(v.file)
				v.look()
				v.sees("The file cannot be read: ", "whistle.toml "+says, "BEFORE YOU START")
				require.NoError(t, os.RemoveAll(v.file))
				v.save(previewed3)
				v.lacks("cannot be read")
			})
			soon(t, func() {
				file := filepath.Join(t.TempDir(), "whistle.toml")
				put(file)
				newBench(t, 200, 24, func(o *Options) { o.Preview, o.Home = file, "" }).sees("whistle.toml " + says)
			})
		})
	}
	soon(t, func() {
		newBench(t, 80, 24, func(o *Options) { o.Preview = "/dev/zero" }).sees("/dev/zero is a device, which may never end; use a file")
	})
}
