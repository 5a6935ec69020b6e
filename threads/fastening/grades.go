package fastening

import (
	"sync"

	"fettle/threads/quantity"
)

// The tables of grades. Strengths are minima at room temperature.

const (
	sourceSteel     = "ISO 898-1 table 3 (reprint)"
	sourceStainless = "ISO 3506-1:2020 property table (reprint)"
	sourceNonferous = "ISO 8839 (DIN EN 28839 reprint)"
)

// Anodic index in volts, MIL-STD-1250A and MIL-DTL-14072; iron, zinc, nickel
// and aluminium from memory.
const (
	voltsNickel    = 0.30
	voltsCopper    = 0.35
	voltsBronze    = 0.40
	voltsHighBrass = 0.45
	voltsStainless = 0.50
	voltsSolder    = 0.65
	voltsIron      = 0.85
	voltsAluminium = 0.90
	voltsZinc      = 1.25
)

// grades is made when first asked for: most look-ups ask for none.
var grades = sync.OnceValue(allGrades)

func allGrades() []Grade {
	var all []Grade
	all = append(all, steelGrades()...)
	all = append(all, stainlessGrades()...)
	all = append(all, nonferrousGrades()...)
	return append(all, unmarkedGrades()...)
}

func strength(rm, yield, proof float64) Strength {
	return Strength{quantity.Stress(rm), quantity.Stress(yield), quantity.Stress(proof)}
}

func steelGrades() []Grade {
	var out []Grade
	for _, c := range [...]struct {
		name             string
		rm, yield, proof float64
		shear            float64
	}{
		{"4.6", 400, 240, 225, 0.70}, {"4.8", 420, 340, 310, 0.70},
		{"5.6", 500, 300, 280, 0.70}, {"5.8", 520, 420, 380, 0.70},
		{"6.8", 600, 480, 440, 0.65},
		{"8.8", 800, 640, 580, 0.65}, {"9.8", 900, 720, 650, 0.65},
		{"10.9", 1040, 940, 830, 0.62}, {"12.9", 1220, 1100, 970, 0.60},
	} {
		g := Grade{
			Name: c.name, Title: "Steel, property class " + c.name, Standard: "ISO 898-1",
			Family: Steel, Source: sourceSteel, shear: c.shear, heat: heatMild, volts: voltsIron,
			bands: []band{{1.6, 39, strength(c.rm, c.yield, c.proof)}},
		}
		if c.name == "8.8" {
			g.bands = []band{{1.6, 16, strength(800, 640, 580)}, {16, 39, strength(830, 660, 600)}}
			g.aliases = []string{"high tensile", "high tensile steel"}
		}
		if c.rm >= 800 {
			g.heat = heatTensile
		}
		out = append(out, g)
	}
	return out
}

func stainlessGrades() []Grade {
	var out []Grade
	aliases := map[string][]string{
		"A2-50": {"A2", "stainless", "stainless steel", "304", "18-8", "SS"},
		"A4-50": {"A4", "316"}, "A1-50": {"A1"}, "A3-50": {"A3"}, "A5-50": {"A5"},
		"A2-70": {"304-70"}, "A4-70": {"316-70"}, "A4-80": {"316-80"},
	}
	for _, kind := range [...]string{"A1", "A2", "A3", "A4", "A5"} {
		for _, c := range [...]struct {
			class     string
			rm, yield float64
			shear     float64
		}{{"50", 500, 210, 0.80}, {"70", 700, 450, 0.72}, {"80", 800, 600, 0.68}} {
			g := Grade{
				Name: kind + "-" + c.class, Title: "Austenitic stainless steel " + kind + ", property class " + c.class,
				Standard: "ISO 3506-1", Family: Stainless, Source: sourceStainless,
				shear: c.shear, heat: heatAustenitic, volts: voltsStainless,
				bands: []band{{1.6, 39, strength(c.rm, c.yield, 0)}},
			}
			if kind == "A1" {
				g.Family = FreeStainless // A1 is the free-machining composition of ISO 3506-1
			}
			g.aliases = aliases[g.Name]
			out = append(out, g)
		}
	}
	for _, c := range [...]struct {
		name      string
		rm, yield float64
		heat      heat
	}{{"C1-50", 500, 250, heatC1}, {"C1-70", 700, 410, heatC1}, {"C1-110", 1100, 820, heatC1}, {"C3-80", 800, 640, heatC3}} {
		out = append(out, Grade{
			Name: c.name, Title: "Martensitic stainless steel " + c.name, Standard: "ISO 3506-1",
			Family: HardStainless, Source: "from memory: ISO 3506-1", shear: 0.65, heat: c.heat, volts: voltsStainless,
			bands: []band{{1.6, 39, strength(c.rm, c.yield, 0)}},
		})
	}
	return out
}

