package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
	"fettle/checklist/boiler"
	"fettle/threads/check"
)

// Record is the paper of a job: what was found, done, measured, changed and
// tested, by whom and when. It is no certificate and says so.
type Record struct {
	Title, Engine string
	parts         []recordPart
}

// recordPart is a heading with what stands under it, in either form of paper.
type recordPart struct {
	heading string
	paras   []string
	tables  []recordTable
	plots   []plot
	photos  []recordPhoto
	after   bool // the paragraphs stand under the tables
}

type recordTable struct {
	head []string
	rows [][]string
}

type recordPhoto struct {
	name, caption string
	data          []byte // nil where it cannot be read; problem says why
	problem       string
}

// noCertificate stands at the head and at the end of every record.
const noCertificate = "This is the workshop's own record and no certificate. What passes, who may test and sign, and for how long it holds is decided by the local boiler code and the boiler inspector. Figures marked from memory or common practice are to be checked before anybody relies on them."

// cautions stand in every record.
func cautions() []string {
	return []string{
		"Boiler cold and shown to be at zero pressure, by its gauge and by an open valve, before any spanner.",
		"Nobody in line with a plug, a blank, a hose or a spindle while there is pressure.",
		"No sealant, caulking or tightening is a remedy for a leak of the structure.",
		"Never above the code's test pressure, and not to it again and again.",
		"Odd threads are marked on the part as well as here.",
	}
}

// Record puts the job on paper as it stands now.
func (j *Job) Record() *Record {
	state, seen := j.State(), j.view()
	b := recorder{j: j, state: state, seen: seen, now: j.env.Now()}
	r := &Record{Title: seen.filled.Title, Engine: j.Engine()}
	b.identity(r)
	b.findings()
	b.work()
	b.called(b.state.Called)
	b.readings()
	b.parts()
	b.gates()
	b.sheet()
	b.next()
	b.remarks()
	b.photos()
	b.add("Cautions")
	b.last().paras = append(cautions(), noCertificate)
	r.parts = b.out
	return r
}

// BringSheet puts the next-visit list on paper, with a box to tick for each
// thing that is still to be got.
func (j *Job) BringSheet() *Record {
	seen := j.view()
	b := recorder{j: j, state: j.State(), seen: seen, now: j.env.Now()}
	list := j.Needs()
	open := list.Open()
	for from := 0; from < len(open); {
		var rows [][]string
		group := open[from].From
		for ; from < len(open) && open[from].From == group; from++ {
			n, step := open[from], ""
			if at := seen.filled.Step(n.Step); at != nil {
				step = fmt.Sprintf("%d, %s", at.Number, at.Title)
			}
			rows = append(rows, []string{"☐", n.Amount, n.What, n.Why, step})
		}
		b.add(group)
		b.table(rows, "", "How many", "What", "Why", "For step")
	}
	b.add("As it stood")
	if len(open) == 0 {
		b.say("Nothing to bring.")
	}
	b.say("%s, printed %s. Steps: %s.", seen.filled.Title, b.when(b.now), b.count())
	return &Record{Title: "to bring next time", Engine: j.Engine(), parts: b.out}
}

type recorder struct {
	j     *Job
	state State
	seen  *view
	now   time.Time
	of    string // of a called job: its title, as it stands behind that of a step
	out   []recordPart
}

func (b *recorder) add(heading string) { b.out = append(b.out, recordPart{heading: heading}) }

func (b *recorder) last() *recordPart { return &b.out[len(b.out)-1] }

func (b *recorder) say(format string, args ...any) {
	b.last().paras = append(b.last().paras, fmt.Sprintf(format, args...))
}

func (b *recorder) table(rows [][]string, head ...string) {
	if len(rows) > 0 {
		b.last().tables = append(b.last().tables, recordTable{head, rows})
	}
}

// when is a moment as the paper shows it; by the clock of the device.
func (b *recorder) when(t time.Time) string {
	if t.IsZero() {
		return "time unknown"
	}
	return b.j.wall.Show(t, Dated)
}

