package recipes_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fettle/checklist"
)

// The rules for what people read follow ASD-STE100, simplified technical English
// (public summaries of it were read, not the standard): an instruction is an
// imperative, one to a sentence, at most 20 words; a description at most 25; a
// condition comes first. The lists of words are our own.

// written are the procedures whose texts keep the rules; the others are still to
// be written anew.
func written() []string {
	return []string{"gland.toml"}
}

const (
	mostInstruction = 20 // words in a sentence that tells to do something, or warns
	mostDescription = 25 // words in any other sentence
	mostWords       = 60 // words of one step's instruction
	meanWords       = 45 // the mean of them over a procedure
)

// orders are verbs with which an instruction begins.
var orders = strings.Fields(`Add Adjust Agree Apply Ask Assemble Begin Bend Blow Blank Blue Bolt Break Bring Brush Call Cap Carry
	Catch Centre Change Check Choose Chock Clamp Clean Close Coat Compare Connect Cool Copy Count Couple Countersink Cover Cross
	Cut Decide Deepen Degrease Disconnect Drain Draw Drill Drop Dry Ease Empty Enter Feel Fill Find Finish Fit Flush Follow Give Go Grease
	Guide Hang Heat Hold Keep Know Label Lap Lay Leave Let Lift Light Listen Lock Look Loosen Lower Make Mark Measure Mix Move Name Note
	Number Obey Oil Open Pack Photograph Pick Place Plug Point Polish Position Press Prove Pull Pump Punch Push Put Raise Ream Read Reckon Record
	Refit Release Remove Renew Repair Repeat Replace Rest Rinse Roll Rub Scribe Search Seal Seat See Set Shield Show Shut Sketch Skim Slacken
	Slide Smear Nip Bleed Subtract Soak Spread Stand Start Stay Steam Stop Store Support Take Tag Tap Tell Test Throw Tie Tighten Tilt Trace Transfer Try Turn
	Undo Unscrew Untie Use Vacuum Wait Walk Warm Wash Watch Weigh Wear Wind Wipe Withdraw Work Wrap Write Screw Cradle Say`)

// conditions are the words with which a condition begins.
var conditions = strings.Fields("If When Before After Until While")

// second are those of the orders that are never anything else, so that one of
// them after "and" is a second order in the sentence.
var second = `(open|close|wait|tighten|remove|enter|take|put|pull|leave|listen|count|fill|clean|wipe|write|wash|try|keep|read|show|go|give|begin|stop|slacken|unscrew|repeat|insert)`

var (
	sentenceEnd  = regexp.MustCompile(`[.!?]["')]*\s+`)
	inBrackets   = regexp.MustCompile(`\([^)]*\)`)
	threadName   = regexp.MustCompile(`\b(\d+(/\d+)? x \d+( (ME|brass))?|\d+ BA|M\d[\dx.]*)`)
	numberUnit   = regexp.MustCompile(`\d[\d./]*( \d+/\d+)? ?(mm|ml/min|ml|bar|psi|N·m|°C|in|h|min|kN|%|µm|swg|turns|rings|hours|minutes)\b`)
	orderOfRing  = regexp.MustCompile(`\d+( - \d+)+|\d+( \d+)+`)
	verbAfterAnd = regexp.MustCompile(`(, | and | then |, then )` + second + `\b`)
	modal        = regexp.MustCompile(`(?i)\b(should|could|would|might|may|ought|shall)\b`)
	perfect      = regexp.MustCompile(`(?i)\b(has|have|had) (not )?(been|\w+ed|gone|come|taken|stood|found)\b`)
	bePassive    = regexp.MustCompile(`(?i)^[^,]*\b(is|are|be|been|was|were) \w+ed\b`)
	ingStart     = regexp.MustCompile(`^(?:[A-Z]\w+)ing\b`)
	ingNouns     = regexp.MustCompile(`^(Packing|Spring|Ring|Bearing|Opening|Lagging|Drawing|Nothing|Anything|Everything|Working|Fitting|String)\b`)
)

