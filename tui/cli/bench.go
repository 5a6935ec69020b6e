package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
	"fettle/recipes"
	"fettle/tui"
)

// benchFlags are the flags of the commands that open the bench screen.
type benchFlags struct {
	jobs    string
	noMouse bool
	ascii   bool
}

func (b *benchFlags) add(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&b.noMouse, "no-mouse", false, "leave mouse and taps to the terminal")
	cmd.Flags().BoolVar(&b.ascii, "ascii", false, "draw with ASCII characters only")
}

// openBench opens the bench screen, on the job in dir where dir is not empty.
func openBench(env Env, flags benchFlags, dir string) error {
	in, _ := env.Stdin.(*os.File)
	out := env.outFile()
	if err := tui.Drawable(in, out, env.Getenv); err != nil {
		return usage(fmt.Errorf("%w\n"+
			"use the commands instead: fettle job list, fettle job status --job DIR,\n"+
			"fettle procedure show NAME, fettle thread M4; fettle --help lists them all", err))
	}
	jobs, beside := jobsDir(env, flags.jobs)
	jobs, err := filepath.Abs(jobs)
	if err != nil {
		return unreadable(err)
	}
	home, _ := os.UserHomeDir() // without one, folders are written in full
	err = tui.Run(tui.Options{
		Env:     job.Env{Now: env.Now, StateDir: env.StateDir},
		Jobs:    jobs,
		Beside:  beside,
		Open:    dir,
		Home:    home,
		Config:  env.ConfigDir,
		Recipes: recipes.FS(),
		Demo:    recipes.Demo(),
		NoMouse: flags.noMouse,
		ASCII:   flags.ascii || tui.OnlyASCII(env.Getenv),
	}, in, out)
	if errors.Is(err, tui.ErrInterrupted) {
		return &failure{code: exitInterrupt}
	}
	return err
}
