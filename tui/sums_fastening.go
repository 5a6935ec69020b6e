package tui

import (
	"fmt"
	"strings"

	"fettle/checklist"
	"fettle/threads"
	"fettle/threads/check"
	"fettle/threads/fastening"
	"fettle/threads/quantity"
)

// allSums are the sums of the bench, in the order in which they are listed.
func allSums(m *model) []sum {
	return append([]sum{
		identifySum(), drillSum(m), torqueSum(), rescueSum(m), shearedSum(m), jointSum(),
	}, boilerSums()...)
}

func wordsOf[T fmt.Stringer](list []T) []string {
	words := make([]string, len(list))
	for i, v := range list {
		words[i] = v.String()
	}
	return words
}

func gradeWords() (words []string) {
	for _, g := range fastening.Grades() {
		words = append(words, g.Name)
	}
	return words
}

func heads() []string {
	return []string{string(threads.HexHead), string(threads.SocketHead), string(threads.CountersunkHead), string(threads.CheeseHead)}
}

func headOf(s string) (threads.HeadKind, error) { return threads.HeadKind(s), nil }

func holeKinds() []string {
	return []string{string(fastening.WetHole), string(fastening.BlindHole), string(fastening.DryHole)}
}

// identifySum names what was measured.
func identifySum() sum {
	return sum{
		name: "Unknown thread", about: "which threads fit what was measured",
		asks: []question{
			{name: "major", ask: "Over the crests of a screw", kind: "length"},
			{name: "minor", ask: "or bore of a hole", kind: "length"},
			{name: "pitch", ask: "Pitch", kind: "length"},
			{name: "tpi", ask: "or threads per inch", kind: "number"},
			{name: "count", ask: "or threads counted", kind: "count"},
			{name: "over", ask: "over a length of", kind: "length"},
			{name: "wear", ask: "Wear allowed for", kind: "length"},
		},
		work: func(a *answers, d *doc) (string, error) {
			m := threads.Measurement{Major: a.length("major"), Minor: a.length("minor"), Pitch: a.length("pitch"),
				Count: a.count("count"), Over: a.length("over"), Wear: a.length("wear")}
			tpi := a.number("tpi")
			if a.bad() {
				return "", nil
			}
			switch {
			case m.Major == 0 && m.Minor == 0:
				d.text(inkQuiet, "Measure a screw over its crests, or a hole across its bore, and the pitch by a gauge or by counting.")
				return "a diameter is needed", nil
			case tpi != 0 && m.Pitch != 0:
				return "", fmt.Errorf("give the pitch or the threads per inch, not both")
			case tpi != 0 && !(tpi >= 1 && tpi <= 400):
				return "", fmt.Errorf("threads per inch are 1 to 400")
			case tpi != 0:
				m.Pitch = quantity.Length(quantity.InchMM / tpi)
			}
			m.Internal = m.Minor > 0 && m.Major == 0
			found, err := threads.Identify(m)
			if err != nil {
				return "", err
			}
			if !found[0].Fits {
				d.text(inkStrong, "Nothing fits. The nearest:")
			}
			for _, c := range found {
				a.found = append(a.found, c.Thread)
			}
			for i, c := range found {
				if i == 9 {
					d.text(inkQuiet, fmt.Sprintf("and %d more", len(found)-i))
					break
				}
				text := fmt.Sprintf("%+.2f mm", c.MajorDifference.MM())
				if c.HasPitch {
					text += fmt.Sprintf(", pitch %+.1f %%", c.PitchDifference+0)
				}
				d.pair(c.Thread.String(), inkStrong, text)
			}
			d.blank()
			d.otherTrades(m, found[:min(len(found), 9)])
			d.text(inkPlain, threads.Settle(m, found))
			if found[0].Fits {
				d.heading("Not to be taken for")
				for _, c := range found[0].Thread.Confusables() {
					if !c.Same {
						d.indented(c.With.String()+": ", "  ", inkPlain, c.What)
					}
				}
			}
			d.blank()
			d.text(inkQuiet, "Order a tap only after a known screw has gone in six turns by finger.")
			if a.sources {
				d.sourceList(threads.IdentifySources(m, found))
			}
			if !found[0].Fits {
				return "nothing fits", nil
			}
			return "most likely " + found[0].Thread.String(), nil
		},
	}
}

