package checklist

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettle/threads"
	"fettle/threads/quantity"
)

// Starter is what [WriteStarter] needs to know.
type Starter struct {
	ID     string // lower-case letters, digits and hyphens
	Title  string // empty: made from the id
	Seal   string // one of [StarterSeals]; empty: packing
	Thread string // of the nut or the screws; empty: a usual one
}

// StarterSeals lists the seals a starter can be written for.
func StarterSeals() []string { return []string{"packing", "o-ring", "gasket", "sealant", "none"} }

// WriteStarter writes a small procedure to begin from: complete, commented and
// without a mistake, for one fitting with the given seal. The error says which
// field cannot be used, or that thread and seal do not go together.
func WriteStarter(s Starter) (string, error) {
	if s.ID == "" || strings.ToLower(s.ID) != s.ID || !plainName(s.ID) || len(s.ID) > 60 {
		return "", fmt.Errorf("%s is no name for a procedure: use lower-case letters, digits and hyphens, like blower-gland", shown(s.ID))
	}
	if s.Title == "" {
		s.Title = upperFirst(strings.NewReplacer("-", " ", "_", " ").Replace(s.ID))
	}
	title, refused := clean(strings.TrimSpace(s.Title), false)
	if refused >= 0 || len([]rune(title)) > maxLine || title == "" {
		return "", fmt.Errorf("the title has to be one line of at most %d characters", maxLine)
	}
	if s.Seal == "" {
		s.Seal = "packing"
	}
	if !slices.Contains(StarterSeals(), s.Seal) {
		return "", errors.New(shown(s.Seal) + " is no seal to start with; " + didYouMean(s.Seal, StarterSeals()))
	}
	if s.Thread == "" {
		s.Thread = "M4"
		if s.Seal == "packing" || s.Seal == "o-ring" {
			s.Thread = "1/2 x 26 brass"
		}
	}
	thread, err := threads.Parse(s.Thread)
	if err != nil {
		return "", errors.New(plainError(err))
	}
	w := starterWriter{thread: thread}
	w.head(s.ID, title)
	switch s.Seal {
	case "packing":
		w.packing()
	case "o-ring":
		w.ring()
	case "gasket":
		w.gasket()
	case "sealant":
		w.sealant()
	default:
		w.plain()
	}
	// Not every thread goes with every fitting: a taper thread holds no cover.
	if _, ds := Read(s.ID+".toml", []byte(w.b.String())); len(ds) > 0 {
		return "", fmt.Errorf("%s does not go with a fitting like this: %s", thread, ds[0].Message)
	}
	return w.b.String(), nil
}

type starterWriter struct {
	b      strings.Builder
	thread threads.Thread
}

// quote writes a TOML basic string.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

func (w *starterWriter) f(format string, args ...any) { fmt.Fprintf(&w.b, format, args...) }

func (w *starterWriter) head(id, title string) {
	w.f(`# A procedure for fettle. Lines that begin with # are for you, not for the program.
# Change what does not fit your engine, then let the program look at it:
#
#     fettle procedure check FILE      says everything that is wrong
#     fettle procedure preview FILE    shows it as the fitter will see it
#     fettle procedure show --format   explains every key

format = 1
id     = %s
title  = %s
about  = "One or two sentences for the person who chooses this procedure."

# What must be so, and lie ready, before the first step.
[preliminary]
conditions = [
  "Fire out, boiler cold, drained below this fitting",
  "No pressure, shown by the gauge and by an open valve",
]
persons    = ["Fitter", "The person who releases the hold: ${release}"]
equipment  = ["Lamp, tray, tally sheet"]
warnings   = ["Hot water can stay trapped behind a shut valve."]

# The questions asked before a job starts. ${name} puts the answer in a text.
[settings.release]
ask     = "Who releases holds here, by your local code"
kind    = "choice"
choices = ["owner", "inspector"]
default = "owner"

`, quote(id), quote(title))
}

const starterSafe = `# Stages are headings, steps are the work.
[[stage]]
title = "Make safe"

[[stage.step]]
id      = "zero"
kind    = "inspect"
do      = "Read the gauge, then open a valve of the same space and see that nothing comes."
why     = "A gauge can stick. An open valve cannot."
reading = [{ name = "silent", ask = "Gauge at zero, open valve silent", unit = "yes-no", nominal = "yes", outside = "stop" }]

# What is read comes first, then a step for the person who releases it: a step
# with a hold takes no reading before it is released.
[[stage.step]]
id   = "release"
kind = "decide"
do   = "Show the ${release} the gauge and the open valve, and agree to begin."
hold = "${release}"               # nobody goes on until this person releases the step

# A step can also send the fitter to another procedure, as a job inside the job:
#
#     call    = "damaged-hole"          # its id; fettle procedure list names them
#     set     = { metal = "gunmetal" }  # what is known of its settings
#     only_if = "a thread turns and turns"

`

