package fastening

import (
	"fmt"
	"math"
	"slices"
	"sync"
)

// Friction is a coefficient of friction with the range it really lies in.
type Friction struct {
	Nominal   float64 // what the torque is worked out with
	Low, High float64 // what it may really be; the preload spreads accordingly
	Condition string  // what is on the thread, in words
	Assumed   bool    // nobody said what is on the thread
	Source    string
}

// Limits of a friction coefficient that a torque is worked out for. Below lies
// no lubricant known, above the thread is seizing.
const (
	minFriction = 0.03
	maxFriction = 0.6
)

// frictionClass is a class of VDI 2230-1 table A5.
type frictionClass struct {
	name      string
	low, high float64
	what      string
}

// Class E is open upwards in the standard; 0.50 is the top of a published
// supplier's list for stainless on stainless.
var (
	classA = frictionClass{"A", 0.04, 0.10, "solid lubricant or wax"}
	classB = frictionClass{"B", 0.08, 0.16, "grease, oil or molybdenum disulphide"}
	classC = frictionClass{"C", 0.14, 0.24, "as delivered, lightly oiled, or with adhesive"}
	classD = frictionClass{"D", 0.20, 0.35, "stainless with oil, or dry zinc"}
	classE = frictionClass{"E", 0.30, 0.50, "dry stainless"}
)

const (
	sourceClasses = "VDI 2230-1 friction classes"
	sourceBench   = "class: VDI 2230-1; the figure within it: common practice, no source"
)

// FrictionOf takes a coefficient somebody gives and lays the range of its VDI
// 2230 class round it: the class whose middle is nearest, widened where the
// coefficient lies outside. mu runs from 0.03 to 0.6.
func FrictionOf(mu float64) (Friction, error) {
	if !real(mu) || mu < minFriction || mu > maxFriction {
		return Friction{}, fmt.Errorf("friction %g: expected a coefficient from %g (waxed) to %g (seizing); greased is about 0.12, sealant 0.16, dry stainless 0.30", mu, minFriction, maxFriction)
	}
	best := classA
	for _, c := range [...]frictionClass{classB, classC, classD, classE} {
		if math.Abs(mu-(c.low+c.high)/2) < math.Abs(mu-(best.low+best.high)/2) {
			best = c
		}
	}
	f := best.friction(mu, "as given", sourceClasses)
	f.Low, f.High = math.Min(mu, f.Low), math.Max(mu, f.High)
	return f, nil
}

func (c frictionClass) friction(mu float64, condition, source string) Friction {
	return Friction{
		Nominal: mu, Low: c.low, High: c.high, Source: source,
		Condition: fmt.Sprintf("%s (class %s: %s)", condition, c.name, c.what),
	}
}

// Lubricant is what is on the thread.
type Lubricant struct {
	Name string // canonical: "anti-seize", "anaerobic sealant", "dry"
	// Lubricates reports something that keeps stainless from galling.
	Lubricates bool

	usual, stainless contact // on any screw, and on a stainless one
	aliases          []string
}

// contact is the friction of one pairing.
type contact struct {
	mu    float64
	class frictionClass
}

// IsZero reports a Lubricant that was never set.
func (l Lubricant) IsZero() bool { return l.Name == "" }

// String is the canonical name.
func (l Lubricant) String() string { return l.Name }

// On gives the friction of a fastener of grade g with this on its thread and
// under its head.
func (l Lubricant) On(g Grade) Friction {
	c := l.usual
	switch {
	case isStainless(g.Family):
		c = l.stainless
	case l.Name == "dry" && g.Coating == ZincPlated:
		c = contact{0.20, classD}
	case l.Name == "dry" && g.Family == Steel:
		c = contact{0.20, classC}
	}
	f := c.class.friction(c.mu, "", sourceBench)
	// Not the class's own words: they name other stuffs, which on this screw may
	// be of another class.
	f.Condition = fmt.Sprintf("%s (class %s)", l.Name, c.class.name)
	if isStainless(g.Family) && l.stainless != l.usual {
		f.Condition = fmt.Sprintf("%s on stainless (class %s)", l.Name, c.class.name)
	}
	return f
}

// AssumedFriction is what is shown, as an assumption, where nobody says what
// is on the thread: an anti-seize paste.
func AssumedFriction(g Grade) Friction {
	f := lubricants()[0].On(g)
	f.Condition = "not said; assumed " + f.Condition
	f.Assumed = true
	return f
}

// ParseLubricant finds what is on a thread by any name people use for it:
// "copper grease", "sealant", "moly", "dry". The error is an *UnknownError with
// suggestions.
func ParseLubricant(name string) (Lubricant, error) {
	l, _, err := find("lubricant", name, lubricants(), func(l Lubricant) (string, []string) { return l.Name, l.aliases })
	return l, err
}

// Lubricants lists everything known to be put on a thread.
func Lubricants() []Lubricant { return slices.Clone(lubricants()) }

// The figures are the bench defaults of common practice, inside the classes of
// VDI 2230: pastes 0.12, sealants 0.16, dry bronze in gunmetal 0.18, dry
// stainless 0.30. The first is the one assumed.
var lubricants = sync.OnceValue(allLubricants)

func allLubricants() []Lubricant {
	return []Lubricant{
		{
			Name: "anti-seize", Lubricates: true, usual: contact{0.12, classB}, stainless: contact{0.12, classB},
			aliases: []string{"copper grease", "copper paste", "nickel paste", "nickel anti-seize", "graphite", "graphite paste", "graphite grease", "assembly paste", "anti-seize paste"},
		},
		{
			Name: "molybdenum disulphide", Lubricates: true, usual: contact{0.12, classB}, stainless: contact{0.12, classB},
			aliases: []string{"moly", "MoS2", "moly grease", "molybdenum", "molybdenum disulfide", "molybdenum grease"},
		},
		{
			Name: "grease", Lubricates: true, usual: contact{0.12, classB}, stainless: contact{0.20, classD},
			aliases: []string{"greased", "oil and graphite", "cylinder oil", "steam oil", "tallow"},
		},
		{
			Name: "oil", Lubricates: true, usual: contact{0.14, classC}, stainless: contact{0.20, classD},
			aliases: []string{"light oil", "oiled", "lightly oiled", "machine oil", "as delivered"},
		},
		{
			Name: "wax", Lubricates: true, usual: contact{0.08, classA}, stainless: contact{0.14, classC},
			aliases: []string{"waxed"},
		},
		{
			Name: "anaerobic sealant", Lubricates: true, usual: contact{0.16, classC}, stainless: contact{0.16, classC},
			aliases: []string{"anaerobic", "sealant", "thread sealant", "threadlock", "thread lock", "threadlocker", "retainer", "adhesive"},
		},
		{
			Name: "jointing paste", Lubricates: true, usual: contact{0.16, classC}, stainless: contact{0.16, classC},
			aliases: []string{"jointing", "jointing compound", "oil and graphite jointing", "boiler paste", "pipe paste"},
		},
		{
			Name: "dry", usual: contact{0.18, classC}, stainless: contact{0.30, classE},
			aliases: []string{"none", "nothing", "clean", "degreased", "unlubricated"},
		},
	}
}

func isStainless(f Family) bool {
	return f == Stainless || f == FreeStainless || f == HardStainless
}
