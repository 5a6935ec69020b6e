package job

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/quantity"
)

// refit starts the dome cover's job of our own scenario.
func (b *bench) refit(settings map[string]string) *Job {
	source, err := os.ReadFile("../../testdata/refit/dome-cover.toml")
	require.NoError(b.t, err)
	values := map[string]string{"code": "Club code", "edition": "2018", "multiple": "1.5", "hold_time": "10 min"}
	for name, value := range settings {
		values[name] = value
	}
	j, err := Start(memJob, tap(b.t, string(source)), values, "Bramble", b.env)
	require.NoError(b.t, err)
	return j
}

func pulledOut(hole string) NewFinding {
	return NewFinding{What: DamagedHole, Text: "thread pulled out", Step: "holes", Fastener: "screw", Number: 3, Hole: hole}
}

func upASize() NewDisposition {
	return NewDisposition{Decision: Repair, Text: "up a size", Thread: "2 BA", Boiler: "no"}
}

// Ticks from before a part changed do not count; undone, they count again.
func TestADispositionReopensWhatItTouches(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	do := func(s Saved, err error) Saved { return saved(t, s, err) }
	do(j.Read("cold", "zero", "yes"))
	do(j.Release("cold", "Olga"))
	do(j.Tick("cold"))
	do(j.Tick("off"))
	do(j.Read("holes", "bad", "0"))
	do(j.Tick("holes"))
	do(j.Tick("cut"))
	do(j.Read("dry", "rock", "0.02"))
	do(j.Tick("dry"))
	require.Equal(t, Done, j.State().Steps["dry"].Status)
	do(j.Find(pulledOut("3.65")))
	before := j.State()
	decided := do(j.Dispose("1", upASize()))
	after := j.State()
	require.Equal(t, Done, after.Steps["cut"].Status, "the gasket is cut whatever the screw is")
	require.Equal(t, Blocked, after.Steps["dry"].Status)
	require.Len(t, after.Steps["dry"].Reopened, 1)
	require.Empty(t, after.Steps["dry"].Readings, "what the old screw measured is not the new one's")
	require.Contains(t, strings.Join(after.Steps["dry"].Blocks, " "), "screw-3-mark")

	// A note on the new step and an undo of all of it.
	do(j.UndoEntry(decided.Entry.ID))
	undone := j.State()
	require.Equal(t, before.Steps, undone.Steps)
	require.Nil(t, undone.Findings[0].Disposition)
	require.NotContains(t, fmt.Sprint(j.Needs()), "2 BA")

	// And it comes back when the undo is undone.
	do(j.UndoEntry(j.Log()[len(j.Log())-1].ID))
	require.Equal(t, after.Steps, j.State().Steps)
}

// Two people decide apart: both are shown, the latest counts, a third settles it.
func TestTwoDispositions(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	saved2 := func(s Saved, err error) { saved(t, s, err) }
	saved2(j.Find(pulledOut("3.65")))
	tom := b.open(b.device("Tom"))
	f := j.State().Findings[0]
	other := upASize()
	other.Thread = "M4.5"
	// Tom's entry is made as if Ana's had not reached him.
	saved2(j.Dispose("1", upASize()))
	_, err := tom.writer.save(func(bool) (Entry, error) {
		return Entry{Kind: KindDispose, By: "Tom", Step: "holes", About: f.ID, Value: "repair", Text: other.Text, Data: map[string]string{"thread": "M4.5", "boiler": "no"}}, nil
	}, tom.look)
	require.NoError(t, err)
	_, err = j.Refresh()
	require.NoError(t, err)
	state := j.State()
	require.Len(t, state.Findings[0].Others, 1)
	require.Len(t, state.Conflicts, 1)
	require.Equal(t, "M4.5", state.Findings[0].Disposition.Data["thread"])
	saved2(j.Dispose("1", upASize()))
	require.Empty(t, j.State().Conflicts)
	require.Equal(t, "2 BA", j.State().Findings[0].Disposition.Data["thread"])
}

// Quantities of the list, by the rules of the trade: their number and two more
// or a tenth.
func TestSpares(t *testing.T) {
	for n, want := range map[int]int{1: 3, 6: 8, 20: 22, 21: 24, 30: 33, 100: 110} {
		require.Equal(t, want, spare(n), "%d", n)
	}
}

