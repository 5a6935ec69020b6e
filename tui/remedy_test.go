package tui

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/job"
	"fettle/recipes"
	"fettle/tui/paint"
)

// A wait is begun by the large button; until then nothing counts. Beside it stands
// that it was put on earlier.
func TestAWaitIsBegun(t *testing.T) {
	to := func(b *bench, j *job.Job) { upTo(b, j, "oil") }
	eachWay(t, to, func(t *testing.T, w *way) {
		w.at("oil")
		w.tells("not begun")
		w.do("Begin")
		w.tells("begun by Ana", "30 h left")
		require.Equal(t, "Waits", w.word())
		require.Equal(t, w.now, w.m.work.state.Steps["oil"].Begun.From.UTC())
	})
	eachWay(t, to, func(t *testing.T, w *way) {
		w.now = w.now.Add(5 * time.Hour)
		w.keys("ctrl+r")
		w.at("oil")
		w.act("Earlier")
		w.tells("When was it put on?", "when step 3 was done", "1 h ago")
		w.spell(w.now.Add(-2 * time.Hour).Format("1504"))
		require.Equal(t, w.now.Add(-2*time.Hour), w.m.work.state.Steps["oil"].Begun.From.UTC())
		w.tells("put on", "28 h left")
		// What was said wrongly is put right: by an answer that is offered.
		w.act("Earlier")
		w.pick(w.now.Add(-time.Hour).Format("15:04"))
		w.tells("29 h left")
		// Before it could be, nothing was put on.
		w.act("Earlier")
		w.spell("1200")
		require.Contains(t, w.m.top().(*entry).failed, "what comes before it was not done")
	})
}

// After a leap of the clock nobody ends a wait by looking at it: somebody says what
// time it is, and nothing is picked beforehand.
func TestTheTimeIsSaid(t *testing.T) {
	begun := func(b *bench, j *job.Job) {
		upTo(b, j, "oil")
		must(b.t)(j.Begin("oil", job.NewBegin{}))
		b.now = b.now.Add(31 * time.Hour)
	}
	eachWay(t, begun, func(t *testing.T, w *way) {
		w.at("oil")
		w.do("Say the time")
		if !w.taps { // the keys take the room on a small screen; the words come back without them
			w.tells("What time is it, by a watch?", "This device shows Tue 3 Mar 2026 02:00", "It must be Tuesday 3 March 2026 as well")
		}
		w.act("Set it")
		w.tells("Set the clock of this device.")
		w.do("Back")
		w.do("Say the time")
		w.spell("2240") // which this device does not show
		require.Contains(t, w.m.top().(*entry).failed, "set the device's clock first")
		w.spell("0204")
		require.Equal(t, doneWord, w.word())
		w.tells("its time is over: 30 h")
		require.Empty(t, w.m.work.state.Clock)
	})
	// A wait that begins after a leap: what time it is now is said in the same breath.
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "oil")
		b.now = b.now.Add(48 * time.Hour)
	}, func(t *testing.T, w *way) {
		w.at("oil")
		w.do("Begin")
		w.spell("1901")
		st := w.m.work.state.Steps["oil"]
		require.Equal(t, w.now, st.Begun.From.UTC())
		require.Empty(t, w.m.work.state.Clock)
		require.Equal(t, "Waits", w.word())
	})
	// A clock that has run down is set; no answer puts that right.
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "oil")
		must(b.t)(j.Begin("oil", job.NewBegin{}))
		b.now = time.Unix(3600, 0).UTC()
	}, func(t *testing.T, w *way) {
		w.at("oil")
		w.do("Set the clock")
		w.tells("Thu 1 Jan 1970 01:00: set it", "No name and no reason")
		w.do("Back")
	})
	// One that is behind what the job knows is set, or somebody says that it is right.
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "oil")
		must(b.t)(j.Begin("oil", job.NewBegin{}))
		b.now = b.now.Add(-5 * time.Hour)
	}, func(t *testing.T, w *way) {
		w.at("oil")
		w.tells("the job knows of Sun 1 Mar 2026 19:00")
		w.do("Say the time")
		w.spell("1400")
		require.Empty(t, w.m.work.state.Clock)
	})
}

