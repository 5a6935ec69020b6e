package cli

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The invariants of the house, as DEVELOPERS.md states them.

// mayImport says which packages of ours a package may import. What is not named here
// has no place in the house.
var mayImport = func() map[string][]string {
	join := func(lists ...[]string) []string { return slices.Concat(lists...) }
	pkg := func(names ...string) []string {
		for i, name := range names {
			names[i] = "fettle/" + name
		}
		return names
	}
	ground := pkg("threads/quantity", "threads/check")
	files := pkg("checklist/disk")
	sums := join(ground, pkg("threads", "threads/fastening", "checklist/boiler"))
	lookup := join(sums, pkg("checklist/lookup", "checklist/workshop"))
	procedure := join(lookup, pkg("checklist", "checklist/source"))
	journal := pkg("checklist/job/journal")
	work := join(procedure, journal, pkg("checklist/job", "checklist/paper", "checklist/trace", "checklist/circuit"))
	screen := join(work, files, pkg("tui/ask", "tui/paint", "tui/terminal", "tui/quiet", "checklist/job/papers", "checklist/job/engine", "recipes"))
	return map[string][]string{
		"fettle":                       pkg("tui/cli"),
		"fettle/tui/cli":               join(screen, pkg("tui")),
		"fettle/tui":                   screen,
		"fettle/tui/ask":               join(lookup, pkg("tui/paint", "checklist")),
		"fettle/tui/paint":             join(ground, pkg("threads")),
		"fettle/tui/terminal":          nil,
		"fettle/tui/quiet":             nil,
		"fettle/checklist/job/papers":  join(work, files),
		"fettle/checklist/job/engine":  join(work, files),
		"fettle/checklist/job":         join(procedure, journal, files, pkg("checklist/trace", "checklist/circuit")),
		"fettle/checklist/job/journal": join(ground, files),
		"fettle/checklist/paper":       procedure,
		"fettle/checklist":             join(lookup, files, pkg("checklist/source")),
		"fettle/checklist/source":      ground,
		"fettle/checklist/trace":       join(ground, pkg("threads")),
		"fettle/checklist/circuit":     join(ground, pkg("checklist/source", "checklist/trace")),
		"fettle/checklist/workshop":    join(ground, pkg("threads")),
		"fettle/checklist/lookup":      join(sums, pkg("checklist/workshop")),
		"fettle/checklist/boiler":      join(ground, pkg("threads")),
		"fettle/threads/fastening":     join(ground, pkg("threads")),
		"fettle/threads":               ground,
		"fettle/threads/quantity":      nil,
		"fettle/threads/check":         nil,
		"fettle/recipes":               nil,
		"fettle/checklist/disk":        nil,
	}
}()

func TestImportsRunOneWay(t *testing.T) {
	for pkg, imports := range productImports(t) {
		allowed, planned := mayImport[pkg]
		require.True(t, planned, "%s: a package nobody planned: give it a place in mayImport", pkg)
		for _, imp := range imports {
			if strings.HasPrefix(imp, "fettle") {
				require.Contains(t, allowed, imp, "%s imports %s", pkg, imp)
			}
		}
	}
}

func TestSiblingSumsDoNotMeet(t *testing.T) {
	imports := productImports(t)
	require.NotContains(t, imports["fettle/checklist/boiler"], "fettle/threads/fastening")
}

func TestOnlyTheScreenKnowsTheTerminal(t *testing.T) {
	for pkg, imports := range productImports(t) {
		for _, imp := range imports {
			terminal := strings.HasPrefix(imp, "github.com/charmbracelet/") || strings.HasPrefix(imp, "github.com/muesli/")
			if terminal {
				require.True(t, strings.HasPrefix(pkg, "fettle/tui"), "%s imports %s", pkg, imp)
			}
			if strings.HasPrefix(imp, "github.com/charmbracelet/bubbletea") {
				require.Contains(t, []string{"fettle/tui", "fettle/tui/terminal"}, pkg, "only the screen imports the program loop")
			}
		}
	}
}

func TestThreadsUseTheStandardLibraryOnly(t *testing.T) {
	for pkg, imports := range productImports(t) {
		if !strings.HasPrefix(pkg, "fettle/threads") {
			continue
		}
		for _, imp := range imports {
			ours := strings.HasPrefix(imp, "fettle/threads")
			require.True(t, ours || !strings.Contains(strings.Split(imp, "/")[0], "."), "%s imports %s", pkg, imp)
		}
	}
}

// Whatever opens a file or lists a folder by itself can be led out of it by a
// link, or made to wait by a pipe.
func TestFilesAreOpenedInOnePlace(t *testing.T) {
	opens := map[string]bool{"os.Open": true, "os.OpenFile": true, "os.Create": true, "os.ReadFile": true, "os.WriteFile": true, "os.ReadDir": true, "os.DirFS": true,
		"os.OpenRoot": true, "filepath.Glob": true, "filepath.Walk": true, "filepath.WalkDir": true}
	allowed := map[string]string{
		"checklist/disk/disk.go os.OpenFile":         "the one place",
		"checklist/disk/disk.go os.OpenRoot":         "the one place",
		"checklist/workshop/workshop.go os.ReadFile": "the user's own settings, which people keep as a link; looked at first",
		"tui/cli/procedure_new.go os.OpenFile":       "writes a file that the user named; looked at first",
		"tui/cli/job_log.go os.OpenFile":             "makes a file that must not be there",
		"tui/cli/man.go os.WriteFile":                "writes manual pages into a folder that the user named",
	}
	eachFile(t, parser.SkipObjectResolution, func(path string, file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			pkg, ok := call.X.(*ast.Ident)
			if !ok {
				return true
			}
			name := pkg.Name + "." + call.Sel.Name
			if opens[name] {
				require.Contains(t, allowed, path+" "+name, "open it through checklist/disk")
			}
			return true
		})
	})
}

// productImports maps every package of the module to what its non-test files import.
func productImports(t *testing.T) map[string][]string {
	t.Helper()
	imports := map[string][]string{}
	eachFile(t, parser.ImportsOnly, func(path string, file *ast.File) {
		pkg := strings.TrimSuffix("fettle/"+filepath.ToSlash(filepath.Dir(path)), "/.")
		for _, spec := range file.Imports {
			imp, err := strconv.Unquote(spec.Path.Value)
			require.NoError(t, err)
			imports[pkg] = append(imports[pkg], imp)
		}
	})
	require.Contains(t, imports, "fettle/tui/cli")
	return imports
}

// eachFile reads every file of the module that is no test. Its path is told from
// the top of the module.
func eachFile(t *testing.T, how parser.Mode, take func(path string, file *ast.File)) {
	t.Helper()
	root := filepath.Join("..", "..")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && path != root && (strings.HasPrefix(name, ".") || name == "testdata") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, how)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		take(filepath.ToSlash(rel), file)
		return nil
	})
	require.NoError(t, err)
}