const starterClose = `[[stage.step]]
id      = "weep"
kind    = "test"
do      = "With cold water at low pressure, look at the joint for two minutes with a lamp and a dry tissue."
reading = [{ name = "drops", ask = "Drops in a minute", unit = "drops/min", high = "0" }]
caution = ["Water, not air: air stores enough to throw parts."]

[[stage.step]]
id   = "write-down"
kind = "record"
do   = "Write down what was found, what was fitted and who released the hold."
`

func (w *starterWriter) pressure() {
	w.f(`[settings.pressure]
ask     = "Working pressure of this boiler, gauge"
kind    = "pressure"
default = "90 psi"                 # a pressure needs its unit

`)
}

func (w *starterWriter) threadSetting(ask string) {
	w.f(`[settings.thread]
ask     = %s
kind    = "thread"
default = %s

`, quote(ask), quote(w.thread.String()))
}

// spanner is the setting for a spanner where no standard gives one.
func (w *starterWriter) spanner() (key string) {
	if _, _, ok := w.thread.Spanner(); ok {
		return ""
	}
	w.f(`[settings.spanner]
ask     = "Across flats of the nut, as measured"
kind    = "length"
default = %s

`, quote(mm(math.Ceil(w.thread.Major.MM()*1.5))))
	return "spanner = \"${spanner}\"\n"
}

func mm(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + " mm" }

// glandSize is a gland that goes with a thread.
type glandSize struct {
	rod, box, depth string
	screws          bool // the thread is too small for a nut: two screws draw the follower
}

// gland sizes a gland for the thread: the usual 3/16 in the usual 3/8, or less
// where the box has to lie inside the core of a smaller thread; and four rings.
func (w *starterWriter) gland() glandSize {
	const usual, least = 12, 4 // box, in thirty-seconds of an inch
	box := int((w.thread.MinorExternal() - 1).Inches() * 32)
	screws := box < least
	if screws {
		box = usual
	}
	box = min(box, usual)
	rings := quantity.Length(2 * 25.4 / 32 * float64(box-box/2))
	return glandSize{fraction(box / 2), fraction(box), mm(math.Ceil(rings.MM())), screws}
}

// fraction writes thirty-seconds of an inch as they are said.
func fraction(thirtySeconds int) string {
	below := 32
	for thirtySeconds%2 == 0 {
		thirtySeconds, below = thirtySeconds/2, below/2
	}
	return fmt.Sprintf("%d/%d in", thirtySeconds, below)
}

func (w *starterWriter) packing() {
	size := w.gland()
	ask, count, slacken, set := "Thread of the gland nut", "", "Give the gland nut", "Nut on"
	if size.screws {
		ask, slacken, set = "Thread of the two screws that draw the follower", "Give each gland screw", "Screws in evenly"
		count = "count = 2\n"
	}
	w.pressure()
	w.threadSetting(ask)
	spanner := w.spanner()
	w.f(`[settings.rod]
ask     = "Spindle diameter where the packing bears"
kind    = "length"
default = %s
low     = "1 mm"                   # an answer outside low and high is refused
high    = "25 mm"

[settings.box]
ask     = "Bore of the packing box"
kind    = "length"
default = %s

# Threads and screws. ${nut.spanner} and the like show their figures.
[fasteners.nut]
thread = "${thread}"
%s
# What keeps the steam in. The program works out section, rings and turns.
[seals.packing]
kind     = "packing"
material = "pure graphite yarn"
zone     = "saturated"             # cold feed, saturated, superheated, smokebox, cab
pressure = "${pressure}"
spindle  = "${rod}"
box      = "${box}"
depth    = %s
nut      = "nut"

`, quote(size.rod), quote(size.box), spanner+count, quote(size.depth))
	w.f(starterSafe)
	w.f(`[[stage]]
title = "Strip and measure"

[[stage.step]]
id   = "nut-off"
kind = "inspect"
uses = ["nut"]
do   = "%s a quarter turn with the ${nut.spanner} spanner. Wait, then undo it."
warning = ["Is the spindle held from inside? If you cannot tell, stop and ask."]

[[stage.step]]
id      = "rod"
kind    = "measure"
do      = "Clean the spindle and measure it in three places where the packing bears."
# A reading with the name of a setting replaces its answer from here on.
reading = [{ name = "rod", ask = "Smallest diameter", unit = "mm", nominal = "${rod}", low = "-0.05", high = "+0.05" }]

[[stage]]
title = "Pack and close"

[[stage.step]]
id   = "rings"
kind = "make"
uses = ["packing"]
do   = "Cut ${packing.rings} rings of ${packing.section} packing, each ${packing.ring_length} long."

[[stage.step]]
id   = "dry"
kind = "dry-fit"
uses = ["packing", "nut"]
do   = "Put the rings in dry. The follower has to enter by ${packing.entry} before the thread takes hold."

[[stage.step]]
id   = "pack"
kind = "seal"
uses = ["packing"]
do   = "Ring by ring into the box, the joints a third of a turn apart, each pressed home."

[[stage.step]]
id   = "tighten"
kind = "tighten"
uses = ["nut"]
do   = "%s by fingers, work the spindle, then an eighth of a turn. Two fingers still turn the spindle."

`, slacken, set)
	w.f(starterClose)
}

