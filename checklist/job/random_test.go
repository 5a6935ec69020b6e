package job

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

// randomWorld is two devices with a copy of one job each, a job inside it, and three
// people who do on them whatever comes into their heads, with another program that
// writes into the logs. Beside the clock of each device stands the true time.
//
// Clocks jump as far as can be told: more than a day ahead, or to before what the
// device knows, and they are set right before that stops showing. A clock that is an
// hour slow nobody can tell from one that is right. Asked what time it is, people
// look at a watch.
type randomWorld struct {
	*scene
	rng     *rand.Rand
	devices [2]*Job
	ledger  *ledger
	last    deed
	trace   []string
	where   int   // the device that acted last
	taste   []int // how much people like each kind of thing, see doings
}

// deed is what was done last: what a person did through the program, or wrote past it.
type deed struct {
	what, step, by, value string
	taken, raw            bool
	before                State
}

// worldSource is a procedure with one of everything, each step after the one before.
var worldSource = parts +
	step("cold", "inspect", `hold = "owner"`, zeroReading) +
	step("held", "inspect", heldReading) +
	step("wall", "measure", `reading = [{ name = "bore_now", ask = "Bore of the seat", kind = "length", unit = "mm", low = "5", high = "9", sets = "bore" }]`) +
	step("holes", "inspect", `call = { procedure = "save-hole", ask = "Does a screw turn and turn?" }`) +
	step("plug", "make", `do = "Turn a plug of ${bore}."`) +
	step("dry", "dry-fit", `parts = ["screw", "paste"]`) +
	step("seal", "seal", `parts = ["screw", "paste"]`) +
	step("tighten", "tighten", `closes = "dome"`) +
	step("cured", "wait", `parts = ["paste"]`, `wait = "6 h"`) +
	step("agree", "decide", `parts = ["water"]`, `hold = "inspector"`) +
	step("half", "test", `parts = ["water"]`, shortWait, `figures = ["water.half"]`) +
	step("full", "test", `parts = ["water"]`, shortWait, `figures = ["water.target"]`) +
	step("watch", "wait", `parts = ["water"]`, `wait = "${hold_time}"`) +
	step("fall", "measure", askReading) +
	step("result", "test", `parts = ["water"]`, shortWait) +
	step("close", "record")

// insideSource is the job that a step of it calls.
const insideSource = `format = 2
id = "save-hole"
title = "Save a hole"
[[stage]]
title = "Work"
[[stage.step]]
id = "look"
kind = "inspect"
do = "Look at it."
[[stage.step]]
id = "mend"
kind = "make"
do = "Mend it."
hold = "inspector"
`

// Where a world begins: the step up to which all was done as it should be.
var worldBegins = []string{"cold", "wall", "dry", "cured", "agree", "watch", "result", "close"}

// worlds are places to begin from, each made once.
type worlds struct {
	t     testing.TB
	begin map[string]*randomWorld
}

func newWorlds(t testing.TB) *worlds {
	w := &worlds{t: t, begin: map[string]*randomWorld{}}
	for _, at := range worldBegins {
		begun := emptyWorld(&trial{TB: t}, "")
		begun.rng = rand.New(rand.NewPCG(1, 1))
		begun.named(begun.env, "mmmm")
		begun.devices[0] = begun.job(worldSource, nil)
		begun.enter(0)
		for range 200 {
			if begun.devices[0].State().Next == at {
				break
			}
			begun.progress(begun.devices[0])
			begun.enter(0)
		}
		state := begun.devices[0].State()
		require.Equal(t, at, state.Next, "a world as it should be: %v", state.Steps[state.Next])
		w.begin[at] = begun
	}
	return w
}

func emptyWorld(result *trial, without Rule) *randomWorld {
	s := &scene{bench: newBench(result), trial: result, clocks: map[string]time.Duration{}}
	s.env.without = without
	s.env.Now = func() time.Time { return s.now.Add(s.clocks["Ana"]) }
	return &randomWorld{scene: s, ledger: &ledger{byID: map[string]int{}}}
}

