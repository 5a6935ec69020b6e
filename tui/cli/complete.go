package cli

import (
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fettle/checklist/job"
	"fettle/checklist/lookup"
	"fettle/threads"
)

// offers is what may stand at a place of a command line, each with what it is.
type offers []cobra.Completion

func (w *offers) add(word, what string) { *w = append(*w, cobra.CompletionWithDesc(word, what)) }

// completer says what may come next on a command line. It is only made where a
// shell asks, so a command costs nothing for it.
type completer struct{ env Env }

// all gives every command below cmd, and their flags, what a shell may offer.
func (c completer) all(cmd *cobra.Command) {
	for _, at := range family(cmd) {
		if at.ValidArgsFunction == nil && at.ValidArgs == nil && at.Runnable() {
			at.ValidArgsFunction = c.argument
		}
		at.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if fill := c.flag(f.Name); fill != nil {
				// A flag that has its own words already keeps them.
				_ = at.RegisterFlagCompletionFunc(f.Name, fill)
			}
		})
	}
}

// flag is what a flag of that name takes; nil where only its owner knows.
func (c completer) flag(name string) cobra.CompletionFunc {
	switch name {
	case "job":
		return func(cmd *cobra.Command, _ []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return c.jobs(cmd), cobra.ShellCompDirectiveDefault
		}
	case "jobs", "man":
		return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return nil, cobra.ShellCompDirectiveFilterDirs
		}
	case "step", "fastener", "by", "name", "person":
		return func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return c.ofJob(cmd, strings.ToUpper(name), args), cobra.ShellCompDirectiveNoFileComp
		}
	case "set":
		return func(cmd *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			var list offers
			if len(args) > 0 {
				if p, err := loadProcedure(Env{Stderr: io.Discard}, args[0]); err == nil {
					for _, s := range p.Settings {
						list.add(s.Name+"=", s.Ask)
					}
				}
			}
			return list, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
		}
	}
	return nil
}

