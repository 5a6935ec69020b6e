package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
)

func rescueCommand(env Env) *cobra.Command {
	var hole holeFlags
	var into, grade, head string
	var taps, drills []string
	var ring int
	var sheared, all, asJSON, sources bool
	cmd := &cobra.Command{
		Use: "rescue THREAD --hole SIZE --into METAL --depth LENGTH",
		Long: "Ranks every way to save a damaged tapped hole: clean it, a longer screw, the next\n" +
			"thread that fits, a wire insert, a bush. Each with its drill, how much thread the hole\n" +
			"leaves it, how much of that the old thread has not grooved, its strength beside the old\n" +
			"one's, and what must be checked afterwards. Measure with the largest pin that enters.\n" +
			"Own taps and drills come from --tap and --drill or from workshop.toml.\n\n" + check.Deference,
		Example: "  fettle rescue M4 --hole 3.81 --into gunmetal --depth 8 --wet --edge 7 --cover-hole 4.5\n" +
			"  fettle rescue \"2 BA\" --hole 4.75 --into copper --depth 6 --tap \"0 BA\" --tap M6\n" +
			"  fettle rescue \"4 BA\" --sheared",
		Args: oneThread,
	}
	fl := cmd.Flags()
	measured := lengthVar(cmd, "hole", "measured diameter: the largest pin that enters")
	fl.StringVar(&into, "into", "", "the `metal` it is in: gunmetal, \"copper, annealed\" ...")
	depth := lengthVar(cmd, "depth", "depth the metal allows for full thread")
	hole.add(cmd)
	damaged := lengthVar(cmd, "damaged", "how deep the damage goes (the usual engagement)")
	edge := lengthVar(cmd, "edge", "centre to the nearest edge of the metal")
	next := lengthVar(cmd, "next", "centre to centre of the next hole")
	coverHole := lengthVar(cmd, "cover-hole", "hole the screw now passes through")
	gasketEdge := lengthVar(cmd, "gasket-edge", "centre to the rim of the gasket or O-ring groove")
	headRoom := lengthVar(cmd, "head-room", "diameter free for a head")
	cover := lengthVar(cmd, "cover", "thickness of the cover, for a countersunk head")
	fl.StringVar(&head, "head", "", "hex, socket, countersunk or cheese (hex)")
	fl.IntVar(&ring, "holes", 0, "number of like holes in the ring")
	fl.StringVar(&grade, "grade", "", "what the screw is made of, to be checked where it is wet")
	fl.StringArrayVar(&taps, "tap", nil, "a tap at hand (again for each)")
	fl.StringArrayVar(&drills, "drill", nil, "a drill at hand (again for each)")
	fl.BoolVar(&sheared, "sheared", false, "the screw has sheared: how to get it out")
	fl.BoolVar(&all, "all", false, "print every option, not only the first")
	fl.BoolVar(&asJSON, "json", false, "print JSON")
	fl.BoolVar(&sources, "sources", false, "say where the figures come from")
	complete(cmd, "into", metalNames)
	complete(cmd, "grade", gradeNames)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		t, err := parseThreadArg(args[0])
		if err != nil {
			return err
		}
		in := fastening.RescueInput{
			Thread: t, Hole: measured.value, Depth: depth.value, Kind: hole.kind(), Damaged: damaged.value, Edge: edge.value,
			Neighbour: next.value, CoverHole: coverHole.value, GasketEdge: gasketEdge.value, HeadRoom: headRoom.value, Cover: cover.value, Holes: ring,
		}
		if in.Taps, in.Drills, err = toolsAtHand(env, taps, drills); err != nil {
			return err
		}
		if cmd.Flags().Changed("into") {
			if in.Into, err = fastening.ParseMetal(into); err != nil {
				return usage(err)
			}
		}
		if sheared {
			return runSheared(env, in, asJSON)
		}
		if err := required(cmd, "hole", "into", "depth"); err != nil {
			return err
		}
		if cmd.Flags().Changed("grade") {
			if in.Grade, err = fastening.ParseGrade(grade); err != nil {
				return usage(err)
			}
		}
		if head != "" {
			if in.Head, err = parseHead(head); err != nil {
				return usage(err)
			}
		}
		r, err := fastening.Rescue(in)
		if err != nil {
			return usage(err)
		}
		if asJSON {
			if err := writeJSON(env.Stdout, newRescueJSON(r)); err != nil {
				return err
			}
		} else {
			writeRescue(env.Stdout, r, all)
			if sources {
				writeSources(env.Stdout, r.Sources)
			}
		}
		if r.Verdict == check.Stop || check.Worst(r.Findings) == check.Stop {
			return found()
		}
		return nil
	}
	return cmd
}

