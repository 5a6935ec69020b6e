package threads

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"fettle/threads/quantity"
)

// UnknownError is a name that fits no thread.
type UnknownError struct {
	Input       string
	Reason      string   // what is wrong with it, where that is known
	Suggestions []string // names of threads that are close, best first
}

// Error is one plain sentence with the suggestions at its end.
func (e *UnknownError) Error() string {
	if strings.TrimSpace(e.Input) == "" {
		return "the name of the thread is missing; write it like M4, 2 BA, 1/4 x 40 ME, 1/4 BSF or G 1/8"
	}
	var b strings.Builder
	b.WriteString("no thread is called " + strconv.Quote(clip(e.Input)))
	if e.Reason != "" {
		b.WriteString(": " + e.Reason)
	}
	if len(e.Suggestions) > 0 {
		b.WriteString("; did you mean " + orList(e.Suggestions) + "?")
	} else if e.Reason == "" {
		b.WriteString("; write it like M4, 2 BA, 1/4 x 40 ME, 1/4 BSF or G 1/8")
	}
	return b.String()
}

// AmbiguousError is a name that fits several threads.
type AmbiguousError struct {
	Input      string
	Candidates []Thread // in the order of AllSeries
}

// Error names every candidate, up to a dozen.
func (e *AmbiguousError) Error() string {
	names := make([]string, 0, len(e.Candidates))
	for _, c := range e.Candidates {
		names = append(names, c.String())
	}
	const most = 12
	if len(names) > most {
		names = append(names[:most:most], strconv.Itoa(len(names)-most)+" more")
	}
	s := strconv.Quote(clip(e.Input)) + " can be " + orList(names)
	if e.Identical() {
		s += " (the same thread under several names)"
	}
	return s + "; write which"
}

// Identical reports that all candidates have the same form, diameter and pitch,
// so that they screw together and only the name differs.
func (e *AmbiguousError) Identical() bool {
	for _, c := range e.Candidates[1:] {
		if !c.Interchanges(e.Candidates[0]) {
			return false
		}
	}
	return true
}

// Interchanges reports that two threads are cut alike whatever they are called:
// one form, major diameter, pitch and taper.
func (t Thread) Interchanges(o Thread) bool {
	return t.Form == o.Form && math.Abs(float64(t.Major-o.Major)) < 0.002 &&
		math.Abs(float64(t.Pitch-o.Pitch)) < 0.0005 && t.Taper() == o.Taper()
}

