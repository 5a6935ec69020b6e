package job

import (
	"fmt"
	"slices"
	"strings"
)

// The kinds of entry that carry the job's judgement.
const (
	KindFinding = "finding" // something is not as it should be; Data: what, fastener, number, place, and figures
	KindFigure  = "figure"  // a figure of the finding About, measured later: Reading is its name, Value the figure
	KindDispose = "dispose" // what is done about the finding About; Value is the decision
	KindShort   = "short"   // a part or a tool is missing; Text, Data: count, where
	KindGot     = "got"     // something on the next-visit list is there; Value is its name on the list
	KindPass    = "pass"    // the gate Reading of a step is passed; Text is the reason, By who allowed it
	KindWitness = "witness" // By is the witness of a step; Value is present or told
	KindShop    = "shop"    // Value is the temperature of the shop
	KindTally   = "tally"   // Value of the thing Text went into the opening Data[opening], or came out
	KindBlank   = "blank"   // Value is on, off or stays, for the blank with the tag Data[tag]
	KindSheet   = "sheet"   // Reading is a line of the test sheet, Value what stands there
	KindRun     = "run"     // a test begins
	KindPoint   = "point"   // what the gauge shows during the test About
	KindTrial   = "trial"   // Value is the fault that was looked for during the test About
	KindResult  = "result"  // Value is pass or fail for the test About
	KindOff     = "off"     // a called job was started by mistake; Text is the reason
	KindBegin   = "begin"   // what a step waits for was put on; Data: at, and now where the clock was in doubt
	KindReopen  = "reopen"  // a done step is open again, and those in Opens with it; Text is the reason
	KindAnswer  = "answer"  // Value is the answer to the setting Reading from now on; Opens are the steps it changes
	KindSettle  = "settle"  // what Reading names is settled: the clock (Value is the time), the danger About
	KindDanger  = "danger"  // a standing danger that another job on the engine found; Text
	KindClose   = "close"   // a finished job is put away
	KindSign    = "sign"    // By signs the test About; Value is the role
)

// judged says whether an entry carries a judgement.
func judged(kind string) bool {
	switch kind {
	case KindFinding, KindFigure, KindDispose, KindShort, KindGot, KindPass, KindWitness, KindShop, KindTally, KindBlank,
		KindSheet, KindRun, KindPoint, KindTrial, KindResult, KindSign, KindOff,
		KindBegin, KindReopen, KindAnswer, KindSettle, KindDanger, KindClose:
		return true
	}
	return false
}

// saysJudged puts such an entry into words.
func (e *Entry) saysJudged() string {
	parts := []string{e.saysKind() + ":"}
	for _, word := range []string{e.Step, e.Reading, withUnit(e.Value, e.Unit), e.Text} {
		if word != "" {
			parts = append(parts, word)
		}
	}
	for _, name := range sortedKeys(e.Data) {
		parts = append(parts, fmt.Sprintf("(%s %s)", strings.ReplaceAll(name, "_", " "), e.Data[name]))
	}
	for _, photo := range e.Photos {
		parts = append(parts, "[photo "+photo+"]")
	}
	if e.About != "" {
		parts = append(parts, "about "+e.About)
	}
	return strings.Join(parts, " ")
}

// saysKind is what such an entry is called.
func (e *Entry) saysKind() string {
	word, ok := map[string]string{
		KindFinding: "finding", KindFigure: "figure", KindDispose: "disposition", KindShort: "short of", KindGot: "got", KindPass: "gate passed",
		KindWitness: "witness", KindShop: "shop temperature", KindTally: "tally", KindBlank: "blank", KindSheet: "test sheet",
		KindRun: "test begun", KindPoint: "test reading", KindTrial: "looked for", KindResult: "test result", KindSign: "signed as", KindOff: "called off",
		KindBegin: "begun", KindReopen: "opened again", KindAnswer: "answer", KindSettle: "settled", KindDanger: "standing danger", KindClose: "put away",
	}[e.Kind]
	if !ok {
		return e.Kind
	}
	return word
}

// RefusedError says why something that is no step cannot be done now: a test, a
// finding, a blank.
type RefusedError struct {
	What   string
	Blocks []string
}

func (e *RefusedError) Error() string {
	return Plain(e.What) + ": " + strings.Join(e.Blocks, "; ")
}

// answerFor writes onto an entry what its author had seen of the dispositions
// that touch its step. A tick, a reading or a release answers only for the
// parts that were there when it was made: where another disposition stands
// later, the step is open again, and where that one is taken back, the old
// entry counts again.
func (j *Job) answerFor(e *Entry) {
	switch e.Kind {
	case KindTick, KindSkip, KindRelease, KindMeasure, KindWitness, KindRun, KindBegin:
		e.Seen = slices.Clone(j.view().changed.touch[e.Step])
	}
}

// answers says whether an entry answers for the parts as they are now.
func (c *changes) answers(rec *record) bool {
	return slices.Equal(rec.Seen, c.touch[rec.Step])
}

// data is a copy of what was answered, without empty answers.
func data(pairs map[string]string) (map[string]string, error) {
	out := map[string]string{}
	for name, value := range pairs {
		value = strings.Join(strings.Fields(value), " ")
		if value == "" {
			continue
		}
		if len(value) > maxValue || Plain(value) != value {
			return nil, fmt.Errorf("%s: one line of at most %d letters", strings.ReplaceAll(name, "_", " "), maxValue)
		}
		out[name] = value
	}
	return out, nil
}

// entryName is the part of an entry's id that people type.
func entryName(id string) string {
	parts := strings.SplitN(id, "-", 3)
	if len(parts) < 3 {
		return id
	}
	return parts[0] + "-" + parts[1]
}
