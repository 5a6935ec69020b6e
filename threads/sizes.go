package threads

import (
	"math"
	"strconv"

	"fettle/threads/quantity"
)

// metricSize is a row of ISO 261: a diameter, its coarse pitch (0 where there
// is none) and its fine pitches, coarsest first.
type metricSize struct {
	d, coarse float64
	fine      [3]float64
}

// ISO 261:1998 table 2, 1 to 24 mm.
var metricSizes = [...]metricSize{
	{1, .25, [3]float64{.2}}, {1.1, .25, [3]float64{.2}}, {1.2, .25, [3]float64{.2}}, {1.4, .3, [3]float64{.2}},
	{1.6, .35, [3]float64{.2}}, {1.8, .35, [3]float64{.2}}, {2, .4, [3]float64{.25}}, {2.2, .45, [3]float64{.25}},
	{2.5, .45, [3]float64{.35}}, {3, .5, [3]float64{.35}}, {3.5, .6, [3]float64{.35}}, {4, .7, [3]float64{.5}},
	{4.5, .75, [3]float64{.5}}, {5, .8, [3]float64{.5}}, {5.5, 0, [3]float64{.5}},
	{6, 1, [3]float64{.75}}, {7, 1, [3]float64{.75}}, {8, 1.25, [3]float64{1, .75}}, {9, 1.25, [3]float64{1, .75}},
	{10, 1.5, [3]float64{1.25, 1, .75}}, {11, 1.5, [3]float64{1, .75}}, {12, 1.75, [3]float64{1.5, 1.25, 1}},
	{14, 2, [3]float64{1.5, 1.25, 1}}, {15, 0, [3]float64{1.5, 1}}, {16, 2, [3]float64{1.5, 1}},
	{17, 0, [3]float64{1.5, 1}}, {18, 2.5, [3]float64{2, 1.5, 1}}, {20, 2.5, [3]float64{2, 1.5, 1}},
	{22, 2.5, [3]float64{2, 1.5, 1}}, {24, 3, [3]float64{2, 1.5, 1}},
}

// inchSize is a diameter in 64ths of an inch with its threads per inch.
type inchSize struct{ n64, tpi uint8 }

// BS 84:2007, the BSW series from 1/16 to 1 in.
var bswSizes = [...]inchSize{
	{4, 60}, {6, 48}, {8, 40}, {10, 32}, {12, 24}, {14, 24}, {16, 20}, {20, 18},
	{24, 16}, {28, 14}, {32, 12}, {36, 12}, {40, 11}, {48, 10}, {56, 9}, {64, 8},
}

// BS 84:2007, the BSF series from 3/16 to 1 in.
var bsfSizes = [...]inchSize{
	{12, 32}, {14, 28}, {16, 26}, {18, 26}, {20, 22}, {24, 20}, {28, 18}, {32, 16},
	{36, 16}, {40, 14}, {44, 14}, {48, 12}, {56, 11}, {64, 10},
}

// Model engineers' fine threads. No standard exists: the form is BS 84, the
// sizes are those of the trade (60 TPI from memory, no list was found).
var meSizes = [...]inchSize{
	{8, 40}, {10, 40}, {12, 40}, {14, 40}, {16, 40}, {18, 40}, {20, 40}, {24, 40}, {28, 40}, {32, 40},
	{12, 32}, {14, 32}, {16, 32}, {18, 32}, {20, 32}, {24, 32}, {28, 32}, {32, 32},
	{28, 26}, {32, 26},
	{6, 60}, {8, 60}, {10, 60}, {12, 60},
}

// The 26 TPI brass thread, same pitch at every diameter; trade sizes.
var brassSizes = [...]uint8{8, 12, 14, 16, 18, 20, 24, 28, 32, 36, 40, 48, 56, 64}

// pipeSize is a row of ISO 228-1 and ISO 7-1: the size of the pipe, its threads
// per inch and the major diameter in micrometres (at the gauge plane for R),
// with the gauge length of ISO 7-1 in micrometres where R has the size.
type pipeSize struct {
	size  string
	tpi   uint8
	major int32
	gauge int32
}