// What was put on by a clock in doubt is begun again, with both times.
func TestAWaitBegunInDoubtIsBegunAgain(t *testing.T) {
	text := strings.Replace(proof, `title = "Set the lift"`, "title = \"Set the lift\"\nwait = \"2 h\"", 1)
	eachWayOf(t, text, func(b *bench, j *job.Job) {
		upTo(b, j, "set")
		was := b.now
		b.now = time.Unix(0, 0) // run down
		must(b.t)(j.Tick("set"))
		b.now = was.Add(3 * time.Hour)
	}, func(t *testing.T, w *way) {
		w.at("oil")
		w.tells("the clock was in doubt when Set the lift was done")
		w.do("Begin")
		w.spell(w.now.Add(-time.Hour).Format("1504"))
		w.spell(w.now.Format("1504"))
		b := w.m.work.state.Steps["set"].Begun
		require.Empty(t, b.Doubt)
		require.Equal(t, w.now.Add(-time.Hour), b.From.UTC())
		oil := w.m.work.state.Steps["oil"]
		require.Empty(t, oil.ToBegin, "the wait of the step itself comes after it")
		require.Equal(t, w.now.Add(time.Hour), oil.Due.UTC())
	})
}

// Moments as people write them: the hour alone is the last time the clock stood
// there.
func TestMoments(t *testing.T) {
	now := time.Date(2026, 3, 1, 0, 10, 0, 0, time.UTC)
	for text, want := range map[string]string{
		"00:05": "2026-03-01 00:05", "0:10": "2026-03-01 00:10", "2350": "2026-02-28 23:50", "23.50": "2026-02-28 23:50", "950": "2026-02-28 09:50",
		"2026-02-27 18:40": "2026-02-27 18:40", "2026-2-7 1840": "2026-02-07 18:40",
	} {
		at, err := momentOf(text, now)
		require.NoError(t, err, text)
		require.Equal(t, want, at.Format("2006-01-02 15:04"), text)
		back, err := momentOf(momentText(at, now), now)
		require.NoError(t, err, text)
		require.Equal(t, at, back, text)
	}
	for _, text := range []string{"", "7", "25:00", "12:60", "yesterday", "2026-02-30 12:00", "2026-02-27", "2026-02-27 9", "18:40:00", "2026-03-01 00:11"} {
		_, err := momentOf(text, now)
		require.Error(t, err, text)
	}
}

// At a hold the large button takes the hold's own reading first, and the page of the
// release shows it and what the steps before it showed.
func TestReadingsComeBeforeTheRelease(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) { upTo(b, j, "held") }, func(t *testing.T, w *way) {
		w.at("held")
		w.do("Reading")
		w.spell("0.03")
		w.seenAll()
		w.do("Release")
		w.tells("Gap under the cover: 0.03 mm, Ana, Sun 1 Mar 19:00.", "Step 1, Needle on zero: yes, Ana, Sun 1 Mar 19:00.", "Who releases this hold, as owner?")
		w.spell("Tom")
		require.Len(t, w.m.work.state.Steps["held"].Releases, 1)
		w.do(doneWord)
	})
}

// A release that does not count any more says by whom it was, and what changed.
func TestAVoidReleaseSaysWhatChanged(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "set")
		must(b.t)(j.Read("held", "gap", "0.2"))
	}, func(t *testing.T, w *way) {
		w.at("held")
		w.tells("Olga released it, Sun 1 Mar 19:00. That does not count any more: Gap of the cover, Gap under the cover was 0.03 mm, is 0.2 mm.")
		w.do("Release")
		w.pick("Olga")
		require.Len(t, w.m.work.state.Steps["held"].Releases, 1)
		require.NotContains(t, w.paged(), "does not count any more")
	})
}

// yesAndNo are two devices that read the needle apart.
func yesAndNo(b *bench, j *job.Job) {
	tom := apart(b, j.Dir(), "Tom")
	must(b.t)(j.Read("zero", "gauge", "yes"))
	must(b.t)(j.Tick("zero"))
	b.now = b.now.Add(time.Minute)
	must(b.t)(tom.Read("zero", "gauge", "no"))
	tom.arrives(b.t)
}

