package cli

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"fettle/threads"
	"fettle/threads/quantity"
)

func threadCommand(env Env) *cobra.Command {
	var asJSON bool
	var engagement float64
	cmd := &cobra.Command{
		Use:   "thread NAME...",
		Short: "Sizes, drills, holes, heads and spanner of a thread",
		Example: "  fettle thread M4\n" +
			"  fettle thread \"2 BA\" \"1/4 x 40 ME\" --json\n" +
			"  fettle thread \"1/4 BSF\" --engagement 65",
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("engagement") && !(engagement >= 1 && engagement <= 100) {
				return usage(fmt.Errorf("--engagement is a percentage from 1 to 100, such as 65"))
			}
			var list []threads.Thread
			for _, name := range args {
				t, err := parseThreadArg(name)
				if err != nil {
					return err
				}
				list = append(list, t)
			}
			set := threads.StockDrills()
			if asJSON {
				out := make([]threadJSON, len(list))
				for i, t := range list {
					out[i] = newThreadJSON(t, set, engagement)
				}
				if len(out) == 1 {
					return writeJSON(env.Stdout, out[0])
				}
				return writeJSON(env.Stdout, out)
			}
			for i, t := range list {
				if i > 0 {
					fmt.Fprintln(env.Stdout)
				}
				writeThread(env.Stdout, t, set, engagement)
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().Float64Var(&engagement, "engagement", 0, "aim at this thread engagement in `percent`")
	return cmd
}

// parseThreadArg reads a thread named on the command line.
func parseThreadArg(name string) (threads.Thread, error) {
	t, err := threads.Parse(name)
	if err != nil {
		return t, usage(err)
	}
	return t, nil
}

func writeThread(w io.Writer, t threads.Thread, set threads.DrillSet, engagement float64) {
	fmt.Fprintf(w, "%s  (%s, %s)\n", t, t.Series, t.Form.Name())
	fmt.Fprintf(w, "major %s  pitch %s\n", t.Major, t.Pitch)
	d := t.TapDrill(set, engagement)
	fmt.Fprintf(w, "tap drill %s  %.0f %%\n", d.Drill.Name, d.EngagementPercent)
}

type threadJSON struct {
	Designation   string         `json:"designation"`
	Series        string         `json:"series"`
	Form          string         `json:"form"`
	Major         float64        `json:"major_mm"`
	Pitch         float64        `json:"pitch_mm"`
	TPI           *float64       `json:"tpi"`
	PitchDiameter float64        `json:"pitch_diameter_mm"`
	MinorInternal float64        `json:"minor_internal_mm"`
	MinorExternal float64        `json:"minor_external_mm"`
	StressArea    float64        `json:"stress_area_mm2"`
	TapDrill      tapDrillJSON   `json:"tap_drill"`
	TapDrills     []tapDrillJSON `json:"tap_drills"`
	Clearance     clearanceJSON  `json:"clearance"`
	Heads         []headJSON     `json:"heads"`
	Spanner       *float64       `json:"spanner_mm"`
	Limits        *limitsJSON    `json:"limits,omitempty"`
	Sources       []string       `json:"sources"`
}

type tapDrillJSON struct {
	Drill      string  `json:"drill"`
	Diameter   float64 `json:"diameter_mm"`
	Engagement float64 `json:"engagement_percent"`
	Effect     string  `json:"effect"`
	Source     string  `json:"source,omitempty"`
}

type clearanceJSON struct {
	Fine   float64 `json:"fine_mm"`
	Medium float64 `json:"medium_mm"`
	Coarse float64 `json:"coarse_mm"`
	Source string  `json:"source"`
}

type headJSON struct {
	Kind         string   `json:"kind"`
	Standard     string   `json:"standard"`
	HeadDiameter *float64 `json:"head_diameter_mm,omitempty"`
	Height       *float64 `json:"height_mm,omitempty"`
	AcrossFlats  *float64 `json:"across_flats_mm,omitempty"`
	Key          *float64 `json:"key_mm,omitempty"`
	Countersink  *float64 `json:"countersink_diameter_mm,omitempty"`
	Angle        *float64 `json:"angle_deg,omitempty"`
}

type limitsJSON struct {
	External externalJSON `json:"external"`
	Internal internalJSON `json:"internal"`
	Source   string       `json:"source"`
}

type externalJSON struct {
	Class    string  `json:"class"`
	MajorMax float64 `json:"major_max_mm"`
	MajorMin float64 `json:"major_min_mm"`
	PitchMax float64 `json:"pitch_diameter_max_mm"`
	PitchMin float64 `json:"pitch_diameter_min_mm"`
}

type internalJSON struct {
	Class    string  `json:"class"`
	MinorMin float64 `json:"minor_min_mm"`
	MinorMax float64 `json:"minor_max_mm"`
	PitchMin float64 `json:"pitch_diameter_min_mm"`
	PitchMax float64 `json:"pitch_diameter_max_mm"`
}

// some gives the figure of a length, or nothing where it is 0 and so unknown.
func some(l quantity.Length) *float64 {
	if l == 0 {
		return nil
	}
	v := figure(l.MM())
	return &v
}

func newThreadJSON(t threads.Thread, set threads.DrillSet, engagement float64) threadJSON {
	mm := func(l quantity.Length) float64 { return figure(l.MM()) }
	drill := func(d threads.TapDrill) tapDrillJSON {
		return tapDrillJSON{d.Drill.Name, mm(d.Diameter), figure(d.EngagementPercent), d.Effect, d.Source}
	}
	out := threadJSON{
		Designation: t.String(), Series: string(t.Series), Form: t.Form.Name(),
		Major: mm(t.Major), Pitch: mm(t.Pitch),
		PitchDiameter: mm(t.PitchDiameter()), MinorInternal: mm(t.MinorInternal()), MinorExternal: mm(t.MinorExternal()),
		StressArea: figure(t.StressArea().MM2()),
		TapDrill:   drill(t.TapDrill(set, engagement)),
		Heads:      []headJSON{},
		Sources:    t.Sources(),
	}
	if t.TPI != 0 {
		out.TPI = &t.TPI
	}
	for _, d := range t.TapDrills(set, engagement) {
		out.TapDrills = append(out.TapDrills, drill(d))
	}
	c := t.Clearance()
	out.Clearance = clearanceJSON{mm(c.Fine), mm(c.Medium), mm(c.Coarse), c.Source}
	for _, h := range t.Heads() {
		j := headJSON{
			Kind: string(h.Kind), Standard: h.Standard,
			HeadDiameter: some(h.HeadDiameter), Height: some(h.Height), AcrossFlats: some(h.AcrossFlats), Key: some(h.Key),
			Countersink: some(h.CountersinkDiameter), Angle: some(quantity.Length(h.CountersinkAngle)),
		}
		out.Heads = append(out.Heads, j)
	}
	if s, _, ok := t.Spanner(); ok {
		out.Spanner = some(s)
	}
	if l, ok := t.Limits(); ok {
		e, i := l.External, l.Internal
		out.Limits = &limitsJSON{
			externalJSON{e.Class, mm(e.MajorMax), mm(e.MajorMin), mm(e.PitchMax), mm(e.PitchMin)},
			internalJSON{i.Class, mm(i.MinorMin), mm(i.MinorMax), mm(i.PitchMin), mm(i.PitchMax)},
			l.Source,
		}
	}
	return out
}