// argument offers what the command's own line says stands at this place.
func (c completer) argument(cmd *cobra.Command, args []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	places := strings.Fields(strings.TrimSuffix(cmd.Use, " [flags]"))[1:]
	if len(places) == 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	at := min(len(args), len(places)-1)
	place := strings.Trim(strings.TrimSuffix(places[at], "..."), "[]")
	if len(args) >= len(places) && !strings.HasSuffix(places[at], "...") && !several(place) {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var list offers
	switch {
	case place == "PROCEDURE":
		return c.procedures(), cobra.ShellCompDirectiveDefault
	case place == "DIR" && cmd.Name() == "open":
		return c.jobs(cmd), cobra.ShellCompDirectiveDefault
	case place == "DIR", place == "FOLDER":
		return nil, cobra.ShellCompDirectiveFilterDirs
	case place == "FILE":
		return []cobra.Completion{"toml"}, cobra.ShellCompDirectiveFilterFileExt
	case several(place):
		return nextWords(threadNames(), args, begun), cobra.ShellCompDirectiveNoFileComp
	case strings.ToLower(place) == place && strings.Contains(place, "|"):
		for _, word := range strings.Split(place, "|") {
			list.add(word, "")
		}
	case place == "DECISION":
		for _, d := range job.Decisions() {
			list.add(string(d), "")
		}
	case place == "LINE=VALUE":
		for _, line := range job.SheetLines() {
			list.add(line.Name+"=", line.Label)
		}
		return list, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	default:
		list = c.ofJob(cmd, place, args)
	}
	return list, cobra.ShellCompDirectiveNoFileComp
}

// several says that a place takes names of several words, one after the other.
func several(place string) bool { return slices.Contains(strings.Split(place, "|"), "THREAD") }

// threadNames are all threads, each with what it is.
func threadNames() map[string]string {
	names := map[string]string{}
	for _, t := range threads.All() {
		names[t.String()] = string(t.Series) + ", " + t.Major.String() + " x " + t.PitchText()
	}
	return names
}

// nextWords are the words that go on with what was typed: names whole, with hyphens,
// which every shell takes as one word, and the next word of a name that is begun. Where
// what was typed last is no thread by itself, nothing but that can follow.
func nextWords(names map[string]string, typed []string, begun string) offers {
	var begin, goOn offers
	met := map[string]bool{}
	for _, name := range slices.Sorted(maps.Keys(names)) {
		parts := strings.Fields(name)
		word, list := strings.Join(parts, "-"), &begin
		for n := min(len(typed), len(parts)-1); n > 0; n-- {
			if slices.EqualFunc(parts[:n], typed[len(typed)-n:], strings.EqualFold) {
				word, list = parts[n], &goOn
				break
			}
		}
		if len(word) >= len(begun) && strings.EqualFold(word[:len(begun)], begun) && !met[word] {
			met[word] = true
			list.add(word, names[name])
		}
	}
	if len(goOn) > 0 {
		if _, err := threads.Parse(typed[len(typed)-1]); err != nil {
			return goOn
		}
	}
	return append(goOn, begin...)
}

// procedures are the bundled ones.
func (c completer) procedures() offers {
	var list offers
	bundled, err := bundledProcedures()
	if err != nil {
		return nil
	}
	for _, b := range bundled {
		list.add(b.procedure.ID, b.procedure.Title)
	}
	return list
}

// jobs are those the bench screen shows, by the names that --job takes.
func (c completer) jobs(cmd *cobra.Command) offers {
	var list offers
	root, beside := jobsDir(c.env, flagText(cmd, "jobs"))
	env := job.Env{Now: c.env.Now, StateDir: c.env.StateDir}
	jobs, _ := job.ListHere(root, env)
	if beside != "" {
		more, _ := job.ListHere(beside, env)
		jobs = append(jobs, more...)
	}
	for _, s := range jobs {
		if s.Err == nil {
			list.add(filepath.Base(s.Dir), s.Engine+": "+s.Title)
		}
	}
	return list
}

func flagText(cmd *cobra.Command, name string) string {
	if f := cmd.Flag(name); f != nil {
		return f.Value.String()
	}
	return ""
}

// ofJob are the words that only a job knows: its steps, readings, findings ...
func (c completer) ofJob(cmd *cobra.Command, place string, args []string) offers {
	commands := jobCommands{env: c.env, dir: flagText(cmd, "job"), jobs: flagText(cmd, "jobs")}
	dir, err := commands.folder()
	if err != nil {
		return nil
	}
	j, err := job.Open(dir, commands.jobEnv())
	if err != nil {
		return nil
	}
	var list offers
	state := j.State()
	switch place {
	case "STEP":
		for _, step := range j.Filled().Steps() {
			list.add(step.ID, step.Title)
		}
	case "READING", "GATE":
		if len(args) == 0 {
			return nil
		}
		if place == "GATE" {
			for _, g := range state.Steps[args[0]].Gates {
				list.add(string(g.Name), g.Text)
			}
		} else if step := j.Filled().Step(args[0]); step != nil {
			for _, r := range step.Readings {
				list.add(r.Name, r.Ask)
			}
		}
	case "FINDING":
		for _, f := range state.Findings {
			list.add(strconv.Itoa(f.Order), string(f.What)+": "+f.Text)
		}
	case "ENTRY":
		for _, e := range slices.Backward(j.Log()) {
			if e.UndoneBy == "" && !e.Replaced {
				list.add(e.ID, e.Says)
			}
		}
	case "FASTENER":
		for _, f := range j.Filled().Fasteners {
			list.add(f.Name, f.Label)
		}
	case "BY", "NAME", "PERSON":
		met := map[string]bool{}
		for _, e := range j.Log() {
			if e.By != "" && !met[e.By] {
				met[e.By] = true
				list.add(e.By, "")
			}
		}
	}
	return list
}

// sheetWords gives the fields of a look-up's flags their words with hyphens, which
// every shell takes as one word.
func sheetWords(field lookup.Field) []cobra.Completion {
	var list offers
	for _, word := range field.Choices() {
		what := ""
		if field.Tell != nil {
			what = field.Tell(word)
		}
		if joined := strings.Join(strings.Fields(word), "-"); field.Read(joined) == nil {
			word = joined
		}
		list.add(word, what)
	}
	return list
}

// completionCommand writes the script of a shell. Where it has to be put is the
// shell's own custom, so each says it for the shell as it comes.
func completionCommand(env Env) *cobra.Command {
	scripts := []struct {
		shell, put string
		write      func(*cobra.Command) error
	}{
		{"bash", "fettle completion bash > ~/.local/share/bash-completion/completions/fettle", func(root *cobra.Command) error { return root.GenBashCompletionV2(env.Stdout, true) }},
		{"zsh", "fettle completion zsh > \"${fpath[1]}/_fettle\"", func(root *cobra.Command) error { return root.GenZshCompletion(env.Stdout) }},
		{"fish", "fettle completion fish > ~/.config/fish/completions/fettle.fish", func(root *cobra.Command) error { return root.GenFishCompletion(env.Stdout, true) }},
	}
	var names []string
	help := "Write the script that makes a shell complete the words of this program. Put it where the shell\n" +
		"looks for such scripts, and open a new one:\n"
	for _, s := range scripts {
		names = append(names, s.shell)
		help += "\n  " + s.put
	}
	return &cobra.Command{
		Use:       "completion [" + strings.Join(names, "|") + "]",
		Long:      help,
		Example:   "  " + scripts[0].put,
		Args:      between(0, 1, "name a shell: "+strings.Join(names, ", ")),
		ValidArgs: names,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return cmd.Help()
			}
			for _, s := range scripts {
				if s.shell == args[0] {
					return s.write(cmd.Root())
				}
			}
			return misshapen(fmt.Errorf("%q is no shell that is known here; there are %s", args[0], strings.Join(names, ", ")))
		},
	}
}
