package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// run executes one command line without a terminal and answers its exit code
// and what it printed.
func runProcedure(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = Run(append([]string{"procedure"}, args...), Env{
		Stdin: bytes.NewReader(nil), Stdout: &out, Stderr: &errs,
		Getenv: func(string) string { return "" },
	})
	return code, out.String(), errs.String()
}

func TestProcedureExitCodes(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(file, []byte(text), 0o666))
		return file
	}
	code, good, _ := runProcedure(t, "new", "good", "--output", "-")
	require.Equal(t, exitFine, code)
	fine := write("good.toml", good)
	stop := write("stop.toml", good+"\nbogus = 1\n")
	warn := write("warn.toml", good+"\n[settings.idle]\nask = \"?\"\nkind = \"text\"\ndefault = \"x\"\n")
	torn := write("torn.toml", "format = 2\ntitle = \"x\n")
	newer := write("newer.toml", "format = 3\nsomething = \"else\"\n")

	for _, c := range []struct {
		name string
		args []string
		code int
	}{
		{"nothing wrong", []string{"check", fine}, exitFine},
		{"a stop", []string{"check", stop}, exitFound},
		{"a warn", []string{"check", warn}, exitFound},
		{"no TOML", []string{"check", torn}, exitUnreadable},
		{"a newer format", []string{"check", newer}, exitUnreadable},
		{"no such file", []string{"check", filepath.Join(dir, "none.toml")}, exitUnreadable},
		{"a folder", []string{"check", dir}, exitUnreadable},
		{"the gravest of several", []string{"check", stop, torn, fine}, exitUnreadable},
		{"no name", []string{"check"}, exitUsage},
		{"an unknown name", []string{"check", "nothing-like-it"}, exitUsage},
		{"an unknown flag", []string{"check", fine, "--bogus"}, exitUsage},
		{"show", []string{"show", fine}, exitFine},
		{"show a file with a stop", []string{"show", stop}, exitUnreadable},
		{"show with a wrong answer", []string{"show", fine, "--set", "rod=thick"}, exitUsage},
		{"show with answers that do not go together", []string{"show", fine, "--set", "box=4 mm"}, exitFound},
		{"show too narrow", []string{"show", fine, "--width", "10"}, exitUsage},
		{"new over a file", []string{"new", "good", "--output", fine}, exitUsage},
		{"new into nowhere", []string{"new", "good", "--output", filepath.Join(dir, "no", "where.toml")}, exitUnreadable},
		{"new under a bad name", []string{"new", "Bad Name"}, exitUsage},
		{"list", []string{"list", dir}, exitFine},
		{"list a file", []string{"list", fine}, exitUsage},
		{"list nowhere", []string{"list", filepath.Join(dir, "none")}, exitUnreadable},
		{"schema", []string{"schema"}, exitFine},
		{"schema with a name", []string{"schema", "x"}, exitUsage},
		{"an unknown command", []string{"chekc"}, exitUsage},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, _, stderr := runProcedure(t, c.args...)
			require.Equal(t, c.code, code, stderr)
		})
	}
}
