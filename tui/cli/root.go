// Package cli is the command line: it turns words into calls of the packages
// below it and their answers into text or JSON. It decides nothing about the
// trade.
//
// # Decisions
//
//   - A command is made when the line names it. The flags of all commands together
//     cost half as much again as a look-up; commands in root.go keeps name and
//     line of each, and makes the rest of the one that is named.
//   - Manual pages are written by man.go, not by cobra's generator: linked in, its
//     Markdown and YAML readers prepare themselves at every start, page or none:
//     0.3 ms and 130 kB, nearly as much as all other packages together.
//   - Exit codes. An unknown thread, grade or metal named on the command line is a
//     wrong call (2), as a misspelt flag is; a file that cannot be read or is not
//     valid is 3; a check that found something is 1.
//   - A call of the wrong shape (words missing or too many, a flag that is not
//     there, a value that is no number) is answered by shape.go: what was wanted,
//     written:, such as:. So every command has an Example, and a test walks all of
//     them. job start asks for nothing that is missing: it says so.
//   - An answer that does not arrive is exit code 3; a pipe that was closed early
//     is silence and 0.
//   - A bare word goes to the field that can read it. A sheet may have two leading
//     fields: hexagon 10 is a length, hexagon "2 BA" the thread of a screw. Sheets
//     without one main figure (air) take flags only.
package cli

