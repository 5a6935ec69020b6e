package job

import (
	"strings"

	"github.com/stretchr/testify/require"
)

// refresh has a job look at what others wrote inside it.
func (s *scene) refresh(j *Job) {
	_, err := j.Refresh()
	require.NoError(s.trial, err)
}

// Jobs inside a job, the end of a job, and copies of it.
var calledScenarios = map[string]func(*scene){
	"danger-found-in-a-called-job": func(s *scene) {
		j := s.work(step("valve", "inspect", `call = "gland"`), step("light", "test"))
		child := s.call(j, "valve", "format = 1\nid = \"gland\"\ntitle = \"A gland\"\n[[stage]]\ntitle = \"Work\"\n"+step("held", "inspect", heldReading), nil)
		must(child.Read("held", "held", "no"))
		s.refresh(j)
		s.refused(j.Tick("valve"))
		next := s.jobAt("/stick/club/next", parts+step("light", "test"), nil, s.env)
		state := next.State()
		s.unless(len(state.Standing()) == 1, "the next job on the engine knows nothing of it")
		state = j.State()
		s.unless(len(state.Standing()) == 1 && strings.Contains(s.paper(j), "STANDING DANGER"), "the job that called it says nothing of it")
	},
}
