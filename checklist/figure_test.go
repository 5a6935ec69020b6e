package checklist

import (
	"fettle/checklist/source"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Figures as a file shows them, against what is printed elsewhere. The source
// of each stands beside it.
func TestFigures(t *testing.T) {
	const cover = `thread = "M4"
head = "%HEAD%"
count = 6
circle = "52 mm"
grade = "A2-70"
into = "gunmetal"
hole = ["dry"]
lubricant = "anti-seize"
length = "15 mm"
cover = "8.5 mm"
depth = "9 mm"
joint = "g"
`
	const gasket = "[seals.g]\nkind = \"gasket\"\nmaterial = \"graphite sheet\"\ntest = \"14 bar\"\ninner = \"40 mm\"\nouter = \"47 mm\"\nthickness = \"0.5 mm\"\n"
	for _, c := range []struct {
		part   string
		figure string
		want   string
		unit   string
	}{
		// ISO 2306; Machinery's Handbook, (4 - 3.3) / (1.299 x 0.7); ISO 273; ISO 4017; ISO 4762.
		{"[fasteners.x]\nthread = \"m4x0.7\"\n", "x.thread", "M4", ""},
		{"[fasteners.x]\nthread = \"M4\"\n", "x.tap_drill", "3.3 mm", "mm"},
		{"[fasteners.x]\nthread = \"M4\"\n", "x.tap_percent", "77 %", "%"},
		{"[fasteners.x]\nthread = \"M4\"\n", "x.clearance", "4.5 mm", "mm"},
		{"[fasteners.x]\nthread = \"M4\"\n", "x.spanner", "7 mm", "mm"},
		{"[fasteners.x]\nthread = \"M4\"\nhead = \"socket\"\n", "x.key", "3 mm", "mm"},
		{"[fasteners.x]\nthread = \"10-32\"\nhead = \"socket\"\n", "x.key", "5/32 in (3.97 mm)", "mm"}, // ASME B18.3
		{"[fasteners.x]\nthread = \"10-32\"\nhead = \"countersunk\"\n", "x.countersink_angle", "82°", "°"},
		{"[fasteners.x]\nthread = \"M4\"\nhead = \"socket\"\n", "x.head_diameter", "7 mm", "mm"},
		{"[fasteners.x]\nthread = \"M4\"\nhead = \"countersunk\"\n", "x.countersink_angle", "90°", "°"},
		// ISO 2009 with the heads of ISO 7721: 9.4 mm at the sharp edge.
		{"[fasteners.x]\nthread = \"M4\"\nhead = \"countersunk\"\n", "x.countersink", "9.4 mm", "mm"},
		{"[fasteners.x]\nthread = \"M4\"\nspanner = \"5/16 in\"\n", "x.spanner", "7.94 mm", "mm"},
		// BS 93: 4.7 mm by 0.81 mm.
		{"[fasteners.x]\nthread = \"2ba\"\n", "x.pitch", "0.81 mm", "mm"},
		{"[fasteners.x]\nthread = \"2ba\"\n", "x.major", "4.7 mm", "mm"},
		{"[fasteners.x]\nthread = \"1/4 x 40 ME\"\n", "x.tpi", "40", ""},
		// Six on 52: the chord of a hexagon is its radius. ASME PCC-1 numbers pairs across.
		{"[fasteners.x]\n" + cover + gasket, "x.chord", "26 mm", "mm"},
		{"[fasteners.x]\n" + cover + gasket, "x.angle", "60°", "°"},
		// A published worked circle: 6 on 52, the second at 13.000, 22.517.
		{"[fasteners.x]\n" + cover + gasket, "x.coordinates", "1: 26.00, 0.00; 2: 13.00, 22.52; 3: -13.00, 22.52; 4: -26.00, 0.00; 5: -13.00, -22.52; 6: 13.00, -22.52", ""},
		{"[fasteners.x]\nstart = 90\n" + strings.Replace(cover, "count = 6", "count = 4", 1) + gasket, "x.coordinates", "1: 0.00, 26.00; 2: -26.00, 0.00; 3: 0.00, -26.00; 4: 26.00, 0.00", ""},
		{"[fasteners.x]\n" + cover + gasket, "x.order", "1 4 2 5 3 6", ""},
		{"[fasteners.x]\n" + cover + gasket, "x.engaged", "6 mm", "mm"},
		// A published worked proof of this joint, by ASME VIII-1 Appendix 2:
		// seating 4113 N, 686 N a screw; 0.6 of 450 MPa on 8.78 mm² is 2371 N.
		{"[fasteners.x]\n" + cover + gasket, "x.joint_load", "4113 N", "N"},
		{"[fasteners.x]\n" + cover + gasket, "x.per_bolt", "686 N", "N"},
		{"[fasteners.x]\n" + cover + gasket, "x.reserve", "3.5", ""},
		// Published packing guides: (9.525 - 4.7625)/2, mean circumference, four
		// rings in 10 mm, a quarter to a third of 9.525 mm at 26 threads an inch.
		{packing, "x.section", "2.38 mm", "mm"},
		{packing, "x.ring_length", "22.4 mm", "mm"},
		{packing, "x.rings", "4", ""},
		{packing, "x.order", "100 mm", "mm"},
		{packing, "x.follower_min", "2.4 mm", "mm"},
		{packing, "x.turns_min", "2.4", "turns"},
		{packing, "x.turns_max", "3.4", "turns"},
		{packing, "x.thrust", "12.3 N", "N"},
		// IAPWS R7-97(2012): 1.1 x 100 psi gauge boils at 173.4 °C.
		{hot, "x.temperature", "173 °C", "°C"},
		{hot, "x.limit", "150 °C", "°C"},
		{hot, "x.margin", "-24 K", "K"},
		// A published worked gland: ring 4.47 x 1.78 on 4.76: stretch 6.5 %,
		// cord 1.72, bore 7.69 for 15 %.
		{ring, "x.stretch", "6.5 %", "%"},
		{ring, "x.bore", "7.66 mm", "mm"}, // 4.76 and twice the 1.45 of the groove table
		{ring, "x.squeeze", "15 %", "%"},
		{"[seals.x]\nkind = \"sealant\"\nmetals = [\"gunmetal\", \"stainless\"]\ngap = \"0.1 mm\"\nshop = \"8\"\n", "x.cure", "4 days 14 h 17 min", "h"}, // 24 h x 2^1.2 x 2, the planning rule
		{"[seals.x]\nkind = \"sealant\"\nmetals = [\"gunmetal\"]\ngap = \"0.1 mm\"\nshop = \"20\"\nsheet_time = \"36 h\"\n", "x.cure", "36 h", "h"},
		{"[tests.x]\npressure = \"100 psi\"\nmultiple = 1.5\n", "x.product", "150 psi (10.34 bar)", "bar"},
		{"[tests.x]\npressure = \"100 psi\"\nmultiple = 1.5\ntarget = \"10 bar\"\n", "x.target", "10 bar", "bar"},
		{"[tests.x]\npressure = \"7 bar\"\nmultiple = 2\n", "x.gauge_scale", "25 bar", "bar"},
	} {
		part := strings.ReplaceAll(c.part, "%HEAD%", "socket")
		p, _ := Read("x.toml", []byte("format = 2\nid = \"x\"\ntitle = \"x\"\n"+part+"[[stage]]\ntitle = \"x\"\n[[stage.step]]\nid = \"a\"\nkind = \"record\"\ndo = \"${"+c.figure+"}\"\nparts = [\"x\"]\n"))
		require.NotNil(t, p)
		f, _ := p.Fill(nil)
		require.Equal(t, c.want, f.Steps()[0].Do, "%s of %s", c.figure, part)
		for _, figure := range f.Steps()[0].Figures {
			require.NotEmpty(t, figure.Source, figure.Key)
			require.NotEmpty(t, figure.Label, figure.Key)
			if figure.Key == c.figure {
				require.Equal(t, c.want, figure.Text)
				require.Equal(t, c.unit, figure.Unit)
			}
			if strings.HasPrefix(figure.Key, "x.joint_load") {
				require.Contains(t, figure.Source, "at test pressure, 14 bar")
			}
		}
	}
}

const (
	packing = "[fasteners.nut]\nthread = \"3/8 x 26 brass\"\n[seals.x]\nkind = \"packing\"\nspindle = \"3/16 in\"\nbox = \"3/8 in\"\ndepth = \"10 mm\"\nnut = \"nut\"\npressure = \"100 psi\"\n"
	hot     = "[seals.x]\nkind = \"tape\"\nmaterial = \"anaerobic\"\nzone = \"saturated\"\npressure = \"100 psi\"\n"
	ring    = "[seals.x]\nkind = \"o-ring\"\nsection = \"1.78 mm\"\ninside = \"4.47 mm\"\nspindle = \"4.76 mm\"\nbox = \"7.69 mm\"\nwidth = \"2.4 mm\"\n"
)

// Every figure that is listed can be had, or says why it cannot.
func TestEveryListedFigureAnswers(t *testing.T) {
	for _, kind := range append([]string{"fastener", "test"}, sealKinds[:]...) {
		for _, key := range figureNames(kind) {
			table := map[string]string{
				"fastener": "[fasteners.x]\nthread = \"M4\"\n",
				"test":     "[tests.x]\npressure = \"7 bar\"\nmultiple = 2\n",
			}[kind]
			if table == "" {
				table = "[seals.x]\nkind = \"" + kind + "\"\n"
			}
			p, ds := Read("x.toml", []byte("format = 2\nid = \"x\"\ntitle = \"x\"\n"+table+"[[stage]]\ntitle = \"x\"\n[[stage.step]]\nid = \"a\"\nkind = \"record\"\ndo = \"${x."+key+"}\"\n"))
			require.NotNil(t, p)
			lacking := false
			for _, d := range ds {
				if d.Rule == source.RuleFigure {
					lacking = true
					require.NotContains(t, d.Message, "nothing in the file says enough", "%s.%s does not say what it lacks", kind, key)
				}
				require.NotEqual(t, source.RuleUnknownName, d.Rule, "%s.%s", kind, key)
			}
			f, _ := p.Fill(nil)
			require.Equal(t, lacking, strings.HasPrefix(f.Steps()[0].Do, "["), "%s.%s: %s", kind, key, f.Steps()[0].Do)
		}
	}
}

// An R thread is cut on the outside: a step that wants its tapping drill is told so.
func TestExternalTaperHasNoTappingDrill(t *testing.T) {
	for thread, want := range map[string]bool{"R 1/8": true, "Rc 1/8": false} {
		p, _ := Read("x.toml", []byte("format = 2\nid = \"x\"\ntitle = \"x\"\n[fasteners.x]\nthread = \""+thread+"\"\n[[stage]]\ntitle = \"x\"\n[[stage.step]]\nid = \"a\"\nkind = \"record\"\ndo = \"${x.tap_drill}\"\nparts = [\"x\"]\n"))
		require.NotNil(t, p)
		_, diagnostics := p.Fill(nil)
		said := false
		for _, d := range diagnostics {
			said = said || strings.Contains(d.Message, "R 1/8 is external; its hole is Rc or Rp")
		}
		require.Equal(t, want, said, "%s: %v", thread, diagnostics)
	}
}