// What differs and holds stands on the step with both values, who and when, in the
// list of steps and on the first page; it is settled there, by one answer.
func TestADifferenceIsShownAndSettled(t *testing.T) {
	eachWay(t, yesAndNo, func(t *testing.T, w *way) {
		w.at("zero")
		w.tells("DIFFERS", "yes by Ana, Sun 1 Mar 19:00", "no by Tom, Sun 1 Mar 19:01 (counts)", "! differs")
		require.NotContains(t, w.paged(), "until a new reading says otherwise", "it is said once")
		if w.taps {
			at, ok := w.place("record")
			require.True(t, ok && at.H >= 3 && at.W >= 8, "the sign is wide enough for a finger: %v", at)
			w.tap("record")
			w.tells("Differs: ")
			w.do("Back")
		}
		w.act("Steps")
		require.Regexp(t, `(?m) 1 ! Needle +differs`, w.text())
		w.do("Show")
		w.seenAll()
		w.act("Home")
		w.tells("to be settled: Needle, Needle on zero: ", "yes by Ana", "no by Tom (counts)")
		w.do("Open")
		w.at("zero")
		w.do("Settle")
		w.tells("Two people read this differently. Which one counts?", "Ana, Sun 1 Mar 19:00", "Tom, Sun 1 Mar 19:01: STOP, no, and not yes", "Measure again")
		require.True(t, w.m.top().(*entry).unset, "no answer is picked beforehand")
		w.pick("yes")
		require.Empty(t, w.m.work.state.Conflicts)
		require.Equal(t, job.Done, w.m.work.state.Steps["zero"].Status)
		w.act("Home")
		require.NotContains(t, w.paged(), "to be settled")
	})
	eachWay(t, yesAndNo, func(t *testing.T, w *way) { // the worse is settled on just as well, or it is measured again
		w.at("zero")
		w.do("Settle")
		w.pick("no")
		require.Empty(t, w.m.work.state.Conflicts)
		w.seenAll()
		w.do("Read again")
		w.pick("yes")
		w.seenAll()
		require.Equal(t, job.Done, w.m.work.state.Steps["zero"].Status)
	})
	eachWay(t, yesAndNo, func(t *testing.T, w *way) {
		w.at("zero")
		w.do("Settle")
		w.pick("Measure again")
		w.tells("Needle on zero", "So far: no")
		w.pick("yes")
		require.Empty(t, w.m.work.state.Conflicts)
	})
}

// A difference that comes in while the step is done opens it, and shuts what rests on
// it: from there the large button leads to it.
func TestADifferenceShutsWhatRestsOnIt(t *testing.T) {
	var tom other
	eachWay(t, func(b *bench, j *job.Job) {
		tom = apart(b, j.Dir(), "Tom")
		upTo(b, j, "oil")
	}, func(t *testing.T, w *way) {
		w.at("oil")
		w.do("Begin")
		must(t)(tom.Read("zero", "gauge", "no"))
		tom.arrives(t)
		w.keys("ctrl+r")
		w.at("oil")
		w.do("Step 1 first")
		w.seenAll()
		w.do("Settle")
		w.pick("yes")
		require.Equal(t, job.Done, w.m.work.state.Steps["zero"].Status)
		require.Equal(t, job.Waiting, w.m.work.state.Steps["oil"].Status)
	})
}

// Two figures that say the same about going on hold nobody up; both are shown.
func TestFiguresThatDifferWithoutStopping(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "wet")
		tom := apart(b, j.Dir(), "Tom")
		must(b.t)(j.Read("wet", "shop", "18"))
		must(b.t)(tom.Read("wet", "shop", "16"))
		tom.arrives(b.t)
	}, func(t *testing.T, w *way) {
		w.at("wet")
		w.tells("18 °C by Ana, Tue 3 Mar 01:00", "16 °C by Tom, Tue 3 Mar 01:00 (counts)", "These differ")
		require.NotContains(t, w.paged(), "DIFFERS")
		w.do(doneWord)
		require.Equal(t, job.Done, w.m.work.state.Steps["wet"].Status)
	})
}

