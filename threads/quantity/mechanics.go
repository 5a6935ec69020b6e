package quantity

import "math"

// Standard gravity in m/s², exact (CGPM 1901), and the avoirdupois pound in
// kilograms, exact since 1959. The pound-force and kilogram-force follow.
const (
	gravity = 9.80665
	poundKG = 0.45359237
	lbf     = poundKG * gravity // N
)

// Area is an area in square millimetres, never negative.
type Area float64

// MM2 is the area in square millimetres.
func (a Area) MM2() float64 { return float64(a) }

// SquareInches is the area in square inches.
func (a Area) SquareInches() float64 { return float64(a) / (InchMM * InchMM) }

// Round rounds to three significant figures, as ISO 898-1 prints stress areas,
// but never coarser than a whole mm².
func (a Area) Round() Area { return Area(significant(float64(a), 3)) }

// String prints the rounded area: "8.78 mm²".
func (a Area) String() string { return decimals(significant(float64(a), 3), 9) + " mm²" }

var areaKind = kind{
	quantity: "area",
	expected: "8.78 (mm²), 2.5 cm² or 0.5 sq in",
	units: []unit{
		{"mm2 mm^2 sqmm", 1}, {"cm2 cm^2 sqcm", 100},
		{"in2 in^2 sqin", InchMM * InchMM}, {"m2 m^2 sqm", 1e6},
	},
	bare: 1,
}

// ParseArea reads an area; a figure without a unit is mm². The error is a *ParseError.
func ParseArea(s string) (Area, error) {
	v, err := areaKind.parse(s)
	return Area(v), err
}

// Force is a force in newtons, never negative.
type Force float64

// N is the force in newtons.
func (f Force) N() float64 { return float64(f) }

// KN is the force in kilonewtons.
func (f Force) KN() float64 { return float64(f) / 1000 }

// Lbf is the force in pounds-force.
func (f Force) Lbf() float64 { return float64(f) / lbf }

// Round rounds to three significant figures, never coarser than one newton,
// below 10 kN, and to a tenth of a kilonewton above: no preload is known better.
func (f Force) Round() Force {
	if math.Abs(float64(f)) >= 10e3 {
		return Force(roundTo(f.KN(), 1) * 1000)
	}
	return Force(significant(float64(f), 3))
}

// String prints newtons below 10 kN ("2371 N"), kilonewtons above ("12.4 kN").
func (f Force) String() string {
	if math.Abs(float64(f)) >= 10e3 {
		return decimals(f.KN(), 1) + " kN"
	}
	return decimals(significant(float64(f), 3), 9) + " N"
}

var forceKind = kind{
	quantity: "force",
	expected: "2400 (N), 2.4 kN or 540 lbf",
	units: []unit{
		{"n newton newtons", 1}, {"kn", 1000},
		{"lbf lb lbs", lbf}, {"kgf kg kp", gravity}, {"tonf ton tons", 2240 * lbf},
	},
	bare: 1,
}

// ParseForce reads a force; a figure without a unit is newtons. lb and kg are
// read as pounds-force and kilograms-force, ton as the long ton of 2240
// lbf. The error is a *ParseError.
func ParseForce(s string) (Force, error) {
	v, err := forceKind.parse(s)
	return Force(v), err
}

// Torque is a torque in newton-metres, never negative.
type Torque float64

// NM is the torque in newton-metres.
func (t Torque) NM() float64 { return float64(t) }

// LbfIn is the torque in pound-force inches.
func (t Torque) LbfIn() float64 { return float64(t) / (lbf * InchMM / 1000) }

// LbfFt is the torque in pound-force feet.
func (t Torque) LbfFt() float64 { return float64(t) / (lbf * InchMM * 12 / 1000) }

// Round rounds to three significant figures up to 10 N·m and to a tenth of a
// newton-metre above: no torque wrench is read finer.
func (t Torque) Round() Torque { return Torque(roundTo(float64(t), torquePlaces(t))) }

// String prints the rounded torque: "1.61 N·m".
func (t Torque) String() string { return decimals(float64(t), torquePlaces(t)) + " N·m" }

func torquePlaces(t Torque) int {
	if math.Abs(float64(t)) >= 10 {
		return 1
	}
	return places(float64(t), 3)
}

var torqueKind = kind{
	quantity: "torque",
	expected: "1.6 (N·m), 14 lbf in, 1.2 lbf ft or 16 kgf cm",
	units: []unit{
		{"nm newtonmetre newtonmetres", 1}, {"ncm", 0.01}, {"nmm", 0.001},
		{"lbfin lbin inlb inlbf inlbs lbsin", lbf * InchMM / 1000},
		{"lbfft lbft ftlb ftlbf ftlbs lbsft", lbf * InchMM * 12 / 1000},
		{"ozfin ozin inoz inozf", lbf / 16 * InchMM / 1000},
		{"kgfcm kgcm kpcm", gravity / 100}, {"kgfm kgm kpm", gravity},
	},
	bare: 1,
}

// ParseTorque reads a torque; a figure without a unit is N·m. The error is a *ParseError.
func ParseTorque(s string) (Torque, error) {
	v, err := torqueKind.parse(s)
	return Torque(v), err
}

// Stress is a stress or strength in megapascals (N/mm²), never negative.
type Stress float64

// MPa is the stress in megapascals.
func (s Stress) MPa() float64 { return float64(s) }

// PSI is the stress in pounds-force per square inch.
func (s Stress) PSI() float64 { return float64(s) / psiMPa }

// Round rounds to a whole megapascal from 10 MPa up, to a tenth below.
func (s Stress) Round() Stress { return Stress(roundTo(float64(s), stressPlaces(s))) }

// String prints the rounded stress: "450 MPa".
func (s Stress) String() string { return decimals(float64(s), stressPlaces(s)) + " MPa" }

func stressPlaces(s Stress) int {
	if math.Abs(float64(s)) >= 10 {
		return 0
	}
	return 1
}

// psiMPa is one pound-force per square inch in megapascals.
const psiMPa = lbf / (InchMM * InchMM)

var stressKind = kind{
	quantity: "stress",
	expected: "450 (MPa), 450 N/mm², 65 ksi or 29 tonf/in²",
	units: []unit{
		{"mpa n/mm2 n/mm^2", 1}, {"gpa kn/mm2", 1000}, {"kpa", 0.001}, {"pa", 1e-6},
		{"psi lbf/in2 lb/in2", psiMPa}, {"ksi", 1000 * psiMPa},
		{"tonf/in2 ton/in2 tons/in2 tsi", 2240 * psiMPa},
		{"kgf/mm2 kg/mm2", gravity}, {"bar", 0.1},
	},
	bare: 1,
}

// ParseStress reads a stress; a figure without a unit is MPa. The error is a *ParseError.
func ParseStress(s string) (Stress, error) {
	v, err := stressKind.parse(s)
	return Stress(v), err
}
