package cli

import (
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

// Every command has its page, every flag stands in it, and no line of a text is
// taken for an order of the page's language.
func TestManualPages(t *testing.T) {
	env, out, errs := testEnv(t)
	dir := filepath.Join(t.TempDir(), "man", "man1")
	require.Equal(t, exitFine, Run([]string{"help", "--man", dir}, env), errs.String())
	files, err := filepath.Glob(filepath.Join(dir, "*.1"))
	require.NoError(t, err)
	require.Contains(t, out.String(), "manual pages written to "+dir)

	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	orders := regexp.MustCompile(`^\.(TH|SH|PP|TP|B|BR|nf|fi)\b`)
	pages := 0
	for _, cmd := range family(rootCommand(Env{}, io.Discard, names)) {
		if cmd.Name() == "help" {
			continue
		}
		pages++
		src, err := os.ReadFile(filepath.Join(dir, pageName(cmd)+".1"))
		require.NoError(t, err)
		page := string(src)
		for _, part := range []string{".SH NAME\n", ".SH SYNOPSIS\n", ".SH DESCRIPTION\n", ".SH SEE ALSO\n"} {
			require.Contains(t, page, part, cmd.CommandPath())
		}
		if cmd.Example != "" {
			require.Contains(t, page, ".SH EXAMPLES\n", cmd.CommandPath())
		}
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			require.Equal(t, !f.Hidden, strings.Contains(page, ".TP\n.B "+roff("--"+f.Name)), "%s --%s", cmd.CommandPath(), f.Name)
		})
		for _, line := range strings.Split(page, "\n") {
			require.False(t, strings.HasPrefix(line, "'"), "%s: %q", cmd.CommandPath(), line)
			if strings.HasPrefix(line, ".") {
				require.Regexp(t, orders, line, cmd.CommandPath())
			}
		}
	}
	require.Len(t, files, pages, "a page for each command and no other")

	require.Equal(t, `\&.5 mm\e`+"\n"+`\&'M4' \-\-json`, roff(".5 mm\\\n'M4' --json"))
}

func TestManualPagesRefuse(t *testing.T) {
	env, _, errs := testEnv(t)
	require.Equal(t, exitUsage, Run([]string{"help", "thread", "--man", t.TempDir()}, env))
	require.Contains(t, errs.String(), "for all commands")

	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o666))
	env, _, errs = testEnv(t)
	require.Equal(t, exitUnreadable, Run([]string{"help", "--man", file}, env))
	require.Contains(t, errs.String(), file)
}
