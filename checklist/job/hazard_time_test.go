package job

import (
	"strings"
	"time"
)

// cureSteps are a thread that is sealed, tightened, left to cure and tested.
func cureSteps(wait string, more ...string) []string {
	return append([]string{
		step("clean", "clean"),
		step("seal", "seal", `parts = ["paste"]`),
		step("tighten", "tighten"),
		step("cured", "wait", `parts = ["paste"]`, `wait = "`+wait+`"`),
		step("steam", "test"),
	}, more...)
}

// sealed is such a job with its thread sealed and tightened, and its wait begun.
func sealed(s *scene, wait string) *Job {
	j := s.work(cureSteps(wait)...)
	for _, id := range []string{"clean", "seal", "tighten"} {
		must(j.Tick(id))
	}
	must(j.Begin("cured", NewBegin{}))
	return j
}

// uncured wants nobody free to put pressure on the joint.
func (s *scene) uncured(j *Job) {
	s.refused(j.Tick("cured"))
	s.open(j, "cured")
	s.refused(j.Tick("steam"))
	s.open(j, "steam")
}

// cures wants a joint to be over its cure, and then everybody free.
func (s *scene) cures(j *Job) {
	must(j.SettleClock(s.now))
	must(j.Tick("cured"))
	must(j.Tick("steam"))
}

