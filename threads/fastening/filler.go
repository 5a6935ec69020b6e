package fastening

import (
	"fmt"
	"slices"
	"sync"

	"fettle/threads/quantity"
)

// Filler is a solder or a brazing filler.
type Filler struct {
	Name    string // canonical: "tin-lead solder", "silver solder Ag 155"
	Soft    bool
	Solidus quantity.Temperature // where it begins to melt; no service temperature
	Source  string

	aliases []string
}

// IsZero reports a Filler that was never set.
func (f Filler) IsZero() bool { return f.Name == "" }

// String is the canonical name.
func (f Filler) String() string { return f.Name }

// fillers is made when first asked for: most look-ups ask for none.
var fillers = sync.OnceValue(allFillers)

func allFillers() []Filler {
	return []Filler{
		{Name: "tin-lead solder", Soft: true, Solidus: 183, Source: "ISO 9453", aliases: []string{"soft solder", "solder", "60/40", "Sn60Pb40", "Sn63Pb37", "plumber's solder"}},
		{Name: "tin-silver solder", Soft: true, Solidus: 221, Source: "from memory: ISO 9453", aliases: []string{"Sn96Ag4", "Sn-Ag", "lead-free solder"}},
		{Name: "tin-antimony solder", Soft: true, Solidus: 232, Source: "from memory: ISO 9453", aliases: []string{"Sn95Sb5", "Sn-Sb"}},
		{Name: "high-lead solder", Soft: true, Solidus: 300, Source: "from memory: ISO 9453", aliases: []string{"HMP solder", "high melting point solder", "5Sn", "Pb93Sn5Ag2"}},
		{Name: "silver solder Ag 155", Solidus: 630, Source: "from memory: EN ISO 17672", aliases: []string{"Ag155", "silver solder", "silver brazing", "Ag 155", "55 % silver"}},
		{Name: "silver solder Ag 145", Solidus: 640, Source: "from memory: EN ISO 17672", aliases: []string{"Ag145", "Ag 145"}},
		{Name: "silver solder Ag 140", Solidus: 650, Source: "from memory: EN ISO 17672", aliases: []string{"Ag140", "Ag 140"}},
	}
}

// ParseFiller finds a filler by any name people use for it. The error is an
// *UnknownError with suggestions.
func ParseFiller(name string) (Filler, error) {
	f, _, err := find("filler", name, fillers(), func(f Filler) (string, []string) { return f.Name, f.aliases })
	return f, err
}

// Fillers lists every filler known.
func Fillers() []Filler { return slices.Clone(fillers()) }

// Highest saturated-steam pressures of soldered and brazed copper tube joints,
// copper industry handbook: 15 psi for every soft solder, 120 psi for fillers
// that melt at 593 °C or above.
const (
	softSolderSteam quantity.Pressure = 1.03
	brazedSteam     quantity.Pressure = 8.3
)

// CheckFiller judges a soldered or brazed joint in water or steam at gauge
// pressure p and temperature t. strength says that the filler is the strength
// or the only seal of the joint; where it only fills round a mechanical joint
// (caulking), codes differ. t may be nought where it is not known.
func CheckFiller(f Filler, p quantity.Pressure, t quantity.Temperature, strength bool) []Finding {
	var fs []Finding
	add := func(rule string, sev Severity, source, format string, args ...any) {
		fs = append(fs, Finding{rule, sev, fmt.Sprintf(format, args...), source})
	}
	const handbook = "copper industry handbook, soldered and brazed tube joints"
	if t >= f.Solidus {
		add("filler-melts", Stop, f.Source, "%s begins to melt at %v; the joint is at %v", f, f.Solidus, t)
	}
	switch {
	case f.Soft && strength:
		add("soft-solder", Stop, handbook, "Soft solder must not be the strength or the only seal of a joint in water or steam: its limit in steam is %v", softSolderSteam)
	case f.Soft:
		add("soft-solder", Ask, "local code", "Soft solder as caulking is treated differently by different codes: ask")
	case p > brazedSteam:
		add("brazed-pressure", Ask, handbook, "Brazed tube fittings are rated to %v in saturated steam; above it the code decides", brazedSteam)
	}
	return fs
}
