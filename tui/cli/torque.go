package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"fettle/threads/check"
	"fettle/threads/fastening"
)

func torqueCommand(env Env) *cobra.Command {
	var screw screwFlags
	var into string
	var asJSON, sources bool
	cmd := &cobra.Command{
		Use: "torque THREAD --grade GRADE",
		Long: "Preload and torque of a screw: VDI 2230 combined stress, held below what the\n" +
			"tapped metal takes (with --into and --depth). Where a screw that binds could shear,\n" +
			"a warning says from which torque.\n" +
			"Friction is shown, never silent; without --friction or --lubricant an anti-seize is assumed.\n\n" + check.Deference,
		Example: "  fettle torque M4 --grade A2-70 --lubricant sealant\n" +
			"  fettle torque \"2 BA\" --grade \"phosphor bronze\" --friction 0.12 --into gunmetal --depth 7",
		Args: oneThread,
	}
	screw.add(cmd)
	cmd.Flags().StringVar(&into, "into", "", "the tapped `metal`: gunmetal, \"copper, annealed\" ...")
	depth := lengthVar(cmd, "depth", "length of full thread in it")
	hole := lengthVar(cmd, "hole", "measured diameter of the tapped hole (the recommended drill)")
	bearing := lengthVar(cmd, "bearing", "mean diameter under the head (from the head)")
	spanner := lengthVar(cmd, "spanner", "length of the spanner (100 mm)")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().BoolVar(&sources, "sources", false, "say where the figures come from")
	complete(cmd, "into", metalNames)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := required(cmd, "grade"); err != nil {
			return err
		}
		t, err := parseThreadArg(args[0])
		if err != nil {
			return err
		}
		in := fastening.TightenInput{Thread: t, Depth: depth.value, Hole: hole.value, BearingDiameter: bearing.value, Spanner: spanner.value}
		if err := screw.fill(cmd, &in); err != nil {
			return err
		}
		if cmd.Flags().Changed("into") {
			if in.Into, err = fastening.ParseMetal(into); err != nil {
				return usage(err)
			}
		}
		r, err := fastening.Tighten(in)
		if err != nil {
			return usage(err)
		}
		if asJSON {
			if err := writeJSON(env.Stdout, newTorqueJSON(r)); err != nil {
				return err
			}
		} else {
			writeTorque(env.Stdout, in, r)
			if sources {
				writeSources(env.Stdout, r.Sources)
			}
		}
		if check.Worst(r.Findings) == check.Stop {
			return found()
		}
		return nil
	}
	return cmd
}

func writeTorque(w io.Writer, in fastening.TightenInput, r fastening.Tightening) {
	const column = 9
	label := func(name, format string, args ...any) { labelled(w, name, column, fmt.Sprintf(format, args...)) }
	title := fmt.Sprintf("%s, %s, %s head", r.Thread, r.Grade, r.Head)
	if in.Temperature != 0 {
		title += fmt.Sprintf(", for service at %s", in.Temperature)
	}
	flow(w, 0, 2, title)
	if r.Torque > 0 {
		// The gentler figure first: it is the one safe without a torque tool.
		label("by hand", "%s, %.3g lbf·in", r.HandTorque, r.HandTorque.LbfIn())
		label("", "preload %s", r.HandPreload)
		if r.ReachedHigh > 1 {
			label("by tool", "only where friction is known:")
		} else {
			label("by tool", "the most, with a torque tool:")
		}
		label("torque", "%s, %.3g lbf·in", r.Torque, r.Torque.LbfIn())
		label("", "%.3g N at %s of spanner", r.SpannerForce.N(), r.Spanner)
		label("preload", "%s", r.Preload)
		label("limit", "%s, at %.0f %% of yield", r.LimitedBy, 100*r.Reached)
	} else {
		label("torque", "none: see the stop below")
	}
	label("friction", "%.2g, %s", r.Friction.Nominal, r.Friction.Condition)
	if r.Torque > 0 {
		label("", "at %.2g it gives %s", r.Friction.Low, r.PreloadHigh)
		label("", "at %.2g it gives %s", r.Friction.High, r.PreloadLow)
	}
	if s := r.Strip; s != nil {
		flow(w, 0, 2, fmt.Sprintf("in %s, %s of thread:", in.Into, s.Engagement))
		flow(w, 2, 4, fmt.Sprintf("cautious strip force %s", s.OneThird))
		flow(w, 2, 4, fmt.Sprintf("geometric %s, screw %s", s.Geometric, s.ScrewBreaks))
		flow(w, 2, 4, fmt.Sprintf("fails first: %s", s.FailsFirst))
		if s.EngagementForPreload > 0 {
			flow(w, 2, 4, fmt.Sprintf("full preload needs %s", fastening.BenchLength(s.EngagementForPreload)))
		}
		flow(w, 2, 4, fmt.Sprintf("usual least %s", fastening.BenchLength(s.EngagementRule)))
	}
	writeFindings(w, r.Findings)
}

