//go:build unix

package cli

import (
	"bytes"
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// soonRun executes one command line and fails the test where it does not come
// back: what is refused is refused at once, and what waits for a pipe waits for
// ever. Longer than is promised, for machines that are busy.
func soonRun(t *testing.T, home string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	done := make(chan int)
	go func() {
		done <- Run(args, Env{
			Stdin: bytes.NewReader(nil), Stdout: &out, Stderr: &errs, Getenv: func(string) string { return "" },
			Now: func() time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC) }, StateDir: filepath.Join(home, "state"),
		})
	}()
	select {
	case code = <-done:
	case <-time.After(20 * time.Second):
		t.Fatalf("%v still waits", args)
	}
	return code, out.String(), errs.String()
}

// special puts things that are no plain files into a folder, and gives for each
// the path, and what is said of it.
func special(t *testing.T, dir string, ending string) map[string]string {
	t.Helper()
	at := func(name string) string { return filepath.Join(dir, name+ending) }
	away := filepath.Join(t.TempDir(), "away")
	require.NoError(t, os.WriteFile(away, []byte("SECRET = 1\n"), 0o644))
	require.NoError(t, os.Symlink(away, at("link")))
	require.NoError(t, os.Symlink("loop"+ending, at("loop")))
	require.NoError(t, os.Symlink("/dev/zero", at("zero")))
	require.NoError(t, os.Mkdir(at("folder"), 0o755))
	require.NoError(t, syscall.Mkfifo(at("pipe"), 0o644))
	short, err := os.MkdirTemp("", "s") // a socket's path has to be short
	require.NoError(t, err)
	l, err := net.Listen("unix", filepath.Join(short, "s"))
	require.NoError(t, err)
	t.Cleanup(func() { _ = l.Close(); _ = os.RemoveAll(short) })
	require.NoError(t, os.Rename(filepath.Join(short, "s"), at("socket")))
	const link = " is a link, which can lead anywhere; use the file itself"
	return map[string]string{
		at("link"): at("link") + link, at("loop"): at("loop") + link, at("zero"): at("zero") + link,
		at("folder"): at("folder") + " is a folder, not a file; use a file in it",
		at("pipe"):   at("pipe") + " is a pipe, which may never end; copy what comes out of it into a file",
		at("socket"): at("socket") + " is a socket, not a plain file; use a file",
	}
}

func TestProceduresThatAreNoFiles(t *testing.T) {
	dir := t.TempDir()
	all := special(t, dir, ".toml")
	all["/dev/zero"] = "/dev/zero is a device, which may never end; use a file"
	huge := filepath.Join(dir, "huge.toml")
	require.NoError(t, os.WriteFile(huge, nil, 0o644))
	require.NoError(t, os.Truncate(huge, 1<<40))
	all[huge] = "huge.toml is larger than 8 MiB"
	for path, says := range all {
		for _, args := range [][]string{
			{"procedure", "check", path},
			{"procedure", "show", path},
			{"job", "start", path, "--job", filepath.Join(dir, "job"), "--engine", "Bramble", "--by", "Ana"},
		} {
			code, out, errs := soonRun(t, dir, args...)
			require.Equal(t, exitUnreadable, code, args)
			require.Equal(t, "fettle: "+says+"\n", errs, args)
			require.Empty(t, out, args)
		}
		require.NoDirExists(t, filepath.Join(dir, "job"))
		if path == huge || path == "/dev/zero" {
			continue
		}
		code, _, errs := soonRun(t, dir, "procedure", "new", "gland", "--output", path, "--force")
		require.Equal(t, exitUnreadable, code, path)
		require.Equal(t, "fettle: "+says+"\n", errs)
	}
	// What is called is looked for beside a procedure, among them, and behind none.
	code, good, _ := soonRun(t, dir, "procedure", "new", "good", "--output", "-")
	require.Equal(t, exitFine, code)
	beside, away := filepath.Join(dir, "behind.toml"), filepath.Join(t.TempDir(), "behind.toml")
	code, _, errs := soonRun(t, dir, "procedure", "new", "behind", "--output", beside)
	require.Equal(t, exitFine, code, errs)
	calling := filepath.Join(dir, "good.toml")
	require.NoError(t, os.WriteFile(calling, []byte(good+"call = { procedure = \"behind\" }\n"), 0o644))
	_, out, _ := soonRun(t, dir, "procedure", "check", calling)
	require.NotContains(t, out, `no procedure "behind" is at hand`)
	require.NoError(t, os.Rename(beside, away))
	require.NoError(t, os.Symlink(away, beside))
	code, out, errs = soonRun(t, dir, "procedure", "check", calling)
	require.Equal(t, exitFound, code, errs)
	require.Contains(t, out, `no procedure "behind" is at hand`)
	require.NoError(t, os.Remove(beside))

	// A list says of each why it cannot be used, and goes on.
	code, out, errs = soonRun(t, dir, "procedure", "list", dir)
	require.Equal(t, exitFine, code, errs)
	for path, says := range all {
		if path != "/dev/zero" {
			require.Contains(t, out, path+"\n    cannot be used: "+says+"\n")
		}
	}
	require.Contains(t, out, "good ("+filepath.Join(dir, "good.toml")+")")
	require.NotContains(t, out, "SECRET")
	code, out, _ = soonRun(t, dir, "procedure", "list", dir, "--json")
	require.Equal(t, exitFine, code)
	require.Contains(t, out, `"error": "`+all[filepath.Join(dir, "pipe.toml")]+`"`)

	// The folder itself may be reached by a link; a pipe is none.
	link := filepath.Join(t.TempDir(), "link")
	require.NoError(t, os.Symlink(dir, link))
	code, out, _ = soonRun(t, dir, "procedure", "list", link)
	require.Equal(t, exitFine, code)
	require.Contains(t, out, "good ("+filepath.Join(link, "good.toml")+")")
	code, _, errs = soonRun(t, dir, "procedure", "list", filepath.Join(dir, "pipe.toml"))
	require.Equal(t, exitUsage, code)
	require.Equal(t, "fettle: "+filepath.Join(dir, "pipe.toml")+" is a pipe, not a folder\n", errs)
}

