package job

import (
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
)

// What is put right after it was done: a step is opened again, an answer of the
// start is another one, two entries made apart are settled, a finished job is put
// away. Each is an entry, and an undo takes it back.

// What a settle entry is about, beside the steps.
const (
	settleClock  = "clock"
	settleDanger = "danger"
)

// Reopen opens a done step again, with the reason. What works on the same parts and
// rests on it is opened with it, and every hold that rests on it has to be released
// anew.
func (j *Job) Reopen(step, why string) (Saved, error) {
	said := ""
	saved, err := j.saveBy(func(by string) (Entry, error) {
		f, err := j.step(step)
		if err != nil {
			return Entry{}, err
		}
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		state := j.State()
		if s := state.Steps[step]; len(s.Ticks)+len(s.Skips) == 0 {
			return Entry{}, &BlockedError{step, []string{"it is neither done nor left out, so there is nothing to open again"}}
		}
		// Those too on which nothing stands yet: on another device something may.
		opens := append([]string{step}, j.resting(f)...)
		said = "Open again: " + strings.Join(state.worked(opens), ", ") + "."
		return Entry{Kind: KindReopen, By: by, Step: step, Text: why, Opens: limited(opens)}, nil
	})
	return saved.saying(said), err
}

// worked are those of some steps on which something stands.
func (s *State) worked(steps []string) []string {
	return slices.DeleteFunc(slices.Clone(steps), func(id string) bool {
		at := s.Steps[id]
		return len(at.Ticks)+len(at.Skips)+len(at.Releases)+len(at.Readings) == 0 && at.Begun == nil
	})
}

// resting are the steps that have to be done again with one: those that rest on it
// and work on its parts, close an opening, are held, or wait or test anywhere after
// such a one.
func (j *Job) resting(step *checklist.FilledStep) []string {
	filled := j.Filled()
	rests, after := map[string]bool{step.ID: true}, map[string]bool{step.ID: true}
	var list []string
	for _, s := range filled.Steps() {
		if s.ID == step.ID || !slices.ContainsFunc(s.Needs, func(id string) bool { return rests[id] }) {
			continue
		}
		rests[s.ID] = true
		shares := slices.ContainsFunc(s.Uses, func(name string) bool { return slices.Contains(step.Uses, name) })
		again := slices.ContainsFunc(s.Needs, func(id string) bool { return after[id] })
		hit := s.Closes != "" || s.Hold != ""
		switch s.Kind {
		case "dry-fit", "seal", "tighten", "inspect", "make":
			hit = hit || shares
		case "wait", "test":
			hit = hit || shares || again
		}
		if after[s.ID] = hit || again; hit {
			list = append(list, s.ID)
		}
	}
	return list
}

// settings are the answers of the start, with what was put right since.
func (j *Job) settings(f *fold) map[string]string {
	if len(f.judged[KindAnswer]) == 0 {
		return j.header.Settings
	}
	settings := maps.Clone(j.header.Settings)
	if settings == nil {
		settings = map[string]string{}
	}
	for _, rec := range f.judged[KindAnswer] {
		if rec.Reading != engineAnswer && j.proc.CheckValue(rec.Reading, rec.Value) == nil {
			settings[rec.Reading] = rec.Value
		}
	}
	return settings
}

// engineAnswer is the name under which the engine itself is put right; no setting
// bears it as its own word for something else, or that one goes before.
const engineAnswer = "engine"

// Answer puts an answer of the start right, with the reason. The steps whose text,
// limits or parts are others by it are opened again.
func (j *Job) Answer(name, value, why string) (Saved, error) {
	said := ""
	saved, err := j.saveBy(func(by string) (Entry, error) {
		value := strings.Join(strings.Fields(value), " ")
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		if value == "" || len(value) > maxValue || Plain(value) != value {
			return Entry{}, fmt.Errorf("%s: one line of 1 to %d letters", Plain(name), maxValue)
		}
		seen := j.view()
		opens, err := j.opensBy(seen, name, value)
		if err != nil {
			return Entry{}, err
		}
		entry := Entry{Kind: KindAnswer, By: by, Reading: name, Value: value, Text: why, Opens: limited(opens)}
		for _, rec := range seen.fold.judged[KindAnswer] {
			if rec.Reading == name {
				entry.Replaces = append(entry.Replaces, rec.ID)
			}
		}
		state := j.State()
		if said = "Nothing that was done is opened again by it."; len(state.worked(opens)) > 0 {
			said = "Open again: " + strings.Join(state.worked(opens), ", ") + "."
		}
		return entry, nil
	})
	return saved.saying(said), err
}

// opensBy works out which steps that were worked on another answer changes.
func (j *Job) opensBy(seen *view, name, value string) ([]string, error) {
	var known []string
	for _, s := range j.proc.Settings {
		known = append(known, s.Name)
	}
	if !slices.Contains(known, name) {
		if name == engineAnswer {
			return nil, nil
		}
		return nil, &StepError{"answer", name, append(known, engineAnswer)}
	}
	if err := j.proc.CheckValue(name, value); err != nil {
		return nil, err
	}
	settings := maps.Clone(j.settings(seen.fold))
	if settings == nil {
		settings = map[string]string{}
	}
	settings[name] = value
	if _, found := j.proc.FillMeasured(settings, seen.measured); found.HasMistake() {
		return nil, &SettingsError{found, name}
	}
	after, _ := j.proc.Revise(seen.changed.list).FillMeasured(settings, seen.measured)
	state := j.State()
	if run := state.Test.Last(); run != nil && run.Result == "" && j.keeps(RuleFrozen) && !reflect.DeepEqual(after.Tests, seen.filled.Tests) {
		return nil, &RefusedError{"answer", []string{"a test runs: what the code says stays as it is until the test has its result"}}
	}
	var opens []string
	for _, step := range seen.filled.Steps() {
		if other := after.Step(step.ID); other == nil || !sameWork(step, other) {
			opens = append(opens, step.ID)
		}
	}
	return opens, nil
}

