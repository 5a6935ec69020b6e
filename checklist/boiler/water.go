package boiler

import (
	"math"

	"fettle/threads/quantity"
)

// region1Term is one term of the equation for the Gibbs energy of liquid water.
type region1Term struct {
	i, j int
	n    float64
}

// region1 holds the 34 terms of IAPWS R7-97(2012), table 2.
var region1 = [34]region1Term{
	{0, -2, 0.14632971213167},
	{0, -1, -0.84548187169114},
	{0, 0, -0.37563603672040e1},
	{0, 1, 0.33855169168385e1},
	{0, 2, -0.95791963387872},
	{0, 3, 0.15772038513228},
	{0, 4, -0.16616417199501e-1},
	{0, 5, 0.81214629983568e-3},
	{1, -9, 0.28319080123804e-3},
	{1, -7, -0.60706301565874e-3},
	{1, -1, -0.18990068218419e-1},
	{1, 0, -0.32529748770505e-1},
	{1, 1, -0.21841717175414e-1},
	{1, 3, -0.52838357969930e-4},
	{2, -3, -0.47184321073267e-3},
	{2, 0, -0.30001780793026e-3},
	{2, 1, 0.47661393906987e-4},
	{2, 3, -0.44141845330846e-5},
	{2, 17, -0.72694996297594e-15},
	{3, -4, -0.31679644845054e-4},
	{3, 0, -0.28270797985312e-5},
	{3, 6, -0.85205128120103e-9},
	{4, -5, -0.22425281908000e-5},
	{4, -2, -0.65171222895601e-6},
	{4, 10, -0.14341729937924e-12},
	{5, -8, -0.40516996860117e-6},
	{8, -11, -0.12734301741641e-8},
	{8, -6, -0.17424871230634e-9},
	{21, -29, -0.68762131295531e-18},
	{23, -31, 0.14478307828521e-19},
	{29, -38, 0.26335781662795e-22},
	{30, -39, -0.11947622640071e-22},
	{31, -40, 0.18228094581404e-23},
	{32, -41, -0.93537087292458e-25},
}

// Water is the state of liquid water at one temperature and pressure.
type Water struct {
	Density         float64 // kg/m³ (the same number in g/l)
	Enthalpy        float64 // kJ/kg, zero near 0 °C
	Expansion       float64 // cubic expansion at constant pressure, 1/K
	Compressibility float64 // at constant temperature, 1/bar
}

// LiquidWater is water at the temperature t under the absolute pressure p.
//
// Valid from 0 to 350 °C and from the saturation pressure at t to 1000 bar abs;
// outside that it returns an *InputError. Source: IAPWS R7-97(2012), region 1,
// equation 7 and table 3.
func LiquidWater(t quantity.Temperature, p quantity.AbsolutePressure) (Water, error) {
	if err := within("water temperature", t, 0, 350, "°C"); err != nil {
		return Water{}, err
	}
	boils, err := SaturationPressure(t)
	if err != nil {
		return Water{}, err
	}
	// The saturated liquid itself belongs to the region; rounding must not exclude it.
	if err := within("absolute pressure on the water", p, boils*(1-1e-9), 1000, "bar abs"); err != nil {
		return Water{}, err
	}
	const (
		gasConstant = 0.461526 // kJ/(kg·K)
		pStar       = 16.53    // MPa
		tStar       = 1386.0   // K
	)
	mpa, k := float64(p)/10, float64(t)+kelvin
	a, b := 7.1-mpa/pStar, tStar/k-1.222
	var gPi, gPiPi, gTau, gPiTau float64
	for _, term := range region1 {
		i, j := float64(term.i), float64(term.j)
		// a > 1 and b > 0 over the whole region, so that no power is singular.
		x := term.n * math.Pow(a, i) * math.Pow(b, j)
		gPi -= x * i / a
		gPiPi += x * i * (i - 1) / (a * a)
		gTau += x * j / b
		gPiTau -= x * i * j / (a * b)
	}
	tau := tStar / k
	volume := gPi * gasConstant * k / (pStar * 1000) // m³/kg, from kJ and MPa
	return Water{
		Density:         1 / volume,
		Enthalpy:        gasConstant * tStar * gTau,
		Expansion:       (1 - tau*gPiTau/gPi) / k,
		Compressibility: -gPiPi / gPi / pStar / 10, // 1/MPa to 1/bar
	}, nil
}
