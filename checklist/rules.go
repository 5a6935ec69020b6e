package checklist

import "slices"

// Rules about the file itself. They cannot be accepted: a file that breaks one
// does not say what it means.
const (
	ruleUnreadable  = "unreadable"
	ruleLimit       = "limit"
	ruleFormat      = "format"
	ruleUnknownKey  = "unknown-key"
	ruleMissingKey  = "missing-key"
	ruleWrongType   = "wrong-type"
	ruleEmpty       = "empty"
	ruleCharacter   = "character"
	ruleName        = "name"
	ruleDuplicate   = "duplicate"
	ruleUnknownWord = "unknown-word"
	ruleUnknownName = "unknown-name"
	ruleExpression  = "expression"
	ruleValue       = "value"
	ruleFigure      = "figure"
	ruleCircle      = "circle"
	ruleUnanswered  = "unanswered"
)

// Rules of the trade that this package asks itself.
const (
	ruleIdleWait       = "idle-wait"
	ruleUnusedSetting  = "unused-setting"
	ruleUnusedPart     = "unused-part"
	ruleNoConditions   = "no-conditions"
	ruleGlandHold      = "gland-hold"
	ruleDryFitFirst    = "seal-before-dry-fit"
	ruleNoDryFit       = "seal-without-dry-fit"
	ruleTestBeforeCure = "test-before-cure"
	ruleTightenCured   = "tighten-cured"
	ruleNoTime         = "wait-without-time"
	ruleNoReading      = "measure-without-reading"
	ruleScrewShort     = "screw-short"
	ruleScrewBottoms   = "screw-bottoms"
	ruleBlindDepth     = "blind-depth"
	ruleShallowThread  = "shallow-thread"
	ruleHeadsTouch     = "heads-touch"
	ruleSqueeze        = "squeeze"
	ruleFill           = "fill"
	ruleGaugeScale     = "gauge-scale"
)

// Rule is one thing that a check looks for.
type Rule struct {
	ID         string
	Severities []Severity // what its findings can be, gravest first
	Looks      string     // what it looks for
	Reason     string     // why
	Source     string
	// Acceptable rules can be answered in the file with
	// accept = { rule = "...", because = "..." }, which is shown to the fitter.
	Acceptable bool
}

const practice = "common practice, no source"

// Rules lists the rules of the trade, those about the order of work first, and
// then the rules about the file itself.
func Rules() []Rule {
	return []Rule{
		{ruleDryFitFirst, []Severity{Stop}, "a step that seals a part before the step that fits it dry", "A misfit found with sealant on costs the seal and often the part.", practice, true},
		{ruleNoDryFit, []Severity{Warn}, "a step that seals without any dry fit before it", "A misfit found with sealant on costs the seal and often the part.", practice, true},
		{ruleTestBeforeCure, []Severity{Stop}, "a test that can begin before a sealant has had its wait", "An uncured sealant is blown out by the test.", "makers' cure times; " + practice, true},
		{ruleTightenCured, []Severity{Stop}, "a fastener tightened after its sealant has cured", "Turning it breaks the film, and a broken film does not cure again.", practice, true},
		{ruleIdleWait, []Severity{Warn}, "a wait that no step waits for", "The work goes on at once, and the wait is only written down.", practice, true},
		{ruleNoConditions, []Severity{Warn}, "seals opened with no conditions under preliminary", "Cold, drained and at zero pressure come before every spanner.", practice, true},
		{ruleGlandHold, []Severity{Warn}, "a packed gland with no hold point in the whole procedure", "A spindle that nothing holds inside leaves when the gland is slackened under pressure.", practice, true},
		{ruleNoTime, []Severity{Stop}, "a step of kind wait without a `wait`", "Nobody knows when it is over.", "", true},
		{ruleNoReading, []Severity{Note}, "a step of kind measure without a reading", "What is not entered is not known next time.", practice, true},
		{ruleUnusedSetting, []Severity{Warn}, "a setting that nothing uses", "The fitter answers a question that changes nothing.", "", false},
		{ruleUnusedPart, []Severity{Warn}, "a fastener or seal that nothing names", "Its figures are shown nowhere and its rules are asked for nothing.", "", true},

		{ruleScrewShort, []Severity{Stop}, "a screw that does not reach through cover, washer and gasket", "It holds nothing.", "calculated", true},
		{ruleScrewBottoms, []Severity{Stop}, "a screw that reaches the end of the thread in a blind hole", "It feels tight and clamps nothing; forced, it bursts the wall.", "least room of one pitch: " + practice, true},
		{ruleBlindDepth, []Severity{Ask}, "a screw in a blind hole whose depth of thread is not given", "Nobody can say whether it bottoms.", practice, true},
		{ruleShallowThread, []Severity{Stop, Warn}, "a tapping drill that leaves too little thread", "A shallow thread strips and leaks.", practice, true},
		{ruleHeadsTouch, []Severity{Stop}, "heads wider than the holes of the circle are apart", "They cannot be fitted.", "calculated", true},
	}
}

// ruleKnown says whether the file may accept a rule of that name.
func acceptableRules() []string {
	var ids []string
	for _, r := range Rules() {
		if r.Acceptable {
			ids = append(ids, r.ID)
		}
	}
	slices.Sort(ids)
	return ids
}
