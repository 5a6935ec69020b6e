package checklist

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"fettle/checklist/source"
)

// A sum of [figures]: + - * / and brackets, smallest(), largest() and mean(), over
// names and figures with their units. Every leaf has a unit, and what does not go
// together (a length and a pressure) is a mistake of the file, found before anything
// is known.

// sumError is what is wrong with a sum, and where in its text.
type sumError struct {
	start, end          int
	message, suggestion string
}

// sum is one knot of a sum.
type sum struct {
	op         string // + - * / neg, a function, "name", "literal"
	args       []*sum
	name       string
	literal    amount
	start, end int
}

// dims are the powers of the quantities that measures are made of.
type dims [len(dimKinds)]int8

// dimKinds are the kinds that are quantities of their own; all others are numbers.
var dimKinds = [...]string{"length", "pressure", "temperature", "time", "volume", "angle", "force", "torque"}

// amount is a number with what it measures, in the base units of the kinds.
type amount struct {
	v    float64
	dims dims
	// plain is the kind of a number without dimension: count, turns, percent, number.
	plain string
}

func amountOf(kind string, v float64) amount {
	a := amount{v: v}
	for i, k := range dimKinds {
		if k == kind {
			a.dims[i] = 1
			return a
		}
	}
	if a.plain = kind; kind == "percent" {
		a.v /= 100
	}
	return a
}

// kindOf is the kind of a result.
func (a amount) kindOf() (string, bool) {
	kind := ""
	for i, n := range a.dims {
		switch {
		case n == 0:
		case n == 1 && kind == "":
			kind = dimKinds[i]
		default:
			return "", false
		}
	}
	if kind == "" {
		kind = a.plain
	}
	return kind, true
}

// dimension says in words what an amount measures.
func (a amount) dimension() string {
	if kind, ok := a.kindOf(); ok {
		return source.Article(kind)
	}
	var over, under []string
	for i, n := range a.dims {
		for ; n > 0; n-- {
			over = append(over, dimKinds[i])
		}
		for ; n < 0; n++ {
			under = append(under, dimKinds[i])
		}
	}
	text := strings.Join(over, " times ")
	if text == "" {
		text = "one"
	}
	if len(under) > 0 {
		text += " over " + strings.Join(under, " times ")
	}
	return text
}

// raw is an amount as a person would type it, with the unit of its kind.
func (a amount) raw() string {
	kind, _ := a.kindOf()
	u, _ := unitFor(kind, "")
	switch kind {
	case "percent":
		return exact(a.v*100) + u.suffix
	case "pressure":
		return exact(a.v) + " bar"
	}
	return exact(a.v) + u.suffix
}

// sumParser reads a sum by descent.
type sumParser struct {
	text  string
	at    int
	depth int
}

func parseSum(text string) (*sum, *sumError) {
	p := &sumParser{text: text}
	s, err := p.terms()
	if err != nil {
		return nil, err
	}
	if p.blank(); p.at < len(p.text) {
		return nil, p.wrong("the sum ends before this", "+ - * / stand between two figures")
	}
	return s, nil
}

func (p *sumParser) wrong(message, suggestion string) *sumError {
	_, size := utf8.DecodeRuneInString(p.text[p.at:])
	return &sumError{min(p.at, max(0, len(p.text)-1)), min(p.at+max(size, 1), len(p.text)), message, suggestion}
}

func (p *sumParser) blank() {
	for p.at < len(p.text) && (p.text[p.at] == ' ' || p.text[p.at] == '\n') {
		p.at++
	}
}

func (p *sumParser) take(chars string) string {
	if p.blank(); p.at < len(p.text) && strings.IndexByte(chars, p.text[p.at]) >= 0 {
		p.at++
		return p.text[p.at-1 : p.at]
	}
	return ""
}

func (p *sumParser) terms() (*sum, *sumError) {
	return p.chain("+-", p.factors)
}

func (p *sumParser) factors() (*sum, *sumError) {
	return p.chain("*/", p.leaf)
}

func (p *sumParser) chain(ops string, next func() (*sum, *sumError)) (*sum, *sumError) {
	s, err := next()
	for err == nil {
		op := p.take(ops)
		if op == "" {
			return s, nil
		}
		var right *sum
		if right, err = next(); err == nil {
			s = &sum{op: op, args: []*sum{s, right}, start: s.start, end: right.end}
		}
	}
	return nil, err
}

// deepestSum is how many brackets a sum may have inside each other.
const deepestSum = 20