// Where one ticked what another undid apart, somebody who sees both says which.
func TestATickAgainstAnUndo(t *testing.T) {
	against := func(b *bench, j *job.Job) {
		upTo(b, j, "oil")
		tom := apart(b, j.Dir(), "Tom")
		must(b.t)(j.UndoStep("set"))
		must(b.t)(j.Tick("set"))
		must(b.t)(tom.UndoStep("set"))
		tom.arrives(b.t)
	}
	eachWay(t, against, func(t *testing.T, w *way) {
		require.Len(t, w.m.work.differing("set"), 1)
		w.at("set")
		w.do("Settle")
		w.tells("Is this step done?")
		w.pick("It is done")
		require.Equal(t, job.Done, w.m.work.state.Steps["set"].Status)
		require.Empty(t, w.m.work.differing("set"))
	})
}

// A danger stops its step until it is decided; the large button goes to the finding
// that it made. It stands on the first page, on the job's first page, before a test.
func TestADangerStands(t *testing.T) {
	const danger = "Nothing holds the spindle from inside (found by Ana"
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "spindle")
		must(b.t)(j.Read("spindle", "stopped", "no"))
	}, func(t *testing.T, w *way) {
		w.at("spindle")
		w.do("Finding 1")
		w.tells("Nothing holds the spindle from inside")
		w.act("Back")
		w.at("steam")
		w.tells("WARNING Nothing holds the spindle from inside (found by Ana")
		w.m.goOnTo(-1)
		w.m.settle()
		require.True(t, strings.HasPrefix(w.afterHead(), "WARNING "+danger), "above everything else: %s", w.afterHead())
		w.act("Home")
		w.tells("WARNING: " + danger)
	})
}

// afterHead is what stands first below the head of the step.
func (w *way) afterHead() string {
	if w.m.shown.Side.Empty() {
		return w.column(w.m.shown.Body)
	}
	return w.column(w.m.shown.Main)
}

// What a reading leaves to somebody to answer for: reading again is the remedy, to let
// it pass comes last, by name and with a reason.
func TestAnAskIsReadAgainOrAnsweredFor(t *testing.T) {
	to := func(b *bench, j *job.Job) {
		upTo(b, j, "wet")
		must(b.t)(j.Read("wet", "shop", "4"))
	}
	eachWay(t, to, func(t *testing.T, w *way) {
		w.at("wet")
		w.do("Read again")
		w.spell("16")
		w.seenAll()
		require.Equal(t, doneWord, w.word())
	})
	eachWay(t, to, func(t *testing.T, w *way) {
		w.at("wet")
		w.act("Gates")
		require.Equal(t, "Read again", w.word(), "not the way past it")
		w.tells("Outside, and asked about", "As the last resort somebody answers for it, by name.")
		acts := w.m.top().acts()
		require.Equal(t, passWord, acts[len(acts)-1].word, "it stands last")
		w.act(passWord)
		w.tells("Who lets this pass?")
		w.pick("Olga")
		w.spell("Warm")
		w.tells("passed by Olga: Warm")
		w.act("Back")
		w.seenAll()
		require.Equal(t, doneWord, w.word())
	})
}

// On the list of gates the large button is the remedy of the gate under the mark; no
// name passes what is a stop.
func TestTheWayPastIsNeverTheLargeButton(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "held")
		must(b.t)(j.Read("held", "gap", "0.03"))
		must(b.t)(j.Shortage("feeler gauge", "held", 1, "drawer"))
	}, func(t *testing.T, w *way) {
		w.at("held")
		w.do("To the list")
		w.tells("feeler gauge")
		w.act("Back")
		w.act("Gates")
		words := map[string]string{}
		s := w.m.top().(*gateScreen)
		for i, r := range s.rows {
			s.v.cur = i
			w.m.settle()
			require.Equal(t, r.remedy.word, w.word())
			words[w.word()] = r.pass.off
		}
		require.Equal(t, map[string]string{"Release": "Released by name; nobody passes it.", "To the list": ""}, words)
		for i, r := range s.rows {
			if r.remedy.word == "Release" {
				require.Contains(t, r.remedy.off, "missing: feeler gauge")
				s.v.cur = i
			}
		}
		w.m.settle()
		w.act(passWord)
		require.IsType(t, &gateScreen{}, w.m.top())
		require.Equal(t, "Released by name; nobody passes it.", w.m.foot.text)
	})
}