// foreign are words and forms that no text uses, and what to write in their place.
var foreign = map[string]string{
	`(?i)\bwitness(es)?\b(?: says| say that)`: "proof, of a valve",
	`(?i)\bwants\b`:       "needs",
	`(?i)\breckon`:        "calculate",
	`(?i)\bone road\b`:    "one way",
	`(?i)\bgoes it\b`:     "does the hole go",
	`(?i)\bto the brim\b`: "full",
	`(?i)\ba hair\b`:      "a little",
	`(?i)\b(properly|carefully|as necessary|as required|approximately)\b`: "a figure, or nothing",
	`(?i)\blook on at\b`: "check",
	`(?i)\b(colors?|centers?|gages?|meters?|labor|tire|aluminum|mold|vise|wrenches|gray|fiber|program that|modelers?)\b`: "the British spelling",
	`(?i)\b\w*(organ|special|normal|pressur|neutral|real|oxid|equal|standard|recogn|minim)i(z)(e|es|ed|ing)\b`:           "the British spelling in -ise",
	`(?i)\bscrew end\b`:        "stub",
	`(?i)\bsilent\b`:           "nothing comes out",
	`(?i)\bnon-return valve\b`: "clack",
	`(?i)\bstuffing box\b`:     "box",
	`(?i)\bone-way valve\b`:    "clack",
	`[–—;]`:                    "a sentence of its own",
	`\?`:                       "a condition with If",
}

// sentences takes a text apart. A full stop ends a sentence where a blank follows.
func sentences(text string) []string {
	var list []string
	for {
		at := sentenceEnd.FindStringIndex(text)
		if at == nil {
			return append(list, text)
		}
		list, text = append(list, text[:at[0]+1]), text[at[1]:]
	}
}

// wordsIn counts words; a number with its unit, a thread and the order of a ring are
// one word, and what stands in brackets is not counted.
func wordsIn(sentence string) int {
	sentence = inBrackets.ReplaceAllString(sentence, "")
	for _, one := range []*regexp.Regexp{threadName, numberUnit, orderOfRing} {
		sentence = one.ReplaceAllString(sentence, "n")
	}
	return len(strings.Fields(sentence))
}

// begins says how a sentence begins: with an order, a condition, a prohibition, or
// with none of them.
func begins(sentence string) string {
	words := strings.Fields(sentence)
	if len(words) == 0 {
		return ""
	}
	first := strings.Trim(words[0], ",.:")
	switch {
	case slices.Contains(orders, first):
		return "order"
	case slices.Contains(conditions, first):
		return "condition"
	case first == "Never", first == "Do" && len(words) > 1 && words[1] == "not":
		return "prohibition"
	case first == "Then" || first == "Always":
		return begins(strings.ToUpper(words[1][:1]) + strings.Join(words[1:], " ")[1:])
	}
	return ""
}

// tells are the faults of a sentence that tells to do something.
func tells(sentence string) []string {
	var faults []string
	fault := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	if n := wordsIn(sentence); n > mostInstruction {
		fault("%d words, at most %d", n, mostInstruction)
	}
	how := begins(sentence)
	if how == "" {
		fault("begins with neither a command nor a condition")
	}
	if how == "condition" && !strings.Contains(sentence, ",") {
		fault("a condition without a command after its comma")
	}
	if strings.Contains(sentence, ":") {
		fault("a colon")
	}
	after := sentence
	if how == "condition" {
		_, after, _ = strings.Cut(sentence, ",")
	}
	if m := verbAfterAnd.FindString(after); m != "" && !strings.Contains(after, "at the same time") && how != "prohibition" {
		fault("a second order, %q", m)
	}
	if m := modal.FindString(sentence); m != "" {
		fault("%q", m)
	}
	if m := perfect.FindString(sentence); m != "" {
		fault("%q", m)
	}
	if how == "order" && bePassive.MatchString(sentence) && !strings.HasPrefix(sentence, "Make sure") {
		fault("says what is done, not what to do")
	}
	return faults
}

// describes are the faults of any other sentence.
func describes(sentence string) []string {
	if n := wordsIn(sentence); n > mostDescription {
		return []string{fmt.Sprintf("%d words, at most %d", n, mostDescription)}
	}
	return nil
}

// strange are the faults that no text may have.
func strange(text string) []string {
	var faults []string
	for form, better := range foreign {
		if m := regexp.MustCompile(form).FindString(text); m != "" {
			faults = append(faults, fmt.Sprintf("%q: write %s", m, better))
		}
	}
	for _, sentence := range sentences(text) {
		if ingStart.MatchString(sentence) && !ingNouns.MatchString(sentence) {
			faults = append(faults, "begins with a form in -ing")
		}
	}
	return faults
}