// otherTrades says where the threads that fit are met besides, and what fits that is not
// held here.
func (d *doc) otherTrades(m threads.Measurement, found []threads.Candidate) {
	for _, c := range found {
		if met := c.Thread.MetIn(); c.Fits && met != "" {
			d.text(inkQuiet, c.Thread.String()+": "+met+".")
		}
	}
	for _, s := range threads.Strangers(m) {
		d.text(inkPlain, "It fits a thread not held here as well: "+s.Name+" ("+s.What+").")
	}
}

// drillSum lists the drills round a size, the user's own first where there are any.
func drillSum(m *model) sum {
	return sum{
		name: "Drill", about: "the drills around a size",
		asks: []question{{name: "size", ask: "Size wanted", kind: "length", needed: true}},
		work: func(a *answers, d *doc) (string, error) {
			size := a.length("size")
			if size == 0 {
				return "", nil
			}
			set := m.shop.Stock()
			if set.Own() {
				d.text(inkQuiet, "From your own drills.")
			}
			near := set.Near(size, 9)
			if len(near) == 0 {
				return "", fmt.Errorf("no drill comes near %s", size)
			}
			best := near[0]
			for _, x := range near {
				if abs(x.Diameter-size) < abs(best.Diameter-size) {
					best = x
				}
			}
			d.text(inkBrand, "NEAREST DRILL")
			name, unit := figureAndUnit(best.Name)
			d.large(name, unit)
			d.blank()
			for _, x := range near {
				d.pair(x.Name, inkPlain, fmt.Sprintf("%s  %+.2f", x.Diameter, (x.Diameter-size).MM()))
			}
			if a.sources {
				d.sourceList(threads.DrillSources(near))
			}
			return "nearest: " + best.Name, nil
		},
	}
}

func abs(l quantity.Length) quantity.Length {
	if l < 0 {
		return -l
	}
	return l
}

// figureAndUnit parts "3.3 mm" for a large figure; a name in words stays whole.
func figureAndUnit(s string) (figure, unit string) {
	i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.,/ +-", r) })
	if i <= 0 {
		return s, ""
	}
	return strings.TrimSpace(s[:i]), s[i:]
}