// ISO 228-1:2000 table 1 up to 4; gauge lengths ISO 7-1:1994 table 1 (1/16 and 2 as
// JIS B 0203 has them, rounded), whose sizes above 2 are not held.
var pipeSizes = [...]pipeSize{
	{"1/16", 28, 7723, 4000}, {"1/8", 28, 9728, 4000}, {"1/4", 19, 13157, 6000}, {"3/8", 19, 16662, 6400},
	{"1/2", 14, 20955, 8200}, {"5/8", 14, 22911, 0}, {"3/4", 14, 26441, 9500}, {"7/8", 14, 30201, 0},
	{"1", 11, 33249, 10400}, {"1 1/8", 11, 37897, 0}, {"1 1/4", 11, 41910, 12700}, {"1 1/2", 11, 47803, 12700},
	{"1 3/4", 11, 53746, 0}, {"2", 11, 59614, 15900},
	{"2 1/4", 11, 65710, 0}, {"2 1/2", 11, 75184, 0}, {"2 3/4", 11, 81534, 0}, {"3", 11, 87884, 0},
	{"3 1/2", 11, 100330, 0}, {"4", 11, 113030, 0},
}

// unifiedSize is a diameter with its threads per inch; number is the screw
// number, or -1 where n64 gives the diameter.
type unifiedSize struct {
	number int8
	n64    uint8
	tpi    uint8
}

// ASME B1.1 table 1, 0 to 1 in.
var uncSizes = [...]unifiedSize{
	{1, 0, 64}, {2, 0, 56}, {3, 0, 48}, {4, 0, 40}, {5, 0, 40}, {6, 0, 32}, {8, 0, 32}, {10, 0, 24}, {12, 0, 24},
	{-1, 16, 20}, {-1, 20, 18}, {-1, 24, 16}, {-1, 28, 14}, {-1, 32, 13}, {-1, 36, 12}, {-1, 40, 11},
	{-1, 48, 10}, {-1, 56, 9}, {-1, 64, 8},
}

var unfSizes = [...]unifiedSize{
	{0, 0, 80}, {1, 0, 72}, {2, 0, 64}, {3, 0, 56}, {4, 0, 48}, {5, 0, 44}, {6, 0, 40}, {8, 0, 36}, {10, 0, 32}, {12, 0, 28},
	{-1, 16, 28}, {-1, 20, 24}, {-1, 24, 24}, {-1, 28, 20}, {-1, 32, 20}, {-1, 36, 18}, {-1, 40, 18},
	{-1, 48, 16}, {-1, 56, 14}, {-1, 64, 12},
}

var unefSizes = [...]unifiedSize{
	{12, 0, 32},
	{-1, 16, 32}, {-1, 20, 32}, {-1, 24, 32}, {-1, 28, 28}, {-1, 32, 28}, {-1, 36, 24}, {-1, 40, 24},
	{-1, 44, 24}, {-1, 48, 20}, {-1, 52, 20}, {-1, 56, 20}, {-1, 60, 20}, {-1, 64, 20},
}

// metricOtherSizes are metric sizes that ISO 261 does not have: below 1 mm those of
// ISO 1501 (S 0.6 to S 0.9, sold as M), and 1.7, 2.3 and 2.6 mm of JIS and of the older
// German standard, which cameras and clocks have. Diameters and pitches as a tap
// maker's list has them.
var metricOtherSizes = [...]struct{ d, p float64 }{
	{0.6, 0.15}, {0.7, 0.175}, {0.8, 0.2}, {0.9, 0.225}, {1.7, 0.35}, {2.3, 0.4}, {2.6, 0.45},
}

// BS 811:1950, cycle threads, as a transcription has them; see bottomBracket for the
// one whose size is no fraction.
var cycleSizes = [...]inchSize{
	{8, 40}, {10, 32}, {12, 32}, {16, 26}, {20, 26}, {24, 26}, {28, 26}, {32, 26}, {36, 26}, {64, 26},
}