import (
	"bufio"
	"errors"
	"fettle/checklist/lookup"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Exit codes of every command.
const (
	exitFine       = 0   // done, nothing found
	exitFound      = 1   // a check found something that must or should not go on
	exitUsage      = 2   // the command was called wrongly
	exitUnreadable = 3   // a file cannot be read or is not valid
	exitInterrupt  = 130 // stopped from the keyboard
)

// failure carries the exit code of an error. A nil err means that everything
// worth saying has been said already.
type failure struct {
	code int
	err  error
}

func (f *failure) Error() string {
	if f.err == nil {
		return fmt.Sprintf("exit %d", f.code)
	}
	return f.err.Error()
}

func (f *failure) Unwrap() error { return f.err }

// usage marks err as a wrong call: exit code 2.
func usage(err error) error { return &failure{code: exitUsage, err: err} }

// unreadable marks err as a file that cannot be read or is not valid: exit code 3.
func unreadable(err error) error { return &failure{code: exitUnreadable, err: err} }

// found is the silent answer of a check that printed its findings: exit code 1.
func found() error { return &failure{code: exitFound} }

// Run executes one command line and returns its exit code.
func Run(args []string, env Env) int {
	args = arranged(args)
	paper := pageOn(env.Stdout, env.Getenv)
	said := &written{w: env.Stdout}
	// A look-up's answer goes out in one piece: line by line it costs a tenth more.
	out, whole := bufio.NewWriter(said), paper
	paper.Writer, whole.Writer = said, out
	env.Stdout = paper
	root := rootCommand(env, whole, args)
	root.SetArgs(args)
	cmd, err := root.ExecuteC()
	_ = out.Flush() // said keeps what went wrong
	switch {
	case said.err == nil:
	case errors.Is(said.err, syscall.EPIPE):
		// Whoever read it has seen enough; there is nobody to tell.
		if err == nil || errors.Is(err, syscall.EPIPE) {
			return exitFine
		}
	default:
		err = unreadable(fmt.Errorf("the answer cannot be written: %w", said.err))
	}
	if err == nil {
		return exitFine
	}
	var f *failure
	if !errors.As(err, &f) {
		// Cobra's own errors (unknown command, flag, argument count) are wrong calls.
		f = &failure{code: exitUsage, err: &shapeError{err}}
	}
	if f.err != nil {
		fmt.Fprintf(env.Stderr, "fettle: %s\n", strings.TrimSpace(f.err.Error()))
	}
	var shape *shapeError
	if errors.As(err, &shape) || errors.As(f.err, &shape) {
		fmt.Fprint(env.Stderr, hint(cmd))
	}
	return f.code
}

// written passes on what is written to it, and keeps the first error: an answer
// that did not arrive is no success, whichever command gave it.
type written struct {
	w   io.Writer
	err error
}

func (o *written) Write(p []byte) (int, error) {
	n, err := o.w.Write(p)
	if err != nil && o.err == nil {
		o.err = err
	}
	return n, err
}

// outFile is the file that answers go to; nil where it is none.
func (env Env) outFile() *os.File {
	w := env.Stdout
	if p, ok := w.(page); ok {
		w = p.Writer
	}
	if o, ok := w.(*written); ok {
		w = o.w
	}
	f, _ := w.(*os.File)
	return f
}

// minus stands for the sign of a figure below nought while flags are looked for.
const minus = "\u2212"

// arranged puts a command line into the order the flags are looked for in: those of
// the bench screen may stand before the command, and a figure below nought
// ("-5 mm") is no flag: what reads it says what is wrong with it.
func arranged(args []string) []string {
	var front []string
	rest := args
	for len(rest) > 1 {
		n := 1
		switch name, _, whole := strings.Cut(rest[0], "="); {
		case name == "--ascii", name == "--no-mouse", name == "--jobs" && whole:
		case name == "--jobs":
			n = 2
		default:
			n = 0
		}
		if n == 0 {
			break
		}
		front, rest = append(front, rest[:n]...), rest[n:]
	}
	if len(rest) > 0 && rest[0] == "job" {
		rest = append(slices.Clone(rest), front...)
	} else {
		rest = slices.Clone(args)
	}
	from := 1 // a note of a job may start with anything, so there only readings are looked at
	if len(rest) > 0 && rest[0] == "job" {
		from = len(rest)
		if i := slices.IndexFunc(rest, func(word string) bool { return word == "read" || word == "shop" }); i >= 0 {
			from = i + 1
		}
	}
	for k := from; k < len(rest) && rest[k] != "--"; k++ {
		// What follows a flag is its value, whatever it starts with.
		before := rest[k-1]
		value := strings.HasPrefix(before, "--") && !strings.Contains(before, "=") && before != "--json"
		if a := rest[k]; !value && len(a) > 1 && a[0] == '-' && (a[1] >= '0' && a[1] <= '9' || a[1] == '.' || a[1] == ',') {
			rest[k] = minus + a[1:]
		}
	}
	return rest
}

// plainMinus is an argument as it was typed, before arranged.
func plainMinus(arg string) string { return strings.Replace(arg, minus, "-", 1) }

// known refuses a word that is no command of cmd, and says which was meant.
func known(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	for _, sub := range cmd.Commands() {
		if slices.Contains(sub.SuggestFor, args[0]) {
			return fmt.Errorf("\"%s %s\" is called \"%s\" now", cmd.CommandPath(), args[0], sub.CommandPath())
		}
	}
	cmd.SuggestionsMinimumDistance = 2
	message := fmt.Sprintf("unknown command %q for %q", args[0], cmd.CommandPath())
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		return fmt.Errorf("%s; did you mean %s?", message, strings.Join(near, " or "))
	}
	return fmt.Errorf("%s; %s --help lists them", message, cmd.CommandPath())
}

// helpCommand is "fettle help": cobra's own answers a word it does not know with
// the help of the whole program, as if all were well.
func helpCommand(env Env) *cobra.Command {
	pages := ""
	help := &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Help about any command",
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			var words []cobra.Completion
			if at, rest, err := cmd.Root().Find(args); err == nil && len(rest) == 0 {
				for _, sub := range at.Commands() {
					if sub.IsAvailableCommand() {
						words = append(words, cobra.CompletionWithDesc(sub.Name(), sub.Short))
					}
				}
			}
			return words, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if pages != "" {
				if len(args) > 0 {
					return fmt.Errorf("the manual pages are written for all commands, not for %q alone", args[0])
				}
				n, err := writeManuals(env, pages)
				if err == nil {
					fmt.Fprintf(env.Stdout, "%d manual pages written to %s.\n", n, pages)
				}
				return err
			}
			at, rest, err := cmd.Root().Find(args)
			if err != nil {
				return err
			}
			if err := known(at, rest); err != nil {
				return err
			}
			at.InitDefaultHelpFlag()
			return at.Help()
		},
	}
	help.Flags().StringVar(&pages, "man", "", "write the manual pages of all commands into the `folder`")
	return help
}

