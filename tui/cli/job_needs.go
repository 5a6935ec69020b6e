package cli

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
)

func sortedNames(m map[string]string) []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

func (c *jobCommands) short() *cobra.Command {
	var step, where string
	var count int
	cmd := &cobra.Command{
		Use:        "missing WHAT",
		SuggestFor: []string{"short"},
		Short:      "Say that a part, a tool or a supply is missing",
		Example:    "  fettle job missing \"gauge glass 1/4 in\" --step glass --count 2 --from Tom",
		Args:       atLeast(1, "say what is missing"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.Shortage(strings.Join(args, " "), step, count, where)
			})
		},
	}
	cmd.Flags().StringVar(&step, "step", "", "the step that cannot be done without it")
	cmd.Flags().IntVar(&count, "count", 0, "how many")
	cmd.Flags().StringVar(&where, "from", "", "where it comes from: a shop, a drawer, a person")
	return cmd
}

func (c *jobCommands) got() *cobra.Command {
	return &cobra.Command{
		Use:     "got THING",
		Short:   "Tick something off the next-visit list",
		Long:    "Tick something off the next-visit list: its number there, or its words.",
		Example: "  fettle job got 2",
		Args:    atLeast(1, "name what is there now: its number on the list, or its words"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Got(strings.Join(args, " ")) })
		},
	}
}

func (c *jobCommands) needs() *cobra.Command {
	var asJSON, all, page bool
	var out string
	cmd := &cobra.Command{
		Use:   "needs",
		Short: "Print the next-visit list, with quantities",
		Long: "Print the next-visit list, with quantities. With --html or --out it is written as paper with a box for\n" +
			"each thing: one page for a browser, or Markdown where the file's name does not end in .html.",
		Example: "  fettle job needs\n  fettle job needs --out to-bring.html",
		Args:    flagsOnly,
		RunE: func(*cobra.Command, []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			if page || out != "" {
				return c.paper(j.BringSheet(), page, out)
			}
			list := j.Needs()
			if asJSON {
				return c.needsJSON(list)
			}
			items := list.Open()
			if all {
				items = list.Items
			}
			if len(items) == 0 {
				fmt.Fprintln(c.env.Stdout, "Nothing to bring.")
			}
			from := ""
			for _, n := range items {
				if n.From != from {
					from = n.From
					fmt.Fprintf(c.env.Stdout, "%s\n", from)
				}
				box := " "
				if len(n.Got) > 0 {
					box = "x"
				}
				amount := n.Amount
				if amount != "" {
					amount += " - "
				}
				fmt.Fprintf(c.env.Stdout, "  [%s] %d. %s%s\n        %s\n", box, n.Number, amount, n.What, n.Why)
				if n.Step != "" {
					fmt.Fprintf(c.env.Stdout, "        for step %s\n", n.Step)
				}
			}
			c.blockedSteps(j)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().BoolVar(&all, "all", false, "with what is ticked off")
	cmd.Flags().BoolVar(&page, "html", false, "one page to print")
	cmd.Flags().StringVar(&out, "out", "", "the file to write")
	for _, paper := range []string{"html", "out"} { // the paper holds what is still to be got, for people
		cmd.MarkFlagsMutuallyExclusive("json", paper)
		cmd.MarkFlagsMutuallyExclusive("all", paper)
	}
	return cmd
}

// blockedSteps says what waits for missing things.
func (c *jobCommands) blockedSteps(j *job.Job) {
	state := j.State()
	for _, step := range j.Filled().Steps() {
		for _, g := range state.Steps[step.ID].Gates {
			if g.Name == job.GateShort && len(g.Passed) == 0 {
				fmt.Fprintf(c.env.Stdout, "Blocked: %s (%s)\n", step.ID, g.Text)
			}
		}
	}
	if state.Next != "" && state.Steps[state.Next].Status == job.Todo {
		fmt.Fprintf(c.env.Stdout, "Can be done now: %s\n", state.Next)
	}
}

func (c *jobCommands) needsJSON(list job.NeedList) error {
	type line struct {
		Number int    `json:"number"`
		Key    string `json:"key"`
		What   string `json:"what"`
		Amount string `json:"amount"`
		Why    string `json:"why"`
		Step   string `json:"step,omitempty"`
		From   string `json:"from"`
		Got    bool   `json:"got"`
	}
	lines := []line{}
	for _, n := range list.Items {
		lines = append(lines, line{n.Number, n.Key, n.What, n.Amount, n.Why, n.Step, n.From, len(n.Got) > 0})
	}
	return writeItems(c.env.Stdout, "job-needs", lines)
}

func (c *jobCommands) pass() *cobra.Command {
	return &cobra.Command{
		Use:   "pass STEP GATE NAME REASON",
		Short: "Let a step through a shut gate, with a name and a reason",
		Long: "Let a step through a shut gate (needs, wait, witness, findings, short, tally, thread, date). NAME is who allows it;\n" +
			"name and reason stand in the record. A hold point is released, not passed, and a cure, a blank left\n" +
			"in and a stop of a safety rule cannot be passed.",
		Example: "  fettle job pass tighten witness Ruth \"told by telephone\"",
		Args:    atLeast(4, "name the step, the gate, who lets it pass and why"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.Pass(args[0], job.GateName(args[1]), args[2], strings.Join(args[3:], " "))
			})
		},
	}
}

