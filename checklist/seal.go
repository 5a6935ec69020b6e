package checklist

import (
	"fmt"
	"math"
	"strconv"

	"fettle/checklist/boiler"
	"fettle/checklist/source"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// Figures that every kind of seal can show.
var sealCommon = [...]FigureKey{
	{"material", "Material", ""},
	{"zone", "Zone", ""},
	{"pressure", "Working pressure", "gauge"},
	{"test", "Test pressure", "gauge"},
	{"temperature", "Temperature there", "at 1.1 times the working pressure where it is steam"},
	{"limit", "Limit of the material", "the figure to rely on where sources disagree"},
	{"margin", "In hand", "from the temperature to the limit, in kelvin"},
}

var packingFigures = [...]FigureKey{
	{"section", "Packing section", "side of the square packing"},
	{"ring_length", "Cut each ring", "on its middle line"},
	{"rings", "Rings", ""},
	{"order", "Packing to order", "for all rings, with a tenth for the cuts"},
	{"stack", "Height of the rings", "before they are nipped"},
	{"spacer", "Spacer below the rings", "0 where the rings fill the depth"},
	{"follower_min", "Follower goes in, least", "from touching the rings to set"},
	{"follower_max", "Follower goes in, most", ""},
	{"turns_min", "Turns of the nut, least", "from touching the rings to set"},
	{"turns_max", "Turns of the nut, most", ""},
	{"entry", "Follower in the box", "before it is tightened"},
	{"spindle", "Spindle", ""},
	{"box", "Packing box", ""},
	{"depth", "Depth for packing", ""},
	{"thrust", "Push on the spindle", "of the working pressure on its end"},
}

var gasketFigures = [...]FigureKey{
	{"inner", "Gasket inside", ""},
	{"outer", "Gasket outside", ""},
	{"thickness", "Thickness", "once clamped"},
	{"width", "Width of the ring", ""},
	{"mean", "Mean diameter", ""},
	{"bore", "Bore", "that the pressure acts on"},
}

var sealantFigures = [...]FigureKey{
	{"use_by", "To be used by", "as typed in from the container"},
	{"cure", "Cure", "until full test pressure; a planning figure unless the container's time was entered"},
	{"cure_low", "First look", "after this, water at no more than 0.5 bar"},
	{"shop", "Shop temperature", ""},
	{"gap", "Gap", "on the radius"},
}

// CommonFigures lists the figures that every kind of seal has.
func CommonFigures() []FigureKey { return sealCommon[:] }

// sealFigures lists the figures of one kind of seal.
func sealFigures(kind string) []FigureKey {
	var own []FigureKey
	switch kind {
	case "packing":
		own = packingFigures[:]
	case "gasket":
		own = gasketFigures[:]
	case "o-ring":
		own = ringFigures[:]
	case "sealant":
		own = sealantFigures[:]
	}
	return append(own[:len(own):len(own)], sealCommon[:]...)
}

func (x *filler) workSeal(p *part, s *Seal) {
	material, hasMaterial := input(x, p, "material", s.Material, boiler.ParseSealMaterial)
	zone, hasZone := input(x, p, "zone", s.Zone, boiler.ParseZone)
	pressure, hasPressure := input(x, p, "pressure", s.Pressure, workingPressure)
	typed := func(s string) (quantity.Pressure, error) {
		p.scale = quantity.ScaleOf(s)
		return workingPressure(s)
	}
	if test, state := input(x, p, "test", s.Test, typed); state == given {
		p.pressure("test", test, "the procedure")
	} else if state == notGiven {
		p.lacks("it has no `test`", "test")
	}
	switch s.Kind {
	case "packing":
		x.workPacking(p, s, pressure)
	case "gasket":
		x.workGasket(p, s)
	case "o-ring":
		x.workRing(p, s)
	case "sealant":
		x.workSealant(p, s)
	}

	if hasMaterial == given {
		p.add("material", string(material), "the procedure")
		p.anaerobic = material.Class() == boiler.Anaerobics
	} else {
		p.lacks("it has no `material`", "material", "limit", "margin")
	}
	if hasZone == given {
		p.add("zone", string(zone), "the procedure")
	} else {
		p.lacks("it has no `zone`", "zone", "temperature", "limit", "margin")
	}
	if hasPressure == given {
		p.number("pressure", pressure.String(), pressure.Bar(), "bar", "the procedure")
	} else {
		p.lacks("it has no `pressure`", "pressure", "temperature", "limit", "margin")
	}
	if hasZone != given || hasPressure != given {
		return
	}
	site, ok := x.site(p, s)
	if !ok {
		return
	}
	conditions, err := boiler.ConditionsIn(zone, pressure, site)
	if err != nil {
		p.refuse(err)
		return
	}
	p.number("temperature", benchTemperature(conditions.Temperature), conditions.Temperature.C(), "°C", conditions.Source)
	if hasMaterial != given {
		return
	}
	list, err := boiler.CheckSeal(material, zone, pressure, site)
	if err != nil {
		p.refuse(err)
		return
	}
	for _, f := range list {
		if f.Compared {
			p.number("limit", benchTemperature(quantity.Temperature(f.Limit)), f.Limit, "°C", f.Source)
			p.number("margin", strconv.Itoa(int(math.Floor(f.Margin+1e-9)))+" K", f.Margin, "K", f.Source)
			break
		}
	}
	if _, found := p.find("limit"); !found {
		p.lacks(fmt.Sprintf("no source gives a limit of %s in %s", material, conditions.Medium), "limit", "margin")
	}
	p.boilerFindings(list, "material")
}

// site is what the file says about the place beside the working pressure.
func (x *filler) site(p *part, s *Seal) (boiler.Site, bool) {
	var site boiler.Site
	var states [3]inputState
	site.Measured, states[0] = input(x, p, "measured", s.Values["measured"], quantity.ParseTemperature)
	site.SheetLimit, states[1] = input(x, p, "sheet_limit", s.Values["sheet_limit"], quantity.ParseTemperature)
	oil, oilState := input(x, p, "oil", s.Values["oil"], parseYesNo)
	site.Oil, states[2] = oil == "yes", oilState
	for _, state := range states {
		if state == notKnown {
			return site, false
		}
	}
	return site, true
}

func (p *part) boilerFindings(list []check.Result, key string) {
	for _, f := range list {
		if f.Rule == "cure-before-pressure" || f.Rule == "never-above" {
			f.Severity = check.Note // said every time, whatever the file says
		}
		p.finding(f, key)
	}
}

func (x *filler) workPacking(p *part, s *Seal, pressure quantity.Pressure) {
	var g boiler.Gland
	var states [4]inputState
	g.Spindle, states[0] = input(x, p, "spindle", s.Values["spindle"], positiveLength)
	g.Box, states[1] = input(x, p, "box", s.Values["box"], positiveLength)
	g.Depth, states[2] = input(x, p, "depth", s.Values["depth"], positiveLength)
	states[3] = x.glandNut(p, s, &g)
	for i, key := range [...]string{"spindle", "box", "depth"} {
		if states[i] == notGiven {
			p.lacks("it has no `"+key+"`", "section", "ring_length", "rings", "order", "stack", "spacer",
				"follower_min", "follower_max", "turns_min", "turns_max", key)
		}
	}
	if states[0] == given {
		p.length("spindle", g.Spindle, "the procedure")
		if pressure > 0 {
			if f, err := boiler.SpindleThrust(g.Spindle, pressure); err == nil {
				p.number("thrust", f.String(), f.N(), "N", "calculated: pressure × area of the spindle")
			}
		} else {
			p.lacks("it has no `pressure`", "thrust")
		}
	} else {
		p.lacks("it has no `spindle`", "thrust")
	}
	if states[1] == given {
		p.length("box", g.Box, "the procedure")
	}
	if states[2] == given {
		p.length("depth", g.Depth, "the procedure")
	}
	p.length("entry", boiler.FollowerEntry, "published packing guides")
	if states[0] != given || states[1] != given || states[2] != given || states[3] == notKnown {
		return
	}
	pack, err := boiler.PackGland(g)
	if err != nil {
		p.refuse(err)
		return
	}
	const guides = "published packing guides"
	p.length("section", pack.Section, "calculated: (box - spindle) / 2")
	p.number("ring_length", benchTenth(pack.RingLength), pack.RingLength.MM(), "mm", "calculated: mean circumference, π × (spindle + section)")
	p.number("rings", strconv.Itoa(pack.Rings), float64(pack.Rings), "", guides)
	p.number("order", benchOrder(pack.OrderLength), pack.OrderLength.MM(), "mm", "calculated: rings × ring length × 1.1 (common practice, no source)")
	p.length("stack", pack.Stack, "calculated: rings × section")
	p.length("spacer", pack.Spacer, "calculated: depth - height of the rings")
	p.number("follower_min", benchTenth(pack.FollowerMin), pack.FollowerMin.MM(), "mm", guides+": 25 % of the height of the rings")
	p.number("follower_max", benchTenth(pack.FollowerMax), pack.FollowerMax.MM(), "mm", guides+": 35 % of the height of the rings")
	if g.NutPitch > 0 {
		p.number("turns_min", benchTurns(pack.TurnsMin), pack.TurnsMin, "turns", "calculated: follower travel / pitch of the nut")
		p.number("turns_max", benchTurns(pack.TurnsMax), pack.TurnsMax, "turns", "calculated: follower travel / pitch of the nut")
	} else {
		p.lacks("it has no `nut`", "turns_min", "turns_max")
	}
	p.boilerFindings(pack.Findings, "depth")
}

func (x *filler) workGasket(p *part, s *Seal) {
	inner, hasInner := input(x, p, "inner", s.Values["inner"], positiveLength)
	outer, hasOuter := input(x, p, "outer", s.Values["outer"], positiveLength)
	thickness, hasThickness := input(x, p, "thickness", s.Values["thickness"], positiveLength)
	p.echoLength("inner", inner, hasInner)
	p.echoLength("outer", outer, hasOuter)
	p.echoLength("thickness", thickness, hasThickness)
	bore, hasBore := input(x, p, "bore", s.Values["bore"], positiveLength)
	p.echoLength("bore", bore, hasBore)
	switch {
	case hasInner == notGiven || hasOuter == notGiven:
		p.lacks("it needs `inner` and `outer`", "width", "mean")
	case hasInner == given && hasOuter == given && inner >= outer:
		p.refuseAt(p.at.Field("inner"), fmt.Sprintf("the inside, %s, is not smaller than the outside, %s", benchLength(inner), benchLength(outer)))
	case hasInner == given && hasOuter == given:
		p.length("width", (outer-inner)/2, "calculated: (outer - inner) / 2")
		p.length("mean", (outer+inner)/2, "calculated: (outer + inner) / 2")
	}
}

// glandNut reads the thread of the fastener that `nut` names. Two and more of
// it are screws that draw a flanged follower: their core says nothing.
func (x *filler) glandNut(p *part, s *Seal, g *boiler.Gland) inputState {
	name, state := input(x, p, "nut", s.Values["nut"], func(s string) (string, error) { return s, nil })
	if state != given {
		return state
	}
	for i := range x.p.Fasteners {
		nut := &x.p.Fasteners[i]
		if nut.Name != name {
			continue
		}
		// Its own mistakes are reported where it stands.
		raw, ok := x.quietly(nut.Thread)
		if !ok {
			p.silent = true
			return notKnown
		}
		t, err := threads.Parse(raw)
		if err != nil {
			p.silent = true
			return notKnown
		}
		x.name(x.parts[name])
		g.NutPitch = t.Lead()
		if count, ok := x.quietly(nut.Count); ok && (count == "" || count == "1") {
			g.NutCore = t.MinorExternal()
		}
		return given
	}
	x.f.Value(check.Stop, source.RuleUnknownName, p.at.Field("nut"), fmt.Sprintf("there is no fastener %s", source.Shown(name)), x.f.Suggest(name, x.fastenerNames()))
	p.silent = true
	return notKnown
}

func (x *filler) fastenerNames() []string {
	names := make([]string, len(x.p.Fasteners))
	for i, f := range x.p.Fasteners {
		names[i] = f.Name
	}
	return names
}

// workingPressure reads a gauge pressure above nought.
func workingPressure(s string) (quantity.Pressure, error) {
	v, err := quantity.ParsePressure(s)
	if err == nil && v <= 0 {
		err = fmt.Errorf("%s is no working pressure; it has to be more than 0", source.Shown(s))
	}
	return v, err
}

// materialName is the usual name of a material: what a seal is made of, a
// metal, or the grade of a screw.
func materialName(raw string) (string, error) {
	m, err := boiler.ParseSealMaterial(raw)
	if err == nil {
		return string(m), nil
	}
	if metal, metalErr := fastening.ParseMetal(raw); metalErr == nil {
		return metal.String(), nil
	}
	if grade, gradeErr := fastening.ParseGrade(raw); gradeErr == nil {
		return grade.String(), nil
	}
	return "", err
}
