package cli

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/job"
	"fettle/checklist/lookup"
	"fettle/threads/check"
)

func (c *jobCommands) finding() *cobra.Command {
	var n job.NewFinding
	var readings []string
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "finding [WHAT TEXT]",
		Short: "Record something that is not as it should be, or list what was",
		Long: "Record something that is not as it should be. WHAT is one of: " + findingKinds() + ".\n" +
			"A damaged hole is answered with the ways to save it, worked out from what the procedure\n" +
			"and the finding say. Without WHAT the findings are listed.",
		Example: "  fettle job finding damaged-hole \"thread pulled out\" --step holes --fastener flange --number 3 --hole 4.05",
		Args:    noneOr(2, math.MaxInt, "say what was found, in a few words, after its kind"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return c.listFindings(asJSON)
			}
			n.What, n.Text = job.FindingKind(args[0]), strings.Join(args[1:], " ")
			values, err := parseSets(readings)
			if err != nil {
				return usage(errors.New(strings.Replace(err.Error(), "--set", "--reading", 1)))
			}
			n.Readings = values
			var made *job.Finding
			var advice func() error
			err = c.write(func(j *job.Job) (job.Saved, error) {
				saved, err := j.Find(n)
				if err == nil {
					made, _ = j.Finding(saved.Entry.ID)
					advice = func() error { return c.advice(j, made) }
				}
				return saved, err
			})
			if err != nil || made == nil {
				return err
			}
			fmt.Fprintf(c.env.Stdout, "Finding %d: %s %s\n", made.Order, made.What, made.Where())
			if made.What == job.DamagedHole || made.What == job.Sheared && made.Fastener != "" {
				return advice()
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.BoolVar(&asJSON, "json", false, "list the findings as JSON")
	f.StringVar(&n.Step, "step", "", "the step at which it was found")
	f.StringVar(&n.Of, "of", "", "the finding that made itself and that this one says more of")
	f.StringVar(&n.Fastener, "fastener", "", "the fastener of the procedure it is on")
	f.IntVar(&n.Number, "number", 0, "which of its circle, from 1")
	f.StringVar(&n.Place, "place", "", "where, in words")
	f.StringVar(&n.Hole, "hole", "", "damaged hole: its diameter, by the largest pin that enters")
	f.StringVar(&n.Into, "into", "", "damaged hole: the metal that is tapped")
	f.StringVar(&n.Depth, "depth", "", "damaged hole: how deep the metal takes full thread")
	f.StringVar(&n.Edge, "edge", "", "damaged hole: from its centre to the nearest edge")
	f.StringVar(&n.CoverHole, "cover-hole", "", "damaged hole: the hole in the cover")
	f.StringVar(&n.HeadRoom, "head-room", "", "damaged hole: diameter free for a head")
	f.StringArrayVar(&readings, "reading", nil, "another figure, as name=value; may be given again")
	f.StringArrayVar(&n.Photos, "photo", nil, "a picture to be copied into the job; may be given again")
	return cmd
}

// figure adds figures to a finding that stands.
func (c *jobCommands) figure() *cobra.Command {
	return &cobra.Command{
		Use:   "figure FINDING NAME=VALUE...",
		Short: "Add a figure to a finding",
		Long: "Add a figure to a finding that stands, or put another in its place. FINDING is its number\n" +
			"(\"fettle job finding\" lists them). The ways to save a hole are worked out again with hole, into,\n" +
			"depth, edge, cover_hole and head_room; any other name is kept as it is.",
		Example: "  fettle job figure 1 \"depth=8 mm\"",
		Args:    atLeast(2, "name the finding, and the figure as NAME=VALUE"),
		RunE: func(_ *cobra.Command, args []string) error {
			for _, arg := range args[1:] {
				if !strings.Contains(arg, "=") {
					return misshapen(fmt.Errorf("say it as NAME=VALUE, not %q", arg))
				}
			}
			var open *job.Job
			err := c.write(func(j *job.Job) (saved job.Saved, err error) {
				open = j
				for i, arg := range args[1:] {
					name, value, _ := strings.Cut(arg, "=")
					if saved, err = j.AddFigure(args[0], name, value); err != nil {
						if i > 0 {
							err = fmt.Errorf("%w (saved before it: %s)", err, strings.Join(args[1:i+1], ", "))
						}
						return saved, err
					}
				}
				return saved, nil
			})
			if err != nil {
				return err
			}
			f, err := open.Finding(args[0])
			if err != nil || f.Fastener == "" || f.What != job.DamagedHole && f.What != job.Sheared {
				return nil
			}
			return c.advice(open, f)
		},
	}
}

func findingKinds() string {
	var words []string
	for _, k := range job.FindingKinds() {
		words = append(words, strings.ReplaceAll(string(k), " ", "-"))
	}
	return strings.Join(words, ", ")
}

func (c *jobCommands) listFindings(asJSON bool) error {
	j, err := c.opened()
	if err != nil {
		return err
	}
	list := j.State().Findings
	if asJSON {
		return c.findingsJSON(list)
	}
	if len(list) == 0 {
		fmt.Fprintln(c.env.Stdout, "No findings.")
	}
	for _, f := range list {
		c.findingText(j, &f)
	}
	return nil
}

func (c *jobCommands) findingsJSON(list []job.Finding) error {
	type disposition struct {
		Decision string   `json:"decision"`
		Text     string   `json:"text"`
		By       string   `json:"by"`
		Allowed  string   `json:"allowed,omitempty"`
		Thread   string   `json:"thread,omitempty"`
		Steps    []string `json:"steps"`
		Reopened []string `json:"reopened"`
		Idle     []string `json:"no_longer_needed"`
		Later    int      `json:"superseded_by,omitempty"`
	}
	type line struct {
		Number      int               `json:"number"`
		ID          string            `json:"id"`
		What        string            `json:"what"`
		Text        string            `json:"text"`
		By          string            `json:"by"`
		Step        string            `json:"step,omitempty"`
		Fastener    string            `json:"fastener,omitempty"`
		Which       int               `json:"which,omitempty"`
		Place       string            `json:"place,omitempty"`
		Figures     map[string]string `json:"figures"`
		Photos      []string          `json:"photos"`
		Disposition *disposition      `json:"disposition"`
	}
	lines := []line{}
	for _, f := range list {
		l := line{
			Number: f.Order, ID: f.ID, What: string(f.What), Text: f.Text, By: f.By, Step: f.Step, Fastener: f.Fastener, Which: f.Number,
			Place: f.Place, Figures: f.Data, Photos: append([]string{}, f.Photos...),
		}
		if d := f.Disposition; d != nil {
			l.Disposition = &disposition{string(d.Decision), d.Text, d.By, d.Allowed, d.Data["thread"], append([]string{}, d.Steps...), append([]string{}, d.Reopened...), idleNames(d), d.Later}
		}
		lines = append(lines, l)
	}
	return writeItems(c.env.Stdout, "job-finding", lines)
}

func (c *jobCommands) findingText(j *job.Job, f *job.Finding) {
	w := c.env.Stdout
	fmt.Fprintf(w, "%d. %s %s\n   %s (%s, %s)\n", f.Order, f.What, f.Where(), f.Text, f.By, f.Name())
	for _, name := range sortedNames(f.Data) {
		fmt.Fprintf(w, "   %s %s\n", strings.ReplaceAll(name, "_", " "), f.Data[name])
	}
	for _, photo := range f.Photos {
		fmt.Fprintf(w, "   photo %s\n", photo)
	}
	d := f.Disposition
	if d == nil {
		fmt.Fprintln(w, "   open: nobody has decided")
		return
	}
	fmt.Fprintf(w, "   %s: %s (%s)\n", d.Decision, d.Text, d.By)
	if d.Allowed != "" {
		fmt.Fprintf(w, "   allowed by %s\n", d.Allowed)
	}
	if len(d.Steps) > 0 {
		fmt.Fprintf(w, "   new steps: %s\n", strings.Join(d.Steps, ", "))
		if other := f.OtherRoad(j.Filled()); other != "" {
			fmt.Fprintf(w, "   They do it: start no job\n   %s for this hole as well.\n", job.Plain(other))
		}
	}
	if len(d.Reopened) > 0 {
		fmt.Fprintf(w, "   open again: %s\n", strings.Join(d.Reopened, ", "))
	}
	if d.Later > 0 {
		fmt.Fprintf(w, "   finding %d was decided later; no longer needed: %s\n", d.Later, strings.Join(idleNames(d), ", "))
	}
}

func idleNames(d *job.Disposition) []string {
	list := []string{}
	for _, s := range d.Idle {
		list = append(list, s.ID)
	}
	return list
}

// shearedPlan prints how to get a sheared fastener out.
func (c *jobCommands) shearedPlan(j *job.Job, f *job.Finding) error {
	plan, err := j.Sheared(f)
	if err != nil {
		return usage(err)
	}
	for i, s := range plan.Steps {
		fmt.Fprintf(c.env.Stdout, "  %d. %s\n", i+1, s.Do)
		if s.Drill != "" {
			fmt.Fprintf(c.env.Stdout, "     drill %s\n", s.Drill)
		}
		if s.Caution != "" {
			fmt.Fprintf(c.env.Stdout, "     caution: %s\n", s.Caution)
		}
	}
	return nil
}

// advice prints the ways to save a damaged hole.
func (c *jobCommands) advice(j *job.Job, f *job.Finding) error {
	if f.What == job.Sheared {
		return c.shearedPlan(j, f)
	}
	a, err := j.Advise(f, c.env.tools())
	if err != nil {
		return usage(err)
	}
	w := c.env.Stdout
	if len(a.Missing) > 0 {
		fmt.Fprintln(w, "To advise on it, measure or say:")
		for _, m := range a.Missing {
			fmt.Fprintf(w, "  %s\n", m)
		}
		return nil
	}
	fmt.Fprintf(w, "Hole %s, was %s: %s of the old thread left\n", a.Input.Hole, a.Input.Thread, lookup.Share(a.Result.HolePercent))
	const most = 6 // ways that are listed; "fettle rescue" lists all
	shown, more, stopped := 0, 0, 0
	for _, o := range a.Result.Options {
		switch {
		case o.Verdict == check.Stop:
			stopped++
			continue
		case shown == most:
			more++
			continue
		}
		shown++
		fmt.Fprintf(w, "  %s: %s %s", o.Verdict, strings.ReplaceAll(string(o.Kind), "-", " "), o.Thread)
		if o.Drill.Name != "" {
			fmt.Fprintf(w, ", drill %s, %.0f %%", o.Drill.Name, o.EngagementPercent)
		}
		fmt.Fprintln(w)
		for _, q := range o.Consequences {
			if q.Severity != check.Note {
				fmt.Fprintf(w, "    %s: %s\n", q.Severity, q.Message)
			}
		}
	}
	if more+stopped > 0 {
		fmt.Fprintf(w, "  and %d more that would do, %d that must not be done (\"fettle rescue\" lists all)\n", more, stopped)
	}
	for _, u := range a.Unknown {
		fmt.Fprintf(w, "  not checked: %s\n", u)
	}
	if other := f.OtherRoad(j.Filled()); other != "" {
		fmt.Fprintf(w, "One road for one hole: decide it here,\nor start %s\nfrom step %s. Not both.\n", job.Plain(other), f.Step)
	}
	fmt.Fprintln(w, "On a boiler the local code and the inspector decide.")
	return nil
}

func (c *jobCommands) dispose() *cobra.Command {
	var d job.NewDisposition
	cmd := &cobra.Command{
		Use:        "decide FINDING DECISION TEXT",
		SuggestFor: []string{"dispose"},
		Short:      "Decide about a finding",
		Long: "Decide about a finding. FINDING is its number (\"fettle job finding\" lists them); DECISION is\n" +
			"accept, rework, repair, replace or concession (--allowed names who allowed it).\n" +
			"With --thread, --length, --head or --grade one fastener becomes another: its circle is split, the\n" +
			"checks that follow come in as steps, dry fits and what rests on them are open again, and drill,\n" +
			"tap and screws go on the next-visit list. \"fettle job undo\" takes all of it back.",
		Example: "  fettle job decide 1 repair \"up a size\" --thread \"2 BA\" --boiler no",
		Args:    atLeast(3, "name the finding, the decision and the reason for it"),
		RunE: func(_ *cobra.Command, args []string) error {
			d.Decision, d.Text = job.Decision(args[1]), strings.Join(args[2:], " ")
			var j *job.Job
			if err := c.write(func(open *job.Job) (job.Saved, error) { j = open; return j.Dispose(args[0], d) }); err != nil {
				return err
			}
			if f, err := j.Finding(args[0]); err == nil {
				c.findingText(j, f)
			}
			return nil
		},
	}
	f := cmd.Flags()
	f.StringVar(&d.Allowed, "allowed", "", "who allowed it")
	f.StringVar(&d.Thread, "thread", "", "the thread of this one fastener from now on")
	f.StringVar(&d.Length, "length", "", "its length from now on")
	f.StringVar(&d.Head, "head", "", "its head from now on: hex, socket, countersunk, cheese")
	f.StringVar(&d.Grade, "grade", "", "its grade from now on")
	f.StringVar(&d.Boiler, "boiler", "", "whether the tapped part belongs to the boiler itself: yes or no; not said counts as yes")
	return cmd
}
