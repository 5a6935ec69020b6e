package lookup

import (
	"fmt"

	"fettle/checklist/boiler"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// Pressures beyond these are judged as these: there is no saturated steam near
// 220 bar, and the seal checks take no working pressure above 40 bar.
const (
	steamPressureMax  quantity.Pressure = 200
	judgedPressureMax quantity.Pressure = 40
)

// JointInService is what the sum of a joint's forces leaves out: whether its
// gasket stands what it meets, and whether the pressure is the one meant. The
// limits are those of boiler.CheckSeal.
//
// Up to 100 °C in service the gasket is judged in hot water, above that in
// steam. With no temperature given it is judged in saturated steam of the
// joint's own pressure: for a test pressure that is hotter than the service, and
// a finding says so. in must be one that fastening.Joint takes.
func JointInService(in fastening.JointInput) ([]check.Result, error) {
	pressure := check.Result{Rule: "which-pressure", Severity: check.Note,
		Message: fmt.Sprintf("Is %s the test pressure of your local code? The joint has to hold that one, not the working pressure alone", in.Pressure)}
	saturation, err := boiler.SaturationAtGauge(min(in.Pressure, steamPressureMax), quantity.StandardAtmosphere)
	if err != nil {
		return nil, err
	}
	if in.Temperature == 0 {
		pressure.Message += fmt.Sprintf(". The gasket is judged in steam of that pressure, %s; say the temperature in service if it is another", saturation)
	}
	material, known := sealOf(in.Gasket)
	if !known {
		if standsAnySteam(in.Gasket) {
			return []check.Result{pressure}, nil
		}
		ask := check.Result{Rule: "gasket-steam", Severity: check.Ask, Source: "maker's data sheet",
			Message: fmt.Sprintf("What is the %s made of, and does it stand the steam here? No limit is kept for it; read its maker's sheet", in.Gasket)}
		return []check.Result{ask, pressure}, nil
	}
	// CheckSeal raises a working pressure to what the valves lift at; the
	// pressure here is already the highest.
	zone, highest := boiler.Saturated, in.Pressure
	switch t := in.Temperature; {
	case t == 0:
	case t <= 100:
		zone = boiler.ColdFeed
	case t > saturation:
		zone = boiler.Superheated
	default:
		steam, err := boiler.SaturationPressure(t)
		if err != nil {
			return nil, err
		}
		highest = quantity.Pressure(steam - quantity.StandardAtmosphere)
	}
	list, err := boiler.CheckSeal(material, zone, min(highest, judgedPressureMax)/1.1, boiler.Site{Measured: in.Temperature})
	if err != nil {
		return nil, err
	}
	var out []check.Result
	for _, f := range list {
		switch f.Rule {
		case "temperature-limit", "pressure-limit", "not-suitable":
			if f.Severity != check.Note {
				out = append(out, check.Result{Rule: "gasket-steam", Severity: f.Severity, Message: f.Message, Source: f.Source})
			}
		case "seal-contested":
			if len(out) > 0 {
				out = append(out, f)
			}
		}
	}
	return append(out, pressure), nil
}

// sealOf is the sealing material that a gasket is made of, as far as one name
// says it: a rubber may be any of several, and an O-ring too.
func sealOf(g fastening.Gasket) (boiler.SealMaterial, bool) {
	switch g.Name {
	case "vegetable fibre":
		return boiler.VegetableFibreSheet, true
	case "graphite sheet":
		return boiler.GraphiteSheet, true
	case "compressed sheet, 3 mm", "compressed sheet, 1.5 mm", "compressed sheet, 0.8 mm":
		return boiler.AramidSheet, true
	case "flat copper", "corrugated copper", "grooved copper":
		return boiler.CopperGasket, true
	}
	return "", false
}

// standsAnySteam reports the solid metals that a model's steam does not hurt
// (common practice, no source).
func standsAnySteam(g fastening.Gasket) bool {
	return g.Name == "flat steel" || g.Name == "flat stainless" || g.Name == "flat nickel-copper"
}
