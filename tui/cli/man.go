package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// writeManuals writes a manual page for every command into a folder, and says how
// many there are.
func writeManuals(env Env, dir string) (int, error) {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	root := rootCommand(env, io.Discard, names) // with the flags of all
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return 0, unreadable(err)
	}
	pages := 0
	for _, cmd := range family(root) {
		if !cmd.IsAvailableCommand() && cmd != root || cmd.Name() == "help" {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, pageName(cmd)+".1"), []byte(manual(cmd)), 0o666); err != nil {
			return pages, unreadable(err)
		}
		pages++
	}
	return pages, nil
}

// family is a command and all below it.
func family(cmd *cobra.Command) []*cobra.Command {
	list := []*cobra.Command{cmd}
	for _, sub := range cmd.Commands() {
		list = append(list, family(sub)...)
	}
	return list
}

func pageName(cmd *cobra.Command) string { return strings.ReplaceAll(cmd.CommandPath(), " ", "-") }

// manual is the page of a command in the language of man(7).
func manual(cmd *cobra.Command) string {
	var b strings.Builder
	name := pageName(cmd)
	// The day of the commit, where it is known: the same program writes the same page.
	fmt.Fprintf(&b, ".TH %q 1 %q \"fettle\" \"fettle\"\n", strings.ToUpper(name), committed())
	fmt.Fprintf(&b, ".SH NAME\n%s \\- %s\n", roff(name), roff(cmd.Short))
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B %s\n", roff(strings.TrimSuffix(cmd.UseLine(), " [flags]")))
	cmd.InitDefaultHelpFlag()
	flags := cmd.HasAvailableLocalFlags() || cmd.HasAvailableInheritedFlags()
	if flags {
		b.WriteString("[options]\n")
	}
	long := cmd.Long
	if long == "" {
		long = cmd.Short
	}
	b.WriteString(".SH DESCRIPTION\n")
	for i, paragraph := range strings.Split(long, "\n\n") {
		if i > 0 {
			b.WriteString(".PP\n")
		}
		b.WriteString(roff(paragraph) + "\n")
	}
	if flags {
		b.WriteString(".SH OPTIONS\n")
		cmd.LocalFlags().VisitAll(option(&b))
		cmd.InheritedFlags().VisitAll(option(&b))
	}
	if cmd.Example != "" {
		fmt.Fprintf(&b, ".SH EXAMPLES\n.nf\n%s\n.fi\n", roff(cmd.Example))
	}
	if cmd == cmd.Root() {
		tagged(&b, "ENVIRONMENT", surroundings())
		tagged(&b, "FILES", keptFiles())
	}
	if cmd.Runnable() {
		b.WriteString(".SH EXIT STATUS\n0 fine, 1 a check found something, 2 wrong call, 3 a file that cannot be read, is not valid or cannot be written, 130 interrupted.\n")
	}
	var also []string
	if cmd.HasParent() {
		also = append(also, pageName(cmd.Parent()))
	}
	for _, sub := range cmd.Commands() {
		if sub.IsAvailableCommand() && sub.Name() != "help" {
			also = append(also, pageName(sub))
		}
	}
	if len(also) > 0 {
		fmt.Fprintf(&b, ".SH SEE ALSO\n")
		for i, name := range also {
			end := ","
			if i == len(also)-1 {
				end = ""
			}
			fmt.Fprintf(&b, ".BR %s (1)%s\n", roff(name), end)
		}
	}
	return b.String()
}

// tagged writes a section of words and what they are.
func tagged(b *strings.Builder, title string, list [][2]string) {
	fmt.Fprintf(b, ".SH %s\n", title)
	for _, x := range list {
		fmt.Fprintf(b, ".TP\n.B %s\n%s\n", roff(x[0]), roff(x[1]))
	}
}

// option writes one flag.
func option(b *strings.Builder) func(*pflag.Flag) {
	return func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		kind, ask := pflag.UnquoteUsage(f)
		fmt.Fprintf(b, ".TP\n.B %s\n%s\n", roff(strings.TrimSpace("--"+f.Name+" "+kind)), roff(ask))
		switch f.DefValue {
		case "", "false", "0", "[]":
		default:
			fmt.Fprintf(b, "(default %s)\n", roff(f.DefValue))
		}
	}
}

// roff makes a text safe in a page: no character of it is taken for an order.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}
