package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"fettle/checklist/disk"
	"fettle/checklist/paper"
	"fettle/recipes"
)

func procedureNewCommand(env Env) *cobra.Command {
	var (
		s     paper.Starter
		out   string
		force bool
	)
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Write a small, complete procedure to start from",
		Long: "Writes a small, complete, commented procedure to NAME.toml. What no flag says is\n" +
			"asked for in a terminal, and has a default elsewhere.",
		Example: "  fettle procedure new blower-gland --title \"Repack the blower gland\" --seal packing\n" +
			"  fettle procedure new dome-cover --seal gasket --thread \"4 BA\" --output -",
		Args: between(1, 1, "give the new procedure a name, such as blower-gland"),
		RunE: func(cmd *cobra.Command, args []string) error {
			s.ID = strings.TrimSuffix(args[0], ".toml")
			if prompts(env) {
				if err := askStarter(env, &s, cmd.Flags().Changed); err != nil {
					return err
				}
			}
			src, err := paper.WriteStarter(recipes.Starters(), s)
			if err != nil {
				return usage(err)
			}
			if out == "-" {
				_, err := io.WriteString(env.Stdout, src)
				return err
			}
			if out == "" {
				out = s.ID + ".toml"
			}
			if err := writeNew(out, []byte(src), force); err != nil {
				return err
			}
			fmt.Fprintf(env.Stdout, "%s written. Change it, then: fettle procedure check %s\n", out, out)
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&s.Title, "title", "", "what the procedure does, in a few words")
	f.StringVar(&s.Seal, "seal", "", "what seals the fitting: "+strings.Join(paper.StarterSeals(), ", ")+" (default packing)")
	f.StringVar(&s.Thread, "thread", "", "thread of its nut or screws, such as \"2 BA\"")
	f.StringVar(&out, "output", "", "file to write; - is standard output (default NAME.toml)")
	f.BoolVar(&force, "force", false, "write over a file that is there")
	return cmd
}

// writeNew writes a file that must not be there yet, unless force is set.
func writeNew(name string, data []byte, force bool) error {
	flags := os.O_WRONLY | os.O_CREATE
	if force {
		if info, err := os.Lstat(name); err == nil {
			if err := disk.CheckFile(name, info.Mode()); err != nil {
				return unreadable(err)
			}
		}
		flags |= os.O_TRUNC
	} else {
		flags |= os.O_EXCL
	}
	file, err := os.OpenFile(name, flags, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return usage(fmt.Errorf("%s is there already; choose another --output, or --force to write over it", name))
	}
	if err != nil {
		return unreadable(plainPathError(err))
	}
	_, err = file.Write(data)
	if closeErr := file.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return unreadable(plainPathError(err))
	}
	return nil
}

// prompts says whether there is somebody to ask: both ends are a terminal that
// is no dumb one.
func prompts(env Env) bool {
	in, ok := env.Stdin.(*os.File)
	if !ok || env.Getenv("TERM") == "dumb" {
		return false
	}
	out := env.outFile()
	return out != nil && isatty.IsTerminal(in.Fd()) && isatty.IsTerminal(out.Fd())
}

// askStarter asks for what no flag has said. An empty answer takes the default.
func askStarter(env Env, s *paper.Starter, given func(flag string) bool) error {
	// What a flag has said is looked at first: no answer could put it right.
	if _, err := paper.WriteStarter(recipes.Starters(), *s); err != nil {
		return usage(err)
	}
	lines := bufio.NewScanner(env.Stdin)
	for _, q := range [...]struct {
		flag, text string
		to         *string
	}{
		{"title", "What does it do, in a few words?", &s.Title},
		{"seal", "What seals the fitting (" + strings.Join(paper.StarterSeals(), ", ") + ")? [packing]", &s.Seal},
		{"thread", "Thread of its nut or screws? [a usual one]", &s.Thread},
	} {
		for !given(q.flag) {
			fmt.Fprintf(env.Stdout, "%s ", q.text)
			if !lines.Scan() {
				if err := lines.Err(); err != nil {
					return unreadable(err)
				}
				return &failure{code: exitInterrupt, err: errors.New("nothing written")}
			}
			*q.to = strings.TrimSpace(lines.Text())
			if _, err := paper.WriteStarter(recipes.Starters(), *s); err != nil {
				fmt.Fprintln(env.Stdout, err)
				*q.to = ""
				continue
			}
			break
		}
	}
	return nil
}

func procedureSchemaCommand(env Env) *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print a JSON Schema of the file format, for editors",
		Long: "Prints a JSON Schema (draft 2020-12) of the file format. An editor that checks TOML\n" +
			"with a schema completes keys and kinds with it; what the texts mean only\n" +
			"fettle procedure check knows.",
		Example: "  fettle procedure schema > procedure.schema.json",
		Args:    flagsOnly,
		RunE: func(*cobra.Command, []string) error {
			return writeJSON(env.Stdout, paper.Schema())
		},
	}
}
