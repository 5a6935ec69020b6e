package checklist

import (
	"fettle/checklist/source"
	"fettle/threads/check"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
)

// tomlTests is the folder of the toml-test suite (github.com/toml-lang/toml-test,
// by the authors of the TOML specification), which the module of the parser
// carries with it.
func tomlTests(t testing.TB) string {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/BurntSushi/toml").Output()
	require.NoError(t, err)
	dir := filepath.Join(strings.TrimSpace(string(out)), "internal", "toml-test", "tests")
	require.DirExists(t, dir)
	return dir
}

func tomlFiles(t testing.TB, kind string) map[string]string {
	files := map[string]string{}
	root := filepath.Join(tomlTests(t), kind)
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".toml") {
			return err
		}
		src, err := os.ReadFile(path)
		name, _ := filepath.Rel(root, path)
		files[filepath.ToSlash(name)] = string(src)
		return err
	}))
	return files
}

// The scanner understands every valid file of the suite, and finds in it the
// very keys and values that the parser found.
func TestPositionsOfTOMLTestValid(t *testing.T) {
	files := tomlFiles(t, "valid")
	require.Greater(t, len(files), 150)
	for name, src := range files {
		t.Run(name, func(t *testing.T) {
			root, keys, err := source.Decode(src)
			require.NoError(t, err)
			top, located := source.Locate(src, root, keys)
			require.True(t, located)
			checkPlaces(t, src, top, root)
		})
	}
}

// checkPlaces reads every value again from the stretch of the source that its
// place names, and every key from the stretch of its name.
func checkPlaces(t *testing.T, src string, p *source.Place, value any) {
	switch v := value.(type) {
	case map[string]any:
		for _, f := range p.Fields {
			if f.Key.Known() {
				written := src[f.Key.Start:f.Key.End]
				again, _, err := source.Decode(written + " = 1")
				require.NoError(t, err, "%s: the name is written %q", f.Path(), written)
				require.Contains(t, again, f.Name)
			}
			checkPlaces(t, src, f, v[f.Name])
		}
	case []map[string]any:
		for i, item := range p.Items {
			checkPlaces(t, src, item, v[i])
		}
	case []any:
		for i, item := range p.Items {
			checkPlaces(t, src, item, v[i])
		}
	default:
		require.True(t, p.Value.Known(), p.Path())
		written := src[p.Value.Start:p.Value.End]
		again, _, err := source.Decode("x = " + written)
		require.NoError(t, err, "%s: the value is written %q", p.Path(), written)
		if f, ok := v.(float64); ok && f != f {
			return // a NaN is not equal to itself
		}
		if at, ok := v.(time.Time); ok {
			require.True(t, at.Equal(again["x"].(time.Time)))
			return
		}
		require.Equal(t, v, again["x"], p.Path())
	}
}

// A file that the parser refuses gives one stop, at a place inside the file.
func TestReadTOMLTestInvalid(t *testing.T) {
	files := tomlFiles(t, "invalid")
	refused := 0
	for name, src := range files {
		if _, _, err := source.Decode(src); err == nil {
			continue // the parser is more lenient than the suite
		}
		refused++
		t.Run(name, func(t *testing.T) {
			p, ds := Read(name, []byte(src))
			require.Nil(t, p)
			require.Len(t, ds, 1)
			require.Equal(t, check.Stop, ds[0].Severity)
			require.Contains(t, []string{source.RuleUnreadable, source.RuleLimit}, ds[0].Rule)
			require.Positive(t, ds[0].Line)
			require.LessOrEqual(t, ds[0].Line, strings.Count(src, "\n")+1)
			var b strings.Builder
			require.NoError(t, ds.WriteText(&b))
			requireHarmless(t, b.String())
		})
	}
	require.Greater(t, refused, 400)
}

// Where the scanner and the parser differ no line is named, only the path.
func TestPositionsAreDroppedOnAnyDifference(t *testing.T) {
	src := "format = 2\nid = \"a\"\n[settings.x]\nkind = 3\n[[stage]]\ntitle = \"t\"\nstep = [ { id = \"one\" } ]\n"
	root, keys, err := source.Decode(src)
	require.NoError(t, err)
	_, located := source.Locate(src, root, keys)
	require.True(t, located)

	other := append([]toml.Key(nil), keys...)
	other[3], other[4] = other[4], other[3]
	top, located := source.Locate(src, root, other)
	require.False(t, located)
	require.Equal(t, "settings.x.kind", top.Field("settings").Field("x").Field("kind").Path())
	require.Equal(t, "stage[1].step[1].id", top.Field("stage").Item(0).Field("step").Item(0).Field("id").Path())
	require.False(t, top.Field("settings").Field("x").Field("kind").Value.Known())

	_, located = source.Locate(src, root, keys[:len(keys)-1])
	require.False(t, located, "a key too few")
	_, located = source.Locate(src, root, append(keys[:len(keys):len(keys)], keys[0]))
	require.False(t, located, "a key too many")
	root["format"] = map[string]any{"inside": int64(1)}
	_, located = source.Locate(src, root, keys)
	require.False(t, located, "another shape")

	// What is said about such a file names the path in the place of the line.
	f := &source.Reporter{Doc: &source.Document{File: "x.toml", Src: src}}
	f.Value(check.Stop, source.RuleWrongType, top.Field("settings").Field("x").Field("kind"), "message", "")
	require.Equal(t, "x.toml: stop: settings.x.kind: message [wrong-type]", f.List[0].String())
}

func FuzzPositions(f *testing.F) {
	for _, kind := range []string{"valid", "invalid"} {
		for _, src := range tomlFiles(f, kind) {
			if len(src) < 2000 {
				f.Add(src)
			}
		}
	}
	f.Fuzz(func(t *testing.T, src string) {
		if source.CheckLimits([]byte(src)) != nil {
			return
		}
		root, keys, err := source.Decode(src)
		if err != nil {
			return
		}
		top, located := source.Locate(src, root, keys)
		if !located {
			// Right for the few texts that the parser takes although a key stands
			// in them twice; the valid files of the suite are all located.
			return
		}
		checkPlaces(t, src, top, root)
	})
}
