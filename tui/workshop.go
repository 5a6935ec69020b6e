package tui

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"

	"fettle/threads"
	"fettle/threads/quantity"
)

// Workshop is what the user has listed of the tools in the drawer. Nothing
// listed means that nothing is known, not that nothing is there.
type Workshop struct {
	Drills   threads.DrillSet // own drills; empty where none are listed
	Taps     []threads.Thread
	Spanners []quantity.Length
}

// WorkshopFile is the name of the file in the user's configuration folder:
//
//	drills   = ["3.3", "No 30", "letter F", "1/4"]
//	taps     = ["M4", "2 BA", "1/4 x 40 ME"]
//	spanners = ["7", "1/4 in"]
const WorkshopFile = "workshop.toml"

// largestWorkshop is the largest file read; a drawer is not that big.
const largestWorkshop = 256 << 10

// ReadWorkshop reads the user's tools from the configuration folder dir. A
// missing file is an empty workshop. The error names the file, the list and the
// entry that cannot be read.
func ReadWorkshop(dir string) (Workshop, error) {
	if dir == "" {
		return Workshop{}, nil
	}
	file := filepath.Join(dir, WorkshopFile)
	info, err := os.Stat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Workshop{}, nil
	case err != nil:
		return Workshop{}, err
	case !info.Mode().IsRegular():
		return Workshop{}, fmt.Errorf("%s is not a file", file)
	case info.Size() > largestWorkshop:
		return Workshop{}, fmt.Errorf("%s is larger than %d kB", file, largestWorkshop>>10)
	}
	src, err := os.ReadFile(file)
	if err != nil {
		return Workshop{}, err
	}
	w, err := parseWorkshop(string(src))
	if err != nil {
		return Workshop{}, fmt.Errorf("%s: %w", file, err)
	}
	return w, nil
}

func parseWorkshop(src string) (Workshop, error) {
	var lists struct {
		Drills   []string `toml:"drills"`
		Taps     []string `toml:"taps"`
		Spanners []string `toml:"spanners"`
	}
	meta, err := toml.Decode(src, &lists)
	if err != nil {
		return Workshop{}, err
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return Workshop{}, fmt.Errorf("%q is no list known here; there are drills, taps and spanners", strings.Join(unknown[0], "."))
	}
	var w Workshop
	var drills []threads.Drill
	for _, s := range lists.Drills {
		d, err := threads.ParseDrill(s)
		if err != nil {
			return Workshop{}, fmt.Errorf("drills: %w", err)
		}
		drills = append(drills, d)
	}
	if len(drills) > 0 {
		w.Drills = threads.OwnDrills(drills)
	}
	for _, s := range lists.Taps {
		t, err := threads.Parse(s)
		if err != nil {
			return Workshop{}, fmt.Errorf("taps: %w", err)
		}
		w.Taps = append(w.Taps, t)
	}
	for _, s := range lists.Spanners {
		l, err := quantity.ParseLength(s)
		if err == nil && l <= 0 {
			err = fmt.Errorf("a spanner of %v: expected a size above nought", l)
		}
		if err != nil {
			return Workshop{}, fmt.Errorf("spanners: %w", err)
		}
		w.Spanners = append(w.Spanners, l)
	}
	return w, nil
}
