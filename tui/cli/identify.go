package cli

import (
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"fettle/threads"
	"fettle/threads/quantity"
)

// identifyFlags are the measurements as typed.
type identifyFlags struct {
	major, minor, pitch, over, wear, measuring string
	tpi                                        float64
	count                                      int
	internal, asJSON, sources                  bool
}

func identifyCommand(env Env) *cobra.Command {
	var f identifyFlags
	cmd := &cobra.Command{
		Use: "identify --major L [--pitch L | --tpi N | --count N --over L]",
		Long: "Which threads fit what was measured, the pairs that are easily confused, and the one further measurement\n" +
			"that settles it. Measure a screw over its crests (--major), a hole across its bore (--minor), and the pitch by\n" +
			"a gauge (--pitch, --tpi) or by counting threads over a length.\n\n" +
			"Order a tap only after a known screw has gone in 6 turns by finger.",
		Example: "  fettle identify --major 6.3 --tpi 26\n" +
			"  fettle identify --minor 4.1\n" +
			"  fettle identify --major 4.65 --count 20 --over 16.2",
		Args: flagsOnly,
		RunE: func(cmd *cobra.Command, _ []string) error {
			m, err := f.measurement(cmd.Flags().Changed("tpi"), cmd.Flags().Changed("count"))
			if err != nil {
				return usage(err)
			}
			found, err := threads.Identify(m)
			switch {
			case err != nil && m.Major == 0 && m.Minor == 0:
				return misshapen(err)
			case err != nil:
				return usage(err)
			}
			if f.asJSON {
				return writeJSON(env.Stdout, newIdentifyJSON(m, found))
			}
			writeCandidates(env, m, found)
			if f.sources {
				writeSources(env.Stdout, threads.IdentifySources(m, found))
			}
			return nil
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.major, "major", "", "diameter over the crests of a screw: `length`")
	flags.StringVar(&f.minor, "minor", "", "bore of a threaded hole: `length`")
	flags.StringVar(&f.pitch, "pitch", "", "pitch: `length`")
	flags.Float64Var(&f.tpi, "tpi", 0, "threads per inch")
	flags.IntVar(&f.count, "count", 0, "threads counted")
	flags.StringVar(&f.over, "over", "", "`length` they were counted over")
	flags.BoolVar(&f.internal, "internal", false, "it is a hole: --major is to the bottom of its thread")
	flags.StringVar(&f.wear, "wear", "", "wear allowed for (`length`; 0.15 mm)")
	flags.StringVar(&f.measuring, "error", "", "measuring error allowed for (`length`; 0.03 mm)")
	flags.BoolVar(&f.sources, "sources", false, "say where the figures come from")
	flags.BoolVar(&f.asJSON, "json", false, "print JSON")
	return cmd
}

// measurement reads the flags.
func (f identifyFlags) measurement(hasTPI, hasCount bool) (m threads.Measurement, err error) {
	for _, l := range []struct {
		flag, text string
		into       *quantity.Length
	}{
		{"--major", f.major, &m.Major}, {"--minor", f.minor, &m.Minor}, {"--pitch", f.pitch, &m.Pitch},
		{"--over", f.over, &m.Over}, {"--wear", f.wear, &m.Wear}, {"--error", f.measuring, &m.Error},
	} {
		if l.text == "" {
			continue
		}
		if *l.into, err = quantity.ParseLength(l.text); err != nil {
			return m, fmt.Errorf("%s: %w", l.flag, err)
		}
		if *l.into <= 0 {
			return m, fmt.Errorf("%s must be more than nought", l.flag)
		}
	}
	m.Internal = f.internal
	if hasTPI {
		if m.Pitch != 0 {
			return m, errors.New("give --pitch or --tpi, not both")
		}
		if !(f.tpi >= 1 && f.tpi <= 400) {
			return m, errors.New("--tpi is 1 to 400 threads per inch")
		}
		m.Pitch = quantity.Length(quantity.InchMM / f.tpi)
	}
	if hasCount {
		if f.count < 1 {
			return m, errors.New("--count is the number of threads counted, 1 or more")
		}
		m.Count = f.count
	}
	return m, nil
}

// Rows a person is shown; --json gives every candidate.
const (
	shownCandidates = 6
	shownConfusions = 2
)

func writeCandidates(env Env, m threads.Measurement, found []threads.Candidate) {
	w := env.Stdout
	if !found[0].Fits {
		fmt.Fprintln(w, "Nothing fits. Nearest:")
	}
	head := "measured less"
	off := "diameter"
	if found[0].HasPitch {
		off += "  pitch"
	}
	fmt.Fprintf(w, "%-18s %s\n", head, off)
	for i, c := range found {
		if i == shownCandidates {
			fmt.Fprintf(w, "and %d more (--json)\n", len(found)-i)
			break
		}
		pitch := ""
		if c.HasPitch {
			pitch = fmt.Sprintf("  %+.1f %%", c.PitchDifference+0)
		}
		same := ""
		if i > 0 && c.Thread.Interchanges(found[i-1].Thread) {
			same = "  the same"
		}
		fmt.Fprintf(w, "%-18s %+.2f mm%s%s\n", c.Thread, c.MajorDifference.MM(), pitch, same)
	}
	if found[0].Fits {
		var told []threads.Thread
		for _, c := range found[0].Thread.Confusables() {
			if len(told) == shownConfusions {
				break
			}
			if c.Same || slices.ContainsFunc(told, c.With.Interchanges) {
				continue
			}
			told = append(told, c.With)
			flow(w, 0, 2, fmt.Sprintf("Do not mix with %s: %s.", c.With, c.What))
		}
	}
	for _, c := range found[:min(len(found), shownCandidates)] {
		if met := c.Thread.MetIn(); c.Fits && met != "" {
			flow(w, 0, 2, fmt.Sprintf("%s: %s.", c.Thread, met))
		}
	}
	for _, s := range threads.Strangers(m) {
		flow(w, 0, 2, fmt.Sprintf("It fits a thread not held here as well: %s (%s).", s.Name, s.What))
	}
	flow(w, 0, 2, threads.Settle(m, found))
}

type identifyJSON struct {
	Candidates []candidateJSON `json:"candidates"`
	Nearest    []candidateJSON `json:"nearest,omitempty"` // where nothing fits
	Strangers  []strangerJSON  `json:"strangers"`
	Settle     string          `json:"settle"`
	Sources    []string        `json:"sources"`
}

// strangerJSON is a thread that fits and is not held here.
type strangerJSON struct {
	Name   string `json:"name"`
	MetIn  string `json:"met_in"`
	Source string `json:"source"`
}

type candidateJSON struct {
	Designation     string          `json:"designation"`
	Series          string          `json:"series"`
	MajorDifference float64         `json:"major_difference_mm"`
	PitchDifference *float64        `json:"pitch_difference_percent"`
	MetIn           string          `json:"met_in,omitempty"`
	Confusable      []string        `json:"confusable_with"`
	Mixed           []confusionJSON `json:"when_mixed"`
}

type confusionJSON struct {
	With string `json:"with"`
	What string `json:"what"`
}

func newIdentifyJSON(m threads.Measurement, found []threads.Candidate) identifyJSON {
	out := identifyJSON{
		Candidates: []candidateJSON{}, Strangers: []strangerJSON{},
		Settle: threads.Settle(m, found), Sources: threads.IdentifySources(m, found),
	}
	for _, s := range threads.Strangers(m) {
		out.Strangers = append(out.Strangers, strangerJSON{s.Name, s.What, s.Source})
	}
	for _, c := range found {
		j := candidateJSON{
			Designation: c.Thread.String(), Series: string(c.Thread.Series),
			MetIn: c.Thread.MetIn(), MajorDifference: mmFigure(c.MajorDifference), Confusable: []string{}, Mixed: []confusionJSON{},
		}
		if c.HasPitch {
			p := figure(c.PitchDifference)
			j.PitchDifference = &p
		}
		for _, x := range c.Thread.Confusables() {
			j.Confusable = append(j.Confusable, x.With.String())
			j.Mixed = append(j.Mixed, confusionJSON{x.With.String(), x.What})
		}
		if c.Fits {
			out.Candidates = append(out.Candidates, j)
		} else {
			out.Nearest = append(out.Nearest, j)
		}
	}
	return out
}
