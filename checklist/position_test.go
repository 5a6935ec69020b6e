package checklist

import (
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
			root, keys, err := decode(src)
			require.NoError(t, err)
			top, located := locate(src, root, keys)
			require.True(t, located)
			checkPlaces(t, src, top, root)
		})
	}
}

// checkPlaces reads every value again from the stretch of the source that its
// place names, and every key from the stretch of its name.
func checkPlaces(t *testing.T, src string, p *place, value any) {
	switch v := value.(type) {
	case map[string]any:
		for _, f := range p.fields {
			if f.key.known() {
				written := src[f.key.start:f.key.end]
				again, _, err := decode(written + " = 1")
				require.NoError(t, err, "%s: the name is written %q", f.path(), written)
				require.Contains(t, again, f.name)
			}
			checkPlaces(t, src, f, v[f.name])
		}
	case []map[string]any:
		for i, item := range p.items {
			checkPlaces(t, src, item, v[i])
		}
	case []any:
		for i, item := range p.items {
			checkPlaces(t, src, item, v[i])
		}
	default:
		require.True(t, p.value.known(), p.path())
		written := src[p.value.start:p.value.end]
		again, _, err := decode("x = " + written)
		require.NoError(t, err, "%s: the value is written %q", p.path(), written)
		if f, ok := v.(float64); ok && f != f {
			return // a NaN is not equal to itself
		}
		if at, ok := v.(time.Time); ok {
			require.True(t, at.Equal(again["x"].(time.Time)))
			return
		}
		require.Equal(t, v, again["x"], p.path())
	}
}

// A file that the parser refuses gives one stop, at a place inside the file.
func TestReadTOMLTestInvalid(t *testing.T) {
	files := tomlFiles(t, "invalid")
	refused := 0
	for name, src := range files {
		if _, _, err := decode(src); err == nil {
			continue // the parser is more lenient than the suite
		}
		refused++
		t.Run(name, func(t *testing.T) {
			p, ds := Read(name, []byte(src))
			require.Nil(t, p)
			require.Len(t, ds, 1)
			require.Equal(t, check.Stop, ds[0].Severity)
			require.Contains(t, []string{ruleUnreadable, ruleLimit}, ds[0].Rule)
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
	src := "format = 1\nid = \"a\"\n[settings.x]\nkind = 3\n[[stage]]\ntitle = \"t\"\nstep = [ { id = \"one\" } ]\n"
	root, keys, err := decode(src)
	require.NoError(t, err)
	_, located := locate(src, root, keys)
	require.True(t, located)

	other := append([]toml.Key(nil), keys...)
	other[3], other[4] = other[4], other[3]
	top, located := locate(src, root, other)
	require.False(t, located)
	require.Equal(t, "settings.x.kind", top.field("settings").field("x").field("kind").path())
	require.Equal(t, "stage[1].step[1].id", top.field("stage").item(0).field("step").item(0).field("id").path())
	require.False(t, top.field("settings").field("x").field("kind").value.known())

	_, located = locate(src, root, keys[:len(keys)-1])
	require.False(t, located, "a key too few")
	_, located = locate(src, root, append(keys[:len(keys):len(keys)], keys[0]))
	require.False(t, located, "a key too many")
	root["format"] = map[string]any{"inside": int64(1)}
	_, located = locate(src, root, keys)
	require.False(t, located, "another shape")

	// What is said about such a file names the path in the place of the line.
	f := &findings{doc: &document{file: "x.toml", src: src}}
	f.value(check.Stop, ruleWrongType, top.field("settings").field("x").field("kind"), "message", "")
	require.Equal(t, "x.toml: stop: settings.x.kind: message [wrong-type]", f.list[0].String())
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
		if checkLimits([]byte(src)) != nil {
			return
		}
		root, keys, err := decode(src)
		if err != nil {
			return
		}
		top, located := locate(src, root, keys)
		if !located {
			// Right for the few texts that the parser takes although a key stands
			// in them twice; the valid files of the suite are all located.
			return
		}
		checkPlaces(t, src, top, root)
	})
}
