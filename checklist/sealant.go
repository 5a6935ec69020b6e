package checklist

import (
	"errors"
	"strings"
	"time"

	"fettle/checklist/boiler"
	"fettle/checklist/source"
	"fettle/threads/quantity"
)

// workSealant works out how long an anaerobic sealant wants.
func (x *filler) workSealant(p *part, s *Seal) {
	var in boiler.CureInput
	var states [5]inputState
	in.Surfaces, states[0] = input(x, p, "metals", s.Values["metals"], parseSurfaces)
	in.Gap, states[1] = input(x, p, "gap", s.Values["gap"], quantity.ParseLength)
	in.Temperature, states[2] = input(x, p, "shop", s.Values["shop"], quantity.ParseTemperature)
	in.Sheet, states[3] = input(x, p, "sheet_time", s.Values["sheet_time"], parseWait)
	primer, primerState := input(x, p, "primer", s.Values["primer"], parseYesNo)
	in.Primer, states[4] = primer == "yes", primerState
	day, dayState := input(x, p, "use_by", s.Values["use_by"], parseDate)
	if dayState == given {
		p.number("use_by", dateText(day), dayNumber(day), dayUnit, "as typed in from the container")
	} else {
		p.lacks("it has no `use_by`", "use_by")
	}
	p.echoLength("gap", in.Gap, states[1])
	if states[2] == given {
		p.number("shop", in.Temperature.String(), in.Temperature.C(), "°C", "the procedure")
	} else {
		p.lacks("it has no `shop`", "shop")
	}
	for i, key := range [...]string{"metals", "gap", "shop"} {
		switch states[i] {
		case notGiven:
			p.lacks("it has no `"+key+"`", "cure", "cure_low")
			return
		case notKnown:
			return
		}
	}
	if states[3] == notKnown || states[4] == notKnown {
		return
	}
	cure, err := boiler.Cure(in)
	if err != nil {
		p.refuse(err)
		return
	}
	p.number("cure", quantity.SpanString(cure.Full), cure.Full.Hours(), "h", cure.Source)
	if cure.LowSure > 0 {
		p.number("cure_low", quantity.SpanString(cure.LowSure), cure.LowSure.Hours(), "h", cure.Source)
	} else {
		p.lacks("the container's sheet gives the full time only", "cure_low")
	}
	p.boilerFindings(cure.Findings, "sheet_time")
}

// parseSurfaces reads the two metals that a sealant lies between: "gunmetal,
// stainless"; one metal stands for both sides.
func parseSurfaces(s string) ([2]boiler.Surface, error) {
	var out [2]boiler.Surface
	names := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == '/' || r == '+' })
	if len(names) > 2 || len(names) == 0 {
		return out, errors.New(source.Shown(s) + " is not two metals; write them like: gunmetal, stainless")
	}
	for i, name := range names {
		surface, err := boiler.ParseSurface(strings.TrimSpace(name))
		if err != nil {
			return out, err
		}
		out[i] = surface
	}
	if len(names) == 1 {
		out[1] = out[0]
	}
	return out, nil
}

// parseWait reads a length of time above nought.
func parseWait(s string) (time.Duration, error) {
	d, err := quantity.ParseSpan(s)
	if err == nil && d <= 0 {
		err = errors.New(source.Shown(s) + " is no time at all")
	}
	return d, err
}
