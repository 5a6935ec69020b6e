package boiler

import "fettle/threads/check"

// Worst is the gravest severity among findings; Note where there are none.
func Worst(findings []check.Result) check.Severity {
	if worst := check.Worst(findings); worst != check.Good {
		return worst
	}
	return check.Note
}