// lean is a world that begins at a step and in which people like one kind of thing.
type lean struct {
	begin string
	likes int // its place among the doings
}

// leaning is a world of its own that leans to what breaks a rule that is seldom met.
func (w *worlds) leaning(seed uint64, to lean, without Rule) *randomWorld {
	world := w.from(w.begin[to.begin], rand.New(rand.NewPCG(seed, 7)), without)
	world.taste = make([]int, len(world.doings()))
	world.taste[0], world.taste[len(world.taste)-2] = 4, 3
	world.taste[to.likes] += 8
	return world
}

// at is a world of its own that begins where all was done up to a step.
func (w *worlds) at(seed uint64, without Rule) *randomWorld {
	rng := rand.New(rand.NewPCG(seed, 7))
	return w.from(w.begin[worldBegins[rng.IntN(len(worldBegins))]], rng, without)
}

func (w *worlds) from(from *randomWorld, rng *rand.Rand, without Rule) *randomWorld {
	world := emptyWorld(&trial{TB: w.t}, without)
	world.rng, world.now, world.ledger = rng, from.now, from.ledger.clone()
	for name, node := range from.m.nodes {
		twin := *node
		world.m.nodes[name] = &twin
	}
	// The names of the devices decide the order of what is written apart.
	toms := []string{"aaaa", "zzzz"}[rng.IntN(2)]
	world.named(world.device("Tom"), toms)
	j, err := Open(memJob, world.env)
	require.NoError(w.t, err)
	world.devices[0] = j
	world.devices[1] = world.apart("Tom", j, 0)
	world.enter(0)
	world.enter(1)
	return world
}

// play does so many things, and says which property does not hold after one of them.
func (w *randomWorld) play(acts int, properties []property) (broken string) {
	for range acts {
		w.where = w.rng.IntN(2)
		w.last = deed{before: w.devices[w.where].State()}
		w.act(w.devices[w.where])
		w.enter(w.where)
		w.trace = append(w.trace, fmt.Sprintf("%s %s: %s %s %s %s taken=%v", w.now.Format("2 15:04"), []string{"Ana's", "Tom's"}[w.where], w.last.what, w.last.step, w.last.by, w.last.value, w.last.taken))
		sight := w.look(w.where)
		for _, p := range properties {
			if why := p.holds(w, sight); why != "" {
				return p.name + ": " + why
			}
		}
	}
	return ""
}

// enter keeps in the ledger what was written on a device since it was last asked.
func (w *randomWorld) enter(device int) {
	if j := w.devices[device]; j != nil {
		w.ledger.enter(j, w.now, device)
	}
}

// people are those who work, and who sign; Ruth is the inspector on the sheet.
var people = []string{"Ana", "Tom", "Ruth"}

func (w *randomWorld) pick(words ...string) string { return words[w.rng.IntN(len(words))] }

// done notes how an act ended.
func (w *randomWorld) done(what, step, by, value string, err error) {
	before := w.last.before
	w.last = deed{what: what, step: step, by: by, value: value, taken: err == nil, before: before}
}

// doings are the kinds of thing that people do. Each world has a taste of its own
// for them, some it leaves out: what goes wrong only after several of one kind comes up
// in worlds that like it.
func (w *randomWorld) doings() []func(*Job) {
	return []func(*Job){w.progress, w.step, w.measure, w.takeBack, w.sheetLine, w.test, w.fittings, w.decide, w.answer, w.time, w.clock, func(*Job) { w.meeting() }, w.foreignHand}
}

// act is one thing that somebody does, sensible more often than not.
func (w *randomWorld) act(j *Job) {
	if w.rng.IntN(20) == 0 {
		j.person = w.pick("Ana", "Tom", "Tom", "Ana", "Ruth")
	}
	doings := w.doings()
	if w.taste == nil {
		for range doings {
			w.taste = append(w.taste, w.rng.IntN(4)*w.rng.IntN(4))
		}
		w.taste[0] += 8
		w.taste[len(w.taste)-2] += 3
	}
	n, sum := 0, 0
	for _, weight := range w.taste {
		sum += weight
	}
	for at := w.rng.IntN(sum); at >= w.taste[n]; n++ {
		at -= w.taste[n]
	}
	doings[n](j)
}

