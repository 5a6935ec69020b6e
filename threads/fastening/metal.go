package fastening

import (
	"slices"
	"sync"

	"fettle/threads/quantity"
)

// Metal is what a hole is tapped in.
type Metal struct {
	Name   string // canonical: "gunmetal", "copper, annealed"
	Title  string
	Family Family
	// Tensile and Yield are minima at room temperature; Yield is nought where
	// the metal has none (cast iron).
	Tensile, Yield quantity.Stress
	Shear          quantity.Stress // shear strength used for stripping
	// Engagement is the least length of full thread for a steel or stainless
	// screw, as a multiple of its diameter.
	Engagement       float64
	EngagementSource string
	// BandLow and BandHigh are the usual thread height in percent of the full
	// form of a 55 or 47½ degree thread.
	BandLow, BandHigh float64
	// Assumption says what was taken for granted where the name left it open.
	Assumption string
	Source     string

	heat    heat
	volts   float64
	aliases []string
}

// IsZero reports a Metal that was never set.
func (m Metal) IsZero() bool { return m.Name == "" }

// String is the canonical name.
func (m Metal) String() string { return m.Name }

// Warm is the share of its cold strength the metal keeps at temperature t; 1 at
// 20 °C and below. Above the highest temperature allowed it is a *TooHotError.
func (m Metal) Warm(t quantity.Temperature) (float64, error) { return m.heat.at(t, m.Name) }

// WarmSource says where Warm comes from.
func (m Metal) WarmSource() string { return m.heat.source }

// ParseMetal finds a tapped metal by any name people use for it: "LG2",
// "gunmetal", "copper annealed", "PB 102". The error is an *UnknownError with
// suggestions.
func ParseMetal(name string) (Metal, error) {
	m, key, err := find("metal", name, metals(), func(m Metal) (string, []string) { return m.Name, m.aliases })
	switch key {
	case "copper":
		m.Assumption = "temper not given: taken as annealed, as brazing leaves it"
	case "phosphorbronze", "phosbronze", "pb":
		m.Assumption = "drawn bar assumed; a casting is weaker: name it PB1"
	case "steel":
		m.Assumption = "taken as mild steel"
	}
	return m, err
}

// Metals lists every tapped metal known.
func Metals() []Metal { return slices.Clone(metals()) }

const (
	engagementNotes  = "public notes and handbooks, for a steel or stainless screw"
	engagementCopper = commonPractice
)

// metals is made when first asked for: most look-ups ask for none.
var metals = sync.OnceValue(allMetals)

