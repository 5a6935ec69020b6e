package job

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

// Steps: what comes first, what is read, what opens them again.
var stepScenarios = map[string]func(*scene){
	"first-step-undone-far-back": func(s *scene) {
		j := s.work(step("cold", "inspect"), step("off", "inspect"), step("cut", "make"), step("fit", "dry-fit"))
		for _, id := range []string{"cold", "off", "cut"} {
			must(j.Tick(id))
		}
		must(j.UndoStep("cold"))
		s.refused(j.Tick("fit"))
		must(j.Tick("cold"))
		must(j.Tick("fit"))
	},
	"step-out-of-turn": func(s *scene) {
		j := s.work(step("cold", "inspect"), step("off", "inspect"))
		s.refused(j.Tick("off"))
	},
	"metal-cut-before-it-was-looked-at": func(s *scene) {
		j := s.job(s.source(), domeAnswers)
		must(j.Read("cold", "zero", "yes"))
		must(j.Release("cold", "Olga"))
		must(j.Tick("cold"))
		must(j.Tick("off"))
		must(j.Read("holes", "bad", "1"))
		must(j.Tick("holes"))
		must(j.Find(pulledOut("3.65")))
		must(j.Dispose("1", upASize()))
		must(j.Read("screw-3-tap", "drilled", "4.0"))
		s.refused(j.Tick("screw-3-tap"))
		for _, r := range []string{"sound", "wall"} {
			must(j.Read("screw-3-look", r, "yes"))
		}
		must(j.Tick("screw-3-look"))
		s.refused(j.Tick("screw-3-tap"))
	},
	"passed-over-a-hold": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`), step("cut", "make"))
		s.refused(j.Pass("cut", GateNeeds, "Olga", "in a hurry"))
		s.refused(j.Tick("cut"))
	},
	"passed-over-a-stop": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("cut", "make"))
		must(j.Read("cold", "zero", "no"))
		s.write(j, Entry{Kind: KindPass, By: "Olga", Step: "cut", Reading: string(GateNeeds), Text: "in a hurry", Seen: []string{"cold"}})
		s.refused(j.Tick("cut"))
	},
	"done-before-it-was-read": func(s *scene) {
		j := s.work(step("gap", "measure", gapReading))
		s.refused(j.Tick("gap"))
	},
	"stop-ticked-unread-by-another-program": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading))
		s.tick(j, "cold")
		s.open(j, "cold")
	},
	"ticked-over-a-stop": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("cut", "make"))
		must(j.Read("cold", "zero", "no"))
		s.shut(j, "cold", GateNeeds)
		s.tick(j, "cold")
		s.open(j, "cold")
		s.refused(j.Tick("cut"))
	},
	"read-worse-after-the-tick": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("cut", "make"))
		must(j.Read("cold", "zero", "yes"))
		must(j.Tick("cold"))
		must(j.Read("cold", "zero", "no"))
		s.open(j, "cold")
		s.refused(j.Tick("cut"))
	},
	"left-out-at-a-stop": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("cut", "make"))
		s.refused(j.Skip("cold", "no time"))
		s.write(j, Entry{Kind: KindSkip, Step: "cold", Text: "no time"})
		s.open(j, "cold")
		s.refused(j.Tick("cut"))
	},
	"outside-what-is-asked-by-one-press": func(s *scene) {
		j := s.work(step("fall", "measure", askReading), step("close", "record"))
		must(j.Read("fall", "fall", "0.3"))
		s.refused(j.Tick("fall"))
		_, err := j.Pass("fall", GateAsk, "", "")
		require.Error(s.trial, err)
		must(j.Pass("fall", GateAsk, "Ruth", "the shop cooled"))
		must(j.Tick("fall"))
	},
	"outside-what-is-asked-by-another-program": func(s *scene) {
		j := s.work(step("fall", "measure", askReading))
		must(j.Read("fall", "fall", "0.3"))
		s.tick(j, "fall")
		s.open(j, "fall")
	},
	"stop-of-a-word-without-the-word": func(s *scene) {
		j := s.work(step("cold", "inspect", `reading = [{ name = "zero", ask = "Gauge on zero", kind = "yes-no", outside = "stop" }]`))
		must(j.Read("cold", "zero", "no"))
		s.refused(j.Tick("cold"))
		s.tick(j, "cold")
		s.open(j, "cold")
	},
	"pass-for-what-came-later": func(s *scene) {
		j := s.work(step("fall", "measure", askReading))
		must(j.Read("fall", "fall", "0.3"))
		must(j.Pass("fall", GateAsk, "Ruth", "the shop cooled"))
		must(j.Tick("fall"))
		must(j.Read("fall", "fall", "2"))
		s.open(j, "fall")
		s.refused(j.Tick("fall"))
	},
	"pass-for-findings-that-came-later": func(s *scene) {
		j := s.ready()
		must(j.Find(NewFinding{What: OtherThing, Text: "paint off"}))
		must(j.Pass("water-test", GateFindings, "Olga", "paint only"))
		must(j.BeginTest(""))
		must(j.Find(NewFinding{What: OtherThing, Text: "a crack"}))
		s.points(j, "9.31 bar", "9.31 bar")
		s.refused(j.Result("pass", "Ruth", "dry"))
	},
	"opened-again-and-gone-on": func(s *scene) {
		j := s.work(step("face", "make"), step("seal", "seal"), step("close", "tighten"))
		must(j.Tick("face"))
		must(j.Tick("seal"))
		must(j.Reopen("face", "a scratch was left"))
		s.open(j, "face")
		s.refused(j.Tick("close"))
	},
	"opened-again-apart": func(s *scene) {
		j := s.work(step("face", "make"), step("close", "tighten"))
		must(j.Tick("face"))
		tom := s.apart("Tom", j, 0)
		must(tom.Reopen("face", "a scratch was left"))
		must(j.UndoStep("face"))
		must(j.Tick("face"))
		s.meet(j, tom)
		s.open(j, "face")
	},
	"stop-read-under-a-decision-taken-back": func(s *scene) {
		j := s.work(step("held", "inspect", heldReading), step("off", "inspect"))
		tom := s.apart("Tom", j, 0)
		no := must(j.Read("held", "held", "no")).Entry.ID
		must(tom.Read("held", "held", "yes"))
		must(j.Dispose("1", NewDisposition{Decision: Rework, Text: "a collar is fitted"}))
		must(j.Tick("after-" + entryName(no)))
		must(j.Read("held", "held", "no"))
		must(j.UndoEntry(no))
		s.meet(j, tom)
		s.refused(j.Tick("held"))
		s.open(j, "held")
		must(j.Read("held", "held", "yes"))
		must(j.Tick("held"))
	},
	"stop-read-apart-from-the-opening": func(s *scene) {
		j := s.work(step("held", "inspect", heldReading), step("off", "inspect"))
		must(j.Read("held", "held", "yes"))
		must(j.Tick("held"))
		tom := s.apart("Tom", j, 0)
		must(j.Reopen("held", "look again"))
		must(j.Read("held", "held", "yes"))
		must(j.Tick("held"))
		must(tom.Read("held", "held", "no"))
		s.meet(j, tom)
		s.open(j, "held")
		s.open(tom, "held")
	},
	"left-out-and-then-done": func(s *scene) {
		j := s.work(step("seal", "seal"), step("close", "record"))
		must(j.Skip("close", "in a hurry"))
		s.refused(j.Tick("close"))
		must(j.Tick("seal"))
		must(j.Tick("close"))
	},
	"rests-on-it-and-was-done-apart": func(s *scene) {
		j := s.work(step("seal", "seal", `parts = ["paste"]`), step("close", "tighten", `closes = "dome"`))
		tom := s.apart("Tom", j, 0)
		must(j.Tick("seal"))
		must(tom.Tick("seal"))
		must(tom.Tick("close"))
		must(j.Reopen("seal", "the paste had skinned"))
		s.meet(j, tom)
		s.open(j, "close")
		s.open(tom, "close")
	},
	"opened-after-the-test": func(s *scene) {
		j := s.work(step("close", "tighten"), step("full", "test", `parts = ["water"]`), step("watch", "wait", `parts = ["water"]`, `wait = "10 min"`),
			step("look", "inspect"), step("result", "test", `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		must(j.Tick("close"))
		must(j.BeginTest(""))
		s.points(j, "9 bar", "9 bar")
		for _, id := range []string{"full", "watch", "look"} {
			must(j.Tick(id))
		}
		must(j.Result("pass", "Ruth", "dry"))
		must(j.Tick("result"))
		must(j.Reopen("close", "a nut was loose"))
		s.open(j, "result")
		must(j.Tick("close"))
		s.refused(j.Tick("result"))
	},
	"answer-put-right-twice-apart": func(s *scene) {
		j := s.work(step("plug", "make", `do = "Turn a plug of ${bore}."`), step("fit", "dry-fit"))
		tom := s.apart("Tom", j, 0)
		must(j.Tick("plug"))
		must(tom.Answer("bore", "7 mm", "measured"))
		must(tom.Answer("bore", "7 mm", "measured again"))
		s.meet(j, tom)
		s.open(j, "plug")
		s.open(tom, "plug")
	},
	"answer-put-right-after-the-work": func(s *scene) {
		j := s.work(step("plug", "make", `do = "Turn a plug of ${bore}."`), step("fit", "dry-fit"))
		must(j.Tick("plug"))
		must(j.Answer("bore", "7 mm", "measured"))
		s.open(j, "plug")
		s.refused(j.Tick("fit"))
	},
	"part-changed-after-the-dry-fit": func(s *scene) {
		j := s.ready()
		s.done(j, "dry")
		must(j.Find(pulledOut("3.65")))
		must(j.Dispose("1", upASize()))
		for _, id := range []string{"dry", "seal", "tighten", "cured"} {
			s.open(j, id)
		}
		s.refused(j.BeginTest(""))
	},
	"hole-drilled-over-a-closed-opening": func(s *scene) {
		j := s.job(s.source("id = \"dry\"\n", "id = \"inside\"\nkind = \"inspect\"\nhold = \"owner\"\ncloses = \"dome\"\ndo = \"Nothing left inside.\"\n\n[[stage.step]]\nid = \"dry\"\n"), domeAnswers)
		must(j.Read("cold", "zero", "yes"))
		must(j.Release("cold", "Olga"))
		must(j.Tick("cold"))
		must(j.Tick("off"))
		must(j.Read("holes", "bad", "0"))
		must(j.Tick("holes"))
		must(j.Tick("cut"))
		must(j.Release("inside", "Olga"))
		must(j.Tick("inside"))
		must(j.Find(pulledOut("3.65")))
		must(j.Dispose("1", upASize()))
		s.open(j, "inside")
	},
	"closed-over-a-rag": func(s *scene) {
		j := s.work(step("close", "tighten", `closes = "dome"`), step("record", "record"))
		must(j.CountIn("dome", "rag", 2))
		must(j.CountIn("dome", "rag", -1))
		s.refused(j.Tick("close"))
		must(j.CountIn("dome", "rag", -1))
		must(j.Tick("close"))
	},
	"a-lamp-too-many-for-a-rag-too-few": func(s *scene) {
		j := s.work(step("close", "tighten", `closes = "dome"`), step("record", "record"))
		must(j.CountIn("dome", "rag", 1))
		must(j.CountIn("dome", "lamp", -1))
		s.refused(j.Tick("close"))
	},
	"tick-with-a-part-missing": func(s *scene) {
		j := s.work(step("fit", "dry-fit"))
		must(j.Shortage("2 cover screws", "fit", 2, "shop"))
		s.refused(j.Tick("fit"))
		must(j.Got("1"))
		must(j.Tick("fit"))
	},
	"dry-fit-with-screws-of-a-decision-not-got": func(s *scene) {
		j := decidedHole(s)
		s.refused(j.Tick("dry"))
		must(j.Got("screw-screw_3"))
		must(j.Tick("dry"))
	},
	"gap-below-nought": func(s *scene) {
		j := s.work(step("gap", "measure", `reading = [{ name = "gap", ask = "Gap", kind = "length", unit = "mm", high = "0.05", outside = "stop" }]`))
		s.refused(j.Read("gap", "gap", "-0.05"))
		s.write(j, Entry{Kind: KindMeasure, Step: "gap", Reading: "gap", Value: "-0.05", Unit: "mm"})
		s.tick(j, "gap")
		s.open(j, "gap")
	},
	"count-of-minus-nought": func(s *scene) {
		j := s.work(step("off", "inspect", `reading = [{ name = "off", ask = "Blanks taken off", kind = "count", high = "3" }]`))
		s.refused(j.Read("off", "off", "-0"))
	},
	"figure-that-leaves-others-without-an-answer": func(s *scene) {
		j := s.work(step("spindle", "measure", `reading = [{ name = "pressure", ask = "Working pressure", kind = "pressure", unit = "bar", sets = "pressure" }]`))
		s.refused(j.Read("spindle", "pressure", "0"))
	},
	"whole-torque-at-once": func(s *scene) {
		j := s.job(roundsProcedure, nil)
		must(j.Tick("fingers"))
		must(j.Tick("pass-1"))
		must(j.Skip("pass-2", "late"))
		s.refused(j.Tick("full"))
		s.tick(j, "full")
		s.open(j, "full")
		must(j.Tick("pass-2"))
		s.done(j, "full")
	},
	"thread-that-is-only-probable": func(s *scene) {
		j := s.job(probableProcedure, nil)
		must(j.Read("wash", "cover_thread", "4 BA?"))
		must(j.Tick("wash"))
		s.refused(j.Tick("dry"))
		must(j.Pass("dry", GateThread, "Ruth", "the old screws are kept"))
		must(j.Tick("dry"))
	},
	"sealant-past-its-day": func(s *scene) {
		j := s.job(datedProcedure, nil)
		must(j.Read("container", "use_by", s.now.AddDate(0, 0, 3).Format("2006-01-02")))
		must(j.Tick("container"))
		must(j.Tick("dry"))
		s.hours(4 * 24)
		s.refused(j.Tick("seal"))
		must(j.Pass("seal", GateDate, "Ruth", "it cured on a scrap"))
	},
	"spindle-that-nothing-holds": func(s *scene) {
		j := s.work(step("held", "inspect", heldReading), step("slacken", "make"))
		must(j.Read("held", "held", "no"))
		s.shut(j, "held", GateDanger)
		s.tick(j, "held")
		s.open(j, "held")
		s.refused(j.Tick("slacken"))
		state := j.State()
		s.unless(len(state.Findings) == 1 && len(state.Standing()) == 1, "no finding, or no danger told")
		s.unless(strings.Contains(s.paper(j), "STANDING DANGER"), "the record's first page does not say so")
		must(j.Dispose("1", NewDisposition{Decision: Repair, Text: "a collar is pinned on"}))
		s.open(j, "held")
		s.refused(j.Tick("slacken"))
		for _, step := range state.Findings {
			for _, id := range []string{"after-" + step.Name(), "danger-" + step.Name()} {
				if strings.HasPrefix(id, "danger") {
					s.refused(j.Tick(id))
					must(j.Release(id, "Ruth"))
				}
				must(j.Tick(id))
			}
		}
		must(j.Read("held", "held", "no")) // measured again: a collar holds it, and nothing inside
		must(j.Tick("held"))
		must(j.Tick("slacken"))
		s.unless(len(j.State().Dangers) == 1, "what stands on the engine is told on")
	},
	"danger-measured-away-before-a-test": func(s *scene) {
		j := s.job(s.source("title = \"Cover off\"\n", "title = \"Cover off\"\nreading = [{ name = \"held\", ask = \"Held from inside\", kind = \"yes-no\", nominal = \"yes\", danger = \"Nothing holds the spindle.\" }]\n"), domeAnswers)
		must(j.Read("cold", "zero", "yes"))
		must(j.Release("cold", "Olga"))
		must(j.Tick("cold"))
		must(j.Read("off", "held", "no"))
		must(j.Read("off", "held", "yes"))
		state := j.State()
		s.unless(len(state.Findings) == 1 && !state.Findings[0].Decided(), "read again, and the finding is gone")
	},
	"danger-not-told-to-the-next-job": func(s *scene) {
		j := s.work(step("held", "inspect", heldReading))
		must(j.Read("held", "held", "no"))
		next := s.jobAt("/stick/club/next", parts+step("light", "test"), nil, s.env)
		state := next.State()
		s.unless(len(state.Standing()) == 1, "the next job on the engine knows nothing of it")
		s.unless(strings.Contains(s.paper(next), "STANDING DANGER"), "nor does its record")
	},
	"thread-that-does-not-hold": func(s *scene) {
		j := s.job(s.source(), domeAnswers)
		must(j.Find(pulledOut("3.65")))
		again := upASize()
		again.Thread = "M3"
		s.refused(j.Dispose("1", again))
	},
	"stripped-hole-accepted": func(s *scene) {
		j := s.job(s.source(), domeAnswers)
		must(j.Find(pulledOut("3.7")))
		s.refused(j.Dispose("1", NewDisposition{Decision: AcceptIt, Text: "fine as it is"}))
		must(j.Dispose("1", NewDisposition{Decision: Concession, Text: "until winter", Allowed: "Ruth"}))
	},
	"concession-to-oneself": func(s *scene) {
		j := s.job(s.source(), domeAnswers)
		must(j.Find(pulledOut("3.7")))
		s.refused(j.Dispose("1", NewDisposition{Decision: Concession, Text: "until winter", Allowed: "ana"}))
		must(j.Dispose("1", NewDisposition{Decision: Concession, Text: "until winter", Allowed: "Ruth"}))
	},
	"passed-over-a-step-before-which-a-hold-is-open-again": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`), step("off", "inspect"), step("look", "inspect"), step("cut", "make"))
		release := must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		must(j.Tick("off"))
		must(j.UndoEntry(release.Entry.ID))
		s.refused(j.Pass("cut", GateNeeds, "Olga", "in a hurry"))
		s.refused(j.Tick("cut"))
		s.write(j, Entry{Kind: KindPass, By: "Olga", Step: "cut", Reading: string(GateNeeds), Text: "in a hurry", Seen: []string{"look", "agree", "off"}})
		s.refused(j.Tick("cut"))
	},
	"ask-ticked-unread-by-another-program": func(s *scene) {
		j := s.work(step("fall", "measure", askReading))
		s.tick(j, "fall")
		s.open(j, "fall")
	},
	"reading-taken-back-after-the-tick": func(s *scene) {
		j := s.work(step("fall", "measure", askReading))
		read := must(j.Read("fall", "fall", "0.05"))
		tom := s.apart("Tom", j, 0)
		must(j.Tick("fall"))
		must(tom.UndoEntry(read.Entry.ID))
		s.meet(j, tom)
		s.open(j, "fall")
	},
	"stop-by-a-reading-that-was-left-out": func(s *scene) {
		j := s.work(
			step("on", "inspect", `reading = [{ name = "blanks_on", ask = "Blanks fitted", kind = "count", low = "0" }]`),
			step("off", "inspect", `reading = [{ name = "blanks_off", ask = "Blanks taken off", kind = "count", nominal = "${blanks_on}", within = "0", outside = "stop" }]`))
		must(j.Skip("on", "none needed"))
		must(j.Read("off", "blanks_off", "3"))
		s.refused(j.Tick("off"))
	},
	"stop-of-a-figure-without-limits": func(s *scene) {
		j := s.work(step("wall", "measure", `reading = [{ name = "wall", ask = "Wall", kind = "length", unit = "mm", nominal = "3", outside = "stop" }]`))
		must(j.Read("wall", "wall", "0.2"))
		s.refused(j.Tick("wall"))
		s.tick(j, "wall")
		s.open(j, "wall")
	},
	"ask-by-a-reading-that-was-left-out": func(s *scene) {
		j := s.work(
			step("before", "measure", `reading = [{ name = "plate_before", ask = "Gap before", kind = "length", unit = "mm", low = "0" }]`),
			step("after", "measure", `reading = [{ name = "plate_after", ask = "Gap after", kind = "length", unit = "mm", nominal = "${plate_before}", within = "±0.05", outside = "ask" }]`))
		must(j.Skip("before", "no feelers"))
		must(j.Read("after", "plate_after", "3"))
		s.refused(j.Tick("after"))
		must(j.Pass("after", GateAsk, "Ruth", "it was always so"))
		must(j.Tick("after"))
	},
	"closed-out-with-a-blank-in": func(s *scene) {
		j := s.work(step("off", "inspect"), step("record", "record"))
		must(j.Tick("off"))
		must(j.FitBlank("1", "on", "whistle"))
		s.shut(j, "record", GateBlanks)
		s.tick(j, "record")
		s.open(j, "record")
		must(j.FitBlank("1", "off", ""))
		s.done(j, "record")
	},
	"concession-of-nobody-by-another-program": func(s *scene) {
		j := s.job(s.source(), domeAnswers)
		id := must(j.Find(pulledOut("3.7"))).Entry.ID
		for _, allowed := range []string{"", "Eve"} {
			at := s.write(j, Entry{Kind: KindDispose, Step: "holes", About: id, Value: "concession", Text: "until winter", Data: map[string]string{"allowed": allowed}})
			state := j.State()
			s.unless(!state.Findings[0].Decided(), "allowed by %q", allowed)
			must(j.UndoEntry(at))
		}
	},
	"stripped-hole-accepted-by-another-program": func(s *scene) {
		j := s.ready()
		id := must(j.Find(pulledOut("3.7"))).Entry.ID
		s.write(j, Entry{Kind: KindDispose, Step: "holes", About: id, Value: "accept", Text: "fine as it is"})
		state := j.State()
		s.unless(!state.Findings[0].Decided(), "it is accepted")
	},
	"danger-undone-by-one-key": func(s *scene) {
		j := s.work(step("held", "inspect", heldReading))
		must(j.Read("held", "held", "no"))
		next := s.jobAt("/stick/club/next", parts+step("light", "test"), nil, s.env)
		_, err := next.Undo()
		require.ErrorIs(s.trial, err, ErrNothingToUndo)
		told := next.view().fold.told
		require.Len(s.trial, told, 1)
		s.write(next, Entry{Kind: KindRetract, Retracts: []string{told[0].ID}})
		s.unless(len(next.State().Dangers) == 1, "an undo took it from the top of the paper")
	},
	"sealant-of-an-old-clock": func(s *scene) {
		j := s.job(datedProcedure, nil)
		must(j.Read("container", "use_by", s.now.AddDate(0, 0, 3).Format("2006-01-02")))
		must(j.Tick("container"))
		must(j.Tick("dry"))
		s.hours(4 * 24)
		must(j.Note("", "written with the right clock"))
		must(j.SettleClock(s.now))
		s.hours(-3 * 24)
		s.refused(j.Tick("seal"))
	},
	"union-thicker-than-its-nut": func(s *scene) {
		source := s.changed(parts, "count     = \"3\"\n", "count     = \"3\"\nspanner = \"12.7 mm\"\n", "\"M4\"", "\"${union}\"",
			"[fasteners.screw]", "[settings.union]\nask = \"Thread of the union\"\nkind = \"thread\"\ndefault = \"M4\"\n\n[fasteners.screw]")
		j := s.job(source+step("wash", "measure", `reading = [{ name = "union", ask = "Thread", kind = "thread", sets = "union" }]`)+step("nut", "make", `parts = ["screw"]`)+step("close", "tighten", `parts = ["screw"]`), nil)
		must(j.Read("wash", "union", "G 1/4"))
		must(j.Tick("wash"))
		s.shut(j, "nut", GateRule)
	},
	"test-of-a-part-at-a-stop": func(s *scene) {
		source := s.changed(parts, "count     = \"3\"\n", "count     = \"3\"\nspanner = \"12.7 mm\"\n", "\"M4\"", "\"${union}\"",
			"[fasteners.screw]", "[settings.union]\nask = \"Thread of the union\"\nkind = \"thread\"\ndefault = \"M4\"\n\n[fasteners.screw]")
		j := s.job(source+step("wash", "measure", `reading = [{ name = "union", ask = "Thread", kind = "thread", sets = "union" }]`)+step("steam", "test", `parts = ["screw"]`), nil)
		must(j.Read("wash", "union", "G 1/4"))
		must(j.Tick("wash"))
		s.tick(j, "steam")
		s.open(j, "steam")
	},
	"true-pressure-that-a-seal-does-not-stand": func(s *scene) {
		j := s.work(step("plate", "measure", `reading = [{ name = "pressure", ask = "Working pressure, on the plate", kind = "pressure", unit = "bar", sets = "pressure" }]`), step("dry", "dry-fit", `parts = ["paste"]`), step("seal", "seal", `parts = ["paste"]`))
		must(j.Read("plate", "pressure", "40"))
		must(j.Tick("plate"))
		s.shut(j, "dry", GateRule)
		must(j.Read("plate", "pressure", "6"))
		must(j.Tick("dry"))
		must(j.Answer("pressure", "40 bar", "the plate was of another engine"))
		must(j.UndoEntry(j.State().Steps["plate"].Readings["pressure"][0].ID))
		s.refused(j.Tick("seal"))
	},
	"parts-that-leave-the-list": func(s *scene) {
		j := decidedHole(s)
		for _, id := range []string{"dry", "seal", "tighten"} {
			must(j.Pass(id, GateShort, "Olga", "two lie in the drawer"))
			must(j.Tick(id))
		}
		listed := func() bool {
			list := j.Needs()
			for _, need := range list.Open() {
				if need.Key == "screw-screw_3" {
					return true
				}
			}
			return false
		}
		s.unless(listed(), "nobody got them, and they are off the list")
		must(j.Got("screw-screw_3"))
		s.unless(!listed(), "they were got")
	},
	"screws-of-the-decision-before": func(s *scene) {
		j := decidedHole(s)
		must(j.Got("screw-screw_3"))
		other := upASize()
		other.Thread = "M5"
		must(j.Dispose("1", other))
		list := j.Needs()
		for _, need := range list.Items {
			s.unless(need.Key != "screw-screw_3" || len(need.Got) == 0, "screws of 2 BA are there, and M5 is wanted")
		}
	},
	"line-edited-in-a-log": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading))
		must(j.Read("cold", "zero", "no"))
		s.edit(j, `"value":"no"`, `"value":"yes"`)
		j = s.elsewhere("Tom", j)
		s.tick(j, "cold")
		s.open(j, "cold")
	},
	"line-of-a-device-that-nobody-has-met": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading))
		must(j.Note("", "written here"))
		s.foreign(j, Entry{Kind: KindMeasure, By: "Olga", Step: "cold", Reading: "zero", Value: "yes", Unit: "yes-no", Time: s.now.Format(time.RFC3339)})
		v, err := j.Verify()
		require.NoError(s.trial, err)
		s.unless(len(v.Strangers) == 1 && strings.Contains(v.Strangers[0].String(), "Olga"), "verify does not name it")
		s.unless(strings.Contains(s.paper(j), "Device not met before"), "nor does the record")
	},
	"step-that-names-what-is-not-there": func(s *scene) {
		source := s.changed(parts, "[fasteners.screw]", "[settings.sealing]\nask = \"Sealed by\"\nkind = \"choice\"\nchoices = [\"paste\", \"tape\"]\ndefault = \"paste\"\n\n[fasteners.screw]",
			"[seals.paste]\n", "[seals.paste]\nwhen = [\"sealing = paste\"]\n")
		j := s.job(source+step("cover", "inspect", `do = "Let it cure for ${paste.cure}."`), map[string]string{"sealing": "tape"})
		s.refused(j.Tick("cover"))
		must(j.Pass("cover", GateWords, "Ruth", "there is no paste, nothing cures"))
		must(j.Tick("cover"))
	},
	"name-without-its-braces": func(s *scene) {
		for _, do := range []string{"Bore it to {bore}.", "Bore it to $bore.", "Tighten to $screw.torque."} {
			j := s.jobAt(fmt.Sprintf("/stick/club/%d", len(do)), parts+step("plug", "make", fmt.Sprintf("do = %q", do)), nil, s.env)
			s.refused(j.Tick("plug"))
			must(j.Pass("plug", GateWords, "Ruth", "6 mm"))
			must(j.Tick("plug"))
		}
		j := s.jobAt("/stick/club/good", parts+step("plug", "make", `do = "It cost $6 {or so}. Bore to ${bore}."`), nil, s.env)
		must(j.Tick("plug"))
	},
	"dash-for-a-minus": func(s *scene) {
		const rod = "name = \"rod\", ask = \"Spindle\", kind = \"length\", unit = \"mm\", nominal = \"10\", outside = \"stop\", "
		for _, limit := range []string{"low = \"\u22120.05\"", "minus = \"\u22120.05\"", "low = \"\u20130.05\"", "within = \"\u22120.05\""} {
			_, found := checklist.Read("tap.toml", []byte(parts+step("rod", "measure", "reading = [{ "+rod+limit+" }]")))
			s.unless(found.HasStop(), "%s is taken for a limit", limit)
		}
		j := s.work(step("rod", "measure", "reading = [{ "+rod+"within = \"\u00b1\u00a00.05\" }]"))
		s.refused(j.Read("rod", "rod", "\u22122"))
		must(j.Read("rod", "rod", "2"))
		s.shut(j, "rod", GateNeeds)
	},
	"clearance-worked-out": func(s *scene) {
		figure := "[figures.clearance]\nis = \"plug_bore - plug\"\nlow = \"0.02 mm\"\nhigh = \"0.08 mm\"\noutside = \"stop\"\n\n[[stage]]"
		j := s.job(strings.Replace(parts+step("bore", "measure", `reading = [{ name = "plug_bore", ask = "Bore", kind = "length", times = 3, takes = "largest" }]`)+
			step("plug", "measure", `reading = [{ name = "plug", ask = "Plug", kind = "length" }]`)+step("close", "record"), "[[stage]]", figure, 1), nil)
		must(j.Read("bore", "plug_bore", "6.01; 6.05; 6.02"))
		must(j.Tick("bore"))
		must(j.Read("plug", "plug", "5.95"))
		s.refused(j.Tick("plug"))
		s.refused(j.Skip("plug", "late"))
		s.tick(j, "plug")
		s.open(j, "plug")
		s.refused(j.Tick("close"))
	},
	"four-turns-of-a-fine-thread": func(s *scene) {
		// 6 BA has a pitch of 0.53 mm on 2.8 mm (BS 93): 1.5 diameters are 8 turns.
		source := s.changed(parts, `"M4"`, `"6 BA"`)
		j := s.job(source+step("turns", "measure", `parts = ["screw"]`, `reading = [{ name = "turns", ask = "Turns by fingers", kind = "turns", low = "${screw.hold_turns}", outside = "stop" }]`), nil)
		must(j.Read("turns", "turns", "7"))
		s.refused(j.Tick("turns"))
		must(j.Read("turns", "turns", "8"))
		must(j.Tick("turns"))
	},
}

// decidedHole is the dome cover's job with hole 3 gone up a size, all done before its
// dry fit.
func decidedHole(s *scene) *Job {
	j := s.job(s.source(), domeAnswers)
	must(j.Read("cold", "zero", "yes"))
	must(j.Release("cold", "Olga"))
	must(j.Tick("cold"))
	must(j.Tick("off"))
	must(j.Read("holes", "bad", "1"))
	must(j.Tick("holes"))
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	lookAndMeasure(j, "screw-3")
	must(j.Read("screw-3-tap", "drilled", "4.0"))
	must(j.Tick("screw-3-tap"))
	must(j.Read("screw-3-gauge", "goes", "yes"))
	must(j.Read("screw-3-gauge", "full_thread", "8"))
	must(j.Tick("screw-3-gauge"))
	must(j.Read("screw-3-cover-hole", "cover_hole", "5.2"))
	must(j.Tick("screw-3-cover-hole"))
	must(j.Read("screw-3-mark", "clear", "yes"))
	must(j.Read("screw-3-mark", "tagged", "yes"))
	must(j.Read("screw-3-mark", "wet", "yes"))
	must(j.Tick("screw-3-mark"))
	must(j.Tick("cut"))
	must(j.Read("dry", "rock", "0"))
	return j
}

// A stop from before its step was opened again says nothing about it now.
func TestAStopFromBeforeTheOpening(t *testing.T) {
	result := try(t, "", func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("off", "inspect"))
		must(j.Read("cold", "zero", "yes"))
		must(j.Tick("cold"))
		must(j.Read("cold", "zero", "no"))
		must(j.Reopen("cold", "a new gauge"))
		require.Empty(s.trial, s.at(j, "cold").Readings["zero"])
		must(j.Read("cold", "zero", "yes"))
		must(j.Tick("cold"))
	})
	require.Empty(t, result.broke)
}
