package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fettle/checklist"
	"fettle/checklist/disk"
	"fettle/checklist/job"
	"fettle/checklist/paper"
	"fettle/checklist/source"
	"fettle/recipes"
	"fettle/threads/check"
)

func procedureCommand(env Env) *cobra.Command {
	cmd := &cobra.Command{
		Use: "procedure",
		Long: "A procedure is a text file (TOML) that says how a job is done.\n" +
			"Where a command takes a PROCEDURE it is the name of a bundled one or a file.",
		Args: known,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(
		procedureListCommand(env),
		procedureShowCommand(env),
		procedureCheckCommand(env),
		procedureNewCommand(env),
		procedurePreviewCommand(env),
		procedureSchemaCommand(env),
		procedureExplainCommand(env),
	)
	return cmd
}

// sourceOf reads a procedure: a file where name looks like one or there is
// one, else the bundled procedure of that name.
func sourceOf(name string) (file string, src []byte, err error) {
	looksLikeFile := strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".toml")
	info, statErr := os.Stat(name)
	// A folder does not hide a bundled procedure: jobs are named after theirs.
	if looksLikeFile || statErr == nil && !info.IsDir() {
		src, err = disk.ReadFile(name, source.MaxFile)
		if err != nil {
			return "", nil, unreadable(plainPathError(err))
		}
		return name, src, nil
	}
	bundled, err := bundledProcedures()
	if err != nil {
		return "", nil, err
	}
	var names []string
	for _, b := range bundled {
		if b.procedure.ID == name || strings.TrimSuffix(b.procedure.File, ".toml") == name {
			return b.procedure.File, b.procedure.Source, nil
		}
		names = append(names, b.procedure.ID)
	}
	if statErr == nil {
		return "", nil, unreadable(fmt.Errorf("%s is a folder, not a procedure file", name))
	}
	return "", nil, usage(fmt.Errorf("there is no procedure and no file %q; bundled are: %s", name, strings.Join(names, ", ")))
}

// libraryFor is where the procedures are looked for that the procedure of that
// name calls: beside it where it is a file, then among the bundled ones.
func libraryFor(name string) *checklist.Library {
	if info, err := os.Stat(name); err == nil && !info.IsDir() {
		return checklist.NewLibrary(disk.Folder(filepath.Dir(name), source.MaxFile), recipes.FS())
	}
	return checklist.NewLibrary(recipes.FS())
}

// plainPathError says which file and what is wrong, without the name of the
// system call.
func plainPathError(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return fmt.Errorf("%s: %w", pe.Path, pe.Err)
	}
	return err
}

// listed is one procedure of a list.
type listed struct {
	procedure   *checklist.Procedure
	diagnostics source.Diagnostics
	where       string // "bundled", or the file
	problem     string // why the file is not read at all
}

func bundledProcedures() ([]listed, error) {
	return proceduresIn(recipes.FS(), "bundled")
}

// proceduresIn reads every .toml file at the root of a folder, in the order of
// names. Files that cannot be read at all are listed with their diagnostics.
func proceduresIn(fsys fs.FS, where string) ([]listed, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	library := checklist.NewLibrary(fsys, recipes.FS())
	var list []listed
	for _, e := range entries {
		file := e.Name()
		if filepath.Ext(file) != ".toml" {
			continue
		}
		l := listed{procedure: &checklist.Procedure{File: file}, where: where}
		if where != "bundled" {
			l.where = job.Plain(filepath.Join(where, file))
		}
		src, err := fs.ReadFile(fsys, file)
		if err != nil {
			l.problem = job.Plain(plainPathError(err).Error())
		} else if p, ds := library.Read(file, src); p == nil {
			l.diagnostics = ds
		} else {
			l.procedure, l.diagnostics = p, ds
		}
		list = append(list, l)
	}
	return list, nil
}