func (p *sumParser) leaf() (*sum, *sumError) {
	if p.depth++; p.depth > deepestSum {
		return nil, p.wrong("the sum has too many brackets inside each other", "")
	}
	defer func() { p.depth-- }()
	p.blank()
	start := p.at
	switch {
	case p.at >= len(p.text):
		return nil, p.wrong("the sum ends where a figure is expected", "")
	case p.take("-") != "":
		s, err := p.leaf()
		if err != nil {
			return nil, err
		}
		return &sum{op: "neg", args: []*sum{s}, start: start, end: s.end}, nil
	case p.take("(") != "":
		s, err := p.terms()
		if err == nil && p.take(")") == "" {
			err = p.wrong("a bracket is not closed", "")
		}
		if err != nil {
			return nil, err
		}
		s.start, s.end = start, p.at
		return s, nil
	case p.text[p.at] >= '0' && p.text[p.at] <= '9':
		return p.number()
	}
	for p.at < len(p.text) && (isNameByte(p.text[p.at]) || p.text[p.at] == '.') {
		p.at++
	}
	name := p.text[start:p.at]
	if name == "" {
		if strings.HasPrefix(p.text[start:], "${") {
			return nil, p.wrong("a sum names its figures without ${ }", "bore - rod")
		}
		return nil, p.wrong("this is no figure, no name and no sign of a sum", "bore - rod, smallest(a, b), 2 mm")
	}
	if p.take("(") == "" {
		return &sum{op: "name", name: name, start: start, end: p.at}, nil
	}
	if name != "smallest" && name != "largest" && name != "mean" {
		p.at = start
		return nil, &sumError{start, start + len(name), source.Shown(name) + " is nothing that is worked out here", "smallest(...), largest(...) or mean(...)"}
	}
	f := &sum{op: name, start: start}
	for {
		arg, err := p.terms()
		if err != nil {
			return nil, err
		}
		f.args = append(f.args, arg)
		if p.take(",") == "" {
			break
		}
	}
	if p.take(")") == "" {
		return nil, p.wrong("a bracket is not closed", "")
	}
	f.end = p.at
	return f, nil
}

func isNameByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_' || c == '-'
}

// number reads a figure with its unit: 2, 0.5 mm, 10 %.
func (p *sumParser) number() (*sum, *sumError) {
	start := p.at
	for p.at < len(p.text) && (p.text[p.at] >= '0' && p.text[p.at] <= '9' || p.text[p.at] == '.') {
		p.at++
	}
	v, err := parseNumber(p.text[start:p.at])
	if err != nil {
		return nil, &sumError{start, p.at, source.PlainError(err), ""}
	}
	figure := p.at
	p.blank()
	unit := p.at
	for p.at < len(p.text) && !strings.ContainsRune(" +-*/(),\n", rune(p.text[p.at])) {
		p.at++
	}
	if unit == p.at {
		p.at = figure
		return &sum{op: "literal", literal: amountOf("number", v), start: start, end: p.at}, nil
	}
	for i := range readingUnits {
		u := &readingUnits[i]
		if u.suffix == "" || u.name != p.text[unit:p.at] {
			continue
		}
		base, err := parseValue(u.kind, exact(v)+u.suffix, nil)
		if err == nil {
			return &sum{op: "literal", literal: amountOf(u.kind, base.number), start: start, end: p.at}, nil
		}
	}
	return nil, &sumError{unit, p.at, source.Shown(p.text[unit:p.at]) + " is no unit", "mm, in, bar, psi, °C, min, h, ml, °, N, N·m, turns or %"}
}

// join puts the amounts of a sum together. The text is for what does not go together.
func (s *sum) join(a, b amount) (amount, *sumError) {
	out := a
	switch s.op {
	case "*", "/":
		sign := int8(1)
		if s.op == "/" {
			sign = -1
		}
		for i := range out.dims {
			out.dims[i] += sign * b.dims[i]
		}
		if out.v = a.v * b.v; s.op == "/" {
			out.v = a.v / b.v
		}
		switch {
		case out.dims != dims{}:
			out.plain = ""
		case a.plain == "number" && s.op == "*":
			out.plain = b.plain
		case b.plain != "number":
			out.plain = "number"
		}
		if out.dims == (dims{}) && out.plain == "" {
			out.plain = "number"
		}
		return out, nil
	}
	if a.dims != b.dims {
		return out, &sumError{s.start, s.end, fmt.Sprintf("%s and %s do not go together", a.dimension(), b.dimension()), "both sides of + and - measure the same"}
	}
	if a.plain != b.plain {
		out.plain = "number"
	}
	switch s.op {
	case "+":
		out.v = a.v + b.v
	case "-":
		out.v = a.v - b.v
	case "smallest":
		out.v = min(a.v, b.v)
	case "largest":
		out.v = max(a.v, b.v)
	}
	return out, nil
}