// decimal is a flag of a plain number that understands a decimal comma, as every
// other figure of the program does.
type decimal struct{ pflag.Value }

func (d decimal) Set(s string) error {
	if !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	return d.Value.Set(s)
}

func decimalCommas(cmd *cobra.Command) {
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if f.Value.Type() == "float64" {
			f.Value = decimal{f.Value}
		}
	})
	for _, sub := range cmd.Commands() {
		decimalCommas(sub)
	}
}

// command is one command of the program: its name and its line in the list of
// commands, and how to make the rest of it. One that talks asks questions or
// opens the screen; the others only answer.
type command struct {
	name, short string
	make        func(Env) *cobra.Command
	talks       bool
}

func commands() []command {
	var list []command
	for _, sheet := range lookup.Screws() {
		if sheet.Group == "" {
			list = append(list, command{sheet.Name, strings.TrimSuffix(sheet.About, "."), func(env Env) *cobra.Command { return sheetCommand(env, sheet) }, false})
		}
	}
	return append(list,
		command{"boiler", "Steam, seals, packing, O-rings, cure, hydraulic test, dividing", boilerCommand, false},
		command{"schema", "Print the JSON Schema of what a look-up answers", schemaCommand, false},
		command{"procedure", "List, check, print and write procedures", procedureCommand, true},
		command{"job", "Keep a refit under way: start it, tick steps, take readings, look it up", jobCommand, true},
		command{"workshop", "Your own drills, taps and spanners", workshopCommand, false},
		command{"completion", "Write what makes a shell complete the words of this program", completionCommand, false},
	)
}

// rootCommand makes the commands that args name. The others only stand in the
// list of commands: the flags of them all cost half as much again as a look-up.
// Those that only answer write to out.
func rootCommand(env Env, out io.Writer, args []string) *cobra.Command {
	var bench benchFlags
	root := &cobra.Command{
		Use:   "fettle",
		Short: "A bench companion for refitting the boiler fittings of miniature steam locomotives",
		Long: "A bench companion for refitting the boiler fittings of miniature steam locomotives.\n" +
			"Without a command it opens the bench screen.\n\n" +
			"Lengths: 6.35 (mm), 1/4 (inch), \"1/4 in\", \"No 30\", \"letter F\". Pressures are gauge and need a unit: \"90 psi\", \"6.2 bar\"; so do volumes: \"6 l\".\n" +
			"The local boiler code and the boiler inspector decide; this program only works things out.",
		Args:              known,
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{DisableDefaultCmd: true},
		RunE: func(cmd *cobra.Command, _ []string) error {
			return openBench(env, bench, "")
		},
	}
	root.Flags().Bool("version", false, "say which build this is")
	if slices.Contains(args, "--version") { // reading the stamp costs a look-up nothing
		root.Version = version()
	}
	bench.add(root)
	root.Flags().StringVar(&bench.jobs, "jobs", "", jobsHelp)
	root.SetIn(env.Stdin)
	root.SetOut(env.Stdout)
	root.SetErr(env.Stderr)
	root.SetFlagErrorFunc(flagProblem)
	root.SetHelpCommand(helpCommand(env))
	root.SetHelpFunc(func(cmd *cobra.Command, _ []string) { writeHelp(env.Stdout, cmd) })
	for _, c := range commands() {
		cmd := &cobra.Command{Use: c.name, Run: func(*cobra.Command, []string) {}}
		if slices.Contains(args, c.name) {
			its := env
			if !c.talks {
				its.Stdout = out
			}
			cmd = c.make(its)
			decimalCommas(cmd)
		}
		cmd.Short = c.short
		root.AddCommand(cmd)
	}
	if len(args) > 0 && (args[0] == cobra.ShellCompRequestCmd || args[0] == cobra.ShellCompNoDescRequestCmd) {
		completer{env}.all(root)
	}
	return root
}
