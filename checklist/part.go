package checklist

import "fmt"

// part is a fastener or a seal while its figures are worked out.
type part struct {
	name  string
	label string
	kind  string // "fastener", or the kind of the seal
	at    *place
	used  bool

	figures  []Figure
	problems map[string]string // figure key to why it cannot be worked out
	silent   bool              // an input is not known, and that has been said
	worked   bool
}

func (x *filler) openParts() {
	x.parts = make(map[string]*part, len(x.p.Fasteners)+len(x.p.Seals))
	for i := range x.p.Fasteners {
		s := &x.p.Fasteners[i]
		x.parts[s.Name] = &part{name: s.Name, label: labelOf(s.Label, s.Name), kind: "fastener", at: s.at}
	}
	for i := range x.p.Seals {
		s := &x.p.Seals[i]
		x.parts[s.Name] = &part{name: s.Name, label: labelOf(s.Label, s.Name), kind: s.Kind, at: s.at}
	}
}

func labelOf(label, name string) string {
	if label != "" {
		return label
	}
	return name
}

func (p *part) firstFigure() string { return "thread" }

// figure is what stands for ${part.figure}.
func (x *filler) figure(r reference, report func(message, suggestion string) (value, bool)) (value, bool) {
	p := x.parts[r.name]
	if p == nil {
		return report(fmt.Sprintf("there is no fastener and no seal %s", shown(r.name)), "")
	}
	p.used = true
	return value{text: "[" + r.name + "." + r.figure + "]"}, false
}

// use puts the figures of a part on a step.
func (x *filler) use(name string, at *place, i int, out *FilledStep) {
	if p := x.parts[name]; p != nil {
		p.used = true
		out.Figures = append(out.Figures, p.figures...)
	}
}

// closeParts looks at the trade's rules for every part that is used.
func (x *filler) closeParts(out *Filled) {
	for i := range x.p.Fasteners {
		p := x.parts[x.p.Fasteners[i].Name]
		out.Fasteners = append(out.Fasteners, FilledPart{p.name, p.label, p.kind, p.figures})
	}
	for i := range x.p.Seals {
		p := x.parts[x.p.Seals[i].Name]
		out.Seals = append(out.Seals, FilledPart{p.name, p.label, p.kind, p.figures})
	}
}

// materialName is the usual name of a material: a metal, or what a seal is made of.
func materialName(raw string) (string, error) { return raw, nil }