// count is how far the job is, counted as on the screen.
func (b *recorder) count() string {
	text := fmt.Sprintf("%d of %d done", b.state.Done+b.state.Skipped, b.state.Total)
	if b.state.Skipped > 0 {
		text += fmt.Sprintf(", %d of them left out", b.state.Skipped)
	}
	return text
}

func (b *recorder) identity(r *Record) {
	b.add("Identity")
	started, by := b.j.Started()
	rows := [][]string{
		{"Engine", firstOf(r.Engine, "not given")},
		{"Procedure", r.Title + " (" + b.seen.filled.Procedure.ID + ")"},
		{"Started", b.when(started) + " by " + by},
		{"Printed", b.when(b.now)},
		{"Steps", b.count()},
	}
	if b.j.IsCalled() {
		rows = append(rows, []string{"Called by", b.j.calledFrom()})
	}
	for _, m := range b.state.Off {
		rows = append(rows, []string{"Called off", b.marks([]Mark{m})})
	}
	for _, line := range [...]string{"boiler", "working_pressure", "code", "edition", "certificate", "reason"} {
		for _, v := range b.state.Test.Values {
			if v.Name == line {
				rows = append(rows, []string{v.Label, v.Value})
			}
		}
	}
	b.table(rows, "", "")
	b.firstOfAll()
	b.say("%s", noCertificate)
	var settings [][]string
	for _, v := range b.seen.filled.Values {
		if v.NotAsked != "" && !v.Measured {
			continue
		}
		how := "as answered"
		if v.Measured {
			how = "as measured"
		} else if v.Default {
			how = "default of the procedure"
		}
		settings = append(settings, []string{v.Ask, firstOf(v.Canonical, v.Text), how})
	}
	b.table(settings, "Setting", "Value", "How")
}

func (b *recorder) findings() {
	b.add("Findings and what was decided")
	if len(b.state.Findings) == 0 {
		b.say("No findings were recorded.")
	}
	var rows [][]string
	for _, f := range b.state.Findings {
		what := fmt.Sprintf("%s, %s: %s", f.What, b.where(&f), f.Text)
		for _, name := range sortedKeys(f.Data) {
			what += fmt.Sprintf("; %s %s", strings.ReplaceAll(name, "_", " "), f.Data[name])
			if m, later := f.Added[name]; later {
				what += fmt.Sprintf(" (added by %s, %s)", m.By, b.when(m.At))
			}
		}
		decided := "OPEN"
		if d := f.Disposition; d != nil {
			decided = fmt.Sprintf("%s: %s", d.Decision, d.Text)
			if d.Data["thread"] != "" {
				decided += "; now " + d.Data["thread"]
			}
			if d.Allowed != "" {
				decided += "; allowed by " + d.Allowed
			}
			decided += fmt.Sprintf(" (%s, %s)", d.By, b.when(d.At))
			if left := b.left(d); left != "" {
				decided += "; still to do: " + left
			}
			if d.Later > 0 {
				decided += fmt.Sprintf("; finding %d was decided later and took its place", d.Later)
			}
		}
		rows = append(rows, []string{fmt.Sprint(f.Order), what, f.By + ", " + b.when(f.At), decided})
	}
	b.table(rows, "No.", "As found", "By", "Decided")
}

// where says what a finding is on, by the names that people read.
func (b *recorder) where(f *Finding) string { return whereIn(b.seen.filled, b.seen.base, f) }

// left lists the steps of a disposition that are not done.
func (b *recorder) left(d *Disposition) string {
	var list []string
	for _, id := range slices.Concat(d.Steps, d.Reopened) {
		if s, ok := b.state.Steps[id]; ok && s.Status != Done && s.Status != Skipped {
			list = append(list, b.place(id))
		}
	}
	return strings.Join(list, "; ")
}

