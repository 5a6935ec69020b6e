package lookup

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// The limits in steam: vegetable fibre about 2 bar (common practice), aramid
// sheet 180 to 200 °C and graphite 450 °C (gasket makers' data, from memory),
// copper 200 °C (ship classification rule for copper pipe). Steam of 14 bar is
// at 198 °C (IAPWS R7-97).
func TestGasketOfAJointInSteam(t *testing.T) {
	for _, c := range []struct {
		gasket      string
		pressure    quantity.Pressure
		temperature quantity.Temperature
		want        check.Severity // "" where nothing is said of the gasket
	}{
		{"paper", 14, 170, check.Stop},
		{"paper", 14, 0, check.Stop},
		{"paper", 6.2, 170, check.Stop},
		{"paper", 14, 60, ""}, // cold feed
		{"paper", 14, 99, ""},
		{"paper", 1.5, 0, ""},
		{"graphite", 14, 0, ""},
		{"graphite", 14, 350, ""},
		{"graphite", 14, 460, check.Stop},
		{"aramid sheet", 14, 0, check.Stop},
		{"aramid sheet", 14, 170, check.Warn},
		{"aramid sheet", 14, 160, ""},
		{"copper", 14, 170, ""},
		{"copper", 14, 0, check.Warn},
		{"O-ring", 14, 170, check.Ask},
		{"soft rubber", 14, 170, check.Ask},
		{"stainless", 14, 350, ""},
		{"paper", 400, 0, check.Stop},
	} {
		g, err := fastening.ParseGasket(c.gasket)
		require.NoError(t, err)
		list, err := JointInService(fastening.JointInput{Gasket: g, Pressure: c.pressure, Temperature: c.temperature})
		require.NoError(t, err, "%+v", c)
		var got check.Severity
		for _, f := range list {
			if f.Rule == "gasket-steam" && (got == "" || f.Severity.Worse(got)) {
				got = f.Severity
			}
		}
		require.Equal(t, c.want, got, "%+v %+v", c, list)
		last := list[len(list)-1]
		require.Equal(t, "which-pressure", last.Rule)
		require.Contains(t, last.Message, "test pressure")
		require.Equal(t, c.temperature == 0, len(last.Message) > 120, last.Message)
	}
}

// Every gasket is answered for: by a limit, or by a question.
func TestEveryGasketIsAnsweredFor(t *testing.T) {
	for _, g := range fastening.Gaskets() {
		list, err := JointInService(fastening.JointInput{Gasket: g, Pressure: 14, Temperature: 170})
		require.NoError(t, err)
		_, known := sealOf(g)
		require.Equal(t, known || standsAnySteam(g), list[0].Severity != check.Ask, g)
	}
}
