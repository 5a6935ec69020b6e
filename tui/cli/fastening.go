package cli

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// What the commands torque, rescue and joint share: reading flags, printing
// findings.

// benchWidth is the number of columns that text for the bench keeps to.
const benchWidth = 40

// lengthFlag is a flag that holds a length; nought where it was not given.
type lengthFlag struct {
	name  string
	value quantity.Length
	text  string
}

func (f *lengthFlag) String() string { return f.text }
func (f *lengthFlag) Type() string   { return "length" }

// Set reads the length. A size must be above nought.
func (f *lengthFlag) Set(s string) error {
	l, err := quantity.ParseLength(s)
	if err != nil {
		return err
	}
	if !(l > 0) {
		return fmt.Errorf("%v: expected a length above nought", l)
	}
	f.text, f.value = s, l
	return nil
}

// lengthVar adds a length flag to cmd.
func lengthVar(cmd *cobra.Command, name, help string) *lengthFlag {
	f := &lengthFlag{name: name}
	cmd.Flags().Var(f, name, help)
	return f
}

// required refuses a call without the named flags.
func required(cmd *cobra.Command, names ...string) error {
	var missing []string
	for _, n := range names {
		if !cmd.Flags().Changed(n) {
			missing = append(missing, "--"+n)
		}
	}
	if len(missing) > 0 {
		return misshapen(fmt.Errorf("%s needs %s", cmd.Name(), strings.Join(missing, ", ")))
	}
	return nil
}

// oneThread refuses a call without exactly one thread.
func oneThread(cmd *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return misshapen(fmt.Errorf("%s needs a thread, such as M4 or \"2 BA\"", cmd.Name()))
	}
	return misshapen(fmt.Errorf("%s takes one thread; a name with blanks goes in quotes: %q", cmd.Name(), strings.Join(args, " ")))
}

// screwFlags are the flags about a screw that torque and joint share.
type screwFlags struct {
	grade, lubricant, head, temperature string
	friction, headFriction, utilisation float64
	clearance, edge                     *lengthFlag
}

func (f *screwFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.grade, "grade", "", "what the screw is made of: A2-70, 8.8, \"phosphor bronze\" ...")
	fl.Float64Var(&f.friction, "friction", 0, "coefficient of friction `MU`, such as 0.12")
	fl.Float64Var(&f.headFriction, "head-friction", 0, "that under the head, where it differs")
	fl.StringVar(&f.lubricant, "lubricant", "", "what is on the thread: anti-seize, sealant, oil, dry ...")
	fl.Float64Var(&f.utilisation, "utilisation", 0, "share of the yield strength, such as 0.9")
	fl.StringVar(&f.head, "head", "", "hex, socket, countersunk or cheese (hex)")
	fl.StringVar(&f.temperature, "temperature", "", "service temperature, such as 170")
	f.clearance = lengthVar(cmd, "clearance", "hole in the cover (the medium one)")
	f.edge = lengthVar(cmd, "edge", "centre of the tapped hole to the nearest edge (thick metal)")
	complete(cmd, "grade", gradeNames)
	complete(cmd, "lubricant", lubricantNames)
	complete(cmd, "head", func() []string { return []string{"hex", "socket", "countersunk", "cheese"} })
}

// fill reads the flags into a tightening.
func (f *screwFlags) fill(cmd *cobra.Command, in *fastening.TightenInput) (err error) {
	if in.Grade, err = fastening.ParseGrade(f.grade); err != nil {
		return usage(err)
	}
	if cmd.Flags().Changed("friction") && f.lubricant != "" {
		return usage(fmt.Errorf("--friction and --lubricant say the same thing: give one"))
	}
	for name, v := range map[string]float64{"friction": f.friction, "head-friction": f.headFriction, "utilisation": f.utilisation} {
		if cmd.Flags().Changed(name) && v == 0 {
			return usage(fmt.Errorf("--%s 0: expected a number above nought", name))
		}
	}
	if f.lubricant != "" {
		if in.Lubricant, err = fastening.ParseLubricant(f.lubricant); err != nil {
			return usage(err)
		}
	}
	if f.head != "" {
		if in.Head, err = parseHead(f.head); err != nil {
			return usage(err)
		}
	}
	if f.temperature != "" {
		if in.Temperature, err = quantity.ParseTemperature(f.temperature); err != nil {
			return usage(err)
		}
	}
	in.Friction, in.HeadFriction, in.Utilisation = f.friction, f.headFriction, f.utilisation
	in.ClearanceHole, in.Edge = f.clearance.value, f.edge.value
	return nil
}

