package boiler

import (
	"math"

	"fettle/threads/quantity"
)

const kelvin = 273.15 // 0 °C in kelvin

// Range of the saturation line in IAPWS-IF97 region 4: from 611.213 Pa at
// 273.15 K to the critical point, 22.064 MPa and 647.096 K.
const (
	saturationPressureMin    quantity.AbsolutePressure = 0.00611213
	saturationPressureMax    quantity.AbsolutePressure = 220.64
	saturationTemperatureMin quantity.Temperature      = 0
	saturationTemperatureMax quantity.Temperature      = 647.096 - kelvin
)

// Coefficients n1 to n10 of IAPWS R7-97(2012), table 34.
const (
	n1  = 0.11670521452767e4
	n2  = -0.72421316703206e6
	n3  = -0.17073846940092e2
	n4  = 0.12020824702470e5
	n5  = -0.32325550322333e7
	n6  = 0.14915108613530e2
	n7  = -0.48232657361591e4
	n8  = 0.40511340542057e6
	n9  = -0.23855557567849
	n10 = 0.65017534844798e3
)

// SaturationTemperature is the temperature at which water boils under the
// absolute pressure p, in degrees Celsius.
//
// Valid from 0.00611213 to 220.64 bar abs; outside that it returns an
// *InputError. Source: IAPWS R7-97(2012), region 4, equation 31.
func SaturationTemperature(p quantity.AbsolutePressure) (quantity.Temperature, error) {
	if err := within("absolute pressure", p, saturationPressureMin, saturationPressureMax, "bar abs"); err != nil {
		return 0, err
	}
	beta := math.Pow(float64(p)/10, 0.25) // the formula counts in MPa
	e := beta*beta + n3*beta + n6
	f := n1*beta*beta + n4*beta + n7
	g := n2*beta*beta + n5*beta + n8
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	t := (n10 + d - math.Sqrt((n10+d)*(n10+d)-4*(n9+n10*d))) / 2
	return quantity.Temperature(t - kelvin), nil
}

// SaturationPressure is the absolute pressure under which water boils at the
// temperature t, in bar abs; the inverse of SaturationTemperature.
//
// Valid from 0 to 373.946 °C; outside that it returns an *InputError.
// Source: IAPWS R7-97(2012), region 4, equation 30.
func SaturationPressure(t quantity.Temperature) (quantity.AbsolutePressure, error) {
	if err := within("temperature", t, saturationTemperatureMin, saturationTemperatureMax, "°C"); err != nil {
		return 0, err
	}
	k := float64(t) + kelvin
	theta := k + n9/(k-n10)
	a := theta*theta + n1*theta + n2
	b := n3*theta*theta + n4*theta + n5
	c := n6*theta*theta + n7*theta + n8
	return quantity.AbsolutePressure(10 * math.Pow(2*c/(-b+math.Sqrt(b*b-4*a*c)), 4)), nil
}

// Absolute turns what a gauge shows into absolute pressure, with the air at
// atm (quantity.StandardAtmosphere, or AtmosphereAt the track's altitude).
//
// A gauge pressure below the vacuum that atm allows, or an atm outside 0.5 to
// 1.1 bar abs (5500 m of altitude to the highest barometer), is an *InputError.
func Absolute(g quantity.Pressure, atm quantity.AbsolutePressure) (quantity.AbsolutePressure, error) {
	if err := within("atmospheric pressure", atm, 0.5, 1.1, "bar abs"); err != nil {
		return 0, err
	}
	if err := within("gauge pressure", g, -quantity.Pressure(atm), 10000, "bar"); err != nil {
		return 0, err
	}
	return quantity.AbsolutePressure(g) + atm, nil
}

// Gauge is what a gauge shows at the absolute pressure p, with the air at atm.
func Gauge(p, atm quantity.AbsolutePressure) quantity.Pressure {
	return quantity.Pressure(p - atm)
}

// AtmosphereAt is the pressure of the air at an altitude above the sea, of the
// standard atmosphere, in bar abs. Weather moves it by a few per cent.
//
// Valid from 500 m below to 5000 m above sea level; outside that it returns an
// *InputError. Source: ISO 2533 (ICAO standard atmosphere), first layer.
func AtmosphereAt(altitude quantity.Length) (quantity.AbsolutePressure, error) {
	const metre = 1000 // in mm
	if err := within("altitude", altitude/metre, -500, 5000, "m"); err != nil {
		return 0, err
	}
	const (
		seaLevelK = 288.15     // K
		lapse     = 0.0065     // K/m
		exponent  = 5.25587611 // g/(R·lapse) = 9.80665/(287.05287·0.0065)
	)
	h := float64(altitude) / metre
	return quantity.StandardAtmosphere * quantity.AbsolutePressure(math.Pow(1-lapse*h/seaLevelK, exponent)), nil
}

// SaturationAtGauge is the temperature of saturated steam at the gauge
// pressure g with the air at atm: Absolute and SaturationTemperature in one.
func SaturationAtGauge(g quantity.Pressure, atm quantity.AbsolutePressure) (quantity.Temperature, error) {
	p, err := Absolute(g, atm)
	if err != nil {
		return 0, err
	}
	return SaturationTemperature(p)
}
