package job

import (
	"fettle/checklist"
	"os"
	"strings"

	"github.com/stretchr/testify/require"
)

// Releases and holds.
var holdScenarios = map[string]func(*scene){
	"hold-before-its-reading": func(s *scene) {
		j := s.work(step("cold", "inspect", `hold = "owner"`, zeroReading))
		s.refused(j.Release("cold", "Olga"))
		must(j.Read("cold", "zero", "yes"))
		must(j.Release("cold", "Olga"))
		must(j.Tick("cold"))
	},
	"hold-before-what-it-rests-on": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "inspector"`))
		s.refused(j.Release("agree", "Ruth"))
		must(j.Tick("look"))
		must(j.Release("agree", "Ruth"))
	},
	"hold-of-the-tally-before-it-is-counted": func(s *scene) {
		j := s.work(step("inside", "inspect", `hold = "owner"`, `closes = "dome"`))
		must(j.CountIn("dome", "rag", 3))
		must(j.CountIn("dome", "rag", -2))
		s.refused(j.Release("inside", "Olga"))
		must(j.CountIn("dome", "rag", -1))
		must(j.Release("inside", "Olga"))
	},
	"read-worse-after-the-release": func(s *scene) {
		j := s.work(step("gap", "measure", gapReading), step("agree", "decide", `hold = "inspector"`), step("close", "tighten"))
		must(j.Read("gap", "gap", "0.03"))
		must(j.Tick("gap"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		must(j.Note("gap", "measured again by the same feeler"))
		must(j.Read("gap", "gap", "0.030"))
		s.done(j, "agree")
		must(j.Read("gap", "gap", "0.2"))
		s.open(j, "agree")
		s.refused(j.Tick("close"))
		must(j.Release("agree", "Ruth"))
		s.done(j, "agree")
	},
	"read-worse-on-the-held-step": func(s *scene) {
		j := s.work(step("gap", "measure", `hold = "inspector"`, gapReading))
		must(j.Read("gap", "gap", "0.03"))
		must(j.Release("gap", "Ruth"))
		must(j.Tick("gap"))
		must(j.Read("gap", "gap", "0.2"))
		s.open(j, "gap")
	},
	"released-apart-from-a-worse-reading": func(s *scene) {
		j := s.work(step("gap", "measure", gapReading), step("agree", "decide", `hold = "inspector"`))
		must(j.Read("gap", "gap", "0.03"))
		must(j.Tick("gap"))
		tom := s.apart("Tom", j, 0)
		must(tom.Read("gap", "gap", "0.2"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		s.meet(j, tom)
		s.open(j, "agree")
		s.open(tom, "agree")
	},
	"release-that-does-not-say-what-it-saw": func(s *scene) {
		j := s.work(step("gap", "measure", `hold = "inspector"`, gapReading))
		must(j.Read("gap", "gap", "0.03"))
		s.write(j, Entry{Kind: KindRelease, By: "Ruth", Step: "gap"})
		s.tick(j, "gap")
		s.open(j, "gap")
	},
	"worker-releases-as-inspector": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "inspector"`))
		must(j.Tick("look"))
		s.refused(j.Release("agree", "Ana"))
		s.refused(j.ReleaseMyself("agree", "ana"))
		must(j.Release("agree", "Ruth"))
	},
	"hold-ticked-by-another-program": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`), step("cut", "make"))
		s.tick(j, "agree")
		s.shut(j, "agree", GateHold)
		s.refused(j.Tick("cut"))
	},
	"hold-ticked-on-the-screen": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`))
		s.shut(j, "agree", GateHold)
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
	},
	"hold-passed-by-another-program": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`))
		s.write(j, Entry{Kind: KindPass, By: "Olga", Step: "agree", Reading: string(GateHold), Text: "in a hurry", Seen: []string{"inspector"}})
		s.refused(j.Tick("agree"))
		s.tick(j, "agree")
		s.open(j, "agree")
	},
	"hold-left-out": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`), step("cut", "make"))
		s.refused(j.Skip("agree", "no time"))
		must(j.Release("agree", "Ruth"))
		s.refused(j.Skip("agree", "no time"))
		s.write(j, Entry{Kind: KindSkip, Step: "agree", Text: "no time"})
		s.open(j, "agree")
		s.refused(j.Tick("cut"))
	},
	"hold-of-an-empty-answer": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "${who}"`), step("cut", "make"))
		s.shut(j, "agree", GateHold)
		s.refused(j.Tick("cut"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
	},
	"hold-of-an-empty-word": func(s *scene) {
		j := s.edited(step("agree", "decide", `hold = ""`), step("cut", "make"))
		s.tick(j, "agree")
		s.open(j, "agree")
	},
	"another-inspector-than-on-the-sheet": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`, `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		s.refused(j.Release("agree", "Olga"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
	},
	"inspector-of-the-sheet-is-changed": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`, `parts = ["water"]`))
		must(j.Sheet("operator", "Ana"))
		must(j.Sheet("inspector", "Ruth"))
		s.release(j, "Olga", "agree")
		s.tick(j, "agree")
		s.open(j, "agree")
	},
	"released-before-a-step-was-done-again": func(s *scene) {
		j := s.work(step("face", "make"), step("agree", "decide", `hold = "inspector"`))
		must(j.Tick("face"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		must(j.Reopen("face", "a scratch was left"))
		s.open(j, "agree")
		must(j.Tick("face"))
		s.open(j, "agree")
		s.refused(j.Tick("agree"))
	},
	"release-undone-apart": func(s *scene) {
		j := s.work(step("agree", "decide", `hold = "inspector"`))
		first := must(j.Release("agree", "Ruth"))
		tom := s.apart("Tom", j, 0)
		must(tom.UndoEntry(first.Entry.ID))
		must(j.UndoEntry(first.Entry.ID))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		s.meet(j, tom)
		s.open(j, "agree")
		must(j.Release("agree", "Ruth"))
		s.done(j, "agree")
	},
	"hold-released-by-a-role": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "owner"`))
		must(j.Tick("look"))
		s.refused(j.Release("agree", "The owner"))
		s.refused(j.Release("agree", "boiler inspector"))
		s.refused(j.Release("agree", "Fitter"))
		s.open(j, "agree")
	},
	"both-proofs-through-one-opening": func(s *scene) {
		source, err := os.ReadFile("../../recipes/gland.toml")
		require.NoError(s.trial, err)
		proc, found := checklist.NewLibrary(os.DirFS("../../recipes")).Read("gland.toml", source)
		require.Empty(s.trial, found)
		j, err := Start(memJob, proc, nil, "Bramble", s.env)
		require.NoError(s.trial, err)
		must(j.Tick("cold"))
		must(j.Read("gauge-zero", "gauge", "yes"))
		must(j.Tick("gauge-zero"))
		must(j.Read("open-zero", "own_way", "no"))
		must(j.Read("open-zero", "open", "yes"))
		s.refused(j.Tick("open-zero"))
		s.open(j, "open-zero")
	},
	"gate-passed-by-a-role": func(s *scene) {
		j := s.work(step("look", "inspect"), step("plain", "inspect", `after = ["look"]`))
		s.refused(j.Pass("plain", GateNeeds, "owner", "in a hurry"))
	},
	"gate-passed-by-a-role-in-a-log": func(s *scene) {
		j := s.work(step("look", "inspect"), step("plain", "inspect", `after = ["look"]`))
		s.write(j, Entry{Kind: KindPass, By: "owner", Step: "plain", Reading: string(GateNeeds), Text: "in a hurry", Seen: []string{"look"}})
		s.refused(j.Tick("plain"))
	},
	"test-passed-by-a-role-in-a-log": func(s *scene) {
		j := climbed(s, "preliminary=yes")
		s.refused(j.Result("pass", "the inspector", "dry"))
		s.result(j, "pass", "Operator")
		s.fails(j)
	},
	"hold-released-by-a-role-in-a-log": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "owner"`))
		must(j.Tick("look"))
		s.release(j, "owner", "agree")
		s.tick(j, "agree")
		s.open(j, "agree")
		s.unless(strings.Contains(s.paper(j), "says nobody's name"), "the record does not say why the release is void")
	},
	"worker-is-written-down-as-inspector": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "inspector"`))
		must(j.Tick("look"))
		s.release(j, "Ana", "agree")
		s.tick(j, "agree")
		s.open(j, "agree")
	},
	"inspector-who-works-on-another-device": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "inspector"`))
		must(j.Tick("look"))
		ruth := s.apart("Ruth", j, 0)
		must(ruth.UndoStep("look"))
		must(ruth.Tick("look"))
		must(j.Release("agree", "Ruth"))
		must(j.Tick("agree"))
		s.meet(j, ruth)
		s.open(j, "agree")
	},
	"inspector-by-another-word": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "Boiler inspector"`))
		must(j.Tick("look"))
		s.refused(j.ReleaseMyself("agree", "Ana"))
	},
	"inspector-who-works-in-a-called-job": func(s *scene) {
		j := s.work(step("hole", "make", `call = { procedure = "oil-hole" }`), step("agree", "decide", `hold = "inspector"`))
		child := s.call(j, "hole", oilProcedure, nil)
		tom, err := Open(child.Dir(), s.device("Tom"))
		require.NoError(s.trial, err)
		must(tom.Tick("drill"))
		must(tom.Tick("again"))
		must(j.Tick("hole"))
		s.refused(j.Release("agree", "Tom"))
		s.release(j, "Tom", "agree")
		s.tick(j, "agree")
		s.open(j, "agree")
		must(j.Release("agree", "Ruth"))
		s.done(j, "agree")
	},
}