// anyStep is the name of one step, more often one near that which is next.
func (w *randomWorld) anyStep(j *Job) string {
	steps := j.Filled().Steps()
	next := slices.IndexFunc(steps, func(s *checklist.FilledStep) bool { return s.ID == w.last.before.Next })
	if next >= 0 && w.rng.IntN(3) > 0 {
		return steps[min(len(steps)-1, max(0, next-2+w.rng.IntN(5)))].ID
	}
	return steps[w.rng.IntN(len(steps))].ID
}

// step does something to a step, whether it is its turn or not.
func (w *randomWorld) step(j *Job) {
	id, by := w.anyStep(j), w.pick(people...)
	var err error
	switch what := w.pick("tick", "tick", "skip", "pass", "pass", "release", "release", "myself", "reopen", "settle", "begin", "call"); what {
	case "tick":
		_, err = j.Tick(id)
		w.done(what, id, j.Person(), "", err)
	case "skip":
		_, err = j.Skip(id, "in a hurry")
		w.done(what, id, j.Person(), "", err)
	case "pass":
		gate := GateName(w.pick("needs", "needs", "wait", "hold", "findings", "tally", "test", "blanks", "ask", "apart", "cure", "called", "danger"))
		_, err = j.Pass(id, gate, by, "in a hurry")
		w.done(what, id, by, string(gate), err)
	case "release":
		_, err = j.Release(id, by)
		w.done(what, id, by, "", err)
	case "myself":
		_, err = j.ReleaseMyself(id, by)
		w.done("release", id, by, "", err)
	case "reopen":
		_, err = j.Reopen(id, "it has to be done again")
		w.done(what, id, j.Person(), "", err)
	case "settle":
		_, err = j.Settle(id, "", w.pick("done", "open", "yes", "no"))
		w.done(what, id, j.Person(), "", err)
	case "begin":
		err = w.begin(j, id)
		w.done(what, id, j.Person(), "", err)
	case "call":
		w.inside(j)
	}
}

// begin begins a wait as an honest person does: where the clock is doubted it is set
// first, and the time when it was put on and the time it is are said by a watch.
func (w *randomWorld) begin(j *Job, id string) error {
	if j.view().fold.times.doubtOf(j.env.Now()) == sure {
		_, err := j.Begin(id, NewBegin{})
		return err
	}
	w.right(j)
	_, err := j.Begin(id, NewBegin{At: w.now, Now: w.now})
	return err
}

// inside works on the called job, or starts one.
func (w *randomWorld) inside(j *Job) {
	state := j.State()
	if len(state.Called) == 0 {
		_, _, err := j.Call("holes", tap(w.trial, insideSource), nil)
		w.done("call", "holes", j.Person(), "", err)
		return
	}
	child, err := Open(state.Called[0].Dir, j.env)
	if err != nil {
		w.done("inside", "", "", err.Error(), err)
		return
	}
	switch what := w.pick("look", "mend", "release", "undo", "off", "raw-off"); what {
	case "look", "mend":
		_, err = child.Tick(what)
	case "release":
		_, err = child.Release("mend", w.pick(people...))
	case "undo":
		_, err = child.Undo()
	case "off":
		_, err = child.CallOff("started by mistake")
	case "raw-off":
		w.write(child, Entry{Kind: KindOff, By: "Eve", Text: "started by mistake"})
	}
	w.done("inside", "holes", "", "", err)
	j.Refresh()
}

// measure reads something, better or worse.
func (w *randomWorld) measure(j *Job) {
	var choices [][2]string
	for _, step := range j.Filled().Steps() {
		for i := range step.Readings {
			choices = append(choices, [2]string{step.ID, step.Readings[i].Name})
		}
	}
	at := choices[w.rng.IntN(len(choices))]
	value := w.pick("yes", "no")
	if r := readingOf(j.Filled().Step(at[0]), at[1]); r.Unit != "yes-no" {
		value = w.pick("0", "0.05", "0.3", "2", "6", "7", "8.8", "12", "-1")
	}
	_, err := j.Read(at[0], at[1], value)
	w.done("read", at[0], j.Person(), at[1]+" "+value, err)
}