func orList(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

func clip(s string) string {
	const limit = 40
	if utf8.RuneCountInString(s) <= limit {
		return s
	}
	return string([]rune(s)[:limit-3]) + "..."
}

// Parse reads the name of a thread as people write it: "M4", "m4x0.7", "M8 fine",
// "2BA", "1/4x40", "1/4 x 40 ME", "5/16 26", "1/4 bsf", "G1/8", "1/8 BSP",
// "1/4-20", "#10-32", "no 6 unc", "7/32 x 36 whit", with or without a class at
// the end ("M4-6g", "1/4-20 UNC-2A").
//
// A diameter and pitch that no series lists are read as a special where a form
// is named with them. The error is an *UnknownError or, where the name fits
// several threads, an *AmbiguousError.
func Parse(name string) (Thread, error) {
	w, ok := readWords(name)
	if !ok {
		return Thread{}, unknown(name, "")
	}
	return w.thread(name)
}

// ParseHand is Parse for a name that may say the hand, "M4 LH" or "left-hand 2 BA":
// a left-hand thread has the figures of the right-hand one. Everything else refuses
// such a name, because what is said of turning a screw would be the wrong way round.
func ParseHand(name string) (t Thread, left bool, err error) {
	w, ok := readWords(name)
	if !ok {
		return Thread{}, false, unknown(name, "")
	}
	left, w.left = w.left, false
	t, err = w.thread(name)
	return t, left, err
}

// words is a thread's name taken apart.
type words struct {
	series   string // folded word: "m", "ba", "me", ...; "" where none is written
	sizes    []size // diameter, then pitch or threads per inch
	hash     bool   // "#" or "no" before the first figure
	hyphen   bool   // a hyphen between the figures
	negative bool   // a hyphen before the first figure, which may be a minus
	fine     bool
	coarse   bool
	left     bool
	dangling bool   // an "x" or a hyphen with nothing after it
	third    bool   // more figures than a diameter and a pitch
	stranger string // a word that means nothing here
}

// size is one figure of a name.
type size struct {
	value    float64
	n64      int    // the value in 64ths where it is a whole number of them
	fraction bool   // written as a vulgar fraction
	whole    bool   // written without point or fraction
	unit     string // "mm", "in" or ""
}

// seriesWord turns what people write for a series into the word the parser works
// with; ok is false for any other word.
func seriesWord(w string) (series string, ok bool) {
	switch w {
	case "m", "metric", "iso", "s":
		return "m", true
	case "ba":
		return "ba", true
	case "me", "model":
		return "me", true
	case "brass", "bsb":
		return "brass", true
	case "bsw":
		return "bsw", true
	case "w", "whit", "whitworth", "bswhit", "whitform":
		return "whit", true
	case "bsf":
		return "bsf", true
	case "g", "bsp", "bspp", "bspf", "bspl":
		return "g", true
	case "r", "bspt", "bsptr", "bsptaper":
		return "r", true
	case "rc":
		return "rc", true
	case "rp":
		return "rp", true
	case "unc", "nc":
		return "unc", true
	case "unf", "nf":
		return "unf", true
	case "unef", "nef":
		return "unef", true
	case "uns", "un", "unified", "ns":
		return "uns", true
	case "cycle", "bsc", "bscy", "cei":
		return "cycle", true
	case "npt":
		return "npt", true
	case "tr", "trap", "trapezoidal":
		return "tr", true
	case "acme":
		return "acme", true
	}
	return "", false
}

var nameMarks = strings.NewReplacer(
	"×", "x", "✕", "x", "*", "x", "⨯", "x",
	"−", "-", "‐", "-", "‑", "-", "–", "-", "—", "-", "⁄", "/", "∕", "/",
	"¼", " 1/4 ", "½", " 1/2 ", "¾", " 3/4 ",
	"⅛", " 1/8 ", "⅜", " 3/8 ", "⅝", " 5/8 ", "⅞", " 7/8 ",
	"″", `"`, "”", `"`, "“", `"`, "''", `"`, "№", "no ", "ø", " ", "⌀", " ",
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ",
	"t.p.i.", "tpi", "t.p.i", "tpi", "b.s.f.", "bsf", "b.s.w.", "bsw", "b.s.p.", "bsp", "b.a.", "ba", "m.e.", "me",
)

// plainName reports a name that nameMarks would leave alone. Most are, and the
// table behind nameMarks takes longer to build than a look-up.
func plainName(s string) bool {
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9', c == ' ', c == '/', c == '-', c == '#':
		case c == '.' && i+1 < len(s) && s[i+1] >= '0' && s[i+1] <= '9':
		default:
			return false
		}
	}
	return true
}

// longestName is the longest text looked at; no name of a thread is longer.
const longestName = 80

// readWords takes a name apart; ok is false where it is no name at all.
func readWords(name string) (w words, ok bool) {
	if len(name) > longestName {
		return w, false
	}
	s := strings.ToLower(strings.TrimSpace(name))
	if !plainName(s) {
		s = strings.TrimSpace(nameMarks.Replace(s))
	}
	s = cutClass(s)
	for s != "" {
		c := s[0]
		switch {
		case c == ' ' || c == '(' || c == ')' || c == ';':
			s = s[1:]
		case c == ',' && (len(s) == 1 || s[1] < '0' || s[1] > '9'):
			s = s[1:]
		case c == '"':
			if len(w.sizes) == 0 {
				return w, false
			}
			w.sizes[len(w.sizes)-1].unit = "in"
			s = s[1:]
		case c == '-':
			if len(w.sizes) > 0 {
				w.hyphen, w.dangling = true, true
			} else {
				w.negative = true
			}
			s = s[1:]
		case c == '#':
			w.hash = true
			s = s[1:]
		case c >= '0' && c <= '9' || c == '.' || c == ',':
			z, rest, good := scanSize(s)
			if !good {
				return w, false
			}
			if w.third = len(w.sizes) == 2; w.third {
				return w, true
			}
			w.sizes = append(w.sizes, z)
			w.dangling = false
			s = rest
		case c >= 'a' && c <= 'z':
			i := 1
			for i < len(s) && (s[i] >= 'a' && s[i] <= 'z') {
				i++
			}
			word := s[:i]
			if !w.word(word) {
				return w, false
			}
			s = s[i:]
			// "t.p.i."; "no.10", whose point is no decimal one.
			if len(s) > 0 && s[0] == '.' && (len(s) == 1 || s[1] < '0' || s[1] > '9' || word == "no" || word == "nr") {
				s = s[1:]
			}
		default:
			return w, false
		}
	}
	return w, len(w.sizes) > 0 || w.series != ""
}

