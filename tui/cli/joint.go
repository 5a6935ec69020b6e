package cli

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

func jointCommand(env Env) *cobra.Command {
	var screw screwFlags
	var hole holeFlags
	var bolts int
	var thread, gasket, ring, pressure, into, coverMetal string
	var asJSON, sources bool
	cmd := &cobra.Command{
		Use: "joint --bolts N --thread T --grade G --circle D --bore D --gasket M --ring \"INNER x OUTER\" --pressure P --into M --depth L",
		Long: "The loads of ASME VIII-1 Appendix 2 against what the screws give, at the pressure you\n" +
			"name: the test pressure of your local code, which this program never chooses.\n" +
			"Screws are taken as tightened by hand to 0.6 of yield; --utilisation for a torque tool.\n\n" + check.Deference,
		Example: "  fettle joint --bolts 6 --thread M4 --grade A2-70 --circle 52 --bore 40 --gasket graphite\n" +
			"    --ring \"40 x 47\" --pressure \"14 bar\" --into gunmetal --depth 6",
		Args: flagsOnly,
	}
	fl := cmd.Flags()
	fl.IntVar(&bolts, "bolts", 0, "number of screws")
	fl.StringVar(&thread, "thread", "", "their thread")
	circle := lengthVar(cmd, "circle", "diameter of the circle they stand on")
	bore := lengthVar(cmd, "bore", "the opening under pressure")
	fl.StringVar(&gasket, "gasket", "", "what seals: graphite, \"flat copper\", O-ring, paper ...")
	fl.StringVar(&ring, "ring", "", "inside and outside of the gasket, \"`INNER x OUTER`\"")
	fl.StringVar(&pressure, "pressure", "", "highest `pressure` to hold, with its unit: \"14 bar\"")
	fl.StringVar(&into, "into", "", "the tapped `metal`: gunmetal, \"copper, annealed\" ...")
	depth := lengthVar(cmd, "depth", "length of full thread in it")
	screw.add(cmd)
	hole.add(cmd)
	cover := lengthVar(cmd, "cover", "thickness of the cover")
	fl.StringVar(&coverMetal, "cover-metal", "", "its `metal`, for the least thickness")
	fl.BoolVar(&asJSON, "json", false, "print JSON")
	fl.BoolVar(&sources, "sources", false, "say where the figures come from")
	complete(cmd, "into", metalNames)
	complete(cmd, "cover-metal", metalNames)
	complete(cmd, "gasket", gasketNames)
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		if err := required(cmd, "bolts", "thread", "grade", "circle", "bore", "gasket", "ring", "pressure", "into", "depth"); err != nil {
			return err
		}
		var tight fastening.TightenInput
		if err := screw.fill(cmd, &tight); err != nil {
			return err
		}
		in := fastening.JointInput{
			Bolts: bolts, Grade: tight.Grade, Circle: circle.value, Bore: bore.value, Depth: depth.value,
			Utilisation: tight.Utilisation, Friction: tight.Friction, HeadFriction: tight.HeadFriction, Lubricant: tight.Lubricant, Head: tight.Head,
			ClearanceHole: tight.ClearanceHole, Edge: tight.Edge, Hole: hole.kind(), Temperature: tight.Temperature,
			Start: 90, Cover: cover.value, // the first screw at the top
		}
		var err error
		if in.Thread, err = parseThreadArg(thread); err != nil {
			return err
		}
		if in.Gasket, err = fastening.ParseGasket(gasket); err != nil {
			return usage(err)
		}
		if in.RingInner, in.RingOuter, err = parseRing(ring); err != nil {
			return usage(err)
		}
		if in.Pressure, err = quantity.ParsePressure(pressure); err != nil {
			return usage(err)
		}
		if in.Into, err = fastening.ParseMetal(into); err != nil {
			return usage(err)
		}
		if cmd.Flags().Changed("cover-metal") {
			if in.CoverMetal, err = fastening.ParseMetal(coverMetal); err != nil {
				return usage(err)
			}
		}
		r, err := fastening.Joint(in)
		if err != nil {
			return usage(err)
		}
		service, err := checklist.JointInService(in)
		if err != nil {
			return usage(err)
		}
		r.Findings = append(service, r.Findings...)
		r.Verdict = check.Worst(r.Findings)
		if asJSON {
			if err := writeJSON(env.Stdout, newJointJSON(r)); err != nil {
				return err
			}
		} else {
			writeJoint(env.Stdout, in, r)
			if sources {
				writeSources(env.Stdout, r.Sources)
			}
		}
		if r.Verdict == check.Stop {
			return found()
		}
		return nil
	}
	return cmd
}

