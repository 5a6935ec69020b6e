package job

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fettle/checklist"
	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// FindingKind says what is not as it should be.
type FindingKind string

// The kinds of finding.
const (
	DamagedHole FindingKind = "damaged hole"
	Sheared     FindingKind = "sheared"
	WrongPart   FindingKind = "wrong part"
	WornPart    FindingKind = "worn part"
	NoFit       FindingKind = "does not fit"
	Leaking     FindingKind = "leak"
	MissingPart FindingKind = "missing part"
	OtherThing  FindingKind = "other"
)

// FindingKinds lists the kinds.
func FindingKinds() []FindingKind {
	return []FindingKind{DamagedHole, Sheared, WrongPart, WornPart, NoFit, Leaking, MissingPart, OtherThing}
}

// ParseFindingKind reads a kind, with spaces or hyphens.
func ParseFindingKind(s string) (FindingKind, error) {
	want := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(s), "-", " "))
	var known []string
	for _, k := range FindingKinds() {
		if string(k) == want {
			return k, nil
		}
		known = append(known, string(k))
	}
	return "", fmt.Errorf("%q is no kind of finding; there are: %s", Plain(s), strings.Join(known, ", "))
}

// NewFinding is a finding to be recorded. What is not known stays empty.
type NewFinding struct {
	What     FindingKind
	Text     string
	Step     string   // the step at which it was found
	Fastener string   // a fastener of the procedure, by name
	Number   int      // which of its circle, from 1; 0 where it stands alone
	Place    string   // where, in words
	Photos   []string // files to be copied into the job
	// Of is a finding that a reading or a test made by itself: this one says more of
	// it and takes its place.
	Of string

	// Hole is the measured diameter of a damaged hole (the largest pin that
	// enters); Into, Depth, Edge, Cover hole and head room are asked for where
	// the procedure does not say them. As a person types them.
	Hole, Into, Depth, Edge, CoverHole, HeadRoom string
	// Readings are further figures, by name.
	Readings map[string]string
}

// Finding is something that is not as it should be.
type Finding struct {
	Mark
	Order    int // 1 for the first of the job
	What     FindingKind
	Step     string
	Fastener string
	Number   int
	Place    string
	Photos   []string
	Data     map[string]string // figures as they were typed, by name
	Added    map[string]Mark   // those of them that were added later, by name

	Reading   string // of a finding that a reading made by itself: its name
	Danger    string // what stands on the engine by it; empty for nothing
	Test      string // the test that it was found in; empty for none
	Structure bool   // a leak of the structure, which is never left as it is

	// Unsettled says that it was decided differently by two who did not see each
	// other's decision: it counts as open until a third that saw both.
	Unsettled bool
	// Disposition is what was decided; nil while the finding is open. Others
	// are decisions that somebody else took without seeing it.
	Disposition *Disposition
	Others      []Disposition

	rec *record // the entry it comes from
}

// Name is how the finding is called in commands: "k7q2-41".
func (f *Finding) Name() string { return entryName(f.ID) }

// Where says what the finding is on: "flange no. 3".
func (f *Finding) Where() string {
	var words []string
	if f.Fastener != "" {
		words = append(words, strings.ReplaceAll(f.Fastener, "_", " "))
		if f.Number > 0 {
			words = append(words, fmt.Sprintf("no. %d", f.Number))
		}
	}
	if f.Place != "" {
		words = append(words, f.Place)
	}
	if f.Step != "" {
		words = append(words, "at "+f.Step)
	}
	return strings.Join(words, " ")
}

