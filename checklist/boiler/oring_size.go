package boiler

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fettle/threads/quantity"
)

// Ring is an O-ring.
type Ring struct {
	Name    string          // "AS568-008", "BS 4518 0041-16" or "4.47 x 1.78 mm"
	Inside  quantity.Length // inside diameter, unstretched
	Section quantity.Length // diameter of the cord
	Source  string
}

// Outside is the outside diameter of the unstretched ring.
func (r Ring) Outside() quantity.Length { return r.Inside + 2*r.Section }

// dashRun is a run of inch sizes whose nominal bore grows by even steps; the
// ring is smaller than its nominal bore by the allowance of its section.
type dashRun struct {
	first, last int
	start, step float64 // nominal bore of the first size and growth per size, inches
}

// dashSection is one section of the inch series.
type dashSection struct {
	section   float64 // inches
	allowance float64 // nominal bore less inside diameter, inches
	runs      []dashRun
}

// dashSections builds SAE AS568 (the same inch sizes as BS 1806 and the
// general-purpose series of ISO 3601-1), from memory: the printed inside
// diameters follow the nominal bore less a fixed allowance, rounded down to a
// thousandth where the fourth figure is a five. Sizes beyond 6 in are left out.
func dashSections() []dashSection {
	const e, f, s, t = 1. / 8, 1. / 4, 1. / 16, 1. / 32
	return []dashSection{
		{0.070, 0.011, []dashRun{{6, 10, 1. / 8, t}, {11, 28, 5. / 16, s}, {29, 41, 1.5, e}, {42, 50, 3.25, f}}},
		{0.103, 0.013, []dashRun{{102, 107, 1. / 16, t}, {108, 150, 1. / 4, s}, {151, 151, 3, 0}, {152, 163, 3.25, f}}},
		{0.139, 0.016, []dashRun{{201, 222, 3. / 16, s}, {223, 258, 1.625, e}}},
		{0.210, 0.025, []dashRun{{309, 324, 7. / 16, s}, {325, 361, 1.5, e}}},
		{0.275, 0.025, []dashRun{{425, 437, 4.5, e}}},
	}
}

// The smallest inch sizes follow no run.
func smallDashSizes() []struct {
	dash            int
	inside, section float64
} {
	return []struct {
		dash            int
		inside, section float64
	}{
		{1, 0.029, 0.040}, {2, 0.042, 0.050}, {3, 0.056, 0.060}, {4, 0.070, 0.070}, {5, 0.101, 0.070},
	}
}

const (
	dashSource   = "from memory: SAE AS568, the inch sizes of BS 1806 and ISO 3601-1"
	bs4518Source = "BS 4518 sizes, as listed on a public page"
	typedIn      = "as typed in"
)

func dashRing(dash int, inside, section float64) Ring {
	return Ring{
		Name:   fmt.Sprintf("AS568-%03d", dash),
		Inside: quantity.FromInches(inside), Section: quantity.FromInches(section),
		Source: dashSource,
	}
}

// metricRun is a list of BS 4518 inside diameters in one section, in mm.
type metricRun struct {
	section float64
	inside  []float64
}

// metricRuns are the sizes of BS 4518 that could be read: all of section 1.6 mm and
// the first of 2.4 mm. The rest of the standard was not seen; a size of it is taken by
// its code, which spells it out (see ParseRing).
func metricRuns() []metricRun {
	return []metricRun{
		{1.6, []float64{3.1, 4.1, 5.1, 6.1, 7.1, 8.1, 9.1, 10.1, 11.1, 12.1, 13.1, 14.1, 15.1, 16.1, 17.1, 18.1, 19.1,
			22.1, 25.1, 27.1, 29.1, 32.1, 35.1, 37.1}},
		{2.4, []float64{3.6, 4.6, 5.6}},
	}
}

