package job

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Short is a part, a tool or a supply that is missing.
type Short struct {
	Mark
	Step  string // that cannot be done without it; "" for none in particular
	Count int    // how many; 0 where nobody said
	Where string // where it comes from: a shop, a drawer, a person
	Got   []Mark // who brought it; empty while it is missing
}

// Open says whether it is still missing.
func (s *Short) Open() bool { return len(s.Got) == 0 }

// Key is its name on the next-visit list.
func (s *Short) Key() string { return "short-" + entryName(s.ID) }

// Tally is what is inside an opening.
type Tally struct {
	Opening string
	Inside  int            // put in less taken out; below nought: more came out than went in
	Things  map[string]int // the same, by thing
}

func (t *Tally) String() string {
	var words []string
	for _, thing := range sortedKeys(t.Things) {
		if n := t.Things[thing]; n != 0 {
			words = append(words, fmt.Sprintf("%d %s", n, thing))
		}
	}
	if t.Inside < 0 {
		return fmt.Sprintf("tally of %s: more came out than went in (%s)", t.Opening, strings.Join(words, ", "))
	}
	return fmt.Sprintf("still in %s: %s", t.Opening, strings.Join(words, ", "))
}

// Blank is a plugged or capped outlet.
type Blank struct {
	Mark
	Tag    string
	Where  string
	Fitted bool
	Stays  bool // stays on purpose, and is recorded as such
}

func (b *Blank) says() string { return fmt.Sprintf("blank %s at %s is still fitted", b.Tag, b.Where) }

// Shortage records that something is missing. step may be empty.
func (j *Job) Shortage(what, step string, count int, where string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		if step != "" {
			if _, err := j.step(step); err != nil {
				return Entry{}, err
			}
		}
		what, err := checkText("what is missing", what)
		if err != nil {
			return Entry{}, err
		}
		if count < 0 || count > maxCounted {
			return Entry{}, fmt.Errorf("how many: 1 to %d", maxCounted)
		}
		answers, err := data(map[string]string{"where": where})
		if err != nil {
			return Entry{}, err
		}
		if count > 0 {
			answers["count"] = strconv.Itoa(count)
		}
		return Entry{Kind: KindShort, By: by, Step: step, Text: what, Data: answers}, nil
	})
}

// Got ticks off something on the next-visit list: its number there, its key, or
// the words of something missing.
func (j *Job) Got(name string) (Saved, error) {
	// What a called job wants is ticked off there.
	for _, item := range j.Needs().Items {
		if item.in != nil && item.is(name) {
			saved, err := item.in.Got(item.inKey)
			j.forgetCalled()
			return saved, err
		}
	}
	return j.saveBy(func(by string) (Entry, error) {
		var known []string
		for _, item := range j.Needs().Items {
			if item.in != nil || !item.is(name) {
				known = append(known, fmt.Sprintf("%d (%s)", item.Number, item.What))
				continue
			}
			if len(item.Got) > 0 {
				return Entry{}, &RefusedError{item.What, []string{"it is there already: " + j.wall.names(item.Got)}}
			}
			return Entry{Kind: KindGot, By: by, Step: item.Step, Value: item.Key, Text: item.What, About: item.about}, nil
		}
		if len(known) == 0 {
			known = []string{"nothing"}
		}
		return Entry{}, &StepError{"thing on the list", name, known}
	})
}

// is says whether somebody means the thing by its key, number or words.
func (n *Need) is(name string) bool {
	return name == n.Key || name == strconv.Itoa(n.Number) || strings.EqualFold(name, n.What)
}

// CountIn records that things went into an opening (count above nought) or came
// out again.
func (j *Job) CountIn(opening, thing string, count int) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		if count == 0 || count < -1000 || count > 1000 {
			return Entry{}, errors.New("how many went in (+1) or came out (-1)")
		}
		thing, err := checkText("the thing", thing)
		if err != nil {
			return Entry{}, err
		}
		answers, err := data(map[string]string{"opening": strings.ToLower(opening)})
		if err != nil {
			return Entry{}, err
		}
		if answers["opening"] == "" || len(thing) > maxValue {
			return Entry{}, errors.New("name the opening and, in a few words, the thing")
		}
		return Entry{Kind: KindTally, By: by, Text: strings.ToLower(thing), Value: fmt.Sprintf("%+d", count), Data: answers}, nil
	})
}

// FitBlank records a blank: on, off, or stays, by the number on its tag.
func (j *Job) FitBlank(tag, what, where string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		answers, err := data(map[string]string{"tag": tag, "where": where})
		if err != nil {
			return Entry{}, err
		}
		if answers["tag"] == "" {
			return Entry{}, errors.New("a blank has a numbered tag: name it")
		}
		blanks := j.State().Blanks
		at := slices.IndexFunc(blanks, func(b Blank) bool { return b.Tag == answers["tag"] })
		fitted := at >= 0 && blanks[at].Fitted
		switch {
		case what != "on" && what != "off" && what != "stays":
			return Entry{}, fmt.Errorf("a blank is on, off or stays, not %q", Plain(what))
		case what == "on" && fitted:
			return Entry{}, &RefusedError{"blank " + answers["tag"], []string{"it is fitted already at " + blanks[at].Where}}
		case what == "on" && answers["where"] == "":
			return Entry{}, errors.New("say where the blank is")
		case what != "on" && !fitted:
			return Entry{}, &RefusedError{"blank " + answers["tag"], []string{"no blank with that tag is fitted"}}
		}
		if what != "on" && answers["where"] == "" {
			answers["where"] = blanks[at].Where
		}
		return Entry{Kind: KindBlank, By: by, Value: what, Data: answers}, nil
	})
}

