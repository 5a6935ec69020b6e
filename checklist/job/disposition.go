package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettle/checklist"
	"fettle/checklist/workshop"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
)

// Decision is what is done about a finding, in the words of ISO 9000.
type Decision string

// The decisions.
const (
	AcceptIt   Decision = "accept"     // as it is, within its limits
	Rework     Decision = "rework"     // made right by doing it again
	Repair     Decision = "repair"     // made fit for use, though not as it was
	Replace    Decision = "replace"    // another part
	Concession Decision = "concession" // left as it is, outside its limits, allowed by a named person
)

// Decisions lists the decisions.
func Decisions() []Decision { return []Decision{AcceptIt, Rework, Repair, Replace, Concession} }

func validDecision(d Decision) bool { return slices.Contains(Decisions(), d) }

// NewDisposition decides about a finding. What is not changed stays empty.
type NewDisposition struct {
	Decision Decision
	Text     string
	Allowed  string // who allowed it; needed for a concession

	// Thread, Length, Head and Grade are what goes into the place of the one
	// fastener from now on.
	Thread, Length, Head, Grade string
	// Boiler says whether the tapped part belongs to the boiler itself (bush,
	// shell, tubeplate) and not to a fitting: yes, no, or empty for not known,
	// which counts as yes.
	Boiler string
}

// Disposition is a decision about a finding.
type Disposition struct {
	Mark
	Decision Decision
	Allowed  string
	Data     map[string]string // thread, length, head, grade, boiler
	Steps    []string          // ids of the steps it brought in and that stand
	Reopened []string          // ids of the steps that are open again
	Idle     []IdleStep        // steps it brought in that a later decision about the same hole made idle
	Later    int               // number of the finding whose decision that was; 0 for none
}

// IdleStep is a step that a decision brought in and that nobody has to do any
// more. What was ticked on it stays in the history, and counts again if the
// later decision is taken back.
type IdleStep struct {
	ID, Title string
	Ticks     []Mark
}

func dispositionOf(rec *record) Disposition {
	return Disposition{Mark: mark(rec), Decision: Decision(rec.Value), Allowed: rec.Data["allowed"], Data: rec.Data}
}

// Dispose decides about a finding. A thread that the rescue advice stops at, or
// that does not hold in the measured hole, is a *RefusedError.
func (j *Job) Dispose(finding string, d NewDisposition) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		f, err := j.Finding(finding)
		if err != nil {
			return Entry{}, err
		}
		answers, err := j.checkDisposition(f, &d)
		if err != nil {
			return Entry{}, err
		}
		var replaces []string
		if f.Disposition != nil {
			replaces = append(replaces, f.Disposition.ID)
		}
		for _, other := range f.Others {
			replaces = append(replaces, other.ID)
		}
		return Entry{Kind: KindDispose, By: by, Step: f.Step, About: f.ID, Value: string(d.Decision), Text: d.Text, Data: answers, Replaces: limited(replaces)}, nil
	})
}

