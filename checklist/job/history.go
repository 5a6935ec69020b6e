package job

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// Event is an entry as a person reads it, and what became of it.
type Event struct {
	Entry
	At       time.Time // by the clock of its device; zero where unreadable
	Says     string    // the entry in words, without who and when
	UndoneBy string    // who took it back, and with which entry; empty while it stands
	Replaced bool      // a later entry stands in its place
	Newer    bool      // made by a newer version and not understood here
}

// Log lists all entries in the job's order: what every device agrees on, which
// need not be the order of their clocks.
func (j *Job) Log() []Event {
	entries := j.view().fold.entries
	events := make([]Event, len(entries))
	for i := range entries {
		e := &entries[i]
		events[i] = Event{Entry: e.Entry, At: e.Entry.At(), Says: e.says(), Replaced: e.replaced, Newer: !e.understood()}
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
		at = e.At.Format("2006-01-02 15:04")
	}
	fmt.Fprintf(w, "%s %s (%s)\n  %s\n", at, somebody(e.By), e.ID, e.Says)
	switch {
	case e.Newer:
		fmt.Fprintln(w, "  made by a newer version, not understood here")
	case e.UndoneBy != "":
		fmt.Fprintf(w, "  undone by %s\n", e.UndoneBy)
	case e.Replaced:
		fmt.Fprintln(w, "  replaced later")
	}
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
	case KindRetract:
		add("undo of", strings.Join(e.Retracts, ", "), e.Step)
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

func somebody(name string) string {
	if name == "" {
		return "somebody"
	}
	return name
}