// judge puts the job's judgement into its state.
func (j *Job) judge(state *State, seen *view) {
	f := seen.fold
	state.Findings = j.findingsOf(f, seen.base, seen.found)
	for i := range state.Findings {
		finding := &state.Findings[i]
		if finding.Unsettled {
			words := []string{finding.Disposition.By + ": " + string(finding.Disposition.Decision)}
			for _, other := range finding.Others {
				words = append(words, other.By+": "+string(other.Decision))
			}
			state.Conflicts = append(state.Conflicts, Conflict{finding.Step, "", fmt.Sprintf("finding %d is decided twice: %s. It counts as open", finding.Order, strings.Join(words, ", ")), true})
		}
		for k, id := range seen.changed.findings {
			if id != finding.ID || finding.Disposition == nil {
				continue
			}
			for _, s := range seen.changed.list[k].Steps {
				finding.Disposition.Steps = append(finding.Disposition.Steps, s.ID)
			}
			finding.Disposition.Reopened = seen.changed.list[k].Before
			for _, s := range seen.changed.gone[k].steps {
				idle := IdleStep{ID: s.ID, Title: s.Title}
				if on := f.steps[s.ID]; on != nil {
					idle.Ticks = marks(on.ticks)
				}
				finding.Disposition.Idle = append(finding.Disposition.Idle, idle)
			}
			finding.Disposition.Later = 1 + slices.IndexFunc(state.Findings, func(other Finding) bool { return other.ID == seen.changed.gone[k].by })
		}
	}
	got := map[string][]Mark{}
	for _, rec := range f.judged[KindGot] {
		got[rec.Value] = append(got[rec.Value], mark(rec))
	}
	for _, rec := range f.judged[KindShort] {
		count, _ := strconv.Atoi(rec.Data["count"])
		s := Short{Mark: mark(rec), Step: rec.Step, Count: max(0, min(count, 10_000)), Where: rec.Data["where"]}
		s.Got = got[s.Key()]
		state.Short = append(state.Short, s)
	}
	tallies := map[string]*Tally{}
	for _, rec := range f.judged[KindTally] {
		n, err := strconv.Atoi(rec.Value)
		opening := rec.Data["opening"]
		if err != nil || n < -1000 || n > 1000 || opening == "" {
			continue
		}
		if tallies[opening] == nil {
			tallies[opening] = &Tally{Opening: opening, Things: map[string]int{}}
		}
		tallies[opening].Things[rec.Text] += n
	}
	for _, opening := range sortedKeys(tallies) {
		t := tallies[opening]
		// A rag too many must not make up for a tool too few.
		for _, n := range t.Things {
			if n < 0 {
				t.Inside = -1
				break
			}
			t.Inside += n
		}
		state.Tallies = append(state.Tallies, *t)
	}
	state.Blanks = j.blanksOf(f)
	state.Test = j.testSheetOf(seen, state.Findings)
	for _, v := range state.Test.Values {
		if v.Differ {
			state.Conflicts = append(state.Conflicts, Conflict{"", v.Name, fmt.Sprintf("the test sheet's line %s was written differently by two people; what counts, the last in the job's order, is %s by %s", v.Label, v.Value, v.By), v.Differ && j.keeps(RuleSheetOnce) && slices.Contains(codeLines(), v.Name)})
		}
	}
}

// blanksOf is the register of blanks. Of entries made apart about one blank, that
// it is on counts before that it is off.
func (j *Job) blanksOf(f *fold) []Blank {
	by := map[string][]*record{}
	var tags []string
	for _, rec := range f.judged[KindBlank] {
		tag := rec.Data["tag"]
		if by[tag] == nil {
			tags = append(tags, tag)
		}
		by[tag] = append(by[tag], rec)
	}
	var list []Blank
	for _, tag := range tags {
		recs := by[tag]
		last := recs[len(recs)-1]
		if j.keeps(RuleBlankOn) {
			for _, rec := range f.headsOf(recs) {
				if rec.Value == "on" {
					last = rec
				}
			}
		}
		b := Blank{Mark: mark(last), Tag: tag, Fitted: last.Value != "off", Stays: last.Value == "stays"}
		for _, rec := range recs {
			b.Where = firstOf(rec.Data["where"], b.Where)
		}
		list = append(list, b)
	}
	return list
}

// worked says whether somebody made entries of the work itself.
func (f *fold) worked(name string) bool {
	return slices.ContainsFunc(f.entries, func(e folded) bool { return e.works(name) })
}

// works says whether an entry is work that somebody did.
func (e *Entry) works(name string) bool {
	switch e.Kind {
	case KindTick, KindSkip, KindMeasure, KindStart:
		return strings.EqualFold(e.By, name)
	}
	return false
}
