package job

import (
	"strings"
	"time"

	"github.com/stretchr/testify/require"
)

// climbing is a job of a pressure test in stages, with its figures on the sheet.
func climbing(s *scene, sheet ...string) *Job {
	j := s.work(
		step("agree", "decide", `parts = ["water"]`, `hold = "inspector"`),
		step("half", "test", `parts = ["water"]`, `figures = ["water.half"]`),
		step("full", "test", `parts = ["water"]`, `figures = ["water.target"]`),
		step("watch", "wait", `parts = ["water"]`, `wait = "${hold_time}"`),
		step("look", "inspect"),
		step("result", "test", `parts = ["water"]`),
		step("close", "record"))
	for _, line := range append([]string{"operator=Ana", "inspector=Ruth", "boiler=B 17", "gauge=G 4", "gauge_date=2026-01-10"}, sheet...) {
		name, value, _ := strings.Cut(line, "=")
		must(j.Sheet(name, value))
	}
	return j
}

// agreed is climbing with the test agreed and begun.
func agreed(s *scene, sheet ...string) *Job {
	j := climbing(s, sheet...)
	must(j.Release("agree", "Ruth"))
	must(j.Tick("agree"))
	must(j.BeginTest(""))
	return j
}

// climbed is agreed with the hold over: nothing stands against a pass.
func climbed(s *scene, sheet ...string) *Job { return climbedTo(s, "9 bar", sheet...) }

func climbedTo(s *scene, bar string, sheet ...string) *Job {
	j := agreed(s, sheet...)
	s.points(j, "4.5 bar")
	must(j.Tick("half"))
	s.points(j, bar)
	must(j.Tick("full"))
	s.points(j, bar, bar)
	must(j.Tick("watch"))
	must(j.Tick("look"))
	return j
}

// passes wants the last test not to count as passed, whatever a log says.
func (s *scene) fails(j *Job) {
	run := lastTest(j)
	s.unless(!run.Passed, "the test counts as passed: %v", run.Reading.Lines())
	if len(j.State().Steps["result"].Ticks) == 0 {
		s.tick(j, "result")
	}
	s.open(j, "result")
}

// result is a result that another program wrote of the last test.
func (s *scene) result(j *Job, value, by string) string {
	run := lastTest(j)
	return s.write(j, Entry{Kind: KindResult, By: by, Step: run.Step, About: run.ID, Value: value})
}