// whereIn is Where by the names that people read: "cover screws no. 3, at Try every
// hole".
func whereIn(filled, base *checklist.Filled, f *Finding) string {
	var words []string
	if f.Fastener != "" {
		name := strings.ReplaceAll(f.Fastener, "_", " ")
		if part, ok := partOf(base.Fasteners, f.Fastener); ok {
			name = firstOf(part.Label, name)
		}
		if f.Number > 0 {
			name += fmt.Sprintf(" no. %d", f.Number)
		}
		words = append(words, name)
	}
	if f.Place != "" {
		words = append(words, f.Place)
	}
	if f.Step != "" {
		at := f.Step
		if step := filled.Step(f.Step); step != nil {
			at = step.Title
		}
		words = append(words, "at "+at)
	}
	return strings.Join(words, ", ")
}

// holeKeys are the figures of a damaged hole that the rescue advice takes.
var holeKeys = [...]string{"hole", "into", "depth", "edge", "cover_hole", "head_room"}

func (n *NewFinding) answers() map[string]string {
	return map[string]string{"hole": n.Hole, "into": n.Into, "depth": n.Depth, "edge": n.Edge, "cover_hole": n.CoverHole, "head_room": n.HeadRoom}
}

// CheckFigureName says why a further figure of a finding cannot bear a name;
// nil where it can.
func CheckFigureName(name string) error {
	n := NewFinding{}
	_, taken := n.answers()[name]
	switch {
	case taken || slices.Contains([]string{"what", "fastener", "number", "place"}, name):
		return fmt.Errorf("a reading cannot be called %q: that word means something else in a finding", Plain(name))
	case strings.TrimSpace(name) == "" || len(name) > maxName || !utf8.ValidString(name) || Plain(name) != name:
		return fmt.Errorf("the name of a reading is one line of at most %d letters", maxName)
	}
	return nil
}

// Find records a finding. Photos are copied into the job first.
func (j *Job) Find(n NewFinding) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		answers, err := j.checkFinding(&n)
		if err != nil {
			return Entry{}, err
		}
		about := ""
		if n.Of != "" {
			f, err := j.Finding(n.Of)
			if err != nil {
				return Entry{}, err
			}
			if f.rec.Kind == KindFinding {
				return Entry{}, &RefusedError{f.Where(), []string{"somebody recorded that finding: add a figure to it, or undo it"}}
			}
			about, n.Step = f.ID, firstOf(n.Step, f.Step)
		}
		photos, err := j.keepPhotos(n.Photos)
		if err != nil {
			return Entry{}, err
		}
		return Entry{Kind: KindFinding, By: by, Step: n.Step, Text: n.Text, Photos: photos, Data: answers, About: about}, nil
	})
}

func (j *Job) checkFinding(n *NewFinding) (map[string]string, error) {
	var err error
	if n.What, err = ParseFindingKind(string(n.What)); err != nil {
		return nil, err
	}
	if n.Text, err = checkText("what was found", n.Text); err != nil {
		return nil, err
	}
	if n.Step != "" {
		if _, err := j.step(n.Step); err != nil {
			return nil, err
		}
	}
	answers := n.answers()
	for name, value := range n.Readings {
		if err := CheckFigureName(name); err != nil {
			return nil, err
		}
		answers[name] = value
	}
	for _, key := range holeKeys {
		if answers[key] == "" {
			continue
		}
		if err := checkHoleFigure(key, answers[key]); err != nil {
			return nil, err
		}
	}
	if n.Number < 0 {
		return nil, errors.New("fasteners are numbered from 1")
	}
	if n.Fastener != "" {
		if err := checkFastener(j.view().base, n.Fastener, n.Number); err != nil {
			return nil, err
		}
		answers["fastener"] = n.Fastener
		if n.Number > 0 {
			answers["number"] = strconv.Itoa(n.Number)
		}
	} else if n.Number > 0 {
		return nil, errors.New("a number says which of a circle: name the fastener too")
	}
	if n.What == DamagedHole && n.Fastener == "" {
		return nil, errors.New("a damaged hole: say which fastener goes into it (\"fettle procedure show\" lists them)")
	}
	answers["what"], answers["place"] = string(n.What), n.Place
	return data(answers)
}

