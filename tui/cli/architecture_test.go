package cli

import (
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
	sums := join(ground, pkg("threads", "threads/fastening", "checklist/boiler"))
	lookup := join(sums, pkg("checklist/lookup", "checklist/boiler/lookup", "checklist/workshop"))
	procedure := join(lookup, pkg("checklist", "checklist/source"))
	journal := pkg("checklist/job/journal")
	work := join(procedure, journal, pkg("checklist/job", "checklist/paper", "checklist/trace"))
	screen := join(work, pkg("tui/ask", "tui/paint", "tui/terminal", "tui/quiet", "checklist/job/papers", "checklist/job/engine", "recipes"))
	return map[string][]string{
		"fettle":                         pkg("tui/cli"),
		"fettle/tui/cli":                 join(screen, pkg("tui")),
		"fettle/tui":                     screen,
		"fettle/tui/ask":                 join(lookup, pkg("tui/paint", "checklist")),
		"fettle/tui/paint":               join(ground, pkg("threads")),
		"fettle/tui/terminal":            nil,
		"fettle/tui/quiet":               nil,
		"fettle/checklist/job/papers":    work,
		"fettle/checklist/job/engine":    work,
		"fettle/checklist/job":           join(procedure, journal, pkg("checklist/trace")),
		"fettle/checklist/job/journal":   ground,
		"fettle/checklist/paper":         procedure,
		"fettle/checklist":               join(lookup, pkg("checklist/source")),
		"fettle/checklist/source":        ground,
		"fettle/checklist/workshop":      join(ground, pkg("threads")),
		"fettle/checklist/lookup":        join(sums, pkg("checklist/workshop")),
		"fettle/checklist/boiler/lookup": sums,
		"fettle/checklist/boiler":        join(ground, pkg("threads")),
		"fettle/threads/fastening":       join(ground, pkg("threads")),
		"fettle/threads":                 ground,
		"fettle/threads/quantity":        nil,
		"fettle/threads/check":           nil,
		"fettle/recipes":                 nil,
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

// productImports maps every package of the module to what its non-test files import.
func productImports(t *testing.T) map[string][]string {
	t.Helper()
	root := filepath.Join("..", "..")
	imports := map[string][]string{}
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
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		pkg := "fettle"
		if rel != "." {
			pkg += "/" + filepath.ToSlash(rel)
		}
		for _, spec := range file.Imports {
			imp, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			imports[pkg] = append(imports[pkg], imp)
		}
		return nil
	})
	require.NoError(t, err)
	require.Contains(t, imports, "fettle/tui/cli")
	return imports
}