// Every gate that there is has a word, a remedy and ways on: the large button never
// says Done before one.
func TestEveryGateHasARemedy(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "checklist", "job", "gate.go"))
	require.NoError(t, err)
	names := regexp.MustCompile(`GateName = "(\w+)"`).FindAllStringSubmatch(string(src), -1)
	require.Greater(t, len(names), 18)
	b := proved(t, proof, 80, 24, func(b *bench, j *job.Job) { upTo(b, j, "set") })
	s := b.m.top().(*stepScreen)
	step, st := s.step()
	for _, m := range names {
		g := job.Gate{Name: job.GateName(m[1]), Text: "it stands", Items: []string{"zero"}}
		st.Gates = []job.Gate{g}
		a, ok := s.next(step, st)
		if g.Name == job.GateNeeds || g.Name == job.GateRounds { // led to before anything else
			a, ok = s.needs(step, st), true
		}
		require.True(t, ok || g.Name == job.GateWitness, m[1])
		require.NotEqual(t, doneWord, a.word, m[1])
		r := s.remedy(step, st, g)
		require.NotEmpty(t, r.word, m[1])
		require.True(t, r.do != nil || r.off != "", m[1])
		require.NotEmpty(t, gateWords(g.Name), m[1])
		require.NotEmpty(t, waysOn(g), m[1])
	}
}

// A thread that is only probable is entered again where it was measured, the day on a
// container where it was read.
func TestWhatAGateDoubtsIsReadAgainWhereItWasRead(t *testing.T) {
	for text, value := range map[string]string{`
[settings.doubt]
ask     = "Thread of the screws"
kind    = "thread"
default = "M4"
[fasteners.screw]
thread = "${doubt}"
grade = "A2-70"
length = "12 mm"
lubricant = "anti-seize"
[[stage]]
title = "On"
[[stage.step]]
id      = "first"
kind    = "measure"
do      = "Measure it."
reading = [{ name = "doubt", ask = "Thread of the screws", kind = "thread", sets = "doubt" }]
[[stage.step]]
id   = "last"
kind = "dry-fit"
parts = ["screw"]
do   = "Try it dry."
`: "4 BA?", `
[settings.doubt]
ask     = "Last day of the sealant"
kind    = "date"
default = ""
[fasteners.stud]
thread = "M4"
[seals.paste]
kind     = "sealant"
material = "anaerobic sealant"
zone     = "cold feed"
pressure = "30 psi"
use_by   = "${doubt}"
[[stage]]
title = "On"
[[stage.step]]
id      = "first"
kind    = "inspect"
do      = "Read the container."
reading = [{ name = "doubt", ask = "Last day of the sealant", kind = "date", sets = "doubt" }]
[[stage.step]]
id   = "last"
kind = "seal"
parts = ["paste", "stud"]
do   = "Seal it."
`: "2026-02-01"} {
		eachWayOf(t, "format = 2\nid = \"doubt\"\ntitle = \"Doubt\"\n"+text, func(b *bench, j *job.Job) {
			must(b.t)(j.Read("first", "doubt", value))
			must(b.t)(j.Tick("first"))
		}, func(t *testing.T, w *way) {
			w.at("last")
			w.do("Read again")
			step, _ := w.m.stack[1].(*stepScreen).step()
			require.Equal(t, "first", step.ID)
			require.Equal(t, step.Readings[0].Ask, w.m.top().(*entry).ask)
		})
	}
}