// What somebody else wrote stands in the record as text and nothing else.
func TestHostileRecord(t *testing.T) {
	dir := t.TempDir()
	secret := filepath.Join(dir, "secret.png")
	require.NoError(t, os.WriteFile(secret, []byte("\x89PNG\r\n\x1a\nsecret"), 0o600))
	env := Env{Now: fixedClock, StateDir: filepath.Join(dir, "state"), Person: "Ana"}
	source, err := os.ReadFile("../../testdata/refit/dome-cover.toml")
	require.NoError(t, err)
	evil := `"><script>alert(1)</script> [x](javascript:alert(1)) ![y](http://evil.example/a.png) | a || b ` + "\x1b]0;owned\x07 \u202e desrever `code` <b>" + strings.Repeat("W", 60)
	home := filepath.Join(dir, "j")
	j, err := Start(home, tap(t, string(source)), map[string]string{"code": "<img src=x onerror=alert(1)>", "edition": "1", "multiple": "1.5", "hold_time": "10 min"}, "Bramble", env)
	require.NoError(t, err)
	saved(t, must(j.Note("cold", evil)), nil)
	names := []string{"../secret.png", "..%2fsecret.png", "link.png", "/etc/passwd", "a\x1b.png", strings.Repeat("x", 300) + ".png", "page.png"}
	_, err = j.writer.save(func(bool) (Entry, error) {
		return Entry{Kind: KindFinding, By: "<i>Eve</i>", Step: "</td>", Text: evil, Photos: names, Data: map[string]string{"what": evil, "fastener": evil, "number": "-7", "place": evil, "<u>": evil}}, nil
	}, j.look)
	require.NoError(t, err)
	for _, kind := range []string{KindDispose, KindShort, KindGot, KindPass, KindWitness, KindShop, KindTally, KindBlank, KindSheet, KindRun, KindPoint, KindTrial, KindResult, KindSign, "kind-of-tomorrow"} {
		_, err = j.writer.save(func(bool) (Entry, error) {
			return Entry{Kind: kind, By: "<i>Eve</i>", Step: "cold", Reading: "code", Text: evil, Value: evil, About: "nobody", Seen: []string{evil}, Data: map[string]string{"opening": evil, "tag": evil, "where": evil, "thread": evil, "count": "999999999999"}}, nil
		}, j.look)
		require.NoError(t, err)
	}
	require.NoError(t, os.MkdirAll(filepath.Join(home, "photos"), 0o755))
	require.NoError(t, os.Symlink(secret, filepath.Join(home, "photos", "link.png")))
	require.NoError(t, os.WriteFile(filepath.Join(home, "photos", "page.png"), []byte("<html><script>alert(1)</script>"), 0o600))

	r := j.Record()
	var page, text bytes.Buffer
	require.NoError(t, r.WriteHTML(&page))
	require.NoError(t, r.WriteMarkdown(&text))
	html := page.String()
	for _, bad := range []string{"<script", "onerror=alert(1)>", "<img src=x", "<i>", "<u>", "javascript:alert(1))\"", "</td></td>", "secret\"", "\x1b", "\u202e", "\x07"} {
		require.NotContains(t, html, bad)
	}
	require.NotContains(t, html, "href=")
	require.Empty(t, regexp.MustCompile(`src="[^d]`).FindAllString(html, -1), "nothing is fetched")
	require.NotContains(t, html, "data:image", "no photo of these is one")
	require.Equal(t, -1, strings.Index(html, strings.Repeat("W", 30)), "no column of a page holds such a word")
	md := text.String()
	for _, bad := range []string{"<script", "<b>", "\x1b", "\u202e", "://"} {
		require.NotContains(t, md, bad)
	}
	require.False(t, regexp.MustCompile(`(^|[^\\])\]\(`).MatchString(md), "no link and no picture")
	for _, line := range strings.Split(md, "\n") {
		if strings.HasPrefix(line, "|") && !strings.HasPrefix(line, "|---") {
			cells := regexp.MustCompile(`(^|[^\\])\|`).FindAllString(line, -1)
			require.LessOrEqual(t, len(cells), 10, line)
		}
	}
}

func must(s Saved, err error) Saved {
	if err != nil {
		panic(err)
	}
	return s
}

