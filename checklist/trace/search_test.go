package trace_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist/trace"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

func proposal(s *trace.Search, test, again string) *trace.Proposal {
	for _, p := range s.Next() {
		if p.Test.Name == test && p.Again == again {
			return &p
		}
	}
	return nil
}

// wetBlowdown is a round on which only the blowdown dripped, and dripped again.
func wetBlowdown() []trace.Answer {
	return []trace.Answer{{Test: "round", Saw: trace.Yes, Wet: []string{"blowdown"}}, {Test: "blowdown", Again: "blowdown", Saw: trace.Yes}}
}

// A look never excludes a second cause; "it holds" does.
func TestSecondCause(t *testing.T) {
	m := model(t, "dome", "shut")
	round := trace.Answer{Test: "round", Saw: trace.Yes, Wet: []string{"spindles"}}
	again := trace.Answer{Test: "spindles", Again: "spindles", Saw: trace.Yes}
	nipped := m.Search(trace.Now{}, []trace.Answer{round, again, {Test: "nip-gland", Saw: trace.Yes}}).Conclusion()
	require.Equal(t, trace.Found, nipped.Ending)
	require.Equal(t, "glands", nipped.Paths[0].Name)
	require.InDelta(t, 0.013, nipped.Second, 5e-4) // the reference program: 0.013
	require.Equal(t, "Found: gland of a spindle, more than 99 in 100.", nipped.Message)
	require.Equal(t, []string{"Test again after the repair."}, nipped.Then)
	require.Equal(t, check.Note, nipped.Severity)

	wet := m.Search(trace.Now{}, wetBlowdown()).Conclusion()
	require.Greater(t, wet.Second, 0.1, "nothing was seen to hold")
	require.Equal(t, "Found: blowdown valve passing, 96 in 100. Something else may lose water too, 1 in 10. The boiler itself is not ruled out, 2 in 100.", wet.Message)
	require.Equal(t, check.Ask, wet.Severity)
	require.Equal(t, []string{"Look at seams, stays and tube ends before the repair.", "Test again after the repair."}, wet.Then)
}

// After a repair the search goes on from the same belief, with the repair as an answer.
func TestAfterARepair(t *testing.T) {
	m := model(t, "dome", "shut")
	answers := wetBlowdown()
	found := m.Search(trace.Now{}, answers).Conclusion()
	require.Equal(t, "blowdown-valve", found.Paths[0].Name)

	still := m.Search(trace.Now{}, append(slices.Clone(answers), trace.Answer{Mended: "blowdown-valve", Saw: trace.No}))
	require.Equal(t, trace.Going, still.Conclusion().Ending, "what was mended is not named again")
	require.NotEmpty(t, still.Next())
	require.Greater(t, belief(still, "regulator"), 0.1, "something else is suspected now")
	for _, x := range still.Suspects() {
		require.Equal(t, x.Path.Name == "blowdown-valve", x.Mended, x.Path.Name)
	}
	// Not even where everything spoke for it.
	sure := append(slices.Clone(answers), trace.Answer{Test: "blowdown-plug", Saw: trace.Yes}, trace.Answer{Mended: "blowdown-valve", Saw: trace.No})
	require.Greater(t, belief(m.Search(trace.Now{}, sure), "blowdown-valve"), 0.95)
	require.NotEqual(t, trace.Found, m.Search(trace.Now{}, sure).Conclusion().Ending)
	holds := m.Search(trace.Now{}, append(slices.Clone(answers), trace.Answer{Mended: "blowdown-valve", Saw: trace.Yes})).Conclusion()
	require.Equal(t, trace.Found, holds.Ending)
	require.Less(t, holds.Second, 0.02)
}

// One wet grate is enough to stop.
func TestStructureStops(t *testing.T) {
	s := model(t, "dome", "shut").Search(trace.Now{}, []trace.Answer{{Test: "grate-paper", Saw: trace.Yes}})
	c := s.Conclusion()
	require.Equal(t, trace.Stop, c.Ending)
	require.Equal(t, check.Stop, c.Severity)
	require.InDelta(t, 0.5076, c.Chance, 5e-5) // the reference program: 0.5076
	require.Equal(t, "Stop. The boiler itself may leak: tube ends in the firebox, 5 in 10.", c.Message)
	require.Equal(t, []string{"Let the pressure down.", "Call the boiler inspector. Nobody else decides on a repair.", "Use no sealing compound."}, c.Then)
	require.NotEmpty(t, s.Next(), "the inspector may go on")
}