// toolsAtHand are the taps and drills named on the command line, or else those
// of the user's workshop file.
func toolsAtHand(env Env, taps, drills []string) (own []threads.Thread, set threads.DrillSet, err error) {
	w, err := ownTools(env)
	if err != nil {
		return nil, set, err
	}
	own, set = w.Taps, w.Drills
	if len(taps) > 0 {
		own = nil
	}
	for _, s := range taps {
		t, err := parseThreadArg(s)
		if err != nil {
			return nil, set, err
		}
		own = append(own, t)
	}
	var list []threads.Drill
	for _, s := range drills {
		d, err := threads.ParseDrill(s)
		if err != nil {
			return nil, set, usage(err)
		}
		list = append(list, d)
	}
	if len(list) > 0 {
		set = threads.OwnDrills(list)
	}
	return own, set, nil
}

// shownOptions is how many options are printed without --all.
const shownOptions = 6

func writeRescue(w io.Writer, r fastening.RescueResult, all bool) {
	flow(w, 0, 2, fmt.Sprintf("%s, hole %s: %s of thread left", r.Thread, r.Hole, percentText(r.HolePercent)))
	flow(w, 2, 2, r.Basis)
	for i, o := range r.Options {
		if i == shownOptions && !all {
			fmt.Fprintf(w, "\n%d more with --all\n", len(r.Options)-i)
			break
		}
		fmt.Fprintln(w)
		flow(w, 0, 3, fmt.Sprintf("%d. %s: %s, %s", i+1, o.Kind, o.Verdict, o.Thread))
		if i == 0 && r.Why != "" {
			flow(w, 3, 5, "first because: "+r.Why)
		}
		if o.Tapped != o.Thread.String() {
			flow(w, 3, 3, "tap "+o.Tapped)
		}
		flow(w, 3, 3, "drill "+drillText(o))
		flow(w, 3, 3, fmt.Sprintf("thread %s, clear of the old %s", percentText(o.EngagementPercent), percentText(o.CleanupPercent)))
		fmt.Fprintf(w, "   strength %.2f of the sound thread\n", o.StripRatio)
		if !o.TapAtHand {
			fmt.Fprintln(w, "   the tap is not at hand")
		}
		if !o.DrillAtHand {
			fmt.Fprintln(w, "   the drill is not at hand")
		}
		for _, c := range o.Consequences {
			if all || i == 0 || c.Severity != check.Note {
				flow(w, 3, 5, string(c.Severity)+": "+c.Message)
			}
		}
	}
	fmt.Fprintln(w)
	writeFindings(w, r.Findings)
}

// drillText names the drill and why it is the one.
func drillText(o fastening.Option) string {
	if o.AsItIs {
		return o.Drill.Name
	}
	return o.Drill.Name + " (" + o.DrillSource + ")"
}

type rescueDrillJSON struct {
	Drill    string  `json:"drill"`
	Diameter float64 `json:"diameter_mm"`
	AsItIs   bool    `json:"as_it_is"`
	AtHand   bool    `json:"at_hand"`
	Source   string  `json:"source"`
}

type optionJSON struct {
	Kind         fastening.RescueKind `json:"kind"`
	Thread       string               `json:"thread"`
	Tapped       string               `json:"tapped"`
	TapDrill     rescueDrillJSON      `json:"tap_drill"`
	Engagement   float64              `json:"engagement_percent"`
	Measured     float64              `json:"measured_percent"`
	Cleanup      float64              `json:"cleanup_percent"`
	Engaged      float64              `json:"engaged_mm"`
	StripRatio   float64              `json:"strip_ratio"`
	TapAtHand    bool                 `json:"tap_at_hand"`
	Verdict      check.Severity       `json:"verdict"`
	Consequences []string             `json:"consequences"`
}

