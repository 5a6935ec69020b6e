package threads

import (
	"math"

	"fettle/threads/quantity"
)

// pipeTolerances are the tolerances of ISO 228-1:2000 in micrometres, which go by
// the number of threads per inch up to size 2 (above, those of the pitch and of the
// screw's major diameter are larger): pitch diameter of the hole and of the screw in
// class A and B, minor diameter of the hole, major of the screw.
var pipeTolerances = [...]struct{ tpi, hole, a, b, minor, major float64 }{
	{28, 107, 107, 214, 282, 214}, {19, 125, 125, 250, 445, 250}, {14, 142, 142, 284, 541, 284}, {11, 180, 180, 360, 640, 360},
}

// pipeLimits are the limits of ISO 228-1, external in class A, and those of an Rp
// hole of ISO 7-1, which has no screw of its own. For R and Rc that standard
// tolerates the position of the gauge plane instead: see GaugePlane.
func (t Thread) pipeLimits() (Limits, bool) {
	if t.Series == PipeRp {
		return t.sealingHoleLimits(), true
	}
	if t.Series != PipeG {
		return Limits{}, false
	}
	d2, d1 := t.PitchDiameter(), t.MinorInternal()
	for _, r := range pipeTolerances {
		if r.tpi == t.TPI {
			if t.Major > quantity.FromInches(2.4) { // sizes above 2
				r.hole, r.a, r.major = 217, 217, 434
			}
			um := func(v float64) quantity.Length { return quantity.Length(v / 1000) }
			return Limits{
				External: ExternalLimits{
					Class: "A", MajorMax: micron(t.Major), MajorMin: micron(t.Major - um(r.major)),
					PitchMax: micron(d2), PitchMin: micron(d2 - um(r.a)), MinorMax: micron(d1),
				},
				Internal: InternalLimits{
					Class:    "G",
					MinorMin: micron(d1), MinorMax: micron(d1 + um(r.minor)), PitchMin: micron(d2), PitchMax: micron(d2 + um(r.hole)),
				},
				Source: "ISO 228-1 (class A; class B allows twice the tolerance on the screw's pitch diameter)",
			}, true
		}
	}
	return Limits{}, false
}

// iso7Source is where the tolerances and thread lengths of ISO 7-1 were read: the
// Japanese edition of the standard, in a machine-element maker's public catalogue.
// Its gauge lengths are those of ISO 7-1 before rounding to 0.1 mm.
const iso7Source = "ISO 7-1 (tolerances and useful length by JIS B 0203:1999, catalogue extract)"

// gaugeTurns is how many turns the gauge plane may lie off, either way: one on an
// R thread, one and a quarter in an Rc hole (ISO 7-1), one for NPT (ASME B1.20.1, from
// memory).
func (t Thread) gaugeTurns() float64 {
	if t.Series == PipeR || t.Series == NPT {
		return 1
	}
	return 1.25
}

// gaugeTolerance is the same along the axis, rounded to 0.01 mm, and what it makes
// on the diameters: a sixteenth of the rounded length (the catalogue's columns
// follow one from the other so).
func (t Thread) gaugeTolerance() (along, diameter quantity.Length) {
	along = quantity.Length(math.Round(t.gaugeTurns()*float64(t.Pitch)*100) / 100)
	return along, micron(along / 16)
}

// sealingHoleLimits are those of an Rp hole: all its diameters may be as much
// larger or smaller as an Rc hole's are when its gauge plane lies 1 1/4 turns off.
func (t Thread) sealingHoleLimits() Limits {
	_, off := t.gaugeTolerance()
	d2, d1 := t.PitchDiameter(), t.MinorInternal()
	return Limits{
		Internal: InternalLimits{
			Class:    "Rp",
			MinorMin: micron(d1 - off), MinorMax: micron(d1 + off), PitchMin: micron(d2 - off), PitchMax: micron(d2 + off),
		},
		Source: iso7Source,
	}
}

// GaugePlane is where a taper pipe thread has its nominal diameters, and how much
// thread there is. In an Rc hole the plane is at the face (ISO 7-1), and Length and
// Useful are those of the R thread that goes into it.
type GaugePlane struct {
	Length    quantity.Length // from the small end to the gauge plane
	Turns     float64         // the plane's tolerance either way in turns of thread
	Tolerance quantity.Length // the same along the axis, to 0.01 mm
	Diameter  quantity.Length // the same as a tolerance of the diameters where the plane should be
	Useful    quantity.Length // least length of useful thread at the basic gauge length
	Source    string
}

// Place says in a few words where on the thread t its sizes are measured.
func (g GaugePlane) Place(t Thread) string {
	if t.Series == NPT {
		return "at the face of the hole, " + g.Length.Round().String() + " from the end of the pipe"
	}
	if t.Tapped() {
		return "at the face"
	}
	return g.Length.String() + " from the end"
}

// beyondGauge is the least useful thread beyond the gauge plane of an R thread in
// micrometres: the fitting and the wrenching allowance (JIS B 0203:1999, f).
var beyondGauge = [...]struct {
	size   string
	length int32
}{
	{"1/16", 2500}, {"1/8", 2500}, {"1/4", 3700}, {"3/8", 3700}, {"1/2", 5000}, {"3/4", 5000},
	{"1", 6400}, {"1 1/4", 6400}, {"1 1/2", 6400}, {"2", 7500},
}

// GaugePlane gives the gauge plane of an R, Rc or NPT thread; ok is false for any
// other thread.
func (t Thread) GaugePlane() (g GaugePlane, ok bool) {
	if t.Taper() == 0 {
		return GaugePlane{}, false
	}
	for _, s := range nptSizes {
		if t.Series == NPT && s.size == t.Size {
			along, diameter := t.gaugeTolerance()
			return GaugePlane{
				Length: quantity.Length(s.gauge) * t.Pitch, Turns: t.gaugeTurns(), Tolerance: along, Diameter: diameter,
				Useful: quantity.Length(s.useful) * t.Pitch, Source: "ASME B1.20.1 (two published tables; one turn from memory)",
			}, true
		}
	}
	for _, p := range pipeSizes {
		if p.size != t.Size {
			continue
		}
		along, diameter := t.gaugeTolerance()
		g = GaugePlane{
			Length: quantity.Length(p.gauge) / 1000,
			Turns:  t.gaugeTurns(), Tolerance: along, Diameter: diameter, Source: iso7Source,
		}
		for _, r := range beyondGauge {
			if r.size == t.Size {
				g.Useful = g.Length + quantity.Length(r.length)/1000
			}
		}
		return g, true
	}
	return GaugePlane{}, false
}
