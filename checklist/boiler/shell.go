package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// ShellMetal is what a boiler shell is made of.
type ShellMetal struct {
	Name      string
	Stiffness float64 // Young's modulus, bar
	Poisson   float64
	Expansion float64 // linear, 1/K
	Source    string
}

const handbookMetal = "from memory: handbook"

func shellMetals() []word[ShellMetal] {
	const gpa = 10000 // bar
	return []word[ShellMetal]{
		{ShellMetal{"copper", 117 * gpa, 0.34, 16.8e-6, handbookMetal}, "copper", nil},
		{ShellMetal{"steel", 207 * gpa, 0.29, 11.7e-6, handbookMetal}, "steel", []string{"mild steel", "plain steel", "boiler plate"}},
		{ShellMetal{"stainless", 193 * gpa, 0.30, 16.5e-6, handbookMetal}, "stainless", []string{"stainless steel"}},
	}
}

// ParseShellMetal reads what a boiler shell is made of; its error is a *WordError.
func ParseShellMetal(s string) (ShellMetal, error) {
	return parseWord("boiler metal", s, shellMetals())
}

// Copper is the metal most model boilers are made of.
func Copper() ShellMetal { return shellMetals()[0].value }

// ShellMetals lists the boiler metals.
func ShellMetals() []ShellMetal {
	words := shellMetals()
	list := make([]ShellMetal, len(words))
	for i, w := range words {
		list[i] = w.value
	}
	return list
}

// Shell is a boiler filled with water for a hydraulic test.
type Shell struct {
	Volume   quantity.Volume // of water when full
	Diameter quantity.Length // mean diameter of the barrel
	Wall     quantity.Length // thickness of the barrel
	Metal    ShellMetal
	// Air is what is trapped, as a volume at atmospheric pressure.
	Air quantity.Volume
	// Water is the temperature of the water; 0 stands for 20 °C.
	Water quantity.Temperature
	// Atmosphere is the pressure of the air outside; 0 stands for the standard
	// atmosphere.
	Atmosphere quantity.AbsolutePressure
}

// Limits of what a Shell and a test can be: wide enough for any model.
const (
	shellVolumeMax   quantity.Volume      = 200_000
	shellDiameterMax quantity.Length      = 1000
	shellWallMax     quantity.Length      = 25
	testPressureMax  quantity.Pressure    = 60
	waterUsual       quantity.Temperature = 20
	waterMin         quantity.Temperature = 1
	waterMax         quantity.Temperature = 95
)

func (s Shell) water() quantity.Temperature {
	if s.Water == 0 {
		return waterUsual
	}
	return s.Water
}

func (s Shell) atmosphere() quantity.AbsolutePressure {
	if s.Atmosphere == 0 {
		return quantity.StandardAtmosphere
	}
	return s.Atmosphere
}

// check refuses shells that cannot be.
func (s Shell) check() error {
	if err := firstError(
		positive("volume of the boiler", s.Volume, shellVolumeMax, "ml"),
		positive("diameter of the barrel", s.Diameter, shellDiameterMax, "mm"),
		positive("wall of the barrel", s.Wall, shellWallMax, "mm"),
		within("trapped air", s.Air, 0, shellVolumeMax, "ml"),
		within("water temperature", s.water(), waterMin, waterMax, "°C"),
		within("atmospheric pressure", s.atmosphere(), 0.5, 1.1, "bar abs"),
	); err != nil {
		return err
	}
	if s.Metal.Stiffness <= 0 {
		return &WordError{Kind: "boiler metal", Known: shellMetalNames()}
	}
	if s.Air >= s.Volume {
		return &InputError{Field: "trapped air", Problem: fmt.Sprintf("%s of air is more than the whole boiler, %s", s.Air, s.Volume), Expected: "less than the boiler holds"}
	}
	if s.Wall >= s.Diameter/4 {
		return &InputError{Field: "wall of the barrel", Problem: fmt.Sprintf("%s is no thin wall on a barrel of %s", s.Wall, s.Diameter), Expected: "less than a quarter of the diameter"}
	}
	return nil
}

func shellMetalNames() []string {
	var names []string
	for _, m := range ShellMetals() {
		names = append(names, m.Name)
	}
	return names
}

// give is the part of the volume by which the shell swells per bar: a closed
// thin cylinder, D/(4tE)·(5 - 4ν) (from memory: thin-shell theory).
func (s Shell) give() float64 {
	return float64(s.Diameter/(4*s.Wall)) * (5 - 4*s.Metal.Poisson) / s.Metal.Stiffness
}

// waterModulus is the bulk modulus of water in bar: 2.18 GPa at 20 °C (from
// memory: handbook; IAPWS-IF97 gives 2.182). From 5 to 30 °C it runs from 2.03
// to 2.24 GPa, which moves the volume to pump into a copper boiler without air
// by 4 % at most; a hand calculation leaves that out, and so does this one.
const waterModulus = 21800

// Filling is what it takes to bring a filled boiler from nought to a pressure.
type Filling struct {
	Pressure quantity.Pressure
	// Pump is the water to be pumped in, measured before it is compressed:
	// PumpWater to make up for the water's own compression, PumpShell for the
	// swelling of the shell, PumpAir for the air that shrinks.
	Pump, PumpWater, PumpShell, PumpAir quantity.Volume
	// WithoutAir is what would be pumped if no air were left.
	WithoutAir quantity.Volume
	// Stiffness is the volume per bar at Pressure, StiffnessWithoutAir the same
	// without the air; ml/bar.
	Stiffness, StiffnessWithoutAir float64
	// Energy stored at Pressure, in joules, in water and shell and in the air.
	Energy, EnergyAir float64
	Findings          []check.Result
}

