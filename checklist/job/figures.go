package job

import (
	"fmt"
	"strings"

	"fettle/checklist"
	"fettle/checklist/source"
)

// unfit words what keeps a job's own files from fitting each other: they were
// edited, or this version asks for more than the one that started the job. The
// job opens all the same, and figures that cannot be worked out say so.
func unfit(found source.Diagnostics) []string {
	var list []string
	for _, d := range found {
		if !d.Mistake() {
			continue // what the trade's rules say stands at the steps
		}
		where := procedureName
		switch {
		case d.Setting != "":
			where = headerName + ", setting " + d.Setting
		case d.Line > 0:
			where = fmt.Sprintf("%s line %d", procedureName, d.Line)
		}
		list = append(list, Plain(where+": "+d.Message)+".")
	}
	return list
}

// fill works out the figures with what was measured. A reading that leaves
// figures without an answer (a spindle wider than its box) is set aside and named,
// and they are worked out with the setting it would replace.
func (j *Job) fill(f *fold, measured map[string]string) (*checklist.Filled, []string) {
	settings := j.settings(f)
	filled, found := j.proc.FillMeasured(settings, measured)
	if !found.HasMistake() || len(measured) == 0 {
		return filled, unfit(found)
	}
	if _, without := j.proc.FillMeasured(settings, nil); without.HasMistake() {
		return filled, unfit(found) // the file itself is at fault
	}
	use := map[string]string{}
	var aside []string
	for _, name := range sortedKeys(measured) {
		use[name] = measured[name]
		if _, found := j.proc.FillMeasured(settings, use); found.HasMistake() {
			delete(use, name)
			aside = append(aside, fmt.Sprintf("The reading %s %s does not go with the rest: figures are worked out without it. %s", Plain(name), Plain(measured[name]), strings.Join(unfit(found), " ")))
		}
	}
	filled, found = j.proc.FillMeasured(settings, use)
	return filled, append(unfit(found), aside...)
}

// withUnit adds the unit of a reading to a value that was typed without one.
func withUnit(value, unit string) string {
	value = strings.TrimSpace(value)
	switch unit {
	case "", "count", "number", "thread", "yes-no", "choice", "text", "material", "grade", "date", "photo":
		return value
	}
	if strings.Trim(value, "+-0123456789.,") != "" {
		return value
	}
	return value + " " + unit
}
