package cli

import (
	"errors"
	"fmt"
	"io"
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
	if sheet.Many {
		cmd.Long += "\n\nSeveral may stand one after the other. With - they come from standard input, one to a line."
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
	}
	cmd.Flags().Var(&typed{kind: field.Kind}, field.Name, ask)
	cmd.Flags().Lookup(field.Name).DefValue = field.Default // for --help; the sheet fills it in
	if field.Choices != nil {
		_ = cmd.RegisterFlagCompletionFunc(field.Name, func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return sheetWords(field), cobra.ShellCompDirectiveNoFileComp
		})
	}
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
	if r.sheet.Many && len(args) == 1 && args[0] == "-" {
		return r.piped(values)
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

// maxPiped is how much is read from standard input.
const maxPiped = 1 << 20

// piped are the questions of standard input, one to a line; an empty line is none.
func (r *sheetRun) piped(values map[string]string) (list []map[string]string, err error) {
	data, err := io.ReadAll(io.LimitReader(r.env.Stdin, maxPiped+1))
	switch {
	case err != nil:
		return nil, unreadable(fmt.Errorf("standard input: %w", err))
	case len(data) > maxPiped:
		return nil, unreadable(fmt.Errorf("standard input holds more than %d bytes: give it in parts", maxPiped))
	}
	r.bare = r.sheet.Argument("")
	for line := range strings.Lines(string(data)) {
		if text := strings.TrimSpace(line); text != "" {
			one := maps.Clone(values)
			one[r.sheet.Argument(text)] = text
			list = append(list, one)
		}
	}
	if len(list) == 0 {
		return nil, misshapen(errors.New("standard input is empty: give one name to a line"))
	}
	return list, nil
}

// most is how many words a name has, and room for more.
const most = 6

// readable are the words of several answers to a field, each as long as it can be with
// all of them read: 2 BA 1/4 x 40 ME is two threads.
func readable(args []string, field lookup.Field) (texts []string, ok bool) {
	if len(args) == 0 {
		return nil, true
	}
	for n := min(len(args), most); n > 0; n-- {
		text := strings.Join(args[:n], " ")
		if field.Read(plainMinus(text)) != nil {
			continue
		}
		if rest, ok := readable(args[n:], field); ok {
			return append([]string{text}, rest...), true
		}
	}
	return nil, false
}

// severally are the same where not all can be read: a word that begins none stands
// alone.
func severally(args []string, field lookup.Field) (texts []string) {
	if texts, ok := readable(args, field); ok {
		return texts
	}
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
		own = r.env.tools()
	}
	answers, failed := make([]lookup.Answer, len(questions)), make([]error, len(questions))
	stop := false
	for i, values := range questions {
		if answers[i], failed[i] = r.sheet.Work(values, own); failed[i] != nil {
			failed[i] = r.named(failed[i])
			if len(values) == 0 {
				return misshapen(failed[i])
			}
			continue
		}
		stop = stop || answers[i].Verdict() == check.Stop
	}
	if r.asJSON {
		err = writeJSON(r.env.Stdout, r.sheet.Document(answers, failed))
	} else {
		r.write(answers, failed)
	}
	problem := errors.Join(failed...)
	switch {
	case err != nil:
		return err
	case problem != nil:
		return usage(problem)
	case stop:
		return found()
	}
	return nil
}

// write prints the answers that there are.
func (r *sheetRun) write(answers []lookup.Answer, failed []error) {
	above := false
	for i, answer := range answers {
		if failed[i] != nil {
			continue
		}
		if above {
			fmt.Fprintln(r.env.Stdout)
		}
		above = true
		writeAnswer(r.env.Stdout, answer, r.all, r.sources)
	}
}

// schemaCommand prints the JSON Schema of a look-up.
func schemaCommand(env Env) *cobra.Command {
	var names []string
	for _, sheet := range lookup.Sheets() {
		names = append(names, sheet.Name)
	}
	return &cobra.Command{
		Use:       "schema NAME",
		Long:      "Prints the JSON Schema of what a look-up answers with --json. NAME is one of\n" + strings.Join(names, ", ") + ".",
		Example:   "  fettle schema torque",
		Args:      between(1, 1, "name a look-up: "+strings.Join(names, ", ")),
		ValidArgs: names,
		RunE: func(_ *cobra.Command, args []string) error {
			sheet, ok := lookup.Find(args[0])
			if !ok {
				return usage(fmt.Errorf("%q is no look-up; there are %s", args[0], strings.Join(names, ", ")))
			}
			schema, err := sheet.Schema()
			if err != nil {
				return err
			}
			return writeJSON(env.Stdout, schema)
		},
	}
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
