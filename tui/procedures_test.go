//go:build linux

package tui

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/recipes"
)

// benchOnly is set where this test program is to be the bench screen itself, on
// the job in the folder it names, with a clock that a file beside it sets on.
const benchOnly = "FETTLE_TEST_BENCH"

// asBench is the bench screen with a clock of its own, for terminals in tests: a
// cure is not waited for.
func asBench(dir string) error {
	now := func() time.Time {
		text, _ := os.ReadFile(filepath.Join(filepath.Dir(dir), "ahead"))
		ahead, _ := time.ParseDuration(string(text))
		return time.Now().Add(ahead)
	}
	return Run(Options{
		Env:  job.Env{Now: now, StateDir: filepath.Join(filepath.Dir(dir), "state"), Person: "Ana"},
		Jobs: filepath.Dir(dir), Open: dir, Recipes: recipes.FS(),
	}, os.Stdin, os.Stdout)
}

// walks are the settings that the procedures are walked with: between them every
// step of every procedure is come to.
func walks() map[string][]map[string]string {
	test := func(regulator string) map[string]string {
		return map[string]string{
			"code": "Club code", "edition": "2018", "certifier": "Ruth", "multiple": "1.5", "target": "9 bar",
			"hold_time": "10 min", "drop_allowed": "0 bar", "regulator": regulator, "operator": "Ana",
		}
	}
	return map[string][]map[string]string{
		"gland.toml":     {nil, {"valve": "hand pump valve", "zone": "cold feed", "sealing": "o-ring", "pressure": "3 bar", "ring_material": "EPDM, peroxide cured"}},
		"hydraulic.toml": {test("shut"), test("open, outlets blanked")},
		"regulator.toml": {{"test_pressure": "120 psi"}, {
			"pressure": "60 psi", "test_pressure": "70 psi", "regulator": "rotary plug", "swing": "60", "cover_thread": "4 BA", "cover_count": "8", "cover_head": "cheese",
			"cover_grade": "aluminium bronze", "cover_length": "1/2 in", "cover_thick": "4 mm", "cover_depth": "8 mm", "cover_circle": "1 3/4 in",
			"gasket_inner": "1 1/4 in", "gasket_outer": "36.5 mm", "gasket_thick": "0.5 mm", "thread_seal": "anaerobic sealant", "shop": "18",
		}, {
			"test_pressure": "120 psi", "regulator": "ball with seat rings", "cover_thread": "3/16 x 40 ME", "cover_count": "8", "cover_grade": "phosphor bronze",
			"cover_length": "16 mm", "cover_thick": "6 mm", "cover_depth": "10 mm", "cover_circle": "60 mm",
			"gasket_inner": "44 mm", "gasket_outer": "47.5 mm", "release": "inspector",
		}},
		"top-feed.toml": {{"test_pressure": "120 psi"}, {"pressure": "60 psi", "test_pressure": "70 psi", "thread_seal": "anaerobic sealant", "release": "inspector"}},
		"wet-header.toml": {{"test_pressure": "120 psi"}, {
			"pressure": "60 psi", "test_pressure": "70 psi", "shop": "12", "regulator_place": "after the header", "joint": "cone", "stud_thread": "0 BA", "nut_flats": "0.413 in", "stud_count": "3",
			"stud_grade": "phosphor bronze", "stud_depth": "10 mm", "thread_seal": "anaerobic sealant", "elements": "4",
			"union_thread": "5/16 x 32 ME", "union_flats": "7/16 in", "release": "owner", "element_joint": "graphite sheet",
		}, {
			"pressure": "5 bar", "test_pressure": "6 bar", "joint": "o-ring", "stud_thread": "1/4 x 40 ME", "nut_flats": "7/16 in", "stud_count": "4",
			"stud_depth": "10 mm", "stud_circle": "40 mm", "elements": "1", "union_thread": "M10x1", "union_flats": "14 mm",
		}},
		"workshop-damaged-hole.toml": {nil, {"repair": "next size", "new_thread": "2 BA"}, {
			"boundary": "a part that comes off", "release": "owner", "old_thread": "4 BA", "new_thread": "4 BA", "hole": "3.1 mm",
			"hole_kind": "dry blind", "repair": "chase", "metal": "brass", "depth": "7 mm", "edge": "6 mm",
		}, {
			"old_thread": "M3", "new_thread": "M3", "hole": "2.9 mm", "hole_kind": "wet blind", "repair": "longer screw",
			"depth": "8 mm", "edge": "5 mm", "grade": "aluminium bronze",
		}, {
			"boundary": "the boiler shell", "old_thread": "1/4 x 40 ME", "new_thread": "3/8 x 32 ME", "hole": "6.3 mm",
			"repair": "bush", "metal": "copper, annealed", "depth": "16 mm", "edge": "20 mm",
		}},
		"workshop-open-boiler.toml": {
			{"place": "a clack bush", "thread": "1/4 x 40 ME", "percent": "65", "depth": "6 mm", "new_hole": "no hole yet", "metal": "copper"},
			{"place": "a dome ring hole", "thread": "M5", "percent": "75", "depth": "10 mm", "floor": "blind", "metal": "steel", "release": "owner"},
		},
		"workshop-sheared.toml": {
			{"thread": "2 BA"},
			{"thread": "5/16 x 32 ME", "stands": "proud", "came_out": "yes"},
		},
	}
}