func checkHoleFigure(key, value string) error {
	words := strings.ReplaceAll(key, "_", " ")
	if key == "into" {
		if _, err := fastening.ParseMetal(value); err != nil {
			return fmt.Errorf("into: %w", err)
		}
		return nil
	}
	l, err := quantity.ParseLength(value)
	switch {
	case err != nil:
		return fmt.Errorf("%s: %w", words, err)
	case l <= 0 || l > 1000:
		return fmt.Errorf("%s: %s is no size; more than 0 and at most 1 m", words, Plain(value))
	}
	return nil
}

// AddFigure adds a figure to a finding that stands, or puts another in its place:
// one of those that the rescue advice takes (hole, into, depth, edge, cover_hole,
// head_room), or any other by a name of its own. What was decided about the
// finding is worked out with it again.
func (j *Job) AddFigure(finding, name, value string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		f, err := j.Finding(finding)
		if err != nil {
			return Entry{}, err
		}
		name = strings.ReplaceAll(strings.TrimSpace(name), "-", "_")
		if !slices.Contains(holeKeys[:], name) {
			if err := CheckFigureName(name); err != nil {
				return Entry{}, err
			}
		} else if f.Fastener == "" {
			return Entry{}, &RefusedError{f.Where(), []string{"the finding is on no fastener, so it has no " + strings.ReplaceAll(name, "_", " ")}}
		} else if err := checkHoleFigure(name, value); err != nil {
			return Entry{}, err
		}
		answers, err := data(map[string]string{name: value})
		if err != nil {
			return Entry{}, err
		}
		if answers[name] == "" {
			return Entry{}, fmt.Errorf("%s: say the figure", strings.ReplaceAll(name, "_", " "))
		}
		return Entry{Kind: KindFigure, By: by, Step: f.Step, About: f.ID, Reading: name, Value: answers[name]}, nil
	})
}

// checkFastener says whether there is such a fastener.
func checkFastener(filled *checklist.Filled, name string, number int) error {
	var known []string
	for _, f := range filled.Fasteners {
		known = append(known, f.Name)
		if f.Name != name {
			continue
		}
		count, ok := partFigure(f, "count")
		if number > 1 && (!ok || float64(number) > count.Value) {
			return fmt.Errorf("there is no %s no. %d: there are %s", name, number, countText(count, ok))
		}
		if number == 0 && ok && count.Value > 1 {
			return fmt.Errorf("say which of the %s %s, counted from 1", count.Text, name)
		}
		return nil
	}
	return &StepError{"fastener", name, known}
}

func countText(f checklist.Figure, ok bool) string {
	if !ok {
		return "no more than one"
	}
	return f.Text
}

func partFigure(p checklist.FilledPart, key string) (checklist.Figure, bool) {
	for _, f := range p.Figures {
		if f.Key == p.Name+"."+key {
			return f, true
		}
	}
	return checklist.Figure{}, false
}

func partOf(list []checklist.FilledPart, name string) (checklist.FilledPart, bool) {
	for _, p := range list {
		if p.Name == name {
			return p, true
		}
	}
	return checklist.FilledPart{}, false
}

// findingsOf are the findings that stand, in the job's order: what people recorded,
// and what readings and tests found by themselves.
func (j *Job) findingsOf(f *fold, base *checklist.Filled, found []Finding) []Finding {
	list := joined(recordedFindings(f), found)
	slices.SortStableFunc(list, func(a, b Finding) int { return compareRecords(a.rec, b.rec) })
	at := map[string]int{}
	for i := range list {
		list[i].Order = i + 1
		at[list[i].ID] = i
	}
	for _, rec := range f.judged[KindFigure] {
		i, ok := at[rec.About]
		if !ok || !slices.Contains(holeKeys[:], rec.Reading) && CheckFigureName(rec.Reading) != nil {
			continue
		}
		list[i].Data[rec.Reading] = rec.Value
		if list[i].Added == nil {
			list[i].Added = map[string]Mark{}
		}
		list[i].Added[rec.Reading] = mark(rec)
	}
	now := map[hole]string{} // the threads that holes have got by what was decided so far
	for _, rec := range f.judged[KindDispose] {
		i, ok := at[rec.About]
		if !ok || !validDecision(Decision(rec.Value)) {
			continue
		}
		d := dispositionOf(rec)
		place := hole{list[i].Fastener, max(list[i].Number, 1)}
		if !j.mayDecide(base, &list[i], &d, now[place]) {
			continue
		}
		now[place] = firstOf(d.Data["thread"], now[place])
		if was := list[i].Disposition; was != nil {
			list[i].Others = append(list[i].Others, *was)
			list[i].Unsettled = list[i].Unsettled || j.keeps(RuleDecideOnce) && !sameDecision(was, &d)
		}
		list[i].Disposition = &d
	}
	return list
}