func (j *Job) checkDisposition(f *Finding, d *NewDisposition) (map[string]string, error) {
	var err error
	if !validDecision(d.Decision) {
		var words []string
		for _, known := range Decisions() {
			words = append(words, string(known))
		}
		return nil, fmt.Errorf("%q is no disposition; there are: %s", Plain(string(d.Decision)), strings.Join(words, ", "))
	}
	if d.Text, err = checkText("what is decided", d.Text); err != nil {
		return nil, err
	}
	if d.Allowed != "" {
		if d.Allowed, err = j.signer(d.Allowed); err != nil {
			return nil, fmt.Errorf("who allows it: %w", err)
		}
	} else if d.Decision == Concession {
		return nil, errors.New("a concession names who allowed it")
	}
	if d.Decision == Concession && strings.EqualFold(d.Allowed, j.Person()) && j.keeps(RuleConcessionOther) {
		return nil, &RefusedError{f.Where(), []string{d.Allowed + " is working on the job; a concession is allowed by somebody else"}}
	}
	if d.Decision == AcceptIt && f.Structure && j.keeps(RuleStructure) {
		return nil, &RefusedError{f.Where(), []string{"a leak of the structure is not left as it is: it is made good, or the inspector allows it by name"}}
	}
	if d.Decision == AcceptIt {
		if why := j.unsoundHole(j.view().base, f, j.view().changed.now(f).Thread); why != "" {
			return nil, &RefusedError{f.Where(), []string{why + ": save it, or let it be by a concession that names who allowed it"}}
		}
	}
	switch d.Boiler {
	case "", "yes", "no":
	default:
		return nil, fmt.Errorf("whether the boiler itself is worked on: yes or no, not %q", Plain(d.Boiler))
	}
	changes := d.Thread != "" || d.Length != "" || d.Head != "" || d.Grade != ""
	if changes && f.Fastener == "" {
		return nil, errors.New("the finding is on no fastener, so none can become another")
	}
	if changes && (d.Decision == AcceptIt || d.Decision == Concession) {
		return nil, fmt.Errorf("%s leaves things as they are; another fastener is a repair or a replacement", d.Decision)
	}
	if d.Grade != "" {
		if _, err := fastening.ParseGrade(d.Grade); err != nil {
			return nil, err
		}
	}
	if d.Head != "" && !slices.Contains([]threads.HeadKind{threads.HexHead, threads.SocketHead, threads.CountersunkHead, threads.CheeseHead}, threads.HeadKind(d.Head)) {
		return nil, fmt.Errorf("%q is no head; there are: hex, socket, countersunk, cheese", Plain(d.Head))
	}
	if d.Thread != "" {
		t, err := threads.Parse(d.Thread)
		if err != nil {
			return nil, err
		}
		d.Thread = t.String()
		if err := j.checkRescue(f, t); err != nil {
			return nil, err
		}
	}
	return data(map[string]string{"allowed": d.Allowed, "thread": d.Thread, "length": d.Length, "head": d.Head, "grade": d.Grade, "boiler": d.Boiler})
}

// unsoundHole says why a damaged hole cannot be accepted as it is; "" where it
// can: its own thread, cleaned, still holds in it as measured. now is the thread that
// the hole has got since, or "".
func (j *Job) unsoundHole(base *checklist.Filled, f *Finding, now string) string {
	if f.What != DamagedHole || !j.keeps(RuleUnsound) {
		return ""
	}
	advice, err := advise(j.proc, base, f, now, workshop.Tools{})
	if err != nil || len(advice.Missing) > 0 {
		return "what is left of the thread is not known"
	}
	for _, o := range advice.Result.Options {
		if o.Kind == fastening.Chase && o.Verdict != check.Stop {
			return ""
		}
	}
	return fmt.Sprintf("%s no longer holds in a hole of %s", advice.Input.Thread, advice.Input.Hole)
}

// checkRescue refuses a thread that the rescue advice does not offer.
func (j *Job) checkRescue(f *Finding, t threads.Thread) error {
	if f.What != DamagedHole || !j.keeps(RuleRescue) {
		return nil
	}
	advice, err := j.Advise(f, workshop.Tools{})
	if err != nil {
		return err
	}
	if len(advice.Missing) > 0 {
		return &RefusedError{f.Where(), []string{"measure it first; missing: " + strings.Join(advice.Missing, "; ")}}
	}
	var offered []string
	for _, o := range advice.Result.Options {
		if o.Kind != fastening.NextSize && o.Kind != fastening.Chase && o.Kind != fastening.Longer {
			continue
		}
		if o.Thread == t {
			if o.Verdict == check.Stop {
				return &RefusedError{f.Where(), stops(o)}
			}
			return nil
		}
		if o.Verdict != check.Stop && !slices.Contains(offered, o.Thread.String()) {
			offered = append(offered, o.Thread.String())
		}
	}
	return &RefusedError{f.Where(), []string{fmt.Sprintf("%s does not hold in a hole of %s; what does: %s", t, advice.Input.Hole, strings.Join(offered, ", "))}}
}

func stops(o fastening.Option) []string {
	var list []string
	for _, c := range o.Consequences {
		if c.Severity == check.Stop {
			list = append(list, c.Message)
		}
	}
	return list
}