// What speaks against the answers stands before them, and nobody starts over it unseen.
func TestWarningsStandBeforeTheQuestions(t *testing.T) {
	src, err := fs.ReadFile(recipes.FS(), "top-feed.toml")
	require.NoError(t, err)
	proc, found := checklist.Read("top-feed.toml", src)
	require.Empty(t, found)
	eachWay(t, nil, func(t *testing.T, w *way) {
		f := newForm(w.m, proc)
		f.engine = "Bramble"
		f.values = map[string]string{"test_pressure": "120 psi", "screw_thread": "M4"}
		f.fill()
		require.NotEmpty(t, f.warns, "the trial's answers")
		w.m.push(f)
		w.m.settle()
		f.v.free, f.v.off = true, 1000 // far below them
		w.m.settle()
		f.read = 0
		w.m.settle()
		if f.v.off > 0 { // no screen holds all of the form but the widest
			require.Equal(t, "Warnings", w.word())
		}
		for range 20 {
			if w.word() != "Warnings" {
				break
			}
			w.do("Warnings")
		}
		require.Equal(t, "Start", w.word())
		all := w.paged()
		last := -1
		for _, g := range f.warns {
			at := strings.Index(all, strings.Join(strings.Fields(g.Message), " "))
			require.Greater(t, at, last, g.Message)
			last = at
		}
		require.Less(t, last, strings.Index(all, "Which engine is it?"))
		w.choose(string(f.warns[0].Severity) + " 1")
		w.tells(f.warns[0].Message)
		w.do("Back")
		// Another answer, other warnings: they are to be seen again.
		f.values["screw_thread"] = "2 BA"
		f.values["screw_length"] = "30 mm"
		f.fill()
		require.Zero(t, f.read)
	})
}

// Decided twice by two people apart, a finding is open: it says so, and is decided
// again.
func TestTwoDecisionsApartAreSettledByAThird(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "spindle")
		must(b.t)(j.Read("spindle", "stopped", "yes"))
		saved, err := j.Find(job.NewFinding{What: job.WornPart, Text: "Scored", Step: "spindle"})
		require.NoError(b.t, err)
		tom := apart(b, j.Dir(), "Tom")
		must(b.t)(j.Dispose(saved.Entry.ID, job.NewDisposition{Decision: job.AcceptIt, Text: "Within its limits"}))
		must(b.t)(tom.Dispose(saved.Entry.ID, job.NewDisposition{Decision: job.Rework, Text: "Polish it"}))
		tom.arrives(b.t)
	}, func(t *testing.T, w *way) {
		require.Len(t, w.m.work.differing("spindle"), 1)
		w.act("Findings")
		w.tells("open: two people decided differently")
		w.choose("finding 1")
		w.tells("DIFFERS", "It counts as open.", "Accept")
		w.choose("accept")
		w.do("Decide")
		require.False(t, w.m.work.state.Findings[0].Unsettled)
		require.Empty(t, w.m.work.differing("spindle"))
	})
}

// An answer that two people put right differently is settled where the answers are.
func TestAnAnswerPutRightApart(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "steam")
		tom := apart(b, j.Dir(), "Tom")
		must(b.t)(j.Answer("least", "0.4 mm", "measured"))
		must(b.t)(tom.Answer("least", "0.6 mm", "measured"))
		tom.arrives(b.t)
	}, func(t *testing.T, w *way) {
		w.at("steam")
		w.do("Settle")
		w.tells("DIFFERS The answer to least was put right differently", "0.4 mm by Ana", "0.6 mm by Tom")
		w.choose("least")
		w.spell("0.6")
		w.pick("Measured")
		require.Empty(t, w.m.work.state.Conflicts)
	})
}

// Undo on a step takes back that step's last entry, whoever made it and however much
// was done since; ctrl+z is the same.
func TestUndoBelongsToAStep(t *testing.T) {
	for _, key := range []string{"Undo", "ctrl+z"} {
		eachWay(t, func(b *bench, j *job.Job) { upTo(b, j, "oil") }, func(t *testing.T, w *way) {
			w.at("zero")
			if key == "Undo" {
				w.act(key)
			} else {
				w.keys(key)
			}
			w.tells("Take this back: tick of zero by Ana?", "Step 1, Needle", "the last entry on this step")
			w.do("Take back")
			require.NotEqual(t, job.Done, w.m.work.state.Steps["zero"].Status)
			require.Len(t, w.m.work.state.Steps["set"].Ticks, 1, "what was done since stays")
			w.at("oil") // nothing was put on this step: the last entry of this device
			w.act("Undo")
			w.tells("the last entry made on this device")
			w.act("Back")
		})
	}
}

