package cli

import (
	"errors"
	"fmt"
	"maps"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist/lookup"
	"fettle/checklist/workshop"
	"fettle/threads/check"
)

// boilerCommand has one command for each look-up of the boiler.
func boilerCommand(env Env) *cobra.Command {
	cmd := &cobra.Command{
		Use: "boiler",
		Long: "Steam, seals, packing, O-rings, cure, hydraulic test, dividing.\n\n" +
			"Pressures are gauge and need a unit. The local boiler code and the boiler\n" +
			"inspector decide; this program only works things out.",
		Args: known,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	for _, sheet := range lookup.Boiler() {
		cmd.AddCommand(sheetCommand(env, sheet))
	}
	return cmd
}

// sheetRun is one call of a look-up.
type sheetRun struct {
	env                         Env
	sheet                       lookup.Sheet
	asJSON, all, sources, other bool
	bare                        string // the field that was typed without its flag
}

// sheetCommand is the command of one sheet: a field is a flag, and a leading one
// may stand as the argument.
func sheetCommand(env Env, sheet lookup.Sheet) *cobra.Command {
	sheet = sheet.Whole()
	run := &sheetRun{env: env, sheet: sheet, sources: sheet.Group != ""}
	cmd := &cobra.Command{Use: sheet.Name, Short: sheet.Title, Long: sheet.Title + ".\n\n" + sheet.About, Args: cobra.ArbitraryArgs}
	if sheet.Long != "" {
		cmd.Long = sheet.Long
	}
	path := strings.TrimSpace("fettle " + sheet.Group)
	for i, line := range sheet.Examples {
		if i > 0 {
			cmd.Example += "\n"
		}
		cmd.Example += "  " + path + " " + line
	}
	var leading []string
	optional := false
	for _, field := range sheet.Fields {
		addField(cmd, field)
		if field.Leading {
			leading = append(leading, strings.ToUpper(field.Name))
			optional = !field.Required
		}
	}
	switch word := strings.Join(leading, "|"); {
	case len(leading) == 0:
		cmd.Args = flagsOnly
	case optional:
		cmd.Use += " [" + word + "]"
	default:
		cmd.Use += " " + word
	}
	for _, field := range sheet.Fields {
		if field.Required && !field.Leading {
			cmd.Use += " --" + field.Name + " " + strings.ToUpper(kindWord(field.Kind))
		}
	}
	if sheet.Or != "" {
		other, _ := lookup.Find(sheet.Or)
		cmd.Flags().BoolVar(&run.other, sheet.Or, false, lowerFirst(other.Title)+": "+other.About)
	}
	if sheet.Group == "" {
		cmd.Flags().BoolVar(&run.sources, "sources", false, "say where the figures come from")
		cmd.Flags().BoolVar(&run.all, "all", false, "print every line, not only the first of long lists")
	}
	cmd.Flags().BoolVar(&run.asJSON, "json", false, "print JSON")
	cmd.RunE = run.run
	return cmd
}

// addField adds the flags of a field.
func addField(cmd *cobra.Command, field lookup.Field) {
	if field.Flags {
		for _, word := range field.Choices() {
			cmd.Flags().Bool(word, false, field.Tell(word))
		}
		cmd.MarkFlagsMutuallyExclusive(field.Choices()...)
		return
	}
	ask := field.Ask
	if field.Kind == lookup.YesNo {
		cmd.Flags().Bool(field.Name, false, ask)
		return
	}
	if field.Choices != nil {
		if field.Few {
			ask += " (" + strings.Join(field.Choices(), ", ") + ")"
		}
		_ = cmd.RegisterFlagCompletionFunc(field.Name, func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return field.Choices(), cobra.ShellCompDirectiveNoFileComp
		})
	}
	cmd.Flags().Var(&typed{kind: field.Kind}, field.Name, ask)
	cmd.Flags().Lookup(field.Name).DefValue = field.Default // for --help; the sheet fills it in
}

// typed is the text of a flag, kept as it was typed; --help names its kind.
type typed struct {
	text string
	kind lookup.Kind
}

func (t *typed) String() string { return t.text }
func (t *typed) Type() string   { return kindWord(t.kind) }

func kindWord(k lookup.Kind) string { return strings.ReplaceAll(string(k), " ", "-") }

