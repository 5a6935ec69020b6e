package fastening

import (
	"fmt"
	"slices"
	"strings"

	"fettle/threads/quantity"
)

// Coating is what covers a fastener.
type Coating string

// Coatings told apart.
const (
	Plain        Coating = ""
	ZincPlated   Coating = "zinc plated"
	NickelPlated Coating = "nickel plated"
)

// Strength is the minimum strength of a fastener in one range of diameters, at
// room temperature.
type Strength struct {
	Tensile quantity.Stress // Rm
	Yield   quantity.Stress // ReL, Rp0.2 or Rpf, whichever the standard gives
	Proof   quantity.Stress // Sp; nought where the standard gives none
}

// Grade is what a screw, stud or bolt is made of: a property class of a
// standard, or one of the unmarked metals the trade turns its own from.
type Grade struct {
	Name     string // canonical: "A2-70", "8.8", "CU4", "phosphor bronze"
	Title    string // the same in words
	Standard string
	Family   Family
	Coating  Coating
	// Assumption says what was taken for granted where the name left it open
	// ("class not given: taken as 50, the weakest"), else empty.
	Assumption string
	Source     string // where the strengths come from

	bands   []band
	shear   float64 // shear strength over Rm
	heat    heat
	volts   float64 // anodic index, MIL-STD-1250A; less is nobler
	aliases []string
}

// band is the strength over a range of diameters: over < d <= upTo, in mm.
type band struct {
	over, upTo float64
	strength   Strength
}

// IsZero reports a Grade that was never set.
func (g Grade) IsZero() bool { return g.Name == "" }

// String is the canonical name with its coating.
func (g Grade) String() string {
	if g.Coating != Plain {
		return g.Name + ", " + string(g.Coating)
	}
	return g.Name
}

// Strength gives the minimum strength at nominal diameter d. Where the
// standard starts above d (most start at 1.6 mm) its smallest range is used; a
// diameter between or above its ranges is a *RangeError.
func (g Grade) Strength(d quantity.Length) (Strength, error) {
	if !positive(float64(d)) {
		return Strength{}, fmt.Errorf("a diameter of %v mm has no strength", float64(d))
	}
	for i, b := range g.bands {
		if float64(d) <= b.upTo && (float64(d) > b.over || (i == 0 && b.over < 2)) {
			return b.strength, nil
		}
	}
	return Strength{}, &RangeError{Grade: g.Name, Diameter: d, Range: g.Range()}
}

// Range says for which diameters the grade is defined: "6 to 39 mm".
func (g Grade) Range() string {
	if len(g.bands) == 0 {
		return "none"
	}
	return fmt.Sprintf("%g to %g mm", g.bands[0].over, g.bands[len(g.bands)-1].upTo)
}

// BelowRange reports that d is smaller than the standard's smallest size, so
// that Strength answers with that of the smallest.
func (g Grade) BelowRange(d quantity.Length) bool {
	return len(g.bands) > 0 && float64(d) < g.bands[0].over-1e-9
}

// Shear is the shear strength at diameter d: a share of Rm by class.
// Source of the shares: VDI 2230 (from memory) for steel and stainless; 0.6 for
// copper alloys is common practice.
func (g Grade) Shear(d quantity.Length) (quantity.Stress, error) {
	s, err := g.Strength(d)
	return quantity.Stress(g.shear * float64(s.Tensile)), err
}

// Warm is the share of its cold strength the grade keeps at temperature t; 1 at
// 20 °C and below. Above the highest temperature known it is a *TooHotError.
func (g Grade) Warm(t quantity.Temperature) (float64, error) { return g.heat.at(t, g.Name) }

// WarmSource says where Warm comes from.
func (g Grade) WarmSource() string { return g.heat.source }

// RangeError says that a grade is not defined at a diameter.
type RangeError struct {
	Grade    string
	Diameter quantity.Length
	Range    string
}

func (e *RangeError) Error() string {
	return fmt.Sprintf("grade %s is defined for %s, not for %v", e.Grade, e.Range, e.Diameter)
}

// ParseGrade finds a grade by any name people use for it: "a2-70", "A2 70",
// "grade 8.8", "stainless", "PB102", "zinc plated 8.8". Where the name leaves
// something open the weakest reading is taken and Assumption says so. The error
// is an *UnknownError with suggestions.
func ParseGrade(name string) (Grade, error) {
	rest, coating := coatingOf(name)
	if coating != Plain && fold(rest) == "" {
		rest = "mild steel"
	}
	g, key, err := find("grade", rest, grades(), func(g Grade) (string, []string) { return g.Name, g.aliases },
		"propertyclass", "grade", "class", "iso8981", "iso35061", "iso3506", "iso8839", "stainlesssteel", "stainless", "steel")
	if err != nil {
		err.(*UnknownError).Input = name
		return Grade{}, err
	}
	g.Coating = coating
	g.Assumption = assumption(key)
	return g, nil
}

// assumption says what a loose name was taken to mean.
func assumption(key string) string {
	switch key {
	case "stainless", "stainlesssteel", "ss", "a1", "a2", "a3", "a4", "a5", "304", "316", "188":
		return "property class not given: taken as 50, the weakest"
	case "phosphorbronze", "phosbronze", "pb102", "pb", "cw451k":
		return "temper not given: taken at the lower end of its range"
	case "steel", "brightmildsteel":
		return "class not given: taken as mild steel"
	case "hightensile", "hightensilesteel":
		return "class not given: taken as 8.8"
	}
	return ""
}

// coatingOf takes the words for a coating out of a name.
func coatingOf(name string) (rest string, c Coating) {
	if len(name) > maxName {
		return name, Plain
	}
	words := strings.Fields(strings.ReplaceAll(strings.ToLower(name), ", ", " "))
	plated := slices.Contains(words, "plated")
	var keep []string
	for _, w := range words {
		switch {
		case w == "zinc" || w == "zp" || w == "bzp" || w == "zinc-plated" || w == "galvanised" || w == "galvanized":
			c = ZincPlated
		case w == "nickel-plated" || w == "nickel" && plated:
			c = NickelPlated
		case w == "plated":
		default:
			keep = append(keep, w)
		}
	}
	if c == Plain && plated {
		c = ZincPlated
	}
	if c == Plain {
		return name, Plain
	}
	return strings.Join(keep, " "), c
}

// Grades lists every grade known, by standard.
func Grades() []Grade { return slices.Clone(grades()) }
