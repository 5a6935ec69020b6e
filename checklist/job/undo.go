package job

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// ErrNothingToUndo says that this device has no entry left to take back.
var ErrNothingToUndo = errors.New("nothing to undo: no entry made on this device still stands")

// Undo takes back the last entry made on this device that still stands, and
// says in Saved.Said which. Undoing again takes back the one before it.
func (j *Job) Undo() (Saved, error) {
	return j.undo(func() ([]*folded, error) {
		if err := j.justCalled(); err != nil {
			return nil, err
		}
		if e := j.view().last; e != nil {
			return []*folded{e}, nil
		}
		return nil, ErrNothingToUndo
	})
}

// LastEntry is what Undo would take back now, in words ("tick of cold by Ana"),
// and its step; both are empty where there is nothing.
func (j *Job) LastEntry() (what, step string) {
	if e := j.view().last; e != nil {
		return e.named(), e.Step
	}
	return "", ""
}

// LastOn is the last entry on a step that still stands, whoever made it, in words and
// by its id; both are empty where there is none. That is what an undo on the step
// offers.
func (j *Job) LastOn(step string) (what, id string) {
	entries := j.view().fold.entries
	for i := len(entries) - 1; i >= 0; i-- {
		if e := &entries[i]; e.Step == step && e.live() && !e.replaced && e.undoable() {
			return e.named(), e.ID
		}
	}
	return "", ""
}

// lastEntry is the last of this device's entries that can be taken back. The
// writer's lock is held.
func (j *Job) lastEntry(f *fold) (last *folded, called string) {
	for i := len(f.entries) - 1; i >= 0; i-- {
		e := &f.entries[i]
		if !j.ownEntry(e.record) {
			continue
		}
		if e.live() && e.undoable() {
			return e, called
		}
		if e.Kind == KindCall && called == "" {
			called = e.Value
		}
	}
	return nil, called
}

// justCalled keeps Undo from taking back what was done before a called job was
// started, where its start is meant.
func (j *Job) justCalled() error {
	last := j.view().lastCall
	if last == "" {
		return nil
	}
	for _, c := range j.State().Called {
		if c.Job == last && c.Open && c.Done == 0 && c.Problem == "" {
			return &RefusedError{c.Title, []string{"it was the last thing started here: call it off where it is open, or name the entry that is to be undone"}}
		}
	}
	return nil
}

func (e *Entry) undoable() bool {
	switch e.Kind {
	case KindTick, KindSkip, KindRelease, KindMeasure, KindNote, KindAccept:
		return e.understood()
	case KindDanger: // it is solved by name, with a reason
		return false
	}
	return e.understood() && judged(e.Kind)
}

// UndoEntry takes back the entry with that id, whoever made it; taking back an
// undo restores what it undid.
func (j *Job) UndoEntry(id string) (Saved, error) {
	return j.undo(func() ([]*folded, error) {
		entries := j.view().fold.entries
		for i := range entries {
			e := &entries[i]
			if e.ID != id {
				continue
			}
			if !e.undoable() && e.Kind != KindRetract {
				return nil, fmt.Errorf("entry %s cannot be undone", Plain(id))
			}
			if !e.live() {
				return nil, fmt.Errorf("entry %s was undone already by %s (%s); undo that to have it back", Plain(id), e.retractedBy.By, e.retractedBy.ID)
			}
			return []*folded{e}, nil
		}
		return nil, fmt.Errorf("there is no entry %s in this job (\"fettle job log\" shows their names)", Plain(id))
	})
}

// UndoStep takes back every tick and skip of a step that can be seen here.
func (j *Job) UndoStep(step string) (Saved, error) {
	return j.undo(func() ([]*folded, error) {
		if _, err := j.step(step); err != nil {
			return nil, err
		}
		s := j.State().Steps[step]
		marks := ids(append(slices.Clone(s.Ticks), s.Skips...))
		if len(marks) == 0 {
			return nil, &BlockedError{step, []string{"it is neither done nor left out"}}
		}
		return j.entriesOf(marks), nil
	})
}

func (j *Job) entriesOf(ids []string) (list []*folded) {
	entries := j.view().fold.entries
	for i := range entries {
		if slices.Contains(ids, entries[i].ID) {
			list = append(list, &entries[i])
		}
	}
	return list
}

// undo takes back the entries that find names.
func (j *Job) undo(find func() ([]*folded, error)) (Saved, error) {
	said := ""
	saved, err := j.saveBy(func(by string) (Entry, error) {
		list, err := find()
		if err != nil {
			return Entry{}, err
		}
		for _, e := range list {
			if e.Kind == KindRun && j.view().fold.tested[e.ID] && j.keeps(RuleRunStays) {
				return Entry{}, &RefusedError{"test", []string{"what was entered in it stands: give its result, or undo that first"}}
			}
		}
		what := list[0]
		targets := make([]string, len(list))
		words := make([]string, len(list))
		for i, e := range list {
			targets[i], words[i] = e.ID, e.named()
		}
		said = "Undone: "
		if what.Kind == KindRetract {
			said = "Brought back: "
			words = nil
			for _, e := range j.entriesOf(what.Retracts) {
				words = append(words, e.named())
			}
		}
		said += strings.Join(words, "; ") + "."
		return Entry{Kind: KindRetract, By: by, Step: what.Step, Reading: what.Reading, Text: what.Kind, Retracts: limited(targets)}, nil
	})
	return saved.saying(said), err
}