// Waits, cures and clocks.
var timeScenarios = map[string]func(*scene){
	"cure-as-it-should-be": func(s *scene) {
		j := sealed(s, "24 h")
		s.uncured(j)
		s.hours(23.9)
		s.uncured(j)
		s.hours(0.1)
		s.cures(j)
	},
	"soaked-without-oil": func(s *scene) {
		j := s.work(step("oil", "clean"), step("soak", "wait", `wait = "12 h"`), step("turn", "make"))
		must(j.Tick("oil"))
		s.hours(13)
		s.refused(j.Tick("soak"))
		must(j.Begin("soak", NewBegin{}))
		s.hours(12)
		must(j.Tick("soak"))
		must(j.Tick("turn"))
	},
	"sealant-that-nobody-began": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		for _, id := range []string{"clean", "seal", "tighten"} {
			must(j.Tick(id))
		}
		s.hours(30)
		must(j.SettleClock(s.now))
		s.refused(j.Tick("cured"))
	},
	"wait-that-is-not-over": func(s *scene) {
		j := s.work(step("oil", "clean"), step("soak", "wait", `wait = "12 h"`))
		must(j.Tick("oil"))
		must(j.Begin("soak", NewBegin{}))
		s.hours(11)
		s.refused(j.Tick("soak"))
	},
	"two-waits-run-at-once": func(s *scene) {
		j := s.work(step("oil", "clean", `wait = "20 h"`), step("soak", "wait", `wait = "12 h"`), step("turn", "make"))
		must(j.Tick("oil"))
		s.hours(1)
		s.refused(j.Begin("soak", NewBegin{}))
		s.write(j, Entry{Kind: KindBegin, Step: "soak", Data: map[string]string{"at": s.now.Format(time.RFC3339)}})
		s.hours(22)
		s.refused(j.Tick("soak"))
		s.hours(8.9)
		s.refused(j.Tick("soak"))
		s.hours(0.2)
		must(j.SettleClock(s.now))
		must(j.Tick("soak"))
	},
	"waits-one-after-the-other": func(s *scene) {
		j := s.work(step("oil", "clean", `wait = "20 h"`), step("soak", "wait", `wait = "12 h"`), step("turn", "make"))
		must(j.Tick("oil"))
		s.hours(19)
		s.refused(j.Begin("soak", NewBegin{At: s.now}))
		s.hours(1)
		must(j.Begin("soak", NewBegin{}))
		s.hours(12)
		must(j.Tick("soak"))
		must(j.Tick("turn"))
	},
	"cure-passed-by-name": func(s *scene) {
		j := sealed(s, "24 h")
		s.refused(j.Pass("cured", GateWait, "Olga", "the shop is warm"))
		s.refused(j.Skip("cured", "the shop is warm"))
		s.write(j, Entry{Kind: KindPass, By: "Olga", Step: "cured", Reading: string(GateWait), Text: "the shop is warm", Seen: []string{"wait"}})
		s.write(j, Entry{Kind: KindSkip, Step: "cured", Text: "the shop is warm"})
		s.uncured(j)
	},
	"cure-passed-by-its-needs": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		must(j.Tick("clean"))
		s.refused(j.Pass("cured", GateNeeds, "Olga", "in a hurry"))
	},
	"cure-ticked-by-another-program": func(s *scene) {
		j := sealed(s, "24 h")
		s.tick(j, "cured")
		s.uncured(j)
	},
	"wait-of-a-minute-for-a-day": func(s *scene) {
		j := sealed(s, "1 min")
		s.now = s.now.Add(65 * time.Second)
		must(j.Tick("cured"))
		s.refused(j.Tick("steam"))
		s.hours(23)
		s.refused(j.Tick("steam"))
		s.hours(1)
		must(j.SettleClock(s.now))
		must(j.Tick("steam"))
	},
	"pressure-test-before-the-cure": func(s *scene) {
		j := s.work(step("seal", "seal", `parts = ["paste"]`), step("tighten", "tighten"), step("cured", "wait", `parts = ["paste"]`, `wait = "1 min"`), step("full", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.Tick("seal"))
		must(j.Tick("tighten"))
		must(j.Begin("cured", NewBegin{}))
		s.now = s.now.Add(time.Minute)
		must(j.Tick("cured"))
		s.refused(j.BeginTest(""))
		s.hours(24)
		must(j.SettleClock(s.now))
		must(j.BeginTest(""))
	},
	"cure-with-a-tighten-between": func(s *scene) {
		j := sealed(s, "24 h")
		s.refused(j.Pass("cured", GateWait, "Olga", "in a hurry"))
		s.uncured(j)
	},
	"cure-of-a-seal-far-before-its-wait": func(s *scene) {
		j := s.work(step("seal", "seal", `parts = ["paste"]`), step("tighten", "tighten"), step("round", "inspect"), step("cured", "wait", `wait = "24 h"`), step("steam", "record"))
		for _, id := range []string{"seal", "tighten", "round"} {
			must(j.Tick(id))
		}
		must(j.Begin("cured", NewBegin{}))
		s.refused(j.Pass("cured", GateWait, "Olga", "in a hurry"))
		s.refused(j.Skip("cured", "in a hurry"))
		s.tick(j, "cured")
		s.open(j, "cured")
	},
	"cold-shop": func(s *scene) {
		j := sealed(s, "24 h")
		must(j.Shop("10 C"))
		s.hours(24)
		must(j.SettleClock(s.now))
		s.uncured(j)
		s.hours(24)
		s.cures(j)
	},
	"frozen-shop": func(s *scene) {
		j := sealed(s, "24 h")
		s.hours(20)
		must(j.Shop("3 C"))
		s.hours(10)
		must(j.SettleClock(s.now))
		s.uncured(j)
		must(j.Shop("20 C"))
		s.hours(20)
		s.uncured(j)
		s.hours(4)
		s.cures(j)
	},
	"sealed-under-a-clock-of-1970": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		must(j.Tick("clean"))
		right := s.now
		s.now = time.Unix(3600, 0)
		must(j.Tick("seal"))
		must(j.Tick("tighten"))
		s.refused(j.Begin("cured", NewBegin{}))
		s.now = right.Add(time.Minute)
		s.refused(j.Tick("cured"))
		s.refused(j.Tick("steam"))
		must(j.Begin("cured", NewBegin{At: right, Now: s.now}))
		s.hours(23)
		s.uncured(j)
		s.hours(1)
		s.cures(j)
	},
	"sealed-under-a-clock-a-year-back": func(s *scene) {
		s.hours(24 * 200)
		j := s.work(cureSteps("24 h")...)
		must(j.Tick("clean"))
		right := s.now
		s.hours(-24 * 100)
		must(j.Tick("seal"))
		must(j.Tick("tighten"))
		s.refused(j.Begin("cured", NewBegin{}))
		s.now = right.Add(time.Minute)
		s.refused(j.Tick("steam"))
		s.unless(len(j.State().Jumps) > 0 && strings.Contains(s.paper(j), "The clock of device"), "the record does not say that the clock went back")
		v, err := j.Verify()
		s.unless(err == nil && !v.Fine() && len(v.Jumps) > 0, "verify does not say it")
	},
	"begun-under-a-clock-of-1970": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		for _, id := range []string{"clean", "seal", "tighten"} {
			must(j.Tick(id))
		}
		right := s.now
		s.now = time.Unix(3600, 0)
		s.write(j, Entry{Kind: KindBegin, Step: "cured"})
		s.now = right.Add(time.Minute)
		s.uncured(j)
	},
	"cure-ended-by-a-clock-that-leaps": func(s *scene) {
		j := sealed(s, "24 h")
		s.hours(1)
		s.clocks["Ana"] = 30 * 24 * time.Hour
		s.uncured(j)
		must(j.Note("", "written by the clock that leapt"))
		s.uncured(j)
		s.clocks["Ana"] = 0
		s.uncured(j)
		must(j.SettleClock(s.now))
		s.uncured(j)
		s.hours(23)
		s.cures(j)
	},
	"cure-ended-by-a-leap-on-another-device": func(s *scene) {
		j := sealed(s, "24 h")
		tom := s.apart("Tom", j, 30*24*time.Hour)
		must(tom.Note("", "written by the clock that is ahead"))
		s.meet(j, tom)
		s.hours(1)
		s.uncured(j)
		s.uncured(tom)
	},
	"cure-ended-by-a-log-of-2200": func(s *scene) {
		j := sealed(s, "24 h")
		s.hours(1)
		s.foreign(j, Entry{Kind: KindNote, By: "Eve", Text: "by another program", Time: "2200-01-01T09:00:00Z"})
		s.uncured(j)
	},
	"cure-ended-by-somebody-who-says-it-is-2200": func(s *scene) {
		j := sealed(s, "24 h")
		s.hours(1)
		s.foreign(j, Entry{Kind: KindSettle, By: "Eve", Reading: settleClock, Value: "2200-01-01T09:00:00Z", Time: "2200-01-01T09:00:00Z"})
		s.uncured(j)
	},
	"log-of-1970": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		must(j.Tick("clean"))
		s.foreign(j, Entry{Kind: KindTick, By: "Eve", Step: "seal", Time: "1970-01-01T09:00:00Z"})
		s.foreign(j, Entry{Kind: KindTick, By: "Eve", Step: "tighten", Time: "1970-01-01T09:00:00Z"})
		s.refused(j.Tick("steam"))
		must(j.Begin("cured", NewBegin{}))
		s.hours(23)
		s.uncured(j)
		s.hours(1)
		s.cures(j)
	},
	"seal-of-a-log-that-knows-of-nothing": func(s *scene) {
		s.hours(24 * 60)
		j := s.work(step("clean", "clean"), step("seal", "seal", `parts = ["paste"]`, `wait = "24 h"`), step("steam", "test"))
		s.hours(24 * 10)
		must(j.SettleClock(s.now))
		must(j.Tick("clean"))
		s.foreign(j, Entry{Kind: KindTick, By: "Eve", Step: "seal", Time: s.now.Add(-24 * 5 * time.Hour).Format(time.RFC3339)})
		s.refused(j.Tick("steam"))
	},
	"put-on-before-it-could-be": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		s.hours(30)
		must(j.SettleClock(s.now))
		for _, id := range []string{"clean", "seal", "tighten"} {
			must(j.Tick(id))
		}
		s.refused(j.Begin("cured", NewBegin{At: s.now.Add(-25 * time.Hour)}))
		s.write(j, Entry{Kind: KindBegin, Step: "cured", Data: map[string]string{"at": s.now.Add(-25 * time.Hour).Format(time.RFC3339)}})
		s.uncured(j)
	},
	"begun-twice-apart": func(s *scene) {
		j := s.work(cureSteps("24 h")...)
		for _, id := range []string{"clean", "seal", "tighten"} {
			must(j.Tick(id))
		}
		tom := s.apart("Tom", j, 0)
		must(j.Begin("cured", NewBegin{}))
		s.hours(10)
		must(tom.Begin("cured", NewBegin{}))
		s.meet(j, tom)
		s.hours(14)
		s.uncured(j)
		s.uncured(tom)
	},
	"opened-again-and-not-cured-again": func(s *scene) {
		j := sealed(s, "24 h")
		s.hours(24)
		s.cures(j)
		must(j.Reopen("seal", "it wept at the thread"))
		must(j.Tick("seal"))
		s.open(j, "cured")
		s.refused(j.Tick("steam"))
		must(j.Begin("cured", NewBegin{}))
		s.hours(23)
		s.uncured(j)
	},
	"wait-of-a-step-that-was-left-out": func(s *scene) {
		j := s.work(step("seal", "seal", `parts = ["paste"]`, `wait = "24 h"`), step("round", "inspect"), step("steam", "test"))
		must(j.Tick("seal"))
		must(j.Skip("round", "no time"))
		s.refused(j.Tick("steam"))
		s.refused(j.Pass("steam", GateWait, "Olga", "in a hurry"))
	},
	"steamed-before-the-cure-by-another-program": func(s *scene) {
		j := sealed(s, "1 min")
		s.now = s.now.Add(65 * time.Second)
		must(j.Tick("cured"))
		s.tick(j, "steam")
		s.open(j, "steam")
		s.hours(24)
		must(j.SettleClock(s.now))
		s.open(j, "steam")
	},
	"pressure-test-before-the-cure-by-another-program": func(s *scene) {
		j := s.work(step("seal", "seal", `parts = ["paste"]`), step("tighten", "tighten"), step("cured", "wait", `parts = ["paste"]`, `wait = "1 min"`), step("full", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.Tick("seal"))
		must(j.Tick("tighten"))
		must(j.Begin("cured", NewBegin{}))
		s.now = s.now.Add(time.Minute)
		must(j.Tick("cured"))
		s.write(j, Entry{Kind: KindRun, Step: "full", Saw: j.codeFigures()})
		s.points(j, "9 bar", "9 bar")
		run := lastTest(j)
		s.write(j, Entry{Kind: KindResult, By: "Ruth", Step: "full", About: run.ID, Value: "pass"})
		s.hours(25)
		must(j.SettleClock(s.now))
		s.tick(j, "full")
		s.open(j, "full")
	},
}
