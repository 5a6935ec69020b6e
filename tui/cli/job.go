package cli

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fettle/checklist"
	"fettle/checklist/job"
)

func jobCommand(env Env) *cobra.Command {
	cmd := &cobra.Command{
		Use: "job",
		Long: "Keep a refit under way.\n\n" +
			"A job is a folder. Every device that works on it adds to a log of its own there, so the folder\n" +
			"can be carried on a stick or by any tool that syncs files. --job names it: a folder, or the name of\n" +
			"a job in the jobs folder (--jobs, else $FETTLE_JOBS, else ./jobs). Without it the current folder is\n" +
			"taken, or the nearest one above that is a job.",
		Args: known,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	j := &jobCommands{env: env}
	cmd.PersistentFlags().StringVar(&j.dir, "job", "", "the job: a folder, or a name in the jobs folder")
	cmd.PersistentFlags().StringVar(&j.jobs, "jobs", "", jobsHelp)
	cmd.PersistentFlags().StringVar(&j.by, "by", "", "who is working; remembered on this device the first time")
	cmd.AddCommand(
		j.start(), j.demo(), j.list(), j.status(), j.open(),
		j.tick(), j.skip(), j.release(), j.read(), j.note(), j.undo(),
		j.person(), j.log(), j.verify(), j.accept(), j.merge(), j.export(),
		j.finding(), j.figure(), j.dispose(), j.short(), j.got(), j.needs(),
		j.pass(), j.witness(), j.shop(), j.tally(), j.blank(), j.test(), j.record(),
		j.call(), j.callOff(),
		j.begin(), j.settle(), j.reopen(), j.answer(), j.close(),
	)
	return cmd
}

// jobCommands are the commands on one job; the flags are theirs together.
type jobCommands struct {
	env           Env
	dir, jobs, by string
}

func (c *jobCommands) jobEnv() job.Env {
	return job.Env{Now: c.env.Now, StateDir: c.env.StateDir, Person: c.by}
}

func (c *jobCommands) opened() (*job.Job, error) {
	dir, err := c.folder()
	if err != nil {
		return nil, err
	}
	j, err := job.Open(dir, c.jobEnv())
	if err != nil {
		return nil, jobFailure(err)
	}
	return j, nil
}

// remember keeps the name given with --by where this device knows none yet.
func (c *jobCommands) remember() error {
	if c.by == "" {
		return nil
	}
	known, err := job.Person(c.jobEnv())
	if err != nil || known != "" {
		return nil // what cannot be remembered does not stop the work
	}
	return job.SetPerson(c.jobEnv(), c.by)
}

// jobFailure gives an error of a job its exit code.
func jobFailure(err error) error {
	var blocked *job.BlockedError
	var refused *job.RefusedError
	var folder *job.FolderError
	var settings *job.SettingsError
	var notSaved *job.NotSavedError
	var coded *failure
	switch {
	case err == nil:
		return nil
	case errors.As(err, &coded):
		return err
	case errors.As(err, &blocked), errors.As(err, &refused), errors.Is(err, job.ErrNothingToUndo):
		return &failure{code: exitFound, err: err}
	case errors.As(err, &folder), errors.As(err, &notSaved):
		return unreadable(err)
	case errors.Is(err, job.ErrNobody):
		return usage(errors.New("nobody has said who is working: add --by NAME (remembered on this device)"))
	case errors.Is(err, job.ErrNoEngine):
		return misshapen(errors.New("say which engine the job is on: --engine NAME"))
	case errors.As(err, &settings):
		if names := settings.Diagnostics.Unanswered(); len(names) > 0 {
			return usage(fmt.Errorf("%w\n%s", err, answerWith(names)))
		}
	}
	return usage(err)
}

// write runs one entry-making call on the job and says what became of it.
func (c *jobCommands) write(make func(j *job.Job) (job.Saved, error)) error {
	j, err := c.opened()
	if err != nil {
		return err
	}
	saved, err := make(j)
	if err != nil {
		return jobFailure(err)
	}
	who := j.Person()
	if who == "" {
		who = saved.Entry.By
	}
	flow(c.env.Stdout, 0, 2, saved.Named(who))
	flow(c.env.Stdout, 0, 2, saved.Said)
	return c.remember()
}

func (c *jobCommands) start() *cobra.Command {
	var set []string
	var engine string
	cmd := &cobra.Command{
		Use:   "start PROCEDURE",
		Short: "Start a job in a new folder",
		Long: "Start a job in a new folder (--job), among the others where it is only a name. PROCEDURE is the name of a bundled one\n" +
			"(\"fettle procedure list\") or a file. Settings that are not given keep the procedure's default.",
		Example: "  fettle job start valve-spindle-gland --job bramble-blower --engine Bramble --by Ana --set spindle=\"3/16 in\"",
		Args:    between(1, 1, "name one procedure"),
		RunE: func(_ *cobra.Command, args []string) error {
			if missing := startNeeds(c.dir, engine); len(missing) > 0 {
				return misshapen(errors.New(strings.Join(missing, ", and ")))
			}
			dir := c.newFolder()
			values, err := parseSets(set)
			if err != nil {
				return err
			}
			proc, err := loadProcedure(c.env, args[0])
			if err != nil {
				return err
			}
			j, err := job.Start(dir, proc, values, engine, c.jobEnv())
			if err != nil {
				return jobFailure(err)
			}
			if err := c.remember(); err != nil {
				return err
			}
			fmt.Fprintf(c.env.Stdout, "Started: %s\n", j.Filled().Title)
			fmt.Fprintf(c.env.Stdout, "In %s\n", job.Plain(whole(dir)))
			for _, line := range j.Beside() {
				flow(c.env.Stdout, 0, 2, "warn: "+line)
			}
			c.next(j, j.State())
			return nil
		},
	}
	cmd.Flags().StringArrayVar(&set, "set", nil, "a setting, as name=value; may be given again")
	cmd.Flags().StringVar(&engine, "engine", "", "the engine's name")
	return cmd
}

// startNeeds says what a job cannot begin without. Nothing is asked for: the
// same line works for a person and in a script.
func startNeeds(dir, engine string) (missing []string) {
	if dir != "" {
		return nil // what else is wrong with the folder goes before the engine
	}
	missing = append(missing, "name a new folder for the job: --job DIR")
	if strings.TrimSpace(engine) == "" {
		missing = append(missing, "say which engine the job is on: --engine NAME")
	}
	return missing
}

// next prints the step to work on next, in short.
func (c *jobCommands) next(j *job.Job, state job.State) {
	step := j.Filled().Step(state.Next)
	if step == nil {
		left := state.Unsettled()
		for _, text := range left {
			flow(c.env.Stdout, 0, 2, "Open: "+text)
		}
		switch {
		case len(left) > 0:
			return
		case len(state.Closed) > 0:
			fmt.Fprintln(c.env.Stdout, "Put away.")
			return
		}
		switch state.Outside {
		case 0:
			fmt.Fprintln(c.env.Stdout, "Nothing left to do.")
		case 1:
			fmt.Fprintln(c.env.Stdout, "Every step is done, 1 outside limits.")
		default:
			fmt.Fprintf(c.env.Stdout, "Every step is done, %d outside limits.\n", state.Outside)
		}
		return
	}
	flow(c.env.Stdout, 0, 2, fmt.Sprintf("Next: %s - %s", step.ID, step.Title))
	for _, block := range state.Steps[step.ID].Blocks {
		flow(c.env.Stdout, 2, 4, block)
	}
}

func (c *jobCommands) list() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list [DIR]",
		Short: "List the jobs in a folder and below it",
		Long: "List the jobs in a folder and below it. Without DIR that is the jobs folder, and here as well where\n" +
			"no other was named.",
		Example: "  fettle job list\n" +
			"  fettle job list /media/stick --json",
		Args: between(0, 1, "name one folder, or none for the jobs folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			root, beside := jobsDir(c.env, c.jobs)
			if beside != "" {
				root = beside // and all that lies below
			}
			if len(args) == 1 {
				root = args[0]
			}
			jobs, err := job.List(root, c.jobEnv())
			if err != nil {
				return jobFailure(err)
			}
			if asJSON {
				return c.listJSON(jobs)
			}
			if len(jobs) == 0 {
				fmt.Fprintln(c.env.Stdout, "No jobs here.")
			}
			for _, s := range jobs {
				if s.Err != nil {
					fmt.Fprintf(c.env.Stdout, "%s\n  cannot be opened: %s\n", job.Plain(s.Dir), job.Plain(s.Err.Error()))
					continue
				}
				fmt.Fprintf(c.env.Stdout, "%s\n  %s\n  %s%d of %d steps, started %s\n", job.Plain(s.Dir), s.Title, engineOf(s.Engine), s.Done, s.Total, s.Started.Format("2 Jan 2006"))
				if s.Outside > 0 {
					fmt.Fprintf(c.env.Stdout, "  %d outside limits\n", s.Outside)
				}
				c.calledLines(s.Called, 2)
				for _, n := range s.Notices {
					flow(c.env.Stdout, 2, 4, n)
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

func engineOf(engine string) string {
	if engine == "" {
		return ""
	}
	return engine + ": "
}

func (c *jobCommands) listJSON(jobs []job.Summary) error {
	type line struct {
		Dir        string `json:"dir"`
		Procedure  string `json:"procedure"`
		Title      string `json:"title"`
		Engine     string `json:"engine"`
		Started    string `json:"started"`
		StepsTotal int    `json:"steps_total"`
		StepsDone  int    `json:"steps_done"`
		Outside    int    `json:"steps_outside"`
		NextStep   string `json:"next_step"`
		Error      string `json:"error,omitempty"`

		Called []calledJSON `json:"called"`
	}
	lines := make([]line, len(jobs))
	for i, s := range jobs {
		lines[i] = line{Dir: s.Dir, Procedure: s.Procedure, Title: s.Title, Engine: s.Engine, StepsTotal: s.Total, StepsDone: s.Done, Outside: s.Outside, NextStep: s.Next, Called: calledList(s.Called)}
		if s.Err != nil {
			lines[i].Error = s.Err.Error()
		} else {
			lines[i].Started = s.Started.Format(time.RFC3339)
		}
	}
	return writeItems(c.env.Stdout, "job-list", lines)
}

func (c *jobCommands) open() *cobra.Command {
	var bench benchFlags
	cmd := &cobra.Command{
		Use:     "open DIR",
		Short:   "Open the bench screen on a job",
		Example: "  fettle job open bramble-blower",
		Args:    between(1, 1, "name the job's folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			dir, err := existing(c.env, c.jobs, args[0])
			if err != nil {
				return err
			}
			// Opened here first, so that a folder that is no job is told plainly.
			if _, err := job.Open(dir, c.jobEnv()); err != nil {
				return jobFailure(err)
			}
			bench.jobs = c.jobs
			return openBench(c.env, bench, dir)
		},
	}
	bench.add(cmd)
	return cmd
}

func (c *jobCommands) tick() *cobra.Command {
	return &cobra.Command{
		Use:     "tick STEP",
		Short:   "Mark a step as done",
		Example: "  fettle job tick strip",
		Args:    between(1, 1, "name one step"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				for _, g := range j.State().Steps[args[0]].Gates {
					if g.Soft && len(g.Passed) == 0 {
						fmt.Fprintf(c.env.Stderr, "%s (\"fettle job witness\" records it)\n", g.Text)
					}
				}
				return j.Tick(args[0])
			})
		},
	}
}

func (c *jobCommands) skip() *cobra.Command {
	return &cobra.Command{
		Use:     "skip STEP REASON",
		Short:   "Leave a step out, with the reason",
		Example: "  fettle job skip polish \"spindle is new\"",
		Args:    atLeast(2, "name the step and give the reason for leaving it out"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Skip(args[0], strings.Join(args[1:], " ")) })
		},
	}
}

