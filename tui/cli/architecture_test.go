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

// layers lists the packages from the top to the bottom: a package may import
// only those that stand further down.
var layers = []string{
	"fettle", "fettle/tui/cli", "fettle/tui", "fettle/checklist/job", "fettle/checklist",
	"fettle/checklist/boiler/lookup", "fettle/checklist/boiler", "fettle/threads/fastening", "fettle/threads", "fettle/threads/quantity",
}

// besides lists packages outside the layers: anything may import them and they
// import nothing of ours.
var besides = []string{"fettle/recipes", "fettle/tui/quiet", "fettle/checklist/disk"}

func TestImportsRunOneWay(t *testing.T) {
	for pkg, imports := range productImports(t) {
		level := slices.Index(layers, pkg)
		if level < 0 {
			require.Contains(t, besides, pkg, "a package nobody planned: give it a place in layers")
		}
		for _, imp := range imports {
			if !strings.HasPrefix(imp, "fettle") || slices.Contains(besides, imp) && level >= 0 {
				continue
			}
			require.GreaterOrEqual(t, level, 0, "%s must import nothing of ours, imports %s", pkg, imp)
			require.Greater(t, slices.Index(layers, imp), level, "%s imports %s", pkg, imp)
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
				require.Equal(t, "fettle/tui", pkg, "only the screen imports the program loop")
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
		"checklist/disk/disk.go os.OpenFile":   "the one place",
		"checklist/disk/disk.go os.OpenRoot":   "the one place",
		"tui/workshop.go os.ReadFile":          "the user's own settings, which people keep as a link; looked at first",
		"tui/cli/procedure_new.go os.OpenFile": "writes a file that the user named; looked at first",
		"tui/cli/job_log.go os.OpenFile":       "makes a file that must not be there",
		"tui/cli/man.go os.WriteFile":          "writes manual pages into a folder that the user named",
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