// A photos folder that is a link is not followed, to read or to write.
func TestPhotosFolderIsALink(t *testing.T) {
	dir := t.TempDir()
	env := Env{Now: fixedClock, StateDir: filepath.Join(dir, "state"), Person: "Ana"}
	j, err := Start(filepath.Join(dir, "j"), tap(t, tapProcedure), nil, "Bramble", env)
	require.NoError(t, err)
	elsewhere := filepath.Join(dir, "elsewhere")
	require.NoError(t, os.Mkdir(elsewhere, 0o755))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "j", "photos")))
	require.NoError(t, os.Symlink(elsewhere, filepath.Join(dir, "j", "photos")))
	photo := filepath.Join(dir, "p.png")
	require.NoError(t, os.WriteFile(photo, []byte("\x89PNG\r\n\x1a\n...."), 0o600))
	_, err = j.Find(NewFinding{What: OtherThing, Text: "scratched", Photos: []string{photo}})
	require.ErrorContains(t, err, "photos is a link, which can lead anywhere; use the folder itself")
	left, err := os.ReadDir(elsewhere)
	require.NoError(t, err)
	require.Empty(t, left)
	_, err = j.Find(NewFinding{What: OtherThing, Text: "scratched", Photos: []string{filepath.Join(dir, "j", "job.toml")}})
	require.ErrorContains(t, err, "no photo this program can show")
}

// Judgements that nobody can have made do no harm.
func TestImpossibleEntries(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	finding := must(j.Find(pulledOut("3.65"))).Entry.ID
	raw := func(e Entry) {
		e.By = "Eve"
		_, err := j.writer.save(func(bool) (Entry, error) { return e, nil }, j.look)
		require.NoError(t, err)
	}
	steps := j.State().Total
	raw(Entry{Kind: KindDispose, About: finding, Value: "repair", Text: "x", Data: map[string]string{"thread": "M9999"}})
	raw(Entry{Kind: KindDispose, About: "nothing", Value: "repair", Text: "x", Data: map[string]string{"thread": "M4"}})
	raw(Entry{Kind: KindDispose, About: finding, Value: "explode", Text: "x"})
	raw(Entry{Kind: KindTally, Value: "99999999999999999999", Text: "x", Data: map[string]string{"opening": "dome"}})
	raw(Entry{Kind: KindPoint, Value: "1e999 bar", About: "nothing"})
	raw(Entry{Kind: KindShop, Value: "NaN"})
	raw(Entry{Kind: KindSheet, Reading: "multiple", Value: "NaN"})
	raw(Entry{Kind: KindSheet, Reading: "target", Value: "900 bar"})
	state := j.State()
	require.Equal(t, steps+1, state.Total, "a repair whose thread nobody knows is plain work")
	require.Empty(t, state.Tallies)
	require.Zero(t, state.Test.Target)
	require.Empty(t, state.Test.Runs)
}

// readyForTest is a refit whose water test has just begun; more are further lines of
// the sheet, as name=value.
func readyForTest(t *testing.T, more ...string) (*bench, *Job) {
	b := newBench(t)
	j := b.refit(map[string]string{"cure": "1 min"})
	for _, step := range []string{"cold", "off", "holes", "cut", "dry", "seal", "tighten", "cured"} {
		switch step {
		case "cold":
			must(j.Read(step, "zero", "yes"))
			must(j.Release(step, "Olga"))
		case "holes":
			must(j.Read(step, "bad", "0"))
		case "dry":
			must(j.Read(step, "rock", "0"))
		}
		if step == "cured" {
			must(j.Begin(step, NewBegin{}))
			b.now = b.now.Add(24 * time.Hour)
			must(j.SettleClock(b.now))
		}
		b.now = b.now.Add(time.Hour)
		must(j.Tick(step))
	}
	must(j.Sheet("operator", "Ana"))
	must(j.Sheet("inspector", "Ruth"))
	for line, value := range map[string]string{"boiler": "B 17", "gauge": "G 4", "gauge_date": "2026-01-10"} {
		must(j.Sheet(line, value))
	}
	for _, line := range more {
		name, value, _ := strings.Cut(line, "=")
		must(j.Sheet(name, value))
	}
	must(j.BeginTest(""))
	return b, j
}