// mayDecide says whether a decision is one that somebody could take: nobody leaves a
// leak of the structure or a stripped hole as it is, and nobody allows their own
// concession. thread is what the hole of the finding has got since.
func (j *Job) mayDecide(base *checklist.Filled, f *Finding, d *Disposition, thread string) bool {
	switch {
	case d.Decision == Concession:
		return d.Allowed != "" && !strings.EqualFold(d.Allowed, d.By) || !j.keeps(RuleConcessionOther)
	case d.Decision != AcceptIt:
		return true
	case f.Structure && j.keeps(RuleStructure):
		return false
	}
	return j.unsoundHole(base, f, thread) == ""
}

// sameDecision says whether two decisions come to the same.
func sameDecision(a, b *Disposition) bool {
	return a.Decision == b.Decision && maps.Equal(a.Data, b.Data)
}

// joined puts findings together. One that somebody recorded about one that made itself
// takes its place, with all that hangs on it.
func joined(recorded, found []Finding) []Finding {
	for _, f := range found {
		at := slices.IndexFunc(recorded, func(r Finding) bool { return r.rec.About == f.ID })
		if at < 0 {
			f.Data = map[string]string{} // figures are added to it
			recorded = append(recorded, f)
			continue
		}
		r := &recorded[at]
		r.Reading, r.Test, r.Structure = f.Reading, f.Test, f.Structure
		if r.Danger = f.Danger; r.Step == "" {
			r.Step = f.Step
		}
	}
	return recorded
}

// recordedFindings are those that people recorded.
func recordedFindings(f *fold) []Finding {
	var list []Finding
	for _, rec := range f.judged[KindFinding] {
		kind, err := ParseFindingKind(rec.Data["what"])
		if err != nil {
			kind = OtherThing // a kind of a newer version
		}
		number, _ := strconv.Atoi(rec.Data["number"])
		if number < 0 || number > 1000 {
			number = 0
		}
		figures := map[string]string{}
		for name, value := range rec.Data {
			if !slices.Contains([]string{"what", "fastener", "number", "place"}, name) {
				figures[name] = value
			}
		}
		list = append(list, Finding{
			Mark: mark(rec), rec: rec, What: kind, Step: rec.Step, Fastener: rec.Data["fastener"], Number: number,
			Place: rec.Data["place"], Photos: rec.Photos, Data: figures,
		})
	}
	return list
}

// Finding is the finding of that name: its number in the job, its short name or
// its whole id.
func (j *Job) Finding(name string) (*Finding, error) {
	list := j.State().Findings
	var known []string
	for i := range list {
		f := &list[i]
		if name == f.ID || name == f.Name() || name == strconv.Itoa(f.Order) {
			return f, nil
		}
		known = append(known, fmt.Sprintf("%d (%s)", f.Order, f.Name()))
	}
	if len(known) == 0 {
		return nil, &StepError{"finding", name, []string{"none"}}
	}
	return nil, &StepError{"finding", name, known}
}

// Advice is the rescue advice for a damaged hole, with all that is known of it
// filled in. Missing names what is still to be measured or said.
type Advice struct {
	Input   fastening.RescueInput
	Result  fastening.RescueResult
	Missing []string // answers without which nothing can be advised
	Unknown []string // answers without which something is not checked
}