// sameWork says whether a step asks for the same work under two answers; that its
// number or place is another is nothing.
func sameWork(a, b *checklist.FilledStep) bool {
	x, y := *a, *b
	x.Number, y.Number, x.Needs, y.Needs = 0, 0, nil, nil
	return reflect.DeepEqual(x, y)
}

// SettleClock records what time it is, by another clock than that of this device:
// a leap of its clock is none then. The device has to show that time.
func (j *Job) SettleClock(now time.Time) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		shown := j.env.Now()
		if now.Sub(shown).Abs() > nowSlack {
			return Entry{}, &RefusedError{"clock", []string{fmt.Sprintf("this device shows %s, and you say it is %s: set the device's clock first", j.wall.Show(shown, Dated), j.wall.Show(now, Dated))}}
		}
		if why := j.view().fold.times.doubtOf(shown); why == tooEarly {
			return Entry{}, &RefusedError{"clock", []string{j.view().fold.times.clockDoubt(shown)}}
		}
		return Entry{Kind: KindSettle, By: by, Reading: settleClock, Value: now.Format(time.RFC3339)}, nil
	})
}

// SettleDanger records that a danger which another job told of stands no more; by
// says so, with the reason. One found in this job ends with its reading.
func (j *Job) SettleDanger(name, by, why string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, err := j.signer(by)
		if err != nil {
			return Entry{}, fmt.Errorf("who says so: %w", err)
		}
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		var known []string
		state := j.State()
		for _, d := range state.Standing() {
			if d.From == "" || d.In != "" {
				continue
			}
			known = append(known, d.Name())
			if name == d.ID || name == d.Name() {
				return Entry{Kind: KindSettle, By: by, Reading: settleDanger, About: d.ID, Text: why}, nil
			}
		}
		if len(known) == 0 {
			return Entry{}, errors.New("no danger of another job stands here")
		}
		return Entry{}, &StepError{"danger", name, known}
	})
}

// Settle ends a difference on a step: the value of a reading that counts from now
// on, or done or open where a tick stands against an undo. reading may be empty
// where only one differs.
func (j *Job) Settle(step, reading, value string) (Saved, error) {
	if _, err := j.step(step); err != nil {
		return Saved{}, err
	}
	var names []string
	state := j.State()
	for _, c := range state.Conflicts {
		if c.Step == step && c.Reading != "" && (reading == "" || reading == c.Reading) {
			names = append(names, c.Reading)
		}
	}
	s := state.Steps[step]
	switch {
	case len(names) == 1:
		return j.Read(step, names[0], value)
	case len(names) > 1:
		return Saved{}, &StepError{"reading that differs", reading, names}
	case reading != "" || len(s.Apart) == 0 && (len(s.Ticks) == 0 || len(s.Skips) == 0):
		return Saved{}, &BlockedError{step, []string{"nothing differs here"}}
	case value == "open":
		return j.undo(func() ([]*folded, error) {
			return j.entriesOf(ids(slices.Concat(s.Apart, s.Ticks, s.Skips))), nil
		})
	case value == "done":
		return j.Tick(step)
	}
	return Saved{}, &BlockedError{step, []string{"say done or open"}}
}

// Close puts a finished job away: it stands behind the others on the list.
func (j *Job) Close(text string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		if text != "" {
			var err error
			if text, err = checkText("the remark", text); err != nil {
				return Entry{}, err
			}
		}
		j.freshCalled()
		state := j.State()
		if len(state.Closed) > 0 {
			return Entry{}, &RefusedError{j.Filled().Title, []string{"it is put away already: " + j.wall.names(state.Closed)}}
		}
		if left := state.unfinished(); len(left) > 0 && j.keeps(RuleAway) {
			return Entry{}, &RefusedError{j.Filled().Title, append(left, "so it is not finished")}
		}
		return Entry{Kind: KindClose, By: by, Text: text}, nil
	})
}

// Unsettled says what is open although every step is done: findings, things inside,
// what differs, and what stands on the engine.
func (s *State) Unsettled() []string {
	var list []string
	if s.Done+s.Skipped < s.Total {
		return nil
	}
	list = s.unfinished()
	for _, d := range s.Standing() {
		list = append(list, "standing danger: "+d.String())
	}
	return list
}

// unfinished says what keeps a job from being put away.
func (s *State) unfinished() []string {
	left := s.left()
	for _, c := range s.Conflicts {
		if c.Holds {
			left = append(left, "it has to be settled: "+c.Text)
		}
	}
	return left
}

// judgeClosed decides whether a job counts as put away: work that is open again
// brings it back.
func (j *Job) judgeClosed(state *State, seen *view) {
	if recs := seen.fold.judged[KindClose]; len(recs) > 0 && (len(state.unfinished()) == 0 || !j.keeps(RuleAway)) {
		state.Closed = marks(recs)
	}
}