// takeBack undoes the last entry, or any.
func (w *randomWorld) takeBack(j *Job) {
	if w.rng.IntN(3) == 0 {
		_, err := j.Undo()
		w.done("undo", "", j.Person(), "last", err)
		return
	}
	all := j.view().fold.entries
	e := &all[max(0, len(all)-1-w.rng.IntN(min(len(all), 25)))]
	_, err := j.UndoEntry(e.ID)
	w.done("undo", e.Step, j.Person(), e.Kind, err)
}

// sheetLine writes a line of the test sheet.
func (w *randomWorld) sheetLine(j *Job) {
	line := w.pick("hold", "target", "inspector", "preliminary", "multiple", "boiler")
	value := map[string]string{
		"hold": w.pick("10 min", "1 min", "20 min"), "target": w.pick("9 bar", "8 bar", "9.5 bar"), "inspector": w.pick("Ruth", "Ruth", "Tom"),
		"preliminary": w.pick("no", "yes"), "multiple": w.pick("1.5", "1.4"), "boiler": "B 17",
	}[line]
	_, err := j.Sheet(line, value)
	w.done("sheet", line, j.Person(), value, err)
}

// test does something to a pressure test.
func (w *randomWorld) test(j *Job) {
	var err error
	switch what := w.pick("begin", "point", "point", "result", "fault"); what {
	case "begin":
		_, err = j.BeginTest("")
		w.done("test", "", j.Person(), "", err)
	case "point":
		bar := w.pick("4.5 bar", "9 bar", "9 bar", "9.6 bar", "8 bar")
		_, _, err = j.Point(NewPoint{Pressure: bar})
		w.done("point", "", j.Person(), bar, err)
	case "result":
		by, value := w.pick(people...), w.pick("pass", "pass", "fail")
		_, err = j.Result(value, by, "as seen")
		w.done("result", "", by, value, err)
	case "fault":
		_, err = j.Try(w.pick("F1", "F17"), w.rng.IntN(2) == 0, "by the soap")
		w.done("fault", "", j.Person(), "", err)
	}
}

// fittings are blanks, things in an opening, and parts that are not there.
func (w *randomWorld) fittings(j *Job) {
	var err error
	switch what := w.pick("blank", "blank", "tally", "short", "got"); what {
	case "blank":
		value := w.pick("on", "on", "off")
		_, err = j.FitBlank("1", value, "whistle")
		w.done("blank", "", j.Person(), value, err)
	case "tally":
		_, err = j.CountIn("dome", "rag", []int{1, -1}[w.rng.IntN(2)])
		w.done("tally", "", j.Person(), "", err)
	case "short":
		step := w.anyStep(j)
		_, err = j.Shortage("2 nuts", step, 2, "shop")
		w.done("short", step, j.Person(), "", err)
	case "got":
		needs := j.Needs().Items
		if len(needs) == 0 {
			return
		}
		need := needs[w.rng.IntN(len(needs))]
		_, err = j.Got(need.Key)
		w.done("got", need.Step, j.Person(), need.Key, err)
	}
}

// decide finds something, decides about it, or puts the job away.
func (w *randomWorld) decide(j *Job) {
	var err error
	findings := w.last.before.Findings
	switch what := w.pick("find", "dispose", "dispose", "away"); {
	case what == "find" && len(findings) < 3:
		n := NewFinding{What: OtherThing, Text: "the bar was short", Step: "dry"}
		if w.rng.IntN(2) == 0 {
			n.Fastener, n.Number = "screw", 1
		}
		_, err = j.Find(n)
		w.done(what, n.Step, j.Person(), "", err)
	case what == "dispose" && len(findings) > 0:
		f := findings[w.rng.IntN(len(findings))]
		d := NewDisposition{Decision: Decision(w.pick("accept", "rework", "concession")), Text: "so it is decided", Allowed: w.pick(people...)}
		if f.Fastener != "" && w.rng.IntN(2) == 0 {
			d = NewDisposition{Decision: Replace, Text: "a longer one", Length: w.pick("14 mm", "16 mm"), Boiler: "no"}
		}
		_, err = j.Dispose(f.Name(), d)
		w.done(what, f.Step, j.Person(), string(d.Decision), err)
	case what == "away":
		_, err = j.Close("all done")
		w.done(what, "", j.Person(), "", err)
	}
}

