package fastening

import (
	"slices"
	"sync"

	"fettle/threads/quantity"
)

// Gasket is a joint material with the factors of ASME VIII-1 table 2-5.1.
type Gasket struct {
	Name string // canonical: "graphite sheet", "flat copper", "O-ring"
	// M is the gasket factor m and Seating the least design seating stress y.
	M       float64
	Seating quantity.Stress
	// PracticeLow and PracticeHigh are the stress over the whole ring that
	// fitters aim at, nought where no figure is known; design and practice
	// differ, and both are shown.
	PracticeLow, PracticeHigh quantity.Stress
	SelfSealing               bool // an O-ring: pressure seats it, bolts only hold the cover
	Creeps                    bool // settles after tightening
	Source                    string

	aliases []string
}

// IsZero reports a Gasket that was never set.
func (g Gasket) IsZero() bool { return g.Name == "" }

// String is the canonical name.
func (g Gasket) String() string { return g.Name }

// ParseGasket finds a joint material by any name people use for it. The error
// is an *UnknownError with suggestions.
func ParseGasket(name string) (Gasket, error) {
	g, _, err := find("gasket", name, gaskets(), func(g Gasket) (string, []string) { return g.Name, g.aliases }, "gasket", "joint")
	return g, err
}

// Gaskets lists every joint material known.
func Gaskets() []Gasket { return slices.Clone(gaskets()) }

const (
	sourceGasket    = "ASME VIII-1 table 2-5.1 (three reprints)"
	sourceGasketOld = "from memory: ASME VIII-1 table 2-5.1, older editions, compressed asbestos sheet; used for its successors"
)

// psi turns the table's pounds per square inch into stress.
func psi(v float64) quantity.Stress { return quantity.Stress(v * 0.00689475729) }

// gaskets is made when first asked for: most look-ups ask for none.
var gaskets = sync.OnceValue(allGaskets)

func allGaskets() []Gasket {
	return []Gasket{
		{Name: "O-ring", SelfSealing: true, Source: sourceGasket, aliases: []string{"O ring", "oring", "self-energizing", "self-sealing"}},
		{Name: "soft elastomer", M: 0.5, Source: sourceGasket, aliases: []string{"soft rubber", "elastomer below 75 Shore", "silicone sheet", "EPDM sheet"}},
		{Name: "hard elastomer", M: 1, Seating: psi(200), Source: sourceGasket, aliases: []string{"hard rubber", "elastomer 75 Shore"}},
		{Name: "elastomer with cotton", M: 1.25, Seating: psi(400), Creeps: true, Source: sourceGasket, aliases: []string{"rubber with cotton", "insertion rubber", "cotton insertion", "elastomer/cotton"}},
		{Name: "vegetable fibre", M: 1.75, Seating: psi(1100), Creeps: true, Source: sourceGasket, aliases: []string{"vegetable fiber", "paper", "oiled paper", "brown paper"}},
		{
			Name: "graphite sheet", M: 2, Seating: 17.2, PracticeLow: 35, PracticeHigh: 100, Creeps: true,
			Source:  "gasket makers' notes (2500 psi); practice 35 to 100 MPa",
			aliases: []string{"graphite", "expanded graphite", "graphite foil", "expanded graphite sheet", "flexible graphite"},
		},
		{Name: "compressed sheet, 3 mm", M: 2, Seating: psi(1600), Creeps: true, Source: sourceGasketOld, aliases: []string{"compressed fibre, 3 mm", "aramid sheet, 3 mm", "compressed sheet 1/8 in"}},
		{Name: "compressed sheet, 1.5 mm", M: 2.75, Seating: psi(3700), Creeps: true, Source: sourceGasketOld, aliases: []string{"compressed sheet", "compressed fibre", "aramid", "aramid sheet", "jointing sheet", "compressed fibre, 1.5 mm", "compressed sheet 1/16 in"}},
		{Name: "compressed sheet, 0.8 mm", M: 3.5, Seating: psi(6500), Creeps: true, Source: sourceGasketOld, aliases: []string{"compressed fibre, 0.8 mm", "aramid sheet, 0.8 mm", "compressed sheet 1/32 in"}},
		{Name: "spiral wound", M: 3, Seating: psi(10000), Creeps: true, Source: sourceGasket, aliases: []string{"spiral wound metal"}},
		{Name: "corrugated aluminium, filled", M: 2.5, Seating: psi(2900), Creeps: true, Source: sourceGasket, aliases: []string{"corrugated aluminum, filled"}},
		{Name: "corrugated copper, filled", M: 2.75, Seating: psi(3700), Creeps: true, Source: sourceGasket, aliases: []string{"corrugated brass, filled"}},
		{Name: "corrugated steel, filled", M: 3, Seating: psi(4500), Creeps: true, Source: sourceGasket, aliases: []string{"corrugated iron, filled"}},
		{Name: "corrugated copper", M: 3, Seating: psi(4500), Creeps: true, Source: sourceGasket, aliases: []string{"corrugated brass"}},
		{Name: "jacketed copper", M: 3.5, Seating: psi(6500), Creeps: true, Source: sourceGasket, aliases: []string{"flat copper jacketed", "jacketed brass", "copper jacketed"}},
		{Name: "grooved copper", M: 3.5, Seating: psi(6500), Creeps: true, Source: sourceGasket, aliases: []string{"grooved brass"}},
		{Name: "flat aluminium", M: 4, Seating: psi(8800), Creeps: true, Source: sourceGasket, aliases: []string{"flat aluminum", "aluminium", "aluminum", "soft aluminium"}},
		{Name: "flat copper", M: 4.75, Seating: psi(13000), Creeps: true, Source: sourceGasket, aliases: []string{"copper", "annealed copper", "soft copper", "solid copper", "copper ring", "flat brass"}},
		{Name: "flat steel", M: 5.5, Seating: psi(18000), Source: sourceGasket, aliases: []string{"flat iron", "soft iron", "mild steel", "steel"}},
		{Name: "flat nickel-copper", M: 6, Seating: psi(21800), Source: sourceGasket, aliases: []string{"nickel copper", "flat nickel copper"}},
		{Name: "flat stainless", M: 6.5, Seating: psi(26000), Source: sourceGasket, aliases: []string{"stainless", "stainless steel"}},
	}
}