// What stands behind one cover is named as a group, with what would tell it apart.
func TestGroup(t *testing.T) {
	answers := []trace.Answer{{Test: "round", Saw: trace.No}, {Test: "drain-cocks", Saw: trace.Yes}, {Test: "drain-cocks", Again: "drain-cocks", Saw: trace.Yes}, {Test: "header-blank", Saw: trace.Yes}}
	c := model(t, "dome", "shut").Search(trace.Now{}, answers).Conclusion()
	require.Equal(t, trace.Found, c.Ending)
	require.Len(t, c.Paths, 2)
	require.Equal(t, "Cover of the dome", c.Cover)
	require.Equal(t, "pipe-alone", c.Apart[0].Name)
	// With the regulator in the smokebox there is no such pipe.
	c = model(t, "smokebox", "shut").Search(trace.Now{}, answers).Conclusion()
	require.Len(t, c.Paths, 1)
	require.Equal(t, "regulator", c.Paths[0].Name)
}

// Two wet places that are each dried and wet again are mended both.
func TestTwoToMend(t *testing.T) {
	c := model(t, "dome", "shut").Search(trace.Now{}, []trace.Answer{
		{Test: "round", Saw: trace.Yes, Wet: []string{"spindles", "cover-seams"}},
		{Test: "spindles", Again: "spindles", Saw: trace.Yes}, {Test: "cover-seams", Again: "cover-seams", Saw: trace.Yes},
		{Test: "firebox-mirror", Saw: trace.No}, {Test: "grate-paper", Saw: trace.No}, {Test: "shell", Saw: trace.No}, {Test: "smokebox-mirror", Saw: trace.No},
	}).Conclusion()
	require.Equal(t, trace.Found, c.Ending)
	require.Len(t, c.Paths, 2)
	require.Contains(t, c.Message, "Mend both.")
}

// The arrangement is part of the question: what has no pressure on it is no suspect,
// and an answer under another arrangement is set aside.
func TestArrangement(t *testing.T) {
	m := model(t, "dome", "open")
	s := m.Search(trace.Now{}, []trace.Answer{
		{Test: "round", Saw: trace.No, Arrangement: "shut"}, {Test: "drain-cocks", Saw: trace.Yes}, {Test: "nothing", Saw: trace.Yes},
		{Test: "round", Saw: trace.No, Wet: []string{"moon"}}, {Mended: "regulator", Saw: trace.Yes}, {Test: "wait", Saw: "perhaps"}, {Test: "wait", Saw: trace.Yes, Pressure: "high"},
	})
	require.Len(t, s.Aside, 7)
	require.Contains(t, s.Aside[0].Why, "another question")
	for _, x := range s.Suspects() {
		require.NotContains(t, []string{"regulator", "steam-pipe"}, x.Path.Name)
	}
	require.Equal(t, beliefs(m.Search(trace.Now{}, nil)), beliefs(s))
}

// A dry place at working pressure says less than one at test pressure, and the two are
// no two witnesses.
func TestPressureOfALook(t *testing.T) {
	m := model(t, "dome", "shut")
	at := func(pressures ...trace.Pressure) float64 {
		var answers []trace.Answer
		for _, p := range pressures {
			answers = append(answers, trace.Answer{Test: "cover-seams", Saw: trace.No, Pressure: p})
		}
		return belief(m.Search(trace.Now{}, answers), "covers")
	}
	none, working, test := at(), at(trace.AtWorking), at(trace.AtTest)
	require.Greater(t, none, working)
	require.Greater(t, working, test)
	require.InDelta(t, test, at(trace.AtWorking, trace.AtTest), 1e-3)
	require.InDelta(t, 0.0605, none, 5e-5) // the reference program: 0.061
	// The reference program has 0.16; how its answer to half pressure errs is not in
	// print. With the chances of every other "it holds" it is 0.170, worked out apart.
	half := m.Search(trace.Now{}, []trace.Answer{{Test: "half-pressure", Saw: trace.Yes}})
	require.InDelta(t, 0.1703, belief(half, "covers"), 5e-5)
}

