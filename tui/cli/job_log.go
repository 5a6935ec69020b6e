package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
)

func (c *jobCommands) log() *cobra.Command {
	var asJSON bool
	var filter job.Filter
	var from, to string
	cmd := &cobra.Command{
		Use:     "log",
		Short:   "Print every entry of the job, in the job's order",
		Example: "  fettle job log --person Ana --from 2026-03-01",
		Args:    flagsOnly,
		RunE: func(*cobra.Command, []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			if filter.From, err = day(j, "--from", from); err != nil {
				return usage(err)
			}
			if filter.To, err = day(j, "--to", to); err != nil {
				return usage(err)
			}
			if !filter.To.IsZero() {
				filter.To = filter.To.AddDate(0, 0, 1) // the day itself counts
			}
			events := filter.Pick(j.Log())
			if asJSON {
				return c.logJSON(events)
			}
			for _, e := range events {
				e.WriteText(c.env.Stdout)
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

// day reads a date by the workshop's clock.
func day(j *job.Job, flag, text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	day, err := time.ParseInLocation(time.DateOnly, text, j.Now().Location())
	if err != nil {
		return day, fmt.Errorf("%s wants a day as 2026-03-01, not %q", flag, text)
	}
	return day, nil
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
	return writeItems(c.env.Stdout, "job-log", lines)
}

func (c *jobCommands) verify() *cobra.Command {
	var asJSON, all bool
	cmd := &cobra.Command{
		Use:   "verify",
		Short: "Go through every line of the record",
		Long: "Go through every line of every log: what is good, unfinished, changed by hand or unreadable,\n" +
			"what is missing, and what had to be put back. The exit code is 1 where there is anything to tell.",
		Example: "  fettle job verify --job bramble-blower",
		Args:    flagsOnly,
		RunE: func(*cobra.Command, []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			v, err := j.Verify()
			if err != nil {
				return jobFailure(err)
			}
			if asJSON {
				err = c.verifyJSON(v)
			} else {
				c.verifyText(v, all)
				c.verifyCalled(v, all)
			}
			if err == nil && !v.Fine() {
				return found()
			}
			return err
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON, with every line")
	cmd.Flags().BoolVar(&all, "lines", false, "print good lines too")
	return cmd
}

// plural is a number of things in words.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func (c *jobCommands) verifyText(v *job.Verification, all bool) {
	out := c.env.Stdout
	fmt.Fprintln(out, plural(v.Entries, "entry", "entries"))
	for _, f := range v.Files {
		name := f.Name
		if f.Twin {
			name = "this device's own copy"
		}
		fmt.Fprintf(out, "%s: %d lines", name, len(f.Lines))
		for _, state := range []job.LineState{job.Good, job.Again, job.Newer, job.Unterminated, job.Accepted, job.Changed, job.Unfinished, job.Unreadable, job.TooLong} {
			if n := f.Count(state); n > 0 {
				fmt.Fprintf(out, ", %d %s", n, state)
			}
		}
		fmt.Fprintln(out)
		for _, line := range f.Lines {
			plain := line.State == job.Good || line.State == job.Again
			if plain && !line.PutBack && !all {
				continue
			}
			fmt.Fprintf(out, "  line %d: %s", line.Line, line.State)
			for _, part := range []string{line.ID, line.Mark} {
				if part != "" {
					fmt.Fprintf(out, " %s", part)
				}
			}
			if line.PutBack {
				fmt.Fprint(out, ", put back")
			}
			if line.Salvaged > 0 {
				fmt.Fprintf(out, ", %d good inside", line.Salvaged)
			}
			if line.Says != "" {
				fmt.Fprintf(out, ": %s", line.Says)
			}
			fmt.Fprintln(out)
		}
		if f.Err != "" {
			fmt.Fprintf(out, "  %s\n", f.Err)
		}
	}
	for _, list := range [][]string{v.Gaps, v.Doubles, v.Edits, v.Skipped} {
		for _, text := range list {
			fmt.Fprintln(out, text)
		}
	}
	for _, jump := range v.Jumps {
		flow(out, 0, 2, jump.String())
	}
	for _, s := range v.Strangers {
		flow(out, 0, 2, "A device that this one has never met: "+s.String())
	}
	for _, name := range v.Edited {
		fmt.Fprintf(out, "%s was changed after the job started\n", name)
	}
	if v.Healed > 0 {
		fmt.Fprintf(out, "put back into the folder: %d\n", v.Healed)
	}
	if v.Only > 0 {
		fmt.Fprintf(out, "on this device only: %d (%s)\n", v.Only, v.Why)
	}
	switch {
	case v.Fine() && len(v.Strangers) > 0:
		fmt.Fprintln(out, "Nothing is missing, no line was changed.")
	case v.Fine():
		fmt.Fprintln(out, "Nothing is missing, nothing was changed.")
	}
}

// verifyCalled prints the same of every called job, under its folder.
func (c *jobCommands) verifyCalled(v *job.Verification, all bool) {
	for _, x := range v.Called {
		fmt.Fprintf(c.env.Stdout, "\n%s\n", job.Plain(x.Dir))
		flow(c.env.Stdout, 0, 2, x.Title)
		if x.Problem != "" {
			flow(c.env.Stdout, 0, 2, "cannot be read: "+x.Problem)
		}
		if x.Verification != nil {
			c.verifyText(x.Verification, all)
			c.verifyCalled(x.Verification, all)
		}
	}
}

func (c *jobCommands) verifyJSON(v *job.Verification) error {
	return writeJSON(c.env.Stdout, struct {
		headed
		*verifiedJob
	}{head("job-verify"), verificationOf(v)})
}

type verifiedLine struct {
	Line     int    `json:"line"`
	State    string `json:"state"`
	ID       string `json:"id,omitempty"`
	Mark     string `json:"mark,omitempty"`
	Says     string `json:"says,omitempty"`
	Salvaged int    `json:"salvaged,omitempty"`
	PutBack  bool   `json:"put_back,omitempty"`
}

type verifiedFile struct {
	Name  string         `json:"name"`
	Twin  bool           `json:"this_device"`
	Lines []verifiedLine `json:"lines"`
	Error string         `json:"error,omitempty"`
}

// verifiedJob is `fettle job verify --json`.
type verifiedJob struct {
	Entries int              `json:"entries"`
	Files   []verifiedFile   `json:"files"`
	Gaps    []string         `json:"gaps"`
	Doubles []string         `json:"doubles"`
	Edits   []string         `json:"edits"`
	Skipped []string         `json:"skipped"`
	Healed  int              `json:"healed"`
	Only    int              `json:"on_this_device_only"`
	Why     string           `json:"why,omitempty"`
	Edited  []string         `json:"files_changed"`
	Jumps   []string         `json:"clock_jumps"`
	Strange []string         `json:"devices_never_met"`
	Fine    bool             `json:"fine"`
	Called  []verifiedCalled `json:"called"`
}

type verifiedCalled struct {
	Job     string       `json:"job"`
	Title   string       `json:"title"`
	Problem string       `json:"problem,omitempty"`
	Record  *verifiedJob `json:"record,omitempty"`
}

func verificationOf(v *job.Verification) *verifiedJob {
	list := func(s []string) []string { return append([]string{}, s...) }
	out := &verifiedJob{
		Entries: v.Entries, Files: []verifiedFile{}, Gaps: list(v.Gaps), Doubles: list(v.Doubles), Edits: list(v.Edits), Skipped: list(v.Skipped),
		Healed: v.Healed, Only: v.Only, Why: v.Why, Edited: list(v.Edited), Fine: v.Fine(), Called: []verifiedCalled{}, Jumps: []string{}, Strange: []string{},
	}
	for _, jump := range v.Jumps {
		out.Jumps = append(out.Jumps, jump.String())
	}
	for _, s := range v.Strangers {
		out.Strange = append(out.Strange, s.String())
	}
	for _, f := range v.Files {
		lines := make([]verifiedLine, len(f.Lines))
		for i, l := range f.Lines {
			lines[i] = verifiedLine{l.Line, string(l.State), l.ID, l.Mark, l.Says, l.Salvaged, l.PutBack}
		}
		out.Files = append(out.Files, verifiedFile{f.Name, f.Twin, lines, f.Err})
	}
	for _, x := range v.Called {
		called := verifiedCalled{Job: x.Dir, Title: x.Title, Problem: x.Problem}
		if x.Verification != nil {
			called.Record = verificationOf(x.Verification)
		}
		out.Called = append(out.Called, called)
	}
	return out
}

func (c *jobCommands) accept() *cobra.Command {
	return &cobra.Command{
		Use:     "accept MARK",
		Short:   "Let a line count that was changed by hand (\"verify\" shows its mark)",
		Example: "  fettle job accept 7c1d09ab34ef5521",
		Args:    between(1, 1, "name the mark that \"fettle job verify\" shows beside the line"),
		RunE: func(_ *cobra.Command, args []string) error {
			return c.write(func(j *job.Job) (job.Saved, error) { return j.Accept(args[0]) })
		},
	}
}

func (c *jobCommands) merge() *cobra.Command {
	return &cobra.Command{
		Use:     "merge DIR",
		Short:   "Bring in what another copy of the job holds, from a stick for example",
		Example: "  fettle job merge /media/stick/bramble-blower",
		Args:    between(1, 1, "name the folder of the other copy"),
		RunE: func(_ *cobra.Command, args []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			merged, err := j.Merge(args[0])
			if err != nil {
				return jobFailure(err)
			}
			fmt.Fprintf(c.env.Stdout, "Brought in: %s, %s, %s.\n", plural(merged.Entries, "entry", "entries"), plural(merged.Lines, "changed line", "changed lines"), plural(merged.Photos, "photo", "photos"))
			if merged.Called > 0 {
				fmt.Fprintf(c.env.Stdout, "Called jobs that were not here: %d.\n", merged.Called)
			}
			for _, n := range merged.Notices {
				fmt.Fprintln(c.env.Stderr, n)
			}
			for _, x := range j.State().Conflicts {
				flow(c.env.Stdout, 0, 2, differs(x))
			}
			return nil
		},
	}
}

func (c *jobCommands) export() *cobra.Command {
	return &cobra.Command{
		Use:   "export [FILE]",
		Short: "Write the whole job as one zip file for keeping",
		Long: "Write the whole job as one zip file: its folder with every log, and the log in words.\n" +
			"What is no plain file is left out, a link for one, and said.\n" +
			"Unpacked into a folder, it is a job again. Without FILE it is called after the job's folder.",
		Example: "  fettle job export bramble-2026.zip",
		Args:    between(0, 1, "name one new file, or none"),
		RunE: func(_ *cobra.Command, args []string) error {
			j, err := c.opened()
			if err != nil {
				return err
			}
			name, err := exportName(j, args)
			if err != nil {
				return unreadable(err)
			}
			left, err := exportTo(j, name)
			if err != nil {
				var folder *job.FolderError
				if errors.As(err, &folder) {
					return jobFailure(err)
				}
				return unreadable(err)
			}
			fmt.Fprintf(c.env.Stdout, "Written: %s\n", job.Plain(name))
			for _, n := range left {
				fmt.Fprintln(c.env.Stderr, n)
			}
			return nil
		},
	}
}

func exportName(j *job.Job, args []string) (string, error) {
	if len(args) == 1 {
		return args[0], nil
	}
	dir, err := filepath.Abs(j.Dir())
	return filepath.Base(dir) + ".zip", err
}

// exportTo writes a new file; one that could not be finished is taken away again.
// left says what is not in it.
func exportTo(j *job.Job, name string) (left []string, err error) {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return nil, fmt.Errorf("%s is there already: name a new file", name)
	}
	if err != nil {
		return nil, err
	}
	left, err = j.Export(f)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return nil, errors.Join(err, os.Remove(name))
	}
	return left, nil
}