func nonferrousGrades() []Grade {
	mk := func(name, alloy string, f Family, h heat, volts float64, aliases []string, bands ...band) Grade {
		return Grade{
			Name: name, Title: alloy + ", symbol " + name, Standard: "ISO 8839", Family: f,
			Source: sourceNonferous, shear: 0.6, heat: h, volts: volts, aliases: aliases, bands: bands,
		}
	}
	return []Grade{
		mk("CU1", "Copper Cu-ETP", Copper, heatHardCu, voltsCopper, []string{"Cu-ETP"}, band{1.6, 39, strength(240, 160, 0)}),
		mk("CU2", "Brass CuZn37", Brass, heatBrass63, voltsBronze, []string{"CuZn37"}, band{1.6, 6, strength(440, 340, 0)}, band{6, 39, strength(370, 250, 0)}),
		mk("CU3", "Brass CuZn39Pb3", Brass, heatBrass58, voltsHighBrass, []string{"CuZn39Pb3"}, band{1.6, 6, strength(440, 340, 0)}, band{6, 39, strength(370, 250, 0)}),
		mk("CU4", "Tin bronze CuSn6", Bronze, heatBronze, voltsBronze, []string{"CuSn6"}, band{1.6, 12, strength(470, 340, 0)}, band{12, 39, strength(400, 200, 0)}),
		mk("CU5", "Copper-nickel-silicon CuNi1.5Si", Bronze, heatBronze, voltsBronze, []string{"CuNi1.5Si", "CuNi1Si"}, band{1.6, 39, strength(590, 540, 0)}),
		mk("CU6", "Manganese brass CuZn40MnPb", Brass, heatBrass58, voltsHighBrass, []string{"CuZn40MnPb", "CuZn40Mn1Pb"}, band{6, 39, strength(440, 180, 0)}),
		mk("CU7", "Aluminium bronze CuAl10Ni5Fe4", Bronze, heatBronze, voltsBronze, []string{"CuAl10Ni5Fe4"}, band{12, 39, strength(640, 270, 0)}),
		mk("AL1", "Aluminium AlMg3", Aluminium, heatAlu, voltsAluminium, []string{"AlMg3"}, band{1.6, 10, strength(270, 230, 0)}, band{10, 20, strength(250, 180, 0)}),
		mk("AL3", "Aluminium AlSi1MgMn", Aluminium, heatAlu, voltsAluminium, []string{"AlSi1MgMn"}, band{1.6, 6, strength(320, 250, 0)}, band{6, 39, strength(310, 260, 0)}),
	}
}

// unmarkedGrades are the bars the trade turns its own studs and screws from.
func unmarkedGrades() []Grade {
	mk := func(name, title string, f Family, rm, yield, shear float64, h heat, volts float64, source string, aliases ...string) Grade {
		return Grade{
			Name: name, Title: title, Standard: "unmarked", Family: f, Source: source,
			shear: shear, heat: h, volts: volts, aliases: aliases,
			bands: []band{{0.3, 50, strength(rm, yield, 0)}},
		}
	}
	return []Grade{
		mk("mild steel", "Mild steel bar (230M07, S275)", Steel, 360, 240, 0.6, heatMild, voltsIron,
			"from memory: BS 970, EN 10025; yield 215 to 275 MPa", "steel", "bright mild steel", "BMS", "230M07", "EN1A", "S275"),
		mk("304 bar", "Stainless bar 1.4301 (304), annealed", Stainless, 500, 190, 0.8, heat4301, voltsStainless,
			"from memory: EN 10269, room temperature", "1.4301", "stainless bar", "304 stainless bar"),
		mk("304L bar", "Stainless bar 1.4307 (304L), annealed", Stainless, 450, 175, 0.8, heat4307, voltsStainless,
			"from memory: EN 10269, room temperature", "1.4307", "304L"),
		mk("303 bar", "Free-machining stainless bar 1.4305 (303)", FreeStainless, 500, 190, 0.8, heatAustenitic, voltsStainless,
			"from memory: EN 10088-3", "1.4305", "303", "303 stainless"),
		mk("brass", "Free-cutting brass bar (CZ121, CW614N)", Brass, 360, 200, 0.64, heatBrass58, voltsHighBrass,
			"from memory: EN 12164; proof 150 to 220 MPa by temper", "CZ121", "CW614N", "free cutting brass", "C36000"),
		mk("DZR brass", "Dezincification-resistant brass bar (CZ132, CW602N)", DZRBrass, 280, 120, 0.6, heatBrass58, voltsHighBrass,
			"from memory: EN 12164", "CZ132", "CW602N", "DZR"),
		mk("phosphor bronze", "Phosphor bronze bar (PB102, CW451K), temper not known", Bronze, 400, 250, 0.5, heatBronze, voltsBronze,
			"from memory: EN 12163; proof 250 to 350 MPa", "PB102", "CW451K", "phos bronze", "PB", "CuSn5"),
		mk("phosphor bronze, hard", "Phosphor bronze bar (PB102, CW451K), hard", Bronze, 400, 350, 0.5, heatBronze, voltsBronze,
			"from memory: EN 12163", "hard phosphor bronze", "hard PB", "PB102 hard", "hard PB102"),
		mk("silicon bronze", "Silicon bronze bar (C65500), half hard", Bronze, 400, 250, 0.575, heatBronze, voltsBronze,
			"from memory: ASTM B98; proof 210 to 380 MPa by temper", "C65500", "Si bronze", "CuSi3Mn"),
		mk("aluminium bronze", "Aluminium bronze bar (CA104, CW307G)", Bronze, 700, 350, 0.57, heatBronze, voltsBronze,
			"from memory: EN 12163", "CA104", "CW307G", "aluminum bronze", "Al bronze"),
		mk("gunmetal", "Cast gunmetal (LG2, CC491K)", Bronze, 200, 90, 0.6, heatCast, voltsBronze,
			"EN 1982 (from memory), ASTM B584 data", "LG2", "CC491K", "leaded gunmetal", "red brass casting"),
		mk("nickel-copper 400", "Nickel-copper alloy 400 bar, annealed", NickelCopper, 480, 170, 0.65, heatCuNi, voltsNickel,
			"from memory: ASTM B164", "alloy 400", "nickel copper", "nickel copper alloy", "NiCu30", "2.4360"),
	}
}
