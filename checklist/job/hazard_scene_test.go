package job

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// scene is a bench on which one way to be hurt is played: Ana's device, and those of
// others on copies of the folder that she meets now and then.
//
// What has to work, works through must and require: where that breaks, the scenario
// is broken. Whether somebody could be hurt is asked by refused, open and hurt only.
type scene struct {
	*bench
	trial  *trial
	clocks map[string]time.Duration // by person: how far the clock of their device is off
}

// trial is the T of a scenario: it tells a danger that was not stopped from a
// scenario that does not work.
type trial struct {
	testing.TB
	danger, broke string
}

// over ends a scenario.
type over struct{}

func (t *trial) Helper() {}

func (t *trial) Errorf(format string, args ...any) {
	if t.broke == "" {
		t.broke = fmt.Sprintf(format, args...)
	}
}

func (t *trial) FailNow() { panic(over{}) }

// play plays a scenario with all rules but one ("" for all of them).
func try(t testing.TB, without Rule, scenario func(*scene)) (result *trial) {
	result = &trial{TB: t}
	defer func() {
		if r := recover(); r != nil && r != (over{}) && result.broke == "" {
			result.broke = fmt.Sprint(r)
		}
	}()
	s := &scene{bench: newBench(result), trial: result, clocks: map[string]time.Duration{}}
	s.env.without = without
	s.env.Now = func() time.Time { return s.now.Add(s.clocks["Ana"]) }
	scenario(s)
	return result
}

// hurt says that somebody can be hurt.
func (s *scene) hurt(format string, args ...any) {
	s.trial.danger = fmt.Sprintf(format, args...)
	panic(over{})
}

// unless is hurt where something does not hold.
func (s *scene) unless(holds bool, format string, args ...any) {
	if !holds {
		s.hurt(format, args...)
	}
}

// refused wants an act refused, for a reason of the job: a step or a reading that is
// not there, or a disk that is full, is no such reason.
func (s *scene) refused(saved Saved, err error) {
	var name *StepError
	var disk *NotSavedError
	if errors.As(err, &name) || errors.As(err, &disk) || errors.Is(err, ErrNobody) {
		s.trial.Errorf("refused for another reason: %v", err)
		s.trial.FailNow()
	}
	if err == nil {
		s.hurt("it was taken: %s %s %s", saved.Entry.Kind, saved.Entry.Step, saved.Said)
	}
}

// open wants a step not to count as done or left out.
func (s *scene) open(j *Job, step string) {
	switch at := s.at(j, step); at.Status {
	case Done, Skipped:
		s.hurt("%s is %s: %v", step, at.Status, at)
	}
}

// shut wants a step to be open, and nobody able to tick it, leave it out, or let its
// gate pass by name.
func (s *scene) shut(j *Job, step string, gate GateName) {
	s.open(j, step)
	s.refused(j.Tick(step))
	s.refused(j.Pass(step, gate, "Olga", "in a hurry"))
	s.open(j, step)
}

// shutFor wants a gate to stand before a step.
func (s *scene) shutFor(j *Job, step string, gate GateName) {
	at := s.at(j, step)
	s.unless(slices.ContainsFunc(at.Gates, func(g Gate) bool { return g.Name == gate && len(g.Passed) == 0 }), "no gate %s at %s", gate, step)
}

// done wants a step done: the honest way is open.
func (s *scene) done(j *Job, step string) {
	at := s.at(j, step)
	require.Equal(s.trial, Done, at.Status, "%s: %v", step, at.Blocks)
}

// at is how a step stands.
func (s *scene) at(j *Job, step string) StepState {
	at, ok := j.State().Steps[step]
	require.True(s.trial, ok, "no step %s", step)
	return at
}

// write puts into the log what another program wrote there, asking nobody.
func (s *scene) write(j *Job, e Entry) string {
	if e.By == "" {
		e.By = "Eve"
	}
	saved, err := j.writer.save(func(bool) (Entry, error) { return e, nil }, j.look)
	require.NoError(s.trial, err)
	return saved.Entry.ID
}