// word takes one word of the name in.
func (w *words) word(s string) bool {
	w.dangling = false
	switch s {
	case "x", "by":
		if len(w.sizes) == 0 {
			return false
		}
		w.dangling = true
		return true
	case "tpi", "thread", "threads", "pitch", "form", "standard", "tap", "screw", "bolt", "stud", "nut", "sealing", "parallel":
		return true
	case "no", "nr", "number":
		w.hash = true
		return true
	case "mm", "in", "inch", "inches", "ins":
		if len(w.sizes) == 0 {
			return false
		}
		w.sizes[len(w.sizes)-1].unit = s[:2]
		return true
	case "fine", "mf":
		w.fine = true
		if s == "mf" {
			return w.setSeries("m")
		}
		return true
	case "coarse":
		w.coarse = true
		return true
	case "lh", "left", "lefthand", "hand":
		w.left = true
		return true
	case "rh", "right":
		return true
	case "taper":
		if w.series == "g" || w.series == "" {
			w.series = "r"
		}
		return true
	}
	if series, ok := seriesWord(s); ok {
		return w.setSeries(series)
	}
	if w.stranger == "" {
		w.stranger = s
	}
	return true
}

// setSeries notes the series; naming two different ones is no name.
func (w *words) setSeries(s string) bool {
	switch {
	case w.series == "" || w.series == s:
	case w.series == "bsw" && s == "whit" || w.series == "whit" && s == "bsw":
		s = "bsw"
	case w.series == "m" && s == "me":
		// "model engineers"
	default:
		return false
	}
	w.series = s
	return true
}

// cutClass takes a tolerance class off the end: "-6g", " 6H", "-2a", "5g6g".
func cutClass(s string) string {
	i := strings.LastIndexAny(s, "- ")
	if i <= 0 {
		return s
	}
	switch s[i+1:] {
	case "6g", "6h", "5h", "7h", "8g", "4h", "5g6g", "4g6g", "4h5h", "6g6g", "6e", "6f", "4h6h", "5h6h", "7g6g",
		"1a", "2a", "3a", "1b", "2b", "3b":
		return strings.TrimRight(s[:i], "- ")
	case "a", "b":
		// Classes A and B belong to G threads.
		if strings.HasPrefix(s, "g") || strings.Contains(s, "bsp") {
			return strings.TrimRight(s[:i], "- ")
		}
	}
	return s
}

// scanSize reads a whole number, decimal, fraction or mixed fraction.
func scanSize(s string) (z size, rest string, ok bool) {
	a, n, isWhole := scanFigure(s)
	if n == 0 {
		return z, s, false
	}
	z = size{value: a, whole: isWhole}
	rest = s[n:]
	if !isWhole {
		return z, rest, a <= 1e6
	}
	if strings.HasPrefix(rest, "/") {
		b, m, whole := scanFigure(rest[1:])
		if m == 0 || !whole || b == 0 || b > 128 {
			return z, s, false
		}
		z.value, z.whole, z.fraction = a/b, false, true
		rest = rest[1+m:]
	} else if len(rest) > 1 && (rest[0] == ' ' || rest[0] == '-') {
		tail := strings.TrimLeft(rest[1:], " ")
		b, m, whole := scanFigure(tail)
		if m > 0 && whole && strings.HasPrefix(tail[m:], "/") {
			c, l, wholeC := scanFigure(tail[m+1:])
			if l > 0 && wholeC && c > b && c <= 128 {
				z.value, z.whole, z.fraction = a+b/c, false, true
				rest = tail[m+1+l:]
			}
		}
	}
	if z.value > 1e6 {
		return z, s, false
	}
	if f := z.value * 64; f == math.Trunc(f) && f < 64*100 {
		z.n64 = int(f)
	}
	return z, rest, true
}

