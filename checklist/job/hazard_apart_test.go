package job

import (
	"strings"
	"time"

	"github.com/stretchr/testify/require"
)

// readApartBy has two people read the same zero differently, neither seeing the
// other: Ana yes, and she goes on; Tom no. The names of their devices are given,
// since these decide the order where the counters are equal.
func readApartBy(s *scene, anas, toms string) (ana, tom *Job) {
	s.named(s.env, anas)
	s.named(s.device("Tom"), toms)
	ana = s.work(step("cold", "inspect", zeroReading), step("off", "inspect"), step("cut", "make"))
	tom = s.apart("Tom", ana, 0)
	must(ana.Read("cold", "zero", "yes"))
	s.hours(0.02)
	must(tom.Read("cold", "zero", "no"))
	must(ana.Tick("cold"))
	must(ana.Tick("off"))
	s.meet(ana, tom)
	return ana, tom
}

// unsettled wants the first step open on both devices, and nothing free behind it.
func unsettled(s *scene, ana, tom *Job) {
	for _, j := range []*Job{ana, tom} {
		s.shut(j, "cold", GateApart)
		s.refused(j.Tick("cut"))
		s.conflict(j)
	}
}

// What two people wrote apart.
var apartScenarios = map[string]func(*scene){
	"zero-yes-and-no-apart": func(s *scene) {
		ana, tom := readApartBy(s, "aaaa", "zzzz")
		unsettled(s, ana, tom)
		must(ana.Settle("cold", "zero", "yes"))
		s.done(ana, "cold")
		must(ana.Tick("cut"))
		s.meet(ana, tom)
		s.done(tom, "cold")
	},
	"zero-yes-and-no-apart-by-other-names": func(s *scene) {
		ana, tom := readApartBy(s, "zzzz", "aaaa")
		unsettled(s, ana, tom)
		must(tom.Settle("cold", "", "no"))
		s.meet(ana, tom)
		s.open(ana, "cold")
	},
	"yes-and-no-of-devices-that-say-nothing-of-each-other": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("off", "inspect"))
		must(j.Read("cold", "zero", "no"))
		s.write(j, Entry{Kind: KindMeasure, Step: "cold", Reading: "zero", Value: "yes", Unit: "yes-no"})
		s.tick(j, "cold")
		s.shut(j, "cold", GateApart)
		s.conflict(j)
	},
	"record-of-readings-apart": func(s *scene) {
		ana, tom := readApartBy(s, "aaaa", "zzzz")
		for _, j := range []*Job{ana, tom} {
			page := s.paper(j)
			s.unless(strings.Contains(page, "NOT SETTLED | Do it, Gauge on zero:") && strings.Contains(page, "yes by Ana") && strings.Contains(page, "no by Tom") &&
				strings.Contains(page, "What depends on it waits") && !strings.Contains(page, "came later"), "the record does not say so: %s", page)
		}
	},
	"tick-against-an-undo": func(s *scene) {
		ana := s.work(step("off", "inspect"), step("cut", "make"))
		first := must(ana.Tick("off"))
		tom := s.apart("Tom", ana, 0)
		must(tom.UndoStep("off"))
		must(ana.UndoEntry(first.Entry.ID))
		must(ana.Tick("off"))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.open(j, "off")
			s.refused(j.Tick("cut"))
		}
		must(tom.Settle("off", "", "done"))
		s.meet(ana, tom)
		s.done(ana, "off")
		must(ana.Tick("cut"))
	},
	"two-decisions-about-one-hole": func(s *scene) {
		ana := s.job(s.source(), domeAnswers)
		must(ana.Find(pulledOut("3.65")))
		tom := s.apart("Tom", ana, 0)
		must(ana.Dispose("1", upASize()))
		other := upASize()
		other.Thread = "M4.5"
		must(tom.Dispose("1", other))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.conflict(j)
			state := j.State()
			s.unless(!state.Findings[0].Decided(), "one of two decisions counts")
			s.refused(j.Close("all done"))
		}
		must(tom.Dispose("1", upASize()))
		s.meet(ana, tom)
		state := ana.State()
		require.True(s.trial, state.Findings[0].Decided())
	},
	"two-test-pressures": func(s *scene) {
		ana := s.ready()
		tom := s.apart("Tom", ana, 0)
		must(ana.Sheet("target", "9 bar"))
		must(tom.Sheet("target", "8 bar"))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.conflict(j)
			s.refused(j.BeginTest(""))
		}
		must(tom.Sheet("target", "9 bar"))
		must(tom.BeginTest(""))
	},
	"two-answers-of-the-start": func(s *scene) {
		ana := s.work(step("look", "inspect"), step("bore", "make", `do = "Bore to ${bore}."`), step("close", "tighten"))
		must(ana.Tick("look"))
		tom := s.apart("Tom", ana, 0)
		must(ana.Answer("bore", "7 mm", "measured"))
		must(tom.Answer("bore", "8 mm", "by the drawing"))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.conflict(j)
			s.refused(j.Tick("bore"))
		}
		must(ana.Answer("bore", "7 mm", "both looked"))
		must(ana.Tick("bore"))
		s.meet(ana, tom)
		s.done(tom, "bore")
	},
	"two-answers-and-a-tick-of-another-program": func(s *scene) {
		ana := s.work(step("bore", "make", `do = "Bore to ${bore}."`))
		must(ana.Tick("bore"))
		tom := s.apart("Tom", ana, 0)
		must(ana.Answer("bore", "7 mm", "measured"))
		must(tom.Answer("bore", "8 mm", "by the drawing"))
		s.meet(ana, tom)
		s.tick(ana, "bore")
		s.open(ana, "bore")
	},
	"two-walls-of-one-verdict": func(s *scene) {
		ana := s.work(step("wall", "measure", `reading = [{ name = "bore", ask = "Bore", kind = "length", unit = "mm", low = "5", high = "9", sets = "bore" }]`), step("cut", "make", `do = "Turn a plug of ${bore}."`))
		tom := s.apart("Tom", ana, 0)
		must(ana.Read("wall", "bore", "8.9"))
		must(tom.Note("", "comes second in the order"))
		must(tom.Read("wall", "bore", "7"))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			do := j.Filled().Step("cut").Do
			s.unless(strings.Contains(do, "8.9"), "the figure that is further from its limit counts: %s", do)
		}
	},
	"blank-on-and-off-apart": func(s *scene) {
		ana := s.work(step("off", "inspect"), step("close", "record"))
		must(ana.Tick("off"))
		must(ana.FitBlank("1", "on", "whistle"))
		tom := s.apart("Tom", ana, 0)
		must(ana.FitBlank("1", "off", ""))
		must(ana.FitBlank("1", "on", "clack"))
		must(tom.Note("", "later in the order"))
		must(tom.Note("", "later in the order"))
		must(tom.FitBlank("1", "off", ""))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.refused(j.Tick("close"))
		}
	},
	"two-tests-begun-apart": func(s *scene) {
		ana := s.ready()
		tom := s.apart("Tom", ana, 0)
		must(ana.BeginTest(""))
		must(tom.BeginTest(""))
		s.points(ana, "9.31 bar", "9.31 bar")
		s.meet(ana, tom)
		_, err := ana.Result("pass", "Ruth", "dry")
		s.refused(Saved{}, err)
		runs := ana.State().Test.Runs
		s.write(ana, Entry{Kind: KindResult, By: "Ruth", About: runs[0].ID, Value: "pass"})
		s.unless(!ana.State().Test.Runs[0].Passed, "passed while another test runs")
	},
	"done-and-left-out-apart": func(s *scene) {
		ana := s.work(step("off", "inspect"), step("cut", "make"))
		tom := s.apart("Tom", ana, 0)
		must(ana.Tick("off"))
		must(tom.Skip("off", "was off already"))
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.open(j, "off")
			s.refused(j.Tick("cut"))
		}
		must(tom.Settle("off", "", "done"))
		s.done(tom, "off")
	},
	"left-out-apart-from-done-again": func(s *scene) {
		ana := s.work(step("off", "inspect"), step("cut", "make"))
		must(ana.Tick("off"))
		tom := s.apart("Tom", ana, 0)
		must(ana.UndoStep("off"))
		must(ana.Tick("off"))
		s.write(tom, Entry{Kind: KindSkip, By: "Tom", Step: "off", Text: "was off already"})
		s.meet(ana, tom)
		for _, j := range []*Job{ana, tom} {
			s.open(j, "off")
			s.refused(j.Tick("cut"))
		}
		must(tom.Settle("off", "", "done"))
		s.done(tom, "off")
	},
	"colder-shop-apart": func(s *scene) {
		j := s.work(step("seal", "seal", `parts = ["paste"]`), step("cured", "wait", `parts = ["paste"]`, `wait = "24 h"`))
		must(j.Shop("20 C"))
		must(j.Tick("seal"))
		must(j.Begin("cured", NewBegin{}))
		tom := s.apart("Tom", j, 0)
		s.hours(1)
		must(j.Shop("20 C"))
		must(tom.Shop("10 C"))
		s.meet(j, tom)
		s.hours(24)
		must(j.SettleClock(s.now))
		s.refused(j.Tick("cured"))
		s.hours(23)
		must(j.SettleClock(s.now))
		must(j.Tick("cured"))
	},
}

