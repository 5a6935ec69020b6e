package fastening

import (
	"errors"
	"fmt"
	"math"

	"fettle/threads/quantity"
)

// MaxBolts is the largest number of bolts in a circle that is worked out; more
// is a slip of the keyboard.
const MaxBolts = 360

// Order is the order in which n bolts, numbered round the circle from 1, are
// tightened, so that the load grows evenly on all sides. It is nil for n below
// 1 or above MaxBolts.
//
// An even number goes by opposite pairs. Where n divides by four, a pair is
// followed by the pair at right angles to it, and each such group of four comes
// as far as possible from the one before; otherwise each pair comes as far as
// possible from the one before, the lowest number first among equals. An odd
// number steps by (n−1)/2, each bolt as nearly opposite the last as there is.
//
// The rule gives every order tabulated in ASME PCC-1 for 4, 8, 12 and 16 bolts
// (from memory; 12 also in print) and those usual for 5 and 6 (common practice).
func Order(n int) []int {
	if n < 1 || n > MaxBolts {
		return nil
	}
	order := make([]int, 0, n)
	switch {
	case n%4 == 0:
		quarter := n / 4
		for _, i := range farApart(quarter) {
			order = append(order, i+1, i+1+2*quarter, i+1+quarter, i+1+3*quarter)
		}
	case n%2 == 0:
		for _, i := range farApart(n / 2) {
			order = append(order, i+1, i+1+n/2)
		}
	default:
		at := 0
		for range n {
			order = append(order, at+1)
			at = (at + max(1, (n-1)/2)) % n
		}
	}
	return order
}

// farApart orders the places 0..n-1 of a closed round so that each is as far as
// possible from the one before, the lowest first among equals.
func farApart(n int) []int {
	used := make([]bool, n)
	order := make([]int, 0, n)
	at := 0
	for range n {
		order = append(order, at)
		used[at] = true
		best, far := -1, -1
		for i := range n {
			if used[i] {
				continue
			}
			d := i - at
			if d < 0 {
				d = -d
			}
			if d = min(d, n-d); d > far {
				best, far = i, d
			}
		}
		at = best
	}
	return order
}

// BoltHole is one hole of a circle. X runs to the right, Y upwards.
type BoltHole struct {
	Number int
	Angle  quantity.Angle // from the X axis, anticlockwise
	X, Y   quantity.Length
}

// Circle is a ring of equally spaced holes, numbered anticlockwise from 1.
type Circle struct {
	Diameter quantity.Length
	Holes    []BoltHole
}

// BoltCircle lays out n holes on a pitch circle. start is the angle of the
// first hole from the X axis; x0 and y0 place the centre, so that coordinates
// can be taken from a datum edge. n is 1 to MaxBolts and the diameter above
// nought; otherwise it is an error.
//
//	x = x0 + R·cos(start + 360°·k/n), y = y0 + R·sin(start + 360°·k/n)
func BoltCircle(n int, diameter quantity.Length, start quantity.Angle, x0, y0 quantity.Length) (Circle, error) {
	switch {
	case n < 1 || n > MaxBolts:
		return Circle{}, fmt.Errorf("%d bolts: expected 1 to %d", n, MaxBolts)
	case !positive(float64(diameter)):
		return Circle{}, fmt.Errorf("a bolt circle of %v mm: expected a diameter above nought", float64(diameter))
	case !real(float64(start)) || !real(float64(x0)) || !real(float64(y0)):
		return Circle{}, errors.New("the first angle and the centre of a bolt circle must be numbers")
	}
	c := Circle{Diameter: diameter, Holes: make([]BoltHole, n)}
	for k := range c.Holes {
		a := start + quantity.Angle(360*float64(k)/float64(n))
		c.Holes[k] = BoltHole{
			Number: k + 1, Angle: turn(a),
			X: x0 + diameter/2*quantity.Length(math.Cos(a.Radians())),
			Y: y0 + diameter/2*quantity.Length(math.Sin(a.Radians())),
		}
	}
	return c, nil
}

// turn brings an angle into one turn, from 0 up to but not including 360°.
func turn(a quantity.Angle) quantity.Angle {
	return quantity.Angle(math.Mod(math.Mod(float64(a), 360)+360, 360))
}

// Chord is the straight distance between the centres of two holes k places
// apart: D·sin(π·k/n).
func (c Circle) Chord(k int) quantity.Length {
	if len(c.Holes) == 0 {
		return 0
	}
	return c.Diameter * quantity.Length(math.Abs(math.Sin(math.Pi*float64(k)/float64(len(c.Holes)))))
}

// Pitch is the chord from one hole to the next; nought for a single hole.
func (c Circle) Pitch() quantity.Length { return c.Chord(1) }

// Pass is one round of tightening.
type Pass struct {
	Name     string // "snug", "30 %", "60 %", "100 %", "circular"
	Percent  float64
	Torque   quantity.Torque // nought where it is done by feel
	Order    []int
	Do       string
	Circular bool
}

// Passes is the order of work for n bolts to the full torque: snug, then 30, 60
// and 100 % across, then round. creeps says that the joint's material settles
// (sheet, graphite, copper), which asks for one more round after four hours,
// cold. Source: the passes of ASME PCC-1 (from memory); 30/60/100 with one round
// for up to eight small screws is common practice.
func Passes(n int, full quantity.Torque, creeps bool) []Pass {
	cross := Order(n)
	if cross == nil {
		return nil
	}
	round := make([]int, n)
	for i := range round {
		round[i] = i + 1
	}
	p := []Pass{{Name: "snug", Order: cross, Do: "By hand until the faces meet and the gap is even all round, within 0.05 mm by feeler"}}
	for _, percent := range [...]float64{30, 60, 100} {
		p = append(p, Pass{
			Name: fmt.Sprintf("%.0f %%", percent), Percent: percent, Torque: full * quantity.Torque(percent/100), Order: cross,
			Do: "Across; check the gap",
		})
	}
	do := "Round once at the full torque"
	if n > 8 {
		do = "Round at the full torque until none moves"
	}
	p = append(p, Pass{Name: "circular", Percent: 100, Torque: full, Order: round, Circular: true, Do: do + "; not on cured anaerobic threads"})
	if creeps {
		p = append(p, Pass{
			Name: "settled", Percent: 100, Torque: full, Order: round, Circular: true,
			Do: "After four hours or more, cold, round once more; never hot on fibre sheet",
		})
	}
	return p
}
