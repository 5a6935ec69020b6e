package job

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"fettle/checklist"
)

// StepError says that a step or a reading is not in this job.
type StepError struct {
	What, Name string
	Known      []string
}

func (e *StepError) Error() string {
	return fmt.Sprintf("there is no %s %q here (there are: %s)", e.What, Plain(e.Name), strings.Join(e.Known, ", "))
}

// BlockedError says why something cannot be done to a step now.
type BlockedError struct {
	Step   string
	Blocks []string
}

func (e *BlockedError) Error() string {
	return "step " + Plain(e.Step) + ": " + strings.Join(e.Blocks, "; ")
}

// step finds a step that applies.
func (j *Job) step(id string) (*checklist.FilledStep, error) {
	filled := j.Filled()
	if step := filled.Step(id); step != nil {
		return step, nil
	}
	for _, left := range filled.LeftOut {
		if left.ID == id {
			return nil, &BlockedError{id, []string{"it does not apply to this job: " + left.Because}}
		}
	}
	var known []string
	for _, step := range filled.Steps() {
		known = append(known, step.ID)
	}
	return nil, &StepError{"step", id, known}
}

// workOn is who works and the step that is worked on.
func (j *Job) workOn(id string) (by string, step *checklist.FilledStep, err error) {
	if by, err = j.worker(); err == nil {
		step, err = j.step(id)
	}
	return by, step, err
}

// Tick marks a step as done. A *BlockedError says why it cannot be done yet. A
// reading outside its limits that is no stop is said in Saved.Said, and the
// entry keeps it.
func (j *Job) Tick(step string) (Saved, error) {
	said := ""
	saved, err := j.save(func() (Entry, error) {
		by, f, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		j.freshCalled()
		state := j.State()
		s := state.Steps[step]
		if s.Status == Skipped { // it may be done after all, where nothing stands before it
			s.Gates = j.gating(&state, j.view(), j.env.Now()).gates(&s, f)
		}
		if blocks := s.tickBlocks(j.wall); len(blocks) > 0 {
			return Entry{}, &BlockedError{step, blocks}
		}
		entry := Entry{Kind: KindTick, By: by, Step: step, Replaces: ids(slices.Concat(s.Skips, s.Apart))}
		if len(s.Outside) > 0 {
			list := strings.Join(s.Outside, "; ")
			entry.Data = map[string]string{outsideKey: list}
			said = "Done although outside limits: " + list + "."
		}
		for _, c := range state.Conflicts {
			if c.Step == step && c.Reading != "" {
				said = strings.TrimSpace(said + " Two readings differ: " + c.Text + ".")
			}
		}
		return entry, nil
	})
	return saved.saying(said), err
}

// outsideKey holds what lay outside its limits when a step was ticked.
const outsideKey = "outside"

// tickBlocks says why a step cannot be ticked.
func (s *StepState) tickBlocks(w Wall) []string {
	if len(s.Ticks) > 0 && len(s.Skips)+len(s.Apart) == 0 {
		return []string{"it is done already: " + w.names(s.Ticks)}
	}
	var blocks []string
	for _, g := range s.Gates {
		if len(g.Passed) == 0 && !g.Soft && !s.settledBy(&g) {
			blocks = append(blocks, g.Text)
		}
	}
	return append(blocks, s.Missing...)
}

// settledBy says whether a gate stands for what differs on a step and is settled by
// another tick, or another release, of somebody who sees both.
func (s *StepState) settledBy(g *Gate) bool {
	return g.Name == GateApart && slices.ContainsFunc(s.byTick, func(text string) bool { return strings.HasSuffix(g.Text, text) })
}

// Skip leaves a step out, with the reason. A hold point is released, not skipped.
func (j *Job) Skip(step, why string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, _, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		why, err := checkText("the reason", why)
		if err != nil {
			return Entry{}, err
		}
		j.freshCalled()
		s := j.State().Steps[step]
		switch {
		case len(s.Ticks) > 0 && len(s.Skips) == 0:
			return Entry{}, &BlockedError{step, []string{"it is done already: " + j.wall.names(s.Ticks) + ". Undo that first"}}
		case len(s.Skips) > 0 && len(s.Ticks) == 0:
			return Entry{}, &BlockedError{step, []string{"it is left out already: " + j.wall.names(s.Skips)}}
		case s.KeepIn != "":
			return Entry{}, &BlockedError{step, []string{s.KeepIn}}
		}
		return Entry{Kind: KindSkip, By: by, Step: step, Text: why, Replaces: ids(s.Ticks)}, nil
	})
}