// domeAnswers are the answers with which the dome cover's job begins.
var domeAnswers = map[string]string{"code": "Club code", "edition": "2018", "multiple": "1.5", "hold_time": "10 min"}

// ready is the dome cover's job with all done before its water test.
func (s *scene) ready(sheet ...string) *Job {
	j := s.job(s.source(), domeAnswers)
	for _, id := range []string{"cold", "off", "holes", "cut", "dry", "seal", "tighten"} {
		switch id {
		case "cold":
			must(j.Read(id, "zero", "yes"))
			must(j.Release(id, "Olga"))
		case "holes":
			must(j.Read(id, "bad", "0"))
		case "dry":
			must(j.Read(id, "rock", "0"))
		}
		must(j.Tick(id))
	}
	must(j.Begin("cured", NewBegin{}))
	s.hours(24)
	must(j.SettleClock(s.now))
	must(j.Tick("cured"))
	for _, line := range append([]string{"operator=Ana", "inspector=Ruth", "boiler=B 17", "gauge=G 4", "gauge_date=2026-01-10"}, sheet...) {
		name, value, _ := strings.Cut(line, "=")
		must(j.Sheet(name, value))
	}
	return j
}

// points are readings of the gauge, ten minutes apart.
func (s *scene) points(j *Job, bars ...string) {
	for i, bar := range bars {
		if i > 0 {
			s.now = s.now.Add(10 * time.Minute)
		}
		_, _, err := j.Point(NewPoint{Pressure: bar})
		require.NoError(s.trial, err)
	}
}
