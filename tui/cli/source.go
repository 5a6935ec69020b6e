package cli

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"fettle/checklist"
	"fettle/recipes"
)

// maxProcedure is the longest procedure file that is read: more than a hundred
// times the longest bundled one.
const maxProcedure = 8 << 20

// readProcedure reads the procedure that a person named: a bundled one by its
// id or its file's name, anything else as the path of a file.
func readProcedure(name string) (*checklist.Procedure, checklist.Diagnostics, error) {
	var known []string
	for _, file := range bundled() {
		src, err := fs.ReadFile(recipes.FS(), file)
		if err != nil {
			return nil, nil, unreadable(err)
		}
		proc, found := checklist.Read(file, src)
		if proc == nil {
			continue
		}
		if name == proc.ID || name == file || name == strings.TrimSuffix(file, ".toml") {
			return proc, found, nil
		}
		known = append(known, proc.ID)
	}
	f, err := os.Open(name)
	if err != nil {
		if os.IsNotExist(err) && !strings.ContainsAny(name, `/\.`) {
			return nil, nil, usage(fmt.Errorf("there is no bundled procedure and no file %q; bundled are: %s", name, strings.Join(known, ", ")))
		}
		return nil, nil, unreadable(err)
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, maxProcedure+1))
	if err != nil {
		return nil, nil, unreadable(err)
	}
	if len(src) > maxProcedure {
		return nil, nil, unreadable(fmt.Errorf("%s is larger than %d MiB: no procedure", name, maxProcedure>>20))
	}
	proc, found := checklist.Read(name, src)
	return proc, found, nil
}

// bundled lists the files of the bundled procedures.
func bundled() []string {
	files, err := fs.Glob(recipes.FS(), "*.toml")
	if err != nil {
		return nil // only a wrong pattern is an error
	}
	return files
}