// Every bundled procedure from its first to its last step on a terminal of 40
// columns and 20 rows, doing what the screen asks, in the order it asks for it.
func TestEveryProcedureFromFirstToLastStep(t *testing.T) {
	if os.Getenv("FETTLE_SLOW") == "" {
		t.Skip("minutes of pressing keys: FETTLE_SLOW=1")
	}
	names, err := fs.Glob(recipes.FS(), "*.toml")
	require.NoError(t, err)
	for _, file := range names {
		src, err := fs.ReadFile(recipes.FS(), file)
		require.NoError(t, err)
		proc, found := checklist.NewLibrary(recipes.FS()).Read(file, src)
		require.Empty(t, found)
		come := map[string]bool{}
		for i, values := range walks()[file] {
			filled, found := proc.Fill(values)
			require.Empty(t, found)
			for _, step := range filled.Steps() {
				come[step.ID] = true
			}
			t.Run(fmt.Sprintf("%s-%d", strings.TrimSuffix(file, ".toml"), i), func(t *testing.T) { walkProcedure(t, proc, values) })
		}
		for _, stage := range proc.Stages {
			for _, step := range stage.Steps {
				require.True(t, come[step.ID], "%s: no walk comes to %s", file, step.ID)
			}
		}
	}
}

func walkProcedure(t *testing.T, proc *checklist.Procedure, values map[string]string) {
	x := newTmux(t)
	dir := filepath.Join(x.dir, "job")
	ahead := time.Duration(0) // how far the clock is set on
	env := job.Env{Now: func() time.Time { return time.Now().Add(ahead) }, StateDir: filepath.Join(x.dir, "state"), Person: "Ana"}
	j, err := job.Start(dir, proc, values, "Bramble", env)
	require.NoError(t, err)
	self, err := os.Executable()
	require.NoError(t, err)
	x.start(40, 20, fmt.Sprintf("%s=%s %s", benchOnly, dir, self))

	now := func() *job.Job {
		_, err := j.Refresh()
		require.NoError(t, err)
		return j
	}
	later := func(by time.Duration) {
		ahead += by
		require.NoError(t, os.WriteFile(filepath.Join(x.dir, "ahead"), []byte(ahead.String()), 0o600))
		x.keys("C-r")
	}
	s := x.stands("a large button", func(s string) bool { return large(s) != "" && !saving(s) })
	for range 1500 {
		word := large(s)
		if strings.Contains(s, "What time is it, by a watch?") {
			s = x.give(s, env.Now().Format("1504"))
			continue
		}
		if strings.HasPrefix(word, "Step ") { // one that rests on what was changed since
			word = "Go on"
		}
		if strings.Contains(s, "Who releases this hold") || strings.HasPrefix(word, "Use ") { // a thread, from the tray
			word = "Keep"
		} else if word == "" && strings.Contains(s, "    Waits") {
			word = "Waits"
		}
		if next, on := x.testSheet(s, word, now, env.Now, later); on {
			s = next
			continue
		}
		switch word {
		case "All done":
			state := now().State()
			require.Equal(t, state.Total, state.Done, "all of them done, none left out")
			for _, step := range j.Filled().Steps() {
				for name, values := range state.Steps[step.ID].Readings {
					require.True(t, values[0].Judgement.OK, "%s %s: %s", step.ID, name, values[0].Judgement.Text)
				}
			}
			return
		case "To the steps", "Done", "Go on", "Read on", "Reading", "Release", "Start", "Next step", "Test sheet", "Begin", "Say the time":
			x.keys("F12", "Enter") // a key that does nothing shows that enter was let go
			s = x.changed(s)
		case "Waits":
			later(500 * time.Hour)
			s = x.changed(s)
		case "Keep":
			before := s
			s = x.answer(s, now())
			if s == before {
				s = x.changed(before)
			}
		default:
			t.Fatalf("no way on:\n%s", s)
		}
	}
	t.Fatalf("the job never ends:\n%s", s)
}