func (c *jobCommands) release() *cobra.Command {
	var myself bool
	cmd := &cobra.Command{
		Use:   "release STEP NAME",
		Short: "Release a hold point; NAME is the person who releases it",
		Long: "Release a hold point. NAME is the person who releases it, and somebody else than those who do the\n" +
			"work. An owner who works on the job as well says so with --myself, and the record marks it.\n" +
			"An inspector never does the work.",
		Example: "  fettle job release slacken Ruth",
		Args:    atLeast(2, "name the step and who releases it"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				name := strings.Join(args[1:], " ")
				if myself {
					return j.ReleaseMyself(args[0], name)
				}
				saved, err := j.Release(args[0], name)
				var self *job.SelfReleaseError
				if errors.As(err, &self) {
					err = &failure{code: exitFound, err: fmt.Errorf("%w with --myself", err)}
				}
				return saved, err
			})
		},
	}
	cmd.Flags().BoolVar(&myself, "myself", false, "NAME works on the job, and is the owner")
	return cmd
}

func (c *jobCommands) read() *cobra.Command {
	return &cobra.Command{
		Use:   "read STEP READING VALUE",
		Short: "Record a reading of a step",
		Long: "Record a reading of a step. READING may be left out where the step has only one.\n" +
			"A value outside its limits is recorded too, and the exit code is 1.\n" +
			"A thread that was measured and not tried with a gauge or a known mate carries a question\n" +
			"mark: \"2 BA?\". It is asked about before parts of it are made, ordered or fitted.",
		Example: "  fettle job read rod rod 4.71",
		Args:    between(2, 3, "name the step, the reading and its value"),
		RunE: func(_ *cobra.Command, args []string) error {
			step, reading, value := args[0], "", plainMinus(args[len(args)-1])
			if len(args) == 3 {
				reading = args[1]
			}
			var judged checklist.Judgement
			err := c.write(func(j *job.Job) (job.Saved, error) {
				if f := j.Filled().Step(step); f != nil && reading == "" && len(f.Readings) == 1 {
					reading = f.Readings[0].Name
				}
				saved, err := j.Read(step, reading, value)
				if err == nil {
					judged = judgement(j, step, reading)
				}
				return saved, err
			})
			if err != nil || judged.Text == "" {
				return err
			}
			if judged.OK {
				fmt.Fprintln(c.env.Stdout, judged.Text)
				return nil
			}
			fmt.Fprintf(c.env.Stdout, "%s: %s\n", judged.Severity, judged.Text)
			return found()
		},
	}
}