// changes are what the dispositions that stand do to the procedure.
type changes struct {
	list     []checklist.Change
	entries  []string            // ids of the dispositions, one for each of list
	findings []string            // ids of their findings, one for each of list
	figures  []string            // ids of the figures that were added to findings
	holes    []hole              // what they work on, one for each of list
	gone     []idled             // what a later decision took from them, one for each of list
	touch    map[string][]string // by step: what it has to answer for: decisions, reopenings, answers, tests
	runs     map[string]bool     // which of those are tests
}

// asked is what the entries of a step have to answer for.
func (c *changes) asked(step string) []string { return c.touch[step] }

// parts is what of a list of such entries is about parts, not about tests.
func (c *changes) parts(list []string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(id string) bool { return c.runs[id] })
}

// hole is the place of one fastener; its zero value is no place at all.
type hole struct {
	fastener string
	number   int
}

// idled are the steps of a decision that nobody has to do any more.
type idled struct {
	steps []checklist.Step
	by    string // id of the finding whose decision took their place
}

func (c *changes) same(other *changes) bool {
	return c != nil && slices.Equal(c.entries, other.entries) && slices.Equal(c.figures, other.figures)
}

// now is what the place of a finding got by the decisions before its own; empty
// where it is still the procedure's.
func (c *changes) now(f *Finding) (now checklist.Change) {
	for i, change := range c.list {
		if c.findings[i] == f.ID {
			break
		}
		if change.Fastener == f.Fastener && slices.Contains(change.Numbers, max(f.Number, 1)) {
			now = change
		}
	}
	return now
}

// decided works out the changes from what stands in the logs, in the order in
// which it was decided: of two decisions about one hole the later counts.
func (j *Job) decided(f *fold, base *checklist.Filled, found []Finding) *changes {
	proc := j.proc
	c := &changes{touch: map[string][]string{}, runs: map[string]bool{}}
	taken := map[string]bool{}
	for _, step := range proc.Stages {
		for _, s := range step.Steps {
			taken[s.ID] = true
		}
	}
	kinds := map[string]string{} // by step that came in: its name before it was made unlike all others
	findings := j.findingsOf(f, base, found)
	for _, rec := range f.judged[KindFigure] {
		c.figures = append(c.figures, rec.ID)
	}
	for _, rec := range f.judged[KindDispose] {
		i := slices.IndexFunc(findings, func(f Finding) bool { return f.Disposition != nil && f.Disposition.ID == rec.ID })
		if i < 0 {
			continue
		}
		finding := &findings[i]
		d := finding.Disposition
		if finding.Danger == "" && (d.Decision == AcceptIt || d.Decision == Concession) {
			continue
		}
		change, at := changeFor(proc, base, finding, d, c.now(finding))
		for i := range change.Steps {
			kind := change.Steps[i].ID
			for taken[change.Steps[i].ID] {
				change.Steps[i].ID += "-again"
			}
			kinds[change.Steps[i].ID] = kind
		}
		for i := range change.Steps {
			taken[change.Steps[i].ID] = true
		}
		change.Before = touched(base, finding, j.keeps(RuleClosing))
		change.After = finding.Step
		if slices.Contains(change.Before, change.After) || !allAfter(base, change.Before, change.After) {
			change.After = "" // before the first that is done again
		}
		if change.Fastener != "" { // metal is cut
			if change.Hold = holdOver(base, finding, change.Before); change.Hold != "" {
				change.After = change.Hold
			}
		}
		was := c.now(finding).Thread
		if part, ok := partOf(base.Fasteners, finding.Fastener); ok && was == "" {
			f, _ := partFigure(part, "thread")
			was = f.Text
		}
		c.supersede(finding, &change, at, was, kinds)
		c.list = append(c.list, change)
		c.entries = append(c.entries, d.ID)
		c.findings = append(c.findings, finding.ID)
		c.holes = append(c.holes, at)
		c.gone = append(c.gone, idled{})
	}
	for i, change := range c.list {
		if !j.keeps(RuleDecided) {
			break
		}
		for _, id := range change.Before {
			c.touch[id] = append(c.touch[id], c.entries[i])
		}
		for _, s := range change.Steps {
			c.touch[s.ID] = append(c.touch[s.ID], c.entries[i])
		}
	}
	j.openedAgain(c, f, base)
	for id := range c.touch {
		slices.Sort(c.touch[id])
	}
	return c
}