// The pressure test: its sheet, its stages, its hold, its result.
var testScenarios = map[string]func(*scene){
	"a-test-as-it-should-be": func(s *scene) {
		j := climbed(s)
		s.refused(j.Tick("result"))
		must(j.Result("pass", "Ruth", "dry"))
		must(j.Tick("result"))
		must(j.Tick("close"))
		s.unless(lastTest(j).Passed, "nothing is wrong, and it has not passed")
	},
	"code-changed-after-it-was-agreed": func(s *scene) {
		j := climbing(s)
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		said := must(j.Sheet("hold", "3 min")).Said
		s.unless(strings.Contains(said, "agree"), "nobody is told that it is to be agreed again")
		s.open(j, "agree")
		must(j.BeginTest(""))
		s.points(j, "4.5 bar")
		s.refused(j.Tick("half"))
		must(j.Sheet("boiler", "B 18")) // that is none of the code's
	},
	"code-changed-while-a-test-runs": func(s *scene) {
		j := climbed(s)
		s.refused(j.Sheet("hold", "3 min"))
		s.refused(j.Sheet("target", "8 bar"))
		s.refused(j.Sheet("inspector", "Olga"))
		must(j.Sheet("hold", "10 min")) // as it was
		s.write(j, Entry{Kind: KindSheet, Reading: "multiple", Value: "1.6"})
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"judged-by-figures-written-later": func(s *scene) {
		j := agreed(s)
		s.points(j, "9 bar")
		s.now = s.now.Add(time.Minute)
		s.points(j, "9 bar")
		s.write(j, Entry{Kind: KindSheet, Reading: "hold", Value: "1 min"})
		s.result(j, "pass", "Ruth")
		s.unless(!lastTest(j).Passed, "passed by another hold time than it began with")
	},
	"test-begun-with-figures-of-its-own": func(s *scene) {
		j := climbing(s)
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		figures := map[string]string{}
		for line, value := range j.codeFigures() {
			figures[line] = value
		}
		figures[sheetKey+"hold"], figures[sheetKey+"target"] = "1 min", "2 bar"
		s.write(j, Entry{Kind: KindRun, Step: "result", Saw: figures, Seen: append([]string(nil), j.view().changed.touch["result"]...)})
		s.points(j, "2 bar")
		s.now = s.now.Add(time.Minute)
		s.points(j, "2 bar")
		s.result(j, "pass", "Ruth")
		s.tick(j, "result")
		s.open(j, "result")
	},
	"pressure-raised-after-the-pass": func(s *scene) {
		j := climbedTo(s, "8 bar", "target=8 bar")
		must(j.Result("pass", "Ruth", "dry"))
		must(j.Tick("result"))
		must(j.Sheet("target", "9 bar"))
		s.open(j, "result")
		s.refused(j.Tick("close"))
	},
	"preliminary-test-for-one-that-certifies": func(s *scene) {
		j := climbed(s, "preliminary=yes")
		must(j.Result("pass", "Tom", "dry"))
		must(j.Tick("result"))
		must(j.Sheet("preliminary", "no"))
		s.open(j, "result")
		s.refused(j.Tick("close"))
	},
	"above-the-product": func(s *scene) {
		j := climbing(s)
		s.refused(j.Sheet("target", "9.5 bar"))
		s.refused(j.Sheet("target", "240 psi"))
	},
	"above-the-product-by-another-program": func(s *scene) {
		j := climbing(s)
		s.write(j, Entry{Kind: KindSheet, Reading: "target", Value: "20 bar"})
		s.refused(j.BeginTest(""))
	},
	"figures-of-the-code-not-typed-in": func(s *scene) {
		j := s.work(step("result", "test", `parts = ["water"]`))
		s.refused(j.BeginTest(""))
		s.write(j, Entry{Kind: KindRun, Step: "result"})
		s.points(j, "9 bar", "9 bar")
		s.result(j, "pass", "")
		s.fails(j)
	},
	"who-pumps-inspects": func(s *scene) {
		j := climbing(s)
		s.write(j, Entry{Kind: KindSheet, Reading: "operator", Value: "Ruth"})
		s.refused(j.BeginTest(""))
		s.write(j, Entry{Kind: KindRun, Step: "result", Saw: j.codeFigures()})
		s.points(j, "9 bar", "9 bar")
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"gauge-that-ends-below-the-test-pressure": func(s *scene) {
		j := climbing(s, "gauge_scale=7 bar")
		s.refused(j.BeginTest(""))
	},
	"stage-without-its-reading": func(s *scene) {
		j := agreed(s)
		s.points(j, "0.5 bar")
		s.shut(j, "half", GateTest)
		s.tick(j, "half")
		s.open(j, "half")
	},
	"test-pressure-not-reached": func(s *scene) {
		j := agreed(s)
		s.points(j, "4.5 bar")
		must(j.Tick("half"))
		s.points(j, "8.5 bar")
		s.refused(j.Tick("full"))
		s.points(j, "8.5 bar", "8.5 bar")
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"hold-cut-short": func(s *scene) {
		j := agreed(s)
		s.points(j, "4.5 bar")
		must(j.Tick("half"))
		s.points(j, "9 bar")
		must(j.Tick("full"))
		s.now = s.now.Add(5 * time.Minute)
		s.points(j, "9 bar")
		s.refused(j.Tick("watch"))
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"reading-written-before-its-time": func(s *scene) {
		j := climbed(s)
		run := lastTest(j).ID
		s.write(j, Entry{Kind: KindPoint, Step: "result", About: run, Value: "9 bar", Data: map[string]string{"at": s.now.Add(time.Hour).Format(time.RFC3339)}})
		s.hours(2)
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"reading-from-before-the-test": func(s *scene) {
		j := agreed(s)
		_, _, err := j.Point(NewPoint{Pressure: "9 bar", At: s.now.Add(-time.Hour)})
		require.Error(s.trial, err)
		s.write(j, Entry{Kind: KindPoint, Step: "result", About: lastTest(j).ID, Value: "9 bar", Data: map[string]string{"at": s.now.Add(-time.Hour).Format(time.RFC3339)}})
		s.points(j, "9 bar")
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"watch-over-a-reading-before-its-time": func(s *scene) {
		j := agreed(s)
		s.points(j, "4.5 bar", "9 bar")
		must(j.Tick("half"))
		must(j.Tick("full"))
		s.write(j, Entry{Kind: KindPoint, Step: "result", About: lastTest(j).ID, Value: "9 bar", Data: map[string]string{"at": s.now.Add(time.Hour).Format(time.RFC3339)}})
		s.refused(j.Tick("watch"))
		s.tick(j, "watch")
		s.open(j, "watch")
	},
	"pumped-over-the-alarm": func(s *scene) {
		j := agreed(s)
		s.points(j, "4.5 bar", "9.6 bar")
		s.refused(j.Tick("half"))
		s.points(j, "9 bar", "9 bar")
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"reading-over-the-alarm-pushed-aside": func(s *scene) {
		j := agreed(s)
		s.points(j, "9.6 bar")
		over := lastTest(j).Points[0].ID
		s.write(j, Entry{Kind: KindPoint, Step: "result", About: lastTest(j).ID, Value: "9 bar", Replaces: []string{over}})
		s.points(j, "9 bar", "9 bar")
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"ticked-without-a-pass": func(s *scene) {
		j := climbed(s)
		s.shut(j, "result", GateTest)
		s.tick(j, "result")
		s.open(j, "result")
		s.refused(j.Tick("close"))
	},
	"pass-after-a-fail": func(s *scene) {
		j := climbed(s)
		must(j.Result("fail", "Ruth", "water at a stay"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"pass-and-fail-apart": func(s *scene) {
		j := climbed(s)
		tom := s.apart("Tom", j, 0)
		must(tom.Result("fail", "Tom", "water at a stay"))
		must(j.Result("pass", "Ruth", "dry"))
		must(j.Tick("result"))
		s.meet(j, tom)
		s.fails(j)
		s.fails(tom)
	},
	"fail-pushed-aside": func(s *scene) {
		j := climbed(s)
		fail := must(j.Result("fail", "Ruth", "water at a stay")).Entry
		s.write(j, Entry{Kind: KindResult, By: "Ruth", Step: fail.Step, About: fail.About, Value: "pass", Replaces: []string{fail.ID}})
		s.fails(j)
	},
	"line-of-the-sheet-pushed-aside-by-another": func(s *scene) {
		j := s.work(step("result", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.Sheet("drop_allowed", "0 bar"))
		id := j.view().fold.judged[KindSheet][2].ID
		s.write(j, Entry{Kind: KindSheet, Reading: "boiler", Value: "B 17", Replaces: []string{id}})
		sheet := j.State().Test
		s.unless(sheet.Value("drop_allowed") == "0 bar", "the fall that the code allows is gone from the sheet")
	},
	"passed-by-somebody-else": func(s *scene) {
		j := climbed(s)
		s.refused(j.Result("pass", "Tom", "dry"))
		s.result(j, "pass", "Tom")
		s.fails(j)
	},
	"second-test-on-the-ticks-of-the-first": func(s *scene) {
		j := climbed(s)
		must(j.Result("fail", "Ruth", "pumped unevenly"))
		must(j.BeginTest("again"))
		s.points(j, "4.5 bar", "9 bar", "9 bar")
		for _, id := range []string{"half", "full", "watch", "look"} {
			s.open(j, id)
		}
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"part-changed-after-the-test": func(s *scene) {
		j := s.ready()
		must(j.BeginTest(""))
		s.points(j, "9.31 bar", "9.31 bar")
		must(j.Result("pass", "Ruth", "dry"))
		must(j.Tick("water-test"))
		must(j.Find(pulledOut("3.65")))
		must(j.Dispose("1", upASize()))
		s.tick(j, "water-test")
		s.open(j, "water-test")
	},
	"fault-found-again-after-its-decision": func(s *scene) {
		j := climbed(s)
		must(j.Try("F1", true, "beads at the gland"))
		_, _ = j.Dispose("1", NewDisposition{Decision: AcceptIt, Text: "wiped dry"})
		must(j.Try("F1", true, "beads again"))
		s.points(j, "9 bar", "9 bar")
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"fault-found-in-the-test": func(s *scene) {
		j := climbed(s)
		must(j.Try("F1", true, "beads at the gland"))
		state := j.State()
		s.unless(len(state.Findings) == 1, "nobody has to think of writing it down")
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.unless(len(j.AgainstPass()) > 0, "nothing is said before the question who judges")
		must(j.Dispose("1", NewDisposition{Decision: Concession, Text: "a drop a minute, by the code", Allowed: "Ruth"}))
		must(j.Result("pass", "Ruth", "dry"))
	},
	"fault-pushed-aside-by-a-dry-look": func(s *scene) {
		j := climbed(s)
		must(j.Try("F1", true, "beads at the gland"))
		must(j.Try("F1", false, "dry"))
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"wet-place-counted-in-the-test": func(s *scene) {
		j := s.work(
			step("full", "test", `parts = ["water"]`, `reading = [{ name = "wet", ask = "Wet places", kind = "count", low = "0", high = "0", outside = "ask" }]`),
			step("watch", "wait", `parts = ["water"]`, `wait = "${hold_time}"`),
			step("result", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.BeginTest(""))
		s.points(j, "9 bar")
		must(j.Read("full", "wet", "1"))
		must(j.Pass("full", GateAsk, "Ruth", "it is the hose"))
		if state := j.State(); len(state.Findings) > 0 {
			must(j.Pass("full", GateFindings, "Ruth", "it is the hose"))
		}
		must(j.Tick("full"))
		s.points(j, "9 bar", "9 bar")
		must(j.Tick("watch"))
		s.refused(j.Result("pass", "Ruth", "dry"))
		must(j.Read("full", "wet", "0"))
		s.refused(j.Result("pass", "Ruth", "dry"))
		must(j.Dispose("1", NewDisposition{Decision: AcceptIt, Text: "the hose dripped on it"}))
	},
	"finding-open-before-a-pressure-test": func(s *scene) {
		j := s.ready()
		must(j.Find(NewFinding{What: Leaking, Text: "damp under the nut"}))
		s.shutFor(j, "water-test", GateFindings)
		s.refused(j.BeginTest(""))
	},
	"leak-of-the-structure-accepted": func(s *scene) {
		j := climbed(s)
		must(j.Try("F17", true, "a line of beads"))
		id := j.State().Findings[0].ID
		s.refused(j.Dispose("1", NewDisposition{Decision: AcceptIt, Text: "only a little"}))
		s.write(j, Entry{Kind: KindDispose, Step: "result", About: id, Value: "accept", Text: "only a little"})
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"next-test-over-a-leak-of-the-structure": func(s *scene) {
		j := climbed(s)
		must(j.Try("F17", true, "a line of beads"))
		must(j.Result("fail", "Ruth", "a line of beads"))
		s.refused(j.BeginTest("again"))
	},
	"blank-in-at-the-pass": func(s *scene) {
		j := climbed(s)
		must(j.FitBlank("1", "on", "whistle"))
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"steps-before-the-pass-undone": func(s *scene) {
		j := agreed(s)
		s.points(j, "4.5 bar", "9 bar", "9 bar")
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"other-job-cures": func(s *scene) {
		other := s.jobAt("/stick/club/other", parts+step("seal", "seal", `parts = ["paste"]`)+step("cured", "wait", `parts = ["paste"]`, `wait = "24 h"`), nil, s.env)
		must(other.Tick("seal"))
		must(other.Begin("cured", NewBegin{}))
		j := climbing(s)
		s.refused(j.Release("agree", "Ruth"))
		s.refused(j.BeginTest(""))
		s.hours(24)
		must(other.SettleClock(s.now))
		must(other.Tick("cured"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		must(j.BeginTest(""))
	},
	"other-job-has-a-finding-at-the-pass": func(s *scene) {
		other := s.jobAt("/stick/club/other", parts+step("look", "inspect"), nil, s.env)
		j := climbed(s)
		must(other.Find(NewFinding{What: Leaking, Text: "damp under the nut"}))
		s.unless(strings.Contains(strings.Join(j.AgainstPass(), " "), "Another job on Bramble"), "Pass does not say it")
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"holds-of-one-test-by-two-inspectors": func(s *scene) {
		j := s.work(
			step("agree", "decide", `parts = ["water"]`, `hold = "inspector"`), step("full", "test", `parts = ["water"]`),
			step("sound", "decide", `hold = "inspector"`), step("watch", "wait", `parts = ["water"]`, `wait = "${hold_time}"`), step("result", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("preliminary", "yes"))
		must(j.Release("agree", "Olga"))
		must(j.Tick("agree"))
		must(j.BeginTest(""))
		s.points(j, "9 bar")
		must(j.Tick("full"))
		must(j.Release("sound", "Ruth"))
		must(j.Tick("sound"))
		s.points(j, "9 bar", "9 bar")
		must(j.Tick("watch"))
		s.refused(j.Result("pass", "Tom", "dry"))
	},
	"figure-of-the-code-answered-anew-in-the-test": func(s *scene) {
		j := agreed(s)
		s.refused(j.Answer("hold_time", "1 min", "in a hurry"))
		must(j.Answer("bore", "7 mm", "measured"))
	},
	"agreed-before-the-sheet-names-anybody": func(s *scene) {
		j := s.work(step("agree", "decide", `parts = ["water"]`, `hold = "inspector"`), step("full", "test", `parts = ["water"]`))
		s.refused(j.Release("agree", "Ruth"))
		must(j.Sheet("operator", "Ana"))
		s.refused(j.Release("agree", "Ruth"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.Release("agree", "Ruth"))
	},
	"paper-that-is-not-whole": func(s *scene) {
		j := s.work(step("result", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.BeginTest(""))
		s.points(j, "9 bar", "9 bar")
		for _, water := range []string{"14 C", "20 C"} {
			_, _, err := j.Point(NewPoint{Pressure: "9 bar", Water: water})
			require.NoError(s.trial, err)
		}
		said := must(j.Result("pass", "Ruth", "dry")).Said
		page := s.paper(j)
		for _, lacks := range []string{"boiler number is not on the sheet", "test gauge number is not on the sheet", "two temperatures of the water at 09:10"} {
			s.unless(strings.Contains(said, lacks) && strings.Contains(page, "Test not whole | ") && strings.Contains(page, lacks), "passed, and nobody says that %s", lacks)
		}
	},
	"fall-over-what-the-code-allows": func(s *scene) {
		j := agreed(s, "drop_allowed=0 bar")
		s.points(j, "4.5 bar")
		must(j.Tick("half"))
		s.points(j, "9 bar")
		must(j.Tick("full"))
		s.now = s.now.Add(10 * time.Minute)
		s.points(j, "8 bar")
		s.refused(j.Result("pass", "Ruth", "dry"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"hold-cut-short-by-a-clock-that-leaps": func(s *scene) {
		j := agreed(s)
		s.points(j, "4.5 bar")
		must(j.Tick("half"))
		s.points(j, "9 bar")
		must(j.Tick("full"))
		s.clocks["Ana"] = 40 * 24 * time.Hour
		s.now = s.now.Add(time.Minute)
		s.points(j, "9 bar")
		s.refused(j.Tick("watch"))
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"test-left-out": func(s *scene) {
		j := climbed(s)
		s.refused(j.Skip("result", "no time"))
		s.write(j, Entry{Kind: KindSkip, Step: "result", Text: "no time", Seen: append([]string(nil), j.view().changed.touch["result"]...)})
		s.open(j, "result")
	},
	"undone-test-brings-back-an-older-pass": func(s *scene) {
		j := climbed(s)
		must(j.Result("pass", "Ruth", "dry"))
		must(j.Tick("result"))
		again := must(j.BeginTest("after work")).Entry
		must(j.Result("fail", "Ruth", "water at a stay"))
		s.refused(j.UndoEntry(again.ID))
		s.write(j, Entry{Kind: KindRetract, Step: again.Step, Retracts: []string{again.ID}})
		s.open(j, "result")
	},
	"line-of-the-sheet-undone-in-the-test": func(s *scene) {
		j := climbing(s)
		line := must(j.Sheet("hold", "20 min")).Entry.ID
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		must(j.BeginTest(""))
		must(j.UndoEntry(line))
		must(j.Release("agree", "Ruth"))
		s.points(j, "4.5 bar")
		must(j.Tick("half"))
		s.points(j, "9 bar")
		must(j.Tick("full"))
		s.points(j, "9 bar", "9 bar", "9 bar")
		must(j.Tick("watch"))
		must(j.Tick("look"))
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"answer-put-right-in-the-test": func(s *scene) {
		j := climbed(s)
		s.write(j, Entry{Kind: KindAnswer, By: "Eve", Reading: "hold_time", Value: "5 min", Text: "read again"})
		must(j.Release("agree", "Ruth"))
		for _, id := range []string{"agree", "half", "full", "watch", "look"} {
			if s.at(j, id).Status != Done {
				must(j.Tick(id))
			}
		}
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
}
