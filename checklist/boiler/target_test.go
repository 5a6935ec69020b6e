package boiler

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

func plan() TestPlan {
	return TestPlan{Code: "club code", Edition: "2018", WorkingPressure: 6.9, Multiple: 2, Hold: 30 * time.Minute,
		Operator: "Ana", Inspector: "Ruth", Witness: "Tom"}
}

func TestTargetIsTheProductAndNeverAbove(t *testing.T) {
	got, err := CheckTarget(plan())
	require.NoError(t, err)
	require.InDelta(t, 13.8, float64(got.Product), 1e-9)
	require.Equal(t, got.Product, got.Target)
	require.InDelta(t, 14.49, float64(got.Alarm), 1e-9)
	require.Equal(t, []string{"never-above"}, rules(got.Findings))

	for target, refused := range map[quantity.Pressure]bool{13.8: false, 10: false, 13.81: true, 15: true} {
		p := plan()
		p.Target = target
		got, err := CheckTarget(p)
		require.NoError(t, err)
		require.Equal(t, refused, hasFinding(got.Findings, "target-too-high", check.Stop), target)
		require.Equal(t, refused, got.Target == 0, target)
	}
	// A product that is no exact binary fraction is not above itself.
	p := plan()
	p.WorkingPressure, p.Multiple, p.Target = 6.3, 1.1, 6.93
	got, err = CheckTarget(p)
	require.NoError(t, err)
	require.NotZero(t, got.Target)
}

func TestWhatTheCodeHasToGive(t *testing.T) {
	got, err := CheckTarget(TestPlan{WorkingPressure: 6.9, Multiple: 1.5})
	require.NoError(t, err)
	for _, rule := range []string{"code-missing", "edition-missing", "hold-missing", "inspector-missing"} {
		require.True(t, hasFinding(got.Findings, rule, check.Ask), rule)
	}
	// No multiple, no target: the program does not choose one.
	got, err = CheckTarget(TestPlan{WorkingPressure: 6.9, Target: 10})
	require.NoError(t, err)
	require.Zero(t, got.Target)
	require.Zero(t, got.Product)
	require.True(t, hasFinding(got.Findings, "multiple-missing", check.Stop))
}

func TestNobodyCertifiesTheirOwn(t *testing.T) {
	p := plan()
	p.Inspector = " ana "
	got, err := CheckTarget(p)
	require.NoError(t, err)
	require.True(t, hasFinding(got.Findings, "own-inspector", check.Stop))
	p.Preliminary = true
	got, err = CheckTarget(p)
	require.NoError(t, err)
	require.Equal(t, check.Good, check.Worst(got.Findings))
	require.True(t, hasFinding(got.Findings, "own-inspector", check.Note))
	p = plan()
	p.Witness = "Ana"
	got, err = CheckTarget(p)
	require.NoError(t, err)
	require.True(t, hasFinding(got.Findings, "own-witness", check.Ask))
}

func TestTargetsThatCannotBe(t *testing.T) {
	for name, change := range map[string]func(*TestPlan){
		"no pressure":  func(p *TestPlan) { p.WorkingPressure = 0 },
		"negative":     func(p *TestPlan) { p.WorkingPressure = -1 },
		"psi as bar":   func(p *TestPlan) { p.WorkingPressure = 100 },
		"not a number": func(p *TestPlan) { p.WorkingPressure = quantity.Pressure(math.NaN()) },
		"multiple":     func(p *TestPlan) { p.Multiple = 0.5 },
		"multiple 90":  func(p *TestPlan) { p.Multiple = 90 },
		"multiple NaN": func(p *TestPlan) { p.Multiple = math.NaN() },
		"target":       func(p *TestPlan) { p.Target = -1 },
		"target NaN":   func(p *TestPlan) { p.Target = quantity.Pressure(math.NaN()) },
		"hold":         func(p *TestPlan) { p.Hold = -time.Minute },
		"hold days":    func(p *TestPlan) { p.Hold = 72 * time.Hour },
	} {
		p := plan()
		change(&p)
		_, err := CheckTarget(p)
		requireInputError(t, err, name)
	}
}

func TestReadingWhilePumping(t *testing.T) {
	for shown, want := range map[quantity.Pressure]check.Severity{0: check.Note, 13.8: check.Note, 13.9: check.Warn, 14.49: check.Warn, 14.5: check.Stop, 20: check.Stop} {
		f, err := CheckReading(13.8, shown, quantity.BarScale)
		require.NoError(t, err)
		require.Equal(t, want, f.Severity, shown)
	}
	_, err := CheckReading(0, 1, quantity.BarScale)
	requireInputError(t, err, 0)
	_, err = CheckReading(13.8, -1, quantity.BarScale)
	requireInputError(t, err, -1)
}