func (w *starterWriter) ring() {
	w.pressure()
	w.threadSetting("Thread of the gland nut")
	spanner := w.spanner()
	w.f(`[settings.rod]
ask     = "Spindle diameter where the ring bears"
kind    = "length"
default = "3/16 in"

[settings.bore]
ask     = "Bore the ring seals in"
kind    = "length"
default = "7.6 mm"

# Threads and screws. ${nut.spanner} and the like show their figures.
[fasteners.nut]
thread = "${thread}"
%s
# What keeps the steam in. The program works out squeeze, stretch and fill.
[seals.ring]
kind     = "o-ring"
material = "FFKM"
zone     = "saturated"             # cold feed, saturated, superheated, smokebox, cab
pressure = "${pressure}"
section  = "1.78 mm"
inside   = "4.47 mm"
spindle  = "${rod}"
box      = "${bore}"
width    = "2.4 mm"

`, spanner)
	w.f(starterSafe)
	w.f(`[[stage]]
title = "Strip and measure"

[[stage.step]]
id   = "nut-off"
kind = "inspect"
uses = ["nut"]
do   = "Give the gland nut a quarter turn with the ${nut.spanner} spanner. Wait, then undo it."
warning = ["Is the spindle held from inside? If you cannot tell, stop and ask."]

[[stage.step]]
id      = "rod"
kind    = "measure"
do      = "Clean the spindle and measure it in three places where the ring bears."
# A reading with the name of a setting replaces its answer from here on.
reading = [{ name = "rod", ask = "Smallest diameter", unit = "mm", nominal = "${rod}", low = "-0.05", high = "+0.05" }]

[[stage]]
title = "Fit and close"

[[stage.step]]
id   = "dry"
kind = "dry-fit"
uses = ["ring", "nut"]
do   = "Without the ring: spindle in, nut on. The spindle turns freely and the nut has thread left."

[[stage.step]]
id   = "fit"
kind = "seal"
uses = ["ring"]
do   = "Wrap the spindle's threads in paper, grease the ring lightly and slide it on. It is squeezed by ${ring.squeeze}."

[[stage.step]]
id   = "tighten"
kind = "tighten"
uses = ["nut"]
do   = "Nut on by fingers, then until the metal meets. An O-ring is not nipped."

`)
	w.f(starterClose)
}

