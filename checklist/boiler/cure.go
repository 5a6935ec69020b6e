package boiler

import (
	"fmt"
	"math"
	"time"

	"fettle/threads/check"
	"fettle/threads/quantity"
)

// Surface is a metal surface as an anaerobic sealant meets it.
type Surface struct {
	Name string
	// Active surfaces give off the metal ions that make the sealant set; passive
	// ones need a primer.
	Active bool
}

func surfaces() []word[Surface] {
	list := func(active bool, names ...[]string) []word[Surface] {
		var words []word[Surface]
		for _, n := range names {
			words = append(words, word[Surface]{Surface{n[0], active}, n[0], n[1:]})
		}
		return words
	}
	return append(
		list(true,
			[]string{"copper"}, []string{"brass"}, []string{"bronze", "phosphor bronze"}, []string{"gunmetal", "gun metal", "lg2"},
			[]string{"plain steel", "steel", "mild steel", "carbon steel"}, []string{"iron", "cast iron"}),
		list(false,
			[]string{"stainless", "stainless steel", "a2", "a4"}, []string{"zinc plate", "zinc", "zinc plated", "galvanised"},
			[]string{"anodised aluminium", "anodised", "anodized"}, []string{"chrome plate", "chrome", "chromium"})...)
}

// ParseSurface reads the name of a metal or plating; its error is a *WordError
// that lists what is known. Anything not listed should be treated as passive.
func ParseSurface(s string) (Surface, error) { return parseWord("metal surface", s, surfaces()) }

// Surfaces lists the known surfaces, active ones first.
func Surfaces() []Surface {
	words := surfaces()
	list := make([]Surface, len(words))
	for i, w := range words {
		list[i] = w.value
	}
	return list
}

// CureInput asks how long an anaerobic sealant wants.
type CureInput struct {
	// Temperature is the lowest the joint will have until it is cured.
	Temperature quantity.Temperature
	Surfaces    [2]Surface
	// Gap is the widest gap the sealant has to fill, on the radius.
	Gap quantity.Length
	// Primer is set where the passive surfaces were primed.
	Primer bool
	// Reference is the time to full cure at 20 °C between active metals; 0 stands
	// for 24 h, the ordinary statement for such sealants.
	Reference time.Duration
	// Sheet is the time to full cure that the container's data sheet gives for
	// this temperature, these metals and this gap; 0 where it was not read. It
	// replaces every figure worked out here.
	Sheet time.Duration
}

// Curing is when a sealant may be loaded.
type Curing struct {
	// Full is the time to full cure: nothing is put under test pressure before.
	Full time.Duration
	// LowEarliest and LowSure are the times after which a look with water at no
	// more than LowPressure may be had; zero where only the sheet's full time is known.
	LowEarliest, LowSure time.Duration
	// Planning is set where Full is a planning figure, not the container's.
	Planning bool
	// The factors Full is made of.
	TemperatureFactor, MetalFactor, GapFactor float64
	Source                                    string
	Findings                                  []check.Result
}

// LowPressure is the most that a joint with half-cured sealant may be filled to.
const LowPressure quantity.Pressure = 0.5

const (
	cureReference   = 24 * time.Hour // published statement: fully cured in 24 h at room temperature
	cureLowEarliest = time.Hour      // of the reference of 24 h; common practice
	cureLowSure     = 3 * time.Hour

	coldestCure quantity.Temperature = 5
	hottestCure quantity.Temperature = 40

	gapTight quantity.Length = 0.10
	gapWide  quantity.Length = 0.25

	cureSource  = "planning figure: an interpolation made for this program (" + commonPractice + "); the container's data sheet overrides it"
	sheetSource = "the container's data sheet, as typed in"
)