// parseRing reads "40 x 47": inside and outside of a ring. A unit after the
// second figure counts for a plain first one too.
func parseRing(s string) (inner, outer quantity.Length, err error) {
	parts := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == 'x' || r == '×' || r == '*' })
	if len(parts) != 2 {
		return 0, 0, fmt.Errorf("a gasket ring of %q: expected its inside and outside, like \"40 x 47\"", s)
	}
	first, second := strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1])
	if i := strings.LastIndexAny(second, "0123456789"); i >= 0 && strings.Trim(first, "0123456789., /") == "" {
		first += second[i+1:]
	}
	if inner, err = quantity.ParseLength(first); err != nil {
		return 0, 0, fmt.Errorf("inside of the gasket ring: %w", err)
	}
	if outer, err = quantity.ParseLength(second); err != nil {
		return 0, 0, fmt.Errorf("outside of the gasket ring: %w", err)
	}
	return inner, outer, nil
}

func writeJoint(w io.Writer, in fastening.JointInput, r fastening.JointResult) {
	const column = 10
	label := func(name, format string, args ...any) { labelled(w, name, column, fmt.Sprintf(format, args...)) }
	flow(w, 0, 2, fmt.Sprintf("%d x %s, %s", in.Bolts, in.Thread, in.Grade))
	flow(w, 0, 2, fmt.Sprintf("%s at %s", in.Gasket, in.Pressure))
	if r.FullFace {
		label("reserve", "none: a full-face gasket is not this sum")
	} else {
		label("end force", "%s from the pressure", r.Hydrostatic)
		label("to hold", "%s", r.Operating)
		label("to seat", "%s", r.Seating)
		if r.SeatingPractice > 0 {
			label("", "practice: %s", r.SeatingPractice)
		}
		label("per screw", "%s needed, %s given", r.PerBolt, r.PreloadPerBolt)
		label("reserve", "%.2f; %.2f at friction %.2g", r.Reserve, r.ReserveLow, r.Tightening.Friction.High)
		label("one lost", "%.2f beside it if the cover is stiff; gap %s", r.ReserveOneLost, fastening.BenchLength(r.Gap))
	}
	if r.GasketStress > 0 {
		label("on gasket", "%s", r.GasketStress)
	}
	label("pitch", "%s, %.1f diameters", fastening.BenchLength(r.Pitch), float64(r.Pitch/in.Thread.Major))
	if r.CoverThickness > 0 {
		text := fmt.Sprintf("%s at least: %s for the pressure", fastening.BenchLength(r.CoverThickness), fastening.BenchLength(r.CoverPressure))
		if r.CoverSeating > 0 {
			text += fmt.Sprintf(", %s for its own screws", fastening.BenchLength(r.CoverSeating))
		}
		label("cover", "%s", text)
	}
	label("friction", "%.2g, %s", r.Tightening.Friction.Nominal, r.Tightening.Friction.Condition)
	fmt.Fprintln(w)
	for _, p := range r.Passes {
		line := p.Name
		if p.Torque > 0 {
			line += " " + p.Torque.String()
		}
		flow(w, 0, 2, line+": "+p.Do)
	}
	flow(w, 0, 2, "order "+strings.Trim(fmt.Sprint(r.Order), "[]"))
	fmt.Fprintf(w, "\nverdict: %s\n", r.Verdict)
	writeFindings(w, r.Findings)
}

type passJSON struct {
	Name    string  `json:"name"`
	Percent float64 `json:"percent"`
	Torque  float64 `json:"torque_nm"`
	Order   []int   `json:"order"`
	Do      string  `json:"do"`
}