// ctrl+z in a question puts back what stood there; elsewhere it says that there is
// nothing, and never puts the program to sleep.
func TestCtrlZNeverSuspends(t *testing.T) {
	b := newBench(t, 80, 24)
	b.keys("ctrl+z")
	b.sees("Nothing is open here that could be undone.")
	b.keys("w", ":Ana", "ctrl+z")
	require.Empty(t, b.m.top().(*entry).field.text)
	b.keys("ctrl+z", ":Ana", "enter", "t", ":2ba", "ctrl+z", "esc", "?", "ctrl+z", "esc")
	require.False(t, b.quit)
	require.IsType(t, &home{}, b.m.top())
}

// A done step is opened again with a reason; what rests on it opens with it, and is
// named.
func TestADoneStepIsOpenedAgain(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) { upTo(b, j, "oil") }, func(t *testing.T, w *way) {
		w.at("zero")
		w.act("Reopen")
		w.tells("Why is step 1 opened again?", "Holds that rest on it are released anew.")
		w.pick("It was apart again")
		w.tells("Open again", "Step 2, Gap of the cover", "An undo takes it back.")
		w.do("Back")
		w.seenAll()
		require.Empty(t, w.m.work.state.Steps["zero"].Ticks)
		require.Empty(t, w.m.work.state.Steps["held"].Releases)
		w.tells("open again: It was apart again", "open again: done by Ana")
	})
}

// A reading that stops is said where the step's state stands.
func TestAStepAtAStopSaysSo(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) { must(b.t)(j.Read("zero", "gauge", "no")) }, func(t *testing.T, w *way) {
		w.at("zero")
		w.tells("! stops")
	})
}

// A wrong answer of the start is put right by the same question and a reason; it says
// what it opens, and an answer that does not go with it.
func TestAnAnswerIsPutRight(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) { upTo(b, j, "oil") }, func(t *testing.T, w *way) {
		w.act("Answers")
		w.tells("Which engine is it?", "Bramble", "Lift of the valve", "1 mm")
		w.choose("lift")
		if !w.taps {
			w.tells("Lift of the valve", "So far: 1 mm")
		}
		w.spell("1.2")
		w.tells("Why is it put right?")
		w.pick("Typed wrongly at the start")
		w.tells("Open again", "Step 3, Set the lift")
		w.do("Back")
		require.Equal(t, "1.2", w.m.work.filled.Value("lift"))
		require.Empty(t, w.m.work.state.Steps["set"].Ticks)
		w.tells("1.2 mm")
		w.choose("engine")
		w.keys("ctrl+u")
		w.spell("Sorrel")
		w.pick("The plate says so")
		require.Equal(t, "Sorrel", w.m.work.job.Engine())
		require.Contains(t, w.m.foot.text, "It opens nothing else again.")
	})
}

// An answer that does not go with another says which, before anybody is asked why.
func TestAnAnswerThatDoesNotGoWithAnother(t *testing.T) {
	eachWay(t, nil, func(t *testing.T, w *way) {
		w.act("Answers")
		w.choose("least")
		w.spell("1.2")
		e := w.m.top().(*entry)
		require.Equal(t, "Least lift", e.ask, "it is not taken")
		require.Equal(t, "Lift of the valve: 1 mm is less than the lower limit, 1.2 mm. Put that right first.", e.verdict().text)
	})
}

// A finished job is put away: it stands last on the first page, with its word, and
// comes back.
func TestAFinishedJobIsPutAway(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "")
		proc := j.Filled().Procedure
		b.now = b.now.Add(-time.Hour) // started before: it would stand below
		_, err := job.Start(filepath.Join(filepath.Dir(j.Dir()), "second"), proc, nil, "Sorrel", job.Env{Now: func() time.Time { return b.now.Add(-90 * time.Hour) }, StateDir: filepath.Join(b.dir, "state"), Person: "Ana"})
		require.NoError(b.t, err)
		b.now = b.now.Add(time.Hour)
	}, func(t *testing.T, w *way) {
		require.Equal(t, "All done", w.word())
		w.act("Put away")
		w.tells("Is there anything to remark?")
		w.do("Put away")
		h := w.m.top().(*home)
		require.Equal(t, []string{"Sorrel", "Bramble"}, []string{h.jobs[0].Engine, h.jobs[1].Engine})
		w.tells("PUT AWAY", "put away")
		w.choose("bramble")
		w.act("Bring back")
		require.Empty(t, w.m.work.state.Closed)
	})
}

