package circuit_test

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist/circuit"
	"fettle/checklist/source"
	"fettle/checklist/trace"
	"fettle/recipes"
)

const brokenDir = "../../testdata/circuits/broken"

// Every file of the folder gives exactly the report beside it. The reports are written
// anew with FETTLE_UPDATE=1, and read by a person before they are kept.
func TestBrokenCircuits(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(brokenDir, "*.toml"))
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 20)
	met := map[string]bool{}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			src, err := os.ReadFile(file)
			require.NoError(t, err)
			_, ds := circuit.Read(filepath.Base(file), src)
			require.True(t, ds.HasStop())
			require.Equal(t, !strings.HasPrefix(filepath.Base(file), "25-"), circuit.Is(src))
			var report bytes.Buffer
			require.NoError(t, ds.WriteText(&report))
			golden := strings.TrimSuffix(file, ".toml") + ".txt"
			if os.Getenv("FETTLE_UPDATE") != "" {
				require.NoError(t, os.WriteFile(golden, report.Bytes(), 0o666))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), report.String())
			for _, d := range ds {
				met[d.Rule] = true
				if d.Rule != source.RuleMissingKey || d.Path != "" { // what the file as a whole lacks has no place
					require.Positive(t, d.Line, "%s has no place", d)
				}
			}
		})
	}
	for _, rule := range []string{circuit.RuleUnseen, circuit.RuleNoEffect, circuit.RuleBlank, circuit.RuleStructure, circuit.RuleWorking, circuit.RuleNowhere,
		source.RuleUnreadable, source.RuleFormat, source.RuleUnknownKey, source.RuleMissingKey, source.RuleWrongType, source.RuleEmpty, source.RuleCharacter,
		source.RuleName, source.RuleDuplicate, source.RuleUnknownWord, source.RuleUnknownName, source.RuleValue, source.RuleCircle} {
		require.True(t, met[rule], "no broken file for the rule %s", rule)
	}
}

func bundled(t testing.TB) []byte {
	src, err := fs.ReadFile(recipes.Circuits(), "boiler.toml")
	require.NoError(t, err)
	return src
}

func TestNoProcedureIsACircuit(t *testing.T) {
	files, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		require.False(t, circuit.Is(src), file)
	}
}

// The circuit keeps the rules of text for people, and every test can be reached.
func TestBundledCircuit(t *testing.T) {
	c, ds := circuit.Read("boiler.toml", bundled(t))
	require.Empty(t, ds)
	require.Len(t, c.Paths, 24)
	require.Len(t, c.Places, 23)
	require.Len(t, c.Tests, 45)
	// How many paths have pressure on them: counted by hand from the table of the trade.
	for _, want := range []struct {
		build, arrangement string
		paths              int
	}{{"dome", "shut", 21}, {"dome", "open", 22}, {"smokebox", "shut", 21}, {"smokebox", "open", 22}, {"saturated", "shut", 21}, {"saturated", "open", 20}} {
		m, err := trace.NewModel(c, trace.Case{Build: want.build, Arrangement: want.arrangement})
		require.NoError(t, err)
		require.Len(t, m.Search(trace.Now{}, nil).Suspects(), want.paths, want)
	}
	short := func(text string, most int) {
		for _, sentence := range strings.FieldsFunc(text, func(r rune) bool { return r == '.' || r == '?' || r == ':' }) {
			require.LessOrEqual(t, len(strings.Fields(sentence)), most, sentence)
		}
	}
	for _, x := range c.Tests {
		short(x.Do, 20)
		short(x.Ask, 20)
		require.True(t, strings.HasSuffix(x.Ask, "?"), x.Ask)
		require.True(t, strings.HasSuffix(x.Do, "."), x.Do)
		for _, d := range x.Dangers {
			short(d, 20)
		}
	}
}

func FuzzRead(f *testing.F) {
	files, err := filepath.Glob(filepath.Join(brokenDir, "*.toml"))
	require.NoError(f, err)
	for _, file := range files {
		src, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(string(src))
	}
	f.Fuzz(func(t *testing.T, src string) {
		c, ds := circuit.Read("fuzz.toml", []byte(src))
		var text bytes.Buffer
		require.NoError(t, ds.WriteText(&text))
		for _, r := range text.String() {
			require.False(t, r != '\n' && source.UnsafeRune(r), "U+%04X", r)
		}
		if c == nil || ds.HasStop() {
			return
		}
		// What reads well can be searched, whatever it says.
		for _, build := range c.Builds {
			for _, arrangement := range c.Arrangements {
				m, err := trace.NewModel(c, trace.Case{Build: build.Name, Arrangement: arrangement.Name})
				require.NoError(t, err)
				s := m.Search(trace.Now{}, nil)
				s.Conclusion()
				for _, p := range s.Next() {
					p.Meanings()
					p.Why()
				}
			}
		}
	})
}
