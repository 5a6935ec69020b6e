package boiler

import (
	"fettle/threads/check"
	"fmt"
	"strings"
)

// FaultKind is the order in which the paths of lost pressure are ruled out.
type FaultKind string

const (
	FalseLeak   FaultKind = "no leak at all"
	Rig         FaultKind = "test rig"
	LeakThrough FaultKind = "leak through a valve or pipe"
	LeakVisible FaultKind = "leak to be seen"
	Structure   FaultKind = "structure"
)

// Fault is one path by which a boiler under test loses pressure.
type Fault struct {
	ID      string // F1 to F18
	Path    string
	Kind    FaultKind
	Shows   string // how it shows itself
	Isolate string // how to be sure
}

// Faults lists the paths in the order in which they are numbered in test
// records. Source: common practice, no source.
func Faults() []Fault {
	return []Fault{
		{"F1", "Water cooling, air dissolving, copper and gaskets settling", FalseLeak, "The fall halves every 5 to 10 minutes; the change of temperature explains it", "Wait 10 minutes, bring the pressure back, log again"},
		{"F2", "Pump valve, hose, tee or adaptor", Rig, "With the stop valve at the boiler shut, the boiler's gauge holds and the pump's falls", "A stop valve at the boiler and a second gauge on the boiler's side of it"},
		{"F3", "Plugs in place of the safety valves, gauge connection", Rig, "A wet ring on paper tissue", "Seal again; change the plug"},
		{"F4", "Regulator passing", LeakThrough, "Water at cylinder drain cocks, blast pipe or snifting valve", "Open the drain cocks and watch; then blank the steam pipe or the header's outlet"},
		{"F5", "Joints of the wet header, where the boundary includes it", LeakVisible, "Drips at the lowest point of the smokebox", "Blank flange at the bush in the tubeplate"},
		{"F6", "Internal steam pipe from dome to header", LeakThrough, "The same as F4: water comes past a sound regulator", "Blank the pipe at its inlet; put pressure on the pipe alone from the smokebox end"},
		{"F7", "Blower valve or hollow blower stay", LeakThrough, "Drips from the blower jets", "Cap it at the smokebox end"},
		{"F8", "A clack, each in turn", LeakThrough, "Water comes back through the feed union", "Undo the union at the clack, watch the ball, cap it"},
		{"F9", "Steam valve of injector, whistle, brake or turret", LeakThrough, "Drips at overflow, whistle or manifold", "Cap its outlet"},
		{"F10", "Blowdown valve, drain of the water gauge", LeakThrough, "Drips at its pipe", "Plug its outlet"},
		{"F11", "Nuts of the gauge glass, passages of the water gauge", LeakVisible, "A wet nut", "Shut the cocks or blank the gauge"},
		{"F12", "Spindle glands", LeakVisible, "A wet spindle", "At working pressure or below nip an eighth of a turn, once; else mark it for repacking. No chasing at test pressure"},
		{"F13", "Superheater", LeakVisible, "Loses only with the regulator open", "Blank the header"},
		{"F14", "Joints of covers and flanges", LeakVisible, "A wet seam; the leak grows faster than the pressure (exponent above 1.5)", "Let the pressure down, tighten, test again"},
		{"F15", "Screws tapped through the shell", LeakVisible, "A wet ring round the head", "Sealing washer, sealant or cap screw"},
		{"F16", "Ends of the tubes, firebox or smokebox", Structure, "Seen by mirror or borescope; drips on the grate", "The inspector"},
		{"F17", "Stays, seams, foundation ring, firehole", Structure, "A wet stay head, a line of beads", "Stop; the inspector"},
		{"F18", "Fusible plug, washout plugs", LeakVisible, "Wet", "Seat it again cold"},
	}
}

// FaultByID finds a path by its number ("F6", "f6" or "6"); its error is a *WordError.
func FaultByID(id string) (Fault, error) {
	want := strings.ToUpper(strings.TrimSpace(id))
	if !strings.HasPrefix(want, "F") {
		want = "F" + want
	}
	var known []string
	for _, f := range Faults() {
		if f.ID == want {
			return f, nil
		}
		known = append(known, f.ID)
	}
	return Fault{}, &WordError{Kind: "fault", Input: id, Known: known}
}

// Blank is a plugged or capped outlet of a boiler under test.
type Blank struct {
	Tag      string // number on the tag hung on it
	Where    string
	Removed  bool
	Intended bool // stays in on purpose, and is recorded as such
}

// CheckClosing says what stands in the way of closing a hydraulic test: leaks
// of the structure, which no sealing compound mends, and blanks that are
// neither out nor meant to stay, or carry no tag. An unknown fault is a
// *WordError.
func CheckClosing(faults []string, blanks []Blank) ([]check.Result, error) {
	var list []check.Result
	for _, id := range faults {
		f, err := FaultByID(id)
		if err != nil {
			return nil, err
		}
		if f.Kind == Structure {
			list = append(list, check.Result{Rule: "structural-leak", Severity: check.Stop, Source: codeDecides,
				Message: fmt.Sprintf("%s %s: the test has failed. No sealing compound is a remedy; the inspector decides.", f.ID, f.Path)})
		}
	}
	tags := map[string]bool{}
	for _, b := range blanks {
		tag := strings.TrimSpace(b.Tag)
		switch {
		case tag == "":
			list = append(list, check.Result{Rule: "blank-untagged", Severity: check.Stop, Source: commonPractice,
				Message: fmt.Sprintf("The blank at %s has no tag number.", b.Where)})
		case tags[tag]:
			list = append(list, check.Result{Rule: "blank-untagged", Severity: check.Stop, Source: commonPractice,
				Message: fmt.Sprintf("Tag %s hangs on two blanks.", tag)})
		}
		tags[tag] = true
		if !b.Removed && !b.Intended {
			list = append(list, check.Result{Rule: "blank-left", Severity: check.Stop, Source: commonPractice,
				Message: fmt.Sprintf("Blank %s at %s is still in: take it out, or record that it stays.", tag, b.Where)})
		}
	}
	return list, nil
}
