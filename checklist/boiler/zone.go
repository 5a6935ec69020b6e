package boiler

import (
	"fmt"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Zone is the part of the engine a seal lives in, by what reaches it.
type Zone string

const (
	ColdFeed    Zone = "cold feed"   // feed pipes up to the clack, hand pump
	Saturated   Zone = "saturated"   // water and steam space: dome, wet header, top feed, glands, turret
	Superheated Zone = "superheated" // elements and their joints, hot header, steam pipes to the cylinders, snifting valve
	Smokebox    Zone = "smokebox"    // gas side: outside of the header, outer ends of studs, edges of gaskets
	Cab         Zone = "cab"         // backhead outside: gland nuts, handles
)

func zoneWords() []word[Zone] {
	return []word[Zone]{
		{ColdFeed, string(ColdFeed), []string{"feed", "cold", "cold water", "z1"}},
		{Saturated, string(Saturated), []string{"saturated steam", "steam", "boiler", "hot water", "wet steam", "z2"}},
		{Superheated, string(Superheated), []string{"superheat", "superheater", "hot header", "z3"}},
		{Smokebox, string(Smokebox), []string{"smoke box", "gas side", "flue gas", "z4"}},
		{Cab, string(Cab), []string{"backhead", "back head", "footplate", "z5"}},
	}
}

// Zones lists the zones, coldest water first, in the order of their numbers.
func Zones() []Zone { return []Zone{ColdFeed, Saturated, Superheated, Smokebox, Cab} }

// ParseZone reads the name of a zone; its error is a *WordError.
func ParseZone(s string) (Zone, error) { return parseWord("zone", s, zoneWords()) }

// Medium is what touches the seal: a limit holds for one medium only.
type Medium string

const (
	Steam    Medium = "steam"
	HotWater Medium = "hot water"
	Dry      Medium = "dry heat" // air or flue gas
)

// Site is what is known about the place beside the working pressure. The zero
// value is sea level with nothing measured.
type Site struct {
	// Atmosphere is the pressure of the air there; 0 stands for the standard
	// atmosphere at sea level. AtmosphereAt gives it from the altitude.
	Atmosphere quantity.AbsolutePressure
	// Measured is the temperature found at the seal in service; 0 stands for not
	// measured. It replaces the assumed temperature, but nothing in contact with
	// steam is taken as cooler than saturation.
	Measured quantity.Temperature
	// SheetLimit is the temperature limit printed in the maker's data sheet or on
	// the container; 0 stands for none. It replaces the figures kept here.
	SheetLimit quantity.Temperature
	// Oil is set where cylinder oil can reach the seal.
	Oil bool
}

func (s Site) atmosphere() quantity.AbsolutePressure {
	if s.Atmosphere == 0 {
		return quantity.StandardAtmosphere
	}
	return s.Atmosphere
}

// Conditions is what a seal in one zone has to stand.
type Conditions struct {
	Zone            Zone
	Medium          Medium
	WorkingPressure quantity.Pressure
	// DesignPressure is what the safety valves may let the boiler rise to.
	DesignPressure quantity.Pressure
	// Saturation is the temperature of saturated steam at DesignPressure.
	Saturation quantity.Temperature
	// Temperature is what the seal is checked against.
	Temperature quantity.Temperature
	// Source says where Temperature comes from.
	Source string
}

// accumulation is how far above the working pressure the boiler is taken to
// rise with the safety valves blowing (common practice, no source).
const accumulation = 1.1

// Highest working pressure the checks take: far above any model's boiler, low
// enough to catch a psi figure entered as bar.
const workingPressureMax quantity.Pressure = 40

const (
	coldFeedTemperature    quantity.Temperature = 60  // normal for a feed pipe
	superheatAssumed       quantity.Temperature = 350 // common practice, no source
	smokeboxAssumed        quantity.Temperature = 400 // upper end of 250 to 400 °C; common practice, no source
	coldestMeasured        quantity.Temperature = -50
	hottestMeasured        quantity.Temperature = 900
	commonPractice                              = "common practice, no source"
	saturationSource                            = "IAPWS R7-97(2012) region 4"
	accumulationRuleSource                      = saturationSource + " at 1.1 times the working pressure (" + commonPractice + ")"
)

// ConditionsIn works out what a seal in zone z has to stand on a boiler of
// working pressure wp. Steam and hot water are taken at saturation for 1.1
// times wp, because the safety valves lift there; the cold feed at 60 °C,
// superheat at 350 °C and the smokebox at 400 °C where nothing was measured.
//
// wp must lie above 0 and at most at 40 bar; a pressure, air pressure or
// measured temperature that cannot be is an *InputError.
func ConditionsIn(z Zone, wp quantity.Pressure, site Site) (Conditions, error) {
	if err := positive("working pressure", wp, workingPressureMax, "bar"); err != nil {
		return Conditions{}, err
	}
	if site.Measured != 0 {
		if err := within("measured temperature", site.Measured, coldestMeasured, hottestMeasured, "°C"); err != nil {
			return Conditions{}, err
		}
	}
	c := Conditions{Zone: z, WorkingPressure: wp, DesignPressure: wp * accumulation}
	var err error
	if c.Saturation, err = SaturationAtGauge(c.DesignPressure, site.atmosphere()); err != nil {
		return Conditions{}, err
	}
	const measured = "measured"
	switch z {
	case ColdFeed:
		c.Medium, c.Temperature, c.Source = HotWater, coldFeedTemperature, "60 °C normal for a feed pipe ("+commonPractice+")"
		if site.Measured != 0 {
			c.Temperature, c.Source = site.Measured, measured
		}
	case Saturated, Cab:
		c.Medium, c.Temperature, c.Source = Steam, c.Saturation, accumulationRuleSource
		if site.Measured > c.Saturation {
			c.Temperature, c.Source = site.Measured, measured
		}
	case Superheated:
		c.Medium, c.Temperature, c.Source = Steam, superheatAssumed, "350 °C assumed, not measured ("+commonPractice+")"
		if site.Measured != 0 {
			c.Temperature, c.Source = max(site.Measured, c.Saturation), measured
			if site.Measured < c.Saturation {
				c.Source = accumulationRuleSource
			}
		}
	case Smokebox:
		c.Medium, c.Temperature, c.Source = Dry, smokeboxAssumed, "400 °C, the upper end of 250 to 400 °C ("+commonPractice+")"
		if site.Measured != 0 {
			c.Temperature, c.Source = site.Measured, measured
		}
	default:
		return Conditions{}, &WordError{Kind: "zone", Input: string(z), Known: zoneNames()}
	}
	return c, nil
}

func zoneNames() []string {
	names := make([]string, 0, len(Zones()))
	for _, z := range Zones() {
		names = append(names, string(z))
	}
	return names
}

// checks common to seals and metals that come from the place alone.
func (c Conditions) findings(site Site) []check.Result {
	var list []check.Result
	if (c.Zone == Saturated || c.Zone == Superheated || c.Zone == Cab) && site.Measured != 0 && site.Measured < c.Saturation {
		list = append(list, check.Result{
			Rule: "measured-too-cool", Severity: check.Ask, Source: accumulationRuleSource,
			Message: fmt.Sprintf("%s was measured, but steam at %s is at %s: check where and at what pressure it was measured. The higher figure is used.",
				site.Measured, c.DesignPressure, c.Saturation),
		})
	}
	if c.Zone == Superheated && site.Measured == 0 {
		list = append(list, check.Result{
			Rule: "superheat-assumed", Severity: check.Ask,
			Source:  commonPractice + "; 200 to 300 °C for flue-type and more for radiant elements are quoted from memory, none measured",
			Message: "The superheat was not measured: 350 °C is assumed. Measure it, or keep to materials that stand it.",
		})
	}
	return list
}
