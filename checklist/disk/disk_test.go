package disk

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReadsPlainFiles(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "a.toml")
	require.NoError(t, os.WriteFile(name, []byte("12345"), 0o644))
	data, err := ReadFile(name, 5)
	require.NoError(t, err)
	require.Equal(t, "12345", string(data))
	_, err = ReadFile(name, 4)
	var large *TooLarge
	require.ErrorAs(t, err, &large)
	_, err = ReadFile(filepath.Join(dir, "none.toml"), 5)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.NoError(t, os.Truncate(name, 1<<40))
	_, err = ReadFile(name, 8<<20)
	require.EqualError(t, err, "a.toml is larger than 8 MiB")
}

func TestErrorsNameTheWholePath(t *testing.T) {
	dir := t.TempDir()
	in := Opener{}.In(dir)
	require.NoError(t, in.MkdirAll(filepath.Join(dir, "a", "b"), 0o755))
	missing := filepath.Join(dir, "a", "b", "c")
	for _, o := range []Opener{in, {}} {
		_, err := o.Open(missing)
		var path *fs.PathError
		require.ErrorAs(t, err, &path)
		require.Equal(t, missing, path.Path)
		require.ErrorIs(t, err, fs.ErrNotExist)
		_, err = o.ReadDir(missing)
		require.ErrorIs(t, err, fs.ErrNotExist)
	}
	_, err := Opener{}.In(filepath.Join(dir, "none")).Open(filepath.Join(dir, "none", "c"))
	require.ErrorIs(t, err, fs.ErrNotExist, "the folder itself")
}

// A file is written, renamed and read back below a folder that was named, also
// where neither was there before.
func TestWritesBelowAFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	in := Opener{}.In(dir).In(dir + string(filepath.Separator))
	require.Len(t, in.roots, 1)
	deep := filepath.Join(dir, "a", "b")
	require.NoError(t, in.MkdirAll(deep, 0o755))
	require.NoError(t, in.MkdirAll(deep, 0o755), "twice")
	f, err := in.Append(filepath.Join(deep, "x.new"), true)
	require.NoError(t, err)
	_, err = f.WriteString("one")
	require.NoError(t, err)
	require.NoError(t, f.Close())
	_, err = in.Append(filepath.Join(deep, "x.new"), true)
	require.ErrorIs(t, err, fs.ErrExist)
	require.NoError(t, in.Rename(filepath.Join(deep, "x.new"), filepath.Join(deep, "x")))
	f, err = in.Append(filepath.Join(deep, "x"), false)
	require.NoError(t, err)
	_, err = f.WriteString(" two")
	require.NoError(t, err)
	require.NoError(t, f.Close())
	data, err := in.ReadFile(filepath.Join(deep, "x"), 100)
	require.NoError(t, err)
	require.Equal(t, "one two", string(data))
	require.NoError(t, in.SyncDir(deep))
	require.NoError(t, in.SyncDir(dir))
	list, err := in.ReadDir(deep)
	require.NoError(t, err)
	require.Len(t, list, 1)
	info, err := list[0].Info()
	require.NoError(t, err)
	require.EqualValues(t, 7, info.Size())
}

func TestFolderIsALibrary(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"b.toml": "b", "a.toml": "a", "c.txt": "c", "long.toml": "123456"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	from := Folder(dir, 5)
	names, err := fs.Glob(from, "*.toml")
	require.NoError(t, err)
	require.Equal(t, []string{"a.toml", "b.toml", "long.toml"}, names)
	data, err := fs.ReadFile(from, "a.toml")
	require.NoError(t, err)
	require.Equal(t, "a", string(data))
	_, err = fs.ReadFile(from, "long.toml")
	require.EqualError(t, err, "long.toml is larger than 0 KiB")
	_, err = fs.ReadFile(from, "../"+filepath.Base(dir)+"/a.toml")
	require.ErrorIs(t, err, fs.ErrInvalid)
}

// What is refused says what it is, why, and what to do: each once, in a line
// that can stand behind a name.
func TestRefusalsAreWhole(t *testing.T) {
	for _, mode := range []fs.FileMode{fs.ModeSymlink, fs.ModeDir, fs.ModeNamedPipe, fs.ModeSocket, fs.ModeDevice, fs.ModeDevice | fs.ModeCharDevice, fs.ModeIrregular} {
		err := CheckFile("x", mode)
		require.Error(t, err)
		text := err.Error()
		require.True(t, strings.HasPrefix(text, "x is "), text)
		require.Regexp(t, "(use|into) a(nother)? file|the file itself", text)
		require.LessOrEqual(t, len(strings.Fields(text)), 20)
	}
	require.NoError(t, CheckFile("x", 0o644))
	require.NoError(t, CheckFolder("x", fs.ModeDir|0o755))
	require.EqualError(t, CheckFolder("x", 0), "x is a file, not a folder")
	require.EqualError(t, CheckFolder("x", fs.ModeSymlink), "x is a link, which can lead anywhere; use the folder itself")
}