func (b *recorder) work() {
	b.add("Work")
	for _, stage := range b.seen.filled.Stages {
		var rows [][]string
		for i := range stage.Steps {
			step := &stage.Steps[i]
			s := b.state.Steps[step.ID]
			how := string(s.Status)
			switch {
			case s.Status == Done:
				how = "done: " + b.marks(s.Ticks)
			case s.Status == Skipped:
				how = "left out: " + b.marks(s.Skips)
			case len(s.Blocks) > 0:
				how += ": " + strings.Join(s.Blocks, "; ")
			}
			if len(s.Outside) > 0 {
				how += "; OUTSIDE LIMITS: " + strings.Join(s.Outside, "; ")
			}
			if len(s.Reopened) > 0 {
				how += "; before the change: " + b.marks(s.Reopened)
			}
			title := step.Title
			if step.Added {
				title += " (came in with a finding)"
			}
			rows = append(rows, []string{fmt.Sprint(step.Number), title, how})
		}
		b.say("%s", stage.Title)
		b.table(rows, "No.", stage.Title, "")
	}
	b.last().paras = nil // the tables carry the stages' names
	var idle [][]string
	for _, f := range b.state.Findings {
		if f.Disposition == nil {
			continue
		}
		for _, step := range f.Disposition.Idle {
			how := "not done"
			if len(step.Ticks) > 0 {
				how = "had been done: " + b.marks(step.Ticks)
			}
			idle = append(idle, []string{step.Title, fmt.Sprintf("finding %d, made idle by finding %d", f.Order, f.Disposition.Later), how})
		}
	}
	b.table(idle, "No longer needed", "Came in with", "")
}

func (b *recorder) marks(list []Mark) string {
	words := make([]string, len(list))
	for i, m := range list {
		words[i] = m.By + ", " + b.when(m.At)
		if m.Text != "" {
			words[i] += " (" + m.Text + ")"
		}
		if m.Self {
			words[i] += ", who " + selfWords
		}
	}
	return strings.Join(words, " and ")
}

func (b *recorder) readings() {
	b.add("Readings against their limits")
	rows := b.readingRows(false)
	if len(rows) == 0 {
		b.say("No readings were taken.")
	}
	b.table(rows, "Step", "Reading", "Value", "Limits", "Verdict", "By")
}

// readingRows are the readings, or only those outside their limits; of called jobs
// it is always those: the others stand in their own records.
func (b *recorder) readingRows(outside bool) [][]string {
	var rows [][]string
	for _, step := range b.seen.filled.Steps() {
		for _, r := range step.Readings {
			if f := b.seen.fold.steps[step.ID]; f != nil {
				for _, rec := range f.readings[r.Name] {
					if !outside && !b.seen.changed.answers(rec) {
						rows = append(rows, []string{step.Title, firstOf(r.Ask, r.Name), withUnit(rec.Value, rec.Unit), "", "before a part was changed", rec.By + ", " + b.when(rec.At())})
					}
				}
			}
			for _, v := range b.state.Steps[step.ID].Readings[r.Name] {
				verdict := "within"
				if outside && (v.Judgement.OK || v.Judgement.Text == "") {
					continue
				}
				switch {
				case !v.Judgement.OK && v.Judgement.Text != "":
					verdict = fmt.Sprintf("%s: %s", v.Judgement.Severity, v.Judgement.Text)
				case !r.Low.Given && !r.High.Given && !r.Nominal.Given:
					verdict = "no limit"
				}
				if !v.Counts {
					verdict += " (made apart from the reading that counts, which says more against going on or is the severer)"
				}
				rows = append(rows, []string{step.Title + b.of, firstOf(r.Ask, r.Name), v.String(), limitOrWanted(r), verdict, v.By + ", " + b.when(v.At)})
			}
		}
	}
	for _, in := range b.inner() {
		rows = append(rows, in.readingRows(true)...)
	}
	return rows
}

func limitOrWanted(r checklist.FilledReading) string {
	if limits := r.Limits(); limits != "" {
		return limits
	}
	return r.Nominal.Text
}