// Fill works out what has to be pumped into a boiler full of water, with some
// air left in it, to reach the gauge pressure p.
//
// ΔV = V·p/K + V·s·p + air·(1 - p0/(p0+p)): water of a bulk modulus K of 2.18
// GPa, a shell that is a closed thin cylinder, and air that follows Boyle's law
// at constant temperature. Flat stayed plates give more than a cylinder does:
// the shell's part is a lower bound.
//
// p must be 0 to 60 bar; it and a Shell that cannot be are *InputErrors.
func Fill(s Shell, p quantity.Pressure) (Filling, error) {
	if err := s.check(); err != nil {
		return Filling{}, err
	}
	if err := within("test pressure", p, 0, testPressureMax, "bar"); err != nil {
		return Filling{}, err
	}
	v, bar, p0 := float64(s.Volume), float64(p), float64(s.atmosphere())
	f := Filling{
		Pressure:  p,
		PumpWater: quantity.Volume(v * bar / waterModulus),
		PumpShell: quantity.Volume(v * s.give() * bar),
		PumpAir:   quantity.Volume(float64(s.Air) * (1 - p0/(p0+bar))),
	}
	f.WithoutAir = f.PumpWater + f.PumpShell
	f.Pump = f.WithoutAir + f.PumpAir
	f.StiffnessWithoutAir = v * (1./waterModulus + s.give())
	f.Stiffness = f.StiffnessWithoutAir + float64(s.Air)*p0/((p0+bar)*(p0+bar))
	const joule = 0.1 // J in a ml·bar
	f.Energy = joule * float64(f.WithoutAir) * bar / 2
	f.EnergyAir = joule * float64(s.Air) * p0 * math.Log((p0+bar)/p0)
	f.Findings = s.fillFindings(f)
	return f, nil
}

func (s Shell) fillFindings(f Filling) []check.Result {
	var list []check.Result
	if s.Air > 0 && f.PumpAir >= f.WithoutAir && f.Pressure > 0 {
		list = append(list, airLeft(f, f.Pump))
	}
	if s.water() < 15 {
		list = append(list, check.Result{Rule: "cold-water", Severity: check.Warn, Source: commonPractice,
			Message: "Below 15 °C dew hides weeps, and the water warms and raises the pressure during the hold. Use water at 15 to 40 °C."})
	}
	if s.water() > 40 {
		list = append(list, check.Result{Rule: "hot-water", Severity: check.Stop, Danger: true, Source: commonPractice,
			Message: "Never test a hot boiler. Use water at 15 to 40 °C."})
	}
	return append(list,
		check.Result{Rule: "shell-lower-bound", Severity: check.Note, Source: handbookMetal + ": thin-shell theory",
			Message: "Stayed flat plates give more than a plain barrel: the real figures without air are somewhat higher."},
		check.Result{Rule: "stand-clear", Severity: check.Note, Danger: true, Source: "published guidance on pressure tests: deaths came from thrown-out test fittings",
			Message: "Stand out of line of every plug, blank and hose. Never strike a boiler under pressure. Never leave it shut in while the water warms."},
	)
}

// airLeft warns that more goes in than water and shell account for.
func airLeft(f Filling, pumped quantity.Volume) check.Result {
	return check.Result{Rule: "air-left", Severity: check.Warn, Danger: true, Source: "calculated",
		Message: fmt.Sprintf("%s pumped, where about %s would do without air: air is left, or something swells. Let the pressure down, vent the highest point, fill again. Compressed air throws fittings.",
			pumped, f.WithoutAir)}
}

// AirFromPumped estimates the trapped air from the water it took to reach the
// filling's pressure: what is pumped beyond Filling.WithoutAir, taken back to
// atmospheric pressure. The shell's own Air is left out of account. The
// finding warns where twice the volume without air was needed.
func AirFromPumped(s Shell, p quantity.Pressure, pumped quantity.Volume) (quantity.Volume, []check.Result, error) {
	s.Air = 0
	f, err := Fill(s, p)
	if err != nil {
		return 0, nil, err
	}
	if err := firstError(
		positive("test pressure", p, testPressureMax, "bar"),
		within("water pumped", pumped, 0, shellVolumeMax, "ml"),
	); err != nil {
		return 0, nil, err
	}
	p0 := float64(s.atmosphere())
	air := quantity.Volume(float64(pumped-f.WithoutAir) / (1 - p0/(p0+float64(p))))
	if air >= s.Volume {
		return 0, nil, &InputError{Field: "water pumped", Problem: fmt.Sprintf("%s means more trapped air, %s, than the boiler holds, %s", pumped, air, s.Volume), Expected: "the water that went in above atmospheric pressure only"}
	}
	var findings []check.Result
	switch {
	case pumped > 2*f.WithoutAir:
		findings = append(findings, airLeft(f, pumped))
	case air < 0:
		air = 0
		findings = append(findings, check.Result{Rule: "pumped-less", Severity: check.Ask, Source: "calculated",
			Message: fmt.Sprintf("%s pumped is less than the %s that water and shell alone need: check the volume of the boiler, the pump and the gauge.", pumped, f.WithoutAir)})
	}
	return air, findings, nil
}