func (c *jobCommands) witness() *cobra.Command {
	var told bool
	cmd := &cobra.Command{
		Use:     "witness STEP NAME",
		Short:   "Record that the witness of a step was there, or was told",
		Example: "  fettle job witness water-test Tom --told",
		Args:    atLeast(2, "name the step and the witness"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.WitnessStep(args[0], strings.Join(args[1:], " "), told)
			})
		},
	}
	cmd.Flags().BoolVar(&told, "told", false, "was told, and let the work go on")
	return cmd
}

func (c *jobCommands) shop() *cobra.Command {
	return &cobra.Command{
		Use:     "shop TEMPERATURE",
		Short:   "Record the temperature of the shop; cures are reckoned with it",
		Example: "  fettle job shop \"12 C\"",
		Args:    between(1, 1, "say how warm the shop is, with its unit, in quotes"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Shop(plainMinus(args[0])) })
		},
	}
}

func (c *jobCommands) tally() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "tally [OPENING in|out COUNT THING]",
		Short: "Count what goes into an opening and comes out again",
		Long: "Count what goes into an opening and comes out again. It has to balance before the opening is closed.\n" +
			"Without arguments it prints what is inside.",
		Example: "  fettle job tally dome in 1 rag",
		Args:    noneOr(4, math.MaxInt, "name the opening, in or out, how many, and of what"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				j, err := c.opened()
				if err != nil {
					return err
				}
				if asJSON {
					return writeItems(c.env.Stdout, "job-tally", tallyItems(j.State().Tallies))
				}
				for _, t := range j.State().Tallies {
					if t.Inside == 0 {
						fmt.Fprintf(c.env.Stdout, "%s: balanced\n", t.Opening)
					} else {
						fmt.Fprintln(c.env.Stdout, t.String())
					}
				}
				return nil
			}
			if args[1] != "in" && args[1] != "out" {
				return misshapen(fmt.Errorf("things go in or come out, not %q", args[1]))
			}
			n, err := strconv.Atoi(args[2])
			if err != nil || n < 1 {
				return misshapen(fmt.Errorf("how many went in or came out: a number from 1, not %q", args[2]))
			}
			if args[1] == "out" {
				n = -n
			}
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.CountIn(args[0], strings.Join(args[3:], " "), n)
			})
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

func (c *jobCommands) blank() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "blank [TAG on|off|stays [WHERE]]",
		Short: "Keep the list of blanks by the numbers on their tags",
		Example: "  fettle job blank 3 on \"whistle\"\n" +
			"  fettle job blank",
		Args: noneOr(2, math.MaxInt, "name the tag, whether it is on, off or stays, and where"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				j, err := c.opened()
				if err != nil {
					return err
				}
				if asJSON {
					return writeItems(c.env.Stdout, "job-blank", blankItems(j.State().Blanks))
				}
				for _, b := range j.State().Blanks {
					state := "off"
					if b.Stays {
						state = "stays on purpose"
					} else if b.Fitted {
						state = "FITTED"
					}
					fmt.Fprintf(c.env.Stdout, "%s at %s: %s (%s)\n", b.Tag, b.Where, state, b.By)
				}
				return nil
			}
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.FitBlank(args[0], args[1], strings.Join(args[2:], " "))
			})
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}
