package checklist

import (
	"slices"
	"strings"
)

// figuresFor are those of the figures of a step's parts that its kind of work needs
// beside it: for taking four screws off nobody wants their tapping drill. The key
// `figures` of the step chooses others.
func figuresFor(kind string, figures []Figure) []Figure {
	keys := wanted(kind)
	if keys == nil {
		return figures
	}
	return slices.DeleteFunc(slices.Clone(figures), func(f Figure) bool {
		_, key, _ := strings.Cut(f.Key, ".")
		return !slices.Contains(keys, key)
	})
}

// wanted are the keys of the figures that a kind of step shows; nil for all.
func wanted(kind string) []string {
	switch kind {
	case "strip", "clean":
		return []string{"count", "spanner", "key"}
	case "tighten":
		return []string{"order", "first_pass", "second_pass", "torque", "torque_lbf_in", "spanner", "key", "turns_min", "turns_max", "follower_min", "follower_max"}
	case "dry-fit":
		return []string{"thread", "count", "length", "engaged", "cover", "depth", "head_diameter", "head_height", "spanner", "key",
			"inner", "outer", "bore", "thickness", "rings", "stack", "entry", "follower_max", "turns_min", "turns_max", "section", "inside", "gap", "squeeze", "stretch", "fill", "spindle", "box"}
	case "make":
		return []string{"thread", "tap_drill", "tap_diameter", "tap_percent", "depth", "clearance", "countersink", "countersink_angle", "major", "pitch", "circle", "chord", "angle", "coordinates", "length",
			"section", "rings", "ring_length", "order", "inner", "outer", "bore", "thickness", "width", "mean", "inside", "groove_depth", "groove_width", "lead_in", "spindle", "box"}
	}
	return nil
}