func (w *starterWriter) gasket() {
	// A ring that six such screws of bronze can press as hard as fitters want.
	major := w.thread.Major.MM()
	bore, outer := math.Round(5*major), math.Round(2*6*major)/2
	cover, gasket := math.Ceil(2*major), 0.5
	hole := w.thread.Clearance().Medium.MM()
	into := math.Ceil(2 * major)
	w.pressure()
	w.threadSetting("Thread of the cover screws")
	w.f(`[settings.screws]
ask     = "How many cover screws"
kind    = "count"
default = "6"

# Threads and screws. ${cover.torque} and the like show their figures.
[fasteners.cover]
label     = "Cover screws"
thread    = "${thread}"
count     = "${screws}"
grade     = "phosphor bronze"
into      = "gunmetal"
hole      = "wet"                  # wet: breaks through to water or steam; else dry; blind: has a bottom
lubricant = "graphite paste"
circle    = %s
length    = %s
cover     = "%s mm"
depth     = %s
joint     = "gasket"

# What keeps the steam in.
[seals.gasket]
kind      = "gasket"
material  = "graphite sheet"
zone      = "saturated"            # cold feed, saturated, superheated, smokebox, cab
pressure  = "${pressure}"
inner     = "%s mm"
outer     = "%s mm"
thickness = "%s mm"

`, quote(mm(math.Ceil(outer+hole+1.5))), quote(mm(math.Ceil(cover+gasket+into))), trimNumber(cover), quote(mm(into+2)), trimNumber(bore), trimNumber(outer), trimNumber(gasket))
	w.f(starterSafe)
	w.f(`[[stage]]
title = "Strip and measure"

[[stage.step]]
id   = "cover-off"
kind = "inspect"
uses = ["cover"]
do   = "Slacken the ${cover.count} screws a quarter turn each, crosswise, then take the cover off."
caution = ["No blade between the faces."]

[[stage.step]]
id      = "faces"
kind    = "measure"
do      = "Clean both faces to bare metal and lay a straight-edge across."
reading = [{ name = "gap", ask = "Widest gap under it", unit = "mm", high = "0.05" }]

[[stage]]
title = "Fit and close"

[[stage.step]]
id   = "dry"
kind = "dry-fit"
uses = ["cover", "gasket"]
do   = "Cover on without the gasket, screws by fingers. It sits flat, no screw binds or bottoms."

[[stage.step]]
id   = "fit"
kind = "seal"
uses = ["gasket"]
do   = "Gasket on, clear of the bore. Cover on, all screws by fingers, the gap even all round."

[[stage.step]]
id   = "tighten"
kind = "tighten"
uses = ["cover"]
do   = "Crosswise in three rounds: ${cover.first_pass}, ${cover.second_pass}, ${cover.torque}. Then once round."
note = ["The torque holds for ${cover.lubricant} on the thread. The local code and the inspector may want another."]

`)
	w.f(starterClose)
}

func (w *starterWriter) sealant() {
	w.pressure()
	w.threadSetting("Thread that is sealed")
	w.f(`[settings.shop]
ask     = "Lowest temperature of the shop until it is cured"
kind    = "temperature"
default = "18"

[settings.sheet]
ask     = "Time to full cure, from the container"
kind    = "time"
default = "24 h"

# Threads and screws. ${fitting.tap_drill} and the like show their figures.
[fasteners.fitting]
thread = "${thread}"

# What keeps the steam in. The container's own sheet has the last word.
[seals.sealant]
kind       = "sealant"
material   = "high-temperature anaerobic sealant"
zone       = "cold feed"           # cold feed, saturated, superheated, smokebox, cab
pressure   = "${pressure}"
metals     = "gunmetal, bronze"
gap        = "0.1 mm"
shop       = "${shop}"
sheet_time = "${sheet}"

`)
	w.f(starterSafe)
	w.f(`[[stage]]
title = "Strip and clean"

[[stage.step]]
id   = "apart"
kind = "inspect"
uses = ["fitting"]
do   = "Undo the ${fitting.thread} fitting, counting its turns."

[[stage.step]]
id   = "clean"
kind = "clean"
do   = "Brush the old sealant out of both threads, then degrease twice with a clean rag."

[[stage]]
title = "Fit and close"

[[stage.step]]
id   = "dry"
kind = "dry-fit"
uses = ["fitting", "sealant"]
do   = "Screw it together dry: by hand all the way, and it points where it has to."

[[stage.step]]
id   = "seal"
kind = "seal"
uses = ["sealant", "fitting"]
do   = "A band round the second to fifth thread, the first left bare. Screw home once; never back."
caution = ["None into valve seats, cones or steam passages."]

[[stage.step]]
id   = "cure"
kind = "wait"
uses = ["sealant"]
do   = "Leave it alone. Write down the time and the temperature."
wait = "${sealant.cure}"

`)
	w.f(starterClose)
}

func (w *starterWriter) plain() {
	w.threadSetting("Thread of the fitting")
	w.f(`# Threads and screws. ${fitting.tap_drill} and the like show their figures.
[fasteners.fitting]
thread = "${thread}"

`)
	w.f(starterSafe)
	w.f(`[[stage]]
title = "The work"

[[stage.step]]
id   = "look"
kind = "inspect"
uses = ["fitting"]
do   = "Undo the ${fitting.thread} fitting, counting its turns, and look at both threads."

[[stage.step]]
id   = "back"
kind = "tighten"
uses = ["fitting"]
do   = "Start it by hand for two full turns, then tighten."

`)
	w.f(starterClose)
}
