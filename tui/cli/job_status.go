package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
	"fettle/threads/check"
)

func (c *jobCommands) status() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "status",
		Short:   "Say how the job stands",
		Example: "  fettle job status --job bramble-blower",
		Args:    flagsOnly,
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
	headed
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
	Outside      []statusOutside  `json:"outside"`
	Steps        []statusStep     `json:"steps"`
	NextStep     string           `json:"next_step"`
	Notices      []string         `json:"notices"`
	Called       []calledJSON     `json:"called"`
	Dangers      []string         `json:"dangers"`
	Closed       bool             `json:"closed"`
}

// statusStep is a step, with what was read there.
type statusStep struct {
	ID       string          `json:"id"`
	Title    string          `json:"title"`
	Status   string          `json:"status"`
	Blocks   []string        `json:"blocks"`
	Readings []statusReading `json:"readings"`
}

type statusReading struct {
	Name    string `json:"name"`
	Value   string `json:"value"` // as it was typed
	By      string `json:"by"`
	Verdict string `json:"verdict"`
}

func statusSteps(j *job.Job, state *job.State) (list []statusStep) {
	for _, step := range j.Filled().Steps() {
		s := state.Steps[step.ID]
		out := statusStep{step.ID, step.Title, string(s.Status), append([]string{}, s.Blocks...), []statusReading{}}
		for _, r := range step.Readings {
			for _, v := range s.Readings[r.Name] {
				verdict := string(check.Good)
				if !v.Judgement.OK {
					verdict = string(v.Judgement.Severity)
				}
				out.Readings = append(out.Readings, statusReading{r.Name, v.Value, v.By, verdict})
			}
		}
		list = append(list, out)
	}
	return list
}

type statusWait struct {
	Step  string `json:"step"`
	Until string `json:"until"`
	Job   string `json:"job,omitempty"` // folder of the called job it belongs to
}

type statusHold struct {
	Step string `json:"step"`
	Who  string `json:"who"`
	Job  string `json:"job,omitempty"` // folder of the called job it belongs to
}

// statusOutside is a step with readings outside their limits.
type statusOutside struct {
	Step     string   `json:"step"`
	Readings []string `json:"readings"`
}

type statusConflict struct {
	Step    string `json:"step"`
	Reading string `json:"reading,omitempty"`
	Text    string `json:"text"`
	Holds   bool   `json:"holds"`
}

func (c *jobCommands) statusJSON(j *job.Job) error {
	state := j.State()
	report := statusReport{
		headed: head("job-status"), Steps: []statusStep{},
		Procedure: j.Filled().Procedure.ID, Engine: j.Engine(),
		StepsTotal: state.Total, StepsDone: state.Done, StepsSkipped: state.Skipped,
		Waiting: []statusWait{}, Holds: []statusHold{}, Short: []string{}, Conflicts: []statusConflict{},
		Outside:  []statusOutside{},
		NextStep: state.Next, Notices: append([]string{}, state.Notices...),
		Called: calledList(state.Called), Dangers: []string{}, Closed: len(state.Closed) > 0,
	}
	for _, d := range state.Standing() {
		report.Dangers = append(report.Dangers, d.String())
	}
	report.Notices = append(report.Notices, j.Beside()...)
	for _, w := range state.Waiting {
		report.Waiting = append(report.Waiting, statusWait{w.Step, stamp(j, w.Until), w.In})
	}
	for _, h := range state.Holds {
		report.Holds = append(report.Holds, statusHold{h.Step, h.Who, h.In})
	}
	for i := range state.Findings {
		if !state.Findings[i].Decided() {
			report.OpenFindings++
		}
	}
	for i := range state.Short {
		if state.Short[i].Open() {
			report.Short = append(report.Short, state.Short[i].Text)
		}
	}
	for _, x := range state.Conflicts {
		report.Conflicts = append(report.Conflicts, statusConflict{x.Step, x.Reading, x.Text, x.Holds})
	}
	for _, step := range j.Filled().Steps() {
		if list := state.Steps[step.ID].Outside; len(list) > 0 {
			report.Outside = append(report.Outside, statusOutside{step.ID, list})
			report.Notices = append(report.Notices, fmt.Sprintf("Step %s is outside limits: %s", step.ID, strings.Join(list, "; ")))
		}
	}
	report.Steps = append(report.Steps, statusSteps(j, &state)...)
	return writeJSON(c.env.Stdout, report)
}

// markOutside stands before a step that is done with a reading outside limits.
const markOutside = "[o]"

