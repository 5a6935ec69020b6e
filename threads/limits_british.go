package threads

import "fettle/threads/quantity"

// baLimits are the limits of BS 93 by its tolerance formulas (Machinery's
// Handbook, 31st edition, p. 2115; BS 93:2008 annex B): bolts of the normal
// class, which have an allowance of 0.025 mm up to 10 BA, and nuts. The standard
// gives no tolerance for the nut's major diameter.
func (t Thread) baLimits() (Limits, bool) {
	if t.Series != BANumbered {
		return Limits{}, false
	}
	p := t.Pitch
	allowance, major := quantity.Length(0.025), 0.20*p
	if t.Major < 1.6 { // 11 to 16 BA
		allowance, major = 0, 0.25*p
	}
	d, d2, d1 := t.Major, t.PitchDiameter(), t.MinorInternal()
	return Limits{
		External: ExternalLimits{
			Class:    "normal",
			MajorMax: micron(d - allowance), MajorMin: micron(d - allowance - major),
			PitchMax: micron(d2 - allowance), PitchMin: micron(d2 - allowance - (0.10*p + 0.025)),
			MinorMax: micron(d1 - allowance), MinorMin: micron(d1 - allowance - (0.20*p + 0.05)),
		},
		Internal: InternalLimits{
			Class:    "nut",
			MinorMin: micron(d1), MinorMax: micron(d1 + 0.375*p),
			PitchMin: micron(d2), PitchMax: micron(d2 + 0.12*p + 0.03),
		},
		Source: "BS 93 (tolerance formulas)",
	}, true
}

// pipeTolerances are the tolerances of ISO 228-1:2000 in micrometres, which go by
// the number of threads per inch up to size 2: pitch diameter of the hole and of
// the screw in class A and B, minor diameter of the hole, major of the screw.
var pipeTolerances = [...]struct{ tpi, hole, a, b, minor, major float64 }{
	{28, 107, 107, 214, 282, 214}, {19, 125, 125, 250, 445, 250}, {14, 142, 142, 284, 541, 284}, {11, 180, 180, 360, 640, 360},
}

// pipeLimits are the limits of ISO 228-1, external in class A. ISO 7-1 tolerates
// the position of the gauge plane instead, so R, Rc and Rp have none.
func (t Thread) pipeLimits() (Limits, bool) {
	if t.Series != PipeG {
		return Limits{}, false
	}
	d2, d1 := t.PitchDiameter(), t.MinorInternal()
	for _, r := range pipeTolerances {
		if r.tpi == t.TPI {
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

// GaugePlane is where a taper pipe thread has its nominal diameters, and how much
// thread there is. In an Rc hole the plane is at the face (ISO 7-1), and Length is
// that of the R thread that goes into it.
type GaugePlane struct {
	Length    quantity.Length // from the small end to the gauge plane
	Tolerance quantity.Length // either way, along the axis
	Useful    quantity.Length // least length of useful thread at the basic gauge length
	Source    string
}

// Place says in a few words where on the thread t its sizes are measured.
func (g GaugePlane) Place(t Thread) string {
	if t.Tapped() {
		return "at the face"
	}
	return g.Length.String() + " from the end"
}

// ISO 7-1:1994: tolerance of the gauge length and useful thread in micrometres,
// from memory; 28 TPI, 19, 14 and 11 in turn by size.
var gaugePlanes = [...]struct {
	size              string
	tolerance, useful int32
}{
	{"1/16", 900, 6500}, {"1/8", 900, 6500}, {"1/4", 1300, 9700}, {"3/8", 1300, 10100}, {"1/2", 1800, 13200},
	{"3/4", 1800, 14500}, {"1", 2300, 16800}, {"1 1/4", 2300, 19100}, {"1 1/2", 2300, 19100}, {"2", 2300, 23400},
}

// GaugePlane gives the gauge plane of an R or Rc thread; ok is false for any
// other thread.
func (t Thread) GaugePlane() (g GaugePlane, ok bool) {
	if t.Taper() == 0 {
		return GaugePlane{}, false
	}
	for _, p := range pipeSizes {
		if p.size != t.Size {
			continue
		}
		g = GaugePlane{Length: quantity.Length(p.gauge) / 1000, Source: "ISO 7-1; tolerance and useful length from memory"}
		for _, r := range gaugePlanes {
			if r.size == t.Size {
				g.Tolerance, g.Useful = quantity.Length(r.tolerance)/1000, quantity.Length(r.useful)/1000
			}
		}
		return g, true
	}
	return GaugePlane{}, false
}