// tick is a tick that another program wrote, as a device would that knows of all that
// was decided.
func (s *scene) tick(j *Job, step string) string {
	return s.write(j, Entry{Kind: KindTick, Step: step, Seen: append([]string(nil), j.view().changed.touch[step]...)})
}

// release is a release that another program wrote, with all that can be seen now.
func (s *scene) release(j *Job, by, step string) string {
	state := j.State()
	g := j.gating(&state, j.view(), s.now)
	f := j.Filled().Step(step)
	return s.write(j, Entry{Kind: KindRelease, By: by, Step: step, Seen: append([]string(nil), j.view().changed.touch[step]...), Saw: saw(g.sight(f, g.recorded(f)))})
}

// job starts a procedure on Bramble.
func (s *scene) job(source string, settings map[string]string) *Job {
	return s.jobAt(memJob, source, settings, s.env)
}

func (s *scene) jobAt(dir, source string, settings map[string]string, env Env) *Job {
	j, err := Start(dir, tap(s.trial, source), settings, "Bramble", env)
	require.NoError(s.trial, err)
	return j
}

// apart is another person with a copy of the folder as it is now, on a device whose
// clock is off by so much.
func (s *scene) apart(name string, j *Job, off time.Duration) *Job {
	dir := "/home/" + strings.ToLower(name) + "/" + filepath.Base(j.Dir())
	s.m.copyTree(j.Dir(), dir)
	s.clocks[name] = off
	env := s.device(name)
	env.Now = func() time.Time { return s.now.Add(s.clocks[name]) }
	other, err := Open(dir, env)
	require.NoError(s.trial, err)
	return other
}

// named gives a person's device its name, which decides the order of entries that were
// made apart.
func (s *scene) named(env Env, id string) {
	require.NoError(s.trial, s.m.MkdirAll(env.StateDir, 0o700))
	s.m.nodes[env.StateDir+"/device.jsonl"] = &memNode{data: []byte(`{"device":"` + id + `"}` + "\n")}
}

// paper is the record of a job as one line of text.
func (s *scene) paper(j *Job) string {
	record := j.Record()
	var page bytes.Buffer
	require.NoError(s.trial, record.WriteMarkdown(&page))
	return strings.Join(strings.Fields(page.String()), " ")
}

// conflict wants something that waits until it is settled.
func (s *scene) conflict(j *Job) {
	state := j.State()
	s.unless(slices.ContainsFunc(state.Conflicts, func(c Conflict) bool { return c.Holds }), "nothing waits to be settled: %v", state.Conflicts)
}

// edit changes bytes in the logs of a job, as an editor does.
func (s *scene) edit(j *Job, old, new string) {
	edited := 0
	for name, node := range s.m.nodes {
		if strings.HasPrefix(name, j.Dir()+"/log-") && bytes.Contains(node.data, []byte(old)) {
			node.data = bytes.ReplaceAll(node.data, []byte(old), []byte(new))
			node.state = make([]byteState, len(node.data))
			s.m.tick++
			node.mtime = s.m.tick
			edited++
		}
	}
	require.Positive(s.trial, edited)
}

// elsewhere opens the job on a device that has seen nothing of it.
func (s *scene) elsewhere(name string, j *Job) *Job {
	other, err := Open(j.Dir(), s.device(name))
	require.NoError(s.trial, err)
	return other
}

// foreign is an entry in a log of a device that nobody knows and that knows of nobody.
func (s *scene) foreign(j *Job, e Entry) {
	e.V, e.Seq, e.N = lineVersion, 1, 1
	e.ID = fmt.Sprintf("evil%d-1-aaaa", len(s.m.nodes))
	line, err := encode(e)
	require.NoError(s.trial, err)
	s.m.tick++
	s.m.nodes[fmt.Sprintf("%s/log-evil%d-aaaaaa.jsonl", j.Dir(), len(s.m.nodes))] = &memNode{data: append(line, '\n'), state: make([]byteState, len(line)+1), mtime: s.m.tick}
	_, err = j.Refresh()
	require.NoError(s.trial, err)
}