// scanFigure reads digits with at most one point or comma and returns how many
// bytes it read.
func scanFigure(s string) (v float64, n int, whole bool) {
	mark, digits := -1, 0
	i := 0
	for ; i < len(s); i++ {
		c := s[i]
		if c >= '0' && c <= '9' {
			digits++
			continue
		}
		if (c == '.' || c == ',') && mark < 0 && i+1 < len(s) && s[i+1] >= '0' && s[i+1] <= '9' {
			mark = i
			continue
		}
		break
	}
	if digits == 0 {
		return 0, 0, false
	}
	text := s[:i]
	if mark >= 0 && text[mark] == ',' {
		text = text[:mark] + "." + text[mark+1:]
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, 0, false
	}
	return v, i, mark < 0
}

func unknown(input, reason string) error {
	return &UnknownError{Input: input, Reason: reason, Suggestions: suggest(input)}
}

// thread finds the thread the words mean.
func (w words) thread(input string) (Thread, error) {
	if w.third {
		return Thread{}, unknown(input, "a thread is a diameter and a pitch; leave the length of the screw off")
	}
	if w.negative {
		return Thread{}, unknown(input, "a size is more than nought; write it without the hyphen")
	}
	if w.stranger != "" {
		reason := strconv.Quote(clip(w.stranger)) + " is no series known here"
		if w.stranger == "nptf" {
			reason = "the dry-seal pipe thread has the sizes of NPT and seals on its crests; look up NPT"
		}
		return Thread{}, unknown(input, reason)
	}
	if w.left {
		return Thread{}, unknown(input, "a left-hand thread has the same figures; leave the hand off the name, and turn the other way")
	}
	if len(w.sizes) == 0 {
		return Thread{}, unknown(input, "it has no size")
	}
	if len(w.sizes) == 2 && w.sizes[1].value == 0 {
		return Thread{}, unknown(input, "a pitch is more than nought")
	}
	if w.dangling {
		return Thread{}, unknown(input, "something is missing at its end")
	}
	var found []Thread
	reason := ""
	switch w.series {
	case "m":
		found, reason = w.metric()
	case "ba":
		found, reason = w.ba()
	case "me", "brass", "bsw", "bsf", "whit":
		found, reason = w.whitworth()
	case "g", "r", "rc", "rp":
		found, reason = w.pipe()
	case "unc", "unf", "unef", "uns":
		found, reason = w.unified()
	case "cycle", "npt", "tr", "acme":
		found, reason = w.rarer()
	default:
		found, reason = w.bare()
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return Thread{}, &AmbiguousError{Input: input, Candidates: found}
	}
	err := &UnknownError{Input: input, Reason: reason, Suggestions: suggest(input)}
	if d := w.sizes[0]; w.series == "m" && len(w.sizes) == 1 && !d.fraction && d.value > metricSizes[0].d && d.value < metricSizes[len(metricSizes)-1].d {
		err.Suggestions = metricNear(w.sizes[0].value)
	}
	return Thread{}, err
}

// metricNear names the ISO sizes closest to a diameter: one that does not exist
// is mistaken for its neighbours, not for names that are spelt alike.
func metricNear(d float64) []string {
	sizes := make([]float64, 0, len(metricSizes))
	for _, m := range metricSizes {
		if m.coarse != 0 {
			sizes = append(sizes, m.d)
		}
	}
	sort.SliceStable(sizes, func(i, j int) bool { return math.Abs(sizes[i]-d) < math.Abs(sizes[j]-d) })
	var names []string
	for _, size := range sizes[:3] {
		names = append(names, "M"+trim(size))
	}
	return names
}