func torqueSum() sum {
	return sum{
		name: "Torque", about: "how hard a screw may be tightened, and what limits it",
		asks: []question{
			{name: "thread", ask: "Thread", kind: "thread", needed: true},
			{name: "grade", ask: "Screw made of", kind: "grade", choices: gradeWords(), usual: "A2-70", needed: true},
			{name: "lubricant", ask: "On the thread", kind: "lubricant", choices: wordsOf(fastening.Lubricants())},
			{name: "head", ask: "Head", kind: "head", choices: heads(), usual: string(threads.HexHead)},
			{name: "into", ask: "Tapped in", kind: "metal", choices: wordsOf(fastening.Metals())},
			{name: "depth", ask: "Length of full thread in it", kind: "length"},
			{name: "spanner", ask: "Length of the spanner", kind: "length", usual: "100 mm"},
			{name: "friction", ask: "Friction, where known", kind: "number"},
			{name: "temperature", ask: "Temperature in service", kind: "temperature"},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := fastening.TightenInput{
				Thread: a.thread("thread"), Grade: read(a, "grade", fastening.ParseGrade), Head: read(a, "head", headOf),
				Lubricant: read(a, "lubricant", fastening.ParseLubricant), Friction: a.number("friction"),
				Into: read(a, "into", fastening.ParseMetal), Depth: a.length("depth"), Spanner: a.length("spanner"),
				Temperature: a.temperature("temperature"),
			}
			if !a.ready() {
				return "", nil
			}
			r, err := fastening.Tighten(in)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "TORQUE BY HAND")
			torque, unit := figureAndUnit(r.HandTorque.String())
			d.large(torque, unit)
			d.blank()
			d.pair("or", inkPlain, sig(r.HandTorque.LbfIn(), 3)+" lbf·in")
			d.pair("With a torque tool, at most", inkStrong, r.Torque.String())
			d.pair("or", inkPlain, sig(r.Torque.LbfIn(), 3)+" lbf·in")
			d.pair("at "+r.Spanner.String()+" of spanner", inkPlain, sig(r.SpannerForce.N(), 3)+" N")
			d.pair("Preload", inkStrong, r.Preload.String())
			d.pair("Limited by", inkPlain, r.LimitedBy)
			d.pair("Friction", inkPlain, sig(r.Friction.Nominal, 2)+", "+r.Friction.Condition)
			d.pair("Preload really between", inkPlain, r.PreloadLow.String()+" and "+r.PreloadHigh.String())
			if s := r.Strip; s != nil {
				d.heading("In the tapped metal")
				d.pair("Cautious strip force", inkPlain, s.OneThird.String())
				d.pair("Fails first", inkPlain, s.FailsFirst)
				if s.EngagementForPreload > 0 {
					d.pair("Full preload needs", inkPlain, fastening.BenchLength(s.EngagementForPreload).String())
				}
				d.pair("Usual least", inkPlain, fastening.BenchLength(s.EngagementRule).String())
			}
			d.findings(r.Findings, a.sources)
			d.ending(a, r.Sources)
			return "by hand " + r.HandTorque.String() + ", by tool " + r.Torque.String(), nil
		},
	}
}

// ending closes every result about pressure parts: who decides, and where the
// figures come from.
func (d *doc) ending(a *answers, sources []string) {
	d.blank()
	d.text(inkQuiet, check.Deference)
	if a.sources {
		d.sourceList(sources)
	}
}

func (d *doc) sourceList(sources []string) {
	d.heading("Sources")
	for _, s := range sources {
		d.indented("- ", "  ", inkQuiet, s)
	}
}

func rescueSum(m *model) sum {
	return sum{
		name: "Damaged hole", about: "the ways to save it, the best first",
		asks: []question{
			{name: "thread", ask: "Thread it had", kind: "thread", needed: true},
			{name: "hole", ask: "Largest pin that enters", kind: "length", needed: true},
			{name: "into", ask: "Tapped in", kind: "metal", choices: wordsOf(fastening.Metals()), usual: "gunmetal", needed: true},
			{name: "depth", ask: "Depth for full thread", kind: "length", needed: true},
			{name: "kind", ask: "The hole is", kind: "hole", choices: holeKinds()},
			{name: "edge", ask: "Centre to nearest edge", kind: "length"},
			{name: "cover", ask: "Hole in the cover", kind: "length"},
			{name: "room", ask: "Diameter free for a head", kind: "length"},
			{name: "head", ask: "Head", kind: "head", choices: heads()},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := fastening.RescueInput{
				Thread: a.thread("thread"), Hole: a.length("hole"), Into: read(a, "into", fastening.ParseMetal), Depth: a.length("depth"),
				Kind: read(a, "kind", func(s string) (fastening.HoleKind, error) { return fastening.HoleKind(s), nil }),
				Edge: a.length("edge"), CoverHole: a.length("cover"), HeadRoom: a.length("room"), Head: read(a, "head", headOf),
				Taps: m.shop.Taps, Drills: m.shop.Drills,
			}
			if !a.ready() {
				return "", nil
			}
			r, err := fastening.Rescue(in)
			if err != nil {
				return "", err
			}
			d.pair("Of the old thread is left", inkStrong, share(r.HolePercent))
			if len(r.Options) == 0 {
				d.blank()
				d.text(inkStrong, "Nothing known here saves this hole.")
			}
			for i, o := range r.Options {
				d.blank()
				d.add(span{inkBrand, fmt.Sprintf("%d  %s", i+1, o.Kind)}, span{inkStrong, "  " + o.Thread.String()}, span{inkPlain, "  " + string(o.Verdict)})
				if i == 0 && r.Why != "" {
					d.indented("  first because: ", "    ", inkQuiet, r.Why)
				}
				if o.Tapped != o.Thread.String() {
					d.pair("  tap", inkPlain, o.Tapped)
				}
				drill := o.Drill.Name
				if o.AsItIs {
					drill = "the hole as it is"
				}
				d.pair("  drill", inkStrong, drill)
				d.pair("  thread", inkPlain, share(o.EngagementPercent)+", "+share(o.CleanupPercent)+" clear of the old one")
				d.pair("  strength", inkPlain, fmt.Sprintf("%.2f of the sound thread", o.StripRatio))
				if !o.TapAtHand || !o.DrillAtHand {
					d.text(inkQuiet, "  the tap or the drill is not among yours")
				}
				for _, c := range o.Consequences {
					if c.Severity == check.Note && i > 0 {
						continue
					}
					d.indented("  "+string(c.Severity)+": ", "    ", inkPlain, c.Message)
				}
			}
			d.findings(r.Findings, a.sources)
			d.blank()
			d.text(inkQuiet, r.Basis)
			d.ending(a, r.Sources)
			if len(r.Options) == 0 {
				return "nothing fits", nil
			}
			best := r.Options[0]
			return "best: " + string(best.Kind) + ", " + best.Thread.String(), nil
		},
	}
}