// A test cannot be waved through: by another name, over the alarm, by a leak of
// the structure, or with a hold that is not covered by readings.
func TestWhatAPassNeeds(t *testing.T) {
	hold := func(b *bench, j *Job, bars ...string) {
		for _, bar := range bars {
			_, _, err := j.Point(NewPoint{Pressure: bar})
			require.NoError(b.t, err)
			b.now = b.now.Add(10 * time.Minute)
		}
	}
	cases := map[string]struct {
		bars  []string
		more  func(b *bench, j *Job)
		by    string
		wrong string
	}{
		"as it should be":     {[]string{"5 bar", "9.3 bar", "9.3 bar"}, nil, "Ruth", ""},
		"not high enough":     {[]string{"5 bar", "9.2 bar", "9.2 bar"}, nil, "Ruth", "not 9.31 bar"},
		"over the alarm":      {[]string{"9.8 bar", "9.3 bar"}, nil, "Ruth", "9.8 bar"},
		"not held":            {[]string{"9.3 bar"}, nil, "Ruth", "Readings cover 0 min"},
		"by the operator":     {[]string{"9.3 bar", "9.3 bar"}, nil, "Ana", "nobody else"},
		"the structure leaks": {[]string{"9.3 bar", "9.3 bar"}, func(_ *bench, j *Job) { must(j.Try("F17", true, "a line of beads")) }, "Ruth", "F17"},
		"another saw it clear": {[]string{"9.3 bar", "9.3 bar"}, func(b *bench, j *Job) {
			must(j.Try("F17", true, "beads"))
			must(b.open(b.device("Tom")).Try("F17", false, "dry"))
		}, "Ruth", "F17"},
		"a blank is in":           {[]string{"9.3 bar", "9.3 bar"}, func(_ *bench, j *Job) { must(j.FitBlank("1", "on", "whistle")) }, "Ruth", "Blank 1"},
		"a blank stays on record": {[]string{"9.3 bar", "9.3 bar"}, func(_ *bench, j *Job) { must(j.FitBlank("1", "on", "whistle")); must(j.FitBlank("1", "stays", "")) }, "Ruth", ""},
		"two gauges disagree": {[]string{"9.3 bar", "9.3 bar"}, func(_ *bench, j *Job) {
			for line, value := range map[string]string{"gauge_scale": "25 bar", "gauge_class": "1", "gauge2_scale": "25 bar", "gauge2_class": "1.6"} {
				must(j.Sheet(line, value))
			}
			_, _, err := j.Point(NewPoint{Pressure: "9.2 bar", Second: "8.4 bar"})
			require.NoError(t, err)
		}, "Ruth", "0.8 bar apart, but their classes allow 0.65 bar"},
		"no readings": {nil, nil, "Ruth", "No reading was taken"},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			b, j := readyForTest(t)
			hold(b, j, c.bars...)
			if c.more != nil {
				c.more(b, j)
			}
			_, err := j.Result("pass", c.by, "dry")
			if c.wrong == "" {
				require.NoError(t, err)
				must(j.Tick("water-test"))
				return
			}
			require.ErrorContains(t, err, c.wrong)
			// Nor by an entry that another program might write.
			sheet := j.State().Test
			_, err = j.writer.save(func(bool) (Entry, error) {
				return Entry{Kind: KindResult, By: c.by, Value: "pass", About: sheet.Last().ID}, nil
			}, j.look)
			require.NoError(t, err)
			sheet = j.State().Test
			require.False(t, sheet.Last().Passed)
			_, err = j.Tick("water-test")
			require.Error(t, err)
			_, err = j.Pass("water-test", GateTest, "Olga", "it is good enough")
			require.ErrorContains(t, err, "no reason passes it")
		})
	}
}

// A thread that is only cleaned leaves the circle whole.
func TestAChasedThreadSplitsNothing(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.05")))
	d := NewDisposition{Decision: Repair, Text: "chased", Thread: "4 BA", Boiler: "no"}
	must(j.Dispose("1", d))
	require.Len(t, j.Filled().Fasteners, 1)
	require.Equal(t, []string{"screw-3-tap", "screw-3-gauge"}, j.State().Findings[0].Disposition.Steps)
	require.NotContains(t, fmt.Sprint(j.Needs()), "taps")
}

// A hole that went up a size and is damaged again is advised on as it is now.
func TestDamagedASecondTime(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	must(j.Find(pulledOut("4.3")))
	second, err := j.Finding("2")
	require.NoError(t, err)
	advice, err := j.Advise(second, workshop.Tools{})
	require.NoError(t, err)
	require.Equal(t, "2 BA", advice.Input.Thread.String())
	first, err := j.Finding("1")
	require.NoError(t, err)
	advice, err = j.Advise(first, workshop.Tools{})
	require.NoError(t, err)
	require.Equal(t, "4 BA", advice.Input.Thread.String())
	must(j.Dispose("2", NewDisposition{Decision: Repair, Text: "up again", Thread: "M5", Boiler: "no"}))
	require.Equal(t, "screw-3-look-again", j.State().Findings[1].Disposition.Steps[0])
	part, ok := partOf(j.Filled().Fasteners, "screw_3")
	require.True(t, ok)
	thread, _ := partFigure(part, "thread")
	require.Equal(t, "M5", thread.Text)
	all := fmt.Sprint(j.Needs())
	require.Contains(t, all, "M5 taps")
	require.NotContains(t, all, "2 BA")
	group, _ := partOf(j.Filled().Fasteners, "screw")
	count, _ := partFigure(group, "count")
	require.Equal(t, "5", count.Text)
}