// Cure plans how long an anaerobic sealant wants: the reference time doubled
// for every 10 K below 20 °C, doubled where one surface is passive, and doubled
// for a gap of more than 0.10 mm.
//
// It is a planning figure; a time from the container's data sheet replaces it.
// A gap above 0.25 mm and two unprimed passive surfaces are refused with an
// *InputError even then, a temperature outside 5 to 40 °C unless the sheet's
// time was entered. Source: common practice; see Curing.Source.
func Cure(in CureInput) (Curing, error) {
	if err := firstError(
		within("temperature", in.Temperature, -60, 200, "°C"),
		within("gap", in.Gap, 0, 5, "mm"),
		within("reference time", in.Reference.Hours(), 0, 24*365, "h"),
		within("time from the data sheet", in.Sheet.Hours(), 0, 24*365, "h"),
	); err != nil {
		return Curing{}, err
	}
	for _, s := range in.Surfaces {
		if s.Name == "" {
			return Curing{}, &WordError{Kind: "metal surface", Known: surfaceNames()}
		}
	}
	passive := 0
	for _, s := range in.Surfaces {
		if !s.Active {
			passive++
		}
	}
	if in.Gap > gapWide {
		return Curing{}, &InputError{Field: "gap", Problem: fmt.Sprintf("%s is too wide for an anaerobic sealant to set", in.Gap),
			Expected: "at most " + gapWide.String() + "; above 0.76 mm none cures"}
	}
	if passive == 2 && !in.Primer {
		return Curing{}, &InputError{Field: "metals", Problem: fmt.Sprintf("%s against %s: neither makes the sealant set", in.Surfaces[0].Name, in.Surfaces[1].Name),
			Expected: "a primer, or one surface of copper, brass, bronze, gunmetal, plain steel or iron"}
	}
	c := Curing{TemperatureFactor: 1, MetalFactor: 1, GapFactor: 1, Planning: in.Sheet == 0, Source: cureSource}
	if in.Sheet > 0 {
		c.Full, c.Source = in.Sheet, sheetSource
		c.Findings = cureNotes(c, passive, in.Primer)
		return c, nil
	}
	if in.Temperature < coldestCure || in.Temperature > hottestCure {
		return Curing{}, &InputError{Field: "temperature", Problem: in.Temperature.String() + " is outside the planning rule",
			Expected: fmt.Sprintf("%s to %s; warm the work, or enter the data sheet's time", coldestCure, hottestCure)}
	}
	reference := in.Reference
	if reference == 0 {
		reference = cureReference
	}
	c.TemperatureFactor = math.Exp2(float64(20-in.Temperature) / 10)
	if passive == 1 && !in.Primer {
		c.MetalFactor = 2
	}
	if in.Gap > gapTight {
		c.GapFactor = 2
	}
	factor := c.TemperatureFactor * c.MetalFactor * c.GapFactor
	c.Full = scale(reference, factor)
	// The low-pressure times belong to the reference of 24 h.
	share := factor * float64(reference) / float64(cureReference)
	c.LowEarliest, c.LowSure = scale(cureLowEarliest, share), scale(cureLowSure, share)
	c.Findings = cureNotes(c, passive, in.Primer)
	return c, nil
}

func scale(d time.Duration, factor float64) time.Duration {
	return time.Duration(math.Round(float64(d)*factor/float64(time.Minute))) * time.Minute
}

func surfaceNames() []string {
	var names []string
	for _, s := range Surfaces() {
		names = append(names, s.Name)
	}
	return names
}

func cureNotes(c Curing, passive int, primer bool) []check.Result {
	var list []check.Result
	if c.Planning {
		list = append(list, check.Result{Rule: "cure-planning", Severity: check.Ask, Source: cureSource,
			Message: "A planning figure only. The time on the container's data sheet overrides it: enter it."})
	}
	if passive > 0 && !primer {
		list = append(list, check.Result{Rule: "cure-primer", Severity: check.Note, Source: commonPractice,
			Message: "One metal is passive. With primer it counts as active; let the primer flash off."})
	}
	if primer {
		list = append(list, check.Result{Rule: "cure-primer", Severity: check.Note, Source: commonPractice,
			Message: "Let the primer flash off before the sealant goes on."})
	}
	return append(list,
		check.Result{Rule: "cure-before-pressure", Severity: check.Note, Danger: true, Source: commonPractice,
			Message: fmt.Sprintf("No test pressure before the full time. Until then at most a look with water at %s.", LowPressure)},
		check.Result{Rule: "cure-disturbed", Severity: check.Note, Source: commonPractice,
			Message: "Assemble once and do not back off: a broken film has to be done again. If the shop gets colder than entered, work the time out again."})
}
