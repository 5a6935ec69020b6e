package lookup

import (
	"errors"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// airFields ask for the pressure of the air outside.
func airFields() []Field {
	return []Field{
		{Name: "altitude", Ask: "Altitude of the track, such as 500 m", Brief: "Altitude of the track", Kind: Altitude},
		{Name: "air-pressure", Ask: "Barometer, such as 950 mbar", Brief: "Barometer", Kind: Air},
	}
}

func steamSheets() []Sheet {
	return []Sheet{{
		Group: "boiler", Name: "steam", Title: "Steam temperature",
		About: "The temperature of saturated steam at a gauge pressure, or the pressure at a temperature.",
		Words: "saturated boiling hot",
		Asked: []string{"saturation_c", "pressure_bar"},
		Fields: append([]Field{
			{Name: "pressure", Ask: "Gauge pressure, such as 90 psi", Brief: "Gauge pressure", Kind: Pressure, Leading: true},
			{Name: "temperature", Ask: "Or the temperature of the steam", Brief: "Or steam temperature", Kind: Temperature},
		}, airFields()...),
		Examples: []string{"steam 90 psi", "steam '6.2 bar' --altitude '500 m'", "steam --temperature 150"},
		work:     workSteam,
	}}
}

func workSteam(f *form, a *Answer) {
	atm := f.air()
	p := f.pressure("pressure")
	t := f.temperature("temperature")
	switch {
	case f.given("pressure") == f.given("temperature"):
		f.fail("", errors.New("give a gauge pressure or a temperature: one of them"))
	case f.given("temperature"):
		reached, err := boiler.SteamReaches(t, atm)
		f.check(err)
		p = reached
	}
	if f.err != nil {
		return
	}
	abs, err := boiler.Absolute(p, atm)
	if !f.check(err) {
		return
	}
	saturation, err := boiler.SaturationTemperature(abs)
	if !f.check(err) {
		return
	}
	a.add(
		pressureRow("pressure", "Gauge", p),
		Row{Key: "absolute_bar", Label: "Absolute", Value: float64(abs), Text: abs.String()},
		temperatureRow("saturation", "Steam", saturation),
	)
	a.from("IAPWS R7-97(2012) region 4")
	if c, err := boiler.ConditionsIn(boiler.Saturated, p, boiler.Site{Atmosphere: atm}); err == nil {
		a.add(
			pressureRow("design_pressure", "Safety valves blowing (1.1 times)", c.DesignPressure),
			temperatureRow("design", "Steam there: choose seals for it", c.Saturation),
		)
		a.from(c.Source)
	}
	if water, err := boiler.LiquidWater(saturation, abs); err == nil {
		a.add(figureRow("water_kg_per_m3", "Density of the water", water.Density, 1, "kg/m³"))
		a.from("IAPWS R7-97(2012) region 1")
		if cold, err := boiler.LiquidWater(boiled(atm), atm); err == nil && p > 0 {
			// Heat of evaporation at one atmosphere, from the same formulation.
			const evaporation = 2256.5 // kJ/kg
			share := (water.Enthalpy - cold.Enthalpy) / evaporation * 100
			a.add(percentRow("flash", "Water that flashes to steam if let out", share))
			a.find(check.Result{Rule: "hot-water-flashes", Severity: check.Note, Danger: true, Source: "IAPWS R7-97(2012) region 1",
				Message: "Water let out at this pressure bursts into steam. Open nothing until gauge and an open valve both show no pressure and the boiler is cold."})
		}
	}
}

// boiled is the boiling point under the air.
func boiled(atm quantity.AbsolutePressure) quantity.Temperature {
	t, err := boiler.SaturationTemperature(atm)
	if err != nil {
		return 0
	}
	return t
}
