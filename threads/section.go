package threads

import (
	"math"

	"fettle/threads/quantity"
)

// Radii at crest and root over the pitch. A 60° crest is flat and its root has
// the radius H/6 of the ISO 898-1 core; Whitworth (BS 84) and BA (BS 93) round
// both alike.
const (
	rootRadius60    = height60 / 6
	whitworthRadius = 0.137329
	baRadius        = 0.1808346
)

// Point is a point of an outline in section: along the axis and out from it.
type Point struct {
	Along, Radius quantity.Length
}

// outline is the shape of a screw in section around one crest.
type outline struct {
	pitch, sharp float64 // radius of the sharp triangle's tip
	major        float64 // crest radius, where the crest is flat
	slope        float64 // tangent of half the angle
	sine         float64 // sine of half the angle
	crest, root  float64 // radii of rounding; 0 = flat crest
	floor        float64 // radius of a flat root; 0 = round
}

func (t Thread) outline() outline {
	p, r := t.Pitch.MM(), t.Major.MM()/2
	o := outline{pitch: p, major: r, slope: t.Form.TanHalfAngle(), sine: math.Sin(t.Form.Angle().Radians() / 2)}
	switch t.Form {
	case ISO68, Unified:
		o.sharp, o.root = r+height60*p/8, rootRadius60*p
		if t.miniature() {
			o.root, o.floor = 0, t.MinorExternal().MM()/2
		}
		return o
	case PipeUS, TrapezoidalForm, AcmeForm:
		// Flat crests and roots, cut off alike from the sharp triangle.
		o.sharp, o.floor = r+(t.Form.Height()*p-t.halfDepth().MM())/2, t.MinorExternal().MM()/2
		return o
	case CycleForm:
		o.crest = p / 6 // BS 811
	case BA:
		o.crest = baRadius * p
	default:
		o.crest = whitworthRadius * p
	}
	o.root = o.crest
	o.sharp = r + o.crest*(1/o.sine-1)
	return o
}

// radius is the outline's distance from the axis at a place along it, crests
// lying at whole multiples of the pitch.
func (o outline) radius(x float64) float64 {
	u := math.Abs(math.Mod(x, o.pitch))
	if u > o.pitch/2 {
		u = o.pitch - u
	}
	r := o.sharp - u/o.slope
	cosine := math.Sqrt(1 - o.sine*o.sine)
	if o.crest > 0 {
		if u < o.crest*cosine {
			r = o.sharp - o.crest/o.sine + math.Sqrt(o.crest*o.crest-u*u)
		}
	} else {
		r = math.Min(r, o.major)
	}
	if o.floor > 0 {
		return math.Max(r, o.floor)
	}
	if v := o.pitch/2 - u; v < o.root*cosine {
		bottom := o.sharp - o.pitch/2/o.slope // of the sharp triangle
		r = bottom + o.root/o.sine - math.Sqrt(o.root*o.root-v*v)
	}
	return r
}

// Section is the outline of a screw of this thread at full basic form, as points
// from left to right: pitches turns with perPitch points each, starting at the
// middle of a root. Nothing comes back where either is below 1.
func (t Thread) Section(pitches, perPitch int) []Point {
	return t.section(pitches, perPitch, 0)
}

// HoleSection is the outline of the tapped hole, as Section gives the screw's:
// the same thread cut off at the diameter the hole was drilled to.
func (t Thread) HoleSection(hole quantity.Length, pitches, perPitch int) []Point {
	return t.section(pitches, perPitch, hole/2)
}

func (t Thread) section(pitches, perPitch int, least quantity.Length) []Point {
	if pitches < 1 || perPitch < 1 {
		return nil
	}
	o := t.outline()
	points := make([]Point, 0, pitches*perPitch+1)
	for i := 0; i <= pitches*perPitch; i++ {
		x := float64(i) / float64(perPitch) * o.pitch
		r := quantity.Length(o.radius(x - o.pitch/2))
		points = append(points, Point{quantity.Length(x), max(r, least)})
	}
	return points
}

// Section is the outline of the head, from its top (Along 0) downward, and a
// length of shank of diameter d below it. A field that is 0 in the Head is left
// out of the shape; where the height is unknown there is no outline.
func (h Head) Section(d, shank quantity.Length) []Point {
	if h.Height <= 0 || d <= 0 {
		return nil
	}
	rim := h.HeadDiameter / 2
	points := []Point{{0, 0}, {0, rim}}
	if h.Kind == CountersunkHead {
		// A short cylinder down to where the rim meets the cone.
		slope := quantity.Length(math.Tan(h.CountersinkAngle.Radians() / 2))
		points = append(points, Point{max(0, (h.CountersinkDiameter-h.HeadDiameter)/2/slope), rim})
	} else {
		points = append(points, Point{h.Height, rim})
	}
	return append(points, Point{h.Height, d / 2}, Point{h.Height + max(0, shank), d / 2})
}

// Section is the outline of the countersunk hole in a plate, from the surface
// (Along 0) to the far face. A plate thinner than the cone shows it broken
// through.
func (c Countersink) Section(hole, plate quantity.Length) []Point {
	slope := quantity.Length(math.Tan(c.Angle.Radians() / 2))
	if plate <= c.Depth {
		return []Point{{0, c.Diameter / 2}, {plate, c.Diameter/2 - plate*slope}}
	}
	return []Point{{0, c.Diameter / 2}, {c.Depth, hole / 2}, {plate, hole / 2}}
}