// A joint that failed before is suspected sooner, and its tests come sooner.
func TestBefore(t *testing.T) {
	c := boiler(t)
	m, err := trace.NewModel(c, trace.Case{Build: "dome", Arrangement: "shut", Before: map[string]float64{"covers": 3}})
	require.NoError(t, err)
	s := m.Search(trace.Now{}, nil)
	require.Greater(t, belief(s, "covers"), 2.2*belief(model(t, "dome", "shut").Search(trace.Now{}, nil), "covers"))
	for _, bad := range []trace.Case{
		{Build: "tower", Arrangement: "shut"}, {Build: "dome", Arrangement: "ajar"},
		{Build: "dome", Arrangement: "shut", Before: map[string]float64{"covers": 11}}, {Build: "dome", Arrangement: "shut", Before: map[string]float64{"moon": 2}},
	} {
		_, err := trace.NewModel(c, bad)
		require.Error(t, err)
	}
}

// What the boiler's state asks for first, and what it costs.
func TestFromThePresentState(t *testing.T) {
	m := model(t, "dome", "shut")
	for _, c := range []struct {
		now     trace.Pressure
		test    string
		minutes float64
		first   string
	}{
		{trace.AtTest, "blower-cap", 24, "Let the pressure down to nothing and open the vent."},
		{trace.Down, "blower-cap", 22, "Write every blank into the register with its tag."},
		{trace.Down, "rig-tissue", 14, "Fill with water, vent and pump up. Never use air."},
		{trace.AtTest, "shell", 7, "Let the pressure down to working pressure."},
		{trace.AtWorking, "rig-tissue", 2, "Bring the pressure back. Stay at or below the code's figure."},
	} {
		p := proposal(m.Search(trace.Now{Pressure: c.now}, nil), c.test, "")
		require.NotNil(t, p, c.test)
		require.InDelta(t, c.minutes, p.Minutes, 1e-9, c.test)
		require.Equal(t, c.first, p.Before[0])
	}
	require.Nil(t, proposal(m.Search(trace.Now{Conditions: []string{"not-captive"}}, nil), "nip-gland", ""))
	require.Nil(t, proposal(m.Search(trace.Now{}, nil), "late-round", ""), "the first round comes first")
	require.NotNil(t, proposal(m.Search(trace.Now{}, []trace.Answer{{Test: "round", Saw: trace.No, Not: []string{"rig"}}}), "late-round", ""))
	require.Nil(t, proposal(m.Search(trace.Now{}, nil), "chalk", ""), "there is no wet seam")
	twice := []trace.Answer{{Test: "wait", Saw: trace.Unsure}, {Test: "wait", Saw: trace.Unsure}}
	require.NotNil(t, proposal(m.Search(trace.Now{}, twice[:1]), "wait", ""))
	require.Nil(t, proposal(m.Search(trace.Now{}, twice), "wait", ""), "twice unsure is enough")
}

// The words of a proposal.
func TestMeanings(t *testing.T) {
	s := model(t, "dome", "shut").Search(trace.Now{}, []trace.Answer{{Test: "round", Saw: trace.Yes, Wet: []string{"spindles"}}})
	p := proposal(s, "nip-gland", "")
	require.Equal(t, "It tells most for its 7 minutes. It is about: gland of a spindle.", p.Why())
	list := p.Meanings()
	require.Equal(t, "Yes: gland of a spindle, 99 in 100. That would be the end of the search.", list[0].Text)
	require.Equal(t, "No: gland of a spindle, 4 in 10.", list[1].Text)
	again := proposal(s, "spindles", "spindles")
	require.Equal(t, "Dry it well and look once more: valve and regulator spindles.", again.Do)
	require.Empty(t, again.Before)
	round := proposal(model(t, "dome", "shut").Search(trace.Now{}, nil), "round", "")
	require.Len(t, round.Meanings(), 13)
	require.Equal(t, "", round.Meanings()[12].Answer)
}