// nptSize is a row of ASME B1.20.1: the size of the pipe, its threads per inch and in
// inches the pitch diameter at the gauge plane E1, the length to it L1 (in threads) and
// the useful length L2 (in threads).
type nptSize struct {
	size          string
	tpi           float64
	e1            float64
	gauge, useful float64
	drill         string // tapping drill of a published chart; "" where it has none
}

// ASME B1.20.1, 1/16 to 2, as two published tables have it; 1/16 has its lengths in
// inches there, 0.160 and 0.2611.
var nptSizes = [...]nptSize{
	{"1/16", 27, 0.28118, 4.32, 7.05, ""}, {"1/8", 27, 0.37360, 4.36, 7.12, "letter R"},
	{"1/4", 18, 0.49163, 4.10, 7.23, "7/16"}, {"3/8", 18, 0.62701, 4.32, 7.34, "37/64"},
	{"1/2", 14, 0.77843, 4.48, 7.47, "23/32"}, {"3/4", 14, 0.98887, 4.75, 7.64, "59/64"},
	{"1", 11.5, 1.23863, 4.60, 7.85, "1 5/32"}, {"1 1/4", 11.5, 1.58338, 4.83, 8.13, "1 1/2"},
	{"1 1/2", 11.5, 1.82234, 4.83, 8.32, "1 47/64"}, {"2", 11.5, 2.29627, 5.01, 8.70, "2 7/32"},
}

// trapezoidalSizes are diameters of ISO 2904 with their pitches, as far as a regulator
// or a valve screw needs them.
var trapezoidalSizes = [...]struct{ d, p float64 }{
	{8, 1.5}, {9, 1.5}, {9, 2}, {10, 1.5}, {10, 2}, {11, 2}, {11, 3}, {12, 2}, {12, 3}, {14, 2}, {14, 3},
	{16, 2}, {16, 3}, {16, 4}, {18, 2}, {18, 4}, {20, 2}, {20, 4},
}

// acmeSizes are the general purpose sizes of ASME B1.5 up to 1 in (from memory; those
// from 3/8 in up are in a published table but for 7/16).
var acmeSizes = [...]inchSize{{16, 16}, {20, 14}, {24, 12}, {28, 12}, {32, 10}, {40, 8}, {48, 6}, {56, 6}, {64, 5}}

// baLargest is the highest BA number of BS 93.
const baLargest = 16

// All lists every thread of every series, in the order of AllSeries and within
// a series smallest first. The specials, which are endless, are not in it.
func All() []Thread {
	all := make([]Thread, 0, 280)
	for _, m := range metricSizes {
		if m.coarse != 0 {
			all = append(all, metric(ISOCoarse, m.d, m.coarse))
		}
	}
	for _, m := range metricSizes {
		for _, p := range m.fine {
			if p != 0 {
				all = append(all, metric(ISOFine, m.d, p))
			}
		}
	}
	for n := 0; n <= baLargest; n++ {
		all = append(all, ba(n))
	}
	for _, s := range meSizes {
		all = append(all, whitworth(ME, int(s.n64), int(s.tpi)))
	}
	for _, n := range brassSizes {
		all = append(all, whitworth(Brass, int(n), 26))
	}
	for _, s := range bswSizes {
		all = append(all, whitworth(BSW, int(s.n64), int(s.tpi)))
	}
	for _, s := range bsfSizes {
		all = append(all, whitworth(BSF, int(s.n64), int(s.tpi)))
	}
	for _, series := range [...]Series{PipeG, PipeR, PipeRc, PipeRp} {
		for _, p := range pipeSizes {
			if series == PipeG || p.gauge != 0 {
				all = append(all, pipe(series, p))
			}
		}
	}
	for _, s := range uncSizes {
		all = append(all, unified(UNC, s))
	}
	for _, s := range unfSizes {
		all = append(all, unified(UNF, s))
	}
	for _, s := range unefSizes {
		all = append(all, unified(UNEF, s))
	}
	return append(all, rarerThreads()...)
}