// Before a job says that all is done it says what is not: what is open, outside its
// limits, dangerous, different.
func TestAllDoneSaysWhatIsNot(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "spindle")
		must(b.t)(j.Find(job.NewFinding{What: job.WornPart, Text: "Scored", Step: "set"}))
		must(b.t)(j.Read("spindle", "stopped", "yes"))
		must(b.t)(j.Tick("spindle"))
		must(b.t)(j.Tick("steam"))
	}, func(t *testing.T, w *way) {
		w.seenAll()
		w.tells("EVERY STEP IS DONE, BUT", "Finding 1 is open.")
		w.do("Finding 1")
		w.act("Back")
		require.NotEqual(t, "All done", w.word())
		w.act("Put away")
		w.do("Put away")
		require.Contains(t, w.m.top().(*entry).failed, "finding 1 is open")
	})
}

// A reading outside its limits that let the step be done is said at the end.
func TestAllDoneSaysWhatLiesOutside(t *testing.T) {
	eachWay(t, func(b *bench, j *job.Job) {
		upTo(b, j, "wet")
		must(b.t)(j.Read("wet", "shop", "4"))
		must(b.t)(j.Pass("wet", job.GateAsk, "Olga", "warm enough"))
		must(b.t)(j.Tick("wet"))
		must(b.t)(j.Read("spindle", "stopped", "yes"))
		must(b.t)(j.Tick("spindle"))
		must(b.t)(j.Tick("steam"))
	}, func(t *testing.T, w *way) {
		w.seenAll()
		w.tells("EVERY STEP IS DONE, BUT", "Outside its limits at step 5: Warmth of the shop: 4 °C is")
		w.do("All done")
	})
}

// The word of a save stands until the next key or press; what the folder says meanwhile
// waits.
func TestTheWordOfASaveStays(t *testing.T) {
	for _, taps := range []bool{false, true} {
		b := started(t, 80, 24)
		b.keys("enter")
		jobs, _ := filepath.Glob(filepath.Join(b.dir, "jobs", "*"))
		require.NoError(t, os.Rename(jobs[0], jobs[0]+"-away"))
		done(b)
		b.sees("on this device only: step 1 is done")
		b.run(b.m.refresh()) // as the clock does
		b.sees("on this device only: step 1 is done")
		if taps {
			b.tapAt(paint.Point{X: 1, Y: 5})
		} else {
			b.keys("down")
		}
		b.run(b.m.refresh())
		b.sees("Cannot look at the job's folder")
	}
}

// Pass shows all that stands against it before anybody is asked for a name; to fail is
// possible all the same. The rest of the engine is looked at beside the screen, never
// in Update.
func TestPassShowsWhatStandsAgainstIt(t *testing.T) {
	for _, size := range [][2]int{{40, 20}, {80, 24}, {160, 45}} {
		for _, taps := range []bool{false, true} {
			w := &way{underTest(t, size[0], size[1]), taps}
			w.seenAll()
			w.do("Test sheet")
			w.do("Fill in")
			w.keys(":Ana", "enter", ":Ruth", "enter") // the operator, then the inspector
			w.m.touch = taps
			w.m.settle()
			w.do("Begin")
			w.pick("After the work")
			reads(w.bench, 0, "9.31 bar", "4")
			w.act("Result")
			w.pick("Pass")
			w.tells("What stands against a pass", "Readings cover 0 min of the hold, not 10 min.", "The hold is not over before", "It can fail at any time.")
			require.NotContains(t, w.paged(), "Who judges")
			w.do("Back")
			w.pick("Fail")
			w.tells("Who judges the test?")
			w.leave()
			reads(w.bench, 11*time.Minute, "9.31 bar", "4")
			w.act("Result")
			cmd := w.m.top().(*entry).pick(1)
			require.NotNil(t, cmd)
			require.Equal(t, "What is the result?", w.m.top().(*entry).ask, "it is looked for in a command")
			w.run(cmd)
			w.tells("Who judges the test?")
		}
	}
}
