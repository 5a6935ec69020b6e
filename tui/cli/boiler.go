package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"fettle/checklist/boiler/lookup"
	"fettle/threads/check"
)

// boilerCommand has one command for each sheet of package lookup.
func boilerCommand(env Env) *cobra.Command {
	cmd := &cobra.Command{
		Use: "boiler",
		Long: "Steam, seals, packing, O-rings, cure, hydraulic test, dividing.\n\n" +
			"Pressures are gauge and need a unit. The local boiler code and the boiler\n" +
			"inspector decide; this program only works things out.",
		Args: known,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	for _, sheet := range lookup.Sheets() {
		cmd.AddCommand(sheetCommand(env, sheet))
	}
	return cmd
}

// sheetCommand is the command of one sheet: a field is a flag, and a leading one
// may stand as the argument.
func sheetCommand(env Env, sheet lookup.Sheet) *cobra.Command {
	var asJSON bool
	var leading []string
	optional := false
	cmd := &cobra.Command{Use: sheet.Name, Short: sheet.Title, Long: sheet.Title + ".\n\n" + sheet.About}
	for i, line := range sheet.Examples {
		if i > 0 {
			cmd.Example += "\n"
		}
		cmd.Example += "  fettle boiler " + line
	}
	for _, field := range sheet.Fields {
		ask := field.Ask
		if len(field.Choices) > 0 && len(field.Choices) <= 8 {
			ask += " (" + strings.Join(field.Choices, ", ") + ")"
		}
		if field.Kind == lookup.YesNo {
			cmd.Flags().Bool(field.Name, false, ask)
		} else {
			cmd.Flags().Var(&typed{kind: field.Kind}, field.Name, ask)
			cmd.Flags().Lookup(field.Name).DefValue = field.Default // for --help; the sheet fills it in
		}
		if len(field.Choices) > 0 {
			_ = cmd.RegisterFlagCompletionFunc(field.Name, cobra.FixedCompletions(field.Choices, cobra.ShellCompDirectiveNoFileComp))
		}
		if field.Leading {
			leading = append(leading, strings.ToUpper(field.Name))
			optional = !field.Required
		}
	}
	switch word := strings.Join(leading, "|"); {
	case len(leading) == 0:
	case optional:
		cmd.Use += " [" + word + "]"
	default:
		cmd.Use += " " + word
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Args = cobra.ArbitraryArgs
	if len(leading) == 0 {
		cmd.Args = flagsOnly
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		values, bare := map[string]string{}, ""
		for _, field := range sheet.Fields {
			if flag := cmd.Flags().Lookup(field.Name); flag.Changed {
				values[field.Name] = flag.Value.String()
			}
		}
		if len(args) > 0 {
			// A pressure is two words, "90 psi", and nobody should have to quote it.
			text := plainMinus(strings.Join(args, " "))
			bare = sheet.Argument(text)
			if values[bare] != "" {
				return misshapen(fmt.Errorf("%s is given twice: %q and %q", bare, values[bare], text))
			}
			values[bare] = text
		}
		if missing := missingFields(sheet, values); len(missing) > 0 {
			return misshapen(fmt.Errorf("fettle boiler %s needs %s", sheet.Name, strings.Join(missing, "; ")))
		}
		answer, err := sheet.Work(values)
		switch {
		case err != nil && len(values) == 0:
			return misshapen(sheetError(err, bare))
		case err != nil:
			return usage(sheetError(err, bare))
		}
		if asJSON {
			if err := writeJSON(env.Stdout, answerJSON(answer)); err != nil {
				return err
			}
		} else {
			writeAnswer(env.Stdout, answer)
		}
		if answer.Verdict() == check.Stop {
			return found()
		}
		return nil
	}
	return cmd
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

// typed is the text of a flag, kept as it was typed; --help names its kind.
type typed struct {
	text string
	kind lookup.Kind
}

func (t *typed) String() string     { return t.text }
func (t *typed) Set(s string) error { t.text = s; return nil }
func (t *typed) Type() string       { return strings.ReplaceAll(string(t.kind), " ", "-") }

// sheetError names the flag of the field that is wrong; bare is the field that was
// typed without one.
func sheetError(err error, bare string) error {
	var field *lookup.FieldError
	if errors.As(err, &field) && field.Field != "" {
		name := "--" + field.Field
		if field.Field == bare {
			name = strings.ToUpper(bare)
		}
		return fmt.Errorf("%s: %w", name, field.Err)
	}
	return err
}

// bench is the width a line may have where it is read at the bench, on the
// narrowest screen.
const bench = 40

// writeAnswer prints an answer for people.
func writeAnswer(w io.Writer, a lookup.Answer) {
	for _, row := range a.Rows {
		line := row.Label + ": " + row.Text
		if runewidth.StringWidth(line) <= bench {
			fmt.Fprintln(w, line)
			continue
		}
		writeWrapped(w, row.Label+":", "  ")
		writeWrapped(w, "  "+row.Text, "  ")
	}
	for _, list := range a.Lists {
		fmt.Fprintln(w)
		writeWrapped(w, list.Title, "  ")
		for _, item := range list.Items {
			writeWrapped(w, "- "+item.Text, "  ")
		}
	}
	if len(a.Findings) > 0 {
		fmt.Fprintln(w)
	}
	for _, f := range a.Findings {
		word := string(f.Severity)
		if f.Danger && f.Severity == check.Note {
			word = "WARNING"
		}
		writeWrapped(w, word+": "+f.Message, "  ")
	}
	if len(a.Sources) > 0 {
		fmt.Fprintln(w)
		writeWrapped(w, "From: "+strings.Join(a.Sources, "; "), "  ")
	}
}

// writeWrapped prints text in lines of at most bench columns, all but the first
// behind indent. A single word that is longer stays whole.
func writeWrapped(w io.Writer, text, indent string) {
	line := ""
	for i, word := range strings.Split(text, " ") {
		switch {
		case i == 0:
			line = word
		case runewidth.StringWidth(line)+1+runewidth.StringWidth(word) <= bench:
			line += " " + word
		default:
			fmt.Fprintln(w, line)
			line = indent + word
		}
	}
	fmt.Fprintln(w, line)
}

// object is a JSON object that keeps the order of its members.
type object []member

type member struct {
	key   string
	value any
}

func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := enc.Encode(m.key); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := enc.Encode(m.value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// answerJSON is an answer as a JSON object: its figures, its lists, then the
// verdict, the findings and the sources.
func answerJSON(a lookup.Answer) object {
	o := rowsJSON(a.Rows)
	for _, list := range a.Lists {
		items := make([]object, len(list.Items))
		for i, item := range list.Items {
			items[i] = rowsJSON(item.Rows)
		}
		o = append(o, member{list.Key, items})
	}
	findings := make([]object, len(a.Findings))
	for i, f := range a.Findings {
		findings[i] = object{{"rule", f.Rule}, {"severity", f.Severity}, {"message", f.Message}, {"source", f.Source}, {"danger", f.Danger}}
		if f.Compared {
			findings[i] = append(findings[i], member{"limit_c", figure(float64(f.Limit))}, member{"margin_k", figure(f.Margin)})
		}
	}
	return append(o, member{"verdict", a.Verdict()}, member{"findings", findings}, member{"sources", a.Sources})
}

func rowsJSON(rows []lookup.Row) object {
	o := make(object, len(rows))
	for i, row := range rows {
		value := row.Value
		switch v := value.(type) {
		case float64:
			value = figure(v)
		case []float64:
			rounded := make([]float64, len(v))
			for j := range v {
				rounded[j] = figure(v[j])
			}
			value = rounded
		}
		o[i] = member{row.Key, value}
	}
	return o
}