// Answers that do not go together are told, with what to look at again.
func TestDoubt(t *testing.T) {
	m := model(t, "dome", "shut")
	_, doubted := m.Search(trace.Now{}, []trace.Answer{{Test: "round", Saw: trace.Yes, Wet: []string{"spindles"}}, {Test: "nip-gland", Saw: trace.Yes}}).Doubt()
	require.False(t, doubted)
	d, doubted := m.Search(trace.Now{}, []trace.Answer{
		{Test: "round", Saw: trace.No}, {Test: "nip-gland", Saw: trace.Yes}, {Test: "header-blank", Saw: trace.Yes}, {Test: "glass-shut", Saw: trace.Yes}, {Test: "stop-valve", Saw: trace.Yes},
	}).Doubt()
	require.True(t, doubted)
	require.Equal(t, check.Warn, d.Severity)
	require.Len(t, d.Again, 2)
	for _, name := range d.Again {
		require.Contains(t, []string{"nip-gland", "header-blank", "glass-shut", "stop-valve"}, name)
	}
	require.Contains(t, d.Message, "Something was read wrongly. Look again at:")
}

// A search that comes to nothing says what is likely and what can be done.
func TestNotFound(t *testing.T) {
	m := model(t, "dome", "shut")
	s := m.Search(trace.Now{}, nil)
	require.Equal(t, trace.Going, s.Conclusion().Ending)
	require.Equal(t, check.Good, s.Conclusion().Severity)
	var answers []trace.Answer
	for s.Conclusion().Ending == trace.Going { // nothing is to be seen anywhere, and nothing helps
		answers = append(answers, trace.Answer{Test: s.Next()[0].Test.Name, Again: s.Next()[0].Again, Saw: trace.No})
		s = m.Search(trace.Now{}, answers)
	}
	c := s.Conclusion()
	require.Equal(t, trace.NotFound, c.Ending)
	require.Equal(t, check.Ask, c.Severity)
	require.Equal(t, s.Suspects()[0].Path, c.Paths[0])
	require.Contains(t, c.Message, "Not found without taking things apart. Likeliest: ")
	require.Len(t, c.Then, 3)
	no := m.Search(trace.Now{}, []trace.Answer{{Test: "wait", Saw: trace.Yes}, {Test: "temperature", Saw: trace.Yes}}).Conclusion()
	require.Equal(t, "no-leak", no.Rule)
	require.Equal(t, []string{"Begin the hold again and log the temperature with the pressure."}, no.Then)
}

// Nothing is named on answers that do not go together, however sure it looks.
func TestDoubtedIsNotNamed(t *testing.T) {
	strange := []trace.Answer{{Test: "round", Saw: trace.Yes, Wet: []string{"blowdown", "whistle", "glass-drain", "washout-plugs", "test-plugs"}}, {Test: "blowdown", Again: "blowdown", Saw: trace.Yes}, {Test: "blowdown-plug", Saw: trace.Yes}}
	for _, place := range []string{"whistle", "glass-drain", "washout-plugs"} {
		strange = append(strange, trace.Answer{Test: place, Again: place, Saw: trace.No})
	}
	strange = append(strange, trace.Answer{Test: "plug-tissue", Again: "test-plugs", Saw: trace.No})
	s := model(t, "dome", "shut").Search(trace.Now{}, strange)
	require.Greater(t, belief(s, "blowdown-valve"), 0.95)
	_, doubted := s.Doubt()
	require.True(t, doubted)
	c := s.Conclusion() // and no test is worth its time any more
	require.Equal(t, trace.NotFound, c.Ending)
	require.Contains(t, c.Then[0], "Something was read wrongly. Look again at: ")
}

// Twenty drops of 0.05 ml in two minutes are half a millilitre a minute.
func TestDrops(t *testing.T) {
	d, err := trace.CountDrops(20, 2*time.Minute, 2)
	require.NoError(t, err)
	require.InDelta(t, 0.5, float64(d.Seen), 1e-12)
	require.InDelta(t, 0.25, d.Share, 1e-12)
	require.Equal(t, check.Ask, d.Severity)
	d, err = trace.CountDrops(20, 2*time.Minute, 0.9)
	require.NoError(t, err)
	require.Equal(t, check.Good, d.Severity)
	for _, bad := range []func() (trace.Drops, error){
		func() (trace.Drops, error) { return trace.CountDrops(-1, time.Minute, 1) },
		func() (trace.Drops, error) { return trace.CountDrops(1, 0, 1) },
		func() (trace.Drops, error) { return trace.CountDrops(1, 25*time.Hour, 1) },
		func() (trace.Drops, error) { return trace.CountDrops(1, time.Minute, quantity.Volume(0)) },
	} {
		_, err := bad()
		require.Error(t, err)
	}
}