func (b *recorder) parts() {
	b.add("Fasteners and threads as they now are")
	var rows [][]string
	for _, part := range b.seen.filled.Fasteners {
		if !part.Applies {
			continue
		}
		get := func(key string) string {
			f, _ := partFigure(part, key)
			return f.Text
		}
		count := firstOf(get("count"), "1")
		rows = append(rows, []string{
			part.Label, count + " x " + firstOf(get("thread"), "?"), get("length"), get("grade"), get("into"), firstOf(get("tap_drill"), "") + percentOf(get("tap_percent")),
			get("engaged"), get("torque"), get("lubricant"),
		})
	}
	b.table(rows, "Fastener", "Thread", "Length", "Grade", "In", "Drill", "Engaged", "Torque", "On the thread")
	for _, split := range b.seen.changed.list {
		if split.Part == "" {
			continue
		}
		if part, ok := partOf(b.seen.filled.Fasteners, split.Part); ok {
			was, _ := partOf(b.seen.base.Fasteners, split.Fastener)
			before, _ := partFigure(was, "thread")
			now, _ := partFigure(part, "thread")
			b.say("%s: was %s, is %s. The odd one is marked on the part.", part.Label, before.Text, now.Text)
		}
	}
	var seals [][]string
	for _, part := range b.seen.filled.Seals {
		if !part.Applies {
			continue
		}
		get := func(key string) string {
			f, _ := partFigure(part, key)
			return f.Text
		}
		seals = append(seals, []string{part.Label, part.Kind, get("material"), get("zone"), get("temperature"), get("limit"), firstOf(get("cure"), get("order")) + usedBy(get("use_by"))})
	}
	b.table(seals, "Seal", "Kind", "Material", "Zone", "Temperature", "Limit", "Cure or length")
	var ruled [][]string
	for _, parts := range [][]checklist.FilledPart{b.seen.filled.Fasteners, b.seen.filled.Seals} {
		for _, p := range parts {
			for _, f := range p.Findings {
				if f.Severity == check.Note {
					continue
				}
				answer := ""
				if f.Accepted != "" {
					answer = "accepted: " + f.Accepted
				}
				ruled = append(ruled, []string{p.Label, string(f.Severity), f.Message, answer, f.Source})
			}
		}
	}
	b.table(ruled, "Rule about", "", "What it says", "Answer", "Source")
}

func usedBy(day string) string {
	if day == "" {
		return ""
	}
	return ", to be used by " + day
}

func percentOf(text string) string {
	if text == "" {
		return ""
	}
	return ", " + text
}

func (b *recorder) gates() {
	b.add("Holds, witnesses and gates passed")
	rows := b.gateRows()
	if len(rows) == 0 {
		b.say("The procedure has no hold and no witness point, and no gate was passed.")
	}
	b.table(rows, "Step", "Gate", "Who and when")
	var tallies [][]string
	for _, t := range b.state.Tallies {
		text := "balanced"
		if t.Inside != 0 {
			text = t.String()
		}
		tallies = append(tallies, []string{t.Opening, text})
	}
	b.table(tallies, "Opening", "Tally of things put in and taken out")
}

// gateRows are the holds, witness points and gates that were passed, those of the
// called jobs after them.
func (b *recorder) gateRows() [][]string {
	var rows [][]string
	for _, step := range b.seen.filled.Steps() {
		s := b.state.Steps[step.ID]
		if step.Hold != "" {
			rows = append(rows, []string{step.Title, "hold point, " + step.Hold, firstOf(b.marks(s.Releases), "NOT RELEASED")})
		}
		if step.Witness != "" {
			told := "nobody recorded that the " + step.Witness + " was told"
			var words []string
			for _, rec := range b.seen.fold.judged[KindWitness] {
				if rec.Step == step.ID && b.seen.changed.answers(rec) {
					words = append(words, rec.By+", "+rec.Value+", "+b.when(rec.At()))
				}
			}
			rows = append(rows, []string{step.Title, "witness point, " + step.Witness, firstOf(strings.Join(words, "; "), told)})
		}
	}
	for _, rec := range b.seen.fold.judged[KindPass] {
		title := rec.Step
		if step := b.seen.filled.Step(rec.Step); step != nil {
			title = step.Title
		}
		rows = append(rows, []string{title, "PASSED: " + rec.Reading, fmt.Sprintf("%s let it pass, %s: %s", rec.By, b.when(rec.At()), rec.Text)})
	}
	for i := range rows {
		rows[i][0] += b.of
	}
	for _, in := range b.inner() {
		rows = append(rows, in.gateRows()...)
	}
	return rows
}

