package job

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"fettle/checklist"
)

// Event is an entry as a person reads it, and what became of it.
type Event struct {
	Entry
	At       time.Time // by the clock of its device; zero where unreadable
	Says     string    // the entry in words, without who and when
	Outside  string    // a reading outside its limits as they are now: by how much; empty where it is within
	UndoneBy string    // who took it back, and with which entry; empty while it stands
	Replaced bool      // a later entry stands in its place
	when     string
	Newer    bool // made by a newer version and not understood here
}

// Log lists all entries in the job's order: what every device agrees on, which
// need not be the order of their clocks.
func (j *Job) Log() []Event {
	seen := j.view()
	entries := seen.fold.entries
	events := make([]Event, len(entries))
	for i := range entries {
		e := &entries[i]
		events[i] = Event{Entry: e.Entry, At: j.wall.In(e.Entry.At()), when: j.wall.Show(e.Entry.At(), "2006-01-02 15:04"), Says: e.says(), Replaced: e.replaced, Newer: !e.understood()}
		if e.Kind == KindMeasure {
			events[i].Outside = outsideOf(seen.filled, &e.Entry)
		}
		if !e.live() {
			events[i].UndoneBy = e.retractedBy.By + " (" + e.retractedBy.ID + ")"
		}
	}
	return events
}

// WriteText writes the event as a person reads it, in two or three lines.
func (e Event) WriteText(w io.Writer) {
	at := "time unknown"
	if !e.At.IsZero() {
		at = e.when
	}
	fmt.Fprintf(w, "%s %s (%s)\n  %s\n", at, somebody(e.By), e.ID, e.Says)
	if e.Outside != "" {
		fmt.Fprintf(w, "  OUTSIDE LIMITS: %s\n", e.Outside)
	}
	switch {
	case e.Newer:
		fmt.Fprintln(w, "  made by a newer version, not understood here")
	case e.UndoneBy != "":
		fmt.Fprintf(w, "  undone by %s\n", e.UndoneBy)
	case e.Replaced:
		fmt.Fprintln(w, "  replaced later")
	}
}

// outsideOf judges a reading that stands in a log.
func outsideOf(filled *checklist.Filled, e *Entry) string {
	step := filled.Step(e.Step)
	if step == nil {
		return ""
	}
	for _, r := range step.Readings {
		if r.Name != e.Reading {
			continue
		}
		if judged, err := r.Judge(e.Value); err == nil && !judged.OK {
			return judged.Text
		}
	}
	return ""
}

// Filter chooses events; an empty field chooses all.
type Filter struct {
	Step, Person string
	From, To     time.Time // To is the first moment that no longer counts
}

// Pick keeps the events that a filter chooses. An event whose time cannot be
// read is kept out when dates are asked for.
func (f Filter) Pick(events []Event) []Event {
	return slices.DeleteFunc(slices.Clone(events), func(e Event) bool {
		switch {
		case f.Step != "" && e.Step != f.Step,
			f.Person != "" && !strings.EqualFold(e.By, f.Person),
			!f.From.IsZero() && e.At.Before(f.From),
			!f.To.IsZero() && (e.At.IsZero() || !e.At.Before(f.To)):
			return true
		}
		return false
	})
}

// says puts an entry into words.
func (e *Entry) says() string {
	var parts []string
	add := func(words ...string) {
		for _, w := range words {
			if w != "" {
				parts = append(parts, w)
			}
		}
	}
	switch e.Kind {
	case KindStart:
		add("started:", e.Text)
	case KindTick:
		add("done:", e.Step)
		if list := e.Data[outsideKey]; list != "" {
			add("- although outside limits:", list)
		}
	case KindSkip:
		add("left out:", e.Step, "-", e.Text)
	case KindRelease:
		add("hold released:", e.Step)
		if e.self() {
			add("- by one who " + selfWords)
		}
	case KindMeasure:
		add("reading:", e.Step, e.Reading, withUnit(e.Value, e.Unit))
	case KindNote:
		add("note:", e.Step, e.Text)
		for _, photo := range e.Photos {
			add("[photo " + photo + "]")
		}
	case KindRetract:
		add("undo of", strings.Join(e.Retracts, ", "), e.Step)
	case KindCall:
		add("called:", e.Step, "-", e.Text)
	case KindAccept:
		add("accepted the changed line", e.Accepts)
	default:
		if judged(e.Kind) {
			return e.saysJudged()
		}
		add(e.Kind, e.Step, e.Reading, withUnit(e.Value, e.Unit), e.Text)
	}
	return strings.Join(parts, " ")
}

// named is an entry as one speaks of it: "tick of cold by Ana".
func (e *Entry) named() string {
	const most = 60 // characters of a note; it is to be recognised, not read again
	text := e.Text
	if runes := []rune(text); len(runes) > most {
		text = string(runes[:most]) + "..."
	}
	var what string
	switch e.Kind {
	case KindTick:
		what = "tick of " + e.Step
	case KindSkip:
		what = "skip of " + e.Step
	case KindRelease:
		what = "release of the hold " + e.Step
	case KindMeasure:
		what = fmt.Sprintf("reading %s %s of %s", e.Reading, withUnit(e.Value, e.Unit), e.Step)
	case KindNote:
		what = fmt.Sprintf("note %q", text)
		if e.Step != "" {
			what += " on " + e.Step
		}
	case KindRetract, KindCall, KindAccept, KindStart:
		what = e.says()
	case KindFigure:
		what = fmt.Sprintf("figure %s of a finding: %s", strings.ReplaceAll(e.Reading, "_", " "), e.Value)
	default:
		what = e.saysKind() + ":"
		if v := withUnit(e.Value, e.Unit); v != "" {
			what += " " + v
		}
		if text != "" {
			what += fmt.Sprintf(" %q", text)
		}
	}
	return what + " by " + somebody(e.By)
}

func somebody(name string) string {
	if name == "" {
		return "somebody"
	}
	return name
}
