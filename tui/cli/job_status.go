package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
)

func (c *jobCommands) status() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "status",
		Short: "Say how the job stands",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			if asJSON {
				return c.statusJSON(j)
			}
			c.statusText(j)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

// statusReport is `fettle job status --json`.
type statusReport struct {
	Procedure    string           `json:"procedure"`
	Engine       string           `json:"engine"`
	StepsTotal   int              `json:"steps_total"`
	StepsDone    int              `json:"steps_done"`
	StepsSkipped int              `json:"steps_skipped"`
	OpenFindings int              `json:"open_findings"`
	Waiting      []statusWait     `json:"waiting"`
	Holds        []statusHold     `json:"holds"`
	Short        []string         `json:"short"`
	Conflicts    []statusConflict `json:"conflicts"`
	NextStep     string           `json:"next_step"`
	Notices      []string         `json:"notices"`
}

type statusWait struct {
	Step  string `json:"step"`
	Until string `json:"until"`
}

type statusHold struct {
	Step string `json:"step"`
	Who  string `json:"who"`
}

type statusConflict struct {
	Step    string `json:"step"`
	Reading string `json:"reading,omitempty"`
	Text    string `json:"text"`
}

func (c *jobCommands) statusJSON(j *job.Job) error {
	state := j.State()
	report := statusReport{
		Procedure: j.Filled().Procedure.ID, Engine: j.Engine(),
		StepsTotal: state.Total, StepsDone: state.Done, StepsSkipped: state.Skipped,
		Waiting: []statusWait{}, Holds: []statusHold{}, Short: []string{}, Conflicts: []statusConflict{},
		NextStep: state.Next, Notices: append([]string{}, state.Notices...),
	}
	for _, w := range state.Waiting {
		report.Waiting = append(report.Waiting, statusWait{w.Step, w.Until.Format(time.RFC3339)})
	}
	for _, h := range state.Holds {
		report.Holds = append(report.Holds, statusHold{h.Step, h.Who})
	}
	for i := range state.Findings {
		if state.Findings[i].Disposition == nil {
			report.OpenFindings++
		}
	}
	for i := range state.Short {
		if state.Short[i].Open() {
			report.Short = append(report.Short, state.Short[i].Text)
		}
	}
	for _, x := range state.Conflicts {
		report.Conflicts = append(report.Conflicts, statusConflict{x.Step, x.Reading, x.Text})
	}
	return writeJSON(c.env.Stdout, report)
}

// stepMarks stand before a step in lists.
var stepMarks = map[job.Status]string{
	job.Todo: "[ ]", job.Done: "[x]", job.Skipped: "[-]", job.Waiting: "[w]", job.Blocked: "[!]",
}

func (c *jobCommands) statusText(j *job.Job) {
	out := c.env.Stdout
	state, filled := j.State(), j.Filled()
	fmt.Fprintln(out, filled.Title)
	if j.Engine() != "" {
		fmt.Fprintln(out, "Engine:", j.Engine())
	}
	fmt.Fprintf(out, "Done %d, left out %d, of %d steps\n", state.Done, state.Skipped, state.Total)
	for _, stage := range filled.Stages {
		fmt.Fprintf(out, "\n%s\n", stage.Title)
		for i := range stage.Steps {
			step := &stage.Steps[i]
			s := state.Steps[step.ID]
			fmt.Fprintf(out, "%s %s - %s\n", stepMarks[s.Status], step.ID, step.Title)
			for _, r := range step.Readings {
				for _, v := range s.Readings[r.Name] {
					fmt.Fprintf(out, "      %s %s (%s)\n", r.Name, v, v.By)
				}
			}
		}
	}
	fmt.Fprintln(out)
	for _, w := range state.Waiting {
		fmt.Fprintf(out, "Waiting: %s until %s\n", w.Step, w.Until.Format("Mon 2 Jan 2006 15:04"))
	}
	for _, h := range state.Holds {
		fmt.Fprintf(out, "Hold: %s, released by the %s\n", h.Step, h.Who)
	}
	for i := range state.Findings {
		if f := &state.Findings[i]; f.Disposition == nil {
			fmt.Fprintf(out, "Open finding %d: %s %s\n", f.Order, f.What, f.Where())
		}
	}
	for i := range state.Short {
		if s := &state.Short[i]; s.Open() {
			fmt.Fprintf(out, "Short of: %s\n", s.Text)
		}
	}
	for _, x := range state.Conflicts {
		fmt.Fprintf(out, "Conflict: %s %s: %s\n", x.Step, x.Reading, x.Text)
	}
	c.next(j, state)
	for _, n := range state.Notices {
		fmt.Fprintln(c.env.Stderr, n)
	}
}