// answer puts an answer of the start right.
func (w *randomWorld) answer(j *Job) {
	value := w.pick("6 mm", "7 mm", "8 mm")
	_, err := j.Answer("bore", value, "measured")
	w.done("answer", "bore", j.Person(), value, err)
}

// time passes.
func (w *randomWorld) time(j *Job) {
	switch what := w.pick("minutes", "hours", "day", "shop"); what {
	case "minutes":
		w.pass(time.Duration(1+w.rng.IntN(15)) * time.Minute)
		w.done(what, "", "", "", nil)
	case "hours":
		w.pass(time.Duration(1+w.rng.IntN(12)) * time.Hour)
		w.done(what, "", "", "", nil)
	case "day":
		w.pass(24 * time.Hour)
		w.done(what, "", "", "", nil)
	case "shop":
		_, err := j.Shop(w.pick("20 C", "12 C", "3 C"))
		w.done(what, "", j.Person(), "", err)
	}
}

// clock makes the clock of a device jump, or sets it, or says what time it is.
func (w *randomWorld) clock(j *Job) {
	switch what := w.pick("leap", "back", "dead", "right", "say"); what {
	case "leap":
		w.clocks[w.owner(j)] = time.Duration(26+w.rng.IntN(1000)) * time.Hour
		w.done(what, "", w.owner(j), "", nil)
	case "back":
		known := time.Unix(j.view().fold.times.newest, 0).Sub(w.now)
		w.clocks[w.owner(j)] = known - time.Duration(2+w.rng.IntN(500))*time.Hour
		w.done(what, "", w.owner(j), "", nil)
	case "dead":
		w.clocks[w.owner(j)] = time.Unix(3600, 0).Sub(w.now)
		w.done(what, "", w.owner(j), "", nil)
	case "right":
		w.right(j)
		w.done(what, "", w.owner(j), "", nil)
	case "say":
		w.right(j)
		_, err := j.SettleClock(w.now)
		w.done(what, "", j.Person(), "", err)
	}
}

func (w *randomWorld) owner(j *Job) string {
	if j == w.devices[1] {
		return "Tom"
	}
	return "Ana"
}

// right sets the clock of a device.
func (w *randomWorld) right(j *Job) { w.clocks[w.owner(j)] = 0 }

// pass lets time pass. A clock that went back is set before it shows a time again that
// could be right: from then on nobody could tell.
func (w *randomWorld) pass(span time.Duration) {
	w.now = w.now.Add(span)
	for _, j := range w.devices {
		if j != nil && w.clocks[w.owner(j)] < 0 && j.env.Now().Unix() > j.view().fold.times.newest-int64(2*clockSlack.Seconds()) {
			w.right(j)
		}
	}
}

// meeting brings to one device what the other has.
func (w *randomWorld) meeting() {
	to, from := w.devices[w.where], w.devices[1-w.where]
	_, err := to.Merge(from.Dir())
	w.done("merge", "", "", "", err)
	require.NoError(w.trial, err)
}

