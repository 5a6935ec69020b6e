package cli

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
)

func (c *jobCommands) record() *cobra.Command {
	var page bool
	var out string
	cmd := &cobra.Command{
		Use:   "record",
		Short: "Put the job on paper: Markdown, or one page to print",
		Long: "Put the job on paper: Markdown, or with --html one page that needs nothing else and prints on A4.\n" +
			"It is the workshop's own record and no certificate.",
		Example: "  fettle job record --html --out bramble.html",
		Args:    flagsOnly,
		RunE: func(*cobra.Command, []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			return c.paper(j.Record(), page, out)
		},
	}
	cmd.Flags().BoolVar(&page, "html", false, "one page to print, with plots and photos in it")
	cmd.Flags().StringVar(&out, "out", "", "the file to write; standard output where it is left out")
	return cmd
}

// paper writes a record to out, or to standard output where that is empty: as a
// page where it is asked for or the file's name says so, else as Markdown.
func (c *jobCommands) paper(r *job.Record, page bool, out string) error {
	var b bytes.Buffer
	write := r.WriteMarkdown
	if page || strings.HasSuffix(out, ".html") {
		write = r.WriteHTML
	}
	if err := write(&b); err != nil {
		return err
	}
	if out == "" {
		_, err := c.env.Stdout.Write(b.Bytes())
		return err
	}
	if err := job.WriteFile(out, b.Bytes(), c.jobEnv()); err != nil {
		return unreadable(err)
	}
	fmt.Fprintf(c.env.Stdout, "Written: %s\n", job.Plain(out))
	return nil
}
