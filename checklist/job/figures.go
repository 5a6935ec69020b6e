package job

import (
	"fmt"
	"strings"

	"fettle/checklist"
)

// unfit words what keeps a job's own files from fitting each other: they were
// edited, or this version asks for more than the one that started the job. The
// job opens all the same, and figures that cannot be worked out say so.
func unfit(found checklist.Diagnostics) []string {
	var list []string
	for _, d := range found {
		if d.Severity != checklist.Stop {
			continue
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
func (j *Job) fill(measured map[string]string) (*checklist.Filled, []string) {
	filled, found := j.proc.FillMeasured(j.header.Settings, measured)
	if !found.HasStop() || len(measured) == 0 {
		return filled, unfit(found)
	}
	if _, without := j.proc.FillMeasured(j.header.Settings, nil); without.HasStop() {
		return filled, unfit(found) // the file itself is at fault
	}
	use := map[string]string{}
	var aside []string
	for _, name := range sortedKeys(measured) {
		use[name] = measured[name]
		if _, found := j.proc.FillMeasured(j.header.Settings, use); found.HasStop() {
			delete(use, name)
			aside = append(aside, fmt.Sprintf("The reading %s %s does not go with the rest: figures are worked out without it. %s", Plain(name), Plain(measured[name]), strings.Join(unfit(found), " ")))
		}
	}
	filled, found = j.proc.FillMeasured(j.header.Settings, use)
	return filled, append(unfit(found), aside...)
}

// measured collects the readings that replace settings, of every such name the
// latest that is a valid value, and those that the procedure recalls. What
// another device wrote may be anything.
func (j *Job) measured(f *fold) map[string]string {
	names := map[string]bool{}
	for _, s := range j.proc.Settings {
		names[s.Name] = true
	}
	latest := map[string]*record{}
	for _, step := range f.steps {
		for name, values := range step.readings {
			last := values[len(values)-1]
			if (names[name] || j.proc.Recalls(name)) && (latest[name] == nil || compareRecords(latest[name], last) < 0) {
				latest[name] = last
			}
		}
	}
	measured := map[string]string{}
	for name, rec := range latest {
		if !names[name] {
			measured[name] = rec.Value
			continue
		}
		// A count of drops is measured in drops and set as a bare number.
		for _, value := range []string{withUnit(rec.Value, rec.Unit), rec.Value} {
			if j.proc.CheckValue(name, value) == nil {
				measured[name] = value
				break
			}
		}
	}
	return measured
}

// withUnit adds the unit of a reading to a value that was typed without one.
func withUnit(value, unit string) string {
	value = strings.TrimSpace(value)
	switch unit {
	case "", "count", "number", "thread", "yes-no", "choice", "text":
		return value
	}
	if strings.Trim(value, "+-0123456789.,") != "" {
		return value
	}
	return value + " " + unit
}
