package cli

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist"
	"fettle/checklist/disk"
	"fettle/checklist/job"
	"fettle/checklist/source"
	"fettle/recipes"
)

func (c *jobCommands) call() *cobra.Command {
	var set []string
	var file string
	cmd := &cobra.Command{
		Use:   "call [STEP]",
		Short: "Start the procedure that a step calls, as a job inside the job",
		Long: "Start the procedure that a step calls, as a job inside the job. Every command works on it with\n" +
			"--job FOLDER, and the step that called it is not done before it is. Settings that the job knows are\n" +
			"taken over; --set gives the others, or other values. The procedure is looked for in this folder,\n" +
			"beside the job, and among the bundled ones. Without STEP it lists what the steps call.",
		Example: "  fettle job call holes --job cover --set metal=gunmetal",
		Args:    between(0, 1, "name one step, or none for a list"),
		RunE: func(_ *cobra.Command, args []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			if len(args) == 0 {
				c.calls(j)
				return nil
			}
			values, err := parseSets(set)
			if err != nil {
				return err
			}
			return c.startCalled(j, args[0], file, values)
		},
	}
	cmd.Flags().StringArrayVar(&set, "set", nil, "a setting, as name=value; may be given again")
	cmd.Flags().StringVar(&file, "procedure", "", "file of the called procedure, where it lies elsewhere")
	return cmd
}

// calls lists the steps that call a procedure.
func (c *jobCommands) calls(j *job.Job) {
	none := true
	for _, step := range j.Filled().Steps() {
		if step.Call == nil {
			continue
		}
		none = false
		when := "always"
		if step.Call.Ask != "" {
			when = "if yes: " + step.Call.Ask
		}
		flow(c.env.Stdout, 0, 2, fmt.Sprintf("%s calls %s, %s", step.ID, step.Call.Procedure, when))
	}
	if none {
		fmt.Fprintln(c.env.Stdout, "No step calls another procedure.")
	}
	c.calledLines(j.State().Called, 0)
}

// calledLines are the called jobs, each with its folder.
func (c *jobCommands) calledLines(list []job.Called, indent int) {
	for i := range list {
		x := &list[i]
		flow(c.env.Stdout, indent, indent+2, fmt.Sprintf("Called at %s: %s", x.Step, x.Says()))
		for _, m := range x.Off {
			flow(c.env.Stdout, indent+2, indent+4, m.Text+" ("+m.By+")")
		}
		if x.Problem != "" {
			flow(c.env.Stdout, indent+2, indent+4, x.Problem)
		}
		// On a line of its own and whole, to be copied.
		fmt.Fprintf(c.env.Stdout, "%*s%s\n", indent+2, "", job.Plain(x.Dir))
		c.calledLines(x.Called, indent+2)
	}
}

// libraryAround is where the procedures are looked for that a job calls.
func libraryAround(j *job.Job) *checklist.Library {
	outer := j.Dir()
	if above := j.Above(); len(above) > 0 {
		outer = above[0].Dir
	}
	return checklist.NewLibrary(disk.Folder(".", source.MaxFile), disk.Folder(filepath.Join(outer, ".."), source.MaxFile), recipes.FS())
}

// calledProcedure finds the procedure that a step calls.
func (c *jobCommands) calledProcedure(j *job.Job, step, file string) (*checklist.Procedure, error) {
	id, err := j.Callable(step)
	if err != nil {
		return nil, jobFailure(err)
	}
	if file != "" {
		return loadProcedure(c.env, file)
	}
	library := libraryAround(j)
	proc, found := library.Procedure(id)
	switch {
	case proc == nil:
		return nil, usage(fmt.Errorf("there is no procedure %s in this folder, beside the job or among the bundled ones: name its file with --procedure FILE", id))
	case found.HasStop():
		if err := found.WriteText(c.env.Stderr); err != nil {
			return nil, err
		}
		return nil, unreadable(fmt.Errorf("%s cannot be used until its stops are put right", proc.File))
	}
	return proc, nil
}

func (c *jobCommands) startCalled(j *job.Job, step, file string, given map[string]string) error {
	proc, err := c.calledProcedure(j, step, file)
	if err != nil {
		return err
	}
	plan, err := j.PlanCall(step, proc)
	if err != nil {
		return jobFailure(err)
	}
	values := plan.Values
	var taken []string
	for _, name := range sortedNames(values) {
		if _, other := given[name]; !other {
			taken = append(taken, name+" "+values[name])
		}
	}
	for name, value := range given {
		values[name] = value
	}
	child, saved, err := j.Call(step, proc, values)
	if child == nil {
		return jobFailure(err)
	}
	flow(c.env.Stdout, 0, 2, "Started: "+child.Filled().Title)
	fmt.Fprintln(c.env.Stdout, job.Plain(child.Dir()))
	if len(taken) > 0 {
		flow(c.env.Stdout, 0, 2, "Taken over: "+strings.Join(taken, ", "))
	}
	for _, text := range plan.Refused {
		if name, _, _ := strings.Cut(text, " "); !slices.Contains(sortedNames(given), name) {
			flow(c.env.Stdout, 0, 2, "Not taken over: "+text)
		}
	}
	c.next(child, child.State())
	if err != nil {
		return jobFailure(err)
	}
	if saved.Notice != "" {
		flow(c.env.Stderr, 0, 2, saved.String())
	}
	return c.remember()
}

func (c *jobCommands) callOff() *cobra.Command {
	return &cobra.Command{
		Use:   "call-off REASON",
		Short: "Call off a called job that was started by mistake",
		Long: "Call off a called job that was started by mistake, with the reason; --job names it. Once a step of\n" +
			"it is done it is finished instead. Like other entries it can be undone.",
		Example: "  fettle job call-off \"it was the next hole\" --job cover/called/holes-a1b2c3",
		Args:    atLeast(1, "give the reason"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.CallOff(strings.Join(args, " ")) })
		},
	}
}

// calledJSON is one called job in the status and the list.
type calledJSON struct {
	Step       string       `json:"step"`
	Procedure  string       `json:"procedure"`
	Title      string       `json:"title"`
	Job        string       `json:"job"` // its folder, for --job
	StepsDone  int          `json:"steps_done"`
	StepsTotal int          `json:"steps_total"`
	Open       bool         `json:"open"`
	CalledOff  bool         `json:"called_off,omitempty"`
	Problem    string       `json:"problem,omitempty"`
	Called     []calledJSON `json:"called,omitempty"`
}

func calledList(list []job.Called) []calledJSON {
	out := []calledJSON{}
	for _, x := range list {
		line := calledJSON{x.Step, x.Procedure, x.Title, x.Dir, x.Done, x.Total, x.Open, len(x.Off) > 0, x.Problem, nil}
		if len(x.Called) > 0 {
			line.Called = calledList(x.Called)
		}
		out = append(out, line)
	}
	return out
}

// inCalled says in which called job something stands.
func inCalled(dir string) string {
	if dir == "" {
		return ""
	}
	return " (in " + job.Plain(dir) + ")"
}
