package cli

import (
	"bytes"
	"fettle/checklist/lookup"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

// testEnv is an environment of its own, with nothing on standard input.
func testEnv(t *testing.T) (Env, *bytes.Buffer, *bytes.Buffer) {
	var out, errs bytes.Buffer
	dir := t.TempDir()
	return Env{
		Stdin: strings.NewReader(""), Stdout: &out, Stderr: &errs,
		Getenv:    func(string) string { return "" },
		Now:       func() time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC) },
		ConfigDir: filepath.Join(dir, "config"), StateDir: filepath.Join(dir, "state"),
	}, &out, &errs
}

// wholeTree is the command tree with every command in it.
func wholeTree(env Env) *cobra.Command {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return rootCommand(env, io.Discard, names)
}

// everyCommand lists the commands that do something, as they are typed.
func everyCommand(env Env) (list []*cobra.Command) {
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		if cmd.HasParent() {
			list = append(list, cmd)
		}
		for _, sub := range cmd.Commands() {
			if sub.Name() != "help" && sub.Name() != "completion" {
				walk(sub)
			}
		}
	}
	walk(wholeTree(env))
	return list
}

func wordsOf(cmd *cobra.Command) []string { return strings.Fields(cmd.CommandPath())[1:] }

// Whatever is wrong with the shape of a call, the answer says what was wanted,
// how the command is written and an example, and the exit code is 2.
func TestEveryCommandAnswersACallOfTheWrongShape(t *testing.T) {
	t.Chdir(t.TempDir()) // in no job
	env, out, errs := testEnv(t)
	all := everyCommand(env)
	require.Greater(t, len(all), 60)
	for _, cmd := range all {
		words := wordsOf(cmd)
		call := func(more ...string) (int, string) {
			out.Reset()
			errs.Reset()
			code := Run(append(slices.Clone(words), more...), env)
			said := errs.String()
			for _, raw := range []string{"arg(s)", "strconv", "invalid argument", "unknown flag", "unknown shorthand", "flag needs", "[flags]", "%!"} {
				require.NotContains(t, said, raw, "%s %q", words, more)
			}
			return code, said
		}
		shown := func(said string, about ...any) {
			require.Contains(t, said, "  written: fettle "+strings.Join(words, " "), about...)
			require.Contains(t, said, "  such as: fettle "+strings.Join(words, " "), about...)
		}
		if cmd.HasSubCommands() {
			code, said := call("nonsense")
			require.Equal(t, exitUsage, code, "%s", words)
			require.Contains(t, said, `unknown command "nonsense"`)
			continue
		}
		require.NotEmpty(t, cmd.Example, "%s", words)
		require.NotEmpty(t, cmd.Short, "%s", words)

		code, said := call("--misspelt")
		require.Equal(t, exitUsage, code, "%s", words)
		require.Contains(t, said, "has no flag --misspelt")
		shown(said, "%s", words)

		// Every flag with a letter missing is recognised; every one that wants a
		// value says so.
		cmd.Flags().VisitAll(func(f *pflag.Flag) {
			if len(f.Name) > 4 && cmd.Flags().Lookup(f.Name[:len(f.Name)-1]) == nil {
				code, said := call("--" + f.Name[:len(f.Name)-1])
				require.Equal(t, exitUsage, code)
				require.Contains(t, said, "--"+f.Name, "%s", words)
			}
			if f.NoOptDefVal == "" {
				code, said := call("--" + f.Name)
				require.Equal(t, exitUsage, code)
				require.Contains(t, said, "--"+f.Name+" wants something behind it")
			}
			switch f.Value.Type() {
			case "int", "float64", "bool":
				code, said := call("--" + f.Name + "=much")
				require.Equal(t, exitUsage, code, "%s %s", words, f.Name)
				require.Contains(t, said, "--"+f.Name+" wants ")
			}
		})

		// Too few and too many words, where the command counts them.
		if cmd.Args == nil {
			continue
		}
		for n := 0; n <= 12; n++ {
			args := slices.Repeat([]string{"x"}, n)
			err := cmd.Args(cmd, args)
			if err == nil {
				continue
			}
			code, said := call(args...)
			require.Equal(t, exitUsage, code, "%s with %d", words, n)
			shown(said, "%s with %d", words, n)
			require.NotContains(t, said, "unknown command", "%s", words)
		}
	}
}