type rescueJSON struct {
	Thread      string         `json:"thread"`
	Hole        float64        `json:"hole_mm"`
	HolePercent float64        `json:"hole_percent"`
	Basis       string         `json:"engagement_basis"`
	Options     []optionJSON   `json:"options"`
	WhyFirst    string         `json:"why_first"`
	Verdict     check.Severity `json:"verdict"`
	Findings    []check.Result `json:"findings"`
	Sources     []string       `json:"sources"`
	Advice      string         `json:"advice"`
}

func newRescueJSON(r fastening.RescueResult) rescueJSON {
	out := rescueJSON{
		Thread: r.Thread.String(), Hole: figure(r.Hole.MM()), HolePercent: figure(r.HolePercent), Basis: r.Basis, Options: []optionJSON{}, WhyFirst: r.Why,
		Verdict: r.Verdict, Findings: orEmpty(r.Findings), Sources: r.Sources, Advice: check.Deference,
	}
	for _, o := range r.Options {
		j := optionJSON{
			Kind: o.Kind, Thread: o.Thread.String(), Tapped: o.Tapped,
			TapDrill:   rescueDrillJSON{o.Drill.Name, figure(o.Diameter.MM()), o.AsItIs, o.DrillAtHand, o.DrillSource},
			Engagement: figure(o.EngagementPercent), Measured: figure(o.MeasuredPercent), Cleanup: figure(o.CleanupPercent),
			Engaged: figure(o.Engaged.MM()), StripRatio: figure(o.StripRatio), TapAtHand: o.TapAtHand, Verdict: o.Verdict, Consequences: []string{},
		}
		for _, c := range o.Consequences {
			j.Consequences = append(j.Consequences, string(c.Severity)+": "+c.Message)
		}
		out.Options = append(out.Options, j)
	}
	return out
}

type shearedStepJSON struct {
	Do      string `json:"do"`
	Drill   string `json:"drill,omitempty"`
	Caution string `json:"caution,omitempty"`
}

type shearedJSON struct {
	Thread        string            `json:"thread"`
	Pilot         drillSizeJSON     `json:"pilot"`
	Core          drillSizeJSON     `json:"core"`
	ExtractorLow  *float64          `json:"extractor_low_mm"`
	ExtractorHigh *float64          `json:"extractor_high_mm"`
	OffCentre     float64           `json:"off_centre_mm"`
	Steps         []shearedStepJSON `json:"steps"`
	Sources       []string          `json:"sources"`
	Advice        string            `json:"advice"`
}

type drillSizeJSON struct {
	Drill    string  `json:"drill"`
	Diameter float64 `json:"diameter_mm"`
}

func runSheared(env Env, in fastening.RescueInput, asJSON bool) error {
	p, err := fastening.Sheared(in.Thread, in.Into, in.Drills, 0)
	if err != nil {
		return usage(err)
	}
	if asJSON {
		out := shearedJSON{
			Thread: p.Thread.String(), Pilot: drillSizeJSON{p.Pilot.Name, figure(p.Pilot.Diameter.MM())},
			Core:         drillSizeJSON{p.Core.Name, figure(p.Core.Diameter.MM())},
			ExtractorLow: some(p.ExtractorLow), ExtractorHigh: some(p.ExtractorHigh),
			OffCentre: figure(p.OffCentre.MM()), Sources: p.Sources, Advice: check.Deference,
		}
		for _, s := range p.Steps {
			out.Steps = append(out.Steps, shearedStepJSON(s))
		}
		return writeJSON(env.Stdout, out)
	}
	fmt.Fprintf(env.Stdout, "Sheared %s\n", p.Thread)
	for i, s := range p.Steps {
		text := fmt.Sprintf("%d. %s", i+1, s.Do)
		if s.Drill != "" {
			text += ": " + s.Drill
		}
		flow(env.Stdout, 0, 3, text)
		if s.Caution != "" {
			flow(env.Stdout, 3, 5, "caution: "+s.Caution)
		}
	}
	return nil
}