// Sheared plans how to get a sheared fastener out, from what the procedure says
// of it.
func (j *Job) Sheared(f *Finding) (fastening.ShearedPlan, error) {
	base := j.view().base
	part, ok := partOf(base.Fasteners, f.Fastener)
	if !ok {
		return fastening.ShearedPlan{}, fmt.Errorf("%s is no fastener of this job", Plain(f.Fastener))
	}
	k := knownOf(j.proc, base, part)
	k.now = j.view().changed.now(f).Thread
	t, err := threads.Parse(k.text("thread"))
	if err != nil {
		return fastening.ShearedPlan{}, err
	}
	metal, _ := fastening.ParseMetal(firstOf(f.Data["into"], k.text("into"))) // the plan can do without
	return fastening.Sheared(t, metal, threads.StockDrills(), 0)
}

// OtherRoad is the procedure that the step of a finding calls, where that is
// another way to the same end: a damaged hole is saved by what is decided about its
// finding or by a job of its own, never by both. It is empty where there is none.
func (f *Finding) OtherRoad(filled *checklist.Filled) string {
	if f.What != DamagedHole {
		return ""
	}
	step := filled.Step(f.Step)
	if step == nil || step.Call == nil {
		return ""
	}
	return step.Call.Procedure
}

// Advise works out the rescue of a damaged hole, with own the tools at hand.
func (j *Job) Advise(f *Finding, own workshop.Tools) (Advice, error) {
	seen := j.view()
	return advise(j.proc, seen.base, f, seen.changed.now(f).Thread, own)
}

// advise works it out from the procedure as it was written; now is the thread
// that the hole has got since, or "". What is folded from entries is worked out with
// no tools, so that every device comes to the same.
func advise(proc *checklist.Procedure, filled *checklist.Filled, f *Finding, now string, own workshop.Tools) (Advice, error) {
	var a Advice
	part, ok := partOf(filled.Fasteners, f.Fastener)
	if !ok {
		return a, fmt.Errorf("%s is no fastener of this job", Plain(f.Fastener))
	}
	known := knownOf(proc, filled, part)
	known.now = now
	answer := func(key, fromProcedure string) string {
		if f.Data[key] != "" {
			return f.Data[key]
		}
		return fromProcedure
	}
	length := func(text string) quantity.Length {
		l, err := quantity.ParseLength(text)
		if err != nil {
			return 0
		}
		return l
	}
	var err error
	if a.Input.Thread, err = threads.Parse(known.text("thread")); err != nil {
		a.Missing = append(a.Missing, "the thread")
	}
	if a.Input.Hole = length(answer("hole", "")); a.Input.Hole == 0 {
		a.Missing = append(a.Missing, "hole: its diameter, by the largest pin that enters")
	}
	if a.Input.Into, err = fastening.ParseMetal(answer("into", known.text("into"))); err != nil {
		a.Missing = append(a.Missing, "into: the metal that is tapped")
	}
	if a.Input.Depth = length(answer("depth", "")); a.Input.Depth == 0 {
		if a.Input.Depth = known.length("depth"); a.Input.Depth == 0 {
			a.Input.Depth = known.length("engaged")
		}
	}
	if a.Input.Depth == 0 {
		a.Missing = append(a.Missing, "depth: how deep the metal takes full thread")
	}
	switch hole := known.text("hole"); {
	case strings.Contains(hole, "wet"):
		a.Input.Kind = fastening.WetHole
	case strings.Contains(hole, "blind"):
		a.Input.Kind = fastening.BlindHole
	case hole != "":
		a.Input.Kind = fastening.DryHole
	default:
		a.Unknown = append(a.Unknown, "whether the hole is wet")
	}
	a.Input.Edge = length(answer("edge", known.setting("edge")))
	a.Input.Neighbour = known.length("chord")
	a.Input.CoverHole = length(answer("cover_hole", ""))
	switch {
	case a.Input.CoverHole != 0:
	case now != "":
		a.Input.CoverHole = a.Input.Thread.Clearance().Medium // it was opened for that thread
	default:
		a.Input.CoverHole = known.length("clearance")
	}
	a.Input.HeadRoom = length(answer("head_room", ""))
	a.Input.Cover = known.length("cover")
	a.Input.GasketEdge = known.gasketEdge()
	a.Input.Head = threads.HeadKind(known.setting("head"))
	a.Input.Holes = int(known.value("count"))
	if g, err := fastening.ParseGrade(known.text("grade")); err == nil {
		a.Input.Grade = g
	}
	for _, q := range []struct {
		l    quantity.Length
		what string
	}{
		{a.Input.Edge, "edge: centre of the hole to the nearest edge"},
		{a.Input.HeadRoom, "head_room: diameter free for a head"},
		{a.Input.GasketEdge, "how near the gasket comes"},
	} {
		if q.l == 0 {
			a.Unknown = append(a.Unknown, q.what)
		}
	}
	if len(a.Missing) > 0 {
		return a, nil
	}
	a.Input.Taps, a.Input.Drills = own.Taps, own.Drills
	a.Input.Families = familiesOf(proc, filled)
	a.Result, err = fastening.Rescue(a.Input)
	return a, err
}