// A command that counts its words refuses too few as well as too many; these
// take whatever comes, and why.
func TestWordsAreCounted(t *testing.T) {
	env, _, _ := testEnv(t)
	free := map[string]string{
		"job person": "a name of several words", "job test begin": "a reason, or none", "job close": "a remark, or none",
		"procedure list": "folders, or none", "workshop new": "families, or none", "boiler": "", "job": "", "procedure": "",
	}
	for _, cmd := range everyCommand(env) {
		name := strings.Join(wordsOf(cmd), " ")
		if _, ok := free[name]; ok || cmd.HasSubCommands() {
			continue
		}
		if _, ok := lookup.Find(cmd.Name()); ok && strings.Contains(cmd.Use, " ") {
			continue // the leading value may be several words: 90 psi
		}
		counts := cmd.Args != nil && (cmd.Args(cmd, nil) != nil || cmd.Args(cmd, slices.Repeat([]string{"x"}, 12)) != nil || cmd.Args(cmd, []string{"x"}) != nil)
		require.True(t, counts, "%s takes anything", name)
	}
}

// What a look-up cannot do without is said at once, all of it.
func TestMissingValuesAreListed(t *testing.T) {
	for line, want := range map[string][]string{
		"boiler fill":    {"--volume", "--diameter", "--wall", "PRESSURE ("},
		"boiler packing": {"SPINDLE (", "--box", "--depth"},
		"boiler divide":  {"DIVISIONS"},
		"boiler hexagon": {"neither is given"},
		"boiler steam":   {"gauge pressure or a temperature"},
		"identify":       {"measure a diameter"},
		"joint":          {"--bolts", "--ring"},
		"torque M4":      {"--grade"},
		"rescue M4":      {"--hole", "--into"},
		"procedure show": {"which procedure"},
		"job start":      {"name one procedure"},
		"job start regulator": {
			"--job DIR", "--engine NAME",
		},
	} {
		env, _, errs := testEnv(t)
		require.Equal(t, exitUsage, Run(strings.Fields(line), env), line)
		for _, w := range append(want, "such as: fettle "+strings.Join(strings.Fields(line)[:1], " ")) {
			require.Contains(t, errs.String(), w, line)
		}
	}
}

// The examples of --help are of the program as it is: their commands and flags
// are there, and their words are counted as the command counts them.
func TestExamplesAreWellFormed(t *testing.T) {
	env, _, _ := testEnv(t)
	root := wholeTree(env)
	for _, cmd := range everyCommand(env) {
		var lines []string
		for _, line := range strings.Split(cmd.Example, "\n") {
			if strings.HasPrefix(line, "    ") {
				lines[len(lines)-1] += " " + strings.TrimSpace(line)
			} else if line != "" {
				lines = append(lines, strings.TrimSpace(line))
			}
		}
		for _, line := range lines {
			line, _, _ = strings.Cut(line, " > ")
			args := shellWords(t, line)
			require.Equal(t, "fettle", args[0], line)
			found, rest, err := root.Find(arranged(args[1:]))
			require.NoError(t, err, line)
			require.Equal(t, cmd.CommandPath(), found.CommandPath(), line)
			require.NoError(t, found.ParseFlags(rest), line)
			if found.Args != nil {
				require.NoError(t, found.Args(found, found.Flags().Args()), line)
			}
		}
	}
}

// shellWords splits a line as a shell would, as far as the examples need it.
func shellWords(t *testing.T, line string) (words []string) {
	word, in, quote := "", false, rune(0)
	for _, r := range line {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote, in = r, true
		case quote != 0 && r == quote:
			quote = 0
		case r == ' ' && quote == 0:
			if in {
				words = append(words, word)
			}
			word, in = "", false
		default:
			word, in = word+string(r), true
		}
	}
	require.Zero(t, quote, line)
	if in {
		words = append(words, word)
	}
	return words
}