// parseHead reads the kind of a head.
func parseHead(s string) (threads.HeadKind, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "hex", "hexagon":
		return threads.HexHead, nil
	case "socket", "cap", "socket cap":
		return threads.SocketHead, nil
	case "countersunk", "csk":
		return threads.CountersunkHead, nil
	case "cheese", "slotted":
		return threads.CheeseHead, nil
	}
	return "", fmt.Errorf("%q is no head known here; there are hex, socket, countersunk and cheese", s)
}

// holeFlags say where a tapped hole leads.
type holeFlags struct{ wet, blind, dry bool }

func (f *holeFlags) add(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.wet, "wet", false, "the hole breaks through to water or steam, or stands in weeps")
	cmd.Flags().BoolVar(&f.blind, "blind", false, "the hole ends in metal")
	cmd.Flags().BoolVar(&f.dry, "dry", false, "the hole goes through and is dry")
	cmd.MarkFlagsMutuallyExclusive("wet", "blind", "dry")
}

func (f holeFlags) kind() fastening.HoleKind {
	switch {
	case f.wet:
		return fastening.WetHole
	case f.blind:
		return fastening.BlindHole
	case f.dry:
		return fastening.DryHole
	}
	return ""
}

// ownTools reads the user's own tools.
func ownTools(env Env) (workshop.Tools, error) {
	w, err := workshop.Read(env.ConfigDir)
	if err != nil {
		return w, unreadable(err)
	}
	return w, nil
}

// complete offers names for a flag in the shell.
func complete(cmd *cobra.Command, flag string, names func() []string) {
	// The error is that of a flag that does not exist.
	_ = cmd.RegisterFlagCompletionFunc(flag, func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return names(), cobra.ShellCompDirectiveNoFileComp
	})
}

func gradeNames() (names []string) {
	for _, g := range fastening.Grades() {
		names = append(names, g.Name)
	}
	return names
}

func metalNames() (names []string) {
	for _, m := range fastening.Metals() {
		names = append(names, m.Name)
	}
	return names
}

func lubricantNames() (names []string) {
	for _, l := range fastening.Lubricants() {
		names = append(names, l.Name)
	}
	return names
}

func gasketNames() (names []string) {
	for _, g := range fastening.Gaskets() {
		names = append(names, g.Name)
	}
	return names
}

// flow prints text within the bench width, its first line set in by first
// blanks and the others by rest.
func flow(w io.Writer, first, rest int, text string) {
	line, width := strings.Repeat(" ", first), first
	empty := true
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if !empty && width+1+n > benchWidth {
			fmt.Fprintln(w, line)
			line, width, empty = strings.Repeat(" ", rest), rest, true
		}
		if !empty {
			line, width = line+" ", width+1
		}
		line, width, empty = line+word, width+n, false
	}
	if !empty {
		fmt.Fprintln(w, line)
	}
}

// labelled prints a label in a column and text beside it.
func labelled(w io.Writer, label string, column int, text string) {
	var b strings.Builder
	flow(&b, column, column, text)
	fmt.Fprintf(w, "%-*s%s", column, label, strings.TrimPrefix(b.String(), strings.Repeat(" ", column)))
}

// writeFindings prints findings, the gravest first.
func writeFindings(w io.Writer, findings []check.Result) {
	for _, f := range check.GravestFirst(findings) {
		flow(w, 0, 2, string(f.Severity)+": "+f.Message)
	}
}

// writeSources prints where figures come from.
func writeSources(w io.Writer, sources []string) {
	fmt.Fprintln(w, "sources:")
	for _, s := range sources {
		flow(w, 2, 4, s)
	}
}

// orEmpty makes a list that JSON prints as [] and not as null.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// percentText prints a percentage; all of it where there is more than enough.
func percentText(p float64) string {
	switch {
	case p >= 100:
		return "all"
	case p <= 0:
		return "none"
	}
	return fmt.Sprintf("%.0f %%", p)
}
