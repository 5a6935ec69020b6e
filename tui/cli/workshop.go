package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"fettle/checklist/workshop"
)

// tools are what the user has listed. A mistake in the list is told, and the answer
// comes without: at the bench a figure is worth more than a list.
func (env Env) tools() workshop.Tools {
	own, err := workshop.Read(env.ConfigDir)
	if err != nil {
		fmt.Fprintf(env.Stderr, "warn: %v. The own tools are left out.\n", err)
	}
	return own
}

// workshopCommand is about the file of own tools.
func workshopCommand(env Env) *cobra.Command {
	cmd := &cobra.Command{
		Use: "workshop",
		Long: "Your own drills, taps and spanners. Advice prefers them. They stand in " + workshop.FileName + "\n" +
			"in your configuration folder, or in the folder that FETTLE_CONFIG names.",
		Args: known,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	var families []string
	for _, f := range workshop.Families() {
		families = append(families, f.Name)
	}
	cmd.AddCommand(&cobra.Command{
		Use:   "new [FAMILY]...",
		Short: "Write the list of a workshop's tools, to be struck through",
		Long: "Write the list of a workshop's tools: the usual sizes of each FAMILY of taps it owns, with spanners.\n" +
			"Then strike out what is not in the drawer. A list that is there already is not touched.",
		Example:   "  fettle workshop new BA ME metric",
		ValidArgs: families,
		RunE: func(_ *cobra.Command, args []string) error {
			text, err := workshop.Starter(args)
			if err != nil {
				return usage(err)
			}
			if env.ConfigDir == "" {
				return usage(errors.New("there is no configuration folder on this device: name one with FETTLE_CONFIG"))
			}
			if err := os.MkdirAll(env.ConfigDir, 0o777); err != nil {
				return unreadable(plainPathError(err))
			}
			name := filepath.Join(env.ConfigDir, workshop.FileName)
			if _, err := os.Lstat(name); err == nil {
				return usage(fmt.Errorf("%s is there already: change it, or move it away first", name))
			}
			if err := writeNew(name, []byte(text), false); err != nil {
				return err
			}
			fmt.Fprintf(env.Stdout, "%s written. Strike out what is not in the drawer.\n", name)
			return nil
		},
	})
	return cmd
}