func (b *recorder) sheet() {
	t := b.state.Test
	if len(t.Values) == 0 && len(t.Runs) == 0 {
		return
	}
	b.add("Hydraulic test sheet")
	var rows [][]string
	for _, v := range t.Values {
		who := v.By
		if v.FromProcedure {
			who = "start of the job"
		}
		if v.Differ {
			who += " (another wrote something else)"
		}
		rows = append(rows, []string{v.Label, v.Shown(), who})
	}
	b.table(rows, "Line", "Value", "Typed in by")
	if t.Target > 0 {
		b.say("Test pressure %s, never above: no more than the typed working pressure times the typed multiple. Alarm %s: %s.", t.In.Show(t.Target), t.In.Show(t.Alarm), boiler.AlarmMeans)
	}
	for i := range t.Runs {
		run := &t.Runs[i]
		b.add(fmt.Sprintf("Test %d, %s", i+1, b.when(run.At)))
		b.last().after = true
		if run.Open != "" {
			b.say("Open when it began: %s.", run.Open)
		}
		var points [][]string
		for _, p := range run.Points {
			first, second := p.Gauges()
			row := []string{b.when(p.At), first, "", ""}
			if second != "" {
				row[1] += ", second gauge " + second
			}
			if p.LetDown {
				row[1] += ", let down"
			}
			if p.WaterKnown {
				row[2] = p.Water.String()
			}
			if p.Pumped {
				row[3] = fmt.Sprintf("%g", p.Strokes)
			}
			points = append(points, row)
		}
		if len(run.Points) > 1 {
			b.last().plots = append(b.last().plots, plotOf(run, &t, b.j.wall))
		}
		b.table(points, "Time", "Gauge", "Water", "Strokes, all told")
		for _, line := range run.Reading.Lines() {
			b.say("%s", line)
		}
		var trials [][]string
		for _, trial := range run.Trials {
			word := "ruled out"
			if trial.Shows {
				word = "FOUND"
			}
			trials = append(trials, []string{trial.Fault.ID, trial.Fault.Path, word, trial.Text, trial.By})
		}
		b.table(trials, "Path", "", "Showed", "What was seen", "By")
		switch {
		case run.Result == "":
			b.say("Result: none yet.")
		case run.Result == "pass" && !run.Passed:
			b.say("Result: pass by %s, which does not count: %s", run.Judged.By, strings.Join(run.Stops, " "))
		default:
			b.say("Result: %s, by %s, %s. %s", strings.ToUpper(run.Result), run.Judged.By, b.when(run.Judged.At), run.Judged.Text)
		}
		if run.Warned != "" {
			b.say("Warned at the %s: %s.", run.Result, run.Warned)
		}
		b.signatures(i+1, run, &t)
	}
	var blanks [][]string
	for _, bl := range b.state.Blanks {
		how := "off"
		if bl.Stays {
			how = "stays on purpose"
		} else if bl.Fitted {
			how = "STILL FITTED"
		}
		blanks = append(blanks, []string{bl.Tag, bl.Where, how, bl.By + ", " + b.when(bl.At)})
	}
	if len(blanks) > 0 {
		b.add("Blanks")
		b.table(blanks, "Tag", "Where", "", "By")
	}
}

