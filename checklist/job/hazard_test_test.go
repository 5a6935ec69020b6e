package job

import (
	"strings"
)

// climbing is a job of a pressure test in stages, with its figures on the sheet.
func climbing(s *scene, sheet ...string) *Job {
	j := s.work(
		step("agree", "decide", `uses = ["water"]`, `hold = "inspector"`),
		step("half", "test", `uses = ["water"]`, `figures = ["water.half"]`),
		step("full", "test", `uses = ["water"]`, `figures = ["water.target"]`),
		step("watch", "wait", `uses = ["water"]`, `wait = "${hold_time}"`),
		step("look", "inspect"),
		step("result", "test", `uses = ["water"]`),
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
	"reading-over-the-alarm-pushed-aside": func(s *scene) {
		j := agreed(s)
		s.points(j, "9.6 bar")
		over := lastTest(j).Points[0].ID
		s.write(j, Entry{Kind: KindPoint, Step: "result", About: lastTest(j).ID, Value: "9 bar", Replaces: []string{over}})
		s.points(j, "9 bar", "9 bar")
		s.result(j, "pass", "Ruth")
		s.fails(j)
	},
	"fail-pushed-aside": func(s *scene) {
		j := climbed(s)
		fail := must(j.Result("fail", "Ruth", "water at a stay")).Entry
		s.write(j, Entry{Kind: KindResult, By: "Ruth", Step: fail.Step, About: fail.About, Value: "pass", Replaces: []string{fail.ID}})
		s.fails(j)
	},
	"line-of-the-sheet-pushed-aside-by-another": func(s *scene) {
		j := s.work(step("result", "test", `uses = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.Sheet("drop_allowed", "0 bar"))
		id := j.view().fold.judged[KindSheet][2].ID
		s.write(j, Entry{Kind: KindSheet, Reading: "boiler", Value: "B 17", Replaces: []string{id}})
		sheet := j.State().Test
		s.unless(sheet.Value("drop_allowed") == "0 bar", "the fall that the code allows is gone from the sheet")
	},
}
