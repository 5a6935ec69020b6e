package boiler

import (
	"fmt"
	"math"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// leastMargin is how many kelvin a limit should lie above the temperature
// before nothing is said about it (common practice, no source).
const leastMargin = 15

// CheckSeal sets what a sealing material stands against what it meets in a
// zone of a boiler of working pressure wp. The findings start with the figure
// to rely on; where sources disagree every figure is compared, and a finding
// says what is disputed. Each comparison carries its margin in kelvin. Worst
// gives the verdict.
//
// Errors as ConditionsIn, a *WordError for an unknown material, and an
// *InputError for a data-sheet limit that cannot be.
func CheckSeal(m SealMaterial, zone Zone, wp quantity.Pressure, site Site) ([]check.Result, error) {
	row, ok := m.row()
	if !ok {
		return nil, &WordError{Kind: "sealing material", Input: string(m), Known: sealNames()}
	}
	c, err := ConditionsIn(zone, wp, site)
	if err != nil {
		return nil, err
	}
	if site.SheetLimit != 0 {
		if err := within("limit from the data sheet", site.SheetLimit, 20, 1000, "°C"); err != nil {
			return nil, err
		}
	}

	var list []check.Result
	if zone == Superheated && (row.class == Elastomer || row.class == PTFE || row.class == Anaerobics) {
		list = append(list, check.Result{
			Rule: "seal-superheat", Severity: check.Stop, Source: commonPractice,
			Message: fmt.Sprintf("No rubber, PTFE or anaerobic sealant in superheated steam; %s is one of them.", m),
		})
	}
	for _, l := range site.limits(m.Limits(c.Medium)) {
		list = append(list, c.judge(string(m), l))
	}
	if site.Oil && (m == EPDMSulphur || m == EPDMPeroxide) {
		list = append(list, check.Result{
			Rule: "seal-oil", Severity: check.Stop, Source: "published elastomer table",
			Message: "Cylinder oil can reach this seal, and mineral oil swells EPDM by 30 to 80 %.",
		})
	}
	switch {
	case row.contested == "" || site.SheetLimit != 0:
	case row.open && check.Worst(list) != check.Good:
		list = append(list, check.Result{Rule: "seal-fibre", Severity: check.Ask, Source: "the name says what is on the yarn, not what it is", Message: row.contested})
	case !row.open && c.Medium == Steam:
		list = append(list, check.Result{Rule: "seal-contested", Severity: check.Ask, Source: "sources disagree", Message: row.contested})
	}
	if zone == ColdFeed && !c.standsSteam(site.limits(row.wet)) {
		list = append(list, clackPassing(c, string(m)))
	}
	list = append(list, c.findings(site)...)
	return append(list, remarks(row.dangers, row.remarks)...), nil
}

// limits is the table's figures, or the data sheet's one where it was typed in.
func (s Site) limits(table []Limit) []Limit {
	if s.SheetLimit != 0 {
		return []Limit{upTo(s.SheetLimit, "the data sheet, as typed in")}
	}
	return table
}

// standsSteam reports whether saturated steam at the place passes none of the limits.
func (c Conditions) standsSteam(limits []Limit) bool {
	c.Medium, c.Temperature = Steam, c.Saturation
	for _, l := range limits {
		if f := c.judge("", l); l.NotSuitable || f.Severity != check.Note && f.Margin < 0 {
			return false
		}
	}
	return true
}

// judge compares one limit with the conditions.
func (c Conditions) judge(what string, l Limit) check.Result {
	f := check.Result{Rule: "temperature-limit", Source: l.Source}
	beyond := l.Beyond
	if beyond == "" {
		beyond = check.Stop
	}
	switch {
	case l.NotSuitable:
		f.Rule, f.Severity = "not-suitable", check.Stop
		f.Message = fmt.Sprintf("%s is not suitable for %s at any temperature.", what, c.Medium)
		return f
	case l.Pressure != 0:
		f.Rule = "pressure-limit"
		if c.Medium == Steam {
			// In saturated steam a pressure is a temperature; the constant table
			// figures are inside the range of the formula.
			t, err := SaturationAtGauge(l.Pressure, quantity.StandardAtmosphere)
			if err == nil {
				f.Compared, f.Limit, f.Margin = true, t.C(), float64(t-c.Temperature)
			}
		}
		if c.DesignPressure > l.Pressure {
			f.Severity = beyond
			f.Message = fmt.Sprintf("%s is for %s up to %s; the boiler may reach %s.", what, c.Medium, l.Pressure, c.DesignPressure)
		} else {
			f.Severity = check.Note
			f.Message = fmt.Sprintf("%s is for %s up to %s; the boiler reaches %s at most.", what, c.Medium, l.Pressure, c.DesignPressure)
		}
		return f
	}
	f.Compared, f.Limit, f.Margin = true, l.Temperature.C(), float64(l.Temperature-c.Temperature)
	limit := l.Temperature.String()
	if l.OrMore {
		limit = "more than " + limit
	}
	f.Message = fmt.Sprintf("%s: limit %s in %s, here %s: ", what, limit, c.Medium, c.Temperature)
	switch {
	case f.Margin < 0:
		f.Severity = beyond
		f.Message += fmt.Sprintf("%s K too hot.", kelvins(-f.Margin))
	case f.Margin < leastMargin:
		f.Severity = check.Warn
		if check.Warn.Worse(beyond) {
			f.Severity = beyond
		}
		f.Message += fmt.Sprintf("only %s K in hand.", kelvins(f.Margin))
	default:
		f.Severity = check.Note
		f.Message += fmt.Sprintf("%s K in hand.", kelvins(f.Margin))
	}
	return f
}

// kelvins prints a temperature difference to a tenth.
func kelvins(d float64) string {
	return fmt.Sprintf("%g", math.Round(d*10)/10)
}

func clackPassing(c Conditions, what string) check.Result {
	return check.Result{
		Rule: "clack-passing", Severity: check.Warn, Source: saturationSource,
		Message: fmt.Sprintf("%s does not stand %s: if the clack passes, steam at that temperature reaches this joint.", what, c.Saturation),
	}
}

// remarks are said of a material wherever it is.
func remarks(dangers, texts []string) []check.Result {
	var list []check.Result
	for _, t := range dangers {
		list = append(list, check.Result{Rule: "remark", Severity: check.Note, Message: t, Source: commonPractice, Danger: true})
	}
	for _, t := range texts {
		list = append(list, check.Result{Rule: "remark", Severity: check.Note, Message: t, Source: commonPractice})
	}
	return list
}

func sealNames() []string {
	rows := sealRows()
	names := make([]string, len(rows))
	for i, r := range rows {
		names[i] = string(r.material)
	}
	return names
}

// SteamReaches is the gauge pressure at which saturated steam has the
// temperature t, with the air at atm: the pressure at which a limit is reached.
// Below the boiling point at atm the answer is negative. Errors as
// SaturationPressure.
func SteamReaches(t quantity.Temperature, atm quantity.AbsolutePressure) (quantity.Pressure, error) {
	p, err := SaturationPressure(t)
	if err != nil {
		return 0, err
	}
	return Gauge(p, atm), nil
}

// WetHeader says what a wet header's place before or after the regulator means
// for its seals and for the hydraulic test. Which it is must be found out on
// the engine: known is false while it is not.
func WetHeader(known, regulatorFirst bool) check.Result {
	f := check.Result{Rule: "header-type", Source: commonPractice}
	switch {
	case !known:
		f.Severity = check.Ask
		f.Message = "Does the regulator sit before or after the wet header? It decides whether the header is under pressure all the time, and whether the hydraulic test reaches it."
	case regulatorFirst:
		f.Severity = check.Warn
		f.Message = "The header is under pressure only with the regulator open: a hydraulic test with the regulator shut does not test it."
	default:
		f.Severity = check.Note
		f.Message = "The regulator comes after the header: the header is at boiler pressure all the time, and its joints belong to the pressure boundary of the boiler."
	}
	return f
}
