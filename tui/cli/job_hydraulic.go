package cli

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fettle/checklist/boiler"
	"fettle/checklist/job"
	"fettle/threads/check"
)

func (c *jobCommands) test() *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "test",
		Short: "Keep the hydraulic test sheet: what the code says, readings, faults, result",
		Long: "Keep the hydraulic test sheet. Multiple, hold time and persons come from the local code and are\n" +
			"typed in; this program chooses none of them and refuses a pressure above their product.\n" +
			"Without a command the sheet is printed. It is no certificate.",
		Args: known,
		RunE: func(*cobra.Command, []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			if asJSON {
				return writeJSON(c.env.Stdout, sheetReport(j))
			}
			c.sheetText(j)
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.AddCommand(c.testSet(), c.testBegin(), c.testLog(), c.testTrial(), c.testResult(), c.testSign())
	return cmd
}

func (c *jobCommands) testSet() *cobra.Command {
	var names []string
	for _, l := range job.SheetLines() {
		names = append(names, l.Name)
	}
	return &cobra.Command{
		Use:     "set LINE=VALUE...",
		Short:   "Fill in lines of the sheet",
		Long:    "Fill in lines of the sheet. The lines are:\n  " + strings.Join(names, "\n  "),
		Example: "  fettle job test set operator=Ana \"gauge_scale=25 bar\"",
		Args:    atLeast(1, "name a line of the sheet and what stands on it, as LINE=VALUE"),
		RunE: func(_ *cobra.Command, args []string) error {
			for _, arg := range args {
				if !strings.Contains(arg, "=") {
					return misshapen(fmt.Errorf("say it as LINE=VALUE, not %q", arg))
				}
			}
			return c.write(func(j *job.Job) (saved job.Saved, err error) {
				for i, arg := range args {
					name, value, _ := strings.Cut(arg, "=")
					if saved, err = j.Sheet(name, value); err != nil {
						if i > 0 {
							err = fmt.Errorf("%w (saved before it: %s)", err, strings.Join(args[:i], ", "))
						}
						return saved, err
					}
				}
				return saved, nil
			})
		},
	}
}

func (c *jobCommands) testBegin() *cobra.Command {
	return &cobra.Command{
		Use:     "begin [REASON]",
		Short:   "Begin a test",
		Example: "  fettle job test begin \"after the work\"",
		Args:    cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.BeginTest(strings.Join(args, " ")) })
		},
	}
}

func (c *jobCommands) testLog() *cobra.Command {
	var p job.NewPoint
	var at string
	cmd := &cobra.Command{
		Use:   "log PRESSURE",
		Short: "Record what the gauge shows",
		Long: "Record what the gauge shows. Strokes are counted from the moment the boiler was full.\n" +
			"Nothing above the test pressure is allowed: the answer is a warning, let it down at once; at the alarm,\n" +
			"5 % over, a stop, something is wrong. The exit code is 1.",
		Example: "  fettle job test log \"9.3 bar\" --water \"17.2 C\" --strokes 14",
		Args:    between(1, 1, "say what the gauge shows, with its unit, in quotes"),
		RunE: func(_ *cobra.Command, args []string) error {
			p.Pressure = args[0]
			var judged *check.Result
			if err := c.write(func(j *job.Job) (saved job.Saved, err error) {
				if p.At, err = moment(j, "--at", at); err != nil {
					return job.Saved{}, err
				}
				saved, judged, err = j.Point(p)
				return saved, err
			}); err != nil || judged == nil {
				return err
			}
			fmt.Fprintf(c.env.Stdout, "%s: %s\n", judged.Severity, judged.Message)
			return found()
		},
	}
	cmd.Flags().StringVar(&p.Second, "second", "", "what the second gauge shows")
	cmd.Flags().StringVar(&p.Water, "water", "", "temperature of the water")
	cmd.Flags().StringVar(&p.Strokes, "strokes", "", "strokes of the pump, all told")
	cmd.Flags().BoolVar(&p.LetDown, "let-down", false, "pressure was let down on purpose before this reading: no loss, and the end of the hold")
	cmd.Flags().StringVar(&at, "at", "", "when, as 19:05 today or 2026-03-01T19:05; now where it is left out")
	return cmd
}

// moment reads a time of today or of a named day, by the workshop's clock; no text is
// no time.
func moment(j *job.Job, what, text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	now := j.Now()
	if at, err := time.ParseInLocation("2006-01-02T15:04", text, now.Location()); err == nil {
		return at, nil
	}
	at, err := time.ParseInLocation("15:04", text, now.Location())
	if err != nil {
		return at, usage(fmt.Errorf("%s wants 19:05 or 2026-03-01T19:05, not %q", what, text))
	}
	return time.Date(now.Year(), now.Month(), now.Day(), at.Hour(), at.Minute(), 0, 0, now.Location()), nil
}

