package threads

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"fettle/threads/quantity"
)

// Measurement is what was measured on an unknown thread. A length left at 0 was
// not measured; at least one diameter is needed.
type Measurement struct {
	Major quantity.Length // over the crests of a screw, or to the bottom of the thread in a hole
	Minor quantity.Length // bore of a hole, over its crests
	Pitch quantity.Length
	// Count threads over the length Over is the other way to give the pitch: the
	// distance from the first crest to the crest Count threads on.
	Count int
	Over  quantity.Length
	// Internal says that it is a hole: Major may read large, as Minor does.
	Internal bool

	Wear  quantity.Length // of the crests; 0 = UsualWear
	Error quantity.Length // of the measurement either way; 0 = UsualError
}

// What a measurement is allowed where nothing is said: crests worn down 0.15 mm
// across, a reading 0.03 mm out, a pitch 1.75 % out by a gauge or 0.5 mm over a
// counted length by a rule (common practice, no source).
const (
	UsualWear  quantity.Length = 0.15
	UsualError quantity.Length = 0.03

	gaugeError = 1.75 // percent
	ruleError  = 0.5  // mm
)

// Candidate is a thread that fits a measurement.
type Candidate struct {
	Thread Thread
	// MajorDifference is measured less basic major diameter; for a bore, measured
	// less the hole the thread is usually drilled to.
	MajorDifference quantity.Length
	// PitchDifference is measured less basic pitch in percent; meaningless where
	// HasPitch is false.
	PitchDifference float64
	HasPitch        bool
	// Fits is false for the nearest threads given where nothing fits.
	Fits bool

	score float64
}

// pitch is the measured pitch and how far it may be out, in percent.
func (m Measurement) pitch() (p quantity.Length, percent float64) {
	if m.Count > 0 {
		return m.Over / quantity.Length(m.Count), math.Max(ruleError/float64(m.Over)*100, 0.3)
	}
	return m.Pitch, gaugeError
}

// check refuses what cannot be a measurement.
func (m Measurement) check() error {
	for _, l := range []struct {
		name  string
		value quantity.Length
		most  quantity.Length
	}{
		{"major diameter", m.Major, 300}, {"bore", m.Minor, 300}, {"pitch", m.Pitch, 10}, {"counted length", m.Over, 1000},
		{"wear", m.Wear, 3}, {"measuring error", m.Error, 3},
	} {
		switch {
		case math.IsNaN(float64(l.value)) || math.IsInf(float64(l.value), 0) || l.value < 0:
			return fmt.Errorf("the %s must be a length above nought", l.name)
		case l.value > l.most:
			return fmt.Errorf("the %s of %s is above %s, the most that makes sense here", l.name, l.value, l.most)
		}
	}
	switch {
	case m.Major == 0 && m.Minor == 0:
		return errors.New("measure a diameter: over the crests of a screw, or the bore of a hole")
	case m.Minor > 0 && m.Major > 0 && m.Minor >= m.Major:
		return errors.New("the bore cannot be as large as the major diameter")
	case m.Count < 0 || m.Count > 1000:
		return errors.New("the number of threads must be 1 to 1000")
	case m.Count > 0 && m.Over == 0:
		return errors.New("give the length the threads were counted over")
	case m.Count == 0 && m.Over > 0:
		return errors.New("give the number of threads counted over that length")
	case m.Count > 0 && m.Pitch > 0:
		return errors.New("give the pitch or a count of threads, not both")
	}
	diameter := max(m.Major, m.Minor)
	if p, _ := m.pitch(); p > diameter/2 || p > 0 && p < 0.05 {
		return fmt.Errorf("a pitch of %s does not go with a diameter of %s", p, diameter)
	}
	return nil
}

