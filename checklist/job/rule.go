package job

// Rule is one rule of the job's judgement. Every way in which somebody could be
// hurt or a boiler spoilt is a row of testdata/hazards.toml, and each row names the
// rule that stops it by these words.
type Rule string

// The rules.
const (
	// Releases and holds.
	RuleReleaseAfter    Rule = "release-after-readings" // a hold is released after its own readings and gates
	RuleReleaseStands   Rule = "release-stands"         // a release counts while what it saw stands
	RuleReleaseFigures  Rule = "release-figures"        // ... the code's figures among it
	RuleReleaseNamed    Rule = "release-by-another"     // no inspector works on the job
	RuleRoleWord        Rule = "a-person-not-a-role"    // who answers is named, and not by the role alone
	RuleHoldReleased    Rule = "hold-released"          // a hold step is not done without its release
	RuleHoldKept        Rule = "hold-not-left-out"      // nor is it left out
	RuleHoldNobody      Rule = "hold-of-nobody"         // a hold that names nobody still holds
	RuleOneRole         Rule = "one-role-one-person"    // a role is one person on one test
	RuleConcessionOther Rule = "concession-by-another"  // nobody allows their own concession

	// What was written apart.
	RuleWorseReading Rule = "worse-reading-counts"
	RuleUndoneCounts Rule = "undone-counts"
	RuleDecideOnce   Rule = "decisions-differ"
	RuleSheetOnce    Rule = "sheet-differs"
	RuleAnswerOnce   Rule = "answers-differ"
	RuleSevererCount Rule = "severer-figure-counts"
	RuleBlankOn      Rule = "blank-on-counts"
	RuleOneTest      Rule = "one-test-at-a-time"
	RuleTickOrSkip   Rule = "done-or-left-out"

	// Steps.
	RuleNeeds        Rule = "needs-all-through"      // what an earlier step needs, a later one needs too
	RuleUnsafeNeeds  Rule = "unsafe-step-not-passed" // no gate is passed over a step at a stop
	RuleReadingMiss  Rule = "readings-first"         // a step is not done before its readings
	RuleReadingStop  Rule = "reading-stops"          // a reading that says stop keeps its step
	RuleFigureStop   Rule = "figure-stops"           // and so does a figure worked out of readings
	RuleReadingKept  Rule = "stop-not-left-out"      // a step that asks whether it is safe is not left out
	RuleStopUnseen   Rule = "unseen-stop-counts"     // who opened its step again had not seen it
	RuleAskNamed     Rule = "ask-by-name"            // outside what `ask` allows goes on by name and reason
	RuleNothingToAsk Rule = "stop-without-limit"     // a stop that nothing can trip is no leave
	RulePassCovers   Rule = "pass-covers-what-stood" // a pass is good for what stood when it was given
	RuleReopened     Rule = "reopened-counts"        // what was opened again is done again
	RuleAnswers      Rule = "answer-opens"           // another answer at the start opens what it changes
	RuleDecided      Rule = "decision-opens"         // a decision opens what it touches
	RuleClosing      Rule = "closing-asked-again"    // metal cut over an opening asks for the tally again
	RuleTally        Rule = "nothing-left-inside"
	RuleBlanksOff    Rule = "blanks-off"
	RuleMissing      Rule = "missing-part-asked"
	RuleGotByHand    Rule = "got-by-somebody"
	RuleKindBounds   Rule = "reading-can-be" // no gap below nought, no gauge that ends at nought
	RuleTrade        Rule = "trade-rule-stops"
	RuleRounds       Rule = "passes-in-order"
	RuleThread       Rule = "probable-thread-asked"
	RuleAbsent       Rule = "absent-part-asked" // a step that names a part which is not there
	RuleLostName     Rule = "lost-name-asked"   // a name that lost its ${}
	RuleUseBy        Rule = "container-in-date"
	RuleDanger       Rule = "danger-stops"
	RuleDangerTold   Rule = "danger-told-on"
	RuleDangerStays  Rule = "danger-not-undone"
	RuleRescue       Rule = "thread-holds" // no thread that does not hold in the measured hole
	RuleUnsound      Rule = "stripped-hole-not-accepted"
	RuleHandEdited   Rule = "edited-line-counts-not"
	RuleStrangers    Rule = "strangers-named"      // what devices wrote that this one never met
	RuleReplaced     Rule = "replaced-by-its-like" // nothing written since pushes aside what was found or judged

	// Time.
	RuleBegun     Rule = "wait-begun"          // a wait begins with an entry
	RuleWait      Rule = "wait-over"           // and ends with its time
	RuleInTurn    Rule = "waits-in-turn"       // no wait runs before the one in front of it is over
	RuleCureKept  Rule = "cure-not-passed"     // no name and no reason shortens a cure
	RuleCureOrder Rule = "cure-by-order"       // what cures follows from the order of work
	RuleCureTest  Rule = "cure-before-test"    // no pressure before the cure, whatever the wait says
	RuleCureCold  Rule = "cure-in-the-cold"    // a cold shop lengthens it
	RuleClock     Rule = "clock-doubted"       // a time that cannot be is no time
	RuleJump      Rule = "clock-jump-asked"    // a jump ends no wait until somebody says what time it is
	RulePutOn     Rule = "not-before-it-could" // nothing was put on before what comes first was done

	// The pressure test.
	RuleFrozen      Rule = "figures-frozen"   // no figure of the code changes while a test runs
	RuleOwnCopy     Rule = "own-figures"      // a test is judged by the figures it began with
	RuleTestFigures Rule = "tested-as-agreed" // a pass counts while it would be one by the figures that stand
	RuleProduct     Rule = "never-above-product"
	RuleCodeTyped   Rule = "code-typed-in"
	RuleSheetStop   Rule = "sheet-stops"
	RuleStage       Rule = "stage-read"
	RuleReached     Rule = "test-pressure-reached"
	RuleHeld        Rule = "hold-time-kept"
	RulePointTimes  Rule = "reading-in-its-time"
	RuleAlarm       Rule = "alarm-ends"
	RuleTestPassed  Rule = "test-passed"
	RuleFailStays   Rule = "fail-not-outvoted"
	RuleInspector   Rule = "inspector-passes"
	RuleRunAnew     Rule = "climbed-again"   // what was ticked in a test counts for that test
	RuleTestParts   Rule = "tested-as-it-is" // parts changed since the test: test again
	RuleFault       Rule = "fault-is-a-finding"
	RuleWet         Rule = "wet-is-a-finding"
	RuleFindings    Rule = "findings-decided-first"
	RuleStructure   Rule = "structure-not-accepted"
	RuleBefore      Rule = "steps-before-the-pass"
	RuleRunStays    Rule = "test-not-undone" // what was seen in a test is not undone with its beginning
	RuleWhole       Rule = "gaps-said-at-the-pass"
	RuleBeside      Rule = "other-jobs-first"

	// Jobs inside a job, and the end.
	RuleCalledOpen Rule = "called-open"
	RuleCallFirst  Rule = "call-comes-first"
	RuleCallOff    Rule = "called-off-untouched"
	RuleAway       Rule = "put-away-finished"
)

// keeps says whether a rule is part of the judgement. It always is; the test of
// the hazard table takes them out one by one.
func (j *Job) keeps(r Rule) bool { return j.env.without != r }