// familiesOf are the series of the threads that the job uses: its taps are there.
func familiesOf(proc *checklist.Procedure, filled *checklist.Filled) []threads.Series {
	var list []threads.Series
	for _, part := range filled.Fasteners {
		if t, err := threads.Parse(knownOf(proc, filled, part).text("thread")); err == nil {
			list = append(list, t.Series)
		}
	}
	return list
}

// known is what a procedure says about one of its fasteners.
type known struct {
	proc   *checklist.Procedure
	filled *checklist.Filled
	part   checklist.FilledPart
	raw    checklist.Fastener
	now    string // the thread it has got since; "" where it is the procedure's
}

func knownOf(proc *checklist.Procedure, filled *checklist.Filled, part checklist.FilledPart) known {
	k := known{proc: proc, filled: filled, part: part}
	for _, f := range proc.Fasteners {
		if f.Name == part.Name {
			k.raw = f
		}
	}
	return k
}

func (k known) text(figure string) string {
	if figure == "thread" && k.now != "" {
		return k.now
	}
	f, _ := partFigure(k.part, figure)
	return f.Text
}

func (k known) value(figure string) float64 {
	f, _ := partFigure(k.part, figure)
	return f.Value
}

func (k known) length(figure string) quantity.Length { return quantity.Length(k.value(figure)) }

// setting is a key of the fastener that is no figure, with settings filled in.
func (k known) setting(key string) string {
	text := map[string]string{"edge": k.raw.Edge, "head": k.raw.Head, "joint": k.raw.Joint}[key]
	return withSettings(k.filled, text)
}

// withSettings is a text of the procedure with the settings filled in; empty
// where it holds anything that is not a setting.
func withSettings(filled *checklist.Filled, text string) string {
	for _, v := range filled.Values {
		text = strings.ReplaceAll(text, "${"+v.Name+"}", v.Text)
	}
	if strings.Contains(text, "${") {
		return ""
	}
	return strings.TrimSpace(text)
}

// joint is the seal that the fastener clamps.
func (k known) joint() (checklist.FilledPart, bool) {
	return partOf(k.filled.Seals, k.setting("joint"))
}

// gasketEdge is how far the hole's centre is from the rim of the gasket; 0
// where that is not known or the gasket runs past the holes.
func (k known) gasketEdge() quantity.Length {
	seal, ok := k.joint()
	outer, has := partFigure(seal, "outer")
	if !ok || !has {
		return 0
	}
	return max(0, k.length("circle")-quantity.Length(outer.Value)) / 2
}
