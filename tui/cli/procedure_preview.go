package cli

import (
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"fettle/checklist/disk"
	"fettle/checklist/job"
	"fettle/checklist/source"
	"fettle/recipes"
	"fettle/tui"
)

func procedurePreviewCommand(env Env) *cobra.Command {
	var (
		noMouse, ascii bool
		sets           []string
	)
	cmd := &cobra.Command{
		Use:   "preview FILE",
		Short: "Show a procedure file as the fitter will see it, while you write it",
		Long: "Shows a procedure file step by step as the fitter will see it, every setting at\n" +
			"its default or as --set answers it. It is read again whenever it is saved, keeps the place, and shows\n" +
			"what is wrong with the file under the step. Nothing that is entered is kept.",
		Example: "  fettle procedure preview whistle-gland.toml",
		Args:    between(1, 1, "name one procedure file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			in, _ := env.Stdin.(*os.File)
			out := env.outFile()
			if err := tui.Drawable(in, out, env.Getenv); err != nil {
				return usage(fmt.Errorf("%w\nuse instead: fettle procedure check FILE, then fettle procedure show FILE", err))
			}
			if _, err := disk.ReadFile(args[0], source.MaxFile); err != nil {
				return unreadable(plainPathError(err))
			}
			values, err := parseSets(sets)
			if err != nil {
				return err
			}
			err = tui.Run(tui.Options{
				Env:     job.Env{Now: env.Now, StateDir: env.StateDir},
				Recipes: recipes.FS(),
				Preview: args[0],
				Answers: values,
				Config:  env.ConfigDir,
				NoMouse: noMouse,
				ASCII:   ascii || tui.OnlyASCII(env.Getenv),
			}, in, out)
			if errors.Is(err, tui.ErrInterrupted) {
				return &failure{code: exitInterrupt}
			}
			return err
		},
	}
	cmd.Flags().StringArrayVar(&sets, "set", nil, "an answer that stands: --set name=value (repeat for more)")
	cmd.Flags().BoolVar(&noMouse, "no-mouse", false, "leave mouse and taps to the terminal")
	cmd.Flags().BoolVar(&ascii, "ascii", false, "draw with ASCII characters only")
	return cmd
}
