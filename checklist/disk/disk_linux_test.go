package disk

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// A pipe, or a link, that takes the place of a file or of a folder on the way to
// it while it is opened is neither waited for nor read nor written through. The
// two change places without end; Linux does that in one step.
func TestReplacedWhileOpened(t *testing.T) {
	dir := t.TempDir()
	at := func(names ...string) string { return filepath.Join(append([]string{dir}, names...)...) }
	list := things(t, dir)
	other, err := os.Readlink(at("linked-folder"))
	require.NoError(t, err)
	require.NoError(t, os.Mkdir(at("folder"), 0o755))
	for _, name := range []string{"plain", filepath.Join("folder", "file")} {
		require.NoError(t, os.WriteFile(at(name), []byte("plain"), 0o644))
	}
	for what, name := range map[string]string{"pipe": "plain", "link": "plain", "linked-folder": filepath.Join("folder", "file")} {
		require.Contains(t, list, what)
		first, _, _ := strings.Cut(name, string(filepath.Separator))
		stop, done := make(chan struct{}), make(chan int)
		go func() {
			swapped := 0
			defer func() { done <- swapped }()
			for {
				select {
				case <-stop:
					return
				default:
				}
				if err := unix.Renameat2(unix.AT_FDCWD, at(first), unix.AT_FDCWD, at(what), unix.RENAME_EXCHANGE); err != nil {
					return
				}
				swapped++
			}
		}()
		soon(t, func() {
			o := Opener{}.In(dir)
			for until := time.Now().Add(400 * time.Millisecond); time.Now().Before(until); {
				openers := []Opener{o, {}}
				if what == "linked-folder" {
					openers = openers[:1] // a folder on the way to it is a person's where none was named
					if f, err := o.Append(at("folder", "new"), true); err == nil {
						require.NoError(t, f.Close())
					}
					_ = o.Rename(at("folder", "new"), at("folder", "newer"))
					_ = o.MkdirAll(at("folder", "made"), 0o755)
				}
				for _, o := range openers {
					data, err := o.ReadFile(at(name), 100)
					if err == nil {
						require.Equal(t, "plain", string(data), what)
					}
				}
			}
		})
		close(stop)
		swapped := <-done
		if swapped == 0 {
			t.Skip("names cannot change places here")
		}
		t.Logf("%s: changed places %d times", what, swapped)
		if swapped%2 == 1 {
			require.NoError(t, unix.Renameat2(unix.AT_FDCWD, at(first), unix.AT_FDCWD, at(what), unix.RENAME_EXCHANGE))
		}
	}
	left, err := os.ReadDir(other)
	require.NoError(t, err)
	require.Len(t, left, 1, "nothing was written there")
}
