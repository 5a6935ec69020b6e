package fastening

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// WetInput is a fastener in its hole, as the rules of wet service see it.
type WetInput struct {
	Grade Grade
	Into  Metal // tapped metal; may be unset
	// Wet says that the hole breaks through to water or steam, or that weeps can
	// stand on the thread.
	Wet bool
	// Unstressed says that it is a fitting or a plug and not a screw or stud that
	// holds a joint together.
	Unstressed bool
	// Lubricant is what is on the thread; unset where nobody said.
	Lubricant Lubricant
	// Temperature is the hottest the fastener gets; nought where not known.
	Temperature quantity.Temperature
}

// CheckWet judges whether a fastener may live where it is: rust, loss of zinc,
// stress corrosion, galling, galvanic pairs and temperature. No findings means
// nothing to object to. Sources are named in each finding; the workshop rules
// behind most of them are common practice.
func CheckWet(in WetInput) []check.Result {
	var fs []check.Result
	if in.Wet {
		fs = append(fs, checkWetMetal(in.Grade, !in.Unstressed)...)
		fs = append(fs, checkGalvanic(in.Grade, in.Into)...)
	}
	fs = append(fs, checkGalling(in.Grade.Family, in.Into, in.Lubricant)...)
	return append(fs, checkHot(in)...)
}

func checkWetMetal(g Grade, stressed bool) []check.Result {
	one := func(rule string, sev check.Severity, source, format string, args ...any) []check.Result {
		return []check.Result{{Rule: rule, Severity: sev, Message: fmt.Sprintf(format, args...), Source: source}}
	}
	switch g.Family {
	case Steel, CastIron:
		if g.Coating != Plain {
			return one("wet-plated", check.Stop, commonPractice, "%s in a wet hole: the plating goes first, then the steel rusts in, swells and shears when it is taken out", g)
		}
		return one("wet-steel", check.Stop, commonPractice, "%s in a wet hole rusts in, swells and shears when it is taken out", g)
	case Aluminium:
		return one("wet-aluminium", check.Stop, commonPractice, "Aluminium (%s) in a wet hole is eaten by the water and by the copper round it", g)
	case HardStainless:
		return one("wet-stainless", check.Ask, "ISO 3506-1; local code", "Martensitic stainless (%s) rusts in hot water more readily than A2 or A4; ask whether the local code allows it", g)
	case FreeStainless:
		return []check.Result{
			{Rule: "wet-free-stainless", Severity: check.Warn, Message: fmt.Sprintf("%s is a free-machining stainless: its sulphides corrode in water; A2 or A4 is better", g), Source: "stainless references"},
			{Rule: "wet-stainless", Severity: check.Ask, Message: "Some local codes restrict stainless in wet holes (chloride stress corrosion, 60 °C is a guide and no threshold): ask", Source: "a regulator's review of 2011; local code"},
		}
	case Stainless:
		return one("wet-stainless", check.Ask, "a regulator's review of 2011; local code", "%s is widely used wet, but chloride in crevices can crack it (60 °C is a guide and no threshold), and some local codes restrict it: ask", g)
	case Brass:
		sev, what := check.Warn, "Brass (%s) in a wet hole is weak, loses its zinc over the years and is often refused"
		if !stressed {
			what = "Brass (%s) in a wet hole loses its zinc over the years; inspectors differ"
		}
		return one("wet-brass", sev, "alloys above 15 % zinc are prone to dezincification; practice and codes differ", what, g)
	case DZRBrass:
		if stressed {
			return one("wet-brass", check.Warn, "EN ISO 6509", "Dezincification-resistant brass (%s) resists better but is not immune: for fittings perhaps, for screws no", g)
		}
		return one("wet-brass", check.Note, "EN ISO 6509", "Dezincification-resistant brass (%s) resists better than common brass but is not immune", g)
	}
	return nil
}

// The differences of anodic index in volts that a wet and an ordinary place
// allow: MIL-STD-1250A.
const (
	galvanicHarsh  = 0.15
	galvanicNormal = 0.25
)

func checkGalvanic(g Grade, m Metal) []check.Result {
	if m.IsZero() {
		return nil
	}
	screw := g.volts
	if g.Coating == ZincPlated {
		screw = voltsZinc
	}
	if g.Coating == NickelPlated {
		screw = voltsNickel
	}
	diff := screw - m.volts
	if math.Abs(diff) <= galvanicHarsh+1e-9 {
		return nil
	}
	sev := check.Note
	if math.Abs(diff) > galvanicNormal+1e-9 {
		sev = check.Warn
	}
	goes := "the fastener, small beside the metal round it, is eaten"
	if diff < 0 {
		goes = "the metal round the fastener is eaten; it is large beside it, so slowly"
	}
	return []check.Result{{Rule: "galvanic", Severity: sev,
		Message: fmt.Sprintf("%s in %s: %.2f V apart (0.15 allowed in wet, 0.25 in ordinary places); %s", g, m, math.Abs(diff), goes),
		Source:  "MIL-STD-1250A anodic index; a sea-water series, taken as a warning only"}}
}

func checkGalling(screw Family, into Metal, l Lubricant) []check.Result {
	if !isStainless(screw) {
		return nil
	}
	both := isStainless(into.Family)
	switch {
	case both && !l.Lubricates:
		return []check.Result{{Rule: "galling", Severity: check.Warn, Message: "Stainless in stainless without a lubricant seizes: use a nickel, graphite or molybdenum paste, turn slowly by hand, or use a bronze nut", Source: "ISO 3506-1:2020"}}
	case both:
		return []check.Result{{Rule: "galling", Severity: check.Note, Message: "Stainless in stainless can seize even when greased: turn slowly, no power driver", Source: "ISO 3506-1:2020"}}
	case l.Name == "dry":
		return []check.Result{{Rule: "galling", Severity: check.Warn, Message: "Lubricate stainless fasteners always; damaged threads, high preload and speed make them seize", Source: "ISO 3506-1:2020"}}
	}
	return nil
}

// shortOfLimit is the margin below a temperature limit that draws a warning, in kelvin.
const shortOfLimit = 15

func checkHot(in WetInput) []check.Result {
	if in.Temperature == 0 {
		return nil
	}
	var fs []check.Result
	reach := func(name string, h heat) {
		t := float64(in.Temperature)
		switch {
		case !real(t):
			return
		case t > h.limit:
			fs = append(fs, check.Result{Rule: "metal-hot", Severity: check.Stop, Message: fmt.Sprintf("%s at %v: its limit is %g °C", name, in.Temperature, h.limit), Source: h.source})
		case t > h.limit-shortOfLimit:
			fs = append(fs, check.Result{Rule: "metal-hot", Severity: check.Warn, Message: fmt.Sprintf("%s at %v: only %.0f °C below its limit of %g °C", name, in.Temperature, h.limit-t, h.limit), Source: h.source})
		}
	}
	reach(in.Grade.String(), in.Grade.heat)
	if isStainless(in.Grade.Family) && in.Grade.Standard == "ISO 3506-1" && float64(in.Temperature) > 150 && float64(in.Temperature) <= in.Grade.heat.limit {
		fs = append(fs, check.Result{Rule: "metal-warm", Severity: check.Note, Message: fmt.Sprintf("Above 150 °C %s is outside its plain range; it is used to 300 °C with less strength", in.Grade), Source: "ISO 3506-1:2020 scope"})
	}
	if !in.Into.IsZero() {
		reach(in.Into.String(), in.Into.heat)
	}
	return fs
}
