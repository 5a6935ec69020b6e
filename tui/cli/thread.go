package cli

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

func threadCommand(env Env) *cobra.Command {
	var asJSON, sources bool
	var engagement float64
	var into, grade string
	cmd := &cobra.Command{
		Use: "thread NAME...",
		Long: "Sizes, drills, holes, heads and spanner of a thread.\n\n" +
			"Names: M4, M8x1, 2 BA, 1/4 x 40 ME, 1/4 x 26 brass, 1/4 BSF, 1/4 BSW, G 1/8, R 1/8, 1/4-20 UNC,\n" +
			"1/4 x 26 cycle, 1/8 NPT, Tr10x2, 1/2-10 Acme, M0.8, M2.6,\n" +
			"and any diameter and pitch in a named form: M5x0.6, 7/32 x 36 Whit; LH for left-hand.\n\n" +
			"Drills, taps and spanners of your own, listed in workshop.toml in the configuration folder, come first:\n" +
			"  drills   = [\"1.0 to 6.0 by 0.1\", \"No 1 to No 60\", \"letter F\", \"17/64\", 6.8]\n" +
			"  taps     = [\"M3\", \"2 BA\"]\n" +
			"  spanners = [\"7 mm\", \"0.445 in\", \"2 BA\"]",
		Example: "  fettle thread M4\n" +
			"  fettle thread \"2 BA\" \"1/4 x 40 ME\" --json\n" +
			"  fettle thread \"1/4 BSF\" --into gunmetal\n" +
			"  fettle thread M4 --grade A2-70",
		Args: atLeast(1, "name a thread, such as M4, \"2 BA\" or \"1/4 x 40 ME\""),
		RunE: func(cmd *cobra.Command, args []string) error {
			query, err := newThreadQuery(env, cmd.Flags().Changed("engagement"), engagement, into, grade)
			if err != nil {
				return err
			}
			list := make([]handed, len(args))
			for i, name := range args {
				if list[i].thread, list[i].left, err = threads.ParseHand(plainMinus(name)); err != nil {
					return usage(err)
				}
			}
			if asJSON {
				return query.writeJSON(env.Stdout, list)
			}
			for i, t := range list {
				if i > 0 {
					fmt.Fprintln(env.Stdout)
				}
				if t.left {
					flow(env.Stdout, 0, 2, "Left-hand: another tap and die, and the figures of")
				}
				query.write(env.Stdout, t.thread)
				if sources {
					figures, err := query.json(t.thread)
					if err != nil {
						return usage(err)
					}
					writeSources(env.Stdout, figures.Sources)
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().BoolVar(&sources, "sources", false, "say where the figures come from")
	cmd.Flags().Float64Var(&engagement, "engagement", 0, "aim at this thread engagement in `percent`")
	cmd.Flags().StringVar(&into, "into", "", "aim at the engagement usual in this `metal`: gunmetal, copper, steel ...")
	cmd.Flags().StringVar(&grade, "grade", "", "show the torque of a screw of this `grade`: A2-70, 8.8, brass ...")
	return cmd
}

// handed is a thread that was asked for with its hand.
type handed struct {
	thread threads.Thread
	left   bool
}

// parseThreadArg reads a thread named on the command line.
func parseThreadArg(name string) (threads.Thread, error) {
	t, err := threads.Parse(plainMinus(name))
	if err != nil {
		return t, usage(err)
	}
	return t, nil
}

// threadQuery is what a thread look-up was asked for.
type threadQuery struct {
	workshop   workshop.Tools
	engagement float64 // 0 = the thread's own rule
	metal      fastening.Metal
	grade      fastening.Grade
}

func newThreadQuery(env Env, asked bool, engagement float64, into, grade string) (q threadQuery, err error) {
	if asked && !(engagement >= 1 && engagement <= 100) {
		return q, usage(errors.New("--engagement is a percentage from 1 to 100, such as 65"))
	}
	if asked && into != "" {
		return q, usage(errors.New("give --engagement or --into, not both"))
	}
	q.engagement = engagement
	if into != "" {
		if q.metal, err = fastening.ParseMetal(into); err != nil {
			return q, usage(err)
		}
	}
	if grade != "" {
		if q.grade, err = fastening.ParseGrade(grade); err != nil {
			return q, usage(err)
		}
	}
	q.workshop, err = ownTools(env)
	return q, err
}

// target is the engagement aimed at for a thread, 0 for its own rule: the middle
// of the metal's band where one is named.
func (q threadQuery) target(t threads.Thread) float64 {
	if q.metal.IsZero() {
		return q.engagement
	}
	return math.Round(t.FromFullForm((q.metal.BandLow + q.metal.BandHigh) / 2))
}

// torque is the recommended torque, where a grade was asked for.
func (q threadQuery) torque(t threads.Thread) (fastening.Tightening, error) {
	return fastening.Tighten(fastening.TightenInput{Thread: t, Grade: q.grade})
}

// labelColumn is where the text beside a label starts.
const labelColumn = 8

// line prints a label and its text, wrapped under itself.
func line(w io.Writer, label, text string) { labelled(w, label, labelColumn, text) }

// plainMM is a length in millimetres without its unit, to a hundredth where a
// figure of the form is not worth a micrometre.
func plainMM(v quantity.Length) string { return strings.TrimSuffix(v.String(), " mm") }

func roundMM(v quantity.Length) string {
	return plainMM(quantity.Length(math.Round(v.MM()*100) / 100))
}

// heading names the thread, its series and its form without saying a word twice.
func heading(t threads.Thread) string {
	name := t.String()
	switch {
	case t.Form == threads.BA:
		return name + ", " + t.Form.Angle().String()
	case t.Form == threads.ISO68, strings.Contains(name, string(t.Series)), t.Series == threads.Brass:
		name += ", "
	default:
		return name + ", " + string(t.Series) + ", " + t.Form.Angle().String()
	}
	if t.Form == threads.ISO68 {
		return name + string(t.Series) + ", " + t.Form.Angle().String()
	}
	return name + t.Form.Name()
}

// write prints the answer for a person: one thread fits a screen of 40 columns
// and 24 rows.
func (q threadQuery) write(w io.Writer, t threads.Thread) {
	flow(w, 0, 2, heading(t))
	size := t.Major.String() + " x " + t.Pitch.String()
	if t.TPI != 0 {
		size = fmt.Sprintf("%s (%s) x %s TPI", t.Major, t.Major.InchString(), plainMM(quantity.Length(t.TPI)))
	}
	fmt.Fprintln(w, size)
	line(w, "pitch d", fmt.Sprintf("%s, core %s, hole %s", plainMM(t.PitchDiameter()), plainMM(t.MinorExternal()), plainMM(t.MinorInternal())))
	if g, ok := t.GaugePlane(); ok {
		line(w, "taper", fmt.Sprintf("1 in 16; sizes %s", g.Place(t)))
		line(w, "", fmt.Sprintf("within %s, %s (%s on the diameter)", g.Tolerance, turnsText(g.Turns), g.Diameter))
		screw := "R"
		if t.Series == threads.NPT {
			screw = "the pipe"
		}
		line(w, "", fmt.Sprintf("%s has %s of useful thread or more", screw, g.Useful))
	} else {
		line(w, "area", fmt.Sprintf("%s, helix %s", t.StressArea(), t.HelixAngle()))
	}
	q.writeDrills(w, t)
	c := t.Clearance()
	holes := roundMM(c.Fine) + ", " + roundMM(c.Medium) + ", " + roundMM(c.Coarse)
	line(w, "clear", onOneLine(holes+" fine to coarse", holes+" fine-coarse"))
	writeHeads(w, t, c.Medium)
	writeNuts(w, t)
	q.writeSpanner(w, t)
	if limits, ok := t.Limits(); ok {
		e, i := limits.External, limits.Internal
		screw, hole := e.Class, i.Class
		if screw == "" || screw[0] > '9' { // a class that is a word says nothing alone
			screw, hole = "screw", "hole"
		}
		if e.Class != "" { // an Rp hole has no screw of its own
			line(w, screw, limitText(e.MajorMin, e.MajorMax, e.PitchMin, e.PitchMax))
		}
		if i.MinorMax > 0 { // nor has a screw below M1 a hole with limits
			line(w, hole, limitText(i.MinorMin, i.MinorMax, i.PitchMin, i.PitchMax))
		}
	}
	if !q.grade.IsZero() {
		q.writeTorque(w, t)
	}
}

// onOneLine is the text, or a shorter one where it does not fit beside its label.
func onOneLine(text, shorter string) string {
	if labelColumn+len(text) > benchWidth {
		return shorter
	}
	return text
}

// limitText is a pair of limits of a crest diameter and of the pitch diameter.
func limitText(low, high, pitchLow, pitchHigh quantity.Length) string {
	crest, pitch := plainMM(low)+"-"+plainMM(high), plainMM(pitchLow)+"-"+plainMM(pitchHigh)
	return onOneLine(crest+", pitch "+pitch, crest+", pd "+pitch)
}

func (q threadQuery) writeDrills(w io.Writer, t threads.Thread) {
	if !t.Tapped() {
		line(w, "tap", noHole(t))
		return
	}
	set, target := q.workshop.Stock(), q.target(t)
	best := t.TapDrill(set, target)
	line(w, "tap", best.Drill.Name+", "+best.Source)
	if !q.metal.IsZero() {
		line(w, "", fmt.Sprintf("in %s aim at %.0f %%", q.metal.Name, target))
	}
	basis, _, _ := strings.Cut(t.EngagementBasis(), " (")
	line(w, "", basis)
	// Two drills on each side are enough at the bench; --json gives more.
	list := t.TapDrills(set, target)
	at := 0
	for i, d := range list {
		if d.Recommended {
			at = i
		}
	}
	for _, d := range list[max(0, at-2):min(len(list), at+3)] {
		mark := ' '
		if d.Recommended {
			mark = '>'
		}
		word, _, _ := strings.Cut(d.Effect, ",")
		fmt.Fprintf(w, "      %c %-9s%3.0f %%  %s\n", mark, d.Drill.Name, d.EngagementPercent, word)
	}
	if has, known := q.workshop.Tap(t); known {
		text := "the tap is not in your list"
		if has {
			text = "the tap is in your list"
		}
		line(w, "", text)
	}
}

func turnsText(turns float64) string {
	if turns == 1 {
		return "one turn"
	}
	return plainMM(quantity.Length(turns)) + " turns"
}

// noHole says why a thread that is cut on the outside only has no tapping drill.
func noHole(t threads.Thread) string {
	return "none: external; its hole is Rc " + t.Size + " or Rp " + t.Size
}

func writeHeads(w io.Writer, t threads.Thread, hole quantity.Length) {
	var rows, last []string
	for _, h := range t.Heads() {
		switch {
		case h.Old && h.Kind != threads.CountersunkHead:
			// Its spanner is listed.
		case h.Old:
			last = append(last, "old csk "+roundMM(h.HeadDiameter))
		case h.Kind == threads.CheeseHead:
			word := "cheese "
			if strings.HasSuffix(h.Standard, "fillister") {
				word = "fillister "
			}
			last = append(last, word+roundMM(h.HeadDiameter)+" x "+roundMM(h.Height))
		case h.Kind == threads.HexHead:
			text := "hex " + roundMM(h.AcrossFlats) + " AF"
			if h.Height > 0 {
				text += ", " + roundMM(h.Height) + " high"
			}
			rows = append(rows, text)
		case h.Kind == threads.SocketHead:
			rows = append(rows, fmt.Sprintf("socket %s x %s, key %s", roundMM(h.HeadDiameter), roundMM(h.Height), keyText(h)))
		case h.Kind == threads.CountersunkHead:
			rows = append(rows, countersunkText(h, hole))
		}
	}
	if len(last) > 0 {
		rows = append(rows, strings.Join(last, "; "))
	}
	label := "head"
	for _, row := range rows {
		line(w, label, row)
		label = ""
	}
}

// countersunkText is a countersunk head with the sink it needs over a hole. An angle
// other than 90° stands beside it, for the sink has to have the head's.
func countersunkText(h threads.Head, hole quantity.Length) string {
	text := "csk " + roundMM(h.HeadDiameter)
	if h.Key > 0 {
		text = "csk key " + keyText(h)
	}
	sink, err := h.Countersink(hole)
	if err != nil {
		return text
	}
	size := fmt.Sprintf("sink %s x %s", roundMM(sink.Diameter), roundMM(sink.Depth))
	switch angle := h.CountersinkAngle.String(); {
	case h.CountersinkAngle == 90:
		return text + " (" + size + ")"
	case h.Key > 0:
		return "key " + keyText(h) + ", " + angle + " " + size
	default:
		return "csk " + angle + " " + roundMM(h.HeadDiameter) + ", " + size
	}
}

// keyText is a hexagon key as it is marked; millimetres and vulgar fractions of an
// inch do without their unit.
func keyText(h threads.Head) string {
	text := strings.TrimSuffix(h.KeyMark(), " mm")
	if strings.Contains(text, "/") {
		return strings.TrimSuffix(text, " in")
	}
	return text
}

func writeNuts(w io.Writer, t threads.Thread) {
	var parts []string
	for _, n := range t.Nuts() {
		switch {
		case n.Old:
		case n.Kind == threads.ThinNut:
			parts = append(parts, "thin "+roundMM(n.Thickness))
		default:
			parts = append(parts, roundMM(n.Thickness))
		}
	}
	if washer, ok := t.Washer(); ok {
		parts = append(parts, fmt.Sprintf("washer %s x %s", roundMM(washer.Outside), roundMM(washer.Thickness)))
	}
	if len(parts) > 0 {
		line(w, "nut", strings.Join(parts, ", "))
	}
}

func (q threadQuery) writeSpanner(w io.Writer, t threads.Thread) {
	var parts []string
	for i, s := range t.Spanners() {
		text := s.Mark
		if !strings.Contains(text, "mm") && (i == 0 || !strings.HasSuffix(text, " nut")) {
			text += " (" + roundMM(s.Size) + ")"
		}
		if s.Old {
			text = "old " + text
		}
		if own, ok := q.workshop.Spanner(s.Size); ok {
			text += ", yours " + own.String()
		}
		parts = append(parts, text)
	}
	if len(parts) > 0 {
		line(w, "spanner", strings.Join(parts, "; "))
	}
}

func (q threadQuery) writeTorque(w io.Writer, t threads.Thread) {
	got, err := q.torque(t)
	if err != nil {
		line(w, "torque", err.Error())
		return
	}
	// The gentler figure first: it is what a hand may do, and the other one shears a
	// small screw where the friction is less than thought.
	if got.HandTorque > 0 && got.HandTorque < got.Torque {
		line(w, "torque", fmt.Sprintf("%s by hand, %s", got.HandTorque, q.grade))
		line(w, "", fmt.Sprintf("%s only by torque tool", got.Torque))
		line(w, "", fmt.Sprintf("both at friction %.2f, as anti-seize gives", got.Friction.Nominal))
		return
	}
	line(w, "torque", fmt.Sprintf("%s %s at friction %.2f", got.Torque, q.grade, got.Friction.Nominal))
}
