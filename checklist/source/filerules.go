package source

// Rules about the file itself. They cannot be accepted: a file that breaks one
// does not say what it means.
const (
	RuleUnreadable  = "unreadable"
	RuleLimit       = "limit"
	RuleFormat      = "format"
	RuleUnknownKey  = "unknown-key"
	RuleMissingKey  = "missing-key"
	RuleWrongType   = "wrong-type"
	RuleEmpty       = "empty"
	RuleCharacter   = "character"
	RuleName        = "name"
	RuleDuplicate   = "duplicate"
	RuleUnknownWord = "unknown-word"
	RuleUnknownName = "unknown-name"
	RuleExpression  = "expression"
	RuleValue       = "value"
	RuleFigure      = "figure"
	RuleCircle      = "circle"
	RuleUnanswered  = "unanswered"
)

// ofTheFile says whether a rule is one of them.
func ofTheFile(rule string) bool {
	switch rule {
	case RuleUnreadable, RuleLimit, RuleFormat, RuleUnknownKey, RuleMissingKey, RuleWrongType, RuleEmpty, RuleCharacter, RuleName,
		RuleDuplicate, RuleUnknownWord, RuleUnknownName, RuleExpression, RuleValue, RuleFigure, RuleCircle, RuleUnanswered:
		return true
	}
	return false
}