// Set keeps the text; a list has the flag once for each of its entries.
func (t *typed) Set(s string) error {
	if t.text != "" && (t.kind == lookup.Threads || t.kind == lookup.Drills) {
		s = t.text + "; " + s
	}
	t.text = s
	return nil
}

// values are what was typed, by the names of the fields, once for each question.
func (r *sheetRun) values(cmd *cobra.Command, args []string) ([]map[string]string, error) {
	values := map[string]string{}
	for _, field := range r.sheet.Fields {
		if field.Flags {
			for _, word := range field.Choices() {
				if cmd.Flags().Changed(word) {
					values[field.Name] = word
				}
			}
		} else if flag := cmd.Flags().Lookup(field.Name); flag.Changed {
			values[field.Name] = flag.Value.String()
		}
	}
	if len(args) == 0 {
		return []map[string]string{values}, nil
	}
	// A pressure is two words, "90 psi", and nobody should have to quote it.
	texts := []string{strings.Join(args, " ")}
	r.bare = r.sheet.Argument(plainMinus(texts[0]))
	if values[r.bare] != "" {
		return nil, misshapen(fmt.Errorf("%s is given twice: %q and %q", r.bare, values[r.bare], texts[0]))
	}
	if r.sheet.Many {
		texts = severally(args, *r.sheet.Field(r.bare))
	}
	var list []map[string]string
	for _, text := range texts {
		one := maps.Clone(values)
		one[r.bare] = plainMinus(text)
		list = append(list, one)
	}
	return list, nil
}

// severally are the words of several answers to a field, each as long as can be read:
// 2 BA 1/4 x 40 ME is two threads. A word that begins none stands alone.
func severally(args []string, field lookup.Field) (texts []string) {
	const most = 6 // words of the longest name, and room for more
	for len(args) > 0 {
		n := min(len(args), most)
		for n > 1 && field.Read(plainMinus(strings.Join(args[:n], " "))) != nil {
			n--
		}
		texts, args = append(texts, strings.Join(args[:n], " ")), args[n:]
	}
	return texts
}

func (r *sheetRun) run(cmd *cobra.Command, args []string) error {
	questions, err := r.values(cmd, args)
	if err != nil {
		return err
	}
	if r.other {
		r.sheet, _ = lookup.Find(r.sheet.Or)
	}
	if missing := missingFields(r.sheet, questions[0]); len(missing) > 0 {
		return misshapen(fmt.Errorf("%s needs %s", cmd.CommandPath(), strings.Join(missing, "; ")))
	}
	var own workshop.Tools
	if r.sheet.Own {
		if own, err = workshop.Read(r.env.ConfigDir); err != nil {
			return unreadable(err)
		}
	}
	answers := make([]lookup.Answer, len(questions))
	for i, values := range questions {
		answers[i], err = r.sheet.Work(values, own)
		switch {
		case err != nil && len(values) == 0:
			return misshapen(r.named(err))
		case err != nil:
			return usage(r.named(err))
		}
	}
	stop := false
	for i, answer := range answers {
		if !r.asJSON {
			if i > 0 {
				fmt.Fprintln(r.env.Stdout)
			}
			writeAnswer(r.env.Stdout, answer, r.all, r.sources)
		}
		stop = stop || answer.Verdict() == check.Stop
	}
	switch {
	case r.asJSON && len(answers) == 1:
		err = writeJSON(r.env.Stdout, answers[0])
	case r.asJSON:
		err = writeJSON(r.env.Stdout, answers)
	}
	if err == nil && stop {
		return found()
	}
	return err
}

// missingFields are the fields that have to be given and are not, as a person
// types them, each with what it asks.
func missingFields(sheet lookup.Sheet, values map[string]string) (missing []string) {
	for _, field := range sheet.Fields {
		if !field.Required || strings.TrimSpace(values[field.Name]) != "" || field.Default != "" {
			continue
		}
		name := "--" + field.Name
		if field.Leading {
			name = strings.ToUpper(field.Name)
		}
		missing = append(missing, fmt.Sprintf("%s (%s)", name, field.Ask))
	}
	return missing
}

// named is an error with the flag of the field that is wrong.
func (r *sheetRun) named(err error) error {
	var field *lookup.FieldError
	if errors.As(err, &field) && field.Field != "" {
		name := "--" + field.Field
		if field.Field == r.bare {
			name = strings.ToUpper(r.bare)
		}
		return fmt.Errorf("%s: %w", name, field.Err)
	}
	return err
}