// testSheet does what the sheet of the pressure test asks for, and says whether it
// is what the screen shows: what is still to type in, the test begun, a reading
// for each stage, one at the end of the hold, the result.
func (x *tmux) testSheet(s, word string, now func() *job.Job, clock func() time.Time, later func(time.Duration)) (string, bool) {
	x.t.Helper()
	flat := strings.Join(strings.Fields(s), " ")
	asked := func(text string) bool { return strings.Contains(flat, text) }
	wanted := func(j *job.Job, gate job.GateName) bool {
		return slices.ContainsFunc(j.State().Steps[j.State().Next].Gates, func(g job.Gate) bool { return g.Name == gate && len(g.Passed) == 0 })
	}
	watched := func(j *job.Job) bool {
		return wanted(j, job.GateTest) && j.Filled().Step(j.State().Next).Kind == "wait"
	}
	last := func(j *job.Job) time.Time {
		state := j.State()
		points := state.Test.Last().Points
		return points[len(points)-1].At
	}
	switch {
	case asked("Why is it tested?"):
		x.keys("F12", "Enter")
		return x.changed(s), true
	case asked("What is the result?"):
		return x.pick(s, "Pass"), true
	case asked("Who judges the test?"):
		return x.pick(s, "Ruth"), true
	case asked("What was seen?"):
		x.keys("F12", "Enter")
		return x.changed(s), true
	case asked("What does the gauge show?"):
		j := now()
		target := j.State().Test.Target.Bar()
		share := map[string]float64{"quarter": 0.25, "half": 0.5, "working": 0.67}[j.State().Next]
		if share == 0 {
			share = 1
		}
		return x.give(s, fmt.Sprintf("%.2f bar", target*share)), true
	case asked("Strokes of the pump, all told"):
		strokes := map[string]string{"quarter": "5", "half": "9", "working": "12"}[now().State().Next]
		if strokes == "" {
			strokes = "17"
		}
		return x.give(s, strokes), true
	case asked("How warm is the water?"):
		return x.give(s, "17"), true
	case asked("Operator") && asked("Your local code says it"):
		return x.give(s, "Ana"), true
	case !asked("Pressure test with water"):
		return s, false
	}
	switch j := now(); {
	case word == "Fill in", word == "Begin":
		x.keys("F12", "Enter")
	case word == "Reading" && watched(j) && clock().Sub(last(j)) < 10*time.Minute:
		later(20 * time.Minute) // the hold; nothing on this page shows it
		return s, true
	case word == "Reading" && wanted(j, job.GateTest) && j.State().Next != "result":
		x.keys("F12", "Enter")
	case word == "Reading" && j.State().Next == "result":
		x.keys("o")
	case word == "Read on":
		x.keys("F12", "Enter")
	default:
		x.keys("Escape")
	}
	return x.changed(s), true
}

// give types one answer and keeps it.
func (x *tmux) give(s, value string) string {
	x.t.Helper()
	x.write(value)
	shown := x.stands("the answer "+value, func(s string) bool { return strings.Contains(s, value) })
	x.keys("F12", "Enter")
	return x.changed(shown)
}