// failing is a place that takes nothing: a full disk, a pipe nobody reads.
type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// An answer that did not arrive is no success, whichever command gave it, and a
// reader who has seen enough is told nothing.
func TestAnswersThatDoNotArrive(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	env, _, _ := testEnv(t)
	require.Equal(t, exitFine, Run([]string{"job", "demo", "--job", dir}, env))
	for _, line := range []string{
		"thread M4", "thread M4 --json", "boiler steam 90psi", "procedure list", "procedure schema", "procedure show --format",
		"job status", "job log", "job needs", "job record", "job test", "job finding", "job list", "--help", "help job",
	} {
		args := strings.Fields(line)
		if args[0] == "job" && args[1] != "list" {
			args = append(args, "--job", dir)
		}
		env, _, errs := testEnv(t)
		env.Stdout = failing{syscall.ENOSPC}
		require.Equal(t, exitUnreadable, Run(args, env), line)
		require.Equal(t, "fettle: the answer cannot be written: no space left on device\n", errs.String(), line)
		env, _, errs = testEnv(t)
		env.Stdout = failing{syscall.EPIPE}
		require.Equal(t, exitFine, Run(args, env), line)
		require.Empty(t, errs.String(), line)
	}
}

// A plain number takes a decimal comma, as lengths and pressures do.
func TestDecimalCommas(t *testing.T) {
	for _, line := range []string{
		"identify --major 6,3 --tpi 26,0", "thread M4 --engagement 65,5", "torque M4 --grade A2-70 --friction 0,12 --utilisation 0,6",
	} {
		env, out, errs := testEnv(t)
		require.Equal(t, exitFine, Run(strings.Fields(line), env), "%s: %s", line, errs)
		env2, dot, _ := testEnv(t)
		require.Equal(t, exitFine, Run(strings.Fields(strings.ReplaceAll(line, ",", ".")), env2))
		require.Equal(t, dot.String(), out.String())
	}
	for _, wrong := range []string{"1,2,3", "1.2,3", ",", "0,1x"} {
		env, _, errs := testEnv(t)
		require.Equal(t, exitUsage, Run([]string{"torque", "M4", "--grade", "A2-70", "--friction", wrong}, env))
		require.Contains(t, errs.String(), "is no number; expected a figure such as")
	}
}

// help and completion refuse a word they do not know.
func TestHelpOfWhatThereIs(t *testing.T) {
	for line, want := range map[string]string{
		"help nonsense": `unknown command "nonsense" for "fettle"`, "help thraed": "did you mean thread?",
		"help job nonsense": `unknown command "nonsense" for "fettle job"`, "completion nonsense": `"nonsense" is no shell that is known here; there are bash, zsh, fish`,
	} {
		env, out, errs := testEnv(t)
		require.Equal(t, exitUsage, Run(strings.Fields(line), env), line)
		require.Contains(t, errs.String(), want)
		require.Empty(t, out.String())
	}
	for line, want := range map[string]string{
		"help": "Available Commands", "help thread": "--engagement", "help job tick": "fettle job tick STEP", "help boiler steam": "fettle boiler steam",
		"completion": "shell complete the words", "completion bash": "bash completion", "completion fish": "fish completion",
		"__complete thread M4 --gr": "--grade", "__complete job ti": "tick", "__complete help job ti": "tick",
	} {
		env, out, errs := testEnv(t)
		require.Equal(t, exitFine, Run(strings.Fields(line), env), "%s: %s", line, errs)
		require.Contains(t, out.String(), want, line)
	}
}

// A shop can be colder than nought.
func TestAColdShop(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	env, out, errs := testEnv(t)
	require.Equal(t, exitFine, Run([]string{"job", "demo", "--job", dir}, env))
	out.Reset()
	require.Equal(t, exitFine, Run([]string{"job", "shop", "-5 C", "--job", dir, "--by", "Ana"}, env), errs)
	require.Contains(t, out.String(), "Saved by Ana")
	require.Equal(t, exitUsage, Run([]string{"job", "shop", "-400 C", "--job", dir}, env))
	require.Contains(t, errs.String(), "below absolute zero")
}
