package fastening

import (
	"fmt"
	"math"

	"fettle/threads"
	"fettle/threads/quantity"
)

// Minimum breaking torques: what a screw of the class takes in pure twist before it
// shears, with no friction in thread or head (ISO 898-7:1992 clause 3.3: a test of
// the product). In tightening about half of a torque is lost under the head, so it
// is no limit of assembly; but a screw that binds in its hole gets all of it.

// bindShare is the share of the minimum breaking torque from which a screw that
// binds is said to be in danger: common practice, no source.
const bindShare = 0.8

// breakingRow is one size: nominal diameter, pitch, and a torque in N·m for
// each class of the table.
type breakingRow struct {
	d, p   float64
	torque [4]float64
}

// ISO 898-7:1992 table 2 (from memory; from M1.6 up it agrees within 5 % with the
// standard's formula X·Rm·π/16·d3min³): classes 8.8, 9.8, 10.9, 12.9.
var breakingSteel = []breakingRow{
	{1, 0.25, [4]float64{0.033, 0.036, 0.040, 0.045}},
	{1.2, 0.25, [4]float64{0.075, 0.082, 0.092, 0.10}},
	{1.4, 0.3, [4]float64{0.12, 0.13, 0.14, 0.16}},
	{1.6, 0.35, [4]float64{0.16, 0.18, 0.20, 0.22}},
	{2, 0.4, [4]float64{0.37, 0.40, 0.45, 0.50}},
	{2.5, 0.45, [4]float64{0.82, 0.90, 1.0, 1.1}},
	{3, 0.5, [4]float64{1.5, 1.7, 1.9, 2.1}},
	{3.5, 0.6, [4]float64{2.4, 2.7, 3.0, 3.3}},
	{4, 0.7, [4]float64{3.6, 3.9, 4.4, 4.9}},
	{5, 0.8, [4]float64{7.6, 8.3, 9.3, 10}},
	{6, 1, [4]float64{13, 14, 16, 17}},
	{7, 1, [4]float64{23, 25, 28, 31}},
	{8, 1.25, [4]float64{33, 36, 40, 44}},
	{8, 1, [4]float64{38, 42, 46, 52}},
	{10, 1.5, [4]float64{66, 72, 81, 90}},
	{10, 1, [4]float64{84, 92, 102, 114}},
	{10, 1.25, [4]float64{75, 82, 91, 102}},
}

// ISO 3506-1 minimum breaking torques of austenitic screws (reprinted tables):
// classes 50, 70, 80.
var breakingStainless = []breakingRow{
	{1.6, 0.35, [4]float64{0.15, 0.2, 0.24}},
	{2, 0.4, [4]float64{0.3, 0.4, 0.48}},
	{2.5, 0.45, [4]float64{0.6, 0.9, 0.96}},
	{3, 0.5, [4]float64{1.1, 1.6, 1.8}},
	{4, 0.7, [4]float64{2.7, 3.8, 4.3}},
	{5, 0.8, [4]float64{5.5, 7.8, 8.8}},
	{6, 1, [4]float64{9.3, 13, 15}},
	{8, 1.25, [4]float64{23, 32, 37}},
	{10, 1.5, [4]float64{46, 65, 74}},
	{12, 1.75, [4]float64{80, 110, 130}},
	// M16 from memory.
	{16, 2, [4]float64{210, 290, 330}},
}

// ISO 8839 minimum breaking torques (reprint): CU2, CU3, CU4, CU5.
var breakingNonferrous = []breakingRow{
	{1.6, 0.35, [4]float64{0.10, 0.10, 0.11, 0.14}},
	{2, 0.4, [4]float64{0.21, 0.21, 0.23, 0.28}},
	{2.5, 0.45, [4]float64{0.45, 0.45, 0.5, 0.6}},
	{3, 0.5, [4]float64{0.8, 0.8, 0.9, 1.1}},
	{3.5, 0.6, [4]float64{1.3, 1.3, 1.4, 1.7}},
	{4, 0.7, [4]float64{1.9, 1.9, 2.0, 2.5}},
	{5, 0.8, [4]float64{3.8, 3.8, 4.1, 5.1}},
}

// leastBreakingTorque is the minimum breaking torque of grade g on thread t: that of
// a table where one has the size and the class, else an estimate.
func leastBreakingTorque(g Grade, strength Strength, t threads.Thread) (least quantity.Torque, source string) {
	if t.Form == threads.ISO68 {
		if torque, source, ok := tabledBreakingTorque(g, float64(t.Major), float64(t.Pitch)); ok {
			return torque, source
		}
	}
	share := twistShare(g)
	source = fmt.Sprintf("estimate, no figure is published: %g of Rm π/16 d3³, the least share that ISO 898-7, ISO 3506-1 and ISO 8839 have", share)
	return estimatedBreakingTorque(share, float64(strength.Tensile), float64(t.MinorExternal())), source
}

// tabledBreakingTorque gives the minimum breaking torque of grade g on an ISO metric
// thread d × p, where a table has it.
func tabledBreakingTorque(g Grade, d, p float64) (t quantity.Torque, source string, ok bool) {
	rows, column := breakingSteel, -1
	source = "ISO 898-7 (from memory, formula checked)"
	switch {
	case g.Standard == "ISO 898-1":
		column = indexOf(g.Name, "8.8", "9.8", "10.9", "12.9")
	case g.Standard == "ISO 3506-1" && g.Family != HardStainless:
		rows, source = breakingStainless, "ISO 3506-1 (reprint)"
		column = indexOf(g.Name[len(g.Name)-2:], "50", "70", "80")
	case g.Standard == "ISO 8839":
		rows, source = breakingNonferrous, "ISO 8839 (reprint)"
		column = indexOf(g.Name, "CU2", "CU3", "CU4", "CU5")
	}
	if column < 0 {
		return 0, "", false
	}
	for _, r := range rows {
		if math.Abs(r.d-d) < 1e-6 && math.Abs(r.p-p) < 1e-6 {
			return quantity.Torque(r.torque[column]), source, true
		}
	}
	return 0, "", false
}

func indexOf(s string, list ...string) int {
	for i, x := range list {
		if x == s {
			return i
		}
	}
	return -1
}

// estimatedBreakingTorque is share·Rm·π/16·d3³ with the basic core diameter d3 in mm
// and Rm in MPa.
func estimatedBreakingTorque(share, tensile, core float64) quantity.Torque {
	return quantity.Torque(share * tensile * math.Pi / 16 * core * core * core / 1000)
}

// twistShare is the least share of Rm·π/16·d3³ that a published minimum breaking
// torque has in the family of the grade (calculated from the three tables). What has
// no table takes the least of all.
func twistShare(g Grade) float64 {
	switch {
	case g.Family == Stainless || g.Family == FreeStainless:
		return 0.82
	case g.Family == Brass || g.Family == DZRBrass || g.Family == Bronze:
		return 0.67
	case g.Standard == "ISO 898-1" && g.bands[0].strength.Tensile < 1000:
		return 0.61
	}
	return 0.56
}
