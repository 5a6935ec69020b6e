package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
)

// writeHelp is the help of a command, within the width of the page.
func writeHelp(w io.Writer, cmd *cobra.Command) {
	columns := pipedHelp
	if p, ok := w.(page); ok {
		columns = p.help
	}
	text := cmd.Long
	if text == "" {
		text = cmd.Short
	}
	writeProse(w, columns, text)
	head := func(title string) { fmt.Fprintf(w, "\n%s:\n", title) }
	head("Usage")
	if cmd.Runnable() {
		flowIn(w, columns, 2, 6, cmd.UseLine())
	}
	if cmd.HasAvailableSubCommands() {
		flowIn(w, columns, 2, 6, cmd.CommandPath()+" [command]")
	}
	if cmd.HasExample() {
		head("Examples")
		fmt.Fprintln(w, cmd.Example) // to be copied: never wrapped
	}
	if cmd.HasAvailableSubCommands() {
		head("Available Commands")
		column := 0
		for _, sub := range cmd.Commands() {
			column = max(column, len(sub.Name()))
		}
		for _, sub := range cmd.Commands() {
			if !sub.IsAvailableCommand() && sub.Name() != "help" {
				continue
			}
			var b strings.Builder
			flowIn(&b, columns, column+3, column+3, sub.Short)
			fmt.Fprintf(w, "  %-*s%s", column+1, sub.Name(), strings.TrimLeft(b.String(), " "))
		}
	}
	if cmd.HasAvailableLocalFlags() {
		head("Flags")
		fmt.Fprint(w, cmd.LocalFlags().FlagUsagesWrapped(columns))
	}
	if cmd.HasAvailableInheritedFlags() {
		head("Flags of all " + cmd.Parent().Name() + " commands")
		fmt.Fprint(w, cmd.InheritedFlags().FlagUsagesWrapped(columns))
	}
	if !cmd.HasParent() {
		head("Environment")
		for _, x := range surroundings() {
			flowIn(w, columns, 2, 6, x[0]+"  "+x[1])
		}
	}
	if cmd.HasAvailableSubCommands() {
		fmt.Fprintln(w)
		flowIn(w, columns, 0, 0, fmt.Sprintf("%q says more about a command.", cmd.CommandPath()+" [command] --help"))
	}
}

// writeProse prints paragraphs; a line that is set in stands by itself.
func writeProse(w io.Writer, columns int, text string) {
	var para []string
	end := func() {
		if len(para) > 0 {
			flowIn(w, columns, 0, 0, strings.Join(para, " "))
		}
		para = nil
	}
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n ")
		switch {
		case line == "":
			end()
			fmt.Fprintln(w)
		case line[0] == ' ':
			end()
			in := len(line) - len(strings.TrimLeft(line, " "))
			flowIn(w, columns, in, in+2, strings.TrimSpace(line))
		default:
			para = append(para, line)
		}
	}
	end()
}
