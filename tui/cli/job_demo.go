package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
	"fettle/recipes"
	"fettle/tui"
)

func (c *jobCommands) demo() *cobra.Command {
	return &cobra.Command{
		Use:   "demo",
		Short: "Lay down the demo: an invented engine half-way through a refit",
		Long: "Lay down the demo: a refit of the top feed on an invented engine, with the history of two people,\n" +
			"a part that is short, an open finding and a sealant that is curing now. --job names its folder;\n" +
			"without it that is " + tui.DemoName + " among the jobs. Delete the folder when you have seen enough.",
		Example: "  fettle job demo --job look-round",
		Args:    flagsOnly,
		RunE: func(*cobra.Command, []string) error {
			if c.dir == "" {
				c.dir = tui.DemoName
			}
			dir := c.newFolder()
			if err := tui.LayDemo(dir, recipes.Demo(), recipes.FS(), job.Env{Now: c.env.Now}); err != nil {
				return jobFailure(err)
			}
			fmt.Fprintf(c.env.Stdout, "The demo is laid down in %s.\n"+
				"  fettle job open %[1]s\n"+
				"  fettle job status --job %[1]s\n"+
				"  fettle job log --job %[1]s\n", job.Plain(dir))
			return nil
		},
	}
}
