package threads

import (
	"math"

	"fettle/threads/quantity"
)

// Stranger is a thread that is not held here and turns up all the same.
type Stranger struct {
	Name   string
	What   string // where it is met
	Source string

	major, pitch quantity.Length
}

// strangers are parallel threads of lamps and tyres, which test rigs are made from.
var strangers = [...]Stranger{
	{
		Name: "lamp pipe 1/8 x 27 parallel", What: "lamps and gas fittings, 60°; it enters 1/8 NPT and leaks", Source: "from memory: NPSM 1/8",
		major: 0.397 * quantity.InchMM, pitch: quantity.InchMM / 27,
	},
	{
		Name: "tyre valve, 7.75 mm x 32 TPI", What: "tyre valves and the hand pumps for them, 60°", Source: "from memory: ETRTO 8V1",
		major: 7.75, pitch: quantity.InchMM / 32,
	},
}

// Strangers lists the threads not held here that fit a measurement with a pitch, as
// Identify judges a fit of those that are. Nothing is said of one without.
func Strangers(m Measurement) (list []Stranger) {
	p, within := m.pitch()
	if p == 0 || m.Major == 0 || m.check() != nil {
		return nil
	}
	wear, off := m.Wear, m.Error
	if wear == 0 {
		wear = UsualWear
	}
	if off == 0 {
		off = UsualError
	}
	for _, s := range strangers {
		play := max(s.pitch/4, wear) + off
		if 100*math.Abs(float64((p-s.pitch)/s.pitch)) <= within && m.Major >= s.major-play && m.Major <= s.major+off {
			list = append(list, s)
		}
	}
	return list
}

// MetIn says where a thread is met besides fittings, or what else has its sizes; empty
// where nothing needs saying.
func (t Thread) MetIn() string {
	camera := t.Size == "1/4" || t.Size == "3/8"
	switch {
	case t.Series == NPT:
		return "American pipes and gauges; NPTF, which seals dry on its crests, has the same sizes"
	case t.Series == Cycle:
		return "bicycles and motor-cycles"
	case t.Series == Brass:
		return "gas and lamp fittings of brass as well"
	case camera && (t.Series == UNC || t.Series == BSW):
		return "camera stands as well (ISO 1222)"
	case t.miniature():
		return "watches"
	case t.Series == MetricOther:
		return "cameras, clocks and instruments"
	case t.Series == ME && t.TPI == 60:
		return "small model work"
	}
	return ""
}