// Rings lists the standard rings up to 6 in inside diameter: the inch sizes of
// AS568 (the same as BS 1806 and ISO 3601-1) and those of BS 4518 that were read.
func Rings() []Ring {
	var list []Ring
	for _, r := range smallDashSizes() {
		list = append(list, dashRing(r.dash, r.inside, r.section))
	}
	for _, s := range dashSections() {
		for _, run := range s.runs {
			for dash := run.first; dash <= run.last; dash++ {
				bore := run.start + float64(dash-run.first)*run.step
				// Half a thousandth goes down: a hair less than a half before rounding.
				inside := math.Round((bore-s.allowance)*1000-1e-6) / 1000
				list = append(list, dashRing(dash, inside, s.section))
			}
		}
	}
	for _, run := range metricRuns() {
		for _, inside := range run.inside {
			list = append(list, Ring{
				Name:   fmt.Sprintf("BS 4518 %04.0f-%02.0f", inside*10, run.section*10),
				Inside: quantity.Length(inside), Section: quantity.Length(run.section),
				Source: bs4518Source,
			})
		}
	}
	return list
}

// ParseRing reads an O-ring: a dash number of AS568, BS 1806 or ISO 3601-1
// ("AS568-008", "BS 008", "-008"), a BS 4518 code ("0041-16"), or its inside
// diameter and section ("4.47 x 1.78", "0.176 in x 0.07 in"). The error is an
// *InputError that says what was expected.
func ParseRing(s string) (Ring, error) {
	const expected = `a size such as AS568-008, 0041-16 or "4.47 x 1.78" (inside diameter x section)`
	name := strings.ToLower(strings.Join(strings.Fields(s), ""))
	if name == "" {
		return Ring{}, &InputError{Field: "O-ring", Problem: "nothing given", Expected: expected}
	}
	for _, series := range []string{"as568", "bs1806", "iso3601", "bs"} {
		dash, ok := strings.CutPrefix(name, series)
		if dash = strings.TrimPrefix(dash, "-"); (ok || series == "bs") && len(dash) == 3 && digits(dash) {
			return listedRing("AS568-"+dash, expected)
		}
	}
	code := strings.TrimPrefix(strings.TrimPrefix(name, "bs4518"), "-")
	if len(code) == 7 && code[4] == '-' && digits(code[:4]+code[5:]) {
		if r, err := listedRing("BS 4518 "+code, expected); err == nil {
			return r, nil
		}
		// The code spells out the size, listed or not.
		inside, _ := strconv.Atoi(code[:4])
		section, _ := strconv.Atoi(code[5:])
		return checkRing(Ring{
			Name: "BS 4518 " + code, Inside: quantity.Length(inside) / 10, Section: quantity.Length(section) / 10,
			Source: "spelled out by its BS 4518 code; not among the listed sizes",
		})
	}
	parts := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == 'x' || r == '×' || r == '*' })
	if len(parts) != 2 {
		return Ring{}, &InputError{Field: "O-ring", Problem: fmt.Sprintf("%q is no ring", clip(s)), Expected: expected}
	}
	var sizes [2]quantity.Length
	for i, part := range parts {
		l, err := quantity.ParseLength(part)
		if err != nil {
			return Ring{}, &InputError{Field: "O-ring", Problem: err.Error(), Expected: expected}
		}
		sizes[i] = l
	}
	return checkRing(Ring{
		Name:   fmt.Sprintf("%s x %s", strings.TrimSuffix(sizes[0].String(), " mm"), sizes[1]),
		Inside: sizes[0], Section: sizes[1], Source: typedIn,
	})
}

// listedRing finds a standard ring by its full name.
func listedRing(name, expected string) (Ring, error) {
	for _, r := range Rings() {
		if r.Name == name {
			return r, nil
		}
	}
	return Ring{}, &InputError{Field: "O-ring", Problem: name + " is not among the sizes up to 6 in", Expected: expected}
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }

// checkRing refuses rings that cannot be.
func checkRing(r Ring) (Ring, error) {
	if err := firstError(
		within("section of the O-ring", r.Section, 0.5, 15, "mm"),
		within("inside diameter of the O-ring", r.Inside, 0.5, 500, "mm"),
	); err != nil {
		return Ring{}, err
	}
	return r, nil
}