// pick takes one of the choices on the screen.
func (x *tmux) pick(s, choice string) string {
	x.t.Helper()
	for !strings.Contains(s, "› "+choice) {
		x.keys("Down")
		s = x.changed(s)
	}
	x.keys("F12", "Enter")
	return x.changed(s)
}

// answer gives what the screen asks for: a name at a hold, or a reading within
// its limits.
func (x *tmux) answer(s string, j *job.Job) string {
	x.t.Helper()
	flat := strings.Join(strings.Fields(s), " ")
	value, choosing := "", false
	if strings.Contains(flat, "Who releases this hold") {
		value = "Ruth"
	} else {
		for _, step := range j.Filled().Steps() {
			if step.ID != j.State().Next {
				continue
			}
			for i := range step.Readings {
				if r := &step.Readings[i]; value == "" && strings.Contains(flat, r.Ask) && len(j.State().Steps[step.ID].Readings[r.Name]) == 0 {
					value = within(j, r)
					choosing = r.Unit == "yes-no" || len(r.Choices) > 0
				}
			}
		}
	}
	if value == "" {
		x.t.Fatalf("what is asked for here?\n%s", s)
	}
	shown := s
	if choosing {
		for shown = s; !strings.Contains(shown, "› "+value); shown = x.changed(shown) {
			x.keys("Down")
		}
	} else {
		x.write(value)
		shown = x.stands("the answer "+value, func(s string) bool { return strings.Contains(s, "› "+value) })
	}
	x.keys("F12", "Enter")
	return x.changed(shown)
}

// within is a good value of a reading.
func within(j *job.Job, r *checklist.FilledReading) string {
	if r.Unit == "thread" && r.Sets == "new_thread" {
		return "M5" // it has no answer before
	}
	if r.Sets != "" {
		for _, v := range j.Filled().Values {
			if v.Name == r.Sets {
				if judged, err := r.Judge(v.Text); err == nil && judged.OK {
					return v.Text
				}
			}
		}
	}
	switch {
	case r.Nominal.Given:
		return r.Nominal.Text
	case r.Low.Given && r.High.Given && r.Kind == "count":
		return fmt.Sprint(int(r.High.Value))
	case r.Low.Given && r.High.Given:
		return fmt.Sprintf("%g", (r.Low.Value+r.High.Value)/2)
	case r.Low.Given:
		return fmt.Sprintf("%g", r.Low.Value)
	case r.High.Given:
		return fmt.Sprintf("%g", r.High.Value)
	case len(r.Choices) > 0:
		return r.Choices[0]
	}
	return "17"
}

// What is agreed on a pressure test before the sheet is whole is void when the rest is
// typed in: the page of the release says so.
func TestAReleaseSaysWhatTheSheetLacks(t *testing.T) {
	src, err := fs.ReadFile(recipes.FS(), "hydraulic.toml")
	require.NoError(t, err)
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		b := newBench(t, size[0], size[1])
		o := b.options(func(o *Options) { o.Recipes = recipes.FS() })
		o.Env.Person, o.Open = "Ana", filepath.Join(o.Jobs, "bramble")
		proc, _ := checklist.NewLibrary(recipes.FS()).Read("hydraulic.toml", src)
		require.NoError(t, os.MkdirAll(o.Jobs, 0o755))
		answers := walks()["hydraulic.toml"][0]
		delete(answers, "operator")
		j, err := job.Start(o.Open, proc, answers, "Bramble", o.Env)
		require.NoError(t, err)
		for _, r := range j.Filled().Steps()[0].Readings {
			must(t)(j.Read(j.Filled().Steps()[0].ID, r.Name, within(j, &r)))
		}
		must(t)(j.Tick(j.Filled().Steps()[0].ID))
		b.begin(o, size[0], size[1])
		w := &way{b, false}
		w.seenAll()
		for w.word() == "Reading" {
			w.do("Reading")
			w.pick("yes")
			w.seenAll()
		}
		w.do("Release")
		w.tells("Not on the test sheet yet: Operator. What is typed in there later voids this release.")
	}
}
