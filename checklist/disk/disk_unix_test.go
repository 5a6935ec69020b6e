//go:build unix

package disk

import (
	"net"
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// soon fails the test where do does not come back: what is refused is refused at
// once, and what waits for a pipe waits for ever. Ten times what is promised, for
// machines that are busy.
func soon(t *testing.T, do func()) {
	t.Helper()
	done := make(chan struct{})
	go func() { defer close(done); do() }()
	select {
	case <-done:
	case <-time.After(10 * time.Second):
		t.Fatal("it still waits")
	}
}

// things puts something into a folder that is neither a plain file nor a folder,
// under each of the names, and says what it is in a word or two.
func things(t *testing.T, dir string) map[string]string {
	t.Helper()
	at := func(name string) string { return filepath.Join(dir, name) }
	other := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(other, "file"), []byte("SECRET"), 0o644))
	require.NoError(t, os.Symlink(filepath.Join(other, "file"), at("link")))
	require.NoError(t, os.Symlink(other, at("linked-folder")))
	require.NoError(t, os.Symlink("loop", at("loop")))
	require.NoError(t, os.Symlink("nowhere", at("dangling")))
	require.NoError(t, os.Symlink("/dev/zero", at("zero")))
	require.NoError(t, os.Symlink(".", at("itself")))
	require.NoError(t, syscall.Mkfifo(at("pipe"), 0o644))
	// A socket's path has to be short.
	short, err := os.MkdirTemp("", "s")
	require.NoError(t, err)
	t.Cleanup(func() { _ = os.RemoveAll(short) })
	l, err := net.Listen("unix", filepath.Join(short, "s"))
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close() })
	require.NoError(t, os.Rename(filepath.Join(short, "s"), at("socket")))
	return map[string]string{
		"link": "a link", "linked-folder": "a link", "loop": "a link", "dangling": "a link", "zero": "a link", "itself": "a link",
		"pipe": "a pipe", "socket": "a socket",
	}
}

func TestNothingButFilesIsOpened(t *testing.T) {
	dir := t.TempDir()
	list := things(t, dir)
	require.NoError(t, os.Mkdir(filepath.Join(dir, "folder.toml"), 0o755))
	list["folder.toml"] = "a folder"
	for _, o := range []Opener{{}, Opener{}.In(dir)} {
		for name, what := range list {
			path := filepath.Join(dir, name)
			soon(t, func() {
				for _, open := range []func() (*os.File, error){
					func() (*os.File, error) { return o.Open(path) },
					func() (*os.File, error) { return o.Append(path, false) },
				} {
					f, err := open()
					require.Nil(t, f)
					var refused *Refused
					require.ErrorAs(t, err, &refused, name)
					require.Equal(t, what, refused.What(), name)
				}
				_, err := o.Append(path, true)
				require.ErrorIs(t, err, os.ErrExist, name)
			})
		}
	}
	soon(t, func() {
		_, err := ReadFile("/dev/zero", 8<<20)
		require.EqualError(t, err, "/dev/zero is a device, which may never end; use a file")
	})
}

// Below a folder that was named, no link is followed to a folder either. The
// folder itself may be reached by one, and a name that nobody named a folder for
// is a person's.
func TestNoLinkIsFollowedBelowAFolder(t *testing.T) {
	top := t.TempDir()
	dir := filepath.Join(top, "job")
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "real"), 0o755))
	list := things(t, dir)
	named := filepath.Join(top, "named")
	require.NoError(t, os.Symlink(dir, named))
	for _, root := range []string{dir, named} {
		o := Opener{}.In(root)
		for name, what := range list {
			path := filepath.Join(root, name)
			soon(t, func() {
				var errs []error
				_, err := o.ReadDir(path)
				errs = append(errs, err, o.SyncDir(path), o.MkdirAll(path, 0o755), o.MkdirAll(filepath.Join(path, "new"), 0o755))
				_, err = o.Open(filepath.Join(path, "file"))
				errs = append(errs, err)
				_, err = o.Append(filepath.Join(path, "new"), true)
				errs = append(errs, err)
				_, err = o.Lstat(filepath.Join(path, "file"))
				errs = append(errs, err,
					o.Rename(filepath.Join(root, "real"), filepath.Join(path, "real")),
					o.Rename(filepath.Join(path, "file"), filepath.Join(root, "stolen")))
				_, err = o.Open(filepath.Join(path, "deep", "er", "file"))
				errs = append(errs, err)
				for i, err := range errs {
					var refused *Refused
					require.ErrorAs(t, err, &refused, "%s %d", name, i)
					require.Equal(t, what, refused.What(), name)
					require.True(t, refused.Folder)
					require.Equal(t, path, refused.Name)
				}
			})
		}
		// In a folder that lies in one that was named, nothing more is followed.
		deeper := o.In(filepath.Join(root, "linked-folder"))
		_, err := deeper.Open(filepath.Join(root, "linked-folder", "file"))
		var refused *Refused
		require.ErrorAs(t, err, &refused)
		_, err = deeper.ReadDir(filepath.Join(root, "linked-folder"))
		require.ErrorAs(t, err, &refused)

		entries, err := o.ReadDir(root)
		require.NoError(t, err, "the folder itself")
		require.Len(t, entries, len(list)+1)
	}
	// As a person named them.
	entries, err := Opener{}.ReadDir(filepath.Join(dir, "linked-folder"))
	require.NoError(t, err)
	require.Len(t, entries, 1)
	data, err := ReadFile(filepath.Join(dir, "linked-folder", "file"), 100)
	require.NoError(t, err)
	require.Equal(t, "SECRET", string(data))
	soon(t, func() {
		for _, name := range []string{"pipe", "socket"} {
			_, err := Opener{}.ReadDir(filepath.Join(dir, name))
			require.EqualError(t, err, filepath.Join(dir, name)+" is a "+name+", not a folder")
			_, err = Opener{}.In(filepath.Join(dir, name)).Open(filepath.Join(dir, name, "x"))
			require.EqualError(t, err, filepath.Join(dir, name)+" is a "+name+", not a folder")
		}
	})
}

// The kernel has plain files that never end.
func TestFileWithoutEnd(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("there is /proc on Linux only")
	}
	for _, name := range []string{"/proc/kmsg", "/proc/self/pagemap"} {
		f, err := os.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
		if err != nil {
			t.Log(err) // not for this user
			continue
		}
		require.NoError(t, f.Close())
		soon(t, func() {
			_, err := ReadFile(name, 8<<20)
			require.Error(t, err, name)
		})
	}
}

func TestFolderAmongPipes(t *testing.T) {
	dir := t.TempDir()
	list := things(t, dir)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "good.toml"), []byte("good"), 0o644))
	from := Folder(dir, 100)
	soon(t, func() {
		for name := range list {
			f, err := from.Open(name)
			require.Nil(t, f)
			var refused *Refused
			require.ErrorAs(t, err, &refused, name)
		}
	})
}