func allMetals() []Metal {
	return []Metal{
		{
			Name: "gunmetal", Title: "Gunmetal LG2 (CC491K)", Family: Bronze,
			Tensile: 200, Yield: 90, Shear: 120, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "EN 1982 sand cast (from memory), ASTM B584 data; shear 0.6 Rm is common practice",
			heat:   heatCast, volts: voltsBronze, aliases: []string{"LG2", "CC491K", "C83600", "gun metal", "leaded gunmetal", "red brass"},
		},
		{
			Name: "phosphor bronze", Title: "Phosphor bronze bar PB102 (CW451K)", Family: Bronze,
			Tensile: 400, Yield: 250, Shear: 200, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "from memory: EN 12163; shear 0.5 Rm is common practice",
			heat:   heatBronze, volts: voltsBronze, aliases: []string{"PB102", "CW451K", "phos bronze", "PB", "drawn phosphor bronze"},
		},
		{
			Name: "cast phosphor bronze", Title: "Cast phosphor bronze PB1 (CC481K)", Family: Bronze,
			Tensile: 250, Yield: 130, Shear: 150, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "from memory: EN 1982",
			heat:   heatCast, volts: voltsBronze, aliases: []string{"PB1", "CC481K", "phosphor bronze casting"},
		},
		{
			Name: "silicon bronze", Title: "Silicon bronze C65500, half hard", Family: Bronze,
			Tensile: 400, Yield: 210, Shear: 230, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "from memory: ASTM B98",
			heat:   heatBronze, volts: voltsBronze, aliases: []string{"C65500", "Si bronze", "CuSi3Mn"},
		},
		{
			Name: "aluminium bronze", Title: "Aluminium bronze CA104 (CW307G)", Family: Bronze,
			Tensile: 700, Yield: 350, Shear: 400, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "from memory: EN 12163",
			heat:   heatBronze, volts: voltsBronze, aliases: []string{"CA104", "CW307G", "aluminum bronze", "Al bronze"},
		},
		{
			Name: "brass", Title: "Free-cutting brass CZ121 (CW614N)", Family: Brass,
			Tensile: 360, Yield: 150, Shear: 230, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "from memory: EN 12164; shear of C36000 34 ksi",
			heat:   heatBrass58, volts: voltsHighBrass, aliases: []string{"CZ121", "CW614N", "C36000", "free cutting brass"},
		},
		{
			Name: "DZR brass", Title: "Dezincification-resistant brass CZ132 (CW602N)", Family: DZRBrass,
			Tensile: 280, Yield: 120, Shear: 168, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 80,
			Source: "from memory: EN 12164; shear 0.6 Rm is common practice",
			heat:   heatBrass58, volts: voltsHighBrass, aliases: []string{"CZ132", "CW602N", "DZR"},
		},
		{
			Name: "copper, annealed", Title: "Copper C106 (CW024A), annealed as brazing leaves it", Family: Copper,
			Tensile: 220, Yield: 40, Shear: 150, Engagement: 2, EngagementSource: engagementCopper, BandLow: 55, BandHigh: 70,
			Source: "from memory: EN 1652",
			heat:   heatCopper, volts: voltsCopper,
			aliases: []string{"copper", "annealed copper", "soft copper", "copper soft", "brazed copper", "C106", "C101", "CW024A", "boiler copper"},
		},
		{
			Name: "copper, hard", Title: "Copper C106 (CW024A), hard drawn and never heated", Family: Copper,
			Tensile: 290, Yield: 250, Shear: 174, Engagement: 2, EngagementSource: engagementCopper, BandLow: 55, BandHigh: 70,
			Source: "from memory: EN 1652 R290; shear 0.6 Rm is common practice",
			heat:   heatHardCu, volts: voltsCopper, aliases: []string{"hard copper", "hard drawn copper", "copper half hard", "half hard copper"},
		},
		{
			Name: "mild steel", Title: "Mild steel 230M07, S275", Family: Steel,
			Tensile: 360, Yield: 215, Shear: 216, Engagement: 1, EngagementSource: engagementNotes, BandLow: 60, BandHigh: 75,
			Source: "from memory: BS 970, EN 10025; shear 0.6 Rm is common practice",
			heat:   heatMild, volts: voltsIron, aliases: []string{"steel", "230M07", "S275", "bright mild steel", "BMS"},
		},
		{
			Name: "boiler plate", Title: "Boiler plate P265GH", Family: Steel,
			Tensile: 410, Yield: 265, Shear: 246, Engagement: 1, EngagementSource: engagementNotes, BandLow: 60, BandHigh: 75,
			Source: "from memory: EN 10028-2; shear 0.6 Rm is common practice",
			heat:   heatMild, volts: voltsIron, aliases: []string{"P265GH", "boiler steel", "steel boiler plate"},
		},
		{
			Name: "stainless", Title: "Stainless bar 1.4301 (304), annealed", Family: Stainless,
			Tensile: 500, Yield: 190, Shear: 400, Engagement: 1, EngagementSource: engagementNotes, BandLow: 60, BandHigh: 75,
			Source: "from memory: EN 10088-3; shear 0.8 Rm by VDI 2230",
			heat:   heatAustenitic, volts: voltsStainless,
			aliases: []string{"stainless steel", "304", "316", "1.4301", "1.4401", "A2", "A4"},
		},
		{
			Name: "cast iron", Title: "Grey cast iron GJL-200", Family: CastIron,
			Tensile: 200, Yield: 0, Shear: 200, Engagement: 1.5, EngagementSource: engagementNotes, BandLow: 65, BandHigh: 75,
			Source: "from memory: EN 1561; shear taken as Rm, cautious beside VDI 2230",
			heat:   heatIron, volts: voltsIron, aliases: []string{"grey cast iron", "grey iron", "gray iron", "GJL-200", "iron", "GG20"},
		},
	}
}