// Identify lists the threads of every series that fit a measurement, best first.
//
// A screw may read up to a quarter of a pitch, or its wear, small and
// the measuring error large; a hole the other way round. A pitch may be 1.75 % out,
// or what half a millimetre is over the counted length. Where nothing fits, the
// three nearest are given with Fits false. The error says what is wrong with the
// measurement.
func Identify(m Measurement) ([]Candidate, error) {
	if err := m.check(); err != nil {
		return nil, err
	}
	if m.Wear == 0 {
		m.Wear = UsualWear
	}
	if m.Error == 0 {
		m.Error = UsualError
	}
	var fits, rest []Candidate
	for i, t := range All() {
		c, ok := m.match(t)
		if !ok {
			continue
		}
		// Of two equally near, the one met more often: All lists them so.
		c.score += float64(i) * 1e-4
		if c.Fits {
			fits = append(fits, c)
		} else if t.Taper() == 0 && len(fits) == 0 {
			rest = append(rest, c)
		}
	}
	byScore := func(list []Candidate) {
		sort.SliceStable(list, func(i, j int) bool { return list[i].score < list[j].score })
	}
	byScore(fits)
	if len(fits) == 0 {
		byScore(rest)
		fits = rest[:min(3, len(rest))]
	}
	return fits, nil
}

// sameLeaf reports that a pitch read from a metric pitch gauge is the leaf nearest
// to the thread's, so that the gauge could show nothing else: 0.8 mm for the 0.81 of
// 2 BA as well as for the 0.79 of 32 TPI. The leaves are those of usual gauges
// (common practice, no source).
func (m Measurement) sameLeaf(pitch quantity.Length) bool {
	if m.Count > 0 {
		return false
	}
	nearest := quantity.Length(0)
	for _, leaf := range [...]quantity.Length{
		0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1, 1.25, 1.5, 1.75, 2, 2.5, 3,
	} {
		if math.Abs(float64(leaf-pitch)) < math.Abs(float64(nearest-pitch)) {
			nearest = leaf
		}
	}
	return math.Abs(float64(nearest-m.Pitch)) < 1e-6
}

// match weighs one thread against the measurement; ok is false where they have
// nothing to do with each other.
func (m Measurement) match(t Thread) (c Candidate, ok bool) {
	hole := m.Internal || m.Minor > 0
	switch t.Series {
	case PipeR:
		ok = !hole
	case PipeRc, PipeRp:
		ok = hole
	default:
		ok = true
	}
	if !ok {
		return c, false
	}
	c = Candidate{Thread: t, Fits: true}
	weigh := func(off, below, above float64) {
		// off is measured less expected; 0 at the expected size, 1 at a limit.
		v := off / above
		if off < 0 {
			v = off / -below
		}
		if v > 1 {
			c.Fits = false
		}
		c.score += v * v
	}
	// A taper thread measures more or less by where it is measured. With one
	// diameter that proves nothing, so a parallel thread as near goes first.
	taper := t.Taper() * 6
	if taper > 0 {
		c.score += 0.3
	}
	if m.Minor > 0 {
		usual := t.HoleFor(UsualEngagement)
		c.MajorDifference = m.Minor - usual
		least, most := float64(usual-t.MinorInternal()), float64(t.HoleFor(45)-usual)
		weigh(float64(c.MajorDifference), least+float64(m.Error)+taper, most+float64(m.Error)+float64(m.Wear)+taper)
	}
	if m.Major > 0 {
		c.MajorDifference = m.Major - t.Major
		play := math.Max(0.25*float64(t.Pitch), float64(m.Wear)) + float64(m.Error) + taper
		tight := float64(m.Error) + taper
		// Screws are made a little under size; the best fit lies there.
		under := 0.06 * float64(t.Pitch)
		if m.Internal {
			weigh(float64(c.MajorDifference)-under, tight+under, play-under)
		} else {
			weigh(float64(c.MajorDifference)+under, play-under, tight+under)
		}
	}
	// The fittings of a model engine are metric, BA, ME or Whitworth as a rule: a
	// Unified thread, and one of a rarer series, has to fit a little better (common
	// practice, no source).
	if t.Form == Unified || t.seldom() {
		c.score += 0.4
	}
	p, within := m.pitch()
	if p == 0 && (m.Major == 0 || m.Minor == 0) {
		// One diameter alone says nothing but how near it is.
		c.score = math.Abs(float64(c.MajorDifference))
		if taper > 0 {
			c.score += 0.3
		}
	}
	if p > 0 {
		c.HasPitch = true
		c.PitchDifference = 100 * float64((p-t.Pitch)/t.Pitch)
		if off := math.Abs(c.PitchDifference); off > within || !m.sameLeaf(t.Pitch) {
			weigh(off, within, within)
		}
	}
	return c, true
}