// legend explains the marks that a list shows, a mark and its word on one line.
func legend(w io.Writer, shown map[string]bool) {
	line := ""
	for _, m := range [...][2]string{
		{"[ ]", "to do"}, {"[x]", "done"}, {markOutside, "done outside limits"}, {"[-]", "left out"}, {"[w]", "waiting"}, {"[!]", "not yet"},
	} {
		if !shown[m[0]] {
			continue
		}
		word := m[0] + " " + m[1]
		switch {
		case line == "":
			line = word
		case len(line)+2+len(word) > columnsOf(w):
			fmt.Fprintln(w, line)
			line = word
		default:
			line += "  " + word
		}
	}
	fmt.Fprintln(w, line)
}

// stepMarks stand before a step in lists.
var stepMarks = map[job.Status]string{
	job.Todo: "[ ]", job.Done: "[x]", job.Skipped: "[-]", job.Waiting: "[w]", job.Blocked: "[!]",
}

// differs says what two people wrote apart, and whether somebody has to settle it.
func differs(x job.Conflict) string {
	word := "Differs"
	if x.Holds {
		word = "To be settled"
	}
	return fmt.Sprintf("%s: %s: %s", word, strings.TrimSpace(x.Step+" "+x.Reading), x.Text)
}

func (c *jobCommands) statusText(j *job.Job) {
	out := c.env.Stdout
	state, filled := j.State(), j.Filled()
	flow(out, 0, 2, filled.Title)
	for _, outer := range j.Above() {
		flow(out, 0, 2, fmt.Sprintf("Called by: %s, step %s", job.Plain(outer.Title), job.Plain(outer.Step)))
	}
	for _, m := range state.Off {
		flow(out, 0, 2, fmt.Sprintf("CALLED OFF by %s: %s", m.By, m.Text))
	}
	if j.Engine() != "" {
		flow(out, 0, 2, "Engine: "+j.Engine())
	}
	for _, d := range state.Standing() {
		flow(out, 0, 2, "DANGER: "+d.String())
	}
	fmt.Fprintf(out, "Done %d, left out %d, of %d steps\n", state.Done, state.Skipped, state.Total)
	if state.Outside > 0 {
		fmt.Fprintf(out, "Outside limits: %d\n", state.Outside)
	}
	shown := map[string]bool{}
	for _, stage := range filled.Stages {
		fmt.Fprintln(out)
		flow(out, 0, 2, stage.Title)
		for i := range stage.Steps {
			step := &stage.Steps[i]
			s := state.Steps[step.ID]
			mark := stepMarks[s.Status]
			if s.Status == job.Done && len(s.Outside) > 0 {
				mark = markOutside
			}
			shown[mark] = true
			flow(out, 0, 4, fmt.Sprintf("%s %s - %s", mark, step.ID, step.Title))
			for _, r := range step.Readings {
				for _, v := range s.Readings[r.Name] {
					flow(out, 6, 8, fmt.Sprintf("%s %s (%s)", r.Name, v, v.By))
					if !v.Judgement.OK && v.Judgement.Text != "" {
						flow(out, 8, 10, "OUTSIDE: "+v.Judgement.Text)
					}
				}
			}
		}
	}
	fmt.Fprintln(out)
	legend(out, shown)
	c.calledLines(state.Called, 0)
	for _, line := range j.Beside() {
		flow(out, 0, 2, "warn: "+line)
	}
	for _, w := range state.Waiting {
		flow(out, 0, 2, fmt.Sprintf("Waiting: %s until %s", w.Step, j.Wall().Show(w.Until, job.Moment))+inCalled(w.In))
	}
	for _, h := range state.Holds {
		flow(out, 0, 2, fmt.Sprintf("Hold: %s, released by the %s", h.Step, h.Who)+inCalled(h.In))
	}
	for i := range state.Findings {
		if f := &state.Findings[i]; !f.Decided() {
			flow(out, 0, 2, fmt.Sprintf("Open finding %d: %s %s", f.Order, f.What, f.Where()))
		}
	}
	for i := range state.Short {
		if s := &state.Short[i]; s.Open() {
			flow(out, 0, 2, fmt.Sprintf("Short of: %s", s.Text))
		}
	}
	for _, x := range state.Conflicts {
		flow(out, 0, 2, differs(x))
	}
	c.next(j, state)
	for _, n := range state.Notices {
		flow(c.env.Stderr, 0, 2, n)
	}
}