// foreignHand writes into the log what no honest program writes.
func (w *randomWorld) foreignHand(j *Job) {
	id, by := w.anyStep(j), w.pick("Eve", "Ana", "Tom", "Ruth")
	e := Entry{By: by, Step: id, Text: "in a hurry", Seen: slices.Clone(j.view().changed.touch[id])}
	run := w.last.before.Test.Last()
	switch what := w.pick("tick", "tick", "tick", "skip", "pass", "release", "begin", "measure", "sheet", "run", "point", "result", "replace", "blank", "dispose"); what {
	case "tick", "skip":
		e.Kind = map[string]string{"tick": KindTick, "skip": KindSkip}[what]
	case "pass":
		e.Kind, e.Reading = KindPass, w.pick("needs", "wait", "hold", "test", "danger", "apart", "cure")
		e.Seen = append(stepIDs(j), "wait", "owner", "inspector")
	case "release":
		state := j.State()
		g := j.gating(&state, j.view(), j.env.Now())
		if f := j.Filled().Step(id); w.rng.IntN(2) == 0 {
			e.Saw = saw(g.sight(f, g.recorded(f)))
		}
		e.Kind = KindRelease
	case "begin":
		e.Kind, e.Step, e.Data = KindBegin, "cured", map[string]string{"at": w.now.Add(-30 * time.Hour).Format(time.RFC3339)}
		e.Seen = slices.Clone(j.view().changed.touch["cured"])
	case "measure":
		e.Kind, e.Step, e.Reading, e.Value, e.Unit = KindMeasure, "cold", "zero", w.pick("yes", "no"), "yes-no"
		e.Seen = slices.Clone(j.view().changed.touch["cold"])
	case "sheet":
		e = Entry{Kind: KindSheet, By: by, Reading: w.pick("hold", "target"), Value: "1 min"}
		if e.Reading == "target" {
			e.Value = "2 bar"
		}
	case "run":
		e.Kind, e.Step, e.Saw = KindRun, "result", maps.Clone(j.codeFigures())
		if w.rng.IntN(2) == 0 {
			e.Saw[sheetKey+"hold"], e.Saw[sheetKey+"target"] = "1 min", "2 bar"
		}
		e.Seen = slices.Clone(j.view().changed.touch["result"])
	default:
		if what == "blank" {
			e = Entry{Kind: KindBlank, By: by, Value: "off", Data: map[string]string{"tag": "1", "where": "whistle"}}
			break
		}
		if what == "dispose" && len(w.last.before.Findings) > 0 {
			f := w.last.before.Findings[0]
			e = Entry{Kind: KindDispose, By: by, Step: f.Step, About: f.ID, Value: w.pick("accept", "concession"), Text: "fine", Data: map[string]string{"allowed": w.pick("", by, "Ruth")}}
			break
		}
		if run == nil {
			return
		}
		e = Entry{Kind: KindResult, By: by, Step: run.Step, About: run.ID, Value: "pass"}
		switch {
		case what == "point":
			e.Kind, e.Value, e.Data = KindPoint, "9 bar", map[string]string{"at": w.now.Add(time.Duration(w.rng.IntN(41)-20) * time.Minute).Format(time.RFC3339)}
		case what == "replace" && len(run.Points) > 0:
			e.Kind, e.Value, e.Replaces = KindPoint, "9 bar", []string{run.Points[w.rng.IntN(len(run.Points))].ID}
		case what == "replace":
			e.Replaces = []string{run.Judged.ID}
		}
	}
	w.write(j, e)
	w.done("raw "+e.Kind, e.Step, e.By, e.Value, nil)
	w.last.raw = true
}

// told is what was done, one to a line.
func (w *randomWorld) told() string { return strings.Join(w.trace, "\n") }

// Whatever three people do on two devices, on the job and on the one it calls, with
// clocks that jump and with entries that no honest program writes: after every act each
// property holds on the device where it was done.
func TestNoActPassesAStop(t *testing.T) {
	w := newWorlds(t)
	for seed := range uint64(randomRuns(t)) {
		world := w.at(seed, "")
		if broken := world.play(60, properties()); broken != "" {
			t.Fatalf("seed %d: %s\n%s", seed, broken, world.told())
		}
	}
}

// randomRuns is how many worlds are played.
func randomRuns(t testing.TB) int {
	switch os.Getenv("FETTLE_SLOW") {
	case "":
		return 150
	case "all":
		return 20_000
	}
	return 800
}

