package job

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What keeps a record from being fine is told by whoever looks at the job, not
// only by verify; and to look changes no file.
func TestALookTellsWhatVerifyTells(t *testing.T) {
	for name, c := range map[string]struct {
		damage func(lines [][]byte) [][]byte
		says   string
	}{
		"nothing":        {func(l [][]byte) [][]byte { return l }, ""},
		"a line missing": {func(l [][]byte) [][]byte { return append(l[:2:2], l[3:]...) }, "Entry 3 of device "},
		"lines missing":  {func(l [][]byte) [][]byte { return append(l[:2:2], l[4:]...) }, "Entries 3 to 4 of device "},
		"changed by hand": {func(l [][]byte) [][]byte {
			l[2] = bytes.Replace(l[2], []byte("remark 1"), []byte("remark 9"), 1)
			return l
		}, "changed outside the program"},
		"no line at all": {func(l [][]byte) [][]byte { return append(l, []byte("what is this\n")) }, "1 unreadable line"},
		"torn":           {func(l [][]byte) [][]byte { return append(l, l[2][:40]) }, "1 unfinished line"},
	} {
		t.Run(name, func(t *testing.T) {
			dir, env := realBench(t)
			j, err := Open(dir, env)
			require.NoError(t, err)
			for i := range 6 {
				must(j.Note("", "remark "+string(rune('0'+i))))
			}
			log, err := filepath.Glob(filepath.Join(dir, "log-*.jsonl"))
			require.NoError(t, err)
			data, err := os.ReadFile(log[0])
			require.NoError(t, err)
			data = bytes.Join(c.damage(bytes.SplitAfter(bytes.TrimSuffix(data, []byte("\n")), []byte("\n"))), nil)
			require.NoError(t, os.WriteFile(log[0], data, 0o644))

			tom := env
			tom.Person, tom.StateDir = "Tom", filepath.Join(t.TempDir(), "tom")
			look, err := Open(dir, tom)
			require.NoError(t, err)
			notices := strings.Join(look.State().Notices, "\n")
			v, err := look.Verify()
			require.NoError(t, err)
			require.Equal(t, c.says == "", v.Fine())
			require.Equal(t, c.says == "", notices == "", notices)
			require.Contains(t, notices, c.says)

			// The device that made them says so too, and leaves the folder alone.
			own, err := Open(dir, env)
			require.NoError(t, err)
			if strings.Contains(name, "missing") {
				require.Contains(t, strings.Join(own.State().Notices, "\n"), `the next entry, or "fettle job verify", adds`)
			}
			after, err := os.ReadFile(log[0])
			require.NoError(t, err)
			require.Equal(t, data, after, "a look changes nothing")
		})
	}
}