// Read records a reading of a step. The value is stored as it was typed. The
// error says that it is no reading of its unit; whether it is within its limits
// is for [checklist.FilledReading.Judge], and an outside value is kept too.
func (j *Job) Read(step, reading, value string) (Saved, error) {
	return j.save(func() (Entry, error) {
		by, f, err := j.workOn(step)
		if err != nil {
			return Entry{}, err
		}
		var r *checklist.FilledReading
		var known []string
		for i := range f.Readings {
			known = append(known, f.Readings[i].Name)
			if f.Readings[i].Name == reading {
				r = &f.Readings[i]
			}
		}
		if r == nil {
			if len(known) == 0 {
				return Entry{}, &BlockedError{step, []string{"it asks for no reading"}}
			}
			return Entry{}, &StepError{"reading", reading, known}
		}
		value = strings.TrimSpace(value)
		if len(value) > maxValue || Plain(value) != value {
			return Entry{}, fmt.Errorf("a reading is one line of at most %d characters", maxValue)
		}
		if err := r.CheckUnit(value); err != nil {
			return Entry{}, err
		}
		judged, err := r.Judge(value)
		if err != nil {
			return Entry{}, err
		}
		if j.keeps(RuleKindBounds) {
			if err := j.canBe(r, value, judged); err != nil {
				return Entry{}, fmt.Errorf("%s: %w", r.Name, err)
			}
		}
		var photos []string
		if r.Kind == "photo" {
			if photos, err = j.keepPhotos([]string{value}); err != nil {
				return Entry{}, err
			}
			value = photos[0]
		}
		var replaces []string
		for _, v := range j.State().Steps[step].Readings[reading] {
			replaces = append(replaces, v.ID)
		}
		return Entry{Kind: KindMeasure, By: by, Step: step, Reading: reading, Value: value, Unit: r.Unit, Photos: photos, Replaces: limited(replaces)}, nil
	})
}

// canBe refuses what no instrument can show: less than nought of what is there or
// not, and a figure that leaves others without an answer.
func (j *Job) canBe(r *checklist.FilledReading, value string, judged checklist.Judgement) error {
	if err := r.CanBe(value); err != nil {
		return err
	}
	if r.Sets == "" {
		return nil
	}
	seen := j.view()
	settings := j.settings(seen.fold)
	others := maps.Clone(seen.measured)
	delete(others, r.Sets)
	if _, found := j.proc.FillMeasured(settings, others); found.HasMistake() {
		return nil // the rest is at fault already
	}
	with := maps.Clone(others)
	if with == nil {
		with = map[string]string{}
	}
	value = r.Taken(value)
	if with[r.Sets] = withUnit(value, r.Unit); j.proc.CheckValue(r.Sets, with[r.Sets]) != nil {
		with[r.Sets] = value
	}
	if err := j.proc.CheckValue(r.Sets, with[r.Sets]); err != nil {
		return err
	}
	if _, found := j.proc.FillMeasured(settings, with); found.HasMistake() {
		return fmt.Errorf("%s cannot be: %s Measure again", judged.Text, strings.Join(unfit(found), " "))
	}
	return nil
}

// Note records a remark on a step, or on the job where step is empty. Photos are
// files that are copied into the job first.
func (j *Job) Note(step, text string, photos ...string) (Saved, error) {
	return j.saveBy(func(by string) (Entry, error) {
		if step != "" {
			if _, err := j.step(step); err != nil {
				return Entry{}, err
			}
		}
		text, err := checkText("the note", text)
		if err != nil {
			return Entry{}, err
		}
		kept, err := j.keepPhotos(photos)
		if err != nil {
			return Entry{}, err
		}
		return Entry{Kind: KindNote, By: by, Step: step, Text: text, Photos: kept}, nil
	})
}

// checkText trims what a person wrote and says what is wrong with it.
func checkText(what, text string) (string, error) {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return "", fmt.Errorf("%s is empty", what)
	case len(text) > maxText:
		return "", fmt.Errorf("%s is longer than %d KiB", what, maxText>>10)
	case !utf8.ValidString(text):
		return "", fmt.Errorf("%s is not text (UTF-8)", what)
	}
	return text, nil
}

func ids(marks []Mark) []string {
	var list []string
	for _, m := range marks {
		list = append(list, m.ID)
	}
	return limited(list)
}

// limited keeps a list of ids within what a line may hold. What falls off the
// end stays visible and can be settled by another entry.
func limited(list []string) []string { return list[:min(len(list), maxTargets)] }

// names are who made the marks, and when.
func (w Wall) names(marks []Mark) string {
	list := make([]string, len(marks))
	for i, m := range marks {
		list[i] = m.By
		if !m.At.IsZero() {
			list[i] += ", " + w.Show(m.At, Dated)
		}
		if m.Text != "" {
			list[i] += " (" + m.Text + ")"
		}
		if m.Self {
			list[i] += ", " + selfWords
		}
	}
	return strings.Join(list, " and ")
}
