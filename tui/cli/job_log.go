package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
)

func (c *jobCommands) log() *cobra.Command {
	var asJSON bool
	var filter job.Filter
	var from, to string
	cmd := &cobra.Command{
		Use:   "log",
		Short: "Print every entry of the job, oldest first",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			var err error
			if filter.From, err = c.day("--from", from); err != nil {
				return usage(err)
			}
			if filter.To, err = c.day("--to", to); err != nil {
				return usage(err)
			}
			if !filter.To.IsZero() {
				filter.To = filter.To.AddDate(0, 0, 1) // the day itself counts
			}
			j, err := c.opened()
			if err != nil {
				return err
			}
			events := filter.Pick(j.Log())
			if asJSON {
				return c.logJSON(events)
			}
			for _, e := range events {
				c.logLine(e)
			}
			for _, n := range j.State().Notices {
				fmt.Fprintln(c.env.Stderr, n)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().StringVar(&filter.Step, "step", "", "only entries of this step")
	cmd.Flags().StringVar(&filter.Person, "person", "", "only entries of this person")
	cmd.Flags().StringVar(&from, "from", "", "only from this day on, as 2026-03-01")
	cmd.Flags().StringVar(&to, "to", "", "only up to and with this day")
	return cmd
}

// day reads a date in the time zone of the clock.
func (c *jobCommands) day(flag, text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	day, err := time.ParseInLocation(time.DateOnly, text, c.env.Now().Location())
	if err != nil {
		return day, fmt.Errorf("%s wants a day as 2026-03-01, not %q", flag, text)
	}
	return day, nil
}

func (c *jobCommands) logLine(e job.Event) {
	at := "time unknown    "
	if !e.At.IsZero() {
		at = e.At.Format("2006-01-02 15:04")
	}
	by := e.By
	if by == "" {
		by = "somebody"
	}
	fmt.Fprintf(c.env.Stdout, "%s %s (%s)\n  %s\n", at, by, e.ID, e.Says)
	switch {
	case e.Newer:
		fmt.Fprintln(c.env.Stdout, "  made by a newer version, not understood here")
	case e.UndoneBy != "":
		fmt.Fprintf(c.env.Stdout, "  undone by %s\n", e.UndoneBy)
	case e.Replaced:
		fmt.Fprintln(c.env.Stdout, "  replaced later")
	}
}

func (c *jobCommands) logJSON(events []job.Event) error {
	type line struct {
		job.Entry
		Says     string `json:"says"`
		UndoneBy string `json:"undone_by,omitempty"`
		Replaced bool   `json:"replaced,omitempty"`
		Newer    bool   `json:"newer,omitempty"`
	}
	lines := make([]line, len(events))
	for i, e := range events {
		lines[i] = line{e.Entry, e.Says, e.UndoneBy, e.Replaced, e.Newer}
	}
	return writeJSON(c.env.Stdout, lines)
}