// Not said whether it is the boiler that is cut: then the inspector is asked.
func TestTheBoilerItself(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	d := upASize()
	d.Boiler = ""
	must(j.Dispose("1", d))
	step := j.Filled().Step("screw-3-inspector")
	require.Equal(t, "inspector", step.Hold)
	must(j.Read("cold", "zero", "yes"))
	must(j.Release("cold", "Olga"))
	must(j.Tick("cold"))
	must(j.Tick("off"))
	_, err := j.Tick("screw-3-tap")
	require.ErrorContains(t, err, "first do screw-3-inspector")
	_, err = j.Release("screw-3-inspector", "Ana")
	require.ErrorContains(t, err, "the inspector releases this hold")
	_, err = j.Release("screw-3-inspector", "Ruth")
	require.ErrorContains(t, err, "first do screw-3-room", "look and measure first")
	lookAndMeasure(j, "screw-3")
	must(j.Release("screw-3-inspector", "Ruth"))
	must(j.Tick("screw-3-inspector"))
}

// lookAndMeasure does what comes before metal is cut.
func lookAndMeasure(j *Job, part string) {
	for _, r := range []string{"sound", "wall"} {
		must(j.Read(part+"-look", r, "yes"))
	}
	must(j.Tick(part + "-look"))
	for r, value := range map[string]string{"rim": "3", "land": "1", "unbroken": "yes", "web": "20", "head": "10", "spanner": "yes"} {
		must(j.Read(part+"-room", r, value))
	}
	must(j.Tick(part + "-room"))
}

// The limits of what follows, each by its rule, for 2 BA (4.7 mm over the
// thread, BS 93) where 4 BA stood on a 52 mm circle with a 46 mm gasket.
func TestLimitsOfWhatFollows(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	must(j.Dispose("1", upASize()))
	limit := func(step, reading string) checklist.FilledReading {
		for _, r := range j.Filled().Step(step).Readings {
			if r.Name == reading {
				return r
			}
		}
		t.Fatalf("no reading %s %s", step, reading)
		return checklist.FilledReading{}
	}
	require.InDelta(t, 4.0, limit("screw-3-tap", "drilled").Nominal.Value, 1e-9)
	// gunmetal wants 1.5 diameters of full thread (common practice, no source)
	require.InDelta(t, 7.05, limit("screw-3-gauge", "full_thread").Low.Value, 1e-9)
	// half a diameter to the rim, a whole one to the next hole (common practice, no source)
	require.InDelta(t, 2.35, limit("screw-3-room", "rim").Low.Value, 1e-9)
	require.InDelta(t, 4.7, limit("screw-3-room", "web").Low.Value, 1e-9)
	// half a millimetre of face beside the gasket (common practice, no source); a
	// hole that opens into it stops the work
	require.InDelta(t, 0.5, limit("screw-3-room", "land").Low.Value, 1e-9)
	require.Equal(t, check.Stop, limit("screw-3-room", "unbroken").Outside)
	notes := strings.Join(j.Filled().Step("screw-3-room").Notes, " ")
	// (52 - 5.2)/2 - 46/2 = 0.4; 52 sin 30° - (4.7 + 3.6)/2 = 21.85
	require.Contains(t, notes, "only 0.40 mm of land")
	require.Contains(t, notes, "21.85 mm of metal")
	require.Contains(t, j.Filled().Step("tighten").Notes[0], "2 BA")
}