// signatures lists who signed, and leaves room for those who are named on the
// sheet and have not.
func (b *recorder) signatures(n int, run *TestRun, t *TestSheet) {
	if run.Result == "" {
		return
	}
	var rows [][]string
	signed := map[string]bool{}
	for _, m := range run.Signed {
		signed[m.Text] = true
		rows = append(rows, []string{m.Text, m.By, b.when(m.At), ""})
	}
	for _, role := range [...]string{"operator", "witness", "inspector"} {
		if name := t.Value(role); name != "" && !signed[role] {
			rows = append(rows, []string{role, name, "not signed", ""})
		}
	}
	if len(rows) > 0 {
		b.add(fmt.Sprintf("Test %d, signatures", n))
		b.table(rows, "As", "Name", "When", "Signature")
	}
}

func (b *recorder) next() {
	b.add("What is due next")
	if due := b.state.Test.Value("next_due"); due != "" {
		b.say("By the code, as typed in: %s", due)
	}
	for _, w := range b.state.Waiting {
		b.say("%s waits until %s.", b.placeIn(w.Step, w.In), b.when(w.Until))
	}
	for _, h := range b.state.Holds {
		b.say("%s stands at a hold: the %s releases it.", b.placeIn(h.Step, h.In), h.Who)
	}
	if step := b.seen.filled.Step(b.state.Next); step != nil {
		b.say("Next step: %s.", step.Title)
	}
	var rows [][]string
	list := b.j.Needs()
	for _, n := range list.Open() {
		rows = append(rows, []string{n.From, n.Amount, n.What, n.Why})
	}
	b.table(rows, "From", "How many", "What", "Why")
	if len(rows) == 0 && len(b.last().paras) == 0 {
		b.say("Nothing is left to do or to bring.")
	}
}

// notes are all remarks as they were made, the first first.
func (b *recorder) notes() []*record {
	var list []*record
	for _, id := range sortedKeys(b.seen.fold.steps) {
		list = append(list, b.seen.fold.steps[id].notes...)
	}
	slices.SortStableFunc(list, func(x, y *record) int { return x.At().Compare(y.At()) })
	return list
}

// place is the title of a step, its id where no step is called that.
func (b *recorder) place(id string) string {
	if step := b.seen.filled.Step(id); step != nil {
		return step.Title
	}
	return id
}

func (b *recorder) remarks() {
	var rows [][]string
	for _, rec := range b.notes() {
		text := rec.Text
		for _, name := range rec.Photos {
			text += " [photo " + name + "]"
		}
		rows = append(rows, []string{b.when(rec.At()), rec.By, b.place(rec.Step), text})
	}
	if len(rows)+len(b.state.Notices) == 0 {
		return
	}
	b.add("Remarks")
	b.table(rows, "When", "Who", "Step", "Remark")
	for _, n := range b.state.Notices {
		b.say("About the log: %s", n)
	}
}

// maxRecordPhotos bounds what a record carries: a page that a mail takes.
const maxRecordPhotos = 60

func (b *recorder) photos() {
	var list []recordPhoto
	show := func(caption string, names []string) {
		for _, name := range names {
			p := recordPhoto{name: name, caption: caption}
			data, err := b.j.photo(name)
			switch {
			case len(list) >= maxRecordPhotos:
				p.problem = fmt.Sprintf("more than %d photos; it is in the job's folder", maxRecordPhotos)
			case err != nil:
				p.problem = "cannot be shown: " + err.Error()
			default:
				p.data = data
			}
			list = append(list, p)
		}
	}
	for _, f := range b.state.Findings {
		show(fmt.Sprintf("Finding %d: %s, %s", f.Order, f.What, b.where(&f)), f.Photos)
	}
	for _, rec := range b.notes() {
		caption := rec.Text
		if rec.Step != "" {
			caption = b.place(rec.Step) + ": " + caption
		}
		show(fmt.Sprintf("%s (%s)", caption, rec.By), rec.Photos)
	}
	if len(list) > 0 {
		b.add("Photos")
		b.last().photos = list
	}
}