// near compares figures a person typed with a table's.
func near(a, b, by float64) bool { return math.Abs(a-b) <= by }

func (w words) metric() (found []Thread, reason string) {
	d := w.sizes[0]
	if d.fraction || d.unit == "in" {
		return nil, "a metric size is in millimetres"
	}
	if w.hash {
		return nil, "a metric size has no number"
	}
	if len(w.sizes) == 2 {
		p := w.sizes[1]
		if p.fraction || p.unit == "in" {
			return nil, "a metric pitch is in millimetres"
		}
		for _, m := range metricOtherSizes {
			if near(m.d, d.value, 1e-9) && near(m.p, p.value, 1e-9) {
				return []Thread{metric(MetricOther, m.d, m.p)}, ""
			}
		}
		for _, m := range metricSizes {
			if !near(m.d, d.value, 1e-9) {
				continue
			}
			if m.coarse != 0 && near(m.coarse, p.value, 1e-9) {
				return []Thread{metric(ISOCoarse, m.d, m.coarse)}, ""
			}
			for _, f := range m.fine {
				if f != 0 && near(f, p.value, 1e-9) {
					return []Thread{metric(ISOFine, m.d, f)}, ""
				}
			}
		}
		if p.value >= 4 && p.value > d.value/8 {
			return nil, trim(p.value) + " mm is no pitch for it; if it is the length of the screw, leave it off"
		}
		return special(ISOSpecial, d, p.value)
	}
	for _, m := range metricOtherSizes {
		if near(m.d, d.value, 1e-9) && !w.fine {
			return []Thread{metric(MetricOther, m.d, m.p)}, ""
		}
	}
	for _, m := range metricSizes {
		if !near(m.d, d.value, 1e-9) {
			continue
		}
		if m.coarse != 0 && !w.fine {
			return []Thread{metric(ISOCoarse, m.d, m.coarse)}, ""
		}
		if w.coarse {
			return nil, "M" + trim(m.d) + " has no coarse pitch"
		}
		for _, f := range m.fine {
			if f != 0 {
				found = append(found, metric(ISOFine, m.d, f))
			}
		}
		return found, ""
	}
	what := "ISO has no size between the ones beside it"
	switch last := metricSizes[len(metricSizes)-1].d; {
	case d.value < metricOtherSizes[0].d:
		what = "the smallest metric size here is M" + trim(metricOtherSizes[0].d)
	case d.value < metricSizes[0].d:
		what = "below M1 there are M0.6, M0.7, M0.8 and M0.9 here"
	case d.value > last:
		what = "the largest ISO size here is M" + trim(last)
	}
	return nil, what + "; with its pitch it can be looked up as a special, like M5.2x0.6"
}

// special makes a thread of any diameter and pitch in a known form, within
// sense: a pitch of 0.1 to 10 mm, a diameter up to 300 mm, and a core left
// between the threads of at least a third of the diameter.
func special(series Series, d size, pitch float64) ([]Thread, string) {
	t := Thread{Series: series, Size: trim(d.value)}
	switch series {
	case ISOSpecial, BASpecial:
		t.Major, t.Pitch = quantity.Length(d.value), quantity.Length(pitch)
		if series == BASpecial {
			t.Form = BA
		}
	case WhitSpecial, UNSpecial:
		t.Form = Whitworth
		if series == UNSpecial {
			t.Form = Unified
		}
		if pitch <= 0 {
			return nil, "threads per inch must be more than nought"
		}
		t.Major, t.Pitch, t.TPI = quantity.FromInches(d.value), quantity.Length(quantity.InchMM/pitch), pitch
		if d.n64 != 0 {
			t.Size = quantity.Fraction(d.n64, 64)
		}
		if series == UNSpecial && d.n64 > 64 && d.n64%64 == 0 {
			t.Size += " in" // 2-20 would be the screw number 2
		}
	}
	switch {
	case t.Major <= 0 || t.Pitch <= 0:
		return nil, "diameter and pitch must be more than nought"
	case t.Major > 300:
		return nil, "that diameter is above 300 mm"
	case t.Pitch < 0.1 || t.Pitch > 10:
		return nil, "a pitch of " + t.Pitch.String() + " is outside 0.1 to 10 mm"
	case t.MinorExternal() < t.Major/3:
		return nil, "a pitch of " + t.Pitch.String() + " is too coarse for that diameter"
	}
	return []Thread{t}, ""
}