// meet brings to both what the other has.
func (s *scene) meet(a, b *Job) {
	for _, pair := range [][2]*Job{{a, b}, {b, a}} {
		_, err := pair[0].Merge(pair[1].Dir())
		require.NoError(s.trial, err)
	}
}

// hours lets time pass: for everybody, and for their clocks.
func (s *scene) hours(n float64) { s.now = s.now.Add(time.Duration(n * float64(time.Hour))) }

// source is a procedure of our own scenario with some words replaced.
func (s *scene) source(replace ...string) string {
	data, err := os.ReadFile("../../testdata/refit/dome-cover.toml")
	require.NoError(s.trial, err)
	return s.changed(string(data), replace...)
}

func (s *scene) changed(source string, replace ...string) string {
	for i := 0; i+1 < len(replace); i += 2 {
		require.Contains(s.trial, source, replace[i])
		source = strings.ReplaceAll(source, replace[i], replace[i+1])
	}
	return source
}

// parts is the head of the procedures that scenarios make of a few steps: a ring of
// screws, a sealant that cures for 24 hours, a pressure test by an invented code.
const parts = `format = 2
id     = "valve"
title  = "Refit a valve"

[settings.bore]
ask     = "Bore of the seat"
kind    = "length"
default = "6 mm"

[settings.who]
ask     = "Who releases, by your code"
kind    = "text"
default = ""

[settings.hold_time]
ask     = "Hold time, from the code"
kind    = "time"
default = "10 min"

[settings.pressure]
ask     = "Working pressure"
kind    = "pressure"
default = "6 bar"

[fasteners.screw]
label     = "cover screws"
thread    = "M4"
grade     = "A2-70"
lubricant = "anti-seize"
count     = "3"

[seals.paste]
label      = "thread sealant"
kind       = "sealant"
material   = "high-temperature anaerobic"
zone       = "saturated"
pressure   = "${pressure}"
metals     = ["gunmetal", "stainless"]
gap        = "0.1 mm"
primer     = "yes"
shop       = "20 C"
sheet_time = "24 h"

[tests.water]
code     = "Club code"
edition  = "2018"
pressure = "${pressure}"
multiple = "1.5"
target   = "9 bar"
hold     = "${hold_time}"

[[stage]]
title = "Work"
`

// step is one step of such a procedure; more are further keys of it.
func step(id, kind string, more ...string) string {
	if !slices.ContainsFunc(more, func(key string) bool { return strings.HasPrefix(key, "do = ") }) {
		more = append(more, `do = "Do it."`)
	}
	return fmt.Sprintf("[[stage.step]]\nid = %q\nkind = %q\n%s\n", id, kind, strings.Join(more, "\n"))
}

// Readings of such steps.
const (
	zeroReading = `reading = [{ name = "zero", ask = "Gauge on zero", kind = "yes-no", nominal = "yes", outside = "stop" }]`
	gapReading  = `reading = [{ name = "gap", ask = "Gap at the rim", kind = "length", unit = "mm", low = "0", high = "0.05" }]`
	askReading  = `reading = [{ name = "fall", ask = "Fall in the hold", kind = "pressure", unit = "bar", low = "0", high = "0.1", outside = "ask" }]`
	heldReading = `reading = [{ name = "held", ask = "Held from inside", kind = "yes-no", nominal = "yes", danger = "Nothing holds the spindle from inside." }]`
)

// work starts a job of a few steps.
func (s *scene) work(steps ...string) *Job {
	return s.job(parts+strings.Join(steps, ""), nil)
}
