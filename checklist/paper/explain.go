package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"fettle/checklist"
	"fettle/checklist/source"
)

// Explain writes what a rule looks for, why, where it comes from, and a piece of a file
// that shows it, at most width cells wide (40 at least). The error says that there is
// no such rule, and which was probably meant.
func Explain(w io.Writer, id string, width int) error {
	rules := slices.Concat(checklist.Rules(), checklist.FileRules())
	i := slices.IndexFunc(rules, func(r checklist.Rule) bool { return r.ID == id })
	if i < 0 {
		names := make([]string, len(rules))
		for i, r := range rules {
			names[i] = r.ID
		}
		return fmt.Errorf("there is no rule %s; %s", source.Shown(id), firstOf(source.DidYouMean(id, names), "fettle procedure show --format lists them"))
	}
	r := rules[i]
	words := make([]string, len(r.Severities))
	for i, s := range r.Severities {
		words[i] = string(s)
	}
	p := &printer{width: max(width, 40)}
	p.wrap("", "", fmt.Sprintf("%s (%s)", r.ID, strings.Join(words, ", ")))
	p.blank()
	p.wrap("Looks for: ", "  ", r.Looks+".")
	p.wrap("Reason: ", "  ", r.Reason)
	p.wrap("Source: ", "  ", firstOf(r.Source, "this file format")+".")
	if e := example(r.ID); e != "" {
		p.blank()
		p.text("What it has something against:")
		p.code(e)
	}
	p.blank()
	if r.Acceptable {
		p.text("Where it does not apply, the file says why, and the fitter reads it:")
		p.code(fmt.Sprintf("accept = [{ rule = %q, because = \"...\" }]", r.ID))
	} else {
		p.text("It cannot be accepted.")
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

func firstOf(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// example is a piece of a file that a rule has something against; empty for rules of
// sums, which need a whole one.
func example(rule string) string {
	return map[string]string{
		"unreadable":             "title: \"Repack the gland\"",
		"limit":                  "# a text of more than 4000 characters",
		"format":                 "format = 1",
		"unknown-key":            "[settings.rod]\ndefualt = \"5 mm\"",
		"missing-key":            "[settings.rod]\nask = \"Spindle\"",
		"wrong-type":             "after = \"zero\"",
		"empty":                  "hold = \"\"",
		"character":              "do = \"Ring the bell: \\u0007\"",
		"name":                   "id = \"Lap 1\"",
		"duplicate":              "choices = [\"wet\", \"wet\"]",
		"unknown-word":           "kind = \"mesure\"",
		"unknown-name":           "do = \"Turn ${rodd}.\"",
		"expression":             "do = \"Turn ${rod} to ${rod.\"",
		"value":                  "default = \"thick\"",
		"figure":                 "do = \"Torque ${nut.torque}.\"   # of a nut without a grade",
		"circle":                 "[settings.a]\ndefault = \"${b}\"\n[settings.b]\ndefault = \"${a}\"",
		"unanswered":             "fettle procedure show FILE   # without --set for a setting that has no default",
		"unused-setting":         "[settings.rod]\nask = \"Spindle\"\nkind = \"length\"\ndefault = \"5 mm\"   # and ${rod} nowhere",
		"unused-part":            "[fasteners.nut]\nthread = \"M4\"   # and no step deals with it",
		"limit-sign":             "nominal = \"4.76 mm\"\nlow = \"0.05\"",
		"nothing-outside":        "reading = [{ name = \"silent\", ask = \"Silent\", kind = \"yes-no\", outside = \"stop\" }]",
		"lost-name":              "do = \"Turn {rod} to size.\"",
		"absent-part":            "[seals.packing]\nwhen = [\"sealing = packing\"]\n[[stage.step]]\ndo = \"Cut ${packing.rings} rings.\"   # and no when",
		"step-never-reached":     "[[stage]]\nwhen = [\"sealing = packing\"]\n[[stage.step]]\nwhen = [\"sealing = o-ring\"]",
		"accept-of-nothing":      "accept = [{ rule = \"galvanic\", because = \"They lie apart.\" }]   # on a screw of bronze in bronze",
		"figure-outside":         "[figures.spare]\nis = \"box - rod\"\nlow = \"1 mm\"   # and the answers leave less",
		"seal-before-dry-fit":    "[[stage.step]]\nid = \"seal\"\nkind = \"seal\"\nafter = []   # and the dry fit comes elsewhere",
		"seal-without-dry-fit":   "[[stage.step]]\nkind = \"seal\"   # and nothing is fitted dry",
		"test-before-cure":       "[[stage.step]]\nkind = \"test\"\nafter = [\"seal\"]   # and no wait between",
		"wait-shorter-than-cure": "sheet_time = \"24 h\"\n[[stage.step]]\nkind = \"wait\"\nwait = \"1 min\"",
		"tighten-cured":          "[[stage.step]]\nkind = \"tighten\"\nparts = [\"stud\"]   # after the wait of its sealant",
		"full-torque-at-once":    "[[stage.step]]\nkind = \"tighten\"\ndo = \"Take them to ${screws.torque}.\"",
		"idle-wait":              "[[stage.step]]\nid = \"cure\"\nkind = \"wait\"\nwait = \"24 h\"   # and nothing after it",
		"no-conditions":          "# seals, and no [before] with conditions",
		"gland-hold":             "[seals.packing]\nkind = \"packing\"   # and no step with a hold",
		"wait-without-time":      "[[stage.step]]\nkind = \"wait\"",
		"wet-steel":              "[fasteners.screw]\ngrade = \"8.8\"\nhole = [\"wet\"]",
		"blind-depth":            "[fasteners.screw]\nhole = [\"wet\", \"blind\"]\nlength = \"12 mm\"\ncover = \"6 mm\"   # and no depth",
		"screw-short":            "[fasteners.screw]\nlength = \"5 mm\"\ncover = \"6 mm\"",
		"flats-too-small":        "[fasteners.union]\nthread = \"G 1/4\"\nspanner = \"12.7 mm\"",
	}[rule]
}