func (w words) ba() ([]Thread, string) {
	d := w.sizes[0]
	if len(w.sizes) == 2 && !d.fraction && d.unit != "in" {
		p := w.sizes[1]
		if p.fraction {
			return nil, "a BA pitch is in millimetres"
		}
		if d.whole && d.value <= baLargest {
			if t := ba(int(d.value)); near(t.Pitch.MM(), p.value, 1e-9) {
				return []Thread{t}, ""
			}
		}
		return special(BASpecial, d, p.value)
	}
	if !d.whole || d.value > baLargest || d.unit != "" {
		return nil, "BA sizes go by whole numbers from 0 (6 mm) to 16 (0.79 mm)"
	}
	return []Thread{ba(int(d.value))}, ""
}

func (w words) whitworth() (found []Thread, reason string) {
	d, tpi := w.sizes[0], 0.0
	if d.unit == "mm" || w.hash {
		return nil, "its size is a fraction of an inch"
	}
	if len(w.sizes) == 2 {
		tpi = w.sizes[1].value
		if w.sizes[1].fraction || w.sizes[1].unit == "mm" {
			return nil, "its pitch is threads per inch"
		}
	}
	series := map[string]Series{"me": ME, "brass": Brass, "bsw": BSW, "whit": BSW, "bsf": BSF}[w.series]
	all := whitworthThreads(series, d.value, 0)
	for _, t := range all {
		if tpi == 0 || t.TPI == tpi {
			found = append(found, t)
		}
	}
	switch {
	case len(found) > 0:
		return found, ""
	case w.series == "whit" && tpi != 0:
		return special(WhitSpecial, d, tpi)
	case len(all) > 0 && series == ME:
		var pitches []string
		for _, t := range all {
			pitches = append(pitches, trim(t.TPI))
		}
		return nil, all[0].Size + " ME has " + orList(pitches) + " TPI here; name the form for another, like " + all[0].Size + " x " + trim(tpi) + " Whit"
	case len(all) > 0:
		return nil, all[0].Size + " " + seriesShort(series) + " has " + trim(all[0].TPI) + " TPI"
	case w.series == "whit":
		return nil, "BSW has no such size; give threads per inch for a special, like 7/32 x 36 Whit"
	}
	return nil, seriesShort(series) + " has no such size"
}

func seriesShort(s Series) string {
	if s == Brass {
		return "brass"
	}
	return string(s)
}

// whitworthThreads are the threads of the series with the diameter in inches
// and, where it is not 0, the number of threads per inch.
func whitworthThreads(series Series, in, tpi float64) (found []Thread) {
	list := map[Series][]inchSize{ME: meSizes[:], BSW: bswSizes[:], BSF: bsfSizes[:]}[series]
	if series == Brass {
		for _, n := range brassSizes {
			if near(float64(n)/64, in, 0.0006) && (tpi == 0 || tpi == 26) {
				found = append(found, whitworth(Brass, int(n), 26))
			}
		}
	}
	for _, s := range list {
		if near(float64(s.n64)/64, in, 0.0006) && (tpi == 0 || tpi == float64(s.tpi)) {
			found = append(found, whitworth(series, int(s.n64), int(s.tpi)))
		}
	}
	return found
}

func (w words) pipe() ([]Thread, string) {
	d := w.sizes[0]
	series := map[string]Series{"g": PipeG, "r": PipeR, "rc": PipeRc, "rp": PipeRp}[w.series]
	if d.unit == "mm" || w.hash {
		return nil, "a pipe thread goes by the bore of the pipe in inches"
	}
	for _, p := range pipeSizes {
		t := pipe(series, p)
		if !near(pipeInches(p.size), d.value, 0.0006) {
			continue
		}
		if series != PipeG && p.gauge == 0 {
			return nil, "ISO 7-1 has no size " + p.size
		}
		if len(w.sizes) == 2 && w.sizes[1].value != t.TPI {
			return nil, t.String() + " has " + trim(t.TPI) + " TPI"
		}
		return []Thread{t}, ""
	}
	return nil, "pipe threads here go from 1/16 to 4"
}