// shown are the rules without which a property breaks in a random world, with one in
// which it does. Where the program changes, another near it is looked for.
var shown = map[Rule]uint64{
	RuleReleaseStands:   4,
	RuleReleaseFigures:  14,
	RuleReleaseNamed:    94,
	RuleHoldReleased:    1,
	RuleHoldKept:        225,
	RuleOneRole:         31,
	RuleConcessionOther: 46,
	RuleUndoneCounts:    6,
	RuleDecideOnce:      72,
	RuleAnswerOnce:      30,
	RuleOneTest:         50,
	RuleTickOrSkip:      145,
	RuleNeeds:           0,
	RuleUnsafeNeeds:     209,
	RuleReadingMiss:     15,
	RuleReadingStop:     328,
	RuleAskNamed:        23,
	RulePassCovers:      175,
	RuleReopened:        17,
	RuleAnswers:         8,
	RuleDecided:         66,
	RuleClosing:         66,
	RuleTally:           1,
	RuleBlanksOff:       52,
	RuleMissing:         17,
	RuleKindBounds:      375,
	RuleBegun:           31,
	RuleWait:            0,
	RuleCureKept:        28,
	RuleCureTest:        14,
	RuleJump:            5,
	RulePutOn:           2,
	RuleFrozen:          2,
	RuleTestFigures:     44,
	RuleProduct:         0,
	RuleStage:           3,
	RuleReached:         5,
	RuleHeld:            5,
	RuleAlarm:           44,
	RuleTestPassed:      2,
	RuleFault:           23,
	RuleFindings:        23,
	RuleCalledOpen:      42,
	RuleAway:            0,
}

// leans are worlds that lean to what seldom comes up, for the rules that want it.
var leans = map[Rule]lean{
	RuleBlankOn: {"close", 6}, RuleSheetOnce: {"agree", 4}, RuleReplaced: {"wall", 12}, RuleInspector: {"result", 5}, RulePointTimes: {"watch", 12},
}

// unshown are the rules that no property of a random world tells of, and why. Each has
// its scenarios in the hazard table.
var unshown = map[string][]Rule{
	"no such thing is in the procedure of these worlds": {
		RuleHoldNobody, RuleNothingToAsk, RuleTrade, RuleRounds, RuleThread, RuleAbsent, RuleLostName, RuleUseBy,
		RuleDangerTold, RuleDangerStays, RuleRescue, RuleUnsound, RuleWet, RuleBeside, RuleCallFirst, RuleFigureStop,
	},
	"nobody does that in them: a line is not edited by hand, no device is a stranger, nobody signs as a role": {RuleHandEdited, RuleStrangers, RuleRoleWord},
	"another rule keeps the same": {
		RuleWorseReading, RuleSevererCount, RuleReadingKept, RuleDanger, RuleInTurn, RuleCureOrder, RuleCodeTyped, RuleSheetStop,
		RuleOwnCopy, RuleTestParts, RuleBefore, RuleWhole, RuleCallOff, RuleGotByHand, RuleCureCold,
	},
	"it takes more acts than a world has, as a search of some hundred showed": {
		RuleReleaseAfter,
		RuleStopUnseen, RuleClock, RuleFailStays, RuleRunAnew, RuleStructure, RuleRunStays,
	},
}

// Each property is one that can fail: without its rule some random world breaks it.
func TestPropertiesFailWithoutTheirRule(t *testing.T) {
	w, left := newWorlds(t), rules(t)
	for _, list := range unshown {
		left = slices.DeleteFunc(left, func(r Rule) bool { return slices.Contains(list, r) })
	}
	for _, rule := range left {
		seed, ok := shown[rule]
		to, leans := leans[rule]
		require.True(t, ok || leans, "%s: name a world that breaks without it, or say why there is none", rule)
		t.Run(string(rule), func(t *testing.T) {
			for n := range uint64(200) {
				world := w.at(seed+n, rule)
				if leans {
					world = w.leaning(n, to, rule)
				}
				if world.play(60, properties()) != "" {
					return
				}
			}
			t.Fatal("no property breaks without it")
		})
	}
}
