package cli

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fettle/threads/check"
)

// shapeError is a call whose words or flags are not those of the command. Its
// answer shows how the command is written, and an example.
type shapeError struct{ err error }

func (e *shapeError) Error() string { return e.err.Error() }
func (e *shapeError) Unwrap() error { return e.err }

// misshapen marks err as a call of the wrong shape: exit code 2, with an example.
func misshapen(err error) error { return usage(&shapeError{err}) }

// hint is how the command is written and an example of it, each on a line of
// its own; empty for one that only holds others.
func hint(cmd *cobra.Command) string {
	if cmd.Example == "" {
		return ""
	}
	words := strings.TrimSuffix(cmd.UseLine(), " [flags]")
	example, rest, _ := strings.Cut(cmd.Example, "\n")
	for strings.HasPrefix(rest, "   ") { // a line that goes on
		var more string
		more, rest, _ = strings.Cut(rest, "\n")
		example += " " + strings.TrimSpace(more)
	}
	return fmt.Sprintf("  written: %s\n  such as: %s\n", words, strings.TrimSpace(example))
}

// atLeast asks for n arguments and says what is missing in words.
func atLeast(n int, ask string) cobra.PositionalArgs { return between(n, math.MaxInt, ask) }

// between asks for least to most arguments and says in words what they are.
func between(least, most int, ask string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return errors.New(ask)
		case len(args) > most:
			return fmt.Errorf("%q is one word too many: %s", args[most], ask)
		}
		return nil
	}
}

// noneOr asks for no argument at all, or for least to most.
func noneOr(least, most int, ask string) cobra.PositionalArgs {
	some := between(least, most, ask)
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return some(cmd, args)
	}
}

// flagsOnly refuses words that belong to no flag.
func flagsOnly(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return fmt.Errorf("%q belongs to no flag: %s takes flags only", args[0], cmd.CommandPath())
}

// flagProblem puts what is wrong with a flag into plain words.
func flagProblem(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var without *pflag.ValueRequiredError
	var wrong *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		name := unknown.GetSpecifiedName()
		text := fmt.Sprintf("%s has no flag --%s", cmd.CommandPath(), name)
		if near := nearFlags(cmd, name); len(near) > 0 {
			text += "; did you mean " + strings.Join(near, " or ") + "?"
		}
		err = errors.New(text)
	case errors.As(err, &unknown):
		err = fmt.Errorf("%s has no flag -%s; a word that begins with a dash goes behind --", cmd.CommandPath(), unknown.GetSpecifiedShortnames())
	case errors.As(err, &without):
		flag := without.GetFlag()
		_, ask := pflag.UnquoteUsage(flag)
		err = fmt.Errorf("--%s wants something behind it: %s", flag.Name, ask)
	case errors.As(err, &wrong):
		flag := wrong.GetFlag()
		want := map[string]string{
			"int": "a whole number, such as 6", "float64": "a number, such as 0.12", "bool": "nothing behind it, or =true or =false",
		}[flag.Value.Type()]
		if want == "" {
			err = fmt.Errorf("--%s %q: %w", flag.Name, wrong.GetValue(), errors.Unwrap(wrong))
			break
		}
		err = fmt.Errorf("--%s wants %s, not %q", flag.Name, want, wrong.GetValue())
	}
	return misshapen(err)
}

// nearFlags are the flags of a command whose names are nearly that one.
func nearFlags(cmd *cobra.Command, name string) (near []string) {
	const enough = 3
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		slips := check.Slips(name, f.Name, enough)
		if !f.Hidden && (slips < min(enough, len(name)) || len(name) > 2 && strings.HasPrefix(f.Name, name)) {
			near = append(near, "--"+f.Name)
		}
	})
	return near
}