func pipeInches(s string) float64 {
	z, _, _ := scanSize(s)
	return z.value
}

func (w words) unified() (found []Thread, reason string) {
	d, tpi := w.sizes[0], 0.0
	if d.unit == "mm" {
		return nil, "a Unified size is a number or a fraction of an inch"
	}
	if len(w.sizes) == 2 {
		tpi = w.sizes[1].value
	}
	series := map[string]Series{"unc": UNC, "unf": UNF, "unef": UNEF}[w.series]
	if series == "" {
		if tpi == 0 {
			return nil, "it needs threads per inch, like 1/4-24 UNS"
		}
		for _, s := range [...]Series{UNC, UNF, UNEF} {
			found = append(found, unifiedThreads(s, d, w.hash, tpi)...)
		}
		if len(found) > 0 {
			return found[:1], ""
		}
		if d.whole && d.unit == "" && (w.hash || d.value != 1) {
			if d.value > 12 {
				return nil, "number sizes go from 0 to 12"
			}
			found, reason = special(UNSpecial, size{value: numberSize(int(d.value)).Inches()}, tpi)
			for i := range found {
				found[i].Size = "#" + trim(d.value)
			}
			return found, reason
		}
		return special(UNSpecial, d, tpi)
	}
	found = unifiedThreads(series, d, w.hash, tpi)
	if len(found) > 0 {
		return found, ""
	}
	if all := unifiedThreads(series, d, w.hash, 0); len(all) > 0 {
		return nil, all[0].Size + " " + string(series) + " has " + trim(all[0].TPI) + " TPI"
	}
	return nil, string(series) + " has no such size"
}

// unifiedThreads are the threads of a Unified series with that size (a number,
// or a diameter in inches) and, where it is not 0, that many threads per inch.
func unifiedThreads(series Series, d size, hash bool, tpi float64) (found []Thread) {
	list := map[Series][]unifiedSize{UNC: uncSizes[:], UNF: unfSizes[:], UNEF: unefSizes[:]}[series]
	for _, s := range list {
		if tpi != 0 && tpi != float64(s.tpi) {
			continue
		}
		var fits bool
		if s.number >= 0 {
			fits = d.whole && d.unit == "" && d.value == float64(s.number) ||
				!d.whole && !d.fraction && near(numberSize(int(s.number)).Inches(), d.value, 0.0006)
		} else {
			fits = !hash && near(float64(s.n64)/64, d.value, 0.0006)
		}
		if fits {
			found = append(found, unified(series, s))
		}
	}
	return found
}

// rarer reads a cycle, American pipe, trapezoidal or Acme thread.
func (w words) rarer() (found []Thread, reason string) {
	d := w.sizes[0]
	series := map[string]Series{"cycle": Cycle, "npt": NPT, "tr": Trapezoidal, "acme": Acme}[w.series]
	metricSize := series == Trapezoidal
	if w.hash || metricSize && (d.fraction || d.unit == "in") || !metricSize && d.unit == "mm" {
		return nil, "its size is a fraction of an inch; only a trapezoidal one is in millimetres"
	}
	var all []Thread
	for _, t := range rarerThreads() {
		if t.Series == series && near(t.nominal(), d.value, 0.0006) {
			all = append(all, t)
		}
	}
	for _, t := range all {
		pitch := t.TPI
		if metricSize {
			pitch = t.Pitch.MM()
		}
		if len(w.sizes) == 1 || near(w.sizes[1].value, pitch, 1e-9) {
			found = append(found, t)
		}
	}
	switch {
	case len(found) > 0:
		return found, ""
	case len(all) > 0:
		names := make([]string, len(all))
		for i, t := range all {
			names[i] = t.String()
		}
		return nil, "of that size there is " + orList(names) + " here"
	}
	return nil, "no " + string(series) + " thread of that size is held"
}