// reckon works a sum out. The second answer is false where something in it is not
// known yet; what kind comes out is known all the same.
func (x *filler) reckon(s *sum, w *workedOut) (amount, bool, *sumError) {
	switch s.op {
	case "literal":
		return s.literal, true, nil
	case "name":
		list, known, err := x.leaves(s, w, false)
		if r := x.readingsByName()[s.name]; err == nil && r != nil && x.answers[s.name] == nil && r.reading.several() && r.reading.Takes == "" {
			err = &sumError{s.start, s.end, s.name + " is read several times", fmt.Sprintf("smallest(%[1]s), largest(%[1]s) or mean(%[1]s)", s.name)}
		}
		if err != nil {
			return amount{}, false, err
		}
		return list[0], known, nil
	case "neg":
		a, known, err := x.reckon(s.args[0], w)
		a.v = -a.v
		return a, known, err
	}
	var out amount
	known, n := true, 0
	for _, arg := range s.args {
		var list []amount
		var ok bool
		var err *sumError
		if arg.op == "name" && strings.IndexByte("+-*/", s.op[0]) < 0 {
			list, ok, err = x.leaves(arg, w, true)
		} else {
			list = make([]amount, 1)
			list[0], ok, err = x.reckon(arg, w)
		}
		if err != nil {
			return out, false, err
		}
		known = known && ok
		for _, a := range list {
			if n++; n == 1 {
				out = a
				continue
			}
			how := s
			if s.op == "mean" {
				how = &sum{op: "+", start: s.start, end: s.end}
			}
			if out, err = how.join(out, a); err != nil {
				return out, false, err
			}
		}
	}
	if s.op == "mean" {
		out.v /= float64(n)
	}
	if known && (math.IsNaN(out.v) || math.IsInf(out.v, 0)) {
		known = false // over nought: not known rather than endless
	}
	return out, known, nil
}

// leaves are the amounts that a name stands for: all of them where a table is asked
// for and the reading is taken several times, else the one that counts.
func (x *filler) leaves(s *sum, w *workedOut, table bool) ([]amount, bool, *sumError) {
	wrong := func(message, suggestion string) ([]amount, bool, *sumError) {
		return nil, false, &sumError{s.start, s.end, message, suggestion}
	}
	name, figure, dotted := strings.Cut(s.name, ".")
	kind, list, known := "", []value{{}}, false
	switch {
	case dotted:
		p := x.parts[name]
		if p == nil {
			return wrong(fmt.Sprintf("there is no fastener, seal or test %s", source.Shown(name)), x.f.Suggest(name, x.partNames()))
		}
		var ok bool
		if list[0], ok = x.figure(source.Reference{Name: name, Figure: figure}, x.reporterAt(w.of.at.Field("is"))); ok {
			f, _ := p.find(figure)
			kind, known = kindOfUnit(f.Unit), true
			if list[0].number = f.Value; kind == "text" {
				return wrong(fmt.Sprintf("%s is no number", s.name), "")
			}
			break
		}
		w.wrong = true // reported, or not known in this variant
		return []amount{amountOf("number", 0)}, false, nil
	case x.answers[name] != nil:
		a := x.answer(name)
		x.used[name] = true
		kind, known = a.setting.Kind, a.known() && a.raw != ""
		list[0] = a.value
		for _, r := range x.setBy(name) {
			w.hangsOn(r.reading.Name, r.at)
		}
	case x.worked[name] != nil:
		inner := x.worked[name]
		x.workOut(inner)
		for _, r := range inner.readings {
			w.hangsOn(r, x.readingsByName()[r].at)
		}
		if inner.wrong {
			w.wrong = true
		}
		return []amount{inner.amount}, inner.ok, nil
	default:
		r := x.readingsByName()[name]
		if r == nil || r.times > 1 {
			if r != nil {
				return wrong(fmt.Sprintf("%d readings are called %s; nobody can say which is meant", r.times, source.Shown(name)), "names of their own for them")
			}
			suggestion := x.f.Suggest(name, x.allNames())
			if strings.Contains(name, "-") {
				suggestion = "a minus stands between blanks: " + strings.ReplaceAll(name, "-", " - ")
			}
			return wrong(fmt.Sprintf("there is no setting, reading or figure %s", source.Shown(name)), suggestion)
		}
		w.hangsOn(name, r.at)
		kind = r.reading.Kind
		if list, known = x.allTaken(name, r); r.reading.Takes != "" && !table {
			list = make([]value, 1)
			list[0], known = x.recalled(name, r)
		}
	}
	if !numericKind(kind) {
		if kind == "" {
			w.wrong = true
			return []amount{amountOf("number", 0)}, false, nil
		}
		return wrong(fmt.Sprintf("%s is %s, which nothing is worked out from", name, source.Article(kind)), "")
	}
	amounts := make([]amount, len(list))
	for i, v := range list {
		amounts[i] = amountOf(kind, v.number)
	}
	return amounts, known, nil
}
