package fastening

import (
	"fmt"

	"fettle/threads/quantity"
)

// Family groups metals that behave alike beside others and in hot water.
type Family string

// The families of metals used for fasteners and tapped parts.
const (
	Steel         Family = "steel"
	Stainless     Family = "stainless"
	FreeStainless Family = "free-machining stainless" // 303: sulphides, poorer in water than 304
	HardStainless Family = "martensitic stainless"
	Brass         Family = "brass"
	DZRBrass      Family = "dezincification-resistant brass"
	Bronze        Family = "bronze" // phosphor, silicon and aluminium bronze, gunmetal
	Copper        Family = "copper"
	NickelCopper  Family = "nickel-copper alloy"
	Aluminium     Family = "aluminium"
	CastIron      Family = "cast iron"
)

// CopperAlloy reports a metal of the copper group.
func (f Family) CopperAlloy() bool {
	return f == Brass || f == DZRBrass || f == Bronze || f == Copper
}

// Ferrous reports a metal that rusts.
func (f Family) Ferrous() bool { return f == Steel || f == CastIron }

// heat is the share of its cold strength a metal keeps when warm: straight
// lines between the points, from 1 at 20 °C. limit is the highest temperature
// for which anything is said.
type heat struct {
	points []heatPoint // rising temperature
	limit  float64     // °C
	source string
}

type heatPoint struct{ celsius, share float64 }

// at gives the share kept at t. Cold metal is not credited with more than 1.
func (h heat) at(t quantity.Temperature, name string) (float64, error) {
	c := float64(t)
	if !real(c) || c < -273.15 {
		return 0, fmt.Errorf("%v °C is no temperature", c)
	}
	if c > h.limit {
		return 0, &TooHotError{Name: name, Temperature: t, Limit: quantity.Temperature(h.limit), Source: h.source}
	}
	last := heatPoint{20, 1}
	for _, p := range h.points {
		if c <= last.celsius {
			return last.share, nil
		}
		if c <= p.celsius {
			f := (c - last.celsius) / (p.celsius - last.celsius)
			return last.share + f*(p.share-last.share), nil
		}
		last = p
	}
	return last.share, nil
}

// TooHotError says that a metal is asked to work hotter than anything is known
// or allowed for it.
type TooHotError struct {
	Name               string
	Temperature, Limit quantity.Temperature
	Source             string
}

func (e *TooHotError) Error() string {
	return fmt.Sprintf("%s at %v: its limit is %v (%s)", e.Name, e.Temperature, e.Limit, e.Source)
}

// Shares of cold proof strength kept. Wrought bronze and hard copper follow the
// workshop rule of 0.8 at 170 to 180 °C, a common practice; drawn copper tube keeps
// 0.94 at 177 °C in a published list (Copper Development Association), and the lower
// rule stands.
const copperAlloyStrength = "strength: common practice, 0.8 at 175 °C; limit: "

var copperAlloyPoints = []heatPoint{{175, 0.8}, {300, 0.64}}

// Gunmetal, cast bronze and brass follow the ratings of bronze valves of class 125
// (MSS SP-80, cast ASTM B62, which is leaded gunmetal): 1.37 MPa up to 66 °C and
// 0.86 MPa at 208 °C, as a public guide extracts the table. Above 208 °C the line is
// drawn on.
const castStrength = "strength: bronze valve ratings of MSS SP-80, class 125; limit: "

var castPoints = []heatPoint{
	{66, 1}, {93, 1.27 / 1.37}, {121, 1.17 / 1.37}, {149, 1.06 / 1.37}, {177, 0.96 / 1.37}, {208, 0.86 / 1.37}, {260, 0.505},
}

var (
	heatAustenitic = heat{
		points: []heatPoint{{100, 0.85}, {200, 0.80}, {300, 0.75}}, limit: 300,
		source: "ISO 3506-1 (informative shares from memory; scope: unrestricted to 150 °C, used to 300 °C)",
	}
	heatC1 = heat{points: []heatPoint{{100, 0.95}, {200, 0.90}, {300, 0.80}}, limit: 300, source: "from memory: ISO 3506-1"}
	heatC3 = heat{points: []heatPoint{{100, 0.90}, {200, 0.85}, {300, 0.80}}, limit: 300, source: "from memory: ISO 3506-1"}
	// BS EN 10269 minimum proof strengths of annealed bar, as summarised by the
	// stainless steel trade association, over the room-temperature 190 and
	// 175 MPa (from memory).
	heat4301 = heat{
		points: []heatPoint{{50, 177.0 / 190}, {100, 155.0 / 190}, {150, 140.0 / 190}, {200, 127.0 / 190}, {250, 118.0 / 190}, {300, 110.0 / 190}},
		limit:  300, source: "BS EN 10269 summary; room temperature from memory",
	}
	heat4307 = heat{
		points: []heatPoint{{50, 164.0 / 175}, {100, 145.0 / 175}, {150, 130.0 / 175}, {200, 118.0 / 175}, {250, 108.0 / 175}, {300, 100.0 / 175}},
		limit:  300, source: "BS EN 10269 summary; room temperature from memory",
	}
	// ISO 898-1:1999 annex A, lower yield of classes 5.6 and 8.8 when warm.
	heatMild    = heat{points: []heatPoint{{100, 0.90}, {200, 0.77}, {250, 0.72}, {300, 0.65}}, limit: 300, source: "from memory: ISO 898-1:1999 annex A, class 5.6"}
	heatTensile = heat{points: []heatPoint{{100, 0.92}, {200, 0.84}, {250, 0.80}, {300, 0.75}}, limit: 300, source: "from memory: ISO 898-1:1999 annex A, class 8.8"}

	heatBrass58 = heat{points: castPoints, limit: 150, source: castStrength + "150 °C for brass of about 60 % copper (piping handbook)"}
	heatBrass63 = heat{points: castPoints, limit: 200, source: castStrength + "200 °C for brass of 70 % copper or more, taken as a generous limit for 63 % (piping handbook)"}
	heatCast    = heat{points: castPoints, limit: 260, source: castStrength + "260 °C for cast bronze fittings (ship-classification rules)"}
	heatBronze  = heat{points: copperAlloyPoints, limit: 260, source: copperAlloyStrength + "260 °C for cast bronze fittings (ship-classification rules)"}
	// Annealed copper creeps: the lower of two published lists of stress allowed in
	// annealed tube, each over its own coldest figure. Up to 121 °C the Copper
	// Development Association's tube handbook (6000 psi at 100 °F to 4800 psi at
	// 250 °F), then the UK copper board's (46 N/mm² at 65 °C to 18 N/mm² at 200 °C).
	heatCopper = heat{
		points: []heatPoint{{38, 1}, {66, 0.85}, {93, 0.817}, {121, 0.80}, {150, 34.0 / 46}, {175, 26.0 / 46}, {200, 18.0 / 46}}, limit: 200,
		source: "strength: the lower of two published lists of stress allowed in annealed copper tube; limit: 200 °C for copper pipe (ship-classification rules)",
	}
	heatHardCu = heat{points: copperAlloyPoints, limit: 200, source: copperAlloyStrength + "200 °C for copper pipe (ship-classification rules)"}
	heatCuNi   = heat{points: []heatPoint{{175, 0.85}, {300, 0.8}}, limit: 300, source: "from memory; limit: 300 °C for copper-nickel (ship-classification rules)"}
	heatAlu    = heat{points: []heatPoint{{100, 0.8}}, limit: 100, source: commonPractice}
	heatIron   = heat{points: []heatPoint{{300, 1}}, limit: 300, source: commonPractice}
)