// nominal is the size as the series counts it: millimetres, or inches, or the inches
// of a pipe.
func (t Thread) nominal() float64 { return pipeInches(t.Size) }

// bare reads figures without the name of a series.
func (w words) bare() (found []Thread, reason string) {
	d := w.sizes[0]
	inch := d.fraction || d.unit == "in"
	if len(w.sizes) == 1 {
		return w.bareSize(d, inch), "a thread needs its series or its pitch"
	}
	p := w.sizes[1]
	// A size in millimetres with a pitch smaller than itself: "4x0.7".
	if !inch && !w.hash && !p.fraction && p.unit != "in" && p.value < d.value && (!p.whole || p.value < 4) && !w.hyphen {
		w.series = "m"
		return w.metric()
	}
	if p.fraction || p.unit == "mm" || !p.whole && p.value != 11.5 {
		return nil, "the pitch of an inch thread is threads per inch"
	}
	if w.hyphen || w.hash {
		// The hyphen is how Unified threads are written.
		for _, s := range [...]Series{UNC, UNF, UNEF} {
			found = append(found, unifiedThreads(s, d, w.hash, p.value)...)
		}
		if len(found) > 0 {
			return found, ""
		}
	}
	in := d.value
	if d.unit == "mm" || !d.fraction && !d.whole && d.unit == "" && d.value > 2 {
		in = d.value / quantity.InchMM // 6.35 x 40
	}
	if !w.hash {
		found = inchThreads(in, p.value)
	}
	for _, s := range [...]Series{UNC, UNF} {
		found = append(found, unifiedThreads(s, d, w.hash, p.value)...)
	}
	if w.hyphen && len(found) > 0 && unifiedPitch(p.value) {
		// With a hyphen people mean Unified, though only another series lists it.
		if special, _ := special(UNSpecial, d, p.value); special != nil {
			found = append(found, special...)
		}
	}
	return found, "no series has that diameter with that pitch; name the form for a special, like 7/32 x 36 Whit"
}

// inchThreads are the threads of a diameter in inches, or of a pipe of that size, with
// a number of threads per inch; not the Unified ones, and not the cycle and Acme
// threads, which nobody means without their name.
func inchThreads(in, tpi float64) (found []Thread) {
	for _, s := range [...]Series{ME, Brass, BSW, BSF} {
		found = append(found, whitworthThreads(s, in, tpi)...)
	}
	for _, p := range pipeSizes {
		if near(pipeInches(p.size), in, 0.0006) && float64(p.tpi) == tpi {
			found = append(found, pipe(PipeG, p))
			if p.gauge != 0 {
				found = append(found, pipe(PipeR, p))
			}
		}
	}
	for _, s := range nptSizes {
		if s.tpi == tpi && near(pipeInches(s.size), in, 0.0006) {
			found = append(found, npt(s))
		}
	}
	return found
}

// unifiedPitch reports the constant pitches of the UN series (ASME B1.1).
func unifiedPitch(tpi float64) bool {
	return slices.Contains([]float64{4, 6, 8, 12, 16, 20, 28, 32}, tpi)
}

// bareSize lists what a size alone can mean.
func (w words) bareSize(d size, inch bool) (found []Thread) {
	if !inch && !w.hash && d.unit != "mm" && d.whole && d.value <= baLargest {
		m := w
		m.series = "m"
		list, _ := m.metric()
		found = append(found, list...)
		found = append(found, ba(int(d.value)))
	} else if !inch && !w.hash {
		m := w
		m.series = "m"
		list, _ := m.metric()
		found = append(found, list...)
	}
	if inch && !w.hash {
		for _, s := range [...]Series{ME, Brass, BSW, BSF} {
			found = append(found, whitworthThreads(s, d.value, 0)...)
		}
		for _, p := range pipeSizes {
			if near(pipeInches(p.size), d.value, 0.0006) {
				found = append(found, pipe(PipeG, p))
			}
		}
	}
	if d.unit != "mm" && (inch || w.hash || d.whole) {
		for _, s := range [...]Series{UNC, UNF} {
			found = append(found, unifiedThreads(s, d, w.hash, 0)...)
		}
	}
	return found
}
