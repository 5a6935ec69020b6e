package checklist

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func domeCover(t *testing.T) *Procedure {
	src, err := os.ReadFile("../testdata/refit/dome-cover.toml")
	require.NoError(t, err)
	p, found := Read("dome-cover.toml", src)
	require.False(t, found.HasStop(), "%v", found)
	return p
}

func figureOf(t *testing.T, f *Filled, part, key string) Figure {
	for _, p := range f.Fasteners {
		if p.Name != part {
			continue
		}
		for _, figure := range p.Figures {
			if figure.Key == part+"."+key {
				return figure
			}
		}
	}
	t.Fatalf("no figure %s.%s", part, key)
	return Figure{}
}

// One of six changes: five are left, the circle stays one of six, and the odd
// one is not turned harder than the others.
func TestOneOfACircleBecomesAnother(t *testing.T) {
	p := domeCover(t)
	values := map[string]string{"code": "c", "edition": "1", "multiple": "1.5", "hold_time": "10 min"}
	before, _ := p.Fill(values)
	change := Change{
		Fastener: "screw", Numbers: []int{3}, Part: "screw_3", Thread: "2 BA",
		Steps:  []Step{{ID: "tap", Kind: "make", Title: "Tap", Do: "Drill ${screw_3.tap_drill}."}, {ID: "look", Kind: "inspect", Do: "Look."}},
		After:  "holes",
		Before: []string{"dry"},
	}
	after, _ := p.Revise([]Change{change}).Fill(values)

	require.Equal(t, "6", figureOf(t, before, "screw", "count").Text)
	require.Equal(t, "5", figureOf(t, after, "screw", "count").Text)
	require.Equal(t, "1", figureOf(t, after, "screw_3", "count").Text)
	for _, key := range []string{"chord", "angle", "order", "reserve", "torque"} {
		require.Equal(t, figureOf(t, before, "screw", key), figureOf(t, after, "screw", key), key)
	}
	require.Equal(t, "2 BA", figureOf(t, after, "screw_3", "thread").Text)
	require.Equal(t, "4.0 mm", figureOf(t, after, "screw_3", "tap_drill").Text)
	require.Equal(t, figureOf(t, after, "screw", "torque").Value, figureOf(t, after, "screw_3", "torque").Value)
	require.Contains(t, figureOf(t, after, "screw_3", "torque").Source, "alone it would take")

	tap := after.Step("tap")
	require.True(t, tap.Added)
	require.Equal(t, "Drill 4.0 mm.", tap.Do)
	require.Equal(t, []string{"off"}, tap.Needs, "what the step needs behind which it stands")
	require.Equal(t, []string{"tap"}, after.Step("look").Needs)
	require.Equal(t, []string{"cut", "look"}, after.Step("dry").Needs)
	require.Equal(t, []string{"holes"}, after.Step("cut").Needs, "an added step is nobody's step before")
	require.Contains(t, after.Step("tighten").Uses, "screw_3")
	require.Contains(t, after.Step("tighten").Notes[0], "2 BA")

	// The procedure itself is as it was.
	again, _ := p.Fill(values)
	require.Equal(t, before, again)

	// Changed once more, it is what the later change says, and only that.
	later := change
	later.Thread, later.Part, later.Steps = "M5", "screw_3b", nil
	twice, _ := p.Revise([]Change{change, later}).Fill(values)
	require.Equal(t, "5", figureOf(t, twice, "screw", "count").Text)
	require.Equal(t, "M5", figureOf(t, twice, "screw_3b", "thread").Text)
	require.Len(t, twice.Fasteners, len(before.Fasteners)+1)
	require.Len(t, twice.Step("tighten").Notes, 1)
}

// Changes to what is not there bring their steps in and change nothing else.
func TestAChangeToNothing(t *testing.T) {
	p := domeCover(t)
	values := map[string]string{"code": "c", "edition": "1", "multiple": "1.5", "hold_time": "10 min"}
	after, _ := p.Revise([]Change{
		{Fastener: "bolt", Numbers: []int{1}, Part: "bolt_1", Thread: "M4"},
		{Steps: []Step{{ID: "x", Kind: "make", Do: "x"}}, After: "nowhere"},
	}).Fill(values)
	require.Len(t, after.Fasteners, 1)
	require.Equal(t, "x", after.Steps()[len(after.Steps())-1].ID)
}

// Two figures of one name say whose they are; of the odd screw of a circle only
// what differs stands beside the circle's.
func TestFiguresOfSeveralPartsAreToldApart(t *testing.T) {
	p := domeCover(t)
	values := map[string]string{"code": "c", "edition": "1", "multiple": "1.5", "hold_time": "10 min"}
	after, _ := p.Revise([]Change{{Fastener: "screw", Numbers: []int{3}, Part: "screw_3", Thread: "2 BA"}}).Fill(values)
	labels := map[string]string{}
	for _, f := range after.Step("tighten").Figures {
		require.NotContains(t, labels, f.Label)
		labels[f.Label] = f.Key
	}
	require.Equal(t, "screw.torque", labels["Torque"])
	require.NotContains(t, labels, "Torque, no. 3", "the same torque for all of the circle")
	require.Equal(t, "screw_3.spanner", labels["Spanner, no. 3"])
	require.NotContains(t, labels, "Preload", "no figure of the kind of work")
}