func procedureListCommand(env Env) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "list [FOLDER]...",
		Short: "List the bundled procedures and those in folders",
		Example: "  fettle procedure list\n" +
			"  fettle procedure list my-procedures --json",
		RunE: func(cmd *cobra.Command, folders []string) error {
			list, err := bundledProcedures()
			if err != nil {
				return err
			}
			for _, folder := range folders {
				more, err := proceduresIn(disk.Folder(folder, source.MaxFile), folder)
				var refused *disk.Refused
				switch {
				case errors.As(err, &refused):
					return usage(err)
				case err != nil:
					return unreadable(plainPathError(err))
				}
				list = append(list, more...)
			}
			if asJSON {
				return writeItems(env.Stdout, "procedure-list", procedureListJSON(list))
			}
			for _, l := range list {
				if l.problem != "" {
					fmt.Fprintf(env.Stdout, "%s\n    cannot be used: %s\n", l.where, l.problem)
					continue
				}
				if l.procedure.ID == "" {
					fmt.Fprintf(env.Stdout, "%s\n    cannot be used: fettle procedure check says why\n", l.where)
					continue
				}
				fmt.Fprintf(env.Stdout, "%s (%s)\n    %s\n", l.procedure.ID, l.where, l.procedure.Title)
				if word := l.diagnostics.Worst(); word == check.Stop || word == check.Warn {
					fmt.Fprintf(env.Stdout, "    %s: fettle procedure check says why\n", word)
				}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	return cmd
}

type procedureJSON struct {
	ID       string   `json:"id"`
	Title    string   `json:"title"`
	Where    string   `json:"where"`
	Steps    int      `json:"steps"`
	Settings []string `json:"settings"`
	Worst    string   `json:"worst,omitempty"`
	Error    string   `json:"error,omitempty"` // why the file is not read at all
}

func procedureListJSON(list []listed) []procedureJSON {
	out := make([]procedureJSON, 0, len(list))
	for _, l := range list {
		p := procedureJSON{ID: l.procedure.ID, Title: l.procedure.Title, Where: l.where, Worst: string(l.diagnostics.Worst()), Error: l.problem, Settings: []string{}}
		for _, s := range l.procedure.Settings {
			p.Settings = append(p.Settings, s.Name)
		}
		for _, stage := range l.procedure.Stages {
			p.Steps += len(stage.Steps)
		}
		out = append(out, p)
	}
	return out
}

func procedureShowCommand(env Env) *cobra.Command {
	var (
		sets             []string
		format, markdown bool
		width            int
	)
	cmd := &cobra.Command{
		Use:   "show PROCEDURE",
		Short: "Print a procedure with its figures filled in",
		Long: "Prints a procedure for reading or paper, its settings answered by --set or their\n" +
			"defaults; what is not answered, and what hangs on it, is room to write in: ____.\n" +
			"With --format and no name it prints the reference of the file format.",
		Example: "  fettle procedure show valve-spindle-gland --set spindle=5mm\n" +
			"  fettle procedure show my-gland.toml --markdown > my-gland.md\n" +
			"  fettle procedure show --format",
		Args: between(0, 1, "name one procedure"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if width < 40 || width > 400 {
				return usage(fmt.Errorf("--width %d: write 40 to 400", width))
			}
			switch {
			case format && len(args) > 0:
				return usage(errors.New("--format prints the reference of the file format and takes no name; for paper use --markdown"))
			case format:
				return paper.WriteReference(env.Stdout, width)
			case len(args) == 0:
				return misshapen(errors.New("which procedure? fettle procedure list names the bundled ones"))
			}
			p, err := loadProcedure(env, args[0])
			if err != nil {
				return err
			}
			values, err := parseSets(sets)
			if err != nil {
				return err
			}
			filled, open, ds := p.FillBlank(values)
			if err := reportFill(env, ds); err != nil {
				return err
			}
			if markdown {
				err = paper.WriteMarkdown(env.Stdout, filled)
			} else {
				err = paper.WriteText(env.Stdout, filled, width)
			}
			if err == nil && !markdown {
				err = calledQuestions(env, p, libraryFor(args[0]), width)
			}
			if err == nil && len(open) > 0 {
				fmt.Fprintf(env.Stderr, "fettle: not answered, printed as ____: %s. Answer them with --set NAME=ANSWER.\n", strings.Join(open, ", "))
			}
			return err
		},
	}
	cmd.Flags().StringArrayVar(&sets, "set", nil, "answer a setting: --set name=value (repeat for more)")
	cmd.Flags().BoolVar(&format, "format", false, "print the reference of the file format")
	cmd.Flags().BoolVar(&markdown, "markdown", false, "print Markdown")
	cmd.Flags().IntVar(&width, "width", 80, "widest line of plain text")
	return cmd
}

// reportFill prints what filling in found. A stop about an answer is a wrong
// call, any other stop something found.
func reportFill(env Env, ds source.Diagnostics) error {
	if !ds.HasStop() {
		return nil
	}
	if err := ds.WriteText(env.Stderr); err != nil {
		return err
	}
	if names := ds.Unanswered(); len(names) > 0 {
		return usage(errors.New(answerWith(names)))
	}
	var wrong []string
	for _, d := range ds {
		if d.Setting != "" && d.Severity == check.Stop && !slices.Contains(wrong, d.Setting) {
			wrong = append(wrong, d.Setting)
		}
	}
	if len(wrong) > 0 {
		return usage(fmt.Errorf("answer with --set NAME=ANSWER: %s", strings.Join(wrong, ", ")))
	}
	return found()
}

// answerWith says how the settings of these names are answered on the command line.
func answerWith(names []string) string {
	text := "answer with"
	for _, name := range names {
		text += " --set " + name + `="..."`
	}
	return text
}

// loadProcedure reads a procedure that can be worked with; its stops are
// printed and end the command.
func loadProcedure(env Env, name string) (*checklist.Procedure, error) {
	file, src, err := sourceOf(name)
	if err != nil {
		return nil, err
	}
	p, ds := libraryFor(name).Read(file, src)
	if p == nil || ds.HasStop() {
		if err := ds.WriteText(env.Stderr); err != nil {
			return nil, err
		}
		return nil, unreadable(fmt.Errorf("%s cannot be used until its stops are put right", file))
	}
	return p, nil
}

// parseSets reads name=value flags.
func parseSets(sets []string) (map[string]string, error) {
	values := map[string]string{}
	for _, set := range sets {
		name, value, ok := strings.Cut(set, "=")
		name = strings.TrimSpace(name)
		if !ok || name == "" {
			return nil, usage(fmt.Errorf("--set %q: write it as name=value", set))
		}
		if _, twice := values[name]; twice {
			return nil, usage(fmt.Errorf("--set %s is given twice", name))
		}
		values[name] = value
	}
	return values, nil
}

func procedureCheckCommand(env Env) *cobra.Command {
	var (
		asJSON, notes, fix bool
		sets               []string
	)
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "Say everything that is wrong with procedure files",
		Long: "Says everything that is wrong with procedure files and circuits of loss, each mistake as\n" +
			"    file:line:column: severity: message [rule]\n" +
			"under every answer that a fitter may give; --set lets one stand. Exit code 1 where it found a stop or a warn,\n" +
			"0 where there is nothing or only an ask or a note, 3 where a file cannot be read.",
		Example: "  fettle procedure check my-gland.toml",
		Args:    atLeast(1, "name the files to look at"),
		RunE: func(cmd *cobra.Command, names []string) error {
			values, err := parseSets(sets)
			if err != nil {
				return err
			}
			var all source.Diagnostics
			code := exitFine
			for _, name := range names {
				file, src, err := sourceOf(name)
				if err != nil {
					return err
				}
				readable, ds, cover := checkText(file, src, name, values)
				if fix {
					done, err := fixFile(env, name, src, ds)
					if err != nil {
						return err
					}
					if done != nil {
						readable, ds, cover = checkText(file, done, name, values)
					}
				}
				all = append(all, ds...)
				if !readable {
					code = exitUnreadable
				} else if word := ds.Worst(); code == exitFine && (word == check.Stop || word == check.Warn) {
					code = exitFound
				}
				if asJSON {
					continue
				}
				told := len(ds)
				if !notes {
					ds = slices.DeleteFunc(ds, func(d source.Diagnostic) bool { return d.Severity == check.Note && d.Rule != source.RuleDuplicate })
				}
				if err := ds.WriteText(env.Stdout); err != nil {
					return err
				}
				if len(ds) == 0 {
					fmt.Fprintf(env.Stdout, "%s: nothing to put right\n", file)
				}
				if left := told - len(ds); left > 0 {
					fmt.Fprintf(env.Stdout, "%s: %d notes on what a fitter is told under other answers: --notes lists them\n", file, left)
				}
				if len(cover.Pairs) > 0 {
					fmt.Fprintf(env.Stderr, "%s: too many combinations of answers to look at each: every two answers together were, in %d combinations\n", file, cover.Combinations)
				}
			}
			if asJSON {
				if err := writeJSON(env.Stdout, findingsJSON(all)); err != nil {
					return err
				}
			}
			if code != exitFine {
				return &failure{code: code}
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().StringArrayVar(&sets, "set", nil, "an answer that stands: --set name=value (repeat for more)")
	cmd.Flags().BoolVar(&fix, "fix", false, "put right what is certain; the file as it was is kept beside, with a ~ behind its name")
	cmd.Flags().BoolVar(&notes, "notes", false, "list what a fitter is told under other answers, too")
	return cmd
}

type findingJSON struct {
	File       string `json:"file"`
	Line       int    `json:"line"`
	Column     int    `json:"column"`
	Severity   string `json:"severity"`
	Message    string `json:"message"`
	Suggestion string `json:"suggestion"`
	Rule       string `json:"rule"`
	Path       string `json:"path"`
	Source     string `json:"source,omitempty"`

	EndLine   int `json:"end_line"`
	EndColumn int `json:"end_column"`
	// Replacement is what to write from the place to its end, where that is certain.
	Replacement *replacementJSON `json:"replacement,omitempty"`
	Related     []relatedJSON    `json:"related,omitempty"`
}

type replacementJSON struct {
	Line      int    `json:"line"`
	Column    int    `json:"column"`
	EndLine   int    `json:"end_line"`
	EndColumn int    `json:"end_column"`
	Text      string `json:"text"`
}

type relatedJSON struct {
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"`
}

func findingsJSON(ds source.Diagnostics) any {
	list := make([]findingJSON, 0, len(ds))
	for _, d := range ds {
		f := findingJSON{File: d.File, Line: d.Line, Column: d.Column, Severity: string(d.Severity), Message: d.Message, Suggestion: d.Suggestion, Rule: d.Rule, Path: d.Path, Source: d.Source}
		f.EndLine, f.EndColumn = d.EndPlace()
		if d.Fix != nil {
			from := source.Diagnostic{Located: true, Src: d.Src, End: d.Fix.From}
			to := source.Diagnostic{Located: true, Src: d.Src, End: d.Fix.To}
			r := &replacementJSON{Text: d.Fix.Text}
			r.Line, r.Column = from.EndPlace()
			r.EndLine, r.EndColumn = to.EndPlace()
			f.Replacement = r
		}
		for _, other := range d.Related {
			f.Related = append(f.Related, relatedJSON{other.Line, other.Column, other.Message})
		}
		list = append(list, f)
	}
	return struct {
		Findings []findingJSON `json:"findings"`
	}{list}
}

// calledQuestions prints what the procedures ask that a procedure calls.
func calledQuestions(env Env, p *checklist.Procedure, library *checklist.Library, width int) error {
	for _, id := range p.Calls() {
		if called, _ := library.Procedure(id); called != nil {
			if err := paper.WriteQuestions(env.Stdout, called, width); err != nil {
				return err
			}
		}
	}
	return nil
}

func procedureExplainCommand(env Env) *cobra.Command {
	var width int
	cmd := &cobra.Command{
		Use:     "explain RULE",
		Short:   "Say what a rule of check looks for, why, and show what it has something against",
		Example: "  fettle procedure explain wet-steel",
		Args:    between(1, 1, "name one rule, as check shows it in brackets"),
		RunE: func(_ *cobra.Command, args []string) error {
			if width < 40 || width > 400 {
				return usage(fmt.Errorf("--width %d: write 40 to 400", width))
			}
			if err := paper.Explain(env.Stdout, strings.Trim(args[0], "[]"), width); err != nil {
				return usage(err)
			}
			return nil
		},
	}
	cmd.Flags().IntVar(&width, "width", 80, "widest line")
	return cmd
}