// judgement is what the state says about the reading that was just taken.
func judgement(j *job.Job, step, reading string) checklist.Judgement {
	values := j.State().Steps[step].Readings[reading]
	if len(values) == 0 {
		return checklist.Judgement{}
	}
	return values[len(values)-1].Judgement
}

func (c *jobCommands) note() *cobra.Command {
	var photos []string
	cmd := &cobra.Command{
		Use:   "note [STEP] TEXT",
		Short: "Record a remark on a step, or on the whole job",
		Example: "  fettle job note strip \"second ring was burnt\"\n" +
			"  fettle job note strip \"as found\" --photo port.jpg",
		Args: between(1, 2, "give the remark in quotes, after its step"),
		RunE: func(_ *cobra.Command, args []string) error {
			step, text := "", args[0]
			if len(args) == 2 {
				step, text = args[0], args[1]
			}
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Note(step, text, photos...) })
		},
	}
	cmd.Flags().StringArrayVar(&photos, "photo", nil, "a picture to be copied into the job; may be given again")
	return cmd
}

func (c *jobCommands) undo() *cobra.Command {
	var step string
	cmd := &cobra.Command{
		Use:   "undo [ENTRY]",
		Short: "Take back the last entry made on this device, or a named one",
		Long: "Take back the last entry made on this device that still stands. ENTRY names another one\n" +
			"(\"fettle job log\" shows the names); undoing an undo brings back what it took away.",
		Example: "  fettle job undo\n" +
			"  fettle job undo --step strip",
		Args: between(0, 1, "name one entry, or none for the last"),
		RunE: func(_ *cobra.Command, args []string) error {
			if step != "" && len(args) > 0 {
				return usage(errors.New("name an entry or a step, not both"))
			}
			return c.write(func(j *job.Job) (job.Saved, error) {
				switch {
				case step != "":
					return j.UndoStep(step)
				case len(args) == 1:
					return j.UndoEntry(args[0])
				}
				return j.Undo()
			})
		},
	}
	cmd.Flags().StringVar(&step, "step", "", "take back whatever marks this step as done or left out")
	return cmd
}

func (c *jobCommands) person() *cobra.Command {
	return &cobra.Command{
		Use:   "person [NAME]",
		Short: "Say who is working on this device, or ask",
		Example: "  fettle job person Ana\n" +
			"  fettle job person",
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				if err := job.SetPerson(c.jobEnv(), strings.Join(args, " ")); err != nil {
					return jobFailure(err)
				}
			}
			name, err := job.Person(c.jobEnv())
			if err != nil {
				return unreadable(err)
			}
			if name == "" {
				return jobFailure(job.ErrNobody)
			}
			fmt.Fprintln(c.env.Stdout, name)
			return nil
		},
	}
}