// faultsOf are those of everything that a filled procedure lets a person read.
func faultsOf(f *checklist.Filled) []string {
	var list []string
	add := func(where, text string, faults []string) {
		for _, fault := range faults {
			list = append(list, fmt.Sprintf("%s: %s: %s", where, fault, text))
		}
	}
	lines := func(where string, texts []string, judge func(string) []string) {
		for _, text := range texts {
			add(where, text, strange(text))
			for _, sentence := range sentences(text) {
				add(where, sentence, judge(sentence))
			}
		}
	}
	warns := func(where string, texts []string) {
		lines(where, texts, describesAtMost(mostInstruction))
		for _, text := range texts {
			all := sentences(text)
			if begins(all[0]) == "" {
				add(where, text, []string{"a warning begins with neither a command nor a condition"})
			}
			if len(all) < 2 {
				add(where, text, []string{"a warning without its reason"})
			}
		}
	}
	p := f.Preliminary
	lines("before", slices.Concat(p.Conditions, p.Persons, p.Equipment, p.Supplies, p.Spares, p.Notes, []string{f.About}), describes)
	warns("before, warning", p.Warnings)
	warns("before, caution", p.Cautions)
	total, steps := 0, 0
	for _, step := range f.Steps() {
		add(step.ID, step.Do, strange(step.Do))
		words := 0
		for _, sentence := range sentences(step.Do) {
			add(step.ID, sentence, tells(sentence))
			words += wordsIn(sentence)
		}
		if words > mostWords {
			add(step.ID, step.Do, []string{fmt.Sprintf("%d words in the step, at most %d", words, mostWords)})
		}
		total, steps = total+words, steps+1
		lines(step.ID+", why", []string{step.Why}, describes)
		lines(step.ID+", note", step.Notes, describes)
		warns(step.ID+", warning", step.Warnings)
		warns(step.ID+", caution", step.Cautions)
		lines(step.ID+", title", []string{step.Title}, describes)
	}
	if steps > 0 && total > meanWords*steps {
		list = append(list, fmt.Sprintf("%d words in %d steps, at most %d a step", total, steps, meanWords))
	}
	return list
}

func describesAtMost(most int) func(string) []string {
	return func(sentence string) []string {
		if n := wordsIn(sentence); n > most {
			return []string{fmt.Sprintf("%d words, at most %d", n, most)}
		}
		return nil
	}
}

// What every bundled procedure says, on every engine it is tried on, keeps the
// rules; the engines together come to every step.
func TestTextIsPlain(t *testing.T) {
	for _, name := range written() {
		p := read(t, name)
		come := map[string]bool{}
		found := map[string]bool{}
		for _, s := range append(sets()[name], set{name: "defaults"}) {
			f, _ := p.Fill(s.values)
			for _, step := range f.Steps() {
				come[step.ID] = true
			}
			for _, fault := range faultsOf(f) {
				if !found[fault] {
					t.Errorf("%s %s", name, fault)
				}
				found[fault] = true
			}
		}
		for _, stage := range p.Stages {
			for _, step := range stage.Steps {
				require.True(t, come[step.ID], "%s: no engine comes to %s", name, step.ID)
			}
		}
	}
}

// Each rule sees what it is there for.
func TestTextRulesSeeFaults(t *testing.T) {
	for sentence, want := range map[string]string{
		"Boiler cold.":                                              "begins with neither",
		"If the nut turns.":                                         "a condition without",
		"Take the nut off and count the turns.":                     "a second order",
		"Check these: nut, washer.":                                 "a colon",
		"Make sure that the nut may turn.":                          "may",
		"Wait until it has been cold.":                              "has been",
		"Open " + strings.Repeat("very ", 20) + "slowly.":           "22 words",
		"Hold the body of the valve while the gland nut is turned.": "says what is done",
	} {
		require.Contains(t, strings.Join(tells(sentence), " "), want, sentence)
	}
	for _, sentence := range []string{"Open the valve.", "If the nut binds, stop.", "Do not open the cock.", "Then drain the boiler.", "Tighten each one to 3.1 N·m (27 lbf·in) in the order 1 - 3 - 2."} {
		require.Empty(t, tells(sentence), sentence)
	}
	require.Equal(t, 5, wordsIn("Drill the hole 3.3 mm (of 4 BA) deep."))
	require.Equal(t, 3, wordsIn("Try 5/16 x 32 ME now."))
	for _, text := range []string{"A drop wants a look.", "Nut off; wait.", "Is it dry?", "Tightening comes later.", "the center line"} {
		require.NotEmpty(t, strange(text), text)
	}
	require.Empty(t, strange("Packing needs oil. Use a ring."))
}