// share writes a percentage; all of it where there is more than enough.
func share(p float64) string {
	switch {
	case p >= 100:
		return "all"
	case p <= 0:
		return "none"
	}
	return fmt.Sprintf("%.0f %%", p)
}

func shearedSum(m *model) sum {
	return sum{
		name: "Sheared screw", about: "how to get it out, the gentlest way first",
		asks: []question{
			{name: "thread", ask: "Its thread", kind: "thread", needed: true},
			{name: "into", ask: "Tapped in", kind: "metal", choices: wordsOf(fastening.Metals())},
		},
		work: func(a *answers, d *doc) (string, error) {
			t, metal := a.thread("thread"), read(a, "into", fastening.ParseMetal)
			if !a.ready() {
				return "", nil
			}
			r, err := fastening.Sheared(t, metal, m.shop.Stock(), 0)
			if err != nil {
				return "", err
			}
			d.text(inkBrand, "PILOT DRILL")
			name, unit := figureAndUnit(r.Pilot.Name)
			d.large(name, unit)
			d.blank()
			d.pair("Last drill that spares the thread", inkStrong, r.Core.Name)
			if r.ExtractorHigh > 0 {
				d.pair("Hole for an extractor", inkPlain, fastening.BenchLength(r.ExtractorLow).String()+" to "+fastening.BenchLength(r.ExtractorHigh).String())
			}
			d.pair("Pilot off centre by at most", inkPlain, fastening.BenchLength(r.OffCentre).String())
			d.heading("In this order")
			for i, s := range r.Steps {
				if s.Caution != "" {
					d.callout(inkCaution, inkBrand, "CAUTION", []string{s.Caution})
				}
				d.indented(fmt.Sprintf("%d  ", i+1), "   ", inkPlain, s.Do)
			}
			d.ending(a, r.Sources)
			return "pilot " + r.Pilot.Name, nil
		},
	}
}