// rarerThreads are those that a fitting seldom has and that are taken for others.
func rarerThreads() (all []Thread) {
	for _, s := range metricOtherSizes {
		all = append(all, metric(MetricOther, s.d, s.p))
	}
	for _, s := range cycleSizes {
		all = append(all, cycle(s))
	}
	all = append(all, bottomBracket())
	for _, s := range nptSizes {
		all = append(all, npt(s))
	}
	for _, s := range trapezoidalSizes {
		all = append(all, Thread{
			Series: Trapezoidal, Form: TrapezoidalForm, Size: trim(s.d), Major: quantity.Length(s.d), Pitch: quantity.Length(s.p),
		})
	}
	for _, s := range acmeSizes {
		t := whitworth(Acme, int(s.n64), int(s.tpi))
		t.Form = AcmeForm
		all = append(all, t)
	}
	return all
}

func cycle(s inchSize) Thread {
	t := whitworth(Cycle, int(s.n64), int(s.tpi))
	t.Form = CycleForm
	return t
}

// bottomBracket is the 1.370 in by 24 TPI of BS 811.
func bottomBracket() Thread {
	return Thread{
		Series: Cycle, Form: CycleForm, Size: "1.37", Major: quantity.FromInches(1.370), Pitch: quantity.InchMM / 24, TPI: 24,
	}
}

// npt makes an American taper pipe thread; its major diameter at the gauge plane is
// the pitch diameter there and the depth of thread, 0.8·p.
func npt(s nptSize) Thread {
	p := quantity.Length(quantity.InchMM / s.tpi)
	return Thread{
		Series: NPT, Form: PipeUS, Size: s.size, Major: quantity.FromInches(s.e1) + depthPipeUS*p, Pitch: p, TPI: s.tpi,
	}
}

func metric(series Series, d, p float64) Thread {
	return Thread{Series: series, Form: ISO68, Size: trim(d), Major: quantity.Length(d), Pitch: quantity.Length(p)}
}

// ba makes BA number n by the rule of BS 93: p = 0.9^n, D = 6·p^1.2, both
// rounded to two figures; the depth 0.6·p of the rounded pitch, to 0.005 mm.
func ba(n int) Thread {
	exact := math.Pow(0.9, float64(n))
	p := round2(exact)
	return Thread{
		Series: BANumbered, Form: BA, Size: strconv.Itoa(n),
		Major: quantity.Length(round2(6 * math.Pow(exact, 1.2))),
		Pitch: quantity.Length(p),
		depth: quantity.Length(math.Round(depthBA*p*200) / 200),
	}
}

func whitworth(series Series, n64, tpi int) Thread {
	return Thread{
		Series: series, Form: Whitworth, Size: quantity.Fraction(n64, 64),
		Major: quantity.FromInches(float64(n64) / 64), Pitch: quantity.Length(quantity.InchMM / float64(tpi)),
		TPI: float64(tpi),
	}
}

// pipe makes a pipe thread. ISO 228-1 rounds the depth of thread to a
// micrometre before it subtracts it.
func pipe(series Series, s pipeSize) Thread {
	p := quantity.InchMM / float64(s.tpi)
	return Thread{
		Series: series, Form: Whitworth, Size: s.size,
		Major: quantity.Length(float64(s.major) / 1000), Pitch: quantity.Length(p), TPI: float64(s.tpi),
		depth: quantity.Length(math.Round(depthWhitworth*p*1000) / 1000),
	}
}

// unified makes a Unified thread; number sizes are 0.060 in + 0.013 in each.
func unified(series Series, s unifiedSize) Thread {
	t := Thread{
		Series: series, Form: Unified,
		Pitch: quantity.Length(quantity.InchMM / float64(s.tpi)), TPI: float64(s.tpi),
	}
	if s.number >= 0 {
		t.Size = strconv.Itoa(int(s.number))
		t.Major = numberSize(int(s.number))
	} else {
		t.Size = quantity.Fraction(int(s.n64), 64)
		t.Major = quantity.FromInches(float64(s.n64) / 64)
	}
	return t
}

func numberSize(n int) quantity.Length { return quantity.FromInches(float64(60+13*n) / 1000) }