type holeJSON struct {
	Number int     `json:"number"`
	X      float64 `json:"x_mm"`
	Y      float64 `json:"y_mm"`
	Angle  float64 `json:"angle_deg"`
}

type jointJSON struct {
	Hydrostatic     *float64       `json:"hydrostatic_n"`
	Operating       *float64       `json:"operating_n"`
	Seating         *float64       `json:"seating_n"`
	SeatingPractice *float64       `json:"seating_practice_n"`
	PracticeWidth   *float64       `json:"practice_width_mm"`
	PerBolt         *float64       `json:"per_bolt_n"`
	Preload         float64        `json:"preload_per_bolt_n"`
	Reserve         *float64       `json:"reserve"`
	ReserveLow      *float64       `json:"reserve_low"`
	ReserveOneLost  *float64       `json:"reserve_one_lost"`
	GasketStress    *float64       `json:"gasket_stress_mpa"`
	SealDiameter    *float64       `json:"seal_diameter_mm"`
	EffectiveWidth  *float64       `json:"effective_width_mm"`
	Pitch           float64        `json:"pitch_mm"`
	Gap             float64        `json:"gap_one_lost_mm"`
	Land            *float64       `json:"land_mm"`
	CoverThickness  *float64       `json:"cover_thickness_mm"`
	CoverPressure   *float64       `json:"cover_pressure_mm"`
	CoverSeating    *float64       `json:"cover_seating_mm"`
	Torque          float64        `json:"torque_nm"`
	Friction        float64        `json:"friction"`
	FrictionAssumed bool           `json:"friction_assumed"`
	LimitedBy       string         `json:"limited_by"`
	Verdict         check.Severity `json:"verdict"`
	Order           []int          `json:"order"`
	Passes          []passJSON     `json:"passes"`
	Holes           []holeJSON     `json:"holes"`
	Findings        []check.Result `json:"findings"`
	Sources         []string       `json:"sources"`
	Advice          string         `json:"advice"`
}

func newJointJSON(r fastening.JointResult) jointJSON {
	out := jointJSON{
		PracticeWidth: some(r.PracticeWidth), Preload: figure(r.PreloadPerBolt.N()),
		Pitch: figure(r.Pitch.MM()), Gap: figure(r.Gap.MM()), CoverThickness: some(r.CoverThickness),
		CoverPressure: some(r.CoverPressure), CoverSeating: some(r.CoverSeating),
		Torque: figure(r.Torque.NM()), Friction: r.Tightening.Friction.Nominal, FrictionAssumed: r.Tightening.Friction.Assumed,
		LimitedBy: r.Tightening.LimitedBy, Verdict: r.Verdict, Order: r.Order,
		Findings: orEmpty(r.Findings), Sources: r.Sources, Advice: check.Deference,
	}
	if !r.FullFace { // else null: the sum does not cover it
		known := func(v float64) *float64 { v = figure(v); return &v }
		out.Hydrostatic, out.Operating, out.Seating, out.PerBolt = known(r.Hydrostatic.N()), known(r.Operating.N()), known(r.Seating.N()), known(r.PerBolt.N())
		out.Reserve, out.ReserveLow, out.ReserveOneLost = known(r.Reserve), known(r.ReserveLow), known(r.ReserveOneLost)
		out.GasketStress, out.SealDiameter, out.EffectiveWidth, out.Land = known(r.GasketStress.MPa()), known(r.SealDiameter.MM()), known(r.EffectiveWidth.MM()), known(r.Land.MM())
	}
	if r.SeatingPractice > 0 {
		v := figure(r.SeatingPractice.N())
		out.SeatingPractice = &v
	}
	for _, p := range r.Passes {
		out.Passes = append(out.Passes, passJSON{p.Name, p.Percent, figure(p.Torque.NM()), p.Order, p.Do})
	}
	for _, h := range r.Circle.Holes {
		out.Holes = append(out.Holes, holeJSON{h.Number, figure(h.X.MM()), figure(h.Y.MM()), figure(h.Angle.Degrees())})
	}
	return out
}
