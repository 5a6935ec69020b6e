package cli

import (
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
)

// The commands that begin a wait, and those that put right what was done.

func (c *jobCommands) begin() *cobra.Command {
	var at, now string
	cmd := &cobra.Command{
		Use:   "begin STEP",
		Short: "Begin the wait of a step: sealant, oil or paste is on",
		Long: "Begin the wait of a step. The time counts from this entry, or from --at where it was put on earlier.\n" +
			"Where the clock of this device was or is wrong, set it. Then give --at and --now, both by a watch:\n" +
			"the whole time runs from --at, and both stand in the record.",
		Example: "  fettle job begin cure\n" +
			"  fettle job begin cure --at 19:05",
		Args: between(1, 1, "name one step that waits"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (_ job.Saved, err error) {
				var n job.NewBegin
				if n.At, err = moment(j, "--at", at); err != nil {
					return job.Saved{}, err
				}
				if n.Now, err = moment(j, "--now", now); err != nil {
					return job.Saved{}, err
				}
				return j.Begin(args[0], n)
			})
		},
	}
	cmd.Flags().StringVar(&at, "at", "", "when it was put on, as 19:05 today or 2026-03-01T19:05; now where it is left out")
	cmd.Flags().StringVar(&now, "now", "", "what time it is by a watch, where the clock is in doubt")
	return cmd
}

func (c *jobCommands) settle() *cobra.Command {
	var name, why string
	cmd := &cobra.Command{
		Use:   "settle STEP [READING] VALUE",
		Short: "Settle what two people wrote apart, the clock, or a danger another job told of",
		Long: "Settle what two people wrote apart, so that the work can go on.\n\n" +
			"  settle STEP [READING] VALUE   the reading that counts from now on\n" +
			"  settle STEP done | open       where one ticked what the other undid or left out\n" +
			"  settle clock TIME             what time it is by a watch, where this device was long away\n" +
			"  settle danger NAME            a danger that another job told of is no more: --name who says so, --why",
		Example: "  fettle job settle gauge-zero no\n" +
			"  fettle job settle clock 19:05",
		Args: between(2, 3, "name the step and say what counts, or settle clock TIME"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				switch last := args[len(args)-1]; {
				case args[0] == "clock" && len(args) == 2:
					at, err := moment(j, "the time", last)
					if err != nil {
						return job.Saved{}, err
					}
					return j.SettleClock(at)
				case args[0] == "danger" && len(args) == 2:
					if name == "" || why == "" {
						return job.Saved{}, usage(errors.New("say who says so and why: --name NAME --why TEXT"))
					}
					return j.SettleDanger(last, name, why)
				case len(args) == 3:
					return j.Settle(args[0], args[1], plainMinus(last))
				default:
					return j.Settle(args[0], "", plainMinus(last))
				}
			})
		},
	}
	cmd.Flags().StringVar(&name, "name", "", "who says that the danger is no more")
	cmd.Flags().StringVar(&why, "why", "", "why")
	return cmd
}

func (c *jobCommands) reopen() *cobra.Command {
	var why string
	cmd := &cobra.Command{
		Use:   "reopen STEP",
		Short: "Open a done step again, with the reason",
		Long: "Open a done step again, with the reason (--why). What works on the same parts and rests on it is\n" +
			"opened with it. Holds that rest on it have to be released anew. An undo takes it back.",
		Example: "  fettle job reopen dry --why \"the cover was off again\"",
		Args:    between(1, 1, "name one step"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Reopen(args[0], why) })
		},
	}
	cmd.Flags().StringVar(&why, "why", "", "the reason")
	return cmd
}

func (c *jobCommands) answer() *cobra.Command {
	var why string
	cmd := &cobra.Command{
		Use:   "answer NAME VALUE",
		Short: "Put an answer of the start right, with the reason",
		Long: "Put an answer of the start right, with the reason (--why): NAME is a setting of the procedure, or engine.\n" +
			"Steps whose text, limits or parts change by it are opened again.",
		Example: "  fettle job answer pressure \"80 psi\" --why \"the plate says so\"",
		Args:    atLeast(2, "name the answer and its value"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Answer(args[0], strings.Join(args[1:], " "), why) })
		},
	}
	cmd.Flags().StringVar(&why, "why", "", "the reason")
	return cmd
}

func (c *jobCommands) close() *cobra.Command {
	return &cobra.Command{
		Use:   "close [REMARK]",
		Short: "Put a finished job away",
		Long: "Put a finished job away. It stands behind the others on the list. Work that is open again brings it\n" +
			"back, and so does an undo.",
		Example: "  fettle job close --job bramble-blower",
		Args:    cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Close(strings.Join(args, " ")) })
		},
	}
}