// Long-standing ASME practice, 1.5 to 4 times; scales of EN 837-1.
func TestTestGauge(t *testing.T) {
	r, err := TestGauge(14)
	require.NoError(t, err)
	require.Equal(t, quantity.Pressure(21), r.Least)
	require.Equal(t, quantity.Pressure(56), r.Most)
	require.Equal(t, []quantity.Pressure{25, 40}, r.Stock)
	// Some standard scale suits any test.
	for p := quantity.Pressure(0.5); p <= 60; p += 0.1 {
		r, err := TestGauge(p)
		require.NoError(t, err)
		require.NotEmpty(t, r.Stock, p)
	}
	for _, p := range []float64{0, -1, 61, math.NaN()} {
		_, err := TestGauge(quantity.Pressure(p))
		requireInputError(t, err, p)
	}
}

// Class 1.0 on 25 bar is ±0.25 bar, for two of them half a bar.
func TestGaugesAgree(t *testing.T) {
	two := func(a, b quantity.Pressure) Gauges {
		return Gauges{Scale: [2]quantity.Pressure{25, 25}, Class: [2]float64{1, 1}, Shown: [2]quantity.Pressure{a, b}, Target: 13.8}
	}
	for _, row := range []struct {
		a, b quantity.Pressure
		want check.Severity
	}{{13.8, 13.8, check.Good}, {13.8, 14.3, check.Good}, {13.8, 14.31, check.Stop}, {14.31, 13.8, check.Stop}} {
		findings, err := CheckGauges(two(row.a, row.b))
		require.NoError(t, err)
		require.Equal(t, row.want, check.Worst(findings), row)
	}
	g := two(10, 10)
	g.Scale[1], g.Class[1] = 100, 2.5
	findings, err := CheckGauges(g)
	require.NoError(t, err)
	require.True(t, hasFinding(findings, "gauge-scale", check.Warn))
	require.True(t, hasFinding(findings, "gauge-class", check.Warn))
	for name, change := range map[string]func(*Gauges){
		"scale": func(g *Gauges) { g.Scale[0] = 0 }, "class": func(g *Gauges) { g.Class[1] = -1 },
		"beyond the dial": func(g *Gauges) { g.Shown[0] = 26 }, "NaN": func(g *Gauges) { g.Shown[1] = quantity.Pressure(math.NaN()) },
		"target": func(g *Gauges) { g.Target = -1 },
	} {
		g := two(10, 10)
		change(&g)
		_, err := CheckGauges(g)
		requireInputError(t, err, name)
	}
}

func TestFaults(t *testing.T) {
	list := Faults()
	require.Len(t, list, 18)
	for i, f := range list {
		require.NotEmpty(t, f.Path)
		require.NotEmpty(t, f.Kind)
		require.NotEmpty(t, f.Shows)
		require.NotEmpty(t, f.Isolate)
		got, err := FaultByID(f.ID)
		require.NoError(t, err)
		require.Equal(t, list[i], got)
		require.Equal(t, f.ID == "F16" || f.ID == "F17", f.Kind == Structure, f.ID)
	}
	f, err := FaultByID(" f6 ")
	require.NoError(t, err)
	require.Contains(t, f.Shows, "F4")
	_, err = FaultByID("6")
	require.NoError(t, err)
	var word *WordError
	for _, id := range []string{"", "F0", "F19", "F-1", "gland"} {
		_, err := FaultByID(id)
		require.ErrorAs(t, err, &word, id)
	}
}

func TestClosingATest(t *testing.T) {
	findings, err := CheckClosing([]string{"F12", "F3"}, []Blank{{Tag: "1", Where: "whistle", Removed: true}, {Tag: "2", Where: "brake", Intended: true}})
	require.NoError(t, err)
	require.Empty(t, findings)
	findings, err = CheckClosing([]string{"F17"}, nil)
	require.NoError(t, err)
	require.True(t, hasFinding(findings, "structural-leak", check.Stop))
	findings, err = CheckClosing(nil, []Blank{{Tag: "1", Where: "whistle"}})
	require.NoError(t, err)
	require.True(t, hasFinding(findings, "blank-left", check.Stop))
	findings, err = CheckClosing(nil, []Blank{{Where: "whistle", Removed: true}})
	require.NoError(t, err)
	require.True(t, hasFinding(findings, "blank-untagged", check.Stop))
	findings, err = CheckClosing(nil, []Blank{{Tag: "1", Removed: true}, {Tag: "1", Removed: true}})
	require.NoError(t, err)
	require.True(t, hasFinding(findings, "blank-untagged", check.Stop))
	_, err = CheckClosing([]string{"F99"}, nil)
	require.Error(t, err)
}
