package checklist

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