func jointSum() sum {
	var gaskets []string
	for _, g := range fastening.Gaskets() {
		gaskets = append(gaskets, g.Name)
	}
	return sum{
		name: "Joint", about: "whether a ring of screws holds a cover on its gasket, and in what order to tighten",
		asks: []question{
			{name: "bolts", ask: "Number of screws", kind: "count", usual: "6", needed: true},
			{name: "thread", ask: "Their thread", kind: "thread", needed: true},
			{name: "grade", ask: "Made of", kind: "grade", choices: gradeWords(), usual: "A2-70", needed: true},
			{name: "circle", ask: "On a circle of", kind: "length", needed: true},
			{name: "bore", ask: "Opening under pressure", kind: "length", needed: true},
			{name: "gasket", ask: "Gasket", kind: "gasket", choices: gaskets, usual: "graphite sheet", needed: true},
			{name: "inner", ask: "Gasket inside", kind: "length", needed: true},
			{name: "outer", ask: "Gasket outside", kind: "length", needed: true},
			{name: "pressure", ask: "Pressure it must hold", kind: "pressure", needed: true},
			{name: "temperature", ask: "Temperature in service", kind: "temperature"},
			{name: "into", ask: "Tapped in", kind: "metal", choices: wordsOf(fastening.Metals()), usual: "gunmetal", needed: true},
			{name: "depth", ask: "Length of full thread in it", kind: "length", needed: true},
			{name: "lubricant", ask: "On the thread", kind: "lubricant", choices: wordsOf(fastening.Lubricants())},
			{name: "kind", ask: "The holes are", kind: "hole", choices: holeKinds()},
		},
		work: func(a *answers, d *doc) (string, error) {
			in := fastening.JointInput{
				Bolts: a.count("bolts"), Thread: a.thread("thread"), Grade: read(a, "grade", fastening.ParseGrade),
				Circle: a.length("circle"), Bore: a.length("bore"), Gasket: read(a, "gasket", fastening.ParseGasket),
				RingInner: a.length("inner"), RingOuter: a.length("outer"), Pressure: a.pressure("pressure"),
				Into: read(a, "into", fastening.ParseMetal), Depth: a.length("depth"),
				Lubricant: read(a, "lubricant", fastening.ParseLubricant), Temperature: a.temperature("temperature"),
				Hole: read(a, "kind", func(s string) (fastening.HoleKind, error) { return fastening.HoleKind(s), nil }),
			}
			if !a.ready() {
				return "", nil
			}
			r, err := fastening.Joint(in)
			if err != nil {
				return "", err
			}
			service, err := checklist.JointInService(in)
			if err != nil {
				return "", err
			}
			r.Findings = append(service, r.Findings...)
			r.Verdict = check.Worst(r.Findings)
			reserve := "none"
			if !r.FullFace {
				reserve = fmt.Sprintf("%.2f", r.Reserve)
			}
			d.text(inkBrand, "RESERVE")
			d.large(reserve, strings.ToUpper(string(r.Verdict)))
			d.blank()
			if !r.FullFace {
				d.pair("with the most friction", inkPlain, fmt.Sprintf("%.2f", r.ReserveLow))
				d.pair("beside a lost screw", inkPlain, fmt.Sprintf("%.2f if the cover is stiff", r.ReserveOneLost))
				d.pair("Each screw needs", inkPlain, r.PerBolt.String())
			}
			d.pair("Each is given", inkPlain, r.PreloadPerBolt.String())
			d.pair("Torque, by hand", inkStrong, r.Torque.String())
			d.heading("Order of tightening")
			d.boltCircle(r.Circle, r.Order, 0)
			d.text(inkPlain, orderText(r.Order))
			for _, p := range r.Passes {
				what := p.Do
				if p.Torque > 0 {
					what = p.Torque.String()
				}
				d.pair(p.Name, inkPlain, what)
			}
			d.findings(r.Findings, a.sources)
			d.ending(a, r.Sources)
			return fmt.Sprintf("%s: reserve %s, torque %s", r.Verdict, reserve, r.Torque), nil
		},
	}
}

func orderText(order []int) string {
	words := make([]string, len(order))
	for i, n := range order {
		words[i] = fmt.Sprint(n)
	}
	return "Holes numbered anticlockwise from the right: " + strings.Join(words, " - ")
}