// Two falls at two pressures tell the kind of path: twice the fall at twice the
// pressure is a long narrow one, n = ln(Q2/Q1)/ln(p2/p1) = 1 (fluid mechanics).
func TestPathOfALeak(t *testing.T) {
	at := fixedClock()
	points := func(falls ...float64) []TestPoint {
		var list []TestPoint
		for i := 0; i+1 < len(falls); i += 2 {
			for k, bar := range []float64{falls[i], falls[i] - falls[i+1]} {
				list = append(list, TestPoint{Mark: Mark{At: at.Add(time.Duration(10*i+5*k) * time.Minute)}, Pressure: quantity.Pressure(bar), Strokes: float64(i), Pumped: true})
			}
		}
		return list
	}
	var sheet TestSheet
	for name, c := range map[string]struct {
		points []TestPoint
		n      float64
	}{
		"twice at twice":      {points(4, 0.2, 8, 0.4), 1},
		"a fixed hole":        {points(4, 0.2, 8, 0.2*math.Sqrt2), 0.5},
		"the joint opens":     {points(4, 0.1, 8, 0.4), 2},
		"only one fall":       {points(8, 0.4), 0},
		"the same pressure":   {points(8, 0.4, 8, 0.4), 0},
		"nothing fell before": {points(4, 0, 8, 0.4), 0},
	} {
		r := sheet.read(c.points)
		if c.n == 0 {
			require.Nil(t, r.Path, name)
			continue
		}
		require.NotNil(t, r.Path, name)
		require.InDelta(t, c.n, r.Path.Exponent, 1e-6, name)
	}
}

// A step that names the opening it closes is the one where the tally counts.
func TestTallyAtItsOpening(t *testing.T) {
	b := newBench(t)
	source, err := os.ReadFile("../../testdata/refit/dome-cover.toml")
	require.NoError(t, err)
	proc := tap(t, strings.Replace(string(source), "id = \"tighten\"\n", "id = \"tighten\"\ncloses = \"Dome\"\n", 1))
	j, err := Start(memJob, proc, map[string]string{"code": "c", "edition": "1", "multiple": "1.5", "hold_time": "10 min"}, "Bramble", b.env)
	require.NoError(t, err)
	must(j.CountIn("dome", "rag", 2))
	must(j.CountIn("dome", "rag", -1))
	must(j.CountIn("dome", "lamp", 1))
	must(j.CountIn("dome", "lamp", -1))
	shut := func(step string) bool {
		return slices.ContainsFunc(j.State().Steps[step].Gates, func(g Gate) bool { return g.Name == GateTally })
	}
	require.False(t, shut("seal"))
	require.True(t, shut("tighten"))
	require.True(t, shut("close"))
	must(j.CountIn("dome", "lamp", -1)) // one more out than in does not make up for the rag
	require.True(t, shut("tighten"))
	must(j.CountIn("dome", "lamp", 1))
	must(j.Pass("tighten", GateTally, "Olga", "the rag burnt"))
	require.NotContains(t, strings.Join(j.State().Steps["tighten"].Blocks, ";"), "dome")
	must(j.CountIn("smokebox", "tray", 1))
	require.False(t, shut("seal") && shut("cured"))
}

// A pass is good for what stood when it was given, and for no more.
func TestAPassCoversWhatWasSeen(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	find := func(text string) { must(j.Find(NewFinding{What: OtherThing, Text: text})) }
	blocked := func() int {
		n := 0
		for _, g := range j.State().Steps["water-test"].Gates {
			if g.Name == GateFindings && len(g.Passed) == 0 {
				n++
			}
		}
		return n
	}
	find("paint")
	require.Equal(t, 1, blocked())
	pass := must(j.Pass("water-test", GateFindings, "Olga", "paint only"))
	require.Zero(t, blocked())
	find("a crack")
	require.Equal(t, 1, blocked())
	must(j.UndoEntry(pass.Entry.ID))
	require.Equal(t, 2, blocked())
}

// What is advised on a finding follows the tools at hand and the threads of the job,
// as the look-up does: with a tap of M5 listed, that is the way to go, and without
// any it is a thread of the family that the job uses.
func TestAdviceFollowsTheToolsAtHand(t *testing.T) {
	b := newBench(t)
	j := b.refit(nil)
	must(j.Find(pulledOut("3.65")))
	f, err := j.Finding("1")
	require.NoError(t, err)
	first := func(own workshop.Tools) string {
		a, err := j.Advise(f, own)
		require.NoError(t, err)
		require.Contains(t, a.Input.Families, threads.BANumbered)
		return a.Result.Options[0].Thread.String()
	}
	m5, err := threads.Parse("M5")
	require.NoError(t, err)
	require.NotEqual(t, "M5", first(workshop.Tools{}))
	require.Equal(t, "M5", first(workshop.Tools{Taps: []threads.Thread{m5}}))
}