func (c *jobCommands) testTrial() *cobra.Command {
	return &cobra.Command{
		Use:   "trial [FAULT shows|clear WHAT]",
		Short: "Search for a falling pressure: record what looking for a fault showed",
		Long: "Search for a falling pressure. FAULT is its number (F1 to F18); WHAT is what was seen.\n" +
			"Without arguments it prints what was found, what is left to look for, and how.",
		Example: "  fettle job test trial F4 clear \"drain cocks open, dry\"",
		Args:    noneOr(3, math.MaxInt, "name the fault, whether it shows or is clear, and what was seen"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				j, err := c.opened()
				if err != nil {
					return err
				}
				return c.suspects(j)
			}
			if args[1] != "shows" && args[1] != "clear" {
				return misshapen(fmt.Errorf("a fault shows or is clear, not %q", args[1]))
			}
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.Try(args[0], args[1] == "shows", strings.Join(args[2:], " "))
			})
		},
	}
}

func (c *jobCommands) suspects(j *job.Job) error {
	state := j.State()
	run := state.Test.Last()
	if run == nil {
		return jobFailure(&job.RefusedError{What: "test", Blocks: []string{"no test has begun"}})
	}
	kind := ""
	for _, s := range run.Suspects() {
		if s.State != "" {
			fmt.Fprintln(c.env.Stdout, s)
			continue
		}
		if string(s.Kind) != kind {
			kind = string(s.Kind)
			fmt.Fprintf(c.env.Stdout, "Still to look for, %s:\n", kind)
		}
		fmt.Fprintf(c.env.Stdout, "  %s %s\n     shows: %s\n     to be sure: %s\n", s.ID, s.Path, s.Shows, s.Isolate)
	}
	return nil
}

func (c *jobCommands) testResult() *cobra.Command {
	return &cobra.Command{
		Use:     "result pass|fail NAME [TEXT]",
		Short:   "Close the test with its result and who judged it",
		Example: "  fettle job test result pass Ruth \"dry all round\"",
		Args:    atLeast(2, "say pass or fail, and who judged it"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) {
				return j.Result(args[0], args[1], strings.Join(args[2:], " "))
			})
		},
	}
}

func (c *jobCommands) testSign() *cobra.Command {
	return &cobra.Command{
		Use:     "sign operator|witness|inspector|owner NAME",
		Short:   "Put a name on the last test",
		Example: "  fettle job test sign inspector Ruth",
		Args:    atLeast(2, "say as what, and who signs"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Sign(args[0], strings.Join(args[1:], " ")) })
		},
	}
}

func (c *jobCommands) sheetText(j *job.Job) {
	w := c.env.Stdout
	sheet := j.State().Test
	for _, v := range sheet.Values {
		from := v.By
		if v.FromProcedure {
			from = "from the start of the job"
		}
		fmt.Fprintf(w, "%s: %s (%s)\n", v.Label, v.Shown(), from)
	}
	if sheet.Target > 0 {
		fmt.Fprintf(w, "Target, never above: %s\n", sheet.In.Show(sheet.Target))
		fmt.Fprintf(w, "Alarm, not allowed: %s. %s.\n", sheet.In.Show(sheet.Alarm), boiler.AlarmMeans)
	}
	if len(sheet.Missing) > 0 {
		fmt.Fprintf(w, "Still to type in: %s\n", strings.Join(sheet.Missing, ", "))
	}
	for _, f := range sheet.Checks {
		fmt.Fprintf(w, "%s: %s\n", f.Severity, f.Message)
	}
	for i := range sheet.Runs {
		run := &sheet.Runs[i]
		fmt.Fprintf(w, "\nTest %d, begun %s by %s\n", i+1, j.Wall().Show(run.At, job.Dated), run.By)
		if run.Open != "" {
			fmt.Fprintf(w, "  open when it began: %s\n", run.Open)
		}
		for _, p := range run.Points {
			first, second := p.Gauges()
			fmt.Fprintf(w, "  %s  %s", j.Wall().Show(p.At, job.Minute), first)
			if p.WaterKnown {
				fmt.Fprintf(w, "  water %s", p.Water)
			}
			if p.Pumped {
				fmt.Fprintf(w, "  strokes %g", p.Strokes)
			}
			if second != "" {
				fmt.Fprintf(w, "  second gauge %s", second)
			}
			fmt.Fprintln(w)
		}
		for _, line := range run.Reading.Lines() {
			fmt.Fprintf(w, "  %s\n", line)
		}
		for _, t := range run.Trials {
			word := "not"
			if t.Shows {
				word = "found"
			}
			fmt.Fprintf(w, "  %s %s: %s, %s\n", t.Fault.ID, t.Fault.Path, word, t.Text)
		}
		if run.Warned != "" {
			fmt.Fprintf(w, "  warned at the %s: %s\n", run.Result, run.Warned)
		}
		switch {
		case run.Result == "":
			for _, s := range run.Stops {
				fmt.Fprintf(w, "  not yet: %s\n", s)
			}
		case run.Result == "pass" && !run.Passed:
			fmt.Fprintf(w, "  Result: pass by %s does not count: %s\n", run.Judged.By, strings.Join(run.Stops, " "))
		default:
			said := ""
			if run.Judged.Text != "" {
				said = ": " + run.Judged.Text
			}
			fmt.Fprintf(w, "  Result: %s, by %s%s\n", run.Result, run.Judged.By, said)
		}
	}
}