// A name that came from a folder reaches no terminal as itself.
func TestProcedureListShowsNamesAsText(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "\x1b[2J.toml"), nil, 0o644))
	require.NoError(t, os.Symlink("x", filepath.Join(dir, "\x1b[3J.toml")))
	_, out, _ := soonRun(t, dir, "procedure", "list", dir)
	require.NotContains(t, out, "\x1b")
	require.Contains(t, out, `\x1b[2J.toml`)
	require.Contains(t, out, `\x1b[3J.toml is a link`)
}

func TestJobsThatAreNoFolders(t *testing.T) {
	dir := t.TempDir()
	job := filepath.Join(dir, "bramble")
	code, _, errs := soonRun(t, dir, "job", "start", "valve-spindle-gland", "--job", job, "--engine", "Bramble", "--by", "Ana")
	require.Equal(t, exitFine, code, errs)
	photos := t.TempDir()
	for path, says := range special(t, photos, ".png") {
		code, _, errs := soonRun(t, dir, "job", "note", "as found", "--job", job, "--photo", path)
		require.NotEqual(t, exitFine, code)
		require.Equal(t, "fettle: the photo "+says+"\n", errs)
		code, _, errs = soonRun(t, dir, "job", "record", "--job", job, "--out", path+".md")
		require.Equal(t, exitFine, code, errs)
		require.NoError(t, os.Rename(path, path+".html"))
		code, _, _ = soonRun(t, dir, "job", "record", "--job", job, "--out", path+".html")
		require.Equal(t, exitUnreadable, code)
	}
	folders := t.TempDir()
	list := special(t, folders, "")
	delete(list, filepath.Join(folders, "folder"))
	for path := range list {
		for _, args := range [][]string{
			{"job", "status", "--job", path}, {"job", "verify", "--job", path}, {"job", "export", "--job", path, filepath.Join(dir, "x.zip")},
			{"job", "merge", path, "--job", job}, {"job", "list", path},
		} {
			code, _, errs := soonRun(t, dir, args...)
			require.Equal(t, exitUnreadable, code, "%v %s", args, errs)
			require.NotContains(t, errs, "SECRET")
		}
	}
	code, out, _ := soonRun(t, dir, "job", "list", folders)
	require.Equal(t, exitFine, code)
	require.Equal(t, "No jobs here.\n", out)
}

// What does not go along, or does not come in, is said on standard error.
func TestExportAndMergeSayWhatTheyLeaveOut(t *testing.T) {
	dir := t.TempDir()
	job, copied := filepath.Join(dir, "bramble"), filepath.Join(dir, "copy")
	code, _, errs := soonRun(t, dir, "job", "start", "valve-spindle-gland", "--job", job, "--engine", "Bramble", "--by", "Ana")
	require.Equal(t, exitFine, code, errs)
	require.NoError(t, os.CopyFS(copied, os.DirFS(job)))
	special(t, filepath.Join(copied, "photos"), ".png")
	code, out, errs := soonRun(t, dir, "job", "export", "--job", copied, filepath.Join(dir, "x.zip"))
	require.Equal(t, exitFine, code, errs)
	require.Equal(t, "Written: "+filepath.Join(dir, "x.zip")+"\n", out)
	require.Contains(t, errs, "photos/link.png is passed over: link.png is a link, which can lead anywhere; use the file itself.\n")
	require.Contains(t, errs, "1 more like this.\n")
	code, out, errs = soonRun(t, dir, "job", "merge", copied, "--job", job)
	require.Equal(t, exitFine, code, errs)
	require.Contains(t, out, "Brought in: 0 entries, 0 changed lines, 0 photos.\n")
	require.Contains(t, errs, "photos/pipe.png is passed over: pipe.png is a pipe, which may never end; copy what comes out of it into a file.\n")
	code, out, errs = soonRun(t, dir, "job", "verify", "--job", copied)
	require.Equal(t, exitFound, code, errs)
	require.Contains(t, out, "photos/link.png is passed over")
}