// openedAgain adds to what the steps have to answer for what opened them again: an
// entry that says so, an answer put right, and a test that begins anew. An answer that
// another took the place of opened steps all the same: who had seen neither did the
// work by the one before both.
func (j *Job) openedAgain(c *changes, f *fold, base *checklist.Filled) {
	for kind, rule := range map[string]Rule{KindReopen: RuleReopened, KindAnswer: RuleAnswers} {
		for _, rec := range f.standing(kind) {
			for _, id := range rec.Opens {
				if j.keeps(rule) {
					c.touch[id] = append(c.touch[id], rec.ID)
				}
			}
		}
	}
	if len(f.begun) == 0 || !j.keeps(RuleRunAnew) {
		return
	}
	climbing := ofTheTest(base)
	for _, rec := range f.begun {
		c.runs[rec.ID] = true
		for id := range climbing {
			c.touch[id] = append(c.touch[id], rec.ID)
		}
	}
}

// allAfter says whether none of some steps stands before another.
func allAfter(filled *checklist.Filled, ids []string, after string) bool {
	at := filled.Step(after)
	return at == nil || !slices.ContainsFunc(ids, func(id string) bool {
		step := filled.Step(id)
		return step != nil && step.Number < at.Number
	})
}

// supersede takes away the steps of earlier decisions about the same hole that a
// new one makes idle. Another thread makes all of them idle: nobody drills for
// the thread before. Where the thread stays, those go that come in anew; the
// inspector who has to know before metal is cut does not go. was is the thread
// before it.
func (c *changes) supersede(f *Finding, change *checklist.Change, at hole, was string, kinds map[string]string) {
	if at == (hole{}) {
		return
	}
	anew := map[string]bool{}
	for _, s := range change.Steps {
		anew[kinds[s.ID]] = s.Hold == ""
	}
	another := change.Thread != "" && change.Thread != was
	for i := range c.list {
		early := &c.list[i]
		if c.holes[i] != at || change.Part == "" && early.Part != "" {
			continue // to clean a thread asks for nothing that was asked for its size
		}
		var left []checklist.Step
		for _, s := range early.Steps {
			if !another && !anew[kinds[s.ID]] {
				left = append(left, s)
				continue
			}
			c.gone[i].steps, c.gone[i].by = append(c.gone[i].steps, s), f.ID
			if change.After == s.ID { // it was found there
				change.After, change.Hold = early.After, early.Hold
			}
		}
		early.Steps = left
	}
}

// holdOver is the hold at which what is made good is decided, where one comes
// after the step of the finding: no metal is cut before it is released.
func holdOver(filled *checklist.Filled, f *Finding, again []string) string {
	rests := map[string]bool{f.Step: f.Step != ""}
	for _, step := range filled.Steps() {
		if !slices.ContainsFunc(step.Needs, func(id string) bool { return rests[id] }) {
			continue
		}
		if slices.Contains(again, step.ID) {
			return "" // the part is worked on again before any such hold
		}
		if rests[step.ID] = true; step.Kind == "decide" && step.Hold != "" {
			return step.ID
		}
	}
	return ""
}

// touched lists the steps that have to be done again when a part changes: dry
// fits, seals, tightening and checks that work on the fastener or its joint, the
// step at which the finding was made if it was such a check, and whatever rests
// on those. With closing, what closes an opening is among them, and so is every hold
// that rests on what is done again: metal is cut over the opening.
func touched(filled *checklist.Filled, f *Finding, closing bool) []string {
	parts := map[string]bool{}
	if f.Fastener != "" {
		parts[f.Fastener] = true
		for _, fast := range filled.Procedure.Fasteners {
			if fast.Name == f.Fastener {
				k := known{proc: filled.Procedure, filled: filled, raw: fast}
				if joint := k.setting("joint"); joint != "" {
					parts[joint] = true
				}
			}
		}
	}
	after := map[string]bool{} // steps that rest on one that is done again
	var list []string
	for _, step := range filled.Steps() {
		uses := slices.ContainsFunc(step.Uses, func(name string) bool { return parts[name] })
		rests := slices.ContainsFunc(step.Needs, func(id string) bool { return after[id] })
		hit := false
		switch step.Kind {
		case "dry-fit", "seal", "tighten", "inspect":
			hit = uses || step.ID == f.Step
		case "test":
			hit = uses || rests || step.ID == f.Step
		case "wait":
			hit = rests
		}
		hit = hit || closing && (step.Closes != "" || step.Hold != "" && rests)
		after[step.ID] = hit || rests
		if hit {
			list = append(list, step.ID)
		}
	}
	return list
}

