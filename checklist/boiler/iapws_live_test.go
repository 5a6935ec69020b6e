package boiler

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/quantity"
)

// The same formulation by other hands: Debian's python3-iapws, asked live.
// Without the package the test is skipped, but not where the variable CI is
// set: there it must have been installed.
func TestAgainstPythonIAPWS(t *testing.T) {
	type point struct{ t, p float64 } // °C, bar abs
	var line, liquid []point
	for i := range 120 {
		// Even steps from a hundredth of a bar to the top of the saturation line.
		line = append(line, point{p: 0.01 + float64(i)*220.6/119})
	}
	for i := range 16 {
		for j := range 10 {
			liquid = append(liquid, point{t: 1 + float64(i)*349/15, p: 170 + float64(j)*830/9})
			if c := 1 + float64(i)*9; c < 99 { // the bench: below boiling, at test pressures
				liquid = append(liquid, point{t: c, p: 1.01325 + float64(j)*2.5})
			}
		}
	}
	require.GreaterOrEqual(t, len(line)+len(liquid), 200)

	var script strings.Builder
	script.WriteString("import json\nfrom iapws.iapws97 import _TSat_P, _PSat_T, _Region1\nline, liquid = [], []\n")
	for _, q := range line {
		fmt.Fprintf(&script, "t = _TSat_P(%.17g)\nline.append([t, _PSat_T(t)])\n", q.p/10)
	}
	for _, q := range liquid {
		fmt.Fprintf(&script, "w = _Region1(%.17g, %.17g)\nliquid.append([w['v'], w['h'], w['alfav'], w['kt']])\n", q.t+273.15, q.p/10)
	}
	script.WriteString("print(json.dumps({'line': line, 'liquid': liquid}))\n")

	// Debian's modules belong to the system's own interpreter, whatever stands
	// first in the path.
	cmd := exec.Command("/usr/bin/python3", "-")
	cmd.Stdin = strings.NewReader(script.String())
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("python3-iapws is not installed: %v\n%s", err, stderr.String())
		}
		t.Skipf("python3-iapws is not installed: %v", err)
	}
	var theirs struct {
		Line   [][2]float64
		Liquid [][4]float64
	}
	require.NoError(t, json.Unmarshal(out, &theirs))
	require.Len(t, theirs.Line, len(line))
	require.Len(t, theirs.Liquid, len(liquid))

	// The same arithmetic in another order: only the last bits may differ.
	for i, q := range line {
		s, err := SaturationTemperature(quantity.AbsolutePressure(q.p))
		require.NoError(t, err)
		require.InDelta(t, theirs.Line[i][0], float64(s)+273.15, 1e-10, q)
		p, err := SaturationPressure(quantity.Temperature(theirs.Line[i][0] - 273.15))
		require.NoError(t, err)
		require.InEpsilon(t, theirs.Line[i][1]*10, float64(p), 1e-11, q)
	}
	for i, q := range liquid {
		w, err := LiquidWater(quantity.Temperature(q.t), quantity.AbsolutePressure(q.p))
		require.NoError(t, err)
		want := theirs.Liquid[i]
		require.InEpsilon(t, want[0], 1/w.Density, 1e-13, q)
		require.InDelta(t, want[1], w.Enthalpy, 1e-10, q)
		require.InDelta(t, want[2], w.Expansion, 1e-14, q)
		require.InEpsilon(t, want[3], w.Compressibility*10, 1e-11, q)
	}
}
