package boiler

import (
	"fmt"
	"slices"

	"fettle/threads/quantity"
)

// DividingInput asks how to index a dividing head or rotary table.
type DividingInput struct {
	Divisions int // 2 to 1000
	// Ratio is the turns of the handle for one turn of the work: 40 for most
	// dividing heads, 60, 72 or 90 for rotary tables; 0 stands for 40.
	Ratio int
	// Circles are the hole circles of the plates at hand; nil stands for the
	// usual set of three plates, 15 to 49 holes.
	Circles []int
}

// Dividing is how to index one division: Whole turns of the handle and Holes
// on a circle of Circle holes. Whole + Holes/Circle is exactly Ratio/Divisions.
type Dividing struct {
	Divisions, Ratio int
	Whole            int
	Holes, Circle    int   // 0 and 0 where whole turns do it
	Plate            int   // 1 to 3 of the usual set; 0 where it is not from it, or none is needed
	Sector           int   // holes between the sector arms, both ends counted: Holes + 1
	Others           []int // other circles at hand that do as well
	Angle            quantity.Angle
	Degrees, Minutes int // the angle for a table graduated in degrees
	Seconds          float64
}

// usualPlates are the hole circles of the three plates that most 40:1 heads
// come with (from memory, and common practice).
var usualPlates = [3][6]int{{15, 16, 17, 18, 19, 20}, {21, 23, 27, 29, 31, 33}, {37, 39, 41, 43, 47, 49}}

// UsualCircles lists the hole circles of the usual plates.
func UsualCircles() []int {
	var list []int
	for _, plate := range usualPlates {
		list = append(list, plate[:]...)
	}
	return list
}

// NotDivisibleError says that no circle at hand gives a division exactly.
type NotDivisibleError struct {
	Divisions, Ratio int
	// Multiple is the number of holes a circle must be divisible by.
	Multiple int
}

func (e *NotDivisibleError) Error() string {
	return fmt.Sprintf("%d divisions at %d:1 cannot be had by simple indexing with these circles; a circle divisible by %d would do, or set the degree scale, each place counted from the first so that no error adds up", e.Divisions, e.Ratio, e.Multiple)
}

// Divide works out simple indexing: Ratio/Divisions turns, reduced, on the
// smallest circle that its denominator divides. Where there is none it returns
// a *NotDivisibleError beside the angle, which a degree scale can still be set
// to; numbers that cannot be are *InputErrors.
func Divide(in DividingInput) (Dividing, error) {
	ratio := in.Ratio
	if ratio == 0 {
		ratio = 40
	}
	circles := in.Circles
	if circles == nil {
		circles = UsualCircles()
	}
	if err := firstError(
		within("divisions", float64(in.Divisions), 2, 1000, ""),
		within("ratio", float64(ratio), 1, 360, "turns of the handle"),
	); err != nil {
		return Dividing{}, err
	}
	for _, c := range circles {
		if err := within("hole circle", float64(c), 1, 1000, "holes"); err != nil {
			return Dividing{}, err
		}
	}
	d := Dividing{Divisions: in.Divisions, Ratio: ratio, Whole: ratio / in.Divisions, Angle: quantity.Angle(360 / float64(in.Divisions))}
	d.Degrees = 360 / in.Divisions
	rest := 360 % in.Divisions * 60
	d.Minutes = rest / in.Divisions
	d.Seconds = float64(rest%in.Divisions) * 60 / float64(in.Divisions)
	remainder := ratio % in.Divisions
	if remainder == 0 {
		return d, nil
	}
	common := gcd(remainder, in.Divisions)
	numerator, denominator := remainder/common, in.Divisions/common
	sorted := slices.Clone(circles)
	slices.Sort(sorted)
	for _, c := range slices.Compact(sorted) {
		if c%denominator != 0 {
			continue
		}
		if d.Circle != 0 {
			d.Others = append(d.Others, c)
			continue
		}
		d.Circle, d.Holes = c, c/denominator*numerator
		d.Sector = d.Holes + 1
		for i, plate := range usualPlates {
			if in.Circles == nil && slices.Contains(plate[:], c) {
				d.Plate = i + 1
			}
		}
	}
	if d.Circle == 0 {
		return Dividing{Divisions: d.Divisions, Ratio: d.Ratio, Angle: d.Angle, Degrees: d.Degrees, Minutes: d.Minutes, Seconds: d.Seconds},
			&NotDivisibleError{Divisions: in.Divisions, Ratio: ratio, Multiple: denominator}
	}
	return d, nil
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