// changeFor turns a disposition into what it does to the procedure, and says at
// which hole; now is what that place has become before. What the disposition
// does not say stays as it is now.
func changeFor(proc *checklist.Procedure, base *checklist.Filled, f *Finding, d *Disposition, now checklist.Change) (checklist.Change, hole) {
	plain := checklist.Change{Steps: []checklist.Step{plainStep(f, d)}}
	switch {
	case f.Danger == "":
	case d.Decision == AcceptIt || d.Decision == Concession:
		return checklist.Change{Steps: []checklist.Step{dangerHold(f, d)}}, hole{}
	default:
		plain.Steps = append(plain.Steps, dangerHold(f, d))
	}
	part, ok := partOf(base.Fasteners, f.Fastener)
	t, err := threads.Parse(d.Data["thread"])
	others := d.Data["length"]+d.Data["head"]+d.Data["grade"] != ""
	if f.Fastener == "" || !ok || err != nil && !others {
		return plain, hole{}
	}
	at := hole{f.Fastener, max(f.Number, 1)}
	k := knownOf(proc, base, part)
	k.now = now.Thread
	thread := d.Data["thread"]
	if err != nil {
		thread = now.Thread
		if t, err = threads.Parse(k.text("thread")); err != nil {
			return plain, hole{}
		}
	}
	advice, _ := advise(proc, base, f, now.Thread, workshop.Tools{})
	if t.String() == k.text("thread") && !others {
		// The thread is saved and the fastener stays what it was.
		return checklist.Change{Steps: chased(k, f, d, t, advice)}, at
	}
	name := fmt.Sprintf("%s_%d", at.fastener, at.number)
	for slices.ContainsFunc(proc.Fasteners, func(f checklist.Fastener) bool { return f.Name == name }) ||
		slices.ContainsFunc(proc.Seals, func(s checklist.Seal) bool { return s.Name == name }) {
		name += "_changed"
	}
	change := checklist.Change{
		Fastener: at.fastener, Numbers: []int{at.number}, Part: name, Thread: thread,
		Length: firstOf(d.Data["length"], now.Length), Head: firstOf(d.Data["head"], now.Head), Grade: firstOf(d.Data["grade"], now.Grade),
	}
	change.Steps = consequences(k, f, d, t, change, advice)
	return change, at
}

// dangerHold is the inspector's word on what stands on the engine: no metal is
// cut, and nobody goes on by it before.
func dangerHold(f *Finding, d *Disposition) checklist.Step {
	return checklist.Step{
		ID: "danger-" + f.Name(), Kind: "decide", Hold: "inspector",
		Title: "Hold: the inspector knows of the danger",
		Do:    literal(fmt.Sprintf("Show the inspector: %s Decided: %s, %s", f.Danger, d.Decision, d.Text)),
		Why:   "Whether the engine may go on with it, the local code and the inspector decide.",
	}
}

func plainStep(f *Finding, d *Disposition) checklist.Step {
	what := strings.ToUpper(string(d.Decision)[:1]) + string(d.Decision)[1:]
	step := checklist.Step{
		ID: "after-" + f.Name(), Kind: "make",
		Title: literal(fmt.Sprintf("%s: %s", what, f.What)),
		Do:    literal(fmt.Sprintf("%s. %s (%s: %s)", what, d.Text, f.Where(), f.Text)),
		Why:   "It was found and decided during the job; what rests on it is done again.",
	}
	if f.Fastener != "" {
		step.Uses = []string{f.Fastener}
	}
	return step
}

// literal keeps text of people from being read as a ${...}.
func literal(text string) string { return strings.ReplaceAll(text, "${", "$${") }
