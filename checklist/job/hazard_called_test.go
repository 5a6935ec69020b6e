package job

import (
	"path/filepath"
	"strings"

	"github.com/stretchr/testify/require"
)

// calling is a job whose steps call: holes may, oil always does.
func calling(s *scene) *Job {
	j := s.job(coverProcedure, map[string]string{"thread": "M4"})
	must(j.Release("safe", "Ruth"))
	must(j.Tick("safe"))
	return j
}

// refresh has a job look at what others wrote inside it.
func (s *scene) refresh(j *Job) {
	_, err := j.Refresh()
	require.NoError(s.trial, err)
}

// Jobs inside a job, the end of a job, and copies of it.
var calledScenarios = map[string]func(*scene){
	"done-while-a-called-job-is-open": func(s *scene) {
		j := calling(s)
		child := s.call(j, "holes", holeProcedure, map[string]string{"thread": "M4"})
		must(child.Tick("look"))
		must(j.Read("holes", "widest", "3.4"))
		s.refresh(j)
		s.shut(j, "holes", GateCalled)
		s.refused(j.Skip("holes", "no time"))
		s.tick(j, "holes")
		s.open(j, "holes")
		must(child.Release("mend", "Ruth"))
		must(child.Tick("mend"))
		must(child.Tick("drill"))
		s.refresh(j)
		s.done(j, "holes")
	},
	"called-job-opened-again": func(s *scene) {
		j := calling(s)
		child := s.call(j, "oil", oilProcedure, nil)
		must(child.Tick("drill"))
		must(child.Tick("again"))
		must(j.Read("holes", "widest", "3"))
		must(j.Tick("holes"))
		must(j.Tick("oil"))
		must(child.Reopen("drill", "off the mark"))
		s.refresh(j)
		s.open(j, "oil")
		s.refused(j.Tick("close"))
	},
	"called-job-whose-folder-is-gone": func(s *scene) {
		j := calling(s)
		child := s.call(j, "oil", oilProcedure, nil)
		for name := range s.m.nodes {
			if strings.HasPrefix(name, filepath.Dir(child.Dir())+"/") {
				delete(s.m.nodes, name)
			}
		}
		s.refresh(j)
		s.refused(j.Tick("oil"))
		s.tick(j, "oil")
		s.open(j, "oil")
		must(j.Pass("oil", GateCalled, "Ruth", "its folder is lost; the hole is drilled"))
		s.done(j, "oil")
	},
	"danger-found-in-a-called-job": func(s *scene) {
		j := s.work(step("valve", "inspect", `call = { procedure = "gland" }`), step("light", "test"))
		child := s.call(j, "valve", "format = 2\nid = \"gland\"\ntitle = \"A gland\"\n[[stage]]\ntitle = \"Work\"\n"+step("held", "inspect", heldReading), nil)
		must(child.Read("held", "held", "no"))
		s.refresh(j)
		s.refused(j.Tick("valve"))
		next := s.jobAt("/stick/club/next", parts+step("light", "test"), nil, s.env)
		state := next.State()
		s.unless(len(state.Standing()) == 1, "the next job on the engine knows nothing of it")
		state = j.State()
		s.unless(len(state.Standing()) == 1 && strings.Contains(s.paper(j), "STANDING DANGER"), "the job that called it says nothing of it")
	},
	"call-that-was-never-made": func(s *scene) {
		j := calling(s)
		must(j.Read("holes", "widest", "3"))
		must(j.Tick("holes"))
		s.shut(j, "oil", GateCalled)
		s.tick(j, "oil")
		s.open(j, "oil")
		s.refused(j.Tick("close"))
	},
	"called-off-after-metal-was-cut": func(s *scene) {
		j := calling(s)
		child := s.call(j, "oil", oilProcedure, nil)
		must(child.Tick("drill"))
		s.refused(child.CallOff("started by mistake"))
		s.write(child, Entry{Kind: KindOff, By: "Eve", Text: "started by mistake"})
		s.refresh(j)
		state := j.State()
		s.unless(state.Called[0].Open, "metal is cut, and the job is called off")
	},
	"called-off-apart-from-the-work": func(s *scene) {
		j := calling(s)
		child := s.call(j, "oil", oilProcedure, nil)
		tom := s.apart("Tom", j, 0)
		inside, err := Open(tom.State().Called[0].Dir, tom.env)
		require.NoError(s.trial, err)
		must(inside.Tick("drill"))
		must(child.CallOff("started by mistake"))
		s.meet(j, tom)
		state := j.State()
		s.unless(state.Called[0].Open, "metal is cut, and the job is called off")
	},
	"put-away-unfinished": func(s *scene) {
		j := s.work(step("cold", "inspect"), step("close", "record"))
		must(j.Tick("cold"))
		s.refused(j.Close("all done"))
		must(j.Tick("close"))
		must(j.CountIn("dome", "rag", 1))
		s.refused(j.Close("all done"))
		must(j.CountIn("dome", "rag", -1))
		must(j.Close("all done"))
		s.unless(len(j.State().Closed) == 1, "it is finished, and not put away")
		must(j.UndoStep("cold"))
		s.unless(len(j.State().Closed) == 0, "it is put away with a step open")
	},
	"put-away-by-another-program": func(s *scene) {
		j := s.work(step("cold", "inspect"), step("close", "record"))
		s.write(j, Entry{Kind: KindClose, Text: "all done"})
		s.unless(len(j.State().Closed) == 0, "it is put away with all to do")
	},
	"all-done-with-a-danger-standing": func(s *scene) {
		j := s.work(step("held", "inspect", heldReading))
		must(j.Read("held", "held", "no"))
		next := s.jobAt("/stick/club/next", parts+step("light", "record"), nil, s.env)
		must(next.Tick("light"))
		state := next.State()
		s.unless(strings.Contains(strings.Join(state.Unsettled(), " "), "standing danger"), "all done, and nothing is said of it")
	},
	"hold-of-the-owner-by-who-works": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "owner"`))
		must(j.Tick("look"))
		s.refused(j.Release("agree", "Ana"))
		must(j.ReleaseMyself("agree", "Ana"))
		require.Contains(s.trial, s.paper(j), selfWords)
	},
	"hold-of-the-owner-written-down-by-who-works": func(s *scene) {
		j := s.work(step("look", "inspect"), step("agree", "decide", `hold = "owner"`))
		must(j.Tick("look"))
		s.release(j, "Ana", "agree")
		s.unless(strings.Contains(s.paper(j), selfWords), "the record does not say that the owner did the work")
	},
	"folder-set-back-to-an-older-copy": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("off", "inspect"))
		must(j.Read("cold", "zero", "yes"))
		must(j.Tick("cold"))
		old := map[string]memNode{}
		for name, node := range s.m.nodes {
			if strings.HasPrefix(name, memJob+"/log-") {
				old[name] = *node
			}
		}
		must(j.Read("cold", "zero", "no"))
		for name, node := range old {
			s.m.tick++
			node.mtime = s.m.tick
			s.m.nodes[name] = &node
		}
		again, err := Open(memJob, s.env)
		require.NoError(s.trial, err)
		s.open(again, "cold")
		s.refused(again.Tick("off"))
		s.refresh(again)
		tom := s.elsewhere("Tom", j)
		s.open(tom, "cold")
	},
	"older-copy-merged-in": func(s *scene) {
		j := s.work(step("cold", "inspect", zeroReading), step("off", "inspect"))
		must(j.Read("cold", "zero", "yes"))
		must(j.Tick("cold"))
		tom := s.apart("Tom", j, 0)
		must(j.Read("cold", "zero", "no"))
		s.meet(j, tom)
		s.open(j, "cold")
		s.open(tom, "cold")
	},
	"line-of-the-sheet-edited-by-hand": func(s *scene) {
		j := climbing(s)
		must(j.Sheet("target", "8 bar"))
		s.edit(j, `"value":"8 bar"`, `"value":"3 bar"`)
		tom := s.elsewhere("Tom", j)
		sheet := tom.State().Test
		s.unless(sheet.Value("target") != "3 bar", "an editor wrote the test pressure")
	},
}
