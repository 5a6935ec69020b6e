package paper

import (
	"fettle/checklist"
	"fettle/checklist/source"
	"fmt"
	"io"
	"strings"
)

// WriteReference writes the reference of the file format as plain text, at most
// width cells wide (40 at least). It is made from the same description by which
// files are checked.
func WriteReference(w io.Writer, width int) error {
	p := &printer{width: max(width, 40)}
	p.reference()
	_, err := io.WriteString(w, p.b.String())
	return err
}

func (p *printer) reference() {
	p.title("Procedure files, format 2")
	p.text("A procedure is a text file in TOML. Its name ends in .toml; it is saved as UTF-8. " +
		"`fettle procedure new` writes a small one to start from, `fettle procedure check FILE` says everything that is wrong with one, " +
		"and `fettle procedure preview FILE` shows it as the fitter will see it.")
	p.code(`format = 2
id     = "blower-gland"
title  = "Repack a blower-valve gland"

[settings.rod]
ask     = "Spindle diameter where the packing bears"
kind    = "length"
default = "3/16 in"

[seals.packing]
kind    = "packing"
spindle = "${rod}"
box     = "3/8 in"
depth   = "10 mm"

[[stage]]
title = "Strip"

[[stage.step]]
id   = "rings"
kind = "make"
parts = ["packing"]
do   = "Cut ${packing.rings} rings of ${packing.ring_length}."`)

	p.section("Filling in: ${...}")
	p.text("In any text ${name} stands for the answer to the setting of that name, and ${name.figure} for a figure of a fastener, a seal or a test. " +
		"The name of a reading or of a figure of [figures] stands for what was read or worked out in an earlier step: \"not read yet\" until then, and no limit. " +
		"Nothing is calculated inside the braces; sums stand in [figures]. Two dollars, $${, write the two characters themselves. " +
		"The default and the limits of a setting can name other settings; so can every key of a fastener, seal or test.")

	for _, t := range [...]struct{ name, heading, intro string }{
		{"procedure", "The file", ""},
		{"before", "[before]", "Each is a list of texts. An entry that is not for every case is written { text = \"...\", when = [\"sealing = o-ring\"] }."},
		{"entry", "{ text = ..., when = ... }", "An entry of a list of [before]."},
		{"setting", "[settings.NAME]", ""},
		{"fastener", "[fasteners.NAME]", "One thread, or a circle of equal ones. Lengths and the like are written as people do: 4.5 is mm, 1/4 is inches, \"No 30\" a drill."},
		{"seal", "[seals.NAME]", "Keys that belong to one kind of seal say so."},
		{"test", "[tests.NAME]", "The multiple, the time and the persons are for the local code and are typed in. " +
			"Steps that use a test wait for its sheet: one of kind wait for readings that cover the hold, each of kind test before that one for a reading of its own, any other of kind test for the result."},
		{"figure", "[figures.NAME]", ""},
		{"stage", "[[stage]]", ""},
		{"step", "[[stage.step]]", ""},
		{"call", "call = { ... }", ""},
		{"reading", "reading = [{ ... }]", "A reading that is taken several times is typed with ; between the figures."},
		{"accept", "accept = [{ ... }]", "Stands on the fastener, seal, test, figure or step that a rule has something against, or at the top of the file. The finding is then shown to the fitter together with the reason, and no longer counts as a mistake."},
	} {
		p.section(t.heading)
		if t.intro != "" {
			p.text(t.intro)
		}
		for _, k := range checklist.Keys(t.name) {
			p.key(k)
		}
	}

	p.section("Conditions: when")
	p.text("A list of conditions, all of which have to hold: the name of a setting, a reading, a figure of [figures] or part.figure, then = != < <= > or >=, then a value as it would be typed. " +
		"With = and != several values stand with \"or\" between them. A condition on something not read yet is not known, and what is not known holds nothing back: the step stays until it is known.")
	p.code(`when = ["sealing = packing or o-ring", "clearance > 0.08 mm"]`)

	p.section("Kinds of answers and readings")
	for _, kind := range checklist.Kinds() {
		p.wrap("  "+kind+": ", "    ", checklist.Writes(kind))
	}

	p.section("Figures")
	p.text("What ${NAME.figure} can show. A figure that lacks something is a mistake where it is used.")
	p.figures("of a fastener", checklist.FigureKeys("fastener"))
	common := checklist.CommonFigures()
	p.figures("of every seal", common)
	for _, kind := range checklist.SealKinds() {
		if own := checklist.FigureKeys(kind); len(own) > len(common) {
			p.figures("of "+source.Article(kind), own[:len(own)-len(common)])
		}
	}
	p.figures("of a test", checklist.FigureKeys("test"))

	p.section("Rules of the trade")
	p.text("Each can be answered with accept, except where it says so. stop: must not go on. warn: may go on, and somebody will be sorry. " +
		"ask: the local code or the inspector decides. note: worth knowing.")
	for _, r := range checklist.Rules() {
		p.rule(r)
	}

	p.section("Limits")
	p.text(fmt.Sprintf("A file has at most %d MiB, %d keys, %d levels of nesting, %d steps and %d settings; a text %d characters, a text of one line %d, a list %d entries.",
		source.MaxFile>>20, source.MaxKeys, source.MaxNesting, source.MaxSteps, source.MaxSettings, source.MaxText, source.MaxLine, source.MaxList))
}

func (p *printer) title(s string) {
	p.wrap("", "", s)
	p.b.WriteString(strings.Repeat("=", min(source.Cells(s), p.width)) + "\n\n")
}

func (p *printer) section(s string) {
	p.blank()
	p.heading(s)
}

func (p *printer) text(s string) { p.wrap("", "", s) }

func (p *printer) code(s string) {
	p.blank()
	for _, line := range strings.Split(s, "\n") {
		p.b.WriteString(strings.TrimRight("    "+line, " ") + "\n")
	}
}

func (p *printer) key(k checklist.Key) {
	text := k.About
	if len(k.Kinds) > 0 && len(k.Kinds) < len(checklist.SealKinds()) {
		text += " Only with: " + strings.Join(k.Kinds, ", ") + "."
	}
	if len(k.Words) > 0 {
		text += " One of: " + strings.Join(k.Words, ", ") + "."
	}
	name := k.Name
	if k.Needed {
		name += " (needed)"
	}
	p.wrap("  "+name+": ", "    ", text)
	if k.Example != "" {
		p.b.WriteString("    " + k.Example + "\n")
	}
}

func (p *printer) figures(of string, keys []checklist.FigureKey) {
	p.wrap("  ", "  ", of+":")
	for _, k := range keys {
		text := k.Label
		if k.About != "" {
			text += ", " + k.About
		}
		p.wrap("    "+k.Key+": ", "      ", source.LowerFirst(text))
	}
}

func (p *printer) rule(r checklist.Rule) {
	words := make([]string, len(r.Severities))
	for i, s := range r.Severities {
		words[i] = string(s)
	}
	text := fmt.Sprintf("(%s) %s. %s", strings.Join(words, ", "), r.Looks, r.Reason)
	if r.Source != "" {
		text += " Source: " + r.Source + "."
	}
	if !r.Acceptable {
		text += " Cannot be accepted."
	}
	p.wrap("  "+r.ID+" ", "    ", text)
}