type limitJSON struct {
	By      string  `json:"by"`
	Preload float64 `json:"preload_kn"`
	Torque  float64 `json:"torque_nm"`
	Source  string  `json:"source"`
}

type stripJSON struct {
	OneThird             float64 `json:"one_third_kn"`
	Cap                  float64 `json:"preload_cap_kn"`
	Geometric            float64 `json:"geometric_kn"`
	ScrewBreaks          float64 `json:"screw_breaks_kn"`
	FailsFirst           string  `json:"fails_first"`
	InternalArea         float64 `json:"internal_area_mm2"`
	ExternalArea         float64 `json:"external_area_mm2"`
	EngagementForBreak   float64 `json:"engagement_for_break_mm"`
	EngagementForPreload float64 `json:"engagement_for_preload_mm"`
	EngagementRule       float64 `json:"engagement_rule_mm"`
	Basis                string  `json:"basis"`
}

type torqueJSON struct {
	Thread            string         `json:"thread"`
	Grade             string         `json:"grade"`
	Head              string         `json:"head"`
	Preload           float64        `json:"preload_kn"`
	Torque            float64        `json:"torque_nm"`
	TorqueLbfIn       float64        `json:"torque_lbf_in"`
	Friction          float64        `json:"friction"`
	FrictionLow       float64        `json:"friction_low"`
	FrictionHigh      float64        `json:"friction_high"`
	FrictionCondition string         `json:"friction_condition"`
	FrictionAssumed   bool           `json:"friction_assumed"`
	HeadFriction      float64        `json:"head_friction"`
	PreloadLow        float64        `json:"preload_low_kn"`
	PreloadHigh       float64        `json:"preload_high_kn"`
	Utilisation       float64        `json:"utilisation"`
	Reached           float64        `json:"utilisation_reached"`
	ReachedHigh       float64        `json:"utilisation_high"`
	LimitedBy         string         `json:"limited_by"`
	Limits            []limitJSON    `json:"limits"`
	HandPreload       float64        `json:"hand_preload_kn"`
	HandTorque        float64        `json:"hand_torque_nm"`
	TorqueFactor      float64        `json:"torque_factor"`
	Bearing           float64        `json:"bearing_diameter_mm"`
	Spanner           float64        `json:"spanner_mm"`
	SpannerForce      float64        `json:"spanner_force_n"`
	ShearsFrom        float64        `json:"shears_from_nm"`
	StripForce        *float64       `json:"strip_kn"`
	Strip             *stripJSON     `json:"strip,omitempty"`
	Verdict           check.Severity `json:"verdict"`
	Findings          []check.Result `json:"findings"`
	Sources           []string       `json:"sources"`
	Advice            string         `json:"advice"`
}

func newTorqueJSON(r fastening.Tightening) torqueJSON {
	out := torqueJSON{
		Thread: r.Thread.String(), Grade: r.Grade.String(), Head: string(r.Head),
		Preload: figure(r.Preload.KN()), Torque: figure(r.Torque.NM()), TorqueLbfIn: figure(r.Torque.LbfIn()),
		Friction: r.Friction.Nominal, FrictionLow: r.Friction.Low, FrictionHigh: r.Friction.High,
		FrictionCondition: r.Friction.Condition, FrictionAssumed: r.Friction.Assumed, HeadFriction: r.HeadFriction,
		PreloadLow: figure(r.PreloadLow.KN()), PreloadHigh: figure(r.PreloadHigh.KN()),
		Utilisation: r.Utilisation, Reached: figure(r.Reached), ReachedHigh: figure(r.ReachedHigh),
		LimitedBy: r.LimitedBy, HandPreload: figure(r.HandPreload.KN()), HandTorque: figure(r.HandTorque.NM()),
		TorqueFactor: figure(r.TorqueFactor), Bearing: figure(r.BearingDiameter.MM()),
		Spanner: figure(r.Spanner.MM()), SpannerForce: figure(r.SpannerForce.N()),
		ShearsFrom: figure(r.ShearsFrom.NM()),
		Verdict:    check.Worst(r.Findings), Findings: orEmpty(r.Findings), Sources: r.Sources, Advice: check.Deference,
	}
	for _, l := range r.Limits {
		out.Limits = append(out.Limits, limitJSON{l.By, figure(l.Preload.KN()), figure(l.Torque.NM()), l.Source})
	}
	if s := r.Strip; s != nil {
		force := figure(s.OneThird.KN())
		out.StripForce = &force
		out.Strip = &stripJSON{
			OneThird: force, Cap: figure(s.PreloadCap.KN()), Geometric: figure(s.Geometric.KN()), ScrewBreaks: figure(s.ScrewBreaks.KN()),
			FailsFirst: s.FailsFirst, InternalArea: figure(s.InternalArea.MM2()), ExternalArea: figure(s.ExternalArea.MM2()),
			EngagementForBreak: figure(s.EngagementForBreak.MM()), EngagementForPreload: figure(s.EngagementForPreload.MM()),
			EngagementRule: figure(s.EngagementRule.MM()), Basis: s.Basis,
		}
	}
	return out
}