// Settle says whether the measurement can tell the leading candidates apart, and names
// the one further measurement that would, or says that none is needed. It is empty
// where there is no candidate.
func Settle(m Measurement, candidates []Candidate) string {
	if len(candidates) == 0 {
		return ""
	}
	if !candidates[0].Fits {
		return "Nothing fits. Measure again in three places, and count the threads over 10 mm or more. If it stays so it is no listed thread: keep the old part as its gauge."
	}
	first := candidates[0].Thread
	for _, c := range candidates[1:] {
		if c.Fits && !c.Thread.Interchanges(first) {
			return "This cannot tell " + first.String() + " from " + c.Thread.String() + ". " + m.tell(first, c.Thread)
		}
	}
	s := "Try a known " + first.String() + " screw or tap: 6 turns by finger."
	if len(candidates) > 1 {
		s = "No more to measure: the names mean the same thread. " + s
	}
	return s
}

// IdentifySources names what the fits, the strangers and the warnings rest on: the
// series that fit, then the rules.
func IdentifySources(m Measurement, found []Candidate) (sources []string) {
	add := func(s string) {
		if !slices.Contains(sources, s) {
			sources = append(sources, s)
		}
	}
	for _, c := range found {
		for _, s := range c.Thread.Sources() {
			add(s)
		}
	}
	for _, s := range Strangers(m) {
		add(s.Source)
	}
	add("a fit: a screw up to a quarter of its pitch small, a pitch up to 1.75 % out (common practice)")
	add("turns until a screw binds: the difference in lead has used up 0.12 of the pitch (common practice)")
	return sources
}

// tell names the measurement that tells two threads apart.
func (m Measurement) tell(first, second Thread) string {
	p, within := m.pitch()
	pitchApart := 100 * math.Abs(float64((first.Pitch-second.Pitch)/first.Pitch))
	errorWidth := m.Error
	if errorWidth == 0 {
		errorWidth = UsualError
	}
	switch {
	case p == 0 && pitchApart > gaugeError:
		return fmt.Sprintf("Measure the pitch: %s is %s, %s is %s.", first, first.PitchText(), second, second.PitchText())
	case first.Taper() != second.Taper():
		return "Measure the diameter at both ends of the thread: a taper one grows 1 mm in 16."
	case p > 0 && pitchApart > 0.6 && pitchApart <= 2*within:
		// Length over which the two pitches drift apart by a millimetre.
		over := math.Ceil(100 / pitchApart)
		if over <= 60 {
			return fmt.Sprintf("Count the threads over %.0f mm: %.1f for %s, %.1f for %s.",
				over, over/float64(first.Pitch), first, over/float64(second.Pitch), second)
		}
	}
	if math.Abs(float64(first.Major-second.Major)) > 2*float64(errorWidth) {
		return fmt.Sprintf("Measure the major diameter where it is least worn: %s is %s, %s is %s.", first, first.Major, second, second.Major)
	}
	if first.Form != second.Form && (first.Form.Angle() != second.Form.Angle()) {
		return fmt.Sprintf("Hold an angle gauge against the light: %s is %s, %s is %s.", first, first.Form.Name(), second, second.Form.Name())
	}
	return fmt.Sprintf("Try a known %s screw, then a %s: 6 turns by finger tell.", first, second)
}
